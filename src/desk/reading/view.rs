//! The view while it is open: its state, its jobs, its keys.

use super::alike::Beside;
use super::panel::panel_ui;
use super::setup::Setup;
use super::sheet::sheet_ui;
use super::work::{self, Alike, Asked, Done, Laid};
use crate::daybook::Photograph;
use crate::desk::action::Action;
use crate::desk::canvas::Looking;
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::jobs::{Done as JobDone, Jobs, Progress};
use crate::desk::mark_drawer::sieve::Kept;
use crate::desk::steps::{Steps, turn_pressed};
use crate::desk::widgets;
use crate::photo::Store;
use crate::photo::mark::{Reader, Reading};
use crate::say;
use egui::{ColorImage, Context, Rect, TextureHandle, TextureOptions, Ui, pos2};
use image::{GrayImage, RgbImage};
use kurbo::Point;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

/// Width of the panel beside the picture, in points.
const PANEL: f32 = 330.0;

/// Reading a mark.
#[derive(Debug)]
pub struct ReadingView {
    store: Option<Store>,
    pub(super) open: Option<Box<Open>>,
    /// Looks for the program that reads strips, each time a mark is opened: it may have been installed meanwhile.
    pub find_reader: fn() -> Option<Reader>,
}

impl Default for ReadingView {
    fn default() -> Self {
        Self { store: None, open: None, find_reader: Reader::found }
    }
}

/// A photograph whose mark is read.
pub(super) struct Open {
    pub(super) photograph: Photograph,
    /// Other photographs of the piece, which may show the mark lit from other sides.
    pub(super) others: Vec<Photograph>,
    pub(super) picture: Picture,
    pub(super) steps: Steps<Setup>,
    pub(super) tool: Tool,
    pub(super) looking: Looking,
    pub(super) laid: Option<Shown>,
    pub(super) alike: Option<Result<Vec<(Alike, TextureHandle)>, String>>,
    arrived: Option<Result<Vec<Alike>, String>>,
    /// The picture of the key that is looked at with it.
    pub(super) beside: Option<(usize, Beside)>,
    /// What can be read, as it is typed.
    pub(super) typed: String,
    /// The marks that may bear it.
    pub(super) passed: Kept,
    pub(super) reader: Option<Reader>,
    pub(super) suggested: BTreeMap<usize, Result<Reading, String>>,
    /// A strip that is to be read by machine.
    pub(super) suggest: Option<usize>,
    /// The setup that is laid out, or is being.
    of: Option<Setup>,
    running: Option<(u64, Progress)>,
    fresh: Option<Box<Laid>>,
    number: u64,
    asked: bool,
    compared: bool,
    closing: bool,
}

/// What dragging on the picture does.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) enum Tool {
    /// Moves the picture; handles are dragged.
    #[default]
    Hand,
    /// Picks the colour of a letter and of what is beside it.
    Pick,
    /// A handle is being dragged: the setup as it will be when it is let go.
    Dragging(Box<Setup>),
}

/// The photograph.
pub(super) enum Picture {
    Opening,
    Ready(Arc<RgbImage>),
    Failed(String),
}

/// A mark laid out, on the graphics card.
pub(super) struct Shown {
    pub(super) laid: Laid,
    pub(super) plain: TextureHandle,
    pub(super) strips: Vec<TextureHandle>,
}

impl std::fmt::Debug for Open {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Open({})", self.photograph.name)
    }
}

impl ReadingView {
    /// Where photographs are kept.
    pub fn start(&mut self, data_dir: &Path) {
        self.store = Some(Store::at(&data_dir.join("daybook")));
    }

    /// Opens a photograph to read its mark.
    pub fn read(&mut self, photograph: Photograph, doc: &Document) {
        let others = doc.hand.photographs.iter().filter(|one| one.hash != photograph.hash).cloned().collect();
        self.open = Some(Box::new(Open {
            photograph,
            others,
            picture: Picture::Opening,
            steps: Steps::new(Setup::default()),
            tool: Tool::Hand,
            looking: Looking::default(),
            laid: None,
            alike: None,
            arrived: None,
            beside: None,
            typed: String::new(),
            passed: Kept::default(),
            reader: (self.find_reader)(),
            suggested: BTreeMap::new(),
            suggest: None,
            of: None,
            running: None,
            fresh: None,
            number: 0,
            asked: false,
            compared: false,
            closing: false,
        }));
    }

