//! The edge of a coin in the photograph, from a point on the coin.

use super::CoinError;
use crate::photo::card::Shades;
use crate::photo::outline::{Model, Shape, algebraic, fit_shape};
use kurbo::{Point, Vec2};
use rayon::prelude::*;
use std::f64::consts::TAU;

/// Directions in which the edge is looked for.
const RAYS: usize = 120;
/// The smallest radius of a coin that is looked for, in pixels.
const LEAST_PX: f64 = 12.0;
/// One band of radii reaches so many times its middle outward, and inward as much.
const BAND: f64 = 1.55;
/// Bands lie so far apart.
const APART: f64 = 1.22;
/// A change of colour of so much over two pixels counts half.
const HALF: f32 = 14.0;
/// What a step from one ray to the next costs, in pixels.
const JUMP_COST: f32 = 0.03;
/// Where the point is not the middle the edge comes nearer and goes away by so many steps from ray to ray.
const JUMP: usize = 3;
/// Of an edge that is taken, so much must be seen.
const LEAST_SEEN: f64 = 0.6;
/// Relief and lettering make rings within a coin: the outermost ring that is seen so well as the best is its edge.
const AS_WELL: f64 = 0.7;
/// How clear an edge must be, 0 to 1.
const LEAST_CLEAR: f64 = 0.22;
/// Points of the edge.
const STATIONS: usize = 180;
/// A coin is never seen narrower than this.
const NARROWEST: f64 = 0.55;

/// The edge of a coin.
#[derive(Debug, Clone)]
pub(super) struct Edge {
    /// The ellipse through it, in pixels.
    pub(super) shape: Shape,
    /// Its points in pixels.
    pub(super) points: Vec<Point>,
}

/// The edge round a point, of a radius of at most `most_px`.
pub(super) fn edge(whole: &Shades, on: Point, most_px: f64) -> Result<Edge, CoinError> {
    if !(on.is_finite() && whole.holds(on)) {
        return Err(CoinError::Outside(on.x, on.y));
    }
    let none = CoinError::NoEdge(on.x, on.y);
    let bands = ((most_px / (LEAST_PX * whole.scale.max(1.0))).ln() / APART.ln()).max(0.0) as i32;
    let mut found: Vec<(Shape, f64)> = (0..=bands)
        .into_par_iter()
        .filter_map(|k| {
            let radius = LEAST_PX * whole.scale.max(1.0) * APART.powi(k);
            let rough = ring(whole, on, radius, BAND)?;
            // Again from its own middle.
            let shape = ring(whole, rough.centre, (rough.a * rough.b).sqrt(), 1.2)?;
            let inside = shape.distance(on).0 < 0.0 && shape.a < 1.2 * most_px;
            (inside && shape.b > NARROWEST * shape.a).then(|| (shape, clear(whole, &shape)))
        })
        .collect();
    found.sort_by(|a, b| b.1.total_cmp(&a.1));
    let best = found.first().map(|f| f.1).filter(|clear| *clear > LEAST_CLEAR).ok_or_else(|| none.clone())?;
    let outermost = found.iter().filter(|f| f.1 > AS_WELL * best).max_by(|a, b| a.0.a.total_cmp(&b.0.a)).ok_or_else(|| none.clone())?;
    refined(whole, &outermost.0).ok_or(none)
}

/// The ellipse through the closed line about a middle along which the picture changes most, between radii.
fn ring(whole: &Shades, middle: Point, radius: f64, band: f64) -> Option<Shape> {
    let step = whole.scale.max(radius / 80.0);
    let (from, to) = (radius / band, radius * band);
    let steps = ((to - from) / step) as usize;
    if steps < 4 {
        return None;
    }
    let strength: Vec<f32> = (0..RAYS)
        .flat_map(|ray| {
            let along = Vec2::from_angle(TAU * ray as f64 / RAYS as f64);
            let colour = move |r: f64| whole.at(middle + along * r);
            (0..steps).map(move |s| {
                let r = from + s as f64 * step;
                let (a, b) = (colour(r - 1.2 * whole.scale), colour(r + 1.2 * whole.scale));
                let change: f32 = a.iter().zip(b).map(|(a, b)| (a - b).abs()).sum();
                change / (change + HALF)
            })
        })
        .collect();
    let line = closed(&strength, steps);
    let points: Vec<Point> = line
        .iter()
        .enumerate()
        .map(|(ray, s)| middle + Vec2::from_angle(TAU * ray as f64 / RAYS as f64) * (from + *s as f64 * step))
        .filter(|p| whole.holds(*p))
        .collect();
    if points.len() < RAYS * 3 / 4 {
        return None;
    }
    let start = algebraic(&points).filter(|s| s.b > 0.4 * s.a && s.a < 2.0 * to).unwrap_or(Shape::circle(middle, radius));
    Some(fit_shape(&points, Model::Ellipse, &start, whole.scale)?.shape.ordered())
}

