//! Where exactly the outline runs in the photograph.

use super::super::contour::{Contact, Contour};
use super::super::solid::Axis;
use super::super::view::View;
use super::raster::Raster;
use super::run::{Across, LEAST};
use super::search::Silhouette;
use crate::photo::camera::Placed;
use crate::photo::card::Shades;
use kurbo::{Point, Vec2};
use rayon::prelude::*;

/// How much the colour changes over a pixel at an edge that is seen, in shades of 256.
const LEAST_CHANGE: f64 = 2.5;

/// A point at which an outline was looked for.
#[derive(Debug, Clone, Copy)]
pub(in super::super) struct Edge {
    /// Where an edge is.
    pub(in super::super) px: Option<Point>,
}

fn look(picture: &Shades, sought: Point, across: Vec2, reach_px: f64) -> Edge {
    let found = picture.edge_across(sought, across, reach_px, 0).filter(|(_, change)| *change > LEAST_CHANGE);
    Edge { px: found.map(|(shift, _)| sought + across * shift) }
}

/// What the colours say of each place in the photograph: the piece's (1) or the surround's (−1).
pub(in super::super) struct Leaning<'a> {
    pub(in super::super) camera: &'a Placed,
    pub(in super::super) raster: &'a Raster,
    pub(in super::super) silhouette: &'a Silhouette,
}

impl Leaning<'_> {
    /// At so many places on the short way from one pixel to another.
    pub(super) fn between(&self, from: Point, to: Point, count: usize) -> Vec<f64> {
        let (Some(a), Some(b)) = (self.raster.cell(self.camera, from), self.raster.cell(self.camera, to)) else { return vec![0.0; count] };
        let share = |k: usize| k as f64 / count.saturating_sub(1).max(1) as f64;
        (0..count).map(share).map(|t| self.at_cell((a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t))).collect()
    }

    /// Between the four nearest cells.
    fn at_cell(&self, (x, y): (f64, f64)) -> f64 {
        let (x, y) = (x - 0.5, y - 0.5);
        let cell = |i: f64, j: f64| {
            let inside = i >= 0.0 && j >= 0.0 && i < self.raster.columns as f64;
            let k = if inside { j as usize * self.raster.columns + i as usize } else { usize::MAX };
            f64::from(self.silhouette.leaning.get(k).copied().unwrap_or(-1.0))
        };
        let (i, j) = (x.floor(), y.floor());
        let (s, t) = (x - i, y - j);
        let row = |j: f64| cell(i, j) * (1.0 - s) + cell(i + 1.0, j) * s;
        row(j) * (1.0 - t) + row(j + 1.0) * t
    }

    /// How much of the piece's colours lies further outside of a place, 0 to 1.
    pub(super) fn beyond(&self, px: Point, across: Vec2) -> f64 {
        let [from, to] = BEYOND_PX.map(|by| px + across * by);
        let all = self.between(from, to, BEYOND_PLACES);
        all.iter().map(|leans| leans.max(0.0)).sum::<f64>() / BEYOND_PLACES as f64
    }

    /// How much more the piece's colours are inside of a place than outside, −1 to 1.
    pub(super) fn step(&self, px: Point, across: Vec2) -> f64 {
        let all = self.between(px - across * BESIDE_PX, px + across * BESIDE_PX, 2 * BESIDE_PLACES + BESIDE_GAP);
        let (inside, outside) = (all.iter().take(BESIDE_PLACES).sum::<f64>(), all.iter().rev().take(BESIDE_PLACES).sum::<f64>());
        (inside - outside) / (2 * BESIDE_PLACES) as f64
    }
}

/// How far beyond a foot its own colours are looked for, in pixels.
const BEYOND_PX: [f64; 2] = [12.0, 36.0];
/// And at how many places from the one to the other.
const BEYOND_PLACES: usize = 5;
/// How far beside an edge the colours are asked for, in pixels.
const BESIDE_PX: f64 = 8.0;
/// At how many places on either side, and how many are left out between.
const BESIDE_PLACES: usize = 3;
const BESIDE_GAP: usize = 2;
/// A change that is seen where the colours on its sides are the piece's and the surround's, in shades of 256.
const FAINTEST_CHANGE: f64 = 0.8;
/// How much they must be so.
const CLEAR_STEP: f64 = 0.3;
/// A change of so much over a pixel counts half.
const HALF_CHANGE: f64 = 8.0;
/// What colours count beside the change itself.
const COLOURS: f64 = 1.2;
/// What an edge at the end of the reach counts less than one in the middle.
const FARTHER: f64 = 0.35;

