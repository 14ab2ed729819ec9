//! Colours as people and instruments name them: CIELAB, sRGB, the change of one light to another, Munsell notation and names, and the distance
//! between two glazes.
//!
//! The lowest room: it depends on nothing else of the program.

mod adapt;
mod delta_e;
mod lab;
mod munsell;
mod srgb;

pub use adapt::{Adaptation, WHITE_C};
pub use delta_e::delta_e00;
pub use lab::Lab;
pub use munsell::{ColourName, Munsell, NotMunsell};
pub use srgb::{WHITE_D65, Xyz, linear_from_srgb, srgb_from_linear};
