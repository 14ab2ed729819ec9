//! The smallest set of features that tells forms apart: against an integer programme, and by hand.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

use footring::identify::Index;
use footring::identify::cover::{Among, Ask, Cover, CoverError, Goal, Proof};
use footring::key::{FormId, Key, Part, builtin};
use serde_json::{Value, json};
use std::ops::ControlFlow;

fn go(_: f64) -> ControlFlow<()> {
    ControlFlow::Continue(())
}

fn id(form: usize) -> FormId {
    FormId::new(format!("form-{form:03}"))
}

/// A key from a table: a form a row, a feature a column, -1 where nothing is recorded. Features have slip 0.
fn key_of(values: &[u64], efforts: &[f64], rows: &[Vec<i64>]) -> Key {
    let mut key = Key::default();
    for (c, (&n, &effort)) in values.iter().zip(efforts).enumerate() {
        let values: Vec<Value> = (0..n).map(|v| json!({"id": format!("v{v}")})).collect();
        let feature = json!({"id": format!("feature-{c:02}"), "part": "Body", "view": "Side", "kind": {"Choice": values}, "slip": 0.0, "effort": effort});
        key.features.push(serde_json::from_value(feature).unwrap());
    }
    for (n, row) in rows.iter().enumerate() {
        let told = row.iter().enumerate().filter(|(_, v)| **v >= 0);
        let records: serde_json::Map<String, Value> =
            told.map(|(c, v)| (format!("feature-{c:02}"), json!({"Always": format!("v{v}")}))).collect();
        let body = json!({"body": [{"Corner": [30.0, 0.0]}, {"Corner": [40.0, 60.0]}]});
        let form = json!({"id": id(n).to_string(), "name": format!("form {n}"), "line": "line", "parts": ["Body"], "shape": body, "features": records});
        key.forms.push(serde_json::from_value(form).unwrap());
    }
    key
}

fn table(one: &Value) -> Key {
    let numbers = |v: &Value| v.as_array().unwrap().iter().map(|n| n.as_i64().unwrap()).collect::<Vec<i64>>();
    let values: Vec<u64> = one["values"].as_array().unwrap().iter().map(|n| n.as_u64().unwrap()).collect();
    let efforts: Vec<f64> = one["efforts"].as_array().unwrap().iter().map(|n| n.as_f64().unwrap()).collect();
    let rows: Vec<Vec<i64>> = one["rows"].as_array().unwrap().iter().map(numbers).collect();
    key_of(&values, &efforts, &rows)
}

/// True where these features, and they alone, tell every pair apart that any feature of the key tells apart.
fn covers(key: &Key, pairs: &[(usize, usize)], chosen: &Cover) -> bool {
    let differ = |a: usize, b: usize, feature: &footring::key::FeatureId| {
        let (a, b) = (key.forms[a].features.get(feature), key.forms[b].features.get(feature));
        a.is_some() && b.is_some() && a != b
    };
    pairs.iter().all(|&(a, b)| {
        chosen.features.iter().any(|used| differ(a, b, &used.feature)) || !key.features.iter().any(|feature| differ(a, b, &feature.id))
    })
}

/// `tests/reference/covers.py`: `SciPy`'s `milp` on random tables.
#[test]
fn covers_are_as_small_as_those_of_an_integer_programme() {
    let tables: Vec<Value> = serde_json::from_str(include_str!("reference/covers.json")).unwrap();
    assert!(tables.len() > 30, "the reference has {} tables", tables.len());
    let mut proven = 0;
    for (n, one) in tables.iter().enumerate() {
        let key = table(one);
        let index = Index::new(&key);
        let all: Vec<FormId> = (0..key.forms.len()).map(id).collect();
        let every: Vec<(usize, usize)> = (0..all.len()).flat_map(|a| (a + 1..all.len()).map(move |b| (a, b))).collect();
        let first: Vec<(usize, usize)> = (1..all.len()).map(|b| (0, b)).collect();
        let asks = [("every", Among::EachOther(all.clone()), &every), ("first", Among::FromOthers(vec![id(0)]), &first)];
        for (name, among, pairs) in asks {
            for goal in [Goal::Fewest, Goal::LeastEffort] {
                let cover = index.cover(&Ask { goal, nodes: 6_000, ..Ask::new(among.clone()) }, go).unwrap();
                let want = if goal == Goal::Fewest { one[name]["fewest"].as_f64() } else { one[name]["effort"].as_f64() }.unwrap();
                let got = if goal == Goal::Fewest { cover.features.len() as f64 } else { cover.effort };
                assert!(covers(&key, pairs, &cover), "table {n}, {name}, {goal:?}");
                assert_eq!(cover.untold_pairs as u64, one[name]["untold"].as_u64().unwrap(), "table {n}, {name}");
                match cover.proof {
                    Proof::Exact => {
                        assert!((got - want).abs() < 1e-9, "table {n}, {name}, {goal:?}: {got}, not {want}");
                        proven += 1;
                    }
                    Proof::AtLeast(bound) => assert!(bound <= want && want <= got, "table {n}, {name}, {goal:?}: {bound} {want} {got}"),
                }
            }
        }
    }
    assert!(proven * 10 >= tables.len() * 4 * 9, "only {proven} of {} answers are proven", tables.len() * 4);
}

