//! Belief propagation between the lids and bases of one set: the roads that messages run along, and the rounds until they rest.
//!
//! `m(i→j) = 1 / (1 + Σ over k ≠ j of w(i,k) m(k→i))` is the probability that i is free where j is taken away; the edge's probability is
//! `w m(i→j) m(j→i) / (1 + w m(i→j) m(j→i))`. The two sides speak in turn: then messages only ever fall, and come to rest (each side's are a
//! falling function of the other's). What both do in turn is a rising function of what one side hears, and it has one point of rest only (correlation
//! falls off along every walk: Bayati, Gamarnik, Katz, Nair and Tetali, STOC 2007, 122–127, from memory), so it comes to rest there from wherever it
//! begins: where weights were changed a little, a little way from it.
//!
//! Nearly all the time goes into these rounds, so what is said by one lid or base lies side by side in memory, and large sets are gone through in
//! blocks on every core. Sums run in the order of the edges, whoever does them: the results are the same to the last bit.

use rayon::prelude::*;
use std::ops::Range;

/// It ends after so many rounds in any case.
const ROUNDS: usize = 2000;
/// A block ends with the sender that brings it to so many edges.
const BLOCK: usize = 16_384;

/// The edges of a set as messages run along them, once by lids and once by bases.
#[derive(Debug)]
pub(super) struct Roads {
    by_lids: Side,
    by_bases: Side,
}

/// What lids say to bases and bases to lids, each in the order of its senders: where a spreading begins, and where it has come to.
#[derive(Debug, Clone)]
pub(super) struct Messages {
    to_bases: Vec<f64>,
    to_lids: Vec<f64>,
}

/// The edges by their senders on one side.
#[derive(Debug)]
struct Side {
    /// Where the edges of each sender begin; at the end, how many there are.
    starts: Vec<usize>,
    /// The edges, by sender and in their order.
    edges: Vec<usize>,
    /// For each of these: where it stands on the other side.
    there: Vec<u32>,
    /// Senders in runs of about [`BLOCK`] edges.
    blocks: Vec<Range<usize>>,
}

impl Roads {
    /// `edges` are lid and base, counted from 0 within the set.
    pub(super) fn new(lids: usize, bases: usize, edges: &[(usize, usize)]) -> Self {
        let mut by_lids = Side::new(lids, edges.iter().map(|(lid, _)| *lid));
        let mut by_bases = Side::new(bases, edges.iter().map(|(_, base)| *base));
        by_lids.there = by_lids.places_on(&by_bases);
        by_bases.there = by_bases.places_on(&by_lids);
        Self { by_lids, by_bases }
    }

    /// All are free, as far as anyone knows yet.
    pub(super) fn unsaid(&self) -> Messages {
        Messages { to_bases: vec![1.0; self.by_lids.edges.len()], to_lids: vec![1.0; self.by_bases.edges.len()] }
    }

    /// The probability of each edge, and whether the messages came to rest: in the last round none moved by `rest`. They begin where they were left.
    pub(super) fn spread(&self, weights: &[f64], rest: f64, messages: &mut Messages) -> (Vec<f64>, bool) {
        let (of_lids, of_bases) = (self.by_lids.in_order(weights), self.by_bases.in_order(weights));
        let Messages { to_bases, to_lids } = messages;
        let mut still = false;
        for _ in 0..ROUNDS {
            let a = self.by_lids.round(&of_lids, to_lids, to_bases);
            let b = self.by_bases.round(&of_bases, to_bases, to_lids);
            if a.max(b) < rest {
                still = true;
                break;
            }
        }
        let mut found = vec![0.0; weights.len()];
        for ((&edge, &there), (weight, to_base)) in self.by_lids.edges.iter().zip(&self.by_lids.there).zip(of_lids.iter().zip(&*to_bases)) {
            let odds = weight * to_base * at(to_lids, there);
            if let Some(found) = found.get_mut(edge) {
                *found = odds / (1.0 + odds);
            }
        }
        (found, still)
    }
}

