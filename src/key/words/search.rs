//! Jumping to a form by some of its words, in any order and mistyped.

use super::fold::{Synonyms, fold};
use crate::key::ids::FormId;
use crate::key::model::Key;
use fuzzy_matcher::FuzzyMatcher as _;
use fuzzy_matcher::skim::SkimMatcherV2;
use std::collections::HashMap;

/// A form that was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hit {
    /// Its id.
    pub form: FormId,
    /// Its name with its line: 'covered sugar, Quoin'.
    pub name: String,
    /// How well it fits, 100 for each word found as it is.
    pub score: u32,
}

/// The words of all forms.
#[derive(Debug, Clone)]
pub(super) struct Search {
    /// Every word there is, once.
    words: Vec<String>,
    forms: Vec<Indexed>,
}

#[derive(Debug, Clone)]
struct Indexed {
    form: FormId,
    name: String,
    /// Its own name, folded.
    plain: String,
    words: Vec<usize>,
}

impl Search {
    pub(super) fn new(key: &Key, synonyms: &Synonyms) -> Self {
        let mut known: HashMap<String, usize> = HashMap::new();
        let mut words = Vec::new();
        let mut lines: HashMap<&str, (&str, String)> = HashMap::new();
        for line in &key.lines {
            let all = std::iter::once(&line.name).chain(&line.also).map(|name| fold(name)).collect::<Vec<_>>().join(" ");
            lines.entry(line.id.as_str()).or_insert((line.name.as_str(), all));
        }
        let mut forms = Vec::with_capacity(key.forms.len());
        for form in &key.forms {
            let own = lines.get(form.line.as_str());
            let borrowers = form.borrowed_by.iter().filter_map(|held| lines.get(held.id.as_str()));
            let texts = std::iter::once(&form.name).chain(&form.also).map(|name| fold(name));
            let mut found: Vec<usize> = Vec::new();
            for text in texts.chain(own.into_iter().chain(borrowers).map(|(_, words)| words.clone())) {
                let either = synonyms.apply(&text);
                for word in text.split(' ').chain(either.split(' ')).filter(|word| !word.is_empty()) {
                    let at = *known.entry(word.to_owned()).or_insert_with(|| {
                        words.push(word.to_owned());
                        words.len() - 1
                    });
                    if !found.contains(&at) {
                        found.push(at);
                    }
                }
            }
            let name = own.map_or_else(|| form.name.clone(), |(line, _)| format!("{}, {line}", form.name));
            forms.push(Indexed { form: form.id.clone(), name, plain: fold(&form.name), words: found });
        }
        Self { words, forms }
    }

    pub(super) fn find(&self, synonyms: &Synonyms, text: &str, limit: usize) -> Vec<Hit> {
        let folded = fold(text);
        let wanted: Vec<&str> = folded.split(' ').filter(|word| !word.is_empty()).collect();
        if wanted.is_empty() {
            return Vec::new();
        }
        let matcher = SkimMatcherV2::default();
        // How well each wanted word fits each known one; the number of known words is small.
        let fits: Vec<Vec<u32>> = wanted
            .iter()
            .map(|word| {
                let either = synonyms.apply(word);
                self.words
                    .iter()
                    .map(|known| fit(&matcher, word, known).max(if either == **word { 0 } else { fit(&matcher, &either, known) }))
                    .collect()
            })
            .collect();
        // Three words or more may hold one that fits nothing.
        let may_miss = usize::from(wanted.len() >= 3);
        let mut hits: Vec<(u32, &Indexed)> = Vec::new();
        for form in &self.forms {
            let mut score = 0;
            let mut missed = 0;
            for fit in &fits {
                match form.words.iter().filter_map(|&at| fit.get(at)).max().copied().unwrap_or(0) {
                    0 => missed += 1,
                    best => score += best,
                }
            }
            if missed > may_miss || score == 0 {
                continue;
            }
            if form.plain == folded {
                score += 50;
            } else if form.plain.starts_with(&folded) {
                score += 20;
            }
            hits.push((score, form));
        }
        // A stable sort, so that forms that fit alike stay in the order of the key.
        hits.sort_by(|(a, x), (b, y)| b.cmp(a).then_with(|| x.plain.len().cmp(&y.plain.len())));
        hits.into_iter().take(limit).map(|(score, form)| Hit { form: form.form.clone(), name: form.name.clone(), score }).collect()
    }
}

/// How well a typed word fits a known one, 0 to 100.
fn fit(matcher: &SkimMatcherV2, typed: &str, known: &str) -> u32 {
    if typed == known {
        return 100;
    }
    if known.starts_with(typed) {
        return 90;
    }
    let length = typed.chars().count();
    // One slip in a word of four letters, two in one of seven.
    let slips = match length {
        0..=3 => 0,
        4..=6 => 1,
        _ => 2,
    };
    if slips > 0 {
        let found = strsim::damerau_levenshtein(typed, known);
        if found <= slips {
            return if found == 1 { 75 } else { 65 };
        }
        // The start of a longer word, mistyped.
        let start: String = known.chars().take(length).collect();
        if start.chars().count() == length && strsim::damerau_levenshtein(typed, &start) <= 1 {
            return 60;
        }
    }
    if length >= 3 && known.contains(typed) {
        return 55;
    }
    // Letters of the word in their order: 'csrl' for casserole.
    if length >= 3 && typed.chars().next() == known.chars().next() && matcher.fuzzy_match(known, typed).is_some() {
        return 40;
    }
    0
}
