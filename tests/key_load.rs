//! Loading a key: all that can be used, and all that is wrong.
#![expect(clippy::unwrap_used, reason = "tests")]

use footring::key::{Loaded, Problem, Severity, load};
use std::fs;
use std::path::Path;

const ABOUT: (&str, &str) = ("key.ron", "(format: 1, title: \"Test\")");

fn write(dir: &Path, files: &[(&str, &str)]) {
    for (name, text) in files {
        fs::write(dir.join(name), text).unwrap();
    }
}

fn key(files: &[(&str, &str)]) -> Loaded {
    let dir = tempfile::tempdir().unwrap();
    write(dir.path(), files);
    load(dir.path())
}

fn said(problems: &[Problem]) -> Vec<String> {
    problems.iter().filter(|p| p.severity == Severity::Error).map(ToString::to_string).collect()
}

/// Puts a line before a sound one: the sound one is always there, and these problems are told.
fn check_line(entry: &str, expected: &[&str]) {
    let loaded = key(&[ABOUT, ("lines.ron", &format!("[\n    {entry},\n    (id: \"z\", name: \"Zed\"),\n]\n"))]);
    assert_eq!(loaded.key.lines.last().map(|l| l.name.as_str()), Some("Zed"), "{entry}");
    assert_eq!(said(&loaded.problems), expected, "{entry}");
}

#[test]
fn a_wrong_field_or_value_is_told_with_its_place_and_what_to_do() {
    check_line(
        r#"(id: "a", name: "A", made: (form: 1934))"#,
        &["a span of years has no field 'form' (did you mean 'from'?)\nlines.ron:2:33"],
    );
    check_line(r#"(id: "a", made: (from: 1934))"#, &["the field 'name' is missing (add 'name: …')\nlines.ron:2:5"]);
    check_line(r#"(id: "a", name: "A", id: "b")"#, &["'id' is written twice (take one out)\nlines.ron:2:26"]);
    check_line(
        r#"(id: "a", name: "A", also: "x")"#,
        &["\"x\" was found where a list in square brackets was expected (write [\"x\"])\nlines.ron:2:32"],
    );
    check_line(r#"(id: "a", name: "A" also: [])"#, &["a comma is missing before 'also' (add ',')\nlines.ron:2:25"]);
}

#[test]
fn every_problem_of_an_entry_is_told_at_once() {
    check_line(
        r#"(id: "a", nmae: "A", mdae: (from: 1934))"#,
        &[
            "a line has no field 'nmae' (did you mean 'name'?)\nlines.ron:2:15",
            "a line has no field 'mdae' (did you mean 'made'?)\nlines.ron:2:26",
        ],
    );
    check_line(
        r#"(id: "a", name: A, note: 12)"#,
        &[
            "'A' was found where a text in double quotes was expected (write \"A\")\nlines.ron:2:21",
            "'12' was found where a text in double quotes was expected (write \"12\")\nlines.ron:2:30",
        ],
    );
    check_line(
        r#"(id: "a", name: "A", made: (from: "1934", to: 19.5))"#,
        &[
            "\"1934\" was found where a whole number was expected (write 1934, without quotes and unit)\nlines.ron:2:39",
            "'19.5' was found where a whole number was expected\nlines.ron:2:51",
        ],
    );
    check_line(
        r#"(id: "a", name: "A", claims: [(says: "x", how: Sene), (says: 4)])"#,
        &[
            "'Sene' means nothing here (did you mean 'Seen'?)\nlines.ron:2:52",
            "'4' was found where a text in double quotes was expected (write \"4\")\nlines.ron:2:66",
        ],
    );
}

#[test]
fn shapes_and_records_say_what_they_need() {
    let form = r#"[(id: "h", name: "H", line: "q", parts: [Body],
shape: (body: [Curve(1, 2), Corner(2), Point(3, 4)], handles: [(kind: Loop, top: 3)]),
features: {"a": Always("x"), "b": Between(1), "c": Betwen(1,2)})]"#;
    let loaded = key(&[ABOUT, ("forms.ron", form)]);
    assert_eq!(
        said(&loaded.problems),
        [
            "'Corner(2)' was found where Corner with 2 values was expected (there is 1)\nforms.ron:2:29",
            "'Point' means nothing here (it can be Curve or Corner)\nforms.ron:2:40",
            "a handle has no field 'top' (did you mean 'top_mm'?)\nforms.ron:2:77",
            "'Between(1)' was found where Between with 2 values was expected (there is 1)\nforms.ron:3:35",
            "'Betwen' means nothing here (did you mean 'Between'?)\nforms.ron:3:52",
        ]
    );
    let features = r#"[(id: "h", part: Body, view: Hand, kind: Measure(unit: Mn)),
(id: "j", part: Body, view: Side, kind: Choice([(id: "x", drawing: Plan(Oval(1,2)))]), slip: "0,1")]"#;
    assert_eq!(
        said(&key(&[ABOUT, ("features.ron", features)]).problems),
        [
            "'Mn' means nothing here (did you mean 'Mm'?)\nfeatures.ron:1:56",
            "'2' was found where ')' was expected (there is one value too many; decimals are written with a point)\nfeatures.ron:2:80",
            "\"0,1\" was found where a number was expected (write 0.1, without quotes and unit)\nfeatures.ron:2:94",
        ]
    );
}

