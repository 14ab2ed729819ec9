//! A piece measured from the side again and again: see [`crate::photo`]'s bootstrap.
//!
//! The outline is drawn anew from runs of itself, what the card leaves unsure of the camera is drawn too, and the solid is fitted again. What no outline shows
//! (how far the axis stands before the card, how a lip is rounded, how thick the wall is) is drawn from what is believed of it.

use super::capacity::{LIFT_MM, Wall};
use super::error::SideError;
use super::fit::{FIRST_SCALE_MM, Fitted, Known, Table, fit_solid};
use super::measure::SideSeen;
use super::measured::{BEFORE_MM, EDGE_SD_PX, EDGE_SHARE, FOOT_SHARE, Given, Lip, RIM_SHARE, drawn_in, known, moved_out, numbers, px_mm};
use crate::photo::Progress;
use crate::photo::bootstrap::{dice, normal, spread};
use crate::photo::camera::{Placed, Strays};
use crate::photo::card::CardFit;
use kurbo::Point;
use rand::Rng as _;
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;
use serde::Serialize;

/// Runs of so many points of an outline are drawn together.
const RUN: usize = 10;
/// A start that is fitted already is believed to within so many mm.
const NEAR_MM: f64 = 1.0;

/// What came of measuring a piece from the side again and again: standard deviations. None where the number itself is not told.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SideAgain {
    /// How many rounds gave a solid.
    pub rounds: usize,
    /// Of the height, in mm.
    pub height_sd_mm: Option<f64>,
    /// Of the rim, in mm.
    pub rim_sd_mm: Option<f64>,
    /// Of the greatest diameter, in mm.
    pub max_sd_mm: f64,
    /// Of the foot, in mm.
    pub foot_sd_mm: Option<f64>,
    /// Of the capacity, in ml.
    pub capacity_sd_ml: Option<f64>,
}

/// What a measurement was made of, kept for another.
#[derive(Debug, Clone)]
pub(super) struct Kept {
    pub(super) fitted: Fitted,
    pub(super) table: Table,
    pub(super) wall: Wall,
    pub(super) mouth: Vec<Point>,
}

impl SideSeen {
    /// Measures the piece `rounds` times again; the same seed gives the same. What other outlines would say, and how far a part of the outline might lie
    /// elsewhere, is not in it: that stands in the ± of the measurement alone.
    ///
    /// # Errors
    /// [`SideError::NoFit`] where half the rounds gave no solid, [`SideError::Stopped`].
    pub fn again(&self, card: &CardFit, rounds: usize, seed: u64, progress: &Progress) -> Result<SideAgain, SideError> {
        let one = |round: usize| {
            if progress.is_cancelled() {
                return None;
            }
            self.once(card, &mut dice(seed, round))
        };
        let all: Vec<[f64; 5]> = (0..rounds).into_par_iter().filter_map(one).collect();
        if progress.is_cancelled() {
            return Err(SideError::Stopped);
        }
        if 2 * all.len() < rounds || all.len() < 2 {
            return Err(SideError::NoFit { off_mm: self.measured.off_mm });
        }
        let [height, rim, greatest, foot, capacity] = spreads(&all);
        let m = &self.measured;
        Ok(SideAgain {
            rounds: all.len(),
            height_sd_mm: m.height.map(|_| height),
            rim_sd_mm: m.rim.map(|_| rim),
            max_sd_mm: greatest,
            foot_sd_mm: m.foot.map(|_| foot),
            capacity_sd_ml: m.capacity.map(|_| capacity),
        })
    }

