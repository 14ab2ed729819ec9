//! The panel beside the picture: the scale, the outline in numbers, and what is used on the Bench.

use super::canvas::Tool;
use super::colour::{answers_of_colour, colour_ui};
use super::scale::scale_ui;
use super::setup::{Setup, Subject};
use super::side::{answers_of_side, notes_ui, side_ui};
use super::view::{Answered, Open};
use crate::desk::bench::slip::in_words;
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{self, Ability, button, chip, heading, icon_button, icon_button_if, main_button, remark, strong};
use crate::identify::{Observation, ShapeMeasured};
use crate::key::{capital, percent};
use crate::photo::answers_above;
use crate::photo::outline::{Above, Model, Says};
use crate::say;
use crate::words::decimal;
use egui::{RichText, ScrollArea, Ui, vec2};

/// Draws the panel.
pub(super) fn panel_ui(ui: &mut Ui, doc: &Document, open: &mut Open, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        heading(ui, say!("Measure")).on_hover_text(say!("A lid or the rim of a base from above, a piece from the side, or a colour"));
        widgets::row_from_right(ui, |ui| {
            if icon_button(ui, Icon::Close, say!("Close the measuring view")).clicked() {
                open.close();
            }
            if icon_button_if(ui, Icon::Redo, say!("Redo"), Ability::from(open.steps.can_redo())).clicked() {
                open.steps.redo();
            }
            if icon_button_if(ui, Icon::Undo, say!("Undo"), Ability::from(open.steps.can_undo())).clicked() {
                open.steps.undo();
            }
        });
    });
    let Answers { list, shape } = answers(doc, open);
    let height = (ui.available_height() - TARGET - 12.0).max(TARGET);
    ScrollArea::vertical().id_salt("measures").max_height(height).auto_shrink(false).show(ui, |ui| {
        ui.set_max_width(ui.available_width() - 8.0);
        subject_ui(ui, open);
        ui.separator();
        if open.steps.now().subject != Subject::Colour {
            scale_ui(ui, open);
            ui.separator();
        }
        let seen = match open.steps.now().subject {
            Subject::Lid | Subject::Rim => outline_ui(ui, open),
            Subject::Side => side_ui(ui, open),
            Subject::Colour => colour_ui(ui, doc, open),
        };
        if seen {
            answers_ui(ui, doc, open, &list, shape.as_ref());
        }
        if open.steps.now().subject == Subject::Side {
            notes_ui(ui, open);
        }
    });
    let used: Vec<Observation> = list.into_iter().filter(|answer| !open.leaves_out(answer)).collect();
    let shape = shape.filter(|_| !open.left_out.contains(&Answered::Shape)).map(Box::new);
    if (!used.is_empty() || shape.is_some()) && main_button(ui, Icon::Tick, say!("Use on the Bench")).clicked() {
        commands.push(Command::SeeMeasured(used, shape));
        open.close();
    }
}

/// What the measurement answers.
struct Answers {
    list: Vec<Observation>,
    shape: Option<ShapeMeasured>,
}

fn answers(doc: &Document, open: &Open) -> Answers {
    let Some(found) = &open.found else { return Answers { list: Vec::new(), shape: None } };
    match open.steps.now().subject {
        subject @ (Subject::Lid | Subject::Rim) => {
            let list = found.above().map(|above| answers_above(&doc.key, subject.part(), above)).unwrap_or_default();
            Answers { list, shape: None }
        }
        Subject::Side => {
            let (list, shape) = answers_of_side(doc, open);
            Answers { list, shape }
        }
        Subject::Colour => Answers { list: answers_of_colour(doc, open).into_iter().collect(), shape: None },
    }
}

fn answers_ui(ui: &mut Ui, doc: &Document, open: &mut Open, list: &[Observation], shape: Option<&ShapeMeasured>) {
    ui.separator();
    strong(ui, say!("For the Bench"));
    if list.is_empty() && shape.is_none() {
        remark(ui, say!("No feature of this key asks for any of this"));
    }
    for answer in list {
        answer_ui(ui, doc, open, answer);
    }
    if let Some(shape) = shape {
        let hint = say!("Every form of the key that has a profile is compared with it");
        open.answer_box(ui, Answered::Shape, say!("Shape: {shape}", shape = shape.words())).on_hover_text(hint);
    }
}

