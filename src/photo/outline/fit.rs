//! A curve through rim points by least squares of the shortest distances, with weights that handles and knobs lose.

use super::shape::{Model, Shape};
use crate::photo::camera::{Fit, Robust, least_squares};
use kurbo::{Point, Vec2};
use nalgebra::{DMatrix, DVector, Matrix3, Vector3};
use std::cell::Cell;

/// A curve fitted to points.
#[derive(Debug, Clone)]
pub struct Fitted {
    /// Which kind of curve.
    pub model: Model,
    /// The curve.
    pub shape: Shape,
    /// The parameters, in the order of the model: middle (2), ln of the geometric mean of the half axes, then for an ellipse ln(a/b) times cosine and
    /// sine of twice the turn, for a superellipse ln(a/b), the turn and ln(exponent / 2).
    pub at: DVector<f64>,
    /// Their covariance by the scatter of the points, widened for neighbours that err alike.
    pub covariance: DMatrix<f64>,
    /// Signed distances of the points, in mm.
    pub residuals: Vec<f64>,
    /// Weights of the points, 0 to 1.
    pub weights: Vec<f64>,
    /// Robust standard deviation of the distances, in mm.
    pub scale: f64,
    /// How many independent points those that count are worth.
    pub independent: f64,
}

/// A curve that was set by hand, as a fit to nothing. None where it is no curve.
pub(super) fn set(shape: &Shape) -> Option<Fitted> {
    let good =
        shape.a > 1.0 && shape.b > 1.0 && shape.a < 2000.0 && shape.b < 2000.0 && shape.centre.is_finite() && shape.turn_rad.is_finite();
    let model = if shape.exponent > 2.0 { Model::Superellipse } else { Model::Ellipse };
    good.then(|| Fitted {
        model,
        shape: *shape,
        at: parameters_of(model, shape),
        covariance: DMatrix::zeros(parameters(model), parameters(model)),
        residuals: Vec::new(),
        weights: Vec::new(),
        scale: 0.0,
        independent: 0.0,
    })
}

/// Numbers of a model.
fn parameters(model: Model) -> usize {
    match model {
        Model::Circle => 3,
        Model::Ellipse => 5,
        Model::Superellipse => 6,
    }
}

/// The curve of those parameters.
pub(super) fn shape_at(model: Model, p: &DVector<f64>) -> Shape {
    let n = |i: usize| p.get(i).copied().unwrap_or(0.0);
    let centre = Point::new(n(0), n(1));
    let mean = n(2).clamp(-20.0, 20.0).exp();
    match model {
        Model::Circle => Shape::circle(centre, mean),
        Model::Ellipse => {
            let long = n(3).hypot(n(4)).min(4.0);
            let turn_rad = if long > 0.0 { 0.5 * n(4).atan2(n(3)) } else { 0.0 };
            Shape { centre, a: mean * (long / 2.0).exp(), b: mean * (-long / 2.0).exp(), turn_rad, exponent: 2.0 }
        }
        Model::Superellipse => {
            let long = n(3).clamp(-4.0, 4.0);
            let exponent = 2.0 * n(5).clamp(0.0, 3.0).exp();
            Shape { centre, a: mean * (long / 2.0).exp(), b: mean * (-long / 2.0).exp(), turn_rad: n(4), exponent: exponent.max(2.000_001) }
        }
    }
}

fn parameters_of(model: Model, shape: &Shape) -> DVector<f64> {
    let mut p = vec![shape.centre.x, shape.centre.y, (shape.a * shape.b).sqrt().ln()];
    let long = (shape.a / shape.b).ln();
    match model {
        Model::Circle => {}
        Model::Ellipse => p.extend([long * (2.0 * shape.turn_rad).cos(), long * (2.0 * shape.turn_rad).sin()]),
        Model::Superellipse => p.extend([long, shape.turn_rad, (shape.exponent / 2.0).max(1.02).ln()]),
    }
    DVector::from_vec(p)
}

/// The curve of that kind nearest the points, from a start. Points are taken in order round the rim. `least_mm` is the smallest scatter believed.
///
/// None where there are too few points or they do not hold the curve.
pub fn fit(points: &[Point], model: Model, start: &Shape, least_mm: f64) -> Option<Fitted> {
    fit_trusting(points, &vec![1.0; points.len()], model, start, least_mm)
}

