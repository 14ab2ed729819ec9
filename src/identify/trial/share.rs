//! A share with the interval it is known in.

/// The two-sided 95 % point of the standard normal distribution.
const Z: f64 = 1.959_963_984_540_054;

/// So many of so many, with its 95 % interval (Wilson, J. Amer. Statist. Assoc. 22, 1927, 209–212).
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Share {
    /// The share, 0 to 1; 0 of nothing.
    pub share: f64,
    /// The lower end of the interval.
    pub low: f64,
    /// The upper end of the interval; 1 of nothing.
    pub high: f64,
}

impl Share {
    /// `n` of `all`.
    pub fn of(n: usize, all: usize) -> Self {
        Self::weighted(if all == 0 { 0.0 } else { n as f64 / all as f64 }, all as f64)
    }

    /// A share that comes from so many equal observations, or as many as unequal ones are worth (Kish's (Σw)² ÷ Σw²).
    pub(super) fn weighted(share: f64, worth: f64) -> Self {
        if worth.is_nan() || worth <= 0.0 {
            return Self { share: 0.0, low: 0.0, high: 1.0 };
        }
        let z2 = Z * Z / worth;
        let middle = (share + z2 / 2.0) / (1.0 + z2);
        let half = Z * ((share * (1.0 - share)).max(0.0) / worth + z2 / (4.0 * worth)).sqrt() / (1.0 + z2);
        // Nothing found leaves 0 possible, and all found 1: the formula gives both but for rounding.
        let low = if share <= 0.0 { 0.0 } else { (middle - half).max(0.0) };
        let high = if share >= 1.0 { 1.0 } else { (middle + half).min(1.0) };
        Self { share, low, high }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn intervals_are_the_published_ones() {
        // Newcombe, Statistics in Medicine 17, 1998, 857–872, table I, method 3 (from memory; recomputed elsewhere to four places).
        for (n, all, low, high) in [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)] {
            let share = Share::of(n, all);
            assert!((share.low - low).abs() < 5e-5 && (share.high - high).abs() < 5e-5, "{n} of {all}: {share:?}");
        }
    }

    #[test]
    fn nothing_of_nothing_may_be_anything() {
        assert_eq!(Share::of(0, 0), Share { share: 0.0, low: 0.0, high: 1.0 });
        let all = Share::of(50, 50);
        assert!((all.share - 1.0).abs() < 1e-12 && (all.high - 1.0).abs() < 1e-12 && all.low > 0.9);
    }
}
