//! What the photographs show apart from the document, and how pictures come in.

use super::thumbs::Thumbs;
use super::viewer::Viewer;
use super::work::{self, Done, Incoming, reading};
use crate::daybook::{PhotoKind, Photograph};
use crate::desk::action::Action;
use crate::desk::bring_in;
use crate::desk::command::{Command, Notice};
use crate::desk::daybook_work::SharedDaybook;
use crate::desk::document::Document;
use crate::desk::jobs::{Done as JobDone, Jobs};
use crate::desk::settings::Settings;
use crate::photo::{Notice as FolderNotice, Store, Watch};
use crate::say;
use egui::{Context, Event};
use std::collections::VecDeque;
use std::path::{Path, PathBuf};

/// Most pictures read at once: each may need hundreds of megabytes, and one after the other they stay in the order they were given.
const MOST_READING: usize = 1;
/// Most small pictures made at once.
const MOST_DRAWING: usize = 2;
/// The first word of every job that makes a small picture.
fn drawing() -> &'static str {
    say!(in "before the name of a file", "Drawing")
}

/// What the photographs show, apart from the document.
#[derive(Debug, Default)]
pub struct PhotographsView {
    /// Small pictures, for the strip and for the Daybook.
    pub thumbs: Thumbs,
    pub(super) viewer: Option<Viewer>,
    pub(super) watch: Option<Watch>,
    /// The newest picture of the watched folder, not taken yet.
    pub(super) offered: Option<PathBuf>,
    pub(super) asks: Vec<Ask>,
    store: Option<Store>,
    /// True while what is dropped on the window belongs to something else.
    pub leaves_drops: bool,
    incoming: VecDeque<Incoming>,
    /// The pass whose drops and pastes were taken in last; a frame's code may run twice.
    read_pass: Option<u64>,
    /// The watched folder, where it was changed and the settings do not know yet.
    folder_changed: Option<FolderChange>,
    /// What jobs made, to be given to the graphics card when next there is a context at hand.
    made: Vec<Done>,
}

/// How the watched folder was changed.
#[derive(Debug)]
enum FolderChange {
    Watched(PathBuf),
    Left,
}

/// Something asked for while drawing, to be started before the next frame.
#[derive(Debug)]
pub(super) enum Ask {
    Choose,
    Paste,
    TakeOffered,
    ChooseFolder,
    Watch(PathBuf),
    StopWatching,
    Full(Photograph),
}

impl PhotographsView {
    /// Starts what runs in the background: the watched folder.
    pub fn start(&mut self, ctx: &Context, settings: &Settings, data_dir: &Path) {
        self.store = Some(Store::at(&data_dir.join("daybook")));
        if let Some(folder) = settings.watched_folder.clone() {
            self.ask(ctx, Ask::Watch(folder));
        }
    }

    /// Where photographs are kept.
    pub fn store(&self) -> Option<&Store> {
        self.store.as_ref()
    }

    /// Asks for files with the system's dialog.
    pub fn choose(&mut self, ctx: &Context, _jobs: &mut Jobs) {
        self.ask(ctx, Ask::Choose);
    }

    /// Notes the watched folder in the settings where it was changed since the last call.
    pub fn note_folder(&mut self, settings: &mut Settings) {
        match self.folder_changed.take() {
            Some(FolderChange::Watched(folder)) => settings.watched_folder = Some(folder),
            Some(FolderChange::Left) => settings.watched_folder = None,
            None => {}
        }
    }

    /// True while a picture is on its way to the piece in hand.
    pub fn is_reading(&self, jobs: &Jobs) -> bool {
        !self.incoming.is_empty() || running(jobs, reading()) > 0
    }

    /// True while a photograph is being looked at.
    pub fn is_open(&self) -> bool {
        self.viewer.is_some()
    }

    /// Lets the open viewer have an action before the screen below it. True where it took it.
    pub fn takes(&mut self, ctx: &Context, action: Action) -> bool {
        if action == Action::TakeOffered {
            self.ask(ctx, Ask::TakeOffered);
            return true;
        }
        let Some(viewer) = &mut self.viewer else { return false };
        match action {
            Action::NextLook => viewer.enter(),
            Action::CloseCard => viewer.escape(),
            Action::TakeBack | Action::PutInDaybook | Action::NewPiece => {}
            _ => return false,
        }
        ctx.request_repaint();
        true
    }

