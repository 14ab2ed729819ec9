//! Answers that a measurement weighs: 'round 20 %, oval 80 %'.
#![expect(clippy::unwrap_used, reason = "tests")]

use footring::identify::{Index, Observation, Piece, Seen, Sure};
use footring::key::{Key, ValueId, builtin};
use std::collections::BTreeMap;

fn piece(seen: Seen) -> Piece {
    let mut piece = Piece::default();
    piece.see(Observation { feature: "lid-outline".into(), seen, sure: Sure::Sure });
    piece
}

fn weighed(weights: &[(&str, f64)]) -> Seen {
    Seen::Weighed(weights.iter().map(|(id, weight)| (ValueId::new(*id), *weight)).collect())
}

/// Probabilities of all forms, and of a stranger.
fn probabilities(key: &Key, seen: Seen) -> (BTreeMap<String, f64>, f64) {
    let standing = Index::new(key).standing(&piece(seen));
    (standing.candidates.iter().map(|c| (c.form.to_string(), c.probability)).collect(), standing.not_in_key)
}

fn alike(one: &(BTreeMap<String, f64>, f64), other: &(BTreeMap<String, f64>, f64)) {
    assert_eq!(one.0.keys().collect::<Vec<_>>(), other.0.keys().collect::<Vec<_>>());
    for (form, p) in &one.0 {
        assert!((p - other.0.get(form).unwrap()).abs() < 1e-12, "{form}: {p} {:?}", other.0.get(form));
    }
    assert!((one.1 - other.1).abs() < 1e-12);
}

#[test]
fn a_weight_on_one_value_or_alike_on_two_is_what_a_person_says() {
    let key = builtin::demo().key;
    let values = |ids: &[&str]| Seen::Values(ids.iter().map(|id| ValueId::new(*id)).collect());
    alike(&probabilities(&key, weighed(&[("oval", 1.0)])), &probabilities(&key, values(&["oval"])));
    alike(&probabilities(&key, weighed(&[("oval", 0.5), ("round", 0.5)])), &probabilities(&key, values(&["round", "oval"])));
}

#[test]
fn only_the_proportions_of_the_weights_matter() {
    let key = builtin::demo().key;
    let one = probabilities(&key, weighed(&[("oval", 0.8), ("round", 0.2)]));
    alike(&one, &probabilities(&key, weighed(&[("round", 3.0), ("oval", 12.0), ("oblong", 0.0), ("no such value", 5.0)])));
    // Between the two answers: the surer of an oval, the likelier an oval form.
    let oval = |share: f64| {
        let (forms, _) = probabilities(&key, weighed(&[("oval", share), ("round", 1.0 - share)]));
        *forms.get("quoin-casserole-one").unwrap()
    };
    assert!(oval(0.1) < oval(0.5) && oval(0.5) < oval(0.9) && oval(0.9) < oval(0.999));
}

#[test]
fn weights_that_say_nothing_change_nothing() {
    let key = builtin::demo().key;
    let blank = Index::new(&key).standing(&Piece::default());
    for seen in
        [weighed(&[]), weighed(&[("oval", 0.0)]), weighed(&[("oval", f64::NAN), ("round", -1.0)]), weighed(&[("no such value", 1.0)])]
    {
        let standing = Index::new(&key).standing(&piece(seen));
        for form in &blank.candidates {
            assert!((standing.candidates.probability(&form.form).unwrap() - form.probability).abs() < 1e-12);
        }
    }
}
