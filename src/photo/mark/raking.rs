//! Pressed or raised marks by light from several sides: pictures laid on each other, and what changes with the light.

use super::fourier::shift;
use super::ground::{Ground, LIGHTNESS};
use super::plane::Plane;
use crate::photo::Progress;
use image::{GrayImage, RgbImage};
use kurbo::{Affine, Point};
use nalgebra::{Matrix3, Vector3};

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
    #[error("{0} pictures were given (give two to four of the same mark, lit from different sides)")]
    Number(usize),
    /// Of different sizes.
    #[error("picture {number} is {width} × {height} pixels and the first is not (give pictures of one size)")]
    Size {
        /// Which, from 1.
        number: usize,
        /// Width in pixels.
        width: u32,
        /// Height in pixels.
        height: u32,
    },
    /// Too small.
    #[error("the pictures are too small (80 pixels along the shorter side are needed)")]
    Tiny,
    /// One does not fit on the first.
    #[error("picture {number} does not fit on the first (keep the camera still and move the lamp only)")]
    Apart {
        /// Which, from 1.
        number: usize,
    },
    /// Stopped by the one who asked.
    #[error("stopped")]
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
    for (k, other) in others.iter().enumerate() {
        progress.report(k as u64, others.len() as u64, 0, 900);
        progress.check().map_err(|_stop| StackError::Stopped)?;
        let plane = flat(other);
        let way = laid_on(&base, &plane).ok_or(StackError::Apart { number: k + 2 })?;
        let moved = Plane::from_fn(base.width(), base.height(), |x, y| {
            let p = way * Point::new(x as f64 + 0.5, y as f64 + 0.5);
            plane.at(p.x, p.y)
        });
        least = least.with(&moved, f32::min);
        most = most.with(&moved, f32::max);
        placed.push(way);
    }
    let steep = match how {
        Relief::Difference => most.with(&least, |high, low| high - low),
        Relief::Strongest => most.with(&least, |high, low| high.abs().max(low.abs())),
    };
    let (low, high) = (steep.quantile(0.3), steep.quantile(0.995));
    let range = (high - low).max(0.02);
    let bytes = steep.values().iter().map(|v| ((1.0 - ((v - low) / range).clamp(0.0, 1.0)) * 255.0).round() as u8).collect();
    let relief = GrayImage::from_raw(first.width(), first.height(), bytes).unwrap_or_default();
    progress.report(1, 1, 0, 1000);
    Ok(Stack { relief, other_from_first: placed })
}

/// Where the second shows a place of the first: a shift of the whole, then of nine parts, and the affinity that fits them.
fn laid_on(first: &Plane, second: &Plane) -> Option<Affine> {
    // Which flank is lit goes with the lamp, how steep it is does not: steepness is what both have.
    let steep = |plane: &Plane| {
        let smooth = plane.smooth(1.0);
        let fine = Plane::from_fn(plane.width(), plane.height(), |x, y| {
            let dx = smooth.get((x + 1).min(plane.width() - 1), y) - smooth.get(x.saturating_sub(1), y);
            let dy = smooth.get(x, (y + 1).min(plane.height() - 1)) - smooth.get(x, y.saturating_sub(1));
            dx.hypot(dy)
        });
        let most = fine.quantile(0.995).max(1e-4);
        fine.map(|v| v.min(most)).smooth(1.5)
    };
    let by = (first.width().max(first.height()) / 700).max(1);
    let (a, b) = (steep(&first.smaller(by)), steep(&second.smaller(by)));
    let whole = shift(&a, &b);
    if whole.peak < LEAST_PEAK {
        return None;
    }
    let mut way = Affine::translate((whole.x, whole.y));
    for _ in 0..2 {
        way = refined(&a, &b, way).unwrap_or(way);
    }
    let scale = by as f64;
    Some(Affine::scale(scale) * way * Affine::scale(1.0 / scale))
}

/// The affinity through the shifts that nine overlapping parts still have; `None` where too few have one.
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
            pairs.push((middle, way * (middle + kurbo::Vec2::new(found.x, found.y)), found.peak));
        }
    }
    if pairs.len() < 4 {
        return None;
    }
    // Least squares for each row of the affinity, weighed by the peaks; a little of the way so far keeps it where parts say nothing.
    let mut normal = Matrix3::<f64>::zeros();
    let (mut right_x, mut right_y) = (Vector3::<f64>::zeros(), Vector3::<f64>::zeros());
    let corners =
        [(0.0, 0.0), (w as f64, 0.0), (0.0, h as f64), (w as f64, h as f64)].map(|(x, y)| (Point::new(x, y), way * Point::new(x, y), 1.0));
    for (from, to, weight) in pairs.iter().chain(&corners) {
        let row = Vector3::new(from.x, from.y, 1.0);
        normal += *weight * row * row.transpose();
        right_x += *weight * to.x * row;
        right_y += *weight * to.y * row;
    }
    let inverse = normal.try_inverse()?;
    let (x, y) = (inverse * right_x, inverse * right_y);
    let found = Affine::new([x.x, y.x, x.y, y.y, x.z, y.z]);
    let size = found.determinant();
    (size.is_finite() && (0.7..1.4).contains(&size)).then_some(found)
}
