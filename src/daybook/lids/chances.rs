//! How probable each pair is, summed over all sortings.
//!
//! A sorting's probability is in proportion to the product of the weights of its pairs (a monomer–dimer model: Heilmann and Lieb, Communications in
//! Mathematical Physics 25, 1972, 190–232). The lids and bases that hang together are reckoned by themselves: small sets exactly, by running over the
//! subsets of the smaller side; large ones by belief propagation, in which each lid tells each base how free it is in that base's absence, and back,
//! until nothing changes. On trees that is exact; elsewhere it is close (a test holds how close).

use super::roads::{Messages, Roads};
use std::collections::BTreeMap;

/// Sets are reckoned exactly up to so many steps: lids or bases of the larger side times subsets of the smaller one times its size.
const EXACT_STEPS: u128 = 400_000;
/// The most of the smaller side that is reckoned exactly.
const EXACT_SIDE: usize = 14;
/// Beyond this a pair is as good as certain beside being alone.
const MOST_LN: f64 = 25.0;

/// Probabilities of a sorting.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Chances {
    /// For each edge, in the order given: the probability that the two are a pair.
    pub pairs: Vec<f64>,
    /// For each lid: the probability that it has no base here.
    pub lids_alone: Vec<f64>,
    /// For each base: the probability that it has no lid here.
    pub bases_alone: Vec<f64>,
    /// How they were reckoned.
    pub reckoned: Reckoned,
}

/// How probabilities were reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Reckoned {
    /// Pairs whose probability is exact.
    pub exact: usize,
    /// Pairs whose probability is approximate (belief propagation).
    pub approximate: usize,
    /// Pairs of sets in which belief propagation had not come to rest.
    pub unsettled: usize,
}

/// Lids and bases that hang together by edges.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Component {
    /// Ascending.
    pub(super) lids: Vec<usize>,
    /// Ascending.
    pub(super) bases: Vec<usize>,
    /// In the order given.
    pub(super) edges: Vec<(usize, usize, f64)>,
    /// Their numbers among all edges.
    pub(super) numbers: Vec<usize>,
}

/// The probabilities of all pairs. `edges` are lid, base and the natural logarithm of the weight; a pair that is not named is impossible. At most
/// one edge for each lid and base.
pub fn chances(lids: usize, bases: usize, edges: &[(usize, usize, f64)]) -> Chances {
    let weights: Vec<f64> = edges.iter().map(|(_, _, ln)| ln.exp()).collect();
    let web = Web::new(lids, bases, edges);
    web.chances(&weights, Care::Fine, &mut web.unsaid())
}

/// How carefully probabilities are reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Care {
    /// Belief propagation alone, to a thousandth: for sums over many pairs.
    Rough,
    /// Exactly where that is possible, else until belief propagation rests.
    Fine,
}

impl Care {
    /// Belief propagation ends where no message moves by more.
    const fn still(self) -> f64 {
        match self {
            Self::Rough => 1e-3,
            Self::Fine => 1e-9,
        }
    }
}

/// Which lids and bases hang together, and the roads between them: found out once, however often the edges are weighed anew.
#[derive(Debug)]
pub(super) struct Web {
    lids: usize,
    bases: usize,
    edges: usize,
    sets: Vec<Set>,
}

#[derive(Debug)]
struct Set {
    component: Component,
    /// The component's edges, its lids and bases counted from 0.
    edges: Vec<(usize, usize)>,
    roads: Roads,
}

impl Web {
    /// The logarithms of the edges are not looked at.
    pub(super) fn new(lids: usize, bases: usize, edges: &[(usize, usize, f64)]) -> Self {
        let mut places = (vec![0; lids], vec![0; bases]);
        let sets = components(lids, bases, edges).into_iter().map(|component| {
            for (places, own) in [(&mut places.0, &component.lids), (&mut places.1, &component.bases)] {
                for (place, at) in own.iter().enumerate() {
                    if let Some(known) = places.get_mut(*at) {
                        *known = place;
                    }
                }
            }
            let place = |places: &[usize], at: usize| places.get(at).copied().unwrap_or(0);
            let edges: Vec<(usize, usize)> =
                component.edges.iter().map(|&(lid, base, _)| (place(&places.0, lid), place(&places.1, base))).collect();
            let roads = Roads::new(component.lids.len(), component.bases.len(), &edges);
            Set { component, edges, roads }
        });
        Self { lids, bases, edges: edges.len(), sets: sets.collect() }
    }

