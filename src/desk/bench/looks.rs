//! The next look and its runners-up, beside the drawing.

use super::BenchView;
use super::card::{self, Card, splits_in_words};
use crate::desk::action::Action;
use crate::desk::document::Document;
use crate::desk::theme;
use crate::desk::widgets::remark;
use crate::identify::NextLook;
use crate::key::capital;
use crate::say;
use egui::{CornerRadius, FontId, Frame, Margin, Rect, RichText, Role, ScrollArea, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};

/// Opens the card of the best next look, or of the one after the card that is open.
pub fn take_next(doc: &Document, view: &mut BenchView) {
    let looks = &doc.standing.next_looks;
    let at = view.card.as_ref().and_then(|open| looks.iter().position(|look| look.feature == open.feature)).map_or(0, |at| at + 1);
    let next = looks.get(at).or_else(|| looks.first());
    if let Some(feature) = next.and_then(|look| doc.key.feature(&look.feature)) {
        view.card = Some(Card::new(doc, feature));
    }
}

/// Draws the card that is open, or the looks that are worth taking.
pub fn looks_ui(ui: &mut Ui, doc: &Document, view: &mut BenchView, commands: &mut Vec<crate::desk::command::Command>) {
    if view.card.is_some() {
        card::card_ui(ui, doc, view, commands);
        return;
    }
    let c = theme::colours(ui);
    let Some(best) = doc.standing.next_looks.first() else {
        Frame::new().fill(c.paper_warm).corner_radius(CornerRadius::same(theme::ROUND)).inner_margin(Margin::same(10)).show(ui, |ui| {
            remark(ui, say!("No other feature of this key would tell more. What was answered can be changed on the slip."));
        });
        return;
    };
    let mut open = None;
    if best_ui(ui, doc, best) {
        open = Some(best.feature.clone());
    }
    ui.add_space(4.0);
    ScrollArea::vertical().id_salt("looks").auto_shrink([false, true]).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        let others: Vec<&NextLook> = doc.standing.next_looks.iter().skip(1).filter(|look| look.bits > 0.005).collect();
        if !others.is_empty() {
            remark(ui, say!("or look at"));
        }
        for look in others {
            if other_ui(ui, doc, look) {
                open = Some(look.feature.clone());
            }
        }
    });
    if let Some(feature) = open.and_then(|id| doc.key.feature(&id)) {
        view.card = Some(Card::new(doc, feature));
    }
}

/// The best look, glowing. True when it was taken.
fn best_ui(ui: &mut Ui, doc: &Document, look: &NextLook) -> bool {
    let c = theme::colours(ui);
    let width = ui.available_width();
    let text = |words: String, font: FontId, ink| ui.painter().layout(words, font, ink, width - 24.0);
    let heading = text(look.says.clone(), FontId::new(16.0, theme::bold()), c.ink);
    let how = doc.key.feature(&look.feature).map(|feature| capital(&feature.look)).unwrap_or_default();
    let how = text(how, FontId::proportional(13.5), c.ink_soft);
    let enter =
        text(say!("{shortcut}  take this look", shortcut = Action::NextLook.shortcut_text(ui)), FontId::proportional(14.0), c.glow_text);
    let height = heading.size().y + how.size().y + enter.size().y + 30.0;
    let (rect, response) = ui.allocate_exact_size(vec2(width, height), Sense::click());
    let name = doc.key.feature(&look.feature).map(crate::key::Feature::shown_name).unwrap_or_default();
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, say!("Next look: {name}", name)));
    if ui.is_rect_visible(rect) {
        let width = if response.hovered() || response.has_focus() { 3.0 } else { 2.0 };
        ui.painter().rect(rect, CornerRadius::same(theme::ROUND), c.glow_wash, Stroke::new(width, c.glow), egui::StrokeKind::Inside);
        let mut at = rect.min + vec2(12.0, 10.0);
        for galley in [heading, how, enter] {
            let height = galley.size().y;
            ui.painter().galley(at, galley, c.ink);
            at.y += height + 5.0;
        }
    }
    response.clicked()
}

/// Another look worth taking, as a row with a bar as long as what it tells. True when it was taken.
fn other_ui(ui: &mut Ui, doc: &Document, look: &NextLook) -> bool {
    let c = theme::colours(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), theme::TARGET), Sense::click());
    let name = doc.key.feature(&look.feature).map(crate::key::Feature::shown_name).unwrap_or_default();
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, say!("Look at {name}", name)));
    if ui.is_rect_visible(rect) {
        let lit = response.hovered() || response.has_focus();
        if lit {
            ui.painter().rect_filled(rect, CornerRadius::same(6), c.glow_wash);
        }
        let most = doc.standing.next_looks.first().map_or(1.0, |best| best.bits.max(1e-9));
        let bar = Rect::from_min_size(
            pos2(rect.left() + 4.0, rect.bottom() - 5.0),
            vec2((rect.width() - 8.0) * (look.bits / most).clamp(0.0, 1.0) as f32, 2.5),
        );
        ui.painter().rect_filled(bar, CornerRadius::same(1), c.glow.gamma_multiply(0.55));
        let galley = ui.painter().layout_no_wrap(name, FontId::proportional(15.0), c.ink);
        ui.painter().with_clip_rect(rect.intersect(ui.clip_rect())).galley(
            pos2(rect.left() + 6.0, rect.center().y - galley.size().y / 2.0 - 2.0),
            galley,
            c.ink,
        );
    }
    response
        .on_hover_ui(|ui| {
            ui.label(RichText::new(look.says.clone()));
            remark(
                ui,
                say!(
                    "{bits:.2} bits for an effort of {effort}; {look}",
                    bits = look.bits,
                    effort = card::trim(look.effort),
                    look = splits_in_words(look)
                ),
            );
        })
        .clicked()
}
