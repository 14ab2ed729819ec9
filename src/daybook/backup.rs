//! A whole daybook in one file, and back.
//!
//! A backup is a ZIP file: `finds.db` as SQLite's own backup gives it, the lists beside it, `photographs/…` as they are kept, and last `contents.json`, which names every
//! file with its length and BLAKE3 hash. A backup is read again and checked in full before it takes its name; bringing one back checks every byte
//! before anything stands in its place.

use super::book::Daybook;
use super::error::DaybookError;
use super::schema::SCHEMA;
use crate::photo::{Format, PhotoHash, Progress, Store};
use crate::say;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File};
use std::io::{self, BufReader, BufWriter, Read, Write};
use std::path::{Path, PathBuf};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

/// The list of contents within the file.
const CONTENTS: &str = "contents.json";

/// The daybook within the file.
const FINDS: &str = "finds.db";

/// Lists beside the daybook that go with it where they are there.
pub(super) const LISTS: [&str; 3] = ["shelves.ron", super::census::SERVICES, super::book::CONDITION_RULES];

/// The form of the file that this program writes.
const FORM: u32 = 1;

/// The longest list of contents that is believed, in bytes: some millions of photographs.
const MOST_CONTENTS: u64 = 1 << 30;

/// What a backup holds, or what was brought back.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BackedUp {
    /// Finds, removed ones aside.
    pub finds: u64,
    /// Photographs.
    pub photographs: usize,
    /// Bytes before packing.
    pub bytes: u64,
    /// Photographs that finds refer to and that were not to be had: missing from the daybook's folder, or harmed.
    pub lost: Vec<PhotoHash>,
}

/// Why a backup could not be made or brought back. Nothing was changed then.
#[derive(Debug, thiserror::Error)]
pub enum BackupError {
    /// The daybook itself.
    #[error(transparent)]
    Daybook(#[from] DaybookError),
    /// There is a file of that name.
    #[error("{}", say!("there is a file of that name already (choose another name, or move it away)\n{what}", what = .0.display()))]
    Taken(PathBuf),
    /// The folder to bring it back into is not empty.
    #[error("{}", say!("the folder to bring the daybook back into is not empty (choose a new one)\n{what}", what = .0.display()))]
    NotEmpty(PathBuf),
    /// The file is no backup.
    #[error("{}", say!("this file is no backup of a daybook: {why}\n{path}", why, path = path.display()))]
    NotABackup {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        why: String,
    },
    /// The file was written by a newer program.
    #[error("{}", say!("this backup was written by a newer version of this program (install the newer version)\n{what}", what = .0.display()))]
    Newer(PathBuf),
    /// The file is damaged.
    #[error("{}", say!("this backup is damaged: {why} (use another one; nothing was brought back)\n{path}", why, path = path.display()))]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        why: String,
    },
    /// The disk is full.
    #[error("{}", say!("there is no room left on the disk (make room, then try again)\n{what}", what = .0.display()))]
    Full(PathBuf),
    /// Reading or writing failed.
    #[error("{}", say!("it could not be done: {source}\n{path}", source, path = path.display()))]
    Io {
        /// The file or folder.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// It was stopped.
    #[error("{}", say!("it was stopped; nothing was changed"))]
    Stopped,
}

#[derive(Debug, Serialize, Deserialize)]
struct Contents {
    form: u32,
    program: String,
    daybook_form: u32,
    finds: u64,
    lost: Vec<String>,
    files: Vec<Entry>,
}

#[derive(Debug, Serialize, Deserialize)]
struct Entry {
    name: String,
    bytes: u64,
    blake3: String,
}

fn failed(path: &Path) -> impl Fn(io::Error) -> BackupError + '_ {
    move |source| match source.kind() {
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded | io::ErrorKind::FileTooLarge => BackupError::Full(path.to_owned()),
        _ => BackupError::Io { path: path.to_owned(), source },
    }
}

fn zip_failed(path: &Path) -> impl Fn(zip::result::ZipError) -> BackupError + '_ {
    move |error| match error {
        zip::result::ZipError::Io(source) => failed(path)(source),
        other => BackupError::Damaged { path: path.to_owned(), why: other.to_string() },
    }
}

/// Passes bytes on, hashing and counting them.
struct Hashing<W> {
    to: W,
    hasher: blake3::Hasher,
    bytes: u64,
}

