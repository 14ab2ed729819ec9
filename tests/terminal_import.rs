//! `footring import`, as a person sees it.
#![expect(clippy::unwrap_used, clippy::panic, reason = "tests")]

#[path = "common/ran.rs"]
mod ran;

use footring::terminal::Outcome;
use std::fs;
use std::path::Path;

fn footring(args: &[&str]) -> (Outcome, String, String) {
    let ran = ran::run(args);
    let outcome = [Outcome::Well, Outcome::Problems, Outcome::Misuse].into_iter().find(|outcome| outcome.code() == ran.code).unwrap();
    (outcome, ran.out, ran.err)
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

#[test]
fn a_new_key_from_a_table_alone_passes_its_check() {
    let dir = tempfile::tempdir().unwrap();
    let list = dir.path().join("my_list.csv");
    let key = dir.path().join("mine");
    fs::write(&list, "name,rim,height mm\nplate,flared,24\nplate,plain,26\nbowl,rolled,tall\n").unwrap();
    let args = ["import", "--new", text(&key), text(&list), "--name-column", "name"];
    let (outcome, out, err) = footring(&[&args[..], &["--dry-run"]].concat());
    assert_eq!((outcome, err.as_str()), (Outcome::Problems, ""));
    assert!(!key.exists(), "nothing is written yet");
    assert!(out.contains("would be added"), "{out}");
    let (outcome, out, err) = footring(&args);
    assert_eq!((outcome, err.as_str()), (Outcome::Problems, ""));
    assert_eq!(
        out.replace(text(&key), "mine"),
        "my_list.csv: 3 rows, 3 columns\n\
         \x20 name       name                             said to be it                  plate | bowl\n\
         \x20 rim        feature 'rim'                    3 different values in 3 cells  flared | plain | rolled\n\
         \x20 height mm  measure 'height' in millimetres  millimetres in its header      24 | 26 | tall\n\
         \n\
         left out:\n\
         \x20 my_list.csv, row 4, column C: 'tall' is not a measure (write a number with or without its unit: 92, 92-95 mm, 9 1/4 in)\n\
         \n\
         2 forms, 1 line, 2 features added to mine from 3 rows, each a piece (how often forms are found follows from it)\n"
    );
    let (outcome, out, _) = footring(&["check", text(&key)]);
    assert_eq!(
        (outcome, out.as_str()),
        (Outcome::Well, "my list: no problems in 2 forms, 1 line, 2 features, 0 glazes, 0 marks, 0 papers\n")
    );
    // Brought in again, the same list says nothing new.
    let (outcome, out, _) = footring(&["import", text(&key), text(&list)]);
    assert_eq!(outcome, Outcome::Problems);
    assert!(out.contains("\nnothing new added to "), "{out}");
    assert!(!out.contains("says otherwise"), "{out}");
}

#[test]
fn a_mapping_is_kept_and_given_back() {
    let dir = tempfile::tempdir().unwrap();
    let list = dir.path().join("list.csv");
    let (key, mapping) = (dir.path().join("mine"), dir.path().join("mapping.ron"));
    fs::write(&list, "name,rim\nplate,flared\nbowl,plain\n").unwrap();
    let (outcome, ..) = footring(&["import", "--new", text(&key), text(&list), "--write-mapping", text(&mapping), "--dry-run"]);
    assert_eq!(outcome, Outcome::Well);
    let edited = fs::read_to_string(&mapping).unwrap().replace("feature: \"rim\"", "feature: \"edge\"");
    fs::write(&mapping, edited).unwrap();
    let (outcome, ..) = footring(&["import", "--new", text(&key), text(&list), "--mapping", text(&mapping)]);
    assert_eq!(outcome, Outcome::Well);
    let features = fs::read_to_string(key.join("features.ron")).unwrap();
    assert!(features.contains("id: \"edge\""), "{features}");
    fs::write(&mapping, "(columns: {\"name\": Nmae})").unwrap();
    let (outcome, _, err) = footring(&["import", text(&key), text(&list), "--mapping", text(&mapping)]);
    assert_eq!(outcome, Outcome::Misuse);
    assert!(err.contains("is not understood at line 1, column "), "{err}");
}

#[test]
fn what_cannot_be_is_said_in_a_line() {
    let dir = tempfile::tempdir().unwrap();
    let list = dir.path().join("list.csv");
    fs::write(&list, "name,rim\nplate,flared\n").unwrap();
    let said = |args: &[&str]| {
        let (outcome, out, err) = footring(args);
        assert_eq!(out, "", "{args:?}");
        (outcome, err.replace(text(dir.path()), "DIR"))
    };
    let expect = |args: &[&str], expected: &str| assert_eq!(said(args), (Outcome::Misuse, format!("footring: {expected}\n")));
    expect(&["import", text(&list)], "a key and a table are needed (or --new and a folder, for a new key)");
    let nowhere = dir.path().join("nowhere");
    expect(
        &["import", text(&nowhere), text(&list)],
        "'DIR/nowhere' is not there (give the folder of a house key, or make one with --new DIR/nowhere)",
    );
    expect(
        &["import", "--new", text(&nowhere), text(&list), "--name-column", "nmae"],
        "there is no column 'nmae' (there are 'name', 'rim')",
    );
    let none = dir.path().join("none.csv");
    let (outcome, err) = said(&["import", "--new", text(&nowhere), text(&none)]);
    assert_eq!(outcome, Outcome::Misuse);
    assert!(err.starts_with("footring: 'DIR/none.csv' can't be read: "), "{err}");
    assert!(!nowhere.exists(), "nothing is made of a table that is not there");
}
