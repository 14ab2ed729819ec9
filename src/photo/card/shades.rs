//! A picture as planes of floating numbers, to look at with less than a pixel's grain.
//!
//! Edges are looked for in the steps that the eye sees, and placed by the light itself: a lens blurs light, so that in the numbers of the file an edge
//! lies up to half a pixel towards its dark side.

use super::lines::{Line, every_line};
use crate::colour::linear_from_srgb;
use image::RgbImage;
use kurbo::{Point, Vec2};
use rayon::prelude::*;
use std::array::from_fn;
use std::sync::OnceLock;

/// A picture as lightness and two colour differences, 0 to 255 (and −255 to 255), at some scale of the photograph.
#[derive(Debug, Clone)]
pub struct Shades {
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
    /// Pixels of the photograph for one of these.
    pub scale: f64,
    /// Lightness, red against green, yellow against blue; row by row.
    colours: Vec<[f32; 3]>,
    /// Linear light of red, green and blue, 0 to 1.
    light: Vec<[f32; 3]>,
    /// Its straight edges, once they were asked for.
    lines: OnceLock<Vec<Line>>,
}

impl Shades {
    /// The photograph made smaller by a whole number, by means of its pixels, so that its longer side is at most `most_px`.
    pub fn of(photo: &RgbImage, most_px: usize) -> Self {
        let (w, h) = (photo.width() as usize, photo.height() as usize);
        let by = w.max(h).div_ceil(most_px.max(1)).max(1);
        let (width, height) = ((w / by).max(1), (h / by).max(1));
        let linear: [f32; 256] = from_fn(|c| linear_from_srgb(c as f64 / 255.0) as f32);
        let raw = photo.as_raw();
        let (bw, bh) = (by.min(w), by.min(h));
        let n = (bw * bh) as f32;
        let mut colours = vec![[0.0; 3]; width * height];
        let mut light = vec![[0.0_f32; 3]; width * height];
        let rows = colours.par_chunks_mut(width).zip(light.par_chunks_mut(width)).enumerate();
        rows.with_min_len(16).for_each(|(y, (colours, light))| {
            let mut sums = vec![[0_u32; 3]; width];
            for row in (y * by..y * by + bh).filter_map(|row| raw.get(row * w * 3..(row + 1) * w * 3)) {
                for ((sum, lit), cell) in sums.iter_mut().zip(light.iter_mut()).zip(row.chunks_exact(3 * bw)) {
                    for pixel in cell.as_chunks::<3>().0 {
                        for ((sum, lit), c) in sum.iter_mut().zip(lit.iter_mut()).zip(pixel) {
                            *sum += u32::from(*c);
                            *lit += linear.get(usize::from(*c)).copied().unwrap_or(0.0);
                        }
                    }
                }
            }
            for ((colour, lit), sum) in colours.iter_mut().zip(light).zip(sums) {
                let [r, g, b] = sum.map(|s| s as f32 / n);
                *colour = [0.3 * r + 0.59 * g + 0.11 * b, r - g, 0.5 * (r + g) - b];
                *lit = lit.map(|bright| bright / n);
            }
        });
        Self { width, height, scale: by as f64, colours, light, lines: OnceLock::new() }
    }

    /// The colours, row by row.
    pub(super) fn colours(&self) -> &[[f32; 3]] {
        &self.colours
    }

    /// The straight edges, the longest first. They are looked for once: lens and card are both found by them.
    pub(super) fn lines(&self) -> &[Line] {
        self.lines.get_or_init(|| every_line(self))
    }

    /// Lightness, red against green, yellow against blue at a place given in pixels of the photograph, between the four nearest; the edge goes on outside.
    pub fn at(&self, photo_px: Point) -> [f32; 3] {
        self.between(&self.colours, photo_px)
    }

    /// Linear light of red, green and blue, 0 to 1, at a place given in pixels of the photograph.
    pub fn light_at(&self, photo_px: Point) -> [f32; 3] {
        self.between(&self.light, photo_px)
    }

