//! The shelf: what the piece may be, as silhouettes to one scale, most probable first; a form forgiven one slip stands at the far end.

use super::BenchView;
use crate::desk::board::Placing;
use crate::desk::board::vessel;
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::theme::{self, Colours};
use crate::desk::widgets::{self, remark};
use crate::identify::{Candidate, SHELVED, Shelf};
use crate::key::{FeatureId, Form};
use crate::say;
use egui::{
    Align, Align2, Color32, CornerRadius, FontId, Frame, Layout, Margin, Rect, RichText, Role, ScrollArea, Sense, Stroke, Ui, WidgetInfo,
    pos2, vec2,
};

/// Forms drawn on the shelf at most; the rest are counted. A stated limit, so that a key of thousands costs no frame.
const MOST_SHOWN: usize = SHELVED;
/// Seconds in which a silhouette slides to its new place.
const SLIDE_SECS: f32 = 0.28;

/// Draws the shelf.
pub fn shelf_ui(ui: &mut Ui, doc: &Document, view: &mut BenchView, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    let rect = ui.available_rect_before_wrap();
    Frame::new()
        .fill(c.shelf)
        .stroke(Stroke::new(1.0, c.edge))
        .corner_radius(CornerRadius::same(theme::ROUND))
        .inner_margin(Margin::symmetric(12, 6))
        .show(ui, |ui| {
            ui.set_min_size(rect.size() - vec2(26.0, 14.0));
            ui.set_max_size(rect.size() - vec2(26.0, 14.0));
            head_ui(ui, doc, view, commands);
            row_ui(ui, doc, view, commands);
        });
}

fn head_ui(ui: &mut Ui, doc: &Document, view: &mut BenchView, commands: &mut Vec<Command>) {
    let standing = &doc.standing;
    ui.horizontal(|ui| {
        ui.set_height(theme::TARGET);
        let words = match (standing.fits, standing.one_slip) {
            (0, 0) => say!("On the shelf: nothing fits").to_owned(),
            (fits, 0) => say!("On the shelf: {fits} that fit", fits),
            (fits, slips) => say!("On the shelf: {fits} that fit, {slips} with one slip", fits, slips),
        };
        widgets::strong(ui, words);
        remark(ui, say!("not in this key: {not_in_key}", not_in_key = percent(standing.not_in_key)));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if ui.button(say!("{set_aside} set aside: why?", set_aside = standing.set_aside)).clicked() {
                view.set_aside_open = true;
            }
            let picked: Vec<_> = view.picked.clone();
            let two = picked.len() >= 2;
            let words = if two { say!("Tell these {picked} apart", picked = picked.len()) } else { say!("Tell apart").to_owned() };
            if ui
                .add(egui::Button::new(words))
                .on_hover_text(say!("The first two on the shelf, or the forms picked with Shift and a click"))
                .clicked()
            {
                commands.push(Command::TellApart(if two { picked } else { first_two(doc) }));
                view.picked.clear();
            }
            if standing.fits == 0 && ui.button(say!("Add to the key")).clicked() {
                commands.push(Command::AddForm);
            }
        });
    });
}

/// The two most probable forms.
pub fn first_two(doc: &Document) -> Vec<crate::key::FormId> {
    doc.standing.candidates.iter().take(2).map(|candidate| candidate.form.clone()).collect()
}

/// A probability as a person says it.
pub fn percent(p: f64) -> String {
    match p {
        p if p >= 0.995 => say!("over 99 %").to_owned(),
        p if p >= 0.095 => format!("{:.0} %", p * 100.0),
        p if p >= 0.0095 => format!("{:.0} %", p * 100.0),
        p if p > 0.0 => say!("under 1 %").to_owned(),
        _ => "0 %".to_owned(),
    }
}

struct Standing<'a> {
    form: &'a Form,
    candidate: &'a Candidate,
    slip: Option<&'a FeatureId>,
}