    pub(super) fn ask(&mut self, ctx: &Context, ask: Ask) {
        self.asks.push(ask);
        ctx.request_repaint();
    }
}

/// Takes in what a job has done.
pub fn take_in(view: &mut PhotographsView, doc: &Document, done: Done, commands: &mut Vec<Command>) {
    match done {
        Done::Added(None) => {}
        Done::Added(Some(Ok(added))) => {
            let mut list = list_now(doc, commands);
            let has_mark = list.iter().any(|photograph| photograph.kind == PhotoKind::Mark);
            let kind = if has_mark { PhotoKind::WholePiece } else { PhotoKind::Mark };
            view.made.push(Done::Thumb(added.photograph.hash, added.photograph.edit, Ok(added.thumb)));
            let name = added.photograph.name.clone();
            list.push(Photograph { kind, ..added.photograph });
            commands.push(Command::Photographs(say!("add a photograph"), list));
            let news = if added.notes.is_empty() {
                say!("{name} is with the piece, as its {kind}", name, kind = kind.words())
            } else {
                added.notes.join("; ")
            };
            say(commands, Notice::news(news));
        }
        Done::Thumb(..) | Done::Full(..) => view.made.push(done),
        Done::Chosen(files) => view.incoming.extend(files.into_iter().map(Incoming::File)),
        Done::ChosenFolder(folder) => view.asks.extend(folder.map(Ask::Watch)),
        Done::Watching(folder, Ok(watch)) => {
            view.watch = Some(watch);
            view.offered = None;
            view.folder_changed = Some(FolderChange::Watched(folder));
        }
        Done::Added(Some(Err(why))) | Done::Watching(_, Err(why)) => say(commands, Notice::problem(why)),
    }
}

/// Looks for dropped files, pasted pictures and news of the watched folder, and starts what was asked for. Called before each frame.
pub fn poll(view: &mut PhotographsView, ctx: &Context, jobs: &mut Jobs, _daybook: &SharedDaybook, commands: &mut Vec<Command>) {
    for done in std::mem::take(&mut view.made) {
        match done {
            Done::Thumb(hash, edit, made) => view.thumbs.put(ctx, hash, edit, made),
            Done::Full(hash, made) => {
                if let Some(viewer) = &mut view.viewer {
                    viewer.put(ctx, hash, made);
                }
            }
            _ => {}
        }
    }
    let pass = ctx.cumulative_pass_nr();
    if view.read_pass != Some(pass) {
        view.read_pass = Some(pass);
        read_input(view, ctx);
    }
    hear_of_folder(view, commands);
    for ask in std::mem::take(&mut view.asks) {
        start(view, ctx, jobs, ask, commands);
    }
    let Some(store) = view.store.clone() else { return };
    while running(jobs, reading()) < MOST_READING
        && let Some(incoming) = view.incoming.pop_front()
    {
        let store = store.clone();
        jobs.start(ctx, incoming.doing(), move |progress| JobDone::Photographs(work::add(incoming, &store, progress)));
    }
    while running(jobs, drawing()) < MOST_DRAWING
        && let Some(photograph) = view.thumbs.next_wanted()
    {
        let store = store.clone();
        let doing = format!("{} {}", drawing(), photograph.name);
        jobs.start(ctx, doing, move |progress| JobDone::Photographs(work::thumb(&photograph, &store, progress)));
    }
    // A job that ends asks for a frame; where none runs, nothing else would.
    if (view.thumbs.wants_any() || !view.incoming.is_empty()) && jobs.is_idle() {
        ctx.request_repaint();
    }
}

