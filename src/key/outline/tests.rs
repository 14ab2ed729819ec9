#![expect(clippy::unwrap_used, clippy::float_cmp, reason = "tests")]

use super::*;
use crate::key::shape::{Drawing, Finial, FinialKind, Handle, HandleAt, HandleKind, Plan, Point as Knot, Spout, SpoutKind, Surface};
use kurbo::{ParamCurve as _, PathEl};
use proptest::prelude::*;
use std::f64::consts::{PI, TAU};

const HANDLES: [HandleKind; 7] =
    [HandleKind::Loop, HandleKind::Ear, HandleKind::Angular, HandleKind::Lug, HandleKind::Stick, HandleKind::Bail, HandleKind::Pierced];
const SPOUTS: [SpoutKind; 4] = [SpoutKind::Lip, SpoutKind::Beak, SpoutKind::Tube, SpoutKind::Swan];
const FINIALS: [FinialKind; 7] =
    [FinialKind::Ball, FinialKind::Button, FinialKind::Cone, FinialKind::Ring, FinialKind::Strap, FinialKind::Bar, FinialKind::Sunk];
const FEET: [FootKind; 5] = [FootKind::Ring, FootKind::Flat, FootKind::Pedestal, FootKind::Stumps, FootKind::Hollow];

fn plans() -> Vec<Plan> {
    vec![
        Plan::Round,
        Plan::Oval(1.35),
        Plan::RoundedSquare,
        Plan::Oblong(1.6),
        Plan::Sided(3),
        Plan::Sided(4),
        Plan::Sided(6),
        Plan::Sided(8),
        Plan::Lobed(2),
        Plan::Lobed(5),
        Plan::Lobed(8),
    ]
}

fn shape(body: &[Knot]) -> Shape {
    Shape {
        body: body.to_vec(),
        wall_mm: 5.0,
        plan: Plan::Round,
        lid: Vec::new(),
        lid_plan: None,
        lid_sits_mm: 0.0,
        handles: Vec::new(),
        spout: None,
        finial: None,
        foot: FootKind::Flat,
        surface: Surface::Plain,
    }
}

fn cylinder() -> Shape {
    shape(&[Knot::Corner(50.0, 0.0), Knot::Corner(50.0, 100.0)])
}

fn close(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} is not {b} within {within}");
}

#[test]
fn volumes_of_revolution() {
    // V = πh(r₁² + r₁r₂ + r₂²)/3, worked out by a calculator.
    close(swept_volume_mm3(&[(40.0, 0.0), (60.0, 100.0)]), 795_870.14, 0.01);
    close(swept_volume_mm3(&[(50.0, 0.0), (50.0, 100.0)]), 785_398.16, 0.01);
    assert_eq!(swept_volume_mm3(&[]), 0.0);
}

#[test]
fn a_straight_pot_holds_what_its_inside_measures() {
    // Inside: radius 50 − 5, depth 100 − 5. π · 45² · 95 = 604 363.9 mm³.
    close(cylinder().brim_capacity_ml(), 604.364, 0.01);
    assert_eq!(cylinder().inner_profile(0.05), vec![(0.0, 5.0), (45.0, 5.0), (45.0, 100.0)]);
    // Half as deep across: half as much.
    let oval = Shape { plan: Plan::Oval(2.0), ..cylinder() };
    close(oval.brim_capacity_ml(), 302.182, 0.05);
}

#[test]
fn the_cut_shows_wall_and_floor_and_nothing_else() {
    // Half a pot of 50 by 100 less its inside of 45 by 95.
    close(cylinder().section().area().abs(), 50.0 * 100.0 - 45.0 * 95.0, 1e-6);
    // A ring under it, 5 wide, lifts a floor of the same thickness: 5 · 6 of ring are clay, 45 · 6 under it are air.
    let mut ring = shape(&[Knot::Corner(50.0, 0.0), Knot::Corner(50.0, 6.0), Knot::Corner(52.0, 8.0), Knot::Corner(52.0, 100.0)]);
    ring.foot = FootKind::Ring;
    assert_eq!(ring.underside_mm(), 6.0);
    assert_eq!(ring.section().winding(Point::new(20.0, 3.0)), 0, "air under the floor");
    assert_ne!(ring.section().winding(Point::new(48.0, 3.0)), 0, "the ring");
    assert_ne!(ring.section().winding(Point::new(20.0, 8.5)), 0, "the floor");
    assert_eq!(ring.section().winding(Point::new(20.0, 40.0)), 0, "inside");
    // A lid of 50 by 20: what is left when it is shrunk by the wall, 45 by 15.
    let lid = Shape { lid: vec![Knot::Corner(50.0, 0.0), Knot::Corner(50.0, 20.0)], ..cylinder() };
    close(lid.lid_section().area().abs(), 50.0 * 20.0 - 45.0 * 15.0, 1e-6);
}

