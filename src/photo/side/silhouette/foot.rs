//! Where the piece meets the table: the foot that the edges below speak for best as a whole.
//!
//! Shadow, cloth and glaze are hard to tell apart there point by point, but the near edge of a foot that stands on the table is an ellipse of which only the size is unknown,
//! and how the wall turns in to it. So some hundred feet are tried, and each is asked how much of its edge is seen.

use super::super::contour::{Contact, Contour};
use super::super::solid::Axis;
use super::super::view::View;
use super::edges::Leaning;
use crate::photo::card::Shades;
use kurbo::{Point, Vec2};
use rayon::prelude::*;

/// The wall is believed as it is from this share of the height up.
const BELIEVED_SHARE: f64 = 0.16;
/// And no lower than this, in mm.
const BELIEVED_MM: f64 = 7.0;
/// How far to either side of an edge the colours are compared, in pixels.
const BESIDE_PX: f64 = 2.0;
/// A change of colour of so much counts half.
const HALF: f64 = 9.0;

/// What colours count beside edges.
const COLOURS: f64 = 1.2;

/// What colours of the piece beyond an edge count against it.
const BEYOND: f64 = 1.0;

/// How the wall turns in to the foot, from the foot (0) to where it is believed (1): the share of the way outward.
const TURNS: [fn(f64) -> f64; 5] = [
    |t| (1.0 - (1.0 - (2.0 * t).min(1.0)).powi(2)).sqrt(),
    |t| t,
    |t| (t * (2.0 - t)).max(0.0).sqrt(),
    |t| ((t - 0.35) / 0.65).max(0.0),
    |t| {
        let t = ((t - 0.25) / 0.75).max(0.0);
        (t * (2.0 - t)).max(0.0).sqrt()
    },
];

/// The profile with the foot for which most is seen, standing at `table_mm` up the axis.
pub(in super::super) fn with_best_foot(
    picture: &Shades,
    leaning: &Leaning<'_>,
    (view, axis): (&View, &Axis),
    profile: &[(f64, f64)],
    table_mm: f64,
) -> Vec<(f64, f64)> {
    let Some(&(_, top)) = profile.last() else { return profile.to_vec() };
    let join = table_mm + ((top - table_mm) * BELIEVED_SHARE).max(BELIEVED_MM).min(0.6 * (top - table_mm).max(0.0));
    let above: Vec<(f64, f64)> = profile.iter().copied().filter(|p| p.1 > join).collect();
    let Some(wall) = profile.windows(2).find_map(|w| match *w {
        [a, b] if a.1 <= join && b.1 > join => Some(a.0 + (b.0 - a.0) * (join - a.1) / (b.1 - a.1)),
        _ => None,
    }) else {
        return profile.to_vec();
    };
    let mut feet = Vec::new();
    for share in 0..=38 {
        for turn in TURNS {
            feet.push((wall * (0.35 + 0.02 * f64::from(share)), turn, table_mm));
        }
    }
    let whole = |&(foot, turn, low): &(f64, fn(f64) -> f64, f64)| {
        let mut line: Vec<(f64, f64)> =
            (0..8).map(|k| f64::from(k) / 8.0).map(|t| (foot + (wall - foot) * turn(t), low + (join - low) * t)).collect();
        line.push((wall, join));
        line.extend(above.iter().copied());
        line
    };
    let eye = view.eye(axis);
    let score = |line: &Vec<(f64, f64)>| {
        let contour = Contour::new(eye, line, 0.0);
        seen(picture, Some(leaning), (view, axis), &contour, &contour.contacts().iter().filter(|c| c.piece < 8)).share()
    };
    let best = feet.par_iter().map(|foot| (score(&whole(foot)), foot)).max_by(|a, b| a.0.total_cmp(&b.0));
    best.map_or_else(|| profile.to_vec(), |(_, foot)| whole(foot))
}

/// How much is seen of an edge, and along how many pixels it was asked.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Seen {
    sum: f64,
    length: f64,
}

impl Seen {
    pub(super) fn share(self) -> f64 {
        if self.length > 0.0 { self.sum / self.length } else { 0.0 }
    }

    /// Of two edges together.
    pub(super) fn both(self, other: Self) -> f64 {
        Self { sum: self.sum + other.sum, length: self.length + other.length }.share()
    }
}

/// How much of the edge is seen at those points of a contour, on both sides. Without colours only how much it changes there tells.
pub(super) fn seen<'a>(
    picture: &Shades,
    leaning: Option<&Leaning<'_>>,
    (view, axis): (&View, &Axis),
    contour: &Contour,
    contacts: &(impl Iterator<Item = &'a Contact> + Clone),
) -> Seen {
    let mut seen = Seen::default();
    for side in [false, true] {
        let mut last: Option<Point> = None;
        for contact in contacts.clone() {
            let contact: Contact = if side { contour.mirrored(contact) } else { *contact };
            let (Some(px), Some(out)) = (view.px(axis, contact.at), view.px(axis, contact.at + contact.normal)) else {
                continue;
            };
            let weight = last.map_or(0.0, |l| (px - l).hypot().min(12.0));
            last = Some(px);
            let across = (out - px).normalize();
            let colours = leaning.map_or(0.0, |l| COLOURS * l.step(px, across) - BEYOND * l.beyond(px, across));
            seen.sum += weight * (edge(picture, px, across) + colours);
            seen.length += weight;
        }
    }
    seen
}

/// How much of an edge is seen at a place, 0 to 1.
pub(super) fn edge(picture: &Shades, px: Point, across: Vec2) -> f64 {
    let along = Vec2::new(-across.y, across.x);
    let mean = |by: f64| {
        let mut sum = [0.0_f64; 3];
        for beside in [-1.5, 0.0, 1.5] {
            for (s, v) in sum.iter_mut().zip(picture.at(px + across * by + along * beside)) {
                *s += f64::from(v) / 3.0;
            }
        }
        sum
    };
    let (inner, outer) = (mean(-BESIDE_PX), mean(BESIDE_PX));
    let change = inner.iter().zip(outer).map(|(a, b)| (a - b) * (a - b)).sum::<f64>().sqrt();
    change / (change + HALF)
}
