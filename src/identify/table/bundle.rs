//! The columns, bundled.

use super::rows::Rows;
use rayon::prelude::*;
use std::sync::Arc;

/// Most cells of a bundle of several columns: their sums (8 bytes a cell, twice) stay in the nearest cache.
pub(super) const CELLS: usize = 4096;

/// Forms × columns of pattern numbers, bundled.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    pub(super) forms: usize,
    pub(super) places: Vec<Place>,
    pub(super) bundles: Vec<Arc<Bundle>>,
    /// The same form by form.
    pub(super) rows: Rows,
    /// Number of patterns of all columns together.
    pub(super) patterns: usize,
}

/// Where a column stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Place {
    pub(super) bundle: usize,
    /// What one more pattern of the column adds to the code.
    pub(super) stride: usize,
    pub(super) patterns: usize,
    /// Where its sums begin among those of all columns.
    pub(super) first: usize,
}

/// Some columns in one number a form: Σ pattern × stride.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Bundle {
    /// The columns, by growing stride.
    pub(super) columns: Vec<usize>,
    pub(super) cells: usize,
    pub(super) codes: Codes,
}

/// One number a form.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Codes {
    /// Of a bundle of at most [`CELLS`] cells.
    Narrow(Vec<u16>),
    /// Of one column with more patterns.
    Wide(Vec<u32>),
}

impl Table {
    /// Bundles columns. Each is its number of patterns and the pattern of each form, all below that number; a form that a column leaves out has
    /// pattern 0, and a pattern past the last counts as the last.
    pub fn new(forms: usize, columns: &[(usize, impl AsRef<[u32]> + Sync)]) -> Self {
        Self::with(forms, columns, Rows::new(forms, columns), |_, _| None)
    }

    /// The table of the same forms in which some columns have changed: what a new table of these columns would be, in less time.
    #[must_use]
    pub fn renewed(&self, columns: &[(usize, impl AsRef<[u32]> + Sync)], changed: &[usize]) -> Self {
        let rows = self.rows.renewed(columns, changed).filter(|_| columns.len() == self.places.len());
        let rows = rows.unwrap_or_else(|| Rows::new(self.forms, columns));
        Self::with(self.forms, columns, rows, |members, places| {
            let first = *members.first()?;
            let old = self.bundles.get(self.places.get(first)?.bundle)?;
            let same = |&column: &usize| {
                let (now, before) = (places.get(column)?, self.places.get(column)?);
                Some(!changed.contains(&column) && (now.stride, now.patterns) == (before.stride, before.patterns))
            };
            (old.columns == members && members.iter().all(|column| same(column) == Some(true))).then(|| Arc::clone(old))
        })
    }

    fn with(
        forms: usize,
        columns: &[(usize, impl AsRef<[u32]> + Sync)],
        rows: Rows,
        kept: impl Fn(&[usize], &[Place]) -> Option<Arc<Bundle>> + Sync,
    ) -> Self {
        let counts: Vec<usize> = columns.iter().map(|(patterns, _)| (*patterns).max(1)).collect();
        let plan = plan(&counts, most_cells(forms));
        let mut places = vec![Place { bundle: 0, stride: 1, patterns: 1, first: 0 }; columns.len()];
        let mut first = 0;
        for (place, &patterns) in places.iter_mut().zip(&counts) {
            (place.patterns, place.first) = (patterns, first);
            first += patterns;
        }
        for (number, bundle) in plan.iter().enumerate() {
            let mut stride = 1;
            for &column in bundle {
                if let Some(place) = places.get_mut(column) {
                    (place.bundle, place.stride) = (number, stride);
                    stride *= place.patterns;
                }
            }
        }
        let bundles = plan
            .into_par_iter()
            .map(|members| {
                if let Some(bundle) = kept(&members, &places) {
                    return bundle;
                }
                let mut codes = vec![0u32; forms];
                let mut cells = 1;
                for &column in &members {
                    if let (Some(place), Some((_, patterns))) = (places.get(column), columns.get(column)) {
                        cells *= place.patterns;
                        for (code, &pattern) in codes.iter_mut().zip(patterns.as_ref()) {
                            *code += pattern.min(place.patterns as u32 - 1) * place.stride as u32;
                        }
                    }
                }
                let codes = if cells <= CELLS { Codes::Narrow(codes.iter().map(|&c| c as u16).collect()) } else { Codes::Wide(codes) };
                Arc::new(Bundle { columns: members, cells, codes })
            })
            .collect();
        Self { forms, places, bundles, rows, patterns: first }
    }

