//! The Mark Drawer: all marks of the key.

use super::command::Command;
use super::document::Document;
use super::widgets;
use egui::Ui;

/// What the Mark Drawer shows.
#[derive(Debug, Default)]
pub struct MarkDrawerView {
    typed: String,
}

/// Draws the Mark Drawer.
pub fn mark_drawer_ui(ui: &mut Ui, _doc: &Document, view: &mut MarkDrawerView, _commands: &mut Vec<Command>) {
    widgets::heading(ui, format!("Mark Drawer {}", view.typed));
}
