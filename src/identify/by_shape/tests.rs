#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

use super::*;
use crate::key::{FormId, builtin};
use proptest::prelude::*;

fn profile(points: &[(f64, f64)]) -> HalfProfile {
    HalfProfile::new(points).unwrap()
}

/// A made-up vessel: foot, belly, rim and some bends between.
fn vessel(foot: f64, rim: f64, height: f64, belly: f64, at: f64) -> HalfProfile {
    let points: Vec<(f64, f64)> = (0..=24)
        .map(|i| {
            let t = f64::from(i) / 24.0;
            (foot + (rim - foot) * t + belly * (-((t - at) / 0.25).powi(2)).exp(), height * t)
        })
        .collect();
    profile(&points)
}

prop_compose! {
    fn any_vessel()(foot in 10.0..80.0f64, rim in 10.0..120.0f64, height in 12.0..260.0f64, belly in 0.0..50.0f64, at in 0.1..0.9f64) -> HalfProfile {
        vessel(foot, rim, height, belly, at)
    }
}

fn library(vessels: Vec<HalfProfile>) -> ShapeIndex {
    ShapeIndex::of_profiles(vessels.into_iter().enumerate().map(|(i, p)| (FormId::new(format!("form-{i:04}")), p)).collect(), 2.0)
}

#[test]
fn areas_between_are_those_of_plane_geometry() {
    let cylinder = profile(&[(50.0, 0.0), (50.0, 100.0)]);
    let wider = profile(&[(53.0, 0.0), (53.0, 100.0)]);
    let taller = profile(&[(50.0, 0.0), (50.0, 110.0)]);
    let cone = profile(&[(50.0, 0.0), (0.0, 100.0)]);
    let upturned = profile(&[(0.0, 0.0), (50.0, 100.0)]);
    assert!((cylinder.area_between_mm2(&wider) - 300.0).abs() < 1e-9);
    assert!((cylinder.mean_deviation_mm(&wider) - 3.0).abs() < 1e-9);
    assert!((cylinder.area_between_mm2(&taller) - 500.0).abs() < 1e-9, "ten more millimetres of height, fifty of radius");
    assert!((cylinder.area_between_mm2(&cone) - 2500.0).abs() < 1e-9);
    // Two triangles on either side of the height at which they meet.
    assert!((cone.area_between_mm2(&upturned) - 2500.0).abs() < 1e-9);
    assert!(cone.area_between_mm2(&cone).abs() < 1e-12);
    assert!((cone.area_mm2() - 2500.0).abs() < 1e-9 && (cone.length_mm() - 12_500f64.sqrt()).abs() < 1e-9);
}

#[test]
fn a_rim_that_turns_down_counts_by_what_is_seen() {
    // Up the wall to 100, out to radius 60 and down to 90: from the side one sees 60 between 90 and 100.
    let rolled = profile(&[(50.0, 0.0), (50.0, 100.0), (60.0, 100.0), (60.0, 90.0)]);
    assert!((rolled.area_mm2() - (50.0 * 90.0 + 60.0 * 10.0)).abs() < 1e-9, "{}", rolled.area_mm2());
    assert!((rolled.height_mm() - 100.0).abs() < 1e-12 && (rolled.greatest_radius_mm() - 60.0).abs() < 1e-12);
}

#[test]
fn a_profile_stands_on_the_table_wherever_it_was_measured() {
    let a = profile(&[(40.0, 12.0), (60.0, 112.0)]);
    let b = profile(&[(40.0, 0.0), (40.0, 0.0), (60.0, 100.0)]);
    assert_eq!(a.points(), b.points(), "moved down, and without the repeated point");
}

