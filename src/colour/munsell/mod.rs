//! Munsell notation and the names of colours: a colour as a trade card or a catalogue would write it.
//!
//! [`Munsell::from_lab`] finds the notation, [`Munsell::name`] the ISCC–NBS name. Both are descriptions in words: nothing is weighed by them.

mod convert;
mod names;
mod notation;
mod table;

pub use names::ColourName;
pub use notation::{Munsell, NotMunsell};
