//! Lids and bases, the census and papers, as a script and a person see them.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, reason = "tests")]

mod census;
mod pair;
#[path = "../common/ran.rs"]
mod ran;
mod reconcile;