impl<W: Write> Hashing<W> {
    fn new(to: W) -> Self {
        Self { to, hasher: blake3::Hasher::new(), bytes: 0 }
    }
}

impl<W: Write> Write for Hashing<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let written = self.to.write(bytes)?;
        self.hasher.update(bytes.get(..written).unwrap_or(bytes));
        self.bytes += written as u64;
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.to.flush()
    }
}

/// Where a photograph stands within the file: as in the store.
fn name_of(hash: PhotoHash, format: Format) -> String {
    let digits = hash.to_string();
    let (folder, file) = digits.split_at(2);
    format!("photographs/{folder}/{file}.{}", format.extension())
}

/// The photograph of a name within the file; none for any other name, however it tries to lead elsewhere.
fn photograph_of(name: &str) -> Option<(PhotoHash, Format)> {
    let rest = name.strip_prefix("photographs/")?;
    let (folder, file) = rest.split_once('/')?;
    let (stem, extension) = file.split_once('.')?;
    let hash: PhotoHash = format!("{folder}{stem}").parse().ok()?;
    let format = Format::of_extension(extension)?;
    (name_of(hash, format) == name).then_some((hash, format))
}

impl Daybook {
    /// Writes the whole daybook with its photographs into one new file, and checks it before it takes its name. The daybook can be used meanwhile.
    ///
    /// # Errors
    /// Any of [`BackupError`]; the file is not there then.
    pub fn back_up(&self, to: &Path, progress: &Progress) -> Result<BackedUp, BackupError> {
        if to.exists() {
            return Err(BackupError::Taken(to.to_owned()));
        }
        let folder = to.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let unwritten = failed(to);
        // The copy of the finds and the list of their photographs are of the same moment: the list is read from the copy.
        let room = tempfile::Builder::new().prefix(".footring-").tempdir_in(folder).map_err(&unwritten)?;
        let copy = room.path().join(FINDS);
        self.connection.backup("main", &copy, None::<fn(rusqlite::backup::Progress)>).map_err(|error| DaybookError::sort(error, to))?;
        let copied = Daybook::open_looked_through(room.path())?;
        let finds = copied.count(&super::Page::default())?;
        let photographs = copied.photographs_kept()?;
        drop(copied);

        let file = tempfile::Builder::new().prefix(".footring-").tempfile_in(folder).map_err(&unwritten)?;
        let mut zip = ZipWriter::new(BufWriter::new(file));
        let mut done = BackedUp { finds, ..BackedUp::default() };
        let mut entries = Vec::new();
        let packed = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated).large_file(true);
        // Photographs are packed by their own formats already.
        let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored).large_file(true);
        let mut add = |zip: &mut ZipWriter<_>, name: String, from: &mut dyn Read, options| -> Result<u64, BackupError> {
            zip.start_file(name.as_str(), options).map_err(zip_failed(to))?;
            let mut hashing = Hashing::new(zip);
            io::copy(from, &mut hashing).map_err(&unwritten)?;
            entries.push(Entry { name, bytes: hashing.bytes, blake3: hashing.hasher.finalize().to_hex().to_string() });
            Ok(hashing.bytes)
        };
        let mut finds_file = File::open(&copy).map_err(failed(&copy))?;
        done.bytes += add(&mut zip, FINDS.to_owned(), &mut finds_file, packed)?;
        for name in LISTS {
            let list = self.folder().join(name);
            if list.is_file() {
                let mut from = File::open(&list).map_err(failed(&list))?;
                done.bytes += add(&mut zip, name.to_owned(), &mut from, packed)?;
            }
        }
        let store = Store::at(self.folder());
        for (at, (hash, format)) in photographs.iter().enumerate() {
            progress.check().map_err(|_cancelled| BackupError::Stopped)?;
            match store.read(*hash, *format) {
                Ok(bytes) => {
                    done.bytes += add(&mut zip, name_of(*hash, *format), &mut bytes.as_ref(), stored)?;
                    done.photographs += 1;
                }
                Err(_missing_or_harmed) => done.lost.push(*hash),
            }
            progress.report(at as u64 + 1, photographs.len() as u64, 0, 500);
        }
        let contents = Contents {
            form: FORM,
            program: "footring".to_owned(),
            daybook_form: SCHEMA,
            finds,
            lost: done.lost.iter().map(ToString::to_string).collect(),
            files: entries,
        };
        let json = serde_json::to_vec(&contents).map_err(|error| unwritten(io::Error::other(error)))?;
        zip.start_file(CONTENTS, packed).map_err(zip_failed(to))?;
        zip.write_all(&json).map_err(&unwritten)?;
        let file = zip.finish().map_err(zip_failed(to))?.into_inner().map_err(|error| unwritten(error.into_error()))?;
        file.as_file().sync_all().map_err(&unwritten)?;
        // What was written is read again before it is called a backup.
        let mut written = Backup::of(file.reopen().map_err(&unwritten)?, to)?;
        written.unpack(None, progress)?;
        file.persist_noclobber(to).map_err(|error| match error.error.kind() {
            io::ErrorKind::AlreadyExists => BackupError::Taken(to.to_owned()),
            _ => unwritten(error.error),
        })?;
        sync_folder(folder);
        Ok(done)
    }
}

