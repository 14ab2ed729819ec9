//! Finds and forms for other programs: tables, workbooks, JSON, a packet with photographs, and the two languages museums speak.
//!
//! Vocabulary ids (Getty AAT, ODC-By 1.0; LIDO terminology) are those of `assets/terms.ron`, each seen in a published mapping. What has no id there goes
//! out as plain text.

mod finds;
mod lido;
mod linked_art;
mod packet;
mod recorded;
mod seen;
mod terms;
mod workbook;
mod xml;

pub use finds::{Cell, Finds, write_finds_csv, write_finds_json};
pub use lido::write_lido;
pub use linked_art::{BaseError, write_linked_art};
pub use packet::{Read, write_packet};
pub use seen::seen_words;
pub use workbook::{WorkbookError, write_finds_workbook, write_forms_workbook};

use crate::key::Key;
use serde::Serialize;
use std::io::{self, Write};

/// Writes the forms of a key as JSON: the entries as they stand in `forms.ron`.
///
/// # Errors
/// Those of the writer.
pub fn write_forms_json(key: &Key, out: &mut dyn Write) -> io::Result<()> {
    #[derive(Serialize)]
    struct Written<'a> {
        format: u32,
        key: &'a str,
        forms: &'a [crate::key::Form],
    }
    json(&Written { format: key.about.format, key: &key.about.title, forms: &key.forms }, out)
}

fn json(value: &impl Serialize, out: &mut dyn Write) -> io::Result<()> {
    serde_json::to_writer_pretty(&mut *out, value).map_err(io::Error::from)?;
    writeln!(out)
}
