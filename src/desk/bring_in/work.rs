//! Reading a list and planning what it would do, off the frame.

use crate::desk::document::Compiled;
use crate::desk::jobs::{Done as JobDone, Jobs};
use crate::desk::key_work;
use crate::key::tables::{Added, CellAt, Guess, Mapping, Options, Plan, Table, guess, import, new_key, read};
use crate::key::{Folder, Key};
use crate::say;
use egui::Context;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What such a job sends.
#[derive(Debug)]
pub enum Done {
    /// The dialog was closed: the list chosen, if any.
    Chosen(Option<PathBuf>),
    /// A list was read.
    Read(PathBuf, Options, Result<Read, String>),
    /// What it would do was worked out.
    Planned(Asked, Result<Arc<Outcome>, String>),
    /// A new key could not be made, and why; nothing where no folder was chosen.
    NoNewKey(Option<String>),
}

/// A list that was read, with what its columns are taken for.
#[derive(Debug)]
pub struct Read {
    pub(super) table: Arc<Table>,
    pub(super) guesses: Vec<Guess>,
    pub(super) mapping: Mapping,
}

/// What a plan is of.
#[derive(Debug, Clone)]
pub struct Asked {
    /// The key the list goes into; an empty one for a new key.
    pub(super) key: Arc<Key>,
    pub(super) table: Arc<Table>,
    pub(super) mapping: Mapping,
}

impl PartialEq for Asked {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.key, &other.key) && Arc::ptr_eq(&self.table, &other.table) && self.mapping == other.mapping
    }
}

/// What a list would do, and what is shown of it: worked out once, since a list may have a million rows.
#[derive(Debug)]
pub struct Outcome {
    pub(super) plan: Plan,
    pub(super) added: Added,
    /// Why cells of the rows that are shown were left out or want a look, by their row and column in the file.
    pub(super) unread: HashMap<(u32, u32), String>,
}

impl Outcome {
    fn of(table: &Table, plan: Plan) -> Self {
        let mut unread: HashMap<(u32, u32), String> = HashMap::new();
        let last = table.len().min(super::columns::ROWS);
        let is_shown = |at: CellAt| last > 0 && at.row <= table.at(last - 1, 0).row;
        for problem in table.problems.iter().filter(|problem| is_shown(problem.at)) {
            unread.insert((problem.at.row, problem.at.column), problem.kind.to_string());
        }
        for left_out in plan.left_out.iter().chain(&plan.problems).filter(|left_out| is_shown(left_out.at)) {
            unread.insert((left_out.at.row, left_out.at.column), left_out.why.to_string());
        }
        Self { added: plan.added(), plan, unread }
    }
}

/// Asks for a list with the system's dialog.
pub(super) fn choose(jobs: &mut Jobs, ctx: &Context) {
    jobs.start(ctx, say!("Choosing a list"), |_progress| {
        let dialog = rfd::FileDialog::new().set_title(say!("Bring in a list")).add_filter(say!("Lists"), &super::KINDS);
        JobDone::BringIn(Done::Chosen(dialog.pick_file()))
    });
}

/// Reads a list and guesses its columns.
pub(super) fn read_list(jobs: &mut Jobs, ctx: &Context, path: PathBuf, options: Options, key: Arc<Key>) {
    jobs.start(ctx, say!("Reading {path}", path = super::file_name(&path)), move |_progress| {
        let found = read(&path, &options).map_err(|error| error.to_string()).map(|table| {
            let (guesses, mapping) = guess(&table, &key, None);
            Read { table: Arc::new(table), guesses, mapping }
        });
        JobDone::BringIn(Done::Read(path, options, found))
    });
}

/// Works out what a list would do.
pub(super) fn plan(jobs: &mut Jobs, ctx: &Context, asked: Asked) {
    jobs.start(ctx, say!("Working out what the list would do"), move |_progress| {
        let plan = import(&asked.key, &asked.table, &asked.mapping).map_err(|error| error.to_string());
        let outcome = plan.map(|plan| Arc::new(Outcome::of(&asked.table, plan)));
        JobDone::BringIn(Done::Planned(asked, outcome))
    });
}

/// Asks for a folder and makes a new key of the plan in it, which is then opened.
pub(super) fn choose_and_make(jobs: &mut Jobs, ctx: &Context, outcome: Arc<Outcome>, table: Arc<Table>) {
    jobs.start(ctx, say!("Making a new key"), move |_progress| {
        let title = say!("A new key: choose an empty folder");
        match rfd::FileDialog::new().set_title(title).pick_folder() {
            Some(dir) => make(&dir, &outcome.plan, &table),
            None => JobDone::BringIn(Done::NoNewKey(None)),
        }
    });
}

/// Makes a new key of the plan in that folder, which is then opened.
pub(super) fn make_in(jobs: &mut Jobs, ctx: &Context, dir: PathBuf, outcome: Arc<Outcome>, table: Arc<Table>) {
    jobs.start(ctx, say!("Making a new key"), move |_progress| make(&dir, &outcome.plan, &table));
}

fn make(dir: &Path, plan: &Plan, table: &Table) -> JobDone {
    let made = (|| {
        if std::fs::read_dir(dir).is_ok_and(|mut entries| entries.next().is_some()) {
            return Err(say!("'{dir}' is not empty; choose or make an empty folder", dir = dir.display()));
        }
        let mut folder = Folder::create(dir, &new_key(table).about).map_err(|error| error.to_string())?;
        folder.save(&plan.applied(crate::key::tables::Changes::Keep)).map_err(|error| error.to_string())?;
        Ok(folder)
    })();
    match made {
        Ok(folder) => {
            let compiled = Compiled::new(Arc::new(folder.key().clone())).in_full();
            JobDone::Key(key_work::Done::Opened(Box::new(folder), Box::new(compiled), key_work::Because::Asked, None))
        }
        Err(why) => JobDone::BringIn(Done::NoNewKey(Some(why))),
    }
}
