//! An outline seen again: its leftovers drawn anew about its curve, through a camera that might as well have been.

use super::above::{Above, choose, numbers};
use super::edge::RimPoint;
use super::fit::fit_trusting;
use super::shape::Model;
use crate::photo::bootstrap::{normal, runs};
use crate::photo::camera::Camera;
use nalgebra::Point3;
use rand_chacha::ChaCha8Rng;

/// Leftovers are drawn in runs of so many of the 360 points of a rim.
const RUN: usize = 12;
/// What weighs less than this in the fit stands out (a handle, a knob) and is left where it is.
const LEAST_WEIGHT: f64 = 0.05;

impl Above {
    /// The same rim seen again through `now`; `before` is the camera that it was seen through. None where no curve goes through what was drawn.
    pub(crate) fn seen_again(&self, before: &Camera, now: &Camera, dice: &mut ChaCha8Rng) -> Option<Self> {
        let z_mm = self.rim_height_mm;
        let placed = before.placed;
        // Blur and shadow move an edge outward or inward all round.
        let outward_mm = normal(dice) * self.edge_sd_mm;
        let left: Vec<f64> = self.points.iter().filter(|p| p.1 > LEAST_WEIGHT).map(|p| self.shape.distance(p.0.mm).0).collect();
        let mut drawn = runs(&left, RUN, dice).into_iter();
        let mut again = Vec::with_capacity(self.points.len());
        for (point, weight) in &self.points {
            let mut px = point.px;
            if *weight > LEAST_WEIGHT {
                let (off, angle) = self.shape.distance(point.mm);
                let mm = point.mm + self.shape.normal(angle) * (drawn.next().unwrap_or(0.0) + outward_mm - off);
                px = placed.project(Point3::new(mm.x, mm.y, z_mm))?;
            }
            again.push(RimPoint { px, mm: now.placed.on_plane(px, z_mm)?, ..*point });
        }
        let mm: Vec<_> = again.iter().map(|p| p.mm).collect();
        let clear: Vec<f64> = again.iter().map(|p| p.clear).collect();
        let model = if self.model == Model::Superellipse { Model::Superellipse } else { Model::Ellipse };
        let fitted = fit_trusting(&mm, &clear, model, &self.shape, 0.03)?;
        let (chosen, p_cornered) = choose(&again, fitted)?;
        numbers(now, z_mm, self.edge_sd_mm, &chosen, again, p_cornered, self.seen)
    }
}
