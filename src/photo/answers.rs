//! What a measured outline answers of a house key: outline, length, width; each with its ±.

use super::outline::Above;
use crate::identify::{Measured, Observation, Seen, Sure};
use crate::key::shape::{Drawing, Plan};
use crate::key::{Dimension, Feature, FeatureKind, Key, Part, Unit, View};

/// A value whose drawing is none of the three curves keeps this much of the cornered ones' likelihood, and every value a thousandth: outlines are drawn
/// in a few kinds and pieces are made in all (choices of this program, no source).
const OTHER_SHARE: f64 = 0.1;
const FLOOR: f64 = 0.001;
/// From this aspect a cornered outline is an oblong rather than a square (common practice, no source).
const OBLONG_FROM: f64 = 1.15;

/// The observations of the key's features that the outline of a part from above answers: that of a lid, or that of a body's rim. Features of other
/// parts, views and units are left alone.
pub fn answers_above(key: &Key, part: Part, found: &Above) -> Vec<Observation> {
    let sure = |feature: &Feature, seen: Seen| Observation { feature: feature.id.clone(), seen, sure: Sure::Sure };
    let mut answers = Vec::new();
    for feature in key.features.iter().filter(|feature| feature.part == part) {
        match &feature.kind {
            FeatureKind::Choice(values) if feature.view == View::Above && values.iter().all(|v| matches!(v.drawing, Drawing::Plan(_))) => {
                let weights = values.iter().map(|value| (value.id.clone(), likelihood(&value.drawing, found))).collect();
                answers.push(sure(feature, Seen::Weighed(weights)));
            }
            FeatureKind::Measure(measure) if measure.unit == Unit::Mm => {
                let long = matches!((part, measure.of), (Part::Lid, Some(Dimension::LidLong)) | (Part::Body, Some(Dimension::RimLong)));
                let short = matches!((part, measure.of), (Part::Lid, Some(Dimension::LidShort)) | (Part::Body, Some(Dimension::RimShort)));
                let measured = match (long, short) {
                    (true, _) => found.major_mm,
                    (_, true) => found.minor_mm,
                    _ => continue,
                };
                let tenth = |x: f64| (x * 10.0).round() / 10.0;
                let plus_minus = ((measured.plus_minus() * 10.0).ceil() / 10.0).max(0.1);
                answers.push(sure(feature, Seen::Measured(Measured { value: tenth(measured.value), plus_minus })));
            }
            _ => {}
        }
    }
    answers
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
