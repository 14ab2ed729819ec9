//! The decision sequence: against every possible one, against its bounds, and by hand.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

use footring::identify::Index;
use footring::identify::cover::Goal;
use footring::identify::sequence::{Method, Sequence, SequenceAsk, SequenceError, To};
use footring::key::{FormId, Key, Part, builtin};
use proptest::prelude::*;
use serde_json::{Value, json};
use std::collections::BTreeSet;

fn id(form: usize) -> FormId {
    FormId::new(format!("form-{form:03}"))
}

fn ask(method: Method) -> SequenceAsk {
    SequenceAsk { method, goal: Goal::Fewest, missing: BTreeSet::new(), finds: Vec::new() }
}

/// A key from a table: a form a row, a feature of four values a column, -1 where nothing is recorded.
fn key_of(rows: &[Vec<i64>], weights: &[f64], efforts: &[f64]) -> Key {
    let mut key = Key::default();
    let values: Vec<Value> = (0..4).map(|v| json!({"id": format!("v{v}")})).collect();
    for (c, effort) in efforts.iter().enumerate() {
        let feature = json!({"id": format!("feature-{c}"), "part": "Body", "view": "Side", "kind": {"Choice": values}, "effort": effort});
        key.features.push(serde_json::from_value(feature).unwrap());
    }
    for (n, (row, weight)) in rows.iter().zip(weights).enumerate() {
        let told = row.iter().enumerate().filter(|(_, v)| **v >= 0);
        let records: serde_json::Map<String, Value> =
            told.map(|(c, v)| (format!("feature-{c}"), json!({"Always": format!("v{v}")}))).collect();
        key.forms.push(form(n, *weight, &Value::Object(records)));
    }
    key
}

fn form(n: usize, weight: f64, records: &Value) -> footring::key::Form {
    let body = json!({"body": [{"Corner": [30.0, 0.0]}, {"Corner": [40.0, 60.0]}]});
    let form = json!({"id": id(n).to_string(), "name": format!("form {n}"), "line": "line", "weight": weight, "parts": ["Body"], "shape": body, "features": records});
    serde_json::from_value(form).unwrap()
}

/// The least expected cost over every possible sequence, tried one by one. A state is the probability of each form with this path.
fn least(rows: &[Vec<Vec<f64>>], costs: &[f64], state: &[f64], open: u32) -> f64 {
    let left = state.iter().filter(|p| **p > 0.0).count();
    let mut best: Option<f64> = None;
    for c in (0..costs.len()).filter(|c| open >> c & 1 == 1) {
        let branches: Vec<Vec<f64>> = (0..4).map(|v| state.iter().zip(rows).map(|(p, row)| p * row[c][v]).collect::<Vec<f64>>()).collect();
        let sizes: Vec<usize> = branches.iter().map(|b| b.iter().filter(|p| **p > 0.0).count()).collect();
        if sizes.iter().all(|&n| n == 0 || n == left) {
            continue;
        }
        let mut cost = costs[c] * state.iter().sum::<f64>();
        for branch in branches.iter().zip(&sizes).filter(|(_, n)| **n > 0).map(|b| b.0) {
            cost += least(rows, costs, branch, open & !(1 << c));
        }
        best = Some(best.map_or(cost, |best: f64| best.min(cost)));
    }
    best.unwrap_or(0.0)
}

/// How often each form has each value; where nothing is recorded, as the others do.
fn shares(rows: &[Vec<i64>], prior: &[f64]) -> Vec<Vec<Vec<f64>>> {
    let columns = rows[0].len();
    let mean = |c: usize| {
        let mut mean = [0.0; 4];
        for (row, p) in rows.iter().zip(prior).filter(|(row, _)| row[c] >= 0) {
            mean[usize::try_from(row[c]).unwrap()] += p;
        }
        let sum: f64 = mean.iter().sum();
        // A feature nobody recorded parts nothing.
        if sum > 0.0 { mean.iter().map(|m| m / sum).collect::<Vec<_>>() } else { vec![1.0, 0.0, 0.0, 0.0] }
    };
    let one = |v: i64| (0..4).map(|n| f64::from(u8::from(n == v))).collect::<Vec<_>>();
    rows.iter().map(|row| (0..columns).map(|c| if row[c] >= 0 { one(row[c]) } else { mean(c) }).collect()).collect()
}

