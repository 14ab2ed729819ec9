//! The value table: what is recorded of every form, one row a form and one column a feature, to be filled quickly.
//!
//! Cells are a draft ([`draft`]): nothing of the key changes until they are saved, together and as one step. [`rows`] says what is shown, [`grid`] draws it, [`keys`] is the keyboard, [`fill`] sets
//! cells by digits, by typing, from the row above and from a spreadsheet.

mod draft;
mod fill;
mod grid;
mod keys;
mod rows;

use super::{KeyBookView, Page};
use crate::desk::board::glyph;
use crate::desk::board::vessel::Drawings;
use crate::desk::command::{Command, Notice};
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{self, Ability, button, chip, heading, icon_button_if, main_button, remark};
use crate::key::edit::cell;
use crate::key::{Feature, FeatureId, FeatureKind, Form, FormId, Record, Severity, capital, check_form};
use crate::{say, say_count};
use draft::Draft;
use egui::{Button, Frame, Margin, Role, TextEdit, Ui, WidgetInfo, vec2};
use rows::{Chosen, Laid, Show};
use std::sync::Arc;

/// Height of the strip below the table, in points.
const STRIP: f32 = 104.0;

/// What the value table shows.
#[derive(Debug, Default)]
pub(super) struct TableView {
    draft: Draft,
    chosen: Chosen,
    laid: Arc<Laid>,
    /// The cell the keys are about, by row and column as they are shown.
    at: (usize, usize),
    /// Where the chosen cells begin; the other end is `at`.
    from: (usize, usize),
    /// What is being typed into the cell.
    typing: Option<Typing>,
    /// What could not be done.
    wrong: Option<String>,
    drawn: Drawings,
    /// How far the table is scrolled.
    offset: egui::Vec2,
    /// The cell is to be brought into sight.
    sought: bool,
    /// The keys are to go to the table.
    wants_keys: bool,
}

/// A cell while it is typed in.
#[derive(Debug)]
struct Typing {
    text: String,
    /// Just begun: the field is to take the keys.
    is_new: bool,
}

impl TableView {
    /// True where cells are changed and not saved.
    pub(super) fn is_changed(&self) -> bool {
        self.draft.len() > 0
    }

    /// How many cells are changed and not saved.
    pub(super) fn changed(&self) -> usize {
        self.draft.len()
    }

    /// Counts every change of a cell.
    pub(super) fn revision(&self) -> u64 {
        self.draft.revision
    }

    /// The cells that are changed and not saved.
    pub(super) fn cells(&self) -> Vec<(FormId, FeatureId, Option<Record>)> {
        self.draft.cells()
    }

    /// Takes up cells that an earlier run left, as one step.
    pub(super) fn take_up(&mut self, doc: &Document, cells: Vec<(FormId, FeatureId, Option<Record>)>) {
        let name = say_count!(n = cells.len(), "take up {n} cell", "take up {n} cells");
        self.draft.set(&doc.key, name, cells);
    }

    /// The table is opened: its keys work at once.
    pub(super) fn open(&mut self) {
        self.wants_keys = true;
        self.sought = true;
    }

    /// Takes the last step back. False where there is none.
    pub(super) fn undo(&mut self) -> bool {
        self.typing = None;
        self.draft.undo()
    }

    /// Makes it again. False where there is none.
    pub(super) fn redo(&mut self) -> bool {
        self.typing = None;
        self.draft.redo()
    }

