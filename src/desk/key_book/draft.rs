//! The draft of a form and the steps of its making.

use super::likeness::Likeness;
use crate::desk::document::Document;
use crate::desk::key_pictures::{Adding, NewPicture, Pictures, without_unsaved};
use crate::key::shape::{Finial, FinialKind, Handle, HandleAt, HandleKind, Point, Spout, SpoutKind};
use crate::key::{FeatureId, Form, FormId, Key, Part, id_from_name};
use crate::say;

/// Whether something was brought into sight.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sight {
    Due,
    Done,
}

/// An open sheet.
#[derive(Debug)]
pub struct Sheet {
    /// The form as it stands on the sheet.
    pub(super) draft: Form,
    /// The form as it was last saved; None for one that never was.
    saved: Option<Form>,
    /// The draft when it last came to rest: the state that the next step goes back to.
    rest: Form,
    undone: Vec<Form>,
    done: Vec<Form>,
    /// Other names, as they are typed.
    pub(super) also: String,
    /// What it is like, worked out when the draft comes to rest.
    pub(super) likeness: Likeness,
    /// The point that is being dragged.
    pub(super) dragged: Option<super::profile::Held>,
    /// New pictures of the form.
    pub(super) adding: Adding,
    /// The feature that the sheet was opened for, and whether it is still to be brought into sight.
    pub(super) sought: Option<(FeatureId, Sight)>,
    /// Asked whether unsaved edits may be dropped.
    pub(super) asks_to_leave: bool,
}

impl Sheet {
    /// The sheet of a form of the key.
    pub(super) fn of(form: &Form) -> Self {
        Self::with(form.clone(), Some(form.clone()))
    }

    /// The sheet of a form as it was edited in an earlier run: the edits are one step, which can be taken back.
    pub(super) fn taken_up(mut form: Form, doc: &Document) -> Self {
        without_unsaved(&mut form.pictures);
        match doc.form(&form.id).cloned() {
            Some(saved) => {
                let mut sheet = Self::with(saved.clone(), Some(saved));
                sheet.also = form.also.join(", ");
                sheet.draft = form;
                sheet.settle();
                sheet
            }
            None => Self::with(form, None),
        }
    }

    /// The sheet of a form that is not in the key yet.
    pub(super) fn new_form(form: Form) -> Self {
        Self::with(form, None)
    }

    fn with(draft: Form, saved: Option<Form>) -> Self {
        let also = draft.also.join(", ");
        Self {
            rest: draft.clone(),
            draft,
            saved,
            undone: Vec::new(),
            done: Vec::new(),
            also,
            likeness: Likeness::default(),
            dragged: None,
            adding: Adding::default(),
            sought: None,
            asks_to_leave: false,
        }
    }

    /// The form as it stands on the sheet.
    pub fn form(&self) -> &Form {
        &self.draft
    }

    /// True for a form that was never saved.
    pub fn is_new(&self) -> bool {
        self.saved.is_none()
    }

    /// True where something on the sheet was not saved.
    pub fn is_changed(&self) -> bool {
        self.saved.as_ref() != Some(&self.draft)
    }

    /// Steps done and undone, and whether anything is not saved: another after every edit at rest.
    pub fn edits(&self) -> (usize, usize, bool) {
        (self.done.len(), self.undone.len(), self.is_changed())
    }

    /// True where an edit can be taken back.
    pub fn can_undo(&self) -> bool {
        !self.done.is_empty() || self.rest != self.draft
    }

    /// True where an edit that was taken back can be made again.
    pub fn can_redo(&self) -> bool {
        !self.undone.is_empty()
    }

    /// What undo would take back, in words: 'Lid outline: always round → always oval'.
    pub(super) fn undo_words(&self, key: &Key) -> Option<String> {
        let before = if self.rest == self.draft { self.done.last()? } else { &self.rest };
        Some(first_change(key, before, &self.draft))
    }

    /// What redo would do again, in words.
    pub(super) fn redo_words(&self, key: &Key) -> Option<String> {
        Some(first_change(key, &self.draft, self.undone.last()?))
    }

    /// Makes a step of what was edited since the last.
    pub(super) fn settle(&mut self) {
        if self.rest != self.draft {
            self.done.push(std::mem::replace(&mut self.rest, self.draft.clone()));
            self.undone.clear();
        }
    }

    pub(super) fn undo(&mut self) -> bool {
        self.settle();
        match self.done.pop() {
            Some(before) => {
                self.undone.push(std::mem::replace(&mut self.draft, before));
                self.moved();
                true
            }
            None => false,
        }
    }

