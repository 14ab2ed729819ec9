//! From the picture to the numbers.

use super::again::Kept;
use super::capacity::Wall;
use super::contour::{Contact, Contour};
use super::error::SideError;
use super::fit::{FIRST_SCALE_MM, Fitted, Known, Table, fit_solid};
use super::measured::{Given, Lip, SideMeasured, fit_outline, known, of_fitted};
use super::rivals;
use super::silhouette::{self, Edge, Leaning, Raster, Silhouette, Standing, Visible, along_mouth, along_outline, along_run, along_solid};
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
/// And of the one in which its edges are placed, at most.
const WHOLE_PX: usize = 3000;
/// A card turned away more than this, in degrees, gives no scale for the piece's plane.
const MOST_TURNED_DEGREES: f64 = 40.0;
/// A card that is turned more than this in the picture does not stand upright, or is none: a person holds a camera level to within a few degrees (our own
/// estimate).
const MOST_ASLANT_DEGREES: f64 = 10.0;
/// A card that leans more than this against the piece, in degrees, does not stand where it should.
const MOST_LEAN_DEGREES: f64 = 6.0;
/// How well the card's edge says where the table is, one standard deviation in mm: folds of the cloth, the card's own edge. Our own estimate, no source.
const TABLE_SD_MM: f64 = 0.4;
/// How far from a solid edges are looked for, in pixels, round by round.
const REACHES_PX: [f64; 4] = [12.0, 8.0, 9.0, 6.0];
/// The round before which the foot is sought.
const FOOTED: usize = 1;
/// The round from which the rim is sought as a whole.
const RIMMED: usize = 1;
/// The round from which the edge is sought as one run along the outline, and the near edge of the mouth with it.
const AS_A_RUN: usize = 2;
/// Of the reach, the share to within which edges are believed at first.
const FIRST_SHARE: f64 = 0.4;
/// Outlines that are tried at most.
const MOST_TRIED: usize = 3;
/// Of a piece that is measured, the edge is seen at least so well, 0 to 1. Of seventy rendered photographs all but one of those that were measured as well as their ±
/// says lie above; half of a piece, cut off along a shine, came to 0.49, the shine of a black pot on black cloth to 0.51, and a pan beside a card whose lower edge was
/// taken to be a stripe of the cloth to 0.54.
const LEAST_SEEN: f64 = 0.55;
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
    /// How well its parts are placed.
    pub placed: Placing,
    pub(super) kept: Kept,
}

/// By how many pixels parts of an outline may lie outward or inward of where they were taken, one standard deviation; none where too little of them is seen.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Placing {
    /// The foot.
    pub foot_px: Option<f64>,
    /// Where the piece is widest.
    pub widest_px: Option<f64>,
    /// The rim.
    pub rim_px: Option<f64>,
    /// Other feet that are seen nearly as well.
    pub feet: Others,
    /// Other rims.
    pub rims: Others,
}