/// The same with a trust in each point, 0 to 1, by which its distance is multiplied.
pub(super) fn fit_trusting(points: &[Point], trust: &[f64], model: Model, start: &Shape, least_mm: f64) -> Option<Fitted> {
    if points.len() < 12 || trust.len() != points.len() {
        return None;
    }
    let starts: Vec<Shape> = if model == Model::Superellipse && start.is_ellipse() {
        // An ellipse does not say which way the corners of an oblong lie.
        let turns: &[f64] = &[0.0, 0.25, 0.5, 0.75];
        turns
            .iter()
            .map(|t| {
                let turn = start.turn_rad + t * std::f64::consts::PI;
                // Half axes along the turned directions.
                let along = |angle: f64| (start.at(angle - start.turn_rad) - start.centre).hypot();
                Shape {
                    turn_rad: turn,
                    a: along(turn) * 0.97,
                    b: along(turn + std::f64::consts::FRAC_PI_2) * 0.97,
                    exponent: 2.8,
                    ..*start
                }
            })
            .collect()
    } else {
        vec![*start]
    };
    let width = start.a.max(start.b).max(1.0);
    let step = DVector::from_fn(parameters(model), |i, _| if i < 2 { 1e-5 * width } else { 1e-5 });
    let by_every = |begin: DVector<f64>, every: usize| {
        let begun = shape_at(model, &begin);
        // Of each point the direction in which its foot was last: for the next curve it is nearly there.
        let some: Vec<(Point, f64, Cell<f64>)> =
            points.iter().zip(trust).step_by(every).map(|(q, t)| (*q, *t, Cell::new((*q - begun.centre).atan2()))).collect();
        let robust = Robust::Tukey { n: some.len(), least: least_mm };
        least_squares(begin, &step, robust, |p| {
            let shape = shape_at(model, p);
            DVector::from_iterator(
                some.len(),
                some.iter().map(|(q, t, foot)| {
                    let (miss, angle) = shape.distance_by(*q, foot.get() - shape.turn_rad);
                    foot.set(angle + shape.turn_rad);
                    miss * t
                }),
            )
        })
    };
    // Where there are several starts, a third of the points says which of them leads to the nearest curve.
    let begin = match starts.as_slice() {
        [one] => parameters_of(model, one),
        all => {
            let every = if points.len() >= 90 { 3 } else { 1 };
            let tried = all.iter().filter_map(|begin| by_every(parameters_of(model, begin), every));
            tried.min_by(|a, b| cost(a, least_mm).total_cmp(&cost(b, least_mm)))?.at
        }
    };
    let found = by_every(begin, 1)?;
    let shape = shape_at(model, &found.at);
    let residuals: Vec<f64> = found.residuals.iter().copied().collect();
    let weights: Vec<f64> = found.weights.iter().zip(trust).map(|(w, t)| w * t * t).collect();
    let alike = alike(&residuals, &weights, found.scale);
    let count: f64 = weights.iter().sum();
    Some(Fitted {
        model,
        shape: shape.ordered(),
        at: found.at,
        covariance: found.covariance * alike,
        residuals,
        weights,
        scale: found.scale,
        independent: count / alike,
    })
}

/// Sum of the squares of the distances, none counted beyond three of the smallest scatter believed times four.
fn cost(fit: &Fit, least: f64) -> f64 {
    let most = 12.0 * least;
    fit.residuals.iter().map(|r| r.abs().min(most).powi(2)).sum()
}

/// By how much neighbours that err alike widen a variance: 1 + 2 Σ ρₖ over lags as long as the correlation is above a tenth (the variance of a mean of
/// a stationary series).
fn alike(residuals: &[f64], weights: &[f64], scale: f64) -> f64 {
    let n = residuals.len();
    let get = |i: usize| {
        let (r, w) = (residuals.get(i % n).copied().unwrap_or(0.0), weights.get(i % n).copied().unwrap_or(0.0));
        (w > 0.2).then_some(r.clamp(-3.0 * scale, 3.0 * scale))
    };
    let product = |lag: usize| {
        let (mut sum, mut count) = (0.0, 0.0_f64);
        for i in 0..n {
            if let (Some(a), Some(b)) = (get(i), get(i + lag)) {
                sum += a * b;
                count += 1.0;
            }
        }
        sum / count.max(1.0)
    };
    let zero = product(0).max(1e-12);
    let mut total = 1.0;
    for lag in 1..n / 4 {
        let rho = product(lag) / zero;
        if rho < 0.1 {
            break;
        }
        total += 2.0 * rho;
    }
    total
}

