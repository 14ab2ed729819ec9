//! The arithmetic of naming against figures that others published or general-purpose libraries computed.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

#[path = "common/table_key.rs"]
mod table_key;

use footring::identify::{About, Index, Observation, Piece, Seen, Settings, Sure};
use footring::key::{FeatureId, Form, Key, Line, LineId, Record, ValueId, Years};
use std::collections::BTreeMap;
use table_key::feature;

fn form(id: &str, line: &str, weight: f64, records: &[(&str, &str)]) -> Form {
    let always = |(feature, value): &(&str, &str)| (FeatureId::from(*feature), Record::Always(ValueId::new(*value)));
    table_key::form(id, line, weight, records.iter().map(always))
}

/// A key from a table: a form a row, a feature a column; `line_at` is the column that is the line.
fn key_of(header: &[&str], rows: &[Vec<String>], line_at: usize, slip: f64) -> Key {
    let mut key = Key::default();
    let columns: Vec<usize> = (0..header.len()).filter(|&i| i != line_at).collect();
    for &i in &columns {
        let mut values: Vec<String> = rows.iter().map(|row| row[i].clone()).collect();
        values.sort();
        values.dedup();
        key.features.push(feature(header[i], &values, slip));
    }
    let mut lines: Vec<&String> = rows.iter().map(|row| &row[line_at]).collect();
    lines.sort();
    lines.dedup();
    for line in lines {
        key.lines.push(Line {
            id: LineId::new(line.clone()),
            name: line.clone(),
            also: Vec::new(),
            made: Years::default(),
            claims: Vec::new(),
            note: String::new(),
        });
    }
    for (n, row) in rows.iter().enumerate() {
        let records: Vec<(&str, &str)> = columns.iter().map(|&i| (header[i], row[i].as_str())).collect();
        key.forms.push(form(&format!("row-{n:04}"), &row[line_at], 1.0, &records));
    }
    key
}

fn no_stranger() -> Settings {
    Settings { not_in_key: 0.0, ..Settings::default() }
}

fn gains(key: &Key, about: About) -> BTreeMap<String, f64> {
    let index = Index::with(key, no_stranger());
    index.gains(&Piece::default(), about).into_iter().map(|gain| (gain.feature.to_string(), gain.bits)).collect()
}

fn near(what: &str, got: f64, want: f64, within: f64) {
    assert!((got - want).abs() <= within, "{what}: {got}, not {want}");
}

/// `tests/data/zoo.csv` (source beside it) against scikit-learn and `SciPy`, `tests/reference/zoo_gains.py`.
#[test]
fn every_gain_of_the_zoo_is_that_of_a_general_purpose_library() {
    let text = include_str!("data/zoo.csv");
    let mut lines = text.lines();
    let header: Vec<&str> = lines.next().unwrap().split(',').skip(1).collect();
    let rows: Vec<Vec<String>> = lines.map(|line| line.split(',').skip(1).map(str::to_owned).collect()).collect();
    let kind_at = header.iter().position(|name| *name == "type").unwrap();
    let key = key_of(&header, &rows, kind_at, 0.0);
    let reference: serde_json::Value = serde_json::from_str(include_str!("reference/zoo_gains.json")).unwrap();
    assert_eq!(reference["animals"].as_u64(), Some(key.forms.len() as u64));
    let (of_form, of_line) = (gains(&key, About::Form), gains(&key, About::Line));
    assert_eq!(of_form.len(), 16, "sixteen columns besides the name and the type");
    for (feature, figures) in reference["features"].as_object().unwrap() {
        near(&format!("{feature}, entropy"), of_form[feature], figures["entropy"].as_f64().unwrap(), 1e-9);
        near(&format!("{feature} about the animal"), of_form[feature], figures["about_identity"].as_f64().unwrap(), 1e-9);
        near(&format!("{feature} about the type"), of_line[feature], figures["about_type"].as_f64().unwrap(), 1e-9);
    }
    let whole = Index::with(&key, no_stranger()).standing(&Piece::default());
    near("entropy of 101 equal animals", whole.entropy_bits, 101.0_f64.log2(), 1e-9);
}

/// Quinlan, Induction of decision trees, Machine Learning 1, 1986, 81–106: the 14 Saturdays. The paper cuts 0.2467 and 0.1518; the exact gains are
/// computed from the formula.
#[test]
fn the_gains_of_the_fourteen_saturdays() {
    let table = "s h h f N,s h h t N,o h h f P,r m h f P,r c n f P,r c n t N,o c n t P,s m h f N,s c n f P,r m n f P,s m n t P,o m h t P,o h n f P,r m h t N";
    let rows: Vec<Vec<String>> = table.split(',').map(|row| row.split(' ').map(str::to_owned).collect()).collect();
    let key = key_of(&["outlook", "temperature", "humidity", "windy", "class"], &rows, 4, 0.0);
    let gains = gains(&key, About::Line);
    for (feature, bits) in [("outlook", 0.246_750), ("humidity", 0.151_836), ("windy", 0.048_127), ("temperature", 0.029_223)] {
        near(feature, gains[feature], bits, 1e-6);
    }
}

