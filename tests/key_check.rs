//! What a key says that can't be so.
#![expect(clippy::unwrap_used, reason = "tests")]

use footring::key::{Loaded, Problem, check_form, load};
use std::fs;

const KEY: &str = r#"(format: 1, title: "Test")"#;
const FEATURES: &str = r#"[
    (id: "lid-outline", part: Lid, view: Above, kind: Choice([(id: "round"), (id: "oval")])),
    (id: "rim", part: Body, view: Side, kind: Choice([(id: "plain"), (id: "rolled")])),
    (id: "ledge", part: Body, view: Above, kind: Choice([(id: "deep"), (id: "low")]), only_if: Is("rim", ["rolled"])),
    (id: "height", part: Body, view: Hand, kind: Measure(unit: Mm)),
]"#;
const LINES: &str = r#"[(id: "quoin", name: "Quoin"), (id: "fen", name: "Fenlight")]"#;
/// A form that nothing is wrong with.
const SOUND: &str = r#"(id: "dish", name: "dish", line: "quoin", parts: [Body, Lid], shape: (body: [Corner(30, 0), Corner(50, 60)], lid: [Corner(48, 0), Curve(0, 9)]),
    features: {"lid-outline": Always("round"), "rim": Values({"plain": Usually, "rolled": Sometimes}), "ledge": Always("low"), "height": Between(58, 63)})"#;

fn key(files: &[(&str, &str)]) -> Loaded {
    let dir = tempfile::tempdir().unwrap();
    for (name, text) in [("key.ron", KEY), ("features.ron", FEATURES), ("lines.ron", LINES)].iter().chain(files) {
        fs::write(dir.path().join(name), text).unwrap();
    }
    load(dir.path())
}

/// Each problem with its file, its line, and the text its place covers.
fn said(loaded: &Loaded) -> Vec<String> {
    let told = |p: &Problem| {
        let covered: String = p.source_line.chars().skip(p.place.column - 1).take(p.place.length).collect();
        format!("{}: {} | {}:{} {covered}", p.severity.word(), p.kind, p.place.file, p.place.line)
    };
    loaded.problems.iter().map(told).collect()
}

/// Replaces a piece of the sound form, and tells what is then wrong.
fn check_form_with(from: &str, to: &str, expected: &[&str]) {
    assert!(SOUND.contains(from), "{from}");
    let loaded = key(&[("forms.ron", &format!("[{}]", SOUND.replace(from, to)))]);
    assert_eq!(said(&loaded), expected, "{from} → {to}");
}

#[test]
fn a_sound_form_has_no_problem() {
    check_form_with("dish", "dish", &[]);
}

#[test]
fn references_name_what_is_nearest() {
    check_form_with(
        "line: \"quoin\"",
        "line: \"qoin\"",
        &["error: there is no line 'qoin' (did you mean 'quoin'?) | forms.ron:1 \"qoin\""],
    );
    check_form_with(
        "\"lid-outline\"",
        "\"lid-outlin\"",
        &[
            "warning: no form records the feature 'lid-outline' (record it of some, or take it out) | features.ron:2 \"lid-outline\"",
            "error: there is no feature 'lid-outlin' (did you mean 'lid-outline'?) | forms.ron:2 \"lid-outlin\"",
        ],
    );
    check_form_with(
        "Always(\"round\")",
        "Always(\"ruond\")",
        &["error: 'ruond' is no value of the feature 'lid-outline' (did you mean 'round'?) | forms.ron:2 \"ruond\""],
    );
    check_form_with(
        "\"plain\": Usually",
        "\"smooth\": Usually",
        &["error: 'smooth' is no value of the feature 'rim' (it can be plain or rolled) | forms.ron:2 \"smooth\""],
    );
    check_form_with(
        "parts: [Body, Lid]",
        "glazes: [(id: \"oat\", papers: [\"p\"])], parts: [Body, Lid]",
        &["error: there is no glaze 'oat' | forms.ron:1 \"oat\"", "error: there is no paper 'p' | forms.ron:1 \"p\""],
    );
}

