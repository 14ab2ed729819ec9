//! `footring mark`: which marks a worn wording goes with.

#![expect(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, reason = "tests")]

#[path = "common/ran.rs"]
mod ran;

use footring::marks::Wordings;
use ran::run;
use serde_json::Value;

fn json(args: &[&str]) -> Value {
    let ran = run(args);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    serde_json::from_str(&ran.out).unwrap()
}

fn first(args: &[&str]) -> String {
    let found = json(&[&["mark", "demo"], args, &["--json"]].concat());
    let all: f64 = found["marks"].as_array().unwrap().iter().map(|mark| mark["probability"].as_f64().unwrap()).sum();
    assert!(all + found["not_in_key"].as_f64().unwrap() < 1.0 + 1e-9, "{found}");
    found["marks"][0]["mark"].as_str().unwrap_or("none").to_owned()
}

#[test]
fn worn_wordings_find_their_marks() {
    for (wording, mark) in [
        ("DETERGENT", "stannard-round"),
        ("Do not put on", "oven-proof-label"),
        ("by Marrowby Fenlight", "fenlight-script"),
        ("OVEN PR00F 5T0NEWARE", "quoin-square"),
        ("OVEN PROOF 5T[OC]NEWA(R)", "quoin-square"),
        ("T?RY FENL… IN ENGL", "fenlight-round"),
    ] {
        assert_eq!(first(&[wording]), mark, "{wording}");
    }
}

#[test]
fn layout_and_colour_tell_two_marks_of_like_wording_apart() {
    assert_eq!(first(&["OV?N PR… MARROW", "--layout", "oval"]), "quoin-oval");
    assert_eq!(first(&["OV?N PR… MARROW", "--colour", "Green"]), "quoin-square");
}

#[test]
fn years_and_marks_never_used_are_said() {
    let found = json(&["mark", "demo", "FENLIGHT MARROWBY", "--layout", "oval", "--json"]);
    let heron = &found["marks"][0];
    assert_eq!(heron["mark"], "fenlight-heron");
    assert_eq!((&heron["years"]["from"], &heron["years"]["to"]), (&1933.into(), &1934.into()));
    assert_eq!((&heron["never_used"], heron["how"].as_str().unwrap()), (&Value::Bool(true), "in a paper"));
}

#[test]
fn the_letters_stand_under_the_wording() {
    let ran = run(&["mark", "demo", "DET?RG3NT"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(ran.out.contains("Stannard round (1966 to 1971)\n         DETERGENT PROOF\n         DET?RG3NT ·····\n"), "{}", ran.out);
    assert!(ran.out.ends_with("  not in this key\n"), "{}", ran.out);
}

#[test]
fn what_is_in_no_mark_is_not_in_this_key() {
    for wording in ["ZZXYKWZZ", "陶器工房製造", "陶器", "כד", "כד חרס עתיק", "فخار"] {
        let ran = run(&["mark", "demo", wording]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""));
        assert!(ran.out.starts_with(&format!("No mark of this key goes with '{wording}'\n")), "{}", ran.out);
    }
}

#[test]
fn a_mark_that_was_never_used_is_told_before_a_form_is_named() {
    let ran = run(&["identify", "demo", "--see", "mark=Fenlight heron"]);
    assert!(ran.code == 0 && ran.out.contains(" The mark was never in production as far as the key knows."), "{}", ran.out);
    let used = run(&["identify", "demo", "--see", "mark=Quoin oval"]);
    assert!(used.code == 0 && !used.out.contains("in production"), "{}", used.out);
}

#[track_caller]
fn refused(args: &[&str], says: &str) {
    let ran = run(&[&["mark", "demo"], args].concat());
    assert_eq!((ran.code, ran.out.as_str(), ran.err.as_str()), (2, "", format!("footring: {says}\n").as_str()));
}

#[test]
fn what_cannot_be_looked_for_is_a_sentence() {
    refused(&["??"], "there is no letter to read in '??' (give at least one letter or figure beside '?' and '…')");
    refused(&["…"], "there is no letter to read in '…' (give at least one letter or figure beside '?' and '…')");
    refused(&[&"A".repeat(10_000)], "the wording has 10000 characters, and at most 200 are read (give a piece of it)");
    refused(
        &["MAR[RO"],
        "the bracket that opens at '[RO' is not closed (write '[AB]' for a letter that is A or B, '(R)' for an R in doubt)",
    );
    refused(&["QUOIN", "--colour", "gold"], "no mark of this key has an ink called 'gold' (it has black, blue, brown, green, grey, red)");
}

#[test]
fn a_table_of_ones_own_is_read_and_its_mistakes_have_a_place() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("worn.ron");
    let name = file.display().to_string();
    std::fs::write(&file, "(letters: [(\"W\", \"X\", 0.3)])").unwrap();
    assert_eq!(first(&["MARROXBY QUOIN OVEN", "--confusions", &name, "--layout", "oval"]), "quoin-oval");
    std::fs::write(&file, "(letters: [\n  (\"w\", \"X\", 0.3)])").unwrap();
    let ran = run(&["mark", "demo", "QUOIN", "--confusions", &name]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.starts_with(&format!("footring: 'w' is not one capital letter or figure: {name}:2:")), "{}", ran.err);
}

