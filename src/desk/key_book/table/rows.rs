//! Which forms and features are shown, and in which cells something is to be seen to. Worked out once for a key, the changes and what was chosen.

use super::draft::Draft;
use crate::desk::document::Document;
use crate::key::edit::cell;
use crate::key::{Condition, Feature, FeatureKind, Form, Key, LineId, Part};
use crate::say;
use std::collections::{BTreeMap, HashMap, HashSet};
use std::sync::Arc;

/// Which rows are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Show {
    /// All.
    #[default]
    All,
    /// Those of which something is not recorded.
    NotRecorded,
    /// Those that differ from most of their line.
    Differs,
    /// Those that were changed.
    Changed,
}

impl Show {
    pub(super) const ALL: [Self; 4] = [Self::All, Self::NotRecorded, Self::Differs, Self::Changed];

    pub(super) fn words(self) -> &'static str {
        match self {
            Self::All => say!(in "forms", "All"),
            Self::NotRecorded => say!("Not recorded"),
            Self::Differs => say!("Differs within the line"),
            Self::Changed => say!(in "forms", "Changed"),
        }
    }
}

/// What narrows the table.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Chosen {
    pub(super) typed: String,
    pub(super) line: Option<LineId>,
    pub(super) part: Option<Part>,
    pub(super) show: Show,
}

/// Rows and columns, by their places in the key.
#[derive(Debug, Default)]
pub(super) struct Laid {
    of: Option<(Arc<Key>, u64, Chosen)>,
    pub(super) rows: Vec<usize>,
    pub(super) columns: Vec<usize>,
    /// Cells, by row and column of the key, that what is shown is about.
    pub(super) marked: HashSet<(usize, usize)>,
}

impl Laid {
    /// True where it is of that key, those changes and that choice.
    pub(super) fn is_of(&self, doc: &Document, draft: &Draft, chosen: &Chosen) -> bool {
        self.of.as_ref().is_some_and(|(key, revision, of)| Arc::ptr_eq(key, &doc.key) && *revision == draft.revision && of == chosen)
    }

    /// Works it out.
    pub(super) fn new(doc: &Document, draft: &Draft, chosen: &Chosen) -> Self {
        let key = &doc.key;
        let columns: Vec<usize> =
            (0..key.features.len()).filter(|at| key.features.get(*at).is_some_and(|f| is_column(f, chosen))).collect();
        let found: Option<HashSet<String>> = (!chosen.typed.trim().is_empty())
            .then(|| doc.words.search_forms(&chosen.typed, key.forms.len()).into_iter().map(|hit| hit.form.to_string()).collect());
        // Line by line, as on the shelves.
        let place: HashMap<&str, usize> = key.lines.iter().enumerate().map(|(at, line)| (line.id.as_str(), at)).collect();
        let mut rows: Vec<usize> = (0..key.forms.len())
            .filter(|at| {
                key.forms.get(*at).is_some_and(|form| {
                    chosen.line.as_ref().is_none_or(|line| form.line == *line)
                        && found.as_ref().is_none_or(|found| found.contains(form.id.as_str()))
                        && chosen.part.is_none_or(|part| part == Part::Body || form.parts.contains(&part))
                })
            })
            .collect();
        rows.sort_by_key(|at| key.forms.get(*at).and_then(|form| place.get(form.line.as_str())).copied().unwrap_or(usize::MAX));
        let marked = marked(key, draft, &rows, &columns, chosen.show);
        if chosen.show != Show::All {
            let seen: HashSet<usize> = marked.iter().map(|(row, _)| *row).collect();
            rows.retain(|row| seen.contains(row));
        }
        Self { of: Some((Arc::clone(key), draft.revision, chosen.clone())), rows, columns, marked }
    }
}

fn is_column(feature: &Feature, chosen: &Chosen) -> bool {
    matches!(feature.kind, FeatureKind::Choice(_) | FeatureKind::Measure(_)) && chosen.part.is_none_or(|part| feature.part == part)
}

/// True where a form can have a feature, by its parts.
pub(super) fn applies(form: &Form, feature: &Feature) -> bool {
    let part = feature.part == Part::Body || form.parts.contains(&feature.part);
    part && match &feature.only_if {
        Some(Condition::Has(part)) => form.parts.contains(part),
        Some(Condition::Lacks(part)) => !form.parts.contains(part),
        Some(Condition::Is(..)) | None => true,
    }
}

