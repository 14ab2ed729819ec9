//! Footring: sort, identify, date and record tableware at a table.
//!
//! Rooms, from the door down; each may use those below it and none above:
//! [`terminal`], `desk` (feature `window`), [`sheets`], [`daybook`], [`photo`], [`identify`], [`marks`], [`key`], [`colour`], [`words`].

pub mod colour;
pub mod daybook;
#[cfg(feature = "window")]
pub mod desk;
pub mod identify;
pub mod key;
pub mod marks;
pub mod photo;
pub mod sheets;
pub mod terminal;
pub mod words;
