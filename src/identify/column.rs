//! One feature over all forms, compiled.
//!
//! Forms with the same record of a feature share a *pattern*, so a column is one small number a form and a short table a pattern. An
//! observation is weighed once a pattern and gathered once a form; the gain of a look needs only the probability that stands on each
//! pattern.

use super::Agreement;
use super::measure::{Broad, Spread, sd};
use super::standing::is_against;
use super::table::Bits;
use super::text::{any_of, measure, number};
use crate::colour::Lab;
use crate::key::{Feature, FeatureId, Part, Unit, ValueId};
use crate::marks::Wordings;
use crate::say;
use std::collections::HashMap;
use std::sync::Arc;

/// Pattern of the forms to which the feature does not apply.
pub(super) const NOT_APPLICABLE: usize = 0;
/// Pattern of the forms of which nothing is recorded.
pub(super) const NOT_RECORDED: usize = 1;
/// The first pattern that says something.
pub(super) const RECORDED: usize = 2;

/// Pieces of each value that are taken to have been counted before the first.
const JEFFREYS: f64 = 0.5;

/// What one form has of a feature, as the key says it.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Record {
    NotApplicable,
    NotRecorded,
    /// Value number and weight, above 0, in the order of the feature's values.
    Values(Vec<(usize, f64)>),
    /// Value number and the number of pieces it was counted on, above 0, in the order of the feature's values.
    Counted(Vec<(usize, f64)>),
    Between(f64, f64),
}

/// A feature, compiled.
#[derive(Debug, Clone)]
pub(super) struct Column {
    pub(super) id: FeatureId,
    pub(super) name: String,
    pub(super) part: Part,
    pub(super) view: crate::key::View,
    /// Share of honest readings that are wrong, 0 to 0.5.
    pub(super) slip: f64,
    /// At least 0.05.
    pub(super) effort: f64,
    /// Parts without which the feature cannot be looked at.
    pub(super) needs: Vec<Part>,
    /// The pattern of each form, in the order of the index.
    pub(super) pattern: Arc<[u32]>,
    /// For each value the forms that can have it or of which nothing is recorded. Empty for a measure, and where the values are too many.
    can_have: Arc<[Bits]>,
    /// The record of each pattern, as the key has it.
    records: Arc<[Record]>,
    /// Prior weight of the forms of each pattern; they sum to 1 over all patterns (0 in an empty key).
    pub(super) prior: Vec<f64>,
    pub(super) kind: Kind,
}

#[derive(Debug, Clone)]
pub(super) enum Kind {
    Values(Values),
    Measure(Measure),
}

/// The values of a feature that is not measured.
#[derive(Debug, Clone)]
pub(super) struct Values {
    pub(super) what: What,
    pub(super) ids: Vec<ValueId>,
    pub(super) names: Vec<String>,
    /// Colour and spread of the values that have one.
    pub(super) colours: Vec<Option<(Lab, f64)>>,
    /// Wordings of the values, where these are marks; in their order.
    pub(super) wordings: Option<Arc<Wordings>>,
    /// For each pattern, the value numbers with the share of each, scaled to 1. Empty for the first two.
    pub(super) shares: Vec<Vec<(usize, f64)>>,
    /// For each pattern, the share of each value that is not named in `shares`: above 0 where pieces were counted, since one more piece may
    /// be the first of its kind.
    pub(super) floors: Vec<f64>,
}

/// What the values are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum What {
    Choice,
    Glaze,
    Decoration,
    Mark,
}

/// The ranges of a measured feature.
#[derive(Debug, Clone)]
pub(super) struct Measure {
    pub(super) unit: Unit,
    pub(super) give_percent: f64,
    /// For each pattern its range; not a number for the first two.
    pub(super) ranges: Vec<(f64, f64)>,
    /// The density of a slip.
    pub(super) broad: Broad,
}

impl Measure {
    /// How readings of a pattern spread that are good to that ±.
    pub(super) fn spread(&self, (lo, hi): (f64, f64), plus_minus: f64) -> Spread {
        Spread { lo, hi, sd: sd(f64::midpoint(lo, hi), self.give_percent, plus_minus) }
    }

    /// A range in words: '92 to 95 mm'.
    pub(super) fn words(&self, (lo, hi): (f64, f64)) -> String {
        if (hi - lo).abs() < 1e-9 {
            measure(lo, self.unit.sign())
        } else {
            say!("{from} to {to}", from = number(lo), to = measure(hi, self.unit.sign()))
        }
    }
}

impl Values {
    /// Number of values, at least 1, as a divisor.
    pub(super) fn k(&self) -> f64 {
        self.ids.len().max(1) as f64
    }

