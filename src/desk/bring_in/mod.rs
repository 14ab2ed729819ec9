//! Bringing a list into the key: a table from a spreadsheet or a database, with what each column is taken for, its first rows, and what
//! would be added. Nothing of the key changes until it is brought in.
//!
//! `columns` shows the columns and lets one say what they are, `outcome` what would happen, `work` reads and plans off the frame.

mod columns;
mod outcome;
mod remembered;
mod work;

pub use work::Done;

use super::app::Footring;
use super::command::{Change, Command, Notice, Screen, Step};
use super::document::Document;
use super::icons::Icon;
use super::key_book::Page;
use super::theme::{self, GAP, TARGET};
use super::widgets::{self, button, chip, main_button, paper, remark};
use crate::key::Key;
use crate::key::tables::{CellAt, Changes, Guess, HeaderRow, Mapping, Options, Table, new_key};
use crate::{say, say_count};
use egui::{Context, Frame, Margin, Rect, ScrollArea, Ui, pos2};
use remembered::Remembered;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use work::{Asked, Outcome};

/// The endings of files that are lists.
pub(super) const KINDS: [&str; 8] = ["csv", "tsv", "txt", "xlsx", "xlsm", "xlsb", "xls", "ods"];
/// Narrower or lower than this, in points, columns and outcome stand one above the other.
const SIDE_BY_SIDE: egui::Vec2 = egui::vec2(900.0, 520.0);

/// Something asked for on this screen.
#[derive(Debug, Clone)]
pub enum Wish {
    /// Choose a list with the system's dialog.
    Choose,
    /// Read that list.
    Read(PathBuf, Options),
    /// Work out what it would do.
    Plan,
    /// Bring it in.
    Take,
    /// Make a new key of it, in that folder or in one that is asked for.
    NewKey(Option<PathBuf>),
}

/// What the screen shows.
#[derive(Debug, Default)]
pub struct BringInView {
    list: Option<List>,
    /// The list that is being read.
    reading: Option<(PathBuf, Options)>,
    /// Why the last one could not be read.
    problem: Option<String>,
}

/// A list that was read.
#[derive(Debug)]
struct List {
    path: PathBuf,
    options: Options,
    table: Arc<Table>,
    guesses: Vec<Guess>,
    mapping: Mapping,
    /// What the columns of the last list with the same ones were taken for.
    remembered: Option<Mapping>,
    into: Into,
    changes: Changes,
    /// An empty key, called as the list.
    empty: Arc<Key>,
    asked: Option<Asked>,
    planned: Option<(Asked, Result<Arc<Outcome>, String>)>,
}

/// Where the list goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Into {
    ThisKey,
    NewKey,
}

impl List {
    /// What is to be planned.
    fn question(&self, doc: &Document) -> Asked {
        let key = if self.into == Into::NewKey { Arc::clone(&self.empty) } else { Arc::clone(&doc.key) };
        Asked { key, table: Arc::clone(&self.table), mapping: self.mapping.clone() }
    }

    /// What comes of what stands on the screen, once it is there.
    fn outcome(&self, doc: &Document) -> Option<&Result<Arc<Outcome>, String>> {
        let key = if self.into == Into::NewKey { &self.empty } else { &doc.key };
        let is_of_this =
            |asked: &Asked| Arc::ptr_eq(&asked.key, key) && Arc::ptr_eq(&asked.table, &self.table) && asked.mapping == self.mapping;
        self.planned.as_ref().filter(|(asked, _)| is_of_this(asked)).map(|(_, outcome)| outcome)
    }
}

/// True for a file that is a list by its ending.
pub fn is_list(path: &Path) -> bool {
    path.extension().and_then(|ending| ending.to_str()).is_some_and(|ending| KINDS.contains(&ending.to_ascii_lowercase().as_str()))
}

fn file_name(path: &Path) -> String {
    path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned())
}

impl Footring {
    /// Does what was asked for on this screen.
    pub(super) fn bring_in(&mut self, ctx: &Context, wish: Wish) {
        let view = &mut self.views.bring_in;
        match wish {
            Wish::Choose => work::choose(&mut self.jobs, ctx),
            Wish::Read(path, options) => {
                view.reading = Some((path.clone(), options.clone()));
                view.problem = None;
                self.screen = Screen::KeyBook;
                self.views.key_book.page = Page::BringIn;
                if !self.views.key_book.leave_sheet() {
                    let words = say!("the list waits behind this sheet: save its edits or drop them first");
                    self.notice = Some(Notice::news(words));
                }
                work::read_list(&mut self.jobs, ctx, path, options, Arc::clone(&self.doc.key));
            }
            Wish::Plan => {
                if let Some(list) = &mut view.list
                    && list.asked.is_none()
                {
                    let asked = list.question(&self.doc);
                    list.asked = Some(asked.clone());
                    work::plan(&mut self.jobs, ctx, asked);
                }
            }
            Wish::Take => self.take_list(ctx),
            Wish::NewKey(dir) => {
                if let Some(list) = &view.list
                    && let Some(Ok(outcome)) = list.outcome(&self.doc)
                {
                    let (outcome, table) = (Arc::clone(outcome), Arc::clone(&list.table));
                    self.remember_list();
                    match dir {
                        Some(dir) => work::make_in(&mut self.jobs, ctx, dir, outcome, table),
                        None => work::choose_and_make(&mut self.jobs, ctx, outcome, table),
                    }
                }
            }
        }
    }

