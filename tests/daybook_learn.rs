//! What confirmed finds say of the key's frequencies.
#![expect(clippy::unwrap_used, reason = "tests")]

use footring::daybook::learn::{Change, Learnt, LeftOut, learn};
use footring::daybook::{Find, FindId, KeyName, Named, Standing};
use footring::identify::{Measured, Observation, Piece, Seen, Sure};
use footring::key::{Counted, CountedId, FormId, How, Key, Often, Record, builtin};

const SUGAR: &str = "quoin-covered-sugar";

fn key() -> Key {
    builtin::demo().key
}

fn find(form: &str, see: &[(&str, Seen)]) -> Find {
    Find {
        id: FindId::new(),
        revision: 1,
        found_at: "2026-03-02T09:00:00+00:00[+00:00]".parse().unwrap(),
        key: KeyName { title: "Marrowby".to_owned(), folder: "marrowby".to_owned() },
        named: Some(Named { form: FormId::from(form), form_name: String::new(), line_name: String::new() }),
        verdict: String::new(),
        probability: Some(0.99),
        standing: Standing::Settled,
        piece: Piece {
            observations: see
                .iter()
                .map(|(feature, seen)| Observation { feature: (*feature).into(), seen: seen.clone(), sure: Sure::Sure })
                .collect(),
            ..Piece::default()
        },
        box_label: String::new(),
        note: String::new(),
        photographs: Vec::new(),
        record: footring::daybook::Record::default(),
    }
}

fn value(id: &str) -> Seen {
    Seen::Values(vec![id.into()])
}

fn record(key: &mut Key, feature: &str, record: Record) {
    let form = key.forms.iter_mut().find(|form| form.id.as_str() == SUGAR).unwrap();
    form.features.insert(feature.into(), record);
}

fn counts(values: &[(&str, u32)]) -> Record {
    Record::Values(values.iter().map(|&(value, n)| (value.into(), Often::Times(n))).collect())
}

fn after(learnt: &Learnt) -> Vec<Record> {
    let records = learnt.proposals.iter().map(|proposal| match &proposal.change {
        Change::Record { after, .. } => after.clone(),
        other => unreachable!("{other:?}"),
    });
    records.collect()
}

fn learn_all(key: &Key, finds: &[Find]) -> Learnt {
    learn(key, "marrowby", finds)
}

#[test]
fn counts_are_added_to_counts() {
    let mut key = key();
    record(&mut key, "lid-outline", counts(&[("round", 7)]));
    let finds = [find(SUGAR, &[("lid-outline", value("round"))]), find(SUGAR, &[("lid-outline", value("oval"))])];
    let learnt = learn_all(&key, &finds);
    assert_eq!(after(&learnt), [counts(&[("round", 8), ("oval", 1)])]);
    assert_eq!(learnt.counted.len(), 2);
    let changed = learnt.taken(&key, |_| true);
    let sugar = changed.form(&FormId::from(SUGAR)).unwrap();
    assert_eq!(sugar.features.get("lid-outline"), Some(&counts(&[("round", 8), ("oval", 1)])));
    // Once is enough, also where a proposal was declined.
    assert_eq!(learn_all(&changed, &finds).proposals, []);
    let declined = learnt.taken(&key, |_| false);
    assert_eq!(declined.forms, key.forms);
    assert_eq!(learn_all(&declined, &finds).left_out.len(), 2);
}

#[test]
fn pieces_that_only_agree_with_always_say_nothing_new_and_one_that_does_not_is_counted() {
    let mut key = key();
    record(&mut key, "lid-outline", Record::Always("round".into()));
    let round = find(SUGAR, &[("lid-outline", value("round"))]);
    assert_eq!(learn_all(&key, std::slice::from_ref(&round)).proposals, []);
    let finds = [round, find(SUGAR, &[("lid-outline", value("oval"))])];
    assert_eq!(after(&learn_all(&key, &finds)), [counts(&[("round", 6), ("oval", 1)])]);
}

