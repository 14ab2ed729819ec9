//! The card: ISO/IEC 7810 ID-1, 85.60 × 53.98 mm, corners of 3.18 mm, 0.76 mm thick. All that is printed on it is invented.

use crate::vector::{V3, chance, noise, smooth, v3};

pub(crate) const LONG_MM: f64 = 85.60;
pub(crate) const SHORT_MM: f64 = 53.98;
pub(crate) const CORNER_MM: f64 = 3.18;
pub(crate) const THICK_MM: f64 = 0.76;

/// Share of light that the white of a card gives back.
pub(crate) const WHITE: f64 = 0.88;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// White, with a grey patch.
    White,
    /// One dark colour.
    Dark,
    /// Coloured shapes, a stripe, rows of bumps.
    Patterned,
}

impl Kind {
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::White => "white",
            Self::Dark => "dark",
            Self::Patterned => "patterned",
        }
    }
}

#[derive(Debug, Clone, Copy)]
pub(crate) struct Card {
    pub(crate) kind: Kind,
    pub(crate) salt: u64,
}

/// The four virtual corners of the face, where the straight edges would meet: anticlockwise from the lower left.
pub(crate) fn corners() -> [V3; 4] {
    let (x, y) = (LONG_MM / 2.0, SHORT_MM / 2.0);
    [v3(-x, -y, 0.0), v3(x, -y, 0.0), v3(x, y, 0.0), v3(-x, y, 0.0)]
}

/// Signed distance to the rounded rectangle in the card's plane.
pub(crate) fn plane_distance_mm(x: f64, y: f64) -> f64 {
    let (dx, dy) = (x.abs() - LONG_MM / 2.0 + CORNER_MM, y.abs() - SHORT_MM / 2.0 + CORNER_MM);
    dx.max(0.0).hypot(dy.max(0.0)) + dx.max(dy).min(0.0) - CORNER_MM
}

/// Signed distance to the card; its face lies at z = 0.
pub(crate) fn distance_mm(p: V3) -> f64 {
    let d = plane_distance_mm(p.x, p.y);
    let h = (p.z + THICK_MM / 2.0).abs() - THICK_MM / 2.0;
    d.max(0.0).hypot(h.max(0.0)) + d.max(h).min(0.0)
}

impl Card {
    /// Colour of the face at a place on it, in linear light.
    pub(crate) fn colour(&self, x: f64, y: f64) -> V3 {
        let pick = |n: i64| chance(n, 7, self.salt);
        match self.kind {
            Kind::White => {
                let inner = (x.abs() - (LONG_MM / 2.0 - 6.0)).max(y.abs() - (SHORT_MM / 2.0 - 6.0));
                if (x - 22.0).abs() < 12.0 && y.abs() < 12.0 {
                    V3::all(0.18)
                } else if x < 0.0
                    && inner < 0.0
                    && y > 5.0
                    && (y * 0.4).rem_euclid(2.0) < 0.8
                    && chance((x * 0.5).floor() as i64, (y * 0.2) as i64, self.salt) > 0.25
                {
                    V3::all(0.12)
                } else {
                    V3::all(WHITE)
                }
            }
            Kind::Dark => {
                let base = v3(0.015 + 0.05 * pick(1), 0.02 + 0.04 * pick(2), 0.03 + 0.09 * pick(3));
                let chip = (x + 28.0).abs() < 6.5 && (y - 5.0).abs() < 5.0;
                if chip { v3(0.42, 0.34, 0.16) } else { base }
            }
            Kind::Patterned => self.pattern(x, y),
        }
    }

    fn pattern(&self, x: f64, y: f64) -> V3 {
        let pick = |n: i64| chance(n, 7, self.salt);
        let colour = |n: i64| v3(0.04 + 0.7 * pick(n), 0.04 + 0.6 * pick(n + 1), 0.05 + 0.6 * pick(n + 2));
        let (a, b, c) = (colour(10), colour(20), colour(30));
        let lean = x * 0.5 + y + 8.0 * (pick(4) - 0.5);
        let mut ink = if lean > 14.0 * pick(5) { a } else { b };
        let swirl = noise(x / 18.0, y / 18.0, self.salt);
        if swirl > 0.25 {
            ink = ink.mix(c, 0.8);
        }
        if (y - 14.0 * (pick(6) - 0.5) - 14.0).abs() < 3.5 {
            ink = ink.mix(V3::all(0.02), 0.9);
        }
        if (x + 27.0).abs() < 6.0 && (y - 4.0).abs() < 4.6 {
            let gap = ((x + 27.0).abs() - 2.0).abs().min((y - 4.0).abs());
            return v3(0.5, 0.42, 0.2) * if gap < 0.25 { 0.3 } else { 1.0 };
        }
        // Rows of bumps, four by four, lit on one side.
        if (y + 8.0).abs() < 2.2 && x.abs() < 36.0 && (x + 36.0).rem_euclid(18.0) < 15.5 {
            let u = ((x + 36.0).rem_euclid(18.0)).rem_euclid(3.9) - 1.9;
            let mark = chance(((x + 36.0) / 3.9) as i64, 3, self.salt);
            let d = (u.abs() - 0.9).max((y + 8.0).abs() - 1.7).max(-(u.hypot(y + 8.0 - mark) - 0.5));
            ink = ink * (1.0 + 0.5 * smooth(0.35, 0.0, d.abs()) * if u + y + 8.0 > 0.0 { 1.0 } else { -0.6 });
        }
        ink
    }
}
