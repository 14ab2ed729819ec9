//! Key health: by hand, and what recording a cell really does.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

use footring::identify::Index;
use footring::identify::health::{Health, MOST_FORMS};
use footring::key::{FeatureId, FormId, Key, Record, ValueId, builtin};
use proptest::prelude::*;
use serde_json::{Value, json};
use std::ops::ControlFlow;

const SLIP: f64 = 0.1;
const VALUES: i64 = 3;

fn go(_: f64) -> ControlFlow<()> {
    ControlFlow::Continue(())
}

fn health(key: &Key) -> Health {
    Index::new(key).health(go).unwrap()
}

fn id(form: usize) -> FormId {
    FormId::new(format!("form-{form:04}"))
}

/// A key from a table: a form a row, a feature of three values a column, -1 where nothing is recorded.
fn key_of(rows: &[Vec<i64>], weights: &[f64]) -> Key {
    let mut key = Key::default();
    let values: Vec<Value> = (0..VALUES).map(|v| json!({"id": format!("v{v}")})).collect();
    for c in 0..rows.first().map_or(0, Vec::len) {
        let feature = json!({"id": format!("feature-{c}"), "part": "Body", "view": "Side", "kind": {"Choice": values}, "slip": SLIP});
        key.features.push(serde_json::from_value(feature).unwrap());
    }
    for (n, (row, weight)) in rows.iter().zip(weights).enumerate() {
        let told = row.iter().enumerate().filter(|(_, v)| **v >= 0);
        let records: serde_json::Map<String, Value> =
            told.map(|(c, v)| (format!("feature-{c}"), json!({"Always": format!("v{v}")}))).collect();
        let body = json!({"body": [{"Corner": [30.0, 0.0]}, {"Corner": [40.0, 60.0]}]});
        let form = json!({"id": id(n).to_string(), "name": format!("form {n}"), "line": "line", "weight": weight, "parts": ["Body"], "shape": body, "features": records});
        key.forms.push(serde_json::from_value(form).unwrap());
    }
    key
}

/// Σ √(p q) of two different values that are each misread one time in ten for one of the two others: 2 √(0.9 · 0.05) + 0.05.
const DIFFERENT: f64 = 0.474_264_068_711_928_5;

/// The mean confusion of a table, worked out pair by pair.
fn confusion(rows: &[Vec<i64>], weights: &[f64]) -> f64 {
    let (mut sum, mut all) = (0.0, 0.0);
    for a in 0..rows.len() {
        for b in a + 1..rows.len() {
            let different = rows[a].iter().zip(&rows[b]).filter(|(x, y)| **x >= 0 && **y >= 0 && x != y).count();
            sum += weights[a] * weights[b] * DIFFERENT.powi(i32::try_from(different).unwrap());
            all += weights[a] * weights[b];
        }
    }
    if all > 0.0 { sum / all } else { 0.0 }
}

