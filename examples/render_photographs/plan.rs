//! Outlines seen from above: a circle with a little warp, an ellipse, a rounded square.

use crate::vector::{V3, v3};

/// An outline in its own axes: the greatest width along x.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Plan {
    pub(crate) model: Model,
    /// Greatest width.
    pub(crate) major_mm: f64,
    /// Width across.
    pub(crate) minor_mm: f64,
}

#[derive(Debug, Clone, Copy)]
pub(crate) enum Model {
    /// A circle of `major_mm`; the radius at angle θ is multiplied by 1 + `two`·cos 2θ + `three`·cos 3θ.
    Circle { two: f64, three: f64 },
    /// An ellipse.
    Ellipse,
    /// |x/a|ⁿ + |y/b|ⁿ = 1.
    Superellipse { exponent: f64 },
}

impl Plan {
    /// The radius that stands for the outline: half the greatest width.
    pub(crate) fn radius_mm(&self) -> f64 {
        self.major_mm / 2.0
    }

    /// How far out a point lies: `radius_mm` on the outline, growing in proportion along each ray from the middle.
    pub(crate) fn reach_mm(&self, x: f64, y: f64) -> f64 {
        let stretch = self.major_mm / self.minor_mm;
        match self.model {
            Model::Circle { two, three } => {
                let r = x.hypot(y);
                if (two == 0.0 && three == 0.0) || r < 1e-9 {
                    return r;
                }
                let (c, s) = (x / r, y / r);
                r / (1.0 + two * (c * c - s * s) + three * (c * c * c - 3.0 * c * s * s))
            }
            Model::Ellipse => x.hypot(y * stretch),
            Model::Superellipse { exponent } => {
                let (u, v) = (x.abs(), (y * stretch).abs());
                let (large, small) = if u > v { (u, v) } else { (v, u) };
                if large < 1e-9 { 0.0 } else { large * (1.0 + (small / large).powf(exponent)).powf(1.0 / exponent) }
            }
        }
    }

    /// The steepest that `reach_mm` can be: by how much a distance measured with it may be too long.
    pub(crate) fn steepest(&self) -> f64 {
        match self.model {
            Model::Circle { two, three } => 1.0 + 3.0 * two.abs() + 5.0 * three.abs(),
            Model::Ellipse | Model::Superellipse { .. } => self.major_mm / self.minor_mm,
        }
    }

    /// The point of the outline at an angle of its own axes (for ellipse and rounded square the eccentric angle), at height 0.
    pub(crate) fn point(&self, angle_rad: f64) -> V3 {
        let (s, c) = angle_rad.sin_cos();
        let (a, b) = (self.major_mm / 2.0, self.minor_mm / 2.0);
        match self.model {
            Model::Circle { .. } => {
                let k = a / self.reach_mm(c, s);
                v3(k * c, k * s, 0.0)
            }
            Model::Ellipse => v3(a * c, b * s, 0.0),
            Model::Superellipse { .. } => {
                // By equal steps of direction, so that the corners are not left out.
                let k = a / self.reach_mm(c, s);
                v3(k * c, k * s, 0.0)
            }
        }
    }

    pub(crate) const fn name(&self) -> &'static str {
        match self.model {
            Model::Circle { .. } => "circle",
            Model::Ellipse => "ellipse",
            Model::Superellipse { .. } => "superellipse",
        }
    }
}
