//! The line about which the picture is most alike on both sides, and the outline about it.

use super::colours::{Believed, Colours};
use super::path::{Edges, Line, Path, Stands, best};
use super::raster::{Raster, Shows};
use rayon::prelude::*;

/// Lines of which the colours are learnt.
const TRIED: usize = 6;
/// Rounds of learning.
const ROUNDS: usize = 3;
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

/// The best outline in a raster. None where no line has any.
pub(in super::super) fn find(raster: &Raster) -> Option<Silhouette> {
    let colours = Colours::new(raster);
    let edges = Edges::new(raster);
    let margin = ((raster.columns.max(raster.rows) as f64 * BORDER) as usize).max(2);
    let leaning = colours.leaning(raster, |x, y| if at_border(raster, x, y, margin) { Believed::Surround } else { Believed::Unknown });
    let stands = Stands::new(raster);
    let about = |line: Line, leaning: &[f32]| {
        let most = (line.column.min(raster.columns as f64 - line.column) as usize).min(raster.columns / 2).saturating_sub(2);
        best(&edges, leaning, raster, stands, line, most)
    };
    let mut first: Vec<Path> = (8..raster.columns.saturating_sub(8))
        .into_par_iter()
        .filter_map(|c| about(Line { column: c as f64, lean: 0.0 }, &leaning))
        .collect();
    first.sort_by(|a, b| a.cost.total_cmp(&b.cost).then(a.line.column.total_cmp(&b.line.column)));
    let mut tried: Vec<Path> = Vec::new();
    for path in first {
        if tried.iter().all(|t| (t.line.column - path.line.column).abs() > 5.0) {
            tried.push(path);
        }
        if tried.len() == TRIED {
            break;
        }
    }
    let learnt = tried.into_par_iter().filter_map(|start| {
        let mut path = start;
        let mut last = leaning.clone();
        for _ in 0..ROUNDS {
            let believed = believed(raster, &path, &last);
            last = colours.leaning(raster, |x, y| believed.get(y * raster.columns + x).copied().unwrap_or(Believed::Unknown));
            let near = [-2.0, -1.0, 0.0, 1.0, 2.0].into_iter().flat_map(|by| [-0.015, 0.0, 0.015].map(|lean| (by, lean)));
            let lines = near.map(|(by, lean)| Line { column: path.line.column + by, lean: path.line.lean + lean });
            let again: Vec<Path> = lines.filter_map(|line| about(line, &last)).collect();
            path = again.into_iter().min_by(|a, b| a.cost.total_cmp(&b.cost))?;
        }
        Some((path, last))
    });
    let learnt: Vec<(Path, Vec<f32>)> = learnt.collect();
    learnt.into_iter().min_by(|a, b| a.0.cost.total_cmp(&b.0.cost)).map(Silhouette::of)
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
            out.push(if half > 0.0 && off < -1.5 {
                Believed::Piece
            } else if off > 1.5 && (like < 0.3 || off > half.max(20.0)) {
                Believed::Surround
            } else {
                Believed::Unknown
            });
        }
    }
    out
}
