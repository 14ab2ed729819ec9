//! A rim that its colours don't tell from what it lies on, white on pale or black on dark: by its edge alone.

use super::above::grain_px;
use super::cloth::Cloth;
use super::edge::{STATIONS, refine};
use super::fit::{Fitted, set};
use super::plane::Plane;
use super::seek::{Rim, cornered, rim};
use super::shape::Shape;
use crate::photo::camera::{Placed, median};
use crate::photo::card::Shades;
use kurbo::Point;
use rayon::prelude::*;

/// Middles that are tried lie so far apart, in mm: from anywhere in its inner half the line round a piece of 90 mm is found.
const APART_MM: f64 = 40.0;
/// How many of the lines found are looked at closely.
const MOST_TRIED: usize = 8;
/// How much they must look like a rim at least against the best of them: one of which half is hidden still does.
const LEAST_SHARE: f64 = 0.5;
/// Along so much of a rim its edge is seen, and scatters about the curve by no more than so many pixels as fine as the picture is. On rendered photographs that
/// colours had left untold, rims scattered by 0.13 to 0.16 pixels; what was drawn from grain, weave, shadows and shine by 1.5 or more, or it was seen along a
/// sixth of the way at most.
const LEAST_ON: f64 = 0.7;
const MOST_SCATTER_PX: f64 = 0.6;
/// A point that weighs so much in the fit lies on the curve.
const ON: f64 = 0.3;
/// Outside a curve another is looked for at these distances, in mm: a lid's flange and the step within it run side by side.
const OUTSIDE_MM: [f64; 6] = [4.0, 8.0, 12.0, 16.0, 20.0, 25.0];

/// What a rim is looked for in.
pub(super) struct ByEdge<'a> {
    pub(super) plane: &'a Plane,
    pub(super) cloth: &'a Cloth,
    pub(super) whole: &'a Shades,
    pub(super) placed: &'a Placed,
    pub(super) z_mm: f64,
    pub(super) covered: &'a (dyn Fn(Point) -> bool + Sync),
}

/// A curve along which the photograph shows an edge.
struct Seen {
    start: Fitted,
    shape: Shape,
    clear: f64,
}

/// Nearer to a rim than this there is no wider one, in mm: both would be the two sides of one edge.
const LEAST_BEYOND_MM: f64 = 2.5;
/// No piece has squarer corners than of this exponent; the squares of a check do.
const MOST_CORNERED: f64 = 10.0;
/// What lies between a band and the rim is of the piece: it differs from what lies within by no more than this, the three numbers together (of 255; on 60
/// rendered lids what was of the piece differed by 3, squares of a check by 90).
const MOST_UNLIKE: f64 = 20.0;

impl ByEdge<'_> {
    /// A curve, where an edge is seen nearly all round it.
    fn seen(&self, start: Fitted) -> Option<Seen> {
        let (refined, points) = refine(self.whole, self.placed, self.z_mm, &start, self.covered)?;
        let share = |each: f64| each / STATIONS as f64;
        let on = share(refined.weights.iter().filter(|w| **w > ON).count() as f64);
        let scatter = refined.scale * self.placed.px_per_mm(refined.shape.centre) / grain_px(&self.placed.lens);
        let clear = share(points.iter().zip(&refined.weights).map(|(p, w)| p.edge * w.min(1.0)).sum());
        (on > LEAST_ON && scatter < MOST_SCATTER_PX).then_some(Seen { start, shape: refined.shape, clear })
    }

    /// The rim about a curve that was taken for it: a band of decoration on a piece that hardly differs from the cloth is clearer than its rim. None where no edge
    /// is seen all round it, or where what lies between is not of the piece.
    pub(super) fn wider(&self, taken: &Shape) -> Option<(f64, Fitted)> {
        let Self { plane, cloth, covered, .. } = *self;
        let within = |mm: Point| covered(mm) || taken.beyond(mm) < LEAST_BEYOND_MM;
        let start = cornered(&rim(plane, &cloth.unasked(), &within, taken.centre)?);
        let Seen { start, shape, clear } = self.seen(start)?;
        let around = taken.points(60).iter().all(|p| shape.beyond(*p) < -0.5 * LEAST_BEYOND_MM);
        let unlike = median((0..60).filter_map(|i| {
            let angle = std::f64::consts::TAU * f64::from(i) / 60.0;
            let (rim, edge) = (shape.at(angle - shape.turn_rad), taken.at(angle - taken.turn_rad));
            let (between, inside) = (plane.at(rim.midpoint(edge))?, plane.at(taken.centre.lerp(edge, 0.8))?);
            Some(between.iter().zip(inside).map(|(a, b)| f64::from((a - b).abs())).sum::<f64>())
        }));
        (around && shape.exponent < MOST_CORNERED && unlike < MOST_UNLIKE).then_some((clear, start))
    }

    /// The outermost curve along which an edge is seen nearly all round, and how clear it is. None where there is none, or there are two beside one another.
    pub(super) fn outermost(&self) -> Option<(f64, Fitted)> {
        let Self { plane, cloth, covered, .. } = *self;
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
        let found: Vec<Seen> = distinct.par_iter().filter_map(|rim| self.seen(cornered(rim))).collect();
        let wider = |a: &Seen, b: &Seen| a.shape.a.total_cmp(&b.shape.a);
        let within = found.iter().max_by(|a, b| wider(a, b))?;
        if found.iter().any(|other| within.shape.distance(other.shape.centre).0 > 0.0) {
            return None;
        }
        let around: Vec<Seen> = OUTSIDE_MM
            .par_iter()
            .filter_map(|by| {
                let Shape { a, b, .. } = within.shape;
                self.seen(set(&Shape { a: a + by, b: b + by, ..within.shape })?)
            })
            .collect();
        let outermost = found.into_iter().chain(around).max_by(wider)?;
        Some((outermost.clear, outermost.start))
    }
}
