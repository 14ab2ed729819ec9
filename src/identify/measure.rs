//! The likelihood of a measurement: a uniform range, the give of firing, the ± of the rule, and the odd slip.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// The smallest standard deviation, in the feature's unit: a rule is not read finer.
const LEAST_SD: f64 = 1e-3;

/// One standard deviation of a reading of a form whose range has that middle: √((give/100 · |mid| / 2)² + (± / 2)²).
/// Both the give and the ± are two standard deviations.
pub(super) fn sd(mid: f64, give_percent: f64, plus_minus: f64) -> f64 {
    let plus_minus = if plus_minus.is_finite() { plus_minus.abs() } else { 0.0 };
    (give_percent / 100.0 * mid.abs() / 2.0).hypot(plus_minus / 2.0).max(LEAST_SD)
}

/// The ± of a reading that was given without one: the feature's give at that value.
pub(super) fn default_plus_minus(value: f64, give_percent: f64) -> f64 {
    (give_percent / 100.0 * value.abs()).max(2.0 * LEAST_SD)
}

/// The standard normal distribution function.
fn phi(z: f64) -> f64 {
    0.5 * libm::erfc(-z * FRAC_1_SQRT_2)
}

/// The standard normal density.
fn normal(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * PI).sqrt()
}

/// A true value uniform on a range, read with a normal error: the convolution of the two.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spread {
    pub(super) lo: f64,
    pub(super) hi: f64,
    pub(super) sd: f64,
}

impl Spread {
    /// (Φ((x−lo)/sd) − Φ((x−hi)/sd)) / (hi−lo); the normal density where the range is (nearly) a point.
    pub(super) fn density(self, x: f64) -> f64 {
        let width = self.hi - self.lo;
        if width < 1e-6 * self.sd {
            return normal((x - f64::midpoint(self.lo, self.hi)) / self.sd) / self.sd;
        }
        let (a, b) = ((x - self.lo) / self.sd, (x - self.hi) / self.sd);
        // So far out, Φ is no number above nought: most of ten thousand ranges are passed over here.
        if a < -38.5 || b > 38.5 {
            return 0.0;
        }
        // Differences of small tails, not of numbers near one.
        let p = if b > 0.0 { phi(-b) - phi(-a) } else { phi(a) - phi(b) };
        (p / width).max(0.0)
    }

    /// Probability of a reading up to x: with G(z) = zΦ(z) + φ(z), sd · (G((x−lo)/sd) − G((x−hi)/sd)) / (hi−lo).
    pub(super) fn up_to(self, x: f64) -> f64 {
        let width = self.hi - self.lo;
        if width < 1e-6 * self.sd {
            return phi((x - f64::midpoint(self.lo, self.hi)) / self.sd);
        }
        // Nine standard deviations out, G is its limit to the last bit that counts: φ(9)/81 is below 1e-19.
        let g = |z: f64| match z {
            z if z > 9.0 => z,
            z if z < -9.0 => 0.0,
            z => z * phi(z) + normal(z),
        };
        (self.sd * (g((x - self.lo) / self.sd) - g((x - self.hi) / self.sd)) / width).clamp(0.0, 1.0)
    }

    /// True where x is further than two standard deviations outside the range.
    pub(super) fn excludes(self, x: f64) -> bool {
        x < self.lo - 2.0 * self.sd || x > self.hi + 2.0 * self.sd
    }
}

/// The broad density of a slip, or of a stranger: a Cauchy distribution over the span of the whole key. Its tails are so heavy that no
/// reading is impossible.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Broad {
    pub(super) middle: f64,
    pub(super) half: f64,
}

impl Broad {
    /// Over everything from the least to the greatest recorded.
    pub(super) fn over(lo: f64, hi: f64) -> Self {
        let middle = f64::midpoint(lo, hi);
        Self { middle, half: ((hi - lo) / 2.0).max(0.25 * middle.abs()).max(1.0) }
    }

    pub(super) fn density(self, x: f64) -> f64 {
        let z = (x - self.middle) / self.half;
        1.0 / (PI * self.half * (1.0 + z * z))
    }

    pub(super) fn up_to(self, x: f64) -> f64 {
        0.5 + ((x - self.middle) / self.half).atan() / PI
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_spread_of_two_standard_deviations_is_as_defined() {
        // A middle of 100 mm with 2 % give is ± 2 mm, one sd 1 mm; with a rule of ± 2 mm, √2 mm.
        assert!((sd(100.0, 2.0, 0.0) - 1.0).abs() < 1e-12);
        assert!((sd(100.0, 2.0, 2.0) - 2f64.sqrt()).abs() < 1e-12);
        assert!((sd(100.0, 2.0, f64::NAN) - 1.0).abs() < 1e-12);
        assert!(sd(0.0, 0.0, 0.0) > 0.0);
    }

    #[test]
    fn density_is_the_slope_of_the_distribution_and_sums_to_one() {
        for spread in [
            Spread { lo: 90.0, hi: 96.0, sd: 1.5 },
            Spread { lo: 90.0, hi: 90.0, sd: 1.5 },
            Spread { lo: 10.0, hi: 300.0, sd: 0.5 },
            Spread { lo: 90.0, hi: 90.0001, sd: 2.0 },
        ] {
            let (from, to) = (spread.lo - 12.0 * spread.sd, spread.hi + 12.0 * spread.sd);
            let steps = 40_000;
            let h = (to - from) / f64::from(steps);
            let mut sum = 0.0;
            for i in 0..steps {
                let x = from + (f64::from(i) + 0.5) * h;
                sum += spread.density(x) * h;
                assert!((sum - spread.up_to(x + h / 2.0)).abs() < 1e-4, "{spread:?} at {x}");
            }
            assert!((sum - 1.0).abs() < 1e-6, "{spread:?} sums to {sum}");
            assert!(spread.up_to(-1e9) < 1e-12 && spread.up_to(1e9) > 1.0 - 1e-12);
        }
    }

    #[test]
    fn normal_tails_agree_with_the_published_table() {
        // Φ(1.96) = 0.975002, Φ(−3) = 0.001350 (any table of the normal distribution; from memory).
        assert!((phi(1.96) - 0.975_002).abs() < 1e-6);
        assert!((phi(-3.0) - 0.001_350).abs() < 1e-6);
    }

    #[test]
    fn nothing_is_impossible_to_a_slip() {
        let broad = Broad::over(20.0, 300.0);
        assert!(broad.density(1e6) > 0.0);
        assert!((broad.up_to(160.0) - 0.5).abs() < 1e-12);
        assert!(Broad::over(0.0, 0.0).density(0.0).is_finite());
    }

    #[test]
    fn two_standard_deviations_outside_disagree() {
        let spread = Spread { lo: 90.0, hi: 96.0, sd: 1.5 };
        assert!(!spread.excludes(87.1) && spread.excludes(86.9));
        assert!(!spread.excludes(98.9) && spread.excludes(99.1));
    }
}
