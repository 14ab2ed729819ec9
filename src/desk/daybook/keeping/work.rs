//! The jobs of the page, and what the document is told of them.

use super::{Asked, Join, KeepingPage};
use crate::daybook::backup::{BackedUp, look_at};
use crate::daybook::census::SERVICES;
use crate::daybook::copies::{Copy, PutInPlace};
use crate::daybook::join::{Choice, InEarnest, Joined, Side};
use crate::daybook::{Beside, Daybook, FindId};
use crate::desk::app::Footring;
use crate::desk::command::{Notice, Steps};
use crate::desk::daybook::pages::Done as PageDone;
use crate::desk::daybook_work::{SharedDaybook, with};
use crate::desk::jobs::{Done as JobDone, Jobs, Progress};
use crate::desk::kept::State;
use crate::{say, say_count};
use egui::Context;
use jiff::ZonedDateTime;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

/// Where another daybook is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Other {
    /// In a folder.
    Folder,
    /// In a backup.
    Backup,
}

/// Something asked for on the page.
#[derive(Debug, Clone)]
pub enum Wish {
    /// Show it.
    Open,
    /// Choose where to write a backup, with the system's dialog.
    ChooseBackup,
    /// Write a backup there.
    BackUp(PathBuf),
    /// Choose a backup to bring back.
    ChooseToBringBack,
    /// Read a backup through.
    LookAt(PathBuf),
    /// Put that backup in the daybook's place.
    BringBack(PathBuf),
    /// Choose another daybook.
    ChooseOther(Other),
    /// Look at another daybook: what would come of taking it in.
    LookAtOther(PathBuf),
    /// Take it in, with what was chosen for finds that both changed.
    Join(PathBuf, BTreeMap<FindId, Side>),
    /// Go back to a copy of the finds.
    GoBack(PathBuf),
}

/// What a job sends.
#[derive(Debug)]
pub enum Done {
    /// A dialog was closed: what is wished now, if anything.
    Chosen(Option<Wish>),
    /// The copies there are.
    Copies(Vec<Copy>),
    /// A backup was written, and where.
    BackedUp(Result<(BackedUp, PathBuf), String>),
    /// A backup was read through.
    LookedAt(PathBuf, Result<BackedUp, String>),
    /// A backup was put in place.
    BroughtBack(Result<PutInPlace, String>),
    /// Another daybook was looked at.
    LookedAtOther(PathBuf, Result<Arc<Joined>, String>),
    /// It was taken in; the copy of before.
    Joined(Result<(Arc<Joined>, PathBuf), String>),
    /// A copy of the finds stands in their place; the copy of before.
    WentBack(Result<PathBuf, String>),
}

/// A daybook of its own on the same folder, so that a long job does not keep the others from theirs.
fn another(daybook: &SharedDaybook) -> Result<Daybook, String> {
    let folder = with(daybook, |daybook| Ok(daybook.folder().to_owned()))?;
    Daybook::open(&folder).map_err(|error| error.to_string())
}

pub(super) fn name_of(path: &Path) -> String {
    path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned())
}

