//! The colour of a glaze or a clay from an area of a photograph.
//!
//! [`White::of`] reads the light from something white in the picture, [`sample`] the colour of an area under it, with an honest spread. A
//! photograph under a lamp is a hint, not a measurement: the spread never falls below [`FLOOR_SD`].

mod area;
mod light;
mod read;
mod sampled;

pub use area::{Area, SamplingError};
pub use light::White;
pub use read::{ColourRead, WhiteIs, hint};
pub use sampled::{FLOOR_SD, Sampled, sample};
