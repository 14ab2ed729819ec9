//! From a fitted solid to what is said of the piece.

use super::capacity::{Capacity, LIFT_MM, Wall, brim_ml};
use super::error::SideError;
use super::fit::{FIRST_SCALE_MM, Fitted, Known, OF_AXIS, Table, fit_solid};
use super::rivals::contradicted;
use super::silhouette::radius_at;
use super::solid::Axis;
use crate::photo::camera::{Measured, Placed, Strays};
use crate::photo::card::CardFit;
use crate::say;
use kurbo::Point;
use nalgebra::Vector3;

/// How far an outline may be off as a whole, in pixels, one standard deviation: blur and shadow move an edge along its whole length. A choice of this
/// program, no source.
pub(super) const EDGE_SD_PX: f64 = 0.5;

/// And as a share of how far its points are off the solid. A choice of this program, no source.
pub(super) const EDGE_SHARE: f64 = 3.0;

/// A foot is rounded where it meets the table: its diameter is taken to within this share, one standard deviation. Our own estimate from rendered
/// photographs, no source.
pub(super) const FOOT_SHARE: f64 = 0.025;

/// A lip is rounded and may flare: the rim's diameter is taken to within this share, one standard deviation. Our own estimate from rendered
/// photographs, no source.
pub(super) const RIM_SHARE: f64 = 0.012;

/// The smallest standard deviation that is believed of a point of an outline, in pixels.
const LEAST_SD_PX: f64 = 0.3;

/// While the solid is fitted its foot stands on the table as nearly as this, in mm; what the table itself leaves unsure is added to the height's ±.
const TABLE_FIT_MM: f64 = 0.05;

/// An outline that is this far from its solid, as a share of the greatest diameter, is none of a solid of revolution. A choice of this program, no
/// source.
const WORST_SHARE: f64 = 0.02;

/// A width that nothing of the outline touches is taken to within this share of what smoothness makes of it, one standard deviation: it lies within
/// what is seen, and seldom at less than half of it. A choice of this program, no source.
const HIDDEN_SHARE: f64 = 0.2;

/// A capacity that is known no better than this (one standard deviation, as a share) is not told: with two of them a pint is still told from a pint and a half, and a
/// wall that nobody measured alone leaves a small piece a tenth. A choice of this program, no source.
pub(super) const WORST_CAPACITY: f64 = 0.15;

/// What every ± of the side view takes for granted. It is said wherever they are shown.
pub const TRUST: &str = "each ± takes the piece to be round, and its middle to stand within 3 mm of the card's plane";

/// What is given beside the outline.
#[derive(Debug, Clone, Copy)]
pub struct Given<'a> {
    /// The wall, for the capacity.
    pub wall: Wall,
    /// What the piece stands on, where that is known.
    pub table: Option<Table>,
    /// The edge of the rim.
    pub lip: Lip,
    /// The card that placed the camera: what it leaves unsure is added to each ±.
    pub card: Option<&'a CardFit>,
}

/// The edge of the rim.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lip {
    /// Rounded in a half circle as wide as the wall, as clay is finished with a wet finger or sponge (common practice, no source).
    Rounded,
    /// As sharp as turned metal.
    Sharp,
}

impl Lip {
    /// The radius of the edge on a wall of that thickness.
    fn radius_mm(self, wall_mm: f64) -> f64 {
        match self {
            Self::Rounded => 0.5 * wall_mm,
            Self::Sharp => 0.0,
        }
    }
}

/// Which side of the axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
pub enum At {
    /// Left of the axis in the picture.
    Left,
    /// Right of it.
    Right,
}

/// A part beside the solid that was left out: a handle, a spout, a lug.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct LeftOut {
    /// On which side.
    pub at: At,
    /// From which height in mm above the table.
    pub from_mm: f64,
    /// Up to which.
    pub to_mm: f64,
    /// How far it stands out from the solid, in mm.
    pub reach_mm: f64,
}

