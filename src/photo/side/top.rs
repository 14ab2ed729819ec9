//! What a person says of the top of a piece: one picture from the side does not tell.
//!
//! Where the wall or a lid rises less steeply than the line of sight goes down, the picture ends at the outermost edge of it, just as at the rim of an open
//! piece. So the rim and what the piece holds are told only where somebody says that the edge is the rim.

use super::measured::SideMeasured;
use crate::say;

/// What is at the top of a piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Top {
    /// Nobody said.
    #[default]
    Unsaid,
    /// It is open right to the edge that is seen: that edge is the rim.
    Open,
    /// A lid is on it, or it is closed, or its opening is narrower than the edge that is seen.
    Closed,
}

impl SideMeasured {
    /// What of it can be told where that is said of the top: rim and capacity only where the top is open to its edge, and a sentence of why not in their
    /// place. A rim that the picture itself does not give is not given by what is said.
    #[must_use]
    pub fn told(mut self, top: Top) -> Self {
        if top == Top::Open || self.rim.is_none() {
            return self;
        }
        self.rim = None;
        self.without_capacity();
        self.notes.push(match top {
            Top::Closed => say!("the top is said to be closed or narrow, so neither the rim nor a capacity is told").to_owned(),
            Top::Open | Top::Unsaid => {
                say!("from the side a flat closed top looks like an open rim, so neither the rim nor a capacity is told until it is said that the top is open to its edge").to_owned()
            }
        });
        self
    }
}
