//! The wall: a card for each mark, with its drawing, its years and how they are known.

use super::sheet::{dated, known};
use super::{MarkDrawerView, art, is_answer, mark_features, use_mark};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::key_pictures::{Shown, paint};
use crate::desk::theme::{self, GAP, ROUND, TARGET};
use crate::desk::widgets::{button, remark};
use crate::key::{Key, Mark, Used};
use crate::marks::Match;
use crate::say;
use egui::{FontId, Rect, Role, ScrollArea, Sense, Stroke, StrokeKind, Ui, UiBuilder, Vec2, WidgetInfo, pos2, vec2};

/// Least width of a card and its height without its button, in points.
const CARD: Vec2 = vec2(216.0, 262.0);

/// Draws the wall.
pub fn wall_ui(ui: &mut Ui, doc: &Document, view: &mut MarkDrawerView, commands: &mut Vec<Command>) {
    let mut kept = std::mem::take(&mut view.passed);
    let passed = kept.passed(doc, &view.sieve);
    remark(ui, counted(passed.len(), doc.key.marks.len()));
    let room = ui.available_width() - 10.0;
    let columns = (((room + GAP) / (CARD.x + GAP)) as usize).max(1);
    let size = vec2(((room + GAP) / columns as f32 - GAP).min(CARD.x * 1.3), CARD.y);
    ScrollArea::vertical().id_salt("wall of marks").auto_shrink(false).show(ui, |ui| {
        for row in passed.chunks(columns) {
            ui.horizontal(|ui| {
                ui.spacing_mut().item_spacing = Vec2::splat(GAP);
                for (passed, mark) in row.iter().filter_map(|passed| Some((passed, doc.key.marks.get(passed.number)?))) {
                    ui.vertical(|ui| {
                        ui.spacing_mut().item_spacing.y = 4.0;
                        card_ui(ui, doc, view, (mark, passed.reading.as_ref()), size);
                        button_ui(ui, doc, mark, commands);
                    });
                }
            });
            ui.add_space(GAP);
        }
    });
    view.passed = kept;
}

fn counted(shown: usize, all: usize) -> String {
    match (shown, all) {
        (_, 0) => String::new(),
        (0, _) => {
            say!("No mark of this key reads like that. Take a letter or a switch away; a mark that is not here may be new.").to_owned()
        }
        (shown, all) if shown == all => say!("{all} marks", all),
        (shown, all) => say!("{shown} of {all} marks", shown, all),
    }
}

/// The card: a click opens the mark's sheet.
fn card_ui(ui: &mut Ui, doc: &Document, view: &mut MarkDrawerView, (mark, reading): (&Mark, Option<&Match>), size: Vec2) {
    let c = theme::colours(ui);
    let open = view.open.as_ref() == Some(&mark.id);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, open, spoken(&doc.key, mark)));
    if ui.is_rect_visible(rect) {
        let lit = response.hovered() || response.has_focus();
        let edge = if open || lit { Stroke::new(2.0, c.glow) } else { Stroke::new(1.0, c.edge) };
        ui.painter().rect(rect, ROUND, if lit { c.glow_wash } else { c.paper }, edge, StrokeKind::Inside);
        let drawing = Rect::from_min_size(rect.min + vec2(10.0, 10.0), vec2(size.x - 20.0, 158.0));
        let picture = mark.pictures.first().filter(|_| view.photographed);
        match picture.map(|picture| view.pictures.of(ui.ctx(), &picture.file)) {
            Some(Shown::Ready(texture)) => {
                let texture = texture.clone();
                paint(ui, drawing, &texture);
            }
            Some(Shown::Waiting | Shown::Failed(_)) | None => art::paint_mark(ui.painter(), drawing, mark, reading),
        }
        let mut lines = ui.new_child(
            UiBuilder::new().max_rect(Rect::from_min_max(pos2(rect.left() + 12.0, drawing.bottom() + 6.0), rect.max - vec2(12.0, 4.0))),
        );
        lines.spacing_mut().item_spacing.y = 0.0;
        let mut line = |text: String, size: f32, bold: bool, ink| {
            let font = FontId::new(size, if bold { theme::bold() } else { egui::FontFamily::Proportional });
            lines.add(egui::Label::new(egui::RichText::new(text).font(font).color(ink)).truncate().selectable(false));
        };
        line(mark.name.clone(), 15.5, true, c.ink);
        line(format!("{}, {}", dated(mark), known(mark)), 13.5, false, c.ink_soft);
        if mark.used == Used::NeverUsed {
            line(say!("never in production").to_owned(), 13.5, true, c.alarm);
        } else {
            line(lines_of(&doc.key, mark), 13.5, false, c.ink_soft);
        }
        if let Some(reading) = reading {
            line(
                if reading.score > 0.95 { say!("all that was read") } else { say!("part of what was read") }.to_owned(),
                13.5,
                false,
                c.glow_text,
            );
        }
        if is_answer(doc, &mark.id) {
            line(say!("the answer on the Bench").to_owned(), 13.5, true, c.glow_text);
        }
    }
    if response.on_hover_text(say!("Everything that is known of it")).clicked() {
        view.open = (!open).then(|| mark.id.clone());
    }
}

/// One click: the mark is the answer on the Bench.
fn button_ui(ui: &mut Ui, doc: &Document, mark: &Mark, commands: &mut Vec<Command>) {
    ui.allocate_ui(vec2(CARD.x, TARGET), |ui| {
        let Some(feature) = mark_features(doc).next() else { return };
        let response = button(ui, Icon::Bench, say!("It is this one"));
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, say!("Answer with {mark}", mark = mark.name)));
        if response.on_hover_text(say!("Make it the answer on the Bench")).clicked() {
            use_mark(feature, &mark.id, commands);
        }
    });
}

/// The lines a mark goes with, in words.
pub(super) fn lines_of(key: &Key, mark: &Mark) -> String {
    if mark.lines.is_empty() {
        return say!("any line").to_owned();
    }
    let names: Vec<String> = mark.lines.iter().map(|id| key.line(id).map_or_else(|| id.to_string(), |line| line.name.clone())).collect();
    names.join(", ")
}

/// What a screen reader says of a card.
fn spoken(key: &Key, mark: &Mark) -> String {
    let words: Vec<&str> = mark.wording.iter().map(|line| line.text.as_str()).collect();
    let never = if mark.used == Used::NeverUsed { format!(", {}", say!("never in production")) } else { String::new() };
    let (words, lines) = (words.join(" / "), lines_of(key, mark));
    format!("{}: “{words}”, {}, {}{never}, {lines}", say!("Mark {name}", name = mark.name), dated(mark), known(mark))
}
