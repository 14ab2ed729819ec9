//! Parts of a piece, and from where it is looked at.

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

    /// The word for it in a sentence.
    pub const fn word(self) -> &'static str {
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
    pub const fn words(self) -> &'static str {
        match self {
            Self::Above => "from above",
            Self::Side => "from the side",
            Self::Underneath => "underneath",
            Self::Hand => "in the hand",
        }
    }
}