    /// The form and the feature of a shown cell.
    fn cell<'d>(&self, doc: &'d Document, (row, column): (usize, usize)) -> Option<(&'d Form, &'d Feature)> {
        let (row, column) = (self.laid.rows.get(row)?, self.laid.columns.get(column)?);
        Some((doc.key.forms.get(*row)?, doc.key.features.get(*column)?))
    }

    /// The chosen cells: first and last row, first and last column.
    fn chosen_cells(&self) -> ((usize, usize), (usize, usize)) {
        let sorted = |a: usize, b: usize| (a.min(b), a.max(b));
        (sorted(self.from.0, self.at.0), sorted(self.from.1, self.at.1))
    }

    /// Brings what is shown up to date, and the cell back into it.
    fn lay_out(&mut self, doc: &Document) {
        if !self.laid.is_of(doc, &self.draft, &self.chosen) {
            self.laid = Arc::new(Laid::new(doc, &self.draft, &self.chosen));
        }
        let last = (self.laid.rows.len().saturating_sub(1), self.laid.columns.len().saturating_sub(1));
        for place in [&mut self.at, &mut self.from] {
            *place = (place.0.min(last.0), place.1.min(last.1));
        }
    }

    /// Saves the changed cells, unless they cannot be so.
    pub(super) fn save(&mut self, doc: &Document, commands: &mut Vec<Command>) {
        let (new, forms) = self.draft.applied(&doc.key);
        if forms.is_empty() {
            return;
        }
        if let Some(why) = &doc.place.read_only {
            commands.push(Command::Say(Notice::problem(why.clone())));
            return;
        }
        let wrong = |form: &Form| check_form(&new, form).into_iter().find(|problem| problem.severity == Severity::Error);
        let first = forms.iter().filter_map(|id| new.form(id)).find_map(|form| Some((form, wrong(form)?)));
        if let Some((form, problem)) = first {
            commands.push(Command::Say(Notice::problem(say!(
                "not saved yet: {form}: {sentence}",
                form = new.full_name(form),
                sentence = problem.sentence()
            ))));
            return;
        }
        let step = say!(
            "{cells} of {forms} in the value table",
            cells = say_count!(n = self.draft.len(), "{n} cell", "{n} cells"),
            forms = say_count!(n = forms.len(), "{n} form", "{n} forms")
        );
        commands.push(Command::ChangeKey(step, Box::new(new)));
        self.draft.clear();
    }
}

/// Draws the value table.
pub(super) fn table_ui(ui: &mut Ui, doc: &Document, view: &mut KeyBookView, commands: &mut Vec<Command>) {
    let mut back = false;
    let table = &mut view.table;
    Frame::new().inner_margin(Margin::same(theme::GAP as i8)).show(ui, |ui| {
        head_ui(ui, doc, table, &mut back, commands);
        table.lay_out(doc);
        if table.laid.columns.is_empty() {
            remark(
                ui,
                say!("No feature of this key belongs to that part. Features that are chosen or measured are the columns of this table."),
            );
            return;
        }
        if table.laid.rows.is_empty() {
            remark(ui, nothing(table));
            return;
        }
        let height = (ui.available_height() - STRIP).max(160.0);
        grid::grid_ui(ui, doc, table, height);
        strip_ui(ui, doc, table);
    });
    if back {
        view.page = Page::Shelves;
    }
}

fn nothing(table: &TableView) -> &'static str {
    match table.chosen.show {
        Show::All => say!("No form is called anything like that."),
        Show::NotRecorded => say!("Everything that these forms can have is recorded."),
        Show::Differs => say!("No form differs from most of its line."),
        Show::Changed => say!("No cell is changed."),
    }
}

fn head_ui(ui: &mut Ui, doc: &Document, table: &mut TableView, back: &mut bool, commands: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        *back = button(ui, Icon::Left, say!("All forms")).clicked();
        heading(ui, say!("Value table"));
        let named = |what: &str, name: Option<&str>| name.map_or_else(|| what.to_owned(), |name| format!("{what}: {name}"));
        let undo = named(say!("Undo in the table"), table.draft.undo_name());
        if icon_button_if(ui, Icon::Undo, &undo, Ability::from(table.draft.undo_name().is_some())).clicked() {
            table.undo();
        }
        let redo = named(say!("Redo in the table"), table.draft.redo_name());
        if icon_button_if(ui, Icon::Redo, &redo, Ability::from(table.draft.redo_name().is_some())).clicked() {
            table.redo();
        }
        let changed = table.draft.len();
        if changed == 0 {
            remark(ui, say!("Saved as it stands"));
        } else if main_button(ui, Icon::Tick, &say_count!(n = changed, "Save {n} changed cell", "Save {n} changed cells")).clicked() {
            table.save(doc, commands);
        }
        for show in Show::ALL {
            let response = chip(ui, show.words(), table.chosen.show == show);
            // After the mouse the keys go to the cells again; whoever goes from chip to chip by keyboard stays there.
            table.wants_keys |= response.clicked_by(egui::PointerButton::Primary);
            if response.clicked() {
                table.chosen.show = show;
            }
        }
    });
    ui.horizontal_wrapped(|ui| {
        let label = remark(ui, say!("Find"));
        let edit = TextEdit::singleline(&mut table.chosen.typed).hint_text(say!("a name or a line")).desired_width(150.0);
        ui.add(edit.min_size(vec2(0.0, TARGET)).margin(Margin::symmetric(8, 7))).labelled_by(label.id);
        for line in &doc.key.lines {
            let on = table.chosen.line.as_ref() == Some(&line.id);
            let response = chip(ui, &line.name, on);
            table.wants_keys |= response.clicked_by(egui::PointerButton::Primary);
            if response.clicked() {
                table.chosen.line = (!on).then(|| line.id.clone());
            }
        }
        ui.separator();
        for part in doc.parts_of_forms() {
            let on = table.chosen.part == Some(*part);
            let response = chip(ui, &capital(part.word()), on).on_hover_text(say!("Features of this part only"));
            table.wants_keys |= response.clicked_by(egui::PointerButton::Primary);
            if response.clicked() {
                table.chosen.part = (!on).then_some(*part);
            }
        }
    });
}

