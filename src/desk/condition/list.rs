//! What was noted, the grade that follows, and the kinds to be noted next.

use super::view::{ConditionView, change};
use crate::daybook::condition::{Condition, Flaw, LONGEST_MM, Place};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{button, chip, icon_button, remark, row_from_right, strong};
use crate::identify::Seen;
use crate::key::tables::quantity::number;
use crate::key::{FeatureKind, Part, View, capital};
use crate::say;
use crate::words::of_data;
use egui::{Align, Button, Layout, Margin, RichText, Role, TextEdit, Ui, WidgetInfo, vec2};

/// A note of a fault is at most so long, in signs: more belongs in the note of the find.
const LONGEST_NOTE: usize = 400;
/// How far a key moves a place, as a share of the drawing.
const STEP: f64 = 0.02;

/// Draws what was noted.
pub(super) fn list_ui(ui: &mut Ui, doc: &Document, view: &mut ConditionView, commands: &mut Vec<Command>) {
    grade_ui(ui, doc);
    kinds_ui(ui, doc, view);
    parts_ui(ui, doc, view, commands);
    ui.separator();
    let condition = &doc.hand.piece.condition;
    if condition.flaws.is_empty() {
        remark(ui, say!("Nothing noted. Choose what it is, then point at it on the drawing."));
    }
    for (at, flaw) in condition.flaws.iter().enumerate() {
        flaw_ui(ui, doc, view, at, flaw, commands);
    }
    let words = if condition.flaws.is_empty() { say!("Looked over, nothing found") } else { say!("Looked over, nothing else found") };
    if chip(ui, words, condition.looked_over).clicked() {
        let after = Condition { looked_over: !condition.looked_over, ..condition.clone() };
        commands.push(Command::Condition(say!("looked over").to_owned(), Box::new(after)));
    }
    if condition.flaws.iter().any(|flaw| matches!(flaw.kind.as_str(), "chip" | "hairline" | "repair" | "crazing")) {
        remark(ui, say!("Broken ceramic is as sharp as glass. Cracked, repaired or crazed ware is not for food."));
    }
}

fn grade_ui(ui: &mut Ui, doc: &Document) {
    let c = theme::colours(ui);
    match doc.hand.piece.condition.grade(&doc.condition_rules) {
        Some(graded) => {
            let grade = strong(ui, say!("Grade: {grade}", grade = of_data(&graded.grade.name)));
            grade.on_hover_text(say!(
                "By rules of this program, common practice without a source; a file condition.ron beside the daybook may change them"
            ));
            if let Some(because) = graded.because {
                remark(ui, capital(&because));
            }
        }
        None => {
            remark(ui, say!("No grade yet"));
        }
    }
    for (_, note) in notes(doc) {
        ui.horizontal_wrapped(|ui| {
            ui.add(Icon::Look.image(18.0, c.glow_text));
            ui.label(RichText::new(note).color(c.glow_text));
        });
    }
}

/// What the key says of the glaze in hand that bears on its condition: the kind it speaks of, and the note.
fn notes(doc: &Document) -> Vec<(String, String)> {
    let glazes = doc.hand.piece.observations.iter().filter_map(|observation| {
        let feature = doc.key.feature(&observation.feature)?;
        match (&feature.kind, &observation.seen) {
            (FeatureKind::Glaze, Seen::Values(values)) => Some(values.clone()),
            _ => None,
        }
    });
    let mut found: Vec<(String, String)> = Vec::new();
    for glaze in glazes.flatten() {
        for (kind, note) in doc.condition_rules.notes_of(&doc.key, glaze.as_str()) {
            let one = (kind.id.clone(), note);
            if !found.contains(&one) {
                found.push(one);
            }
        }
    }
    found
}

