//! The demo key is what the walk-through, the board and most other tests stand on: it must be sound, and as hard as real shelves are.

#![expect(clippy::unwrap_used, clippy::panic, reason = "tests")]

use footring::identify::{Piece, Seen};
use footring::key::builtin::demo;
use footring::key::shape::{Drawing, Point};
use footring::key::{
    Applied, Caution, Condition, Dimension, Feature, FeatureId, FeatureKind, Form, FormId, How, Key, Part, Record, Used, ValueId, View,
};
use std::collections::BTreeSet;

fn key() -> Key {
    demo().key
}

fn form<'k>(key: &'k Key, id: &str) -> &'k Form {
    key.form(&FormId::new(id)).unwrap_or_else(|| panic!("the demo key has no form '{id}'"))
}

fn record<'k>(form: &'k Form, feature: &str) -> Option<&'k Record> {
    form.features.get(feature)
}

fn between(form: &Form, feature: &str) -> (f64, f64) {
    match record(form, feature) {
        Some(Record::Between(from, to)) => (*from, *to),
        other => panic!("{} of {} is {other:?}", feature, form.id),
    }
}

#[test]
fn it_loads_without_a_single_problem() {
    let problems: Vec<String> = demo().problems.iter().map(ToString::to_string).collect();
    assert_eq!(problems, Vec::<String>::new());
}

#[test]
fn it_is_as_large_as_a_small_shelf() {
    let key = key();
    assert!(key.forms.len() >= 66, "{} forms", key.forms.len());
    for line in &key.lines {
        let of_line = key.forms.iter().filter(|form| form.line == line.id).count();
        assert!(of_line >= 20, "{of_line} forms of {}", line.name);
    }
    assert!(key.lines.len() == 3 && key.glazes.len() >= 8 && key.decorations.len() >= 5 && key.marks.len() >= 12);
    assert!(key.papers.len() >= 15 && key.papers.iter().all(|paper| (2..=12).contains(&paper.lists.len())));
    assert!((28..=40).contains(&key.features.len()), "{} features", key.features.len());
    for view in [View::Above, View::Side, View::Underneath, View::Hand] {
        assert!(key.features.iter().filter(|feature| feature.view == view).count() >= 3, "{view:?}");
    }
    for part in [Part::Body, Part::Lid, Part::Finial, Part::Handle, Part::Spout, Part::Foot] {
        assert!(key.features.iter().any(|feature| feature.part == part), "{part:?}");
    }
    assert!(key.features.iter().all(|feature| !feature.look.is_empty()), "every feature says how to look");
}

fn dimension(form: &Form, of: Dimension) -> f64 {
    let shape = &form.shape;
    let lid = shape.lid_profile(0.05).iter().map(|p| p.0).fold(0.0, f64::max);
    let lid_plan = shape.lid_plan.as_ref().unwrap_or(&shape.plan);
    match of {
        Dimension::BodyHeight => shape.body_height_mm(),
        Dimension::HeightWithLid => shape.height_mm(),
        Dimension::RimLong => 2.0 * shape.rim_radius_mm(),
        Dimension::RimShort => 2.0 * shape.plan.half_short_mm(shape.rim_radius_mm()),
        Dimension::Greatest => 2.0 * shape.max_radius_mm(),
        Dimension::Width => shape.width_mm(),
        Dimension::Foot => 2.0 * shape.foot_radius_mm(),
        Dimension::LidLong => 2.0 * lid,
        Dimension::LidShort => 2.0 * lid_plan.half_short_mm(lid),
    }
}

#[test]
fn every_drawing_has_the_measures_its_record_says() {
    let key = key();
    let mut compared = 0;
    for feature in &key.features {
        let FeatureKind::Measure(measure) = &feature.kind else { continue };
        let Some(of) = measure.of else { continue };
        for form in &key.forms {
            if let Some(Record::Between(from, to)) = form.features.get(&feature.id) {
                let drawn = dimension(form, of);
                assert!(
                    *from - 0.01 <= drawn && drawn <= *to + 0.01,
                    "{} of {} is drawn {drawn:.1}, recorded {from}..{to}",
                    feature.id,
                    form.id
                );
                compared += 1;
            }
        }
    }
    assert!(compared > 300, "{compared} measures compared");
}

#[test]
fn every_vessel_holds_what_its_record_says() {
    for form in &key().forms {
        if let Some(Record::Between(from, to)) = record(form, "capacity") {
            let drawn = form.shape.brim_capacity_ml();
            assert!(*from <= drawn && drawn <= *to, "{} is drawn for {drawn:.0} ml, recorded {from}..{to}", form.id);
        }
    }
}

