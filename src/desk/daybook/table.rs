//! The finds as a table: the columns one wants, sorted by any, only the rows in sight laid out.

use super::DaybookView;
use super::list::{figure_ui, time_words, title, unreadable_ui};
use super::listing::{FindList, Press};
use crate::daybook::many::Bulk;
use crate::daybook::record::Called;
use crate::daybook::{Column, Find, FindId, Order, Status, Way};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::finds_work::Deed;
use crate::desk::icons::Icon;
use crate::desk::photographs::Thumbs;
use crate::desk::theme::{self, Colours, TARGET};
use crate::desk::widgets;
use crate::key::capital;
use crate::say;
use egui::{
    Align2, EventFilter, FocusDirection, FontFamily, FontId, Key, Modifiers, Rect, Role, ScrollArea, Sense, Stroke, StrokeKind, Ui,
    WidgetInfo, pos2, vec2,
};
use std::sync::Arc;

/// Height of a row, in points.
const ROW: f32 = 48.0;
/// Width of the figure at the left of a row, in points.
const FIGURE: f32 = 54.0;
/// Width of the tick at the left of a row, in points.
const TICK: f32 = 34.0;

/// Columns that are sorted from the greatest at the first press.
const fn from_the_greatest(column: Column) -> bool {
    matches!(column, Column::Found | Column::Paid | Column::Asked | Column::Pieces | Column::Photographs)
}

/// Least width of a column, in points, and its share of what is left over.
const fn width_of(column: Column) -> (f32, f32) {
    match column {
        Column::Form => (170.0, 3.0),
        Column::Line | Column::Glaze | Column::Decoration | Column::Mark | Column::Place => (92.0, 1.5),
        Column::Note => (120.0, 3.0),
        Column::Made => (88.0, 0.5),
        Column::Sure => (126.0, 0.5),
        Column::Box | Column::Decorated => (72.0, 0.5),
        Column::Status => (84.0, 0.5),
        Column::Pieces => (58.0, 0.2),
        Column::Photographs => (92.0, 0.2),
        Column::Paid | Column::Asked => (92.0, 0.6),
        Column::Found => (128.0, 0.5),
    }
}

/// The columns that find room, each with its left edge and width, and how many do not.
fn laid_out(columns: &[Column], left: f32, width: f32) -> (Vec<(Column, f32, f32)>, usize) {
    let mut room = width;
    let mut fitting = Vec::new();
    for column in columns {
        let (least, share) = width_of(*column);
        if room < least && !fitting.is_empty() {
            continue;
        }
        room -= least;
        fitting.push((*column, least, share));
    }
    let shares: f32 = fitting.iter().map(|(_, _, share)| share).sum();
    let dropped = columns.len() - fitting.len();
    let mut at = left;
    let columns = fitting.into_iter().map(|(column, least, share)| {
        let width = least + room.max(0.0) * share / shares.max(0.1);
        let from = at;
        at += width;
        (column, from, width)
    });
    (columns.collect(), dropped)
}

