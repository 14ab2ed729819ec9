//! What cannot be read of a table.

use super::table::{CellAt, Table};
use super::{CELL_LIMIT, CELLS_LIMIT, COLUMN_LIMIT, FILE_LIMIT, UNPACKED_LIMIT};
use crate::{say, say_count};
use std::path::PathBuf;
use thiserror::Error;

/// Why a table was not read at all.
#[derive(Debug, Error)]
pub enum TableError {
    /// The system would not give it.
    #[error("{}", say!("'{path}' can't be read: {why}", path = .path.display(), why))]
    Io {
        /// The file.
        path: PathBuf,
        /// What the system said.
        why: std::io::Error,
    },
    /// It is larger than is read.
    #[error("{}", say!("'{file}' is {mb} MB; no more than {most} MB are read (split it)", file, mb = *bytes >> 20, most = FILE_LIMIT >> 20))]
    TooLarge {
        /// The file.
        file: String,
        /// Its size.
        bytes: u64,
    },
    /// It unpacks to more than is read.
    #[error("{}", say!("'{file}' unpacks to more than {most} MB, which no honest list does (save the one sheet as CSV if it is in order)", file, most = UNPACKED_LIMIT >> 20))]
    UnpacksTooLarge {
        /// The file.
        file: String,
    },
    /// It has more cells than are read.
    #[error("{}", say!("'{file}' has more than {millions} million cells (split it)", file, millions = CELLS_LIMIT / 1_000_000))]
    TooManyCells {
        /// The file.
        file: String,
    },
    /// It is something else.
    #[error("{}", say!("'{file}' is {is}, no table (give a .csv, .xlsx or .ods file)", file, is))]
    NoTable {
        /// The file.
        file: String,
        /// What it is.
        is: &'static str,
    },
    /// There is nothing in it.
    #[error("{}", say!("there is nothing in {what}", what))]
    Empty {
        /// The file or sheet.
        what: String,
    },
    /// A workbook is damaged.
    #[error("{}", say!("'{file}' is a damaged workbook: {why} (open and save it again in a spreadsheet, or save the sheet as CSV)", file, why))]
    Damaged {
        /// The file.
        file: String,
        /// What is wrong.
        why: String,
    },
    /// A workbook is locked with a password.
    #[error("{}", say!("'{file}' is locked with a password (save it without one)", file))]
    Locked {
        /// The file.
        file: String,
    },
    /// There is no such sheet.
    #[error("{}", say!("there is no sheet '{sheet}' in '{file}' (it has {quoted})", sheet, file, quoted = quoted(.sheets)))]
    NoSheet {
        /// The file.
        file: String,
        /// As asked for.
        sheet: String,
        /// The sheets there are.
        sheets: Vec<String>,
    },
}

fn quoted(names: &[String]) -> String {
    names.iter().map(|name| format!("'{name}'")).collect::<Vec<_>>().join(", ")
}

/// Something that could not be read, or was taken for granted.
#[derive(Debug, Clone, PartialEq)]
pub struct TableProblem {
    /// Where.
    pub at: CellAt,
    /// What.
    pub kind: TableProblemKind,
}

impl TableProblem {
    /// The problem in a line, its place first: `stock.csv, row 12, column C: …`.
    pub fn tell(&self, table: &Table) -> String {
        format!("{}: {}", table.place(self.at), self.kind)
    }
}