/// The edge that speaks best for an outline: clear, near, with the piece's colours within and the surround's without.
fn look_between(picture: &Shades, leaning: &Leaning<'_>, sought: Point, across: Vec2, reach_px: f64) -> Edge {
    let score = |(shift, change): (f64, f64)| {
        let clear = change / (change + HALF_CHANGE) * (1.0 - FARTHER * (shift / reach_px).abs());
        clear + COLOURS * leaning.step(sought + across * shift, across)
    };
    let clear = |(shift, change): &(f64, f64)| {
        *change > LEAST_CHANGE || *change > FAINTEST_CHANGE && leaning.step(sought + across * *shift, across) > CLEAR_STEP
    };
    let best = picture
        .edges_across(sought, across, reach_px, 0)
        .into_iter()
        .filter(clear)
        .map(|edge| (score(edge), edge.0))
        .max_by(|a, b| a.0.total_cmp(&b.0));
    Edge { px: best.map(|(_, shift)| sought + across * shift) }
}

/// Edges of the photograph along a silhouette of cells.
pub(in super::super) fn along_outline(picture: &Shades, camera: &Placed, raster: &Raster, silhouette: &Silhouette) -> Vec<Edge> {
    // Half the outline, cell by cell: out from the line, up, and back to the line.
    let mut stairs: Vec<(f64, f64)> = vec![(0.0, silhouette.first as f64)];
    let mut last = 0.0;
    for (i, half) in silhouette.half.iter().enumerate() {
        let (row, half) = ((silhouette.first + i) as f64, f64::from(*half));
        stairs.extend(between(last, half).into_iter().map(|w| (w, row)));
        stairs.push((half, row + 0.5));
        last = half;
    }
    let top = (silhouette.first + silhouette.half.len()) as f64;
    stairs.extend(between(last, 0.0).into_iter().map(|w| (w, top)));
    stairs.push((0.0, top));
    let smooth: Vec<(f64, f64)> = (0..stairs.len())
        .map(|i| {
            let reach = 2.min(i).min(stairs.len() - 1 - i);
            let near = stairs.get(i - reach..=i + reach).unwrap_or_default();
            let n = near.len().max(1) as f64;
            (near.iter().map(|p| p.0).sum::<f64>() / n, near.iter().map(|p| p.1).sum::<f64>() / n)
        })
        .collect();
    let point = |(w, y): (f64, f64), side: f64| raster.px(camera, silhouette.line_at(y, raster.rows) + side * w, y);
    let mut out = Vec::new();
    for i in (1..smooth.len().saturating_sub(1)).step_by(2) {
        let (Some(&a), Some(&at), Some(&c)) = (smooth.get(i.saturating_sub(2)), smooth.get(i), smooth.get((i + 2).min(smooth.len() - 1)))
        else {
            continue;
        };
        let (dw, dy) = (c.0 - a.0, c.1 - a.1);
        let length = dw.hypot(dy);
        if length < 1e-6 {
            continue;
        }
        for side in [-1.0, 1.0] {
            let outward = (at.0 + dy / length, at.1 - dw / length);
            let (Some(px), Some(beyond)) = (point(at, side), point(outward, side)) else { continue };
            let scale = (beyond - px).hypot();
            if scale > 1e-6 {
                out.push(look(picture, px, (beyond - px) / scale, 2.5 * scale));
            }
        }
    }
    out
}

/// Whole numbers and the end on the way from one number to another.
fn between(from: f64, to: f64) -> Vec<f64> {
    let steps = (to - from).abs().ceil().max(0.0) as usize;
    (1..=steps).map(|k| from + (to - from) * k as f64 / steps as f64).collect()
}

/// Edges of the photograph along the outline of a solid, sought within `reach_px`.
pub(in super::super) fn along_solid(
    picture: &Shades,
    leaning: &Leaning<'_>,
    (view, axis): (&View, &Axis),
    contour: &Contour,
    reach_px: f64,
) -> Vec<Edge> {
    let both = |contact: &Contact| [contour.mirrored(contact), *contact];
    let one = |contact: Contact| {
        let px = view.px(axis, contact.at)?;
        let beyond = view.px(axis, contact.at + contact.normal * 0.5)?;
        let scale = (beyond - px).hypot();
        if scale <= 1e-6 {
            return None;
        }
        let across = (beyond - px) / scale;
        // Where the piece's own colours go on outside, its edge lies farther out: what is here is a stripe or a shine.
        let goes_on = reach_px > NEAR_REACH_PX && leaning.beyond(px, across) > GOES_ON;
        Some(look_between(picture, leaning, px, across, if goes_on { FAR_TIMES * reach_px } else { reach_px }))
    };
    contour.contacts().par_iter().with_min_len(16).flat_map_iter(both).filter_map(one).collect()
}