/// The kinds: the one that is chosen is noted where the drawing is pressed.
fn kinds_ui(ui: &mut Ui, doc: &Document, view: &mut ConditionView) {
    let c = theme::colours(ui);
    let spoken: Vec<String> = notes(doc).into_iter().map(|(kind, _)| kind).collect();
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(5.0, 5.0);
        for kind in &doc.condition_rules.kinds {
            let on = view.kind(&doc.condition_rules) == kind.id;
            let response = chip(ui, &capital(&of_data(&kind.name)), on);
            if spoken.contains(&kind.id) {
                ui.painter().rect_stroke(response.rect, 17.0, egui::Stroke::new(2.0, c.glow), egui::StrokeKind::Inside);
            }
            if response.on_hover_text(of_data(&kind.says)).clicked() {
                view.kind = Some(kind.id.clone());
            }
        }
    });
}

/// The parts, for what is noted without pointing.
fn parts_ui(ui: &mut Ui, doc: &Document, view: &mut ConditionView, commands: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(5.0, 5.0);
        let kind = of_data(doc.condition_rules.name_of(view.kind(&doc.condition_rules))).into_owned();
        remark(ui, say!("{kind} on the", kind = capital(&kind)));
        for part in Part::ALL {
            let there = matches!(part, Part::Body | Part::Foot) || doc.has_part(part);
            if !there {
                continue;
            }
            let response = chip(ui, part.word(), false);
            let label = say!("Note {kind} on the {part}", kind, part = part.word());
            response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &label));
            if response.on_hover_text(say!("Without pointing at it")).clicked() {
                view.add(doc, part, None, commands);
            }
        }
    });
}

fn flaw_ui(ui: &mut Ui, doc: &Document, view: &mut ConditionView, at: usize, flaw: &Flaw, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    let on = view.chosen == Some(at);
    row_from_right(ui, |ui| {
        if icon_button(ui, Icon::Close, &say!("Take back fault {at}", at = at + 1)).clicked() {
            let mut after = doc.hand.piece.condition.clone();
            after.flaws.remove(at);
            commands.push(Command::Condition(say!("take back {fault}", fault = flaw.words(&doc.condition_rules)), Box::new(after)));
            view.chosen = None;
            (view.size, view.note) = (None, None);
        }
        ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
            let words = format!("{}. {}", at + 1, capital(&flaw.words(&doc.condition_rules)));
            let shown = Button::selectable(on, RichText::new(&words).color(c.ink)).truncate().min_size(vec2(ui.available_width(), TARGET));
            if ui.add(shown).clicked() {
                view.chosen = (!on).then_some(at);
                (view.size, view.note) = (None, None);
            }
        });
    });
    if on {
        ui.indent(("fault", at), |ui| {
            size_ui(ui, doc, view, at, flaw, commands);
            note_ui(ui, doc, view, at, flaw, commands);
            place_ui(ui, doc, at, flaw, commands);
            photographs_ui(ui, doc, at, flaw, commands);
        });
    }
}

fn size_ui(ui: &mut Ui, doc: &Document, view: &mut ConditionView, at: usize, flaw: &Flaw, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    let current = || flaw.size_mm.map_or_else(String::new, |mm| format!("{mm}"));
    let mut text = match view.size.take() {
        Some((of, text)) if of == at => text,
        _ => current(),
    };
    ui.horizontal(|ui| {
        let named = remark(ui, say!("Size in mm"));
        let field =
            TextEdit::singleline(&mut text).hint_text("4").desired_width(70.0).margin(Margin::symmetric(8, 7)).min_size(vec2(0.0, TARGET));
        if ui.add(field).labelled_by(named.id).changed() {
            let typed = text.trim();
            let size = number(typed).filter(|mm| *mm > 0.0 && *mm <= LONGEST_MM);
            if size.is_some() || typed.is_empty() {
                commands.extend(change(doc, at, say!("size of fault {at}", at = at + 1), |flaw| flaw.size_mm = size));
            }
        }
        let typed = text.trim();
        if !typed.is_empty() && number(typed).is_none_or(|mm| !(mm > 0.0 && mm <= LONGEST_MM)) {
            ui.colored_label(c.alarm, say!("'{typed}' is not a size in mm (write 4 or 2.5)", typed));
        }
    });
    view.size = Some((at, text));
}

