//! The outline from above in made-up photographs: which curve, how large, how sure, and what is refused.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

#[path = "common/staged.rs"]
mod staged;

use footring::photo::outline::{Above, AboveOptions, Model, OutlineError, Says, Shape, Stroke};
use footring::photo::{Limits, MeasureError, Photo, Prepared, Progress, ScaleBy, from_rgba};
use image::{Rgb, RgbImage};
use kurbo::Point;
use staged::{COIN_MM, Cloth, Lid, Scene};

const ROUND: Lid = Lid { a_mm: 80.0, b_mm: 80.0, exponent: 2.0, angle_rad: 0.0, at_mm: (128.0, 2.0), rgb: [150.0, 96.0, 52.0], warp: 0.0 };

fn scene(cloth: Cloth, lid: Lid) -> Scene {
    Scene { k1: 0.003, cloth, lid: Some(lid), shadow: true, seed: 11, ..Scene::oval_on_linen() }
}

fn photo(picture: &RgbImage) -> Photo {
    let rgba: Vec<u8> = picture.pixels().flat_map(|p| [p.0[0], p.0[1], p.0[2], 255]).collect();
    from_rgba("staged.png", picture.width() as usize, picture.height() as usize, &rgba, &Limits::USUAL).unwrap()
}

fn prepared(picture: &RgbImage) -> Prepared {
    Prepared::of(&photo(picture), &Progress::new()).unwrap()
}

fn measured(scene: &Scene, options: &AboveOptions) -> Result<Above, MeasureError> {
    let prepared = prepared(&scene.picture());
    let scaled = prepared.scaled(&ScaleBy::FoundCard)?;
    prepared.above(&scaled, options, &Progress::new())
}

/// Both axes lie within three standard deviations of the truth, and these are small.
fn holds(found: &Above, lid: &Lid, what: &str) {
    for (measured, truth) in [(found.major_mm, 2.0 * lid.a_mm), (found.minor_mm, 2.0 * lid.b_mm)] {
        let miss = measured.value - truth;
        assert!(miss.abs() < 3.0 * measured.sd, "{what}: {measured} for {truth}");
        assert!(measured.sd < 1.35, "{what}: {measured}");
        assert!(miss.abs() < 2.0, "{what}: {measured} for {truth}");
    }
}

#[test]
fn round_lids_are_round_and_of_their_size_on_every_cloth() {
    for (cloth, rgb) in [
        (Cloth::Linen, [150.0, 96.0, 52.0]),
        (Cloth::Pale, [238.0, 236.0, 230.0]),
        (Cloth::Dark, [150.0, 96.0, 52.0]),
        (Cloth::Newsprint, [96.0, 120.0, 90.0]),
    ] {
        let lid = Lid { rgb, ..ROUND };
        let found = measured(&scene(cloth, lid), &AboveOptions::default()).unwrap();
        let what = format!("{cloth:?}");
        holds(&found, &lid, &what);
        assert_eq!(found.model, Model::Circle, "{what}");
        assert!(found.p_round > 0.9, "{what}: {}", found.p_round);
    }
}

/// Its colours are those of the cloth, and the light on its dome makes it darker than the cloth here and lighter there: it is told by its edge alone.
#[test]
fn white_on_pale_is_told_by_its_edge() {
    for seed in [11, 12] {
        let white = Lid { rgb: [225.0, 219.0, 208.0], a_mm: 60.0, b_mm: 54.0, angle_rad: 0.7, ..ROUND };
        let found = measured(&Scene { seed, ..scene(Cloth::Pale, white) }, &AboveOptions::default()).unwrap();
        holds(&found, &white, "white on pale");
        assert_eq!(found.model, Model::Ellipse);
    }
}

/// A program that smooths a picture moves its edges towards what is bright, those of the card with those of the lid: what is told is less sure, and holds.
#[test]
fn a_smoothed_picture_is_measured_to_within_what_is_said() {
    for cloth in [Cloth::Dark, Cloth::Linen] {
        let lid = Lid { rgb: [96.0, 120.0, 90.0], ..ROUND };
        let picture = scene(cloth, lid).picture();
        let [sharp, smooth] = [picture.clone(), image::imageops::fast_blur(&picture, 1.2)].map(|picture| {
            let prepared = prepared(&picture);
            let scaled = prepared.scaled(&ScaleBy::FoundCard).unwrap();
            prepared.above(&scaled, &AboveOptions::default(), &Progress::new()).unwrap()
        });
        holds(&smooth, &lid, &format!("{cloth:?}"));
        assert!(smooth.edge_sd_mm > 1.2 * sharp.edge_sd_mm, "{cloth:?}: {} and {}", smooth.edge_sd_mm, sharp.edge_sd_mm);
    }
}

