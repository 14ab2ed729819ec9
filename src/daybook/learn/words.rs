//! A proposal in words.

use super::{Change, Claims, Proposal};
use crate::key::{Feature, FeatureKind, Held, How, Key, Often, Record, ValueId};

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
                Side::Before => before.as_ref().map_or_else(|| "not recorded".to_owned(), |record| record_words(key, feature, record)),
                Side::After => record_words(key, feature, after),
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

fn often_words(often: Often) -> String {
    match often {
        Often::Always => "always".to_owned(),
        Often::Usually => "usually".to_owned(),
        Often::Sometimes => "sometimes".to_owned(),
        Often::Times(1) => "once".to_owned(),
        Often::Times(n) => format!("{n} times"),
    }
}

const fn how_words(how: How) -> &'static str {
    match how {
        How::Seen => "seen",
        How::InPaper => "in a paper",
        How::Inferred => "inferred",
        How::Suspected => "suspected",
        How::Refuted => "refuted",
    }
}

fn record_words(key: &Key, feature: &Feature, record: &Record) -> String {
    let names = key.values_of(feature);
    let name = |id: &ValueId| names.iter().find(|(known, _)| known == id).map_or_else(|| id.to_string(), |(_, name)| name.clone());
    let sign = if let FeatureKind::Measure(measure) = &feature.kind { measure.unit.sign() } else { "" };
    match record {
        Record::Always(value) => format!("always {}", name(value)),
        Record::Values(values) => {
            let each: Vec<String> = values
                .iter()
                .map(|(value, often)| match often {
                    Often::Times(_) => format!("{} {}", name(value), often_words(*often)),
                    word => format!("{} {}", often_words(*word), name(value)),
                })
                .collect();
            each.join(", ")
        }
        Record::Between(lo, hi) => format!("{lo} to {hi} {sign}").trim_end().to_owned(),
        Record::NotRecorded => "not recorded".to_owned(),
        Record::DoesNotApply => "does not apply".to_owned(),
    }
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
        match held.often {
            Often::Times(_) => format!("{name} {} ({})", often_words(held.often), how_words(held.how)),
            often => format!("{} {name} ({})", often_words(often), how_words(held.how)),
        }
    };
    let differs = |held: &&Held<Id>| !there.iter().any(|other| other.id == held.id && other.often == held.often && other.how == held.how);
    let each: Vec<String> = here.iter().filter(differs).map(words).collect();
    if each.is_empty() { "not claimed".to_owned() } else { each.join(", ") }
}
