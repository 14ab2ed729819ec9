//! Finding worn wordings among 100 000: how many are right, and how long it takes.
//!
//!     cargo bench --bench marks                   a table, and the time a query takes
//!     cargo bench --bench marks -- --write DIR    the same, with wordings and readings written for `peers/wordings.py`
//!     cargo bench --bench marks -- --ceiling 200  for so many readings of each sort, by their length: the most that any matcher can have right, and ours
//!     cargo bench --bench marks -- --seed 9001    other wordings and readings

#![expect(clippy::print_stdout, reason = "a bench prints what it measured")]

#[path = "common/dice.rs"]
mod dice;
#[path = "common/exact.rs"]
mod exact;
#[path = "common/wordings.rs"]
mod wordings;

use exact::{Exact, Line};
use footring::marks::Wordings;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::path::Path;
use std::time::Instant;
use wordings::{Losses, Reading, in_one_line, readings, wordings as made_up};

/// Shortest run of letters that is seen.
const SHORTEST: usize = 6;

fn main() -> std::io::Result<()> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let (most, queries) = if args.iter().any(|arg| arg == "--bench") { (100_000, 2000) } else { (2000, 50) };
    let after = |option: &str| args.iter().skip_while(|arg| *arg != option).nth(1);
    let folder = after("--write");
    let seed: u64 = after("--seed").and_then(|seed| seed.parse().ok()).unwrap_or(1);
    let all = made_up(most, seed);
    if let Some(folder) = folder {
        let lines: Vec<String> = all.iter().map(|lines| in_one_line(lines)).collect();
        std::fs::write(Path::new(folder).join("wordings.txt"), lines.join("\n"))?;
    }
    let begin = Instant::now();
    let index = Wordings::of_lines(all.iter().map(|lines| lines.iter().map(String::as_str)));
    println!("{most} wordings made ready in {:.0} ms", begin.elapsed().as_secs_f64() * 1e3);
    for (losses, name) in [(Losses::Unsaid, "unsaid"), (Losses::Each, "each"), (Losses::OneRun, "run")] {
        let read = readings(&all, queries, SHORTEST, losses, seed + 1);
        if let Some(folder) = folder {
            let lines: Vec<String> = read.iter().map(|r| format!("{}\t{}", r.of, r.typed)).collect();
            std::fs::write(Path::new(folder).join(format!("{name}.txt")), lines.join("\n"))?;
        }
        match after("--ceiling").and_then(|n| n.parse().ok()) {
            Some(n) => ceiling(&index, &all, read.get(..n).unwrap_or(&read), losses, name),
            None => measure(&index, &read, name),
        }
    }
    Ok(())
}

/// Sums over readings of like length.
#[derive(Debug, Default, Clone, Copy)]
struct Group {
    readings: f64,
    /// What the best ten by the exact chances, and the best of them, have together: how often the right one is among them on the mean.
    exact: [f64; 2],
    /// How often it was, by the exact chances and by ours.
    had: [[f64; 2]; 2],
}

impl Group {
    fn add(&mut self, other: &Self) {
        let sum = |to: &mut [f64; 2], from: [f64; 2]| to.iter_mut().zip(from).for_each(|(to, from)| *to += from);
        self.readings += other.readings;
        sum(&mut self.exact, other.exact);
        self.had.iter_mut().zip(other.had).for_each(|(to, from)| sum(to, from));
    }
}

/// Prints by the number of letters read how often the right one can be first and among the first ten at most, and how often it is.
fn ceiling(index: &Wordings, all: &[Vec<String>], read: &[Reading], losses: Losses, name: &str) {
    let lines: Vec<Line> = all.iter().map(|lines| Exact::line(&in_one_line(lines))).collect();
    let exact = Exact::new(SHORTEST);
    let mut groups: BTreeMap<usize, Group> = BTreeMap::new();
    for reading in read {
        let asked = exact.asked(&reading.typed, losses);
        let chances: Vec<f64> = lines.par_iter().map(|line| asked.chance(line)).collect();
        let mut order: Vec<usize> = (0..chances.len()).filter(|n| chances.get(*n).is_some_and(|p| *p > 0.0)).collect();
        let chance = |n: &usize| chances.get(*n).copied().unwrap_or(0.0);
        order.sort_by(|a, b| chance(b).total_cmp(&chance(a)).then(a.cmp(b)));
        let sum: f64 = order.iter().map(chance).sum();
        let found = index.find(&reading.typed, 10).unwrap_or_default();
        let places = [order.iter().position(|n| *n == reading.of), found.iter().position(|f| f.number == reading.of)];
        let within = |most: usize| order.iter().take(most).map(chance).sum::<f64>() / sum.max(f64::MIN_POSITIVE);
        let had = |place: Option<usize>| [1, 10].map(|most| f64::from(u8::from(place.is_some_and(|place| place < most))));
        let letters = reading.typed.chars().filter(|c| c.is_alphanumeric()).count();
        let group = [16, 12, 10, 8, 6].into_iter().find(|least| letters >= *least).unwrap_or(0);
        groups.entry(group).or_default().add(&Group { readings: 1.0, exact: [within(1), within(10)], had: places.map(had) });
    }
    println!("{name}: letters from, readings; in a hundred, first and among the first ten: at most on the mean, at most of these, ours");
    let mut whole = Group::default();
    for group in groups.values() {
        whole.add(group);
    }
    let print = |from: &str, group: &Group| {
        let [by_chance, ours] = group.had;
        let cells = [group.exact, by_chance, ours]
            .map(|[first, ten]| format!("{:5.1} {:5.1}", 100.0 * first / group.readings.max(1.0), 100.0 * ten / group.readings.max(1.0)));
        println!("    {from:>4} {:5}   {}", group.readings, cells.join("   "));
    };
    for (from, group) in &groups {
        print(&from.to_string(), group);
    }
    print("all", &whole);
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
