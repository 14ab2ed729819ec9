//! States of something that is worked on in a view of its own, to go back and forth between.

use super::action::Action;
use egui::Ui;

/// Which way to go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Turn {
    /// Undo.
    Back,
    /// Redo.
    Forth,
}

/// The keys of undo and redo, which the window leaves to what is open over it. None while text is typed.
pub(super) fn turn_pressed(ui: &Ui) -> Option<Turn> {
    if ui.text_edit_focused() || ui.current_pass_index() != 0 {
        return None;
    }
    let pressed = |action: Action| action.shortcuts().iter().any(|shortcut| ui.input_mut(|input| input.consume_shortcut(shortcut)));
    // Redo first: its keys hold those of undo.
    if pressed(Action::Redo) { Some(Turn::Forth) } else { pressed(Action::Undo).then_some(Turn::Back) }
}

/// The states, and which of them stands.
#[derive(Debug)]
pub(super) struct Steps<T> {
    all: Vec<T>,
    at: usize,
    first: T,
}

impl<T: Clone + PartialEq> Steps<T> {
    pub(super) const fn new(first: T) -> Self {
        Self { all: Vec::new(), at: 0, first }
    }

    /// As it stands.
    pub(super) fn now(&self) -> &T {
        self.at.checked_sub(1).and_then(|i| self.all.get(i)).unwrap_or(&self.first)
    }

    /// A new step; what was taken back before it is forgotten. Nothing where nothing changed.
    pub(super) fn push(&mut self, state: T) {
        if state != *self.now() {
            self.all.truncate(self.at);
            self.all.push(state);
            self.at = self.all.len();
        }
    }

    /// A new step by a change of what stands.
    pub(super) fn change(&mut self, change: impl FnOnce(&mut T)) {
        let mut state = self.now().clone();
        change(&mut state);
        self.push(state);
    }

    pub(super) fn can_undo(&self) -> bool {
        self.at > 0
    }

    pub(super) fn can_redo(&self) -> bool {
        self.at < self.all.len()
    }

    /// Goes the way that was pressed.
    pub(super) fn turn(&mut self, turn: Option<Turn>) {
        match turn {
            Some(Turn::Back) => self.undo(),
            Some(Turn::Forth) => self.redo(),
            None => {}
        }
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
        let mut steps = Steps::new("lid");
        steps.push("lid");
        assert!(!steps.can_undo(), "nothing changed");
        steps.push("rim");
        steps.undo();
        assert_eq!((*steps.now(), steps.can_redo()), ("lid", true));
        steps.redo();
        assert_eq!(*steps.now(), "rim");
        steps.undo();
        steps.change(|now| *now = "near");
        assert_eq!((*steps.now(), steps.can_redo()), ("near", false));
        steps.undo();
        steps.undo();
        steps.redo();
        steps.redo();
        steps.redo();
        assert_eq!(*steps.now(), "near");
    }
}
