//! The sheet of a form: its drawing at the left, its entries at the right, and above these what it can't be told from.

use super::draft::{Sheet, Sight};
use super::whole::{self, Then, WholeView};
use super::{KeyBookView, Page, entries, features, plan, profile, save_asked};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::key_pictures::{Pictures, pictures_ui};
use crate::desk::printing::Order;
use crate::desk::theme::{self, Colours};
use crate::desk::widgets::{self, Ability, button, icon_button_if, main_button, remark};
use crate::key::{FeatureId, FeatureKind, capital};
use crate::{say, say_count};
use egui::{Align, Frame, Layout, Margin, RichText, ScrollArea, Ui, vec2};

/// Narrower than this, the drawing stands above the entries.
const SIDE_BY_SIDE: f32 = 760.0;
/// Forms that are named in the statement; the rest are counted.
const MOST_NAMED: usize = 5;

/// Draws the sheet that is open.
pub(super) fn sheet_ui(ui: &mut Ui, doc: &Document, view: &mut KeyBookView, commands: &mut Vec<Command>) {
    let Some(mut sheet) = view.sheet.take() else { return };
    let c = theme::colours(ui);
    let mut asked = Asked::Nothing;
    let mut then = Then::Stay;
    let whole = &mut view.whole;
    let pictures = &mut view.pictures;
    Frame::new().inner_margin(Margin::same(theme::GAP as i8)).show(ui, |ui| {
        let back = match view.page {
            Page::Shelves => say!("All forms"),
            Page::Health => say!("Health"),
            Page::Trial => say!("Trial"),
            Page::BringIn => say!("Bring in a list"),
            Page::Table => say!("Value table"),
            Page::Lists => say!("Lists of the key"),
            Page::OtherKey => say!("Another key"),
        };
        head_ui(ui, doc, &mut sheet, back, &mut asked);
        let room = ui.available_size();
        if room.x >= SIDE_BY_SIDE {
            ui.horizontal_top(|ui| {
                let left = (room.x * 0.42).min(560.0);
                ui.allocate_ui_with_layout(vec2(left, room.y), Layout::top_down(Align::Min), |ui| drawing_ui(ui, &mut sheet, room.y, c));
                ui.vertical(|ui| {
                    ScrollArea::vertical()
                        .id_salt("entries")
                        .auto_shrink(false)
                        .show(ui, |ui| then = entries_ui(ui, doc, &mut sheet, (&mut *whole, &mut *pictures), c, commands));
                });
            });
        } else {
            ScrollArea::vertical().id_salt("entries").auto_shrink(false).show(ui, |ui| {
                drawing_ui(ui, &mut sheet, 520.0, c);
                then = entries_ui(ui, doc, &mut sheet, (&mut *whole, &mut *pictures), c, commands);
            });
        }
    });
    // A step is what was edited between two moments at which nothing is being dragged or typed.
    let busy = ui.input(|input| input.pointer.any_down()) || ui.ctx().text_edit_focused();
    if !busy {
        sheet.settle();
    }
    match then {
        Then::Stay => {}
        Then::Open(form) => commands.push(Command::OpenForm(form)),
        Then::Leave => return,
    }
    match asked {
        Asked::Leave => return,
        Asked::Save => {
            view.sheet = Some(sheet);
            save_asked(view, doc, commands);
            return;
        }
        Asked::Print => commands.push(Command::Print(Order::Forms(vec![sheet.draft.id.clone()]))),
        Asked::Nothing => {}
    }
    view.sheet = Some(sheet);
}

#[derive(Debug, PartialEq)]
enum Asked {
    Nothing,
    Save,
    Leave,
    Print,
}

fn head_ui(ui: &mut Ui, doc: &Document, sheet: &mut Sheet, back: &str, asked: &mut Asked) {
    ui.horizontal_wrapped(|ui| {
        if button(ui, Icon::Left, back).clicked() {
            if sheet.is_changed() && sheet.can_undo() {
                sheet.asks_to_leave = true;
            } else {
                *asked = Asked::Leave;
            }
        }
        let name = if sheet.draft.name.is_empty() { say!("New form").to_owned() } else { doc.key.full_name(&sheet.draft) };
        widgets::heading(ui, name);
        let named = |what: &str, words: Option<String>| words.map_or_else(|| what.to_owned(), |words| format!("{what}: {words}"));
        let undo = named(say!("Undo"), sheet.undo_words(&doc.key));
        if icon_button_if(ui, Icon::Undo, &undo, Ability::from(sheet.can_undo())).clicked() {
            sheet.undo();
        }
        let redo = named(say!("Redo"), sheet.redo_words(&doc.key));
        if icon_button_if(ui, Icon::Redo, &redo, Ability::from(sheet.can_redo())).clicked() {
            sheet.redo();
        }
        if sheet.is_changed() {
            let words = if sheet.is_new() { say!("Add to the key") } else { say!("Save the form") };
            if main_button(ui, Icon::Tick, words).clicked() {
                *asked = Asked::Save;
            }
        } else {
            if !sheet.is_new()
                && button(ui, Icon::Print, say!("Print …")).on_hover_text(say!("A sheet of this form, the bench key, the marks")).clicked()
            {
                *asked = Asked::Print;
            }
            remark(ui, say!("Saved as it stands"));
        }
    });
    if sheet.asks_to_leave {
        ui.horizontal_wrapped(|ui| {
            ui.label(say!("This sheet has edits that were not saved."));
            if button(ui, Icon::Remove, say!("Drop the edits")).clicked() {
                *asked = Asked::Leave;
            }
            if button(ui, Icon::Edit, say!("Keep editing")).clicked() {
                sheet.asks_to_leave = false;
            }
        });
    }
}