/// Reads a backup through and checks every byte of it; tells what it holds.
///
/// # Errors
/// Where it is none, or is damaged.
pub fn look_at(from: &Path, progress: &Progress) -> Result<BackedUp, BackupError> {
    Backup::of(File::open(from).map_err(failed(from))?, from)?.unpack(None, progress)
}

/// Brings a backup back into a folder that is new or empty. Everything is checked beside it first; then the folder takes its place.
///
/// # Errors
/// Any of [`BackupError`]; the folder is as it was then.
pub fn bring_back(from: &Path, folder: &Path, progress: &Progress) -> Result<BackedUp, BackupError> {
    let unwritten = failed(folder);
    let exists = folder.exists();
    if exists && fs::read_dir(folder).map_err(&unwritten)?.next().is_some() {
        return Err(BackupError::NotEmpty(folder.to_owned()));
    }
    let above = folder.parent().filter(|above| !above.as_os_str().is_empty()).unwrap_or(Path::new("."));
    fs::create_dir_all(above).map_err(&unwritten)?;
    let room = tempfile::Builder::new().prefix(".footring-").tempdir_in(above).map_err(&unwritten)?;
    let done = unpack_into(from, room.path(), progress)?;
    if exists {
        fs::remove_dir(folder).map_err(&unwritten)?;
    }
    // From here on the folder is the daybook's; it must not go when `room` does.
    let room = room.keep();
    fs::rename(&room, folder).map_err(|error| {
        let _nothing_stays = fs::remove_dir_all(&room);
        unwritten(error)
    })?;
    sync_folder(above);
    Ok(done)
}

/// Unpacks and checks a backup in an empty folder, and opens the daybook in it once.
pub(super) fn unpack_into(from: &Path, folder: &Path, progress: &Progress) -> Result<BackedUp, BackupError> {
    let mut backup = Backup::of(File::open(from).map_err(failed(from))?, from)?;
    let mut done = backup.unpack(Some(folder), progress)?;
    let daybook = Daybook::open_looked_through(folder)?;
    done.finds = daybook.count(&super::Page::default())?;
    Ok(done)
}

/// True where the file begins as a packed file does.
pub(super) fn is_packed(path: &Path) -> bool {
    let mut head = [0; 4];
    File::open(path).and_then(|mut file| file.read_exact(&mut head)).is_ok() && head.starts_with(b"PK")
}

/// A backup that is being read.
struct Backup<'p> {
    archive: ZipArchive<BufReader<File>>,
    contents: Contents,
    path: &'p Path,
}

impl<'p> Backup<'p> {
    fn of(file: File, path: &'p Path) -> Result<Self, BackupError> {
        let no_backup = |why: String| BackupError::NotABackup { path: path.to_owned(), why };
        let mut archive = ZipArchive::new(BufReader::new(file)).map_err(|error| match error {
            zip::result::ZipError::Io(source) => failed(path)(source),
            other => no_backup(other.to_string()),
        })?;
        let entry = archive.by_name(CONTENTS).map_err(|_missing| no_backup(format!("it has no list of its contents, '{CONTENTS}'")))?;
        let mut json = Vec::new();
        entry.take(MOST_CONTENTS).read_to_end(&mut json).map_err(|error| no_backup(format!("'{CONTENTS}': {error}")))?;
        let contents: Contents = serde_json::from_slice(&json).map_err(|error| no_backup(format!("'{CONTENTS}': {error}")))?;
        if contents.form > FORM || contents.daybook_form > SCHEMA {
            return Err(BackupError::Newer(path.to_owned()));
        }
        Ok(Self { archive, contents, path })
    }

