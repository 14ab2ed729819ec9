//! Opening and saving the house key, off the frame.

use super::app::Footring;
use super::command::{Change, Notice, Step};
use super::document::{Compiled, KeyPlace};
use super::jobs::{Done as JobDone, Jobs};
use super::mark_drawer::NewPicture;
use crate::key::{Folder, Key, SaveError, builtin, capital};
use egui::Context;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// The open folder of the key, shared with the job that saves it. None for a key in memory.
pub type SharedFolder = Arc<Mutex<Option<Folder>>>;

/// What a job on the key sends.
#[derive(Debug)]
pub enum Done {
    /// A key was opened, and all that is worked out from it; what was done to bring an older one up, or why that failed.
    Opened(Box<Folder>, Box<Compiled>, Because, Option<Notice>),
    /// The key on disk was looked at. None where it is as it was read.
    Disk(Option<Box<super::clash::Found>>),
    /// The key was saved; the step that it was saved for.
    Saved(Result<Box<Key>, SaveError>, String),
    /// The dialog was closed: the folder chosen, if any.
    Chosen(Option<PathBuf>),
}

/// Why a key is opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Because {
    /// The window has just been opened.
    TheWindowOpened,
    /// The person asked for it.
    Asked,
}

/// The key that the window opens on.
#[derive(Debug, Clone)]
pub enum First {
    /// That of a folder, which is still to be read.
    Folder(PathBuf),
    /// The demo key in memory, where it can't be copied.
    InMemory,
}

/// No folder: a key in memory.
pub fn no_folder() -> SharedFolder {
    Arc::new(Mutex::new(None))
}

/// Which key to open: the one asked for, else the one used last, else a copy of the demo key in the data folder.
pub fn first(asked: Option<PathBuf>, last: Option<PathBuf>, data_dir: &Path, notice: &mut Option<Notice>) -> First {
    let wanted = match asked {
        // The word for the demo key, whatever was used last.
        Some(word) if word == Path::new("demo") => None,
        Some(dir) => Some(dir),
        None => last.filter(|dir| dir.is_dir()),
    };
    if let Some(dir) = wanted {
        return First::Folder(dir);
    }
    let dir = data_dir.join("keys").join("marrowby");
    if !dir.exists()
        && let Err(error) = builtin::copy_demo(&dir)
    {
        *notice = Some(Notice::problem(format!("the demo key can't be copied, so it is open in memory only: {error}")));
        return First::InMemory;
    }
    First::Folder(dir)
}

fn place_of(folder: &Folder) -> KeyPlace {
    KeyPlace {
        dir: Some(folder.dir().to_owned()),
        problems: Arc::new(folder.problems().iter().map(ToString::to_string).collect()),
        read_only: folder.read_only(),
    }
}

/// A line on what is wrong with a key, where anything is.
fn said_of(folder: &Folder) -> Option<Notice> {
    let problems = folder.problems();
    let first = problems.first()?;
    let words = match problems.len() {
        1 => format!("this key has a problem: {first}"),
        n => format!("this key has {n} problems; the first: {first}"),
    };
    Some(Notice::problem(words.replace('\n', ", ")))
}

/// Opens a key in the background.
pub fn open(jobs: &mut Jobs, ctx: &Context, dir: PathBuf, because: Because) {
    jobs.start(ctx, "Opening the key", move |_progress| {
        let mut folder = Folder::open(&dir);
        let brought_up = match folder.bring_up() {
            Ok(None) => None,
            Ok(Some(up)) => Some(Notice::news(capital(&up.sentence()))),
            Err(error) => Some(Notice::problem(format!("this key is of an older format and could not be brought up: {error}"))),
        };
        let compiled = Compiled::new(Arc::new(folder.key().clone())).in_full();
        JobDone::Key(Done::Opened(Box::new(folder), Box::new(compiled), because, brought_up))
    });
}

/// Asks for a key's folder with the system's dialog.
pub fn choose(jobs: &mut Jobs, ctx: &Context) {
    jobs.start(ctx, "Choosing a key", |_progress| {
        JobDone::Key(Done::Chosen(rfd::FileDialog::new().set_title("Open a house key: choose its folder").pick_folder()))
    });
}

/// Saves the key in the background, its new pictures first. A key in memory has nowhere to go and stays there.
pub fn save(jobs: &mut Jobs, ctx: &Context, folder: &SharedFolder, key: Arc<Key>, step: String, pictures: Vec<NewPicture>) {
    let folder = Arc::clone(folder);
    jobs.start(ctx, "Saving the key", move |_progress| {
        let mut folder = folder.lock().unwrap_or_else(PoisonError::into_inner);
        let saved = match folder.as_mut() {
            Some(folder) => put_all(folder, &pictures).and_then(|()| folder.save(&key)).map(|_saved| Box::new(folder.key().clone())),
            None => Ok(Box::new(Key::clone(&key))),
        };
        JobDone::Key(Done::Saved(saved, step))
    });
}

/// Puts new pictures into the key's folder, before anything names them.
fn put_all(folder: &Folder, pictures: &[NewPicture]) -> Result<(), SaveError> {
    pictures.iter().try_for_each(|picture| {
        let bytes = picture.jpeg().map_err(|why| SaveError::Picture { file: picture.file.clone(), why })?;
        folder.put_picture(&picture.file, &bytes)
    })
}

impl Footring {
    pub(super) fn key_done(&mut self, ctx: &Context, done: Done) {
        match done {
            Done::Opened(folder, compiled, because, brought_up) => {
                let problem = said_of(&folder);
                if because == Because::Asked {
                    self.notice = problem.or_else(|| Some(Notice::news(format!("Opened: {}", folder.key().about.title))));
                } else {
                    self.notice = self.notice.take().or(problem);
                }
                self.notice = brought_up.or(self.notice.take());
                self.key_watch.start(ctx, folder.dir());
                self.opening = None;
                super::bring_in::close(&mut self.views.bring_in);
                self.views.key_book.forget();
                self.log.hide(folder.dir(), "<key>");
                self.doc.place = place_of(&folder);
                self.doc.set_compiled(*compiled);
                self.settings.last_key = Some(folder.dir().to_owned());
                self.steps = super::command::Steps::default();
                *self.folder.lock().unwrap_or_else(PoisonError::into_inner) = Some(*folder);
            }
            Done::Chosen(Some(dir)) => open(&mut self.jobs, ctx, dir, Because::Asked),
            Done::Chosen(None) | Done::Disk(None) => {}
            Done::Disk(Some(found)) => self.disk_found(ctx, *found),
            Done::Saved(Ok(on_disk), step) => {
                // What somebody else changed on disk meanwhile was joined with ours: a step of its own, so that undoing ours leaves theirs.
                if *on_disk != *self.doc.key && self.jobs.is_idle() {
                    let (before, after) = (Arc::clone(&self.doc.key), Arc::from(on_disk));
                    self.doc.set_key(Arc::clone(&after));
                    self.steps.push(Step { name: "changes on disk".to_owned(), change: Change::Key { before, after } });
                }
                self.notice = Some(Notice::news(format!("Saved: {step}")));
            }
            Done::Saved(Err(SaveError::Clash(_)), step) => super::clash::look_at_disk(self, ctx, Some(step)),
            Done::Saved(Err(error), step) => {
                self.notice = Some(Notice::problem(format!("{step} is on screen but not saved: {error}")));
            }
        }
    }
}
