//! What each entry of a list means.

use super::abbreviations::Abbreviations;
use super::entry::{Entry, Nominal, NominalUnit};
use super::habit::Habit;
use super::vocabulary::{FormWords, Vocabulary, may_be};
use crate::key::words::Words;
use crate::key::{FormId, GlazeId, How, Key, Paper, When};

/// A word of a form that the entry has explains it so far.
const KNOWN: f64 = 0.9;
/// A word that describes a form and is in no name of it.
const DESCRIBED: f64 = 0.35;
/// A word that other forms have and this one has not.
const FOREIGN: f64 = 0.004;
/// A word that no form of the key has, beside a piece that is not in the key.
const UNKNOWN: f64 = 0.2;
/// A word of the form's name that the entry leaves out.
const LEFT_OUT: f64 = 0.4;
/// A known word on a piece that is not in the key.
const STRANGER: f64 = 0.03;
/// Of so many entries no form of the key is meant, before anything is read.
const NOT_IN_KEY: f64 = 0.05;
/// A form that was not made when the paper was written.
const OUT_OF_TIME: f64 = 0.03;
/// An entry with a glaze the form is not claimed in.
const OTHER_GLAZE: f64 = 0.3;
/// Candidates that are kept of an entry.
const KEPT: usize = 8;
/// The list is gone through so often, each time with the lines and the habit that the last time showed.
const ROUNDS: usize = 3;

/// A form that an entry may mean.
#[derive(Debug, Clone, PartialEq)]
pub struct Guess {
    /// The form.
    pub form: FormId,
    /// Its name with its line.
    pub name: String,
    /// Its probability, 0 to 1.
    pub probability: f64,
}

/// What an entry may mean.
#[derive(Debug, Clone, PartialEq)]
pub struct Meant {
    /// The entry.
    pub entry: Entry,
    /// The likeliest forms, at most eight.
    pub guesses: Vec<Guess>,
    /// How probable it is that no form of the key is meant.
    pub none: f64,
    /// The glazes it names that the key has.
    pub glazes: Vec<GlazeId>,
}

impl Meant {
    /// The likeliest form, unless 'no form of this key' is likelier.
    pub fn best(&self) -> Option<&Guess> {
        self.guesses.first().filter(|guess| guess.probability >= self.none)
    }

    /// What it is else: the second form, or none of the key, whichever is likelier.
    pub fn runner_up(&self) -> (Option<&Guess>, f64) {
        let second = self.guesses.get(usize::from(self.best().is_some()));
        match second {
            Some(guess) if self.best().is_none() || guess.probability >= self.none => (Some(guess), guess.probability),
            _ => (None, self.none),
        }
    }
}

/// A list, reconciled.
#[derive(Debug, Clone, PartialEq)]
pub struct Reconciled {
    /// The entries in their order.
    pub entries: Vec<Meant>,
    /// How its sizes go with measured ones.
    pub habit: Habit,
}

/// Finds what each entry means. With a paper its date counts. `stated` is the habit where a person knows it; otherwise it is learnt from the list.
pub fn reconcile(key: &Key, list: &[Entry], paper: Option<&Paper>, abbreviations: &Abbreviations, stated: Option<Habit>) -> Reconciled {
    let vocabulary = Vocabulary::new(key);
    let words = Words::new(key);
    let glazes: Vec<Vec<GlazeId>> =
        list.iter().map(|entry| entry.glazes.iter().filter_map(|name| words.glaze(name).ok()).collect()).collect();
    let fits_of = |entry: &Entry| -> Vec<Vec<f64>> {
        vocabulary.joined(&entry.words).iter().filter_map(|word| vocabulary.fits(word, abbreviations)).collect()
    };
    let fits: Vec<Vec<Vec<f64>>> = list.iter().map(fits_of).collect();
    let fixed: Vec<Vec<f64>> = fits.iter().zip(&glazes).map(|(fits, glazes)| before_size(key, &vocabulary, fits, glazes, paper)).collect();
    let known: Vec<f64> = fits.iter().map(|fits| ln_of_stranger(fits)).collect();
    let mut habit = stated.unwrap_or_default();
    let mut lines = vec![1.0; key.lines.len()];
    let mut shares: Vec<(Vec<f64>, f64)> = Vec::new();
    for _ in 0..ROUNDS {
        shares = list
            .iter()
            .zip(fixed.iter().zip(&known))
            .map(|(entry, (fixed, known))| posterior(&vocabulary, entry, fixed, *known, &habit, &lines))
            .collect();
        let of_line = |line: usize| -> f64 {
            let of =
                |share: &Vec<f64>| share.iter().zip(&vocabulary.forms).filter(|(_, form)| form.line == line).map(|(p, _)| p).sum::<f64>();
            shares.iter().map(|(share, _)| of(share)).sum()
        };
        let all = as_number(list.len());
        // Half a piece for every line: a list of one line makes the others unlikely, not impossible.
        lines = (0..key.lines.len())
            .map(|line| (of_line(line) + 0.5) / (all + 0.5 * as_number(key.lines.len())) * as_number(key.lines.len()))
            .collect();
        if stated.is_none() {
            habit = Habit::learnt(&ratios(&vocabulary, list, &shares));
        }
    }
    let entries = list.iter().zip(shares).zip(glazes).map(|((entry, (share, none)), glazes)| {
        let mut order: Vec<usize> = (0..share.len()).collect();
        let p = |at: &usize| share.get(*at).copied().unwrap_or(0.0);
        order.sort_by(|a, b| p(b).total_cmp(&p(a)).then(a.cmp(b)));
        let guess =
            |at: &usize| key.forms.get(*at).map(|form| Guess { form: form.id.clone(), name: key.full_name(form), probability: p(at) });
        Meant { entry: entry.clone(), guesses: order.iter().take(KEPT).filter_map(guess).collect(), none, glazes }
    });
    Reconciled { entries: entries.collect(), habit }
}

