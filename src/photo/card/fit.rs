//! What the card says of the camera: its place, focal length and distortion, from all points of the four edges together.

use super::again::Kept;
use super::find::misses;
use super::{CORNER_MM, CardError, LONG_MM, SHORT_MM, Shades, Side, THICK_MM, corners_mm};
use crate::photo::camera::{Believed, CENTRE_SD, Camera, Measured, Placed, Robust, least_squares, placed_at};
use kurbo::{Point, Vec2};
use nalgebra::{DVector, Vector3};
use std::cell::RefCell;

/// The camera's, then ln size of the card, and of each of the four edges how far it is seen beside where it is, how far its middle is seen bowed out, and how
/// far its ends are seen turned.
const PARAMETERS: usize = Camera::NUMBERS + 13;
/// Cards in use differ from the standard's size by this share (± 0.13 mm of 85.6; unused ones 85.47–85.72 mm, from memory).
const SIZE_SD: f64 = 0.0015;
/// An edge is seen beside its place by blur, bevel and shadow (our own estimate, in pixels).
const EDGE_SD_PX: f64 = 0.2;
/// An edge is seen bowed by as much: a card is not quite flat, and what lies beside it draws the eye (our own estimate, in pixels).
const BOW_SD_PX: f64 = 0.12;
/// An edge is seen turned by as much at its ends (our own estimate, in pixels).
const TURN_SD_PX: f64 = 0.15;
/// What was believed beforehand (focal length, distortion, middle, size, edges) is left by no more than this many of its standard deviations.
const UNBELIEVED: f64 = 4.0;
/// Points of an edge scatter by at least so many pixels.
const LEAST_SCATTER_PX: f64 = 0.12;
/// An edge is not seen at a point that lies so many times the scatter beside it: where hardly anything changes, what changes most is grain, and lies anywhere within
/// reach. As it has little trust, the fit alone would not say so. (Of 370 rendered photographs five more cards are found with it, and one less is wrong.)
const GRAIN_LIES: f64 = 8.0;
/// How many of them there are: how edges are turned is not among them.
const BELIEVED: usize = 13;
/// The last of them say how edges are bowed.
const BOWS: usize = 4;
/// One edge may be seen bowed by so many standard deviations, a pixel, until it is looked at closely: where a pattern or a shadow touches it, the clearest change of
/// colour is not the edge's own all along.
const AT_FIRST_BOWED: f64 = 8.0;
/// Of the thickness that is seen, so much is taken for the card's face, and one standard deviation of that (our own estimate from rendered cards).
const THICK_SHARE: f64 = 0.5;
const THICK_SD_SHARE: f64 = 0.3;
/// Points looked at on each edge.
const STATIONS: usize = 120;
/// Where edge points scatter by more than so many pixels of the picture about their lines, edges are averaged over so many pixels to either side along
/// them: grain is a third of what it was, the edge as sharp.
const GRAINY_PX: f64 = 0.25;
const BROAD: i32 = 3;
/// Points looked at on each edge while cards are still sought.
const FEW: usize = 24;

/// A camera placed by a card.
#[derive(Debug, Clone)]
pub struct CardFit {
    /// The camera, with all that the card leaves unsure.
    pub camera: Camera,
    /// The four virtual corners in pixels, in the order of [`corners_mm`].
    pub corners_px: [Point; 4],
    /// Share of edge points that lie on the edges, 0 to 1.
    pub edges_seen: f64,
    /// The same of the edge that is seen least.
    pub weakest_edge: f64,
    /// Robust standard deviation of the edge points about the edges, in pixels.
    pub residual_px: f64,
    /// Whether the corners are rounded as a card's are: the edges end before they meet.
    pub rounded: bool,
    /// Share of the edges' lines just past the corners along which the same edge goes on: print and woven lines do that, a card does not.
    pub goes_on: f64,
    /// What it was fitted to.
    pub(super) kept: Kept,
}

impl CardFit {
    /// How much speaks for it, to set one find against another.
    pub(super) fn standing(&self) -> f64 {
        (self.edges_seen + self.weakest_edge) / (1.0 + self.residual_px) - self.goes_on
    }

    /// Whether an edge is seen bowed more than a card's can be.
    pub(super) fn is_bowed(&self) -> bool {
        let bows = self.kept.at.as_slice().get(15..19).unwrap_or_default();
        bows.iter().any(|px| px.abs() > UNBELIEVED * BOW_SD_PX)
    }

