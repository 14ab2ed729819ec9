//! Tell Apart: look-alikes side by side. Their drawings laid over each other, and the differences in the order in which they can be seen.
//!
//! [`alone`] says by which few features each is told from all others. [`chooser`] says which forms are compared, [`plate`] draws the [`outline`]s, [`tells`] lists the differences, [`mod@line`] is the colour and
//! dash pattern by which a form is known in all three. One click on a value answers it on the Bench.

pub mod alone;
pub mod chooser;
pub mod keys;
pub mod line;
pub mod outline;
pub mod plate;
pub mod tells;

use super::command::Command;
use super::document::Document;
use super::theme::{self, GAP};
use super::widgets::{self, in_rect, paper};
use crate::identify::Tells;
use crate::key::{FeatureId, FormId, Part};
use crate::say;
use egui::{Rect, ScrollArea, Ui, Vec2, pos2, vec2};
use outline::{Lids, Plate};
use std::sync::Arc;

/// Forms compared at most.
pub const MOST: usize = 6;
/// Rivals offered at most.
const RIVALS: usize = 3;
/// Differences by which a form that is offered as a rival may be told from the first at most.
const RIVAL_DIFFERENCES: usize = 12;

/// What Tell Apart shows.
#[derive(Debug, Default)]
pub struct TellApartView {
    /// The forms compared, two to six.
    pub forms: Vec<FormId>,
    /// Lids on or off, where the person has said so; else on, unless the piece in hand has lost its lid.
    pub lids: Option<Lids>,
    /// Whether what is the same in all is unfolded.
    pub same_open: bool,
    /// The field in which a form is looked up.
    pub(super) add: chooser::Add,
    /// The form whose line is pointed at, by its place in the legend.
    lit: Option<usize>,
    /// The tell that digits answer.
    at: usize,
    /// Bring that tell into sight with the next frame.
    show_at: bool,
    compared: Option<Arc<Compared>>,
    /// By these alone.
    pub alone: alone::AloneView,
}

/// What was worked out for the forms that are compared.
#[derive(Debug)]
pub struct Compared {
    revision: u64,
    asked: Vec<FormId>,
    /// Lids on or off.
    pub lids: Lids,
    /// The differences.
    pub tells: Tells,
    /// The drawings.
    pub plate: Plate,
    /// 'rim: plain', for each feature that is the same in all.
    pub same: Vec<String>,
    /// The forms of which features are not recorded, and the names of these.
    pub gaps: Vec<(FormId, Vec<String>)>,
    /// Forms that may be worth comparing too.
    pub rivals: Vec<FormId>,
}

impl TellApartView {
    /// Chooses the forms to compare; those past the sixth and repeats are left out.
    pub fn choose(&mut self, forms: Vec<FormId>) {
        self.forms.clear();
        for form in forms {
            self.include(form);
        }
        (self.at, self.lit) = (0, None);
        self.add = chooser::Add::default();
    }

    /// Adds a form, where there is room and it is not there yet.
    pub fn include(&mut self, form: FormId) {
        if self.forms.len() < MOST && !self.forms.contains(&form) {
            self.forms.push(form);
        }
    }

    /// What the forms are told apart by, worked out again when the document or the choice has changed.
    fn compared(&mut self, doc: &Document) -> Arc<Compared> {
        let lids = self.lids.unwrap_or(if doc.is_missing(Part::Lid) { Lids::Off } else { Lids::On });
        if let Some(known) = &self.compared
            && known.revision == doc.revision
            && known.asked == self.forms
            && known.lids == lids
        {
            return Arc::clone(known);
        }
        let new = Arc::new(Compared::of(doc, &self.forms, lids));
        self.compared = Some(Arc::clone(&new));
        new
    }
}

impl Compared {
    fn of(doc: &Document, asked: &[FormId], lids: Lids) -> Self {
        let tells = doc.index.tells(asked, Some(&doc.hand.piece));
        let name = |id: &FeatureId| doc.key.feature_name(id);
        let same = tells
            .same
            .iter()
            .map(|id| {
                let words = tells.forms.iter().find_map(|form| doc.index.recorded(form, id));
                format!("{}: {}", name(id), words.unwrap_or_else(|| say!("none").to_owned()))
            })
            .collect();
        let asked_of = tells.unknown.iter().chain(tells.tells.iter().map(|tell| &tell.feature));
        let asked_of: Vec<&FeatureId> = asked_of.collect();
        let gaps = tells
            .forms
            .iter()
            .map(|form| {
                let open = asked_of.iter().filter(|id| doc.index.recorded(form, id).is_none()).map(|id| name(id)).collect::<Vec<_>>();
                (form.clone(), open)
            })
            .filter(|(_, open)| !open.is_empty())
            .collect();
        Self {
            revision: doc.revision,
            asked: asked.to_vec(),
            lids,
            plate: Plate::of(doc, &tells.forms, lids),
            rivals: rivals(doc, &tells.forms),
            tells,
            same,
            gaps,
        }
    }
}

