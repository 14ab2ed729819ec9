//! The bundled table on seeded tables of up to a million forms, each figure beside what memory alone would take.
//!
//! `cargo bench --bench identify_table` prints all three sizes; `-- 10000x60` one of them; `-- --write DIR 10000x60` also writes the table and the
//! answers for `benches/peers/run.py`. What the figures are stands in `benches/README.md`.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, clippy::print_stdout, reason = "a bench prints, and stops where it cannot go on")]

#[path = "common/dice.rs"]
mod dice;

use dice::Dice;
use footring::identify::table::{Answer, Bits, Sums, Table};
use std::io::Write as _;
use std::path::Path;
use std::time::Instant;

/// One feature: for each form the set of its values as bits, 0 where nothing is recorded, and the same as pattern numbers.
struct Made {
    values: usize,
    masks: Vec<u8>,
    patterns: Vec<u32>,
    /// The mask of each pattern; pattern 0 is 'not recorded'.
    mask_of: Vec<u8>,
}

/// 2 to 8 values a feature; 85 % of the records have one, 5 % two, 10 % are not made.
fn made_up(forms: usize, features: usize) -> Vec<Made> {
    let mut dice = Dice::new(42);
    (0..features)
        .map(|n| {
            let values = 2 + n % 7;
            let mut number = vec![u32::MAX; 256];
            let mut mask_of = vec![0u8];
            number[0] = 0;
            let masks: Vec<u8> = (0..forms)
                .map(|_| match dice.roll(100) {
                    0..10 => 0,
                    10..95 => 1u8 << dice.roll(values),
                    _ => {
                        let one = dice.roll(values);
                        1u8 << one | 1u8 << ((one + 1 + dice.roll(values - 1)) % values)
                    }
                })
                .collect();
            let patterns = masks
                .iter()
                .map(|&mask| {
                    if number[usize::from(mask)] == u32::MAX {
                        number[usize::from(mask)] = mask_of.len() as u32;
                        mask_of.push(mask);
                    }
                    number[usize::from(mask)]
                })
                .collect();
            Made { values, masks, patterns, mask_of }
        })
        .collect()
}

/// The features that are answered, each with its value 0, and the one that is answered next. They have five values each.
const ANSWERED: [usize; 5] = [3, 10, 17, 24, 31];
const NEXT: usize = 38;
const SLIP: f64 = 0.02;

/// Likelihood of reading value 0 by pattern: the share of it on the form, misread now and then; the mean where nothing is recorded.
fn answer(column: usize, made: &Made) -> Answer {
    let likelihood = made.mask_of.iter().map(|&mask| {
        let share = if mask == 0 { 1.0 / made.values as f64 } else { f64::from(mask & 1) / f64::from(mask.count_ones()) };
        (1.0 - SLIP) * share + SLIP * (1.0 - share) / (made.values as f64 - 1.0)
    });
    Answer { column, likelihood: likelihood.collect() }
}

/// Expected bits of one faultless reading of each feature: the entropy of what is read, less what is left where a form has two values. Forms without a
/// record read as the others do, so they count for nothing.
fn gains(made: &[Made], sums: &Sums, out: &mut Vec<f64>) {
    out.clear();
    for (n, feature) in made.iter().enumerate() {
        let sums = sums.of(n);
        let mut p = [0.0; 8];
        let (mut two, mut all) = (0.0, 0.0);
        for (&mask, &sum) in feature.mask_of.iter().zip(sums).skip(1) {
            let each = sum / f64::from(mask.count_ones());
            for (v, p) in p.iter_mut().enumerate() {
                *p += each * f64::from(mask >> v & 1);
            }
            two += if mask.count_ones() == 2 { sum } else { 0.0 };
            all += sum;
        }
        let silent = sums[0];
        let entropy: f64 =
            if all > 0.0 { -p.iter().map(|&p| if p > 0.0 { p / all * (p / all).log2() } else { 0.0 }).sum::<f64>() } else { 0.0 };
        out.push(if all > 0.0 { (entropy - two / all) * all / (all + silent) } else { 0.0 });
    }
}

/// Least and median of some runs, in milliseconds.
fn time(runs: usize, mut job: impl FnMut()) -> (f64, f64) {
    let mut took: Vec<f64> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            job();
            start.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    took.sort_by(f64::total_cmp);
    (took[0], took[runs / 2])
}

/// Bytes a second of a sum over 128 MB, the best of several runs, on every core.
fn streaming_read() -> f64 {
    use rayon::prelude::*;
    let data = vec![1u64; 16 << 20];
    let mut sum = 0u64;
    let (least, _) = time(7, || {
        sum = sum.wrapping_add(data.par_chunks(1 << 18).map(|chunk| chunk.iter().fold(0u64, |a, &b| a.wrapping_add(b))).sum::<u64>());
    });
    assert!(sum > 0, "the sum is used");
    (data.len() * 8) as f64 / (least * 1e-3)
}

/// Peak memory of this process so far in MB, where the system says so.
fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.split_whitespace().next()?.parse::<f64>().ok().map(|kb| kb / 1024.0)
}

