//! Finding the ring of a mark: where strokes lie all round within an ellipse and hardly any outside it, then the ellipse that makes them lie closest together.

use super::error::MarkError;
use super::lines::{Inked, gathered, inked};
use super::plane::Plane;
use super::ring::{Ring, RingKind};
use super::strokes::Strokes;
use crate::photo::Progress;
use image::RgbImage;
use kurbo::{Point, Vec2};
use rayon::prelude::*;
use std::f64::consts::{PI, TAU};

/// A ring found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoundRing {
    /// The outermost of what is drawn: a border, or the heads of the letters.
    pub ring: Ring,
    /// How closely strokes lie together along it; from 0.6 on it is a ring, well-kept ones reach 2.
    pub ringness: f64,
    /// How much it stands out from the next best that lies elsewhere, 0 to 1.
    pub surety: f64,
    /// Share of the way round at which something was seen.
    pub seen: f64,
}

/// Cells along the longer side of the map that is searched through.
const COARSE: usize = 84;
const SECTORS: usize = 32;

/// Looks for the ring of a mark by itself.
///
/// # Errors
/// [`MarkError::Tiny`], [`MarkError::Blank`] or [`MarkError::NoRing`] where there is none; [`MarkError::Stopped`].
pub fn find_ring(picture: &RgbImage, progress: &Progress) -> Result<FoundRing, MarkError> {
    check_size(picture)?;
    let strokes = Strokes::of(picture);
    found_in(&strokes, progress)
}

pub(crate) fn check_size(picture: &RgbImage) -> Result<(), MarkError> {
    let (width, height) = picture.dimensions();
    if width.min(height) < 80 { Err(MarkError::Tiny { width, height }) } else { Ok(()) }
}

pub(crate) fn found_in(strokes: &Strokes, progress: &Progress) -> Result<FoundRing, MarkError> {
    likeliest_in(strokes, progress)?.if_at_least(LEAST_RINGNESS, LEAST_SEEN).ok_or(MarkError::NoRing)
}

/// The likeliest ring, whether or not it is one.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Likeliest {
    found: FoundRing,
    /// Share of the ink that lies within it.
    within: f64,
}

impl Likeliest {
    /// The ring, where strokes lie together along it so closely and so far round.
    pub(crate) fn if_at_least(self, ringness: f64, seen: f64) -> Option<FoundRing> {
        (self.found.ringness >= ringness && self.found.seen >= seen && self.within >= LEAST_WITHIN).then_some(self.found)
    }
}

pub(crate) fn likeliest_in(strokes: &Strokes, progress: &Progress) -> Result<Likeliest, MarkError> {
    progress.check().map_err(|_stop| MarkError::Stopped)?;
    strokes.check()?;
    let by = strokes.drawn.width().max(strokes.drawn.height()).div_ceil(COARSE);
    let coarse = strokes.drawn.smaller(by).mean(1).map(f32::sqrt);
    let candidates = candidates(&coarse, progress)?;
    progress.report(1, 1, 0, 400);
    let fine = &strokes.drawn;
    let half = fine.smaller(2);
    let ink = gathered(inked(fine, |_| true));
    let rank = |ring: &Ring| {
        let small = ring.moved(1.0 / by as f64, Vec2::ZERO);
        ringness(fine, ring) * (0.5 + Looks::of(&small).held(&coarse, small.centre)) * share_within(&ink, ring)
    };
    let best_first = |mut rings: Vec<(f64, Ring)>| {
        rings.sort_by(|a, b| b.0.total_cmp(&a.0));
        rings
    };
    let roughly = candidates.par_iter().map(|(_, ring)| {
        let first = ring.moved(by as f64 / 2.0, Vec2::ZERO);
        let sized = [0.78, 0.85, 0.92, 1.0, 1.08].map(|by| first.scaled(by));
        let of = |ring: &Ring| concentration(&half, ring, 60);
        let first = sized.iter().copied().max_by(|a, b| of(a).total_cmp(&of(b))).unwrap_or(first);
        let ring = refined(&half, first, &[4.0, 2.0, 1.0], 90).moved(2.0, Vec2::ZERO);
        (rank(&ring), ring)
    });
    let roughly = best_first(roughly.collect());
    progress.check().map_err(|_stop| MarkError::Stopped)?;
    progress.report(1, 1, 0, 700);
    let Some((first, _)) = roughly.first().copied() else { return Err(MarkError::NoRing) };
    let likely: Vec<Ring> = roughly.iter().filter(|(score, _)| *score > 0.7 * first).take(4).map(|(_, ring)| *ring).collect();
    let rings = likely.par_iter().map(|ring| {
        let ring = refined(fine, *ring, &[2.0, 1.0, 0.5], 180);
        (rank(&ring), ring)
    });
    let rings = best_first(rings.collect());
    progress.check().map_err(|_stop| MarkError::Stopped)?;
    progress.report(1, 1, 0, 900);
    let Some((best, ring)) = rings.first().copied() else { return Err(MarkError::NoRing) };
    let elsewhere = |(_, r): &&(f64, Ring)| r.centre.distance(ring.centre) > 0.25 * ring.radius();
    let next = rings.iter().chain(&roughly).filter(elsewhere).map(|(s, _)| *s).fold(0.0, f64::max);
    let within = share_within(&ink, &ring);
    let ringness = best / within.max(0.1);
    let ring = to_outer_edge(fine, ring);
    let seen = seen_round(fine, &ring);
    let found = FoundRing { ring: ring.moved(strokes.scale, Vec2::ZERO), ringness, surety: ((best - next) / best).clamp(0.0, 1.0), seen };
    Ok(Likeliest { found, within })
}