#[test]
fn every_form_can_be_drawn_with_all_its_parts() {
    for form in &key().forms {
        let drawn: BTreeSet<Part> = form.shape.silhouette().parts.iter().map(|(part, _)| *part).collect();
        let named: BTreeSet<Part> = form.parts.iter().copied().filter(|part| !matches!(part, Part::Stand | Part::Fitting)).collect();
        assert_eq!(drawn, named, "{}", form.id);
        let Some(Point::Corner(_, low) | Point::Curve(_, low)) = form.shape.body.first() else { panic!("{} has no body", form.id) };
        assert!(low.abs() < 0.01, "{} stands on the table", form.id);
        assert!(!form.shape.above().parts.is_empty() && !form.shape.underneath().parts.is_empty(), "{}", form.id);
    }
}

#[test]
fn values_of_one_feature_never_look_alike() {
    for feature in &key().features {
        let FeatureKind::Choice(values) = &feature.kind else { continue };
        let mut seen = Vec::new();
        for value in values {
            if value.lab.is_some() {
                continue;
            }
            let glyph = value.drawing.glyph();
            assert!(value.drawing != Drawing::None && !glyph.is_empty(), "{} {} has no drawing", feature.id, value.id);
            assert!(!seen.contains(&glyph), "{} {} looks like another value", feature.id, value.id);
            seen.push(glyph);
        }
    }
}

/// True where the feature can be looked at on that form at all.
fn applies(feature: &Feature, form: &Form) -> bool {
    let has_part = feature.part == Part::Body || form.parts.contains(&feature.part);
    let met = match &feature.only_if {
        Some(Condition::Is(other, values)) => match form.features.get(other) {
            Some(Record::Always(value)) => values.contains(value),
            Some(Record::Values(found)) => found.keys().any(|value| values.contains(value)),
            Some(Record::DoesNotApply | Record::Between(..) | Record::NotRecorded) | None => false,
        },
        Some(Condition::Has(part)) => form.parts.contains(part),
        Some(Condition::Lacks(part)) => !form.parts.contains(part),
        None => true,
    };
    has_part && met && form.features.get(&feature.id) != Some(&Record::DoesNotApply)
}

#[test]
fn one_cell_in_eight_or_so_was_never_looked_at() {
    let key = key();
    let (mut open, mut all, mut shades, mut never) = (0, 0, 0, 0);
    for form in &key.forms {
        for feature in key.features.iter().filter(|feature| applies(feature, form)) {
            let by_list = match feature.kind {
                FeatureKind::Glaze => !form.glazes.is_empty(),
                FeatureKind::Decoration => !form.decorations.is_empty(),
                FeatureKind::Mark => !form.marks.is_empty(),
                FeatureKind::Choice(_) | FeatureKind::Measure(_) => false,
            };
            all += 1;
            match form.features.get(&feature.id) {
                None | Some(Record::NotRecorded) if !by_list => open += 1,
                Some(Record::Values(_)) => shades += 1,
                _ => {}
            }
        }
        never += form.features.values().filter(|record| **record == Record::DoesNotApply).count();
    }
    let share = f64::from(open) / f64::from(all);
    assert!((0.10..=0.15).contains(&share), "{open} of {all} not recorded: {share:.3}");
    assert!(shades >= 60, "{shades} records with 'usually' or 'sometimes'");
    assert!(never >= 10, "{never} 'does not apply'");
}

#[test]
fn the_sugar_and_the_casserole_differ_by_the_lid() {
    let key = key();
    let (sugar, casserole) = (form(&key, "quoin-covered-sugar"), form(&key, "quoin-casserole-one"));
    assert_eq!(record(sugar, "lid-outline"), Some(&Record::Always(ValueId::new("round"))));
    assert_eq!(record(casserole, "lid-outline"), Some(&Record::Always(ValueId::new("oval"))));
    let choices = key.features.iter().filter(|feature| matches!(feature.kind, FeatureKind::Choice(_)));
    let differing: Vec<&str> =
        choices.map(|f| &f.id).filter(|id| sugar.features.get(*id) != casserole.features.get(*id)).map(FeatureId::as_str).collect();
    assert_eq!(differing, ["plan", "lid-outline"]);
    // The plan only hints: a squeezed rim is often read as round.
    assert!(matches!(record(casserole, "plan"), Some(Record::Values(values)) if values.contains_key("round")));
    for feature in ["height", "height-with-lid", "rim-diameter", "foot-diameter", "lid-length", "capacity"] {
        let ((a, b), (c, d)) = (between(sugar, feature), between(casserole, feature));
        assert!(a <= d && c <= b, "{feature} overlaps: {a}..{b} and {c}..{d}");
    }
}

