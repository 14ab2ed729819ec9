//! The cells themselves: names at the left and features at the top stay in sight, and only what is in sight is laid out.

use super::{TableView, fill, keys, rows};
use crate::desk::board::vessel::Drawings;
use crate::desk::board::{Placing, glyph};
use crate::desk::document::Document;
use crate::desk::theme::{self, Colours, TARGET};
use crate::desk::widgets;
use crate::key::edit::cell;
use crate::key::{Feature, FeatureKind, Form, Record, capital};
use crate::{say, say_count};
use egui::text::LayoutJob;
use egui::{
    Align2, CornerRadius, EventFilter, FontId, Painter, Pos2, Rect, Response, Role, ScrollArea, Sense, Stroke, StrokeKind, TextEdit, Ui,
    WidgetInfo, pos2, vec2,
};

const NAME: f32 = 236.0;
const COLUMN: f32 = 138.0;
const ROW: f32 = TARGET;
const HEAD: f32 = 52.0;

/// Draws the cells and reads what is done to them.
pub(super) fn grid_ui(ui: &mut Ui, doc: &Document, table: &mut TableView, height: f32) {
    let (rows, columns) = (table.laid.rows.len(), table.laid.columns.len());
    let whole = vec2(NAME + columns as f32 * COLUMN, HEAD + rows as f32 * ROW);
    let mut area = ScrollArea::both().id_salt("value table").max_height(height).min_scrolled_height(height).auto_shrink(false);
    if std::mem::take(&mut table.sought) {
        area = brought_into_sight(ui, area, table, height);
    }
    let out = area.show_viewport(ui, |ui, seen| {
        ui.set_min_size(whole);
        let origin = ui.min_rect().min;
        let clip = ui.clip_rect();
        let inner = Rect::from_min_max(pos2(clip.left() + NAME, clip.top() + HEAD), clip.max);
        let response = ui.interact(inner, widgets::id("value table cells"), Sense::click_and_drag());
        response.widget_info(|| WidgetInfo::labeled(Role::Pane, true, say!("Cells of the value table")));
        focus(ui, table, &response);
        if response.has_focus() {
            keys::table_keys(ui, doc, table);
        }
        pointed(ui, doc, table, &response, origin);
        let first_row = ((seen.min.y / ROW) as usize).min(rows);
        let last_row = (((seen.max.y - HEAD) / ROW).ceil().max(0.0) as usize).min(rows);
        let first_column = ((seen.min.x / COLUMN) as usize).min(columns);
        let last_column = (((seen.max.x - NAME) / COLUMN).ceil().max(0.0) as usize).min(columns);
        let c = theme::colours(ui);
        let painter = ui.painter().with_clip_rect(inner);
        let mut drawings = std::mem::take(&mut table.drawn);
        for row in first_row..last_row {
            for column in first_column..last_column {
                let rect = cell_rect(origin, row, column);
                cell_ui(ui, &painter, doc, table, (row, column), rect, inner, c);
            }
        }
        chosen_ui(&painter, table, origin, response.has_focus() || table.typing.is_some(), c);
        names_ui(ui, doc, table, origin, clip, first_row..last_row, &mut drawings, c);
        heads_ui(ui, doc, table, origin, clip, first_column..last_column, c);
        table.drawn = drawings;
        typing_ui(ui, doc, table, origin, inner);
    });
    table.offset = out.state.clamped_offset();
}

/// Scrolls as little as brings the cell into sight.
fn brought_into_sight(ui: &Ui, area: ScrollArea, table: &TableView, height: f32) -> ScrollArea {
    let room = vec2(ui.available_width() - NAME - 16.0, height - HEAD - 16.0);
    let place = vec2(table.at.1 as f32 * COLUMN, table.at.0 as f32 * ROW);
    let near = |offset: f32, at: f32, size: f32, room: f32| offset.min(at).max(at + size - room.max(size)).max(0.0);
    area.scroll_offset(vec2(near(table.offset.x, place.x, COLUMN, room.x), near(table.offset.y, place.y, ROW, room.y)))
}

