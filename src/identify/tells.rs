//! What tells look-alikes apart, and who the look-alikes of a form are.

use super::column::{Column, Kind, NOT_APPLICABLE, NOT_RECORDED, RECORDED};
use super::looks::MANY;
use super::measure::default_plus_minus;
use super::outcomes::Outcomes;
use super::piece::{Measured, Piece, Seen};
use super::standing::hidden_by;
use super::text::all_of;
use super::{Index, LookAlike, Tell, Tells};
use crate::key::{FeatureId, FormId, Part, ValueId};
use crate::say;
use rayon::prelude::*;

/// Two records are the same where no reading tells them apart better than this (a guess is right in 0.5).
const SAME: f64 = 0.5 + 1e-6;
/// A feature tells two forms apart for certain enough to count as a difference between look-alikes.
const DIFFERS: f64 = 0.75;
/// Most forms of one comparison.
const MOST: usize = 6;

impl Index {
    /// What tells two to six forms apart, surest first. Forms the key does not have, repeats, and those past the sixth are left out. With a
    /// piece, features of its missing parts are set aside.
    pub fn tells(&self, forms: &[FormId], piece: Option<&Piece>) -> Tells {
        let mut numbers: Vec<usize> = Vec::new();
        for form in forms.iter().filter_map(|form| self.by_form.get(form)) {
            if !numbers.contains(form) && numbers.len() < MOST {
                numbers.push(*form);
            }
        }
        let mut found = Tells { forms: numbers.iter().filter_map(|&n| Some(self.forms.get(n)?.id.clone())).collect(), ..Tells::default() };
        if numbers.len() < 2 {
            return found;
        }
        for (column, outcomes) in self.columns.iter().zip(&self.outcomes) {
            let patterns: Vec<usize> = numbers.iter().map(|&n| column.pattern_of(n)).collect();
            let mut said: Vec<usize> = patterns.iter().copied().filter(|&p| p != NOT_RECORDED).collect();
            let unrecorded = said.len() < patterns.len();
            said.sort_unstable();
            said.dedup();
            let apart = said.len() > 1 && pairs(&said).any(|(a, b)| outcomes.apart(&[a, b]) > SAME);
            if !apart {
                let list = if unrecorded && said != [NOT_APPLICABLE] { &mut found.unknown } else { &mut found.same };
                list.push(column.id.clone());
            } else if piece.is_some_and(|piece| hidden_by(column, piece).is_some()) {
                found.missing.push(column.id.clone());
            } else {
                found.tells.push(tell(column, outcomes, &patterns));
            }
        }
        found.tells.sort_by(|a, b| b.surely.total_cmp(&a.surely).then(a.effort.total_cmp(&b.effort)));
        found
    }

    /// What the key says that a form has of a feature, in words: 'round', '92 to 95 mm', 'no lid'. None where nothing is recorded, or the key
    /// has no such form or feature.
    pub fn recorded(&self, form: &FormId, feature: &FeatureId) -> Option<String> {
        let column = self.column(feature)?;
        let pattern = column.pattern_of(*self.by_form.get(form)?);
        (pattern != NOT_RECORDED).then(|| column.words(pattern))
    }

    /// Forms easily taken for this one: those that at most so many recorded features tell from it, fewest differences first, then the most in
    /// common, then by id. Empty where the key has no such form.
    pub fn look_alikes(&self, form: &FormId, most_differences: usize) -> Vec<LookAlike> {
        let Some(&one) = self.by_form.get(form) else { return Vec::new() };
        let like = |other: usize| self.look_alike(one, other, most_differences);
        let mut found: Vec<LookAlike> = if self.forms.len() < MANY {
            (0..self.forms.len()).filter(|&other| other != one).filter_map(like).collect()
        } else {
            (0..self.forms.len()).into_par_iter().filter(|&other| other != one).filter_map(like).collect()
        };
        found.sort_by(|a, b| a.differs.len().cmp(&b.differs.len()).then(b.shared.cmp(&a.shared)));
        found
    }

    fn look_alike(&self, one: usize, other: usize, most_differences: usize) -> Option<LookAlike> {
        let mut shared = 0;
        let mut differs: Vec<(f64, &Column)> = Vec::new();
        let mut to_record: Vec<&Column> = Vec::new();
        for (column, outcomes) in self.columns.iter().zip(&self.outcomes) {
            let (a, b) = (column.pattern_of(one), column.pattern_of(other));
            if a == b && a >= RECORDED {
                shared += 1;
            } else if a == NOT_RECORDED || b == NOT_RECORDED {
                to_record.push(column);
            } else if a != b {
                let surely = outcomes.apart(&[a, b]);
                if surely >= DIFFERS {
                    differs.push((surely, column));
                    if differs.len() > most_differences {
                        return None;
                    }
                } else {
                    shared += 1;
                }
            }
        }
        differs.sort_by(|a, b| b.0.total_cmp(&a.0));
        let entry = self.forms.get(other)?;
        let full = self.full_name(other);
        let named = |columns: &[&Column]| {
            let names: Vec<String> = columns.iter().take(3).map(|c| say!("the {name}", name = c.name)).collect();
            all_of(&names)
        };
        let by: Vec<&Column> = differs.iter().map(|d| d.1).collect();
        let says = match (by.as_slice(), to_record.as_slice()) {
            ([], []) => say!("cannot be told from {full}: every feature is recorded the same, so add a feature in which they differ", full),
            ([], open) => say!("cannot be told from {full}: record {features}", full, features = named(open)),
            (by, _) => say!("told from {full} by {features} alone", full, features = named(by)),
        };
        Some(LookAlike {
            form: entry.id.clone(),
            name: entry.name.clone(),
            line: entry.line.clone(),
            shared,
            differs: by.iter().map(|c| c.id.clone()).collect(),
            to_record: to_record.iter().map(|c| c.id.clone()).collect(),
            says,
        })
    }

