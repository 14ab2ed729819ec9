//! The run of an edge along the whole outline of a solid.
//!
//! Point by point what is clearest near an outline may be the end of a shine, a painted stripe or the cloth's weave: a glaze shines at its very edge, and inside that
//! shine runs a soft edge that is clearer than the outer one. But the outline goes on from point to point, is the same on both sides, and is sharp. So it is asked how
//! much speaks for each place across the outline, on both sides together, and the run that is best as a whole is taken.

use super::super::contour::{Contact, Contour};
use super::super::solid::Axis;
use super::super::view::View;
use super::edges::Leaning;
use crate::photo::card::Shades;
use kurbo::{Point, Vec2};
use rayon::prelude::*;

/// Steps across an outline, in pixels.
const STEP_PX: f64 = 0.5;
/// So many steps on either side of a place make up the change there.
const HALF_CHANGE_STEPS: usize = 2;
/// And so many beside it is looked whether it changes there as well.
const BESIDE_STEPS: usize = 6;
/// How much of that is taken off.
const BESIDE_SHARE: f64 = 0.6;
/// Colours are compared from so many steps beside a place to so many.
const COLOUR_STEPS: (usize, usize) = (5, 14);
/// How far along the edge colours are taken together, in pixels.
const ALONG_PX: [f64; 5] = [-3.0, -1.5, 0.0, 1.5, 3.0];
/// A change that counts half, in shades of 256.
const HALF: f64 = 9.0;
/// What colours count beside the change.
const COLOURS: f64 = 1.0;
/// A change that is no more than this is none.
pub(super) const LEAST: f64 = 3.0;
/// What a run costs for each pixel that it jumps from one point to the next.
const JUMP: f64 = 0.6;
/// Points that are farther apart than this may jump more, in pixels.
const JUMP_APART_PX: f64 = 4.0;

/// What is seen across an outline at a point of it, from inside outward.
pub(super) struct Across {
    /// Place and outward direction.
    pub(super) px: Point,
    pub(super) way: Vec2,
    /// By how much it changes more than beside, step by step.
    pub(super) changes: Vec<f64>,
    /// How much more the piece's colours are inside than outside, −1 to 1.
    pub(super) colours: Vec<f64>,
}

impl Across {
    /// From so many pixels inside to as many outside.
    pub(super) fn of(picture: &Shades, leaning: Option<&Leaning<'_>>, px: Point, way: Vec2, reach_px: f64) -> Self {
        let n = (reach_px / STEP_PX).ceil() as usize;
        let spare = COLOUR_STEPS.1.max(HALF_CHANGE_STEPS + BESIDE_STEPS);
        let total = 2 * (n + spare) + 1;
        let along = Vec2::new(-way.y, way.x);
        let at = |k: usize| px + way * ((k as f64 - (n + spare) as f64) * STEP_PX);
        let shades: Vec<[f64; 3]> = (0..total)
            .map(|k| {
                let mut sum = [0.0; 3];
                for by in ALONG_PX {
                    for (s, v) in sum.iter_mut().zip(picture.at(at(k) + along * by)) {
                        *s += f64::from(v) / ALONG_PX.len() as f64;
                    }
                }
                sum
            })
            .collect();
        let change = |k: usize| match (shades.get(k.wrapping_sub(HALF_CHANGE_STEPS)), shades.get(k + HALF_CHANGE_STEPS)) {
            (Some(a), Some(b)) => a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum::<f64>().sqrt(),
            _ => 0.0,
        };
        let places = spare..=spare + 2 * n;
        let changes = places
            .clone()
            .map(|k| (change(k) - BESIDE_SHARE * f64::midpoint(change(k - BESIDE_STEPS), change(k + BESIDE_STEPS))).max(0.0))
            .collect();
        let leans: Vec<f64> = leaning.map_or_else(Vec::new, |l| l.between(at(0), at(total - 1), total));
        let mean = |from: usize, to: usize| {
            let some = leans.get(from..to).unwrap_or_default();
            some.iter().sum::<f64>() / some.len().max(1) as f64
        };
        let (near, far) = COLOUR_STEPS;
        let colours = places.map(|k| f64::midpoint(mean(k - far, k - near), -mean(k + near, k + far))).collect();
        Self { px, way, changes, colours }
    }

    /// What speaks for each step.
    fn evidence(&self) -> impl Iterator<Item = f64> {
        self.changes.iter().zip(&self.colours).map(|(change, colour)| change / (change + HALF) + COLOURS * colour)
    }

    /// How far outward the step lies that speaks best, in pixels, with the change there.
    pub(super) fn best(&self) -> Option<(f64, f64)> {
        let best = self.evidence().enumerate().max_by(|a, b| a.1.total_cmp(&b.1))?.0;
        Some((self.shift(best), self.changes.get(best).copied()?))
    }

    /// How far outward a step lies, in pixels.
    fn shift(&self, step: usize) -> f64 {
        (step as f64 - 0.5 * (self.changes.len().saturating_sub(1)) as f64) * STEP_PX
    }

