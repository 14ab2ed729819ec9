//! The posterior over all forms, and who stands where.
//!
//! p(f | o) ∝ p(f) ∏ p(oⱼ | f), with 'not in this key' as a candidate of its own. Observations are multiplied in the order of the key's
//! features, whatever the order they were made in, so that the same answers give the same bits.

use super::column::Column;
use super::piece::{Observation, Piece};
use super::reading::{Reading, Silent, read, seen_words};
use super::text::count;
use super::{Agreement, Candidate, Contradiction, Ignored, Index, Shelf, Standing};
use crate::key::Part;

/// The least likelihood that is told from none: keeps sums of logarithms finite where every form is contradicted.
const LEAST: f64 = 1e-300;

/// A piece, weighed: the inside of a [`Standing`].
#[derive(Debug, Clone)]
pub(super) struct Weighed<'a> {
    /// What counted, in the order of the columns: column number, observation, reading.
    pub(super) readings: Vec<(usize, &'a Observation, Reading)>,
    /// Posterior of each form.
    pub(super) posterior: Vec<f64>,
    /// Posterior of 'not in this key'.
    pub(super) stranger: f64,
    /// How many answers disagree with each form.
    pub(super) disagree: Vec<u16>,
}

impl Index {
    /// Everything the Bench shows of a piece, in one go: who fits, how probable each form is, and what to look at next.
    pub fn standing(&self, piece: &Piece) -> Standing {
        let weighed = self.weigh(piece);
        let mut order: Vec<usize> = (0..self.forms.len()).collect();
        let p = |form: usize| weighed.posterior.get(form).copied().unwrap_or(0.0);
        // Forms stand in the order of their ids, and the sort is stable: ties stay so.
        order.sort_by(|&a, &b| p(b).total_cmp(&p(a)));
        let candidates: Vec<Candidate> = order.into_iter().filter_map(|form| self.candidate(form, &weighed)).collect();
        let fits = weighed.disagree.iter().filter(|&&n| n == 0).count();
        let one_slip = weighed.disagree.iter().filter(|&&n| n == 1).count();
        Standing {
            entropy_bits: entropy(weighed.posterior.iter().copied().chain([weighed.stranger])),
            not_in_key: weighed.stranger,
            fits,
            one_slip,
            set_aside: candidates.len() - fits - one_slip,
            next_looks: self.next_looks(piece, &weighed),
            contradictions: self.contradictions(&weighed),
            ignored: self.ignored(piece),
            candidates,
        }
    }

    fn candidate(&self, form: usize, weighed: &Weighed<'_>) -> Option<Candidate> {
        let entry = self.forms.get(form)?;
        let mut disagreements = Vec::new();
        if weighed.disagree.get(form).is_some_and(|&n| n > 0) {
            for (i, _, reading) in &weighed.readings {
                if let Some(column) = self.columns.get(*i)
                    && disagrees(column, reading, form)
                {
                    disagreements.push(column.id.clone());
                }
            }
        }
        let place = match disagreements.as_slice() {
            [] => Shelf::Fits,
            [one] => Shelf::OneSlip(one.clone()),
            _ => Shelf::SetAside,
        };
        Some(Candidate {
            form: entry.id.clone(),
            name: entry.name.clone(),
            line: entry.line.clone(),
            probability: weighed.posterior.get(form).copied().unwrap_or(0.0),
            disagreements,
            place,
        })
    }