#[test]
fn a_slanting_wall_is_as_thick_as_it_says() {
    // 3-4-5: a wall that leans out 3 in 4 and is 5 thick across is 5 · 5/4 = 6.25 thick along the level.
    let pot = shape(&[Knot::Corner(40.0, 0.0), Knot::Corner(100.0, 80.0)]);
    let inside = pot.inner_profile(0.01);
    let outside = pot.body_profile(0.01);
    close(profile::radius_at(&outside, 40.0).unwrap() - profile::radius_at(&inside, 40.0).unwrap(), 6.25, 0.05);
}

#[test]
fn areas_of_plans() {
    close(Plan::Round.area(10.0), PI * 100.0, 0.02);
    close(Plan::Oval(2.0).area(10.0), PI * 50.0, 0.02);
    // 4 Γ(5/4)² / Γ(3/2) for a superellipse of exponent 4.
    close(Plan::RoundedSquare.area(10.0), 370.815, 0.02);
    close(Plan::Sided(6).area(10.0), 1.5 * 3.0_f64.sqrt() * 100.0, 1e-6);
    close(Plan::Sided(4).area(10.0), 400.0, 1e-6);
    close(Plan::Sided(8).area(10.0), 800.0 * (PI / 8.0).tan(), 1e-6);
    // A rectangle less its four corners, (4 − π)c² with c = 0.45 · 5.
    close(Plan::Oblong(2.0).area(10.0), 200.0 - (4.0 - PI) * 2.25 * 2.25, 0.01);
}

#[test]
fn a_plans_path_and_its_radius_agree() {
    for plan in plans() {
        for (x, y) in profile::flat(&plan.path(30.0), 0.001) {
            let here = x.hypot(y);
            close(here, 30.0 * plan.radius_at(y.atan2(x)), 0.06);
        }
        close(plan.path(30.0).bounding_box().max_x(), 30.0, 0.05);
        if !matches!(plan, Plan::Sided(_) | Plan::Lobed(_)) {
            close(30.0 / plan.half_short_mm(30.0), plan.aspect(), 1e-3);
        }
    }
}

#[test]
fn nonsense_plans_are_drawn_as_something() {
    assert_eq!(Plan::Oval(f64::NAN).aspect(), 1.0);
    assert_eq!(Plan::Oblong(0.2).aspect(), 1.0);
    assert_eq!(Plan::Sided(2).radius_at(1.0), 1.0);
    assert_eq!(Plan::Lobed(0).radius_at(f64::NAN), 1.0);
    assert!(Plan::Round.path(f64::NAN).elements().is_empty());
    assert!(Plan::Round.path(0.0).elements().is_empty());
}

#[test]
fn between_two_corners_it_is_straight_and_a_belly_is_upright() {
    let straight = curve(&[Knot::Corner(10.0, 0.0), Knot::Corner(20.0, 30.0)]);
    assert_eq!(straight.elements(), &[PathEl::MoveTo((10.0, 0.0).into()), PathEl::LineTo((20.0, 30.0).into())]);
    let belly = curve(&[Knot::Corner(18.0, 0.0), Knot::Curve(40.0, 30.0), Knot::Corner(24.0, 62.0)]);
    let Some(PathEl::CurveTo(_, arm, at)) = belly.elements().get(1) else { unreachable!("a curve was asked for") };
    assert_eq!((arm.x, at.x), (40.0, 40.0));
}

