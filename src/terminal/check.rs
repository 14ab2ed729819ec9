//! `footring check`

use super::cli::Check;
use super::open_key;
use super::outcome::{Outcome, Trouble};
use super::page::{count, plain};
use crate::key::{Key, Problem};
use serde::Serialize;
use std::io::Write;

pub(super) fn run(check: &Check, out: &mut dyn Write) -> Result<Outcome, Trouble> {
    let loaded = open_key::load(&check.key)?;
    if check.json {
        print_json(&loaded.key, &loaded.problems, out)?;
    } else {
        print_text(&loaded.key, &loaded.problems, out)?;
    }
    Ok(if loaded.problems.is_empty() { Outcome::Well } else { Outcome::Problems })
}

fn print_text(key: &Key, problems: &[Problem], out: &mut dyn Write) -> Result<(), Trouble> {
    for problem in problems {
        writeln!(out, "{}\n", plain(&problem.with_source()))?;
    }
    let found = match problems.len() {
        0 => "no problems".to_owned(),
        n => count(n, "problem", "problems"),
    };
    let held = [
        count(key.forms.len(), "form", "forms"),
        count(key.lines.len(), "line", "lines"),
        count(key.features.len(), "feature", "features"),
        count(key.glazes.len(), "glaze", "glazes"),
        count(key.marks.len(), "mark", "marks"),
        count(key.papers.len(), "paper", "papers"),
    ];
    writeln!(out, "{}: {found} in {}", plain(&key.about.title), held.join(", "))?;
    Ok(())
}

/// What `--json` prints.
#[derive(Serialize)]
struct Report<'a> {
    key: &'a str,
    problems: Vec<Told<'a>>,
}

#[derive(Serialize)]
struct Told<'a> {
    severity: &'static str,
    code: &'static str,
    file: &'a str,
    /// From 1; 0 means the file as a whole.
    line: usize,
    column: usize,
    text: String,
}

fn print_json(key: &Key, problems: &[Problem], out: &mut dyn Write) -> Result<(), Trouble> {
    let problems = problems
        .iter()
        .map(|problem| Told {
            severity: problem.severity.word(),
            code: problem.code(),
            file: &problem.place.file,
            line: problem.place.line,
            column: problem.place.column,
            text: problem.sentence(),
        })
        .collect();
    super::json(&Report { key: &key.about.title, problems }, out)?;
    Ok(())
}
