//! Why a piece was not measured from the side.

use crate::say;

/// Why a piece was not measured from the side. Each message says what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SideError {
    /// Nothing stands out from its surround.
    #[error("{}", say!("nothing stands out in this picture (put the piece before a plain wall or cloth of another colour, with light on it)"))]
    Blank,
    /// A picture too small to measure on.
    #[error("{}", say!("the picture is {width} × {height} pixels, too small to measure on (expected at least {least} pixels a side)", width, height, least))]
    TooSmall {
        /// Width in pixels.
        width: u32,
        /// Height in pixels.
        height: u32,
        /// The least for each side.
        least: u32,
    },
    /// The piece reaches the edge of the picture.
    #[error("{}", say!("the piece is cut off at the {edge} of the picture (step back until all of it is in the picture)", edge))]
    CutOff {
        /// Which edge: 'left', 'right', 'top', 'bottom'.
        edge: &'static str,
    },
    /// No upright line about which what is seen is alike on both sides.
    #[error("{}", say!("no upright axis was found in what is seen (is the piece round from above? turn handle and spout to the sides)"))]
    NoAxis,
    /// The card is seen too much from one side.
    #[error("{}", say!("the card is turned {degrees:.0}° away from the camera (stand it square to the camera, beside the piece, in line with its middle)", degrees))]
    CardTurned {
        /// Between the card's face and the line of sight, in degrees.
        degrees: f64,
    },
    /// The card found does not stand upright in the picture.
    #[error("{}", say!("what was taken for the card stands {degrees:.0}° aslant (stand the card upright on the table and hold the camera level; if it is so, give the card's corners)", degrees))]
    CardAslant {
        /// How far its upright edges are turned in the picture, in degrees.
        degrees: f64,
    },
    /// The card leans against the piece's axis.
    #[error("{}", say!("the card's edges lean {degrees:.0}° against the axis of the piece (stand both upright on the same table)", degrees))]
    CardLeans {
        /// The angle in degrees.
        degrees: f64,
    },
    /// The solid found does not go with what is seen.
    #[error("{}", say!("no round piece fits what is seen: its outline is {off_mm:.1} mm off on the average (is the card upright, and in line with the middle of the piece?)", off_mm))]
    NoFit {
        /// Robust standard deviation of the outline about the solid, in mm.
        off_mm: f64,
    },
    /// Too little of the edge is seen.
    #[error("{}", say!("only {percent:.0} % of the piece's edge can be told from what is behind it (put it before a plain wall or cloth of another colour)", percent))]
    Unseen {
        /// How well it is seen, in per cent.
        percent: f64,
    },
    /// Two outlines are seen as well.
    #[error("{}", say!("two outlines are seen as well, {first_mm:.0} and {second_mm:.0} mm across (put the piece before a plain wall or cloth of another colour, away from its shadow)", first_mm, second_mm))]
    Two {
        /// Greatest width of the one, in mm.
        first_mm: f64,
        /// Greatest width of the other.
        second_mm: f64,
    },
    /// What is seen does not say how wide the piece is.
    #[error("{}", say!("how wide the piece is cannot be told to better than {sd_mm:.0} mm (stand the card close beside it, before a plain wall or cloth of another colour)", sd_mm))]
    Vague {
        /// One standard deviation of the greatest width, in mm.
        sd_mm: f64,
    },
    /// The work was stopped.
    #[error("{}", say!("measuring was stopped"))]
    Stopped,
    /// Too few points of an outline.
    #[error("{}", say!("the outline has {given} points, too few for a solid (expected at least {least})", given, least))]
    TooFewPoints {
        /// How many there are.
        given: usize,
        /// The least.
        least: usize,
    },
    /// A wall that cannot be.
    #[error("{}", say!("a wall of '{given}' mm cannot be (expected a thickness from 0.5 to 50 mm)", given))]
    Wall {
        /// What was given.
        given: f64,
    },
}
