//! The asking card of a mark: beside the field for its wording, how it is laid out and its ink by drawings; below them the marks of the key that have
//! all of it, drawn, fewer with each thing said.

use super::card::{Card, PAGE, Taken, choose, toggle};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::mark_drawer::art::paint_mark;
use crate::desk::mark_drawer::shapes::{ink_tile, layout_tile};
use crate::desk::mark_drawer::sieve::{Kept, Passed, Sieve, distinct, ink_name};
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{paging, remark};
use crate::identify::{MarkSeen, Observation, Seen, see};
use crate::key::{Feature, Mark, Used, ValueId};
use crate::{say, say_count};
use egui::{
    CornerRadius, FontFamily, FontId, Rect, Response, Role, ScrollArea, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, pos2, vec2,
};

/// Least width of a drawn mark on the card and the height of its drawing and of its name, in points.
const TILE: f32 = 112.0;
const DRAWN: f32 = 78.0;
const NAMED: f32 = 20.0;
/// Between two of them.
const BETWEEN: f32 = 4.0;

/// What was said on the card, as the Mark Drawer sieves.
fn sieve(card: &Card) -> Sieve {
    Sieve { typed: card.typed.clone(), layout: card.looks.layout, ink: card.looks.ink.clone(), applied: None }
}

/// The marks that have all that was said on the card.
pub fn shown(doc: &Document, card: &Card) -> Vec<(ValueId, String)> {
    named(doc, &sieve(card).pass(&doc.key, doc.index.wordings()))
}

fn named(doc: &Document, passed: &[Passed]) -> Vec<(ValueId, String)> {
    let marks = passed.iter().filter_map(|passed| doc.key.marks.get(passed.number));
    marks.map(|mark| (ValueId::new(mark.id.as_str()), mark.name.clone())).collect()
}

/// What was typed and picked, as it is answered.
///
/// # Errors
/// Why the wording can't be looked for.
pub fn seen(doc: &Document, feature: &Feature, card: &Card) -> Result<Observation, String> {
    let typed = card.typed.trim();
    let seen = if typed.is_empty() {
        Seen::Mark(MarkSeen { wording: String::new(), looks: card.looks.clone() })
    } else {
        let mut answer = see::answer(&doc.key, &doc.words, feature, typed).map_err(|why| why.to_string())?;
        if let Seen::Wording(wording) = answer.seen {
            answer.seen = MarkSeen { wording, looks: card.looks.clone() }.seen();
        }
        answer.seen
    };
    Ok(Observation { feature: feature.id.clone(), seen, sure: card.sure })
}

/// Layouts and inks of the key's marks, each a drawing to press.
pub fn looks_ui(ui: &mut Ui, doc: &Document, card: &mut Card) {
    let layouts = distinct(doc.key.marks.iter().map(|mark| mark.layout));
    let inks = distinct(doc.key.marks.iter().map(ink_name));
    let before = card.looks.clone();
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(2.0, BETWEEN);
        if layouts.len() > 1 {
            for layout in layouts {
                let on = card.looks.layout == Some(layout);
                if layout_tile(ui, layout, on).clicked() {
                    card.looks.layout = (!on).then_some(layout);
                }
            }
            ui.add_space(6.0);
        }
        if inks.len() > 1 {
            for name in inks {
                let ink = doc.key.marks.iter().filter_map(|mark| mark.ink.as_ref()).find(|ink| ink.name == name);
                let on = card.looks.ink.as_deref() == Some(name);
                if ink_tile(ui, ink, on).clicked() {
                    card.looks.ink = (!on).then(|| name.to_owned());
                }
            }
        }
    });
    if card.looks != before {
        card.page = 0;
    }
}

