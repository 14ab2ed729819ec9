//! Putting whole folders together.

use super::clash::{Choices, Clash};
use super::file::join_counting;
use super::pictures::{OtherClash, join_others};
use super::renames::Followed;
use crate::key::diff::{Difference, diff};
use crate::key::file::{Entry, KeyFile};
use crate::key::load::{Loaded, load};
use crate::key::model::{Counted, Decoration, Feature, Form, Glaze, Key, Line, Mark, Paper, Retired};
use crate::key::problem::{Problem, ProblemKind, Severity};
use crate::key::save::rewrite;
use crate::key::source::{FolderSource, Source as _, say};
use std::collections::HashSet;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use thiserror::Error;

/// What came of putting two folders together.
#[derive(Debug)]
pub struct FoldersJoined {
    /// The new key.
    pub loaded: Loaded,
    /// What both sides changed, each otherwise.
    pub clashes: Vec<Clash>,
    /// Pictures and other files that both sides changed, each otherwise.
    pub other_clashes: Vec<OtherClash>,
    /// What could not be put together and why, in sentences with their place. Mine stands there.
    pub problems: Vec<String>,
    /// What is wrong with the new key and was wrong with neither of the two: a glaze that one took out and the other refers to.
    pub arisen: Vec<Problem>,
    /// What the new key has otherwise than mine.
    pub from_theirs: Difference,
    /// Pictures and other files that come from theirs.
    pub files_from_theirs: Vec<String>,
}

impl FoldersJoined {
    /// True where nothing is left for a person to decide.
    pub fn is_clean(&self) -> bool {
        self.clashes.is_empty() && self.other_clashes.is_empty() && self.problems.is_empty() && self.arisen.is_empty()
    }
}

/// Why nothing was put together. Nothing was written.
#[derive(Debug, Error)]
pub enum MergeError {
    /// One of them is no key.
    #[error("there is no 'key.ron' in '{}' (give the folder of a house key)", .0.display())]
    NoKey(PathBuf),
    /// A newer program wrote one of them.
    #[error("a newer Footring wrote the key in '{}', so it can't be put together with another (get the newer program)", .0.display())]
    NewerFormat(PathBuf),
    /// A file cannot be read.
    #[error("'{file}' of the key in '{}' can't be put together: {kind}", .dir.display())]
    CannotRead {
        /// The key.
        dir: PathBuf,
        /// The file.
        file: KeyFile,
        /// Why.
        kind: Box<ProblemKind>,
    },
    /// Something is there where the new key was to be.
    #[error("'{}' is there already (choose a folder that is empty or not there)", .0.display())]
    OutThere(PathBuf),
    /// The system won't have it.
    #[error("'{}' can't be read or written: {}", .path.display(), say(.why))]
    Io {
        /// What.
        path: PathBuf,
        /// What the system says.
        why: io::Error,
    },
}

