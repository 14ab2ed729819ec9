//! The solid of revolution that goes best with an outline: Gauss–Newton steps on signed distances between lines of sight and the solid.
//!
//! Parameters: where the axis stands and leans in the plane, and the points of the half profile: foot and rim in both directions, those between along
//! the profile's normal. Each point of the outline gives one residual, the distance in mm by which its line of sight passes the solid (or goes into
//! it); the profile is held smooth by its second differences, except where the outline asks for a corner. Points that are far from any such solid
//! (handle, spout) lose their weight (Tukey's biweight).

use super::contour::Contour;
use super::error::SideError;
use super::solid::Axis;
use super::state::{State, System, stiffness};
use super::view::{STRAYS, View};
use crate::photo::camera::{Placed, Strays, TUKEY, biweight, robust_sd};
use kurbo::Point;
use nalgebra::DMatrix;
use rayon::prelude::*;

/// The fewest points of an outline.
pub const LEAST_POINTS: usize = 24;

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
    /// The same of each point of the mouth's near edge.
    pub(super) mouth_weights: Vec<f64>,
    /// Signed distance of each point of the outline from the solid, in mm.
    pub off_mm: Vec<f64>,
    /// How many points of the outline (their weights summed) touch each point of the profile: 0 where it is hidden.
    pub touched: Vec<f64>,
    /// Covariance of the parameters: axis to the right, lean, then each point of the profile along its direction.
    pub(super) covariance: DMatrix<f64>,
    /// What each parameter moves: a point of the profile, in a direction (radius, height).
    pub(super) moves: Vec<(usize, (f64, f64))>,
    /// The camera with its eye where the outline has it.
    pub view: View,
    state: State,
}

impl Fitted {
    /// How far the camera strays.
    pub(super) fn stray(&self) -> [f64; STRAYS] {
        self.state.stray
    }

    /// The camera as the outline has it.
    pub(super) fn placed(&self) -> Placed {
        self.state.placed()
    }

    /// The outline of the solid as the camera sees it.
    pub(super) fn contour(&self) -> Contour {
        Contour::new(self.view.eye(&self.axis), &self.profile, self.state.lip_mm)
    }

    /// The outline of the solid in pixels.
    pub(super) fn outline_px(&self) -> Vec<Point> {
        let contour = self.contour();
        let both = contour.contacts().iter().flat_map(|contact| [contour.mirrored(contact).at, contact.at]);
        both.filter_map(|at| self.view.px(&self.axis, at)).collect()
    }

    /// By how much the rim's edge is rounded.
    pub(super) fn lip_mm(&self) -> f64 {
        self.state.lip_mm
    }

    /// Which points of the profile are seen.
    pub(super) fn seen(&self) -> Vec<bool> {
        (0..self.profile.len()).map(|i| self.sees(i)).collect()
    }

    /// Whether enough of the outline touches a point of the profile for it to be called seen.
    pub(super) fn sees(&self, knot: usize) -> bool {
        self.touched.get(knot).is_some_and(|t| *t >= SEEN)
    }
}

/// A point of the profile is seen where so many points of the outline touch it.
const SEEN: f64 = 0.5;

/// Parameters that do not move the profile.
pub(super) const OF_AXIS: usize = 2 + STRAYS;

/// A line on which the piece stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Table {
    /// A point of it in the card's plane.
    pub at_mm: Point,
    /// How well the foot's height above it is known, one standard deviation.
    pub sd_mm: f64,
    /// Which way is up from it, in the card's plane.
    pub up: kurbo::Vec2,
}

impl Table {
    /// Its height on an axis.
    pub(super) fn height_on(&self, axis: &Axis) -> f64 {
        (self.at_mm - axis.foot_mm).dot(axis.up)
    }
}

/// What is known beforehand of a fit.
#[derive(Debug, Clone, PartialEq)]
pub struct Known {
    /// The smallest standard deviation that is believed of a point of the outline.
    pub least_sd_mm: f64,
    /// What the piece stands on. Without it a foot that is hidden has no height.
    pub table: Option<Table>,
    /// How the camera may stray from what it is taken for. None takes it as it is.
    pub strays: Option<Strays>,
    /// By how many standard deviations it strays along each direction at first.
    pub stray: [f64; Strays::COUNT],
    /// Which way is up in the card's plane, and how nearly the axis stands so, in radians, one standard deviation.
    pub upright: Option<(kurbo::Vec2, f64)>,
    /// To within how many mm the outline is believed at first, far from the start as it may be: [`FIRST_SCALE_MM`] where little is known.
    pub first_scale_mm: f64,
    /// By how much the rim's edge is rounded, in mm; 0 where it is sharp.
    pub lip_mm: f64,
    /// Points of the near edge of the mouth, where the eye looks into it and that edge is seen, in pixels.
    pub mouth: Vec<Point>,
}