impl Footring {
    /// Does what was asked for on the page.
    pub(in crate::desk) fn keeping(&mut self, ctx: &Context, wish: Wish) {
        let daybook = Arc::clone(&self.daybook);
        let page = &mut self.views.daybook.keeping;
        page.said = None;
        let now = ZonedDateTime::now();
        match wish {
            Wish::Open => {
                self.turn_to().keeping = KeepingPage { is_open: true, ..KeepingPage::default() };
                self.read_copies(ctx);
            }
            Wish::ChooseBackup => {
                let name = format!("daybook-{}.zip", now.date());
                start(&mut self.jobs, ctx, say!("Choosing a file"), move |_progress| {
                    let dialog = rfd::FileDialog::new().set_title(say!("Back the daybook up")).set_file_name(name);
                    Done::Chosen(dialog.add_filter("ZIP", &["zip"]).save_file().map(Wish::BackUp))
                });
            }
            Wish::BackUp(to) => {
                page.asked = Asked::Working(say!("Writing the backup and reading it again …"));
                start(&mut self.jobs, ctx, say!("Backing the daybook up"), move |progress| {
                    let made = another(&daybook).and_then(|book| book.back_up(&to, &progress.for_photo()).map_err(|e| e.to_string()));
                    Done::BackedUp(made.map(|made| (made, to)))
                });
            }
            Wish::ChooseToBringBack => start(&mut self.jobs, ctx, say!("Choosing a file"), |_progress| {
                let dialog = rfd::FileDialog::new().set_title(say!("Bring a backup back")).add_filter("ZIP", &["zip"]);
                Done::Chosen(dialog.pick_file().map(Wish::LookAt))
            }),
            Wish::LookAt(from) => {
                page.asked = Asked::Working(say!("Reading the backup through …"));
                start(&mut self.jobs, ctx, say!("Reading the backup"), move |progress| {
                    let holds = look_at(&from, &progress.for_photo()).map_err(|e| e.to_string());
                    Done::LookedAt(from, holds)
                });
            }
            Wish::BringBack(from) => {
                page.asked = Asked::Working(say!("Bringing the backup back …"));
                start(&mut self.jobs, ctx, say!("Bringing a backup back"), move |progress| {
                    let progress = progress.for_photo();
                    let put = another(&daybook).and_then(|mut book| book.put_in_place(&from, &now, &progress).map_err(|e| e.to_string()));
                    Done::BroughtBack(put)
                });
            }
            Wish::ChooseOther(other) => start(&mut self.jobs, ctx, say!("Choosing a daybook"), move |_progress| {
                let dialog = rfd::FileDialog::new().set_title(say!("Take another daybook in"));
                let chosen = match other {
                    Other::Folder => dialog.pick_folder(),
                    Other::Backup => dialog.add_filter("ZIP", &["zip"]).pick_file(),
                };
                Done::Chosen(chosen.map(Wish::LookAtOther))
            }),
            Wish::LookAtOther(other) => {
                page.asked = Asked::Working(say!("Looking at the other daybook …"));
                start(&mut self.jobs, ctx, say!("Looking at another daybook"), move |progress| {
                    let would = another(&daybook).and_then(|mut book| {
                        let joined = book.join(&other, &Choice::default(), &now, InEarnest::No, &progress.for_photo());
                        joined.map(Arc::new).map_err(|e| e.to_string())
                    });
                    Done::LookedAtOther(other, would)
                });
            }
            Wish::Join(other, each) => {
                page.asked = Asked::Working(say!("Taking the other daybook in …"));
                start(&mut self.jobs, ctx, say!("Taking another daybook in"), move |progress| {
                    Done::Joined(another(&daybook).and_then(|mut book| {
                        let copy = book.keep_copy("joining", &now).map_err(|e| e.to_string())?;
                        let joined = book.join(&other, &Choice { all: None, each }, &now, InEarnest::Yes, &progress.for_photo());
                        joined.map(|joined| (Arc::new(joined), copy)).map_err(|e| e.to_string())
                    }))
                });
            }
            Wish::GoBack(copy) => {
                page.asked = Asked::Working(say!("Going back …"));
                start(&mut self.jobs, ctx, say!("Going back to a copy"), move |_progress| {
                    Done::WentBack(another(&daybook).and_then(|mut book| book.go_back_to(&copy, &now).map_err(|e| e.to_string())))
                });
            }
        }
    }

    fn read_copies(&mut self, ctx: &Context) {
        let daybook = Arc::clone(&self.daybook);
        start(&mut self.jobs, ctx, say!("Looking for copies"), move |_progress| {
            Done::Copies(with(&daybook, |daybook| Ok(daybook.copies())).unwrap_or_default())
        });
    }

