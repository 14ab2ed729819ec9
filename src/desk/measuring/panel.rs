//! The panel beside the picture: the scale, the outline in numbers, and what is used on the Bench.

use super::canvas::Tool;
use super::setup::Setup;
use super::view::{Open, Picture};
use crate::desk::bench::slip::in_words;
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{self, Ability, button, chip, heading, icon_button, icon_button_if, main_button, remark, strong};
use crate::identify::Observation;
use crate::key::{Part, capital, percent};
use crate::photo::outline::{Above, Model, Says};
use crate::photo::{ScaleBy, answers_above};
use egui::{RichText, ScrollArea, TextEdit, Ui, vec2};

/// Draws the panel.
pub(super) fn panel_ui(ui: &mut Ui, doc: &Document, open: &mut Open, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        heading(ui, "Measure").on_hover_text("A lid, or the rim of a base, seen from above");
        widgets::row_from_right(ui, |ui| {
            if icon_button(ui, Icon::Close, "Close the measuring view").clicked() {
                open.close();
            }
            if icon_button_if(ui, Icon::Redo, "Redo", Ability::from(open.steps.can_redo())).clicked() {
                open.steps.redo();
            }
            if icon_button_if(ui, Icon::Undo, "Undo", Ability::from(open.steps.can_undo())).clicked() {
                open.steps.undo();
            }
        });
    });
    let answers = found(open).map(|above| answers_above(&doc.key, open.steps.now().part, above)).unwrap_or_default();
    let height = (ui.available_height() - TARGET - 12.0).max(TARGET);
    ScrollArea::vertical().id_salt("measures").max_height(height).auto_shrink(false).show(ui, |ui| {
        ui.set_max_width(ui.available_width() - 8.0);
        part_ui(ui, open);
        ui.separator();
        scale_ui(ui, open);
        ui.separator();
        outline_ui(ui, doc, open, &answers);
    });
    let used: Vec<Observation> = answers.into_iter().filter(|answer| !open.left_out.contains(&answer.feature)).collect();
    if !used.is_empty() && main_button(ui, Icon::Tick, "Use on the Bench").clicked() {
        commands.push(Command::SeeMeasured(used));
        open.close();
    }
}

fn found(open: &Open) -> Option<&Above> {
    open.found.as_ref()?.above.as_ref()?.as_ref().ok()
}

fn part_ui(ui: &mut Ui, open: &mut Open) {
    ui.horizontal_wrapped(|ui| {
        for (part, words) in [(Part::Lid, "A lid"), (Part::Body, "The rim of a base")] {
            if chip(ui, words, open.steps.now().part == part).clicked() {
                let setup = Setup { part, ..open.steps.now().clone() };
                open.steps.push(setup);
            }
        }
    });
}

fn scale_ui(ui: &mut Ui, open: &mut Open) {
    let c = theme::colours(ui);
    strong(ui, "Scale");
    let scaled = open.found.as_ref().map(|found| found.scaled.as_ref());
    match scaled {
        Some(Ok(scaled)) => {
            let by = if scaled.card.is_some() { "by the bank card" } else { "by a length; the tilt is not known" };
            remark(ui, format!("{by}, ± {:.1} %", 200.0 * scaled.scale_sd));
        }
        Some(Err(why)) => {
            ui.colored_label(c.alarm, capital(why));
        }
        None if matches!(open.picture, Picture::Ready { .. }) => {
            remark(ui, "Looking for the card …");
        }
        None => {}
    }
    ui.horizontal_wrapped(|ui| {
        if chip(ui, "Find the card", open.steps.now().scale == ScaleBy::FoundCard).clicked() {
            let setup = Setup { scale: ScaleBy::FoundCard, ..open.steps.now().clone() };
            open.steps.push(setup);
        }
        if chip(ui, "Set its corners", matches!(open.steps.now().scale, ScaleBy::Corners(_)))
            .on_hover_text("Four handles; drag each to where two straight edges of the card would meet")
            .clicked()
            && let Some(px) = corners_to_begin_with(open)
        {
            let setup = Setup { scale: ScaleBy::Corners(px), ..open.steps.now().clone() };
            open.steps.push(setup);
        }
        let is_length = matches!(open.steps.now().scale, ScaleBy::Length(..)) || matches!(open.tool, Tool::Ends(_));
        if chip(ui, "By a length", is_length).on_hover_text("Click two marks of a ruler that lies in the plane of the rim").clicked() {
            open.tool = Tool::Ends(Vec::new());
        }
    });
    if matches!(open.steps.now().scale, ScaleBy::Length(..)) || matches!(open.tool, Tool::Ends(_)) {
        length_ui(ui, open);
    }
}

