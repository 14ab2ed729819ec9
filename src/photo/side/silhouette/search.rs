//! The line about which the picture is most alike on both sides, and the outline about it.

use super::colours::{Believed, Colours};
use super::path::{Edges, Line, Path, Stands, best};
use super::raster::{Raster, Shows, Standing};
use crate::photo::camera::Placed;
use crate::photo::card::Shades;
use kurbo::Point;
use rayon::prelude::*;

/// Lines of which the colours are learnt.
const TRIED: usize = 6;
/// Rounds of learning.
const ROUNDS: usize = 3;
/// How far apart the planes are on which the picture is laid out, as a share of the camera's distance: 3.4°.
const PLANE_STEP: f64 = 0.06;
/// And how many they are at most.
const MOST_PLANES: f64 = 48.0;
/// How much of the raster along the picture's border is taken for surround at first.
const BORDER: f64 = 0.06;

/// An outline that is alike on both sides of a line.
#[derive(Debug, Clone)]
pub(in super::super) struct Silhouette {
    /// The line: the column it crosses at a row is `column + lean · (row + 0.5 − rows / 2)`.
    pub(in super::super) column: f64,
    pub(in super::super) lean: f64,
    /// Its lowest row.
    pub(in super::super) first: usize,
    /// Cells to either side of the line, row by row from there.
    pub(in super::super) half: Vec<u16>,
    /// How much the colour of each cell of the raster speaks for the piece (1) or for the surround (−1).
    pub(in super::super) leaning: Vec<f32>,
}

impl Silhouette {
    fn of((path, leaning): (Path, Vec<f32>)) -> Self {
        Self { leaning, column: path.line.column, lean: path.line.lean, first: path.first, half: path.half }
    }

    /// The column at which the line crosses a row, which may be a broken number.
    pub(in super::super) fn line_at(&self, row: f64, rows: usize) -> f64 {
        self.column + self.lean * (row - rows as f64 / 2.0)
    }
}

/// The best outlines in a picture, best first, each with the raster about its line in which it is.
pub(in super::super) fn find(picture: &Shades, camera: &Placed, standing: &Standing) -> Vec<(Raster, Silhouette)> {
    let (from, to) = standing.shown_mm;
    let eye = standing.frame.sight_from(camera);
    // Planes so near one another that what stands between them is hardly skewed in either.
    let step = (eye.z.abs() * PLANE_STEP).max(4.0 * standing.cell_mm);
    let planes = ((to - from) / step).ceil().clamp(1.0, MOST_PLANES) as usize;
    let step = (to - from) / planes as f64;
    let mut first: Vec<(f64, Path)> = (0..planes)
        .into_par_iter()
        .flat_map_iter(|k| about_plane(picture, camera, standing, from + (k as f64 + 0.5) * step, step))
        .collect();
    first.sort_by(|a, b| a.1.cost.total_cmp(&b.1.cost).then(a.0.total_cmp(&b.0)));
    let mut tried: Vec<f64> = Vec::new();
    for (right_mm, _) in first {
        if tried.iter().all(|t| (t - right_mm).abs() > 5.0 * standing.cell_mm) {
            tried.push(right_mm);
        }
        if tried.len() == TRIED {
            break;
        }
    }
    let mut learnt: Vec<(Raster, Path, Vec<f32>)> =
        tried.into_par_iter().filter_map(|right_mm| learnt(picture, camera, standing, right_mm)).collect();
    learnt.sort_by(|a, b| a.1.cost.total_cmp(&b.1.cost));
    learnt.into_iter().map(|(raster, path, leaning)| (raster, Silhouette::of((path, leaning)))).collect()
}

/// The silhouette of a solid whose outline is seen at those pixels, and the colours that it separates.
pub(in super::super) fn relearnt(raster: &Raster, camera: &Placed, outline_px: &[Point], before: &Silhouette) -> Silhouette {
    let mut reach = vec![(f64::INFINITY, f64::NEG_INFINITY); raster.rows];
    for (column, row) in outline_px.iter().filter_map(|px| raster.cell(camera, *px)) {
        // A cell is as high as the outline's points are apart, or higher; beside it they fill what is left.
        for by in [-1.0, 0.0, 1.0] {
            let at = row + by;
            if let Some(r) = (at >= 0.0).then(|| reach.get_mut(at as usize)).flatten() {
                *r = (r.0.min(column), r.1.max(column));
            }
        }
    }
    let seen = |r: &(f64, f64)| r.1 > r.0;
    let (Some(first), Some(last)) = (reach.iter().position(seen), reach.iter().rposition(seen)) else { return before.clone() };
    let believed = |x: usize, y: usize| {
        let (left, right) = reach.get(y).copied().filter(seen).unwrap_or((0.0, 0.0));
        let (middle, half) = (f64::midpoint(left, right), 0.5 * (right - left));
        let off = if half > 0.0 { (x as f64 + 0.5 - middle).abs() - half } else { f64::INFINITY };
        let like = before.leaning.get(y * raster.columns + x).copied().unwrap_or(0.0);
        if off < -EDGE_CELLS {
            Believed::Piece
        } else if off > EDGE_CELLS && (like < LIKE || off > half.max(FAR_CELLS)) {
            Believed::Surround
        } else {
            Believed::Unknown
        }
    };
    let leaning = Colours::new(raster).leaning(raster, believed);
    let rows = reach.get(first..=last).unwrap_or_default();
    let mut half = Vec::with_capacity(rows.len());
    for r in rows {
        half.push(if seen(r) { (0.5 * (r.1 - r.0)).round() as u16 } else { half.last().copied().unwrap_or(1) });
    }
    let middle = |r: Option<&(f64, f64)>| r.map_or(before.column, |r| f64::midpoint(r.0, r.1));
    let lean = (middle(rows.last()) - middle(rows.first())) / rows.len().max(1) as f64;
    let column = f64::midpoint(middle(rows.first()), middle(rows.last()))
        - lean * (f64::midpoint(first as f64, last as f64 + 1.0) - raster.rows as f64 / 2.0);
    Silhouette { column, lean, first, half, leaning }
}