fn shown<'a>(doc: &'a Document, candidate: &'a Candidate) -> Option<Standing<'a>> {
    let slip = if let Shelf::OneSlip(feature) = &candidate.place { Some(feature) } else { None };
    Some(Standing { form: doc.form(&candidate.form)?, candidate, slip })
}

fn row_ui(ui: &mut Ui, doc: &Document, view: &mut BenchView, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    let candidates = &doc.standing.candidates;
    let fits: Vec<Standing<'_>> = candidates.fitting().iter().take(MOST_SHOWN).filter_map(|candidate| shown(doc, candidate)).collect();
    let slips: Vec<Standing<'_>> =
        candidates.slipping().iter().take(MOST_SHOWN / 2).filter_map(|candidate| shown(doc, candidate)).collect();
    let (names_height, percent_height) = (36.0, 18.0);
    let room = ui.available_rect_before_wrap();
    let tallest = |all: &[Standing<'_>]| all.iter().map(|s| view_height(s.form)).fold(0.0, f64::max);
    let tall_mm = tallest(&fits).max(tallest(&slips)).max(90.0);
    let up = (room.height() - names_height - percent_height - 10.0).max(40.0);
    let scale = (f64::from(up) / tall_mm).min(1.6) as f32;
    let shelf_y = room.bottom() - names_height - 4.0;
    let rule_width = 62.0;
    let painter = ui.painter().clone();
    vessel::rule(&painter, pos2(room.left() + 2.0, shelf_y), up.min(tall_mm as f32 * scale + 6.0), scale, c);
    let shelf_board = Rect::from_min_max(pos2(room.left(), shelf_y), pos2(room.right(), shelf_y + 6.0));
    painter.rect_filled(shelf_board, CornerRadius::same(2), c.wood);
    if fits.is_empty() && slips.is_empty() {
        let words = say!("Nothing in this key fits. Take an answer back, or add the piece to the key.");
        painter.text(pos2(room.left() + rule_width + 10.0, shelf_y - 30.0), Align2::LEFT_CENTER, words, FontId::proportional(15.0), c.ink);
        return;
    }
    let row = Rect::from_min_max(pos2(room.left() + rule_width, room.top()), room.max);
    widgets::in_rect(ui, "row", row, |ui| {
        ScrollArea::horizontal().id_salt("shelf row").auto_shrink(false).show(ui, |ui| {
            let widths: Vec<f32> = fits.iter().chain(&slips).map(|standing| cell_width(view, standing.form, scale)).collect();
            let gap = if slips.is_empty() { 0.0 } else { 34.0 };
            let total: f32 = widths.iter().sum::<f32>() + gap;
            let (_, area) = ui.allocate_space(vec2(total.max(ui.available_width()), ui.available_height()));
            let mut x = area.left();
            let slip_width: f32 = widths.iter().skip(fits.len()).sum();
            let slip_start = (area.right() - slip_width).max(area.left() + total - slip_width);
            for (i, standing) in fits.iter().chain(&slips).enumerate() {
                if i == fits.len() {
                    x = slip_start;
                }
                let width = widths.get(i).copied().unwrap_or(60.0);
                let slid = ui.animate_value_with_time(widgets::id(("shelf", standing.form.id.as_str())), x - area.left(), SLIDE_SECS);
                let cell = Rect::from_min_max(pos2(area.left() + slid, area.top()), pos2(area.left() + slid + width, area.bottom()));
                if ui.clip_rect().intersects(cell) {
                    cell_ui(ui, doc, view, commands, standing, cell, shelf_y, scale, c);
                }
                x += width;
            }
        });
    });
}

fn view_height(form: &Form) -> f64 {
    form.shape.height_mm()
}

fn cell_width(view: &mut BenchView, form: &Form, scale: f32) -> f32 {
    (view.drawn.of(form).bounds.width() as f32 * scale + 22.0).max(78.0)
}

#[expect(clippy::too_many_arguments, reason = "one silhouette: what, where and how large")]
fn cell_ui(
    ui: &mut Ui,
    doc: &Document,
    view: &mut BenchView,
    commands: &mut Vec<Command>,
    standing: &Standing<'_>,
    cell: Rect,
    shelf_y: f32,
    scale: f32,
    c: &Colours,
) {
    let Standing { form, candidate, slip } = standing;
    let response = ui.interact(cell.shrink2(vec2(2.0, 0.0)), widgets::id(("on the shelf", form.id.as_str())), Sense::click());
    let full = doc.key.full_name(form);
    let label = match slip {
        Some(feature) => say!("{full}, with a slip: {feature}", full, feature = feature_name(doc, feature)),
        None => format!("{full}, {}", percent(candidate.probability)),
    };
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, view.picked.contains(&form.id), label.clone()));
    let painter = ui.painter();
    let picked = view.picked.contains(&form.id);
    if response.hovered() || response.has_focus() || picked {
        let stroke = if picked || response.has_focus() { Stroke::new(2.0, c.glow) } else { Stroke::NONE };
        painter.rect(cell.shrink2(vec2(3.0, 1.0)), CornerRadius::same(6), c.glow_wash, stroke, egui::StrokeKind::Inside);
    }
    let drawn = view.drawn.of(form);
    let placing = Placing { origin: pos2(cell.center().x - drawn.bounds.center().x as f32 * scale, shelf_y), scale };
    let fill = if slip.is_some() { c.slip } else { strength(candidate.probability, c) };
    drawn.paint(painter, placing, fill, c.shelf);
    let top = shelf_y - drawn.bounds.y1 as f32 * scale;
    let above = match slip {
        Some(feature) => say!("slip: {feature}", feature = feature_name(doc, feature)),
        None => percent(candidate.probability),
    };
    let mut job = egui::text::LayoutJob::simple(above, FontId::proportional(13.5), c.ink, cell.width() - 4.0);
    job.halign = Align::Center;
    job.wrap.max_rows = 2;
    let galley = painter.layout_job(job);
    painter.galley(pos2(cell.center().x, (top - galley.size().y - 3.0).max(cell.top())), galley, c.ink);
    let one_line_of = |line: &str| doc.key.lines.len() > 1 && doc.key.line(&form.line).is_some_and(|known| known.name == line);
    let name = if one_line_of(&candidate.line) { format!("{}, {}", form.name, candidate.line) } else { form.name.clone() };
    let mut job = egui::text::LayoutJob::simple(name, FontId::proportional(12.5), c.ink, cell.width() - 4.0);
    job.halign = Align::Center;
    job.wrap.max_rows = 2;
    let galley = painter.layout_job(job);
    painter.galley(pos2(cell.center().x, shelf_y + 8.0), galley, c.ink);

    if response.clicked() {
        if ui.input(|input| input.modifiers.shift || input.modifiers.command) {
            match view.picked.iter().position(|id| *id == form.id) {
                Some(at) => {
                    view.picked.remove(at);
                }
                None if view.picked.len() < 6 => view.picked.push(form.id.clone()),
                None => {}
            }
        } else {
            view.why = if view.why.as_ref() == Some(&form.id) { None } else { Some(form.id.clone()) };
        }
    }
    response.on_hover_ui(|ui| {
        ui.label(RichText::new(crate::key::capital(&full)).family(theme::bold()));
        super::why::reasons_ui(ui, doc, &form.id, 8);
        remark(ui, say!("Click to keep this open; Shift-click to pick for Tell Apart"));
    });
    super::why::pinned_ui(ui, doc, view, commands, form, cell);
}

fn feature_name(doc: &Document, id: &FeatureId) -> String {
    doc.key.feature_name(id)
}

/// The green of a silhouette: full for what is likely, faint for what hardly fits.
fn strength(p: f64, c: &Colours) -> Color32 {
    c.moss_faint.lerp_to_gamma(c.moss, (p as f32).sqrt().clamp(0.0, 1.0))
}
