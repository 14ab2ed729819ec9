//! A camera of which only what it shows of the card's plane is taken as it is: where its eye stands before the plane may be moved.
//!
//! A card says well which pixel shows which point of its own plane, and less well from where that is looked at. What lies in the plane is not touched
//! by that; near edges of foot and rim are, and they tell.

use super::solid::{Axis, Sight};
use crate::photo::camera::Placed;
use kurbo::Point;
use nalgebra::{Point3, Vector3};

/// A camera and its eye.
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

    /// The plane as another camera shows it, seen with the same eye.
    #[must_use]
    pub(super) fn through(&self, camera: &Placed) -> Self {
        Self { camera: *camera, eye_mm: self.eye_mm }
    }

    /// The eye moved along an axis' own directions: to the right, up, towards the camera.
    #[must_use]
    pub(super) fn nudged(&self, axis: &Axis, by_mm: [f64; 3]) -> Self {
        let [e, h, n] = by_mm;
        let plane = axis.right() * e + axis.up * h;
        Self { camera: self.camera, eye_mm: self.eye_mm + Vector3::new(plane.x, plane.y, n) }
    }

    /// The eye in an axis' own coordinates.
    pub(super) fn eye(&self, axis: &Axis) -> Vector3<f64> {
        axis.own(Vector3::new(self.eye_mm.x - axis.foot_mm.x, self.eye_mm.y - axis.foot_mm.y, self.eye_mm.z))
    }

    /// The line of sight of a pixel in an axis' own coordinates. None where the pixel looks past the plane.
    pub(super) fn sight(&self, axis: &Axis, px: Point) -> Option<Sight> {
        let at = self.camera.on_plane(px, 0.0)?;
        let eye = self.eye(axis);
        let on_plane = axis.own(Vector3::new(at.x - axis.foot_mm.x, at.y - axis.foot_mm.y, 0.0));
        Some(Sight { eye, ray: (on_plane - eye).normalize() })
    }

    /// The pixel of a point in an axis' own coordinates. None behind the camera.
    pub(super) fn px(&self, axis: &Axis, own: Vector3<f64>) -> Option<Point> {
        let world = axis.world(own);
        let share = self.eye_mm.z / (self.eye_mm.z - world.z);
        if !(share.is_finite() && share > 0.0) {
            return None;
        }
        let at = self.eye_mm + (world - self.eye_mm) * share;
        self.camera.project_plane(Point::new(at.x, at.y))
    }
}
