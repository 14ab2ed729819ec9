//! Outlines in millimetres, worked out from a [`Shape`]: what the board, the shelf, the plates and the value buttons draw.
//!
//! x is the distance from the axis (handles to the right, spouts to the left), y the height above the table, upward; a screen flips it. In the
//! views from above and underneath x runs along the long side and y across. Glyphs alone use the unit square with y downward.
//!
//! Nothing here fails: a profile without points, or with points that are not numbers, gives empty paths and lengths of 0.

mod above;
mod band;
mod finial;
mod glyph;
mod handle;
mod plan;
mod profile;
mod section;
mod spout;
mod surface;

pub use glyph::{Glyph, Ink};
pub use profile::{curve, polyline, swept_volume_mm3};

use super::model::Part;
use super::shape::{FootKind, Shape};
use kurbo::{BezPath, Point, Rect, Shape as _};

/// Closed outlines of the parts of a form, in the order in which they are painted.
///
/// A part that starts behind another comes before it: paint them opaque and in order, and every joint closes. A part may come more than
/// once (two handles). Holes run against their outline, so either filling rule leaves them open.
#[derive(Debug, Clone, PartialEq)]
pub struct Silhouette {
    /// The parts and their outlines, in millimetres.
    pub parts: Vec<(Part, BezPath)>,
    /// The rectangle that holds all of them. Zero where there are none.
    pub bounds: Rect,
}

impl Silhouette {
    pub(super) fn of(parts: Vec<(Part, BezPath)>) -> Self {
        let parts: Vec<_> = parts.into_iter().filter(|(_, path)| !path.is_empty() && path.is_finite()).collect();
        let bounds = parts.iter().map(|(_, path)| path.bounding_box()).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO);
        Self { parts, bounds }
    }

    /// The topmost part at a point in millimetres, `None` beside the piece. A hole in a handle is beside it.
    pub fn part_at(&self, point: Point) -> Option<Part> {
        self.parts.iter().rev().find(|(_, path)| path.winding(point) != 0).map(|(part, _)| *part)
    }

    /// The outlines of one part.
    pub fn outlines_of(&self, part: Part) -> impl Iterator<Item = &BezPath> {
        self.parts.iter().filter(move |(p, _)| *p == part).map(|(_, path)| path)
    }
}

impl Shape {
    /// The side view: spout, handles, lid, finial, body and foot. The body's outline includes the foot's; the foot comes last, to be pointed at
    /// and shown by itself.
    pub fn silhouette(&self) -> Silhouette {
        let mut parts: Vec<(Part, BezPath)> = Vec::new();
        parts.extend(self.handle_outlines().into_iter().map(|path| (Part::Handle, path)));
        parts.extend(self.spout_outline().map(|path| (Part::Spout, path)));
        let sunk = self.finial.is_some_and(|finial| finial.kind == super::shape::FinialKind::Sunk);
        let mut lid = mirrored_profile(&curve(&self.lid));
        lid.apply_affine(kurbo::Affine::translate((0.0, self.lid_lift_mm())));
        let finial = self.finial_outline().map(|path| (Part::Finial, path));
        // A finial is stuck on the lid, a sunk grip lies in it.
        let (below, above) = if sunk { (None, finial) } else { (finial, None) };
        parts.extend(below);
        parts.push((Part::Lid, lid));
        parts.extend(above);
        parts.push((Part::Body, mirrored_profile(&curve(&self.body))));
        parts.extend(self.foot_outlines().into_iter().map(|path| (Part::Foot, path)));
        Silhouette::of(parts)
    }

    /// Greatest width from the side, over handles and spout. 0 for an empty shape.
    pub fn width_mm(&self) -> f64 {
        self.silhouette().bounds.width()
    }

    fn foot_outlines(&self) -> Vec<BezPath> {
        let radius = self.foot_radius_mm();
        let height = self.foot_height_mm();
        if self.foot == FootKind::Stumps {
            let half = (radius * 0.16).clamp(2.0, 9.0).min(radius);
            return if height < 0.1 {
                Vec::new()
            } else {
                [-radius + half * 0.6, 0.0, radius - half * 0.6]
                    .iter()
                    .map(|x| {
                        band::rounded(&[
                            (x - half, height + 0.6, 0.0),
                            (x - half * 0.72, 0.0, half * 0.5),
                            (x + half * 0.72, 0.0, half * 0.5),
                            (x + half, height + 0.6, 0.0),
                        ])
                    })
                    .collect()
            };
        }
        let mut line: Vec<(f64, f64)> = Vec::new();
        for (r, h) in self.body_profile(profile::FINE_MM) {
            if h > height {
                if let Some(&(r0, h0)) = line.last() {
                    let t = if h - h0 > 1e-9 { (height - h0) / (h - h0) } else { 0.0 };
                    line.push((r0 + (r - r0) * t, height));
                }
                break;
            }
            line.push((r, h));
        }
        if line.len() < 2 {
            return Vec::new();
        }
        let right = line.iter().map(|&(r, h)| Point::new(r, h));
        let left = line.iter().rev().map(|&(r, h)| Point::new(-r, h));
        vec![band::polygon(right.chain(left))]
    }
}

/// The closed outline of a half profile and its mirror image. Empty for a profile of fewer than two points.
fn mirrored_profile(right: &BezPath) -> BezPath {
    let mut back = right.reverse_subpaths();
    if right.elements().len() < 2 {
        return BezPath::new();
    }
    back.apply_affine(kurbo::Affine::FLIP_X);
    let mut whole = right.clone();
    for (i, el) in back.elements().iter().enumerate() {
        match (i, el) {
            (0, kurbo::PathEl::MoveTo(p)) => whole.line_to(*p),
            (_, el) => whole.push(*el),
        }
    }
    whole.close_path();
    whole
}

#[cfg(test)]
mod tests;
