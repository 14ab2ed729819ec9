//! Marks that are easily taken for one another, and what tells them apart.

use super::letters::bare;
use crate::key::{Key, Mark, MarkId, Used};
use crate::say;
use std::collections::BTreeSet;

/// Two marks whose letters are at least so alike (1 is the same) are near-twins. A choice of this program, no source.
const ALIKE: f64 = 0.6;

/// A mark that is easily taken for another.
#[derive(Debug, Clone, PartialEq)]
pub struct NearTwin {
    /// Which.
    pub mark: MarkId,
    /// How alike the letters of the two are, 0 to 1.
    pub alike: f64,
    /// What tells this one from the other, each a few words, the surest to see first; empty where the key records no difference.
    pub tells: Vec<String>,
}

/// The marks of a key that are easily taken for one of them, the most alike first; ties in the order of the key.
pub fn near_twins(key: &Key, mark: &Mark) -> Vec<NearTwin> {
    let own = letters(mark);
    let mut twins: Vec<NearTwin> = key
        .marks
        .iter()
        .filter(|other| other.id != mark.id)
        .filter_map(|other| {
            let theirs = letters(other);
            // Two marks without letters are alike if they lie the same.
            let alike = if own.is_empty() && theirs.is_empty() {
                f64::from(u8::from(mark.layout == other.layout))
            } else {
                strsim::normalized_levenshtein(&own, &theirs)
            };
            (alike >= ALIKE).then(|| NearTwin { mark: other.id.clone(), alike, tells: tells(key, mark, other) })
        })
        .collect();
    twins.sort_by(|a, b| b.alike.total_cmp(&a.alike));
    twins
}

fn letters(mark: &Mark) -> String {
    mark.wording.iter().flat_map(|line| line.text.chars().flat_map(bare)).collect()
}

fn tells(key: &Key, mark: &Mark, other: &Mark) -> Vec<String> {
    let mut tells = Vec::new();
    if mark.layout != other.layout {
        tells.push(say!("{this}, not {that}", this = other.layout.words(), that = mark.layout.words()));
    }
    tells.extend(words_apart(mark, other));
    let ink = |mark: &Mark| mark.ink.as_ref().map_or_else(|| say!("no ink").to_owned(), |ink| say!("in {ink}", ink = ink.name));
    if ink(mark) != ink(other) {
        tells.push(say!("{this}, not {that}", this = ink(other), that = ink(mark)));
    }
    if mark.applied != other.applied {
        tells.push(say!("{this}, not {that}", this = other.applied.words(), that = mark.applied.words()));
    }
    let of_lines = |mark: &Mark| -> BTreeSet<String> {
        mark.lines.iter().map(|id| key.line(id).map_or_else(|| id.to_string(), |line| line.name.clone())).collect()
    };
    let (own, theirs) = (of_lines(mark), of_lines(other));
    if own != theirs && !theirs.is_empty() {
        tells.push(say!("on {lines}", lines = theirs.into_iter().collect::<Vec<_>>().join(", ")));
    }
    if other.used == Used::NeverUsed && mark.used == Used::InUse {
        tells.push(say!("never in production as far as is known").to_owned());
    }
    if mark.made != other.made && !other.made.is_open() {
        tells.push(say!("used {years}", years = other.made.words()));
    }
    tells
}

/// The words that only one of the two has: 'has OVEN PROOF', 'lacks ENGLAND'.
fn words_apart(mark: &Mark, other: &Mark) -> Vec<String> {
    let words = |mark: &Mark| -> Vec<String> {
        mark.wording.iter().flat_map(|line| line.text.split_whitespace()).map(|word| word.chars().flat_map(bare).collect()).collect()
    };
    let (own, theirs) = (words(mark), words(other));
    let only = |some: &[String], others: &[String]| -> Vec<String> {
        some.iter().filter(|word| !word.is_empty() && !others.contains(word)).cloned().collect()
    };
    let (has, lacks) = (only(&theirs, &own), only(&own, &theirs));
    let has = (!has.is_empty()).then(|| say!("has {words}", words = has.join(" ")));
    let lacks = (!lacks.is_empty()).then(|| say!("lacks {words}", words = lacks.join(" ")));
    has.into_iter().chain(lacks).collect()
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]
    use super::*;

    #[test]
    fn a_mark_with_one_word_more_is_a_near_twin_told_by_that_word() {
        let marks = "[
            (id: \"a\", name: \"A\", layout: Round, applied: PrintedUnder, wording: [(text: \"MARROWBY POTTERY\"), (text: \"FENLIGHT\")], made: (from: Some(1934), to: Some(1941))),
            (id: \"b\", name: \"B\", layout: Round, applied: PrintedUnder, wording: [(text: \"Marrowby Pottery\"), (text: \"FENLIGHT\"), (text: \"ENGLAND\")], made: (from: Some(1946), to: Some(1953))),
            (id: \"c\", name: \"C\", layout: Words, applied: Impressed, wording: [(text: \"QUOIN\")]),
        ]";
        let key = Key { marks: ron::from_str(marks).unwrap(), ..Key::default() };
        let twins = near_twins(&key, &key.marks[0]);
        assert_eq!(twins.iter().map(|twin| twin.mark.as_str()).collect::<Vec<_>>(), ["b"]);
        assert_eq!(twins[0].tells, ["has ENGLAND", "used 1946 to 1953"]);
        assert_eq!(near_twins(&key, &key.marks[1])[0].tells, ["lacks ENGLAND", "used 1934 to 1941"]);
        assert_eq!(near_twins(&key, &key.marks[2]), []);
    }
}
