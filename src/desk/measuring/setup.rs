//! What the person decided about a measurement, with its steps to undo.

use crate::key::Part;
use crate::photo::ScaleBy;
use crate::photo::outline::{AboveOptions, Shape, Stroke};

/// All that decides what is measured.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Setup {
    pub(super) scale: ScaleBy,
    /// What is seen from above: a lid, or the rim of a body.
    pub(super) part: Part,
    pub(super) strokes: Vec<Stroke>,
    /// A curve set by hand, in the plane of the card.
    pub(super) near: Option<Shape>,
}

impl Setup {
    pub(super) fn options(&self) -> AboveOptions {
        AboveOptions { strokes: self.strokes.clone(), near: self.near, ..AboveOptions::default() }
    }
}

/// The steps of one measurement.
#[derive(Debug)]
pub(super) struct Steps {
    all: Vec<Setup>,
    at: usize,
    first: Setup,
}

impl Steps {
    pub(super) fn new(part: Part) -> Self {
        let first = Setup { scale: ScaleBy::FoundCard, part, strokes: Vec::new(), near: None };
        Self { all: Vec::new(), at: 0, first }
    }

    /// As it stands.
    pub(super) fn now(&self) -> &Setup {
        self.at.checked_sub(1).and_then(|i| self.all.get(i)).unwrap_or(&self.first)
    }

    /// A new step; what was taken back before it is forgotten. Nothing where nothing changed.
    pub(super) fn push(&mut self, setup: Setup) {
        if setup != *self.now() {
            self.all.truncate(self.at);
            self.all.push(setup);
            self.at = self.all.len();
        }
    }

    pub(super) fn can_undo(&self) -> bool {
        self.at > 0
    }

    pub(super) fn can_redo(&self) -> bool {
        self.at < self.all.len()
    }

    pub(super) fn undo(&mut self) {
        self.at = self.at.saturating_sub(1);
    }

    pub(super) fn redo(&mut self) {
        self.at = (self.at + 1).min(self.all.len());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_go_back_and_forth_and_a_new_one_forgets_those_taken_back() {
        let mut steps = Steps::new(Part::Lid);
        let first = steps.now().clone();
        steps.push(first.clone());
        assert!(!steps.can_undo(), "nothing changed");
        let body = Setup { part: Part::Body, ..first.clone() };
        steps.push(body.clone());
        steps.undo();
        assert_eq!((steps.now(), steps.can_redo()), (&first, true));
        steps.redo();
        assert_eq!(steps.now(), &body);
        steps.undo();
        let near = Setup { near: Some(Shape::circle(kurbo::Point::ZERO, 50.0)), ..first };
        steps.push(near.clone());
        assert_eq!((steps.now(), steps.can_redo()), (&near, false));
        steps.undo();
        steps.undo();
        steps.redo();
        steps.redo();
        steps.redo();
        assert_eq!(steps.now(), &near);
    }
}
