//! XLSX workbooks.

use super::problem::{Listed, TableError, TableProblem, TableProblemKind};
use super::read::Options;
use super::table::{CellAt, FURTHER, Grid, RowStart, Span, Table};
use super::{CELL_LIMIT, CELLS_LIMIT, COLUMN_LIMIT, UNPACKED_LIMIT, header};
use calamine::{DataRef, Dimensions, ExcelDateTime, Reader as _, SheetType, Xlsx};
use std::collections::BTreeMap;
use std::io::Cursor;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// The cells of a sheet in the order they were read, row after row.
#[derive(Debug, Default)]
pub(super) struct Sheet {
    pub(super) grid: Grid,
    pub(super) problems: Vec<TableProblem>,
    pub(super) notes: Vec<TableProblem>,
    row: u32,
    /// Formulas without a result: where the first is, and how many.
    no_result: Option<(CellAt, usize)>,
    long_cells: Listed,
    failures: Listed,
    merges: Listed,
    full: bool,
}

impl Sheet {
    /// Puts a text in a cell, both counted from 0. Cells come row by row and from the left; others are passed over.
    pub(super) fn put(&mut self, row: u32, column: u32, text: &str) {
        if column as usize >= COLUMN_LIMIT || text.is_empty() || self.full {
            return;
        }
        if self.grid.rows.last().is_none_or(|last| last.number < row + 1) {
            self.grid.rows.push(RowStart { first: self.grid.cells.len() as u32, number: row + 1 });
            self.row = row;
        }
        if row != self.row {
            return;
        }
        let first = self.grid.rows.last().map_or(0, |last| last.first as usize);
        let width = self.grid.cells.len() - first;
        if (column as usize) < width {
            return;
        }
        let start = self.grid.further.len();
        let room = FURTHER as usize - 1;
        if self.grid.cells.len() + column as usize - width >= CELLS_LIMIT || start + text.len() >= room.min(UNPACKED_LIMIT as usize) {
            self.full = true;
            return;
        }
        self.grid.cells.resize(first + column as usize, Span { start: FURTHER, end: 0 });
        if text.len() > CELL_LIMIT {
            self.too_long(row, column, text.len());
            self.grid.cells.push(Span { start: FURTHER, end: 0 });
            return;
        }
        self.grid.further.push_str(text);
        self.grid.cells.push(Span { start: start as u32 | FURTHER, end: self.grid.further.len() as u32 });
    }

    /// True where no more is taken: the sheet is then refused.
    pub(super) const fn is_full(&self) -> bool {
        self.full
    }

    /// A cell of more bytes than are read.
    fn too_long(&mut self, row: u32, column: u32, bytes: usize) {
        self.long_cells.add(&mut self.problems, CellAt::new(row + 1, column + 1), || TableProblemKind::LongCell { bytes });
    }

    /// So many formulas side by side that failed.
    pub(super) fn failed(&mut self, row: u32, column: u32, times: u32, error: &str) {
        let at = CellAt::new(row + 1, column + 1);
        let kind = || TableProblemKind::FailedFormula { error: header::clip(error) };
        self.failures.add_run(&mut self.problems, at, times as usize, kind);
    }

    /// So many formulas side by side that have no result.
    pub(super) fn no_result(&mut self, row: u32, column: u32, times: u32) {
        let (at, cells) = self.no_result.unwrap_or((CellAt::new(row + 1, column + 1), 0));
        self.no_result = Some((at, cells + times as usize));
    }

    /// A merge of cells, rows and column counted from 0: what stands in its first cell is given to the rows below by [`Sheet::put`].
    pub(super) fn merged(&mut self, row: u32, column: u32, last: u32) {
        self.merges.add(&mut self.notes, CellAt::new(row + 1, column + 1), || TableProblemKind::MergedDown { to: last + 1 });
    }

