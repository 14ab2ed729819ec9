//! `footring pair`, and its assignment against another library's.

use super::ran::{Ran, run};
use footring::daybook::lids::most_probable;
use serde::Deserialize;
use serde_json::Value;
use std::fs;
use std::path::PathBuf;

const LIDS: &str = "id,flange major mm,flange minor mm,glaze,clay,shelf\nL1,92±0.5,92±0.5,Flint,buff,A\nL2,140,104,Moss,buff,A\nL3,\"6 1/4\"\"\",,Slate,buff,B\nL4,70,,Ember,red,B\n";
const BASES: &str = "id,gallery major mm,gallery minor mm,glaze,clay\nB1,142.1,106,moss,buff\nB2,94.2±0.5,93.9±0.5,Flint,buff\nB3,161,,Flint,buff\nB4,210,,Slate,buff\n";

struct Shelves {
    dir: tempfile::TempDir,
}

impl Shelves {
    fn new(lids: &str, bases: &str) -> Self {
        let dir = tempfile::tempdir().unwrap();
        fs::write(dir.path().join("lids.csv"), lids).unwrap();
        fs::write(dir.path().join("bases.csv"), bases).unwrap();
        Self { dir }
    }

    fn at(&self, name: &str) -> String {
        self.dir.path().join(name).to_str().unwrap().to_owned()
    }

    fn pair(&self, more: &[&str]) -> Ran {
        let (lids, bases) = (self.at("lids.csv"), self.at("bases.csv"));
        run(&[&["pair", lids.as_str(), bases.as_str()], more].concat())
    }
}