    /// Probability of reading each value on a form that has these shares, and `floor` for every other value, at that slip rate:
    /// (1−ε) q(v) + ε (1−q(v)) / (k−1).
    pub(super) fn channel(&self, shares: &[(usize, f64)], floor: f64, slip: f64) -> Vec<f64> {
        if self.ids.len() == 1 {
            // Nothing to misread it for.
            return vec![if shares.is_empty() { 0.0 } else { 1.0 }];
        }
        let others = self.k() - 1.0;
        let read = |share: f64| (1.0 - slip) * share + slip * (1.0 - share) / others;
        let mut p = vec![read(floor); self.ids.len()];
        for &(value, share) in shares {
            if let Some(p) = p.get_mut(value) {
                *p = read(share);
            }
        }
        p
    }

    /// What a pattern has, in words: 'round', 'usually round, sometimes oval', 'round or oval'.
    pub(super) fn words(&self, shares: &[(usize, f64)]) -> String {
        let most = shares.iter().map(|s| s.1).fold(0.0, f64::max);
        let name = |v: usize| self.names.get(v).map_or("", String::as_str);
        let (often, seldom): (Vec<&str>, Vec<&str>) =
            shares.iter().fold((Vec::new(), Vec::new()), |(mut often, mut seldom), &(v, share)| {
                if share > 0.6 * most {
                    often.push(name(v));
                } else {
                    seldom.push(name(v));
                }
                (often, seldom)
            });
        if seldom.is_empty() {
            any_of(&often)
        } else {
            say!("usually {often}, sometimes {seldom}", often = any_of(&often), seldom = any_of(&seldom))
        }
    }
}

