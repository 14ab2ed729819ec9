//! Why a half profile cannot be used.

/// Why a half profile cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ShapeError {
    /// No points at all.
    #[error("the half profile is empty (give its points from the foot up to the rim, as radius and height in mm)")]
    Empty,
    /// One point.
    #[error("the half profile has one point only (give at least two, from the foot up to the rim)")]
    OnePoint,
    /// More points than are read.
    #[error("the half profile has {given} points, more than the {most} that are read (leave out those on straight runs)")]
    TooManyPoints {
        /// How many there are.
        given: usize,
        /// The most that are read.
        most: usize,
    },
    /// A coordinate that is no number, or is beyond any tableware.
    #[error("point {number} of the half profile, '{r}, {h}', is no radius and height in mm (expected a radius from 0 to {most} and a height from -{most} to {most})", most = super::profile::MOST_MM)]
    NotALength {
        /// Which point, counted from 1.
        number: usize,
        /// The radius given.
        r: f64,
        /// The height given.
        h: f64,
    },
    /// Nothing between the axis and the profile.
    #[error("the half profile encloses no area (its points must not all lie at one height or on the axis)")]
    NoArea,
    /// The line crosses itself.
    #[error(
        "the half profile crosses itself near radius {r:.1} mm, height {h:.1} mm (put its points in order from the foot up to the rim)"
    )]
    CrossesItself {
        /// Radius of the crossing in mm.
        r: f64,
        /// Height of the crossing in mm.
        h: f64,
    },
    /// A standard deviation that cannot be one.
    #[error("the uncertainty of the half profile, '{given}', is not a number of mm above 0")]
    NotASpread {
        /// What was given.
        given: f64,
    },
}