    pub(super) fn redo(&mut self) -> bool {
        match self.undone.pop() {
            Some(after) => {
                self.done.push(std::mem::replace(&mut self.draft, after));
                self.moved();
                true
            }
            None => false,
        }
    }

    fn moved(&mut self) {
        self.adding.stop_framing();
        // An edit from before the first save has no id yet; the form it is of has one.
        if let Some(saved) = &self.saved {
            self.draft.id = saved.id.clone();
        }
        self.rest = self.draft.clone();
        self.also = self.draft.also.join(", ");
    }

    /// Gives new pictures the names under which the key keeps them.
    pub(super) fn name_pictures(&mut self, pictures: &mut Pictures) -> Vec<NewPicture> {
        let id = self.draft.id.to_string();
        let named = self.adding.name(&mut self.draft.pictures, "form", &id, pictures);
        self.rest = self.draft.clone();
        named
    }

    pub(super) fn was_saved(&mut self) {
        self.saved = Some(self.draft.clone());
    }

    /// Gives a form that was never saved an id of its own, made from its line and its name.
    pub(super) fn give_id(&mut self, key: &Key) {
        if self.saved.is_some() {
            return;
        }
        let name = format!("{} {}", self.draft.line, self.draft.name);
        self.draft.id = FormId::new(free_id(&name, key.forms.len(), |id| key.form(&FormId::new(id)).is_none()));
        self.rest.id = self.draft.id.clone();
    }
}

/// The first thing that a form says otherwise than another; the whole form where nothing of it has a name.
fn first_change(key: &Key, before: &Form, after: &Form) -> String {
    super::form_changes(key, before, after).into_iter().next().unwrap_or_else(|| say!("this edit").to_owned())
}

/// An id made from a name that none of so many entries has yet.
pub(in crate::desk) fn free_id(name: &str, entries: usize, free: impl Fn(&str) -> bool) -> String {
    let base = id_from_name(name);
    if free(&base) {
        return base;
    }
    (2..entries + 3).map(|n| format!("{base}-{n}")).find(|id| free(id)).unwrap_or(base)
}

/// Gives a form a part, drawn as such parts mostly are, or takes it away with its drawing and its records.
pub(super) fn toggle_part(form: &mut Form, part: Part, key: &Key) {
    if let Some(at) = form.parts.iter().position(|known| *known == part) {
        form.parts.remove(at);
        undraw(form, part);
        form.features.retain(|id, _| key.feature(id).is_none_or(|feature| feature.part != part));
    } else {
        form.parts.push(part);
        form.parts.sort();
        draw(form, part);
    }
}

/// Draws a part that has no drawing yet. The measures are a start to be corrected.
pub(super) fn draw(form: &mut Form, part: Part) {
    let shape = &mut form.shape;
    let (height, radius) = (shape.body_height_mm().max(20.0), shape.rim_radius_mm().max(15.0));
    match part {
        Part::Lid if shape.lid.is_empty() => {
            let round = |x: f64| (x * 2.0).round() / 2.0;
            shape.lid = vec![
                Point::Corner(round(radius), 0.0),
                Point::Curve(round(radius * 0.6), round(radius * 0.25)),
                Point::Curve(0.0, round(radius * 0.35)),
            ];
        }
        Part::Finial if shape.finial.is_none() => shape.finial = Some(Finial { kind: FinialKind::Ball, height_mm: 14.0, width_mm: 16.0 }),
        Part::Handle if shape.handles.is_empty() => shape.handles = vec![new_handle(height)],
        Part::Spout if shape.spout.is_none() => {
            let round = |x: f64| x.round();
            shape.spout = Some(Spout {
                kind: SpoutKind::Tube,
                root_mm: round(height * 0.4),
                tip_mm: round(height * 0.95),
                reach_mm: round(radius * 0.9),
            });
        }
        _ => {}
    }
}

/// A handle for a body of that height.
pub(super) fn new_handle(height_mm: f64) -> Handle {
    Handle {
        kind: HandleKind::Loop,
        at: HandleAt::Right,
        top_mm: (height_mm * 0.85).round(),
        bottom_mm: (height_mm * 0.3).round(),
        reach_mm: 24.0,
        thick_mm: 8.0,
    }
}

fn undraw(form: &mut Form, part: Part) {
    match part {
        Part::Lid => form.shape.lid.clear(),
        Part::Finial => form.shape.finial = None,
        Part::Handle => form.shape.handles.clear(),
        Part::Spout => form.shape.spout = None,
        Part::Body | Part::Foot | Part::Stand | Part::Fitting => {}
    }
}