/// The closed line with the greatest sum, a step for each ray: twice round, of which the middle is kept.
fn closed(strength: &[f32], steps: usize) -> Vec<usize> {
    let at = |ray: usize, s: usize| strength.get((ray % RAYS) * steps + s).copied().unwrap_or(0.0);
    let turns = 2 * RAYS;
    let mut now: Vec<f32> = (0..steps).map(|s| at(0, s)).collect();
    let mut back = vec![0_usize; turns * steps];
    for ray in 1..turns {
        let next: Vec<(f32, usize)> = (0..steps)
            .map(|s| {
                let (low, high) = (s.saturating_sub(JUMP), (s + JUMP).min(steps - 1));
                let best = (low..=high)
                    .map(|k| (now.get(k).copied().unwrap_or(f32::NEG_INFINITY) - JUMP_COST * k.abs_diff(s) as f32, k))
                    .max_by(|a, b| a.0.total_cmp(&b.0))
                    .unwrap_or((f32::NEG_INFINITY, s));
                (best.0 + at(ray, s), best.1)
            })
            .collect();
        for (s, (_, from)) in next.iter().enumerate() {
            if let Some(b) = back.get_mut(ray * steps + s) {
                *b = *from;
            }
        }
        now = next.into_iter().map(|n| n.0).collect();
    }
    let mut s = now.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1)).map_or(0, |(s, _)| s);
    let mut line = vec![0; turns];
    for ray in (0..turns).rev() {
        if let Some(l) = line.get_mut(ray) {
            *l = s;
        }
        s = back.get(ray * steps + s).copied().unwrap_or(s);
    }
    (0..RAYS).map(|ray| line.get(if ray < RAYS / 2 { ray + RAYS } else { ray }).copied().unwrap_or(0)).collect()
}

/// How well an edge is seen along an ellipse, 0 to 1: it is strong all round, for which the weaker half counts, and from within to without the colour changes
/// alike all round, which in the grain of a cloth it does not.
fn clear(whole: &Shades, shape: &Shape) -> f64 {
    let mut sum = [0.0_f32; 3];
    let mut length = 0.0_f32;
    let mut all: Vec<f32> = (0..RAYS)
        .map(|i| {
            let angle = TAU * i as f64 / RAYS as f64;
            let (at, out) = (shape.at(angle), shape.normal(angle));
            if !whole.holds(at) {
                return 0.0;
            }
            let (inner, outer) = (whole.at(at - out * (2.0 * whole.scale)), whole.at(at + out * (2.0 * whole.scale)));
            let change: [f32; 3] = std::array::from_fn(|k| outer.get(k).unwrap_or(&0.0) - inner.get(k).unwrap_or(&0.0));
            length += change.iter().map(|c| c * c).sum::<f32>().sqrt();
            for (s, c) in sum.iter_mut().zip(change) {
                *s += c;
            }
            let strength = |by: f64| {
                let (a, b) = (whole.at(at + out * (by - 1.2) * whole.scale), whole.at(at + out * (by + 1.2) * whole.scale));
                let change: f32 = a.iter().zip(b).map(|(a, b)| (a - b).abs()).sum();
                change / (change + HALF)
            };
            [-1.0, 0.0, 1.0].map(strength).into_iter().fold(0.0, f32::max)
        })
        .collect();
    all.sort_by(f32::total_cmp);
    let alike = sum.iter().map(|s| s * s).sum::<f32>().sqrt() / length.max(1e-3);
    f64::from(all.iter().take(RAYS / 2).sum::<f32>()) / (RAYS / 2) as f64 * f64::from(alike)
}

/// The edge placed by the light itself, to a tenth of a pixel.
fn refined(whole: &Shades, start: &Shape) -> Option<Edge> {
    let mut shape = *start;
    let mut points = Vec::new();
    for reach in [3.5, 2.0, 2.0] {
        let reach = reach * whole.scale;
        points = (0..STATIONS)
            .filter_map(|i| {
                let angle = TAU * i as f64 / STATIONS as f64;
                let (at, out) = (shape.at(angle), shape.normal(angle));
                let (shift, change) = whole.edge_across(at, out, reach, 0)?;
                let px = at + out * shift;
                (change > 1.5 && whole.holds(px)).then_some(px)
            })
            .collect();
        let fitted = fit_shape(&points, Model::Ellipse, &shape, 0.1 * whole.scale)?;
        let on: Vec<Point> = points.iter().zip(&fitted.weights).filter(|(_, w)| **w > 0.2).map(|(p, _)| *p).collect();
        if (on.len() as f64) < LEAST_SEEN * STATIONS as f64 {
            return None;
        }
        points = on;
        shape = fitted.shape.ordered();
    }
    let plain = shape.a.is_finite() && shape.b > NARROWEST * shape.a;
    plain.then_some(Edge { shape, points })
}
