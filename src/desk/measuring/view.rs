//! The measuring view while it is open: its state, its jobs, its keys.

use super::canvas::{Tool, canvas_ui};
use super::lens::LensBy;
use super::panel::panel_ui;
use super::scale::USUAL_COIN_MM;
use super::setup::{Setup, Subject};
use super::work::{self, Asked, Done, Found, KnownCameras, Opened};
use crate::daybook::Photograph;
use crate::desk::action::Action;
use crate::desk::canvas::Looking;
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::jobs::{Done as JobDone, Jobs, Progress};
use crate::desk::steps::{Steps, turn_pressed};
use crate::desk::widgets;
use crate::identify::Observation;
use crate::key::{FeatureId, Part};
use crate::photo::camera::Cameras;
use crate::photo::{Photo, Prepared, Store};
use crate::say;
use egui::{Context, Rect, TextureHandle, TextureOptions, Ui, pos2};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Width of the panel beside the picture, in points.
const PANEL: f32 = 330.0;

/// The measuring view.
#[derive(Debug, Default)]
pub struct MeasuringView {
    store: Option<Store>,
    /// What is known of cameras.
    cameras: PathBuf,
    pub(super) open: Option<Open>,
}

/// A photograph that is being measured on.
pub(super) struct Open {
    pub(super) photograph: Photograph,
    pub(super) picture: Picture,
    pub(super) steps: Steps<Setup>,
    pub(super) tool: Tool,
    pub(super) looking: Looking,
    /// Deviations of the rim are drawn, many times enlarged.
    pub(super) residuals: bool,
    /// What is not to be used.
    pub(super) left_out: BTreeSet<Answered>,
    /// The length between the two points as it is typed.
    pub(super) length: String,
    /// The diameter of the coins as it is typed.
    pub(super) coin: String,
    /// The thickness of the wall as it is typed.
    pub(super) wall: String,
    pub(super) found: Option<Box<Found>>,
    /// The setup that `found` or the running job belongs to.
    measured: Option<Setup>,
    running: Option<(u64, Progress)>,
    number: u64,
    asked: bool,
    closing: bool,
}

/// What a measurement answers.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Answered {
    Feature(FeatureId),
    Shape,
}

/// The photograph for the screen and for measuring.
pub(super) enum Picture {
    Opening,
    Ready {
        texture: TextureHandle,
        photo: Arc<Photo>,
        /// By the photograph alone.
        prepared: Arc<Prepared>,
        known: Arc<KnownCameras>,
    },
    /// Came from a job and goes to the graphics card with the next frame.
    Arrived(Box<Opened>),
    Failed(String),
}

impl std::fmt::Debug for Open {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Open({})", self.photograph.name)
    }
}

impl MeasuringView {
    /// Where photographs are kept.
    pub fn start(&mut self, data_dir: &Path) {
        self.store = Some(Store::at(&data_dir.join("daybook")));
        self.cameras = data_dir.join(Cameras::FILE);
    }

    /// Opens a photograph to measure on. A piece that is said to have lost its lid shows its base.
    pub fn measure(&mut self, photograph: Photograph, doc: &Document) {
        let subject = if doc.is_missing(Part::Lid) { Subject::Rim } else { Subject::Lid };
        self.open = Some(Open {
            photograph,
            picture: Picture::Opening,
            steps: Steps::new(Setup::new(subject)),
            tool: Tool::Hand,
            looking: Looking::default(),
            residuals: false,
            left_out: BTreeSet::new(),
            length: "100".to_owned(),
            coin: USUAL_COIN_MM.to_string(),
            wall: String::new(),
            found: None,
            measured: None,
            running: None,
            number: 0,
            asked: false,
            closing: false,
        });
    }

    /// True while a photograph is measured on.
    pub fn is_open(&self) -> bool {
        self.open.is_some()
    }

    /// Keeps actions from the screen below while the view is open. True where it did.
    pub fn takes(&self, action: Action) -> bool {
        self.open.is_some() && action.belongs_below()
    }
}

/// Takes in what a job has done.
pub fn take_in(view: &mut MeasuringView, done: Done) {
    let Some(open) = &mut view.open else { return };
    match done {
        Done::Opened(hash, made) if hash == open.photograph.hash => {
            open.picture = match made {
                Ok(opened) => Picture::Arrived(Box::new(opened)),
                Err(why) => Picture::Failed(why),
            };
        }
        Done::Measured(number, found) if open.running.as_ref().is_some_and(|(n, _)| *n == number) => {
            open.running = None;
            open.found = Some(found);
        }
        Done::Opened(..) | Done::Measured(..) => {}
    }
}