/// What was measured from the side, the top being taken to be open to its edge (else see [`SideMeasured::told`]). Lengths are millimetres.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct SideMeasured {
    /// From the table to the highest point. None where neither the foot is seen nor the table known, and where its ± says nothing.
    pub height: Option<Measured>,
    /// Diameter of the rim. None where the top is closed, as with a lid on, and where its ± says nothing.
    pub rim: Option<Measured>,
    /// Greatest diameter, without handle and spout.
    pub greatest: Measured,
    /// Diameter of the foot. None where the piece itself hides it or it cannot be told from its shadow.
    pub foot: Option<Measured>,
    /// Half profile as (radius, height above the table), from the foot up.
    pub profile_mm: Vec<(f64, f64)>,
    /// Standard deviation of each of its points, along the profile's normal. It is large where the piece itself hides the point.
    pub profile_sd_mm: Vec<f64>,
    /// What it holds to the brim. None where the top is closed, too much of the wall is hidden, or its ± says nothing.
    pub capacity: Option<Capacity>,
    /// Thickness of the wall that the capacity was worked out with.
    pub wall_mm: f64,
    /// Robust standard deviation of the outline about the solid.
    pub off_mm: f64,
    /// The axis in the card's plane: at the foot and at the top.
    pub axis_mm: [(f64, f64); 2],
    /// Parts that stand out from the solid, from the left to the right and from below.
    pub left_out: Vec<LeftOut>,
    /// What else should be known, each a sentence.
    pub notes: Vec<String>,
}

/// The camera is believed to stray so many times as far as the card alone says: points of an edge err together, and what is off by little at the card is off
/// by more beside it. Our own estimate from rendered photographs, no source.
const CARD_TIMES: f64 = 2.0;

/// How far before or behind the card's plane the axis may stand, one standard deviation in mm: a person sets the card beside the piece by eye, and one
/// picture does not tell. Our own estimate, no source.
pub(super) const BEFORE_MM: f64 = 3.0;

/// Card and piece stand on one table: the axis goes along the card's upright edges to within this, in radians, one standard deviation (half a
/// degree: pieces warp and tables are uneven; our own estimate, no source).
const UPRIGHT_SD_RAD: f64 = 0.01;

/// Lips are rounded off within this height (common practice, no source).
const LIP_MM: f64 = 3.0;

/// The numbers of one solid, in the order height, rim, greatest, foot, capacity.
pub(super) fn numbers(profile: &[(f64, f64)], seen: &[bool], wall_mm: f64, lip_mm: f64) -> [f64; 5] {
    let (low, high) = ends(profile);
    let of = |p: Option<&(f64, f64)>| 2.0 * p.map_or(0.0, |p| p.0);
    let widest = profile.iter().zip(seen).filter(|(_, seen)| **seen).map(|(p, _)| p.0).fold(0.0, f64::max);
    let told = |rim: f64| [high - low, rim, (2.0 * widest).max(rim), of(profile.first()), brim_ml(profile, wall_mm)];
    // A lip is rounded: the rim is as wide as it gets within a lip's height of the top, on a wall that leans inward as wide as its rounded edge.
    let lip: Vec<(f64, f64)> = profile.iter().copied().filter(|p| p.1 > high - LIP_MM).collect();
    let below = profile.windows(2).find_map(|w| match *w {
        [a, b] if a.1 <= high - LIP_MM && b.1 > high - LIP_MM => Some(a.0 + (b.0 - a.0) * (high - LIP_MM - a.1) / (b.1 - a.1)),
        _ => None,
    });
    let rim = 2.0 * lip.iter().map(|p| p.0).chain(below).fold(0.0, f64::max);
    if lip_mm > 0.0 {
        let leans = leans_in(profile, high - lip_mm);
        let edge = of(profile.last()) - 2.0 * lip_mm * (1.0 - 1.0 / 1.0_f64.hypot(leans));
        return told(edge.max(rim - 2.0 * LIP_MM * leans));
    }
    told(rim)
}

/// By how many mm a wall draws in for each mm that it rises, below a height; 0 where it does not.
fn leans_in(profile: &[(f64, f64)], below_mm: f64) -> f64 {
    match (radius_at(profile, below_mm - LEANS_OVER_MM), radius_at(profile, below_mm)) {
        (Some(low), Some(high)) => ((low - high) / LEANS_OVER_MM).max(0.0),
        _ => 0.0,
    }
}

/// Whether the wall leans in so far at the top that the line of sight runs along it: of a closed dome no more is seen than that either, and where it turns
/// away looks like a rim.
fn turns_away(fitted: &Fitted) -> bool {
    let (_, high) = ends(&fitted.profile);
    let eye = fitted.view.eye(&fitted.axis);
    let down_rad = (eye.y - high).atan2(eye.x.hypot(eye.z));
    let leans = leans_in(&fitted.profile, high - fitted.lip_mm().max(1.0));
    leans > 0.0 && (1.0 / leans).atan() < down_rad + TURNS_AWAY_RAD
}

/// Whether the wall leaves the foot so flat that the line of sight runs along it: what is seen then may as well be the wall's own edge a little over the table, with
/// a smaller foot behind it.
pub(super) fn turns_under(profile: &[(f64, f64)], eye: Vector3<f64>) -> bool {
    let Some(&(r, low)) = profile.first() else { return false };
    let down_rad = (eye.y - low).atan2(eye.x.hypot(eye.z) - r);
    let out = radius_at(profile, low + LEANS_OVER_MM).map_or(0.0, |above| above - r);
    out > 0.0 && LEANS_OVER_MM.atan2(out) < down_rad + TURNS_AWAY_RAD
}

