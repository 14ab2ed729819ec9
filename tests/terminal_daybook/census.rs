//! `footring census`

use super::ran::run;
use footring::daybook::{Daybook, Find, FindId, KeyName, Named, Standing};
use footring::identify::{Observation, Piece, Seen, Sure};
use serde_json::Value;
use std::fs;

fn find(form: &str, glaze: &str) -> Find {
    let found_at: jiff::ZonedDateTime = "2026-03-02T10:00:00+00:00[+00:00]".parse().unwrap();
    Find {
        id: FindId::new(),
        revision: 0,
        found_at,
        key: KeyName { title: "Marrowby house key".to_owned(), folder: "marrowby".to_owned() },
        named: Some(Named { form: form.into(), form_name: form.to_owned(), line_name: "Quoin".to_owned() }),
        verdict: String::new(),
        probability: Some(0.9),
        standing: Standing::Settled,
        piece: Piece {
            observations: vec![Observation { feature: "glaze".into(), seen: Seen::Values(vec![glaze.into()]), sure: Sure::Sure }],
            ..Piece::default()
        },
        box_label: String::new(),
        note: String::new(),
        photographs: Vec::new(),
        record: footring::daybook::Record::default(),
    }
}

#[test]
fn a_daybook_is_counted_and_one_that_is_not_there_is_not_made() {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().join("book");
    let at = folder.to_str().unwrap();
    let ran = run(&["census", at, "demo"]);
    assert_eq!((ran.code, ran.err), (2, format!("footring: there is no daybook in '{at}' (give the folder that holds finds.db)\n")));
    assert!(!folder.exists());
    let mut book = Daybook::open(&folder).unwrap();
    for (form, glaze) in
        [("quoin-mug", "flint"), ("quoin-mug", "flint"), ("quoin-mug", "ember"), ("quoin-teapot", "moss"), ("quoin-teapot", "moss")]
    {
        let find = find(form, glaze);
        book.put(&find, &find.found_at).unwrap();
    }
    let ran = run(&["census", at, "demo"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(
        ran.out.starts_with(
            "Marrowby house key: 5 settled finds of 3 pairs of form and glaze\n\
             Pairs still unseen: at least 0, 0 to 0 (Chao 1984; seen 1 once, 2 twice)\n\
             Of the next finds 80 % should be of a pair already seen (Good and Turing)\n"
        ),
        "{}",
        ran.out
    );
    assert!(ran.out.contains("\nrefuted and yet seen: 1\n  mug, Quoin  Ember  1 find"), "{}", ran.out);
    let ran = run(&["census", at, "demo", "--json"]);
    let json: Value = serde_json::from_str(&ran.out).unwrap();
    let cell = json["cells"].as_array().unwrap().iter().find(|cell| cell["form"] == "quoin-mug" && cell["column"] == "flint").unwrap();
    assert_eq!(
        (cell["finds"].as_u64(), cell["state"].as_str(), cell["first"].as_str()),
        (Some(2), Some("seen and listed"), Some("2026-03-02"))
    );
    // Beta(2.5, 1.5): its 2.5 and 97.5 per cent points by scipy 1.17.1.
    assert!((cell["share"]["low"].as_f64().unwrap() - 0.177).abs() < 0.01, "{cell}");
    let csv = dir.path().join("census.csv");
    let ran = run(&["census", at, "demo", "--by", "decoration", "--csv", csv.to_str().unwrap()]);
    assert_eq!(ran.code, 0);
    assert!(fs::read_to_string(&csv).unwrap().starts_with("form,decoration,state,finds,settled,first,last,claimed,papers\n"));
}
