//! Lids painted by chance, round and oval.

use super::{Held, lid};
use crate::staged::{Cloth, Lid, Scene};
use footring::photo::{Limits, Prepared, Progress, Source, open};
use image::codecs::jpeg::JpegEncoder;
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use std::error::Error;

/// A warp's second harmonic: each of its two parts of ln(a/b) has this standard deviation (as the library believes; common practice, no source).
const WARP_SD: f64 = 0.006;

/// Paints and measures so many.
pub(crate) fn measure(count: u64, seed: u64, held: &mut Held) -> Result<(), Box<dyn Error>> {
    for n in 0..count {
        let mut dice = ChaCha8Rng::seed_from_u64(seed.wrapping_mul(100_003).wrapping_add(n));
        let round = n % 2 == 0;
        let stretch: f64 = if round { 0.0 } else { dice.random_range(1.035_f64.ln()..1.10_f64.ln()) };
        let scene = scene(stretch, round, &mut dice);
        let mut bytes = Vec::new();
        JpegEncoder::new_with_quality(&mut bytes, 90).encode_image(&scene.picture())?;
        let photo = open(Source::Bytes { name: format!("painted-{n}.jpg"), bytes: bytes.into() }, &Limits::USUAL, &Progress::new())?;
        match Prepared::of(&photo, &Progress::new()).and_then(|prepared| lid(&prepared)) {
            Ok(found) => {
                held.round.push((found.p_round, round));
                println!(
                    "{n} {:?} {}: aspect {:.4} ± {:.4}, was {:.4}, round with {:.3}",
                    scene.cloth,
                    if round { "round" } else { "oval" },
                    found.aspect.value,
                    found.aspect.plus_minus(),
                    scene.lid.map_or(1.0, |l| l.a_mm / l.b_mm * (1.0 + 2.0 * l.warp)),
                    found.p_round
                );
            }
            Err(why) => {
                held.refused += 1;
                println!("{n} {:?}: {why}", scene.cloth);
            }
        }
    }
    Ok(())
}

fn scene(stretch: f64, round: bool, dice: &mut ChaCha8Rng) -> Scene {
    let half = dice.random_range(55.0..115.0);
    let angle = dice.random_range(0.0..std::f64::consts::PI);
    let warp = if round { WARP_SD * (-2.0 * (1.0 - dice.random::<f64>()).ln()).sqrt() / 2.0 } else { 0.0 };
    let cloths = [Cloth::Dark, Cloth::Linen, Cloth::Newsprint, Cloth::Linen];
    let cloth = cloths.get(dice.random_range(0..cloths.len())).copied().unwrap_or(Cloth::Linen);
    let colours = [[60.0, 90.0, 80.0], [150.0, 96.0, 52.0], [214.0, 206.0, 186.0], [96.0, 40.0, 44.0]];
    let rgb = colours.get(dice.random_range(0..colours.len())).copied().unwrap_or_default();
    let gap = dice.random_range(3.0..14.0);
    let at_mm = (42.8 + gap + half, dice.random_range(-20.0..20.0));
    let lid =
        Lid { a_mm: half * (stretch / 2.0).exp(), b_mm: half * (-stretch / 2.0).exp(), exponent: 2.0, angle_rad: angle, at_mm, rgb, warp };
    // All of it in the picture, and something to spare.
    let wide = 85.6 + gap + 2.0 * half;
    let middle = -42.8 + wide / 2.0;
    let focal_35 = dice.random_range(24.0..28.0);
    let away = (wide * 1.18 / 36.0).max(half * 2.5 / 24.0) * focal_35;
    Scene {
        width: 1120,
        height: 840,
        focal_35,
        k1: dice.random_range(-0.012..0.012),
        tilt: (dice.random_range(-0.3..0.3), dice.random_range(-0.25..0.25), 0.0),
        shift_mm: (-middle, 0.0, away),
        cloth,
        card_rgb: [246.0, 246.0, 244.0],
        patterned: dice.random_bool(0.5),
        card: true,
        foot_alike: None,
        lid: Some(lid),
        coins_mm: Vec::new(),
        band_at: None,
        noise: dice.random_range(1.0..4.0),
        shadow: dice.random_bool(0.5),
        seed: dice.random(),
    }
}
