//! Keys made from counted specimens, against a general-purpose library on held-out pieces: open tables, scripts under `tests/reference/`.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

#[path = "common/table_key.rs"]
mod table_key;

use footring::identify::{Index, Observation, Piece, Seen, Settings, Sure};
use footring::key::{FeatureId, Form, Key, Often, Record, ValueId};
use std::collections::BTreeSet;
use table_key::feature;

/// A table with a kind a row and cells that may be empty.
struct Table {
    features: Vec<String>,
    kinds: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    fn read(text: &str, kind: &str) -> Self {
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let header: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
        let at = header.iter().position(|name| name == kind).unwrap();
        let mut table = Self { features: header, kinds: Vec::new(), rows: Vec::new() };
        table.features.remove(at);
        for row in reader.records() {
            let mut row: Vec<String> = row.unwrap().iter().map(str::to_owned).collect();
            table.kinds.push(row.remove(at));
            table.rows.push(row);
        }
        table
    }

    /// Rows for the key, and rows held out: those whose number ends in one of these digits, as in the script.
    fn split(&self, held_out: &[usize]) -> (Vec<usize>, Vec<usize>) {
        (0..self.rows.len()).partition(|n| !held_out.contains(&(n % 10)))
    }

    /// A form a kind, whose values are counted over those rows; as common as its rows.
    fn key(&self, rows: &[usize], slip: f64) -> Key {
        let mut key = Key::default();
        for (i, name) in self.features.iter().enumerate() {
            let values: BTreeSet<&String> = self.rows.iter().map(|row| &row[i]).filter(|cell| !cell.is_empty()).collect();
            key.features.push(feature(name, values, slip));
        }
        let kinds: BTreeSet<&String> = self.kinds.iter().collect();
        for kind in kinds {
            let own: Vec<usize> = rows.iter().copied().filter(|&n| self.kinds[n] == *kind).collect();
            let mut form = form(kind, own.len() as f64);
            for (i, name) in self.features.iter().enumerate() {
                let mut counts: indexmap::IndexMap<ValueId, Often> = indexmap::IndexMap::new();
                for &n in &own {
                    if !self.rows[n][i].is_empty() {
                        let entry = counts.entry(ValueId::new(self.rows[n][i].clone())).or_insert(Often::Times(0));
                        *entry = Often::Times(entry.times().unwrap() + 1);
                    }
                }
                if !counts.is_empty() {
                    form.features.insert(FeatureId::new(name.clone()), Record::Values(counts));
                }
            }
            key.forms.push(form);
        }
        key
    }

    fn piece(&self, row: usize) -> Piece {
        let seen = |(name, cell): (&String, &String)| Observation {
            feature: FeatureId::new(name.clone()),
            seen: Seen::Values(vec![ValueId::new(cell.clone())]),
            sure: Sure::Sure,
        };
        let observations = self.features.iter().zip(&self.rows[row]).filter(|(_, cell)| !cell.is_empty()).map(seen).collect();
        Piece { observations, ..Piece::default() }
    }
}

fn form(id: &str, weight: f64) -> Form {
    table_key::form(id, "all", weight, [])
}

fn index(key: &Key) -> Index {
    Index::with(key, Settings { not_in_key: 0.0, ..Settings::default() })
}

/// How many pieces are named first, and the sum of −ln p of the right form.
fn score(table: &Table, index: &Index, held: &[usize]) -> (f64, f64) {
    let (mut right, mut loss) = (0.0, 0.0);
    for &row in held {
        let standing = index.standing(&table.piece(row));
        let truth = &table.kinds[row];
        right += f64::from(u8::from(standing.candidates[0].form.as_str() == truth));
        let p = standing.candidates.iter().find(|c| c.form.as_str() == truth).unwrap().probability;
        // As scikit-learn clips it.
        loss -= p.max(f64::EPSILON).ln();
    }
    (right, loss)
}

fn reference() -> serde_json::Value {
    serde_json::from_str(include_str!("reference/naive_bayes.json")).unwrap()
}

fn at_least_as_good(file: &str, text: &str) {
    let table = Table::read(text, "Class");
    let want = &reference()["tables"][file];
    assert_eq!(want["held_out"].as_u64(), Some(table.rows.len() as u64));
    let (mut accuracy, mut loss) = (0.0, 0.0);
    for fold in 0..10 {
        let (train, held) = table.split(&[fold]);
        // An honest person misreads one cell in two hundred: a choice, the same for both tables.
        let (right, lost) = score(&table, &index(&table.key(&train, 0.005)), &held);
        accuracy += right / table.rows.len() as f64;
        loss += lost / table.rows.len() as f64;
    }
    let (least, most) = (want["accuracy"].as_f64().unwrap(), want["log_loss"].as_f64().unwrap());
    assert!(accuracy >= least, "{file}: accuracy {accuracy}, CategoricalNB has {least}");
    assert!(loss <= most, "{file}: log loss {loss}, CategoricalNB has {most}");
}

