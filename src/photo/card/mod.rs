//! The bank card in the picture: found by itself or by its corners, and what it says of the camera.
//!
//! An ISO/IEC 7810 ID-1 card is 85.60 × 53.98 mm with corners rounded at 3.18 mm; cards in use keep that to about 0.15 %. Its straight edges are looked
//! for as lines in the picture ([`find`]); then the camera's place, its focal length and its distortion are fitted to a few hundred points of the four
//! edges together ([`fit`]), so that every later measurement can carry what the card leaves unsure.

mod again;
mod closer;
mod error;
mod find;
mod fit;
mod fourth;
mod lines;
mod plumb;
mod shades;
mod steps;

pub use error::CardError;
pub use find::find;
pub use fit::{CardFit, fit};
pub use plumb::by_straight_edges;
pub use shades::Shades;

use kurbo::Point;

/// Long side of an ID-1 card (ISO/IEC 7810).
pub const LONG_MM: f64 = 85.60;
/// Short side of an ID-1 card (ISO/IEC 7810).
pub const SHORT_MM: f64 = 53.98;
/// Radius of its corners (ISO/IEC 7810).
pub const CORNER_MM: f64 = 3.18;

/// Thickness of a card (ISO/IEC 7810).
pub(crate) const THICK_MM: f64 = 0.76;

/// The four virtual corners in the card's plane, in the order in which pixels are kept: round the card, first a long side.
pub fn corners_mm() -> [Point; 4] {
    let (x, y) = (LONG_MM / 2.0, SHORT_MM / 2.0);
    [Point::new(-x, y), Point::new(x, y), Point::new(x, -y), Point::new(-x, -y)]
}
