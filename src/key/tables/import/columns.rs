//! The columns of a table as features of a key, old and new.

use super::Addition;
use super::names::{Ids, beside, compared, tidy};
use super::problem::{ImportError, ImportProblem, LeftOut};
use crate::colour::Lab;
use crate::key::ids::{FeatureId, ValueId};
use crate::key::model::{Dimension, Feature, FeatureKind, Key, MeasureKind, Part, Unit, Value, View};
use crate::key::shape::Drawing;
use crate::key::tables::guess::fits;
use crate::key::tables::header::clip;
use crate::key::tables::mapping::{Mapping, Role, key_unit};
use crate::key::tables::quantity::ListUnit;
use crate::key::tables::table::{CellAt, Table};
use crate::key::words::{NotFound, Words, fold};
use std::collections::HashMap;

/// What a column says of a form.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Says {
    /// One or several values.
    Values { split: Option<char> },
    /// A measure in the feature's unit.
    Measure { unit: Unit, otherwise: ListUnit },
}

/// A column that is a feature.
#[derive(Debug, Clone)]
pub(super) struct Target {
    pub(super) column: usize,
    /// The feature's place in the key.
    pub(super) feature: usize,
    pub(super) says: Says,
}

/// The columns by what they are.
#[derive(Debug, Clone, Default)]
pub(super) struct Columns {
    pub(super) name: usize,
    pub(super) line: Option<usize>,
    pub(super) targets: Vec<Target>,
    pub(super) from: Vec<usize>,
    pub(super) to: Vec<usize>,
    pub(super) years: Vec<usize>,
    pub(super) notes: Vec<usize>,
}

fn quoted(table: &Table) -> Vec<String> {
    table.headers.iter().map(|header| format!("'{header}'")).collect()
}

/// Finds the columns of a mapping, and makes the features that the key lacks.
pub(super) fn find(
    key: &mut Key,
    words: &Words,
    table: &Table,
    mapping: &Mapping,
    additions: &mut Vec<Addition>,
    left_out: &mut Vec<LeftOut>,
    problems: &mut Vec<LeftOut>,
) -> Result<Columns, ImportError> {
    let mut columns = Columns::default();
    let mut name = None;
    let mut ids = Ids::of(key.features.iter().map(|feature| feature.id.as_str()));
    let mut new: HashMap<String, usize> = HashMap::new();
    for (header, role) in &mapping.columns {
        let none = || ImportError::NoColumn { column: header.clone(), columns: quoted(table) };
        let column = table.column(header).ok_or_else(none)?;
        let at = CellAt::column(u32::try_from(column + 1).unwrap_or(0));
        match role {
            Role::Name => name = name.or(Some(column)),
            Role::Line => columns.line = columns.line.or(Some(column)),
            Role::From => columns.from.push(column),
            Role::To => columns.to.push(column),
            Role::Years => columns.years.push(column),
            Role::Note => columns.notes.push(column),
            Role::Identifier | Role::Ignore => {}
            Role::Category { feature, .. } | Role::Colour { feature, .. } | Role::Measure { feature, .. } => {
                let feature = tidy(feature);
                let place = match known(key, words, &new, &feature) {
                    Ok(Some(place)) => place,
                    Ok(None) => {
                        if fold(&feature).is_empty() {
                            left_out.push(LeftOut { at, why: ImportProblem::NoWord { text: clip(&feature) } });
                            continue;
                        }
                        if let Some(nearest) = near(words.feature(&feature).err()) {
                            problems.push(LeftOut { at, why: ImportProblem::NearFeature { text: feature.clone(), nearest } });
                        }
                        key.features.push(make(ids.make(&feature), &feature, role));
                        additions.push(Addition::Feature(feature.clone()));
                        new.insert(compared(&feature), key.features.len() - 1);
                        key.features.len() - 1
                    }
                    Err(ambiguous) => {
                        left_out.push(LeftOut { at, why: ImportProblem::Ambiguous(ambiguous) });
                        continue;
                    }
                };
                let Some(found) = key.features.get(place) else { continue };
                match says(found, role) {
                    Ok(says) => columns.targets.push(Target { column, feature: place, says }),
                    Err(why) => left_out.push(LeftOut { at, why }),
                }
            }
        }
    }
    columns.name = name.ok_or_else(|| ImportError::NoNameColumn { columns: quoted(table) })?;
    Ok(columns)
}

