//! A proposal in words.

use super::{Change, Claims, Proposal};
use crate::key::{Feature, Held, Key};
use crate::say;

impl Proposal {
    /// What the key has now, in words: 'usually round', 'not recorded'.
    pub fn before_words(&self, key: &Key) -> String {
        self.words(key, Side::Before)
    }

    /// What it would have, in words: 'round 8 times, oval once'.
    pub fn after_words(&self, key: &Key) -> String {
        self.words(key, Side::After)
    }

    fn words(&self, key: &Key, side: Side) -> String {
        let Some(feature) = key.feature(&self.feature) else { return String::new() };
        match &self.change {
            Change::Record { before, after } => match side {
                Side::Before => {
                    before.as_ref().map_or_else(|| say!("not recorded").to_owned(), |record| key.record_words(&self.feature, record))
                }
                Side::After => key.record_words(&self.feature, after),
            },
            Change::Glazes(claims) => claims_words(key, feature, claims, side),
            Change::Decorations(claims) => claims_words(key, feature, claims, side),
            Change::Marks(claims) => claims_words(key, feature, claims, side),
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Side {
    Before,
    After,
}

/// Only the claims that are not the same on both sides.
fn claims_words<Id: PartialEq + AsRef<str>>(key: &Key, feature: &Feature, claims: &Claims<Id>, side: Side) -> String {
    let names = key.values_of(feature);
    let (here, there) = match side {
        Side::Before => (&claims.before, &claims.after),
        Side::After => (&claims.after, &claims.before),
    };
    let words = |held: &Held<Id>| {
        let id = held.id.as_ref();
        let name = names.iter().find(|(known, _)| known.as_str() == id).map_or(id, |(_, name)| name.as_str());
        format!("{} ({})", held.often.with(name), held.how.words())
    };
    let differs = |held: &&Held<Id>| !there.iter().any(|other| other.id == held.id && other.often == held.often && other.how == held.how);
    let each: Vec<String> = here.iter().filter(differs).map(words).collect();
    if each.is_empty() { say!("not claimed").to_owned() } else { each.join(", ") }
}
