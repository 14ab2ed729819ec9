//! Naming a piece: likelihoods, narrowing, the next look, tells and the verdict.
//!
//! The room opens no file and reads no clock.

mod piece;

pub use piece::{Measured, Observation, Piece, Seen, Sure};
