//! Pressed or raised marks by light from several sides: pictures laid on each other, and what changes with the light.

use super::fourier::shift;
use super::ground::{Ground, LIGHTNESS};
use super::plane::Plane;
use crate::photo::Progress;
use crate::say;
use image::{GrayImage, RgbImage};
use kurbo::{Affine, Point, Vec2};

/// How pictures lit from different sides are put together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Relief {
    /// By how much a place differs between the pictures: a flank is light in one and dark in another; print and stains are the same in all and vanish.
    Difference,
    /// The greatest departure from the ground in any of them: more is seen, print and stains too.
    Strongest,
}

/// Pictures laid on the first, and their relief.
#[derive(Debug, Clone, PartialEq)]
pub struct Stack {
    /// The relief: dark where the surface is steep. As large as the first picture.
    pub relief: GrayImage,
    /// For every picture, where it shows a place of the first.
    pub other_from_first: Vec<Affine>,
}

/// Why pictures were not laid on each other.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum StackError {
    /// Too few or too many.
    #[error("{}", say!("{what} pictures were given (give two to four of the same mark, lit from different sides)", what = _0))]
    Number(usize),
    /// Of different sizes.
    #[error("{}", say!("picture {number} is {width} × {height} pixels and the first is not (give pictures of one size)", number, width, height))]
    Size {
        /// Which, from 1.
        number: usize,
        /// Width in pixels.
        width: u32,
        /// Height in pixels.
        height: u32,
    },
    /// Too small.
    #[error("{}", say!("the pictures are too small (80 pixels along the shorter side are needed)"))]
    Tiny,
    /// One does not fit on the first.
    #[error("{}", say!("picture {number} does not fit on the first (keep the camera still and move the lamp only)", number))]
    Apart {
        /// Which, from 1.
        number: usize,
    },
    /// Stopped by the one who asked.
    #[error("{}", say!("stopped"))]
    Stopped,
}

/// Least height of the peak by which two pictures are said to show the same.
const LEAST_PEAK: f64 = 6.0;

/// Lays two to four pictures on the first and shows the relief.
///
/// They may be shifted, turned and scaled a little against each other, as hand-held pictures are: by a fifth of their size and some degrees.
///
/// # Errors
/// See [`StackError`].
pub fn relief(pictures: &[&RgbImage], how: Relief, progress: &Progress) -> Result<Stack, StackError> {
    let Some((first, others)) = pictures.split_first().filter(|(_, others)| (1..=3).contains(&others.len())) else {
        return Err(StackError::Number(pictures.len()));
    };
    for (k, other) in others.iter().enumerate() {
        if other.dimensions() != first.dimensions() {
            return Err(StackError::Size { number: k + 2, width: other.width(), height: other.height() });
        }
    }
    if first.width().min(first.height()) < 80 {
        return Err(StackError::Tiny);
    }
    let reach = f64::from(first.width().min(first.height())) / 8.0;
    let flat = |picture: &RgbImage| Ground::of(picture, 1, Some(reach)).along(LIGHTNESS);
    let base = flat(first);
    let (mut least, mut most) = (base.clone(), base.clone());
    let mut placed = vec![Affine::IDENTITY];
    let by = (first.width().max(first.height()) as usize / 700).max(1);
    // All laid so far together show more flanks than the first alone.
    let mut steep = steepness(&base, by);
    for (k, other) in others.iter().enumerate() {
        progress.report(k as u64, others.len() as u64, 0, 900);
        progress.check().map_err(|_stop| StackError::Stopped)?;
        let plane = flat(other);
        let own = steepness(&plane, by);
        let small = laid_on(&steep, &own).ok_or(StackError::Apart { number: k + 2 })?;
        steep = Plane::from_fn(steep.width(), steep.height(), |x, y| {
            let p = small * Point::new(x as f64 + 0.5, y as f64 + 0.5);
            steep.get(x, y) + own.at(p.x, p.y)
        });
        let way = Affine::scale(by as f64) * small * Affine::scale(1.0 / by as f64);
        let moved = Plane::from_fn(base.width(), base.height(), |x, y| {
            let p = way * Point::new(x as f64 + 0.5, y as f64 + 0.5);
            plane.at(p.x, p.y)
        });
        least = least.with(&moved, f32::min);
        most = most.with(&moved, f32::max);
        placed.push(way);
    }
    let relief = match how {
        Relief::Difference => most.with(&least, |high, low| high - low),
        Relief::Strongest => most.with(&least, |high, low| high.abs().max(low.abs())),
    };
    let (low, high) = (relief.quantile(0.3), relief.quantile(0.995));
    let range = (high - low).max(0.02);
    let bytes = relief.values().iter().map(|v| ((1.0 - ((v - low) / range).clamp(0.0, 1.0)) * 255.0).round() as u8).collect();
    let relief = GrayImage::from_raw(first.width(), first.height(), bytes).unwrap_or_default();
    progress.report(1, 1, 0, 1000);
    Ok(Stack { relief, other_from_first: placed })
}

