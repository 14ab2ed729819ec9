//! The house key: what a person knows of one or several potteries, as an editable folder of plain text.
//!
//! [`model`] says what a key holds; the other files load it, check it, find things in it by name, draw its shapes and save it.

pub mod builtin;
mod check;
pub mod diff;
pub mod edit;
mod file;
pub mod history;
pub mod ids;
mod load;
pub mod merge;
pub mod model;
pub mod outline;
pub mod pack;
mod print;
pub mod problem;
mod save;
mod say;
pub use say::{capital, count, month, percent, plain};
pub mod shape;
mod source;
mod syntax;
pub mod tables;
mod text;
mod unique;
pub mod versions;
pub mod words;

pub use check::{check_form, check_key};
pub use file::KeyFile;
pub use ids::{CountedId, DecorationId, FeatureId, FormId, GlazeId, LineId, MarkId, PaperId, ValueId};
pub(crate) use load::Loose;
pub use load::{Loaded, load};
pub use model::*;
pub use problem::{Problem, ProblemKind, Severity};
pub use save::{Folder, OnDisk, SaveError, Saved};
pub use source::SIZE_LIMIT;
pub use source::picture_path;
pub(crate) use text::Step;
pub use words::Words;

/// An id made from a name: 'Crème dish, 6 in' becomes `creme-dish-6-in`.
///
/// It is `unnamed` where nothing of the name is left.
pub fn id_from_name(name: &str) -> String {
    let folded = words::fold(name);
    let id: String = folded.chars().map(|c| if c == ' ' { '-' } else { c }).filter(|c| c.is_ascii_alphanumeric() || *c == '-').collect();
    let id: Vec<&str> = id.split('-').filter(|word| !word.is_empty()).collect();
    if id.is_empty() { "unnamed".to_owned() } else { id.join("-") }
}
