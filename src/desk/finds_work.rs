//! Finds, off the frame: reading what is in sight, changing one or many, taking that back, bringing in a sorted box.

use super::app::Footring;
use super::command::{Change, Notice, Step};
use super::daybook_work::{Done, SharedDaybook, find_of_piece, with};
use super::document::Document;
use super::jobs::{Done as JobDone, Jobs};
use crate::daybook::many::Bulk;
use crate::daybook::{ChangeKind, DaybookError, Find, FindId, Question};
use crate::key::tables::{Options, read};
use crate::sheets::named::{Namer, Use};
use crate::{say, say_count};
use egui::Context;
use jiff::ZonedDateTime;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

/// The finds a step changed, each with the revision it was left with: what taking it back goes by. Taking back puts what then is in its place.
pub type Turned = Arc<Mutex<Vec<(FindId, u32)>>>;

/// Finds that were read, in the order they were asked for.
pub type Loaded = Vec<(FindId, Result<Arc<Find>, String>)>;

/// Something done to finds of the daybook.
#[derive(Debug, Clone)]
pub enum Deed {
    /// One change to many.
    Change(Vec<FindId>, Bulk),
    /// A find, changed on its sheet; the words name the step.
    Edit(Box<Find>, String),
    /// One more piece like that find.
    OneMore(FindId),
    /// Many are taken out.
    TakeOut(Vec<FindId>),
    /// The rows of a sorted box are brought in.
    BringIn(PathBuf),
}

/// What came of a deed: the step it makes, and what to tell.
pub type Outcome = Result<(Option<Step>, String), String>;

fn pieces(n: usize) -> String {
    say_count!(n, "{n} find", "{n} finds")
}

/// Which asking for a list is the newest: those that another has overtaken need not be answered.
#[derive(Debug, Clone, Default)]
pub struct Newest {
    newest: Arc<AtomicU64>,
    own: u64,
}

impl Newest {
    /// The next asking, the newest now.
    fn next(&self) -> Self {
        let own = self.newest.fetch_add(1, Ordering::Relaxed) + 1;
        Self { newest: Arc::clone(&self.newest), own }
    }

    /// The newest asking there is.
    fn now(&self) -> Self {
        Self { newest: Arc::clone(&self.newest), own: self.newest.load(Ordering::Relaxed) }
    }

    /// Waits until the daybook is free, and says whether there is a newer asking then.
    fn is_overtaken(&self, daybook: &SharedDaybook) -> bool {
        drop(daybook.lock());
        self.own < self.newest.load(Ordering::Relaxed)
    }
}

/// Reads the list that a question asks for, and the finds of it that are in sight.
pub fn list(jobs: &mut Jobs, ctx: &Context, daybook: &SharedDaybook, asked: &Newest, question: Question, sight: std::ops::Range<usize>) {
    let (daybook, asked) = (Arc::clone(daybook), asked.next());
    jobs.start(ctx, say!("Reading the daybook"), move |_progress| {
        // While this one waited for its turn, more was typed.
        if asked.is_overtaken(&daybook) {
            return JobDone::Daybook(Done::Overtaken);
        }
        let listing = with(&daybook, |daybook| {
            let ids = daybook.ids(&question)?;
            let in_sight: Vec<FindId> = ids.iter().copied().skip(sight.start).take(sight.len()).collect();
            let finds = daybook.several(&in_sight)?;
            Ok((ids, loaded(in_sight, finds)))
        });
        JobDone::Daybook(Done::Listed(Box::new(question), listing))
    });
}

fn loaded(ids: Vec<FindId>, finds: Vec<Result<Find, DaybookError>>) -> Loaded {
    ids.into_iter().zip(finds).map(|(id, find)| (id, find.map(Arc::new).map_err(|error| error.to_string()))).collect()
}

/// Reads finds that have come into sight.
pub fn load(jobs: &mut Jobs, ctx: &Context, daybook: &SharedDaybook, ids: Vec<FindId>) {
    let daybook = Arc::clone(daybook);
    jobs.start(ctx, say!("Reading finds"), move |_progress| {
        let finds = with(&daybook, |daybook| daybook.several(&ids)).map(|finds| loaded(ids, finds));
        JobDone::Daybook(Done::Loaded(finds))
    });
}

