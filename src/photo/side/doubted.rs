//! What else might be meant by what was seen, added to what is said: how far parts of the outline may lie elsewhere, and other feet and rims.

use super::measure::Placing;
use super::measured::SideMeasured;
use crate::photo::camera::Measured;
use crate::say;

/// A foot that is known no better than this (one standard deviation, as a share) is not told. A choice of this program, no source.
const WORST_FOOT: f64 = 0.042;
/// Nor is what the piece holds where its edge leaves the foot no better known than this.
const WORST_FOOT_FOR_CAPACITY: f64 = 0.05;

/// A part of a sharp outline that is seen clearly is placed as well as this, in pixels: what is beyond it is doubt. As on rendered photographs.
const PLACED_PX: f64 = 1.7;

/// How much a capacity changes, as a share, for a foot wider by a share of the greatest width: the wall is another in a sixth of the height, half as far in the middle.
const AT_FOOT: f64 = 0.33;

/// A rim that is at least so wide as a share of the greatest width is what is widest.
const RIM_IS_WIDEST: f64 = 0.99;

impl SideMeasured {
    /// Widens each ± by how far its part of the outline may lie elsewhere, where a pixel is `px_mm` wide and the camera looks down at the sine of an angle.
    /// What is not known well enough after that is not told.
    pub(super) fn doubted(&mut self, placing: &Placing, px_mm: f64, sin_down: f64) {
        let beyond = |px: Option<f64>| px.map_or(0.0, |px| (px * px - PLACED_PX * PLACED_PX).max(0.0).sqrt() * px_mm);
        let [foot_out, wide, rim] = [placing.foot_px, placing.widest_px, placing.rim_px].map(beyond);
        // A diameter moves twice as far as the edge, a volume's share twice as far as a diameter's; another foot changes only what lies at the foot.
        let share = (4.0 * wide).hypot(AT_FOOT * placing.foot_mm) / self.greatest.value.max(1.0);
        let widen = |number: Option<&mut Measured>, by: f64| {
            if let Some(number) = number {
                number.sd = number.sd.hypot(by);
            }
        };
        widen(self.height.as_mut(), rim);
        widen(self.rim.as_mut(), 2.0 * rim);
        widen(Some(&mut self.greatest), 2.0 * wide);
        // The near edge of a foot lies so many times further out on the table as it is lower in the picture.
        widen(self.foot.as_mut(), 2.0 * foot_out / sin_down.clamp(0.15, 1.0));
        let unsure = |foot: Option<Measured>, share: f64| foot.is_some_and(|foot| foot.sd > share * foot.value);
        let capacity_unsure = unsure(self.foot, WORST_FOOT_FOR_CAPACITY);
        widen(self.foot.as_mut(), 2.0 * placing.foot_mm);
        widen(self.rim.as_mut(), 2.0 * placing.rim_mm);
        if self.rim.is_some_and(|rim| rim.value > RIM_IS_WIDEST * self.greatest.value) {
            widen(Some(&mut self.greatest), 2.0 * placing.rim_mm);
        }
        if capacity_unsure || unsure(self.foot, WORST_FOOT) {
            self.foot = None;
            self.notes.push(if capacity_unsure {
                self.capacity = None;
                say!("the foot cannot be told from the shadow at it, nor what the piece holds (light it from both sides)").to_owned()
            } else {
                say!("the foot cannot be told from the shadow at it (light it from both sides)").to_owned()
            });
        }
        if let Some(capacity) = &mut self.capacity {
            capacity.ml.sd = capacity.ml.sd.hypot(share * capacity.ml.value);
        }
    }
}
