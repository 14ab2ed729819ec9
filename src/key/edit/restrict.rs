//! What refers to an entry, and taking out what nothing refers to.

use super::EditError;
use super::rename::{each_own_id, each_reference};
use crate::key::file::KeyFile;
use crate::key::model::{Condition, Key, Record};
use crate::key::{FeatureId, ValueId};
use crate::say_count;
use std::collections::BTreeMap;

/// What refers to an entry of that file, in words ('3 forms', '1 paper'); nothing where it can be taken out.
pub fn used_by(key: &Key, file: KeyFile, id: &str) -> Vec<String> {
    // Each list on its own, so that it can be said where the references stand.
    let alone: [(KeyFile, Key); 6] = [
        (KeyFile::Features, Key { features: key.features.clone(), ..Key::default() }),
        (KeyFile::Forms, Key { forms: key.forms.clone(), features: key.features.clone(), ..Key::default() }),
        (KeyFile::Glazes, Key { glazes: key.glazes.clone(), ..Key::default() }),
        (KeyFile::Decorations, Key { decorations: key.decorations.clone(), ..Key::default() }),
        (KeyFile::Marks, Key { marks: key.marks.clone(), ..Key::default() }),
        (KeyFile::Papers, Key { papers: key.papers.clone(), ..Key::default() }),
    ];
    let references = |mut part: Key| {
        let mut found = 0;
        each_reference(&mut part, file, &mut |other| found += usize::from(other == id));
        found
    };
    let of_features = references(Key { features: key.features.clone(), ..Key::default() });
    let mut out = Vec::new();
    let told = |found: usize, list: &str| say_count!(n = found, "{n} reference in {list}", "{n} references in {list}", list);
    for (list, part) in alone {
        let found = references(part);
        // The forms were counted with the features beside them, to know which records are of glazes.
        let found = if list == KeyFile::Forms { found - of_features } else { found };
        if found > 0 {
            out.push(told(found, list.several_said()));
        }
    }
    let retired = references(Key { retired: key.retired.clone(), ..Key::default() });
    if retired > 0 {
        out.push(told(retired, KeyFile::Retired.several_said()));
    }
    let lines = references(Key { lines: key.lines.clone(), ..Key::default() });
    if lines > 0 {
        out.push(told(lines, KeyFile::Lines.several_said()));
    }
    let counted = references(Key { counted: key.counted.clone(), ..Key::default() });
    if counted > 0 {
        out.push(say_count!(n = counted, "{n} counted find", "{n} counted finds"));
    }
    out
}

/// The key without an entry that nothing refers to. A form is [retired](super::retire) instead, since finds may refer to it.
///
/// # Errors
/// Where there is no such entry, or something refers to it.
pub fn remove(key: &Key, file: KeyFile, id: &str) -> Result<Key, EditError> {
    let mut new = key.clone();
    let mut there = false;
    each_own_id(&mut new, file, &mut |own| there |= own == id);
    if !there || file == KeyFile::Forms {
        return Err(EditError::Unknown { of: file.said(), id: id.to_owned() });
    }
    let by = used_by(key, file, id);
    if !by.is_empty() {
        return Err(EditError::Used { of: file.said(), id: id.to_owned(), by });
    }
    match file {
        KeyFile::Features => new.features.retain(|x| x.id.as_str() != id),
        KeyFile::Lines => new.lines.retain(|x| x.id.as_str() != id),
        KeyFile::Glazes => new.glazes.retain(|x| x.id.as_str() != id),
        KeyFile::Decorations => new.decorations.retain(|x| x.id.as_str() != id),
        KeyFile::Marks => new.marks.retain(|x| x.id.as_str() != id),
        KeyFile::Papers => new.papers.retain(|x| x.id.as_str() != id),
        KeyFile::Counted => new.counted.retain(|x| x.id.as_str() != id),
        KeyFile::Retired => new.retired.retain(|x| x.form.id.as_str() != id),
        KeyFile::About | KeyFile::Forms => {}
    }
    Ok(new)
}

/// In how many records and conditions each value of a feature is named; those that are named nowhere are left out.
pub fn values_used(key: &Key, feature: &FeatureId) -> BTreeMap<ValueId, usize> {
    let mut used = BTreeMap::new();
    let mut count = |value: &ValueId| *used.entry(value.clone()).or_insert(0) += 1;
    for one in &key.features {
        if let Some(Condition::Is(of, values)) = &one.only_if
            && of == feature
        {
            values.iter().for_each(&mut count);
        }
    }
    for form in key.forms.iter().chain(key.retired.iter().map(|retired| &retired.form)) {
        match form.features.get(feature) {
            Some(Record::Always(value)) => count(value),
            Some(Record::Values(values)) => values.keys().for_each(&mut count),
            Some(Record::Between(..) | Record::NotRecorded | Record::DoesNotApply) | None => {}
        }
    }
    used
}
