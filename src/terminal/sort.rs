//! `footring sort`

use super::cli::Sort;
use super::open_key;
use super::open_table;
use super::outcome::{Outcome, Trouble};
use super::page::{Rows, count, plain, say};
use super::progress;
use crate::identify::VerdictState;
use crate::key::Key;
use crate::key::tables::{HeaderRow, Options, Table};
use crate::sheets::csv::save;
use crate::sheets::named::{Namer, Sorted, Use};
use std::io::Write;
use std::path::Path;

/// Cells that could not be read, told one by one.
const TOLD: usize = 20;

pub(super) fn run(sort: &Sort, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let key = open_key::with_forms(&sort.key, err)?;
    let to_file = sort.out != Path::new("-");
    if to_file && same_file(&sort.table, &sort.out) {
        return Err(Trouble::Misuse(format!(
            "'{}' is the table itself, which is never written over (give --out another name)",
            sort.out.display()
        )));
    }
    let options = Options { sheet: sort.sheet.clone(), header: HeaderRow::First, separator: None };
    let list = open_table::open(&sort.table, &options)?;
    let namer = Namer::new(&key, &list.headers);
    let columns = namer.uses().iter().filter(|to| matches!(to, Use::Feature(_))).count();
    if columns == 0 {
        return Err(Trouble::Problem(no_column(&key, &list)));
    }
    tell_columns(&key, &namer, &list, err);
    let bar = progress::bar("rows named");
    let mut watch = |done: usize| progress::show(&bar, done, list.len());
    let cell = |row: usize, column: usize| list.cell(row, column);
    let sorted = if to_file {
        let file = sort.out.display().to_string();
        save(&sort.out, |file| namer.write(list.len(), &cell, file, &mut watch))
            .map_err(|e| Trouble::Problem(format!("'{file}' can't be written: {e}")))
    } else {
        namer.write(list.len(), &cell, out, &mut watch).map_err(Trouble::Output)
    };
    bar.finish_and_clear();
    let sorted = sorted?;
    tell_problems(&sorted, &list, err);
    if to_file {
        let rows = count(sorted.rows, "row", "rows");
        let by = count(columns, "feature", "features");
        writeln!(out, "{}", plain(&format!("{rows} named by {by}, written to {}", sort.out.display())))?;
        print_states(&sorted, out)?;
    }
    Ok(if sorted.all_problems == 0 && list.problems.is_empty() { Outcome::Well } else { Outcome::Problems })
}

/// 'box.csv, row 12, column C ('handle')'
fn place(list: &Table, row: usize, column: usize) -> String {
    format!("{} ('{}')", list.place(list.at(row, column)), list.headers.get(column).map_or("", String::as_str))
}

/// True where both lead to one file.
fn same_file(table: &Path, out: &Path) -> bool {
    matches!((std::fs::canonicalize(table), std::fs::canonicalize(out)), (Ok(table), Ok(out)) if table == out)
}

fn no_column(key: &Key, list: &Table) -> String {
    const SHOWN: usize = 5;
    let names: Vec<String> = key.features.iter().take(SHOWN).map(|feature| format!("'{}'", feature.shown_name())).collect();
    let more = if key.features.len() > SHOWN { " …" } else { "" };
    format!("no column of '{}' is called like a feature of this key ({}{more})", list.file, names.join(", "))
}

/// What the columns were taken for, where that needs saying.
fn tell_columns(key: &Key, namer: &Namer<'_>, list: &Table, err: &mut dyn Write) {
    open_table::tell(list, err);
    for (column, (to, header)) in namer.uses().iter().zip(&list.headers).enumerate() {
        match to {
            Use::Twice(id) => {
                let name = key.feature_name(id);
                say(err, &format!("column '{header}' is not read: a column before it already says the {name}"));
            }
            Use::Other => {
                if let Some(meant) = namer.meant(column).first() {
                    say(err, &format!("column '{header}' is kept and not read: it is no feature of this key (did you mean '{meant}'?)"));
                }
            }
            Use::Feature(_) | Use::Missing => {}
        }
    }
}

fn tell_problems(sorted: &Sorted, list: &Table, err: &mut dyn Write) {
    for problem in sorted.problems.iter().take(TOLD) {
        say(err, &format!("{}: {}", place(list, problem.row, problem.column), problem.says));
    }
    let more = sorted.all_problems.saturating_sub(TOLD);
    if more > 0 {
        say(err, &format!("and {} more that can't be read (the last column lists them)", count(more, "cell", "cells")));
    }
}

fn print_states(sorted: &Sorted, out: &mut dyn Write) -> Result<(), Trouble> {
    let words = |state: &VerdictState| match state {
        VerdictState::Nothing => "nothing was seen that rules anything out",
        VerdictState::Narrowing => "several forms are left",
        VerdictState::Leaning => "probably one form",
        VerdictState::Settled => "settled",
        VerdictState::NotInKey => "not in this key",
        VerdictState::Contradiction => "the answers do not go together",
    };
    let wide = sorted.rows.to_string().len();
    let mut rows = Rows::default();
    let order = [
        VerdictState::Settled,
        VerdictState::Leaning,
        VerdictState::Narrowing,
        VerdictState::NotInKey,
        VerdictState::Contradiction,
        VerdictState::Nothing,
    ];
    for state in order {
        if let Some(n) = sorted.states.get(&state) {
            rows.add([format!("{n:>wide$}"), words(&state).to_owned()]);
        }
    }
    rows.write(out, "  ")?;
    Ok(())
}
