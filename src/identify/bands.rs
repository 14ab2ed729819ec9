//! Distributions over the bins of a measure that differ from a common base within a band only.
//!
//! Readings of two ranges that lie apart have no bin in common but for slips, so most pairs of a long list of measured forms are summed from a
//! few numbers kept for each. The others take the bins of their two bands.

/// A few distributions over the same outcomes.
#[derive(Debug, Clone)]
pub(super) struct Bands {
    /// What a row has outside its band.
    base: Vec<f64>,
    /// Sum of the base below each outcome, and last of all.
    below: Vec<f64>,
    rows: Vec<Band>,
}

/// One distribution.
#[derive(Debug, Clone)]
struct Band {
    from: usize,
    /// What it has from there on, to the end of its band.
    p: Vec<f64>,
    /// Σ of the greater of it and the base over the band.
    greater: f64,
    /// Σ of the geometric mean of it and the base over the band.
    mean: f64,
}

impl Band {
    fn to(&self) -> usize {
        self.from + self.p.len()
    }
}

impl Bands {
    /// Cuts each row to where it differs from the base. `base` and every row have the same length.
    pub(super) fn new(base: Vec<f64>, rows: impl Iterator<Item = Vec<f64>>) -> Self {
        let mut below = Vec::with_capacity(base.len() + 1);
        let mut sum = 0.0;
        below.push(sum);
        for b in &base {
            sum += b;
            below.push(sum);
        }
        let rows = rows
            .map(|row| {
                let differs = |(p, b): (&f64, &f64)| p.to_bits() != b.to_bits();
                let from = row.iter().zip(&base).position(differs).unwrap_or(0);
                let to = row.iter().zip(&base).rposition(differs).map_or(from, |last| last + 1);
                let p = row.get(from..to).unwrap_or_default().to_vec();
                let pairs = || p.iter().zip(base.iter().skip(from));
                let greater = pairs().map(|(p, b)| p.max(*b)).sum();
                let mean = pairs().map(|(p, b)| (p * b).sqrt()).sum();
                Band { from, p, greater, mean }
            })
            .collect();
        Self { base, below, rows }
    }

    /// Σ over the outcomes of the greater of two rows. 0 where there is no such row.
    pub(super) fn greater(&self, a: usize, b: usize) -> f64 {
        self.sum(a, b, |band| band.greater, f64::max)
    }

    /// Σ over the outcomes of the geometric mean of two rows. 0 where there is no such row.
    pub(super) fn mean(&self, a: usize, b: usize) -> f64 {
        self.sum(a, b, |band| band.mean, |p, q| (p * q).sqrt())
    }

    /// `of` must be its argument where both are equal.
    fn sum(&self, a: usize, b: usize, own: impl Fn(&Band) -> f64, of: impl Fn(f64, f64) -> f64) -> f64 {
        let (Some(a), Some(b)) = (self.rows.get(a), self.rows.get(b)) else { return 0.0 };
        let (first, second) = if a.from <= b.from { (a, b) } else { (b, a) };
        let base = |from: usize, to: usize| self.below.get(to).copied().unwrap_or(0.0) - self.below.get(from).copied().unwrap_or(0.0);
        let all = self.below.last().copied().unwrap_or(0.0);
        if first.to() <= second.from {
            return all - base(first.from, first.to()) - base(second.from, second.to()) + own(first) + own(second);
        }
        let (from, to) = (first.from, first.to().max(second.to()));
        let within = self.base.iter().enumerate().take(to).skip(from).map(|(o, &base)| {
            let p = first.p.get(o - first.from).copied().unwrap_or(base);
            let q = o.checked_sub(second.from).and_then(|o| second.p.get(o)).copied().unwrap_or(base);
            of(p, q)
        });
        all - base(from, to) + within.sum::<f64>()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn the_sums_are_those_over_every_outcome(
            base in prop::collection::vec(0.0..1.0_f64, 12),
            bands in prop::collection::vec((0_usize..12, prop::collection::vec(0.0..2.0_f64, 0..6)), 1..6),
        ) {
            let rows: Vec<Vec<f64>> = bands
                .iter()
                .map(|(from, p)| base.iter().enumerate().map(|(o, b)| o.checked_sub(*from).and_then(|o| p.get(o)).map_or(*b, |p| b + p)).collect())
                .collect();
            let made = Bands::new(base.clone(), rows.iter().cloned());
            for (i, a) in rows.iter().enumerate() {
                for (j, b) in rows.iter().enumerate() {
                    let greater: f64 = a.iter().zip(b).map(|(p, q)| p.max(*q)).sum();
                    let mean: f64 = a.iter().zip(b).map(|(p, q)| (p * q).sqrt()).sum();
                    prop_assert!((made.greater(i, j) - greater).abs() < 1e-9, "{i} {j}: {}, not {greater}", made.greater(i, j));
                    prop_assert!((made.mean(i, j) - mean).abs() < 1e-9, "{i} {j}: {}, not {mean}", made.mean(i, j));
                }
            }
        }
    }
}
