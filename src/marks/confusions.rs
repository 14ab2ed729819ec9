//! Letters that worn or badly inked print makes look alike: a table that is data (`assets/confusions.ron`).

use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::LazyLock;
use thiserror::Error;

/// The table that is built in.
const BUILT_IN: &str = include_str!("../../assets/confusions.ron");

/// Why a table of letters that look alike can't be used. Shown, it is its sentence and then file, line and column.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{says}\n{file}:{line}:{column}")]
pub struct ConfusionsError {
    /// What is wrong, in a sentence.
    pub says: String,
    /// The file, as it was called.
    pub file: String,
    /// Line, from 1. An entry that can't be read is named by where it ends.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

/// Which letters are read for which, and how often.
#[derive(Debug, Clone, PartialEq)]
pub struct Confusions {
    letters: BTreeMap<(char, char), f64>,
    pairs: Vec<([char; 2], char, f64)>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OnDisk {
    letters: Vec<Letters>,
    #[serde(default)]
    pairs: Vec<Pair>,
}

#[derive(Deserialize)]
#[serde(try_from = "(String, String, f64)")]
struct Letters(char, char, f64);

#[derive(Deserialize)]
#[serde(try_from = "(String, String, f64)")]
struct Pair([char; 2], char, f64);

fn letter(text: &str) -> Result<char, String> {
    let mut chars = text.chars();
    match (chars.next(), chars.next()) {
        (Some(c), None) if c.is_ascii_uppercase() || c.is_ascii_digit() => Ok(c),
        _ => Err(format!("'{text}' is not one capital letter or figure")),
    }
}

fn chance(p: f64) -> Result<f64, String> {
    if p > 0.0 && p < 0.5 { Ok(p) } else { Err(format!("'{p}' is not a chance above 0 and below 0.5 (write 0.05 for one in twenty)")) }
}

impl TryFrom<(String, String, f64)> for Letters {
    type Error = String;
    fn try_from((one, other, p): (String, String, f64)) -> Result<Self, String> {
        if one == other {
            return Err(format!("'{one}' stands for itself (name two letters that look alike)"));
        }
        Ok(Self(letter(&one)?, letter(&other)?, chance(p)?))
    }
}

impl TryFrom<(String, String, f64)> for Pair {
    type Error = String;
    fn try_from((two, one, p): (String, String, f64)) -> Result<Self, String> {
        let chars: Vec<char> = two.chars().collect();
        let [first, second] = chars.as_slice() else { return Err(format!("'{two}' is not two letters")) };
        Ok(Self([letter(&first.to_string())?, letter(&second.to_string())?], letter(&one)?, chance(p)?))
    }
}

/// Line and column where a pair of letters stands, as it is usually written; the last time, where it stands twice.
fn place(text: &str, a: char, b: char) -> (usize, usize) {
    let before = text.rfind(&format!("(\"{a}\", \"{b}\"")).and_then(|at| text.get(..at)).unwrap_or_default();
    (before.matches('\n').count() + 1, before.rsplit('\n').next().unwrap_or_default().chars().count() + 1)
}

impl Confusions {
    /// Reads a table; `file` is what it is called in messages.
    ///
    /// # Errors
    /// Where it is no such table, names a letter that is none, a chance that can't be, or a pair twice.
    pub fn parse(file: &str, text: &str) -> Result<Self, ConfusionsError> {
        let wrong = |says: String, line, column| ConfusionsError { says, file: file.to_owned(), line, column };
        let read: OnDisk = ron::from_str(text).map_err(|e| wrong(e.code.to_string(), e.span.start.line.max(1), e.span.start.col.max(1)))?;
        let mut letters = BTreeMap::new();
        let mut sums: BTreeMap<char, f64> = BTreeMap::new();
        for Letters(a, b, p) in read.letters {
            let (line, column) = place(text, a, b);
            if letters.insert((a.min(b), a.max(b)), p).is_some() {
                return Err(wrong(format!("'{a}' and '{b}' stand twice (leave one of them out)"), line, column));
            }
            for c in [a, b] {
                let sum = sums.entry(c).or_default();
                *sum += p;
                if *sum >= 0.5 {
                    return Err(wrong(
                        format!("'{c}' is mixed up {sum:.2} of the time (its chances must stay below 0.5 together)"),
                        line,
                        column,
                    ));
                }
            }
        }
        Ok(Self { letters, pairs: read.pairs.into_iter().map(|Pair(two, one, p)| (two, one, p)).collect() })
    }

    /// The table that is built in.
    pub fn standard() -> &'static Self {
        static STANDARD: LazyLock<Confusions> = LazyLock::new(|| {
            // A test reads it; a table that does not parse would leave no letter mixed up.
            Confusions::parse("assets/confusions.ron", BUILT_IN)
                .unwrap_or_else(|_| Confusions { letters: BTreeMap::new(), pairs: Vec::new() })
        });
        &STANDARD
    }

    /// Chance that `seen` is read where `stands` was printed; none where the two are not known to be mixed up.
    pub fn confused(&self, seen: char, stands: char) -> Option<f64> {
        self.letters.get(&(seen.min(stands), seen.max(stands))).copied()
    }

    /// Two letters that read as one, with their chance.
    pub fn pairs(&self) -> &[([char; 2], char, f64)] {
        &self.pairs
    }

    /// The capital letters and figures that a letter is easily read as, in the order of the alphabet; figures first.
    pub fn look_alikes(&self, letter: char) -> Vec<char> {
        let stands = letter.to_ascii_uppercase();
        let mut seen: Vec<char> =
            self.letters.keys().filter_map(|&(a, b)| (a == stands).then_some(b).or((b == stands).then_some(a))).collect();
        seen.sort_unstable();
        seen
    }
}

/// The capital letters and figures that a letter is easily read as where the print is worn, in the order of the alphabet; figures first.
pub fn look_alikes(letter: char) -> Vec<char> {
    Confusions::standard().look_alikes(letter)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[test]
    fn the_built_in_table_reads() {
        let table = Confusions::parse("assets/confusions.ron", BUILT_IN).unwrap();
        assert_eq!(&table, Confusions::standard());
        assert_eq!((table.letters.len(), table.pairs.len()), (36, 5));
        assert_eq!(look_alikes('u'), ['V']);
        assert_eq!(look_alikes('6'), ['8', 'G']);
        assert!(look_alikes('W').is_empty());
        assert_eq!(table.confused('O', '0'), Some(0.2));
        assert_eq!(table.confused('0', 'O'), Some(0.2));
        assert_eq!(table.confused('O', 'X'), None);
    }

    #[track_caller]
    fn check(text: &str, want: &str) {
        assert_eq!(Confusions::parse("worn.ron", text).unwrap_err().to_string(), want);
    }

    #[test]
    fn a_broken_table_says_where() {
        check("(letters: [\n  (\"o\", \"0\", 0.2)])", "'o' is not one capital letter or figure\nworn.ron:2:17");
        check("(letters: [(\"O\", \"0\", 0.2), (\"0\", \"O\", 0.1)])", "'0' and 'O' stand twice (leave one of them out)\nworn.ron:1:29");
        check(
            "(letters: [(\"O\", \"0\", 0.3), (\"O\", \"Q\", 0.3)])",
            "'O' is mixed up 0.60 of the time (its chances must stay below 0.5 together)\nworn.ron:1:29",
        );
    }
}
