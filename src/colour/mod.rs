//! Colours as people and instruments name them: CIELAB, sRGB, and the distance between two glazes.
//!
//! The lowest room: it depends on nothing else of the program.

mod delta_e;
mod lab;
mod srgb;

pub use delta_e::delta_e00;
pub use lab::Lab;
pub use srgb::{WHITE_D65, Xyz};