/// A job broke off.
pub fn broke(view: &mut MeasuringView) {
    if let Some(open) = &mut view.open {
        open.running = None;
        if matches!(open.picture, Picture::Opening) {
            open.picture = Picture::Failed(say!("the picture could not be opened").to_owned());
        }
    }
}

/// Starts the jobs that are due. Called before each frame.
pub fn poll(view: &mut MeasuringView, doc: &Document, ctx: &Context, jobs: &mut Jobs) {
    let (Some(open), Some(store)) = (&mut view.open, view.store.clone()) else { return };
    if open.closing {
        if let Some((_, progress)) = &open.running {
            progress.cancel();
        }
        view.open = None;
        return;
    }
    if !std::mem::replace(&mut open.asked, true) {
        let most = ctx.input(|input| input.max_texture_side).min(4096) as u32;
        let (photograph, cameras) = (open.photograph.clone(), view.cameras.clone());
        let doing = say!("Opening {photograph}", photograph = photograph.name);
        jobs.start(ctx, doing, move |progress| JobDone::Measuring(work::open(&photograph, &store, &cameras, most, progress)));
    }
    if let Picture::Arrived(_) = open.picture
        && let Picture::Arrived(opened) = std::mem::replace(&mut open.picture, Picture::Opening)
    {
        let texture = ctx.load_texture("photograph to measure", opened.picture, TextureOptions::LINEAR);
        open.picture = Picture::Ready { texture, photo: opened.photo, prepared: opened.prepared, known: opened.known };
    }
    let Picture::Ready { photo, prepared, known: cameras, .. } = &open.picture else { return };
    let now = open.steps.now();
    if open.measured.as_ref().is_some_and(|measured| *measured == now.measured_as()) {
        return;
    }
    if let Some((_, progress)) = open.running.take() {
        progress.cancel();
    }
    let known =
        open.found.as_ref().filter(|found| found.by == now.scale && found.lens == now.lens).and_then(|found| found.scale()).cloned();
    open.number += 1;
    let number = open.number;
    open.measured = Some(now.measured_as());
    let (photo, prepared, key) = (Arc::clone(photo), now.lens.prepared(prepared, cameras), Arc::clone(&doc.key));
    let asked = Asked { number, photo, prepared, key, setup: now.clone(), known };
    jobs.start(ctx, say!("Measuring"), move |progress| JobDone::Measuring(work::measure(&asked, progress)));
    open.running = jobs.running().last().map(|job| (number, job.progress.clone()));
}

impl Open {
    /// True while something is being measured.
    pub(super) fn is_working(&self) -> bool {
        self.running.is_some()
    }

    /// True where the person does not want that answer used.
    pub(super) fn leaves_out(&self, answer: &Observation) -> bool {
        self.left_out.contains(&Answered::Feature(answer.feature.clone()))
    }

    /// A box to tick for one answer.
    pub(super) fn answer_box(&mut self, ui: &mut Ui, answered: Answered, words: String) -> egui::Response {
        let mut used = !self.left_out.contains(&answered);
        let response = ui.checkbox(&mut used, words);
        if response.changed() && !(used && self.left_out.remove(&answered)) {
            self.left_out.insert(answered);
        }
        response
    }

    /// The lens is to be believed by that, as a step.
    pub(super) fn take_lens(&mut self, lens: LensBy) {
        let setup = Setup { lens, ..self.steps.now().clone() };
        self.steps.push(setup);
    }

    pub(super) fn close(&mut self) {
        self.closing = true;
    }
}

/// Draws the view while it is open.
pub fn measuring_ui(ui: &mut Ui, doc: &Document, view: &mut MeasuringView, commands: &mut Vec<Command>) {
    let Some(open) = &mut view.open else { return };
    let room = ui.ctx().content_rect().shrink(14.0);
    let response = widgets::dialog(ui, "measuring").show(ui.ctx(), |ui| {
        let size = room.size() - widgets::DIALOG_ROOM;
        ui.set_min_size(size);
        ui.set_max_size(size);
        let all = ui.max_rect();
        let panel = PANEL.min(0.45 * all.width());
        let beside = Rect::from_min_max(pos2(all.right() - panel, all.top()), all.max);
        let canvas = Rect::from_min_max(all.min, pos2(beside.left() - 12.0, all.bottom()));
        canvas_ui(ui, open, canvas);
        widgets::in_rect(ui, "measures", beside, |ui| panel_ui(ui, doc, open, commands));
    });
    if response.should_close() {
        if open.tool == Tool::Hand { open.close() } else { open.tool = Tool::Hand }
    }
    open.steps.turn(turn_pressed(ui));
}
