//! Lines that show a modelled surface from the side.

use super::super::shape::{Shape, Surface};
use super::profile::{FINE_MM, finite, radius_at};
use kurbo::BezPath;
use std::f64::consts::TAU;

impl Shape {
    /// Open strokes in millimetres that show ribs, flutes or facets from the side; none on a plain body.
    ///
    /// A flute or a facet's edge at an angle of θ from the viewer is the profile narrowed by sin θ, so those near the sides crowd as they do
    /// on the piece.
    pub fn surface_lines(&self) -> Vec<BezPath> {
        let line = self.body_profile(FINE_MM);
        let (foot, rim) = (self.foot_height_mm(), self.rim_height_mm());
        match self.surface {
            Surface::Plain => Vec::new(),
            Surface::Ribs(count, from, to) => {
                let (low, high) = (finite(from).min(finite(to)), finite(from).max(finite(to)));
                let gaps = f64::from(count.max(2) - 1);
                (0..count)
                    .map(|i| if count == 1 { f64::midpoint(low, high) } else { low + (high - low) * f64::from(i) / gaps })
                    .filter(|h| *h > 0.0 && *h < rim)
                    .filter_map(|h| radius_at(&line, h).map(|r| level(r, h)))
                    .collect()
            }
            Surface::Flutes(count) | Surface::Facets(count) => {
                let start = radius_at(&line, foot).map(|r| (r, foot));
                let above = line.into_iter().filter(|p| p.1 > foot + 1e-9 && p.1 <= rim + 1e-9);
                let upright: Vec<(f64, f64)> = start.into_iter().chain(above).collect();
                if count < 2 || upright.len() < 2 {
                    return Vec::new();
                }
                // Facets meet at edges, half a step from the side; flutes start at the side.
                let start = if matches!(self.surface, Surface::Facets(_)) { 0.5 } else { 0.0 };
                let shares = (0..count).map(|i| ((f64::from(i) + start) / f64::from(count) * TAU).sin_cos());
                let mut shares: Vec<f64> = shares.filter(|(_, cos)| *cos > 1e-6).map(|(sin, _)| sin).collect();
                shares.sort_by(f64::total_cmp);
                shares.into_iter().map(|share| stroke(upright.iter().map(|&(r, h)| (r * share, h)))).collect()
            }
        }
    }
}

fn level(r: f64, h: f64) -> BezPath {
    stroke([(-r, h), (r, h)])
}

fn stroke(points: impl IntoIterator<Item = (f64, f64)>) -> BezPath {
    let mut path = BezPath::new();
    for point in points {
        if path.elements().is_empty() {
            path.move_to(point);
        } else {
            path.line_to(point);
        }
    }
    path
}
