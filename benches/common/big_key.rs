//! A made-up house key as large as is wanted, the same for the same seed: for benches, and for tests that need something big.

use super::dice::Dice;
use footring::key::shape::Drawing;
use footring::key::{
    Feature, FeatureId, FeatureKind, Folder, Form, FormId, Key, Line, LineId, MeasureKind, Often, Record, Unit, Value, ValueId, builtin,
};
use std::path::Path;

const SORTS: [&str; 20] = [
    "sugar",
    "creamer",
    "teapot",
    "coffee pot",
    "plate",
    "saucer",
    "bowl",
    "platter",
    "tureen",
    "gravy boat",
    "cup",
    "mug",
    "jug",
    "jar",
    "tray",
    "butter dish",
    "egg cup",
    "pickle",
    "salt",
    "vase",
];
const KINDS: [&str; 10] = ["covered", "open", "footed", "low", "tall", "small", "large", "deep", "lug", "child's"];

/// A key of so many forms and features.
///
/// Every fourth feature is a measure, the others have 2 to 8 values. Of the cells 85 % have one value, 5 % two (a measure: a wider range), and 10 % are not
/// recorded. Features are of the body, so that they apply to every form; shapes are those of the demo key in turn; there is a line to two hundred forms.
pub(crate) fn key(forms: usize, features: usize, seed: u64) -> Key {
    let demo = builtin::demo().key;
    let mut dice = Dice::new(seed);
    let mut key = Key { about: demo.about.clone(), ..Key::default() };
    key.about.title = format!("{forms} forms");
    let plain = demo.features.iter().find(|f| f.id.as_str() == "plan").cloned();
    let Some(plain) = plain else { return key };
    for n in 0..features {
        let value = |v: usize| Value {
            id: ValueId::new(format!("kind-{v}")),
            name: String::new(),
            also: Vec::new(),
            drawing: Drawing::None,
            lab: None,
            note: String::new(),
        };
        let kind = if n % 4 == 3 {
            FeatureKind::Measure(MeasureKind { unit: Unit::Mm, give_percent: None, of: None })
        } else {
            FeatureKind::Choice((0..2 + n % 7).map(value).collect())
        };
        key.features.push(Feature {
            id: FeatureId::new(format!("feature-{n:02}")),
            name: format!("feature {n:02}"),
            also: Vec::new(),
            kind,
            ..plain.clone()
        });
    }
    for n in 0..forms.div_ceil(200) {
        key.lines.push(Line {
            id: LineId::new(format!("line-{n:03}")),
            name: format!("Line {n:03}"),
            also: Vec::new(),
            made: footring::key::Years::default(),
            claims: Vec::new(),
            note: String::new(),
        });
    }
    for n in 0..forms {
        let (Some(model), Some(line)) = (demo.forms.get(n % demo.forms.len()), key.lines.get(n / 200)) else { continue };
        let (kind, sort) = (KINDS.get(n / SORTS.len() % KINDS.len()).unwrap_or(&""), SORTS.get(n % SORTS.len()).unwrap_or(&""));
        let mut form = Form {
            id: FormId::new(format!("form-{n:05}")),
            name: format!("{kind} {sort} {n}"),
            line: line.id.clone(),
            features: indexmap::IndexMap::new(),
            borrowed_by: Vec::new(),
            claims: Vec::new(),
            pictures: Vec::new(),
            glazes: Vec::new(),
            decorations: Vec::new(),
            marks: Vec::new(),
            ..model.clone()
        };
        for feature in &key.features {
            if let Some(record) = record(feature, &mut dice) {
                form.features.insert(feature.id.clone(), record);
            }
        }
        key.forms.push(form);
    }
    key
}

fn record(feature: &Feature, dice: &mut Dice) -> Option<Record> {
    let lot = dice.roll(100);
    if lot < 10 {
        return None;
    }
    Some(match &feature.kind {
        FeatureKind::Choice(values) => {
            let (a, b) = (dice.roll(values.len()), dice.roll(values.len() - 1));
            let b = if b >= a { b + 1 } else { b };
            let (one, other) = (values.get(a)?.id.clone(), values.get(b)?.id.clone());
            if lot < 15 {
                Record::Values([(one, Often::Usually), (other, Often::Sometimes)].into_iter().collect())
            } else {
                Record::Always(one)
            }
        }
        FeatureKind::Measure(_) | FeatureKind::Glaze | FeatureKind::Decoration | FeatureKind::Mark => {
            let from = 20.0 + dice.roll(2800) as f64 / 10.0;
            Record::Between(from, from + if lot < 15 { 12.0 } else { dice.roll(5) as f64 })
        }
    })
}

/// Writes a key into a folder that has none, as the program writes it, and gives the bytes of its files together.
///
/// # Errors
/// A sentence, where the folder cannot be written.
pub(crate) fn write(dir: &Path, key: &Key) -> Result<u64, String> {
    let mut folder = Folder::create(dir, &key.about).map_err(|e| e.to_string())?;
    folder.save(key).map_err(|e| e.to_string())?;
    let files = footring::key::KeyFile::ALL.iter().filter_map(|file| std::fs::metadata(dir.join(file.name())).ok());
    Ok(files.map(|found| found.len()).sum())
}
