//! What was changed, in words.

use super::compare::{Difference, EntryChange, FieldChange, OtherChange, What};
use super::terms::{field_words, item_words, number};
use crate::key::diff::compare::diff;
use crate::key::file::KeyFile;
use crate::key::load::options;
use crate::key::merge::tree::{Tree, unquoted};
use crate::key::merge::{Clash, Side, Step};
use crate::key::model::{Key, Record};
use crate::key::problem::shorten;
use crate::key::say::plain;
use crate::say;

/// Names that are said in full of those added to one list; beyond, they are counted only.
const NAMED: usize = 3;

/// All that two keys have otherwise, a line each: `forms: covered sugar, Quoin: lid outline round → oval`.
pub fn lines(old: &Key, new: &Key) -> Vec<String> {
    let Difference { entries, reordered } = diff(old, new);
    let entries = entries.iter().map(|change| format!("{}: {}", heading(change.file), entry(change, old, new)));
    entries.chain(reordered.iter().map(|file| format!("{}: {}", heading(*file), reordered_words()))).collect()
}

/// What is said of a list in another order.
pub fn reordered_words() -> &'static str {
    say!("entries stand in another order")
}

/// The heading of what was changed in a file.
pub fn heading(file: KeyFile) -> &'static str {
    match file {
        KeyFile::About => say!("the key itself"),
        other => other.several_said(),
    }
}

/// What became of one entry: 'covered sugar, Quoin: lid outline round → oval; two claims added'.
pub fn entry(change: &EntryChange, old: &Key, new: &Key) -> String {
    let says = match &change.what {
        What::Added => say!("{entry}: added", entry = entry_name(new, change.file, &change.id)),
        What::TakenOut => say!("{entry}: taken out", entry = entry_name(old, change.file, &change.id)),
        What::Renamed { from } => {
            say!("{entry}: the id '{from}' is now '{id}'", entry = entry_name(new, change.file, &change.id), from, id = change.id)
        }
        What::Changed(fields) => {
            let mut name = entry_name(old, change.file, &change.id);
            if name == change.id {
                // It has another id too.
                name = entry_name(new, change.file, &change.id);
            }
            let parts = parts(fields, change.file, old, new);
            format!("{name}: {}", parts.join("; "))
        }
    };
    plain(&says)
}

/// What became of a picture or another file.
pub fn other(change: &OtherChange) -> String {
    let says = match (change.before, change.after) {
        (None, _) => say!("{entry}: added", entry = change.name),
        (_, None) => say!("{entry}: taken out", entry = change.name),
        _ => say!("{entry}: changed", entry = change.name),
    };
    plain(&says)
}

/// Where a clash is, in words: 'covered sugar, Quoin: lid outline'.
pub fn clash_place(clash: &Clash, key: &Key) -> String {
    let name = entry_name(key, clash.at.file, &clash.at.id);
    if clash.at.steps.is_empty() {
        return plain(&say!("{name} as a whole", name));
    }
    plain(&format!("{name}: {}", path(&clash.at.steps, clash.at.file, key)))
}

/// What a side of a clash says, in words.
pub fn clash_side(clash: &Clash, side: Side, key: &Key) -> String {
    match clash.says(side) {
        Some(_) if clash.at.steps.is_empty() && !clash.at.id.is_empty() => {
            if side == Side::Base { say!("there") } else { say!(in "a side of a clash", "changed") }.to_owned()
        }
        Some(text) => plain(&value(text, &clash.at.steps, key)),
        None if clash.base.is_some() => say!(in "a side of a clash", "taken out").to_owned(),
        None => say!("not there").to_owned(),
    }
}