/// What a find says in a column.
pub(super) fn cell(find: &Find, column: Column) -> String {
    let name = |called: Option<&Called>| called.map(|called| called.name.clone()).unwrap_or_default();
    let record = &find.record;
    let text = match column {
        Column::Form => return find.named.as_ref().map_or_else(|| title(find), |named| capital(&named.form_name)),
        Column::Line => find.named.as_ref().map(|named| named.line_name.clone()).unwrap_or_default(),
        Column::Glaze => name(record.main_glaze()),
        Column::Decoration => name(record.decoration.as_ref()),
        Column::Mark => name(record.mark.as_ref()),
        Column::Made => record.made.words(),
        Column::Decorated => record.decorated.words(),
        Column::Sure => match find.probability {
            Some(probability) => format!("{}, {:.0} %", find.standing.words(), probability * 100.0),
            None => find.standing.words().to_owned(),
        },
        Column::Box => find.box_label.clone(),
        Column::Status if record.status == Status::Undecided => String::new(),
        Column::Status => record.status.words().to_owned(),
        Column::Place => record.place_found.clone(),
        Column::Pieces => record.pieces.get().to_string(),
        Column::Paid => record.paid.as_ref().map(|price| format!("{} {}", price.amount, price.currency)).unwrap_or_default(),
        Column::Asked => record.asked.as_ref().map(|price| format!("{} {}", price.amount, price.currency)).unwrap_or_default(),
        Column::Photographs => Some(find.photographs.len()).filter(|n| *n > 0).map(|n| n.to_string()).unwrap_or_default(),
        Column::Note => find.note.replace('\n', " "),
        Column::Found => find.found_at.strftime(say!(in "a day and a time", "%-d %b %Y, %H:%M")).to_string(),
    };
    capital(&text)
}

/// Draws the table.
pub(super) fn table_ui(ui: &mut Ui, doc: &Document, view: &mut DaybookView, thumbs: &mut Thumbs, commands: &mut Vec<Command>) {
    let area = ui.available_rect_before_wrap();
    let head = Rect::from_min_size(area.min, vec2(area.width() - 12.0, TARGET));
    let (columns, dropped) = laid_out(&view.list.columns, area.left() + TICK + FIGURE + 6.0, head.width() - TICK - FIGURE - 12.0);
    widgets::in_rect(ui, "table head", head, |ui| head_ui(ui, &mut view.list, &columns, dropped, commands));
    let body = Rect::from_min_max(pos2(area.left(), head.bottom() + 4.0), area.max);
    widgets::in_rect(ui, "table body", body, |ui| {
        ui.spacing_mut().item_spacing.y = 3.0;
        keys(ui, &mut view.list, 1, (body.height() / (ROW + 3.0)).max(1.0) as usize, commands);
        let mut scroll = ScrollArea::vertical().id_salt("finds").auto_shrink(false);
        if let Some(row) = view.list.go_to {
            scroll = scroll.vertical_scroll_offset(offset_for(row, &view.list, body.height(), ROW + 3.0));
        }
        let rows = view.list.len();
        scroll.show_rows(ui, ROW, rows, |ui, range| {
            if ui.current_pass_index() == 0 {
                let wanted = view.list.wanted(range.clone());
                if !wanted.is_empty() {
                    commands.push(Command::ReadFinds(wanted));
                }
            }
            for row in range {
                row_ui(ui, doc, view, thumbs, row, &columns, commands);
            }
        });
    });
}

/// Where to scroll so that a row is in sight, with as little moving as need be.
pub(super) fn offset_for(row: usize, list: &FindList, height: f32, step: f32) -> f32 {
    let (first, last) = (list.sight.start, list.sight.end);
    let seen = (height / step).floor().max(1.0);
    if row <= first || last <= first {
        row as f32 * step
    } else {
        // Below: it becomes the last that is wholly in sight. Within: the list stays where the rows in sight say.
        let lowest = (row as f32 + 1.0 - seen).max(0.0);
        (first as f32).max(lowest) * step
    }
}

