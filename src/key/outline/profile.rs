//! Half profiles: the curve through the points, the inside of the wall, and what can be measured on them.

use super::super::shape::{FootKind, Point, Shape};
use kurbo::{BezPath, PathEl, Vec2};

/// Lengths beyond this many millimetres are drawn at it: no tableware is larger, and a slip of the pen must not stall a drawing.
const LARGEST_MM: f64 = 5_000.0;

/// The tolerance of every measure taken on a curve, in millimetres.
pub(super) const FINE_MM: f64 = 0.02;

/// A point of a profile that can be drawn.
#[derive(Debug, Clone, Copy)]
struct Knot {
    at: kurbo::Point,
    sharp: bool,
}

/// The points that can be drawn: finite ones, within reason, no two alike in a row. Radii below 0 become 0.
fn knots(points: &[Point]) -> Vec<Knot> {
    let mut knots: Vec<Knot> = Vec::with_capacity(points.len());
    for point in points {
        let (r, h, sharp) = match *point {
            Point::Curve(r, h) => (r, h, false),
            Point::Corner(r, h) => (r, h, true),
        };
        if !r.is_finite() || !h.is_finite() {
            continue;
        }
        let at = kurbo::Point::new(r.clamp(0.0, LARGEST_MM), h.clamp(-LARGEST_MM, LARGEST_MM));
        match knots.last_mut() {
            Some(last) if last.at.distance(at) < 1e-6 => last.sharp |= sharp,
            _ => knots.push(Knot { at, sharp }),
        }
    }
    knots
}

/// Directions in which a smooth run passes its knots (not of unit length; zero at a cusp).
///
/// Within the run, the slope of the parabola through three neighbours, coordinate by coordinate, zero in a coordinate that turns there: so the belly
/// of a pot is upright exactly where it was written. At an end, the neighbour's direction mirrored on the chord, which makes the last piece an arc.
fn directions(run: &[Knot]) -> Vec<Vec2> {
    let chords: Vec<Vec2> = run.windows(2).map(|w| if let [a, b] = w { b.at - a.at } else { Vec2::ZERO }).collect();
    let inner: Vec<Vec2> = chords
        .windows(2)
        .map(|w| {
            let [before, after] = w else { return Vec2::ZERO };
            let (h0, h1) = (before.hypot(), after.hypot());
            let (s0, s1) = (*before / h0, *after / h1);
            let turn = |a: f64, b: f64| if a * b <= 0.0 { 0.0 } else { a * h1 + b * h0 };
            Vec2::new(turn(s0.x, s1.x), turn(s0.y, s1.y))
        })
        .collect();
    let end = |neighbour: Option<&Vec2>, chord: Option<&Vec2>| match (neighbour, chord) {
        (Some(direction), Some(chord)) if direction.hypot() > 1e-9 => {
            let unit = chord.normalize();
            unit * (2.0 * direction.dot(unit)) - *direction
        }
        (_, Some(chord)) => *chord,
        _ => Vec2::ZERO,
    };
    let first = end(inner.first(), chords.first());
    let last = end(inner.last(), chords.last());
    std::iter::once(first).chain(inner).chain([last]).collect()
}

/// The arm of a curve's control point: along `direction`, as long as an arc of that turning needs, held inside the chord's rectangle.
///
/// A circle's arc that leaves its chord at an angle α has arms of chord ÷ (3 cos²(α/2)), from the usual 4/3 tan(φ/4) for a sweep of φ = 2α.
fn arm(direction: Vec2, chord: Vec2) -> Vec2 {
    let inward = |d: f64, c: f64| if d * c <= 0.0 { 0.0 } else { d };
    let direction = Vec2::new(inward(direction.x, chord.x), inward(direction.y, chord.y));
    if direction.hypot() < 1e-9 || chord.hypot() < 1e-9 {
        return Vec2::ZERO;
    }
    let unit = direction.normalize();
    let cos = unit.dot(chord.normalize()).clamp(0.0, 1.0);
    let length = chord.hypot() / (1.5 * (1.0 + cos));
    let room = |d: f64, c: f64| if d.abs() < 1e-12 { f64::INFINITY } else { (c / d).abs() };
    unit * length.min(room(unit.x, chord.x)).min(room(unit.y, chord.y))
}

