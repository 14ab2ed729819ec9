#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

use super::*;
use crate::photo::camera::{Camera, Lens, Measured, Placed, Pose, Strays};
use kurbo::{Point, Vec2};
use nalgebra::{DVector, Matrix3, Rotation3, Vector3};

/// A phone's camera that looks at the middle of the scene from so far above and so far to the side.
fn camera(tilt_rad: f64, side_rad: f64, distance_mm: f64) -> Placed {
    let at = Vector3::new(-80.0, 20.0, 0.0);
    let way = Vector3::new(side_rad.sin() * tilt_rad.cos(), tilt_rad.sin(), side_rad.cos() * tilt_rad.cos());
    let eye = at + way * distance_mm;
    let forward = (at - eye).normalize();
    let right = forward.cross(&Vector3::y()).normalize();
    let down = forward.cross(&right);
    let rotation = Rotation3::from_matrix_unchecked(Matrix3::from_rows(&[right.transpose(), down.transpose(), forward.transpose()]));
    let lens = Lens { focal_px: 1250.0, k1: 0.006, ..Lens::of_35mm(1600.0, 1200.0, 26.0).unwrap() };
    Placed { lens, pose: Pose { rotation, translation_mm: -(rotation * eye) } }
}

fn dense(profile: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut line: Vec<(f64, f64)> = profile
        .windows(2)
        .flat_map(|w| {
            (0..60)
                .map(f64::from)
                .map(|k| (w[0].0 + (w[1].0 - w[0].0) * k / 60.0, w[0].1 + (w[1].1 - w[0].1) * k / 60.0))
                .collect::<Vec<_>>()
        })
        .collect();
    line.push(*profile.last().unwrap());
    line
}

/// The outline of a solid by the closed formula of what is seen edge on, without what the solid itself hides.
fn outline(camera: &Placed, axis: &Axis, profile: &[(f64, f64)]) -> Vec<Point> {
    let line = dense(profile);
    let mut seen: Vec<Point> =
        seen_edges(camera, axis, &line, 240).into_iter().filter(|p| passes_by_mm(camera, axis, &line, *p).unwrap().abs() < 0.03).collect();
    seen.sort_by(|a, b| a.y.total_cmp(&b.y).then(a.x.total_cmp(&b.x)));
    let step = (seen.len() / 240).max(1);
    seen.into_iter().step_by(step).collect()
}

fn standing() -> Axis {
    Axis::new(Point::new(-120.0, -27.0), Vec2::new(0.01, 1.0))
}

/// The profile swollen, stretched and set beside its axis: a start that is centimetres off.
fn poor_start(profile: &[(f64, f64)]) -> (Axis, Vec<(f64, f64)>) {
    let axis = standing();
    (
        Axis::new(axis.foot_mm + Vec2::new(3.0, 0.0), Vec2::new(0.0, 1.0)),
        dense(profile).iter().map(|p| (p.0 * 1.06 + 2.0, p.1 * 1.08 - 5.0)).collect(),
    )
}

fn given() -> Given<'static> {
    Given { wall: Wall::Mm(5.0), table: None, lip: Lip::Sharp, card: None }
}

/// The piece stands on the table, and that is known.
fn on_table() -> Given<'static> {
    Given { table: Some(Table { at_mm: standing().foot_mm, sd_mm: 0.4, up: standing().up }), ..given() }
}

const CYLINDER: [(f64, f64); 2] = [(40.0, 0.0), (40.0, 95.0)];
const VASE: [(f64, f64); 3] = [(30.0, 0.0), (34.0, 90.0), (60.0, 180.0)];
const JAR: [(f64, f64); 7] = [(30.0, 0.0), (30.0, 6.0), (45.0, 12.0), (60.0, 40.0), (62.0, 70.0), (50.0, 95.0), (52.0, 100.0)];