/// `votes.csv`: 435 pieces, 16 features, 2 forms, one cell in eighteen missing.
#[test]
fn held_out_votes_are_named_at_least_as_well_as_by_a_general_purpose_library() {
    at_least_as_good("votes.csv", include_str!("data/votes.csv"));
}

/// `soybean.csv`: 683 pieces, 35 features, 19 forms, one cell in ten missing.
#[test]
fn held_out_soybeans_are_named_at_least_as_well_as_by_a_general_purpose_library() {
    at_least_as_good("soybean.csv", include_str!("data/soybean.csv"));
}

/// Without slips and strangers the posterior of counted pieces is that of `CategoricalNB` with alpha = ½ (Jeffreys).
#[test]
fn posteriors_of_counted_pieces_are_those_of_a_general_purpose_library() {
    let mut table = Table::read(include_str!("data/votes.csv"), "Class");
    let whole: Vec<bool> = table.rows.iter().map(|row| row.iter().all(|cell| !cell.is_empty())).collect();
    let mut keep = whole.iter();
    table.rows.retain(|_| *keep.next().unwrap());
    let mut keep = whole.iter();
    table.kinds.retain(|_| *keep.next().unwrap());
    let (train, held) = table.split(&[2, 5, 8]);
    let index = index(&table.key(&train, 0.0));
    let reference = reference();
    let rows = reference["posteriors"]["rows"].as_array().unwrap();
    assert_eq!(rows.len(), held.len());
    for (&row, want) in held.iter().zip(rows) {
        let standing = index.standing(&table.piece(row));
        for (class, want) in reference["posteriors"]["classes"].as_array().unwrap().iter().zip(want.as_array().unwrap()) {
            let got = standing.candidates.iter().find(|c| c.form.as_str() == class.as_str().unwrap()).unwrap().probability;
            let want = want.as_f64().unwrap();
            assert!((got - want).abs() <= 1e-9 * want, "row {row}, {class}: {got}, not {want}");
        }
    }
}

/// Twelve round and one oval among thirteen counted, of three values: (12 + ½) / (13 + 3/2), (1 + ½) / (13 + 3/2), ½ / (13 + 3/2), by hand.
#[test]
fn a_count_is_worth_its_share_and_the_unseen_keep_a_little() {
    let values: Vec<String> = ["round", "oval", "square"].map(str::to_owned).into();
    let mut key = Key { features: vec![feature("outline", &values, 0.0)], ..Key::default() };
    let counts = [("round", 12), ("oval", 1)].map(|(v, n)| (ValueId::from(v), Often::Times(n))).into_iter().collect();
    for (id, record) in [("counted", Record::Values(counts)), ("square-one", Record::Always("square".into()))] {
        let mut form = form(id, 1.0);
        form.features.insert("outline".into(), record);
        key.forms.push(form);
    }
    let index = index(&key);
    let p = |value: &str| {
        let observation = Observation { feature: "outline".into(), seen: Seen::Values(vec![value.into()]), sure: Sure::Sure };
        let standing = index.standing(&Piece { observations: vec![observation], ..Piece::default() });
        standing.candidates.into_iter().find(|c| c.form.as_str() == "counted").unwrap()
    };
    let seen = 0.5 / 14.5;
    let square = p("square");
    assert!((square.probability - seen / (seen + 1.0)).abs() < 1e-12, "{square:?}");
    assert_eq!(square.disagreements.len(), 1, "never counted so, though it may be");
    assert!(p("oval").probability > 1.0 - 1e-12 && p("oval").disagreements.is_empty());
    assert_eq!(index.recorded(&"counted".into(), &"outline".into()).as_deref(), Some("usually round, sometimes oval"));
}

/// `tests/data/zoo.csv` as a key: an animal whose row is its own is named first by its row, and alone.
#[test]
fn every_animal_with_a_row_of_its_own_is_named_first_by_it() {
    let table = Table::read(include_str!("data/zoo.csv"), "name");
    let mut key = table.key(&[], 0.0);
    key.forms = (0..table.rows.len())
        .map(|n| {
            let mut form = form(&format!("{n:03}"), 1.0);
            for (name, cell) in table.features.iter().zip(&table.rows[n]) {
                form.features.insert(FeatureId::new(name.clone()), Record::Always(ValueId::new(cell.clone())));
            }
            form
        })
        .collect();
    let index = index(&key);
    let mut unique = 0;
    for n in 0..table.rows.len() {
        let twins = table.rows.iter().filter(|row| **row == table.rows[n]).count();
        let standing = index.standing(&table.piece(n));
        assert_eq!(standing.fits, twins, "{}", table.kinds[n]);
        let own = standing.candidates.iter().find(|c| c.form.as_str() == format!("{n:03}")).unwrap();
        assert!((own.probability - 1.0 / twins as f64).abs() < 1e-12, "{}: {}", table.kinds[n], own.probability);
        if twins == 1 {
            unique += 1;
            assert_eq!(standing.candidates[0].form.as_str(), format!("{n:03}"), "{}", table.kinds[n]);
        }
    }
    // Counted in the table by hand with sort | uniq -u over the columns after the name.
    assert_eq!(unique, 40);
}
