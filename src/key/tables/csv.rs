//! Text with cells parted by a sign, read in pieces on every core.
//!
//! A piece ends at a line end and is read as if it began a row. Where a piece turns out to end inside a quoted cell, the row is read
//! again from its start over as many pieces as it takes; so the result is that of reading from the front, whatever the pieces.

use super::problem::{TableProblem, TableProblemKind};
use super::read::Separator;
use super::table::{CellAt, FURTHER, Grid, RowStart, Span};
use super::{CELL_LIMIT, CELLS_LIMIT};
use rayon::prelude::*;

/// Bytes of a piece.
const PIECE: usize = 1 << 20;
/// After so many quotes that never close, no quote means anything any more.
const OPEN_QUOTES: usize = 20;

/// The rows of a piece.
#[derive(Debug, Default)]
struct Piece {
    cells: Vec<Span>,
    rows: Vec<RowStart>,
    further: String,
    problems: Vec<TableProblem>,
    /// How many rows the file has so far, empty ones too.
    count: u32,
    /// Where the row that is not finished starts, and the quote that was not closed.
    open: Option<(usize, usize)>,
}

/// How the text is read.
#[derive(Debug, Clone, Copy)]
struct Signs<'t> {
    text: &'t str,
    by: u8,
    line_end: u8,
}

/// The sign that parts the cells: the one by which the rows of the start of the text have the same number of cells most often.
pub(super) fn guess(text: &str) -> Separator {
    const SAMPLE: usize = 1 << 16;
    let mut end = SAMPLE.min(text.len());
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let sample = text.get(..end).unwrap_or_default();
    // Not half a row, where there is a whole one.
    let sample = if end < text.len() { sample.rsplit_once('\n').map_or(sample, |(whole, _)| whole) } else { sample };
    let mut best = (0.0, Separator::Comma);
    for by in [Separator::Comma, Separator::Semicolon, Separator::Tab] {
        let signs = Signs { text: sample, by: by.byte(), line_end: line_end(sample) };
        let piece = read_piece(signs, 0, sample.len(), &[], false);
        let mut widths: Vec<usize> = widths(&piece).collect();
        widths.sort_unstable();
        let runs = widths.chunk_by(|a, b| a == b).map(|run| (run.len(), run.first().copied().unwrap_or(0)));
        let (rows, width) = runs.max().unwrap_or((0, 0));
        // A sign that parts nothing says nothing; of two equally even ones, that which parts more.
        let even = rows as f64 / widths.len().max(1) as f64;
        let score = if width < 2 { 0.0 } else { even * (2.0 - 1.0 / width as f64) };
        if score > best.0 {
            best = (score, by);
        }
    }
    best.1
}

fn widths(piece: &Piece) -> impl Iterator<Item = usize> {
    let ends = piece.rows.iter().skip(1).map(|row| row.first as usize).chain(std::iter::once(piece.cells.len()));
    piece.rows.iter().zip(ends).map(|(row, end)| end - row.first as usize)
}

/// Line ends are `\n` or `\r\n`; a text that has none has old ones, `\r`.
fn line_end(text: &str) -> u8 {
    if text.as_bytes().contains(&b'\n') || !text.as_bytes().contains(&b'\r') { b'\n' } else { b'\r' }
}

