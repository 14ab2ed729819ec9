//! `footring reconcile`

use super::ran::run;
use serde_json::Value;
use std::fs;
use std::path::PathBuf;

fn demo_list() -> String {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo/lists/quoin-1955.csv").to_str().unwrap().to_owned()
}

#[test]
fn a_list_is_matched_with_probability_and_runner_up() {
    let ran = run(&["reconcile", "demo", &demo_list(), "--paper", "price-list-1954", "--json"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let json: Value = serde_json::from_str(&ran.out).unwrap();
    let entries = json["entries"].as_array().unwrap();
    assert_eq!(entries.len(), 35);
    let of = |written: &str| entries.iter().find(|entry| entry["written"] == written).unwrap();
    assert_eq!(of("cass 2 pt")["form"], "quoin-casserole-two-pint");
    assert_eq!(of("toast rack 4 slice")["form"], Value::Null);
    assert_eq!(of("mug, str't")["glazes"], serde_json::json!(["flint"]));
    assert!(entries.iter().all(|entry| (0.0..=1.0).contains(&entry["probability"].as_f64().unwrap())));
}

#[test]
fn text_csv_and_what_cannot_be() {
    let dir = tempfile::tempdir().unwrap();
    let out = dir.path().join("out.csv");
    let ran = run(&["reconcile", "demo", &demo_list(), "--out", out.to_str().unwrap()]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(ran.out.starts_with("35 entries, ") && ran.out.ends_with(&format!("written to {}\n", out.to_str().unwrap())), "{}", ran.out);
    let csv = fs::read_to_string(&out).unwrap();
    assert!(
        csv.starts_with("written,form,name,probability,runner-up,its probability,no form of this key,glazes,price\ndinr plate 10 sq,"),
        "{csv}"
    );
    let ran = run(&["reconcile", "demo", &demo_list(), "--paper", "price-list-1999"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.starts_with("footring: --paper 'price-list-1999': there is no paper 'price-list-1999' in this key"), "{}", ran.err);
    let empty = dir.path().join("empty.csv");
    fs::write(&empty, "written,price\n").unwrap();
    let ran = run(&["reconcile", "demo", empty.to_str().unwrap()]);
    assert_eq!(
        (ran.code, ran.err.as_str()),
        (1, "footring: there is no entry in 'empty.csv' (a row each was expected below the names of the columns)\n")
    );
    assert_eq!(run(&["reconcile", "demo", &demo_list(), "--ratio", "9"]).code, 2);
    let ran = run(&["reconcile", "demo", &demo_list(), "--out", &demo_list()]);
    assert_eq!(ran.code, 2);
}
