//! Reading tables: a seeded list of 100 000 rows and 100 columns as CSV, from its bytes in memory.

use divan::Bencher;
use divan::counter::BytesCount;
use footring::key::tables::{Options, read_bytes};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use std::fmt::Write as _;

fn main() {
    divan::main();
}

/// Names, categories of two to eight values, and every tenth column a measure; a tenth of the cells is empty.
fn table(rows: usize, columns: usize) -> Vec<u8> {
    let mut random = ChaCha8Rng::seed_from_u64(1934);
    let mut text = String::from("name");
    for column in 1..columns {
        let _ = write!(text, ",feature {column}");
    }
    text.push('\n');
    for row in 0..rows {
        let _ = write!(text, "form {row}");
        for column in 1..columns {
            text.push(',');
            if random.random_bool(0.1) {
                continue;
            }
            if column % 10 == 0 {
                let _ = write!(text, "{:.1}", random.random_range(10.0..400.0));
            } else {
                let _ = write!(text, "value {}", random.random_range(0..2 + column % 7));
            }
        }
        text.push('\n');
    }
    text.into_bytes()
}

#[divan::bench(args = [(10_000, 60), (100_000, 100)], sample_count = 10)]
fn read_csv(bencher: Bencher<'_, '_>, (rows, columns): (usize, usize)) {
    let bytes = table(rows, columns);
    bencher
        .counter(BytesCount::new(bytes.len()))
        .with_inputs(|| bytes.clone())
        .bench_values(|bytes| read_bytes("list.csv", bytes, &Options::default()));
}
