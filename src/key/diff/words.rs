//! What was changed, in words.

use super::compare::{Difference, EntryChange, FieldChange, OtherChange, What};
use crate::key::diff::compare::diff;
use crate::key::file::KeyFile;
use crate::key::load::options;
use crate::key::merge::tree::Tree;
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
    entries.chain(reordered.iter().map(|file| format!("{}: {}", heading(*file), REORDERED))).collect()
}

/// What is said of a list in another order.
pub const REORDERED: &str = "entries stand in another order";

/// The heading of what was changed in a file.
pub fn heading(file: KeyFile) -> &'static str {
    match file {
        KeyFile::About => say!("the key itself"),
        other => other.plural(),
    }
}

/// What became of one entry: 'covered sugar, Quoin: lid outline round → oval; two claims added'.
pub fn entry(change: &EntryChange, old: &Key, new: &Key) -> String {
    let says = match &change.what {
        What::Added => format!("{}: added", entry_name(new, change.file, &change.id)),
        What::TakenOut => format!("{}: taken out", entry_name(old, change.file, &change.id)),
        What::Renamed { from } => {
            format!("{}: the id '{from}' is now '{}'", entry_name(new, change.file, &change.id), change.id)
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
        (None, _) => "added",
        (_, None) => "taken out",
        _ => "changed",
    };
    plain(&format!("{}: {says}", change.name))
}

/// Where a clash is, in words: 'covered sugar, Quoin: lid outline'.
pub fn clash_place(clash: &Clash, key: &Key) -> String {
    let name = entry_name(key, clash.at.file, &clash.at.id);
    if clash.at.steps.is_empty() {
        return plain(&format!("{name} as a whole"));
    }
    plain(&format!("{name}: {}", path(&clash.at.steps, clash.at.file, key)))
}

/// What a side of a clash says, in words.
pub fn clash_side(clash: &Clash, side: Side, key: &Key) -> String {
    match clash.says(side) {
        Some(_) if clash.at.steps.is_empty() && !clash.at.id.is_empty() => if side == Side::Base { "there" } else { "changed" }.to_owned(),
        Some(text) => plain(&value(text, &clash.at.steps, key)),
        None if clash.base.is_some() => "taken out".to_owned(),
        None => "not there".to_owned(),
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
    let (verb, key) = if first.before.is_none() { ("added", new) } else { ("taken out", old) };
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
    match names.as_slice() {
        [name] => format!("{before}{one} {name} {verb}"),
        names if names.len() <= NAMED => format!("{before}{} {many} {verb} ({})", number(names.len()), names.join(", ")),
        names => format!("{before}{} {many} {verb}", number(names.len())),
    }
}

fn one(change: &FieldChange, file: KeyFile, old: &Key, new: &Key) -> String {
    let what = path(&change.steps, file, if change.after.is_some() { new } else { old });
    let is_record = matches!(change.steps.as_slice(), [Step::Field(field), Step::Name(_)] if field == "features");
    if is_drawing(change) {
        return match (&change.before, &change.after) {
            (None, _) => format!("{what} drawn"),
            (_, None) => format!("{what} taken out"),
            _ => format!("{what} redrawn"),
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
        (None, Some(after)) if is_record => format!("{what} recorded: {}", said(after, new)),
        (None, Some(after)) => format!("{what} added: {}", said(after, new)),
        (Some(_), None) if is_record => format!("{what} no longer recorded"),
        (Some(before), None) => format!("{what} taken out: {}", said(before, old)),
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

/// A field's name in words, without its unit.
fn field_words(field: &str) -> String {
    match field {
        "body" => "body profile".to_owned(),
        "lid" => "lid profile".to_owned(),
        "lab" => "colour".to_owned(),
        "how" => "how it is known".to_owned(),
        other => {
            let stem = other.strip_suffix("_mm").or_else(|| other.strip_suffix("_percent")).unwrap_or(other);
            stem.replace('_', " ")
        }
    }
}

/// The words for one item and for several of a list.
fn item_words(file: KeyFile, list: &str) -> (&str, &str) {
    match list {
        "also" => ("other name", "other names"),
        "borrowed_by" => ("borrowing line", "borrowing lines"),
        "glazes" => ("glaze", "glazes"),
        "decorations" => ("decoration", "decorations"),
        "marks" => ("mark", "marks"),
        "lines" => ("line", "lines"),
        "papers" => ("paper", "papers"),
        "claims" => ("claim", "claims"),
        "pictures" => ("picture", "pictures"),
        "parts" if file == KeyFile::Forms => ("part", "parts"),
        "parts" => ("part of the code", "parts of the code"),
        "handles" => ("handle", "handles"),
        "wording" => ("line of wording", "lines of wording"),
        "codes" => ("date code", "date codes"),
        "customers" => ("customer", "customers"),
        "cautions" => ("caution", "cautions"),
        "lists" => ("entry", "entries"),
        "synonyms" => ("group of synonyms", "groups of synonyms"),
        "kind" => ("value", "values"),
        "words" => ("word", "words"),
        _ => ("item", "items"),
    }
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
    let shown = tree(text).map_or_else(|| text.to_owned(), |tree| tree.shown());
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

/// 'two', '13'.
fn number(n: usize) -> String {
    const WORDS: [&str; 11] = ["two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
    n.checked_sub(2).and_then(|at| WORDS.get(at)).map_or_else(|| n.to_string(), |word| (*word).to_owned())
}
