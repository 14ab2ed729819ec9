//! What can come out of a look at a feature, with the probability of each outcome on each pattern: the table that gains are computed from.
//!
//! Outcomes are the values of a feature, or bins of a measure, and last 'there is none'. A row is a few peaks over a common floor, so
//! that a measure of many bins stays small.

use super::column::{Column, Kind, Measure, NOT_APPLICABLE, NOT_RECORDED, RECORDED, Values};
use super::measure::default_plus_minus;
use super::rows::Rows;
use std::sync::Arc;

/// Most bins of a measure.
const BINS: usize = 256;

/// Probabilities of the outcomes of one column.
#[derive(Debug, Clone)]
pub(super) struct Outcomes {
    /// Inner edges of the bins of a measure; bin i lies below edge i, the last one above all. Empty for values.
    pub(super) edges: Vec<f64>,
    /// The floor's share of each outcome, 'there is none' not among them.
    floor: Vec<f64>,
    floor_sum: f64,
    /// Distribution on each pattern.
    rows: Arc<Rows>,
    /// Between which readings a measure's pattern is still met, two standard deviations about its range. Empty for values.
    pub(super) reach: Vec<(f64, f64)>,
    /// Distribution on a stranger, 'there is none' last.
    stranger: Vec<f64>,
    stranger_bits: f64,
}

impl Outcomes {
    pub(super) fn new(column: &Column) -> Self {
        let mut this = match &column.kind {
            Kind::Values(values) => Self::of_values(column, values),
            Kind::Measure(measure) => Self::of_measure(column, measure),
        };
        this.fill_means(column);
        this
    }

    fn of_values(column: &Column, values: &Values) -> Self {
        let k = values.ids.len();
        let slip = column.slip;
        let mut rows = Rows::default();
        rows.push(slip / values.k(), [(k as u32, 1.0 - slip)]);
        rows.push(0.0, []);
        for (shares, &floor) in values.shares.iter().zip(&values.floors).skip(RECORDED) {
            // As in `Values::channel`, cut into what every value gets and what the form's own get on top.
            let slipped = if k > 1 { slip / (k as f64 - 1.0) } else { 0.0 };
            let on_top = if k > 1 { 1.0 - slip - slipped } else { 1.0 };
            rows.push(slipped + floor * on_top, shares.iter().map(|&(v, share)| (v as u32, (share - floor) * on_top)));
        }
        let floor = vec![1.0; k];
        Self {
            edges: Vec::new(),
            floor_sum: floor.iter().sum(),
            floor,
            rows: Arc::new(rows),
            reach: Vec::new(),
            stranger: Vec::new(),
            stranger_bits: 0.0,
        }
    }

    fn of_measure(column: &Column, measure: &Measure) -> Self {
        let slip = column.slip;
        let spreads: Vec<_> = measure
            .ranges
            .iter()
            .skip(RECORDED)
            .map(|&range| measure.spread(range, default_plus_minus(f64::midpoint(range.0, range.1), measure.give_percent)))
            .collect();
        let lo = spreads.iter().map(|s| s.lo - 4.0 * s.sd).fold(f64::INFINITY, f64::min);
        let hi = spreads.iter().map(|s| s.hi + 4.0 * s.sd).fold(f64::NEG_INFINITY, f64::max);
        let finest = spreads.iter().map(|s| s.sd).fold(f64::INFINITY, f64::min);
        let edges: Vec<f64> = if lo < hi {
            let n = (((hi - lo) / finest).ceil().min(BINS as f64) as usize).clamp(2, BINS) - 1;
            // Give is in percent, so bins of equal ratio suit it; where the range touches zero they are of equal width.
            let least = lo.max(hi / 1000.0);
            (0..=n)
                .map(|i| {
                    let t = i as f64 / n as f64;
                    if lo > 0.0 { least * (hi / least).powf(t) } else { lo + t * (hi - lo) }
                })
                .collect()
        } else {
            vec![measure.broad.middle]
        };
        let n = edges.len() + 1;
        let mut floor: Vec<f64> = Vec::with_capacity(n);
        let mut before = 0.0;
        for up_to in edges.iter().map(|&e| measure.broad.up_to(e)).chain([1.0]) {
            floor.push(up_to - before);
            before = up_to;
        }
        let mut rows = Rows::default();
        rows.push(slip, [(n as u32, 1.0 - slip)]);
        rows.push(0.0, []);
        let nowhere = (f64::INFINITY, f64::NEG_INFINITY);
        let reach = [nowhere, nowhere].into_iter().chain(spreads.iter().map(|s| (s.lo - 2.0 * s.sd, s.hi + 2.0 * s.sd))).collect();
        for spread in spreads {
            let first = edges.partition_point(|&e| e < spread.lo - 8.0 * spread.sd);
            let mut before = 0.0;
            let mut peaks = Vec::new();
            for (bin, up_to) in edges.iter().map(|&e| spread.up_to(e)).chain([1.0]).enumerate().skip(first) {
                let p = up_to - before;
                if p > 1e-12 {
                    peaks.push((bin as u32, (1.0 - slip) * p));
                }
                before = up_to;
                if before > 1.0 - 1e-12 {
                    break;
                }
            }
            rows.push(slip, peaks);
        }
        Self { edges, floor_sum: floor.iter().sum(), floor, rows: Arc::new(rows), reach, stranger: Vec::new(), stranger_bits: 0.0 }
    }

    /// Number of outcomes without 'there is none'.
    pub(super) fn len(&self) -> usize {
        self.floor.len()
    }

