//! All forms of the key on shelves, a shelf or more for each line, drawn to one scale.

use super::{KeyBookView, Page};
use crate::desk::board::{Placing, vessel};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, Colours, TARGET};
use crate::desk::widgets::{self, button, main_button, remark};
use crate::key::{Form, Line};
use egui::{
    Align, CornerRadius, FontId, Frame, Margin, Rect, Role, ScrollArea, Sense, Stroke, StrokeKind, TextEdit, Ui, WidgetInfo, pos2, vec2,
};
use std::collections::{BTreeMap, HashSet};

/// Points a millimetre on the shelves.
const SCALE: f32 = 0.55;
/// Height for the names under a shelf, in points.
const NAMES: f32 = 40.0;

/// Draws the shelves, the field that narrows them and the way to a new form.
pub(super) fn shelves_ui(ui: &mut Ui, doc: &Document, view: &mut KeyBookView, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    Frame::new().inner_margin(Margin::same(theme::GAP as i8)).show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            widgets::heading(ui, if doc.key.about.title.is_empty() { "Key Book" } else { &doc.key.about.title });
            let label = remark(ui, "Find");
            ui.add(
                TextEdit::singleline(&mut view.filter)
                    .hint_text("a name or a line")
                    .desired_width(220.0)
                    .min_size(vec2(0.0, TARGET))
                    .margin(Margin::symmetric(8, 7)),
            )
            .labelled_by(label.id);
            if !view.filter.is_empty() && button(ui, Icon::Close, "Show all").clicked() {
                view.filter.clear();
            }
            if main_button(ui, Icon::Add, "New form").clicked() {
                commands.push(Command::AddForm);
            }
            if button(ui, Icon::Paste, "Bring in a list").on_hover_text("Forms and records from a CSV, XLSX or ODS file").clicked() {
                view.page = Page::BringIn;
            }
            if button(ui, Icon::Look, "Health").on_hover_text("What this key can't tell apart, and what to record next").clicked() {
                view.page = Page::Health;
            }
            if button(ui, Icon::Tick, "Trial").on_hover_text("Try this key on made-up pieces").clicked() {
                view.page = Page::Trial;
            }
        });
        if let Some(why) = &doc.place.read_only {
            remark(ui, why.clone());
        }
        problems_ui(ui, doc);
        let shown = shown(doc, view);
        let count = shown.as_ref().map_or(doc.key.forms.len(), HashSet::len);
        if doc.key.forms.is_empty() {
            remark(ui, "This key has no forms yet. Begin with New form, or name a piece on the Bench and add it from there.");
        } else if count == 0 {
            remark(ui, format!("No form is called anything like '{}'.", view.filter.trim()));
        }
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            let mut by_line = by_line(doc, shown.as_ref());
            for line in &doc.key.lines {
                shelf_ui(ui, doc, view, commands, Some(line), by_line.remove(line.id.as_str()).unwrap_or_default(), c);
            }
            // What is left has a line that is not in the key.
            let mut left: Vec<(usize, &Form)> = by_line.into_values().flatten().collect();
            left.sort_unstable_by_key(|(at, _)| *at);
            shelf_ui(ui, doc, view, commands, None, left, c);
        });
    });
}

fn problems_ui(ui: &mut Ui, doc: &Document) {
    let problems = &doc.place.problems;
    if problems.is_empty() {
        return;
    }
    let words = if problems.len() == 1 {
        "1 thing in the files of this key needs a look".to_owned()
    } else {
        format!("{} things in the files of this key need a look", problems.len())
    };
    egui::CollapsingHeader::new(words).id_salt("key problems").show(ui, |ui| {
        ScrollArea::vertical().max_height(180.0).show(ui, |ui| {
            for problem in problems.iter().take(200) {
                ui.label(problem.as_str());
            }
        });
    });
}

/// The ids that the typed words find; None where nothing is typed.
fn shown(doc: &Document, view: &KeyBookView) -> Option<HashSet<String>> {
    if view.filter.trim().is_empty() {
        return None;
    }
    Some(doc.words.search_forms(&view.filter, doc.key.forms.len()).into_iter().map(|hit| hit.form.to_string()).collect())
}

/// The forms of each line that are to be seen, in one pass, with their places in the key.
fn by_line<'k>(doc: &'k Document, shown: Option<&HashSet<String>>) -> BTreeMap<&'k str, Vec<(usize, &'k Form)>> {
    let mut lines: BTreeMap<&str, Vec<(usize, &Form)>> = BTreeMap::new();
    let visible = |form: &Form| shown.is_none_or(|shown| shown.contains(form.id.as_str()));
    for (at, form) in doc.key.forms.iter().enumerate().filter(|(_, form)| visible(form)) {
        lines.entry(form.line.as_str()).or_default().push((at, form));
    }
    lines
}

