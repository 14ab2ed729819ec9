//! Every pair of forms, weighed feature by feature.

use super::super::Index;
use super::super::apart::{Feature, Records, mean_weights, priors};
use rayon::prelude::*;
use std::ops::ControlFlow;

/// A feature tells two forms apart where one honest reading picks the right one with at least this probability.
const SURELY: f64 = 0.75;

/// What is known of one pair.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Told {
    /// Features that tell the two apart.
    pub(super) telling: u16,
    /// Those that can be looked at without the lid.
    pub(super) without_lid: u16,
    /// The last of them.
    pub(super) last: u16,
    /// How surely the last does.
    pub(super) surely: f32,
    /// Natural logarithm of the confusion.
    log: f32,
}

/// Every pair, weighed.
pub(super) struct Weighed {
    forms: usize,
    /// Pairs (0,1), (0,2) … (1,2) …
    pub(super) pairs: Vec<Told>,
    /// Pairs that each feature tells apart.
    pub(super) by_feature: Vec<usize>,
    /// The mean confusion.
    pub(super) mean: f64,
    /// Cells that are not recorded: place of the form, feature, expected drop.
    cells: Vec<(usize, usize, f64)>,
}

impl Weighed {
    /// The two forms of a pair.
    pub(super) fn places(&self, pair: usize) -> (usize, usize) {
        let mut from = 0;
        for a in 0..self.forms {
            let row = self.forms - 1 - a;
            if pair < from + row {
                return (a, a + 1 + pair - from);
            }
            from += row;
        }
        (0, 0)
    }

    pub(super) fn confusion(&self, pair: usize) -> f64 {
        self.pairs.get(pair).map_or(0.0, |told| f64::from(told.log).exp())
    }

    /// The cells of the greatest drop, then in the order of the forms and features.
    pub(super) fn cells(&self, most: usize) -> Vec<(usize, usize, f64)> {
        let mut cells: Vec<_> = self.cells.iter().copied().filter(|cell| cell.2 > 0.0).collect();
        cells.sort_by(|a, b| b.2.total_cmp(&a.2).then(a.0.cmp(&b.0)).then(a.1.cmp(&b.1)));
        cells.truncate(most);
        cells
    }
}