    /// Takes in what a job has done.
    pub(super) fn bring_in_done(&mut self, done: Done) {
        let view = &mut self.views.bring_in;
        match done {
            Done::Chosen(Some(path)) => self.commands.push(Command::BringIn(Wish::Read(path, Options::default()))),
            Done::Chosen(None) | Done::NoNewKey(None) => {}
            Done::NoNewKey(Some(why)) => self.notice = Some(Notice::problem(say!("the new key was not made: {why}", why))),
            Done::Read(path, options, found) => {
                if view.reading.as_ref() != Some(&(path.clone(), options.clone())) {
                    return;
                }
                view.reading = None;
                match found {
                    Ok(read) => {
                        let kept = Remembered::read(&self.data_dir);
                        let known = kept.of(&read.table).cloned();
                        let into = view.list.as_ref().map_or(Into::ThisKey, |list| list.into);
                        view.list = Some(List {
                            mapping: known.clone().unwrap_or(read.mapping),
                            remembered: known,
                            empty: Arc::new(new_key(&read.table)),
                            table: read.table,
                            guesses: read.guesses,
                            path,
                            options,
                            into,
                            changes: Changes::Keep,
                            asked: None,
                            planned: None,
                        });
                    }
                    Err(why) => view.problem = Some(why),
                }
            }
            Done::Planned(asked, plan) => {
                if let Some(list) = &mut view.list
                    && list.asked.as_ref() == Some(&asked)
                {
                    list.asked = None;
                    list.planned = Some((asked, plan));
                }
            }
        }
    }

    fn take_list(&mut self, ctx: &Context) {
        if let Some(why) = &self.doc.place.read_only {
            self.notice = Some(Notice::problem(why.clone()));
            return;
        }
        let Some(list) = &self.views.bring_in.list else { return };
        let Some(Ok(outcome)) = list.outcome(&self.doc) else { return };
        let before = Arc::clone(&self.doc.key);
        let after = Arc::new(outcome.plan.applied(list.changes));
        let name = say!("bring in {path}", path = file_name(&list.path));
        self.remember_list();
        self.views.bring_in.list = None;
        self.views.key_book.page = Page::Shelves;
        self.set_key(ctx, Arc::clone(&after), &name);
        self.steps.push(Step { name, change: Change::Key { before, after } });
    }

    /// Keeps what the columns were taken for.
    fn remember_list(&mut self) {
        let Some(list) = &self.views.bring_in.list else { return };
        let mut kept = Remembered::read(&self.data_dir);
        kept.keep(&list.table, &list.mapping);
        if let Err(error) = kept.write(&self.data_dir) {
            self.notice = Some(Notice::problem(say!("what the columns are was not kept for the next list: {error}", error)));
        }
    }
}

/// Another key was opened: the list was for the one before, or it is in this one.
pub fn close(view: &mut BringInView) {
    *view = BringInView::default();
}

/// A job ended by a fault of the program: what it was to bring does not come.
pub fn broke(view: &mut BringInView) {
    if view.reading.take().is_some() {
        view.problem = Some(say!("a fault of the program ended the reading").to_owned());
    }
    if let Some(list) = &mut view.list
        && let Some(asked) = list.asked.take()
    {
        list.planned = Some((asked, Err(say!("a fault of the program ended the work").to_owned())));
    }
}

/// Draws the screen.
pub fn bring_in_ui(ui: &mut Ui, doc: &Document, view: &mut BringInView, page: &mut Page, commands: &mut Vec<Command>) {
    Frame::new().inner_margin(Margin::same(GAP as i8)).show(ui, |ui| {
        head_ui(ui, view, page, commands);
        if let Some((path, _)) = &view.reading {
            remark(ui, say!("Reading {path} …", path = file_name(path)));
            return;
        }
        if let Some(why) = &view.problem {
            let c = theme::colours(ui);
            ui.colored_label(c.alarm, say!("The list was not read: {why}", why));
        }
        let Some(list) = &mut view.list else {
            remark(
                ui,
                say!("A list of pieces or forms as CSV, XLSX or ODS: choose it, or drop it on the window. Names, lines, measures, years and anything \
                 seen become forms and features of this key, and nothing changes until you have seen what would."),
            );
            return;
        };
        if list.outcome(doc).is_none() && list.asked.is_none() {
            commands.push(Command::BringIn(Wish::Plan));
        }
        file_ui(ui, list, commands);
        ui.add_space(6.0);
        list_ui(ui, doc, list, commands);
    });
}

