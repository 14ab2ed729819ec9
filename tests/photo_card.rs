//! The card in made-up photographs: where it is, what it says of the camera, and what is refused.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

#[path = "common/staged.rs"]
mod staged;

use footring::photo::camera::Believed;
use footring::photo::card::{CardError, CardFit, Shades, by_straight_edges, find, fit};
use image::{Rgb, RgbImage};
use kurbo::Point;
use staged::{Cloth, Lid, Scene};

/// A card left of a round lid of 160 mm, the camera tilted, the lens bending lines by 0.8 %.
fn scene(cloth: Cloth) -> Scene {
    let lid = Lid { a_mm: 80.0, b_mm: 80.0, exponent: 2.0, angle_rad: 0.0, at_mm: (128.0, 2.0), rgb: [150.0, 96.0, 52.0], warp: 0.0 };
    Scene {
        focal_35: 26.0,
        k1: 0.008,
        shift_mm: (-45.0, 4.0, 330.0),
        cloth,
        patterned: false,
        lid: Some(lid),
        shadow: true,
        seed: 7,
        ..Scene::oval_on_linen()
    }
}

fn usual() -> Believed {
    Believed::usual(1200.0, 900.0).unwrap()
}

fn found(picture: &RgbImage) -> Result<CardFit, CardError> {
    let (small, whole) = (Shades::of(picture, 1000), Shades::of(picture, 1200));
    let usual = usual();
    find(&small, &whole, &usual.and_straight(by_straight_edges(&small, &whole, &usual.lens)))
}

/// Greatest distance of a found corner from the nearest true one, in pixels.
fn corner_error_px(scene: &Scene, card: &CardFit) -> f64 {
    let truth = [(-42.8, 26.99), (42.8, 26.99), (42.8, -26.99), (-42.8, -26.99)].map(|(x, y)| Point::from(scene.pixel(x, y)));
    card.corners_px.iter().map(|p| truth.iter().map(|q| (*p - *q).hypot()).fold(f64::INFINITY, f64::min)).fold(0.0, f64::max)
}

/// The card's side shows along the edges that the camera looks at from aslant.
#[test]
fn corners_are_found_to_a_quarter_of_a_pixel_but_beside_a_band_of_shadow() {
    for (cloth, patterned, card_rgb) in [
        (Cloth::Dark, false, [246.0, 246.0, 244.0]),
        (Cloth::Pale, true, [244.0, 240.0, 236.0]),
        (Cloth::Linen, true, [246.0, 246.0, 244.0]),
    ] {
        let scene = Scene { card_rgb, patterned, ..scene(cloth) };
        let card = found(&scene.picture()).unwrap();
        let error = corner_error_px(&scene, &card);
        // A card hardly brighter than its cloth, and beside it a hard band of shadow as dark as the card's own side and five times as broad: the band is taken for a
        // part of the side.
        let most = if cloth == Cloth::Pale { 0.6 } else { 0.25 };
        assert!(error < most, "{cloth:?}: {error} px");
        assert!(card.edges_seen > 0.85, "{cloth:?}: {}", card.edges_seen);
    }
}

/// A dark card beside whose lower edge lies a hard band of shadow, a millimetre wide and half as bright as the cloth: the band is taken for half card. The
/// lines are half a pixel off, where they were 1.3 before the edges were looked at as the two steps of a card's face and its side.
#[test]
fn a_hard_band_of_shadow_beside_a_dark_card_moves_its_edge_by_half_a_pixel() {
    let scene = Scene { card_rgb: [40.0, 66.0, 120.0], ..scene(Cloth::Pale) };
    let error = corner_error_px(&scene, &found(&scene.picture()).unwrap());
    assert!((0.25..0.7).contains(&error), "{error} px: mended? then hold it to a quarter of a pixel");
}

/// A card that stands before a cloth nearly as light as itself: its lower edge is no line among others, but lies where the other three say.
#[test]
fn an_edge_too_faint_to_be_a_line_is_found_where_the_other_three_say() {
    for (steps, patterned) in [(4.0, false), (5.0, true)] {
        let scene = Scene { foot_alike: Some(steps), patterned, tilt: (0.3, -0.1, 0.1), lid: None, ..scene(Cloth::Dark) };
        let card = found(&scene.picture()).unwrap();
        let error = corner_error_px(&scene, &card);
        assert!(error < 1.0, "{steps}: {error} px");
        assert!(card.edges_seen > 0.85, "{steps}: {}", card.edges_seen);
    }
    // Where nothing at all is seen of it, there are three edges of anything.
    let scene = Scene { foot_alike: Some(0.0), lid: None, ..scene(Cloth::Dark) };
    assert_eq!(found(&scene.picture()).unwrap_err(), CardError::NoCard);
}