#[test]
fn points_on_a_circle_give_nearly_the_circle() {
    let at = |degrees: f64| (50.0 * degrees.to_radians().cos(), 50.0 + 50.0 * degrees.to_radians().sin());
    let points: Vec<Knot> = [-90.0, -45.0, 0.0, 45.0, 90.0].map(at).iter().map(|&(r, h)| Knot::Curve(r, h)).collect();
    for (r, h) in polyline(&points, 0.01) {
        close(r.hypot(h - 50.0), 50.0, 0.6);
    }
}

#[test]
fn measures_read_off_the_points() {
    let mut pot = shape(&[Knot::Corner(30.0, 0.0), Knot::Corner(28.0, 4.0), Knot::Curve(50.0, 40.0), Knot::Corner(44.0, 80.0)]);
    pot.foot = FootKind::Ring;
    pot.lid = vec![Knot::Corner(46.0, 0.0), Knot::Curve(0.0, 18.0)];
    pot.lid_sits_mm = -2.0;
    pot.finial = Some(Finial { kind: FinialKind::Ball, height_mm: 15.0, width_mm: 14.0 });
    assert_eq!((pot.foot_radius_mm(), pot.rim_radius_mm(), pot.max_radius_mm(), pot.rim_height_mm()), (30.0, 44.0, 50.0, 80.0));
    assert_eq!((pot.body_height_mm(), pot.height_mm(), pot.foot_height_mm(), pot.underside_mm()), (80.0, 111.0, 4.0, 4.0));
    close(pot.width_mm(), 100.0, 1e-6);
    assert_eq!(pot.lid_profile(0.1).first(), Some(&(46.0, 78.0)));
    assert_eq!(pot.silhouette().bounds.max_y(), 111.0);
    // A sunk grip adds nothing.
    pot.finial = Some(Finial { kind: FinialKind::Sunk, height_mm: 8.0, width_mm: 30.0 });
    assert_eq!(pot.height_mm(), 96.0);
}

#[test]
fn handles_start_in_the_wall_and_reach_as_far_as_they_say() {
    for kind in HANDLES {
        let mut pot = cylinder();
        pot.handles = vec![Handle { kind, at: HandleAt::Right, top_mm: 80.0, bottom_mm: 40.0, reach_mm: 24.0, thick_mm: 7.0 }];
        let silhouette = pot.silhouette();
        let handles: Vec<_> = silhouette.outlines_of(Part::Handle).collect();
        assert_eq!(handles.len(), 1, "{kind:?}");
        let bounds = handles.first().unwrap().bounding_box();
        if kind == HandleKind::Bail {
            close(bounds.max_y(), 104.0, 0.1);
            continue;
        }
        assert!(bounds.min_x() < 50.0 && bounds.min_x() > 40.0, "{kind:?} starts at {}", bounds.min_x());
        close(bounds.max_x(), 74.0, 3.0);
        pot.handles = vec![Handle { at: HandleAt::Both, ..*pot.handles.first().unwrap() }];
        let both = pot.silhouette();
        close(both.bounds.min_x(), -both.bounds.max_x(), 1e-9);
        assert_eq!(both.outlines_of(Part::Handle).count(), 2, "{kind:?}");
    }
}

#[test]
fn what_is_pointed_at() {
    let mut pot = cylinder();
    pot.handles =
        vec![Handle { kind: HandleKind::Loop, at: HandleAt::Right, top_mm: 80.0, bottom_mm: 20.0, reach_mm: 30.0, thick_mm: 8.0 }];
    pot.lid = vec![Knot::Corner(50.0, 0.0), Knot::Curve(0.0, 20.0)];
    pot.finial = Some(Finial { kind: FinialKind::Ring, height_mm: 20.0, width_mm: 20.0 });
    let silhouette = pot.silhouette();
    assert_eq!(silhouette.part_at(Point::new(0.0, 50.0)), Some(Part::Body));
    assert_eq!(silhouette.part_at(Point::new(0.0, 1.0)), Some(Part::Foot));
    assert_eq!(silhouette.part_at(Point::new(76.0, 52.0)), Some(Part::Handle));
    assert_eq!(silhouette.part_at(Point::new(60.0, 50.0)), None, "through the loop");
    assert_eq!(silhouette.part_at(Point::new(0.0, 110.0)), Some(Part::Lid));
    assert_eq!(silhouette.part_at(Point::new(0.0, 130.0)), None, "through the ring");
    assert_eq!(silhouette.part_at(Point::new(9.0, 129.6)), Some(Part::Finial));
}

