//! What both views draw by chance: glaze and decoration, cloth, sensor. A wish overrules chance, so that every hard case can be had on purpose.

use crate::phone::Phone;
use crate::scene::{Sensor, Stuff};
use crate::solid::Solid;
use crate::vector::{V3, v3};
use crate::{card, cloth, glaze};
use rand::Rng as _;
use rand_chacha::ChaCha8Rng;

/// What a scene must have; what is left out is drawn by chance.
#[derive(Debug, Clone, Default)]
pub(crate) struct Wish {
    pub(crate) cloth: Option<cloth::Kind>,
    pub(crate) card: Option<card::Kind>,
    pub(crate) glaze: Option<Coat>,
    pub(crate) specks: Option<f64>,
    pub(crate) shade: Option<Yes>,
    pub(crate) glare: Option<Yes>,
    pub(crate) covered: Option<Yes>,
    pub(crate) gap_mm: Option<f64>,
    pub(crate) lugs: Option<Yes>,
    pub(crate) knob: Option<usize>,
    pub(crate) decor: Option<usize>,
    pub(crate) tilt_deg: Option<f64>,
    /// Strength of the light on a white.
    pub(crate) level: Option<f64>,
    pub(crate) jpeg_quality: Option<u8>,
    /// What it is taken with; otherwise a lens that no other picture has.
    pub(crate) phone: Option<Phone>,
}

/// Something that is wished for or is not to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Yes {
    Yes,
    No,
}

impl Yes {
    pub(crate) fn or(wish: Option<Self>, chance: bool) -> bool {
        wish.map_or(chance, |w| w == Self::Yes)
    }
}

/// A glaze: Lab under D65, and how far a mirror image is smeared.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Coat {
    pub(crate) lab: [f64; 3],
    pub(crate) rough: f64,
}

/// Glazes of the demo key, with how glossy they are.
const GLAZES: [Coat; 12] = [
    Coat { lab: [87.5, 1.4, 14.2], rough: 0.02 },
    Coat { lab: [61.0, -15.5, 21.0], rough: 0.02 },
    Coat { lab: [47.5, -7.5, -24.5], rough: 0.02 },
    Coat { lab: [59.0, 43.5, 56.0], rough: 0.02 },
    Coat { lab: [85.5, 0.2, 4.8], rough: 0.12 },
    Coat { lab: [42.0, -1.5, -5.5], rough: 0.12 },
    Coat { lab: [51.5, -13.0, 24.0], rough: 0.12 },
    Coat { lab: [43.5, 49.0, 36.5], rough: 0.02 },
    Coat { lab: [77.5, 3.2, 16.5], rough: 0.4 },
    Coat { lab: [31.5, 9.0, 13.5], rough: 0.12 },
    Coat { lab: [54.5, -6.0, -13.0], rough: 0.4 },
    Coat { lab: [72.0, 13.5, 57.0], rough: 0.02 },
];
pub(crate) const WHITE: Coat = Coat { lab: [91.0, 0.3, 3.0], rough: 0.02 };
pub(crate) const BLACK: Coat = Coat { lab: [16.0, 0.5, -1.0], rough: 0.03 };

