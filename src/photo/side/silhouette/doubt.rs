//! How far a part of the outline might as well lie outward or inward of where it was taken.
//!
//! A faint edge, the edge of a shadow beside it, a border painted round the rim: point by point a fit follows what is clearest, and its scatter says nothing of
//! what it might have followed instead. So the part is pushed outward and inward as a whole, and it is asked how well it would be seen there.

use super::super::contour::{Contact, Contour};
use super::super::solid::Axis;
use super::super::view::View;
use super::edges::Leaning;
use super::foot::edge;
use crate::photo::card::Shades;
use kurbo::{Point, Vec2};

/// How far a part is pushed, in pixels, and by which steps.
const REACH_PX: f64 = 9.0;
const STEP_PX: f64 = 0.5;
/// What colours count beside the change itself.
const COLOURS: f64 = 1.0;
/// What is seen worse by so much is less likely by e. A choice of this program: with it the ± held on rendered photographs, no source.
const TEMPER: f64 = 0.12;

/// By how many pixels those points of an outline that `counts` picks may lie outward or inward, one standard deviation. None where it picks hardly any.
pub(in super::super) fn doubt_px(
    picture: &Shades,
    leaning: &Leaning<'_>,
    (view, axis): (&View, &Axis),
    contour: &Contour,
    counts: impl Fn(&Contact) -> bool,
) -> Option<f64> {
    let both = |contact: &Contact| [contour.mirrored(contact), *contact];
    let places: Vec<(Point, Vec2)> = contour
        .contacts()
        .iter()
        .filter(|contact| counts(contact))
        .flat_map(both)
        .filter_map(|contact| {
            let (px, out) = (view.px(axis, contact.at)?, view.px(axis, contact.at + contact.normal * 0.5)?);
            let across = (out - px).normalize();
            across.is_finite().then_some((px, across))
        })
        .collect();
    if places.len() < 6 {
        return None;
    }
    let steps = (REACH_PX / STEP_PX) as i32;
    let seen_at = |by: f64| {
        let one = |(px, across): &(Point, Vec2)| {
            let at = *px + *across * by;
            edge(picture, at, *across) + COLOURS * leaning.step(at, *across)
        };
        places.iter().map(one).sum::<f64>() / places.len() as f64
    };
    let all: Vec<(f64, f64)> = (-steps..=steps).map(|i| f64::from(i) * STEP_PX).map(|by| (by, seen_at(by))).collect();
    let best = all.iter().map(|a| a.1).fold(f64::NEG_INFINITY, f64::max);
    let (mut sum, mut square) = (0.0, 0.0);
    for (by, seen) in &all {
        let p = ((seen - best) / TEMPER).exp();
        sum += p;
        square += p * by * by;
    }
    (sum > 0.0).then(|| (square / sum).sqrt())
}
