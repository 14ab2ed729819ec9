//! How surely one honest reading of a feature tells two records apart: the only file through which covers, sequences and key health look
//! into the compiled index.

use super::Index;
use super::bands::Bands;
use super::column::{Column, Kind, NOT_APPLICABLE, NOT_RECORDED};
use super::outcomes::Outcomes;
use crate::key::{FeatureId, FormId, Part, ValueId};
use std::collections::BTreeSet;

/// One feature of an index with what can come out of a look at it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Feature<'a> {
    pub(super) column: &'a Column,
    outcomes: &'a Outcomes,
}

/// The features of an index, in the order of the key.
pub(super) fn features(index: &Index) -> impl Iterator<Item = Feature<'_>> {
    index.columns.iter().zip(&index.outcomes).map(|(column, outcomes)| Feature { column, outcomes })
}

/// The number of a form in the index.
pub(super) fn number_of(index: &Index, form: &FormId) -> Option<usize> {
    index.by_form.get(form).copied()
}

/// The id of a form by its number. Empty past the last.
pub(super) fn id_of(index: &Index, form: usize) -> FormId {
    index.forms.get(form).map_or_else(|| FormId::new(""), |entry| entry.id.clone())
}

/// The prior of each form, in the order of the index.
pub(super) fn priors(index: &Index) -> &[f64] {
    &index.prior
}

/// True for a record that says what the form has, false for one that says it has none.
pub(super) fn has_values(record: usize) -> bool {
    record != NOT_APPLICABLE
}

/// The values that no form of the key has, with their names, in the order of the feature's values. None of a measure.
pub(super) fn unused_values(feature: &Feature<'_>) -> Vec<(ValueId, String)> {
    let Kind::Values(values) = &feature.column.kind else { return Vec::new() };
    let mut used = vec![false; values.ids.len()];
    for &(v, _) in values.shares.iter().flatten() {
        if let Some(used) = used.get_mut(v) {
            *used = true;
        }
    }
    let named = values.ids.iter().zip(&values.names).zip(used);
    named.filter(|(_, used)| !used).map(|((id, name), _)| (id.clone(), name.clone())).collect()
}

/// How likely each of these records is to be found on a form of which nothing is recorded but that it has the feature: the prior weight of the
/// forms that have it, scaled to 1. All 0 where no form has a record.
pub(super) fn mean_weights(feature: &Feature<'_>, records: &[usize]) -> Vec<f64> {
    let weight = |&record: &usize| if has_values(record) { feature.column.prior.get(record).copied().unwrap_or(0.0) } else { 0.0 };
    let weights: Vec<f64> = records.iter().map(weight).collect();
    let sum: f64 = weights.iter().sum();
    if sum > 0.0 { weights.iter().map(|w| w / sum).collect() } else { weights }
}

impl Feature<'_> {
    pub(super) fn id(&self) -> &FeatureId {
        &self.column.id
    }

    /// True where the feature can be looked at on a piece that lacks those parts.
    pub(super) fn can_be_seen_without(&self, missing: &BTreeSet<Part>) -> bool {
        !self.column.needs.iter().any(|part| missing.contains(part))
    }

    pub(super) fn needs_the_lid(&self) -> bool {
        self.column.needs.contains(&Part::Lid)
    }

    /// The record of a form, none where nothing is recorded.
    pub(super) fn record_of(&self, form: usize) -> Option<usize> {
        let pattern = self.column.pattern_of(form);
        (pattern != NOT_RECORDED).then_some(pattern)
    }

    /// How readings of these records come out.
    pub(super) fn channels(&self, records: &[usize]) -> Channels {
        let slip = self.column.slip;
        match &self.column.kind {
            Kind::Measure(_) => {
                // What a form without the feature has but for 'there is none': slips alone, as under every other record.
                let mut slips = self.outcomes.row(NOT_APPLICABLE);
                if let Some(none) = slips.last_mut() {
                    *none = 0.0;
                }
                Channels::Bands(Bands::new(slips, records.iter().map(|&record| self.outcomes.row(record))))
            }
            Kind::Values(values) => {
                let k = values.ids.len();
                let rows = records
                    .iter()
                    .map(|&record| {
                        if record == NOT_APPLICABLE {
                            return Sparse { height: slip / values.k(), peaks: vec![(k, 1.0 - slip)] };
                        }
                        // As in `Outcomes::of_values`: counted records keep a floor for the values never counted.
                        let slipped = if k > 1 { slip / (values.k() - 1.0) } else { 0.0 };
                        let on_top = if k > 1 { 1.0 - slip - slipped } else { 1.0 };
                        let height = slipped + values.floors.get(record).copied().unwrap_or(0.0) * on_top;
                        let mut peaks: Vec<(usize, f64)> =
                            values.shares.get(record).into_iter().flatten().map(|&(v, share)| (v, slipped + share * on_top)).collect();
                        peaks.sort_unstable_by_key(|peak| peak.0);
                        Sparse { height, peaks }
                    })
                    .collect();
                Channels::Sparse { k, rows }
            }
        }
    }
}

