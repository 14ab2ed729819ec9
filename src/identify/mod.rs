//! Naming a piece: likelihoods, narrowing, the next look, tells and the verdict.
//!
//! An [`Index`] is a key compiled into columns. It is asked with a [`Piece`] and answers with a [`Standing`] (who fits, how probable, what to
//! look at next), with the [`Reason`]s of one form, with a [`Verdict`], and with the [`Tells`] of a few look-alikes. [`see`] turns the words
//! a person types into an [`Observation`].
//!
//! The room opens no file and reads no clock. It never changes a key and holds no reference to one.

mod answer;
mod apart;
mod bands;
mod beside;
pub mod by_shape;
mod candidates;
pub mod colours;
mod column;
mod condition;
pub mod cover;
pub mod health;
mod index;
mod looks;
mod measure;
mod outcomes;
mod piece;
mod reading;
mod rows;
pub mod see;
pub mod sequence;
mod settings;
mod standing;
pub mod table;
mod tells;
mod text;
pub mod trial;
mod verdict;
mod why;

pub use answer::{
    Agreement, Candidate, Contradiction, Ignored, LookAlike, NextLook, Reason, Shelf, Split, Standing, Tell, Tells, Verdict, VerdictState,
};
pub use beside::{Beside, PieceDates, ShapeMeasured};
pub use candidates::{Candidates, SHELVED};
pub use condition::{Condition, Flaw, LONGEST_MM, MOST_FLAWS, Place};
pub use index::Index;
pub use looks::{About, Gain};
pub use piece::{MarkSeen, Measured, Observation, Piece, Seen, Sure, weighed};
pub use settings::Settings;
pub use text::all_of;
