//! The solid while it is being fitted: what an outline says of it, and the normal equations of a step.

use super::contour::{Contour, Passed, passes};
use super::fit::{OF_AXIS, Table};
use super::solid::Axis;
use super::view::{STRAYS, View};
use crate::photo::camera::{Placed, Strays, TUKEY, biweight};
use kurbo::Point;
use nalgebra::{DMatrix, DVector};
use rayon::prelude::*;

/// Second differences of the profile's points are held to this share of their distance, one standard deviation. A choice of this program, no source.
const BEND_SHARE: f64 = 0.12;

/// Points that are nearer than this turn less, as they share in one turn of the line.
const BEND_APART_MM: f64 = 5.0;

/// Points of one stretch of an edge are off together: so many count for one. With few of them, an edge that is taken wrongly along a stretch (a shadow at the
/// foot, a shine along the wall) moves the camera, which the card knows better. A choice of this program, by rendered photographs.
const ALIKE: f64 = 20.0;

/// A profile that goes down again on its way up does so by no more than about this, in mm.
const FOLD_MM: f64 = 0.1;

/// How much smaller a foot is tried, as a share of its radius.
const SMALLER_SHARE: f64 = 0.08;

/// Of what its circle is then off, what the outline must be.
const HELD_SHARE: f64 = 0.5;

/// How far off a point is taken to be that no line of sight reaches, in mm.
const FAR_MM: f64 = 1e3;

/// How far above and below the side of a circle the outline is looked at that bounds it, in mm.
const TRIM_MM: f64 = 5.0;

/// How far a circle may stand out beyond that, as a share.
const TRIM_SPARE_SHARE: f64 = 0.012;

/// How many points on each side are enough to bound it.
const TRIM_POINTS: usize = 3;

/// What is nearer to the axis than this share is a gap in the outline, and bounds nothing.
const TRIM_LEAST: f64 = 0.85;

/// How far below the top circles are looked at, in mm.
const TRIM_BELOW_MM: f64 = 8.0;

/// So many points of the profile from the rim down are a lip's.
const AT_LIP: usize = 2;

/// What smoothness counts there.
const LIP_WEIGHT: f64 = 4.0;

/// How far along its directions a camera is moved to see what that does, in standard deviations.
const STRAY_STEP: f64 = 0.05;

/// How stiff a solid is while its outline is believed to within so many mm.
pub(super) fn stiffness(scale_mm: f64) -> f64 {
    (STIFF_MM / scale_mm).powi(2).min(1.0)
}

/// An outline that is known this well leaves smoothness its whole weight, in mm.
const STIFF_MM: f64 = 0.3;

/// The axis and the profile while they are being found.
#[derive(Debug, Clone)]
pub(super) struct State {
    pub(super) axis: Axis,
    pub(super) profile: Vec<(f64, f64)>,
    pub(super) table: Option<Table>,
    /// The camera as the card has it, and how it may stray.
    pub(super) camera: Placed,
    pub(super) strays: Option<Strays>,
    /// By how many standard deviations it is moved along each of its own directions.
    pub(super) stray: [f64; STRAYS],
    /// Which way is up, by the card, and how nearly, in radians.
    pub(super) upright: Option<(kurbo::Vec2, f64)>,
    /// What smoothness counts, 0 to 1: less while the outline is believed less, so that it never outweighs it.
    pub(super) stiff: f64,
    /// How much the rim's edge is rounded.
    pub(super) lip_mm: f64,
    /// Points of the near edge of the mouth, in pixels.
    pub(super) mouth: Vec<Point>,
}

impl State {
    pub(super) fn view(&self) -> View {
        View::of(&self.placed())
    }

    /// The camera as it is now.
    pub(super) fn placed(&self) -> Placed {
        self.strays.as_ref().map_or(self.camera, |strays| strays.placed(&self.stray))
    }

    /// The camera moved on along one of its directions.
    fn strayed_view(&self, direction: usize, by: f64) -> Option<View> {
        let mut stray = self.stray;
        *stray.get_mut(direction)? += by;
        Some(View::of(&self.strays.as_ref()?.placed(&stray)))
    }

    /// How far the axis leans to the right of upright, over what is usual.
    fn leans(&self) -> Option<(f64, f64)> {
        let (up, sd) = self.upright?;
        // `Axis::moved` leans to the right of itself.
        let right = kurbo::Vec2::new(up.y, -up.x);
        Some((self.axis.up.dot(right).atan2(self.axis.up.dot(up)) / sd, sd))
    }

    /// How far the foot is off the table, over what is usual.
    fn off_table(&self) -> Option<(f64, f64)> {
        let table = self.table?;
        Some(((self.profile.first()?.1 - table.height_on(&self.axis)) / table.sd_mm, table.sd_mm))
    }

