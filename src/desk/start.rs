//! How the window is asked to start.

use crate::words::Language;
use std::path::PathBuf;

/// How to start.
#[derive(Debug, Clone, Default)]
pub struct Start {
    /// The house key to open. Left out: the one used last, else the demo.
    pub key: Option<PathBuf>,
    /// The folder for settings, the daybook and the copy of the demo key. Left out: the user's own.
    pub data_dir: Option<PathBuf>,
    /// The language to speak and to remember. Left out: the one chosen, else that of the system.
    pub language: Option<Language>,
    /// The language of the system, where the program speaks it. Left out: English.
    pub system_language: Option<Language>,
}

/// The language the system is set to, where the program speaks it.
pub fn system_language() -> Option<Language> {
    sys_locale::get_locale().and_then(|locale| Language::of_locale(&locale))
}