    /// The row of what is not recorded (the mean of those that are), that of a stranger, and every row's entropy.
    fn fill_means(&mut self, column: &Column) {
        let mut recorded = column.prior.clone();
        recorded.iter_mut().take(RECORDED).for_each(|w| *w = 0.0);
        let sum: f64 = recorded.iter().sum();
        let floor_sum: f64 = self.floor.iter().sum::<f64>().max(f64::MIN_POSITIVE);
        let even: Vec<f64> = self.floor.iter().map(|f| f / floor_sum).chain([0.0]).collect();
        let mean = if sum > 0.0 { self.mixture(&recorded, 1.0 / sum) } else { even.clone() };
        Arc::make_mut(&mut self.rows).put(NOT_RECORDED, 0.0, mean.iter().enumerate().map(|(o, &p)| (o as u32, p)));
        let absent = column.prior.get(NOT_APPLICABLE).copied().unwrap_or(0.0);
        let mut everywhere = column.prior.clone();
        if let Some(w) = everywhere.get_mut(NOT_RECORDED) {
            *w = 0.0;
        }
        let everywhere = if sum + absent > 0.0 { self.mixture(&everywhere, 1.0 / (sum + absent)) } else { even.clone() };
        self.stranger = even.iter().zip(&everywhere).map(|(e, m)| 0.5 * e + 0.5 * m).collect();
        self.stranger_bits = bits(&self.stranger);
        // Σ f log₂ f and Σ f over the floor, from which a row takes out the outcomes where it has a peak.
        let all_log: f64 = self.floor.iter().map(|&f| f_log_f(f)).sum();
        let floor = &self.floor;
        Arc::make_mut(&mut self.rows).set_bits(|rows, row| {
            let (mut under_log, mut under, mut total) = (all_log, floor_sum, 0.0);
            for (outcome, peaks) in rows.runs(row) {
                // 'There is none' stands past the floor.
                let floor = floor.get(outcome..).unwrap_or_default().iter().copied().chain(std::iter::repeat(0.0));
                for (peak, f) in peaks.iter().zip(floor) {
                    under_log -= f_log_f(f);
                    under -= f;
                    total -= f_log_f(peak + row.height * f);
                }
            }
            if row.height > 0.0 {
                total -= row.height * under_log + row.height * row.height.log2() * under;
            }
            total.max(0.0)
        });
    }

    /// Distribution of the outcome where each pattern has that weight, all scaled; 'there is none' last.
    pub(super) fn mixture(&self, weights: &[f64], scale: f64) -> Vec<f64> {
        let mut p = vec![0.0; self.len() + 1];
        let mut height = 0.0;
        for (row, &w) in self.rows.iter().zip(weights) {
            if w <= 0.0 {
                continue;
            }
            height += w * row.height;
            self.rows.add(row, w, &mut p);
        }
        for (p, f) in p.iter_mut().zip(&self.floor) {
            *p += height * f;
        }
        for p in &mut p {
            *p *= scale;
        }
        p
    }

    /// Distribution of the outcome on one pattern; 'there is none' last.
    pub(super) fn row(&self, pattern: usize) -> Vec<f64> {
        let mut p = vec![0.0; self.len() + 1];
        let Some(row) = self.rows.get(pattern) else { return p };
        self.rows.add(row, 1.0, &mut p);
        for (p, f) in p.iter_mut().zip(&self.floor) {
            *p += row.height * f;
        }
        p
    }

    /// Probability that one honest reading picks the right one of two patterns, each as likely: ½ Σ max(P(o|a), P(o|b)). Where neither has a
    /// peak, only the floor counts, which is known as a whole.
    pub(super) fn two_apart(&self, a: usize, b: usize) -> f64 {
        let (Some(one), Some(other)) = (self.rows.get(a), self.rows.get(b)) else { return 0.0 };
        let height = one.height.max(other.height);
        let floor_at = |outcome: usize| self.floor.get(outcome).copied().unwrap_or(0.0);
        let mut sum = height * self.floor_sum;
        for (outcome, p, q) in self.rows.either(one, other) {
            let floor = floor_at(outcome);
            sum += (p + one.height * floor).max(q + other.height * floor) - height * floor;
        }
        0.5 * sum
    }

    /// Probability of each outcome of a look, and the expected drop of the entropy of what the piece is: I = H(O) − Σ p(f) H(O|f).
    pub(super) fn look(&self, weights: &[f64], stranger: f64) -> (Vec<f64>, f64) {
        let p = self.mixture_with(weights, stranger);
        let known: f64 = self.rows.iter().zip(weights).map(|(row, w)| row.bits * w).sum::<f64>() + stranger * self.stranger_bits;
        let gain = (bits(&p) - known).max(0.0);
        (p, gain)
    }

    /// As [`Self::mixture`], a stranger among the patterns.
    pub(super) fn mixture_with(&self, weights: &[f64], stranger: f64) -> Vec<f64> {
        let mut p = self.mixture(weights, 1.0);
        for (p, s) in p.iter_mut().zip(&self.stranger) {
            *p += stranger * s;
        }
        p
    }
}

fn f_log_f(f: f64) -> f64 {
    if f > 0.0 { f * f.log2() } else { 0.0 }
}

/// Entropy in bits of a distribution, whatever its sum.
pub(super) fn bits(p: &[f64]) -> f64 {
    -p.iter().map(|&p| f_log_f(p)).sum::<f64>()
}
