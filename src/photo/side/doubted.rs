//! What else might be meant by what was seen, added to what is said: how far parts of the outline may lie elsewhere, and other feet and rims.

use super::error::SideError;
use super::measure::Placing;
use super::measured::{SideMeasured, WORST_CAPACITY, usual_wall};
use crate::photo::camera::Measured;
use crate::say;

/// A foot that is known no better than this (one standard deviation, as a share) is not told. A choice of this program, no source.
const WORST_FOOT: f64 = 0.042;

/// A part of a sharp outline that is seen clearly is placed as well as this, in pixels: what is beyond it is doubt. As on rendered photographs.
const PLACED_PX: f64 = 1.7;

/// A height or a width that is known no better than this (one standard deviation, as a share) is not told: of two sizes of a form the larger holds about half as
/// much again (common practice, no source) and is 14 % larger each way, so that two standard deviations reach the next size.
const WORST_LENGTH: f64 = 0.07;

/// How much a capacity changes, as a share, for a foot wider by a share of the greatest width: the wall is another in a sixth of the height, half as far in the middle.
const AT_FOOT: f64 = 0.33;

/// A rim that is at least so wide as a share of the greatest width is what is widest.
const RIM_IS_WIDEST: f64 = 0.99;

impl SideMeasured {
    /// Widens each ± by how far its part of the outline may lie elsewhere, where a pixel is `px_mm` wide and the camera looks down at the sine of an angle.
    /// What is not known well enough after that is not told.
    ///
    /// # Errors
    /// [`SideError::Vague`] where that is the greatest width: then nothing is known well.
    pub(super) fn doubted(&mut self, placing: &Placing, px_mm: f64, sin_down: f64) -> Result<(), SideError> {
        let beyond = |px: Option<f64>| px.map_or(0.0, |px| (px * px - PLACED_PX * PLACED_PX).max(0.0).sqrt() * px_mm);
        let [foot_out, wide, rim] = [placing.foot_px, placing.widest_px, placing.rim_px].map(beyond);
        // The near edge of a foot lies so many times further out on the table as it is lower in the picture.
        let at_foot = if self.foot.is_some() { 2.0 * foot_out / sin_down.clamp(0.15, 1.0) } else { 0.0 };
        // A diameter moves twice as far as the edge, a volume's share twice as far as a diameter's; another foot changes only what lies at the foot.
        let share = (4.0 * wide).hypot(AT_FOOT * at_foot) / self.greatest.value.max(1.0);
        widen(self.height.as_mut(), rim);
        widen(self.rim.as_mut(), 2.0 * rim);
        if let Some(rim) = self.rim.filter(|rim| rim.value > RIM_IS_WIDEST * self.greatest.value) {
            // They are one width, known as well as the better of both: what is widest of the wall may be the little of it that the rounded lip hides.
            self.greatest.sd = self.greatest.sd.min(rim.sd);
            widen(Some(&mut self.greatest), 2.0 * placing.rims.mm);
        }
        widen(Some(&mut self.greatest), 2.0 * wide);
        widen(self.rim.as_mut(), 2.0 * placing.rims.mm);
        let unsure = |number: Option<Measured>, share: f64| number.is_some_and(|number| number.sd > share * number.value);
        if unsure(Some(self.greatest), WORST_LENGTH) {
            return Err(SideError::Vague { sd_mm: self.greatest.sd });
        }
        widen(self.foot.as_mut(), at_foot.hypot(2.0 * placing.feet.mm));
        if unsure(self.foot, WORST_FOOT) {
            self.foot = None;
            self.notes.push(say!("the foot cannot be told from the shadow at it (light it from both sides)").to_owned());
        }
        if unsure(self.height, WORST_LENGTH) {
            self.height = None;
            self.notes.push(
                say!(
                    "the height cannot be told well enough to be of use (take the picture from lower down, the card close beside the piece)"
                )
                .to_owned(),
            );
        }
        if unsure(self.rim, WORST_LENGTH) {
            self.rim = None;
            self.notes.push(
                say!("the rim cannot be told well enough to be of use (put the piece before a plain wall or cloth of another colour)")
                    .to_owned(),
            );
        }
        if let Some(capacity) = &mut self.capacity {
            let ml = &mut capacity.ml;
            // Of feet that cannot be told apart none is the one: it holds what it does by all of them.
            let hidden = if self.foot.is_none() { placing.feet.ml } else { 0.0 };
            ml.sd = ml.sd.hypot(share * ml.value);
            ml.value += hidden;
            for (others, taken) in [(placing.feet, hidden), (placing.rims, 0.0)] {
                ml.sd = ml.sd.hypot(others.ml - taken).hypot(others.ml_sd);
            }
        }
        if unsure(self.capacity.map(|c| c.ml), WORST_CAPACITY) {
            self.without_capacity();
            self.notes.push(
                say!("what the piece holds cannot be told well enough to be of use (stand the card close beside it, before a plain wall or cloth of another colour)")
                    .to_owned(),
            );
        }
        Ok(())
    }

