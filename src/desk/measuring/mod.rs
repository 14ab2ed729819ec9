//! Measuring a piece on one of its photographs: the card and the outline from above or from the side are found and drawn over it, moved by hand where they
//! are wrong; a colour is read from two areas; and what was measured answers several features of the key at once.
//!
//! Reading the picture and measuring are jobs; a frame draws what they made. Each change (a corner moved, a stroke of the brush) is a step of its own that
//! Undo takes back while the view is open.

mod areas;
mod canvas;
mod colour;
mod lens;
mod panel;
mod scale;
mod setup;
mod side;
mod top;
mod view;
mod work;

pub use view::{MeasuringView, broke, measuring_ui, poll, take_in};
pub use work::Done;
