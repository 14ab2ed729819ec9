//! How far all of a rim may lie beside where it was seen.
//!
//! A lens blurs light; a program that smooths a picture or makes it smaller blurs the numbers of the file, and the middle of an edge then lies nearer to its
//! bright side. Which of both made an edge soft is not seen from the edge, so what lies between both middles is carried on in the ±. The card's edges are moved
//! in the same way, and with them the scale.

use super::above::edge_sd_px;
use super::edge::{BROAD, RimPoint};
use super::shape::Shape;
use crate::photo::camera::{Placed, median};
use crate::photo::card::{CORNER_MM, LONG_MM, SHORT_MM, Shades, Side};
use kurbo::{Point, Vec2};
use nalgebra::{Point3, Vector3};

/// Places looked at along each edge of the card, and of how many points of a rim one is looked at.
const PLACES: usize = 16;
const ONE_OF: usize = 3;
/// Where an edge is as likely to lie at the one place as at the other, it lies so much of the way between both beside the first: the root of its mean square.
const EITHER: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// One standard deviation of it in mm. `points` with their weights lie on `shape`; `beside_card` where the scale is a card's.
pub(super) fn edge_sd_mm(whole: &Shades, placed: &Placed, z_mm: f64, shape: &Shape, points: &[(&RimPoint, f64)], beside_card: bool) -> f64 {
    let per_mm = placed.px_per_mm(shape.centre).max(1e-6);
    let mean = (shape.a * shape.b).sqrt();
    let rim = median(points.iter().step_by(ONE_OF).filter(|(_, weight)| *weight > 0.2).filter_map(|(point, _)| {
        let normal = shape.normal(shape.distance(point.mm).1);
        between(whole, placed, Point3::new(point.mm.x, point.mm.y, z_mm), normal)
    }));
    let card = if beside_card { longer_by(whole, placed) } else { 0.0 };
    // By the numbers the rim lies so much further out, and the card is so much longer.
    let smoothed_mm = (rim / per_mm - card * mean).abs();
    (edge_sd_px(&placed.lens) / per_mm).max(EITHER * smoothed_mm)
}

/// By how many pixels the edge at a place lies further along a direction if its middle is taken in the numbers of the file.
fn between(whole: &Shades, placed: &Placed, mm: Point3<f64>, outward: Vec2) -> Option<f64> {
    let px = placed.project(mm)?;
    let out = placed.project(mm + Vector3::new(outward.x, outward.y, 0.0))? - px;
    whole.holds(px).then(|| whole.further_by_numbers(px, out.normalize(), BROAD))
}

/// By what share the card is longer if its edges are taken in the numbers of the file.
fn longer_by(whole: &Shades, placed: &Placed) -> f64 {
    let edge = |side: Side| {
        let straight = side.length - 2.0 * CORNER_MM;
        let places = (0..PLACES).map(move |i| side.at(CORNER_MM + straight * (i as f64 + 0.5) / PLACES as f64));
        places.filter_map(move |mm| between(whole, placed, Point3::new(mm.x, mm.y, 0.0), side.outward))
    };
    let outward = median(Side::all().into_iter().flat_map(edge));
    // Both ends move, over a length between that of its two sides.
    2.0 * outward / (placed.px_per_mm(Point::ZERO) * (LONG_MM * SHORT_MM).sqrt())
}
