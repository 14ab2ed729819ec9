#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

use super::super::accept::{Accepted, accepted};
use super::super::entry::entries;
use super::*;
use crate::key::builtin;
use crate::key::tables::{HeaderRow, Options, Table, read_bytes};
use std::collections::BTreeMap;

fn table(text: &str) -> Table {
    read_bytes("list.csv", text.as_bytes().to_vec(), &Options { header: HeaderRow::First, ..Options::default() }).unwrap()
}

fn list(lines: &[&str]) -> Vec<Entry> {
    lines.iter().map(|line| Entry::new(line)).collect()
}

fn best(found: &Reconciled) -> Vec<&str> {
    found.entries.iter().map(|meant| meant.best().map_or("", |guess| guess.form.as_str())).collect()
}

/// How many entries come out right first, how many there are, and by how much probabilities are off (mean of said minus right, by tenths).
fn measured(cases: &[(Reconciled, Vec<String>)]) -> (usize, usize, f64) {
    let (mut right, mut all) = (0, 0);
    let mut tenths: BTreeMap<u32, (f64, f64)> = BTreeMap::new();
    for (found, truth) in cases {
        assert_eq!(found.entries.len(), truth.len());
        for (meant, truth) in found.entries.iter().zip(truth) {
            let first = meant.best().map_or("", |guess| guess.form.as_str());
            let p = meant.best().map_or(meant.none, |guess| guess.probability);
            let hit = first == truth;
            right += usize::from(hit);
            all += 1;
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a tenth")]
            let tenth = tenths.entry((p * 10.0).min(9.0) as u32).or_default();
            tenth.0 += p;
            tenth.1 += f64::from(u8::from(hit));
        }
    }
    let off: f64 = tenths.values().map(|(said, right)| (said - right).abs()).sum();
    (right, all, off / as_number(all))
}

fn demo_list(key: &Key) -> (Reconciled, Vec<String>) {
    let written = table(include_str!("../../../../demo/lists/quoin-1955.csv"));
    let truth = table(include_str!("../../../../demo/lists/quoin-1955-truth.csv"));
    let found = reconcile(key, &entries(&written), key.paper(&"price-list-1954".into()), &Abbreviations::built_in(), None);
    for (meant, row) in found.entries.iter().zip(truth.rows()) {
        assert_eq!(meant.entry.written, row.cell(0));
    }
    (found, truth.rows().map(|row| row.cell(1).to_owned()).collect())
}

#[test]
fn most_of_the_demo_list_comes_out_right() {
    let key = builtin::demo().key;
    let case = demo_list(&key);
    let wrong: Vec<String> = case
        .0
        .entries
        .iter()
        .zip(&case.1)
        .filter(|(meant, truth)| meant.best().map_or("", |guess| guess.form.as_str()) != truth.as_str())
        .map(|(meant, truth)| format!("{} -> {:?} {:.2}, is {truth}", meant.entry.written, meant.guesses.first(), meant.none))
        .collect();
    let (right, all, off) = measured(&[case]);
    assert!(all == 35 && right >= 31, "{right} of {all} {off}: {wrong:#?}");
    assert!(off < 0.2, "{off}");
}

#[test]
fn the_papers_of_the_demo_key_come_out_as_their_keeper_took_them() {
    // What each entry means stands in the key; reconciling does not look there.
    let key = builtin::demo().key;
    let mut cases = Vec::new();
    for paper in key.papers.iter().filter(|paper| !paper.lists.is_empty()) {
        let list: Vec<Entry> = paper
            .lists
            .iter()
            .map(|listed| Entry { glazes: listed.glazes.iter().map(ToString::to_string).collect(), ..Entry::new(&listed.written) })
            .collect();
        let truth: Vec<String> =
            paper.lists.iter().map(|listed| listed.form.as_ref().map(ToString::to_string).unwrap_or_default()).collect();
        cases.push((reconcile(&key, &list, Some(paper), &Abbreviations::built_in(), None), truth));
    }
    let wrong: Vec<String> = cases
        .iter()
        .flat_map(|(found, truth)| found.entries.iter().zip(truth))
        .filter(|(meant, truth)| meant.best().map_or("", |guess| guess.form.as_str()) != truth.as_str())
        .map(|(meant, truth)| format!("{} -> {:?} {:.2}, is {truth}", meant.entry.written, meant.guesses.first(), meant.none))
        .collect();
    let (right, all, off) = measured(&cases);
    assert!(all >= 60 && right * 100 >= all * 80, "{right} of {all} {off}: {wrong:#?}");
    assert!(off < 0.2, "{off}");
}

