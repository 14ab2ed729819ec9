//! The shift between two pictures, by the phase of their spectra.

use super::plane::Plane;
use std::f64::consts::{PI, TAU};

/// A complex number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Complex {
    pub re: f64,
    pub im: f64,
}

impl Complex {
    const ZERO: Self = Self { re: 0.0, im: 0.0 };

    fn times(self, by: Self) -> Self {
        Self { re: self.re * by.re - self.im * by.im, im: self.re * by.im + self.im * by.re }
    }

    fn plus(self, other: Self) -> Self {
        Self { re: self.re + other.re, im: self.im + other.im }
    }

    fn minus(self, other: Self) -> Self {
        Self { re: self.re - other.re, im: self.im - other.im }
    }
}

/// Which way to transform.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum To {
    Spectrum,
    Picture,
}

/// The discrete Fourier transform of a row whose length is a power of two, in place (Cooley & Tukey, Mathematics of Computation 19, 1965, 297–301). Back to
/// the picture it is divided by the length. Other lengths are left as they are.
pub(crate) fn transform(row: &mut [Complex], to: To) {
    let n = row.len();
    if !n.is_power_of_two() || n < 2 {
        return;
    }
    let bits = n.trailing_zeros();
    for k in 0..n {
        let other = k.reverse_bits() >> (usize::BITS - bits);
        if k < other {
            row.swap(k, other);
        }
    }
    let sign = if to == To::Spectrum { -1.0 } else { 1.0 };
    let mut half = 1;
    while half < n {
        let turns: Vec<Complex> = (0..half)
            .map(|k| {
                let (im, re) = (sign * PI * k as f64 / half as f64).sin_cos();
                Complex { re, im }
            })
            .collect();
        for block in row.chunks_mut(2 * half) {
            let (low, high) = block.split_at_mut(half);
            for ((a, b), turn) in low.iter_mut().zip(high).zip(&turns) {
                let turned = b.times(*turn);
                (*a, *b) = (a.plus(turned), a.minus(turned));
            }
        }
        half *= 2;
    }
    if to == To::Picture {
        let by = 1.0 / n as f64;
        for c in row {
            *c = Complex { re: c.re * by, im: c.im * by };
        }
    }
}

/// Rows, then columns of a square.
fn transform_square(cells: &mut [Complex], side: usize, to: To) {
    for _ in 0..2 {
        cells.chunks_mut(side.max(1)).for_each(|row| transform(row, to));
        for y in 0..side {
            for x in y + 1..side {
                cells.swap(y * side + x, x * side + y);
            }
        }
    }
}

/// A shift found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Shift {
    /// Where what lies at the origin of the first picture lies in the second, cells.
    pub x: f64,
    pub y: f64,
    /// Height of the peak over the spread of everything else: above about 6 it is no accident.
    pub peak: f64,
}

