//! The list of finds as the window holds it: the ids of all, the finds that are in sight, what is chosen.

use crate::daybook::{Column, Facets, Find, FindId, Question};
use crate::desk::daybook_work::Listing as Listed;
use crate::desk::finds_work::{Loaded, Newest};
use std::collections::{BTreeMap, BTreeSet, HashSet};
use std::ops::Range;
use std::sync::Arc;

/// Above this many finds that were read, those out of sight are let go.
const MOST_KEPT: usize = 3000;

/// Finds are asked for in runs of at least so many rows, so that scrolling asks seldom.
const RUN: usize = 60;

/// The columns shown until others are chosen.
const USUAL: [Column; 8] =
    [Column::Form, Column::Line, Column::Glaze, Column::Made, Column::Sure, Column::Box, Column::Status, Column::Found];

/// A list of finds and where one is in it.
#[derive(Debug)]
pub struct FindList {
    /// What is listed and in which order.
    pub question: Question,
    /// The columns that are shown, in the order of [`Column::ALL`].
    pub columns: Vec<Column>,
    /// Whether pictures are shown rather than a table.
    pub as_pictures: bool,
    /// Which asking for it is the newest.
    pub newest: Newest,
    pub(super) ids: Vec<FindId>,
    read: BTreeMap<FindId, Result<Arc<Find>, String>>,
    asked: BTreeSet<FindId>,
    /// Once the list has been read for the first time.
    pub(super) is_known: bool,
    pub(super) facets: Arc<Facets>,
    pub(super) problem: Option<String>,
    /// The rows last in sight.
    pub(super) sight: Range<usize>,
    /// The finds that are chosen, for changing many at once.
    pub(super) chosen: BTreeSet<FindId>,
    /// The find whose sheet is open.
    pub(super) open: Option<FindId>,
    /// The row where keys go on from, and the row a run of chosen ones began at.
    pub(super) cursor: Option<usize>,
    pub(super) anchor: Option<usize>,
    /// The row that is to have the keyboard next, and be in sight.
    pub(super) go_to: Option<usize>,
}

impl Default for FindList {
    fn default() -> Self {
        Self {
            question: Question::default(),
            columns: USUAL.to_vec(),
            as_pictures: false,
            newest: Newest::default(),
            ids: Vec::new(),
            read: BTreeMap::new(),
            asked: BTreeSet::new(),
            is_known: false,
            facets: Arc::default(),
            problem: None,
            sight: 0..RUN,
            chosen: BTreeSet::new(),
            open: None,
            cursor: None,
            anchor: None,
            go_to: None,
        }
    }
}

impl FindList {
    /// Takes a list in, unless something else was asked for since. Says whether it did.
    pub fn take_in(&mut self, question: &Question, listed: Listed) -> bool {
        if *question != self.question {
            return false;
        }
        match listed {
            Ok((ids, finds)) => {
                if !self.chosen.is_empty() {
                    // Of a hundred thousand, ten thousand may be chosen.
                    let there: HashSet<FindId> = ids.iter().copied().collect();
                    self.chosen.retain(|id| there.contains(id));
                }
                // What stands open stays so while another list is looked at; its find is read again with the rest.
                self.ids = ids;
                self.read = finds.into_iter().collect();
                self.asked.clear();
                self.is_known = true;
                self.problem = None;
                self.cursor = self.open.and_then(|open| self.ids.iter().position(|id| *id == open));
                self.anchor = self.cursor;
                true
            }
            Err(why) => {
                self.problem = Some(why);
                false
            }
        }
    }

    /// Takes finds in that came into sight.
    pub fn take_loaded(&mut self, finds: Result<Loaded, String>) {
        match finds {
            Ok(finds) => {
                for (id, find) in finds {
                    self.asked.remove(&id);
                    self.read.insert(id, find);
                }
            }
            Err(why) => self.problem = Some(why),
        }
    }

    /// Takes in what the list could be narrowed by.
    pub fn take_facets(&mut self, question: &Question, facets: Result<Box<Facets>, String>) {
        if let (true, Ok(facets)) = (question.filter == self.question.filter, facets) {
            self.facets = Arc::from(facets);
        }
    }

    /// How many finds the list has.
    pub fn len(&self) -> usize {
        self.ids.len()
    }

    /// True where the list has none.
    pub fn is_empty(&self) -> bool {
        self.ids.is_empty()
    }

    /// How many finds are held in memory.
    pub fn held(&self) -> usize {
        self.read.len()
    }

