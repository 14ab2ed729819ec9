//! A daybook in one file, brought back, and every way the file can be wrong.

use super::{at, book};
use footring::daybook::backup::{BackupError, bring_back, look_at};
use footring::daybook::{Daybook, Find, Page, PhotoKind, Photograph};
use footring::photo::{Edit, Format, PhotoHash, Progress, Store};
use std::fs;
use std::io::{Read as _, Write as _};
use std::path::Path;
use zip::write::SimpleFileOptions;
use zip::{ZipArchive, ZipWriter};

/// A photograph of these bytes, kept in the daybook's folder.
pub(super) fn photograph(folder: &Path, bytes: &[u8]) -> Photograph {
    let hash = PhotoHash::of(bytes);
    Store::at(folder).keep_bytes(hash, Format::Png, bytes).unwrap();
    Photograph {
        hash,
        format: Format::Png,
        kind: PhotoKind::WholePiece,
        edit: Edit::default(),
        name: "cup.png".to_owned(),
        caption: String::new(),
    }
}

fn with_photographs() -> (tempfile::TempDir, Daybook, Vec<Find>) {
    let (folder, mut daybook, mut all) = book(6);
    for (n, find) in all.iter_mut().enumerate().take(3) {
        find.photographs = vec![photograph(folder.path(), format!("photograph {n}").as_bytes())];
        find.revision = daybook.change(find, &at(30)).unwrap();
    }
    // A photograph that a change dropped is in the history, and so in the backup.
    all[0].photographs.clear();
    all[0].revision = daybook.change(&all[0], &at(31)).unwrap();
    daybook.remove(all[5].id, &at(32)).unwrap();
    (folder, daybook, all)
}

#[test]
fn what_is_backed_up_comes_back_whole() {
    let (folder, daybook, all) = with_photographs();
    fs::write(folder.path().join("shelves.ron"), "()").unwrap();
    let room = tempfile::tempdir().unwrap();
    let file = room.path().join("finds.zip");
    let done = daybook.back_up(&file, &Progress::new()).unwrap();
    assert_eq!((done.finds, done.photographs, done.lost.len()), (5, 3, 0));
    assert_eq!(fs::read_dir(room.path()).unwrap().count(), 1, "nothing else is left beside it");
    let back = room.path().join("deep").join("back");
    let brought = bring_back(&file, &back, &Progress::new()).unwrap();
    assert_eq!(brought, done);
    assert_eq!(fs::read_to_string(back.join("shelves.ron")).unwrap(), "()", "the lists beside it come along");
    let again = Daybook::open(&back).unwrap();
    for find in &all {
        assert_eq!(again.find(find.id).unwrap(), daybook.find(find.id).unwrap());
        assert_eq!(again.history(find.id).unwrap(), daybook.history(find.id).unwrap());
    }
    let problems = Store::at(&back).verify(&again.photographs_kept().unwrap(), &Progress::new()).unwrap();
    assert_eq!(problems, []);
    // An empty folder that is there is taken too; one that is not empty is left alone.
    let empty = room.path().join("empty");
    fs::create_dir(&empty).unwrap();
    bring_back(&file, &empty, &Progress::new()).unwrap();
    assert!(matches!(bring_back(&file, &empty, &Progress::new()), Err(BackupError::NotEmpty(_))));
    assert!(matches!(daybook.back_up(&file, &Progress::new()), Err(BackupError::Taken(_))));
}

#[test]
fn a_photograph_that_is_gone_is_told_and_the_rest_is_backed_up() {
    let (folder, daybook, all) = with_photographs();
    let lost = all[1].photographs[0].hash;
    fs::remove_file(Store::at(folder.path()).path(lost, Format::Png)).unwrap();
    let room = tempfile::tempdir().unwrap();
    let file = room.path().join("finds.zip");
    let done = daybook.back_up(&file, &Progress::new()).unwrap();
    assert_eq!((done.photographs, done.lost.as_slice()), (2, &[lost][..]));
    assert_eq!(bring_back(&file, &room.path().join("back"), &Progress::new()).unwrap().lost, [lost]);
}

/// The files of a packed file, with their names.
fn unpacked(file: &Path) -> Vec<(String, Vec<u8>)> {
    let mut archive = ZipArchive::new(fs::File::open(file).unwrap()).unwrap();
    (0..archive.len())
        .map(|n| {
            let mut entry = archive.by_index(n).unwrap();
            let mut bytes = Vec::new();
            entry.read_to_end(&mut bytes).unwrap();
            (entry.name().to_owned(), bytes)
        })
        .collect()
}

fn pack(file: &Path, entries: &[(String, Vec<u8>)]) {
    let mut zip = ZipWriter::new(fs::File::create(file).unwrap());
    for (name, bytes) in entries {
        zip.start_file(name.as_str(), SimpleFileOptions::default()).unwrap();
        zip.write_all(bytes).unwrap();
    }
    zip.finish().unwrap();
}

