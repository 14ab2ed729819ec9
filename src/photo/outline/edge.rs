//! The rim to less than a pixel: where the photograph's colours change most across the curve.

use super::fit::{Fitted, fit_trusting};
use super::shape::Shape;
use crate::photo::camera::Placed;
use crate::photo::card::Shades;
use kurbo::{Point, Vec2};
use nalgebra::Point3;
use rayon::prelude::*;
use std::f64::consts::TAU;

/// Places along the curve where the edge is looked for.
pub(super) const STATIONS: usize = 360;

/// Pixels of the picture to either side along the rim over which it is averaged: over so few its bend is a fiftieth of a pixel, and grain is a third.
pub(super) const BROAD: i32 = 3;
/// How far the rim is looked for in the last of the looks, in mm.
pub(super) const LAST_REACH_MM: f64 = 1.0;

/// Edges change by at least this many of 255 steps over a pixel.
const LEAST_CHANGE: f64 = 1.5;

/// A point of the rim.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RimPoint {
    /// In the photograph.
    pub px: Point,
    /// In the plane of the rim, in mm.
    pub mm: Point,
    /// How clear the edge is there against the rest of the rim, 0 to 1.
    pub clear: f64,
    /// How clear it is by itself, 0 to 1: half as much where it may be the edge of a shadow.
    pub edge: f64,
}

/// The points of the rim along a curve, in order; places on the card and outside the picture are left out.
pub(super) fn look(
    whole: &Shades,
    placed: &Placed,
    z_mm: f64,
    shape: &Shape,
    reach_mm: f64,
    card: &(dyn Fn(Point) -> bool + Sync),
) -> Vec<RimPoint> {
    let project = |mm: Point| placed.project(Point3::new(mm.x, mm.y, z_mm));
    // Evenly along the curve, not by angle.
    let fine = shape.points(4 * STATIONS);
    let mut lengths = vec![0.0];
    for (p, q) in fine.iter().zip(fine.iter().cycle().skip(1)) {
        lengths.push(lengths.last().copied().unwrap_or(0.0) + (*q - *p).hypot());
    }
    let whole_length = lengths.last().copied().unwrap_or(1.0);
    let mut next = 0;
    let angles: Vec<f64> = (0..STATIONS)
        .map(|station| {
            let want = whole_length * station as f64 / STATIONS as f64;
            while lengths.get(next + 1).is_some_and(|l| *l <= want) {
                next += 1;
            }
            TAU * next as f64 / fine.len() as f64
        })
        .collect();
    let point = |angle: f64| {
        let (mm, normal) = (shape.at(angle), shape.normal(angle));
        if card(mm) || card(mm + normal) {
            return None;
        }
        let (px, out) = (project(mm)?, project(mm + normal)?);
        let scale = (out - px).hypot();
        if !(scale > 0.1 && whole.holds(px) && whole.holds(px + (out - px) * reach_mm)) {
            return None;
        }
        let across = (out - px) / scale;
        let (shift, change, shadow) = rim_edge(whole, px, across, (reach_mm * scale).max(2.5))?;
        let px = px + across * shift;
        let edge = change / (change + 8.0) * if shadow { 0.4 } else { 1.0 };
        Some(RimPoint { px, mm: placed.on_plane(px, z_mm)?, clear: change, edge })
    };
    let mut found: Vec<RimPoint> = angles.into_par_iter().with_min_len(30).filter_map(point).collect();
    // On a handle, or where cloth and clay are alike, only grain is seen.
    let mut changes: Vec<f64> = found.iter().map(|p| p.clear).collect();
    let usual = changes.len() * 3 / 5;
    if usual < changes.len() {
        let usual = *changes.select_nth_unstable_by(usual, f64::total_cmp).1;
        for p in &mut found {
            p.clear = (p.clear / (0.5 * usual)).min(1.0).powi(2);
        }
    }
    found
}

/// The edge that is the rim's: the clearest near the middle, unless what lies within it is the cloth itself in shadow and an edge of the clay lies further in.
fn rim_edge(whole: &Shades, px: Point, across: Vec2, reach_px: f64) -> Option<(f64, f64, bool)> {
    let near = |shift: f64| 1.0 - 0.35 * (shift / reach_px).abs();
    let clear = whole.changes_at(px, across, reach_px, BROAD).filter(|(_, change)| *change > LEAST_CHANGE);
    let edges: Vec<(f64, f64)> = clear.map(|(near, change)| (whole.settled(px, across, near, BROAD), change)).collect();
    let best = *edges.iter().max_by(|a, b| (a.1 * near(a.0)).total_cmp(&(b.1 * near(b.0))))?;
    let beside = 1.6 * whole.scale;
    let shadow = |shift: f64| {
        let (inside, outside) = (px + across * (shift - beside), px + across * (shift + beside));
        is_shadow(whole.light_along(inside, across, BROAD), whole.light_along(outside, across, BROAD))
    };
    if !shadow(best.0) {
        return Some((best.0, best.1, false));
    }
    let further = edges.iter().rev().find(|e| e.0 < best.0 - whole.scale && e.1 > 0.3 * best.1 && !shadow(e.0));
    Some(further.map_or((best.0, best.1, true), |(shift, change)| (*shift, *change, false)))
}

/// Whether the light within is that without, only less of it: all colours by the same share, and not so little of it as no shadow in a room leaves (a
/// quarter; our own estimate).
pub(super) fn is_shadow(inside: [f32; 3], outside: [f32; 3]) -> bool {
    let dot = |a: [f32; 3], b: [f32; 3]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f32>();
    let whole = dot(outside, outside);
    if whole < 1e-6 {
        return false;
    }
    let share = dot(inside, outside) / whole;
    let off = || inside.iter().zip(outside).map(|(i, o)| (i - share * o).powi(2)).sum::<f32>();
    (0.25..0.93).contains(&share) && off() < 0.06 * 0.06 * dot(inside, inside).max(1e-9)
}

/// The curve through the edge itself, from one that is near it.
pub(super) fn refine(
    whole: &Shades,
    placed: &Placed,
    z_mm: f64,
    from: &Fitted,
    card: &(dyn Fn(Point) -> bool + Sync),
) -> Option<(Fitted, Vec<RimPoint>)> {
    let mut now = from.clone();
    let mut points = Vec::new();
    for reach_mm in [3.0, 1.6, LAST_REACH_MM] {
        points = look(whole, placed, z_mm, &now.shape, reach_mm, card);
        let mm: Vec<Point> = points.iter().map(|p| p.mm).collect();
        let clear: Vec<f64> = points.iter().map(|p| p.clear).collect();
        now = fit_trusting(&mm, &clear, now.model, &now.shape, 0.03)?;
    }
    Some((now, points))
}