/// A wall that rises by no more than this over the line of sight turns away from it, in radians: 7°, for what a fit is off there. A choice of this program, no
/// source.
const TURNS_AWAY_RAD: f64 = 0.12;

/// How far a wall must go on below a lip to say how it leans, in mm.
const LEANS_OVER_MM: f64 = 5.0;

fn ends(profile: &[(f64, f64)]) -> (f64, f64) {
    profile.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| (low.min(p.1), high.max(p.1)))
}

/// Measures the solid of revolution behind an outline: pixels along its edge in any order, with an axis and a half profile to start from.
///
/// # Errors
/// Where the wall cannot be, and as [`fit_solid`]; [`SideError::NoFit`] where the best solid does not go with the outline.
pub fn measure_outline(
    camera: &Placed,
    outline: &[Point],
    start: (Axis, &[(f64, f64)]),
    given: &Given<'_>,
) -> Result<(SideMeasured, Fitted), SideError> {
    given.wall.check()?;
    let fitted = fit_outline(camera, outline, start, given, None, FIRST_SCALE_MM)?;
    Ok((of_fitted(camera, outline, &fitted, given)?, fitted))
}

/// How many mm a pixel is at the middle of a piece.
pub(super) fn px_mm(camera: &Placed, axis: &Axis, profile: &[(f64, f64)]) -> f64 {
    let (low, high) = ends(profile);
    1.0 / camera.px_per_mm(axis.at(0.0, f64::midpoint(low, high))).max(1e-3)
}

/// The solid behind an outline, from a start that may be one fitted before; at first its points are believed to within `first_scale_mm`.
pub(super) fn fit_outline(
    camera: &Placed,
    outline: &[Point],
    start: (Axis, &[(f64, f64)]),
    given: &Given<'_>,
    before: Option<&Fitted>,
    first_scale_mm: f64,
) -> Result<Fitted, SideError> {
    let known = known(camera, start, given, before, first_scale_mm);
    fit_solid(camera, outline, start.0, start.1, &known)
}

/// What is known beforehand of a fit from there.
pub(super) fn known(
    camera: &Placed,
    start: (Axis, &[(f64, f64)]),
    given: &Given<'_>,
    before: Option<&Fitted>,
    first_scale_mm: f64,
) -> Known {
    Known {
        least_sd_mm: LEAST_SD_PX * px_mm(camera, &start.0, start.1),
        table: given.table.map(|t| Table { sd_mm: TABLE_FIT_MM, ..t }),
        strays: given.card.and_then(|card| Some(card.camera.strays()?.widened(CARD_TIMES))),
        stray: before.map_or([0.0; Strays::COUNT], Fitted::stray),
        upright: given.card.and(given.table).map(|table| (table.up, UPRIGHT_SD_RAD)),
        first_scale_mm,
        lip_mm: given.lip.radius_mm(given.wall.thickness_mm().value),
        mouth: Vec::new(),
    }
}

