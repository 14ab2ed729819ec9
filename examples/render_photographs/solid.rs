//! Solids as signed distances: turned profiles over a plan, knobs, handles, spouts, rounded boxes.
//!
//! Lengths are millimetres in the piece's own axes: z up, the table at z = 0 or a little below, the middle at x = y = 0.

use crate::plan::Plan;
use crate::vector::{V3, v3};
use rayon::prelude::*;

/// A closed half section (radius, height), kept as a table of signed distances so that asking is quick however many points it has.
#[derive(Debug)]
pub(crate) struct Turned {
    pub(crate) plan: Plan,
    table: Vec<f64>,
    columns: usize,
    rows: usize,
    step_mm: f64,
    /// Greatest radius and the heights between which the solid lies.
    pub(crate) radius_mm: f64,
    pub(crate) low_mm: f64,
    pub(crate) high_mm: f64,
}

/// How far around the section the table goes.
const MARGIN_MM: f64 = 3.0;

impl Turned {
    /// `section` is a closed polygon in the half plane of radius ≥ 0; edges on the axis are no surface. Its greatest radius is put on the plan's outline.
    pub(crate) fn new(plan: Plan, section: &[(f64, f64)]) -> Self {
        let radius_mm = section.iter().map(|p| p.0).fold(0.0, f64::max);
        let low_mm = section.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
        let high_mm = section.iter().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
        let step_mm = (radius_mm / 250.0).clamp(0.16, 0.3);
        let columns = ((radius_mm + MARGIN_MM) / step_mm).ceil() as usize + 2;
        let rows = ((high_mm - low_mm + 2.0 * MARGIN_MM) / step_mm).ceil() as usize + 2;
        let mut table = vec![0.0; columns * rows];
        table.par_chunks_mut(columns).enumerate().for_each(|(row, line)| {
            let h = low_mm - MARGIN_MM + row as f64 * step_mm;
            for (column, value) in line.iter_mut().enumerate() {
                *value = polygon_distance_mm(section, column as f64 * step_mm, h);
            }
        });
        Self { plan, table, columns, rows, step_mm, radius_mm, low_mm, high_mm }
    }

    /// Signed distance, never longer than the true one outside.
    pub(crate) fn distance_mm(&self, p: V3) -> f64 {
        let reach = self.plan.reach_mm(p.x, p.y) * self.radius_mm / self.plan.radius_mm();
        let (r, h) = (reach, p.z);
        let (top_r, low, high) = (self.radius_mm + MARGIN_MM, self.low_mm - MARGIN_MM, self.high_mm + MARGIN_MM);
        let (rc, hc) = (r.min(top_r), h.clamp(low, high));
        let beyond = (r - rc).hypot(h - hc);
        let (u, v) = (rc / self.step_mm, (hc - low) / self.step_mm);
        let (i, j) = ((u as usize).min(self.columns - 2), (v as usize).min(self.rows - 2));
        let (fu, fv) = (u - i as f64, v - j as f64);
        let at = j * self.columns + i;
        let (a, b, c, d) = (self.table[at], self.table[at + 1], self.table[at + self.columns], self.table[at + self.columns + 1]);
        let inside = (a * (1.0 - fu) + b * fu) * (1.0 - fv) + (c * (1.0 - fu) + d * fu) * fv;
        // Beyond the table, the way to its edge is a lower bound, less what lies inside.
        let distance = if beyond > 0.0 { (beyond * beyond + inside * inside).sqrt().max(beyond) } else { inside };
        distance / (self.plan.steepest() * self.radius_mm / self.plan.radius_mm()).max(1.0)
    }
}

/// Signed distance to a polygon, edges on the axis left out. Inside is negative.
fn polygon_distance_mm(polygon: &[(f64, f64)], r: f64, h: f64) -> f64 {
    let mut nearest = f64::INFINITY;
    let mut inside = false;
    for (k, &(r1, h1)) in polygon.iter().enumerate() {
        let (r0, h0) = polygon[(k + polygon.len() - 1) % polygon.len()];
        if (h0 > h) != (h1 > h) && r < r0 + (h - h0) / (h1 - h0) * (r1 - r0) {
            inside = !inside;
        }
        if r0 > 1e-9 || r1 > 1e-9 {
            let (dr, dh) = (r1 - r0, h1 - h0);
            let along = (((r - r0) * dr + (h - h0) * dh) / (dr * dr + dh * dh).max(1e-18)).clamp(0.0, 1.0);
            nearest = nearest.min((r - r0 - along * dr).hypot(h - h0 - along * dh));
        }
    }
    if inside { -nearest } else { nearest }
}

/// A part of a piece.
#[derive(Debug)]
pub(crate) enum Solid {
    Turned(Turned),
    /// A tube through points, with its radius at each.
    Tube {
        points: Vec<(V3, f64)>,
        centre: V3,
        bound_mm: f64,
    },
    /// A box with round edges: middle, half sizes, radius of the edges, turned about z.
    Block {
        middle: V3,
        half: V3,
        round_mm: f64,
        turn_rad: f64,
    },
    /// A ball pressed to half sizes.
    Ball {
        middle: V3,
        half: V3,
    },
}

impl Solid {
    pub(crate) fn tube(points: Vec<(V3, f64)>) -> Self {
        let n = points.len().max(1) as f64;
        let centre = points.iter().fold(V3::ZERO, |sum, p| sum + p.0) * (1.0 / n);
        let bound_mm = points.iter().map(|p| (p.0 - centre).length() + p.1).fold(0.0, f64::max);
        Self::Tube { points, centre, bound_mm }
    }

    /// Signed distance, never longer than the true one outside.
    pub(crate) fn distance_mm(&self, p: V3) -> f64 {
        match self {
            Self::Turned(turned) => turned.distance_mm(p),
            Self::Tube { points, centre, bound_mm } => {
                let far = (p - *centre).length() - bound_mm;
                if far > 15.0 {
                    return far;
                }
                let mut nearest = f64::INFINITY;
                for pair in points.windows(2) {
                    let ((a, ra), (b, rb)) = (pair[0], pair[1]);
                    let (pa, ba) = (p - a, b - a);
                    let along = (pa.dot(ba) / ba.dot(ba).max(1e-12)).clamp(0.0, 1.0);
                    nearest = nearest.min((pa - ba * along).length() - (ra + (rb - ra) * along));
                }
                nearest
            }
            Self::Block { middle, half, round_mm, turn_rad } => {
                let (s, c) = turn_rad.sin_cos();
                let q = p - *middle;
                let q = v3(q.x * c + q.y * s, q.y * c - q.x * s, q.z);
                let d = v3(q.x.abs() - half.x + round_mm, q.y.abs() - half.y + round_mm, q.z.abs() - half.z + round_mm);
                v3(d.x.max(0.0), d.y.max(0.0), d.z.max(0.0)).length() + d.x.max(d.y).max(d.z).min(0.0) - round_mm
            }
            Self::Ball { middle, half } => {
                let q = p - *middle;
                let k = v3(q.x / half.x, q.y / half.y, q.z / half.z);
                let g = v3(k.x / half.x, k.y / half.y, k.z / half.z).length();
                let k = k.length();
                if g < 1e-12 { -half.x.min(half.y).min(half.z) } else { 0.8 * k * (k - 1.0) / g }
            }
        }
    }
}

/// The nearer of two solids with a fillet of about `k` millimetres between them.
pub(crate) fn joined_mm(a: f64, b: f64, k: f64) -> f64 {
    let h = (k - (a - b).abs()).max(0.0) / k;
    a.min(b) - h * h * k / 4.0
}
