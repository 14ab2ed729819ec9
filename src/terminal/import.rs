//! `footring import`

use super::cli::Import;
use super::open_table;
use super::outcome::{Outcome, Trouble};
use super::page::{Rows, count, plain};
use crate::key::tables::{Added, Changes, Guess, HeaderRow, Mapping, Options, Plan, Table, clip, guess, import, new_key};
use crate::key::{Folder, Key, SaveError};
use serde::Serialize;
use std::io::Write;
use std::path::Path;

/// Rows whose cells are looked at for samples of a column.
const SAMPLED: usize = 20;
/// Samples of a column that are shown.
const SHOWN: usize = 3;
/// So many lines of one sort are printed; `--json` has them all.
const MOST: usize = 50;

pub(super) fn run(asked: &Import, out: &mut dyn Write) -> Result<Outcome, Trouble> {
    let (target, path) = paths(asked)?;
    let options = Options { sheet: asked.sheet.clone(), header: header(asked), separator: None };
    let table = open_table::open(path, &options)?;
    let folder = if asked.new.is_some() { None } else { Some(open(target)?) };
    let old = folder.as_ref().map_or_else(|| new_key(&table), |folder| folder.key().clone());
    let (guesses, mapping) = mapping(asked, &table, &old)?;
    if let Some(path) = &asked.write_mapping {
        mapping.write(path).map_err(|e| Trouble::Problem(e.to_string()))?;
    }
    let plan = import(&old, &table, &mapping).map_err(|e| Trouble::Misuse(e.to_string()))?;
    let changes = if asked.make_changes { Changes::Make } else { Changes::Keep };
    if !asked.dry_run {
        write(target, folder, &old, &plan.applied(changes))?;
    }
    let told = Told { asked, target, table: &table, guesses: &guesses, plan: &plan, key: &old };
    if asked.json {
        told.json(out)?;
    } else {
        told.text(out)?;
    }
    let clean = table.problems.is_empty() && plan.left_out.is_empty();
    Ok(if clean { Outcome::Well } else { Outcome::Problems })
}

/// The key's folder and the table.
fn paths(asked: &Import) -> Result<(&Path, &Path), Trouble> {
    match (&asked.new, asked.paths.as_slice()) {
        (Some(new), [table]) => Ok((new, table)),
        (None, [key, table]) => Ok((key, table)),
        (Some(_), _) => Err(Trouble::Misuse("with --new the folder is given there, so one table follows".to_owned())),
        (None, _) => Err(Trouble::Misuse("a key and a table are needed (or --new and a folder, for a new key)".to_owned())),
    }
}

const fn header(asked: &Import) -> HeaderRow {
    match (asked.header, asked.no_header) {
        (true, _) => HeaderRow::First,
        (false, true) => HeaderRow::None,
        (false, false) => HeaderRow::Guess,
    }
}

fn open(dir: &Path) -> Result<Folder, Trouble> {
    let word = dir.display().to_string();
    if !dir.is_dir() {
        let what = if dir.exists() { "is a file" } else { "is not there" };
        return Err(Trouble::Misuse(format!("'{word}' {what} (give the folder of a house key, or make one with --new {word})")));
    }
    Ok(Folder::open(dir))
}

fn mapping(asked: &Import, table: &Table, key: &Key) -> Result<(Vec<Guess>, Mapping), Trouble> {
    if let Some(name) = &asked.name_column
        && table.column(name).is_none()
    {
        let headers: Vec<String> = table.headers.iter().map(|header| format!("'{header}'")).collect();
        return Err(Trouble::Misuse(format!("there is no column '{name}' (there are {})", headers.join(", "))));
    }
    let (mut guesses, mut mapping) = guess(table, key, asked.name_column.as_deref());
    if let Some(path) = &asked.mapping {
        mapping = Mapping::read(path).map_err(|e| Trouble::Misuse(e.to_string()))?;
        for guess in &mut guesses {
            guess.role = mapping.columns.get(&guess.header).cloned().unwrap_or(crate::key::tables::Role::Ignore);
            "from the mapping".clone_into(&mut guess.reason);
        }
    }
    if asked.us {
        mapping.pints = crate::key::tables::quantity::Customary::Us;
    }
    if asked.line.is_some() {
        mapping.line.clone_from(&asked.line);
    }
    Ok((guesses, mapping))
}

fn write(target: &Path, folder: Option<Folder>, old: &Key, new: &Key) -> Result<(), Trouble> {
    let problem = |e: SaveError| Trouble::Problem(e.to_string());
    let mut folder = match folder {
        Some(folder) => folder,
        None => Folder::create(target, &old.about).map_err(problem)?,
    };
    folder.save(new).map_err(problem)?;
    Ok(())
}

struct Told<'a> {
    asked: &'a Import,
    target: &'a Path,
    table: &'a Table,
    guesses: &'a [Guess],
    plan: &'a Plan,
    key: &'a Key,
}

