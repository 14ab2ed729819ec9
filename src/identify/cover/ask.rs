//! What is asked of a test cover, and the answer.

use super::super::Index;
use super::super::apart::{Feature, Records, features, id_of, number_of};
use super::solve::{Cost, Solved, Table, solve};
use crate::key::{FeatureId, FormId, Part};
use crate::say;
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::ops::ControlFlow;
use thiserror::Error;

/// Most pairs of forms of one question: every pair of 2 000 forms, or 200 forms against 10 000.
pub const MOST_PAIRS: usize = 2_000_000;
/// Most pairs that an answer lists one by one.
const LISTED: usize = 500;
/// The usual least probability of picking the right one of two from one honest reading.
const SURELY: f64 = 0.75;
/// The usual number of nodes of the search.
const NODES: u64 = 200_000;

/// A question: which features tell these forms apart?
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// Which forms from which.
    pub among: Among,
    /// What is to be least.
    pub goal: Goal,
    /// Parts that are gone: the features that need one of them are left out.
    pub missing: BTreeSet<Part>,
    /// A feature tells two forms apart where one honest reading picks the right one with at least this probability, above 0.5 to 1.
    pub surely: f64,
    /// Most nodes of the search.
    pub nodes: u64,
}

impl Ask {
    /// The question with the usual figures: the fewest features, nothing missing, 0.75.
    pub fn new(among: Among) -> Self {
        Self { among, goal: Goal::Fewest, missing: BTreeSet::new(), surely: SURELY, nodes: NODES }
    }
}

/// Which forms are to be told from which.
#[derive(Debug, Clone, PartialEq)]
pub enum Among {
    /// Each of these from every form of the key that is not one of them.
    FromOthers(Vec<FormId>),
    /// Each of these from each other of them.
    EachOther(Vec<FormId>),
}

/// What is to be least.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Goal {
    /// The number of features; of equally few, the least effort.
    Fewest,
    /// The effort of looking; of equal effort, the fewest features. Efforts count to a thousandth.
    LeastEffort,
}

/// How far it is proven that nothing is less.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Proof {
    /// No set is less by the goal.
    Exact,
    /// The search ended before it could say. No set is less than this: a number of features for [`Goal::Fewest`], an effort otherwise.
    AtLeast(f64),
}

/// The least set found.
#[derive(Debug, Clone, PartialEq)]
pub struct Cover {
    /// The features, in the order in which they tell most pairs apart that those before do not.
    pub features: Vec<Used>,
    /// Sum of their efforts.
    pub effort: f64,
    /// How far that is proven to be the least.
    pub proof: Proof,
    /// How many pairs were to be told apart.
    pub pairs: usize,
    /// How many of them no feature tells apart, whatever is looked at.
    pub untold_pairs: usize,
    /// These pairs, in the order of the forms' ids, the first 500.
    pub untold: Vec<Untold>,
}

/// A feature of a [`Cover`].
#[derive(Debug, Clone, PartialEq)]
pub struct Used {
    /// The feature.
    pub feature: FeatureId,
    /// Its name on screen.
    pub name: String,
    /// Effort of looking.
    pub effort: f64,
    /// Pairs it tells apart that those before it do not.
    pub pairs: usize,
    /// Pairs that nothing else of the whole key tells apart, so that no cover can be without it. 0: there are others.
    pub alone: usize,
}

/// Two forms that no feature tells apart.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Untold {
    /// The one that was asked about.
    pub form: FormId,
    /// The other.
    pub other: FormId,
    /// Features recorded for one of them only, or for neither, in the order of the key.
    pub to_record: Vec<FeatureId>,
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum CoverError {
    /// More pairs than [`MOST_PAIRS`].
    #[error("{}", say!("{pairs} pairs of forms are too many to weigh at once (at most {MOST_PAIRS}): ask about fewer forms", pairs, MOST_PAIRS))]
    TooMany {
        /// How many there are.
        pairs: usize,
    },
    /// It was broken off.
    #[error("{}", say!("stopped before there was an answer"))]
    Stopped,
}

