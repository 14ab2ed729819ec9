//! The camera by coins whose edges were found.

use super::CoinError;
use super::edge::{Edge, edge};
use crate::photo::camera::{Believed, CENTRE_SD, Camera, Fit, Placed, Pose, Robust, least_squares, placed_at};
use crate::photo::card::Shades;
use crate::photo::outline::Shape;
use kurbo::{Point, Vec2};
use nalgebra::{DVector, Matrix3, Rotation3, Vector3};

/// Coins keep their diameter to within this share in use (the proclamation of 10 February 1982 allowed the round pound 22.5 ± 0.1 mm: Hansard, 7 March 1985).
const SIZE_SD: f64 = 0.0025;
/// An edge is seen beside its place by blur, milling and shadow, all round alike (our own estimate, in pixels).
const EDGE_SD_PX: f64 = 0.3;
/// How thick coins are, in mm: 1.35 to 2.8 (tables of the mints).
const THICK_MM: f64 = 2.0;
/// Of the side of a coin that is seen, the share by which its edge may be misplaced on the near side, one standard deviation (our own estimate).
const SIDE_SHARE: f64 = 0.3;
/// The smallest scatter that is believed, in pixels.
const LEAST_PX: f64 = 0.12;
/// Neighbouring points of an edge err alike: one of so many is taken (our own estimate).
const ALIKE: usize = 3;
/// Coins seen from further aslant than this, in degrees, are hidden by their own side.
const MOST_SLANT_DEGREES: f64 = 50.0;
/// Nobody photographs a table from nearer than this, in mm: a coin is no larger in the picture.
const NEAREST_MM: f64 = 140.0;
/// One tilt is taken for sure where it explains the edges so much better: twice the difference of logarithms, as χ² counts.
const SURE: f64 = 9.0;
/// What the direction of the x axis is held to, in radians: about one coin it is anybody's choice.
const TURN_SD: f64 = 1e-3;

/// A camera placed by coins. The world's origin is the middle of the first, its x axis runs to the second, or along the picture's.
#[derive(Debug, Clone)]
pub struct CoinFit {
    /// The likelier camera, with all that the coins leave unsure.
    pub camera: Camera,
    /// The camera tilted the other way, where the coins do not tell which: always with one coin.
    pub other: Option<Camera>,
    /// The edges of the coins as ellipses in pixels.
    pub edges_px: Vec<Shape>,
    /// Robust standard deviation of the edges about the fit, in pixels.
    pub residual_px: f64,
    /// Relative standard deviation of a length beside the first coin.
    pub scale_sd: f64,
}

/// Numbers after the camera's: ln of the size, for each coin how far its edge is seen outside of where it is and how far it is seen stretched (2), and where
/// the second coin lies.
const AFTER: usize = Camera::NUMBERS + 1;
const OF_COIN: usize = 3;

