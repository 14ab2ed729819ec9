//! What is seen on a made-up piece.
//!
//! Drawn from the very distributions that `reading` weighs by, so that a trial without wear, losses and 'can't tell' is the engine's own
//! model, and its probabilities must come out calibrated.

use super::super::column::{Column, Kind, Measure, NOT_APPLICABLE, NOT_RECORDED, RECORDED, Values, What};
use super::super::measure::sd;
use super::super::{Index, Measured, Seen};
use super::Options;
use super::worn::worn_wording;
use crate::key::{FeatureId, Key, Part, Unit, ValueId};
use rand::Rng as _;
use rand::SeedableRng as _;
use rand_chacha::ChaCha8Rng;
use std::collections::HashMap;
use std::f64::consts::PI;

/// Makes pieces of the forms of an index.
pub(super) struct Maker<'a> {
    pub(super) index: &'a Index,
    /// The wording of each mark, its lines joined by blanks.
    wordings: HashMap<&'a str, String>,
    options: Options,
}

impl<'a> Maker<'a> {
    pub(super) fn new(index: &'a Index, key: &'a Key, options: Options) -> Self {
        let wording = |mark: &crate::key::Mark| mark.wording.iter().map(|line| line.text.as_str()).collect::<Vec<_>>().join(" ");
        Self { index, wordings: key.marks.iter().map(|mark| (mark.id.as_str(), wording(mark))).collect(), options }
    }

    /// The dice of one piece: the same whatever else is tried, in whatever order, by however many threads.
    pub(super) fn dice(&self, form: usize, trial: usize, stranger: bool) -> ChaCha8Rng {
        let id = self.index.forms.get(form).map_or("", |entry| entry.id.as_str());
        let mut seed = [0u8; 32];
        let parts = [self.options.seed, fnv_1a(id), trial as u64, u64::from(stranger)];
        for (place, byte) in seed.iter_mut().zip(parts.iter().flat_map(|part| part.to_le_bytes())) {
            *place = byte;
        }
        ChaCha8Rng::from_seed(seed)
    }

    /// Whether the form has a lid.
    pub(super) fn has_lid(&self, form: usize) -> bool {
        self.index.forms.get(form).is_some_and(|entry| entry.parts.contains(&Part::Lid))
    }

    /// What one look at a feature of a piece of the form gives.
    pub(super) fn look(&self, form: usize, feature: &FeatureId, dice: &mut ChaCha8Rng) -> Seen {
        if dice.random_bool(self.options.unread) {
            return Seen::NotSure;
        }
        let Some(column) = self.index.column(feature) else { return Seen::NotSure };
        let slips = dice.random_bool((column.slip * self.options.slips).min(1.0));
        let pattern = match column.pattern_of(form) {
            // The piece has something; the key does not say what. It is taken to be as on the forms of which it is said.
            NOT_RECORDED => any_pattern(column, dice),
            pattern => pattern,
        };
        match &column.kind {
            Kind::Values(values) => self.value(values, pattern, slips, dice),
            Kind::Measure(measure) => measured(measure, pattern, slips, dice),
        }
    }

    fn value(&self, values: &Values, pattern: usize, slips: bool, dice: &mut ChaCha8Rng) -> Seen {
        let k = values.ids.len();
        if k == 0 {
            return Seen::NotSure;
        }
        let read = match (pattern, values.shares.get(pattern)) {
            (NOT_APPLICABLE, _) if !slips => return Seen::NotThere,
            (RECORDED.., Some(shares)) if !shares.is_empty() => {
                let is = share_of(shares, k, dice.random());
                // One of the others, each as likely.
                if slips && k > 1 { (is + dice.random_range(1..k)) % k } else { is }
            }
            _ => dice.random_range(0..k),
        };
        let Some(id) = values.ids.get(read) else { return Seen::NotSure };
        if values.what == What::Mark
            && dice.random_bool(self.options.worn)
            && let Some(wording) = self.wordings.get(id.as_str())
        {
            return worn_wording(wording, dice).map_or(Seen::NotSure, Seen::Wording);
        }
        Seen::Values(vec![ValueId::new(id.as_str())])
    }
}

/// The pattern of a form drawn from those with a record, by how common they are; 'not recorded' where none has one.
fn any_pattern(column: &Column, dice: &mut ChaCha8Rng) -> usize {
    let (recorded, _) = column.prior_of_recorded_and_not_applicable();
    let mut left = dice.random::<f64>() * recorded;
    let mut last = NOT_RECORDED;
    for (pattern, weight) in column.prior.iter().enumerate().skip(RECORDED) {
        if *weight > 0.0 {
            last = pattern;
            left -= weight;
            if left < 0.0 {
                break;
            }
        }
    }
    last
}

