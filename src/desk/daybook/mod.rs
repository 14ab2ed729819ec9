//! The Daybook: the finds, newest first.

use super::command::Command;
use super::document::Document;
use super::widgets;
use egui::Ui;

/// What the Daybook shows.
#[derive(Debug, Default)]
pub struct DaybookView {
    search: String,
}

impl DaybookView {
    /// The page of finds to show.
    pub fn page(&self) -> crate::daybook::Page {
        crate::daybook::Page::default()
    }

    /// Takes a page of finds in.
    pub fn take_in(&mut self, _listing: super::daybook_work::Listing) {}
}

/// Draws the Daybook.
pub fn daybook_ui(ui: &mut Ui, _doc: &Document, view: &mut DaybookView, _commands: &mut Vec<Command>) {
    widgets::heading(ui, format!("Daybook {}", view.search));
}
