//! Features as a paper key asks them: cells, and how often each form is in each.

use super::super::apart::Feature;
use super::super::column::{Kind, Measure, NOT_APPLICABLE};
use super::super::measure::default_plus_minus;
use super::super::text::measure;
use crate::say;

/// A form is not sent where fewer than this share of its pieces would go: the tails of a measure beyond two standard deviations.
const SELDOM: f64 = 0.025;
/// Most places at which a measure is cut.
const MOST_CUTS: usize = 15;

/// From the first cell to before the last one.
pub(super) type Range = (usize, usize);

/// One feature, cut into cells.
#[derive(Debug, Clone)]
pub(super) struct Look {
    /// Number among the features asked for.
    pub(super) name: String,
    pub(super) effort: f64,
    pub(super) feature: crate::key::FeatureId,
    /// What the cells of a feature that is not measured are called; of a measure only 'there is none'.
    names: Vec<String>,
    /// Cuts between the cells of a measure, as words: '82 mm'. Empty otherwise.
    cuts: Vec<String>,
    measured: bool,
    /// For each form the share of its pieces in each cell. The last cell is 'there is none'.
    rows: Vec<Vec<f64>>,
    cells: usize,
}

impl Look {
    /// Cuts a feature; none where nothing is recorded of any form.
    pub(super) fn new(feature: &Feature<'_>, forms: usize, weights: &[f64]) -> Option<Self> {
        let column = feature.column;
        let mut look = Self {
            name: column.name.clone(),
            effort: column.effort,
            feature: column.id.clone(),
            names: Vec::new(),
            cuts: Vec::new(),
            measured: false,
            rows: Vec::new(),
            cells: 0,
        };
        let rows: Vec<Option<Vec<f64>>> = match &column.kind {
            Kind::Values(values) => {
                look.names.clone_from(&values.names);
                look.cells = values.ids.len() + 1;
                let row = |record: usize| {
                    let mut row = vec![0.0; look.cells];
                    for &(v, share) in values.shares.get(record).into_iter().flatten() {
                        if let Some(cell) = row.get_mut(v) {
                            *cell = share;
                        }
                    }
                    row
                };
                (0..forms).map(|form| feature.record_of(form).map(row)).collect()
            }
            Kind::Measure(m) => {
                look.measured = true;
                let cuts = cuts(feature, m, forms);
                look.cells = cuts.len() + 2;
                look.cuts = cuts.iter().map(|&cut| measure(cut, m.unit.sign())).collect();
                let row = |record: usize| {
                    let spread = spread(m, record);
                    let mut row = Vec::with_capacity(look.cells);
                    let mut before = 0.0;
                    for up_to in cuts.iter().map(|&cut| spread.map_or(0.0, |s| s.up_to(cut))).chain([1.0]) {
                        row.push(up_to - before);
                        before = up_to;
                    }
                    row.push(0.0);
                    row
                };
                (0..forms).map(|form| feature.record_of(form).map(row)).collect()
            }
        };
        look.names.push(column.none());
        let mut mean = vec![0.0; look.cells];
        let mut known: Vec<Option<Vec<f64>>> = Vec::with_capacity(forms);
        for (form, row) in rows.into_iter().enumerate() {
            let row = row.map(|mut row| {
                if feature.record_of(form) == Some(NOT_APPLICABLE) {
                    row.fill(0.0);
                    if let Some(none) = row.last_mut() {
                        *none = 1.0;
                    }
                } else {
                    if look.measured {
                        row.iter_mut().filter(|cell| **cell < SELDOM).for_each(|cell| *cell = 0.0);
                    }
                    // What was counted leaves a little for values never met; paper has no branch for those.
                    let sum: f64 = row.iter().sum::<f64>().max(f64::MIN_POSITIVE);
                    for cell in &mut row {
                        *cell /= sum;
                    }
                }
                let weight = weights.get(form).copied().unwrap_or(0.0);
                mean.iter_mut().zip(&row).for_each(|(mean, cell)| *mean += weight * cell);
                row
            });
            known.push(row);
        }
        let sum: f64 = mean.iter().sum();
        if sum <= 0.0 {
            return None;
        }
        for cell in &mut mean {
            *cell /= sum;
        }
        look.rows = known.into_iter().map(|row| row.unwrap_or_else(|| mean.clone())).collect();
        Some(look)
    }

    /// Every cell.
    pub(super) fn whole(&self) -> Range {
        (0, self.cells)
    }

