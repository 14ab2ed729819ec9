//! All forms of the key on shelves, a shelf or more for each line, drawn to one scale.

use super::{KeyBookView, Page};
use crate::desk::board::{Placing, vessel};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, Colours, TARGET};
use crate::desk::widgets::{self, button, main_button, remark};
use crate::key::{Form, Key};
use crate::{say, say_count};
use egui::{
    Align, CornerRadius, FontId, Frame, Margin, Rect, Role, ScrollArea, Sense, Stroke, StrokeKind, TextEdit, Ui, WidgetInfo, pos2, vec2,
};
use std::collections::{BTreeMap, HashSet};
use std::sync::Arc;

/// Points a millimetre on the shelves.
const SCALE: f32 = 0.55;
/// Height for the names under a shelf, in points.
const NAMES: f32 = 40.0;
/// Height of a line's name, in points.
const HEAD: f32 = 38.0;
/// The least height above a shelf, in points.
const LEAST_TALL: f32 = 30.0 * SCALE;

/// Draws the shelves, the field that narrows them and the way to a new form.
pub(super) fn shelves_ui(ui: &mut Ui, doc: &Document, view: &mut KeyBookView, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    Frame::new().inner_margin(Margin::same(theme::GAP as i8)).show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            widgets::heading(ui, if doc.key.about.title.is_empty() { say!("Key Book") } else { &doc.key.about.title });
            let label = remark(ui, say!("Find"));
            ui.add(
                TextEdit::singleline(&mut view.filter)
                    .hint_text(say!("a name or a line"))
                    .desired_width(130.0)
                    .min_size(vec2(0.0, TARGET))
                    .margin(Margin::symmetric(8, 7)),
            )
            .labelled_by(label.id);
            if !view.filter.is_empty() && button(ui, Icon::Close, say!("Show all")).clicked() {
                view.filter.clear();
            }
            if main_button(ui, Icon::Add, say!("New form")).clicked() {
                commands.push(Command::AddForm);
            }
            let changed = view.table.changed();
            let words = if changed == 0 {
                say!("Value table").to_owned()
            } else {
                say_count!(n = changed, "Value table, {n} changed cell", "Value table, {n} changed cells")
            };
            if button(ui, Icon::Edit, &words).on_hover_text(say!("What is recorded of every form, cell by cell")).clicked() {
                view.page = Page::Table;
                view.table.open();
            }
            if button(ui, Icon::More, say!("Lists of the key"))
                .on_hover_text(say!("Lines, features, glazes, decorations, papers, words"))
                .clicked()
            {
                view.page = Page::Lists;
            }
            if button(ui, Icon::Paste, say!("Bring in a list"))
                .on_hover_text(say!("Forms and records from a CSV, XLSX or ODS file"))
                .clicked()
            {
                view.page = Page::BringIn;
            }
            if button(ui, Icon::Folder, say!("Another key")).on_hover_text(say!("Copy forms from another house key")).clicked() {
                view.page = Page::OtherKey;
            }
            if button(ui, Icon::Look, say!("Health"))
                .on_hover_text(say!("What this key can't tell apart, and what to record next"))
                .clicked()
            {
                view.page = Page::Health;
            }
            if button(ui, Icon::Tick, say!("Trial")).on_hover_text(say!("Try this key on made-up pieces")).clicked() {
                view.page = Page::Trial;
            }
        });
        if let Some(why) = &doc.place.read_only {
            remark(ui, why.clone());
        }
        problems_ui(ui, doc);
        laid(doc, view, (ui.available_width() - 16.0).max(120.0));
        let laid = Arc::clone(&view.laid);
        if doc.key.forms.is_empty() {
            remark(ui, say!("This key has no forms yet. Begin with New form, or name a piece on the Bench and add it from there."));
        } else if laid.rows.is_empty() {
            remark(ui, say!("No form is called anything like '{filter}'.", filter = view.filter.trim()));
        }
        ScrollArea::vertical().auto_shrink(false).show_viewport(ui, |ui, seen| {
            ui.set_height(laid.height);
            let origin = ui.min_rect().min;
            // A row more each way, so that the keyboard finds the next one to go to.
            let first = laid.rows.partition_point(|row| row.top + row.height < seen.min.y).saturating_sub(2);
            let last = laid.rows.partition_point(|row| row.top <= seen.max.y) + 2;
            for row in laid.rows.iter().take(last).skip(first) {
                let rect = Rect::from_min_size(pos2(origin.x, origin.y + row.top), vec2(laid.width, row.height));
                row_ui(ui, doc, view, commands, row, rect, c);
            }
        });
    });
}

/// Where every form stands. It is worked out once for a key, a width and what is typed: ten thousand forms are too many for each frame.
#[derive(Debug, Default)]
pub(super) struct Laid {
    of: Option<(Arc<Key>, String)>,
    width: f32,
    height: f32,
    /// From the top down.
    rows: Vec<Row>,
}

#[derive(Debug)]
struct Row {
    top: f32,
    height: f32,
    what: What,
}

