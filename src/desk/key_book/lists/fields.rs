//! Fields that several sorts of entry share: names, years, lines, claims with how they are known and the papers they cite.

use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{button, chip, icon_button, remark, strong};
use crate::key::{Claim, How, LineId, PaperId, Years};
use crate::{say, say_count};
use egui::{Button, DragValue, Margin, Popup, PopupCloseBehavior, Response, Role, ScrollArea, TextEdit, Ui, WidgetInfo, vec2};

/// A field for a text, with its label before it.
pub(in crate::desk::key_book) fn field(ui: &mut Ui, name: &str, text: &mut String, width: f32) -> Response {
    ui.horizontal(|ui| {
        let label = remark(ui, name);
        let edit = TextEdit::singleline(text).desired_width(width.min(ui.available_width() - 8.0)).min_size(vec2(0.0, TARGET));
        ui.add(edit.margin(Margin::symmetric(8, 7))).labelled_by(label.id)
    })
    .inner
}

/// First and last year, either of which may be unknown.
pub(in crate::desk::key_book) fn years_ui(ui: &mut Ui, made: &mut Years) {
    ui.horizontal_wrapped(|ui| {
        year_ui(ui, say!("First year"), &mut made.from, made.to.unwrap_or(1950));
        year_ui(ui, say!("Last year"), &mut made.to, made.from.unwrap_or(1950));
    });
}

fn year_ui(ui: &mut Ui, name: &str, year: &mut Option<i32>, start: i32) {
    remark(ui, name);
    match year {
        Some(known) => {
            ui.add(DragValue::new(known).range(1500..=2200).speed(0.2)).accessible_name(name.to_owned());
            if icon_button(ui, Icon::Close, &say!("{name} is not known", name)).clicked() {
                *year = None;
            }
        }
        None => {
            if chip(ui, say!("not known"), false).on_hover_text(say!("{name}: click to write one", name)).clicked() {
                *year = Some(start);
            }
        }
    }
}

/// Chips of which any number may be on.
pub(in crate::desk::key_book) fn lines_ui(ui: &mut Ui, doc: &Document, heading: &str, lines: &mut Vec<LineId>) {
    ui.horizontal_wrapped(|ui| {
        remark(ui, heading);
        for line in &doc.key.lines {
            let at = lines.iter().position(|id| *id == line.id);
            if chip(ui, &line.name, at.is_some()).clicked() {
                match at {
                    Some(at) => {
                        lines.remove(at);
                    }
                    None => lines.push(line.id.clone()),
                }
            }
        }
    });
}

/// One of several words.
pub(in crate::desk::key_book) fn one_of<T: PartialEq + Copy>(ui: &mut Ui, heading: &str, all: &[(T, &str)], now: T) -> Option<T> {
    let mut chosen = None;
    ui.horizontal_wrapped(|ui| {
        remark(ui, heading);
        for (value, words) in all {
            if chip(ui, words, *value == now).clicked() {
                chosen = Some(*value);
            }
        }
    });
    chosen
}

/// How a claim is known; a click goes to the next way.
pub(in crate::desk::key_book) fn how_ui(ui: &mut Ui, of: &str, how: &mut How) {
    let words = how.words();
    let response = ui.add(Button::new(words).min_size(vec2(0.0, TARGET))).on_hover_text(say!("How it is known; click for the next way"));
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, say!("{of} is known: {words}", of, words)));
    if response.clicked() {
        *how = next(*how);
    }
}

/// The next way of knowing.
pub(in crate::desk::key_book) const fn next(how: How) -> How {
    match how {
        How::Seen => How::InPaper,
        How::InPaper => How::Inferred,
        How::Inferred => How::Suspected,
        How::Suspected => How::Refuted,
        How::Refuted => How::Seen,
    }
}

/// The papers that say so, chosen from all of the key.
pub(in crate::desk::key_book) fn papers_ui(ui: &mut Ui, doc: &Document, of: &str, papers: &mut Vec<PaperId>) {
    let words = if papers.is_empty() { say!("no paper").to_owned() } else { say_count!(n = papers.len(), "{n} paper", "{n} papers") };
    let response = ui.add(Button::new(&words).min_size(vec2(0.0, TARGET))).on_hover_text(say!("The papers that say so"));
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, say!("Papers for {of}: {words}", of, words)));
    Popup::menu(&response).close_behavior(PopupCloseBehavior::CloseOnClickOutside).show(|ui| {
        ui.set_max_width(420.0);
        if doc.key.papers.is_empty() {
            remark(ui, say!("This key has no papers yet; add one under Papers"));
        }
        ScrollArea::vertical().max_height(320.0).show(ui, |ui| {
            for paper in &doc.key.papers {
                let mut on = papers.contains(&paper.id);
                if ui.checkbox(&mut on, &paper.title).changed() {
                    if on {
                        papers.push(paper.id.clone());
                    } else {
                        papers.retain(|id| *id != paper.id);
                    }
                }
            }
        });
    });
}

/// What is claimed in words.
pub(in crate::desk::key_book) fn claims_ui(ui: &mut Ui, doc: &Document, claims: &mut Vec<Claim>) {
    let c = theme::colours(ui);
    strong(ui, say!("Claims"));
    let mut gone = None;
    for (number, claim) in claims.iter_mut().enumerate() {
        ui.push_id(("claim", number), |ui| {
            ui.horizontal_wrapped(|ui| {
                let name = say!("Claim {number}", number = number + 1);
                let edit = TextEdit::singleline(&mut claim.says).desired_width((ui.available_width() - 330.0).max(180.0));
                let response = ui.add(
                    edit.min_size(vec2(0.0, TARGET)).margin(Margin::symmetric(8, 7)).hint_text(say!("what is claimed, in a sentence")),
                );
                response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, &name));
                how_ui(ui, &name, &mut claim.how);
                papers_ui(ui, doc, &name, &mut claim.papers);
                if icon_button(ui, Icon::Remove, &say!("Take claim {number} away", number = number + 1)).clicked() {
                    gone = Some(number);
                }
            });
            if claim.how == How::InPaper && claim.papers.is_empty() {
                ui.colored_label(c.alarm, say!("It is said to be in a paper: choose which"));
            }
        });
    }
    if let Some(number) = gone {
        claims.remove(number);
    }
    if button(ui, Icon::Add, say!("Another claim")).clicked() {
        claims.push(Claim { says: String::new(), how: How::Seen, papers: Vec::new() });
    }
}
