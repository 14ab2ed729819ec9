//! The house key that a verb is given.

use super::outcome::Trouble;
use super::page::{count, say};
use crate::key::{self, Key, Loaded, builtin};
use std::io::Write;
use std::path::Path;

/// The word for the key that is built in.
pub(super) const DEMO: &str = "demo";

/// Reads the key named on the command line, with its problems.
///
/// # Errors
/// Where there is no such folder.
pub(super) fn load(word: &str) -> Result<Loaded, Trouble> {
    if word == DEMO {
        return Ok(builtin::demo());
    }
    let folder = Path::new(word);
    if folder.is_dir() { Ok(key::load(folder)) } else { Err(Trouble::Misuse(no_folder(word))) }
}

/// The sentence for a word that is no folder.
pub(super) fn no_folder(word: &str) -> String {
    let what = if Path::new(word).exists() { "is a file" } else { "is not there" };
    format!("'{word}' {what} (give the folder of a house key, or '{DEMO}' for the one built in)")
}

/// Reads the key, and says in a line if something is wrong with it.
///
/// # Errors
/// Where there is no such folder.
pub(super) fn saying(word: &str, err: &mut dyn Write) -> Result<Key, Trouble> {
    let loaded = load(word)?;
    if !loaded.problems.is_empty() {
        say(err, &format!("{} in this key ('footring check {word}' lists them)", count(loaded.problems.len(), "problem", "problems")));
    }
    Ok(loaded.key)
}

/// The same for a verb that works with the forms of the key.
///
/// # Errors
/// Where there is no such folder, or no form in it can be used.
pub(super) fn with_forms(word: &str, err: &mut dyn Write) -> Result<Key, Trouble> {
    let key = saying(word, err)?;
    if key.forms.is_empty() {
        return Err(Trouble::Problem(format!("there is no form in '{word}' that can be used")));
    }
    Ok(key)
}
