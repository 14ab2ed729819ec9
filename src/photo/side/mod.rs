//! Measuring a piece from the side, with a bank card standing in the plane of its axis.
//!
//! What is seen edge on lies before and behind that plane: near edges of foot and rim are larger and lower in the picture than the plane's own
//! points. So a solid of revolution is fitted whose lines of sight just touch the outline seen ([`fit_solid`]). Handles and spouts are what then stands
//! out from it.
//!
//! The world is the card's plane in millimetres, as [`super::camera`] has it.

mod capacity;
mod error;
mod fit;
mod measured;
mod solid;

pub use capacity::{Capacity, ML_PER_IMPERIAL_FL_OZ, ML_PER_IMPERIAL_PINT, ML_PER_US_FL_OZ, ML_PER_US_PINT, Wall, brim_ml, outside_ml};
pub use error::SideError;
pub use fit::{Fitted, LEAST_POINTS, fit_solid};
pub use measured::{At, LeftOut, SideMeasured, SideOptions, bootstrap, measure_outline};
pub use solid::{Axis, edge_points, passes_by_mm, seen_edges};

#[cfg(test)]
mod tests;
