//! Handles from the side. Every one begins a little inside the wall, so that the body painted over it closes the joint.

use super::super::shape::{Handle, HandleAt, HandleKind, Shape};
use super::band::{band, hole, mirrored, rounded};
use super::profile::{FINE_MM, finite, radius_at};
use kurbo::{BezPath, Point};

/// The measures of one handle that can be drawn: finite, in order, above 0.
struct Roots {
    top: Point,
    bottom: Point,
    reach: f64,
    thick: f64,
}

impl Shape {
    /// The closed outlines of all handles, those at the right before their twins at the left.
    pub(super) fn handle_outlines(&self) -> Vec<BezPath> {
        let line = self.body_profile(FINE_MM);
        let mut outlines = Vec::new();
        for handle in &self.handles {
            let Some(roots) = roots(handle, &line, self.wall()) else { continue };
            if handle.at == HandleAt::Over || handle.kind == HandleKind::Bail {
                outlines.push(bow(handle.kind, &roots));
                continue;
            }
            let right = at_right(handle.kind, &roots);
            if handle.at == HandleAt::Both {
                let left = mirrored(&right);
                outlines.push(right);
                outlines.push(left);
            } else {
                outlines.push(right);
            }
        }
        outlines.retain(|outline| !outline.is_empty());
        outlines
    }
}

fn roots(handle: &Handle, line: &[(f64, f64)], wall: f64) -> Option<Roots> {
    let (high, low) = (finite(handle.top_mm).max(finite(handle.bottom_mm)), finite(handle.top_mm).min(finite(handle.bottom_mm)));
    let reach = finite(handle.reach_mm).max(0.0);
    if reach < 0.1 {
        return None;
    }
    let thick = finite(handle.thick_mm).clamp(0.5, (reach * 0.9).max(0.5));
    let inset = wall.min(2.0);
    let at = |h: f64| radius_at(line, h).map(|r| Point::new((r - inset).max(0.0), h));
    Some(Roots { top: at(high)?, bottom: at(low)?, reach, thick })
}

/// A bow over the top: roots at `bottom_mm`, its crown `reach_mm` above `top_mm`.
fn bow(kind: HandleKind, roots: &Roots) -> BezPath {
    let Roots { top, bottom, reach, thick } = *roots;
    let crown = top.y + reach - thick * 0.425;
    let (foot, height) = (bottom.y, (top.y + reach - bottom.y).max(1.0));
    let out = bottom.x.max(top.x) + thick * 0.2;
    let mut path = BezPath::new();
    path.move_to((-bottom.x, foot));
    if kind == HandleKind::Angular {
        path.line_to((-out * 1.02, foot + height * 0.55));
        path.line_to((-out * 0.62, crown));
        path.line_to((out * 0.62, crown));
        path.line_to((out * 1.02, foot + height * 0.55));
        path.line_to((bottom.x, foot));
    } else {
        let shoulder = foot + height * 0.45;
        path.curve_to((-bottom.x - thick * 0.4, foot + height * 0.15), (-out, foot + height * 0.3), (-out, shoulder));
        path.curve_to((-out, shoulder + (crown - shoulder) * 0.62), (-out * 0.6, crown), (0.0, crown));
        path.curve_to((out * 0.6, crown), (out, shoulder + (crown - shoulder) * 0.62), (out, shoulder));
        path.curve_to((out, foot + height * 0.3), (bottom.x + thick * 0.4, foot + height * 0.15), (bottom.x, foot));
    }
    band(&path, |t| thick * (1.15 - 0.3 * (1.0 - (2.0 * t - 1.0).powi(4))))
}

fn at_right(kind: HandleKind, roots: &Roots) -> BezPath {
    let Roots { top, bottom, reach, thick } = *roots;
    let height = (top.y - bottom.y).max(0.1);
    let out = top.x.max(bottom.x) + reach - thick / 2.0;
    let deep = (out - top.x).max(0.1);
    // A strap is a little stouter where it is stuck on.
    let strap = |t: f64| thick * (0.9 + 0.25 * (2.0 * t - 1.0).powi(4));
    match kind {
        HandleKind::Loop | HandleKind::Bail => {
            let middle = f64::midpoint(top.y, bottom.y);
            let mut path = BezPath::new();
            path.move_to(top);
            path.curve_to((top.x + deep * 0.68, top.y + thick * 0.15), (out, middle + height * 0.36), (out, middle + height * 0.03));
            path.curve_to((out, middle - height * 0.32), (bottom.x + (out - bottom.x) * 0.66, bottom.y - thick * 0.05), bottom.into());
            band(&path, strap)
        }
        HandleKind::Ear => {
            let shoulder = top.y - height * 0.24;
            let mut path = BezPath::new();
            path.move_to((top.x, top.y - thick * 0.3));
            path.curve_to((top.x + deep * 0.35, top.y + height * 0.13), (out, top.y + height * 0.1), (out, shoulder));
            path.curve_to((out, shoulder - height * 0.34), (bottom.x + (out - bottom.x) * 0.34, bottom.y + height * 0.2), bottom.into());
            band(&path, |t| thick * (1.12 - 0.32 * t))
        }
        HandleKind::Angular => {
            let mut path = BezPath::new();
            path.move_to((top.x, top.y - thick / 2.0));
            path.line_to((out, top.y - thick / 2.0 + height * 0.04));
            path.line_to((bottom.x + (out - bottom.x) * 0.72, bottom.y + height * 0.3));
            path.line_to((bottom.x, bottom.y + thick / 2.0));
            band(&path, |_| thick)
        }
        HandleKind::Lug => {
            let nose = (thick.min(height)).max(1.0);
            let end = top.x + reach;
            rounded(&[
                (top.x, top.y, 0.0),
                (end, top.y + height * 0.04, nose * 0.3),
                (end - reach * 0.05, top.y - nose, nose * 0.45),
                (bottom.x + (end - bottom.x) * 0.25, bottom.y + (height - nose).max(0.0) * 0.12, reach * 0.25),
                (bottom.x, bottom.y, 0.0),
            ])
        }
        HandleKind::Stick => {
            let end = top.x + reach;
            let rise = reach * 0.10;
            let middle = f64::midpoint(top.y, bottom.y);
            let half = thick / 2.0;
            rounded(&[
                (top.x, top.y, 0.0),
                (top.x + reach * 0.12, middle + half * 1.05 + rise * 0.1, reach * 0.2),
                (end, middle + half * 1.25 + rise, half * 1.1),
                (end + half * 0.2, middle - half * 1.1 + rise, half * 1.1),
                (top.x + reach * 0.16, middle - half * 0.95 + rise * 0.1, reach * 0.2),
                (bottom.x, bottom.y, 0.0),
            ])
        }
        HandleKind::Pierced => {
            let end = top.x + reach;
            let mut wing = rounded(&[
                (top.x, top.y, 0.0),
                (top.x + reach * 0.7, top.y + height * 0.02, height * 0.3),
                (end, top.y - height * 0.3, height * 0.35),
                (end - reach * 0.08, top.y - height * 0.62, height * 0.3),
                (bottom.x + reach * 0.3, bottom.y + height * 0.06, height * 0.35),
                (bottom.x, bottom.y, 0.0),
            ]);
            // The wing runs clockwise here, the hole against it.
            let centre = Point::new(top.x + reach * 0.58, top.y - height * 0.36);
            wing.extend(hole(centre, reach * 0.2, height * 0.17).reverse_subpaths());
            wing
        }
    }
}
