//! A solid of revolution before the camera, and how near a line of sight passes it.
//!
//! The axis lies in the card's plane (z = 0). In the solid's own axes a point has the coordinates (e, h, n): e to the right of the axis within the plane,
//! h up along the axis, n towards the camera. The solid is cut off flat below its first and above its last point: what is seen of an open mouth from
//! outside is the disc of its rim.

use crate::photo::camera::Placed;
use kurbo::{Point, Vec2};
use nalgebra::{Point3, Vector3};

/// Where the axis stands in the card's plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Axis {
    /// A point on it, in mm of the card's plane; heights are counted from here.
    pub foot_mm: Point,
    /// The direction in which heights grow, of length 1.
    pub up: Vec2,
}

impl Axis {
    /// Through a point, in a direction that need not have length 1.
    pub fn new(foot_mm: Point, up: Vec2) -> Self {
        Self { foot_mm, up: up.normalize() }
    }

    /// To the right of the axis for one who looks at the plane with `up` upward.
    pub fn right(&self) -> Vec2 {
        Vec2::new(self.up.y, -self.up.x)
    }

    /// The point of the plane so far right of the axis and so far up it.
    pub fn at(&self, e_mm: f64, h_mm: f64) -> Point {
        self.foot_mm + self.right() * e_mm + self.up * h_mm
    }

    /// The same axis put `x_mm` to the right and leaned to the right.
    #[must_use]
    pub fn moved(&self, x_mm: f64, lean_rad: f64) -> Self {
        let (sin, cos) = lean_rad.sin_cos();
        Self { foot_mm: self.foot_mm + self.right() * x_mm, up: self.up * cos + self.right() * sin }
    }

    /// A world point in the solid's own axes (e, h, n).
    pub(super) fn own(&self, world: Vector3<f64>) -> Vector3<f64> {
        let right = self.right();
        Vector3::new(world.x * right.x + world.y * right.y, world.x * self.up.x + world.y * self.up.y, world.z)
    }

    /// A line of sight in the solid's own axes.
    fn sight(&self, camera: &Placed, px: Point) -> Sight {
        let eye = camera.eye_mm();
        let from = Vector3::new(eye.x - self.foot_mm.x, eye.y - self.foot_mm.y, eye.z);
        Sight { eye: self.own(from), ray: self.own(camera.ray(px)) }
    }

    /// Where the camera's eye is in the solid's own axes.
    pub(super) fn sight_from(&self, camera: &Placed) -> Vector3<f64> {
        let eye = camera.eye_mm();
        self.own(Vector3::new(eye.x - self.foot_mm.x, eye.y - self.foot_mm.y, eye.z))
    }

    /// A point of the solid's own axes in the world.
    pub(super) fn world(&self, own: Vector3<f64>) -> Point3<f64> {
        let at = self.at(own.x, own.y);
        Point3::new(at.x, at.y, own.z)
    }
}

/// A line of sight in a solid's own axes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sight {
    pub(super) eye: Vector3<f64>,
    /// Of length 1.
    pub(super) ray: Vector3<f64>,
}

/// Signed distance from (r, h) to the half section below the profile. None for an empty profile.
fn section(profile: &[(f64, f64)], r: f64, h: f64) -> Option<f64> {
    let (&first, &last) = (profile.first()?, profile.last()?);
    let mut nearest = f64::INFINITY;
    let mut inside = false;
    let mut look = |a: (f64, f64), b: (f64, f64)| {
        if (a.1 > h) != (b.1 > h) && r < a.0 + (h - a.1) / (b.1 - a.1) * (b.0 - a.0) {
            inside = !inside;
        }
        let (dr, dh) = (b.0 - a.0, b.1 - a.1);
        let length = dr * dr + dh * dh;
        let t = if length > 0.0 { (((r - a.0) * dr + (h - a.1) * dh) / length).clamp(0.0, 1.0) } else { 0.0 };
        nearest = nearest.min((r - a.0 - t * dr).powi(2) + (h - a.1 - t * dh).powi(2));
    };
    look((0.0, first.1), first);
    for pair in profile.windows(2) {
        if let [a, b] = *pair {
            look(a, b);
        }
    }
    look(last, (0.0, last.1));
    Some(if inside { -nearest.sqrt() } else { nearest.sqrt() })
}

/// Points tried along a line of sight before the best is refined.
const TRIED: usize = 28;

/// Of a stretch, the part that golden sections keep.
const SHARE: f64 = 0.618_033_988_749_895;

