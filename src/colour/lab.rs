//! CIELAB coordinates.

use serde::{Deserialize, Serialize};

/// A colour in CIELAB (CIE 15, ISO/CIE 11664-4), white D65, 2° observer.
///
/// On disk it is written `(L, a, b)`, for example `(53.2, 80.1, 67.2)`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(from = "(f64, f64, f64)", into = "(f64, f64, f64)")]
pub struct Lab {
    /// Lightness L*, 0 (black) to 100 (white).
    pub l: f64,
    /// Red (positive) against green (negative), a*.
    pub a: f64,
    /// Yellow (positive) against blue (negative), b*.
    pub b: f64,
}

impl Lab {
    /// A colour from its three coordinates.
    pub const fn new(l: f64, a: f64, b: f64) -> Self {
        Self { l, a, b }
    }
}

impl From<(f64, f64, f64)> for Lab {
    fn from((l, a, b): (f64, f64, f64)) -> Self {
        Self { l, a, b }
    }
}

impl From<Lab> for (f64, f64, f64) {
    fn from(lab: Lab) -> Self {
        (lab.l, lab.a, lab.b)
    }
}
