//! Lists that lie beside the daybook's file in its folder, as text that a person may read and edit: the shelves of loose lids and bases, the services.

use crate::photo::durable::write_over;
use crate::say;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::io;
use std::path::{Path, PathBuf};
use thiserror::Error;

/// The largest such file that is read.
const LARGEST: u64 = 64 << 20;

/// Why such a file cannot be read or written.
#[derive(Debug, Error)]
pub enum BesideError {
    /// It cannot be opened or written.
    #[error("{}", say!("'{path}' can't be {doing}: {source}", path = .path.display(), doing, source))]
    Io {
        /// The file.
        path: PathBuf,
        /// 'read' or 'written'.
        doing: &'static str,
        /// Why.
        source: io::Error,
    },
    /// It is far larger than any such list.
    #[error("{}", say!("'{path}' has {megabytes} megabytes, more than {what}", path = .path.display(), megabytes, what = LARGEST >> 20))]
    TooLarge {
        /// The file.
        path: PathBuf,
        /// How large it is.
        megabytes: u64,
    },
    /// What stands in it cannot be understood. It is left as it is.
    #[error("{}", say!("{why} (mend it there, or move the file away to begin anew): {file}:{line}:{column}", why, file, line, column))]
    Unreadable {
        /// What is wrong.
        why: String,
        /// The file's name.
        file: String,
        /// The line, from 1.
        line: usize,
        /// The column, from 1.
        column: usize,
    },
    /// It is no longer as it was when it was read: someone else, or another window, wrote it.
    #[error("{}", say!("'{path}' was changed by another program meanwhile, so nothing was written over it (open the page again to see what is there)", path = .path.display()))]
    ChangedElsewhere {
        /// The file.
        path: PathBuf,
    },
}

/// A file beside the daybook, and what was last seen in it.
#[derive(Debug)]
pub struct Beside {
    path: PathBuf,
    /// Its text as it was last read or written; nothing where there was no file.
    seen: Option<String>,
    /// The number of the newest state that was written.
    written: u64,
}

impl Beside {
    /// The file of that name in the daybook's folder. It is neither read nor made yet.
    pub fn at(folder: &Path, name: &str) -> Self {
        Self { path: folder.join(name), seen: None, written: 0 }
    }

    /// Reads it; where there is no file, what an empty one means.
    ///
    /// # Errors
    /// Where it cannot be opened, or what stands in it cannot be understood. It is then left as it is.
    pub fn read<T: DeserializeOwned + Default>(&mut self) -> Result<T, BesideError> {
        let text = self.text()?;
        let read = match &text {
            Some(text) => ron::from_str(text).map_err(|error| self.unreadable(&error))?,
            None => T::default(),
        };
        self.seen = text;
        Ok(read)
    }

    /// Writes a state of it, safe on the disk when this returns. `number` counts the states: an older one that comes late is passed over.
    ///
    /// # Errors
    /// Where it cannot be written, or is not as it was last seen.
    pub fn write(&mut self, state: &impl Serialize, number: u64) -> Result<(), BesideError> {
        if number <= self.written {
            return Ok(());
        }
        if self.text()? != self.seen {
            return Err(BesideError::ChangedElsewhere { path: self.path.clone() });
        }
        let io = |source| BesideError::Io { path: self.path.clone(), doing: "written", source };
        let layout = ron::ser::PrettyConfig::new().depth_limit(2).struct_names(false);
        let mut text = ron::ser::to_string_pretty(state, layout).map_err(|error| io(io::Error::other(error.to_string())))?;
        text.push('\n');
        write_over(&self.path, text.as_bytes()).map_err(io)?;
        (self.seen, self.written) = (Some(text), number);
        Ok(())
    }

    fn text(&self) -> Result<Option<String>, BesideError> {
        let io = |source| BesideError::Io { path: self.path.clone(), doing: "read", source };
        match std::fs::metadata(&self.path) {
            Ok(file) if file.len() > LARGEST => {
                return Err(BesideError::TooLarge { path: self.path.clone(), megabytes: file.len() >> 20 });
            }
            Ok(_) => {}
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(io(error)),
        }
        std::fs::read_to_string(&self.path).map(Some).map_err(io)
    }

    fn unreadable(&self, error: &ron::error::SpannedError) -> BesideError {
        let file = self.path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let at = &error.span.start;
        BesideError::Unreadable { why: error.code.to_string(), file, line: at.line, column: at.col }
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::super::lids::{Half, Shelves, Side};
    use super::*;
    use std::fs;

    fn shelves(ids: &[&str]) -> Shelves {
        let mut shelves = Shelves::default();
        for id in ids {
            shelves.put(Side::Lid, None, Half { id: (*id).to_owned(), ..Half::default() }).unwrap();
        }
        shelves
    }

    #[test]
    fn what_is_written_is_read_again_and_an_older_state_comes_too_late() {
        let dir = tempfile::tempdir().unwrap();
        let mut file = Beside::at(dir.path(), "shelves.ron");
        assert_eq!(file.read::<Shelves>().unwrap(), Shelves::default());
        file.write(&shelves(&["L1", "L2"]), 2).unwrap();
        file.write(&shelves(&["L1"]), 1).unwrap();
        let mut again = Beside::at(dir.path(), "shelves.ron");
        assert_eq!(again.read::<Shelves>().unwrap(), shelves(&["L1", "L2"]));
        // Two windows: the second one to write sees that the first has.
        again.write(&shelves(&["L3"]), 1).unwrap();
        assert!(matches!(file.write(&shelves(&["L4"]), 3), Err(BesideError::ChangedElsewhere { .. })));
        assert_eq!(Beside::at(dir.path(), "shelves.ron").read::<Shelves>().unwrap(), shelves(&["L3"]));
    }

    #[test]
    fn a_broken_file_is_told_with_its_place_and_left_alone() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("shelves.ron");
        for text in ["(lids: [\n  (id: \"L1\", weight: 3)])", "", "\u{0}\u{1}", "(lids: 3"] {
            fs::write(&path, text).unwrap();
            let mut file = Beside::at(dir.path(), "shelves.ron");
            let error = file.read::<Shelves>().unwrap_err().to_string();
            assert!(error.contains("shelves.ron:") && error.contains("mend it there"), "{error}");
            assert!(matches!(file.write(&shelves(&[]), 1), Err(BesideError::ChangedElsewhere { .. })), "never written over");
            assert_eq!(fs::read_to_string(&path).unwrap(), text);
        }
    }
}
