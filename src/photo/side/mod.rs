//! Measuring a piece from the side, with a bank card standing in the plane of its axis.
//!
//! What is seen edge on lies before and behind that plane: near edges of foot and rim are larger and lower in the picture than the plane's own
//! points. So a solid of revolution is fitted whose outline, as the camera sees it, is the outline seen ([`fit_solid`]). [`measure`] finds
//! that outline in a photograph. What the piece itself hides is said to be hidden, or has a ± that says so.
//!
//! The world is the card's plane in millimetres, as [`super::camera`] has it.

mod again;
mod capacity;
mod contour;
mod doubted;
mod error;
mod fit;
mod measure;
mod measured;
mod rivals;
mod silhouette;
mod solid;
mod state;
mod top;
mod view;

pub use again::{SideAgain, bootstrap};
pub use capacity::{Capacity, ML_PER_IMPERIAL_FL_OZ, ML_PER_IMPERIAL_PINT, ML_PER_US_FL_OZ, ML_PER_US_PINT, Wall, brim_ml, outside_ml};
pub use error::SideError;
pub use fit::{FIRST_SCALE_MM, Fitted, Known, LEAST_POINTS, Table, fit_solid};
pub use measure::{Placing, SideSeen, measure};
pub use measured::{At, Given, LeftOut, Lip, SideMeasured, TRUST, measure_outline};
pub use solid::{Axis, edge_points, passes_by_mm, seen_edges};
pub use top::Top;
pub use view::View;

#[cfg(test)]
mod tests;