    pub(super) fn id_at(&self, row: usize) -> Option<FindId> {
        self.ids.get(row).copied()
    }

    pub(super) fn find(&self, id: FindId) -> Option<&Result<Arc<Find>, String>> {
        self.read.get(&id)
    }

    /// The find whose sheet is open, once it was read.
    pub(super) fn open_find(&self) -> Option<Arc<Find>> {
        self.read.get(&self.open?)?.as_ref().ok().map(Arc::clone)
    }

    /// Notes what is in sight, and gives the finds of it and around it that are still to be read.
    pub(super) fn wanted(&mut self, sight: Range<usize>) -> Vec<FindId> {
        self.sight = sight.start..sight.end.max(sight.start + RUN);
        let missing = |id: &FindId| !self.read.contains_key(id) && !self.asked.contains(id);
        let open = self.open.filter(missing);
        let in_sight = self.ids.get(sight.start..sight.end.min(self.ids.len())).unwrap_or_default();
        let mut wanted = Vec::new();
        if in_sight.iter().any(missing) {
            let around = self.ids.iter().skip(sight.start.saturating_sub(RUN / 2)).take(sight.len() + RUN);
            wanted.extend(around.copied().filter(missing));
        }
        wanted.extend(open.filter(|open| !wanted.contains(open)));
        if !wanted.is_empty() && self.read.len() > MOST_KEPT {
            let keep: BTreeSet<FindId> = in_sight.iter().copied().chain(self.open).collect();
            self.read.retain(|id, _| keep.contains(id));
        }
        self.asked.extend(&wanted);
        wanted
    }

    /// The finds a change is made to: those chosen, else the one that is open.
    pub(super) fn aimed_at(&self) -> Vec<FindId> {
        if self.chosen.is_empty() { self.open.into_iter().collect() } else { self.chosen.iter().copied().collect() }
    }

    /// Chooses a row as a press on it does: alone, with others (Ctrl), or as the end of a run (Shift).
    pub(super) fn press(&mut self, row: usize, how: Press) {
        let Some(id) = self.id_at(row) else { return };
        match how {
            Press::Alone => {
                self.chosen.clear();
                self.open = Some(id);
                self.anchor = Some(row);
            }
            Press::Too => {
                // What stands open is the first of several.
                self.chosen.extend(self.open.take());
                if !self.chosen.remove(&id) {
                    self.chosen.insert(id);
                }
                self.anchor = Some(row);
            }
            Press::Run => {
                let from = self.anchor.unwrap_or(row);
                self.open = None;
                let run = from.min(row)..from.max(row) + 1;
                self.chosen = self.ids.get(run).unwrap_or_default().iter().copied().collect();
            }
        }
        self.cursor = Some(row);
    }

    /// Chooses every find of the list.
    pub(super) fn choose_all(&mut self) {
        self.open = None;
        self.chosen = self.ids.iter().copied().collect();
    }
}

/// How a row is pressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Press {
    /// It alone.
    Alone,
    /// It too.
    Too,
    /// All from the anchor to it.
    Run,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn list(n: usize) -> FindList {
        FindList { ids: (0..n).map(|_| FindId::new()).collect(), ..FindList::default() }
    }

    #[test]
    fn rows_are_chosen_alone_together_and_in_runs() {
        let mut list = list(6);
        let id = |list: &FindList, row: usize| list.id_at(row);
        list.press(1, Press::Alone);
        assert_eq!((list.open, list.aimed_at().len()), (id(&list, 1), 1));
        list.press(3, Press::Too);
        assert_eq!((list.open, list.chosen.len()), (None, 2), "the one that was open is one of them");
        list.press(3, Press::Too);
        assert_eq!(list.chosen.len(), 1);
        list.press(1, Press::Alone);
        list.press(4, Press::Run);
        assert_eq!(list.chosen.len(), 4);
        list.press(0, Press::Run);
        assert_eq!(list.chosen.len(), 2, "a run turns about where it began");
        list.press(99, Press::Alone);
        assert_eq!(list.chosen.len(), 2, "no such row");
        list.choose_all();
        assert_eq!(list.aimed_at().len(), 6);
    }

    #[test]
    fn what_is_in_sight_is_asked_for_once() {
        let mut list = list(1000);
        let wanted = list.wanted(500..510);
        assert!(wanted.len() >= 10 && wanted.len() <= RUN + 10, "{}", wanted.len());
        assert_eq!(list.wanted(500..510), []);
        assert!(!list.wanted(900..910).is_empty());
        assert_eq!(list.wanted(2000..2010), [], "past the end there is nothing");
    }
}