#[test]
fn from_above_and_from_underneath() {
    let mut pot = Shape { plan: Plan::Oval(2.0), foot: FootKind::Ring, ..cylinder() };
    pot.lid = vec![Knot::Corner(40.0, 0.0), Knot::Curve(0.0, 20.0)];
    pot.lid_plan = Some(Plan::Round);
    pot.handles = vec![Handle { kind: HandleKind::Lug, at: HandleAt::Both, top_mm: 80.0, bottom_mm: 60.0, reach_mm: 20.0, thick_mm: 8.0 }];
    let above = pot.above();
    close(above.bounds.width(), 140.0, 0.1);
    close(above.outlines_of(Part::Body).next().unwrap().bounding_box().height(), 50.0, 0.01);
    close(above.outlines_of(Part::Lid).next().unwrap().bounding_box().height(), 80.0, 0.01);
    close(pot.mouth().bounding_box().width(), 90.0, 0.01);
    let underneath = pot.underneath();
    assert_eq!(underneath.part_at(Point::new(47.0, 0.0)), Some(Part::Foot));
    assert_eq!(underneath.part_at(Point::ORIGIN), Some(Part::Body), "within the ring");
}

#[test]
fn spouts_reach_their_tip_at_the_left() {
    for kind in SPOUTS {
        let mut pot = cylinder();
        pot.spout = Some(Spout { kind, root_mm: 50.0, tip_mm: 100.0, reach_mm: 40.0 });
        let silhouette = pot.silhouette();
        let bounds = silhouette.outlines_of(Part::Spout).next().unwrap().bounding_box();
        close(bounds.min_x(), -90.0, 5.0);
        assert!(bounds.max_x() <= 0.0 && bounds.max_x() > -50.0, "{kind:?} joins the wall");
        close(bounds.max_y(), 100.0, 6.0);
    }
}

#[test]
fn empty_and_broken_shapes_draw_nothing() {
    let nan = f64::NAN;
    for body in [vec![], vec![Knot::Corner(10.0, 0.0)], vec![Knot::Curve(nan, nan), Knot::Corner(nan, 3.0)]] {
        let mut pot = shape(&body);
        pot.handles =
            vec![Handle { kind: HandleKind::Loop, at: HandleAt::Both, top_mm: nan, bottom_mm: 1.0, reach_mm: nan, thick_mm: nan }];
        pot.finial = Some(Finial { kind: FinialKind::Ball, height_mm: nan, width_mm: nan });
        assert_eq!(pot.silhouette().parts, vec![], "{body:?}");
        assert_eq!(pot.width_mm(), 0.0);
        assert_eq!(pot.inner_profile(0.1), vec![]);
        assert_eq!(pot.brim_capacity_ml(), 0.0);
        assert!(pot.section().elements().is_empty() && pot.lid_section().elements().is_empty() && pot.surface_lines().is_empty());
    }
}

#[test]
fn ribs_flutes_and_facets() {
    let lines = |surface| Shape { surface, ..cylinder() }.surface_lines();
    let ribs = lines(Surface::Ribs(3, 20.0, 60.0));
    assert_eq!(ribs.iter().map(|rib| rib.bounding_box().y0).collect::<Vec<_>>(), vec![20.0, 40.0, 60.0]);
    assert!(ribs.iter().all(|rib| rib.bounding_box().width() == 100.0));
    // Eight facets: four edges face the viewer, two and two, at 50 · sin 22.5° and 50 · sin 67.5°.
    let edges: Vec<f64> = lines(Surface::Facets(8)).iter().map(|edge| edge.bounding_box().x0).collect();
    assert_eq!(edges.len(), 4);
    close(*edges.get(2).unwrap(), 19.134, 1e-3);
    close(*edges.get(3).unwrap(), 46.194, 1e-3);
    assert_eq!(lines(Surface::Flutes(1)).len(), 0);
}

