//! A camera and all that is unsure about it, so that what is seen of the piece can put it right.
//!
//! A card is small beside the piece, and says well only how its own neighbourhood is seen. The focal length and the eye's distance are left nearly open by
//! it, and with them the scale beside it. Foot and rim of a piece that stands upright are seen from two heights and say the rest: so the camera is fitted
//! together with the solid, held by what the card says.

use super::solid::{Axis, Sight};
use crate::photo::camera::{Placed, Strays};
use kurbo::Point;
use nalgebra::{Point3, Vector3};

/// Directions in which a camera may stray.
pub(super) const STRAYS: usize = Strays::COUNT;

/// A camera with its eye.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct View {
    camera: Placed,
    eye_mm: Point3<f64>,
}

impl View {
    /// A camera as it is.
    pub fn of(camera: &Placed) -> Self {
        Self { camera: *camera, eye_mm: camera.eye_mm() }
    }

    /// The eye in an axis' own coordinates.
    pub(super) fn eye(&self, axis: &Axis) -> Vector3<f64> {
        axis.own(Vector3::new(self.eye_mm.x - axis.foot_mm.x, self.eye_mm.y - axis.foot_mm.y, self.eye_mm.z))
    }

    /// The line of sight of a pixel in an axis' own coordinates.
    pub(super) fn sight(&self, axis: &Axis, px: Point) -> Option<Sight> {
        let ray = axis.own(self.camera.ray(px));
        ray.iter().all(|n| n.is_finite()).then(|| Sight { eye: self.eye(axis), ray })
    }

    /// The pixel of a point in an axis' own coordinates. None behind the camera.
    pub(super) fn px(&self, axis: &Axis, own: Vector3<f64>) -> Option<Point> {
        self.camera.project(axis.world(own))
    }
}
