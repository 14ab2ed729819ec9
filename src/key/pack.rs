//! A house key packed into one file, to be handed on: a ZIP archive of its files and pictures.
//!
//! The archive's first entry is `mimetype`, stored and not packed, which says [`MIME`]: so a desktop knows the file without unpacking it. (The habit is that of `OpenDocument`,
//! ISO/IEC 26300-3, and of EPUB's container, ISO/IEC 23736-3.) Earlier versions (`.history/`) stay at home.

use super::check::pictures::is_outside;
use super::file::KeyFile;
use super::source::{SIZE_LIMIT, say};
use std::fs;
use std::io::{self, Read as _, Write as _};
use std::path::{Path, PathBuf};
use thiserror::Error;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

/// The media type of a packed key.
pub const MIME: &str = "application/x-footring-key+zip";

/// The ending of a packed key's name.
pub const ENDING: &str = "footring";

/// The name of the entry that says what the archive is.
const TYPE_ENTRY: &str = "mimetype";

/// Most pictures of a packed key.
const MOST_PICTURES: usize = 100_000;

/// How large what is unpacked may be, in bytes.
struct Limits {
    file: u64,
    picture: u64,
    all: u64,
}

/// A picture far above any scan, and a key far above any number of them.
const LIMITS: Limits = Limits { file: SIZE_LIMIT, picture: 512 << 20, all: 16 << 30 };

/// Why a key was not packed or unpacked. Nothing is left behind.
#[derive(Debug, Error)]
pub enum PackError {
    /// There is none in the folder.
    #[error("there is no 'key.ron' in '{}' (give the folder of a house key)", .0.display())]
    NoKey(PathBuf),
    /// Something has the name already.
    #[error("'{}' is there already (choose another name)", .0.display())]
    Exists(PathBuf),
    /// The file is none, or a damaged one.
    #[error("'{}' is no packed key: {why}", .file.display())]
    NotPacked {
        /// The file.
        file: PathBuf,
        /// What is wrong.
        why: String,
    },
    /// An entry of the archive would do harm.
    #[error("'{}' was not unpacked: its entry '{name}' {why}", .file.display())]
    Refused {
        /// The file.
        file: PathBuf,
        /// The entry, made fit to be shown.
        name: String,
        /// What is wrong with it.
        why: String,
    },
    /// The system won't have it.
    #[error("'{}' can't be read or written: {}", .path.display(), say(.why))]
    Io {
        /// What.
        path: PathBuf,
        /// What the system says.
        why: io::Error,
    },
}

fn failed(path: &Path) -> impl Fn(io::Error) -> PackError + use<> {
    let path = path.to_owned();
    move |why| PackError::Io { path: path.clone(), why }
}

/// The folder around a path.
fn around(path: &Path) -> &Path {
    path.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or_else(|| Path::new("."))
}

/// Packs the key of a folder into a new file: how many pictures went in.
///
/// # Errors
/// Where the folder holds no key, the file is there already, or the system fails.
pub fn pack(dir: &Path, file: &Path) -> Result<usize, PackError> {
    if fs::symlink_metadata(dir.join(KeyFile::About.name())).is_err() {
        return Err(PackError::NoKey(dir.to_owned()));
    }
    if fs::symlink_metadata(file).is_ok() {
        return Err(PackError::Exists(file.to_owned()));
    }
    let mut builder = tempfile::Builder::new();
    // To be handed on: readable by whoever the folder lets in, unlike other temporary files.
    #[cfg(unix)]
    let builder = builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o644));
    let beside = builder.prefix(".footring-").tempfile_in(around(file)).map_err(failed(file))?;
    let mut zip = ZipWriter::new(beside);
    let zipped = |e: zip::result::ZipError| PackError::Io { path: file.to_owned(), why: e.into() };
    let packed = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated).large_file(true);
    let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    zip.start_file(TYPE_ENTRY, stored).map_err(zipped)?;
    zip.write_all(MIME.as_bytes()).map_err(failed(file))?;
    for of in KeyFile::ALL {
        let path = dir.join(of.name());
        match fs::File::open(&path) {
            Ok(mut from) => {
                zip.start_file(of.name(), packed).map_err(zipped)?;
                io::copy(&mut from, &mut zip).map_err(failed(&path))?;
            }
            Err(e) if e.kind() == io::ErrorKind::NotFound => {}
            Err(why) => return Err(PackError::Io { path, why }),
        }
    }
    let pictures = super::source::picture_names(dir);
    for name in &pictures {
        let path = super::source::picture_path(dir, name);
        let mut from = fs::File::open(&path).map_err(failed(&path))?;
        // Photographs are packed already.
        zip.start_file(format!("pictures/{name}"), stored.large_file(true)).map_err(zipped)?;
        io::copy(&mut from, &mut zip).map_err(failed(&path))?;
    }
    let beside = zip.finish().map_err(zipped)?;
    beside.as_file().sync_all().map_err(failed(file))?;
    match beside.persist_noclobber(file) {
        Ok(_) => Ok(pictures.len()),
        Err(_) if fs::symlink_metadata(file).is_ok() => Err(PackError::Exists(file.to_owned())),
        Err(e) => Err(PackError::Io { path: file.to_owned(), why: e.error }),
    }
}