/// A dark band is far clearer than the edge of what is nearly the cloth's colour; the edge is the rim all the same.
#[test]
fn a_band_of_decoration_is_not_the_rim() {
    for (cloth, rgb) in [(Cloth::Pale, [233.0, 228.0, 219.0]), (Cloth::Linen, [150.0, 96.0, 52.0])] {
        let lid = Lid { rgb, ..ROUND };
        let found = measured(&Scene { band_at: Some(0.86), shadow: false, ..scene(cloth, lid) }, &AboveOptions::default()).unwrap();
        holds(&found, &lid, &format!("{cloth:?}"));
        assert_eq!(found.model, Model::Circle);
    }
}

/// A person sees it too by its sheen and little else. No number is given, or a right one.
#[test]
fn black_on_dark_is_right_or_refused() {
    let black = Lid { rgb: [34.0, 32.0, 34.0], ..ROUND };
    match measured(&scene(Cloth::Dark, black), &AboveOptions::default()) {
        Ok(found) => holds(&found, &black, "black on dark"),
        Err(why) => assert_eq!(why, MeasureError::Outline(OutlineError::NoPiece)),
    }
}

#[test]
fn ovals_are_told_from_warped_rounds() {
    let oval = Lid { a_mm: 82.0, b_mm: 82.0 / 1.05, angle_rad: 0.6, ..ROUND };
    let found = measured(&scene(Cloth::Linen, oval), &AboveOptions::default()).unwrap();
    holds(&found, &oval, "oval by 1.05");
    assert_eq!(found.model, Model::Ellipse);
    assert!(found.p_round < 0.1, "{}", found.p_round);

    let warped = Lid { warp: 0.004, ..ROUND };
    let found = measured(&scene(Cloth::Dark, warped), &AboveOptions::default()).unwrap();
    assert_eq!(found.model, Model::Circle);
    assert!(found.p_round > 0.9, "{}", found.p_round);
    // Warped by 0.4 % of the radius to each side: an aspect of 1.008.
    assert!((found.aspect.value - 1.008).abs() < 3.0 * found.aspect.sd, "{}", found.aspect);
}

#[test]
fn corners_are_seen() {
    let oblong = Lid { a_mm: 84.0, b_mm: 72.0, exponent: 3.4, angle_rad: 0.3, at_mm: (141.0, 2.0), ..ROUND };
    let found = measured(&scene(Cloth::Linen, oblong), &AboveOptions::default()).unwrap();
    holds(&found, &oblong, "oblong");
    assert_eq!(found.model, Model::Superellipse);
    assert!((found.exponent.value - 3.4).abs() < 0.1, "{}", found.exponent);
    assert!(found.p_round < 0.01 && found.p_cornered > 0.99);
}

#[test]
fn a_ruler_gives_the_scale_and_says_that_the_tilt_is_unknown() {
    let scene = Scene { card: false, tilt: (0.0, 0.0, 0.2), ..scene(Cloth::Linen, ROUND) };
    let prepared = prepared(&scene.picture());
    let ends = [(0.0, -60.0), (150.0, -60.0)].map(|(x, y)| Point::from(scene.pixel(x, y)));
    let scaled = prepared.scaled(&ScaleBy::Length(ends, 150.0)).unwrap();
    let found = prepared.above(&scaled, &AboveOptions::default(), &Progress::new()).unwrap();
    assert!((found.major_mm.value - 160.0).abs() < 3.0 * found.major_mm.sd, "{}", found.major_mm);
    let by_card = measured(&self::scene(Cloth::Linen, ROUND), &AboveOptions::default()).unwrap();
    assert!(found.aspect.sd > 2.0 * by_card.aspect.sd, "{} {}", found.aspect, by_card.aspect);
}