    /// The numbers of one round.
    fn once(&self, card: &CardFit, dice: &mut ChaCha8Rng) -> Option<[f64; 5]> {
        let Kept { fitted, table, wall, mouth } = &self.kept;
        let given = Given { wall: *wall, table: Some(*table), lip: Lip::Rounded, card: Some(card) };
        let camera = &card.camera.placed;
        let mut known = known(camera, (fitted.axis, &fitted.profile), &given, Some(fitted), NEAR_MM);
        // The camera may stray from one that is itself as unsure as the card says.
        let by: [f64; Strays::COUNT] = std::array::from_fn(|_| normal(dice));
        known.strays = known.strays.map(|strays| strays.moved(&by));
        known.stray = std::array::from_fn(|i| known.stray.get(i).copied().unwrap_or(0.0) - by.get(i).copied().unwrap_or(0.0));
        known.table = known.table.map(|t| Table { at_mm: t.at_mm + t.up * (table.sd_mm * normal(dice)), ..t });
        known.mouth = drawn(mouth, dice);
        let again = fit_solid(camera, &drawn(&self.outline_px, dice), fitted.axis, &fitted.profile, &known).ok()?;
        let edge_mm = (EDGE_SD_PX * px_mm(camera, &again.axis, &again.profile)).hypot(EDGE_SHARE * fitted.scale_mm);
        let (thick, seen, lip) = (wall.thickness_mm(), fitted.seen(), again.lip_mm());
        let mut profile = moved_out(&again.profile, edge_mm * normal(dice));
        // What is hidden lies within what smoothness makes of it.
        let hidden = normal(dice);
        for (p, drawn) in profile.iter_mut().zip(drawn_in(&again)).zip(&again.profile).map(|((p, drawn), own)| (p, drawn.0 - own.0)) {
            p.0 = (p.0 + drawn * hidden).max(0.0);
        }
        let mut got = numbers(&profile, &seen, (thick.value + thick.sd * normal(dice)).max(0.5), lip);
        let floor_mm = 0.5 * got[3] - thick.value;
        got[4] += std::f64::consts::PI * floor_mm * floor_mm * LIFT_MM.sd * normal(dice) / 1000.0;
        got[1] *= 1.0 + RIM_SHARE * normal(dice);
        got[3] *= 1.0 + FOOT_SHARE * normal(dice);
        let nearer = 1.0 + BEFORE_MM / again.view.eye(&again.axis).z.abs().max(10.0 * BEFORE_MM) * normal(dice);
        for (got, power) in got.iter_mut().zip([1, 1, 1, 1, 3]) {
            *got *= nearer.powi(power);
        }
        Some(got)
    }
}

/// As many points of an outline, drawn in runs from its own.
fn drawn(outline: &[Point], dice: &mut ChaCha8Rng) -> Vec<Point> {
    let mut drawn = Vec::with_capacity(outline.len() + RUN);
    while drawn.len() < outline.len() {
        let from = dice.random_range(0..outline.len());
        drawn.extend(outline.iter().cycle().skip(from).take(RUN).copied());
    }
    drawn
}

fn spreads(all: &[[f64; 5]]) -> [f64; 5] {
    std::array::from_fn(|k| spread(&all.iter().filter_map(|got| got.get(k).copied()).collect::<Vec<_>>()))
}

/// Standard deviations of height, greatest diameter and foot by a bootstrap over runs of the outline alone, the camera being taken as it is: what is worked
/// out of the scatter of points is checked against it. The same seed gives the same.
///
/// # Errors
/// As [`fit_solid`].
pub fn bootstrap(camera: &Placed, outline: &[Point], fitted: &Fitted, rounds: usize, seed: u64) -> Result<[f64; 3], SideError> {
    let known = Known {
        least_sd_mm: fitted.scale_mm * 0.5,
        table: None,
        strays: None,
        stray: [0.0; Strays::COUNT],
        upright: None,
        first_scale_mm: FIRST_SCALE_MM,
        lip_mm: fitted.lip_mm(),
        mouth: Vec::new(),
    };
    let mut got: Vec<[f64; 5]> = Vec::with_capacity(rounds);
    for round in 0..rounds {
        let again = fit_solid(camera, &drawn(outline, &mut dice(seed, round)), fitted.axis, &fitted.profile, &known)?;
        got.push(numbers(&again.profile, &again.seen(), 5.0, again.lip_mm()));
    }
    let [height, _, greatest, foot, _] = spreads(&got);
    Ok([height, greatest, foot])
}