fn read_input(view: &mut PhotographsView, ctx: &Context) {
    let typing = ctx.text_edit_focused();
    let leaves_drops = view.leaves_drops;
    ctx.input(|input| {
        // A list goes to the Key Book, and a packed key is opened.
        let pictures = input
            .raw
            .dropped_files
            .iter()
            .filter(|file| !leaves_drops && !bring_in::is_list(file.path()) && !crate::key::pack::is_packed(file.path()));
        view.incoming.extend(pictures.map(|file| Incoming::File(file.path().to_owned())));
        for event in &input.events {
            match event {
                Event::PasteImage(picture) => view.incoming.push_back(Incoming::Pixels(picture.clone())),
                Event::Paste(text) if !typing => view.incoming.push_back(Incoming::Text(text.clone())),
                _ => {}
            }
        }
    });
}

fn hear_of_folder(view: &mut PhotographsView, commands: &mut Vec<Command>) {
    let Some(watch) = &view.watch else { return };
    while let Some(notice) = watch.next() {
        match notice {
            FolderNotice::Picture(path) => view.offered = Some(path),
            FolderNotice::NotReadHere(why) => say(commands, Notice::problem(why)),
            FolderNotice::Gone(_) => {
                view.offered = None;
                say(commands, Notice::problem(say!("the watched folder cannot be seen any more; it is taken up again when it comes back")));
            }
            FolderNotice::Back => say(commands, Notice::news(say!("The watched folder is back"))),
            // It works, only a little later.
            FolderNotice::Polling(_) => {}
        }
    }
}

fn start(view: &mut PhotographsView, ctx: &Context, jobs: &mut Jobs, ask: Ask, commands: &mut Vec<Command>) {
    match ask {
        Ask::Choose => jobs.start(ctx, say!("Choosing photographs"), |_progress| JobDone::Photographs(work::choose())),
        Ask::Paste => view.incoming.push_back(Incoming::Clipboard),
        Ask::TakeOffered => match view.offered.take() {
            Some(path) => view.incoming.push_back(Incoming::File(path)),
            None if view.watch.is_some() => say(commands, Notice::problem(say!("the watched folder has no new picture yet"))),
            None => {
                say(commands, Notice::problem(say!("no folder is watched (choose the one where the phone or camera puts its pictures)")));
            }
        },
        Ask::ChooseFolder => jobs.start(ctx, say!("Choosing a folder"), |_progress| JobDone::Photographs(work::choose_folder())),
        Ask::Watch(folder) => {
            let ctx_of_watch = ctx.clone();
            jobs.start(ctx, say!("Looking at the folder"), move |_progress| JobDone::Photographs(work::watch(&folder, &ctx_of_watch)));
        }
        Ask::StopWatching => {
            if let Some(watch) = view.watch.take() {
                // Ending it waits for its thread, which may be in the middle of reading a slow drive.
                std::thread::spawn(move || drop(watch));
            }
            view.offered = None;
            view.folder_changed = Some(FolderChange::Left);
        }
        Ask::Full(photograph) => {
            let Some(store) = view.store.clone() else { return };
            let most = ctx.input(|input| input.max_texture_side).min(4096) as u32;
            let doing = say!("Opening {photograph}", photograph = photograph.name);
            jobs.start(ctx, doing, move |progress| JobDone::Photographs(work::full(&photograph, &store, most, progress)));
        }
    }
}

fn running(jobs: &Jobs, first_word: &str) -> usize {
    jobs.running().iter().filter(|job| job.doing.starts_with(first_word)).count()
}

/// The photographs of the piece in hand as they will be once the waiting commands are carried out.
pub(super) fn list_now(doc: &Document, commands: &[Command]) -> Vec<Photograph> {
    let waiting = commands.iter().rev().find_map(|command| match command {
        Command::Photographs(_, list) => Some(list.clone()),
        _ => None,
    });
    waiting.unwrap_or_else(|| doc.hand.photographs.clone())
}

/// Shows a line; where several come in one frame, a problem is not hidden by news, and problems stand together.
fn say(commands: &mut Vec<Command>, notice: Notice) {
    let earlier = commands.iter_mut().rev().find_map(|command| match command {
        Command::Say(earlier) => Some(earlier),
        _ => None,
    });
    match earlier {
        Some(earlier) if earlier.is_problem && notice.is_problem => {
            earlier.says.push_str("; ");
            earlier.says.push_str(&notice.says);
        }
        Some(earlier) if earlier.is_problem => {}
        Some(earlier) => *earlier = notice,
        None => commands.push(Command::Say(notice)),
    }
}
