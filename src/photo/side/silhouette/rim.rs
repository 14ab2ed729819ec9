//! Where a piece ends above: the rim that far edge, sides and near edge speak for best as a whole.
//!
//! At the ends of a rim's ellipse its edge is often the faintest of all, and a solid that cuts them off goes on being fitted to itself. But the wall below says
//! how it goes on, and a rim is an ellipse of which two numbers are unknown. So some are tried, and each is asked how much of it is seen.

use super::super::contour::Contour;
use super::super::measure::Others;
use super::super::solid::Axis;
use super::super::view::View;
use super::edges::Leaning;
use super::foot::{Scored, Seen, Turn, others, radius_at, seen};
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
/// How the wall goes on to the rim, from where it is believed (0) to the rim (1): the share of the way outward.
const TURNS: [Turn; 4] = [|t| t, |t| t * t, |t| t * (2.0 - t), |t| ((t - 0.5) / 0.5).max(0.0)];
/// Points of the profile from there up.
const POINTS: u32 = 8;
/// What is seen must be more by so much for another rim to be taken.
const BETTER: f64 = 0.02;
/// What a rim counts less by for each share that it is narrower than the wall below it goes on to: a pot may be cut off along the shine of its lip, and few draw
/// in at the very last. A choice of this program, from rendered photographs.
const DRAWN_IN: f64 = 3.0;

/// The rims that are tried on a profile.
struct Rims<'a> {
    profile: &'a [(f64, f64)],
    rim: f64,
    top: f64,
    /// From where on the wall is not believed, and its radius there.
    join: f64,
    wall: f64,
    /// The radius of the rim if the wall goes on to it as it comes.
    straight: f64,
    /// By how much the eye looks down on the rim, up over along.
    rise: f64,
    lip_mm: f64,
}

/// How many times as wide as the one there is, how much higher, and how the wall goes on to it.
type Rim = (f64, f64, Turn);

impl<'a> Rims<'a> {
    fn of((view, axis): (&View, &Axis), profile: &'a [(f64, f64)], lip_mm: f64) -> Option<Self> {
        let (&(_, low), &(rim, top)) = (profile.first()?, profile.last()?);
        let join = top - ((top - low) * BELIEVED_SHARE).max(BELIEVED_MM).min(0.4 * (top - low).max(0.0));
        let wall = radius_at(profile, join)?;
        let below = radius_at(profile, join - (top - join)).unwrap_or(wall);
        let straight = wall + (wall - below).clamp(-wall, wall);
        let eye = view.eye(axis);
        Some(Self { profile, rim, top, join, wall, straight, rise: (eye.y - top) / eye.x.hypot(eye.z).max(1e-6), lip_mm })
    }

    /// Of every width, on a wall that goes straight on or turns out late.
    fn coarse() -> Vec<Rim> {
        let widths = (0..STEPS).map(|k| NARROWEST + STEP * f64::from(k));
        widths.flat_map(|wide| TURNS.iter().take(2).map(move |turn| (wide, 0.0, *turn))).collect()
    }

    /// The far edge stays where it is seen.
    fn whole(&self, (wide, higher, turn): Rim) -> Vec<(f64, f64)> {
        let (r, h) = (self.rim * wide, self.top - self.rim * (wide - 1.0) * self.rise + higher);
        let mut line: Vec<(f64, f64)> = self.profile.iter().copied().filter(|p| p.1 < self.join).collect();
        let up = (0..=POINTS).map(|k| f64::from(k) / f64::from(POINTS));
        line.extend(up.map(|t| (self.wall + (r - self.wall) * turn(t), self.join + (h - self.join) * t)));
        line
    }

    /// How much is seen of far edge, sides and near edge.
    fn score(&self, picture: &Shades, leaning: &Leaning<'_>, placed: (&View, &Axis), line: &[(f64, f64)]) -> f64 {
        let (view, axis) = placed;
        let contour = Contour::new(view.eye(axis), line, self.lip_mm);
        let from = line.iter().position(|p| p.1 >= self.join).unwrap_or(0);
        let outer = seen(picture, Some(leaning), placed, &contour, &contour.contacts().iter().filter(|c| c.piece >= from));
        let rim = line.last().map_or(self.straight, |p| p.0);
        let drawn_in = (1.0 - rim / self.straight.max(1e-6)).max(0.0);
        Seen::both(outer, seen(picture, None, placed, &contour, &contour.mouth().iter())) - DRAWN_IN * drawn_in
    }

    fn scored(&self, picture: &Shades, leaning: &Leaning<'_>, placed: (&View, &Axis), tried: Vec<Rim>) -> Vec<(f64, Rim)> {
        let one = |rim: Rim| {
            let line = self.whole(rim);
            let rises = line.windows(2).all(|w| if let [a, b] = w { b.1 >= a.1 } else { true });
            rises.then(|| (self.score(picture, leaning, placed, &line), rim))
        };
        tried.into_par_iter().filter_map(one).collect()
    }
}

/// The profile with the rim for which most is seen.
pub(in super::super) fn with_best_rim(
    picture: &Shades,
    leaning: &Leaning<'_>,
    placed: (&View, &Axis),
    profile: &[(f64, f64)],
    lip_mm: f64,
) -> Vec<(f64, f64)> {
    let Some(rims) = Rims::of(placed, profile, lip_mm) else { return profile.to_vec() };
    let best_of = |tried| rims.scored(picture, leaning, placed, tried).into_iter().max_by(|a, b| a.0.total_cmp(&b.0));
    let Some((_, (wide, ..))) = best_of(Rims::coarse()) else { return profile.to_vec() };
    let fine = [-STEP, 0.0, STEP]
        .into_iter()
        .flat_map(|by| HIGHER_MM.into_iter().flat_map(move |higher| TURNS.map(|turn| (wide + by, higher, turn))));
    match best_of(fine.collect()) {
        Some((best, one)) if best > rims.score(picture, leaning, placed, profile) + BETTER => rims.whole(one),
        _ => profile.to_vec(),
    }
}

/// What other rims that are seen nearly as well say, where lip and wall are so thick.
pub(in super::super) fn other_rims(
    picture: &Shades,
    leaning: &Leaning<'_>,
    placed: (&View, &Axis),
    profile: &[(f64, f64)],
    (lip_mm, wall_mm): (f64, f64),
) -> Others {
    let Some(rims) = Rims::of(placed, profile, lip_mm) else { return Others::default() };
    let whole = |(score, rim): (f64, Rim)| Scored { score, radius_mm: rims.rim * rim.0, profile: rims.whole(rim) };
    others(rims.rim, profile, wall_mm, rims.scored(picture, leaning, placed, Rims::coarse()).into_iter().map(whole).collect())
}
