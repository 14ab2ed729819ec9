//! Naming the rows of a list by the demo key, as `footring sort` does: a row is a piece of which a few features were looked at.

#[path = "common/dice.rs"]
mod dice;

use dice::Dice;
use divan::Bencher;
use divan::counter::ItemsCount;
use footring::key::{Key, Record, builtin};
use footring::sheets::named::Namer;

fn main() {
    divan::main();
}

/// So many pieces of forms drawn from the key, each feature looked at on one in `one_in`, with the value or the middle of the range recorded.
fn pieces(key: &Key, rows: usize, one_in: usize) -> Vec<Vec<String>> {
    let mut dice = Dice::new(1962);
    let mut piece = || {
        let form = key.forms.get(dice.roll(key.forms.len()));
        let cell = |feature: &footring::key::Feature| match form.and_then(|form| form.features.get(&feature.id)) {
            Some(Record::Always(value)) => value.to_string(),
            Some(Record::Values(values)) => values.keys().next().map(ToString::to_string).unwrap_or_default(),
            Some(Record::Between(from, to)) => format!("{:.0}±2", f64::midpoint(*from, *to)),
            _ => String::new(),
        };
        key.features.iter().map(|feature| if dice.roll(one_in) == 0 { cell(feature) } else { String::new() }).collect()
    };
    (0..rows).map(|_| piece()).collect()
}

/// Rows of which hardly two are the same; the number is one in how many features was looked at.
#[divan::bench(args = [3, 6], sample_count = 5)]
fn different_rows(bencher: Bencher<'_, '_>, one_in: usize) {
    run(bencher, 4096, |key| pieces(key, 4096, one_in));
}

/// A box of a hundred different pieces, each there about forty times.
#[divan::bench(sample_count = 5)]
fn rows_that_come_again(bencher: Bencher<'_, '_>) {
    run(bencher, 4096, |key| {
        let some = pieces(key, 100, 3);
        let mut dice = Dice::new(7);
        (0..4096).filter_map(|_| some.get(dice.roll(some.len())).cloned()).collect()
    });
}

fn run(bencher: Bencher<'_, '_>, rows: usize, make: impl Fn(&Key) -> Vec<Vec<String>>) {
    let key = builtin::demo().key;
    let table = make(&key);
    let headers: Vec<String> = key.features.iter().map(|feature| feature.id.to_string()).collect();
    let cell = |row: usize, column: usize| table.get(row).and_then(|row| row.get(column)).map_or("", String::as_str);
    bencher.counter(ItemsCount::new(rows)).bench_local(|| {
        let namer = Namer::new(&key, &headers);
        let mut out = Vec::new();
        let sorted = namer.write(rows, &cell, &mut out, &mut |_| {});
        (out.len(), sorted.map(|sorted| sorted.rows).ok())
    });
}
