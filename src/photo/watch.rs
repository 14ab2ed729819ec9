//! A folder that offers its newest picture: the one where the phone or the camera puts what it takes.
//!
//! The system's notices only say that it is time to look; what is new is told by comparing the folder with what was there before. So a file
//! that is moved in, renamed when complete, or written in place all come out the same, and where no notices are to be had (a network
//! drive, a phone on its cable) the folder is looked at now and then.

use super::complete::is_whole;
use super::error::PhotoError;
use super::format::{Content, Format, sniff};
use super::open::Limits;
use crate::say;
use notify::event::{AccessKind, AccessMode, Event, EventKind};
use notify::{RecommendedWatcher, RecursiveMode, Watcher as _};
use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::thread::{self, JoinHandle};
use std::time::{Duration, SystemTime};

/// A folder being watched. Dropping it ends the watching and waits for its thread.
#[derive(Debug)]
pub struct Watch {
    folder: PathBuf,
    notices: Receiver<Notice>,
    to_thread: Sender<Message>,
    thread: Option<JoinHandle<()>>,
}

/// Something that happened in a watched folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Notice {
    /// A complete picture is new or was changed. Of several, the newest comes last.
    Picture(PathBuf),
    /// A complete picture is new, but of a kind that is not read here: a sentence that says so and what to do.
    NotReadHere(String),
    /// The folder cannot be seen any more, and why. It is looked for again and again.
    Gone(String),
    /// The folder is there again.
    Back,
    /// The system sends no notices of this folder, and why; it is looked at every few seconds instead.
    Polling(String),
}

/// Whether the system is asked for notices.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Watching {
    /// Ask for them, and look now and then all the same.
    #[default]
    WithNotices,
    /// Only look now and then.
    ByLooking,
}

/// How a folder is watched.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WatchOptions {
    /// Whether the system is asked for notices.
    pub watching: Watching,
    /// Time between two looks at the folder where nothing is known to happen.
    pub look_every: Duration,
    /// A file must keep its length and time for this long before it counts as complete.
    pub settle: Duration,
}

impl WatchOptions {
    /// Notices, a look every three seconds, a third of a second to settle.
    pub const USUAL: Self =
        Self { watching: Watching::WithNotices, look_every: Duration::from_secs(3), settle: Duration::from_millis(350) };
}

/// Why a folder is not watched.
#[derive(Debug, thiserror::Error)]
pub enum WatchError {
    /// It is no folder.
    #[error("{}", say!("'{name}' is not a folder (choose the folder where the phone or camera puts its pictures)", name))]
    NotAFolder {
        /// Its name.
        name: String,
    },
    /// It cannot be read.
    #[error("{}", say!("the folder '{name}' could not be read: {source}", name, source))]
    Unreadable {
        /// Its name.
        name: String,
        /// What the system said.
        source: io::Error,
    },
    /// No thread could be started.
    #[error("{}", say!("watching the folder could not be started: {source}", source))]
    Thread {
        /// What the system said.
        source: io::Error,
    },
}

enum Message {
    Look,
    Stop,
}

impl Watch {
    /// Begins to watch a folder, not those inside it. What is in it already is not offered. `wake` is called, on another thread, after each notice.
    ///
    /// # Errors
    /// [`WatchError`], where it is no folder that can be read. That the system sends no notices is no error, see [`Notice::Polling`].
    pub fn start(folder: &Path, options: WatchOptions, wake: impl Fn() + Send + 'static) -> Result<Self, WatchError> {
        let name = super::open::file_name(folder);
        if folder.exists() && !folder.is_dir() {
            return Err(WatchError::NotAFolder { name });
        }
        let known = list(folder).map_err(|source| WatchError::Unreadable { name, source })?;
        let (to_thread, messages) = mpsc::channel();
        let (send, notices) = mpsc::channel();
        let mut look = Looker { folder: folder.to_owned(), options, known, pending: BTreeMap::new(), gone: false, notices: send, wake };
        let for_notices = to_thread.clone();
        // The notices are asked for before the thread runs, so that nothing that happens after this function is missed for long.
        let watcher = look.ask_for_notices(&for_notices);
        let thread = thread::Builder::new()
            .name("watched folder".to_owned())
            .spawn(move || look.run(&messages, &for_notices, watcher))
            .map_err(|source| WatchError::Thread { source })?;
        Ok(Self { folder: folder.to_owned(), notices, to_thread, thread: Some(thread) })
    }

    /// The folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// The next notice, if there is one. Never waits.
    pub fn next(&self) -> Option<Notice> {
        self.notices.try_recv().ok()
    }

    /// The next notice; waits for it at most that long.
    pub fn wait(&self, at_most: Duration) -> Option<Notice> {
        self.notices.recv_timeout(at_most).ok()
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        let _already_gone = self.to_thread.send(Message::Stop);
        if let Some(thread) = self.thread.take() {
            let _panicked = thread.join();
        }
    }
}

/// What tells one state of a file from the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Stamp {
    changed: SystemTime,
    bytes: u64,
}

struct Looker<W> {
    folder: PathBuf,
    options: WatchOptions,
    /// Files as they were when last settled, or when the watching began.
    known: BTreeMap<PathBuf, Stamp>,
    /// Files that look different now, as they were at the last look.
    pending: BTreeMap<PathBuf, Stamp>,
    gone: bool,
    notices: Sender<Notice>,
    wake: W,
}

