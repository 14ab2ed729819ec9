//! The condition of the piece in hand: what is wrong with it, pointed at on the drawn board in three views, its size, a photograph of it, and the grade that
//! follows from stated rules.
//!
//! `board` draws the three views with the places, `list` what was noted, `view` lays them out. What is noted is part of the piece in hand: each change is a
//! step that can be undone, and it goes into the daybook with the find.

mod board;
mod list;
mod view;

pub use view::{ConditionView, condition_ui};
