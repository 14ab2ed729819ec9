//! Reading a mark on one of the photographs of the piece in hand: its ring found or set by hand and laid out as straight strips, worn print made plain,
//! pictures lit from several sides put together, the key's own pictures laid over it, and what can be read typed beside it.
//!
//! Everything that takes time is a job; a frame draws what the last one made. Each change of the ring or of the contrast is a step of its own that Undo
//! takes back while the view is open.

mod alike;
mod panel;
mod setup;
mod sheet;
mod view;
mod work;

pub use view::{ReadingView, broke, poll, reading_ui, take_in};
pub use work::Done;
pub(super) use work::picture_of_key;
