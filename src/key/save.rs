//! Writing a changed key back so that nothing else in its folder changes.

mod chunks;
mod disk;
mod error;
pub(crate) mod rewrite;
mod weave;

pub use error::SaveError;
pub(crate) use rewrite::Given;

use super::file::{Entry, KeyFile};
use super::history::{self, Version};
use super::load::{self, Loaded, load};
use super::merge::{Choices, Clash, Counting, entries, join_about, same};
use super::model::{About, Counted, Decoration, FORMAT, Feature, Form, Glaze, Key, Line, Mark, Paper, Retired};
use super::problem::Problem;
use super::source::{FolderSource, Source as _};
use super::text::{FileText, State};
use super::versions::{self, BroughtUp};
use disk::{Lock, Prepared};
use jiff::Timestamp;
use std::path::{Path, PathBuf};
use std::{fs, io};

/// An open house key: what was read, and what is needed to write it back.
///
/// Reading never fails and writing never destroys: an entry that did not parse, a comment, the order and the layout of everything that was
/// not changed survive byte for byte.
#[derive(Debug, Clone)]
pub struct Folder {
    dir: PathBuf,
    loaded: Loaded,
}

/// A key as it was found on disk at some time after it was opened.
#[derive(Debug, Clone)]
pub struct OnDisk {
    loaded: Loaded,
    unusable: Option<String>,
}

impl OnDisk {
    /// What it says.
    pub fn key(&self) -> &Key {
        &self.loaded.key
    }

    /// Everything that is wrong with it.
    pub fn problems(&self) -> &[Problem] {
        &self.loaded.problems
    }

    /// Why it can't be taken for the key that is open, where it can't: a sentence. A newer program wrote it, its folder is gone, or something
    /// in it that made sense when the key was read makes none now, as while an editor is writing.
    pub fn unusable(&self) -> Option<&str> {
        self.unusable.as_deref()
    }
}

/// What a save did.
#[derive(Debug, Clone, PartialEq)]
pub struct Saved {
    /// The key as it is on disk now: what was saved, and what others had changed meanwhile.
    pub key: Key,
    /// The files that were written.
    pub written: Vec<KeyFile>,
    /// The files in which changes of others were found and kept.
    pub merged: Vec<KeyFile>,
}

impl Folder {
    /// Opens the key in that folder. What is wrong with it is in [`Folder::problems`].
    pub fn open(dir: &Path) -> Self {
        Self { dir: dir.to_owned(), loaded: load(dir) }
    }

    /// Makes a new, empty key in that folder, which is made where it is missing.
    ///
    /// # Errors
    /// Where there is a key already, or the folder cannot be written.
    pub fn create(dir: &Path, about: &About) -> Result<Self, SaveError> {
        let file = KeyFile::About;
        fs::create_dir_all(dir).map_err(|why| SaveError::io(file, why))?;
        let _lock = lock(dir)?;
        let path = dir.join(file.name());
        if fs::symlink_metadata(&path).is_ok() {
            return Err(SaveError::KeyThere { dir: dir.to_owned() });
        }
        let text = super::print::print(about, 0, 0).map_err(|e| SaveError::unwritable(file, &e))?;
        write_durably(&path, format!("{text}\n").as_bytes()).map_err(|why| SaveError::io(file, why))?;
        Ok(Self::open(dir))
    }

    /// The folder.
    pub fn dir(&self) -> &Path {
        &self.dir
    }

    /// The key as it was last read or written.
    pub fn key(&self) -> &Key {
        &self.loaded.key
    }

    /// Everything that is wrong with it.
    pub fn problems(&self) -> &[Problem] {
        &self.loaded.problems
    }

    /// Why this key is only read, where it is: a sentence for the person.
    pub fn read_only(&self) -> Option<String> {
        self.loaded.is_newer().then(|| SaveError::NewerFormat.to_string())
    }

    /// The files that are no longer on disk as they were read.
    pub fn changed_on_disk(&self) -> Vec<KeyFile> {
        let source = FolderSource::new(&self.dir);
        let changed = |file: &KeyFile| match source.read(file.name()) {
            Ok(bytes) => bytes.map(|bytes| blake3::hash(&bytes)) != self.loaded.texts.file(*file).hash,
            Err(_) => self.loaded.texts.file(*file).state != State::Failed,
        };
        KeyFile::ALL.into_iter().filter(changed).collect()
    }

