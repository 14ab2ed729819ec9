//! How alike two pictures of marks are, however they are turned, sized and shifted.
//!
//! Both are brought to one size about the middle of their ink. Looked at by angle and logarithm of distance, a turn and a change of size are shifts (Casasent &
//! Psaltis, Applied Optics 15, 1976, 1795–1799): all are tried for several middles, since wear moves the middle of the ink. The best few are then fitted by an
//! affinity to the correlation of the pictures themselves. No chance is involved: the same pictures give the same answer.

use super::error::MarkError;
use super::find::check_size;
use super::lines::{gathered, inked};
use super::plane::Plane;
use super::strokes::Strokes;
use crate::photo::Progress;
use image::RgbImage;
use kurbo::{Affine, Point, Vec2};
use rayon::prelude::*;
use std::f64::consts::TAU;

/// A picture of a mark made ready for comparing. Keep it: making one takes longer than comparing two.
#[derive(Debug, Clone)]
pub struct Look {
    /// Blurred ink, `SIDE` cells a side, the middle of the ink in its middle.
    map: Plane,
    polars: Vec<(Vec2, Polar)>,
    /// From cells of the map to pixels of the picture.
    picture_from_map: Affine,
}

/// Two pictures compared.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Likeness {
    /// Correlation of their ink where they are laid on each other: 1 the same, 0 nothing in common. Worn marks of the demo reach 0.5 to 0.9 with their own.
    pub score: f64,
    /// Where the first picture shows a place of the second, in pixels of each.
    pub first_from_second: Affine,
}

const SIDE: usize = 96;
/// How far the map reaches from the middle, in root mean squares of the ink's distance from it.
const REACH: f64 = 2.2;
const ANGLES: usize = 60;
const RADII: usize = 16;
/// Nearest and farthest of the looks by distance, in cells of the map.
const NEAR: f64 = 6.0;
const FAR: f64 = 46.0;

/// Ink by angle and logarithm of distance, less its mean, angle by angle.
#[derive(Debug, Clone)]
struct Polar(Vec<f64>);

impl Look {
    /// Makes a picture of a mark ready.
    ///
    /// # Errors
    /// [`MarkError::Tiny`] or [`MarkError::Blank`].
    pub fn of(picture: &RgbImage) -> Result<Self, MarkError> {
        check_size(picture)?;
        let strokes = Strokes::of(picture);
        strokes.check()?;
        let ink = gathered(inked(&strokes.drawn, |_| true));
        let whole: f64 = ink.iter().map(|i| i.ink).sum();
        if ink.len() < 40 || whole <= 0.0 {
            return Err(MarkError::Blank);
        }
        let middle = ink.iter().map(|i| i.place.to_vec2() * i.ink).fold(Vec2::ZERO, |a, b| a + b) / whole;
        let spread = (ink.iter().map(|i| i.ink * (i.place.to_vec2() - middle).hypot2()).sum::<f64>() / whole).sqrt().max(3.0);
        let cell = 2.0 * REACH * spread / SIDE as f64;
        let strokes_from_map = Affine::translate(middle) * Affine::scale(cell) * Affine::translate(-Vec2::splat(SIDE as f64 / 2.0));
        let soft = strokes.drawn.smooth(0.9 * cell);
        let map = Plane::from_fn(SIDE, SIDE, |x, y| {
            let p = strokes_from_map * Point::new(x as f64 + 0.5, y as f64 + 0.5);
            soft.inside(p.x, p.y)
        });
        let steps = [-4.0, 0.0, 4.0];
        let polars = steps.iter().flat_map(|x| steps.map(|y| Vec2::new(*x, y))).map(|off| (off, Polar::of(&map, off))).collect();
        Ok(Self { map, polars, picture_from_map: Affine::scale(strokes.scale) * strokes_from_map })
    }

    fn middle_polar(&self) -> Option<&Polar> {
        self.polars.iter().find(|(off, _)| off.hypot() < 1e-9).map(|(_, polar)| polar)
    }
}

impl Polar {
    fn of(map: &Plane, off: Vec2) -> Self {
        let middle = Vec2::splat(SIDE as f64 / 2.0) + off;
        let mut values: Vec<f64> = (0..ANGLES * RADII)
            .map(|k| {
                let angle = TAU * (k / RADII) as f64 / ANGLES as f64;
                let far = NEAR * (FAR / NEAR).powf((k % RADII) as f64 / (RADII - 1) as f64);
                let p = middle + Vec2::from_angle(angle) * far;
                f64::from(map.inside(p.x, p.y))
            })
            .collect();
        let mean = values.iter().sum::<f64>() / values.len() as f64;
        for value in &mut values {
            *value -= mean;
        }
        Self(values)
    }

    /// Correlation with another that is turned by so many steps of angle and larger by so many of distance.
    fn correlation(&self, other: &Self, turn: usize, larger: i32) -> f64 {
        let (mut both, mut own, mut others) = (0.0, 1e-9, 1e-9);
        let shift = larger.unsigned_abs() as usize;
        for (angle, row) in self.0.chunks(RADII).enumerate() {
            let at = (angle + ANGLES - turn) % ANGLES * RADII;
            let Some(from) = other.0.get(at..at + RADII) else { continue };
            let (row, from) = if larger >= 0 {
                (row.get(shift..).unwrap_or_default(), from.get(..RADII - shift).unwrap_or_default())
            } else {
                (row.get(..RADII - shift).unwrap_or_default(), from.get(shift..).unwrap_or_default())
            };
            for (a, b) in row.iter().zip(from) {
                both += a * b;
                own += a * a;
                others += b * b;
            }
        }
        both / (own * others).sqrt()
    }
}