/// The camera by one or two coins of a diameter in mm, each pointed at by a pixel on it.
///
/// # Errors
/// [`CoinError`], in whose message stands what to do.
pub fn fit(whole: &Shades, believed: &Believed, on_px: &[Point], diameter_mm: f64) -> Result<CoinFit, CoinError> {
    if !(10.0..=60.0).contains(&diameter_mm) {
        return Err(CoinError::NotADiameter(diameter_mm));
    }
    let most_px = believed.lens.focal_px * diameter_mm / 2.0 / NEAREST_MM;
    let edges = on_px.iter().map(|px| edge(whole, *px, most_px)).collect::<Result<Vec<Edge>, _>>()?;
    let Some(first) = edges.first() else { return Err(CoinError::NoEdge(0.0, 0.0)) };
    if let Some(small) = edges.iter().map(|e| 2.0 * e.shape.a).find(|across_px| *across_px < 50.0) {
        return Err(CoinError::TooSmall { across_px: small });
    }
    let apart = |e: &Edge| (e.shape.centre - first.shape.centre).hypot() > e.shape.a;
    if !edges.iter().skip(1).all(apart) {
        return Err(CoinError::Same);
    }
    let mut solved: Vec<Solved> =
        [1.0, -1.0].iter().filter_map(|way| solve(&start(believed, &edges, diameter_mm, *way)?, believed, &edges, diameter_mm)).collect();
    solved.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    let Some(best) = solved.first() else { return Err(CoinError::NoFit { residual_px: f64::INFINITY }) };
    let degrees = best.placed.tilt_rad().to_degrees();
    if degrees > MOST_SLANT_DEGREES {
        return Err(CoinError::TooSlant { degrees });
    }
    let residual_px = best.fit.scale;
    if residual_px > 1.2_f64.max(0.012 * first.shape.a) {
        return Err(CoinError::NoFit { residual_px });
    }
    let camera = best.camera();
    // Of one coin both tilts show exactly the same ellipse, so that one explains it better says only how the edge was seen.
    let sure = |other: &Solved| edges.len() > 1 && other.cost - best.cost > SURE;
    let other = solved.get(1).filter(|other| !sure(other) && differs(&best.placed, &other.placed)).map(Solved::camera);
    let ends = [0.0, std::f64::consts::PI].map(|angle| first.shape.at(angle));
    let across = |placed: &Placed| {
        let [a, b] = ends;
        Some(vec![(placed.on_plane(a, 0.0)? - placed.on_plane(b, 0.0)?).hypot() / diameter_mm])
    };
    let scale_sd = camera.spread(across).and_then(|c| c.get((0, 0)).copied()).map_or(f64::INFINITY, f64::sqrt);
    Ok(CoinFit { camera, other, edges_px: edges.into_iter().map(|e| e.shape).collect(), residual_px, scale_sd })
}

/// Whether two cameras look from noticeably different sides.
fn differs(one: &Placed, other: &Placed) -> bool {
    let way = |placed: &Placed| placed.pose.rotation.inverse() * Vector3::z();
    way(one).angle(&way(other)) > 0.01
}

/// The camera that sees the first coin as the ellipse it is, tilted one way or the other; the second coin lies on its x axis.
fn start(believed: &Believed, edges: &[Edge], diameter_mm: f64, way: f64) -> Option<Placed> {
    let first = edges.first()?.shape;
    let lens = believed.lens;
    let slope = lens.slope(first.centre);
    let ray = Vector3::new(slope.x, slope.y, 1.0).normalize();
    let (sin, cos) = first.turn_rad.sin_cos();
    let level = Vector3::new(cos, sin, 0.0);
    let level = (level - ray * level.dot(&ray)).normalize();
    let up = ray.cross(&level);
    // The two tilts must be apart to be told apart: a coin is never seen from exactly above.
    let cos_tilt = (first.b / first.a).clamp(0.0, 0.9994);
    let normal = -ray * cos_tilt + up * (way * (1.0 - cos_tilt * cos_tilt).sqrt());
    let distance = lens.focal_px * diameter_mm / 2.0 / first.a * ray.norm() / ray.z;
    let along = Vector3::x();
    let x = (along - normal * along.dot(&normal)).normalize();
    let rotation = Rotation3::from_matrix_unchecked(Matrix3::from_columns(&[x, normal.cross(&x), normal]));
    let placed = Placed { lens, pose: Pose { rotation, translation_mm: ray * distance } };
    let Some(second) = edges.get(1) else { return Some(placed) };
    let to = placed.on_plane(second.shape.centre, 0.0)?.to_vec2();
    let turn = Rotation3::from_axis_angle(&Vector3::z_axis(), to.atan2());
    Some(Placed { pose: Pose { rotation: rotation * turn, ..placed.pose }, ..placed })
}

/// A camera with what it explains.
struct Solved {
    start: Placed,
    fit: Fit,
    placed: Placed,
    /// Twice the negative logarithm of how well it explains edges and beliefs.
    cost: f64,
}