    /// The same with no capacity, nor what was said of it.
    pub(super) fn without_capacity(&mut self) {
        self.capacity = None;
        self.notes.retain(|note| note != usual_wall());
    }
}

/// Adds to a ±.
fn widen(number: Option<&mut Measured>, by: f64) {
    if let Some(number) = number {
        number.sd = number.sd.hypot(by);
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::super::capacity::Capacity;
    use super::super::measure::Others;
    use super::*;

    fn mug() -> SideMeasured {
        SideMeasured {
            height: Some(Measured::new(90.0, 0.9)),
            rim: Some(Measured::new(76.0, 1.5)),
            greatest: Measured::new(80.0, 1.2),
            foot: Some(Measured::new(60.0, 1.8)),
            profile_mm: Vec::new(),
            profile_sd_mm: Vec::new(),
            capacity: Some(Capacity { ml: Measured::new(300.0, 15.0) }),
            wall_mm: 5.0,
            off_mm: 0.1,
            axis_mm: [(0.0, 0.0); 2],
            left_out: Vec::new(),
            notes: vec![usual_wall().to_owned()],
        }
    }

    #[test]
    fn what_is_seen_clearly_stays_as_it_is() {
        let mut told = mug();
        told.doubted(&Placing::default(), 0.2, 0.3).unwrap();
        assert_eq!(told, mug());
    }

    #[test]
    fn a_rim_that_may_be_any_is_not_told_and_its_capacity_only_as_well_as_it_goes() {
        let mut told = mug();
        told.doubted(&Placing { rims: Others { mm: 4.0, ml: 6.0, ml_sd: 8.0 }, ..Placing::default() }, 0.2, 0.3).unwrap();
        assert!(told.rim.is_none() && told.foot == mug().foot && told.greatest == mug().greatest, "{told:?}");
        let ml = told.capacity.unwrap().ml;
        assert!((ml.value - 300.0).abs() < 1e-12 && (ml.sd - 325.0_f64.sqrt()).abs() < 1e-12, "{ml:?}");
        assert!(told.notes.iter().any(|note| note.starts_with("the rim cannot be told")), "{:?}", told.notes);
        // Too little is known of it then.
        let mut none = mug();
        none.doubted(&Placing { rims: Others { mm: 9.0, ml: 0.0, ml_sd: 60.0 }, ..Placing::default() }, 0.2, 0.3).unwrap();
        assert!(none.capacity.is_none() && !none.notes.iter().any(|note| note == usual_wall()), "{none:?}");
    }

    #[test]
    fn of_feet_that_are_seen_alike_the_mean_is_taken() {
        let feet = Others { mm: 6.0, ml: -9.0, ml_sd: 12.0 };
        let mut told = mug();
        told.doubted(&Placing { feet, ..Placing::default() }, 0.2, 0.3).unwrap();
        let ml = told.capacity.unwrap().ml;
        assert!(told.foot.is_none() && (ml.value - 291.0).abs() < 1e-12, "{told:?}");
        assert!((ml.sd - 369.0_f64.sqrt()).abs() < 1e-12, "{ml:?}");
        // Of one that is told the wall is known as it was fitted, and what the others hold is only doubt.
        let mut told = mug();
        told.doubted(&Placing { feet: Others { mm: 0.1, ..feet }, ..Placing::default() }, 0.2, 0.3).unwrap();
        let ml = told.capacity.unwrap().ml;
        assert!(told.foot.is_some() && (ml.value - 300.0).abs() < 1e-12, "{told:?}");
        assert!((ml.sd - 450.0_f64.sqrt()).abs() < 1e-12, "{ml:?}");
    }

    #[test]
    fn a_rim_that_is_widest_is_the_greatest_width() {
        let mut bowl = SideMeasured { rim: Some(Measured::new(80.0, 1.5)), greatest: Measured::new(80.1, 7.0), ..mug() };
        bowl.doubted(&Placing::default(), 0.2, 0.3).unwrap();
        assert!((bowl.greatest.sd - 1.5).abs() < 1e-12, "{:?}", bowl.greatest);
    }

    #[test]
    fn a_piece_whose_width_says_nothing_is_refused_and_a_height_that_does_is_left_out() {
        let error = SideMeasured { greatest: Measured::new(80.0, 7.0), ..mug() }.doubted(&Placing::default(), 0.2, 0.3).unwrap_err();
        assert_eq!(
            error.to_string(),
            "how wide the piece is cannot be told to better than 7 mm (stand the card close beside it, before a plain wall or cloth of another colour)"
        );
        let mut low = SideMeasured { height: Some(Measured::new(40.0, 4.0)), ..mug() };
        low.doubted(&Placing::default(), 0.2, 0.3).unwrap();
        assert!(low.height.is_none() && low.rim == mug().rim, "{low:?}");
    }
}