    /// Relative standard deviation of a length in the card's plane beside the card: 0.003 is 0.3 mm on 100 mm.
    pub fn scale_sd(&self) -> f64 {
        let [a, b, ..] = self.corners_px;
        self.camera
            .spread(|placed| Some(vec![(placed.on_plane(a, 0.0)? - placed.on_plane(b, 0.0)?).hypot() / LONG_MM]))
            .and_then(|c| c.get((0, 0)).copied())
            .map_or(f64::INFINITY, f64::sqrt)
    }
}

pub(super) fn size_at(p: &DVector<f64>) -> f64 {
    p.get(10).copied().unwrap_or(0.0).exp()
}

/// How far an edge is seen beside its place.
#[derive(Debug, Clone, Copy)]
pub(super) struct Beside {
    /// In its middle, in pixels of the photograph.
    pub(super) px: Measured,
    /// One standard deviation of how far its ends are seen turned, in pixels.
    pub(super) turn_sd_px: f64,
}

/// One point seen on an edge.
#[derive(Debug, Clone, Copy)]
pub(super) struct Seen {
    pub(super) px: Point,
    pub(super) side: usize,
    /// Where along the side, −0.5 to 0.5.
    pub(super) along: f64,
    /// How strong the edge is there against the rest of the side, 0 to 1: beside a weak one lies something like the card.
    pub(super) trust: f64,
}

/// The camera by a card whose corners are about there (in the order of [`corners_mm`], or turned by half).
///
/// # Errors
/// [`CardError`], in whose message stands what to do.
pub fn fit(whole: &Shades, believed: &Believed, corners_px: [Point; 4]) -> Result<CardFit, CardError> {
    let first = by_edges(whole, believed, corners_px)?;
    let bowed = first.is_bowed();
    let closer = first.closer(whole);
    if bowed && closer.is_bowed() { Err(CardError::NotACard) } else { Ok(closer) }
}

/// The same by where the colour changes most across each edge, which is not looked at closely.
pub(super) fn by_edges(whole: &Shades, believed: &Believed, corners_px: [Point; 4]) -> Result<CardFit, CardError> {
    fit_by(whole, believed, corners_px, &[(2.2, FEW), (1.2, STATIONS), (0.8, STATIONS)])
}

/// The same by a few points: quick enough to try many corners.
pub(super) fn rough(whole: &Shades, believed: &Believed, corners_px: [Point; 4]) -> Result<CardFit, CardError> {
    fit_by(whole, believed, corners_px, &[(2.0, FEW)])
}

