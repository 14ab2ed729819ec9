//! What a turned piece holds when full to the brim.

use super::error::SideError;
use crate::key::outline::swept_volume_mm3;
use crate::key::shape::{FootKind, Plan, Point, Shape, Surface};
use crate::photo::camera::Measured;

/// US fluid ounce: 29.5735295625 ml exactly (NIST Handbook 44, appendix C).
pub const ML_PER_US_FL_OZ: f64 = 29.573_529_562_5;
/// US liquid pint: 473.176473 ml exactly (NIST Handbook 44, appendix C).
pub const ML_PER_US_PINT: f64 = 473.176_473;
/// Imperial fluid ounce: 28.4130625 ml exactly (UK Units of Measurement Regulations 1995).
pub const ML_PER_IMPERIAL_FL_OZ: f64 = 28.413_062_5;
/// Imperial pint: 568.26125 ml exactly (the same).
pub const ML_PER_IMPERIAL_PINT: f64 = 568.261_25;

/// Thickness of the wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Wall {
    /// Nobody measured it: 5 mm, give or take 1.5 (common practice for pottery, no source).
    Usual,
    /// Measured at the rim or elsewhere, in mm; taken to within a tenth of itself.
    Mm(f64),
}

impl Wall {
    /// Refuses a thickness that cannot be.
    pub(super) fn check(self) -> Result<(), SideError> {
        match self {
            Self::Mm(given) if !(0.5..=50.0).contains(&given) => Err(SideError::Wall { given }),
            _ => Ok(()),
        }
    }

    /// The thickness and its standard deviation in mm.
    pub fn thickness_mm(self) -> Measured {
        match self {
            Self::Usual => Measured::new(5.0, 1.5),
            Self::Mm(mm) => Measured::new(mm, 0.1 * mm),
        }
    }
}

/// What a piece holds when full to the brim. A useful capacity is smaller.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Capacity {
    /// In millilitres.
    pub ml: Measured,
}

impl Capacity {
    fn over(self, ml: f64) -> Measured {
        Measured::new(self.ml.value / ml, self.ml.sd / ml)
    }

    /// In US fluid ounces.
    pub fn us_fl_oz(self) -> Measured {
        self.over(ML_PER_US_FL_OZ)
    }

    /// In US liquid pints.
    pub fn us_pints(self) -> Measured {
        self.over(ML_PER_US_PINT)
    }

    /// In imperial fluid ounces.
    pub fn imperial_fl_oz(self) -> Measured {
        self.over(ML_PER_IMPERIAL_FL_OZ)
    }

    /// In imperial pints.
    pub fn imperial_pints(self) -> Measured {
        self.over(ML_PER_IMPERIAL_PINT)
    }
}

/// What the inside of a half profile holds, in ml: the wall in from the outside everywhere, above a floor as thick that is lifted a little by the foot. 0
/// where the wall leaves no inside.
pub fn brim_ml(profile_mm: &[(f64, f64)], wall_mm: f64) -> f64 {
    let low = profile_mm.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
    let shape = Shape {
        body: profile_mm.iter().map(|&(r, h)| Point::Corner(r, h - low)).collect(),
        wall_mm,
        plan: Plan::Round,
        lid: Vec::new(),
        lid_plan: None,
        lid_sits_mm: 0.0,
        handles: Vec::new(),
        spout: None,
        finial: None,
        foot: FootKind::Flat,
        surface: Surface::Plain,
    };
    let inside = shape.inner_profile(0.05);
    let floor_mm = inside.get(1).map_or(0.0, |p| p.0);
    let lifted = std::f64::consts::PI * floor_mm * floor_mm * LIFT_MM.value;
    (swept_volume_mm3(&inside) - lifted).max(0.0) / 1000.0
}

/// By how much what lies under the floor lifts it: a foot ring by some millimetres, a flat foot not at all, and from the side nobody sees which (common
/// practice, no source).
pub(super) const LIFT_MM: Measured = Measured { value: 1.5, sd: 1.5 };

/// The volume of the outside of a half profile, in ml.
pub fn outside_ml(profile_mm: &[(f64, f64)]) -> f64 {
    swept_volume_mm3(profile_mm) / 1000.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn near(got: f64, want: f64, within: f64) {
        assert!((got - want).abs() <= within, "{got} is not {want}");
    }

    #[test]
    fn volumes_of_known_solids_are_exact() {
        // π h (r₁² + r₁ r₂ + r₂²) / 3 and π r² h, plane geometry.
        near(outside_ml(&[(40.0, 0.0), (60.0, 100.0)]), 795.870_14, 1e-5);
        near(outside_ml(&[(50.0, 0.0), (50.0, 100.0)]), 785.398_16, 1e-5);
        near(outside_ml(&[(60.0, 0.0), (0.0, 100.0)]), std::f64::consts::PI * 360.0 / 3.0, 1e-9);
        // A spherical cap of height 50 of a sphere of radius 100: π h² (3R − h) / 3 = 654 498.47 mm³; fine steps come near it.
        let cap: Vec<(f64, f64)> = (0..=5000).map(|i| f64::from(i) / 100.0).map(|h| ((2.0 * 100.0 * h - h * h).sqrt(), h)).collect();
        near(outside_ml(&cap), 654.498_47, 1e-4);
        // A zone of it between 20 and 50: the difference of two caps.
        let cap_ml = |h: f64| std::f64::consts::PI * h * h * (300.0 - h) / 3000.0;
        let zone: Vec<(f64, f64)> = cap.iter().copied().filter(|p| p.1 >= 20.0 - 1e-9).collect();
        near(outside_ml(&zone), cap_ml(50.0) - cap_ml(20.0), 1e-4);
    }

    #[test]
    fn the_inside_is_a_wall_in_from_the_outside() {
        // A cylinder of radius 45 mm inside, and its floor 5 mm and the foot's 1.5 mm hollow up.
        let ml = brim_ml(&[(50.0, 7.0), (50.0, 107.0)], 5.0);
        near(ml, std::f64::consts::PI * 45.0 * 45.0 * (100.0 - 1.5 - 5.0) / 1000.0, 1.0);
        near(brim_ml(&[(4.0, 0.0), (4.0, 50.0)], 5.0), 0.0, 0.0);
        near(brim_ml(&[], 5.0), 0.0, 0.0);
    }

    #[test]
    fn units_are_the_exact_ones() {
        let pint = Capacity { ml: Measured::new(568.261_25, 5.682_612_5) };
        near(pint.imperial_pints().value, 1.0, 1e-12);
        near(pint.imperial_pints().sd, 0.01, 1e-12);
        near(pint.imperial_fl_oz().value, 20.0, 1e-9);
        let us = Capacity { ml: Measured::new(473.176_473, 1.0) };
        near(us.us_pints().value, 1.0, 1e-12);
        near(us.us_fl_oz().value, 16.0, 1e-9);
    }
}