#[test]
fn a_curve_set_by_hand_is_drawn_to_the_edge_near_it() {
    let scene = scene(Cloth::Pale, ROUND);
    // The card has no top: the plane may lie turned by half. What is set by hand is set where the piece is seen.
    let by_itself = measured(&scene, &AboveOptions::default()).unwrap().shape;
    let near = Shape { centre: by_itself.centre + (1.0, -1.0), a: 81.5, b: 79.0, turn_rad: 0.4, exponent: 2.0 };
    let found = measured(&scene, &AboveOptions { near: Some(near), ..AboveOptions::default() }).unwrap();
    holds(&found, &ROUND, "by hand");
    let nowhere = Shape { a: f64::NAN, ..near };
    let refused = measured(&scene, &AboveOptions { near: Some(nowhere), ..AboveOptions::default() });
    assert_eq!(refused.unwrap_err(), MeasureError::Outline(OutlineError::NoPiece));
}

#[test]
fn the_brush_says_what_is_the_piece() {
    let scene = scene(Cloth::Linen, ROUND);
    // On the piece: nothing is lost by it.
    let on = Stroke { px: vec![Point::from(scene.pixel(128.0, 2.0))], radius_px: 30.0, says: Says::Piece };
    let found = measured(&scene, &AboveOptions { strokes: vec![on.clone()], ..AboveOptions::default() }).unwrap();
    holds(&found, &ROUND, "brush");
    // A place on the bare cloth is called the piece: no rim goes round both, and that is said.
    let off = Stroke { px: vec![Point::from(scene.pixel(20.0, 95.0)), Point::from(scene.pixel(20.0, -95.0))], ..on };
    let refused = measured(&scene, &AboveOptions { strokes: vec![off], ..AboveOptions::default() });
    assert!(refused.is_err(), "{:?}", refused.map(|a| a.major_mm));
}

#[test]
fn what_cannot_be_measured_is_refused_in_a_sentence() {
    let say = |result: Result<Above, MeasureError>| result.map(|a| a.major_mm.to_string()).unwrap_err().to_string();
    let empty = Scene { lid: None, ..scene(Cloth::Dark, ROUND) };
    assert_eq!(
        say(measured(&empty, &AboveOptions::default())),
        "no closed outline was found beside the card (lay the piece on a cloth of another colour, or set the outline by hand)"
    );
    let cut = Scene { shift_mm: (32.0, 4.0, 330.0), ..scene(Cloth::Dark, ROUND) };
    let said = say(measured(&cut, &AboveOptions::default()));
    assert!(said.starts_with("the piece is cut off by the edge of the picture: "), "{said}");
    let tiny = Prepared::of(&photo(&RgbImage::from_pixel(300, 200, Rgb([9, 9, 9]))), &Progress::new());
    assert_eq!(tiny.unwrap_err().to_string(), "the picture is only 300 × 200 pixels (600 along the longer side are needed to measure)");
    let blank = prepared(&RgbImage::from_pixel(900, 700, Rgb([200, 200, 200])));
    let scaled = blank.scaled(&ScaleBy::Length([Point::new(100.0, 100.0), Point::new(400.0, 100.0)], 100.0)).unwrap();
    let refused = blank.above(&scaled, &AboveOptions::default(), &Progress::new());
    assert_eq!(say(refused), "there is nothing in the picture but one even colour");
    let stopped = Progress::new();
    stopped.cancel();
    assert_eq!(
        blank
            .above(&scaled, &AboveOptions { near: Some(Shape::circle(Point::ZERO, 60.0)), ..AboveOptions::default() }, &stopped)
            .unwrap_err()
            .to_string(),
        "stopped"
    );
}

/// The lid with coins in place of the card, the camera tilted by so much about x and y.
fn coins(cloth: Cloth, at: &[(f64, f64)], tilt: (f64, f64, f64)) -> Scene {
    Scene { card: false, coins_mm: at.to_vec(), tilt, ..scene(cloth, ROUND) }
}

/// Beside the lid on its left and on its right.
const BESIDE: [(f64, f64); 2] = [(26.0, -8.0), (229.0, 16.0)];

fn by_coins(scene: &Scene) -> (Prepared, Vec<Point>) {
    // A person points at a coin somewhere, not at its middle.
    let px = scene.coins_mm.iter().map(|(x, y)| Point::from(scene.pixel(x + 3.0, y - 2.0))).collect();
    (prepared(&scene.picture()), px)
}