impl Solved {
    fn camera(&self) -> Camera {
        Camera::new(self.start, self.fit.at.clone(), self.fit.covariance.clone())
    }
}

/// All numbers by all points.
fn solve(start: &Placed, believed: &Believed, edges: &[Edge], diameter_mm: f64) -> Option<Solved> {
    let coins = edges.len();
    let beside = |k: usize| AFTER + OF_COIN * k;
    let second = AFTER + OF_COIN * coins;
    let numbers = second + coins.saturating_sub(1);
    let middles_mm: Vec<Point> = edges.iter().map(|e| start.on_plane(e.shape.centre, 0.0)).collect::<Option<_>>()?;
    let per_mm: Vec<f64> = middles_mm.iter().map(|at| start.px_per_mm(*at)).collect();
    let points: Vec<(usize, Point)> =
        edges.iter().enumerate().flat_map(|(k, e)| e.points.iter().step_by(ALIKE).map(move |p| (k, *p))).collect();
    let step = DVector::from_fn(numbers, |i, _| if i > Camera::NUMBERS { 1e-3 } else { 1e-6 });
    let at = DVector::from_fn(numbers, |i, _| if i >= second { middles_mm.get(i - second + 1).map_or(0.0, |p| p.x) } else { 0.0 });
    // The coin's side is seen below its face on the near side, and may be taken for it.
    let stretch_sd = |k: usize| {
        let seen = per_mm.get(k).copied().unwrap_or(1.0) * THICK_MM * start.tilt_rad().sin().max(0.12);
        (0.5 * SIDE_SHARE * seen).hypot(0.1)
    };
    let normal = start.pose.rotation * Vector3::z();
    let residuals = |p: &DVector<f64>| {
        let placed = placed_at(start, p);
        let n = |i: usize| p.get(i).copied().unwrap_or(0.0);
        let radius = 0.5 * diameter_mm * n(Camera::NUMBERS).exp();
        let mut rows: Vec<f64> = points
            .iter()
            .map(|(k, px)| {
                let Some(mm) = placed.on_plane(*px, 0.0) else { return 1e3 };
                let middle = if *k == 0 { Vec2::ZERO } else { Vec2::new(n(second + k - 1), 0.0) };
                let from = mm.to_vec2() - middle;
                let twice = 2.0 * from.atan2();
                let miss = (from.hypot() - radius) * per_mm.get(*k).copied().unwrap_or(1.0);
                miss - n(beside(*k)) - n(beside(*k) + 1) * twice.cos() - n(beside(*k) + 2) * twice.sin()
            })
            .collect();
        rows.extend([
            (n(6) + (start.lens.focal_px / believed.lens.focal_px).ln()) / believed.ln_focal_sd,
            (start.lens.k1 + n(7) - believed.lens.k1) / believed.k1_sd,
            n(8) / CENTRE_SD,
            n(9) / CENTRE_SD,
            n(Camera::NUMBERS) / SIZE_SD,
        ]);
        for k in 0..coins {
            rows.push(n(beside(k)) / EDGE_SD_PX);
            rows.extend([1, 2].map(|i| n(beside(k) + i) / stretch_sd(k)));
        }
        if coins == 1 {
            rows.push(normal.dot(&Vector3::new(n(0), n(1), n(2))) / TURN_SD);
        }
        DVector::from_vec(rows)
    };
    let fit = least_squares(at, &step, Robust::Tukey { n: points.len(), least: LEAST_PX }, residuals)?;
    let scale = fit.scale.max(LEAST_PX);
    let (seen, held) = fit.residuals.as_slice().split_at(points.len().min(fit.residuals.len()));
    let cost = seen.iter().map(|r| (r / scale).abs().min(4.0).powi(2)).sum::<f64>()
        + 2.0 * seen.len() as f64 * scale.ln()
        + held.iter().map(|r| r * r).sum::<f64>();
    let placed = placed_at(start, &fit.at);
    Some(Solved { start: *start, placed, cost, fit })
}
