//! Spouts and lips from the side, at the left.

use super::super::shape::{Shape, Spout, SpoutKind};
use super::band::{band, mirrored, polygon};
use super::profile::{FINE_MM, finite, flat, radius_at};
use kurbo::{BezPath, Point};

impl Shape {
    /// The closed outline of the spout, `None` where there is none or it has no length.
    pub(super) fn spout_outline(&self) -> Option<BezPath> {
        let spout = self.spout?;
        let line = self.body_profile(FINE_MM);
        let outline = match spout.kind {
            SpoutKind::Lip | SpoutKind::Beak => drawn_out(spout, &line, self.rim_radius_mm(), self.rim_height_mm()),
            SpoutKind::Tube | SpoutKind::Swan => tube(spout, &line, self.wall()),
        }?;
        // Worked out at the right, where the sums are plain.
        Some(mirrored(&outline)).filter(|path| !path.is_empty())
    }

    /// Where the tip of the spout is, seen from the side (its x is negative). `None` where there is no spout.
    pub fn spout_tip_mm(&self) -> Option<Point> {
        let spout = self.spout?;
        let root = radius_at(&self.body_profile(FINE_MM), finite(spout.root_mm))?;
        Some(Point::new(-(root + finite(spout.reach_mm).max(0.0)), finite(spout.tip_mm)))
    }
}

/// A lip or beak: it leaves the wall at its root and runs out to the tip, its top edge falling back into the rim.
fn drawn_out(spout: Spout, line: &[(f64, f64)], rim_r: f64, rim_h: f64) -> Option<BezPath> {
    let reach = finite(spout.reach_mm).max(0.0);
    let root_h = finite(spout.root_mm).min(rim_h - 1.0);
    let root = Point::new(radius_at(line, root_h)?, root_h);
    let tip = Point::new(root.x.max(rim_r) + reach, finite(spout.tip_mm).max(root_h + 1.0));
    if reach < 0.1 {
        return None;
    }
    // The lip follows the wall from the root, so that rim and lip are one line.
    let inside = Point::new(rim_r * if spout.kind == SpoutKind::Lip { 0.25 } else { 0.72 }, rim_h);
    let (out, rise) = (tip.x - root.x, tip.y - root.y);
    let mut path = BezPath::new();
    path.move_to((root.x * 0.7, root.y));
    path.line_to(root);
    let nose = (reach * 0.16).min(2.5);
    if spout.kind == SpoutKind::Lip {
        path.curve_to((root.x + out * 0.05, root.y + rise * 0.45), (tip.x - out * 0.45, tip.y - rise * 0.22), (tip.x, tip.y - nose));
        path.curve_to((tip.x + nose * 0.3, tip.y - nose * 0.3), (tip.x, tip.y + nose * 0.1), (tip.x - nose, tip.y));
        path.curve_to((tip.x - out * 0.5, tip.y - (tip.y - rim_h) * 0.5), (inside.x + rim_r * 0.35, rim_h), inside.into());
    } else {
        path.line_to((tip.x, tip.y - nose * 0.8));
        path.line_to((tip.x - nose * 0.4, tip.y));
        path.line_to(inside);
    }
    path.line_to((root.x * 0.5, root.y));
    path.close_path();
    Some(path)
}

/// A tube: wide at the body, narrow at the tip, cut nearly level.
fn tube(spout: Spout, line: &[(f64, f64)], wall: f64) -> Option<BezPath> {
    let reach = finite(spout.reach_mm).max(0.0);
    let root_h = finite(spout.root_mm);
    let root_r = radius_at(line, root_h)?;
    let tip = Point::new(root_r + reach, finite(spout.tip_mm));
    let length = Point::new(root_r, root_h).distance(tip);
    if reach < 0.1 || length < 1.0 {
        return None;
    }
    let base = (length * 0.40).clamp(4.0, 42.0);
    // Deep enough for the wide end to stay behind a round wall.
    let root = Point::new((root_r - wall.min(3.0) - base * 0.3).max(0.0), root_h);
    let end = (base * 0.42).clamp(3.0, 15.0);
    let (out, rise) = (tip.x - root.x, tip.y - root.y);
    let mut path = BezPath::new();
    path.move_to(root);
    if spout.kind == SpoutKind::Swan {
        path.curve_to((root.x + out * 0.66, root.y + rise * 0.04), (root.x + out * 0.50, root.y + rise * 0.92), tip.into());
    } else {
        path.line_to(tip);
    }
    let shrink = if spout.kind == SpoutKind::Swan { 1.6 } else { 1.0 };
    let tube = band(&path, |t| end + (base - end) * (1.0 - t).powf(shrink));
    Some(level_cut(&tube, tip, end))
}

/// The tube's mouth turned half way to the level, so that it pours.
fn level_cut(tube: &BezPath, tip: Point, end: f64) -> BezPath {
    let line: Vec<Point> = flat(tube, 0.01).into_iter().map(Point::from).collect();
    let near = end * 0.75;
    polygon(line.into_iter().map(|p| {
        if p.distance(tip) > near {
            return p;
        }
        // Upper corner back and down, lower corner out and up: a quarter of the mouth's width each.
        let side = (p.y - tip.y) / (end / 2.0).max(0.1);
        Point::new(p.x - side * end * 0.12, tip.y + (p.y - tip.y) * 0.7)
    }))
}
