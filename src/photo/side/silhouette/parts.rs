//! Parts that stand out on one side of the outline and are left out of it: handles, spouts, lugs.

use super::super::measured::{At, LeftOut};
use super::raster::{Raster, Shows};
use super::search::Silhouette;

/// How much a colour must speak for the piece.
const LEAST_LEANING: f32 = 0.35;
/// How far from the outline a part may begin, in cells.
const GAP_CELLS: f64 = 2.5;
/// What is smaller than this in height, in mm, is no part.
const LEAST_MM: f64 = 6.0;
/// What stands out less than this, in mm, is no part.
const LEAST_REACH_MM: f64 = 5.0;
/// What stands out further than this, in mm, is part of the surround.
const MOST_REACH_MM: f64 = 150.0;

/// Parts of the piece's colour that are joined to the outline, from the left to the right and from below. Heights are read in the card's plane.
pub(in super::super) fn parts(raster: &Raster, silhouette: &Silhouette) -> Vec<LeftOut> {
    let mut found = Vec::new();
    for (side, at) in [(-1.0, At::Left), (1.0, At::Right)] {
        let beyond = |column: usize, row: usize| {
            let half = row.checked_sub(silhouette.first).and_then(|i| silhouette.half.get(i)).copied()?;
            let off = (column as f64 + 0.5 - silhouette.line_at(row as f64 + 0.5, raster.rows)) * side - f64::from(half);
            (off > 0.0).then_some(off)
        };
        let like = |column: usize, row: usize| {
            raster.shown(column, row) == Shows::Picture
                && silhouette.leaning.get(row * raster.columns + column).is_some_and(|l| *l > LEAST_LEANING)
        };
        let mut seen = vec![false; raster.columns * raster.rows];
        for row in 0..raster.rows {
            for column in 0..raster.columns {
                let first = beyond(column, row).is_some_and(|off| off < GAP_CELLS) && like(column, row);
                if !first || seen.get(row * raster.columns + column).copied().unwrap_or(true) {
                    continue;
                }
                // Everything that is joined to it.
                let (mut low, mut high, mut reach, mut at_border) = (row, row, 0.0_f64, false);
                let mut open = vec![(column, row)];
                while let Some((x, y)) = open.pop() {
                    match seen.get_mut(y * raster.columns + x) {
                        Some(s) if !*s => *s = true,
                        _ => continue,
                    }
                    low = low.min(y);
                    high = high.max(y);
                    reach = reach.max(beyond(x, y).unwrap_or(0.0));
                    for (dx, dy) in [(-1, 0), (1, 0), (0, -1), (0, 1)] {
                        let (Some(nx), Some(ny)) = (x.checked_add_signed(dx), y.checked_add_signed(dy)) else { continue };
                        at_border |= raster.shown(nx, ny) == Shows::Nothing;
                        if beyond(nx, ny).is_some() && like(nx, ny) {
                            open.push((nx, ny));
                        }
                    }
                }
                let mm = |row: usize| (row as f64 - raster.table_row) * raster.cell_mm;
                let (from_mm, to_mm, reach_mm) = (mm(low), mm(high + 1), reach * raster.cell_mm);
                if !at_border && to_mm - from_mm >= LEAST_MM && (LEAST_REACH_MM..MOST_REACH_MM).contains(&reach_mm) && to_mm > LEAST_MM {
                    found.push(LeftOut { at, from_mm: from_mm.max(0.0), to_mm, reach_mm });
                }
            }
        }
    }
    found
}