/// Bayes' rule worked by hand: priors .5 .3 .2, a feature that only the first has, slip 0.1. Seen: .45, .03, .02 over their sum .5 = .9, .06, .04.
/// Not seen: .05, .27, .18 over .5 = .1, .54, .36. Entropy before 1.485475, expected after 0.954471, gain 0.531004 bits.
#[test]
fn one_look_with_slips_worked_by_hand() {
    let mut key = Key::default();
    key.features.push(feature("ribs", &["yes".to_owned(), "no".to_owned()], 0.1));
    key.forms =
        vec![form("a", "l", 5.0, &[("ribs", "yes")]), form("b", "l", 3.0, &[("ribs", "no")]), form("c", "l", 2.0, &[("ribs", "no")])];
    let index = Index::with(&key, no_stranger());
    let standing = |seen: Option<&str>| {
        let mut piece = Piece::default();
        if let Some(seen) = seen {
            piece.see(Observation { feature: "ribs".into(), seen: Seen::Values(vec![seen.into()]), sure: Sure::Sure });
        }
        index.standing(&piece)
    };
    let p = |seen: &str| -> BTreeMap<String, f64> {
        standing(Some(seen)).candidates.into_iter().map(|c| (c.form.to_string(), c.probability)).collect()
    };
    for (seen, want) in [("yes", [0.9, 0.06, 0.04]), ("no", [0.1, 0.54, 0.36])] {
        let got = p(seen);
        for (form, want) in ["a", "b", "c"].into_iter().zip(want) {
            near(&format!("{form} after {seen}"), got[form], want, 1e-12);
        }
    }
    let before = standing(None);
    near("entropy before", before.entropy_bits, 1.485_475, 1e-6);
    let after = 0.5 * standing(Some("yes")).entropy_bits + 0.5 * standing(Some("no")).entropy_bits;
    near("entropy expected after", after, 0.954_471, 1e-6);
    near("gain", before.next_looks[0].bits, 0.531_004, 1e-6);
}

/// By hand: two forms, equal priors, a feature of four values, slip 0.06. Form a is always v1, form b is not recorded.
/// p(v1|a) = 0.94; p(v1|b) is the mean over forms with a record, 0.94 too: a and b stay at one half each.
/// 'Either v1 or v2': p = 0.94 + 0.06/3 = 0.96 on a, and the same mean on b.
#[test]
fn what_is_not_recorded_neither_gains_nor_loses() {
    let values: Vec<String> = ["v1", "v2", "v3", "v4"].map(str::to_owned).to_vec();
    let mut key = Key::default();
    key.features.push(feature("rim", &values, 0.06));
    key.forms = vec![form("a", "l", 1.0, &[("rim", "v1")]), form("b", "l", 1.0, &[])];
    let index = Index::with(&key, no_stranger());
    for seen in [vec!["v1"], vec!["v1", "v2"]] {
        let mut piece = Piece::default();
        piece.see(Observation {
            feature: "rim".into(),
            seen: Seen::Values(seen.iter().map(|v| ValueId::new(*v)).collect()),
            sure: Sure::Sure,
        });
        for candidate in index.standing(&piece).candidates {
            near(candidate.form.as_str(), candidate.probability, 0.5, 1e-12);
        }
    }
}

/// No strategy of yes/no looks names one of n equal forms with fewer looks on average than log2 n (Shannon 1948; Huffman 1952). The program's own next
/// looks on a key of 16 forms told apart by four free features and eight others must need at least 4, and here exactly 4.
#[test]
fn the_next_looks_need_no_fewer_than_the_entropy_allows() {
    let mut key = Key::default();
    let yes_no = ["yes".to_owned(), "no".to_owned()];
    for bit in 0..12 {
        key.features.push(feature(&format!("f{bit:02}"), &yes_no, 0.0));
    }
    for n in 0..16_u32 {
        let has = |bit: u32| if bit < 4 { n >> bit & 1 == 1 } else { n % (bit - 1) == 0 };
        let names: Vec<String> = (0..12).map(|bit| format!("f{bit:02}")).collect();
        let records: Vec<(&str, &str)> =
            (0..12_u32).map(|bit| (names[bit as usize].as_str(), if has(bit) { "yes" } else { "no" })).collect();
        key.forms.push(form(&format!("form-{n:02}"), "l", 1.0, &records));
    }
    let index = Index::with(&key, no_stranger());
    let mut looks = 0_usize;
    for truth in &key.forms {
        let mut piece = Piece::default();
        loop {
            let standing = index.standing(&piece);
            if standing.fits == 1 {
                assert_eq!(standing.candidates[0].form, truth.id, "the one that is left is the right one");
                break;
            }
            let next = &standing.next_looks[0].feature;
            let Record::Always(value) = &truth.features[next] else { break };
            piece.see(Observation { feature: next.clone(), seen: Seen::Values(vec![value.clone()]), sure: Sure::Sure });
            looks += 1;
        }
    }
    let mean = looks as f64 / 16.0;
    assert!(mean >= 4.0 - 1e-12, "fewer looks than the entropy allows: {mean}");
    near("mean looks", mean, 4.0, 1e-12);
}

