//! What is known of a piece beside the features of the key: its shape, its dates, and the lines and years of its mark.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

use footring::identify::by_shape::{LidOn, Scaling};
use footring::identify::see::see;
use footring::identify::{Index, Observation, Piece, Seen, ShapeMeasured, Standing, Sure};
use footring::key::{Form, FormId, Key, ValueId, Words, Years, builtin};
use footring::marks::dates::Said;
use proptest::prelude::*;

fn demo() -> Key {
    builtin::demo().key
}

fn p(standing: &Standing, form: &FormId) -> f64 {
    standing.candidates.probability(form).unwrap()
}

fn with_shape(key: &Key, form: &str, scaling: Scaling) -> Piece {
    let form = key.form(&form.into()).unwrap();
    let mut piece = Piece::default();
    piece.beside.shape = Some(ShapeMeasured { profile_mm: form.shape.body_profile(0.2), sd_mm: 1.0, lid: LidOn::Off, scaling });
    piece
}

fn dated(said: Said) -> Piece {
    let mut piece = Piece::default();
    piece.beside.dates.push(said);
    piece
}

fn observation(key: &Key, text: &str) -> Observation {
    see(key, &Words::new(key), text).unwrap()
}

#[test]
fn a_shape_names_its_form_and_says_why() {
    let key = demo();
    let index = Index::new(&key);
    let piece = with_shape(&key, "fenlight-salad-bowl", Scaling::TrueSize);
    let (standing, verdict) = index.answer(&piece);
    let bowl = FormId::from("fenlight-salad-bowl");
    assert_eq!(standing.candidates.first().unwrap().form, bowl);
    assert!(p(&standing, &bowl) > 0.5, "{}", p(&standing, &bowl));
    assert!(standing.entropy_bits < index.answer(&Piece::default()).0.entropy_bits - 2.0);
    assert_eq!(verdict.rests_on, ["shape: measured on a photograph, ± 2.0 mm"]);
    let why = index.why(&piece, &bowl);
    assert_eq!(why[0].says, "shape: measured on a photograph, ± 2.0 mm; it lies 0.1 mm beside this form's drawing on the average");
    assert!(why[0].bits > 3.0 && why[0].feature.is_none(), "{why:?}");
    // A mug is not like it.
    let mug = index.why(&piece, &"fenlight-mug".into());
    assert!(mug[0].bits < -1.0, "{mug:?}");
}

#[test]
fn nothing_beside_changes_nothing() {
    let key = demo();
    let index = Index::new(&key);
    let mut piece = Piece::default();
    piece.see(observation(&key, "lid outline=round"));
    let plain = index.answer(&piece);
    // A profile that is none and words that no rule knows are neutral.
    piece.beside.shape = Some(ShapeMeasured { profile_mm: vec![(1.0, 1.0)], sd_mm: 1.0, lid: LidOn::Either, scaling: Scaling::TrueSize });
    piece.beside.dates.push(Said::Words("zzyzx".to_owned()));
    let beside = index.answer(&piece);
    assert_eq!(plain.0, beside.0);
    assert_eq!(index.dates(&piece, None).unread.len(), 1);
}

#[test]
fn a_sale_before_a_line_began_speaks_against_its_forms() {
    let key = demo();
    let index = Index::new(&key);
    let (standing, _) = index.answer(&dated(Said::Sold("1940".to_owned())));
    let of_line = |line: &str| -> f64 { key.forms.iter().filter(|f| f.line.as_str() == line).map(|f| p(&standing, &f.id)).sum() };
    assert!(of_line("fenlight") > 0.85, "{} {} {}", of_line("fenlight"), of_line("quoin"), of_line("stannard"));
    assert!(of_line("stannard") < 0.1, "{}", of_line("stannard"));
    let why = index.why(&dated(Said::Sold("1940".to_owned())), &"stannard-mug".into());
    assert!(why.iter().all(|reason| reason.bits < 0.0) || why.is_empty(), "{why:?}");
}

#[test]
fn dates_stand_in_the_sentence_and_clashes_are_said() {
    let key = demo();
    let index = Index::new(&key);
    let mut piece = Piece::default();
    for text in ["lid outline=round", "line=quoin"] {
        if let Ok(one) = see(&key, &Words::new(&key), text) {
            piece.see(one);
        }
    }
    piece.beside.dates.push(Said::Sold("1955".to_owned()));
    let form = FormId::from("quoin-covered-sugar");
    let dates = index.dates(&piece, Some(&form));
    assert_eq!(dates.dating.made.when.words(), "1951 to 1955");
    piece.beside.dates.push(Said::Sold("1940".to_owned()));
    let dates = index.dates(&piece, Some(&form));
    assert!(!dates.dating.clashes().is_empty());
}