impl Told<'_> {
    fn text(&self, out: &mut dyn Write) -> Result<(), Trouble> {
        let table = self.table;
        let rows = count(table.len(), "row", "rows");
        let columns = count(table.headers.len(), "column", "columns");
        writeln!(out, "{}", plain(&format!("{}: {rows}, {columns}", table.place(crate::key::tables::CellAt::WHOLE))))?;
        let mut page = Rows::default();
        for (column, guess) in self.guesses.iter().enumerate() {
            page.add([guess.header.clone(), guess.role.full(), guess.reason.clone(), samples(table, column)]);
        }
        page.write(out, "  ")?;
        let list = |out: &mut dyn Write, what: &str, lines: Vec<String>| -> Result<(), Trouble> {
            if lines.is_empty() {
                return Ok(());
            }
            writeln!(out, "\n{what}:")?;
            for line in lines.iter().take(MOST) {
                writeln!(out, "  {}", plain(line))?;
            }
            if lines.len() > MOST {
                writeln!(out, "  … and {} more (--json lists them all)", lines.len() - MOST)?;
            }
            Ok(())
        };
        list(out, "taken for granted", table.notes.iter().map(|note| note.tell(table)).collect())?;
        let unread = table.problems.iter().map(|problem| problem.tell(table));
        let left_out: Vec<String> = unread.chain(self.plan.left_out.iter().map(|left_out| left_out.tell(table))).collect();
        list(out, "left out", left_out)?;
        list(out, "to look at", self.plan.problems.iter().map(|problem| problem.tell(table)).collect())?;
        let heading = if self.asked.make_changes { "changed" } else { "not changed, the key says otherwise (--make-changes widens it)" };
        list(out, heading, self.plan.changes.iter().map(|change| self.change(change)).collect())?;
        writeln!(out, "\n{}", plain(&self.summary()))?;
        Ok(())
    }

    fn change(&self, change: &crate::key::tables::Change) -> String {
        let says = |record| self.key.record_words(&change.feature, record);
        let (name, feature) = (self.key.form_name(&change.form), self.key.feature_name(&change.feature));
        format!("{name}: {feature} {} → {}", says(&change.before), says(&change.after))
    }

    fn summary(&self) -> String {
        let what = self.plan.added().words().unwrap_or_else(|| "nothing new".to_owned());
        let rows = count(self.plan.rows, "row", "rows");
        let sort = if self.plan.pieces { "each a piece (how often forms are found follows from it)" } else { "each a form" };
        let done = if self.asked.dry_run { "would be added to" } else { "added to" };
        format!("{what} {done} {} from {rows}, {sort}", self.target.display())
    }

    fn json(&self, out: &mut dyn Write) -> Result<(), Trouble> {
        let table = self.table;
        let report = Report {
            table: &table.file,
            sheet: table.sheet.as_deref(),
            rows: table.len(),
            rows_brought_in: self.plan.rows,
            pieces: self.plan.pieces,
            dry_run: self.asked.dry_run,
            columns: self
                .guesses
                .iter()
                .map(|guess| Column { header: &guess.header, role: guess.role.full(), reason: &guess.reason })
                .collect(),
            added: self.plan.added(),
            taken_for_granted: table.notes.iter().map(|note| Matter::new(note.at, &note.kind)).collect(),
            left_out: table
                .problems
                .iter()
                .map(|problem| Matter::new(problem.at, &problem.kind))
                .chain(self.plan.left_out.iter().map(|left_out| Matter::new(left_out.at, &left_out.why)))
                .collect(),
            to_look_at: self.plan.problems.iter().map(|problem| Matter::new(problem.at, &problem.why)).collect(),
            changes: self
                .plan
                .changes
                .iter()
                .map(|change| ChangeTold {
                    form: change.form.as_str(),
                    feature: change.feature.as_str(),
                    before: self.key.record_words(&change.feature, &change.before),
                    after: self.key.record_words(&change.feature, &change.after),
                    made: self.asked.make_changes && !self.asked.dry_run,
                })
                .collect(),
        };
        super::json(&report, out)?;
        Ok(())
    }
}

/// What stands in a column of the first rows, to see the guess by: '79, 95, 62 …'.
fn samples(table: &Table, column: usize) -> String {
    let mut found: Vec<String> = Vec::new();
    let mut more = "";
    for row in table.rows().take(SAMPLED) {
        let cell = clip(row.cell(column));
        if cell.is_empty() || found.contains(&cell) {
            continue;
        }
        if found.len() == SHOWN {
            more = " …";
            break;
        }
        found.push(cell);
    }
    format!("{}{more}", found.join(" | "))
}

/// What `--json` prints.
#[derive(Serialize)]
struct Report<'a> {
    table: &'a str,
    sheet: Option<&'a str>,
    rows: usize,
    rows_brought_in: usize,
    /// True where each row is one piece, false where each is a form.
    pieces: bool,
    dry_run: bool,
    columns: Vec<Column<'a>>,
    added: Added,
    taken_for_granted: Vec<Matter>,
    left_out: Vec<Matter>,
    to_look_at: Vec<Matter>,
    changes: Vec<ChangeTold<'a>>,
}

#[derive(Serialize)]
struct Column<'a> {
    header: &'a str,
    role: String,
    reason: &'a str,
}

#[derive(Serialize)]
struct Matter {
    /// From 1; 0 means all.
    row: u32,
    column: u32,
    message: String,
}

impl Matter {
    fn new(at: crate::key::tables::CellAt, message: &impl ToString) -> Self {
        Self { row: at.row, column: at.column, message: message.to_string() }
    }
}

#[derive(Serialize)]
struct ChangeTold<'a> {
    form: &'a str,
    feature: &'a str,
    before: String,
    after: String,
    made: bool,
}
