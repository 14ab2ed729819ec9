//! The daybook as a whole: putting, changing, taking out, finding again, and every way the file can be wrong.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

use footring::daybook::{
    BoxCount, ChangeKind, Daybook, DaybookError, Find, FindId, KeyName, Named, Page, PhotoKind, Photograph, Record, SCHEMA, Standing,
};
use footring::identify::by_shape::{LidOn, Scaling};
use footring::identify::{Beside, Measured, Observation, Piece, Seen, ShapeMeasured, Sure};
use footring::key::{FormId, Part};
use footring::marks::dates::Said;
use footring::photo::{Crop, Edit, Format, PhotoHash};
use jiff::ZonedDateTime;
use proptest::prelude::*;
use rusqlite::Connection;
use std::fs;
use std::path::Path;
use std::sync::{Arc, Barrier};
use std::thread;

fn at(minute: u32) -> ZonedDateTime {
    format!("2026-03-02T{:02}:{:02}:00+00:00[+00:00]", 9 + minute / 60, minute % 60).parse().unwrap()
}

fn find(minute: u32) -> Find {
    Find {
        id: FindId::new(),
        revision: 0,
        found_at: at(minute),
        key: KeyName { title: "Marrowby house key".to_owned(), folder: "marrowby".to_owned() },
        named: Some(Named {
            form: FormId::from("one-person-casserole"),
            form_name: "one-person casserole".to_owned(),
            line_name: "Quoin".to_owned(),
        }),
        verdict: "One-person casserole, Quoin: the lid is oval".to_owned(),
        probability: Some(0.94),
        standing: Standing::Settled,
        piece: Piece {
            observations: vec![
                Observation { feature: "lid-outline".into(), seen: Seen::Values(vec!["oval".into()]), sure: Sure::Sure },
                Observation {
                    feature: "height".into(),
                    seen: Seen::Measured(Measured { value: 71.3, plus_minus: 2.0 }),
                    sure: Sure::Probably,
                },
                Observation { feature: "mark".into(), seen: Seen::Wording("MARROW… OV?N PROOF".to_owned()), sure: Sure::Sure },
            ],
            missing: [Part::Finial].into(),
            condition: footring::identify::Condition::default(),
            beside: Beside {
                shape: Some(ShapeMeasured {
                    profile_mm: vec![(31.0, 0.0), (44.123_456_789, 36.5), (47.25, 71.3)],
                    sd_mm: 0.7,
                    lid: LidOn::Off,
                    scaling: Scaling::TrueSize,
                }),
                dates: vec![Said::Words("oven proof".to_owned()), Said::Sold("1957-04-07".to_owned())],
            },
        },
        box_label: "Box 14".to_owned(),
        note: "from the chapel kitchen".to_owned(),
        photographs: vec![
            Photograph {
                hash: PhotoHash::of(b"mark"),
                format: Format::Jpeg,
                kind: PhotoKind::Mark,
                edit: Edit { quarter_turns: 3, crop: Some(Crop { left: 10, top: 20, width: 300, height: 200 }) },
                name: "IMG_0001.JPG".to_owned(),
                caption: "the mark, wet".to_owned(),
            },
            Photograph {
                hash: PhotoHash::of(b"chip"),
                format: Format::Png,
                kind: PhotoKind::Damage,
                edit: Edit::default(),
                name: "chip.png".to_owned(),
                caption: String::new(),
            },
        ],
        record: Record::default(),
    }
}

fn search(words: &str) -> Page {
    Page { search: words.to_owned(), most: 1000, ..Page::default() }
}

fn listed(daybook: &Daybook, page: &Page) -> Vec<Find> {
    daybook.newest_first(page).unwrap().into_iter().map(Result::unwrap).collect()
}