fn length_ui(ui: &mut Ui, open: &mut Open) {
    ui.horizontal(|ui| {
        let label = remark(ui, "Length in mm");
        let field = TextEdit::singleline(&mut open.length).desired_width(70.0).min_size(vec2(0.0, TARGET));
        let left = ui.add(field).labelled_by(label.id).lost_focus();
        if left
            && let ScaleBy::Length(ends, _) = open.steps.now().scale
            && let Ok(mm) = open.length.trim().parse::<f64>()
        {
            let setup = Setup { scale: ScaleBy::Length(ends, mm), ..open.steps.now().clone() };
            open.steps.push(setup);
        }
    });
    if let Tool::Ends(ends) = &open.tool {
        remark(ui, if ends.is_empty() { "Click its first end" } else { "Click its other end" });
    }
    if open.length.trim().parse::<f64>().is_err() {
        let c = theme::colours(ui);
        ui.colored_label(c.alarm, "That is not a number of millimetres (write 100)");
    }
}

/// Where the four handles begin: on the card that was found, or round the middle of the picture.
fn corners_to_begin_with(open: &Open) -> Option<[kurbo::Point; 4]> {
    if let Some(card) = open.found.as_ref().and_then(|found| found.scaled.as_ref().ok()).and_then(|scaled| scaled.card.as_ref()) {
        return Some(card.corners_px);
    }
    let Picture::Ready { size, .. } = &open.picture else { return None };
    let (w, h) = (f64::from(size.0), f64::from(size.1));
    let (x, y) = (0.13 * w, 0.082 * w);
    Some([(-x, -y), (x, -y), (x, y), (-x, y)].map(|(dx, dy)| kurbo::Point::new(0.5 * w + dx, 0.5 * h + dy)))
}

fn outline_ui(ui: &mut Ui, doc: &Document, open: &mut Open, answers: &[Observation]) {
    let c = theme::colours(ui);
    ui.horizontal(|ui| {
        strong(ui, "Outline");
        if open.is_working() {
            ui.spinner();
            remark(ui, "measuring …");
        }
    });
    tools_ui(ui, open);
    let Some(result) = open.found.as_ref().and_then(|found| found.above.as_ref()) else { return };
    let above = match result {
        Ok(above) => above,
        Err(why) => {
            ui.colored_label(c.alarm, capital(why));
            return;
        }
    };
    numbers_ui(ui, above);
    if chip(ui, "Deviations, 30 times", open.residuals).on_hover_text("How far each point of the rim lies beside the curve").clicked() {
        open.residuals = !open.residuals;
    }
    ui.separator();
    strong(ui, "For the Bench");
    if answers.is_empty() {
        remark(ui, "No feature of this key asks for any of this");
        return;
    }
    for answer in answers {
        answer_ui(ui, doc, open, answer);
    }
}

fn tools_ui(ui: &mut Ui, open: &mut Open) {
    ui.horizontal_wrapped(|ui| {
        for (says, words, hint) in [
            (Says::Piece, "Brush: piece", "Paint over what belongs to the piece"),
            (Says::Other, "Brush: not the piece", "Paint over cloth, a finger, a shadow"),
        ] {
            let on = matches!(&open.tool, Tool::Brush(now, _) if *now == says);
            if chip(ui, words, on).on_hover_text(hint).clicked() {
                open.tool = if on { Tool::Hand } else { Tool::Brush(says, Vec::new()) };
            }
        }
        let now = open.steps.now();
        if (!now.strokes.is_empty() || now.near.is_some()) && button(ui, Icon::Look, "Find it afresh").clicked() {
            let setup = Setup { strokes: Vec::new(), near: None, ..open.steps.now().clone() };
            open.steps.push(setup);
        }
    });
}

fn numbers_ui(ui: &mut Ui, above: &Above) {
    let c = theme::colours(ui);
    // Nothing that was measured is as sure as all that.
    let sure = |p: f64| percent(p.min(0.999));
    let words = match above.model {
        Model::Circle => format!("Round, {}", sure(above.p_round)),
        Model::Ellipse => format!("Oval, {}", sure(1.0 - above.p_round - above.p_cornered)),
        Model::Superellipse => format!("With corners, {}", sure(above.p_cornered)),
    };
    ui.label(RichText::new(words).size(20.0).color(c.ink));
    egui::Grid::new("outline numbers").num_columns(2).min_row_height(22.0).spacing(vec2(14.0, 4.0)).show(ui, |ui| {
        let mut row = |name: &str, text: String| {
            remark(ui, name);
            ui.label(text);
            ui.end_row();
        };
        row("Major axis", format!("{} mm", above.major_mm));
        row("Minor axis", format!("{} mm", above.minor_mm));
        row("Aspect", format!("{:.3} ± {:.3}", above.aspect.value, above.aspect.plus_minus()));
        if above.model == Model::Superellipse {
            row("Corners", format!("{} mm", above.corner_mm));
        }
        row("Perimeter", format!("{} mm", above.perimeter_mm));
        row("Seen", format!("{} of the outline", percent(above.seen)));
    });
}

fn answer_ui(ui: &mut Ui, doc: &Document, open: &mut Open, answer: &Observation) {
    let mut used = !open.left_out.contains(&answer.feature);
    let words = format!("{}: {}", capital(&doc.key.feature_name(&answer.feature)), in_words(doc, answer));
    if ui.checkbox(&mut used, words).changed() {
        if used {
            open.left_out.remove(&answer.feature);
        } else {
            open.left_out.insert(answer.feature.clone());
        }
    }
}
