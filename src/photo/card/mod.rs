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

use kurbo::{Point, Vec2};

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

/// A side of the card in its plane, from one virtual corner to the next. Lengths are mm.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Side {
    pub(crate) from: Point,
    /// Unit vectors: to the next corner, and away from the card.
    pub(crate) along: Vec2,
    pub(crate) outward: Vec2,
    pub(crate) length: f64,
}

impl Side {
    /// The four of them, in the order of the corners.
    pub(crate) fn all() -> [Self; 4] {
        let [a, b, c, d] = corners_mm();
        [(a, b), (b, c), (c, d), (d, a)].map(|(from, to)| {
            let along = (to - from).normalize();
            Self { from, along, outward: Vec2::new(-along.y, along.x), length: (to - from).hypot() }
        })
    }

    /// The place that far from the first corner; below 0 and beyond the length it lies past the corners.
    pub(crate) fn at(&self, reach_mm: f64) -> Point {
        self.from + self.along * reach_mm
    }
}
