//! Seeking the rim: middles that a piece may have, and from each the closed line along which the picture most looks like a rim.

use super::above::{Says, Stroke};
use super::cloth::Cloth;
use super::edge::is_shadow;
use super::fit::{Fitted, algebraic, fit};
use super::plane::Plane;
use super::shape::{Model, Shape};
use crate::photo::camera::median;
use kurbo::{Point, Vec2};
use rayon::prelude::*;
use std::f64::consts::TAU;

/// Directions in which a rim is looked for from its middle.
const RAYS: usize = 240;
/// Along each, in mm.
const STEP_MM: f64 = 0.6;
/// Smallest and largest radius looked for, in mm.
const RADII_MM: (f64, f64) = (22.0, 230.0);
/// How far to either side of a rim it is asked what lies there, in mm.
const BAND_MM: f64 = 9.0;
/// Steps by which the rim may come nearer or go away from one ray to the next.
const JUMP: usize = 4;
/// What a step of it costs.
const JUMP_COST: f32 = 0.018;

/// A rim that was found.
#[derive(Debug, Clone)]
pub(super) struct Rim {
    /// The curve through it.
    pub(super) fitted: Fitted,
    /// How much it looks like a rim along the curve, 0 to about 1.
    pub(super) score: f64,
    /// The line itself, round the middle.
    pub(super) points: Vec<Point>,
}

impl Rim {
    /// Whether it is another rim, not the same found again.
    pub(super) fn differs(&self, other: &Self) -> bool {
        let (a, b) = (&self.fitted.shape, &other.fitted.shape);
        (a.centre - b.centre).hypot() > 0.06 * a.a || (a.a - b.a).abs() > 0.05 * a.a || (a.b - b.b).abs() > 0.05 * a.b
    }
}

/// The rim with corners, where they explain it better than an ellipse.
pub(super) fn cornered(rim: &Rim) -> Fitted {
    let counted = |f: &Fitted| f.weights.iter().sum::<f64>() / (1.0 + f.scale);
    fit(&rim.points, Model::Superellipse, &rim.fitted.shape, 0.4)
        // Once more from there: handles that bent the first curve lie far from it now.
        .and_then(|square| fit(&rim.points, Model::Superellipse, &square.shape, 0.4))
        .filter(|square| counted(square) > 1.08 * counted(&rim.fitted))
        .unwrap_or_else(|| rim.fitted.clone())
}

/// The rims that are found from the likeliest middles, best first. What the brush called piece lies within, if anything was.
pub(super) fn seek(
    plane: &Plane,
    cloth: &Cloth,
    card: &(dyn Fn(Point) -> bool + Sync),
    strokes: &[Stroke],
    to_plane: impl Fn(Point) -> Option<Point>,
) -> Vec<Rim> {
    let within: Vec<Point> = strokes.iter().filter(|s| s.says == Says::Piece).flat_map(|s| &s.px).filter_map(|p| to_plane(*p)).collect();
    let mut middles = middles(plane, cloth);
    if !within.is_empty() {
        middles.push((within.iter().fold(Vec2::ZERO, |s, p| s + p.to_vec2()) / within.len() as f64).to_point());
    }
    let holds = |rim: &Rim| within.iter().all(|p| rim.fitted.shape.distance(*p).0 < 3.0);
    let mut rims: Vec<Rim> = middles.par_iter().filter_map(|c| rim(plane, cloth, card, *c)).filter(holds).collect();
    rims.sort_by(|a, b| b.score.total_cmp(&a.score));
    // Once more from where the best lie: the line is surest from the middle itself.
    let again: Vec<Point> = rims.iter().take(2).map(|r| r.fitted.shape.centre).collect();
    rims.extend(again.par_iter().filter_map(|c| rim(plane, cloth, card, *c)).filter(holds).collect::<Vec<_>>());
    rims.sort_by(|a, b| b.score.total_cmp(&a.score));
    rims
}

