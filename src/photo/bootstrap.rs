//! The ± of a measurement found a second way: by measuring again and again what might as well have been seen.
//!
//! The propagated ± rests on slopes and on a guess of how many points of an edge are independent. Here nothing is linear and nothing is guessed of that: the
//! card's edges and the outline are put where they were fitted, get the leftovers of other stretches of themselves, and everything is fitted anew (a
//! bootstrap of residuals in runs). What no look at one picture can show is drawn from what is believed of it: the lens, the size of cards, how far beside
//! itself an edge is seen. A seed makes it repeatable, on any number of threads.

use super::Progress;
use super::measure::{MeasureError, Prepared, Scaled};
use super::outline::Above;
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;
use serde::Serialize;

/// The fewest rounds that say anything of a spread.
pub const LEAST_ROUNDS: usize = 20;
/// The most that are worth waiting for.
pub const MOST_ROUNDS: usize = 5000;

/// What came of measuring an outline from above again and again: standard deviations.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AboveAgain {
    /// How many rounds gave an outline.
    pub rounds: usize,
    /// Of the major axis, in mm.
    pub major_sd_mm: f64,
    /// Of the minor axis, in mm.
    pub minor_sd_mm: f64,
    /// Of the aspect.
    pub aspect_sd: f64,
    /// Of the perimeter, in mm.
    pub perimeter_sd_mm: f64,
    /// Of the area, in mm².
    pub area_sd_mm2: f64,
    /// Share of the rounds in which the outline was round rather than oval, with corners or without: the mean of what each said.
    pub p_round: f64,
}

impl Prepared {
    /// Measures an outline that was found from above `rounds` times again; the same seed gives the same.
    ///
    /// # Errors
    /// [`MeasureError::Rounds`] outside [`LEAST_ROUNDS`] to [`MOST_ROUNDS`], [`MeasureError::NoSpread`] where the tilt is not known or half the rounds gave
    /// nothing, [`MeasureError::Stopped`].
    pub fn above_again(
        &self,
        scaled: &Scaled,
        found: &Above,
        rounds: usize,
        seed: u64,
        progress: &Progress,
    ) -> Result<AboveAgain, MeasureError> {
        check(rounds)?;
        // Where the tilt is open there is not one camera to draw others about.
        if !scaled.tilt_known() {
            return Err(MeasureError::NoSpread);
        }
        let one = |round: usize| {
            if progress.is_cancelled() {
                return None;
            }
            let mut dice = dice(seed, round);
            let camera = match &scaled.card {
                Some(card) => card.seen_again(&mut dice)?,
                None => scaled.camera.drawn(&mut dice)?,
            };
            found.seen_again(&scaled.camera, &camera, &mut dice)
        };
        let all: Vec<Above> = (0..rounds).into_par_iter().filter_map(one).collect();
        if progress.is_cancelled() {
            return Err(MeasureError::Stopped);
        }
        if 2 * all.len() < rounds {
            return Err(MeasureError::NoSpread);
        }
        let sd = |of: &dyn Fn(&Above) -> f64| spread(&all.iter().map(of).collect::<Vec<_>>());
        Ok(AboveAgain {
            rounds: all.len(),
            major_sd_mm: sd(&|a| a.major_mm.value),
            minor_sd_mm: sd(&|a| a.minor_mm.value),
            aspect_sd: sd(&|a| a.aspect.value),
            perimeter_sd_mm: sd(&|a| a.perimeter_mm.value),
            area_sd_mm2: sd(&|a| a.area_mm2.value),
            p_round: all.iter().map(|a| a.p_round).sum::<f64>() / all.len() as f64,
        })
    }
}

/// Refuses a number of rounds that says nothing or takes for ever.
pub(super) fn check(rounds: usize) -> Result<(), MeasureError> {
    if (LEAST_ROUNDS..=MOST_ROUNDS).contains(&rounds) { Ok(()) } else { Err(MeasureError::Rounds { rounds }) }
}

/// The dice of a round, whichever thread it falls to.
pub(super) fn dice(seed: u64, round: usize) -> ChaCha8Rng {
    let mut dice = ChaCha8Rng::seed_from_u64(seed);
    dice.set_stream(round as u64);
    dice
}

/// A number from the normal distribution of mean 0 and standard deviation 1 (Box & Muller, Annals of Mathematical Statistics 29, 1958, 610–611).
pub(super) fn normal(dice: &mut ChaCha8Rng) -> f64 {
    let (u, v): (f64, f64) = (1.0 - dice.random::<f64>(), dice.random());
    (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
}

/// As many numbers, drawn from those given in runs of neighbours.
pub(super) fn runs(of: &[f64], run: usize, dice: &mut ChaCha8Rng) -> Vec<f64> {
    let mut drawn = Vec::with_capacity(of.len() + run);
    while drawn.len() < of.len() {
        let from = dice.random_range(0..of.len());
        drawn.extend(of.iter().cycle().skip(from).take(run).copied());
    }
    drawn.truncate(of.len());
    drawn
}

/// The standard deviation of numbers about their mean.
pub(super) fn spread(of: &[f64]) -> f64 {
    let n = of.len() as f64;
    let mean = of.iter().sum::<f64>() / n.max(1.0);
    (of.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0).max(1.0)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_hold_what_was_given_and_neighbours_stay_together() {
        let of: Vec<f64> = (0..50).map(f64::from).collect();
        let drawn = runs(&of, 5, &mut dice(3, 0));
        assert_eq!(drawn.len(), 50);
        let together =
            drawn.windows(2).filter(|w| matches!(w, [a, b] if (b - a - 1.0).abs() < 1e-12 || (a - b - 49.0).abs() < 1e-12)).count();
        assert!(together >= 40, "{together}");
        assert!(runs(&[], 5, &mut dice(3, 0)).is_empty());
        assert!(runs(&of, 5, &mut dice(3, 0)) == drawn && runs(&of, 5, &mut dice(3, 1)) != drawn);
    }

    #[test]
    fn normal_numbers_have_a_spread_of_one() {
        let mut dice = dice(8, 0);
        let drawn: Vec<f64> = (0..4000).map(|_| normal(&mut dice)).collect();
        assert!((spread(&drawn) - 1.0).abs() < 0.05 && drawn.iter().sum::<f64>().abs() < 0.05 * 4000.0);
    }
}
