//! The slip of paper: the answers in order, each to be changed or taken back in place, the verdict, and what goes into the daybook.

use super::card::{Card, trim};
use super::{BenchView, sheet};
use crate::desk::action::Action;
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{self, button, chip, icon_button, main_button, remark};
use crate::identify::{Observation, Seen, Sure, VerdictState, weighed};
use crate::key::{Feature, FeatureKind, Part, ValueId, capital, percent};
use crate::words::of_data;
use crate::{say, say_count};
use egui::{Align, FontId, Layout, Margin, Rect, RichText, Role, ScrollArea, Sense, Stroke, TextEdit, Ui, Vec2, WidgetInfo, pos2, vec2};

/// Forms of the box in hand that are counted by name on the slip.
const TALLIED: usize = 6;

/// A text that is being typed, given to the document when it is left.
#[derive(Debug, Default, Clone)]
pub struct Draft {
    text: String,
    of: Option<String>,
}

/// An observation in words: 'round or oval', '92 ± 2 mm', '"MARROW… OV?N"'.
pub fn in_words(doc: &Document, observation: &Observation) -> String {
    let Some(feature) = doc.key.feature(&observation.feature) else { return String::new() };
    let unit = match &feature.kind {
        FeatureKind::Measure(measure) => measure.unit.sign(),
        _ => "",
    };
    let words = match &observation.seen {
        Seen::Values(values) => {
            let names: Vec<String> = values
                .iter()
                .map(|id| {
                    doc.key.values_of(feature).into_iter().find(|(known, _)| known == id).map_or_else(|| id.to_string(), |(_, name)| name)
                })
                .collect();
            names.join(say!(" or "))
        }
        Seen::Weighed(weights) => {
            let named = doc.key.values_of(feature);
            let name = |id: &ValueId| named.iter().find(|(known, _)| known == id).map_or_else(|| id.to_string(), |(_, name)| name.clone());
            let shares = weighed(weights).into_iter().map(|(id, share)| format!("{} {}", name(id), percent(share)));
            shares.collect::<Vec<_>>().join(", ")
        }
        Seen::Measured(measured) => format!("{} ± {} {unit}", trim(measured.value), trim(measured.plus_minus)).trim_end().to_owned(),
        Seen::Colour { lab, .. } => format!("L* {} a* {} b* {}", trim(lab.l), trim(lab.a), trim(lab.b)),
        Seen::Wording(text) => format!("“{text}”"),
        Seen::Mark(mark) => mark.words(),
        Seen::NotThere => say!("there is none").to_owned(),
        Seen::NotSure => say!("can't tell").to_owned(),
    };
    if observation.sure == Sure::Probably { say!("{words}, probably", words) } else { words }
}

/// Draws the slip.
pub fn slip_ui(
    ui: &mut Ui,
    doc: &Document,
    view: &mut BenchView,
    commands: &mut Vec<Command>,
    photographs: &mut dyn FnMut(&mut Ui, &mut Vec<Command>),
) {
    sheet(ui, |ui| {
        ui.horizontal(|ui| {
            widgets::heading(ui, say!("The piece in hand"));
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                if icon_button(ui, Icon::NewPiece, say!("Next piece: clear the board")).clicked() {
                    commands.push(Command::NewPiece);
                }
            });
        });
        let room = ui.available_rect_before_wrap();
        let foot = Rect::from_min_max(pos2(room.left(), room.bottom() - TARGET - 4.0), room.max);
        let body = Rect::from_min_max(room.min, pos2(room.right(), foot.top() - 8.0));
        widgets::in_rect(ui, "slip foot", foot, |ui| foot_ui(ui, doc, commands));
        widgets::in_rect(ui, "slip body", body, |ui| {
            ScrollArea::vertical().id_salt("slip").max_height(body.height()).auto_shrink(false).show(ui, |ui| {
                ui.set_max_width(body.width() - 8.0);
                verdict_ui(ui, doc, commands);
                answers_ui(ui, doc, view, commands);
                missing_ui(ui, doc, commands);
                ui.separator();
                photographs(ui, commands);
                note_ui(ui, doc, view, commands);
                tally_ui(ui, doc, view, commands);
            });
        });
    });
}