fn head_ui(ui: &mut Ui, list: &mut FindList, columns: &[(Column, f32, f32)], dropped: usize, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    let rect = ui.available_rect_before_wrap();
    ui.painter().hline(rect.x_range(), rect.bottom(), Stroke::new(1.0, c.edge));
    for (column, left, width) in columns {
        let at = Rect::from_min_size(pos2(*left, rect.top()), vec2(width - 6.0, TARGET));
        // Words that are searched for put the list in an order of their own until one is chosen.
        let by_words = list.question.order.is_none() && !list.question.filter.search.trim().is_empty();
        let order = list.question.order.unwrap_or_default();
        let is_by = order.by == *column && !by_words;
        let id = widgets::id(("sort by", *column));
        let sense = if column.sorts() { Sense::click() } else { Sense::hover() };
        let response = ui.interact(at, id, sense);
        let sorted = match (is_by, order.way) {
            (true, Way::Up) => say!(", sorted, least first"),
            (true, Way::Down) => say!(", sorted, greatest first"),
            _ => "",
        };
        let words = column.words();
        let role = if column.sorts() { Role::Button } else { Role::Label };
        response.widget_info(|| WidgetInfo::labeled(role, true, say!("Column {words}{sorted}", words, sorted)));
        if response.hovered() || response.has_focus() {
            ui.painter().rect_filled(at, 6.0, c.glow_wash);
        }
        let painter = ui.painter().with_clip_rect(at.intersect(ui.clip_rect()));
        let text = painter.text(
            at.left_center() + vec2(4.0, 0.0),
            Align2::LEFT_CENTER,
            words,
            FontId::new(14.0, if is_by { theme::bold() } else { FontFamily::Proportional }),
            if is_by { c.ink } else { c.ink_soft },
        );
        if is_by {
            let icon = if order.way == Way::Up { Icon::Up } else { Icon::Down };
            let place = Rect::from_min_size(pos2(text.right() + 3.0, at.center().y - 7.0), vec2(14.0, 14.0));
            if place.right() < at.right() {
                icon.image(14.0, c.ink).paint_at(ui, place);
            }
        }
        if response.on_hover_text(if column.sorts() { say!("Sort by this column") } else { words }).clicked() {
            list.question.order = Some(Order {
                by: *column,
                way: match (is_by, order.way) {
                    (true, Way::Up) => Way::Down,
                    // Names from A, numbers and days from the greatest.
                    (false, _) if from_the_greatest(*column) => Way::Down,
                    (true, Way::Down) | (false, _) => Way::Up,
                },
            });
            commands.push(Command::ListFinds);
        }
    }
    if dropped > 0 {
        let at = pos2(rect.left() + TICK + 4.0, rect.center().y);
        ui.painter().text(at, Align2::LEFT_CENTER, format!("+{dropped}"), FontId::proportional(13.0), c.ink_faint);
        let place = Rect::from_center_size(at + vec2(10.0, 0.0), vec2(28.0, TARGET));
        let response = ui.interact(place, widgets::id("columns without room"), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, say!("{dropped} columns find no room here", dropped)));
        response.on_hover_text(say!("{dropped} columns find no room here", dropped));
    }
}

fn row_ui(
    ui: &mut Ui,
    doc: &Document,
    view: &mut DaybookView,
    thumbs: &mut Thumbs,
    row: usize,
    columns: &[(Column, f32, f32)],
    commands: &mut Vec<Command>,
) {
    let c = theme::colours(ui);
    let (whole, _) = ui.allocate_exact_size(vec2(ui.available_width() - 10.0, ROW), Sense::hover());
    let Some(id) = view.list.id_at(row) else { return };
    let find = match view.list.find(id) {
        Some(Ok(find)) => Arc::clone(find),
        Some(Err(why)) => {
            unreadable_ui(ui, whole, why);
            return;
        }
        None => {
            ui.painter().rect_filled(whole, 6.0, c.paper_warm);
            return;
        }
    };
    let rect = whole.with_min_x(whole.left() + TICK);
    let (is_open, is_chosen) = (view.list.open == Some(id), view.list.chosen.contains(&id));
    let response = pressable(ui, rect, id, &find, is_open || is_chosen);
    tick_ui(ui, &mut view.list, row, id, whole, &find, c);
    let edge = if is_open || response.has_focus() { Stroke::new(2.0, c.glow) } else { Stroke::new(1.0, c.edge) };
    let fill = if response.hovered() || is_open || is_chosen { c.glow_wash } else { c.paper };
    ui.painter().rect(rect, 6.0, fill, edge, StrokeKind::Inside);
    let figure = Rect::from_min_size(rect.min + vec2(4.0, 4.0), vec2(FIGURE - 6.0, ROW - 8.0));
    figure_ui(ui, doc, &mut view.drawn, thumbs, &find, figure, c);
    for (column, left, width) in columns {
        let at = Rect::from_min_size(pos2(left + 4.0, rect.top()), vec2(width - 10.0, ROW));
        let (family, ink) = match column {
            Column::Form => (theme::bold(), c.ink),
            Column::Sure if find.standing != crate::daybook::Standing::Settled => (FontFamily::Proportional, c.alarm),
            Column::Status | Column::Glaze | Column::Line | Column::Box => (FontFamily::Proportional, c.ink),
            _ => (FontFamily::Proportional, c.ink_soft),
        };
        super::list::line(ui, pos2(at.left(), at.center().y - 9.0), cell(&find, *column), family, 14.5, ink, at.width());
    }
    pressed(ui, doc, view, row, &find, &response, commands);
}