/// The open curve through the points, in millimetres: smooth at `Curve` points, sharp at `Corner` points, straight between two corners.
///
/// Between two neighbours it stays inside their rectangle, so a radius or height written in the key is never passed. No points, or
/// none that are finite, give an empty path.
pub fn curve(points: &[Point]) -> BezPath {
    let knots = knots(points);
    let mut path = BezPath::new();
    let Some(first) = knots.first() else { return path };
    path.move_to(first.at);
    let mut rest = knots.as_slice();
    while rest.len() > 1 {
        let ends = rest.iter().skip(1).position(|knot| knot.sharp).map_or(rest.len(), |i| i + 2);
        let (run, _) = rest.split_at(ends);
        add_run(&mut path, run);
        rest = rest.split_at(ends - 1).1;
    }
    path
}

fn add_run(path: &mut BezPath, run: &[Knot]) {
    for (pair, direction) in run.windows(2).zip(directions(run).windows(2)) {
        let ([a, b], [leaving, arriving]) = (pair, direction) else { continue };
        if run.len() == 2 {
            path.line_to(b.at);
        } else {
            let chord = b.at - a.at;
            path.curve_to(a.at + arm(*leaving, chord), b.at - arm(*arriving, chord), b.at);
        }
    }
}

/// The open curve through the points as a polyline that strays from it by at most `tolerance_mm` (at least a micrometre).
pub fn polyline(points: &[Point], tolerance_mm: f64) -> Vec<(f64, f64)> {
    flat(&curve(points), tolerance_mm)
}

/// Any open path as a polyline.
pub(super) fn flat(path: &BezPath, tolerance_mm: f64) -> Vec<(f64, f64)> {
    let tolerance = if tolerance_mm.is_finite() { tolerance_mm.clamp(0.001, 100.0) } else { FINE_MM };
    let mut line = Vec::new();
    kurbo::flatten(path, tolerance, |el| match el {
        PathEl::MoveTo(p) | PathEl::LineTo(p) => line.push((p.x, p.y)),
        _ => {}
    });
    line
}

/// Largest radius of a polyline at that height; beyond its ends, the radius of the nearer end. `None` for an empty one.
pub(super) fn radius_at(line: &[(f64, f64)], height_mm: f64) -> Option<f64> {
    let mut widest: Option<f64> = None;
    for pair in line.windows(2) {
        let [(r0, h0), (r1, h1)] = *pair else { continue };
        if height_mm < h0.min(h1) || height_mm > h0.max(h1) {
            continue;
        }
        let r = if (h1 - h0).abs() < 1e-9 { r0.max(r1) } else { r0 + (r1 - r0) * (height_mm - h0) / (h1 - h0) };
        widest = Some(widest.map_or(r, |w| w.max(r)));
    }
    widest.or_else(|| line.iter().min_by(|a, b| (a.1 - height_mm).abs().total_cmp(&(b.1 - height_mm).abs())).map(|p| p.0))
}

/// Volume in cubic millimetres of the solid that a polyline sweeps about the axis, as a sum of frusta: exact for straight sides.
pub fn swept_volume_mm3(line: &[(f64, f64)]) -> f64 {
    let sum: f64 =
        line.windows(2).map(|w| if let [(r0, h0), (r1, h1)] = *w { (h1 - h0) * (r0 * r0 + r0 * r1 + r1 * r1) } else { 0.0 }).sum();
    std::f64::consts::PI / 3.0 * sum
}

impl Shape {
    /// Half profile of the body as (radius, height) from foot to rim. Empty where the shape has no usable points.
    pub fn body_profile(&self, tolerance_mm: f64) -> Vec<(f64, f64)> {
        polyline(&self.body, tolerance_mm)
    }

    /// Half profile of the lid where it sits, as (radius, height above the table) from its edge to its top. Empty where there is no lid.
    pub fn lid_profile(&self, tolerance_mm: f64) -> Vec<(f64, f64)> {
        let lift = self.lid_lift_mm();
        polyline(&self.lid, tolerance_mm).into_iter().map(|(r, h)| (r, h + lift)).collect()
    }

