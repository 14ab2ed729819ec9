//! The solid of revolution that goes best with an outline: Gauss–Newton steps on signed distances between lines of sight and the solid.
//!
//! Parameters: where the axis stands and leans in the plane, and the points of the half profile: foot and rim in both directions, those between along
//! the profile's normal. Each point of the outline gives one residual, the distance in mm by which its line of sight passes the solid (or goes into
//! it); the profile is held smooth by its second differences, except where the outline asks for a corner. Points that are far from any such solid
//! (handle, spout) lose their weight (Tukey's biweight; Beaton & Tukey, Technometrics 16, 1974, 147–185, its constant from memory).

use super::error::SideError;
use super::solid::{Axis, nearest};
use crate::photo::camera::Placed;
use kurbo::Point;
use nalgebra::{DMatrix, DVector};
use rayon::prelude::*;

/// The fewest points of an outline.
pub const LEAST_POINTS: usize = 24;

/// Points of the profile.
pub(super) const KNOTS: usize = 32;

/// Second differences of the profile's points are held to this share of their distance, one standard deviation. A choice of this program, no source.
const BEND_SHARE: f64 = 0.12;

/// Tukey's constant, for 95 in 100 efficiency.
const TUKEY: f64 = 4.685;

/// A solid with how well it is known.
#[derive(Debug, Clone)]
pub struct Fitted {
    /// Its axis; heights are counted from its foot.
    pub axis: Axis,
    /// Half profile in mm from the foot up.
    pub profile: Vec<(f64, f64)>,
    /// Robust standard deviation of the outline about the solid, in mm.
    pub scale_mm: f64,
    /// The weight of each point of the outline, 0 to 1: near 0 on handles and spouts.
    pub weights: Vec<f64>,
    /// Signed distance of each point of the outline from the solid, in mm.
    pub off_mm: Vec<f64>,
    /// Covariance of the parameters: axis to the right, lean, then each point of the profile along its direction.
    pub(super) covariance: DMatrix<f64>,
    /// What each parameter moves: a point of the profile, in a direction (radius, height).
    pub(super) moves: Vec<(usize, (f64, f64))>,
}

/// Parameters that do not move the profile.
const OF_AXIS: usize = 2;

/// Fits a solid to an outline, from a start. `least_sd_mm` is the smallest standard deviation that is believed of a point of the outline.
///
/// # Errors
/// [`SideError::TooFewPoints`], and [`SideError::NoFit`] where the start leads nowhere.
pub fn fit_solid(camera: &Placed, outline: &[Point], axis: Axis, profile: &[(f64, f64)], least_sd_mm: f64) -> Result<Fitted, SideError> {
    if outline.len() < LEAST_POINTS {
        return Err(SideError::TooFewPoints { given: outline.len(), least: LEAST_POINTS });
    }
    let mut state = State { axis, profile: spaced(profile, KNOTS) };
    if state.profile.len() < 2 {
        return Err(SideError::NoFit { off_mm: f64::INFINITY });
    }
    let least = if least_sd_mm.is_finite() { least_sd_mm.max(1e-4) } else { 1e-4 };
    let mut damping = 1e-3;
    let mut settled = 0;
    let mut last_scale = f64::INFINITY;
    for round in 0..ROUNDS {
        let moves = moves_of(&state.profile);
        let system = System::new(camera, outline, &state, &moves);
        // At first everything within centimetres counts, and less and less from round to round: what is far off from a poor start is not let go.
        let scale = robust_scale(&system.off, least).max(FIRST_SCALE_MM * 0.75_f64.powf(round as f64));
        let weights: Vec<f64> = system.off.iter().map(|d| biweight(d / scale)).collect();
        let (hessian, gradient, cost) = system.normal(&state, &moves, &weights, scale);
        let mut stepped = false;
        for _ in 0..6 {
            let mut damped = hessian.clone();
            for i in 0..damped.nrows() {
                if let Some(d) = damped.get_mut((i, i)) {
                    *d *= 1.0 + damping;
                }
            }
            let Some(step) = damped.cholesky().map(|c| c.solve(&gradient)) else {
                damping *= 10.0;
                continue;
            };
            let next = state.stepped(&moves, &step);
            let there = next.off(camera, outline);
            if next.is_sound() && next.cost(&there, &weights, scale) < cost * (1.0 + 1e-9) {
                let far = step.iter().fold(0.0_f64, |m, s| m.max(s.abs()));
                settled = if far < 0.01 { settled + 1 } else { 0 };
                state = next;
                damping = (damping * 0.3).max(1e-6);
                stepped = true;
                break;
            }
            damping *= 8.0;
        }
        if !stepped {
            damping = 1e-3;
            settled += 1;
        }
        if settled >= 2 && round > 16 && (scale - last_scale).abs() < 0.01 * scale {
            break;
        }
        last_scale = scale;
        // Points that slid together are spread again while the shape is still being found.
        if round % 6 == 5 && round + 8 < ROUNDS {
            state.profile = spaced(&state.profile, KNOTS);
        }
    }
    let moves = moves_of(&state.profile);
    let system = System::new(camera, outline, &state, &moves);
    let scale = robust_scale(&system.off, least);
    let weights: Vec<f64> = system.off.iter().map(|d| biweight(d / scale)).collect();
    let (hessian, _, _) = system.normal(&state, &moves, &weights, scale);
    let covariance = hessian.cholesky().map(|c| c.inverse()).ok_or(SideError::NoFit { off_mm: scale })?;
    if !scale.is_finite() {
        return Err(SideError::NoFit { off_mm: scale });
    }
    Ok(Fitted { axis: state.axis, profile: state.profile, scale_mm: scale, weights, off_mm: system.off, covariance, moves })
}

