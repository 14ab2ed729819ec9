//! Names of forms and bodies as terms of the Getty AAT.

use serde::Deserialize;
use std::sync::LazyLock;

const TEXT: &str = include_str!("../../../assets/terms.ron");

/// A term with its number, and the words by which it is known in the name of a form.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Term {
    /// Words that must all be in the name.
    words: Vec<String>,
    /// The term.
    #[serde(rename = "term")]
    pub(super) label: String,
    /// Its number.
    pub(super) aat: u32,
}

impl Term {
    pub(super) fn uri(&self) -> String {
        format!("http://vocab.getty.edu/aat/{}", self.aat)
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Terms {
    forms: Vec<Term>,
    bodies: Vec<Term>,
}

static TERMS: LazyLock<Terms> = LazyLock::new(|| ron::from_str(TEXT).unwrap_or(Terms { forms: Vec::new(), bodies: Vec::new() }));

/// The term of a form's name: of those whose words are all in it the one with most words, else that of tableware. None where the file is broken.
pub(super) fn of_form(name: &str) -> Option<&'static Term> {
    best(&TERMS.forms, name).or_else(|| TERMS.forms.iter().find(|term| term.words.is_empty()))
}

/// The term of a body that a text names.
pub(super) fn of_body(text: &str) -> Option<&'static Term> {
    best(&TERMS.bodies, text)
}

fn best(terms: &'static [Term], text: &str) -> Option<&'static Term> {
    let text = text.to_lowercase();
    let words: Vec<&str> = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let matches = terms.iter().filter(|term| !term.words.is_empty() && term.words.iter().all(|word| words.contains(&word.as_str())));
    // The first of the longest: the file has the likelier first.
    matches
        .fold(None, |best: Option<&Term>, term| if best.is_none_or(|best| term.words.len() > best.words.len()) { Some(term) } else { best })
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[test]
    fn names_of_forms_are_terms() {
        ron::from_str::<Terms>(TEXT).unwrap();
        let term = |name: &str| of_form(name).map(|term| (term.label.as_str(), term.aat)).unwrap();
        assert_eq!(term("covered sugar"), ("sugar bowls", 300_042_971));
        assert_eq!(term("six-cup teapot"), ("teapots", 300_043_022));
        assert_eq!(term("cup"), ("cups (drinking vessels)", 300_043_202));
        assert_eq!(term("sauce boat stand"), ("tableware", 300_043_196), "a stand is no boat");
        assert_eq!(term("gravy boat"), ("sauceboats", 300_218_762));
        assert_eq!(term("one-person casserole"), ("tableware", 300_043_196), "no number is known");
        assert_eq!(term("10 in plate"), ("plates (general)", 300_042_991));
        assert_eq!(of_body("ribbed Earthenware, buff").map(|term| term.aat), Some(300_140_803));
        assert_eq!(of_body("clay"), None);
    }
}
