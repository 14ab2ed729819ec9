//! Counting the finds of a key, in one pass over what they are listed by.

use super::super::book::Daybook;
use super::super::error::DaybookError;
use super::super::find::{FindId, Standing};
use super::super::laid_out::{before_value, of_value, value_in};
use crate::key::edit::into_which;
use crate::key::{DecorationId, FeatureId, FeatureKind, FormId, GlazeId, Key, Part};
use jiff::Timestamp;
use rusqlite::params;
use std::collections::{BTreeMap, HashMap};

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

/// How many finds of a form, glaze and decoration were counted so far.
#[derive(Debug, Clone, Copy)]
struct Counted {
    finds: u64,
    settled: u64,
    first_ms: i64,
    last_ms: i64,
}

impl Counted {
    fn add(&mut self, other: Self) {
        self.finds += other.finds;
        self.settled += other.settled;
        self.first_ms = self.first_ms.min(other.first_ms);
        self.last_ms = self.last_ms.max(other.last_ms);
    }
}

/// A form and what was seen of its glaze and decoration, by the numbers of their [`Names`].
type Spot = (usize, [Option<usize>; 2]);

/// Names by numbers, in the order they were met.
#[derive(Debug, Default)]
struct Names {
    numbers: HashMap<String, usize>,
    names: Vec<String>,
}

impl Names {
    fn number(&mut self, name: &str) -> usize {
        if let Some(number) = self.numbers.get(name) {
            return *number;
        }
        self.numbers.insert(name.to_owned(), self.names.len());
        self.names.push(name.to_owned());
        self.names.len() - 1
    }

    fn name(&self, number: usize) -> &str {
        self.names.get(number).map_or("", String::as_str)
    }
}

impl Daybook {
    /// Counts the finds of a key that were taken for a form, by form, glaze and decoration, in their order.
    ///
    /// # Errors
    /// [`DaybookError::Busy`], [`DaybookError::Damaged`] and the like.
    pub fn tally(&self, question: &TallyQuestion) -> Result<Vec<Tally>, DaybookError> {
        let sorted = |error| DaybookError::sort(error, &self.path);
        let mut statement = self
            .connection
            .prepare(
                "SELECT form_id, said, standing = ?2, found_ms FROM listed WHERE removed = 0 AND form_id IS NOT NULL AND key_folder = ?1",
            )
            .map_err(sorted)?;
        let mut rows = statement.query(params![question.folder, Standing::Settled.stored()]).map_err(sorted)?;
        let before = [&question.glaze, &question.decoration].map(|feature| feature.as_ref().map(|id| before_value(id.as_str())));
        let (mut forms, mut values) = (Names::default(), Names::default());
        let mut places: HashMap<Spot, usize> = HashMap::new();
        let mut counted: Vec<(Spot, Counted)> = Vec::new();
        while let Some(row) = rows.next().map_err(sorted)? {
            let text = |column: usize| row.get_ref(column).and_then(|text| Ok(text.as_str()?)).map_err(sorted);
            let said = text(1)?;
            let seen = before.each_ref().map(|before| Some(values.number(value_in(said, before.as_ref()?)?)));
            let spot = (forms.number(text(0)?), seen);
            let (settled, ms): (bool, i64) = (row.get(2).map_err(sorted)?, row.get(3).map_err(sorted)?);
            let one = Counted { finds: 1, settled: u64::from(settled), first_ms: ms, last_ms: ms };
            if let Some((_, known)) = places.get(&spot).and_then(|place| counted.get_mut(*place)) {
                known.add(one);
            } else {
                places.insert(spot, counted.len());
                counted.push((spot, one));
            }
        }
        let mut joined: BTreeMap<(FormId, Option<GlazeId>, Option<DecorationId>), Counted> = BTreeMap::new();
        for ((form, [glaze, decoration]), counted) in counted {
            let form = FormId::new(forms.name(form));
            let form = question.heirs.get(&form).cloned().unwrap_or(form);
            let spot = (form, glaze.map(|n| GlazeId::new(values.name(n))), decoration.map(|n| DecorationId::new(values.name(n))));
            joined.entry(spot).and_modify(|known| known.add(counted)).or_insert(counted);
        }
        let time = |ms| Timestamp::from_millisecond(ms).unwrap_or_default();
        let tally = |((form, glaze, decoration), counted): (_, Counted)| Tally {
            form,
            glaze,
            decoration,
            finds: counted.finds,
            settled: counted.settled,
            first: time(counted.first_ms),
            last: time(counted.last_ms),
        };
        Ok(joined.into_iter().map(tally).collect())
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
        let mut statement = self
            .connection
            .prepare(
                "SELECT id FROM listed WHERE removed = 0 AND form_id IN (SELECT value FROM json_each(?1)) AND key_folder = ?2
                    AND (instr(said, ?3) > 0) = ?4
                 ORDER BY found_ms, id",
            )
            .map_err(sorted)?;
        // Every find has nothing of a feature that there is not.
        let part = match (feature, value) {
            (Some(feature), Some(value)) => of_value(feature.as_str(), value),
            (Some(feature), None) => before_value(feature.as_str()),
            (None, Some(_)) => return Ok(Vec::new()),
            (None, None) => before_value(""),
        };
        let values = params![question.ids_of(form), question.folder, part, value.is_some()];
        let rows = statement.query_map(values, |row| row.get::<_, String>(0)).map_err(sorted)?;
        let mut found = Vec::new();
        for id in rows {
            let id = id.map_err(sorted)?;
            found.push(id.parse().map_err(|error: uuid::Error| DaybookError::UnreadableFind { id, detail: error.to_string() })?);
        }
        Ok(found)
    }
}
