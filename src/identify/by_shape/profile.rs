//! A half profile that was checked.

use super::error::ShapeError;
use super::outline::{Outline, crossing};

/// The most points of a half profile.
pub const MOST_POINTS: usize = 2_000;

/// No tableware is larger.
pub(super) const MOST_MM: f64 = 5_000.0;

/// The outside of a piece on one side of its axis, from the foot to the rim (or to the top of the lid), as radius and height in mm.
///
/// Heights need not rise all the way: a rim may turn down, a foot may be hollow. The line never crosses itself, and encloses an area with the axis.
/// It is moved so that its lowest point stands on the table, at height 0.
#[derive(Debug, Clone, PartialEq)]
pub struct HalfProfile {
    points: Vec<(f64, f64)>,
    outline: Outline,
}

impl HalfProfile {
    /// Checks points given from the foot up, as radius and height in mm. Points that repeat the one before are passed over.
    ///
    /// # Errors
    /// Where there are fewer than two points or more than [`MOST_POINTS`], where one is no length, where the line crosses itself, or where nothing
    /// lies between it and the axis.
    pub fn new(points: &[(f64, f64)]) -> Result<Self, ShapeError> {
        match points.len() {
            0 => return Err(ShapeError::Empty),
            1 => return Err(ShapeError::OnePoint),
            given if given > MOST_POINTS => return Err(ShapeError::TooManyPoints { given, most: MOST_POINTS }),
            _ => {}
        }
        if let Some((i, &(r, h))) =
            points.iter().enumerate().find(|(_, p)| !((0.0..=MOST_MM).contains(&p.0) && (-MOST_MM..=MOST_MM).contains(&p.1)))
        {
            return Err(ShapeError::NotALength { number: i + 1, r, h });
        }
        let low = points.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
        let mut line: Vec<(f64, f64)> = points.iter().map(|&(r, h)| (r, h - low)).collect();
        line.dedup_by(|a, b| (a.0 - b.0).hypot(a.1 - b.1) < 1e-9);
        if line.len() < 2 {
            return Err(ShapeError::OnePoint);
        }
        if let Some((r, h)) = crossing(&line) {
            return Err(ShapeError::CrossesItself { r, h: h + low });
        }
        let outline = Outline::of(&[&line]);
        if outline.area() < 1e-6 {
            return Err(ShapeError::NoArea);
        }
        Ok(Self { points: line, outline })
    }

    /// The points, as radius and height above the lowest, in mm.
    pub fn points(&self) -> &[(f64, f64)] {
        &self.points
    }

    /// Its height in mm.
    pub fn height_mm(&self) -> f64 {
        self.outline.height()
    }

    /// Its greatest radius in mm.
    pub fn greatest_radius_mm(&self) -> f64 {
        self.points.iter().map(|p| p.0).fold(0.0, f64::max)
    }

    /// The area between it and the axis as seen from the side, in mm².
    pub fn area_mm2(&self) -> f64 {
        self.outline.area()
    }

    /// The length of its line in mm.
    pub fn length_mm(&self) -> f64 {
        self.points.windows(2).map(|w| if let [a, b] = w { (a.0 - b.0).hypot(a.1 - b.1) } else { 0.0 }).sum()
    }

    /// The area between two outlines standing on one table, in mm² on one side of the axis.
    pub fn area_between_mm2(&self, other: &Self) -> f64 {
        self.outline.area_between(1.0, &other.outline, 1.0)
    }

    /// The same over the mean of the two lengths: how far the outlines are apart on the average, in mm.
    pub fn mean_deviation_mm(&self, other: &Self) -> f64 {
        self.area_between_mm2(other) / (0.5 * (self.length_mm() + other.length_mm()))
    }

    /// How unlike the two are in shape whatever their sizes: the area between them once both are scaled to the same area, as a share of that area.
    /// 0 for the same shape, below 2 for any two.
    pub fn unlikeness(&self, other: &Self) -> f64 {
        self.outline.area_between(self.outline.to_unit_area(), &other.outline, other.outline.to_unit_area())
    }

    pub(super) fn outline(&self) -> &Outline {
        &self.outline
    }
}