/// Newsprint is full of straight edges, and one side of the dark card is taken for a line of print: that edge is seen bowed more than a card's can be, and so the
/// card is refused, where it had been told with a corner 17 pixels off. A person gives its corners by hand. When it is found, this becomes 'within a quarter of a pixel'.
#[test]
fn a_dark_card_on_newsprint_is_refused_rather_than_misplaced() {
    let scene = Scene { card_rgb: [40.0, 66.0, 120.0], ..scene(Cloth::Newsprint) };
    assert_eq!(found(&scene.picture()).unwrap_err(), CardError::NoCard);
}

#[test]
fn a_length_in_the_plane_is_right_within_what_the_card_leaves_unsure() {
    for k1 in [-0.01, 0.0, 0.01] {
        let scene = Scene { k1, ..scene(Cloth::Dark) };
        let card = found(&scene.picture()).unwrap();
        // Across the lid, 160 mm, seen where the truth has its ends.
        let ends = [(48.0, 2.0), (208.0, 2.0)].map(|(x, y)| Point::from(scene.pixel(x, y)));
        let length = |placed: &footring::photo::camera::Placed| {
            Some(vec![(placed.on_plane(ends[0], 0.0)? - placed.on_plane(ends[1], 0.0)?).hypot()])
        };
        let value = length(&card.camera.placed).unwrap()[0];
        let sd = card.camera.spread(length).unwrap()[(0, 0)].sqrt();
        assert!((value - 160.0).abs() < 3.0 * sd, "{value} ± {sd} for k1 {k1}");
        // Since it is among what is unsure that an edge may be seen turned, this is a hundredth more than it was.
        assert!(sd < 1.12, "{sd} for k1 {k1}");
        assert!((0.001..0.004).contains(&card.scale_sd()), "{}", card.scale_sd());
    }
}

#[test]
fn corners_given_by_hand_are_moved_onto_the_edges() {
    let scene = scene(Cloth::Linen);
    let picture = scene.picture();
    let off = [(3.0, -2.0), (-2.0, 2.5), (2.0, 2.0), (-3.0, -1.0)];
    let mut given = [(-42.8, 26.99), (42.8, 26.99), (42.8, -26.99), (-42.8, -26.99)].map(|(x, y)| Point::from(scene.pixel(x, y)));
    for (p, (dx, dy)) in given.iter_mut().zip(off) {
        *p += (dx, dy);
    }
    let card = fit(&Shades::of(&picture, 1200), &usual(), given).unwrap();
    assert!(corner_error_px(&scene, &card) < 0.25, "{}", corner_error_px(&scene, &card));
}

#[test]
fn what_cannot_be_measured_by_is_refused_in_a_sentence() {
    let blank = RgbImage::from_pixel(600, 400, Rgb([200, 200, 200]));
    let none = "no bank card was found in the picture (lay one flat beside the piece, wholly in the picture, or give its corners)";
    assert_eq!(found(&blank).unwrap_err().to_string(), none);
    assert_eq!(found(&RgbImage::from_pixel(1, 1, Rgb([0, 0, 0]))).unwrap_err().to_string(), none);
    let without = Scene { card: false, ..scene(Cloth::Dark) };
    assert_eq!(found(&without.picture()).unwrap_err(), CardError::NoCard);

    let whole = Shades::of(&blank, 1200);
    let believed = Believed::usual(600.0, 400.0).unwrap();
    let by = |corners: [(f64, f64); 4]| fit(&whole, &believed, corners.map(Point::from)).unwrap_err();
    assert_eq!(by([(-5.0, 10.0), (300.0, 10.0), (300.0, 200.0), (-5.0, 200.0)]), CardError::CutOff);
    assert_eq!(by([(100.0, 100.0), (300.0, 100.0), (300.0, 300.0), (100.0, 300.0)]), CardError::NotACard);
    assert_eq!(by([(100.0, 100.0), (100.0, 100.0), (100.0, 100.0), (100.0, 100.0)]), CardError::NotACard);
    assert_eq!(
        by([(100.0, 100.0), (185.6, 100.0), (185.6, 153.98), (100.0, 153.98)]).to_string(),
        "the card is only 86 pixels long in the picture (go nearer: 120 are needed for a millimetre to be seen)"
    );
    assert_eq!(
        by([(100.0, 100.0), (356.8, 100.0), (356.8, 261.94), (100.0, 261.94)]).to_string(),
        "only 0 % of the card's edges could be seen (move it into the light, away from what covers it)"
    );
}
