//! What price lists shorten: data (`assets/abbreviations.ron`).

use crate::key::words::fold;
use crate::key::{Loose, Problem};
use serde::Deserialize;
use std::collections::BTreeMap;

const BUILT_IN: &str = include_str!("../../../assets/abbreviations.ron");

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Short {
    /// How it is written, points and apostrophes left out.
    short: Vec<String>,
    /// What it may mean; nothing where it says nothing of a form.
    means: Vec<String>,
}

/// Abbreviations by how they are written.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Abbreviations(BTreeMap<String, Vec<String>>);

impl Abbreviations {
    /// The ones that are built in.
    pub fn built_in() -> Self {
        Self::of_text("abbreviations.ron", BUILT_IN).0
    }

    /// Reads the text of a file that is called `name`, with everything that is wrong in it; what can be used is.
    pub fn of_text(name: &str, text: &str) -> (Self, Vec<Problem>) {
        let read = Loose::<Short>::read(name, text, "abbreviation");
        let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for entry in &read.entries {
            for short in &entry.short {
                found.entry(fold(short)).or_default().extend(entry.means.iter().map(|word| fold(word)));
            }
        }
        (Self(found), read.problems)
    }

    /// What a folded word may mean; none where it is no abbreviation.
    pub(super) fn means(&self, word: &str) -> Option<&[String]> {
        self.0.get(word).map(Vec::as_slice)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_built_in_ones_are_sound() {
        assert_eq!(Abbreviations::of_text("abbreviations.ron", BUILT_IN).1, []);
        let built_in = Abbreviations::built_in();
        assert_eq!(built_in.means("lge").map(<[String]>::len), Some(1));
        assert_eq!(built_in.means("doz").map(<[String]>::len), Some(0), "a word that says nothing");
        assert_eq!(built_in.means("platter"), None);
    }
}
