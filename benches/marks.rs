//! Finding worn wordings among 100 000: how many are right, and how long it takes.
//!
//!     cargo bench --bench marks                   a table, and the time a query takes
//!     cargo bench --bench marks -- --write DIR    the same, with wordings and readings written for `peers/wordings.py`

#![expect(clippy::print_stdout, reason = "a bench prints what it measured")]

#[path = "common/dice.rs"]
mod dice;
#[path = "common/wordings.rs"]
mod wordings;

use footring::marks::Wordings;
use std::path::Path;
use std::time::Instant;
use wordings::{Losses, Reading, in_one_line, readings, wordings as made_up};

/// Shortest run of letters that is seen.
const SHORTEST: usize = 6;

fn main() -> std::io::Result<()> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let (most, queries) = if args.iter().any(|arg| arg == "--bench") { (100_000, 2000) } else { (2000, 50) };
    let folder = args.iter().skip_while(|arg| *arg != "--write").nth(1);
    let all = made_up(most, 1);
    if let Some(folder) = folder {
        let lines: Vec<String> = all.iter().map(|lines| in_one_line(lines)).collect();
        std::fs::write(Path::new(folder).join("wordings.txt"), lines.join("\n"))?;
    }
    let begin = Instant::now();
    let index = Wordings::of_lines(all.iter().map(|lines| lines.iter().map(String::as_str)));
    println!("{most} wordings made ready in {:.0} ms", begin.elapsed().as_secs_f64() * 1e3);
    for (losses, name) in [(Losses::Unsaid, "unsaid"), (Losses::Each, "each"), (Losses::OneRun, "run")] {
        let read = readings(&all, queries, SHORTEST, losses, 2);
        if let Some(folder) = folder {
            let lines: Vec<String> = read.iter().map(|r| format!("{}\t{}", r.of, r.typed)).collect();
            std::fs::write(Path::new(folder).join(format!("{name}.txt")), lines.join("\n"))?;
        }
        measure(&index, &read, name);
    }
    Ok(())
}

/// Prints how many readings came first and among the first ten, how long one took, and whether the probabilities can be believed.
fn measure(index: &Wordings, read: &[Reading], name: &str) {
    let mut took = Vec::new();
    let (mut first, mut ten, mut weighed) = (0, 0, 0);
    let mut believed = [(0_usize, 0_usize, 0.0_f64); 5];
    for reading in read {
        let begin = Instant::now();
        let found = index.find(&reading.typed, usize::MAX).unwrap_or_default();
        took.push(begin.elapsed().as_secs_f64() * 1e3);
        let place = found.iter().position(|f| f.number == reading.of);
        first += usize::from(place == Some(0));
        ten += usize::from(place.is_some_and(|n| n < 10));
        weighed += usize::from(place.is_some());
        if let Some(best) = found.first()
            && let Some(group) = believed.get_mut(((best.probability * 5.0) as usize).min(4))
        {
            *group = (group.0 + 1, group.1 + usize::from(place == Some(0)), group.2 + best.probability);
        }
    }
    took.sort_by(f64::total_cmp);
    let share = |n: usize| 100.0 * n as f64 / read.len().max(1) as f64;
    let at = |part: usize| took.get(took.len() * part / 100).copied().unwrap_or(0.0);
    println!(
        "{name}: first {:.1} %, top ten {:.1} %, weighed at all {:.1} %; {:.2} ms a query (median), {:.2} (95 in 100)",
        share(first),
        share(ten),
        share(weighed),
        at(50),
        at(95)
    );
    for (n, right, sum) in believed {
        println!("    said {:.2}: right {:.2} of {n}", sum / n.max(1) as f64, right as f64 / n.max(1) as f64);
    }
}
