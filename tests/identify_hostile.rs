//! The engine on keys and pieces made to hurt: whatever is asked, the answers are numbers that add up and sentences that can be read.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

use footring::colour::Lab;
use footring::identify::cover::{Among, Ask, Goal};
use footring::identify::sequence::{Method, SequenceAsk};
use footring::identify::trial::{self, Options, Way};
use footring::identify::{Index, Measured, Observation, Piece, Seen, Settings, Standing, Sure, Verdict, VerdictState};
use footring::key::{Feature, FeatureKind, Form, FormId, Key, Often, Part, Record, Value, ValueId, builtin};
use std::ops::ControlFlow;

fn demo() -> Key {
    builtin::demo().key
}

/// What must hold of any answer.
fn sane(key: &Key, (standing, verdict): &(Standing, Verdict), what: &str) {
    let sum: f64 = standing.candidates.iter().map(|candidate| candidate.probability).sum::<f64>() + standing.not_in_key;
    assert!((sum - 1.0).abs() < 1e-9, "{what}: all probabilities come to {sum}");
    assert!(standing.candidates.iter().all(|c| (0.0..=1.0).contains(&c.probability)), "{what}");
    assert_eq!(standing.candidates.len(), key.forms.len(), "{what}");
    assert_eq!(standing.fits + standing.one_slip + standing.set_aside, key.forms.len(), "{what}");
    assert!(standing.entropy_bits.is_finite() && standing.entropy_bits >= 0.0, "{what}: {}", standing.entropy_bits);
    assert!(standing.next_looks.iter().all(|look| look.bits.is_finite() && look.score.is_finite() && look.bits >= 0.0), "{what}");
    assert!(!verdict.sentence.is_empty() && (0.0..=1.0).contains(&verdict.probability), "{what}: {verdict:?}");
}

fn piece(observations: Vec<Observation>) -> Piece {
    let mut piece = Piece::default();
    for observation in observations {
        piece.see(observation);
    }
    piece
}

fn saw(feature: &str, seen: Seen) -> Observation {
    Observation { feature: feature.into(), seen, sure: Sure::Sure }
}

/// Everything that can be asked of a key, asked.
fn ask_everything(key: &Key, what: &str) {
    let index = Index::new(key);
    sane(key, &index.answer(&Piece::default()), what);
    let ids: Vec<FormId> = key.forms.iter().map(|form| form.id.clone()).collect();
    for among in [Among::FromOthers(ids.iter().take(1).cloned().collect()), Among::EachOther(ids.iter().take(40).cloned().collect())] {
        let cover = index.cover(&Ask { nodes: 2000, ..Ask::new(among) }, |_| ControlFlow::Continue(())).unwrap();
        assert!(cover.untold_pairs <= cover.pairs, "{what}");
    }
    let health = index.health(|_| ControlFlow::Continue(())).unwrap();
    assert!((0.0..=1.0).contains(&health.confusion) && health.untold_pairs <= health.pairs, "{what}: {}", health.confusion);
    let options = Options { pieces: 1, left_out: 1, way: Way::Guided { most: 3 }, ..Options::for_forms(key.forms.len()) };
    if key.forms.len() <= 200 {
        let report = trial::run(key, Settings::default(), options, &|_, _| ControlFlow::Continue(())).unwrap();
        assert_eq!(report.pieces, key.forms.len(), "{what}");
        assert!(report.calibration.brier.is_finite() && report.looks.mean.is_finite(), "{what}");
    }
    let tells = index.tells(&ids.iter().take(6).cloned().collect::<Vec<_>>(), None);
    assert!(tells.tells.iter().all(|tell| (0.0..=1.0).contains(&tell.surely)), "{what}");
    let asked =
        SequenceAsk { method: Method::Greedy, goal: Goal::Fewest, missing: std::collections::BTreeSet::default(), finds: Vec::new() };
    let printed = index.sequence(&asked).unwrap();
    assert!(printed.expected.is_finite() && printed.bound <= printed.expected + 1e-9, "{what}");
}

#[test]
fn keys_of_nothing_and_of_one_form() {
    let mut key = demo();
    key.forms.truncate(1);
    ask_everything(&key, "one form");
    key.forms.clear();
    ask_everything(&key, "no form");
    key.features.clear();
    ask_everything(&key, "nothing at all");
    let mut key = demo();
    key.features.clear();
    ask_everything(&key, "forms, but no feature");
}

