//! What the window is about: the house key, the piece in hand and the box it came from. It changes only through commands.

use super::kept::Kept;
use crate::daybook::census::Services;
use crate::daybook::condition::ConditionRules;
use crate::daybook::lids::Shelves;
use crate::identify::{Index, Observation, Piece, Standing, Verdict};
use crate::key::{FeatureId, Form, FormId, Key, Part, Words};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeSet, HashMap};
use std::path::PathBuf;
use std::sync::{Arc, OnceLock};

/// The document of the window.
#[derive(Debug, Clone)]
pub struct Document {
    /// The house key as it stands.
    pub key: Arc<Key>,
    /// The index compiled from it.
    pub index: Arc<Index>,
    /// The names of the key, for looking things up.
    pub words: Arc<Words>,
    /// Where each form stands in the key: it is looked up a hundred times a frame.
    places: Arc<HashMap<FormId, usize>>,
    /// Parts that any form has.
    parts: Arc<BTreeSet<Part>>,
    sizes: Sizes,
    /// Where the key lives.
    pub place: KeyPlace,
    /// The piece in hand.
    pub hand: Hand,
    /// The box or lot that is being sorted.
    pub box_label: String,
    /// What the observations make of the key's forms. Always that of `hand.piece`.
    pub standing: Arc<Standing>,
    /// The answer as it stands.
    pub verdict: Arc<Verdict>,
    /// The kinds of faults and the grades.
    pub condition_rules: Arc<ConditionRules>,
    /// Loose lids and lidless bases.
    pub shelves: Kept<Shelves>,
    /// What the services want.
    pub services: Kept<Services>,
    /// Counts every change of key or piece, so that a view knows when to work something out again.
    pub revision: u64,
}

/// Where a house key lives and what is wrong with it.
#[derive(Debug, Clone, Default)]
pub struct KeyPlace {
    /// Its folder. None for a key that is only in memory.
    pub dir: Option<PathBuf>,
    /// The problems found when it was opened, rendered.
    pub problems: Arc<Vec<String>>,
    /// Why it can't be changed, where it can't.
    pub read_only: Option<String>,
}

/// The piece in hand and what goes into the daybook with it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Hand {
    /// What was seen.
    pub piece: Piece,
    /// A note.
    pub note: String,
    /// Photographs, in the order they were added.
    pub photographs: Vec<Photograph>,
    /// The find of the daybook this piece was reopened from.
    pub reopened: Option<crate::daybook::FindId>,
}

/// A photograph of the piece in hand.
pub type Photograph = crate::daybook::Photograph;

impl Hand {
    /// True where there is nothing to lose.
    pub fn is_blank(&self) -> bool {
        self.piece.is_blank() && self.note.is_empty() && self.photographs.is_empty()
    }
}

/// A key with all that is worked out from it once. Made off the frame for a key that is opened: of ten thousand forms it takes a while.
#[derive(Debug, Clone)]
pub struct Compiled {
    key: Arc<Key>,
    index: Arc<Index>,
    words: Arc<Words>,
    places: Arc<HashMap<FormId, usize>>,
    parts: Arc<BTreeSet<Part>>,
    sizes: Sizes,
}

/// Width over everything and height of each form in millimetres, once they are wanted.
type Sizes = Arc<OnceLock<Vec<(f32, f32)>>>;

fn size_of(form: &Form) -> (f32, f32) {
    let bounds = form.shape.silhouette().bounds;
    (bounds.width() as f32, bounds.y1 as f32)
}

fn sizes_of<'s>(key: &Key, sizes: &'s Sizes) -> &'s [(f32, f32)] {
    sizes.get_or_init(|| key.forms.par_iter().map(size_of).collect())
}

impl Compiled {
    /// Works it out.
    pub fn new(key: Arc<Key>) -> Self {
        // Of two forms of one id the first counts, as in the key.
        let places = key.forms.iter().enumerate().rev().map(|(at, form)| (form.id.clone(), at)).collect();
        Self {
            index: Arc::new(Index::new(&key)),
            words: Arc::new(Words::new(&key)),
            places: Arc::new(places),
            parts: Arc::new(parts_of(&key)),
            sizes: Sizes::default(),
            key,
        }
    }

    /// The same with what is wanted now and then worked out too: for a key that is opened off the frame.
    #[must_use]
    pub fn in_full(self) -> Self {
        sizes_of(&self.key, &self.sizes);
        self
    }

    /// The same for a key that came from this one by a change. What only one form's change leaves as it was is kept: an edit of one form of
    /// ten thousand is felt at once, and so is its undoing.
    #[must_use]
    pub fn after(&self, key: Arc<Key>) -> Self {
        let Some(form) = only_form_changed(&self.key, &key) else { return Self::new(key) };
        let (Some(old), Some(new)) = (self.key.forms.get(form), key.forms.get(form)) else { return Self::new(key) };
        let sizes = Sizes::default();
        if let Some(known) = self.sizes.get() {
            let mut all = known.clone();
            if let Some(size) = all.get_mut(form) {
                *size = size_of(new);
            }
            // It has just been made, so it is empty.
            let _ = sizes.set(all);
        }
        let same_names = old.name == new.name && old.also == new.also && old.line == new.line;
        let words = if same_names { Arc::clone(&self.words) } else { Arc::new(Words::new(&key)) };
        Self {
            index: Arc::new(self.index.edited(&key, &new.id)),
            words,
            places: Arc::clone(&self.places),
            parts: Arc::new(parts_of(&key)),
            sizes,
            key,
        }
    }
}

fn parts_of(key: &Key) -> BTreeSet<Part> {
    key.forms.iter().flat_map(|form| form.parts.iter().copied()).collect()
}

