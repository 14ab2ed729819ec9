//! Lists that lie beside the daybook's file and are part of the document: read once when they are wanted, written at each change, off the frame.

use super::daybook::pages::Done;
use super::jobs::{Done as JobDone, Jobs};
use crate::daybook::Beside;
use crate::say;
use egui::Context;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

/// The file of such a list, shared with the jobs that read and write it.
pub type SharedFile = Arc<Mutex<Beside>>;

/// A list and what is known of its file.
#[derive(Debug, Clone)]
pub struct Kept<T> {
    /// As it stands.
    pub now: Arc<T>,
    /// Whether it was read.
    pub state: State,
    /// Counts its changes, so that an older one never comes over a newer one.
    number: u64,
}

/// Whether a list was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum State {
    /// Nobody wanted it yet.
    NotRead,
    /// It is being read.
    Reading,
    /// It is there.
    Ready,
    /// It could not be read, and why. It is not written over then.
    Broken(String),
}

impl<T: Default> Default for Kept<T> {
    fn default() -> Self {
        Self { now: Arc::default(), state: State::NotRead, number: 0 }
    }
}

impl<T> Kept<T> {
    /// Takes in what was read.
    pub fn take_in(&mut self, read: Result<T, String>) {
        match read {
            Ok(read) => (self.now, self.state) = (Arc::new(read), State::Ready),
            Err(why) => self.state = State::Broken(why),
        }
    }

    /// Puts another state in place; its number.
    pub fn set(&mut self, state: Arc<T>) -> u64 {
        self.now = state;
        self.number += 1;
        self.number
    }
}

/// The file of that name beside the daybook.
pub fn file(data_dir: &Path, name: &str) -> SharedFile {
    Arc::new(Mutex::new(Beside::at(&data_dir.join("daybook"), name)))
}

/// Reads a list; `fault` says what is wrong with one that can be read and yet not be used.
pub fn read<T: DeserializeOwned + Default + 'static>(
    jobs: &mut Jobs,
    ctx: &Context,
    file: &SharedFile,
    fault: fn(&T) -> Option<String>,
    done: fn(Result<T, String>) -> Done,
) {
    let file = Arc::clone(file);
    jobs.start(ctx, say!("Reading beside the daybook"), move |_progress| {
        let read = file.lock().unwrap_or_else(PoisonError::into_inner).read::<T>().map_err(|error| error.to_string());
        JobDone::Pages(done(read.and_then(|read| fault(&read).map_or(Ok(read), Err))))
    });
}

/// Writes a state of a list.
pub fn write<T: Serialize + Send + Sync + 'static>(jobs: &mut Jobs, ctx: &Context, file: &SharedFile, state: Arc<T>, number: u64) {
    let file = Arc::clone(file);
    jobs.start(ctx, say!("Writing beside the daybook"), move |_progress| {
        let written = file.lock().unwrap_or_else(PoisonError::into_inner).write(&*state, number);
        JobDone::Pages(Done::Written(written.map_err(|error| error.to_string())))
    });
}
