//! Changing a house key: whole entries renamed, joined, cut in two, retired and copied from another key, with everything that refers to them; and single cells of its value table.
//!
//! Each function takes a key and gives a new one: saving, and going back, are the caller's.

pub mod across;
pub mod cell;
mod forms;
mod rename;
mod restrict;

pub use forms::{duplicate, into_which, merge, retire, split, unretire};
pub use rename::{Renamed, rename};
pub use restrict::{remove, used_by, values_used};

#[cfg(test)]
mod tests;

use super::file::KeyFile;
use crate::say;

/// Why a change of a key cannot be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EditError {
    /// There is no such entry.
    #[error("{}", say!("there is no {of} '{id}' in this key", of, id))]
    Unknown {
        /// What was looked for.
        of: &'static str,
        /// Its id.
        id: String,
    },
    /// The id is taken.
    #[error("{}", say!("there is a {of} '{id}' already; choose another id", of, id))]
    Taken {
        /// What has it.
        of: &'static str,
        /// The id.
        id: String,
    },
    /// The id is not written as ids are.
    #[error("{}", say!("'{id}' is no id: write small letters and digits, joined by hyphens (such as '{instead}')", id, instead))]
    OddId {
        /// As written.
        id: String,
        /// What it could be.
        instead: String,
    },
    /// A form cannot be merged into itself.
    #[error("{}", say!("a form can't be merged into itself; choose another"))]
    Itself,
    /// No value goes to one of the two forms.
    #[error("{}", say!("choose at least one value for each of the two forms"))]
    NothingToSplit,
    /// Something still refers to it.
    #[error("{}", say!("{of} '{id}' can't be taken out: {by} (change that first)", of, id, by = by.join(", ")))]
    Used {
        /// What it is.
        of: &'static str,
        /// Its id.
        id: String,
        /// What refers to it, in words.
        by: Vec<String>,
    },
}

/// Refuses what is no id, or is taken.
fn free_id(file: KeyFile, id: &str, taken: bool) -> Result<(), EditError> {
    let instead = super::id_from_name(id);
    if id != instead || id.is_empty() {
        return Err(EditError::OddId { id: id.to_owned(), instead });
    }
    if taken {
        return Err(EditError::Taken { of: file.said(), id: id.to_owned() });
    }
    Ok(())
}

/// The first of `name(1)`, `name(2)`, … that is not taken. Some is free, since a key holds finitely many.
fn first_free(name: impl Fn(usize) -> String, taken: impl Fn(&str) -> bool) -> String {
    let mut n = 1;
    loop {
        let name = name(n);
        if !taken(&name) {
            return name;
        }
        n += 1;
    }
}

/// A name, with a number behind it where it is taken.
fn free_name(name: &str, taken: impl Fn(&str) -> bool) -> String {
    first_free(|n| if n == 1 { name.to_owned() } else { format!("{name} {n}") }, taken)
}

/// An id made from a name that is not taken yet.
pub(crate) fn made_id(name: &str, taken: impl Fn(&str) -> bool) -> String {
    let base = super::id_from_name(name);
    first_free(|n| if n == 1 { base.clone() } else { format!("{base}-{n}") }, taken)
}
