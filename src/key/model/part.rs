//! Parts of a piece, and from where it is looked at.

use crate::say;
use serde::{Deserialize, Serialize};

/// A part of a piece. Each may have its own clay, glaze and maker.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[expect(missing_docs, reason = "each part is the trade's own word")]
pub enum Part {
    Body,
    Lid,
    Finial,
    Handle,
    Spout,
    Foot,
    Stand,
    Fitting,
}

impl Part {
    /// Every part, from the one always there to the rarest.
    pub const ALL: [Self; 8] = [Self::Body, Self::Lid, Self::Finial, Self::Handle, Self::Spout, Self::Foot, Self::Stand, Self::Fitting];

    /// The English word for it, as lists and the problems of files speak of it.
    pub const fn english(self) -> &'static str {
        match self {
            Self::Body => "body",
            Self::Lid => "lid",
            Self::Finial => "finial",
            Self::Handle => "handle",
            Self::Spout => "spout",
            Self::Foot => "foot",
            Self::Stand => "stand",
            Self::Fitting => "fitting",
        }
    }

    /// The word for it in a sentence, in the language that is spoken.
    pub fn word(self) -> &'static str {
        match self {
            Self::Body => say!("body"),
            Self::Lid => say!("lid"),
            Self::Finial => say!("finial"),
            Self::Handle => say!("handle"),
            Self::Spout => say!("spout"),
            Self::Foot => say!("foot"),
            Self::Stand => say!("stand"),
            Self::Fitting => say!("fitting"),
        }
    }
}

/// From where a feature is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum View {
    /// Looking straight down on it.
    Above,
    /// From the side, at the height of the table.
    Side,
    /// Turned over.
    Underneath,
    /// In the hand: weight, ring, touch, a rule or a measuring jug.
    Hand,
}

impl View {
    /// The words for it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Above => say!("from above"),
            Self::Side => say!("from the side"),
            Self::Underneath => say!("underneath"),
            Self::Hand => say!("in the hand"),
        }
    }
}
