//! The photograph laid out over an upright plane that holds an axis and faces the camera: cells about a millimetre wide.
//!
//! A solid of revolution before a camera is alike on both sides of the plane through its axis and the eye. Only in the plane square to that is its outline
//! alike on both sides of the axis: in the card's own plane what stands beside the middle of the picture is skewed, by a centimetre and more at foot and rim.

use super::super::solid::Axis;
use crate::photo::camera::Placed;
use crate::photo::card::{LONG_MM, SHORT_MM, Shades};
use kurbo::{Point, Vec2};
use nalgebra::{Point3, Vector3};
use rayon::prelude::*;

/// Most cells in either direction.
const MOST_CELLS: f64 = 320.0;
/// Cells are no smaller than this, in mm.
const LEAST_CELL_MM: f64 = 0.4;
/// How far from the card's middle a piece is looked for, in mm.
const REACH_MM: f64 = 450.0;
/// The card's edges are seen in cells so far beside it, in mm.
const CARD_MARGIN_MM: f64 = 2.5;

/// What a cell shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in super::super) enum Shows {
    /// The picture.
    Picture,
    /// The card, or its edge.
    Card,
    /// Nothing: it lies outside the picture.
    Nothing,
}

/// The card as it stands: an axis through its middle, upward along that of its edges which runs most nearly up the picture, half its width and height so,
/// and what of its plane the picture shows.
#[derive(Debug, Clone, Copy)]
pub(in super::super) struct Standing {
    /// The axis through the card's middle.
    pub(in super::super) frame: Axis,
    /// Half the card's width and height as it stands, in mm.
    pub(in super::super) half_mm: Vec2,
    /// From where to where the picture shows the plane, right of the card's middle, in mm.
    pub(in super::super) shown_mm: (f64, f64),
    /// The width of a cell, in mm.
    pub(in super::super) cell_mm: f64,
}

impl Standing {
    /// Where a camera sees the card stand, in a picture of that size. None where the plane is not seen.
    pub(in super::super) fn of(camera: &Placed, (width, height): (f64, f64)) -> Option<Self> {
        let middle = camera.project_plane(Point::ZERO)?;
        let (long, short) = (LONG_MM / 2.0, SHORT_MM / 2.0);
        let rise = |way: Vec2| {
            camera.project_plane((way * 10.0).to_point()).map_or(f64::NEG_INFINITY, |p| (middle.y - p.y) / (p - middle).hypot().max(1e-9))
        };
        let ways = [
            (Vec2::new(0.0, 1.0), Vec2::new(long, short)),
            (Vec2::new(0.0, -1.0), Vec2::new(long, short)),
            (Vec2::new(1.0, 0.0), Vec2::new(short, long)),
            (Vec2::new(-1.0, 0.0), Vec2::new(short, long)),
        ];
        let (up, half_mm) = ways.into_iter().max_by(|a, b| rise(a.0).total_cmp(&rise(b.0)))?;
        let frame = Axis::new(Point::ZERO, up);
        let (low, high) = Plane::through(camera, &frame, 0.0).shown(camera, (width, height));
        let size = (high.x - low.x).max(high.y - low.y);
        let mut shown_mm = (f64::INFINITY, f64::NEG_INFINITY);
        for px in border((width, height)) {
            if let Some(at) = camera.on_plane(px, 0.0) {
                let e = (at - frame.foot_mm).dot(frame.right()).clamp(-REACH_MM, REACH_MM);
                shown_mm = (shown_mm.0.min(e), shown_mm.1.max(e));
            }
        }
        let cell_mm = (size / MOST_CELLS).max(LEAST_CELL_MM);
        let seen = size > 20.0 && size.is_finite() && shown_mm.1 > shown_mm.0;
        seen.then_some(Self { frame, half_mm, shown_mm, cell_mm })
    }
}

/// Pixels along the border of a picture.
fn border((w, h): (f64, f64)) -> impl Iterator<Item = Point> {
    let at = move |t: f64| [Point::new(w * t, 0.0), Point::new(w * t, h), Point::new(0.0, h * t), Point::new(w, h * t)];
    (0..=16).flat_map(move |i| at(f64::from(i) / 16.0))
}

/// An upright plane that holds an axis of the card's plane and faces the camera.
#[derive(Debug, Clone, Copy)]
struct Plane {
    axis: Axis,
    /// Level, to the right, in the world.
    across: Vector3<f64>,
    /// Upward, in the world.
    up: Vector3<f64>,
}

impl Plane {
    /// Through the upright line so far right of the card's middle.
    fn through(camera: &Placed, frame: &Axis, right_mm: f64) -> Self {
        let axis = Axis::new(frame.at(right_mm, 0.0), frame.up);
        let eye = axis.sight_from(camera);
        let level = eye.x.hypot(eye.z).max(1e-9);
        let foot = axis.world(Vector3::zeros());
        let across = axis.world(Vector3::new(eye.z / level, 0.0, -eye.x / level)) - foot;
        Self { axis, across, up: axis.world(Vector3::new(0.0, 1.0, 0.0)) - foot }
    }

    fn at(&self, x_mm: f64, y_mm: f64) -> Point3<f64> {
        self.axis.world(Vector3::zeros()) + self.across * x_mm + self.up * y_mm
    }

