//! The daybook, off the frame: putting finds in, taking them out, listing them.

use super::app::Footring;
use super::command::{Change, Command, Notice, Step};
use super::document::{Document, Hand};
use super::finds_work::{self, Deed, Loaded};
use super::jobs::{Done as JobDone, Jobs, Progress};
use crate::daybook::census::{self, Census, TallyQuestion};
use crate::daybook::learn::{self, Learnt};
use crate::daybook::years::{By, YearsSeen, years_seen};
use crate::daybook::{BoxTally, Daybook, DaybookError, Facets, Find, FindId, KeyName, Named, Page, Question, Record, Standing};
use crate::identify::{Piece, Verdict, VerdictState};
use crate::key::capital;
use crate::say;
use egui::Context;
use jiff::ZonedDateTime;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// The daybook, shared with the jobs that use it. None where it could not be opened; the notice says why.
pub type SharedDaybook = Arc<Mutex<Option<Daybook>>>;

/// The ids of a whole list, and the finds of it that are in sight.
pub type Listing = Result<(Vec<FindId>, Loaded), String>;

/// What a daybook job sends.
#[derive(Debug)]
pub enum Done {
    /// A find was put in.
    Put(Result<(FindId, String), String>),
    /// A find was taken out.
    Removed(FindId, Why, Result<(), String>),
    /// A find was put back.
    Restored(FindId, Result<(), String>),
    /// A list of finds.
    Listed(Box<Question>, Listing),
    /// A list or a count that something newer was asked for instead of.
    Overtaken,
    /// Finds that came into sight.
    Loaded(Result<Loaded, String>),
    /// What a list could be narrowed by.
    Facets(Box<Question>, Result<Box<Facets>, String>),
    /// Something was done to finds.
    Deed(finds_work::Outcome),
    /// A step over finds was taken back or done again; how many were left alone.
    TurnedBack(Result<usize, String>),
    /// The dialog was closed: the sorted box chosen, if any.
    Chosen(Option<PathBuf>),
    /// What the finds say of the key.
    Learnt(Result<Learnt, String>),
    /// When the finds were made: by form, by line, by mark.
    Years(Result<Box<[Vec<YearsSeen>; 3]>, String>),
    /// The census, by glaze and by decoration.
    Census(Result<Box<[Census; 2]>, String>),
    /// What lies in the box in hand.
    BoxCounted(String, BoxTally),
    /// The file of a large daybook was looked through.
    LookedThrough(Result<(), String>),
}

/// How many finds are read at once where all of them are.
const LEARN_PAGE: u32 = 500;

/// Why a find is taken out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Why {
    /// The person asked: a step of its own.
    Asked,
    /// A step is being undone or done again.
    Turned,
}

/// Opens the daybook of a data folder.
pub fn open(data_dir: &Path, notice: &mut Option<Notice>) -> SharedDaybook {
    let dir: PathBuf = data_dir.join("daybook");
    let daybook = match Daybook::open(&dir) {
        Ok(daybook) => Some(daybook),
        Err(error) => {
            *notice = Some(Notice::problem(say!("the daybook can't be used, so nothing can be put in: {error}", error)));
            None
        }
    };
    Arc::new(Mutex::new(daybook))
}

/// Looks the file of a large daybook through, beside its other work: nothing is written in it before.
pub fn look_through(jobs: &mut Jobs, ctx: &Context, daybook: &SharedDaybook) {
    let sound = daybook.lock().unwrap_or_else(PoisonError::into_inner).as_ref().map(Daybook::soundness);
    if let Some(sound) = sound.filter(|sound| !sound.is_known()) {
        jobs.start(ctx, say!("Looking the daybook through"), move |_progress| {
            JobDone::Daybook(Done::LookedThrough(sound.check().map_err(|error| error.to_string())))
        });
    }
}

pub(super) fn with<T>(daybook: &SharedDaybook, work: impl FnOnce(&mut Daybook) -> Result<T, DaybookError>) -> Result<T, String> {
    let mut daybook = daybook.lock().unwrap_or_else(PoisonError::into_inner);
    match daybook.as_mut() {
        Some(daybook) => work(daybook).map_err(|error| error.to_string()),
        None => Err(say!("the daybook could not be opened").to_owned()),
    }
}

/// Puts the piece in hand into the daybook: as a new find, or as a change of the find it was reopened from.
pub fn put(jobs: &mut Jobs, ctx: &Context, daybook: &SharedDaybook, doc: &Document) {
    let (find, reopened) = (find_of(doc), doc.hand.reopened);
    let (daybook, key, index) = (Arc::clone(daybook), Arc::clone(&doc.key), Arc::clone(&doc.index));
    jobs.start(ctx, say!("Writing in the daybook"), move |_progress| {
        let says = capital(&find.verdict);
        let put = with(&daybook, |daybook| put_or_change(daybook, find, reopened, |find| find.record.take_over(&key, &index, &find.piece)));
        JobDone::Daybook(Done::Put(put.map(|id| (id, says))))
    });
}

