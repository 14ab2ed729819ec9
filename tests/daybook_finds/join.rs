//! Taking another person's daybook in.

use super::backup::photograph;
use super::{at, book, find};
use footring::daybook::backup::BackupError;
use footring::daybook::join::{Choice, Difference, InEarnest, Joined, Side};
use footring::daybook::{Daybook, Find, FindId, Page, Status};
use footring::photo::{Progress, Store};
use proptest::prelude::*;
use std::fs;
use std::path::Path;

fn join(ours: &mut Daybook, theirs: &Path, choice: &Choice) -> Joined {
    ours.join(theirs, choice, &at(50), InEarnest::Yes, &Progress::new()).unwrap()
}

fn all(side: Side) -> Choice {
    Choice { all: Some(side), ..Choice::default() }
}

/// A copy of a daybook's folder, opened.
fn copied(folder: &Path) -> (tempfile::TempDir, Daybook) {
    let copy = tempfile::tempdir().unwrap();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_file() {
            fs::copy(&path, copy.path().join(path.file_name().unwrap())).unwrap();
        }
    }
    let daybook = Daybook::open(copy.path()).unwrap();
    (copy, daybook)
}

fn change(daybook: &mut Daybook, id: FindId, minute: u32, change: impl FnOnce(&mut Find)) -> Find {
    let mut find = daybook.find(id).unwrap().unwrap();
    change(&mut find);
    find.revision = daybook.change(&find, &at(minute)).unwrap();
    find
}

/// What a daybook says of every find, how often each was written aside.
fn says(daybook: &Daybook) -> Vec<Find> {
    let page = Page { most: 1000, ..Page::default() };
    let mut all: Vec<Find> = daybook.newest_first(&page).unwrap().into_iter().map(|find| Find { revision: 0, ..find.unwrap() }).collect();
    all.sort_by_key(|find| find.id);
    all
}

#[test]
fn finds_come_together_by_their_ids_and_photographs_by_their_bytes() {
    let (our_folder, mut ours, common) = book(4);
    let (their_folder, mut theirs) = copied(our_folder.path());
    let shared = photograph(our_folder.path(), b"the same picture");
    photograph(their_folder.path(), b"the same picture");
    change(&mut ours, common[0].id, 20, |find| find.photographs = vec![shared.clone()]);
    let new = Find { photographs: vec![shared, photograph(their_folder.path(), b"theirs alone")], ..find(9) };
    theirs.put(&new, &at(21)).unwrap();
    change(&mut theirs, common[1].id, 22, |find| find.note = "they went on".to_owned());
    theirs.remove(common[2].id, &at(23)).unwrap();
    let before = fs::read(their_folder.path().join("finds.db")).unwrap();

    let told = ours.join(their_folder.path(), &Choice::default(), &at(50), InEarnest::No, &Progress::new()).unwrap();
    assert_eq!((told.new.len(), ours.count(&Page::default()).unwrap()), (1, 4), "only told");
    let joined = join(&mut ours, their_folder.path(), &Choice::default());
    assert_eq!((joined.new.as_slice(), joined.known, joined.photographs), (&[new.id][..], 2, 1));
    assert_eq!(joined.gone_on, [common[1].id, common[2].id]);
    assert_eq!((joined.conflicts.as_slice(), joined.lost.as_slice()), (&[][..], &[][..]));
    assert_eq!(ours.find(new.id).unwrap().unwrap(), Find { revision: 1, ..new.clone() });
    assert_eq!(ours.find(common[1].id).unwrap().unwrap().note, "they went on");
    assert_eq!(ours.count(&Page::default()).unwrap(), 4, "what they took out is out, and can be put back");
    ours.restore(common[2].id, &at(51)).unwrap();
    assert_eq!(Store::at(our_folder.path()).verify(&ours.photographs_kept().unwrap(), &Progress::new()).unwrap(), []);
    assert_eq!(fs::read(their_folder.path().join("finds.db")).unwrap(), before, "theirs was not touched");
    let again = join(&mut ours, their_folder.path(), &Choice::default());
    assert_eq!((again.new.len(), again.gone_on.len(), again.photographs, again.known), (0, 0, 0, 5));
}