#[test]
fn one_form_two_that_are_alike_and_what_to_record() {
    // Form 0 and 1 differ in the third feature only, which is not recorded of form 2.
    let key = key_of(&[2, 2, 2], &[1.0; 3], &[vec![0, 0, 0], vec![0, 0, 1], vec![0, 0, -1], vec![1, 0, 0]]);
    let cover = Index::new(&key).cover(&Ask::new(Among::FromOthers(vec![id(0)])), go).unwrap();
    let names: Vec<(&str, usize, usize)> = cover.features.iter().map(|used| (used.name.as_str(), used.pairs, used.alone)).collect();
    assert_eq!(names, [("feature 00", 1, 1), ("feature 02", 1, 1)]);
    assert_eq!((cover.pairs, cover.untold_pairs, cover.proof), (3, 1, Proof::Exact));
    assert_eq!((&cover.untold[0].form, &cover.untold[0].other), (&id(0), &id(2)));
    assert_eq!(cover.untold[0].to_record.iter().map(ToString::to_string).collect::<Vec<_>>(), ["feature-02"]);
}

#[test]
fn of_equally_few_the_least_effort_and_of_equal_effort_the_fewest() {
    // One feature of effort 3 does the work of two of effort 1; the fourth is as good as the third, and costs more.
    let rows = [vec![0, 0, 0, 0], vec![1, 0, 1, 1], vec![0, 1, 2, 2], vec![1, 1, 3, 3]];
    let index = Index::new(&key_of(&[2, 2, 4, 4], &[1.0, 1.0, 3.0, 4.0], &rows));
    let every = Ask::new(Among::EachOther((0..4).map(id).collect()));
    let names = |ask: &Ask| index.cover(ask, go).unwrap().features.iter().map(|used| used.name.clone()).collect::<Vec<_>>();
    assert_eq!(names(&every), ["feature 02"]);
    assert_eq!(names(&Ask { goal: Goal::LeastEffort, ..every.clone() }), ["feature 00", "feature 01"]);
}

#[test]
fn without_its_lid_other_features_must_do() {
    let key = builtin::demo().key;
    let index = Index::new(&key);
    let every: Vec<FormId> = key.forms.iter().map(|form| form.id.clone()).collect();
    let with = index.cover(&Ask::new(Among::EachOther(every.clone())), go).unwrap();
    let without = index.cover(&Ask { missing: [Part::Lid].into(), ..Ask::new(Among::EachOther(every)) }, go).unwrap();
    let part = |feature| key.feature(feature).unwrap().part;
    assert!(without.features.iter().all(|used| ![Part::Lid, Part::Finial].contains(&part(&used.feature))), "{without:?}");
    assert!(without.untold_pairs >= with.untold_pairs, "{} {}", without.untold_pairs, with.untold_pairs);
    assert_eq!(with.untold.len(), with.untold_pairs);
}

#[test]
fn nothing_to_tell_apart_needs_nothing() {
    let index = Index::new(&key_of(&[2], &[1.0], &[vec![0]]));
    let strangers = vec![FormId::new("nobody")];
    for among in
        [Among::EachOther(vec![id(0), id(0)]), Among::FromOthers(vec![id(0)]), Among::FromOthers(strangers), Among::EachOther(Vec::new())]
    {
        let cover = index.cover(&Ask::new(among), go).unwrap();
        assert_eq!((cover.features.len(), cover.pairs, cover.proof), (0, 0, Proof::Exact));
    }
    let empty = Index::new(&Key::default());
    assert_eq!(empty.cover(&Ask::new(Among::FromOthers(vec![id(0)])), go).unwrap().pairs, 0);
}

#[test]
fn too_many_pairs_are_refused_with_a_sentence() {
    let rows: Vec<Vec<i64>> = (0..2002).map(|n| vec![n % 2]).collect();
    let index = Index::new(&key_of(&[2], &[1.0], &rows));
    let told = index.cover(&Ask::new(Among::EachOther((0..2002).map(id).collect())), go);
    assert_eq!(told.clone().unwrap_err(), CoverError::TooMany { pairs: 2_003_001 });
    assert_eq!(
        told.unwrap_err().to_string(),
        "2003001 pairs of forms are too many to weigh at once (at most 2000000): ask about fewer forms"
    );
    let stopped = index.cover(&Ask::new(Among::FromOthers(vec![id(0)])), |_| ControlFlow::Break(()));
    assert_eq!(stopped.unwrap_err().to_string(), "stopped before there was an answer");
}
