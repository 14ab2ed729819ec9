//! What is done with a form as a whole: duplicated, merged with another, cut in two by a feature, retired.

use super::lists::fields::field;
use crate::desk::command::{Command, Notice};
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::offered::Offered;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{button, chip, main_button, remark, strong};
use crate::key::edit::{self, EditError};
use crate::key::{FeatureId, Form, FormId, Key, Part, Record, ValueId, Years, capital};
use crate::say;
use egui::{Button, Ui, vec2};

/// Forms shown for what is typed.
const HITS: usize = 6;
/// Changes of a merge that are told one by one.
const TOLD: usize = 12;

/// What is being done with the form on the sheet.
#[derive(Debug, Default)]
pub(super) struct WholeView {
    doing: Doing,
    typed: String,
    offered: Offered,
    name: String,
    why: String,
    /// The form to merge with, and what merging would change, in words.
    other: Option<(FormId, Vec<String>)>,
    feature: Option<FeatureId>,
    values: Vec<ValueId>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum Doing {
    #[default]
    Nothing,
    Merge,
    Split,
    Retire,
}

/// What the sheet is to do then.
#[derive(Debug, PartialEq)]
pub(super) enum Then {
    Stay,
    /// Another form is to be opened.
    Open(FormId),
    /// The form is no longer in use.
    Leave,
}

/// Draws what can be done with the form as a whole.
pub(super) fn whole_ui(ui: &mut Ui, doc: &Document, form: &Form, view: &mut WholeView, commands: &mut Vec<Command>) -> Then {
    let mut then = Then::Stay;
    ui.set_width(ui.available_width());
    strong(ui, say!("The form as a whole"));
    ui.horizontal_wrapped(|ui| {
        if button(ui, Icon::Copy, say!("Duplicate")).on_hover_text(say!("A new form with all that this one has")).clicked() {
            match edit::duplicate(&doc.key, &form.id) {
                Ok((key, id)) => {
                    commands.push(Command::ChangeKey(say!("duplicate {form}", form = doc.key.full_name(form)), Box::new(key)));
                    then = Then::Open(id);
                }
                Err(why) => refuse(&why, commands),
            }
        }
        for (doing, words) in
            [(Doing::Merge, say!("Merge with another …")), (Doing::Split, say!("Cut in two …")), (Doing::Retire, say!("Retire …"))]
        {
            if chip(ui, words, view.doing == doing).clicked() {
                *view = WholeView { doing: if view.doing == doing { Doing::Nothing } else { doing }, ..WholeView::default() };
            }
        }
    });
    match view.doing {
        Doing::Nothing => {}
        Doing::Merge => merge_ui(ui, doc, form, view, commands, &mut then),
        Doing::Split => split_ui(ui, doc, form, view, commands, &mut then),
        Doing::Retire => retire_ui(ui, doc, form, view, commands, &mut then),
    }
    if then != Then::Stay {
        *view = WholeView::default();
    }
    then
}

fn refuse(why: &EditError, commands: &mut Vec<Command>) {
    commands.push(Command::Say(Notice::problem(why.to_string())));
}

/// What a form says otherwise than another, in words: names, parts, each record, and how many glazes, decorations, marks, claims and pictures.
pub(super) fn changes(key: &Key, before: &Form, after: &Form) -> Vec<String> {
    let mut out = Vec::new();
    if before.name != after.name {
        out.push(say!("Name: {before} → {after}", before = before.name, after = after.name));
    }
    if before.line != after.line {
        let line = |id| key.line(id).map_or_else(|| id.to_string(), |line| line.name.clone());
        out.push(say!("Line: {before} → {after}", before = line(&before.line), after = line(&after.line)));
    }
    if before.also != after.also {
        out.push(say!("Other names").to_owned());
    }
    for part in Part::ALL {
        match (before.parts.contains(&part), after.parts.contains(&part)) {
            (false, true) => out.push(say!("{part} added", part = capital(part.word()))),
            (true, false) => out.push(say!("{part} taken away", part = capital(part.word()))),
            _ => {}
        }
    }
    if before.shape != after.shape {
        out.push(say!("Drawing").to_owned());
    }
    if before.made != after.made {
        out.push(say!("Years: {before} → {after}", before = known(before.made), after = known(after.made)));
    }
    for (what, differs) in
        [(say!("How common it is"), before.weight.total_cmp(&after.weight).is_ne()), (say!("Note"), before.note != after.note)]
    {
        if differs {
            out.push(what.to_owned());
        }
    }
    let ids = after.features.keys().chain(before.features.keys().filter(|id| !after.features.contains_key(*id)));
    for id in ids {
        let (was, now) = (before.features.get(id), after.features.get(id));
        if was != now {
            let words =
                |record: Option<&Record>| record.map_or_else(|| say!("not recorded").to_owned(), |record| key.record_words(id, record));
            out.push(format!("{}: {} → {}", capital(&key.feature_name(id)), words(was), words(now)));
        }
    }
    for (what, was, now, differs) in [
        (say!("borrowing lines"), before.borrowed_by.len(), after.borrowed_by.len(), before.borrowed_by != after.borrowed_by),
        (say!("glazes"), before.glazes.len(), after.glazes.len(), before.glazes != after.glazes),
        (say!("decorations"), before.decorations.len(), after.decorations.len(), before.decorations != after.decorations),
        (say!("marks"), before.marks.len(), after.marks.len(), before.marks != after.marks),
        (say!("claims"), before.claims.len(), after.claims.len(), before.claims != after.claims),
        (say!("pictures"), before.pictures.len(), after.pictures.len(), before.pictures != after.pictures),
    ] {
        if was != now {
            out.push(format!("{was} → {now} {what}"));
        } else if differs {
            out.push(capital(what));
        }
    }
    out
}

/// Years in words.
fn known(years: Years) -> String {
    if years.is_open() { say!("not known").to_owned() } else { years.words() }
}

/// Finds a form by name, and merges it into the one on the sheet.
fn merge_ui(ui: &mut Ui, doc: &Document, form: &Form, view: &mut WholeView, commands: &mut Vec<Command>, then: &mut Then) {
    remark(
        ui,
        say!(
            "The other form is retired, and what is recorded of it goes to {form}. Papers that list it follow; finds keep its name.",
            form = form.name
        ),
    );
    field(ui, say!("Which form is the same as this one?"), &mut view.typed, 240.0);
    ui.horizontal_wrapped(|ui| {
        for hit in view.offered.forms(doc, &view.typed, HITS + 1).iter().filter(|hit| **hit != form.id).take(HITS) {
            let on = view.other.as_ref().is_some_and(|(id, _)| id == hit);
            if ui.add(Button::selectable(on, doc.key.form_name(hit)).min_size(vec2(0.0, TARGET))).clicked() {
                let merged = edit::merge(&doc.key, &form.id, hit).ok();
                let told = merged.and_then(|key| Some(changes(&doc.key, form, key.form(&form.id)?))).unwrap_or_default();
                view.other = Some((hit.clone(), told));
            }
        }
    });
    let Some((other, told)) = &view.other else { return };
    if told.is_empty() {
        remark(ui, say!("Nothing is recorded of it that this form does not say already."));
    }
    for line in told.iter().take(TOLD) {
        ui.label(line);
    }
    if told.len() > TOLD {
        remark(ui, say!("and {more} more", more = told.len() - TOLD));
    }
    let name = doc.key.form_name(other);
    if main_button(ui, Icon::Tick, &say!("Merge {name} into this form", name)).clicked() {
        match edit::merge(&doc.key, &form.id, other) {
            Ok(key) => {
                commands.push(Command::ChangeKey(say!("merge {name} into {form}", name, form = doc.key.full_name(form)), Box::new(key)));
                *then = Then::Open(form.id.clone());
            }
            Err(why) => refuse(&why, commands),
        }
    }
}

/// Chooses a feature of which the form has several values, and which of them go to a new form.
fn split_ui(ui: &mut Ui, doc: &Document, form: &Form, view: &mut WholeView, commands: &mut Vec<Command>, then: &mut Then) {
    let several: Vec<(&FeatureId, Vec<ValueId>)> = form
        .features
        .iter()
        .filter_map(|(id, record)| match record {
            Record::Values(values) if values.len() > 1 => Some((id, values.keys().cloned().collect())),
            _ => None,
        })
        .collect();
    if several.is_empty() {
        remark(ui, say!("No feature of this form has more than one value, so there is nothing to cut it by."));
        return;
    }
    ui.horizontal_wrapped(|ui| {
        remark(ui, say!("By"));
        for (id, _) in &several {
            if chip(ui, &doc.key.feature_name(id), view.feature.as_ref() == Some(*id)).clicked() {
                view.feature = Some((*id).clone());
                view.values.clear();
            }
        }
    });
    let Some((id, values)) = several.into_iter().find(|(id, _)| view.feature.as_ref() == Some(*id)) else { return };
    let names = doc.key.feature(id).map(|feature| doc.key.values_of(feature)).unwrap_or_default();
    ui.horizontal_wrapped(|ui| {
        remark(ui, say!("To the new form go"));
        for value in &values {
            let words = names.iter().find(|(known, _)| known == value).map_or(value.as_str(), |(_, name)| name.as_str());
            let on = view.values.contains(value);
            if chip(ui, words, on).clicked() {
                if on {
                    view.values.retain(|known| known != value);
                } else {
                    view.values.push(value.clone());
                }
            }
        }
    });
    field(ui, say!("Name of the new form"), &mut view.name, 240.0);
    remark(ui, say!("Finds and papers stay with this form: which of the two they were can't be known."));
    if main_button(ui, Icon::Tick, say!("Cut it in two")).clicked() {
        match edit::split(&doc.key, &form.id, id, &view.values, &view.name) {
            Ok((key, new)) => {
                let step = say!("cut {form} in two by its {feature}", form = doc.key.full_name(form), feature = doc.key.feature_name(id));
                commands.push(Command::ChangeKey(step, Box::new(key)));
                *then = Then::Open(new);
            }
            Err(why) => refuse(&why, commands),
        }
    }
}

fn retire_ui(ui: &mut Ui, doc: &Document, form: &Form, view: &mut WholeView, commands: &mut Vec<Command>, then: &mut Then) {
    let c = theme::colours(ui);
    remark(
        ui,
        say!("It is no longer named, but stays in the key with the reason: finds and papers may refer to it. It can be brought back."),
    );
    field(ui, say!("Why"), &mut view.why, 420.0);
    if view.why.trim().is_empty() {
        ui.colored_label(c.ink_soft, say!("Say why in a line, so that whoever comes after you knows."));
        return;
    }
    if main_button(ui, Icon::Tick, say!("Retire this form")).clicked() {
        match edit::retire(&doc.key, &form.id, &view.why, &[]) {
            Ok(key) => {
                commands.push(Command::ChangeKey(say!("retire {form}", form = doc.key.full_name(form)), Box::new(key)));
                *then = Then::Leave;
            }
            Err(why) => refuse(&why, commands),
        }
    }
}
