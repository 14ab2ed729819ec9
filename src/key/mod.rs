//! The house key: what a person knows of one or several potteries, as an editable folder of plain text.
//!
//! [`model`] says what a key holds; the other files load it, check it, find things in it by name, draw its shapes and save it.

pub mod builtin;
mod check;
mod file;
pub mod ids;
mod load;
pub mod model;
pub mod outline;
pub mod problem;
pub mod shape;
mod source;
mod syntax;
mod text;
pub mod words;

pub use file::KeyFile;
pub use ids::{DecorationId, FeatureId, FormId, GlazeId, LineId, MarkId, PaperId, ValueId};
pub use load::{Loaded, load};
pub use model::*;
pub use problem::{Problem, ProblemKind, Severity};
pub use source::SIZE_LIMIT;
pub use words::Words;
