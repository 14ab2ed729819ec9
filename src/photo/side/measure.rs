//! From the picture to the numbers.

use super::capacity::Wall;
use super::error::SideError;
use super::fit::{Fitted, Table};
use super::measured::{Given, SideMeasured, measure_outline};
use super::silhouette::{self, Edge, Raster, Silhouette, along_outline, along_solid, upright};
use super::solid::Axis;
use crate::photo::Progress;
use crate::photo::camera::Placed;
use crate::photo::card::{CardFit, Shades};
use image::RgbImage;
use kurbo::Point;

/// The least side of a picture, in pixels.
const LEAST_SIDE_PX: u32 = 120;
/// The longer side of the picture in which a piece is looked for, in pixels.
const SMALL_PX: usize = 800;
/// A card turned away more than this, in degrees, gives no scale for the piece's plane.
const MOST_TURNED_DEGREES: f64 = 40.0;
/// A card that leans more than this against the piece, in degrees, does not stand where it should.
const MOST_LEAN_DEGREES: f64 = 6.0;
/// How well the card's edge says where the table is, one standard deviation in mm: folds of the cloth, the card's own edge. Our own estimate, no source.
const TABLE_SD_MM: f64 = 0.4;
/// How far from the first solid edges are looked for, in pixels.
const NEAR_PX: f64 = 7.0;
/// Of a piece that is measured, edges are seen at least so well, 0 to 1. Of thirty rendered photographs those above were measured to within a few per
/// cent, and of those below many were not.
const LEAST_SEEN: f64 = 0.66;
/// So much of what looked like the outline at first may lie elsewhere than the solid's. A choice of this program, no source.
const MOST_APART: f64 = 0.3;
/// What 'elsewhere' is, as a share of the greatest diameter.
const APART_SHARE: f64 = 0.03;
/// An outline that comes so near to the picture's edge is cut off there, in pixels.
const BORDER_PX: f64 = 2.5;

/// What was seen and measured of a piece from the side.
#[derive(Debug, Clone)]
pub struct SideSeen {
    /// The numbers.
    pub measured: SideMeasured,
    /// Edges of the photograph along the outline, in pixels, in no particular order.
    pub outline_px: Vec<Point>,
    /// Weight of each of them in the fit, 0 to 1.
    pub weights: Vec<f64>,
    /// The outline of the solid that was fitted, in pixels, in no particular order.
    pub solid_px: Vec<Point>,
    /// The axis in pixels: at the foot and at the top.
    pub axis_px: [Point; 2],
    /// How well the edge of the piece is seen all round, 0 to 1.
    pub seen: f64,
}

/// Measures the piece that stands beside an upright card, on the same table, its axis in the card's plane.
///
/// # Errors
/// See [`SideError`]: each says why the piece was not measured.
pub fn measure(photo: &RgbImage, card: &CardFit, wall: Wall, progress: &Progress) -> Result<SideSeen, SideError> {
    wall.check()?;
    let (width, height) = photo.dimensions();
    if width < LEAST_SIDE_PX || height < LEAST_SIDE_PX {
        return Err(SideError::TooSmall { width, height, least: LEAST_SIDE_PX });
    }
    let camera = &card.camera.placed;
    square_to_camera(camera)?;
    let reached = |share: u64| {
        progress.report(share, 100, 0, 1000);
        if progress.is_cancelled() { Err(SideError::Stopped) } else { Ok(()) }
    };
    reached(0)?;
    let (frame, half_card_mm) = upright(camera).ok_or(SideError::Blank)?;
    let (whole, small) = rayon::join(|| Shades::of(photo, usize::MAX), || Shades::of(photo, SMALL_PX));
    let raster = Raster::new(&small, camera, &frame, half_card_mm).ok_or(SideError::Blank)?;
    reached(15)?;
    let silhouette = silhouette::find(&raster).ok_or(SideError::Blank)?;
    reached(55)?;
    let rough = along_outline(&whole, camera, &raster, &silhouette);
    let outline = found(&rough);
    // Points of an outline are nothing that a person looking at a picture knows of.
    let too_few = |error| match error {
        SideError::TooFewPoints { .. } => SideError::Unseen { percent: 100.0 * outline.len() as f64 / rough.len().max(1) as f64 },
        other => other,
    };
    let table = Table { at_mm: frame.at(0.0, -half_card_mm.y), sd_mm: TABLE_SD_MM };
    let given = Given { wall, table: Some(table), card: Some(card) };
    let (axis, profile) = start(&raster, &silhouette, camera);
    let (_, first) = measure_outline(camera, &outline, (axis, &profile), &given).map_err(too_few)?;
    reached(75)?;
    let footed = silhouette::with_best_foot(&whole, &first.view, &first.axis, &first.profile, table.height_on(&first.axis));
    let outline = found(&along_solid(&whole, &first.view, &first.axis, &footed, NEAR_PX));
    let (mut measured, fitted) = measure_outline(camera, &outline, (first.axis, &footed), &given)?;
    let solid_px = fitted.outline_px();
    cut_off(&solid_px, (f64::from(width), f64::from(height)))?;
    let seen = silhouette::share_seen(&whole, &fitted.view, &fitted.axis, &fitted.profile);
    if seen < LEAST_SEEN {
        return Err(SideError::Unseen { percent: 100.0 * seen });
    }
    believable(&fitted, &frame, &rough, measured.greatest.value)?;
    measured.left_out = silhouette::parts(&raster, &silhouette, camera);
    reached(100)?;
    let px = |(x, y): (f64, f64)| camera.project_plane(Point::new(x, y)).unwrap_or_default();
    let axis_px = measured.axis_mm.map(px);
    Ok(SideSeen { measured, outline_px: outline, weights: fitted.weights, solid_px, axis_px, seen })
}