/// What can't be is a clear sentence, never a fall and never a year. (What can't be a code, a diamond or a day: `terminal_date.rs`. A picture without a
/// mark: `photo_mark.rs`.)
#[test]
fn odd_words_are_a_sentence_wherever_they_are_typed() {
    let long = "A".repeat(10_000);
    let no_wording =
        "no wording was given (write what can be read of the mark: '?' is one letter that can't be read, '…' any number of them)";
    let no_letter = "there is no letter to read in '???' (give at least one letter or figure beside '?' and '…')";
    let too_long = "the wording has 10000 characters, and at most 200 are read (give a piece of it)";
    let no_year = |args: &[&str], code: u8, says: &str| {
        let ran = run(args);
        assert_eq!(ran.code, code, "{args:?}: {}{}", ran.out, ran.err);
        assert!(ran.err.contains(says), "{args:?}: {}", ran.err);
        assert!(!ran.out.contains("Made 1") && !ran.out.contains("(1"), "no year is made up: {}", ran.out);
    };
    no_year(&["mark", "demo", ""], 2, no_wording);
    no_year(&["mark", "demo", "???"], 2, no_letter);
    no_year(&["mark", "demo", &long], 2, too_long);
    no_year(&["identify", "demo", "--see", "mark=???"], 2, no_letter);
    no_year(&["identify", "demo", "--see", &format!("mark={long}")], 2, too_long);
    no_year(&["date", "--evidence", "???"], 1, "'???': there is no letter, figure or sign in it (type what can be read)");
    no_year(&["date", "--evidence", "陶器"], 1, "'陶器': no dating rule knows these words");
    no_year(&["date", "--evidence", "כד חרס"], 1, "no dating rule knows these words");
    no_year(&["date", "--evidence", &long], 1, "it has 10000 letters, more than the 1000 that are read (type the words of the mark only)");
    no_year(&["date", "--diamond", "top K, left H, left H, right 7"], 2, "'left' is given twice (give each corner once)");
    no_year(&["date", "--diamond", "top K, left H, right 31"], 1, "there is no 31 April 1857, the month has 30 days");
}

