//! Tell Apart: two to six look-alikes, their half profiles and plans laid over each other, and the tells in order of how surely they are seen.

mod choose;
mod overlay;
mod tells_ui;

use super::command::Command;
use super::document::Document;
use super::theme::{self, GAP};
use super::widgets::{self, heading, in_rect, remark};
use crate::identify::Tells;
use crate::key::{Form, FormId};
use egui::{Rect, ScrollArea, Ui, pos2, vec2};
use std::sync::Arc;

/// Forms compared at most.
pub const MOST: usize = 6;

/// What Tell Apart shows.
#[derive(Debug, Default)]
pub struct TellApartView {
    /// The forms compared, two to six.
    pub forms: Vec<FormId>,
    /// What is typed to find another form.
    typed: String,
    /// Whether features that are the same in all are listed.
    pub same_open: bool,
    /// The tells, with the revision and the forms they belong to.
    tells: Option<(u64, Vec<FormId>, Arc<Tells>)>,
}

impl TellApartView {
    /// Chooses the forms to compare: at most six, each once.
    pub fn choose(&mut self, forms: Vec<FormId>) {
        self.forms.clear();
        for form in forms {
            self.add(form);
        }
        self.typed.clear();
    }

    /// Adds a form, unless it is there or there are six.
    fn add(&mut self, form: FormId) {
        if self.forms.len() < MOST && !self.forms.contains(&form) {
            self.forms.push(form);
        }
    }

    /// What tells the forms apart, worked out again when the document or the choice has changed.
    fn tells(&mut self, doc: &Document) -> Arc<Tells> {
        if let Some((revision, forms, tells)) = &self.tells
            && *revision == doc.revision
            && *forms == self.forms
        {
            return Arc::clone(tells);
        }
        let tells = Arc::new(doc.index.tells(&self.forms, Some(&doc.hand.piece)));
        self.tells = Some((doc.revision, self.forms.clone(), Arc::clone(&tells)));
        tells
    }
}

/// Below these sizes, in points, the drawing stands above the tells and both scroll.
const NARROW: egui::Vec2 = vec2(820.0, 480.0);

/// Draws Tell Apart.
pub fn tell_apart_ui(ui: &mut Ui, doc: &Document, view: &mut TellApartView, commands: &mut Vec<Command>) {
    // A form that was retired or renamed meanwhile is compared no more.
    view.forms.retain(|id| doc.form(id).is_some());
    let area = ui.available_rect_before_wrap().shrink(GAP);
    let narrow = area.width() < NARROW.x || area.height() < NARROW.y;
    if narrow {
        in_rect(ui, "tell apart", area, |ui| {
            ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
                choose::choose_ui(ui, doc, view);
                if view.forms.len() < 2 {
                    empty_ui(ui, doc, view);
                    return;
                }
                let (_, rect) = ui.allocate_space(vec2(ui.available_width(), 340.0));
                in_rect(ui, "overlay", rect, |ui| overlay::overlay_ui(ui, &compared(doc, view)));
                let tells = view.tells(doc);
                tells_ui::tells_ui(ui, doc, view, &tells, commands);
            });
        });
        return;
    }
    in_rect(ui, "tell apart", area, |ui| {
        choose::choose_ui(ui, doc, view);
        if view.forms.len() < 2 {
            empty_ui(ui, doc, view);
            return;
        }
        let below = ui.available_rect_before_wrap();
        let split = below.left() + below.width() * 0.46;
        let left = Rect::from_min_max(below.min, pos2(split - GAP / 2.0, below.bottom()));
        let right = Rect::from_min_max(pos2(split + GAP / 2.0, below.top()), below.max);
        in_rect(ui, "overlay", left, |ui| overlay::overlay_ui(ui, &compared(doc, view)));
        let tells = view.tells(doc);
        in_rect(ui, "tells", right, |ui| {
            let c = theme::colours(ui);
            widgets::paper(c).show(ui, |ui| {
                let size = right.size() - vec2(2.0 * GAP + 2.0, 2.0 * GAP + 2.0);
                ui.set_min_size(size);
                ui.set_max_size(size);
                ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
                    ui.set_max_width(size.x - 8.0);
                    tells_ui::tells_ui(ui, doc, view, &tells, commands);
                });
            });
        });
    });
}

/// The forms compared, in order.
fn compared<'a>(doc: &'a Document, view: &TellApartView) -> Vec<&'a Form> {
    view.forms.iter().filter_map(|id| doc.form(id)).collect()
}

/// What to do while fewer than two forms are chosen.
fn empty_ui(ui: &mut Ui, doc: &Document, view: &mut TellApartView) {
    ui.add_space(16.0);
    heading(ui, "Choose two to six forms that are easily mixed up");
    remark(ui, "Type a name above, or pick them on the Bench's shelf with Shift and a click.");
    let two: Vec<FormId> = super::bench::shelf::first_two(doc);
    if two.len() == 2 && widgets::button(ui, super::icons::Icon::TellApart, "The first two on the shelf").clicked() {
        view.choose(two);
    }
}

/// How the line of the nth form is dashed: none for the first, ever shorter after.
fn dashes(n: usize) -> Option<(f32, f32)> {
    [None, Some((11.0, 4.0)), Some((2.5, 3.5)), Some((16.0, 3.0)), Some((6.0, 6.0)), Some((3.0, 8.0))].get(n).copied().flatten()
}
