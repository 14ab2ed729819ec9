//! Other people's lists: tables from CSV, XLSX and ODS files, the quantities in their cells, and bringing them into a house key.
//!
//! [`read()`] gives a [`Table`] of plain text with the place of every cell. Nothing in a file ends the program: what cannot be read is a
//! [`TableProblem`] with its row and column, and the rest is read all the same.

mod cells;
mod csv;
mod guess;
mod header;
mod import;
mod mapping;
mod ods;
mod problem;
pub mod quantity;
mod read;
mod table;
mod text;
mod unpack;
mod workbook;
mod years;

pub use guess::{Guess, guess};
pub use header::clip;
pub(in crate::key) use import::widened;
pub use import::{Added, Addition, Change, Changes, ImportError, ImportProblem, LeftOut, Plan, import, new_key};
pub use mapping::{Mapping, MappingError, Role, Rows};
pub use problem::{TableError, TableProblem, TableProblemKind};
pub use read::{HeaderRow, Options, Separator, read, read_bytes};
pub use table::{CellAt, Row, Table, column_letters};
pub use years::parse as parse_years;

/// The largest file that is read, in bytes.
pub const FILE_LIMIT: u64 = 1 << 30;
/// The most a workbook may unpack to, in bytes.
pub const UNPACKED_LIMIT: u64 = 1 << 30;
/// The longest cell that is read, in bytes. Spreadsheets hold 32 767 characters.
pub const CELL_LIMIT: usize = 1 << 20;
/// The most columns of a table, as many as spreadsheets have.
pub const COLUMN_LIMIT: usize = 16_384;
/// The most cells of a table.
pub const CELLS_LIMIT: usize = 200_000_000;