/// The distribution of an honest reading on each of a few records.
#[derive(Debug, Clone)]
pub(super) enum Channels {
    /// Bins of a measure, 'there is none' last.
    Bands(Bands),
    /// Values, of which most have only the floor of slips.
    Sparse {
        /// How many values there are; the outcome after the last is 'there is none'.
        k: usize,
        rows: Vec<Sparse>,
    },
}

/// A distribution over values: the same height everywhere but at the peaks, which stand in the order of the values.
#[derive(Debug, Clone)]
pub(super) struct Sparse {
    height: f64,
    peaks: Vec<(usize, f64)>,
}

impl Channels {
    /// Probability that one honest reading picks the right one of two records that are equally likely: ½ Σ over outcomes of the greater,
    /// 0.5 for a guess and 1 for a certain tell.
    pub(super) fn apart(&self, a: usize, b: usize) -> f64 {
        let sum = match self {
            Self::Bands(bands) => bands.greater(a, b),
            Self::Sparse { k, rows } => sum_sparse(*k, rows.get(a), rows.get(b), f64::max),
        };
        (0.5 * sum).min(1.0)
    }

    /// The Bhattacharyya coefficient Σ √(p q) of two records: 1 where they read alike, 0 where no reading is possible on both.
    /// (A. Bhattacharyya, Bull. Calcutta Math. Soc. 35, 1943.)
    pub(super) fn alike(&self, a: usize, b: usize) -> f64 {
        let sum = match self {
            Self::Bands(bands) => bands.mean(a, b),
            Self::Sparse { k, rows } => sum_sparse(*k, rows.get(a), rows.get(b), |p, q| (p * q).sqrt()),
        };
        sum.min(1.0)
    }
}

fn sum_sparse(k: usize, a: Option<&Sparse>, b: Option<&Sparse>, of: impl Fn(f64, f64) -> f64) -> f64 {
    let (Some(a), Some(b)) = (a, b) else { return 0.0 };
    // 'There is none' has no floor.
    let floor = |row: &Sparse, outcome: usize| if outcome < k { row.height } else { 0.0 };
    let (mut sum, mut values) = (0.0, 0_usize);
    let (mut left, mut right) = (a.peaks.iter().peekable(), b.peaks.iter().peekable());
    loop {
        let next = match (left.peek(), right.peek()) {
            (None, None) => break,
            (Some(l), None) => l.0,
            (None, Some(r)) => r.0,
            (Some(l), Some(r)) => l.0.min(r.0),
        };
        let p = left.next_if(|l| l.0 == next).map_or_else(|| floor(a, next), |l| l.1);
        let q = right.next_if(|r| r.0 == next).map_or_else(|| floor(b, next), |r| r.1);
        sum += of(p, q);
        values += usize::from(next < k);
    }
    sum + (k - values) as f64 * of(a.height, b.height)
}

/// Records of a few forms, numbered afresh from 0 so that a table over them stays small.
#[derive(Debug, Clone)]
pub(super) struct Records {
    /// The records, in the order they were met.
    pub(super) patterns: Vec<usize>,
    /// For each of the forms its record's number, none where nothing is recorded.
    pub(super) of: Vec<Option<u32>>,
}

impl Records {
    pub(super) fn new(feature: &Feature<'_>, forms: &[usize]) -> Self {
        let mut patterns = Vec::new();
        let mut number: Vec<Option<u32>> = vec![None; feature.column.patterns()];
        let of = forms
            .iter()
            .map(|&form| {
                let record = feature.record_of(form)?;
                let slot = number.get_mut(record)?;
                Some(*slot.get_or_insert_with(|| {
                    patterns.push(record);
                    (patterns.len() - 1) as u32
                }))
            })
            .collect();
        Self { patterns, of }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::key::builtin;

    #[test]
    fn the_short_way_agrees_with_the_table_that_the_bench_uses() {
        let index = Index::new(&builtin::demo().key);
        let forms: Vec<usize> = (0..index.len()).collect();
        let mut checked = 0;
        for feature in features(&index) {
            let records = Records::new(&feature, &forms);
            let channels = feature.channels(&records.patterns);
            for (i, &a) in records.patterns.iter().enumerate() {
                for (j, &b) in records.patterns.iter().enumerate() {
                    let want = feature.outcomes.apart(&[a, b]);
                    let got = channels.apart(i, j);
                    assert!((got - want).abs() < 1e-12, "{}: {a} against {b}: {got}, not {want}", feature.id());
                    let alike: f64 = feature.outcomes.row(a).iter().zip(feature.outcomes.row(b)).map(|(p, q)| (p * q).sqrt()).sum();
                    assert!((channels.alike(i, j) - alike.min(1.0)).abs() < 1e-12, "{}: {a} against {b}", feature.id());
                    checked += 1;
                }
            }
        }
        assert!(checked > 1000, "only {checked} pairs of records were compared");
    }
}