#[test]
fn records_fit_their_features_and_the_parts() {
    check_form_with(
        "Between(58, 63)",
        "Always(\"tall\")",
        &["error: 'height' is measured, values can't be recorded of it (write Between(least, greatest)) | forms.ron:2 Always(\"tall\")"],
    );
    check_form_with(
        "Always(\"round\")",
        "Between(1, 2)",
        &[
            "error: 'lid-outline' is chosen from values, measures can't be recorded of it (write Always(\"value\") or Values({\"value\": Usually})) | forms.ron:2 Between(1, 2)",
        ],
    );
    check_form_with(
        "Between(58, 63)",
        "Between(63, 58)",
        &["error: the measures run from 63 down to 58 (write the smaller first) | forms.ron:2 Between(63, 58)"],
    );
    check_form_with(
        "Between(58, 63)",
        "Between(NaN, 63)",
        &["error: the measure NaN is out of bounds (expected 0 or more) | forms.ron:2 Between(NaN, 63)"],
    );
    check_form_with(
        "[Body, Lid]",
        "[Body]",
        &[
            "warning: the shape draws a lid, but the parts of this form do not name it (add Lid to parts, or take 'lid' out of shape) | forms.ron:1 [Corner(48, 0), Curve(0, 9)]",
            "error: 'lid-outline' is a feature of the lid, which this form does not have (write DoesNotApply, or add Lid to parts) | forms.ron:2 \"lid-outline\"",
        ],
    );
    check_form_with(
        "Values({\"plain\": Usually, \"rolled\": Sometimes})",
        "Always(\"plain\")",
        &[
            "error: 'ledge' only applies if the rim is rolled, which is not so of this form (write DoesNotApply, or change the other) | forms.ron:2 \"ledge\"",
        ],
    );
    check_form_with("[Body, Lid]", "[Lid]", &["error: the parts of this form do not name the body (add Body) | forms.ron:1 [Lid]"]);
    check_form_with("[Body, Lid]", "[Body, Lid, Lid]", &["error: 'Lid' is named twice in parts (take one out) | forms.ron:1 Lid"]);
    check_form_with(
        "\"ledge\": Always",
        "\"rim\": Always(\"plain\"), \"ledge\": Always",
        &["error: 'rim' is written twice (take one out) | forms.ron:2 rim"],
    );
}

#[test]
fn shapes_can_be_drawn() {
    check_form_with(
        "[Corner(30, 0), Corner(50, 60)]",
        "[Corner(30, 0)]",
        &[
            "error: the body has 1 point, a half profile needs at least 2 points (list them from the table up) | forms.ron:1 [Corner(30, 0)]",
        ],
    );
    check_form_with(
        "Corner(50, 60)",
        "Corner(-50, 60)",
        &["error: the radius -50 is out of bounds (expected 0 or more millimetres from the axis) | forms.ron:1 Corner(-50, 60)"],
    );
    check_form_with(
        "Corner(50, 60)",
        "Corner(50, 0)",
        &[
            "error: the body has no height (give its points in millimetres: radius, then height) | forms.ron:1 [Corner(30, 0), Corner(50, 0)]",
        ],
    );
    check_form_with(
        ", lid: [Corner(48, 0), Curve(0, 9)]",
        "",
        &[
            "warning: this form has a lid, but its shape draws none (add 'lid' to shape, or take Lid out of parts) | forms.ron:1 (body: [Corner(30, 0), Corner(50, 60)])",
        ],
    );
    check_form_with(
        "lid: [",
        "plan: Oval(0.5), lid: [",
        &["error: the aspect 0.5 is out of bounds (expected long side ÷ short side, 1 or more) | forms.ron:1 Oval(0.5)"],
    );
}

