//! Tables as a workbook (Office Open XML). Words are written as words, so that none is taken for a formula.

use super::finds::{Cell, Finds};
use crate::daybook::Find;
use crate::daybook::condition::ConditionRules;
use crate::key::Key;
use crate::sheets::csv::forms_table;
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, Worksheet, XlsxError};

/// The longest text of a cell in signs, as Office Open XML has it.
const LONGEST: usize = 32_767;
/// Widest column, in signs. A choice of this program, no source.
const WIDEST: usize = 42;

/// Why a workbook can't be made.
#[derive(Debug, thiserror::Error)]
pub enum WorkbookError {
    /// There are more rows or columns than a sheet holds.
    #[error("{rows} rows and {columns} columns are too many for a workbook (at most 1048575 rows and 16384 columns: write CSV)")]
    TooLarge {
        /// Rows.
        rows: usize,
        /// Columns.
        columns: usize,
    },
    /// The writer refused it.
    #[error("the workbook can't be made: {0}")]
    Refused(String),
}

impl From<XlsxError> for WorkbookError {
    fn from(error: XlsxError) -> Self {
        Self::Refused(error.to_string())
    }
}

/// The forms of a key as a workbook.
///
/// # Errors
/// [`WorkbookError`].
pub fn write_forms_workbook(key: &Key) -> Result<Vec<u8>, WorkbookError> {
    let (heads, rows) = forms_table(key);
    let rows: Vec<Vec<Cell>> = rows
        .into_iter()
        .map(|row| row.into_iter().map(|text| if text.is_empty() { Cell::Nothing } else { Cell::Words(text) }).collect())
        .collect();
    book("forms", &heads, &rows)
}

/// Finds as a workbook.
///
/// # Errors
/// [`WorkbookError`].
pub fn write_finds_workbook(key: &Key, finds: &[Find], rules: &ConditionRules) -> Result<Vec<u8>, WorkbookError> {
    let table = Finds::of(key, finds, rules);
    book("finds", &table.heads, &table.rows)
}

fn book(name: &str, heads: &[String], rows: &[Vec<Cell>]) -> Result<Vec<u8>, WorkbookError> {
    if rows.len() > 1_048_575 || heads.len() > 16_384 {
        return Err(WorkbookError::TooLarge { rows: rows.len(), columns: heads.len() });
    }
    let mut book = Workbook::new();
    // The same table always gives the same file: no clock is read.
    let day = ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(&DocProperties::new().set_creation_datetime(&day));
    let sheet = book.add_worksheet();
    sheet.set_name(name)?;
    let bold = Format::new().set_bold().set_text_wrap();
    let mut widths: Vec<usize> = Vec::new();
    for (column, head) in heads.iter().enumerate() {
        sheet.write_string_with_format(0, column as u16, shortened(head), &bold)?;
        widths.push(head.chars().count().min(18));
    }
    for (row, cells) in rows.iter().enumerate() {
        for (column, cell) in cells.iter().enumerate() {
            if let (Cell::Words(words), Some(widest)) = (cell, widths.get_mut(column)) {
                *widest = (*widest).max(words.chars().count());
            }
            put(sheet, row as u32 + 1, column as u16, cell)?;
        }
    }
    for (column, width) in widths.into_iter().enumerate() {
        sheet.set_column_width(column as u16, width.clamp(6, WIDEST) as f64 + 1.5)?;
    }
    sheet.set_freeze_panes(1, 0)?;
    if !heads.is_empty() {
        sheet.autofilter(0, 0, rows.len() as u32, heads.len() as u16 - 1)?;
    }
    Ok(book.save_to_buffer()?)
}

fn put(sheet: &mut Worksheet, row: u32, column: u16, cell: &Cell) -> Result<(), WorkbookError> {
    match cell {
        Cell::Nothing => {}
        Cell::Words(words) => {
            sheet.write_string(row, column, shortened(words))?;
        }
        Cell::Number(number) => {
            sheet.write_number(row, column, *number)?;
        }
    }
    Ok(())
}

/// What fits into a cell; what does not ends in '…'.
fn shortened(text: &str) -> String {
    let text = crate::key::plain(text);
    if text.chars().count() <= LONGEST { text } else { text.chars().take(LONGEST - 1).chain(['…']).collect() }
}
