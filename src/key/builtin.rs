//! The demo key that is inside the program.

use super::load::{Loaded, load_from};
use super::problem::ProblemKind;
use super::source::{HEAD, Source};
use include_dir::{Dir, DirEntry, include_dir};
use std::path::{Path, PathBuf};
use std::{fs, io};
use thiserror::Error;

static MARROWBY: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/keys/marrowby");

/// The folder name of the demo key.
pub const DEMO_NAME: &str = "marrowby";

/// The key of the invented Marrowby Pottery, as it is inside the program.
pub fn demo() -> Loaded {
    load_from(&Embedded, "Marrowby")
}

/// Why the demo key could not be copied.
#[derive(Debug, Error)]
pub enum CopyError {
    /// Something is there already.
    #[error("'{}' is there already (open it, or choose another name)", .0.display())]
    Exists(PathBuf),
    /// The system won't have it.
    #[error("the demo key can't be copied to '{}': {why} (choose a folder you may write to)", .to.display())]
    Io {
        /// The folder that was to be made.
        to: PathBuf,
        /// What the system says.
        why: io::Error,
    },
}

/// Copies the demo key into a new folder `to`, all of it or nothing.
///
/// # Errors
/// Where `to` exists, or the folder around it cannot be made or written.
pub fn copy_demo(to: &Path) -> Result<(), CopyError> {
    if fs::symlink_metadata(to).is_ok() {
        return Err(CopyError::Exists(to.to_owned()));
    }
    let failed = |why| CopyError::Io { to: to.to_owned(), why };
    let around = to.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or_else(|| Path::new("."));
    fs::create_dir_all(around).map_err(failed)?;
    // Written under another name first, so that a copy cut short is never taken for a key.
    let beside = tempfile::Builder::new().prefix(".footring-").tempdir_in(around).map_err(failed)?;
    let built = beside.path().join("key");
    fs::create_dir(&built).map_err(failed)?;
    write_dir(&MARROWBY, &built).map_err(failed)?;
    match fs::rename(&built, to) {
        Ok(()) => Ok(()),
        // Someone else was faster.
        Err(_) if fs::symlink_metadata(to).is_ok() => Err(CopyError::Exists(to.to_owned())),
        Err(why) => Err(failed(why)),
    }
}

fn write_dir(dir: &Dir<'_>, to: &Path) -> io::Result<()> {
    for entry in dir.entries() {
        let Some(name) = entry.path().file_name() else { continue };
        if name.to_string_lossy().starts_with('.') {
            continue;
        }
        match entry {
            DirEntry::Dir(inner) => {
                fs::create_dir(to.join(name))?;
                write_dir(inner, &to.join(name))?;
            }
            DirEntry::File(file) => {
                let mut written = fs::File::create_new(to.join(name))?;
                io::Write::write_all(&mut written, file.contents())?;
                written.sync_all()?;
            }
        }
    }
    Ok(())
}

/// A picture of the demo key below its `pictures/`, None where there is none of that name.
pub fn picture(file: &str) -> Option<&'static [u8]> {
    MARROWBY.get_file(format!("pictures/{file}")).map(include_dir::File::contents)
}

struct Embedded;

impl Source for Embedded {
    fn read(&self, name: &str) -> Result<Option<Vec<u8>>, ProblemKind> {
        Ok(MARROWBY.get_file(name).map(|file| file.contents().to_vec()))
    }

    fn picture_head(&self, file: &str) -> io::Result<Option<Vec<u8>>> {
        let file = MARROWBY.get_file(format!("pictures/{file}"));
        Ok(file.map(|file| file.contents().iter().copied().take(HEAD as usize).collect()))
    }

    fn picture_size(&self, file: &str) -> Option<(u32, u32)> {
        let reader = image::ImageReader::new(io::Cursor::new(picture(file)?));
        reader.with_guessed_format().ok()?.into_dimensions().ok()
    }

    fn pictures(&self) -> Vec<String> {
        let mut names: Vec<String> = MARROWBY
            .get_dir("pictures")
            .map(|dir| dir.files().filter_map(|file| file.path().strip_prefix("pictures").ok().map(|p| p.display().to_string())).collect())
            .unwrap_or_default();
        names.sort();
        names
    }
}
