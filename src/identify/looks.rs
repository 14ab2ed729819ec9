//! The next look: how much each feature would tell, for the effort of looking.

use super::column::{Column, Kind, NOT_APPLICABLE, NOT_RECORDED, RECORDED};
use super::outcomes::{Outcomes, bits};
use super::piece::Piece;
use super::standing::{Weighed, hidden_by};
use super::text::{measure, number};
use super::{Index, NextLook, Split};
use crate::key::FeatureId;
use crate::say;
use rayon::prelude::*;

/// A feature that applies to less than this share of what is left is not asked for.
const APPLIES_AT_LEAST: f64 = 0.05;
/// From so many forms on the features are looked at on every core.
pub(super) const MANY: usize = 2048;
/// Gains below this are rounding.
const LEAST_BITS: f64 = 1e-9;

/// What a gain is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum About {
    /// Which form it is.
    Form,
    /// Which line it is of.
    Line,
}

/// The gain of one feature.
#[derive(Debug, Clone, PartialEq)]
pub struct Gain {
    /// The feature.
    pub feature: FeatureId,
    /// Expected drop of the entropy, in bits: the mutual information of the outcome of one honest reading and what the piece is.
    pub bits: f64,
}

impl Index {
    /// The expected drop in the entropy of the form, or of the line alone, from one honest reading of each feature that can be looked at, in the
    /// order of the key. 'Not in this key' counts as a form and as a line of its own.
    pub fn gains(&self, piece: &Piece, about: About) -> Vec<Gain> {
        let weighed = self.weigh(piece);
        let open = self.columns.iter().zip(&self.outcomes).enumerate().filter(|(_, (column, _))| is_open(column, piece));
        open.map(|(i, (column, outcomes))| {
            let weights = weighed.sums.of(i);
            let bits = match about {
                About::Form => outcomes.look(weights, weighed.stranger).1,
                About::Line => {
                    let mut gain = bits(&outcomes.mixture_with(weights, weighed.stranger));
                    for line in &self.lines {
                        let of_line =
                            self.forms.iter().zip(&weighed.posterior).map(|(form, p)| if form.line_id == *line { *p } else { 0.0 });
                        gain -= unscaled_bits(&outcomes.mixture(&column.gather(of_line), 1.0));
                    }
                    (gain - unscaled_bits(&outcomes.mixture_with(&vec![0.0; column.patterns()], weighed.stranger))).max(0.0)
                }
            };
            Gain { feature: column.id.clone(), bits }
        })
        .collect()
    }

    /// The features worth looking at, the best first, at most so many.
    pub(super) fn next_looks(&self, piece: &Piece, weighed: &Weighed, most: usize) -> Vec<NextLook> {
        let known = 1.0 - weighed.stranger;
        // Those that fit; where none does, those with the fewest disagreements.
        let (_, who) = weighed.slips.least();
        let left = who.count();
        let counted = (left < self.len()).then(|| self.table.count(&who));
        let counts = counted.as_ref().unwrap_or(&self.counts);
        let look_at = |i: usize| {
            let (column, outcomes) = (self.columns.get(i).filter(|column| is_open(column, piece))?, self.outcomes.get(i)?);
            let weights = weighed.sums.of(i);
            let absent = weights.get(NOT_APPLICABLE).copied().unwrap_or(0.0);
            if known > 0.0 && known - absent < APPLIES_AT_LEAST * known {
                return None;
            }
            let (p, gain) = outcomes.look(weights, weighed.stranger);
            (gain >= LEAST_BITS).then(|| (gain / column.effort, gain, i, p))
        };
        let all = 0..self.columns.len();
        let mut found: Vec<(f64, f64, usize, Vec<f64>)> =
            if self.len() < MANY { all.filter_map(look_at).collect() } else { all.into_par_iter().filter_map(look_at).collect() };
        found.sort_by(|a, b| b.0.total_cmp(&a.0));
        found.truncate(most);
        let said = |(score, bits, i, p): (f64, f64, usize, Vec<f64>)| {
            let (column, outcomes) = (self.columns.get(i)?, self.outcomes.get(i)?);
            let splits = match &column.kind {
                Kind::Values(_) => value_splits(column, &p, counts.of(i)),
                Kind::Measure(_) => range_splits(column, outcomes, &p, counts.of(i)),
            };
            let says = look_says(column, left, &splits);
            Some(NextLook { feature: column.id.clone(), bits, effort: column.effort, score, splits, says })
        };
        found.into_iter().filter_map(said).collect()
    }
}

/// True where a feature can still be looked at.
fn is_open(column: &Column, piece: &Piece) -> bool {
    piece.seen(&column.id).is_none() && hidden_by(column, piece).is_none()
}

/// −Σ p log₂ p + (Σ p) log₂ (Σ p): the entropy of the distribution p/Σp, times Σp.
fn unscaled_bits(p: &[f64]) -> f64 {
    let sum: f64 = p.iter().sum();
    if sum > 0.0 { bits(p) + sum * sum.log2() } else { 0.0 }
}

