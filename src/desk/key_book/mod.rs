//! The Key Book: the house key, form by form. All forms stand on shelves, line by line; one is opened as a sheet.
//!
//! A sheet is a draft of a form: nothing of the key changes until it is saved, and every edit of the draft can be undone.

mod draft;
mod entries;
mod features;
mod likeness;
mod prefill;
mod profile;
mod sheet;
mod shelves;

pub use draft::Sheet;

use super::board::vessel::Drawings;
use super::command::{Command, Notice};
use super::document::Document;
use crate::key::{FormId, Severity, check_form};
use egui::Ui;

/// What the Key Book shows.
#[derive(Debug, Default)]
pub struct KeyBookView {
    /// What is typed to find a form.
    filter: String,
    /// The sheet that is open.
    sheet: Option<Sheet>,
    drawn: Drawings,
}

impl KeyBookView {
    /// The sheet that is open.
    pub fn sheet(&self) -> Option<&Sheet> {
        self.sheet.as_ref()
    }
}

/// Opens the sheet of a form.
pub fn open_form(view: &mut KeyBookView, doc: &Document, form: &FormId) {
    if let Some(form) = doc.form(form)
        && view.sheet.as_ref().is_none_or(|sheet| sheet.form().id != form.id || !sheet.is_changed())
    {
        view.sheet = Some(Sheet::of(form));
    }
}

/// Opens the sheet of a new form, filled in from the piece in hand.
pub fn add_form(view: &mut KeyBookView, doc: &Document) {
    view.sheet = Some(Sheet::new_form(prefill::from_hand(doc)));
}

/// Saves the sheet that is open, unless something in it can't be so.
pub fn save_asked(view: &mut KeyBookView, doc: &Document, commands: &mut Vec<Command>) {
    let Some(sheet) = view.sheet.as_mut() else { return };
    sheet.settle();
    sheet.give_id(&doc.key);
    let wrong = check_form(&doc.key, sheet.form()).into_iter().find(|problem| problem.severity == Severity::Error);
    if let Some(problem) = wrong {
        commands.push(Command::Say(Notice::problem(format!("not saved yet: {}", problem.kind))));
        return;
    }
    if let Some(why) = &doc.place.read_only {
        commands.push(Command::Say(Notice::problem(why.clone())));
        return;
    }
    commands.push(Command::PutForm(Box::new(sheet.form().clone())));
    sheet.was_saved();
}

/// Takes the last edit of the open sheet back. False where there is none.
pub fn undo(view: &mut KeyBookView) -> bool {
    view.sheet.as_mut().is_some_and(Sheet::undo)
}

/// Makes the last edit that was taken back again. False where there is none.
pub fn redo(view: &mut KeyBookView) -> bool {
    view.sheet.as_mut().is_some_and(Sheet::redo)
}

/// Draws the Key Book.
pub fn key_book_ui(ui: &mut Ui, doc: &Document, view: &mut KeyBookView, commands: &mut Vec<Command>) {
    if view.sheet.is_some() {
        sheet::sheet_ui(ui, doc, view, commands);
    } else {
        shelves::shelves_ui(ui, doc, view, commands);
    }
}