/// So near an outline nothing is said of a cell, in cells.
const EDGE_CELLS: f64 = 1.5;
/// What speaks less than this for the piece may be taken for the surround.
const LIKE: f32 = 0.3;
/// And so far from the outline all of it, in cells.
const FAR_CELLS: f64 = 20.0;

/// The best outlines about all lines near a plane, with where their lines are right of the card's middle, in mm.
fn about_plane(picture: &Shades, camera: &Placed, standing: &Standing, right_mm: f64, step_mm: f64) -> Vec<(f64, Path)> {
    let Some(raster) = Raster::new(picture, camera, standing, right_mm) else { return Vec::new() };
    let search = Search::new(&raster);
    let leaning = search.leaning_of_border();
    let reach = (0.5 * step_mm / raster.cell_mm).ceil() as i32;
    (-reach..=reach)
        .filter_map(|by| {
            let path = search.about(Line { column: raster.axis_column.round() + f64::from(by), lean: 0.0 }, &leaning)?;
            Some((right_mm + f64::from(by) * raster.cell_mm, path))
        })
        .collect()
}

/// The best outline near a line once the colours of piece and surround are learnt.
fn learnt(picture: &Shades, camera: &Placed, standing: &Standing, right_mm: f64) -> Option<(Raster, Path, Vec<f32>)> {
    let raster = Raster::new(picture, camera, standing, right_mm)?;
    let search = Search::new(&raster);
    let mut leaning = search.leaning_of_border();
    let mut path = search.about(Line { column: raster.axis_column.round(), lean: 0.0 }, &leaning)?;
    for _ in 0..ROUNDS {
        let believed = believed(&raster, &path, &leaning);
        leaning = search.colours.leaning(&raster, |x, y| believed.get(y * raster.columns + x).copied().unwrap_or(Believed::Unknown));
        let near = [-2.0, -1.0, 0.0, 1.0, 2.0].into_iter().flat_map(|by| [-0.015, 0.0, 0.015].map(|lean| (by, lean)));
        let lines = near.map(|(by, lean)| Line { column: path.line.column + by, lean: path.line.lean + lean });
        let again: Vec<Path> = lines.filter_map(|line| search.about(line, &leaning)).collect();
        path = again.into_iter().min_by(|a, b| a.cost.total_cmp(&b.cost))?;
    }
    Some((raster, path, leaning))
}

/// What is worked out of a raster once.
struct Search<'a> {
    raster: &'a Raster,
    colours: Colours,
    edges: Edges,
    stands: Stands,
}

impl<'a> Search<'a> {
    fn new(raster: &'a Raster) -> Self {
        Self { raster, colours: Colours::new(raster), edges: Edges::new(raster), stands: Stands::new(raster) }
    }

    /// Colours while all that is known is that along the picture's border is the surround.
    fn leaning_of_border(&self) -> Vec<f32> {
        let raster = self.raster;
        let margin = ((raster.columns.max(raster.rows) as f64 * BORDER) as usize).max(2);
        self.colours.leaning(raster, |x, y| if at_border(raster, x, y, margin) { Believed::Surround } else { Believed::Unknown })
    }

    fn about(&self, line: Line, leaning: &[f32]) -> Option<Path> {
        let columns = self.raster.columns;
        let most = (line.column.min(columns as f64 - line.column).max(0.0) as usize).min(columns / 2).saturating_sub(2);
        best(&self.edges, leaning, self.raster, self.stands, line, most)
    }
}

/// Whether a cell lies along the picture's border.
fn at_border(raster: &Raster, x: usize, y: usize, margin: usize) -> bool {
    let beyond = |x: Option<usize>, y: Option<usize>| match (x, y) {
        (Some(x), Some(y)) => y >= raster.rows || raster.shown(x, y) == Shows::Nothing,
        _ => true,
    };
    beyond(x.checked_sub(margin), Some(y))
        || beyond(Some(x + margin), Some(y))
        || beyond(Some(x), y.checked_sub(margin))
        || beyond(Some(x), Some(y + margin))
}

/// Inside the outline is the piece, outside the surround; not sure along the outline itself, and of what looks like the piece beside it (a handle).
fn believed(raster: &Raster, path: &Path, leaning: &[f32]) -> Vec<Believed> {
    let mut out = Vec::with_capacity(raster.rows * raster.columns);
    for row in 0..raster.rows {
        let half = row.checked_sub(path.first).and_then(|i| path.half.get(i)).map_or(0.0, |h| f64::from(*h));
        let axis = path.line.at(row, raster.rows);
        for column in 0..raster.columns {
            let off = (column as f64 + 0.5 - axis).abs() - half;
            let like = leaning.get(row * raster.columns + column).copied().unwrap_or(0.0);
            out.push(if half > 0.0 && off < -EDGE_CELLS {
                Believed::Piece
            } else if off > EDGE_CELLS && (like < LIKE || off > half.max(FAR_CELLS)) {
                Believed::Surround
            } else {
                Believed::Unknown
            });
        }
    }
    out
}