/// The forms most likely taken for those compared: what the piece in hand may be, or while nothing is said, what is most like the first.
fn rivals(doc: &Document, chosen: &[FormId]) -> Vec<FormId> {
    let mut found: Vec<FormId> = Vec::new();
    if !doc.hand.piece.is_blank() {
        let candidates = &doc.standing.candidates;
        let mut likely: Vec<_> = candidates.fitting().iter().chain(candidates.slipping()).collect();
        likely.sort_by(|a, b| b.probability.total_cmp(&a.probability));
        found.extend(likely.into_iter().map(|candidate| candidate.form.clone()).take(MOST + RIVALS));
    }
    if let Some(first) = chosen.first() {
        found.extend(doc.index.look_alikes(first, RIVAL_DIFFERENCES).into_iter().map(|alike| alike.form));
    }
    let mut rivals: Vec<FormId> = Vec::new();
    for form in found {
        if rivals.len() < RIVALS && !chosen.contains(&form) && !rivals.contains(&form) {
            rivals.push(form);
        }
    }
    rivals
}

/// Below these sizes, in points, drawings and tells stand one above the other and scroll.
const NARROW: Vec2 = vec2(860.0, 540.0);

/// Draws Tell Apart.
pub fn tell_apart_ui(ui: &mut Ui, doc: &Document, view: &mut TellApartView, commands: &mut Vec<Command>) {
    // A form that was taken out of the key meanwhile is compared no more.
    view.forms.retain(|id| doc.form(id).is_some());
    let compared = view.compared(doc);
    if ui.current_pass_index() == 0 && !view.alone.is_open {
        keys::tell_keys(ui, doc, view, &compared, commands);
    }
    let lit = view.lit.take();
    let area = ui.available_rect_before_wrap().shrink(GAP);
    if area.width() < NARROW.x || area.height() < NARROW.y {
        stacked_ui(ui, doc, view, &compared, commands);
    } else {
        in_rect(ui, "tell apart", area, |ui| {
            chooser::chooser_ui(ui, doc, view, &compared, commands);
            ui.add_space(GAP - 6.0);
            let room = ui.available_rect_before_wrap();
            if compared.tells.forms.len() < 2 {
                in_rect(ui, "empty", room, |ui| {
                    sheet(ui, |ui| {
                        ScrollArea::vertical().id_salt("one").auto_shrink(false).show(ui, |ui| one_ui(ui, doc, view, &compared, commands));
                    });
                });
                return;
            }
            let split = room.left() + room.width() * 0.52;
            let left = Rect::from_min_max(room.min, pos2(split - GAP / 2.0, room.bottom()));
            let right = Rect::from_min_max(pos2(split + GAP / 2.0, room.top()), room.max);
            in_rect(ui, "plate", left, |ui| sheet(ui, |ui| plate::plate_ui(ui, doc, view, &compared)));
            in_rect(ui, "tells", right, |ui| {
                sheet(ui, |ui| {
                    ScrollArea::vertical().id_salt("tells").auto_shrink(false).show(ui, |ui| {
                        ui.set_max_width(ui.available_width() - 8.0);
                        right_ui(ui, doc, view, &compared, commands);
                    });
                });
            });
        });
    }
    if view.lit != lit {
        ui.ctx().request_repaint();
    }
}

/// The tells, or by which few features each form is told from all others.
fn right_ui(ui: &mut Ui, doc: &Document, view: &mut TellApartView, compared: &Compared, commands: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        for (words, open) in [(say!("Tells"), false), (say!("By these alone"), true)] {
            if widgets::chip(ui, words, view.alone.is_open == open).clicked() {
                view.alone.is_open = open;
            }
        }
    });
    ui.add_space(4.0);
    if view.alone.is_open {
        alone::alone_ui(ui, doc, view, compared, commands);
    } else {
        tells::tells_ui(ui, doc, view, compared, commands);
    }
}

/// With no form, or with one alone.
fn one_ui(ui: &mut Ui, doc: &Document, view: &mut TellApartView, compared: &Compared, commands: &mut Vec<Command>) {
    chooser::empty_ui(ui, doc, view);
    if view.forms.len() == 1 {
        ui.add_space(14.0);
        widgets::heading(ui, say!("By these alone"));
        alone::alone_ui(ui, doc, view, compared, commands);
    }
}