/// The feature of that name, of the key or among the new.
fn known(key: &Key, words: &Words, new: &HashMap<String, usize>, name: &str) -> Result<Option<usize>, NotFound> {
    match words.feature(name) {
        Ok(id) => Ok(key.features.iter().position(|feature| feature.id == id)),
        Err(NotFound::Unknown { .. }) => Ok(new.get(&compared(name)).copied()),
        Err(ambiguous @ NotFound::Ambiguous { .. }) => Err(ambiguous),
    }
}

/// The nearest name of one that was not found.
pub(super) fn near(error: Option<NotFound>) -> Option<String> {
    match error {
        Some(NotFound::Unknown { nearest, .. }) => nearest.into_iter().next(),
        Some(NotFound::Ambiguous { .. }) | None => None,
    }
}

fn says(feature: &Feature, role: &Role) -> Result<Says, ImportProblem> {
    let other = |is, instead| ImportProblem::OtherKind { feature: feature.shown_name(), is, instead };
    match (&feature.kind, role) {
        (FeatureKind::Measure(kind), Role::Measure { unit, .. }) if fits(*unit, kind.unit) => {
            Ok(Says::Measure { unit: kind.unit, otherwise: *unit })
        }
        (FeatureKind::Measure(kind), Role::Measure { .. }) => {
            let is = match kind.unit {
                Unit::Mm => "a length",
                Unit::G => "a weight",
                Unit::Ml => "a volume",
                Unit::Count => "a count",
            };
            Err(other(is, "a measure in a unit of that sort"))
        }
        (FeatureKind::Measure(_), _) => Err(other("measured", "a measure")),
        (_, Role::Category { split, .. } | Role::Colour { split, .. }) => Ok(Says::Values { split: *split }),
        (_, _) => Err(other("chosen from values", "a feature")),
    }
}

/// A new feature. All belong to the body, which every form has; the keeper moves them where they belong.
fn make(id: String, name: &str, role: &Role) -> Feature {
    let folded = fold(name);
    let has = |words: &[&str]| words.iter().any(|word| folded.split(' ').any(|found| found == *word));
    let measured = matches!(role, Role::Measure { .. });
    let view = if measured || has(&["weight", "capacity", "ring", "touch"]) {
        View::Hand
    } else if has(&["foot", "mark", "base", "underneath", "backstamp"]) {
        View::Underneath
    } else if has(&["rim", "plan", "lid", "inside"]) {
        View::Above
    } else {
        View::Side
    };
    let kind = match role {
        Role::Measure { unit, .. } => {
            let unit = key_unit(*unit);
            let of = match folded.as_str() {
                "height" => Some(Dimension::BodyHeight),
                "diameter" => Some(Dimension::Greatest),
                "width" => Some(Dimension::Width),
                "rim diameter" => Some(Dimension::RimLong),
                "foot diameter" => Some(Dimension::Foot),
                _ => None,
            };
            FeatureKind::Measure(MeasureKind { unit, give_percent: None, of: of.filter(|_| unit == Unit::Mm) })
        }
        _ => FeatureKind::Choice(Vec::new()),
    };
    Feature {
        name: beside(&id, name),
        id: FeatureId::new(id),
        also: Vec::new(),
        part: Part::Body,
        view,
        kind,
        only_if: None,
        slip: 0.02,
        effort: if measured { 2.0 } else { 1.0 },
        look: String::new(),
    }
}

