//! Reading and reconciling lists, off the frame.

use crate::daybook::papers::{Abbreviations, Entry, Reconciled, entries, pasted, reconcile};
use crate::desk::daybook::pages::Done;
use crate::desk::jobs::{Done as JobDone, Jobs};
use crate::key::tables::{HeaderRow, Options, read as read_table};
use crate::key::{Key, PaperId};
use crate::say;
use egui::Context;
use std::path::PathBuf;
use std::sync::Arc;

/// Where a list comes from.
#[derive(Debug, Clone)]
pub enum From {
    /// A file.
    File(PathBuf),
    /// A text that was pasted.
    Text(String),
}

/// A list, reconciled.
#[derive(Debug)]
pub struct Found {
    pub(super) paper: PaperId,
    pub(super) list: Reconciled,
    /// What of the list could not be read, in sentences.
    pub(super) told: Vec<String>,
}

/// Asks for a list with the system's dialog.
pub(super) fn choose(jobs: &mut Jobs, ctx: &Context) {
    jobs.start(ctx, say!("Choosing a list"), |_progress| {
        let dialog = rfd::FileDialog::new().set_title(say!("Read a paper's list")).add_filter(say!("Lists"), &crate::desk::bring_in::KINDS);
        JobDone::Pages(Done::ListChosen(dialog.pick_file()))
    });
}

/// Reads a list and finds what each entry means.
pub(super) fn start(jobs: &mut Jobs, ctx: &Context, key: Arc<Key>, paper: PaperId, from: From) {
    jobs.start(ctx, say!("Reconciling a list"), move |_progress| {
        let found = read(from).and_then(|(list, told)| {
            if list.is_empty() {
                return Err(say!("there is no entry in this list (one in each line or row was expected)").to_owned());
            }
            let found = reconcile(&key, &list, key.paper(&paper), &Abbreviations::built_in(), None);
            Ok(Box::new(Found { paper, list: found, told }))
        });
        JobDone::Pages(Done::Reconciled(found))
    });
}

fn read(from: From) -> Result<(Vec<Entry>, Vec<String>), String> {
    match from {
        From::Text(text) => Ok((pasted(&text), Vec::new())),
        From::File(path) => {
            let options = Options { sheet: None, header: HeaderRow::First, separator: None };
            let table = read_table(&path, &options).map_err(|error| error.to_string())?;
            let told = table.problems.iter().map(|problem| problem.tell(&table)).collect();
            Ok((entries(&table), told))
        }
    }
}