/// How far the second picture is shifted against the first, by phase correlation (Kuglin & Hines, 1975), to a fraction of a cell. Both are looked at through
/// a soft window on a square of the power of two below their sides.
pub(crate) fn shift(first: &Plane, second: &Plane) -> Shift {
    let least = first.width().min(first.height()).min(second.width()).min(second.height());
    let side = if least.is_power_of_two() { least } else { least.next_power_of_two() / 2 }.max(4);
    let spectrum = |plane: &Plane| {
        let (x0, y0) = ((plane.width().saturating_sub(side)) / 2, (plane.height().saturating_sub(side)) / 2);
        let mean = plane.values().iter().map(|v| f64::from(*v)).sum::<f64>() / plane.values().len().max(1) as f64;
        let hann = |k: usize| 0.5 - 0.5 * (TAU * (k as f64 + 0.5) / side as f64).cos();
        let mut cells: Vec<Complex> = (0..side * side)
            .map(|k| {
                let (x, y) = (k % side, k / side);
                Complex { re: (f64::from(plane.get(x0 + x, y0 + y)) - mean) * hann(x) * hann(y), im: 0.0 }
            })
            .collect();
        transform_square(&mut cells, side, To::Spectrum);
        cells
    };
    let (a, b) = (spectrum(first), spectrum(second));
    let strongest = a.iter().zip(&b).map(|(a, b)| a.re.hypot(a.im) * b.re.hypot(b.im)).fold(0.0, f64::max);
    let mut cross: Vec<Complex> = a
        .iter()
        .zip(&b)
        .enumerate()
        .map(|(k, (a, b))| {
            let c = b.times(Complex { im: -a.im, ..*a });
            // Fine grain has no phase worth asking, and the squares of JPEG (eight pixels wide) lie in the same place whatever is shown: the weight falls
            // off with frequency, and with what is hardly there at all.
            let low = |k: usize| k.min(side - k) as f64 / side as f64;
            let weight = (-(low(k % side).powi(2) + low(k / side).powi(2)) / (2.0 * 0.06_f64.powi(2))).exp();
            let size = c.re.hypot(c.im);
            if size <= 1e-9 * strongest { Complex::ZERO } else { Complex { re: c.re / size * weight, im: c.im / size * weight } }
        })
        .collect();
    transform_square(&mut cross, side, To::Picture);
    let wide = i64::try_from(side).unwrap_or(i64::MAX);
    let value = |x: i64, y: i64| {
        let wrap = |k: i64| k.rem_euclid(wide) as usize;
        cross.get(wrap(y) * side + wrap(x)).map_or(0.0, |c| c.re)
    };
    let best =
        (0..side * side).max_by(|a, b| cross.get(*a).map_or(0.0, |c| c.re).total_cmp(&cross.get(*b).map_or(0.0, |c| c.re))).unwrap_or(0);
    let (x, y) = (i64::try_from(best % side).unwrap_or(0), i64::try_from(best / side).unwrap_or(0));
    // The top of a parabola through the peak and its neighbours.
    let top = |low: f64, at: f64, high: f64| {
        let bend = low - 2.0 * at + high;
        if bend.abs() < 1e-15 { 0.0 } else { (0.5 * (low - high) / bend).clamp(-0.5, 0.5) }
    };
    let peak = value(x, y);
    let spread = (cross.iter().map(|c| c.re * c.re).sum::<f64>() / cross.len().max(1) as f64).sqrt();
    if spread <= 0.0 {
        return Shift { x: 0.0, y: 0.0, peak: 0.0 };
    }
    let signed = |k: i64| if k > wide / 2 { k - wide } else { k };
    Shift {
        x: signed(x) as f64 + top(value(x - 1, y), peak, value(x + 1, y)),
        y: signed(y) as f64 + top(value(x, y - 1), peak, value(x, y + 1)),
        peak: peak / spread,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_the_sum_that_defines_it_and_comes_back() {
        let row: Vec<Complex> = (0..16).map(|k| Complex { re: f64::from(k * k % 7), im: f64::from(k % 3) }).collect();
        let mut fast = row.clone();
        transform(&mut fast, To::Spectrum);
        for (f, got) in fast.iter().enumerate() {
            let slow = row.iter().enumerate().fold(Complex::ZERO, |sum, (k, c)| {
                let (im, re) = (-TAU * (f * k) as f64 / 16.0).sin_cos();
                sum.plus(c.times(Complex { re, im }))
            });
            assert!((slow.re - got.re).abs() < 1e-9 && (slow.im - got.im).abs() < 1e-9, "{f}: {slow:?} {got:?}");
        }
        transform(&mut fast, To::Picture);
        assert!(fast.iter().zip(&row).all(|(a, b)| (a.re - b.re).abs() < 1e-12 && (a.im - b.im).abs() < 1e-12));
    }

    #[test]
    fn a_shift_planted_is_found_to_a_quarter_of_a_cell() {
        let blobs = [(40.0, 50.0, 4.0), (70.0, 44.0, 6.0), (58.0, 80.0, 3.0), (85.0, 78.0, 5.0)];
        let picture = |dx: f64, dy: f64| {
            Plane::from_fn(128, 128, |x, y| {
                blobs
                    .iter()
                    .map(|(bx, by, s): &(f64, f64, f64)| {
                        (-((x as f64 - bx - dx).powi(2) + (y as f64 - by - dy).powi(2)) / (2.0 * s * s)).exp()
                    })
                    .sum::<f64>() as f32
            })
        };
        for (dx, dy) in [(0.0, 0.0), (5.3, -7.6), (-12.25, 3.0)] {
            let found = shift(&picture(0.0, 0.0), &picture(dx, dy));
            assert!((found.x - dx).abs() < 0.25 && (found.y - dy).abs() < 0.25 && found.peak > 6.0, "{dx} {dy}: {found:?}");
        }
        let empty = Plane::zero(8, 8);
        let none = shift(&empty, &empty);
        assert!(none.x.abs() < 1e-12 && none.y.abs() < 1e-12, "nothing has no shift: {none:?}");
        assert_eq!([fast_len(3)], [3], "an odd length is left alone");
    }

    fn fast_len(n: usize) -> usize {
        let mut row = vec![Complex::ZERO; n];
        transform(&mut row, To::Spectrum);
        row.len()
    }
}
