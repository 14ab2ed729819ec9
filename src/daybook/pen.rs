//! Finds written as rows: whole, for lists, and as the words they are found by, each time in the same transaction.

use super::book::ChangeKind;
use super::error::DaybookError;
use super::find::{Find, Photograph};
use super::fold::natural;
use super::laid_out::{names_text, said_alone, search_text, sure};
use super::record::{Called, Price};
use super::row::{Reader, to_json};
use jiff::ZonedDateTime;
use rusqlite::{Statement, Transaction, params};
use std::path::Path;

/// The statements that write finds, read by SQLite once for a whole step.
pub(super) struct Pen<'t> {
    find: Statement<'t>,
    photographs_out: Statement<'t>,
    photograph: Statement<'t>,
    listed: Statement<'t>,
    words_out: Statement<'t>,
    words: Statement<'t>,
    history: Statement<'t>,
}

impl<'t> Pen<'t> {
    pub(super) fn new(transaction: &'t Transaction<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            find: transaction.prepare(
                "INSERT INTO finds (id, revision, found_at, found_ms, key_title, key_folder, form_id, form_name, line_name, verdict, probability,
                                    standing, piece, box_label, note, record)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16)
                 ON CONFLICT (id) DO UPDATE SET revision = ?2, found_at = ?3, found_ms = ?4, key_title = ?5, key_folder = ?6, form_id = ?7,
                    form_name = ?8, line_name = ?9, verdict = ?10, probability = ?11, standing = ?12, piece = ?13, box_label = ?14, note = ?15,
                    record = ?16",
            )?,
            photographs_out: transaction.prepare("DELETE FROM photographs WHERE find_id = ?1")?,
            photograph: transaction.prepare(
                "INSERT INTO photographs (find_id, place, hash, format, kind, quarter_turns, crop_left, crop_top, crop_width, crop_height, name, caption)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
            )?,
            listed: transaction.prepare(
                "INSERT INTO listed (id, removed, found_ms, form_id, form, form_sort, line, box, box_sort, status, standing, sure, glaze, decoration,
                                     mark, place, place_sort, made_from, made_to, decorated_from, pieces, photographs, paid_sort, asked_sort, names,
                                     faults, key_folder, said)
                 VALUES (?1, (SELECT removed_ms IS NOT NULL FROM finds WHERE id = ?1), ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15,
                         ?16, ?17, ?18, ?19, ?20, ?21, ?22, ?23, ?24, ?25, ?26, ?27)
                 ON CONFLICT (id) DO UPDATE SET removed = excluded.removed, found_ms = ?2, form_id = ?3, form = ?4, form_sort = ?5, line = ?6,
                    box = ?7, box_sort = ?8, status = ?9, standing = ?10, sure = ?11, glaze = ?12, decoration = ?13, mark = ?14, place = ?15,
                    place_sort = ?16, made_from = ?17, made_to = ?18, decorated_from = ?19, pieces = ?20, photographs = ?21, paid_sort = ?22,
                    asked_sort = ?23, names = ?24, faults = ?25, key_folder = ?26, said = ?27
                 RETURNING number",
            )?,
            words_out: transaction.prepare("DELETE FROM words WHERE rowid = ?1")?,
            words: transaction.prepare("INSERT INTO words (rowid, search) VALUES (?1, ?2)")?,
            history: transaction.prepare("INSERT INTO history (find_id, revision, at, what, find) VALUES (?1, ?2, ?3, ?4, ?5)")?,
        })
    }

    /// Writes the rows of a find, over those it may have. `before` is the find as those rows have it, where that is known: what is as it was need not be
    /// written again.
    pub(super) fn write(&mut self, find: &Find, revision: u32, before: Option<&Find>) -> rusqlite::Result<()> {
        let id = find.id.to_string();
        let (form_id, form_name, line_name) = match &find.named {
            Some(named) => (Some(named.form.as_str()), Some(&named.form_name), Some(&named.line_name)),
            None => (None, None, None),
        };
        self.find.execute(params![
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
        if before.is_none_or(|before| before.photographs != find.photographs) {
            self.write_photographs(&id, &find.photographs)?;
        }
        self.lay_out(find, before)
    }

    fn write_photographs(&mut self, id: &str, photographs: &[Photograph]) -> rusqlite::Result<()> {
        self.photographs_out.execute([id])?;
        for (place, Photograph { hash, format, kind, edit, name, caption }) in (0_i64..).zip(photographs) {
            let crop = edit.crop;
            self.photograph.execute(params![
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
        Ok(())
    }

    /// Writes what a find is listed and found by. Whether it is taken out is read from its row.
    fn lay_out(&mut self, find: &Find, before: Option<&Find>) -> rusqlite::Result<()> {
        let record = &find.record;
        let name = |called: Option<&Called>| called.map_or("", |called| called.name.as_str()).to_owned();
        let (form, line) = find.named.as_ref().map_or(("", ""), |named| (named.form_name.as_str(), named.line_name.as_str()));
        let price = |price: &Option<Price>| price.as_ref().map(Price::sort_text).unwrap_or_default();
        let (glaze, decoration, mark) = (name(record.main_glaze()), name(record.decoration.as_ref()), name(record.mark.as_ref()));
        let number: i64 = self.listed.query_row(
            params![
                find.id.to_string(),
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
                find.key.folder,
                said_alone(&find.piece),
            ],
            |row| row.get(0),
        )?;
        let text = search_text(find);
        if before.is_none_or(|before| search_text(before) != text) {
            // A row of `words` is written as a whole; FTS5 has no upsert.
            self.words_out.execute([number])?;
            self.words.execute(params![number, text])?;
        }
        Ok(())
    }

    /// Writes a line of the history.
    pub(super) fn remember(&mut self, find: &Find, revision: u32, what: ChangeKind, now: &ZonedDateTime) -> rusqlite::Result<()> {
        let after = Find { revision, ..find.clone() };
        self.history.execute(params![find.id.to_string(), revision, now.to_string(), what.word(), to_json(&after)?]).map(|_rows| ())
    }
}

/// Lays out every find that can be read anew. Done where the tables of lists and words came to be after the finds.
pub(super) fn lay_out_all(transaction: &Transaction<'_>, path: &Path) -> Result<(), DaybookError> {
    let sorted = |error| DaybookError::sort(error, path);
    let mut pen = Pen::new(transaction).map_err(sorted)?;
    let mut reader = Reader::new(transaction, path)?;
    let mut ids = transaction.prepare("SELECT id FROM finds ORDER BY found_ms, id").map_err(sorted)?;
    let mut rows = ids.query([]).map_err(sorted)?;
    while let Some(row) = rows.next().map_err(sorted)? {
        let id: String = row.get(0).map_err(sorted)?;
        match reader.find_of(&id) {
            Ok(Some(find)) => pen.lay_out(&find, None).map_err(sorted)?,
            Ok(None) => {}
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
