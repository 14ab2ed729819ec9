//! The ring that letters stand on: an ellipse in the photograph, and places told by how far round and how far out they lie.

use kurbo::{Point, Vec2};
use serde::Serialize;
use std::f64::consts::{PI, TAU};

/// What the ellipse is a picture of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum RingKind {
    /// A round mark seen at a slant: equal angles of the circle are equal lengths of print, and letters are pressed flat as the circle is.
    Round,
    /// An oval mark seen straight on: print runs along the oval, and letters stand square to it.
    Oval,
}

/// A ring in a photograph. Lengths are pixels of the photograph, x to the right and y down, so that angles run clockwise from the right.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ring {
    /// Its middle.
    pub centre: Point,
    /// Half the major axis, at least `minor`.
    pub major: f64,
    /// Half the minor axis, above 0.
    pub minor: f64,
    /// From the right to the major axis, clockwise, 0 to π.
    pub turn_rad: f64,
    /// What it is a picture of.
    pub kind: RingKind,
}

/// Narrower than this, an ellipse is taken for an oval rather than a slanted circle: a camera would have to lean by 34°.
pub const ROUND_FROM: f64 = 0.83;

impl Ring {
    /// A ring from half axes in either order. Which it pictures goes by how narrow it is.
    ///
    /// Axes below a thousandth of a pixel are taken as that.
    pub fn new(centre: Point, half_axes: (f64, f64), turn_rad: f64) -> Self {
        let (a, b) = (half_axes.0.abs().max(1e-3), half_axes.1.abs().max(1e-3));
        let (major, minor, turn) = if a >= b { (a, b, turn_rad) } else { (b, a, turn_rad + PI / 2.0) };
        let kind = if minor / major >= ROUND_FROM { RingKind::Round } else { RingKind::Oval };
        Self { centre, major, minor, turn_rad: turn.rem_euclid(PI), kind }
    }

    /// The circle about a middle through a point: two handles.
    pub fn through(centre: Point, on_ring: Point) -> Self {
        let radius = centre.distance(on_ring);
        Self::new(centre, (radius, radius), 0.0)
    }

    /// The oval about a middle through the end of one axis and as far as another point lies square to it: three handles.
    pub fn oval_through(centre: Point, end: Point, side: Point) -> Self {
        let along = end - centre;
        let length = along.hypot().max(1e-3);
        let across = (side - centre).cross(along / length).abs();
        Self::new(centre, (length, across), along.atan2())
    }

    /// The radius of a circle of the same area.
    pub fn radius(&self) -> f64 {
        (self.major * self.minor).sqrt()
    }

    /// The ring grown by so many times.
    #[must_use]
    pub fn scaled(self, by: f64) -> Self {
        Self { major: self.major * by, minor: self.minor * by, ..self }
    }

    /// The same ring after the picture was made `by` times larger, and its corner moved to `origin` before that.
    #[must_use]
    pub(crate) fn moved(self, by: f64, origin: Vec2) -> Self {
        Self { centre: ((self.centre - origin).to_vec2() * by).to_point(), ..self.scaled(by) }
    }

    /// From the unit circle to the ellipse without turning it.
    fn stretch(&self, v: Vec2) -> Vec2 {
        let (sin, cos) = self.turn_rad.sin_cos();
        let (along, across) = (self.major * (v.x * cos + v.y * sin), self.minor * (v.y * cos - v.x * sin));
        Vec2::new(along * cos - across * sin, along * sin + across * cos)
    }

    fn shrink(&self, v: Vec2) -> Vec2 {
        Self { major: 1.0 / self.major, minor: 1.0 / self.minor, ..*self }.stretch(v)
    }

    /// Whether a place lies within the ellipse.
    pub fn holds(&self, p: Point) -> bool {
        self.shrink(p - self.centre).hypot2() <= 1.0
    }

    /// The place `out_px` outside the ring, in the direction `round_rad` of the circle that the ring pictures (of an oval: of the circle it is drawn from).
    pub fn at(&self, round_rad: f64, out_px: f64) -> Point {
        let unit = Vec2::from_angle(round_rad);
        match self.kind {
            RingKind::Round => self.centre + self.stretch(unit) * (1.0 + out_px / self.radius()),
            RingKind::Oval => {
                let normal = self.shrink(unit);
                let length = normal.hypot().max(1e-12);
                self.centre + self.stretch(unit) + normal * (out_px / length)
            }
        }
    }

    /// How far round and how far out a place lies: what [`at`](Self::at) takes. Of an oval exact outside its evolute, which no letter reaches.
    pub fn place_of(&self, p: Point) -> (f64, f64) {
        let rel = p - self.centre;
        let unit = self.shrink(rel);
        let mut round = unit.atan2();
        match self.kind {
            RingKind::Round => (round, (unit.hypot() - 1.0) * self.radius()),
            RingKind::Oval => {
                // The foot of the perpendicular: where the way to the place is square to the curve (Newton, kept to small steps).
                for _ in 0..12 {
                    let (on, along, bent) = self.curve(round);
                    let to = rel - on;
                    let slope = along.dot(along) - to.dot(bent);
                    let step = to.dot(along) / if slope > 1e-9 { slope } else { along.dot(along).max(1e-9) };
                    round += step.clamp(-0.3, 0.3);
                    if step.abs() < 1e-10 {
                        break;
                    }
                }
                let normal = self.shrink(Vec2::from_angle(round));
                let out = (rel - self.stretch(Vec2::from_angle(round))).dot(normal / normal.hypot().max(1e-12));
                (wrapped(round), out)
            }
        }
    }