#[test]
fn known_solids_come_back_from_their_exact_outlines() {
    for profile in [&CYLINDER[..], &VASE[..], &JAR[..]] {
        for (tilt, side) in [(0.05, 0.0), (0.05, 0.15), (0.2, 0.0), (0.2, 0.15)] {
            let camera = camera(tilt, side, 520.0);
            let seen = outline(&camera, &standing(), profile);
            let (axis, start) = poor_start(profile);
            let (got, _) = measure_outline(&camera, &seen, (axis, &start), &on_table()).unwrap();
            let top = profile.last().unwrap();
            let widest = profile.iter().map(|p| p.0).fold(0.0, f64::max);
            let context = format!("{profile:?} from {tilt} {side}: {got:?}");
            assert!((got.height.unwrap().value - top.1).abs() < 0.005 * top.1, "height of {context}");
            assert!((got.rim.unwrap().value - 2.0 * top.0).abs() < 0.005 * 2.0 * top.0, "rim of {context}");
            assert!((got.greatest.value - 2.0 * widest).abs() < 0.005 * 2.0 * widest, "greatest of {context}");
            assert!((got.foot.unwrap().value - 2.0 * profile[0].0).abs() < 0.01 * 2.0 * profile[0].0, "foot of {context}");
            let ml = brim_ml(profile, 5.0);
            // From nearly level the wall just above the foot is not told apart from the foot's own edge, and a capacity may be withheld.
            assert!(got.capacity.is_some() || tilt < 0.1, "{context}");
            assert!(got.capacity.is_none_or(|c| (c.ml.value - ml).abs() < 0.02 * ml), "capacity {ml} of {context}");
            assert!(got.left_out.is_empty(), "{context}");
        }
    }
}

const PLATE: [(f64, f64); 5] = [(72.0, 0.0), (74.0, 4.0), (85.0, 8.0), (105.0, 14.0), (126.0, 26.0)];
const SAUCER: [(f64, f64); 4] = [(35.0, 0.0), (36.0, 3.0), (50.0, 6.0), (72.0, 22.0)];
const BOWL: [(f64, f64); 5] = [(35.0, 0.0), (36.0, 6.0), (60.0, 14.0), (85.0, 45.0), (92.0, 70.0)];
const JUG: [(f64, f64); 6] = [(38.0, 0.0), (40.0, 4.0), (62.0, 40.0), (60.0, 90.0), (40.0, 125.0), (46.0, 150.0)];

#[test]
fn open_shapes_seen_from_above_say_what_they_hide() {
    for (profile, hidden_from) in [(&PLATE[..], 15), (&SAUCER[..], 20), (&BOWL[..], 25), (&JUG[..], 99)] {
        for degrees in [5, 10, 15, 20, 25, 30] {
            let camera = camera(f64::from(degrees).to_radians(), 0.1, 600.0);
            let seen = outline(&camera, &standing(), profile);
            let (axis, start) = poor_start(profile);
            let (got, _) = measure_outline(&camera, &seen, (axis, &start), &on_table()).unwrap();
            let top = profile.last().unwrap();
            let context = format!("{profile:?} from {degrees}: {got:?}");
            let near = |m: Measured, want: f64, share: f64| {
                assert!((m.value - want).abs() < share * want && (m.value - want).abs() < 3.0 * m.sd, "{m:?} is not {want}: {context}");
            };
            near(got.height.unwrap(), top.1, 0.03);
            near(got.rim.unwrap(), 2.0 * top.0, 0.022);
            if degrees >= hidden_from {
                assert_eq!(got.foot, None, "{context}");
                assert!(got.notes.iter().any(|n| n.contains("hides its foot")), "{context}");
            } else if let Some(foot) = got.foot {
                near(foot, 2.0 * profile[0].0, 0.02);
            }
            if let Some(capacity) = got.capacity {
                let ml = brim_ml(profile, 5.0);
                assert!((capacity.ml.value - ml).abs() < 3.0 * capacity.ml.sd, "capacity {ml}: {context}");
            }
            // Where the piece hides its foot, nothing is said of it as if it had been seen.
            if got.foot.is_none() {
                assert!(got.profile_sd_mm.iter().any(|sd| *sd > 0.1 * profile[0].0), "{context}");
            }
        }
    }
}

/// A closed dome on a straight wall: what is seen of it ends where it turns out of sight, in a circle that looks like a rim.
#[test]
fn where_a_dome_turns_out_of_sight_no_rim_is_told() {
    let mut dome = vec![(48.0, 0.0), (50.0, 30.0)];
    dome.extend((1..=44).map(|k| f64::from(k) * 2.0_f64.to_radians()).map(|a| (50.0 * a.cos(), 30.0 + 50.0 * a.sin())));
    for degrees in [20, 25, 30] {
        let camera = camera(f64::from(degrees).to_radians(), 0.1, 600.0);
        let seen = outline(&camera, &standing(), &dome);
        let (axis, start) = poor_start(&dome);
        let (got, _) = measure_outline(&camera, &seen, (axis, &start), &on_table()).unwrap();
        assert!(got.rim.is_none() && got.capacity.is_none(), "from {degrees}: {got:?}");
        assert!((got.greatest.value - 100.0).abs() < 2.0, "from {degrees}: {got:?}");
        assert!(got.notes.iter().any(|n| n.contains("take the lid off") || n.contains("a dome turning out of sight")), "{:?}", got.notes);
    }
    // A shoulder that draws in by half a right angle and is open keeps its rim.
    let sugar = [(33.0, 0.0), (50.0, 20.0), (52.0, 45.0), (50.0, 55.0), (42.0, 64.0)];
    let camera = camera(15.0_f64.to_radians(), 0.1, 600.0);
    let seen = outline(&camera, &standing(), &sugar);
    let (axis, start) = poor_start(&sugar);
    let (got, _) = measure_outline(&camera, &seen, (axis, &start), &on_table()).unwrap();
    // (A sharp edge's rim is as wide as the piece gets within a lip's height of the top.)
    assert!(got.rim.is_some_and(|rim| (83.0..91.0).contains(&rim.value)), "{got:?}");
}