/// The cells of a text. None where there are too many.
pub(super) fn parse(text: String, by: Separator, problems: &mut Vec<TableProblem>) -> Option<Grid> {
    let signs = Signs { text: &text, by: by.byte(), line_end: line_end(&text) };
    let bounds = bounds(&signs);
    let pieces: Vec<Piece> = bounds.par_iter().map(|&(start, end)| read_piece(signs, start, end, &[], false)).collect();
    let mut whole = Whole::default();
    let mut literal = Vec::new();
    let mut skip_to = 0;
    for (at, piece) in pieces.into_iter().enumerate() {
        let (start, end) = bounds.get(at).copied().unwrap_or_default();
        if start < skip_to {
            continue;
        }
        let mut open = piece.open;
        whole.add(piece);
        let mut further_pieces = 1;
        let mut last = at;
        skip_to = end;
        while let Some((row, quote)) = open {
            let at_end = last + 1 >= bounds.len();
            if at_end {
                literal.push(quote);
            } else {
                last = (last + further_pieces).min(bounds.len() - 1);
                further_pieces *= 2;
                skip_to = bounds.get(last).map_or(text.len(), |bound| bound.1);
            }
            let again = read_piece(signs, row, skip_to, &literal, literal.len() > OPEN_QUOTES);
            // A row that is still open is read again from its start, over more.
            open = again.open;
            whole.add(again);
        }
        if whole.grid.cells.len() > CELLS_LIMIT {
            return None;
        }
    }
    let Whole { mut grid, problems: found, .. } = whole;
    problems.extend(found);
    grid.text = text;
    Some(grid)
}

/// Pieces that end at line ends.
fn bounds(signs: &Signs<'_>) -> Vec<(usize, usize)> {
    let bytes = signs.text.as_bytes();
    let mut bounds = Vec::with_capacity(bytes.len() / PIECE + 1);
    let mut start = 0;
    while start < bytes.len() {
        let least = (start + PIECE).min(bytes.len());
        let rest = bytes.get(least..).unwrap_or_default();
        let end = rest.iter().position(|&byte| byte == signs.line_end).map_or(bytes.len(), |more| least + more + 1);
        bounds.push((start, end));
        start = end;
    }
    bounds
}

/// The pieces put together so far.
#[derive(Default)]
struct Whole {
    grid: Grid,
    problems: Vec<TableProblem>,
    count: u32,
}

impl Whole {
    fn add(&mut self, piece: Piece) {
        let cells = self.grid.cells.len() as u32;
        let further = self.grid.further.len() as u32;
        if further == 0 && cells == 0 && self.count == 0 {
            self.grid.cells = piece.cells;
            self.grid.rows = piece.rows;
            self.grid.further = piece.further;
            self.problems = piece.problems;
            self.count = piece.count;
            return;
        }
        if piece.further.is_empty() {
            self.grid.cells.extend_from_slice(&piece.cells);
        } else {
            let moved = |span: &Span| {
                let by = if span.start & FURTHER == 0 { 0 } else { further };
                Span { start: span.start + by, end: span.end + by }
            };
            self.grid.cells.extend(piece.cells.iter().map(moved));
        }
        self.grid.rows.extend(piece.rows.iter().map(|row| RowStart { first: row.first + cells, number: row.number + self.count }));
        self.grid.further.push_str(&piece.further);
        let number = self.count;
        self.problems.extend(piece.problems.into_iter().map(|mut problem| {
            problem.at.row += number;
            problem
        }));
        self.count += piece.count;
    }
}

