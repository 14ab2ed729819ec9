//! `footring census`

use super::cli_pair::Census as Asked;
use super::outcome::{Outcome, Trouble};
use super::page::{Rows, count, plain};
use super::{finds, open_key};
use crate::daybook::census::{By, Cell, Census, Interval, State, TallyQuestion, census, share};
use crate::key::{FormId, Key, percent};
use crate::sheets::csv::{guarded_unless_a_number, save};
use jiff::Timestamp;
use serde::Serialize;
use std::io::{self, Write};
use std::path::Path;

/// Cells of one state that are printed without `--all`.
const SHOWN: usize = 12;

pub(super) fn run(asked: &Asked, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let key = open_key::with_forms(&asked.key, err)?;
    let daybook = finds::open(&asked.daybook)?;
    let tallies = daybook.tally(&TallyQuestion::of(&key, &finds::key_folder(&asked.key))).map_err(finds::trouble)?;
    let by = if asked.by == "decoration" { By::Decoration } else { By::Glaze };
    let found = census(&key, &tallies, by);
    let told = Told { key: &key, census: &found, by };
    match &asked.csv {
        Some(file) if file == Path::new("-") => told.csv(out)?,
        Some(file) => {
            save(file, |to| told.csv(to)).map_err(|e| Trouble::Problem(format!("'{}' can't be written: {e}", file.display())))?;
            writeln!(out, "{}", plain(&format!("{}, written to {}", count(found.cells.len(), "cell", "cells"), file.display())))?;
        }
        None if asked.json => return super::json(&told.rows(), out),
        None => told.text(asked.all, out)?,
    }
    Ok(Outcome::Well)
}

struct Told<'c> {
    key: &'c Key,
    census: &'c Census,
    by: By,
}

#[derive(Serialize)]
struct Json {
    cells: Vec<JsonCell>,
    unsaid: Vec<JsonUnsaid>,
    richness: JsonRichness,
}

#[derive(Serialize)]
struct JsonCell {
    form: FormId,
    name: String,
    column: String,
    state: &'static str,
    finds: u64,
    settled: u64,
    /// Of the settled finds of this form, how many are of this column.
    share: Option<JsonShare>,
    first: Option<String>,
    last: Option<String>,
    claimed: Option<&'static str>,
    papers: Vec<String>,
}

#[derive(Serialize)]
struct JsonShare {
    middle: f64,
    low: f64,
    high: f64,
}

#[derive(Serialize)]
struct JsonUnsaid {
    form: FormId,
    finds: u64,
}

#[derive(Serialize)]
struct JsonRichness {
    seen: u64,
    finds: u64,
    once: u64,
    twice: u64,
    unseen: f64,
    unseen_low: f64,
    unseen_high: f64,
    coverage: f64,
}

impl Told<'_> {
    fn name(&self, form: &FormId) -> String {
        self.key.form(form).map_or_else(|| format!("{form} (not in this key)"), |found| self.key.full_name(found))
    }

    fn column(&self, id: &str) -> String {
        let name = match self.by {
            By::Glaze => self.key.glazes.iter().find(|glaze| glaze.id.as_str() == id).map(|glaze| &glaze.name),
            By::Decoration => {
                self.key.decorations.iter().find(|decoration| decoration.id.as_str() == id).map(|decoration| &decoration.name)
            }
        };
        name.cloned().unwrap_or_else(|| format!("{id} (not in this key)"))
    }

    /// The share of a cell among the settled finds of its form; none where there are none.
    fn share(&self, cell: &Cell) -> Option<Interval> {
        let (of_form, _) = self.census.settled_of(&cell.form);
        (of_form > 0).then(|| share(cell.settled, of_form))
    }

    fn rows(&self) -> Json {
        let day = |at: Option<Timestamp>| at.map(|at| at.strftime("%Y-%m-%d").to_string());
        let cells = self.census.cells.iter().map(|cell| JsonCell {
            form: cell.form.clone(),
            name: self.name(&cell.form),
            column: cell.column.clone(),
            state: cell.state.words(),
            finds: cell.finds,
            settled: cell.settled,
            share: self.share(cell).map(|share| JsonShare { middle: share.middle, low: share.low, high: share.high }),
            first: day(cell.first),
            last: day(cell.last),
            claimed: cell.claimed.as_ref().map(|claimed| claimed.how.words()),
            papers: cell.papers.iter().map(ToString::to_string).collect(),
        });
        let richness = &self.census.richness;
        let (unseen, (low, high)) = richness.unseen();
        Json {
            cells: cells.collect(),
            unsaid: self.census.unsaid.iter().map(|(form, finds)| JsonUnsaid { form: form.clone(), finds: *finds }).collect(),
            richness: JsonRichness {
                seen: richness.kinds,
                finds: richness.finds,
                once: richness.once,
                twice: richness.twice,
                unseen,
                unseen_low: low,
                unseen_high: high,
                coverage: richness.coverage,
            },
        }
    }

    fn csv(&self, out: &mut dyn Write) -> io::Result<()> {
        let mut csv = csv::Writer::from_writer(out);
        csv.write_record(["form", self.by.word(), "state", "finds", "settled", "first", "last", "claimed", "papers"])?;
        for row in self.rows().cells {
            let texts = [row.name, self.column(&row.column), row.state.to_owned(), row.finds.to_string(), row.settled.to_string()];
            let more = [
                row.first.unwrap_or_default(),
                row.last.unwrap_or_default(),
                row.claimed.unwrap_or_default().to_owned(),
                row.papers.join("; "),
            ];
            csv.write_record(texts.iter().chain(&more).map(|text| guarded_unless_a_number(text)))?;
        }
        csv.flush()
    }

    fn text(&self, all: bool, out: &mut dyn Write) -> io::Result<()> {
        let richness = &self.census.richness;
        let pairs = format!("pairs of form and {}", self.by.word());
        let settled = count(usize::try_from(richness.finds).unwrap_or(usize::MAX), "settled find", "settled finds");
        writeln!(out, "{}", plain(&format!("{}: {settled} of {} {pairs}", self.key.about.title, richness.kinds)))?;
        if richness.finds > 0 {
            let (unseen, (low, high)) = richness.unseen();
            let seen = format!("{} once, {} twice", richness.once, richness.twice);
            writeln!(out, "Pairs still unseen: at least {unseen:.0}, {low:.0} to {high:.0} (Chao 1984; seen {seen})")?;
            writeln!(out, "Of the next finds {} should be of a pair already seen (Good and Turing)", percent(richness.coverage))?;
        }
        for state in State::ALL {
            let cells: Vec<&Cell> = self.census.cells.iter().filter(|cell| cell.state == state).collect();
            if cells.is_empty() {
                continue;
            }
            writeln!(out, "\n{}: {}", state.words(), cells.len())?;
            let shown = if all { cells.len() } else { SHOWN };
            let mut rows = Rows::default();
            for cell in cells.iter().take(shown) {
                let finds =
                    if cell.finds == 0 { String::new() } else { count(usize::try_from(cell.finds).unwrap_or(usize::MAX), "find", "finds") };
                let share = match self.share(cell) {
                    Some(share) if cell.settled > 0 => format!("{} to {} of the form", percent(share.low), percent(share.high)),
                    _ => String::new(),
                };
                let papers = cell.papers.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
                rows.add([self.name(&cell.form), self.column(&cell.column), finds, share, papers]);
            }
            rows.write(out, "  ")?;
            if cells.len() > shown {
                writeln!(out, "  and {} more (--all lists them)", cells.len() - shown)?;
            }
        }
        Ok(())
    }
}
