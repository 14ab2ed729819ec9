//! The ids of a key, to look references up in.

use super::{Finding, Sink};
use crate::key::file::KeyFile;
use crate::key::load::Texts;
use crate::key::model::{Feature, FeatureKind, Key};
use crate::key::problem::{ProblemKind, nearest};
use crate::key::text::{State, Step};
use std::collections::{BTreeMap, HashMap, HashSet};

/// References of one key that get a suggestion; looking for the nearest of ten thousand names is slow.
const SUGGESTIONS: usize = 300;

/// Names that are looked at for all suggestions of one key together.
const NAMES_LOOKED_AT: usize = 300_000;

pub(super) struct Index<'k> {
    lists: BTreeMap<KeyFile, List<'k>>,
    pub(super) features: HashMap<&'k str, &'k Feature>,
    values: HashMap<&'k str, HashSet<&'k str>>,
}

struct List<'k> {
    ids: HashSet<&'k str>,
    /// In the order of the key, for suggestions.
    ordered: Vec<&'k str>,
    /// Ids of entries that are there but broken: no one is to be told that they are missing.
    broken: HashSet<String>,
    /// The file makes no sense, so that anything may be in it.
    unknown: bool,
}

impl<'k> Index<'k> {
    pub(super) fn new(key: &'k Key, texts: &Texts) -> Self {
        let list = |file: KeyFile, ids: Vec<&'k str>| {
            let text = texts.file(file);
            let here = text.file == file;
            let broken = text.entries.iter().filter(|e| here && !e.good).filter_map(|e| e.id.clone()).collect();
            let nameless = text.entries.iter().any(|e| here && !e.good && e.id.is_none());
            let unknown = here && text.state == State::Failed || nameless;
            (file, List { ids: ids.iter().copied().collect(), ordered: ids, broken, unknown })
        };
        let lists = BTreeMap::from([
            list(KeyFile::Features, key.features.iter().map(|x| x.id.as_str()).collect()),
            list(KeyFile::Lines, key.lines.iter().map(|x| x.id.as_str()).collect()),
            // Papers and finds may name a form that was retired.
            list(KeyFile::Forms, key.forms.iter().chain(key.retired.iter().map(|x| &x.form)).map(|x| x.id.as_str()).collect()),
            list(KeyFile::Glazes, key.glazes.iter().map(|x| x.id.as_str()).collect()),
            list(KeyFile::Decorations, key.decorations.iter().map(|x| x.id.as_str()).collect()),
            list(KeyFile::Marks, key.marks.iter().map(|x| x.id.as_str()).collect()),
            list(KeyFile::Papers, key.papers.iter().map(|x| x.id.as_str()).collect()),
            list(KeyFile::Counted, key.counted.iter().map(|x| x.id.as_str()).collect()),
            list(KeyFile::Retired, key.retired.iter().map(|x| x.form.id.as_str()).collect()),
        ]);
        let mut features = HashMap::new();
        let mut values = HashMap::new();
        for feature in &key.features {
            features.entry(feature.id.as_str()).or_insert(feature);
            if let FeatureKind::Choice(choice) = &feature.kind {
                values.entry(feature.id.as_str()).or_insert_with(|| choice.iter().map(|value| value.id.as_str()).collect());
            }
        }
        Self { lists, features, values }
    }

    /// True where nothing of what separates forms is missing, so that it can be said whether something does.
    pub(super) fn is_whole(&self) -> bool {
        [KeyFile::Features, KeyFile::Forms]
            .iter()
            .all(|file| self.lists.get(file).is_some_and(|list| !list.unknown && list.broken.is_empty()))
    }

    /// True where something of that id is in that file, or may be.
    pub(super) fn has(&self, file: KeyFile, id: &str) -> bool {
        self.lists.get(&file).is_some_and(|list| list.unknown || list.ids.contains(id) || list.broken.contains(id))
    }

    /// Tells of an id that is not in that file.
    pub(super) fn refer(&self, file: KeyFile, id: &str, steps: &[Step], sink: &mut Sink) {
        if !self.has(file, id) {
            let kind = ProblemKind::Unknown { of: file.word(), id: id.to_owned(), nearest: None };
            sink.push_to_suggest(steps, kind);
        }
    }

    /// Adds the nearest name to the first of the findings that want one.
    pub(super) fn suggest(&self, findings: &mut [Finding]) {
        let mut looked_at = 0;
        for (finding, _) in findings.iter_mut().filter(|finding| finding.wants_nearest).zip(0..SUGGESTIONS) {
            match &mut finding.kind {
                ProblemKind::Unknown { of, id, nearest: near } => {
                    let Some(list) = self.lists.iter().find(|(file, _)| file.word() == *of).map(|(_, list)| list) else { continue };
                    looked_at += list.ordered.len();
                    *near = nearest(id, list.ordered.iter().copied());
                }
                ProblemKind::UnknownValue { value, feature, nearest: near, .. } => {
                    let Some(FeatureKind::Choice(choice)) = self.features.get(feature.as_str()).map(|feature| &feature.kind) else {
                        continue;
                    };
                    looked_at += choice.len();
                    *near = nearest(value, choice.iter().map(|value| value.id.as_str()));
                }
                _ => {}
            }
            if looked_at > NAMES_LOOKED_AT {
                return;
            }
        }
    }

    /// True where a feature has that value, or may have it, or is a measure.
    pub(super) fn has_value(&self, feature: &Feature, value: &str) -> bool {
        match feature.kind {
            FeatureKind::Measure(_) => true,
            FeatureKind::Glaze => self.has(KeyFile::Glazes, value),
            FeatureKind::Decoration => self.has(KeyFile::Decorations, value),
            FeatureKind::Mark => self.has(KeyFile::Marks, value),
            FeatureKind::Choice(_) => self.values.get(feature.id.as_str()).is_none_or(|values| values.contains(value)),
        }
    }

    /// Tells of a value that a feature does not have.
    pub(super) fn refer_value(&self, feature: &Feature, value: &str, steps: &[Step], sink: &mut Sink) {
        let file = match feature.kind {
            FeatureKind::Measure(_) => return,
            FeatureKind::Glaze => KeyFile::Glazes,
            FeatureKind::Decoration => KeyFile::Decorations,
            FeatureKind::Mark => KeyFile::Marks,
            FeatureKind::Choice(_) => {
                if self.has_value(feature, value) {
                    return;
                }
                let known = match &feature.kind {
                    FeatureKind::Choice(values) if values.len() <= 8 => values.iter().map(|value| value.id.to_string()).collect(),
                    _ => Vec::new(),
                };
                let kind = ProblemKind::UnknownValue { value: value.to_owned(), feature: feature.id.to_string(), known, nearest: None };
                sink.push_to_suggest(steps, kind);
                return;
            }
        };
        self.refer(file, value, steps, sink);
    }
}