    /// The feature that tells two forms apart most surely of those that pass, with how surely. One that both can have comes before one that only
    /// one of them can have, which reads oddly in a sentence.
    pub(super) fn best_tell(&self, one: usize, other: usize, passes: impl Fn(&Column) -> bool) -> Option<(&Column, f64)> {
        let best_of = |least: usize| {
            self.columns
                .iter()
                .zip(&self.outcomes)
                .filter(|(column, _)| passes(column))
                .filter_map(|(column, outcomes)| {
                    let (a, b) = (column.pattern_of(one), column.pattern_of(other));
                    (a != b && a != NOT_RECORDED && b != NOT_RECORDED && a.min(b) >= least).then(|| (column, outcomes.apart(&[a, b])))
                })
                .filter(|(_, surely)| *surely > 0.6)
                .reduce(|best, next| if next.1 > best.1 + 1e-12 { next } else { best })
        };
        best_of(RECORDED).or_else(|| best_of(0))
    }
}

impl Outcomes {
    /// Probability that one honest reading picks the right one of these patterns, each as likely: (1/n) Σ over outcomes of the greatest P(o).
    pub(super) fn apart(&self, patterns: &[usize]) -> f64 {
        if let [a, b] = patterns {
            return self.two_apart(*a, *b);
        }
        let rows: Vec<Vec<f64>> = patterns.iter().map(|&p| self.row(p)).collect();
        let n = rows.len().max(1) as f64;
        let outcomes = self.len() + 1;
        (0..outcomes).map(|o| rows.iter().filter_map(|row| row.get(o)).copied().fold(0.0, f64::max)).sum::<f64>() / n
    }
}

fn tell(column: &Column, outcomes: &Outcomes, patterns: &[usize]) -> Tell {
    let mut distinct: Vec<usize> = Vec::new();
    let groups = patterns
        .iter()
        .map(|&pattern| {
            (pattern != NOT_RECORDED).then(|| {
                distinct.iter().position(|&p| p == pattern).unwrap_or_else(|| {
                    distinct.push(pattern);
                    distinct.len() - 1
                })
            })
        })
        .collect();
    let recorded: Vec<usize> = patterns.iter().copied().filter(|&p| p != NOT_RECORDED).collect();
    Tell {
        feature: column.id.clone(),
        name: column.name.clone(),
        part: column.part,
        view: column.view,
        values: patterns.iter().map(|&p| column.words(p)).collect(),
        value_ids: patterns.iter().map(|&p| value_ids(column, p)).collect(),
        answers: patterns.iter().map(|&p| answer(column, p)).collect(),
        groups,
        surely: outcomes.apart(&recorded).min(1.0),
        effort: column.effort,
        lid_on_only: column.needs.contains(&Part::Lid),
    }
}

/// The values of a pattern, most frequent first.
fn value_ids(column: &Column, pattern: usize) -> Vec<ValueId> {
    let Kind::Values(values) = &column.kind else { return Vec::new() };
    let mut shares = values.shares.get(pattern).cloned().unwrap_or_default();
    shares.sort_by(|a, b| b.1.total_cmp(&a.1));
    shares.iter().filter_map(|&(v, _)| values.ids.get(v).cloned()).collect()
}

/// What one click answers for a form of that pattern.
fn answer(column: &Column, pattern: usize) -> Option<Seen> {
    match (pattern, &column.kind) {
        (NOT_RECORDED, _) => None,
        (NOT_APPLICABLE, _) => Some(Seen::NotThere),
        (_, Kind::Values(_)) => value_ids(column, pattern).into_iter().next().map(|v| Seen::Values(vec![v])),
        (_, Kind::Measure(m)) => {
            let &(lo, hi) = m.ranges.get(pattern)?;
            let value = f64::midpoint(lo, hi);
            Some(Seen::Measured(Measured { value, plus_minus: default_plus_minus(value, m.give_percent) }))
        }
    }
}

fn pairs(items: &[usize]) -> impl Iterator<Item = (usize, usize)> + '_ {
    items.iter().enumerate().flat_map(|(i, &a)| items.iter().skip(i + 1).map(move |&b| (a, b)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The quick way for two patterns, against the greatest of each outcome one by one.
    #[test]
    fn two_patterns_are_as_far_apart_as_outcome_by_outcome() {
        let index = Index::new(&crate::key::builtin::demo().key);
        let mut compared = 0;
        for (column, outcomes) in index.columns.iter().zip(&index.outcomes) {
            for a in 0..column.patterns() {
                for b in 0..column.patterns() {
                    let slow: f64 = outcomes.row(a).iter().zip(outcomes.row(b)).map(|(p, q)| p.max(q)).sum::<f64>() / 2.0;
                    let quick = outcomes.two_apart(a, b);
                    assert!((slow - quick).abs() < 1e-12, "{}: {a} and {b}: {slow}, {quick}", column.name);
                    compared += 1;
                }
            }
        }
        assert!(compared > 1000, "{compared}");
    }
}