/// The place of a find that can be pressed, with its name.
pub(super) fn pressable(ui: &Ui, rect: Rect, id: FindId, find: &Find, is_chosen: bool) -> egui::Response {
    let response = ui.interact(rect, widgets::id(("find", id.to_string())), Sense::click());
    let box_words = if find.box_label.is_empty() { say!("no box").to_owned() } else { say!("box {box_label}", box_label = find.box_label) };
    let name = format!("{}, {box_words}, {}", title(find), time_words(&find.found_at));
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, is_chosen, name.clone()));
    if response.has_focus() {
        // Arrows go through the list, not to what lies about it.
        let filter = EventFilter { vertical_arrows: true, horizontal_arrows: true, ..EventFilter::default() };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
    }
    response
}

/// What a press on a find does, and where the keyboard is.
pub(super) fn pressed(
    ui: &Ui,
    doc: &Document,
    view: &mut DaybookView,
    row: usize,
    find: &Find,
    response: &egui::Response,
    commands: &mut Vec<Command>,
) {
    if view.list.go_to == Some(row) {
        response.request_focus();
        view.list.go_to = None;
    }
    if response.has_focus() && view.list.go_to.is_none() {
        view.list.cursor = Some(row);
    }
    if !response.clicked() {
        return;
    }
    let modifiers = ui.input(|input| input.modifiers);
    let how = match (modifiers.shift, modifiers.command) {
        (true, _) => Press::Run,
        (_, true) => Press::Too,
        // A second press takes it in hand; so Enter, Enter is enough.
        _ if view.list.open == Some(find.id) => return super::sheet::reopen(find, doc, commands),
        _ => Press::Alone,
    };
    view.list.press(row, how);
}

fn tick_ui(ui: &Ui, list: &mut FindList, row: usize, id: FindId, whole: Rect, find: &Find, c: &Colours) {
    let place = Rect::from_min_size(whole.min, vec2(TICK, ROW));
    let response = ui.interact(place, widgets::id(("choose", id.to_string())), Sense::click());
    let on = list.chosen.contains(&id);
    let name = say!("Choose {find}, {found_at}", find = crate::words::within(&title(find)), found_at = time_words(&find.found_at));
    response.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, on, name.clone()));
    let square = Rect::from_center_size(place.center() - vec2(3.0, 0.0), vec2(18.0, 18.0));
    let edge = if response.has_focus() || response.hovered() { c.glow } else { c.ink_faint };
    ui.painter().rect(square, 4.0, if on { c.ink } else { c.paper }, Stroke::new(1.5, edge), StrokeKind::Inside);
    if on {
        Icon::Tick.image(14.0, c.on_ink).paint_at(ui, square.shrink(2.0));
    }
    if response.clicked() {
        list.press(row, Press::Too);
    }
}

