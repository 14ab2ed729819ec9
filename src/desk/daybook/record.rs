//! The record of a find on its sheet: status, place, prices, glazes and the rest, each change one step to take back.

use super::bulk::form_ui;
use super::chips::{Chosen, row, years_of};
use crate::daybook::record::{Called, Pieces, YearSpan};
use crate::daybook::{Find, FindId, Price, Status};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::finds_work::Deed;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{Ability, button, chip, icon_button_if, remark, strong};
use crate::key::{Part, capital};
use crate::say;
use crate::words::within;
use egui::{Margin, Popup, PopupCloseBehavior, RichText, ScrollArea, TextEdit, Ui, vec2};

/// Width of the names at the left of fields, in points.
const NAMES: f32 = 84.0;

/// What is being typed on the sheet of a find.
#[derive(Debug, Default)]
pub(super) struct Draft {
    /// The find and the revision it was read at.
    of: Option<(FindId, u32)>,
    place: String,
    paid: String,
    asked: String,
    made: String,
    box_label: String,
    note: String,
    form: String,
    measures: super::measures::Typed,
}

impl Draft {
    /// Begins anew where the sheet shows another find, or the find was changed.
    fn follow(&mut self, find: &Find) {
        if self.of == Some((find.id, find.revision)) {
            return;
        }
        let price = |price: &Option<Price>| price.as_ref().map(ToString::to_string).unwrap_or_default();
        *self = Self {
            of: Some((find.id, find.revision)),
            place: find.record.place_found.clone(),
            paid: price(&find.record.paid),
            asked: price(&find.record.asked),
            made: find.record.made.words(),
            box_label: find.box_label.clone(),
            note: find.note.clone(),
            form: String::new(),
            measures: super::measures::Typed::default(),
        };
    }
}

/// A change of the find on the sheet, and the name of its step.
pub(super) type Edited = Option<(String, Find)>;

/// Draws the record and asks for what was changed.
pub(super) fn record_ui(ui: &mut Ui, doc: &Document, draft: &mut Draft, find: &Find, commands: &mut Vec<Command>) {
    draft.follow(find);
    let mut edited: Edited = None;
    strong(ui, say!("Record"));
    status_ui(ui, find, &mut edited);
    form_line_ui(ui, doc, draft, find, &mut edited);
    let said = |text: &str| text.trim().to_owned();
    if field_ui(ui, say!("Found at"), say!("fair, shop, who gave it"), &mut draft.place, None)
        && said(&draft.place) != find.record.place_found
    {
        edit(&mut edited, find, say!("place found"), |find| find.record.place_found = said(&draft.place));
    }
    if field_ui(ui, say!("Box or lot"), "14", &mut draft.box_label, None) && said(&draft.box_label) != find.box_label {
        edit(&mut edited, find, say!("box"), |find| find.box_label = said(&draft.box_label));
    }
    for (was_paid, typed, now) in [(true, &mut draft.paid, &find.record.paid), (false, &mut draft.asked, &find.record.asked)] {
        let words = if was_paid { say!("Paid") } else { say!("Asked") };
        let price = if typed.trim().is_empty() { Ok(None) } else { typed.parse::<Price>().map(Some) };
        let problem = price.as_ref().err().map(ToString::to_string);
        if field_ui(ui, words, "12.50 GBP 2026-03-02", typed, problem.as_deref())
            && let Ok(price) = price
            && price != *now
        {
            let name = if was_paid { say!("price paid") } else { say!("price asked") };
            edit(&mut edited, find, name, |find| if was_paid { find.record.paid = price } else { find.record.asked = price });
        }
    }
    remark(ui, say!("Prices are records of what was paid and asked, not an appraisal."));
    glazes_ui(ui, doc, find, &mut edited);
    let years = if draft.made.trim().is_empty() {
        Ok(YearSpan::default())
    } else {
        years_of(&draft.made)
            .or_else(|| (draft.made.trim() == find.record.made.words()).then_some(find.record.made))
            .ok_or(say!("write 1955, 1951-60, 1951- or -1960"))
    };
    if field_ui(ui, say!("Made"), "1951-60", &mut draft.made, years.err())
        && let Ok(made) = years
        && made != find.record.made
    {
        edit(&mut edited, find, say!("years made"), |find| find.record.made = made);
    }
    pieces_ui(ui, find, &mut edited);
    super::measures::measures_ui(ui, doc, &mut draft.measures, find, &mut edited);
    if note_ui(ui, &mut draft.note) && draft.note != find.note {
        edit(&mut edited, find, say!("note"), |find| find.note.clone_from(&draft.note));
    }
    if let Some((name, find)) = edited {
        commands.push(Command::OnFinds(Deed::Edit(Box::new(find), name)));
    }
}

