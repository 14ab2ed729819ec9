//! The Key Book: the house key, form by form. All forms stand on shelves, line by line; one is opened as a sheet.
//!
//! The pages Health and Trial say how good the key is as a whole; what they show is worked out off the frame.
//!
//! A sheet is a draft of a form: nothing of the key changes until it is saved, and every edit of the draft can be undone.

mod draft;
mod entries;
mod features;
mod health;
mod likeness;
mod lists;
pub mod other_key;
mod plan;
mod prefill;
mod profile;
mod sheet;
mod shelves;
mod table;
mod trial;
mod trial_picture;
mod whole;
mod worked;

use crate::say;
pub use draft::Sheet;
use draft::Sight;
pub(super) use draft::free_id;
pub use worked::Done;

use super::action::Action;
use super::board::vessel::Drawings;
use super::command::{Command, Notice};
use super::document::Document;
use super::jobs::Jobs;
use super::key_pictures::{self, Pictures, Whose};
use super::theme;
use crate::identify::trial::Options;
use crate::key::{FeatureId, Form, FormId, Key, Record, Severity, check_form};
use crate::photo::Store;
use egui::{Context, Frame, Margin, Ui};
use std::sync::Arc;

/// What is open where no sheet is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Page {
    /// All forms.
    #[default]
    Shelves,
    /// What the key can't tell apart, and what to record next.
    Health,
    /// A trial of the key on made-up pieces.
    Trial,
    /// A list that is to be brought in.
    BringIn,
    /// What is recorded of every form, cell by cell.
    Table,
    /// Lines, features, glazes, decorations, papers, and what the key is.
    Lists,
    /// Another key, from which forms are copied.
    OtherKey,
}

/// What the Key Book shows.
#[derive(Debug, Default)]
pub struct KeyBookView {
    /// What is open where no sheet is.
    pub page: Page,
    health: health::HealthView,
    trial: trial::TrialView,
    table: table::TableView,
    lists: lists::ListsView,
    other: other_key::OtherKeyView,
    whole: whole::WholeView,
    /// What is typed to find a form.
    filter: String,
    /// The sheet that is open.
    sheet: Option<Sheet>,
    /// The pictures of the key, as far as they were wanted.
    pictures: Pictures,
    drawn: Drawings,
    laid: Arc<shelves::Laid>,
}

impl KeyBookView {
    /// True where the list that is to be brought in is what shows.
    pub fn shows_list(&self) -> bool {
        self.sheet.is_none() && self.page == Page::BringIn
    }

    /// Another key was opened: what was worked out of the one before is nothing to this one. A sheet with edits stays, for nothing is lost.
    pub fn forget(&mut self) {
        let page = if self.page == Page::BringIn { Page::Shelves } else { self.page };
        let table = std::mem::take(&mut self.table);
        let table = if table.is_changed() { table } else { table::TableView::default() };
        let lists = std::mem::take(&mut self.lists);
        let lists = if lists.is_changed() { lists } else { lists::ListsView::default() };
        *self = Self { page, table, lists, sheet: self.sheet.take().filter(Sheet::is_changed), ..Self::default() };
    }

    /// Closes the sheet that is open, unless it has edits. False where it stays.
    pub fn leave_sheet(&mut self) -> bool {
        self.sheet.take_if(|sheet| !sheet.is_changed());
        self.sheet.is_none()
    }

    /// The cells of the value table that are changed and not saved.
    pub fn changed_cells(&self) -> Vec<(FormId, FeatureId, Option<Record>)> {
        self.table.cells()
    }

    /// True while something is being written that is not saved yet: it rests on the key as it was when it was begun.
    pub fn is_drafting(&self) -> bool {
        self.sheet.as_ref().is_some_and(Sheet::is_changed) || self.table.is_changed() || self.lists.is_changed()
    }

    /// Counts that change with every edit: of the value table, and of the sheet that is open.
    pub fn edits(&self) -> (u64, Option<(usize, usize, bool)>) {
        (self.table.revision(), self.sheet.as_ref().map(Sheet::edits))
    }

    /// The sheet that is open.
    pub fn sheet(&self) -> Option<&Sheet> {
        self.sheet.as_ref()
    }
}

