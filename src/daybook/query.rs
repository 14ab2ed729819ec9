//! Reading the daybook.

use super::book::Daybook;
use super::error::DaybookError;
use super::find::{Find, FindId, KeyName, Named, PhotoKind, Photograph, Standing};
use super::fold::fold;
use super::time_text::parse_time;
use crate::key::FormId;
use crate::photo::{Crop, Edit, Format, PhotoHash};
use rusqlite::{Connection, Row, params_from_iter};
use std::path::Path;

/// Which finds of a list are wanted.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Page {
    /// Words that must all be found somewhere: in names, verdict, box label, note or captions. Empty: every find.
    pub search: String,
    /// Only finds of the box with exactly that label, where given.
    pub box_label: Option<String>,
    /// How many to pass over.
    pub skip: u32,
    /// How many to give at most.
    pub most: u32,
}

/// A box and how many finds lie in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoxCount {
    /// Its label; empty for finds without a box.
    pub label: String,
    /// How many finds.
    pub finds: u64,
}

impl Daybook {
    /// A find, whether removed or not.
    ///
    /// # Errors
    /// [`DaybookError::UnreadableFind`] where its row holds what this program does not understand.
    pub fn find(&self, id: FindId) -> Result<Option<Find>, DaybookError> {
        find_by_id(&self.connection, id, &self.path)
    }

    /// Finds that are not removed, newest first. One that cannot be read is given as its error, in its place, and hides no other.
    ///
    /// # Errors
    /// [`DaybookError::Busy`], [`DaybookError::Damaged`] and the like.
    pub fn newest_first(&self, page: &Page) -> Result<Vec<Result<Find, DaybookError>>, DaybookError> {
        let sorted = |error| DaybookError::sort(error, &self.path);
        let (condition, mut values) = conditions(page);
        values.push(page.most.to_string());
        values.push(page.skip.to_string());
        let sql = format!(
            "SELECT {COLUMNS} FROM finds WHERE removed_ms IS NULL{condition} ORDER BY found_ms DESC, id DESC
             LIMIT CAST(? AS INTEGER) OFFSET CAST(? AS INTEGER)"
        );
        let mut statement = self.connection.prepare(&sql).map_err(sorted)?;
        let mut rows = statement.query(params_from_iter(&values)).map_err(sorted)?;
        let mut finds = Vec::new();
        while let Some(row) = rows.next().map_err(sorted)? {
            finds.push(read_find(&self.connection, row, &self.path));
        }
        Ok(finds)
    }

    /// How many finds that are not removed the page's search and box leave, `skip` and `most` aside.
    ///
    /// # Errors
    /// As [`Daybook::newest_first`].
    pub fn count(&self, page: &Page) -> Result<u64, DaybookError> {
        let sorted = |error| DaybookError::sort(error, &self.path);
        let (condition, values) = conditions(page);
        let sql = format!("SELECT count(*) FROM finds WHERE removed_ms IS NULL{condition}");
        let mut statement = self.connection.prepare(&sql).map_err(sorted)?;
        statement.query_row(params_from_iter(&values), |row| counted(row, 0)).map_err(sorted)
    }

    /// The boxes with the number of their finds, by label; numbers in labels count as numbers ('Box 9' before 'Box 14').
    ///
    /// # Errors
    /// As [`Daybook::newest_first`].
    pub fn boxes(&self) -> Result<Vec<BoxCount>, DaybookError> {
        let sorted = |error| DaybookError::sort(error, &self.path);
        let mut statement =
            self.connection.prepare("SELECT box_label, count(*) FROM finds WHERE removed_ms IS NULL GROUP BY box_label").map_err(sorted)?;
        let rows = statement.query_map([], |row| Ok(BoxCount { label: row.get(0)?, finds: counted(row, 1)? })).map_err(sorted)?;
        let mut boxes = rows.collect::<Result<Vec<_>, _>>().map_err(sorted)?;
        boxes.sort_by_cached_key(|one| (natural(&one.label), one.label.clone()));
        Ok(boxes)
    }

