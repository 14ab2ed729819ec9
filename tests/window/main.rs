//! The window, driven as a person drives it: by the names a screen reader says, and by keys.
#![expect(clippy::unwrap_used, clippy::panic, reason = "tests")]

mod desk;
mod key_book;
mod mark_drawer;
mod pictures;
mod walk_through;
