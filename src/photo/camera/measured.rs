//! A measured number with its ±.

use crate::words::decimal;
use serde::Serialize;
use std::fmt;

/// A measured value and its standard deviation, both in the same unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Measured {
    /// The value.
    pub value: f64,
    /// One standard deviation.
    pub sd: f64,
}

impl Measured {
    /// A value and its standard deviation.
    pub const fn new(value: f64, sd: f64) -> Self {
        Self { value, sd }
    }

    /// What is known where this holds with that probability and the other otherwise: the mean and standard deviation of both together.
    #[must_use]
    pub fn mixed(self, other: Self, probability: f64) -> Self {
        let rest = 1.0 - probability;
        let variance = probability * self.sd.powi(2) + rest * other.sd.powi(2) + probability * rest * (self.value - other.value).powi(2);
        Self { value: probability * self.value + rest * other.value, sd: variance.sqrt() }
    }

    /// What is written behind ±: two standard deviations, within which 95 of 100 measurements lie.
    pub fn plus_minus(self) -> f64 {
        2.0 * self.sd
    }
}

impl fmt::Display for Measured {
    /// `132.4 ± 0.6`: as many places as the ± deserves, and never more than two.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let pm = self.plus_minus();
        let places = if pm >= 9.95 { 0 } else { usize::from(pm < 0.095) + 1 };
        f.write_str(&decimal(format!("{:.places$} ± {:.places$}", self.value, pm)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_answers_are_mixed_with_what_lies_between_them() {
        let (a, b) = (Measured::new(10.0, 0.3), Measured::new(12.0, 0.4));
        assert_eq!((a.mixed(b, 1.0), a.mixed(b, 0.0)), (a, b));
        let half = a.mixed(b, 0.5);
        // The mean of the variances, and the square of half their distance.
        assert!((half.value - 11.0).abs() < 1e-12 && (half.sd - (0.125_f64 + 1.0).sqrt()).abs() < 1e-12, "{half:?}");
    }

    #[test]
    fn places_follow_the_uncertainty() {
        assert_eq!(Measured::new(132.44, 0.3).to_string(), "132.4 ± 0.6");
        assert_eq!(Measured::new(132.44, 0.02).to_string(), "132.44 ± 0.04");
        assert_eq!(Measured::new(1432.44, 7.0).to_string(), "1432 ± 14");
    }
}