/// The shelves of one line; of forms whose line is not in the key where it is None.
fn shelf_ui(
    ui: &mut Ui,
    doc: &Document,
    view: &mut KeyBookView,
    commands: &mut Vec<Command>,
    line: Option<&Line>,
    forms: Vec<(usize, &Form)>,
    c: &Colours,
) {
    if forms.is_empty() {
        return;
    }
    ui.add_space(6.0);
    ui.horizontal(|ui| {
        widgets::strong(ui, line.map_or_else(|| "Without a line".to_owned(), |line| line.name.clone()));
        let years = line.map(|line| years(line.made.from, line.made.to)).unwrap_or_default();
        remark(ui, format!("{}{years}", if forms.len() == 1 { "1 form".to_owned() } else { format!("{} forms", forms.len()) }));
    });
    // Broken into rows by width; each row is as high as its tallest form.
    let room = (ui.available_width() - 8.0).max(120.0);
    let mut rows: Vec<Vec<(&Form, f32)>> = Vec::new();
    let mut used = f32::INFINITY;
    for (_, form) in forms {
        let width = (view.drawn.of(form).bounds.width() as f32 * SCALE + 18.0).clamp(84.0, room);
        if used + width > room {
            rows.push(Vec::new());
            used = 0.0;
        }
        used += width;
        if let Some(row) = rows.last_mut() {
            row.push((form, width));
        }
    }
    for row in rows {
        let tall = row.iter().map(|(form, _)| view.drawn.of(form).bounds.y1 as f32).fold(30.0, f32::max) * SCALE;
        let (rect, _) = ui.allocate_exact_size(vec2(room, tall + NAMES + 16.0), Sense::hover());
        if !ui.is_rect_visible(rect) {
            continue;
        }
        let shelf_y = rect.top() + tall + 8.0;
        ui.painter().rect_filled(
            Rect::from_min_max(pos2(rect.left(), shelf_y), pos2(rect.right(), shelf_y + 5.0)),
            CornerRadius::same(2),
            c.wood,
        );
        let mut x = rect.left();
        for (form, width) in row {
            let cell = Rect::from_min_max(pos2(x, rect.top()), pos2(x + width, rect.bottom()));
            cell_ui(ui, doc, view, commands, form, cell, shelf_y, c);
            x += width;
        }
    }
}

#[expect(clippy::too_many_arguments, reason = "one silhouette: what, where and how large")]
fn cell_ui(
    ui: &mut Ui,
    doc: &Document,
    view: &mut KeyBookView,
    commands: &mut Vec<Command>,
    form: &Form,
    cell: Rect,
    shelf_y: f32,
    c: &Colours,
) {
    let response = ui.interact(cell, widgets::id(("key book", form.id.as_str())), Sense::click());
    let full = doc.key.full_name(form);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, full.clone()));
    if response.hovered() || response.has_focus() {
        ui.painter().rect(
            cell.shrink(2.0),
            CornerRadius::same(6),
            c.glow_wash,
            Stroke::new(if response.has_focus() { 2.0 } else { 0.0 }, c.glow),
            StrokeKind::Inside,
        );
    }
    let drawn = view.drawn.of(form);
    let placing = Placing { origin: pos2(cell.center().x - drawn.bounds.center().x as f32 * SCALE, shelf_y), scale: SCALE };
    drawn.paint(ui.painter(), placing, c.moss, c.table);
    let mut job = egui::text::LayoutJob::simple(form.name.clone(), FontId::proportional(13.0), c.ink, cell.width() - 4.0);
    job.halign = Align::Center;
    job.wrap.max_rows = 2;
    let galley = ui.painter().layout_job(job);
    ui.painter().galley(pos2(cell.center().x, shelf_y + 8.0), galley, c.ink);
    if response.on_hover_text(full).clicked() {
        commands.push(Command::OpenForm(form.id.clone()));
    }
}

fn years(from: Option<i32>, to: Option<i32>) -> String {
    match (from, to) {
        (Some(from), Some(to)) => format!(", {from}–{to}"),
        (Some(from), None) => format!(", from {from}"),
        (None, Some(to)) => format!(", to {to}"),
        (None, None) => String::new(),
    }
}

/// The millimetre rule beside a drawing, for the sheet.
pub(super) fn rule(ui: &Ui, foot: egui::Pos2, height: f32, scale: f32, c: &Colours) {
    vessel::rule(ui.painter(), foot, height, scale, c);
}
