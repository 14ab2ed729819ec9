//! Colours as people and instruments name them: CIELAB, sRGB, and the distance between two glazes.
//!
//! The lowest room: it depends on nothing else of the program.

mod lab;

pub use lab::Lab;
