//! The tells, surest first; one click on a form's value answers it on the Bench.

use super::TellApartView;
use crate::desk::bench::card::{capital, trim};
use crate::desk::board::glyph;
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{button, remark, strong};
use crate::identify::{Observation, Sure, Tell, Tells};
use crate::key::FeatureId;
use egui::{CornerRadius, FontId, Rect, RichText, Role, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, pos2, vec2};

/// Draws the list of tells.
pub(super) fn tells_ui(ui: &mut Ui, doc: &Document, view: &mut TellApartView, tells: &Tells, commands: &mut Vec<Command>) {
    if tells.tells.is_empty() {
        strong(ui, "Nothing recorded tells these apart");
        remark(ui, "Record one of the features below on their sheets, or add a feature in which they differ.");
    } else {
        strong(ui, "What tells them apart, surest first");
        remark(ui, "A click on what you see answers it on the Bench.");
    }
    for tell in &tells.tells {
        tell_ui(ui, doc, view, tell, commands);
    }
    names_ui(ui, doc, "Not recorded for all", &tells.unknown);
    if !tells.unknown.is_empty() {
        ui.horizontal_wrapped(|ui| {
            for id in &view.forms {
                if let Some(form) = doc.form(id)
                    && button(ui, Icon::KeyBook, &format!("Sheet of {}", doc.key.full_name(form))).clicked()
                {
                    commands.push(Command::OpenForm(id.clone()));
                }
            }
        });
    }
    names_ui(ui, doc, "Can't be seen, the part is gone", &tells.missing);
    if !tells.same.is_empty() {
        let words = format!("The same in all: {}", tells.same.len());
        if button(ui, if view.same_open { Icon::Up } else { Icon::Down }, &words).clicked() {
            view.same_open = !view.same_open;
        }
        if view.same_open {
            names_ui(ui, doc, "", &tells.same);
        }
    }
}

fn names_ui(ui: &mut Ui, doc: &Document, heading: &str, features: &[FeatureId]) {
    if features.is_empty() {
        return;
    }
    let names: Vec<String> = features.iter().filter_map(|id| doc.key.feature(id)).map(crate::key::Feature::shown_name).collect();
    ui.add_space(4.0);
    let words = if heading.is_empty() { names.join(", ") } else { format!("{heading}: {}", names.join(", ")) };
    remark(ui, words);
}

/// How surely a tell is seen, in words: 1/n is a guess.
fn surely_in_words(surely: f64) -> &'static str {
    match surely {
        p if p >= 0.97 => "nearly sure",
        p if p >= 0.85 => "mostly",
        p if p >= 0.65 => "often",
        _ => "hardly better than a guess",
    }
}

fn tell_ui(ui: &mut Ui, doc: &Document, view: &TellApartView, tell: &Tell, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    ui.add_space(6.0);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 8.0;
        ui.label(RichText::new(capital(&tell.name)).family(theme::bold()).size(16.0));
        let (_, bar) = ui.allocate_space(vec2(60.0, 16.0));
        let track = Rect::from_min_size(pos2(bar.left(), bar.center().y - 3.0), vec2(60.0, 6.0));
        ui.painter().rect_filled(track, CornerRadius::same(3), c.edge);
        let lit = Rect::from_min_size(track.min, vec2(60.0 * tell.surely.clamp(0.0, 1.0) as f32, 6.0));
        ui.painter().rect_filled(lit, CornerRadius::same(3), c.moss);
        remark(ui, format!("{}, {:.0} %", surely_in_words(tell.surely), tell.surely * 100.0));
        remark(ui, tell.view.words());
        if tell.effort > 1.0 {
            remark(ui, format!("effort {}", trim(tell.effort)));
        }
        if tell.lid_on_only {
            ui.label(RichText::new("only with the lid on").color(c.glow_text));
        }
    });
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = Vec2::splat(6.0);
        for (n, form) in view.forms.iter().enumerate() {
            let (Some(words), answer) = (tell.values.get(n), tell.answers.get(n).cloned().flatten()) else { continue };
            let name = doc.form(form).map(|form| doc.key.full_name(form)).unwrap_or_default();
            if value_ui(ui, doc, tell, n, words, &name, answer.is_some())
                && let Some(seen) = answer
            {
                commands.push(Command::See(Observation { feature: tell.feature.clone(), seen, sure: Sure::Sure }));
            }
        }
    });
}

/// What one form has, drawn and named in its ink. True when it was clicked.
fn value_ui(ui: &mut Ui, doc: &Document, tell: &Tell, n: usize, words: &str, form: &str, can: bool) -> bool {
    let c = theme::colours(ui);
    let ink = c.forms.get(n).copied().unwrap_or(c.ink);
    let galley = ui.painter().layout(capital(words), FontId::proportional(14.5), c.ink, 190.0);
    let drawn = doc.key.feature(&tell.feature).zip(tell.value_ids.get(n).and_then(|ids| ids.first()));
    let figure = if drawn.is_some() { 44.0 } else { 10.0 };
    let size = vec2(galley.size().x + figure + 18.0, galley.size().y.max(TARGET - 10.0) + 10.0);
    let (rect, response) = ui.allocate_exact_size(size, if can { Sense::click() } else { Sense::hover() });
    let role = if can { Role::Button } else { Role::Label };
    response.widget_info(|| WidgetInfo::labeled(role, can, format!("{}: {words}, as {form}", tell.name)));
    if ui.is_rect_visible(rect) {
        let lit = can && (response.hovered() || response.has_focus());
        let fill = if lit { c.glow_wash } else { c.paper_warm };
        let stroke = if response.has_focus() { Stroke::new(2.0, c.glow) } else { Stroke::NONE };
        ui.painter().rect(rect, CornerRadius::same(6), fill, stroke, StrokeKind::Inside);
        ui.painter().rect_filled(Rect::from_min_size(rect.min, vec2(5.0, rect.height())), CornerRadius::same(2), ink);
        if let Some((feature, value)) = drawn {
            let square = Rect::from_center_size(pos2(rect.left() + 29.0, rect.center().y), vec2(34.0, 30.0));
            glyph::value_glyph(ui.painter(), square, &doc.key, feature, value, c);
        }
        ui.painter().galley(pos2(rect.left() + figure + 8.0, rect.center().y - galley.size().y / 2.0), galley, c.ink);
    }
    response.on_hover_text(format!("As {form} has it")).clicked()
}
