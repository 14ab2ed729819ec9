//! The habit of a list: how the sizes it names go with what a rule measures.

use std::f64::consts::PI;

/// How the lengths a list names go with measured ones: the ratio of the two, written by measured. To the verge or to the rim, in inches rounded up or as
/// pressed and not as fired: all of it shows in one ratio, with a spread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Habit {
    /// Written by measured.
    pub ratio: f64,
    /// How far entries stray from it, as a share (one standard deviation).
    pub spread: f64,
    /// On how many entries it rests; 0 where it was stated or only supposed.
    pub entries: usize,
}

/// What is supposed before any entry is looked at: written as measured, give or take six in a hundred. A choice of this program, no source: lists of
/// the trade round to a quarter of an inch and more.
const SUPPOSED: Habit = Habit { ratio: 1.0, spread: 0.06, entries: 0 };
/// The supposition is worth so many entries.
const WORTH: f64 = 3.0;
/// No list is more exact: a quarter of an inch in ten is rounded away.
const LEAST_SPREAD: f64 = 0.012;

impl Default for Habit {
    fn default() -> Self {
        SUPPOSED
    }
}

impl Habit {
    /// What the ratios of some entries say, each with how much it counts (the probability that its form is the right one).
    #[must_use]
    pub fn learnt(ratios: &[(f64, f64)]) -> Self {
        let sound: Vec<(f64, f64)> = ratios.iter().copied().filter(|(ratio, p)| *ratio > 0.0 && ratio.is_finite() && *p > 0.0).collect();
        let all: f64 = sound.iter().map(|(_, p)| p).sum();
        let mean = sound.iter().map(|(ratio, p)| p * ratio.ln()).sum::<f64>() / (all + WORTH);
        let off: f64 = sound.iter().map(|(ratio, p)| p * (ratio.ln() - mean).powi(2)).sum();
        let spread = ((off + WORTH * SUPPOSED.spread * SUPPOSED.spread / 2.0) / (all + WORTH)).sqrt();
        Self { ratio: mean.exp(), spread: spread.clamp(LEAST_SPREAD, 0.15), entries: sound.len() }
    }

    /// How likely that written length is of a piece measured between two lengths, against any length between 40 and 500 mm (each doubling alike).
    pub(super) fn ln_ratio(&self, written_mm: f64, (low, high): (f64, f64)) -> f64 {
        let off = (written_mm / (f64::midpoint(low, high) * self.ratio)).ln();
        let sd = self.spread.hypot((high - low) / (high + low) / 2.0);
        let density = (-0.5 * (off / sd).powi(2)).exp() / (sd * (2.0 * PI).sqrt());
        let any = 1.0 / (500.0f64 / 40.0).ln();
        (density / any).max(1e-4).ln()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_that_measures_to_the_verge_is_found_out() {
        let ratios: Vec<(f64, f64)> = (0..12).map(|n| (0.92 * (1.0 + 0.004 * f64::from(n % 3 - 1)), 0.95)).collect();
        let habit = Habit::learnt(&ratios);
        assert!((habit.ratio - 0.935).abs() < 0.02 && habit.spread < 0.06 && habit.entries == 12, "{habit:?}");
        assert!(habit.ln_ratio(184.0, (199.0, 201.0)) > habit.ln_ratio(200.0, (199.0, 201.0)));
        let nothing = Habit::learnt(&[(f64::NAN, 1.0), (-1.0, 1.0)]);
        assert_eq!((nothing.entries, nothing.ratio), (0, 1.0));
    }
}