/// Below the table: the cell in words, its values with their digits, and what can be done.
fn strip_ui(ui: &mut Ui, doc: &Document, table: &mut TableView) {
    let c = theme::colours(ui);
    let Some((form, feature)) = table.cell(doc, table.at) else { return };
    ui.add_space(6.0);
    let ((top, bottom), (left, right)) = table.chosen_cells();
    let chosen = (bottom - top + 1) * (right - left + 1);
    ui.horizontal_wrapped(|ui| {
        let record = table.draft.record(form, &feature.id);
        let says = if rows::applies(form, feature) {
            let text = cell::text(&doc.key, feature, record);
            if text.is_empty() { say!("not recorded").to_owned() } else { text }
        } else {
            say!("it has no such part").to_owned()
        };
        widgets::strong(ui, format!("{}, {}", capital(&doc.key.full_name(form)), feature.shown_name()));
        ui.label(says);
        if let Some(wrong) = &table.wrong {
            ui.colored_label(c.alarm, capital(wrong));
        } else if chosen > 1 {
            remark(ui, say!("{chosen} cells chosen: Alt+Down fills down, Ctrl+C copies, Ctrl+V pastes, Delete clears", chosen));
        } else {
            remark(ui, say!("Type, or press a digit; Tab goes right, Enter down; Shift and arrows choose several"));
        }
    });
    let mut taken = None;
    ui.horizontal_wrapped(|ui| {
        match &feature.kind {
            FeatureKind::Choice(_) => {
                let values = doc.key.values_of(feature);
                for (number, (id, words)) in values.iter().enumerate() {
                    let on = matches!(table.draft.record(form, &feature.id), Some(Record::Always(value)) if value == id);
                    let digit = if number < 9 { (number + 1).to_string() } else { String::new() };
                    let figure = egui::Atom::paint(vec2(24.0, 24.0), |ui, args| {
                        glyph::value_glyph(ui.painter(), args.rect, &doc.key, feature, id, c);
                    });
                    let response = ui.add(Button::selectable(on, (digit.as_str(), figure, words.as_str())).min_size(vec2(0.0, TARGET)));
                    response.widget_info(|| WidgetInfo::selected(Role::Button, true, on, say!("Set to {words}", words)));
                    if response.clicked() {
                        taken = Some(id.clone());
                    }
                }
            }
            FeatureKind::Measure(measure) => {
                let unit = measure.unit.sign();
                let words = if unit.is_empty() {
                    say!("Write a number, or two with 'to' between").to_owned()
                } else {
                    say!("In {unit}: 92, 92 to 95.5; other units are converted (9 1/4 in)", unit)
                };
                remark(ui, words);
            }
            FeatureKind::Glaze | FeatureKind::Decoration | FeatureKind::Mark => {}
        }
        remark(ui, say!("– does not apply"));
    });
    if let Some(value) = taken {
        fill::set_chosen(table, doc, &Some(Record::Always(value)));
        table.wants_keys = true;
    }
}