/// What an entry is called: a form with its line, a paper by its title; its id where the key has none of it.
pub fn entry_name(key: &Key, file: KeyFile, id: &str) -> String {
    let found = match file {
        KeyFile::About => Some(key.about.title.clone()),
        KeyFile::Features => key.feature(&id.into()).map(crate::key::Feature::shown_name),
        KeyFile::Lines => key.line(&id.into()).map(|line| line.name.clone()),
        KeyFile::Forms => key.form(&id.into()).map(|form| key.full_name(form)),
        KeyFile::Glazes => key.glaze(&id.into()).map(|glaze| glaze.name.clone()),
        KeyFile::Decorations => key.decoration(&id.into()).map(|decoration| decoration.name.clone()),
        KeyFile::Marks => key.mark(&id.into()).map(|mark| mark.name.clone()),
        KeyFile::Papers => key.paper(&id.into()).map(|paper| paper.title.clone()),
        KeyFile::Retired => key.retired.iter().find(|retired| retired.form.id.as_str() == id).map(|retired| key.full_name(&retired.form)),
        KeyFile::Counted => None,
    };
    found.filter(|name| !name.is_empty()).unwrap_or_else(|| id.to_owned())
}

/// The changes of one entry. Items added to one list, or taken out of it, are said together.
fn parts(fields: &[FieldChange], file: KeyFile, old: &Key, new: &Key) -> Vec<String> {
    let mut out = Vec::new();
    let mut rest = fields;
    while let Some((first, behind)) = rest.split_first() {
        let alike = |change: &&FieldChange| {
            is_item(change)
                && parent(change) == parent(first)
                && change.before.is_none() == first.before.is_none()
                && change.after.is_none() == first.after.is_none()
        };
        let count = if is_item(first) { 1 + behind.iter().take_while(alike).count() } else { 1 };
        let (together, behind) = rest.split_at(count);
        out.push(if is_item(first) { gathered(together, file, old, new) } else { one(first, file, old, new) });
        rest = behind;
    }
    out
}

/// True for an item of a list that came or went.
fn is_item(change: &FieldChange) -> bool {
    matches!(change.steps.last(), Some(Step::Item(_))) && (change.before.is_none() || change.after.is_none())
}

fn parent(change: &FieldChange) -> &[Step] {
    change.steps.split_last().map_or(&[], |(_, parent)| parent)
}

/// 'two papers added'.
fn gathered(changes: &[FieldChange], file: KeyFile, old: &Key, new: &Key) -> String {
    let Some(first) = changes.first() else { return String::new() };
    let added = first.before.is_none();
    let key = if added { new } else { old };
    // The words of a group of synonyms are items of an item.
    let (list, around) = match parent(first).split_last() {
        Some((Step::Field(field), around)) => (field.as_str(), around),
        _ => ("words", parent(first)),
    };
    let (one, many) = item_words(file, list);
    let names: Vec<String> = changes
        .iter()
        .filter_map(|change| match change.steps.last() {
            Some(Step::Item(item)) => Some(item_name(list, item, key)),
            _ => None,
        })
        .collect();
    let before = if around.is_empty() { String::new() } else { format!("{}: ", path(around, file, key)) };
    let (n, joined) = (number(names.len()), names.join(", "));
    let says = match (names.as_slice(), added) {
        ([name], true) => say!("{one} {name} added", one, name),
        ([name], false) => say!("{one} {name} taken out", one, name),
        (names, true) if names.len() <= NAMED => say!("{n} {many} added ({joined})", n, many, joined),
        (names, false) if names.len() <= NAMED => say!("{n} {many} taken out ({joined})", n, many, joined),
        (_, true) => say!("{n} {many} added", n, many),
        (_, false) => say!("{n} {many} taken out", n, many),
    };
    format!("{before}{says}")
}

fn one(change: &FieldChange, file: KeyFile, old: &Key, new: &Key) -> String {
    let what = path(&change.steps, file, if change.after.is_some() { new } else { old });
    let is_record = matches!(change.steps.as_slice(), [Step::Field(field), Step::Name(_)] if field == "features");
    if is_drawing(change) {
        return match (&change.before, &change.after) {
            (None, _) => say!("{what} drawn", what),
            (_, None) => say!("{what} taken out", what),
            _ => say!("{what} redrawn", what),
        };
    }
    let said = |text: &str, key: &Key| value(text, &change.steps, key);
    match (&change.before, &change.after) {
        (Some(before), Some(after)) => {
            let (before, after) = (said(before, old), said(after, new));
            // A unit is said once.
            let unit = ["mm", "%"].iter().find(|unit| before.ends_with(&format!(" {unit}")) && after.ends_with(&format!(" {unit}")));
            let before = unit.and_then(|unit| before.strip_suffix(unit)).unwrap_or(&before).trim_end();
            format!("{what} {before} → {after}")
        }
        (None, Some(after)) if is_record => say!("{what} recorded: {value}", what, value = said(after, new)),
        (None, Some(after)) => say!("{what} added: {value}", what, value = said(after, new)),
        (Some(_), None) if is_record => say!("{what} no longer recorded", what),
        (Some(before), None) => say!("{what} taken out: {value}", what, value = said(before, old)),
        (None, None) => what,
    }
}