/// Where the form stands that alone is not as it was; none where anything else that names or index are made of differs too.
fn only_form_changed(old: &Key, new: &Key) -> Option<usize> {
    let same = old.about == new.about
        && old.features == new.features
        && old.lines == new.lines
        && old.glazes == new.glazes
        && old.decorations == new.decorations
        && old.marks == new.marks
        && old.papers == new.papers
        && old.forms.len() == new.forms.len();
    let mut changed = old.forms.iter().zip(&new.forms).enumerate().filter(|(_, (old, new))| old != new);
    let (at, (old, new)) = changed.next().filter(|_| same)?;
    (old.id == new.id && changed.next().is_none()).then_some(at)
}

impl Document {
    /// A document on a key, with an empty hand.
    pub fn new(key: Key, place: KeyPlace) -> Self {
        let Compiled { key, index, words, places, parts, sizes } = Compiled::new(Arc::new(key));
        let hand = Hand::default();
        let (standing, verdict) = index.answer(&hand.piece);
        Self {
            key,
            index,
            words,
            places,
            parts,
            sizes,
            place,
            hand,
            box_label: String::new(),
            standing: Arc::new(standing),
            verdict: Arc::new(verdict),
            condition_rules: Arc::new(ConditionRules::built_in().clone()),
            shelves: Kept::default(),
            services: Kept::default(),
            revision: 0,
        }
    }

    /// Puts another hand in place and works out what it means.
    pub fn set_hand(&mut self, hand: Hand) {
        let same_piece = hand.piece == self.hand.piece;
        self.hand = hand;
        if !same_piece {
            self.stand_again();
        }
        self.revision += 1;
    }

    /// Puts another state of the key in place and works out what it means.
    pub fn set_key(&mut self, key: Arc<Key>) {
        let before = Compiled {
            key: Arc::clone(&self.key),
            index: Arc::clone(&self.index),
            words: Arc::clone(&self.words),
            places: Arc::clone(&self.places),
            parts: Arc::clone(&self.parts),
            sizes: Arc::clone(&self.sizes),
        };
        self.set_compiled(before.after(key));
    }

    /// Puts a key in place of which everything is worked out already.
    pub fn set_compiled(&mut self, compiled: Compiled) {
        let Compiled { key, index, words, places, parts, sizes } = compiled;
        (self.key, self.index, self.words, self.places, self.parts, self.sizes) = (key, index, words, places, parts, sizes);
        self.stand_again();
        self.revision += 1;
    }

    /// Says everything anew, in the language that is spoken now.
    pub fn say_again(&mut self) {
        let (standing, verdict) = self.index.answer(&self.hand.piece);
        self.standing = Arc::new(standing);
        self.verdict = Arc::new(verdict);
        self.revision += 1;
    }

    fn stand_again(&mut self) {
        let (standing, verdict) = self.index.answer_after(&self.standing, &self.hand.piece);
        self.standing = Arc::new(standing);
        self.verdict = Arc::new(verdict);
    }

    /// The parts that forms of the key have.
    pub fn parts_of_forms(&self) -> &BTreeSet<Part> {
        &self.parts
    }

    /// The form of that id.
    pub fn form(&self, id: &FormId) -> Option<&Form> {
        self.places.get(id).and_then(|&at| self.key.forms.get(at))
    }

    /// The answer to that feature.
    pub fn seen(&self, feature: &FeatureId) -> Option<&Observation> {
        self.hand.piece.seen(feature)
    }

    /// Width over everything and height of each form in millimetres, in the order of the key.
    pub fn sizes_mm(&self) -> &[(f32, f32)] {
        sizes_of(&self.key, &self.sizes)
    }

    /// True where any form of the key has the part.
    pub fn has_part(&self, part: Part) -> bool {
        self.parts.contains(&part)
    }

    /// True where the person has said that the part is gone.
    pub fn is_missing(&self, part: Part) -> bool {
        self.hand.piece.missing.contains(&part)
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use crate::identify::{Seen, Sure};
    use crate::key::{Record, builtin};

    fn saying(key: &Key) -> Document {
        let mut doc = Document::new(key.clone(), KeyPlace::default());
        let mut hand = Hand::default();
        hand.piece.see(Observation { feature: "lid-outline".into(), seen: Seen::Values(vec!["oval".into()]), sure: Sure::Sure });
        doc.set_hand(hand);
        doc
    }

    /// Whatever changes, the document is that of a key opened so.
    #[test]
    fn a_changed_key_is_as_one_that_was_opened() {
        let key = builtin::demo().key;
        let changes: [&dyn Fn(&mut Key); 6] = [
            &|key| {
                key.forms.first_mut().unwrap().features.insert("lid-outline".into(), Record::Always("oval".into()));
            },
            &|key| key.forms.first_mut().unwrap().name = "great plate".to_owned(),
            &|key| key.forms.first_mut().unwrap().weight = 40.0,
            &|key| key.features.first_mut().unwrap().slip = 0.3,
            &|key| {
                key.forms.pop();
            },
            &|key| key.forms.swap(0, 1),
        ];
        for (n, change) in changes.iter().enumerate() {
            let mut doc = saying(&key);
            assert_eq!(doc.sizes_mm().len(), key.forms.len());
            let mut changed = key.clone();
            change(&mut changed);
            doc.set_key(Arc::new(changed.clone()));
            let opened = saying(&changed);
            assert_eq!(doc.standing, opened.standing, "change {n}");
            assert_eq!(doc.verdict, opened.verdict, "change {n}");
            assert_eq!(doc.sizes_mm(), opened.sizes_mm(), "change {n}");
            for form in &changed.forms {
                assert_eq!(doc.form(&form.id), Some(form), "change {n}");
                assert_eq!(doc.words.form(&doc.key.full_name(form)).ok(), Some(form.id.clone()), "change {n}");
            }
        }
    }
}