impl<W: Fn()> Looker<W> {
    fn run(&mut self, messages: &Receiver<Message>, sender: &Sender<Message>, mut watcher: Option<RecommendedWatcher>) {
        loop {
            let pause = if self.pending.is_empty() { self.options.look_every } else { self.options.settle };
            match messages.recv_timeout(pause) {
                Ok(Message::Stop) | Err(RecvTimeoutError::Disconnected) => return,
                Ok(Message::Look) => {
                    // Notices come in bursts; one look answers all. A pending file gets its time to settle before it is looked at again.
                    if !self.pending.is_empty() {
                        thread::sleep(self.options.settle);
                    }
                    while let Ok(message) = messages.try_recv() {
                        if matches!(message, Message::Stop) {
                            return;
                        }
                    }
                }
                Err(RecvTimeoutError::Timeout) => {}
            }
            let was_gone = self.gone;
            self.look();
            if self.gone {
                // The old folder's notices mean nothing for one that is made anew.
                watcher = None;
            } else if was_gone {
                watcher = self.ask_for_notices(sender);
            }
            let _kept_alive = &watcher;
        }
    }

    /// Asks the system for notices, and says so where there are none to be had.
    fn ask_for_notices(&self, sender: &Sender<Message>) -> Option<RecommendedWatcher> {
        if self.options.watching == Watching::ByLooking {
            return None;
        }
        let sender = sender.clone();
        let asked = notify::recommended_watcher(move |event: notify::Result<Event>| {
            // Looking at the folder is itself an access: to answer those would never end.
            let only_read =
                event.is_ok_and(|event| matches!(event.kind, EventKind::Access(kind) if kind != AccessKind::Close(AccessMode::Write)));
            if !only_read {
                let _thread_ended = sender.send(Message::Look);
            }
        })
        .and_then(|mut watcher| watcher.watch(&self.folder, RecursiveMode::NonRecursive).map(|()| watcher));
        match asked {
            Ok(watcher) => Some(watcher),
            Err(error) => {
                self.tell(Notice::Polling(error.to_string()));
                None
            }
        }
    }

    /// Compares the folder with what is known of it, and offers what has settled.
    fn look(&mut self) {
        let now = match list(&self.folder) {
            Ok(now) => now,
            Err(error) => {
                if !self.gone {
                    self.gone = true;
                    self.tell(Notice::Gone(error.to_string()));
                }
                return;
            }
        };
        if self.gone {
            self.gone = false;
            self.tell(Notice::Back);
        }
        let before = std::mem::take(&mut self.pending);
        let mut settled: Vec<(Stamp, PathBuf, Notice)> = Vec::new();
        for (path, &stamp) in &now {
            if self.known.get(path) == Some(&stamp) {
                continue;
            }
            if before.get(path) != Some(&stamp) {
                self.pending.insert(path.clone(), stamp);
                continue;
            }
            // It has kept still. What is no whole picture is done with until it changes; what cannot be read yet comes up as new again.
            match judge(path, stamp.bytes) {
                Judged::Picture => settled.push((stamp, path.clone(), Notice::Picture(path.clone()))),
                Judged::NotReadHere(why) => settled.push((stamp, path.clone(), Notice::NotReadHere(why))),
                Judged::NotWhole => {
                    self.known.insert(path.clone(), stamp);
                }
                Judged::Locked => {}
            }
        }
        // Files that were taken away are forgotten, so that one that comes back is offered again.
        self.known.retain(|path, _| now.contains_key(path));
        settled.sort_by(|a, b| (a.0, &a.1).cmp(&(b.0, &b.1)));
        for (stamp, path, notice) in settled {
            self.known.insert(path, stamp);
            self.tell(notice);
        }
    }

    fn tell(&self, notice: Notice) {
        if self.notices.send(notice).is_ok() {
            (self.wake)();
        }
    }
}

/// The files of a folder that could be pictures by their name: no hidden or half-written ones, no folders.
fn list(folder: &Path) -> io::Result<BTreeMap<PathBuf, Stamp>> {
    let mut files = BTreeMap::new();
    for entry in fs::read_dir(folder)? {
        // A file that goes while it is listed is simply not there.
        let Ok(entry) = entry else { continue };
        let path = entry.path();
        if !could_be_picture(&path) {
            continue;
        }
        // Follows a link: some phones' folders are full of them.
        let Ok(about) = fs::metadata(&path) else { continue };
        if about.is_file() {
            files.insert(path, Stamp { changed: about.modified().unwrap_or(SystemTime::UNIX_EPOCH), bytes: about.len() });
        }
    }
    Ok(files)
}

/// Extensions of pictures that are not read here; a person who takes one should hear of it rather than wait.
const NOT_READ_HERE: [&str; 4] = ["heic", "heif", "hif", "avif"];

fn could_be_picture(path: &Path) -> bool {
    let hidden = path.file_name().is_none_or(|name| name.to_string_lossy().starts_with(['.', '~']));
    let extension = path.extension().and_then(|extension| extension.to_str()).unwrap_or_default();
    !hidden && (Format::of_extension(extension).is_some() || NOT_READ_HERE.contains(&extension.to_ascii_lowercase().as_str()))
}

enum Judged {
    Picture,
    NotReadHere(String),
    NotWhole,
    Locked,
}

/// Whether the file is a picture that reaches its own end.
fn judge(path: &Path, bytes: u64) -> Judged {
    if bytes == 0 || bytes > Limits::USUAL.most_bytes {
        return Judged::NotWhole;
    }
    let Ok(content) = fs::read(path) else { return Judged::Locked };
    let head = content.get(..64).unwrap_or(&content);
    match sniff(head, "") {
        Content::Picture(format) if is_whole(format, &content) => Judged::Picture,
        Content::Other(what, advice) => {
            Judged::NotReadHere(PhotoError::OtherFormat { name: super::open::file_name(path), what, advice }.to_string())
        }
        Content::Picture(_) | Content::NotAPicture(_) => Judged::NotWhole,
    }
}
