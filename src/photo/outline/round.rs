//! Round or oval, with a probability.

use nalgebra::{DMatrix, DVector, Matrix2, Vector2};
use std::f64::consts::TAU;

/// A round piece is warped in firing: each of the two components of ln(a/b) has this standard deviation, so that the usual warp is 0.75 %, and 2 % is rare
/// (common practice, no source).
const WARP_SD: f64 = 0.006;
/// From here a piece is made oval on purpose, softly: ln of 1.035, and the softness (common practice, no source).
const OVAL_FROM: (f64, f64) = (0.034, 0.004);
/// Longer than this no oval lid is made: ln of 2 (common practice, no source).
const OVAL_TO: f64 = 0.693;

/// The probability that a piece is round (and warped in firing) rather than oval, both being as likely beforehand: from the measured aspect as the
/// vector ln(a/b)·(cos 2φ, sin 2φ), φ being the direction of the major axis, and its covariance. An oval may have any aspect up to 1 : 2, alike in
/// ln(a/b), and lie in any direction.
pub fn p_round(aspect: Vector2<f64>, covariance: Matrix2<f64>) -> f64 {
    let density = |covariance: Matrix2<f64>| {
        let level = -0.5 * covariance.determinant().max(1e-300).ln() - TAU.ln();
        let inverse = covariance.try_inverse();
        move |mean: Vector2<f64>| {
            let miss = aspect - mean;
            inverse.map_or(f64::NEG_INFINITY, |inverse| level - 0.5 * miss.dot(&(inverse * miss)))
        }
    };
    let round = density(covariance + Matrix2::identity() * WARP_SD.powi(2))(Vector2::zeros());
    // The prior of the length, normalised; the covariance of an oval's own warp goes into the measurement.
    let steps = 400;
    let step = (OVAL_TO + 0.02) / f64::from(steps);
    let prior = |e: f64| 1.0 / (1.0 + (-(e - OVAL_FROM.0) / OVAL_FROM.1).exp()) / (1.0 + ((e - OVAL_TO) / OVAL_FROM.1).exp());
    let whole: f64 = (0..steps).map(|i| prior((f64::from(i) + 0.5) * step)).sum::<f64>() * step;
    let oval = density(covariance + Matrix2::identity() * (0.5 * step).powi(2));
    let directions = 96;
    let ways: Vec<Vector2<f64>> =
        (0..directions).map(|k| TAU * f64::from(k) / f64::from(directions)).map(|a| Vector2::new(a.cos(), a.sin())).collect();
    let mut terms = Vec::with_capacity(ways.len() * steps as usize);
    for i in 0..steps {
        let e = (f64::from(i) + 0.5) * step;
        let weight = (prior(e) * step / whole / f64::from(directions)).ln();
        terms.extend(ways.iter().map(|way| weight + oval(way * e)));
    }
    let top = terms.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let oval = top + terms.iter().map(|t| (t - top).exp()).sum::<f64>().ln();
    1.0 / (1.0 + (oval - round).exp())
}