fn foot_ui(ui: &mut Ui, doc: &Document, commands: &mut Vec<Command>) {
    ui.horizontal_centered(|ui| {
        let words = if doc.hand.reopened.is_some() { say!("Put back in the daybook") } else { say!("Put in daybook") };
        if main_button(ui, Icon::PutInDaybook, words).clicked() {
            commands.push(Command::PutInDaybook);
        }
        let photograph = say!("Add a photograph ({shortcut})", shortcut = Action::Photograph.shortcut_text(ui));
        if icon_button(ui, Icon::Camera, &photograph).clicked() {
            commands.push(Command::ChoosePhotographs);
        }
        let date = say!("What dates it ({shortcut})", shortcut = Action::DateIt.shortcut_text(ui));
        if icon_button(ui, Icon::Date, &date).clicked() {
            commands.push(Command::DateIt);
        }
        let condition = say!("Its condition ({shortcut})", shortcut = Action::Condition.shortcut_text(ui));
        if icon_button(ui, Icon::Damage, &condition).clicked() {
            commands.push(Command::LookOver);
        }
        let can_add = matches!(doc.verdict.state, VerdictState::NotInKey | VerdictState::Contradiction);
        if can_add && button(ui, Icon::Add, say!("Add to the key")).clicked() {
            commands.push(Command::AddForm);
        }
    });
}

fn answers_ui(ui: &mut Ui, doc: &Document, view: &mut BenchView, commands: &mut Vec<Command>) {
    if doc.hand.piece.observations.is_empty() && doc.hand.piece.beside.is_empty() && doc.hand.piece.condition.is_blank() {
        first_lines_ui(ui);
    }
    for observation in &doc.hand.piece.observations {
        if let Some(feature) = doc.key.feature(&observation.feature) {
            answer_ui(ui, doc, view, commands, feature, observation);
        }
    }
    beside_ui(ui, doc, commands);
}

/// What to do, in three lines, while nothing has been said.
fn first_lines_ui(ui: &mut Ui) {
    for line in [
        say!("1  Press Enter, or point at a part of the drawing."),
        say!("2  Say what you see: a digit, a click, or a measure."),
        say!("3  When the name stands below, put the piece in the daybook."),
    ] {
        remark(ui, line);
    }
}

/// One answer: click to change it; the cross takes it back.
fn answer_ui(ui: &mut Ui, doc: &Document, view: &mut BenchView, commands: &mut Vec<Command>, feature: &Feature, observation: &Observation) {
    let c = theme::colours(ui);
    let name = feature.shown_name();
    let ink = if doc.is_missing(feature.part) {
        c.ink_faint
    } else if disagrees_with_leader(doc, observation) {
        c.alarm
    } else {
        c.ink
    };
    let line = Line { name: &name, words: &in_words(doc, observation), ink, hint: say!("Change this answer") };
    match line_ui(ui, &line) {
        Some(Clicked::Line) => view.card = Some(Card::new(doc, feature)),
        Some(Clicked::Cross) => commands.push(Command::TakeBack(feature.id.clone())),
        None => {}
    }
}

/// What is known beside the features: the shape, the dates.
fn beside_ui(ui: &mut Ui, doc: &Document, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    let beside = &doc.hand.piece.beside;
    if let Some(shape) = &beside.shape {
        let line = Line { name: say!("shape"), words: &shape.words(), ink: c.ink, hint: say!("Measured on a photograph") };
        if line_ui(ui, &line) == Some(Clicked::Cross) {
            commands.push(Command::TakeShapeBack);
        }
    }
    let condition = &doc.hand.piece.condition;
    if !condition.is_blank() {
        let graded = condition.grade(&doc.condition_rules).map_or("".into(), |graded| of_data(&graded.grade.name));
        let words = format!("{graded}: {}", condition.words(&doc.condition_rules));
        let line = Line { name: say!("condition"), words: &words, ink: c.ink, hint: say!("What is wrong with it, and where") };
        match line_ui(ui, &line) {
            Some(Clicked::Line) => commands.push(Command::LookOver),
            Some(Clicked::Cross) => commands.push(Command::Condition(say!("take back condition").to_owned(), Box::default())),
            None => {}
        }
    }
    if !beside.dates.is_empty() {
        let words: Vec<&str> = beside.dates.iter().map(crate::marks::dates::Said::text).collect();
        let line = Line { name: say!("dates"), words: &words.join("; "), ink: c.ink, hint: say!("What dates it, with reasons") };
        match line_ui(ui, &line) {
            Some(Clicked::Line) => commands.push(Command::DateIt),
            Some(Clicked::Cross) => commands.push(Command::Dates(say!("take back dates").to_owned(), Vec::new())),
            None => {}
        }
    }
}