/// The list by keys: arrows go through it, with Shift they choose a run, Space chooses, Ctrl+A all, digits say a status, Delete takes out.
pub(super) fn keys(ui: &Ui, list: &mut FindList, across: usize, page: usize, commands: &mut Vec<Command>) {
    let busy = ui.text_edit_focused() || ui.memory(|memory| memory.top_modal_layer().is_some()) || egui::Popup::is_any_open(ui.ctx());
    let on_row = ui.memory(egui::Memory::focused).is_none_or(|focused| {
        list.cursor
            .and_then(|row| list.id_at(row))
            .is_some_and(|id| [widgets::id(("find", id.to_string())), widgets::id(("choose", id.to_string()))].contains(&focused))
    });
    if busy || !on_row || list.is_empty() || ui.current_pass_index() > 0 {
        return;
    }
    let last = list.len() - 1;
    let now = list.cursor;
    let moves: [(Key, Option<usize>); 8] = [
        (Key::ArrowDown, Some(now.map_or(0, |row| (row + across).min(last)))),
        (Key::ArrowUp, Some(now.map_or(0, |row| row.saturating_sub(across)))),
        (Key::ArrowRight, (across > 1).then(|| now.map_or(0, |row| (row + 1).min(last)))),
        (Key::ArrowLeft, (across > 1).then(|| now.map_or(0, |row| row.saturating_sub(1)))),
        (Key::PageDown, Some(now.map_or(0, |row| (row + page * across).min(last)))),
        (Key::PageUp, Some(now.map_or(0, |row| row.saturating_sub(page * across)))),
        (Key::Home, Some(0)),
        (Key::End, Some(last)),
    ];
    for (key, to) in moves {
        let Some(to) = to else { continue };
        // With Shift first: a plain key is also taken with Shift held.
        let run = ui.input_mut(|input| input.consume_key(Modifiers::SHIFT, key));
        if run || ui.input_mut(|input| input.consume_key(Modifiers::NONE, key)) {
            if run {
                list.anchor = list.anchor.or(now);
                list.press(to, Press::Run);
            } else {
                list.cursor = Some(to);
                if list.open.is_some() {
                    list.press(to, Press::Alone);
                }
            }
            list.go_to = Some(to);
            // The keyboard goes where the list says, not to what lies next to it.
            ui.memory_mut(|memory| memory.move_focus(FocusDirection::None));
        }
    }
    if ui.input_mut(|input| input.consume_key(Modifiers::COMMAND, Key::A)) {
        list.choose_all();
    }
    if let Some(row) = list.cursor
        && ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Space))
    {
        list.press(row, Press::Too);
    }
    if list.chosen.is_empty() && list.open.is_none() {
        return;
    }
    let digits = [Key::Num0, Key::Num1, Key::Num2, Key::Num3, Key::Num4];
    for (key, status) in digits.into_iter().zip(Status::ALL) {
        if ui.input_mut(|input| !input.modifiers.any() && input.consume_key(Modifiers::NONE, key)) {
            commands.push(Command::OnFinds(Deed::Change(list.aimed_at(), Bulk::Status(status))));
        }
    }
    if ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Delete)) {
        commands.push(Command::OnFinds(Deed::TakeOut(list.aimed_at())));
        list.open = None;
        list.chosen.clear();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_fill_the_room_and_those_without_room_are_counted() {
        let (all, dropped) = laid_out(&[Column::Form, Column::Box, Column::Found], 10.0, 900.0);
        assert_eq!((all.len(), dropped), (3, 0));
        let right = all.iter().map(|(_, left, width)| left + width).fold(0.0, f32::max);
        assert!((right - 910.0).abs() < 0.5, "{right}");
        let (few, dropped) = laid_out(&Column::ALL, 0.0, 300.0);
        assert!(few.len() + dropped == Column::ALL.len() && dropped > 10, "{dropped}");
        assert_eq!(laid_out(&[Column::Form], 0.0, 20.0).0.len(), 1, "one is always there");
    }
}