/// What other feet or rims say that are seen nearly as well as the one that was taken, each counted by how likely it is.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Others {
    /// By how many mm the radius may be another, one standard deviation about the one taken.
    pub mm: f64,
    /// By how many ml more the piece holds by them, on the average.
    pub ml: f64,
    /// And their standard deviation about that.
    pub ml_sd: f64,
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
    let standing = Standing::of(camera, (f64::from(width), f64::from(height))).ok_or(SideError::Blank)?;
    let frame = standing.frame;
    level(camera, &frame)?;
    let (whole, small) = rayon::join(|| Shades::of(photo, WHOLE_PX), || Shades::of(photo, SMALL_PX));
    reached(15)?;
    let found = silhouette::find(&small, camera, &standing);
    reached(50)?;
    let table = Table { at_mm: frame.at(0.0, -standing.half_mm.y), sd_mm: TABLE_SD_MM, up: frame.up };
    let given = Given { wall, table: Some(table), lip: Lip::Rounded, card: Some(card) };
    let work = Work { whole: &whole, camera, frame, given: &given };
    // The outline that looks best at first need not be the piece's, and the same piece comes out a little otherwise from another start.
    let mut all: Vec<(Tried, SideMeasured)> = Vec::new();
    let mut why = SideError::Blank;
    for (i, (raster, silhouette)) in found.into_iter().take(MOST_TRIED).enumerate() {
        let tried = work.tried(raster, silhouette).and_then(|tried| {
            let measured = of_fitted(camera, &tried.outline, &tried.fitted, &given)?;
            Ok((tried, measured))
        });
        match tried {
            Ok(tried) => all.push(tried),
            Err(error) => why = if why == SideError::Blank { error } else { why },
        }
        reached(60 + 10 * i as u64)?;
    }
    all.sort_by(|a, b| b.0.seen.by_edges.total_cmp(&a.0.seen.by_edges));
    let mut all = all.into_iter();
    let Some((Tried { fitted, outline, mouth, raster, silhouette, seen }, measured)) = all.next() else { return Err(why) };
    if seen.in_all < LEAST_SEEN {
        return Err(SideError::Unseen { percent: 100.0 * seen.in_all });
    }
    let others: Vec<(SideMeasured, f64)> = all.map(|(tried, measured)| (measured, tried.seen.by_edges)).collect();
    let mut measured = rivals::held((measured, seen.by_edges), &others)?;
    let placing = work.placing(&fitted, &Leaning { camera, raster: &raster, silhouette: &silhouette });
    // Of a piece at least foot or rim is seen; a solid that shows neither is some part of it, or of its surround.
    if measured.rim.is_none() && measured.foot.is_none() {
        return Err(SideError::NoAxis);
    }
    let eye = fitted.view.eye(&fitted.axis);
    measured.doubted(&placing, 1.0 / camera.px_per_mm(fitted.axis.foot_mm).max(1e-3), eye.y / eye.norm().max(1e-6))?;
    let solid_px = fitted.outline_px();
    cut_off(&solid_px, (f64::from(width), f64::from(height)))?;
    upright(&fitted, &frame)?;
    measured.left_out = silhouette::parts(&raster, &silhouette);
    reached(100)?;
    let px = |(x, y): (f64, f64)| fitted.placed().project_plane(Point::new(x, y)).unwrap_or_default();
    let axis_px = measured.axis_mm.map(px);
    let weights = fitted.weights.clone();
    Ok(SideSeen {
        measured,
        outline_px: outline,
        weights,
        solid_px,
        axis_px,
        seen: seen.in_all,
        placed: placing,
        kept: Kept { fitted, table, wall, mouth },
    })
}

fn found(edges: &[Edge]) -> Vec<Point> {
    edges.iter().filter_map(|edge| edge.px).collect()
}

/// Points of an outline are nothing that a person looking at a picture knows of: they are few because little of the edge is seen, or because the solid that
/// they were looked for around is hardly one.
fn too_few(error: SideError, sought: usize) -> SideError {
    match error {
        SideError::TooFewPoints { given: 0, .. } => SideError::Blank,
        SideError::TooFewPoints { given, least } if 2 * given > sought && sought < 2 * least => SideError::NoAxis,
        SideError::TooFewPoints { given, .. } => SideError::Unseen { percent: 100.0 * given as f64 / sought.max(1) as f64 },
        other => other,
    }
}

/// Refuses a card that is seen too much from one side.
fn square_to_camera(camera: &Placed) -> Result<(), SideError> {
    let eye = camera.eye_mm();
    let degrees = eye.x.hypot(eye.y).atan2(eye.z.abs()).to_degrees();
    if degrees > MOST_TURNED_DEGREES { Err(SideError::CardTurned { degrees }) } else { Ok(()) }
}

