//! The sheet of one find: all that was recorded of it, and what can be done with it.

use super::DaybookView;
use super::list::{time_words, title};
use super::record::record_ui;
use crate::daybook::Find;
use crate::desk::bench::slip::in_words;
use crate::desk::command::{Command, Notice};
use crate::desk::daybook_work::hand_of;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::photographs::{Shown, Thumbs};
use crate::desk::theme::{self, GAP};
use crate::desk::widgets::{self, button, icon_button, main_button, remark, strong};
use crate::key::capital;
use crate::say;
use egui::{Align, Layout, Role, ScrollArea, Sense, Ui, Vec2, WidgetInfo, vec2};

/// Draws the sheet of a find.
pub(super) fn sheet_ui(ui: &mut Ui, doc: &Document, view: &mut DaybookView, thumbs: &mut Thumbs, find: &Find, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    let room = ui.available_rect_before_wrap();
    widgets::paper(c).show(ui, |ui| {
        ui.set_min_size(room.size() - Vec2::splat(2.0 * GAP + 2.0));
        ui.set_max_size(room.size() - Vec2::splat(2.0 * GAP + 2.0));
        ui.horizontal(|ui| {
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                if icon_button(ui, Icon::Close, say!("Close the find")).clicked() {
                    view.list.open = None;
                }
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    ui.add(egui::Label::new(egui::RichText::new(title(find)).heading()).wrap());
                });
            });
        });
        ui.horizontal_wrapped(|ui| {
            if main_button(ui, Icon::Bench, say!("Reopen on the Bench")).clicked() {
                reopen(find, doc, commands);
            }
            if button(ui, Icon::Remove, say!("Take out")).on_hover_text(say!("Out of the daybook; undo puts it back")).clicked() {
                commands.push(Command::RemoveFind(find.id));
                view.list.open = None;
            }
        });
        ScrollArea::vertical().id_salt("find sheet").auto_shrink(false).show(ui, |ui| {
            recorded_ui(ui, doc, thumbs, find);
            record_ui(ui, doc, &mut view.draft, find, commands);
        });
    });
}

/// Takes a find in hand again.
pub(super) fn reopen(find: &Find, doc: &Document, commands: &mut Vec<Command>) {
    commands.push(Command::Reopen(Box::new(hand_of(find)), say!("reopen {find}", find = crate::words::within(&title(find)))));
    if find.key.title != doc.key.about.title {
        let says = say!(
            "this find was named by another key, '{find}'; answers to features that '{about}' lacks count for nothing",
            find = find.key.title,
            about = doc.key.about.title
        );
        commands.push(Command::Say(Notice::problem(says)));
    }
}

fn recorded_ui(ui: &mut Ui, doc: &Document, thumbs: &mut Thumbs, find: &Find) {
    ui.add(egui::Label::new(&find.verdict).wrap());
    let mut about = vec![time_words(&find.found_at)];
    if !find.box_label.is_empty() {
        about.push(say!("box {box_label}", box_label = find.box_label));
    }
    if let Some(probability) = find.probability {
        about.push(format!("{}, {:.0} %", find.standing.words(), probability * 100.0));
    } else {
        about.push(find.standing.words().to_owned());
    }
    if !find.key.title.is_empty() {
        about.push(say!("by {find}", find = find.key.title));
    }
    remark(ui, about.join(" · "));
    if !find.photographs.is_empty() {
        strong(ui, say!("Photographs"));
        ui.horizontal_wrapped(|ui| {
            for (index, photograph) in find.photographs.iter().enumerate() {
                let (rect, response) = ui.allocate_exact_size(vec2(108.0, 108.0), Sense::hover());
                let name = say!("Photograph {index} of the find, {kind}", index = index + 1, kind = photograph.kind.words());
                response.widget_info(|| WidgetInfo::labeled(Role::Image, true, name.clone()));
                let shown = thumbs.paint(ui, rect, photograph);
                let mut hint = vec![name];
                hint.extend(Some(photograph.caption.clone()).filter(|caption| !caption.is_empty()));
                if let Shown::Nothing(why) = shown {
                    hint.push(why);
                }
                response.on_hover_text(hint.join("\n"));
            }
        });
    }
    if !find.piece.is_blank() {
        strong(ui, say!("What was seen"));
    }
    for observation in &find.piece.observations {
        // A feature that the key no longer has is still told by its id.
        let words = match doc.key.feature(&observation.feature) {
            Some(feature) => format!("{}: {}", capital(&feature.shown_name()), in_words(doc, observation)),
            None => say!("{feature} (not in this key)", feature = capital(&observation.feature.as_str().replace('-', " "))),
        };
        ui.label(words);
    }
    if let Some(shape) = &find.piece.beside.shape {
        ui.label(say!("Shape: {shape}", shape = shape.words()));
    }
    for said in &find.piece.beside.dates {
        ui.label(format!("{}: {}", capital(said.kind()), said.text()));
    }
    let condition = &find.piece.condition;
    if let Some(graded) = condition.grade(&doc.condition_rules) {
        strong(ui, say!("Condition: {grade}", grade = crate::words::of_data(&graded.grade.name)));
        ui.add(egui::Label::new(capital(&condition.words(&doc.condition_rules))).wrap());
    }
    for part in &find.piece.missing {
        ui.label(say!("{part} gone", part = capital(part.word())));
    }
}