#[test]
fn bad_profiles_are_refused_in_words() {
    let says = |points: &[(f64, f64)]| HalfProfile::new(points).unwrap_err().to_string();
    assert_eq!(says(&[]), "the half profile is empty (give its points from the foot up to the rim, as radius and height in mm)");
    assert_eq!(says(&[(1.0, 2.0)]), "the half profile has one point only (give at least two, from the foot up to the rim)");
    assert_eq!(says(&[(1.0, 2.0), (1.0, 2.0)]), "the half profile has one point only (give at least two, from the foot up to the rim)");
    assert_eq!(
        says(&[(1.0, 2.0), (f64::NAN, 3.0)]),
        "point 2 of the half profile, 'NaN, 3', is no radius and height in mm (expected a radius from 0 to 5000 and a height from -5000 to 5000)"
    );
    assert_eq!(
        says(&[(-1.0, 2.0), (1.0, 3.0)]),
        "point 1 of the half profile, '-1, 2', is no radius and height in mm (expected a radius from 0 to 5000 and a height from -5000 to 5000)"
    );
    assert_eq!(
        says(&[(1.0, 2.0), (9.0, 2.0)]),
        "the half profile encloses no area (its points must not all lie at one height or on the axis)"
    );
    assert_eq!(
        says(&[(0.0, 2.0), (0.0, 9.0)]),
        "the half profile encloses no area (its points must not all lie at one height or on the axis)"
    );
    assert_eq!(
        says(&[(10.0, 0.0), (50.0, 40.0), (50.0, 0.0), (10.0, 40.0)]),
        "the half profile crosses itself near radius 30.0 mm, height 20.0 mm (put its points in order from the foot up to the rim)"
    );
    assert_eq!(
        says(&vec![(1.0, 1.0); 2_001]),
        "the half profile has 2001 points, more than the 2000 that are read (leave out those on straight runs)"
    );
    let index = library(vec![vessel(30.0, 50.0, 100.0, 10.0, 0.5)]);
    let cup = vessel(30.0, 50.0, 100.0, 10.0, 0.5);
    let refused = index.weigh(&ShapeReading { profile: &cup, sd_mm: 0.0, lid: LidOn::Off, scaling: Scaling::TrueSize }).unwrap_err();
    assert_eq!(refused.to_string(), "the uncertainty of the half profile, '0', is not a number of mm above 0");
}

#[test]
fn nothing_is_found_among_no_forms() {
    let cup = vessel(30.0, 50.0, 100.0, 10.0, 0.5);
    let none = ShapeIndex::default();
    assert!(none.is_empty() && none.nearest(&cup, LidOn::Either, Scaling::TrueSize, 5).is_empty());
    let some = library(vec![cup.clone()]);
    assert!(some.nearest(&cup, LidOn::Either, Scaling::TrueSize, 0).is_empty());
    assert_eq!(some.nearest(&cup, LidOn::Either, Scaling::TrueSize, usize::MAX).len(), 1);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn the_search_gives_what_comparing_all_gives(
        vessels in prop::collection::vec(any_vessel(), 1..400), asked in any_vessel(), most in 1usize..12,
    ) {
        let index = library(vessels);
        for scaling in [Scaling::TrueSize, Scaling::AnySize] {
            let soon = index.nearest(&asked, LidOn::Off, scaling, most);
            prop_assert_eq!(soon, index.nearest_by_all(&asked, LidOn::Off, scaling, most));
        }
    }

    #[test]
    fn distances_are_distances(a in any_vessel(), b in any_vessel(), c in any_vessel(), by in 0.3..3.0f64) {
        let (ab, ba) = (a.area_between_mm2(&b), b.area_between_mm2(&a));
        prop_assert!((ab - ba).abs() < 1e-6 * (1.0 + ab));
        prop_assert!(ab <= a.area_between_mm2(&c) + c.area_between_mm2(&b) + 1e-6);
        prop_assert!(a.unlikeness(&b) < 2.0);
        let scaled = profile(&a.points().iter().map(|p| (p.0 * by, p.1 * by)).collect::<Vec<_>>());
        prop_assert!(a.unlikeness(&scaled) < 1e-9, "the size does not matter");
    }

    #[test]
    fn any_line_is_taken_or_refused(points in prop::collection::vec((0.0..100.0f64, -50.0..50.0f64), 0..30)) {
        if let Ok(p) = HalfProfile::new(&points) {
            let below: f64 = p.points().windows(2).map(|w| (w[1].1 - w[0].1).abs() * w[0].0.max(w[1].0)).sum();
            prop_assert!(p.area_mm2() > 0.0 && p.area_mm2() <= below + 1e-6);
            prop_assert!(p.area_between_mm2(&p).abs() < 1e-9);
        }
    }
}

