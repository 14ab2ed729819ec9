//! What is printed on.

use crate::say;

/// What a sheet is printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 210 × 297 mm (ISO 216).
    #[default]
    A4,
    /// 297 × 420 mm (ISO 216).
    A3,
    /// 8½ × 11 in (ANSI/ASME Y14.1, size A).
    Letter,
    /// A page for the screen of a phone, 90 × 190 mm. A choice of this program, no source.
    Phone,
}

impl Paper {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::A4, Self::A3, Self::Letter, Self::Phone];

    /// Width and height in mm, upright.
    pub const fn size_mm(self) -> (f64, f64) {
        match self {
            Self::A4 => (210.0, 297.0),
            Self::A3 => (297.0, 420.0),
            Self::Letter => (215.9, 279.4),
            Self::Phone => (90.0, 190.0),
        }
    }

    /// Margin all around in mm: what every printer reaches. Common practice, no source.
    pub const fn margin_mm(self) -> f64 {
        match self {
            Self::A4 | Self::A3 | Self::Letter => 13.0,
            Self::Phone => 5.0,
        }
    }

    /// Its name on screen.
    pub fn words(self) -> &'static str {
        match self {
            Self::A4 => say!(in "paper to print on", "A4"),
            Self::A3 => say!(in "paper to print on", "A3"),
            Self::Letter => say!(in "paper to print on", "Letter"),
            Self::Phone => say!(in "paper to print on", "Phone"),
        }
    }
}
