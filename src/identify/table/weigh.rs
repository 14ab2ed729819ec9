//! Weights of the forms after some answers, with the sums of every column worked out in the same pass.

use super::bundle::{CELLS, Codes, Table};
use super::gather::{BLOCK, Sums, block_of, in_order, total};
use rayon::prelude::*;

/// One answer: how likely it is on a form of each pattern of its column.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// The column.
    pub column: usize,
    /// Likelihood by pattern, 0 or more. A pattern left out has likelihood 1.
    pub likelihood: Vec<f64>,
}

/// The weights of the forms, and their sums.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Weights {
    /// Weight of each form: its prior times the likelihood of every answer. Not scaled.
    pub of_form: Vec<f64>,
    /// Sum of all weights.
    pub total: f64,
    /// Sums of the weights over the patterns of every column.
    pub sums: Sums,
}

/// What a form's weight is multiplied with, by the code of a bundle.
struct Factors {
    bundle: usize,
    of_code: Vec<f64>,
}

impl Table {
    /// Weighs all forms from their priors.
    pub fn weigh(&self, prior: &[f64], answers: &[Answer]) -> Weights {
        let mut of_form = prior.to_vec();
        of_form.resize(self.forms, 0.0);
        self.weigh_on(of_form, answers)
    }

    /// The same on weights as they stand: one more answer costs one more multiplication a form. The result differs from that of all answers
    /// together by rounding alone.
    pub fn weigh_on(&self, mut of_form: Vec<f64>, answers: &[Answer]) -> Weights {
        of_form.resize(self.forms, 0.0);
        let factors = self.factors(answers);
        let one = |block: usize, weights: &mut [f64]| {
            for factors in &factors {
                self.multiply(factors, block, weights);
            }
            let mut sums = self.of_block(block, weights);
            sums.push(total(weights));
            sums
        };
        let mut all = if of_form.len() <= BLOCK {
            one(0, &mut of_form)
        } else {
            let blocks = of_form.par_chunks_mut(BLOCK).enumerate().map(|(block, weights)| one(block, weights)).collect();
            in_order(blocks)
        };
        let total = all.pop().unwrap_or(0.0);
        Weights { of_form, total, sums: self.sums(all) }
    }

    /// The answers of each bundle multiplied out, bundle by bundle.
    fn factors(&self, answers: &[Answer]) -> Vec<Factors> {
        let mut all: Vec<Factors> = Vec::new();
        for answer in answers {
            let Some(place) = self.places.get(answer.column) else { continue };
            let Some(bundle) = self.bundles.get(place.bundle) else { continue };
            let at = all.iter().position(|factors| factors.bundle == place.bundle).unwrap_or_else(|| {
                all.push(Factors { bundle: place.bundle, of_code: vec![1.0; bundle.cells] });
                all.len() - 1
            });
            let Some(factors) = all.get_mut(at) else { continue };
            let of_pattern = (0..place.patterns).map(|pattern| answer.likelihood.get(pattern).copied().unwrap_or(1.0)).cycle();
            for (run, likelihood) in factors.of_code.chunks_mut(place.stride).zip(of_pattern) {
                for factor in run {
                    *factor *= likelihood;
                }
            }
        }
        for factors in &mut all {
            // Of so many forms it pays to fill the array up, whose length then needs no look.
            if factors.of_code.len() < CELLS && self.forms > CELLS {
                factors.of_code.resize(CELLS, 1.0);
            }
        }
        all.sort_by_key(|factors| factors.bundle);
        all
    }

    #[expect(clippy::indexing_slicing, reason = "a remainder by the length of the array")]
    fn multiply(&self, factors: &Factors, block: usize, weights: &mut [f64]) {
        match (self.bundles.get(factors.bundle).map(|bundle| &bundle.codes), factors.of_code.first_chunk::<CELLS>()) {
            (Some(Codes::Narrow(codes)), Some(of_code)) => {
                for (weight, &code) in weights.iter_mut().zip(block_of(codes, block)) {
                    *weight *= of_code[usize::from(code) % CELLS];
                }
            }
            (Some(Codes::Narrow(codes)), None) => {
                for (weight, &code) in weights.iter_mut().zip(block_of(codes, block)) {
                    *weight *= factors.of_code.get(usize::from(code)).copied().unwrap_or(1.0);
                }
            }
            (Some(Codes::Wide(codes)), _) => {
                for (weight, &code) in weights.iter_mut().zip(block_of(codes, block)) {
                    *weight *= factors.of_code.get(code as usize).copied().unwrap_or(1.0);
                }
            }
            (None, _) => {}
        }
    }
}
