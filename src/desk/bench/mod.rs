//! The Bench: name the piece in hand. Board at the left, slip of paper at the right, shelf below.

pub mod board_ui;
pub mod card;
pub mod keys;
pub mod looks;
pub mod mark_card;
pub mod shelf;
pub mod slip;
pub mod why;

use super::board::sketch::Sketch;
use super::board::vessel::DrawnSketch;
use super::comfort::FreeHand;
use super::command::Command;
use super::document::Document;
use super::theme::{self, GAP};
use super::widgets::{self, in_rect};
use crate::key::FormId;
use egui::{Rect, ScrollArea, Ui, Vec2, pos2, vec2};
use std::sync::Arc;

/// What the Bench shows, apart from the document.
#[derive(Debug, Default)]
pub struct BenchView {
    /// The asking card that is open.
    pub card: Option<card::Card>,
    /// The form whose reasons are shown.
    pub why: Option<FormId>,
    /// Whether the list of what was set aside is open.
    pub set_aside_open: bool,
    /// Forms picked on the shelf for Tell Apart.
    pub picked: Vec<FormId>,
    /// The sketch, and the revision of the document it belongs to.
    sketch: Option<(u64, Arc<DrawnSketch>)>,
    /// Drawn silhouettes, kept between frames.
    pub(super) drawn: super::board::vessel::Drawings,
    /// The marks that have what was said on the card.
    marks: super::mark_drawer::sieve::Kept,
    /// The note being typed.
    pub(super) note: slip::Draft,
    /// The box label being typed.
    pub(super) box_label: slip::Draft,
    /// What lies in the box in hand, once counted.
    pub tally: Option<crate::daybook::BoxTally>,
    /// The find that was put in last.
    pub last_put: Option<crate::daybook::FindId>,
}

impl BenchView {
    /// The sketch of the piece in hand, worked out again when the document has changed.
    pub fn sketch(&mut self, doc: &Document) -> Arc<DrawnSketch> {
        if let Some((revision, drawn)) = &self.sketch
            && *revision == doc.revision
        {
            return Arc::clone(drawn);
        }
        let drawn = Arc::new(DrawnSketch::of(Sketch::of(doc)));
        self.sketch = Some((doc.revision, Arc::clone(&drawn)));
        drawn
    }
}

/// Below these sizes, in points, the three parts stand one above the other and scroll.
const NARROW: Vec2 = vec2(860.0, 540.0);

/// Draws the Bench and reports what was asked for.
pub fn bench_ui(
    ui: &mut Ui,
    doc: &Document,
    view: &mut BenchView,
    hand: FreeHand,
    commands: &mut Vec<Command>,
    photographs: &mut dyn FnMut(&mut Ui, &mut Vec<Command>),
) {
    if ui.current_pass_index() == 0 {
        keys::bench_keys(ui, doc, view, commands);
    }
    let area = ui.available_rect_before_wrap().shrink(GAP);
    if area.width() < NARROW.x || area.height() < NARROW.y {
        stacked_ui(ui, doc, view, commands, photographs);
    } else {
        side_by_side_ui(ui, area, hand, doc, view, commands, photographs);
    }
    why::set_aside_ui(ui, doc, view, commands);
}

fn side_by_side_ui(
    ui: &mut Ui,
    area: Rect,
    hand: FreeHand,
    doc: &Document,
    view: &mut BenchView,
    commands: &mut Vec<Command>,
    photographs: &mut dyn FnMut(&mut Ui, &mut Vec<Command>),
) {
    let shelf_height = (area.height() * 0.31).clamp(176.0, 330.0);
    let slip_width = (area.width() * 0.33).clamp(300.0, 460.0);
    let shelf = Rect::from_min_max(pos2(area.left(), area.bottom() - shelf_height), area.max);
    let upper = Rect::from_min_max(area.min, pos2(area.right(), shelf.top() - GAP));
    let (board, slip) = match hand {
        FreeHand::Right => {
            let slip = upper.with_min_x(upper.right() - slip_width);
            (upper.with_max_x(slip.left() - GAP), slip)
        }
        FreeHand::Left => {
            let slip = upper.with_max_x(upper.left() + slip_width);
            (upper.with_min_x(slip.right() + GAP), slip)
        }
    };
    in_rect(ui, "board", board, |ui| board_ui::board_ui(ui, doc, view, commands));
    in_rect(ui, "slip", slip, |ui| slip::slip_ui(ui, doc, view, commands, photographs));
    in_rect(ui, "shelf", shelf, |ui| shelf::shelf_ui(ui, doc, view, commands));
}

fn stacked_ui(
    ui: &mut Ui,
    doc: &Document,
    view: &mut BenchView,
    commands: &mut Vec<Command>,
    photographs: &mut dyn FnMut(&mut Ui, &mut Vec<Command>),
) {
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        let width = ui.available_width();
        for (salt, height) in [("board", 460.0), ("shelf", 210.0), ("slip", 520.0)] {
            let (_, rect) = ui.allocate_space(vec2(width, height + GAP));
            let rect = rect.shrink2(vec2(GAP, GAP / 2.0));
            in_rect(ui, salt, rect, |ui| match salt {
                "board" => board_ui::board_ui(ui, doc, view, commands),
                "shelf" => shelf::shelf_ui(ui, doc, view, commands),
                _ => slip::slip_ui(ui, doc, view, commands, photographs),
            });
        }
    });
}

/// The paper card that fills the rest of `ui`.
fn sheet<R>(ui: &mut Ui, contents: impl FnOnce(&mut Ui) -> R) -> R {
    let c = theme::colours(ui);
    let rect = ui.available_rect_before_wrap();
    widgets::paper(c)
        .show(ui, |ui| {
            ui.set_min_size(rect.size() - Vec2::splat(2.0 * GAP + 2.0));
            ui.set_max_size(rect.size() - Vec2::splat(2.0 * GAP + 2.0));
            contents(ui)
        })
        .inner
}