/// Refuses a card whose upright edges are turned in the picture: it is something else, or does not stand.
fn level(camera: &Placed, frame: &Axis) -> Result<(), SideError> {
    let up = camera.pose.rotation * frame.world(nalgebra::Vector3::y()).coords;
    let degrees = up.x.atan2(-up.y).to_degrees().abs();
    if degrees > MOST_ASLANT_DEGREES { Err(SideError::CardAslant { degrees }) } else { Ok(()) }
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

/// Refuses a solid that leans against the card.
fn upright(fitted: &Fitted, frame: &Axis) -> Result<(), SideError> {
    let degrees = fitted.axis.up.dot(frame.up).clamp(-1.0, 1.0).acos().to_degrees();
    if degrees > MOST_LEAN_DEGREES { Err(SideError::CardLeans { degrees }) } else { Ok(()) }
}

/// What is the same for every outline that is tried.
struct Work<'a> {
    whole: &'a Shades,
    camera: &'a Placed,
    frame: Axis,
    given: &'a Given<'a>,
}

/// A solid and how well it is seen.
struct Tried {
    fitted: Fitted,
    outline: Vec<Point>,
    mouth: Vec<Point>,
    raster: Raster,
    silhouette: Silhouette,
    seen: Visible,
}

impl Work<'_> {
    /// The solid behind an outline of cells, fitted to the edges of the photograph, which are sought nearer and nearer to it.
    fn tried(&self, raster: Raster, mut silhouette: Silhouette) -> Result<Tried, SideError> {
        let (whole, camera) = (self.whole, self.camera);
        if let Some(without) = silhouette::without_handles(&raster, &silhouette) {
            silhouette = without;
        }
        let rough = along_outline(whole, camera, &raster, &silhouette);
        let mut outline = found(&rough);
        let mut mouth = Vec::new();
        let (axis, profile) = start(&raster, &silhouette, camera, &self.frame).ok_or(SideError::Blank)?;
        let mut fitted = fit_outline(camera, &outline, (axis, &profile), self.given, None, FIRST_SCALE_MM)
            .map_err(|error| too_few(error, rough.len()))?;
        for (round, reach_px) in REACHES_PX.into_iter().enumerate() {
            silhouette = silhouette::relearnt(&raster, camera, &fitted.outline_px(), &silhouette);
            let leaning = Leaning { camera, raster: &raster, silhouette: &silhouette };
            let mut profile = fitted.profile.clone();
            let placed = (&fitted.view, &fitted.axis);
            if let (FOOTED, Some(table)) = (round, self.given.table) {
                profile = silhouette::with_best_foot(whole, &leaning, placed, &profile, table.height_on(&fitted.axis));
            }
            if round >= RIMMED {
                profile = silhouette::with_best_rim(whole, &leaning, placed, &profile, fitted.lip_mm());
            }
            let contour = Contour::new(fitted.view.eye(&fitted.axis), &profile, fitted.lip_mm());
            let sought;
            (outline, sought) = if round < AS_A_RUN {
                let edges = along_solid(whole, &leaning, placed, &contour, reach_px);
                (found(&edges), edges.len())
            } else {
                along_run(whole, &leaning, placed, &contour, reach_px)
            };
            let px_mm = 1.0 / camera.px_per_mm(fitted.axis.foot_mm).max(1e-3);
            let mut known = known(camera, (fitted.axis, &profile), self.given, Some(&fitted), FIRST_SHARE * reach_px * px_mm);
            if round >= AS_A_RUN {
                mouth = along_mouth(whole, placed, &contour, reach_px);
                known.mouth.clone_from(&mouth);
            }
            let fit = |known: &Known| fit_solid(camera, &outline, fitted.axis, &profile, known).map_err(|error| too_few(error, sought));
            let mut again = fit(&known)?;
            if !mouth.is_empty() && !goes_with(&again) {
                mouth.clear();
                known.mouth.clear();
                again = fit(&known)?;
            }
            fitted = again;
        }
        // Handles that are alike on both sides draw an outline to themselves, and it is as clear as that of the wall.
        let around = silhouette::relearnt(&raster, camera, &fitted.outline_px(), &silhouette);
        if let Some(without) = silhouette::without_handles(&raster, &around) {
            let [first_mm, second_mm] =
                [&around, &without].map(|s| 2.0 * f64::from(s.half.iter().copied().max().unwrap_or(0)) * raster.cell_mm);
            return Err(SideError::Two { first_mm, second_mm });
        }
        let leaning = Leaning { camera, raster: &raster, silhouette: &silhouette };
        let seen = silhouette::visible(whole, &leaning, (&fitted.view, &fitted.axis), &fitted.contour());
        if fitted.sees(0) && tips(&fitted.profile) {
            return Err(SideError::Unseen { percent: 100.0 * seen.in_all });
        }
        Ok(Tried { fitted, outline, mouth, raster, silhouette, seen })
    }
}

