//! The further pages of the Daybook: what is asked for on them, what their jobs send, and how the document changes by it.

use super::pairing::{Asked, PairingPage, ReadHalves, Sorted};
use super::papers::{Found, From, Index, PapersPage, prices};
use super::{CensusPage, DaybookView, Learning, Years};
use crate::daybook::census::{Services, Tally, TallyQuestion, Wanted};
use crate::daybook::lids::Shelves;
use crate::daybook::papers::{Accepted, accepted};
use crate::desk::app::Footring;
use crate::desk::command::{Change, Notice, Screen, Step};
use crate::desk::daybook_work::{folder_name, with};
use crate::desk::jobs::Done as JobDone;
use crate::desk::kept::{self, State};
use crate::key::PaperId;
use crate::sheets::wants::wants_csv;
use crate::{say, say_count};
use egui::Context;
use std::path::PathBuf;
use std::sync::Arc;

/// Something asked for on a page of the Daybook.
#[derive(Debug, Clone)]
pub enum Wish {
    /// Show lids and bases.
    Pairing,
    /// Put other shelves in place; the words name the step.
    ChangeShelves(String, Box<Shelves>),
    /// Pair lids and bases as they stand.
    SortShelves,
    /// Choose a list of lids or bases with the system's dialog.
    ChooseHalves,
    /// Read that list of lids or bases.
    ReadHalves(PathBuf),
    /// Show the papers.
    Papers,
    /// Choose a list of the paper that is looked at with the system's dialog.
    ChooseList,
    /// Find what the entries of a list of that paper mean.
    Reconcile(From),
    /// Choose an index of consumer prices with the system's dialog.
    ChooseIndex,
    /// Read that index of consumer prices.
    ReadIndex(PathBuf),
    /// Something on the page where the daybook is kept and joined.
    Keeping(super::keeping::Wish),
    /// Show the services, with the finds counted.
    Services,
    /// Put other services in place; the words name the step.
    ChangeServices(String, Box<Services>),
    /// Save what is wanted as a table, where the system's dialog says.
    SaveWants(Vec<Wanted>),
    /// Take what was accepted of a paper's list into the key.
    TakeEntries(PaperId, Vec<Accepted>),
}

/// What a job of a page sends.
#[derive(Debug)]
pub enum Done {
    /// The shelves were read.
    Shelves(Result<Shelves, String>),
    /// An index of prices was read; nothing where none was chosen.
    Index(Option<Result<Index, String>>),
    /// The services were read.
    Services(Result<Services, String>),
    /// The finds were counted.
    Tallied(Result<Vec<Tally>, String>),
    /// A table was saved: where, or why not; nothing where no place was chosen.
    Saved(Option<Result<PathBuf, String>>),
    /// A list beside the daybook was written.
    Written(Result<(), String>),
    /// Lids and bases were paired.
    Sorted(Asked, Result<Arc<Sorted>, String>),
    /// The dialog was closed: the list of halves chosen, if any.
    HalvesChosen(Option<PathBuf>),
    /// The dialog was closed: the list of a paper chosen, if any.
    ListChosen(Option<PathBuf>),
    /// A list of a paper was reconciled.
    Reconciled(Result<Box<Found>, String>),
    /// Something on the page where the daybook is kept and joined.
    Keeping(Box<super::keeping::Done>),
    /// A list of halves was read.
    HalvesRead(Result<ReadHalves, String>),
}

