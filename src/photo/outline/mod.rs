//! The outline of a piece seen from above: is it round, oval or square with rounded corners, and how large.
//!
//! The plane of the rim is laid flat by the [`Camera`](crate::photo::camera::Camera); what lies beneath is learnt from the colours along the picture's edge; from
//! likely middles the closed line is sought along which the picture changes most from what is not cloth to cloth; a curve goes through it with weights
//! that handles lose; then the edge itself is looked for in the photograph along the curve, to a tenth of a pixel, and the curve is fitted again. Where colours
//! tell nothing the line is sought by its edge alone. The covariance of the points and of the camera goes into every number, and into the probability that
//! the piece is round.

mod above;
mod again;
mod alone;
mod cloth;
mod edge;
mod error;
mod fit;
mod plane;
mod round;
mod seek;
mod shape;
mod smoothed;

pub use above::{Above, AboveOptions, Beside, Says, Stroke, measure_above};
pub use edge::RimPoint;
pub use error::OutlineError;
pub use fit::{Fitted, algebraic, fit as fit_shape};
pub use round::p_round;
pub use shape::{Model, Shape};