    /// The table of the sheet.
    pub(super) fn table(mut self, file: &str, name: &str, options: &Options) -> Result<Table, TableError> {
        if self.full {
            return Err(TableError::TooManyCells { file: file.to_owned() });
        }
        if let Some((at, cells)) = self.no_result {
            self.problems.push(TableProblem { at, kind: TableProblemKind::NoResult { cells } });
        }
        self.long_cells.end(&mut self.problems);
        self.failures.end(&mut self.problems);
        self.merges.end(&mut self.notes);
        let mut table = header::table(file, Some(name.to_owned()), self.grid, options.header)?;
        self.problems.append(&mut table.problems);
        self.problems.sort_by_key(|problem| problem.at);
        table.problems = self.problems;
        self.notes.append(&mut table.notes);
        table.notes = self.notes;
        Ok(table)
    }
}

/// Reads a table from a workbook.
pub(super) fn read(file: &str, bytes: Vec<u8>, options: &Options) -> Result<Table, TableError> {
    // The library trusts the numbers of a workbook and can overflow on made-up ones; that is a damaged file, not the end of the program.
    let read = catch_unwind(AssertUnwindSafe(|| read_trusting(file, bytes, options)));
    read.unwrap_or_else(|_| Err(TableError::Damaged { file: file.to_owned(), why: "its cells have impossible places".to_owned() }))
}

fn read_trusting(file: &str, bytes: Vec<u8>, options: &Options) -> Result<Table, TableError> {
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(|e| broken(file, &e))?;
    let sheets: Vec<String> =
        book.sheets_metadata().iter().filter(|sheet| sheet.typ == SheetType::WorkSheet).map(|sheet| sheet.name.clone()).collect();
    let wanted = choose(file, &sheets, options)?;
    let mut last = Err(TableError::Empty { what: format!("'{file}'") });
    for name in &wanted {
        let sheet = sheet(file, &mut book, name)?;
        if !sheet.grid.rows.is_empty() || wanted.len() == 1 {
            last = sheet.table(file, name, options);
            break;
        }
    }
    let mut table = last?;
    say_first(&mut table, &sheets, options);
    table.sheets = sheets;
    Ok(table)
}

/// The sheets to try, in order.
pub(super) fn choose(file: &str, sheets: &[String], options: &Options) -> Result<Vec<String>, TableError> {
    let Some(wanted) = &options.sheet else { return Ok(sheets.to_vec()) };
    let folded = crate::key::words::fold(wanted);
    let found = sheets.iter().find(|name| *name == wanted).or_else(|| sheets.iter().find(|name| crate::key::words::fold(name) == folded));
    let none = || TableError::NoSheet { file: file.to_owned(), sheet: wanted.clone(), sheets: sheets.to_vec() };
    Ok(vec![found.ok_or_else(none)?.clone()])
}

/// Notes that there are other sheets.
pub(super) fn say_first(table: &mut Table, sheets: &[String], options: &Options) {
    if options.sheet.is_none() && sheets.len() > 1 {
        table.notes.push(TableProblem { at: CellAt::WHOLE, kind: TableProblemKind::FirstSheet { sheets: sheets.to_vec() } });
    }
}

fn broken(file: &str, error: &calamine::XlsxError) -> TableError {
    match error {
        calamine::XlsxError::Password => TableError::Locked { file: file.to_owned() },
        other => TableError::Damaged { file: file.to_owned(), why: other.to_string() },
    }
}