fn value_splits(column: &Column, p: &[f64], remaining: &[f64]) -> Vec<Split> {
    let Kind::Values(values) = &column.kind else { return Vec::new() };
    let silent = remaining.get(NOT_RECORDED).copied().unwrap_or(0.0);
    let mut forms = vec![silent; values.ids.len()];
    for (shares, n) in values.shares.iter().zip(remaining).skip(RECORDED) {
        for &(v, _) in shares {
            if let Some(sum) = forms.get_mut(v) {
                *sum += n;
            }
        }
    }
    let named = values.ids.iter().zip(&values.names).zip(&forms).zip(p);
    let mut splits: Vec<Split> = named
        .filter(|((_, forms), _)| **forms > 0.5)
        .map(|(((id, name), forms), p)| Split { value: Some(id.clone()), label: name.clone(), forms: *forms as usize, probability: *p })
        .collect();
    splits.extend(none_split(column, p, remaining));
    splits
}

/// 'There is none'.
fn none_split(column: &Column, p: &[f64], remaining: &[f64]) -> Option<Split> {
    let forms = remaining.get(NOT_APPLICABLE).copied().unwrap_or(0.0) as usize;
    (forms > 0).then(|| Split { value: None, label: column.none(), forms, probability: p.last().copied().unwrap_or(0.0) })
}

/// Up to four ranges that are equally probable.
fn range_splits(column: &Column, outcomes: &Outcomes, p: &[f64], remaining: &[f64]) -> Vec<Split> {
    const RANGES: usize = 4;
    let Kind::Measure(m) = &column.kind else { return Vec::new() };
    let edges = outcomes.edges.as_slice();
    let bins = p.get(..edges.len() + 1).unwrap_or(p);
    let total: f64 = bins.iter().sum();
    // Where to cut: the number of bins below the cut, and its place.
    let mut cuts: Vec<(usize, f64)> = Vec::new();
    let mut sum = 0.0;
    for (bin, (p, edge)) in bins.iter().zip(edges).enumerate() {
        sum += p;
        let due = total * (cuts.len() + 1) as f64 / RANGES as f64;
        if cuts.len() + 1 < RANGES && sum >= due && cuts.last().is_none_or(|last| edge.round() > last.1.round()) {
            cuts.push((bin + 1, *edge));
        }
    }
    let sign = m.unit.sign();
    let ends = cuts.iter().map(|&(bin, edge)| (bin, Some(edge))).chain([(bins.len(), None)]);
    let met: Vec<(&(f64, f64), f64)> =
        outcomes.reach.iter().zip(remaining.iter().copied()).skip(RECORDED).filter(|(_, n)| *n > 0.0).collect();
    let mut splits = Vec::new();
    let (mut first_bin, mut from) = (0, None);
    for (end_bin, to) in ends {
        let label = match (from.map(f64::round), to.map(f64::round)) {
            (None, Some(to)) => say!("below {measure}", measure = measure(to, sign)),
            (Some(from), None) => say!("over {measure}", measure = measure(from, sign)),
            (Some(from), Some(to)) => say!("{from} to {to}", from = number(from), to = measure(to, sign)),
            (None, None) => say!(in "a measure", "any").to_owned(),
        };
        let (below, above) = (to.unwrap_or(f64::INFINITY), from.unwrap_or(f64::NEG_INFINITY));
        let met = met.iter().filter(|((lo, hi), _)| *lo < below && *hi > above);
        let recorded = met.map(|(_, n)| n).sum::<f64>();
        let forms = (recorded + remaining.get(NOT_RECORDED).copied().unwrap_or(0.0)) as usize;
        if forms > 0 {
            let probability = bins.iter().take(end_bin).skip(first_bin).sum();
            splits.push(Split { value: None, label, forms, probability });
        }
        (first_bin, from) = (end_bin, to);
    }
    splits.extend(none_split(column, p, remaining));
    splits
}

fn look_says(column: &Column, left: usize, splits: &[Split]) -> String {
    if left <= 1 {
        return if matches!(column.kind, Kind::Measure(_)) {
            say!("To be surer, measure the {feature}", feature = column.name)
        } else {
            say!("To be surer, look at the {feature}", feature = column.name)
        };
    }
    let feature = &column.name;
    let head = match column.kind {
        Kind::Values(_) => say!("Look at the {feature}: {left} left", feature, left),
        Kind::Measure(ref m) if m.unit == crate::key::Unit::Count => say!("Count the {feature}: {left} left", feature, left),
        Kind::Measure(ref m) if m.unit == crate::key::Unit::G => say!("Weigh: the {feature}: {left} left", feature, left),
        Kind::Measure(_) => say!("Measure the {feature}: {left} left", feature, left),
    };
    match column.kind {
        Kind::Values(_) if splits.len() > 1 => {
            let shown = 6;
            let mut counts: Vec<usize> = splits.iter().map(|s| s.forms).collect();
            counts.sort_unstable_by(|a, b| b.cmp(a));
            let more = if counts.len() > shown { " / …" } else { "" };
            let numbers: Vec<String> = counts.iter().take(shown).map(ToString::to_string).collect();
            say!("{head}, it splits them {numbers}", head, numbers = numbers.join(" / ") + more)
        }
        Kind::Measure(_) if splits.len() > 1 => {
            let (forms, p) = splits.iter().fold((0.0, 0.0), |(f, p), s| (f + s.forms as f64 * s.probability, p + s.probability));
            say!("{head}, about {n} would stay", head, n = number((forms / p.max(1e-9)).round().max(1.0)))
        }
        _ => head,
    }
}