/// A job, its least and median milliseconds, the bytes it must read, and its answer.
type Found = (&'static str, (f64, f64), usize, Vec<f64>);

fn main() {
    let (benching, args): (Vec<String>, Vec<String>) = std::env::args().skip(1).partition(|a| a == "--bench");
    if benching.is_empty() {
        return;
    }
    let folder = args.iter().position(|a| a == "--write").map(|at| args[at + 1].clone());
    let chosen: Vec<&str> = args.iter().map(String::as_str).filter(|a| a.contains('x') && a.starts_with(char::is_numeric)).collect();
    let sizes: Vec<&str> = if chosen.is_empty() { vec!["10000x60", "100000x100", "1000000x60"] } else { chosen };
    let speed = streaming_read();
    println!("streaming read: {:.1} GB/s on {} threads", speed * 1e-9, rayon::current_num_threads());
    for size in sizes {
        let (forms, features) = size.split_once('x').unwrap();
        run(size, forms.parse().unwrap(), features.parse().unwrap(), speed, folder.as_deref());
    }
}

fn run(size: &str, forms: usize, features: usize, speed: f64, folder: Option<&str>) {
    let made = made_up(forms, features);
    let columns: Vec<(usize, &[u32])> = made.iter().map(|m| (m.mask_of.len(), m.patterns.as_slice())).collect();
    let runs = if forms > 200_000 { 15 } else { 51 };
    let build = time(3, || {
        std::hint::black_box(Table::new(forms, &columns));
    });
    let table = Table::new(forms, &columns);
    let sets: Vec<Bits> =
        ANSWERED.iter().map(|&n| Bits::from_truth(made[n].masks.iter().map(|&mask| mask == 0 || mask & 1 == 1))).collect();
    let mut dice = Dice::new(7);
    let weights: Vec<f64> = (0..forms).map(|_| (1 + dice.roll(1000)) as f64).collect();
    let even = vec![1.0 / forms as f64; forms];
    let answers: Vec<Answer> = ANSWERED.iter().map(|&n| answer(n, &made[n])).collect();
    let next = [answer(NEXT, &made[NEXT])];
    let mut bits = Vec::new();
    let mut found: Vec<Found> = Vec::new();
    let bytes = table.bytes();

    let mut left = 0;
    let narrow = time(runs, || {
        let mut set = sets[0].clone();
        sets[1..].iter().for_each(|other| set.keep(other));
        left = set.count();
        gains(&made, &table.count(&set), &mut bits);
    });
    // What must be read: the five sets, and of each form left its number in each bundle.
    found.push(("narrow by 5, rank the rest", narrow, 5 * forms / 8 + left * 2 * table.bundles(), bits.clone()));
    let counts = table.gather(&vec![1.0; forms]);
    let rank = time(runs, || gains(&made, &counts, &mut bits));
    found.push(("rank with no observation, counts kept", rank, 0, bits.clone()));
    let rank = time(runs, || gains(&made, &table.gather(&even), &mut bits));
    found.push(("rank with no observation, from scratch", rank, bytes + 8 * forms, bits.clone()));
    let rank = time(runs, || gains(&made, &table.gather(&weights), &mut bits));
    found.push(("rank with a weight a form", rank, bytes + 8 * forms, bits.clone()));
    let rank = time(runs, || gains(&made, &table.weigh(&weights, &answers).sums, &mut bits));
    found.push(("five answers from scratch, and rank", rank, bytes + 8 * forms, bits.clone()));
    let mut held = table.weigh(&weights, &answers).of_form;
    let mut rank: Vec<f64> = Vec::new();
    for _ in 0..runs {
        let before = table.weigh(&weights, &answers).of_form;
        let start = Instant::now();
        let after = table.weigh_on(before, &next);
        gains(&made, &after.sums, &mut bits);
        rank.push(start.elapsed().as_secs_f64() * 1e3);
        held = after.of_form;
    }
    rank.sort_by(f64::total_cmp);
    // The weights are read and written.
    found.push(("one more answer, and rank", (rank[0], rank[runs / 2]), bytes + 16 * forms, bits.clone()));
    drop(held);

    println!(
        "\n{size}: {} bundles, {:.1} MB, built in {:.1} ms, {left} forms left by 5 answers{}",
        table.bundles(),
        bytes as f64 * 1e-6,
        build.0,
        peak_mb().map_or_else(String::new, |mb| format!(", peak memory {mb:.0} MB")),
    );
    println!("{:<40} {:>10} {:>10} {:>10} {:>7}", "", "least ms", "median ms", "limit ms", "ratio");
    for (name, (least, median), bytes, _) in &found {
        let limit = *bytes as f64 / speed * 1e3;
        let ratio = if limit > 0.0 { format!("{:.1}", median / limit) } else { "–".to_owned() };
        println!("{name:<40} {least:>10.3} {median:>10.3} {limit:>10.3} {ratio:>7}");
    }
    if let Some(folder) = folder {
        write(Path::new(folder), size, &made, &weights, left, &found).unwrap();
    }
}

/// The table as raw numbers, and the answers as JSON, for other programs to be timed on.
fn write(folder: &Path, size: &str, made: &[Made], weights: &[f64], left: usize, found: &[Found]) -> std::io::Result<()> {
    std::fs::create_dir_all(folder)?;
    let mut masks = std::io::BufWriter::new(std::fs::File::create(folder.join(format!("{size}.masks")))?);
    for feature in made {
        masks.write_all(&feature.masks)?;
    }
    masks.flush()?;
    let bytes: Vec<u8> = weights.iter().flat_map(|w| w.to_le_bytes()).collect();
    std::fs::write(folder.join(format!("{size}.weights")), bytes)?;
    let jobs: Vec<serde_json::Value> = found
        .iter()
        .map(|(name, (least, median), _, bits)| serde_json::json!({"name": name, "least_ms": least, "median_ms": median, "bits": bits}))
        .collect();
    let values: Vec<usize> = made.iter().map(|m| m.values).collect();
    let all = serde_json::json!({
        "forms": weights.len(), "values": values, "answered": ANSWERED, "next": NEXT, "slip": SLIP, "left": left, "jobs": jobs,
    });
    std::fs::write(folder.join(format!("{size}.json")), all.to_string())
}
