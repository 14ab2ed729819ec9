//! Writing a file so that it is either there in full or not at all, also after a power cut.

use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::Path;

/// What became of a write.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Written {
    /// The file is new.
    New,
    /// Someone had put a file of that name there before; it was left alone.
    WasThere,
}

/// Writes a new file: beside its place, synced, then moved there. An existing file is never replaced. Missing folders are made.
pub(super) fn write_new(path: &Path, bytes: &[u8]) -> io::Result<Written> {
    let folder = path.parent().ok_or_else(|| io::Error::new(io::ErrorKind::InvalidInput, "a path without a folder"))?;
    make_folder(folder)?;
    let mut beside = tempfile::Builder::new().prefix(".part-").tempfile_in(folder)?;
    beside.write_all(bytes)?;
    beside.as_file().sync_all()?;
    match beside.persist_noclobber(path) {
        Ok(_file) => {
            sync_folder(folder)?;
            Ok(Written::New)
        }
        Err(error) if error.error.kind() == io::ErrorKind::AlreadyExists => Ok(Written::WasThere),
        Err(error) => Err(error.error),
    }
}

/// Writes a file, in the place of one that may be there.
pub(crate) fn write_over(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = path.parent().ok_or_else(|| io::Error::new(io::ErrorKind::InvalidInput, "a path without a folder"))?;
    make_folder(folder)?;
    let mut beside = tempfile::Builder::new().prefix(".part-").tempfile_in(folder)?;
    beside.write_all(bytes)?;
    beside.as_file().sync_all()?;
    beside.persist(path).map_err(|error| error.error)?;
    sync_folder(folder)
}

/// Makes a folder and those above it, each made to last.
fn make_folder(folder: &Path) -> io::Result<()> {
    if folder.is_dir() {
        return Ok(());
    }
    if let Some(above) = folder.parent().filter(|above| !above.as_os_str().is_empty()) {
        make_folder(above)?;
        match fs::create_dir(folder) {
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            other => other?,
        }
        return sync_folder(above);
    }
    fs::create_dir(folder)
}

/// Makes a change of a folder last. Only Unix can open a folder for that; elsewhere the rename itself is what there is.
#[cfg(unix)]
fn sync_folder(folder: &Path) -> io::Result<()> {
    File::open(folder)?.sync_all()
}

#[cfg(not(unix))]
#[expect(clippy::unnecessary_wraps, reason = "the other systems' version can fail")]
fn sync_folder(_folder: &Path) -> io::Result<()> {
    Ok(())
}