#[test]
fn a_find_is_put_reopened_changed_taken_out_and_put_back() {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("not").join("there yet");
    let mut first = find(0);
    {
        let mut daybook = Daybook::open(&place).unwrap();
        assert_eq!(daybook.count(&Page::default()).unwrap(), 0);
        assert_eq!(listed(&daybook, &search("")), []);
        first.revision = daybook.put(&first, &at(1)).unwrap();
        assert_eq!(first.revision, 1);
    }
    let mut daybook = Daybook::open(&place).unwrap();
    assert_eq!(daybook.find(first.id).unwrap().as_ref(), Some(&first), "all of it comes back");
    assert_eq!(listed(&daybook, &search("")), std::slice::from_ref(&first));

    let mut changed =
        Find { note: "lid chipped".to_owned(), named: None, probability: None, standing: Standing::NotInKey, ..first.clone() };
    changed.photographs.remove(0);
    changed.revision = daybook.change(&changed, &at(2)).unwrap();
    assert_eq!(daybook.find(first.id).unwrap().as_ref(), Some(&changed));

    let removed = daybook.remove(first.id, &at(3)).unwrap();
    assert_eq!(daybook.remove(first.id, &at(3)).unwrap(), removed, "out already");
    assert_eq!((listed(&daybook, &search("")), daybook.count(&search("")).unwrap(), daybook.boxes().unwrap()), (vec![], 0, vec![]));
    let restored = daybook.restore(first.id, &at(4)).unwrap();
    assert_eq!(daybook.restore(first.id, &at(5)).unwrap(), restored, "back already");
    assert_eq!(restored, 4);
    let again = Find { revision: restored, ..changed.clone() };
    assert_eq!(listed(&daybook, &search("")), std::slice::from_ref(&again));

    let history = daybook.history(first.id).unwrap();
    let told: Vec<_> = history.iter().map(|change| (change.revision, change.what, change.at.clone())).collect();
    assert_eq!(
        told,
        [(1, ChangeKind::Put, at(1)), (2, ChangeKind::Changed, at(2)), (3, ChangeKind::Removed, at(3)), (4, ChangeKind::Restored, at(4))]
    );
    assert_eq!((&history[0].find, &history[1].find, &history[3].find), (&first, &changed, &again));
    // The photograph that a change dropped is still one to keep: the change can be undone.
    let mut kept = [(PhotoHash::of(b"mark"), Format::Jpeg), (PhotoHash::of(b"chip"), Format::Png)];
    kept.sort();
    assert_eq!(daybook.photographs_kept().unwrap(), kept);
}

#[test]
fn a_change_on_an_old_revision_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let (mut here, mut there) = (Daybook::open(folder.path()).unwrap(), Daybook::open(folder.path()).unwrap());
    let mut one = find(0);
    one.revision = here.put(&one, &at(0)).unwrap();
    let mine = Find { note: "mine".to_owned(), ..one.clone() };
    let theirs = Find { note: "theirs".to_owned(), ..one.clone() };
    there.change(&theirs, &at(1)).unwrap();
    let refused = here.change(&mine, &at(2)).unwrap_err();
    assert_eq!(refused.to_string(), "this find was changed elsewhere meanwhile (open it again, then make the change anew)");
    assert_eq!(here.find(one.id).unwrap().unwrap().note, "theirs");
    assert_eq!(here.put(&one, &at(3)).unwrap_err().to_string(), "this find is in the daybook already");
    let stranger = FindId::new();
    assert_eq!(here.remove(stranger, &at(3)).unwrap_err().to_string(), format!("there is no find '{stranger}' in the daybook"));
}

#[test]
fn values_that_cannot_be_are_refused_in_words() {
    let folder = tempfile::tempdir().unwrap();
    let mut daybook = Daybook::open(folder.path()).unwrap();
    let odd = Find { probability: Some(f64::NAN), ..find(0) };
    assert_eq!(
        daybook.put(&odd, &at(0)).unwrap_err().to_string(),
        "the find cannot be written: its probability is 'NaN' (expected 0 to 1)"
    );
    let mut odd = find(0);
    odd.piece.observations[1].seen = Seen::Measured(Measured { value: f64::INFINITY, plus_minus: 1.0 });
    assert_eq!(
        daybook.put(&odd, &at(0)).unwrap_err().to_string(),
        "the find cannot be written: a measurement is 'inf' (expected a number)"
    );
    assert_eq!(daybook.count(&Page::default()).unwrap(), 0);
}

#[test]
fn finds_come_newest_first_by_words_box_and_page() {
    let folder = tempfile::tempdir().unwrap();
    let mut daybook = Daybook::open(folder.path()).unwrap();
    let boxes = ["Box 9", "Box 14", "Box 14", "", "Box 100"];
    for (minute, label) in (0_u32..).zip(boxes) {
        let note = if minute == 2 { "CRÈME glaze, 50% worn" } else { "plain" };
        daybook.put(&Find { box_label: label.to_owned(), note: note.to_owned(), ..find(minute) }, &at(minute)).unwrap();
    }
    let minutes = |page: &Page| listed(&daybook, page).iter().map(|f| f.found_at.minute()).collect::<Vec<_>>();
    assert_eq!(minutes(&search("")), [4, 3, 2, 1, 0]);
    assert_eq!(minutes(&search("creme QUOIN")), [2], "words in any order, accents and capitals aside");
    assert_eq!(minutes(&search("50%")), [2]);
    assert_eq!(minutes(&search("5_%")), [] as [i8; 0], "signs stand for themselves");
    assert_eq!(minutes(&search("'; DROP TABLE finds; --")), [] as [i8; 0]);
    assert_eq!(minutes(&Page { box_label: Some("Box 14".to_owned()), ..search("plain") }), [1]);
    assert_eq!(minutes(&Page { skip: 1, most: 2, ..Page::default() }), [3, 2]);
    assert_eq!(minutes(&Page { skip: 9, ..search("") }), [] as [i8; 0]);
    assert_eq!(daybook.count(&Page { box_label: Some("Box 14".to_owned()), ..Page::default() }).unwrap(), 2);
    let count = |label: &str, finds| BoxCount { label: label.to_owned(), finds, pieces: finds };
    assert_eq!(daybook.boxes().unwrap(), [count("", 1), count("Box 9", 1), count("Box 14", 2), count("Box 100", 1)]);
}

