//! The photograph laid out over the card's plane: cells about a millimetre wide, upright.

use super::super::solid::Axis;
use crate::photo::camera::Placed;
use crate::photo::card::Shades;
use kurbo::{Point, Vec2};
use rayon::prelude::*;

/// Most cells in either direction.
const MOST_CELLS: f64 = 320.0;
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

/// Cells of the card's plane. Row 0 is the lowest; columns run to the right.
#[derive(Debug, Clone)]
pub(in super::super) struct Raster {
    pub(in super::super) cell_mm: f64,
    pub(in super::super) columns: usize,
    pub(in super::super) rows: usize,
    /// Where the corner of column 0 and row 0 lies, and which way is up.
    pub(in super::super) frame: Axis,
    /// At which row, counted in broken numbers, the line lies on which the card stands.
    pub(in super::super) table_row: f64,
    /// By how many rows the near edge of what stands there lies lower for each row that it is nearer.
    pub(in super::super) fall: f64,
    /// Lightness, red against green, yellow against blue, 0 to 255.
    pub(in super::super) shades: Vec<[f32; 3]>,
    pub(in super::super) shows: Vec<Shows>,
}

impl Raster {
    /// Lays out what is seen of the plane near the card. `half_card_mm` is half the card's width and height as it stands. None where nothing is.
    pub(in super::super) fn new(picture: &Shades, camera: &Placed, frame: &Axis, half_card_mm: Vec2) -> Option<Self> {
        let (w, h) = (picture.width as f64 * picture.scale, picture.height as f64 * picture.scale);
        let (mut low, mut high) = (Vec2::new(f64::INFINITY, f64::INFINITY), Vec2::new(f64::NEG_INFINITY, f64::NEG_INFINITY));
        for i in 0..=16 {
            let t = f64::from(i) / 16.0;
            for edge in [Point::new(w * t, 0.0), Point::new(w * t, h), Point::new(0.0, h * t), Point::new(w, h * t)] {
                if let Some(at) = camera.on_plane(edge, 0.0) {
                    let v = at - frame.foot_mm;
                    let (e, up) = (v.dot(frame.right()).clamp(-REACH_MM, REACH_MM), v.dot(frame.up).clamp(-REACH_MM, REACH_MM));
                    low = Vec2::new(low.x.min(e), low.y.min(up));
                    high = Vec2::new(high.x.max(e), high.y.max(up));
                }
            }
        }
        let size = (high.x - low.x).max(high.y - low.y);
        if !(size > 20.0 && size.is_finite()) {
            return None;
        }
        let cell_mm = (size / MOST_CELLS).max(0.4);
        let (columns, rows) = (((high.x - low.x) / cell_mm) as usize, ((high.y - low.y) / cell_mm) as usize);
        let corner = Axis::new(frame.at(low.x, low.y), frame.up);
        let cell = |k: usize| {
            let (x, y) = (((k % columns) as f64 + 0.5) * cell_mm, ((k / columns) as f64 + 0.5) * cell_mm);
            let Some(px) = camera.project_plane(corner.at(x, y)) else { return ([0.0; 3], Shows::Nothing) };
            if px.x < 1.0 || px.y < 1.0 || px.x > w - 1.0 || px.y > h - 1.0 {
                return ([0.0; 3], Shows::Nothing);
            }
            let on_card = (x + low.x).abs() < half_card_mm.x + CARD_MARGIN_MM && (y + low.y).abs() < half_card_mm.y + CARD_MARGIN_MM;
            (picture.at(px), if on_card { Shows::Card } else { Shows::Picture })
        };
        let cells: Vec<([f32; 3], Shows)> = (0..columns * rows).into_par_iter().with_min_len(2048).map(cell).collect();
        let (shades, shows) = cells.into_iter().unzip();
        let table_row = (-half_card_mm.y - low.y) / cell_mm;
        let eye = frame.sight_from(camera);
        let fall = (eye.y + half_card_mm.y) / eye.z.abs().max(1.0);
        Some(Self { cell_mm, columns, rows, frame: corner, table_row, fall, shades, shows })
    }

    /// What a cell shows; nothing beyond the raster.
    pub(in super::super) fn shown(&self, column: usize, row: usize) -> Shows {
        if column >= self.columns {
            return Shows::Nothing;
        }
        self.shows.get(row * self.columns + column).copied().unwrap_or(Shows::Nothing)
    }

    /// The point of the plane at so many columns and rows from the corner of the first cell.
    pub(in super::super) fn at(&self, column: f64, row: f64) -> Point {
        self.frame.at(column * self.cell_mm, row * self.cell_mm)
    }
}

/// An axis through the card's middle along that of its edges which runs most nearly up the picture, and half the card's width and height so.
pub(in super::super) fn upright(camera: &Placed) -> Option<(Axis, Vec2)> {
    let middle = camera.project_plane(Point::ZERO)?;
    let (long, short) = (crate::photo::card::LONG_MM / 2.0, crate::photo::card::SHORT_MM / 2.0);
    let rise = |way: Vec2| {
        camera.project_plane((way * 10.0).to_point()).map_or(f64::NEG_INFINITY, |p| (middle.y - p.y) / (p - middle).hypot().max(1e-9))
    };
    [
        (Vec2::new(0.0, 1.0), Vec2::new(long, short)),
        (Vec2::new(0.0, -1.0), Vec2::new(long, short)),
        (Vec2::new(1.0, 0.0), Vec2::new(short, long)),
        (Vec2::new(-1.0, 0.0), Vec2::new(short, long)),
    ]
    .into_iter()
    .max_by(|a, b| rise(a.0).total_cmp(&rise(b.0)))
    .map(|(up, half)| (Axis::new(Point::ZERO, up), half))
}
