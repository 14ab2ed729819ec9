//! Photographs of the piece in hand: adding, looking at, turning and cropping them.

use super::command::Command;
use super::daybook_work::SharedDaybook;
use super::document::Document;
use super::jobs::Jobs;
use super::settings::Settings;
use super::widgets;
use egui::{Context, Ui};
use std::path::Path;

/// What the photographs show, apart from the document.
#[derive(Debug, Default)]
pub struct PhotographsView {
    open: Option<usize>,
}

/// What a photograph job sends.
#[derive(Debug)]
pub enum Done {
    /// A photograph was read, kept and can be attached.
    Kept,
}

impl PhotographsView {
    /// Starts what runs in the background: the watched folder.
    pub fn start(&mut self, _ctx: &Context, _settings: &Settings, _data_dir: &Path) {}

    /// Asks for a file with the system's dialog.
    pub fn choose(&mut self, _ctx: &Context, _jobs: &mut Jobs) {}
}

/// Takes in what a job has done.
pub fn take_in(_view: &mut PhotographsView, _doc: &Document, _done: Done, _commands: &mut Vec<Command>) {}

/// Looks for dropped files, pasted pictures and news of the watched folder. Called before each frame.
pub fn poll(_view: &mut PhotographsView, _ctx: &Context, _jobs: &mut Jobs, _daybook: &SharedDaybook, _commands: &mut Vec<Command>) {}

/// Draws the strip of photographs on the slip.
pub fn strip_ui(ui: &mut Ui, doc: &Document, _view: &mut PhotographsView, _commands: &mut Vec<Command>) {
    widgets::remark(ui, format!("Photographs: {}", doc.hand.photographs.len()));
}

/// Draws the large viewer while it is open.
pub fn viewer_ui(_ui: &mut Ui, _doc: &Document, view: &mut PhotographsView, _commands: &mut Vec<Command>) {
    let _ = view.open;
}