#[test]
fn weights_that_are_none_count_as_one() {
    let mut ones = demo();
    ones.forms.iter_mut().for_each(|form| form.weight = 1.0);
    let even = Index::new(&ones).answer(&Piece::default()).0;
    for weight in [0.0, -1.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let mut key = demo();
        for form in &mut key.forms {
            form.weight = weight;
        }
        let index = Index::new(&key);
        let answer = index.answer(&Piece::default());
        sane(&key, &answer, &format!("weight {weight}"));
        assert!((answer.0.entropy_bits - even.entropy_bits).abs() < 1e-9, "weight {weight}");
    }
    let mut key = demo();
    key.forms[0].weight = f64::MAX;
    key.forms[1].weight = f64::MIN_POSITIVE;
    sane(&key, &Index::new(&key).answer(&Piece::default()), "weights as far apart as they go");
}

#[test]
fn measurements_that_are_none_say_nothing() {
    let key = demo();
    let index = Index::new(&key);
    let blank = index.answer(&Piece::default());
    for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let piece = piece(vec![saw("height", Seen::Measured(Measured { value, plus_minus: 2.0 }))]);
        let answer = index.answer(&piece);
        sane(&key, &answer, &format!("{value} mm"));
        assert!((answer.0.entropy_bits - blank.0.entropy_bits).abs() < 1e-9, "{value} mm tells something");
        assert_eq!(answer.0.ignored.len(), 1, "{value} mm is not passed over in silence");
    }
    for (value, plus_minus) in [
        (-5.0, 2.0),
        (0.0, 0.0),
        (1e300, 1.0),
        (71.0, f64::NAN),
        (71.0, f64::INFINITY),
        (71.0, -3.0),
        (71.0, 0.0),
        (71.0, 1e300),
        (f64::MIN_POSITIVE, f64::MIN_POSITIVE),
    ] {
        let piece = piece(vec![saw("height", Seen::Measured(Measured { value, plus_minus }))]);
        sane(&key, &index.answer(&piece), &format!("{value} ± {plus_minus} mm"));
    }
}

#[test]
fn colours_that_are_none_and_wordings_without_end() {
    let key = demo();
    let index = Index::new(&key);
    for lab in [(f64::NAN, 0.0, 0.0), (50.0, f64::INFINITY, 0.0), (1e300, -1e300, 1e300), (0.0, 0.0, 0.0)] {
        for spread in [0.0, f64::NAN, f64::INFINITY, -1.0] {
            let lab_of = Lab { l: lab.0, a: lab.1, b: lab.2 };
            for feature in &key.features {
                let piece = piece(vec![saw(feature.id.as_str(), Seen::Colour { lab: lab_of, spread })]);
                sane(&key, &index.answer(&piece), &format!("{lab:?} ± {spread} for {}", feature.id));
            }
        }
    }
    for wording in
        ["", "?", "…", "????????", "\u{202e}TOPGNITRAP", "\0\0", &"MARROWBY ".repeat(2000), &"é".repeat(5000), &"?".repeat(20_000)]
    {
        let piece = piece(vec![saw("mark", Seen::Wording(wording.to_owned()))]);
        sane(&key, &index.answer(&piece), &wording.chars().take(20).collect::<String>());
    }
}

#[test]
fn answers_to_what_the_key_has_not_say_nothing_and_are_named() {
    let key = demo();
    let index = Index::new(&key);
    let odd: Vec<Observation> = (0..500).map(|n| saw(&format!("no-such-{n}"), Seen::Values(vec![ValueId::new("x")]))).collect();
    let asked = piece(odd);
    let answer = index.answer(&asked);
    sane(&key, &answer, "five hundred unknown features");
    assert_eq!(answer.0.ignored.len(), 500);
    assert_eq!(answer.1.state, VerdictState::Nothing);
    let mismatched: Vec<Observation> =
        key.features.iter().map(|feature| saw(feature.id.as_str(), Seen::Values(vec![ValueId::new("no such value")]))).collect();
    let answer = index.answer(&piece(mismatched));
    sane(&key, &answer, "values that no feature has");
    let empty: Vec<Observation> = key.features.iter().map(|feature| saw(feature.id.as_str(), Seen::Values(Vec::new()))).collect();
    sane(&key, &index.answer(&piece(empty)), "no value at all");
}

