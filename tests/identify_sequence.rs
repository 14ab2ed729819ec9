//! Decision sequences: greedy, best, and the bounds under them.
#![expect(clippy::unwrap_used, reason = "tests")]

use footring::identify::Index;
use footring::identify::cover::Goal;
use footring::identify::sequence::{Method, Sequence, SequenceAsk, To};
use footring::key::Key;
use proptest::prelude::*;
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// A key from a table: a form a row with its weight, a feature a column of so many values.
fn key_of(values: &[usize], rows: &[(f64, Vec<usize>)]) -> Key {
    let mut key = Key::default();
    for (c, &n) in values.iter().enumerate() {
        let values: Vec<Value> = (0..n).map(|v| json!({"id": format!("v{v}")})).collect();
        let feature = json!({"id": format!("feature-{c}"), "part": "Body", "view": "Side", "kind": {"Choice": values}, "slip": 0.0});
        key.features.push(serde_json::from_value(feature).unwrap());
    }
    for (n, (weight, row)) in rows.iter().enumerate() {
        let records: serde_json::Map<String, Value> =
            row.iter().enumerate().map(|(c, v)| (format!("feature-{c}"), json!({"Always": format!("v{v}")}))).collect();
        let body = json!({"body": [{"Corner": [30.0, 0.0]}, {"Corner": [40.0, 60.0]}]});
        let form = json!({"id": format!("form-{n:02}"), "name": format!("form {n}"), "line": "line", "weight": weight, "parts": ["Body"], "shape": body, "features": records});
        key.forms.push(serde_json::from_value(form).unwrap());
    }
    key
}

fn sequence(key: &Key, method: Method) -> Sequence {
    let ask = SequenceAsk { method, goal: Goal::Fewest, missing: BTreeSet::new(), finds: Vec::new() };
    Index::new(key).sequence(&ask).unwrap()
}

/// The fewest looks on average of these rows, by trying every feature at every step.
fn by_brute_force(rows: &[(f64, Vec<usize>)]) -> f64 {
    let weight: f64 = rows.iter().map(|row| row.0).sum();
    let features = rows.first().map_or(0, |row| row.1.len());
    let best = (0..features)
        .filter_map(|feature| {
            let values: BTreeSet<usize> = rows.iter().filter_map(|row| row.1.get(feature).copied()).collect();
            (values.len() > 1).then(|| {
                let branch = |value: &usize| {
                    rows.iter().filter(|row| row.1.get(feature) == Some(value)).cloned().collect::<Vec<(f64, Vec<usize>)>>()
                };
                weight + values.iter().map(|value| by_brute_force(&branch(value))).sum::<f64>()
            })
        })
        .fold(f64::INFINITY, f64::min);
    if best.is_finite() { best } else { 0.0 }
}

/// Sixteen forms by four yes-or-no features: four looks, log₂ 16 bits, and nothing less.
#[test]
fn sixteen_equal_forms_by_yes_and_no_take_four_looks() {
    let rows: Vec<(f64, Vec<usize>)> = (0..16).map(|n| (1.0, (0..4).map(|bit| n >> bit & 1).collect())).collect();
    let key = key_of(&[2; 4], &rows);
    for method in [Method::Greedy, Method::Exact] {
        let found = sequence(&key, method);
        assert!((found.expected - 4.0).abs() < 1e-12 && (found.bound - 4.0).abs() < 1e-12, "{found:?}");
        assert!((found.entropy_bits - 4.0).abs() < 1e-12 && found.longest == 4, "{found:?}");
        assert_eq!(found.start, To::Step(1));
    }
}

#[test]
fn forms_that_no_look_parts_stand_together() {
    let key = key_of(&[2], &[(1.0, vec![0]), (1.0, vec![0])]);
    let found = sequence(&key, Method::Greedy);
    assert_eq!(found.start, To::Forms(vec!["form-00".into(), "form-01".into()]));
    assert!(found.steps.is_empty() && found.expected.abs() < 1e-12);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_best_is_that_of_trying_everything_and_lies_between_the_bound_and_the_greedy_one(
        rows in prop::collection::vec((1_u8..9, prop::collection::vec(0_usize..3, 4)), 1..8),
    ) {
        let rows: Vec<(f64, Vec<usize>)> = rows.into_iter().map(|(weight, row)| (f64::from(weight), row)).collect();
        let key = key_of(&[3; 4], &rows);
        let (greedy, best) = (sequence(&key, Method::Greedy), sequence(&key, Method::Exact));
        let sum: f64 = rows.iter().map(|row| row.0).sum();
        let tried = by_brute_force(&rows) / sum;
        prop_assert!((best.expected - tried).abs() < 1e-9, "{} is not {tried}", best.expected);
        prop_assert!(greedy.expected >= best.expected - 1e-9);
        prop_assert!(best.expected >= best.bound - 1e-9, "{} below {}", best.expected, best.bound);
        prop_assert!(best.bound * 3.0_f64.log2() >= best.entropy_bits - 1e-9);
    }
}
