//! Kinds of faults and grades: data, each entry with how it is known.

use crate::key::words::fold;
use crate::key::{Key, Loose, Problem, ProblemKind, Step};
use crate::say;
use serde::Deserialize;
use std::collections::BTreeSet;
use std::sync::LazyLock;

/// The rules that are built in.
pub(super) const BUILT_IN: &str = include_str!("../../../assets/condition.ron");

/// One entry of the file.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    id: String,
    #[serde(rename = "entry")]
    kind: EntryKind,
    basis: Basis,
    #[serde(default)]
    source: String,
}

/// How an entry is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
enum Basis {
    /// A source is named.
    Published,
    /// Habit of the trade, no source.
    CommonPractice,
    /// A choice of whoever wrote the entry.
    Choice,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
enum EntryKind {
    Kind {
        name: String,
        #[serde(default)]
        also: Vec<String>,
        #[serde(default)]
        says: String,
    },
    Grade {
        name: String,
        #[serde(default)]
        allows: Vec<Allowed>,
        #[serde(default)]
        anything: bool,
    },
}

/// A kind of fault.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FlawKind {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Other words for it.
    pub also: Vec<String>,
    /// What it is, in a line.
    pub says: String,
}

/// A grade.
#[derive(Debug, Clone, PartialEq)]
pub struct Grade {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// What it allows.
    pub allows: Vec<Allowed>,
    /// True where it allows everything.
    pub anything: bool,
}

/// A kind of fault that a grade allows.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Allowed {
    /// The kind's id.
    pub kind: String,
    /// How many of them at most; any number where it is left out.
    #[serde(default)]
    pub most: Option<u32>,
    /// How large each at most, in mm; any size where it is left out. One that was not measured may be larger.
    #[serde(default)]
    pub up_to_mm: Option<f64>,
}

/// Kinds and grades, ready for use.
#[derive(Debug, Clone, PartialEq)]
pub struct ConditionRules {
    /// The kinds, in the order they are offered.
    pub kinds: Vec<FlawKind>,
    /// The grades, best first. The last allows everything.
    pub grades: Vec<Grade>,
}

impl ConditionRules {
    /// The rules that are built in.
    pub fn built_in() -> &'static Self {
        static RULES: LazyLock<ConditionRules> = LazyLock::new(|| ConditionRules::of(&read("condition.ron", BUILT_IN).0));
        &RULES
    }

    /// Reads a file whose entries take the place of the built-in ones of the same id, and are added to the others (a grade before the last one). Also gives
    /// everything that is wrong; an entry with something wrong in it is not used.
    pub fn over_built_in(name: &str, text: &str) -> (Self, Vec<Problem>) {
        let (mut entries, _) = read("condition.ron", BUILT_IN);
        let (own, problems) = read(name, text);
        for entry in own {
            match entries.iter_mut().find(|known| known.id == entry.id) {
                Some(known) => *known = entry,
                None if matches!(entry.kind, EntryKind::Grade { .. }) => {
                    let last = entries.iter().rposition(|known| matches!(known.kind, EntryKind::Grade { .. }));
                    entries.insert(last.unwrap_or(entries.len()), entry);
                }
                None => entries.push(entry),
            }
        }
        (Self::of(&entries), problems)
    }

    fn of(entries: &[Entry]) -> Self {
        let mut rules = Self { kinds: Vec::new(), grades: Vec::new() };
        for Entry { id, kind, .. } in entries.iter().cloned() {
            match kind {
                EntryKind::Kind { name, also, says } => rules.kinds.push(FlawKind { id, name, also, says }),
                EntryKind::Grade { name, allows, anything } => rules.grades.push(Grade { id, name, allows, anything }),
            }
        }
        // Where nothing does, the last one allows what is left, so that every piece has a grade.
        if !rules.grades.iter().any(|grade| grade.anything)
            && let Some(last) = rules.grades.last_mut()
        {
            last.anything = true;
        }
        rules
    }

    /// The name of a kind; its id where the rules no longer have it.
    pub fn name_of<'a>(&'a self, kind: &'a str) -> &'a str {
        self.kinds.iter().find(|known| known.id == kind).map_or(kind, |known| known.name.as_str())
    }

    /// What the key says of a glaze that bears on its condition: the kind of fault it speaks of, and the note.
    pub fn notes_of(&self, key: &Key, glaze: &str) -> Vec<(&FlawKind, String)> {
        let Some(glaze) = key.glazes.iter().find(|known| known.id.as_str() == glaze) else { return Vec::new() };
        let notes = std::iter::once(glaze.note.as_str()).chain(glaze.claims.iter().map(|claim| claim.says.as_str()));
        notes
            .filter(|note| !note.is_empty())
            .filter_map(|note| {
                let words = format!(" {} ", fold(note));
                let kind = self
                    .kinds
                    .iter()
                    .find(|kind| std::iter::once(&kind.name).chain(&kind.also).any(|word| words.contains(&format!(" {} ", fold(word)))))?;
                Some((kind, format!("{}: {note}", glaze.name)))
            })
            .collect()
    }
}

fn read(name: &str, text: &str) -> (Vec<Entry>, Vec<Problem>) {
    let read = Loose::<Entry>::read(name, text, "condition rule");
    let mut problems = read.problems.clone();
    let mut seen = BTreeSet::new();
    let mut entries = Vec::new();
    for (number, entry) in read.entries.iter().enumerate() {
        let mut found = Vec::new();
        if entry.id.trim().is_empty() {
            found.push(("id", ProblemKind::NothingIn { what: say!("the id of a condition rule"), expected: say!("a short name") }));
        } else if !seen.insert(entry.id.clone()) {
            found.push(("id", ProblemKind::Twice { what: entry.id.clone(), list: say!("the condition rules") }));
        }
        if entry.basis == Basis::Published && entry.source.trim().is_empty() {
            found.push((
                "basis",
                ProblemKind::NothingIn { what: say!("the source of a published rule"), expected: say!("where it is published") },
            ));
        }
        found.extend(wrong(&entry.kind).map(|kind| ("entry", kind)));
        if found.is_empty() {
            entries.push(entry.clone());
        }
        problems.extend(found.into_iter().map(|(field, kind)| read.problem(number, &[Step::Field(field)], kind)));
    }
    problems.sort_by(|a, b| a.place.cmp(&b.place));
    (entries, problems)
}

fn wrong(entry: &EntryKind) -> Option<ProblemKind> {
    let (EntryKind::Kind { name, .. } | EntryKind::Grade { name, .. }) = entry;
    if name.trim().is_empty() {
        return Some(ProblemKind::NothingIn { what: say!("the name of a condition rule"), expected: say!("what it is called") });
    }
    let EntryKind::Grade { allows, .. } = entry else { return None };
    let size = allows.iter().filter_map(|allowed| allowed.up_to_mm).find(|mm| !(*mm > 0.0 && *mm <= super::LONGEST_MM))?;
    Some(ProblemKind::WrongSort {
        found: format!("'up_to_mm: {size}'"),
        expected: say!("a length above 0, at most 2000 mm").to_owned(),
        advice: String::new(),
    })
}