#[test]
fn forms_differ_in_id_name_and_something_to_see() {
    let twin = |from: &str, to: &str| said(&key(&[("forms.ron", &format!("[{SOUND},\n{}]", SOUND.replace(from, to)))]));
    assert_eq!(
        twin("x", "x"),
        [
            "error: two forms have the id 'dish', the first at forms.ron:1:7 (give one of them another) | forms.ron:3 \"dish\"",
            "warning: no feature tells 'dish, Quoin' from 'dish, Quoin' at forms.ron:1:7 (record one that does) | forms.ron:3 \"dish\"",
            "error: two forms are called 'dish' in the line 'Quoin', the first at forms.ron:1:21 (give one of them another name) | forms.ron:3 \"dish\"",
        ]
    );
    assert_eq!(
        twin("id: \"dish\", name: \"dish\"", "id: \"Bowl 2\", name: \"bowl\""),
        [
            "warning: 'Bowl 2' is no id (write small letters, figures and hyphens, like 'bowl-2') | forms.ron:3 \"Bowl 2\"",
            "warning: no feature tells 'bowl, Quoin' from 'dish, Quoin' at forms.ron:1:7 (record one that does) | forms.ron:3 \"Bowl 2\"",
        ]
    );
    let told_apart = |from: &str, to: &str| {
        twin("id: \"dish\", name: \"dish\"", "id: \"bowl\", name: \"bowl\"").len() == 1 && {
            let other = SOUND.replace("id: \"dish\", name: \"dish\"", "id: \"bowl\", name: \"bowl\"").replace(from, to);
            said(&key(&[("forms.ron", &format!("[{SOUND},\n{other}]"))])).is_empty()
        }
    };
    assert!(told_apart("Always(\"round\")", "Always(\"oval\")"), "by a value");
    assert!(told_apart("Between(58, 63)", "Between(63.5, 70)"), "by a measure");
    assert!(!told_apart("Between(58, 63)", "Between(63, 70)"), "ranges that touch do not");
    assert!(!told_apart("\"lid-outline\": Always(\"round\"), ", ""), "not recorded does not");
}

#[test]
fn numbers_years_and_dates_are_possible() {
    let features = FEATURES.replace("part: Lid,", "part: Lid, slip: 0.6, effort: 0,");
    let lines = r#"[(id: "quoin", name: "Quoin", made: (from: 1958, to: 1951))]"#;
    let papers = r#"[
    (id: "a", title: "A", kind: Memo, date: Day(1951, 4, 31)),
    (id: "b", title: "B", kind: Memo, date: Day(1952, 2, 29)),
    (id: "c", title: "C", kind: Memo, date: Month(1952, 13)),
    (id: "d", title: "D", kind: Memo, date: Between(1960, 1950)),
    (id: "e", title: "E", kind: Memo, date: Circa(1950), lists: [(written: "dish", form: "dihs")]),
]"#;
    let glazes = r#"[(id: "g", name: "G", lab: (150, 0, 0), spread: 0)]"#;
    let loaded = key(&[
        ("features.ron", &features),
        ("lines.ron", lines),
        ("papers.ron", papers),
        ("glazes.ron", glazes),
        ("forms.ron", &format!("[{SOUND}]")),
    ]);
    assert_eq!(
        said(&loaded),
        [
            "error: the slip 0.6 is out of bounds (expected 0 to 0.5) | features.ron:2 0.6",
            "error: the effort 0 is out of bounds (expected above 0) | features.ron:2 0",
            "error: the years run from 1958 down to 1951 (write the smaller first) | lines.ron:1 (from: 1958, to: 1951)",
            "error: the lightness 150 is out of bounds (expected 0 (black) to 100 (white)) | glazes.ron:1 (150, 0, 0)",
            "error: the spread 0 is out of bounds (expected above 0, at most 50) | glazes.ron:1 0",
            "error: there is no 31.4.1951 (check the day and the month) | papers.ron:2 Day(1951, 4, 31)",
            "error: there is no month 13 of 1952 (check the day and the month) | papers.ron:4 Month(1952, 13)",
            "error: the years run from 1960 down to 1950 (write the smaller first) | papers.ron:5 Between(1960, 1950)",
            "error: there is no form 'dihs' (did you mean 'dish'?) | papers.ron:6 \"dihs\"",
        ]
    );
}

