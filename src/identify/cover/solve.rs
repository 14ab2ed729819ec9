//! The cheapest columns that hit every row: reductions, a first answer, and rows taken in only where they are needed.
//!
//! A row that has all the columns of another asks for nothing more and is left out. Of very many rows only the hardest (those with the
//! fewest columns) go into the search; an answer that leaves others unhit brings those in and the search is run again. Each such search is a
//! relaxation, so its bound holds for the whole.

use super::search::{Level, Search, has, ones};
use std::ops::ControlFlow;

/// A cost in two levels: the second decides only among what is equal by the first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(super) struct Cost {
    pub(super) first: u64,
    pub(super) second: u64,
}

/// It was broken off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Stop;

/// A table of rows that each must be hit by a chosen column.
#[derive(Debug, Clone, Default)]
pub(super) struct Table {
    /// The cost of each column.
    pub(super) costs: Vec<Cost>,
    /// The columns that hit each row, [`Self::words`] machine words a row. No row is empty.
    pub(super) rows: Vec<u64>,
}

/// The columns found.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Solved {
    /// Rising.
    pub(super) chosen: Vec<usize>,
    /// No answer costs less than this by the first level.
    pub(super) bound: u64,
}

/// Most rows of the first search, and most that are brought in after each.
const FIRST_ROWS: usize = 1536;
const MORE_ROWS: usize = 256;
/// A row is compared with at most so many others to see whether it asks for anything new.
const COMPARED: usize = 1536;

impl Table {
    pub(super) fn words(&self) -> usize {
        self.costs.len().div_ceil(64).max(1)
    }

    fn cost(&self, chosen: &[usize]) -> Cost {
        chosen
            .iter()
            .filter_map(|&c| self.costs.get(c))
            .fold(Cost::default(), |sum, cost| Cost { first: sum.first + cost.first, second: sum.second + cost.second })
    }
}

/// The cheapest columns, proven so within `nodes` nodes of the search, or else the best found and how much less there may be.
///
/// # Errors
/// Where `watch`, which is told now and then what share of the nodes is spent, breaks it off.
pub(super) fn solve(table: &Table, nodes: u64, watch: &mut dyn FnMut(f64) -> ControlFlow<()>) -> Result<Solved, Stop> {
    let words = table.words();
    let mut rows: Vec<&[u64]> = table.rows.chunks_exact(words).filter(|row| row.iter().any(|&w| w != 0)).collect();
    rows.sort_unstable_by(|a, b| size(a).cmp(&size(b)).then(a.cmp(b)));
    rows.dedup();
    if rows.is_empty() {
        return Ok(Solved::default());
    }
    let mut best = without_needless(table, &rows, greedy(table, &rows, &[]));
    let mut active: Vec<&[u64]> = Vec::new();
    for row in &rows {
        if active.len() == FIRST_ROWS {
            break;
        }
        if !active.iter().take(COMPARED).any(|kept| contains(row, kept)) {
            active.push(row);
        }
    }
    let mut bound = 0;
    for (level, most) in [(Level::First, nodes), (Level::Second, nodes / 4)] {
        let mut left = most;
        loop {
            let flat: Vec<u64> = active.iter().flat_map(|row| row.iter().copied()).collect();
            let search = Search::new(&table.costs, flat, words, level, table.cost(&best), left);
            let searched = search.run(&mut |share| watch(share.min(1.0)))?;
            bound = bound.max(searched.bound);
            left = left.saturating_sub(searched.nodes);
            let Some(found) = searched.found else { break };
            let unhit: Vec<&[u64]> = rows.iter().copied().filter(|row| !hits(row, &found)).collect();
            let all = without_needless(table, &rows, greedy(table, &rows, &found));
            if table.cost(&all) < table.cost(&best) {
                best = all;
            }
            if unhit.is_empty() || !searched.complete || left == 0 {
                break;
            }
            active.extend(unhit.into_iter().take(MORE_ROWS));
        }
        if bound < table.cost(&best).first {
            break;
        }
    }
    bound = bound.min(table.cost(&best).first);
    Ok(Solved { chosen: best, bound })
}

/// Adds to what is chosen the column that hits most rows for its cost, until all are hit.
fn greedy(table: &Table, rows: &[&[u64]], chosen: &[usize]) -> Vec<usize> {
    let mut chosen = chosen.to_vec();
    let mut open: Vec<&[u64]> = rows.iter().copied().filter(|row| !hits(row, &chosen)).collect();
    while !open.is_empty() {
        let mut counts = vec![0_u64; table.costs.len()];
        for row in &open {
            for c in ones(row) {
                if let Some(n) = counts.get_mut(c) {
                    *n += 1;
                }
            }
        }
        let worth = |c: usize, n: u64| n as f64 / table.costs.get(c).map_or(1, |cost| cost.first.max(1)) as f64;
        let best = counts.iter().enumerate().filter(|(_, n)| **n > 0).map(|(c, &n)| (worth(c, n), c)).reduce(|best, next| {
            let closer = next.0 > best.0 || next.0 >= best.0 && table.costs.get(next.1) < table.costs.get(best.1);
            if closer { next } else { best }
        });
        let Some((_, column)) = best else { break };
        chosen.push(column);
        open.retain(|row| !has(row, column));
    }
    chosen
}

