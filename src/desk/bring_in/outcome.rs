//! What bringing the list in would do: what is added, what the key says otherwise, and every row and cell that could not be read.

use super::work::Outcome;
use super::{Into, List, take_ui};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::theme;
use crate::desk::widgets::{self, chip, remark};
use crate::key::tables::quantity::Customary;
use crate::key::tables::{Addition, Changes, Plan, Rows};
use crate::key::{Key, capital, count};
use egui::{Label, RichText, ScrollArea, Ui};

/// Height of a line, in points.
const LINE: f32 = 22.0;

/// One line.
struct Line {
    text: String,
    is_problem: bool,
}

/// Draws it.
pub(super) fn outcome_ui(ui: &mut Ui, doc: &Document, list: &mut List, commands: &mut Vec<Command>) {
    asked_ui(ui, list);
    ui.add_space(4.0);
    match list.outcome(doc).cloned() {
        None => {
            remark(ui, "Working out what would happen …");
        }
        Some(Err(why)) => {
            let c = theme::colours(ui);
            ui.colored_label(c.alarm, capital(&why));
        }
        Some(Ok(outcome)) => {
            let plan = &outcome.plan;
            widgets::strong(ui, summary(&outcome, list));
            if !plan.changes.is_empty() && list.into == Into::ThisKey {
                let make = list.changes == Changes::Make;
                let n = plan.changes.len();
                let words =
                    if n == 1 { "1 record of the key says otherwise".to_owned() } else { format!("{n} records of the key say otherwise") };
                ui.horizontal_wrapped(|ui| {
                    ui.label(words);
                    if chip(ui, "widen them", make).clicked() {
                        list.changes = if make { Changes::Keep } else { Changes::Make };
                    }
                });
            }
            take_ui(ui, doc, list, commands);
            ui.add_space(6.0);
            lines_ui(ui, doc, list, plan);
        }
    }
}

/// Where the list goes and what its rows are.
fn asked_ui(ui: &mut Ui, list: &mut List) {
    ui.horizontal_wrapped(|ui| {
        for (into, words) in [(Into::ThisKey, "into this key"), (Into::NewKey, "a new key of it")] {
            if chip(ui, words, list.into == into).clicked() {
                list.into = into;
            }
        }
    });
    ui.horizontal_wrapped(|ui| {
        remark(ui, "A row is");
        for (rows, words) in [(Rows::Guess, "as it seems"), (Rows::Forms, "a form"), (Rows::Pieces, "a piece")] {
            if chip(ui, words, list.mapping.rows == rows).clicked() {
                list.mapping.rows = rows;
            }
        }
        let us = list.mapping.pints == Customary::Us;
        if chip(ui, "US pints", us).on_hover_text("Pints and fluid ounces that do not say whose they are").clicked() {
            list.mapping.pints = if us { Customary::Imperial } else { Customary::Us };
        }
    });
}

/// '338 forms, 1 line, 7 features from 939 rows, each a piece'
fn summary(outcome: &Outcome, list: &List) -> String {
    let plan = &outcome.plan;
    let sort = if plan.pieces { "each a piece" } else { "each a form" };
    let left = match plan.left_out.len() + list.table.problems.len() {
        0 => String::new(),
        1 => "; 1 cell or row not read".to_owned(),
        n => format!("; {n} cells or rows not read"),
    };
    let what = outcome.added.words().map_or_else(|| "Nothing new".to_owned(), |words| format!("{words} new"));
    format!("{what}, from {}, {sort}{left}", count(plan.rows, "row"))
}

fn lines_ui(ui: &mut Ui, doc: &Document, list: &List, plan: &Plan) {
    let c = theme::colours(ui);
    let problems = list.table.problems.len() + plan.left_out.len();
    let others = plan.problems.len();
    let changes = if list.into == Into::ThisKey { plan.changes.len() } else { 0 };
    let all = problems + others + changes + plan.additions.len();
    ui.spacing_mut().item_spacing.y = 2.0;
    ScrollArea::vertical().id_salt("outcome").auto_shrink(false).show_rows(ui, LINE, all, |ui, range| {
        for at in range {
            let Some(line) = line(&doc.key, list, plan, at, changes) else { continue };
            let ink = if line.is_problem { c.alarm } else { c.ink };
            let size = egui::vec2(ui.available_width(), LINE);
            ui.allocate_ui_with_layout(size, egui::Layout::left_to_right(egui::Align::Center), |ui| {
                ui.add(Label::new(RichText::new(&line.text).color(ink)).truncate()).on_hover_text(&line.text);
            });
        }
    });
}

/// The line at that place: what was not read first, then what is to be looked at, what the key says otherwise, and what is added.
fn line(key: &Key, list: &List, plan: &Plan, at: usize, changes: usize) -> Option<Line> {
    let table = &list.table;
    let mut at = at;
    if let Some(problem) = table.problems.get(at) {
        return Some(Line { text: problem.tell(table), is_problem: true });
    }
    at -= table.problems.len();
    if let Some(left_out) = plan.left_out.get(at) {
        return Some(Line { text: format!("Not read: {}", left_out.tell(table)), is_problem: true });
    }
    at -= plan.left_out.len();
    if let Some(problem) = plan.problems.get(at) {
        return Some(Line { text: format!("To look at: {}", problem.tell(table)), is_problem: false });
    }
    at -= plan.problems.len();
    if at < changes {
        let change = plan.changes.get(at)?;
        let says = |record| key.record_words(&change.feature, record);
        let (form, feature) = (key.form_name(&change.form), key.feature_name(&change.feature));
        let kept = if list.changes == Changes::Make { "is widened" } else { "stays" };
        return Some(Line {
            text: format!("Otherwise: {form}, {feature}: {} {kept}; with the list {}", says(&change.before), says(&change.after)),
            is_problem: false,
        });
    }
    at -= changes;
    let text = match plan.additions.get(at)? {
        Addition::Line(name) => format!("New line: {name}"),
        Addition::Feature(name) => format!("New feature: {name}"),
        Addition::Value { feature, value } => format!("New value of {feature}: {value}"),
        Addition::Form { name, rows, .. } => format!("New form: {name}, from {}", count(*rows, "row")),
        Addition::Record { form, what } => format!("New record: {}: {what}", key.form_name(form)),
    };
    Some(Line { text, is_problem: false })
}
