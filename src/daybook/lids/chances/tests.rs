#![expect(clippy::indexing_slicing, reason = "tests")]

use super::*;
use proptest::prelude::*;
use std::collections::BTreeSet;

/// Every sorting, one after the other: a second route.
fn by_hand(lids: usize, bases: usize, edges: &[(usize, usize, f64)]) -> (f64, Vec<f64>) {
    fn go(
        at: usize,
        edges: &[(usize, usize, f64)],
        lids: &mut [bool],
        bases: &mut [bool],
        taken: &mut Vec<usize>,
        product: f64,
        sums: &mut [f64],
    ) -> f64 {
        let Some(&(lid, base, ln)) = edges.get(at) else {
            for &edge in taken.iter() {
                sums[edge] += product;
            }
            return product;
        };
        let mut all = go(at + 1, edges, lids, bases, taken, product, sums);
        if !lids[lid] && !bases[base] {
            (lids[lid], bases[base]) = (true, true);
            taken.push(at);
            all += go(at + 1, edges, lids, bases, taken, product * ln.exp(), sums);
            taken.pop();
            (lids[lid], bases[base]) = (false, false);
        }
        all
    }
    let mut sums = vec![0.0; edges.len()];
    let all = go(0, edges, &mut vec![false; lids], &mut vec![false; bases], &mut Vec::new(), 1.0, &mut sums);
    (all, sums.into_iter().map(|sum| sum / all).collect())
}

fn shape_of<'e>(lids: usize, bases: usize, edges: &'e [(usize, usize)], weights: &'e [f64]) -> Shape<'e> {
    Shape { lids, bases, edges, weights }
}

fn from_unsaid(shape: &Shape<'_>, rest: f64) -> (Vec<f64>, bool) {
    let roads = Roads::new(shape.lids, shape.bases, shape.edges);
    roads.spread(shape.weights, rest, &mut roads.unsaid())
}

#[test]
fn two_alike_share_one_base() {
    // Two lids of weight 3 for one base: 1 + 3 + 3 sortings.
    let found = chances(2, 1, &[(0, 0, 3f64.ln()), (1, 0, 3f64.ln())]);
    assert!((found.pairs[0] - 3.0 / 7.0).abs() < 1e-12 && (found.pairs[1] - 3.0 / 7.0).abs() < 1e-12, "{found:?}");
    assert!((found.lids_alone[0] - 4.0 / 7.0).abs() < 1e-12 && (found.bases_alone[0] - 1.0 / 7.0).abs() < 1e-12, "{found:?}");
    assert_eq!(found.reckoned, Reckoned { exact: 2, approximate: 0, unsettled: 0 });
}

#[test]
fn nothing_to_reckon_is_no_trouble() {
    let found = chances(2, 1, &[]);
    assert_eq!((found.pairs.len(), found.lids_alone, found.bases_alone), (0, vec![1.0, 1.0], vec![1.0]));
    let found = chances(1, 1, &[(0, 0, f64::NAN)]);
    assert_eq!(found.pairs, [0.0]);
    let found = chances(1, 1, &[(0, 0, f64::INFINITY)]);
    assert!(found.pairs[0] > 0.999_999 && found.pairs[0].is_finite());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn exact_is_what_every_sorting_adds_up_to(
        lids in 1usize..5, bases in 1usize..5,
        ln in prop::collection::vec(prop::option::of(-6.0f64..8.0), 16),
    ) {
        let edges: Vec<(usize, usize, f64)> = (0..lids).flat_map(|l| (0..bases).map(move |b| (l, b)))
            .filter_map(|(l, b)| ln[l * 4 + b].map(|ln| (l, b, ln))).collect();
        let (_, expected) = by_hand(lids, bases, &edges);
        let found = chances(lids, bases, &edges);
        for (a, b) in found.pairs.iter().zip(&expected) {
            prop_assert!((a - b).abs() < 1e-9, "{found:?} {expected:?}");
        }
        prop_assert_eq!(found.reckoned.approximate, 0);
    }

    #[test]
    fn belief_propagation_is_exact_on_trees_and_close_elsewhere(
        lids in 2usize..7, bases in 2usize..7,
        ln in prop::collection::vec(prop::option::of(-4.0f64..6.0), 36),
    ) {
        let edges: Vec<(usize, usize)> = (0..lids).flat_map(|l| (0..bases).map(move |b| (l, b))).filter(|(l, b)| ln[l * 6 + b].is_some()).collect();
        let weights: Vec<f64> = edges.iter().filter_map(|(l, b)| ln[l * 6 + b]).map(f64::exp).collect();
        let shape = shape_of(lids, bases, &edges, &weights);
        let right = exact(&shape).unwrap_or_default();
        let (near, still) = from_unsaid(&shape, 1e-9);
        prop_assert!(still);
        for (a, b) in right.iter().zip(&near) {
            prop_assert!((a - b).abs() < 0.25, "{a} {b}");
        }
        // A star is a tree.
        let star: Vec<(usize, usize)> = (0..bases).map(|b| (0, b)).chain((1..lids).map(|l| (l, 0))).collect();
        let weights: Vec<f64> = star.iter().enumerate().map(|(k, _)| ln[k].unwrap_or(0.0).exp()).collect();
        let shape = shape_of(lids, bases, &star, &weights);
        for (a, b) in exact(&shape).unwrap_or_default().iter().zip(&from_unsaid(&shape, 1e-9).0) {
            prop_assert!((a - b).abs() < 1e-7, "{a} {b}");
        }
    }
}