/// Counts what the list could be narrowed by.
pub fn facets(jobs: &mut Jobs, ctx: &Context, daybook: &SharedDaybook, asked: &Newest, question: Question) {
    let (daybook, asked) = (Arc::clone(daybook), asked.now());
    jobs.start(ctx, say!("Counting the finds"), move |_progress| {
        if asked.is_overtaken(&daybook) {
            return JobDone::Daybook(Done::Overtaken);
        }
        let counted = with(&daybook, |daybook| daybook.facets(&question.filter));
        JobDone::Daybook(Done::Facets(Box::new(question), counted.map(Box::new)))
    });
}

/// Does something to finds.
pub fn act(jobs: &mut Jobs, ctx: &Context, daybook: &SharedDaybook, doc: &Document, deed: Deed) {
    let (daybook, doc) = (Arc::clone(daybook), doc.clone());
    jobs.start(ctx, say!("Writing in the daybook"), move |_progress| JobDone::Daybook(Done::Deed(done(&daybook, &doc, deed))));
}

fn done(daybook: &SharedDaybook, doc: &Document, deed: Deed) -> Outcome {
    let now = ZonedDateTime::now();
    let step = |name: String, changed: Vec<(FindId, u32)>| {
        (!changed.is_empty()).then(|| Step { name, change: Change::Finds { turned: Arc::new(Mutex::new(changed)) } })
    };
    match deed {
        Deed::Change(ids, change) => {
            let made = with(daybook, |daybook| daybook.change_many(&ids, &change, &now))?;
            let says = say!("{changed} changed: {change}", changed = pieces(made.changed.len()), change = change.words());
            Ok((step(format!("{}: {}", pieces(made.changed.len()), change.words()), made.changed), says))
        }
        Deed::Edit(find, name) => {
            let revision = with(daybook, |daybook| daybook.change(&find, &now))?;
            Ok((step(name.clone(), vec![(find.id, revision)]), say!("Changed: {name}", name)))
        }
        Deed::OneMore(id) => {
            let (revision, pieces) = with(daybook, |daybook| {
                let mut find = daybook.find(id)?.ok_or(DaybookError::NoSuchFind { id })?;
                find.record.pieces = find.record.pieces.and_one();
                Ok((daybook.change(&find, &now)?, find.record.pieces.get()))
            })?;
            Ok((
                step(say!("one more like the last").to_owned(), vec![(id, revision)]),
                say!("One more like the last find: {pieces} pieces now", pieces),
            ))
        }
        Deed::TakeOut(ids) => {
            let out = with(daybook, |daybook| daybook.mark_many(&ids, ChangeKind::Removed, &now))?;
            let (n, finds) = (out.len(), Arc::from(out));
            let step = Step { name: say!("take {n} out", n = pieces(n)), change: Change::Out { finds } };
            Ok(((n > 0).then_some(step), say!("{n} taken out; undo puts them back", n = pieces(n))))
        }
        Deed::BringIn(path) => bring_in(daybook, doc, &path, &now),
    }
}

/// Brings the rows of a sorted box in: each as a find, named from what its cells say. Columns `box`, `note` and `place` go where they belong.
fn bring_in(daybook: &SharedDaybook, doc: &Document, path: &Path, now: &ZonedDateTime) -> Outcome {
    let table = read(path, &Options::default()).map_err(|error| error.to_string())?;
    let namer = Namer::new(&doc.key, &table.headers);
    if !namer.uses().iter().any(|to| matches!(to, Use::Feature(_))) {
        return Err(say!("no column of '{file}' is called like a feature of this key, so its rows can't be finds", file = table.file));
    }
    let column = |names: &[&str]| table.headers.iter().position(|header| names.iter().any(|name| header.trim().eq_ignore_ascii_case(name)));
    let (label, note, place) = (column(&["box", "box or lot", "lot"]), column(&["note", "notes"]), column(&["place", "found at"]));
    let cell = |row: usize, column: Option<usize>| column.map(|column| table.cell(row, column).trim().to_owned()).unwrap_or_default();
    let mut unread = 0;
    let mut finds = Vec::new();
    for row in 0..table.len() {
        let (piece, problems) = namer.piece(|column| table.cell(row, column));
        unread += problems.len();
        let mut find = find_of_piece(doc, &piece);
        find.box_label = Some(cell(row, label)).filter(|label| !label.is_empty()).unwrap_or_else(|| doc.box_label.clone());
        find.record.place_found = cell(row, place);
        let said: Vec<String> = std::iter::once(cell(row, note)).filter(|note| !note.is_empty()).chain(problems).collect();
        find.note = said.join("; ");
        finds.push(find);
    }
    with(daybook, |daybook| daybook.put_many(&finds, now))?;
    let ids: Arc<[FindId]> = finds.iter().map(|find| find.id).collect();
    let more = if unread == 0 {
        String::new()
    } else {
        say_count!(n = unread, "; {n} cell can't be read, the notes say which", "; {n} cells can't be read, the notes say which")
    };
    let step = Step { name: say!("bring {ids} in", ids = pieces(ids.len())), change: Change::Brought { finds: Arc::clone(&ids) } };
    Ok(((!ids.is_empty()).then_some(step), say!("{ids} brought in, doubtful ones first{more}", ids = pieces(ids.len()), more)))
}

