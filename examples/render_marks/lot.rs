//! Photographs drawn by lot: any mark with words, lying and worn as those of the demo are, so that nothing can be fitted to the demo alone.

use crate::demo::{CREAM, GREY, PALE, PLAIN, TAN};
use crate::drawing::DESIGNS;
use crate::photograph::Shot;
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

const GLAZES: [[f64; 3]; 4] = [CREAM, PALE, GREY, TAN];
const GLEAMS: [&[(f64, f64, f64)]; 3] = [&[], &[(0.3, 0.24, 0.08)], &[(0.66, 0.34, 0.06), (0.25, 0.7, 0.05)]];

/// The photograph of that number, the same for the same seed.
pub(crate) fn shot(seed: u32, number: u32) -> Shot {
    let mut dice = ChaCha8Rng::seed_from_u64(u64::from(seed) << 32 | u64::from(number));
    let worded: Vec<_> =
        DESIGNS.iter().filter(|design| design.lines.iter().map(|line| line.0.chars().count()).sum::<usize>() > 1).collect();
    let (mark, pressed) = worded.get(dice.random_range(0..worded.len())).map_or(("", false), |design| (design.id, design.ink.is_none()));
    let pick = |n: usize, dice: &mut ChaCha8Rng| dice.random_range(0..n);
    let bent = match pick(3, &mut dice) {
        0 => dice.random_range(60.0..150.0),
        1 => -dice.random_range(90.0..150.0),
        _ => 0.0,
    };
    Shot {
        mark,
        roll_deg: dice.random_range(-30.0..30.0),
        tilt_deg: dice.random_range(4.0..26.0),
        toward_deg: dice.random_range(0.0..360.0),
        off: (dice.random_range(-0.05..0.05), dice.random_range(-0.05..0.05)),
        px_per_mm: dice.random_range(11.0..16.0),
        dish_mm: bent,
        lost: if pressed { 0.0 } else { dice.random_range(0.05..0.35) },
        faint: dice.random_range(0.2..0.6),
        run_mm: dice.random_range(0.03..0.15),
        glaze: GLAZES.get(pick(GLAZES.len(), &mut dice)).copied().unwrap_or(CREAM),
        speckle: if pick(3, &mut dice) == 0 { dice.random_range(0.1..0.35) } else { 0.0 },
        crazing: if pick(3, &mut dice) == 0 { dice.random_range(0.3..0.8) } else { 0.0 },
        gleams: GLEAMS.get(pick(GLEAMS.len(), &mut dice)).copied().unwrap_or(&[]),
        uneven: dice.random_range(0.1..0.6),
        light_deg: dice.random_range(0.0..360.0),
        raking: if pressed { 1.0 } else { 0.6 },
        seed: seed.wrapping_mul(1009).wrapping_add(number),
        ..PLAIN
    }
}