#[test]
fn the_zone_of_the_table_is_kept() {
    let folder = tempfile::tempdir().unwrap();
    let mut daybook = Daybook::open(folder.path()).unwrap();
    let east: ZonedDateTime = "2026-03-02T10:00:00+05:45[+05:45]".parse().unwrap();
    let one = Find { found_at: east.clone(), ..find(0) };
    daybook.put(&one, &at(0)).unwrap();
    daybook.put(&find(0), &at(0)).unwrap();
    let times: Vec<_> = listed(&daybook, &search("")).into_iter().map(|f| f.found_at).collect();
    assert_eq!(times, [at(0), east.clone()], "09:00 UTC is later than 10:00 at +05:45");
    assert_eq!(times[1].to_string(), "2026-03-02T10:00:00+05:45[+05:45]");
}

#[test]
fn five_thousand_finds_are_all_found() {
    let folder = tempfile::tempdir().unwrap();
    let mut daybook = Daybook::open(folder.path()).unwrap();
    let made = |n: u32| format!("0190{n:04x}-0000-7000-8000-000000000000");
    let all: Vec<Find> = (0..5000)
        .map(|n| Find {
            id: made(n).parse().unwrap(),
            found_at: at(0).checked_add(jiff::SignedDuration::from_millis(i64::from(n))).unwrap(),
            box_label: format!("Box {}", n % 40),
            note: format!("number{n}"),
            photographs: Vec::new(),
            ..find(0)
        })
        .collect();
    daybook.put_many(&all, &at(0)).unwrap();
    drop(daybook);
    let daybook = Daybook::open(folder.path()).unwrap();
    assert_eq!(daybook.count(&Page::default()).unwrap(), 5000);
    let newest = listed(&daybook, &Page { most: 50, ..Page::default() });
    assert_eq!(newest.len(), 50);
    assert_eq!(newest.iter().map(|f| f.id.to_string()).collect::<Vec<_>>(), (4950..5000).rev().map(made).collect::<Vec<_>>());
    let last = listed(&daybook, &Page { skip: 4999, most: 50, ..Page::default() });
    assert_eq!((last.len(), last[0].revision), (1, 1));
    assert_eq!(listed(&daybook, &search("number4242")).len(), 1);
    assert_eq!(daybook.boxes().unwrap().len(), 40);
}

/// Everything in a folder, names and bytes.
fn contents(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| {
            let path = entry.unwrap().path();
            (path.file_name().unwrap().to_string_lossy().into_owned(), fs::read(&path).unwrap())
        })
        .collect();
    files.sort();
    files
}

/// Checks that a daybook folder is refused with these words and left as it is.
fn refused(folder: &Path, expected_first_line: &str) {
    let before = contents(folder);
    let error = Daybook::open(folder).unwrap_err().to_string();
    assert_eq!(error.lines().next(), Some(expected_first_line));
    assert_eq!(error.lines().nth(1), Some(folder.join("finds.db").display().to_string().as_str()), "the path stands on its own line");
    assert!(contents(folder) == before, "the folder was touched");
}

#[test]
fn what_is_no_daybook_is_refused_and_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("finds.db");
    fs::write(&file, "").unwrap();
    refused(folder.path(), "this file is not a daybook: it is empty (move it away, or choose another folder)");
    fs::write(&file, "shopping list").unwrap();
    refused(folder.path(), "this file is not a daybook: its content is no SQLite database (move it away, or choose another folder)");
    fs::write(&file, "SQLite format 3\0 and then no more").unwrap();
    refused(
        folder.path(),
        "the daybook's file is damaged: its head is cut short (bring back a copy of its folder; this one was left as it is)",
    );
    fs::remove_file(&file).unwrap();
    Connection::open(&file).unwrap().execute_batch("CREATE TABLE recipes (name TEXT); PRAGMA user_version = 3;").unwrap();
    refused(folder.path(), "this file is not a daybook: it is the database of another program (move it away, or choose another folder)");
}

