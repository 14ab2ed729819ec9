//! Circle, ellipse and superellipse: the curves a rim makes, and how far a point lies from one.

use kurbo::{Point, Vec2};
use serde::Serialize;
use std::f64::consts::{PI, TAU};

/// Which curve.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Model {
    /// One radius.
    Circle,
    /// Two half axes.
    Ellipse,
    /// |x/a|ⁿ + |y/b|ⁿ = 1 with n above 2: a square or oblong with rounded corners and gently bowed sides.
    Superellipse,
}

/// A curve |x/a|ⁿ + |y/b|ⁿ = 1 about its middle, turned. Lengths are millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shape {
    /// The middle.
    pub centre: Point,
    /// Half the major axis.
    pub a: f64,
    /// Half the minor axis.
    pub b: f64,
    /// From the x axis to the major axis, in radians.
    pub turn_rad: f64,
    /// The exponent n: 2 for a circle and an ellipse.
    pub exponent: f64,
}

impl Shape {
    /// A circle.
    pub const fn circle(centre: Point, radius: f64) -> Self {
        Self { centre, a: radius, b: radius, turn_rad: 0.0, exponent: 2.0 }
    }

    /// Whether the exponent is that of a circle or an ellipse.
    pub fn is_ellipse(&self) -> bool {
        self.exponent <= 2.0
    }

    /// The same with its longer axis first and turned by 0 to π.
    #[must_use]
    pub fn ordered(self) -> Self {
        let (a, b, turn) = if self.a >= self.b { (self.a, self.b, self.turn_rad) } else { (self.b, self.a, self.turn_rad + PI / 2.0) };
        Self { a, b, turn_rad: turn.rem_euclid(PI), ..self }
    }

    /// Radius at the direction `angle_rad` from the major axis, and its change with the angle.
    fn radius(&self, angle_rad: f64) -> (f64, f64) {
        let (s, c) = angle_rad.sin_cos();
        if self.is_ellipse() {
            let g = (c / self.a).powi(2) + (s / self.b).powi(2);
            let dg = 2.0 * s * c * (1.0 / self.b.powi(2) - 1.0 / self.a.powi(2));
            let r = g.sqrt().recip();
            return (r, -r * dg / (2.0 * g));
        }
        let n = self.exponent;
        let (u, v) = ((c / self.a).abs(), (s / self.b).abs());
        let (un, vn) = (u.powf(n - 1.0), v.powf(n - 1.0));
        let g = un * u + vn * v;
        let dg = n * (vn * c * s.signum() / self.b - un * s * c.signum() / self.a);
        let r = g.powf(-1.0 / n);
        (r, -r * dg / (n * g))
    }

    /// The point of the curve in the direction `angle_rad` from the middle, measured from the major axis.
    pub fn at(&self, angle_rad: f64) -> Point {
        let (r, _) = self.radius(angle_rad);
        self.centre + Vec2::from_angle(angle_rad + self.turn_rad) * r
    }

    /// How far beyond the curve a point lies, along the line from the middle; below 0 within it.
    pub(super) fn beyond(&self, p: Point) -> f64 {
        let v = p - self.centre;
        v.hypot() - self.radius(v.atan2() - self.turn_rad).0
    }

    /// The outward normal there.
    pub fn normal(&self, angle_rad: f64) -> Vec2 {
        let (r, dr) = self.radius(angle_rad);
        let u = Vec2::from_angle(angle_rad + self.turn_rad);
        let tangent = u * dr + Vec2::new(-u.y, u.x) * r;
        Vec2::new(tangent.y, -tangent.x).normalize()
    }

    /// `n` points round the curve.
    pub fn points(&self, n: usize) -> Vec<Point> {
        (0..n).map(|i| self.at(TAU * i as f64 / n as f64)).collect()
    }

    /// The shortest distance from the curve, above 0 outside it, and the direction from the major axis in which its foot lies: by Gauss–Newton
    /// steps along the curve, exact to 1e-6 mm for points within a few millimetres of it.
    pub fn distance(&self, p: Point) -> (f64, f64) {
        self.distance_by(p, (p - self.centre).atan2() - self.turn_rad)
    }

    /// The same by a direction near which the foot is known to lie.
    pub(super) fn distance_by(&self, p: Point, near_rad: f64) -> (f64, f64) {
        let v = p - self.centre;
        let (s, c) = self.turn_rad.sin_cos();
        let own = Vec2::new(v.x * c + v.y * s, v.y * c - v.x * s);
        let mut angle = near_rad;
        let mut miss = own;
        let mut normal = Vec2::ZERO;
        for _ in 0..12 {
            let (r, dr) = self.radius(angle);
            let u = Vec2::from_angle(angle);
            let tangent = u * dr + Vec2::new(-u.y, u.x) * r;
            miss = own - u * r;
            normal = Vec2::new(tangent.y, -tangent.x) / tangent.hypot();
            let step = miss.dot(tangent) / tangent.hypot2();
            angle += step.clamp(-0.15, 0.15);
            // The distance along the normal errs by the square of what is left of the way to the foot.
            if step.abs() < 1e-5 {
                break;
            }
        }
        (miss.dot(normal), angle)
    }