/// What a solid says of the piece.
pub(super) fn of_fitted(camera: &Placed, outline: &[Point], fitted: &Fitted, given: &Given<'_>) -> Result<SideMeasured, SideError> {
    let wall = given.wall.thickness_mm();
    let seen = fitted.seen();
    let got = numbers(&fitted.profile, &seen, wall.value, fitted.lip_mm());
    if fitted.scale_mm > WORST_SHARE * got[2].max(20.0) {
        return Err(SideError::NoFit { off_mm: fitted.scale_mm });
    }
    let edge = (EDGE_SD_PX * px_mm(camera, &fitted.axis, &fitted.profile)).hypot(EDGE_SHARE * fitted.scale_mm);
    let variances = variances(fitted, given, edge);
    let measured = |i: usize| Measured::new(got.get(i).copied().unwrap_or(0.0), variances.get(i).copied().unwrap_or(0.0).sqrt());
    let (low, _) = ends(&fitted.profile);
    let foot_seen = fitted.sees(0) && !turns_under(&fitted.profile, fitted.view.eye(&fitted.axis));
    let top_seen = fitted.sees(fitted.profile.len().saturating_sub(1));
    let dome = turns_away(fitted);
    let open = got[1] > 0.35 * got[2] && top_seen && !dome;
    let capacity = Some(measured(4)).filter(|ml| open && ml.sd <= WORST_CAPACITY * ml.value);
    let mut notes = Vec::new();
    if !foot_seen {
        notes.push(say!("the piece itself hides its foot (take the picture from lower down to measure it)").to_owned());
    }
    if dome {
        notes.push(
            say!("the wall leans in so far at the top that what looks like a rim may be a dome turning out of sight, so neither the rim nor a capacity can be told (take the picture from lower down)")
                .to_owned(),
        );
    } else if !open {
        notes.push(say!("the top is closed, so neither the rim nor a capacity can be told (take the lid off)").to_owned());
    } else if capacity.is_none() {
        notes.push(say!("too much of the wall is hidden for a capacity (take the picture from lower down)").to_owned());
    } else if given.wall == Wall::Usual {
        notes.push(usual_wall().to_owned());
    }
    let profile_mm: Vec<(f64, f64)> = fitted.profile.iter().map(|p| (p.0, p.1 - low)).collect();
    let top = fitted.axis.at(0.0, low + got[0]);
    let foot = fitted.axis.at(0.0, low);
    let result = SideMeasured {
        height: (foot_seen || given.table.is_some()).then(|| measured(0)),
        rim: open.then(|| measured(1)),
        greatest: measured(2),
        foot: foot_seen.then(|| measured(3)),
        profile_sd_mm: profile_sds(fitted, edge),
        capacity: capacity.map(|ml| Capacity { ml }),
        wall_mm: wall.value,
        off_mm: fitted.scale_mm,
        axis_mm: [(foot.x, foot.y), (top.x, top.y)],
        left_out: left_out(outline, fitted),
        notes,
        profile_mm,
    };
    Ok(result)
}

pub(super) fn usual_wall() -> &'static str {
    say!("the capacity is worked out with a wall of 5 mm, which is usual (measure the wall for a better one)")
}

/// Variances of the numbers: of the fit, of the whole edge moved out by what blur may do (`edge_mm`), of the camera, of what is hidden, of the wall.
fn variances(fitted: &Fitted, given: &Given<'_>, edge_mm: f64) -> [f64; 5] {
    let wall = given.wall.thickness_mm();
    let seen = fitted.seen();
    let numbers = |profile: &[(f64, f64)], wall_mm: f64| numbers(profile, &seen, wall_mm, fitted.lip_mm());
    let got = numbers(&fitted.profile, wall.value);
    let mut variances = of_parameters(fitted, wall.value, &got);
    let mut add = |other: [f64; 5]| {
        for (v, by) in variances.iter_mut().zip(other.iter().zip(&got).map(|(a, b)| a - b)) {
            *v += by * by;
        }
    };
    add(numbers(&moved_out(&fitted.profile, edge_mm), wall.value));
    add(numbers(&drawn_in(fitted), wall.value));
    let mut thicker = got;
    thicker[4] = numbers(&fitted.profile, wall.value + wall.sd)[4];
    add(thicker);
    let (floor_mm, lift) = (0.5 * got[3] - wall.value, LIFT_MM.sd);
    variances[4] += (std::f64::consts::PI * floor_mm * floor_mm * lift / 1000.0).powi(2);
    let table = given.table.map_or(0.0, |t| t.sd_mm);
    variances[0] += table * table;
    variances[1] += (RIM_SHARE * got[1]).powi(2);
    variances[3] += (FOOT_SHARE * got[3]).powi(2);
    // Nearer to the eye than the card's plane everything looks larger.
    if let Some(card) = given.card {
        let [up, across] = contradicted(&card.camera.placed, fitted);
        let nearer = BEFORE_MM / fitted.view.eye(&fitted.axis).z.abs().max(10.0 * BEFORE_MM);
        let shares = [up, across, across, across, up + 2.0 * across];
        for (((v, got), power), share) in variances.iter_mut().zip(&got).zip([1.0, 1.0, 1.0, 1.0, 3.0]).zip(shares) {
            *v += (power * nearer * got).powi(2) + (share * got).powi(2);
        }
    }
    variances
}

/// The profile with what is hidden drawn in by one standard deviation.
pub(super) fn drawn_in(fitted: &Fitted) -> Vec<(f64, f64)> {
    let one =
        |(i, p): (usize, &(f64, f64))| if fitted.sees(i) || !far_from_seen(fitted, i) { *p } else { (p.0 * (1.0 - HIDDEN_SHARE), p.1) };
    fitted.profile.iter().enumerate().map(one).collect()
}

/// Whether no point nearby is seen either: across a short gap smoothness is enough.
fn far_from_seen(fitted: &Fitted, knot: usize) -> bool {
    (knot.saturating_sub(GAP)..=knot + GAP).all(|k| !fitted.sees(k))
}