    /// Share of a form's pieces within a range.
    pub(super) fn share(&self, form: usize, (from, to): Range) -> f64 {
        self.rows.get(form).and_then(|row| row.get(from..to)).map_or(0.0, |row| row.iter().sum())
    }

    /// The most branches that one look at it can have.
    pub(super) fn widest(&self, forms: usize) -> usize {
        let used = |cell: usize| (0..forms).any(|form| self.share(form, (cell, cell + 1)) > 0.0);
        let none = self.cells.saturating_sub(1);
        let values = (0..none).filter(|&cell| used(cell)).count();
        (if self.measured { values.min(2) } else { values }) + usize::from(used(none))
    }

    /// True where two forms have a cell in common.
    pub(super) fn meet(&self, a: usize, b: usize) -> bool {
        match (self.rows.get(a), self.rows.get(b)) {
            (Some(a), Some(b)) => a.iter().zip(b).any(|(a, b)| *a > 0.0 && *b > 0.0),
            _ => true,
        }
    }

    /// The ways to look once more when it is known to lie in that range: for each its branches.
    pub(super) fn ways(&self, (from, to): Range) -> Vec<Vec<Range>> {
        if to - from < 2 {
            return Vec::new();
        }
        if !self.measured {
            return vec![(from..to).map(|cell| (cell, cell + 1)).collect()];
        }
        let none = self.cells - 1;
        let end = to.min(none);
        let absent = (to == self.cells).then_some((none, self.cells));
        if end - from < 2 {
            return vec![[(from, end)].into_iter().chain(absent).collect()];
        }
        (from + 1..end).map(|cut| [(from, cut), (cut, end)].into_iter().chain(absent).collect()).collect()
    }

    /// What a branch is called.
    pub(super) fn label(&self, whole: Range, (from, to): Range) -> String {
        if to == self.cells && from + 1 == to {
            return self.names.last().cloned().unwrap_or_default();
        }
        if !self.measured {
            return self.names.get(from).cloned().unwrap_or_default();
        }
        let below = to.checked_sub(1).and_then(|cut| self.cuts.get(cut));
        let above = from.checked_sub(1).and_then(|cut| self.cuts.get(cut));
        match (from == whole.0, below, above) {
            (true, Some(cut), _) => say!("below {cut}", cut),
            (false, _, Some(cut)) => say!("{cut} or more", cut),
            _ => say!("has one").to_owned(),
        }
    }
}

fn spread(m: &Measure, record: usize) -> Option<super::super::measure::Spread> {
    let &range = m.ranges.get(record)?;
    range.0.is_finite().then(|| m.spread(range, default_plus_minus(f64::midpoint(range.0, range.1), m.give_percent)))
}

/// Where to cut a measure: between neighbouring ranges, evenly over the forms, at the places that fewest forms straddle.
fn cuts(feature: &Feature<'_>, m: &Measure, forms: usize) -> Vec<f64> {
    let mut ranges: Vec<(f64, f64)> = (0..forms)
        .filter_map(|form| feature.record_of(form))
        .filter_map(|r| m.ranges.get(r).copied())
        .filter(|r| r.0.is_finite())
        .collect();
    ranges.sort_by(|a, b| (a.0 + a.1).total_cmp(&(b.0 + b.1)));
    // Each gap between neighbours in the order of their middles, with how many forms lie on both sides of it.
    let mut places: Vec<(usize, f64, usize)> = Vec::new();
    for (n, pair) in ranges.windows(2).enumerate() {
        let [a, b] = pair else { continue };
        let (low, high) = (a.1.min(b.0), a.1.max(b.0));
        if b.0 + b.1 - a.0 - a.1 < 1e-9 {
            continue;
        }
        let middle = f64::midpoint(low, high);
        let cut = if middle.round() > low && middle.round() < high { middle.round() } else { (middle * 10.0).round() / 10.0 };
        places.push((n, cut, ranges.iter().filter(|r| r.0 < cut && r.1 > cut).count()));
    }
    let groups = MOST_CUTS.min(places.len());
    let mut cuts: Vec<f64> = (0..groups)
        .filter_map(|group| {
            let part = places.get(group * places.len() / groups..(group + 1) * places.len() / groups)?;
            part.iter().min_by_key(|place| (place.2, place.0)).map(|place| place.1)
        })
        .collect();
    cuts.sort_by(f64::total_cmp);
    cuts.dedup();
    cuts
}
