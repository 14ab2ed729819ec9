//! Comparing two keys.

use crate::key::file::{Entry, KeyFile};
use crate::key::merge::tree::{Tree, unquoted};
use crate::key::merge::{ALIKE, Step, known_again, pictures::others, same};
use crate::key::model::Key;
use indexmap::IndexMap;
use serde::Serialize;
use std::collections::{BTreeSet, HashMap};
use std::io;
use std::path::Path;

/// What two keys have otherwise.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Difference {
    /// The entries, in the order of the files; what was taken out behind what is there.
    pub entries: Vec<EntryChange>,
    /// Lists in which entries that stayed stand in another order.
    pub reordered: Vec<KeyFile>,
}

impl Difference {
    /// True where there is none.
    pub fn is_none(&self) -> bool {
        self.entries.is_empty() && self.reordered.is_empty()
    }
}

/// An entry that is not as it was.
#[derive(Debug, Clone, PartialEq)]
pub struct EntryChange {
    /// The file it is in.
    pub file: KeyFile,
    /// Its id, the new one where it has another; empty for `key.ron`.
    pub id: String,
    /// What became of it.
    pub what: What,
}

/// What became of an entry.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// It is new.
    Added,
    /// It is gone.
    TakenOut,
    /// It says the same under another id.
    Renamed {
        /// The id it had.
        from: String,
    },
    /// It says something else.
    Changed(Vec<FieldChange>),
}

/// A piece of an entry that is not as it was.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FieldChange {
    /// From the entry down.
    pub steps: Vec<Step>,
    /// What it was, as RON in one line; None where it was not there.
    pub before: Option<String>,
    /// What it is; None where it is gone.
    pub after: Option<String>,
}

/// A picture or another file that is not as it was.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OtherChange {
    /// Its name from the folder, with forward slashes.
    pub name: String,
    /// Its length in bytes before; None where it was not there.
    pub before: Option<u64>,
    /// Its length now; None where it is gone.
    pub after: Option<u64>,
}

/// What `new` has otherwise than `old`.
pub fn diff(old: &Key, new: &Key) -> Difference {
    let mut out = Difference::default();
    if !same(&old.about, &new.about) {
        let changes = fields(&old.about, &new.about);
        out.entries.push(EntryChange { file: KeyFile::About, id: String::new(), what: What::Changed(changes) });
    }
    lists(&old.features, &new.features, &mut out);
    lists(&old.lines, &new.lines, &mut out);
    lists(&old.forms, &new.forms, &mut out);
    lists(&old.glazes, &new.glazes, &mut out);
    lists(&old.decorations, &new.decorations, &mut out);
    lists(&old.marks, &new.marks, &mut out);
    lists(&old.papers, &new.papers, &mut out);
    lists(&old.counted, &new.counted, &mut out);
    lists(&old.retired, &new.retired, &mut out);
    out
}

/// What the other files of two folders, pictures above all, have otherwise.
///
/// # Errors
/// Where a folder or a file in it cannot be read.
pub fn diff_others(old: &Path, new: &Path) -> io::Result<Vec<OtherChange>> {
    let (old, new) = (others(old, &mut Vec::new())?, others(new, &mut Vec::new())?);
    let names: BTreeSet<&String> = old.keys().chain(new.keys()).collect();
    let change = |name: &String| {
        let (before, after) = (old.get(name), new.get(name));
        let alike = matches!((before, after), (Some(before), Some(after)) if before.is_like(after));
        (!alike).then(|| OtherChange { name: name.clone(), before: before.map(|file| file.bytes), after: after.map(|file| file.bytes) })
    };
    Ok(names.into_iter().filter_map(change).collect())
}

fn lists<T: Entry>(old: &[T], new: &[T], out: &mut Difference) {
    // Of several of one id each is compared with the one of its number among them.
    let mut before: HashMap<&str, Vec<&T>> = HashMap::new();
    for entry in old.iter().rev() {
        before.entry(entry.id()).or_default().push(entry);
    }
    let pairs: Vec<(&T, Option<&T>)> = new.iter().map(|entry| (entry, before.get_mut(entry.id()).and_then(Vec::pop))).collect();
    let mut gone: Vec<&T> = old
        .iter()
        .filter(|entry| before.get(entry.id()).is_some_and(|left| left.iter().any(|other| std::ptr::eq(*other, *entry))))
        .collect();
    let came: Vec<&T> = pairs.iter().filter(|(_, was)| was.is_none()).map(|(is, _)| *is).collect();
    let again: Vec<(&T, &T)> =
        known_again(&gone, &came, ALIKE).into_iter().filter_map(|(i, j)| Some((*gone.get(i)?, *came.get(j)?))).collect();
    let entry = |id: &str, what: What| EntryChange { file: T::FILE, id: id.to_owned(), what };
    for (is, was) in &pairs {
        match was {
            Some(was) if same(*was, *is) => {}
            Some(was) => out.entries.push(entry(is.id(), What::Changed(fields(*was, *is)))),
            None => {
                let alike = again.iter().find(|(_, now)| std::ptr::eq(*now, *is)).map(|(was, _)| *was);
                let was = alike.or_else(|| gone.iter().copied().find(|was| says(*was) == says(*is)));
                let Some(was) = was else {
                    out.entries.push(entry(is.id(), What::Added));
                    continue;
                };
                gone.retain(|other| !std::ptr::eq(*other, was));
                out.entries.push(entry(is.id(), What::Renamed { from: was.id().to_owned() }));
                let mut changes = fields(was, *is);
                changes.retain(|change| change.steps.as_slice() != [Step::Field("id".to_owned())]);
                if !changes.is_empty() {
                    out.entries.push(entry(is.id(), What::Changed(changes)));
                }
            }
        }
    }
    out.entries.extend(gone.into_iter().map(|was| entry(was.id(), What::TakenOut)));
    let stayed: BTreeSet<&str> = pairs.iter().filter(|(_, was)| was.is_some()).map(|(is, _)| is.id()).collect();
    let order =
        |list: &'_ [T]| list.iter().map(|entry| entry.id().to_owned()).filter(|id| stayed.contains(id.as_str())).collect::<Vec<_>>();
    if order(old) != order(new) {
        out.reordered.push(T::FILE);
    }
}