fn put_or_change(
    daybook: &mut Daybook,
    mut find: Find,
    reopened: Option<FindId>,
    take_over: impl FnOnce(&mut Find),
) -> Result<FindId, DaybookError> {
    let now = ZonedDateTime::now();
    if let Some(id) = reopened
        && let Some(old) = daybook.find(id)?
    {
        find.id = id;
        find.revision = old.revision;
        find.found_at = old.found_at;
        // It lies where it lay; the box in hand is that of new pieces.
        find.box_label = old.box_label;
        find.record = old.record;
        take_over(&mut find);
        daybook.change(&find, &now)?;
    } else {
        daybook.put(&find, &now)?;
    }
    Ok(find.id)
}

/// The find that the piece in hand makes.
fn find_of(doc: &Document) -> Find {
    Find {
        box_label: doc.box_label.clone(),
        note: doc.hand.note.clone(),
        photographs: doc.hand.photographs.clone(),
        ..find_by_verdict(doc, &doc.hand.piece, &doc.verdict)
    }
}

/// The find that a piece makes, which need not be the one in hand.
pub(super) fn find_of_piece(doc: &Document, piece: &Piece) -> Find {
    find_by_verdict(doc, piece, &doc.index.answer(piece).1)
}

fn find_by_verdict(doc: &Document, piece: &Piece, verdict: &Verdict) -> Find {
    let named = match verdict.state {
        VerdictState::Leaning | VerdictState::Settled => verdict.leader.as_ref().and_then(|id| doc.form(id)),
        _ => None,
    };
    let line_name = |form: &crate::key::Form| doc.key.line(&form.line).map(|line| line.name.clone()).unwrap_or_default();
    let mut record = Record::default();
    record.take_over(&doc.key, &doc.index, piece);
    Find {
        id: FindId::new(),
        revision: 0,
        found_at: ZonedDateTime::now(),
        key: KeyName { title: doc.key.about.title.clone(), folder: folder_name(doc) },
        named: named.map(|form| Named { form: form.id.clone(), form_name: form.name.clone(), line_name: line_name(form) }),
        verdict: verdict.sentence.clone(),
        probability: named.map(|_| verdict.probability),
        standing: match verdict.state {
            VerdictState::Nothing => Standing::Nothing,
            VerdictState::Narrowing => Standing::Narrowing,
            VerdictState::Leaning => Standing::Leaning,
            VerdictState::Settled => Standing::Settled,
            VerdictState::NotInKey => Standing::NotInKey,
            VerdictState::Contradiction => Standing::Contradiction,
        },
        piece: piece.clone(),
        box_label: String::new(),
        note: String::new(),
        photographs: Vec::new(),
        record,
    }
}

/// The name of the key's folder, by which a find knows the key it was named by.
pub fn folder_name(doc: &Document) -> String {
    doc.place.dir.as_deref().and_then(Path::file_name).map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}

/// The piece of a find, to be taken in hand again.
pub fn hand_of(find: &Find) -> Hand {
    Hand { piece: find.piece.clone(), note: find.note.clone(), photographs: find.photographs.clone(), reopened: Some(find.id) }
}

/// Takes a find out of the daybook.
pub fn remove(jobs: &mut Jobs, ctx: &Context, daybook: &SharedDaybook, find: FindId, why: Why) {
    let daybook = Arc::clone(daybook);
    jobs.start(ctx, say!("Taking a find out"), move |_progress| {
        let removed = with(&daybook, |daybook| daybook.remove(find, &ZonedDateTime::now()).map(|_revision| ()));
        JobDone::Daybook(Done::Removed(find, why, removed))
    });
}

/// Puts a find that was taken out back.
pub fn restore(jobs: &mut Jobs, ctx: &Context, daybook: &SharedDaybook, find: FindId) {
    let daybook = Arc::clone(daybook);
    jobs.start(ctx, say!("Putting a find back"), move |_progress| {
        let restored = with(&daybook, |daybook| daybook.restore(find, &ZonedDateTime::now()).map(|_revision| ()));
        JobDone::Daybook(Done::Restored(find, restored))
    });
}

/// Works out what the finds say of the key.
pub fn learn(jobs: &mut Jobs, ctx: &Context, daybook: &SharedDaybook, doc: &Document) {
    let (daybook, key, folder) = (Arc::clone(daybook), Arc::clone(&doc.key), folder_name(doc));
    jobs.start(ctx, say!("Counting the finds"), move |progress| {
        let learnt = all_finds(&daybook, progress);
        JobDone::Daybook(Done::Learnt(learnt.map(|finds| learn::learn(&key, &folder, &finds))))
    });
}

/// Works out the census: one question to the daybook, and what the key says.
pub fn census(jobs: &mut Jobs, ctx: &Context, daybook: &SharedDaybook, doc: &Document) {
    let (daybook, key, folder) = (Arc::clone(daybook), Arc::clone(&doc.key), folder_name(doc));
    jobs.start(ctx, say!("Counting the finds"), move |_progress| {
        let tallies = with(&daybook, |daybook| daybook.tally(&TallyQuestion::of(&key, &folder)));
        let made =
            tallies.map(|tallies| Box::new([census::By::Glaze, census::By::Decoration].map(|by| census::census(&key, &tallies, by))));
        JobDone::Daybook(Done::Census(made))
    });
}