/// A cylinder with a flat lid let in, or with a small hole in a flat top, has the same outline as an open one.
#[test]
fn rim_and_capacity_are_told_only_of_a_top_that_is_said_to_be_open() {
    let camera = camera(0.2, 0.0, 520.0);
    let seen = outline(&camera, &standing(), &CYLINDER);
    let (axis, start) = poor_start(&CYLINDER);
    let (got, _) = measure_outline(&camera, &seen, (axis, &start), &Given { wall: Wall::Usual, ..on_table() }).unwrap();
    let of_wall = |m: &SideMeasured| m.notes.iter().any(|note| note.contains("a wall of 5 mm"));
    assert!(got.rim.is_some() && got.capacity.is_some() && of_wall(&got), "{got:?}");
    assert_eq!(got.clone().told(Top::Open), got);
    for (top, why) in [(Top::Unsaid, "until it is said that the top is open to its edge"), (Top::Closed, "said to be closed or narrow")] {
        let told = got.clone().told(top);
        assert_eq!((told.rim, told.capacity, of_wall(&told)), (None, None, false), "{told:?}");
        assert!(told.notes.iter().any(|note| note.contains(why)), "{told:?}");
        assert_eq!((told.height, told.greatest, told.foot), (got.height, got.greatest, got.foot));
        // What is not there is not brought back, and is explained once.
        assert_eq!(told.clone().told(Top::Unsaid), told);
        assert_eq!(told.clone().told(Top::Open), told);
    }
}

#[test]
fn without_a_table_a_hidden_foot_leaves_no_height() {
    let camera = camera(25.0_f64.to_radians(), 0.1, 600.0);
    let seen = outline(&camera, &standing(), &PLATE);
    let (axis, start) = poor_start(&PLATE);
    let (got, _) = measure_outline(&camera, &seen, (axis, &start), &given()).unwrap();
    assert_eq!((got.height, got.foot), (None, None), "{got:?}");
    assert!((got.rim.unwrap().value - 252.0).abs() < 4.0, "{got:?}");
}

#[test]
fn a_lens_that_is_not_what_was_believed_is_put_right_by_foot_and_rim() {
    let truth = camera(0.3, 0.0, 520.0);
    let seen = outline(&truth, &standing(), &CYLINDER);
    let profile = dense(&CYLINDER);
    let axis = standing();
    // A lens a tenth shorter and so much nearer: the card looks the same.
    let away = truth.pose.translation_mm.z / truth.pose.translation_mm.norm();
    let mut way = DVector::zeros(Camera::NUMBERS);
    (way[6], way[5]) = (0.1, 0.1 * away);
    let believed = Camera::new(truth, -&way, &way * way.transpose());
    let fit = |strays| {
        let known = Known {
            least_sd_mm: 0.05,
            table: Some(Table { at_mm: axis.foot_mm, sd_mm: 0.1, up: axis.up }),
            strays,
            stray: [0.0; Strays::COUNT],
            upright: None,
            first_scale_mm: FIRST_SCALE_MM,
            lip_mm: 0.0,
            mouth: Vec::new(),
        };
        fit_solid(&believed.placed, &seen, axis, &profile, &known).unwrap()
    };
    let (held, free) = (fit(None), fit(believed.strays()));
    let off = |f: &Fitted| (2.0 * f.profile.last().unwrap().0 - 80.0).abs();
    assert!(off(&free) < 0.2 && off(&held) > 2.0 * off(&free), "{} {}", off(&held), off(&free));
}