fn marked(key: &Key, draft: &Draft, rows: &[usize], columns: &[usize], show: Show) -> HashSet<(usize, usize)> {
    let cells = || {
        rows.iter().flat_map(|row| columns.iter().map(move |column| (*row, *column))).filter_map(|(row, column)| {
            let (form, feature) = (key.forms.get(row)?, key.features.get(column)?);
            applies(form, feature).then_some((row, column, form, feature))
        })
    };
    match show {
        Show::All => HashSet::new(),
        Show::NotRecorded => cells().filter(|(_, _, form, f)| draft.record(form, &f.id).is_none()).map(|(r, c, ..)| (r, c)).collect(),
        Show::Changed => cells().filter(|(_, _, form, f)| draft.is_changed(&form.id, &f.id)).map(|(r, c, ..)| (r, c)).collect(),
        Show::Differs => {
            // What most forms of a line have, by the words of the record; of two as common the first by its words.
            let mut counts: BTreeMap<(&str, usize), BTreeMap<String, usize>> = BTreeMap::new();
            let choice = |feature: &Feature| matches!(feature.kind, FeatureKind::Choice(_));
            let said = |form: &Form, feature: &Feature| {
                draft.record(form, &feature.id).filter(|_| choice(feature)).map(|record| cell::text(key, feature, Some(record)))
            };
            for (_, column, form, feature) in cells() {
                if let Some(text) = said(form, feature) {
                    *counts.entry((form.line.as_str(), column)).or_default().entry(text).or_default() += 1;
                }
            }
            let most: BTreeMap<(&str, usize), String> = counts
                .into_iter()
                .filter_map(|(at, counts)| {
                    let all: usize = counts.values().sum();
                    let (text, n) = counts.into_iter().max_by(|a, b| a.1.cmp(&b.1).then_with(|| b.0.cmp(&a.0)))?;
                    // Where half or more of a line differ there is nothing that most of them have.
                    (n * 2 > all && all > 2).then_some((at, text))
                })
                .collect();
            cells()
                .filter(|(_, column, form, feature)| {
                    let usual = most.get(&(form.line.as_str(), *column));
                    usual.is_some_and(|usual| said(form, feature).is_some_and(|text| text != *usual))
                })
                .map(|(row, column, ..)| (row, column))
                .collect()
        }
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::indexing_slicing, clippy::iter_over_hash_type, reason = "tests")]
    use super::*;
    use crate::desk::document::KeyPlace;
    use crate::key::builtin;

    #[test]
    fn the_rows_are_those_of_what_is_shown() {
        let doc = Document::new(builtin::demo().key, KeyPlace::default());
        let mut draft = Draft::default();
        let laid = |draft: &Draft, show: Show, line: Option<LineId>| Laid::new(&doc, draft, &Chosen { line, show, ..Chosen::default() });
        let all = laid(&draft, Show::All, None);
        assert_eq!((all.rows.len(), all.marked.len()), (doc.key.forms.len(), 0));
        let line = |row: &usize| doc.key.forms.get(*row).map(|form| form.line.clone());
        let quoin = laid(&draft, Show::All, Some("quoin".into()));
        assert!(!quoin.rows.is_empty() && quoin.rows.iter().all(|row| line(row) == Some("quoin".into())));
        let missing = laid(&draft, Show::NotRecorded, None);
        for (row, column) in &missing.marked {
            let (form, feature) = (&doc.key.forms[*row], &doc.key.features[*column]);
            assert!(form.features.get(&feature.id).is_none_or(|record| *record == crate::key::Record::NotRecorded));
        }
        assert_eq!(laid(&draft, Show::Changed, None).rows, [0_usize; 0]);
        let form = &doc.key.forms[0];
        let column = all.columns.iter().find(|at| applies(form, &doc.key.features[**at])).copied().unwrap_or_default();
        let feature = &doc.key.features[column];
        draft.set(&doc.key, String::new(), vec![(form.id.clone(), feature.id.clone(), Some(crate::key::Record::DoesNotApply))]);
        let changed = laid(&draft, Show::Changed, None);
        assert_eq!((changed.rows, changed.marked), (vec![0], HashSet::from([(0, column)])));
        let differs = laid(&draft, Show::Differs, None);
        assert!(differs.marked.len() < all.rows.len() * all.columns.len() / 2, "most of a line is alike: {}", differs.marked.len());
        assert!(!differs.marked.is_empty());
    }
}
