//! From a fitted solid to what is said of the piece.

use super::capacity::{Capacity, Wall, brim_ml};
use super::error::SideError;
use super::fit::{Fitted, fit_solid};
use super::solid::Axis;
use crate::photo::camera::{Measured, Placed};
use kurbo::Point;
use rand::{Rng as _, SeedableRng as _};

/// How far an outline may be off as a whole, in pixels, one standard deviation: blur and shadow move an edge along its whole length. A choice of this
/// program, no source.
const EDGE_SD_PX: f64 = 0.3;

/// An outline that is this far from its solid, as a share of the greatest diameter, is none of a solid of revolution. A choice of this program, no
/// source.
const WORST_SHARE: f64 = 0.02;

/// Thickness of the wall, and cameras for the ±.
#[derive(Debug, Clone)]
pub struct SideOptions {
    /// The wall, for the capacity.
    pub wall: Wall,
    /// The camera moved by one standard deviation in each direction that is independent of the others; what changes is added to each ±.
    pub cameras_one_sd_off: Vec<Placed>,
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

/// What was measured from the side. Lengths are millimetres.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct SideMeasured {
    /// From the table to the highest point.
    pub height: Measured,
    /// Diameter of the rim. None where the top is closed, as with a lid on.
    pub rim: Option<Measured>,
    /// Greatest diameter, without handle and spout.
    pub greatest: Measured,
    /// Diameter of the foot.
    pub foot: Measured,
    /// Half profile as (radius, height above the table), from the foot up.
    pub profile_mm: Vec<(f64, f64)>,
    /// Standard deviation of the profile along its normal, the mean over its points.
    pub profile_sd_mm: f64,
    /// What it holds to the brim. None where the top is closed.
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

/// The numbers of one solid, in the order height, rim, greatest, foot, capacity.
fn numbers(profile: &[(f64, f64)], wall_mm: f64) -> [f64; 5] {
    let (low, high) = ends(profile);
    let of = |p: Option<&(f64, f64)>| 2.0 * p.map_or(0.0, |p| p.0);
    let greatest = 2.0 * profile.iter().map(|p| p.0).fold(0.0, f64::max);
    [high - low, of(profile.last()), greatest, of(profile.first()), brim_ml(profile, wall_mm)]
}

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
    options: &SideOptions,
) -> Result<(SideMeasured, Fitted), SideError> {
    if let Wall::Mm(given) = options.wall
        && !(0.5..=50.0).contains(&given)
    {
        return Err(SideError::Wall { given });
    }
    let px_mm = |axis: &Axis, profile: &[(f64, f64)]| {
        let (low, high) = ends(profile);
        1.0 / camera.px_per_mm(axis.at(0.0, f64::midpoint(low, high))).max(1e-3)
    };
    let least = 0.15 * px_mm(&start.0, start.1);
    let fitted = fit_solid(camera, outline, start.0, start.1, least)?;
    let wall = options.wall.thickness_mm();
    let got = numbers(&fitted.profile, wall.value);
    if fitted.scale_mm > WORST_SHARE * got[2].max(20.0) {
        return Err(SideError::NoFit { off_mm: fitted.scale_mm });
    }
    let mut variances = of_parameters(&fitted, wall.value, &got);
    // The whole edge moved out by what blur may do.
    let edge = EDGE_SD_PX * px_mm(&fitted.axis, &fitted.profile);
    for (v, by) in variances.iter_mut().zip(numbers(&moved_out(&fitted.profile, edge), wall.value).iter().zip(&got).map(|(a, b)| a - b)) {
        *v += by * by;
    }
    for other in &options.cameras_one_sd_off {
        if let Ok(again) = fit_solid(other, outline, fitted.axis, &fitted.profile, least) {
            for (v, by) in variances.iter_mut().zip(numbers(&again.profile, wall.value).iter().zip(&got).map(|(a, b)| a - b)) {
                *v += by * by;
            }
        }
    }
    let thicker = numbers(&fitted.profile, wall.value + 0.2)[4];
    variances[4] += ((thicker - got[4]) / 0.2 * wall.sd).powi(2);
    let measured = |i: usize| Measured::new(got.get(i).copied().unwrap_or(0.0), variances.get(i).copied().unwrap_or(0.0).sqrt());
    let (low, _) = ends(&fitted.profile);
    let open = got[1] > 0.35 * got[2];
    let mut notes = Vec::new();
    if open && options.wall == Wall::Usual {
        notes.push("the capacity is worked out with a wall of 5 mm, which is usual (measure the wall for a better one)".to_owned());
    }
    if !open {
        notes.push("the top is closed, so neither the rim nor a capacity can be told (take the lid off)".to_owned());
    }
    let profile_mm: Vec<(f64, f64)> = fitted.profile.iter().map(|p| (p.0, p.1 - low)).collect();
    let top = fitted.axis.at(0.0, low + got[0]);
    let foot = fitted.axis.at(0.0, low);
    let moved: f64 = (2..fitted.covariance.nrows()).filter_map(|i| fitted.covariance.get((i, i))).sum();
    let sd = (moved / fitted.moves.len().max(1) as f64).sqrt().hypot(edge);
    let result = SideMeasured {
        height: measured(0),
        rim: open.then(|| measured(1)),
        greatest: measured(2),
        foot: measured(3),
        profile_sd_mm: sd,
        capacity: open.then(|| Capacity { ml: measured(4) }),
        wall_mm: wall.value,
        off_mm: fitted.scale_mm,
        axis_mm: [(foot.x, foot.y), (top.x, top.y)],
        left_out: left_out(camera, outline, &fitted),
        notes,
        profile_mm,
    };
    Ok((result, fitted))
}

