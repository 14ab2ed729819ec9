//! How probable each pair is, summed over all sortings.
//!
//! A sorting's probability is in proportion to the product of the weights of its pairs (a monomer–dimer model: Heilmann and Lieb, Communications in
//! Mathematical Physics 25, 1972, 190–232). The lids and bases that hang together are reckoned by themselves: small sets exactly, by running over the
//! subsets of the smaller side; large ones by belief propagation, in which each lid tells each base how free it is in that base's absence, and back,
//! until nothing changes. On trees that is exact; elsewhere it is close (a test holds how close).

use std::collections::BTreeMap;

/// Sets are reckoned exactly up to so many steps: lids or bases of the larger side times subsets of the smaller one times its size.
const EXACT_STEPS: u128 = 400_000;
/// The most of the smaller side that is reckoned exactly.
const EXACT_SIDE: usize = 14;
/// Beyond this a pair is as good as certain beside being alone.
const MOST_LN: f64 = 25.0;
/// It ends after so many rounds in any case.
const ROUNDS: usize = 2000;

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
    chances_with(lids, bases, edges, Care::Fine)
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

/// [`chances`], as carefully as is asked.
pub(super) fn chances_with(lids: usize, bases: usize, edges: &[(usize, usize, f64)], care: Care) -> Chances {
    let mut all = Chances {
        pairs: vec![0.0; edges.len()],
        lids_alone: vec![1.0; lids],
        bases_alone: vec![1.0; bases],
        reckoned: Reckoned::default(),
    };
    for component in components(lids, bases, edges) {
        let weights: Vec<f64> = component.edges.iter().map(|&(_, _, ln)| if ln.is_nan() { 0.0 } else { ln.min(MOST_LN).exp() }).collect();
        let edges: Vec<(usize, usize)> = component
            .edges
            .iter()
            .map(|(lid, base, _)| (component.lids.partition_point(|x| x < lid), component.bases.partition_point(|x| x < base)))
            .collect();
        let shape = Shape { lids: component.lids.len(), bases: component.bases.len(), edges: &edges, weights: &weights };
        let exactly = if care == Care::Fine { exact(&shape) } else { None };
        let found = if let Some(found) = exactly {
            all.reckoned.exact += edges.len();
            found
        } else {
            let (found, still) = spread(&shape, care.still());
            all.reckoned.approximate += edges.len();
            all.reckoned.unsettled += if still { 0 } else { edges.len() };
            found
        };
        for ((&number, &(lid, base, _)), p) in component.numbers.iter().zip(&component.edges).zip(found) {
            let put = |at: Option<&mut f64>, x: f64| {
                if let Some(at) = at {
                    *at = x;
                }
            };
            put(all.pairs.get_mut(number), p);
            for alone in [all.lids_alone.get_mut(lid), all.bases_alone.get_mut(base)].into_iter().flatten() {
                *alone = (*alone - p).max(0.0);
            }
        }
    }
    all
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

/// The probability of each edge by belief propagation, and whether it came to rest.
///
/// `m(i→j) = 1 / (1 + Σ over k ≠ j of w(i,k) m(k→i))` is the probability that i is free where j is taken away; the edge's probability is
/// `w m(i→j) m(j→i) / (1 + w m(i→j) m(j→i))`. The two sides speak in turn: then messages only ever fall, and come to rest (each side's are a
/// falling function of the other's).
fn spread(shape: &Shape<'_>, rest: f64) -> (Vec<f64>, bool) {
    let mut to_base = vec![1.0; shape.edges.len()];
    let mut to_lid = vec![1.0; shape.edges.len()];
    let mut still = false;
    for _ in 0..ROUNDS {
        let a = round(shape, Toward::Bases, &to_lid, &mut to_base);
        let b = round(shape, Toward::Lids, &to_base, &mut to_lid);
        if a.max(b) < rest {
            still = true;
            break;
        }
    }
    let found = shape.weights.iter().zip(to_base.iter().zip(&to_lid)).map(|(w, (a, b))| {
        let odds = w * a * b;
        odds / (1.0 + odds)
    });
    (found.collect(), still)
}

#[derive(Clone, Copy, PartialEq)]
enum Toward {
    Lids,
    Bases,
}

/// New messages toward one side from those that the other side sent. Gives the largest move.
fn round(shape: &Shape<'_>, toward: Toward, heard: &[f64], said: &mut [f64]) -> f64 {
    let senders = if toward == Toward::Bases { shape.lids } else { shape.bases };
    let sender = |&(lid, base): &(usize, usize)| if toward == Toward::Bases { lid } else { base };
    let mut sums = vec![0.0; senders];
    for ((edge, weight), heard) in shape.edges.iter().zip(shape.weights).zip(heard) {
        if let Some(sum) = sums.get_mut(sender(edge)) {
            *sum += weight * heard;
        }
    }
    let mut largest: f64 = 0.0;
    for (((edge, weight), heard), said) in shape.edges.iter().zip(shape.weights).zip(heard).zip(said) {
        let sum: f64 = sums.get(sender(edge)).copied().unwrap_or(0.0);
        let new = 1.0 / (1.0 + (sum - weight * heard).max(0.0));
        largest = largest.max((new - *said).abs());
        *said = new;
    }
    largest
}

#[cfg(test)]
mod tests;