/// Unpacks a key into a new folder, all of it or nothing: how many pictures came out.
///
/// # Errors
/// Where the file is no packed key or a damaged one, an entry leads out of the folder, is a link, is of no key or too large, `to` is there already, or the system fails.
pub fn unpack(file: &Path, to: &Path) -> Result<usize, PackError> {
    unpack_within(file, to, &LIMITS)
}

fn unpack_within(file: &Path, to: &Path, limits: &Limits) -> Result<usize, PackError> {
    if fs::symlink_metadata(to).is_ok() {
        return Err(PackError::Exists(to.to_owned()));
    }
    let not_packed = |why: &str| PackError::NotPacked { file: file.to_owned(), why: why.to_owned() };
    let opened = fs::File::open(file).map_err(failed(file))?;
    let mut archive = ZipArchive::new(io::BufReader::new(opened)).map_err(|e| not_packed(&e.to_string()))?;
    if archive.index_for_name(KeyFile::About.name()).is_none() {
        return Err(not_packed("there is no 'key.ron' in it"));
    }
    if archive.len() > MOST_PICTURES + KeyFile::ALL.len() + 1 {
        return Err(not_packed("it has too many entries"));
    }
    fs::create_dir_all(around(to)).map_err(failed(around(to)))?;
    let beside = tempfile::Builder::new().prefix(".footring-").tempdir_in(around(to)).map_err(failed(to))?;
    let built = beside.path().join("key");
    fs::create_dir(&built).map_err(failed(to))?;
    let (mut pictures, mut all) = (0, 0);
    for index in 0..archive.len() {
        let entry = archive.by_index(index).map_err(|e| not_packed(&e.to_string()))?;
        let name = entry.name().to_owned();
        let refused = |why: &str| PackError::Refused { file: file.to_owned(), name: super::say::plain(&name), why: why.to_owned() };
        if name == TYPE_ENTRY || entry.is_dir() {
            continue;
        }
        let (path, limit) = match place(&name, &built) {
            Place::Key(path) => (path, limits.file),
            Place::Picture(path) => (path, limits.picture),
            Place::Outside => return Err(refused("leads out of the key's folder")),
            Place::Foreign => return Err(refused("is no file of a key and no picture")),
        };
        if entry.is_symlink() {
            return Err(refused("is a link"));
        }
        if fs::symlink_metadata(&path).is_ok() {
            return Err(refused("is there twice, or has the name of another on this system"));
        }
        path.parent().map_or(Ok(()), fs::create_dir_all).map_err(failed(to))?;
        // What the archive says of sizes is not believed.
        let mut from = entry.take(limit + 1);
        let mut written = fs::File::create_new(&path).map_err(failed(to))?;
        let bytes = io::copy(&mut from, &mut written).map_err(|e| match e.kind() {
            io::ErrorKind::InvalidData | io::ErrorKind::InvalidInput | io::ErrorKind::UnexpectedEof | io::ErrorKind::Other => {
                refused("is damaged")
            }
            _ => PackError::Io { path: to.to_owned(), why: e },
        })?;
        all += bytes;
        if bytes > limit || all > limits.all {
            return Err(refused("is larger than anything of a key"));
        }
        written.sync_all().map_err(failed(to))?;
        pictures += usize::from(name.starts_with("pictures/"));
    }
    match fs::rename(&built, to) {
        Ok(()) => Ok(pictures),
        Err(_) if fs::symlink_metadata(to).is_ok() => Err(PackError::Exists(to.to_owned())),
        Err(why) => Err(PackError::Io { path: to.to_owned(), why }),
    }
}

/// Where an entry of an archive belongs.
enum Place {
    Key(PathBuf),
    Picture(PathBuf),
    Outside,
    Foreign,
}

fn place(name: &str, dir: &Path) -> Place {
    if is_outside(name) {
        return Place::Outside;
    }
    match name.strip_prefix("pictures/") {
        Some(picture) if !picture.split('/').any(|step| step.starts_with('.')) => {
            Place::Picture(picture.split('/').fold(dir.join("pictures"), |path, step| path.join(step)))
        }
        None if KeyFile::ALL.iter().any(|file| file.name() == name) => Place::Key(dir.join(name)),
        Some(_) | None => Place::Foreign,
    }
}

/// True for a file that may be a packed key, by its name.
pub fn is_packed(file: &Path) -> bool {
    file.is_file() && file.extension().is_some_and(|ending| ending.eq_ignore_ascii_case(ENDING))
}

