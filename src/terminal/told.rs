//! A report that is told on the screen, or written to a file.

use super::outcome::Trouble;
use super::page::plain;
use crate::sheets::csv::save;
use std::io::{self, Write};
use std::path::Path;

/// What a verb found, in each form it can be told in.
pub(super) trait Told {
    /// In a line.
    fn summary(&self) -> String;
    /// For programs.
    fn json(&self, out: &mut dyn Write) -> io::Result<()>;
    /// For spreadsheets.
    fn csv(&self, out: &mut dyn Write) -> io::Result<()>;
    /// For the screen.
    fn text(&self, out: &mut dyn Write) -> io::Result<()>;
}

/// What is wanted of a report.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wanted<'a> {
    /// The file it goes to; none for the screen.
    pub(super) file: Option<&'a Path>,
    /// As JSON.
    pub(super) json: bool,
}

/// Tells a report: to the file, and then a line on the screen, or on the screen alone.
pub(super) fn tell(told: &impl Told, wanted: Wanted<'_>, out: &mut dyn Write) -> Result<(), Trouble> {
    match wanted.file {
        Some(file) => {
            let written = if wanted.json { save(file, |to| told.json(to)) } else { save(file, |to| told.csv(to)) };
            written.map_err(|e| Trouble::Problem(format!("'{}' can't be written: {e}", file.display())))?;
            writeln!(out, "{}", plain(&format!("{}, written to {}", told.summary(), file.display())))?;
        }
        None if wanted.json => told.json(out)?,
        None => told.text(out)?,
    }
    Ok(())
}
