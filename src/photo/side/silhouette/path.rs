//! The best outline that is alike on both sides of a line: one pass over the rows.
//!
//! The outline runs from the line below, along the edges of cells, to the line above; row by row it reaches `half` cells to either side. Its cost is summed over its
//! edges, small where both sides show an edge, and over the cells within, less than 0 where their colour is the piece's. Of all such outlines the cheapest is found
//! exactly: going outward or inward between two rows costs a sum that grows along the row, so two sweeps find the best way to every width.

use super::raster::{Raster, Shows};

/// How strong an edge must be to cost half, in shades of 256, where nothing else goes on.
const HALF_COST: f32 = 2.5;
/// What an upright edge costs less: pairs of edges that cost less than this together speak for a piece.
const REWARD: f32 = 0.8;
/// What a cell within counts for a full leaning of its colour.
const CELL: f32 = 0.06;
/// What a piece's colour on one side counts where the other side has the surround's.
const ONE_SIDE: f32 = 0.25;

/// A piece reaches no further than this towards the camera, in mm.
const MOST_RADIUS_MM: f64 = 170.0;
/// How far from the table a piece may seem to end below, in mm: it stands on a fold, or the card does.
const TABLE_MM: f64 = 4.0;
/// The least height of a piece above the table, in mm.
const LEAST_HEIGHT_MM: f64 = 9.0;

/// In which rows an outline may begin and end: the piece stands on the table.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stands {
    first: usize,
    last: usize,
    top: usize,
}

impl Stands {
    pub(super) fn new(raster: &Raster) -> Self {
        let row = |mm: f64| (raster.table_row + mm / raster.cell_mm).max(0.0) as usize;
        Self { first: row(-MOST_RADIUS_MM * raster.fall.max(0.0) - TABLE_MM), last: row(TABLE_MM), top: row(LEAST_HEIGHT_MM) }
    }
}

/// Costs of the edges between cells, 0 (a clear edge) to 1 (none).
#[derive(Debug, Clone)]
pub(super) struct Edges {
    columns: usize,
    rows: usize,
    /// Between a cell and the one on its right.
    upright: Vec<f32>,
    /// Between a cell and the one above.
    level: Vec<f32>,
}

/// An outline about a line: cells to either side, row by row from `first` up.
#[derive(Debug, Clone)]
pub(super) struct Path {
    pub(super) line: Line,
    pub(super) first: usize,
    pub(super) half: Vec<u16>,
    pub(super) cost: f32,
}

/// An upright or nearly upright line: the column that it crosses in the middle row, and how many columns it moves to the right in a row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Line {
    pub(super) column: f64,
    pub(super) lean: f64,
}

impl Line {
    pub(super) fn at(&self, row: usize, rows: usize) -> f64 {
        self.column + self.lean * (row as f64 + 0.5 - rows as f64 / 2.0)
    }
}

impl Edges {
    pub(super) fn new(raster: &Raster) -> Self {
        let (columns, rows) = (raster.columns, raster.rows);
        let cell = |x: isize, y: isize| {
            let x = x.clamp(0, columns.cast_signed() - 1) as usize;
            let y = y.clamp(0, rows.cast_signed() - 1) as usize;
            raster.shades.get(y * columns + x).copied().unwrap_or_default()
        };
        let blank = |x: usize, y: usize| raster.shown(x, y) != Shows::Picture;
        let change = |x: usize, y: usize, (dx, dy): (isize, isize)| -> f32 {
            let (x, y) = (x.cast_signed(), y.cast_signed());
            let mut sum = [0.0_f32; 3];
            for (side, weight) in [(-1, 0.25), (0, 0.5), (1, 0.25_f32)] {
                let (sx, sy) = (x + side * dy, y + side * dx);
                let far = (cell(sx + 2 * dx, sy + 2 * dy), cell(sx - dx, sy - dy));
                let near = (cell(sx + dx, sy + dy), cell(sx, sy));
                for (s, ((a, b), (c, d))) in sum.iter_mut().zip(far.0.iter().zip(far.1).zip(near.0.iter().zip(near.1))) {
                    *s += weight * (0.4 * (a - b) + 0.6 * (c - d));
                }
            }
            (sum[0] * sum[0] + 2.0 * (sum[1] * sum[1] + sum[2] * sum[2])).sqrt()
        };
        let plane = |(dx, dy): (isize, isize)| -> Vec<f32> {
            let raw: Vec<f32> = (0..columns * rows)
                .map(|k| {
                    let (x, y) = (k % columns, k / columns);
                    let (x2, y2) = (x + dx as usize, y + dy as usize);
                    if blank(x, y) || blank(x2, y2) { 0.0 } else { change(x, y, (dx, dy)) }
                })
                .collect();
            let busy = blurred(&raw, columns, rows, 6);
            (0..columns * rows)
                .map(|k| {
                    let own = raw.get(k).copied().unwrap_or(0.0);
                    let step = if dx == 1 { 1 } else { columns };
                    let before = k.checked_sub(step).and_then(|j| raw.get(j)).copied().unwrap_or(0.0);
                    let after = raw.get(k + step).copied().unwrap_or(0.0);
                    let thin = if own >= before && own >= after { own } else { 0.55 * own };
                    let half = HALF_COST + 0.9 * busy.get(k).copied().unwrap_or(0.0);
                    1.0 / (1.0 + (thin / half).powi(2))
                })
                .collect()
        };
        let (upright, level) = rayon::join(|| plane((1, 0)), || plane((0, 1)));
        Self { columns, rows, upright, level }
    }

