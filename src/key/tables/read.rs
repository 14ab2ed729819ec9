//! Reading a table from a file.

use super::problem::{TableError, TableProblem, TableProblemKind};
use super::table::{CellAt, Table};
use super::{FILE_LIMIT, csv, header, ods, text, unpack, workbook};
use crate::say;
use std::path::Path;

/// The sign that parts the cells of a text file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Separator {
    /// `,`
    Comma,
    /// `;`
    Semicolon,
    /// A tab.
    Tab,
}

impl Separator {
    pub(super) const fn byte(self) -> u8 {
        match self {
            Self::Comma => b',',
            Self::Semicolon => b';',
            Self::Tab => b'\t',
        }
    }

    fn words(self) -> &'static str {
        match self {
            Self::Comma => say!("commas"),
            Self::Semicolon => say!("semicolons"),
            Self::Tab => say!("tabs"),
        }
    }
}

/// Which row names the columns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum HeaderRow {
    /// The first full row, unless it looks like data.
    #[default]
    Guess,
    /// The first row.
    First,
    /// None: columns are called by their letters.
    None,
}

/// How a table is to be read. By default everything is guessed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Options {
    /// The sheet of a workbook. None: the first that holds something.
    pub sheet: Option<String>,
    /// Which row is the header.
    pub header: HeaderRow,
    /// The sign between cells. None: the one by which the rows are most even.
    pub separator: Option<Separator>,
}

/// Reads the table in that file.
///
/// # Errors
/// Where there is no table in it. What cannot be read of a table is in [`Table::problems`].
pub fn read(path: &Path, options: &Options) -> Result<Table, TableError> {
    let io = |why| TableError::Io { path: path.to_owned(), why };
    let name = path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned());
    let size = std::fs::metadata(path).map_err(io)?;
    if size.is_dir() {
        return Err(TableError::NoTable { file: name, is: "a folder" });
    }
    if size.len() > FILE_LIMIT {
        return Err(TableError::TooLarge { file: name, bytes: size.len() });
    }
    // A pipe says no size.
    let mut bytes = Vec::with_capacity(usize::try_from(size.len()).unwrap_or(0));
    let file = std::fs::File::open(path).map_err(io)?;
    std::io::Read::read_to_end(&mut std::io::Read::take(file, FILE_LIMIT + 1), &mut bytes).map_err(io)?;
    read_bytes(&name, bytes, options)
}

/// Reads the table in the bytes of a file; `name` is the file's, without its folder.
///
/// # Errors
/// As [`read`].
pub fn read_bytes(name: &str, bytes: Vec<u8>, options: &Options) -> Result<Table, TableError> {
    if bytes.len() as u64 > FILE_LIMIT {
        return Err(TableError::TooLarge { file: name.to_owned(), bytes: bytes.len() as u64 });
    }
    match bytes.as_slice() {
        [b'P', b'K', 3, 4, ..] => match unpack::look(name, &bytes)? {
            unpack::Kind::Xlsx => workbook::read(name, bytes, options),
            unpack::Kind::Ods => ods::read(name, &bytes, options),
        },
        bytes if kind_of(bytes).is_some() => Err(TableError::NoTable { file: name.to_owned(), is: kind_of(bytes).unwrap_or_default() }),
        _ => read_text(name, bytes, options),
    }
}

/// What a file is that is no table, by its first bytes.
fn kind_of(bytes: &[u8]) -> Option<&'static str> {
    const STARTS: [(&[u8], &str); 9] = [
        (&[0xd0, 0xcf, 0x11, 0xe0], "an old .xls workbook or one with a password"),
        (b"%PDF", "a PDF"),
        (b"\x89PNG", "a picture"),
        (&[0xff, 0xd8, 0xff], "a picture"),
        (b"GIF8", "a picture"),
        (b"{\\rtf", "a text with formats"),
        (&[0x1f, 0x8b], "a packed file"),
        (b"SQLite format 3", "a database"),
        (b"<!DOCTYPE html", "a web page"),
    ];
    STARTS.iter().find(|(start, _)| bytes.starts_with(start)).map(|&(_, is)| is)
}

fn read_text(name: &str, bytes: Vec<u8>, options: &Options) -> Result<Table, TableError> {
    let mut notes = Vec::new();
    let mut problems = Vec::new();
    let no_table = || TableError::NoTable { file: name.to_owned(), is: "not a text" };
    let text = text::decode(bytes, &mut notes).ok_or_else(no_table)?;
    // Windows-1252 grows in UTF-8.
    if text.len() as u64 > FILE_LIMIT {
        return Err(TableError::TooLarge { file: name.to_owned(), bytes: text.len() as u64 });
    }
    let (said, text) = named_separator(text);
    let separator = options.separator.or(said).unwrap_or_else(|| csv::guess(&text));
    let grid = csv::parse(text, separator, &mut problems).ok_or_else(|| TableError::TooManyCells { file: name.to_owned() })?;
    let mut table = header::table(name, None, grid, options.header)?;
    if separator != Separator::Comma && options.separator.is_none() {
        notes.push(TableProblem { at: CellAt::WHOLE, kind: TableProblemKind::PartedBy { by: separator.words() } });
    }
    notes.append(&mut table.notes);
    table.notes = notes;
    problems.append(&mut table.problems);
    problems.sort_by_key(|problem| problem.at);
    table.problems = problems;
    Ok(table)
}

/// A first line `sep=;`, which some spreadsheets write. It is emptied, so that rows keep their numbers.
fn named_separator(text: String) -> (Option<Separator>, String) {
    let line = text.lines().next().unwrap_or_default();
    let said = match line.trim_end_matches('\r') {
        "sep=," => Separator::Comma,
        "sep=;" => Separator::Semicolon,
        "sep=\t" => Separator::Tab,
        _ => return (None, text),
    };
    let rest = text.get(line.len()..).unwrap_or_default().to_owned();
    (Some(said), rest)
}
