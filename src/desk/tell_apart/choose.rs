//! Choosing the forms to compare: by name, or from those close behind the first.

use super::{MOST, TellApartView, dashes};
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{chip, icon_button, remark};
use crate::key::FormId;
use egui::{Key, Margin, Shape, Stroke, TextEdit, Ui, pos2, vec2};

/// Draws the legend of the chosen forms, the field for another, and what is offered.
pub(super) fn choose_ui(ui: &mut Ui, doc: &Document, view: &mut TellApartView) {
    let c = theme::colours(ui);
    let mut gone: Option<FormId> = None;
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(6.0, 4.0);
        for (n, id) in view.forms.iter().enumerate() {
            let Some(form) = doc.form(id) else { continue };
            let ink = c.forms.get(n).copied().unwrap_or(c.ink);
            egui::Frame::new()
                .fill(c.paper)
                .stroke(Stroke::new(1.0, c.edge))
                .corner_radius(17)
                .inner_margin(Margin { left: 10, ..Margin::ZERO })
                .show(ui, |ui| {
                    ui.horizontal(|ui| {
                        ui.spacing_mut().item_spacing.x = 6.0;
                        line_sample(ui, n);
                        ui.label(egui::RichText::new(doc.key.full_name(form)).color(ink).family(theme::bold()));
                        if icon_button(ui, Icon::Close, &format!("Compare {} no more", doc.key.full_name(form))).clicked() {
                            gone = Some(id.clone());
                        }
                    });
                });
        }
        if view.forms.len() < MOST {
            let label = remark(ui, "Add");
            let field = TextEdit::singleline(&mut view.typed)
                .hint_text("a form's name")
                .desired_width(180.0)
                .margin(Margin::symmetric(8, 7))
                .min_size(vec2(0.0, TARGET));
            let response = ui.add(field).labelled_by(label.id);
            let hits: Vec<FormId> = if view.typed.trim().is_empty() {
                near_the_first(doc, view)
            } else {
                doc.words
                    .search_forms(&view.typed, 8)
                    .into_iter()
                    .map(|hit| hit.form)
                    .filter(|form| !view.forms.contains(form))
                    .take(4)
                    .collect()
            };
            let entered = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
            let mut chosen = if entered && !view.typed.trim().is_empty() { hits.first().cloned() } else { None };
            for id in &hits {
                let Some(form) = doc.form(id) else { continue };
                if chip(ui, &doc.key.full_name(form), false).clicked() {
                    chosen = Some(id.clone());
                }
            }
            if let Some(form) = chosen {
                view.add(form);
                view.typed.clear();
                if entered {
                    response.request_focus();
                }
            }
        }
    });
    if let Some(gone) = gone {
        view.forms.retain(|form| *form != gone);
    }
    ui.add_space(6.0);
}

/// Up to three forms most like the first one chosen, or the most probable on the shelf.
fn near_the_first(doc: &Document, view: &TellApartView) -> Vec<FormId> {
    let mut near: Vec<FormId> = match view.forms.first() {
        Some(first) => doc.index.look_alikes(first, 3).into_iter().map(|alike| alike.form).collect(),
        None => Vec::new(),
    };
    if !doc.hand.piece.is_blank() {
        near.extend(doc.standing.candidates.iter().take(4).map(|candidate| candidate.form.clone()));
    }
    near.retain(|form| !view.forms.contains(form));
    let mut seen = Vec::new();
    near.retain(|form| {
        let is_new = !seen.contains(form);
        seen.push(form.clone());
        is_new
    });
    near.truncate(3);
    near
}

/// A short piece of a form's line, in its ink and dashes.
pub(super) fn line_sample(ui: &mut Ui, n: usize) {
    let c = theme::colours(ui);
    let (_, rect) = ui.allocate_space(vec2(34.0, TARGET));
    let stroke = Stroke::new(2.5, c.forms.get(n).copied().unwrap_or(c.ink));
    let ends = [pos2(rect.left(), rect.center().y), pos2(rect.right(), rect.center().y)];
    match dashes(n) {
        None => {
            ui.painter().add(Shape::line_segment(ends, stroke));
        }
        Some((dash, gap)) => {
            ui.painter().extend(Shape::dashed_line(&ends, stroke, dash, gap));
        }
    }
}
