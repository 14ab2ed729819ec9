//! Spread and weights that outliers do not move.

/// Reach of Tukey's biweight in robust standard deviations, for 95 % efficiency with normal errors (Beaton & Tukey, Technometrics 16, 1974, 147–185; the
/// constant from memory).
pub(crate) const TUKEY: f64 = 4.685;

/// Weight of a residual that is so many times the reach: 1 at none, 0 from one reach on.
pub(crate) fn biweight(reaches: f64) -> f64 {
    if reaches.abs() < 1.0 { (1.0 - reaches * reaches).powi(2) } else { 0.0 }
}

/// The middle one of some numbers, the greater of two. 0 of none.
pub(crate) fn median(numbers: impl IntoIterator<Item = f64>) -> f64 {
    let mut all: Vec<f64> = numbers.into_iter().collect();
    let middle = all.len() / 2;
    if all.is_empty() { 0.0 } else { *all.select_nth_unstable_by(middle, f64::total_cmp).1 }
}

/// Robust standard deviation of residuals: 1.4826 times their median size, which is theirs where they are normal. 0 of none.
pub(crate) fn robust_sd(residuals: impl IntoIterator<Item = f64>) -> f64 {
    1.4826 * median(residuals.into_iter().map(f64::abs))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_far_off_moves_neither_spread_nor_fit() {
        assert!((robust_sd([-1.0, 1.0, 1.0, -1.0, 900.0]) - 1.4826).abs() < 1e-12);
        assert!(robust_sd([]).abs() < 1e-12);
        assert!((biweight(0.0) - 1.0).abs() < 1e-12 && (biweight(0.5) - 0.5625).abs() < 1e-12 && biweight(-1.0).abs() < 1e-12);
    }
}
