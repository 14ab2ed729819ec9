//! Forms that nothing tells apart, and features that nobody recorded.

use super::form::held_ids;
use super::{Sink, place_of};
use crate::key::file::KeyFile;
use crate::key::load::Texts;
use crate::key::model::{Feature, FeatureKind, Form, Key, Record};
use crate::key::problem::ProblemKind;
use crate::key::text::Step;
use std::collections::{BTreeMap, HashMap};

/// Pairs that are told of. A key that has more needs another look as a whole.
const MOST_PAIRS: usize = 100;

pub(super) fn check(key: &Key, texts: &Texts, sink: &mut Sink) {
    never_recorded(key, sink);
    for (a, b) in pairs(key) {
        let (Some(one), Some(other)) = (key.forms.get(b), key.forms.get(a)) else { continue };
        sink.at(KeyFile::Forms, b);
        let first = place_of(texts, KeyFile::Forms, a, "id");
        sink.push(&[Step::Field("id")], ProblemKind::NotToldApart { one: key.full_name(one), other: key.full_name(other), first });
    }
}

fn never_recorded(key: &Key, sink: &mut Sink) {
    if key.forms.is_empty() {
        return;
    }
    let mut recorded: HashMap<&str, bool> = key.features.iter().map(|feature| (feature.id.as_str(), false)).collect();
    for (feature, record) in key.forms.iter().flat_map(|form| &form.features) {
        if !matches!(record, Record::NotRecorded | Record::DoesNotApply)
            && let Some(found) = recorded.get_mut(feature.as_str())
        {
            *found = true;
        }
    }
    for (at, feature) in key.features.iter().enumerate() {
        let by_list = match feature.kind {
            FeatureKind::Glaze => key.forms.iter().any(|form| !form.glazes.is_empty()),
            FeatureKind::Decoration => key.forms.iter().any(|form| !form.decorations.is_empty()),
            FeatureKind::Mark => key.forms.iter().any(|form| !form.marks.is_empty()),
            FeatureKind::Choice(_) | FeatureKind::Measure(_) => false,
        };
        if !by_list && recorded.get(feature.id.as_str()) == Some(&false) {
            sink.at(KeyFile::Features, at);
            sink.push(&[Step::Field("id")], ProblemKind::NeverRecorded { feature: feature.id.to_string() });
        }
    }
}

/// One bit a form.
type Bits = Vec<u64>;

/// Pairs of forms, the earlier first, that no recorded feature separates.
///
/// For each value of each feature, the forms that can have it are one bit each; and-ing those of a form's records leaves the forms it
/// can be taken for. That is linear in forms × features × forms ÷ 64. Only the few that are left are compared by their measures.
fn pairs(key: &Key) -> Vec<(usize, usize)> {
    let words = key.forms.len().div_ceil(64);
    let set = |bits: &mut Bits, at: usize| {
        if let Some(word) = bits.get_mut(at / 64) {
            *word |= 1 << (at % 64);
        }
    };
    let mut by_parts: BTreeMap<Vec<u8>, Bits> = BTreeMap::new();
    for (at, form) in key.forms.iter().enumerate() {
        set(by_parts.entry(parts(form)).or_insert_with(|| vec![0; words]), at);
    }
    let chosen: Vec<&Feature> = key.features.iter().filter(|feature| !matches!(feature.kind, FeatureKind::Measure(_))).collect();
    let tables: Vec<Table<'_>> = chosen
        .iter()
        .map(|feature| {
            let mut table = Table { open: vec![0; words], values: HashMap::new() };
            for (at, form) in key.forms.iter().enumerate() {
                let values = values(form, feature);
                if values.is_empty() {
                    set(&mut table.open, at);
                }
                for value in values {
                    set(table.values.entry(value).or_insert_with(|| vec![0; words]), at);
                }
            }
            table
        })
        .collect();
    let mut out = Vec::new();
    for (at, form) in key.forms.iter().enumerate() {
        let Some(mut left) = by_parts.get(&parts(form)).cloned() else { continue };
        for (feature, table) in chosen.iter().zip(&tables) {
            let values = values(form, feature);
            if values.is_empty() {
                continue;
            }
            let rows: Vec<&Bits> = values.iter().filter_map(|value| table.values.get(value)).collect();
            let mut any = 0;
            for (i, word) in left.iter_mut().enumerate() {
                let row = |bits: &Bits| bits.get(i).copied().unwrap_or(0);
                *word &= rows.iter().fold(row(&table.open), |all, bits| all | row(bits));
                any |= *word;
            }
            if any == 0 {
                break;
            }
        }
        for (i, word) in left.iter().enumerate() {
            let mut word = *word;
            while word != 0 {
                let other = i * 64 + word.trailing_zeros() as usize;
                word &= word - 1;
                if other < at && key.forms.get(other).is_some_and(|other| !measures_differ(key, form, other)) {
                    out.push((other, at));
                    if out.len() >= MOST_PAIRS {
                        return out;
                    }
                }
            }
        }
    }
    out
}

struct Table<'k> {
    /// Forms of which nothing is recorded, so that they can have any value.
    open: Bits,
    values: HashMap<&'k str, Bits>,
}

fn parts(form: &Form) -> Vec<u8> {
    let mut parts: Vec<u8> = form.parts.iter().map(|&part| part as u8).collect();
    parts.sort_unstable();
    parts.dedup();
    parts
}

/// The values a form is recorded with; empty where nothing is.
fn values<'k>(form: &'k Form, feature: &Feature) -> Vec<&'k str> {
    match form.features.get(&feature.id) {
        Some(Record::Always(value)) => vec![value.as_str()],
        Some(Record::Values(values)) => values.keys().map(crate::key::ValueId::as_str).collect(),
        // As good as a value: what cannot be there is not there.
        Some(Record::DoesNotApply) => vec!["\0"],
        Some(Record::Between(..) | Record::NotRecorded) | None => match feature.kind {
            FeatureKind::Glaze => held_ids(&form.glazes).collect(),
            FeatureKind::Decoration => held_ids(&form.decorations).collect(),
            FeatureKind::Mark => held_ids(&form.marks).collect(),
            FeatureKind::Choice(_) | FeatureKind::Measure(_) => Vec::new(),
        },
    }
}

fn measures_differ(key: &Key, one: &Form, other: &Form) -> bool {
    key.features.iter().filter(|feature| matches!(feature.kind, FeatureKind::Measure(_))).any(|feature| {
        match (one.features.get(&feature.id), other.features.get(&feature.id)) {
            (Some(Record::Between(a, b)), Some(Record::Between(c, d))) => b < c || d < a,
            (Some(Record::Between(..)), Some(Record::DoesNotApply)) | (Some(Record::DoesNotApply), Some(Record::Between(..))) => true,
            _ => false,
        }
    })
}
