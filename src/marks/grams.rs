//! Which of very many wordings share pairs of letters with what was typed: those alone are weighed.
//!
//! Of each wording the pairs of letters that stand one, two or three apart are listed. A pair of typed letters is looked for at its own distance, and at
//! the next, for a letter between may have left no trace. What a shared pair counts is how rare it is.

use super::weigh::{PLAIN, Query, Seen};
use rayon::prelude::*;

/// Numbers of letters in a pair: those past the plain ones share four.
const LETTERS: usize = PLAIN + 4;
const PAIRS: usize = LETTERS * LETTERS;
const DISTANCES: usize = 3;
/// Wordings of one block: its sums stay in the nearest cache.
const BLOCK: usize = 8192;
/// Chance that a pair of letters is read at its distance, or that one between is lost: choices of this program, no source.
const KEPT: f64 = 0.65;
const LOST_BETWEEN: f64 = 0.08;
/// Sums are whole numbers of this part of a natural logarithm.
pub(super) const PART: f64 = 8.0;
/// Largest sum that is told from others.
const MOST: usize = 4096;

/// The pairs of letters of many wordings.
#[derive(Debug, Clone)]
pub(super) struct Grams {
    blocks: Vec<Block>,
    /// Wordings with each pair, by distance.
    with: Vec<u32>,
    wordings: usize,
}

#[derive(Debug, Clone)]
struct Block {
    first: u32,
    size: usize,
    /// Where the list of each pair begins, by distance; one more than there are lists.
    starts: Vec<u32>,
    lists: Vec<u16>,
}

fn pair(distance: usize, one: u16, other: u16) -> usize {
    let small = |code: u16| {
        let code = usize::from(code);
        if code < PLAIN { code } else { PLAIN + code % (LETTERS - PLAIN) }
    };
    (distance - 1) * PAIRS + small(one) * LETTERS + small(other)
}

impl Grams {
    /// From the numbers of the letters of each wording.
    pub(super) fn new(wordings: &[&[u16]]) -> Self {
        let blocks: Vec<Block> = wordings
            .par_chunks(BLOCK)
            .enumerate()
            .map(|(n, some)| Block::new(u32::try_from(n * BLOCK).unwrap_or(u32::MAX), some))
            .collect();
        let mut with = vec![0; DISTANCES * PAIRS];
        for block in &blocks {
            for (sum, ends) in with.iter_mut().zip(block.starts.windows(2)) {
                if let [from, to] = ends {
                    *sum += to - from;
                }
            }
        }
        Self { blocks, with, wordings: wordings.len() }
    }

    /// About so many wordings that share most with what was typed, in their order, each with how much: all that share as much as the last of them.
    pub(super) fn nearest(&self, query: &Query, about: usize) -> Vec<(u32, u16)> {
        let wanted = self.wanted(query);
        let sums: Vec<Vec<u16>> = self.blocks.par_iter().map(|block| block.sums(&wanted)).collect();
        let mut of_sum = vec![0_usize; MOST];
        for sum in sums.iter().flatten() {
            if let Some(n) = of_sum.get_mut(usize::from(*sum).min(MOST - 1)) {
                *n += 1;
            }
        }
        let mut taken = 0;
        let mut least = MOST;
        while least > 1 && taken < about {
            least -= 1;
            taken += of_sum.get(least).copied().unwrap_or(0);
        }
        // Where far more share as little as the last, the first of them will do.
        let all = self.blocks.iter().zip(&sums).flat_map(|(block, sums)| (block.first..).zip(sums.iter().copied()));
        all.filter(|(_, sum)| usize::from(*sum).min(MOST - 1) >= least).take(about.saturating_mul(4)).collect()
    }

    /// Lists to go through, each with what it counts.
    fn wanted(&self, query: &Query) -> Vec<(usize, u16)> {
        let seen: Vec<Seen<'_>> = query.seen().collect();
        let mut wanted = Vec::new();
        for (at, one) in seen.iter().enumerate() {
            for (distance, other) in (1..=DISTANCES).zip(seen.iter().skip(at + 1)) {
                if !other.follows {
                    break;
                }
                for (a, b) in one.codes.iter().flat_map(|a| other.codes.iter().map(move |b| (*a, *b))) {
                    for (apart, chance) in [(distance, KEPT), (distance + 1, LOST_BETWEEN)] {
                        if apart > DISTANCES {
                            continue;
                        }
                        let list = pair(apart, a, b);
                        let with = self.with.get(list).copied().unwrap_or(0).max(1);
                        let counts = (chance * self.wordings as f64 / f64::from(with)).ln() * PART / if distance == 1 { 1.0 } else { 1.6 };
                        if counts >= 1.0 {
                            wanted.push((list, counts as u16));
                        }
                    }
                }
            }
        }
        wanted
    }
}

impl Block {
    fn new(first: u32, wordings: &[&[u16]]) -> Self {
        let mut found: Vec<(u32, u16)> = Vec::new();
        for (number, codes) in (0_u16..).zip(wordings) {
            let mut of_one: Vec<u32> = Vec::new();
            for distance in 1..=DISTANCES {
                let apart = codes.iter().zip(codes.iter().skip(distance));
                of_one.extend(apart.filter_map(|(a, b)| u32::try_from(pair(distance, *a, *b)).ok()));
            }
            of_one.sort_unstable();
            of_one.dedup();
            found.extend(of_one.into_iter().map(|list| (list, number)));
        }
        found.sort_unstable();
        let mut starts = vec![0_u32; DISTANCES * PAIRS + 1];
        for (list, _) in &found {
            if let Some(n) = starts.get_mut(*list as usize + 1) {
                *n += 1;
            }
        }
        let mut sum = 0;
        for start in &mut starts {
            sum += *start;
            *start = sum;
        }
        Self { first, size: wordings.len(), starts, lists: found.into_iter().map(|(_, number)| number).collect() }
    }

    fn sums(&self, wanted: &[(usize, u16)]) -> Vec<u16> {
        let mut sums = vec![0_u16; self.size];
        for (list, counts) in wanted {
            let (Some(from), Some(to)) = (self.starts.get(*list), self.starts.get(list + 1)) else { continue };
            for number in self.lists.get(*from as usize..*to as usize).unwrap_or_default() {
                if let Some(sum) = sums.get_mut(usize::from(*number)) {
                    *sum = sum.saturating_add(*counts);
                }
            }
        }
        sums
    }
}
