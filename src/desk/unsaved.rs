//! Work in progress, kept apart from key and daybook: the piece in hand, the sheet of a form and the changed cells of the value table. Where the program ended with some, however it ended, the next start
//! offers them with what they would change.
//!
//! They are written at rest, and every two seconds while something is typed or dragged, into `unsaved.ron` of the data folder, off the frame.

use super::app::Footring;
use super::command::Notice;
use super::document::Hand;
use super::icons::Icon;
use super::jobs::Done as JobDone;
use super::settings::write_whole;
use super::theme::{self, TARGET};
use super::widgets::{button, main_button};
use crate::key::{FeatureId, Form, FormId, Key, Record};
use crate::{say, say_count};
use egui::{Context, Frame, Margin, Ui};
use serde::{Deserialize, Serialize};
use std::io;
use std::path::{Path, PathBuf};

/// Seconds between two writings while something is typed.
const WHILE_BUSY: f64 = 2.0;
/// Changes that are told one by one.
const TOLD: usize = 4;

/// Work that was not saved.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Unsaved {
    /// Folder of the key it was done on.
    pub key: PathBuf,
    /// The piece in hand.
    pub hand: Option<Hand>,
    /// The form on the sheet.
    pub sheet: Option<Form>,
    /// Changed cells of the value table.
    pub cells: Vec<(FormId, FeatureId, Option<Record>)>,
}

impl Unsaved {
    /// True where there is nothing to keep.
    pub fn is_empty(&self) -> bool {
        self.hand.is_none() && self.sheet.is_none() && self.cells.is_empty()
    }

    /// What is kept in a data folder. What can't be read is moved aside, never thrown away.
    fn read(data_dir: &Path) -> Vec<Self> {
        let file = file(data_dir);
        let Ok(text) = std::fs::read_to_string(&file) else { return Vec::new() };
        ron::from_str(&text).unwrap_or_else(|_unreadable| {
            // Where it can't be moved it is written over by the next work.
            let _ = std::fs::rename(&file, data_dir.join("unsaved-not-read.ron"));
            Vec::new()
        })
    }

    /// What it would change, in words.
    fn words(&self, key: &Key) -> Vec<String> {
        let mut out = Vec::new();
        if let Some(hand) = &self.hand {
            let answers = say_count!(n = hand.piece.observations.len(), "{n} answer", "{n} answers");
            let photographs = hand.photographs.len();
            out.push(if photographs == 0 {
                say!("a piece in hand with {answers}", answers)
            } else {
                let photographs = say_count!(n = photographs, "{n} photograph", "{n} photographs");
                say!("a piece in hand with {answers} and {photographs}", answers, photographs)
            });
        }
        if let Some(form) = &self.sheet {
            match key.form(&form.id) {
                None => out.push(say!("a new form '{form}'", form = form.name)),
                Some(saved) => {
                    let changes = super::key_book::form_changes(key, saved, form);
                    let told: Vec<&str> = changes.iter().take(TOLD).map(String::as_str).collect();
                    let more = changes.len().saturating_sub(TOLD);
                    let (form, told) = (key.full_name(saved), told.join("; "));
                    out.push(if more == 0 {
                        say!("edits of {form}: {told}", form, told)
                    } else {
                        say!("edits of {form}: {told} and {more} more", form, told, more)
                    });
                }
            }
        }
        if !self.cells.is_empty() {
            out.push(say_count!(n = self.cells.len(), "{n} changed cell of the value table", "{n} changed cells of the value table"));
        }
        out
    }
}

fn file(data_dir: &Path) -> PathBuf {
    data_dir.join("unsaved.ron")
}

/// What keeps the work in progress.
#[derive(Debug, Default)]
pub struct Keeper {
    /// What earlier runs left and is neither taken up nor thrown away, of this key and of others: it is kept on beside the work of this run.
    found: Vec<Unsaved>,
    /// What the file says now.
    written: Vec<Unsaved>,
    /// What the work was when it was last looked at, as far as it can be told at a glance.
    seen: Option<Glance>,
    /// When it was last looked at, in seconds of the window.
    looked: f64,
    is_writing: bool,
}

/// Counts that change with the work: revision of the document, of the value table, edits of the sheet, and what is still to be decided.
type Glance = (u64, u64, Option<(usize, usize, bool)>, usize);

impl Keeper {
    /// Looks for work that earlier runs left.
    pub fn start(data_dir: &Path) -> Self {
        let found = Unsaved::read(data_dir);
        Self { written: found.clone(), found, ..Self::default() }
    }
}