fn tables() -> impl Strategy<Value = (Vec<Vec<i64>>, Vec<f64>)> {
    (1_usize..8, 1_usize..6).prop_flat_map(|(forms, features)| {
        let cell = prop_oneof![1 => Just(-1_i64), 3 => 0..VALUES];
        let rows = prop::collection::vec(prop::collection::vec(cell, features), forms);
        (rows, prop::collection::vec((1_u32..9).prop_map(f64::from), forms))
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_cell_drops_the_confusion_by_what_recording_it_does((rows, weights) in tables()) {
        let found = health(&key_of(&rows, &weights));
        let before = confusion(&rows, &weights);
        prop_assert!((found.confusion - before).abs() < 1e-5, "{}, not {before}", found.confusion);
        prop_assert!(found.to_record.windows(2).all(|pair| pair[0].drop >= pair[1].drop));
        let mut checked = 0;
        for (f, row) in rows.iter().enumerate() {
            for c in (0..row.len()).filter(|&c| row[c] < 0) {
                // Each value as often as the other forms have it.
                let others: Vec<(i64, f64)> = rows.iter().zip(&weights).filter(|(r, _)| r[c] >= 0).map(|(r, w)| (r[c], *w)).collect();
                let sum: f64 = others.iter().map(|o| o.1).sum();
                let after: f64 = others
                    .iter()
                    .map(|&(value, w)| {
                        let mut with = rows.clone();
                        with[f][c] = value;
                        w / sum * confusion(&with, &weights)
                    })
                    .sum();
                let want = if sum > 0.0 { before - after } else { 0.0 };
                let said = found.to_record.iter().find(|cell| cell.form == id(f) && cell.feature == FeatureId::new(format!("feature-{c}")));
                let got = said.map_or(0.0, |cell| cell.drop);
                prop_assert!((got - want).abs() < 1e-5, "form {f}, feature {c}: {got}, not {want}");
                checked += 1;
            }
        }
        prop_assert_eq!(checked, found.thin.iter().map(|thin| thin.missing.len()).sum::<usize>());
    }

    #[test]
    fn pairs_are_counted_as_one_by_one((rows, weights) in tables()) {
        let found = health(&key_of(&rows, &weights));
        let differ = |a: usize, b: usize| rows[a].iter().zip(&rows[b]).filter(|(x, y)| **x >= 0 && **y >= 0 && x != y).count();
        let pairs: Vec<usize> = (0..rows.len()).flat_map(|a| (a + 1..rows.len()).map(move |b| (a, b))).map(|(a, b)| differ(a, b)).collect();
        prop_assert_eq!(found.pairs, pairs.len());
        prop_assert_eq!(found.untold_pairs, pairs.iter().filter(|n| **n == 0).count());
        prop_assert_eq!(found.by_one_pairs, pairs.iter().filter(|n| **n == 1).count());
        prop_assert_eq!(found.untold.len(), found.untold_pairs);
        let number = |form: &FormId| form.as_str()[5..].parse::<usize>().unwrap();
        prop_assert!(found.untold.iter().all(|pair| differ(number(&pair.form), number(&pair.other)) == 0));
        prop_assert!(found.by_one.iter().all(|pair| differ(number(&pair.form), number(&pair.other)) == 1 && (pair.surely - 0.925).abs() < 1e-6));
    }
}

#[test]
fn a_small_key_worked_by_hand() {
    // Feature 1 is the same of all and value v2 is never used in either.
    let mut key = key_of(&[vec![0, 0], vec![0, 0], vec![1, -1]], &[1.0; 3]);
    let found = health(&key);
    assert_eq!((found.forms, found.features, found.weighed, found.pairs), (3, 2, 3, 3));
    assert_eq!((found.untold_pairs, &found.untold[0].form, &found.untold[0].other), (1, &id(0), &id(1)));
    assert!(found.untold[0].to_record.is_empty() && (found.untold[0].confusion - 1.0).abs() < 1e-6, "{:?}", found.untold[0]);
    assert_eq!(found.by_one_pairs, 2);
    assert_eq!(found.by_one[0].by, Some(FeatureId::new("feature-0")));
    assert_eq!(found.telling_nothing.iter().map(|h| (h.feature.as_str(), h.recorded)).collect::<Vec<_>>(), [("feature-1", 2)]);
    let unused: Vec<(&str, &str)> = found.unused.iter().map(|v| (v.feature.as_str(), v.value.as_str())).collect();
    assert_eq!(unused, [("feature-0", "v2"), ("feature-1", "v1"), ("feature-1", "v2")]);
    assert_eq!(found.thin.iter().map(|t| (t.form.clone(), t.missing.len(), t.of)).collect::<Vec<_>>(), [(id(2), 1, 2)]);
    // Whatever feature 1 of form 2 turns out to be, it is v0 as far as the key knows: nothing is expected of it.
    assert!(found.to_record.is_empty(), "{:?}", found.to_record);
    // Recorded as another value of form 0, the two are told apart, and form 2 may be either.
    key.forms[0].features.insert(FeatureId::new("feature-1"), Record::Always(ValueId::new("v1")));
    let found = health(&key);
    assert_eq!((found.untold_pairs, found.to_record.len()), (0, 1));
    assert_eq!((&found.to_record[0].form, found.to_record[0].feature.as_str()), (&id(2), "feature-1"));
    // Pairs with form 2: two of three, each at 0.474; half of what may be found differs, from either.
    let want = 2.0 * DIFFERENT * (1.0 - f64::midpoint(1.0, DIFFERENT)) / 3.0;
    assert!((found.to_record[0].drop - want).abs() < 1e-6, "{}, not {want}", found.to_record[0].drop);
}

#[test]
fn of_the_demo_key_the_lid_tells_some_pairs_alone() {
    let key = builtin::demo().key;
    let found = health(&key);
    assert_eq!((found.forms, found.features, found.weighed), (key.forms.len(), key.features.len(), key.forms.len()));
    assert_eq!(found.untold_pairs, 0);
    assert!(
        found
            .lid_only
            .iter()
            .all(|pair| { [&pair.form, &pair.other].iter().any(|id| key.form(id).unwrap().parts.contains(&footring::key::Part::Lid)) })
    );
    assert!(found.unused.iter().any(|v| v.value == ValueId::new("fenlight-heron") || v.name == "Fenlight heron"), "a mark never used");
    assert!(!found.to_record.is_empty() && found.to_record.iter().all(|cell| cell.drop > 0.0 && cell.drop <= found.confusion));
}

#[test]
fn a_large_key_is_weighed_in_part_and_says_so() {
    let rows: Vec<Vec<i64>> = (0..MOST_FORMS + 500).map(|n| vec![i64::try_from(n % 3).unwrap(), -1]).collect();
    let found = health(&key_of(&rows, &vec![1.0; rows.len()]));
    assert_eq!((found.forms, found.weighed, found.pairs), (2500, 2000, 2000 * 1999 / 2));
    assert_eq!((found.thin.len(), found.untold.len()), (2500, 200));
    assert!(found.untold_pairs > 200, "{}", found.untold_pairs);
}

#[test]
fn empty_keys_and_a_stop() {
    assert_eq!(health(&Key::default()), Health::default());
    let one = health(&key_of(&[vec![0, -1]], &[1.0]));
    assert_eq!((one.pairs, one.confusion.to_bits(), one.thin.len()), (0, 0.0_f64.to_bits(), 1));
    let stopped = Index::new(&builtin::demo().key).health(|_| ControlFlow::Break(()));
    assert_eq!(stopped.unwrap_err().to_string(), "stopped before every pair was weighed");
}