#[test]
fn one_lid_fits_two_bases() {
    let key = key();
    for (one, other) in [("fenlight-covered-sugar", "fenlight-jam-pot"), ("stannard-covered-sugar", "stannard-jar-small")] {
        let (one, other) = (form(&key, one), form(&key, other));
        assert_eq!((&one.shape.lid, &one.shape.finial), (&other.shape.lid, &other.shape.finial));
        assert!((one.shape.rim_radius_mm() - other.shape.rim_radius_mm()).abs() < 0.1);
    }
}

#[test]
fn the_trouble_of_real_shelves_is_in_it() {
    let key = key();
    assert!(form(&key, "quoin-ramekin").borrowed_by.iter().any(|held| held.id.as_str() == "stannard"));
    assert!(key.decorations.iter().any(|decoration| decoration.on_old_stock && decoration.applied == Applied::Gilt));
    assert!(key.marks.iter().any(|mark| mark.used == Used::NeverUsed));
    assert!(key.marks.iter().filter(|mark| !mark.pictures.is_empty()).count() >= 3);
    for caution in [Caution::Uranium, Caution::LeadOrCadmium] {
        assert!(key.glazes.iter().any(|glaze| glaze.cautions.contains(&caution)), "{caution:?}");
    }
    let hows: BTreeSet<How> =
        key.forms.iter().flat_map(|form| form.claims.iter().map(|c| c.how).chain(form.glazes.iter().map(|g| g.how))).collect();
    assert_eq!(hows.into_iter().collect::<Vec<_>>(), [How::Seen, How::InPaper, How::Inferred, How::Suspected, How::Refuted]);
    assert!(key.about.synonyms.iter().any(|group| group.contains(&"knob".to_owned()) && group.contains(&"finial".to_owned())));
}

/// True where a form can be what was said: its record agrees, or nothing is recorded.
fn can_be(key: &Key, form: &Form, feature: &FeatureId, said: &Record) -> bool {
    let feature = key.feature(feature).unwrap();
    if feature.part != Part::Body && !form.parts.contains(&feature.part) {
        return false;
    }
    match (form.features.get(&feature.id), said) {
        (Some(Record::DoesNotApply), _) => false,
        (Some(Record::Always(has)), Record::Always(said)) => has == said,
        (Some(Record::Values(has)), Record::Always(said)) => has.contains_key(said),
        (Some(Record::Between(a, b)), Record::Between(c, d)) => a <= d && c <= b,
        _ => true,
    }
}

#[test]
fn a_handful_of_good_looks_names_any_form() {
    let key = key();
    let mut most = 0;
    let mut sum = 0;
    for form in &key.forms {
        // Each look is answered as this form's own record says, a measure by the middle ± 1 %.
        let answers: Vec<(&FeatureId, Record)> = form
            .features
            .iter()
            .filter_map(|(id, record)| match record {
                Record::Always(value) => Some((id, Record::Always(value.clone()))),
                Record::Values(values) => {
                    values.iter().min_by_key(|(_, often)| **often).map(|(value, _)| (id, Record::Always(value.clone())))
                }
                Record::Between(a, b) => Some((id, Record::Between(f64::midpoint(*a, *b) * 0.99, f64::midpoint(*a, *b) * 1.01))),
                Record::NotRecorded | Record::DoesNotApply => None,
            })
            .collect();
        let mut left: Vec<&Form> = key.forms.iter().collect();
        let mut looks = 0;
        while left.len() > 1 {
            // The rule only comes out when the eye has nothing more to say.
            let keep = |id: &FeatureId, said: &Record| left.iter().filter(|other| can_be(&key, other, id, said)).count();
            let rule = |id: &FeatureId, said: &Record| keep(id, said) == left.len() || matches!(said, Record::Between(..));
            let (id, said) = answers.iter().min_by_key(|(id, said)| (rule(id, said), keep(id, said))).unwrap();
            let before = left.len();
            left.retain(|other| can_be(&key, other, id, said));
            looks += 1;
            assert!(
                left.len() < before,
                "{} is not told from {}",
                form.id,
                left.iter().map(|f| f.id.as_str()).collect::<Vec<_>>().join(", ")
            );
        }
        assert_eq!(left.first().map(|f| &f.id), Some(&form.id));
        most = most.max(looks);
        sum += looks;
    }
    assert!(most <= 6, "one form takes {most} looks");
    assert!(sum >= 2 * key.forms.len(), "naming is a real job: {sum} looks for {} forms", key.forms.len());
}

#[derive(serde::Deserialize)]
#[serde(deny_unknown_fields)]
struct BoxPiece {
    label: String,
    #[serde(default)]
    is: Option<FormId>,
    note: String,
    piece: Piece,
}