fn found(edges: &[Edge]) -> Vec<Point> {
    edges.iter().filter_map(|edge| edge.px).collect()
}

/// Refuses a card that is seen too much from one side.
fn square_to_camera(camera: &Placed) -> Result<(), SideError> {
    let eye = camera.eye_mm();
    let degrees = eye.x.hypot(eye.y).atan2(eye.z.abs()).to_degrees();
    if degrees > MOST_TURNED_DEGREES { Err(SideError::CardTurned { degrees }) } else { Ok(()) }
}

/// Refuses a piece that reaches the edge of the picture.
fn cut_off(solid_px: &[Point], (width, height): (f64, f64)) -> Result<(), SideError> {
    let beyond = |name: &'static str, inside: &dyn Fn(&Point) -> f64| (solid_px.iter().filter(|p| inside(p) < BORDER_PX).count(), name);
    let edges = [beyond("left", &|p| p.x), beyond("right", &|p| width - p.x), beyond("top", &|p| p.y), beyond("bottom", &|p| height - p.y)];
    match edges.into_iter().max_by_key(|(count, _)| *count) {
        Some((count, edge)) if count > 2 => Err(SideError::CutOff { edge }),
        _ => Ok(()),
    }
}

/// Refuses a solid that leans against the card, and one that goes with little of what was alike on both sides.
fn believable(fitted: &Fitted, frame: &Axis, rough: &[Edge], greatest_mm: f64) -> Result<(), SideError> {
    let degrees = fitted.axis.up.dot(frame.up).clamp(-1.0, 1.0).acos().to_degrees();
    if degrees > MOST_LEAN_DEGREES {
        return Err(SideError::CardLeans { degrees });
    }
    let apart = rough.iter().filter_map(|edge| fitted.passes_by(edge.sought)).filter(|d| d.abs() > APART_SHARE * greatest_mm).count();
    if apart as f64 > MOST_APART * rough.len() as f64 { Err(SideError::NoAxis) } else { Ok(()) }
}

/// An axis and a half profile to start from: the widths read flat, without what is the far half of the rim and the near half of the foot.
///
/// Seen from above at a slope of tan α, a circle of radius r about the axis reaches r tan α above and below its middle.
fn start(raster: &Raster, silhouette: &Silhouette, camera: &Placed) -> (Axis, Vec<(f64, f64)>) {
    let cell = raster.cell_mm;
    let up = (raster.frame.up + raster.frame.right() * silhouette.lean).normalize();
    let axis = Axis::new(raster.at(silhouette.line_at(silhouette.first as f64, raster.rows), silhouette.first as f64), up);
    let eye = axis.sight_from(camera);
    let mut line: Vec<(f64, f64)> =
        silhouette.half.iter().enumerate().map(|(i, half)| (f64::from(*half) * cell, (i as f64 + 0.5) * cell)).collect();
    let rise = |h: f64| (eye.y - h) / eye.z.abs().max(1.0);
    if let (Some(&(_, top)), Some(&(_, low))) = (line.last(), line.first()) {
        let (over, under) = (rise(top), rise(low));
        while line.len() > 6 && over > 0.0 && line.last().is_some_and(|p| top - p.1 < 0.9 * p.0 * over) {
            line.pop();
        }
        if under > 0.0 {
            let keep = line.iter().position(|p| p.1 - low >= 0.9 * p.0 * under).unwrap_or(0).min(line.len().saturating_sub(6));
            line.drain(..keep);
        }
    }
    (axis, line)
}
