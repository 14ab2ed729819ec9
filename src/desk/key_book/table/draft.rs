//! Cells that were changed and are not saved yet, with the steps that led there.

use crate::key::{FeatureId, Form, FormId, Key, Record};
use std::collections::BTreeMap;

/// What a cell says; nothing where it is not recorded.
pub(super) type Cell = Option<Record>;

/// The changed cells.
#[derive(Debug, Default)]
pub(super) struct Draft {
    changed: BTreeMap<FormId, BTreeMap<FeatureId, Cell>>,
    done: Vec<Step>,
    undone: Vec<Step>,
    /// Counts every change, so that what is worked out of the cells is worked out anew.
    pub(super) revision: u64,
}

/// What one step did.
#[derive(Debug)]
struct Step {
    name: String,
    cells: Vec<Turned>,
}

/// A cell before and after: what was changed of the key, or that nothing was.
#[derive(Debug)]
struct Turned {
    form: FormId,
    feature: FeatureId,
    before: Option<Cell>,
    after: Option<Cell>,
}

/// 'Not recorded' is the same as leaving a feature out.
fn plain(record: Option<&Record>) -> Cell {
    record.filter(|record| **record != Record::NotRecorded).cloned()
}

impl Draft {
    /// What is recorded, as it stands here.
    pub(super) fn record<'a>(&'a self, form: &'a Form, feature: &FeatureId) -> Option<&'a Record> {
        match self.changed.get(&form.id).and_then(|cells| cells.get(feature)) {
            Some(cell) => cell.as_ref(),
            None => form.features.get(feature).filter(|record| **record != Record::NotRecorded),
        }
    }

    /// True where a cell is not as it is in the key.
    pub(super) fn is_changed(&self, form: &FormId, feature: &FeatureId) -> bool {
        self.changed.get(form).is_some_and(|cells| cells.contains_key(feature))
    }

    /// True where a form has a changed cell.
    pub(super) fn has(&self, form: &FormId) -> bool {
        self.changed.contains_key(form)
    }

    /// How many cells are changed.
    pub(super) fn len(&self) -> usize {
        self.changed.values().map(BTreeMap::len).sum()
    }

    /// Every changed cell.
    pub(super) fn cells(&self) -> Vec<(FormId, FeatureId, Cell)> {
        let one = |(form, cells): (&FormId, &BTreeMap<FeatureId, Cell>)| {
            cells.iter().map(|(feature, cell)| (form.clone(), feature.clone(), cell.clone())).collect::<Vec<_>>()
        };
        self.changed.iter().flat_map(one).collect()
    }

    /// Sets cells as one step of that name. How many of them became another.
    pub(super) fn set(&mut self, key: &Key, name: String, cells: Vec<(FormId, FeatureId, Cell)>) -> usize {
        let mut turned = Vec::new();
        for (form, feature, cell) in cells {
            let Some(saved) = key.form(&form) else { continue };
            let cell = plain(cell.as_ref());
            let before = self.changed.get(&form).and_then(|cells| cells.get(&feature)).cloned();
            let after = (cell != plain(saved.features.get(&feature))).then_some(cell);
            if before != after {
                self.put(&form, &feature, after.clone());
                turned.push(Turned { form, feature, before, after });
            }
        }
        let count = turned.len();
        if count > 0 {
            self.done.push(Step { name, cells: turned });
            self.undone.clear();
        }
        count
    }

    fn put(&mut self, form: &FormId, feature: &FeatureId, to: Option<Cell>) {
        self.revision += 1;
        match to {
            Some(cell) => {
                self.changed.entry(form.clone()).or_default().insert(feature.clone(), cell);
            }
            None => {
                if let Some(cells) = self.changed.get_mut(form) {
                    cells.remove(feature);
                    if cells.is_empty() {
                        self.changed.remove(form);
                    }
                }
            }
        }
    }

    /// Name of the step that undo would take back.
    pub(super) fn undo_name(&self) -> Option<&str> {
        self.done.last().map(|step| step.name.as_str())
    }

    /// Name of the step that redo would make again.
    pub(super) fn redo_name(&self) -> Option<&str> {
        self.undone.last().map(|step| step.name.as_str())
    }

    /// Takes the last step back. False where there is none.
    pub(super) fn undo(&mut self) -> bool {
        let Some(step) = self.done.pop() else { return false };
        for cell in step.cells.iter().rev() {
            self.put(&cell.form, &cell.feature, cell.before.clone());
        }
        self.undone.push(step);
        true
    }

    /// Makes it again. False where there is none.
    pub(super) fn redo(&mut self) -> bool {
        let Some(step) = self.undone.pop() else { return false };
        for cell in &step.cells {
            self.put(&cell.form, &cell.feature, cell.after.clone());
        }
        self.done.push(step);
        true
    }

    /// Forgets all changes and all steps.
    pub(super) fn clear(&mut self) {
        *self = Self { revision: self.revision + 1, ..Self::default() };
    }

    /// The key with the changed cells, and the forms that have some.
    pub(super) fn applied(&self, key: &Key) -> (Key, Vec<FormId>) {
        let mut new = key.clone();
        for form in &mut new.forms {
            for (feature, cell) in self.changed.get(&form.id).into_iter().flatten() {
                match cell {
                    Some(record) => {
                        form.features.insert(feature.clone(), record.clone());
                    }
                    None => {
                        form.features.shift_remove(feature);
                    }
                }
            }
        }
        (new, self.changed.keys().cloned().collect())
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use crate::key::builtin;

    #[test]
    fn cells_are_set_taken_back_and_carried_into_the_key() {
        let key = builtin::demo().key;
        let form = key.form(&"quoin-covered-sugar".into()).unwrap();
        let outline = FeatureId::from("lid-outline");
        let mut draft = Draft::default();
        let oval = Some(Record::Always("oval".into()));
        let set = |draft: &mut Draft, cell: Cell| draft.set(&key, "lid outline".to_owned(), vec![(form.id.clone(), outline.clone(), cell)]);
        assert_eq!(set(&mut draft, oval.clone()), 1);
        assert_eq!(set(&mut draft, oval.clone()), 0, "it says that already");
        assert_eq!((draft.record(form, &outline), draft.len()), (oval.as_ref(), 1));
        assert_eq!(set(&mut draft, None), 1);
        assert_eq!((draft.record(form, &outline), draft.is_changed(&form.id, &outline)), (None, true));
        assert!(!draft.applied(&key).0.form(&form.id).unwrap().features.contains_key(&outline));
        assert!(draft.undo());
        let (new, forms) = draft.applied(&key);
        assert_eq!((new.form(&form.id).unwrap().features.get(&outline), forms), (oval.as_ref(), vec![form.id.clone()]));
        // Back to what the key says is no change.
        let saved = form.features.get(&outline).cloned();
        assert_eq!((set(&mut draft, saved), draft.len(), draft.has(&form.id)), (1, 0, false));
        assert!(draft.undo() && draft.undo() && !draft.undo());
        assert_eq!(draft.applied(&key).0, key);
        assert!(draft.redo() && draft.redo() && !draft.redo());
        assert_eq!(draft.len(), 0);
    }
}