/// One message after the other in the order of the edges: the plain way.
fn spread_plainly(shape: &Shape<'_>, rest: f64) -> Vec<f64> {
    let (mut to_base, mut to_lid) = (vec![1.0; shape.edges.len()], vec![1.0; shape.edges.len()]);
    let say = |by_lids: bool, heard: &[f64], said: &mut [f64]| {
        let sender = |edge: usize| if by_lids { shape.edges[edge].0 } else { shape.edges[edge].1 };
        let mut sums = vec![0.0; shape.lids.max(shape.bases)];
        (0..heard.len()).for_each(|edge| sums[sender(edge)] += shape.weights[edge] * heard[edge]);
        let mut largest: f64 = 0.0;
        for edge in 0..heard.len() {
            let new = 1.0 / (1.0 + f64::max(sums[sender(edge)] - shape.weights[edge] * heard[edge], 0.0));
            largest = largest.max(f64::abs(new - said[edge]));
            said[edge] = new;
        }
        largest
    };
    for _ in 0..2000 {
        let a = say(true, &to_lid, &mut to_base);
        if a.max(say(false, &to_base, &mut to_lid)) < rest {
            break;
        }
    }
    let odds = |edge: usize| shape.weights[edge] * to_base[edge] * to_lid[edge];
    (0..shape.edges.len()).map(|edge| odds(edge) / (1.0 + odds(edge))).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn roads_lead_to_the_same_bits_as_the_plain_way(
        lids in 1usize..60, bases in 1usize..60, every in 1usize..5, ln in prop::collection::vec(-6.0f64..9.0, 3600),
    ) {
        // Edges in no order of their own.
        let edges: Vec<(usize, usize)> = (0..lids * bases).map(|n| n * 7919 % (lids * bases)).filter(|n| n % every == 0)
            .map(|n| (n / bases, n % bases)).collect::<BTreeSet<_>>().into_iter().rev().collect();
        let weights: Vec<f64> = ln.iter().take(edges.len()).map(|ln| ln.exp()).collect();
        let shape = shape_of(lids, bases, &edges, &weights);
        for rest in [1e-3, 1e-9] {
            prop_assert_eq!(from_unsaid(&shape, rest).0, spread_plainly(&shape, rest));
        }
        // Where other weights have left the messages they come to rest at the same place.
        let roads = Roads::new(lids, bases, &edges);
        let mut messages = roads.unsaid();
        let others: Vec<f64> = weights.iter().rev().copied().collect();
        roads.spread(&others, 1e-3, &mut messages);
        let (again, still) = roads.spread(&weights, 1e-9, &mut messages);
        prop_assert!(still);
        for (a, b) in again.iter().zip(&from_unsaid(&shape, 1e-9).0) {
            prop_assert!((a - b).abs() < 1e-6, "{} {}", a, b);
        }
    }
}

#[test]
fn blocks_on_several_cores_give_the_same_bits_too() {
    // Large enough for several blocks.
    let (lids, bases) = (260, 240);
    let edges: Vec<(usize, usize)> = (0..lids).flat_map(|lid| (0..bases).map(move |base| (lid, base))).collect();
    let weights: Vec<f64> =
        edges.iter().map(|(lid, base)| f64::from(u32::try_from(lid * 31 + base * 17).unwrap_or(0) % 97) * 0.01).collect();
    let shape = shape_of(lids, bases, &edges, &weights);
    assert_eq!(from_unsaid(&shape, 1e-9).0, spread_plainly(&shape, 1e-9));
}
