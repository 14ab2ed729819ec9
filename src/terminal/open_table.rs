//! Reading the table that a verb is given.

use super::outcome::Trouble;
use super::page::say;
use crate::key::tables::{Options, Table, TableError, read};
use std::io::Write;
use std::path::Path;

/// Reads a table.
///
/// # Errors
/// Where there is none in that file: misuse where it is missing or of another kind, else a problem.
pub(super) fn open(path: &Path, options: &Options) -> Result<Table, Trouble> {
    read(path, options).map_err(|error| match &error {
        TableError::Io { why, .. } if why.kind() != std::io::ErrorKind::NotFound => Trouble::Problem(error.to_string()),
        TableError::Damaged { .. } | TableError::Empty { .. } => Trouble::Problem(error.to_string()),
        _ => Trouble::Misuse(error.to_string()),
    })
}

/// Says in a line each what was taken for granted while reading, and what could not be read.
pub(super) fn tell(table: &Table, err: &mut dyn Write) {
    for problem in table.notes.iter().chain(&table.problems) {
        say(err, &problem.tell(table));
    }
}
