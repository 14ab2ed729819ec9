//! Another id for an entry, with every reference to it.

use super::{EditError, free_id};
use crate::key::file::KeyFile;
use crate::key::model::{Condition, FeatureKind, Form, Held, Key, Record};
use crate::key::{FeatureId, FormId, ValueId};

/// A key in which an entry has another id.
#[derive(Debug, Clone, PartialEq)]
pub struct Renamed {
    /// The new key.
    pub key: Key,
    /// How many references followed.
    pub followed: usize,
}

/// Gives an entry of that file another id; everything of the key that refers to it follows. What a daybook holds does not: finds keep the name a form had.
///
/// # Errors
/// Where there is no such entry, the new id is taken or is none.
pub fn rename(key: &Key, file: KeyFile, from: &str, to: &str) -> Result<Renamed, EditError> {
    let mut new = key.clone();
    let mut followed = 0;
    let mut at = 0;
    let mut ids: Vec<String> = Vec::new();
    each_own_id(&mut new, file, &mut |id| ids.push(id.clone()));
    if !ids.iter().any(|id| id == from) {
        return Err(EditError::Unknown { of: file.said(), id: from.to_owned() });
    }
    let retired = file == KeyFile::Forms && key.retired.iter().any(|retired| retired.form.id.as_str() == to);
    free_id(file, to, retired || ids.iter().any(|id| id == to))?;
    each_own_id(&mut new, file, &mut |id| {
        if id == from {
            to.clone_into(id);
            at += 1;
        }
    });
    each_reference(&mut new, file, &mut |id| {
        if id == from {
            to.clone_into(id);
            followed += 1;
        }
    });
    Ok(Renamed { key: new, followed })
}

/// Hands out an id to be looked at or changed.
fn on<Id: for<'a> From<&'a str> + AsRef<str>>(id: &mut Id, see: &mut dyn FnMut(&mut String)) {
    let mut text = id.as_ref().to_owned();
    see(&mut text);
    if text != id.as_ref() {
        *id = Id::from(text.as_str());
    }
}

/// The ids of the entries of a file.
pub(super) fn each_own_id(key: &mut Key, file: KeyFile, see: &mut dyn FnMut(&mut String)) {
    match file {
        KeyFile::About => {}
        KeyFile::Features => key.features.iter_mut().for_each(|x| on(&mut x.id, see)),
        KeyFile::Lines => key.lines.iter_mut().for_each(|x| on(&mut x.id, see)),
        KeyFile::Forms => key.forms.iter_mut().for_each(|x| on(&mut x.id, see)),
        KeyFile::Glazes => key.glazes.iter_mut().for_each(|x| on(&mut x.id, see)),
        KeyFile::Decorations => key.decorations.iter_mut().for_each(|x| on(&mut x.id, see)),
        KeyFile::Marks => key.marks.iter_mut().for_each(|x| on(&mut x.id, see)),
        KeyFile::Papers => key.papers.iter_mut().for_each(|x| on(&mut x.id, see)),
        KeyFile::Counted => key.counted.iter_mut().for_each(|x| on(&mut x.id, see)),
        KeyFile::Retired => key.retired.iter_mut().for_each(|x| on(&mut x.form.id, see)),
    }
}

/// All forms, used and retired.
fn all_forms(key: &mut Key) -> impl Iterator<Item = &mut Form> {
    key.forms.iter_mut().chain(key.retired.iter_mut().map(|retired| &mut retired.form))
}

/// Every reference of the key to entries of a file.
pub(super) fn each_reference(key: &mut Key, file: KeyFile, see: &mut dyn FnMut(&mut String)) {
    match file {
        KeyFile::Features => features(key, see),
        KeyFile::Lines => {
            all_forms(key).for_each(|form| {
                on(&mut form.line, see);
                form.borrowed_by.iter_mut().for_each(|held| on(&mut held.id, see));
            });
            key.glazes.iter_mut().flat_map(|x| &mut x.lines).for_each(|id| on(id, see));
            key.decorations.iter_mut().flat_map(|x| &mut x.lines).for_each(|id| on(id, see));
            key.marks.iter_mut().flat_map(|x| &mut x.lines).for_each(|id| on(id, see));
        }
        KeyFile::Forms => {
            key.papers.iter_mut().flat_map(|paper| &mut paper.lists).filter_map(|listed| listed.form.as_mut()).for_each(|id| on(id, see));
            key.counted.iter_mut().for_each(|counted| on(&mut counted.form, see));
            key.retired.iter_mut().flat_map(|retired| &mut retired.into).for_each(|id| on(id, see));
        }
        KeyFile::Glazes => {
            all_forms(key).for_each(|form| form.glazes.iter_mut().for_each(|held| on(&mut held.id, see)));
            key.papers.iter_mut().flat_map(|paper| &mut paper.lists).flat_map(|listed| &mut listed.glazes).for_each(|id| on(id, see));
            values_of(key, &FeatureKind::Glaze, see);
        }
        KeyFile::Decorations => {
            all_forms(key).for_each(|form| form.decorations.iter_mut().for_each(|held| on(&mut held.id, see)));
            values_of(key, &FeatureKind::Decoration, see);
        }
        KeyFile::Marks => {
            all_forms(key).for_each(|form| form.marks.iter_mut().for_each(|held| on(&mut held.id, see)));
            values_of(key, &FeatureKind::Mark, see);
        }
        KeyFile::Papers => papers(key, see),
        KeyFile::About | KeyFile::Counted | KeyFile::Retired => {}
    }
}

