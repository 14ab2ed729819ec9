//! The board: the piece in hand in three views, each part a place to point at.

use super::card::Card;
use super::{BenchView, looks, sheet};
use crate::desk::board::vessel::DrawnSketch;
use crate::desk::board::{paint, vessel};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{chip, in_rect, remark};
use crate::key::{Feature, FeatureId, FeatureKind, Part, View, capital};
use crate::say;
use egui::{Align2, FontId, Rect, Role, Sense, Ui, Vec2, WidgetInfo, pos2, vec2};

/// Draws the board.
pub fn board_ui(ui: &mut Ui, doc: &Document, view: &mut BenchView, commands: &mut Vec<Command>) {
    sheet(ui, |ui| {
        let area = ui.available_rect_before_wrap();
        let strip = in_hand_height(area.width());
        let upper = Rect::from_min_max(area.min, pos2(area.right(), area.bottom() - strip));
        let middle_width = if asks_for_mark(doc, view) {
            // Marks are drawn on the card; the side view can do with less while the piece lies upside down.
            (upper.width() * 0.54).clamp(236.0, 440.0)
        } else {
            (upper.width() * 0.34).clamp(236.0, 320.0)
        };
        let right_width = ((upper.width() - middle_width) * 0.36).clamp(130.0, 330.0);
        let side = Rect::from_min_max(upper.min, pos2(upper.right() - middle_width - right_width, upper.bottom()));
        let middle = Rect::from_min_max(pos2(side.right(), upper.top()), pos2(side.right() + middle_width, upper.bottom()));
        let right = Rect::from_min_max(pos2(middle.right(), upper.top()), upper.max);
        let above = Rect::from_min_max(right.min, pos2(right.right(), right.center().y));
        let underneath = Rect::from_min_max(above.left_bottom(), right.max);

        let sketch = view.sketch(doc);
        let lit = lit_part(doc, view);
        let mut pointed = None;
        side_ui(ui, doc, side, &sketch, lit, &mut pointed);
        above_ui(ui, doc, above.shrink2(vec2(8.0, 2.0)), &sketch, lit, &mut pointed);
        underneath_ui(ui, doc, underneath.shrink2(vec2(8.0, 2.0)), &sketch, lit, &mut pointed);
        in_rect(ui, "looks", middle.shrink2(vec2(6.0, 2.0)), |ui| looks::looks_ui(ui, doc, view, commands));
        in_rect(ui, "in the hand", Rect::from_min_max(pos2(area.left(), upper.bottom()), area.max), |ui| in_hand_ui(ui, doc, view));
        if let Some((part, from)) = pointed {
            point_at(doc, view, part, from);
        }
    });
}

/// Whether the open card asks for a mark.
fn asks_for_mark(doc: &Document, view: &BenchView) -> bool {
    let asked = view.card.as_ref().and_then(|card| doc.key.feature(&card.feature));
    asked.is_some_and(|feature| matches!(feature.kind, FeatureKind::Mark))
}

/// The part and view of the open card, else of the best next look.
fn lit_part(doc: &Document, view: &BenchView) -> Option<(Part, View)> {
    let feature: &FeatureId = match &view.card {
        Some(card) => &card.feature,
        None => &doc.standing.next_looks.first()?.feature,
    };
    doc.key.feature(feature).map(|feature| (feature.part, feature.view))
}

/// Opens the card of the best look at a part that was pointed at.
pub fn point_at(doc: &Document, view: &mut BenchView, part: Part, from: View) {
    if let Some(feature) = best_feature(doc, part, from, view.card.as_ref()) {
        view.card = Some(Card::new(doc, feature));
    }
}

/// The feature to ask for when a part is pointed at: the one that tells most, else one not answered, else any; of this view before other views. Pointing
/// again goes on to the next.
fn best_feature<'a>(doc: &'a Document, part: Part, from: View, open: Option<&Card>) -> Option<&'a Feature> {
    let here: Vec<&Feature> = doc.key.features.iter().filter(|feature| feature.part == part && feature.view == from).collect();
    if let Some(at) = open.and_then(|card| here.iter().position(|feature| feature.id == card.feature)) {
        return here.get((at + 1) % here.len().max(1)).copied();
    }
    let ranked = |all: &[&'a Feature]| -> Option<&'a Feature> {
        let by_look = doc.standing.next_looks.iter().find_map(|look| all.iter().find(|feature| feature.id == look.feature).copied());
        by_look.or_else(|| all.iter().find(|feature| doc.seen(&feature.id).is_none()).copied()).or_else(|| all.first().copied())
    };
    ranked(&here).or_else(|| {
        let anywhere: Vec<&Feature> =
            doc.key.features.iter().filter(|feature| feature.part == part && feature.view != View::Hand).collect();
        ranked(&anywhere)
    })
}

fn caption(ui: &Ui, rect: Rect, words: &str) {
    let c = theme::colours(ui);
    ui.painter().text(rect.left_top() + vec2(4.0, 2.0), Align2::LEFT_TOP, words, FontId::proportional(14.0), c.ink_soft);
}

