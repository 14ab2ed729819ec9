//! The posterior over all forms, and who stands where.
//!
//! p(f | o) ∝ p(f) ∏ p(oⱼ | f), with 'not in this key' as a candidate of its own. Observations are multiplied in the order of the key's
//! features, whatever the order they were made in, so that the same answers give the same bits.

use super::beside::Bearings;
use super::candidates::{Behind, Candidates, LEADING};
use super::column::Column;
use super::piece::{Observation, Piece};
use super::reading::{Reading, Silent, read, seen_words};
use super::table::{Answer, Slips, Sums, Weights};
use super::{Agreement, Contradiction, Ignored, Index, Standing, Verdict};
use crate::key::Part;
use crate::{say, say_count};
use std::sync::Arc;

/// The least likelihood that is told from none: keeps sums of logarithms finite where every form is contradicted.
const LEAST: f64 = 1e-300;
/// Where all weights together come to less than this, they are worked out once more by their logarithms.
const FADED: f64 = 1e-100;

/// How much of a standing is made at once.
#[derive(Debug, Clone, Copy)]
struct Depth {
    /// Candidates that are at hand; the others are made when asked for.
    candidates: usize,
    /// Next looks, the best first.
    looks: usize,
}

/// A piece, weighed: the inside of a [`Standing`].
#[derive(Debug, Clone)]
pub(super) struct Weighed {
    /// What counted, in the order of the columns: column number, observation, reading.
    pub(super) readings: Vec<(usize, Observation, Reading)>,
    /// Posterior of each form.
    pub(super) posterior: Vec<f64>,
    /// The posterior that stands on each pattern of each column.
    pub(super) sums: Sums,
    /// Posterior of 'not in this key'.
    pub(super) stranger: f64,
    /// Shannon entropy of them all, in bits.
    pub(super) entropy_bits: f64,
    /// How many answers disagree with each form.
    pub(super) slips: Slips,
    /// What is known beside the features.
    pub(super) bearings: Arc<Bearings>,
}

impl Index {
    /// Everything the Bench shows of a piece, in one go: who fits, how probable each form is, and what to look at next.
    pub fn standing(&self, piece: &Piece) -> Standing {
        self.standing_of(piece, None, Depth { candidates: LEADING, looks: usize::MAX })
    }

    fn standing_of(&self, piece: &Piece, before: Option<&Standing>, depth: Depth) -> Standing {
        let weighed = self.weigh_after(piece, before);
        let fitting = weighed.slips.exactly(0);
        let fits = fitting.count();
        let one_slip = weighed.slips.exactly(1).count();
        Standing {
            entropy_bits: weighed.entropy_bits,
            not_in_key: weighed.stranger,
            fits,
            one_slip,
            set_aside: self.forms.len() - fits - one_slip,
            next_looks: self.next_looks(piece, &weighed, depth.looks),
            contradictions: if fits == 0 { self.contradictions(&weighed) } else { Vec::new() },
            ignored: self.ignored(piece),
            candidates: Candidates::new(
                Behind { piece: piece.clone(), forms: Arc::clone(&self.forms), columns: Arc::clone(&self.columns), weighed },
                depth.candidates,
            ),
        }
    }

    /// The standing and the verdict of a piece: what one more answer changes on the Bench. The piece is weighed once for both.
    pub fn answer(&self, piece: &Piece) -> (Standing, Verdict) {
        let standing = self.standing(piece);
        let verdict = self.verdict(piece, &standing);
        (standing, verdict)
    }

    /// The same, one answer more or less after another standing of the same index: what was weighed then is not weighed again.
    pub fn answer_after(&self, before: &Standing, piece: &Piece) -> (Standing, Verdict) {
        let standing = self.standing_of(piece, Some(before), Depth { candidates: LEADING, looks: usize::MAX });
        let verdict = self.verdict(piece, &standing);
        (standing, verdict)
    }

