//! Drawing vessels: millimetres to points, filled and dashed outlines, value drawings and the sketch of the piece in hand.

pub mod glyph;
pub mod paint;
pub mod sketch;
pub mod vessel;

pub use paint::Placing;
