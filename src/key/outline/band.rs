//! Bent bands and rounded polygons, of which handles, spouts and finials are made.

use super::profile::flat;
use kurbo::{BezPath, Point, Shape as _, Vec2};

/// Closed outline of a band along a centre line. `width` gives its full width at each share of the length, 0 at the start and 1 at the end.
///
/// Corners of the centre line are mitred, at most to twice the half width. Empty where the centre line has no length.
pub(super) fn band(centre: &BezPath, width: impl Fn(f64) -> f64) -> BezPath {
    let points: Vec<Point> = flat(centre, 0.03).into_iter().map(Point::from).collect();
    let mut line: Vec<Point> = Vec::with_capacity(points.len());
    for point in points {
        if line.last().is_none_or(|last| last.distance(point) > 1e-6) {
            line.push(point);
        }
    }
    let length: f64 = steps(&line).map(Vec2::hypot).sum();
    if line.len() < 2 || length < 1e-6 {
        return BezPath::new();
    }
    let directions: Vec<Vec2> = steps(&line).map(Vec2::normalize).collect();
    let before = directions.first().into_iter().chain(&directions);
    let after = directions.iter().chain(directions.last());
    let mut run = 0.0;
    let mut left = Vec::with_capacity(line.len());
    let mut right = Vec::with_capacity(line.len());
    let lengths = std::iter::once(0.0).chain(steps(&line).map(Vec2::hypot));
    for (((point, d0), d1), step) in line.iter().zip(before).zip(after).zip(lengths) {
        run += step;
        let mean = *d0 + *d1;
        let mean = if mean.hypot() < 1e-6 { *d1 } else { mean.normalize() };
        let mitre = 1.0 / mean.dot(*d1).max(0.5);
        let aside = Vec2::new(-mean.y, mean.x) * (width(run / length).max(0.0) / 2.0 * mitre);
        left.push(*point + aside);
        right.push(*point - aside);
    }
    polygon(left.into_iter().chain(right.into_iter().rev()))
}

fn steps(line: &[Point]) -> impl Iterator<Item = Vec2> {
    line.windows(2).map(|w| if let [a, b] = w { *b - *a } else { Vec2::ZERO })
}

/// A closed polygon.
pub(super) fn polygon(points: impl IntoIterator<Item = Point>) -> BezPath {
    let mut path = BezPath::new();
    for (i, point) in points.into_iter().enumerate() {
        if i == 0 {
            path.move_to(point);
        } else {
            path.line_to(point);
        }
    }
    if !path.elements().is_empty() {
        path.close_path();
    }
    path
}

/// A closed polygon whose corners are rounded by the radius given with each, as far as its sides allow.
pub(super) fn rounded(corners: &[(f64, f64, f64)]) -> BezPath {
    let mut path = BezPath::new();
    let n = corners.len();
    for (i, &(x, y, radius)) in corners.iter().enumerate() {
        let (Some(&(px, py, _)), Some(&(nx, ny, _))) = (corners.get((i + n - 1) % n), corners.get((i + 1) % n)) else { continue };
        let at = Point::new(x, y);
        let (back, on) = (Point::new(px, py) - at, Point::new(nx, ny) - at);
        let (back_length, on_length) = (back.hypot(), on.hypot());
        let half = if back_length < 1e-9 || on_length < 1e-9 {
            0.0
        } else {
            (back.dot(on) / (back_length * on_length)).clamp(-1.0, 1.0).acos() / 2.0
        };
        let cut = if half < 1e-6 { 0.0 } else { (radius / half.tan()).min(back_length / 2.0).min(on_length / 2.0).max(0.0) };
        let (from, to) = if cut < 1e-9 { (at, at) } else { (at + back * (cut / back_length), at + on * (cut / on_length)) };
        if path.elements().is_empty() {
            path.move_to(from);
        } else {
            path.line_to(from);
        }
        if cut >= 1e-9 {
            path.curve_to(from + (at - from) * 0.6, to + (at - to) * 0.6, to);
        }
    }
    if !path.elements().is_empty() {
        path.close_path();
    }
    path
}

/// The mirror image at the axis, running the same way round.
pub(super) fn mirrored(path: &BezPath) -> BezPath {
    let mut other = path.clone();
    other.apply_affine(kurbo::Affine::FLIP_X);
    other.reverse_subpaths()
}

/// An ellipse that runs against the outline it is cut out of, so that it is a hole by either filling rule.
pub(super) fn hole(centre: Point, radius_x: f64, radius_y: f64) -> BezPath {
    ellipse(centre, radius_x.max(0.0), radius_y.max(0.0)).reverse_subpaths()
}

/// A closed ellipse, counter-clockwise with y upward.
pub(super) fn ellipse(centre: Point, radius_x: f64, radius_y: f64) -> BezPath {
    let size = radius_x.abs().max(radius_y.abs());
    let mut path = kurbo::Ellipse::new(centre, (radius_x, radius_y), 0.0).to_path((1e-5 * size).max(1e-6));
    path.close_path();
    path
}
