//! The entries of a list, each with the form it most probably means, and what it means else.

use super::{Decision, List};
use crate::daybook::papers::Meant;
use crate::desk::board::paint::{self, Placing};
use crate::desk::board::vessel::Drawings;
use crate::desk::document::Document;
use crate::desk::theme::{self, Colours};
use crate::desk::widgets;
use crate::key::{FormId, Paper, capital, percent};
use crate::say;
use egui::text::LayoutJob;
use egui::{FontFamily, FontId, Key, Modifiers, Rect, Role, ScrollArea, Sense, Stroke, StrokeKind, TextFormat, Ui, WidgetInfo, pos2, vec2};

/// Height of an entry, in points.
const ROW: f32 = 58.0;

/// What stands for 'no form of this key fits'.
pub(super) fn no_form() -> &'static str {
    say!("no form of this key fits")
}

/// Draws the entries.
pub(super) fn rows_ui(ui: &mut Ui, doc: &Document, list: &mut List, paper: &Paper, drawn: &mut Drawings) {
    let all = list.decisions.len();
    ScrollArea::vertical().id_salt("entries").auto_shrink(false).show_viewport(ui, |ui, viewport| {
        let width = ui.available_width() - 10.0;
        let (_, area) = ui.allocate_space(vec2(width, ROW * all as f32));
        // One screen more on both sides, so that the keyboard can go on.
        let first = ((viewport.top() - viewport.height()) / ROW).max(0.0) as usize;
        let last = (((viewport.bottom() + viewport.height()) / ROW).ceil().max(0.0) as usize).min(all);
        for at in first..last {
            let rect = Rect::from_min_size(area.min + vec2(0.0, ROW * at as f32), vec2(width, ROW - 4.0));
            row_ui(ui, doc, list, paper, drawn, at, rect);
        }
        if list.focus && !(first..last).contains(&list.at) {
            let rect = Rect::from_min_size(area.min + vec2(0.0, ROW * list.at as f32), vec2(width, ROW));
            ui.scroll_to_rect(rect, None);
        }
    });
}

/// What is said of an entry, as a word and whether it counts.
fn said(doc: &Document, decision: &Decision, in_key: bool) -> String {
    match decision {
        Decision::Open if in_key => say!("in the key already").to_owned(),
        Decision::Open => say!("not settled").to_owned(),
        Decision::Means(form) => say!("means {form}", form = doc.key.form_name(form)),
        Decision::Declined => say!("left alone").to_owned(),
    }
}

/// The form that is shown of an entry: the one that was said, else the likeliest.
fn shown<'a>(meant: &'a Meant, decision: &'a Decision) -> Option<(&'a FormId, Option<f64>)> {
    match decision {
        Decision::Means(form) => Some((form, meant.guesses.iter().find(|guess| guess.form == *form).map(|guess| guess.probability))),
        Decision::Open | Decision::Declined => meant.best().map(|best| (&best.form, Some(best.probability))),
    }
}

fn row_ui(ui: &mut Ui, doc: &Document, list: &mut List, paper: &Paper, drawn: &mut Drawings, at: usize, rect: Rect) {
    let c = theme::colours(ui);
    let (Some(meant), Some(decision)) = (list.meant(at).cloned(), list.decisions.get(at).cloned()) else { return };
    let in_key = paper.lists.iter().any(|known| known.written == meant.entry.written && known.form.is_some());
    let response = ui.interact(rect, widgets::id(("entry of a list", at)), Sense::click());
    let best = shown(&meant, &decision);
    let (name, probability) = match best {
        Some((form, probability)) => (doc.key.form_name(form), probability.map_or_else(|| say!("said").to_owned(), percent)),
        None => (no_form().to_owned(), percent(meant.none)),
    };
    let (second, second_p) = meant.runner_up();
    let second = second.map_or(no_form(), |guess| guess.name.as_str());
    let says = said(doc, &decision, in_key);
    let label = say!(
        "{at}: '{written}': {name}, {probability}; else {second}, {second_p}; {says}",
        at = at + 1,
        written = meant.entry.written,
        name,
        probability,
        second,
        second_p = percent(second_p),
        says
    );
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, decision != Decision::Open, &label));
    if list.focus && list.at == at {
        list.focus = false;
        response.request_focus();
        ui.scroll_to_rect(rect.expand2(vec2(0.0, ROW)), None);
    }
    if response.gained_focus() && list.at != at {
        list.at = at;
        list.typed.clear();
        ui.scroll_to_rect(rect.expand2(vec2(0.0, ROW)), None);
    }
    if response.has_focus() {
        keys(ui, list, &meant, at);
    }
    if response.clicked() {
        // By the pointer an entry is chosen first; Enter on the one that is looked at accepts it.
        let by_key = ui.input(|input| input.key_pressed(Key::Enter) || input.key_pressed(Key::Space));
        if by_key {
            let decision = meant.best().map_or(Decision::Declined, |best| Decision::Means(best.form.clone()));
            list.decide(at, decision);
        } else {
            list.at = at;
            response.request_focus();
        }
    }
    if ui.is_rect_visible(rect) {
        let edge = if list.at == at { Stroke::new(2.0, c.glow) } else { Stroke::new(1.0, c.edge) };
        let fill = if response.hovered() || list.at == at { c.glow_wash } else { c.paper };
        ui.painter().rect(rect, 8.0, fill, edge, StrokeKind::Inside);
        sign(ui, rect, &decision, in_key, c);
        if let Some(form) = best.and_then(|(form, _)| doc.form(form)) {
            let figure = Rect::from_min_size(pos2(rect.left() + rect.width() * 0.44, rect.top() + 5.0), vec2(64.0, rect.height() - 10.0));
            let drawing = drawn.of(form);
            let placing = Placing::fit(drawing.bounds, figure, 2.0);
            let ink = if decision == Decision::Declined { c.ink_faint } else { c.moss };
            for path in &drawing.paths {
                paint::fill(ui.painter(), path, placing, ink);
            }
        }
        words(ui, rect, &meant, (&name, &probability), (second, &percent(second_p)), &says, c);
    }
    response.on_hover_text(label);
}