/// A key of three marks, each on a form of its own, a mark never misread.
fn three_marks() -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| std::fs::write(dir.path().join(name), text).unwrap();
    write("key.ron", "(format: 1, title: \"Three marks\")");
    write("features.ron", "[(id: \"mark\", part: Body, view: Underneath, kind: Mark, slip: 0.0)]");
    write("lines.ron", "[(id: \"quoin\", name: \"Quoin\")]");
    write(
        "marks.ron",
        "[
            (id: \"a\", name: \"A\", layout: Round, applied: PrintedUnder,
             wording: [(text: \"MARROWBY POTTERY\", place: ArcAbove), (text: \"QUOIN\"), (text: \"OVEN PROOF\", place: ArcBelow, wears: First)]),
            (id: \"b\", name: \"B\", layout: Words, applied: PrintedUnder, wording: [(text: \"MARROWBY\"), (text: \"OVEN TO TABLE\")]),
            (id: \"c\", name: \"C\", layout: Words, applied: PrintedUnder, wording: [(text: \"MARROW & BYRNE\"), (text: \"POTTERS\")]),
        ]",
    );
    let form = |mark: &str| {
        format!(
            "(id: \"{mark}\", name: \"{mark}\", line: \"quoin\", parts: [Body], shape: (body: [Corner(26, 0), Corner(47, 64)]), marks: [(id: \"{mark}\")])"
        )
    };
    write("forms.ron", &format!("[{}]", ["a", "b", "c"].map(form).join(", ")));
    dir
}

/// What a reading says of marks it says of the forms that bear them: the verb and the Bench's arithmetic are one.
#[test]
fn the_verb_and_the_naming_of_pieces_weigh_a_reading_alike() {
    let dir = three_marks();
    let key = dir.path().to_str().unwrap();
    for typed in ["MARROWBY", "OVEN PR", "MARR0W8Y P", "M?RROW… OVEN", "POTTER", "TABLE MARROW", "[MN]ARROW(B)Y"] {
        let marks = json(&["mark", key, typed, "--json"]);
        let forms = json(&["identify", key, "--see", &format!("mark={typed}"), "--json"]);
        alike(&marks, &forms, typed);
        let marks = json(&["mark", key, typed, "--layout", "words", "--json"]);
        let forms = json(&["identify", key, "--see", &format!("mark={typed}; words"), "--json"]);
        alike(&marks, &forms, &format!("{typed}, words only"));
    }
}

fn alike(marks: &Value, forms: &Value, typed: &str) {
    let odds = |found: &Value, name: &str| -> Vec<(String, f64)> {
        let of = |one: &Value| (one[name].as_str().unwrap().to_lowercase(), one["probability"].as_f64().unwrap());
        found.as_array().unwrap().iter().map(of).collect()
    };
    let (marks, forms) = (odds(&marks["marks"], "mark"), odds(&forms["candidates"], "form"));
    assert!(!marks.is_empty(), "{typed}");
    for (mark, p) in &marks {
        let of_form = forms.iter().find(|(form, _)| form == mark).unwrap().1;
        let first = forms.iter().find(|(form, _)| *form == marks[0].0).unwrap().1;
        let (by_verb, by_bench) = (p / marks[0].1, of_form / first);
        assert!((by_verb - by_bench).abs() < 1e-9 * by_verb.max(by_bench), "{typed}: {mark} {by_verb} {by_bench}");
    }
}

#[test]
fn letters_lost_on_a_line_that_wears_first_count_for_less() {
    let dir = three_marks();
    let of_a = |typed: &str| Wordings::new(&footring::key::load(dir.path()).key.marks).asked(typed).ratios()[0];
    let file = dir.path().join("marks.ron");
    let text = std::fs::read_to_string(&file).unwrap();
    let both = |wears: &str| {
        std::fs::write(&file, text.replace("First", wears)).unwrap();
        (of_a("MARROWBY POTTERY O PF"), of_a("OVEN PROOF"))
    };
    let [first, usual, last] = ["First", "AsUsual", "Last"].map(both);
    assert!(first.0 > usual.0 + 1.0, "letters are gone: {first:?} {usual:?}");
    // And a line that is whole speaks for the mark on which it lasts.
    assert!(first.1 + 1.0 < usual.1 && usual.1 + 0.3 < last.1, "{first:?} {usual:?} {last:?}");
}

#[test]
fn what_dates_a_piece_is_weighed_when_it_is_named() {
    let stannard = |args: &[&str]| -> f64 {
        let found = json(&[&["identify", "demo", "--json"], args].concat());
        let candidates = found["candidates"].as_array().unwrap();
        candidates.iter().filter(|form| form["line"] == "Stannard").map(|form| form["probability"].as_f64().unwrap()).sum()
    };
    let (any, sold) = (stannard(&[]), stannard(&["--dates-sold", "1940"]));
    assert!(sold < 0.5 * any, "{sold} of {any}: the line began in 1962");
    let ran = run(&["identify", "demo", "--dates-sold", "1940"]);
    assert!(ran.code == 0 && ran.out.contains("\nMade"), "{}", ran.out);
    let ran = run(&["identify", "demo", "--dates-diamond", "a lozenge"]);
    assert!(ran.code == 2 && ran.err.starts_with("footring: --dates-diamond 'a lozenge': "), "{}", ran.err);
    let ran = run(&["identify", "demo", "--dates-code", "no code at all"]);
    assert!(ran.code == 1 && ran.err.contains("'no code at all': "), "{}", ran.err);
}