impl Side {
    fn new(senders: usize, of_edges: impl Iterator<Item = usize>) -> Self {
        let mut by_sender: Vec<(usize, usize)> = of_edges.enumerate().map(|(edge, sender)| (sender, edge)).collect();
        by_sender.sort_unstable();
        let starts: Vec<usize> = (0..=senders).map(|sender| by_sender.partition_point(|(at, _)| *at < sender)).collect();
        let (mut blocks, mut first, mut begins) = (Vec::new(), 0, 0);
        for (next, &ends) in starts.iter().enumerate().skip(1) {
            if ends - begins >= BLOCK || next == senders {
                blocks.push(first..next);
                (first, begins) = (next, ends);
            }
        }
        Self { starts, edges: by_sender.into_iter().map(|(_, edge)| edge).collect(), there: Vec::new(), blocks }
    }

    /// Where each of its edges stands on the other side.
    fn places_on(&self, other: &Self) -> Vec<u32> {
        let mut places = vec![0; other.edges.len()];
        for (place, &edge) in (0..).zip(&other.edges) {
            if let Some(own) = places.get_mut(edge) {
                *own = place;
            }
        }
        self.edges.iter().map(|edge| places.get(*edge).copied().unwrap_or(0)).collect()
    }

    fn in_order(&self, weights: &[f64]) -> Vec<f64> {
        self.edges.iter().map(|edge| weights.get(*edge).copied().unwrap_or(0.0)).collect()
    }

    /// New messages of this side's senders, from those that the other side sent. Gives the largest move. `weights` and `said` are in this side's order,
    /// `heard` in the other's.
    fn round(&self, weights: &[f64], heard: &[f64], said: &mut [f64]) -> f64 {
        if let [one] = self.blocks.as_slice() {
            return self.block(one, weights, heard, said);
        }
        let mut rest = said;
        let mut parts = Vec::with_capacity(self.blocks.len());
        for block in &self.blocks {
            let (part, after) = rest.split_at_mut(self.edges_of(block).len().min(rest.len()));
            parts.push((block, part));
            rest = after;
        }
        parts.into_par_iter().map(|(block, part)| self.block(block, weights, heard, part)).reduce(|| 0.0, f64::max)
    }

    fn edges_of(&self, senders: &Range<usize>) -> Range<usize> {
        let at = |sender: usize| self.starts.get(sender).copied().unwrap_or(self.edges.len());
        at(senders.start)..at(senders.end)
    }

    /// The senders of one block; `said` is their part of it.
    fn block(&self, senders: &Range<usize>, weights: &[f64], heard: &[f64], mut said: &mut [f64]) -> f64 {
        let mut heard_weighed: Vec<f64> = Vec::new();
        let mut largest: f64 = 0.0;
        for sender in senders.clone() {
            let edges = self.edges_of(&(sender..sender + 1));
            let (own, after) = said.split_at_mut(edges.len().min(said.len()));
            said = after;
            let (there, weights) = (self.there.get(edges.clone()).unwrap_or_default(), weights.get(edges).unwrap_or_default());
            heard_weighed.clear();
            heard_weighed.extend(weights.iter().zip(there).map(|(weight, there)| weight * at(heard, *there)));
            let sum: f64 = heard_weighed.iter().sum();
            for (said, one) in own.iter_mut().zip(&heard_weighed) {
                // Plain comparisons: `f64::max` looks for what is no number, and this is where the time goes.
                let others = sum - one;
                let new = 1.0 / (1.0 + if others > 0.0 { others } else { 0.0 });
                let moved = (new - *said).abs();
                largest = if moved > largest { moved } else { largest };
                *said = new;
            }
        }
        largest
    }
}

fn at(messages: &[f64], place: u32) -> f64 {
    messages.get(place as usize).copied().unwrap_or(0.0)
}