    /// Reads the key again.
    pub fn reload(&mut self) {
        self.loaded = load(&self.dir);
    }

    /// The key as it is on disk now, without taking it for the one that was read.
    pub fn on_disk(&self) -> OnDisk {
        let loaded = load(&self.dir);
        let unusable = if loaded.is_newer() {
            Some(SaveError::NewerFormat.to_string())
        } else {
            KeyFile::ALL.into_iter().find_map(|file| {
                let (was, is) = (self.loaded.texts.file(file), loaded.texts.file(file));
                let broken = |text: &FileText| text.entries.iter().filter(|entry| !entry.good).count();
                let gone = file == KeyFile::About && is.hash.is_none();
                let worse = is.state == State::Failed && was.state != State::Failed || broken(is) > broken(was) || gone;
                worse.then(|| {
                    let why = loaded.problems.iter().find(|problem| problem.place.file == file.name());
                    why.map_or_else(|| format!("'{file}' makes no sense"), |problem| problem.to_string().replace('\n', ", "))
                })
            })
        };
        OnDisk { loaded, unusable }
    }

    /// Takes a state of the disk for what was read: what is saved next is compared with it.
    pub fn take_for_read(&mut self, disk: OnDisk) {
        self.loaded = disk.loaded;
    }

    /// Writes what `new` has otherwise than the key that was read, and nothing else.
    ///
    /// Each file is written beside the old one, made durable, and put in its place as a whole; the old one goes to `.history/`. Where a file
    /// was changed on disk meanwhile, the changes of both sides are kept, field by field.
    ///
    /// # Errors
    /// Nothing is written where a newer program wrote the key, where a file that has to be written did not parse, where both sides changed
    /// one field otherwise ([`SaveError::Clash`]), where another program is writing, or where the result would not read back as `new`. Where the system fails half-way,
    /// the files written so far are whole, and the others are as they were.
    pub fn save(&mut self, new: &Key) -> Result<Saved, SaveError> {
        if self.loaded.is_newer() {
            return Err(SaveError::NewerFormat);
        }
        if self.loaded.texts.file(KeyFile::About).hash.is_none() {
            return Err(SaveError::NoKey { dir: self.dir.clone() });
        }
        let lock = lock(&self.dir)?;
        for folder in history::folders(&self.dir).chain([self.dir.clone()]) {
            disk::sweep(&folder, &lock);
        }
        self.bring_up_locked()?;
        let mut plan = Plan { source: FolderSource::new(&self.dir), writes: Vec::new(), merged: Vec::new(), clashes: Vec::new() };
        plan.about(&self.loaded, &new.about)?;
        plan.list::<Feature>(&self.loaded, new)?;
        plan.list::<Line>(&self.loaded, new)?;
        plan.list::<Form>(&self.loaded, new)?;
        plan.list::<Glaze>(&self.loaded, new)?;
        plan.list::<Decoration>(&self.loaded, new)?;
        plan.list::<Mark>(&self.loaded, new)?;
        plan.list::<Paper>(&self.loaded, new)?;
        plan.list::<Counted>(&self.loaded, new)?;
        plan.list::<Retired>(&self.loaded, new)?;
        if !plan.clashes.is_empty() {
            return Err(SaveError::Clash(plan.clashes));
        }
        let written: Vec<KeyFile> = plan.writes.iter().map(|write| write.file).collect();
        let merged = plan.merged;
        let done = write_all(&self.dir, &plan.writes);
        // Read again even after a failure, so that what is in memory is what is on disk.
        self.reload();
        done?;
        Ok(Saved { key: self.loaded.key.clone(), written, merged })
    }

    /// Brings a key of an older format up to that of today, on disk too: what was changed, or None where it has today's.
    ///
    /// # Errors
    /// As for [`Folder::save`].
    pub fn bring_up(&mut self) -> Result<Option<BroughtUp>, SaveError> {
        if self.loaded.older.is_none() {
            return Ok(None);
        }
        let _lock = lock(&self.dir)?;
        self.bring_up_locked()
    }