/// The marks that are left, drawn; down to `bottom`.
pub fn marks_ui(
    ui: &mut Ui,
    doc: &Document,
    card: &mut Card,
    kept: &mut Kept,
    taken: &mut Taken,
    commands: &mut Vec<Command>,
    (bottom, said): (f32, &[ValueId]),
) {
    let passed = kept.passed(doc, &sieve(card));
    let all = doc.key.marks.len();
    let pages = passed.len().div_ceil(PAGE).max(1);
    card.page = card.page.min(pages - 1);
    let words = match passed.len() {
        0 if all == 0 => say!("This key has no marks yet.").to_owned(),
        0 => say!("No mark of this key has all of it. Take a letter or a drawing away; a mark that is not here may be new.").to_owned(),
        n if n == all => say_count!(n, "{n} mark", "{n} marks"),
        n => say!("{n} of {all} marks have all of it", n, all),
    };
    if pages > 1 {
        ui.horizontal(|ui| {
            remark(ui, words);
            paging(ui, &mut card.page, pages);
        });
    } else {
        remark(ui, words);
    }
    let room = (bottom - ui.cursor().top() - TARGET - 18.0).max(DRAWN + NAMED);
    let wide = ui.available_width() - 8.0;
    let columns = ((wide + BETWEEN) / (TILE + BETWEEN)).floor().max(1.0);
    let size = vec2((wide + BETWEEN) / columns - BETWEEN, DRAWN + NAMED);
    let on_page: Vec<&Passed> = passed.iter().skip(card.page * PAGE).take(PAGE).collect();
    ScrollArea::vertical().id_salt("marks").max_height(room).auto_shrink([false, true]).show(ui, |ui| {
        ui.spacing_mut().item_spacing = Vec2::splat(BETWEEN);
        for (row, of_row) in on_page.chunks(columns as usize).enumerate() {
            ui.horizontal(|ui| {
                for (at, passed) in of_row.iter().enumerate() {
                    let Some(mark) = doc.key.marks.get(passed.number) else { continue };
                    let id = ValueId::new(mark.id.as_str());
                    let on = card.either.contains(&id) || (card.either.is_empty() && said.contains(&id));
                    let digit = row * columns as usize + at + 1;
                    if mark_tile(ui, mark, passed, (digit, size), on).clicked() {
                        if ui.input(|input| input.modifiers.command || input.modifiers.shift) {
                            toggle(card, &id);
                        } else {
                            *taken = choose(card, &id, commands);
                        }
                    }
                }
            });
        }
    });
}

/// One mark: its drawing, in which the letters that were read stand out, its digit, its name.
fn mark_tile(ui: &mut Ui, mark: &Mark, passed: &Passed, (digit, size): (usize, Vec2), on: bool) -> Response {
    let c = theme::colours(ui);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, on, &mark.name));
    if ui.is_rect_visible(rect) {
        let lit = response.hovered() || response.has_focus();
        let edge = if on || lit { Stroke::new(2.0, c.glow) } else { Stroke::new(1.0, c.edge) };
        ui.painter().rect(rect, CornerRadius::same(6), if on || lit { c.glow_wash } else { c.paper_warm }, edge, StrokeKind::Inside);
        let drawing = Rect::from_min_size(rect.min, vec2(size.x, DRAWN)).shrink(3.0);
        paint_mark(ui.painter(), drawing, mark, passed.reading.as_ref());
        let font = FontId::new(13.5, FontFamily::Proportional);
        let y = drawing.bottom() + NAMED / 2.0;
        ui.painter().text(pos2(rect.left() + 10.0, y), egui::Align2::CENTER_CENTER, digit.to_string(), font.clone(), c.ink_soft);
        let ink = if mark.used == Used::NeverUsed { c.alarm } else { c.ink };
        let mut job = egui::text::LayoutJob::simple_singleline(mark.name.clone(), font, ink);
        job.wrap = egui::text::TextWrapping::truncate_at_width(size.x - 24.0);
        let galley = ui.painter().layout_job(job);
        ui.painter().galley(pos2(rect.left() + 20.0, y - galley.size().y / 2.0), galley, ink);
    }
    response.on_hover_ui(|ui| {
        ui.label(&mark.name);
        ui.label(mark.made.words());
        if mark.used == Used::NeverUsed {
            ui.label(say!("never in production"));
        }
    })
}