    /// Where a point of the profile lies below the one before: which, and by how much over what is allowed.
    fn folds(&self) -> impl Iterator<Item = (usize, f64)> {
        let pairs = self.profile.windows(2).enumerate();
        pairs.filter_map(|(i, w)| if let [a, b] = *w { Some((i, (a.1 - b.1) / FOLD_MM)) } else { None }).filter(|(_, fold)| *fold > 0.0)
    }

    pub(super) fn stepped(&self, moves: &[(usize, (f64, f64))], step: &DVector<f64>) -> Self {
        let by = |i: usize| step.get(i).copied().unwrap_or(0.0);
        let stray = if self.strays.is_some() {
            std::array::from_fn(|i| self.stray.get(i).copied().unwrap_or(0.0) + by(2 + i).clamp(-3.0, 3.0))
        } else {
            self.stray
        };
        let mut next = Self { axis: self.axis.moved(by(0), by(1)), stray, ..self.clone() };
        for (i, (knot, way)) in moves.iter().enumerate() {
            if let Some(p) = next.profile.get_mut(*knot) {
                let d = by(OF_AXIS + i).clamp(-20.0, 20.0);
                *p = ((p.0 + way.0 * d).max(0.0), p.1 + way.1 * d);
            }
        }
        next
    }

    /// The same without what of its circles stands out beyond the outline on both sides: seen from nearly level, a rim is so thin that nothing else would
    /// hold it.
    pub(super) fn trimmed(mut self, outline: &[Point]) -> Self {
        let view = self.view();
        let eye = view.eye(&self.axis);
        let contour = Contour::new(eye, &self.profile, self.lip_mm);
        let charts: Vec<(f64, f64)> = outline.iter().filter_map(|px| contour.chart(&view.sight(&self.axis, *px)?)).collect();
        let top = self.profile.last().map_or(0.0, |p| p.1);
        for point in self.profile.iter_mut().filter(|p| p.1 > top - TRIM_BELOW_MM) {
            let (s, y) = contour.ring_side(eye, *point);
            let near = |side: f64| {
                let on: Vec<f64> = charts.iter().filter(|c| c.0 * side > 0.0 && (c.1 - y).abs() < TRIM_MM).map(|c| c.0.abs()).collect();
                if on.len() < TRIM_POINTS { f64::INFINITY } else { on.into_iter().fold(0.0, f64::max) }
            };
            let reach = near(1.0).min(near(-1.0)) + TRIM_SPARE_SHARE * s;
            if s > reach && reach > TRIM_LEAST * s {
                point.0 *= reach / s;
            }
        }
        self
    }

    /// Whether the outline says how large the foot is: with a smaller one, what touches it would be off. Otherwise it only fits in behind what is seen.
    pub(super) fn holds_foot(&self, outline: &[Point]) -> bool {
        let Some(&(r, h)) = self.profile.first() else { return false };
        let mut smaller = self.clone();
        // The wall follows, less and less, over a third of the foot's radius.
        for p in &mut smaller.profile {
            p.0 -= SMALLER_SHARE * r * (1.0 - (p.1 - h) / (0.33 * r).max(1e-6)).clamp(0.0, 1.0);
        }
        let (mut off, mut expected) = (0.0, 0.0);
        for (own, there) in self.pairs(outline).into_iter().zip(smaller.pairs(outline)) {
            if let (Some(own), Some(there)) = (own, there)
                && own.contact.piece == 0
                && own.contact.along < 0.5
            {
                let (out, at) = (own.contact.normal, own.contact.at);
                off += (there.distance - own.distance).abs();
                expected += SMALLER_SHARE * (out.x * at.x + out.z * at.z).abs();
            }
        }
        off > HELD_SHARE * expected
    }

    pub(super) fn is_sound(&self) -> bool {
        let rises = matches!((self.profile.first(), self.profile.last()), (Some(a), Some(b)) if b.1 > a.1 + 1.0);
        rises && self.profile.iter().all(|p| p.0.is_finite() && p.1.is_finite()) && self.axis.foot_mm.is_finite()
    }

    /// Each point of the outline, and then each of the mouth's near edge, with the nearest of the solid's.
    fn pairs(&self, outline: &[Point]) -> Vec<Option<Passed>> {
        let view = self.view();
        let contour = Contour::new(view.eye(&self.axis), &self.profile, self.lip_mm);
        let mut pairs: Vec<Option<Passed>> =
            outline.par_iter().with_min_len(32).map(|px| contour.passed(&view.sight(&self.axis, *px)?)).collect();
        pairs.extend(self.mouth.iter().map(|px| contour.passed_mouth(&view.sight(&self.axis, *px)?)));
        pairs
    }

    pub(super) fn off(&self, outline: &[Point]) -> Vec<f64> {
        self.pairs(outline).iter().map(|p| p.map_or(FAR_MM, |passed| passed.distance)).collect()
    }

