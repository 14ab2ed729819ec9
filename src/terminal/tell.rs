//! `footring tell`

use super::alone::shown;
use super::cli::Tell;
use super::open_key;
use super::outcome::{Outcome, Trouble};
use super::page::{Rows, percent, plain};
use crate::identify::{Index, Piece, Tells};
use crate::key::{Form, Key, Words};
use serde::Serialize;
use std::io::Write;

/// Tells that are written out without `--all`.
const WRITTEN_OUT: usize = 4;

pub(super) fn run(tell: &Tell, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let key = open_key::with_forms(&tell.key, err)?;
    let words = Words::new(&key);
    let mut forms: Vec<&Form> = Vec::new();
    for text in &tell.forms {
        let id = words.form(text).map_err(|e| Trouble::Misuse(e.to_string()))?;
        let Some(form) = key.form(&id) else { continue };
        if forms.iter().any(|other| other.id == form.id) {
            return Err(Trouble::Misuse(format!("'{}' was given twice", key.full_name(form))));
        }
        forms.push(form);
    }
    let mut piece = Piece::default();
    for text in &tell.missing {
        piece.missing.insert(words.part(text).map_err(|e| Trouble::Misuse(format!("--missing '{text}': {e}")))?);
    }
    if tell.alone || tell.line.is_some() {
        return super::alone::run(&key, tell, &forms, piece.missing, out);
    }
    if tell.least_effort {
        return Err(Trouble::Misuse("--least-effort goes with --alone or --line".to_owned()));
    }
    if forms.len() < 2 {
        return Err(Trouble::Misuse(
            "one form needs another to be told from (name it too, or add --alone to tell it from all others)".to_owned(),
        ));
    }
    let ids: Vec<_> = forms.iter().map(|form| form.id.clone()).collect();
    let tells = Index::new(&key).tells(&ids, Some(&piece));
    if tell.json {
        super::json(&report(&key, &forms, &tells), out)?;
    } else {
        let most = if tell.all { usize::MAX } else { WRITTEN_OUT };
        print_text(&key, &forms, &tells, most, out)?;
    }
    Ok(Outcome::Well)
}

fn print_text(key: &Key, forms: &[&Form], tells: &Tells, most: usize, out: &mut dyn Write) -> Result<(), Trouble> {
    if tells.tells.is_empty() {
        writeln!(out, "Nothing that is recorded tells these forms apart")?;
    } else {
        writeln!(out, "Told apart by, surest first")?;
    }
    for tell in tells.tells.iter().take(most) {
        let lid = if tell.lid_on_only { ", only with the lid on" } else { "" };
        let head = format!("{} ({}{lid}): right {} of the time", tell.name, tell.view.words(), percent(tell.surely).trim_start());
        writeln!(out, "\n  {}", plain(&head))?;
        let mut rows = Rows::default();
        for (form, value) in forms.iter().zip(&tell.values) {
            rows.add([key.full_name(form), value.clone()]);
        }
        rows.write(out, "    ")?;
    }
    let less: Vec<&str> = tells.tells.iter().skip(most).map(|tell| tell.name.as_str()).collect();
    if !less.is_empty() {
        writeln!(out, "\nAlso, less surely (--all writes them out): {}", plain(&less.join("; ")))?;
    }
    for (head, features) in
        [("The same", &tells.same), ("Not recorded well enough", &tells.unknown), ("On a part that is missing", &tells.missing)]
    {
        if !features.is_empty() {
            writeln!(out, "\n{head}: {}", plain(&shown(key, features).join("; ")))?;
        }
    }
    Ok(())
}

/// What `--json` prints.
#[derive(Serialize)]
struct Report {
    key: String,
    forms: Vec<Named>,
    tells: Vec<Line>,
    same: Vec<String>,
    unknown: Vec<String>,
    missing: Vec<String>,
}

#[derive(Serialize)]
struct Named {
    form: String,
    line: String,
}

#[derive(Serialize)]
struct Line {
    feature: String,
    /// What each form has, in words, in the order of the forms.
    values: Vec<String>,
    /// Probability that one honest reading picks the right form.
    surely: f64,
    lid_on_only: bool,
}

fn report(key: &Key, forms: &[&Form], tells: &Tells) -> Report {
    let named =
        |form: &&Form| Named { form: form.name.clone(), line: key.line(&form.line).map(|line| line.name.clone()).unwrap_or_default() };
    Report {
        key: key.about.title.clone(),
        forms: forms.iter().map(named).collect(),
        tells: tells
            .tells
            .iter()
            .map(|tell| Line {
                feature: tell.name.clone(),
                values: tell.values.clone(),
                surely: tell.surely,
                lid_on_only: tell.lid_on_only,
            })
            .collect(),
        same: shown(key, &tells.same),
        unknown: shown(key, &tells.unknown),
        missing: shown(key, &tells.missing),
    }
}
