//! The most that one look can tell, whatever is still possible: the capacity of a feature as a channel from forms to readings.
//!
//! By Blahut's and Arimoto's iteration (IEEE Trans. Inf. Theory 18, 1972, 460–473 and 14–20). At every step the greatest divergence of a
//! form's readings from their mixture is no less than the capacity, so that what is returned is a bound however early the iteration stops.

use super::super::column::{Column, Kind, Measure, NOT_APPLICABLE, RECORDED, Values};
use super::draw::plus_minus;

/// Bins in which the readings of a measure are told apart.
const BINS: usize = 400;
/// The iteration stops where it is known this well, in bits.
const CLOSE_ENOUGH: f64 = 0.01;
/// Most multiplications for one feature.
const MOST_WORK: usize = 20_000_000;

/// The most bits that one look at the feature can tell, with the key's slips and a rule's error: an upper bound within a hundredth of a bit
/// for keys of some hundred forms; for a measure, up to the width of its bins.
pub(super) fn most_bits(column: &Column) -> f64 {
    let rows = match &column.kind {
        Kind::Values(values) => of_values(column, values),
        Kind::Measure(measure) => of_measure(column, measure),
    };
    capacity(&rows)
}

/// Distributions of the reading on each record, and on the forms that have none of it, should there be any; 'there is none' last.
fn of_values(column: &Column, values: &Values) -> Vec<Vec<f64>> {
    let slip = column.slip;
    let with_none = |mut row: Vec<f64>, none: f64| {
        row.push(none);
        row
    };
    let recorded =
        values.shares.iter().zip(&values.floors).skip(RECORDED).map(|(shares, floor)| with_none(values.channel(shares, *floor, slip), 0.0));
    let absent = some_have_none(column).then(|| with_none(vec![slip / values.k(); values.ids.len()], 1.0 - slip));
    recorded.chain(absent).collect()
}

/// Whether there is a form to which the feature does not apply.
fn some_have_none(column: &Column) -> bool {
    column.prior.get(NOT_APPLICABLE).is_some_and(|weight| *weight > 0.0)
}

fn of_measure(column: &Column, measure: &Measure) -> Vec<Vec<f64>> {
    let slip = column.slip;
    let spreads: Vec<_> = measure.ranges.iter().skip(RECORDED).map(|&range| measure.spread(range, plus_minus(measure))).collect();
    let lo = spreads.iter().map(|s| s.lo - 4.0 * s.sd).fold(f64::INFINITY, f64::min);
    let hi = spreads.iter().map(|s| s.hi + 4.0 * s.sd).fold(f64::NEG_INFINITY, f64::max);
    if lo.is_nan() || hi.is_nan() || lo >= hi {
        return Vec::new();
    }
    let edges: Vec<f64> = (0..BINS).map(|i| lo + (hi - lo) * i as f64 / (BINS - 1) as f64).collect();
    let binned = |up_to: &dyn Fn(f64) -> f64, scale: f64| {
        let mut before = 0.0;
        edges
            .iter()
            .map(|&edge| up_to(edge))
            .chain([1.0])
            .map(|up_to| {
                let p = scale * (up_to - before).max(0.0);
                before = up_to;
                p
            })
            .collect::<Vec<f64>>()
    };
    let broad = binned(&|x| measure.broad.up_to(x), slip);
    let row = |own: Vec<f64>, none: f64| own.iter().zip(&broad).map(|(own, broad)| own + broad).chain([none]).collect::<Vec<f64>>();
    let recorded = spreads.iter().map(|spread| row(binned(&|x| spread.up_to(x), 1.0 - slip), 0.0));
    let absent = some_have_none(column).then(|| row(vec![0.0; BINS + 1], 1.0 - slip));
    recorded.chain(absent).collect()
}

/// An upper bound of the capacity in bits of the channel with these rows.
fn capacity(rows: &[Vec<f64>]) -> f64 {
    let outcomes = rows.first().map_or(0, Vec::len);
    if rows.len() < 2 {
        return 0.0;
    }
    let mut input = vec![1.0 / rows.len() as f64; rows.len()];
    let steps = (MOST_WORK / (rows.len() * outcomes).max(1)).clamp(1, 2000);
    let mut least = f64::INFINITY;
    for _ in 0..steps {
        let mut mixture = vec![0.0; outcomes];
        for (row, weight) in rows.iter().zip(&input) {
            for (sum, p) in mixture.iter_mut().zip(row) {
                *sum += weight * p;
            }
        }
        let apart: Vec<f64> = rows.iter().map(|row| divergence_bits(row, &mixture)).collect();
        least = least.min(apart.iter().copied().fold(0.0, f64::max));
        for (weight, bits) in input.iter_mut().zip(&apart) {
            *weight *= bits.exp2();
        }
        let sum: f64 = input.iter().sum();
        // log₂ of the sum is a lower bound.
        if least - sum.log2() < CLOSE_ENOUGH {
            break;
        }
        for weight in &mut input {
            *weight /= sum;
        }
    }
    least
}

/// Kullback and Leibler's divergence in bits; outcomes of no probability count for nothing.
fn divergence_bits(p: &[f64], q: &[f64]) -> f64 {
    p.iter().zip(q).map(|(&p, &q)| if p > 0.0 && q > 0.0 { p * (p / q).log2() } else { 0.0 }).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(rows: &[Vec<f64>], bits: f64) {
        let found = capacity(rows);
        assert!(found >= bits - 1e-9 && found < bits + CLOSE_ENOUGH, "{found} for {bits}");
    }

    #[test]
    fn a_yes_or_no_look_with_slips_tells_one_less_the_entropy_of_the_slip() {
        // 1 − h(ε): 0.919207, 0.713603 and 0.390160 bits for 1, 5 and 15 % (computed from the definition).
        for (slip, bits) in [(0.01, 0.919_207), (0.05, 0.713_603), (0.15, 0.390_160)] {
            check(&[vec![1.0 - slip, slip], vec![slip, 1.0 - slip]], bits - 1e-6);
        }
    }

    #[test]
    fn a_look_that_is_lost_half_the_time_tells_half() {
        // The erasure channel: 1 − e. The Z channel with 1/2: log₂(5/4). Both by hand.
        check(&[vec![0.5, 0.0, 0.5], vec![0.0, 0.5, 0.5]], 0.5);
        check(&[vec![1.0, 0.0], vec![0.5, 0.5]], 1.25f64.log2());
    }

    #[test]
    fn what_is_the_same_for_all_tells_nothing_and_eight_sure_values_three_bits() {
        check(&[vec![0.3, 0.7], vec![0.3, 0.7]], 0.0);
        let rows: Vec<Vec<f64>> = (0..8).map(|i| (0..8).map(|j| if i == j { 1.0 } else { 0.0 }).collect()).collect();
        check(&rows, 3.0);
        assert!(capacity(&[]).abs() < 1e-12);
    }
}
