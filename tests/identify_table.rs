//! The bundled table against sums made one by one, and an index brought up to date against one made anew.
#![expect(clippy::indexing_slicing, reason = "tests")]

use footring::identify::table::{Answer, Bits, Table};
use footring::identify::{Index, Piece};
use footring::key::{FeatureKind, FormId, Key, Often, Part, Record, builtin};
use proptest::prelude::*;

/// Columns of so many patterns each, with the pattern of every form.
fn columns(forms: usize) -> impl Strategy<Value = Vec<(usize, Vec<u32>)>> {
    let column = prop_oneof![1_usize..9, Just(300_usize), Just(5000_usize)]
        .prop_flat_map(move |patterns| (Just(patterns), prop::collection::vec(0..patterns as u32, forms)));
    prop::collection::vec(column, 0..12)
}

/// Number of forms, columns, and a weight a form.
type Made = (usize, Vec<(usize, Vec<u32>)>, Vec<f64>);

fn tables() -> impl Strategy<Value = Made> {
    // Past 4096 forms other loops run than before.
    prop_oneof![3 => 0_usize..40, 2 => Just(1000_usize), 1 => Just(4200_usize)]
        .prop_flat_map(|forms| (Just(forms), columns(forms), prop::collection::vec(0.0..1.0_f64, forms)))
}

fn answers(columns: &[(usize, Vec<u32>)], salt: usize) -> Vec<Answer> {
    let likelihood = |n: usize, patterns: usize| (0..patterns).map(|p| ((p * 7 + n * 3 + salt) % 11) as f64 / 11.0 + 1e-3).collect();
    columns.iter().enumerate().step_by(2).map(|(n, (patterns, _))| Answer { column: n, likelihood: likelihood(n, *patterns) }).collect()
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-12 * a.abs().max(b.abs())
}

fn one_by_one(columns: &[(usize, Vec<u32>)], weights: &[f64]) -> Vec<Vec<f64>> {
    columns
        .iter()
        .map(|(patterns, of_form)| {
            let mut sums = vec![0.0; *patterns];
            for (&pattern, weight) in of_form.iter().zip(weights) {
                sums[pattern as usize] += weight;
            }
            sums
        })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn bundled_sums_are_sums_one_by_one((forms, columns, weights) in tables()) {
        let table = Table::new(forms, &columns);
        let sums = table.gather(&weights);
        for (n, slow) in one_by_one(&columns, &weights).iter().enumerate() {
            prop_assert_eq!(sums.of(n).len(), slow.len());
            prop_assert!(sums.of(n).iter().zip(slow).all(|(a, b)| near(*a, *b)), "column {}", n);
        }
        // Half of the forms, and one in a hundred, are counted in different ways.
        for least in [0.5, 0.99] {
            let some = Bits::from_truth(weights.iter().map(|w| *w > least));
            let ones: Vec<f64> = weights.iter().map(|w| f64::from(u8::from(*w > least))).collect();
            let counts = table.count(&some);
            for (n, slow) in one_by_one(&columns, &ones).iter().enumerate() {
                prop_assert_eq!(counts.of(n), slow.as_slice());
            }
        }
        prop_assert!(sums.of(columns.len()).is_empty());
    }

    #[test]
    fn one_answer_more_or_less_is_all_answers_from_the_start((forms, columns, prior) in tables(), salt in 0_usize..11) {
        let table = Table::new(forms, &columns);
        let all = answers(&columns, salt);
        let whole = table.weigh(&prior, &all);
        let mut slow = prior.clone();
        for answer in &all {
            for (weight, &pattern) in slow.iter_mut().zip(&columns[answer.column].1) {
                *weight *= answer.likelihood[pattern as usize];
            }
        }
        prop_assert!(whole.of_form.iter().zip(&slow).all(|(a, b)| near(*a, *b)));
        prop_assert!(near(whole.total, slow.iter().sum()));
        // One at a time, each on the weights as they stood.
        let mut step = table.weigh(&prior, &[]);
        for answer in &all {
            step = table.weigh_on(step.of_form, std::slice::from_ref(answer));
        }
        prop_assert!(step.of_form.iter().zip(&whole.of_form).all(|(a, b)| near(*a, *b)));
        for n in 0..columns.len() {
            prop_assert!(step.sums.of(n).iter().zip(whole.sums.of(n)).all(|(a, b)| near(*a, *b)), "column {}", n);
        }
        // Taken back: what is left, from the start, to the bit.
        if let Some((last, left)) = all.split_last() {
            let without = table.weigh(&prior, left);
            let with = table.weigh_on(without.of_form.clone(), std::slice::from_ref(last));
            prop_assert!(with.of_form.iter().zip(&whole.of_form).all(|(a, b)| near(*a, *b)));
            prop_assert_eq!(table.weigh(&prior, left), without);
        }
    }

    #[test]
    fn a_table_of_changed_columns_is_a_new_table((forms, columns, _) in tables(), turn in 1_usize..7) {
        let table = Table::new(forms, &columns);
        let mut changed = columns.clone();
        let which: Vec<usize> = (0..columns.len()).filter(|n| n % 3 == turn % 3).collect();
        for &n in &which {
            changed[n].1.rotate_left(turn.min(forms));
            changed[n].0 += turn % 2;
        }
        prop_assert_eq!(table.renewed(&changed, &which), Table::new(forms, &changed));
    }

    #[test]
    fn an_edited_index_answers_as_a_new_one(which in 0_usize..500, feature in 0_usize..500, what in 0_usize..6) {
        let mut key = builtin::demo().key;
        let before = Index::new(&key);
        let id = edit(&mut key, which, feature, what);
        let (edited, anew) = (before.edited(&key, &id), Index::new(&key));
        prop_assert_eq!(edited.standing(&Piece::default()), anew.standing(&Piece::default()));
        let piece = builtin_piece(&key, which);
        prop_assert_eq!(edited.answer(&piece), anew.answer(&piece));
        let (ids, other) = ([id.clone(), key.forms[(which + 1) % key.forms.len()].id.clone()], &key.features[feature % key.features.len()].id);
        prop_assert_eq!(edited.tells(&ids, None), anew.tells(&ids, None));
        prop_assert_eq!(edited.recorded(&id, other), anew.recorded(&id, other));
    }
}

