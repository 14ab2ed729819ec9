//! Where a piece ends above: the rim that far edge, sides and near edge speak for best as a whole.
//!
//! At the ends of a rim's ellipse its edge is often the faintest of all, and a solid that cuts them off goes on being fitted to itself. But the wall below says
//! how it goes on, and a rim is an ellipse of which two numbers are unknown. So some are tried, and each is asked how much of it is seen.

use super::super::contour::Contour;
use super::super::solid::Axis;
use super::super::view::View;
use super::edges::Leaning;
use super::foot::{Seen, seen};
use crate::photo::card::Shades;
use rayon::prelude::*;

/// The wall is believed as it is up to this share of the height below the top.
const BELIEVED_SHARE: f64 = 0.14;
/// And to no less than this below it, in mm.
const BELIEVED_MM: f64 = 8.0;
/// Rims are tried so many times as wide as the one there is, from and to, and by which steps.
const NARROWEST: f64 = 0.88;
const STEP: f64 = 0.01;
const STEPS: u32 = 30;
/// And so much higher or lower than its far edge is seen, in mm.
const HIGHER_MM: [f64; 3] = [-0.8, 0.0, 0.8];
/// How a wall goes on: the share of the way outward by the share of the way up.
type Turn = fn(f64) -> f64;
/// How the wall goes on to the rim, from where it is believed (0) to the rim (1): the share of the way outward.
const TURNS: [Turn; 4] = [|t| t, |t| t * t, |t| t * (2.0 - t), |t| ((t - 0.5) / 0.5).max(0.0)];
/// Points of the profile from there up.
const POINTS: u32 = 8;
/// What is seen must be more by so much for another rim to be taken.
const BETTER: f64 = 0.02;

/// The profile with the rim for which most is seen.
pub(in super::super) fn with_best_rim(
    picture: &Shades,
    leaning: &Leaning<'_>,
    (view, axis): (&View, &Axis),
    profile: &[(f64, f64)],
    lip_mm: f64,
) -> Vec<(f64, f64)> {
    let (Some(&(_, low)), Some(&(rim, top))) = (profile.first(), profile.last()) else { return profile.to_vec() };
    let join = top - ((top - low) * BELIEVED_SHARE).max(BELIEVED_MM).min(0.4 * (top - low).max(0.0));
    let below: Vec<(f64, f64)> = profile.iter().copied().filter(|p| p.1 < join).collect();
    let Some(wall) = profile.windows(2).find_map(|w| match *w {
        [a, b] if a.1 <= join && b.1 > join => Some(a.0 + (b.0 - a.0) * (join - a.1) / (b.1 - a.1)),
        _ => None,
    }) else {
        return profile.to_vec();
    };
    let eye = view.eye(axis);
    let rise = (eye.y - top) / eye.x.hypot(eye.z).max(1e-6);
    let whole = |(wide, higher, turn): (f64, f64, Turn)| {
        // The far edge stays where it is seen.
        let (r, h) = (rim * wide, top - rim * (wide - 1.0) * rise + higher);
        let mut line = below.clone();
        line.extend((0..=POINTS).map(|k| f64::from(k) / f64::from(POINTS)).map(|t| (wall + (r - wall) * turn(t), join + (h - join) * t)));
        line
    };
    let score = |line: &[(f64, f64)]| {
        let contour = Contour::new(eye, line, lip_mm);
        let from = line.iter().position(|p| p.1 >= join).unwrap_or(0);
        let outer = seen(picture, Some(leaning), (view, axis), &contour, &contour.contacts().iter().filter(|c| c.piece >= from));
        let inner = seen(picture, None, (view, axis), &contour, &contour.mouth().iter());
        Seen::both(outer, inner)
    };
    let best_of = |tried: Vec<(f64, f64, Turn)>| {
        let scored = tried.into_par_iter().filter_map(|one| {
            let line = whole(one);
            let rises = line.windows(2).all(|w| if let [a, b] = w { b.1 >= a.1 } else { true });
            rises.then(|| (score(&line), one))
        });
        scored.max_by(|a, b| a.0.total_cmp(&b.0))
    };
    let coarse = (0..STEPS).map(|k| NARROWEST + STEP * f64::from(k)).flat_map(|wide| [TURNS[0], TURNS[1]].map(|turn| (wide, 0.0, turn)));
    let Some((_, (wide, ..))) = best_of(coarse.collect()) else { return profile.to_vec() };
    let fine = [-STEP, 0.0, STEP]
        .into_iter()
        .flat_map(|by| HIGHER_MM.into_iter().flat_map(move |higher| TURNS.map(|turn| (wide + by, higher, turn))));
    match best_of(fine.collect()) {
        Some((best, one)) if best > score(profile) + BETTER => whole(one),
        _ => profile.to_vec(),
    }
}