#[test]
fn words_give_way_to_counts_from_five_pieces_up_or_where_a_piece_shows_what_they_rule_out() {
    let mut key = key();
    let words = [("round".into(), Often::Usually), ("oval".into(), Often::Sometimes)].into_iter().collect();
    record(&mut key, "lid-outline", Record::Values(words));
    let finds: Vec<Find> = (0..5).map(|_| find(SUGAR, &[("lid-outline", value("round"))])).collect();
    assert_eq!(learn_all(&key, finds.get(..4).unwrap()).proposals, []);
    assert_eq!(after(&learn_all(&key, &finds)), [counts(&[("round", 9), ("oval", 1)])]);
    let square = [find(SUGAR, &[("lid-outline", value("rounded-square"))])];
    assert_eq!(after(&learn_all(&key, &square)), [counts(&[("round", 4), ("oval", 1), ("rounded-square", 1)])]);
}

#[test]
fn a_range_is_widened_only_by_what_the_plus_minus_does_not_explain() {
    let mut key = key();
    record(&mut key, "height", Record::Between(70.0, 74.0));
    let measured = |value: f64, plus_minus: f64| [("height", Seen::Measured(Measured { value, plus_minus }))];
    assert_eq!(learn_all(&key, &[find(SUGAR, &measured(75.0, 2.0)), find(SUGAR, &measured(69.0, 1.0))]).proposals, []);
    let finds = [find(SUGAR, &measured(77.0, 2.0)), find(SUGAR, &measured(66.0, 1.0))];
    assert_eq!(after(&learn_all(&key, &finds)), [Record::Between(66.0, 77.0)]);
    record(&mut key, "height", Record::NotRecorded);
    assert_eq!(after(&learn_all(&key, &finds)), [Record::Between(66.0, 77.0)]);
}

#[test]
fn a_glaze_in_the_hand_beats_a_suspicion() {
    let mut key = key();
    let glaze = {
        let form = key.forms.iter_mut().find(|form| form.id.as_str() == SUGAR).unwrap();
        let held = form.glazes.first_mut().unwrap();
        held.how = How::Suspected;
        held.id.clone()
    };
    let feature = key.features.iter().find(|f| f.kind == footring::key::FeatureKind::Glaze).unwrap().id.clone();
    let learnt = learn_all(&key, &[find(SUGAR, &[(feature.as_str(), value(glaze.as_str()))])]);
    let [proposal] = learnt.proposals.as_slice() else { unreachable!("{learnt:?}") };
    let Change::Glazes(claims) = &proposal.change else { unreachable!("{proposal:?}") };
    assert_eq!(claims.before.first().unwrap().how, How::Suspected);
    assert_eq!(claims.after.first().unwrap().how, How::Seen);
    assert_eq!(claims.after.len(), claims.before.len());
}

#[test]
fn what_is_not_certain_is_left_out_with_the_reason() {
    let mut key = key();
    let see = [("lid-outline", value("oval"))];
    let mut unsettled = find(SUGAR, &see);
    unsettled.standing = Standing::Leaning;
    let mut elsewhere = find(SUGAR, &see);
    elsewhere.key.folder = "other".to_owned();
    let gone = find("no-such-form", &see);
    let before = find(SUGAR, &see);
    let either = find(SUGAR, &[("lid-outline", Seen::Values(vec!["oval".into(), "round".into()]))]);
    let mut probably = find(SUGAR, &see);
    probably.piece.observations.first_mut().unwrap().sure = Sure::Probably;
    key.counted.push(Counted { id: CountedId::new(before.id.to_string()), form: FormId::from(SUGAR) });
    let finds = [unsettled, elsewhere, gone, before, either, probably];
    let learnt = learn_all(&key, &finds);
    assert_eq!(learnt.proposals, []);
    assert_eq!(learnt.counted, []);
    let why = |n: usize| learnt.left_out.iter().find(|(id, _)| finds.get(n).is_some_and(|find| find.id == *id)).unwrap().1;
    assert_eq!(
        (0..6).map(why).collect::<Vec<_>>(),
        [
            LeftOut::NotSettled,
            LeftOut::OtherKey,
            LeftOut::FormGone,
            LeftOut::CountedBefore,
            LeftOut::NothingCertain,
            LeftOut::NothingCertain
        ]
    );
}
