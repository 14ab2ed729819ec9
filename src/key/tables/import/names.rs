//! Ids for new things, and names as they are compared.

use crate::key::id_from_name;
use crate::key::words::fold;
use std::collections::{HashMap, HashSet};

/// Ids that are taken, and the next number for each that was.
#[derive(Debug, Clone, Default)]
pub(super) struct Ids {
    taken: HashSet<String>,
    next: HashMap<String, usize>,
}

impl Ids {
    pub(super) fn of<'a>(taken: impl Iterator<Item = &'a str>) -> Self {
        Self { taken: taken.map(str::to_owned).collect(), next: HashMap::new() }
    }

    /// A new id for that name. Where letters would be lost that no id can have, it ends in a digest of the name, so that names in any
    /// writing have ids of their own that stay the same.
    pub(super) fn make(&mut self, name: &str) -> String {
        const LONGEST: usize = 60;
        let folded = fold(name);
        let mut base: String = id_from_name(name).chars().take(LONGEST).collect();
        base.truncate(base.trim_end_matches('-').len());
        if !folded.is_ascii() {
            let digest = blake3::hash(folded.as_bytes()).to_hex();
            let head = if base == "unnamed" { "u" } else { base.as_str() };
            base = format!("{head}-{}", digest.get(..8).unwrap_or_default());
        }
        let mut id = base.clone();
        let number = self.next.entry(base.clone()).or_insert(2);
        while self.taken.contains(&id) {
            id = format!("{base}-{number}");
            *number += 1;
        }
        self.taken.insert(id.clone());
        id
    }
}

/// A name as it is compared: small letters, no accents, its words in any order.
pub(super) fn compared(name: &str) -> String {
    let folded = fold(name);
    let mut words: Vec<&str> = folded.split(' ').collect();
    words.sort_unstable();
    words.join(" ")
}

/// A text on one line.
pub(super) fn tidy(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The name to write beside an id: nothing where the id says it.
pub(super) fn beside(id: &str, name: &str) -> String {
    if id.replace('-', " ") == name { String::new() } else { name.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_has_an_id_of_its_own() {
        let mut ids = Ids::of(["plate"].into_iter());
        assert_eq!(ids.make("Plate"), "plate-2");
        assert_eq!(ids.make("plate"), "plate-3");
        assert_eq!(ids.make("Crème dish"), "creme-dish");
        let cyrillic = ids.make("блюдо");
        assert!(cyrillic.starts_with("u-") && cyrillic.is_ascii(), "{cyrillic}");
        assert_ne!(ids.make("чашка"), cyrillic, "another word, another id");
        assert_eq!(ids.make(&"long ".repeat(100)).len(), 59);
    }
}