    /// Takes in what a job of the page has done.
    pub(in crate::desk) fn keeping_done(&mut self, ctx: &Context, done: Done) {
        let page = &mut self.views.daybook.keeping;
        match done {
            Done::Chosen(wish) => {
                if let Some(wish) = wish {
                    self.keeping(ctx, wish);
                }
            }
            Done::Copies(copies) => page.copies = copies,
            Done::BackedUp(made) => page.take_in(&made.map(|(made, to)| backed_up_words(&made, &to))),
            Done::LookedAt(from, Ok(holds)) => page.asked = Asked::BringBack { from, holds },
            Done::LookedAtOther(other, Ok(would)) => {
                page.asked = Asked::Join(Box::new(Join { other, would, each: BTreeMap::new(), at: 0 }));
            }
            Done::LookedAt(_, Err(why)) | Done::LookedAtOther(_, Err(why)) => page.take_in(&Err(why)),
            Done::BroughtBack(put) => {
                let well = put.is_ok();
                page.take_in(&put.map(|put| {
                    let finds = say_count!(n = usize::try_from(put.finds).unwrap_or(usize::MAX), "{n} find stands", "{n} finds stand");
                    say!("{finds} in the daybook now. What was there before is kept: {copy}", finds, copy = name_of(&put.copy))
                }));
                self.daybook_was_replaced(ctx, well);
            }
            Done::Joined(joined) => {
                let well = joined.is_ok();
                page.take_in(&joined.map(|(joined, copy)| {
                    let says = super::joining::words(&joined);
                    say!("{says}. What was there before is kept: {copy}", says, copy = name_of(&copy))
                }));
                self.daybook_was_replaced(ctx, well);
            }
            Done::WentBack(went) => {
                let well = went.is_ok();
                page.take_in(
                    &went.map(|copy| {
                        say!("The copy stands in the daybook now. What was there before is kept: {copy}", copy = name_of(&copy))
                    }),
                );
                self.daybook_was_replaced(ctx, well);
            }
        }
    }

    /// What was read of the daybook is no longer so: it is read again, and the steps on it can't be taken back any more.
    fn daybook_was_replaced(&mut self, ctx: &Context, well: bool) {
        self.read_copies(ctx);
        if !well {
            return;
        }
        self.steps = Steps::default();
        self.views.bench.last_put = None;
        (self.doc.shelves.state, self.doc.services.state) = (State::NotRead, State::NotRead);
        let anew = with(&self.daybook, |daybook| {
            daybook.read_rules();
            Ok((daybook.folder().to_owned(), daybook.rules().clone()))
        });
        if let Ok((folder, rules)) = anew {
            let file = |name: &str| Arc::new(Mutex::new(Beside::at(&folder, name)));
            (self.shelves_file, self.services_file) = (file("shelves.ron"), file(SERVICES));
            self.doc.condition_rules = Arc::new(rules);
        }
        self.list_finds(ctx);
        self.count_box(ctx);
        self.notice = Some(Notice::news(say!("The daybook was read anew; undo begins from here")));
    }
}

/// Starts a job of the page.
fn start(jobs: &mut Jobs, ctx: &Context, doing: &'static str, work: impl FnOnce(&Progress) -> Done + Send + 'static) {
    jobs.start(ctx, doing, move |progress| JobDone::Pages(PageDone::Keeping(Box::new(work(progress)))));
}

fn backed_up_words(made: &BackedUp, to: &Path) -> String {
    let finds = say_count!(n = usize::try_from(made.finds).unwrap_or(usize::MAX), "{n} find", "{n} finds");
    let photographs = say_count!(n = made.photographs, "{n} photograph", "{n} photographs");
    let says = say!("{finds} and {photographs} are in {file}, which was read again and is sound", finds, photographs, file = to.display());
    if made.lost.is_empty() {
        return says;
    }
    let lost = say_count!(
        n = made.lost.len(),
        "{n} photograph was missing from the daybook's folder, or harmed, and is not in it",
        "{n} photographs were missing from the daybook's folder, or harmed, and are not in it"
    );
    format!("{says}. {lost}")
}
