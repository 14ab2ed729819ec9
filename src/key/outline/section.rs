//! The cut half: wall, floor and foot ring as a saw would show them.

use super::super::shape::{FootKind, Shape};
use super::band::polygon;
use super::profile::FINE_MM;
use kurbo::{BezPath, Point};

impl Shape {
    /// The cut through the body's wall at the right of the axis, closed. Empty where the body leaves no inside.
    pub fn section(&self) -> BezPath {
        let inside = self.inner_profile(FINE_MM);
        let outside = self.body_profile(FINE_MM);
        if inside.is_empty() || outside.len() < 2 {
            return BezPath::new();
        }
        let underside = self.underside_mm();
        let mut line: Vec<(f64, f64)> = self.underneath_line(&outside, underside);
        line.extend(&outside);
        line.extend(inside.iter().rev());
        polygon(line.into_iter().map(Point::from))
    }

    /// From the axis out along the underside and down to the inner edge of what stands on the table.
    fn underneath_line(&self, outside: &[(f64, f64)], underside: f64) -> Vec<(f64, f64)> {
        let foot = self.foot_radius_mm();
        let start = outside.first().map_or(0.0, |p| p.1);
        let waist = outside.iter().filter(|p| p.1 <= underside).map(|p| p.0).fold(foot, f64::min);
        let ring = self.wall().min(foot * 0.3);
        match self.foot {
            FootKind::Flat | FootKind::Stumps => vec![(0.0, start)],
            FootKind::Ring => vec![(0.0, underside), ((waist - ring).max(0.0), underside), ((waist - ring).max(0.0), start)],
            FootKind::Hollow => {
                let edge = (foot - ring * 0.6).max(0.0);
                (0..=12)
                    .map(|i| f64::from(i) / 12.0)
                    .map(|t| (edge * t, start + (underside - start) * (1.0 - t * t).max(0.0).sqrt()))
                    .collect()
            }
            FootKind::Pedestal => {
                let edge = (foot - ring).max(0.0);
                let stem = (waist - ring).max(0.0);
                vec![(0.0, underside), (stem * 0.4, underside), (stem * 0.8, underside * 0.45), (edge, start)]
            }
        }
    }

    /// The cut through the lid at the right of the axis, closed: the lid's outside and its own inside a wall below. Empty without a lid.
    pub fn lid_section(&self) -> BezPath {
        let outside = self.lid_profile(FINE_MM);
        let (Some(&(edge, low)), Some(&(top_r, top_h))) = (outside.first(), outside.last()) else { return BezPath::new() };
        if outside.len() < 2 || edge < 0.1 {
            return BezPath::new();
        }
        let wall = self.wall().min((top_h - low).max(1.0));
        // Shrunk towards the axis and the table rather than offset: it cannot cross itself, and a lid is thinner at its edge anyway.
        let narrow = ((edge - wall) / edge).max(0.0);
        let deep = if top_h - low > 1e-9 { ((top_h - low - wall) / (top_h - low)).max(0.0) } else { 0.0 };
        let mut line = outside.clone();
        if top_r > 0.0 {
            line.push((0.0, top_h));
        }
        line.push((0.0, low + (top_h - low) * deep));
        line.extend(outside.iter().rev().map(|&(r, h)| (r * narrow, low + (h - low) * deep)));
        polygon(line.into_iter().map(Point::from))
    }
}
