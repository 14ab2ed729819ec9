//! From a photograph and its camera to a measured outline.

use super::OutlineError;
use super::alone::ByEdge;
use super::cloth::{Cloth, Shadows};
use super::edge::{BROAD, LAST_REACH_MM, RimPoint, refine};
use super::fit::{Fitted, fit_trusting, shape_at};
use super::plane::Plane;
use super::round::{given_round, p_round};
use super::seek::{Rim, cornered, seek};
use super::shape::{Model, Shape};
use super::smoothed::edge_sd_mm;
use crate::photo::Progress;
use crate::photo::camera::{Camera, Lens, Measured, Placed};
use crate::photo::card::{LONG_MM, SHORT_MM, Shades};
use kurbo::Point;
use nalgebra::{DMatrix, DVector, Matrix2, Point3, Vector2};
use rayon::prelude::*;

/// What lies beside the piece and is no part of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Beside {
    /// The bank card that the camera was placed by.
    Card,
    /// Nothing that is known.
    Nothing,
}

/// A stroke of the brush.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    /// Along which it was drawn, in pixels of the photograph.
    pub px: Vec<Point>,
    /// Half its width in pixels.
    pub radius_px: f64,
    /// What it says.
    pub says: Says,
}

/// What a stroke says of what it covers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Says {
    /// The piece.
    Piece,
    /// What lies beneath or before it: cloth, a finger, a shadow.
    Other,
}

/// How to look.
#[derive(Debug, Clone)]
pub struct AboveOptions {
    /// What lies beside the piece.
    pub beside: Beside,
    /// How far the rim lies above the card's plane, in mm (0 where the lid lies on its rim beside the card).
    pub rim_height_mm: f64,
    /// Strokes of the brush, in the order in which they were made.
    pub strokes: Vec<Stroke>,
    /// A curve set by hand in the plane: the edge is looked for only near it.
    pub near: Option<Shape>,
}

impl Default for AboveOptions {
    fn default() -> Self {
        Self { beside: Beside::Card, rim_height_mm: 0.0, strokes: Vec::new(), near: None }
    }
}

/// A measured outline.
#[derive(Debug, Clone)]
pub struct Above {
    /// The curve that was chosen.
    pub model: Model,
    /// It, in mm in the plane of the rim.
    pub shape: Shape,
    /// Greatest width: the major axis, in mm. As far as the piece is likely to be round, sizes are those of a round piece, from which goes out what the camera
    /// was wrong by; `shape` and `aspect` are as they were seen.
    pub major_mm: Measured,
    /// Width across it, in mm.
    pub minor_mm: Measured,
    /// Major by minor.
    pub aspect: Measured,
    /// Area in mm².
    pub area_mm2: Measured,
    /// Perimeter in mm.
    pub perimeter_mm: Measured,
    /// Radius of the roundest corner, in mm.
    pub corner_mm: Measured,
    /// Exponent of the superellipse; 2 with no ± for the others.
    pub exponent: Measured,
    /// Probability that the piece is round, warped as pieces are.
    pub p_round: f64,
    /// Probability that the outline has corners, rather than being a circle or an ellipse.
    pub p_cornered: f64,
    /// Points of the rim, in order, with their weights in the fit (0 where a handle or a knob stands out).
    pub points: Vec<(RimPoint, f64)>,
    /// The curve in pixels of the photograph.
    pub outline_px: Vec<Point>,
    /// Its middle.
    pub centre_px: Point,
    /// Robust standard deviation of the points about the curve, in mm.
    pub residual_mm: f64,
    /// Share of the outline at which an edge was seen.
    pub seen: f64,
    /// How much the line that was found first looks like a rim, 0 to about 1; 1 where it was set by hand.
    pub score: f64,
    /// How far the rim lies above the card's plane, in mm.
    pub rim_height_mm: f64,
    /// How far the rim may lie outward or inward of where it was seen, all round alike, in mm (one standard deviation).
    pub edge_sd_mm: f64,
}

