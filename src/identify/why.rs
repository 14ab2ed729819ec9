//! Why a form stands where it does: one reason an answer.

use super::column::{Column, RECORDED};
use super::piece::{Observation, Piece};
use super::reading::{read, seen_words};
use super::standing::hidden_by;
use super::{Agreement, Index, Reason};
use crate::key::{FormId, Part};
use crate::say;

/// What is known beside the features speaks against a form from so many bits.
const LEAST_AGAINST_BITS: f64 = 1.0;

impl Index {
    /// How each answer stands to a form, in the order the answers were given. Empty where the key has no such form.
    pub fn why(&self, piece: &Piece, form: &FormId) -> Vec<Reason> {
        let Some(&form) = self.by_form.get(form) else { return Vec::new() };
        let bearings = self.bearings(piece, None);
        let beside = self.why_beside(piece, &bearings, form).into_iter().map(|(bits, says)| {
            let agreement = match bits {
                bits if bits > 0.0 => Agreement::Agrees,
                bits if bits < -LEAST_AGAINST_BITS => Agreement::Disagrees,
                _ => Agreement::NotSure,
            };
            Reason { feature: None, agreement, bits, says }
        });
        piece
            .observations
            .iter()
            .filter_map(|observation| {
                let column = self.column(&observation.feature)?;
                let (agreement, bits, says) = self.reason(piece, column, observation, form);
                Some(Reason { feature: Some(column.id.clone()), agreement, bits, says: format!("{}: {says}", column.name) })
            })
            .chain(beside)
            .collect()
    }

    fn reason(&self, piece: &Piece, column: &Column, observation: &Observation, form: usize) -> (Agreement, f64, String) {
        if let Some(part) = hidden_by(column, piece) {
            return (Agreement::NotSure, 0.0, say!("not counted, because the {part} is missing", part = part.word()));
        }
        let Ok(reading) = read(column, observation) else {
            return (Agreement::NotSure, 0.0, say!("you could not tell").to_owned());
        };
        let pattern = column.pattern_of(form);
        let agreement = reading.agreement.get(pattern).copied().unwrap_or(Agreement::NotRecorded);
        let likelihood = reading.likelihood.get(pattern).copied().unwrap_or(reading.mean);
        let bits = if agreement == Agreement::NotRecorded { 0.0 } else { log_ratio(likelihood, reading.mean) };
        let saw = seen_words(column, observation);
        let has = if pattern < RECORDED { self.lacks(column, form) } else { say!("the key has {words}", words = column.words(pattern)) };
        let says = match agreement {
            Agreement::Agrees => say!("you saw {saw}, and {has}", saw, has),
            Agreement::Disagrees if pattern < RECORDED => say!("you saw {saw}, but this form has a {part}", saw, part = column.part.word()),
            Agreement::Disagrees => say!("you saw {saw}, {has}", saw, has),
            Agreement::NotApplicable => say!("you saw {saw}, but {has}", saw, has),
            Agreement::NotRecorded => say!("you saw {saw}, the key does not say", saw),
            Agreement::NotSure => say!("you could not tell").to_owned(),
        };
        (agreement, bits, says)
    }

    /// Why a form cannot have a feature, in words.
    fn lacks(&self, column: &Column, form: usize) -> String {
        let parts = self.forms.get(form).map(|entry| entry.parts.as_slice()).unwrap_or_default();
        if column.part == Part::Body || parts.contains(&column.part) {
            say!("this form cannot have it").to_owned()
        } else {
            say!("this form has no {part}", part = column.part.word())
        }
    }
}

/// log₂ (a / b), 0 where neither says anything.
fn log_ratio(a: f64, b: f64) -> f64 {
    a.max(1e-300).log2() - b.max(1e-300).log2()
}
