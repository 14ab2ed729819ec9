//! The key the window is asked to open.

use super::cli::Open;
use super::open_key::{DEMO, no_folder};
use std::path::PathBuf;

/// The folder of the key that the window is asked for, or the file of a packed one, none for the one used last; for the demo key, the word itself.
///
/// # Errors
/// A sentence, where there is no such folder.
pub fn place(open: &Open) -> Result<Option<PathBuf>, String> {
    let Some(word) = &open.key else { return Ok(None) };
    if word == DEMO {
        return Ok(Some(DEMO.into()));
    }
    let folder = PathBuf::from(word);
    if !folder.is_dir() && !crate::key::pack::is_packed(&folder) {
        return Err(no_folder(word));
    }
    // The window remembers it, and may be started from elsewhere next time.
    Ok(Some(std::path::absolute(&folder).unwrap_or(folder)))
}
