//! Finials, standing on the top of the lid.

use super::super::shape::{FinialKind, Shape};
use super::band::{band, ellipse, hole, rounded};
use super::profile::{FINE_MM, finite};
use kurbo::{BezPath, Point};

impl Shape {
    /// How far the finial rises above the lid; 0 where there is none or the grip is sunk.
    pub fn finial_height_mm(&self) -> f64 {
        match self.finial {
            Some(finial) if finial.kind != FinialKind::Sunk && self.lid_top_mm().is_some() => finite(finial.height_mm).max(0.0),
            _ => 0.0,
        }
    }

    /// The closed outline of the finial. A sunk grip is the hollow itself. `None` where there is no lid to stand on.
    pub(super) fn finial_outline(&self) -> Option<BezPath> {
        let finial = self.finial?;
        let top = self.lid_top_mm()?;
        let height = finite(finial.height_mm).max(0.0);
        let half = finite(finial.width_mm).max(0.0) / 2.0;
        if height < 0.1 || half < 0.1 {
            return None;
        }
        let lid = self.lid_profile(FINE_MM);
        // Height of the lid where the finial's own foot meets it.
        let seat = |r: f64| height_at(&lid, r).unwrap_or(top).min(top) - 0.6;
        Some(outline(finial.kind, top, height, half, seat))
    }
}

/// Greatest height of a profile at that radius.
fn height_at(line: &[(f64, f64)], radius: f64) -> Option<f64> {
    let mut highest: Option<f64> = None;
    for pair in line.windows(2) {
        let [(r0, h0), (r1, h1)] = *pair else { continue };
        if radius < r0.min(r1) || radius > r0.max(r1) {
            continue;
        }
        let h = if (r1 - r0).abs() < 1e-9 { h0.max(h1) } else { h0 + (h1 - h0) * (radius - r0) / (r1 - r0) };
        highest = Some(highest.map_or(h, |x| x.max(h)));
    }
    highest
}

fn outline(kind: FinialKind, top: f64, height: f64, half: f64, seat: impl Fn(f64) -> f64) -> BezPath {
    let peak = top + height;
    match kind {
        FinialKind::Ball => {
            let radius = half.min(height / 2.0);
            let neck = half * 0.42;
            let centre = peak - radius;
            let mut path = BezPath::new();
            let join = centre - radius * 0.78;
            let base = seat(neck * 1.5);
            path.move_to((-neck * 1.5, base));
            path.line_to((neck * 1.5, base));
            path.curve_to((neck, top + (join - top) * 0.3), (neck, join), (half * 0.62, join));
            path.curve_to((half * 1.02, centre - radius * 0.45), (half, centre), (half, centre));
            path.curve_to((half, centre + radius * 0.552), (half * 0.552, peak), (0.0, peak));
            path.curve_to((-half * 0.552, peak), (-half, centre + radius * 0.552), (-half, centre));
            path.curve_to((-half, centre), (-half * 1.02, centre - radius * 0.45), (-half * 0.62, join));
            path.curve_to((-neck, join), (-neck, top + (join - top) * 0.3), (-neck * 1.5, base));
            path.close_path();
            path
        }
        FinialKind::Button => {
            let under = top + height * 0.5;
            let neck = half * 0.5;
            let edge = (height * 0.22).min(half * 0.5);
            let base = seat(neck);
            rounded(&[
                (-neck, base, 0.0),
                (neck, base, 0.0),
                (neck, under, height * 0.2),
                (half, under, edge),
                (half * 0.96, peak - height * 0.04, edge),
                (0.0, peak, half * 4.0),
                (-half * 0.96, peak - height * 0.04, edge),
                (-half, under, edge),
                (-neck, under, height * 0.2),
            ])
        }
        FinialKind::Cone => {
            let tip = half * 0.38;
            let base = seat(half);
            rounded(&[(-half, base, 0.0), (half, base, 0.0), (tip, peak, tip * 0.9), (-tip, peak, tip * 0.9)])
        }
        FinialKind::Ring => {
            let outer = half.min(height / 2.0 * 1.08);
            let (rx, ry) = (half, height / 2.0 + 0.8);
            let centre = Point::new(0.0, peak - ry);
            let thick = outer * 0.42;
            let mut path = ellipse(centre, rx, ry);
            path.extend(hole(centre, rx - thick, ry - thick));
            path
        }
        FinialKind::Strap => {
            let thick = (height * 0.34).min(half * 0.4);
            let crown = peak - thick / 2.0;
            let foot = half - thick * 0.5;
            let base = seat(foot + thick / 2.0);
            let mut path = BezPath::new();
            path.move_to((-foot, base));
            path.curve_to((-foot, base + (crown - base) * 0.75), (-foot * 0.7, crown), (0.0, crown));
            path.curve_to((foot * 0.7, crown), (foot, base + (crown - base) * 0.75), (foot, base));
            band(&path, |_| thick)
        }
        FinialKind::Bar => {
            let under = top + height * 0.42;
            let neck = half * 0.6;
            let base = seat(neck);
            let edge = height * 0.14;
            rounded(&[
                (-neck, base, 0.0),
                (neck, base, 0.0),
                (neck * 0.92, under, height * 0.15),
                (half, under, edge),
                (half, peak, edge),
                (-half, peak, edge),
                (-half, under, edge),
                (-neck * 0.92, under, height * 0.15),
            ])
        }
        FinialKind::Sunk => {
            let mut path = BezPath::new();
            path.move_to((-half, top));
            path.curve_to((-half * 0.75, top - height * 1.2), (half * 0.75, top - height * 1.2), (half, top));
            path.close_path();
            path
        }
    }
}