/// A tick, a cross, or an open ring.
fn sign(ui: &Ui, rect: Rect, decision: &Decision, in_key: bool, c: &Colours) {
    let at = pos2(rect.left() + 20.0, rect.center().y);
    let painter = ui.painter();
    match decision {
        Decision::Means(_) => {
            painter.circle_filled(at, 10.0, c.moss);
            painter.line(vec![at + vec2(-5.0, 0.0), at + vec2(-1.0, 4.0), at + vec2(5.0, -4.0)], Stroke::new(2.2, c.on_moss));
        }
        Decision::Declined => {
            painter.circle_stroke(at, 10.0, Stroke::new(1.5, c.ink_soft));
            painter.line_segment([at + vec2(-4.0, -4.0), at + vec2(4.0, 4.0)], Stroke::new(1.8, c.ink_soft));
            painter.line_segment([at + vec2(4.0, -4.0), at + vec2(-4.0, 4.0)], Stroke::new(1.8, c.ink_soft));
        }
        Decision::Open => {
            painter.circle_stroke(at, 10.0, Stroke::new(1.5, if in_key { c.moss } else { c.ink_faint }));
        }
    }
}

fn words(ui: &Ui, rect: Rect, meant: &Meant, first: (&str, &str), second: (&str, &str), says: &str, c: &Colours) {
    let line = |left: f32, right: f32, y: f32, parts: &[(&str, FontFamily, egui::Color32)], size: f32| {
        let mut job = LayoutJob::default();
        for (text, family, ink) in parts {
            job.append(text, 0.0, TextFormat { font_id: FontId::new(size, family.clone()), color: *ink, ..TextFormat::default() });
        }
        (job.wrap.max_width, job.wrap.max_rows, job.wrap.break_anywhere) = ((right - left).max(40.0), 1, true);
        let galley = ui.painter().layout_job(job);
        ui.painter().galley(pos2(left, rect.top() + y), galley, c.ink);
    };
    let plain = FontFamily::Proportional;
    let middle = rect.left() + rect.width() * 0.44;
    let (left, right) = (rect.left() + 40.0, middle - 8.0);
    line(left, right, 7.0, &[(&meant.entry.written, theme::bold(), c.ink)], 16.0);
    let price = if meant.entry.price.is_empty() { String::new() } else { format!("{}   ", meant.entry.price) };
    line(left, right, 31.0, &[(&price, plain.clone(), c.ink), (says, plain.clone(), c.ink_soft)], 14.0);
    let (left, right) = (middle + 76.0, rect.right() - 8.0);
    line(left, right, 7.0, &[(&capital(first.0), theme::bold(), c.ink), (&format!("   {}", first.1), plain.clone(), c.ink)], 15.0);
    line(left, right, 31.0, &[(&say!("else {form}   {probability}", form = second.0, probability = second.1), plain, c.ink_soft)], 14.0);
}

/// The keys of the entry that has the focus: a digit chooses a form, Delete declines, U leaves it open again.
fn keys(ui: &Ui, list: &mut List, meant: &Meant, at: usize) {
    const DIGITS: [Key; 8] = [Key::Num1, Key::Num2, Key::Num3, Key::Num4, Key::Num5, Key::Num6, Key::Num7, Key::Num8];
    let pressed = |key: Key| ui.input_mut(|input| input.consume_key(Modifiers::NONE, key));
    for (guess, key) in meant.guesses.iter().zip(DIGITS) {
        if pressed(key) {
            list.decide(at, Decision::Means(guess.form.clone()));
            return;
        }
    }
    if pressed(Key::Delete) || pressed(Key::Num0) {
        list.decide(at, Decision::Declined);
    } else if pressed(Key::U)
        && let Some(decision) = list.decisions.get_mut(at)
    {
        *decision = Decision::Open;
    }
}