/// Reads the rows of `start..end`. A row whose quoted cell does not end there is left out and said in `open`.
fn read_piece(signs: Signs<'_>, start: usize, end: usize, literal: &[usize], no_quotes: bool) -> Piece {
    let bytes = signs.text.as_bytes().get(..end).unwrap_or_default();
    let mut piece =
        Piece { cells: Vec::with_capacity((end - start) / 6), rows: Vec::with_capacity((end - start) / 64), ..Piece::default() };
    let mut at = start;
    while at < end {
        let row = at;
        let first = piece.cells.len();
        let further = piece.further.len();
        loop {
            if bytes.get(at) == Some(&b'"') && !no_quotes && !literal.contains(&at) {
                let Some(after) = quoted(signs, bytes, at, &mut piece, first) else {
                    // The row is read again; what it unquoted so far would else pile up each time.
                    piece.cells.truncate(first);
                    piece.further.truncate(further);
                    piece.open = Some((row, at));
                    return piece;
                };
                at = after;
            } else {
                if bytes.get(at) == Some(&b'"') && literal.contains(&at) {
                    let place = CellAt::new(piece.count + 1, (piece.cells.len() - first + 1) as u32);
                    piece.problems.push(TableProblem { at: place, kind: TableProblemKind::OpenQuote });
                }
                let from = at;
                let rest = bytes.get(at..).unwrap_or_default();
                at += rest.iter().position(|&byte| byte == signs.by || byte == signs.line_end).unwrap_or(rest.len());
                let mut to = at;
                if at > from && bytes.get(at - 1) == Some(&b'\r') && bytes.get(at).is_none_or(|&byte| byte == signs.line_end) {
                    to -= 1;
                }
                push(&mut piece, first, Span { start: from as u32, end: to as u32 });
            }
            match bytes.get(at) {
                Some(&byte) if byte == signs.by => at += 1,
                // The end of the row, or of the text.
                _ => {
                    at += 1;
                    break;
                }
            }
        }
        end_row(&mut piece, first, signs.text);
    }
    piece
}

/// Notes a cell, or leaves it empty where it is too long.
fn push(piece: &mut Piece, first: usize, span: Span) {
    let length = (span.end - (span.start & !FURTHER)) as usize;
    if length > CELL_LIMIT {
        let at = CellAt::new(piece.count + 1, (piece.cells.len() - first + 1) as u32);
        piece.problems.push(TableProblem { at, kind: TableProblemKind::LongCell { bytes: length } });
        piece.cells.push(Span { start: span.start, end: span.start & !FURTHER });
        return;
    }
    piece.cells.push(span);
}

fn end_row(piece: &mut Piece, first: usize, text: &str) {
    piece.count += 1;
    let row = piece.cells.get(first..).unwrap_or_default();
    let length: usize = row.iter().map(|span| (span.end - (span.start & !FURTHER)) as usize).sum();
    // Rows of nothing, and rows of blanks.
    let few = length <= 2 * row.len();
    let blank =
        |span: &Span| span.start & FURTHER == 0 && text.get(span.start as usize..span.end as usize).is_some_and(|t| t.trim().is_empty());
    if length == 0 || few && row.iter().all(blank) {
        piece.cells.truncate(first);
    } else {
        piece.rows.push(RowStart { first: first as u32, number: piece.count });
    }
}

/// Reads a quoted cell whose quote stands at `at`; returns where it was left, at the sign after it. None where it does not end.
///
/// A quote ends the cell only where the cell can end, so an inch sign that was not doubled stays part of the text.
fn quoted(signs: Signs<'_>, bytes: &[u8], at: usize, piece: &mut Piece, first: usize) -> Option<usize> {
    let from = at + 1;
    let mut seek = from;
    let mut doubled = false;
    loop {
        seek += bytes.get(seek..)?.iter().position(|&byte| byte == b'"')?;
        let next = bytes.get(seek + 1).copied();
        let ends = match next {
            None => true,
            Some(byte) if byte == signs.by || byte == signs.line_end => true,
            Some(b'\r') => bytes.get(seek + 2).is_none_or(|&byte| byte == signs.line_end),
            Some(_) => false,
        };
        if ends {
            break;
        }
        if next == Some(b'"') {
            doubled = true;
            seek += 1;
        }
        seek += 1;
    }
    if doubled {
        let start = piece.further.len();
        let inside = signs.text.get(from..seek).unwrap_or_default();
        piece.further.push_str(&inside.replace("\"\"", "\""));
        let span = Span { start: start as u32 | FURTHER, end: piece.further.len() as u32 };
        push(piece, first, span);
    } else {
        push(piece, first, Span { start: from as u32, end: seek as u32 });
    }
    let after = seek + 1;
    Some(if bytes.get(after) == Some(&b'\r') && signs.line_end == b'\n' { after + 1 } else { after })
}

#[cfg(test)]
mod tests;
