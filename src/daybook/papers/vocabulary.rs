//! The words of the forms of a key, and how well a written word fits one of them.

use super::abbreviations::Abbreviations;
use super::entry::{Nominal, NominalUnit, words_and_sizes};
use crate::key::words::fold;
use crate::key::{Dimension, FeatureKind, Form, Key, Record, Unit, Years};
use std::collections::{BTreeMap, BTreeSet};

/// The words and sizes of one form.
#[derive(Debug, Clone, Default)]
pub(super) struct FormWords {
    /// Its names, each as words without numbers.
    pub(super) names: Vec<Vec<usize>>,
    /// Words that describe it and are in no name: its line, what is always recorded of it.
    pub(super) described: Vec<usize>,
    /// Sizes in its names.
    pub(super) nominal: Vec<Nominal>,
    /// Lengths in mm by which it may be called, least to greatest of each.
    pub(super) lengths_mm: Vec<(f64, f64)>,
    /// Capacity in ml.
    pub(super) capacity_ml: Option<(f64, f64)>,
    /// When it was made: its own years, else its line's.
    pub(super) made: Years,
    pub(super) weight: f64,
    pub(super) line: usize,
}

/// The words of all forms.
#[derive(Debug, Clone, Default)]
pub(super) struct Vocabulary {
    pub(super) words: Vec<String>,
    pub(super) forms: Vec<FormWords>,
    synonyms: BTreeMap<String, String>,
    /// Words of glazes and decorations, which say nothing of the form.
    silent: BTreeSet<String>,
}

impl Vocabulary {
    pub(super) fn new(key: &Key) -> Self {
        let mut all = Self::default();
        for group in &key.about.synonyms {
            let mut group = group.iter().map(|word| fold(word));
            if let Some(first) = group.next() {
                all.synonyms.extend(group.map(|word| (word, first.clone())));
            }
        }
        let glazes = key.glazes.iter().flat_map(|glaze| std::iter::once(&glaze.name).chain(&glaze.also));
        let decorations = key.decorations.iter().flat_map(|decoration| std::iter::once(&decoration.name).chain(&decoration.also));
        all.silent = glazes.chain(decorations).flat_map(|name| words_and_sizes(name).0).collect();
        let mut numbers: BTreeMap<String, usize> = BTreeMap::new();
        for form in &key.forms {
            let found = all.form(key, form, &mut numbers);
            all.forms.push(found);
        }
        all
    }

    fn number(&mut self, word: &str, numbers: &mut BTreeMap<String, usize>) -> usize {
        let word = self.synonyms.get(word).cloned().unwrap_or_else(|| word.to_owned());
        let words = &mut self.words;
        *numbers.entry(word.clone()).or_insert_with(|| {
            words.push(word);
            words.len() - 1
        })
    }

    fn form(&mut self, key: &Key, form: &Form, numbers: &mut BTreeMap<String, usize>) -> FormWords {
        let mut found = FormWords { weight: form.weight.max(1e-3), ..FormWords::default() };
        for name in std::iter::once(&form.name).chain(&form.also) {
            let (words, sizes) = words_and_sizes(name);
            found.names.push(words.iter().map(|word| self.number(word, numbers)).collect());
            found.nominal.extend(sizes);
        }
        let line = key.lines.iter().position(|line| line.id == form.line);
        found.line = line.unwrap_or(usize::MAX);
        let line = line.and_then(|at| key.lines.get(at));
        found.made = if form.made.is_open() { line.map_or(form.made, |line| line.made) } else { form.made };
        let mut described: Vec<String> = line.iter().flat_map(|line| words_and_sizes(&line.name).0).collect();
        for (id, record) in &form.features {
            let Some(feature) = key.feature(id) else { continue };
            match (&feature.kind, record) {
                (FeatureKind::Choice(values), Record::Always(value)) => {
                    let named = values.iter().filter(|known| known.id == *value);
                    described.extend(named.flat_map(|known| words_and_sizes(&known.shown_name()).0));
                }
                (FeatureKind::Measure(measure), Record::Between(low, high)) if *low > 0.0 => match (measure.unit, measure.of) {
                    (Unit::Ml, _) => found.capacity_ml = Some((*low, *high)),
                    (
                        Unit::Mm,
                        Some(Dimension::RimLong | Dimension::Greatest | Dimension::Width | Dimension::BodyHeight | Dimension::LidLong),
                    ) => {
                        found.lengths_mm.push((*low, *high));
                    }
                    _ => {}
                },
                _ => {}
            }
        }
        found.described = described
            .iter()
            .filter(|word| word.as_str() != "none" && word.as_str() != "plain")
            .map(|word| self.number(word, numbers))
            .collect();
        found
    }

