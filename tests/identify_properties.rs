//! What always holds of the engine, on the demo key with arbitrary answers, right and wrong.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

use footring::identify::{Index, Measured, Observation, Piece, SHELVED, Seen, Shelf, Sure};
use footring::key::{FeatureKind, Key, Part, ValueId, builtin};
use proptest::prelude::*;
use std::sync::OnceLock;

fn demo() -> &'static (Key, Index) {
    static DEMO: OnceLock<(Key, Index)> = OnceLock::new();
    DEMO.get_or_init(|| {
        let key = builtin::demo().key;
        let index = Index::new(&key);
        (key, index)
    })
}

/// An answer to the nth feature, from three arbitrary numbers.
fn answer(n: usize, pick: usize, also: usize, x: f64) -> Observation {
    let key = &demo().0;
    let feature = &key.features[n % key.features.len()];
    let values = key.values_of(feature);
    let seen = match &feature.kind {
        FeatureKind::Measure(_) => Seen::Measured(Measured { value: x, plus_minus: 1.0 + (pick % 7) as f64 }),
        FeatureKind::Mark if pick.is_multiple_of(2) => Seen::Wording(["MARROW… OV?N", "???", "", "QUOIN", "ארץ 陶"][also % 5].to_owned()),
        _ if pick.is_multiple_of(11) => Seen::NotSure,
        _ if pick.is_multiple_of(13) => Seen::NotThere,
        _ => {
            let mut chosen = vec![values[pick % values.len()].0.clone()];
            if also.is_multiple_of(3) {
                let other: ValueId = values[also % values.len()].0.clone();
                if !chosen.contains(&other) {
                    chosen.push(other);
                }
            }
            Seen::Values(chosen)
        }
    };
    Observation { feature: feature.id.clone(), seen, sure: if also % 4 == 1 { Sure::Probably } else { Sure::Sure } }
}

fn answers() -> impl Strategy<Value = Vec<Observation>> {
    prop::collection::vec((0_usize..64, 0_usize..97, 0_usize..89, prop_oneof![Just(0.0), 1.0..400.0, Just(1e12)]), 0..9)
        .prop_map(|all| all.into_iter().map(|(n, pick, also, x)| answer(n, pick, also, x)).collect())
}

fn piece_of(answers: &[Observation]) -> Piece {
    let mut piece = Piece::default();
    for answer in answers {
        piece.see(answer.clone());
    }
    piece
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn probabilities_are_probabilities(answers in answers()) {
        let index = &demo().1;
        let piece = piece_of(&answers);
        let standing = index.standing(&piece);
        let sum: f64 = standing.candidates.iter().map(|c| c.probability).sum::<f64>() + standing.not_in_key;
        prop_assert!((sum - 1.0).abs() < 1e-9, "{sum}");
        prop_assert!(standing.candidates.iter().all(|c| c.probability.is_finite() && c.probability >= 0.0));
        prop_assert!(standing.candidates.windows(2).all(|pair| pair[0].probability >= pair[1].probability));
        prop_assert_eq!(standing.fits + standing.one_slip + standing.set_aside, standing.candidates.len());
        prop_assert!(standing.next_looks.iter().all(|look| look.bits.is_finite() && look.bits >= 0.0 && look.bits <= standing.entropy_bits + 1e-9));
        let verdict = index.verdict(&piece, &standing);
        prop_assert!(!verdict.sentence.is_empty() && verdict.sentence.ends_with('.'), "{}", verdict.sentence);
        prop_assert!(!verdict.sentence.contains("  ") && !verdict.sentence.contains(" ,") && !verdict.sentence.contains(".."), "{}", verdict.sentence);
    }

    #[test]
    fn the_order_of_answers_does_not_matter_and_taking_one_back_restores_the_bits(answers in answers()) {
        let index = &demo().1;
        let mut piece = piece_of(&answers);
        let there = index.standing(&piece);
        piece.observations.reverse();
        prop_assert_eq!(&index.standing(&piece), &there);
        piece.observations.reverse();
        let before = index.standing(&piece);
        if let Some(last) = piece.observations.pop() {
            let _ = index.standing(&piece);
            piece.observations.push(last);
            prop_assert_eq!(index.standing(&piece), before);
        }
    }

    #[test]
    fn a_missing_part_is_not_asked_for_and_its_answers_count_for_nothing(answers in answers()) {
        let (key, index) = demo();
        let mut piece = piece_of(&answers);
        piece.missing.insert(Part::Lid);
        let with = index.standing(&piece);
        let part_of = |id: &footring::key::FeatureId| key.feature(id).unwrap().part;
        prop_assert!(with.next_looks.iter().all(|look| part_of(&look.feature) != Part::Lid && part_of(&look.feature) != Part::Finial));
        piece.observations.retain(|o| part_of(&o.feature) != Part::Lid && part_of(&o.feature) != Part::Finial);
        let without = index.standing(&piece);
        let p = |standing: &footring::identify::Standing| standing.candidates.iter().map(|c| (c.form.clone(), c.probability)).collect::<Vec<_>>();
        prop_assert_eq!(p(&with), p(&without));
    }

    #[test]
    fn the_order_of_the_forms_does_not_matter(answers in answers(), turn in 1_usize..80) {
        let (key, index) = demo();
        let mut turned = key.clone();
        let n = turned.forms.len();
        turned.forms.rotate_left(turn % n);
        let piece = piece_of(&answers);
        prop_assert_eq!(Index::new(&turned).standing(&piece), index.standing(&piece));
    }
}