#[test]
fn what_both_changed_is_told_field_by_field_and_taken_as_chosen() {
    let (our_folder, mut ours, common) = book(2);
    let (their_folder, mut theirs) = copied(our_folder.path());
    let id = common[0].id;
    change(&mut ours, id, 20, |find| {
        find.note = "ours".to_owned();
        find.record.status = Status::Keep;
    });
    change(&mut theirs, id, 21, |find| {
        find.note = "theirs".to_owned();
        find.record.place_found.clear();
    });
    let undecided = join(&mut ours, their_folder.path(), &Choice::default());
    let text = |text: &str| Some(text.to_owned());
    assert_eq!(
        undecided.conflicts[0].differences,
        [
            Difference { field: "note".to_owned(), ours: text("ours"), theirs: text("theirs") },
            Difference { field: "record.place_found".to_owned(), ours: text("Marrowby fair"), theirs: None },
            Difference { field: "record.status".to_owned(), ours: text("Keep"), theirs: None },
        ]
    );
    assert_eq!((undecided.undecided().count(), ours.find(id).unwrap().unwrap().note.as_str()), (1, "ours"));
    let joined = join(&mut ours, their_folder.path(), &all(Side::Ours));
    assert_eq!(joined.conflicts[0].taken, Some(Side::Ours));
    assert_eq!(ours.find(id).unwrap().unwrap().note, "ours");
    let notes: Vec<String> = ours.history(id).unwrap().into_iter().map(|change| change.find.note).collect();
    assert_eq!(notes, ["", "ours", "theirs", "ours"], "their version is in the history");
    let again = join(&mut ours, their_folder.path(), &all(Side::Theirs));
    assert_eq!((again.conflicts.len(), again.known), (0, 2), "it was decided");
    // One find by itself.
    let (_third_folder, mut third) = copied(our_folder.path());
    change(&mut third, id, 22, |find| find.note = "third".to_owned());
    let each = Choice { each: [(id, Side::Ours)].into(), all: Some(Side::Theirs) };
    assert_eq!(join(&mut third, their_folder.path(), &each).known, 2, "theirs was known to the copy by then");
}

#[test]
fn a_backup_is_taken_in_like_a_folder_and_a_stranger_is_refused() {
    let (_our_folder, mut ours, _) = book(2);
    let (_their_folder, theirs, _) = book(3);
    let room = tempfile::tempdir().unwrap();
    let file = room.path().join("theirs.zip");
    theirs.back_up(&file, &Progress::new()).unwrap();
    assert_eq!(join(&mut ours, &file, &Choice::default()).new.len(), 3);
    assert_eq!(ours.count(&Page::default()).unwrap(), 5);
    let refused = ours.join(room.path(), &Choice::default(), &at(50), InEarnest::Yes, &Progress::new()).unwrap_err();
    assert!(refused.to_string().starts_with("it could not be done: there is no daybook, 'finds.db', in it"), "{refused}");
    fs::write(room.path().join("finds.db"), "shopping list").unwrap();
    let refused = ours.join(room.path(), &Choice::default(), &at(50), InEarnest::Yes, &Progress::new()).unwrap_err();
    assert!(matches!(refused, BackupError::Daybook(_)), "{refused}");
}

/// What one person does: which find, and what of it.
fn doings() -> impl Strategy<Value = Vec<(usize, u8)>> {
    proptest::collection::vec((0_usize..4, 0_u8..5), 0..4)
}

fn live(daybook: &mut Daybook, ids: &[FindId], doings: &[(usize, u8)], from: u32, word: &str) {
    for (minute, (which, what)) in (from..).zip(doings) {
        let id = ids[*which];
        match what {
            0 => {
                daybook.remove(id, &at(minute)).unwrap();
            }
            1 => {
                daybook.restore(id, &at(minute)).unwrap();
            }
            2 => {
                change(daybook, id, minute, |find| find.note = format!("{word} {minute}"));
            }
            // Both may come to say the same.
            3 => {
                change(daybook, id, minute, |find| "a chip".clone_into(&mut find.note));
            }
            _ => {
                daybook.put(&find(minute), &at(minute)).unwrap();
            }
        }
    }
}