/// How alike two pictures are.
pub fn compare(first: &Look, second: &Look) -> Likeness {
    let Some(reference) = second.middle_polar() else {
        return Likeness { score: 0.0, first_from_second: Affine::IDENTITY };
    };
    let step = (FAR / NEAR).ln() / (RADII - 1) as f64;
    let mut tries: Vec<(f64, Affine)> = Vec::new();
    for (off, polar) in &first.polars {
        for turn in 0..ANGLES {
            for larger in -3..=3 {
                let score = polar.correlation(reference, turn, larger);
                let middle = Vec2::splat(SIDE as f64 / 2.0);
                let way = Affine::translate(middle + *off)
                    * Affine::rotate(TAU * turn as f64 / ANGLES as f64)
                    * Affine::scale((step * f64::from(larger)).exp())
                    * Affine::translate(-middle);
                tries.push((score, way));
            }
        }
    }
    tries.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut best = (f64::NEG_INFINITY, Affine::IDENTITY);
    let mut fitted: Vec<Affine> = Vec::new();
    for (_, way) in tries {
        // Several tries round one peak lead to the same fit.
        if fitted.iter().any(|f| apart(f, &way) < 9.0) {
            continue;
        }
        fitted.push(way);
        let found = fit(&first.map, &second.map, way);
        if found.0 > best.0 {
            best = found;
        }
        if fitted.len() == 4 {
            break;
        }
    }
    Likeness { score: best.0.max(0.0), first_from_second: first.picture_from_map * best.1 * second.picture_from_map.inverse() }
}

/// How far two ways lead the corners of the map apart.
fn apart(a: &Affine, b: &Affine) -> f64 {
    let far = SIDE as f64;
    [(0.0, 0.0), (far, 0.0), (0.0, far), (far, far)]
        .iter()
        .map(|p| (*a * Point::from(*p)).distance(*b * Point::from(*p)))
        .fold(0.0, f64::max)
}

/// Correlation of the second map with the first seen through a way.
fn correlation(first: &Plane, second: &Plane, way: &Affine) -> f64 {
    let (mut n, mut sa, mut sb, mut aa, mut bb, mut ab) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    for y in (0..SIDE).step_by(2) {
        for x in (y / 2 % 2..SIDE).step_by(2) {
            let p = *way * Point::new(x as f64 + 0.5, y as f64 + 0.5);
            let (a, b) = (f64::from(first.inside(p.x, p.y)), f64::from(second.get(x, y)));
            n += 1.0;
            sa += a;
            sb += b;
            aa += a * a;
            bb += b * b;
            ab += a * b;
        }
    }
    let (va, vb) = (aa - sa * sa / n, bb - sb * sb / n);
    if va < 1e-9 || vb < 1e-9 { 0.0 } else { (ab - sa * sb / n) / (va * vb).sqrt() }
}

/// The way with the greatest correlation near a first: one of its six freedoms at a time, in steps that halve.
fn fit(first: &Plane, second: &Plane, way: Affine) -> (f64, Affine) {
    let middle = Vec2::splat(SIDE as f64 / 2.0);
    let about = |a: Affine| Affine::translate(middle) * a * Affine::translate(-middle);
    let mut best = (correlation(first, second, &way), way);
    for halving in 0..4 {
        let s = 0.5_f64.powi(halving);
        let (px, rad, part) = (2.5 * s, 0.06 * s, 0.06 * s);
        let moves: [Affine; 12] = [
            Affine::translate((px, 0.0)),
            Affine::translate((-px, 0.0)),
            Affine::translate((0.0, px)),
            Affine::translate((0.0, -px)),
            about(Affine::rotate(rad)),
            about(Affine::rotate(-rad)),
            about(Affine::scale(1.0 + part)),
            about(Affine::scale(1.0 - part)),
            about(Affine::scale_non_uniform(1.0 + part, 1.0 - part)),
            about(Affine::scale_non_uniform(1.0 - part, 1.0 + part)),
            about(Affine::skew(part, part)),
            about(Affine::skew(-part, -part)),
        ];
        for _ in 0..5 {
            let before = best.0;
            for step in &moves {
                let turned = best.1 * *step;
                // Narrower than a slant of about 45° makes, or much larger or smaller: another mark.
                let [a, b, c, d, ..] = turned.as_coeffs();
                let sheared = ((a * a + b * b).sqrt() / (c * c + d * d).sqrt()).ln().abs();
                if sheared > 0.35
                    || (a * c + b * d).abs() > 0.35 * turned.determinant().abs()
                    || !(0.3..3.0).contains(&turned.determinant())
                {
                    continue;
                }
                let score = correlation(first, second, &turned);
                if score > best.0 {
                    best = (score, turned);
                }
            }
            if best.0 - before < 1e-4 {
                break;
            }
        }
    }
    best
}

/// The marks most like a picture, best first: where each stands in the list given, and how alike. Equal scores keep the order of the list.
///
/// # Errors
/// [`MarkError::Stopped`].
pub fn rank(first: &Look, others: &[Look], progress: &Progress) -> Result<Vec<(usize, Likeness)>, MarkError> {
    let done = std::sync::atomic::AtomicU64::new(0);
    let scored: Vec<Option<(usize, Likeness)>> = others
        .par_iter()
        .enumerate()
        .map(|(k, other)| {
            progress.check().ok()?;
            let likeness = compare(first, other);
            let so_far = done.fetch_add(1, std::sync::atomic::Ordering::Relaxed) + 1;
            progress.report(so_far, others.len() as u64, 0, 1000);
            Some((k, likeness))
        })
        .collect();
    let mut all: Vec<(usize, Likeness)> = scored.into_iter().collect::<Option<_>>().ok_or(MarkError::Stopped)?;
    all.sort_by(|a, b| b.1.score.total_cmp(&a.1.score).then(a.0.cmp(&b.0)));
    Ok(all)
}