/// Makes each drawn part a place to point at: the lid over the body, what is put on to either over both.
fn places(ui: &mut Ui, doc: &Document, from: View, regions: &[(Part, Rect)], pointed: &mut Option<(Part, View)>) {
    let mut sorted = regions.to_vec();
    sorted.sort_by_key(|(part, _)| match part {
        Part::Body => 0,
        Part::Lid => 1,
        _ => 2,
    });
    let mut drawn: Vec<Part> = Vec::new();
    for (part, rect) in sorted {
        let has_features = doc.key.features.iter().any(|feature| feature.part == part && feature.view == from);
        if !has_features {
            continue;
        }
        let rect = rect.expand2(vec2(((TARGET - rect.width()) / 2.0).max(0.0), ((TARGET - rect.height()) / 2.0).max(0.0)));
        let nth = drawn.iter().filter(|known| **known == part).count();
        drawn.push(part);
        let id = ui.scope_id().with((part.word(), from.words(), nth));
        let response = ui.interact(rect, id, Sense::click());
        let says = said_of(doc, part, from);
        let which = if nth == 0 { capital(part.word()) } else { say!("Other {part}", part = part.word()) };
        let name = format!("{which} {}", from.words());
        let label = if says.is_empty() { name.clone() } else { format!("{name}: {says}") };
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, label.clone()));
        if response.has_focus() {
            ui.painter().rect_stroke(rect, 6.0, egui::Stroke::new(2.0, theme::colours(ui).glow), egui::StrokeKind::Outside);
        }
        let hint = if says.is_empty() { say!("{name}: not looked at yet", name) } else { label };
        if response.on_hover_text(hint).clicked() {
            *pointed = Some((part, from));
        }
    }
}

/// What has been said of a part in a view, in words.
fn said_of(doc: &Document, part: Part, from: View) -> String {
    let all: Vec<String> = doc
        .hand
        .piece
        .observations
        .iter()
        .filter(|observation| doc.key.feature(&observation.feature).is_some_and(|feature| feature.part == part && feature.view == from))
        .map(|observation| super::slip::in_words(doc, observation))
        .collect();
    all.join(", ")
}

fn side_ui(ui: &mut Ui, doc: &Document, rect: Rect, sketch: &DrawnSketch, lit: Option<(Part, View)>, pointed: &mut Option<(Part, View)>) {
    let c = theme::colours(ui);
    let drawing = rect.shrink2(vec2(10.0, 24.0));
    let placing = vessel::side_placing(sketch, drawing);
    paint::grid(&ui.painter().with_clip_rect(rect), rect, placing, c.grid);
    caption(ui, rect, View::Side.words());
    let lit = lit.filter(|(_, from)| *from == View::Side).map(|(part, _)| part);
    let regions = vessel::side_view(&ui.painter().with_clip_rect(rect), sketch, placing, c, lit);
    places(ui, doc, View::Side, &regions, pointed);
}

fn above_ui(ui: &mut Ui, doc: &Document, rect: Rect, sketch: &DrawnSketch, lit: Option<(Part, View)>, pointed: &mut Option<(Part, View)>) {
    let c = theme::colours(ui);
    caption(ui, rect, View::Above.words());
    let drawing = Rect::from_min_max(rect.min + vec2(4.0, 24.0), rect.max - vec2(4.0, 6.0));
    let lit = lit.filter(|(_, from)| *from == View::Above).map(|(part, _)| part);
    let regions = vessel::above_view(&ui.painter().with_clip_rect(rect), sketch, drawing, c, lit);
    places(ui, doc, View::Above, &regions, pointed);
}

fn underneath_ui(
    ui: &mut Ui,
    doc: &Document,
    rect: Rect,
    sketch: &DrawnSketch,
    lit: Option<(Part, View)>,
    pointed: &mut Option<(Part, View)>,
) {
    let c = theme::colours(ui);
    caption(ui, rect, View::Underneath.words());
    let drawing = Rect::from_min_max(rect.min + vec2(4.0, 24.0), rect.max - vec2(4.0, 6.0));
    let lit = lit.filter(|(_, from)| *from == View::Underneath).map(|(part, _)| part);
    let regions = vessel::underneath_view(&ui.painter().with_clip_rect(rect), sketch, drawing, c, lit);
    places(ui, doc, View::Underneath, &regions, pointed);
}

fn in_hand_height(width: f32) -> f32 {
    if width < 620.0 { 2.0 * TARGET + 16.0 } else { TARGET + 8.0 }
}

/// What is felt, weighed or measured rather than pointed at.
fn in_hand_ui(ui: &mut Ui, doc: &Document, view: &mut BenchView) {
    egui::ScrollArea::horizontal().id_salt("in the hand").show(ui, |ui| {
        ui.horizontal_centered(|ui| {
            ui.spacing_mut().item_spacing = Vec2::new(6.0, 4.0);
            remark(ui, View::Hand.words());
            for feature in doc.key.features.iter().filter(|feature| feature.view == View::Hand) {
                if doc.is_missing(feature.part) {
                    continue;
                }
                let said = doc.seen(&feature.id);
                let lit = doc.standing.next_looks.first().is_some_and(|look| look.feature == feature.id);
                let words = match said {
                    Some(observation) => format!("{} {}", feature.shown_name(), super::slip::in_words(doc, observation)),
                    None => feature.shown_name(),
                };
                let response = chip(ui, &words, said.is_some());
                if lit {
                    let c = theme::colours(ui);
                    ui.painter().rect_stroke(response.rect, 17.0, egui::Stroke::new(2.0, c.glow), egui::StrokeKind::Inside);
                }
                if response.clicked() {
                    view.card = Some(Card::new(doc, feature));
                }
            }
        });
    });
}