/// Puts the key of two folders that both came from a third together in a new folder `out`, all of it or nothing.
///
/// Every file is put together as [`join_file`](super::join_file) does it, pictures by their bytes; then the new key is checked.
///
/// # Errors
/// Where one of the three is no key, is of a newer program or cannot be read, or `out` is there and not empty or cannot be written. Clashes
/// are no error.
pub fn join_folders(base: &Path, mine: &Path, theirs: &Path, out: &Path, choices: &Choices) -> Result<FoldersJoined, MergeError> {
    let dirs = [base, mine, theirs];
    let loaded = dirs.map(load);
    for (dir, loaded) in dirs.iter().zip(&loaded) {
        if fs::symlink_metadata(dir.join(KeyFile::About.name())).is_err() {
            return Err(MergeError::NoKey(dir.to_path_buf()));
        }
        if loaded.is_newer() {
            return Err(MergeError::NewerFormat(dir.to_path_buf()));
        }
    }
    let empty = fs::read_dir(out).is_ok_and(|mut entries| entries.next().is_none());
    if fs::symlink_metadata(out).is_ok() && !empty {
        return Err(MergeError::OutThere(out.to_owned()));
    }
    let failed = |path: &Path| {
        let path = path.to_owned();
        move |why| MergeError::Io { path, why }
    };
    let followed = follow(&loaded);
    let counted: [&[Counted]; 3] = loaded.each_ref().map(|loaded| Counted::list(&loaded.key).as_slice());
    let others = join_others(dirs, choices.otherwise()).map_err(failed(mine))?;
    let around = out.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or_else(|| Path::new("."));
    fs::create_dir_all(around).map_err(failed(around))?;
    // Made under another name first, so that a half is never taken for a key.
    let beside = tempfile::Builder::new().prefix(".footring-").tempdir_in(around).map_err(failed(around))?;
    let built = beside.path().join("key");
    fs::create_dir(&built).map_err(failed(out))?;
    let (mut clashes, mut problems) = (Vec::new(), others.problems);
    for file in KeyFile::ALL {
        let mut versions = [const { None }; 3];
        for (version, dir) in versions.iter_mut().zip(dirs) {
            let read = FolderSource::new(dir).read(file.name());
            *version = read.map_err(|kind| MergeError::CannotRead { dir: dir.to_owned(), file, kind: Box::new(kind) })?;
        }
        if let Some((_, texts)) = &followed {
            for (version, texts) in versions.iter_mut().zip(texts) {
                if let Some(text) = texts.iter().find(|(of, _)| *of == file) {
                    *version = Some(text.1.clone().into_bytes());
                }
            }
        }
        let joined = join_counting(file, versions.each_ref().map(Option::as_deref), choices, counted);
        if let Some(bytes) = &joined.bytes {
            crate::key::save::write_durably(&built.join(file.name()), bytes).map_err(failed(out))?;
        }
        clashes.extend(joined.clashes);
        problems.extend(joined.problems);
    }
    for (name, from) in &others.copies {
        let to = name.split('/').fold(built.clone(), |path, step| path.join(step));
        if let Some(folder) = to.parent() {
            fs::create_dir_all(folder).map_err(failed(out))?;
        }
        fs::copy(from, &to).map_err(failed(from))?;
    }
    let mut result = load(&built);
    if let Some((followed, _)) = &followed {
        let mut key = result.key.clone();
        followed.settle(&mut key, choices, &mut clashes);
        for (file, text) in texts_of(&result, &key).unwrap_or_default() {
            crate::key::save::write_durably(&built.join(file.name()), text.as_bytes()).map_err(failed(out))?;
        }
        result = load(&built);
    }
    let [_, mine_loaded, their_loaded] = &loaded;
    let arisen = arisen(&result, [mine_loaded, their_loaded]);
    let from_theirs = diff(&mine_loaded.key, &result.key);
    if empty {
        fs::remove_dir(out).map_err(failed(out))?;
    }
    fs::rename(&built, out).map_err(failed(out))?;
    Ok(FoldersJoined {
        loaded: result,
        clashes,
        other_clashes: others.clashes,
        problems,
        arisen,
        from_theirs,
        files_from_theirs: others.from_theirs,
    })
}

/// The texts of the files that a key has otherwise.
type Texts = Vec<(KeyFile, String)>;

/// The three keys and the texts of their files, where a side gave an entry another id and all three make sense.
fn follow(loaded: &[Loaded; 3]) -> Option<(Followed<Key>, [Texts; 3])> {
    let [base, mine, theirs] = loaded.each_ref().map(|loaded| &loaded.key);
    let followed = Followed::keys([base, mine, theirs])?;
    let mut texts = [const { Vec::new() }; 3];
    for ((texts, loaded), key) in texts.iter_mut().zip(loaded).zip(&followed.versions) {
        *texts = texts_of(loaded, key)?;
    }
    Some((followed, texts))
}

/// The texts of the files that `key` has otherwise than the key that was read; None where one can't be written.
fn texts_of(loaded: &Loaded, key: &Key) -> Option<Texts> {
    fn one<T: Entry>(loaded: &Loaded, key: &Key, out: &mut Texts) -> Option<()> {
        if T::list(&loaded.key) != T::list(key) {
            out.push((T::FILE, rewrite::list(loaded.texts.file(T::FILE), T::list(&loaded.key), T::list(key)).ok()?));
        }
        Some(())
    }
    let mut out = Texts::new();
    one::<Feature>(loaded, key, &mut out)?;
    one::<Line>(loaded, key, &mut out)?;
    one::<Form>(loaded, key, &mut out)?;
    one::<Glaze>(loaded, key, &mut out)?;
    one::<Decoration>(loaded, key, &mut out)?;
    one::<Mark>(loaded, key, &mut out)?;
    one::<Paper>(loaded, key, &mut out)?;
    one::<Counted>(loaded, key, &mut out)?;
    one::<Retired>(loaded, key, &mut out)?;
    Some(out)
}

/// The errors of a key that neither of the two it came from had, wherever in the file they stand.
pub(crate) fn arisen(result: &Loaded, sides: [&Loaded; 2]) -> Vec<Problem> {
    let known: HashSet<(String, String)> = sides.iter().flat_map(|side| &side.problems).map(told).collect();
    let is_new = |problem: &&Problem| problem.severity == Severity::Error && !known.contains(&told(problem));
    result.problems.iter().filter(is_new).cloned().collect()
}

/// A problem's file and sentence, without the lines that the sentence names.
fn told(problem: &Problem) -> (String, String) {
    let sentence = problem.sentence();
    let words = sentence.split(' ').map(|word| word.split_once(".ron:").map_or(word, |(file, _)| file));
    (problem.place.file.clone(), words.collect::<Vec<_>>().join(" "))
}
