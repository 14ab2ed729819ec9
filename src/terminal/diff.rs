//! `footring diff`

use super::cli_merge::Diff;
use super::open_key;
use super::outcome::{Outcome, Trouble};
use super::page::plain;
use crate::key::diff::words::{entry, heading, other, reordered_words};
use crate::key::diff::{Difference, OtherChange, What, diff, diff_others};
use crate::key::{Key, KeyFile};
use serde::Serialize;
use std::io::Write;
use std::path::Path;

pub(super) fn run(asked: &Diff, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let (old, new) = (open_key::saying(&asked.old, err)?, open_key::saying(&asked.new, err)?);
    let found = diff(&old, &new);
    let (old_dir, new_dir) = (Path::new(&asked.old), Path::new(&asked.new));
    // The demo key that is built in has no folder to compare.
    let files = if old_dir.is_dir() && new_dir.is_dir() {
        diff_others(old_dir, new_dir).map_err(|why| Trouble::Problem(format!("the pictures can't be compared: {why}")))?
    } else {
        Vec::new()
    };
    if asked.json {
        return super::json(&report(&found, &files, &old, &new), out);
    }
    if found.is_none() && files.is_empty() {
        writeln!(out, "no difference")?;
    }
    text(&found, &old, &new, out)?;
    if !files.is_empty() {
        writeln!(out, "pictures and other files")?;
        for file in &files {
            writeln!(out, "  {}", other(file))?;
        }
    }
    Ok(Outcome::Well)
}

/// What is different, under a heading for each file.
pub(super) fn text(found: &Difference, old: &Key, new: &Key, out: &mut dyn Write) -> std::io::Result<()> {
    for file in KeyFile::ALL {
        let entries: Vec<_> = found.entries.iter().filter(|change| change.file == file).collect();
        let reordered = found.reordered.contains(&file);
        if entries.is_empty() && !reordered {
            continue;
        }
        writeln!(out, "{}", heading(file))?;
        for change in entries {
            writeln!(out, "  {}", entry(change, old, new))?;
        }
        if reordered {
            writeln!(out, "  {}", reordered_words())?;
        }
    }
    Ok(())
}

/// What `--json` prints.
#[derive(Serialize)]
pub(super) struct Report {
    old: String,
    new: String,
    changes: Vec<JsonEntry>,
    reordered: Vec<&'static str>,
    files: Vec<JsonFile>,
}

#[derive(Serialize)]
struct JsonEntry {
    file: &'static str,
    id: String,
    what: &'static str,
    /// The id it had, where it was renamed.
    #[serde(skip_serializing_if = "Option::is_none")]
    from: Option<String>,
    text: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    fields: Vec<JsonField>,
}

#[derive(Serialize)]
struct JsonField {
    /// From the entry down: names of fields, names in maps, what an item of a list is about.
    path: Vec<String>,
    /// As RON.
    before: Option<String>,
    after: Option<String>,
}

#[derive(Serialize)]
struct JsonFile {
    name: String,
    /// Its length in bytes, null where it was not there.
    before: Option<u64>,
    after: Option<u64>,
}

fn report(found: &Difference, files: &[OtherChange], old: &Key, new: &Key) -> Report {
    let changes = found.entries.iter().map(|change| {
        let (what, from, fields) = match &change.what {
            What::Added => ("added", None, &[][..]),
            What::TakenOut => ("taken-out", None, &[][..]),
            What::Renamed { from } => ("renamed", Some(plain(from)), &[][..]),
            What::Changed(fields) => ("changed", None, fields.as_slice()),
        };
        let field = |field: &crate::key::diff::FieldChange| JsonField {
            path: super::merge::steps(&field.steps),
            before: field.before.clone(),
            after: field.after.clone(),
        };
        let fields = fields.iter().map(field).collect();
        JsonEntry { file: change.file.name(), id: change.id.clone(), what, from, text: entry(change, old, new), fields }
    });
    Report {
        old: old.about.title.clone(),
        new: new.about.title.clone(),
        changes: changes.collect(),
        reordered: found.reordered.iter().map(|file| file.name()).collect(),
        files: files.iter().map(|file| JsonFile { name: file.name.clone(), before: file.before, after: file.after }).collect(),
    }
}