    /// True while a mark is read.
    pub fn is_open(&self) -> bool {
        self.open.is_some()
    }

    /// Keeps actions from the screen below while the view is open. True where it did.
    pub fn takes(&self, action: Action) -> bool {
        self.open.is_some() && action.belongs_below()
    }
}

/// Takes in what a job has done.
pub fn take_in(view: &mut ReadingView, done: Done) {
    let Some(open) = &mut view.open else { return };
    match done {
        Done::Opened(hash, made) if hash == open.photograph.hash => {
            open.picture = match made {
                Ok(picture) => Picture::Ready(picture),
                Err(why) => Picture::Failed(why),
            };
        }
        Done::Laid(number, laid) if open.running.as_ref().is_some_and(|(n, _)| *n == number) => {
            open.running = None;
            open.fresh = Some(laid);
        }
        Done::Compared(hash, alike) if hash == open.photograph.hash => open.arrived = Some(alike),
        Done::Suggested(number, at, reading) if number == open.number => {
            open.suggested.insert(at, reading);
        }
        Done::Opened(..) | Done::Laid(..) | Done::Compared(..) | Done::Suggested(..) => {}
    }
}

/// A job broke off.
pub fn broke(view: &mut ReadingView) {
    if let Some(open) = &mut view.open {
        open.running = None;
        if matches!(open.picture, Picture::Opening) {
            open.picture = Picture::Failed(say!("the picture could not be opened").to_owned());
        }
    }
}

/// Starts the jobs that are due. Called before each frame.
pub fn poll(view: &mut ReadingView, doc: &Document, ctx: &Context, jobs: &mut Jobs) {
    let (Some(open), Some(store)) = (&mut view.open, view.store.clone()) else { return };
    if open.closing {
        if let Some((_, progress)) = &open.running {
            progress.cancel();
        }
        view.open = None;
        return;
    }
    if !std::mem::replace(&mut open.asked, true) {
        let (photograph, store) = (open.photograph.clone(), store.clone());
        let doing = say!("Opening {photograph}", photograph = photograph.name);
        jobs.start(ctx, doing, move |progress| JobDone::Reading(work::open(&photograph, &store, progress)));
    }
    open.upload(ctx);
    let Picture::Ready(picture) = &open.picture else { return };
    if !std::mem::replace(&mut open.compared, true) {
        let (hash, picture, key, dir) = (open.photograph.hash, Arc::clone(picture), Arc::clone(&doc.key), doc.place.dir.clone());
        jobs.start(ctx, say!("Comparing marks"), move |progress| {
            JobDone::Reading(work::compare(hash, &picture, &key, dir.as_deref(), progress))
        });
    }
    if let (Some(at), Some(reader), Some(shown)) = (open.suggest.take(), &open.reader, &open.laid)
        && let Some(strip) = shown.laid.strips.get(at).cloned()
    {
        let (number, reader) = (open.number, reader.clone());
        jobs.start(ctx, say!("Reading by machine"), move |progress| JobDone::Reading(work::suggest(number, at, &reader, &strip, progress)));
    }
    let now = open.steps.now();
    if open.of.as_ref() == Some(now) {
        return;
    }
    if let Some((_, progress)) = open.running.take() {
        progress.cancel();
    }
    open.number += 1;
    open.suggested.clear();
    open.of = Some(now.clone());
    let with = open.others.iter().filter(|one| now.with.contains(&one.hash)).cloned().collect();
    let asked = Asked { number: open.number, picture: Arc::clone(picture), with, store, setup: now.clone() };
    jobs.start(ctx, say!("Laying the mark out"), move |progress| JobDone::Reading(work::lay(&asked, progress)));
    open.running = jobs.running().last().map(|job| (open.number, job.progress.clone()));
}