impl Index {
    /// The smallest set of features for a question. Forms the key does not have and repeats are left out; fewer than two forms to tell apart
    /// need no feature.
    ///
    /// `watch` is told now and then how far the search may be at most, 0 to 1, and can break it off.
    ///
    /// # Errors
    /// Where there are more pairs than [`MOST_PAIRS`], or `watch` breaks off.
    pub fn cover(&self, ask: &Ask, mut watch: impl FnMut(f64) -> ControlFlow<()>) -> Result<Cover, CoverError> {
        let pairs = Pairs::of(self, &ask.among)?;
        let seen: Vec<Feature<'_>> = features(self).filter(|feature| feature.can_be_seen_without(&ask.missing)).collect();
        let surely = if ask.surely.is_finite() { ask.surely.clamp(0.5 + 1e-6, 1.0) } else { SURELY };
        let told: Vec<Told> = seen.iter().map(|feature| Told::new(feature, &pairs, surely)).collect();
        if watch(0.0).is_break() {
            return Err(CoverError::Stopped);
        }
        let table = Table { costs: seen.iter().map(|feature| cost(ask.goal, feature.column.effort)).collect(), rows: Vec::new() };
        let words = table.words();
        let mut rows = vec![0_u64; pairs.len() * words];
        rows.par_chunks_mut(words).enumerate().for_each(|(n, row)| {
            let (a, b) = pairs.get(n);
            for (c, told) in told.iter().enumerate() {
                if let Some(word) = row.get_mut(c / 64)
                    && told.tells(a, b)
                {
                    *word |= 1 << (c % 64);
                }
            }
        });
        let table = Table { rows, ..table };
        let solved = solve(&table, ask.nodes, &mut watch).map_err(|_stop| CoverError::Stopped)?;
        Ok(self.worded(ask, &pairs, &seen, &table, &solved))
    }

    fn worded(&self, ask: &Ask, pairs: &Pairs, seen: &[Feature<'_>], table: &Table, solved: &Solved) -> Cover {
        let bit = |c: usize| (c / 64, 1_u64 << (c % 64));
        let has = |row: &[u64], c: usize| row.get(bit(c).0).is_some_and(|word| word & bit(c).1 != 0);
        let mut open: Vec<&[u64]> = Vec::new();
        let mut untold_pairs = 0;
        let mut untold = Vec::new();
        for (n, row) in table.rows.chunks_exact(table.words()).enumerate() {
            if row.iter().any(|&word| word != 0) {
                open.push(row);
                continue;
            }
            untold_pairs += 1;
            if untold.len() < LISTED {
                let (a, b) = pairs.get(n);
                let unrecorded = |f: &&Feature<'_>| f.record_of(pairs.form(a)).is_none() || f.record_of(pairs.form(b)).is_none();
                untold.push(Untold {
                    form: id_of(self, pairs.form(a)),
                    other: id_of(self, pairs.form(b)),
                    to_record: seen.iter().filter(unrecorded).map(|feature| feature.id().clone()).collect(),
                });
            }
        }
        let alone = |c: usize| {
            let only = |row: &&[u64]| has(row, c) && row.iter().map(|word| word.count_ones()).sum::<u32>() == 1;
            table.rows.chunks_exact(table.words()).filter(only).count()
        };
        let mut left = solved.chosen.clone();
        let mut used = Vec::new();
        let mut effort = 0.0;
        while !left.is_empty() {
            let count = |c: usize| open.iter().filter(|row| has(row, c)).count();
            let Some((pairs, c)) = left.iter().map(|&c| (count(c), c)).reduce(|best, next| if next.0 > best.0 { next } else { best })
            else {
                break;
            };
            left.retain(|&other| other != c);
            open.retain(|row| !has(row, c));
            if let Some(feature) = seen.get(c) {
                effort += feature.column.effort;
                used.push(Used {
                    feature: feature.id().clone(),
                    name: feature.column.name.clone(),
                    effort: feature.column.effort,
                    pairs,
                    alone: alone(c),
                });
            }
        }
        let least: u64 = solved.chosen.iter().filter_map(|&c| table.costs.get(c)).map(|cost| cost.first).sum();
        let proof = if solved.bound >= least {
            Proof::Exact
        } else {
            Proof::AtLeast(match ask.goal {
                Goal::Fewest => solved.bound as f64,
                Goal::LeastEffort => solved.bound as f64 / 1000.0,
            })
        };
        Cover { features: used, effort, proof, pairs: pairs.len(), untold_pairs, untold }
    }
}

fn cost(goal: Goal, effort: f64) -> Cost {
    // The sum of a few hundred efforts must stay far from the largest number.
    let effort = (effort.min(1e9) * 1000.0).round().max(1.0) as u64;
    match goal {
        Goal::Fewest => Cost { first: 1, second: effort },
        Goal::LeastEffort => Cost { first: effort, second: 1 },
    }
}

/// The pairs of a question, over forms that are numbered afresh.
struct Pairs {
    /// The index's numbers of the forms that take part, those asked about first.
    forms: Vec<usize>,
    /// How many of them are asked about.
    asked: usize,
    each_other: bool,
}

impl Pairs {
    fn of(index: &Index, among: &Among) -> Result<Self, CoverError> {
        let (Among::FromOthers(ids) | Among::EachOther(ids)) = among;
        let asked: BTreeSet<usize> = ids.iter().filter_map(|id| number_of(index, id)).collect();
        let each_other = matches!(among, Among::EachOther(_));
        let mut forms: Vec<usize> = asked.iter().copied().collect();
        if !each_other {
            forms.extend((0..index.len()).filter(|form| !asked.contains(form)));
        }
        let pairs = Self { forms, asked: asked.len(), each_other };
        if pairs.len() > MOST_PAIRS {
            return Err(CoverError::TooMany { pairs: pairs.len() });
        }
        Ok(pairs)
    }