#[test]
fn a_backup_that_is_not_as_it_was_written_brings_nothing_back() {
    let (_folder, daybook, _all) = with_photographs();
    let room = tempfile::tempdir().unwrap();
    let file = room.path().join("finds.zip");
    daybook.back_up(&file, &Progress::new()).unwrap();
    let sound = unpacked(&file);
    let names: Vec<&str> = sound.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!((names[0], names[names.len() - 1]), ("finds.db", "contents.json"));
    let refused = |entries: &[(String, Vec<u8>)], expected: &str| {
        let bad = room.path().join("bad.zip");
        pack(&bad, entries);
        let back = room.path().join("back");
        let error = bring_back(&bad, &back, &Progress::new()).unwrap_err().to_string();
        assert_eq!(error.lines().next(), Some(expected));
        assert!(!back.exists(), "{expected}");
        assert_eq!(fs::read_dir(room.path()).unwrap().count(), 2, "nothing is left beside it: {expected}");
    };
    let mut flipped = sound.clone();
    flipped[1].1[3] ^= 1;
    let says = format!("this backup is damaged: '{}' is not as it was written (use another one; nothing was brought back)", sound[1].0);
    refused(&flipped, &says);
    let mut less = sound.clone();
    less.remove(1);
    let error_of_missing = format!("this backup is damaged: '{}': specified file not found in archive", sound[1].0);
    refused(&less, &format!("{error_of_missing} (use another one; nothing was brought back)"));
    let mut more = sound.clone();
    more.insert(0, ("../../outside.txt".to_owned(), b"hello".to_vec()));
    refused(
        &more,
        "this backup is damaged: '../../outside.txt' is not in its list of contents (use another one; nothing was brought back)",
    );
    let contents = |change: &dyn Fn(String) -> String| {
        let mut all = sound.clone();
        let last = all.len() - 1;
        let json = String::from_utf8(all[last].1.clone()).unwrap();
        all[last].1 = change(json).into_bytes();
        all
    };
    refused(
        &contents(&|json| json.replace("\"form\":1", "\"form\":2")),
        "this backup was written by a newer version of this program (install the newer version)",
    );
    refused(
        &contents(&|_| "{}".to_owned()),
        "this file is no backup of a daybook: 'contents.json': missing field `form` at line 1 column 2",
    );
    // A list that names a way out is no help to whoever wrote it.
    let mut out = contents(&|json| json.replace(&sound[1].0, "../outside.png"));
    out[1].0 = "../outside.png".to_owned();
    refused(&out, "this backup is damaged: '../outside.png' is not a name that belongs in it (use another one; nothing was brought back)");
    refused(&sound[..1], "this file is no backup of a daybook: it has no list of its contents, 'contents.json'");
    fs::write(&file, b"PK but no more").unwrap();
    let error = bring_back(&file, &room.path().join("back"), &Progress::new()).unwrap_err().to_string();
    assert!(error.starts_with("this file is no backup of a daybook: "), "{error}");
}

#[test]
fn work_that_is_stopped_leaves_nothing() {
    let (_folder, daybook, _all) = with_photographs();
    let room = tempfile::tempdir().unwrap();
    let progress = Progress::new();
    progress.cancel();
    let error = daybook.back_up(&room.path().join("finds.zip"), &progress).unwrap_err();
    assert_eq!(error.to_string(), "it was stopped; nothing was changed");
    assert_eq!(fs::read_dir(room.path()).unwrap().count(), 0);
    assert_eq!(daybook.count(&Page::default()).unwrap(), 5);
}

#[test]
fn a_backup_takes_the_daybooks_place_and_what_was_there_is_kept() {
    let (folder, daybook, _) = with_photographs();
    fs::write(folder.path().join("services.ron"), "(sets: [])").unwrap();
    let room = tempfile::tempdir().unwrap();
    let file = room.path().join("finds.zip");
    let made = daybook.back_up(&file, &Progress::new()).unwrap();
    assert_eq!(look_at(&file, &Progress::new()).unwrap(), made, "a look at it tells the same");
    let (other_folder, mut other, others) = book(3);
    fs::write(other_folder.path().join("services.ron"), "( sets: [ ] )").unwrap();
    let put = other.put_in_place(&file, &at(40), &Progress::new()).unwrap();
    assert_eq!((put.finds, put.photographs), (5, 3));
    let ids = |daybook: &Daybook| daybook.ids(&footring::daybook::Question::default()).unwrap();
    assert_eq!(ids(&other), ids(&daybook));
    let problems = Store::at(other_folder.path()).verify(&other.photographs_kept().unwrap(), &Progress::new()).unwrap();
    assert_eq!(problems, []);
    assert_eq!(fs::read_to_string(other_folder.path().join("services.ron")).unwrap(), "(sets: [])");
    let kept = other_folder.path().join("services.ron.before-bringing-back-2026-03-02-094000");
    assert_eq!(fs::read_to_string(kept).unwrap(), "( sets: [ ] )");
    other.go_back_to(&put.copy, &at(41)).unwrap();
    assert_eq!(ids(&other).len(), others.len());
    // A damaged one leaves everything.
    let mut bytes = fs::read(&file).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 0xff;
    fs::write(&file, bytes).unwrap();
    assert!(other.put_in_place(&file, &at(42), &Progress::new()).is_err());
    assert_eq!(ids(&other).len(), others.len());
}