    /// Messages of all sets as they begin.
    pub(super) fn unsaid(&self) -> Vec<Messages> {
        self.sets.iter().map(|set| set.roads.unsaid()).collect()
    }

    /// The probabilities of all pairs, by the weights of the edges in their order; one that is no number counts for nothing. Messages begin where they were left, which is
    /// near where they rest if the weights have changed but little.
    pub(super) fn chances(&self, weights: &[f64], care: Care, messages: &mut [Messages]) -> Chances {
        let mut all = Chances {
            pairs: vec![0.0; self.edges],
            lids_alone: vec![1.0; self.lids],
            bases_alone: vec![1.0; self.bases],
            reckoned: Reckoned::default(),
        };
        let most = MOST_LN.exp();
        for (Set { component, edges, roads }, messages) in self.sets.iter().zip(messages) {
            let weight = |number: &usize| weights.get(*number).copied().filter(|weight| !weight.is_nan()).unwrap_or(0.0);
            let weights: Vec<f64> = component.numbers.iter().map(|number| weight(number).min(most)).collect();
            let shape = Shape { lids: component.lids.len(), bases: component.bases.len(), edges, weights: &weights };
            let exactly = if care == Care::Fine { exact(&shape) } else { None };
            let found = if let Some(found) = exactly {
                all.reckoned.exact += edges.len();
                found
            } else {
                let (found, still) = roads.spread(&weights, care.still(), messages);
                all.reckoned.approximate += edges.len();
                all.reckoned.unsettled += if still { 0 } else { edges.len() };
                found
            };
            for ((&number, &(lid, base, _)), p) in component.numbers.iter().zip(&component.edges).zip(found) {
                if let Some(at) = all.pairs.get_mut(number) {
                    *at = p;
                }
                for alone in [all.lids_alone.get_mut(lid), all.bases_alone.get_mut(base)].into_iter().flatten() {
                    *alone = (*alone - p).max(0.0);
                }
            }
        }
        all
    }
}

/// The sets that hang together, by their first lid. Lids and bases without an edge are in none.
pub(super) fn components(lids: usize, bases: usize, edges: &[(usize, usize, f64)]) -> Vec<Component> {
    let mut parents: Vec<usize> = (0..lids + bases).collect();
    let sound = |&&(lid, base, _): &&(usize, usize, f64)| lid < lids && base < bases;
    for &(lid, base, _) in edges.iter().filter(sound) {
        let (a, b) = (root(&mut parents, lid), root(&mut parents, lids + base));
        // The smaller number stays above, so that sets come in the order of their first lid.
        if let Some(own) = parents.get_mut(a.max(b)) {
            *own = a.min(b);
        }
    }
    let mut found: BTreeMap<usize, Component> = BTreeMap::new();
    for (number, &(lid, base, ln)) in edges.iter().enumerate().filter(|(_, edge)| sound(edge)) {
        let component = found.entry(root(&mut parents, lid)).or_default();
        component.lids.push(lid);
        component.bases.push(base);
        component.edges.push((lid, base, ln));
        component.numbers.push(number);
    }
    for component in found.values_mut() {
        for side in [&mut component.lids, &mut component.bases] {
            side.sort_unstable();
            side.dedup();
        }
    }
    found.into_values().collect()
}

/// The uppermost of a set, with the way there made shorter.
fn root(parents: &mut [usize], mut at: usize) -> usize {
    while let Some(&up) = parents.get(at) {
        if up == at {
            break;
        }
        let above = parents.get(up).copied().unwrap_or(up);
        if let Some(own) = parents.get_mut(at) {
            *own = above;
        }
        at = above;
    }
    at
}