fn cell_rect(origin: Pos2, row: usize, column: usize) -> Rect {
    Rect::from_min_size(origin + vec2(NAME + column as f32 * COLUMN, HEAD + row as f32 * ROW), vec2(COLUMN, ROW))
}

/// The cells take the keys when they are opened or clicked, and keep Tab and the arrows.
fn focus(ui: &Ui, table: &mut TableView, response: &Response) {
    if std::mem::take(&mut table.wants_keys) && table.typing.is_none() {
        response.request_focus();
    }
    if response.has_focus() {
        let filter = EventFilter { tab: true, horizontal_arrows: true, vertical_arrows: true, escape: false };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
    }
}

/// A click chooses a cell, a drag several; a double click begins to type.
fn pointed(ui: &Ui, doc: &Document, table: &mut TableView, response: &Response, origin: Pos2) {
    let Some(pointer) = response.interact_pointer_pos() else { return };
    let at = pointer - origin - vec2(NAME, HEAD);
    let last = (table.laid.rows.len().saturating_sub(1), table.laid.columns.len().saturating_sub(1));
    let place = (((at.y / ROW).max(0.0) as usize).min(last.0), ((at.x / COLUMN).max(0.0) as usize).min(last.1));
    let began = response.drag_started() || response.clicked();
    if began || response.dragged() {
        if began && table.typing.is_some() {
            fill::typed(table, doc);
            table.typing = None;
        }
        table.at = place;
        if began && !ui.input(|input| input.modifiers.shift) {
            table.from = place;
        }
        table.wrong = None;
        response.request_focus();
    }
    if response.double_clicked() {
        table.begin_typing(doc, String::new());
    }
}

#[expect(clippy::too_many_arguments, reason = "one cell: what, where, and how it looks")]
fn cell_ui(ui: &Ui, painter: &Painter, doc: &Document, table: &TableView, place: (usize, usize), rect: Rect, inner: Rect, c: &Colours) {
    let Some((form, feature)) = table.cell(doc, place) else { return };
    let seen = rect.intersect(inner);
    if !seen.is_positive() {
        return;
    }
    let applies = rows::applies(form, feature);
    let record = table.draft.record(form, &feature.id).filter(|_| applies);
    let text = if applies { cell::text(&doc.key, feature, record) } else { String::new() };
    let response = ui.interact(seen, widgets::id(("cell", form.id.as_str(), feature.id.as_str())), Sense::hover());
    response.widget_info(|| {
        let says = if !applies {
            say!("has no such part")
        } else if text.is_empty() {
            say!("not recorded")
        } else {
            &text
        };
        WidgetInfo::labeled(Role::Cell, applies, format!("{}, {}: {says}", doc.key.full_name(form), feature.shown_name()))
    });
    let marked =
        table.laid.rows.get(place.0).zip(table.laid.columns.get(place.1)).is_some_and(|(r, k)| table.laid.marked.contains(&(*r, *k)));
    let fill = if !applies {
        c.table
    } else if marked {
        c.glow_wash
    } else {
        c.paper
    };
    painter.rect(rect, CornerRadius::ZERO, fill, Stroke::new(1.0, c.edge), StrokeKind::Middle);
    if !applies {
        painter.line_segment([rect.left_bottom() + vec2(6.0, -6.0), rect.right_top() + vec2(-6.0, 6.0)], Stroke::new(1.0, c.edge));
        return;
    }
    let mut left = rect.left() + 6.0;
    if let (FeatureKind::Choice(_), Some(value)) = (&feature.kind, first_value(record)) {
        let figure = Rect::from_min_size(pos2(left, rect.top() + 5.0), vec2(ROW - 10.0, ROW - 10.0));
        glyph::value_glyph(painter, figure, &doc.key, feature, value, c);
        left += ROW - 4.0;
    }
    let (words, ink) = if text.is_empty() { ("?", c.ink_faint) } else { (text.as_str(), c.ink) };
    one_line(painter, pos2(left, rect.center().y), rect.right() - 4.0 - left, words, 14.0, ink);
    if table.draft.is_changed(&form.id, &feature.id) {
        let corner = rect.right_top();
        let mark = vec![corner, corner + vec2(-10.0, 0.0), corner + vec2(0.0, 10.0)];
        painter.add(egui::Shape::convex_polygon(mark, c.glow, Stroke::NONE));
    }
}

