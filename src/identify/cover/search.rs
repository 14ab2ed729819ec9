//! Branch and bound over the rows of one small table.
//!
//! A node branches over the columns of the open row that has the fewest left, the one that hits most first; a column tried is forbidden to
//! its later siblings. Two lower bounds cut it: how many columns are needed to hit as many rows as are open (a fractional knapsack over the
//! columns' counts), and the Lagrangean bound Σ uᵣ + Σ min(0, cⱼ − Σ uᵣ) with multipliers found once at the root by subgradient steps
//! (M. Held and R. M. Karp, Mathematical Programming 1, 1971; for set covering J. E. Beasley, Naval Research Logistics 37, 1990). A column
//! whose reduced cost lifts the bound to the best answer is forbidden below that node.
#![expect(clippy::indexing_slicing, reason = "every index is a row or column number of the table, made by this file")]

use super::solve::{Cost, Stop};
use std::ops::ControlFlow;

/// What a search must better.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Level {
    /// The goal itself.
    First,
    /// The goal, and among the equally good what the goal does not speak of.
    Second,
}

/// One table of open rows, with the best answer known.
pub(super) struct Search<'a> {
    costs: &'a [Cost],
    /// Columns of each row, `words` machine words a row.
    rows: Vec<u64>,
    words: usize,
    /// Rows of each column.
    hits: Vec<Vec<u64>>,
    /// Lagrangean multiplier of each row.
    u: Vec<f64>,
    level: Level,
    best: Cost,
    found: Option<Vec<usize>>,
    path: Vec<usize>,
    /// Columns in the order of their second cost.
    by_second: Vec<usize>,
    nodes: u64,
    most_nodes: u64,
    out_of_nodes: bool,
}

/// What a search came to.
pub(super) struct Searched {
    /// Columns cheaper than what was known, none where there are none.
    pub(super) found: Option<Vec<usize>>,
    /// No answer is less than this by the first cost.
    pub(super) bound: u64,
    /// Every possibility was looked at or cut.
    pub(super) complete: bool,
    pub(super) nodes: u64,
}

/// Rounding that a bound is forgiven.
const ROUNDING: f64 = 1e-6;

impl<'a> Search<'a> {
    /// A search over rows that each have at least one column.
    pub(super) fn new(costs: &'a [Cost], rows: Vec<u64>, words: usize, level: Level, best: Cost, most_nodes: u64) -> Self {
        let count = rows.len() / words.max(1);
        let mut hits = vec![vec![0_u64; count.div_ceil(64)]; costs.len()];
        for (r, row) in rows.chunks_exact(words).enumerate() {
            for c in ones(row) {
                hits[c][r / 64] |= 1 << (r % 64);
            }
        }
        let mut by_second: Vec<usize> = (0..costs.len()).collect();
        by_second.sort_by_key(|&c| costs[c].second);
        Self {
            costs,
            rows,
            words,
            hits,
            u: Vec::new(),
            level,
            best,
            found: None,
            path: Vec::new(),
            by_second,
            nodes: 0,
            most_nodes,
            out_of_nodes: false,
        }
    }

    fn count(&self) -> usize {
        self.rows.len() / self.words
    }

    fn row(&self, r: usize) -> &[u64] {
        &self.rows[r * self.words..(r + 1) * self.words]
    }

    /// Searches. `watch` is told now and then what share of the nodes is spent.
    ///
    /// # Errors
    /// Where `watch` breaks it off.
    pub(super) fn run(mut self, watch: &mut dyn FnMut(f64) -> ControlFlow<()>) -> Result<Searched, Stop> {
        let open = full(self.count());
        let mut allowed = full(self.costs.len());
        self.forbid_dominated(&mut allowed);
        let lower = self.multipliers(&allowed);
        let bound = up(lower);
        self.node(&open, &allowed, Cost::default(), watch)?;
        let complete = !self.out_of_nodes;
        let bound = if complete { self.best.first } else { bound.min(self.best.first) };
        Ok(Searched { found: self.found, bound, complete, nodes: self.nodes })
    }

    /// Forbids a column whose rows another hits too at no greater cost.
    fn forbid_dominated(&self, allowed: &mut [u64]) {
        for c in 0..self.costs.len() {
            let by = |&d: &usize| {
                let (one, other) = (self.costs[c], self.costs[d]);
                d != c
                    && has(allowed, d)
                    && other.first <= one.first
                    && other.second <= one.second
                    && self.hits[c].iter().zip(&self.hits[d]).all(|(c, d)| c & !d == 0)
                    // Of two that are alike the earlier stays.
                    && (d < c || other != one || self.hits[c] != self.hits[d])
            };
            if (0..self.costs.len()).any(|d| by(&d)) {
                clear(allowed, c);
            }
        }
    }