fn tables() -> impl Strategy<Value = (Vec<Vec<i64>>, Vec<f64>, Vec<f64>)> {
    (1_usize..6, 1_usize..5).prop_flat_map(|(forms, features)| {
        let cell = prop_oneof![1 => Just(-1_i64), 7 => 0_i64..3];
        let rows = prop::collection::vec(prop::collection::vec(cell, features), forms);
        let weights = prop::collection::vec((1_u32..9).prop_map(f64::from), forms);
        let efforts = prop::collection::vec((1_u32..4).prop_map(f64::from), features);
        (rows, weights, efforts)
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn nothing_betters_the_exact_one_and_no_bound_is_bettered((rows, weights, efforts) in tables()) {
        let index = Index::new(&key_of(&rows, &weights, &efforts));
        let sum: f64 = weights.iter().sum();
        let prior: Vec<f64> = weights.iter().map(|w| w / sum).collect();
        let shares = shares(&rows, &prior);
        for goal in [Goal::Fewest, Goal::LeastEffort] {
            let costs = if goal == Goal::Fewest { vec![1.0; efforts.len()] } else { efforts.clone() };
            let want = least(&shares, &costs, &prior, (1 << costs.len()) - 1);
            let exact = index.sequence(&SequenceAsk { goal, ..ask(Method::Exact) }).unwrap();
            let greedy = index.sequence(&SequenceAsk { goal, ..ask(Method::Greedy) }).unwrap();
            prop_assert!((exact.expected - want).abs() < 1e-9, "{goal:?}: {}, not {want}", exact.expected);
            prop_assert!(greedy.expected >= exact.expected - 1e-9, "{goal:?}: greedy {} betters {}", greedy.expected, exact.expected);
            prop_assert!(exact.bound <= exact.expected + 1e-9, "{goal:?}: the bound {} is above {}", exact.bound, exact.expected);
            // Four values are two bits a look.
            prop_assert!(goal == Goal::LeastEffort || exact.bound >= exact.entropy_bits / 2.0 - 1e-9, "{} {}", exact.bound, exact.entropy_bits);
            walked(&exact, rows.len());
            walked(&greedy, rows.len());
        }
    }
}

fn follow(sequence: &Sequence, to: &To, depth: usize, ends: &mut BTreeSet<FormId>, reached: &mut BTreeSet<usize>) {
    assert!(depth <= sequence.longest, "a path is longer than {}", sequence.longest);
    match to {
        To::Forms(forms) => ends.extend(forms.iter().cloned()),
        To::Step(n) => {
            reached.insert(*n);
            let step = &sequence.steps[n - 1];
            assert_eq!(step.number, *n);
            assert!(!step.choices.is_empty(), "step {n} has no choices");
            step.choices.iter().for_each(|choice| follow(sequence, &choice.to, depth + 1, ends, reached));
        }
    }
}

/// Follows every path: each form is at the end of one, every step is reached, and none leads back.
fn walked(sequence: &Sequence, forms: usize) {
    let mut ends: BTreeSet<FormId> = BTreeSet::new();
    let mut reached = BTreeSet::new();
    follow(sequence, &sequence.start, 0, &mut ends, &mut reached);
    assert_eq!(ends.len(), forms, "{sequence:#?}");
    assert_eq!(reached.len(), sequence.steps.len());
}

#[test]
fn sixteen_forms_of_four_questions_need_four_looks() {
    let rows: Vec<Vec<i64>> = (0..16).map(|n| (0..4).map(|bit| n >> bit & 1).collect()).collect();
    let index = Index::new(&key_of(&rows, &[1.0; 16], &[1.0; 4]));
    for method in [Method::Greedy, Method::Exact] {
        let sequence = index.sequence(&ask(method)).unwrap();
        assert!((sequence.expected - 4.0).abs() < 1e-12, "{method:?}: {}", sequence.expected);
        assert!((sequence.bound - 4.0).abs() < 1e-12 && (sequence.entropy_bits - 4.0).abs() < 1e-12, "{method:?}: {}", sequence.bound);
        assert_eq!((sequence.longest, sequence.steps.len()), (4, 15));
    }
}

#[test]
fn a_common_form_is_asked_for_first() {
    // Equal weights: 2 looks for each by features 1 and 2. One look finds form 0; of the others one takes one more, two take two.
    let rows = [vec![1, 0, 0], vec![0, 0, 1], vec![0, 1, 0], vec![0, 1, 1]];
    let index = Index::new(&key_of(&rows, &[1.0; 4], &[1.0; 3]));
    let even = index.sequence(&ask(Method::Exact)).unwrap();
    assert!((even.expected - 2.0).abs() < 1e-12, "{}", even.expected);
    let finds = vec![(id(0), 97.0), (id(1), 1.0), (id(2), 1.0), (id(3), 1.0)];
    let often = index.sequence(&SequenceAsk { finds, ..ask(Method::Exact) }).unwrap();
    assert_eq!(often.steps[0].name, "feature 0");
    assert!((often.expected - (0.97 + 0.01 * 2.0 + 0.02 * 3.0)).abs() < 1e-12, "{}", often.expected);
}

#[test]
fn a_measure_is_cut_where_the_forms_leave_a_gap() {
    let mut key = Key::default();
    let height = json!({"id": "height", "part": "Body", "view": "Hand", "kind": {"Measure": {"unit": "Mm", "give_percent": 1.0}}});
    key.features.push(serde_json::from_value(height).unwrap());
    for (n, range) in [[60.0, 62.0], [80.0, 83.0], [81.0, 84.0]].iter().enumerate() {
        key.forms.push(form(n, 1.0, &json!({"height": {"Between": range}})));
    }
    let sequence = Index::new(&key).sequence(&ask(Method::Greedy)).unwrap();
    let choices: Vec<(&str, &To)> = sequence.steps[0].choices.iter().map(|choice| (choice.label.as_str(), &choice.to)).collect();
    assert_eq!(choices, [("below 71 mm", &To::Forms(vec![id(0)])), ("71 mm or more", &To::Forms(vec![id(1), id(2)]))]);
    assert_eq!((sequence.steps.len(), sequence.longest), (1, 1));
    assert!((sequence.expected - 1.0).abs() < 1e-12, "{}", sequence.expected);
    // Two classes of 1/3 and 2/3.
    assert!((sequence.entropy_bits - 0.918_295_834_054_489_6).abs() < 1e-12, "{}", sequence.entropy_bits);
}

#[test]
fn of_the_demo_key_every_form_is_reached_also_without_lids() {
    let key = builtin::demo().key;
    let index = Index::new(&key);
    for missing in [BTreeSet::new(), BTreeSet::from([Part::Lid])] {
        let sequence = index.sequence(&SequenceAsk { missing: missing.clone(), ..ask(Method::Greedy) }).unwrap();
        walked(&sequence, key.forms.len());
        assert!(sequence.bound <= sequence.expected && sequence.cut_short.is_empty(), "{} {}", sequence.bound, sequence.expected);
        let part = |feature| key.feature(feature).unwrap().part;
        assert!(missing.is_empty() || sequence.steps.iter().all(|step| ![Part::Lid, Part::Finial].contains(&part(&step.feature))));
    }
    assert_eq!(
        index.sequence(&ask(Method::Exact)).unwrap_err().to_string(),
        format!(
            "the best sequence of {} forms is too much work (at most 16 forms, fewer where they vary a lot): ask for the greedy one",
            key.forms.len()
        )
    );
}

#[test]
fn nothing_and_one_form_need_no_step() {
    let none = Index::new(&Key::default()).sequence(&ask(Method::Exact)).unwrap();
    assert_eq!((none.steps.len(), none.start, none.longest), (0, To::Forms(Vec::new()), 0));
    let one = Index::new(&key_of(&[vec![0]], &[1.0], &[1.0])).sequence(&ask(Method::Greedy)).unwrap();
    assert_eq!((one.steps.len(), one.start), (0, To::Forms(vec![id(0)])));
    let rows: Vec<Vec<i64>> = (0..3001).map(|n| vec![n % 4]).collect();
    let many = Index::new(&key_of(&rows, &vec![1.0; rows.len()], &[1.0])).sequence(&ask(Method::Greedy));
    assert_eq!(many.unwrap_err(), SequenceError::TooMany { forms: 3001 });
}