/// Weighs every pair of these forms; none where `watch` breaks it off.
pub(super) fn weigh(
    index: &Index,
    seen: &[Feature<'_>],
    forms: &[usize],
    watch: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Option<Weighed> {
    let n = forms.len();
    let mut pairs = vec![Told::default(); n * n.saturating_sub(1) / 2];
    let mut by_feature = Vec::with_capacity(seen.len());
    let mut drops: Vec<(Records, Vec<f64>)> = Vec::with_capacity(seen.len());
    for (number, feature) in seen.iter().enumerate() {
        if watch(number as f64 / seen.len() as f64 * 0.9).is_break() {
            return None;
        }
        let records = Records::new(feature, forms);
        let k = records.patterns.len();
        let channels = feature.channels(&records.patterns);
        let table = symmetric(k, |a, b| (channels.apart(a, b) as f32, channels.alike(a, b).max(1e-30).ln() as f32));
        let lid = feature.needs_the_lid();
        let told: usize = rows_of(&mut pairs, n)
            .into_par_iter()
            .map(|(a, row)| {
                let Some(Some(first)) = records.of.get(a) else { return 0 };
                let line = table.get(*first as usize * k..(*first as usize + 1) * k).unwrap_or_default();
                let mut told = 0;
                for (pair, other) in row.iter_mut().zip(records.of.iter().skip(a + 1)) {
                    let Some((surely, log)) = other.and_then(|other| line.get(other as usize)) else { continue };
                    pair.log += log;
                    if f64::from(*surely) >= SURELY - 1e-6 {
                        told += 1;
                        pair.telling += 1;
                        pair.without_lid += u16::from(!lid);
                        (pair.last, pair.surely) = (number as u16, *surely);
                    }
                }
                told
            })
            .sum();
        by_feature.push(told);
        // What recording it would leave, on average: for each record of another form the mean of BC over what may be found.
        let weights = mean_weights(feature, &records.patterns);
        let expected: Vec<f64> = table
            .par_chunks(k.max(1))
            .map(|line| line.iter().zip(&weights).map(|((_, log), w)| if *w > 0.0 { w * f64::from(log.exp()) } else { 0.0 }).sum())
            .collect();
        let worth = if weights.iter().any(|w| *w > 0.0) { expected } else { vec![1.0; k] };
        drops.push((records, worth));
    }
    let all = priors(index);
    let prior: Vec<f64> = forms.iter().map(|&form| all.get(form).copied().unwrap_or(0.0)).collect();
    let row_sums: Vec<(f64, f64)> = rows_of(&mut pairs, n)
        .into_par_iter()
        .map(|(a, row)| {
            let own = prior.get(a).copied().unwrap_or(0.0);
            row.iter()
                .zip(prior.iter().skip(a + 1))
                .fold((0.0, 0.0), |(sum, weight), (pair, p)| (sum + own * p * f64::from(pair.log).exp(), weight + own * p))
        })
        .collect();
    let (sum, weight) = row_sums.iter().fold((0.0, 0.0), |(s, w), row| (s + row.0, w + row.1));
    if watch(0.92).is_break() {
        return None;
    }
    let mut this = Weighed { forms: n, pairs, by_feature, mean: if weight > 0.0 { sum / weight } else { 0.0 }, cells: Vec::new() };
    let start = |a: usize| a * (2 * n - a - 1) / 2;
    let place = |a: usize, b: usize| if a < b { start(a) + b - a - 1 } else { start(b) + a - b - 1 };
    this.cells = (0..n)
        .into_par_iter()
        .flat_map_iter(|a| {
            let open: Vec<(usize, &(Records, Vec<f64>))> =
                drops.iter().enumerate().filter(|(_, (records, _))| records.of.get(a).is_some_and(Option::is_none)).collect();
            if open.is_empty() {
                return Vec::new();
            }
            let own = prior.get(a).copied().unwrap_or(0.0);
            let confused: Vec<f64> = (0..n)
                .map(|b| if a == b { 0.0 } else { own * prior.get(b).copied().unwrap_or(0.0) * this.confusion(place(a, b)) / weight })
                .collect();
            open.into_iter()
                .map(|(feature, (records, worth))| {
                    let drop = records.of.iter().zip(&confused).map(|(record, c)| {
                        record.and_then(|record| worth.get(record as usize)).map_or(0.0, |left| c * (1.0 - left).max(0.0))
                    });
                    (a, feature, drop.sum())
                })
                .collect::<Vec<_>>()
        })
        .collect();
    Some(this)
}

/// A table of k × k by rows, of which both halves are the same; one is worked out.
fn symmetric(k: usize, of: impl Fn(usize, usize) -> (f32, f32) + Sync) -> Vec<(f32, f32)> {
    let mut table = vec![(0.0, 0.0); k * k];
    table.par_chunks_mut(k.max(1)).enumerate().for_each(|(a, row)| {
        for (b, cell) in row.iter_mut().enumerate().skip(a) {
            *cell = of(a, b);
        }
    });
    for a in 1..k {
        for b in 0..a {
            let other = table.get(b * k + a).copied().unwrap_or_default();
            if let Some(cell) = table.get_mut(a * k + b) {
                *cell = other;
            }
        }
    }
    table
}

/// The pairs cut into one row for each first form.
fn rows_of(pairs: &mut [Told], forms: usize) -> Vec<(usize, &mut [Told])> {
    let mut rows = Vec::with_capacity(forms);
    let mut rest = pairs;
    for a in 0..forms {
        let length = (forms - 1 - a).min(rest.len());
        let (row, after) = std::mem::take(&mut rest).split_at_mut(length);
        rows.push((a, row));
        rest = after;
    }
    rows
}