impl Footring {
    /// Keeps what is not saved, where something changed.
    pub(super) fn keep_unsaved(&mut self, ctx: &Context) {
        if self.unsaved.is_writing || self.opening.is_some() {
            return;
        }
        let busy = ctx.input(|input| input.pointer.any_down()) || ctx.text_edit_focused();
        let now = ctx.input(|input| input.time);
        let (table, sheet) = self.views.key_book.edits();
        let glance = (self.doc.revision, table, sheet, self.unsaved.found.len());
        // What is being typed or dragged is in none of the counts yet.
        let due = if busy { now - self.unsaved.looked >= WHILE_BUSY } else { self.unsaved.seen != Some(glance) };
        if !due {
            return;
        }
        self.unsaved.looked = now;
        self.unsaved.seen = (!busy).then_some(glance);
        let mut unsaved: Vec<Unsaved> = Some(self.unsaved_now()).filter(|now| !now.is_empty()).into_iter().collect();
        unsaved.extend(self.unsaved.found.iter().cloned());
        if unsaved == self.unsaved.written {
            return;
        }
        self.unsaved.is_writing = true;
        self.unsaved.written = unsaved.clone();
        let data_dir = self.data_dir.clone();
        self.jobs.start(ctx, say!("Keeping what is not saved"), move |_progress| {
            let file = file(&data_dir);
            let done = if unsaved.is_empty() { gone(std::fs::remove_file(&file)) } else { write_whole(&data_dir, &file, &unsaved) };
            JobDone::Kept(done.map_err(|error| error.to_string()))
        });
    }

    /// The work was kept, or could not be.
    pub(super) fn kept(&mut self, done: Result<(), String>) {
        self.unsaved.is_writing = false;
        if let Err(why) = done {
            self.notice = Some(Notice::problem(say!("what is not saved yet can't be kept for the case of a crash: {why}", why)));
        }
    }

    fn unsaved_now(&self) -> Unsaved {
        let hand = Some(&self.doc.hand).filter(|hand| !hand.is_blank()).cloned();
        let sheet = self.views.key_book.sheet().filter(|sheet| sheet.is_changed() && sheet.can_undo()).map(|sheet| sheet.form().clone());
        let key = self.doc.place.dir.clone().unwrap_or_default();
        Unsaved { key, hand, sheet, cells: self.views.key_book.changed_cells() }
    }

    /// The bar that offers what an earlier run left, while its key is open.
    pub(super) fn unsaved_ui(&mut self, ui: &mut Ui) {
        let dir = self.doc.place.dir.as_ref();
        let Some(at) = self.unsaved.found.iter().position(|found| dir == Some(&found.key)) else { return };
        let Some(found) = self.unsaved.found.get(at) else { return };
        let c = theme::colours(ui);
        let words = found.words(&self.doc.key).join(", ");
        let (mut take, mut throw) = (false, false);
        let frame = Frame::new().fill(c.glow_wash).inner_margin(Margin::symmetric(10, 6));
        egui::Panel::top("unsaved work").frame(frame).show(ui, |ui| {
            ui.horizontal_wrapped(|ui| {
                ui.set_min_height(TARGET);
                ui.label(say!("Not saved when the program last ended: {words}.", words));
                take = main_button(ui, Icon::Tick, say!("Take it up")).clicked();
                throw = button(ui, Icon::Remove, say!("Throw it away")).clicked();
            });
        });
        if take || throw {
            let found = self.unsaved.found.remove(at);
            if take {
                self.take_up(found);
            }
        }
    }

    /// Puts what was found where it was: each part can be undone as if it had just been done. A sheet waits while another one has edits.
    fn take_up(&mut self, found: Unsaved) {
        let Unsaved { key, hand, sheet, cells } = found;
        if let Some(hand) = hand {
            self.change_hand(say!("take up what was not saved").to_owned(), |now| *now = hand);
        }
        if let Some(form) = super::key_book::take_up(&mut self.views.key_book, &self.doc, sheet, cells) {
            self.unsaved.found.push(Unsaved { key, sheet: Some(form), ..Unsaved::default() });
            self.notice = Some(Notice::problem(say!("another sheet has edits: save or drop them in the Key Book, then take the sheet up")));
        }
    }
}

/// A file that is not there need not be taken away.
fn gone(done: io::Result<()>) -> io::Result<()> {
    done.or_else(|error| if error.kind() == io::ErrorKind::NotFound { Ok(()) } else { Err(error) })
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use crate::key::builtin;

    #[test]
    fn what_is_kept_is_read_again_and_what_cannot_be_is_moved_aside() {
        let dir = tempfile::tempdir().unwrap();
        assert!(Unsaved::read(dir.path()).is_empty());
        let key = builtin::demo().key;
        let mut form = key.form(&"quoin-covered-sugar".into()).unwrap().clone();
        form.features.insert("lid-outline".into(), Record::Always("oval".into()));
        let cells = vec![(form.id.clone(), "height".into(), None), (form.id.clone(), "rim".into(), Some(Record::DoesNotApply))];
        let kept =
            Unsaved { key: "some/key".into(), hand: Some(Hand { note: "a chip".to_owned(), ..Hand::default() }), sheet: Some(form), cells };
        let both = [kept.clone(), Unsaved { key: "another/key".into(), ..kept.clone() }];
        write_whole(dir.path(), &file(dir.path()), &both.to_vec()).unwrap();
        assert_eq!(Unsaved::read(dir.path()), both);
        assert_eq!(
            kept.words(&key),
            [
                "a piece in hand with 0 answers",
                "edits of covered sugar, Quoin: Lid outline: always round → always oval",
                "2 changed cells of the value table"
            ]
        );
        std::fs::write(file(dir.path()), "[(hand: 7").unwrap();
        assert!(Unsaved::read(dir.path()).is_empty());
        assert_eq!(std::fs::read_to_string(dir.path().join("unsaved-not-read.ron")).unwrap(), "[(hand: 7");
    }
}
