//! Value drawings: the small picture on a value's button.

use super::paint::{self, Placing};
use crate::desk::theme::{self, Colours};
use crate::key::outline::{Glyph, Ink};
use crate::key::shape::Drawing;
use crate::key::{Feature, FeatureKind, Key, Layout, Mark, ValueId};
use egui::{Align2, CornerRadius, FontId, Painter, Rect, Stroke, StrokeKind, vec2};
use kurbo::Affine;

/// Draws the picture of a value.
pub fn value_glyph(painter: &Painter, rect: Rect, key: &Key, feature: &Feature, id: &ValueId, c: &Colours) {
    match &feature.kind {
        FeatureKind::Choice(values) => {
            let Some(value) = values.iter().find(|value| value.id == *id) else { return };
            if let Some(lab) = value.lab {
                swatch(painter, rect, theme::of_lab(lab), c);
            } else {
                drawing_glyph(painter, rect, &value.drawing, c);
            }
        }
        FeatureKind::Glaze => {
            if let Some(glaze) = key.glazes.iter().find(|glaze| glaze.id.as_str() == id.as_str()) {
                swatch(painter, rect, theme::of_lab(glaze.lab), c);
            }
        }
        FeatureKind::Decoration => {
            if let Some(decoration) = key.decorations.iter().find(|decoration| decoration.id.as_str() == id.as_str()) {
                drawing_glyph(painter, rect, &decoration.drawing, c);
            }
        }
        FeatureKind::Mark => {
            if let Some(mark) = key.marks.iter().find(|mark| mark.id.as_str() == id.as_str()) {
                mark_glyph(painter, rect, mark, c);
            }
        }
        FeatureKind::Measure(_) => {}
    }
}

/// A patch of colour, as on a glaze tile.
pub fn swatch(painter: &Painter, rect: Rect, colour: egui::Color32, c: &Colours) {
    let rect = rect.shrink2(vec2(2.0, 2.0));
    painter.rect(rect, CornerRadius::same(5), colour, Stroke::new(1.0, c.ink.gamma_multiply(0.5)), StrokeKind::Inside);
    let shine = Rect::from_min_size(rect.min + vec2(4.0, 3.0), vec2(rect.width() * 0.35, 3.0));
    painter.rect_filled(shine, CornerRadius::same(2), c.on_moss.gamma_multiply(0.45));
}

/// Draws a value drawing in the middle of `rect`.
pub fn drawing_glyph(painter: &Painter, rect: Rect, drawing: &Drawing, c: &Colours) {
    glyph(painter, rect, &drawing.glyph(), c);
}

fn glyph(painter: &Painter, rect: Rect, glyph: &Glyph, c: &Colours) {
    let side = rect.width().min(rect.height());
    let square = Rect::from_center_size(rect.center(), vec2(side, side));
    // The unit square has y down; placings have it up.
    let flip = Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, 0.0]);
    let placing = Placing { origin: square.min, scale: side };
    for (path, ink) in &glyph.paths {
        let path = flip * path.clone();
        match ink {
            Ink::Stroke => paint::stroke(painter, &path, placing, Stroke::new(1.8, c.ink)),
            Ink::Fill => paint::fill(painter, &path, placing, c.ink),
            Ink::Faint => paint::stroke(painter, &path, placing, Stroke::new(1.2, c.ink_faint)),
            Ink::Wash => paint::fill(painter, &path, placing, c.ink_faint.gamma_multiply(0.3)),
        }
    }
}

/// The layout of a mark with a hint of its lines.
fn mark_glyph(painter: &Painter, rect: Rect, mark: &Mark, c: &Colours) {
    let ink = mark.ink.as_ref().map_or(c.ink_soft, |ink| theme::of_lab(ink.lab));
    let side = rect.width().min(rect.height()) - 4.0;
    let centre = rect.center();
    let line = Stroke::new(1.6, ink);
    match mark.layout {
        Layout::Round => {
            painter.circle_stroke(centre, side / 2.0, line);
        }
        Layout::Oval => {
            painter.add(egui::Shape::ellipse_stroke(centre, vec2(rect.width() / 2.0 - 2.0, side * 0.36), line));
        }
        Layout::Square => {
            painter.rect_stroke(Rect::from_center_size(centre, vec2(side, side * 0.8)), 2.0, line, StrokeKind::Middle);
        }
        Layout::Script | Layout::Words => {}
    }
    let first: String = mark.wording.first().map(|line| line.text.chars().take(3).collect()).unwrap_or_default();
    painter.text(centre, Align2::CENTER_CENTER, first, FontId::new(10.0, theme::bold()), ink);
}
