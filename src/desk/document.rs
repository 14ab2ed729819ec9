//! What the window is about: the house key, the piece in hand and the box it came from. It changes only through commands.

use crate::identify::{Index, Observation, Piece, Standing, Verdict};
use crate::key::{FeatureId, Form, FormId, Key, Part, Words};
use std::collections::HashMap;
use std::path::PathBuf;
use std::sync::Arc;

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
#[derive(Debug, Clone, PartialEq, Default)]
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
}

impl Compiled {
    /// Works it out.
    pub fn new(key: Arc<Key>) -> Self {
        // Of two forms of one id the first counts, as in the key.
        let places = key.forms.iter().enumerate().rev().map(|(at, form)| (form.id.clone(), at)).collect();
        Self { index: Arc::new(Index::new(&key)), words: Arc::new(Words::new(&key)), places: Arc::new(places), key }
    }
}

impl Document {
    /// A document on a key, with an empty hand.
    pub fn new(key: Key, place: KeyPlace) -> Self {
        let Compiled { key, index, words, places } = Compiled::new(Arc::new(key));
        let hand = Hand::default();
        let (standing, verdict) = index.answer(&hand.piece);
        Self {
            key,
            index,
            words,
            places,
            place,
            hand,
            box_label: String::new(),
            standing: Arc::new(standing),
            verdict: Arc::new(verdict),
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
        self.set_compiled(Compiled::new(key));
    }

    /// Puts a key in place of which everything is worked out already.
    pub fn set_compiled(&mut self, compiled: Compiled) {
        let Compiled { key, index, words, places } = compiled;
        (self.key, self.index, self.words, self.places) = (key, index, words, places);
        self.stand_again();
        self.revision += 1;
    }

    fn stand_again(&mut self) {
        let (standing, verdict) = self.index.answer(&self.hand.piece);
        self.standing = Arc::new(standing);
        self.verdict = Arc::new(verdict);
    }

    /// The form of that id.
    pub fn form(&self, id: &FormId) -> Option<&Form> {
        self.places.get(id).and_then(|&at| self.key.forms.get(at))
    }

    /// The answer to that feature.
    pub fn seen(&self, feature: &FeatureId) -> Option<&Observation> {
        self.hand.piece.seen(feature)
    }

    /// True where the person has said that the part is gone.
    pub fn is_missing(&self, part: Part) -> bool {
        self.hand.piece.missing.contains(&part)
    }
}
