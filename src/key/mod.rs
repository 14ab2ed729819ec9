//! The house key: what a person knows of one or several potteries, as an editable folder of plain text.
//!
//! [`model`] says what a key holds; the other files load it, check it, find things in it by name, draw its shapes and save it.

pub mod ids;
pub mod model;
pub mod shape;

pub use ids::{DecorationId, FeatureId, FormId, GlazeId, LineId, MarkId, PaperId, ValueId};
pub use model::*;