/// The ellipse by the direct least squares of algebraic distances (Halíř & Flusser, Numerically stable direct least squares fitting of ellipses, WSCG
/// 1998; after Fitzgibbon, Pilu & Fisher 1999; from memory of the papers): a start for [`fit`]. None where the points do not make one.
pub fn algebraic(points: &[Point]) -> Option<Shape> {
    if points.len() < 6 {
        return None;
    }
    let n = points.len() as f64;
    let mean = points.iter().fold(Vec2::ZERO, |s, p| s + p.to_vec2()) / n;
    let size = (points.iter().map(|p| (p.to_vec2() - mean).hypot2()).sum::<f64>() / n).sqrt().max(1e-9);
    let (mut s1, mut s2, mut s3) = (Matrix3::zeros(), Matrix3::zeros(), Matrix3::zeros());
    for p in points {
        let v = (p.to_vec2() - mean) / size;
        let d1 = Vector3::new(v.x * v.x, v.x * v.y, v.y * v.y);
        let d2 = Vector3::new(v.x, v.y, 1.0);
        s1 += d1 * d1.transpose();
        s2 += d1 * d2.transpose();
        s3 += d2 * d2.transpose();
    }
    let t = -s3.try_inverse()? * s2.transpose();
    let m = s1 + s2 * t;
    let inverse_c = Matrix3::new(0.0, 0.0, 0.5, 0.0, -1.0, 0.0, 0.5, 0.0, 0.0);
    let m = inverse_c * m;
    let a1 = m
        .complex_eigenvalues()
        .iter()
        .filter(|l| l.im.abs() < 1e-9 * (1.0 + l.re.abs()))
        .filter_map(|l| {
            // The eigenvector: the direction that m − λ takes to nothing.
            let svd = (m - Matrix3::identity() * l.re).svd(false, true);
            let rows = svd.v_t?;
            Some(rows.row(2).transpose())
        })
        .find(|v| 4.0 * v.x * v.z - v.y * v.y > 0.0)?;
    let a2 = t * a1;
    conic(a1.x, a1.y, a1.z, a2.x, a2.y, a2.z).map(|s| Shape {
        centre: (s.centre.to_vec2() * size + mean).to_point(),
        a: s.a * size,
        b: s.b * size,
        ..s
    })
}

