//! A find as rows of the tables: written, read, and laid out for lists and searches.
//!
//! `finds` holds a find whole. `listed` holds what lists are filtered and sorted by, so narrow that a hundred thousand are looked through in an
//! instant; `words` holds what it is found by. Both are made of the find each time it is written, in the same transaction.

use super::error::DaybookError;
use super::find::{Find, FindId, KeyName, Named, PhotoKind, Photograph, Standing};
use super::fold::{fold, natural};
use super::record::{Called, Price, Record};
use super::time_text::parse_time;
use crate::key::FormId;
use crate::photo::{Crop, Edit, Format};
use rusqlite::{Connection, Row, Transaction, params};
use std::path::Path;

/// What [`read_find`] reads, in its order.
pub(super) const COLUMNS: &str = "id, revision, found_at, key_title, key_folder, form_id, form_name, line_name, verdict, probability, standing, \
                                  piece, box_label, note, record";

/// Writes the rows of a find, over those it may have.
pub(super) fn write_find(transaction: &Transaction<'_>, find: &Find, revision: u32) -> rusqlite::Result<()> {
    let id = find.id.to_string();
    let (form_id, form_name, line_name) = match &find.named {
        Some(named) => (Some(named.form.as_str()), Some(&named.form_name), Some(&named.line_name)),
        None => (None, None, None),
    };
    transaction
        .prepare(
            "INSERT INTO finds (id, revision, found_at, found_ms, key_title, key_folder, form_id, form_name, line_name, verdict, probability,
                                standing, piece, box_label, note, record)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16)
             ON CONFLICT (id) DO UPDATE SET revision = ?2, found_at = ?3, found_ms = ?4, key_title = ?5, key_folder = ?6, form_id = ?7,
                form_name = ?8, line_name = ?9, verdict = ?10, probability = ?11, standing = ?12, piece = ?13, box_label = ?14, note = ?15,
                record = ?16",
        )?
        .execute(params![
            id,
            revision,
            find.found_at.to_string(),
            find.found_at.timestamp().as_millisecond(),
            find.key.title,
            find.key.folder,
            form_id,
            form_name,
            line_name,
            find.verdict,
            find.probability,
            find.standing.stored(),
            to_json(&find.piece)?,
            find.box_label,
            find.note,
            to_json(&find.record)?,
        ])?;
    transaction.prepare("DELETE FROM photographs WHERE find_id = ?1")?.execute([&id])?;
    let mut insert = transaction.prepare(
        "INSERT INTO photographs (find_id, place, hash, format, kind, quarter_turns, crop_left, crop_top, crop_width, crop_height, name, caption)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
    )?;
    for (place, Photograph { hash, format, kind, edit, name, caption }) in (0_i64..).zip(&find.photographs) {
        let crop = edit.crop;
        insert.execute(params![
            id,
            place,
            hash.to_string(),
            format.extension(),
            kind.stored(),
            edit.turns(),
            crop.map(|c| c.left),
            crop.map(|c| c.top),
            crop.map(|c| c.width),
            crop.map(|c| c.height),
            name,
            caption,
        ])?;
    }
    lay_out(transaction, find)
}

/// Writes what a find is listed and found by. Whether it is taken out is read from its row.
pub(super) fn lay_out(transaction: &Transaction<'_>, find: &Find) -> rusqlite::Result<()> {
    let id = find.id.to_string();
    let record = &find.record;
    let name = |called: Option<&Called>| called.map_or("", |called| called.name.as_str()).to_owned();
    let (form, line) = find.named.as_ref().map_or(("", ""), |named| (named.form_name.as_str(), named.line_name.as_str()));
    let price = |price: &Option<Price>| price.as_ref().map(Price::sort_text).unwrap_or_default();
    let (glaze, decoration, mark) = (name(record.main_glaze()), name(record.decoration.as_ref()), name(record.mark.as_ref()));
    let number: i64 = transaction
        .prepare(
            "INSERT INTO listed (id, removed, found_ms, form_id, form, form_sort, line, box, box_sort, status, standing, sure, glaze, decoration,
                                 mark, place, place_sort, made_from, made_to, decorated_from, pieces, photographs, paid_sort, asked_sort, names, faults)
             VALUES (?1, (SELECT removed_ms IS NOT NULL FROM finds WHERE id = ?1), ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15,
                     ?16, ?17, ?18, ?19, ?20, ?21, ?22, ?23, ?24, ?25)
             ON CONFLICT (id) DO UPDATE SET removed = excluded.removed, found_ms = ?2, form_id = ?3, form = ?4, form_sort = ?5, line = ?6,
                box = ?7, box_sort = ?8, status = ?9, standing = ?10, sure = ?11, glaze = ?12, decoration = ?13, mark = ?14, place = ?15,
                place_sort = ?16, made_from = ?17, made_to = ?18, decorated_from = ?19, pieces = ?20, photographs = ?21, paid_sort = ?22,
                asked_sort = ?23, names = ?24, faults = ?25
             RETURNING number",
        )?
        .query_row(
            params![
                id,
                find.found_at.timestamp().as_millisecond(),
                find.named.as_ref().map(|named| named.form.as_str()),
                form,
                natural(form),
                line,
                find.box_label,
                natural(&find.box_label),
                record.status.stored(),
                find.standing.stored(),
                sure(find),
                glaze,
                decoration,
                mark,
                record.place_found,
                natural(&record.place_found),
                record.made.from,
                record.made.to,
                record.decorated.from,
                record.pieces.get(),
                u32::try_from(find.photographs.len()).unwrap_or(u32::MAX),
                price(&record.paid),
                price(&record.asked),
                names_text(find),
                find.piece.condition.told(),
            ],
            |row| row.get(0),
        )?;
    // A row of `words` is written as a whole; FTS5 has no upsert.
    transaction.prepare("DELETE FROM words WHERE rowid = ?1")?.execute([number])?;
    transaction.prepare("INSERT INTO words (rowid, search) VALUES (?1, ?2)")?.execute(params![number, search_text(find)])?;
    Ok(())
}

