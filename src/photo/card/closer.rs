//! The card's edges looked at closely, once it is known to a pixel where they are.
//!
//! Where a card is seen aslant, its thickness shows along the far edges, a pixel or two broad, and the place where the colour changes most lies at the one step
//! or the other. How far they are apart is known from the camera, so both are fitted together to all that is seen along the edge.

use super::fit::{Beside, CardFit, Seen, size_at, solve};
use super::steps::{Across, Known, NUMBERS, STEP_PX, left, residuals, shares, shift_at};
use super::{CORNER_MM, Shades, Side, THICK_MM, corners_mm};
use crate::photo::camera::{Camera, Fit, Measured, Placed, Robust, least_squares, median, placed_at};
use kurbo::{Point, Vec2};
use nalgebra::{DVector, Point3};
use rayon::prelude::*;

/// Places looked at along an edge.
const STATIONS: usize = 40;
/// How far is looked beyond both steps, in pixels.
const BEYOND_PX: f64 = 3.5;
/// A step is spread over so many pixels (one standard deviation), and drawn over by the camera's sharpening by this share; with one standard deviation of each (our
/// own estimate for phones).
const SPREAD_PX: Measured = Measured::new(0.95, 0.35);
const SHARPENED: Measured = Measured::new(0.3, 0.4);
/// How far the spread and the sharpening of one edge may differ from those of the edge across the card, which shows no side.
const ALIKE: (f64, f64) = (0.08, 0.1);
/// Where less of the side shows, in pixels, the edge tells how steps are spread.
const HIDDEN_PX: f64 = 0.4;
/// How far an edge is seen beside its place, and turned at its ends, where none of the side shows, and how much more where a pixel or more of it does: one standard
/// deviation, in pixels (as on rendered cards with their truth).
const BESIDE_SD_PX: (f64, f64) = (0.04, 0.2);
const TURN_SD_PX: (f64, f64) = (0.04, 0.35);
/// Places that lie so far from the edge's own curve, in pixels, are not of it.
const FAR_PX: f64 = 1.5;

/// An edge that was looked at closely, in pixels of the picture that was looked at.
struct Edge {
    seen: Vec<Seen>,
    beside: Measured,
    turn_sd: f64,
    /// How steps are spread and sharpened there.
    step: (f64, f64),
}

impl CardFit {
    /// The same card by its edges looked at closely; as it is where they can't be told.
    #[must_use]
    pub(super) fn closer(self, whole: &Shades) -> Self {
        self.looked_at(whole).unwrap_or(self)
    }

    fn looked_at(&self, whole: &Shades) -> Option<Self> {
        let kept = &self.kept;
        let placed = placed_at(&kept.start, &kept.at);
        let beside_px: [f64; 4] = std::array::from_fn(|i| kept.at.get(11 + i).copied().unwrap_or(0.0) / whole.scale);
        let edges = edges(whole, &placed, size_at(&kept.at), beside_px);
        let mut sides = kept.sides;
        let mut seen = Vec::with_capacity(kept.seen.len());
        for (side, (edge, beside)) in edges.into_iter().zip(&mut sides).enumerate() {
            if let Some(edge) = edge {
                let px = Measured::new(edge.beside.value * whole.scale, edge.beside.sd * whole.scale);
                *beside = Beside { px, turn_sd_px: edge.turn_sd * whole.scale };
                seen.extend(edge.seen);
            } else {
                seen.extend(kept.seen.iter().filter(|s| s.side == side));
            }
        }
        let solved = solve(&kept.start, &kept.at, &seen, &kept.believed, &sides)?;
        let camera = Camera::new(kept.start, solved.at.clone(), solved.covariance.clone());
        let size = size_at(&solved.at);
        let corners = corners_mm().map(|p| camera.placed.project_plane(Point::new(p.x * size, p.y * size)));
        if corners.iter().any(|c| c.is_none_or(|px| !whole.holds(px))) {
            return None;
        }
        let measured = seen.len();
        let kept = super::again::Kept {
            residuals: solved.residuals.iter().take(measured).copied().collect(),
            weights: solved.weights.iter().take(measured).copied().collect(),
            scale_px: solved.scale,
            at: solved.at,
            seen,
            sides,
            ..kept.clone()
        };
        Some(Self { camera, corners_px: corners.map(Option::unwrap_or_default), residual_px: solved.scale, kept, ..self.clone() })
    }
}