    /// The upright edge to the left of a column.
    fn left_of(&self, column: usize, row: usize) -> f32 {
        match column.checked_sub(1) {
            Some(c) if c < self.columns => self.upright.get(row * self.columns + c).copied().unwrap_or(1.0),
            _ => 1.0,
        }
    }

    /// The level edge below a row.
    fn below(&self, column: usize, row: usize) -> f32 {
        match row.checked_sub(1) {
            Some(r) if column < self.columns => self.level.get(r * self.columns + column).copied().unwrap_or(1.0),
            _ => 1.0,
        }
    }
}

/// Means over squares of `2 reach + 1` cells, by running sums.
fn blurred(plane: &[f32], columns: usize, rows: usize, reach: usize) -> Vec<f32> {
    let along = |from: &[f32], count: usize, lines: usize, step: usize, jump: usize| -> Vec<f32> {
        let mut out = vec![0.0; from.len()];
        for line in 0..lines {
            let at = |i: usize| from.get(line * jump + i * step).copied().unwrap_or(0.0);
            let mut sum: f32 = (0..reach.min(count)).map(at).sum();
            for i in 0..count {
                if i + reach < count {
                    sum += at(i + reach);
                }
                if i > reach {
                    sum -= at(i - reach - 1);
                }
                let n = (i + reach).min(count - 1) + 1 - i.saturating_sub(reach);
                if let Some(o) = out.get_mut(line * jump + i * step) {
                    *o = sum / n as f32;
                }
            }
        }
        out
    };
    let rowwise = along(plane, columns, rows, 1, columns);
    along(&rowwise, rows, columns, columns, 1)
}

/// The cheapest outline about a line, of `most` cells to either side at the most. None where the line has no room.
pub(super) fn best(edges: &Edges, leaning: &[f32], raster: &Raster, stands: Stands, line: Line, most: usize) -> Option<Path> {
    let (columns, rows) = (edges.columns, edges.rows);
    let widths = most + 1;
    let mut costs = vec![f32::INFINITY; widths];
    let mut from = vec![u16::MAX; widths * rows];
    let mut end = (f32::INFINITY, 0_usize, 0_usize);
    let mut level = vec![0.0_f32; widths];
    let mut next = vec![f32::INFINITY; widths];
    let mut origin = vec![u16::MAX; widths];
    for row in 0..rows {
        let axis = line.at(row, rows).round();
        if axis < 1.0 || axis > columns as f64 - 1.0 {
            return None;
        }
        let axis = axis as usize;
        // Sums of the level edges below this row, outward from the line.
        let mut sum = 0.0;
        for (w, l) in level.iter_mut().enumerate() {
            *l = sum;
            let left = axis.checked_sub(w + 1).map_or(1.0, |c| edges.below(c, row));
            sum += left + edges.below(axis + w, row);
        }
        let at = |v: &[f32], w: usize| v.get(w).copied().unwrap_or(f32::INFINITY);
        // What ends below this row.
        for w in 1..widths {
            let cost = at(&costs, w) + at(&level, w);
            if cost < end.0 && row >= stands.top {
                end = (cost, row, w);
            }
        }
        // Outward, then inward.
        let begins = if (stands.first..=stands.last).contains(&row) { 0.0 } else { f32::INFINITY };
        let mut carried = (begins, 0_u16);
        for w in 1..widths {
            let own = at(&costs, w) - at(&level, w);
            if own < carried.0 {
                carried = (own, w as u16);
            }
            if let (Some(n), Some(o)) = (next.get_mut(w), origin.get_mut(w)) {
                (*n, *o) = (carried.0 + at(&level, w), carried.1);
            }
        }
        let mut back = (f32::INFINITY, u16::MAX);
        for w in (1..widths).rev() {
            let own = at(&costs, w) + at(&level, w);
            if own < back.0 {
                back = (own, w as u16);
            }
            if let (Some(n), Some(o)) = (next.get_mut(w), origin.get_mut(w))
                && back.0 - at(&level, w) < *n
            {
                (*n, *o) = (back.0 - at(&level, w), back.1);
            }
        }
        // This row's own edges and cells.
        let mut within = 0.0;
        for w in 1..widths {
            let (left, right) = (axis.checked_sub(w), axis + w - 1);
            let room = left.is_some() && right < columns;
            let (a, b) = (
                left.and_then(|c| leaning.get(row * columns + c)).copied().unwrap_or(-1.0),
                if right < columns { leaning.get(row * columns + right).copied().unwrap_or(-1.0) } else { -1.0 },
            );
            let card = |c: usize| raster.shown(c, row) == Shows::Card;
            let (low, high) = (a.min(b), a.max(b));
            let both = if low < 0.0 && high > 0.0 { low + ONE_SIDE * high } else { low + high };
            within -= CELL * both;
            if left.is_some_and(card) || card(right) {
                within += 1.0;
            }
            let upright = if room { edges.left_of(axis - w, row) + edges.left_of(axis + w, row) } else { 4.0 };
            if let (Some(n), Some(c), Some(o)) = (next.get(w), costs.get_mut(w), origin.get(w)) {
                *c = *n + upright - REWARD + within;
                if let Some(f) = from.get_mut(row * widths + w) {
                    *f = *o;
                }
            }
        }
    }
    for (w, c) in costs.iter().enumerate().skip(1) {
        let cost = c + 2.0 * w as f32;
        if cost < end.0 {
            end = (cost, rows, w);
        }
    }
    let (cost, after, mut w) = end;
    let mut half = Vec::new();
    let mut row = after;
    while w != 0 && row > 0 {
        row -= 1;
        half.push(w as u16);
        w = usize::from(from.get(row * widths + w).copied().unwrap_or(0));
    }
    half.reverse();
    (cost.is_finite() && !half.is_empty()).then_some(Path { line, first: row, half, cost })
}
