//! Why the daybook could not do something.

use super::find::FindId;
use crate::say;
use std::io;
use std::path::PathBuf;

/// Why the daybook could not do something. Nothing was changed then.
#[derive(Debug, thiserror::Error)]
pub enum DaybookError {
    /// The folder cannot be made or used.
    #[error("{}", say!("the daybook's folder cannot be used: {source} (choose another folder)\n{path}", source, path = path.display()))]
    Folder {
        /// The folder.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The folder or file may not be written.
    #[error("{}", say!("the daybook may be read but not written (ask for the right to write in its folder, or choose another)\n{path}", path = path.display()))]
    ReadOnly {
        /// The file.
        path: PathBuf,
    },
    /// The file is something else.
    #[error("{}", say!("this file is not a daybook: {why} (move it away, or choose another folder)\n{path}", why, path = path.display()))]
    NotADaybook {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        why: &'static str,
    },
    /// The file was written by a newer program.
    #[error("{}", say!("the daybook was written by a newer version of this program: it has form {found}, this program knows up to {known} (install the newer version)\n{path}", found, known, path = path.display()))]
    Newer {
        /// The file.
        path: PathBuf,
        /// The version it has.
        found: u32,
        /// The newest version known here.
        known: u32,
    },
    /// The file is damaged.
    #[error("{}", say!("the daybook's file is damaged: {detail} (bring back a copy of its folder; this one was left as it is)\n{path}", detail, path = path.display()))]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What SQLite said.
        detail: String,
    },
    /// The log is there without the file it belongs to.
    #[error("{}", say!("the daybook's file is gone but its log is still there, with changes in it (bring the file back, or move the log away)\n{path}", path = path.display()))]
    LostFile {
        /// The file that is gone.
        path: PathBuf,
    },
    /// Another program holds the daybook.
    #[error("{}", say!("another program has been writing in the daybook for too long (close it, then try again)"))]
    Busy,
    /// The disk is full.
    #[error("{}", say!("there is no room left on the disk for the daybook (make room, then try again)"))]
    Full,
    /// The disk did not do what was asked.
    #[error("{}", say!("the disk refused what the daybook wanted to read or write: {detail} (look at the disk and the room on it, then try again; what was kept before is still there)", detail))]
    Disk {
        /// What SQLite said.
        detail: String,
    },
    /// The find was changed by someone else since it was read.
    #[error("{}", say!("this find was changed elsewhere meanwhile (open it again, then make the change anew)"))]
    ChangedElsewhere {
        /// The find.
        id: FindId,
    },
    /// The find is in the daybook already.
    #[error("{}", say!("this find is in the daybook already"))]
    AlreadyThere {
        /// The find.
        id: FindId,
    },
    /// There is no such find.
    #[error("{}", say!("there is no find '{id}' in the daybook", id))]
    NoSuchFind {
        /// The find.
        id: FindId,
    },
    /// The find holds a value that cannot be.
    #[error("{}", say!("the find cannot be written: {what}", what))]
    BadFind {
        /// What is wrong, and what was expected.
        what: String,
    },
    /// A find in the file cannot be read.
    #[error("{}", say!("the find '{id}' cannot be read: {detail} (the rest of the daybook can be used)", id, detail))]
    UnreadableFind {
        /// Its id, as stored.
        id: String,
        /// What is wrong.
        detail: String,
    },
    /// Anything else that SQLite says.
    #[error("{}", say!("the daybook could not be used: {what}", what = _0))]
    Sqlite(rusqlite::Error),
}

impl DaybookError {
    /// Sorts an error of SQLite. `path` is the file, where the error is about it.
    pub(super) fn sort(error: rusqlite::Error, path: &std::path::Path) -> Self {
        use rusqlite::ErrorCode;
        let path = path.to_owned();
        match error.sqlite_error_code() {
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy,
            Some(ErrorCode::DiskFull) => Self::Full,
            Some(ErrorCode::ReadOnly) => Self::ReadOnly { path },
            Some(ErrorCode::DatabaseCorrupt) => Self::Damaged { path, detail: error.to_string() },
            Some(ErrorCode::SystemIoFailure) => Self::Disk { detail: error.to_string() },
            Some(ErrorCode::NotADatabase) => Self::NotADaybook { path, why: "its content is no SQLite database" },
            Some(ErrorCode::CannotOpen) => Self::Folder { path, source: io::Error::other(error.to_string()) },
            _ => Self::Sqlite(error),
        }
    }
}
