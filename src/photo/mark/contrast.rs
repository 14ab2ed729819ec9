//! Worn print made plain: the ground flattened, the ink told from the glaze, faint places brought up, light and dark exchanged.

use super::ground::{Ground, LIGHTNESS};
use super::plane::Plane;
use crate::colour::linear_from_srgb;
use image::{GrayImage, RgbImage};
use std::array::from_fn;

/// How print is made plain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contrast {
    /// What tells ink from glaze.
    pub ink: InkBy,
    /// Over how far the ground is flattened.
    pub flatten: Flatten,
    /// Whether faint places are brought up to strong ones.
    pub local: Local,
    /// Dark on light or the other way.
    pub tone: Tone,
}

impl Contrast {
    /// The picture as it is, in grey.
    pub const AS_IT_IS: Self = Self { ink: InkBy::Lightness, flatten: Flatten::Off, local: Local::Off, tone: Tone::InkDark };
    /// What helps most worn prints: flattened over a sixth of the picture, the ink found, no more.
    pub const PRINT: Self = Self { ink: InkBy::Found, flatten: Flatten::Over(1.0 / 6.0), local: Local::Off, tone: Tone::InkDark };
    /// For faint print: the same, with faint places brought up.
    pub const FAINT: Self =
        Self { ink: InkBy::Found, flatten: Flatten::Over(1.0 / 6.0), local: Local::Equalised(3.0), tone: Tone::InkDark };
}

/// What tells ink from glaze.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InkBy {
    /// How dark it is.
    Lightness,
    /// The colour of whatever stands out from the ground most.
    Found,
    /// Two colours picked from the photograph, sRGB. Where they are the same, lightness.
    Picked {
        /// On a letter.
        ink: [u8; 3],
        /// Beside it.
        glaze: [u8; 3],
    },
}

/// Over how far the ground is flattened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Flatten {
    /// Not at all: one ground for the whole picture.
    Off,
    /// Over that share of the picture's shorter side to each side, 0.02 to 1 (others are taken as the nearest).
    Over(f64),
}

/// Whether faint places are brought up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Local {
    /// No.
    Off,
    /// Each neighbourhood uses all greys, though none is steepened more than so many times (1 to 20; others are taken as the nearest).
    Equalised(f64),
}

/// Dark on light or the other way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tone {
    /// Ink comes out dark.
    InkDark,
    /// Ink comes out light.
    InkLight,
}

/// The picture in grey with its print made plain. Of the picture and the settings alone; an empty picture gives one pixel.
///
/// A piece of 600 × 600 pixels takes some hundredths of a second.
pub fn enhanced(picture: &RgbImage, how: &Contrast) -> GrayImage {
    grey(&ink(picture, how), how)
}

/// How much ink lies where: 0 none, 1 as much as the strongest, somewhat beyond at both ends.
pub(crate) fn ink(picture: &RgbImage, how: &Contrast) -> Plane {
    let shorter = f64::from(picture.width().min(picture.height()));
    let reach = match how.flatten {
        Flatten::Off => None,
        Flatten::Over(share) => Some(if share.is_finite() { shorter * share.clamp(0.02, 1.0) } else { shorter }),
    };
    let ground = Ground::of(picture, 1, reach);
    let axis = match how.ink {
        InkBy::Lightness => LIGHTNESS,
        InkBy::Found => ground.ink_axis(),
        InkBy::Picked { ink, glaze } => picked(ink, glaze),
    };
    let along = ground.along(axis);
    // The strongest print is what one cell in two hundred reaches, at least a density that an eye sees at all.
    let (low, high) = match how.flatten {
        Flatten::Off => (along.quantile(0.005), along.quantile(0.995)),
        Flatten::Over(_) => (0.0, along.quantile(0.99).max(0.06)),
    };
    let range = (high - low).max(0.02);
    along.map(|v| (v - low) / range)
}

fn grey(ink: &Plane, how: &Contrast) -> GrayImage {
    // The glaze keeps a little room, so that its grain does not burn out.
    let dark = ink.map(|v| (0.06 + 0.9 * v).clamp(0.0, 1.0));
    let dark = match how.local {
        Local::Off => dark,
        Local::Equalised(most) => equalised(&dark, if most.is_finite() { most.clamp(1.0, 20.0) } else { 1.0 }),
    };
    let bytes = dark.values().iter().map(|v| {
        let shown = if how.tone == Tone::InkDark { 1.0 - v } else { *v };
        (shown * 255.0).round() as u8
    });
    GrayImage::from_raw(dark.width() as u32, dark.height() as u32, bytes.collect()).unwrap_or_default()
}

