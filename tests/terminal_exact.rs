//! `footring tell --alone`, `tell --line`, `health` and `sequence` as a script and a person see them.
#![expect(clippy::unwrap_used, clippy::panic, reason = "tests")]

#[path = "common/ran.rs"]
mod ran;

use serde_json::Value;

/// The exit code of the program's words, and what was printed.
fn run(args: &[&str]) -> (u8, String, String) {
    let ran = ran::run(args);
    (ran.code, ran.out, ran.err)
}

fn json(args: &[&str]) -> Value {
    let (code, out, err) = run(args);
    assert_eq!((code, err.as_str()), (0, ""), "{args:?}");
    serde_json::from_str(&out).unwrap()
}

fn number(value: &Value, pointer: &str) -> f64 {
    value.pointer(pointer).and_then(Value::as_f64).unwrap_or_else(|| panic!("{pointer} of {value}"))
}

#[test]
fn one_form_is_told_from_all_others_by_the_fewest_features() {
    let (code, out, err) = run(&["tell", "demo", "covered sugar, Quoin", "--alone"]);
    assert_eq!((code, err.as_str()), (0, ""));
    assert!(out.starts_with("covered sugar, Quoin from 81 other forms\nBy these alone: height, lid off, lid outline\n"), "{out}");
    assert!(out.ends_with("2 features of effort 3.5: no fewer will do\n"), "{out}");
}

#[test]
fn without_the_lid_its_outline_is_not_asked_for() {
    let (_, out, _) = run(&["tell", "demo", "covered sugar, Quoin", "--alone", "--missing", "lid"]);
    assert!(out.starts_with("covered sugar, Quoin from 81 other forms\n"), "{out}");
    let asked = out.lines().nth(1).unwrap();
    assert!(!asked.contains("lid outline") && asked.len() > "By these alone: ".len(), "{out}");
}

#[test]
fn a_line_is_told_apart_and_one_that_is_not_there_is_said_so() {
    let (code, out, _) = run(&["tell", "demo", "--line", "Quoin"]);
    assert_eq!(code, 0);
    assert!(out.starts_with("Each form of Quoin from each other (27 forms)\n"), "{out}");
    let (code, _, err) = run(&["tell", "demo", "--line", "Quion"]);
    assert_eq!(code, 2);
    assert!(err.contains("Quion") && err.contains("Quoin"), "{err}");
}

#[test]
fn the_health_of_the_demo_key_is_good_and_its_sugar_and_casserole_are_told_by_the_lid() {
    let (code, out, err) = run(&["health", "demo"]);
    assert_eq!((code, err.as_str()), (0, ""));
    assert!(out.starts_with("Marrowby house key: 82 forms, 36 features\n"), "{out}");
    let told: usize = out.lines().nth(1).unwrap().split(' ').next().unwrap().parse().unwrap();
    assert!(told > 3000 && told <= 82 * 81 / 2, "{out}");
}

#[test]
fn a_sequence_of_the_whole_key_leads_to_every_form_and_is_no_better_than_the_bound() {
    let report = json(&["sequence", "demo", "--json"]);
    let (expected, bound) = (number(&report, "/expected"), number(&report, "/bound"));
    assert!(bound > 0.0 && bound <= expected, "{bound} {expected}");
    let key = footring::key::builtin::demo().key;
    let text = report.to_string();
    for form in &key.forms {
        assert!(text.contains(&format!("\"{}\"", form.id)), "no path leads to {}", form.id);
    }
    // Every step but the first is led to, and by a number that is there.
    let steps = report.pointer("/steps").and_then(Value::as_array).unwrap();
    let led: std::collections::BTreeSet<u64> = steps
        .iter()
        .flat_map(|step| step.pointer("/choices").and_then(Value::as_array).unwrap())
        .filter_map(|choice| choice.pointer("/to/step").and_then(Value::as_u64))
        .collect();
    assert_eq!(led, (2..=steps.len() as u64).collect());
}

#[test]
fn the_best_sequence_of_a_large_key_is_refused_with_the_way_out() {
    let (code, out, err) = run(&["sequence", "demo", "--exact"]);
    assert_eq!((code, out.as_str()), (1, ""));
    assert_eq!(
        err,
        "footring: the best sequence of 82 forms is too much work (at most 16 forms, fewer where they vary a lot): ask for the greedy one\n"
    );
}
