//! What the drawing code asks for. Commands are carried out after the frame, in `app.rs`, and most can be undone.

use super::document::{Hand, Photograph};
use super::finds_work::{Deed, Turned};
use super::key_pictures::NewPicture;
use crate::daybook::FindId;
use crate::daybook::census::Services;
use crate::daybook::condition::Condition;
use crate::daybook::learn::Learnt;
use crate::daybook::lids::Shelves;
use crate::identify::trial::Options;
use crate::identify::{Observation, Piece, ShapeMeasured};
use crate::key::{FeatureId, Form, FormId, Key, Mark, Part};
use crate::marks::dates::Said;
use std::path::PathBuf;
use std::sync::Arc;

/// A screen of the window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Screen {
    /// Name the piece in hand.
    #[default]
    Bench,
    /// Look-alikes side by side.
    TellApart,
    /// The house key.
    KeyBook,
    /// Its marks.
    MarkDrawer,
    /// The finds.
    Daybook,
}

/// Something asked for.
#[derive(Debug, Clone)]
pub enum Command {
    /// Record what was seen of a feature.
    See(Observation),
    /// Record what was measured on a photograph: several features, and the shape, in one step.
    SeeMeasured(Vec<Observation>, Option<Box<ShapeMeasured>>),
    /// Take the measured shape back.
    TakeShapeBack,
    /// Say what dates the piece; the words name the step.
    Dates(String, Vec<Said>),
    /// Say in which condition the piece is; the words name the step.
    Condition(String, Box<Condition>),
    /// Show the condition of the piece in hand.
    LookOver,
    /// Measure on a photograph of the piece in hand.
    MeasureOn(Box<Photograph>),
    /// Read the mark on a photograph of the piece in hand.
    ReadMarkOn(Box<Photograph>),
    /// Take the answer to a feature back.
    TakeBack(FeatureId),
    /// Take the last answer back.
    TakeLastBack,
    /// Say that a part is gone, or is there after all.
    ToggleMissing(Part),
    /// Clear the board.
    NewPiece,
    /// Change the note.
    Note(String),
    /// Change the label of the box.
    BoxLabel(String),
    /// Replace the photographs of the piece in hand; the words name the step.
    Photographs(&'static str, Vec<Photograph>),
    /// Choose photographs of the piece in hand with the system's dialog.
    ChoosePhotographs,
    /// Put the piece in hand into the daybook.
    PutInDaybook,
    /// Take a find of the daybook back into the hand.
    Reopen(Box<Hand>, String),
    /// Take a find out of the daybook, or put it back.
    RemoveFind(FindId),
    /// Put a find that was taken out back.
    RestoreFind(FindId),
    /// Read again the finds that the Daybook shows.
    ListFinds,
    /// Read finds that have come into sight.
    ReadFinds(Vec<FindId>),
    /// Do something to finds: change, edit, take out, bring in.
    OnFinds(Deed),
    /// One more piece like the find that was put in last.
    SameAsLast,
    /// Choose a sorted box to bring in, with the system's dialog.
    ChooseSortedBox,
    /// Work out the census.
    Census,
    /// Work out when the finds were made.
    YearsOfFinds,
    /// Work out what the finds say of the key's frequencies.
    LearnFromFinds,
    /// Take those changes into the key for which there is a yes, in their order, and note the finds as counted.
    TakeLearnt(Box<Learnt>, Vec<bool>),
    /// New pictures, which go into the key's folder with what is saved next.
    KeepPictures(Vec<NewPicture>),
    /// Add a form to the key, or replace the one of that id, and save it.
    PutForm(Box<Form>),
    /// Put another state of the key in place and save it; the words name the step.
    ChangeKey(String, Box<Key>),
    /// Something on a further page of the Daybook.
    Page(super::daybook::pages::Wish),
    /// Take what was chosen between here and the key on disk, as one step, and save it.
    TakeChosen,
    /// Open the preview of a sheet to print.
    Print(super::printing::Order),
    /// Show what dates the piece in hand.
    DateIt,
    /// Show a screen.
    Go(Screen),
    /// Add a mark to the key, or replace the one of that id, and save it with its new pictures.
    PutMark(Box<Mark>, Vec<NewPicture>),
    /// Open the asking card of a feature on the Bench.
    Ask(FeatureId),
    /// Show these forms in Tell Apart.
    TellApart(Vec<FormId>),
    /// Find the fewest features by which forms are told from all others.
    FindAlone(super::tell_apart::alone::Asked),
    /// Open the sheet of a form in the Key Book.
    OpenForm(FormId),
    /// Open the sheet of a form at a feature.
    OpenFormAt(FormId, FeatureId),
    /// Bring a list into the key: one step of it.
    BringIn(super::bring_in::Wish),
    /// Work out what the form on the sheet can't be told from.
    Compare,
    /// Work out what the key can't tell apart and what to record next.
    WorkOutHealth,
    /// Try the key on made-up pieces.
    TryKey(Options),
    /// Open the sheet of a new form, filled in from the piece in hand.
    AddForm,
    /// Open a house key.
    OpenKey(PathBuf),
    /// Choose a house key with the system's dialog.
    ChooseKey,
    /// Choose a packed house key with the system's dialog.
    ChoosePackedKey,
    /// Pack the house key into one file.
    PackKey,
    /// Undo the last step.
    Undo,
    /// Do the last undone step again.
    Redo,
    /// Show a line to the person.
    Say(Notice),
    /// Change between light and dark.
    LightOrDark,
    /// Light, dark, or as the system has it.
    Shade(super::settings::Shade),
    /// Set how the window suits the person.
    Comfort(super::comfort::Comfort),
    /// Something asked of another key.
    OtherKey(super::key_book::other_key::Wish),
    /// Open a page of the Key Book.
    OpenPage(super::key_book::Page),
    /// Show or hide the help sheet.
    Help,
}

/// A line shown to the person until something else happens.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// What it says.
    pub says: String,
    /// Whether something went wrong.
    pub is_problem: bool,
}

