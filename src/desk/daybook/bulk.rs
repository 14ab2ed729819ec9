//! What can be done with the finds that are chosen: one change to all of them, one step to take back.

use super::DaybookView;
use super::chips::{Chosen, row};
use crate::daybook::many::Bulk;
use crate::daybook::{Named, Status};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::finds_work::Deed;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, GAP, TARGET};
use crate::desk::widgets::{self, button, icon_button, strong};
use crate::key::capital;
use crate::{say, say_count};
use egui::{Frame, Key, Margin, Popup, PopupCloseBehavior, ScrollArea, TextEdit, Ui, vec2};

/// Forms that a search by name offers at most.
const OFFERED: usize = 40;

/// What is being typed for the chosen finds.
#[derive(Debug, Default)]
pub(super) struct Typed {
    box_label: String,
    place: String,
    form: String,
}

/// Draws the bar of the chosen finds.
pub(super) fn bulk_ui(ui: &mut Ui, doc: &Document, view: &mut DaybookView, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    let count = view.list.chosen.len();
    let chosen = |view: &DaybookView| view.list.chosen.iter().copied().collect::<Vec<_>>();
    let mut change = None;
    Frame::new().fill(c.glow_wash).corner_radius(8).inner_margin(Margin::symmetric(10, 4)).show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = vec2(6.0, 4.0);
            ui.set_min_height(TARGET);
            let words = say_count!(n = count, "{n} find chosen", "{n} finds chosen");
            strong(ui, words);
            let status = button(ui, Icon::Tick, say!("Set status …"));
            Popup::menu(&status).close_behavior(PopupCloseBehavior::CloseOnClick).show(|ui| {
                ui.set_min_width(180.0);
                for (n, status) in Status::ALL.into_iter().enumerate() {
                    if row(ui, &format!("{n}  {}", capital(status.words())), false) {
                        change = Some(Bulk::Status(status));
                    }
                }
            });
            let boxes = button(ui, Icon::Box, say!("Set box …"));
            if let Some(label) = ask_ui(&boxes, say!("Box of the chosen finds"), "14", &mut view.typed.box_label) {
                change = Some(Bulk::Box(label));
            }
            let place = button(ui, Icon::Find, say!("Set place …"));
            if let Some(text) =
                ask_ui(&place, say!("Where the chosen finds were found"), say!("fair, shop, who gave it"), &mut view.typed.place)
            {
                change = Some(Bulk::PlaceFound(text));
            }
            let form = button(ui, Icon::KeyBook, say!("Set form …"));
            if let Some(named) = form_ui(&form, doc, &mut view.typed.form) {
                change = Some(Bulk::Form(named.one()));
            }
            if button(ui, Icon::Remove, say!("Take these out")).on_hover_text(say!("Out of the daybook; undo puts them back")).clicked() {
                commands.push(Command::OnFinds(Deed::TakeOut(chosen(view))));
                view.list.chosen.clear();
            }
            if icon_button(ui, Icon::Close, say!("Choose none")).clicked() {
                view.list.chosen.clear();
            }
        });
    });
    if let Some(change) = change {
        commands.push(Command::OnFinds(Deed::Change(chosen(view), change)));
    }
    ui.add_space(GAP / 2.0);
}

/// A button that opens a field; Enter gives what was typed.
fn ask_ui(response: &egui::Response, name: &str, hint: &str, typed: &mut String) -> Option<String> {
    let mut given = None;
    Popup::menu(response).close_behavior(PopupCloseBehavior::CloseOnClickOutside).show(|ui| {
        ui.set_min_width(240.0);
        let label = widgets::remark(ui, name);
        let field = TextEdit::singleline(typed).hint_text(hint).margin(Margin::symmetric(8, 7)).min_size(vec2(220.0, TARGET));
        let field = ui.add(field).labelled_by(label.id);
        if response.clicked() {
            field.request_focus();
        }
        let entered = field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
        if button(ui, Icon::Tick, say!("Set it")).clicked() || entered {
            given = Some(typed.trim().to_owned());
            typed.clear();
            ui.close();
        }
    });
    given
}

/// A button that opens the forms of the key, found by name. Gives the form, or none for 'no form'.
pub(super) fn form_ui(response: &egui::Response, doc: &Document, typed: &mut String) -> Option<Chosen<Named>> {
    let mut given = None;
    Popup::menu(response).close_behavior(PopupCloseBehavior::CloseOnClickOutside).show(|ui| {
        ui.set_min_width(300.0);
        let label = widgets::remark(ui, say!("Form by name"));
        let field =
            TextEdit::singleline(typed).hint_text(say!("covered sugar")).margin(Margin::symmetric(8, 7)).min_size(vec2(280.0, TARGET));
        let field = ui.add(field).labelled_by(label.id);
        if response.clicked() {
            field.request_focus();
        }
        let entered = field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
        let words = typed.to_lowercase();
        let fits = |name: &str| words.split_whitespace().all(|word| name.to_lowercase().contains(word));
        let found: Vec<_> =
            doc.key.forms.iter().map(|form| (form, doc.key.full_name(form))).filter(|(_, name)| fits(name)).take(OFFERED).collect();
        if row(ui, say!("No form of this key"), false) {
            given = Some(Chosen::None);
        }
        ScrollArea::vertical().max_height(280.0).show(ui, |ui| {
            for (n, (form, name)) in found.iter().enumerate() {
                if row(ui, &capital(name), false) || entered && n == 0 && !words.is_empty() {
                    let line_name = doc.key.line(&form.line).map(|line| line.name.clone()).unwrap_or_default();
                    given = Some(Chosen::One(Named { form: form.id.clone(), form_name: form.name.clone(), line_name }));
                }
            }
        });
        if given.is_some() {
            typed.clear();
            ui.close();
        }
    });
    given
}