impl Above {
    /// What is said where it is not known whether this or another outline of the same picture is right: values between both, with a ± that holds both.
    /// The curve that is drawn is this one's.
    #[must_use]
    pub fn or(self, other: &Self) -> Self {
        let between =
            |a: Measured, b: Measured| Measured::new(f64::midpoint(a.value, b.value), (0.5 * (a.value - b.value)).hypot(a.sd.max(b.sd)));
        Self {
            major_mm: between(self.major_mm, other.major_mm),
            minor_mm: between(self.minor_mm, other.minor_mm),
            aspect: between(self.aspect, other.aspect),
            area_mm2: between(self.area_mm2, other.area_mm2),
            perimeter_mm: between(self.perimeter_mm, other.perimeter_mm),
            corner_mm: between(self.corner_mm, other.corner_mm),
            exponent: between(self.exponent, other.exponent),
            p_round: f64::midpoint(self.p_round, other.p_round),
            p_cornered: f64::midpoint(self.p_cornered, other.p_cornered),
            ..self
        }
    }
}

/// An edge is seen beside where it is, all round alike, by as much (as on rendered photographs with their truth, in pixels of a picture with 1000 along its
/// half diagonal).
const EDGE_SD_PX: f64 = 0.3;

/// The same in pixels of a picture: a large one is no sharper for having more of them.
pub(super) fn edge_sd_px(lens: &Lens) -> f64 {
    EDGE_SD_PX * grain_px(lens)
}

/// How many pixels of a picture are as fine as it is likely to be.
pub(super) fn grain_px(lens: &Lens) -> f64 {
    (lens.half_diagonal_px() / 1000.0).max(1.0)
}
/// How clear a rim must be at least, and how many of those found are looked at closely.
const LEAST_CLEAR: f64 = 0.5;
const MOST_TRIED: usize = 6;

/// Of the reach of the last look at the rim: points drawn from grain scatter by half of it, and have been seen to by 0.39; rims do by less than a third in
/// noise and blur too (rendered photographs).
const GRAIN_SHARE: f64 = 0.33;

/// Two rims are as likely where the one looks so much like a rim as the other.
const ALIKE: f64 = 0.93;

/// The outline of the piece, seen from above. `small` has about 1000 pixels along its longer side, `whole` at least as many.
///
/// # Errors
/// [`OutlineError`], in whose message stands what to do.
pub fn measure_above(
    small: &Shades,
    whole: &Shades,
    camera: &Camera,
    options: &AboveOptions,
    progress: &Progress,
) -> Result<Above, OutlineError> {
    let placed = &camera.placed;
    let z_mm = options.rim_height_mm;
    let on_card = |p: Point| p.x.abs() < LONG_MM / 2.0 + 1.0 && p.y.abs() < SHORT_MM / 2.0 + 1.0;
    let nowhere = |_: Point| false;
    let covered: &(dyn Fn(Point) -> bool + Sync) = match options.beside {
        Beside::Card => &on_card,
        Beside::Nothing => &nowhere,
    };
    let looked = Looked { whole, camera, options, covered };
    if let Some(near) = options.near {
        let start = super::fit::set(&near).ok_or(OutlineError::NoPiece)?;
        return looked.closely(1.0, &start, progress);
    }
    let plane = Plane::of(small, placed, z_mm).ok_or(OutlineError::PastThePlane)?;
    let (mut rims, mut cloths) = (Vec::new(), Vec::new());
    for shadows in [Shadows::Piece, Shadows::Cloth] {
        let mut cloth = Cloth::of(&plane, covered, shadows);
        if cloth.blank {
            return Err(OutlineError::Blank);
        }
        cloth.paint(&plane, &options.strokes, |px| placed.on_plane(px, z_mm));
        rims.extend(seek(&plane, &cloth, covered, &options.strokes, |px| placed.on_plane(px, z_mm)));
        cloths.push(cloth);
        progress.report(if shadows == Shadows::Piece { 1 } else { 2 }, 4, 0, 1000);
    }
    let told = clearest(rims, whole, placed, z_mm, covered).and_then(|(score, start)| looked.closely(score, &start, progress));
    // The brush has said where the piece is: then it is not sought elsewhere.
    let Some(cloth) = cloths.first().filter(|_| options.strokes.is_empty()) else { return told };
    let by_edge = ByEdge { plane: &plane, cloth, whole, placed, z_mm, covered };
    match told {
        Ok(told) => match by_edge.wider(&told.shape) {
            Some((score, start)) => looked.closely(score.max(told.score), &start, progress),
            None => Ok(told),
        },
        Err(no) if no.is_faint() => by_edge.outermost().map_or(Err(no), |(score, start)| looked.closely(score, &start, progress)),
        Err(no) => Err(no),
    }
}

