//! A camera in its place over the card's plane.

use super::Lens;
use kurbo::Point;
use nalgebra::{Matrix3, Point3, Rotation3, Vector3};

/// Where the camera is: a world point X is seen at R·X + t before it (millimetres; z is the direction of view).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// Rotation from the world to the camera.
    pub rotation: Rotation3<f64>,
    /// The world's origin as the camera sees it, in millimetres.
    pub translation_mm: Vector3<f64>,
}

/// A lens in its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placed {
    /// The lens.
    pub lens: Lens,
    /// Its place.
    pub pose: Pose,
}

impl Placed {
    /// The pixel of a world point in millimetres. None behind the camera.
    pub fn project(&self, world_mm: Point3<f64>) -> Option<Point> {
        let seen = self.pose.rotation * world_mm.coords + self.pose.translation_mm;
        if !(seen.z > 1e-6 && seen.z.is_finite()) {
            return None;
        }
        let straight = self.lens.centre_px + kurbo::Vec2::new(seen.x, seen.y) * (self.lens.focal_px / seen.z);
        Some(self.lens.bent(straight))
    }

    /// The pixel of a point of the card's plane. None behind the camera.
    pub fn project_plane(&self, plane_mm: Point) -> Option<Point> {
        self.project(Point3::new(plane_mm.x, plane_mm.y, 0.0))
    }

    /// Where the camera is in the world, in millimetres.
    pub fn eye_mm(&self) -> Point3<f64> {
        Point3::from(-(self.pose.rotation.inverse() * self.pose.translation_mm))
    }

    /// The direction in the world in which a pixel looks, of length 1.
    pub fn ray(&self, px: Point) -> Vector3<f64> {
        let slope = self.lens.slope(px);
        (self.pose.rotation.inverse() * Vector3::new(slope.x, slope.y, 1.0)).normalize()
    }

    /// The point of the plane z = `z_mm` (0 is the card's) that a pixel shows, in millimetres. None where the pixel looks past the plane.
    pub fn on_plane(&self, px: Point, z_mm: f64) -> Option<Point> {
        self.onto_plane(z_mm)(px)
    }

    /// [`Placed::on_plane`] for many pixels: what is the same for all of them is worked out once.
    pub fn onto_plane(&self, z_mm: f64) -> impl Fn(Point) -> Option<Point> + '_ {
        let eye = self.eye_mm();
        let back = self.pose.rotation.inverse();
        move |px| {
            let slope = self.lens.slope(px);
            let ray = (back * Vector3::new(slope.x, slope.y, 1.0)).normalize();
            let reach = (z_mm - eye.z) / ray.z;
            (reach.is_finite() && reach > 0.0).then(|| Point::new(eye.x + reach * ray.x, eye.y + reach * ray.y))
        }
    }

    /// Pixels for a millimetre of the card's plane at that point: the geometric mean over directions. 0 behind the camera.
    pub fn px_per_mm(&self, plane_mm: Point) -> f64 {
        let h = 0.5;
        let at = |dx: f64, dy: f64| self.project_plane(Point::new(plane_mm.x + dx, plane_mm.y + dy));
        match (at(h, 0.0), at(-h, 0.0), at(0.0, h), at(0.0, -h)) {
            (Some(right), Some(left), Some(up), Some(down)) => (right - left).cross(up - down).abs().sqrt(),
            _ => 0.0,
        }
    }

    /// Angle between the direction of view and the plane's normal, in radians: 0 looking straight down.
    pub fn tilt_rad(&self) -> f64 {
        let axis = self.pose.rotation.inverse() * Vector3::z();
        (-axis.z).clamp(-1.0, 1.0).acos()
    }

    /// The place that fits four pixels to four points of the plane, for a lens taken as it is: the plane-to-picture homography (direct linear
    /// transform, Hartley & Zisserman, Multiple View Geometry, 2nd ed. 2004, algorithm 4.1, from memory of the book), then the nearest rotation. None
    /// where the four points do not span a plane.
    pub fn from_four(lens: Lens, plane_mm: [Point; 4], px: [Point; 4]) -> Option<Self> {
        let h = homography(plane_mm, px.map(|p| Point::from((lens.slope(p).x, lens.slope(p).y))))?;
        let (mut a, mut b, mut t) = (h.column(0).into_owned(), h.column(1).into_owned(), h.column(2).into_owned());
        let scale = 2.0 / (a.norm() + b.norm());
        if !scale.is_finite() {
            return None;
        }
        let sign = if t.z * scale > 0.0 { scale } else { -scale };
        a *= sign;
        b *= sign;
        t *= sign;
        // The nearest rotation, by singular values; a search for it may not end for half turns.
        let svd = Matrix3::from_columns(&[a, b, a.cross(&b)]).svd(true, true);
        let (left, right) = (svd.u?, svd.v_t?);
        let mirror = Matrix3::from_diagonal(&Vector3::new(1.0, 1.0, (left * right).determinant().signum()));
        let rotation = Rotation3::from_matrix_unchecked(left * mirror * right);
        let placed = Self { lens, pose: Pose { rotation, translation_mm: t } };
        (t.z > 0.0 && t.iter().all(|n| n.is_finite())).then_some(placed)
    }
}