/// A second table by hand. Weights 5, 3, 2; rim of three values, slip 0.1; foot of two values, slip 0.2.
///
/// | form | prior | rim | foot |
/// | --- | --- | --- | --- |
/// | a | .5 | x | p |
/// | b | .3 | y | not recorded |
/// | c | .2 | z | does not apply |
///
/// Seen 'rim: either x or y': a .9 + .1/2 = .95, b the same, c .1/2 + .1/2 = .1.
/// Seen 'foot: p': a .8; b the mean of what is recorded, which is a alone, .8; c a slip, .2/2 = .1.
/// Prior times both: .38, .228, .002, sum .61.
#[test]
fn either_not_recorded_and_does_not_apply_worked_by_hand() {
    let mut key = Key::default();
    let values = |all: &[&str]| all.iter().map(|v| (*v).to_owned()).collect::<Vec<_>>();
    key.features = vec![feature("rim", &values(&["x", "y", "z"]), 0.1), feature("foot", &values(&["p", "q"]), 0.2)];
    key.forms = vec![
        form("a", "l", 5.0, &[("rim", "x"), ("foot", "p")]),
        form("b", "l", 3.0, &[("rim", "y")]),
        form("c", "l", 2.0, &[("rim", "z")]),
    ];
    key.forms[2].features.insert("foot".into(), Record::DoesNotApply);
    let mut piece = Piece::default();
    for (feature, seen) in [("rim", &["x", "y"][..]), ("foot", &["p"])] {
        let seen = Seen::Values(seen.iter().map(|v| ValueId::new(*v)).collect());
        piece.see(Observation { feature: feature.into(), seen, sure: Sure::Sure });
    }
    let standing = Index::with(&key, no_stranger()).standing(&piece);
    for (candidate, (id, p)) in standing.candidates.iter().zip([("a", 0.38 / 0.61), ("b", 0.228 / 0.61), ("c", 0.002 / 0.61)]) {
        assert_eq!(candidate.form.as_str(), id);
        near(id, candidate.probability, p, 1e-12);
    }
}

/// One answer out of k tells at most log2 k bits (Shannon 1948), so the looks times log2 k are never fewer than the bits that were gained. On made-up
/// keys with features of up to four values, by the program's own next looks until none is left.
#[test]
fn k_ary_looks_gain_no_more_than_their_number_allows() {
    let mut dice = 7_u64;
    let mut roll = |n: u64| {
        dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (dice >> 33) % n
    };
    for k in [2_usize, 3, 4] {
        let values: Vec<String> = (0..k).map(|v| format!("v{v}")).collect();
        for _ in 0..6 {
            let mut key = Key::default();
            let names: Vec<String> = (0..9).map(|n| format!("f{n}")).collect();
            key.features = names.iter().map(|name| feature(name, &values, 0.0)).collect();
            for n in 0..24 {
                let row: Vec<usize> = names.iter().map(|_| roll(k as u64) as usize).collect();
                let records: Vec<(&str, &str)> = names.iter().zip(row).map(|(name, v)| (name.as_str(), values[v].as_str())).collect();
                key.forms.push(form(&format!("form-{n:02}"), "l", 1.0, &records));
            }
            let index = Index::with(&key, no_stranger());
            let (mut looks, mut left) = (0.0, 0.0);
            for truth in &key.forms {
                let mut piece = Piece::default();
                let mut standing = index.standing(&piece);
                while let Some(next) = standing.next_looks.first() {
                    let feature = next.feature.clone();
                    let Record::Always(value) = &truth.features[&feature] else { unreachable!("every record is one value") };
                    piece.see(Observation { feature, seen: Seen::Values(vec![value.clone()]), sure: Sure::Sure });
                    standing = index.standing(&piece);
                    looks += 1.0;
                }
                assert!(
                    standing.candidates.iter().any(|c| c.form == truth.id && c.disagreements.is_empty()),
                    "the right form is never lost"
                );
                left += standing.entropy_bits;
            }
            let (looks, gained) = (looks / 24.0, 24.0_f64.log2() - left / 24.0);
            assert!(gained > 4.0, "the looks say something: {gained} bits");
            assert!(looks * (k as f64).log2() >= gained - 1e-9, "{looks} looks of {k} values gained {gained} bits");
            assert!(looks <= 2.0 * gained / (k as f64).log2() + 1.0, "greedy looks go astray: {looks} for {gained} bits of {k} values");
        }
    }
}
