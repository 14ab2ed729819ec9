//! How likely the clearance between a flange and a gallery is on a lid that sits on its own base.
//!
//! The true clearance of a kind of seat is normal about its middle and never below 0 (a flange wider than its gallery does not go in); what is read of it
//! has the normal error of both readings beside. The densities integrate over everything the true clearance can be.

use super::rules::{Clearance, Rules};
use crate::identify::Measured;
use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// A rule is not read finer, one standard deviation in mm.
const LEAST_SD_MM: f64 = 0.02;

/// The standard normal distribution function.
pub(super) fn phi(z: f64) -> f64 {
    0.5 * libm::erfc(-z * FRAC_1_SQRT_2)
}

/// The normal density with that standard deviation.
pub(super) fn normal(x: f64, sd: f64) -> f64 {
    (-0.5 * (x / sd) * (x / sd)).exp() / (sd * (2.0 * PI).sqrt())
}

/// One standard deviation of a reading, in mm.
pub(super) fn sd_of(read: Measured) -> f64 {
    (read.plus_minus.abs() / 2.0).max(LEAST_SD_MM)
}

/// The readings of one axis: the clearance that follows, and its standard deviation from the readings alone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Axis {
    pub(super) clearance_mm: f64,
    pub(super) sd_mm: f64,
}

impl Axis {
    pub(super) fn new(flange: Measured, gallery: Measured) -> Self {
        Self { clearance_mm: gallery.value - flange.value, sd_mm: sd_of(flange).hypot(sd_of(gallery)) }
    }
}

/// Density of the gallery's reading, per mm, given the flange's and that the two belong together. `size_mm` is the gallery's.
pub(super) fn one_axis(rules: &Rules, axis: Axis, size_mm: f64) -> f64 {
    rules.clearances.iter().map(|kind| kind.share * one_kind(kind, kind.spread_at(size_mm), axis)).sum()
}

/// N(c; μ, s² + m²) · P(true clearance > 0 | c) / P(true clearance > 0): a normal cut off at 0, seen through a normal error.
fn one_kind(kind: &Clearance, spread: f64, axis: Axis) -> f64 {
    let (s2, m2) = (spread * spread, axis.sd_mm * axis.sd_mm);
    let off = axis.clearance_mm - kind.middle_mm;
    let mean = kind.middle_mm + s2 / (s2 + m2) * off;
    let sd = (s2 * m2 / (s2 + m2)).sqrt();
    normal(off, (s2 + m2).sqrt()) * phi(mean / sd) / phi(kind.middle_mm / spread)
}

/// Density of both axes of the gallery, per mm², given those of the flange and that the two belong together.
///
/// The true clearances of the axes have the spread of the seat in common and each the spread of what is out of true beside, so they are correlated; it is
/// the tighter axis that decides whether the lid goes in.
pub(super) fn two_axes(rules: &Rules, major: Axis, minor: Axis, size_mm: f64) -> f64 {
    let (spread, give) = rules.out_of_true;
    let oval = spread.hypot(give * size_mm);
    rules.clearances.iter().map(|kind| kind.share * both_of_kind(kind, kind.spread_at(size_mm), oval, [major, minor])).sum()
}

fn both_of_kind(kind: &Clearance, spread: f64, oval: f64, [major, minor]: [Axis; 2]) -> f64 {
    // Covariance of the true clearances: s² in common, o² each.
    let (own, common) = (spread * spread + oval * oval, spread * spread);
    let (a, b) = (own + major.sd_mm * major.sd_mm, own + minor.sd_mm * minor.sd_mm);
    let det = a * b - common * common;
    let (x, y) = (major.clearance_mm - kind.middle_mm, minor.clearance_mm - kind.middle_mm);
    // Σ⁻¹ (c − μ)
    let (u, v) = ((b * x - common * y) / det, (a * y - common * x) / det);
    let density = (-0.5 * (x * u + y * v)).exp() / (2.0 * PI * det.sqrt());
    // The true clearance of the tighter axis after both readings.
    let tight_is_major = major.clearance_mm <= minor.clearance_mm;
    let (first, second, inverse) = if tight_is_major { (u, v, [b, a]) } else { (v, u, [a, b]) };
    let mean = kind.middle_mm + own * first + common * second;
    let taken = (own * own * inverse[0] - 2.0 * own * common * common + common * common * inverse[1]) / det;
    let sd = (own - taken).max(LEAST_SD_MM * LEAST_SD_MM).sqrt();
    density * phi(mean / sd) / phi(kind.middle_mm / own.sqrt())
}