/// The value at which the running sum of the shares passes `at`, 0 up to 1. What the shares leave to 1 is that of the other values of all `k`,
/// the same for each; where nothing is left but rounding it is the last.
fn share_of(shares: &[(usize, f64)], k: usize, at: f64) -> usize {
    let mut left = at;
    for &(value, share) in shares {
        left -= share;
        if left < 0.0 {
            return value;
        }
    }
    let last = shares.last().map_or(0, |last| last.0);
    let rest = 1.0 - shares.iter().map(|s| s.1).sum::<f64>();
    let others: Vec<usize> = (0..k).filter(|value| shares.iter().all(|s| s.0 != *value)).collect();
    if rest < 1e-9 || others.is_empty() {
        return last;
    }
    let place = ((left / rest * others.len() as f64) as usize).min(others.len() - 1);
    others.get(place).copied().unwrap_or(last)
}

fn measured(measure: &Measure, pattern: usize, slips: bool, dice: &mut ChaCha8Rng) -> Seen {
    let plus_minus = plus_minus(measure);
    let range = measure.ranges.get(pattern).copied().filter(|range| range.0.is_finite());
    let value = match (pattern, range) {
        (NOT_APPLICABLE, _) if !slips => return Seen::NotThere,
        (RECORDED.., Some((lo, hi))) if !slips => {
            let sd = sd(f64::midpoint(lo, hi), measure.give_percent, plus_minus);
            if measure.unit == Unit::Count {
                // What is counted is a whole number.
                (lo + (hi - lo + 1.0) * dice.random::<f64>()).floor().min(hi)
            } else {
                lo + (hi - lo) * dice.random::<f64>() + sd * normal(dice)
            }
        }
        // A number from nowhere in particular, by the quantile function of the Cauchy distribution.
        _ => {
            let at = dice.random::<f64>().clamp(1e-9, 1.0 - 1e-9);
            measure.broad.middle + measure.broad.half * libm::tan(PI * (at - 0.5))
        }
    };
    Seen::Measured(Measured { value, plus_minus })
}

/// The ± of the rule or scales: 1 % of the middle of all that is recorded of the feature, at least 1; of a count a tenth. The same for every form, so that
/// it does not give the form away. A choice of this program, no source.
pub(super) fn plus_minus(measure: &Measure) -> f64 {
    if measure.unit == Unit::Count { 0.1 } else { (0.01 * measure.broad.middle.abs()).max(1.0) }
}

/// A standard normal number (Box and Muller, Ann. Math. Statist. 29, 1958, 610–611).
fn normal(dice: &mut ChaCha8Rng) -> f64 {
    let radius = libm::sqrt(-2.0 * libm::log(1.0 - dice.random::<f64>()));
    radius * libm::cos(2.0 * PI * dice.random::<f64>())
}

/// The 64-bit FNV-1a hash of Fowler, Noll and Vo, so that a form's dice stay the same when other forms come and go.
fn fnv_1a(text: &str) -> u64 {
    text.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hash_is_the_published_one() {
        // The published values for the empty text and "a" (from memory).
        assert_eq!(fnv_1a(""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(fnv_1a("a"), 0xaf63_dc4c_8601_ec8c);
    }

    #[test]
    fn normal_numbers_have_mean_0_and_variance_1() {
        let mut dice = ChaCha8Rng::seed_from_u64(3);
        let n = 40_000;
        let all: Vec<f64> = (0..n).map(|_| normal(&mut dice)).collect();
        let mean = all.iter().sum::<f64>() / f64::from(n);
        let variance = all.iter().map(|x| x * x).sum::<f64>() / f64::from(n);
        // Four standard errors: 1/√n of the mean, √(2/n) of the variance.
        assert!(mean.abs() < 4.0 / f64::from(n).sqrt(), "{mean}");
        assert!((variance - 1.0).abs() < 4.0 * (2.0 / f64::from(n)).sqrt(), "{variance}");
    }

    #[test]
    fn shares_are_met() {
        let shares = [(4, 0.8), (1, 0.2)];
        assert_eq!([0.0, 0.79, 0.81, 0.999_999, 1.0].map(|at| share_of(&shares, 6, at)), [4, 4, 1, 1, 1]);
        // Counted: one value has 0.8, the other two of three 0.1 each.
        assert_eq!([0.0, 0.79, 0.81, 0.89, 0.91, 0.999].map(|at| share_of(&[(1, 0.8)], 3, at)), [1, 1, 0, 0, 2, 2]);
    }
}