    /// Finds multipliers by subgradient steps; the bound of the best.
    fn multipliers(&mut self, allowed: &[u64]) -> f64 {
        const STEPS: usize = 300;
        let rows = self.count();
        let size: Vec<f64> = self.hits.iter().map(|hits| f64::from(ones_in(hits))).collect();
        let mut u: Vec<f64> = (0..rows)
            .map(|r| {
                let of = ones_of(self.row(r), allowed).map(|c| self.costs[c].first as f64 / size[c].max(1.0));
                let least = of.fold(f64::INFINITY, f64::min);
                if least.is_finite() { least } else { 0.0 }
            })
            .collect();
        let (mut best, mut best_u) = (f64::NEG_INFINITY, u.clone());
        let (mut pace, mut idle) = (1.0, 0);
        let target = self.best.first as f64;
        for _ in 0..STEPS {
            let mut reduced: Vec<f64> = self.costs.iter().map(|cost| cost.first as f64).collect();
            for (r, &u) in u.iter().enumerate().filter(|(_, u)| **u > 0.0) {
                for c in ones_of(self.row(r), allowed) {
                    reduced[c] -= u;
                }
            }
            let lower = u.iter().sum::<f64>() + ones(allowed).map(|c| reduced[c].min(0.0)).sum::<f64>();
            if lower > best + 1e-9 {
                (best, idle) = (lower, 0);
                best_u.clone_from(&u);
            } else {
                idle += 1;
                if idle == 15 {
                    (pace, idle) = (pace / 2.0, 0);
                    u.clone_from(&best_u);
                    continue;
                }
            }
            let slope: Vec<f64> =
                (0..rows).map(|r| 1.0 - ones_of(self.row(r), allowed).filter(|&c| reduced[c] < 0.0).count() as f64).collect();
            let norm: f64 = slope.iter().zip(&u).filter(|(s, u)| **s > 0.0 || **u > 0.0).map(|(s, _)| s * s).sum();
            if norm < 0.5 || pace < 1e-4 || up(best) >= self.best.first {
                break;
            }
            let step = pace * (target - lower).max(0.05 * target) / norm;
            for (u, s) in u.iter_mut().zip(&slope) {
                *u = (*u + step * s).max(0.0);
            }
        }
        self.u = best_u;
        best
    }

    fn node(&mut self, open: &[u64], allowed: &[u64], spent: Cost, watch: &mut dyn FnMut(f64) -> ControlFlow<()>) -> Result<(), Stop> {
        let left = ones_in(open);
        if left == 0 {
            if self.betters(spent) {
                self.best = spent;
                let mut found = self.path.clone();
                found.sort_unstable();
                self.found = Some(found);
            }
            return Ok(());
        }
        if self.nodes >= self.most_nodes {
            self.out_of_nodes = true;
            return Ok(());
        }
        self.nodes += 1;
        if self.nodes.is_multiple_of(1024) && watch(self.nodes as f64 / self.most_nodes as f64).is_break() {
            return Err(Stop);
        }

        let mut counts = vec![0_u32; self.costs.len()];
        for c in ones(allowed) {
            counts[c] = self.hits[c].iter().zip(open).map(|(h, o)| (h & o).count_ones()).sum();
        }
        let (first, columns) = self.knapsack(&counts, left);
        let second = self.least_second(allowed, columns);
        if !self.betters(Cost { first: spent.first + first, second: spent.second + second }) {
            return Ok(());
        }
        let Some((allowed, lower)) = self.lagrangean(open, allowed, spent) else { return Ok(()) };
        if !self.betters(Cost { first: spent.first + lower.max(first), second: spent.second + second }) {
            return Ok(());
        }

        // The open row with the fewest columns left.
        let mut row: Option<(u32, usize)> = None;
        for r in ones(open) {
            let n: u32 = self.row(r).iter().zip(&allowed).map(|(r, a)| (r & a).count_ones()).sum();
            if row.is_none_or(|(least, _)| n < least) {
                row = Some((n, r));
                if n < 2 {
                    break;
                }
            }
        }
        let Some((_, row)) = row else { return Ok(()) };
        let mut branches: Vec<usize> = ones_of(self.row(row), &allowed).collect();
        let worth = |c: usize| f64::from(counts[c]) / self.costs[c].first.max(1) as f64;
        branches.sort_by(|&a, &b| worth(b).total_cmp(&worth(a)).then(a.cmp(&b)));
        let mut allowed = allowed;
        for c in branches {
            clear(&mut allowed, c);
            let still: Vec<u64> = open.iter().zip(&self.hits[c]).map(|(o, h)| o & !h).collect();
            self.path.push(c);
            let cost = self.costs[c];
            self.node(&still, &allowed, Cost { first: spent.first + cost.first, second: spent.second + cost.second }, watch)?;
            self.path.pop();
        }
        Ok(())
    }