/// Fits a solid to an outline, from a start.
///
/// # Errors
/// [`SideError::TooFewPoints`], and [`SideError::NoFit`] where the start leads nowhere.
pub fn fit_solid(camera: &Placed, outline: &[Point], axis: Axis, profile: &[(f64, f64)], known: &Known) -> Result<Fitted, SideError> {
    if outline.len() < LEAST_POINTS {
        return Err(SideError::TooFewPoints { given: outline.len(), least: LEAST_POINTS });
    }
    let first = fit_from(camera, outline, axis, profile, known);
    let explained = |fitted: &Result<Fitted, SideError>| {
        let share = |f: &Fitted| {
            f.off_mm.iter().map(|d| biweight(d / (TUKEY * 2.0 * known.least_sd_mm.max(1e-4)))).sum::<f64>() / f.off_mm.len().max(1) as f64
        };
        fitted.as_ref().map_or(-1.0, share)
    };
    // A start that is near needs no other.
    if known.first_scale_mm < FIRST_SCALE_MM || explained(&first) > EXPLAINED {
        return first;
    }
    // Again from the plainest of shapes: a cone that opens upward much, little, hardly.
    let again: Vec<_> = [0.5, 0.75, 0.97].par_iter().map(|share| fit_from(camera, outline, axis, &cone(profile, *share), known)).collect();
    let all = std::iter::once(first).chain(again).map(|fitted| (explained(&fitted), fitted));
    all.max_by(|a, b| a.0.total_cmp(&b.0)).map_or(Err(SideError::NoFit { off_mm: f64::INFINITY }), |(_, fitted)| fitted)
}

/// An outline of which a fit explains less than this share is fitted again from other starts.
const EXPLAINED: f64 = 0.93;

fn widest(profile: &[(f64, f64)]) -> f64 {
    profile.iter().map(|p| p.0).fold(1e-3, f64::max)
}

/// A cone of the height and greatest radius of a profile, with a foot of a share of that.
fn cone(profile: &[(f64, f64)], share: f64) -> Vec<(f64, f64)> {
    let (low, high) = profile.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| (low.min(p.1), high.max(p.1)));
    let r = 0.97 * widest(profile);
    vec![(share * r, low), (r, high.max(low + 2.0))]
}