#[test]
fn date_codes_can_be_read() {
    let check = |made: &str, code: &str, expected: &[&str]| {
        let marks = format!("[(id: \"m\", name: \"M\", layout: Words, applied: Impressed, {made} codes: [({code})])]");
        assert_eq!(said(&key(&[("marks.ron", &marks)])), expected, "{code}");
    };
    let known = "made: (from: 1950, to: 1960),";
    check(known, r#"name: "c", pattern: "{q} {y}", parts: {"q": QuarterNumber, "y": YearDigits(2)}"#, &[]);
    check(
        known,
        r#"name: "c", pattern: "{yaer}", parts: {"year": YearDigits(2)}"#,
        &[r#"error: there is no part of the code 'yaer' (did you mean 'year'?) | marks.ron:1 "{yaer}""#],
    );
    check(
        known,
        r#"name: "c", pattern: " ""#,
        &[r#"error: the mark 'm' has an empty pattern of a date code (write one) | marks.ron:1 " ""#],
    );
    check(
        known,
        r#"name: "c", pattern: "{y", parts: {"y": YearDigits(2)}"#,
        &[r#"error: '{y' was found where the name of a part and '}' was expected | marks.ron:1 "{y""#],
    );
    check(
        "",
        r#"name: "c", pattern: "{y}", parts: {"y": YearDigits(2)}"#,
        &[
            "error: the span of years of this mark is empty (expected 'from' and 'to', by which the figures of a year are placed) | marks.ron:1 YearDigits(2)",
        ],
    );
    check(
        known,
        r#"name: "c", pattern: "{y}", parts: {"y": YearDigits(5)}"#,
        &["error: the number of figures of a year 5 is out of bounds (expected 1 to 4) | marks.ron:1 YearDigits(5)"],
    );
    check(
        known,
        r#"name: "c", pattern: "{m}", parts: {"m": MonthLetters("ABA")}"#,
        &[
            r#"error: the number of month letters 3 is out of bounds (expected 12, January first) | marks.ron:1 MonthLetters("ABA")"#,
            r#"error: 'A' is named twice in the letters of the code (take one out) | marks.ron:1 MonthLetters("ABA")"#,
        ],
    );
    check(
        known,
        r#"name: "c", pattern: "{m}", parts: {"m": Months({"A": 13})}"#,
        &[r#"error: the month 13 is out of bounds (expected 1 to 12) | marks.ron:1 Months({"A": 13})"#],
    );
    check(
        known,
        r#"name: "c", patern: "{m}""#,
        &["error: a date code has no field 'patern' (did you mean 'pattern'?) | marks.ron:1 patern"],
    );
}

#[test]
fn one_word_for_two_things_is_told() {
    let about = r#"(format: 1, title: "Test", synonyms: [["finial", "knob"], ["button", "knob"], ["brim", "rim"]])"#;
    let features = r#"[
    (id: "rim", part: Body, view: Side, kind: Choice([(id: "plain"), (id: "smooth", also: ["plain"])])),
    (id: "edge", also: ["Brim"], part: Body, view: Side, kind: Glaze),
]"#;
    assert_eq!(
        said(&key(&[("key.ron", about), ("features.ron", features)])),
        [
            "warning: 'knob' means both 'finial' and 'button' (rename one of them) | key.ron:1 \"knob\"",
            "warning: 'plain' means both 'plain' and 'smooth' (rename one of them) | features.ron:2 (id: \"smooth\", also: [\"plain\"])",
            "warning: 'Brim' means both 'rim' and 'edge' (rename one of them) | features.ron:3 (id: \"edge\", also: [\"Brim\"], part: Body, view: Side, kind: Glaze)",
        ]
    );
}

#[test]
fn pictures_are_there_inside_and_readable() {
    let dir = tempfile::tempdir().unwrap();
    fs::create_dir(dir.path().join("pictures")).unwrap();
    fs::write(dir.path().join("pictures/side.png"), b"\x89PNG\r\n\x1a\n0000").unwrap();
    fs::write(dir.path().join("pictures/note.png"), b"hello").unwrap();
    for (name, text) in [
        ("key.ron", KEY),
        ("lines.ron", LINES),
        (
            "forms.ron",
            "[(id: \"a\", name: \"A\", line: \"quoin\", parts: [Body], shape: (body: [Corner(30, 0), Corner(50, 60)]), pictures: [\n\
             (file: \"side.png\"),\n(file: \"sied.png\"),\n(file: \"../side.png\"),\n(file: \"note.png\")])]",
        ),
    ] {
        fs::write(dir.path().join(name), text).unwrap();
    }
    assert_eq!(
        said(&load(dir.path())),
        [
            "error: there is no picture 'sied.png' in 'pictures' (did you mean 'side.png'?) | forms.ron:3 \"sied.png\"",
            "error: '../side.png' is not inside 'pictures' (copy the picture there and write its name alone) | forms.ron:4 \"../side.png\"",
            "error: the picture 'note.png' can't be read: it is no JPEG, PNG, WebP or TIFF picture (save it as one) | forms.ron:5 \"note.png\"",
        ]
    );
}

#[test]
fn what_is_broken_is_told_once_and_not_by_all_that_refer_to_it() {
    let loaded = key(&[("lines.ron", "[(id: \"quoin\", nam: \"Quoin\")]"), ("forms.ron", &format!("[{SOUND}]"))]);
    assert_eq!(said(&loaded), ["error: a line has no field 'nam' (did you mean 'name'?) | lines.ron:1 nam"]);
}

#[test]
fn a_form_is_checked_before_it_is_saved() {
    let loaded = key(&[("forms.ron", &format!("[{SOUND}]"))]);
    let mut form = loaded.key.forms.first().unwrap().clone();
    assert!(check_form(&loaded.key, &form).is_empty(), "the form itself, changed in nothing");
    form.id = "bowl".into();
    form.line = "qoin".into();
    let found: Vec<String> = check_form(&loaded.key, &form).iter().map(|p| p.kind.to_string()).collect();
    assert_eq!(found, ["there is no line 'qoin' (did you mean 'quoin'?)"]);
    form.line = "quoin".into();
    let found: Vec<String> = check_form(&loaded.key, &form).iter().map(|p| p.kind.to_string()).collect();
    assert_eq!(found, ["two forms are called 'dish' in the line 'Quoin', the first at forms.ron (give one of them another name)"]);
}

#[test]
fn a_record_of_counts_is_sound_and_one_of_counts_and_words_is_not() {
    check_form_with(r#""plain": Usually, "rolled": Sometimes"#, r#""plain": Times(12), "rolled": Times(1)"#, &[]);
    check_form_with(
        r#""rolled": Sometimes"#,
        r#""rolled": Times(1)"#,
        &[
            "error: the record of 'rim' mixes counts and words (give every value a count, Times(7), or every value a word: Usually) | forms.ron:2 Values({\"plain\": Usually, \"rolled\": Times(1)})",
        ],
    );
}

/// Programs go by the codes of problems: each is in the list that people read, and none is in that list that is not given.
#[test]
fn every_code_of_a_problem_is_in_the_documents() {
    let home = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let source = fs::read_to_string(home.join("src/key/problem/kind.rs")).unwrap();
    let body = source.split("pub fn code(").nth(1).and_then(|rest| rest.split("\n    }\n").next()).unwrap();
    let mut given: Vec<&str> = body.lines().filter_map(|line| line.split_once("=> \"")?.1.split('"').next()).collect();
    let document = fs::read_to_string(home.join("docs/check-codes.md")).unwrap();
    let mut listed: Vec<&str> = document.lines().filter_map(|line| line.strip_prefix("| `")?.split('`').next()).collect();
    assert!(given.len() > 40, "the codes were not found: {given:?}");
    given.sort_unstable();
    listed.sort_unstable();
    assert_eq!(given, listed);
}