/// The direction from a glaze to an ink in densities, of unit length.
fn picked(ink: [u8; 3], glaze: [u8; 3]) -> [f32; 3] {
    let density = |c: u8| -(linear_from_srgb(f64::from(c) / 255.0).max(0.003)).ln();
    let mut axis = [0.0_f64; 3];
    for ((to, i), g) in axis.iter_mut().zip(ink).zip(glaze) {
        *to = density(i) - density(g);
    }
    let length = axis.iter().map(|v| v * v).sum::<f64>().sqrt();
    if length < 1e-6 { LIGHTNESS } else { axis.map(|v| (v / length) as f32) }
}

const BINS: usize = 128;

/// Contrast-limited equalisation of tiles, read between their middles (Zuiderveld, 'Contrast limited adaptive histogram equalization', Graphics Gems IV,
/// 1994, 474–485).
fn equalised(plane: &Plane, most: f64) -> Plane {
    let tiles = 8_usize;
    let (tw, th) = (plane.width().div_ceil(tiles).max(1), plane.height().div_ceil(tiles).max(1));
    let (across, down) = (plane.width().div_ceil(tw), plane.height().div_ceil(th));
    let curves: Vec<[f32; BINS]> = (0..across * down)
        .map(|tile| {
            let (x0, y0) = (tile % across * tw, tile / across * th);
            let mut counts = [0.0_f64; BINS];
            let mut cells = 0.0;
            for y in y0..(y0 + th).min(plane.height()) {
                for x in x0..(x0 + tw).min(plane.width()) {
                    if let Some(count) = counts.get_mut(bin(plane.get(x, y))) {
                        *count += 1.0;
                        cells += 1.0;
                    }
                }
            }
            curve(&counts, cells, most)
        })
        .collect();
    let value = |tx: usize, ty: usize, at: usize| curves.get(ty * across + tx).and_then(|c| c.get(at)).copied().unwrap_or(0.0);
    Plane::from_fn(plane.width(), plane.height(), |x, y| {
        let at = bin(plane.get(x, y));
        let place = |p: usize, size: usize, count: usize| {
            let t = ((p as f32 + 0.5) / size as f32 - 0.5).clamp(0.0, (count - 1) as f32);
            let i = t as usize;
            (i, (i + 1).min(count - 1), t - i as f32)
        };
        let (i, i2, fx) = place(x, tw, across);
        let (j, j2, fy) = place(y, th, down);
        let top = value(i, j, at) * (1.0 - fx) + value(i2, j, at) * fx;
        let low = value(i, j2, at) * (1.0 - fx) + value(i2, j2, at) * fx;
        top * (1.0 - fy) + low * fy
    })
}

fn bin(value: f32) -> usize {
    ((value.clamp(0.0, 1.0) * BINS as f32) as usize).min(BINS - 1)
}

/// The curve that makes the counts even, no steeper than `most`: what is cut off is shared among all.
fn curve(counts: &[f64; BINS], cells: f64, most: f64) -> [f32; BINS] {
    let limit = most * cells / BINS as f64;
    let cut: f64 = counts.iter().map(|c| (c - limit).max(0.0)).sum();
    let share = cut / BINS as f64;
    let mut sum = 0.0;
    let mut out = [0.0; BINS];
    for (to, count) in out.iter_mut().zip(counts) {
        let here = count.min(limit) + share;
        *to = ((sum + here / 2.0) / cells.max(1.0)) as f32;
        sum += here;
    }
    out
}

/// Colours of ink and glaze as the photograph shows them about a place: the darkest and lightest within `reach_px`, for a first guess when a person picks.
pub fn colours_near(picture: &RgbImage, x: u32, y: u32, reach_px: u32) -> Option<([u8; 3], [u8; 3])> {
    let lightness = |p: &[u8; 3]| p.iter().zip([3_u32, 6, 1]).map(|(c, w)| u32::from(*c) * w).sum::<u32>();
    let across = x.saturating_sub(reach_px)..=x.saturating_add(reach_px).min(picture.width().checked_sub(1)?);
    let down = y.saturating_sub(reach_px)..=y.saturating_add(reach_px).min(picture.height().checked_sub(1)?);
    let mut all: Vec<[u8; 3]> =
        down.flat_map(|y| across.clone().map(move |x| (x, y))).filter_map(|(x, y)| picture.get_pixel_checked(x, y).map(|p| p.0)).collect();
    all.sort_by_key(|p| (lightness(p), *p));
    let mean = |some: &[[u8; 3]]| -> Option<[u8; 3]> {
        let n = u32::try_from(some.len()).ok().filter(|n| *n > 0)?;
        Some(from_fn(|c| (some.iter().map(|p| u32::from(p.get(c).copied().unwrap_or(0))).sum::<u32>() / n) as u8))
    };
    let some = all.len().div_ceil(20);
    Some((mean(all.get(..some)?)?, mean(all.get(all.len() / 2..)?)?))
}