fn drawing_ui(ui: &mut Ui, sheet: &mut Sheet, height: f32, c: &Colours) {
    widgets::paper(c).show(ui, |ui| {
        let room = (height - 72.0).max(260.0);
        let from_above = (room * 0.36).clamp(110.0, 300.0);
        profile::drawing_ui(ui, sheet, room - from_above, c);
        plan::plan_ui(ui, &mut sheet.draft, from_above, c);
    });
}

fn entries_ui(
    ui: &mut Ui,
    doc: &Document,
    sheet: &mut Sheet,
    (whole, pictures): (&mut WholeView, &mut Pictures),
    c: &Colours,
    commands: &mut Vec<Command>,
) -> Then {
    likeness_ui(ui, doc, sheet, c, commands);
    widgets::paper(c).show(ui, |ui| entries::names_ui(ui, doc, sheet));
    widgets::paper(c).show(ui, |ui| features::features_ui(ui, doc, &mut sheet.draft, sheet.sought.as_ref()));
    let held = widgets::paper(c).show(ui, |ui| entries::held_ui(ui, doc, &mut sheet.draft));
    if let Some((id, sight)) = &mut sheet.sought
        && *sight == Sight::Due
    {
        // Glazes, decorations and marks are recorded there.
        let by_list = |kind: &FeatureKind| !matches!(kind, FeatureKind::Choice(_) | FeatureKind::Measure(_));
        if doc.key.feature(id).is_some_and(|feature| by_list(&feature.kind)) {
            held.response.scroll_to_me(Some(Align::Center));
        }
        *sight = Sight::Done;
    }
    widgets::paper(c).show(ui, |ui| entries::said_ui(ui, doc, &mut sheet.draft));
    widgets::paper(c).show(ui, |ui| {
        ui.set_width(ui.available_width());
        pictures_ui(ui, doc, &mut sheet.draft.pictures, &mut sheet.adding, pictures);
    });
    widgets::paper(c).show(ui, |ui| entries::shape_ui(ui, &mut sheet.draft));
    widgets::paper(c).show(ui, |ui| profile::points_ui(ui, sheet));
    if sheet.is_changed() {
        // What the key has of it is not what stands here.
        return Then::Stay;
    }
    widgets::paper(c).show(ui, |ui| whole::whole_ui(ui, doc, &sheet.draft, whole, commands)).inner
}

/// What the form can't be told from, and what to record so that it can.
fn likeness_ui(ui: &mut Ui, doc: &Document, sheet: &Sheet, c: &Colours, commands: &mut Vec<Command>) {
    // While something is being dragged or typed the last statement stays; it is worked out at rest.
    let busy = ui.input(|input| input.pointer.any_down());
    if !busy && sheet.likeness.is_due(&doc.key, &sheet.draft) {
        commands.push(Command::Compare);
    }
    let is_blank = sheet.likeness.is_blank();
    let likeness = &sheet.likeness.found;
    let name = |id: &FeatureId| doc.key.feature_name(id);
    Frame::new().fill(c.glow_wash).stroke(egui::Stroke::new(1.0, c.glow)).corner_radius(theme::ROUND).inner_margin(Margin::same(10)).show(
        ui,
        |ui| {
            ui.set_width(ui.available_width());
            if is_blank {
                widgets::strong(ui, say!("Comparing it with the other forms …"));
            } else if likeness.same.is_empty() {
                let words = if likeness.compared == 0 {
                    say!("There is no other form to be taken for.")
                } else {
                    say!("It can be told from every other form of this key.")
                };
                widgets::strong(ui, words);
            } else {
                let all = likeness.same.len();
                widgets::strong(ui, say_count!(n = all, "It can't be told from {n} form yet:", "It can't be told from {n} forms yet:"));
            }
            for (other, to_record) in likeness.same.iter().take(MOST_NAMED) {
                let what: Vec<String> = to_record.iter().take(4).map(name).collect();
                let words = if what.is_empty() {
                    say!("{other}: nothing in this key could; add a feature that they differ in", other)
                } else {
                    say!("{other}: record {features}", other, features = what.join(say!(", or ")))
                };
                ui.label(words);
            }
            if likeness.same.len() > MOST_NAMED {
                remark(ui, say!("and {more} more", more = likeness.same.len() - MOST_NAMED));
            }
            for (other, feature) in likeness.near.iter().take(MOST_NAMED) {
                remark(ui, say!("Only the {feature} tells it from {other}", feature = name(feature), other));
            }
            if likeness.near.len() > MOST_NAMED {
                remark(ui, say!("and one feature alone tells it from {more} more", more = likeness.near.len() - MOST_NAMED));
            }
            if likeness.compared == super::likeness::MOST_COMPARED {
                remark(ui, say!("Compared with the {n} forms that have the same parts or come first", n = likeness.compared));
            }
            for wrong in &likeness.wrong {
                ui.label(RichText::new(capital(wrong)).color(c.alarm));
            }
            for doubtful in &likeness.doubtful {
                remark(ui, capital(doubtful));
            }
        },
    );
}
