//! From a grid of cells to a table: which row is the header, and what the columns are called.

use super::COLUMN_LIMIT;
use super::problem::{Listed, TableError, TableProblem, TableProblemKind};
use super::quantity;
use super::read::HeaderRow;
use super::table::{CellAt, Grid, Table, column_letters};
use std::collections::{HashMap, HashSet};

/// How many rows are looked at to tell a header.
const SAMPLE: usize = 50;

/// A table of that grid.
///
/// # Errors
/// Where there is nothing in it.
pub(super) fn table(file: &str, sheet: Option<String>, grid: Grid, choice: HeaderRow) -> Result<Table, TableError> {
    if grid.rows.is_empty() {
        let what = sheet.map_or_else(|| format!("'{file}'"), |sheet| format!("sheet '{sheet}' of '{file}'"));
        return Err(TableError::Empty { what });
    }
    let mut table = Table { file: file.to_owned(), sheet, grid, ..Table::default() };
    let header = match choice {
        HeaderRow::First => Some(0),
        HeaderRow::None => None,
        HeaderRow::Guess => guess(&table.grid),
    };
    let width = match header {
        Some(row) => table.grid.width(row),
        None => (0..table.grid.rows.len()).map(|row| table.grid.width(row)).max().unwrap_or(0),
    };
    if width > COLUMN_LIMIT {
        let at = CellAt::column(COLUMN_LIMIT as u32 + 1);
        table.problems.push(TableProblem { at, kind: TableProblemKind::TooManyColumns });
    }
    table.first = header.map_or(0, |row| row + 1);
    name_columns(&mut table, header, width.min(COLUMN_LIMIT));
    match header {
        None if choice == HeaderRow::Guess => table.notes.push(TableProblem { at: CellAt::WHOLE, kind: TableProblemKind::NoHeader }),
        Some(row) if row > 0 => {
            let number = table.grid.rows.get(row).map_or(0, |row| row.number);
            table.notes.push(TableProblem { at: CellAt::row(number), kind: TableProblemKind::AboveHeader { header: number } });
        }
        _ => {}
    }
    ragged(&mut table);
    Ok(table)
}

/// The row that is the header, if any is.
fn guess(grid: &Grid) -> Option<usize> {
    // Titles above a table fill one cell; the header fills most of them.
    let sample = grid.rows.len().min(SAMPLE);
    let filled = |row: usize| grid.row(row).filter(|cell| !cell.trim().is_empty()).count();
    let widest = (0..sample).map(filled).max().unwrap_or(0);
    let header = (0..sample.min(10)).find(|&row| filled(row) * 2 >= widest && filled(row) >= widest.min(2)).unwrap_or(0);
    let below: Vec<usize> = (header + 1..sample).collect();
    if below.is_empty() {
        return Some(header);
    }
    let looks_like_data = (0..grid.width(header)).any(|column| {
        let cell = grid.cell(header, column).trim();
        let others = || below.iter().map(|&row| grid.cell(row, column).trim()).filter(|cell| !cell.is_empty());
        let numbers = others().filter(|cell| quantity::number(cell).is_some()).count();
        !cell.is_empty() && quantity::number(cell).is_some() && numbers > 0 && numbers * 10 >= others().count() * 8
    });
    (!looks_like_data).then_some(header)
}

fn name_columns(table: &mut Table, header: Option<usize>, width: usize) {
    let row = header.and_then(|row| table.grid.rows.get(row)).map_or(0, |row| row.number);
    let mut taken: HashSet<String> = HashSet::new();
    let written: Vec<String> = (0..width).map(|column| header.map_or_else(String::new, |row| tidy(table.grid.cell(row, column)))).collect();
    let full = full_columns(table, width);
    let is_full = |column: usize| full.get(column).is_some_and(|&full| full);
    // Columns at the end that hold nothing at all are none.
    let mut width = width;
    while width > 0 && written.get(width - 1).is_some_and(String::is_empty) && !is_full(width - 1) {
        width -= 1;
    }
    // The number each name goes on with, so that thousands of the same name are not counted through again for each.
    let mut next: HashMap<String, usize> = HashMap::new();
    for (column, name) in written.into_iter().take(width).enumerate() {
        let at = CellAt::new(row, column as u32 + 1);
        let mut now = name.clone();
        if name.is_empty() {
            now = format!("column {}", column_letters(at.column));
        }
        let number = next.entry(name.clone()).or_insert(2);
        while !taken.insert(now.clone()) {
            now = format!("{} ({number})", if name.is_empty() { "column" } else { &name });
            *number += 1;
        }
        if name.is_empty() {
            if header.is_some() && is_full(column) {
                table.notes.push(TableProblem { at, kind: TableProblemKind::EmptyHeader { now: now.clone() } });
            }
        } else if now != name {
            table.notes.push(TableProblem { at, kind: TableProblemKind::EqualHeaders { header: name, now: now.clone() } });
        }
        table.headers.push(now);
    }
}

/// Which columns hold something below the header; each cell is looked at once.
fn full_columns(table: &Table, width: usize) -> Vec<bool> {
    let mut full = vec![false; width];
    for row in table.first..table.grid.rows.len() {
        for (full, cell) in full.iter_mut().zip(table.grid.row(row)).filter(|(full, _)| !**full) {
            *full = !cell.trim().is_empty();
        }
    }
    full
}

/// A header on one line.
fn tidy(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Tells of rows that are longer or shorter than the header.
fn ragged(table: &mut Table) {
    let headers = table.headers.len();
    let mut short: Option<(u32, usize)> = None;
    let mut long = Listed::default();
    for row in table.first..table.grid.rows.len() {
        let cells = table.grid.width(row);
        let number = table.grid.rows.get(row).map_or(0, |row| row.number);
        if cells < headers {
            short = Some(short.map_or((number, 1), |(first, count)| (first, count + 1)));
        } else if cells > headers
            && let Some((at, first)) = (headers..cells).map(|c| (c, table.grid.cell(row, c).trim())).find(|(_, cell)| !cell.is_empty())
        {
            let at = CellAt::new(number, at as u32 + 1);
            long.add(&mut table.problems, at, || TableProblemKind::LongRow { cells, headers, first: clip(first) });
        }
    }
    long.end(&mut table.problems);
    // A workbook keeps no empty cells at the end of a row.
    if let Some((number, rows)) = short.filter(|_| table.sheet.is_none()) {
        table.notes.push(TableProblem { at: CellAt::row(number), kind: TableProblemKind::ShortRows { rows } });
    }
}

/// The start of a text on one line, at most 40 letters, for a message or as a sample.
pub fn clip(text: &str) -> String {
    const MOST: usize = 40;
    let line = tidy(text.get(..text.char_indices().nth(MOST * 4).map_or(text.len(), |(at, _)| at)).unwrap_or_default());
    if line.chars().count() <= MOST { line } else { line.chars().take(MOST - 1).chain(['…']).collect() }
}