/// The folder that a packed key is unpacked into where nobody says: that of its name without its ending, beside it.
pub fn folder_of(file: &Path) -> PathBuf {
    let stem = file.file_stem().map_or_else(|| "key".into(), std::ffi::OsStr::to_owned);
    let beside = file.with_file_name(&stem);
    // A name without an ending would be the file itself.
    if beside == file { file.with_file_name(format!("{}, unpacked", stem.to_string_lossy())) } else { beside }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use crate::key::{builtin, load};

    fn demo_in(dir: &Path) -> PathBuf {
        let key = dir.join("marrowby");
        builtin::copy_demo(&key).unwrap();
        key
    }

    #[test]
    fn a_key_comes_back_as_it_was() {
        let dir = tempfile::tempdir().unwrap();
        let key = demo_in(dir.path());
        let file = dir.path().join("mine.footring");
        let pictures = pack(&key, &file).unwrap();
        assert!(pictures > 0);
        // The type stands where a desktop looks for it: behind the 30 bytes of the first header and the name.
        let bytes = fs::read(&file).unwrap();
        assert_eq!(bytes.get(30..30 + 8 + MIME.len()), Some(format!("{TYPE_ENTRY}{MIME}").as_bytes()));
        let to = folder_of(&file);
        assert_eq!(to, dir.path().join("mine"));
        assert_eq!(unpack(&file, &to).unwrap(), pictures);
        assert_eq!(load(&to).key, load(&key).key);
        assert!(load(&to).problems.iter().all(|problem| load(&key).problems.contains(problem)));
        assert!(matches!(unpack(&file, &to), Err(PackError::Exists(_))));
        assert!(matches!(pack(&key, &file), Err(PackError::Exists(_))));
        assert!(matches!(pack(dir.path(), &dir.path().join("other.footring")), Err(PackError::NoKey(_))));
    }

    #[test]
    fn what_would_do_harm_is_refused_and_leaves_nothing() {
        let dir = tempfile::tempdir().unwrap();
        let file = dir.path().join("bad.footring");
        let to = dir.path().join("out").join("key");
        let archive = |entries: &[(&str, &[u8])]| {
            let mut zip = ZipWriter::new(fs::File::create(&file).unwrap());
            for (name, bytes) in entries {
                zip.start_file(*name, SimpleFileOptions::default()).unwrap();
                zip.write_all(bytes).unwrap();
            }
            zip.finish().unwrap();
        };
        let about: (&str, &[u8]) = ("key.ron", b"(title: \"T\")");
        let told = |entries: &[(&str, &[u8])]| {
            archive(entries);
            let told = unpack(&file, &to).unwrap_err().to_string();
            assert!(!to.exists(), "{told}");
            assert_eq!(fs::read_dir(dir.path().join("out")).map_or(0, Iterator::count), 0, "{told}");
            told
        };
        for (name, why) in [
            ("../forms.ron", "leads out of the key's folder"),
            ("/etc/x.png", "leads out of the key's folder"),
            ("pictures/../../x.png", "leads out of the key's folder"),
            ("pictures\\..\\x.png", "leads out of the key's folder"),
            ("C:/x.png", "leads out of the key's folder"),
            ("run.sh", "is no file of a key and no picture"),
            (".history/forms.ron", "is no file of a key and no picture"),
            ("pictures/.hidden.png", "is no file of a key and no picture"),
        ] {
            let told = told(&[about, (name, b"x")]);
            assert!(told.contains(why), "{name}: {told}");
        }
        // A kilobyte of zeros takes a few bytes: what the archive says of itself is not believed.
        archive(&[about, ("forms.ron", &[b' '; 1001]), ("pictures/a.png", &[0; 600]), ("pictures/b.png", &[0; 600])]);
        for limits in [
            Limits { file: 1000, picture: 1000, all: 10_000 },
            Limits { file: 10_000, picture: 599, all: 10_000 },
            Limits { file: 10_000, picture: 1000, all: 2000 },
        ] {
            let told = unpack_within(&file, &to, &limits).unwrap_err().to_string();
            assert!(told.contains("is larger than anything of a key"), "{told}");
            assert!(!to.exists());
        }
        assert!(told(&[("forms.ron", b"[]")]).contains("there is no 'key.ron' in it"));
        fs::write(&file, "not an archive").unwrap();
        assert!(unpack(&file, &to).unwrap_err().to_string().contains("is no packed key"));
        // Cut short, as after a stick was pulled out.
        archive(&[about, ("forms.ron", b"[]")]);
        let bytes = fs::read(&file).unwrap();
        fs::write(&file, bytes.get(..bytes.len() / 2).unwrap()).unwrap();
        assert!(unpack(&file, &to).unwrap_err().to_string().contains("is no packed key"));
    }

    #[test]
    fn a_link_in_an_archive_is_refused() {
        let dir = tempfile::tempdir().unwrap();
        let file = dir.path().join("bad.footring");
        let mut zip = ZipWriter::new(fs::File::create(&file).unwrap());
        zip.start_file("key.ron", SimpleFileOptions::default()).unwrap();
        zip.write_all(b"(title: \"T\")").unwrap();
        zip.add_symlink("pictures/a.png", "/etc/passwd", SimpleFileOptions::default()).unwrap();
        zip.finish().unwrap();
        let told = unpack(&file, &dir.path().join("key")).unwrap_err().to_string();
        assert!(told.contains("is a link"), "{told}");
    }
}