/// True for points and strokes, which no one reads.
fn is_drawing(change: &FieldChange) -> bool {
    let drawn = |text: &String| text.contains("Corner(") || text.contains("Curve(") || text.contains("Strokes(");
    change.before.as_ref().is_some_and(drawn) || change.after.as_ref().is_some_and(drawn)
}

/// The way down to something, in words: 'glaze Sage, often'.
pub(crate) fn path(steps: &[Step], file: KeyFile, key: &Key) -> String {
    let mut words: Vec<String> = Vec::new();
    let mut list = "";
    for (at, step) in steps.iter().enumerate() {
        let next = steps.get(at + 1);
        match step {
            // What stands below says enough.
            Step::Field(field) if matches!(next, Some(Step::Name(_) | Step::Item(_))) => list = field,
            Step::Field(field) if (field == "shape" || field == "kind") && next.is_some() => {}
            Step::Field(field) => words.push(field_words(field)),
            Step::Name(name) if list == "features" => words.push(key.feature_name(&name.as_str().into())),
            Step::Name(name) => words.push(name.clone()),
            Step::Item(item) => words.push(format!("{} {}", item_words(file, list).0, item_name(list, item, key))),
        }
    }
    words.join(", ")
}

/// What an item of a list is called: by the name of what its id stands for, its words in quotes.
fn item_name(list: &str, item: &str, key: &Key) -> String {
    let file = match list {
        "glazes" => KeyFile::Glazes,
        "decorations" => KeyFile::Decorations,
        "marks" => KeyFile::Marks,
        "lines" | "borrowed_by" => KeyFile::Lines,
        "papers" => KeyFile::Papers,
        "parts" | "cautions" => return item.to_lowercase(),
        "kind" => return format!("'{item}'"),
        _ => return format!("'{}'", shorten(item)),
    };
    entry_name(key, file, item)
}

/// What a piece says, in words, with its unit.
fn value(text: &str, steps: &[Step], key: &Key) -> String {
    if let [Step::Field(field), Step::Name(feature)] = steps
        && field == "features"
        && let Ok(record) = options().from_str::<Record>(text)
    {
        let words = key.record_words(&feature.as_str().into(), &record);
        return match record {
            Record::Always(_) => words.strip_prefix("always ").map_or(words.clone(), str::to_owned),
            _ => words,
        };
    }
    let read = tree(text);
    // Of a list of entries, what each is about: the words of a mark, line by line.
    if let Some(Tree::List(items)) = &read
        && items.iter().all(|item| matches!(item, Tree::Fields(..)))
        && let Some(names) = Tree::names(items)
        && !names.is_empty()
    {
        return names
            .iter()
            .map(|name| format!("'{}'", shorten(&unquoted(name).unwrap_or_else(|| name.clone()))))
            .collect::<Vec<_>>()
            .join(", ");
    }
    let shown = read.map_or_else(|| text.to_owned(), |tree| tree.shown());
    let unit = match steps.last() {
        Some(Step::Field(field)) if field.ends_with("_mm") => " mm",
        Some(Step::Field(field)) if field.ends_with("_percent") => " %",
        _ => "",
    };
    if text.starts_with('"') { format!("'{}'", shorten(&shown)) } else { format!("{}{unit}", shorten(&shown)) }
}

fn tree(text: &str) -> Option<Tree> {
    let node = crate::key::syntax::parse(text, 0..text.len()).ok()?;
    Some(Tree::from_node(text, &node))
}