    /// Weighs every observation that counts.
    pub(super) fn weigh<'a>(&self, piece: &'a Piece) -> Weighed<'a> {
        let mut readings: Vec<(usize, &Observation, Reading)> = Vec::new();
        for (i, column) in self.columns.iter().enumerate() {
            // The last one said of a feature counts, should there be two.
            if let Some(observation) = piece.observations.iter().rev().find(|o| o.feature == column.id)
                && self.by_feature.get(&column.id) == Some(&i)
                && hidden_by(column, piece).is_none()
                && let Ok(reading) = read(column, observation)
            {
                readings.push((i, observation, reading));
            }
        }
        let (posterior, stranger) = self.posterior(&readings);
        let mut disagree = vec![0u16; self.forms.len()];
        for (i, _, reading) in &readings {
            if let Some(column) = self.columns.get(*i) {
                let marks: Vec<u16> = reading.agreement.iter().map(|a| u16::from(is_against(*a))).collect();
                for (n, &pattern) in disagree.iter_mut().zip(&column.pattern) {
                    *n += marks.get(pattern as usize).copied().unwrap_or(0);
                }
            }
        }
        Weighed { readings, posterior, stranger, disagree }
    }

    fn posterior(&self, readings: &[(usize, &Observation, Reading)]) -> (Vec<f64>, f64) {
        let prior = self.settings.not_in_key;
        if self.forms.is_empty() {
            return (Vec::new(), 1.0);
        }
        let mut log: Vec<f64> = self.prior.iter().map(|p| ((1.0 - prior) * p).ln()).collect();
        let mut stranger = if prior > 0.0 { prior.ln() } else { f64::NEG_INFINITY };
        for (i, _, reading) in readings {
            let Some(column) = self.columns.get(*i) else { continue };
            let logs: Vec<f64> = reading.likelihood.iter().map(|l| l.max(LEAST).ln()).collect();
            for (sum, &pattern) in log.iter_mut().zip(&column.pattern) {
                *sum += logs.get(pattern as usize).copied().unwrap_or(0.0);
            }
            stranger += reading.stranger.max(LEAST).ln();
        }
        let most = log.iter().copied().fold(stranger, f64::max);
        let mut posterior: Vec<f64> = log.iter().map(|l| (l - most).exp()).collect();
        let mut stranger = (stranger - most).exp();
        let sum = posterior.iter().sum::<f64>() + stranger;
        for p in &mut posterior {
            *p /= sum;
        }
        stranger /= sum;
        (posterior, stranger)
    }

    /// Where nothing fits: which answers, left out, would let something fit.
    fn contradictions(&self, weighed: &Weighed<'_>) -> Vec<Contradiction> {
        if self.forms.is_empty() || weighed.disagree.contains(&0) {
            return Vec::new();
        }
        let mut found: Vec<Contradiction> = weighed
            .readings
            .iter()
            .filter_map(|(i, observation, reading)| {
                let column = self.columns.get(*i)?;
                let alone = |&(form, &n): &(usize, &u16)| n == 1 && disagrees(column, reading, form);
                let fits_without = weighed.disagree.iter().enumerate().filter(alone).count();
                (fits_without > 0).then(|| Contradiction {
                    feature: column.id.clone(),
                    fits_without,
                    says: format!(
                        "without “{}: {}”, {} {}",
                        column.name,
                        seen_words(column, observation),
                        count(fits_without, "form"),
                        if fits_without == 1 { "fits" } else { "fit" }
                    ),
                })
            })
            .collect();
        found.sort_by_key(|c| std::cmp::Reverse(c.fits_without));
        found
    }

    fn ignored(&self, piece: &Piece) -> Vec<Ignored> {
        piece
            .observations
            .iter()
            .filter_map(|observation| {
                let says = match self.column(&observation.feature) {
                    None => format!("the key has no feature “{}”", observation.feature),
                    Some(column) => match (hidden_by(column, piece), read(column, observation)) {
                        (Some(part), _) => format!("{}: the {} is missing", column.name, part.word()),
                        (None, Err(Silent::Unfit)) => {
                            format!("{}: {} is no answer to it in this key", column.name, seen_words(column, observation))
                        }
                        (None, Err(Silent::NotSure) | Ok(_)) => return None,
                    },
                };
                Some(Ignored { feature: observation.feature.clone(), says })
            })
            .collect()
    }
}

/// True where the answer disagrees with the form.
pub(super) fn disagrees(column: &Column, reading: &Reading, form: usize) -> bool {
    reading.agreement.get(column.pattern_of(form)).copied().is_some_and(is_against)
}

fn is_against(agreement: Agreement) -> bool {
    matches!(agreement, Agreement::Disagrees | Agreement::NotApplicable)
}

/// The missing part without which a feature cannot be looked at.
pub(super) fn hidden_by(column: &Column, piece: &Piece) -> Option<Part> {
    column.needs.iter().copied().find(|part| piece.missing.contains(part))
}

/// Shannon entropy in bits of probabilities that sum to 1: H = −Σ p log₂ p (Bell Syst. Tech. J. 27, 1948).
pub(super) fn entropy(p: impl Iterator<Item = f64>) -> f64 {
    p.map(|p| if p > 0.0 { -p * p.log2() } else { 0.0 }).sum::<f64>().max(0.0)
}