/// The homography that takes four points of the plane to four points: 3 × 3, up to scale. None where three of either lie on a line.
pub(super) fn homography(from: [Point; 4], to: [Point; 4]) -> Option<Matrix3<f64>> {
    let (ta, a) = normalised(from)?;
    let (tb, b) = normalised(to)?;
    let mut rows = nalgebra::SMatrix::<f64, 8, 8>::zeros();
    let mut right = nalgebra::SVector::<f64, 8>::zeros();
    for (i, (p, q)) in a.iter().zip(b.iter()).enumerate() {
        let first = [p.x, p.y, 1.0, 0.0, 0.0, 0.0, -q.x * p.x, -q.x * p.y];
        let second = [0.0, 0.0, 0.0, p.x, p.y, 1.0, -q.y * p.x, -q.y * p.y];
        for (j, (one, two)) in first.iter().zip(second.iter()).enumerate() {
            *rows.get_mut((2 * i, j))? = *one;
            *rows.get_mut((2 * i + 1, j))? = *two;
        }
        *right.get_mut(2 * i)? = q.x;
        *right.get_mut(2 * i + 1)? = q.y;
    }
    let lu = rows.full_piv_lu();
    if lu.determinant().abs() < 1e-9 {
        return None;
    }
    let h = lu.solve(&right)?;
    let [h0, h1, h2, h3, h4, h5, h6, h7] = h.into();
    let h = Matrix3::new(h0, h1, h2, h3, h4, h5, h6, h7, 1.0);
    Some(tb.try_inverse()? * h * ta)
}

/// The four points moved and scaled to lie about 0 at a distance of about 1, and the matrix that did it.
fn normalised(points: [Point; 4]) -> Option<(Matrix3<f64>, [Point; 4])> {
    let n = 4.0;
    let (mx, my) = (points.iter().map(|p| p.x).sum::<f64>() / n, points.iter().map(|p| p.y).sum::<f64>() / n);
    let far = points.iter().map(|p| (p.x - mx).hypot(p.y - my)).sum::<f64>() / n;
    if !(far.is_finite() && far > 1e-12) {
        return None;
    }
    let s = 1.0 / far;
    let matrix = Matrix3::new(s, 0.0, -s * mx, 0.0, s, -s * my, 0.0, 0.0, 1.0);
    Some((matrix, points.map(|p| Point::new(s * (p.x - mx), s * (p.y - my)))))
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    /// A camera half a metre above the plane, a little tilted and turned.
    fn placed() -> Placed {
        let lens = Lens { k1: 0.012, ..Lens::of_35mm(1600.0, 1200.0, 26.0).unwrap() };
        let rotation = Rotation3::from_euler_angles(3.0, 0.2, 0.4);
        Placed { lens, pose: Pose { rotation, translation_mm: Vector3::new(20.0, -30.0, 480.0) } }
    }

    #[test]
    fn a_pixel_comes_back_from_the_plane() {
        let placed = placed();
        for (x, y) in [(0.0, 0.0), (42.8, -26.99), (-90.0, 70.0)] {
            let mm = Point::new(x, y);
            let back = placed.on_plane(placed.project_plane(mm).unwrap(), 0.0).unwrap();
            assert!((back - mm).hypot() < 1e-7, "{back} for {mm}");
            let lifted = placed.project(Point3::new(x, y, 12.0)).unwrap();
            assert!((placed.on_plane(lifted, 12.0).unwrap() - mm).hypot() < 1e-7);
        }
    }

    #[test]
    fn four_corners_place_the_camera() {
        let truth = placed();
        let card = [(-42.8, -26.99), (42.8, -26.99), (42.8, 26.99), (-42.8, 26.99)].map(|(x, y)| Point::new(x, y));
        let px = card.map(|p| truth.project_plane(p).unwrap());
        let found = Placed::from_four(truth.lens, card, px).unwrap();
        assert!(found.pose.rotation.angle_to(&truth.pose.rotation) < 1e-9);
        assert!((found.pose.translation_mm - truth.pose.translation_mm).norm() < 1e-6);
    }

    /// The script `tests/reference/outline_fits.py` made the file, with `OpenCV`.
    #[test]
    fn homographies_are_those_of_opencv() {
        let text = include_str!("../../../tests/reference/outline_fits.json");
        let all: serde_json::Value = serde_json::from_str(text).unwrap();
        let points = |value: &serde_json::Value| -> [Point; 4] {
            let pairs: Vec<(f64, f64)> = serde_json::from_value(value.clone()).unwrap();
            std::array::from_fn(|i| Point::from(*pairs.get(i).unwrap()))
        };
        let cases = all.get("homographies").unwrap().as_array().unwrap();
        assert_eq!(cases.len(), 20);
        for case in cases {
            let of = |name: &str| points(case.get(name).unwrap());
            let h = homography(of("from"), of("to")).unwrap();
            for (probe, image) in of("probes").into_iter().zip(of("image")) {
                let v = h * Vector3::new(probe.x, probe.y, 1.0);
                let own = Point::new(v.x / v.z, v.y / v.z);
                assert!((own - image).hypot() < 1e-5, "{own}, not {image}");
            }
        }
    }

    #[test]
    fn four_points_on_a_line_place_nothing() {
        let line = [0.0, 1.0, 2.0, 3.0].map(|x| Point::new(x, 2.0 * x));
        let square = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)].map(|(x, y)| Point::new(x, y));
        assert_eq!(homography(square, line), None);
        assert_eq!(homography(square, [Point::ZERO; 4]), None);
    }
}
