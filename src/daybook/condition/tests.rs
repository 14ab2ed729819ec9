#![expect(clippy::unwrap_used, reason = "tests")]
use super::rules::BUILT_IN;
use super::*;
use crate::key::{Part, View, builtin};

fn flaw(kind: &str, part: Part, size_mm: Option<f64>) -> Flaw {
    Flaw { kind: kind.to_owned(), part, place: None, size_mm, photograph: None, note: String::new() }
}

fn graded(flaws: Vec<Flaw>) -> (String, Option<String>) {
    let condition = Condition { flaws, looked_over: true };
    let graded = condition.grade(ConditionRules::built_in()).unwrap();
    (graded.grade.name.clone(), graded.because)
}

#[test]
fn the_built_in_rules_are_sound() {
    let (rules, problems) = ConditionRules::over_built_in("condition.ron", BUILT_IN);
    assert_eq!(problems, []);
    assert_eq!(&rules, ConditionRules::built_in());
    let ids: Vec<&str> = rules.kinds.iter().map(|kind| kind.id.as_str()).collect();
    assert_eq!(ids.len(), 10);
    for allowed in rules.grades.iter().flat_map(|grade| &grade.allows) {
        assert!(ids.contains(&allowed.kind.as_str()), "'{}' is no kind", allowed.kind);
    }
    assert!(rules.grades.last().unwrap().anything);
}

#[test]
fn grades_follow_from_the_rules_and_say_why() {
    assert_eq!(graded(vec![]), ("as made".to_owned(), None));
    assert_eq!(graded(vec![flaw("kiln-flaw", Part::Foot, Some(2.0))]).0, "as made");
    assert_eq!(
        graded(vec![flaw("chip", Part::Lid, Some(2.5))]),
        ("used".to_owned(), Some("chip of 2.5 mm on the lid keeps it from 'good'".to_owned()))
    );
    assert_eq!(
        graded(vec![flaw("chip", Part::Lid, Some(6.0))]),
        ("damaged".to_owned(), Some("chip of 6 mm on the lid keeps it from 'used' (chip up to 3 mm)".to_owned()))
    );
    // What was not measured may be larger.
    assert_eq!(
        graded(vec![flaw("hairline", Part::Body, None)]).1.unwrap(),
        "hairline on the body keeps it from 'damaged' (hairline up to 30 mm, and this one was not measured)"
    );
    let two = graded(vec![flaw("chip", Part::Lid, Some(2.0)), flaw("chip", Part::Lid, Some(2.0))]);
    assert_eq!(two, ("damaged".to_owned(), Some("2 times chip keep it from 'used' (at most 1)".to_owned())));
    assert_eq!(graded(vec![flaw("missing-part", Part::Finial, None)]).0, "poor");
    assert_eq!(graded(vec![flaw("moth", Part::Body, None)]).0, "poor", "a kind the rules no longer have");
    assert_eq!(Condition::default().grade(ConditionRules::built_in()), None, "nobody looked it over");
}

#[test]
fn words_count_what_is_alike() {
    let rules = ConditionRules::built_in();
    let bite = || flaw("flea-bite", Part::Body, Some(1.0));
    let condition = Condition { flaws: vec![bite(), flaw("repair", Part::Handle, None), bite()], looked_over: false };
    assert_eq!(condition.words(rules), "flea bite of 1 mm on the body (2 times); repair on the handle");
    assert_eq!(Condition { looked_over: true, ..Condition::default() }.words(rules), "nothing found");
}

#[test]
fn notes_of_the_key_appear_where_they_speak_of_a_fault() {
    let key = builtin::demo().key;
    let of = |glaze: &str| {
        let notes = ConditionRules::built_in().notes_of(&key, glaze);
        notes.into_iter().map(|(kind, note)| (kind.id.clone(), note)).collect::<Vec<_>>()
    };
    assert_eq!(of("flint"), [("utensil-marks".to_owned(), "Flint: Shows utensil marks; most come off.".to_owned())]);
    assert_eq!(of("lamplight"), [("crazing".to_owned(), "Lamplight: Given up because it crazed.".to_owned())]);
    assert_eq!(of("slate"), []);
    assert_eq!(of("no such glaze"), []);
}

#[test]
fn a_file_of_ones_own_replaces_and_adds_and_what_is_wrong_is_told() {
    let text = "[\n (id: \"used\", basis: Choice, entry: Grade(name: \"table worn\", allows: [(kind: \"chip\", up_to_mm: -3)])),\n \
        (id: \"moth\", basis: Choice, entry: Kind(name: \"moth\")),\n (id: \"good\", basis: Choice, entry: Grade(name: \"fair\", anything: true)),\n \
        (id: \"x\", basis: Published, entry: Kind(name: \"\"))\n]";
    let (rules, problems) = ConditionRules::over_built_in("own.ron", text);
    let told: Vec<String> = problems.iter().map(ToString::to_string).collect();
    assert_eq!(told.len(), 3, "{told:?}");
    assert!(
        told.iter().any(|told| told.starts_with("'up_to_mm: -3' was found where a length above 0, at most 2000 mm was expected")),
        "{told:?}"
    );
    assert_eq!(rules.name_of("moth"), "moth");
    let names: Vec<&str> = rules.grades.iter().map(|grade| grade.name.as_str()).collect();
    assert_eq!(names, ["as made", "fair", "used", "damaged", "poor"]);
}

#[test]
fn what_is_kept_is_read_again_and_nonsense_is_refused() {
    let mut flaw = flaw("chip", Part::Lid, Some(4.0));
    flaw.place = Some(Place { view: View::Above, across: 0.25, down: 0.75 });
    flaw.photograph = Some(crate::photo::PhotoHash::of(b"a picture").to_string());
    let condition = Condition { flaws: vec![flaw], looked_over: true };
    let json = serde_json::to_string(&condition).unwrap();
    assert_eq!(serde_json::from_str::<Condition>(&json).unwrap(), condition);
    assert_eq!(serde_json::from_str::<Condition>("{}").unwrap(), Condition::default());
    assert_eq!(condition.fault(), None);
    let mut bad = condition.clone();
    bad.flaws.first_mut().unwrap().size_mm = Some(f64::NAN);
    assert!(bad.fault().unwrap().starts_with("the size of a fault is 'NaN'"));
    bad.flaws.first_mut().unwrap().size_mm = None;
    bad.flaws.first_mut().unwrap().place = Some(Place { view: View::Side, across: 1.5, down: 0.0 });
    assert!(bad.fault().unwrap().starts_with("the place of a fault is '1.5, 0'"));
}