fn fit_by(whole: &Shades, believed: &Believed, corners_px: [Point; 4], passes: &[(f64, usize)]) -> Result<CardFit, CardError> {
    if corners_px.iter().any(|p| !whole.holds(*p)) {
        return Err(CardError::CutOff);
    }
    let long_px = f64::midpoint((corners_px[1] - corners_px[0]).hypot(), (corners_px[2] - corners_px[3]).hypot());
    if misses(believed, corners_px).is_none_or(|miss| miss > 0.06) {
        return Err(CardError::NotACard);
    }
    if long_px < 120.0 {
        return Err(CardError::TooSmall { long_px });
    }
    // The straight lines through the given corners may miss the edges by a few pixels at first.
    let start = homed(Placed::from_four(believed.lens, corners_mm(), corners_px).ok_or(CardError::NotACard)?, believed, corners_px);
    let sides = sides_seen(&start);
    let mut at = DVector::zeros(PARAMETERS);
    let mut done = None;
    let mut broad = 0;
    for &(reach_mm, stations) in passes {
        let seen = look(whole, &placed_at(&start, &at), reach_mm, stations, broad);
        if seen.len() < stations {
            return Err(CardError::EdgesUnseen { percent: 100.0 * seen.len() as f64 / (4 * stations) as f64 });
        }
        let solved = solve(&start, &at, &seen, believed, &sides).ok_or(CardError::NotACard)?;
        at.copy_from(&solved.at);
        broad = if solved.scale > GRAINY_PX * whole.scale { BROAD } else { 0 };
        done = Some((solved, seen, stations));
    }
    let (solved, seen, stations) = done.ok_or(CardError::NotACard)?;
    // A camera that no one has: the four lines are not a card's.
    let priors: Vec<f64> = solved.residuals.iter().skip(seen.len()).take(BELIEVED).map(|r| r.abs()).collect();
    let (others, bows) = priors.split_at(BELIEVED - BOWS);
    let bowed = bows.iter().filter(|r| **r > UNBELIEVED).count();
    if others.iter().any(|r| *r > UNBELIEVED) || bowed > 1 || bows.iter().any(|r| *r > AT_FIRST_BOWED) {
        return Err(CardError::NotACard);
    }
    let placed = placed_at(&start, &at);
    let far_px = GRAIN_LIES * solved.scale.max(LEAST_SCATTER_PX);
    let residuals = solved.residuals.iter().zip(solved.weights.iter());
    let on_edge = seen.iter().zip(residuals).filter(|(s, (off, weight))| **weight > 0.3 && off.abs() < far_px * s.trust);
    let mut on = [0_usize; 4];
    for (s, _) in on_edge {
        if let Some(on) = on.get_mut(s.side) {
            *on += 1;
        }
    }
    let edges_seen = on.iter().sum::<usize>() as f64 / (4 * stations) as f64;
    let weakest_edge = on.iter().map(|on| *on as f64 / stations as f64).fold(1.0, f64::min);
    let px = |p: Point| placed.project_plane(Point::new(p.x * size_at(&at), p.y * size_at(&at)));
    let [a, b, c, d] = corners_mm().map(px);
    let corners_px = [a, b, c, d].map(Option::unwrap_or_default);
    if corners_px.iter().any(|p| !whole.holds(*p)) {
        return Err(CardError::CutOff);
    }
    if edges_seen < 0.35 {
        return Err(CardError::EdgesUnseen { percent: 100.0 * edges_seen });
    }
    let allowed = 1.0_f64.max(0.004 * long_px);
    if solved.scale > allowed {
        return Err(CardError::NotFlat { residual_px: solved.scale });
    }
    let rounded = is_rounded(whole, &placed);
    let kept = Kept {
        start,
        at: at.clone(),
        residuals: solved.residuals.iter().take(seen.len()).copied().collect(),
        weights: solved.weights.iter().take(seen.len()).copied().collect(),
        scale_px: solved.scale,
        seen,
        believed: *believed,
        sides,
    };
    Ok(CardFit {
        kept,
        camera: Camera::new(start, at, solved.covariance),
        corners_px,
        edges_seen,
        weakest_edge,
        residual_px: solved.scale,
        rounded,
        goes_on: goes_on(whole, &placed),
    })
}

/// The place whose edges lie on the given corners (the nearest rotation alone may miss them).
fn homed(start: Placed, believed: &Believed, corners_px: [Point; 4]) -> Placed {
    let step = DVector::from_element(7, 1e-5);
    let grown = |p: &DVector<f64>| {
        let mut all = DVector::zeros(Camera::NUMBERS);
        for (to, x) in all.iter_mut().zip(p.iter()) {
            *to = *x;
        }
        placed_at(&start, &all)
    };
    let fit = least_squares(DVector::zeros(7), &step, Robust::No, |p| {
        let placed = grown(p);
        let mut rows = Vec::with_capacity(9);
        for (mm, px) in corners_mm().iter().zip(&corners_px) {
            let miss = placed.project_plane(*mm).map_or(Vec2::new(1e6, 1e6), |q| q - *px);
            rows.extend([miss.x, miss.y]);
        }
        rows.push(p.get(6).copied().unwrap_or(0.0) / believed.ln_focal_sd);
        DVector::from_vec(rows)
    });
    fit.map_or(start, |fit| grown(&fit.at))
}

/// Points of the four edges, as far as something is seen there.
fn look(whole: &Shades, placed: &Placed, reach_mm: f64, stations: usize, broad: i32) -> Vec<Seen> {
    let mut seen = Vec::with_capacity(4 * stations);
    for (side, own) in Side::all().iter().enumerate() {
        for n in 0..stations {
            // Past the rounded corners the edge is straight.
            let mm = own.at(CORNER_MM + 0.8 + (n as f64 + 0.5) / stations as f64 * (own.length - 2.0 * CORNER_MM - 1.6));
            let (Some(px), Some(out)) = (placed.project_plane(mm), placed.project_plane(mm + own.outward)) else { continue };
            let scale = (out - px).hypot();
            let across = (out - px) / scale;
            if !(whole.holds(px) && scale > 0.2) {
                continue;
            }
            if let Some((shift, change)) = whole.edge_across(px, across, (reach_mm * scale).max(2.5), broad)
                && change > 1.5
            {
                let along = (n as f64 + 0.5) / stations as f64 - 0.5;
                seen.push(Seen { px: px + across * shift, side, along, trust: change });
            }
        }
        let mut changes: Vec<f64> = seen.iter().filter(|s| s.side == side).map(|s| s.trust).collect();
        let high = changes.len() * 3 / 4;
        if high < changes.len() {
            let usual = *changes.select_nth_unstable_by(high, f64::total_cmp).1;
            for s in seen.iter_mut().filter(|s| s.side == side) {
                s.trust = (s.trust / (0.7 * usual)).min(1.0).powi(2);
            }
        }
    }
    seen
}

