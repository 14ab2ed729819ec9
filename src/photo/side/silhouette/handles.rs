//! Two handles that are alike, left and right: what is taken for the wall may be their outer edge.
//!
//! Nothing else of a piece stands out on both sides alike, so that an outline that is alike on both sides goes round the handles. But between a handle and the wall the
//! surround is seen. So it is asked, row by row, whether inside the outline, at the same place on both sides, the surround's colours are seen, with the piece's
//! outside them and all the way across inside them. A pattern in the surround's colour that goes round the piece is seen in the middle as well, and is no gap.

use super::raster::{Raster, Shows};
use super::search::Silhouette;

/// How much a colour must speak for the piece or for the surround.
const SPEAKS: f32 = 0.35;
/// A gap is no narrower than this where it is widest, in mm, and no lower than that: what is smaller may be a stripe or a shine. A
/// choice of this program, no source.
const LEAST_WIDE_MM: f64 = 3.0;
const LEAST_HIGH_MM: f64 = 8.0;
/// A handle's bow is no thicker than this, in mm (common practice, no source: it is gripped).
const MOST_BOW_MM: f64 = 25.0;
/// How much further above and below its gap a handle is taken to reach than its bow is thick beside it: it thickens where it joins the wall.
const JOIN_TIMES: f64 = 1.5;
/// Inside a gap no more than the rest of this share of the cells, from one side to the other, speaks for the surround: a few speckles.
const ACROSS: f64 = 0.97;

/// What is seen in a row of an outline with handles: cells from the line to the wall, and to the inner edge of the bow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Gap {
    wall: usize,
    bow: usize,
}

/// A gap between handles and wall, in a row of cells that are asked by how far they are from the line: what speaks for the piece on both sides is 1, for the surround
/// on both −1, all else 0.
fn gap(half: usize, speaks: impl Fn(usize) -> i8) -> Option<Gap> {
    // Along the outline a cell shows a little of both sides.
    let outer = (0..half).rev().take(3).find(|w| speaks(*w) == 1)?;
    let bow = (0..outer).rev().find(|w| speaks(*w) < 0)? + 1;
    let wall = (0..bow).rev().find(|w| speaks(*w) > 0)? + 1;
    let across = (0..wall).filter(|w| speaks(*w) >= 0).count();
    (across as f64 >= ACROSS * wall as f64).then_some(Gap { wall, bow })
}

/// Where the wall runs, if the outline goes round two handles: the silhouette without them, otherwise none.
pub(in super::super) fn without_handles(raster: &Raster, silhouette: &Silhouette) -> Option<Silhouette> {
    let gaps: Vec<Option<Gap>> = silhouette
        .half
        .iter()
        .enumerate()
        .map(|(i, half)| {
            let row = silhouette.first + i;
            let line = silhouette.line_at(row as f64 + 0.5, raster.rows).round();
            let leaning = |column: f64| {
                let column = (column >= 0.0 && column < raster.columns as f64).then_some(column as usize)?;
                let own = *silhouette.leaning.get(row * raster.columns + column)?;
                (raster.shown(column, row) == Shows::Picture).then_some(own)
            };
            gap(usize::from(*half), |w| match (leaning(line + w as f64), leaning(line - 1.0 - w as f64)) {
                (Some(a), Some(b)) if a > SPEAKS && b > SPEAKS => 1,
                (Some(a), Some(b)) if a < -SPEAKS && b < -SPEAKS => -1,
                _ => 0,
            })
        })
        .collect();
    let mm = |cells: usize| cells as f64 * raster.cell_mm;
    let mut half: Vec<f64> = silhouette.half.iter().map(|h| f64::from(*h)).collect();
    let mut any = false;
    let mut row = 0;
    while row < gaps.len() {
        let run: Vec<Gap> = gaps.iter().skip(row).map_while(|gap| *gap).collect();
        let (from, to) = (row, row + run.len());
        row = to + 1;
        let wide = run.iter().map(|g| g.bow - g.wall).max().unwrap_or(0);
        let thick = |(gap, half): (&Gap, &u16)| usize::from(*half).saturating_sub(gap.bow);
        let mut thicknesses: Vec<usize> = run.iter().zip(silhouette.half.iter().skip(from)).map(thick).collect();
        thicknesses.sort_unstable();
        let bow = thicknesses.get(thicknesses.len() / 2).copied().unwrap_or(0);
        // Above and below, where the handle joins the wall, the wall goes on to where it is seen again.
        let spare = (JOIN_TIMES * bow as f64).ceil() as usize + 1;
        let below = from.checked_sub(spare).and_then(|i| half.get(i)).copied();
        let above = half.get(to + spare - 1).copied();
        let widest = silhouette.half.iter().skip(from).take(run.len()).copied().max().map_or(0.0, f64::from);
        // A handle stands clear of the table and goes out and in again; the near half of a foot, with its shadow, does neither.
        let bows =
            (silhouette.first + from) as f64 >= raster.table_row && below.is_some_and(|b| widest > b) && above.is_none_or(|a| widest > a);
        if !bows || mm(run.len()) < LEAST_HIGH_MM || mm(wide) < LEAST_WIDE_MM || mm(bow) > MOST_BOW_MM {
            continue;
        }
        any = true;
        for (own, gap) in half.iter_mut().skip(from).zip(&run) {
            *own = gap.wall as f64;
        }
        // Nowhere further out than it was.
        let (first, last) = (run.first().map_or(0.0, |g| g.wall as f64), run.last().map_or(0.0, |g| g.wall as f64));
        for k in 1..spare {
            let share = k as f64 / spare as f64;
            if let (Some(own), Some(end)) = (from.checked_sub(k).and_then(|i| half.get_mut(i)), below) {
                *own = own.min(first + (end - first) * share);
            }
            if let (Some(own), Some(end)) = (half.get_mut(to + k - 1), above) {
                *own = own.min(last + (end - last) * share);
            }
        }
        // Where the outline ends before, the wall is taken to go straight on.
        if above.is_none() {
            for own in half.iter_mut().skip(to) {
                *own = own.min(last);
            }
        }
    }
    any.then(|| Silhouette { half: half.iter().map(|h| h.round() as u16).collect(), ..silhouette.clone() })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(cells: &str) -> Option<Gap> {
        let cells: Vec<char> = cells.chars().collect();
        gap(cells.len(), |w| match cells.get(w) {
            Some('#') => 1,
            Some('.') => -1,
            _ => 0,
        })
    }

    #[test]
    fn what_is_seen_between_a_handle_and_the_wall_is_a_gap() {
        assert_eq!(row("##########..###"), Some(Gap { wall: 10, bow: 12 }));
        // Edges are no sharper than cells, and a little of a pattern is neither piece nor surround.
        assert_eq!(row("####??####?..?##?"), Some(Gap { wall: 10, bow: 13 }));
    }

    #[test]
    fn a_wall_and_a_pattern_that_goes_round_it_have_none() {
        assert_eq!(row("############"), None);
        assert_eq!(row("############."), None);
        assert_eq!(row("##..##..##..##"), None);
        assert_eq!(row("..............##"), None);
        assert_eq!(row("????...."), None);
        assert_eq!(row(""), None);
    }
}
