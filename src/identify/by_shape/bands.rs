//! A bound from below on the area between two outlines: the difference of their areas in bands of height.
//!
//! In each band |∫(r₁ − r₂)| ≤ ∫|r₁ − r₂|, so the sum over the bands is never more than the area between.

use super::outline::Outline;

/// Bands of one outline.
pub(super) const BANDS: usize = 24;

/// Where bands begin, in mm: narrow where most tableware has its height. A choice of this program; any would be right, these are quick.
const BEGINS_MM: [f64; BANDS] = [
    0.0, 4.0, 8.0, 13.0, 18.0, 24.0, 30.0, 37.0, 44.0, 52.0, 60.0, 69.0, 78.0, 88.0, 98.0, 110.0, 122.0, 136.0, 150.0, 168.0, 188.0, 212.0,
    240.0, 290.0,
];

/// The same for outlines of area 1: a flat plate is some 0.3 high, a vase 3.
const BEGINS_OF_ONE: [f64; BANDS] = [
    0.0, 0.03, 0.06, 0.09, 0.12, 0.16, 0.2, 0.25, 0.3, 0.36, 0.42, 0.5, 0.58, 0.67, 0.76, 0.86, 0.97, 1.09, 1.22, 1.37, 1.55, 1.8, 2.1, 2.6,
];

/// The areas of one outline in the bands.
pub(super) type Row = [f32; BANDS];

/// In the size it has, times `scale`.
pub(super) fn row_mm(outline: &Outline, scale: f64) -> Row {
    row(outline, scale, &BEGINS_MM)
}

/// Scaled to area 1.
pub(super) fn row_of_one(outline: &Outline) -> Row {
    row(outline, outline.to_unit_area(), &BEGINS_OF_ONE)
}

fn row(outline: &Outline, scale: f64, begins: &[f64; BANDS]) -> Row {
    let mut row = [0.0; BANDS];
    outline.bands(scale, begins, |band, area| {
        if let Some(cell) = row.get_mut(band) {
            *cell = area as f32;
        }
    });
    row
}

/// The bound, lowered by what `f32` may have rounded up: each cell by 2⁻²⁴ of itself, each sum by as much again.
pub(super) fn at_least(a: &Row, b: &Row) -> f32 {
    let mut sums = [0.0_f32; 8];
    let mut whole = 0.0_f32;
    for (a, b) in a.as_chunks::<8>().0.iter().zip(b.as_chunks::<8>().0) {
        for (sum, (a, b)) in sums.iter_mut().zip(a.iter().zip(b)) {
            *sum += (a - b).abs();
        }
    }
    for (a, b) in a.iter().zip(b) {
        whole += a + b;
    }
    (sums.iter().sum::<f32>() - whole * 4e-6).max(0.0)
}
