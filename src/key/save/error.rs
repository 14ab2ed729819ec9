//! Why a key was not saved.

use crate::key::file::KeyFile;
use crate::key::merge::{At, Clash};
use crate::key::problem::{Place, ProblemKind};
use crate::{say, say_count};
use std::io;
use std::path::PathBuf;
use thiserror::Error;

/// Why a key was not saved. Unless it says otherwise, nothing was written.
#[derive(Debug, Error)]
pub enum SaveError {
    /// A newer program wrote it.
    #[error("{}", say!("a newer Footring wrote this key, so it is only read here (get the newer program)"))]
    NewerFormat,
    /// The folder is no key.
    #[error("{}", say!("there is no 'key.ron' in '{dir}' (open a house key, or make one)", dir = .dir.display()))]
    NoKey {
        /// The folder.
        dir: PathBuf,
    },
    /// The folder is a key already.
    #[error("{}", say!("there is a house key in '{dir}' already (open it, or choose another folder)", dir = .dir.display()))]
    KeyThere {
        /// The folder.
        dir: PathBuf,
    },
    /// The file makes no sense as a whole.
    #[error("{}", say!("'{file}' was not understood when it was read, so it is not written over (mend it first; its problems are listed)", file))]
    DidNotParse {
        /// The file.
        file: KeyFile,
    },
    /// A broken entry has that id.
    #[error("{}", say!("the entry at {place}, which was not understood, has the id '{id}' (mend it there, or choose another id)", place, id))]
    BrokenEntry {
        /// The id.
        id: String,
        /// Where the broken one is.
        place: Place,
    },
    /// The file was changed in a way that cannot be merged.
    #[error("{}", say!("'{file}' was changed by another program since it was read, and the two can't be put together (read the key again; your changes can be made once more)", file))]
    ChangedOnDisk {
        /// The file.
        file: KeyFile,
    },
    /// Both sides changed the same entries.
    #[error("{}", say!("{clash_words} changed here and by another program since the key was read (choose which to keep)", clash_words = clash_words(.0)))]
    Clash(Vec<Clash>),
    /// Another program is writing.
    #[error("{}", say!("another Footring is writing to '{dir}' (try again in a moment)", dir = .dir.display()))]
    Busy {
        /// The folder.
        dir: PathBuf,
    },
    /// It may not be written.
    #[error("{}", say!("'{file}' is write-protected (take the protection off, or copy the key to another folder)", file))]
    WriteProtected {
        /// The file.
        file: KeyFile,
    },
    /// No room.
    #[error("{}", say!("there is no room left on the disk for '{file}' (make room and save again)", file))]
    DiskFull {
        /// The file.
        file: KeyFile,
    },
    /// The file can no longer be read.
    #[error("{}", say!("'{file}' can't be read any more: {kind}", file, kind))]
    CannotRead {
        /// The file.
        file: KeyFile,
        /// Why.
        kind: ProblemKind,
    },
    /// The new text would mean something else.
    #[error("{}", say!("'{file}' would not read back as what was to be saved{why} (this is a fault of Footring; nothing was written)", file, why))]
    WouldNotReadBack {
        /// The file.
        file: KeyFile,
        /// More of it, in brackets, or nothing.
        why: String,
    },
    /// A picture could not be put into the folder.
    #[error("{}", say!("the picture '{file}' can't be kept with the key: {why}", file, why))]
    Picture {
        /// Its name below `pictures/`.
        file: String,
        /// Why.
        why: String,
    },
    /// Anything else the system says.
    #[error("{}", say!("'{file}' can't be written: {why}", file, why = crate::key::source::say(.why)))]
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
    let Some(first) = clashes.first() else { return say!("nothing was").to_owned() };
    let At { file, id, .. } = &first.at;
    let name = if id.is_empty() { format!("'{file}'") } else { say!("the {word} '{id}'", word = file.said(), id) };
    let mut entries: Vec<(KeyFile, &str)> = clashes.iter().map(|clash| (clash.at.file, clash.at.id.as_str())).collect();
    entries.dedup();
    match entries.len() - 1 {
        0 => say!("{name} was", name),
        more => say_count!(n = more, "{name} and 1 other were", "{name} and {n} others were", name),
    }
}
