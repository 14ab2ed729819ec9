//! Whole forms: duplicated, merged, cut in two, retired.

use super::{EditError, free_name, made_id, rename};
use crate::key::file::KeyFile;
use crate::key::model::{Claim, Form, Held, Key, Often, Picture, Record, Retired, Years};
use crate::key::tables::widened;
use crate::key::words::fold;
use crate::key::{FeatureId, FormId, ValueId};
use indexmap::IndexMap;

fn known<'k>(key: &'k Key, id: &FormId) -> Result<&'k Form, EditError> {
    key.form(id).ok_or_else(|| EditError::Unknown { of: KeyFile::Forms.said(), id: id.to_string() })
}

/// An id for a form that neither a form nor a retired one has.
pub(super) fn new_form_id(key: &Key, name: &str) -> FormId {
    FormId::new(made_id(name, |id| {
        key.forms.iter().chain(key.retired.iter().map(|retired| &retired.form)).any(|form| form.id.as_str() == id)
    }))
}

/// A name that no form of that line has: the name, or with a number behind it.
fn new_name(key: &Key, form: &Form, name: &str) -> String {
    let taken = |name: &str| key.forms.iter().any(|other| other.line == form.line && fold(&other.name) == fold(name));
    free_name(name, taken)
}

/// A new form with all that a form has, under a name and an id of its own; it stands behind the form in the key.
///
/// # Errors
/// Where there is no such form.
pub fn duplicate(key: &Key, of: &FormId) -> Result<(Key, FormId), EditError> {
    let form = known(key, of)?;
    let name = new_name(key, form, &format!("{}, copy", form.name));
    let id = new_form_id(key, &format!("{} {name}", form.line));
    // What it is also called would be a name for two.
    let copy = Form { id: id.clone(), name, also: Vec::new(), ..form.clone() };
    Ok((with_behind(key, of, copy), id))
}

/// The key with a form behind another.
fn with_behind(key: &Key, of: &FormId, form: Form) -> Key {
    let mut new = key.clone();
    let at = new.forms.iter().position(|known| known.id == *of).map_or(new.forms.len(), |at| at + 1);
    new.forms.insert(at, form);
    new
}

/// One form out of two: `gone` is retired, and what was recorded and claimed of it goes to `keep`, with every reference of the key.
///
/// Ranges are joined, counts are added, values of `gone` that `keep` lacks are then found sometimes. Parts and drawing stay those of `keep`.
///
/// # Errors
/// Where one of the forms is not there, or both are the same.
pub fn merge(key: &Key, keep: &FormId, gone: &FormId) -> Result<Key, EditError> {
    if keep == gone {
        return Err(EditError::Itself);
    }
    let (kept, other) = (known(key, keep)?, known(key, gone)?);
    let joined = joined(kept, other, key);
    let why = format!("merged into {}", key.full_name(kept));
    let mut new = key.clone();
    rename::each_reference(&mut new, KeyFile::Forms, &mut |id| {
        if id == gone.as_str() {
            keep.as_str().clone_into(id);
        }
    });
    if let Some(form) = new.forms.iter_mut().find(|form| form.id == *keep) {
        *form = joined;
    }
    retire(&new, gone, &why, std::slice::from_ref(keep))
}

fn joined(keep: &Form, gone: &Form, key: &Key) -> Form {
    let mut out = keep.clone();
    for name in std::iter::once(&gone.name).chain(&gone.also) {
        if fold(name) != fold(&out.name) && !out.also.iter().any(|known| fold(known) == fold(name)) {
            out.also.push(name.clone());
        }
    }
    if gone.line != keep.line && !out.is_sold_in(&gone.line) {
        out.borrowed_by.push(Held {
            id: gone.line.clone(),
            often: Often::Always,
            how: crate::key::How::Inferred,
            papers: Vec::new(),
            note: String::new(),
        });
    }
    out.made = joined_years(keep.made, gone.made);
    held(&mut out.borrowed_by, gone.borrowed_by.iter().filter(|held| held.id != keep.line));
    held(&mut out.glazes, gone.glazes.iter());
    held(&mut out.decorations, gone.decorations.iter());
    held(&mut out.marks, gone.marks.iter());
    for (id, record) in &gone.features {
        let part_lacks = key.feature(id).is_some_and(|feature| !out.parts.contains(&feature.part));
        if part_lacks || *record == Record::NotRecorded {
            continue;
        }
        match out.features.get(id) {
            None | Some(Record::NotRecorded) => {
                if *record != Record::DoesNotApply {
                    out.features.insert(id.clone(), record.clone());
                }
            }
            Some(before) => {
                if let Some(both) = widened(before, record).filter(|_| *record != Record::DoesNotApply) {
                    out.features.insert(id.clone(), both);
                }
            }
        }
    }
    added(&mut out.claims, &gone.claims, |a: &Claim, b| a.says == b.says);
    added(&mut out.pictures, &gone.pictures, |a: &Picture, b| a.file == b.file);
    if !gone.note.is_empty() && gone.note != out.note {
        out.note = if out.note.is_empty() { gone.note.clone() } else { format!("{}; {}", out.note, gone.note) };
    }
    out
}