/// Works out when the finds were made.
pub fn years(jobs: &mut Jobs, ctx: &Context, daybook: &SharedDaybook, doc: &Document) {
    let (daybook, key, index) = (Arc::clone(daybook), Arc::clone(&doc.key), Arc::clone(&doc.index));
    jobs.start(ctx, say!("Dating the finds"), move |progress| {
        let made = all_finds(&daybook, progress)
            .map(|finds| Box::new([By::Form, By::Line, By::Mark].map(|by| years_seen(&key, &index, &finds, by))));
        JobDone::Daybook(Done::Years(made))
    });
}

/// All finds, page by page, so that it can be stopped and says how far it is. One that cannot be read counts for nothing.
fn all_finds(daybook: &SharedDaybook, progress: &Progress) -> Result<Vec<Find>, String> {
    with(daybook, |daybook| {
        let total = daybook.count(&Page::default())?.max(1);
        let (mut finds, mut place) = (Vec::new(), None);
        loop {
            let (page, next) = daybook.page(&Question::default(), place.as_ref(), LEARN_PAGE)?;
            finds.extend(page);
            place = next;
            progress.set(finds.len() as f32 / total as f32);
            if place.is_none() || progress.is_cancelled() {
                break;
            }
        }
        Ok(finds.into_iter().filter_map(Result::ok).collect::<Vec<Find>>())
    })
}

impl Footring {
    /// Counts the finds of the box in hand.
    pub(super) fn count_box(&mut self, ctx: &Context) {
        let (daybook, label) = (Arc::clone(&self.daybook), self.doc.box_label.clone());
        if label.is_empty() {
            self.box_tally = None;
            return;
        }
        self.jobs.start(ctx, say!("Counting the box"), move |_progress| {
            let tally = with(&daybook, |daybook| daybook.tally_of_box(&label)).unwrap_or_default();
            JobDone::Daybook(Done::BoxCounted(label, tally))
        });
    }

    /// Reads the finds that the Daybook shows.
    pub(super) fn list_finds(&mut self, ctx: &Context) {
        let (question, sight) = self.views.daybook.asks();
        finds_work::list(&mut self.jobs, ctx, &self.daybook, &self.views.daybook.list.newest, question, sight);
    }

    pub(super) fn daybook_done(&mut self, ctx: &Context, done: Done) {
        match done {
            Done::Put(Ok((find, says))) => {
                self.find_was_put(find, say!("In the daybook: {says}", says));
                self.count_box(ctx);
                self.list_finds(ctx);
            }
            Done::Put(Err(error)) => {
                self.notice = Some(Notice::problem(say!("the find is still on the board, but not in the daybook: {error}", error)));
            }
            Done::Removed(find, why, Ok(())) => {
                if why == Why::Asked {
                    self.steps.push(Step { name: say!("take a find out of the daybook").to_owned(), change: Change::Remove { find } });
                    self.notice = Some(Notice::news(say!("Taken out of the daybook; undo puts it back")));
                }
                self.count_box(ctx);
                self.list_finds(ctx);
            }
            Done::Restored(_, Ok(())) => {
                self.count_box(ctx);
                self.list_finds(ctx);
            }
            Done::Removed(_, _, Err(error)) => self.notice = Some(Notice::problem(say!("the find could not be taken out: {error}", error))),
            Done::Restored(_, Err(error)) => self.notice = Some(Notice::problem(say!("the find could not be put back: {error}", error))),
            Done::Census(made) => self.views.daybook.census.take_in(&self.doc, made),
            Done::Years(made) => self.views.daybook.years.take_in(made),
            Done::Learnt(learnt) => self.views.daybook.learning.take_in(learnt),
            Done::Listed(question, listed) => {
                if self.views.daybook.take_in(&question, listed) {
                    finds_work::facets(&mut self.jobs, ctx, &self.daybook, &self.views.daybook.list.newest, *question);
                }
            }
            Done::Overtaken | Done::LookedThrough(Ok(())) => {}
            Done::Loaded(finds) => self.views.daybook.list.take_loaded(finds),
            Done::Facets(question, facets) => self.views.daybook.list.take_facets(&question, facets),
            Done::LookedThrough(Err(error)) => {
                self.notice = Some(Notice::problem(say!("the daybook can't be used, so nothing can be put in: {error}", error)));
            }
            Done::Deed(outcome) => self.deed_done(ctx, outcome),
            Done::TurnedBack(passed_over) => self.turned_back(ctx, passed_over),
            Done::Chosen(path) => self.commands.extend(path.map(|path| Command::OnFinds(Deed::BringIn(path)))),
            Done::BoxCounted(label, tally) => {
                if label == self.doc.box_label {
                    self.views.bench.tally = Some(tally.clone());
                    self.box_tally = Some(tally);
                }
            }
        }
    }
}