/// Leaves out, dearest first, the columns without which every row is hit too.
fn without_needless(table: &Table, rows: &[&[u64]], mut chosen: Vec<usize>) -> Vec<usize> {
    chosen.sort_by_key(|&c| (std::cmp::Reverse(table.costs.get(c).copied().unwrap_or_default()), std::cmp::Reverse(c)));
    let mut at = 0;
    while at < chosen.len() {
        let mut fewer = chosen.clone();
        fewer.remove(at);
        if rows.iter().all(|row| hits(row, &fewer)) {
            chosen = fewer;
        } else {
            at += 1;
        }
    }
    chosen.sort_unstable();
    chosen
}

fn hits(row: &[u64], chosen: &[usize]) -> bool {
    chosen.iter().any(|&c| has(row, c))
}

fn size(row: &[u64]) -> u32 {
    row.iter().map(|word| word.count_ones()).sum()
}

/// True where a row has every column of the other.
fn contains(row: &[u64], other: &[u64]) -> bool {
    row.iter().zip(other).all(|(row, other)| other & !row == 0)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]
    use super::*;
    use proptest::prelude::*;

    fn go(_: f64) -> ControlFlow<()> {
        ControlFlow::Continue(())
    }

    /// The least cost over every subset of the columns.
    fn exhaustive(table: &Table) -> Cost {
        let covers = |set: u64| table.rows.iter().all(|row| row & set != 0);
        let columns = |set: u64| (0..table.costs.len()).filter(|c| set >> c & 1 == 1).collect::<Vec<_>>();
        (0..1_u64 << table.costs.len()).filter(|&set| covers(set)).map(|set| table.cost(&columns(set))).min().unwrap()
    }

    fn tables() -> impl Strategy<Value = Table> {
        (1_usize..11).prop_flat_map(|columns| {
            let cost = (1_u64..5, 0_u64..5).prop_map(|(first, second)| Cost { first, second });
            let row = 1_u64..1 << columns;
            (prop::collection::vec(cost, columns), prop::collection::vec(row, 0..40)).prop_map(|(costs, rows)| Table { costs, rows })
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn no_subset_is_cheaper(table in tables()) {
            let solved = solve(&table, 1_000_000, &mut go).unwrap();
            prop_assert_eq!(table.cost(&solved.chosen), exhaustive(&table));
            prop_assert_eq!(solved.bound, table.cost(&solved.chosen).first);
            prop_assert!(table.rows.chunks_exact(1).all(|row| hits(row, &solved.chosen)));
        }

        #[test]
        fn out_of_nodes_the_bound_still_holds(table in tables(), nodes in 0_u64..6) {
            let solved = solve(&table, nodes, &mut go).unwrap();
            let least = exhaustive(&table).first;
            prop_assert!(solved.bound <= least && least <= table.cost(&solved.chosen).first, "{:?}, least {}", solved, least);
            prop_assert!(table.rows.chunks_exact(1).all(|row| hits(row, &solved.chosen)));
        }
    }

    #[test]
    fn columns_beyond_one_word_are_columns_too() {
        // Row n is hit by columns n and n + 1 of 200: every second column, one hundred, is the least.
        let words = 200_usize.div_ceil(64);
        let mut rows = vec![0_u64; 199 * words];
        for n in 0..199 {
            for c in [n, n + 1] {
                rows[n * words + c / 64] |= 1 << (c % 64);
            }
        }
        let table = Table { costs: vec![Cost { first: 1, second: 0 }; 200], rows };
        let solved = solve(&table, 100_000, &mut go).unwrap();
        assert_eq!((solved.chosen.len(), solved.bound), (100, 100));
    }

    #[test]
    fn more_rows_than_the_first_search_takes_are_all_hit() {
        // Every set of 3 out of 24 columns must be hit: all but two columns are needed.
        let rows: Vec<u64> = (0..24).flat_map(|a| (0..a).flat_map(move |b| (0..b).map(move |c| 1 << a | 1 << b | 1 << c))).collect();
        assert!(rows.len() > FIRST_ROWS, "{}", rows.len());
        let table = Table { costs: vec![Cost { first: 1, second: 0 }; 24], rows };
        let solved = solve(&table, 500, &mut go).unwrap();
        assert_eq!(solved.chosen.len(), 22);
        assert!(solved.bound <= 22 && solved.bound >= 8, "the bound is {}", solved.bound);
    }

    #[test]
    fn it_can_be_broken_off() {
        let rows: Vec<u64> = (0..22).flat_map(|a| (0..a).flat_map(move |b| (0..b).map(move |c| 1 << a | 1 << b | 1 << c))).collect();
        let table = Table { costs: vec![Cost { first: 1, second: 0 }; 22], rows };
        assert_eq!(solve(&table, u64::MAX, &mut |_| ControlFlow::Break(())), Err(Stop));
    }
}