    /// The place, velocity and acceleration at an angle, from the middle.
    fn curve(&self, round_rad: f64) -> (Vec2, Vec2, Vec2) {
        let on = self.stretch(Vec2::from_angle(round_rad));
        (on, self.stretch(Vec2::from_angle(round_rad + PI / 2.0)), -on)
    }

    /// Length of print from one angle to another, clockwise, in pixels of the ring.
    pub fn length(&self, from_rad: f64, to_rad: f64) -> f64 {
        match self.kind {
            RingKind::Round => (to_rad - from_rad) * self.radius(),
            RingKind::Oval => {
                let steps = 256;
                let step = (to_rad - from_rad) / f64::from(steps);
                (0..steps).map(|k| self.curve(from_rad + (f64::from(k) + 0.5) * step).1.hypot() * step).sum()
            }
        }
    }

    /// The angles at so many equal steps of print, the ends included.
    pub(crate) fn even_angles(&self, from_rad: f64, to_rad: f64, steps: usize) -> Vec<f64> {
        let steps = steps.max(1);
        let straight = |k: usize| from_rad + (to_rad - from_rad) * k as f64 / steps as f64;
        match self.kind {
            RingKind::Round => (0..=steps).map(straight).collect(),
            RingKind::Oval => {
                // Run along the curve, then read the angle off at each length.
                let fine = 1024;
                let step = (to_rad - from_rad) / f64::from(fine);
                let mut run = vec![0.0];
                let mut sum = 0.0;
                for k in 0..fine {
                    sum += self.curve(from_rad + (f64::from(k) + 0.5) * step).1.hypot();
                    run.push(sum);
                }
                let mut at = 0;
                (0..=steps)
                    .map(|k| {
                        let want = sum * k as f64 / steps as f64;
                        while run.get(at + 1).is_some_and(|next| *next < want) {
                            at += 1;
                        }
                        let (low, high) = (run.get(at).copied().unwrap_or(0.0), run.get(at + 1).copied().unwrap_or(sum));
                        from_rad + step * (at as f64 + (want - low) / (high - low).max(1e-12))
                    })
                    .collect()
            }
        }
    }

    /// The curve itself as so many points, closed by its first.
    pub fn outline(&self, points: usize) -> Vec<Point> {
        (0..=points).map(|k| self.at(TAU * k as f64 / points.max(1) as f64, 0.0)).collect()
    }
}

/// An angle between −π and π.
pub(crate) fn wrapped(rad: f64) -> f64 {
    (rad + PI).rem_euclid(TAU) - PI
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_comes_back_from_where_it_lies_on_the_ring() {
        for (half_axes, turn) in [((80.0, 80.0), 0.0), ((90.0, 78.0), 0.7), ((120.0, 70.0), 2.9), ((60.0, 100.0), 0.3)] {
            let ring = Ring::new(Point::new(200.0, 150.0), half_axes, turn);
            for k in 0..24 {
                for out in [-20.0, 0.0, 15.0] {
                    let round = f64::from(k) * TAU / 24.0;
                    let (r, o) = ring.place_of(ring.at(round, out));
                    assert!(wrapped(r - round).abs() < 1e-6 && (o - out).abs() < 1e-6, "{half_axes:?} {round} {out}: {r} {o}");
                }
            }
        }
    }

    #[test]
    fn print_runs_evenly_along_an_oval() {
        let ring = Ring::new(Point::ZERO, (100.0, 50.0), 0.4);
        assert_eq!(ring.kind, RingKind::Oval);
        // Perimeter of an ellipse with half axes 2 and 1: 9.68844822 (complete elliptic integral, computed).
        assert!((ring.length(0.0, TAU) / 50.0 - 9.688_448_22).abs() < 1e-5);
        let angles = ring.even_angles(-1.0, 2.0, 30);
        let steps: Vec<f64> = angles.windows(2).filter_map(|w| Some(ring.length(*w.first()?, *w.last()?))).collect();
        let mean = steps.iter().sum::<f64>() / steps.len() as f64;
        assert!(steps.iter().all(|s| (s / mean - 1.0).abs() < 1e-3), "{steps:?}");
    }

    #[test]
    fn handles_make_the_ring_they_lie_on() {
        let ring = Ring::oval_through(Point::new(10.0, 10.0), Point::new(10.0, 60.0), Point::new(35.0, 30.0));
        assert!((ring.major - 50.0).abs() < 1e-9 && (ring.minor - 25.0).abs() < 1e-9 && (ring.turn_rad - PI / 2.0).abs() < 1e-9);
        let nothing = Ring::through(Point::ZERO, Point::ZERO);
        assert!(nothing.at(0.0, 0.0).is_finite() && nothing.place_of(Point::new(1.0, 1.0)).1.is_finite());
    }
}
