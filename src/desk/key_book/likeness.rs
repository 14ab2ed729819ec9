//! Which forms the one on the sheet can't be told from, and what to record so that it can.

use crate::desk::document::Document;
use crate::identify::Index;
use crate::key::{FeatureId, Form, Key, Part, ProblemKind, Severity, check_form};

/// Forms the draft is compared with at most, those with the same parts first. A stated limit, so that a key of thousands costs no frame.
pub(super) const MOST_COMPARED: usize = 1500;

/// What was found of a draft.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Likeness {
    of: Option<(Form, u64)>,
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
    /// What is found of `draft` in the key; worked out anew only where one of them changed.
    pub(super) fn refresh(&mut self, doc: &Document, draft: &Form) {
        if self.of.as_ref().is_some_and(|(form, revision)| form == draft && *revision == doc.revision) {
            return;
        }
        *self = Self::of(&doc.key, draft);
        self.of = Some((draft.clone(), doc.revision));
    }

    fn of(key: &Key, draft: &Form) -> Self {
        let mut found = Self::default();
        for problem in check_form(key, draft) {
            // While the sheet of a new form is being filled in, its id is still to be made and its name to be typed.
            if let ProblemKind::Empty { field, .. } = &problem.kind
                && draft.id.as_str().is_empty()
            {
                if *field == "name" {
                    found.doubtful.push("give it a name before it is added".to_owned());
                }
                continue;
            }
            let list = if problem.severity == Severity::Error { &mut found.wrong } else { &mut found.doubtful };
            list.push(problem.kind.to_string());
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
    }
}