/// Variances of the numbers from the covariance of the parameters, by their slopes.
fn of_parameters(fitted: &Fitted, wall_mm: f64, got: &[f64; 5]) -> [f64; 5] {
    const STEP_MM: f64 = 0.1;
    let slopes: Vec<[f64; 5]> = fitted
        .moves
        .iter()
        .map(|(knot, way)| {
            let mut profile = fitted.profile.clone();
            if let Some(p) = profile.get_mut(*knot) {
                *p = ((p.0 + way.0 * STEP_MM).max(0.0), p.1 + way.1 * STEP_MM);
            }
            let there = numbers(&profile, wall_mm);
            std::array::from_fn(|k| (there.get(k).copied().unwrap_or(0.0) - got.get(k).copied().unwrap_or(0.0)) / STEP_MM)
        })
        .collect();
    std::array::from_fn(|k| {
        let slope = |i: usize| slopes.get(i).and_then(|s| s.get(k)).copied().unwrap_or(0.0);
        let mut variance = 0.0;
        for i in 0..slopes.len() {
            for j in 0..slopes.len() {
                variance += slope(i) * slope(j) * fitted.covariance.get((i + 2, j + 2)).copied().unwrap_or(0.0);
            }
        }
        variance.max(0.0)
    })
}

/// The profile pushed outward by so many mm.
fn moved_out(profile: &[(f64, f64)], by_mm: f64) -> Vec<(f64, f64)> {
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
fn left_out(camera: &Placed, outline: &[Point], fitted: &Fitted) -> Vec<LeftOut> {
    let (low, high) = ends(&fitted.profile);
    let far = (5.0 * fitted.scale_mm).max(2.5);
    let mut sides: [Vec<(f64, f64)>; 2] = [Vec::new(), Vec::new()];
    for (px, off) in outline.iter().zip(&fitted.off_mm).filter(|(_, off)| **off > far) {
        let sight = fitted.axis.sight(camera, *px);
        let t = -sight.eye.z / sight.ray.z;
        let at = sight.eye + sight.ray * t;
        let [left, right] = &mut sides;
        if at.x < 0.0 { left } else { right }.push((at.y - low, *off));
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

/// Standard deviations of height, greatest diameter and foot by a bootstrap over runs of the outline, to check the worked-out ones against: the outline
/// is drawn anew, `rounds` times, from runs of ten points. The same seed gives the same.
///
/// # Errors
/// As [`fit_solid`].
pub fn bootstrap(camera: &Placed, outline: &[Point], fitted: &Fitted, rounds: usize, seed: u64) -> Result<[f64; 3], SideError> {
    const RUN: usize = 10;
    let mut dice = rand_chacha::ChaCha8Rng::seed_from_u64(seed);
    let mut got: Vec<[f64; 5]> = Vec::with_capacity(rounds);
    for _ in 0..rounds {
        let mut drawn = Vec::with_capacity(outline.len() + RUN);
        while drawn.len() < outline.len() && !outline.is_empty() {
            let from = dice.random_range(0..outline.len());
            drawn.extend(outline.iter().cycle().skip(from).take(RUN).copied());
        }
        let again = fit_solid(camera, &drawn, fitted.axis, &fitted.profile, fitted.scale_mm * 0.5)?;
        got.push(numbers(&again.profile, 5.0));
    }
    let sd = |k: usize| {
        let of: Vec<f64> = got.iter().filter_map(|g| g.get(k).copied()).collect();
        let mean = of.iter().sum::<f64>() / of.len().max(1) as f64;
        (of.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (of.len().saturating_sub(1)).max(1) as f64).sqrt()
    };
    Ok([sd(0), sd(2), sd(3)])
}