    /// From where to where a picture shows it, right of the axis and up it.
    fn shown(&self, camera: &Placed, (w, h): (f64, f64)) -> (Vec2, Vec2) {
        let (mut low, mut high) = (Vec2::new(f64::INFINITY, f64::INFINITY), Vec2::new(f64::NEG_INFINITY, f64::NEG_INFINITY));
        for px in border((w, h)) {
            if let Some(v) = self.seen_at(camera, px) {
                let (e, up) = (v.x.clamp(-REACH_MM, REACH_MM), v.y.clamp(-REACH_MM, REACH_MM));
                low = Vec2::new(low.x.min(e), low.y.min(up));
                high = Vec2::new(high.x.max(e), high.y.max(up));
            }
        }
        (low, high)
    }

    /// Where a pixel meets the plane, right of the axis and up it, in mm.
    fn seen_at(&self, camera: &Placed, px: Point) -> Option<Vec2> {
        let (eye, foot) = (camera.eye_mm(), self.axis.world(Vector3::zeros()));
        let normal = self.across.cross(&self.up);
        let ray = camera.ray(px);
        let reach = (foot - eye).dot(&normal) / ray.dot(&normal);
        let v = eye + ray * reach - foot;
        (reach.is_finite() && reach > 0.0).then(|| Vec2::new(v.dot(&self.across), v.dot(&self.up)))
    }
}

/// Cells of such a plane. Row 0 is the lowest; columns run to the right.
#[derive(Debug, Clone)]
pub(in super::super) struct Raster {
    pub(in super::super) cell_mm: f64,
    pub(in super::super) columns: usize,
    pub(in super::super) rows: usize,
    /// The column, counted in broken numbers, in which the axis lies that the plane holds.
    pub(in super::super) axis_column: f64,
    /// At which row, counted in broken numbers, the line lies on which the card stands.
    pub(in super::super) table_row: f64,
    /// By how many rows the near edge of what stands there lies lower for each row that it is nearer.
    pub(in super::super) fall: f64,
    /// Lightness, red against green, yellow against blue, 0 to 255.
    pub(in super::super) shades: Vec<[f32; 3]>,
    pub(in super::super) shows: Vec<Shows>,
    plane: Plane,
    low: Vec2,
}

impl Raster {
    /// Lays out what is seen of the plane through the upright line so far right of the card's middle. None where nothing is.
    pub(in super::super) fn new(picture: &Shades, camera: &Placed, standing: &Standing, right_mm: f64) -> Option<Self> {
        let (w, h) = (picture.width as f64 * picture.scale, picture.height as f64 * picture.scale);
        let plane = Plane::through(camera, &standing.frame, right_mm);
        let (low, high) = plane.shown(camera, (w, h));
        let cell_mm = standing.cell_mm;
        let count = |from: f64, to: f64| ((to - from) / cell_mm).clamp(0.0, 2.0 * MOST_CELLS) as usize;
        let (columns, rows) = (count(low.x, high.x), count(low.y, high.y));
        if columns < 16 || rows < 16 {
            return None;
        }
        let half = standing.half_mm;
        let cell = |k: usize| {
            let (x, y) = (((k % columns) as f64 + 0.5) * cell_mm, ((k / columns) as f64 + 0.5) * cell_mm);
            let Some(px) = camera.project(plane.at(low.x + x, low.y + y)) else { return ([0.0; 3], Shows::Nothing) };
            if px.x < 1.0 || px.y < 1.0 || px.x > w - 1.0 || px.y > h - 1.0 {
                return ([0.0; 3], Shows::Nothing);
            }
            let on_card = camera.on_plane(px, 0.0).is_some_and(|at| {
                let v = at - standing.frame.foot_mm;
                let (e, up) = (v.dot(standing.frame.right()), v.dot(standing.frame.up));
                e.abs() < half.x + CARD_MARGIN_MM && up.abs() < half.y + CARD_MARGIN_MM
            });
            (picture.at(px), if on_card { Shows::Card } else { Shows::Picture })
        };
        let cells: Vec<([f32; 3], Shows)> = (0..columns * rows).into_par_iter().with_min_len(4096).map(cell).collect();
        let (shades, shows) = cells.into_iter().unzip();
        let table_row = (-half.y - low.y) / cell_mm;
        let eye = plane.axis.sight_from(camera);
        let fall = (eye.y + half.y) / eye.x.hypot(eye.z).max(1.0);
        Some(Self { cell_mm, columns, rows, axis_column: -low.x / cell_mm, table_row, fall, shades, shows, plane, low })
    }

    /// The column and row, counted in broken numbers, that a pixel shows. None where it looks past the plane.
    pub(in super::super) fn cell(&self, camera: &Placed, px: Point) -> Option<(f64, f64)> {
        let v = self.plane.seen_at(camera, px)?;
        Some(((v.x - self.low.x) / self.cell_mm, (v.y - self.low.y) / self.cell_mm))
    }

    /// What a cell shows; nothing beyond the raster.
    pub(in super::super) fn shown(&self, column: usize, row: usize) -> Shows {
        if column >= self.columns {
            return Shows::Nothing;
        }
        self.shows.get(row * self.columns + column).copied().unwrap_or(Shows::Nothing)
    }

    /// The pixel at so many columns and rows from the corner of the first cell. None behind the camera.
    pub(in super::super) fn px(&self, camera: &Placed, column: f64, row: f64) -> Option<Point> {
        camera.project(self.plane.at(self.low.x + column * self.cell_mm, self.low.y + row * self.cell_mm))
    }
}
