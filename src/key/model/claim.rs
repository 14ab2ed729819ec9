//! What the key asserts, how it is known, and when.

use super::super::ids::PaperId;
use super::form::Often;
use crate::say;
use serde::{Deserialize, Serialize};

/// Years, either end open where nothing is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Years {
    /// First year.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<i32>,
    /// Last year.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<i32>,
}

impl Years {
    /// True where neither end is known.
    pub fn is_open(&self) -> bool {
        self.from.is_none() && self.to.is_none()
    }
}

/// A glaze, decoration, mark or line that a form is claimed with, and how that is known.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Held<Id> {
    /// Which one.
    pub id: Id,
    /// How often.
    #[serde(default, skip_serializing_if = "Often::is_always")]
    pub often: Often,
    /// How it is known.
    #[serde(default)]
    pub how: How,
    /// The papers that say so.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub papers: Vec<PaperId>,
    /// A note.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// Anything the key asserts in words.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Claim {
    /// What is claimed, in a sentence.
    pub says: String,
    /// How it is known.
    #[serde(default)]
    pub how: How,
    /// The papers that say so.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub papers: Vec<PaperId>,
}

/// How a claim is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
pub enum How {
    /// On a piece in the hand.
    #[default]
    Seen,
    /// Only in a paper.
    InPaper,
    /// Worked out from other facts.
    Inferred,
    /// Believed without proof.
    Suspected,
    /// Once believed, now known to be wrong. It counts for nothing in naming.
    Refuted,
}

impl How {
    /// The words for it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Seen => say!(in "how a claim is known", "seen"),
            Self::InPaper => say!(in "how a claim is known", "in a paper"),
            Self::Inferred => say!(in "how a claim is known", "inferred"),
            Self::Suspected => say!(in "how a claim is known", "suspected"),
            Self::Refuted => say!(in "how a claim is known", "refuted"),
        }
    }
}

/// A picture of the key.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Picture {
    /// File name below `pictures/`, with forward slashes.
    pub file: String,
    /// What it shows.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub caption: String,
}
