//! Writing a file so that a power cut leaves the old one or the new one, never half of either.

use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

/// How the names of files begin and end that are not yet in their place.
const BEFORE: &str = ".footring-";
const BEHIND: &str = ".part";

/// A new version of a file, safe on disk beside the old one but not yet in its place.
#[derive(Debug)]
pub(super) struct Prepared {
    temp: tempfile::NamedTempFile,
    to: PathBuf,
}

impl Prepared {
    /// Writes `bytes` beside `path` and waits until they are on the disk. A link is followed, so that it stays a link.
    pub(super) fn write(path: &Path, bytes: &[u8]) -> io::Result<Self> {
        let to = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        let dir = to.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or_else(|| Path::new("."));
        let mut temp = tempfile::Builder::new().prefix(BEFORE).suffix(BEHIND).tempfile_in(dir)?;
        temp.write_all(bytes)?;
        match fs::metadata(&to) {
            Ok(old) => fs::set_permissions(temp.path(), old.permissions())?,
            // A new file gets what the system gives new files, not the private permissions of a temporary one.
            Err(_) => fs::set_permissions(temp.path(), usual_permissions(dir, temp.path())?)?,
        }
        temp.as_file().sync_all()?;
        Ok(Self { temp, to })
    }

    /// Puts it in the place of the old one, and waits until the folder knows.
    pub(super) fn commit(self) -> io::Result<()> {
        let dir = self.to.parent().map(Path::to_owned);
        self.temp.persist(&self.to).map_err(|e| e.error)?;
        dir.map_or(Ok(()), |dir| sync_dir(&dir))
    }
}

/// Takes out what a program that was killed while it wrote left in a folder. Only who has the lock may do so; what can't be taken out stays.
pub(super) fn sweep(dir: &Path, lock: &Lock) {
    if lock.file.is_none() {
        return;
    }
    for entry in fs::read_dir(dir).into_iter().flatten().flatten() {
        let name = entry.file_name();
        if name.to_str().is_some_and(|name| name.starts_with(BEFORE) && name.ends_with(BEHIND)) {
            let _ = fs::remove_file(entry.path());
        }
    }
}

#[cfg(unix)]
fn usual_permissions(dir: &Path, temp: &Path) -> io::Result<fs::Permissions> {
    use std::os::unix::fs::PermissionsExt as _;
    let _ = temp;
    // As open as the folder is, without its right to enter.
    let mode = fs::metadata(dir)?.permissions().mode() & 0o666;
    Ok(fs::Permissions::from_mode(mode & 0o644 | 0o600))
}

#[cfg(not(unix))]
fn usual_permissions(_dir: &Path, temp: &Path) -> io::Result<fs::Permissions> {
    Ok(fs::metadata(temp)?.permissions())
}

/// Waits until the names in a folder are on the disk.
#[cfg(unix)]
pub(super) fn sync_dir(dir: &Path) -> io::Result<()> {
    File::open(dir)?.sync_all()
}

/// Elsewhere a folder cannot be synced; renaming is durable enough.
#[cfg(not(unix))]
pub(super) fn sync_dir(_dir: &Path) -> io::Result<()> {
    Ok(())
}

/// A folder that no other Footring writes while this lives.
#[derive(Debug)]
pub(super) struct Lock {
    file: Option<File>,
}

/// Times the lock is asked for, and how long is waited in between.
const TRIES: u32 = 20;
const PAUSE: std::time::Duration = std::time::Duration::from_millis(100);

impl Lock {
    /// Waits up to two seconds for the folder. None where another has it all that time.
    pub(super) fn of(dir: &Path) -> io::Result<Option<Self>> {
        let file = File::options().create(true).truncate(false).write(true).open(dir.join(".lock"))?;
        for attempt in 0..TRIES {
            match file.try_lock() {
                Ok(()) => return Ok(Some(Self { file: Some(file) })),
                Err(fs::TryLockError::WouldBlock) if attempt + 1 < TRIES => std::thread::sleep(PAUSE),
                Err(fs::TryLockError::WouldBlock) => {}
                // Some network drives know no locks; the check of what is on disk still stands.
                Err(fs::TryLockError::Error(e)) if e.kind() == io::ErrorKind::Unsupported => return Ok(Some(Self { file: None })),
                Err(fs::TryLockError::Error(e)) => return Err(e),
            }
        }
        Ok(None)
    }
}
