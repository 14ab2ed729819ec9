//! Whether a daybook's file is sound: looked through as a whole before anything is written in it.
//!
//! That takes longer the more finds there are, and nobody should wait for it before they see them: the file of a small daybook is looked through when it
//! is opened, that of a large one by whoever asks first, a job of the window or the first change. Who asks meanwhile waits for the same answer.

use super::error::DaybookError;
use rusqlite::{Connection, OpenFlags};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// A file of so many bytes, its log included, is looked through when it is opened: some thousand finds, a tenth of a second. A choice of this program.
const SMALL: u64 = 8 << 20;

/// The soundness of a daybook's file, known or still to be found out.
#[derive(Debug, Clone)]
pub struct Soundness {
    path: PathBuf,
    /// Once it was looked through: what is wrong with it, if anything.
    found: Arc<Mutex<Option<Result<(), String>>>>,
}

impl Soundness {
    pub(super) fn unknown(path: &Path) -> Self {
        Self { path: path.to_owned(), found: Arc::default() }
    }

    /// True once it was looked through.
    pub fn is_known(&self) -> bool {
        self.found.lock().unwrap_or_else(PoisonError::into_inner).is_some()
    }

    /// Looks the file through, unless that was done, with a connection of its own that only reads.
    ///
    /// # Errors
    /// [`DaybookError::Damaged`]; [`DaybookError::Busy`] and the like where it could not be looked through, which can be tried again.
    pub fn check(&self) -> Result<(), DaybookError> {
        let mut found = self.found.lock().unwrap_or_else(PoisonError::into_inner);
        let verdict = match &*found {
            Some(known) => known.clone(),
            None => match self.look_through() {
                Err(DaybookError::Damaged { detail, .. }) => Err(detail),
                Err(other) => return Err(other),
                Ok(()) => Ok(()),
            },
        };
        *found = Some(verdict.clone());
        verdict.map_err(|detail| DaybookError::Damaged { path: self.path.clone(), detail })
    }

    /// Notes that the whole file was found sound, by a connection that is open anyway.
    pub(super) fn note_sound(&self) {
        *self.found.lock().unwrap_or_else(PoisonError::into_inner) = Some(Ok(()));
    }

    /// Every page of every table and index. What is searched by is made of the finds: its pages are looked at, and not whether each word of it is right.
    fn look_through(&self) -> Result<(), DaybookError> {
        let sorted = |error| DaybookError::sort(error, &self.path);
        let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection = Connection::open_with_flags(&self.path, flags).map_err(sorted)?;
        connection.busy_timeout(super::schema::PATIENCE).map_err(sorted)?;
        let mut tables =
            connection.prepare("SELECT name FROM sqlite_schema WHERE type = 'table' AND rootpage > 0 ORDER BY name").map_err(sorted)?;
        let tables = tables.query_map([], |row| row.get::<_, String>(0)).and_then(Iterator::collect::<rusqlite::Result<Vec<_>>>);
        for table in tables.map_err(sorted)? {
            let quoted = table.replace('"', "\"\"");
            self.say(&connection.query_row(&format!("PRAGMA quick_check(\"{quoted}\")"), [], |row| row.get(0)).map_err(sorted)?)?;
        }
        Ok(())
    }

    fn say(&self, verdict: &String) -> Result<(), DaybookError> {
        if verdict == "ok" { Ok(()) } else { Err(DaybookError::Damaged { path: self.path.clone(), detail: verdict.clone() }) }
    }
}

/// True where a file and its log are so small that they are looked through at once. A file whose size cannot be told is.
pub(super) fn is_small(files: [&Path; 2]) -> bool {
    files.into_iter().map(|file| std::fs::metadata(file).map_or(0, |about| about.len())).sum::<u64>() <= SMALL
}
