//! The ground of a mark taken out: what is left is how much darker each place is than the glaze about it, in each colour of light.
//!
//! Print swallows a share of the light, so it is measured in natural logarithms of linear light (densities). There, uneven light is a sum and goes with the
//! ground, and one ink lies along one direction however thick it was laid.

use super::plane::Plane;
use crate::colour::linear_from_srgb;
use image::RgbImage;
use std::array::from_fn;

/// Least light that is told from none: half a step of an eight-bit picture near black.
const LEAST: f64 = 0.003;

/// Densities over the ground, for red, green and blue.
#[derive(Debug, Clone)]
pub(crate) struct Ground {
    /// Above 0 where darker than the ground.
    pub density: [Plane; 3],
}

/// Lightness in the weights of linear sRGB (IEC 61966-2-1).
pub(crate) const LIGHTNESS: [f32; 3] = [0.2126, 0.7152, 0.0722];

impl Ground {
    /// The ground as it is over `reach_px` to each side; `None` takes one ground for the whole picture. The picture is made smaller `by` times first.
    pub(crate) fn of(picture: &RgbImage, by: usize, reach_px: Option<f64>) -> Self {
        let table: [f32; 256] = from_fn(|c| linear_from_srgb(c as f64 / 255.0) as f32);
        let (width, height) = (picture.width() as usize, picture.height() as usize);
        let raw = picture.as_raw();
        let density = from_fn(|channel| {
            let light = Plane::from_fn(width, height, |x, y| {
                let value = raw.get((y * width + x) * 3 + channel).copied().unwrap_or(0);
                table.get(usize::from(value)).copied().unwrap_or(0.0)
            });
            let dark = light.smaller(by).map(|v| -(f64::from(v).max(LEAST).ln()) as f32);
            let ground = ground_of(&dark, reach_px.map(|px| px / by.max(1) as f64));
            dark.with(&ground, |d, g| d - g)
        });
        Self { density }
    }

    /// Density along a direction of the three colours.
    pub(crate) fn along(&self, axis: [f32; 3]) -> Plane {
        let [r, g, b] = &self.density;
        let [ar, ag, ab] = axis;
        r.with(g, |r, g| r * ar + g * ag).with(b, |sum, b| sum + b * ab)
    }

    /// The direction in which the print lies, of unit length: the mean of what stands out from the ground, weighed by how far; and the side on which it lies
    /// is the one that holds more. Light that blinds the camera is no print.
    pub(crate) fn ink_axis(&self) -> [f32; 3] {
        let [r, g, b] = &self.density;
        let size = r.with(g, |r, g| r * r + g * g).with(b, |sum, b| (sum + b * b).sqrt());
        let least = (3.0 * size.quantile(0.5)).max(0.08);
        let mut sums = [[0.0_f64; 3]; 2];
        for (((r, g), b), far) in r.values().iter().zip(g.values()).zip(b.values()).zip(size.values()) {
            if *far < least {
                continue;
            }
            let weight = f64::from((far - least).min(1.0));
            let side = usize::from(r + g + b <= 0.0);
            if let Some(sum) = sums.get_mut(side) {
                for (s, v) in sum.iter_mut().zip([r, g, b]) {
                    *s += weight * f64::from(*v / far);
                }
            }
        }
        let length = |v: &[f64; 3]| v.iter().map(|x| x * x).sum::<f64>().sqrt();
        let [dark, light] = &sums;
        let best = if length(dark) >= 0.5 * length(light) { dark } else { light };
        let whole = length(best);
        if whole < 1e-9 { LIGHTNESS.map(|v| v / 0.7496) } else { best.map(|v| (v / whole) as f32) }
    }
}

/// The ground under what stands on it: a mean over the reach, taken a second time without what lies far from the first.
fn ground_of(dark: &Plane, reach: Option<f64>) -> Plane {
    let Some(reach) = reach else {
        let middle = dark.quantile(0.5);
        return dark.map(|_| middle);
    };
    // A ground is smooth: it is worked out on a coarser grid and read between its cells.
    let by = ((reach / 6.0) as usize).clamp(1, 16);
    let coarse = dark.smaller(by);
    let sd = reach / by as f64 / 2.0;
    let first = coarse.smooth(sd);
    let off = coarse.with(&first, |v, g| (v - g).abs());
    let spread = (2.5 * off.quantile(0.5)).max(0.02);
    let weight = off.map(|o| (1.0 - (o / spread).powi(2)).max(0.0).powi(2) + 1e-4);
    let held = coarse.with(&weight, |v, w| v * w).smooth(sd);
    let second = held.with(&weight.smooth(sd), |v, w| v / w.max(1e-6));
    let scale = by as f64;
    Plane::from_fn(dark.width(), dark.height(), |x, y| second.at((x as f64 + 0.5) / scale, (y as f64 + 0.5) / scale))
}