/// The piece's colours go on where they make up so much of what lies outside.
const GOES_ON: f64 = 0.4;
/// There an edge is looked for so many times as far, until it is sought within this many pixels.
const FAR_TIMES: f64 = 2.5;
const NEAR_REACH_PX: f64 = 6.0;

/// How well the edge of a solid is seen, 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in super::super) struct Visible {
    /// By edges: the share of it at which the edge that speaks best lies where the solid's does, less where the colours on both sides are not the piece's and the
    /// surround's.
    pub(in super::super) by_edges: f64,
    /// The same where colours tell too, which place an outline less well but say as well that there is one.
    pub(in super::super) in_all: f64,
}

/// How well the edge of a solid is seen.
pub(in super::super) fn visible(picture: &Shades, leaning: &Leaning<'_>, (view, axis): (&View, &Axis), contour: &Contour) -> Visible {
    // Of the wall on the left and on the right, and of the rest: points, how many show an edge, and how many that or colours.
    let (mut walls, mut rest) = ([Shown::default(); 2], Shown::default());
    let mut coloured = 0.0;
    for contact in contour.contacts() {
        for (wall, contact) in walls.iter_mut().zip([contour.mirrored(contact), *contact]) {
            let (Some(px), Some(beyond)) = (view.px(axis, contact.at), view.px(axis, contact.at + contact.normal * 0.5)) else { continue };
            let across = (beyond - px).normalize();
            let best = Across::of(picture, Some(leaning), px, across, SEEN_REACH_PX).best();
            let step = leaning.step(px, across);
            let edge = best.is_some_and(|(shift, change)| shift.abs() < SEEN_PX && change > LEAST);
            let told = || step > TOLD_STEP && PEAK_PX.iter().all(|by| leaning.step(px + across * *by, across) <= step);
            let shown = if contact.is_on_side() { wall } else { &mut rest };
            shown.points += 1.0;
            shown.edges += f64::from(u8::from(edge));
            shown.in_all += if edge {
                1.0
            } else if told() {
                BY_COLOUR
            } else {
                0.0
            };
            coloured += f64::from(u8::from(step > SEEN_STEP));
        }
    }
    let [left, right] = walls;
    let points = left.points + right.points + rest.points;
    let seen = |of: fn(&Shown) -> f64| {
        let worse = walls.iter().map(|wall| if wall.points > 0.0 { of(wall) / wall.points } else { 1.0 }).fold(1.0, f64::min);
        let shows = (of(&left) + of(&right) + of(&rest)) / points;
        if points > 0.0 { shows * f64::midpoint(1.0, coloured / points) * (worse / WALL_SHARE).min(1.0) } else { 0.0 }
    };
    Visible { by_edges: seen(|s| s.edges), in_all: seen(|s| s.in_all) }
}

/// Points of a part of an outline.
#[derive(Debug, Clone, Copy, Default)]
struct Shown {
    points: f64,
    edges: f64,
    in_all: f64,
}

/// Where no edge is clear, colours tell the outline where they differ by so much, and by no more so many pixels beside it: a glaze that shines as pale at its
/// edge as what is behind it has no other. With it outlines that are wrong came to 0.35 at most on fourteen rendered photographs.
const TOLD_STEP: f64 = 0.4;
const PEAK_PX: [f64; 4] = [-6.0, -4.5, 4.5, 6.0];
/// An outline so told is placed to a few pixels only, and counts so much beside an edge. A choice of this program, no source.
const BY_COLOUR: f64 = 0.5;

/// A wall of which less than this share shows an edge is hardly seen: where one side shows none, it is half of a piece, cut off along a shine or a shadow.
const WALL_SHARE: f64 = 0.4;

/// How far from a solid an edge may speak better than its own, in pixels.
const SEEN_REACH_PX: f64 = 6.0;
/// An edge is the solid's own where it lies so near, in pixels.
const SEEN_PX: f64 = 1.5;
/// Colours tell the sides where they differ so much.
const SEEN_STEP: f64 = 0.15;