fn drawings() -> Vec<Drawing> {
    let mut all: Vec<Drawing> = plans().into_iter().map(Drawing::Plan).collect();
    all.extend(HANDLES.map(Drawing::Handle));
    all.extend((0..=4).map(Drawing::Handles));
    all.extend(SPOUTS.map(Drawing::Spout));
    all.extend(FINIALS.map(Drawing::Finial));
    all.extend(FEET.map(Drawing::Foot));
    all.extend([Surface::Plain, Surface::Ribs(8, 5.0, 40.0), Surface::Flutes(24), Surface::Facets(8)].map(Drawing::Surface));
    all.push(Drawing::Body(vec![Knot::Corner(18.0, 0.0), Knot::Curve(40.0, 30.0), Knot::Corner(24.0, 62.0)]));
    all.push(Drawing::Lid(vec![Knot::Corner(40.0, 0.0), Knot::Curve(0.0, 22.0)]));
    all.push(Drawing::Rim(vec![Knot::Corner(30.0, 0.0), Knot::Corner(34.0, 10.0)]));
    all.push(Drawing::Absent);
    all.push(Drawing::Strokes(vec![vec![(0.1, 0.9), (0.5, 0.1)]]));
    all
}

#[test]
fn every_drawing_has_a_picture_of_its_own_within_the_square() {
    let square = Rect::new(-1e-6, -1e-6, 1.0 + 1e-6, 1.0 + 1e-6);
    let mut seen: Vec<Glyph> = Vec::new();
    for drawing in drawings() {
        let glyph = drawing.glyph();
        assert!(!glyph.is_empty(), "{drawing:?}");
        for (path, _) in &glyph.paths {
            let bounds = path.bounding_box();
            assert!(bounds.union(square) == square && path.is_finite(), "{drawing:?} leaves the square: {bounds:?}");
        }
        assert!(!seen.contains(&glyph), "{drawing:?} looks like another");
        seen.push(glyph);
    }
    assert!(Drawing::None.glyph().is_empty());
    assert!(Drawing::Body(vec![]).glyph().is_empty());
    assert!(Drawing::Strokes(vec![vec![(f64::NAN, 0.0)], vec![]]).glyph().is_empty());
}

fn number() -> impl Strategy<Value = f64> {
    prop_oneof![12 => 0.0..200.0_f64, 2 => Just(0.0), 1 => Just(f64::NAN), 1 => Just(f64::INFINITY), 1 => -300.0..0.0_f64, 1 => Just(1e300)]
}

fn knots(most: usize) -> impl Strategy<Value = Vec<Knot>> {
    let knot = (number(), number(), any::<bool>()).prop_map(|(r, h, sharp)| if sharp { Knot::Corner(r, h) } else { Knot::Curve(r, h) });
    prop::collection::vec(knot, 0..most)
}

fn any_shape() -> impl Strategy<Value = Shape> {
    let handle = (0..HANDLES.len(), 0..3_u8, number(), number(), number(), number()).prop_map(
        |(kind, at, top_mm, bottom_mm, reach_mm, thick_mm)| Handle {
            kind: *HANDLES.get(kind).unwrap(),
            at: [HandleAt::Both, HandleAt::Right, HandleAt::Over].get(usize::from(at)).copied().unwrap(),
            top_mm,
            bottom_mm,
            reach_mm,
            thick_mm,
        },
    );
    let spout = (0..SPOUTS.len(), number(), number(), number()).prop_map(|(kind, root_mm, tip_mm, reach_mm)| Spout {
        kind: *SPOUTS.get(kind).unwrap(),
        root_mm,
        tip_mm,
        reach_mm,
    });
    let finial = (0..FINIALS.len(), number(), number()).prop_map(|(kind, height_mm, width_mm)| Finial {
        kind: *FINIALS.get(kind).unwrap(),
        height_mm,
        width_mm,
    });
    let plan = prop_oneof![
        Just(Plan::Round),
        number().prop_map(Plan::Oval),
        number().prop_map(Plan::Oblong),
        any::<u8>().prop_map(Plan::Sided),
        any::<u8>().prop_map(Plan::Lobed)
    ];
    let surface = prop_oneof![
        (any::<u8>(), number(), number()).prop_map(|(n, from, to)| Surface::Ribs(n, from, to)),
        any::<u8>().prop_map(Surface::Flutes),
        any::<u8>().prop_map(Surface::Facets)
    ];
    (
        (knots(8), knots(6), number(), number(), plan),
        (prop::collection::vec(handle, 0..3), prop::option::of(spout), prop::option::of(finial), 0..FEET.len(), surface),
    )
        .prop_map(|((body, lid, wall_mm, lid_sits_mm, plan), (handles, spout, finial, foot, surface))| Shape {
            body,
            wall_mm,
            plan,
            lid,
            lid_plan: None,
            lid_sits_mm,
            handles,
            spout,
            finial,
            foot: *FEET.get(foot).unwrap(),
            surface,
        })
}

