//! Every form of the key, most probable first, made as far as it is asked for.

use super::column::Column;
use super::index::Entry;
use super::piece::Piece;
use super::standing::{Weighed, disagrees};
use super::{Candidate, Shelf};
use crate::key::FormId;
use std::ops::Deref;
use std::sync::{Arc, OnceLock};

/// So many are made at once for a screen; the others when someone asks for more.
pub(super) const LEADING: usize = 256;

/// So many of the forms that fit, and of those with one slip, are made for a shelf.
pub const SHELVED: usize = 120;

/// Every form of the key, most probable first; ties by form id. A slice of [`Candidate`]s, of which the leading few hundred are at hand and
/// the others are made when first asked for: [`Self::first`], [`Self::len`] and [`Self::iter`] as far as it goes cost nothing more.
#[derive(Clone, Default)]
pub struct Candidates {
    leading: Vec<Candidate>,
    all: OnceLock<Vec<Candidate>>,
    fitting: OnceLock<Vec<Candidate>>,
    slipping: OnceLock<Vec<Candidate>>,
    behind: Option<Arc<Behind>>,
}

/// What a standing was made from.
#[derive(Debug)]
pub(super) struct Behind {
    pub(super) piece: Piece,
    pub(super) forms: Arc<Vec<Entry>>,
    pub(super) columns: Arc<Vec<Column>>,
    pub(super) weighed: Weighed,
}

impl Candidates {
    /// The candidates, so many of the first made at once.
    pub(super) fn new(behind: Behind, at_hand: usize) -> Self {
        let leading = leading(&behind.weighed.posterior, at_hand).into_iter().filter_map(|form| behind.candidate(form)).collect();
        Self { leading, behind: Some(Arc::new(behind)), ..Self::default() }
    }

    /// Number of forms.
    pub fn len(&self) -> usize {
        self.behind.as_ref().map_or(self.leading.len(), |behind| behind.forms.len())
    }

    /// True of a key without forms.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The most probable form.
    pub fn first(&self) -> Option<&Candidate> {
        self.leading.first()
    }

    /// The leading forms that are at hand, at most a few hundred.
    pub fn leading(&self) -> &[Candidate] {
        &self.leading
    }

    /// The first of those that disagree with nothing, at most [`SHELVED`].
    pub fn fitting(&self) -> &[Candidate] {
        self.fitting.get_or_init(|| self.with_slips(0))
    }

    /// The first of those that disagree in one answer, at most [`SHELVED`]. In a large key they stand far behind, and all before them need not
    /// be made.
    pub fn slipping(&self) -> &[Candidate] {
        self.slipping.get_or_init(|| self.with_slips(1))
    }

    fn with_slips(&self, slips: usize) -> Vec<Candidate> {
        let Some(behind) = &self.behind else { return Vec::new() };
        let weighed = &behind.weighed;
        let mut forms: Vec<usize> = weighed.slips.exactly(slips).iter().collect();
        let p = |form: usize| weighed.posterior.get(form).copied().unwrap_or(0.0);
        let by_rank = |a: &usize, b: &usize| p(*b).total_cmp(&p(*a)).then(a.cmp(b));
        if forms.len() > SHELVED {
            forms.select_nth_unstable_by(SHELVED, by_rank);
            forms.truncate(SHELVED);
        }
        forms.sort_unstable_by(by_rank);
        forms.into_iter().filter_map(|form| behind.candidate(form)).collect()
    }

    /// The probability of a form; none where the key does not have it.
    pub fn probability(&self, form: &FormId) -> Option<f64> {
        let behind = self.behind.as_ref()?;
        let at = behind.forms.binary_search_by(|entry| entry.id.cmp(form)).ok()?;
        behind.weighed.posterior.get(at).copied()
    }

    /// All forms.
    pub fn all(&self) -> &[Candidate] {
        if self.leading.len() == self.len() { &self.leading } else { self.all.get_or_init(|| self.make_all()) }
    }

    /// One after the other. The others are made when the leading ones are through.
    pub fn iter(&self) -> Iter<'_> {
        Iter { of: self, at: 0 }
    }

    pub(super) fn behind(&self) -> Option<&Behind> {
        self.behind.as_deref()
    }

    fn make_all(&self) -> Vec<Candidate> {
        let Some(behind) = &self.behind else { return self.leading.clone() };
        let posterior = &behind.weighed.posterior;
        leading(posterior, posterior.len()).into_iter().filter_map(|form| behind.candidate(form)).collect()
    }
}

