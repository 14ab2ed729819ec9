//! The most probable sorting: an optimal assignment in which anything may be left alone.

use super::augment::greatest_sum;
use super::chances::components;
use pathfinding::prelude::{Matrix, kuhn_munkres};

/// Weights are kept as whole numbers of this part of one while they are assigned, so that sums are exact and ties break the same everywhere.
const STEP: f64 = 1e-6;
/// So large a logarithm is as good as certain; sums of thousands of them stay far inside the whole numbers.
const MOST_LN: f64 = 1e6;

/// The pairs of the sorting with the greatest sum of weights, by lid. `edges` are lid, base and the natural logarithm of the pair's weight against
/// leaving both alone; a pair of 0 or less is never taken, and neither is one that is not named. At most one edge for each lid and base.
///
/// Pairs that no other can better are taken first. Of what is left, each set of lids and bases that hang together is solved by itself: a small one by
/// Kuhn–Munkres on all its cells, `O(n³)` of its size; a larger one by its edges alone.
pub fn most_probable(lids: usize, bases: usize, edges: &[(usize, usize, f64)]) -> Vec<(usize, usize)> {
    let mut gains: Vec<(usize, usize, f64)> = edges
        .iter()
        .copied()
        .filter(|&(lid, base, ln)| lid < lids && base < bases && ln > 0.0)
        .map(|(lid, base, ln)| (lid, base, ln.min(MOST_LN)))
        .collect();
    let mut pairs = Vec::new();
    while settle(lids, bases, &mut gains, &mut pairs) {}
    for component in components(lids, bases, &gains) {
        match component.edges.as_slice() {
            [only] => pairs.push((only.0, only.1)),
            several => pairs.extend(solve(&component.lids, &component.bases, several)),
        }
    }
    pairs.sort_unstable();
    pairs
}

/// Takes the pairs that gain at least as much as the best others of both halves together: a sorting without one can be bettered by putting it in the place
/// of whatever its halves are in. Then neither half is free for others. False where there was none.
fn settle(lids: usize, bases: usize, gains: &mut Vec<(usize, usize, f64)>, pairs: &mut Vec<(usize, usize)>) -> bool {
    let mut best_of_lids = vec![Best::default(); lids];
    let mut best_of_bases = vec![Best::default(); bases];
    for &(lid, base, ln) in gains.iter() {
        if let (Some(of_lid), Some(of_base)) = (best_of_lids.get_mut(lid), best_of_bases.get_mut(base)) {
            of_lid.see(base, ln);
            of_base.see(lid, ln);
        }
    }
    let mut free_lids = vec![true; lids];
    let mut free_bases = vec![true; bases];
    let before = pairs.len();
    for &(lid, base, ln) in gains.iter() {
        let (Some(of_lid), Some(of_base), Some(lid_free), Some(base_free)) =
            (best_of_lids.get(lid), best_of_bases.get(base), free_lids.get_mut(lid), free_bases.get_mut(base))
        else {
            continue;
        };
        if *lid_free && *base_free && of_lid.first.0 == base && of_base.first.0 == lid && ln >= of_lid.second + of_base.second {
            pairs.push((lid, base));
            (*lid_free, *base_free) = (false, false);
        }
    }
    let free = |side: &[bool], at: usize| side.get(at).copied().unwrap_or(false);
    gains.retain(|&(lid, base, _)| free(&free_lids, lid) && free(&free_bases, base));
    pairs.len() > before
}

/// The best pair of a half and what the second best gains.
#[derive(Debug, Clone, Copy, Default)]
struct Best {
    first: (usize, f64),
    second: f64,
}

impl Best {
    fn see(&mut self, other: usize, ln: f64) {
        if ln > self.first.1 {
            self.second = self.first.1;
            self.first = (other, ln);
        } else {
            self.second = self.second.max(ln);
        }
    }
}

/// Above this many cells a set in which most cannot meet is solved by [`greatest_sum`]. A choice of this program.
const FEW_CELLS: usize = 400;

fn solve(lids: &[usize], bases: &[usize], edges: &[(usize, usize, f64)]) -> Vec<(usize, usize)> {
    let cells = lids.len() * bases.len();
    if cells > FEW_CELLS { solve_by_edges(lids, bases, edges) } else { solve_by_cells(lids, bases, edges) }
}

/// By the edges there are: for large sets, in which most cannot meet.
fn solve_by_edges(lids: &[usize], bases: &[usize], edges: &[(usize, usize, f64)]) -> Vec<(usize, usize)> {
    let turned = lids.len() > bases.len();
    let (rows, columns) = if turned { (bases, lids) } else { (lids, bases) };
    let mut gains: Vec<Vec<(usize, i64)>> = vec![Vec::new(); rows.len()];
    for &(lid, base, ln) in edges {
        let (row, column) = if turned { (base, lid) } else { (lid, base) };
        if let (Ok(row), Ok(column)) = (rows.binary_search(&row), columns.binary_search(&column))
            && let Some(gains) = gains.get_mut(row)
        {
            gains.push((column, whole(ln)));
        }
    }
    let taken = greatest_sum(&gains, columns.len());
    let paired = rows.iter().zip(taken).filter_map(|(&row, column)| {
        let column = *columns.get(column?)?;
        Some(if turned { (column, row) } else { (row, column) })
    });
    paired.collect()
}