    fn between(&self, cells: &[[f32; 3]], photo_px: Point) -> [f32; 3] {
        let (x, y) = (photo_px.x / self.scale - 0.5, photo_px.y / self.scale - 0.5);
        let (x, y) = (x.clamp(0.0, (self.width - 1) as f64), y.clamp(0.0, (self.height - 1) as f64));
        let (i, j) = (x as usize, y as usize);
        let (fx, fy) = ((x - i as f64) as f32, (y - j as f64) as f32);
        let (i2, j2) = ((i + 1).min(self.width - 1), (j + 1).min(self.height - 1));
        let at = |i: usize, j: usize| cells.get(j * self.width + i).copied().unwrap_or_default();
        let mix = |[a, b, c]: [f32; 3], [d, e, f]: [f32; 3], share: f32| {
            [a * (1.0 - share) + d * share, b * (1.0 - share) + e * share, c * (1.0 - share) + f * share]
        };
        mix(mix(at(i, j), at(i2, j), fx), mix(at(i, j2), at(i2, j2), fx), fy)
    }

    /// Whether a place in pixels of the photograph lies in it.
    pub fn holds(&self, photo_px: Point) -> bool {
        let (w, h) = (self.width as f64 * self.scale, self.height as f64 * self.scale);
        (0.0..=w).contains(&photo_px.x) && (0.0..=h).contains(&photo_px.y)
    }

    /// The mean over so many pixels of these along an edge, to either side of a place; `across` is the edge's normal. Grain goes out of it, the
    /// edge stays as sharp as it is.
    fn along(&self, cells: &[[f32; 3]], at: Point, across: Vec2, broad: i32) -> [f32; 3] {
        if broad == 0 {
            return self.between(cells, at);
        }
        let along = Vec2::new(-across.y, across.x) * self.scale;
        let mut sum = [0.0_f32; 3];
        for i in -broad..=broad {
            for (s, value) in sum.iter_mut().zip(self.between(cells, at + along * f64::from(i))) {
                *s += value;
            }
        }
        sum.map(|s| s / (2 * broad + 1) as f32)
    }

    /// Linear light as [`Shades::light_at`], the mean along an edge.
    pub(crate) fn light_along(&self, photo_px: Point, across: Vec2, broad: i32) -> [f32; 3] {
        self.along(&self.light, photo_px, across, broad)
    }

    /// How much the colour changes over a pixel, at steps of half a pixel of these along a line across an edge, from `reach_px` before `at` to as far
    /// behind; and the step in pixels of the photograph, and how many steps lie before `at`.
    fn changes_across(&self, at: Point, across: Vec2, reach_px: f64, broad: i32) -> (Vec<f64>, f64, i32) {
        let step = 0.5 * self.scale;
        let n = (reach_px / step).ceil().max(3.0) as i32;
        let soft = 2; // two steps either side: one pixel
        let samples: Vec<[f32; 3]> =
            (-(n + soft)..=n + soft).map(|i| self.along(&self.colours, at + across * (f64::from(i) * step), across, broad)).collect();
        let soft = soft as usize;
        let changes = (soft..samples.len().saturating_sub(soft))
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
        (changes, step, n)
    }

    /// Every place along a short line across an edge where the colour changes more than beside it: the shift in pixels of the photograph from `at` along
    /// the unit vector `across`, within ± `reach_px`, and the change over a pixel there; from one end to the other. What is looked at is the mean over
    /// `broad` pixels of these to either side along the edge.
    pub(crate) fn edges_across(&self, at: Point, across: Vec2, reach_px: f64, broad: i32) -> Vec<(f64, f64)> {
        self.changes_at(at, across, reach_px, broad).map(|(near, change)| (self.settled(at, across, near, broad), change)).collect()
    }

    /// The same to half a pixel only, which is quick.
    pub(crate) fn changes_at(&self, at: Point, across: Vec2, reach_px: f64, broad: i32) -> impl Iterator<Item = (f64, f64)> + use<> {
        let (change, step, n) = self.changes_across(at, across, reach_px, broad);
        let scale = self.scale;
        (1..change.len().saturating_sub(1)).filter_map(move |i| {
            let (before, own, after) = (*change.get(i - 1)?, *change.get(i)?, *change.get(i + 1)?);
            (own > before && own >= after).then(|| ((i as f64 - f64::from(n)) * step, own / scale))
        })
    }