/// Share of the ink that lies within a ring.
fn share_within(ink: &[Inked], ring: &Ring) -> f64 {
    let wider = ring.scaled(1.04);
    let whole: f64 = ink.iter().map(|i| i.ink).sum();
    let within: f64 = ink.iter().filter(|i| wider.holds(i.place)).map(|i| i.ink).sum();
    if whole > 0.0 { within / whole } else { 0.0 }
}

/// How unevenly strokes lie in distance from a ring, and how many there are: the spread of the profile over its mean, times the root of its concentration.
fn ringness(fine: &Plane, ring: &Ring) -> f64 {
    let all = profile(fine, ring, -0.42, 0.14, 0.7, 180);
    let n = all.len().max(1) as f64;
    let mean = all.iter().sum::<f64>() / n;
    let squares = all.iter().map(|v| v * v).sum::<f64>();
    let spread = (squares / n - mean * mean).max(0.0).sqrt();
    if mean < 1e-6 { 0.0 } else { spread / mean * squares.sqrt() }
}

/// Least ringness of a ring, and least share of the way round that is drawn on: what tells the demo's rings from its straight words.
pub(crate) const LEAST_RINGNESS: f64 = 0.6;
/// Least share of the ink that lies within it: a ring goes round the mark, and not round one of its words.
const LEAST_WITHIN: f64 = 0.45;
pub(crate) const LEAST_SEEN: f64 = 0.5;

/// Where, as shares of the way to the ellipse, is looked within it and outside it.
const WITHIN: [f64; 5] = [0.70, 0.78, 0.86, 0.93, 0.99];
const OUTSIDE: [f64; 4] = [1.06, 1.12, 1.18, 1.25];

/// The cells that an ellipse looks at, from its middle: sector by sector those within it, then those outside it.
struct Looks {
    within: Vec<(i32, i32)>,
    outside: Vec<(i32, i32)>,
}

impl Looks {
    fn of(ring: &Ring) -> Self {
        let cells = |shares: &[f64]| -> Vec<(i32, i32)> {
            (0..SECTORS)
                .map(|sector| round_vec(ring, Vec2::from_angle(TAU * (sector as f64 + 0.5) / SECTORS as f64)))
                .flat_map(|to| shares.iter().map(move |share| ((to.x * share).round() as i32, (to.y * share).round() as i32)))
                .collect()
        };
        Self { within: cells(&WITHIN), outside: cells(&OUTSIDE) }
    }

    /// How much more is drawn just within an ellipse than just outside, sector by sector, so that one strong word does not make a ring.
    fn held(&self, coarse: &Plane, centre: Point) -> f64 {
        let (x, y) = (centre.x.floor() as i32, centre.y.floor() as i32);
        let cell = |(dx, dy): &(i32, i32)| match (usize::try_from(x + dx), usize::try_from(y + dy)) {
            (Ok(x), Ok(y)) if x < coarse.width() && y < coarse.height() => Some(coarse.get(x, y)),
            _ => None,
        };
        let within: f32 =
            self.within.chunks(WITHIN.len()).map(|some| (some.iter().filter_map(cell).sum::<f32>() / WITHIN.len() as f32).min(0.3)).sum();
        // Beyond the picture there may be anything: a little is assumed, or the largest ellipses would always do well.
        let outside: f32 = self.outside.iter().map(|at| cell(at).unwrap_or(0.1)).sum::<f32>() / OUTSIDE.len() as f32;
        f64::from(within - 1.1 * outside) / SECTORS as f64
    }
}

