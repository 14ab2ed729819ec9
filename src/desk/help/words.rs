//! The words of the trade, beside a drawn vessel: pointing at a word lights its part, pointing at a part finds its words.

use crate::desk::board::{Placing, paint};
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{remark, strong};
use crate::key::shape::Shape;
use crate::key::words::fold;
use crate::key::{Part, capital};
use crate::say;
use crate::words::of_data;
use egui::{Margin, Rect, Role, ScrollArea, Sense, Stroke, TextEdit, Ui, WidgetInfo, vec2};
use serde::Deserialize;
use std::borrow::Cow;
use std::sync::LazyLock;

/// `assets/glossary.ron`
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct Glossary {
    vessel: Option<Shape>,
    words: Vec<Word>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Word {
    #[serde(rename = "word")]
    name: String,
    part: Option<Part>,
    says: String,
}

/// A test reads it, so that it is whole; were it not, the page would be empty.
static GLOSSARY: LazyLock<Glossary> = LazyLock::new(|| read().unwrap_or_default());

fn read() -> Result<Glossary, ron::error::SpannedError> {
    ron::from_str(include_str!("../../../assets/glossary.ron"))
}

/// What is typed to find a word, and the part that was pointed at.
#[derive(Debug, Default)]
pub(super) struct WordsView {
    typed: String,
    part: Option<Part>,
}

/// Draws the words.
pub(super) fn words_ui(ui: &mut Ui, view: &mut WordsView) {
    let c = theme::colours(ui);
    let width = ui.available_width();
    ui.horizontal_top(|ui| {
        let side = (width * 0.4).min(300.0);
        ui.vertical(|ui| {
            ui.set_width(side);
            vessel_ui(ui, view, side);
            remark(ui, say!("Point at a part, or at its word."));
        });
        ui.vertical(|ui| {
            ui.horizontal(|ui| {
                let label = remark(ui, say!("Find"));
                let edit = TextEdit::singleline(&mut view.typed).hint_text(say!("a word of the trade")).desired_width(180.0);
                ui.add(edit.min_size(vec2(0.0, TARGET)).margin(Margin::symmetric(8, 7))).labelled_by(label.id);
            });
            let typed = fold(&view.typed);
            let found =
                |said: &(Cow<'_, str>, Cow<'_, str>)| typed.is_empty() || fold(&said.0).contains(&typed) || fold(&said.1).contains(&typed);
            let mut pointed = None;
            ScrollArea::vertical().id_salt("words").auto_shrink(false).show(ui, |ui| {
                for word in &GLOSSARY.words {
                    let said = (of_data(&word.name), of_data(&word.says));
                    if !found(&said) {
                        continue;
                    }
                    let on = word.part.is_some() && word.part == view.part;
                    let frame = egui::Frame::new().inner_margin(Margin::symmetric(8, 4)).corner_radius(6);
                    let shown = frame.fill(if on { c.glow_wash } else { c.paper }).show(ui, |ui| {
                        ui.set_width(ui.available_width());
                        strong(ui, capital(&said.0));
                        ui.label(&*said.1);
                    });
                    if shown.response.contains_pointer() {
                        pointed = word.part;
                    }
                }
            });
            if pointed.is_some() {
                view.part = pointed;
            }
        });
    });
}

/// The vessel, its parts to be pointed at.
fn vessel_ui(ui: &mut Ui, view: &mut WordsView, side: f32) {
    let c = theme::colours(ui);
    let (rect, _) = ui.allocate_exact_size(vec2(side, side), Sense::hover());
    let Some(silhouette) = GLOSSARY.vessel.as_ref().map(Shape::silhouette) else { return };
    let placing = Placing::fit(silhouette.bounds, rect.shrink(8.0), 4.0);
    for (part, path) in &silhouette.parts {
        let on = view.part == Some(*part);
        paint::fill(ui.painter(), path, placing, if on { c.glow } else { c.clay });
        paint::stroke(ui.painter(), path, placing, Stroke::new(1.6, c.ink));
    }
    // From the last painted, so that what lies on top is what is pointed at.
    let mut named: Vec<Part> = Vec::new();
    for (part, path) in silhouette.parts.iter().rev() {
        if named.contains(part) {
            continue;
        }
        named.push(*part);
        let bounds = kurbo::Shape::bounding_box(path);
        let target = Rect::from_two_pos(placing.at(bounds.x0, bounds.y0), placing.at(bounds.x1, bounds.y1));
        let response = ui.interact(target, crate::desk::widgets::id(("part of the drawn vessel", *part)), Sense::click());
        response.widget_info(|| WidgetInfo::selected(Role::Button, true, view.part == Some(*part), capital(part.word())));
        if response.clicked() || response.has_focus() {
            view.part = Some(*part);
        }
        if response.hovered()
            && let Some(at) = ui.input(|input| input.pointer.hover_pos())
        {
            let (x, y) = (f64::from((at.x - placing.origin.x) / placing.scale), f64::from((placing.origin.y - at.y) / placing.scale));
            if let Some(pointed) = silhouette.part_at(kurbo::Point::new(x, y)) {
                view.part = Some(pointed);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn the_glossary_is_whole_and_every_drawn_part_has_a_word() {
        let glossary = read().unwrap();
        let words: BTreeSet<String> = glossary.words.iter().map(|word| fold(&word.name)).collect();
        assert_eq!(words.len(), glossary.words.len(), "no word twice");
        for (part, _) in glossary.vessel.as_ref().unwrap().silhouette().parts {
            assert!(glossary.words.iter().any(|word| word.part == Some(part)), "{}", part.word());
        }
        assert!(glossary.words.iter().all(|word| word.says.ends_with('.') && word.says.len() < 160));
    }
}