impl Behind {
    fn candidate(&self, form: usize) -> Option<Candidate> {
        let entry = self.forms.get(form)?;
        let against = |(i, _, reading): &(usize, _, _)| {
            let column = self.columns.get(*i)?;
            disagrees(column, reading, form).then(|| column.id.clone())
        };
        let disagreements: Vec<_> =
            if self.weighed.slips.of(form) == 0 { Vec::new() } else { self.weighed.readings.iter().filter_map(against).collect() };
        let place = match disagreements.as_slice() {
            [] => Shelf::Fits,
            [one] => Shelf::OneSlip(one.clone()),
            _ => Shelf::SetAside,
        };
        Some(Candidate {
            form: entry.id.clone(),
            name: entry.name.clone(),
            line: entry.line.clone(),
            probability: self.weighed.posterior.get(form).copied().unwrap_or(0.0),
            disagreements,
            place,
        })
    }
}

/// The so many most probable forms, most probable first. Forms stand in the order of their ids, so the lower number wins a tie.
fn leading(posterior: &[f64], most: usize) -> Vec<usize> {
    let p = |form: usize| posterior.get(form).copied().unwrap_or(0.0);
    let by_rank = |a: &usize, b: &usize| p(*b).total_cmp(&p(*a)).then(a.cmp(b));
    let mut kept: Vec<usize> = Vec::new();
    if most >= posterior.len() {
        kept.extend(0..posterior.len());
    } else if most > 0 {
        // Twice as many as wanted are let in before the lesser half is thrown out and the bar raised.
        let mut bar = f64::NEG_INFINITY;
        for (form, &x) in posterior.iter().enumerate() {
            if x > bar {
                kept.push(form);
                if kept.len() == 2 * most {
                    let (_, last, _) = kept.select_nth_unstable_by(most - 1, by_rank);
                    bar = p(*last);
                    kept.truncate(most);
                }
            }
        }
    }
    kept.sort_unstable_by(by_rank);
    kept.truncate(most);
    kept
}

/// Candidates, one after the other.
#[derive(Debug, Clone)]
pub struct Iter<'a> {
    of: &'a Candidates,
    at: usize,
}

impl<'a> Iterator for Iter<'a> {
    type Item = &'a Candidate;

    fn next(&mut self) -> Option<&'a Candidate> {
        if self.at >= self.of.len() {
            return None;
        }
        let next = self.of.leading.get(self.at).or_else(|| self.of.all().get(self.at));
        self.at += 1;
        next
    }

    fn size_hint(&self) -> (usize, Option<usize>) {
        let left = self.of.len().saturating_sub(self.at);
        (left, Some(left))
    }
}

impl ExactSizeIterator for Iter<'_> {}

impl Deref for Candidates {
    type Target = [Candidate];

    fn deref(&self) -> &[Candidate] {
        self.all()
    }
}

impl PartialEq for Candidates {
    fn eq(&self, other: &Self) -> bool {
        self.len() == other.len() && self.leading == other.leading && self.all() == other.all()
    }
}

impl std::fmt::Debug for Candidates {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_list().entries(self.all()).finish()
    }
}

impl<'a> IntoIterator for &'a Candidates {
    type Item = &'a Candidate;
    type IntoIter = Iter<'a>;

    fn into_iter(self) -> Iter<'a> {
        self.iter()
    }
}

impl IntoIterator for Candidates {
    type Item = Candidate;
    type IntoIter = std::vec::IntoIter<Candidate>;

    fn into_iter(mut self) -> Self::IntoIter {
        if self.leading.len() == self.len() {
            return self.leading.into_iter();
        }
        self.all();
        self.all.take().unwrap_or_default().into_iter()
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::indexing_slicing, reason = "tests")]
    use super::leading;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn the_leading_forms_are_the_head_of_the_whole_order(p in prop::collection::vec((0_u8..6).prop_map(f64::from), 0..80), most in 0_usize..90) {
            let mut order: Vec<usize> = (0..p.len()).collect();
            order.sort_by(|&a, &b| p[b].total_cmp(&p[a]));
            order.truncate(most);
            prop_assert_eq!(leading(&p, most), order);
        }
    }
}