pub(super) fn edit(edited: &mut Edited, find: &Find, name: &str, change: impl FnOnce(&mut Find)) {
    let mut after = find.clone();
    change(&mut after);
    *edited = Some((say!("{name} of {find}", name, find = within(&super::list::title(find))), after));
}

fn status_ui(ui: &mut Ui, find: &Find, edited: &mut Edited) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(5.0, 5.0);
        for status in Status::ALL {
            let on = find.record.status == status;
            if chip(ui, &capital(status.words()), on).clicked() && !on {
                edit(edited, find, &say!("status '{status}'", status = status.words()), |find| find.record.status = status);
            }
        }
    });
}

fn form_line_ui(ui: &mut Ui, doc: &Document, draft: &mut Draft, find: &Find, edited: &mut Edited) {
    let name = find.named.as_ref().map_or_else(|| say!("No form of this key").to_owned(), |_| super::list::title(find));
    line_ui(ui, say!("Form"), |ui| {
        let response = button(ui, Icon::Edit, &name);
        let response = response.on_hover_text(say!("Say which form it is; the verdict of the day stays as it was"));
        if let Some(named) = form_ui(&response, doc, &mut draft.form).map(Chosen::one)
            && named != find.named
        {
            edit(edited, find, say!("form"), |find| {
                find.named = named;
                find.probability = None;
            });
        }
    });
}

/// A line of the record: its name at the left.
fn line_ui(ui: &mut Ui, words: &str, contents: impl FnOnce(&mut Ui)) {
    ui.horizontal(|ui| {
        ui.allocate_ui_with_layout(vec2(NAMES, TARGET), egui::Layout::left_to_right(egui::Align::Center), |ui| {
            ui.set_min_width(NAMES);
            remark(ui, words);
        });
        contents(ui);
    });
}

/// A field; true once it is left, by Enter too.
fn field_ui(ui: &mut Ui, words: &str, hint: &str, typed: &mut String, problem: Option<&str>) -> bool {
    let c = theme::colours(ui);
    let mut left = false;
    line_ui(ui, words, |ui| {
        let field = TextEdit::singleline(typed)
            .hint_text(hint)
            .desired_width(ui.available_width() - 18.0)
            .margin(Margin::symmetric(8, 7))
            .min_size(vec2(0.0, TARGET));
        let response = ui.add(field);
        response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::TextInput, true, say!("{words} of the find", words)));
        left = response.lost_focus();
    });
    if let Some(problem) = problem {
        ui.label(RichText::new(problem).small().color(c.alarm));
    }
    left
}

fn note_ui(ui: &mut Ui, typed: &mut String) -> bool {
    let mut left = false;
    line_ui(ui, say!("Note"), |ui| {
        let field = TextEdit::multiline(typed)
            .desired_rows(2)
            .hint_text(say!("a chip, who gave it, a doubt"))
            .desired_width(ui.available_width() - 18.0)
            .margin(Margin::symmetric(8, 7))
            .min_size(vec2(0.0, TARGET));
        let response = ui.add(field);
        response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::TextInput, true, say!("Note of the find")));
        left = response.lost_focus();
    });
    left
}

