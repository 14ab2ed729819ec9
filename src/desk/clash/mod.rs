//! What another program did to the key on disk: taken in as it is, or, where both changed one thing, shown side by side for the person to choose.
//!
//! `watch` notices that the folder of the key changed, [`take_in`](self) decides what that means, `view` shows clashes. Nothing is written
//! and nothing of the document changes before the person has chosen, and what comes of it is one step that can be undone.

mod take_in;
mod view;
mod watch;

pub use take_in::Found;
pub(super) use take_in::look_at_disk;
pub use view::{ClashView, clash_ui};
pub use watch::KeyWatch;