fn sheet(file: &str, book: &mut Xlsx<Cursor<Vec<u8>>>, name: &str) -> Result<Sheet, TableError> {
    let merges = book.merge_cells_by_sheet_name(name).map_err(|e| broken(file, &e))?;
    let mut merges: Vec<Dimensions> =
        merges.into_iter().filter(|merge| merge.end.0 > merge.start.0 && merge.start.1 == merge.end.1).collect();
    merges.sort_by_key(|merge| merge.start);
    let mut sheet = Sheet::default();
    // Cells that go on from the row above, and what they hold, by column.
    let mut going: BTreeMap<u32, (u32, String)> = BTreeMap::new();
    let mut reader = book.worksheet_cells_reader(name).map_err(|e| broken(file, &e))?;
    let mut row: Vec<(u32, String)> = Vec::new();
    let mut at = 0;
    while let Some(cell) = reader.next_cell_with_formula_metadata().map_err(|e| broken(file, &e))? {
        let (line, column) = cell.pos;
        if line != at {
            end_row(&mut sheet, at, line, &mut row, &mut going);
            at = line;
        }
        let text = match &cell.value {
            DataRef::Error(error) => {
                sheet.failed(line, column, 1, &error.to_string());
                continue;
            }
            DataRef::Empty if cell.formula.is_some() => {
                sheet.no_result(line, column, 1);
                continue;
            }
            value => text_of(value),
        };
        if text.len() > CELL_LIMIT {
            // Not carried along either: merged down a million rows, it would be copied as often.
            sheet.too_long(line, column, text.len());
            continue;
        }
        if column as usize >= COLUMN_LIMIT {
            continue;
        }
        if let Ok(found) = merges.binary_search_by_key(&(line, column), |merge| merge.start)
            && let Some(merge) = merges.get(found)
            && !text.is_empty()
        {
            sheet.merged(line, column, merge.end.0);
            going.insert(column, (merge.end.0, text.clone()));
        }
        row.push((column, text));
        if sheet.full {
            break;
        }
    }
    end_row(&mut sheet, at, at + 1, &mut row, &mut going);
    Ok(sheet)
}

/// Puts a row's cells, and what goes on from the rows above: only into rows that hold something themselves, so that a merge down to the
/// end of the sheet makes no million rows.
fn end_row(sheet: &mut Sheet, line: u32, next: u32, row: &mut Vec<(u32, String)>, going: &mut BTreeMap<u32, (u32, String)>) {
    let holds = row.iter().any(|(_, text)| !text.is_empty());
    if holds {
        row.sort_by_key(|(column, _)| *column);
        let own = row.len();
        for (&column, (_, text)) in going.iter() {
            let cells = row.get_mut(..own).unwrap_or_default();
            match cells.binary_search_by_key(&column, |(found, _)| *found).ok().and_then(|found| cells.get_mut(found)) {
                Some((_, own)) if own.is_empty() => own.clone_from(text),
                Some(_) => {}
                None => row.push((column, text.clone())),
            }
        }
        row.sort_by_key(|(column, _)| *column);
        for (column, text) in row.iter() {
            sheet.put(line, *column, text);
        }
    }
    row.clear();
    going.retain(|_, (last, _)| *last >= next);
}

fn text_of(value: &DataRef<'_>) -> String {
    match value {
        DataRef::Int(n) => n.to_string(),
        DataRef::Float(x) => number(*x),
        DataRef::String(text) | DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => text.clone(),
        DataRef::SharedString(text) => (*text).to_owned(),
        DataRef::Bool(yes) => yes.to_string(),
        DataRef::DateTime(when) if when.is_datetime() => date(*when),
        DataRef::DateTime(span) => number(span.as_f64()),
        DataRef::Error(_) | DataRef::Empty => String::new(),
    }
}

/// A number as a spreadsheet shows it: to 15 significant digits, without the noise of binary fractions.
pub(super) fn number(x: f64) -> String {
    let short: f64 = format!("{x:.14e}").parse().unwrap_or(x);
    if short.abs() < 1e21 { short.to_string() } else { format!("{short:e}") }
}

/// A date as ISO 8601, with the time where there is one.
fn date(when: ExcelDateTime) -> String {
    // Before the first day of the calendar, and after the year 9999, a serial number is no date.
    if !(0.0..2_958_466.0).contains(&when.as_f64()) {
        return number(when.as_f64());
    }
    let (year, month, day, hour, minute, second, _) = when.to_ymd_hms_milli();
    match (hour, minute, second) {
        (0, 0, 0) => format!("{year:04}-{month:02}-{day:02}"),
        (_, _, 0) => format!("{year:04}-{month:02}-{day:02} {hour:02}:{minute:02}"),
        _ => format!("{year:04}-{month:02}-{day:02} {hour:02}:{minute:02}:{second:02}"),
    }
}
