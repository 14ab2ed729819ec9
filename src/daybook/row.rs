//! Finds read from their rows.
//!
//! `finds` holds a find whole. `listed` holds what lists are filtered and sorted by, so narrow that a hundred thousand are looked through in an
//! instant; `words` holds what it is found by. Both are made of the find each time it is written, in the same transaction ([`super::pen`]).

use super::error::DaybookError;
use super::find::{Find, FindId, KeyName, Named, PhotoKind, Photograph, Standing};
use super::time_text::parse_time;
use crate::key::FormId;
use crate::photo::{Crop, Edit, Format};
use rusqlite::{Connection, Row, Statement};
use std::path::Path;

/// What [`read_find`] reads, in its order.
const COLUMNS: &str = "id, revision, found_at, key_title, key_folder, form_id, form_name, line_name, verdict, probability, standing, \
                       piece, box_label, note, record";

pub(super) fn to_json(value: &impl serde::Serialize) -> rusqlite::Result<String> {
    serde_json::to_string(value).map_err(|error| rusqlite::Error::ToSqlConversionFailure(Box::new(error)))
}

/// The statements that read finds, read by SQLite once however many finds follow.
pub(super) struct Reader<'c> {
    find: Statement<'c>,
    photographs: Statement<'c>,
    path: &'c Path,
}

impl<'c> Reader<'c> {
    pub(super) fn new(connection: &'c Connection, path: &'c Path) -> Result<Self, DaybookError> {
        let prepared = |sql: &str| connection.prepare(sql).map_err(|error| DaybookError::sort(error, path));
        Ok(Self {
            find: prepared(&format!("SELECT {COLUMNS} FROM finds WHERE id = ?1"))?,
            photographs: prepared(
                "SELECT hash, format, kind, quarter_turns, crop_left, crop_top, crop_width, crop_height, name, caption
                 FROM photographs WHERE find_id = ?1 ORDER BY place",
            )?,
            path,
        })
    }

    pub(super) fn find(&mut self, id: FindId) -> Result<Option<Find>, DaybookError> {
        self.find_of(&id.to_string())
    }

    /// The find of an id as it is stored.
    pub(super) fn find_of(&mut self, id: &str) -> Result<Option<Find>, DaybookError> {
        let path = self.path;
        let mut rows = self.find.query([id]).map_err(|error| DaybookError::sort(error, path))?;
        let row = rows.next().map_err(|error| DaybookError::sort(error, path))?;
        row.map(|row| read_find(row, &mut self.photographs, path)).transpose()
    }
}

/// Reads a row of [`COLUMNS`] and the photographs that belong to it.
fn read_find(row: &Row<'_>, photographs: &mut Statement<'_>, path: &Path) -> Result<Find, DaybookError> {
    let sorted = |error| DaybookError::sort(error, path);
    let id_text: String = row.get(0).map_err(sorted)?;
    let unreadable = |detail: String| DaybookError::UnreadableFind { id: id_text.clone(), detail };
    let id: FindId = id_text.parse().map_err(|error: uuid::Error| unreadable(error.to_string()))?;
    let text = |column: usize| row.get::<_, String>(column).map_err(sorted);
    let optional = |column: usize| row.get::<_, Option<String>>(column).map_err(sorted);
    let named = match (optional(5)?, optional(6)?, optional(7)?) {
        (Some(form), Some(form_name), Some(line_name)) => Some(Named { form: FormId::new(form), form_name, line_name }),
        _ => None,
    };
    let (found_at, standing) = (text(2)?, text(10)?);
    Ok(Find {
        id,
        revision: row.get(1).map_err(sorted)?,
        found_at: parse_time(&found_at).ok_or_else(|| unreadable(format!("'{found_at}' is not a time")))?,
        key: KeyName { title: text(3)?, folder: text(4)? },
        named,
        verdict: text(8)?,
        probability: row.get(9).map_err(sorted)?,
        standing: Standing::from_stored(&standing).ok_or_else(|| unreadable(format!("'{standing}' is not a standing")))?,
        piece: serde_json::from_str(&text(11)?).map_err(|error| unreadable(format!("its observations: {error}")))?,
        box_label: text(12)?,
        note: text(13)?,
        record: serde_json::from_str(&text(14)?).map_err(|error| unreadable(format!("its record: {error}")))?,
        photographs: read_photographs(photographs, &id_text, path)?,
    })
}

fn read_photographs(statement: &mut Statement<'_>, id: &str, path: &Path) -> Result<Vec<Photograph>, DaybookError> {
    let sorted = |error| DaybookError::sort(error, path);
    let mut rows = statement.query([id]).map_err(sorted)?;
    let mut photographs = Vec::new();
    while let Some(row) = rows.next().map_err(sorted)? {
        let unreadable =
            |what: &str, word: &str| DaybookError::UnreadableFind { id: id.to_owned(), detail: format!("'{word}' is not {what}") };
        let text = |column: usize| row.get::<_, String>(column).map_err(sorted);
        let side = |column: usize| row.get::<_, Option<u32>>(column).map_err(sorted);
        let (hash, format, kind) = (text(0)?, text(1)?, text(2)?);
        let crop = match (side(4)?, side(5)?, side(6)?, side(7)?) {
            (Some(left), Some(top), Some(width), Some(height)) => Some(Crop { left, top, width, height }),
            _ => None,
        };
        photographs.push(Photograph {
            hash: hash.parse().map_err(|_unsaid| unreadable("the name of a photograph", &hash))?,
            format: Format::of_extension(&format).ok_or_else(|| unreadable("a picture format", &format))?,
            kind: PhotoKind::from_stored(&kind).ok_or_else(|| unreadable("a kind of photograph", &kind))?,
            edit: Edit { quarter_turns: row.get(3).map_err(sorted)?, crop },
            name: text(8)?,
            caption: text(9)?,
        });
    }
    Ok(photographs)
}