#[expect(clippy::cast_precision_loss, reason = "a number of entries")]
fn as_number(n: usize) -> f64 {
    n as f64
}

/// The logarithm for each form by words, date and glaze: what does not change with the habit of the list.
fn before_size(key: &Key, vocabulary: &Vocabulary, fits: &[Vec<f64>], glazes: &[GlazeId], paper: Option<&Paper>) -> Vec<f64> {
    let year = paper.map(|paper| years(paper.date));
    let forms = vocabulary.forms.iter().zip(&key.forms);
    forms
        .map(|(words, form)| {
            let mut ln = ln_of_words(words, fits);
            if let Some((from, to)) = year
                && (words.made.from.is_some_and(|first| to < first) || words.made.to.is_some_and(|last| from > last + 1))
            {
                ln += OUT_OF_TIME.ln();
            }
            let claimed = |glaze: &GlazeId| form.glazes.iter().any(|held| held.id == *glaze && held.how != How::Refuted);
            if !form.glazes.is_empty() && !glazes.is_empty() && !glazes.iter().any(claimed) {
                ln += OTHER_GLAZE.ln();
            }
            ln + words.weight.ln() * 0.5
        })
        .collect()
}

/// Each written word is explained by a word of the name, by one that describes the form, or not at all; and words of the name may be left out. Of several names
/// the one that explains most counts.
fn ln_of_words(form: &FormWords, fits: &[Vec<f64>]) -> f64 {
    let best = |fit: &Vec<f64>, words: &[usize]| words.iter().filter_map(|word| fit.get(*word)).copied().fold(0.0, f64::max);
    let of_name = |name: &Vec<usize>| {
        let said: f64 = fits
            .iter()
            .map(|fit| {
                // Another name's word is as good as a description.
                let other = form.names.iter().map(|other| best(fit, other)).fold(best(fit, &form.described), f64::max);
                (KNOWN * best(fit, name)).max(DESCRIBED * other).ln().max(unexplained(fit))
            })
            .sum();
        let left_out = name.iter().filter(|word| !fits.iter().any(|fit| fit.get(**word).is_some_and(|fit| *fit >= 0.5))).count();
        said + as_number(left_out) * LEFT_OUT.ln()
    };
    form.names.iter().map(of_name).fold(f64::NEG_INFINITY, f64::max)
}

/// How sure it is that a written word is one of the key's.
fn surest(fits: &[f64]) -> f64 {
    fits.iter().copied().fold(0.0, f64::max)
}

/// The logarithm for a written word that a form does not have: others of the key have it, or none.
fn unexplained(fits: &[f64]) -> f64 {
    let known = surest(fits);
    known * FOREIGN.ln() + (1.0 - known) * UNKNOWN.ln()
}

/// The logarithm for a piece that is not in the key: its words are known ones or not.
fn ln_of_stranger(fits: &[Vec<f64>]) -> f64 {
    fits.iter().map(|fits| surest(fits) * STRANGER.ln()).sum()
}

