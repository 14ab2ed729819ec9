//! Marks: reading worn wording against the wordings of the key.

mod confusions;
pub mod dates;
mod letters;
mod wording;

pub use confusions::look_alikes;
pub use wording::{Legend, Match, Span, wording_match};