    fn others(&self) -> usize {
        self.forms.len() - self.asked
    }

    fn len(&self) -> usize {
        if self.each_other { self.asked * self.asked.saturating_sub(1) / 2 } else { self.asked * self.others() }
    }

    /// The nth pair, as places in [`Self::forms`].
    fn get(&self, n: usize) -> (usize, usize) {
        if !self.each_other {
            return (n / self.others().max(1), self.asked + n % self.others().max(1));
        }
        // Pair n of (0,1), (0,2) … (0,k−1), (1,2) …: the row is found from the number of pairs after it.
        let k = self.asked;
        let after = self.len() - 1 - n;
        let mut up = (((8.0 * after as f64 + 1.0).sqrt() - 1.0) / 2.0) as usize;
        while up * (up + 1) / 2 > after {
            up -= 1;
        }
        while (up + 1) * (up + 2) / 2 <= after {
            up += 1;
        }
        (k - 2 - up, k - 1 - (after - up * (up + 1) / 2))
    }

    fn form(&self, place: usize) -> usize {
        self.forms.get(place).copied().unwrap_or(usize::MAX)
    }
}

/// Which records of a feature are told apart.
struct Told {
    records: Records,
    /// Row a, record b, for the records of the forms asked about against all.
    table: Vec<bool>,
    /// The row of each record in the table.
    row: Vec<Option<u32>>,
}

impl Told {
    fn new(feature: &Feature<'_>, pairs: &Pairs, surely: f64) -> Self {
        let records = Records::new(feature, &pairs.forms);
        let count = records.patterns.len();
        let mut row: Vec<Option<u32>> = vec![None; count];
        let mut asked: Vec<usize> = Vec::new();
        for record in records.of.iter().take(pairs.asked).flatten() {
            if let Some(row) = row.get_mut(*record as usize)
                && row.is_none()
            {
                *row = Some(asked.len() as u32);
                asked.push(*record as usize);
            }
        }
        let channels = feature.channels(&records.patterns);
        let table =
            asked.par_iter().flat_map_iter(|&a| (0..count).map(|b| a != b && channels.apart(a, b) >= surely).collect::<Vec<_>>()).collect();
        Self { records, table, row }
    }

    fn tells(&self, a: usize, b: usize) -> bool {
        let (Some(Some(a)), Some(Some(b))) = (self.records.of.get(a), self.records.of.get(b)) else { return false };
        let Some(Some(row)) = self.row.get(*a as usize) else { return false };
        self.table.get(*row as usize * self.records.patterns.len() + *b as usize).copied().unwrap_or(false)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pairs_are_counted_off_in_order() {
        for k in 0..40 {
            let pairs = Pairs { forms: (0..k).collect(), asked: k, each_other: true };
            let want: Vec<(usize, usize)> = (0..k).flat_map(|a| (a + 1..k).map(move |b| (a, b))).collect();
            let got: Vec<(usize, usize)> = (0..pairs.len()).map(|n| pairs.get(n)).collect();
            assert_eq!(got, want, "{k} forms");
        }
        let pairs = Pairs { forms: vec![4, 0, 1, 2, 3], asked: 1, each_other: false };
        assert_eq!((0..pairs.len()).map(|n| pairs.get(n)).collect::<Vec<_>>(), [(0, 1), (0, 2), (0, 3), (0, 4)]);
    }
}