#[test]
fn a_rounded_lip_is_measured_to_its_top_and_out_to_its_side() {
    // The edge is a half circle of 2.5 mm on a wall of 5: its points, and the wall below it.
    let mut rounded: Vec<(f64, f64)> = (0..=94).map(|h| (40.0, f64::from(h))).collect();
    rounded.extend((0..=60).map(|k| std::f64::consts::PI * f64::from(k) / 60.0).map(|a| (37.5 + 2.5 * a.cos(), 94.0 + 2.5 * a.sin())));
    let camera = camera(0.3, 0.1, 520.0);
    let seen: Vec<Point> = seen_edges(&camera, &standing(), &rounded, 240)
        .into_iter()
        .filter(|p| passes_by_mm(&camera, &standing(), &rounded, *p).unwrap().abs() < 0.03)
        .collect();
    let (axis, start) = poor_start(&CYLINDER);
    let of = |lip| measure_outline(&camera, &seen, (axis, &start), &Given { lip, ..on_table() }).unwrap().0;
    let (round, sharp) = (of(Lip::Rounded), of(Lip::Sharp));
    assert!((round.height.unwrap().value - 96.5).abs() < 0.3 && (round.rim.unwrap().value - 80.0).abs() < 0.4, "{round:?}");
    assert!((sharp.height.unwrap().value - 96.5).abs() > (round.height.unwrap().value - 96.5).abs(), "{sharp:?}");
}

#[test]
fn a_handle_is_left_out_and_named() {
    let camera = camera(0.1, 0.0, 520.0);
    let mut seen = outline(&camera, &standing(), &CYLINDER);
    // A bow at the right, from 25 to 75 mm above the table, in the plane of the axis.
    seen.extend(
        (1..40)
            .map(|i| std::f64::consts::PI * f64::from(i) / 40.0)
            .map(|turn| camera.project_plane(standing().at(40.0 + 28.0 * turn.sin(), 50.0 - 25.0 * turn.cos())).unwrap()),
    );
    let (axis, start) = poor_start(&CYLINDER);
    let (got, _) = measure_outline(&camera, &seen, (axis, &start), &given()).unwrap();
    assert!((got.greatest.value - 80.0).abs() < 0.6 && (got.height.unwrap().value - 95.0).abs() < 0.5, "{got:?}");
    assert_eq!(got.left_out.len(), 1, "{got:?}");
    let part = got.left_out[0];
    assert!(part.at == At::Right && part.from_mm < 32.0 && part.to_mm > 68.0 && (part.reach_mm - 28.0).abs() < 4.0, "{part:?}");
}

#[test]
fn what_cannot_be_measured_is_refused_in_words() {
    let camera = camera(0.1, 0.0, 520.0);
    let (axis, start) = poor_start(&CYLINDER);
    let few = measure_outline(&camera, &[Point::new(5.0, 5.0); 3], (axis, &start), &given()).unwrap_err();
    assert_eq!(few.to_string(), "the outline has 3 points, too few for a solid (expected at least 24)");
    let thin = Given { wall: Wall::Mm(0.0), ..given() };
    let seen = outline(&camera, &standing(), &CYLINDER);
    let refused = measure_outline(&camera, &seen, (axis, &start), &thin).unwrap_err();
    assert_eq!(refused.to_string(), "a wall of '0' mm cannot be (expected a thickness from 0.5 to 50 mm)");
}

#[test]
fn the_same_seed_gives_the_same_bootstrap() {
    let camera = camera(0.1, 0.0, 520.0);
    let seen = outline(&camera, &standing(), &CYLINDER);
    let (axis, start) = poor_start(&CYLINDER);
    let (_, fitted) = measure_outline(&camera, &seen, (axis, &start), &given()).unwrap();
    let once = bootstrap(&camera, &seen, &fitted, 3, 9).unwrap();
    assert_eq!(once.map(f64::to_bits), bootstrap(&camera, &seen, &fitted, 3, 9).unwrap().map(f64::to_bits));
    assert!(once.iter().all(|sd| sd.is_finite() && *sd < 1.0), "{once:?}");
}

#[test]
fn what_would_tip_over_is_no_piece() {
    assert!(!measure::tips(&VASE) && !measure::tips(&JAR) && !measure::tips(&CYLINDER));
    assert!(measure::tips(&[(6.0, 0.0), (90.0, 67.0), (86.0, 141.0)]));
}

#[test]
fn a_foot_that_may_be_the_wall_turning_under_is_not_told() {
    // An eye that looks down by 32° on what is nearest of the foot.
    let eye = Vector3::new(60.0, 124.0, 248.0);
    let bowl = |foot: f64| [(foot, 0.0), (66.0, 5.0), (72.0, 12.0), (78.0, 52.0)];
    assert!(measured::turns_under(&bowl(58.0), eye) && measured::turns_under(&bowl(59.0), eye));
    assert!(!measured::turns_under(&bowl(64.0), eye) && !measured::turns_under(&CYLINDER, eye) && !measured::turns_under(&VASE, eye));
    // From nearly level the same wall is seen to end at its foot.
    assert!(!measured::turns_under(&bowl(59.0), Vector3::new(60.0, 60.0, 248.0)));
}