/// How far each edge is seen beside its place, in pixels: where the card's thickness can be seen, its lower edge may be taken for the upper.
fn sides_seen(placed: &Placed) -> [Beside; 4] {
    [(0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)].map(|(x, y)| {
        let upper = nalgebra::Point3::new(x * LONG_MM / 2.0, y * SHORT_MM / 2.0, 0.0);
        let lower = nalgebra::Point3::new(upper.x, upper.y, -THICK_MM);
        let out = nalgebra::Point3::new(upper.x + x, upper.y + y, 0.0);
        let shift = || {
            let (a, b, c) = (placed.project(upper)?, placed.project(lower)?, placed.project(out)?);
            Some((b - a).dot((c - a).normalize()).max(0.0))
        };
        let shift = shift().unwrap_or(0.0);
        Beside { px: Measured::new(THICK_SHARE * shift, EDGE_SD_PX.hypot(THICK_SD_SHARE * shift)), turn_sd_px: TURN_SD_PX }
    })
}

/// All parameters by all points.
pub(super) fn solve(
    start: &Placed,
    at: &DVector<f64>,
    seen: &[Seen],
    believed: &Believed,
    sides: &[Beside; 4],
) -> Option<crate::photo::camera::Fit> {
    let misses = Misses::new(start, seen);
    least_squares(at.clone(), &steps(), Robust::Tukey { n: seen.len(), least: LEAST_SCATTER_PX }, |p| {
        let mut rows = misses.px(p);
        rows.extend(priors(start, p, believed, sides));
        DVector::from_vec(rows)
    })
}

/// By how much each parameter is moved to see what that does.
pub(super) fn steps() -> DVector<f64> {
    DVector::from_fn(PARAMETERS, |i, _| if i >= 11 { 1e-3 } else { 1e-6 })
}

/// By how many pixels points lie outward of their edges, for one camera after the other. What the last one tells of this is kept: where a fit asks what each
/// parameter does, most of them leave the lens as it is, and half of them the whole camera.
pub(super) struct Misses<'a> {
    start: &'a Placed,
    seen: &'a [Seen],
    per_mm: f64,
    last: RefCell<Last>,
}

/// The camera's numbers, of each point where its pixel looks, and where that is in the card's plane.
#[derive(Default)]
struct Last {
    camera: Vec<f64>,
    slopes: Vec<Vec2>,
    mm: Vec<Option<Point>>,
}

impl<'a> Misses<'a> {
    pub(super) fn new(start: &'a Placed, seen: &'a [Seen]) -> Self {
        Self { start, seen, per_mm: start.px_per_mm(Point::ZERO), last: RefCell::default() }
    }

    /// In pixels, times the trust in each.
    pub(super) fn px(&self, p: &DVector<f64>) -> Vec<f64> {
        let mut last = self.last.borrow_mut();
        let camera = p.as_slice().get(..Camera::NUMBERS).unwrap_or_default();
        if last.camera != camera {
            let placed = placed_at(self.start, p);
            // The first six of them are its place.
            if last.camera.get(6..) != camera.get(6..) {
                last.slopes = self.seen.iter().map(|s| placed.lens.slope(s.px)).collect();
            }
            let (eye, back) = (placed.eye_mm(), placed.pose.rotation.inverse());
            let onto = |slope: &Vec2| {
                let ray = back * Vector3::new(slope.x, slope.y, 1.0);
                let reach = -eye.z / ray.z;
                (reach.is_finite() && reach > 0.0).then(|| Point::new(eye.x + reach * ray.x, eye.y + reach * ray.y))
            };
            last.mm = last.slopes.iter().map(onto).collect();
            last.camera = camera.to_vec();
        }
        let n = |i: usize| p.get(i).copied().unwrap_or(0.0);
        let size = n(10).exp();
        let miss = |(s, mm): (&Seen, &Option<Point>)| {
            let beside = n(11 + s.side) + n(15 + s.side) * (1.0 - 8.0 * s.along * s.along) + n(19 + s.side) * 2.0 * s.along;
            let Some(mm) = mm else { return 1e3 };
            let miss = match s.side {
                0 => mm.y - size * SHORT_MM / 2.0,
                1 => mm.x - size * LONG_MM / 2.0,
                2 => -mm.y - size * SHORT_MM / 2.0,
                _ => -mm.x - size * LONG_MM / 2.0,
            };
            (miss * self.per_mm - beside) * s.trust
        };
        self.seen.iter().zip(&last.mm).map(miss).collect()
    }
}