/// How sure the naming is, for sorting: nothing said below several left, those below what leads, that below what is settled.
fn sure(find: &Find) -> f64 {
    let rank = match find.standing {
        Standing::Nothing => 0.0,
        Standing::Contradiction => 1.0,
        Standing::NotInKey => 2.0,
        Standing::Narrowing => 3.0,
        Standing::Leaning => 4.0,
        Standing::Settled => 5.0,
    };
    rank * 2.0 + find.probability.unwrap_or(0.0)
}

/// All words a find is found by.
fn search_text(find: &Find) -> String {
    let condition = find.piece.condition.search_text();
    let mut words = vec![find.verdict.as_str(), &find.box_label, &find.note, &find.key.title, &condition];
    if let Some(named) = &find.named {
        words.extend([named.form_name.as_str(), named.line_name.as_str()]);
    }
    for photograph in &find.photographs {
        words.push(&photograph.caption);
        if photograph.kind == PhotoKind::Damage {
            words.push("damage");
        }
    }
    let Record { status, place_found, paid, asked, glazes, decoration, mark, made, measures, .. } = &find.record;
    let years = made.words();
    let prices: Vec<String> = [paid, asked].into_iter().flatten().map(Price::to_string).collect();
    words.push(place_found);
    words.extend(glazes.values().chain(decoration).chain(mark).map(|called| called.name.as_str()));
    words.extend(prices.iter().map(String::as_str));
    words.extend(measures.iter().flat_map(|measure| [measure.what.as_str(), measure.value.as_str()]));
    // By the word it is stored by too, whatever language was spoken when it was put in.
    words.extend([years.as_str(), status.stored(), status.words()]);
    fold(&words.join(" "))
}

/// What a piece is called and where it lies: words that count for more than those of a note where finds are put in order by what is searched for.
/// A space stands before each.
fn names_text(find: &Find) -> String {
    let Record { place_found, glazes, decoration, mark, .. } = &find.record;
    let mut words: Vec<&str> = glazes.values().chain(decoration).chain(mark).map(|called| called.name.as_str()).collect();
    if let Some(named) = &find.named {
        words.extend([named.form_name.as_str(), named.line_name.as_str()]);
    }
    words.extend([find.box_label.as_str(), place_found]);
    format!(" {} ", fold(&words.join(" ")))
}

/// Lays out every find that can be read anew. Done where the tables of lists and words came to be after the finds.
pub(super) fn lay_out_all(transaction: &Transaction<'_>, path: &Path) -> Result<(), DaybookError> {
    let sorted = |error| DaybookError::sort(error, path);
    let mut statement = transaction.prepare(&format!("SELECT {COLUMNS} FROM finds ORDER BY found_ms, id")).map_err(sorted)?;
    let mut rows = statement.query([]).map_err(sorted)?;
    while let Some(row) = rows.next().map_err(sorted)? {
        match read_find(transaction, row, path) {
            Ok(find) => lay_out(transaction, &find).map_err(sorted)?,
            // It still stands in lists, so that it is seen that there is something.
            Err(DaybookError::UnreadableFind { id, .. }) => {
                transaction
                    .execute(
                        "INSERT INTO listed (id, removed, found_ms, box, box_sort, standing)
                         SELECT id, removed_ms IS NOT NULL, found_ms, box_label, box_label, standing FROM finds WHERE id = ?1
                         ON CONFLICT (id) DO NOTHING",
                        [&id],
                    )
                    .map_err(sorted)?;
            }
            Err(other) => return Err(other),
        }
    }
    Ok(())
}

pub(super) fn to_json(value: &impl serde::Serialize) -> rusqlite::Result<String> {
    serde_json::to_string(value).map_err(|error| rusqlite::Error::ToSqlConversionFailure(Box::new(error)))
}

pub(super) fn find_by_id(connection: &Connection, id: FindId, path: &Path) -> Result<Option<Find>, DaybookError> {
    let sorted = |error| DaybookError::sort(error, path);
    let mut statement = connection.prepare(&format!("SELECT {COLUMNS} FROM finds WHERE id = ?1")).map_err(sorted)?;
    let mut rows = statement.query([id.to_string()]).map_err(sorted)?;
    rows.next().map_err(sorted)?.map(|row| read_find(connection, row, path)).transpose()
}

/// Reads a row of [`COLUMNS`] and the photographs that belong to it.
pub(super) fn read_find(connection: &Connection, row: &Row<'_>, path: &Path) -> Result<Find, DaybookError> {
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
