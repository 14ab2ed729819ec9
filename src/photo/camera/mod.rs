//! Where the camera stood: a pin-hole with one term of lens distortion, placed over the plane of a bank card.
//!
//! The world of a photograph is the card's plane in millimetres: the origin in the middle of the card, x along its long side, y along its short
//! side, z towards the camera. A camera at rotation R and translation t sees the world point X at R·X + t, and a point (x, y, z) before it at
//! the pixel c + f·(x/z, y/z); the lens then moves that pixel p to c + (p − c)(1 + k₁·ρ²), where ρ is |p − c| in half diagonals of the picture. The
//! middle of the top-left pixel is (0.5, 0.5).

mod known;
mod least_squares;
mod lens;
mod measured;
mod placed;
mod remembered;
mod robust;
mod written;

pub(crate) use known::placed_at;
pub use known::{Camera, ScaleError, Strays};
pub use least_squares::{Fit, Robust, least_squares};
pub(crate) use lens::CENTRE_SD;
pub use lens::{Believed, FocalFrom, Lens, LensError};
pub use measured::Measured;
pub use placed::{Placed, Pose};
pub use remembered::{Cameras, CamerasError, KnownCamera, KnownLens, Said};
pub(crate) use robust::{TUKEY, biweight, median, robust_sd};
pub use written::{CameraName, Written};
