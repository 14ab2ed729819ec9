//! Which forms the one on the sheet can't be told from, and what to record so that it can.

use crate::identify::Index;
use crate::key::{FeatureId, Form, Key, Part, ProblemKind, Severity, check_form};
use crate::say;
use std::sync::Arc;

/// Forms the draft is compared with at most, those with the same parts first. A stated limit, so that a key of thousands costs no frame.
pub(super) const MOST_COMPARED: usize = 1500;

/// What the form on the sheet is like. It is worked out off the frame; until then the last that was found stays.
#[derive(Debug, Default)]
pub(super) struct Likeness {
    /// The draft and the key that it was found of.
    of: Option<(Form, Arc<Key>)>,
    /// Those of which it is being worked out.
    asked: Option<(Form, Arc<Key>)>,
    pub(super) found: Found,
}

/// What was found of a draft.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Found {
    /// Forms that nothing recorded tells it from: name with line, and what may tell them apart once recorded.
    pub(super) same: Vec<(String, Vec<FeatureId>)>,
    /// Forms that one feature alone tells it from: name with line, and that feature.
    pub(super) near: Vec<(String, FeatureId)>,
    /// What can't be so.
    pub(super) wrong: Vec<String>,
    /// What a person should look at.
    pub(super) doubtful: Vec<String>,
    /// Forms it was compared with.
    pub(super) compared: usize,
}

impl Likeness {
    /// True where it is to be worked out: the draft or the key has changed, and none is on its way.
    pub(super) fn is_due(&self, key: &Arc<Key>, draft: &Form) -> bool {
        self.asked.is_none() && self.of.as_ref().is_none_or(|(form, of)| form != draft || !Arc::ptr_eq(of, key))
    }

    /// True before anything was found.
    pub(super) fn is_blank(&self) -> bool {
        self.of.is_none()
    }

    /// It is being worked out.
    pub(super) fn begin(&mut self, key: &Arc<Key>, draft: &Form) {
        self.asked = Some((draft.clone(), Arc::clone(key)));
    }

    /// Takes in what was found, unless something else has been asked for since.
    pub(super) fn take_in(&mut self, key: Arc<Key>, draft: Form, found: Found) {
        if self.asked.as_ref().is_some_and(|(form, of)| *form == draft && Arc::ptr_eq(of, &key)) {
            self.asked = None;
            self.of = Some((draft, key));
            self.found = found;
        }
    }

    /// The work broke: what was found last stays.
    pub(super) fn give_up(&mut self) {
        if let Some(asked) = self.asked.take() {
            self.of = Some(asked);
        }
    }
}

impl Found {
    /// What is found of `draft` in the key.
    pub(super) fn of(key: &Key, draft: &Form) -> Self {
        let mut found = Self::default();
        for problem in check_form(key, draft) {
            // While the sheet of a new form is being filled in, its id is still to be made and its name to be typed.
            if let ProblemKind::Empty { field, .. } = &problem.kind
                && draft.id.as_str().is_empty()
            {
                if *field == "name" {
                    found.doubtful.push(say!("give it a name before it is added").to_owned());
                }
                continue;
            }
            let list = if problem.severity == Severity::Error { &mut found.wrong } else { &mut found.doubtful };
            list.push(problem.sentence());
        }
        let parts = |form: &Form| Part::ALL.map(|part| form.parts.contains(&part));
        let own = parts(draft);
        let mut others: Vec<&Form> = key.forms.iter().filter(|form| form.id != draft.id).collect();
        others.sort_by_key(|form| parts(form) != own);
        others.truncate(MOST_COMPARED);
        found.compared = others.len();
        let mut small = Key { forms: others.into_iter().cloned().collect(), ..without_forms(key) };
        small.forms.push(draft.clone());
        for like in Index::new(&small).look_alikes(&draft.id, 1) {
            match like.differs.as_slice() {
                [] => found.same.push((small.form_name(&like.form), like.to_record)),
                [one, ..] => found.near.push((small.form_name(&like.form), one.clone())),
            }
        }
        found
    }
}

fn without_forms(key: &Key) -> Key {
    Key {
        about: key.about.clone(),
        features: key.features.clone(),
        lines: key.lines.clone(),
        forms: Vec::new(),
        glazes: key.glazes.clone(),
        decorations: key.decorations.clone(),
        marks: key.marks.clone(),
        papers: Vec::new(),
        counted: Vec::new(),
        retired: key.retired.clone(),
    }
}
