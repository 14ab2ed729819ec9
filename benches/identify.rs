//! How long the engine takes to answer: the demo key, and two made-up keys far larger than any we know of.
//!
//! What the figures are and how they were taken stands in `benches/README.md`.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a bench stops where it cannot go on")]

#[path = "common/dice.rs"]
mod dice;

use dice::Dice;
use divan::Bencher;
use footring::identify::{Index, Measured, Observation, Piece, Seen, Sure};
use footring::key::{
    Dimension, Feature, FeatureId, FeatureKind, Form, FormId, Key, MeasureKind, Often, Record, Unit, Value, ValueId, builtin,
};
use std::sync::LazyLock;

fn main() {
    divan::main();
}

/// A key and a piece of it with six answers.
struct Case {
    key: Key,
    index: Index,
    piece: Piece,
}

static DEMO: LazyLock<Case> = LazyLock::new(|| case(builtin::demo().key));
static FIVE_THOUSAND: LazyLock<Case> = LazyLock::new(|| case(made_up(5_000, 40)));
static TEN_THOUSAND: LazyLock<Case> = LazyLock::new(|| case(made_up(10_000, 60)));

const SIZES: [&str; 3] = ["demo", "5000x40", "10000x60"];

fn of(size: &str) -> &'static Case {
    match size {
        "demo" => &DEMO,
        "5000x40" => &FIVE_THOUSAND,
        _ => &TEN_THOUSAND,
    }
}

/// A key of so many forms and features: a quarter of the features are measures, the others have 2 to 8 values; one record in seven is not made and one in
/// ten has two values.
fn made_up(forms: usize, features: usize) -> Key {
    let demo = builtin::demo().key;
    let mut dice = Dice::new(42);
    let mut key = Key { about: demo.about.clone(), lines: demo.lines.clone(), ..Key::default() };
    let plain: &Feature = demo.features.iter().find(|f| f.id.as_str() == "plan").unwrap();
    for n in 0..features {
        let value = |v: usize| Value {
            id: ValueId::new(format!("v{v}")),
            name: String::new(),
            also: Vec::new(),
            drawing: footring::key::shape::Drawing::None,
            lab: None,
            note: String::new(),
        };
        let kind = if n % 4 == 3 {
            FeatureKind::Measure(MeasureKind { unit: Unit::Mm, give_percent: None, of: None::<Dimension> })
        } else {
            FeatureKind::Choice((0..2 + n % 7).map(value).collect())
        };
        key.features.push(Feature {
            id: FeatureId::new(format!("f{n:02}")),
            name: format!("feature {n}"),
            also: Vec::new(),
            kind,
            ..plain.clone()
        });
    }
    let model: &Form = &demo.forms[0];
    for n in 0..forms {
        let mut form = Form {
            id: FormId::new(format!("form-{n:05}")),
            name: format!("form {n}"),
            line: demo.lines[n % demo.lines.len()].id.clone(),
            features: indexmap::IndexMap::new(),
            glazes: Vec::new(),
            decorations: Vec::new(),
            marks: Vec::new(),
            ..model.clone()
        };
        for feature in &key.features {
            let record = match &feature.kind {
                _ if dice.roll(7) == 0 => continue,
                FeatureKind::Choice(values) => {
                    let one = values[dice.roll(values.len())].id.clone();
                    let other = values[dice.roll(values.len())].id.clone();
                    if dice.roll(10) == 0 && one != other {
                        Record::Values([(one, Often::Usually), (other, Often::Sometimes)].into_iter().collect())
                    } else {
                        Record::Always(one)
                    }
                }
                _ => {
                    let lo = 20.0 + dice.roll(280) as f64;
                    Record::Between(lo, lo + dice.roll(5) as f64)
                }
            };
            form.features.insert(feature.id.clone(), record);
        }
        key.forms.push(form);
    }
    key
}

fn case(key: Key) -> Case {
    let index = Index::new(&key);
    let form = &key.forms[key.forms.len() / 2];
    let mut piece = Piece::default();
    for (feature, record) in form.features.iter().take(12) {
        let seen = match record {
            Record::Always(value) => Seen::Values(vec![value.clone()]),
            Record::Between(lo, hi) => Seen::Measured(Measured { value: f64::midpoint(*lo, *hi), plus_minus: 2.0 }),
            _ => continue,
        };
        if piece.observations.len() < 6 {
            piece.see(Observation { feature: feature.clone(), seen, sure: Sure::Sure });
        }
    }
    Case { key, index, piece }
}

#[divan::bench(args = SIZES, sample_count = 20)]
fn compile_the_key(bencher: Bencher<'_, '_>, size: &str) {
    let case = of(size);
    bencher.bench_local(|| Index::new(&case.key));
}

/// Everything the Bench shows, with nothing seen: the most forms and features are open.
#[divan::bench(args = SIZES)]
fn standing_of_a_blank_piece(bencher: Bencher<'_, '_>, size: &str) {
    let case = of(size);
    bencher.bench_local(|| case.index.standing(&Piece::default()));
}

/// The next look alone: the gains of all features.
#[divan::bench(args = SIZES)]
fn gains_of_a_blank_piece(bencher: Bencher<'_, '_>, size: &str) {
    let case = of(size);
    bencher.bench_local(|| case.index.gains(&Piece::default(), footring::identify::About::Form));
}

/// What one more answer costs the Bench: the standing and the verdict of a piece with six answers.
#[divan::bench(args = SIZES)]
fn one_more_answer(bencher: Bencher<'_, '_>, size: &str) {
    let case = of(size);
    bencher.bench_local(|| case.index.answer(&case.piece));
}

/// The index after one record of one form was changed.
#[divan::bench(args = SIZES, sample_count = 20)]
fn one_form_edited(bencher: Bencher<'_, '_>, size: &str) {
    let case = of(size);
    let mut key = case.key.clone();
    let (which, feature) = (key.forms.len() / 3, key.features[0].id.clone());
    key.forms[which].features.insert(feature, Record::DoesNotApply);
    let form = key.forms[which].id.clone();
    bencher.bench_local(|| case.index.edited(&key, &form));
}
