//! Sums of a weight a form over the patterns of every column.

use super::bits::Bits;
use super::bundle::{Bundle, CELLS, Codes, Table};
use rayon::prelude::*;
use std::sync::Arc;

/// Forms of a block: their weights (8 bytes each) stay in the second cache while all bundles run over them.
pub(super) const BLOCK: usize = 1 << 16;

/// Fewer forms are counted on one thread: waking another takes longer.
const FEW: usize = 1024;
/// Where fewer than one form in so many is counted, the next one lies in another cache line of a bundle (64 bytes, two a form).
const DENSE: usize = 32;

/// Sums over the forms of each pattern, all columns.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sums {
    /// Where each column begins, and the end of the last.
    pub(super) firsts: Vec<usize>,
    pub(super) all: Vec<f64>,
}

impl Sums {
    /// The sums of a column, by pattern. Empty where the table has no such column.
    pub fn of(&self, column: usize) -> &[f64] {
        match (self.firsts.get(column), self.firsts.get(column + 1)) {
            (Some(&from), Some(&to)) => self.all.get(from..to).unwrap_or_default(),
            _ => &[],
        }
    }

    /// Every sum times a number.
    #[must_use]
    pub fn scaled(mut self, by: f64) -> Self {
        for sum in &mut self.all {
            *sum *= by;
        }
        self
    }
}

impl Table {
    /// Sums a weight a form over the forms of each pattern of every column. Forms without a weight count for nothing.
    pub fn gather(&self, weights: &[f64]) -> Sums {
        let weights = weights.get(..self.forms).unwrap_or(weights);
        if weights.len() <= BLOCK {
            return self.sums(self.of_block(0, weights));
        }
        let blocks: Vec<Vec<f64>> = weights.par_chunks(BLOCK).enumerate().map(|(block, weights)| self.of_block(block, weights)).collect();
        self.sums(in_order(blocks))
    }

    /// How many of these forms have each pattern of every column.
    pub fn count(&self, forms: &Bits) -> Sums {
        let left = forms.count();
        // A form out of many is fetched alone; where they lie close, the bundles are run through, which are fewer than the columns.
        if left * DENSE < self.forms || left * self.places.len() < self.bundles.iter().map(|bundle| bundle.cells).sum() {
            return self.count_form_by_form(forms);
        }
        let of_bundle = |bundle: &Bundle| {
            let mut joint = vec![0.0; bundle.cells];
            let mut add = |code: usize| {
                if let Some(sum) = joint.get_mut(code) {
                    *sum += 1.0;
                }
            };
            match &bundle.codes {
                Codes::Narrow(codes) => forms.iter().filter_map(|form| codes.get(form)).for_each(|&code| add(usize::from(code))),
                Codes::Wide(codes) => forms.iter().filter_map(|form| codes.get(form)).for_each(|&code| add(code as usize)),
            }
            joint
        };
        let folded = |bundle: &Arc<Bundle>| {
            let mut all = vec![0.0; self.patterns];
            self.fold(bundle, &mut of_bundle(bundle), &mut all);
            all
        };
        let bundles: Vec<Vec<f64>> =
            if left < FEW { self.bundles.iter().map(folded).collect() } else { self.bundles.par_iter().map(folded).collect() };
        self.sums(if bundles.is_empty() { vec![0.0; self.patterns] } else { in_order(bundles) })
    }

    /// The same with each form fetched once.
    fn count_form_by_form(&self, forms: &Bits) -> Sums {
        let mut all = vec![0.0; self.patterns];
        let first = |column: usize| self.places.get(column).map_or(self.patterns, |place| place.first);
        self.rows.count(forms, first, &mut all);
        let mut here = self.rows.columns().iter().copied().peekable();
        for (column, place) in self.places.iter().enumerate() {
            if here.next_if_eq(&column).is_some() {
                continue;
            }
            for pattern in forms.iter().filter_map(|form| self.pattern(form, column)) {
                if let Some(sum) = all.get_mut(place.first + pattern) {
                    *sum += 1.0;
                }
            }
        }
        self.sums(all)
    }

    pub(super) fn sums(&self, all: Vec<f64>) -> Sums {
        Sums { firsts: self.places.iter().map(|place| place.first).chain([self.patterns]).collect(), all }
    }