fn features(key: &mut Key, see: &mut dyn FnMut(&mut String)) {
    for feature in &mut key.features {
        if let Some(Condition::Is(id, _)) = &mut feature.only_if {
            on(id, see);
        }
    }
    for form in all_forms(key) {
        // The order of the records stays.
        form.features = std::mem::take(&mut form.features)
            .into_iter()
            .map(|(mut id, record): (FeatureId, Record)| {
                on(&mut id, see);
                (id, record)
            })
            .collect();
    }
}

/// The values of every feature of a kind, in records and in conditions.
fn values_of(key: &mut Key, kind: &FeatureKind, see: &mut dyn FnMut(&mut String)) {
    let of_kind: Vec<FeatureId> = key.features.iter().filter(|feature| feature.kind == *kind).map(|feature| feature.id.clone()).collect();
    for feature in of_kind {
        each_value(key, &feature, see);
    }
}

/// The values of a feature, in records and in conditions; not where the feature itself lists them.
pub(super) fn each_value(key: &mut Key, feature: &FeatureId, see: &mut dyn FnMut(&mut String)) {
    for one in &mut key.features {
        if let Some(Condition::Is(of, values)) = &mut one.only_if
            && of == feature
        {
            for id in values {
                on(id, see);
            }
        }
    }
    for form in all_forms(key) {
        match form.features.get_mut(feature) {
            Some(Record::Always(value)) => on(value, see),
            Some(Record::Values(values)) => {
                *values = std::mem::take(values)
                    .into_iter()
                    .map(|(mut id, often): (ValueId, _)| {
                        on(&mut id, see);
                        (id, often)
                    })
                    .collect();
            }
            Some(Record::Between(..) | Record::NotRecorded | Record::DoesNotApply) | None => {}
        }
    }
}

fn papers(key: &mut Key, see: &mut dyn FnMut(&mut String)) {
    fn held<Id>(list: &mut [Held<Id>], see: &mut dyn FnMut(&mut String)) {
        list.iter_mut().flat_map(|held| &mut held.papers).for_each(|id| on(id, see));
    }
    for form in all_forms(key) {
        held(&mut form.borrowed_by, see);
        held(&mut form.glazes, see);
        held(&mut form.decorations, see);
        held(&mut form.marks, see);
    }
    all_forms(key).flat_map(|form| &mut form.claims).flat_map(|claim| &mut claim.papers).for_each(|id| on(id, see));
    key.lines.iter_mut().flat_map(|x| &mut x.claims).flat_map(|claim| &mut claim.papers).for_each(|id| on(id, see));
    key.glazes.iter_mut().flat_map(|x| &mut x.claims).flat_map(|claim| &mut claim.papers).for_each(|id| on(id, see));
    key.decorations.iter_mut().flat_map(|x| &mut x.claims).flat_map(|claim| &mut claim.papers).for_each(|id| on(id, see));
    key.marks.iter_mut().flat_map(|x| &mut x.papers).for_each(|id| on(id, see));
}

/// The forms that took the place of a form, as finds should be read.
pub(super) fn follow(key: &Key, id: &FormId) -> Vec<FormId> {
    let mut out: Vec<FormId> = Vec::new();
    let mut open = vec![id.clone()];
    let mut seen: Vec<FormId> = Vec::new();
    while let Some(id) = open.pop() {
        if seen.contains(&id) {
            continue;
        }
        seen.push(id.clone());
        match key.retired.iter().find(|retired| retired.form.id == id) {
            Some(retired) => open.extend(retired.into.iter().rev().cloned()),
            None if key.form(&id).is_some() && !out.contains(&id) => out.push(id),
            None => {}
        }
    }
    out
}