    /// Height of the lid's edge above the table.
    pub fn lid_lift_mm(&self) -> f64 {
        self.rim_height_mm() + finite(self.lid_sits_mm)
    }

    /// Radius of the rim: of the profile's last point.
    pub fn rim_radius_mm(&self) -> f64 {
        knots(&self.body).last().map_or(0.0, |k| k.at.x)
    }

    /// Height of the rim: of the profile's last point.
    pub fn rim_height_mm(&self) -> f64 {
        knots(&self.body).last().map_or(0.0, |k| k.at.y)
    }

    /// Radius on the table: of the profile's first point.
    pub fn foot_radius_mm(&self) -> f64 {
        knots(&self.body).first().map_or(0.0, |k| k.at.x)
    }

    /// Largest radius of the body. The curve never passes its points, so it is the largest of them.
    pub fn max_radius_mm(&self) -> f64 {
        knots(&self.body).iter().map(|k| k.at.x).fold(0.0, f64::max)
    }

    /// Greatest radius of the lid; 0 without one.
    pub fn lid_radius_mm(&self) -> f64 {
        knots(&self.lid).iter().map(|k| k.at.x).fold(0.0, f64::max)
    }

    /// Height of the body without lid: of its highest point, with a lip that rises above the rim.
    pub fn body_height_mm(&self) -> f64 {
        knots(&self.body).iter().map(|k| k.at.y).fold(0.0, f64::max)
    }

    /// Height with lid and finial; without a lid, that of the body.
    pub fn height_mm(&self) -> f64 {
        self.lid_top_mm().map_or(0.0, |top| top + self.finial_height_mm()).max(self.body_height_mm())
    }

    /// Height of the lid's highest point above the table, without finial. `None` where there is no lid.
    pub fn lid_top_mm(&self) -> Option<f64> {
        let lift = self.lid_lift_mm();
        knots(&self.lid).iter().map(|k| k.at.y + lift).max_by(f64::total_cmp)
    }

    /// Height at which the foot ends and the body begins, for pointing at it: the waist above the foot, or a twentieth of the height where
    /// there is none.
    pub fn foot_height_mm(&self) -> f64 {
        let knots = knots(&self.body);
        let (Some(first), height) = (knots.first(), self.body_height_mm()) else { return 0.0 };
        if self.foot == FootKind::Stumps {
            return first.at.y.max(0.0);
        }
        let limit = height * if self.foot == FootKind::Pedestal { 0.75 } else { 0.25 };
        let waist = knots.iter().skip(1).filter(|k| k.at.y > 0.2 && k.at.y <= limit).min_by(|a, b| a.at.x.total_cmp(&b.at.x));
        match waist {
            Some(waist) if waist.at.x < self.max_radius_mm() - 0.1 && self.foot != FootKind::Flat => waist.at.y,
            _ => (height * 0.05).min(3.0),
        }
    }

    /// Height of the hollow under the body: what a foot ring lifts it by, 0 for a flat foot.
    pub fn underside_mm(&self) -> f64 {
        let foot = self.foot_height_mm();
        match self.foot {
            FootKind::Flat => 0.0,
            FootKind::Ring => foot.min(8.0),
            FootKind::Hollow => foot.clamp(1.0, 6.0).min(self.body_height_mm() * 0.2),
            FootKind::Stumps => foot,
            FootKind::Pedestal => (foot - self.wall()).max(0.0),
        }
    }

    /// The wall as drawn: finite and not below a quarter of a millimetre.
    pub(super) fn wall(&self) -> f64 {
        if self.wall_mm.is_finite() { self.wall_mm.clamp(0.25, 50.0) } else { 5.0 }
    }