/// The four edges, as far as they can be told; `beside_px` is how far each was seen beside its place.
fn edges(whole: &Shades, placed: &Placed, size: f64, beside_px: [f64; 4]) -> [Option<Edge>; 4] {
    let sides = Side::all().map(|side| across(whole, placed, size, &side));
    let white = white(&sides);
    let pairs: Vec<[Option<Edge>; 2]> = [[0, 2], [1, 3]]
        .into_par_iter()
        .map(|pair: [usize; 2]| {
            let places = pair.map(|i| sides.get(i).map(Vec::as_slice).unwrap_or_default());
            let beside = pair.map(|i| beside_px.get(i).copied().unwrap_or(0.0));
            let [a, b] = places.map(shows);
            let look = |n: usize, spread: Measured, sharpened: Measured| {
                let known = Known { white, noise: f64::INFINITY, spread, sharpened, near_px: 0.0 };
                told(places.get(n)?, *pair.get(n)?, *beside.get(n)?, known)
            };
            // The edge that shows less of its side tells how steps are spread along both: they run alike.
            let (first, second) = if a <= b { (0, 1) } else { (1, 0) };
            let one = look(first, SPREAD_PX, SHARPENED);
            let (spread, sharpened) = match &one {
                Some(edge) if a.min(b) < HIDDEN_PX => (Measured::new(edge.step.0, ALIKE.0), Measured::new(edge.step.1, ALIKE.1)),
                _ => (SPREAD_PX, SHARPENED),
            };
            let other = look(second, spread, sharpened);
            if first == 0 { [one, other] } else { [other, one] }
        })
        .collect();
    let mut pairs = pairs.into_iter();
    let [a, c] = pairs.next().unwrap_or_default();
    let [b, d] = pairs.next().unwrap_or_default();
    [a, b, c, d]
}

/// How much of its side an edge shows, in pixels.
fn shows(places: &[Across]) -> f64 {
    places.get(places.len() / 2).map_or(0.0, |a| a.side_px)
}

/// Linear light of a white thing near the card: the brightest hundredth of what is seen there is about as bright.
fn white(sides: &[Vec<Across>; 4]) -> [f64; 3] {
    std::array::from_fn(|k| {
        let mut all: Vec<f64> = sides.iter().flatten().filter_map(|a| a.light.get(k)).flatten().copied().collect();
        let high = all.len() * 99 / 100;
        if high < all.len() { all.select_nth_unstable_by(high, f64::total_cmp).1.clamp(0.1, 1.0) } else { 1.0 }
    })
}

/// What is seen across an edge, place by place. What is looked at is the mean along the edge from one place to the next.
fn across(whole: &Shades, placed: &Placed, size: f64, side: &Side) -> Vec<Across> {
    let at = |mm: Point, z: f64| placed.project(Point3::new(mm.x * size, mm.y * size, z));
    let straight = side.length - 2.0 * CORNER_MM - 1.6;
    (0..STATIONS)
        .filter_map(|n| {
            let share = (n as f64 + 0.5) / STATIONS as f64;
            let mm = side.at(CORNER_MM + 0.8 + share * straight);
            let (px, out, low) = (at(mm, 0.0)?, at(mm + side.outward, 0.0)?, at(mm, -THICK_MM)?);
            let next = at(mm + side.along * (straight / STATIONS as f64), 0.0)?;
            let broad = ((next - px).hypot() / whole.scale / 2.0) as i32;
            // Square on the edge as it is drawn in the picture, so that a mean along it stays on it.
            let run = (next - px).normalize();
            let across = Vec2::new(-run.y, run.x);
            let across = if across.dot(out - px) < 0.0 { -across } else { across };
            let side_px = (low - px).dot(across).max(0.0) / whole.scale;
            let count = ((side_px + 2.0 * BEYOND_PX) / STEP_PX).ceil() as usize + 1;
            let mut light = [const { Vec::new() }; 3];
            for at in (0..count).map(|i| px + across * ((i as f64 * STEP_PX - BEYOND_PX) * whole.scale)) {
                for (all, one) in light.iter_mut().zip(whole.light_along(at, across, broad.clamp(1, 8))) {
                    all.push(f64::from(one));
                }
            }
            whole.holds(px).then_some(Across { px, outward: across * whole.scale, along: share - 0.5, side_px, from_px: -BEYOND_PX, light })
        })
        .collect()
}

/// How far the samples of each place are from what they should be, and how far they usually are.
fn noise(places: &[Across], p: &DVector<f64>, known: &Known) -> (Vec<f64>, f64) {
    let even = vec![1.0; places.len()];
    let left = left(places, &even, p, &Known { noise: 0.01, ..*known }, false);
    let each: Vec<f64> = left
        .rows
        .iter()
        .map(|rows| {
            let n = rows.iter().map(Vec::len).sum::<usize>().max(1);
            (rows.iter().flatten().map(|r| r * r).sum::<f64>() / n as f64).sqrt()
        })
        .collect();
    let usual = median(each.iter().copied());
    (each, usual.max(5e-4))
}

