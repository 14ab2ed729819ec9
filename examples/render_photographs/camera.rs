//! The camera: a pin-hole with a lens that bends straight lines a little.
//!
//! `x_cam = R·x_world + t`; undistorted pixel `p = c + f·(x/z, y/z)`; in the picture `c + (p − c)(1 + k1·ρ²)` with `ρ = |p − c|` in half diagonals.
//! The world is the card's: origin at the middle of its face, x along its long side, y along its short side, z out of its face, in millimetres.
//! The centre of the top-left pixel is (0.5, 0.5).

use crate::vector::{V3, v3};

/// A camera in its place.
#[derive(Debug, Clone)]
pub(crate) struct Camera {
    pub(crate) width: u32,
    pub(crate) height: u32,
    /// Focal length in pixels.
    pub(crate) focal_px: f64,
    /// Where the axis meets the picture, in pixels.
    pub(crate) cx: f64,
    pub(crate) cy: f64,
    /// Share by which a point at the half diagonal is moved outward.
    pub(crate) k1: f64,
    /// Rows of the rotation from world to camera.
    pub(crate) rotation: [V3; 3],
    /// Translation from world to camera in millimetres.
    pub(crate) translation_mm: V3,
}

/// Half the diagonal of a picture in pixels.
pub(crate) fn half_diagonal_px(width: u32, height: u32) -> f64 {
    f64::from(width).hypot(f64::from(height)) / 2.0
}

/// Focal length in pixels for a 35 mm equivalent, taken over the diagonal (43.27 mm).
pub(crate) fn focal_px(equivalent_mm: f64, width: u32, height: u32) -> f64 {
    equivalent_mm / 36.0_f64.hypot(24.0) * 2.0 * half_diagonal_px(width, height)
}

impl Camera {
    /// Turns the camera so that it stands at `eye`, looks at `target` and has `up` upward in the picture, then rolls it.
    pub(crate) fn aim(&mut self, eye: V3, target: V3, up: V3, roll_rad: f64) {
        let forward = (target - eye).unit();
        let right = forward.cross(up).unit();
        let down = forward.cross(right);
        let (s, c) = roll_rad.sin_cos();
        let rotation = [right * c + down * s, down * c - right * s, forward];
        self.translation_mm = -v3(rotation[0].dot(eye), rotation[1].dot(eye), rotation[2].dot(eye));
        self.rotation = rotation;
    }

    /// Steps back from `target` along `view` until all points lie in the picture with a margin (a share of each side), from `away_mm` on.
    pub(crate) fn step_back(&mut self, target: V3, view: V3, (up, roll_rad): (V3, f64), away_mm: f64, points: &[V3], margin: f64) {
        let (w, h) = (f64::from(self.width), f64::from(self.height));
        let mut away = away_mm;
        loop {
            self.aim(target + view * away, target, up, roll_rad);
            let fits = points.iter().all(|p| {
                let (x, y) = self.project(*p);
                x > margin * w && x < (1.0 - margin) * w && y > margin * h && y < (1.0 - margin) * h
            });
            if fits || away > 3000.0 {
                break;
            }
            away *= 1.02;
        }
    }

    /// Where the camera stands in the world.
    pub(crate) fn eye(&self) -> V3 {
        let t = self.translation_mm;
        -(self.rotation[0] * t.x + self.rotation[1] * t.y + self.rotation[2] * t.z)
    }

    /// Pixel of a world point.
    pub(crate) fn project(&self, p: V3) -> (f64, f64) {
        let q = v3(self.rotation[0].dot(p), self.rotation[1].dot(p), self.rotation[2].dot(p)) + self.translation_mm;
        let (x, y) = (self.focal_px * q.x / q.z, self.focal_px * q.y / q.z);
        let rho = x.hypot(y) / half_diagonal_px(self.width, self.height);
        let bend = 1.0 + self.k1 * rho * rho;
        (self.cx + x * bend, self.cy + y * bend)
    }

    /// Direction, of length 1, in which the camera sees through a place in the picture.
    pub(crate) fn ray(&self, px: f64, py: f64) -> V3 {
        let (dx, dy) = (px - self.cx, py - self.cy);
        let bent = dx.hypot(dy) / half_diagonal_px(self.width, self.height);
        // Newton's method on bent = ρ(1 + k1 ρ²).
        let mut rho = bent;
        for _ in 0..6 {
            rho -= (rho * (1.0 + self.k1 * rho * rho) - bent) / (1.0 + 3.0 * self.k1 * rho * rho);
        }
        let back = if bent > 1e-12 { rho / bent } else { 1.0 };
        let (x, y) = (dx * back / self.focal_px, dy * back / self.focal_px);
        (self.rotation[0] * x + self.rotation[1] * y + self.rotation[2]).unit()
    }
}
