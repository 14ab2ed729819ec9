//! What is asked of a sequence, and its numbered steps.

use super::super::Index;
use super::super::apart::{Feature, features, id_of, number_of, priors};
use super::bound::{classes, entropy, huffman};
use super::cells::{Look, Range};
use super::grow::{Grower, Node};
use crate::identify::cover::Goal;
use crate::key::{FeatureId, FormId, Part};
use std::collections::{BTreeMap, BTreeSet};
use thiserror::Error;

/// Most steps of a sequence before equal ones are joined; paths beyond it end with the forms that are left.
pub const MOST_STEPS: usize = 20_000;
/// Most forms of which the best sequence is found; many features or forms of many values may allow fewer.
pub const MOST_EXACT_FORMS: usize = 16;
/// Most forms of a sequence.
const MOST_FORMS: usize = 3_000;

/// A question: in which order should a key be looked through?
#[derive(Debug, Clone, PartialEq)]
pub struct SequenceAsk {
    /// How it is found.
    pub method: Method,
    /// What is to be least on average: the number of looks, or their effort.
    pub goal: Goal,
    /// Parts that are gone: the features that need one of them are left out.
    pub missing: BTreeSet<Part>,
    /// How common each form is, for example its number of finds, in place of the key's own weights. Forms not named here count as half a
    /// find; numbers that are none or below that are taken as half a find too. Empty: the key's own.
    pub finds: Vec<(FormId, f64)>,
}

/// How a sequence is found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// The most expected bits at each step.
    Greedy,
    /// The best there is, by dynamic programming.
    Exact,
}

/// A decision sequence.
#[derive(Debug, Clone, PartialEq)]
pub struct Sequence {
    /// The steps; the first is where to start. A step is printed once, though several others may lead to it. Empty where there is nothing to
    /// part: see [`Self::start`].
    pub steps: Vec<Step>,
    /// Where to start: the first step, or the forms where no look parts them.
    pub start: To,
    /// Looks, or effort, on average over the weights.
    pub expected: f64,
    /// No sequence has less than this on average (see the module).
    pub bound: f64,
    /// Entropy in bits of the forms as far as any sequence could part them.
    pub entropy_bits: f64,
    /// Looks on the longest path.
    pub longest: usize,
    /// Paths were ended early, see [`MOST_STEPS`]; `expected` and `longest` count the steps that are there.
    pub cut_short: Vec<FormId>,
}

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Its number, from 1.
    pub number: usize,
    /// What to look at.
    pub feature: FeatureId,
    /// Its name on screen.
    pub name: String,
    /// What may be seen, in the order of the feature's values.
    pub choices: Vec<Choice>,
}

/// One thing that may be seen.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// In words: 'oval', 'below 82 mm', 'no lid'.
    pub label: String,
    /// Where it leads.
    pub to: To,
}

/// Where a choice leads.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum To {
    /// To the step of that number.
    Step(usize),
    /// To these forms, in the order of their ids: one, or several that no more look parts.
    Forms(Vec<FormId>),
}

/// Why there is no sequence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum SequenceError {
    /// Too many forms, or too much that may be left.
    #[error(
        "the best sequence of {forms} forms is too much work (at most {MOST_EXACT_FORMS} forms, fewer where they vary a lot): ask for the greedy one"
    )]
    TooLarge {
        /// Forms of the key.
        forms: usize,
    },
    /// Too many forms for any sequence.
    #[error("{forms} forms are too many for a sequence on paper (at most {MOST_FORMS})")]
    TooMany {
        /// Forms of the key.
        forms: usize,
    },
}