/// Two forms of two lines without a record of marks, and one mark of the first line.
fn unrecorded() -> Key {
    let mut key = demo();
    let mark = key.marks.iter().find(|mark| !mark.lines.is_empty() && mark.used == footring::key::Used::InUse).unwrap().clone();
    let of_line = |line: &str, id: &str| Form {
        id: id.into(),
        line: line.into(),
        marks: Vec::new(),
        made: Years::default(),
        ..key.forms.iter().find(|form| form.line.as_str() == line).unwrap().clone()
    };
    let own = mark.lines[0].as_str().to_owned();
    let other = key.lines.iter().map(|line| line.id.as_str().to_owned()).find(|id| !mark.lines.iter().any(|l| l.as_str() == id)).unwrap();
    key.forms = vec![of_line(&own, "a"), of_line(&other, "b")];
    for form in &mut key.forms {
        form.features.retain(|feature, _| feature.as_str() != "mark");
    }
    key.marks = vec![mark];
    key
}

#[test]
fn a_mark_of_a_line_speaks_for_its_forms_even_where_no_mark_is_recorded() {
    let key = unrecorded();
    let index = Index::new(&key);
    let feature = key.features.iter().find(|f| matches!(f.kind, footring::key::FeatureKind::Mark)).unwrap();
    let mut piece = Piece::default();
    piece.see(Observation {
        feature: feature.id.clone(),
        seen: Seen::Values(vec![ValueId::new(key.marks[0].id.as_str())]),
        sure: Sure::Sure,
    });
    let standing = index.standing(&piece);
    assert!(p(&standing, &"a".into()) > 10.0 * p(&standing, &"b".into()), "{:?}", standing.candidates);
    assert!(index.why(&piece, &"a".into()).iter().any(|reason| reason.says.starts_with("line and years of the mark: ")));
}

#[test]
fn an_index_after_an_edit_weighs_shapes_as_a_new_one() {
    let mut key = demo();
    let index = Index::new(&key);
    let piece = with_shape(&key, "fenlight-salad-bowl", Scaling::TrueSize);
    let before = index.standing(&piece);
    let other = key.form(&"fenlight-mug".into()).unwrap().shape.clone();
    let bowl = key.forms.iter_mut().find(|form| form.id.as_str() == "fenlight-salad-bowl").unwrap();
    bowl.shape = other;
    bowl.made = Years { from: Some(1900), to: Some(1910) };
    let id = bowl.id.clone();
    let edited = index.edited(&key, &id);
    assert_eq!(edited.standing(&piece), Index::new(&key).standing(&piece));
    assert!(p(&edited.standing(&piece), &id) < 0.1 * p(&before, &id));
    let sold = dated(Said::Sold("1905".to_owned()));
    assert_eq!(edited.standing(&sold), Index::new(&key).standing(&sold));
}

#[test]
fn a_find_with_all_of_it_comes_back_from_json_and_an_old_one_is_read() {
    let key = demo();
    let mut piece = with_shape(&key, "fenlight-mug", Scaling::AnySize);
    piece.beside.dates = vec![Said::Words("made in".to_owned()), Said::Diamond("class IV, top K".to_owned())];
    let text = serde_json::to_string(&piece).unwrap();
    assert_eq!(serde_json::from_str::<Piece>(&text).unwrap(), piece);
    let old = serde_json::from_str::<Piece>(r#"{"observations": []}"#).unwrap();
    assert_eq!(old, Piece::default());
    assert!(!serde_json::to_string(&old).unwrap().contains("beside"), "an earlier version reads what has none");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    /// p(f | a, b) ∝ p(f | a) p(f | b) / p(f): each piece of evidence multiplies, whatever else there is.
    #[test]
    fn evidence_multiplies(form in 0_usize..60, year in 1935_i32..1990, answer in 0_usize..3, any_size in any::<bool>()) {
        let key = demo();
        let index = Index::new(&key);
        let form = key.forms[form % key.forms.len()].id.as_str().to_owned();
        let scaling = if any_size { Scaling::AnySize } else { Scaling::TrueSize };
        let mut shape = with_shape(&key, &form, scaling);
        // Broad enough that no form fades to nothing.
        shape.beside.shape.as_mut().unwrap().sd_mm = 6.0;
        let mut other = dated(Said::Sold(year.to_string()));
        other.see(observation(&key, ["lid outline=round", "lid outline=oval", "height=120±20"][answer]));
        let mut both = other.clone();
        both.beside.shape = shape.beside.shape.clone();
        let none = index.standing(&Piece::default());
        let (one, two, all) = (index.standing(&shape), index.standing(&other), index.standing(&both));
        let constant = |p0: f64, p1: f64, p2: f64, p12: f64| p12 * p0 / (p1 * p2);
        let strangers = constant(none.not_in_key, one.not_in_key, two.not_in_key, all.not_in_key);
        for form in key.forms.iter().map(|form| &form.id) {
            let here = constant(p(&none, form), p(&one, form), p(&two, form), p(&all, form));
            prop_assert!((here / strangers - 1.0).abs() < 1e-6, "{form}: {here} {strangers}");
        }
        let sum: f64 = key.forms.iter().map(|form| p(&all, &form.id)).sum::<f64>() + all.not_in_key;
        prop_assert!((sum - 1.0).abs() < 1e-9);
        let bits: f64 = key.forms.iter().map(|form| p(&all, &form.id)).chain([all.not_in_key]).map(|p| if p > 0.0 { -p * p.log2() } else { 0.0 }).sum();
        prop_assert!((bits - all.entropy_bits).abs() < 1e-6, "{bits} {}", all.entropy_bits);
    }
}