const ROUNDS: usize = 48;

/// What the scale of the residuals is taken to be at the start, in mm.
const FIRST_SCALE_MM: f64 = 6.0;

fn biweight(u: f64) -> f64 {
    let u = u / TUKEY;
    if u.abs() < 1.0 { (1.0 - u * u).powi(2) } else { 0.0 }
}

/// 1.4826 times the median size, not below `least`.
fn robust_scale(off: &[f64], least: f64) -> f64 {
    let mut sizes: Vec<f64> = off.iter().map(|d| d.abs()).collect();
    let middle = sizes.len() / 2;
    if sizes.is_empty() {
        return least;
    }
    let (_, median, _) = sizes.select_nth_unstable_by(middle, f64::total_cmp);
    (1.4826 * *median).max(least)
}

/// The axis and the profile while they are being found.
#[derive(Debug, Clone)]
struct State {
    axis: Axis,
    profile: Vec<(f64, f64)>,
}

impl State {
    fn stepped(&self, moves: &[(usize, (f64, f64))], step: &DVector<f64>) -> Self {
        let by = |i: usize| step.get(i).copied().unwrap_or(0.0);
        let mut next = Self { axis: self.axis.moved(by(0), by(1)), profile: self.profile.clone() };
        for (i, (knot, way)) in moves.iter().enumerate() {
            if let Some(p) = next.profile.get_mut(*knot) {
                let d = by(OF_AXIS + i).clamp(-20.0, 20.0);
                *p = ((p.0 + way.0 * d).max(0.0), p.1 + way.1 * d);
            }
        }
        next
    }

    fn is_sound(&self) -> bool {
        let rises = matches!((self.profile.first(), self.profile.last()), (Some(a), Some(b)) if b.1 > a.1 + 1.0);
        rises && self.profile.iter().all(|p| p.0.is_finite() && p.1.is_finite()) && self.axis.foot_mm.is_finite()
    }

    fn off(&self, camera: &Placed, outline: &[Point]) -> Vec<f64> {
        let of = |px: &Point| nearest(&self.axis.sight(camera, *px), &self.profile).map_or(1e3, |near| near.distance);
        outline.par_iter().with_min_len(16).map(of).collect()
    }

    fn cost(&self, off: &[f64], weights: &[f64], scale: f64) -> f64 {
        let seen: f64 = off.iter().zip(weights).map(|(d, w)| w * (d / scale).powi(2)).sum();
        seen + self.bends().iter().map(|b| b.weight * b.value * b.value).sum::<f64>()
    }

    /// The second differences of the profile along its normals, over what is usual.
    fn bends(&self) -> Vec<Bend> {
        let mut bends = Vec::with_capacity(self.profile.len());
        for (i, three) in self.profile.windows(3).enumerate() {
            let [a, b, c] = *three else { continue };
            let (before, after) = ((b.0 - a.0).hypot(b.1 - a.1), (c.0 - b.0).hypot(c.1 - b.1));
            let length = (c.0 - a.0).hypot(c.1 - a.1).max(1e-6);
            let normal = ((c.1 - a.1) / length, -(c.0 - a.0) / length);
            let (share_a, share_c) = (after / (before + after).max(1e-9), before / (before + after).max(1e-9));
            let sagitta = (b.0 - share_a * a.0 - share_c * c.0) * normal.0 + (b.1 - share_a * a.1 - share_c * c.1) * normal.1;
            let usual = BEND_SHARE * f64::midpoint(before, after).max(0.3);
            let value = sagitta / usual;
            // A corner is paid for once, not by its square (a Cauchy weight).
            bends.push(Bend { middle: i + 1, value, normal, shares: (share_a, share_c), usual, weight: 1.0 / (1.0 + value * value / 4.0) });
        }
        bends
    }
}

/// One second difference.
struct Bend {
    middle: usize,
    value: f64,
    normal: (f64, f64),
    shares: (f64, f64),
    usual: f64,
    weight: f64,
}

/// Distances and their slopes.
struct System {
    off: Vec<f64>,
    /// A row a point of the outline: (parameter, slope), few of them.
    rows: Vec<Vec<(usize, f64)>>,
}