    /// The sums of one block of forms.
    pub(super) fn of_block(&self, block: usize, weights: &[f64]) -> Vec<f64> {
        if weights.len() < CELLS {
            return self.of_few(block, weights);
        }
        let mut joint = vec![0.0; 2 * CELLS];
        let mut all = vec![0.0; self.patterns];
        for bundle in &self.bundles {
            match &bundle.codes {
                Codes::Narrow(codes) => {
                    let (even, odd) = joint.split_at_mut(CELLS);
                    let (Some(even), Some(odd)) = (even.first_chunk_mut(), odd.first_chunk_mut()) else { continue };
                    for half in [&mut *even, &mut *odd] {
                        half.iter_mut().take(bundle.cells).for_each(|sum| *sum = 0.0);
                    }
                    scatter(block_of(codes, block), weights, even, odd);
                    for (sum, odd) in even.iter_mut().zip(odd.iter()).take(bundle.cells) {
                        *sum += odd;
                    }
                    self.fold(bundle, even.get_mut(..bundle.cells).unwrap_or_default(), &mut all);
                }
                Codes::Wide(codes) => {
                    let mut sums = one_by_one(block_of(codes, block).iter().map(|&code| code as usize), weights, bundle.cells);
                    self.fold(bundle, &mut sums, &mut all);
                }
            }
        }
        all
    }

    /// The same of fewer forms than a bundle may have cells: what is not there is not set to nought.
    fn of_few(&self, block: usize, weights: &[f64]) -> Vec<f64> {
        let mut all = vec![0.0; self.patterns];
        for bundle in &self.bundles {
            let mut sums = match &bundle.codes {
                Codes::Narrow(codes) => one_by_one(block_of(codes, block).iter().map(|&code| usize::from(code)), weights, bundle.cells),
                Codes::Wide(codes) => one_by_one(block_of(codes, block).iter().map(|&code| code as usize), weights, bundle.cells),
            };
            self.fold(bundle, &mut sums, &mut all);
        }
        all
    }

    /// Adds the sums of a bundle's cells up to those of its columns, the one with the longest stride first. `joint` is used up.
    fn fold(&self, bundle: &Bundle, joint: &mut [f64], all: &mut [f64]) {
        let mut cells = bundle.cells;
        for place in bundle.columns.iter().rev().filter_map(|&column| self.places.get(column)) {
            let Some(joint) = joint.get_mut(..cells) else { return };
            let sums = all.iter_mut().skip(place.first);
            for (sum, chunk) in sums.zip(joint.chunks_exact(place.stride)) {
                *sum += total(chunk);
            }
            let (one, others) = joint.split_at_mut(place.stride.min(cells));
            for other in others.chunks_exact(place.stride) {
                for (sum, x) in one.iter_mut().zip(other) {
                    *sum += x;
                }
            }
            cells = place.stride;
        }
    }
}

/// The weights added up by cell.
fn one_by_one(codes: impl Iterator<Item = usize>, weights: &[f64], cells: usize) -> Vec<f64> {
    let mut sums = vec![0.0; cells];
    for (code, weight) in codes.zip(weights) {
        if let Some(sum) = sums.get_mut(code) {
            *sum += weight;
        }
    }
    sums
}

/// One addition a form. Two sums a cell, taken in turn, so that a cell met twice running does not wait for itself.
#[expect(clippy::indexing_slicing, reason = "a remainder by the length of the array")]
fn scatter(codes: &[u16], weights: &[f64], even: &mut [f64; CELLS], odd: &mut [f64; CELLS]) {
    let (pairs, last) = codes.as_chunks::<2>();
    let (weight_pairs, last_weight) = weights.as_chunks::<2>();
    for (&[a, b], &[x, y]) in pairs.iter().zip(weight_pairs) {
        even[usize::from(a) % CELLS] += x;
        odd[usize::from(b) % CELLS] += y;
    }
    if let (Some(&code), Some(weight)) = (last.first(), last_weight.first()) {
        even[usize::from(code) % CELLS] += weight;
    }
}

/// The codes of a block.
pub(super) fn block_of<T>(codes: &[T], block: usize) -> &[T] {
    let from = (block * BLOCK).min(codes.len());
    let to = (from + BLOCK).min(codes.len());
    codes.get(from..to).unwrap_or_default()
}

/// The sums of blocks added in the order of the blocks.
pub(super) fn in_order(blocks: Vec<Vec<f64>>) -> Vec<f64> {
    let mut blocks = blocks.into_iter();
    let mut all = blocks.next().unwrap_or_default();
    for block in blocks {
        for (sum, x) in all.iter_mut().zip(block) {
            *sum += x;
        }
    }
    all
}

/// A sum in eight strands, so that no addition waits for the one before.
pub(super) fn total(weights: &[f64]) -> f64 {
    let (eights, rest) = weights.as_chunks::<8>();
    let mut sum = [0.0; 8];
    for eight in eights {
        for (sum, x) in sum.iter_mut().zip(eight) {
            *sum += x;
        }
    }
    sum.iter().sum::<f64>() + rest.iter().sum::<f64>()
}
