//! Sorting loose lids and lidless bases, and counting finds for the census.
#![expect(clippy::unwrap_used, reason = "a bench stops where it cannot go on")]

#[path = "common/dice.rs"]
mod dice;

use dice::Dice;
use divan::Bencher;
use footring::daybook::lids::{Half, Rules, Wishes, pair};
use footring::identify::Measured;
use std::collections::BTreeMap;

fn main() {
    divan::main();
}

const GLAZES: [&str; 8] = ["Flint", "Slate", "Moss", "Ember", "Peat", "Oatmeal", "Harbour", "Saffron"];

fn share(dice: &mut Dice) -> f64 {
    f64::from(u32::try_from(dice.roll(1_000_000)).unwrap()) / 1e6
}

/// So many lids and bases between 60 and `60 + range_mm`, every other one belonging together.
fn shelves(pieces: usize, range_mm: f64) -> (Vec<Half>, Vec<Half>) {
    let mut dice = Dice::new(1951);
    let half = |id: String, mm: f64, glaze: &str| Half {
        id,
        major: Some(Measured { value: mm, plus_minus: 0.6 }),
        noted: BTreeMap::from([("glaze".to_owned(), glaze.to_owned())]),
        ..Half::default()
    };
    let (mut lids, mut bases) = (Vec::new(), Vec::new());
    for n in 0..pieces {
        let (size, glaze) = (60.0 + range_mm * share(&mut dice), *GLAZES.get(dice.roll(GLAZES.len())).unwrap());
        lids.push(half(format!("L{n}"), size, glaze));
        let (at, under) = if n % 2 == 0 {
            (size + 1.0 + 2.0 * share(&mut dice), glaze)
        } else {
            (60.0 + range_mm * share(&mut dice), *GLAZES.get(dice.roll(GLAZES.len())).unwrap())
        };
        bases.push(half(format!("B{n}"), at, under));
    }
    (lids, bases)
}

/// Sizes over 240 mm: a lid fits about one base in forty by size.
#[divan::bench(args = [20, 200, 2000], sample_count = 10)]
fn most_cannot_fit(bencher: Bencher<'_, '_>, pieces: usize) {
    let (lids, bases) = shelves(pieces, 240.0);
    bencher.bench_local(|| pair(&lids, &bases, Rules::built_in(), None, &Wishes::default()).unwrap().pairs.len());
}

/// Everything of nearly one size: every lid goes on every base.
#[divan::bench(args = [200, 1000], sample_count = 3)]
fn all_of_one_size(bencher: Bencher<'_, '_>, pieces: usize) {
    let (lids, bases) = shelves(pieces, 1.0);
    bencher.bench_local(|| pair(&lids, &bases, Rules::built_in(), None, &Wishes::default()).unwrap().pairs.len());
}