/// The clearances that a pair can have at all, in mm: beyond them the density is below a millionth of its greatest. `readings_sd_mm` is the greatest that the
/// readings have.
pub(super) fn window_mm(rules: &Rules, size_mm: f64, readings_sd_mm: f64) -> (f64, f64) {
    const FAR: f64 = 5.3;
    let widest =
        rules.clearances.iter().map(|kind| kind.middle_mm + FAR * kind.spread_at(size_mm).hypot(readings_sd_mm)).fold(0.0, f64::max);
    (-FAR * readings_sd_mm, widest)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(value: f64, plus_minus: f64) -> Measured {
        Measured { value, plus_minus }
    }

    #[test]
    fn densities_sum_to_one_or_to_what_the_cut_leaves() {
        let rules = Rules::built_in();
        for (size, give) in [(60.0, 0.2), (110.0, 1.0), (250.0, 4.0)] {
            let (step, mut one, mut two) = (0.05, 0.0, 0.0);
            for i in -600..800 {
                let c = f64::from(i) * step;
                one += step * one_axis(rules, Axis::new(read(size - c, give), read(size, give)), size);
            }
            let step = 0.2;
            for i in -100..200 {
                for j in -100..200 {
                    let axis = |k: i32| Axis::new(read(size - f64::from(k) * step, give), read(size, give));
                    two += step * step * two_axes(rules, axis(i), axis(j), size);
                }
            }
            assert!((one - 1.0).abs() < 1e-3, "{size}: {one}");
            // The cut is made at the tighter axis, and scaled as if there were one.
            assert!((0.85..=1.01).contains(&two), "{size}: {two}");
        }
    }

    #[test]
    fn a_flange_that_is_wider_does_not_go_in_unless_it_was_misread() {
        let rules = Rules::built_in();
        let at = |c: f64, give: f64| one_axis(rules, Axis::new(read(100.0 - c, give), read(100.0, give)), 100.0);
        assert!(at(2.0, 0.2) > 0.3);
        assert!(at(-1.0, 0.2) < 1e-6 * at(2.0, 0.2));
        assert!(at(-1.0, 2.0) > 1e-3 * at(2.0, 2.0));
        assert!(at(6.0, 0.2) < 0.1 * at(2.0, 0.2) && at(6.0, 0.2) > 0.0);
    }

    #[test]
    fn axes_that_differ_are_less_likely_than_axes_that_agree() {
        let rules = Rules::built_in();
        let both = |c: f64, d: f64| {
            let axis = |c: f64| Axis::new(read(100.0 - c, 0.4), read(100.0, 0.4));
            two_axes(rules, axis(c), axis(d), 100.0)
        };
        assert!(both(2.0, 2.0) > 10.0 * both(0.5, 3.5));
        assert!((both(1.0, 2.5) - both(2.5, 1.0)).abs() < 1e-12);
        // Both measured exactly alike says as much as one axis would, and how true the piece is beside.
        assert!(both(-1.0, 2.0) < 1e-4 * both(2.0, 2.0));
    }

    #[test]
    fn nothing_likely_lies_outside_the_window() {
        let rules = Rules::built_in();
        for give in [0.1, 2.0] {
            let axis = |c: f64| Axis::new(read(120.0 - c, give), read(120.0, give));
            let (from, to) = window_mm(rules, 120.0, axis(0.0).sd_mm);
            let most = one_axis(rules, axis(2.0), 120.0);
            assert!(one_axis(rules, axis(from), 120.0) < 1e-4 * most && one_axis(rules, axis(to), 120.0) < 1e-4 * most);
        }
    }

    #[test]
    fn normal_values_agree_with_the_table() {
        // Φ(1.96) = 0.975002 (any table of the normal distribution; from memory).
        assert!((phi(1.96) - 0.975_002).abs() < 1e-6);
        assert!((normal(0.0, 1.0) - 0.398_942_28).abs() < 1e-8);
    }
}