#[test]
fn two_coins_tell_size_and_tilt() {
    for (cloth, tilt) in [(Cloth::Linen, (0.16, -0.10, 0.2)), (Cloth::Dark, (-0.2, 0.12, -0.1)), (Cloth::Pale, (0.02, 0.18, 0.0))] {
        let scene = coins(cloth, &BESIDE, tilt);
        let (prepared, px) = by_coins(&scene);
        let scaled = prepared.scaled(&ScaleBy::Coins([px[0], px[1]], COIN_MM)).unwrap();
        let found = scaled.coins.as_ref().unwrap();
        for (edge, (x, y)) in found.edges_px.iter().zip(&scene.coins_mm) {
            let off = (edge.centre - Point::from(scene.pixel(*x, *y))).hypot();
            assert!(off < 0.6, "{cloth:?}: a coin's middle is {off} pixels off: {edge:?}");
        }
        assert!(found.other.is_none() && scaled.tilt_known(), "{cloth:?}: the tilt is not told");
        let above = prepared.above(&scaled, &AboveOptions::default(), &Progress::new()).unwrap();
        for axis in [above.major_mm, above.minor_mm] {
            assert!((axis.value - 160.0).abs() < 3.0 * axis.sd && axis.sd < 2.5, "{cloth:?}: {axis}");
        }
        assert!(above.p_round > 0.2, "{cloth:?}: round with {}", above.p_round);
    }
}

#[test]
fn one_coin_leaves_open_which_way_the_camera_was_tilted_and_the_uncertainty_holds_both() {
    let scene = coins(Cloth::Linen, &BESIDE[..1], (0.16, -0.10, 0.2));
    let (prepared, px) = by_coins(&scene);
    let scaled = prepared.scaled(&ScaleBy::Coin(px[0], COIN_MM)).unwrap();
    assert!(scaled.coins.as_ref().unwrap().other.is_some() && !scaled.tilt_known());
    // Beside the coin the scale is good; a lid away from it is told with a ± that holds both tilts.
    assert!(scaled.scale_sd < 0.015, "{}", scaled.scale_sd);
    let one = prepared.above(&scaled, &AboveOptions::default(), &Progress::new()).unwrap();
    assert!((one.major_mm.value - 160.0).abs() < 2.0 * one.major_mm.sd, "{}", one.major_mm);
    let both = coins(Cloth::Linen, &BESIDE, (0.16, -0.10, 0.2));
    let (prepared, px) = by_coins(&both);
    let scaled = prepared.scaled(&ScaleBy::Coins([px[0], px[1]], COIN_MM)).unwrap();
    let two = prepared.above(&scaled, &AboveOptions::default(), &Progress::new()).unwrap();
    assert!(two.major_mm.sd < 0.6 * one.major_mm.sd, "{} with two, {} with one", two.major_mm, one.major_mm);
}

#[test]
fn what_is_no_coin_is_refused_in_a_sentence() {
    let scene = coins(Cloth::Linen, &BESIDE, (0.16, -0.10, 0.2));
    let (prepared, px) = by_coins(&scene);
    let cloth = Point::from(scene.pixel(20.0, -80.0));
    let said = |by: ScaleBy| prepared.scaled(&by).map(|_| ()).unwrap_err().to_string();
    assert_eq!(said(ScaleBy::Coin(px[0], 3.0)), "'3' is no diameter of a coin (it must be from 10 to 60 mm)");
    assert_eq!(said(ScaleBy::Coin(px[0], f64::NAN)), "'NaN' is no diameter of a coin (it must be from 10 to 60 mm)");
    assert_eq!(said(ScaleBy::Coin(Point::new(-4.0, 9.0), COIN_MM)), "the point -4,9 lies outside the picture");
    assert!(said(ScaleBy::Coin(Point::new(f64::NAN, 9.0), COIN_MM)).contains("lies outside the picture"));
    assert_eq!(said(ScaleBy::Coins([px[0], px[0] + (4.0, 3.0)], COIN_MM)), "both points lie on the same coin (set one on each)");
    let none = said(ScaleBy::Coin(cloth, COIN_MM));
    assert!(none.starts_with("no round edge was found about ") || none.contains("pixels across"), "{none}");
    let small = Scene { shift_mm: (-62.0, 4.0, 760.0), ..scene };
    let (far, px) = by_coins(&small);
    assert!(far.scaled(&ScaleBy::Coin(px[0], COIN_MM)).unwrap_err().to_string().contains("pixels across in the picture (go nearer"));
}
