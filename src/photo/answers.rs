//! What measurements on a photograph answer of a house key, each with its ±.

use super::camera;
use super::outline::Above;
use super::sampling::ColourRead;
use super::side::SideMeasured;
use crate::identify::by_shape::{LidOn, Scaling};
use crate::identify::{Measured, Observation, Seen, ShapeMeasured, Sure};
use crate::key::shape::{Drawing, Plan};
use crate::key::{Dimension, Feature, FeatureKind, Key, Part, Unit, View};

/// A value whose drawing is none of the three curves keeps this much of the cornered ones' likelihood, and every value a thousandth: outlines are drawn
/// in a few kinds and pieces are made in all (choices of this program, no source).
const OTHER_SHARE: f64 = 0.1;
const FLOOR: f64 = 0.001;
/// From this aspect a cornered outline is an oblong rather than a square (common practice, no source).
const OBLONG_FROM: f64 = 1.15;
/// No half profile is known better than this, one standard deviation in mm. A choice of this program, no source.
const LEAST_SHAPE_SD_MM: f64 = 0.5;

/// The observations of the key's features that the outline of a part from above answers: that of a lid, or that of a body's rim. Features of other
/// parts, views and units are left alone.
pub fn answers_above(key: &Key, part: Part, found: &Above) -> Vec<Observation> {
    let mut answers = Vec::new();
    for feature in key.features.iter().filter(|feature| feature.part == part) {
        match &feature.kind {
            FeatureKind::Choice(values) if feature.view == View::Above && values.iter().all(|v| matches!(v.drawing, Drawing::Plan(_))) => {
                let weights = values.iter().map(|value| (value.id.clone(), likelihood(&value.drawing, found))).collect();
                answers.push(observation(feature, Seen::Weighed(weights)));
            }
            FeatureKind::Measure(measure) if measure.unit == Unit::Mm => {
                let long = matches!((part, measure.of), (Part::Lid, Some(Dimension::LidLong)) | (Part::Body, Some(Dimension::RimLong)));
                let short = matches!((part, measure.of), (Part::Lid, Some(Dimension::LidShort)) | (Part::Body, Some(Dimension::RimShort)));
                let measured = match (long, short) {
                    (true, _) => found.major_mm,
                    (_, true) => found.minor_mm,
                    _ => continue,
                };
                answers.push(observation(feature, rounded(measured)));
            }
            _ => {}
        }
    }
    answers
}

/// The observations of the key's features that a piece seen from the side answers: heights, diameters and what it holds. With the lid on, the body's own
/// height, rim and capacity are not seen; where it is not known whether it is on, no height is answered.
pub fn answers_side(key: &Key, lid: LidOn, found: &SideMeasured) -> Vec<Observation> {
    let (closed, open) = (lid == LidOn::On, lid == LidOn::Off);
    let mut answers = Vec::new();
    for feature in &key.features {
        let FeatureKind::Measure(measure) = &feature.kind else { continue };
        let measured = match (measure.unit, measure.of) {
            (Unit::Mm, Some(Dimension::BodyHeight)) if open => found.height,
            (Unit::Mm, Some(Dimension::HeightWithLid)) if closed => found.height,
            (Unit::Mm, Some(Dimension::RimLong)) if open => found.rim,
            (Unit::Mm, Some(Dimension::Greatest)) => Some(found.greatest),
            (Unit::Mm, Some(Dimension::Foot)) => found.foot,
            (Unit::Ml, _) if open && feature.part == Part::Body => found.capacity.map(|capacity| capacity.ml),
            _ => None,
        };
        answers.extend(measured.map(|measured| observation(feature, rounded(measured))));
    }
    answers
}

/// The half profile as evidence beside the features. `sizes` are the answers that the same photograph gives: where one of them is used, the shape counts
/// whatever its size, or the size would count twice. None where the profile has no points.
pub fn shape_of(lid: LidOn, found: &SideMeasured, sizes: &[Observation]) -> Option<ShapeMeasured> {
    let sds = &found.profile_sd_mm;
    if found.profile_mm.len() < 2 || sds.is_empty() {
        return None;
    }
    let mean_square = sds.iter().map(|sd| sd * sd).sum::<f64>() / sds.len() as f64;
    let sd_mm = mean_square.sqrt().hypot(found.off_mm).max(LEAST_SHAPE_SD_MM);
    let scaling = if sizes.is_empty() { Scaling::TrueSize } else { Scaling::AnySize };
    sd_mm.is_finite().then(|| ShapeMeasured { profile_mm: found.profile_mm.clone(), sd_mm, lid, scaling })
}

/// The observation of a colour by a feature that has colours. None for one that has none.
pub fn answer_colour(feature: &Feature, read: &ColourRead) -> Option<Observation> {
    let has_colours = match &feature.kind {
        FeatureKind::Glaze => true,
        FeatureKind::Choice(values) => values.iter().any(|value| value.lab.is_some()),
        FeatureKind::Measure(_) | FeatureKind::Decoration | FeatureKind::Mark => false,
    };
    has_colours.then(|| observation(feature, Seen::Colour { lab: read.sampled.lab, spread: read.spread }))
}

fn observation(feature: &Feature, seen: Seen) -> Observation {
    Observation { feature: feature.id.clone(), seen, sure: Sure::Sure }
}

/// To a tenth, the ± rounded up.
fn rounded(measured: camera::Measured) -> Seen {
    let value = (measured.value * 10.0).round() / 10.0;
    Seen::Measured(Measured { value, plus_minus: ((measured.plus_minus() * 10.0).ceil() / 10.0).max(0.1) })
}

/// How likely the measured outline is on a piece that is drawn so, but for a factor that is the same for all.
fn likelihood(drawing: &Drawing, found: &Above) -> f64 {
    let oval = (1.0 - found.p_round - found.p_cornered).max(0.0);
    let long = found.aspect.value >= OBLONG_FROM;
    let share = match drawing {
        Drawing::Plan(Plan::Round) => found.p_round,
        Drawing::Plan(Plan::Oval(_)) => oval,
        Drawing::Plan(Plan::RoundedSquare) if !long => found.p_cornered,
        Drawing::Plan(Plan::Oblong(_)) if long => found.p_cornered,
        Drawing::Plan(_) => OTHER_SHARE * found.p_cornered,
        _ => 0.0,
    };
    share.max(FLOOR)
}
