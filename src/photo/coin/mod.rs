//! A coin as the scale: a circle of known diameter in the plane of what is measured.
//!
//! Seen aslant a circle is an ellipse, and its two axes tell how far the camera was tilted, but not to which side: the mirror image of the tilt shows the
//! same ellipse ([`CoinFit::other`]). Near the coin both give the same lengths; away from it one makes the plane larger where the other makes it smaller. A
//! second coin of the same diameter on the other side of the piece looks larger or smaller than the first, and decides. The camera is fitted to the edges of
//! all coins together, as it is to a card's, so that what they leave unsure goes into every ±.

mod edge;
mod error;
mod fit;

pub use error::CoinError;
pub use fit::{CoinFit, fit};