/// The values of one feature by the texts of its cells.
#[derive(Debug, Default)]
pub(super) struct Values {
    by_text: HashMap<String, Option<ValueId>>,
    new: HashMap<String, ValueId>,
    ids: Option<Ids>,
}

impl Values {
    /// The value that a text means, made where the feature has none so called. None where there can be none, which was then said.
    pub(super) fn of(
        &mut self,
        feature: &mut Feature,
        was_there: bool,
        words: &Words,
        text: &str,
        mut say: impl FnMut(Said, ImportProblem),
        additions: &mut Vec<Addition>,
    ) -> Option<ValueId> {
        if let Some(known) = self.by_text.get(text) {
            if let Some(value) = known {
                return Some(value.clone());
            }
            say(Said::LeftOut, refused(feature, was_there, words, text));
            return None;
        }
        let found = self.look(feature, was_there, words, text, &mut say, additions);
        self.by_text.insert(text.to_owned(), found.clone());
        found
    }

    fn look(
        &mut self,
        feature: &mut Feature,
        was_there: bool,
        words: &Words,
        text: &str,
        say: &mut impl FnMut(Said, ImportProblem),
        additions: &mut Vec<Addition>,
    ) -> Option<ValueId> {
        let mut nearest = None;
        if was_there {
            match words.value(&feature.id, text) {
                Ok(value) => return Some(value),
                Err(unknown @ NotFound::Unknown { .. }) => nearest = near(Some(unknown)),
                Err(NotFound::Ambiguous { .. }) => {
                    say(Said::LeftOut, refused(feature, was_there, words, text));
                    return None;
                }
            }
        }
        let shown = feature.shown_name();
        let name = tidy(text);
        let same = compared(&name);
        if let Some(value) = self.new.get(&same) {
            return Some(value.clone());
        }
        let FeatureKind::Choice(values) = &mut feature.kind else {
            say(Said::LeftOut, refused(feature, was_there, words, text));
            return None;
        };
        if same.is_empty() {
            say(Said::LeftOut, ImportProblem::NoWord { text: clip(text) });
            return None;
        }
        let ids = self.ids.get_or_insert_with(|| Ids::of(values.iter().map(|value| value.id.as_str())));
        let id = ids.make(&name);
        let value = ValueId::new(id.clone());
        let lab = hex(&name).map(Lab::from_srgb);
        values.push(Value {
            name: beside(&id, &name),
            id: value.clone(),
            also: Vec::new(),
            drawing: Drawing::None,
            lab,
            note: String::new(),
        });
        self.new.insert(same, value.clone());
        if was_there {
            if let Some(nearest) = nearest {
                say(Said::ToLookAt, ImportProblem::NearValue { feature: shown.clone(), text: clip(&name), nearest });
            }
            additions.push(Addition::Value { feature: shown, value: name });
        }
        Some(value)
    }
}

/// Whether a cell was left out or brought in all the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Said {
    LeftOut,
    ToLookAt,
}

fn refused(feature: &Feature, was_there: bool, words: &Words, text: &str) -> ImportProblem {
    match words.value(&feature.id, text) {
        Err(unknown @ NotFound::Unknown { .. }) if was_there && !fold(text).is_empty() => ImportProblem::Unknown(unknown),
        Err(ambiguous @ NotFound::Ambiguous { .. }) => ImportProblem::Ambiguous(ambiguous),
        _ => ImportProblem::NoWord { text: clip(text) },
    }
}

/// `#c0a080`
fn hex(text: &str) -> Option<[u8; 3]> {
    let digits = text.strip_prefix('#').filter(|digits| digits.len() == 6 && digits.bytes().all(|b| b.is_ascii_hexdigit()))?;
    let number = u32::from_str_radix(digits, 16).ok()?;
    let [_, r, g, b] = number.to_be_bytes();
    Some([r, g, b])
}
