//! How many kinds nobody has seen yet: estimates from how many were seen once and twice.

/// How many kinds there are, by the kinds seen, each so often.
///
/// Chao's lower bound in its bias-corrected form, `S + f₁(f₁ − 1) / (2(f₂ + 1))` (Chao, Scandinavian Journal of Statistics 11, 1984, 265–270; the form with
/// +1 in Chao, Encyclopedia of Statistical Sciences, 2005), its variance and log-normal interval (Chao, Biometrics 43, 1987, 783–791), and the Good–Turing
/// coverage `1 − f₁ / n` (Good, Biometrika 40, 1953, 237–264). Formulas from memory; the values are checked against scikit-bio.
/// It holds where finds come at random; whoever buys only what they lack sees singles where there are none.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Richness {
    /// Kinds seen.
    pub kinds: u64,
    /// Finds.
    pub finds: u64,
    /// Kinds seen once.
    pub once: u64,
    /// Kinds seen twice.
    pub twice: u64,
    /// Kinds there are at the least, by Chao 1984; the kinds seen where nothing can be said.
    pub estimate: f64,
    /// Variance of the estimate.
    pub variance: f64,
    /// The interval that holds the number of kinds 95 times in 100, log-normal above what was seen.
    pub interval: (f64, f64),
    /// The share of all pieces out there that are of kinds seen, by Good and Turing. 0 where nothing was seen.
    pub coverage: f64,
}

/// The 97.5th percentile of the normal distribution.
const Z: f64 = 1.959_963_984_540_054;

impl Richness {
    /// Of the numbers of finds of each kind; noughts count for nothing.
    #[expect(clippy::cast_precision_loss, reason = "counts of finds")]
    pub fn of(counts: impl Iterator<Item = u64>) -> Self {
        let mut found = Self::default();
        for count in counts.filter(|count| *count > 0) {
            found.kinds += 1;
            found.finds += count;
            found.once += u64::from(count == 1);
            found.twice += u64::from(count == 2);
        }
        let (s, n, f1, f2) = (found.kinds as f64, found.finds as f64, found.once as f64, found.twice as f64);
        found.estimate = s + f1 * (f1 - 1.0) / (2.0 * (f2 + 1.0));
        found.coverage = if found.finds == 0 { 0.0 } else { 1.0 - f1 / n };
        (found.variance, found.interval) = if found.once > 0 && found.twice > 0 {
            let variance = f1 * (f1 - 1.0) / (2.0 * (f2 + 1.0))
                + f1 * (2.0 * f1 - 1.0).powi(2) / (4.0 * (f2 + 1.0).powi(2))
                + f1 * f1 * f2 * (f1 - 1.0).powi(2) / (4.0 * (f2 + 1.0).powi(4));
            (variance, log_normal(s, found.estimate, variance))
        } else if found.once > 0 {
            let variance = f1 * (f1 - 1.0) / 2.0 + f1 * (2.0 * f1 - 1.0).powi(2) / 4.0 - f1.powi(4) / (4.0 * found.estimate);
            (variance.max(0.0), log_normal(s, found.estimate, variance.max(0.0)))
        } else if found.finds > 0 {
            // Nothing was seen once: what may lack is bounded by how often the kinds came.
            let p = (-n / s).exp();
            let variance = (s * p * (1.0 - p)).max(0.0);
            let middle = s / (1.0 - p);
            let half = Z * variance.sqrt() / (1.0 - p);
            (variance, ((middle - half).max(s), middle + half))
        } else {
            (0.0, (0.0, 0.0))
        };
        found
    }

    /// Kinds that nobody has seen yet, with the interval: at the least, as the estimate is.
    pub fn unseen(&self) -> (f64, (f64, f64)) {
        #[expect(clippy::cast_precision_loss, reason = "a count")]
        let seen = self.kinds as f64;
        (self.estimate - seen, (self.interval.0 - seen, self.interval.1 - seen))
    }
}

fn log_normal(seen: f64, estimate: f64, variance: f64) -> (f64, f64) {
    let unseen = estimate - seen;
    if unseen <= 0.0 {
        return (seen, seen);
    }
    let k = (Z * (1.0 + variance / (unseen * unseen)).ln().sqrt()).exp();
    (seen + unseen / k, seen + unseen * k)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_and_one_find_are_no_trouble() {
        let none = Richness::of(std::iter::empty());
        assert_eq!((none.kinds, none.estimate, none.interval, none.coverage), (0, 0.0, (0.0, 0.0), 0.0));
        let one = Richness::of([1].into_iter());
        assert_eq!((one.kinds, one.estimate, one.coverage), (1, 1.0, 0.0));
        assert_eq!(one.interval, (1.0, 1.0));
        let even = Richness::of([5, 5, 5, 0].into_iter());
        assert_eq!((even.kinds, even.finds, even.estimate, even.coverage), (3, 15, 3.0, 1.0));
        assert!(even.interval.0 >= 3.0 && even.interval.1 >= even.interval.0);
    }
}
