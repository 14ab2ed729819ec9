//! The other files of a key's folder, pictures above all: compared and put together by their bytes.

use super::clash::Side;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use unicode_normalization::UnicodeNormalization as _;

/// Folders in folders that are looked into.
const DEEPEST: usize = 8;
/// Files that are looked at.
const MOST: usize = 100_000;

/// A file besides the lists: where it is, how long, and what it holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Other {
    pub(crate) path: PathBuf,
    pub(crate) bytes: u64,
    hash: blake3::Hash,
}

impl Other {
    pub(crate) fn is_like(&self, other: &Self) -> bool {
        self.bytes == other.bytes && self.hash == other.hash
    }
}

/// The files of a folder besides the lists, by their names from the folder with forward slashes; what is left out goes to `problems`. Hidden
/// ones (`.history`, version control) are no part of a key.
pub(crate) fn others(dir: &Path, problems: &mut Vec<String>) -> io::Result<BTreeMap<String, Other>> {
    let mut found = BTreeMap::new();
    walk(dir, "", 0, &mut found, problems)?;
    Ok(found)
}

fn walk(dir: &Path, prefix: &str, depth: usize, found: &mut BTreeMap<String, Other>, problems: &mut Vec<String>) -> io::Result<()> {
    for entry in fs::read_dir(dir)? {
        let entry = entry?;
        let Ok(name) = entry.file_name().into_string() else {
            problems.push(format!("the name '{}' is no text, so the file is left out", entry.file_name().to_string_lossy()));
            continue;
        };
        let is_list = prefix.is_empty() && crate::key::KeyFile::ALL.iter().any(|file| file.name() == name);
        if name.starts_with('.') || is_list {
            continue;
        }
        let name = format!("{prefix}{name}");
        let kind = entry.file_type()?;
        if kind.is_dir() && depth < DEEPEST {
            walk(&entry.path(), &format!("{name}/"), depth + 1, found, problems)?;
        } else if !kind.is_file() {
            let what = if kind.is_symlink() { "a link" } else { "no file" };
            problems.push(format!("'{name}' is {what}, so it is left out (copy what it leads to into the key)"));
        } else if found.len() >= MOST {
            problems.push(format!("there are more than {MOST} files; '{name}' is left out"));
        } else {
            let path = entry.path();
            let mut hasher = blake3::Hasher::new();
            hasher.update_reader(File::open(&path)?)?;
            found.insert(name, Other { bytes: entry.metadata()?.len(), path, hash: hasher.finalize() });
        }
    }
    Ok(())
}

/// A file besides the lists that both sides changed, each otherwise. Mine stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OtherClash {
    /// Its name from the folder, with forward slashes.
    pub name: String,
    /// Its length in bytes as it was; None where it was not there.
    pub base: Option<u64>,
    /// Its length here; None where it was taken out.
    pub mine: Option<u64>,
    /// Its length there; None where it was taken out.
    pub theirs: Option<u64>,
}

/// What came of putting the other files together.
#[derive(Debug, Default)]
pub(super) struct OthersJoined {
    /// What is to be copied: the name, and where it is.
    pub(super) copies: Vec<(String, PathBuf)>,
    /// What comes from theirs.
    pub(super) from_theirs: Vec<String>,
    pub(super) clashes: Vec<OtherClash>,
    pub(super) problems: Vec<String>,
}

/// Puts the other files of three folders together. `at_clashes` says which side's file is taken where both changed it.
pub(super) fn join_others(dirs: [&Path; 3], at_clashes: Side) -> io::Result<OthersJoined> {
    let mut out = OthersJoined::default();
    let [base_dir, my_dir, their_dir] = dirs;
    // What is left out of the others was never to be in this one.
    let base = others(base_dir, &mut Vec::new())?;
    let (mine, theirs) = (others(my_dir, &mut out.problems)?, others(their_dir, &mut out.problems)?);
    out.problems.sort();
    out.problems.dedup();
    let names: BTreeSet<&String> = mine.keys().chain(theirs.keys()).collect();
    let like = |a: Option<&Other>, b: Option<&Other>| match (a, b) {
        (Some(a), Some(b)) => a.is_like(b),
        (None, None) => true,
        _ => false,
    };
    let mut taken: BTreeMap<String, (Side, &String)> = BTreeMap::new();
    // Mine first, so that it is theirs that has to give way where the two have names that some systems take for one.
    let (here, there): (Vec<&String>, Vec<&String>) = names.into_iter().partition(|name| mine.contains_key(*name));
    for name in here.into_iter().chain(there) {
        let (was, is, theirs) = (base.get(name), mine.get(name), theirs.get(name));
        let side = if like(is, theirs) || like(theirs, was) {
            Side::Mine
        } else if like(is, was) {
            Side::Theirs
        } else {
            let bytes = |file: Option<&Other>| file.map(|file| file.bytes);
            out.clashes.push(OtherClash { name: name.clone(), base: bytes(was), mine: bytes(is), theirs: bytes(theirs) });
            at_clashes
        };
        let Some(file) = (match side {
            Side::Mine => is,
            Side::Theirs => theirs,
            Side::Base => was,
        }) else {
            continue;
        };
        let one_name = one_name(name);
        if let Some((_, other)) = taken.get(&one_name) {
            let sentence = format!("'{name}' and '{other}' are one name on some systems, so theirs is left out (rename one of them)");
            out.problems.push(sentence);
            continue;
        }
        taken.insert(one_name, (side, name));
        if side == Side::Theirs {
            out.from_theirs.push(name.clone());
        }
        out.copies.push((name.clone(), file.path.clone()));
    }
    Ok(out)
}

/// A name as systems take it that tell neither capitals from small letters nor composed from decomposed letters.
pub(crate) fn one_name(name: &str) -> String {
    name.nfc().collect::<String>().to_lowercase().nfc().collect()
}
