//! Another daybook, before it is taken in: what would come, and the finds that both changed, field by field.

use super::{Join, Wish};
use crate::daybook::join::{Conflict, Difference, Joined, Side};
use crate::desk::command::Command;
use crate::desk::daybook::list::title;
use crate::desk::daybook::pages::Wish as PageWish;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{button, chip, main_button, remark, strong};
use crate::{say, say_count};
use egui::{Button, Label, RichText, ScrollArea, Ui, vec2};

/// Width of the name of a field, in points.
const FIELD: f32 = 130.0;
/// Conflicts that are listed at most; the others follow once these are decided.
const LISTED: usize = 200;

/// '3 finds new, 2 gone on with, 40 known already'.
pub(super) fn words(joined: &Joined) -> String {
    let mut says = vec![
        say_count!(n = joined.new.len(), "{n} find new", "{n} finds new"),
        say!("{n} gone on with", n = joined.gone_on.len()),
        say!("{n} known already", n = joined.known),
    ];
    if joined.photographs > 0 {
        says.push(say_count!(n = joined.photographs, "{n} photograph new", "{n} photographs new"));
    }
    let undecided = joined.undecided().count();
    if undecided > 0 {
        says.push(say_count!(n = undecided, "{n} changed by both and left as it is here", "{n} changed by both and left as they are here"));
    }
    if !joined.lost.is_empty() {
        says.push(say_count!(n = joined.lost.len(), "{n} photograph was not to be had", "{n} photographs were not to be had"));
    }
    if !joined.unreadable.is_empty() {
        says.push(say_count!(
            n = joined.unreadable.len(),
            "{n} of their finds can't be read and stays out",
            "{n} of their finds can't be read and stay out"
        ));
    }
    says.join(", ")
}

/// Draws what would come of it; true where it is not to be taken in after all.
pub(super) fn joining_ui(ui: &mut Ui, join: &mut Join, commands: &mut Vec<Command>) -> bool {
    let would = &join.would;
    strong(ui, say!("What would come of it"));
    let undecided = would.conflicts.iter().filter(|conflict| !join.each.contains_key(&conflict.id)).count();
    let counts = Joined { conflicts: Vec::new(), ..(**would).clone() };
    let whole = join.other.display().to_string();
    ui.add(Label::new(format!("{}: {}", super::work::name_of(&join.other), words(&counts))).wrap()).on_hover_text(whole);
    if !would.conflicts.is_empty() {
        remark(ui, say_count!(n = would.conflicts.len(), "{n} find was changed by both of you", "{n} finds were changed by both of you"));
        ui.horizontal_wrapped(|ui| {
            for (side, name) in [(Side::Ours, say!("All as mine")), (Side::Theirs, say!("All as theirs"))] {
                if chip(ui, name, would.conflicts.iter().all(|conflict| join.each.get(&conflict.id) == Some(&side))).clicked() {
                    join.each = would.conflicts.iter().map(|conflict| (conflict.id, side)).collect();
                }
            }
        });
    }
    let back = ui
        .horizontal_wrapped(|ui| {
            let says = if undecided == 0 {
                say!("Take it in").to_owned()
            } else {
                say_count!(n = undecided, "Take it in, {n} undecided", "Take it in, {n} undecided")
            };
            let hint = say!("What is undecided stays as it is here. A copy of the finds is kept first.");
            if main_button(ui, Icon::Box, &says).on_hover_text(hint).clicked() {
                commands.push(Command::Page(PageWish::Keeping(Wish::Join(join.other.clone(), join.each.clone()))));
            }
            button(ui, Icon::Close, say!("Leave everything as it is")).clicked()
        })
        .inner;
    ui.separator();
    let would = std::sync::Arc::clone(&join.would);
    ScrollArea::vertical().id_salt("conflicts").auto_shrink(false).show(ui, |ui| {
        for (at, conflict) in would.conflicts.iter().take(LISTED).enumerate() {
            conflict_ui(ui, join, at, conflict);
        }
        if would.conflicts.len() > LISTED {
            remark(ui, say!("and {n} more: choose for all of them above", n = would.conflicts.len() - LISTED));
        }
    });
    back
}

fn conflict_ui(ui: &mut Ui, join: &mut Join, at: usize, conflict: &Conflict) {
    let c = theme::colours(ui);
    let chosen = join.each.get(&conflict.id).copied();
    let name = title(&conflict.ours);
    ui.horizontal_wrapped(|ui| {
        let on = join.at == at;
        let words = RichText::new(format!("{}. {name}", at + 1)).color(c.ink);
        if ui.add(Button::selectable(on, words).min_size(vec2(240.0, TARGET))).clicked() {
            join.at = at;
        }
        for (side, says, whole) in [
            (Side::Ours, say!("As mine"), say!("Find {at} as mine", at = at + 1)),
            (Side::Theirs, say!("As theirs"), say!("Find {at} as theirs", at = at + 1)),
        ] {
            let response = chip(ui, says, chosen == Some(side));
            response.widget_info(|| egui::WidgetInfo::selected(egui::Role::Button, true, chosen == Some(side), &whole));
            if response.clicked() {
                if chosen == Some(side) {
                    join.each.remove(&conflict.id);
                } else {
                    join.each.insert(conflict.id, side);
                }
            }
        }
    });
    if join.at != at {
        return;
    }
    ui.indent(("conflict", at), |ui| {
        let value = ((ui.available_width() - FIELD) / 2.0 - 20.0).clamp(90.0, 420.0);
        let cells = |ui: &mut Ui, cells: [RichText; 3]| {
            ui.horizontal_top(|ui| {
                for (cell, width) in cells.into_iter().zip([FIELD, value, value]) {
                    ui.allocate_ui_with_layout(vec2(width, 0.0), egui::Layout::top_down(egui::Align::Min), |ui| {
                        ui.set_width(width);
                        ui.add(Label::new(cell).wrap());
                    });
                }
            });
        };
        let bold = |words: &str| RichText::new(words).family(theme::bold()).color(c.ink);
        cells(ui, [bold(""), bold(say!("Mine")), bold(say!("Theirs"))]);
        for Difference { field, ours, theirs } in &conflict.differences {
            let said = |side: Side, value: &Option<String>| {
                let text = RichText::new(value.as_deref().unwrap_or("–"));
                match chosen {
                    Some(taken) if taken == side => text.color(c.ink).family(theme::bold()),
                    Some(_) => text.color(c.ink_faint),
                    None => text.color(c.ink),
                }
            };
            cells(ui, [RichText::new(field_words(field)).color(c.ink_soft), said(Side::Ours, ours), said(Side::Theirs, theirs)]);
        }
    });
}

/// The name of a field as the window has it; a field of fields as it is stored.
fn field_words(field: &str) -> String {
    let known = match field {
        "box_label" => say!("Box or lot"),
        "note" => say!("Note"),
        "verdict" => say!("Verdict"),
        "probability" => say!("Probability"),
        "standing" => say!("How sure"),
        "photographs" => say!("Photographs"),
        "find" => say!("The find"),
        "record.status" => say!("Status"),
        "record.place_found" => say!("Found at"),
        "record.pieces" => say!("Pieces"),
        "named.form_name" => say!("Form"),
        "named.line_name" => say!("Line"),
        "piece.observations" => say!("What was seen"),
        "piece.condition.flaws" => say!("Condition"),
        _ => return field.trim_start_matches("record.").replace(['.', '_'], " "),
    };
    known.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_are_called_as_the_window_calls_them() {
        assert_eq!(field_words("record.place_found"), "Found at");
        assert_eq!(field_words("record.paid.amount"), "paid amount");
    }
}