fn stacked_ui(ui: &mut Ui, doc: &Document, view: &mut TellApartView, compared: &Compared, commands: &mut Vec<Command>) {
    let area = ui.available_rect_before_wrap();
    ScrollArea::vertical().id_salt("tell apart").auto_shrink(false).show(ui, |ui| {
        egui::Frame::new().inner_margin(egui::Margin::same(GAP as i8)).show(ui, |ui| {
            ui.set_max_width(area.width() - 2.0 * GAP - 8.0);
            chooser::chooser_ui(ui, doc, view, compared, commands);
            if compared.tells.forms.len() < 2 {
                paper(theme::colours(ui)).show(ui, |ui| {
                    ui.set_width(ui.available_width());
                    one_ui(ui, doc, view, compared, commands);
                });
                return;
            }
            ui.add_space(GAP - 6.0);
            let size = vec2(ui.available_width(), (area.height() - GAP).clamp(300.0, 460.0));
            let (_, rect) = ui.allocate_space(size);
            in_rect(ui, "plate", rect, |ui| sheet(ui, |ui| plate::plate_ui(ui, doc, view, compared)));
            ui.add_space(GAP - 6.0);
            paper(theme::colours(ui)).show(ui, |ui| {
                ui.set_width(ui.available_width());
                right_ui(ui, doc, view, compared, commands);
            });
        });
    });
}

/// The paper card that fills the rest of `ui`.
fn sheet<R>(ui: &mut Ui, contents: impl FnOnce(&mut Ui) -> R) -> R {
    let rect = ui.available_rect_before_wrap();
    paper(theme::colours(ui))
        .show(ui, |ui| {
            ui.set_min_size(rect.size() - Vec2::splat(2.0 * GAP + 2.0));
            ui.set_max_size(rect.size() - Vec2::splat(2.0 * GAP + 2.0));
            contents(ui)
        })
        .inner
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::document::KeyPlace;

    fn demo() -> Document {
        Document::new(crate::key::builtin::demo().key, KeyPlace::default())
    }

    fn sugar_and_casserole() -> Vec<FormId> {
        vec!["quoin-covered-sugar".into(), "quoin-casserole-one".into()]
    }

    #[test]
    fn six_forms_at_most_and_none_twice() {
        let doc = demo();
        let mut view = TellApartView::default();
        let mut many: Vec<FormId> = doc.key.forms.iter().take(8).map(|form| form.id.clone()).collect();
        many.insert(1, doc.key.forms.first().map_or_else(|| "none".into(), |form| form.id.clone()));
        view.choose(many);
        assert_eq!(view.forms.len(), 6);
        let mut sorted = view.forms.clone();
        sorted.dedup();
        assert_eq!(sorted.len(), 6, "{:?}", view.forms);
    }

    #[test]
    fn what_was_worked_out_is_kept_until_something_changes() {
        let mut doc = demo();
        let mut view = TellApartView::default();
        view.choose(sugar_and_casserole());
        let first = view.compared(&doc);
        assert!(Arc::ptr_eq(&first, &view.compared(&doc)), "the same document and forms");
        let mut hand = doc.hand.clone();
        hand.piece.missing.insert(Part::Lid);
        doc.set_hand(hand);
        let second = view.compared(&doc);
        assert!(!Arc::ptr_eq(&first, &second), "the piece has changed");
        assert_eq!(second.lids, Lids::Off, "a piece without its lid is compared without lids");
        assert!(second.tells.missing.contains(&"lid-outline".into()), "{:?}", second.tells.missing);
    }

    #[test]
    fn gaps_name_the_form_and_what_is_not_recorded_of_it() {
        let doc = demo();
        let compared = Compared::of(&doc, &sugar_and_casserole(), Lids::On);
        let of_sugar = compared.gaps.iter().find(|(form, _)| form.as_str() == "quoin-covered-sugar").map(|(_, open)| open.clone());
        assert!(of_sugar.is_some_and(|open| open.contains(&"weight".to_owned())), "{:?}", compared.gaps);
        assert!(compared.same.contains(&"body outline: cut corner below".to_owned()), "{:?}", compared.same);
    }

    #[test]
    fn rivals_are_never_forms_already_compared() {
        let doc = demo();
        let found = rivals(&doc, &sugar_and_casserole());
        assert!(found.len() <= RIVALS && !found.iter().any(|form| sugar_and_casserole().contains(form)), "{found:?}");
    }
}
