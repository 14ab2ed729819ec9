//! Growing a sequence: greedily, or at its best by dynamic programming.

use super::cells::{Look, Range};
use std::collections::HashMap;

/// Most states of the dynamic programme.
const MOST_STATES: usize = 100_000;

/// What may be left, and what is known.
#[derive(Debug, Clone)]
pub(super) struct State {
    /// Forms that may be in hand, with the probability of this form and this path.
    forms: Vec<(usize, f64)>,
    /// What is known of each look.
    ranges: Vec<Range>,
}

/// A sequence as a tree.
#[derive(Debug, Clone)]
pub(super) enum Node {
    Forms(Vec<usize>),
    Ask { look: usize, whole: Range, branches: Vec<(Range, Node)> },
}

/// One look that rules something out.
struct Way {
    look: usize,
    branches: Vec<(Range, State)>,
}

/// Grows sequences from looks and their costs.
pub(super) struct Grower<'a> {
    pub(super) looks: &'a [Look],
    /// The cost of each look, above 0.
    pub(super) costs: &'a [f64],
    pub(super) most_steps: usize,
    steps: usize,
    /// Steps were left out for their number.
    pub(super) cut_short: bool,
    /// Sum of the costs of all steps, weighted by the probability of reaching them.
    pub(super) expected: f64,
    /// Looks on the longest path.
    pub(super) longest: usize,
}

impl State {
    fn weight(&self) -> f64 {
        self.forms.iter().map(|form| form.1).sum()
    }
}

impl<'a> Grower<'a> {
    pub(super) fn new(looks: &'a [Look], costs: &'a [f64], most_steps: usize) -> Self {
        Self { looks, costs, most_steps, steps: 0, cut_short: false, expected: 0.0, longest: 0 }
    }

    pub(super) fn start(&self, weights: &[f64]) -> State {
        State { forms: weights.iter().copied().enumerate().collect(), ranges: self.looks.iter().map(Look::whole).collect() }
    }

    fn ways_of(&self, look: usize, state: &State) -> Vec<Way> {
        let (Some(l), Some(&range)) = (self.looks.get(look), state.ranges.get(look)) else { return Vec::new() };
        let way = |branches: Vec<Range>| {
            let branches: Vec<(Range, State)> = branches
                .into_iter()
                .filter_map(|branch| {
                    let part = |&(form, weight): &(usize, f64)| {
                        let share = l.share(form, branch) / l.share(form, range).max(f64::MIN_POSITIVE);
                        (share > 0.0).then_some((form, weight * share))
                    };
                    let forms: Vec<(usize, f64)> = state.forms.iter().filter_map(part).collect();
                    if forms.is_empty() {
                        return None;
                    }
                    let mut ranges = state.ranges.clone();
                    if let Some(known) = ranges.get_mut(look) {
                        *known = branch;
                    }
                    Some((branch, State { forms, ranges }))
                })
                .collect();
            branches.iter().any(|(_, left)| left.forms.len() < state.forms.len()).then_some(Way { look, branches })
        };
        l.ways(range).into_iter().filter_map(way).collect()
    }

    /// Every look that would rule a form out, in the order of the key and of the cuts.
    fn ways(&self, state: &State) -> Vec<Way> {
        if state.forms.len() < 2 {
            return Vec::new();
        }
        (0..self.looks.len()).flat_map(|look| self.ways_of(look, state)).collect()
    }

    fn cost(&self, way: &Way) -> f64 {
        self.costs.get(way.look).copied().unwrap_or(1.0)
    }

    /// The tree that takes the most expected bits for the cost at each step.
    pub(super) fn greedy(&mut self, state: &State) -> Node {
        self.grow(state, 0, &mut |this, state| {
            let mut best: Option<(f64, Way)> = None;
            for way in this.ways(state) {
                let worth = bits(state, &way) / this.cost(&way);
                if best.as_ref().is_none_or(|(most, _)| worth > most + 1e-12) {
                    best = Some((worth, way));
                }
            }
            best.map(|best| best.1)
        })
    }

    fn grow(&mut self, state: &State, depth: usize, choose: &mut dyn FnMut(&Self, &State) -> Option<Way>) -> Node {
        self.longest = self.longest.max(depth);
        let end = || Node::Forms(state.forms.iter().map(|form| form.0).collect());
        let Some(way) = choose(self, state) else { return end() };
        if self.steps >= self.most_steps {
            self.cut_short = true;
            return end();
        }
        self.steps += 1;
        self.expected += self.cost(&way) * state.weight();
        let whole = state.ranges.get(way.look).copied().unwrap_or_default();
        let branches = way.branches.iter().map(|(range, left)| (*range, self.grow(left, depth + 1, choose))).collect();
        Node::Ask { look: way.look, whole, branches }
    }

    /// The cheapest tree there is; none past [`MOST_STATES`].
    pub(super) fn best(&mut self, state: &State) -> Option<Node> {
        let mut known: HashMap<Vec<u64>, (f64, usize)> = HashMap::new();
        self.value(state, &mut known)?;
        let node = self.grow(state, 0, &mut |this, state| {
            let ways = this.ways(state);
            let &(_, chosen) = known.get(&Self::name_of(state, &ways))?;
            ways.into_iter().nth(chosen)
        });
        Some(node)
    }

    /// Expected cost from this state on, per piece that reaches it.
    fn value(&self, state: &State, known: &mut HashMap<Vec<u64>, (f64, usize)>) -> Option<f64> {
        let ways = self.ways(state);
        if ways.is_empty() {
            return Some(0.0);
        }
        let name = Self::name_of(state, &ways);
        if let Some(&(value, _)) = known.get(&name) {
            return Some(value);
        }
        let weight = state.weight();
        let mut best = (f64::INFINITY, 0);
        for (n, way) in ways.iter().enumerate() {
            let mut cost = self.cost(way);
            for (_, left) in &way.branches {
                cost += left.weight() / weight * self.value(left, known)?;
            }
            if cost < best.0 - 1e-12 {
                best = (cost, n);
            }
        }
        if known.len() >= MOST_STATES {
            return None;
        }
        known.insert(name, best);
        Some(best.0)
    }

    /// States of the same name have the same value: the same forms as likely, and the same left to look at.
    fn name_of(state: &State, ways: &[Way]) -> Vec<u64> {
        const FINEST: f64 = (1_u64 << 40) as f64;
        let weight = state.weight();
        let mut name = Vec::with_capacity(2 * state.forms.len() + ways.len());
        for &(form, w) in &state.forms {
            name.extend([form as u64, (w / weight * FINEST).round() as u64]);
        }
        for way in ways {
            let (from, to) = state.ranges.get(way.look).copied().unwrap_or_default();
            name.extend([u64::MAX, way.look as u64, from as u64, to as u64]);
        }
        name
    }
}

/// Expected bits of a look: the entropy of its branches, less what is uncertain of each form.
fn bits(state: &State, way: &Way) -> f64 {
    let weight = state.weight();
    let h = |p: f64| if p > 0.0 { -p * p.log2() } else { 0.0 };
    let between: f64 = way.branches.iter().map(|(_, left)| h(left.weight() / weight)).sum();
    let joint: f64 = way.branches.iter().flat_map(|(_, left)| &left.forms).map(|form| h(form.1 / weight)).sum();
    let own: f64 = state.forms.iter().map(|form| h(form.1 / weight)).sum();
    between - (joint - own)
}
