//! Going back: copies of the finds that are kept before something large is done to them, and backups put in a daybook's place.
//!
//! What is put in place is written by SQLite's own backup into the file that is there, in one transaction, so that other windows on the same daybook see it and a
//! power cut leaves the one or the other. Photographs are only ever added, so a copy of the finds alone is enough to go back by.

use super::backup::{BackupError, LISTS, unpack_into};
use super::book::{Daybook, rules_of};
use super::error::DaybookError;
use super::schema;
use crate::photo::durable::write_over;
use crate::photo::{Progress, Store};
use jiff::ZonedDateTime;
use std::fs;
use std::path::{Path, PathBuf};

/// What the names of copies begin and end with.
const BEFORE: &str = "finds.before-";
const ENDING: &str = ".db";

/// A copy of the finds in the daybook's folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Copy {
    /// The file.
    pub path: PathBuf,
    /// Of before what, and when: 'joining 2026-11-26 1432'.
    pub of: String,
}

/// What came of putting a backup in the daybook's place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PutInPlace {
    /// Finds there are now, removed ones aside.
    pub finds: u64,
    /// Photographs that came with it and were not here.
    pub photographs: usize,
    /// The copy of the finds as they were before.
    pub copy: PathBuf,
}

impl Daybook {
    /// Keeps a copy of the finds as they are, named for what it is before ('joining') and the time.
    ///
    /// # Errors
    /// [`DaybookError::Full`], [`DaybookError::ReadOnly`] and the like; nothing was kept then.
    pub fn keep_copy(&self, before: &str, now: &ZonedDateTime) -> Result<PathBuf, DaybookError> {
        let stem = format!("{BEFORE}{before}-{}", now.strftime("%Y-%m-%d-%H%M%S"));
        // Two in one second are both kept.
        let names = (1..1000).map(|n| if n == 1 { format!("{stem}{ENDING}") } else { format!("{stem}-{n}{ENDING}") });
        let path = names.map(|name| self.folder().join(name)).find(|path| !path.exists());
        let path = path.unwrap_or_else(|| self.folder().join(format!("{stem}-more{ENDING}")));
        schema::copy(&self.connection, &path)?;
        Ok(path)
    }

    /// The copies there are, newest first. Those that older versions of the program left are not among them.
    pub fn copies(&self) -> Vec<Copy> {
        let Ok(files) = fs::read_dir(self.folder()) else { return Vec::new() };
        let mut found: Vec<Copy> = files
            .filter_map(Result::ok)
            .filter_map(|file| {
                let name = file.file_name().into_string().ok()?;
                let of = name.strip_prefix(BEFORE)?.strip_suffix(ENDING)?;
                // Before a new form of the daybook: 'finds.before-2.db'.
                if of.parse::<u32>().is_ok() {
                    return None;
                }
                Some(Copy { path: file.path(), of: of.replace('-', " ") })
            })
            .collect();
        let time = |copy: &Copy| copy.of.split_once(' ').map(|(_, time)| time.to_owned());
        found.sort_by(|a, b| time(b).cmp(&time(a)).then_with(|| a.of.cmp(&b.of)));
        found
    }

    /// Puts a copy of the finds in the place of those that are there, of which a copy is kept first; gives that.
    ///
    /// # Errors
    /// Where the copy is none, is damaged or of a newer program; the finds are as they were then.
    pub fn go_back_to(&mut self, copy: &Path, now: &ZonedDateTime) -> Result<PathBuf, DaybookError> {
        let kept = self.keep_copy("going-back", now)?;
        self.put_finds_in_place(copy)?;
        Ok(kept)
    }

    /// Puts a backup in the place of the daybook: its finds and lists in the place of those here, its photographs beside those here. Everything of it is read
    /// and checked before. A copy of the finds is kept, and of each list that is written over.
    ///
    /// # Errors
    /// Any of [`BackupError`]; the finds are as they were then.
    pub fn put_in_place(&mut self, backup: &Path, now: &ZonedDateTime, progress: &Progress) -> Result<PutInPlace, BackupError> {
        let failed = |path: &Path| {
            let path = path.to_owned();
            move |source| BackupError::Io { path, source }
        };
        let room = tempfile::Builder::new().prefix(".footring-").tempdir_in(self.folder()).map_err(failed(self.folder()))?;
        unpack_into(backup, room.path(), progress)?;
        let (theirs, ours) = (Store::at(room.path()), Store::at(self.folder()));
        let mut photographs = 0;
        for (hash, format) in Self::open(room.path())?.photographs_kept()? {
            progress.check().map_err(|_cancelled| BackupError::Stopped)?;
            if ours.read(hash, format).is_err()
                && let Ok(bytes) = theirs.read(hash, format)
            {
                ours.keep_bytes(hash, format, &bytes).map_err(failed(&ours.path(hash, format)))?;
                photographs += 1;
            }
        }
        let copy = self.keep_copy("bringing-back", now)?;
        self.put_finds_in_place(&room.path().join("finds.db"))?;
        for name in LISTS {
            let (from, to) = (room.path().join(name), self.folder().join(name));
            if !from.is_file() {
                continue;
            }
            let text = fs::read(&from).map_err(failed(&from))?;
            if fs::read(&to).is_ok_and(|here| here == text) {
                continue;
            }
            if to.is_file() {
                let kept = self.folder().join(format!("{name}.before-bringing-back-{}", now.strftime("%Y-%m-%d-%H%M%S")));
                fs::copy(&to, &kept).map_err(failed(&kept))?;
            }
            write_over(&to, &text).map_err(failed(&to))?;
        }
        self.rules = rules_of(self.folder());
        Ok(PutInPlace { finds: self.count(&super::Page::default())?, photographs, copy })
    }

    /// Writes the content of another file of finds over that of this daybook.
    fn put_finds_in_place(&mut self, from: &Path) -> Result<(), DaybookError> {
        schema::look_at_head(from)?;
        // Read from a copy of its own: opening may bring it up to this program's form, and the other file stays as it is.
        let room = tempfile::tempdir_in(self.folder()).map_err(|source| DaybookError::Folder { path: self.folder().to_owned(), source })?;
        let copied = room.path().join("finds.db");
        fs::copy(from, &copied).map_err(|source| DaybookError::Folder { path: from.to_owned(), source })?;
        let other = Self::open_looked_through(room.path())?;
        other
            .connection
            .query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_row| Ok(()))
            .map_err(|error| DaybookError::sort(error, from))?;
        drop(other);
        let path = self.path.clone();
        self.connection.restore("main", &copied, None::<fn(rusqlite::backup::Progress)>).map_err(|error| DaybookError::sort(error, &path))
    }
}