    fn bring_up_locked(&mut self) -> Result<Option<BroughtUp>, SaveError> {
        let Some(from) = self.loaded.older else { return Ok(None) };
        let source = FolderSource::new(&self.dir);
        let (mut writes, mut changes) = (Vec::new(), Vec::new());
        for file in KeyFile::ALL {
            let known = self.loaded.texts.file(file);
            let before = source.read(file.name()).map_err(|kind| SaveError::CannotRead { file, kind })?;
            let Some(text) = before.as_deref().and_then(|bytes| std::str::from_utf8(bytes).ok()) else { continue };
            let Some((now, says)) = versions::brought_up(file, text, from) else { continue };
            if before.as_deref().map(blake3::hash) != known.hash {
                return Err(SaveError::ChangedOnDisk { file });
            }
            if known.state == State::Failed {
                return Err(SaveError::DidNotParse { file });
            }
            changes.extend(says.into_iter().map(str::to_owned));
            writes.push(Write { file, before, text: now.into_bytes() });
        }
        let done = write_all(&self.dir, &writes);
        self.reload();
        done?;
        Ok(Some(BroughtUp { from, to: FORMAT, changes, written: writes.iter().map(|write| write.file).collect() }))
    }

    /// Puts a picture into the folder, under a name below `pictures/` with forward slashes. One of that name that is there already stays as it is.
    ///
    /// # Errors
    /// Where a newer program wrote the key, the name leads out of `pictures/`, or the system fails; then nothing is written.
    pub fn put_picture(&self, file: &str, bytes: &[u8]) -> Result<(), SaveError> {
        if self.loaded.is_newer() {
            return Err(SaveError::NewerFormat);
        }
        let failed = |why: String| SaveError::Picture { file: file.to_owned(), why };
        if super::check::pictures::is_outside(file) {
            return Err(failed("its name leads out of 'pictures'".to_owned()));
        }
        let _lock = lock(&self.dir)?;
        let mut path = self.dir.join("pictures");
        path.extend(file.split('/'));
        if fs::symlink_metadata(&path).is_ok() {
            return Ok(());
        }
        let write = || {
            path.parent().map_or(Ok(()), fs::create_dir_all)?;
            write_durably(&path, bytes)
        };
        write().map_err(|why: io::Error| failed(super::source::say(&why)))
    }

    /// Puts an earlier version of a file in its place again. The present one becomes the latest earlier version.
    ///
    /// # Errors
    /// Where the file was changed on disk since it was read, or cannot be written.
    pub fn restore(&mut self, version: &Version) -> Result<(), SaveError> {
        if self.loaded.is_newer() {
            return Err(SaveError::NewerFormat);
        }
        let file = version.file;
        let _lock = lock(&self.dir)?;
        if self.changed_on_disk().contains(&file) {
            return Err(SaveError::ChangedOnDisk { file });
        }
        let text = fs::read(&version.path).map_err(|why| SaveError::io(file, why))?;
        let before = FolderSource::new(&self.dir).read(file.name()).map_err(|kind| SaveError::CannotRead { file, kind })?;
        let done = write_all(&self.dir, &[Write { file, before, text }]);
        self.reload();
        done
    }
}

fn lock(dir: &Path) -> Result<Lock, SaveError> {
    match Lock::of(dir) {
        Ok(Some(lock)) => Ok(lock),
        Ok(None) => Err(SaveError::Busy { dir: dir.to_owned() }),
        Err(why) => Err(SaveError::io(KeyFile::About, why)),
    }
}

/// A file to be written.
struct Write {
    file: KeyFile,
    /// What is there now.
    before: Option<Vec<u8>>,
    text: Vec<u8>,
}

/// What a save will do.
struct Plan {
    source: FolderSource,
    writes: Vec<Write>,
    merged: Vec<KeyFile>,
    clashes: Vec<Clash>,
}

/// A file as it is on disk now.
struct Now {
    bytes: Option<Vec<u8>>,
    /// Read anew, where it is not as it was.
    changed: Option<FileText>,
}

impl Plan {
    fn now(&self, loaded: &Loaded, file: KeyFile) -> Result<Now, SaveError> {
        let known = loaded.texts.file(file);
        let bytes = self.source.read(file.name()).map_err(|kind| SaveError::CannotRead { file, kind })?;
        let hash = bytes.as_deref().map(blake3::hash);
        let changed = match &bytes {
            _ if hash == known.hash => None,
            Some(bytes) => Some(load::decode(file, bytes.clone(), &mut Vec::new())),
            None => Some(FileText::missing(file)),
        };
        if changed.is_none() && known.state == State::Failed {
            return Err(SaveError::DidNotParse { file });
        }
        Ok(Now { bytes, changed })
    }