#[test]
fn the_shape_seen_speaks_for_the_right_form_and_forgives_the_give() {
    let index = library(vec![
        vessel(30.0, 50.0, 100.0, 10.0, 0.5),
        vessel(30.0, 50.0, 100.0, 13.0, 0.5),
        vessel(60.0, 100.0, 200.0, 20.0, 0.5),
        vessel(80.0, 110.0, 24.0, 0.0, 0.5),
    ]);
    let id = |n: usize| FormId::new(format!("form-{n:04}"));
    let seen = vessel(30.3, 50.5, 101.0, 10.1, 0.5);
    let weigh = |scaling| index.weigh(&ShapeReading { profile: &seen, sd_mm: 0.5, lid: LidOn::Off, scaling }).unwrap();
    let by_size = weigh(Scaling::TrueSize);
    let of = |s: &ShapeSeen, n| s.of(&id(n)).unwrap();
    assert!(of(&by_size, 0) > -1.0, "1 % larger is within the give: {by_size:?}");
    assert!(of(&by_size, 0) > of(&by_size, 1) + 2.0 && of(&by_size, 1) > of(&by_size, 2) + 2.0, "{by_size:?}");
    assert!(of(&by_size, 2) >= by_size.broad + 0.02f64.ln() - 1e-9, "nothing is impossible: {by_size:?}");
    let by_shape = weigh(Scaling::AnySize);
    assert!((of(&by_shape, 0) - of(&by_shape, 2)).abs() < 0.2, "twice the size is the same shape: {by_shape:?}");
    assert!(by_shape.of(&FormId::new("elsewhere")).is_none());
}

#[test]
fn every_demo_form_finds_itself() {
    let key = builtin::demo().key;
    let index = ShapeIndex::new(&key);
    assert_eq!(index.len(), key.forms.len(), "every demo form has a profile");
    for form in &key.forms {
        let own = profile(&form.shape.body_profile(0.1));
        let near = index.nearest(&own, LidOn::Off, Scaling::TrueSize, 3);
        assert!(near[0].area_between_mm2 < 1e-6, "{}: {near:?}", form.id);
        assert!(near.iter().any(|m| m.form == form.id && m.area_between_mm2 < 1e-6), "{}: {near:?}", form.id);
    }
}

#[test]
fn a_piece_with_its_lid_on_is_compared_with_closed_forms() {
    let key = builtin::demo().key;
    let index = ShapeIndex::new(&key);
    let lidded = key.forms.iter().find(|f| !f.shape.lid.is_empty()).unwrap();
    let body = profile(&lidded.shape.body_profile(0.1));
    let open = index.nearest(&body, LidOn::Off, Scaling::TrueSize, 1).remove(0);
    let closed = index.nearest(&body, LidOn::On, Scaling::TrueSize, usize::MAX).into_iter().find(|m| m.form == lidded.id).unwrap();
    assert!(open.area_between_mm2 < 1e-6 && closed.lid == LidOn::On, "{closed:?}");
    assert!(closed.area_between_mm2 > 100.0, "the lid is part of what is compared: {closed:?}");
    let either = index.nearest(&body, LidOn::Either, Scaling::TrueSize, usize::MAX);
    let mut ids: Vec<&FormId> = either.iter().map(|m| &m.form).collect();
    ids.sort();
    ids.dedup();
    assert_eq!(ids.len(), either.len(), "each form once");
}