    /// The words with those that the key writes as one put together: 'tea pot' is 'teapot'.
    pub(super) fn joined(&self, words: &[String]) -> Vec<String> {
        let mut out: Vec<String> = Vec::with_capacity(words.len());
        for word in words {
            let whole = out.last().map(|last| format!("{last}{}", word.strip_suffix('s').unwrap_or(word)));
            match whole.filter(|whole| self.words.contains(whole)) {
                Some(whole) => {
                    out.pop();
                    out.push(whole);
                }
                None => out.push(word.clone()),
            }
        }
        out
    }

    /// How well a written word fits each known one, 0 to 1; nothing where it says nothing of any form.
    pub(super) fn fits(&self, written: &str, abbreviations: &Abbreviations) -> Option<Vec<f64>> {
        let own = self.synonyms.get(written).map_or(written, String::as_str);
        let mut fits: Vec<f64> =
            self.words.iter().map(|known| fit(own, known).max(if own == written { 0.0 } else { fit(written, known) })).collect();
        let known = fits.iter().any(|fit| *fit >= 0.9);
        if !known && self.silent.contains(written) {
            return None;
        }
        if let Some(means) = abbreviations.means(written) {
            if means.is_empty() {
                return None;
            }
            for word in means.iter().flat_map(|phrase| phrase.split(' ')) {
                let word = self.synonyms.get(word).map_or(word, String::as_str);
                for (fit, known) in fits.iter_mut().zip(&self.words) {
                    if known == word {
                        *fit = fit.max(0.95);
                    }
                }
            }
        }
        Some(fits)
    }
}

/// How well a written word fits a known one. The figures are a choice of this program, tried on the demo list.
fn fit(written: &str, known: &str) -> f64 {
    if written == known {
        return 1.0;
    }
    let bare = |word: &'_ str| word.strip_suffix("es").or_else(|| word.strip_suffix('s')).map(str::to_owned);
    let singular = written.strip_suffix('s').unwrap_or(written);
    if singular == known || bare(written).as_deref() == Some(known) {
        return 0.95;
    }
    let length = singular.chars().count();
    if length >= 3 && known.starts_with(singular) {
        return 0.8;
    }
    if length >= 4 && strsim::damerau_levenshtein(singular, known) <= 1 {
        return 0.7;
    }
    let (starts, ends) = (singular.chars().next() == known.chars().next(), singular.chars().next_back() == known.chars().next_back());
    // 'lge', 'std', 'hdld': first and last letter, and what is between in its order.
    if length >= 3 && starts && ends && is_within(singular, known) {
        return 0.6;
    }
    // 'cp', 'bt': the two ends of a short word.
    if length == 2 && starts && ends && (3..=4).contains(&known.chars().count()) {
        return 0.5;
    }
    // 'notchd', 'ribd': the word with letters left out, further on.
    if length >= 4 && starts && is_within(singular, known) {
        return 0.5;
    }
    0.0
}

/// True where the letters of `short` come in `long` in their order.
fn is_within(short: &str, long: &str) -> bool {
    let mut rest = long.chars();
    short.chars().all(|letter| rest.any(|other| other == letter))
}

/// True where a plain number may stand for a size of that unit.
pub(super) const fn may_be(unit: NominalUnit, written: NominalUnit) -> bool {
    matches!(
        (unit, written),
        (NominalUnit::Mm, NominalUnit::Mm)
            | (NominalUnit::Ml, NominalUnit::Ml)
            | (NominalUnit::Cups, NominalUnit::Cups | NominalUnit::Plain)
            | (NominalUnit::Persons, NominalUnit::Persons)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shortened_and_mistyped_words_fit() {
        let order = [
            ("sugar", "sugar"),
            ("plates", "plate"),
            ("dishes", "dish"),
            ("veg", "vegetable"),
            ("suger", "sugar"),
            ("lge", "large"),
            ("ribd", "ribbed"),
        ];
        let fits: Vec<f64> = order.iter().map(|(written, known)| fit(written, known)).collect();
        assert_eq!(fits, [1.0, 0.95, 0.95, 0.8, 0.7, 0.6, 0.6]);
        assert!(fit("cup", "plate") < 0.1 && fit("", "plate") < 0.1 && fit("pl", "plate") < 0.1);
    }
}
