//! What was seen on the piece in hand.

use super::beside::Beside;
use super::condition::Condition;
use crate::colour::Lab;
use crate::key::{FeatureId, Part, ValueId};
use crate::marks::Looks;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// The piece in hand: everything a person has said of it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Piece {
    /// What was seen, in the order it was said. At most one observation a feature.
    pub observations: Vec<Observation>,
    /// Parts that are gone: lid missing, handle broken off, foot ground down. Their features count neither for nor against any form.
    #[serde(default)]
    pub missing: BTreeSet<Part>,
    /// What is known of it beside the features: its shape, its dates.
    #[serde(default, skip_serializing_if = "Beside::is_empty")]
    pub beside: Beside,
    /// In which condition it is.
    #[serde(default, skip_serializing_if = "Condition::is_blank")]
    pub condition: Condition,
}

/// What was seen of one feature.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Observation {
    /// The feature looked at.
    pub feature: FeatureId,
    /// What was seen.
    pub seen: Seen,
    /// How sure the person is.
    #[serde(default)]
    pub sure: Sure,
}

/// What was seen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Seen {
    /// One value, or any of several ('either').
    Values(Vec<ValueId>),
    /// Several values, each with how likely what was measured is on a piece that has it: round 0.2, oval 0.8. Only their proportions matter; a value
    /// that is not named is as good as excluded.
    Weighed(Vec<(ValueId, f64)>),
    /// A measurement.
    Measured(Measured),
    /// A colour, matched against the values that have one.
    Colour {
        /// The colour.
        lab: Lab,
        /// How uncertain it is, as a ΔE00 (one standard deviation).
        spread: f64,
    },
    /// Wording as far as it can be read: `?` for one unread letter, `…` or `...` for any number.
    Wording(String),
    /// A mark of which more than its wording was seen.
    Mark(MarkSeen),
    /// There is no such thing on the piece, and there never was one: no lid, no handle. (A part that is gone is [`Piece::missing`].)
    NotThere,
    /// Looked at, but it can't be told. Says nothing of any form; the feature is not asked for again.
    NotSure,
}

/// A mark as far as it can be seen.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct MarkSeen {
    /// Its wording as far as it can be read, as in [`Seen::Wording`]; empty where nothing can.
    #[serde(default)]
    pub wording: String,
    /// What was seen beside it.
    #[serde(default)]
    pub looks: Looks,
}

impl MarkSeen {
    /// In words: '“OV?N PROOF”, oval, in green'.
    pub fn words(&self) -> String {
        let wording = if self.wording.is_empty() { String::new() } else { format!("“{}”", self.wording) };
        [wording, self.looks.words()].into_iter().filter(|words| !words.is_empty()).collect::<Vec<_>>().join(", ")
    }

    /// What was seen: the wording alone where that is all.
    pub fn seen(self) -> Seen {
        if self.looks.is_empty() { Seen::Wording(self.wording) } else { Seen::Mark(self) }
    }
}

impl Seen {
    /// Its words and its looks, where it is a mark as far as it can be seen.
    pub fn mark(&self) -> Option<(&str, Looks)> {
        match self {
            Self::Wording(wording) => Some((wording, Looks::default())),
            Self::Mark(mark) => Some((&mark.wording, mark.looks.clone())),
            _ => None,
        }
    }
}

/// A measurement in the feature's unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Measured {
    /// The value.
    pub value: f64,
    /// Half the width of the interval that holds the true value 95 times in 100 (two standard deviations); above 0.
    pub plus_minus: f64,
}

/// How sure a person is of what they saw. It scales the feature's slip rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
pub enum Sure {
    /// As sure as an honest person is.
    #[default]
    Sure,
    /// Probably: four times the slip rate, at most a half.
    Probably,
}

/// The values that a measurement leaves, likeliest first, with their shares; those below one in a hundred are not worth a word.
pub fn weighed(weights: &[(ValueId, f64)]) -> Vec<(&ValueId, f64)> {
    let all: f64 = weights.iter().map(|(_, w)| *w).filter(|w| w.is_finite() && *w > 0.0).sum();
    let mut shares: Vec<(&ValueId, f64)> = weights.iter().map(|(id, w)| (id, w / all)).filter(|(_, share)| *share >= 0.01).collect();
    shares.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| a.0.cmp(b.0)));
    shares
}

impl Piece {
    /// The observation of that feature.
    pub fn seen(&self, feature: &FeatureId) -> Option<&Observation> {
        self.observations.iter().find(|o| o.feature == *feature)
    }

    /// Puts an observation in the place of the same feature's earlier one, or at the end.
    pub fn see(&mut self, observation: Observation) {
        match self.observations.iter_mut().find(|o| o.feature == observation.feature) {
            Some(old) => *old = observation,
            None => self.observations.push(observation),
        }
    }

    /// True where nothing has been said yet.
    pub fn is_blank(&self) -> bool {
        self.observations.is_empty() && self.missing.is_empty() && self.beside.is_empty() && self.condition.is_blank()
    }
}
