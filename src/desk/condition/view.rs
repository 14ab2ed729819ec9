//! The view, and its keys.

use super::board::board_ui;
use super::list::list_ui;
use crate::daybook::condition::{Condition, ConditionRules, Flaw, MOST_FLAWS, Place};
use crate::desk::action::Action;
use crate::desk::board::sketch::Sketch;
use crate::desk::board::vessel::DrawnSketch;
use crate::desk::command::{Command, Notice};
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::steps::{Turn, turn_pressed};
use crate::desk::widgets::{self, heading, icon_button};
use crate::key::Part;
use crate::say;
use crate::words::of_data;
use egui::{Rect, ScrollArea, Ui, pos2, vec2};
use std::sync::Arc;

/// Width of what was noted, in points.
const NOTED: f32 = 400.0;

/// The condition of the piece in hand.
#[derive(Debug, Default)]
pub struct ConditionView {
    is_open: bool,
    /// The kind that a press on the drawing notes.
    pub(super) kind: Option<String>,
    /// The fault that is looked at.
    pub(super) chosen: Option<usize>,
    /// Its size, while it is typed, and of which fault.
    pub(super) size: Option<(usize, String)>,
    /// Its note, while it is typed, and of which fault.
    pub(super) note: Option<(usize, String)>,
    sketch: Option<(u64, Arc<DrawnSketch>)>,
}

impl ConditionView {
    /// Opens it.
    pub fn show(&mut self) {
        self.is_open = true;
        self.chosen = None;
        (self.size, self.note) = (None, None);
    }

    /// True while it is open.
    pub fn is_open(&self) -> bool {
        self.is_open
    }

    /// Keeps actions from the screen below while the view is open. True where it did.
    pub fn takes(&self, action: Action) -> bool {
        self.is_open && action.belongs_below()
    }

    /// The kind that is noted next.
    pub(super) fn kind<'a>(&'a self, rules: &'a ConditionRules) -> &'a str {
        self.kind.as_deref().or_else(|| rules.kinds.first().map(|kind| kind.id.as_str())).unwrap_or_default()
    }

    /// Notes a fault on a part.
    pub(super) fn add(&mut self, doc: &Document, part: Part, place: Option<Place>, commands: &mut Vec<Command>) {
        let rules = &doc.condition_rules;
        let mut after = doc.hand.piece.condition.clone();
        if after.flaws.len() >= MOST_FLAWS {
            commands
                .push(Command::Say(Notice::problem(say!("{most} faults are noted already: say the rest in the note", most = MOST_FLAWS))));
            return;
        }
        let kind = self.kind(rules).to_owned();
        let name = say!(
            "{kind} on the {part} ({number})",
            kind = of_data(rules.name_of(&kind)),
            part = part.word(),
            number = after.flaws.len() + 1
        );
        after.flaws.push(Flaw { kind, part, place, size_mm: None, photograph: None, note: String::new() });
        self.chosen = Some(after.flaws.len() - 1);
        (self.size, self.note) = (None, None);
        commands.push(Command::Condition(name, Box::new(after)));
    }
}

/// A step that changes one fault.
pub(super) fn change(doc: &Document, at: usize, name: String, change: impl FnOnce(&mut Flaw)) -> Option<Command> {
    let mut after: Condition = doc.hand.piece.condition.clone();
    change(after.flaws.get_mut(at)?);
    Some(Command::Condition(name, Box::new(after)))
}

/// Draws the view while it is open.
pub fn condition_ui(ui: &mut Ui, doc: &Document, view: &mut ConditionView, commands: &mut Vec<Command>) {
    if !view.is_open {
        view.sketch = None;
        return;
    }
    if view.chosen.is_some_and(|at| at >= doc.hand.piece.condition.flaws.len()) {
        view.chosen = None;
    }
    let sketch = match &view.sketch {
        Some((revision, drawn)) if *revision == doc.revision => Arc::clone(drawn),
        _ => Arc::new(DrawnSketch::of(Sketch::of(doc))),
    };
    view.sketch = Some((doc.revision, Arc::clone(&sketch)));
    let room = ui.ctx().content_rect().shrink(14.0);
    let response = widgets::dialog(ui, "condition").show(ui.ctx(), |ui| {
        let size = (room.size() - widgets::DIALOG_ROOM).min(vec2(1300.0, 860.0));
        ui.set_min_size(size);
        ui.set_max_size(size);
        let all = ui.max_rect();
        let wide = NOTED.min(0.48 * all.width());
        let left = Rect::from_min_max(all.min, pos2(all.right() - wide - 16.0, all.bottom()));
        let right = Rect::from_min_max(pos2(left.right() + 16.0, all.top()), all.max);
        widgets::in_rect(ui, "where it is", left, |ui| board_ui(ui, doc, view, &sketch, commands));
        widgets::in_rect(ui, "what was noted", right, |ui| {
            widgets::row_from_right(ui, |ui| {
                if icon_button(ui, Icon::Close, say!("Close the condition")).clicked() {
                    ui.close();
                }
                ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| heading(ui, say!("Condition")));
            });
            ScrollArea::vertical().id_salt("faults").auto_shrink(false).show(ui, |ui| {
                ui.set_max_width(right.width() - 10.0);
                list_ui(ui, doc, view, commands);
            });
        });
    });
    if response.should_close() {
        view.is_open = false;
    }
    commands.extend(turn_pressed(ui).map(|turn| match turn {
        Turn::Back => Command::Undo,
        Turn::Forth => Command::Redo,
    }));
}
