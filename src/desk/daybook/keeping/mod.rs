//! Keeping the daybook: a backup in one file and back, another member's daybook taken in with its conflicts shown, and going back to a copy.

mod joining;
mod page;
mod work;

pub(super) use page::keeping_ui;
pub use work::{Done, Other, Wish};

use crate::daybook::FindId;
use crate::daybook::backup::BackedUp;
use crate::daybook::copies::Copy;
use crate::daybook::join::{Joined, Side};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

/// The page.
#[derive(Debug, Default)]
pub struct KeepingPage {
    /// True while it is looked at.
    pub is_open: bool,
    pub(super) asked: Asked,
    pub(super) copies: Vec<Copy>,
    pub(super) said: Option<Result<String, String>>,
}

/// What is being done.
#[derive(Debug, Default)]
pub(super) enum Asked {
    /// Nothing.
    #[default]
    Nothing,
    /// Something that takes a while.
    Working(&'static str),
    /// A backup was read through, and may be put in place.
    BringBack { from: PathBuf, holds: BackedUp },
    /// Another daybook was looked at.
    Join(Box<Join>),
}

/// Another daybook that was looked at, and what was chosen.
#[derive(Debug)]
pub(super) struct Join {
    pub(super) other: PathBuf,
    pub(super) would: Arc<Joined>,
    pub(super) each: BTreeMap<FindId, Side>,
    /// The conflict whose fields are shown.
    pub(super) at: usize,
}

impl KeepingPage {
    /// Takes in what a job of the page has done.
    pub(super) fn take_in(&mut self, done: &Result<String, String>) {
        self.asked = Asked::Nothing;
        self.said = Some(done.clone());
    }

    /// A job ended without an answer.
    pub fn broke(&mut self) {
        if matches!(self.asked, Asked::Working(_)) {
            self.take_in(&Err(crate::say!("a fault of the program ended it").to_owned()));
        }
    }
}