impl System {
    fn new(camera: &Placed, outline: &[Point], state: &State, moves: &[(usize, (f64, f64))]) -> Self {
        let row = |px: &Point| {
            let Some(near) = nearest(&state.axis.sight(camera, *px), &state.profile) else { return (1e3, Vec::new()) };
            let (out_r, out_h) = near.outward;
            let r = near.at.x.hypot(near.at.z).max(1e-9);
            let cos = near.at.x / r;
            let mut row = vec![(0, -out_r * cos), (1, out_r * (-near.at.y * cos) + out_h * near.at.x)];
            for (knot, share) in [(near.piece, 1.0 - near.along), (near.piece + 1, near.along)] {
                if share > 0.0 {
                    for (i, (_, way)) in moves.iter().enumerate().filter(|(_, m)| m.0 == knot) {
                        row.push((OF_AXIS + i, -share * (way.0 * out_r + way.1 * out_h)));
                    }
                }
            }
            (near.distance, row)
        };
        let (off, rows) = outline.par_iter().with_min_len(16).map(row).unzip();
        Self { off, rows }
    }

    /// The normal equations: their matrix, what they are to give, and the cost there.
    fn normal(&self, state: &State, moves: &[(usize, (f64, f64))], weights: &[f64], scale: f64) -> (DMatrix<f64>, DVector<f64>, f64) {
        let n = OF_AXIS + moves.len();
        let mut hessian = DMatrix::zeros(n, n);
        let mut gradient = DVector::zeros(n);
        let mut add = |row: &[(usize, f64)], value: f64, weight: f64| {
            for &(i, a) in row {
                if let Some(g) = gradient.get_mut(i) {
                    *g -= weight * a * value;
                }
                for &(j, b) in row {
                    if let Some(h) = hessian.get_mut((i, j)) {
                        *h += weight * a * b;
                    }
                }
            }
        };
        for ((row, d), w) in self.rows.iter().zip(&self.off).zip(weights) {
            add(row, *d, w / (scale * scale));
        }
        for bend in state.bends() {
            let mut row = Vec::with_capacity(4);
            for (knot, share) in [(bend.middle - 1, -bend.shares.0), (bend.middle, 1.0), (bend.middle + 1, -bend.shares.1)] {
                for (i, (_, way)) in moves.iter().enumerate().filter(|(_, m)| m.0 == knot) {
                    row.push((OF_AXIS + i, share * (way.0 * bend.normal.0 + way.1 * bend.normal.1) / bend.usual));
                }
            }
            add(&row, bend.value, bend.weight);
        }
        // Nothing is held by nothing: no point of the profile strays a hundred millimetres in a step, no axis a quarter turn.
        for i in 0..n {
            if let Some(h) = hessian.get_mut((i, i)) {
                *h += 1e-4;
            }
        }
        (hessian, gradient, state.cost(&self.off, weights, scale))
    }
}

/// What may be moved: foot and rim up and out, the points between along the profile's normal.
fn moves_of(profile: &[(f64, f64)]) -> Vec<(usize, (f64, f64))> {
    let last = profile.len().saturating_sub(1);
    let mut moves = vec![(0, (1.0, 0.0)), (0, (0.0, 1.0))];
    for (i, three) in profile.windows(3).enumerate() {
        if let [a, _, c] = *three {
            let length = (c.0 - a.0).hypot(c.1 - a.1).max(1e-9);
            moves.push((i + 1, ((c.1 - a.1) / length, -(c.0 - a.0) / length)));
        }
    }
    moves.extend([(last, (1.0, 0.0)), (last, (0.0, 1.0))]);
    moves
}

/// The same line with so many points, evenly spaced along it.
pub(super) fn spaced(line: &[(f64, f64)], count: usize) -> Vec<(f64, f64)> {
    let lengths: Vec<f64> = line.windows(2).map(|w| if let [a, b] = w { (b.0 - a.0).hypot(b.1 - a.1) } else { 0.0 }).collect();
    let whole: f64 = lengths.iter().sum();
    let (Some(&first), true) = (line.first(), count >= 2 && whole > 0.0 && whole.is_finite()) else { return line.to_vec() };
    let mut out = vec![first];
    let mut pieces = line.windows(2).zip(&lengths);
    let mut piece = pieces.next();
    let mut before = 0.0;
    for k in 1..count {
        let want = whole * k as f64 / (count - 1) as f64;
        while let Some((_, length)) = piece {
            if before + length >= want - 1e-9 * whole {
                break;
            }
            before += length;
            piece = pieces.next();
        }
        match piece {
            Some(([a, b], length)) => {
                let t = if *length > 0.0 { ((want - before) / length).clamp(0.0, 1.0) } else { 0.0 };
                out.push((a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t));
            }
            _ => out.extend(line.last().copied()),
        }
    }
    out
}