fn first_value(record: Option<&Record>) -> Option<&crate::key::ValueId> {
    match record? {
        Record::Always(value) => Some(value),
        Record::Values(values) => values.keys().next(),
        Record::Between(..) | Record::NotRecorded | Record::DoesNotApply => None,
    }
}

/// A text in one line, cut with an ellipsis where it is too long.
fn one_line(painter: &Painter, left_middle: Pos2, width: f32, words: &str, size: f32, ink: egui::Color32) {
    let mut job = LayoutJob::simple_singleline(words.to_owned(), FontId::proportional(size), ink);
    job.wrap = egui::text::TextWrapping::truncate_at_width(width.max(4.0));
    let galley = painter.layout_job(job);
    painter.galley(pos2(left_middle.x, left_middle.y - galley.size().y / 2.0), galley, ink);
}

/// The frame round what is chosen.
fn chosen_ui(painter: &Painter, table: &TableView, origin: Pos2, has_keys: bool, c: &Colours) {
    let ((top, bottom), (left, right)) = table.chosen_cells();
    let rect = cell_rect(origin, top, left).union(cell_rect(origin, bottom, right));
    if table.at != table.from {
        painter.rect_stroke(rect, CornerRadius::same(2), Stroke::new(2.0, c.moss), StrokeKind::Inside);
    }
    let ink = if has_keys { c.glow } else { c.edge };
    painter.rect_stroke(cell_rect(origin, table.at.0, table.at.1), CornerRadius::same(2), Stroke::new(2.5, ink), StrokeKind::Inside);
}

#[expect(clippy::too_many_arguments, reason = "the names of the rows: what, where, and how they look")]
fn names_ui(
    ui: &Ui,
    doc: &Document,
    table: &TableView,
    origin: Pos2,
    clip: Rect,
    shown: std::ops::Range<usize>,
    drawings: &mut Drawings,
    c: &Colours,
) {
    let column = Rect::from_min_max(pos2(clip.left(), clip.top() + HEAD), pos2(clip.left() + NAME, clip.bottom()));
    let painter = ui.painter().with_clip_rect(column);
    painter.rect_filled(column, CornerRadius::ZERO, c.paper_warm);
    for row in shown {
        let Some(form) = table.laid.rows.get(row).and_then(|at| doc.key.forms.get(*at)) else { continue };
        let rect = Rect::from_min_size(pos2(clip.left(), origin.y + HEAD + row as f32 * ROW), vec2(NAME, ROW));
        name_ui(&painter, doc, table, form, rect, row == table.at.0, drawings, c);
    }
    painter.vline(column.right(), column.y_range(), Stroke::new(1.5, c.edge));
}

#[expect(clippy::too_many_arguments, reason = "one name: what, where, and how it looks")]
fn name_ui(
    painter: &Painter,
    doc: &Document,
    table: &TableView,
    form: &Form,
    rect: Rect,
    here: bool,
    drawings: &mut Drawings,
    c: &Colours,
) {
    let fill = if here { c.glow_wash } else { c.paper_warm };
    painter.rect(rect, CornerRadius::ZERO, fill, Stroke::new(1.0, c.edge), StrokeKind::Middle);
    let drawn = drawings.of(form);
    let (wide, tall) = (drawn.bounds.width().max(1.0) as f32, drawn.bounds.height().max(1.0) as f32);
    let scale = (34.0 / wide).min((ROW - 8.0) / tall);
    let placing = Placing { origin: pos2(rect.left() + 22.0 - drawn.bounds.center().x as f32 * scale, rect.bottom() - 4.0), scale };
    drawn.paint(painter, placing, c.moss, c.table);
    let line = doc.key.line(&form.line).map_or("", |line| line.name.as_str());
    let changed = if table.draft.has(&form.id) { c.glow } else { c.ink };
    let name = if table.chosen.line.is_some() { form.name.clone() } else { format!("{}, {line}", form.name) };
    one_line(painter, pos2(rect.left() + 46.0, rect.center().y), NAME - 52.0, &name, 14.0, if here { c.ink } else { changed });
}