/// A line of the slip.
struct Line<'a> {
    name: &'a str,
    words: &'a str,
    ink: egui::Color32,
    hint: &'a str,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Clicked {
    Line,
    Cross,
}

fn line_ui(ui: &mut Ui, line: &Line<'_>) -> Option<Clicked> {
    let c = theme::colours(ui);
    let Line { name, words, ink, hint } = *line;
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 2.0;
        let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width() - TARGET - 14.0, TARGET), Sense::click());
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, say!("{name}: {words}, change", name, words)));
        if ui.is_rect_visible(rect) {
            if response.hovered() || response.has_focus() {
                ui.painter().rect_filled(rect, 6.0, c.glow_wash);
            }
            let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
            let split = rect.left() + rect.width() * 0.4;
            let label = painter.layout(capital(name), FontId::proportional(15.0), c.ink_soft, split - rect.left() - 8.0);
            painter.galley(pos2(rect.left() + 4.0, rect.center().y - label.size().y / 2.0), label, c.ink_soft);
            let value = painter.layout(words.to_owned(), FontId::proportional(15.5), ink, rect.right() - split - 4.0);
            painter.galley(pos2(split, rect.center().y - value.size().y / 2.0), value, ink);
            painter.hline(rect.x_range(), rect.bottom(), Stroke::new(1.0, c.edge));
        }
        let line = response.on_hover_text(hint).clicked();
        let cross = icon_button(ui, Icon::Close, &say!("Take back {name}", name)).clicked();
        match (line, cross) {
            (true, _) => Some(Clicked::Line),
            (_, true) => Some(Clicked::Cross),
            _ => None,
        }
    })
    .inner
}

fn disagrees_with_leader(doc: &Document, observation: &Observation) -> bool {
    doc.standing.candidates.first().is_some_and(|leader| leader.disagreements.contains(&observation.feature))
}

/// Parts that are gone: their features count for nothing.
fn missing_ui(ui: &mut Ui, doc: &Document, commands: &mut Vec<Command>) {
    ui.add_space(4.0);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = Vec2::splat(5.0);
        remark(ui, say!("Gone:"))
            .on_hover_text(say!("Parts that are broken off or lost. Their features count neither for nor against any form"));
        for part in Part::ALL {
            let exists = part != Part::Body && doc.has_part(part);
            let asked = doc.key.features.iter().any(|feature| feature.part == part);
            let gone = doc.is_missing(part);
            if (exists && asked || gone)
                && chip(ui, part.word(), gone).on_hover_text(say!("{part} is missing or broken off", part = capital(part.word()))).clicked()
            {
                commands.push(Command::ToggleMissing(part));
            }
        }
    });
}

/// The verdict, as it could stand on a label, above the answers so that it never scrolls out of sight first.
fn verdict_ui(ui: &mut Ui, doc: &Document, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    let verdict = &doc.verdict;
    let ink = match verdict.state {
        VerdictState::NotInKey | VerdictState::Contradiction => c.alarm,
        _ => c.ink,
    };
    egui::Frame::new().fill(c.paper_warm).corner_radius(8).inner_margin(Margin::symmetric(10, 8)).show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 3.0;
        ui.label(RichText::new(&verdict.title).heading().color(ink));
        ui.label(RichText::new(&verdict.sentence).color(c.ink));
        if !verdict.rests_on.is_empty() {
            let few: Vec<&str> = verdict.rests_on.iter().take(3).map(String::as_str).collect();
            let more = verdict.rests_on.len() - few.len();
            let few = few.join("; ");
            let words = if more > 0 { say!("Rests on {few} and {more} more.", few, more) } else { say!("Rests on {few}.", few) };
            ui.label(RichText::new(words).size(13.5).color(c.ink_soft));
        }
        if let Some(words) = &verdict.on_trust {
            ui.label(RichText::new(format!("{words}.")).size(13.5).color(c.ink_soft));
        }
        cautions_ui(ui, doc);
    });
    for (i, (form, why)) in verdict.not_ruled_out.iter().take(3).enumerate() {
        if i == 0 {
            remark(ui, say!("Not ruled out:"));
        }
        let name = doc.key.form_name(form);
        let words = if why.is_empty() { capital(&name) } else { format!("{} ({why})", capital(&name)) };
        let row = ui.add(
            egui::Button::new(RichText::new(words).size(14.0).color(c.ink)).wrap().frame_when_inactive(false).min_size(vec2(0.0, TARGET)),
        );
        if row.on_hover_text(say!("Tell these two apart")).clicked()
            && let Some(leader) = doc.standing.candidates.first()
        {
            commands.push(Command::TellApart(vec![leader.form.clone(), form.clone()]));
        }
    }
}

