//! The patterns once more, form by form: to count the few forms that some answers leave, each is fetched once and not once a bundle.

use super::bits::Bits;
use rayon::prelude::*;
use std::sync::Arc;

/// Forms that are laid out together: their rows stay in the second cache while all columns are written.
const BLOCK: usize = 1 << 11;

/// One byte a form and column, for the columns of at most 256 patterns.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Rows {
    /// The columns that are here.
    columns: Vec<usize>,
    cells: Arc<Vec<u8>>,
}

impl Rows {
    /// Lays the columns out form by form. Each is its number of patterns and the pattern of each form.
    pub(super) fn new(forms: usize, columns: &[(usize, impl AsRef<[u32]> + Sync)]) -> Self {
        let here: Vec<usize> =
            (0..columns.len()).filter(|&column| columns.get(column).is_some_and(|(patterns, _)| *patterns <= 256)).collect();
        if here.is_empty() {
            return Self::default();
        }
        let mut cells = vec![0; forms * here.len()];
        cells.par_chunks_mut(BLOCK * here.len()).enumerate().for_each(|(block, cells)| {
            for (at, (patterns, of_form)) in here.iter().filter_map(|&column| columns.get(column)).enumerate() {
                fill(cells, at, here.len(), *patterns, of_form.as_ref().get(block * BLOCK..).unwrap_or_default());
            }
        });
        Self { columns: here, cells: Arc::new(cells) }
    }

    /// The same after some columns have changed; none where one of them has come to have too many patterns, or too many no more.
    pub(super) fn renewed(&self, columns: &[(usize, impl AsRef<[u32]> + Sync)], changed: &[usize]) -> Option<Self> {
        let mut renewed = self.clone();
        for &column in changed {
            let (patterns, of_form) = columns.get(column)?;
            let at = self.columns.binary_search(&column).ok();
            match at {
                Some(at) if *patterns <= 256 => {
                    fill(Arc::make_mut(&mut renewed.cells).as_mut_slice(), at, self.columns.len(), *patterns, of_form.as_ref());
                }
                None if *patterns > 256 => {}
                _ => return None,
            }
        }
        Some(renewed)
    }

    /// The columns that are here, in order.
    pub(super) fn columns(&self) -> &[usize] {
        &self.columns
    }

    /// Adds, for each of these forms, one to the sum of its pattern in each column that is here. `first` says where a column's sums begin.
    pub(super) fn count(&self, forms: &Bits, first: impl Fn(usize) -> usize, sums: &mut [f64]) {
        let width = self.columns.len();
        if width == 0 {
            return;
        }
        let firsts: Vec<usize> = self.columns.iter().map(|&column| first(column)).collect();
        let mut counts = vec![0u32; sums.len()];
        for form in forms.iter() {
            let row = self.cells.get(form * width..(form + 1) * width).unwrap_or_default();
            for (first, &pattern) in firsts.iter().zip(row) {
                if let Some(count) = counts.get_mut(first + usize::from(pattern)) {
                    *count += 1;
                }
            }
        }
        for (sum, count) in sums.iter_mut().zip(counts) {
            *sum += f64::from(count);
        }
    }
}

/// Writes one column of rows so wide. A form that the column leaves out has pattern 0, and one past the last pattern has the last.
fn fill(cells: &mut [u8], at: usize, width: usize, patterns: usize, of_form: &[u32]) {
    let last = patterns.saturating_sub(1) as u32;
    let mut of_form = of_form.iter();
    for cell in cells.iter_mut().skip(at).step_by(width) {
        *cell = of_form.next().map_or(0, |&pattern| pattern.min(last) as u8);
    }
}
