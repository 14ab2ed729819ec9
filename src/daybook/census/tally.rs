//! Counting the finds of a key, in one question to SQLite.

use super::super::book::Daybook;
use super::super::error::DaybookError;
use super::super::find::{FindId, Standing};
use crate::key::edit::into_which;
use crate::key::{DecorationId, FeatureId, FeatureKind, FormId, GlazeId, Key, Part};
use jiff::Timestamp;
use rusqlite::params;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

/// Which finds are counted, and which answers say their glaze and decoration.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TallyQuestion {
    /// The folder name of the key the finds were named by.
    pub folder: String,
    /// The feature that says the glaze; none in a key that has no such feature.
    pub glaze: Option<FeatureId>,
    /// The feature that says the decoration.
    pub decoration: Option<FeatureId>,
    /// Retired forms, each with the one form that took its place: finds of it are counted there.
    pub heirs: BTreeMap<FormId, FormId>,
}

impl TallyQuestion {
    /// The finds of a key, by its features of glaze and decoration: those of the body where there are several.
    pub fn of(key: &Key, folder: &str) -> Self {
        let feature = |kind: &FeatureKind| {
            let mut all: Vec<_> = key.features.iter().filter(|feature| feature.kind == *kind).collect();
            all.sort_by_key(|feature| feature.part != Part::Body);
            all.first().map(|feature| feature.id.clone())
        };
        let heir = |id: &FormId| match into_which(key, id).as_slice() {
            [one] => Some((id.clone(), one.clone())),
            // Of a form that was cut in two it cannot be known which a find was.
            _ => None,
        };
        let heirs = key.retired.iter().filter_map(|retired| heir(&retired.form.id)).collect();
        Self { folder: folder.to_owned(), glaze: feature(&FeatureKind::Glaze), decoration: feature(&FeatureKind::Decoration), heirs }
    }

    /// The ids under which finds of a form may have been recorded, as a JSON list.
    fn ids_of(&self, form: &FormId) -> String {
        let earlier = self.heirs.iter().filter(|(_, heir)| *heir == form).map(|(id, _)| id.as_str());
        let ids: Vec<&str> = std::iter::once(form.as_str()).chain(earlier).collect();
        serde_json::json!(ids).to_string()
    }
}

/// How many finds of one form, glaze and decoration there are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tally {
    /// The form they were taken for.
    pub form: FormId,
    /// The one glaze that was seen; none where none was, or several may be.
    pub glaze: Option<GlazeId>,
    /// The one decoration that was seen; none where none was, or several may be.
    pub decoration: Option<DecorationId>,
    /// All finds that are not removed.
    pub finds: u64,
    /// Those whose verdict was settled.
    pub settled: u64,
    /// When the first of them was recorded.
    pub first: Timestamp,
    /// When the last of them was recorded.
    pub last: Timestamp,
}

/// The one value that was seen of a feature. `?` stands for the feature's id, as a parameter's number.
fn seen(parameter: &str) -> String {
    format!(
        "(SELECT answer.value ->> '$.seen.Values[0]' FROM json_each(finds.piece, '$.observations') AS answer
          WHERE answer.value ->> '$.feature' = {parameter} AND json_array_length(answer.value, '$.seen.Values') = 1)"
    )
}

