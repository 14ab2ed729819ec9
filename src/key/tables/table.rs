//! A table as it was read: text, and where each cell stands.

use super::problem::TableProblem;
use std::fmt::Write as _;

/// Where a cell stands in its file, both counted from 1 as a spreadsheet shows them; 0 means all of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct CellAt {
    /// The row of the file, the header's and empty ones counted.
    pub row: u32,
    /// The column, A is 1.
    pub column: u32,
}

impl CellAt {
    /// The table as a whole.
    pub const WHOLE: Self = Self { row: 0, column: 0 };

    /// A cell.
    pub const fn new(row: u32, column: u32) -> Self {
        Self { row, column }
    }

    /// A whole row.
    pub const fn row(row: u32) -> Self {
        Self { row, column: 0 }
    }

    /// A whole column.
    pub const fn column(column: u32) -> Self {
        Self { row: 0, column }
    }
}

/// The letters of a column as a spreadsheet shows them: 1 is A, 27 is AA. Empty for 0.
pub fn column_letters(column: u32) -> String {
    let mut letters = Vec::new();
    let mut rest = column;
    while rest > 0 {
        rest -= 1;
        letters.push(char::from(b'A' + (rest % 26) as u8));
        rest /= 26;
    }
    letters.iter().rev().collect()
}

/// Bytes of a cell, in the text of the table or, with the highest bit of the start set, in its further text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Span {
    pub(super) start: u32,
    pub(super) end: u32,
}

/// The bit that says: in the further text.
pub(super) const FURTHER: u32 = 1 << 31;

/// Where a row's cells begin, and its number in the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct RowStart {
    pub(super) first: u32,
    pub(super) number: u32,
}

/// The cells of a table before its header is known.
#[derive(Debug, Clone, Default)]
pub(super) struct Grid {
    pub(super) text: String,
    /// Cells that do not stand in the text as they are: with doubled quotes, or from a workbook.
    pub(super) further: String,
    pub(super) cells: Vec<Span>,
    /// Rows that are not empty.
    pub(super) rows: Vec<RowStart>,
}

impl Grid {
    fn spans(&self, row: usize) -> &[Span] {
        let Some(start) = self.rows.get(row) else { return &[] };
        let end = self.rows.get(row + 1).map_or(self.cells.len(), |next| next.first as usize);
        self.cells.get(start.first as usize..end).unwrap_or_default()
    }

    pub(super) fn width(&self, row: usize) -> usize {
        self.spans(row).len()
    }

    pub(super) fn slice(&self, span: Span) -> &str {
        if span.start & FURTHER == 0 {
            self.text.get(span.start as usize..span.end as usize).unwrap_or_default()
        } else {
            self.further.get((span.start & !FURTHER) as usize..span.end as usize).unwrap_or_default()
        }
    }

    pub(super) fn cell(&self, row: usize, column: usize) -> &str {
        self.spans(row).get(column).map_or("", |&span| self.slice(span))
    }

    pub(super) fn row(&self, row: usize) -> impl Iterator<Item = &str> {
        self.spans(row).iter().map(|&span| self.slice(span))
    }
}

/// A table: a header, and rows of text below it.
#[derive(Debug, Clone, Default)]
pub struct Table {
    /// The file's name, without its folder.
    pub file: String,
    /// The sheet of a workbook.
    pub sheet: Option<String>,
    /// Every sheet of the workbook, in its order. Empty for a text file.
    pub sheets: Vec<String>,
    /// The names of the columns: never empty, never twice the same.
    pub headers: Vec<String>,
    /// What was taken for granted while reading, such as the encoding.
    pub notes: Vec<TableProblem>,
    /// What could not be read.
    pub problems: Vec<TableProblem>,
    pub(super) grid: Grid,
    /// The first row of the grid that holds data.
    pub(super) first: usize,
}

impl Table {
    /// How many rows of data there are; empty rows are none.
    pub fn len(&self) -> usize {
        self.grid.rows.len().saturating_sub(self.first)
    }

    /// True where there is a header at most.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The text of a cell as it stands in the file, both counted from 0; empty where there is none.
    pub fn cell(&self, row: usize, column: usize) -> &str {
        if column < self.headers.len() { self.grid.cell(self.first + row, column) } else { "" }
    }

    /// A row of data, counted from 0.
    pub fn row(&self, row: usize) -> Row<'_> {
        Row { table: self, row }
    }

    /// The rows of data.
    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        (0..self.len()).map(|row| self.row(row))
    }

    /// The column of that name, counted from 0: the same text first, then without regard to case, accents and hyphens.
    pub fn column(&self, name: &str) -> Option<usize> {
        let folded = crate::key::words::fold(name);
        let same = self.headers.iter().position(|header| header == name.trim());
        same.or_else(|| self.headers.iter().position(|header| crate::key::words::fold(header) == folded))
    }

    /// Where a cell of the data stands in the file.
    pub fn at(&self, row: usize, column: usize) -> CellAt {
        let number = self.grid.rows.get(self.first + row).map_or(0, |start| start.number);
        CellAt { row: number, column: u32::try_from(column + 1).unwrap_or(0) }
    }

    /// A place in words: `stock.xlsx, sheet 'Shelf 2', row 12, column C`.
    pub fn place(&self, at: CellAt) -> String {
        let mut place = self.file.clone();
        if let Some(sheet) = &self.sheet {
            let _ = write!(place, ", sheet '{sheet}'");
        }
        if at.row > 0 {
            let _ = write!(place, ", row {}", at.row);
        }
        if at.column > 0 {
            let _ = write!(place, ", column {}", column_letters(at.column));
        }
        place
    }
}

/// A row of a table.
#[derive(Debug, Clone, Copy)]
pub struct Row<'t> {
    table: &'t Table,
    row: usize,
}

impl<'t> Row<'t> {
    /// The text of a cell, counted from 0; empty where there is none.
    pub fn cell(&self, column: usize) -> &'t str {
        self.table.cell(self.row, column)
    }

    /// The cells, as many as there are columns.
    pub fn cells(&self) -> impl Iterator<Item = &'t str> {
        let row = *self;
        (0..row.table.headers.len()).map(move |column| row.cell(column))
    }

    /// Its number in the file, counted from 1.
    pub fn number(&self) -> u32 {
        self.table.at(self.row, 0).row
    }
}