/// What an ellipse's numbers (of which the fourth and fifth are the aspect as a vector) and their covariance are where the piece is known to be round, and warped
/// as pieces are: what the camera was wrong by then shows in the aspect, and goes out of the size with it (a normal distribution given some of its numbers).
pub(super) fn given_round(at: &DVector<f64>, covariance: &DMatrix<f64>) -> Option<(DVector<f64>, DMatrix<f64>)> {
    let across = covariance.columns(3, 2);
    let aspect = covariance.fixed_view::<2, 2>(3, 3).into_owned();
    let gain = across * (aspect + Matrix2::identity() * WARP_SD.powi(2)).try_inverse()?;
    Some((at - &gain * at.rows(3, 2), covariance - &gain * across.transpose()))
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]
    use super::*;

    /// A camera that may be tilted stretches one axis, and makes the whole larger by half of that.
    #[test]
    fn what_a_tilt_did_to_a_round_piece_goes_out_of_its_size() {
        let (tilt, grain) = (0.02_f64, 0.0004_f64);
        let at = DVector::from_vec(vec![0.0, 0.0, 4.4 + 0.01, 0.02, 0.0]);
        let slope = DVector::from_vec(vec![0.0, 0.0, 0.5, 1.0, 0.0]);
        let covariance = &slope * slope.transpose() * tilt.powi(2) + DMatrix::identity(5, 5) * grain.powi(2);
        let (round, spread) = given_round(&at, &covariance).unwrap();
        // Of an aspect of 2 % a warp may be the twelfth part: 0.006² of 0.006² + 0.02².
        assert!((round[3] - 0.02 * 0.0826).abs() < 1e-4 && (round[2] - 4.4 - 0.01 * 0.0826).abs() < 1e-4, "{round}");
        assert!(spread[(2, 2)].sqrt() < 0.32 * covariance[(2, 2)].sqrt(), "{spread}");
        // Where nothing hangs together nothing moves.
        let apart = DMatrix::identity(5, 5) * 1e-6;
        assert!((given_round(&at, &apart).unwrap().0[2] - at[2]).abs() < 1e-12);
    }

    #[test]
    fn a_warped_round_and_a_small_oval_are_told_apart() {
        let sure = Matrix2::identity() * 0.003_f64.powi(2);
        let p = |aspect: f64| p_round(Vector2::new(aspect.ln(), 0.0), sure);
        assert!(p(1.01) > 0.99, "{}", p(1.01));
        assert!(p(1.05) < 0.01, "{}", p(1.05));
        assert!(p(1.08) < 1e-6, "{}", p(1.08));
        // In between it is not said with certainty.
        assert!((0.02..0.98).contains(&p(1.027)), "{}", p(1.027));
        // It does not matter which way the piece lies.
        let turned = p_round(Vector2::new(0.0, -(1.04_f64).ln()), sure);
        assert!((turned - p(1.04)).abs() < 1e-3);
    }

    /// Pieces drawn as they are believed to be, measured with an error: of those that are said to be round with 0.7 to 0.9, about 80 in 100 are, and so on. Ovals
    /// longer than 1.13 are never taken for round and only counted.
    #[test]
    fn what_is_said_is_right_as_often_as_is_said() {
        use crate::photo::bootstrap::normal;
        use rand::{Rng as _, SeedableRng as _};
        use rayon::prelude::*;
        const LONG: f64 = 0.12;
        let draws: Vec<(f64, f64, f64)> = (0..2400_u64)
            .into_par_iter()
            .map(|seed| {
                let mut dice = rand_chacha::ChaCha8Rng::seed_from_u64(seed);
                let round = seed % 2 == 0;
                let sd = [0.004, 0.008, 0.012][(seed / 2 % 3) as usize];
                // Of all ovals those up to LONG are this share; as many are drawn as there are rounds, so each counts so much.
                let share = (LONG - OVAL_FROM.0) / (OVAL_TO - OVAL_FROM.0);
                let truth = if round {
                    Vector2::new(WARP_SD * normal(&mut dice), WARP_SD * normal(&mut dice))
                } else {
                    let e = loop {
                        let e: f64 = dice.random_range(0.0..LONG);
                        if dice.random::<f64>() < 1.0 / (1.0 + (-(e - OVAL_FROM.0) / OVAL_FROM.1).exp()) {
                            break e;
                        }
                    };
                    let way: f64 = dice.random_range(0.0..TAU);
                    Vector2::new(way.cos(), way.sin()) * e
                };
                let seen = truth + Vector2::new(normal(&mut dice), normal(&mut dice)) * sd;
                (p_round(seen, Matrix2::identity() * sd * sd), f64::from(u8::from(round)), if round { 1.0 } else { share })
            })
            .collect();
        for (low, high) in [(0.1, 0.3), (0.3, 0.5), (0.5, 0.7), (0.7, 0.9), (0.9, 0.97)] {
            let (mut said, mut right, mut all, mut square) = (0.0, 0.0, 0.0, 0.0);
            for (p, round, weight) in draws.iter().filter(|(p, ..)| (low..high).contains(p)) {
                said += weight * p;
                right += weight * round;
                all += weight;
                square += weight * weight;
            }
            // Three standard deviations of a share of so many draws.
            let (said, right, count) = (said / all, right / all, all * all / square);
            let by_chance = 3.0 * (said * (1.0 - said) / count).sqrt();
            assert!(count > 8.0 && (said - right).abs() < by_chance, "said {said:.2}, right {right:.2} by {count:.0}");
        }
    }

    #[test]
    fn a_poor_measurement_leaves_it_open() {
        let poor = Matrix2::identity() * 0.05_f64.powi(2);
        let p = p_round(Vector2::new(0.03, 0.0), poor);
        assert!((0.5..0.95).contains(&p), "{p}");
    }
}
