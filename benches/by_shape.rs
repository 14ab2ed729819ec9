//! How long it takes to find a shape among 100 000 half profiles.
//!
//! What the figures are and how they were taken stands in `benches/README.md`.
#![expect(clippy::unwrap_used, reason = "a bench stops where it cannot go on")]

#[path = "common/dice.rs"]
mod dice;

use dice::Dice;
use divan::Bencher;
use footring::identify::by_shape::{HalfProfile, LidOn, Scaling, ShapeIndex, ShapeReading};
use footring::key::FormId;
use std::sync::LazyLock;

fn main() {
    divan::main();
}

static LARGE: LazyLock<ShapeIndex> = LazyLock::new(|| {
    let mut dice = Dice::new(7);
    let profiles = (0..100_000).map(|i| (FormId::new(format!("form-{i:06}")), vessel(&mut dice))).collect();
    ShapeIndex::of_profiles(profiles, 2.0)
});

/// A made-up vessel of 32 points.
fn vessel(dice: &mut Dice) -> HalfProfile {
    let mut from = |low: f64, high: f64| low + (high - low) * dice.roll(10_000) as f64 / 10_000.0;
    let (foot, rim, height, belly, at, wide) =
        (from(15.0, 70.0), from(20.0, 120.0), from(20.0, 260.0), from(-8.0, 50.0), from(0.1, 0.9), from(0.1, 0.4));
    let points: Vec<(f64, f64)> = (0..32)
        .map(|i| {
            let t = f64::from(i) / 31.0;
            ((foot + (rim - foot) * t + belly * (-((t - at) / wide).powi(2)).exp()).max(1.0), height * t)
        })
        .collect();
    HalfProfile::new(&points).unwrap()
}

const SCALINGS: [&str; 2] = ["true size", "any size"];

fn scaling(name: &str) -> Scaling {
    if name == "true size" { Scaling::TrueSize } else { Scaling::AnySize }
}

#[divan::bench(args = SCALINGS)]
fn nearest_12_of_100_000(bencher: Bencher<'_, '_>, name: &str) {
    let asked = vessel(&mut Dice::new(8));
    let index = &*LARGE;
    bencher.bench_local(|| index.nearest(&asked, LidOn::Off, scaling(name), 12));
}

#[divan::bench(args = SCALINGS)]
fn weigh_100_000(bencher: Bencher<'_, '_>, name: &str) {
    let asked = vessel(&mut Dice::new(8));
    let index = &*LARGE;
    bencher.bench_local(|| index.weigh(&ShapeReading { profile: &asked, sd_mm: 0.8, lid: LidOn::Off, scaling: scaling(name) }).unwrap());
}