/// Takes a step over finds back, or does it again.
pub fn turn(jobs: &mut Jobs, ctx: &Context, daybook: &SharedDaybook, turned: &Turned) {
    let (daybook, turned) = (Arc::clone(daybook), Arc::clone(turned));
    jobs.start(ctx, say!("Writing in the daybook"), move |_progress| {
        let passed_over = with(&daybook, |daybook| {
            let mut step = turned.lock().unwrap_or_else(PoisonError::into_inner);
            let done = daybook.take_back(&step, &ZonedDateTime::now())?;
            *step = done.changed;
            Ok(done.passed_over.len())
        });
        JobDone::Daybook(Done::TurnedBack(passed_over))
    });
}

/// Takes finds out or puts them back, as a step is turned.
pub fn mark(jobs: &mut Jobs, ctx: &Context, daybook: &SharedDaybook, finds: &Arc<[FindId]>, what: ChangeKind) {
    let (daybook, finds) = (Arc::clone(daybook), Arc::clone(finds));
    jobs.start(ctx, say!("Writing in the daybook"), move |_progress| {
        let marked = with(&daybook, |daybook| daybook.mark_many(&finds, what, &ZonedDateTime::now()));
        JobDone::Daybook(Done::TurnedBack(marked.map(|_marked| 0)))
    });
}

/// Asks for a sorted box with the system's dialog.
pub fn choose(jobs: &mut Jobs, ctx: &Context) {
    jobs.start(ctx, say!("Choosing a list"), |_progress| {
        let dialog = rfd::FileDialog::new()
            .set_title(say!("Bring in a sorted box"))
            .add_filter(say!("Lists"), &["csv", "tsv", "txt", "xlsx", "ods"]);
        JobDone::Daybook(Done::Chosen(dialog.pick_file()))
    });
}

impl Footring {
    /// Does something to finds of the daybook.
    pub(super) fn act_on_finds(&mut self, ctx: &Context, deed: Deed) {
        act(&mut self.jobs, ctx, &self.daybook, &self.doc, deed);
    }

    /// One more piece like the find that was put in last.
    pub(super) fn same_as_last(&mut self, ctx: &Context) {
        match self.views.bench.last_put {
            Some(last) => self.act_on_finds(ctx, Deed::OneMore(last)),
            None => {
                self.notice =
                    Some(Notice::problem(say!("no find was put in yet: put the first of them in the daybook, then count the others")));
            }
        }
    }

    pub(super) fn deed_done(&mut self, ctx: &Context, outcome: Outcome) {
        match outcome {
            Ok((step, says)) => {
                if matches!(step.as_ref().map(|step| &step.change), Some(Change::Brought { .. })) {
                    self.views.daybook.show_doubtful_first();
                }
                self.steps.extend(step);
                self.notice = Some(Notice::news(says));
            }
            Err(why) => self.notice = Some(Notice::problem(say!("nothing was changed in the daybook: {why}", why))),
        }
        self.count_box(ctx);
        self.list_finds(ctx);
    }

    pub(super) fn turned_back(&mut self, ctx: &Context, passed_over: Result<usize, String>) {
        match passed_over {
            Ok(0) => {}
            Ok(n) => {
                let says = say_count!(n, "{n} find was changed since and left alone", "{n} finds were changed since and left alone");
                self.notice = Some(Notice::problem(says));
            }
            Err(why) => self.notice = Some(Notice::problem(say!("nothing was changed in the daybook: {why}", why))),
        }
        self.count_box(ctx);
        self.list_finds(ctx);
    }
}