fn subject_ui(ui: &mut Ui, open: &mut Open) {
    ui.horizontal_wrapped(|ui| {
        for (subject, words, hint) in [
            (Subject::Lid, say!("A lid"), say!("Its outline from above, the card flat beside it")),
            (Subject::Rim, say!("The rim of a base"), say!("Its outline from above, the card level with the rim")),
            (
                Subject::Side,
                say!("From the side"),
                say!("Height, widths, shape and what it holds; the card stands upright beside the piece, in line with its middle"),
            ),
            (Subject::Colour, say!("A colour"), say!("A glaze or a clay, beside something white")),
        ] {
            if chip(ui, words, open.steps.now().subject == subject).on_hover_text(hint).clicked() {
                open.tool = Tool::Hand;
                open.steps.push(Setup { subject, ..open.steps.now().clone() });
            }
        }
    });
}

/// The sentence of what went wrong with what is looked for; true where something was seen.
pub(super) fn seen_or_why(ui: &mut Ui, open: &Open, is_seen: bool) -> bool {
    if let Some(Err(why)) = open.found.as_ref().and_then(|found| found.seen.as_ref()).filter(|_| !open.is_working()) {
        let c = theme::colours(ui);
        ui.colored_label(c.alarm, capital(why));
    }
    is_seen
}

pub(super) fn heading_ui(ui: &mut Ui, open: &Open, words: &str) {
    ui.horizontal(|ui| {
        strong(ui, words);
        if open.is_working() {
            ui.spinner();
            remark(ui, say!("measuring …"));
        }
    });
}

fn outline_ui(ui: &mut Ui, open: &mut Open) -> bool {
    heading_ui(ui, open, say!("Outline"));
    tools_ui(ui, open);
    if !seen_or_why(ui, open, open.found.as_ref().and_then(|found| found.above()).is_some()) {
        return false;
    }
    if let Some(above) = open.found.as_ref().and_then(|found| found.above()) {
        numbers_ui(ui, above);
    }
    if chip(ui, say!("Deviations, 30 times"), open.residuals)
        .on_hover_text(say!("How far each point of the rim lies beside the curve"))
        .clicked()
    {
        open.residuals = !open.residuals;
    }
    true
}

fn tools_ui(ui: &mut Ui, open: &mut Open) {
    ui.horizontal_wrapped(|ui| {
        for (says, words, hint) in [
            (Says::Piece, say!("Brush: piece"), say!("Paint over what belongs to the piece")),
            (Says::Other, say!("Brush: not the piece"), say!("Paint over cloth, a finger, a shadow")),
        ] {
            let on = matches!(&open.tool, Tool::Brush(now, _) if *now == says);
            if chip(ui, words, on).on_hover_text(hint).clicked() {
                open.tool = if on { Tool::Hand } else { Tool::Brush(says, Vec::new()) };
            }
        }
        let now = open.steps.now();
        if (!now.strokes.is_empty() || now.near.is_some()) && button(ui, Icon::Look, say!("Find it afresh")).clicked() {
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
        Model::Circle => say!("Round, {sure}", sure = sure(above.p_round)),
        Model::Ellipse => say!("Oval, {sure}", sure = sure(1.0 - above.p_round - above.p_cornered)),
        Model::Superellipse => say!("With corners, {sure}", sure = sure(above.p_cornered)),
    };
    ui.label(RichText::new(words).size(20.0).color(c.ink));
    egui::Grid::new("outline numbers").num_columns(2).min_row_height(22.0).spacing(vec2(14.0, 4.0)).show(ui, |ui| {
        let mut row = |name: &str, text: String| {
            remark(ui, name);
            ui.label(text);
            ui.end_row();
        };
        row(say!("Major axis"), format!("{} mm", above.major_mm));
        row(say!("Minor axis"), format!("{} mm", above.minor_mm));
        row(say!("Aspect"), decimal(format!("{:.3} ± {:.3}", above.aspect.value, above.aspect.plus_minus())));
        if above.model == Model::Superellipse {
            row(say!("Corners"), format!("{} mm", above.corner_mm));
        }
        row(say!("Perimeter"), format!("{} mm", above.perimeter_mm));
        row(say!("Seen"), say!("{seen} of the outline", seen = percent(above.seen)));
    });
}

fn answer_ui(ui: &mut Ui, doc: &Document, open: &mut Open, answer: &Observation) {
    let words = format!("{}: {}", capital(&doc.key.feature_name(&answer.feature)), in_words(doc, answer));
    open.answer_box(ui, Answered::Feature(answer.feature.clone()), words);
}