#[test]
fn a_newer_daybook_is_refused_and_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    drop(Daybook::open(folder.path()).unwrap());
    let newer = SCHEMA + 1;
    Connection::open(folder.path().join("finds.db")).unwrap().pragma_update(None, "user_version", newer).unwrap();
    refused(
        folder.path(),
        &format!(
            "the daybook was written by a newer version of this program: it has form {newer}, this program knows up to {SCHEMA} (install the newer version)"
        ),
    );
}

#[test]
fn a_damaged_daybook_is_refused_and_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("finds.db");
    let mut daybook = Daybook::open(folder.path()).unwrap();
    for minute in 0..40 {
        daybook.put(&find(minute), &at(minute)).unwrap();
    }
    drop(daybook);
    let sound = fs::read(&file).unwrap();
    // Every page but the first two is overwritten, as a bad disk does.
    let mut harmed = sound.clone();
    for byte in &mut harmed[8192..] {
        *byte = 0x5a;
    }
    fs::write(&file, &harmed).unwrap();
    let before = contents(folder.path());
    let error = Daybook::open(folder.path()).unwrap_err();
    assert!(matches!(error, DaybookError::Damaged { .. }), "{error}");
    assert!(contents(folder.path()) == before, "the damaged daybook was touched");
    // Cut short, as an interrupted copy is.
    fs::write(&file, &sound[..sound.len() / 2]).unwrap();
    let before = contents(folder.path());
    let error = Daybook::open(folder.path()).unwrap_err();
    assert!(matches!(error, DaybookError::Damaged { .. }), "{error}");
    assert!(contents(folder.path()) == before, "the cut daybook was touched");
    fs::write(&file, &sound).unwrap();
    assert_eq!(Daybook::open(folder.path()).unwrap().count(&Page::default()).unwrap(), 40);
}

/// A daybook too large to be looked through while someone waits to see it: twelve megabytes.
fn large_daybook(folder: &Path) {
    let mut daybook = Daybook::open(folder).unwrap();
    for minute in 0..3 {
        let mut large = find(minute);
        // Not among the words that are searched.
        large.piece.see(Observation { feature: "mark".into(), seen: Seen::Wording("OVEN ".repeat(400_000)), sure: Sure::Sure });
        daybook.put(&large, &at(minute)).unwrap();
    }
}

#[test]
fn a_large_daybook_is_looked_through_before_anything_is_written_and_not_before_it_is_seen() {
    let folder = tempfile::tempdir().unwrap();
    large_daybook(folder.path());
    let mut daybook = Daybook::open(folder.path()).unwrap();
    assert!(!daybook.soundness().is_known());
    assert_eq!(daybook.count(&Page::default()).unwrap(), 3);
    // Beside it, as the window does, or at the first change.
    let beside = daybook.soundness();
    thread::spawn(move || beside.check().unwrap()).join().unwrap();
    assert!(daybook.soundness().is_known());
    daybook.put(&find(9), &at(9)).unwrap();
    drop(daybook);
    let mut daybook = Daybook::open(folder.path()).unwrap();
    daybook.put(&find(10), &at(10)).unwrap();
    assert!(daybook.soundness().is_known());
    drop(daybook);
    assert!(!folder.path().join("finds.db-wal").exists(), "what was written is in the file itself");

    let file = folder.path().join("finds.db");
    let mut harmed = fs::read(&file).unwrap();
    let middle = harmed.len() / 2 / 4096 * 4096;
    harmed[middle..middle + 40_960].fill(0x5a);
    fs::write(&file, &harmed).unwrap();
    let mut daybook = Daybook::open(folder.path()).unwrap();
    let error = daybook.put(&find(11), &at(11)).unwrap_err();
    assert!(matches!(error, DaybookError::Damaged { .. }), "{error}");
    let says = daybook.soundness().check().unwrap_err().to_string();
    assert!(says.starts_with("the daybook's file is damaged: ") && says == error.to_string(), "{says}");
    assert!(matches!(daybook.change(&find(1), &at(12)), Err(DaybookError::Damaged { .. })));
    drop(daybook);
    assert!(fs::read(&file).unwrap() == harmed, "the damaged daybook was touched");
    // Cut short, as an interrupted copy is.
    fs::write(&file, &harmed[..harmed.len() - 2_000_000]).unwrap();
    let refused = Daybook::open(folder.path()).and_then(|mut daybook| daybook.put(&find(12), &at(12)));
    assert!(matches!(refused, Err(DaybookError::Damaged { .. })), "{refused:?}");
}