/// One change to one form.
fn edit(key: &mut Key, which: usize, feature: usize, what: usize) -> FormId {
    let n = which % key.forms.len();
    let feature = key.features[feature % key.features.len()].clone();
    let values = key.values_of(&feature);
    let form = &mut key.forms[n];
    let record = match (&feature.kind, what) {
        (_, 0) => Record::NotRecorded,
        (_, 1) => Record::DoesNotApply,
        (FeatureKind::Measure(_), _) => Record::Between(10.0 + which as f64, 500.0),
        (_, 2) => Record::Always(values[which % values.len()].0.clone()),
        _ => Record::Values(
            [(values[which % values.len()].0.clone(), Often::Usually), (values[0].0.clone(), Often::Times(3))].into_iter().collect(),
        ),
    };
    match what {
        4 => form.weight = 2.5,
        5 => {
            "another name".clone_into(&mut form.name);
            form.parts.retain(|part| *part != Part::Lid);
        }
        _ => {
            form.features.insert(feature.id.clone(), record);
        }
    }
    form.id.clone()
}

/// Everything recorded of one form in one value, read off it.
fn builtin_piece(key: &Key, which: usize) -> Piece {
    let mut piece = Piece::default();
    for (feature, record) in &key.forms[which % key.forms.len()].features {
        if let Record::Always(value) = record {
            let seen = footring::identify::Seen::Values(vec![value.clone()]);
            piece.see(footring::identify::Observation { feature: feature.clone(), seen, sure: footring::identify::Sure::Sure });
        }
    }
    piece
}

#[test]
fn an_index_edited_where_the_form_is_new_or_gone_is_made_anew() {
    let mut key = builtin::demo().key;
    let before = Index::new(&key);
    let gone = key.forms.remove(3).id;
    assert_eq!(before.edited(&key, &gone).len(), key.forms.len());
    let mut new = key.forms[0].clone();
    new.id = FormId::new("zz-new");
    key.forms.push(new);
    let edited = before.edited(&key, &FormId::new("zz-new"));
    assert_eq!(edited.standing(&Piece::default()), Index::new(&key).standing(&Piece::default()));
    assert_eq!(edited.len(), key.forms.len());
}
