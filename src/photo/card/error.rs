//! Why a card was not taken.

use crate::say;

/// Why no scale could be had from a card. Each message is a sentence that says what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CardError {
    /// None was found.
    #[error("{}", say!("no bank card was found in the picture (lay one flat beside the piece, wholly in the picture, or give its corners)"))]
    NoCard,
    /// More than one.
    #[error("{}", say!("two cards were found in the picture, at {first} and {second} (cover one, or give the corners of the one to go by)", first, second))]
    TwoCards {
        /// Middle of the first, in pixels.
        first: String,
        /// Middle of the second, in pixels.
        second: String,
    },
    /// Too small to measure by.
    #[error("{}", say!("the card is only {long_px:.0} pixels long in the picture (go nearer: 120 are needed for a millimetre to be seen)", long_px))]
    TooSmall {
        /// Its long side in pixels.
        long_px: f64,
    },
    /// A corner lies outside the picture.
    #[error("{}", say!("the card is cut off by the edge of the picture (all four corners must be seen)"))]
    CutOff,
    /// The corners do not make a card.
    #[error("{}", say!("those four corners are not those of a flat card seen from any side (give them in order round the card, or lay the card flat)"))]
    NotACard,
    /// Its edges were not seen along most of their length.
    #[error("{}", say!("only {percent:.0} % of the card's edges could be seen (move it into the light, away from what covers it)", percent))]
    EdgesUnseen {
        /// Share of edge points found.
        percent: f64,
    },
    /// The edges are not straight.
    #[error("{}", say!("the card's edges miss straight lines by {residual_px:.1} pixels (a bent card is no scale: lay a flat one)", residual_px))]
    NotFlat {
        /// Robust standard deviation of the edge points.
        residual_px: f64,
    },
}