impl Index {
    /// A decision sequence for the whole key.
    ///
    /// # Errors
    /// Where the key is too large for the method.
    pub fn sequence(&self, ask: &SequenceAsk) -> Result<Sequence, SequenceError> {
        let forms = self.len();
        if forms > MOST_FORMS {
            return Err(SequenceError::TooMany { forms });
        }
        if ask.method == Method::Exact && forms > MOST_EXACT_FORMS {
            return Err(SequenceError::TooLarge { forms });
        }
        let weights = self.weights(&ask.finds);
        let seen: Vec<Feature<'_>> = features(self).filter(|feature| feature.can_be_seen_without(&ask.missing)).collect();
        let looks: Vec<Look> = seen.iter().filter_map(|feature| Look::new(feature, forms, &weights)).collect();
        let costs: Vec<f64> = looks.iter().map(|look| if ask.goal == Goal::Fewest { 1.0 } else { look.effort }).collect();
        let mut grower = Grower::new(&looks, &costs, MOST_STEPS);
        let start = grower.start(&weights);
        let node = match ask.method {
            Method::Greedy => grower.greedy(&start),
            Method::Exact => grower.best(&start).ok_or(SequenceError::TooLarge { forms })?,
        };
        let classes = classes(&looks, &weights);
        let entropy_bits = entropy(&classes);
        let widths: Vec<usize> = looks.iter().map(|look| look.widest(forms)).collect();
        let bound = match ask.goal {
            Goal::Fewest => huffman(&classes, widths.iter().copied().max().unwrap_or(2)),
            Goal::LeastEffort => {
                let dearest = widths.iter().zip(&costs).filter(|(w, _)| **w > 1).map(|(&w, cost)| cost / (w as f64).log2());
                let least = dearest.fold(f64::INFINITY, f64::min);
                if least.is_finite() { entropy_bits * least } else { 0.0 }
            }
        };
        let (expected, longest, short) = (grower.expected, grower.longest, grower.cut_short);
        let mut writer = Writer { index: self, looks: &looks, made: BTreeMap::new(), nodes: Vec::new() };
        let root = writer.join(&node);
        let (steps, start) = writer.numbered(&root);
        let cut_short = if short { Writer::together(&steps) } else { Vec::new() };
        Ok(Sequence { steps, start, expected, bound, entropy_bits, longest, cut_short })
    }

    /// The weights asked for, sum 1.
    fn weights(&self, finds: &[(FormId, f64)]) -> Vec<f64> {
        const LEAST: f64 = 0.5;
        if finds.is_empty() {
            return priors(self).to_vec();
        }
        let mut weights = vec![LEAST; self.len()];
        for (form, n) in finds {
            if let Some(weight) = number_of(self, form).and_then(|form| weights.get_mut(form))
                && n.is_finite()
            {
                *weight = n.max(LEAST);
            }
        }
        let sum: f64 = weights.iter().sum();
        weights.iter().map(|w| w / sum).collect()
    }
}

/// A step before it has a number.
type Joined = (usize, Range, Vec<(Range, Target)>);

/// Where a step leads before there are numbers.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Target {
    Node(usize),
    Forms(Vec<usize>),
}

/// Joins equal steps and numbers them.
struct Writer<'a> {
    index: &'a Index,
    looks: &'a [Look],
    made: BTreeMap<Joined, usize>,
    nodes: Vec<Joined>,
}

impl Writer<'_> {
    fn join(&mut self, node: &Node) -> Target {
        match node {
            Node::Forms(forms) => Target::Forms(forms.clone()),
            Node::Ask { look, whole, branches } => {
                let branches = branches.iter().map(|(range, node)| (*range, self.join(node))).collect();
                let joined: Joined = (*look, *whole, branches);
                let next = self.nodes.len();
                let number = *self.made.entry(joined.clone()).or_insert(next);
                if number == next {
                    self.nodes.push(joined);
                }
                Target::Node(number)
            }
        }
    }

    /// Numbers the steps in the order in which a reader meets them.
    fn numbered(&self, root: &Target) -> (Vec<Step>, To) {
        let mut number: BTreeMap<usize, usize> = BTreeMap::new();
        let mut order: Vec<usize> = Vec::new();
        let mut due: Vec<&Target> = vec![root];
        while let Some(target) = due.pop() {
            let Target::Node(node) = target else { continue };
            if number.contains_key(node) {
                continue;
            }
            order.push(*node);
            number.insert(*node, order.len());
            if let Some((_, _, branches)) = self.nodes.get(*node) {
                due.extend(branches.iter().rev().map(|branch| &branch.1));
            }
        }
        let to = |target: &Target| match target {
            Target::Node(node) => To::Step(number.get(node).copied().unwrap_or(0)),
            Target::Forms(forms) => To::Forms(forms.iter().map(|&form| id_of(self.index, form)).collect()),
        };
        let step = |(n, node): (usize, &usize)| {
            let (look, whole, branches) = self.nodes.get(*node)?;
            let look = self.looks.get(*look)?;
            let choices = branches.iter().map(|(range, target)| Choice { label: look.label(*whole, *range), to: to(target) }).collect();
            Some(Step { number: n + 1, feature: look.feature.clone(), name: look.name.clone(), choices })
        };
        (order.iter().enumerate().filter_map(step).collect(), to(root))
    }

    /// The forms that stand at the end of a path with others.
    fn together(steps: &[Step]) -> Vec<FormId> {
        let ends = steps.iter().flat_map(|step| &step.choices).filter_map(|choice| match &choice.to {
            To::Forms(forms) if forms.len() > 1 => Some(forms),
            To::Forms(_) | To::Step(_) => None,
        });
        ends.flatten().cloned().collect::<BTreeSet<FormId>>().into_iter().collect()
    }
}
