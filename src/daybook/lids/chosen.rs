//! The most probable sorting of two shelves.

use super::assign::most_probable;
use super::chances::{Care, Chances, Reckoned, Web};
use super::error::PairError;
use super::half::{Half, Side};
use super::reason::Reason;
use super::rules::Rules;
use super::weigh::{Weighed, Weigher};
use crate::key::Key;
use std::collections::{BTreeMap, BTreeSet};

/// Bases are said to fit as well where their weight is at least this share of the chosen one's. A choice of this program.
const AS_WELL: f64 = 0.5;
/// The share that belongs together is learnt in so many rounds at the most.
const ROUNDS: usize = 30;

/// What a person wishes of the sorting, by ids of lids and bases.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Wishes {
    /// Pairs that are made whatever the weights say: lid, base.
    pub pinned: Vec<(String, String)>,
    /// Pairs that are never made: lid, base.
    pub forbidden: Vec<(String, String)>,
}

/// The most probable sorting of two shelves. Numbers are places on the shelves, from 0.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Pairing {
    /// The pairs, by lid.
    pub pairs: Vec<Paired>,
    /// Lids without a base, ascending.
    pub lids_alone: Vec<usize>,
    /// Bases without a lid, ascending.
    pub bases_alone: Vec<usize>,
    /// Every pair that was thought of, by lid and base; pinned ones not among them.
    pub candidates: Vec<Candidate>,
    /// For each lid: how probable it is that no base here is its own.
    pub lids_alone_chance: Vec<f64>,
    /// For each base: how probable it is that no lid here is its own.
    pub bases_alone_chance: Vec<f64>,
    /// The share of the shorter shelf that has its other half on the other one, as learnt.
    pub share: f64,
    /// How the probabilities were reckoned.
    pub reckoned: Reckoned,
}

/// A lid and a base that were put together.
#[derive(Debug, Clone, PartialEq)]
pub struct Paired {
    /// The lid's place on its shelf.
    pub lid: usize,
    /// The base's place on its shelf.
    pub base: usize,
    /// How probable it is that just these two belong together, over all sortings.
    pub probability: f64,
    /// What is to be said of them.
    pub reasons: Vec<Reason>,
}

/// A pair that was thought of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate {
    /// The lid's place on its shelf.
    pub lid: usize,
    /// The base's place on its shelf.
    pub base: usize,
    /// Natural logarithm of the likelihood ratio 'belong together' against 'met by chance'.
    pub ln_ratio: f64,
    /// How probable it is that the two belong together, over all sortings.
    pub probability: f64,
}

/// Sorts lids and bases. With a key, glazes are known by any of their names and by their colours.
///
/// # Errors
/// Where a wish names a lid or base that is not there, or cannot be met.
pub fn pair(lids: &[Half], bases: &[Half], rules: &Rules, key: Option<&Key>, wishes: &Wishes) -> Result<Pairing, PairError> {
    let wished = Wished::new(lids, bases, wishes)?;
    let weigher = Weigher::new(lids, bases, rules, key);
    let mut weighed = weigher.all();
    weighed.retain(|pair| wished.leaves(pair));
    let free = |halves: &[Half], taken: &BTreeSet<usize>| {
        halves.iter().enumerate().filter(|(at, half)| half.major.is_some() && !taken.contains(at)).count()
    };
    let shelves = Shelves {
        lids: lids.len(),
        bases: bases.len(),
        free: (free(lids, &wished.lids), free(bases, &wished.bases)),
        together: rules.together,
    };
    let (share, edges, chances) = shelves.learn(&weighed);
    let mut pairing = Pairing {
        candidates: weighed
            .iter()
            .zip(&chances.pairs)
            .map(|(pair, p)| Candidate { lid: pair.lid, base: pair.base, ln_ratio: pair.ln, probability: *p })
            .collect(),
        lids_alone_chance: chances.lids_alone,
        bases_alone_chance: chances.bases_alone,
        share,
        reckoned: chances.reckoned,
        ..Pairing::default()
    };
    let chosen = most_probable(lids.len(), bases.len(), &edges);
    for &(lid, base) in &chosen {
        let reasons = weigher.reasons(lid, base);
        let paired =
            pairing.candidates.binary_search_by_key(&(lid, base), |c| (c.lid, c.base)).ok().and_then(|at| pairing.candidates.get(at));
        if let Some(paired) = paired.copied() {
            let others = pairing.others_as_good(&paired);
            let others = (others > 0).then_some(Reason::OthersFit { bases: others });
            pairing.pairs.push(Paired { lid, base, probability: paired.probability, reasons: reasons.into_iter().chain(others).collect() });
        }
    }
    for &(lid, base) in &wished.pinned {
        let reasons = std::iter::once(Reason::Pinned).chain(weigher.reasons(lid, base)).collect();
        pairing.pairs.push(Paired { lid, base, probability: 1.0, reasons });
        for alone in [pairing.lids_alone_chance.get_mut(lid), pairing.bases_alone_chance.get_mut(base)].into_iter().flatten() {
            *alone = 0.0;
        }
    }
    pairing.pairs.sort_by_key(|pair| (pair.lid, pair.base));
    let taken: (BTreeSet<usize>, BTreeSet<usize>) = pairing.pairs.iter().map(|pair| (pair.lid, pair.base)).unzip();
    pairing.lids_alone = (0..lids.len()).filter(|lid| !taken.0.contains(lid)).collect();
    pairing.bases_alone = (0..bases.len()).filter(|base| !taken.1.contains(base)).collect();
    Ok(pairing)
}