    /// Area within, in mm²: 4ab·Γ(1 + 1/n)²/Γ(1 + 2/n), which is πab for n = 2 (the Lamé curve's area, from memory; the ellipse is
    /// exact).
    pub fn area(&self) -> f64 {
        let n = self.exponent;
        4.0 * self.a * self.b * libm::tgamma(1.0 + 1.0 / n).powi(2) / libm::tgamma(1.0 + 2.0 / n)
    }

    /// Perimeter in mm. Circle and ellipse by Ramanujan's second formula (Modular equations and approximations to π, Quart. J. Math. 45, 1914,
    /// 350–372), the superellipse by a polygon of 4096 corners.
    pub fn perimeter(&self) -> f64 {
        if self.is_ellipse() {
            let h = ((self.a - self.b) / (self.a + self.b)).powi(2);
            return PI * (self.a + self.b) * (1.0 + 3.0 * h / (10.0 + (4.0 - 3.0 * h).sqrt()));
        }
        let points = self.points(4096);
        let next = points.iter().cycle().skip(1);
        points.iter().zip(next).map(|(p, q)| (*q - *p).hypot()).sum()
    }

    /// Radius of curvature where the curve bends most, in mm: b²/a for an ellipse; for a superellipse the radius of its rounded corner.
    pub fn corner_radius(&self) -> f64 {
        if self.is_ellipse() {
            return self.b.min(self.a).powi(2) / self.a.max(self.b);
        }
        let n = 720;
        let points = self.points(n);
        let at = |i: usize| points.get(i % n).copied().unwrap_or_default();
        (0..n).map(|i| circumradius(at(i + n - 2), at(i), at(i + 2))).fold(f64::INFINITY, f64::min)
    }
}

/// Radius of the circle through three points; infinite where they lie on a line.
fn circumradius(a: Point, b: Point, c: Point) -> f64 {
    let twice_area = (b - a).cross(c - a).abs();
    (a - b).hypot() * (b - c).hypot() * (c - a).hypot() / (2.0 * twice_area).max(1e-300)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_circle_and_the_ellipse_have_their_known_measures() {
        let circle = Shape::circle(Point::new(3.0, 4.0), 60.0);
        assert!((circle.area() - PI * 3600.0).abs() < 1e-8);
        assert!((circle.perimeter() - TAU * 60.0).abs() < 1e-9);
        assert!((circle.corner_radius() - 60.0).abs() < 1e-9);
        // 4a·E(e) for a = 100, b = 60 (e = 0.8): E(0.8) = 1.276 349 943 (complete elliptic integral of the second kind, scipy.special.ellipe(0.64)).
        let ellipse = Shape { centre: Point::ZERO, a: 100.0, b: 60.0, turn_rad: 0.3, exponent: 2.0 };
        assert!((ellipse.perimeter() - 400.0 * 1.276_349_943_169_906).abs() < 2e-4, "{}", ellipse.perimeter());
        assert!((ellipse.corner_radius() - 36.0).abs() < 1e-9);
    }

    #[test]
    fn a_squarish_curve_lies_between_the_ellipse_and_the_oblong() {
        let shape = Shape { centre: Point::ZERO, a: 50.0, b: 40.0, turn_rad: 0.0, exponent: 4.0 };
        // A polygon of 100 000 corners by the shoelace formula.
        let points = shape.points(100_000);
        let area: f64 = points.iter().zip(points.iter().cycle().skip(1)).map(|(p, q)| p.to_vec2().cross(q.to_vec2()) / 2.0).sum();
        assert!((shape.area() / area - 1.0).abs() < 1e-8);
        assert!(shape.perimeter() < 4.0 * 90.0 && shape.perimeter() > Shape { exponent: 2.0, ..shape }.perimeter());
        assert!(shape.corner_radius() < Shape { exponent: 2.0, ..shape }.corner_radius());
    }

    #[test]
    fn distances_are_those_along_the_normal() {
        for (a, b, turn_rad, exponent) in [(70.0, 70.0, 0.0, 2.0), (80.0, 55.0, 1.1, 2.0), (90.0, 70.0, 0.4, 3.5)] {
            let shape = Shape { centre: Point::new(-20.0, 12.0), a, b, turn_rad, exponent };
            for i in 0..97 {
                let angle = TAU * f64::from(i) / 97.0;
                for miss in [-3.0, -0.2, 0.0, 0.4, 5.0] {
                    let (found, at) = shape.distance(shape.at(angle) + shape.normal(angle) * miss);
                    assert!((found - miss).abs() < 1e-6, "{a} {b} {exponent} {angle} {miss}: {found}");
                    assert!(((at - angle).sin()).abs() < 1e-5);
                }
            }
        }
    }
}