/// How far the parameters are from what was believed beforehand, in standard deviations.
pub(super) fn priors(start: &Placed, p: &DVector<f64>, believed: &Believed, sides: &[Beside; 4]) -> Vec<f64> {
    let n = |i: usize| p.get(i).copied().unwrap_or(0.0);
    let mut rows = vec![
        (n(6) + (start.lens.focal_px / believed.lens.focal_px).ln()) / believed.ln_focal_sd,
        (start.lens.k1 + n(7) - believed.lens.k1) / believed.k1_sd,
        n(8) / CENTRE_SD,
        n(9) / CENTRE_SD,
        n(10) / SIZE_SD,
    ];
    rows.extend(sides.iter().enumerate().map(|(i, beside)| (n(11 + i) - beside.px.value) / beside.px.sd));
    rows.extend((15..19).map(|i| n(i) / BOW_SD_PX));
    rows.extend(sides.iter().enumerate().map(|(i, beside)| n(19 + i) / beside.turn_sd_px));
    rows
}

/// How much of the lines of the four edges, from 2 to 9 mm past the corners, is crossed by the same change of colour as the edges themselves.
pub(super) fn goes_on(whole: &Shades, placed: &Placed) -> f64 {
    let (mut on, mut all) = (0.0, 0.0_f64);
    for side in Side::all() {
        let length = side.length;
        let step = |reach: f64| {
            let mm = side.at(reach);
            let (a, b) = (placed.project_plane(mm - side.outward * 0.8)?, placed.project_plane(mm + side.outward * 0.8)?);
            if !(whole.holds(a) && whole.holds(b)) {
                return None;
            }
            let (a, b) = (whole.at(a), whole.at(b));
            Some(Vector3::from_iterator(a.iter().zip(b).map(|(a, b)| f64::from(b - a))))
        };
        let own: Vec<Vector3<f64>> =
            (0..40).filter_map(|i| step(CORNER_MM + (f64::from(i) + 0.5) / 40.0 * (length - 2.0 * CORNER_MM))).collect();
        if own.is_empty() {
            continue;
        }
        let mean = own.iter().sum::<Vector3<f64>>() / own.len() as f64;
        for i in 0..8 {
            let past = 2.0 + f64::from(i);
            for reach in [-past, length + past] {
                if let Some(found) = step(reach) {
                    all += 1.0;
                    on += f64::from(u8::from(found.dot(&mean) > 0.4 * mean.norm_squared()));
                }
            }
        }
    }
    on / all.max(1.0)
}

/// Whether at least three corners are cut by the arc of a card: the edge on the diagonal lies inside the virtual corner, where a square's would not.
fn is_rounded(whole: &Shades, placed: &Placed) -> bool {
    let inset = CORNER_MM * (std::f64::consts::SQRT_2 - 1.0);
    let rounded = corners_mm()
        .iter()
        .filter(|corner| {
            let diagonal = Vec2::new(corner.x.signum(), corner.y.signum()) / std::f64::consts::SQRT_2;
            let on_arc = **corner - diagonal * inset;
            let (Some(px), Some(out)) = (placed.project_plane(on_arc), placed.project_plane(on_arc + diagonal)) else { return false };
            let scale = (out - px).hypot();
            whole
                .edge_across(px, (out - px) / scale, 1.6 * scale, 0)
                .is_some_and(|(shift, change)| change > 1.0 && shift.abs() < 0.75 * scale)
        })
        .count();
    rounded >= 3
}
