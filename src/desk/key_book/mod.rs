//! The Key Book: the house key, form by form.

use super::command::Command;
use super::document::Document;
use super::widgets;
use crate::key::FormId;
use egui::Ui;

/// What the Key Book shows.
#[derive(Debug, Default)]
pub struct KeyBookView {
    open: Option<FormId>,
}

/// Opens the sheet of a form.
pub fn open_form(view: &mut KeyBookView, _doc: &Document, form: &FormId) {
    view.open = Some(form.clone());
}

/// Opens the sheet of a new form, filled in from the piece in hand.
pub fn add_form(view: &mut KeyBookView, _doc: &Document) {
    view.open = None;
}

/// Saves the sheet that is open.
pub fn save_asked(_view: &mut KeyBookView, _commands: &mut Vec<Command>) {}

/// Draws the Key Book.
pub fn key_book_ui(ui: &mut Ui, _doc: &Document, _view: &mut KeyBookView, _commands: &mut Vec<Command>) {
    widgets::heading(ui, "Key Book");
}
