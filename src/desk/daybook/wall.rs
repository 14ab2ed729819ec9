//! The finds as a wall of pictures: a photograph of each, else the drawing of its form.

use super::DaybookView;
use super::list::{figure_ui, title, unreadable_ui};
use super::table::{keys, offset_for, pressable, pressed};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::photographs::Thumbs;
use crate::desk::theme::{self, GAP};
use crate::say;
use egui::{FontFamily, Rect, ScrollArea, Sense, Stroke, StrokeKind, Ui, pos2, vec2};
use std::sync::Arc;

/// Least width of a picture's place, in points.
const LEAST: f32 = 150.0;
/// Height of a picture's place with the words under it, in points.
const HIGH: f32 = 176.0;

/// Draws the wall.
pub(super) fn wall_ui(ui: &mut Ui, doc: &Document, view: &mut DaybookView, thumbs: &mut Thumbs, commands: &mut Vec<Command>) {
    let area = ui.available_rect_before_wrap();
    let across = ((area.width() - 12.0) / (LEAST + GAP)).floor().max(1.0) as usize;
    let wide = (area.width() - 12.0) / across as f32 - GAP;
    keys(ui, &mut view.list, across, (area.height() / (HIGH + GAP)).max(1.0) as usize, commands);
    ui.spacing_mut().item_spacing.y = GAP;
    let mut scroll = ScrollArea::vertical().id_salt("wall").auto_shrink(false);
    if let Some(row) = view.list.go_to {
        // The rows of the wall hold several finds each.
        let sight = view.list.sight.clone();
        view.list.sight = sight.start / across..sight.end / across;
        let offset = offset_for(row / across, &view.list, area.height(), HIGH + GAP);
        view.list.sight = sight;
        scroll = scroll.vertical_scroll_offset(offset);
    }
    let finds = view.list.len();
    scroll.show_rows(ui, HIGH, finds.div_ceil(across), |ui, rows| {
        let range = rows.start * across..(rows.end * across).min(finds);
        if ui.current_pass_index() == 0 {
            let wanted = view.list.wanted(range);
            if !wanted.is_empty() {
                commands.push(Command::ReadFinds(wanted));
            }
        }
        for row in rows {
            let (strip, _) = ui.allocate_exact_size(vec2(ui.available_width(), HIGH), Sense::hover());
            for column in 0..across {
                let at = pos2(strip.left() + column as f32 * (wide + GAP), strip.top());
                picture_ui(ui, doc, view, thumbs, row * across + column, Rect::from_min_size(at, vec2(wide, HIGH)), commands);
            }
        }
    });
}

fn picture_ui(
    ui: &mut Ui,
    doc: &Document,
    view: &mut DaybookView,
    thumbs: &mut Thumbs,
    at: usize,
    rect: Rect,
    commands: &mut Vec<Command>,
) {
    let c = theme::colours(ui);
    let Some(id) = view.list.id_at(at) else { return };
    let find = match view.list.find(id) {
        Some(Ok(find)) => Arc::clone(find),
        Some(Err(why)) => {
            unreadable_ui(ui, rect, why);
            return;
        }
        None => {
            ui.painter().rect_filled(rect, 8.0, c.paper_warm);
            return;
        }
    };
    let is_on = view.list.open == Some(id) || view.list.chosen.contains(&id);
    let response = pressable(ui, rect, id, &find, is_on);
    let edge = if is_on || response.has_focus() { Stroke::new(2.0, c.glow) } else { Stroke::new(1.0, c.edge) };
    let fill = if response.hovered() || is_on { c.glow_wash } else { c.paper };
    ui.painter().rect(rect, 8.0, fill, edge, StrokeKind::Inside);
    let figure = Rect::from_min_max(rect.min + vec2(8.0, 8.0), rect.max - vec2(8.0, 52.0));
    figure_ui(ui, doc, &mut view.drawn, thumbs, &find, figure, c);
    let words = |ui: &Ui, y: f32, text: String, family, ink| {
        super::list::line(ui, pos2(rect.left() + 8.0, y), text, family, 14.0, ink, rect.width() - 16.0);
    };
    words(ui, rect.bottom() - 46.0, title(&find), theme::bold(), c.ink);
    let mut under = Vec::new();
    under.extend(Some(&find.box_label).filter(|label| !label.is_empty()).map(|label| say!("Box {label}", label)));
    under.extend(find.record.main_glaze().map(|glaze| glaze.name.clone()));
    words(ui, rect.bottom() - 25.0, under.join(" · "), FontFamily::Proportional, c.ink_soft);
    pressed(ui, doc, view, at, &find, &response, commands);
}
