//! A picture as three planes of floating numbers, to look at with less than a pixel's grain.

use image::RgbImage;
use kurbo::Point;

/// A picture as lightness and two colour differences, 0 to 255 (and −255 to 255), at some scale of the photograph.
#[derive(Debug, Clone)]
pub struct Shades {
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Pixels of the photograph for one of these.
    pub scale: f64,
    planes: [Vec<f32>; 3],
}

impl Shades {
    /// The photograph made smaller by a whole number, by means of its pixels, so that its longer side is at most `most_px`.
    pub fn of(photo: &RgbImage, most_px: usize) -> Self {
        let (w, h) = (photo.width() as usize, photo.height() as usize);
        let by = w.max(h).div_ceil(most_px.max(1)).max(1);
        let (width, height) = ((w / by).max(1), (h / by).max(1));
        let mut planes = [const { Vec::new() }; 3];
        for plane in &mut planes {
            plane.reserve(width * height);
        }
        let raw = photo.as_raw();
        let (bw, bh) = (by.min(w), by.min(h));
        for y in 0..height {
            for x in 0..width {
                let mut sums = [0_u32; 3];
                for row in 0..bh {
                    let start = ((y * by + row) * w + x * by) * 3;
                    for pixel in raw.get(start..start + 3 * bw).unwrap_or_default().as_chunks::<3>().0 {
                        for (sum, c) in sums.iter_mut().zip(pixel) {
                            *sum += u32::from(*c);
                        }
                    }
                }
                let n = (bw * bh) as f32;
                let [r, g, b] = sums.map(|s| s as f32 / n);
                let [light, red, blue] = &mut planes;
                light.push(0.3 * r + 0.59 * g + 0.11 * b);
                red.push(r - g);
                blue.push(0.5 * (r + g) - b);
            }
        }
        Self { width, height, scale: by as f64, planes }
    }

    /// The three planes, row by row.
    pub(crate) fn planes(&self) -> &[Vec<f32>; 3] {
        &self.planes
    }

    /// Lightness, red against green, yellow against blue at a place given in pixels of the photograph, between the four nearest; the edge goes on outside.
    pub fn at(&self, photo_px: Point) -> [f32; 3] {
        let (x, y) = (photo_px.x / self.scale - 0.5, photo_px.y / self.scale - 0.5);
        let (x, y) = (x.clamp(0.0, (self.width - 1) as f64), y.clamp(0.0, (self.height - 1) as f64));
        let (i, j) = (x as usize, y as usize);
        let (fx, fy) = ((x - i as f64) as f32, (y - j as f64) as f32);
        let (i2, j2) = ((i + 1).min(self.width - 1), (j + 1).min(self.height - 1));
        let mut out = [0.0; 3];
        for (value, plane) in out.iter_mut().zip(&self.planes) {
            let at = |i: usize, j: usize| plane.get(j * self.width + i).copied().unwrap_or(0.0);
            let top = at(i, j) * (1.0 - fx) + at(i2, j) * fx;
            let low = at(i, j2) * (1.0 - fx) + at(i2, j2) * fx;
            *value = top * (1.0 - fy) + low * fy;
        }
        out
    }

    /// Whether a place in pixels of the photograph lies in it.
    pub fn holds(&self, photo_px: Point) -> bool {
        let (w, h) = (self.width as f64 * self.scale, self.height as f64 * self.scale);
        (0.0..=w).contains(&photo_px.x) && (0.0..=h).contains(&photo_px.y)
    }

    /// Where along a short line across an edge the colour changes most: the shift in pixels of the photograph from `at` along the unit vector `across`,
    /// within ± `reach_px`, and the change over `1` pixel there. The peak nearest the middle is preferred to a far one of the same height.
    pub(crate) fn edge_across(&self, at: Point, across: kurbo::Vec2, reach_px: f64) -> Option<(f64, f64)> {
        let step = 0.5 * self.scale;
        let n = (reach_px / step).ceil().max(3.0) as i32;
        let soft = 2; // two steps either side: one pixel
        let samples: Vec<[f32; 3]> = (-(n + soft)..=n + soft).map(|i| self.at(at + across * (f64::from(i) * step))).collect();
        let soft = soft as usize;
        let change: Vec<f64> = (soft..samples.len().saturating_sub(soft))
            .map(|i| {
                let near = |k: usize| samples.get(k).copied().unwrap_or_default();
                let (a, b, c, d) = (near(i - 2), near(i - 1), near(i + 1), near(i + 2));
                (0..3)
                    .map(|k| {
                        let get = |v: [f32; 3]| f64::from(v.get(k).copied().unwrap_or(0.0));
                        (get(d) - get(a)) * 0.25 + (get(c) - get(b)) * 0.5
                    })
                    .map(f64::abs)
                    .sum()
            })
            .collect();
        let weight = |i: usize| 1.0 - 0.35 * ((i as f64 - f64::from(n)) / f64::from(n)).abs();
        let mut best: Option<(usize, f64)> = None;
        for i in 1..change.len().saturating_sub(1) {
            let (l, c, r) = (change.get(i - 1)?, change.get(i)?, change.get(i + 1)?);
            if c >= l && c >= r && best.is_none_or(|(_, height)| c * weight(i) > height) {
                best = Some((i, c * weight(i)));
            }
        }
        let (i, _) = best?;
        let (l, c, r) = (*change.get(i - 1)?, *change.get(i)?, *change.get(i + 1)?);
        let bend = l - 2.0 * c + r;
        let part = if bend.abs() > 1e-9 { (0.5 * (l - r) / bend).clamp(-0.5, 0.5) } else { 0.0 };
        Some(((i as f64 - f64::from(n) + part) * step, c / self.scale))
    }
}