/// All explanations of an edge that are found from several starts, with the weights of the places and what is then known.
fn explanations(places: &[Across], beside_px: f64, known: Known) -> Option<(Vec<Fit>, Vec<f64>, Known)> {
    let shows = shows(places);
    let steps = DVector::from_element(NUMBERS, 1e-3);
    let mut starts = vec![beside_px];
    if shows > HIDDEN_PX {
        starts.extend([beside_px - shows, beside_px - 0.5 * shows]);
    }
    let even = vec![1.0; places.len()];
    let first: Vec<(f64, Fit)> = starts
        .iter()
        .filter_map(|e| {
            let start = DVector::from_vec(vec![*e, 0.0, 0.0, known.spread.value, known.sharpened.value]);
            let known = Known { noise: noise(places, &start, &known).1, near_px: *e, ..known };
            least_squares(start, &steps, Robust::No, |p| residuals(places, &even, &known, p)).map(|fit| (*e, fit))
        })
        .collect();
    // Weights and noise are those of the best of them, so that they can be set against one another.
    let (each, usual) = first.iter().map(|(_, fit)| noise(places, &fit.at, &known)).min_by(|a, b| a.1.total_cmp(&b.1))?;
    let weights: Vec<f64> = each.iter().map(|own| (usual / own.max(usual)).powi(2)).collect();
    let known = Known { noise: usual, ..known };
    let again = first
        .into_iter()
        .filter_map(|(near_px, fit)| {
            let known = Known { near_px, ..known };
            least_squares(fit.at, &steps, Robust::No, |p| residuals(places, &weights, &known, p))
        })
        .filter(|fit| fit.at.get(0).is_some_and(|e| (e - beside_px).abs() < 2.0 + shows));
    let mut fits: Vec<Fit> = Vec::new();
    for fit in again {
        let place = |f: &Fit| f.at.get(0).copied().unwrap_or(0.0);
        if fits.iter().all(|f| (place(f) - place(&fit)).abs() > 0.05) {
            fits.push(fit);
        }
    }
    Some((fits, weights, known))
}

/// The edge by all explanations together. None where too little of it is seen.
fn told(places: &[Across], side: usize, beside_px: f64, known: Known) -> Option<Edge> {
    if places.len() < STATIONS / 2 {
        return None;
    }
    let (fits, weights, known) = explanations(places, beside_px, known)?;
    let explained: Vec<_> = fits.iter().map(|fit| left(places, &weights, &fit.at, &known, true)).collect();
    let shares = shares(&explained);
    let (mut mean, mut square) = (0.0, 0.0);
    for (fit, share) in fits.iter().zip(&shares) {
        let e = *fit.at.get(0)?;
        mean += share * e;
        square += share * (e * e + fit.covariance.get((0, 0)).copied()?.max(0.0));
    }
    let sd = (square - mean * mean).max(0.0).sqrt();
    let (best, _) = shares.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1))?;
    let (fit, left) = (fits.get(best)?, explained.get(best)?);
    let mut seen = Vec::with_capacity(places.len());
    for ((place, w), (rows, slopes)) in places.iter().zip(&weights).zip(left.rows.iter().zip(&left.slopes)) {
        let both = || rows.iter().flatten().zip(slopes.iter().flatten());
        let told: f64 = both().map(|(_, slope)| slope * slope).sum();
        let off = both().map(|(row, slope)| row * slope).sum::<f64>() / told;
        if told > 1e-9 && off.abs() < FAR_PX {
            let e = shift_at(&fit.at, place.along) + off;
            seen.push(Seen { px: place.px + place.outward * e, side, along: place.along, trust: told * w });
        }
    }
    if seen.len() < STATIONS / 2 {
        return None;
    }
    let mut trusts: Vec<f64> = seen.iter().map(|s| s.trust).collect();
    let high = trusts.len() * 3 / 4;
    let usual = trusts.select_nth_unstable_by(high, f64::total_cmp).1.max(1e-12);
    for s in &mut seen {
        s.trust = (s.trust / usual).min(1.0).sqrt();
    }
    let unsure = shows(places).min(1.0);
    let beside = Measured::new(*fit.at.get(0)? - mean, sd.hypot(BESIDE_SD_PX.0).hypot(BESIDE_SD_PX.1 * unsure));
    Some(Edge { seen, beside, turn_sd: TURN_SD_PX.0.hypot(TURN_SD_PX.1 * unsure), step: (*fit.at.get(3)?, *fit.at.get(4)?) })
}
