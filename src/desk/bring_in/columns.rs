//! The columns of a list: what each is taken for, and its first rows. Only what stands in sight is laid out: there may be thousands.

use super::List;
use crate::desk::document::Document;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets;
use crate::key::tables::quantity::ListUnit;
use crate::key::tables::{Role, column_letters};
use crate::say;
use egui::{ComboBox, FontId, Label, Margin, Rect, RichText, ScrollArea, Stroke, StrokeKind, TextEdit, Ui, WidgetInfo, pos2, vec2};
use std::collections::HashMap;

/// Width of a column, in points.
const WIDTH: f32 = 172.0;
/// Height of what is said of a column above its cells.
const HEAD: f32 = 182.0;
/// Height of a cell.
const CELL: f32 = 24.0;
/// Rows that are shown.
pub(super) const ROWS: usize = 20;
/// Signs that part several values in a cell.
const SIGNS: [char; 4] = ['|', ';', ',', '/'];

/// Draws the columns, no higher than that.
pub(super) fn columns_ui(ui: &mut Ui, doc: &Document, list: &mut List, height: f32) {
    let columns = list.table.headers.len();
    let rows = list.table.len().min(ROWS);
    let full = vec2(columns as f32 * WIDTH, HEAD + rows as f32 * CELL + 8.0);
    let outcome = list.outcome(doc).and_then(|outcome| outcome.as_ref().ok()).cloned();
    let unread = outcome.as_ref().map(|outcome| &outcome.unread);
    ScrollArea::both().id_salt("columns").max_height(height).auto_shrink(false).show_viewport(ui, |ui, seen| {
        ui.set_min_size(full);
        let origin = ui.min_rect().min;
        let first = (seen.min.x / WIDTH).floor().max(0.0) as usize;
        let last = ((seen.max.x / WIDTH).ceil().max(0.0) as usize).min(columns);
        for column in first..last {
            let left = origin.x + column as f32 * WIDTH;
            let rect = Rect::from_min_size(pos2(left, origin.y), vec2(WIDTH - 10.0, full.y));
            widgets::in_rect(ui, &format!("column {column}"), rect.with_max_y(origin.y + HEAD), |ui| role_ui(ui, list, column));
            cells_ui(ui, list, column, rect.with_min_y(origin.y + HEAD), unread);
        }
    });
}

fn cells_ui(ui: &mut Ui, list: &List, column: usize, rect: Rect, unread: Option<&HashMap<(u32, u32), String>>) {
    let c = theme::colours(ui);
    for row in 0..list.table.len().min(ROWS) {
        let cell = Rect::from_min_size(pos2(rect.left(), rect.top() + row as f32 * CELL), vec2(rect.width(), CELL - 2.0));
        let at = list.table.at(row, column);
        let why = unread.and_then(|unread| unread.get(&(at.row, at.column)));
        ui.painter().rect(
            cell,
            3.0,
            if why.is_some() { c.alarm_wash } else { c.paper_warm },
            Stroke::new(if why.is_some() { 1.0 } else { 0.0 }, c.alarm),
            StrokeKind::Inside,
        );
        let text = list.table.cell(row, column);
        // A cell may hold a megabyte.
        let text: String = text.chars().take(80).map(|sign| if sign.is_control() { ' ' } else { sign }).collect();
        widgets::in_rect(ui, &format!("cell {row} {column}"), cell.shrink2(vec2(6.0, 0.0)), |ui| {
            ui.set_clip_rect(ui.clip_rect().intersect(cell));
            let ink = if why.is_some() { c.alarm } else { c.ink };
            let response = ui.add(Label::new(RichText::new(text).font(FontId::proportional(14.0)).color(ink)).truncate());
            if let Some(why) = why {
                response.on_hover_text(why);
            }
        });
    }
}

