//! A grid of numbers to look at a picture with.

use rayon::prelude::*;

/// Numbers row by row. The middle of the first cell lies at (0.5, 0.5).
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Plane {
    width: usize,
    height: usize,
    values: Vec<f32>,
}

impl Plane {
    /// A grid of at least one cell, each from its column and row.
    pub(crate) fn from_fn(width: usize, height: usize, value: impl Fn(usize, usize) -> f32 + Sync) -> Self {
        let (width, height) = (width.max(1), height.max(1));
        let mut values = vec![0.0; width * height];
        values.par_chunks_mut(width).enumerate().for_each(|(y, row)| row.iter_mut().enumerate().for_each(|(x, v)| *v = value(x, y)));
        Self { width, height, values }
    }

    /// Nothing anywhere.
    pub(crate) fn zero(width: usize, height: usize) -> Self {
        Self { width: width.max(1), height: height.max(1), values: vec![0.0; width.max(1) * height.max(1)] }
    }

    /// Columns.
    pub(crate) const fn width(&self) -> usize {
        self.width
    }

    /// Rows.
    pub(crate) const fn height(&self) -> usize {
        self.height
    }

    /// All numbers, row by row.
    pub(crate) fn values(&self) -> &[f32] {
        &self.values
    }

    /// The number of a cell; 0 outside.
    pub(crate) fn get(&self, x: usize, y: usize) -> f32 {
        if x < self.width { self.values.get(y * self.width + x).copied().unwrap_or(0.0) } else { 0.0 }
    }

    /// Between the four nearest cells; the edge goes on outside.
    pub(crate) fn at(&self, x: f64, y: f64) -> f32 {
        let (x, y) = ((x - 0.5).clamp(0.0, (self.width - 1) as f64), (y - 0.5).clamp(0.0, (self.height - 1) as f64));
        let (i, j) = (x as usize, y as usize);
        let (fx, fy) = ((x - i as f64) as f32, (y - j as f64) as f32);
        let (i2, j2) = ((i + 1).min(self.width - 1), (j + 1).min(self.height - 1));
        let top = self.get(i, j) * (1.0 - fx) + self.get(i2, j) * fx;
        let low = self.get(i, j2) * (1.0 - fx) + self.get(i2, j2) * fx;
        top * (1.0 - fy) + low * fy
    }

    /// Like [`at`](Self::at), but 0 outside.
    pub(crate) fn inside(&self, x: f64, y: f64) -> f32 {
        let held = x >= 0.0 && y >= 0.0 && x < self.width as f64 && y < self.height as f64;
        if held { self.at(x, y) } else { 0.0 }
    }

    /// Each number changed.
    #[must_use]
    pub(crate) fn map(&self, to: impl Fn(f32) -> f32 + Sync) -> Self {
        Self { width: self.width, height: self.height, values: self.values.iter().map(|v| to(*v)).collect() }
    }

    /// Cell by cell with another of the same size.
    #[must_use]
    pub(crate) fn with(&self, other: &Self, both: impl Fn(f32, f32) -> f32) -> Self {
        Self { width: self.width, height: self.height, values: self.values.iter().zip(&other.values).map(|(a, b)| both(*a, *b)).collect() }
    }

    /// Rows as columns.
    #[must_use]
    fn turned(&self) -> Self {
        // Tiles keep both sides of the exchange near each other in memory.
        const TILE: usize = 32;
        let mut out = Self::zero(self.height, self.width);
        for y0 in (0..self.height).step_by(TILE) {
            for x0 in (0..self.width).step_by(TILE) {
                for y in y0..(y0 + TILE).min(self.height) {
                    for x in x0..(x0 + TILE).min(self.width) {
                        if let (Some(to), Some(from)) = (out.values.get_mut(x * self.height + y), self.values.get(y * self.width + x)) {
                            *to = *from;
                        }
                    }
                }
            }
        }
        out
    }

    /// Every row through a function, then every column.
    #[must_use]
    fn both_ways(&self, line: impl Fn(&[f32], &mut [f32]) + Sync) -> Self {
        let pass = |from: &Self| {
            let mut out = Self::zero(from.width, from.height);
            out.values.par_chunks_mut(from.width).zip(from.values.par_chunks(from.width)).for_each(|(to, from)| line(from, to));
            out.turned()
        };
        pass(&pass(self))
    }