#[derive(Debug)]
enum What {
    /// The name of a line, where it is in the key, and how many of its forms are to be seen.
    Head(Option<usize>, usize),
    /// Forms, by their places in the key, with the width of each, and the height of the tallest.
    Forms(Vec<(usize, f32)>, f32),
}

fn laid(doc: &Document, view: &mut KeyBookView, width: f32) {
    let laid = &view.laid;
    let same = laid.of.as_ref().is_some_and(|(key, typed)| Arc::ptr_eq(key, &doc.key) && *typed == view.filter);
    if same && (laid.width - width).abs() < 0.5 {
        return;
    }
    let mut laid = Laid { of: Some((Arc::clone(&doc.key), view.filter.clone())), width, ..Laid::default() };
    let shown = shown(doc, view);
    let mut by_line = by_line(doc, shown.as_ref());
    let sizes = doc.sizes_mm();
    for (at, line) in doc.key.lines.iter().enumerate() {
        laid.line(Some(at), &by_line.remove(line.id.as_str()).unwrap_or_default(), sizes);
    }
    // What is left has a line that is not in the key.
    let mut left: Vec<(usize, &Form)> = by_line.into_values().flatten().collect();
    left.sort_unstable_by_key(|(at, _)| *at);
    laid.line(None, &left, sizes);
    view.laid = Arc::new(laid);
}

impl Laid {
    fn push(&mut self, height: f32, what: What) {
        self.rows.push(Row { top: self.height, height, what });
        self.height += height;
    }

    /// The shelves of one line, broken by width; each is as high as its tallest form.
    fn line(&mut self, line: Option<usize>, forms: &[(usize, &Form)], sizes: &[(f32, f32)]) {
        if forms.is_empty() {
            return;
        }
        self.push(HEAD, What::Head(line, forms.len()));
        let mut row: Vec<(usize, f32)> = Vec::new();
        let (mut used, mut tall) = (0.0, LEAST_TALL);
        for (at, _) in forms {
            let (wide_mm, tall_mm) = sizes.get(*at).copied().unwrap_or_default();
            let width = (wide_mm * SCALE + 18.0).clamp(84.0, self.width);
            if used + width > self.width && !row.is_empty() {
                self.push(tall + NAMES + 22.0, What::Forms(std::mem::take(&mut row), tall));
                (used, tall) = (0.0, LEAST_TALL);
            }
            used += width;
            tall = tall.max(tall_mm * SCALE);
            row.push((*at, width));
        }
        self.push(tall + NAMES + 22.0, What::Forms(row, tall));
    }
}

fn problems_ui(ui: &mut Ui, doc: &Document) {
    let problems = &doc.place.problems;
    if problems.is_empty() {
        return;
    }
    let words = say_count!(
        n = problems.len(),
        "{n} thing in the files of this key needs a look",
        "{n} things in the files of this key need a look"
    );
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

fn row_ui(ui: &mut Ui, doc: &Document, view: &mut KeyBookView, commands: &mut Vec<Command>, row: &Row, rect: Rect, c: &Colours) {
    match &row.what {
        What::Head(line, forms) => {
            let line = line.and_then(|at| doc.key.lines.get(at));
            widgets::in_rect(ui, &format!("line {}", row.top), rect.with_min_y(rect.top() + 8.0), |ui| {
                ui.horizontal(|ui| {
                    widgets::strong(ui, line.map_or_else(|| say!("Without a line").to_owned(), |line| line.name.clone()));
                    let years = line.map(|line| years(line.made.from, line.made.to)).unwrap_or_default();
                    let forms = say_count!(n = *forms, "{n} form", "{n} forms");
                    remark(ui, if years.is_empty() { forms } else { format!("{forms}, {years}") });
                });
            });
        }
        What::Forms(forms, tall) => {
            let shelf_y = rect.top() + tall + 8.0;
            ui.painter().rect_filled(
                Rect::from_min_max(pos2(rect.left(), shelf_y), pos2(rect.right(), shelf_y + 5.0)),
                CornerRadius::same(2),
                c.wood,
            );
            let mut x = rect.left();
            for &(at, width) in forms {
                let Some(form) = doc.key.forms.get(at) else { continue };
                let cell = Rect::from_min_max(pos2(x, rect.top()), pos2(x + width, rect.bottom() - 6.0));
                cell_ui(ui, doc, view, commands, form, cell, shelf_y, c);
                x += width;
            }
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
    if response.gained_focus() {
        response.scroll_to_me(None);
    }
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
        (Some(from), Some(to)) => format!("{from}–{to}"),
        (Some(from), None) => say!("from {from}", from),
        (None, Some(to)) => say!("to {to}", to),
        (None, None) => String::new(),
    }
}

/// The millimetre rule beside a drawing, for the sheet.
pub(super) fn rule(ui: &Ui, foot: egui::Pos2, height: f32, scale: f32, c: &Colours) {
    vessel::rule(ui.painter(), foot, height, scale, c);
}