/// What stands on less than this share of its width would tip over: it is what shines in the upper part of a piece that is as dark as its cloth. A choice of this
/// program, no source.
const LEAST_FOOT: f64 = 0.25;

/// Whether a solid of that half profile stands on hardly anything.
pub(super) fn tips(profile: &[(f64, f64)]) -> bool {
    let widest = profile.iter().map(|p| p.0).fold(0.0, f64::max);
    profile.first().is_some_and(|foot| foot.0 < LEAST_FOOT * widest)
}

/// What was taken for that edge is it where so many of its points go with the solid.
const GOES_WITH: f64 = 0.6;

/// Whether what was taken for the near edge of the mouth goes with the solid.
fn goes_with(fitted: &Fitted) -> bool {
    let near = fitted.mouth_weights.iter().filter(|w| **w > 0.3).count();
    near as f64 > GOES_WITH * fitted.mouth_weights.len() as f64
}

impl Work<'_> {
    /// How well the parts of a solid's outline are placed.
    fn placing(&self, fitted: &Fitted, leaning: &Leaning<'_>) -> Placing {
        let contour = fitted.contour();
        let last = fitted.profile.len().saturating_sub(2);
        let widest = fitted.profile.iter().map(|p| p.0).fold(0.0, f64::max);
        let placed = (&fitted.view, &fitted.axis);
        let wall_mm = self.given.wall.thickness_mm().value;
        let of = |counts: &dyn Fn(&Contact) -> bool| silhouette::doubt_px(self.whole, leaning, placed, &contour, counts);
        Placing {
            foot_px: of(&|c| c.piece == 0 && c.along < 0.5),
            widest_px: of(&|c| c.at.x.hypot(c.at.z) > WIDEST_SHARE * widest),
            rim_px: of(&|c| c.piece + 2 > last),
            feet: self.given.table.map_or_else(Others::default, |table| {
                silhouette::other_feet(self.whole, leaning, placed, &fitted.profile, (table.height_on(&fitted.axis), wall_mm))
            }),
            rims: silhouette::other_rims(self.whole, leaning, placed, &fitted.profile, (fitted.lip_mm(), wall_mm)),
        }
    }
}

/// A piece is widest where it is at least so wide as a share of its greatest width.
const WIDEST_SHARE: f64 = 0.96;

/// An axis and a half profile to start from: the widths read flat, without what is the far half of the rim and the near half of the foot.
///
/// Seen from above at a slope of tan α, a circle of radius r about the axis reaches r tan α above and below its middle.
fn start(raster: &Raster, silhouette: &Silhouette, camera: &Placed, frame: &Axis) -> Option<(Axis, Vec<(f64, f64)>)> {
    let cell = raster.cell_mm;
    let on_axis = |row: f64| camera.on_plane(raster.px(camera, silhouette.line_at(row, raster.rows), row)?, 0.0);
    let low = silhouette.first as f64;
    let (foot, top) = (on_axis(low)?, on_axis(low + silhouette.half.len() as f64)?);
    let up = if (top - foot).dot(frame.up) > 0.0 { top - foot } else { frame.up };
    let axis = Axis::new(foot, up);
    let eye = axis.sight_from(camera);
    let mut line: Vec<(f64, f64)> =
        silhouette.half.iter().enumerate().map(|(i, half)| (f64::from(*half) * cell, (i as f64 + 0.5) * cell)).collect();
    let rise = |h: f64| (eye.y - h) / eye.x.hypot(eye.z).max(1.0);
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
    Some((axis, line))
}