#[test]
fn box_fourteen_speaks_of_this_key() {
    use ron::extensions::Extensions;
    let dialect = Extensions::IMPLICIT_SOME | Extensions::UNWRAP_NEWTYPES | Extensions::UNWRAP_VARIANT_NEWTYPES;
    let text = include_str!("../demo/box-14.ron");
    let pieces: Vec<BoxPiece> = ron::Options::default().with_default_extension(dialect).from_str(text).unwrap();
    let key = key();
    assert_eq!(pieces.len(), 12);
    for piece in &pieces {
        assert!(!piece.label.is_empty() && !piece.note.is_empty());
        if let Some(is) = &piece.is {
            form(&key, is.as_str());
        }
        for observation in &piece.piece.observations {
            let feature =
                key.feature(&observation.feature).unwrap_or_else(|| panic!("{}: no feature '{}'", piece.label, observation.feature));
            if let Seen::Values(values) = &observation.seen {
                let known = key.values_of(feature);
                for value in values {
                    assert!(known.iter().any(|(id, _)| id == value), "{}: no {} '{value}'", piece.label, feature.id);
                }
            }
        }
    }
    assert_eq!(pieces.iter().filter(|piece| piece.is.is_none()).count(), 1);
}

/// CIEDE2000 with all weights 1, written out here a second time so that the demo's claim does not rest on the program's own sum.
fn delta_e00((l1, a1, b1): (f64, f64, f64), (l2, a2, b2): (f64, f64, f64)) -> f64 {
    let seventh = |c: f64| (c.powi(7) / (c.powi(7) + 25.0_f64.powi(7))).sqrt();
    let g = 1.5 - 0.5 * seventh(f64::midpoint(a1.hypot(b1), a2.hypot(b2)));
    let (c1, c2) = ((a1 * g).hypot(b1), (a2 * g).hypot(b2));
    let hue = |a: f64, b: f64| b.atan2(a * g).to_degrees().rem_euclid(360.0);
    let (h1, h2) = (hue(a1, b1), hue(a2, b2));
    let turn = (h2 - h1 + 180.0).rem_euclid(360.0) - 180.0;
    let (l, c, h) = (f64::midpoint(l1, l2), f64::midpoint(c1, c2), h1 + turn / 2.0);
    let cos = |degrees: f64| degrees.to_radians().cos();
    let t = 1.0 - 0.17 * cos(h - 30.0) + 0.24 * cos(2.0 * h) + 0.32 * cos(3.0 * h + 6.0) - 0.20 * cos(4.0 * h - 63.0);
    let middle = (l - 50.0).powi(2);
    let d_l = (l2 - l1) / (1.0 + 0.015 * middle / (20.0 + middle).sqrt());
    let d_c = (c2 - c1) / (1.0 + 0.045 * c);
    let d_h = 2.0 * (c1 * c2).sqrt() * (turn / 2.0).to_radians().sin() / (1.0 + 0.015 * c * t);
    let bend = 60.0 * (-((h.rem_euclid(360.0) - 275.0) / 25.0).powi(2)).exp();
    let rotation = -2.0 * seventh(c) * bend.to_radians().sin();
    (d_l * d_l + d_c * d_c + d_h * d_h + rotation * d_c * d_h).sqrt()
}

#[test]
fn moss_and_sedge_are_three_apart() {
    // Sharma, Wu & Dalal, Color Res. Appl. 30(1), 2005, table 1, rows 1, 24, 25 and 28.
    for (one, other, published) in [
        ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
        ((50.0, 2.5, 0.0), (50.0, 3.2592, 0.3350), 1.0),
        ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
        ((35.0831, -44.1164, 3.7933), (35.0232, -40.0716, 1.5901), 1.8645),
    ] {
        assert!((delta_e00(one, other) - published).abs() < 1e-4, "{} is not {published}", delta_e00(one, other));
    }
    let key = key();
    let lab = |id: &str| key.glazes.iter().find(|glaze| glaze.id.as_str() == id).unwrap().lab.into();
    let apart = delta_e00(lab("moss"), lab("sedge"));
    assert!((apart - 3.0).abs() < 0.05, "Moss and Sedge are {apart:.3} apart");
    // No other two glazes are as near.
    for (i, one) in key.glazes.iter().enumerate() {
        for other in key.glazes.iter().take(i).filter(|other| (one.id.as_str(), other.id.as_str()) != ("sedge", "moss")) {
            assert!(delta_e00(one.lab.into(), other.lab.into()) > 4.0, "{} and {}", one.name, other.name);
        }
    }
}