/// What is looked at once it is known about where the rim is.
struct Looked<'a> {
    whole: &'a Shades,
    camera: &'a Camera,
    options: &'a AboveOptions,
    covered: &'a (dyn Fn(Point) -> bool + Sync),
}

impl Looked<'_> {
    /// The outline from a curve that is near it and looks so much like a rim.
    fn closely(&self, score: f64, start: &Fitted, progress: &Progress) -> Result<Above, OutlineError> {
        let Self { whole, camera, options, covered } = *self;
        let (placed, z_mm) = (&camera.placed, options.rim_height_mm);
        if progress.is_cancelled() {
            return Err(OutlineError::Stopped);
        }
        progress.report(3, 4, 0, 1000);
        let project = |mm: Point| placed.project(Point3::new(mm.x, mm.y, z_mm));
        let within = |shape: &Shape| {
            let outside = shape.points(180).iter().filter(|p| project(**p).is_none_or(|px| !whole.holds(px))).count();
            if outside > 0 { Err(OutlineError::CutOff { percent: outside as f64 / 1.8 }) } else { Ok(()) }
        };
        within(&start.shape)?;
        let hidden: Vec<&Stroke> = options.strokes.iter().filter(|s| s.says == Says::Other).collect();
        let hides = |px: Point| hidden.iter().any(|s| s.px.iter().any(|p| (*p - px).hypot() < s.radius_px));
        let (fitted, points) =
            refine(whole, placed, z_mm, start, &|mm| covered(mm) || (!hidden.is_empty() && project(mm).is_some_and(hides)))
                .ok_or(OutlineError::NoPiece)?;
        let (chosen, p_cornered) = choose(&points, fitted).ok_or(OutlineError::NoPiece)?;
        // A curve that was first bent to stay in the picture goes out of it once its edge is looked for.
        within(&chosen.shape)?;
        let on: f64 = chosen.weights.iter().filter(|w| **w > 0.2).count() as f64 / super::edge::STATIONS as f64;
        if on < 0.5 {
            return Err(OutlineError::Unseen { percent: 100.0 * on });
        }
        // A weak line whose edge is scattered, or mostly unseen, is as likely a shadow or the shading of a dome.
        let scatter_px = chosen.scale * placed.px_per_mm(chosen.shape.centre);
        // Where points lie about as far apart as they were looked for, they are grain and no edge.
        if chosen.scale > GRAIN_SHARE * LAST_REACH_MM {
            return Err(OutlineError::Faint);
        }
        if score < 0.62 && scatter_px > grain_px(&placed.lens) {
            return Err(OutlineError::Faint);
        }
        if options.near.is_none() && options.strokes.is_empty() && beside_shadow(whole, placed, z_mm, &chosen.shape, covered) > MOST_BESIDE
        {
            return Err(OutlineError::Shadow);
        }
        progress.report(1, 1, 0, 1000);
        let weighed: Vec<_> = points.iter().zip(chosen.weights.iter().copied()).collect();
        let edge_sd_mm = edge_sd_mm(whole, placed, z_mm, &chosen.shape, &weighed, options.beside == Beside::Card);
        numbers(camera, z_mm, edge_sd_mm, &chosen, points, p_cornered, on).map(|a| Above { score, ..a }).ok_or(OutlineError::PastThePlane)
    }
}

