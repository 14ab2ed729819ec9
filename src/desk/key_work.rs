//! Opening and saving the house key, off the frame.

use super::app::Footring;
use super::command::{Change, Notice, Step};
use super::document::{Compiled, KeyPlace};
use super::jobs::{Done as JobDone, Jobs};
use super::key_pictures::NewPicture;
use crate::key::{Folder, Key, SaveError, builtin, capital, pack};
use crate::{say, say_count};
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
    /// The dialog was closed: the folder or packed key chosen, if any.
    Chosen(Option<PathBuf>),
    /// The key was packed into a file, or a packed one could not be unpacked: what to say.
    Told(Notice),
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
        *notice = Some(Notice::problem(say!("the demo key can't be copied, so it is open in memory only: {error}", error)));
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
    let words = say_count!(n = problems.len(), "this key has a problem: {first}", "this key has {n} problems; the first: {first}", first);
    Some(Notice::problem(words.replace('\n', ", ")))
}

/// Opens a key in the background.
pub fn open(jobs: &mut Jobs, ctx: &Context, dir: PathBuf, because: Because) {
    jobs.start(ctx, say!("Opening the key"), move |_progress| {
        let (dir, unpacked) = match unpacked(dir) {
            Ok(found) => found,
            Err(error) => return JobDone::Key(Done::Told(Notice::problem(error))),
        };
        let mut folder = Folder::open(&dir);
        let brought_up = match folder.bring_up() {
            Ok(None) => unpacked,
            Ok(Some(up)) => Some(Notice::news(capital(&up.sentence()))),
            Err(error) => Some(Notice::problem(say!("this key is of an older format and could not be brought up: {error}", error))),
        };
        let compiled = Compiled::new(Arc::new(folder.key().clone())).in_full();
        JobDone::Key(Done::Opened(Box::new(folder), Box::new(compiled), because, brought_up))
    });
}

/// The folder of a key: for a packed one, that beside it, which is made where it is not there; and what to say of it.
fn unpacked(dir: PathBuf) -> Result<(PathBuf, Option<Notice>), String> {
    if !pack::is_packed(&dir) {
        return Ok((dir, None));
    }
    let to = pack::folder_of(&dir);
    if to.is_dir() {
        let words = say!(
            "This key is unpacked already, in '{folder}', which is open now. What is in the packed file may differ: 'footring unpack' gives it a folder of its own.",
            folder = to.display()
        );
        return Ok((to, Some(Notice::news(words))));
    }
    let pictures = pack::unpack(&dir, &to).map_err(|e| e.to_string())?;
    let words = say!("Unpacked with {pictures} pictures into '{folder}', which is open now", pictures, folder = to.display());
    Ok((to, Some(Notice::news(words))))
}

/// Asks for a packed key with the system's dialog.
pub fn choose_packed(jobs: &mut Jobs, ctx: &Context) {
    jobs.start(ctx, say!("Choosing a key"), move |_progress| {
        let dialog = rfd::FileDialog::new().set_title(say!("Open a packed key")).add_filter(say!("Packed keys"), &[pack::ENDING]);
        JobDone::Key(Done::Chosen(dialog.pick_file()))
    });
}

/// Packs the key of a folder into a file that is asked for with the system's dialog, as it is on disk.
pub fn pack(jobs: &mut Jobs, ctx: &Context, dir: PathBuf) {
    jobs.start(ctx, say!("Packing the key"), move |_progress| {
        let name = format!("{}.{}", dir.file_name().map_or_else(|| "key".into(), |name| name.to_string_lossy()), pack::ENDING);
        let dialog = rfd::FileDialog::new().set_title(say!("Pack the key into one file")).set_file_name(name);
        let Some(file) = dialog.save_file() else { return JobDone::Key(Done::Chosen(None)) };
        JobDone::Key(Done::Told(packed(&dir, &file)))
    });
}

/// Packs a key, and what to say of it.
pub fn packed(dir: &Path, file: &Path) -> Notice {
    match pack::pack(dir, file) {
        Ok(pictures) => Notice::news(say!("Packed with {pictures} pictures into '{file}'", pictures, file = file.display())),
        Err(error) => Notice::problem(error.to_string()),
    }
}

/// Asks for a key's folder with the system's dialog.
pub fn choose(jobs: &mut Jobs, ctx: &Context) {
    jobs.start(ctx, say!("Choosing a key"), |_progress| {
        JobDone::Key(Done::Chosen(rfd::FileDialog::new().set_title(say!("Open a house key: choose its folder")).pick_folder()))
    });
}

/// Saves the key in the background, its new pictures first. A key in memory has nowhere to go and stays there.
pub fn save(jobs: &mut Jobs, ctx: &Context, folder: &SharedFolder, key: Arc<Key>, step: String, pictures: Vec<NewPicture>) {
    let folder = Arc::clone(folder);
    jobs.start(ctx, say!("Saving the key"), move |_progress| {
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
                    self.notice = problem.or_else(|| Some(Notice::news(say!("Opened: {about}", about = folder.key().about.title))));
                } else {
                    self.notice = self.notice.take().or(problem);
                }
                self.notice = brought_up.or(self.notice.take());
                // Pictures that were not saved belong to the key before.
                self.new_pictures.clear();
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
            Done::Told(notice) => {
                self.opening = None;
                self.notice = Some(notice);
            }
            Done::Chosen(None) | Done::Disk(None) => {}
            Done::Disk(Some(found)) => self.disk_found(ctx, *found),
            Done::Saved(Ok(on_disk), step) => {
                // What somebody else changed on disk meanwhile was joined with ours: a step of its own, so that undoing ours leaves theirs.
                if *on_disk != *self.doc.key && self.jobs.is_idle() {
                    let (before, after) = (Arc::clone(&self.doc.key), Arc::from(on_disk));
                    self.doc.set_key(Arc::clone(&after));
                    self.steps.push(Step { name: say!("changes on disk").to_owned(), change: Change::Key { before, after } });
                }
                self.notice = Some(Notice::news(say!("Saved: {step}", step)));
            }
            Done::Saved(Err(SaveError::Clash(_)), step) => super::clash::look_at_disk(self, ctx, Some(step)),
            Done::Saved(Err(error), step) => {
                self.notice = Some(Notice::problem(say!("{step} is on screen but not saved: {error}", step, error)));
            }
        }
    }
}