    /// The shift of an edge that is known to half a pixel, by the light.
    pub(crate) fn settled(&self, at: Point, across: Vec2, near: f64, broad: i32) -> f64 {
        near + self.middle_of_edge(&self.light, at + across * near, across, broad)
    }

    /// How much further along the unit vector `across` an edge at a place lies if its middle is taken in the numbers of the file instead of in the light, in
    /// pixels of the photograph.
    pub(crate) fn further_by_numbers(&self, at: Point, across: Vec2, broad: i32) -> f64 {
        let middle = |cells: &[[f32; 3]]| self.middle_of_edge(cells, at, across, broad);
        middle(&self.colours) - middle(&self.light)
    }

    /// Where along a short line across an edge the colour changes most: the shift in pixels of the photograph from `at` along the unit vector `across`,
    /// within ± `reach_px`, and the change over a pixel there. The peak nearest the middle is preferred to a far one of the same height.
    /// What is looked at is the mean over `broad` pixels of these to either side along the edge.
    pub(crate) fn edge_across(&self, at: Point, across: Vec2, reach_px: f64, broad: i32) -> Option<(f64, f64)> {
        let (change, step, n) = self.changes_across(at, across, reach_px, broad);
        let weight = |i: usize| 1.0 - 0.35 * ((i as f64 - f64::from(n)) / f64::from(n)).abs();
        let mut best: Option<(usize, f64)> = None;
        for i in 1..change.len().saturating_sub(1) {
            let (l, c, r) = (change.get(i - 1)?, change.get(i)?, change.get(i + 1)?);
            if c >= l && c >= r && best.is_none_or(|(_, height)| c * weight(i) > height) {
                best = Some((i, c * weight(i)));
            }
        }
        let (i, _) = best?;
        let height = *change.get(i)? / self.scale;
        let peak = (i as f64 - f64::from(n)) * step;
        Some((self.settled(at, across, peak, broad), height))
    }

    /// How far from a place near an edge the edge lies along `across`: the middle of the change of light, or of other numbers, over it.
    fn middle_of_edge(&self, cells: &[[f32; 3]], at: Point, across: Vec2, broad: i32) -> f64 {
        let step = 0.25 * self.scale;
        let half = 14_i32;
        let light: Vec<[f32; 3]> = (-half..=half).map(|i| self.along(cells, at + across * (f64::from(i) * step), across, broad)).collect();
        // From one side to the other the light goes along one direction of colour; the mean of two pixels tells the sides.
        let mean = |from: usize| {
            let mut sum = [0.0_f32; 3];
            for light in light.iter().skip(from).take(6) {
                for (s, l) in sum.iter_mut().zip(light) {
                    *s += l / 6.0;
                }
            }
            sum
        };
        let (low, high) = (mean(2), mean(light.len().saturating_sub(8)));
        let along: [f32; 3] = from_fn(|k| high.get(k).unwrap_or(&0.0) - low.get(k).unwrap_or(&0.0));
        let level: Vec<f32> = light.iter().map(|l| l.iter().zip(along).map(|(a, b)| a * b).sum()).collect();
        let slope = |i: i32| {
            let get = |k: i32| usize::try_from(k + half).ok().and_then(|k| level.get(k)).copied().unwrap_or(0.0);
            f64::from(get(i + 2) - get(i - 2))
        };
        let reach = half - 3;
        let Some(top) = (-6..=6).max_by(|a, b| slope(*a).total_cmp(&slope(*b))) else { return 0.0 };
        let least = 0.25 * slope(top);
        if least <= 0.0 {
            return 0.0;
        }
        // The hill of the change, as far as it stands above a quarter of its height.
        let (mut sum, mut weighed) = (0.0, 0.0);
        for way in [-1, 1] {
            let mut i = if way < 0 { top } else { top + 1 };
            while i.abs() <= reach && (i - top).abs() <= 6 && slope(i) > least {
                let weight = slope(i) - least;
                sum += weight;
                weighed += weight * f64::from(i);
                i += way;
            }
        }
        if sum > 0.0 { (weighed / sum * step).clamp(-2.0 * self.scale, 2.0 * self.scale) } else { 0.0 }
    }
}