/// Places that may be a piece's middle: where a disc of some size holds least cloth and the ring about it most.
fn middles(plane: &Plane, cloth: &Cloth) -> Vec<Point> {
    // Row sums of what is not cloth and of what is seen, on every fourth cell.
    let by = (4.0 / plane.cell_mm).ceil().max(1.0) as usize;
    let (w, h) = (plane.width / by, plane.height / by);
    if w < 4 || h < 4 {
        return Vec::new();
    }
    let mut sums = vec![0.0_f32; (w + 1) * h];
    let mut counts = vec![0.0_f32; (w + 1) * h];
    for y in 0..h {
        for x in 0..w {
            let (mut piece, mut seen) = (0.0, 0.0);
            for yy in y * by..(y + 1) * by {
                for xx in x * by..(x + 1) * by {
                    if plane.cell(xx, yy).is_some() {
                        seen += 1.0;
                        piece += 1.0 - cloth.likely.get(yy * plane.width + xx).copied().unwrap_or(0.5);
                    }
                }
            }
            let i = y * (w + 1) + x;
            let (s, c) = (sums.get(i).copied().unwrap_or(0.0), counts.get(i).copied().unwrap_or(0.0));
            if let (Some(a), Some(b)) = (sums.get_mut(i + 1), counts.get_mut(i + 1)) {
                *a = s + piece;
                *b = c + seen;
            }
        }
    }
    let cell = by as f64 * plane.cell_mm;
    let disc = |x: usize, y: usize, radius: f64| {
        let (mut piece, mut seen) = (0.0, 0.0);
        let r = radius / cell;
        let reach = r as usize;
        for row in y.saturating_sub(reach)..(y + reach + 1).min(h) {
            let dy = row.abs_diff(y) as f64;
            let half = (r * r - dy * dy).max(0.0).sqrt() as usize;
            let (from, to) = (x.saturating_sub(half).min(w), (x + half + 1).min(w));
            let i = row * (w + 1);
            let get = |v: &[f32], i: usize| v.get(i).copied().unwrap_or(0.0);
            piece += get(&sums, i + to) - get(&sums, i + from);
            seen += get(&counts, i + to) - get(&counts, i + from);
        }
        (piece, seen)
    };
    let radii: Vec<f64> = (0..11).map(|i| 32.0 * 1.18_f64.powi(i)).collect();
    let mut found: Vec<(f32, Point, f64)> = (0..h)
        .into_par_iter()
        .flat_map_iter(|y| {
            let (disc, radii) = (&disc, &radii);
            (0..w).flat_map(move |x| {
                radii.iter().filter_map(move |&r| {
                    let at = plane.middle((x * by + by / 2).min(plane.width - 1), (y * by + by / 2).min(plane.height - 1));
                    let (inner, seen) = disc(x, y, r);
                    let whole = std::f64::consts::PI * (r / plane.cell_mm).powi(2);
                    if f64::from(seen) < 0.8 * whole {
                        return None;
                    }
                    let (outer, outer_seen) = disc(x, y, 1.35 * r);
                    let ring = (outer - inner) / (outer_seen - seen).max(1.0);
                    Some((inner / seen - ring, at, r))
                })
            })
        })
        .collect();
    found.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.x.total_cmp(&b.1.x)).then(a.1.y.total_cmp(&b.1.y)));
    let mut kept: Vec<(Point, f64)> = Vec::new();
    for (_, at, r) in found {
        if !kept.iter().any(|(p, q)| (*p - at).hypot() < 0.35 * q.max(r)) {
            kept.push((at, r));
        }
        if kept.len() == 6 {
            break;
        }
    }
    kept.into_iter().map(|(p, _)| p).collect()
}

/// What the picture says along the rays from a middle: for each ray and step how much it looks like a rim.
struct Rays {
    steps: usize,
    scores: Vec<f32>,
}

impl Rays {
    fn radius(step: usize) -> f64 {
        RADII_MM.0 + step as f64 * STEP_MM
    }

    fn of(plane: &Plane, cloth: &Cloth, card: &(dyn Fn(Point) -> bool + Sync), centre: Point) -> Self {
        let steps = ((RADII_MM.1 - RADII_MM.0) / STEP_MM) as usize;
        let band = (BAND_MM / STEP_MM) as usize;
        let lead = band + 3;
        let mut scores = vec![-1.0_f32; RAYS * steps];
        let soft = cloth.grain * 1.5 + 3.0;
        let one = |(ray, row): (usize, &mut [f32])| {
            let along = Vec2::from_angle(TAU * ray as f64 / RAYS as f64);
            let places: Vec<Point> =
                (0..steps + 2 * lead).map(|i| centre + along * (RADII_MM.0 + (i as f64 - lead as f64) * STEP_MM)).collect();
            let colours: Vec<Option<[f32; 3]>> = places.iter().map(|p| plane.at(*p)).collect();
            let lit: Vec<[f32; 3]> = colours.iter().map(|c| c.map_or([0.0; 3], light)).collect();
            let mut sum = vec![0.0_f32];
            for p in &places {
                sum.push(sum.last().copied().unwrap_or(0.0) + cloth.at(plane, *p));
            }
            let mean = |from: usize, to: usize| (sum.get(to).unwrap_or(&0.0) - sum.get(from).unwrap_or(&0.0)) / (to - from).max(1) as f32;
            for (step, score) in row.iter_mut().enumerate() {
                let i = step + lead;
                let (Some(Some(a)), Some(Some(b)), Some(Some(c)), Some(Some(d))) =
                    (colours.get(i - 3), colours.get(i - 1), colours.get(i + 1), colours.get(i + 3))
                else {
                    continue;
                };
                let near: f32 = b.iter().zip(c).map(|(x, y)| (x - y).abs()).sum();
                let far: f32 = a.iter().zip(d).map(|(x, y)| (x - y).abs()).sum();
                let change = 0.6 * near + 0.4 * far;
                let edge = if places.get(i).is_some_and(|p| card(*p)) { 0.0 } else { change / (change + soft) };
                let sides = mean(i + 1, i + 1 + band) - mean(i - band, i);
                // The edge of a shadow on the cloth is an edge too, but none of clay.
                let shadow = lit.get(i - 3).zip(lit.get(i + 3)).is_some_and(|(within, without)| is_shadow(*within, *without));
                let clay = if shadow { 0.5 } else { 1.0 };
                *score = clay * edge * (0.35 + 0.65 * sides.max(0.0)) + 0.35 * sides;
            }
        };
        scores.par_chunks_mut(steps).enumerate().with_min_len(RAYS / 8).for_each(one);
        Self { steps, scores }
    }