    /// Mean over the square of so many cells to each side. At the edge, of the cells that are there.
    #[must_use]
    pub(crate) fn mean(&self, reach: usize) -> Self {
        if reach == 0 {
            return self.clone();
        }
        self.both_ways(|from, to| {
            let mut sum: f64 = from.iter().take(reach).map(|v| f64::from(*v)).sum();
            let mut count = from.len().min(reach);
            for (x, out) in to.iter_mut().enumerate() {
                if let Some(v) = from.get(x + reach) {
                    sum += f64::from(*v);
                    count += 1;
                }
                if let Some(v) = x.checked_sub(reach + 1).and_then(|gone| from.get(gone)) {
                    sum -= f64::from(*v);
                    count -= 1;
                }
                *out = (sum / count.max(1) as f64) as f32;
            }
        })
    }

    /// Smoothed by nearly a bell of that standard deviation: three means (Kovesi, 'Fast almost-Gaussian filtering', DICTA 2010, 121–125).
    #[must_use]
    pub(crate) fn smooth(&self, sd: f64) -> Self {
        // Three boxes of width w have variance 3(w² − 1)/12.
        let reach = (((4.0 * sd * sd + 1.0).sqrt() - 1.0) / 2.0).round() as usize;
        self.mean(reach).mean(reach).mean(reach)
    }

    /// Largest number over the square of so many cells to each side.
    #[must_use]
    pub(crate) fn largest(&self, reach: usize) -> Self {
        self.both_ways(|from, to| {
            for (x, out) in to.iter_mut().enumerate() {
                let window = from.get(x.saturating_sub(reach)..(x + reach + 1).min(from.len())).unwrap_or_default();
                *out = window.iter().copied().fold(f32::NEG_INFINITY, f32::max);
            }
        })
    }

    /// Means of squares of `by` cells.
    #[must_use]
    pub(crate) fn smaller(&self, by: usize) -> Self {
        if by <= 1 {
            return self.clone();
        }
        let (width, height) = ((self.width / by).max(1), (self.height / by).max(1));
        Self::from_fn(width, height, |x, y| {
            let (w, h) = (by.min(self.width), by.min(self.height));
            let sum: f32 = (0..h).flat_map(|j| (0..w).map(move |i| (i, j))).map(|(i, j)| self.get(x * by + i, y * by + j)).sum();
            sum / (w * h) as f32
        })
    }

    /// The number below which that share of all lies (of every few, where there are many).
    pub(crate) fn quantile(&self, share: f64) -> f32 {
        let step = (self.values.len() / 40_000).max(1);
        let mut some: Vec<f32> = self.values.iter().step_by(step).copied().collect();
        let at = ((some.len().saturating_sub(1)) as f64 * share.clamp(0.0, 1.0)).round() as usize;
        if some.is_empty() { 0.0 } else { *some.select_nth_unstable_by(at, f32::total_cmp).1 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn means_and_largest_know_the_edge() {
        let plane = Plane::from_fn(4, 3, |x, y| (x + 10 * y) as f32);
        let mean = plane.mean(1);
        assert!((mean.get(0, 0) - 5.5).abs() < 1e-5, "of four: {}", mean.get(0, 0));
        assert!((mean.get(1, 1) - 11.0).abs() < 1e-5, "of nine: {}", mean.get(1, 1));
        let largest = plane.largest(1);
        assert!((largest.get(0, 0) - 11.0).abs() < 1e-6 && (largest.get(3, 2) - 23.0).abs() < 1e-6);
        assert!((plane.at(2.0, 0.5) - 1.5).abs() < 1e-6, "half way between two cells");
        assert!((plane.at(-9.0, 99.0) - 20.0).abs() < 1e-6, "the edge goes on");
        assert!(plane.inside(-0.1, 1.0).abs() < 1e-9);
        assert!((plane.smaller(2).get(1, 0) - 7.5).abs() < 1e-6);
        assert!((plane.quantile(1.0) - 23.0).abs() < 1e-6 && plane.quantile(0.0).abs() < 1e-6);
    }

    #[test]
    fn smoothing_keeps_the_sum_and_has_the_spread_it_says() {
        let plane = Plane::from_fn(81, 81, |x, y| f32::from(u8::from(x == 40 && y == 40)));
        let smooth = plane.smooth(5.0);
        let sum: f32 = smooth.values().iter().sum();
        let spread: f32 =
            (0..81).flat_map(|y| (0..81).map(move |x| (x, y))).map(|(x, y)| smooth.get(x, y) * (x as f32 - 40.0).powi(2)).sum();
        assert!((sum - 1.0).abs() < 1e-4, "{sum}");
        assert!((spread.sqrt() - 5.0).abs() < 0.5, "{}", spread.sqrt());
    }
}
