//! What is recorded of a form: from what was heard, and beside what the key says.

use crate::key::ids::ValueId;
use crate::key::model::{Condition, Feature, Form, Held, How, Often, Record};
use crate::key::tables::table::CellAt;
use indexmap::IndexMap;

/// What the rows of a form say of one feature.
#[derive(Debug, Default)]
pub(super) struct Heard {
    pub(super) counts: IndexMap<ValueId, u32>,
    pub(super) range: Option<(f64, f64)>,
    /// The first cell that said something.
    pub(super) at: CellAt,
}

impl Heard {
    pub(super) fn record(&self, counted: bool) -> Option<Record> {
        if let Some((low, high)) = self.range {
            return Some(Record::Between(low, high));
        }
        let (first, _) = self.counts.first()?;
        if counted {
            return Some(Record::Values(self.counts.iter().map(|(value, &n)| (value.clone(), Often::Times(n))).collect()));
        }
        if self.counts.len() == 1 {
            return Some(Record::Always(first.clone()));
        }
        Some(Record::Values(self.counts.keys().map(|value| (value.clone(), Often::Usually)).collect()))
    }
}

/// Adds what is claimed, where it is not yet. True where something was added.
pub(super) fn hold<Id: for<'a> From<&'a str> + PartialEq>(list: &mut Vec<Held<Id>>, record: &Record) -> bool {
    let values: Vec<(ValueId, Often)> = match record {
        Record::Always(value) => vec![(value.clone(), Often::Always)],
        Record::Values(values) => values.iter().map(|(value, &often)| (value.clone(), often)).collect(),
        Record::Between(..) | Record::NotRecorded | Record::DoesNotApply => Vec::new(),
    };
    let total: u32 = values.iter().filter_map(|(_, often)| often.times()).sum();
    let mut added = false;
    for (value, often) in values {
        let id = Id::from(value.as_str());
        // What is claimed of glazes and marks is said in words.
        let often = match often.times() {
            Some(n) if n == total => Often::Always,
            Some(n) if n.saturating_mul(2) >= total => Often::Usually,
            Some(_) => Often::Sometimes,
            None => often,
        };
        if !list.iter().any(|held| held.id == id) {
            // One glaze more than the key knows of is not on every piece.
            let often = if often == Often::Always && !list.is_empty() { Often::Sometimes } else { often };
            list.push(Held { id, often, how: How::Seen, papers: Vec::new(), note: String::new() });
            added = true;
        }
    }
    added
}

/// What a record would be with what was heard too. None where it says that already.
pub(in crate::key) fn widened(before: &Record, heard: &Record) -> Option<Record> {
    match (before, heard) {
        (Record::Between(a, b), Record::Between(low, high)) => (low < a || high > b).then(|| Record::Between(a.min(*low), b.max(*high))),
        (Record::Always(_) | Record::Values(_), Record::Always(_) | Record::Values(_)) => widened_values(before, heard),
        (Record::DoesNotApply, heard) => Some(heard.clone()),
        _ => None,
    }
}

/// As [`widened`], of values. Counts are added to counts, unless they are the same: a table that is brought in again says nothing new.
fn widened_values(before: &Record, heard: &Record) -> Option<Record> {
    let mut known: IndexMap<ValueId, Often> = values_of(before).into_iter().collect();
    let heard = values_of(heard);
    let all_counted = |mut values: std::slice::Iter<'_, (ValueId, Often)>| values.all(|(_, often)| often.times().is_some());
    let was_counted = known.values().all(|often| often.times().is_some());
    if was_counted && all_counted(heard.iter()) {
        let same = heard.len() == known.len() && heard.iter().all(|(value, often)| known.get(value) == Some(often));
        if same {
            return None;
        }
        for (value, often) in heard {
            let count = known.entry(value).or_insert(Often::Times(0));
            let sum = count.times().unwrap_or(0).saturating_add(often.times().unwrap_or(0));
            *count = Often::Times(sum);
        }
        return Some(Record::Values(known));
    }
    let more: Vec<ValueId> = heard.into_iter().map(|(value, _)| value).filter(|value| !known.contains_key(value)).collect();
    if more.is_empty() {
        return None;
    }
    for often in known.values_mut().filter(|often| **often == Often::Always) {
        *often = Often::Usually;
    }
    let often = if was_counted { Often::Times(1) } else { Often::Sometimes };
    known.extend(more.into_iter().map(|value| (value, often)));
    Some(Record::Values(known))
}

fn values_of(record: &Record) -> Vec<(ValueId, Often)> {
    match record {
        Record::Always(value) => vec![(value.clone(), Often::Always)],
        Record::Values(values) => values.iter().map(|(value, &often)| (value.clone(), often)).collect(),
        Record::Between(..) | Record::NotRecorded | Record::DoesNotApply => Vec::new(),
    }
}

/// Whether the form can have the feature, by what is recorded of it so far.
pub(super) fn applies(form: &Form, feature: &Feature) -> bool {
    match &feature.only_if {
        None => true,
        Some(Condition::Has(part)) => form.parts.contains(part),
        Some(Condition::Lacks(part)) => !form.parts.contains(part),
        Some(Condition::Is(other, wanted)) => match form.features.get(other) {
            Some(Record::Always(value)) => wanted.contains(value),
            Some(Record::Values(values)) => values.keys().any(|value| wanted.contains(value)),
            Some(Record::DoesNotApply) => false,
            Some(Record::Between(..) | Record::NotRecorded) | None => true,
        },
    }
}
