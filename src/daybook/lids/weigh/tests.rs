#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

use super::*;
use crate::identify::Measured;
use crate::key::builtin;

fn half(id: &str, major: f64, minor: Option<f64>, glaze: &str) -> Half {
    let mm = |value: f64| Measured { value, plus_minus: 0.6 };
    let noted = [("glaze", glaze)].into_iter().filter(|(_, text)| !text.is_empty()).map(|(c, t)| (c.to_owned(), t.to_owned())).collect();
    Half { id: id.to_owned(), major: Some(mm(major)), minor: minor.map(mm), noted, ..Half::default() }
}

fn ln(weighed: &[Weighed], lid: usize, base: usize) -> f64 {
    weighed.iter().find(|pair| (pair.lid, pair.base) == (lid, base)).map_or(f64::NEG_INFINITY, |pair| pair.ln)
}

/// Sizes as on a shelf, each twice.
fn shelves() -> (Vec<Half>, Vec<Half>) {
    let sizes = [72.0, 84.0, 96.0, 121.0, 140.0, 163.0, 188.0, 214.0];
    let lids = sizes.iter().enumerate().map(|(n, size)| half(&format!("L{n}"), *size, None, ["Flint", "Moss"][n % 2])).collect();
    let bases = sizes.iter().enumerate().map(|(n, size)| half(&format!("B{n}"), size + 2.0, None, ["Flint", "Slate"][n % 2])).collect();
    (lids, bases)
}

#[test]
fn only_what_may_fit_is_thought_of_and_the_right_one_is_likely() {
    let (lids, bases) = shelves();
    let weighed = Weigher::new(&lids, &bases, Rules::built_in(), None).all();
    assert_eq!(weighed.iter().map(|pair| (pair.lid, pair.base)).collect::<Vec<_>>(), (0..8).map(|n| (n, n)).collect::<Vec<_>>());
    assert!(weighed.iter().step_by(2).all(|pair| pair.ln > 4.0), "{weighed:?}");
    assert!(ln(&weighed, 1, 1) < ln(&weighed, 0, 0) - 2.0, "another glaze speaks against it: {weighed:?}");
}

#[test]
fn a_size_that_is_everywhere_says_little() {
    let lids: Vec<Half> = (0..40).map(|n| half(&format!("L{n}"), 100.0 + f64::from(n) * 0.01, None, "")).collect();
    let mut bases: Vec<Half> = (0..40).map(|n| half(&format!("B{n}"), 102.0 + f64::from(n) * 0.01, None, "")).collect();
    bases.push(half("B40", 160.0, None, ""));
    let mut more = lids.clone();
    more.push(half("L40", 158.0, None, ""));
    let weighed = Weigher::new(&more, &bases, Rules::built_in(), None).all();
    assert!(ln(&weighed, 3, 3) < 1.5 && ln(&weighed, 40, 40) > 4.0, "{} {}", ln(&weighed, 3, 3), ln(&weighed, 40, 40));
}

#[test]
fn both_axes_count_for_ovals() {
    let lids = [half("oval", 140.0, Some(104.0), ""), half("round", 140.0, Some(140.0), "")];
    let bases = [half("its own", 142.2, Some(106.1), ""), half("narrower", 142.0, Some(98.0), ""), half("wider", 142.0, Some(119.0), "")];
    let weigher = Weigher::new(&lids, &bases, Rules::built_in(), None);
    let weighed = weigher.all();
    assert!(ln(&weighed, 0, 0) > 5.0, "{weighed:?}");
    assert!(ln(&weighed, 0, 1) < -3.0 && ln(&weighed, 0, 2) < -3.0 && ln(&weighed, 1, 0) < -3.0, "{weighed:?}");
    let says: Vec<String> = weigher.reasons(0, 0).iter().map(ToString::to_string).collect();
    assert_eq!(says, ["2.2 mm and 2.1 mm of play"]);
    let says: Vec<String> = weigher.reasons(1, 0).iter().map(ToString::to_string).collect();
    assert_eq!(says, ["tight: the flange measures 33.9 mm wider than the gallery"]);
    // A small oval lid on a large oval base.
    let lids = [half("small", 100.0, Some(96.0), "")];
    let says: Vec<String> = Weigher::new(&lids, &bases, Rules::built_in(), None).reasons(0, 0).iter().map(ToString::to_string).collect();
    assert_eq!(says, ["42.2 mm and 10.1 mm of play", "rocks: 42.2 mm of play", "loose for an oval: it goes on turned by a quarter too"]);
}

#[test]
fn a_key_knows_glazes_by_all_their_names_and_by_their_colours() {
    let key = builtin::demo().key;
    let (mut lids, mut bases) = shelves();
    lids[0] = half("L0", 72.0, None, "moss green");
    bases[0] = half("B0", 74.0, None, "Sedge");
    bases[1] = half("B1", 86.0, None, "moss");
    let alone = Weigher::new(&lids, &bases, Rules::built_in(), None).all();
    let weigher = Weigher::new(&lids, &bases, Rules::built_in(), Some(&key));
    let weighed = weigher.all();
    assert!(ln(&weighed, 0, 0) > ln(&alone, 0, 0) + 1.5, "Moss and Sedge are hardly told apart");
    let says: Vec<String> = weigher.reasons(0, 0).iter().map(ToString::to_string).collect();
    assert_eq!(says, ["2.0 mm of play", "the glaze is hardly told apart ('moss green' on 'Sedge', ΔE00 3.0)"]);
    assert_eq!(weigher.reasons(1, 1).len(), 1, "'Moss' and 'moss' are one glaze");
    // L3 is Moss, B3 Slate.
    assert!(weigher.reasons(3, 3).iter().any(Reason::is_marriage));
}

#[test]
fn years_that_cannot_meet_make_a_marriage() {
    let (mut lids, mut bases) = shelves();
    let made = |from, to| Years { from: Some(from), to: Some(to) };
    for lid in &mut lids {
        lid.made = made(1951, 1960);
    }
    for base in &mut bases {
        base.made = made(1955, 1964);
    }
    bases[2].made = made(1962, 1971);
    let weigher = Weigher::new(&lids, &bases, Rules::built_in(), None);
    let weighed = weigher.all();
    assert!(ln(&weighed, 2, 2) < ln(&weighed, 0, 0) - 0.9, "{weighed:?}");
    assert_eq!(weigher.reasons(2, 2).last().unwrap().to_string(), "marriage: fits, but the lid was made 1951–1960 and the base 1962–1971");
}

#[test]
fn the_density_by_chance_sums_to_one() {
    let (lids, bases) = shelves();
    let rules = Rules::built_in();
    let stranger = Half { major: None, ..half("L", 1.0, None, "") };
    let mut sum = 0.0;
    for mm in 15u32..520 {
        let base = half("B", f64::from(mm), None, "");
        let with_it: Vec<Half> = bases.iter().cloned().chain([base.clone()]).collect();
        let population = Population::new(rules, &lids, &with_it);
        sum += population.without(&population.of_base(&base).unwrap(), &stranger);
    }
    assert!((0.97..=1.03).contains(&sum), "{sum}");
}