    /// Every photograph that any find refers to or once referred to, removed ones included, each once: what the store should hold.
    ///
    /// # Errors
    /// As [`Daybook::newest_first`].
    pub fn photographs_kept(&self) -> Result<Vec<(PhotoHash, Format)>, DaybookError> {
        let sorted = |error| DaybookError::sort(error, &self.path);
        let mut statement = self
            .connection
            .prepare(
                "SELECT hash, format FROM photographs
                 UNION
                 SELECT photo.value ->> 'hash', photo.value ->> 'format' FROM history, json_each(history.find, '$.photographs') AS photo
                 ORDER BY 1",
            )
            .map_err(sorted)?;
        let rows = statement.query_map([], |row| Ok((row.get::<_, String>(0)?, row.get::<_, String>(1)?))).map_err(sorted)?;
        let mut kept = Vec::new();
        for row in rows {
            let (hash, format) = row.map_err(sorted)?;
            if let (Ok(hash), Some(format)) = (hash.parse(), Format::of_extension(&format)) {
                kept.push((hash, format));
            }
        }
        Ok(kept)
    }
}

/// A number of rows. SQLite's own numbers have a sign; a count is never negative.
fn counted(row: &Row<'_>, column: usize) -> rusqlite::Result<u64> {
    row.get::<_, i64>(column).map(i64::unsigned_abs)
}

const COLUMNS: &str =
    "id, revision, found_at, key_title, key_folder, form_id, form_name, line_name, verdict, probability, standing, piece, box_label, note";

/// The conditions of a page beyond 'not removed', and their values in order.
fn conditions(page: &Page) -> (String, Vec<String>) {
    let mut condition = String::new();
    let mut values = Vec::new();
    // A search of more words than anyone types (a pasted page) goes by its first; SQLite bounds the length of a question.
    for word in fold(&page.search).split(' ').filter(|word| !word.is_empty()).take(40) {
        condition.push_str(" AND instr(search, ?) > 0");
        values.push(word.to_owned());
    }
    if let Some(label) = &page.box_label {
        condition.push_str(" AND box_label = ?");
        values.push(label.clone());
    }
    (condition, values)
}

pub(super) fn find_by_id(connection: &Connection, id: FindId, path: &Path) -> Result<Option<Find>, DaybookError> {
    let sorted = |error| DaybookError::sort(error, path);
    let mut statement = connection.prepare(&format!("SELECT {COLUMNS} FROM finds WHERE id = ?1")).map_err(sorted)?;
    let mut rows = statement.query([id.to_string()]).map_err(sorted)?;
    rows.next().map_err(sorted)?.map(|row| read_find(connection, row, path)).transpose()
}

/// Reads a row of [`COLUMNS`] and the photographs that belong to it.
fn read_find(connection: &Connection, row: &Row<'_>, path: &Path) -> Result<Find, DaybookError> {
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
        photographs: read_photographs(connection, &id_text, path)?,
    })
}

fn read_photographs(connection: &Connection, id: &str, path: &Path) -> Result<Vec<Photograph>, DaybookError> {
    let sorted = |error| DaybookError::sort(error, path);
    let mut statement = connection
        .prepare(
            "SELECT hash, format, kind, quarter_turns, crop_left, crop_top, crop_width, crop_height, name, caption
             FROM photographs WHERE find_id = ?1 ORDER BY place",
        )
        .map_err(sorted)?;
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

/// A key that sorts labels as people do: runs of digits by their value.
fn natural(label: &str) -> Vec<(u64, String)> {
    let mut parts: Vec<(u64, String)> = vec![(0, String::new())];
    let mut in_digits = false;
    for c in fold(label).chars() {
        match (c.to_digit(10), in_digits) {
            (Some(digit), true) => {
                if let Some((number, _)) = parts.last_mut() {
                    *number = number.saturating_mul(10).saturating_add(u64::from(digit));
                }
            }
            (Some(digit), false) => {
                in_digits = true;
                parts.push((u64::from(digit), String::new()));
            }
            (None, _) => {
                in_digits = false;
                if let Some((_, word)) = parts.last_mut() {
                    word.push(c);
                }
            }
        }
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_sort_as_people_sort_them() {
        let mut labels = ["Box 14", "box 9", "", "Attic 2b", "Attic 2a", "Box 100", "attic 10"];
        labels.sort_by_cached_key(|label| natural(label));
        assert_eq!(labels, ["", "Attic 2a", "Attic 2b", "attic 10", "box 9", "Box 14", "Box 100"]);
    }
}
