//! What the entry that is looked at may mean: its forms as drawings, and any other form by name.

use super::rows::no_form;
use super::{Decision, List};
use crate::desk::board::paint::{self, Placing};
use crate::desk::board::vessel::Drawings;
use crate::desk::document::Document;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{chip, remark, strong};
use crate::key::{FormId, capital, percent};
use crate::say;
use egui::{FontId, Margin, Rect, Role, ScrollArea, Sense, Stroke, StrokeKind, TextEdit, Ui, WidgetInfo, pos2, vec2};

/// Width and height of a form, in points.
const CARD: egui::Vec2 = vec2(136.0, 82.0);
/// Forms that are offered for a typed name.
const OFFERED: usize = 4;

/// Draws what the entry may mean.
pub(super) fn entry_ui(ui: &mut Ui, doc: &Document, list: &mut List, drawn: &mut Drawings) {
    let at = list.at;
    let Some(meant) = list.meant(at).cloned() else { return };
    let said = list.decisions.get(at).cloned().unwrap_or_default();
    let mut chosen: Option<Decision> = None;
    ui.horizontal(|ui| {
        strong(ui, say!("{at}: '{written}' may mean", at = at + 1, written = meant.entry.written));
        if chip(ui, say!("0 leave it alone"), said == Decision::Declined)
            .on_hover_text(say!("It means no form of this key, or is no piece"))
            .clicked()
        {
            chosen = Some(Decision::Declined);
        }
        let named = remark(ui, say!("Another form"));
        let field = TextEdit::singleline(&mut list.typed)
            .hint_text(say!("its name"))
            .desired_width(150.0)
            .margin(Margin::symmetric(8, 7))
            .min_size(vec2(0.0, TARGET));
        ui.add(field).labelled_by(named.id);
    });
    let typed = list.typed.trim().to_owned();
    ScrollArea::horizontal().id_salt("what it may mean").auto_shrink(false).show(ui, |ui| {
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 6.0;
            if typed.is_empty() {
                for (n, guess) in meant.guesses.iter().enumerate() {
                    let is_said = said == Decision::Means(guess.form.clone());
                    let words = (format!("{} {}", n + 1, capital(&guess.name)), percent(guess.probability));
                    if card_ui(ui, doc, drawn, &guess.form, &words, is_said) {
                        chosen = Some(Decision::Means(guess.form.clone()));
                    }
                }
                if meant.guesses.is_empty() {
                    remark(ui, capital(no_form()));
                } else {
                    remark(ui, format!("{}: {}", capital(no_form()), percent(meant.none)));
                }
            } else {
                let hits = list.offered.forms(doc, &typed, OFFERED);
                for hit in hits.iter() {
                    let words = (capital(&doc.key.form_name(hit)), String::new());
                    if card_ui(ui, doc, drawn, hit, &words, said == Decision::Means(hit.clone())) {
                        chosen = Some(Decision::Means(hit.clone()));
                    }
                }
                if hits.is_empty() {
                    remark(ui, say!("No form of this key is called anything like that."));
                }
            }
        });
    });
    if let Some(decision) = chosen {
        list.decide(at, decision);
    }
}

fn card_ui(ui: &mut Ui, doc: &Document, drawn: &mut Drawings, form: &FormId, (name, p): &(String, String), is_said: bool) -> bool {
    let c = theme::colours(ui);
    let (rect, response) = ui.allocate_exact_size(CARD, Sense::click());
    let label = if p.is_empty() { name.clone() } else { format!("{name}, {p}") };
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, is_said, &label));
    let edge = match (is_said, response.has_focus()) {
        (_, true) => Stroke::new(2.0, c.glow),
        (true, _) => Stroke::new(2.0, c.moss),
        _ => Stroke::new(1.0, c.edge),
    };
    let fill = if response.hovered() { c.glow_wash } else { c.paper };
    ui.painter().rect(rect, 8.0, fill, edge, StrokeKind::Inside);
    if let Some(form) = doc.form(form) {
        let figure = Rect::from_min_max(rect.min + vec2(8.0, 5.0), pos2(rect.right() - 48.0, rect.top() + 42.0));
        let drawing = drawn.of(form);
        let placing = Placing::fit(drawing.bounds, figure, 1.2);
        for path in &drawing.paths {
            paint::fill(ui.painter(), path, placing, c.moss);
        }
    }
    let painter = ui.painter().with_clip_rect(rect.shrink(3.0).intersect(ui.clip_rect()));
    painter.text(pos2(rect.right() - 8.0, rect.top() + 22.0), egui::Align2::RIGHT_CENTER, p, FontId::new(14.0, theme::bold()), c.ink);
    let mut job = egui::text::LayoutJob::simple(name.clone(), FontId::proportional(13.0), c.ink, CARD.x - 14.0);
    job.wrap.max_rows = 2;
    let galley = painter.layout_job(job);
    painter.galley(pos2(rect.left() + 7.0, rect.bottom() - 4.0 - galley.size().y), galley, c.ink);
    response.on_hover_text(label).clicked()
}
