//! Why a key was not saved.

use crate::key::file::KeyFile;
use crate::key::merge::{At, Clash};
use crate::key::problem::{Place, ProblemKind};
use std::io;
use std::path::PathBuf;
use thiserror::Error;

/// Why a key was not saved. Unless it says otherwise, nothing was written.
#[derive(Debug, Error)]
pub enum SaveError {
    /// A newer program wrote it.
    #[error("a newer Footring wrote this key, so it is only read here (get the newer program)")]
    NewerFormat,
    /// The folder is no key.
    #[error("there is no 'key.ron' in '{}' (open a house key, or make one)", .dir.display())]
    NoKey {
        /// The folder.
        dir: PathBuf,
    },
    /// The folder is a key already.
    #[error("there is a house key in '{}' already (open it, or choose another folder)", .dir.display())]
    KeyThere {
        /// The folder.
        dir: PathBuf,
    },
    /// The file makes no sense as a whole.
    #[error("'{file}' was not understood when it was read, so it is not written over (mend it first; its problems are listed)")]
    DidNotParse {
        /// The file.
        file: KeyFile,
    },
    /// A broken entry has that id.
    #[error("the entry at {place}, which was not understood, has the id '{id}' (mend it there, or choose another id)")]
    BrokenEntry {
        /// The id.
        id: String,
        /// Where the broken one is.
        place: Place,
    },
    /// The file was changed in a way that cannot be merged.
    #[error(
        "'{file}' was changed by another program since it was read, and the two can't be put together (read the key again; your changes can be made once more)"
    )]
    ChangedOnDisk {
        /// The file.
        file: KeyFile,
    },
    /// Both sides changed the same entries.
    #[error("{} changed here and by another program since the key was read (choose which to keep)", clash_words(.0))]
    Clash(Vec<Clash>),
    /// Another program is writing.
    #[error("another Footring is writing to '{}' (try again in a moment)", .dir.display())]
    Busy {
        /// The folder.
        dir: PathBuf,
    },
    /// It may not be written.
    #[error("'{file}' is write-protected (take the protection off, or copy the key to another folder)")]
    WriteProtected {
        /// The file.
        file: KeyFile,
    },
    /// No room.
    #[error("there is no room left on the disk for '{file}' (make room and save again)")]
    DiskFull {
        /// The file.
        file: KeyFile,
    },
    /// The file can no longer be read.
    #[error("'{file}' can't be read any more: {kind}")]
    CannotRead {
        /// The file.
        file: KeyFile,
        /// Why.
        kind: ProblemKind,
    },
    /// The new text would mean something else.
    #[error("'{file}' would not read back as what was to be saved{why} (this is a fault of Footring; nothing was written)")]
    WouldNotReadBack {
        /// The file.
        file: KeyFile,
        /// More of it, in brackets, or nothing.
        why: String,
    },
    /// A picture could not be put into the folder.
    #[error("the picture '{file}' can't be kept with the key: {why}")]
    Picture {
        /// Its name below `pictures/`.
        file: String,
        /// Why.
        why: String,
    },
    /// Anything else the system says.
    #[error("'{file}' can't be written: {}", crate::key::source::say(.why))]
    Io {
        /// The file.
        file: KeyFile,
        /// What the system says.
        why: io::Error,
    },
}

impl SaveError {
    pub(super) fn io(file: KeyFile, why: io::Error) -> Self {
        match why.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::DiskFull { file },
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => Self::WriteProtected { file },
            _ => Self::Io { file, why },
        }
    }

    pub(super) fn unwritable(file: KeyFile, error: &ron::Error) -> Self {
        Self::WouldNotReadBack { file, why: format!(" ({error})") }
    }
}

/// 'the form 'dish' was', 'the form 'dish' and 2 others were'.
fn clash_words(clashes: &[Clash]) -> String {
    let Some(first) = clashes.first() else { return "nothing was".to_owned() };
    let At { file, id, .. } = &first.at;
    let name = if id.is_empty() { format!("'{file}'") } else { format!("the {} '{id}'", file.word()) };
    let mut entries: Vec<(KeyFile, &str)> = clashes.iter().map(|clash| (clash.at.file, clash.at.id.as_str())).collect();
    entries.dedup();
    match entries.len() - 1 {
        0 => format!("{name} was"),
        1 => format!("{name} and 1 other were"),
        more => format!("{name} and {more} others were"),
    }
}
