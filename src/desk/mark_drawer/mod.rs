//! The Mark Drawer: every mark of the key as it is drawn, found by what can still be read of it.
//!
//! [`wall`] draws all marks that pass the [`sieve`], [`sheet`] what is known of one of them, and [`art`] a mark itself. One click makes a
//! mark the answer on the Bench.

pub mod art;
mod edit;
mod edit_codes;
pub mod shapes;
pub mod sheet;
pub mod sieve;
pub mod wall;

use super::command::{Command, Screen};
use super::document::Document;
use super::jobs::Jobs;
use super::key_pictures::{self, Pictures, Whose};
use super::theme::GAP;
use super::widgets::{in_rect, paper};
use crate::identify::{Observation, Seen, Sure};
use crate::key::{Feature, FeatureKind, MarkId, ValueId};
use crate::marks::{NearTwin, near_twins};
use crate::photo::Store;
use edit::Edit;
use egui::{Rect, Ui, pos2};
use sieve::Sieve;

/// What the Mark Drawer shows.
#[derive(Debug, Default)]
pub struct MarkDrawerView {
    /// What was typed and chosen to narrow the wall.
    pub sieve: Sieve,
    /// What passed it.
    passed: sieve::Kept,
    /// The mark whose sheet is open.
    pub open: Option<MarkId>,
    /// The mark that is being added or changed.
    edit: Option<Box<Edit>>,
    pictures: Pictures,
    /// Whether cards show the first picture of a mark, where it has one.
    photographed: bool,
    /// What the open mark is easily taken for, of the document of that revision.
    twins: Option<(u64, MarkId, Vec<NearTwin>)>,
}

/// Width of the sheet of one mark, in points.
const SHEET: f32 = 340.0;

/// Draws the Mark Drawer.
pub fn mark_drawer_ui(ui: &mut Ui, doc: &Document, view: &mut MarkDrawerView, commands: &mut Vec<Command>) {
    let whole = ui.available_rect_before_wrap().shrink(GAP);
    let open = view.open.as_ref().and_then(|id| doc.key.mark(id));
    let split = if open.is_some() || view.edit.is_some() { whole.right() - SHEET.min(whole.width() * 0.45) } else { whole.right() + GAP };
    in_rect(ui, "wall", Rect::from_min_max(whole.min, pos2(split - GAP, whole.bottom())), |ui| {
        if sieve::sieve_ui(ui, doc, &mut view.sieve, &mut view.photographed, commands) == sieve::Asked::NewMark {
            view.add();
        }
        wall::wall_ui(ui, doc, view, commands);
    });
    if let Some(edit) = &mut view.edit {
        let mut close = false;
        in_rect(ui, "edit", Rect::from_min_max(pos2(split, whole.top()), whole.max), |ui| {
            paper(super::theme::colours(ui)).show(ui, |ui| {
                ui.set_min_size(ui.available_size());
                close = edit::edit_ui(ui, doc, edit, &mut view.pictures, commands);
            });
        });
        if close {
            view.edit = None;
        }
    } else if let Some(mark) = open {
        in_rect(ui, "sheet", Rect::from_min_max(pos2(split, whole.top()), whole.max), |ui| {
            paper(super::theme::colours(ui)).show(ui, |ui| {
                ui.set_min_size(ui.available_size());
                let known = view.twins.take().filter(|(revision, of, _)| *revision == doc.revision && *of == mark.id);
                let known = known.unwrap_or_else(|| (doc.revision, mark.id.clone(), near_twins(&doc.key, mark)));
                match sheet::sheet_ui(ui, doc, mark, &known.2, &view.sieve, &mut view.pictures, commands) {
                    sheet::Asked::Stay => {}
                    sheet::Asked::Close => view.open = None,
                    sheet::Asked::Edit => view.edit = Some(Box::new(Edit::of(mark))),
                }
                view.twins = Some(known);
            });
        });
    }
}

impl MarkDrawerView {
    /// Opens the sheet of a new mark.
    fn add(&mut self) {
        self.edit = Some(Box::new(Edit::new()));
    }

    /// Saves the mark that is being changed. False where none is.
    pub fn save_asked(&mut self, doc: &Document, commands: &mut Vec<Command>) -> bool {
        let Some(edit) = &mut self.edit else { return false };
        if edit.save(doc, &mut self.pictures, commands) {
            self.edit = None;
        }
        true
    }

    /// True while a mark is being added or changed.
    pub fn is_editing(&self) -> bool {
        self.edit.is_some()
    }

    /// Takes the last edit of the mark that is being changed back. False where there is none.
    pub fn undo(&mut self) -> bool {
        self.edit.as_mut().is_some_and(|edit| edit.undo())
    }

    /// Makes it again. False where there is none.
    pub fn redo(&mut self) -> bool {
        self.edit.as_mut().is_some_and(|edit| edit.redo())
    }
}

/// Takes files that were dropped on the window as pictures of the mark that is being changed. False where none is: then they are somebody else's.
pub fn drop_on(view: &mut MarkDrawerView, ctx: &egui::Context) -> bool {
    if view.edit.is_none() {
        return false;
    }
    view.pictures.drop_on(ctx);
    true
}

/// A job on pictures of marks has done something.
pub fn take_in(view: &mut MarkDrawerView, done: key_pictures::Done) {
    view.pictures.take_in(done);
}

/// Takes in what jobs on pictures have done, and starts what was asked for. Called before each frame.
pub fn poll(view: &mut MarkDrawerView, doc: &Document, store: Option<&Store>, ctx: &egui::Context, jobs: &mut Jobs) {
    let changed = view.edit.as_mut().map(|edit| (&mut edit.adding, &mut edit.draft.pictures));
    key_pictures::poll(&mut view.pictures, Whose::Marks, changed, (doc, store), ctx, jobs);
}

/// The features of the key that a mark answers.
pub(super) fn mark_features(doc: &Document) -> impl Iterator<Item = &Feature> {
    doc.key.features.iter().filter(|feature| matches!(feature.kind, FeatureKind::Mark))
}

/// Makes a mark the answer on the Bench, and goes there.
fn use_mark(feature: &Feature, mark: &MarkId, commands: &mut Vec<Command>) {
    answer(feature, Seen::Values(vec![ValueId::new(mark.as_str())]), commands);
}

/// Makes the wording that was read the answer on the Bench, and goes there.
fn use_wording(feature: &Feature, typed: &str, commands: &mut Vec<Command>) {
    answer(feature, Seen::Wording(typed.trim().to_owned()), commands);
}

fn answer(feature: &Feature, seen: Seen, commands: &mut Vec<Command>) {
    commands.push(Command::See(Observation { feature: feature.id.clone(), seen, sure: Sure::Sure }));
    commands.push(Command::Go(Screen::Bench));
}

/// True where this mark is what the piece in hand was said to have.
fn is_answer(doc: &Document, mark: &MarkId) -> bool {
    mark_features(doc).filter_map(|feature| doc.seen(&feature.id)).any(|observation| match &observation.seen {
        Seen::Values(values) => values.iter().any(|value| value.as_str() == mark.as_str()),
        _ => false,
    })
}