    /// The same for a row of a list, of which only the names are kept: of the next looks the first alone is there.
    pub fn answer_in_brief(&self, piece: &Piece) -> (Standing, Verdict) {
        let standing = self.standing_of(piece, None, Depth { candidates: 2, looks: 1 });
        let verdict = self.verdict(piece, &standing);
        (standing, verdict)
    }

    /// What counts of a piece, in the order of the columns.
    pub(super) fn readings(&self, piece: &Piece, before: Option<&Standing>) -> Vec<(usize, Observation, Reading)> {
        // An answer that was weighed before, by the same columns, is not weighed again.
        let before = before.and_then(|standing| standing.candidates.behind()).filter(|behind| Arc::ptr_eq(&behind.columns, &self.columns));
        let known = |i: usize, observation: &Observation| {
            let readings = &before?.weighed.readings;
            let at = readings.binary_search_by_key(&i, |reading| reading.0).ok()?;
            readings.get(at).filter(|reading| reading.1 == *observation).map(|reading| reading.2.clone())
        };
        let mut readings = Vec::new();
        for (at, observation) in piece.observations.iter().enumerate() {
            // The last one said of a feature counts, should there be two.
            let later = piece.observations.iter().skip(at + 1).any(|other| other.feature == observation.feature);
            if !later
                && let Some(&i) = self.by_feature.get(&observation.feature)
                && let Some(column) = self.columns.get(i)
                && hidden_by(column, piece).is_none()
                && let Some(reading) = known(i, observation).or_else(|| read(column, observation).ok())
            {
                readings.push((i, observation.clone(), reading));
            }
        }
        readings.sort_by_key(|reading| reading.0);
        readings
    }

    /// Weighs every observation that counts.
    pub(super) fn weigh(&self, piece: &Piece) -> Weighed {
        self.weigh_after(piece, None)
    }

    fn weigh_after(&self, piece: &Piece, before: Option<&Standing>) -> Weighed {
        let readings = self.readings(piece, before);
        let known = before.and_then(|standing| standing.candidates.behind()).filter(|behind| Arc::ptr_eq(&behind.columns, &self.columns));
        let bearings = self.bearings(piece, known.map(|behind| &behind.weighed.bearings));
        let mut slips = Slips::none(self.forms.len());
        for (i, _, reading) in &readings {
            if let Some(column) = self.columns.get(*i) {
                slips.count_all_but(&column.left_by(&reading.agreement));
            }
        }
        let prior = self.settings.not_in_key;
        if self.forms.is_empty() {
            let (posterior, sums) = (Vec::new(), Sums::default());
            return Weighed { readings, posterior, sums, stranger: 1.0, entropy_bits: 0.0, slips, bearings };
        }
        // Each answer scaled by the most it gives to anyone, so that products keep in range.
        let tempered = bearings.tempered(&self.prior);
        let (of_forms, of_stranger) = tempered.as_ref().map_or((&self.prior, 1.0), |(forms, stranger)| (forms, *stranger));
        let mut stranger = prior * of_stranger;
        let answers: Vec<Answer> = readings
            .iter()
            .map(|(column, _, reading)| {
                let most = reading.likelihood.iter().copied().fold(reading.stranger, f64::max).max(LEAST);
                stranger *= (reading.stranger / most).max(LEAST);
                Answer { column: *column, likelihood: reading.likelihood.iter().map(|l| (l / most).max(LEAST)).collect() }
            })
            .collect();
        let Weights { mut of_form, total, sums } = self.table.weigh(of_forms, &answers);
        let sum = (1.0 - prior) * total + stranger;
        if !(sum >= FADED && sum.is_finite()) {
            return self.weigh_by_logarithms(readings, slips, bearings);
        }
        let scale = (1.0 - prior) / sum;
        for weight in &mut of_form {
            *weight *= scale;
        }
        let (sums, stranger) = (sums.scaled(scale), stranger / sum);
        // −Σ p log₂ p with log₂ p = log₂ prior + Σ log₂ likelihood + log₂ scale: the likelihoods stand on patterns, so their part is in the sums.
        let known = total * scale;
        let mut bits = -known * scale.log2() - of_one(stranger);
        bits -= match &self.prior_bits {
            _ if tempered.is_some() => of_form.iter().zip(of_forms).map(|(p, prior)| p * prior.log2()).sum(),
            Some(prior_bits) => of_form.iter().zip(prior_bits).map(|(p, bits)| p * bits).sum(),
            None => -known * (self.forms.len() as f64).log2(),
        };
        for answer in &answers {
            bits -= sums.of(answer.column).iter().zip(&answer.likelihood).map(|(p, l)| p * l.log2()).sum::<f64>();
        }
        Weighed { readings, posterior: of_form, sums, stranger, entropy_bits: bits.max(0.0), slips, bearings }
    }

