//! Earlier versions of the files of a key, in `.history/` in its folder.

use super::file::KeyFile;
use jiff::Timestamp;
use std::path::{Path, PathBuf};
use std::{fs, io};

/// Versions of each file that are kept.
pub const KEPT: usize = 10;

/// The folder they are kept in.
const FOLDER: &str = ".history";

/// An earlier version of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Version {
    /// Which file.
    pub file: KeyFile,
    /// Counts up by one a version. It, not the time, says which is later, for clocks are set back.
    pub sequence: u64,
    /// When it was replaced, by the clock of the machine; as `20261125T093012Z`.
    pub replaced: String,
    /// Where it is.
    pub path: PathBuf,
    /// Its size in bytes.
    pub bytes: u64,
}

/// The earlier versions of a file, the latest first.
///
/// # Errors
/// Where the folder cannot be read. A folder without history has no versions.
pub fn versions(dir: &Path, file: KeyFile) -> io::Result<Vec<Version>> {
    let entries = match fs::read_dir(dir.join(FOLDER).join(file.name())) {
        Ok(entries) => entries,
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(e) => return Err(e),
    };
    let mut found = Vec::new();
    for entry in entries {
        let entry = entry?;
        let name = entry.file_name();
        let Some((sequence, replaced)) = name.to_str().and_then(parts) else { continue };
        found.push(Version { file, sequence, replaced: replaced.to_owned(), path: entry.path(), bytes: entry.metadata()?.len() });
    }
    found.sort_by(|a, b| b.sequence.cmp(&a.sequence).then_with(|| b.path.cmp(&a.path)));
    Ok(found)
}

/// The folders that hold earlier versions, whether they are there or not.
pub(super) fn folders(dir: &Path) -> impl Iterator<Item = PathBuf> {
    let folder = dir.join(FOLDER);
    KeyFile::ALL.into_iter().map(move |file| folder.join(file.name()))
}

/// `000042-20261125T093012Z.ron` in its two parts.
fn parts(name: &str) -> Option<(u64, &str)> {
    let (sequence, rest) = name.strip_suffix(".ron")?.split_once('-')?;
    Some((sequence.parse().ok()?, rest))
}

/// Keeps `bytes` as the latest earlier version of a file, and drops the oldest beyond [`KEPT`].
///
/// # Errors
/// Where the folder cannot be written.
pub(super) fn keep(dir: &Path, file: KeyFile, bytes: &[u8], now: Timestamp) -> io::Result<()> {
    let folder = dir.join(FOLDER);
    let own = folder.join(file.name());
    fs::create_dir_all(&own)?;
    let ignore = folder.join(".gitignore");
    if !ignore.exists() {
        // Version control keeps its own history.
        fs::write(&ignore, "*\n")?;
    }
    let earlier = versions(dir, file)?;
    let next = earlier.first().map_or(1, |latest| latest.sequence + 1);
    let path = own.join(format!("{next:06}-{}.ron", now.strftime("%Y%m%dT%H%M%SZ")));
    super::save::write_durably(&path, bytes)?;
    for old in earlier.iter().skip(KEPT - 1) {
        fs::remove_file(&old.path)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[test]
    fn a_clock_that_is_set_back_changes_no_order() {
        let dir = tempfile::tempdir().unwrap();
        let at = |hour: u32| format!("2026-03-02T{hour:02}:00:00Z").parse::<Timestamp>().unwrap();
        for (n, hour) in [12, 13, 3, 14, 3].into_iter().enumerate() {
            keep(dir.path(), KeyFile::Forms, format!("{n}").as_bytes(), at(hour)).unwrap();
        }
        // Something that is no version of ours is none.
        fs::write(dir.path().join(FOLDER).join("forms.ron/notes.txt"), "x").unwrap();
        let found = versions(dir.path(), KeyFile::Forms).unwrap();
        let texts: Vec<String> = found.iter().map(|version| fs::read_to_string(&version.path).unwrap()).collect();
        assert_eq!(texts, ["4", "3", "2", "1", "0"]);
        assert_eq!(found.first().map(|version| (version.sequence, version.replaced.as_str())), Some((5, "20260302T030000Z")));
    }
}
