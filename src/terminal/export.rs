//! `footring export`

use super::cli::Export;
use super::open_key;
use super::outcome::{Outcome, Trouble};
use super::page::{count, plain};
use crate::sheets::csv;
use std::io::Write;
use std::path::Path;

pub(super) fn run(export: &Export, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let key = open_key::with_forms(&export.key, err)?;
    if export.csv == Path::new("-") {
        csv::write_forms(&key, out).map_err(Trouble::Output)?;
        return Ok(Outcome::Well);
    }
    let file = export.csv.display().to_string();
    csv::save_forms(&key, &export.csv).map_err(|e| Trouble::Problem(format!("'{file}' can't be written: {e}")))?;
    let forms = count(key.forms.len(), "form", "forms");
    let features = count(key.features.len(), "feature", "features");
    writeln!(out, "{}", plain(&format!("{forms} with {features} written to {file}")))?;
    Ok(Outcome::Well)
}
