//! Why no outline was taken.

use crate::say;

/// Why no outline could be had from a photograph. Each message says what to do.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum OutlineError {
    /// The picture shows no part of the plane that could be looked through.
    #[error("{}", say!("the picture looks past the table (photograph the piece from above)"))]
    PastThePlane,
    /// All of one colour.
    #[error("{}", say!("there is nothing in the picture but one even colour"))]
    Blank,
    /// Nothing that looks like a rim.
    #[error("{}", say!("no closed outline was found beside the card (lay the piece on a cloth of another colour, or set the outline by hand)"))]
    NoPiece,
    /// The rim leaves the picture.
    #[error("{}", say!("the piece is cut off by the edge of the picture: {percent:.0} % of its outline lie outside (photograph all of it)", percent))]
    CutOff {
        /// Share of the outline outside.
        percent: f64,
    },
    /// Only a part of the rim could be seen.
    #[error("{}", say!("only {percent:.0} % of the outline could be told from the cloth (lay the piece on a cloth of another colour, or set the outline by hand)", percent))]
    Unseen {
        /// Share of the outline seen.
        percent: f64,
    },
    /// Something was seen, but too weakly to be measured.
    #[error("{}", say!("an outline was seen, but too faintly to be measured (lay the piece on a cloth of another colour, mark it with the brush, or set the outline by hand)"))]
    Faint,
    /// Along a part of it the outline may be that of a shadow.
    #[error("{}", say!("along a part of it the outline may be the edge of a shadow (light the piece from both sides, or mark it with the brush)"))]
    Shadow,
    /// Two outlines speak for themselves alike.
    #[error("{}", say!("two outlines are as likely: {first_mm:.0} mm and {second_mm:.0} mm across (mark the piece with the brush)", first_mm, second_mm))]
    Two {
        /// Greatest width of the one.
        first_mm: f64,
        /// Greatest width of the other.
        second_mm: f64,
    },
    /// Stopped by the one who asked.
    #[error("{}", say!("stopped"))]
    Stopped,
}

impl OutlineError {
    /// Whether no outline stood out, so that another way to look may find one.
    pub(super) const fn is_faint(&self) -> bool {
        matches!(self, Self::NoPiece | Self::Faint | Self::Unseen { .. } | Self::Shadow)
    }
}
