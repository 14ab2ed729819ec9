//! What two keys have otherwise, entry by entry and field by field.
//!
//! [`diff`] finds it, [`words`] says it: 'covered sugar, Quoin: lid outline round → oval; two claims added'.

mod compare;
mod terms;
pub mod words;

pub use compare::{Difference, EntryChange, FieldChange, OtherChange, What, diff, diff_others};