fn fit_from(camera: &Placed, outline: &[Point], axis: Axis, profile: &[(f64, f64)], known: &Known) -> Result<Fitted, SideError> {
    // From a poor start points that lie close together run along the table and back.
    let points = if known.first_scale_mm < FIRST_SCALE_MM { NEAR_POINTS } else { FIRST_POINTS };
    let mut state = State {
        axis,
        profile: knotted(profile, points),
        table: known.table,
        camera: *camera,
        strays: known.strays.clone(),
        stray: known.stray,
        upright: known.upright,
        stiff: 1.0,
        lip_mm: known.lip_mm,
        mouth: known.mouth.clone(),
    };
    if state.profile.len() < 2 {
        return Err(SideError::NoFit { off_mm: f64::INFINITY });
    }
    let least = if known.least_sd_mm.is_finite() { known.least_sd_mm.max(1e-4) } else { 1e-4 };
    let mut damping = 1e-3;
    let mut settled = 0;
    let mut last_scale = f64::INFINITY;
    for round in 0..ROUNDS {
        let moves = moves_of(&state.profile);
        let system = System::new(outline, &state, &moves);
        // At first everything within centimetres counts, and less and less from round to round: what is far off from a poor start is not let go.
        let scale = robust_sd(system.off.iter().take(outline.len()).copied())
            .max(least)
            .max(known.first_scale_mm.clamp(0.0, 50.0) * 0.75_f64.powf(round as f64));
        let weights = system.weights(scale);
        state.stiff = stiffness(scale);
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
            let there = next.off(outline);
            if next.is_sound() && next.cost(&there, &weights, scale) < cost * (1.0 + 1e-9) {
                let far = step.iter().fold(0.0_f64, |m, s| m.max(s.abs()));
                settled = if far < 0.01 { settled + 1 } else { 0 };
                state = next.trimmed(outline);
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
            // What stands up out of the rim and is not seen there is nothing.
            let seen = touched(state.profile.len(), &system.touches, &system.weights(scale));
            let top = seen.iter().rposition(|t| *t >= SEEN).unwrap_or(0);
            if round > 20 && top + 8 > state.profile.len() {
                state.profile.truncate(top + 1);
            }
            state.profile = knotted(&state.profile, points);
        }
    }
    let moves = moves_of(&state.profile);
    let system = System::new(outline, &state, &moves);
    let scale = robust_sd(system.off.iter().take(outline.len()).copied()).max(least);
    let mut weights = system.weights(scale);
    state.stiff = stiffness(scale);
    let (hessian, ..) = system.normal(&state, &moves, &weights, scale);
    let covariance = hessian.cholesky().map(|c| c.inverse()).ok_or(SideError::NoFit { off_mm: scale })?;
    if !scale.is_finite() {
        return Err(SideError::NoFit { off_mm: scale });
    }
    let System { mut off, touches, .. } = system;
    let mut touched = touched(state.profile.len(), touches.get(..outline.len()).unwrap_or_default(), &weights);
    let mouth_weights = weights.split_off(outline.len());
    off.truncate(outline.len());
    let off_mm = off;
    if !state.holds_foot(outline)
        && let Some(foot) = touched.first_mut()
    {
        *foot = 0.0;
    }
    Ok(Fitted {
        touched,
        view: state.view(),
        axis: state.axis,
        profile: state.profile.clone(),
        state,
        scale_mm: scale,
        weights,
        mouth_weights,
        off_mm,
        covariance,
        moves,
    })
}

/// The weights of all that touches each point of a profile.
fn touched(points: usize, touches: &[(usize, f64)], weights: &[f64]) -> Vec<f64> {
    let mut touched = vec![0.0; points];
    for ((piece, along), weight) in touches.iter().zip(weights) {
        for (knot, share) in [(*piece, 1.0 - along), (piece + 1, *along)] {
            if let Some(t) = touched.get_mut(knot) {
                *t += weight * share;
            }
        }
    }
    touched
}

const ROUNDS: usize = 48;

/// What the scale of the residuals is taken to be at the start, in mm, where little is known of the solid.
pub const FIRST_SCALE_MM: f64 = 6.0;

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

/// How many points a profile has, and the first step from the foot as a share of those further up.
type Points = (usize, f64);

/// From a poor start.
const FIRST_POINTS: Points = (32, 1.0);
/// From a near one.
const NEAR_POINTS: Points = (38, 0.2);
/// Over so many steps from the foot they grow to those further up.
const GROWING_STEPS: f64 = 10.0;

/// The same profile with so many points, which may lie closer at the foot: seen from above, how a wall turns in to its foot says how large the foot is, and whether
/// the wall hides it.
fn knotted(profile: &[(f64, f64)], (points, first_step): Points) -> Vec<(f64, f64)> {
    let steps = || (0..points - 1).map(|k| first_step + (1.0 - first_step) * (k as f64 / GROWING_STEPS).min(1.0));
    let sum: f64 = steps().sum();
    let shares: Vec<f64> = std::iter::once(0.0)
        .chain(steps().scan(0.0, |at, step| {
            *at += step / sum;
            Some(*at)
        }))
        .collect();
    placed_along(profile, &shares)
}

fn lengths(line: &[(f64, f64)]) -> Vec<f64> {
    line.windows(2).map(|w| if let [a, b] = w { (b.0 - a.0).hypot(b.1 - a.1) } else { 0.0 }).collect()
}

/// The points of a line at those shares of its length, which grow from 0 to 1.
fn placed_along(line: &[(f64, f64)], shares: &[f64]) -> Vec<(f64, f64)> {
    let lengths = lengths(line);
    let whole: f64 = lengths.iter().sum();
    let (Some(&first), true) = (line.first(), whole > 0.0 && whole.is_finite()) else { return line.to_vec() };
    let mut out = vec![first];
    let mut pieces = line.windows(2).zip(&lengths);
    let mut piece = pieces.next();
    let mut before = 0.0;
    for share in shares.iter().skip(1) {
        let want = whole * share;
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
