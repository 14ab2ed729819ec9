//! The watched folder, with real folders and real files. Waits are generous and end as soon as the notice comes.
#![expect(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "tests")]

use footring::photo::{Limits, Notice, Watch, WatchOptions, Watching, from_rgba};
use std::fs;
use std::io::Write as _;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, SystemTime};

const LONG: Duration = Duration::from_mins(1);

const QUICK: WatchOptions =
    WatchOptions { watching: Watching::WithNotices, look_every: Duration::from_millis(150), settle: Duration::from_millis(60) };

/// Both ways of watching must see the same.
const BOTH: [WatchOptions; 2] = [QUICK, WatchOptions { watching: Watching::ByLooking, ..QUICK }];

fn picture() -> Vec<u8> {
    from_rgba("a.png", 20, 10, &[90; 800], &Limits::USUAL).unwrap().bytes().to_vec()
}

fn next(watch: &Watch) -> Notice {
    watch.wait(LONG).unwrap_or_else(|| panic!("no notice came"))
}

/// Puts a last picture there and checks that its notice is the next: that nothing else was told before.
fn nothing_but(watch: &Watch, folder: &Path, name: &str) {
    fs::write(folder.join(name), picture()).unwrap();
    assert_eq!(next(watch), Notice::Picture(folder.join(name)));
}

#[test]
fn a_new_picture_is_offered_and_old_ones_are_not() {
    for options in BOTH {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("old.png"), picture()).unwrap();
        let woken = Arc::new(AtomicUsize::new(0));
        let counter = woken.clone();
        let watch = Watch::start(folder.path(), options, move || {
            counter.fetch_add(1, Ordering::SeqCst);
        })
        .unwrap();
        assert_eq!(watch.folder(), folder.path());
        nothing_but(&watch, folder.path(), "first.png");
        // Moved in from elsewhere, and renamed when it was complete.
        let elsewhere = tempfile::tempdir_in(folder.path()).unwrap();
        fs::write(elsewhere.path().join("moved.JPG"), picture()).unwrap();
        fs::rename(elsewhere.path().join("moved.JPG"), folder.path().join("moved.JPG")).unwrap();
        assert_eq!(next(&watch), Notice::Picture(folder.path().join("moved.JPG")));
        fs::write(folder.path().join("camera.part"), picture()).unwrap();
        fs::rename(folder.path().join("camera.part"), folder.path().join("camera.tif")).unwrap();
        assert_eq!(next(&watch), Notice::Picture(folder.path().join("camera.tif")));
        drop(watch);
        assert_eq!(woken.load(Ordering::SeqCst), 3, "woken once for each notice");
    }
}

#[test]
fn a_picture_that_is_still_being_written_is_waited_for() {
    for options in BOTH {
        let folder = tempfile::tempdir().unwrap();
        let watch = Watch::start(folder.path(), options, || {}).unwrap();
        let bytes = picture();
        let path = folder.path().join("slow.png");
        let mut file = fs::File::create(&path).unwrap();
        file.write_all(&bytes[..bytes.len() / 2]).unwrap();
        file.sync_all().unwrap();
        // Long enough for the half to have settled: what comes next must be another file, not this.
        nothing_but(&watch, folder.path(), "quick.png");
        file.write_all(&bytes[bytes.len() / 2..]).unwrap();
        file.sync_all().unwrap();
        drop(file);
        assert_eq!(next(&watch), Notice::Picture(path));
    }
}

#[test]
fn what_is_no_picture_is_passed_over() {
    for options in BOTH {
        let folder = tempfile::tempdir().unwrap();
        let watch = Watch::start(folder.path(), options, || {}).unwrap();
        for name in [".hidden.png", "~half.png", "notes.txt", "mark.png.tmp"] {
            fs::write(folder.path().join(name), picture()).unwrap();
        }
        fs::write(folder.path().join("empty.jpg"), b"").unwrap();
        fs::write(folder.path().join("text.jpg"), b"not a picture").unwrap();
        fs::create_dir(folder.path().join("folder.png")).unwrap();
        fs::write(folder.path().join("folder.png").join("inside.png"), picture()).unwrap();
        nothing_but(&watch, folder.path(), "real.png");
    }
}