impl Daybook {
    /// Counts the finds of a key that were taken for a form, by form, glaze and decoration, in their order.
    ///
    /// # Errors
    /// [`DaybookError::Busy`], [`DaybookError::Damaged`] and the like.
    pub fn tally(&self, question: &TallyQuestion) -> Result<Vec<Tally>, DaybookError> {
        let sorted = |error| DaybookError::sort(error, &self.path);
        let sql = format!(
            "SELECT form_id, {glaze} AS glaze, {decoration} AS decoration, count(*), sum(standing = ?4), min(found_ms), max(found_ms)
             FROM finds WHERE removed_ms IS NULL AND form_id IS NOT NULL AND key_folder = ?3
             GROUP BY form_id, glaze, decoration ORDER BY form_id, glaze, decoration",
            glaze = seen("?1"),
            decoration = seen("?2"),
        );
        let mut statement = self.connection.prepare(&sql).map_err(sorted)?;
        let id = |feature: &Option<FeatureId>| feature.as_ref().map(ToString::to_string);
        let values = params![id(&question.glaze), id(&question.decoration), question.folder, Standing::Settled.stored()];
        let count = |row: &rusqlite::Row<'_>, column| row.get::<_, i64>(column).map(i64::unsigned_abs);
        let time =
            |row: &rusqlite::Row<'_>, column| row.get::<_, i64>(column).map(|ms| Timestamp::from_millisecond(ms).unwrap_or_default());
        let rows = statement
            .query_map(values, |row| {
                Ok(Tally {
                    form: FormId::new(row.get::<_, String>(0)?),
                    glaze: row.get::<_, Option<String>>(1)?.map(GlazeId::new),
                    decoration: row.get::<_, Option<String>>(2)?.map(DecorationId::new),
                    finds: count(row, 3)?,
                    settled: count(row, 4)?,
                    first: time(row, 5)?,
                    last: time(row, 6)?,
                })
            })
            .map_err(sorted)?;
        let mut joined: BTreeMap<(FormId, Option<GlazeId>, Option<DecorationId>), Tally> = BTreeMap::new();
        for row in rows {
            let mut row = row.map_err(sorted)?;
            if let Some(heir) = question.heirs.get(&row.form) {
                row.form = heir.clone();
            }
            match joined.entry((row.form.clone(), row.glaze.clone(), row.decoration.clone())) {
                Entry::Vacant(place) => {
                    place.insert(row);
                }
                Entry::Occupied(mut known) => {
                    let known = known.get_mut();
                    known.finds += row.finds;
                    known.settled += row.settled;
                    known.first = known.first.min(row.first);
                    known.last = known.last.max(row.last);
                }
            }
        }
        Ok(joined.into_values().collect())
    }

    /// The finds of one form in one glaze (none: those whose glaze was not seen), oldest first.
    ///
    /// # Errors
    /// As [`Daybook::tally`].
    pub fn finds_in_glaze(&self, question: &TallyQuestion, form: &FormId, glaze: Option<&GlazeId>) -> Result<Vec<FindId>, DaybookError> {
        self.finds_of(question, form, question.glaze.as_ref(), glaze.map(GlazeId::as_str))
    }

    /// The finds of one form with one decoration (none: those on which none was seen), oldest first.
    ///
    /// # Errors
    /// As [`Daybook::tally`].
    pub fn finds_with_decoration(
        &self,
        question: &TallyQuestion,
        form: &FormId,
        decoration: Option<&DecorationId>,
    ) -> Result<Vec<FindId>, DaybookError> {
        self.finds_of(question, form, question.decoration.as_ref(), decoration.map(DecorationId::as_str))
    }

    fn finds_of(
        &self,
        question: &TallyQuestion,
        form: &FormId,
        feature: Option<&FeatureId>,
        value: Option<&str>,
    ) -> Result<Vec<FindId>, DaybookError> {
        let sorted = |error| DaybookError::sort(error, &self.path);
        let sql = format!(
            "SELECT id FROM finds WHERE removed_ms IS NULL AND form_id IN (SELECT value FROM json_each(?2)) AND key_folder = ?3 AND {} IS ?4 ORDER BY found_ms, id",
            seen("?1")
        );
        let mut statement = self.connection.prepare(&sql).map_err(sorted)?;
        let values = params![feature.map(ToString::to_string), question.ids_of(form), question.folder, value];
        let rows = statement.query_map(values, |row| row.get::<_, String>(0)).map_err(sorted)?;
        let mut found = Vec::new();
        for id in rows {
            let id = id.map_err(sorted)?;
            found.push(id.parse().map_err(|error: uuid::Error| DaybookError::UnreadableFind { id, detail: error.to_string() })?);
        }
        Ok(found)
    }
}