    /// Reads every file of the list and checks it; writes it into a folder where one is given. What is not in the list is an error.
    fn unpack(&mut self, into: Option<&Path>, progress: &Progress) -> Result<BackedUp, BackupError> {
        let path = self.path;
        let damaged = |why: String| BackupError::Damaged { path: path.to_owned(), why };
        let listed: BTreeMap<&str, &Entry> = self.contents.files.iter().map(|entry| (entry.name.as_str(), entry)).collect();
        let found: BTreeSet<&str> = self.archive.file_names().collect();
        if let Some(stranger) = found.iter().find(|name| **name != CONTENTS && !listed.contains_key(**name)) {
            return Err(damaged(format!("'{}' is not in its list of contents", stranger.escape_debug())));
        }
        if !listed.contains_key(FINDS) {
            return Err(damaged(format!("'{FINDS}' is missing")));
        }
        let names: Vec<String> = listed.keys().map(|name| (*name).to_owned()).collect();
        let mut done = BackedUp { finds: self.contents.finds, ..BackedUp::default() };
        for (at, name) in names.iter().enumerate() {
            progress.check().map_err(|_cancelled| BackupError::Stopped)?;
            let photograph = photograph_of(name);
            if name != FINDS && !LISTS.contains(&name.as_str()) && photograph.is_none() {
                return Err(damaged(format!("'{}' is not a name that belongs in it", name.escape_debug())));
            }
            let Some(entry) = self.contents.files.iter().find(|entry| entry.name == *name) else { continue };
            let mut packed = self.archive.by_name(name).map_err(|error| damaged(format!("'{name}': {error}")))?.take(entry.bytes + 1);
            let hash = match into {
                Some(folder) => write_file(&mut packed, &folder.join(name)),
                None => copy_hashing(&mut packed, io::sink()),
            };
            let (bytes, hash) = hash.map_err(|error| match error.kind() {
                io::ErrorKind::InvalidData | io::ErrorKind::InvalidInput | io::ErrorKind::UnexpectedEof => {
                    damaged(format!("'{name}': {error}"))
                }
                _ => failed(into.unwrap_or(path))(error),
            })?;
            // A photograph's name is its hash, too.
            let named_so = photograph.is_none_or(|(named, _)| named.to_string() == hash);
            if bytes != entry.bytes || hash != entry.blake3 || !named_so {
                return Err(damaged(format!("'{name}' is not as it was written")));
            }
            done.bytes += bytes;
            done.photographs += usize::from(photograph.is_some());
            progress.report(at as u64 + 1, names.len() as u64, 500, 1000);
        }
        done.lost = self.contents.lost.iter().filter_map(|hash| hash.parse().ok()).collect();
        Ok(done)
    }
}

fn copy_hashing<W: Write>(from: &mut impl Read, to: W) -> io::Result<(u64, String)> {
    let mut hashing = Hashing::new(to);
    io::copy(from, &mut hashing)?;
    hashing.flush()?;
    Ok((hashing.bytes, hashing.hasher.finalize().to_hex().to_string()))
}

fn write_file(from: &mut impl Read, to: &Path) -> io::Result<(u64, String)> {
    if let Some(folder) = to.parent() {
        fs::create_dir_all(folder)?;
    }
    let file = File::create_new(to)?;
    let made = copy_hashing(from, &file)?;
    file.sync_all()?;
    Ok(made)
}

/// Makes a rename last where the system lets a folder be opened for that.
fn sync_folder(folder: &Path) {
    if let Ok(folder) = File::open(folder) {
        let _ = folder.sync_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_names_of_photographs_lead_anywhere() {
        let hash = PhotoHash::of(b"a");
        assert_eq!(photograph_of(&name_of(hash, Format::Png)), Some((hash, Format::Png)));
        let digits = hash.to_string();
        for name in [
            format!("photographs/../{digits}.png"),
            format!("photographs/{}/{}.png/../../x", &digits[..2], &digits[2..]),
            format!("/photographs/{}/{}.png", &digits[..2], &digits[2..]),
            format!("photographs/{}/{}.PNG", &digits[..2], &digits[2..]),
            format!("photographs/{}/{}.exe", &digits[..2], &digits[2..]),
            "photographs".to_owned(),
            "../finds.db".to_owned(),
        ] {
            assert_eq!(photograph_of(&name), None, "{name}");
        }
    }
}