/// What an entry says, apart from its id.
fn says<T: Entry>(entry: &T) -> Option<String> {
    match Tree::of(entry)? {
        Tree::Fields(_, mut fields) => {
            fields.shift_remove("id");
            Some(Tree::Fields(String::new(), fields).text())
        }
        _ => None,
    }
}

fn fields<T: Serialize>(old: &T, new: &T) -> Vec<FieldChange> {
    let mut out = Vec::new();
    compare(Tree::of(old).as_ref(), Tree::of(new).as_ref(), &mut Vec::new(), &mut out);
    out
}

fn compare(old: Option<&Tree>, new: Option<&Tree>, steps: &mut Vec<Step>, out: &mut Vec<FieldChange>) {
    if old == new {
        return;
    }
    // What is recorded of a feature is said as a whole.
    let record = matches!(steps.as_slice(), [Step::Field(field), Step::Name(_)] if field == "features");
    if !record && inside(old, new, steps, out).is_some() {
        return;
    }
    out.push(FieldChange { steps: steps.clone(), before: old.map(Tree::text), after: new.map(Tree::text) });
}

/// Compares piece by piece what is made of pieces; None where it is one thing.
fn inside(old: Option<&Tree>, new: Option<&Tree>, steps: &mut Vec<Step>, out: &mut Vec<FieldChange>) -> Option<()> {
    let none = IndexMap::new();
    match (old, new) {
        (Some(Tree::Fields(a, old)), Some(Tree::Fields(b, new))) if a == b => {
            named(old, new, &|text| Step::Field(text.to_owned()), steps, out);
        }
        (Some(Tree::Map(old)), Some(Tree::Map(new))) => named(old, new, &name, steps, out),
        (None, Some(Tree::Map(new))) => named(&none, new, &name, steps, out),
        (Some(Tree::Map(old)), None) => named(old, &none, &name, steps, out),
        (Some(Tree::List(old)), Some(Tree::List(new))) => items(old, new, steps, out)?,
        (None, Some(Tree::List(new))) => items(&[], new, steps, out)?,
        (Some(Tree::List(old)), None) => items(old, &[], steps, out)?,
        (Some(Tree::Tuple(a, old)), Some(Tree::Tuple(b, new))) if a == b && !a.is_empty() => match (old.as_slice(), new.as_slice()) {
            ([Tree::Atom(_)], _) => return None,
            ([old], [new]) => inside(Some(old), Some(new), steps, out)?,
            _ => return None,
        },
        _ => return None,
    }
    Some(())
}

fn name(text: &str) -> Step {
    Step::Name(unquoted(text).unwrap_or_else(|| text.to_owned()))
}

fn named(
    old: &IndexMap<String, Tree>,
    new: &IndexMap<String, Tree>,
    step: &dyn Fn(&str) -> Step,
    steps: &mut Vec<Step>,
    out: &mut Vec<FieldChange>,
) {
    let gone = old.keys().filter(|name| !new.contains_key(*name));
    for name in new.keys().chain(gone) {
        steps.push(step(name));
        compare(old.get(name), new.get(name), steps, out);
        steps.pop();
    }
}

/// The items of a list, each by what it is about; None where the list is one thing.
fn items(old: &[Tree], new: &[Tree], steps: &mut Vec<Step>, out: &mut Vec<FieldChange>) -> Option<()> {
    let by_name =
        |list: &[Tree]| -> Option<IndexMap<String, Tree>> { Some(Tree::names(list)?.into_iter().zip(list.iter().cloned()).collect()) };
    let (old_by, new_by) = (by_name(old)?, by_name(new)?);
    let stayed = |of: &IndexMap<String, Tree>, other: &IndexMap<String, Tree>| -> Vec<String> {
        of.keys().filter(|name| other.contains_key(*name)).cloned().collect()
    };
    if stayed(&old_by, &new_by) != stayed(&new_by, &old_by) {
        // In another order: that is said of the list as a whole.
        return None;
    }
    named(&old_by, &new_by, &|text| Step::Item(unquoted(text).unwrap_or_else(|| text.to_owned())), steps, out);
    Some(())
}