    /// Number of forms.
    pub fn forms(&self) -> usize {
        self.forms
    }

    /// Number of columns.
    pub fn columns(&self) -> usize {
        self.places.len()
    }

    /// Number of bundles: additions a form that the sums of all columns take.
    pub fn bundles(&self) -> usize {
        self.bundles.len()
    }

    /// Bytes that the sums of all columns read of the table.
    pub fn bytes(&self) -> usize {
        self.bundles
            .iter()
            .map(|bundle| match &bundle.codes {
                Codes::Narrow(codes) => 2 * codes.len(),
                Codes::Wide(codes) => 4 * codes.len(),
            })
            .sum()
    }

    /// The pattern of a form in a column; none where the table has no such form or column.
    pub fn pattern(&self, form: usize, column: usize) -> Option<usize> {
        let place = self.places.get(column)?;
        let code = match &self.bundles.get(place.bundle)?.codes {
            Codes::Narrow(codes) => usize::from(*codes.get(form)?),
            Codes::Wide(codes) => *codes.get(form)? as usize,
        };
        Some(code / place.stride % place.patterns)
    }
}

/// Most cells of a bundle in a table of so many forms: working a bundle's sums out costs as much as so many forms.
fn most_cells(forms: usize) -> usize {
    (forms / 8).clamp(16, CELLS)
}

/// Which columns go together: those with the most patterns first, each into the first bundle that has room. Columns keep their order within a
/// bundle.
fn plan(patterns: &[usize], most: usize) -> Vec<Vec<usize>> {
    let mut by_size: Vec<usize> = (0..patterns.len()).collect();
    let size = |column: usize| patterns.get(column).copied().unwrap_or(1);
    by_size.sort_by_key(|&column| std::cmp::Reverse(size(column)));
    let mut bundles: Vec<(usize, Vec<usize>)> = Vec::new();
    for column in by_size {
        let room = bundles.iter_mut().find(|(cells, _)| cells.saturating_mul(size(column)) <= most);
        if let Some((cells, members)) = room {
            *cells *= size(column);
            members.push(column);
        } else {
            bundles.push((size(column), vec![column]));
        }
    }
    bundles
        .into_iter()
        .map(|(_, mut members)| {
            members.sort_unstable();
            members
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_go_together_while_there_is_room() {
        assert_eq!(plan(&[2, 8, 4, 3], 24), [vec![1, 3], vec![0, 2]]);
        assert_eq!(plan(&[5000, 2], 4096), [vec![0], vec![1]], "a column that is too large stands alone");
        assert!(plan(&[], 4096).is_empty());
    }

    #[test]
    fn patterns_come_back_as_they_went_in() {
        let columns: Vec<(usize, Vec<u32>)> =
            [3, 5000, 1, 7, 2].into_iter().map(|n| (n, (0..100).map(|form| form * 31 % n as u32).collect())).collect();
        let table = Table::new(100, &columns);
        for (column, (_, patterns)) in columns.iter().enumerate() {
            for (form, pattern) in patterns.iter().enumerate() {
                assert_eq!(table.pattern(form, column), Some(*pattern as usize), "form {form}, column {column}");
            }
        }
        assert_eq!((table.pattern(100, 0), table.pattern(0, 5)), (None, None));
    }
}