#[test]
fn strangers_and_nonsense_are_no_form_of_the_key() {
    let key = builtin::demo().key;
    let found = reconcile(&key, &list(&["toast rack, 4 slice", "xyzzy", "½", "…"]), None, &Abbreviations::built_in(), None);
    assert_eq!(best(&found)[0], "");
    assert!(found.entries.iter().all(|meant| {
        let all: f64 = meant.none + meant.guesses.iter().map(|guess| guess.probability).sum::<f64>();
        all <= 1.0 + 1e-9 && meant.none.is_finite()
    }));
    assert_eq!(reconcile(&key, &[], None, &Abbreviations::built_in(), None).entries, []);
    assert!((reconcile(&Key::default(), &list(&["plate"]), None, &Abbreviations::built_in(), None).entries[0].none - 1.0).abs() < 1e-12);
}

#[test]
fn size_and_date_tell_forms_of_one_name_apart() {
    let key = builtin::demo().key;
    let one = |text: &str, paper: &str| {
        let found = reconcile(&key, &list(&[text]), key.paper(&paper.into()), &Abbreviations::built_in(), None);
        best(&found)[0].to_owned()
    };
    assert_eq!(one("plate 10 in", "folder-1934"), "fenlight-plate-10");
    assert_eq!(one("plate 6 in", "folder-1934"), "fenlight-plate-6");
    assert_eq!(one("plate 7 in", "price-list-1954"), "quoin-plate-7");
    assert_eq!(one("casserole 4 pt", "price-list-1954"), "quoin-casserole-four-pint");
}

#[test]
fn accepting_makes_claims_that_cite_the_paper_and_twice_is_once() {
    let key = builtin::demo().key;
    let paper = "price-list-1954".into();
    let entry =
        Accepted { written: "mug, str't".to_owned(), form: "quoin-mug".into(), glazes: vec!["ember".into()], price: "4/3".to_owned() };
    let new = accepted(&key, &paper, std::slice::from_ref(&entry)).unwrap();
    let listed = new.paper(&paper).unwrap().lists.last().unwrap();
    assert_eq!(
        (listed.written.as_str(), listed.form.as_ref().unwrap().as_str(), listed.price.as_str()),
        ("mug, str't", "quoin-mug", "4/3")
    );
    let held = new.form(&"quoin-mug".into()).unwrap().glazes.iter().find(|held| held.id.as_str() == "ember").unwrap();
    assert!(held.papers.contains(&paper));
    assert_eq!(accepted(&new, &paper, &[entry]), Some(new.clone()), "accepted again, nothing changes");
    assert_eq!(accepted(&key, &"no-such-paper".into(), &[]), None);
    // An entry whose form was not settled is filled in, not listed twice.
    let mut open = key.clone();
    let at = open.papers.iter().position(|known| known.id == paper).unwrap();
    open.papers[at].lists[0].form = None;
    let first = open.papers[at].lists[0].clone();
    let entry = Accepted { written: first.written.clone(), form: "quoin-teapot".into(), glazes: Vec::new(), price: String::new() };
    let new = accepted(&open, &paper, &[entry]).unwrap();
    assert_eq!((new.papers[at].lists.len(), new.papers[at].lists[0].price.as_str()), (open.papers[at].lists.len(), first.price.as_str()));
    assert_eq!(new.papers[at].lists[0].form.as_ref().unwrap().as_str(), "quoin-teapot");
}
