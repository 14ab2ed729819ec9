//! Names found by either word.
#![expect(clippy::unwrap_used, reason = "tests")]

use footring::key::words::Words;
use footring::key::{FeatureId, Key, Part, load};
use std::fs;

fn key() -> Key {
    let dir = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| fs::write(dir.path().join(name), text).unwrap();
    write("key.ron", r#"(format: 1, title: "Test", synonyms: [["finial", "knob", "lid grip"], ["lug", "tab"], ["sugar", "sugar box"]])"#);
    write(
        "features.ron",
        r#"[
        (id: "finial-shape", part: Finial, view: Side, kind: Choice([(id: "ball"), (id: "sunk", also: ["recessed"])])),
        (id: "handle", part: Handle, view: Side, kind: Choice([(id: "lug"), (id: "loop")])),
        (id: "height", part: Body, view: Hand, kind: Measure(unit: Mm)),
        (id: "coat", name: "Glaze", part: Body, view: Side, kind: Glaze),
    ]"#,
    );
    write("lines.ron", r#"[(id: "quoin", name: "Quoin"), (id: "fen", name: "Fenlight"), (id: "st", name: "Stannard")]"#);
    write("glazes.ron", r#"[(id: "brulee", name: "Crème Brûlée", lab: (70, 5, 20))]"#);
    let form = |id: &str, name: &str, line: &str, more: &str| {
        format!(
            "(id: \"{id}\", name: \"{name}\", line: \"{line}\", parts: [Body], shape: (body: [Corner(40, 0), Corner(50, 60)]){more}),\n"
        )
    };
    write(
        "forms.ron",
        &format!(
            "[{}{}{}{}{}]",
            form("q-sugar", "covered sugar", "quoin", ""),
            form("f-sugar", "covered sugar", "fen", ", borrowed_by: [(id: \"st\")]"),
            form("q-casserole", "one-person casserole", "quoin", ", also: [\"individual casserole\"]"),
            form("f-plate", "plate, 10 in", "fen", ""),
            form("f-butter", "butter dish", "fen", ""),
        ),
    );
    load(dir.path()).key
}

#[test]
fn a_form_is_found_by_id_name_and_line_in_any_order() {
    let words = Words::new(&key());
    let check = |text: &str, expected: &str| assert_eq!(words.form(text).map(|id| id.to_string()).unwrap(), expected, "{text}");
    check("q-sugar", "q-sugar");
    check("covered sugar, Quoin", "q-sugar");
    check("quoin covered sugar", "q-sugar");
    check("Fenlight: Covered-Sugar", "f-sugar");
    check("covered sugar Stannard", "f-sugar");
    check("individual casserole", "q-casserole");
    check("casserole, one person", "q-casserole");
    check("covered sugar box, quoin", "q-sugar");
}

#[test]
fn an_ambiguous_or_unknown_name_says_what_it_could_be() {
    let words = Words::new(&key());
    let check = |text: &str, expected: &str| assert_eq!(words.form(text).unwrap_err().to_string(), expected, "{text}");
    check("covered sugar", "'covered sugar' can mean 'covered sugar, Quoin' or 'covered sugar, Fenlight' (write one of them in full)");
    check("buter dish", "there is no form 'buter dish' in this key (did you mean 'butter dish, Fenlight'?)");
    check("teapot", "there is no form 'teapot' in this key");
    assert_eq!(words.line("Fenligt").unwrap_err().to_string(), "there is no line 'Fenligt' in this key (did you mean 'Fenlight'?)");
}

#[test]
fn features_values_and_parts_are_found_by_either_word() {
    let words = Words::new(&key());
    assert_eq!(words.feature("Knob shape").unwrap().as_str(), "finial-shape");
    assert_eq!(words.feature("lid grip shape").unwrap().as_str(), "finial-shape");
    assert_eq!(words.feature("glaze").unwrap().as_str(), "coat");
    assert_eq!(words.value(&FeatureId::from("handle"), "TAB").unwrap().as_str(), "lug");
    assert_eq!(words.value(&FeatureId::from("finial-shape"), "recessed").unwrap().as_str(), "sunk");
    assert_eq!(words.value(&FeatureId::from("coat"), "creme brulee").unwrap().as_str(), "brulee");
    assert_eq!(
        words.value(&FeatureId::from("handle"), "lop").unwrap_err().to_string(),
        "there is no value 'lop' in this key (did you mean 'loop'?)"
    );
    assert_eq!(words.part("knob").unwrap(), Part::Finial);
    assert_eq!(words.part("Lid").unwrap(), Part::Lid);
    assert_eq!(words.part("lidd").unwrap_err().to_string(), "there is no part 'lidd' in this key (did you mean 'lid'?)");
}

#[test]
fn some_words_in_any_order_and_mistyped_find_a_form() {
    let words = Words::new(&key());
    let ids = |text: &str| words.search_forms(text, 10).into_iter().map(|hit| hit.form.to_string()).collect::<Vec<_>>();
    assert_eq!(ids("sugar quoin"), ["q-sugar"]);
    assert_eq!(ids("covred suger"), ["q-sugar", "f-sugar"]);
    assert_eq!(ids("cass"), ["q-casserole"]);
    assert_eq!(ids("csrl"), ["q-casserole"]);
    assert_eq!(ids("stannard"), ["f-sugar"]);
    assert_eq!(ids("10 plate"), ["f-plate"]);
    assert_eq!(ids("butter dish of fenlight"), ["f-butter"]);
    assert_eq!(ids("zzz"), [""; 0]);
    assert_eq!(ids("  "), [""; 0]);
    assert_eq!(words.search_forms("covered sugar", 1).len(), 1);
    assert_eq!(words.search_forms("plate", 10).first().unwrap().name, "plate, 10 in, Fenlight");
}