#[test]
fn json_says_pairs_and_what_is_alone() {
    let ran = Shelves::new(LIDS, BASES).pair(&["--json"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let json: Value = serde_json::from_str(&ran.out).unwrap();
    let keys: Vec<&String> = json.as_object().unwrap().keys().collect();
    assert_eq!(keys, ["bases_alone", "lids_alone", "pairs"]);
    assert_eq!((json["lids_alone"].clone(), json["bases_alone"].clone()), (serde_json::json!(["L4"]), serde_json::json!(["B4"])));
    let pairs: Vec<(String, String)> =
        json["pairs"].as_array().unwrap().iter().map(|p| (p["lid"].as_str().unwrap().into(), p["base"].as_str().unwrap().into())).collect();
    assert_eq!(pairs, [("L1".into(), "B2".into()), ("L2".into(), "B1".into()), ("L3".into(), "B3".into())]);
    let first = json["pairs"][0].as_object().unwrap();
    assert_eq!(first.keys().collect::<Vec<_>>(), ["base", "lid", "probability", "remarks"]);
    assert!(first["probability"].as_f64().unwrap() > 0.9, "{first:?}");
    assert_eq!(first["remarks"], serde_json::json!(["2.2 mm and 1.9 mm of play"]));
    assert_eq!(
        json["pairs"][2]["remarks"],
        serde_json::json!(["2.3 mm of play", "marriage: fits, but the glaze differs ('Slate' on 'Flint')"])
    );
}

#[test]
fn text_csv_and_wishes() {
    let shelves = Shelves::new(LIDS, BASES);
    let ran = shelves.pair(&["--forbid", "L3=B3", "--pin", "L4=B4"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(ran.out.starts_with("4 lids, 4 bases: 3 pairs, 1 marriage\n  L1  B2  "), "{}", ran.out);
    assert!(
        ran.out.contains(
            "  L4  B4    100 %  put together by hand; 140.0 mm of play; rocks: 140.0 mm of play; marriage: fits, but the glaze differs"
        ),
        "{}",
        ran.out
    );
    assert!(ran.out.ends_with("lids alone: L3\nbases alone: B3\n"), "{}", ran.out);
    let out = shelves.at("pairs.csv");
    let ran = shelves.pair(&["--out", &out]);
    assert_eq!(ran.out, format!("4 lids, 4 bases: 3 pairs, 1 marriage, written to {out}\n"));
    let csv = fs::read_to_string(&out).unwrap();
    assert!(csv.starts_with("lid,base,probability,remarks\nL1,B2,0.9999,"), "{csv}");
    assert!(csv.ends_with("L4,,,alone\n,B4,,alone\n"), "{csv}");
    let ran = shelves.pair(&["--out", &shelves.at("lids.csv")]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("is one of the tables, which are never written over (give --out another name)"), "{}", ran.err);
}

#[test]
fn bad_tables_are_told_with_their_places() {
    let ran = Shelves::new("id,flange major mm\nL1,wide\nL1,92\n,90\n", BASES).pair(&[]);
    assert_eq!(ran.code, 1);
    assert_eq!(
        ran.err,
        "footring: lids.csv, row 2, column B: 'wide' is not a measure (write a number with or without its unit: 92, 92-95 mm, 9 1/4 in); it counts as not measured\n\
         footring: lids.csv, row 3, column A: the id 'L1' stands in row 2 already; this row is left out (give it an id of its own)\n\
         footring: lids.csv, row 4, column A: this row has no id and is left out (write the number on its sticker)\n"
    );
    assert_eq!(ran.out, "1 lid, 4 bases: 0 pairs\nlids alone: L1\nbases alone: B1, B2, B3, B4\n");
    let check = |lids: &str, code: u8, says: &str| {
        let ran = Shelves::new(lids, BASES).pair(&[]);
        assert_eq!((ran.code, ran.out.as_str(), ran.err.as_str()), (code, "", format!("footring: {says}\n").as_str()));
    };
    check("", 1, "there is nothing in 'lids.csv'");
    check("id,flange major mm\n", 1, "there is no lid in 'lids.csv' (a row each was expected below the names of the columns)");
    check("id,width\nL1,92\n", 1, "there is no column 'flange major mm' in 'lids.csv' (it has 'id', 'width')");
    let ran = Shelves::new(LIDS, BASES).pair(&["--pin", "L9=B1"]);
    assert_eq!((ran.code, ran.err.as_str()), (2, "footring: there is no lid 'L9' on its shelf\n"));
    assert_eq!(Shelves::new(LIDS, BASES).pair(&["--pin", "L9"]).code, 2);
}

#[test]
fn own_rules_go_before_the_built_in_ones() {
    let shelves = Shelves::new(LIDS, BASES);
    // A key whose lids never share their base's glaze, and a rule that makes no sense.
    let rules = "[\n  (id: \"glaze\", basis: Choice, rule: Alike(column: \"glaze\", share: 0.0001)),\n  (id: \"seat\", basis: Choice, rule: Clearance(share: 2, middle_mm: 2, spread_mm: 1, give_percent: 1)),\n]";
    fs::write(shelves.dir.path().join("own.ron"), rules).unwrap();
    let ran = shelves.pair(&["--rules", &shelves.at("own.ron")]);
    assert_eq!(
        (ran.code, ran.err.as_str()),
        (1, "footring: 'share: 2' was found where a share above 0, at most 1 was expected\nown.ron:3:37\n")
    );
    assert!(ran.out.contains("  L1  B2     73 %  ") && ran.out.contains("  L3  B3   99.0 %  "), "{}", ran.out);
    let ran = shelves.pair(&["--rules", &shelves.at("none.ron")]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.starts_with("footring: the rules can't be read: "), "{}", ran.err);
}

#[derive(Deserialize)]
struct Case {
    lids: usize,
    bases: usize,
    edges: Vec<(usize, usize, f64)>,
    pairs: Vec<(usize, usize)>,
    sum: f64,
}

#[test]
fn the_best_sorting_is_the_one_that_scipy_finds() {
    // Reference: scipy 1.17.1, linear_sum_assignment, by tests/reference/assignment.py.
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/reference/assignment.json");
    let cases: Vec<Case> = serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap();
    assert_eq!(cases.len(), 10);
    for case in cases {
        let found = most_probable(case.lids, case.bases, &case.edges);
        let sum: f64 = found.iter().filter_map(|pair| case.edges.iter().find(|edge| (edge.0, edge.1) == *pair)).map(|edge| edge.2).sum();
        assert!((sum - case.sum).abs() < 1e-6, "{} × {}: {sum}, {}", case.lids, case.bases, case.sum);
        assert_eq!(found, case.pairs);
    }
}
