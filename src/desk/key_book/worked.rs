//! What is worked out of the whole key off the frame: its health, and a trial of it.

use super::likeness::Found;
use crate::desk::document::Document;
use crate::desk::jobs::{Done as JobDone, Jobs};
use crate::identify::Settings;
use crate::identify::health::Health;
use crate::identify::trial::{self, Options, Report};
use crate::key::{Form, Key};
use crate::say;
use egui::Context;
use std::ops::ControlFlow;
use std::sync::Arc;

/// What such a job sends: the key it was about, and what was found; nothing where it was stopped.
#[derive(Debug)]
pub enum Done {
    /// Another key was read, or something copied from it.
    Other(super::other_key::Done),
    /// The health of the key.
    Health(Arc<Key>, Option<Box<Health>>),
    /// A trial of it.
    Trial(Arc<Key>, Option<Box<Report>>),
    /// What a draft of a form is like.
    Likeness(Arc<Key>, Box<(Form, Found)>),
}

/// Something worked out of a key.
#[derive(Debug)]
pub(super) struct Worked<T> {
    /// The last there is, with the key it is of.
    found: Option<(Arc<Key>, Box<T>)>,
    /// The key of which it is being worked out.
    of: Option<Arc<Key>>,
    /// The last was stopped.
    stopped: bool,
}

impl<T> Default for Worked<T> {
    fn default() -> Self {
        Self { found: None, of: None, stopped: false }
    }
}

impl<T> Worked<T> {
    /// What there is, and whether it is of the key as it stands.
    pub(super) fn found(&self, doc: &Document) -> Option<(&T, Fresh)> {
        let (key, found) = self.found.as_ref()?;
        Some((found, if Arc::ptr_eq(key, &doc.key) { Fresh::Yes } else { Fresh::BeforeAChange }))
    }

    /// True while it is being worked out.
    pub(super) fn is_busy(&self) -> bool {
        self.of.is_some()
    }

    /// True where the last one was stopped.
    pub(super) fn was_stopped(&self) -> bool {
        self.stopped
    }

    /// True where it is to be worked out: there is none of the key as it stands, none on its way and none was stopped.
    pub(super) fn is_due(&self, doc: &Document) -> bool {
        !self.is_busy() && !self.stopped && self.found(doc).is_none_or(|(_, fresh)| fresh == Fresh::BeforeAChange)
    }

    /// It is being worked out.
    pub(super) fn begin(&mut self, key: &Arc<Key>) {
        (self.of, self.stopped) = (Some(Arc::clone(key)), false);
    }

    /// Nothing comes of it.
    pub(super) fn give_up(&mut self) {
        self.stopped |= self.of.take().is_some();
    }

    /// Takes in what was found, unless another has begun since.
    pub(super) fn take_in(&mut self, key: Arc<Key>, found: Option<Box<T>>) {
        if self.of.as_ref().is_some_and(|of| Arc::ptr_eq(of, &key)) {
            self.of = None;
            match found {
                Some(found) => self.found = Some((key, found)),
                None => self.stopped = true,
            }
        }
    }
}

/// Whether what was found is of the key as it stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fresh {
    Yes,
    BeforeAChange,
}

/// Works the health of the key out.
pub(super) fn health(jobs: &mut Jobs, ctx: &Context, doc: &Document) {
    let (key, index) = (Arc::clone(&doc.key), Arc::clone(&doc.index));
    jobs.start(ctx, say!("Weighing the key in pairs"), move |progress| {
        let found = index.health(|share| {
            progress.set(share as f32);
            if progress.is_cancelled() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        });
        JobDone::KeyBook(Done::Health(key, found.ok().map(Box::new)))
    });
}

/// Tries the key.
pub(super) fn trial(jobs: &mut Jobs, ctx: &Context, doc: &Document, options: Options) {
    let key = Arc::clone(&doc.key);
    jobs.start(ctx, say!("Trying the key"), move |progress| {
        let report = trial::run(&key, Settings::default(), options, &|done, all| {
            progress.set(done as f32 / all.max(1) as f32);
            if progress.is_cancelled() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        });
        JobDone::KeyBook(Done::Trial(key, report.map(Box::new)))
    });
}

/// Works out what a draft is like.
pub(super) fn likeness(jobs: &mut Jobs, ctx: &Context, doc: &Document, draft: Form) {
    let key = Arc::clone(&doc.key);
    jobs.start(ctx, say!("Comparing the form"), move |_progress| {
        let found = Found::of(&key, &draft);
        JobDone::KeyBook(Done::Likeness(key, Box::new((draft, found))))
    });
}