impl Column {
    /// Compiles a feature. `records` has one a form, in the order of the index, beside its prior weight.
    pub(super) fn new<'r>(
        feature: &Feature,
        name: String,
        needs: Vec<Part>,
        kind: KindOf,
        records: impl Iterator<Item = &'r Record>,
        priors: &[f64],
    ) -> Self {
        let mut pattern = Vec::with_capacity(priors.len());
        let mut distinct: Vec<&Record> = vec![&Record::NotApplicable, &Record::NotRecorded];
        let mut numbers = Numbers::default();
        let mut prior = vec![0.0; RECORDED];
        for (record, weight) in records.zip(priors) {
            let number = match record {
                Record::NotApplicable => NOT_APPLICABLE as u32,
                Record::NotRecorded => NOT_RECORDED as u32,
                said => {
                    let next = distinct.len() as u32;
                    let number = numbers.number(said, next);
                    if number == next {
                        distinct.push(said);
                        prior.push(0.0);
                    }
                    number
                }
            };
            if let Some(sum) = prior.get_mut(number as usize) {
                *sum += weight;
            }
            pattern.push(number);
        }
        let kind = match kind {
            KindOf::Values { what, ids, names, colours, wordings } => {
                let (shares, floors) = distinct.iter().map(|record| record.shares(ids.len())).unzip();
                Kind::Values(Values { what, ids, names, colours, wordings, shares, floors })
            }
            KindOf::Measure { unit, give_percent } => {
                let ranges: Vec<(f64, f64)> = distinct.iter().map(|record| record.range()).collect();
                let lo = ranges.iter().map(|r| r.0).fold(f64::INFINITY, f64::min);
                let hi = ranges.iter().map(|r| r.1).fold(f64::NEG_INFINITY, f64::max);
                let broad = if lo <= hi { Broad::over(lo, hi) } else { Broad::over(0.0, 0.0) };
                Kind::Measure(Measure { unit, give_percent, ranges, broad })
            }
        };
        let slip = if feature.slip.is_finite() { feature.slip.clamp(0.0, 0.5) } else { 0.0 };
        let effort = if feature.effort.is_finite() { feature.effort.max(0.05) } else { 1.0 };
        let can_have = can_have(&kind, &pattern).into();
        let pattern = pattern.into();
        let records = distinct.into_iter().cloned().collect();
        Self {
            id: feature.id.clone(),
            name,
            part: feature.part,
            view: feature.view,
            slip,
            effort,
            needs,
            pattern,
            can_have,
            records,
            prior,
            kind,
        }
    }

    /// The forms that an answer with these agreements, by pattern, leaves.
    pub(super) fn left_by(&self, agreement: &[Agreement]) -> Bits {
        self.left_by_values(agreement).unwrap_or_else(|| {
            let stays: Vec<bool> = agreement.iter().map(|a| !is_against(*a)).collect();
            Bits::from_truth(self.pattern.iter().map(|&pattern| stays.get(pattern as usize).copied().unwrap_or(true)))
        })
    }

    /// The same where the answer leaves just those that can have one of a few values: the sets of those values together.
    fn left_by_values(&self, agreement: &[Agreement]) -> Option<Bits> {
        let Kind::Values(values) = &self.kind else { return None };
        let stays = |pattern: usize| agreement.get(pattern).is_some_and(|a| !is_against(*a));
        if self.can_have.is_empty() || stays(NOT_APPLICABLE) || !stays(NOT_RECORDED) {
            return None;
        }
        let mut seen = vec![true; self.can_have.len()];
        for (_, shares) in values.shares.iter().enumerate().skip(RECORDED).filter(|(pattern, _)| !stays(*pattern)) {
            for &(value, _) in shares {
                if let Some(seen) = seen.get_mut(value) {
                    *seen = false;
                }
            }
        }
        let by_values = |shares: &[(usize, f64)]| shares.iter().any(|&(value, _)| seen.get(value).copied().unwrap_or(false));
        if (RECORDED..).zip(values.shares.iter().skip(RECORDED)).any(|(pattern, shares)| by_values(shares) != stays(pattern)) {
            return None;
        }
        let mut sets = self.can_have.iter().zip(&seen).filter_map(|(set, seen)| seen.then_some(set));
        let mut left = sets.next()?.clone();
        sets.for_each(|set| left.join(set));
        Some(left)
    }

    /// Number of patterns, the two silent ones among them.
    pub(super) fn patterns(&self) -> usize {
        self.prior.len()
    }

    /// Prior weight of all forms that have a record, and of those the feature does not apply to.
    pub(super) fn prior_of_recorded_and_not_applicable(&self) -> (f64, f64) {
        (self.prior.iter().skip(RECORDED).sum(), self.prior.get(NOT_APPLICABLE).copied().unwrap_or(0.0))
    }

    /// Sums a number a form over the forms of each pattern.
    pub(super) fn gather(&self, of_form: impl Iterator<Item = f64>) -> Vec<f64> {
        let mut sums = vec![0.0; self.patterns()];
        for (&pattern, x) in self.pattern.iter().zip(of_form) {
            if let Some(sum) = sums.get_mut(pattern as usize) {
                *sum += x;
            }
        }
        sums
    }

    /// The pattern of a form.
    pub(super) fn pattern_of(&self, form: usize) -> usize {
        self.pattern.get(form).map_or(NOT_RECORDED, |&p| p as usize)
    }

    /// The record of a form, as the key has it.
    pub(super) fn record_of(&self, form: usize) -> Option<&Record> {
        self.records.get(self.pattern_of(form))
    }

    /// What a pattern has, in words.
    pub(super) fn words(&self, pattern: usize) -> String {
        match (pattern, &self.kind) {
            (NOT_APPLICABLE, _) => self.none(),
            (NOT_RECORDED, _) => say!("not recorded").to_owned(),
            (_, Kind::Values(values)) => values.shares.get(pattern).map_or_else(String::new, |shares| values.words(shares)),
            (_, Kind::Measure(m)) => m.ranges.get(pattern).map_or_else(String::new, |&range| m.words(range)),
        }
    }

    /// That there is none: 'no lid', or 'none' for a feature of the body.
    pub(super) fn none(&self) -> String {
        if self.part == Part::Body { say!(in "a part", "none").to_owned() } else { say!("no {part}", part = self.part.word()) }
    }
}

/// The pattern numbers of the records met so far. Most records are one value or one range, which no memory has to be fetched for.
#[derive(Default)]
struct Numbers {
    short: HashMap<[u64; 2], u32>,
    long: HashMap<Vec<u64>, u32>,
}

impl Numbers {
    fn number(&mut self, record: &Record, next: u32) -> u32 {
        match record.short_bits() {
            Some(bits) => *self.short.entry(bits).or_insert(next),
            None => *self.long.entry(record.bits()).or_insert(next),
        }
    }
}

/// Most values of which the sets of forms are kept.
const MOST_SETS: usize = 64;

fn can_have(kind: &Kind, pattern: &[u32]) -> Vec<Bits> {
    let Kind::Values(values) = kind else { return Vec::new() };
    let count = values.ids.len();
    if count > MOST_SETS {
        return Vec::new();
    }
    let mut sets = vec![Bits::none(pattern.len()); count];
    for (form, &pattern) in pattern.iter().enumerate() {
        if pattern as usize == NOT_RECORDED {
            for set in &mut sets {
                set.insert(form);
            }
        } else if let Some(shares) = values.shares.get(pattern as usize) {
            for &(value, _) in shares {
                if let Some(set) = sets.get_mut(value) {
                    set.insert(form);
                }
            }
        }
    }
    sets
}

