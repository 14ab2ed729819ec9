//! Why a mark was not unrolled.

use crate::say;

/// Why a mark was not unrolled. Each message says what to do.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MarkError {
    /// Too small to hold letters.
    #[error("{}", say!("the picture is only {width} × {height} pixels (a mark needs 80 along the shorter side)", width, height))]
    Tiny {
        /// Width in pixels.
        width: u32,
        /// Height in pixels.
        height: u32,
    },
    /// Nothing stands out from the glaze.
    #[error("{}", say!("nothing is printed or pressed here that stands out from the glaze (take it closer, with light from one side)"))]
    Blank,
    /// There is something, but no letters on a ring.
    #[error("{}", say!("no letters on a ring were found (set the middle and a point on the outer ring)"))]
    NoRing,
    /// A ring was given that leaves the picture, or has no size.
    #[error("{}", say!("the ring given does not lie in the picture (give its middle and a point on it, in pixels from the top left)"))]
    RingOutside,
    /// No straight lines were found.
    #[error("{}", say!("no lines of letters were found (crop the picture to the mark, or turn it upright)"))]
    NoLines,
    /// Stopped by the one who asked.
    #[error("{}", say!("stopped"))]
    Stopped,
}
