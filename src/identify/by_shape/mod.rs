//! Finding forms by their shape: a half profile measured on a piece, compared with the half profile of every form.
//!
//! Two pieces are compared as they are seen from the side, by the width they have at each height. Their distance is the *area between the two
//! outlines*, on one side of the axis: of the size they have ([`Scaling::TrueSize`], in mm²), or after both are scaled to the same area
//! ([`Scaling::AnySize`], as a share of that area). A [`ShapeIndex`] finds the nearest forms without comparing each: the areas in a few bands of
//! height bound the distance from below, and only what the bound leaves is compared. Its answer is the same as that of comparing all.
//!
//! [`ShapeIndex::weigh`] turns distances into likelihoods that an [`super::Index`] can take beside what else was seen of the piece.

mod bands;
mod error;
mod library;
mod outline;
mod profile;
mod weigh;

pub use error::ShapeError;
pub use library::{LidOn, Match, Scaling, ShapeIndex};
pub use profile::{HalfProfile, MOST_POINTS};
pub use weigh::{ShapeReading, ShapeSeen};

#[cfg(test)]
mod tests;
