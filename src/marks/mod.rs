//! Marks: reading worn wording against the wordings of the key.

mod closest;
mod confusions;
pub mod dates;
mod grams;
mod letters;
mod looks;
mod twins;
mod typed;
mod weigh;
mod wording;
mod wordings;

pub use confusions::{Confusions, ConfusionsError, look_alikes};
pub use looks::Looks;
pub use twins::{NearTwin, near_twins};
pub use typed::{LONGEST_TYPED, TypedError, check_typed};
pub use wording::{Match, Span, wording_match};
pub use wordings::{Asked, Found, Wordings};