/// Years that hold both; an end that one of them leaves open stays open.
fn joined_years(a: Years, b: Years) -> Years {
    if a.is_open() || b.is_open() {
        return if a.is_open() { b } else { a };
    }
    let both = |x: Option<i32>, y: Option<i32>, pick: fn(i32, i32) -> i32| Some(pick(x?, y?));
    Years { from: both(a.from, b.from, i32::min), to: both(a.to, b.to, i32::max) }
}

fn held<'a, Id: PartialEq + Clone + 'a>(into: &mut Vec<Held<Id>>, more: impl Iterator<Item = &'a Held<Id>>) {
    for one in more {
        match into.iter_mut().find(|known| known.id == one.id) {
            Some(known) => {
                // Seen is firmer than what a paper says, and that than what is inferred.
                known.how = known.how.min(one.how);
                added(&mut known.papers, &one.papers, PartialEq::eq);
            }
            None => into.push(one.clone()),
        }
    }
}

fn added<T: Clone>(into: &mut Vec<T>, more: &[T], same: impl Fn(&T, &T) -> bool) {
    for one in more {
        if !into.iter().any(|known| same(known, one)) {
            into.push(one.clone());
        }
    }
}

/// Cuts a form in two by a feature: a new form of that name takes the given values, the old one keeps the others. Everything else both have.
///
/// Finds, papers and counted finds stay with the old form: which of the two they were cannot be known.
///
/// # Errors
/// Where there is no such form, or one of the two would be left without a value.
pub fn split(key: &Key, of: &FormId, feature: &FeatureId, to_new: &[ValueId], name: &str) -> Result<(Key, FormId), EditError> {
    let form = known(key, of)?;
    let Some(Record::Values(values)) = form.features.get(feature) else { return Err(EditError::NothingToSplit) };
    let (new_values, old_values): (IndexMap<_, _>, IndexMap<_, _>) =
        values.iter().map(|(value, often)| (value.clone(), *often)).partition(|(value, _)| to_new.contains(value));
    let (Some(for_new), Some(for_old)) = (record_of(new_values), record_of(old_values)) else { return Err(EditError::NothingToSplit) };
    let name = new_name(key, form, if name.trim().is_empty() { &form.name } else { name.trim() });
    let id = new_form_id(key, &format!("{} {name}", form.line));
    let mut other = Form { id: id.clone(), name, also: Vec::new(), ..form.clone() };
    other.features.insert(feature.clone(), for_new);
    let mut new = with_behind(key, of, other);
    if let Some(old) = new.forms.iter_mut().find(|form| form.id == *of) {
        old.features.insert(feature.clone(), for_old);
    }
    Ok((new, id))
}

/// The record of the values that are left: of a single one that is no count, that it is always so.
fn record_of(values: IndexMap<ValueId, Often>) -> Option<Record> {
    match values.first()? {
        (value, often) if values.len() == 1 && often.times().is_none() => Some(Record::Always(value.clone())),
        _ => Some(Record::Values(values)),
    }
}

/// Takes a form out of use. It is kept with the reason, since finds and papers may refer to it.
///
/// # Errors
/// Where the form, or one that takes its place, is not there.
pub fn retire(key: &Key, id: &FormId, why: &str, into: &[FormId]) -> Result<Key, EditError> {
    let form = known(key, id)?.clone();
    for other in into {
        known(key, other)?;
        if other == id {
            return Err(EditError::Itself);
        }
    }
    let mut new = key.clone();
    new.forms.retain(|form| form.id != *id);
    new.retired.push(Retired { form, into: into.to_vec(), why: why.trim().to_owned() });
    Ok(new)
}

/// Brings a retired form back into use, as it last stood.
///
/// # Errors
/// Where no such form was retired.
pub fn unretire(key: &Key, id: &FormId) -> Result<Key, EditError> {
    let mut new = key.clone();
    let Some(at) = new.retired.iter().position(|retired| retired.form.id == *id) else {
        return Err(EditError::Unknown { of: KeyFile::Retired.said(), id: id.to_string() });
    };
    let retired = new.retired.remove(at);
    new.forms.push(retired.form);
    Ok(new)
}

/// What a form is called now: itself while it is in use, else the forms that took its place, through all that were retired in their turn.
pub fn into_which(key: &Key, id: &FormId) -> Vec<FormId> {
    rename::follow(key, id)
}