/// A cloth, and the glaze on it: a white one on pale and a black one on dark half of the time. `reach_mm` is the size that decorations go by.
pub(crate) fn cloth_and_glaze(
    rng: &mut ChaCha8Rng,
    wish: &Wish,
    seed: u64,
    reach_mm: f64,
    hard: &mut Vec<&'static str>,
) -> (cloth::Cloth, glaze::Glaze) {
    let drawn = cloth::Kind::ALL[rng.random_range(0..cloth::Kind::ALL.len())];
    let kind = wish.cloth.unwrap_or(drawn);
    let white = kind == cloth::Kind::Pale && rng.random_bool(0.5);
    let black = kind == cloth::Kind::Dark && rng.random_bool(0.5);
    let usual = GLAZES[rng.random_range(0..GLAZES.len())];
    let coat = wish.glaze.unwrap_or(if white {
        WHITE
    } else if black {
        BLACK
    } else {
        usual
    });
    if kind == cloth::Kind::Pale && coat.lab[0] > 84.0 {
        hard.push("white-on-pale");
    }
    if kind == cloth::Kind::Dark && coat.lab[0] < 33.0 {
        hard.push("black-on-dark");
    }
    if kind == cloth::Kind::Gingham {
        hard.push("gingham");
    }
    if kind == cloth::Kind::Newsprint {
        hard.push("newsprint");
    }
    let mut glaze = glaze::Glaze::plain(coat.lab, coat.rough, seed);
    let specks = if rng.random_bool(0.2) { rng.random_range(0.08..0.3) } else { 0.0 };
    glaze.specks = wish.specks.unwrap_or(specks);
    if glaze.specks > 0.0 {
        hard.push("speckled");
    }
    let ink = glaze::linear_from_lab([rng.random_range(20.0..60.0), rng.random_range(-20.0..40.0), rng.random_range(-30.0..40.0)]);
    let pattern = rng.random_range(0..6);
    match wish.decor.unwrap_or(pattern) {
        0 => glaze.decor.push(glaze::Decor::Band { from: 0.84, to: 0.88, colour: ink }),
        1 => glaze.decor.push(glaze::Decor::Dots { at: 0.7, radius_mm: reach_mm * 0.05, count: 18, colour: ink }),
        2 => glaze.decor.push(glaze::Decor::Stripes { from: 0.4, to: 0.9, count: 24, colour: ink }),
        _ => {}
    }
    let mut pick = |low: f64, high: f64| v3(rng.random_range(low..high), rng.random_range(low..high), rng.random_range(low..high));
    let (even, any, dark) = (pick(0.0, 1.0), pick(0.15, 0.7), pick(0.012, 0.05));
    let tint = match kind {
        cloth::Kind::Pale => V3::all(0.62 + 0.18 * even.x).times(v3(1.0, 0.98, 0.93)),
        cloth::Kind::Dark => dark,
        cloth::Kind::Linen => v3(0.42, 0.36, 0.26) * (0.7 + 0.5 * even.x),
        cloth::Kind::Gingham | cloth::Kind::TeaTowel => {
            [v3(0.35, 0.02, 0.03), v3(0.03, 0.08, 0.3), v3(0.03, 0.2, 0.06)][((even.x * 3.0) as usize).min(2)]
        }
        cloth::Kind::Newsprint => V3::all(0.4),
        cloth::Kind::Wood => v3(0.38, 0.2, 0.09) * (0.5 + 0.7 * even.x),
        cloth::Kind::Stone => V3::all(0.12 + 0.28 * even.x),
        cloth::Kind::Towel => any,
    };
    (cloth::Cloth { kind, tint, salt: seed + 1, turn_rad: 3.1 * even.y }, glaze)
}

pub(crate) fn card_kind(rng: &mut ChaCha8Rng, wish: &Wish, hard: &mut Vec<&'static str>) -> card::Kind {
    let drawn = [card::Kind::White, card::Kind::Dark, card::Kind::Patterned][rng.random_range(0..3)];
    let kind = wish.card.unwrap_or(drawn);
    if kind == card::Kind::Patterned {
        hard.push("patterned-card");
    }
    kind
}

/// A fingertip on a corner of the card, or a fold of the cloth across it.
pub(crate) fn cover(rng: &mut ChaCha8Rng) -> (Solid, Stuff) {
    let corner = card::corners()[rng.random_range(0..4)] * 0.97;
    if rng.random_bool(0.5) {
        return (Solid::Ball { middle: v3(corner.x, corner.y, 3.0), half: v3(9.0, 9.0, 7.0) }, Stuff::Skin);
    }
    let across = v3(-corner.y, corner.x, 0.0).unit() * 32.0;
    let middle = v3(corner.x, corner.y, -1.0);
    (Solid::tube(vec![(middle - across, 7.0), (middle, 8.0), (middle + across, 6.0)]), Stuff::Cloth)
}

pub(crate) fn sensor(rng: &mut ChaCha8Rng, wish: &Wish, seed: u64) -> Sensor {
    let drawn = rng.random_range(85..=90);
    Sensor {
        blur_px: rng.random_range(0.4..1.1),
        vignette: rng.random_range(0.0..0.3),
        shot: rng.random_range(0.004..0.02),
        read: rng.random_range(0.001..0.004),
        sharpen: if rng.random_bool(0.5) { 0.3 } else { 0.0 },
        jpeg_quality: wish.jpeg_quality.unwrap_or(drawn),
        seed,
    }
}