/// What is to be said of pairs of those shelves, given by their places, whether they were put together or not.
pub fn reasons(lids: &[Half], bases: &[Half], rules: &Rules, key: Option<&Key>, pairs: &[(usize, usize)]) -> Vec<Vec<Reason>> {
    let weigher = Weigher::new(lids, bases, rules, key);
    pairs.iter().map(|&(lid, base)| weigher.reasons(lid, base)).collect()
}

impl Pairing {
    /// How many other bases are as good for its lid, or nearly so.
    fn others_as_good(&self, paired: &Candidate) -> usize {
        let from = self.candidates.partition_point(|c| c.lid < paired.lid);
        let of_lid = self.candidates.get(from..).unwrap_or_default().iter().take_while(|c| c.lid == paired.lid);
        of_lid.filter(|c| c.base != paired.base && c.ln_ratio >= paired.ln_ratio + AS_WELL.ln()).count()
    }
}

/// What is known of the shelves before anything is weighed.
struct Shelves {
    lids: usize,
    bases: usize,
    /// Those that were measured and are not pinned.
    free: (usize, usize),
    together: (f64, f64),
}

impl Shelves {
    /// Learns the share that belongs together from the pairs themselves: what is expected by the share, and the share by what is expected, in turn, until
    /// they agree (empirical Bayes). Gives the share, the edges with their weights and the probabilities.
    fn learn(&self, weighed: &[Weighed]) -> (f64, Vec<(usize, usize, f64)>, Chances) {
        let (mut share, worth) = self.together;
        let prior = share;
        let shorter = as_number(self.free.0.min(self.free.1));
        // Which pairs hang together does not depend on the share.
        let mut edges: Vec<(usize, usize, f64)> = weighed.iter().map(|pair| (pair.lid, pair.base, pair.ln)).collect();
        let web = Web::new(self.lids, self.bases, &edges);
        let ratios: Vec<f64> = weighed.iter().map(|pair| pair.ln.exp()).collect();
        let weights = |share: f64| {
            let odds = self.ln_odds(share).exp();
            ratios.iter().map(|ratio| ratio * odds).collect::<Vec<f64>>()
        };
        let mut messages = web.unsaid();
        for _ in 0..ROUNDS {
            let found = web.chances(&weights(share), Care::Rough, &mut messages);
            let expected: f64 = found.pairs.iter().sum();
            let new = (prior * worth + expected) / (worth + shorter).max(f64::MIN_POSITIVE);
            let moved = (new - share).abs();
            share = new.clamp(1e-6, 1.0 - 1e-6);
            if moved < 1e-4 {
                break;
            }
        }
        let ln_odds = self.ln_odds(share);
        for edge in &mut edges {
            edge.2 += ln_odds;
        }
        (share, edges, web.chances(&weights(share), Care::Fine, &mut messages))
    }

    /// Logarithm of the odds that just two belong together, before anything is weighed: the expected number of pairs by the numbers of lids and of bases
    /// that they leave. Then weights of 1 make as many pairs as expected.
    fn ln_odds(&self, share: f64) -> f64 {
        let (lids, bases) = (as_number(self.free.0), as_number(self.free.1));
        let expected = share * lids.min(bases);
        // A half more on each side, so that a share near one stays a number.
        let odds = expected / ((lids - expected + 0.5) * (bases - expected + 0.5));
        odds.max(f64::MIN_POSITIVE).ln()
    }
}

#[expect(clippy::cast_precision_loss, reason = "a number of pieces")]
fn as_number(n: usize) -> f64 {
    n as f64
}

/// Wishes by places on the shelves.
struct Wished {
    pinned: Vec<(usize, usize)>,
    /// Of the pinned pairs.
    lids: BTreeSet<usize>,
    bases: BTreeSet<usize>,
    forbidden: BTreeSet<(usize, usize)>,
}

impl Wished {
    fn new(lids: &[Half], bases: &[Half], wishes: &Wishes) -> Result<Self, PairError> {
        let by_id =
            |halves: &[Half]| halves.iter().enumerate().map(|(at, half)| (half.id.clone(), at)).collect::<BTreeMap<String, usize>>();
        let (lid_places, base_places) = (by_id(lids), by_id(bases));
        let place = |places: &BTreeMap<String, usize>, side: Side, id: &String| {
            places.get(id).copied().ok_or_else(|| PairError::Unknown { side, id: id.clone() })
        };
        let places = |pairs: &[(String, String)]| {
            pairs
                .iter()
                .map(|(lid, base)| Ok((place(&lid_places, Side::Lid, lid)?, place(&base_places, Side::Base, base)?)))
                .collect::<Result<Vec<_>, PairError>>()
        };
        let mut wished = Self {
            pinned: Vec::new(),
            lids: BTreeSet::new(),
            bases: BTreeSet::new(),
            forbidden: places(&wishes.forbidden)?.into_iter().collect(),
        };
        for ((lid, base), names) in places(&wishes.pinned)?.into_iter().zip(&wishes.pinned) {
            if wished.pinned.contains(&(lid, base)) {
                continue;
            }
            if wished.forbidden.contains(&(lid, base)) {
                return Err(PairError::PinnedAndForbidden { lid: names.0.clone(), base: names.1.clone() });
            }
            if !wished.lids.insert(lid) {
                return Err(PairError::PinnedTwice { side: Side::Lid, id: names.0.clone() });
            }
            if !wished.bases.insert(base) {
                return Err(PairError::PinnedTwice { side: Side::Base, id: names.1.clone() });
            }
            wished.pinned.push((lid, base));
        }
        Ok(wished)
    }

    fn leaves(&self, pair: &Weighed) -> bool {
        !self.lids.contains(&pair.lid) && !self.bases.contains(&pair.base) && !self.forbidden.contains(&(pair.lid, pair.base))
    }
}

#[cfg(test)]
mod tests;
