//! Names without what does not matter: case, accents, hyphens; and words that mean the same.

use std::collections::BTreeMap;
use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;

/// A name in small letters, without accents and apostrophes, its words parted by one space.
///
/// 'Crème-Brûlée dish, 6"' becomes 'creme brulee dish 6'.
pub fn fold(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut gap = false;
    for c in text.nfkd().filter(|&c| !is_combining_mark(c)) {
        match c {
            '\'' | '\u{2019}' | '\u{2018}' => {}
            'ß' => push(&mut out, &mut gap, "ss"),
            'æ' | 'Æ' => push(&mut out, &mut gap, "ae"),
            'ø' | 'Ø' => push(&mut out, &mut gap, "o"),
            'œ' | 'Œ' => push(&mut out, &mut gap, "oe"),
            c if c.is_alphanumeric() => {
                let mut buffer = [0; 4];
                for small in c.to_lowercase() {
                    push(&mut out, &mut gap, small.encode_utf8(&mut buffer));
                }
            }
            _ => gap = true,
        }
    }
    out
}

fn push(out: &mut String, gap: &mut bool, text: &str) {
    if *gap && !out.is_empty() {
        out.push(' ');
    }
    *gap = false;
    out.push_str(text);
}

/// Words that mean the same, as the key lists them.
#[derive(Debug, Clone, Default)]
pub(crate) struct Synonyms {
    /// From the first word of a phrase to its further words and what it is replaced by; longest first.
    phrases: BTreeMap<String, Vec<(Vec<String>, String)>>,
}

impl Synonyms {
    /// The groups of a key: every word of a group means its first.
    pub(crate) fn new(groups: &[Vec<String>]) -> Self {
        let mut phrases: BTreeMap<String, Vec<(Vec<String>, String)>> = BTreeMap::new();
        for group in groups {
            let mut group = group.iter().map(|word| fold(word)).filter(|word| !word.is_empty());
            let Some(first) = group.next() else { continue };
            for phrase in group {
                let mut words = phrase.split(' ').map(str::to_owned);
                let Some(head) = words.next() else { continue };
                phrases.entry(head).or_default().push((words.collect(), first.clone()));
            }
        }
        for found in phrases.values_mut() {
            found.sort_by_key(|(rest, _)| std::cmp::Reverse(rest.len()));
        }
        Self { phrases }
    }

    /// A folded name with every word replaced by the first of its group.
    pub(crate) fn apply(&self, folded: &str) -> String {
        if self.phrases.is_empty() {
            return folded.to_owned();
        }
        let words: Vec<&str> = folded.split(' ').collect();
        let mut out: Vec<&str> = Vec::with_capacity(words.len());
        let mut rest = words.as_slice();
        while let [head, tail @ ..] = rest {
            let found = self.phrases.get(*head).and_then(|phrases| {
                phrases.iter().find(|(more, _)| tail.len() >= more.len() && tail.iter().zip(more).all(|(a, b)| a == b))
            });
            if let Some((more, instead)) = found {
                out.push(instead);
                rest = tail.get(more.len()..).unwrap_or_default();
            } else {
                out.push(head);
                rest = tail;
            }
        }
        out.join(" ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn case_accents_and_hyphens_do_not_matter() {
        assert_eq!(fold("Crème-Brûlée dish, 6\""), "creme brulee dish 6");
        assert_eq!(fold("  potter’s  LUG-handle "), "potters lug handle");
        assert_eq!(fold("½ pint"), "1 2 pint");
        assert_eq!(fold("Straße"), "strasse");
        assert_eq!(fold("…"), "");
    }

    #[test]
    fn every_word_of_a_group_means_its_first() {
        let groups = [vec!["finial".to_owned(), "knob".to_owned(), "lid grip".to_owned()], vec!["lug".to_owned(), "Tab".to_owned()]];
        let synonyms = Synonyms::new(&groups);
        assert_eq!(synonyms.apply("knob shape"), "finial shape");
        assert_eq!(synonyms.apply("the lid grip of a tab"), "the finial of a lug");
        assert_eq!(synonyms.apply("lid outline"), "lid outline");
    }
}