fn heads_ui(ui: &Ui, doc: &Document, table: &TableView, origin: Pos2, clip: Rect, shown: std::ops::Range<usize>, c: &Colours) {
    let row = Rect::from_min_max(pos2(clip.left() + NAME, clip.top()), pos2(clip.right(), clip.top() + HEAD));
    let painter = ui.painter().with_clip_rect(row);
    painter.rect_filled(row, CornerRadius::ZERO, c.paper_warm);
    for column in shown {
        let Some(feature) = table.laid.columns.get(column).and_then(|at| doc.key.features.get(*at)) else { continue };
        let rect = Rect::from_min_size(pos2(origin.x + NAME + column as f32 * COLUMN, clip.top()), vec2(COLUMN, HEAD));
        head_ui(&painter, feature, rect, column == table.at.1, c);
    }
    painter.hline(row.x_range(), row.bottom(), Stroke::new(1.5, c.edge));
    let corner = Rect::from_min_size(clip.min, vec2(NAME, HEAD));
    ui.painter().rect(corner, CornerRadius::ZERO, c.paper_warm, Stroke::new(1.0, c.edge), StrokeKind::Middle);
    let words = say_count!(n = table.laid.rows.len(), "{n} form", "{n} forms");
    ui.painter().text(corner.left_center() + vec2(10.0, 0.0), Align2::LEFT_CENTER, words, FontId::proportional(14.0), c.ink_soft);
}

fn head_ui(painter: &Painter, feature: &Feature, rect: Rect, here: bool, c: &Colours) {
    painter.rect(rect, CornerRadius::ZERO, if here { c.glow_wash } else { c.paper_warm }, Stroke::new(1.0, c.edge), StrokeKind::Middle);
    let unit = match &feature.kind {
        FeatureKind::Measure(measure) if !measure.unit.sign().is_empty() => format!(", {}", measure.unit.sign()),
        _ => String::new(),
    };
    let mut job =
        LayoutJob::simple(format!("{}{unit}", capital(&feature.shown_name())), FontId::new(14.0, theme::bold()), c.ink, COLUMN - 12.0);
    job.wrap.max_rows = 2;
    let galley = painter.layout_job(job);
    painter.galley(pos2(rect.left() + 6.0, rect.center().y - galley.size().y / 2.0), galley, c.ink);
}

/// The field over the cell that is being typed in.
fn typing_ui(ui: &mut Ui, doc: &Document, table: &mut TableView, origin: Pos2, inner: Rect) {
    let (at, chosen) = (table.at, table.cell(doc, table.at).map(|(form, feature)| format!("{}, {}", form.name, feature.shown_name())));
    let Some(typing) = &mut table.typing else { return };
    let rect = cell_rect(origin, at.0, at.1).intersect(inner.expand(2.0));
    let is_new = std::mem::take(&mut typing.is_new);
    let field = TextEdit::singleline(&mut typing.text)
        .id(widgets::id("typed into the value table"))
        .margin(vec2(6.0, 7.0))
        .desired_width(rect.width());
    let response = ui.put(rect, field);
    response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, say!("Type: {what}", what = chosen.as_deref().unwrap_or_default())));
    if is_new {
        response.request_focus();
        let end = egui::text::CCursor::new(typing.text.chars().count());
        if let Some(mut state) = TextEdit::load_state(ui, response.id) {
            state.cursor.set_char_range(Some(egui::text::CCursorRange::one(end)));
            state.store(ui, response.id);
        }
    }
    if !response.lost_focus() {
        return;
    }
    let (enter, tab, back, escape) = ui.input(|input| {
        (
            input.key_pressed(egui::Key::Enter),
            input.key_pressed(egui::Key::Tab),
            input.modifiers.shift,
            input.key_pressed(egui::Key::Escape),
        )
    });
    if escape {
        table.stop_typing();
    } else if fill::typed(table, doc) {
        table.wants_keys = true;
        if tab {
            keys::go_aside(table, if back { -1 } else { 1 });
        } else if enter {
            keys::go_down(table);
        }
    } else if let Some(typing) = &mut table.typing {
        // What can't be read stays to be mended.
        typing.is_new = true;
    }
}