impl Footring {
    /// Does what was asked for on a page of the Daybook.
    pub(in crate::desk) fn page(&mut self, ctx: &Context, wish: Wish) {
        match wish {
            Wish::Pairing => {
                self.turn_to().pairing.is_open = true;
                // One that could not be read may have been mended meanwhile.
                if !matches!(self.doc.shelves.state, State::Ready | State::Reading) {
                    self.doc.shelves.state = State::Reading;
                    kept::read(&mut self.jobs, ctx, &self.shelves_file, Shelves::fault, Done::Shelves);
                }
            }
            Wish::ChangeShelves(name, after) => {
                let (before, after) = (Arc::clone(&self.doc.shelves.now), Arc::new(*after));
                if before == after || self.doc.shelves.state != State::Ready {
                    return;
                }
                self.set_shelves(ctx, Arc::clone(&after));
                self.steps.push(Step { name, change: Change::Shelves { before, after } });
            }
            Wish::SortShelves => self.views.daybook.pairing.sort(&mut self.jobs, ctx, &self.doc.shelves.now, &self.doc.key),
            Wish::ChooseHalves => PairingPage::choose(&mut self.jobs, ctx),
            Wish::ReadHalves(path) => PairingPage::read(&mut self.jobs, ctx, path),
            Wish::Papers => self.turn_to().papers.is_open = true,
            Wish::ChooseList => PapersPage::choose(&mut self.jobs, ctx),
            Wish::Reconcile(from) => {
                let problem = self.views.daybook.papers.read(&mut self.jobs, ctx, &self.doc.key, from);
                self.notice = problem.or(self.notice.take());
            }
            Wish::ChooseIndex => prices::choose_index(&mut self.jobs, ctx),
            Wish::ReadIndex(path) => prices::read_index_of(&mut self.jobs, ctx, path),
            Wish::Keeping(wish) => self.keeping(ctx, wish),
            Wish::Services => {
                self.turn_to().services.is_open = true;
                if !matches!(self.doc.services.state, State::Ready | State::Reading) {
                    self.doc.services.state = State::Reading;
                    kept::read(&mut self.jobs, ctx, &self.services_file, Services::fault, Done::Services);
                }
                self.tally(ctx);
            }
            Wish::ChangeServices(name, after) => {
                let (before, after) = (Arc::clone(&self.doc.services.now), Arc::new(*after));
                if before == after || self.doc.services.state != State::Ready {
                    return;
                }
                self.set_services(ctx, Arc::clone(&after));
                self.steps.push(Step { name, change: Change::Services { before, after } });
            }
            Wish::SaveWants(held) => self.save_wants(ctx, held),
            Wish::TakeEntries(paper, entries) => self.take_entries(ctx, &paper, &entries),
        }
    }

    /// Puts other services in place and writes them.
    pub(in crate::desk) fn set_services(&mut self, ctx: &Context, services: Arc<Services>) {
        let number = self.doc.services.set(Arc::clone(&services));
        kept::write(&mut self.jobs, ctx, &self.services_file, services, number);
    }

    /// Counts the finds by form and glaze.
    fn tally(&mut self, ctx: &Context) {
        let daybook = Arc::clone(&self.daybook);
        let question = TallyQuestion::of(&self.doc.key, &folder_name(&self.doc));
        self.jobs.start(ctx, say!("Counting the finds"), move |_progress| {
            JobDone::Pages(Done::Tallied(with(&daybook, |daybook| daybook.tally(&question))))
        });
    }

    /// Saves what is wanted as a table.
    fn save_wants(&mut self, ctx: &Context, held: Vec<Wanted>) {
        let key = Arc::clone(&self.doc.key);
        self.jobs.start(ctx, say!("Saving what is wanted"), move |_progress| {
            let dialog =
                rfd::FileDialog::new().set_title(say!("Save what is wanted")).add_filter(say!("CSV"), &["csv"]).set_file_name("wants.csv");
            let saved = dialog.save_file().map(|path| {
                let mut bytes = Vec::new();
                let written = wants_csv(&key, &held, &mut bytes).and_then(|()| std::fs::write(&path, &bytes));
                written.map(|()| path).map_err(|error| error.to_string())
            });
            JobDone::Pages(Done::Saved(saved))
        });
    }

    /// The Daybook, with every page of it closed.
    pub(super) fn turn_to(&mut self) -> &mut DaybookView {
        self.screen = Screen::Daybook;
        let view = &mut self.views.daybook;
        (view.pairing.is_open, view.papers.is_open, view.services.is_open, view.keeping.is_open) = (false, false, false, false);
        (view.learning, view.years, view.census) = (Learning::Closed, Years::Closed, CensusPage::Closed);
        view
    }