/// A set that hangs together, its lids and bases counted from 0.
struct Shape<'e> {
    lids: usize,
    bases: usize,
    edges: &'e [(usize, usize)],
    weights: &'e [f64],
}

/// The probability of each edge, exactly; none where that would take too long.
///
/// The members of the larger side are gone through one after the other. `ahead[k][set]` is the sum of the products of all ways in which the first k
/// of them take exactly the members in `set`; `behind[k]` the same of the others, for what is still free.
fn exact(shape: &Shape<'_>) -> Option<Vec<f64>> {
    let turned = shape.lids < shape.bases;
    let (long, short) = if turned { (shape.bases, shape.lids) } else { (shape.lids, shape.bases) };
    let steps = (long as u128 * short as u128).checked_shl(u32::try_from(short).ok()?)?;
    if short > EXACT_SIDE || steps > EXACT_STEPS {
        return None;
    }
    let sets = 1usize << short;
    let mut of_long: Vec<Vec<(usize, f64)>> = vec![Vec::new(); long];
    for (&(lid, base), &weight) in shape.edges.iter().zip(shape.weights) {
        let (l, s) = if turned { (base, lid) } else { (lid, base) };
        of_long.get_mut(l)?.push((s, weight));
    }
    let mut ahead = vec![vec![0.0; sets]; long + 1];
    *ahead.first_mut()?.first_mut()? = 1.0;
    for (k, takes) in of_long.iter().enumerate() {
        let (before, after) = ahead.split_at_mut(k + 1);
        step(before.last()?, after.first_mut()?, takes);
    }
    // Members that those from k on take, of the ones that are free: the same run from the other end.
    let mut behind = vec![vec![0.0; sets]; long + 1];
    *behind.last_mut()?.first_mut()? = 1.0;
    for (k, takes) in of_long.iter().enumerate().rev() {
        let (before, after) = behind.split_at_mut(k + 1);
        step(after.first()?, before.last_mut()?, takes);
    }
    let all: f64 = ahead.last()?.iter().sum();
    let mut found = Vec::with_capacity(shape.edges.len());
    // behind[k + 1] summed over the subsets of a set, so that 'what is free' is one look-up.
    let below: Vec<Vec<f64>> = behind.into_iter().map(|sums| summed_over_subsets(sums, short)).collect();
    for (&(lid, base), &weight) in shape.edges.iter().zip(shape.weights) {
        let (l, s) = if turned { (base, lid) } else { (lid, base) };
        let (ahead, below) = (ahead.get(l)?, below.get(l + 1)?);
        let bit = 1usize << s;
        let rest = |set: usize| (sets - 1) & !(set | bit);
        let sum: f64 = ahead
            .iter()
            .enumerate()
            .filter(|(set, _)| set & bit == 0)
            .map(|(set, a)| a * below.get(rest(set)).copied().unwrap_or(0.0))
            .sum();
        found.push((weight * sum / all).clamp(0.0, 1.0));
    }
    Some(found)
}

/// One member more: it takes none, or one that is free.
fn step(from: &[f64], to: &mut [f64], takes: &[(usize, f64)]) {
    to.copy_from_slice(from);
    for &(s, weight) in takes {
        let bit = 1usize << s;
        for (set, &sum) in from.iter().enumerate() {
            if set & bit == 0
                && let Some(to) = to.get_mut(set | bit)
            {
                *to += weight * sum;
            }
        }
    }
}

fn summed_over_subsets(mut sums: Vec<f64>, members: usize) -> Vec<f64> {
    for s in 0..members {
        let bit = 1usize << s;
        for set in 0..sums.len() {
            if set & bit != 0 {
                let below = sums.get(set ^ bit).copied().unwrap_or(0.0);
                if let Some(sum) = sums.get_mut(set) {
                    *sum += below;
                }
            }
        }
    }
    sums
}

#[cfg(test)]
mod tests;