    /// The clearest edge within a pixel and a half of a step, to a fraction of a pixel; none where nothing changes there.
    fn edge(&self, picture: &Shades, step: usize) -> Option<Point> {
        let near = step.saturating_sub(NEAR_STEPS)..=step + NEAR_STEPS;
        let clear = self.changes.get(*near.start()..=(*near.end()).min(self.changes.len().saturating_sub(1)))?;
        let (best, change) = clear.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1))?;
        if *change < LEAST {
            return None;
        }
        let at = self.px + self.way * self.shift(near.start() + best);
        let (shift, _) = picture.edge_across(at, self.way, FINE_PX, 0)?;
        Some(at + self.way * shift)
    }
}

/// An edge belongs to a run that comes so near, in steps.
const NEAR_STEPS: usize = 3;
/// And is placed within so many pixels.
const FINE_PX: f64 = 1.5;

/// The best run through what speaks for each step, point by point, where points are so many pixels from the one before.
fn best_run(evidence: &[Vec<f64>], apart_px: &[f64]) -> Vec<usize> {
    let Some(states) = evidence.first().map(Vec::len) else { return Vec::new() };
    let mut sums = vec![0.0_f64; states];
    let mut from: Vec<Vec<usize>> = Vec::with_capacity(evidence.len());
    for (own, apart) in evidence.iter().zip(apart_px) {
        let cost = JUMP * STEP_PX * (JUMP_APART_PX / apart.max(1e-6)).min(1.0);
        let mut origin: Vec<usize> = (0..states).collect();
        let mut carried = sums.clone();
        for forward in [true, false] {
            let order: Vec<usize> = if forward { (1..states).collect() } else { (0..states.saturating_sub(1)).rev().collect() };
            for j in order {
                let k = if forward { j - 1 } else { j + 1 };
                if let (Some(&there), Some(&o)) = (carried.get(k), origin.get(k))
                    && let (Some(here), Some(to)) = (carried.get_mut(j), origin.get_mut(j))
                    && there - cost > *here
                {
                    (*here, *to) = (there - cost, o);
                }
            }
        }
        sums = carried.iter().zip(own).map(|(a, b)| a + b).collect();
        from.push(origin);
    }
    let mut at = sums.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1)).map_or(0, |(j, _)| j);
    let mut run = Vec::with_capacity(evidence.len());
    for origin in from.iter().rev() {
        run.push(at);
        at = origin.get(at).copied().unwrap_or(at);
    }
    run.reverse();
    run
}

/// Edges of the photograph along contacts of a contour that follow one another, by the run that speaks best on both sides together.
fn along(
    picture: &Shades,
    leaning: Option<&Leaning<'_>>,
    (view, axis): (&View, &Axis),
    contour: &Contour,
    contacts: &[Contact],
    reach_px: f64,
) -> (Vec<Point>, usize) {
    let across = |contact: Contact| -> Option<Across> {
        let (px, beyond) = (view.px(axis, contact.at)?, view.px(axis, contact.at + contact.normal * 0.5)?);
        let way = (beyond - px).normalize();
        way.is_finite().then(|| Across::of(picture, leaning, px, way, reach_px))
    };
    let both: Vec<[Across; 2]> =
        contacts.par_iter().with_min_len(8).filter_map(|contact| Some([across(contour.mirrored(contact))?, across(*contact)?])).collect();
    let evidence: Vec<Vec<f64>> =
        both.iter().map(|[left, right]| left.evidence().zip(right.evidence()).map(|(a, b)| a + b).collect()).collect();
    let apart = |pair: &[[Across; 2]]| if let [[_, a], [_, b]] = pair { (a.px - b.px).hypot() } else { 0.0 };
    let apart_px: Vec<f64> = std::iter::once(f64::INFINITY).chain(both.windows(2).map(apart)).collect();
    let run = best_run(&evidence, &apart_px);
    let found = both.iter().zip(run).flat_map(|(sides, step)| sides.iter().filter_map(move |side| side.edge(picture, step))).collect();
    (found, 2 * both.len())
}

/// Edges of the photograph along the outline of a solid, and at how many points they were sought.
pub(in super::super) fn along_run(
    picture: &Shades,
    leaning: &Leaning<'_>,
    placed: (&View, &Axis),
    contour: &Contour,
    reach_px: f64,
) -> (Vec<Point>, usize) {
    along(picture, Some(leaning), placed, contour, &contour.in_order(), reach_px)
}

/// Edges along the near edge of a mouth; none where too few of its points show one, as where the glaze inside is as bright as the edge.
pub(in super::super) fn along_mouth(picture: &Shades, placed: (&View, &Axis), contour: &Contour, reach_px: f64) -> Vec<Point> {
    let (found, sought) = along(picture, None, placed, contour, contour.mouth(), reach_px);
    if found.len() as f64 > MOUTH_SHARE * sought as f64 { found } else { Vec::new() }
}

/// A mouth's near edge is seen where so many of its points show one.
const MOUTH_SHARE: f64 = 0.7;
