//! One piece of evidence.

use super::span::Spans;
use crate::say;
use serde::{Deserialize, Serialize};

/// What a piece of evidence dates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
pub enum Thing {
    /// The making of the form.
    Making,
    /// The mark.
    #[default]
    Mark,
    /// The decoration.
    Decoration,
    /// The sale.
    Sale,
}

impl Thing {
    /// 'the making of the piece'.
    pub fn words(self) -> &'static str {
        match self {
            Self::Making => say!("the making of the piece"),
            Self::Mark => say!("the mark"),
            Self::Decoration => say!("the decoration"),
            Self::Sale => say!("the sale"),
        }
    }

    /// 'making', for programs.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Making => "making",
            Self::Mark => "mark",
            Self::Decoration => "decoration",
            Self::Sale => "sale",
        }
    }
}

/// How much a date can be leant on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Firmness {
    /// A statute or an order says so, for the goods it reached.
    Law,
    /// A paper of the maker says so.
    Paper,
    /// Makers used to.
    Custom,
    /// A hint, which never bounds anything.
    Weak,
}

impl Firmness {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Law => say!(in "how firm a date is", "law"),
            Self::Paper => say!(in "how firm a date is", "maker's paper"),
            Self::Custom => say!(in "how firm a date is", "custom"),
            Self::Weak => say!(in "how firm a date is", "weak"),
        }
    }

    /// True of law and papers.
    pub const fn is_firm(self) -> bool {
        matches!(self, Self::Law | Self::Paper)
    }
}

/// How well a figure of a rule is known to those who wrote it down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
pub enum Known {
    /// A published source was seen.
    #[default]
    Checked,
    /// Habit of the trade, no source.
    CommonPractice,
    /// Written from memory, no source was seen.
    FromMemory,
    /// Sources contradict each other.
    Disputed,
}

impl Known {
    /// What is to be said of it; nothing where it was checked.
    pub fn words(self) -> &'static str {
        match self {
            Self::Checked => "",
            Self::CommonPractice => say!("common practice, no source"),
            Self::FromMemory => say!("from memory"),
            Self::Disputed => say!("sources contradict each other"),
        }
    }
}

/// Where a piece of evidence comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "each is a plain word")]
pub enum Origin {
    Diamond,
    RegisteredNumber,
    Wording,
    DateCode,
    MarkYears,
    FormYears,
    DecorationYears,
    Sale,
}

impl Origin {
    /// 'the date code'.
    pub fn words(self) -> &'static str {
        match self {
            Self::Diamond => say!("the diamond"),
            Self::RegisteredNumber => say!("the number"),
            Self::Wording => say!("the wording"),
            Self::DateCode => say!("the date code"),
            Self::MarkYears => say!("the years of the mark"),
            Self::FormYears => say!("the years of the form"),
            Self::DecorationYears => say!("the years of the decoration"),
            Self::Sale => say!("the sale"),
        }
    }
}

/// Whether a date bounds, or only says when a thing was usual.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
pub enum Weighs {
    /// It bounds.
    #[default]
    Bounds,
    /// It was usual then, and is found outside.
    Usual,
}

/// When the mark came onto the piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum MarkPut {
    /// When the piece was made: under the glaze, impressed, moulded.
    #[default]
    WithTheMaking,
    /// Perhaps later, with a decoration: over the glaze, painted, a label.
    PerhapsLater,
}

/// One piece of evidence.
#[derive(Debug, Clone, PartialEq)]
pub struct Evidence {
    /// What it dates.
    pub dates: Thing,
    /// Where it comes from.
    pub origin: Origin,
    /// When; several spans where it can be read in several ways.
    pub when: Spans,
    /// Whether that bounds.
    pub weighs: Weighs,
    /// How firm it is.
    pub firmness: Firmness,
    /// How well its figures are known.
    pub known: Known,
    /// What was seen and what follows: `'MADE IN ENGLAND': 1900 or later`.
    pub says: String,
    /// Why that follows.
    pub because: String,
    /// Where that is published.
    pub source: String,
}

impl Evidence {
    /// True where it may bound an interval.
    pub fn bounds(&self) -> bool {
        self.weighs == Weighs::Bounds && self.firmness != Firmness::Weak
    }

    /// 'law', 'weak, from memory'.
    pub fn firmness_words(&self) -> String {
        match self.known.words() {
            "" => self.firmness.word().to_owned(),
            known => format!("{}, {known}", self.firmness.word()),
        }
    }
}