    fn about(&mut self, loaded: &Loaded, new: &About) -> Result<(), SaveError> {
        let file = KeyFile::About;
        let base = &loaded.key.about;
        if same(base, new) {
            return Ok(());
        }
        let now = self.now(loaded, file)?;
        let text = match now.changed {
            None => rewrite::about(loaded.texts.file(file), base, new)?,
            Some(mut theirs_text) => {
                let theirs = load::parse_about(&mut theirs_text, &mut Vec::new()).ok_or(SaveError::ChangedOnDisk { file })?;
                if same(&theirs, new) {
                    return Ok(());
                }
                let mut clashes = Vec::new();
                let joined = join_about(base, new, &theirs, &Choices::default(), &mut clashes);
                if !clashes.is_empty() {
                    self.clashes.extend(clashes);
                    return Ok(());
                }
                self.merged.push(file);
                rewrite::about(&theirs_text, &theirs, &joined)?
            }
        };
        self.writes.push(Write { file, before: now.bytes, text: text.into_bytes() });
        Ok(())
    }

    /// The finds that are counted into the key as it is on disk now.
    fn counted_on_disk(&self) -> Vec<Counted> {
        match self.source.read(KeyFile::Counted.name()) {
            Ok(Some(bytes)) => load::parse_list(&mut load::decode(KeyFile::Counted, bytes, &mut Vec::new()), &mut Vec::new()),
            Ok(None) | Err(_) => Vec::new(),
        }
    }

    fn list<T: Entry>(&mut self, loaded: &Loaded, new: &Key) -> Result<(), SaveError> {
        let (base, ours) = (T::list(&loaded.key), T::list(new));
        if base.len() == ours.len() && base.iter().zip(ours).all(|(a, b)| same(a, b)) {
            return Ok(());
        }
        let now = self.now(loaded, T::FILE)?;
        let text = match now.changed {
            None => rewrite::list(loaded.texts.file(T::FILE), base, ours)?,
            Some(mut theirs_text) => {
                let theirs: Vec<T> =
                    if theirs_text.hash.is_some() { load::parse_list(&mut theirs_text, &mut Vec::new()) } else { Vec::new() };
                if theirs_text.state == State::Failed {
                    return Err(SaveError::ChangedOnDisk { file: T::FILE });
                }
                let counted = if T::FILE == KeyFile::Forms { self.counted_on_disk() } else { Vec::new() };
                let counting = Counting::new(&loaded.key.counted, &new.counted, &counted);
                let joined = entries(base, ours, &theirs, &counting, &Choices::default());
                let (result, clashes) = joined.ok_or(SaveError::ChangedOnDisk { file: T::FILE })?;
                if !clashes.is_empty() {
                    self.clashes.extend(clashes);
                    return Ok(());
                }
                self.merged.push(T::FILE);
                rewrite::list(&theirs_text, &theirs, &result)?
            }
        };
        if now.bytes.as_deref() != Some(text.as_bytes()) {
            self.writes.push(Write { file: T::FILE, before: now.bytes, text: text.into_bytes() });
        }
        Ok(())
    }
}

fn write_all(dir: &Path, writes: &[Write]) -> Result<(), SaveError> {
    let mut prepared = Vec::new();
    for write in writes {
        let path = dir.join(write.file.name());
        if fs::metadata(&path).is_ok_and(|found| found.permissions().readonly()) {
            return Err(SaveError::WriteProtected { file: write.file });
        }
        prepared.push(Prepared::write(&path, &write.text).map_err(|why| SaveError::io(write.file, why))?);
    }
    for write in writes {
        if let Some(before) = &write.before {
            history::keep(dir, write.file, before, Timestamp::now()).map_err(|why| SaveError::io(write.file, why))?;
        }
    }
    for (write, prepared) in writes.iter().zip(prepared) {
        prepared.commit().map_err(|why| SaveError::io(write.file, why))?;
    }
    Ok(())
}

/// Writes a file as a whole, or not at all.
pub(super) fn write_durably(path: &Path, bytes: &[u8]) -> io::Result<()> {
    Prepared::write(path, bytes)?.commit()
}