/// How steep a picture is, at a scale fit for laying it on another. Which flank is lit goes with the lamp, how steep it is much less.
fn steepness(plane: &Plane, by: usize) -> Plane {
    let smooth = plane.smaller(by).smooth(1.0);
    let fine = Plane::from_fn(smooth.width(), smooth.height(), |x, y| {
        let dx = smooth.get((x + 1).min(smooth.width() - 1), y) - smooth.get(x.saturating_sub(1), y);
        let dy = smooth.get(x, (y + 1).min(smooth.height() - 1)) - smooth.get(x, y.saturating_sub(1));
        dx.hypot(dy)
    });
    let (grain, most) = (1.5 * fine.quantile(0.6), fine.quantile(0.995).max(1e-4));
    fine.map(|v| (v.min(most) - grain).max(0.0) / most).smooth(2.5)
}

/// Where the second shows a place of the first: a shift of the whole, then of nine parts, and what fits them.
fn laid_on(first: &Plane, second: &Plane) -> Option<Affine> {
    let whole = shift(first, second);
    if whole.peak < LEAST_PEAK {
        return None;
    }
    let mut way = Affine::translate((whole.x, whole.y));
    for _ in 0..4 {
        way = refined(first, second, way).unwrap_or(way);
    }
    Some(way)
}

/// The turn, size and shift through the shifts that nine overlapping parts still have; `None` where too few have one.
fn refined(a: &Plane, b: &Plane, way: Affine) -> Option<Affine> {
    let (w, h) = (a.width(), a.height());
    let (pw, ph) = (w * 2 / 5, h * 2 / 5);
    let mut pairs = Vec::new();
    for k in 0..9 {
        let (x0, y0) = ((w - pw) * (k % 3) / 2, (h - ph) * (k / 3) / 2);
        let part = Plane::from_fn(pw, ph, |x, y| a.get(x0 + x, y0 + y));
        let other = Plane::from_fn(pw, ph, |x, y| {
            let p = way * Point::new((x0 + x) as f64 + 0.5, (y0 + y) as f64 + 0.5);
            b.at(p.x, p.y)
        });
        let found = shift(&part, &other);
        if found.peak > LEAST_PEAK && found.x.hypot(found.y) < 0.15 * pw as f64 {
            let middle = Point::new((x0 + pw / 2) as f64, (y0 + ph / 2) as f64);
            pairs.push((middle, way * (middle + Vec2::new(found.x, found.y)), found.peak));
        }
    }
    if pairs.len() < 4 {
        return None;
    }
    // Parts where the two show different flanks agree on a wrong shift now and then: least squares whose weights fall off with what is left over.
    let mut best = way;
    for reach in [12.0_f64, 6.0, 3.0] {
        let off = |best: &Affine, (from, to, _): &(Point, Point, f64)| (*best * *from).distance(*to);
        let mut offs: Vec<f64> = pairs.iter().map(|pair| off(&best, pair)).collect();
        offs.sort_by(f64::total_cmp);
        let reach = offs.get(offs.len() / 2).map_or(reach, |middle| reach.max(2.0 * middle));
        let weighed: Vec<(Point, Point, f64)> = pairs
            .iter()
            .map(|pair| (pair.0, pair.1, pair.2 * pair.2 * (1.0 - (off(&best, pair) / reach).powi(2)).max(0.0).powi(2)))
            .collect();
        best = through(&weighed)?;
    }
    Some(best)
}

/// The turn, size and shift that lead places nearest to others, by weights (Horn, Journal of the Optical Society of America A 4, 1987, 629–642, in the plane);
/// `None` where they do not determine one, or one that two hand-held pictures would not have.
fn through(pairs: &[(Point, Point, f64)]) -> Option<Affine> {
    let whole: f64 = pairs.iter().map(|p| p.2).sum();
    if whole <= 0.0 {
        return None;
    }
    let mean = |of: fn(&(Point, Point, f64)) -> Vec2| pairs.iter().map(|p| of(p) * p.2).fold(Vec2::ZERO, |a, b| a + b) / whole;
    let (from, to) = (mean(|p| p.0.to_vec2()), mean(|p| p.1.to_vec2()));
    let (mut along, mut across, mut size) = (0.0, 0.0, 0.0);
    for (a, b, weight) in pairs {
        let (a, b) = (a.to_vec2() - from, b.to_vec2() - to);
        along += weight * a.dot(b);
        across += weight * a.cross(b);
        size += weight * a.hypot2();
    }
    let (cos, sin) = (along / size, across / size);
    let scale = cos.hypot(sin);
    let way = Affine::translate(to) * Affine::new([cos, sin, -sin, cos, 0.0, 0.0]) * Affine::translate(-from);
    (scale.is_finite() && (0.85..1.18).contains(&scale)).then_some(way)
}
