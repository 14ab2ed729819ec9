//! `footring reconcile`

use super::cli_pair::Reconcile as Asked;
use super::open_key;
use super::open_table;
use super::outcome::{Outcome, Trouble};
use super::page::{Rows, count, four_places, percent, plain};
use super::told::{Told, Wanted, tell};
use crate::daybook::papers::{Abbreviations, Habit, Reconciled, entries, reconcile};
use crate::key::tables::{HeaderRow, Options};
use crate::key::words::Words;
use crate::sheets::csv::guarded_unless_a_number;
use serde::Serialize;
use std::io::{self, Write};

/// How far entries stray from a habit that a person states, as a share.
const STATED_SPREAD: f64 = 0.025;

pub(super) fn run(asked: &Asked, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let key = open_key::with_forms(&asked.key, err)?;
    let paper = match &asked.paper {
        Some(text) => {
            let id = Words::new(&key).paper(text).map_err(|e| Trouble::Misuse(format!("--paper '{text}': {e}")))?;
            key.paper(&id)
        }
        None => None,
    };
    if let Some(file) = &asked.out
        && matches!((std::fs::canonicalize(&asked.list), std::fs::canonicalize(file)), (Ok(list), Ok(file)) if list == file)
    {
        return Err(Trouble::Misuse(format!(
            "'{}' is the list itself, which is never written over (give --out another name)",
            file.display()
        )));
    }
    let table = open_table::open(&asked.list, &Options { sheet: None, header: HeaderRow::First, separator: None })?;
    open_table::tell(&table, err);
    let list = entries(&table);
    if list.is_empty() {
        return Err(Trouble::Problem(format!(
            "there is no entry in '{}' (a row each was expected below the names of the columns)",
            table.file
        )));
    }
    let stated = asked.ratio.map(|ratio| Habit { ratio, spread: STATED_SPREAD, entries: 0 });
    let found = reconcile(&key, &list, paper, &Abbreviations::built_in(), stated);
    let told = Report { found: &found };
    tell(&told, Wanted { file: asked.out.as_deref(), json: asked.json }, out)?;
    Ok(if table.problems.is_empty() { Outcome::Well } else { Outcome::Problems })
}

struct Report<'r> {
    found: &'r Reconciled,
}

#[derive(Serialize)]
struct Json<'r> {
    entries: Vec<Row<'r>>,
    ratio: f64,
    ratio_spread: f64,
    ratio_entries: usize,
}

#[derive(Serialize)]
struct Row<'r> {
    written: &'r str,
    /// None where no form of this key fits.
    form: Option<&'r str>,
    name: &'r str,
    probability: f64,
    runner_up: Option<&'r str>,
    runner_up_name: &'r str,
    runner_up_probability: f64,
    no_form_of_this_key: f64,
    price: &'r str,
    glazes: Vec<String>,
}

const NO_FORM: &str = "no form of this key";

impl<'r> Report<'r> {
    fn rows(&self) -> impl Iterator<Item = Row<'r>> {
        self.found.entries.iter().map(|meant| {
            let (best, (second, p)) = (meant.best(), meant.runner_up());
            Row {
                written: &meant.entry.written,
                form: best.map(|guess| guess.form.as_str()),
                name: best.map_or(NO_FORM, |guess| guess.name.as_str()),
                probability: best.map_or(meant.none, |guess| guess.probability),
                runner_up: second.map(|guess| guess.form.as_str()),
                runner_up_name: second.map_or(NO_FORM, |guess| guess.name.as_str()),
                runner_up_probability: p,
                no_form_of_this_key: meant.none,
                price: &meant.entry.price,
                glazes: meant.glazes.iter().map(ToString::to_string).collect(),
            }
        })
    }
}

impl Told for Report<'_> {
    fn summary(&self) -> String {
        let none = self.found.entries.iter().filter(|meant| meant.best().is_none()).count();
        let habit = &self.found.habit;
        let of = match habit.entries {
            0 => String::new(),
            n => format!(
                "; its lengths are {:.3} of measured ones, give or take {:.1} % (from {})",
                habit.ratio,
                habit.spread * 100.0,
                count(n, "entry", "entries")
            ),
        };
        format!("{}, {none} of them no form of this key{of}", count(self.found.entries.len(), "entry", "entries"))
    }

    fn json(&self, out: &mut dyn Write) -> io::Result<()> {
        let habit = &self.found.habit;
        let json = Json { entries: self.rows().collect(), ratio: habit.ratio, ratio_spread: habit.spread, ratio_entries: habit.entries };
        serde_json::to_writer_pretty(&mut *out, &json)?;
        writeln!(out)
    }

    fn csv(&self, out: &mut dyn Write) -> io::Result<()> {
        let mut csv = csv::Writer::from_writer(out);
        csv.write_record([
            "written",
            "form",
            "name",
            "probability",
            "runner-up",
            "its probability",
            "no form of this key",
            "glazes",
            "price",
        ])?;
        for row in self.rows() {
            let cells = [
                row.written.to_owned(),
                row.form.unwrap_or_default().to_owned(),
                row.name.to_owned(),
                four_places(row.probability),
                row.runner_up_name.to_owned(),
                four_places(row.runner_up_probability),
                four_places(row.no_form_of_this_key),
                row.glazes.join("; "),
                row.price.to_owned(),
            ];
            csv.write_record(cells.iter().map(|cell| guarded_unless_a_number(cell)))?;
        }
        csv.flush()
    }

    fn text(&self, out: &mut dyn Write) -> io::Result<()> {
        writeln!(out, "{}", plain(&self.summary()))?;
        let mut rows = Rows::default();
        for row in self.rows() {
            let second = format!("else {} ({})", row.runner_up_name, percent(row.runner_up_probability).trim_start());
            rows.add([row.written.to_owned(), row.name.to_owned(), percent(row.probability), second]);
        }
        rows.write(out, "  ")
    }
}