/// Opens the sheet of a form.
pub fn open_form(view: &mut KeyBookView, doc: &Document, form: &FormId) {
    if let Some(form) = doc.form(form)
        && view.sheet.as_ref().is_none_or(|sheet| sheet.form().id != form.id || !sheet.is_changed())
    {
        view.sheet = Some(Sheet::of(form));
    }
}

/// Opens the sheet of a form at a feature.
pub fn open_form_at(view: &mut KeyBookView, doc: &Document, form: &FormId, feature: FeatureId) {
    open_form(view, doc, form);
    if let Some(sheet) = view.sheet.as_mut().filter(|sheet| sheet.form().id == *form) {
        sheet.sought = Some((feature, Sight::Due));
    }
}

/// Works the health of the key out, unless that is being done.
pub fn work_out_health(view: &mut KeyBookView, jobs: &mut Jobs, ctx: &Context, doc: &Document) {
    if !view.health.worked.is_busy() {
        view.health.worked.begin(&doc.key);
        worked::health(jobs, ctx, doc);
    }
}

/// Works out what the form on the sheet is like, unless that is being done.
pub fn compare(view: &mut KeyBookView, jobs: &mut Jobs, ctx: &Context, doc: &Document) {
    if let Some(sheet) = &mut view.sheet
        && sheet.likeness.is_due(&doc.key, &sheet.draft)
    {
        sheet.likeness.begin(&doc.key, &sheet.draft);
        worked::likeness(jobs, ctx, doc, sheet.draft.clone());
    }
}

/// Tries the key, unless that is being done.
pub fn try_key(view: &mut KeyBookView, jobs: &mut Jobs, ctx: &Context, doc: &Document, options: Options) {
    if !view.trial.worked.is_busy() {
        view.trial.worked.begin(&doc.key);
        worked::trial(jobs, ctx, doc, options);
    }
}

/// Takes in what was worked out.
pub fn take_in(view: &mut KeyBookView, doc: &Document, done: Done, commands: &mut Vec<Command>) {
    match done {
        Done::Other(done) => other_key::take_in(view, doc, done, commands),
        Done::Health(key, health) => view.health.worked.take_in(key, health),
        Done::Trial(key, report) => view.trial.worked.take_in(key, report),
        Done::Likeness(key, of) => {
            let (draft, found) = *of;
            if let Some(sheet) = &mut view.sheet {
                sheet.likeness.take_in(key, draft, found);
            }
        }
    }
}

/// A job ended by a fault of the program: what it was working out does not come.
pub fn broke(view: &mut KeyBookView) {
    other_key::broke(view);
    view.health.worked.give_up();
    view.trial.worked.give_up();
    if let Some(sheet) = &mut view.sheet {
        sheet.likeness.give_up();
    }
}

/// Opens a page, unless a sheet with edits is open.
pub fn open_page(view: &mut KeyBookView, page: Page) {
    if view.leave_sheet() {
        view.page = page;
        if page == Page::Table {
            view.table.open();
        }
    }
}

/// Goes back to the shelves, where one of the other pages is open. False where none is.
pub fn close_page(view: &mut KeyBookView) -> bool {
    if view.sheet.is_none() && view.page == Page::Lists && view.lists.close() {
        return true;
    }
    let open = view.sheet.is_none() && view.page != Page::Shelves;
    if open {
        view.page = Page::Shelves;
    }
    open
}

/// What a form says otherwise than another, in words.
pub fn form_changes(key: &Key, before: &Form, after: &Form) -> Vec<String> {
    whole::changes(key, before, after)
}

/// Takes up a sheet and changed cells that an earlier run left. The sheet comes back where another one with edits is open.
pub fn take_up(
    view: &mut KeyBookView,
    doc: &Document,
    sheet: Option<Form>,
    cells: Vec<(FormId, FeatureId, Option<Record>)>,
) -> Option<Form> {
    view.table.take_up(doc, cells);
    let form = sheet?;
    if !view.leave_sheet() {
        return Some(form);
    }
    view.sheet = Some(Sheet::taken_up(form, doc));
    None
}

/// Takes a key that means something in the value table. False where it is not the table's.
pub fn takes(view: &mut KeyBookView, doc: &Document, action: Action) -> bool {
    if view.sheet.is_some() || view.page != Page::Table {
        return false;
    }
    match action {
        Action::TakeBack => view.table.clear_chosen(doc),
        Action::CloseCard => return view.table.stop_typing(),
        // The table reads this key itself.
        Action::NextLook => {}
        _ => return false,
    }
    true
}