    /// True where a cost, or a lower bound of one, may still better the best.
    fn betters(&self, cost: Cost) -> bool {
        match self.level {
            Level::First => cost.first < self.best.first,
            Level::Second => (cost.first, cost.second) < (self.best.first, self.best.second),
        }
    }

    /// The least first cost, and the least number of columns, whose counts add up to as many rows.
    fn knapsack(&self, counts: &[u32], left: u32) -> (u64, usize) {
        let mut order: Vec<usize> = (0..counts.len()).filter(|&c| counts[c] > 0).collect();
        let worth = |c: usize| f64::from(counts[c]) / self.costs[c].first.max(1) as f64;
        order.sort_unstable_by(|&a, &b| worth(b).total_cmp(&worth(a)));
        let (mut due, mut cost) = (f64::from(left), 0.0);
        for &c in &order {
            let (n, price) = (f64::from(counts[c]), self.costs[c].first as f64);
            if n >= due {
                cost += price * due / n;
                due = 0.0;
                break;
            }
            (due, cost) = (due - n, cost + price);
        }
        if due > 0.0 {
            return (u64::MAX / 4, order.len());
        }
        order.sort_unstable_by_key(|&c| std::cmp::Reverse(counts[c]));
        let (mut due, mut columns) = (left, 0);
        for c in order {
            if due == 0 {
                break;
            }
            due = due.saturating_sub(counts[c]);
            columns += 1;
        }
        (up(cost), columns)
    }

    /// The least second cost of so many columns.
    fn least_second(&self, allowed: &[u64], columns: usize) -> u64 {
        self.by_second.iter().filter(|&&c| has(allowed, c)).take(columns).map(|&c| self.costs[c].second).sum()
    }

    /// The columns that may still be part of a better answer, and the bound; none where no answer is left.
    fn lagrangean(&self, open: &[u64], allowed: &[u64], spent: Cost) -> Option<(Vec<u64>, u64)> {
        let mut reduced: Vec<f64> = self.costs.iter().map(|cost| cost.first as f64).collect();
        let mut sum = 0.0;
        for r in ones(open) {
            let u = self.u[r];
            if u <= 0.0 {
                continue;
            }
            sum += u;
            for c in ones_of(self.row(r), allowed) {
                reduced[c] -= u;
            }
        }
        let lower = sum + ones(allowed).map(|c| reduced[c].min(0.0)).sum::<f64>();
        let beyond = |bound: u64| match self.level {
            Level::First => spent.first + bound >= self.best.first,
            Level::Second => spent.first + bound > self.best.first,
        };
        if beyond(up(lower)) {
            return None;
        }
        let mut kept = allowed.to_vec();
        for c in ones(allowed) {
            if reduced[c] > 0.0 && beyond(up(lower + reduced[c])) {
                clear(&mut kept, c);
            }
        }
        Some((kept, up(lower)))
    }
}

/// The least whole number a bound allows.
fn up(bound: f64) -> u64 {
    (bound - ROUNDING).ceil().max(0.0) as u64
}

/// So many ones.
pub(super) fn full(n: usize) -> Vec<u64> {
    let mut words = vec![u64::MAX; n.div_ceil(64)];
    if !n.is_multiple_of(64)
        && let Some(last) = words.last_mut()
    {
        *last = (1 << (n % 64)) - 1;
    }
    words
}

/// The places of the ones, rising.
pub(super) fn ones(words: &[u64]) -> impl Iterator<Item = usize> + '_ {
    words.iter().enumerate().flat_map(|(i, &word)| places(word).map(move |place| i * 64 + place))
}

/// The places of the ones that both have.
fn ones_of<'w>(words: &'w [u64], others: &'w [u64]) -> impl Iterator<Item = usize> + 'w {
    words.iter().zip(others).enumerate().flat_map(|(i, (&a, &b))| places(a & b).map(move |place| i * 64 + place))
}

fn places(mut word: u64) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        (word != 0).then(|| {
            let place = word.trailing_zeros() as usize;
            word &= word - 1;
            place
        })
    })
}

fn ones_in(words: &[u64]) -> u32 {
    words.iter().map(|word| word.count_ones()).sum()
}

pub(super) fn has(words: &[u64], n: usize) -> bool {
    words.get(n / 64).is_some_and(|word| word >> (n % 64) & 1 == 1)
}

fn clear(words: &mut [u64], n: usize) {
    words[n / 64] &= !(1 << (n % 64));
}
