//! What a packed file is, and whether it unpacks to something honest, before anything in it is believed.

use super::UNPACKED_LIMIT;
use super::problem::TableError;
use std::io::{Cursor, Read as _};
use zip::ZipArchive;

/// The workbooks that are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Xlsx,
    Ods,
}

/// Says which workbook the bytes are, and unpacks it once to see that it stays within its limit: what it says of its own size is no proof.
///
/// # Errors
/// Where it is no workbook, is damaged, locked, or unpacks to too much.
pub(super) fn look(file: &str, bytes: &[u8]) -> Result<Kind, TableError> {
    let damaged = |why: String| TableError::Damaged { file: file.to_owned(), why };
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|e| damaged(e.to_string()))?;
    let has = |name: &str| archive.file_names().any(|found| found == name);
    let kind = if has("content.xml") {
        Kind::Ods
    } else if archive.file_names().any(|name| name.eq_ignore_ascii_case("xl/workbook.xml")) {
        Kind::Xlsx
    } else {
        let is = if has("word/document.xml") { "a text document" } else { "a packed folder" };
        return Err(TableError::NoTable { file: file.to_owned(), is });
    };
    let mut left = UNPACKED_LIMIT;
    for index in 0..archive.len() {
        let entry = archive.by_index(index).map_err(|e| match e {
            zip::result::ZipError::UnsupportedArchive(_) | zip::result::ZipError::InvalidPassword => {
                TableError::Locked { file: file.to_owned() }
            }
            other => damaged(other.to_string()),
        })?;
        let unpacked = std::io::copy(&mut entry.take(left + 1), &mut std::io::sink()).map_err(|e| damaged(e.to_string()))?;
        left = left.checked_sub(unpacked).ok_or_else(|| TableError::UnpacksTooLarge { file: file.to_owned() })?;
    }
    Ok(kind)
}
