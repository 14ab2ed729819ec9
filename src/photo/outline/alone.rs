//! A rim that its colours don't tell from what it lies on, white on pale or black on dark: by its edge alone.

use super::above::grain_px;
use super::cloth::Cloth;
use super::edge::{STATIONS, refine};
use super::fit::{Fitted, set};
use super::plane::Plane;
use super::seek::{Rim, cornered, rim};
use super::shape::Shape;
use crate::photo::camera::Placed;
use crate::photo::card::Shades;
use kurbo::Point;
use rayon::prelude::*;

/// Middles that are tried lie so far apart, in mm: from anywhere in its inner half the line round a piece of 90 mm is found.
const APART_MM: f64 = 40.0;
/// How many of the lines found are looked at closely.
const MOST_TRIED: usize = 8;
/// How much they must look like a rim at least against the best of them: one of which half is hidden still does.
const LEAST_SHARE: f64 = 0.5;
/// Along so much of a rim its edge is seen, and scatters about the curve by no more than so many pixels as fine as the picture is. What is drawn from grain, weave,
/// shadows and shine scatters by 1.5 pixels or more, rims by a quarter (rendered photographs: of 44 lids told in this way alone none was anything else).
const LEAST_ON: f64 = 0.7;
const MOST_SCATTER_PX: f64 = 0.6;
/// A point that weighs so much in the fit lies on the curve.
const ON: f64 = 0.3;
/// Outside a curve another is looked for at these distances, in mm: a lid's flange and the step within it run side by side.
const OUTSIDE_MM: [f64; 6] = [4.0, 8.0, 12.0, 16.0, 20.0, 25.0];

/// A curve along which the photograph shows an edge.
struct Seen {
    start: Fitted,
    shape: Shape,
    clear: f64,
}

/// The outermost curve along which an edge is seen nearly all round, and how clear it is. None where there is none, or there are two beside one another.
pub(super) fn by_edge_alone(
    plane: &Plane,
    cloth: &Cloth,
    whole: &Shades,
    placed: &Placed,
    z_mm: f64,
    covered: &(dyn Fn(Point) -> bool + Sync),
) -> Option<(f64, Fitted)> {
    let by = (APART_MM / plane.cell_mm).max(1.0) as usize;
    let middles: Vec<Point> = (by / 2..plane.height)
        .step_by(by)
        .flat_map(|y| (by / 2..plane.width).step_by(by).map(move |x| (x, y)))
        .filter(|(x, y)| plane.cell(*x, *y).is_some())
        .map(|(x, y)| plane.middle(x, y))
        .filter(|mm| !covered(*mm))
        .collect();
    let cloth = cloth.unasked();
    let mut rims: Vec<Rim> = middles.par_iter().filter_map(|middle| rim(plane, &cloth, covered, *middle)).collect();
    rims.sort_by(|a, b| b.score.total_cmp(&a.score));
    let least = rims.first().map_or(0.0, |best| LEAST_SHARE * best.score);
    rims.retain(|rim| rim.score > least);
    let mut distinct: Vec<Rim> = Vec::new();
    for rim in rims {
        if distinct.len() < MOST_TRIED && distinct.iter().all(|t| t.differs(&rim)) {
            distinct.push(rim);
        }
    }
    let seen = |start: Fitted| {
        let (refined, points) = refine(whole, placed, z_mm, &start, covered)?;
        let share = |each: f64| each / STATIONS as f64;
        let on = share(refined.weights.iter().filter(|w| **w > ON).count() as f64);
        let scatter = refined.scale * placed.px_per_mm(refined.shape.centre) / grain_px(&placed.lens);
        let clear = share(points.iter().zip(&refined.weights).map(|(p, w)| p.edge * w.min(1.0)).sum());
        (on > LEAST_ON && scatter < MOST_SCATTER_PX).then_some(Seen { start, shape: refined.shape, clear })
    };
    let found: Vec<Seen> = distinct.par_iter().filter_map(|rim| seen(cornered(rim))).collect();
    let wider = |a: &Seen, b: &Seen| a.shape.a.total_cmp(&b.shape.a);
    let within = found.iter().max_by(|a, b| wider(a, b))?;
    if found.iter().any(|other| within.shape.distance(other.shape.centre).0 > 0.0) {
        return None;
    }
    let around: Vec<Seen> = OUTSIDE_MM
        .par_iter()
        .filter_map(|by| {
            let Shape { a, b, .. } = within.shape;
            seen(set(&Shape { a: a + by, b: b + by, ..within.shape })?)
        })
        .collect();
    let outermost = found.into_iter().chain(around).max_by(wider)?;
    Some((outermost.clear, outermost.start))
}