    fn at(&self, ray: usize, step: usize) -> f32 {
        self.scores.get((ray % RAYS) * self.steps + step).copied().unwrap_or(-1.0)
    }

    /// The closed line with the greatest sum: twice round, of which the second half of the first and the first of the second are kept.
    fn best(&self) -> Vec<usize> {
        let (n, turns) = (self.steps, 2 * RAYS);
        let mut now: Vec<f32> = (0..n).map(|s| self.at(0, s)).collect();
        let mut back: Vec<u8> = vec![0; turns * n];
        for ray in 1..turns {
            let mut next = vec![f32::NEG_INFINITY; n];
            for (s, to) in next.iter_mut().enumerate() {
                let (low, high) = (s.saturating_sub(JUMP), (s + JUMP).min(n - 1));
                let (mut best, mut from) = (f32::NEG_INFINITY, s);
                for (k, before) in now.iter().enumerate().take(high + 1).skip(low) {
                    let value = before - JUMP_COST * k.abs_diff(s) as f32;
                    if value > best {
                        (best, from) = (value, k);
                    }
                }
                *to = best + self.at(ray, s);
                if let Some(b) = back.get_mut(ray * n + s) {
                    *b = (from + JUMP - s) as u8;
                }
            }
            now = next;
        }
        let mut at = now.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1)).map_or(0, |(s, _)| s);
        let mut line = vec![0; turns];
        for ray in (0..turns).rev() {
            if let Some(l) = line.get_mut(ray) {
                *l = at;
            }
            if ray > 0 {
                let shift = usize::from(back.get(ray * n + at).copied().unwrap_or(JUMP as u8));
                at = (at + shift).saturating_sub(JUMP).min(n - 1);
            }
        }
        (0..RAYS).map(|ray| line.get(if ray < RAYS / 2 { ray + RAYS } else { ray }).copied().unwrap_or(0)).collect()
    }
}

/// The rim about a middle. None where no curve goes through the line.
pub(super) fn rim(plane: &Plane, cloth: &Cloth, card: &(dyn Fn(Point) -> bool + Sync), centre: Point) -> Option<Rim> {
    let rays = Rays::of(plane, cloth, card, centre);
    let line = rays.best();
    let points: Vec<Point> = line
        .iter()
        .enumerate()
        .map(|(ray, step)| centre + Vec2::from_angle(TAU * ray as f64 / RAYS as f64) * Rays::radius(*step))
        .collect();
    let radius = median(points.iter().map(|p| (*p - centre).hypot()));
    let start = algebraic(&points).filter(|s| s.a < 2.0 * radius && s.b > 0.5 * radius).unwrap_or(Shape::circle(centre, radius));
    let fitted = fit(&points, Model::Ellipse, &start, 0.4)?;
    let score = (0..RAYS)
        .map(|ray| {
            let along = Vec2::from_angle(TAU * ray as f64 / RAYS as f64);
            let radius = crossing(&fitted.shape, centre, along);
            let step = ((radius - RADII_MM.0) / STEP_MM).round();
            if step < 2.0 {
                return -1.0;
            }
            let step = step as usize;
            f64::from((step - 2..=step + 2).map(|s| rays.at(ray, s)).fold(-1.0, f32::max))
        })
        .sum::<f64>()
        / RAYS as f64;
    Some(Rim { fitted, score, points })
}

/// About the linear light of a colour that is kept as lightness and two differences.
fn light([l, red, blue]: [f32; 3]) -> [f32; 3] {
    let g = l - 0.355 * red + 0.11 * blue;
    [g + red, g, g + 0.5 * red - blue].map(|c| (c.max(0.0) / 255.0).powf(2.2))
}

/// How far along a ray from a point within the curve is met.
fn crossing(shape: &Shape, from: Point, along: Vec2) -> f64 {
    let mut reach = shape.a.max(shape.b);
    for _ in 0..20 {
        let (miss, angle) = shape.distance(from + along * reach);
        let slope = along.dot(shape.normal(angle)).max(0.3);
        reach -= miss / slope;
        if miss.abs() < 0.01 {
            break;
        }
    }
    reach
}
