//! The value table by keyboard alone.

use super::{TableView, Typing, fill};
use crate::desk::document::Document;
use crate::say;
use egui::{Event, Key, Modifiers, Ui};

/// Rows that Page Up and Page Down go.
const PAGE: usize = 12;

/// Reads this frame's keys, which are the table's while it has the focus.
pub(super) fn table_keys(ui: &Ui, doc: &Document, table: &mut TableView) {
    if table.typing.is_some() || ui.memory(|memory| memory.top_modal_layer().is_some()) {
        return;
    }
    let mut asked = Vec::new();
    ui.input_mut(|input| {
        input.events.retain(|event| {
            let taken = what(event);
            let other = taken.is_none();
            asked.extend(taken);
            other
        });
    });
    for what in asked {
        carry_out(ui, doc, table, what);
    }
}

/// What a key asks of the table.
enum Asked {
    Go(Way, Extends),
    Type(String),
    Clear,
    FillDown,
    Copy,
    Cut,
    Paste(String),
}

#[derive(Clone, Copy, PartialEq)]
enum Extends {
    Yes,
    No,
}

#[derive(Clone, Copy)]
enum Way {
    By(isize, isize),
    RowStart,
    RowEnd,
    Top,
    Bottom,
}

fn what(event: &Event) -> Option<Asked> {
    match event {
        Event::Key { key, pressed: true, modifiers, .. } => key_asks(*key, *modifiers),
        Event::Text(text) if !text.trim().is_empty() => Some(Asked::Type(text.clone())),
        Event::Copy => Some(Asked::Copy),
        Event::Cut => Some(Asked::Cut),
        Event::Paste(text) => Some(Asked::Paste(text.clone())),
        _ => None,
    }
}

fn key_asks(key: Key, modifiers: Modifiers) -> Option<Asked> {
    let extends = if modifiers.shift { Extends::Yes } else { Extends::No };
    if modifiers.alt {
        return (key == Key::ArrowDown).then_some(Asked::FillDown);
    }
    let page = PAGE.cast_signed();
    let way = match (key, modifiers.command) {
        (Key::Home, true) => Way::Top,
        (Key::End, true) => Way::Bottom,
        (_, true) => return None,
        (Key::ArrowUp, _) => Way::By(-1, 0),
        (Key::ArrowDown, _) => Way::By(1, 0),
        (Key::ArrowLeft, _) => Way::By(0, -1),
        (Key::ArrowRight, _) => Way::By(0, 1),
        (Key::PageUp, _) => Way::By(-page, 0),
        (Key::PageDown, _) => Way::By(page, 0),
        (Key::Home, _) => Way::RowStart,
        (Key::End, _) => Way::RowEnd,
        (Key::Tab, _) => return Some(Asked::Go(Way::By(0, if modifiers.shift { -1 } else { 1 }), Extends::No)),
        (Key::Delete, _) => return Some(Asked::Clear),
        (Key::Enter, _) => return Some(Asked::Type(String::new())),
        _ => return None,
    };
    Some(Asked::Go(way, extends))
}

/// Goes from cell to cell.
fn go(table: &mut TableView, way: Way, extends: Extends) {
    let (rows, columns) = (table.laid.rows.len(), table.laid.columns.len());
    let moved = |at: usize, by: isize, of: usize| at.saturating_add_signed(by).min(of.saturating_sub(1));
    let (row, column) = table.at;
    table.at = match way {
        Way::By(down, right) => (moved(row, down, rows), moved(column, right, columns)),
        Way::RowStart => (row, 0),
        Way::RowEnd => (row, columns.saturating_sub(1)),
        Way::Top => (0, 0),
        Way::Bottom => (rows.saturating_sub(1), columns.saturating_sub(1)),
    };
    if extends == Extends::No {
        table.from = table.at;
    }
    table.sought = true;
    table.wrong = None;
}

/// One row down, after a cell was set.
pub(super) fn go_down(table: &mut TableView) {
    go(table, Way::By(1, 0), Extends::No);
}

/// One column to the right or the left, after a cell was set.
pub(super) fn go_aside(table: &mut TableView, by: isize) {
    go(table, Way::By(0, by), Extends::No);
}

fn carry_out(ui: &Ui, doc: &Document, table: &mut TableView, asked: Asked) {
    match asked {
        Asked::Go(way, extends) => go(table, way, extends),
        Asked::Type(text) => {
            if let Some(number) = text.parse::<usize>().ok().filter(|number| *number > 0)
                && fill::digit(table, doc, number)
            {
                let single = table.at == table.from;
                if single && table.wrong.is_none() {
                    go_down(table);
                }
                return;
            }
            table.begin_typing(doc, text);
        }
        Asked::Clear => fill::clear(table, doc),
        Asked::FillDown => fill::down(table, doc),
        Asked::Copy => ui.copy_text(fill::copied(table, doc)),
        Asked::Cut => {
            ui.copy_text(fill::copied(table, doc));
            fill::clear(table, doc);
        }
        Asked::Paste(text) => fill::paste(table, doc, &text),
    }
}

impl TableView {
    /// Begins to type into the cell: what it says to be changed, or, with a first letter, anew.
    pub(super) fn begin_typing(&mut self, doc: &Document, text: String) {
        let Some((form, feature)) = self.cell(doc, self.at) else { return };
        if !super::rows::applies(form, feature) {
            self.wrong = Some(say!("this form has no {part}", part = feature.part.word()));
            return;
        }
        let text =
            if text.is_empty() { crate::key::edit::cell::text(&doc.key, feature, self.draft.record(form, &feature.id)) } else { text };
        self.wrong = None;
        self.typing = Some(Typing { text, is_new: true });
    }

    /// Clears the chosen cells, for the key that takes an answer back elsewhere.
    pub(in crate::desk::key_book) fn clear_chosen(&mut self, doc: &Document) {
        fill::clear(self, doc);
    }

    /// Leaves what is being typed. False where nothing is.
    pub(in crate::desk::key_book) fn stop_typing(&mut self) -> bool {
        self.wrong = None;
        self.wants_keys = true;
        self.typing.take().is_some()
    }
}