    /// The same by sums of logarithms, for answers of which every form contradicts so many that products would fade to nothing.
    fn weigh_by_logarithms(&self, readings: Vec<(usize, Observation, Reading)>, slips: Slips, bearings: Arc<Bearings>) -> Weighed {
        let prior = self.settings.not_in_key;
        let of_form = |(form, p): (usize, &f64)| ((1.0 - prior) * p).ln() + bearings.of(form);
        let mut log: Vec<f64> = self.prior.iter().enumerate().map(of_form).collect();
        let mut stranger = if prior > 0.0 { prior.ln() + bearings.stranger() } else { f64::NEG_INFINITY };
        for (i, _, reading) in &readings {
            let Some(column) = self.columns.get(*i) else { continue };
            let logs: Vec<f64> = reading.likelihood.iter().map(|l| l.max(LEAST).ln()).collect();
            for (sum, &pattern) in log.iter_mut().zip(column.pattern.iter()) {
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
        let sums = self.table.gather(&posterior);
        let entropy_bits = entropy(posterior.iter().copied().chain([stranger]));
        Weighed { readings, posterior, sums, stranger, entropy_bits, slips, bearings }
    }

    /// Where nothing fits: which answers, left out, would let something fit.
    fn contradictions(&self, weighed: &Weighed) -> Vec<Contradiction> {
        let alone = weighed.slips.exactly(1);
        let mut found: Vec<Contradiction> = weighed
            .readings
            .iter()
            .filter_map(|(i, observation, reading)| {
                let column = self.columns.get(*i)?;
                let fits_without = alone.count_without(&column.left_by(&reading.agreement));
                (fits_without > 0).then(|| Contradiction {
                    feature: column.id.clone(),
                    fits_without,
                    says: say_count!(
                        n = fits_without,
                        "without “{feature}: {saw}”, {n} form fits",
                        "without “{feature}: {saw}”, {n} forms fit",
                        feature = column.name,
                        saw = seen_words(column, observation)
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
                    None => say!("the key has no feature “{feature}”", feature = observation.feature),
                    Some(column) => match (hidden_by(column, piece), read(column, observation)) {
                        (Some(part), _) => say!("{feature}: the {part} is missing", feature = column.name, part = part.word()),
                        (None, Err(Silent::Unfit)) => {
                            say!(
                                "{feature}: {saw} is no answer to it in this key",
                                feature = column.name,
                                saw = seen_words(column, observation)
                            )
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

pub(super) fn is_against(agreement: Agreement) -> bool {
    matches!(agreement, Agreement::Disagrees | Agreement::NotApplicable)
}

/// The missing part without which a feature cannot be looked at.
pub(super) fn hidden_by(column: &Column, piece: &Piece) -> Option<Part> {
    column.needs.iter().copied().find(|part| piece.missing.contains(part))
}

/// Shannon entropy in bits of probabilities that sum to 1: H = −Σ p log₂ p (Bell Syst. Tech. J. 27, 1948).
pub(super) fn entropy(p: impl Iterator<Item = f64>) -> f64 {
    -p.map(of_one).sum::<f64>().min(0.0)
}

/// p log₂ p
fn of_one(p: f64) -> f64 {
    if p > 0.0 { p * p.log2() } else { 0.0 }
}