    /// Half profile of the inside, from the middle of the floor out and up to the rim, `wall_mm` in from the outside everywhere.
    ///
    /// At each height the inner radius is the largest at which a disc of the wall's radius stays inside the outside profile and above the
    /// underside, so the line cannot cross itself or the outside. Flat ware is thick to its very edge only if its profile ends with that edge: two
    /// points above each other, a wall apart. Empty where the body leaves no inside (thinner than two walls).
    pub fn inner_profile(&self, tolerance_mm: f64) -> Vec<(f64, f64)> {
        let wall = self.wall();
        let rim = self.rim_height_mm();
        let underside = self.underside_mm();
        let floor = underside + wall;
        let outside: Vec<(f64, f64)> =
            dense(&self.body_profile(FINE_MM), wall / 6.0).into_iter().filter(|&(_, h)| h >= underside - 1e-9).collect();
        if outside.len() < 2 || floor >= rim {
            return Vec::new();
        }
        let inner_at = |h: f64| {
            outside
                .iter()
                .filter(|p| (p.1 - h).abs() <= wall)
                .map(|p| p.0 - (wall * wall - (p.1 - h) * (p.1 - h)).max(0.0).sqrt())
                .min_by(f64::total_cmp)
        };
        let steps = ((rim - floor) / (wall / 4.0)).ceil().clamp(8.0, 400.0) as usize;
        let mut line = vec![(0.0, floor)];
        for i in 0..=steps {
            let h = floor + (rim - floor) * i as f64 / steps as f64;
            match inner_at(h) {
                Some(r) if r > 1e-6 => line.push((r, h)),
                // Still solid here: the floor is higher than thought.
                _ => line = vec![(0.0, h)],
            }
        }
        if line.len() < 2 { Vec::new() } else { simplify(&line, if tolerance_mm.is_finite() { tolerance_mm.max(0.001) } else { FINE_MM }) }
    }

    /// What the body holds when full to the rim, in millilitres: the inside swept about the axis, narrowed to the plan of the rim. 0 where
    /// there is no inside.
    pub fn brim_capacity_ml(&self) -> f64 {
        let round = std::f64::consts::PI;
        let narrowed = if self.plan.area(1.0) > 0.0 { self.plan.area(1.0) / round } else { 1.0 };
        swept_volume_mm3(&self.inner_profile(0.05)) * narrowed / 1000.0
    }
}

pub(super) fn finite(x: f64) -> f64 {
    if x.is_finite() { x.clamp(-LARGEST_MM, LARGEST_MM) } else { 0.0 }
}

/// The same polyline with no step longer than `step_mm`.
fn dense(line: &[(f64, f64)], step_mm: f64) -> Vec<(f64, f64)> {
    let mut out: Vec<(f64, f64)> = line.first().copied().into_iter().collect();
    for pair in line.windows(2) {
        let [(r0, h0), (r1, h1)] = *pair else { continue };
        let pieces = ((r1 - r0).hypot(h1 - h0) / step_mm).ceil().clamp(1.0, 200.0) as usize;
        out.extend((1..=pieces).map(|i| i as f64 / pieces as f64).map(|t| (r0 + (r1 - r0) * t, h0 + (h1 - h0) * t)));
    }
    out
}

/// The same polyline without the points that lie within `tolerance_mm` of the line between those kept (Douglas & Peucker).
fn simplify(line: &[(f64, f64)], tolerance_mm: f64) -> Vec<(f64, f64)> {
    let (Some(&(x0, y0)), Some(&(x1, y1))) = (line.first(), line.last()) else { return Vec::new() };
    let length = (x1 - x0).hypot(y1 - y0);
    let off = |&(x, y): &(f64, f64)| {
        if length < 1e-12 { (x - x0).hypot(y - y0) } else { ((x - x0) * (y1 - y0) - (y - y0) * (x1 - x0)).abs() / length }
    };
    let farthest = line.iter().enumerate().skip(1).take(line.len().saturating_sub(2)).max_by(|a, b| off(a.1).total_cmp(&off(b.1)));
    match farthest {
        Some((i, point)) if off(point) > tolerance_mm => {
            let mut kept = simplify(line.get(..=i).unwrap_or_default(), tolerance_mm);
            kept.pop();
            kept.extend(simplify(line.get(i..).unwrap_or_default(), tolerance_mm));
            kept
        }
        _ if line.len() > 1 => vec![(x0, y0), (x1, y1)],
        _ => vec![(x0, y0)],
    }
}
