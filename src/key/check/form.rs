//! One form: its references, its records, its shape.

use super::Sink;
use super::entries::{above_zero, claims, papers, years};
use super::index::Index;
use super::shape;
use crate::key::file::KeyFile;
use crate::key::ids::ValueId;
use crate::key::model::{Condition, Feature, FeatureKind, Form, Held, How, Part, Record};
use crate::key::problem::ProblemKind;
use crate::key::text::Step;
use crate::say;
use std::collections::BTreeSet;

pub(super) fn check(form: &Form, index: &Index<'_>, sink: &mut Sink) {
    index.refer(KeyFile::Lines, form.line.as_str(), &[Step::Field("line")], sink);
    above_zero(say!("the weight"), form.weight, &[Step::Field("weight")], sink);
    years(form.made, sink);
    claims(&form.claims, index, sink);
    parts(form, sink);
    shape::check(form, sink);
    held(&form.borrowed_by, "borrowed_by", KeyFile::Lines, index, sink);
    held(&form.glazes, "glazes", KeyFile::Glazes, index, sink);
    held(&form.decorations, "decorations", KeyFile::Decorations, index, sink);
    held(&form.marks, "marks", KeyFile::Marks, index, sink);
    for (i, borrower) in form.borrowed_by.iter().enumerate() {
        if borrower.id == form.line {
            sink.push(&[Step::Field("borrowed_by"), Step::At(i)], ProblemKind::BorrowedByItsOwn { line: form.line.to_string() });
        }
    }
    for (id, record) in &form.features {
        match index.features.get(id.as_str()) {
            Some(feature) => check_record(form, feature, record, index, sink),
            None if index.has(KeyFile::Features, id.as_str()) => {}
            None => index.refer(KeyFile::Features, id.as_str(), &[Step::Field("features"), Step::Name(id.to_string())], sink),
        }
    }
}

fn parts(form: &Form, sink: &mut Sink) {
    if !form.parts.contains(&Part::Body) {
        sink.push(&[Step::Field("parts")], ProblemKind::NoBody);
    }
    let mut seen = BTreeSet::new();
    for (i, part) in form.parts.iter().enumerate() {
        if !seen.insert(part) {
            sink.push(&[Step::Field("parts"), Step::At(i)], ProblemKind::Twice { what: format!("{part:?}"), list: "parts" });
        }
    }
}

fn held<Id: AsRef<str>>(list: &[Held<Id>], field: &'static str, file: KeyFile, index: &Index<'_>, sink: &mut Sink) {
    let mut seen = BTreeSet::new();
    for (i, held) in list.iter().enumerate() {
        let here = [Step::Field(field), Step::At(i)];
        let id = held.id.as_ref();
        index.refer(file, id, &[&here[..], &[Step::Field("id")]].concat(), sink);
        papers(&held.papers, &here, index, sink);
        if !seen.insert(id) {
            sink.push(&here, ProblemKind::Twice { what: id.to_owned(), list: field });
        }
    }
}

fn check_record(form: &Form, feature: &Feature, record: &Record, index: &Index<'_>, sink: &mut Sink) {
    let at = || [Step::Field("features"), Step::Key(feature.id.to_string())];
    if matches!(record, Record::NotRecorded | Record::DoesNotApply) {
        return;
    }
    let measured = matches!(feature.kind, FeatureKind::Measure(_));
    match record {
        Record::Always(value) if !measured => {
            if !index.has_value(feature, value.as_str()) {
                index.refer_value(feature, value.as_str(), &[&at()[..], &[Step::At(0)]].concat(), sink);
            }
        }
        Record::Values(values) if !measured => {
            if values.is_empty() {
                sink.push(&at(), ProblemKind::NothingIn { what: say!("the record"), expected: say!("one value or more, or NotRecorded") });
            }
            if values.values().any(|often| often.times().is_some()) && values.values().any(|often| often.times().is_none()) {
                sink.push(&at(), ProblemKind::CountsAndWords { feature: feature.id.to_string() });
            }
            for value in values.keys() {
                if !index.has_value(feature, value.as_str()) {
                    index.refer_value(feature, value.as_str(), &[&at()[..], &[Step::At(0), Step::Name(value.to_string())]].concat(), sink);
                }
            }
        }
        Record::Between(from, to) if measured => {
            for x in [from, to] {
                if !(*x >= 0.0 && x.is_finite()) {
                    sink.push(
                        &at(),
                        ProblemKind::OutOfBounds { what: say!("the measure"), found: x.to_string(), expected: say!("0 or more") },
                    );
                }
            }
            if from > to {
                sink.push(&at(), ProblemKind::Backwards { what: say!("the measures"), from: from.to_string(), to: to.to_string() });
            }
        }
        _ => {
            let (is, recorded, instead) = if measured {
                (say!(in "a kind of feature", "measured"), say!("values"), "Between(least, greatest)")
            } else {
                (say!("chosen from values"), say!("measures"), "Always(\"value\") or Values({\"value\": Usually})")
            };
            sink.push(&at(), ProblemKind::WrongRecord { feature: feature.id.to_string(), is, recorded, instead });
        }
    }
    applies(form, feature, index, sink);
}

/// Tells of a record of a feature that the form cannot have.
fn applies(form: &Form, feature: &Feature, index: &Index<'_>, sink: &mut Sink) {
    let at = || [Step::Field("features"), Step::Name(feature.id.to_string())];
    if !form.parts.contains(&feature.part) && feature.part != Part::Body {
        sink.push(
            &at(),
            ProblemKind::FeatureOfLackingPart {
                feature: feature.id.to_string(),
                part: feature.part.word(),
                part_word: format!("{:?}", feature.part),
            },
        );
        return;
    }
    let broken = match &feature.only_if {
        Some(Condition::Has(part)) if !form.parts.contains(part) => Some(say!("if the form has a {part}", part = part.word())),
        Some(Condition::Lacks(part)) if form.parts.contains(part) => Some(say!("if the form has no {part}", part = part.word())),
        Some(Condition::Is(other, values)) => {
            let can_be = |value: &ValueId| values.contains(value);
            let met = match form.features.get(other) {
                Some(Record::Always(value)) => can_be(value),
                Some(Record::Values(found)) => found.keys().any(can_be),
                Some(Record::DoesNotApply) => false,
                Some(Record::Between(..) | Record::NotRecorded) | None => true,
            };
            (!met).then(|| {
                let name = index.features.get(other.as_str()).map_or_else(|| other.to_string(), |other| other.shown_name());
                let values: Vec<&str> = values.iter().map(ValueId::as_str).collect();
                say!("if the {name} is {values}", name, values = crate::key::problem::or_list(&values))
            })
        }
        Some(Condition::Has(_) | Condition::Lacks(_)) | None => None,
    };
    if let Some(condition) = broken {
        sink.push(&at(), ProblemKind::FeatureDoesNotApply { feature: feature.id.to_string(), condition });
    }
}

/// The values of what a form is claimed with, without what was refuted.
pub(super) fn held_ids<Id: AsRef<str>>(list: &[Held<Id>]) -> impl Iterator<Item = &str> {
    list.iter().filter(|held| held.how != How::Refuted).map(|held| held.id.as_ref())
}