#[test]
fn a_broken_entry_leaves_the_others() {
    let text = "[\n    (id: \"a\", name: \"A\"),\n    (id: \"b\", name: \"B,\n    // of c\n    (id: \"c\", name: \"C\"),\n    (id: \"d\", made: (from: 1934, name: \"D\"),\n    (id: \"e\", name: \"E\"),\n]\n";
    let loaded = key(&[ABOUT, ("lines.ron", text)]);
    let ids: Vec<&str> = loaded.key.lines.iter().map(|l| l.id.as_str()).collect();
    assert_eq!(ids, ["a", "c", "e"]);
    assert_eq!(
        said(&loaded.problems),
        ["the text that starts here has no closing '\"' (add one)\nlines.ron:3:21", "'(' is never closed (add ')')\nlines.ron:6:5",]
    );
}

#[test]
fn a_file_that_is_no_list_is_told_and_the_rest_is_used() {
    let loaded = key(&[ABOUT, ("lines.ron", "(id: \"a\", name: \"A\")"), ("glazes.ron", "[(id: \"g\", name: \"G\", lab: (50, 0, 0))]")]);
    assert_eq!(loaded.key.glazes.len(), 1);
    assert_eq!(said(&loaded.problems), ["'(' was not expected here (expected '[' at the start of a list of entries)\nlines.ron:1:1"]);
}

#[test]
fn byte_order_marks_windows_line_ends_and_extensions_do_no_harm() {
    let text = "\u{feff}#![enable(implicit_some)]\r\n[\r\n    (id: \"a\", name: \"A\", made: (from: Some(1934))),\r\n    (id: \"b\", nam: \"B\"),\r\n]\r\n";
    let loaded = key(&[ABOUT, ("lines.ron", text)]);
    assert_eq!(loaded.key.lines.first().unwrap().made.from, Some(1934));
    assert_eq!(said(&loaded.problems), ["a line has no field 'nam' (did you mean 'name'?)\nlines.ron:4:15"]);
}

#[test]
fn text_that_is_no_utf8_is_read_as_far_as_it_goes() {
    let dir = tempfile::tempdir().unwrap();
    write(dir.path(), &[ABOUT]);
    fs::write(dir.path().join("lines.ron"), b"[\n (id: \"a\", name: \"A\"),\n (id: \"b\", name: \"caf\xe9\"),\n]").unwrap();
    let loaded = load(dir.path());
    assert_eq!(loaded.key.lines.len(), 1);
    assert_eq!(
        said(&loaded.problems),
        [
            "this is not UTF-8 text from here on (save it as UTF-8; until then it is read as far as it goes and never written)\nlines.ron:3:22"
        ]
    );
}

#[test]
fn a_folder_that_is_no_key_says_what_is_missing() {
    let dir = tempfile::tempdir().unwrap();
    let loaded = load(dir.path());
    assert_eq!(
        said(&loaded.problems),
        ["there is no 'key.ron', so this folder is no house key (choose the folder that holds it, or make one)\nkey.ron"]
    );
    assert!(load(&dir.path().join("none")).problems.first().unwrap().to_string().starts_with("there is no folder '"));
    write(dir.path(), &[ABOUT]);
    assert!(load(&dir.path().join("key.ron")).problems.first().unwrap().to_string().contains("is a file (choose the folder"));
    fs::create_dir(dir.path().join("forms.ron")).unwrap();
    assert_eq!(said(&load(dir.path()).problems), ["this is a folder, a file was expected (rename the folder)\nforms.ron"]);
}

#[test]
fn a_newer_key_is_read_and_said_to_be_newer() {
    let loaded = key(&[("key.ron", "(\n    format: 7,\n    title: \"Later\",\n)"), ("lines.ron", "[(id: \"a\", name: \"A\")]")]);
    assert!(loaded.is_newer());
    assert_eq!(loaded.key.lines.len(), 1);
    let [problem] = loaded.problems.as_slice() else { unreachable!("one problem: {:?}", loaded.problems) };
    assert_eq!(
        problem.with_source(),
        "warning: this key has format 7, this program knows up to 1 (it can be read but not changed; get a newer Footring)\n  --> key.ron:2:13\n   |\n 2 |     format: 7,\n   |             ^"
    );
}

#[test]
fn deep_brackets_and_long_rubbish_end_in_a_sentence() {
    let deep = format!("[\n    {}\n    (id: \"z\", name: \"Zed\"),\n]", "(".repeat(100_000));
    let loaded = key(&[ABOUT, ("lines.ron", &deep)]);
    assert_eq!(loaded.key.lines.len(), 1);
    assert_eq!(
        said(&loaded.problems),
        ["brackets are nested more than 48 deep (a key never needs that; look for a bracket that was not closed)\nlines.ron:2:53"]
    );
}