/// Opens the sheet of a new form, filled in from the piece in hand.
pub fn add_form(view: &mut KeyBookView, doc: &Document) {
    view.sheet = Some(Sheet::new_form(prefill::from_hand(doc)));
}

/// Saves the sheet that is open, unless something in it can't be so.
pub fn save_asked(view: &mut KeyBookView, doc: &Document, commands: &mut Vec<Command>) {
    let Some(sheet) = view.sheet.as_mut() else {
        match view.page {
            Page::Table => view.table.save(doc, commands),
            Page::Lists => view.lists.save(doc, &mut view.pictures, commands),
            Page::Shelves | Page::Health | Page::Trial | Page::BringIn | Page::OtherKey => {}
        }
        return;
    };
    sheet.settle();
    sheet.give_id(&doc.key);
    let wrong = check_form(&doc.key, sheet.form()).into_iter().find(|problem| problem.severity == Severity::Error);
    if let Some(problem) = wrong {
        commands.push(Command::Say(Notice::problem(say!("not saved yet: {sentence}", sentence = problem.sentence()))));
        return;
    }
    if let Some(why) = &doc.place.read_only {
        commands.push(Command::Say(Notice::problem(why.clone())));
        return;
    }
    let pictures = sheet.name_pictures(&mut view.pictures);
    if !pictures.is_empty() {
        commands.push(Command::KeepPictures(pictures));
    }
    commands.push(Command::PutForm(Box::new(sheet.form().clone())));
    sheet.was_saved();
}

/// Takes files that were dropped on the window as pictures of the form or paper that is open. False where none is: then they are somebody else's.
pub fn drop_on(view: &mut KeyBookView, ctx: &Context) -> bool {
    let open = view.sheet.is_some() || view.page == Page::Lists && view.lists.pictures().is_some();
    if open {
        view.pictures.drop_on(ctx);
    }
    open
}

/// A job on pictures has done something.
pub fn take_in_picture(view: &mut KeyBookView, done: key_pictures::Done) {
    view.pictures.take_in(done);
}

/// Takes in what jobs on pictures have done, and starts what was asked for. Called before each frame.
pub fn poll(view: &mut KeyBookView, doc: &Document, store: Option<&Store>, ctx: &Context, jobs: &mut Jobs) {
    let changed = match &mut view.sheet {
        Some(sheet) => Some((&mut sheet.adding, &mut sheet.draft.pictures)),
        None => view.lists.pictures(),
    };
    key_pictures::poll(&mut view.pictures, Whose::KeyBook, changed, (doc, store), ctx, jobs);
}

/// Takes the last edit of the open sheet back. False where there is none.
pub fn undo(view: &mut KeyBookView) -> bool {
    match &mut view.sheet {
        Some(sheet) => sheet.undo(),
        None => view.page == Page::Table && view.table.undo() || view.page == Page::Lists && view.lists.undo(),
    }
}

/// Makes the last edit that was taken back again. False where there is none.
pub fn redo(view: &mut KeyBookView) -> bool {
    match &mut view.sheet {
        Some(sheet) => sheet.redo(),
        None => view.page == Page::Table && view.table.redo() || view.page == Page::Lists && view.lists.redo(),
    }
}

/// Draws the Key Book.
pub fn key_book_ui(ui: &mut Ui, doc: &Document, view: &mut KeyBookView, commands: &mut Vec<Command>) {
    if view.sheet.is_some() {
        sheet::sheet_ui(ui, doc, view, commands);
        return;
    }
    match view.page {
        // The list has a drawing function of its own.
        Page::Shelves | Page::BringIn => shelves::shelves_ui(ui, doc, view, commands),
        Page::Table => table::table_ui(ui, doc, view, commands),
        Page::Lists => lists::lists_ui(ui, doc, view, commands),
        Page::OtherKey => other_key::other_key_ui(ui, doc, view, commands),
        page => {
            Frame::new().inner_margin(Margin::same(theme::GAP as i8)).show(ui, |ui| match page {
                Page::Trial => trial::trial_ui(ui, doc, view, commands),
                _ => health::health_ui(ui, doc, view, commands),
            });
        }
    }
}
