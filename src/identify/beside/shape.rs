//! A measured half profile against the drawn profile of every form.

use super::weigh::{Bearing, Library};
use crate::identify::by_shape::{HalfProfile, LidOn, Scaling, ShapeReading};
use crate::say;
use serde::{Deserialize, Serialize};

/// A half profile measured on the piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ShapeMeasured {
    /// Radius and height above the table in mm, from the foot up.
    pub profile_mm: Vec<(f64, f64)>,
    /// How uncertain it is, one standard deviation in mm.
    pub sd_mm: f64,
    /// Whether the lid was on.
    pub lid: LidOn,
    /// Whether its size counts, or is answered by heights and diameters of the same photograph.
    pub scaling: Scaling,
}

impl ShapeMeasured {
    /// 'measured on a photograph, ± 1.2 mm'
    pub fn words(&self) -> String {
        say!("measured on a photograph, ± {mm:.1} mm", mm = 2.0 * self.sd_mm)
    }
}

pub(super) fn bearing(library: &Library, prior: &[f64], shape: &ShapeMeasured) -> Option<Bearing> {
    let profile = HalfProfile::new(&shape.profile_mm).ok()?;
    let index = library.shapes();
    let reading = ShapeReading { profile: &profile, sd_mm: shape.sd_mm, lid: shape.lid, scaling: shape.scaling };
    let seen = index.weigh(&reading).ok()?;
    // Both lists stand in the order of the forms' ids; a form without a profile is in the first alone.
    let mut weighed = seen.of_forms.iter().peekable();
    let known: Vec<Option<f64>> =
        library.drawn().iter().map(|form| weighed.next_if(|(id, _)| *id == form.id).map(|(_, log)| *log)).collect();
    Some(Bearing::new("shape", shape.words(), prior, known, seen.broad))
}

/// How the shape stands to one form, in words: '1.2 mm beside this form's drawing on the average'.
pub(super) fn against(library: &Library, shape: &ShapeMeasured, form: usize) -> Option<String> {
    let profile = HalfProfile::new(&shape.profile_mm).ok()?;
    let id = &library.drawn().get(form)?.id;
    let found = library.shapes().compare(&profile, id, shape.lid)?;
    Some(match shape.scaling {
        Scaling::TrueSize => say!("it lies {mm:.1} mm beside this form's drawing on the average", mm = found.mean_deviation_mm),
        Scaling::AnySize => {
            say!("brought to one size, {percent:.0} % of it lies beside this form's drawing", percent = 100.0 * found.unlikeness)
        }
    })
}