/// What could not be read of a table, or was taken for granted.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum TableProblemKind {
    /// The text is in an older encoding.
    #[error("{}", say_count!(
        n = *lines,
        "{n} line is not UTF-8 and was read as Windows-1252 (if letters with accents look wrong, save the file as UTF-8)",
        "{n} lines are not UTF-8 and were read as Windows-1252 (if letters with accents look wrong, save the file as UTF-8)"
    ))]
    Windows1252 {
        /// How many lines.
        lines: usize,
    },
    /// The text is in UTF-16.
    #[error("{}", say!("read as {encoding}", encoding))]
    Utf16 {
        /// Which of the two.
        encoding: &'static str,
    },
    /// Some bytes mean nothing in the encoding.
    #[error("{}", say!("some characters make no sense in {encoding} and are shown as '�'", encoding))]
    BrokenText {
        /// The encoding.
        encoding: &'static str,
    },
    /// The cells are not parted by commas.
    #[error("{}", say!("the cells are parted by {by}", by))]
    PartedBy {
        /// In words.
        by: &'static str,
    },
    /// There is no header.
    #[error("{}", say!("the first row looks like data, so the columns are called by their letters (say that it is the header if it is)"))]
    NoHeader,
    /// Rows above the header.
    #[error("{}", say!("the rows above row {header} were passed over, which is taken for the header", header))]
    AboveHeader {
        /// The row of the header.
        header: u32,
    },
    /// Two headers are the same.
    #[error("{}", say!("there are several columns '{header}'; this one is called '{now}'", header, now))]
    EqualHeaders {
        /// As written.
        header: String,
        /// What it is called now.
        now: String,
    },
    /// A column that holds something has no header.
    #[error("{}", say!("this column has no header and is called '{now}'", now))]
    EmptyHeader {
        /// What it is called now.
        now: String,
    },
    /// A row has more cells than the header.
    #[error("{}", say!("this row has {cells} cells and the header {headers}: '{first}' and what follows it was left out", cells, headers, first))]
    LongRow {
        /// Cells of the row.
        cells: usize,
        /// Cells of the header.
        headers: usize,
        /// The first cell too many that holds something.
        first: String,
    },
    /// Rows have fewer cells than the header.
    #[error("{}", say_count!(
        n = *rows,
        "{n} row from here on have fewer cells than the header; those that lack are taken as empty",
        "{n} rows from here on have fewer cells than the header; those that lack are taken as empty"
    ))]
    ShortRows {
        /// How many.
        rows: usize,
    },
    /// A quote that never ends.
    #[error("{}", say!("a quotation mark opens here and never closes; it is taken as part of the text"))]
    OpenQuote,
    /// A cell is too long.
    #[error("{}", say!("this cell is {kb} KB long; cells of more than {most} KB are left out", kb = *bytes >> 10, most = CELL_LIMIT >> 10))]
    LongCell {
        /// Its size.
        bytes: usize,
    },
    /// A column too many.
    #[error("{}", say!("there are more than {COLUMN_LIMIT} columns; those from here on are left out", COLUMN_LIMIT))]
    TooManyColumns,
    /// A formula went wrong in the spreadsheet.
    #[error("{}", say!("the formula of this cell failed with {error} in the spreadsheet; the cell is taken as empty", error))]
    FailedFormula {
        /// Such as `#DIV/0!`.
        error: String,
    },
    /// A formula has no result.
    #[error("{}", say_count!(
        n = *cells,
        "{n} formula has no result saved, from here on (open and save the workbook in a spreadsheet, which works them out)",
        "{n} formulas have no result saved, from here on (open and save the workbook in a spreadsheet, which works them out)"
    ))]
    NoResult {
        /// How many.
        cells: usize,
    },
    /// Cells are merged.
    #[error("{}", say!("cells are merged down to row {to}: each of these rows gets the value of the first", to))]
    MergedDown {
        /// The last row.
        to: u32,
    },
    /// More of the same than is listed.
    #[error("{}", say!("{problems} more of these are not listed, from here on", problems))]
    More {
        /// How many.
        problems: usize,
    },
    /// Another sheet holds something too.
    #[error("{}", say!("the workbook has {sheets} sheets; this is the first that holds something (choose another with its name: {quoted})", sheets = .sheets.len(), quoted = quoted(.sheets)))]
    FirstSheet {
        /// All of them.
        sheets: Vec<String>,
    },
}

/// The most problems of one sort that are listed; a made-up table has one in each of millions of cells.
pub(super) const LISTED: usize = 1000;

/// Problems of one sort: so many are listed, the rest is counted.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Listed {
    listed: usize,
    /// The first that is not listed, and how many are not.
    rest: Option<(CellAt, usize)>,
}

impl Listed {
    /// Lists the problem, or counts it.
    pub(super) fn add(&mut self, problems: &mut Vec<TableProblem>, at: CellAt, kind: impl FnOnce() -> TableProblemKind) {
        self.add_run(problems, at, 1, kind);
    }

    /// Lists the problem of the first of so many cells side by side, and counts the others.
    pub(super) fn add_run(&mut self, problems: &mut Vec<TableProblem>, at: CellAt, cells: usize, kind: impl FnOnce() -> TableProblemKind) {
        let mut unlisted = cells;
        let mut first = at;
        if self.listed < LISTED && cells > 0 {
            self.listed += 1;
            problems.push(TableProblem { at, kind: kind() });
            unlisted -= 1;
            first.column += 1;
        }
        if unlisted > 0 {
            let (first, count) = self.rest.unwrap_or((first, 0));
            self.rest = Some((first, count + unlisted));
        }
    }

    /// Says how many were not listed.
    pub(super) fn end(self, problems: &mut Vec<TableProblem>) {
        if let Some((at, count)) = self.rest {
            problems.push(TableProblem { at, kind: TableProblemKind::More { problems: count } });
        }
    }
}