impl Notice {
    /// News.
    pub fn news(says: impl Into<String>) -> Self {
        Self { says: says.into(), is_problem: false }
    }

    /// A problem.
    pub fn problem(says: impl Into<String>) -> Self {
        Self { says: says.into(), is_problem: true }
    }
}

/// A step that can be undone, with its name and what it changed.
#[derive(Debug, Clone)]
pub struct Step {
    /// 'lid outline: round'
    pub name: String,
    /// What it changed.
    pub change: Change,
}

/// What a step changed: before and after.
#[derive(Debug, Clone)]
pub enum Change {
    /// The piece in hand.
    Hand {
        /// As it was.
        before: Box<Hand>,
        /// As it is.
        after: Box<Hand>,
    },
    /// The house key, on disk too.
    Key {
        /// As it was.
        before: Arc<Key>,
        /// As it is.
        after: Arc<Key>,
    },
    /// The shelves of loose lids and bases.
    Shelves {
        /// As they were.
        before: Arc<Shelves>,
        /// As they are.
        after: Arc<Shelves>,
    },
    /// The services.
    Services {
        /// As they were.
        before: Arc<Services>,
        /// As they are.
        after: Arc<Services>,
    },
    /// A find put into the daybook, which cleared the board.
    Put {
        /// The find.
        find: FindId,
        /// The piece as it was put in.
        before: Box<Hand>,
    },
    /// A find taken out of the daybook.
    Remove {
        /// The find.
        find: FindId,
    },
    /// Finds changed.
    Finds {
        /// Which, as the step left them.
        turned: Turned,
    },
    /// Finds taken out.
    Out {
        /// Which.
        finds: Arc<[FindId]>,
    },
    /// Finds brought in.
    Brought {
        /// Which.
        finds: Arc<[FindId]>,
    },
}

/// True where two pieces are alike but for the sizes and notes of their faults.
fn sizes_alone(before: &Piece, after: &Piece) -> bool {
    let mut sized = before.clone();
    for (flaw, of) in sized.condition.flaws.iter_mut().zip(&after.condition.flaws) {
        flaw.size_mm = of.size_mm;
        flaw.note.clone_from(&of.note);
    }
    sized == *after
}

/// Steps done and undone, without limit.
#[derive(Debug, Default)]
pub struct Steps {
    done: Vec<Step>,
    undone: Vec<Step>,
}

impl Steps {
    /// Adds a step that was just done. A note typed on is one step.
    pub fn push(&mut self, step: Step) {
        self.undone.clear();
        if let (Some(last), Change::Hand { after, .. }) = (self.done.last_mut(), &step.change)
            && let Change::Hand { after: last_after, .. } = &mut last.change
            && last.name == step.name
            // A size that is typed is one step, as a note is.
            && (last_after.piece == after.piece || sizes_alone(&last_after.piece, &after.piece))
            && last_after.photographs == after.photographs
        {
            last_after.clone_from(after);
            return;
        }
        self.done.push(step);
    }

    /// Adds a step where there is one.
    pub fn extend(&mut self, step: Option<Step>) {
        if let Some(step) = step {
            self.push(step);
        }
    }

    /// The step to undo next, moved to the undone ones.
    pub fn undo(&mut self) -> Option<Step> {
        let step = self.done.pop()?;
        self.undone.push(step.clone());
        Some(step)
    }

    /// The step to do again next, moved to the done ones.
    pub fn redo(&mut self) -> Option<Step> {
        let step = self.undone.pop()?;
        self.done.push(step.clone());
        Some(step)
    }

    /// Name of the step that undo would take back.
    pub fn undo_name(&self) -> Option<&str> {
        self.done.last().map(|step| step.name.as_str())
    }

    /// Name of the step that redo would do again.
    pub fn redo_name(&self) -> Option<&str> {
        self.undone.last().map(|step| step.name.as_str())
    }
}