/// Of the rims that were found, the one whose edge is clearest in the photograph itself: the edge of clay is sharp where that of a shadow is soft.
fn clearest(
    mut rims: Vec<Rim>,
    whole: &Shades,
    placed: &Placed,
    z_mm: f64,
    covered: &(dyn Fn(Point) -> bool + Sync),
) -> Result<(f64, Fitted), OutlineError> {
    rims.sort_by(|a, b| b.score.total_cmp(&a.score));
    let mut tried: Vec<Rim> = Vec::new();
    for rim in rims {
        if tried.len() < MOST_TRIED && rim.score > 0.15 && tried.iter().all(|t| t.differs(&rim)) {
            tried.push(rim);
        }
    }
    let mut judged: Vec<(f64, Fitted)> = tried
        .par_iter()
        .filter_map(|rim| {
            let start = cornered(rim);
            let (fitted, points) = refine(whole, placed, z_mm, &start, covered)?;
            let clear: f64 = points.iter().zip(&fitted.weights).map(|(p, w)| p.edge * w.min(1.0)).sum();
            Some((clear / super::edge::STATIONS as f64 + 0.3 * rim.score, start))
        })
        .collect();
    judged.sort_by(|a, b| b.0.total_cmp(&a.0));
    let best = judged.first().cloned().filter(|b| b.0 > LEAST_CLEAR).ok_or(OutlineError::NoPiece)?;
    let apart = |s: &Shape| (s.centre - best.1.shape.centre).hypot() > 0.5 * (s.a + best.1.shape.a);
    if let Some(other) = judged.iter().find(|(clear, fitted)| *clear > ALIKE * best.0 && apart(&fitted.shape)) {
        return Err(OutlineError::Two { first_mm: 2.0 * best.1.shape.a, second_mm: 2.0 * other.1.shape.a });
    }
    Ok(best)
}

/// Along so much of an outline at most it may be that of a shadow: a lug or two, of which the curve cuts off the join, look like that too.
const MOST_BESIDE: f64 = 0.15;
/// How far inward of the curve the rim is looked for where there is none on it, in mm, and how near an edge is the curve's own.
const INWARD_MM: (f64, f64) = (3.0, 16.0);
const OWN_MM: f64 = 1.5;

/// Along which share of a curve no edge is seen on it, but one as clear as the rim elsewhere lies a little further inward: so it is where a soft shadow beside
/// the piece was taken into the outline.
fn beside_shadow(whole: &Shades, placed: &Placed, z_mm: f64, shape: &Shape, covered: &(dyn Fn(Point) -> bool + Sync)) -> f64 {
    let project = |mm: Point| placed.project(Point3::new(mm.x, mm.y, z_mm));
    let clearest = |px: Point, across: kurbo::Vec2, reach_px: f64| {
        whole.changes_at(px, across, reach_px, BROAD).map(|(_, change)| change).fold(0.0, f64::max)
    };
    let stations = 120;
    let both: Vec<(f64, f64)> = (0..stations)
        .filter_map(|i| {
            let angle = std::f64::consts::TAU * f64::from(i) / f64::from(stations);
            let (mm, normal) = (shape.at(angle), shape.normal(angle));
            let middle = mm - normal * f64::midpoint(INWARD_MM.0, INWARD_MM.1);
            let (px, out, inner) = (project(mm)?, project(mm + normal)?, project(middle)?);
            let per_mm = (out - px).hypot();
            if covered(mm) || covered(middle) || per_mm < 0.1 {
                return None;
            }
            let across = (out - px) / per_mm;
            let reach_mm = 0.5 * (INWARD_MM.1 - INWARD_MM.0);
            Some((clearest(px, across, OWN_MM * per_mm), clearest(inner, across, reach_mm * per_mm)))
        })
        .collect();
    let mut own: Vec<f64> = both.iter().map(|b| b.0).collect();
    let middle = own.len() / 2;
    if own.is_empty() {
        return 0.0;
    }
    let usual = *own.select_nth_unstable_by(middle, f64::total_cmp).1;
    both.iter().filter(|(own, inner)| *own < 0.5 * usual && *inner > 0.7 * usual).count() as f64 / both.len() as f64
}