/// What else is to be said of it: an old repair, how it was come by.
fn note_ui(ui: &mut Ui, doc: &Document, view: &mut ConditionView, at: usize, flaw: &Flaw, commands: &mut Vec<Command>) {
    let mut text = match view.note.take() {
        Some((of, text)) if of == at => text,
        _ => flaw.note.clone(),
    };
    ui.horizontal(|ui| {
        let named = remark(ui, say!("Note of the fault"));
        let field = TextEdit::singleline(&mut text)
            .hint_text(say!("old, clean, runs to the foot"))
            .char_limit(LONGEST_NOTE)
            .desired_width(ui.available_width() - 18.0)
            .margin(Margin::symmetric(8, 7))
            .min_size(vec2(0.0, TARGET));
        let response = ui.add(field).labelled_by(named.id);
        if response.changed() {
            let note = text.trim().to_owned();
            commands.extend(change(doc, at, say!("note of fault {at}", at = at + 1), |flaw| flaw.note = note));
        }
        // Elsewhere what stands in the document is shown, so that undo is seen.
        view.note = response.has_focus().then_some((at, text));
    });
}

/// Where it is: in which view, and a little further by the keyboard.
fn place_ui(ui: &mut Ui, doc: &Document, at: usize, flaw: &Flaw, commands: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(4.0, 4.0);
        for view in [View::Side, View::Above, View::Underneath] {
            let on = flaw.place.is_some_and(|place| place.view == view);
            if chip(ui, view.words(), on).clicked() && !on {
                let place = Place { view, across: 0.5, down: 0.5 };
                commands.extend(change(doc, at, say!("place of fault {at}", at = at + 1), |flaw| flaw.place = Some(place)));
            }
        }
    });
    let Some(place) = flaw.place else { return };
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing = vec2(4.0, 4.0);
        let number = at + 1;
        let moves = [
            (Icon::Left, say!("Move fault {number} left", number), -STEP, 0.0),
            (Icon::Right, say!("Move fault {number} right", number), STEP, 0.0),
            (Icon::Up, say!("Move fault {number} up", number), 0.0, -STEP),
            (Icon::Down, say!("Move fault {number} down", number), 0.0, STEP),
        ];
        for (icon, name, across, down) in moves {
            if icon_button(ui, icon, &name).clicked() {
                let moved = Place { across: (place.across + across).clamp(0.0, 1.0), down: (place.down + down).clamp(0.0, 1.0), ..place };
                commands.extend(change(doc, at, say!("place of fault {at}", at = at + 1), |flaw| flaw.place = Some(moved)));
            }
        }
    });
}

/// The photographs of the piece, one of which may show it.
fn photographs_ui(ui: &mut Ui, doc: &Document, at: usize, flaw: &Flaw, commands: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(4.0, 4.0);
        if doc.hand.photographs.is_empty() {
            if button(ui, Icon::Camera, say!("Add a photograph")).clicked() {
                commands.push(Command::ChoosePhotographs);
            }
            return;
        }
        remark(ui, say!("Shown on"));
        for (n, photograph) in doc.hand.photographs.iter().enumerate() {
            let hash = photograph.hash.to_string();
            let on = flaw.photograph.as_ref() == Some(&hash);
            let words = say!("photograph {n}, {kind}", n = n + 1, kind = photograph.kind.words());
            if chip(ui, &words, on).on_hover_text(&photograph.name).clicked() {
                let hash = (!on).then_some(hash);
                commands.extend(change(doc, at, say!("photograph of fault {at}", at = at + 1), |flaw| flaw.photograph = hash));
            }
        }
    });
}