/// By every cell of a matrix (Kuhn–Munkres): for small sets.
fn solve_by_cells(lids: &[usize], bases: &[usize], edges: &[(usize, usize, f64)]) -> Vec<(usize, usize)> {
    // The solver wants at least as many columns as rows.
    let turned = lids.len() > bases.len();
    let (rows, columns) = if turned { (bases, lids) } else { (lids, bases) };
    let mut gain = Matrix::new(rows.len(), columns.len(), 0i64);
    for &(lid, base, ln) in edges {
        let (row, column) = if turned { (base, lid) } else { (lid, base) };
        if let (Ok(row), Ok(column)) = (rows.binary_search(&row), columns.binary_search(&column))
            && let Some(cell) = gain.get_mut((row, column))
        {
            *cell = whole(ln);
        }
    }
    let (_, taken) = kuhn_munkres(&gain);
    let paired = rows.iter().zip(taken).enumerate().filter_map(|(at, (&row, column))| {
        let gains = gain.get((at, column)).is_some_and(|&cell| cell > 0);
        let column = *columns.get(column)?;
        gains.then_some(if turned { (column, row) } else { (row, column) })
    });
    paired.collect()
}

#[expect(clippy::cast_possible_truncation, reason = "at most a million millions")]
fn whole(ln: f64) -> i64 {
    ((ln / STEP).round() as i64).max(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_best_sum_wins_over_the_best_pair() {
        assert_eq!(most_probable(2, 2, &[(0, 0, 5.0), (0, 1, 4.0), (1, 0, 4.0)]), [(0, 1), (1, 0)]);
        assert_eq!(most_probable(2, 2, &[(0, 0, 9.0), (0, 1, 4.0), (1, 0, 4.0)]), [(0, 0)]);
    }

    #[test]
    fn pairs_that_none_can_better_are_taken_first_and_the_sum_stays_the_best() {
        use rand::{Rng as _, SeedableRng as _};
        let mut dice = rand_chacha::ChaCha8Rng::seed_from_u64(3);
        for _ in 0..200 {
            let (lids, bases) = (dice.random_range(1..7), dice.random_range(1..7));
            let mut edges: Vec<(usize, usize, f64)> = Vec::new();
            for (lid, base) in (0..lids).flat_map(|lid| (0..bases).map(move |base| (lid, base))) {
                if dice.random_bool(0.6) {
                    edges.push((lid, base, f64::from(dice.random_range(-20i32..60)) / 4.0));
                }
            }
            let ln = |&(lid, base): &(usize, usize)| edges.iter().find(|e| (e.0, e.1) == (lid, base)).map_or(0.0, |e| e.2);
            let found: f64 = most_probable(lids, bases, &edges).iter().map(ln).sum();
            let whole = solve_by_cells(&(0..lids).collect::<Vec<_>>(), &(0..bases).collect::<Vec<_>>(), &gains_of(&edges));
            assert!((found - whole.iter().map(ln).sum::<f64>()).abs() < 1e-9, "{edges:?}");
        }
    }

    #[test]
    fn edges_alone_give_the_sum_that_all_cells_give() {
        use rand::{Rng as _, SeedableRng as _};
        let mut dice = rand_chacha::ChaCha8Rng::seed_from_u64(19);
        for round in 0..150 {
            let (lids, bases) = (dice.random_range(1..30), dice.random_range(1..30));
            let (meets, steps) = (dice.random_range(0.05..1.0), dice.random_range(1..400));
            let mut edges: Vec<(usize, usize, f64)> = Vec::new();
            for (lid, base) in (0..lids).flat_map(|lid| (0..bases).map(move |base| (lid, base))) {
                if dice.random_bool(meets) {
                    // Few steps make many that are alike.
                    edges.push((lid, base, f64::from(dice.random_range(1..=steps)) / 8.0));
                }
            }
            let ln = |&(lid, base): &(usize, usize)| edges.iter().find(|e| (e.0, e.1) == (lid, base)).map_or(f64::NAN, |e| e.2);
            let (all_lids, all_bases): (Vec<usize>, Vec<usize>) = ((0..lids).collect(), (0..bases).collect());
            let by_edges = solve_by_edges(&all_lids, &all_bases, &edges);
            let by_cells = solve_by_cells(&all_lids, &all_bases, &edges);
            let sum = |pairs: &[(usize, usize)]| pairs.iter().map(ln).sum::<f64>();
            assert!((sum(&by_edges) - sum(&by_cells)).abs() < 1e-6, "round {round}: {by_edges:?} {by_cells:?} {edges:?}");
            let once = |side: fn(&(usize, usize)) -> usize| by_edges.iter().map(side).collect::<std::collections::BTreeSet<_>>().len();
            assert_eq!((once(|p| p.0), once(|p| p.1)), (by_edges.len(), by_edges.len()), "nothing is taken twice");
        }
    }

    fn gains_of(edges: &[(usize, usize, f64)]) -> Vec<(usize, usize, f64)> {
        edges.iter().copied().filter(|edge| edge.2 > 0.0).collect()
    }

    #[test]
    fn what_gains_nothing_stays_alone() {
        assert_eq!(most_probable(2, 3, &[(0, 0, -1.0), (1, 2, 0.0)]), []);
        assert_eq!(most_probable(3, 1, &[(0, 0, 1.0), (1, 0, 2.0), (2, 0, 1.5)]), [(1, 0)]);
        assert_eq!(most_probable(0, 0, &[]), []);
        assert_eq!(most_probable(1, 1, &[(0, 0, f64::INFINITY)]), [(0, 0)]);
        assert_eq!(most_probable(1, 1, &[(0, 0, f64::NAN), (4, 0, 1.0)]), []);
    }
}