#[test]
fn what_cannot_be_told_is_asked_no_more_and_counts_for_nothing() {
    let (key, index) = demo();
    let blank = index.standing(&Piece::default());
    for feature in &key.features {
        let mut piece = Piece::default();
        piece.see(Observation { feature: feature.id.clone(), seen: Seen::NotSure, sure: Sure::Sure });
        let standing = index.standing(&piece);
        assert_eq!(standing.candidates, blank.candidates, "{}", feature.id);
        assert_eq!(standing.not_in_key.to_bits(), blank.not_in_key.to_bits(), "{}", feature.id);
        assert!(standing.next_looks.iter().all(|look| look.feature != feature.id), "{} is asked again", feature.id);
    }
}

#[test]
fn numbers_that_are_none_or_huge_leave_probabilities() {
    let (key, index) = demo();
    let odd = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, f64::MAX, f64::MIN_POSITIVE, -1.0, 0.0, -0.0];
    for x in odd {
        for y in odd {
            let mut piece = Piece::default();
            for feature in &key.features {
                let seen = match feature.kind {
                    FeatureKind::Measure(_) => Seen::Measured(Measured { value: x, plus_minus: y }),
                    FeatureKind::Mark => Seen::Wording("X".repeat(10_000)),
                    _ => Seen::Colour { lab: footring::colour::Lab::new(x, y, x), spread: y },
                };
                piece.see(Observation { feature: feature.id.clone(), seen, sure: Sure::Probably });
            }
            let standing = index.standing(&piece);
            let sum: f64 = standing.candidates.iter().map(|c| c.probability).sum::<f64>() + standing.not_in_key;
            assert!((sum - 1.0).abs() < 1e-9, "value {x}, plus or minus {y}: {sum}");
            assert!(standing.entropy_bits.is_finite() && standing.next_looks.iter().all(|look| look.score.is_finite()), "{x} {y}");
            assert!(!index.verdict(&piece, &standing).sentence.contains("NaN"), "{x} {y}");
        }
    }
}

/// What stands on the shelf, and what is asked one answer later, against the long way round.
#[test]
fn the_shelf_and_the_answer_after_another_are_those_of_the_whole_list() {
    let key = builtin::demo().key;
    let words = footring::key::Words::new(&key);
    let index = Index::new(&key);
    let typed = ["handle=lug", "height=71±2", "lid outline=oval", "rim=plain", "weight=300±20", "handle=loop", "glaze=?"];
    let mut piece = Piece::default();
    let (mut before, _) = index.answer(&piece);
    for text in typed {
        piece.see(footring::identify::see::see(&key, &words, text).unwrap());
        let whole = index.answer(&piece);
        let after = index.answer_after(&before, &piece);
        assert_eq!(after, whole, "{text}");
        let standing = &whole.0;
        for (shelf, is_there) in [
            (standing.candidates.fitting(), (|place: &Shelf| *place == Shelf::Fits) as fn(&Shelf) -> bool),
            (standing.candidates.slipping(), |place: &Shelf| matches!(place, Shelf::OneSlip(_))),
        ] {
            let slow: Vec<_> = standing.candidates.iter().filter(|candidate| is_there(&candidate.place)).take(SHELVED).cloned().collect();
            assert_eq!(shelf, slow, "{text}");
        }
        for candidate in &standing.candidates {
            assert_eq!(standing.candidates.probability(&candidate.form), Some(candidate.probability));
        }
        before = after.0;
    }
    assert_eq!(before.candidates.probability(&"no such form".into()), None);
}
