//! Keeping photographs by the hash of their content.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

use footring::photo::{
    Crop, Edit, Format, Limits, Photo, PhotoError, PhotoHash, Progress, Store, StoreError, StoreProblem, WasThere, from_rgba, preview,
};
use std::fs;
use std::path::{Path, PathBuf};

fn photo(seed: u8) -> Photo {
    let rgba: Vec<u8> = (0..64 * 48).flat_map(|n: u32| [(n / 64 * 5) as u8, (n % 64 * 4) as u8, seed, 255]).collect();
    from_rgba("pasted.png", 64, 48, &rgba, &Limits::USUAL).unwrap()
}

fn files_below(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() { folders.push(path) } else { found.push(path) }
        }
    }
    found.sort();
    found
}

#[test]
fn a_photograph_is_kept_once_as_it_came() {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::at(folder.path());
    let one = photo(1);
    let kept = store.keep(&one).unwrap();
    assert_eq!((kept.hash, kept.format, kept.was_there), (PhotoHash::of(one.bytes()), Format::Png, WasThere::No));
    let digits = one.hash().to_string();
    let place = folder.path().join("photographs").join(&digits[..2]).join(format!("{}.png", &digits[2..]));
    assert_eq!(store.path(one.hash(), Format::Png), place);
    assert_eq!(fs::read(&place).unwrap(), one.bytes().as_ref());
    assert_eq!(store.keep(&one).unwrap().was_there, WasThere::Yes);
    store.keep(&photo(2)).unwrap();
    assert_eq!(files_below(folder.path()).len(), 2, "nothing else was left behind");
    let again = store.open(one.hash(), Format::Png, "pasted.png", &Limits::USUAL, &Progress::new()).unwrap();
    assert_eq!(again.pixels(), one.pixels());
}

#[test]
fn missing_and_harmed_photographs_are_told_apart_and_made_good() {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::at(folder.path());
    let photos: Vec<Photo> = (0..3).map(photo).collect();
    for one in &photos {
        store.keep(one).unwrap();
    }
    let list: Vec<_> = photos.iter().map(|one| (one.hash(), one.format())).collect();
    assert_eq!(store.verify(&list, &Progress::new()).unwrap(), []);
    fs::remove_file(store.path(list[0].0, Format::Png)).unwrap();
    let harmed = store.path(list[1].0, Format::Png);
    let mut bytes = fs::read(&harmed).unwrap();
    bytes[60] ^= 1;
    fs::write(&harmed, bytes).unwrap();
    assert_eq!(store.verify(&list, &Progress::new()).unwrap(), [StoreProblem::Missing(list[0].0), StoreProblem::Harmed(list[1].0)]);
    let short = |hash: PhotoHash| hash.to_string()[..12].to_owned();
    assert_eq!(
        store.read(list[0].0, Format::Png).unwrap_err().to_string(),
        format!("the photograph {} is missing from the daybook's folder (bring it back from a copy of the folder)", short(list[0].0))
    );
    assert_eq!(
        store.read(list[1].0, Format::Png).unwrap_err().to_string(),
        format!("the photograph {} was changed or damaged on the disk (bring it back from a copy of the folder)", short(list[1].0))
    );
    // Putting the good bytes in again mends both.
    assert_eq!(store.keep(&photos[0]).unwrap().was_there, WasThere::No);
    assert_eq!(store.keep(&photos[1]).unwrap().was_there, WasThere::Harmed);
    assert_eq!(store.verify(&list, &Progress::new()).unwrap(), []);
    let stopped = Progress::new();
    stopped.cancel();
    assert!(matches!(store.verify(&list, &stopped), Err(PhotoError::Cancelled)));
}

#[test]
fn previews_are_made_once_and_may_be_lost_or_spoilt() {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::at(folder.path());
    let one = photo(7);
    store.keep(&one).unwrap();
    let edit = Edit { quarter_turns: 1, crop: Some(Crop { left: 0, top: 0, width: 32, height: 48 }) };
    let ask = |edit| store.preview(one.hash(), Format::Png, edit, 16, &Limits::USUAL, &Progress::new()).unwrap();
    let close = |a: &image::RgbImage, b: &image::RgbImage| {
        a.dimensions() == b.dimensions() && a.iter().zip(b.iter()).all(|(x, y)| x.abs_diff(*y) < 24)
    };
    let expected = preview(one.pixels(), edit, 16);
    assert_eq!(expected.dimensions(), (16, 11));
    assert_eq!(ask(edit), expected);
    let made = files_below(&folder.path().join("previews"));
    assert_eq!(made.len(), 1);
    assert!(close(&ask(edit), &expected), "the second comes from the file, a JPEG");
    // It really does: with the photograph away, the preview is still there, but no other one can be made.
    let away = store.path(one.hash(), Format::Png);
    let bytes = fs::read(&away).unwrap();
    fs::remove_file(&away).unwrap();
    assert!(close(&ask(edit), &expected));
    let missing = store.preview(one.hash(), Format::Png, Edit::default(), 16, &Limits::USUAL, &Progress::new());
    assert!(matches!(missing, Err(StoreError::Missing { hash }) if hash == one.hash()));
    fs::write(&away, bytes).unwrap();
    for spoilt in [b"".as_slice(), b"not a picture", &fs::read(&made[0]).unwrap()[..100]] {
        fs::write(&made[0], spoilt).unwrap();
        assert_eq!(ask(edit), expected, "made anew");
    }
    fs::remove_dir_all(folder.path().join("previews")).unwrap();
    assert_eq!(ask(edit), expected);
}

#[test]
fn a_store_that_cannot_be_written_says_so() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("photographs"), "a file where the folder should be").unwrap();
    let error = Store::at(folder.path()).keep(&photo(1)).unwrap_err();
    assert!(matches!(error, StoreError::Write { .. }), "{error:?}");
    assert!(error.to_string().starts_with("the photograph could not be kept: "), "{error}");
}
