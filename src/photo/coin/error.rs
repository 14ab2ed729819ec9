//! Why a coin was not taken for a scale.

use crate::say;

/// Why no scale could be had from a coin. Each message is a sentence that says what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CoinError {
    /// Not a diameter.
    #[error("{}", say!("'{what}' is no diameter of a coin (it must be from 10 to 60 mm)", what = _0))]
    NotADiameter(f64),
    /// A point is not in the picture.
    #[error("{}", say!("the point {what:.0},{other:.0} lies outside the picture", what = _0, other = _1))]
    Outside(f64, f64),
    /// Nothing round there.
    #[error("{}", say!("no round edge was found about {what:.0},{other:.0} (set the point in the middle of the coin, which must lie wholly in the picture, clear of the piece and on a cloth of another colour)", what = _0, other = _1))]
    NoEdge(f64, f64),
    /// Too small to measure by.
    #[error("{}", say!("the coin is only {across_px:.0} pixels across in the picture (go nearer: 50 are needed)", across_px))]
    TooSmall {
        /// Its greatest width in pixels.
        across_px: f64,
    },
    /// Seen too much from the side.
    #[error("{}", say!("the coin is seen {degrees:.0}° from above (take the picture more nearly straight from above)", degrees))]
    TooSlant {
        /// How far the line of sight is from straight above, in degrees.
        degrees: f64,
    },
    /// Both points on one coin.
    #[error("{}", say!("both points lie on the same coin (set one on each)"))]
    Same,
    /// The edges do not go together.
    #[error("{}", say!("the edges are {residual_px:.1} pixels off what coins of that diameter in one plane would show (are both of the same kind, flat on the table?)", residual_px))]
    NoFit {
        /// Robust standard deviation of the edges about the fit, in pixels.
        residual_px: f64,
    },
}