#[test]
fn all_parts_missing_and_every_answer_against_every_form() {
    let key = demo();
    let index = Index::new(&key);
    let mut gone = Piece::default();
    gone.missing.extend(Part::ALL);
    sane(&key, &index.answer(&gone), "nothing is left of it");
    // Every feature answered with whatever the fewest forms have, surely and probably.
    for sure in [Sure::Sure, Sure::Probably] {
        let mut against = Piece::default();
        for feature in &key.features {
            let seen = match &feature.kind {
                FeatureKind::Measure(_) => Seen::Measured(Measured { value: 9999.0, plus_minus: 0.1 }),
                _ => Seen::NotThere,
            };
            against.see(Observation { feature: feature.id.clone(), seen, sure });
        }
        let answer = index.answer(&against);
        sane(&key, &answer, "against everything");
        assert!(matches!(answer.1.state, VerdictState::NotInKey | VerdictState::Contradiction), "{:?}", answer.1);
    }
    // The same feature said twice, otherwise: the last counts.
    let twice = piece(vec![saw("lid-outline", Seen::Values(vec!["oval".into()])), saw("lid-outline", Seen::Values(vec!["round".into()]))]);
    let once = piece(vec![saw("lid-outline", Seen::Values(vec!["round".into()]))]);
    assert_eq!(index.answer(&twice).0, index.answer(&once).0);
}

fn wide(values: usize, forms: usize) -> Key {
    let mut key = demo();
    let model: Feature = key.features.iter().find(|feature| matches!(feature.kind, FeatureKind::Choice(_))).unwrap().clone();
    let FeatureKind::Choice(of_model) = &model.kind else { return key };
    let value: Value = of_model[0].clone();
    let all = (0..values).map(|n| Value { id: ValueId::new(format!("v{n}")), name: String::new(), ..value.clone() }).collect();
    key.features = vec![Feature { kind: FeatureKind::Choice(all), only_if: None, part: Part::Body, ..model }];
    let shape: Form = key.forms[0].clone();
    let id = key.features[0].id.clone();
    key.forms = (0..forms)
        .map(|n| {
            let record = match n % 3 {
                0 => Record::Always(ValueId::new(format!("v{}", n % values))),
                1 => Record::Values(
                    [(ValueId::new(format!("v{}", n % values)), Often::Times(3)), (ValueId::new("v0"), Often::Times(1))].into(),
                ),
                _ => Record::NotRecorded,
            };
            let mut form = Form { id: FormId::new(format!("f{n:05}")), name: format!("form {n}"), ..shape.clone() };
            form.features = [(id.clone(), record)].into();
            form
        })
        .collect();
    key
}

#[test]
fn a_feature_of_ten_thousand_values() {
    let key = wide(10_000, 300);
    let index = Index::new(&key);
    sane(&key, &index.answer(&Piece::default()), "blank");
    let id = key.features[0].id.clone();
    let answer = index.answer(&piece(vec![saw(id.as_str(), Seen::Values(vec![ValueId::new("v3")]))]));
    sane(&key, &answer, "one of ten thousand");
    assert_eq!(answer.0.candidates.first().unwrap().form.as_str(), "f00003");
    // Pairs are weighed over every value, so few forms are enough here.
    ask_everything(&wide(10_000, 30), "a feature of ten thousand values");
}

#[test]
fn ten_thousand_forms_that_nothing_tells_apart() {
    let mut key = wide(2, 1);
    let model = key.forms[0].clone();
    key.forms = (0..10_000).map(|n| Form { id: FormId::new(format!("f{n:05}")), ..model.clone() }).collect();
    let index = Index::new(&key);
    let answer = index.answer(&Piece::default());
    sane(&key, &answer, "ten thousand alike");
    let seen = index.answer(&piece(vec![saw(key.features[0].id.as_str(), Seen::Values(vec![ValueId::new("v0")]))]));
    sane(&key, &seen, "ten thousand alike, one answer");
    assert_ne!(seen.1.state, VerdictState::Settled, "nothing can be settled");
    let health = index.health(|_| ControlFlow::Continue(())).unwrap();
    assert_eq!(health.untold_pairs, health.pairs);
    assert!(health.untold.len() <= 200, "the list ends");
}
