//! Where exactly the outline runs in the photograph.

use super::super::contour::{Contact, Contour};
use super::super::solid::Axis;
use super::super::view::View;
use super::raster::Raster;
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
    /// Where it was looked for, in pixels.
    pub(in super::super) sought: Point,
    /// Where an edge is.
    pub(in super::super) px: Option<Point>,
}

fn look(picture: &Shades, sought: Point, across: Vec2, reach_px: f64) -> Edge {
    let found = picture.edge_across(sought, across, reach_px).filter(|(_, change)| *change > LEAST_CHANGE);
    Edge { sought, px: found.map(|(shift, _)| sought + across * shift) }
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
    let point = |(w, y): (f64, f64), side: f64| camera.project_plane(raster.at(silhouette.line_at(y, raster.rows) + side * w, y));
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
pub(in super::super) fn along_solid(picture: &Shades, view: &View, axis: &Axis, profile: &[(f64, f64)], reach_px: f64) -> Vec<Edge> {
    let contour = Contour::new(view.eye(axis), profile);
    let both = |contact: &Contact| [contour.mirrored(contact), *contact];
    let one = |contact: Contact| {
        let px = view.px(axis, contact.at)?;
        let beyond = view.px(axis, contact.at + contact.normal * 0.5)?;
        let scale = (beyond - px).hypot();
        (scale > 1e-6).then(|| look(picture, px, (beyond - px) / scale, reach_px))
    };
    contour.contacts().par_iter().with_min_len(16).flat_map_iter(both).filter_map(one).collect()
}
