//! The table of a box, read from its file.

use super::super::outcome::Trouble;
use super::super::page::say;
use std::io::Write;
use std::path::Path;

/// A table with a header.
#[derive(Debug)]
pub(super) struct List {
    name: String,
    headers: Vec<String>,
    /// Each row with its number in the file.
    rows: Vec<(u64, csv::StringRecord)>,
    problems: Vec<String>,
}

impl List {
    pub(super) fn name(&self) -> &str {
        &self.name
    }

    pub(super) fn headers(&self) -> &[String] {
        &self.headers
    }

    pub(super) fn len(&self) -> usize {
        self.rows.len()
    }

    pub(super) fn cell(&self, row: usize, column: usize) -> &str {
        self.rows.get(row).and_then(|(_, record)| record.get(column)).unwrap_or_default()
    }

    /// 'box.csv, row 12, column C'
    pub(super) fn place(&self, row: usize, column: usize) -> String {
        let number = self.rows.get(row).map_or(0, |row| row.0);
        format!("{}, row {number}, column '{}'", self.name, self.headers.get(column).map_or("", String::as_str))
    }

    /// Says what was wrong with the file.
    pub(super) fn tell(&self, err: &mut dyn Write) {
        for problem in &self.problems {
            say(err, problem);
        }
    }

    pub(super) fn problems(&self) -> usize {
        self.problems.len()
    }
}

/// Reads the table in a file.
///
/// # Errors
/// Where there is none.
pub(super) fn read(path: &Path) -> Result<List, Trouble> {
    let name = path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned());
    let cannot = |why: String| Trouble::Problem(format!("'{}' can't be read: {why}", path.display()));
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_path(path).map_err(|e| cannot(e.to_string()))?;
    let headers: Vec<String> = reader.headers().map_err(|e| cannot(e.to_string()))?.iter().map(str::to_owned).collect();
    if headers.is_empty() {
        return Err(Trouble::Problem(format!("there is nothing in '{name}'")));
    }
    let mut list = List { name, headers, rows: Vec::new(), problems: Vec::new() };
    for (n, record) in reader.records().enumerate() {
        match record {
            Ok(record) => list.rows.push((n as u64 + 2, record)),
            Err(e) => list.problems.push(format!("{}: {e}", list.name)),
        }
    }
    Ok(list)
}
