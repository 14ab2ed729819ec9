//! Photographs: taking them in safely, turning and cropping them, keeping them, and noticing new ones.
//!
//! [`open`] reads a picture from a file or from bytes within stated [`Limits`], whatever its name says it is. A [`Photo`] keeps the bytes exactly
//! as they came beside its upright pixels; an [`Edit`] (turn, crop) is kept beside it and never changes it. The [`Store`] keeps photographs by
//! the hash of their content; a [`Watch`] offers new pictures of one folder as they arrive.
//!
//! A piece is measured in steps that can be kept: a photograph laid out once ([`Prepared`]), the camera placed by a bank card in it ([`card`]), by coins ([`coin`]) or a length,
//! the [`outline`] from above or the solid seen from the [`side`]; [`sampling`] reads colours. [`mark`] lays the print of a backstamp straight.
//!
//! Everything here is a plain function of its arguments: the caller decides on which thread it runs. Nothing here draws on a screen.
//! Colour profiles inside a file are kept (the bytes are) but not applied: pixels are taken to be sRGB.

mod answers;
mod bootstrap;
pub mod camera;
pub mod card;
pub mod coin;
mod complete;
pub(crate) mod durable;
mod edit;
mod error;
mod format;
mod hash;
pub mod mark;
mod measure;
mod open;
pub mod outline;
mod overlay;
mod preview;
mod progress;
pub mod sampling;
pub mod side;
mod store;
mod watch;

pub use answers::{answer_colour, answers_above, answers_side, shape_of};
pub use bootstrap::{AboveAgain, LEAST_ROUNDS, MOST_ROUNDS};
pub use edit::{Crop, Edit};
pub use error::PhotoError;
pub use format::Format;
pub use hash::PhotoHash;
pub use measure::{MeasureError, Prepared, ScaleBy, Scaled};
pub use open::{Limits, Photo, Source, from_rgba, open};
pub use overlay::{LineColour, OUTLINE_COLOUR, Overlay, SCALE_COLOUR};
pub use preview::{apply, preview};
pub use progress::Progress;
pub use store::{Kept, Store, StoreError, StoreProblem, WasThere};
pub use watch::{Notice, Watch, WatchError, WatchOptions, Watching};
