//! What the person decided about a measurement, with its steps to undo.

use super::lens::LensBy;
use super::top::OnTop;
use crate::key::{FeatureId, Part};
use crate::photo::ScaleBy;
use crate::photo::outline::{AboveOptions, Shape, Stroke};
use crate::photo::sampling::WhiteIs;
use crate::photo::side::Wall;
use kurbo::Point;

/// What is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Subject {
    /// A lid from above.
    Lid,
    /// The rim of a base from above.
    Rim,
    /// The piece from the side.
    Side,
    /// A glaze or a clay.
    Colour,
}

impl Subject {
    /// The part whose outline it is, where it is one.
    pub(super) const fn part(self) -> Part {
        match self {
            Self::Lid => Part::Lid,
            Self::Rim | Self::Side | Self::Colour => Part::Body,
        }
    }

    pub(super) const fn is_above(self) -> bool {
        matches!(self, Self::Lid | Self::Rim)
    }
}

/// All that decides what is measured.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Setup {
    pub(super) scale: ScaleBy,
    pub(super) lens: LensBy,
    pub(super) subject: Subject,
    pub(super) strokes: Vec<Stroke>,
    /// A curve set by hand, in the plane of the card.
    pub(super) near: Option<Shape>,
    /// What is on top of the piece seen from the side; none where nobody said.
    pub(super) top: Option<OnTop>,
    /// Thickness of the wall in mm, where it was measured.
    pub(super) wall_mm: Option<f64>,
    pub(super) areas: Areas,
}

/// The areas of a colour.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Areas {
    /// Two corners of the white, in pixels.
    pub(super) white: Option<[Point; 2]>,
    /// Two corners of the glaze or clay.
    pub(super) at: Option<[Point; 2]>,
    pub(super) white_is: WhiteIs,
    /// What the colour answers; none for the first feature that has colours.
    pub(super) feature: Option<FeatureId>,
}

/// Which of the two areas.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Which {
    White,
    At,
}

impl Areas {
    pub(super) const fn of(&self, which: Which) -> Option<[Point; 2]> {
        match which {
            Which::White => self.white,
            Which::At => self.at,
        }
    }

    pub(super) fn set(&mut self, which: Which, corners: [Point; 2]) {
        match which {
            Which::White => self.white = Some(corners),
            Which::At => self.at = Some(corners),
        }
    }
}

impl Setup {
    pub(super) fn new(subject: Subject) -> Self {
        let areas = Areas::default();
        let (scale, lens) = (ScaleBy::FoundCard, LensBy::default());
        Self { scale, lens, subject, strokes: Vec::new(), near: None, top: None, wall_mm: None, areas }
    }

    pub(super) fn options(&self) -> AboveOptions {
        AboveOptions { strokes: self.strokes.clone(), near: self.near, ..AboveOptions::default() }
    }

    pub(super) fn wall(&self) -> Wall {
        self.wall_mm.map_or(Wall::Usual, Wall::Mm)
    }

    /// The same without what changes only which features are answered: two setups that are alike in it are measured alike.
    pub(super) fn measured_as(&self) -> Self {
        let subject = if self.subject.is_above() { Subject::Lid } else { self.subject };
        let wall_mm = self.wall_mm.filter(|_| subject == Subject::Side);
        Self { subject, top: None, wall_mm, ..self.clone() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_only_changes_the_answers_is_not_measured_again() {
        let lid = Setup::new(Subject::Lid);
        let rim = Setup { subject: Subject::Rim, top: Some(OnTop::Open), wall_mm: Some(3.0), ..lid.clone() };
        assert_eq!(lid.measured_as(), rim.measured_as());
        let side = Setup { subject: Subject::Side, wall_mm: Some(3.0), ..lid.clone() };
        assert_ne!(side.measured_as(), Setup { wall_mm: None, ..side.clone() }.measured_as(), "the wall changes what it holds");
        assert_ne!(side.measured_as(), lid.measured_as());
    }
}