fn all_closed(path: &BezPath) -> bool {
    path.subpaths().all(|part| matches!(part.last(), Some(PathEl::ClosePath)))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Between two written points the curve stays in their rectangle: nothing overshoots.
    #[test]
    fn a_curve_never_leaves_its_points(points in knots(9)) {
        let path = curve(&points);
        for segment in path.segments() {
            let (from, to) = (segment.start(), segment.end());
            let bounds = Rect::from_points(from, to).inflate(1e-6, 1e-6);
            for i in 0..=16 {
                prop_assert!(bounds.contains(segment.eval(f64::from(i) / 16.0)), "{segment:?}");
            }
        }
    }

    /// Whatever is in the file, every outline is closed and finite and every measure a number.
    #[test]
    fn any_shape_can_be_drawn(shape in any_shape()) {
        for view in [shape.silhouette(), shape.above(), shape.underneath()] {
            for (part, path) in &view.parts {
                prop_assert!(all_closed(path) && path.is_finite(), "{part:?}");
            }
            prop_assert!(view.bounds.is_finite());
        }
        for path in [shape.section(), shape.lid_section()] {
            prop_assert!(all_closed(&path) && path.is_finite());
        }
        prop_assert!(shape.surface_lines().iter().all(BezPath::is_finite));
        for measure in [shape.height_mm(), shape.body_height_mm(), shape.width_mm(), shape.max_radius_mm(), shape.foot_height_mm(), shape.underside_mm(), shape.brim_capacity_ml()] {
            prop_assert!(measure.is_finite());
        }
    }

    /// The inside rises from the axis to the rim and stays inside the outside.
    #[test]
    fn the_inside_stays_inside(mut radii in prop::collection::vec(10.0..120.0_f64, 2..7), rise in 8.0..60.0_f64, wall_mm in 1.0..9.0_f64, foot in 0..FEET.len()) {
        let points: Vec<Knot> = radii.drain(..).enumerate().map(|(i, r)| Knot::Curve(r, rise * i as f64)).collect();
        let pot = Shape { wall_mm, foot: *FEET.get(foot).unwrap(), ..shape(&points) };
        let (inside, outside) = (pot.inner_profile(0.02), pot.body_profile(0.02));
        for pair in inside.windows(2) {
            let [(_, h0), (r1, h1)] = *pair else { continue };
            prop_assert!(h1 >= h0);
            prop_assert!(r1 <= profile::radius_at(&outside, h1).unwrap() - wall_mm * 0.9, "at {h1}");
        }
        if let Some(first) = inside.first() {
            prop_assert_eq!(first.0, 0.0);
        }
    }

    /// A plan's radius is defined all the way round.
    #[test]
    fn a_plan_closes(angle in -20.0..20.0_f64, sides in any::<u8>()) {
        for plan in plans().into_iter().chain([Plan::Sided(sides), Plan::Lobed(sides)]) {
            let radius = plan.radius_at(angle);
            prop_assert!(radius.is_finite() && radius > 0.0 && radius < 2.1, "{plan:?} {radius}");
            prop_assert!((radius - plan.radius_at(angle + TAU)).abs() < 1e-6);
        }
    }
}
