//! Photographs of the piece in hand: adding, looking at, turning and cropping them.
//!
//! Pictures come from four places (dropped on the window, pasted, chosen, offered by a watched folder) and all go one way: a job reads and keeps
//! them, and a command puts them with the piece. What is drawn comes from textures that jobs make; nothing is decoded in a frame.

mod crop;
mod strip;
mod thumbs;
mod view;
mod viewer;
mod work;

pub(super) use crop::{Framing, framing_ui, moved};
pub use strip::strip_ui;
pub use thumbs::{Shown, Thumbs};
pub use view::{PhotographsView, poll, take_in};
pub use viewer::viewer_ui;
pub use work::Done;