/// So many points of a profile on either side are near.
const GAP: usize = 2;

/// Standard deviation of each point of the profile along its normal.
fn profile_sds(fitted: &Fitted, edge_mm: f64) -> Vec<f64> {
    let mut variances = vec![edge_mm * edge_mm; fitted.profile.len()];
    for (i, (knot, _)) in fitted.moves.iter().enumerate() {
        if let Some(v) = variances.get_mut(*knot) {
            *v += fitted.covariance.get((i + OF_AXIS, i + OF_AXIS)).copied().unwrap_or(0.0);
        }
    }
    let hidden = |i: usize, r: f64| if fitted.sees(i) || !far_from_seen(fitted, i) { 0.0 } else { HIDDEN_SHARE * r };
    variances.iter().zip(&fitted.profile).enumerate().map(|(i, (v, p))| v.sqrt().hypot(hidden(i, p.0))).collect()
}

/// Variances of the numbers from the covariance of the parameters, by their slopes.
fn of_parameters(fitted: &Fitted, wall_mm: f64, got: &[f64; 5]) -> [f64; 5] {
    const STEP_MM: f64 = 0.1;
    let seen = fitted.seen();
    let slopes: Vec<[f64; 5]> = fitted
        .moves
        .iter()
        .map(|(knot, way)| {
            let mut profile = fitted.profile.clone();
            if let Some(p) = profile.get_mut(*knot) {
                *p = ((p.0 + way.0 * STEP_MM).max(0.0), p.1 + way.1 * STEP_MM);
            }
            let there = numbers(&profile, &seen, wall_mm, fitted.lip_mm());
            std::array::from_fn(|k| (there.get(k).copied().unwrap_or(0.0) - got.get(k).copied().unwrap_or(0.0)) / STEP_MM)
        })
        .collect();
    std::array::from_fn(|k| {
        let slope = |i: usize| slopes.get(i).and_then(|s| s.get(k)).copied().unwrap_or(0.0);
        let mut variance = 0.0;
        for i in 0..slopes.len() {
            for j in 0..slopes.len() {
                variance += slope(i) * slope(j) * fitted.covariance.get((i + OF_AXIS, j + OF_AXIS)).copied().unwrap_or(0.0);
            }
        }
        variance.max(0.0)
    })
}

/// The profile pushed outward by so many mm.
pub(super) fn moved_out(profile: &[(f64, f64)], by_mm: f64) -> Vec<(f64, f64)> {
    let last = profile.len().saturating_sub(1);
    profile
        .iter()
        .enumerate()
        .map(|(i, &(r, h))| {
            let (a, c) = (profile.get(i.saturating_sub(1)), profile.get((i + 1).min(last)));
            let (Some(a), Some(c)) = (a, c) else { return (r, h) };
            let length = (c.0 - a.0).hypot(c.1 - a.1).max(1e-9);
            let upright = if i == 0 {
                -by_mm
            } else if i == last {
                by_mm
            } else {
                0.0
            };
            (
                (r + by_mm * (c.1 - a.1) / length).max(0.0),
                h - by_mm * (c.0 - a.0) / length * f64::from(u8::from(i != 0 && i != last)) + upright,
            )
        })
        .collect()
}

/// Runs of the outline that stand out from the solid.
fn left_out(outline: &[Point], fitted: &Fitted) -> Vec<LeftOut> {
    let (low, high) = ends(&fitted.profile);
    let far = (5.0 * fitted.scale_mm).max(2.5);
    let mut sides: [Vec<(f64, f64)>; 2] = [Vec::new(), Vec::new()];
    for (px, off) in outline.iter().zip(&fitted.off_mm).filter(|(_, off)| **off > far) {
        let Some(sight) = fitted.view.sight(&fitted.axis, *px) else { continue };
        let t = -sight.eye.z / sight.ray.z;
        let at = sight.eye + sight.ray * t;
        let [left, right] = &mut sides;
        if at.x * sight.eye.z < 0.0 { left } else { right }.push((at.y - low, *off));
    }
    let mut parts = Vec::new();
    for (mut points, at) in sides.into_iter().zip([At::Left, At::Right]) {
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        let gap = 0.08 * (high - low);
        for run in points.chunk_by(|a, b| b.0 - a.0 <= gap) {
            let (Some(first), Some(last)) = (run.first(), run.last()) else { continue };
            if run.len() >= 5 && last.0 - first.0 > 3.0 {
                let reach_mm = run.iter().map(|p| p.1).fold(0.0, f64::max);
                parts.push(LeftOut { at, from_mm: first.0, to_mm: last.0, reach_mm });
            }
        }
    }
    parts
}
