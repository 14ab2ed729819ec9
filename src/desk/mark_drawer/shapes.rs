//! Chips with a drawing: how a mark is laid out, and its ink.

use crate::desk::theme::{self, TARGET};
use crate::key::{Ink, Layout};
use crate::say;
use egui::{Color32, CornerRadius, FontId, Painter, Rect, Response, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2};

/// Width of the drawing on a chip, in points.
const DRAWING: f32 = 26.0;

/// A chip that is on or off: a drawing, and words.
fn drawn_chip(ui: &mut Ui, words: &str, on: bool, draw: impl FnOnce(&Painter, Rect, Color32)) -> Response {
    let c = theme::colours(ui);
    let (fill, ink, edge) = if on { (c.ink, c.on_ink, c.ink) } else { (c.paper_warm, c.ink, c.edge) };
    let galley = ui.painter().layout_no_wrap(words.to_owned(), FontId::proportional(15.0), ink);
    let (rect, response) = ui.allocate_exact_size(vec2(DRAWING + galley.size().x + 30.0, TARGET), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, on, words));
    let edge = if response.hovered() || response.has_focus() { Stroke::new(2.0, c.glow) } else { Stroke::new(1.0, edge) };
    ui.painter().rect(rect, CornerRadius::same(17), fill, edge, StrokeKind::Inside);
    let drawing = Rect::from_min_size(rect.min + vec2(11.0, 6.0), vec2(DRAWING, TARGET - 12.0));
    draw(ui.painter(), drawing, ink);
    ui.painter().galley(pos2(drawing.right() + 7.0, rect.center().y - galley.size().y / 2.0), galley, ink);
    response
}

/// The same without words, which are told by hovering and to a screen reader.
fn drawn_tile(ui: &mut Ui, words: &str, on: bool, draw: impl FnOnce(&Painter, Rect, Color32)) -> Response {
    let c = theme::colours(ui);
    let (fill, ink, edge) = if on { (c.ink, c.on_ink, c.ink) } else { (c.paper_warm, c.ink, c.edge) };
    let (rect, response) = ui.allocate_exact_size(vec2(DRAWING + 4.0, TARGET), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, on, words));
    let edge = if response.hovered() || response.has_focus() { Stroke::new(2.0, c.glow) } else { Stroke::new(1.0, edge) };
    ui.painter().rect(rect, CornerRadius::same(6), fill, edge, StrokeKind::Inside);
    draw(ui.painter(), Rect::from_center_size(rect.center(), vec2(DRAWING, TARGET - 12.0)), ink);
    response.on_hover_text(words)
}

/// How a mark is laid out.
pub(super) fn layout_chip(ui: &mut Ui, layout: Layout, on: bool) -> Response {
    drawn_chip(ui, layout.words(), on, |painter, rect, ink| draw_layout(painter, rect, ink, layout))
}

/// The same as a drawing alone.
pub fn layout_tile(ui: &mut Ui, layout: Layout, on: bool) -> Response {
    drawn_tile(ui, layout.words(), on, |painter, rect, ink| draw_layout(painter, rect, ink, layout))
}

fn draw_layout(painter: &Painter, rect: Rect, ink: Color32, layout: Layout) {
    let stroke = Stroke::new(1.6, ink);
    let middle = rect.center();
    match layout {
        Layout::Round => {
            painter.circle_stroke(middle, rect.height() / 2.0, stroke);
            painter.circle_stroke(middle, rect.height() / 4.0, stroke);
        }
        Layout::Oval => {
            painter.add(egui::epaint::EllipseShape::stroke(middle, vec2(rect.width() / 2.0, rect.height() * 0.36), stroke));
            painter.hline(middle.x - 6.0..=middle.x + 6.0, middle.y, stroke);
        }
        Layout::Square => {
            painter.rect_stroke(Rect::from_center_size(middle, vec2(22.0, 18.0)), 2.0, stroke, StrokeKind::Middle);
            painter.hline(middle.x - 6.0..=middle.x + 6.0, middle.y, stroke);
        }
        Layout::Script => {
            let wave: Vec<egui::Pos2> = (0..=24_u8)
                .map(|i| f32::from(i) / 24.0)
                .map(|t| pos2(rect.left() + t * rect.width(), middle.y - 5.0 * (t * 13.0).sin() * (1.0 - 0.5 * t)))
                .collect();
            painter.add(egui::Shape::line(wave, stroke));
        }
        Layout::Words => {
            for (y, half) in [(-6.0, 12.0), (0.0, 8.0), (6.0, 10.0)] {
                painter.hline(middle.x - half..=middle.x + half, middle.y + y, stroke);
            }
        }
    }
}

/// An ink, or none.
pub(super) fn ink_chip(ui: &mut Ui, ink: Option<&Ink>, on: bool) -> Response {
    drawn_chip(ui, &ink_words(ink), on, |painter, rect, edge| draw_ink(painter, rect, edge, ink))
}

/// The same as a drawing alone.
pub fn ink_tile(ui: &mut Ui, ink: Option<&Ink>, on: bool) -> Response {
    drawn_tile(ui, &ink_words(ink), on, |painter, rect, edge| draw_ink(painter, rect, edge, ink))
}

fn ink_words(ink: Option<&Ink>) -> String {
    ink.map_or_else(|| say!("no ink").to_owned(), |ink| say!("in {ink}", ink = ink.name))
}

fn draw_ink(painter: &Painter, rect: Rect, edge: Color32, ink: Option<&Ink>) {
    match ink {
        Some(ink) => painter.circle(rect.center(), 9.0, theme::of_lab(ink.lab), Stroke::new(1.0, edge)),
        None => painter.circle_stroke(rect.center(), 8.0, Stroke::new(1.2, edge)),
    };
}