fn posterior(vocabulary: &Vocabulary, entry: &Entry, fixed: &[f64], stranger: f64, habit: &Habit, lines: &[f64]) -> (Vec<f64>, f64) {
    let forms = as_number(fixed.len()).max(1.0);
    let mut ln: Vec<f64> = fixed
        .iter()
        .zip(&vocabulary.forms)
        .map(|(fixed, form)| {
            let line = lines.get(form.line).copied().unwrap_or(1.0);
            fixed + ((1.0 - NOT_IN_KEY) / forms * line).ln() + ln_of_sizes(form, &entry.sizes, habit)
        })
        .collect();
    ln.push(stranger + NOT_IN_KEY.ln());
    let most = ln.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let all: f64 = ln.iter().map(|ln| (ln - most).exp()).sum();
    let mut share: Vec<f64> = ln.iter().map(|ln| (ln - most).exp() / all).collect();
    let none = share.pop().unwrap_or(1.0);
    (share, none)
}

/// Several sizes are sizes of several pieces: one of them is meant.
fn ln_of_sizes(form: &FormWords, sizes: &[Nominal], habit: &Habit) -> f64 {
    let each: Vec<f64> = sizes.iter().map(|size| ln_of_size(form, *size, habit)).collect();
    if each.is_empty() {
        return 0.0;
    }
    let most = each.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    most + (each.iter().map(|ln| (ln - most).exp()).sum::<f64>() / as_number(each.len())).ln()
}

fn ln_of_size(form: &FormWords, size: Nominal, habit: &Habit) -> f64 {
    const SAME: f64 = 8.0;
    const OTHER: f64 = 0.05;
    let in_name = form
        .nominal
        .iter()
        .filter(|name| may_be(name.unit, size.unit))
        .map(|name| (name.value / size.value).ln().abs())
        .fold(None, |least: Option<f64>, off| Some(least.map_or(off, |least| least.min(off))));
    match (size.unit, in_name) {
        // A plain number is mostly of inches; else it is a number of pieces and says nothing.
        (NominalUnit::Plain, _) if (3.0..=24.0).contains(&size.value) => {
            let inches = Nominal { value: size.value * 25.4, unit: NominalUnit::Mm };
            let cups = in_name.map_or(0.0, |off| if off < 0.02 { SAME } else { 0.0 });
            (0.6 * ln_of_size(form, inches, habit).exp() + 0.3 + 0.1 * cups).ln()
        }
        (NominalUnit::Plain, _) => 0.0,
        (_, Some(off)) if off < 0.02 => SAME.ln(),
        (NominalUnit::Mm, in_name) => {
            let by_rule = form.lengths_mm.iter().map(|length| habit.ln_ratio(size.value, *length).exp()).sum::<f64>()
                / as_number(form.lengths_mm.len().max(1));
            match (form.lengths_mm.is_empty(), in_name) {
                (true, None) => 0.0,
                (true, Some(_)) => OTHER.ln(),
                (false, None) => by_rule.max(OTHER).ln(),
                (false, Some(_)) => (0.5 * by_rule).max(OTHER).ln(),
            }
        }
        (NominalUnit::Ml, in_name) => match form.capacity_ml {
            // Lists give what a pot holds in use, rules what it holds to the brim.
            Some((low, high)) => Habit { ratio: 0.92, spread: 0.13, entries: 0 }.ln_ratio(size.value, (low, high)).exp().max(OTHER).ln(),
            None => in_name.map_or(0.0, |_| OTHER.ln()),
        },
        (_, Some(_)) => OTHER.ln(),
        (_, None) => 0.0,
    }
}

/// Written by measured lengths of the likelier forms, on whichever of their lengths is nearest.
fn ratios(vocabulary: &Vocabulary, list: &[Entry], shares: &[(Vec<f64>, f64)]) -> Vec<(f64, f64)> {
    const LEAST: f64 = 0.5;
    let mut found = Vec::new();
    for (entry, (share, _)) in list.iter().zip(shares) {
        let [size] = entry.sizes.as_slice() else { continue };
        let written = match size.unit {
            NominalUnit::Mm => size.value,
            NominalUnit::Plain if (3.0..=24.0).contains(&size.value) => size.value * 25.4,
            _ => continue,
        };
        for (form, p) in vocabulary.forms.iter().zip(share).filter(|(_, p)| **p >= LEAST) {
            let near = form
                .lengths_mm
                .iter()
                .map(|(low, high)| written / f64::midpoint(*low, *high))
                .min_by(|a, b| a.ln().abs().total_cmp(&b.ln().abs()));
            // What is further off is no habit but another length.
            found.extend(near.filter(|ratio| (0.8..1.25).contains(ratio)).map(|ratio| (ratio, *p)));
        }
    }
    found
}

/// The first and last year of a date.
pub(super) fn years(date: When) -> (i32, i32) {
    match date {
        When::Day(year, ..) | When::Month(year, _) | When::Year(year) => (year, year),
        When::Circa(year) => (year - 5, year + 5),
        When::Between(from, to) => (from, to),
    }
}

#[cfg(test)]
mod tests;