/// The ellipse or the curve with corners, and the probability that there are corners: by the Bayesian information criterion (Schwarz, Annals of Statistics
/// 6, 1978, 461–464) on as many points as are independent.
pub(super) fn choose(points: &[RimPoint], found: Fitted) -> Option<(Fitted, f64)> {
    let mm: Vec<Point> = points.iter().map(|p| p.mm).collect();
    let clear: Vec<f64> = points.iter().map(|p| p.clear).collect();
    let fit = |model: Model, start: &Shape| fit_trusting(&mm, &clear, model, start, 0.03);
    let ellipse = if found.model == Model::Ellipse { found.clone() } else { fit(Model::Ellipse, &Shape { exponent: 2.0, ..found.shape })? };
    let square = if found.model == Model::Superellipse { Some(found) } else { fit(Model::Superellipse, &ellipse.shape) };
    let Some(square) = square else { return Some((ellipse, 0.0)) };
    // The noise is what the freer curve leaves; points far from both are a handle and count for neither.
    let noise = square.scale.max(0.03);
    let cap = 6.0 * noise;
    let mean =
        |fit: &Fitted| fit.residuals.iter().map(|r| r.abs().min(cap).powi(2)).sum::<f64>() / fit.residuals.len() as f64 / noise.powi(2);
    let n = square.independent.max(8.0);
    let gain = 0.5 * n * (mean(&ellipse) - mean(&square)) - 0.5 * n.ln();
    let p = if square.shape.exponent < 2.08 { 0.0 } else { 1.0 / (1.0 + (-gain).exp()) };
    Some(if p > 0.5 { (square, p) } else { (ellipse, p) })
}