    /// Takes accepted entries into the key, as one step, and saves it.
    fn take_entries(&mut self, ctx: &Context, paper: &PaperId, entries: &[Accepted]) {
        let before = Arc::clone(&self.doc.key);
        let Some(after) = accepted(&before, paper, entries) else { return };
        if after == *before {
            self.notice = Some(Notice::news(say!("The key says all of that already")));
            return;
        }
        let title = before.paper(paper).map_or("", |paper| paper.title.as_str());
        let entries = say_count!(n = entries.len(), "{n} entry", "{n} entries");
        self.change_key(ctx, say!("take {entries} of '{title}' into the key", entries, title), after);
    }

    /// Puts other shelves in place and writes them.
    pub(in crate::desk) fn set_shelves(&mut self, ctx: &Context, shelves: Arc<Shelves>) {
        let number = self.doc.shelves.set(Arc::clone(&shelves));
        kept::write(&mut self.jobs, ctx, &self.shelves_file, shelves, number);
    }

    /// Takes in what a job of a page has done.
    pub(in crate::desk) fn page_done(&mut self, ctx: &Context, done: Done) {
        match done {
            Done::Shelves(read) => self.doc.shelves.take_in(read),
            // A dialog that was closed, and what was written as it should.
            Done::Index(None) | Done::Saved(None) | Done::Written(Ok(())) | Done::HalvesChosen(None) | Done::ListChosen(None) => {}
            Done::Index(Some(index)) => {
                let problem = self.views.daybook.papers.take_index(index);
                self.notice = problem.or(self.notice.take());
            }
            Done::Services(read) => self.doc.services.take_in(read),
            Done::Tallied(tallies) => self.views.daybook.services.take_in(tallies),
            Done::Saved(Some(Ok(path))) => self.notice = Some(Notice::news(say!("Saved: {path}", path = path.display()))),
            Done::Saved(Some(Err(why))) => self.notice = Some(Notice::problem(say!("the table was not saved: {why}", why))),
            Done::Written(Err(why)) => {
                self.notice = Some(Notice::problem(say!("this is on screen but not kept with the daybook: {why}", why)));
            }
            Done::Sorted(asked, sorted) => self.views.daybook.pairing.take_in(asked, sorted),
            Done::HalvesChosen(Some(path)) => PairingPage::read(&mut self.jobs, ctx, path),
            Done::ListChosen(Some(path)) => self.page(ctx, Wish::Reconcile(From::File(path))),
            Done::Reconciled(found) => {
                let problem = self.views.daybook.papers.take_in(found);
                self.notice = problem.or(self.notice.take());
            }
            Done::Keeping(done) => self.keeping_done(ctx, *done),
            Done::HalvesRead(read) => {
                let command = self.views.daybook.pairing.take_list(&self.doc.shelves.now, read);
                self.commands.push(command);
            }
        }
    }

    /// The page of the Daybook that takes a file which is dropped on the window, where one does.
    pub(in crate::desk) fn page_taking(&self, path: &std::path::Path) -> Option<Wish> {
        let here = self.screen == Screen::Daybook;
        let pages = &self.views.daybook;
        match (here && pages.pairing.is_open, here && pages.papers.is_open) {
            (true, _) => Some(Wish::ReadHalves(path.to_owned())),
            (_, true) if pages.papers.wants_index() => Some(Wish::ReadIndex(path.to_owned())),
            (_, true) => Some(Wish::Reconcile(From::File(path.to_owned()))),
            _ => None,
        }
    }

    /// A job ended without an answer.
    pub(in crate::desk) fn page_broke(&mut self) {
        self.views.daybook.pairing.broke();
        self.views.daybook.papers.broke();
        self.views.daybook.keeping.broke();
        if self.doc.services.state == State::Reading {
            self.doc.services.state = State::Broken(say!("a fault of the program ended the reading").to_owned());
        }
        if self.doc.shelves.state == State::Reading {
            self.doc.shelves.state = State::Broken(say!("a fault of the program ended the reading").to_owned());
        }
    }
}