#[test]
fn a_picture_of_a_kind_that_is_not_read_is_told_of() {
    let folder = tempfile::tempdir().unwrap();
    let watch = Watch::start(folder.path(), QUICK, || {}).unwrap();
    fs::write(folder.path().join("IMG_7.HEIC"), b"\0\0\0\x18ftypheic\0\0\0\0mif1heic").unwrap();
    let words = "'IMG_7.HEIC' is a HEIC picture, which cannot be read here (set the phone to take JPEG, or save it as JPEG first)";
    assert_eq!(next(&watch), Notice::NotReadHere(words.to_owned()));
}

#[test]
fn of_several_the_newest_comes_last() {
    let folder = tempfile::tempdir().unwrap();
    let outside = tempfile::tempdir().unwrap();
    let watch = Watch::start(folder.path(), WatchOptions { watching: Watching::ByLooking, ..QUICK }, || {}).unwrap();
    let staged = outside.path().join("staged");
    fs::create_dir(&staged).unwrap();
    // Named against their order in time.
    for (name, age_secs) in [("a.png", 10), ("b.png", 30), ("c.png", 20)] {
        let path = staged.join(name);
        fs::write(&path, picture()).unwrap();
        let file = fs::File::options().write(true).open(&path).unwrap();
        file.set_modified(SystemTime::UNIX_EPOCH + Duration::from_secs(1_000_000 - age_secs)).unwrap();
    }
    // The folder is exchanged for the full one, so that all three arrive in one look.
    let was = outside.path().join("was");
    fs::rename(folder.path(), &was).unwrap();
    fs::rename(&staged, folder.path()).unwrap();
    let mut pictures = Vec::new();
    while pictures.len() < 3 {
        // Whether the looker saw the folder missing for that moment is not fixed.
        if let Notice::Picture(path) = next(&watch) {
            pictures.push(path.file_name().unwrap().to_string_lossy().into_owned());
        }
    }
    assert_eq!(pictures, ["b.png", "c.png", "a.png"]);
}

#[test]
fn a_picture_taken_again_under_the_same_name_is_offered_again() {
    for options in BOTH {
        let folder = tempfile::tempdir().unwrap();
        let watch = Watch::start(folder.path(), options, || {}).unwrap();
        nothing_but(&watch, folder.path(), "mark.png");
        let mut other = picture();
        other.extend_from_slice(b"more");
        fs::write(folder.path().join("mark.png"), other).unwrap();
        assert_eq!(next(&watch), Notice::Picture(folder.path().join("mark.png")));
    }
}

#[test]
fn the_folder_may_go_and_come_back() {
    for options in BOTH {
        let above = tempfile::tempdir().unwrap();
        let folder = above.path().join("card");
        fs::create_dir(&folder).unwrap();
        fs::write(folder.join("before.png"), picture()).unwrap();
        let watch = Watch::start(&folder, options, || {}).unwrap();
        fs::rename(&folder, above.path().join("pulled out")).unwrap();
        assert!(matches!(next(&watch), Notice::Gone(_)));
        fs::rename(above.path().join("pulled out"), &folder).unwrap();
        assert_eq!(next(&watch), Notice::Back);
        nothing_but(&watch, &folder, "after.png");
    }
}

#[test]
fn a_folder_that_cannot_be_watched_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("mark.png");
    fs::write(&file, picture()).unwrap();
    assert_eq!(
        Watch::start(&file, QUICK, || {}).unwrap_err().to_string(),
        "'mark.png' is not a folder (choose the folder where the phone or camera puts its pictures)"
    );
    let words = Watch::start(&folder.path().join("nowhere"), QUICK, || {}).unwrap_err().to_string();
    assert!(words.starts_with("the folder 'nowhere' could not be read: "), "{words}");
}

#[test]
fn dropping_it_ends_its_thread() {
    let folder = tempfile::tempdir().unwrap();
    let held = Arc::new(());
    let in_thread = held.clone();
    let watch = Watch::start(folder.path(), QUICK, move || {
        assert!(Arc::strong_count(&in_thread) >= 1);
    })
    .unwrap();
    assert_eq!(Arc::strong_count(&held), 2);
    drop(watch);
    assert_eq!(Arc::strong_count(&held), 1, "the thread still holds what it was given");
}
