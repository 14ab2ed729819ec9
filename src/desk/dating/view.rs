//! The view while it is open.

use super::result::result_ui;
use super::said::{Draft, said_ui};
use crate::desk::action::Action;
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::steps::{Turn, turn_pressed};
use crate::desk::widgets::{self, heading, icon_button};
use crate::identify::{PieceDates, VerdictState};
use crate::key::FormId;
use crate::say;
use egui::{Rect, ScrollArea, Ui, pos2, vec2};

/// Width of what was said, in points.
const SAID: f32 = 350.0;

/// What dates the piece in hand.
#[derive(Debug, Default)]
pub struct DatingView {
    is_open: bool,
    draft: Draft,
    /// What the document of that revision gives.
    made: Option<(u64, PieceDates)>,
}

impl DatingView {
    /// Opens it.
    pub fn show(&mut self) {
        self.is_open = true;
    }

    /// True while it is open.
    pub fn is_open(&self) -> bool {
        self.is_open
    }

    /// Keeps actions from the screen below while the view is open. True where it did.
    pub fn takes(&self, action: Action) -> bool {
        self.is_open && action.belongs_below()
    }
}

/// The form that the piece was named so far: its years are evidence too.
pub(super) fn named(doc: &Document) -> Option<&FormId> {
    matches!(doc.verdict.state, VerdictState::Settled | VerdictState::Leaning).then_some(doc.verdict.leader.as_ref()).flatten()
}

/// Draws the view while it is open.
pub fn dating_ui(ui: &mut Ui, doc: &Document, view: &mut DatingView, commands: &mut Vec<Command>) {
    if !view.is_open {
        view.made = None;
        return;
    }
    let dates = match view.made.take() {
        Some((revision, dates)) if revision == doc.revision => dates,
        _ => doc.index.dates(&doc.hand.piece, named(doc)),
    };
    let room = ui.ctx().content_rect().shrink(14.0);
    let response = widgets::dialog(ui, "dating").show(ui.ctx(), |ui| {
        let size = (room.size() - widgets::DIALOG_ROOM).min(vec2(1240.0, 860.0));
        ui.set_min_size(size);
        ui.set_max_size(size);
        let all = ui.max_rect();
        let left = Rect::from_min_size(all.min, vec2(SAID.min(0.46 * all.width()), all.height()));
        let right = Rect::from_min_max(pos2(left.right() + 18.0, all.top()), all.max);
        widgets::in_rect(ui, "what was said", left, |ui| {
            heading(ui, say!("What dates it"));
            ScrollArea::vertical().id_salt("said").auto_shrink(false).show(ui, |ui| {
                ui.set_max_width(left.width() - 10.0);
                said_ui(ui, doc, &dates, &mut view.draft, commands);
            });
        });
        widgets::in_rect(ui, "what follows", right, |ui| {
            widgets::row_from_right(ui, |ui| {
                if icon_button(ui, Icon::Close, say!("Close the dates")).clicked() {
                    ui.close();
                }
            });
            ScrollArea::vertical().id_salt("dated").auto_shrink(false).show(ui, |ui| {
                ui.set_max_width(right.width() - 10.0);
                result_ui(ui, &dates);
            });
        });
    });
    view.made = Some((doc.revision, dates));
    if response.should_close() {
        view.is_open = false;
    }
    commands.extend(turn_pressed(ui).map(|turn| match turn {
        Turn::Back => Command::Undo,
        Turn::Forth => Command::Redo,
    }));
}
