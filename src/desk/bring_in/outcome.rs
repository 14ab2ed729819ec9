//! What bringing the list in would do: what is added, what the key says otherwise, and every row and cell that could not be read.

use super::work::Outcome;
use super::{Into, List, take_ui};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::theme;
use crate::desk::widgets::{self, chip, remark};
use crate::key::tables::quantity::Customary;
use crate::key::tables::{Addition, Changes, Plan, Rows};
use crate::key::{Key, capital};
use crate::{say, say_count};
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
            remark(ui, say!("Working out what would happen …"));
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
                let words = say_count!(n, "{n} record of the key says otherwise", "{n} records of the key say otherwise");
                ui.horizontal_wrapped(|ui| {
                    ui.label(words);
                    if chip(ui, say!("widen them"), make).clicked() {
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
        for (into, words) in [(Into::ThisKey, say!("into this key")), (Into::NewKey, say!("a new key of it"))] {
            if chip(ui, words, list.into == into).clicked() {
                list.into = into;
            }
        }
    });
    ui.horizontal_wrapped(|ui| {
        remark(ui, say!("A row is"));
        for (rows, words) in [(Rows::Guess, say!("as it seems")), (Rows::Forms, say!("a form")), (Rows::Pieces, say!("a piece"))] {
            if chip(ui, words, list.mapping.rows == rows).clicked() {
                list.mapping.rows = rows;
            }
        }
        let us = list.mapping.pints == Customary::Us;
        if chip(ui, say!("US pints"), us).on_hover_text(say!("Pints and fluid ounces that do not say whose they are")).clicked() {
            list.mapping.pints = if us { Customary::Imperial } else { Customary::Us };
        }
    });
}

/// '338 forms, 1 line, 7 features from 939 rows, each a piece'
fn summary(outcome: &Outcome, list: &List) -> String {
    let plan = &outcome.plan;
    let what = outcome.added.words().map_or_else(|| say!("Nothing new").to_owned(), |words| say!("{words} new", words));
    let rows = say_count!(n = plan.rows, "{n} row", "{n} rows");
    let mut said = if plan.pieces {
        say!("{what}, from {rows}, each a piece", what, rows)
    } else {
        say!("{what}, from {rows}, each a form", what, rows)
    };
    let left = plan.left_out.len() + list.table.problems.len();
    if left > 0 {
        said += &say_count!(n = left, "; {n} cell or row not read", "; {n} cells or rows not read");
    }
    said
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
        return Some(Line { text: say!("Not read: {what}", what = left_out.tell(table)), is_problem: true });
    }
    at -= plan.left_out.len();
    if let Some(problem) = plan.problems.get(at) {
        return Some(Line { text: say!("To look at: {what}", what = problem.tell(table)), is_problem: false });
    }
    at -= plan.problems.len();
    if at < changes {
        let change = plan.changes.get(at)?;
        let says = |record| key.record_words(&change.feature, record);
        let (form, feature) = (key.form_name(&change.form), key.feature_name(&change.feature));
        let (before, after) = (says(&change.before), says(&change.after));
        return Some(Line {
            text: if list.changes == Changes::Make {
                say!("Otherwise: {form}, {feature}: {before} is widened; with the list {after}", form, feature, before, after)
            } else {
                say!("Otherwise: {form}, {feature}: {before} stays; with the list {after}", form, feature, before, after)
            },
            is_problem: false,
        });
    }
    at -= changes;
    let text = match plan.additions.get(at)? {
        Addition::Line(name) => say!("New line: {name}", name),
        Addition::Feature(name) => say!("New feature: {name}", name),
        Addition::Value { feature, value } => say!("New value of {feature}: {value}", feature, value),
        Addition::Form { name, rows, .. } => {
            say_count!(n = *rows, "New form: {name}, from {n} row", "New form: {name}, from {n} rows", name)
        }
        Addition::Record { form, what } => say!("New record: {form}: {what}", form = key.form_name(form), what),
    };
    Some(Line { text, is_problem: false })
}
