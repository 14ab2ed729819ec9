//! `footring date` as a script and a person see it.
#![expect(clippy::unwrap_used, clippy::panic, reason = "tests")]

#[path = "common/ran.rs"]
mod ran;

use ran::run;
use serde_json::{Value, json};

fn json_of(args: &[&str]) -> Value {
    let ran = run(&[&["date", "--json"], args].concat());
    serde_json::from_str(&ran.out).unwrap_or_else(|e| panic!("{e}: {}{}", ran.out, ran.err))
}

fn ends(value: &Value) -> (Value, Value) {
    (value.get("not_before").unwrap().clone(), value.get("not_after").unwrap().clone())
}

#[test]
fn a_diamond_reads_as_a_sentence_with_its_source() {
    let ran = run(&["date", "--diamond", "class IV, top K, left H, right 7, bottom 2"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert_eq!(
        ran.out,
        "Made 7 April 1857 or later (by law)\n\
         \n\
         Reasons\n  \
           The diamond reads ceramics, 7 April 1857, parcel 2, so the piece is of 7 April 1857 or later\n    \
             law: a design is registered before it is made, and it can stay in production for years; The National Archives (UK), research guide on \
             diamond marks; Copyright of Designs Act 1842 and its successors\n"
    );
}

#[test]
fn days_are_text_and_years_are_numbers_for_a_program() {
    let day = json_of(&["--diamond", "class IV, top K, left H, right 7, bottom 2"]);
    assert_eq!(ends(&day), (json!("1857-04-07"), Value::Null));
    let both = json_of(&["--evidence", "W. Germany"]);
    assert_eq!(ends(&both), (json!(1949), json!(1990)));
    assert_eq!(both.pointer("/reasons/0/firmness"), Some(&json!("custom")));
    assert_eq!(ends(both.get("firm").unwrap()), (Value::Null, Value::Null));
    assert_eq!(both.get("clashes"), Some(&json!([])));
    let several = json_of(&["--evidence", "made in", "--diamond", "top K, left H, right 7", "--rd", "543765"]);
    assert_eq!(ends(&several), (json!(1908), Value::Null));
    for field in ["says", "because", "source", "firmness"] {
        assert!(
            several.pointer(&format!("/reasons/0/{field}")).is_some_and(|text| text.as_str().is_some_and(|t| !t.is_empty())),
            "{field}"
        );
    }
}

#[test]
fn what_is_only_remembered_says_so_and_bounds_nothing() {
    let ran = run(&["date", "--evidence", "Germany US Zone"]);
    assert_eq!(
        ran.out,
        "Made: nothing bounds it, there are only hints\n\
         \n\
         Reasons\n  \
           'Germany US Zone': 1945 to 1949\n    \
             weak, from memory: occupation zones; the two states were founded on 23 May and 7 October 1949; no source\n"
    );
}

#[test]
fn a_key_gives_years_and_codes() {
    let ran = run(&["date", "--key", "demo", "--mark", "Quoin square", "--mark-code", "C", "--sold", "1957"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.starts_with("Made in 1953 (by custom)\n  by law and papers alone: not after 1957\nSold in 1957 (by maker's paper)\n"),
        "{}",
        ran.out
    );
    assert!(
        ran.out.contains("  The code 'C' reads 1953\n    custom: year letter, as the key describes it (inferred); the house key\n"),
        "{}",
        ran.out
    );
    let quarter = json_of(&["--key", "demo", "--mark", "Quoin, impressed", "--mark-code", "3.58 U"]);
    assert_eq!(ends(&quarter), (json!("1958-07-01"), json!("1958-09-30")));
    let mould = json_of(&["--key", "demo", "--mark", "Marrowby, impressed", "--mark-code", "38"]);
    assert_eq!(ends(&mould), (json!(1938), json!(1953)));
    let any = json_of(&["--key", "demo", "--mark-code", "3 58 U"]);
    assert_eq!(ends(&any), (json!("1958-07-01"), json!("1958-09-30")));
}

#[test]
fn a_decorated_piece_keeps_two_dates() {
    let two = json_of(&["--key", "demo", "--form", "covered sugar, Quoin", "--decoration", "Lattice"]);
    assert!(two.get("decorated").unwrap().is_object(), "{two}");
    assert_ne!(ends(&two), ends(two.get("decorated").unwrap()), "{two}");
}

#[test]
fn clashes_are_told_with_what_may_lie_behind_them() {
    let ran = run(&["date", "--key", "demo", "--mark", "Fenlight, script", "--evidence", "Fenwick, OH 43701"]);
    assert!(ran.out.starts_with("Made: firm evidence excludes each other, so there is no date (see the clashes)\n"), "{}", ran.out);
    assert!(ran.out.contains("    Perhaps the mark was used past its date: then 1 July 1963 or later\n"), "{}", ran.out);
    let value = json_of(&["--key", "demo", "--mark", "Fenlight, script", "--evidence", "Fenwick, OH 43701"]);
    assert_eq!(value.get("disputed"), Some(&json!(true)));
    assert_eq!(ends(&value), (Value::Null, Value::Null));
    assert_eq!(value.pointer("/clashes/0/explanations/0/cause"), Some(&json!("mark-past-its-date")));
}

#[test]
fn what_cannot_be_is_refused_in_a_sentence() {
    let check = |args: &[&str], code: u8, err: &str| {
        let ran = run(&[&["date"], args].concat());
        assert_eq!((ran.code, ran.err.as_str()), (code, err), "{args:?}");
    };
    check(&[], 2, "footring: there is nothing to date by (give --evidence, --diamond, --rd, --mark-code or --mark)\n");
    check(
        &["--diamond", "top K, left H, right 31"],
        1,
        "footring: 'top K, left H, right 31': there is no 31 April 1857, the month has 30 days (look again at the day and the month letter)\n",
    );
    check(
        &["--diamond", "north K"],
        2,
        "footring: --diamond 'north K': 'north K' names no place of a diamond (write: class IV, top K, left H, right 7, bottom 2)\n",
    );
    check(&["--rd", "0"], 1, "footring: '0': there is no registered design number 0 (the numbers begin at 1)\n");
    check(&["--evidence", "blue roses"], 1, "footring: 'blue roses': no dating rule knows these words\n");
    check(&["--evidence", ""], 1, "footring: '': there is no letter, figure or sign in it (type what can be read)\n");
    check(
        &["--key", "demo", "--mark", "Quoin square", "--mark-code", "7"],
        1,
        "footring: '7': '7' is not a year letter (expected {year})\n",
    );
    check(
        &["--key", "demo", "--mark", "Stannard round", "--mark-code", "7"],
        1,
        "footring: '7': no code is described of this mark, so nothing follows (describe it under 'codes' of the mark)\n",
    );
    check(
        &["--sold", "1957-02-30"],
        2,
        "footring: --sold '1957-02-30': it is no date (write a year, 1957, or a day of the calendar, 1957-04-07)\n",
    );
    let unread = json_of(&["--evidence", "oven prooof"]);
    assert_eq!(unread.pointer("/unread/0/did_you_mean/0"), Some(&json!("oven proof")));
}

#[test]
fn a_file_of_rules_is_added_and_its_problems_are_told() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("mine.ron");
    let name = file.to_str().unwrap();
    std::fs::write(
        &file,
        "[(id: \"kiln\", finds: Words([\"kiln seven\"]), bounds: [(from: Year(1950), firmness: Custom, known: CommonPractice, because: \"told\")]),\n (id: \"b\", fnds: Words([\"x\"]))]",
    )
    .unwrap();
    let ran = run(&["date", "--rules", name, "--evidence", "Kiln Seven"]);
    assert_eq!(ran.code, 1);
    assert!(ran.out.starts_with("Made 1950 or later (by custom)\n"), "{}", ran.out);
    assert!(
        ran.err.starts_with("footring: error: a dating rule has no field 'fnds' (did you mean 'finds'?)\n  --> mine.ron:2:12\n"),
        "{}",
        ran.err
    );
    let none = run(&["date", "--rules", "no-such.ron", "--evidence", "x"]);
    assert_eq!(none.code, 2);
    assert!(none.err.starts_with("footring: the rules can't be read: "), "{}", none.err);
}