fn grey(picture: &GrayImage) -> ColorImage {
    ColorImage::from_gray([picture.width() as usize, picture.height() as usize], picture.as_raw())
}

impl Open {
    /// True while something is being laid out.
    pub(super) fn is_working(&self) -> bool {
        self.running.is_some()
    }

    pub(super) fn close(&mut self) {
        self.closing = true;
    }

    /// The picture of the photograph, in pixels of which rings are told.
    pub(super) fn size(&self) -> Option<(u32, u32)> {
        match &self.picture {
            Picture::Ready(picture) => Some(picture.dimensions()),
            Picture::Opening | Picture::Failed(_) => None,
        }
    }

    /// What jobs have made goes to the graphics card.
    fn upload(&mut self, ctx: &Context) {
        if let Some(laid) = self.fresh.take() {
            let plain = ctx.load_texture("mark made plain", grey(&laid.plain), TextureOptions::LINEAR);
            let strips = laid.strips.iter().map(|strip| ctx.load_texture("strip of a mark", grey(strip), TextureOptions::LINEAR)).collect();
            self.laid = Some(Shown { laid: *laid, plain, strips });
        }
        if let Some(alike) = self.arrived.take() {
            self.alike = Some(alike.map(|all| {
                let shown = |one: Alike| {
                    let picture = &one.picture;
                    let size = [picture.width() as usize, picture.height() as usize];
                    let texture = ctx.load_texture("mark of the key", ColorImage::from_rgb(size, picture.as_raw()), TextureOptions::LINEAR);
                    (one, texture)
                };
                all.into_iter().take(super::alike::SHOWN).map(shown).collect()
            }));
        }
    }

    /// The ring as it is drawn: the one being dragged, the one set, or the one found.
    pub(super) fn ring(&self) -> Option<crate::photo::mark::Ring> {
        use crate::photo::mark::MarkBy;
        let setup = match &self.tool {
            Tool::Dragging(setup) => setup,
            Tool::Hand | Tool::Pick => self.steps.now(),
        };
        match setup.by {
            MarkBy::Ring(ring) => Some(ring),
            MarkBy::Lines => None,
            MarkBy::Found => self.laid.as_ref()?.laid.unrolled.as_ref().ok()?.ring,
        }
    }

    /// A place of the picture that the pointer is at, for picking colours.
    pub(super) fn pick(&mut self, at: Point) {
        use crate::photo::mark::{InkBy, colours_near};
        let Picture::Ready(picture) = &self.picture else { return };
        let reach = (picture.width().min(picture.height()) / 60).max(3);
        if at.x >= 0.0
            && at.y >= 0.0
            && let Some((ink, glaze)) = colours_near(picture, at.x as u32, at.y as u32, reach)
        {
            self.steps.change(|setup| setup.contrast.ink = InkBy::Picked { ink, glaze });
        }
        self.tool = Tool::Hand;
    }
}

/// Draws the view while it is open.
pub fn reading_ui(ui: &mut Ui, doc: &Document, view: &mut ReadingView, commands: &mut Vec<Command>) {
    let Some(open) = &mut view.open else { return };
    let room = ui.ctx().content_rect().shrink(14.0);
    let response = widgets::dialog(ui, "reading").show(ui.ctx(), |ui| {
        let size = room.size() - widgets::DIALOG_ROOM;
        ui.set_min_size(size);
        ui.set_max_size(size);
        let all = ui.max_rect();
        let panel = PANEL.min(0.45 * all.width());
        let beside = Rect::from_min_max(pos2(all.right() - panel, all.top()), all.max);
        let sheet = Rect::from_min_max(all.min, pos2(beside.left() - 12.0, all.bottom()));
        sheet_ui(ui, open, sheet);
        widgets::in_rect(ui, "mark panel", beside, |ui| panel_ui(ui, doc, open, commands));
    });
    if response.should_close() {
        if open.tool == Tool::Hand { open.close() } else { open.tool = Tool::Hand }
    }
    open.steps.turn(turn_pressed(ui));
}