/// From the middle to the ellipse in a direction of its circle.
fn round_vec(ring: &Ring, unit: Vec2) -> Vec2 {
    let (sin, cos) = ring.turn_rad.sin_cos();
    let (along, across) = (ring.major * (unit.x * cos + unit.y * sin), ring.minor * (unit.y * cos - unit.x * sin));
    Vec2::new(along * cos - across * sin, along * sin + across * cos)
}

/// The best ellipses of a coarse search, best first, no two alike.
fn candidates(coarse: &Plane, progress: &Progress) -> Result<Vec<(f64, Ring)>, MarkError> {
    let (w, h) = (coarse.width() as f64, coarse.height() as f64);
    let shorter = w.min(h);
    let mut shapes = vec![(1.0, 0.0)];
    for aspect in [0.86, 0.72, 0.6] {
        shapes.extend((0..6).map(|k| (aspect, PI * f64::from(k) / 6.0)));
    }
    let radii = (0..12).map(|k| shorter * 0.13 * 1.12_f64.powi(k)).filter(|r| *r >= 6.0);
    let rings: Vec<(f64, Vec<(Ring, Looks)>)> = radii
        .map(|radius| {
            let made = shapes.iter().map(|(aspect, turn)| {
                let widened = radius / f64::sqrt(*aspect);
                let ring = Ring::new(Point::ZERO, (widened, widened * aspect), *turn);
                (ring, Looks::of(&ring))
            });
            (radius, made.collect())
        })
        .collect();
    let step = 4.0;
    let columns = (w / step) as usize;
    let centres: Vec<Point> = (0..columns * (h / step) as usize)
        .map(|k| Point::new(((k % columns) as f64 + 0.5) * step, ((k / columns) as f64 + 0.5) * step))
        .collect();
    let mut all: Vec<(f64, Ring)> = centres
        .par_iter()
        .map(|centre| {
            let mut best: Option<(f64, Ring)> = None;
            for (radius, rings) in &rings {
                // Most of the ring must be in the picture.
                let room = centre.x.min(w - centre.x).min(centre.y).min(h - centre.y);
                if room < 0.6 * radius {
                    break;
                }
                for (ring, looks) in rings {
                    let score = looks.held(coarse, *centre);
                    if best.is_none_or(|(s, _)| score > s) {
                        best = Some((score, Ring { centre: *centre, ..*ring }));
                    }
                }
            }
            best
        })
        .collect::<Vec<_>>()
        .into_iter()
        .flatten()
        .collect();
    progress.check().map_err(|_stop| MarkError::Stopped)?;
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut kept: Vec<(f64, Ring)> = Vec::new();
    for (score, ring) in all {
        let near = |(_, k): &(f64, Ring)| k.centre.distance(ring.centre) < 5.0 && (k.radius() / ring.radius()).ln().abs() < 0.12;
        if score > 0.0 && !kept.iter().any(near) {
            kept.push((score, ring));
        }
        if kept.len() == 20 {
            break;
        }
    }
    Ok(kept)
}

/// How closely strokes lie together along a ring: the sum of squares of what is drawn at each distance from it. Borders and the heads and feet of letters all
/// make it large, and only where the ellipse fits.
fn concentration(fine: &Plane, ring: &Ring, rays: usize) -> f64 {
    profile(fine, ring, -0.42, 0.14, 0.7, rays).iter().map(|v| v * v).sum()
}

/// What is drawn at each distance from a ring, on the mean all round: from `from` to `to` of its minor half axis, in steps of a cell.
pub(crate) fn profile(fine: &Plane, ring: &Ring, from: f64, to: f64, step_px: f64, rays: usize) -> Vec<f64> {
    let steps = (((to - from) * ring.minor) / step_px).round().max(1.0) as usize;
    let rays = rays.max(1);
    let mut sums = vec![0.0; steps];
    for ray in 0..rays {
        let round = TAU * ray as f64 / rays as f64;
        // Both kinds of ring are straight outward.
        let (foot, head) = (ring.at(round, from * ring.minor), ring.at(round, to * ring.minor));
        for (k, sum) in sums.iter_mut().enumerate() {
            let p = foot.lerp(head, (k as f64 + 0.5) / steps as f64);
            *sum += f64::from(fine.inside(p.x, p.y));
        }
    }
    sums.iter().map(|s| s / rays as f64).collect()
}