#[test]
fn a_log_without_its_daybook_is_not_taken_into_a_new_one() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("finds.db-wal"), b"finds of last week").unwrap();
    refused(
        folder.path(),
        "the daybook's file is gone but its log is still there, with changes in it (bring the file back, or move the log away)",
    );
}

#[test]
fn a_folder_that_cannot_be_is_said_so() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("taken");
    fs::write(&file, "").unwrap();
    for place in [file.clone(), file.join("below")] {
        let error = Daybook::open(&place).unwrap_err();
        assert!(matches!(error, DaybookError::Folder { .. }), "{error:?}");
        let words = error.to_string();
        assert!(words.starts_with("the daybook's folder cannot be used: "), "{words}");
    }
}

#[test]
fn one_unreadable_find_hides_no_other() {
    let folder = tempfile::tempdir().unwrap();
    let mut daybook = Daybook::open(folder.path()).unwrap();
    let ids: Vec<FindId> = (0..3)
        .map(|minute| {
            let one = find(minute);
            daybook.put(&one, &at(minute)).unwrap();
            one.id
        })
        .collect();
    let raw = Connection::open(folder.path().join("finds.db")).unwrap();
    raw.execute("UPDATE finds SET piece = '{\"observations\": 7}' WHERE id = ?1", [ids[1].to_string()]).unwrap();
    let list = daybook.newest_first(&search("")).unwrap();
    assert_eq!(list.len(), 3);
    let words = list[1].as_ref().unwrap_err().to_string();
    assert!(words.starts_with(&format!("the find '{}' cannot be read: its observations: ", ids[1])), "{words}");
    assert_eq!([&list[0], &list[2]].map(|one| one.as_ref().unwrap().id), [ids[2], ids[0]]);
}

#[test]
fn many_writers_at_once_lose_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let place = Arc::new(folder.path().join("book"));
    let start = Arc::new(Barrier::new(6));
    let threads: Vec<_> = (0..6)
        .map(|writer| {
            let (place, start) = (place.clone(), start.clone());
            thread::spawn(move || {
                // All six also race to make the daybook.
                start.wait();
                let mut daybook = Daybook::open(&place).unwrap();
                (0..10)
                    .map(|n| {
                        let one = Find { box_label: format!("writer {writer}"), ..find(n) };
                        daybook.put(&one, &at(n)).unwrap();
                        one.id
                    })
                    .collect::<Vec<_>>()
            })
        })
        .collect();
    let mut put: Vec<FindId> = threads.into_iter().flat_map(|thread| thread.join().unwrap()).collect();
    put.sort();
    let daybook = Daybook::open(&place).unwrap();
    let mut there: Vec<FindId> = listed(&daybook, &search("")).into_iter().map(|f| f.id).collect();
    there.sort();
    assert_eq!(there, put);
    assert_eq!(daybook.boxes().unwrap().len(), 6);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    /// Any text and any piece come back as they went in.
    #[test]
    fn any_find_comes_back(
        verdict in any::<String>(), label in any::<String>(), note in any::<String>(), wording in any::<String>(),
        value in any::<f64>().prop_filter("finite", |v| v.is_finite()), probability in proptest::option::of(0.0..=1.0),
        turns in 0u8..4, left in any::<u32>(), known in any::<bool>(),
    ) {
        // Texts of SQLite end at a NUL for its own functions; people cannot type one.
        let clean = |text: String| text.replace('\0', "");
        let mut one = find(0);
        one.verdict = clean(verdict);
        one.box_label = clean(label);
        one.note = clean(note);
        one.probability = probability;
        one.piece.observations[1].seen = Seen::Measured(Measured { value, plus_minus: 0.5 });
        one.piece.observations[2].seen = Seen::Wording(clean(wording));
        one.photographs[0].edit = Edit { quarter_turns: turns, crop: Some(Crop { left, top: 0, width: 1, height: u32::MAX }) };
        if !known { one.named = None; }
        let folder = tempfile::tempdir().unwrap();
        let mut daybook = Daybook::open(folder.path()).unwrap();
        one.revision = daybook.put(&one, &at(0)).unwrap();
        prop_assert_eq!(daybook.find(one.id).unwrap().unwrap(), one.clone());
        prop_assert_eq!(&daybook.history(one.id).unwrap()[0].find, &one);
        prop_assert_eq!(daybook.count(&search(&one.note)).unwrap(), 1, "found by its own note");
    }
}