    pub(super) fn cost(&self, off: &[f64], weights: &[f64], scale: f64) -> f64 {
        let seen: f64 = off.iter().zip(weights).map(|(d, w)| w * (d / scale).powi(2) / ALIKE).sum();
        let strayed: f64 = self.stray.iter().map(|s| s * s).sum::<f64>() + self.leans().map_or(0.0, |(off, _)| off * off);
        let standing = self.off_table().map_or(0.0, |(off, _)| off * off);
        let folded: f64 = self.folds().map(|(_, fold)| fold * fold).sum();
        seen + standing + strayed + folded + self.bends().iter().map(|b| b.weight * b.value * b.value).sum::<f64>()
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
            let apart = f64::midpoint(before, after).max(0.3);
            let usual = BEND_SHARE * apart * (apart / BEND_APART_MM).sqrt().min(1.0);
            let value = sagitta / usual;
            // A corner is paid for once, not by its square (a Cauchy weight); but a rounded lip sits on its wall without one.
            let at_lip = self.lip_mm > 0.0 && i + 3 + AT_LIP > self.profile.len();
            bends.push(Bend {
                middle: i + 1,
                value,
                normal,
                shares: (share_a, share_c),
                usual,
                weight: if at_lip { LIP_WEIGHT } else { self.stiff / (1.0 + value * value / 4.0) },
            });
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
pub(super) struct System {
    pub(super) off: Vec<f64>,
    /// Which piece of the profile each point of the outline is nearest to, and how far along it.
    pub(super) touches: Vec<(usize, f64)>,
    /// A row a point of the outline: (parameter, slope), few of them.
    rows: Vec<Vec<(usize, f64)>>,
}

impl System {
    pub(super) fn new(outline: &[Point], state: &State, moves: &[(usize, (f64, f64))]) -> Self {
        let strayed: Vec<View> = (0..STRAYS).filter_map(|i| state.strayed_view(i, STRAY_STEP)).collect();
        let row = |(passed, px): (&Option<Passed>, &Point)| {
            let Some(passed) = passed else { return (FAR_MM, ((0, 0.0), Vec::new())) };
            let near = passed.contact;
            let (out, at) = (near.normal, near.at);
            let out_r = (out.x * at.x + out.z * at.z) / at.x.hypot(at.z).max(1e-9);
            let mut row = vec![(0, -out.x), (1, out.y * at.x - out.x * at.y)];
            // The contact is where the distance is least, so to first order it stays where it is when the camera moves.
            for (i, view) in strayed.iter().enumerate() {
                if let Some(sight) = view.sight(&state.axis, *px) {
                    row.push((2 + i, (passes(&sight, near).distance - passed.distance) / STRAY_STEP));
                }
            }
            for (knot, share) in [(near.piece, 1.0 - near.along), (near.piece + 1, near.along)] {
                if share > 0.0 {
                    for (i, (_, way)) in moves.iter().enumerate().filter(|(_, m)| m.0 == knot) {
                        row.push((OF_AXIS + i, -share * (way.0 * out_r + way.1 * out.y)));
                    }
                }
            }
            (passed.distance, ((near.piece, near.along), row))
        };
        let (off, found): (Vec<f64>, Vec<_>) = state.pairs(outline).iter().zip(outline.iter().chain(&state.mouth)).map(row).unzip();
        let (touches, rows) = found.into_iter().unzip();
        Self { off, touches, rows }
    }

    pub(super) fn weights(&self, scale: f64) -> Vec<f64> {
        self.off.iter().map(|d| biweight(d / (TUKEY * scale))).collect()
    }

    /// The normal equations: their matrix, what they are to give, and the cost there.
    pub(super) fn normal(
        &self,
        state: &State,
        moves: &[(usize, (f64, f64))],
        weights: &[f64],
        scale: f64,
    ) -> (DMatrix<f64>, DVector<f64>, f64) {
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
            add(row, *d, w / (scale * scale * ALIKE));
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
        for (i, fold) in state.folds() {
            let mut row = Vec::with_capacity(4);
            for (knot, way_up) in [(i, 1.0), (i + 1, -1.0)] {
                row.extend(
                    moves.iter().enumerate().filter(|(_, m)| m.0 == knot).map(|(j, (_, way))| (OF_AXIS + j, way_up * way.1 / FOLD_MM)),
                );
            }
            add(&row, fold, 1.0);
        }
        for (i, stray) in state.stray.iter().enumerate() {
            add(&[(2 + i, 1.0)], *stray, 1.0);
        }
        if let Some((off, sd)) = state.leans() {
            add(&[(1, 1.0 / sd)], off, 1.0);
        }
        if let Some((off, sd)) = state.off_table() {
            let row: Vec<(usize, f64)> =
                moves.iter().enumerate().filter(|(_, m)| m.0 == 0).map(|(i, (_, way))| (OF_AXIS + i, way.1 / sd)).collect();
            add(&row, off, 1.0);
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