/// The ellipse with the greatest concentration near a first one: one number at a time, in steps that get smaller (cells, for a ring of 150).
fn refined(fine: &Plane, first: Ring, steps: &[f64], rays: usize) -> Ring {
    let mut best = first;
    let score = |map: &Plane, ring: &Ring| concentration(map, ring, rays);
    for (k, step) in steps.iter().enumerate() {
        // Long steps look at a blurred map, or they would jump over the fit.
        let blurred = fine.mean(if k == 0 { 2 } else { 1 });
        let map = if k + 1 == steps.len() { fine } else { &blurred };
        let mut top = score(map, &best);
        for _ in 0..6 {
            let before = top;
            for turned in moves(&best, step * (first.radius() / 150.0).max(0.4)) {
                let ratio = turned.radius() / first.radius();
                if !(0.8..1.25).contains(&ratio) || turned.minor < 0.5 * turned.major {
                    continue;
                }
                let s = score(map, &turned);
                if s > top {
                    (best, top) = (turned, s);
                }
            }
            if top <= before * 1.0005 {
                break;
            }
        }
    }
    best
}

/// The ellipse with one number changed, either way: middle, size, and the two ways of being narrow (none of which has a place where it makes no sense, as
/// the turn of a circle would).
fn moves(ring: &Ring, step: f64) -> [Ring; 10] {
    let mean = f64::midpoint(ring.major, ring.minor);
    let half = (ring.major - ring.minor) / 2.0;
    let (s, c) = (2.0 * ring.turn_rad).sin_cos();
    let (e, f, centre) = (half * c, half * s, ring.centre);
    let build = |centre: Point, mean: f64, e: f64, f: f64| {
        let half = e.hypot(f);
        Ring::new(centre, (mean + half, (mean - half).max(1.0)), f.atan2(e) / 2.0)
    };
    let d = step;
    [
        build(centre + Vec2::new(d, 0.0), mean, e, f),
        build(centre - Vec2::new(d, 0.0), mean, e, f),
        build(centre + Vec2::new(0.0, d), mean, e, f),
        build(centre - Vec2::new(0.0, d), mean, e, f),
        build(centre, mean + d, e, f),
        build(centre, mean - d, e, f),
        build(centre, mean, e + d, f),
        build(centre, mean, e - d, f),
        build(centre, mean, e, f + d),
        build(centre, mean, e, f - d),
    ]
}

/// Grown or shrunk to where what is drawn ends.
fn to_outer_edge(fine: &Plane, ring: Ring) -> Ring {
    let (from, to) = (-0.5, 0.3);
    let all = profile(fine, &ring, from, to, 1.0, 180);
    let most = all.iter().copied().fold(0.0, f64::max);
    let quiet = all.iter().rev().take(all.len() / 8).sum::<f64>() / (all.len() / 8).max(1) as f64;
    let level = quiet + 0.3 * (most - quiet);
    // From outside inward to the first that is drawn for good.
    let last = all.iter().rposition(|v| *v > level).unwrap_or(all.len() - 1);
    let out = from + (to - from) * (last as f64 + 1.0) / all.len() as f64;
    moved_out(&ring, out * ring.minor)
}

/// The ring so many pixels further out.
pub(crate) fn moved_out(ring: &Ring, px: f64) -> Ring {
    match ring.kind {
        RingKind::Round => ring.scaled((1.0 + px / ring.radius()).max(0.05)),
        RingKind::Oval => Ring { major: (ring.major + px).max(1.0), minor: (ring.minor + px).max(1.0), ..*ring },
    }
}

/// Share of the way round at which something is drawn on the ring or a third of the way in.
fn seen_round(fine: &Plane, ring: &Ring) -> f64 {
    let sectors = 48;
    let drawn = |k: i32| {
        (0..12).any(|s| {
            (0..4).any(|j| {
                let p = ring.at(TAU * (f64::from(k) + f64::from(j) / 4.0) / f64::from(sectors), -0.34 * ring.minor * f64::from(s) / 12.0);
                fine.inside(p.x, p.y) > 0.4
            })
        })
    };
    (0..sectors).filter(|k| drawn(*k)).count() as f64 / f64::from(sectors)
}
