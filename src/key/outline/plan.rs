//! Plans: outlines seen from above.

use super::super::shape::Plan;
use super::band::{ellipse, polygon as closed};
use kurbo::{BezPath, Point, Shape as _, Vec2};
use std::f64::consts::{PI, TAU};

/// Corner radius of an oblong, as a share of half its short side.
const OBLONG_CORNER: f64 = 0.45;

impl Plan {
    /// Long side ÷ short side; 1 for every plan but ovals and oblongs, and for those never below 1.
    pub fn aspect(&self) -> f64 {
        match *self {
            Self::Oval(aspect) | Self::Oblong(aspect) if aspect.is_finite() => aspect.clamp(1.0, 20.0),
            _ => 1.0,
        }
    }

    /// Half the short side in the direction of y, for a plan of that half long side.
    pub fn half_short_mm(&self, half_long_mm: f64) -> f64 {
        self.path(half_long_mm).bounding_box().max_y()
    }

    /// Area of the plan of that half long side.
    pub fn area(&self, half_long_mm: f64) -> f64 {
        self.path(half_long_mm).area().abs()
    }

    /// Distance of the outline from the middle at that angle (radians, from the long side's direction, counter-clockwise), for a half long side
    /// of 1. Not defined for an angle that is not finite: 1 then.
    pub fn radius_at(&self, angle_rad: f64) -> f64 {
        if !angle_rad.is_finite() {
            return 1.0;
        }
        let (sin, cos) = angle_rad.sin_cos();
        match *self {
            Self::Oval(_) => 1.0 / cos.hypot(sin * self.aspect()),
            Self::RoundedSquare => (cos.powi(4) + sin.powi(4)).powf(-0.25),
            Self::Oblong(_) => oblong_radius(self.aspect(), cos.abs(), sin.abs()),
            Self::Sided(n) if n >= 3 => {
                let step = TAU / f64::from(n);
                let (start, scale) = polygon(n);
                let from_flat = (angle_rad - start).rem_euclid(step) - step / 2.0;
                scale * (step / 2.0).cos() / from_flat.cos()
            }
            Self::Lobed(n) if n >= 2 => {
                let step = TAU / f64::from(n);
                let (middle, radius) = lobe(n);
                let within = (angle_rad + step / 2.0).rem_euclid(step) - step / 2.0;
                middle * within.cos() + (radius * radius - (middle * within.sin()).powi(2)).max(0.0).sqrt()
            }
            Self::Round | Self::Sided(_) | Self::Lobed(_) => 1.0,
        }
    }

    /// The closed outline about (0, 0), its long side along x, in the unit of `half_long_mm`. Empty where that is not above 0.
    pub fn path(&self, half_long_mm: f64) -> BezPath {
        if !(half_long_mm.is_finite() && half_long_mm > 0.0) {
            return BezPath::new();
        }
        let a = half_long_mm;
        let b = a / self.aspect();
        match *self {
            Self::Sided(n) if n >= 3 => {
                let (start, scale) = polygon(n);
                let corner = |i: u8| (Vec2::from_angle(start + TAU * f64::from(i) / f64::from(n)) * (a * scale)).to_point();
                closed((0..n).map(corner))
            }
            Self::Lobed(n) if n >= 2 => {
                let step = TAU / f64::from(n);
                let at = |angle: f64| (Vec2::from_angle(angle) * (a * self.radius_at(angle))).to_point();
                let (middle, radius) = lobe(n);
                let (middle, radius) = (middle * a, radius * a);
                let mut path = BezPath::new();
                path.move_to(at(-step / 2.0));
                for i in 0..n {
                    let turn = step * f64::from(i);
                    let centre = (Vec2::from_angle(turn) * middle).to_point();
                    let from = (at(turn - step / 2.0) - centre).atan2();
                    let mut sweep = (at(turn + step / 2.0) - centre).atan2() - from;
                    if sweep <= 0.0 {
                        sweep += TAU;
                    }
                    kurbo::Arc::new(centre, (radius, radius), from, sweep, 0.0)
                        .to_cubic_beziers(1e-5 * a, |p1, p2, p3| path.curve_to(p1, p2, p3));
                }
                path.close_path();
                path
            }
            Self::RoundedSquare => smooth_polar(a, |angle| self.radius_at(angle)),
            Self::Oblong(_) => kurbo::RoundedRect::new(-a, -b, a, b, b * OBLONG_CORNER).to_path(1e-5 * a),
            _ => ellipse(Point::ORIGIN, a, b),
        }
    }
}

/// Angle of the first corner and circumradius of a polygon as wide as the unit circle, standing on a flat where it can.
fn polygon(n: u8) -> (f64, f64) {
    let sides = f64::from(n);
    if n.is_multiple_of(4) {
        (PI / sides, 1.0 / (PI / sides).cos())
    } else if n.is_multiple_of(2) {
        (0.0, 1.0)
    } else {
        // A corner up; the widest corner is the one nearest to the level line.
        let widest = (0..n).map(|i| (PI / 2.0 + TAU * f64::from(i) / sides).cos().abs()).fold(0.0, f64::max);
        (PI / 2.0, 1.0 / widest.max(1e-9))
    }
}

/// Distance of a lobe's centre from the middle, and its radius: arcs that reach 1 and meet their neighbours a little further in.
fn lobe(n: u8) -> (f64, f64) {
    let meet = 1.0 - (0.6 / f64::from(n)).clamp(0.04, 0.2);
    let middle = (1.0 - meet * meet) / (2.0 * (1.0 - meet * (PI / f64::from(n)).cos()));
    (middle, 1.0 - middle)
}

fn oblong_radius(aspect: f64, cos: f64, sin: f64) -> f64 {
    let b = 1.0 / aspect;
    let corner = b * OBLONG_CORNER;
    let (inner_x, inner_y) = (1.0 - corner, b - corner);
    let to_side = if cos > 1e-12 { 1.0 / cos } else { f64::INFINITY };
    let to_top = if sin > 1e-12 { b / sin } else { f64::INFINITY };
    if to_side * sin <= inner_y {
        to_side
    } else if to_top * cos <= inner_x {
        to_top
    } else {
        let along = inner_x * cos + inner_y * sin;
        along + (along * along - (inner_x * inner_x + inner_y * inner_y - corner * corner)).max(0.0).sqrt()
    }
}

/// A smooth closed outline of which the distance from the middle is known at every angle.
fn smooth_polar(scale: f64, radius: impl Fn(f64) -> f64) -> BezPath {
    const STEPS: u32 = 48;
    let step = TAU / f64::from(STEPS);
    let at = |angle: f64| (Vec2::from_angle(angle) * (scale * radius(angle))).to_point();
    let slope = |angle: f64| (at(angle + 1e-5) - at(angle - 1e-5)) / 2e-5;
    let mut path = BezPath::new();
    path.move_to(at(0.0));
    for i in 0..STEPS {
        let (from, to) = (f64::from(i) * step, f64::from(i + 1) * step);
        path.curve_to(at(from) + slope(from) * (step / 3.0), at(to) - slope(to) * (step / 3.0), at(to));
    }
    path.close_path();
    path
}