/// A feature's kind with the names of its values, before its forms are known.
pub(super) enum KindOf {
    Values { what: What, ids: Vec<ValueId>, names: Vec<String>, colours: Vec<Option<(Lab, f64)>>, wordings: Option<Arc<Wordings>> },
    Measure { unit: Unit, give_percent: f64 },
}

impl Record {
    /// Values with how often, as shares are made from them; values of no weight are left out.
    pub(super) fn values(values: Vec<(usize, f64)>) -> Self {
        let values = tidy(values, f64::max);
        if values.is_empty() { Self::NotRecorded } else { Self::Values(values) }
    }

    /// Values with the number of pieces each was counted on; those counted on none are left out.
    pub(super) fn counted(values: Vec<(usize, f64)>) -> Self {
        let values = tidy(values, |a, b| a + b);
        if values.is_empty() { Self::NotRecorded } else { Self::Counted(values) }
    }

    /// A range; turned round where it stands the wrong way, nothing where it is no number.
    pub(super) fn between(lo: f64, hi: f64) -> Self {
        if lo.is_finite() && hi.is_finite() { Self::Between(lo.min(hi), lo.max(hi)) } else { Self::NotRecorded }
    }

    /// The record in two words, where it fits.
    fn short_bits(&self) -> Option<[u64; 2]> {
        match self {
            Self::Values(values) => match values.as_slice() {
                [(v, w)] => Some([*v as u64, w.to_bits()]),
                _ => None,
            },
            Self::Between(lo, hi) => Some([lo.to_bits(), hi.to_bits()]),
            Self::Counted(_) | Self::NotApplicable | Self::NotRecorded => None,
        }
    }

    fn bits(&self) -> Vec<u64> {
        match self {
            Self::Values(values) => values.iter().flat_map(|&(v, w)| [v as u64, w.to_bits()]).collect(),
            // No value has this number.
            Self::Counted(values) => [u64::MAX].into_iter().chain(values.iter().flat_map(|&(v, n)| [v as u64, n.to_bits()])).collect(),
            Self::Between(lo, hi) => vec![lo.to_bits(), hi.to_bits()],
            Self::NotApplicable | Self::NotRecorded => Vec::new(),
        }
    }

    /// The share of each value, and that of every value not named, for a feature of `k` values.
    ///
    /// A count n of N pieces is worth (n + ½) / (N + k/2): the mean of the multinomial's shares under Jeffreys' prior (H. Jeffreys, Proc. R. Soc.
    /// Lond. A 186, 1946, p. 453–461), from memory. A value never counted keeps ½ / (N + k/2).
    fn shares(&self, k: usize) -> (Vec<(usize, f64)>, f64) {
        match self {
            Self::Values(values) => {
                let sum: f64 = values.iter().map(|v| v.1).sum();
                (values.iter().map(|&(v, w)| (v, w / sum)).collect(), 0.0)
            }
            Self::Counted(values) => {
                let sum = values.iter().map(|v| v.1).sum::<f64>() + JEFFREYS * k as f64;
                (values.iter().map(|&(v, n)| (v, (n + JEFFREYS) / sum)).collect(), JEFFREYS / sum)
            }
            Self::NotApplicable | Self::NotRecorded | Self::Between(..) => (Vec::new(), 0.0),
        }
    }

    fn range(&self) -> (f64, f64) {
        if let Self::Between(lo, hi) = *self { (lo, hi) } else { (f64::NAN, f64::NAN) }
    }
}

/// In the order of the values, each once, joined by `join`, without those of no weight.
fn tidy(mut values: Vec<(usize, f64)>, join: impl Fn(f64, f64) -> f64) -> Vec<(usize, f64)> {
    values.retain(|v| v.1 > 0.0);
    values.sort_by_key(|v| v.0);
    values.dedup_by(|later, first| {
        let same = later.0 == first.0;
        if same {
            first.1 = join(first.1, later.1);
        }
        same
    });
    values
}

/// How much of a claim counts: half where it is only suspected, nothing where it is refuted.
///
/// The half is a choice of this program, no source.
pub(super) const fn held_to(how: crate::key::How) -> f64 {
    use crate::key::How;
    match how {
        How::Refuted => 0.0,
        How::Suspected => 0.5,
        How::Seen | How::InPaper | How::Inferred => 1.0,
    }
}