/// Whoever takes the other in, with the same choice both then say the same; a second time changes nothing; no version is lost.
fn comes_together(mine: &[(usize, u8)], yours: &[(usize, u8)], side: Side) -> Result<(), TestCaseError> {
    let (a_folder, mut a, common) = book(4);
    let (b_folder, mut b) = copied(a_folder.path());
    let ids: Vec<FindId> = common.iter().map(|find| find.id).collect();
    live(&mut a, &ids, mine, 20, "a");
    live(&mut b, &ids, yours, 30, "b");
    let (a_copy, a_before) = copied(a_folder.path());
    let (b_copy, b_before) = copied(b_folder.path());
    let other = if side == Side::Ours { Side::Theirs } else { Side::Ours };
    join(&mut a, b_copy.path(), &all(side));
    join(&mut b, a_copy.path(), &all(other));
    prop_assert_eq!(says(&a), says(&b));
    let said = says(&a);
    let again = join(&mut a, b_copy.path(), &all(Side::Theirs));
    prop_assert_eq!((again.new.len(), again.gone_on.len(), again.conflicts.len()), (0, 0, 0));
    prop_assert_eq!(says(&a), said);
    for (before, after) in [(&a_before, &a), (&b_before, &a), (&a_before, &b), (&b_before, &b)] {
        for find in says(before) {
            let known = after.history(find.id).unwrap().into_iter().any(|change| Find { revision: 0, ..change.find } == find);
            prop_assert!(known, "a version is lost");
        }
    }
    Ok(())
}

#[test]
fn a_find_that_was_out_when_it_was_changed_stays_out_and_one_that_came_back_stays_in() {
    for side in [Side::Ours, Side::Theirs] {
        for (mine, yours) in [(vec![(3, 0), (3, 2)], vec![]), (vec![(1, 0)], vec![(1, 2)]), (vec![(1, 0), (1, 1)], vec![(1, 0), (1, 3)])] {
            comes_together(&mine, &yours, side).unwrap();
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn joining_is_commutative_up_to_choice_and_idempotent(mine in doings(), yours in doings(), side in any::<bool>()) {
        comes_together(&mine, &yours, if side { Side::Ours } else { Side::Theirs })?;
    }
}

#[test]
fn a_copy_from_before_joining_is_gone_back_to_and_forth() {
    let (our_folder, mut ours, common) = book(4);
    let (their_folder, mut theirs) = copied(our_folder.path());
    let new = find(9);
    theirs.put(&new, &at(21)).unwrap();
    change(&mut theirs, common[1].id, 22, |find| find.note = "they went on".to_owned());
    let before = says(&ours);
    let copy = ours.keep_copy("joining", &at(49)).unwrap();
    join(&mut ours, their_folder.path(), &all(Side::Theirs));
    let after = says(&ours);
    assert_ne!(after, before);
    // Another window on the same daybook sees what is put in place.
    let other_window = Daybook::open(our_folder.path()).unwrap();
    let kept = ours.go_back_to(&copy, &at(51)).unwrap();
    assert_eq!(says(&ours), before);
    assert_eq!(says(&other_window), before);
    let names: Vec<String> = ours.copies().into_iter().map(|copy| copy.of).collect();
    assert_eq!(names, ["going back 2026 03 02 095100", "joining 2026 03 02 094900"], "newest first");
    ours.go_back_to(&kept, &at(52)).unwrap();
    assert_eq!(says(&ours), after);
    // It can be written to as before, and is sound when it is opened again.
    ours.put(&find(11), &at(53)).unwrap();
    assert_eq!(says(&Daybook::open(our_folder.path()).unwrap()).len(), after.len() + 1);
    // What is no copy changes nothing.
    let stranger = our_folder.path().join("notes.txt");
    fs::write(&stranger, "no daybook").unwrap();
    assert!(ours.go_back_to(&stranger, &at(54)).unwrap_err().to_string().starts_with("this file is not a daybook"));
    assert_eq!(says(&ours).len(), after.len() + 1);
}