/// All numbers with their ±.
pub(super) fn numbers(
    camera: &Camera,
    z_mm: f64,
    edge_sd_mm: f64,
    fit: &Fitted,
    points: Vec<RimPoint>,
    p_cornered: f64,
    seen: f64,
) -> Option<Above> {
    let n = fit.at.len();
    // How the parameters follow when the points move outward: one step of least squares.
    let step = 1e-5;
    let shifted: Vec<Shape> = (0..n)
        .map(|j| {
            let mut p = fit.at.clone();
            if let Some(x) = p.get_mut(j) {
                *x += step;
            }
            shape_at(fit.model, &p)
        })
        .collect();
    let own = shape_at(fit.model, &fit.at);
    let rows = DMatrix::from_fn(points.len(), n, |i, j| {
        let (Some(point), Some(shape)) = (points.get(i), shifted.get(j)) else { return 0.0 };
        -(shape.distance(point.mm).0 - own.distance(point.mm).0) / step
    });
    let weights = DVector::from_iterator(points.len(), fit.weights.iter().copied());
    let weighed = DMatrix::from_fn(points.len(), n, |i, j| rows.get((i, j)).unwrap_or(&0.0) * weights.get(i).unwrap_or(&0.0));
    let solve = (weighed.transpose() * &rows).try_inverse()? * weighed.transpose();
    let moved = |placed: &Placed| {
        let on_plane = placed.onto_plane(z_mm);
        let out: Option<Vec<f64>> = points.iter().map(|p| Some(own.distance(on_plane(p.px)?).0 - own.distance(p.mm).0)).collect();
        Some((&solve * DVector::from_vec(out?)).iter().copied().collect())
    };
    let mut covariance = &fit.covariance + camera.spread(moved)?;
    let mean = (own.a * own.b).sqrt();
    *covariance.get_mut((2, 2))? += (edge_sd_mm / mean).powi(2) + camera.shortening_sd.powi(2) / 4.0;
    for i in 3..n.min(5) {
        *covariance.get_mut((i, i))? += camera.shortening_sd.powi(2);
    }
    let aspect = aspect_vector(fit, &covariance)?;
    let round = p_round(aspect.0, aspect.1) * (1.0 - p_cornered);
    let if_round = if fit.model == Model::Ellipse { given_round(&fit.at, &covariance) } else { None };
    let at = |at: &DVector<f64>, covariance: &DMatrix<f64>, f: &dyn Fn(&Shape) -> f64| {
        let slope = DVector::from_fn(n, |j, _| {
            let (mut up, mut down) = (at.clone(), at.clone());
            if let (Some(u), Some(d)) = (up.get_mut(j), down.get_mut(j)) {
                *u += 1e-4;
                *d -= 1e-4;
            }
            (f(&shape_at(fit.model, &up)) - f(&shape_at(fit.model, &down))) / 2e-4
        });
        Measured::new(f(&shape_at(fit.model, at)), (slope.transpose() * covariance * &slope).sum().max(0.0).sqrt())
    };
    let seen_as = |f: &dyn Fn(&Shape) -> f64| at(&fit.at, &covariance, f);
    // Sizes as they are where the piece is round, and as they are where it is not.
    let value = |f: &dyn Fn(&Shape) -> f64| {
        if_round.as_ref().map_or(seen_as(f), |(round_at, spread)| at(round_at, spread, f).mixed(seen_as(f), round))
    };
    let exponent = if fit.model == Model::Superellipse { seen_as(&|s| s.exponent) } else { Measured::new(2.0, 0.0) };
    let project = |mm: Point| camera.placed.project(Point3::new(mm.x, mm.y, z_mm));
    let outline_px = own.points(360).into_iter().map(project).collect::<Option<Vec<_>>>()?;
    let model = match fit.model {
        Model::Superellipse => Model::Superellipse,
        _ if round >= 0.5 => Model::Circle,
        _ => Model::Ellipse,
    };
    Some(Above {
        model,
        shape: own.ordered(),
        major_mm: value(&|s| 2.0 * s.a.max(s.b)),
        minor_mm: value(&|s| 2.0 * s.a.min(s.b)),
        aspect: seen_as(&|s| s.a.max(s.b) / s.a.min(s.b)),
        area_mm2: value(&Shape::area),
        perimeter_mm: value(&Shape::perimeter),
        corner_mm: value(&Shape::corner_radius),
        exponent,
        p_round: round,
        p_cornered,
        centre_px: project(own.centre)?,
        outline_px,
        residual_mm: fit.scale,
        seen,
        score: 0.0,
        rim_height_mm: z_mm,
        edge_sd_mm,
        points: points.into_iter().zip(fit.weights.iter().copied()).collect(),
    })
}

/// ln(a/b)·(cos 2φ, sin 2φ) and its covariance.
fn aspect_vector(fit: &Fitted, covariance: &DMatrix<f64>) -> Option<(Vector2<f64>, Matrix2<f64>)> {
    let (p3, p4) = (*fit.at.get(3)?, *fit.at.get(4)?);
    let block = covariance.fixed_view::<2, 2>(3, 3).into_owned();
    if fit.model == Model::Ellipse {
        return Some((Vector2::new(p3, p4), block));
    }
    // Length and turn: the direction moves the vector by twice the turn.
    let (s, c) = (2.0 * p4).sin_cos();
    let slope = Matrix2::new(c, -2.0 * p3 * s, s, 2.0 * p3 * c);
    Some((Vector2::new(p3 * c, p3 * s), slope * block * slope.transpose()))
}