fn head_ui(ui: &mut Ui, view: &BringInView, page: &mut Page, commands: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        if button(ui, Icon::Left, say!("All forms")).clicked() {
            *page = Page::Shelves;
        }
        widgets::heading(ui, say!("Bring in a list"));
        let choose = if view.list.is_some() { say!("Another list") } else { say!("Choose a list") };
        if button(ui, Icon::Folder, choose).clicked() {
            commands.push(Command::BringIn(Wish::Choose));
        }
    });
}

/// What the file is, and how it is read.
fn file_ui(ui: &mut Ui, list: &List, commands: &mut Vec<Command>) {
    let mut options = list.options.clone();
    ui.horizontal_wrapped(|ui| {
        widgets::strong(ui, format!("{}: {}", list.table.place(CellAt::WHOLE), say_count!(n = list.table.len(), "{n} row", "{n} rows")));
        for sheet in list.table.sheets.iter().filter(|_| list.table.sheets.len() > 1) {
            let on = list.table.sheet.as_ref() == Some(sheet);
            if chip(ui, sheet, on).clicked() && !on {
                options.sheet = Some(sheet.clone());
            }
        }
        // What was guessed is shown as it came out.
        let headless = list.table.notes.iter().any(|note| matches!(note.kind, crate::key::tables::TableProblemKind::NoHeader));
        let has_header = match list.options.header {
            HeaderRow::First => true,
            HeaderRow::None => false,
            HeaderRow::Guess => !headless,
        };
        if chip(ui, say!("the first row names the columns"), has_header).clicked() {
            options.header = if has_header { HeaderRow::None } else { HeaderRow::First };
        }
    });
    if options != list.options {
        commands.push(Command::BringIn(Wish::Read(list.path.clone(), options)));
    }
    for note in &list.table.notes {
        remark(ui, say!("Taken for granted: {kind}", kind = note.kind));
    }
}

fn list_ui(ui: &mut Ui, doc: &Document, list: &mut List, commands: &mut Vec<Command>) {
    let room = ui.available_rect_before_wrap();
    let c = theme::colours(ui);
    if room.width() >= SIDE_BY_SIDE.x && ui.ctx().content_rect().height() >= SIDE_BY_SIDE.y {
        let split = room.left() + room.width() * 0.6;
        let left = Rect::from_min_max(room.min, pos2(split - GAP / 2.0, room.bottom()));
        let right = Rect::from_min_max(pos2(split + GAP / 2.0, room.top()), room.max);
        widgets::in_rect(ui, "columns", left, |ui| {
            paper(c).show(ui, |ui| {
                ui.set_min_size(left.shrink(GAP + 1.0).size());
                columns::columns_ui(ui, doc, list, left.height() - 2.0 * GAP - 2.0);
            });
        });
        widgets::in_rect(ui, "outcome", right, |ui| {
            paper(c).show(ui, |ui| {
                ui.set_min_size(right.shrink(GAP + 1.0).size());
                outcome::outcome_ui(ui, doc, list, commands);
            });
        });
        return;
    }
    ScrollArea::vertical().id_salt("list").auto_shrink(false).show(ui, |ui| {
        paper(c).show(ui, |ui| columns::columns_ui(ui, doc, list, 420.0));
        ui.add_space(6.0);
        paper(c).show(ui, |ui| {
            ui.set_min_size(egui::vec2(ui.available_width(), 320.0));
            outcome::outcome_ui(ui, doc, list, commands);
        });
    });
}

/// The button that brings the list in, or that makes a new key of it.
fn take_ui(ui: &mut Ui, doc: &Document, list: &List, commands: &mut Vec<Command>) {
    let ready = list.outcome(doc).is_some_and(|outcome| outcome.as_ref().is_ok_and(|outcome| outcome.plan.rows > 0));
    ui.add_enabled_ui(ready, |ui| {
        let (icon, words, wish) = match list.into {
            Into::ThisKey => (Icon::Tick, say!("Bring in"), Wish::Take),
            Into::NewKey => (Icon::KeyBook, say!("Make the new key"), Wish::NewKey(None)),
        };
        ui.set_min_height(TARGET);
        if main_button(ui, icon, words).clicked() {
            commands.push(Command::BringIn(wish));
        }
    });
}