/// The name of a column and what it is taken for, to be changed in place.
fn role_ui(ui: &mut Ui, list: &mut List, column: usize) {
    let c = theme::colours(ui);
    ui.spacing_mut().item_spacing.y = 4.0;
    let Some(header) = list.table.headers.get(column).cloned() else { return };
    let old = list.mapping.columns.get(&header).cloned().unwrap_or(Role::Ignore);
    let mut role = old.clone();
    let letters = column_letters(u32::try_from(column + 1).unwrap_or(1));
    ui.add(Label::new(RichText::new(format!("{letters}  {header}")).family(theme::bold())).truncate()).on_hover_text(&header);
    let width = WIDTH - 14.0;
    let chosen = ComboBox::from_id_salt(("role", column)).width(width).height(460.0).selected_text(role.words()).show_ui(ui, |ui| {
        for choice in choices(&header, &old, list.guesses.iter().find(|guess| guess.header == header).map(|guess| &guess.role)) {
            if ui.selectable_label(choice.words() == old.words(), choice.words()).clicked() {
                role = choice;
            }
        }
    });
    chosen
        .response
        .widget_info(|| WidgetInfo::labeled(egui::Role::ComboBox, true, say!("{header} is taken for: {old}", header, old = old.words())));
    if let Role::Category { feature, .. } | Role::Colour { feature, .. } | Role::Measure { feature, .. } = &mut role {
        let field = TextEdit::singleline(feature).desired_width(width).margin(Margin::symmetric(8, 7)).min_size(vec2(0.0, TARGET));
        let response = ui.add(field);
        response.widget_info(|| WidgetInfo::labeled(egui::Role::TextInput, true, say!("Feature of {header}", header)));
    }
    match &mut role {
        Role::Measure { unit, .. } => {
            let chosen =
                ComboBox::from_id_salt(("unit", column)).width(width).height(460.0).selected_text(unit.words()).show_ui(ui, |ui| {
                    for one in ListUnit::ALL {
                        ui.selectable_value(unit, one, one.words());
                    }
                });
            let words = unit.words();
            chosen
                .response
                .widget_info(|| WidgetInfo::labeled(egui::Role::ComboBox, true, say!("Unit of {header}: {words}", header, words)));
        }
        Role::Category { split, .. } | Role::Colour { split, .. } => {
            let words = |split: Option<char>| {
                split.map_or_else(|| say!("one value a cell").to_owned(), |sign| say!("several, parted by {sign}", sign))
            };
            let chosen = ComboBox::from_id_salt(("split", column)).width(width).selected_text(words(*split)).show_ui(ui, |ui| {
                for one in std::iter::once(None).chain(SIGNS.map(Some)) {
                    ui.selectable_value(split, one, words(one));
                }
            });
            let says = words(*split);
            chosen
                .response
                .widget_info(|| WidgetInfo::labeled(egui::Role::ComboBox, true, say!("Values of {header}: {says}", header, says)));
        }
        _ => {}
    }
    let guess = list.guesses.iter().find(|guess| guess.header == header);
    let why = match guess {
        _ if list.remembered.as_ref().is_some_and(|mapping| mapping.columns.get(&header) == Some(&role)) => {
            say!("as in the last list with these columns").to_owned()
        }
        Some(guess) if guess.role == role => guess.reason.clone(),
        Some(_) => say!("as you say").to_owned(),
        None => String::new(),
    };
    ui.add(Label::new(RichText::new(&why).font(FontId::proportional(13.0)).color(c.ink_soft)).truncate()).on_hover_text(why);
    if role != old {
        // One column alone holds the names.
        if role == Role::Name {
            for other in list.mapping.columns.values_mut().filter(|other| **other == Role::Name) {
                *other = Role::Ignore;
            }
        }
        list.mapping.columns.insert(header, role);
    }
}

/// What a column can be taken for. What has a feature keeps its name from one to the other, and what it is or was guessed to be keeps its unit and
/// its sign.
fn choices(header: &str, old: &Role, guess: Option<&Role>) -> Vec<Role> {
    let feature = match old {
        Role::Category { feature, .. } | Role::Colour { feature, .. } | Role::Measure { feature, .. } => feature.clone(),
        _ => header.to_owned(),
    };
    let same = |a: &Role, b: &Role| std::mem::discriminant(a) == std::mem::discriminant(b);
    let known = |choice: Role| [Some(old), guess].into_iter().flatten().find(|known| same(known, &choice)).cloned().unwrap_or(choice);
    [
        Role::Name,
        Role::Line,
        Role::Category { feature: feature.clone(), split: None },
        Role::Measure { feature: feature.clone(), unit: ListUnit::Mm },
        Role::Colour { feature, split: None },
        Role::Years,
        Role::From,
        Role::To,
        Role::Note,
        Role::Identifier,
        Role::Ignore,
    ]
    .map(known)
    .into()
}