/// Cautions that the glaze or the wording calls for.
fn cautions_ui(ui: &mut Ui, doc: &Document) {
    let c = theme::colours(ui);
    for caution in &doc.verdict.cautions {
        ui.horizontal_wrapped(|ui| {
            ui.add(Icon::Warning.image(16.0, c.alarm));
            ui.label(RichText::new(caution).small().color(c.alarm));
        });
    }
}

fn note_ui(ui: &mut Ui, doc: &Document, view: &mut BenchView, commands: &mut Vec<Command>) {
    draft_ui(ui, &mut view.note, &doc.hand.note, say!("Note"), say!("a chip, who gave it, a doubt"), Lines::Several, |text| {
        commands.push(Command::Note(text));
    });
    draft_ui(ui, &mut view.box_label, &doc.box_label, say!("Box or lot"), "14", Lines::One, |text| commands.push(Command::BoxLabel(text)));
}

/// What lies in the box so far, and one more like the last.
fn tally_ui(ui: &mut Ui, doc: &Document, view: &BenchView, commands: &mut Vec<Command>) {
    if view.last_put.is_some() && doc.hand.is_blank() {
        let words = say!("One more like the last ({shortcut})", shortcut = Action::SameAsLast.shortcut_text(ui));
        if button(ui, Icon::Add, &words).on_hover_text(say!("Counts one more identical piece on the find put in last")).clicked() {
            commands.push(Command::SameAsLast);
        }
    }
    let counted = |n: u64| usize::try_from(n).unwrap_or(usize::MAX);
    let Some(tally) = view.tally.as_ref().filter(|tally| tally.finds > 0 && !doc.box_label.is_empty()) else { return };
    let head = say!(
        "Box {label}: {finds}, {pieces}",
        label = doc.box_label,
        finds = say_count!(n = counted(tally.finds), "{n} find", "{n} finds"),
        pieces = say_count!(n = counted(tally.pieces), "{n} piece", "{n} pieces")
    );
    widgets::strong(ui, head);
    for (name, pieces) in tally.named.iter().take(TALLIED) {
        remark(ui, format!("{pieces} × {}", if name.is_empty() { say!("not named") } else { name }));
    }
    if tally.named.len() > TALLIED {
        remark(ui, say_count!(n = tally.named.len() - TALLIED, "and {n} other form", "and {n} other forms"));
    }
}

/// Whether a field holds one line.
#[derive(Clone, Copy, PartialEq)]
enum Lines {
    One,
    Several,
}

/// A field whose text goes to the document at every change, so that nothing typed is lost.
fn draft_ui(ui: &mut Ui, draft: &mut Draft, current: &str, label: &str, hint: &str, lines: Lines, mut give: impl FnMut(String)) {
    if draft.of.as_deref() != Some(current) {
        current.clone_into(&mut draft.text);
        draft.of = Some(current.to_owned());
    }
    ui.horizontal(|ui| {
        let label_response = remark(ui, label);
        let edit = match lines {
            Lines::One => TextEdit::singleline(&mut draft.text),
            Lines::Several => TextEdit::multiline(&mut draft.text).desired_rows(1),
        };
        let edit = edit.hint_text(hint).desired_width(ui.available_width()).margin(Margin::symmetric(8, 7)).min_size(vec2(0.0, TARGET));
        let response = ui.add(edit).labelled_by(label_response.id);
        if response.changed() {
            draft.of = Some(draft.text.clone());
            give(draft.text.clone());
        }
    });
}
