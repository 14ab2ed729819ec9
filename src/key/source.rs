//! Where the files of a key come from: a folder, or the program itself.

use super::problem::ProblemKind;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use unicode_normalization::UnicodeNormalization as _;

/// Files larger than this are not read: 128 MiB, forty times a key of ten thousand forms in sixty features.
pub const SIZE_LIMIT: u64 = 128 << 20;

/// Something that has the files of a key.
pub(crate) trait Source: Sync {
    /// The bytes of a file, None where it is missing.
    fn read(&self, name: &str) -> Result<Option<Vec<u8>>, ProblemKind>;

    /// The first bytes of a picture below `pictures/`, None where it is missing.
    fn picture_head(&self, file: &str) -> io::Result<Option<Vec<u8>>>;

    /// Width and height of a picture in pixels, as it says of itself; None where that cannot be told.
    fn picture_size(&self, file: &str) -> Option<(u32, u32)>;

    /// The names of the pictures, sorted, for suggestions.
    fn pictures(&self) -> Vec<String>;
}

/// A folder on disk.
#[derive(Debug, Clone)]
pub(crate) struct FolderSource {
    dir: PathBuf,
}

impl FolderSource {
    /// The source for that folder.
    pub(crate) fn new(dir: &Path) -> Self {
        Self { dir: dir.to_owned() }
    }
}

impl Source for FolderSource {
    fn read(&self, name: &str) -> Result<Option<Vec<u8>>, ProblemKind> {
        let path = self.dir.join(name);
        let size = match fs::metadata(&path) {
            Ok(found) if found.is_dir() => return Err(ProblemKind::FolderForFile),
            // A pipe would be waited for without end.
            Ok(found) if !found.is_file() => return Err(ProblemKind::NoPlainFile),
            Ok(_) if leads_outside(&self.dir, &path) => return Err(ProblemKind::LinkOutside),
            Ok(found) => found.len(),
            // A link that leads nowhere is not a missing file.
            Err(e) if e.kind() == io::ErrorKind::NotFound && fs::symlink_metadata(&path).is_err() => return Ok(None),
            Err(e) => return Err(ProblemKind::CannotRead(say(&e))),
        };
        if size > SIZE_LIMIT {
            return Err(ProblemKind::TooLarge { megabytes: size >> 20, limit: SIZE_LIMIT >> 20 });
        }
        let mut bytes = Vec::with_capacity(size as usize);
        // It may grow while it is read.
        fs::File::open(&path)
            .and_then(|file| io::Read::read_to_end(&mut io::Read::take(file, SIZE_LIMIT), &mut bytes))
            .map(|_| Some(bytes))
            .map_err(|e| ProblemKind::CannotRead(say(&e)))
    }

    fn picture_head(&self, file: &str) -> io::Result<Option<Vec<u8>>> {
        use io::Read as _;
        let path = picture_path(&self.dir, file);
        match fs::metadata(&path) {
            Ok(found) if found.is_dir() => return Err(io::Error::new(io::ErrorKind::IsADirectory, "it is a folder")),
            Ok(found) if !found.is_file() => return Err(io::Error::other("it is no plain file")),
            Ok(_) if leads_outside(&self.dir, &path) => {
                return Err(io::Error::other("it is a link that leads out of the key's folder (copy the picture there)"));
            }
            Ok(_) => {}
            Err(e) if matches!(e.kind(), io::ErrorKind::NotFound | io::ErrorKind::NotADirectory) => return Ok(None),
            Err(e) => return Err(e),
        }
        let mut head = Vec::new();
        fs::File::open(&path)?.take(HEAD).read_to_end(&mut head)?;
        Ok(Some(head))
    }

    fn picture_size(&self, file: &str) -> Option<(u32, u32)> {
        let reader = image::ImageReader::open(picture_path(&self.dir, file)).ok()?;
        reader.with_guessed_format().ok()?.into_dimensions().ok()
    }

    fn pictures(&self) -> Vec<String> {
        let mut names = Vec::new();
        gather(&self.dir.join("pictures"), "", 0, &mut names);
        names.sort();
        names
    }
}

/// Where a picture of the key in `dir` is.
///
/// Some systems decompose the letters of names (è as e and an accent), some compose them, and a key travels between them. So where there is
/// no file of just that name, one of the same letters is taken.
pub fn picture_path(dir: &Path, file: &str) -> PathBuf {
    let mut path = dir.join("pictures");
    path.extend(file.split('/'));
    if file.is_ascii() || fs::symlink_metadata(&path).is_ok() {
        return path;
    }
    let composed = |name: &str| name.nfc().collect::<String>();
    let wanted = path.file_name().map(|name| composed(&name.to_string_lossy()));
    let beside = path.parent().and_then(|folder| fs::read_dir(folder).ok()).into_iter().flatten().flatten();
    let found = beside.take(MOST).find(|entry| entry.file_name().to_str().map(composed) == wanted).map(|entry| entry.path());
    found.unwrap_or(path)
}

/// True where a link leads from a file of the key out of its folder: whoever made the key has no business with what is there.
fn leads_outside(dir: &Path, path: &Path) -> bool {
    match (fs::canonicalize(dir), fs::canonicalize(path)) {
        (Ok(dir), Ok(path)) => !path.starts_with(dir),
        // What leads nowhere is told when it is read.
        _ => false,
    }
}

/// Bytes of a picture that are looked at to tell what it is.
pub(crate) const HEAD: u64 = 32;

/// Names that are looked at in a folder of pictures.
const MOST: usize = 20_000;

fn gather(dir: &Path, prefix: &str, depth: usize, names: &mut Vec<String>) {
    const DEEPEST: usize = 4;
    let Ok(entries) = fs::read_dir(dir) else { return };
    for entry in entries.flatten() {
        if names.len() >= MOST {
            return;
        }
        let Ok(name) = entry.file_name().into_string() else { continue };
        let name = format!("{prefix}{name}");
        match entry.file_type() {
            Ok(kind) if kind.is_dir() && depth < DEEPEST => gather(&entry.path(), &format!("{name}/"), depth + 1, names),
            Ok(kind) if !kind.is_dir() => names.push(name),
            _ => {}
        }
    }
}

/// The names of a key's pictures, sorted: those that are plain files of its folder.
pub(crate) fn picture_names(dir: &Path) -> Vec<String> {
    let mut names = Vec::new();
    gather(&dir.join("pictures"), "", 0, &mut names);
    names.retain(|name| {
        let path = name.split('/').fold(dir.join("pictures"), |path, step| path.join(step));
        !name.split('/').any(|step| step.starts_with('.')) && path.is_file() && !leads_outside(dir, &path)
    });
    names.sort();
    names
}

/// What the system says, in small letters and without its number.
pub(crate) fn say(error: &io::Error) -> String {
    let text = error.to_string();
    let text = text.split(" (os error").next().unwrap_or_default();
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_lowercase().chain(chars).collect())
}