fn glazes_ui(ui: &mut Ui, doc: &Document, find: &Find, edited: &mut Edited) {
    let glazes: Vec<Called> = doc.key.glazes.iter().map(|glaze| Called { id: glaze.id.to_string(), name: glaze.name.clone() }).collect();
    let decorations: Vec<Called> =
        doc.key.decorations.iter().map(|decoration| Called { id: decoration.id.to_string(), name: decoration.name.clone() }).collect();
    let marks: Vec<Called> = doc.key.marks.iter().map(|mark| Called { id: mark.id.to_string(), name: mark.name.clone() }).collect();
    let form = find.named.as_ref().and_then(|named| doc.form(&named.form));
    // The parts the form has, and those of which a glaze is known.
    let has =
        |part: Part| part == Part::Body || find.record.glazes.contains_key(&part) || form.is_some_and(|form| form.parts.contains(&part));
    let coated = [Part::Body, Part::Lid, Part::Stand];
    for part in Part::ALL.into_iter().filter(|part| coated.contains(part) && has(*part) || find.record.glazes.contains_key(part)) {
        let words = say!("{part} glaze", part = capital(part.word()));
        if let Some(called) = choose_ui(ui, &words, &glazes, find.record.glazes.get(&part)) {
            edit(edited, find, &within(&words), |find| match called {
                Chosen::One(called) => drop(find.record.glazes.insert(part, called)),
                Chosen::None => drop(find.record.glazes.remove(&part)),
            });
        }
    }
    if let Some(called) = choose_ui(ui, say!("Decoration"), &decorations, find.record.decoration.as_ref()) {
        edit(edited, find, say!("decoration"), |find| find.record.decoration = called.one());
    }
    if let Some(called) = choose_ui(ui, say!("Mark"), &marks, find.record.mark.as_ref()) {
        edit(edited, find, say!("mark"), |find| find.record.mark = called.one());
    }
}

/// A line that opens the names of the key. Gives what was chosen, or none for 'not known'.
fn choose_ui(ui: &mut Ui, words: &str, choices: &[Called], now: Option<&Called>) -> Option<Chosen<Called>> {
    let mut chosen = None;
    line_ui(ui, words, |ui| {
        let c = theme::colours(ui);
        let name = now.map_or(say!("not known"), |now| now.name.as_str());
        let ink = if now.is_some() { c.ink } else { c.ink_soft };
        let response = ui.add(egui::Button::new(RichText::new(capital(name)).color(ink)).min_size(vec2(0.0, TARGET)));
        response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, say!("{words}: {name}, change", words, name)));
        Popup::menu(&response).close_behavior(PopupCloseBehavior::CloseOnClick).show(|ui| {
            ui.set_min_width(220.0);
            if row(ui, say!("Not known"), now.is_none()) && now.is_some() {
                chosen = Some(Chosen::None);
            }
            ScrollArea::vertical().max_height(300.0).show(ui, |ui| {
                for choice in choices {
                    let on = now.is_some_and(|now| now.id == choice.id);
                    if row(ui, &capital(&choice.name), on) && !on {
                        chosen = Some(Chosen::One(choice.clone()));
                    }
                }
            });
        });
    });
    chosen
}

fn pieces_ui(ui: &mut Ui, find: &Find, edited: &mut Edited) {
    line_ui(ui, say!("Pieces"), |ui| {
        let pieces = find.record.pieces;
        let fewer = Pieces::new(pieces.get() - 1);
        if icon_button_if(ui, Icon::ZoomOut, say!("One piece less"), Ability::from(fewer.is_some())).clicked()
            && let Some(fewer) = fewer
        {
            edit(edited, find, say!("pieces"), |find| find.record.pieces = fewer);
        }
        ui.label(pieces.get().to_string());
        if icon_button_if(ui, Icon::Add, say!("One piece more"), Ability::Can).clicked() {
            edit(edited, find, say!("pieces"), |find| find.record.pieces = pieces.and_one());
        }
        remark(ui, say!("that are alike"));
    });
}