/// The ellipse ax² + bxy + cy² + dx + ey + f = 0. None where it is none.
fn conic(a: f64, b: f64, c: f64, d: f64, e: f64, f: f64) -> Option<Shape> {
    let det = 4.0 * a * c - b * b;
    if det <= 0.0 {
        return None;
    }
    let centre = Point::new((b * e - 2.0 * c * d) / det, (b * d - 2.0 * a * e) / det);
    let rest = a * centre.x.powi(2) + b * centre.x * centre.y + c * centre.y.powi(2) + d * centre.x + e * centre.y + f;
    let (mean, half) = (f64::midpoint(a, c), ((a - c) / 2.0).hypot(b / 2.0));
    // Half axes: √(−rest / eigenvalue); the smaller eigenvalue has the longer one.
    let sign = -rest.signum();
    let (small, large) = if sign * mean > 0.0 { (sign * mean - half, sign * mean + half) } else { return None };
    if small <= 0.0 {
        return None;
    }
    let turn = 0.5 * (sign * b).atan2(sign * (a - c)) + std::f64::consts::FRAC_PI_2;
    Some(Shape { centre, a: (rest.abs() / small).sqrt(), b: (rest.abs() / large).sqrt(), turn_rad: turn, exponent: 2.0 }.ordered())
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use rand::{Rng, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    fn noisy(shape: &Shape, n: usize, sd: f64, random: &mut ChaCha8Rng) -> Vec<Point> {
        (0..n)
            .map(|i| {
                let angle = std::f64::consts::TAU * i as f64 / n as f64;
                let noise: f64 = (0..12).map(|_| random.random::<f64>()).sum::<f64>() - 6.0;
                shape.at(angle) + shape.normal(angle) * (noise * sd)
            })
            .collect()
    }

    #[test]
    fn the_algebraic_start_is_the_ellipse_where_there_is_no_noise() {
        for (a, b, turn) in [(90.0, 60.0, 0.3), (70.0, 69.0, 2.9), (200.0, 40.0, 1.6)] {
            let shape = Shape { centre: Point::new(400.0, -120.0), a, b, turn_rad: turn, exponent: 2.0 };
            let found = algebraic(&shape.points(40)).unwrap();
            assert!((found.a - a).abs() < 1e-6 && (found.b - b).abs() < 1e-6, "{found:?}");
            assert!((found.turn_rad - turn).sin().abs() < 1e-6, "{found:?}");
            assert!((found.centre - shape.centre).hypot() < 1e-6);
        }
        assert!(algebraic(&[Point::ZERO; 3]).is_none());
    }

    /// The script `tests/reference/outline_fits.py` made the file, with `OpenCV`, scikit-image and `SciPy`.
    #[test]
    fn ellipses_are_those_of_general_libraries() {
        let all: serde_json::Value = serde_json::from_str(include_str!("../../../tests/reference/outline_fits.json")).unwrap();
        let cases = all.get("ellipses").unwrap().as_array().unwrap();
        assert_eq!(cases.len(), 12);
        for case in cases {
            let points: Vec<(f64, f64)> = serde_json::from_value(case.get("points").unwrap().clone()).unwrap();
            let points: Vec<Point> = points.into_iter().map(Point::from).collect();
            let of = |name: &str| serde_json::from_value::<[f64; 5]>(case.get(name).unwrap().clone()).unwrap();
            let near = |shape: &Shape, [x, y, a, b, turn]: [f64; 5], within: f64| {
                let turned = (shape.turn_rad - turn).sin().abs() * (a - b);
                let off = [shape.centre.x - x, shape.centre.y - y, shape.a - a, shape.b - b, turned];
                assert!(off.iter().all(|d| d.abs() < within), "{off:?}");
            };
            let start = algebraic(&points).unwrap();
            near(&start, of("skimage_direct"), 1e-4);
            // OpenCV takes 32-bit points.
            near(&start, of("opencv_direct"), 0.02);
            // Tukey's weights leave normal noise nearly as it is: within a twentieth of its scatter of the plain orthogonal fit.
            let rms = case.get("rms").unwrap().as_f64().unwrap();
            near(&fit(&points, Model::Ellipse, &start, 0.02).unwrap().shape, of("scipy_orthogonal"), 0.15 * rms + 1e-3);
        }
    }

    #[test]
    fn axes_are_found_beside_a_handle_and_their_sd_is_true() {
        let mut random = ChaCha8Rng::seed_from_u64(11);
        let shape = Shape { centre: Point::new(10.0, 5.0), a: 82.0, b: 75.0, turn_rad: 0.7, exponent: 2.0 };
        let (mut misses, mut sds) = (Vec::new(), Vec::new());
        for _ in 0..60 {
            let mut points = noisy(&shape, 240, 0.2, &mut random);
            for p in points.iter_mut().take(20) {
                *p += (*p - shape.centre).normalize() * 14.0;
            }
            let fit = fit(&points, Model::Ellipse, &Shape::circle(Point::new(9.0, 4.0), 80.0), 0.02).unwrap();
            misses.push(fit.shape.a - 82.0);
            // By the parameters: ln mean and half the length of the aspect's vector.
            let (p3, p4) = (fit.at.get(3).unwrap(), fit.at.get(4).unwrap());
            let long = p3.hypot(*p4);
            let slope = DVector::from_vec(vec![0.0, 0.0, 1.0, 0.5 * p3 / long, 0.5 * p4 / long]) * fit.shape.a;
            sds.push((slope.transpose() * &fit.covariance * &slope).sum().sqrt());
        }
        let rms = (misses.iter().map(|m| m * m).sum::<f64>() / 60.0).sqrt();
        let said = sds.iter().sum::<f64>() / 60.0;
        assert!(rms < 0.05, "{rms}");
        assert!((0.7..1.5).contains(&(said / rms)), "said {said}, was {rms}");
    }

    #[test]
    fn a_rounded_square_is_found_whichever_way_it_lies() {
        let mut random = ChaCha8Rng::seed_from_u64(5);
        for turn in [0.0, 0.4, 0.8, 1.3] {
            let shape = Shape { centre: Point::ZERO, a: 80.0, b: 78.0, turn_rad: turn, exponent: 3.6 };
            let points = noisy(&shape, 300, 0.15, &mut random);
            let ellipse = fit(&points, Model::Ellipse, &algebraic(&points).unwrap(), 0.02).unwrap();
            let found = fit(&points, Model::Superellipse, &ellipse.shape, 0.02).unwrap();
            assert!((found.shape.exponent - 3.6).abs() < 0.1, "{turn}: {:?}", found.shape);
            assert!((found.shape.a - 80.0).abs() < 0.15 && (found.shape.b - 78.0).abs() < 0.15, "{turn}: {:?}", found.shape);
            assert!(found.scale < 0.5 * ellipse.scale);
        }
    }
}