/// How near a line of sight passes the solid of that half profile. None for a profile of fewer than two points.
fn nearest(sight: &Sight, profile: &[(f64, f64)]) -> Option<f64> {
    if profile.len() < 2 {
        return None;
    }
    let radius = profile.iter().map(|p| p.0).fold(1.0, f64::max);
    // Where it passes the axis: least e² + n² along the ray.
    let across = sight.ray.x * sight.ray.x + sight.ray.z * sight.ray.z;
    let middle = if across > 1e-9 { -(sight.eye.x * sight.ray.x + sight.eye.z * sight.ray.z) / across } else { 0.0 };
    let reach = 1.25 * radius / across.max(0.05).sqrt() + 5.0;
    let at = |t: f64| sight.eye + sight.ray * t;
    let far = |t: f64| {
        let p = at(t);
        section(profile, p.x.hypot(p.z), p.y).unwrap_or(f64::INFINITY)
    };
    let step = 2.0 * reach / (TRIED - 1) as f64;
    let mut best = (f64::INFINITY, middle);
    for i in 0..TRIED {
        let t = middle - reach + step * i as f64;
        let d = far(t);
        if d < best.0 {
            best = (d, t);
        }
    }
    let (mut low, mut high) = (best.1 - step, best.1 + step);
    let (mut a, mut b) = (high - SHARE * (high - low), low + SHARE * (high - low));
    let (mut far_a, mut far_b) = (far(a), far(b));
    for _ in 0..16 {
        if far_a < far_b {
            (high, b, far_b) = (b, a, far_a);
            a = high - SHARE * (high - low);
            far_a = far(a);
        } else {
            (low, a, far_a) = (a, b, far_b);
            b = low + SHARE * (high - low);
            far_b = far(b);
        }
    }
    let t = if far_a < far_b { a } else { b };
    Some(far(t))
}

/// The two points at which a height of the solid stands at the edge of what is seen, left and right of the axis, as (e, h, n): where the surface
/// is seen edge on. `slope` is dr/dh there. None where no point of that circle is: it is seen whole, from above or from below.
///
/// With the normal (cos θ, −r′, sin θ) and the eye at (e₀, h₀, n₀), edge on means e₀ cos θ + n₀ sin θ = r − r′(h − h₀).
pub fn edge_points(eye_own_mm: Vector3<f64>, r_mm: f64, h_mm: f64, slope: f64) -> Option<[Vector3<f64>; 2]> {
    let across = eye_own_mm.x.hypot(eye_own_mm.z);
    let share = (r_mm - slope * (h_mm - eye_own_mm.y)) / across;
    if share.is_nan() || share.abs() > 1.0 {
        return None;
    }
    let (towards, half) = (eye_own_mm.z.atan2(eye_own_mm.x), share.acos());
    let at = |turn: f64| Vector3::new(r_mm * turn.cos(), h_mm, r_mm * turn.sin());
    let (one, other) = (at(towards + half), at(towards - half));
    Some(if one.x < other.x { [one, other] } else { [other, one] })
}

/// Where a solid of that profile is seen edge on, as pixels: points on the left, on the right, and the circles of foot and rim, each a ring of
/// `ring` points. What is hidden behind other parts of the solid is among them.
pub fn seen_edges(camera: &Placed, axis: &Axis, profile: &[(f64, f64)], ring: usize) -> Vec<Point> {
    let own = axis.sight_from(camera);
    let mut seen: Vec<Vector3<f64>> = Vec::new();
    for pair in profile.windows(2) {
        let [(r0, h0), (r1, h1)] = *pair else { continue };
        if (h1 - h0).abs() > 1e-9 {
            let (r, h) = (f64::midpoint(r0, r1), f64::midpoint(h0, h1));
            seen.extend(edge_points(own, r, h, (r1 - r0) / (h1 - h0)).into_iter().flatten());
        }
    }
    for (r, h) in profile.first().into_iter().chain(profile.last()) {
        for i in 0..ring {
            let turn = std::f64::consts::TAU * i as f64 / ring as f64;
            seen.push(Vector3::new(r * turn.cos(), *h, r * turn.sin()));
        }
    }
    seen.into_iter().filter_map(|p| camera.project(axis.world(p))).collect()
}

/// By how many mm the line of sight of a pixel passes a solid (below 0: how deep it goes into it). None for a profile of fewer than two points.
pub fn passes_by_mm(camera: &Placed, axis: &Axis, profile: &[(f64, f64)], px: Point) -> Option<f64> {
    nearest(&axis.sight(camera, px), profile)
}
