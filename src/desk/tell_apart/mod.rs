//! Tell Apart: look-alikes side by side.

use super::command::Command;
use super::document::Document;
use super::widgets;
use crate::key::FormId;
use egui::Ui;

/// What Tell Apart shows.
#[derive(Debug, Default)]
pub struct TellApartView {
    /// The forms compared, two to six.
    pub forms: Vec<FormId>,
}

impl TellApartView {
    /// Chooses the forms to compare.
    pub fn choose(&mut self, forms: Vec<FormId>) {
        self.forms = forms;
    }
}

/// Draws Tell Apart.
pub fn tell_apart_ui(ui: &mut Ui, _doc: &Document, _view: &mut TellApartView, _commands: &mut Vec<Command>) {
    widgets::heading(ui, "Tell Apart");
}
