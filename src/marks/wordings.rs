//! Many wordings, and which of them a typed text was read from.

use super::closest::Typed;
use super::confusions::Confusions;
use super::grams::{Grams, PART};
use super::letters::{bare, parts_words};
use super::looks::{Known, Looks};
use super::typed::{Token, TypedError, check_typed, tokens};
use super::weigh::{Cells, FIRST_OF_LINE, FIRST_OF_WORD, LAST_OF_LINE, PLAIN, Query, Room, WEARS_FIRST, WEARS_LAST, code, plain_letter};
use super::wording::{Match, Place, best_way};
use crate::key::{Mark, Wears};
use rayon::prelude::*;
use std::ops::Range;

/// Up to so many wordings all are weighed. Of more, about so many as share most pairs of letters with what was typed are held against it by a coarse
/// count, and the closest are weighed.
const ALL: usize = 1500;
const COUNTED: usize = 2000;
const COUNTED_TOGETHER: usize = 512;
/// Letters that are weighed, of all wordings together and in a query of so many: a short query leaves more of them alike, and is soon weighed.
const WEIGHED: usize = 4000;
const WEIGHED_AT_LEAST: usize = 200;
/// Queries of up to so many letters are weighed as soon as counted: so many of those that share most.
const SHORT: usize = 8;
const WEIGHED_OF_SHORT: usize = 2000;
/// What a letter lost, added or changed costs in the coarse count, and what a pair of letters that is shared gives back, in natural logarithms: choices of
/// this program, no source. What is long costs as in the weighing.
const EDIT: f64 = 4.0;
const SHARED: f64 = 0.25;
/// Fewer than so many are weighed on one core: handing them out takes longer.
const AT_ONCE: usize = 256;
/// A wording agrees with a mark from this score up. A choice of this program, no source.
const AGREES: f64 = 0.6;
/// It disagrees all the same with a mark on which it is so many times less likely than on the mark it suits best: letters of a long wording
/// are found here and there in any other. A choice of this program, no source; natural logarithm of 10 000.
const WITHIN: f64 = 9.21;
/// Prior of a mark that is none of these, a choice of this program, no source.
const STRANGER: f64 = 0.02;

/// Wordings made ready to be searched.
#[derive(Debug, Clone)]
pub struct Wordings {
    codes: Vec<u16>,
    flags: Vec<u8>,
    places: Vec<Place>,
    /// Where each begins; one more than there are.
    starts: Vec<usize>,
    /// Letters past figures and capitals, sorted.
    others: Vec<char>,
    grams: Option<Grams>,
    /// How the mark of each looks; empty where wordings alone are known.
    looks: Vec<Known>,
}

/// A wording that was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Found {
    /// Its number, from 0.
    pub number: usize,
    /// Natural logarithm of the likelihood of what was seen on it over that on a mark from nowhere in particular.
    pub log_likelihood_ratio: f64,
    /// Probability that it was read from this one, all being as likely before, with a small share for one that is not among them.
    pub probability: f64,
}

/// What was typed, made ready to be held against some wordings.
#[derive(Debug, Clone)]
pub struct Asked<'a> {
    wordings: &'a Wordings,
    query: Query,
    tokens: Vec<Token>,
    looks: Looks,
}

impl Asked<'_> {
    /// True where at least one letter was read, or something else seen.
    pub fn says_something(&self) -> bool {
        self.query.letters() > 0 || !self.looks.is_empty()
    }

    /// Natural logarithm of the likelihood of what was seen on each mark over that on one from nowhere in particular. Of very many wordings those
    /// that share too little with what was typed to count have negative infinity.
    pub fn ratios(&self) -> Vec<f64> {
        let mut ratios = vec![f64::NEG_INFINITY; self.wordings.len()];
        for (number, log) in self.weighed() {
            if let Some(ratio) = ratios.get_mut(number) {
                *ratio = log;
            }
        }
        ratios
    }

    /// Which of them have all that was seen, but for a letter here and there. None has where no wording was likelier read from it than from any text.
    pub fn agreeing(&self) -> Vec<bool> {
        let looks = |number: usize| self.wordings.looks.get(number).is_none_or(|known| self.looks.fits(known));
        if self.query.letters() == 0 {
            return (0..self.wordings.len()).map(looks).collect();
        }
        let ratios = self.of_words();
        let best = ratios.iter().map(|(_, ratio)| *ratio).fold(0.0, f64::max);
        let mut agreeing = vec![false; self.wordings.len()];
        // The best way is sought only where it can count.
        for (number, ratio) in ratios {
            if let Some(agrees) = agreeing.get_mut(number) {
                *agrees = ratio > 0.0 && ratio >= best - WITHIN && looks(number) && self.read(number).score >= AGREES;
            }
        }
        agreeing
    }

    /// How it goes with one of them, and where its letters stand there.
    pub fn read(&self, number: usize) -> Match {
        let (cells, places) = (self.wordings.cells(number), self.wordings.places(number));
        let letters = self.query.letters();
        if letters == 0 {
            return Match::default();
        }
        let (score, spans) = best_way(&self.query, &self.tokens, cells, places);
        Match { score, log_likelihood_ratio: self.query.weigh(cells, &mut Room::default()), letters, spans }
    }

    /// Of those that share most pairs with it, the closest by a coarse count.
    fn closest(&self, near: &[(u32, u16)]) -> Vec<u32> {
        let typed = Typed::new(&self.query, PLAIN + self.wordings.others.len());
        let count = |(number, shared): &(u32, u16)| {
            let codes = self.wordings.cells(*number as usize).codes;
            let far = EDIT * f64::from(typed.from(codes)) + 2.0 * (codes.len() as f64).ln();
            (far - SHARED * f64::from(*shared) / PART, *number)
        };
        let mut counted: Vec<(f64, u32)> = near.par_chunks(COUNTED_TOGETHER).flat_map_iter(|some| some.iter().map(count)).collect();
        let most = (WEIGHED / self.query.steps.len().max(1)).max(WEIGHED_AT_LEAST);
        if counted.len() > most {
            counted.select_nth_unstable_by(most, |a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            counted.truncate(most);
        }
        counted.into_iter().map(|(_, number)| number).collect()
    }

    /// Those whose words share enough with what was typed, each with what all that was seen is weighed on it.
    fn weighed(&self) -> Vec<(usize, f64)> {
        let mut weighed = self.of_words();
        if !self.looks.is_empty() {
            for (number, log) in &mut weighed {
                *log += self.wordings.looks.get(*number).map_or(0.0, |known| self.looks.log_ratio(known));
            }
        }
        weighed
    }

    /// Those whose words share enough with what was typed, each with what that is weighed on them.
    fn of_words(&self) -> Vec<(usize, f64)> {
        if self.query.letters() == 0 {
            return (0..self.wordings.len()).map(|number| (number, 0.0)).collect();
        }
        let near: Vec<u32> = match &self.wordings.grams {
            Some(grams) if self.query.steps.len() <= SHORT => {
                grams.nearest(&self.query, WEIGHED_OF_SHORT).into_iter().map(|(number, _)| number).collect()
            }
            Some(grams) => self.closest(&grams.nearest(&self.query, COUNTED)),
            None => (0..u32::try_from(self.wordings.len()).unwrap_or(u32::MAX)).collect(),
        };
        let weighed = |some: &[u32]| -> Vec<(usize, f64)> {
            let mut room = Room::default();
            some.iter().map(|number| (*number as usize, self.query.weigh(self.wordings.cells(*number as usize), &mut room))).collect()
        };
        if near.len() < AT_ONCE { weighed(&near) } else { near.par_chunks(128).flat_map_iter(weighed).collect() }
    }
}

impl Wordings {
    /// The wordings of marks, in their order.
    pub fn new<'a>(marks: impl IntoIterator<Item = &'a Mark>) -> Self {
        let marks: Vec<&Mark> = marks.into_iter().collect();
        let looks = marks.iter().map(|mark| Known::of(mark)).collect();
        Self { looks, ..Self::made(marks.iter().map(|mark| mark.wording.iter().map(|line| (line.text.as_str(), line.wears)))) }
    }

    /// Wordings from their lines.
    pub fn of_lines<'a, L: IntoIterator<Item = &'a str>>(wordings: impl IntoIterator<Item = L>) -> Self {
        Self::made(wordings.into_iter().map(|lines| lines.into_iter().map(|line| (line, Wears::AsUsual))))
    }

    fn made<'a, L: IntoIterator<Item = (&'a str, Wears)>>(wordings: impl IntoIterator<Item = L>) -> Self {
        let mut letters: Vec<char> = Vec::new();
        let (mut flags, mut places): (Vec<u8>, Vec<Place>) = (Vec::new(), Vec::new());
        let mut starts = vec![0];
        for lines in wordings {
            for (number, (line, wears)) in (0_u16..).zip(lines) {
                let begin = flags.len();
                let of_line = match wears {
                    Wears::AsUsual => 0,
                    Wears::First => WEARS_FIRST,
                    Wears::Last => WEARS_LAST,
                };
                let mut word = FIRST_OF_WORD;
                for (at, c) in (0_u16..).zip(line.chars()) {
                    if parts_words(c) {
                        word = FIRST_OF_WORD;
                    }
                    for letter in bare(c) {
                        letters.push(letter);
                        flags.push(of_line | std::mem::take(&mut word));
                        places.push(Place { line: number, at });
                    }
                }
                if flags.len() > begin {
                    if let Some(first) = flags.get_mut(begin) {
                        *first |= FIRST_OF_LINE;
                    }
                    if let Some(last) = flags.last_mut() {
                        *last |= LAST_OF_LINE;
                    }
                }
            }
            starts.push(flags.len());
        }
        let mut others: Vec<char> = letters.iter().copied().filter(|c| code(*c, &[]).is_none()).collect();
        others.sort_unstable();
        others.dedup();
        others.truncate(usize::from(u16::MAX) - PLAIN);
        let codes: Vec<u16> = letters.iter().map(|c| code(*c, &others).unwrap_or(u16::MAX)).collect();
        let mut made = Self { codes, flags, places, starts, others, grams: None, looks: Vec::new() };
        if made.len() > ALL {
            let all: Vec<&[u16]> = (0..made.len()).map(|number| made.cells(number).codes).collect();
            made.grams = Some(Grams::new(&all));
        }
        made
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.starts.len().saturating_sub(1)
    }

    /// True where there is none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Letters and figures of one of them without spaces, folded as they are compared.
    pub fn letters(&self, number: usize) -> String {
        let letter =
            |code: &u16| plain_letter(usize::from(*code)).or_else(|| self.others.get(usize::from(*code).checked_sub(PLAIN)?).copied());
        self.cells(number).codes.iter().filter_map(letter).collect()
    }

    fn range(&self, number: usize) -> Range<usize> {
        self.starts.get(number).copied().unwrap_or(0)..self.starts.get(number + 1).copied().unwrap_or(0)
    }

    fn cells(&self, number: usize) -> Cells<'_> {
        let range = self.range(number);
        Cells { codes: self.codes.get(range.clone()).unwrap_or_default(), flags: self.flags.get(range).unwrap_or_default() }
    }

    fn places(&self, number: usize) -> &[Place] {
        self.places.get(self.range(number)).unwrap_or_default()
    }

    /// Makes a typed text ready to be held against these.
    pub fn asked(&self, typed: &str) -> Asked<'_> {
        self.asked_of(typed, &Looks::default())
    }

    /// Makes a typed text, and what else was seen of the mark, ready to be held against these.
    pub fn asked_of(&self, typed: &str, looks: &Looks) -> Asked<'_> {
        self.asked_by(typed, looks, Confusions::standard())
    }

    fn asked_by(&self, typed: &str, looks: &Looks, table: &Confusions) -> Asked<'_> {
        let tokens = tokens(typed);
        Asked { wordings: self, query: Query::new(&tokens, &self.others, table), tokens, looks: looks.clone() }
    }

    /// The wordings that a typed text was most likely read from, likeliest first, those as likely in their order; at most so many.
    ///
    /// # Errors
    /// Where nothing can be read in it, it is too long, or a bracket is left open.
    pub fn find(&self, typed: &str, most: usize) -> Result<Vec<Found>, TypedError> {
        self.find_by(typed, most, &Looks::default(), Confusions::standard())
    }

    /// The same with what else was seen of the mark, and by a table of letters that look alike.
    ///
    /// # Errors
    /// As [`Self::find`].
    pub fn find_by(&self, typed: &str, most: usize, looks: &Looks, table: &Confusions) -> Result<Vec<Found>, TypedError> {
        check_typed(typed)?;
        let weighed = self.asked_by(typed, looks, table).weighed();
        let found = |(number, log): (usize, f64)| Found { number, log_likelihood_ratio: log, probability: 0.0 };
        let mut found: Vec<Found> = weighed.into_iter().map(found).collect();
        found.sort_by(|a, b| b.log_likelihood_ratio.total_cmp(&a.log_likelihood_ratio).then(a.number.cmp(&b.number)));
        let top = found.first().map_or(0.0, |best| best.log_likelihood_ratio).max(0.0);
        // What was not weighed shares too little to count.
        let each = (1.0 - STRANGER) / self.len().max(1) as f64;
        let sum = each * found.iter().map(|f| (f.log_likelihood_ratio - top).exp()).sum::<f64>() + STRANGER * (-top).exp();
        found.truncate(most);
        for one in &mut found {
            one.probability = each * (one.log_likelihood_ratio - top).exp() / sum;
        }
        Ok(found)
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    fn first(typed: &str) -> Vec<usize> {
        let wordings = Wordings::of_lines([
            vec!["MARROWBY POTTERY", "FENLIGHT", "MADE IN ENGLAND"],
            vec!["MARROWBY", "QUOIN", "OVEN PROOF", "STONEWARE"],
            vec!["STANNARD", "by Marrowby", "oven to table"],
            vec!["陶器 工房"],
            vec![],
        ]);
        let found = wordings.find(typed, 9).unwrap();
        assert!(found.iter().map(|f| f.probability).sum::<f64>() <= 1.0 + 1e-9);
        found.into_iter().filter(|f| f.probability > 0.5).map(|f| f.number).collect()
    }

    #[test]
    fn worn_wordings_are_found() {
        assert_eq!(first("QU0IN"), [1]);
        assert_eq!(first("OV?N PR… MARROW"), [1]);
        assert_eq!(first("[EF]ENL[1I]GHT"), [0]);
        assert_eq!(first("oven t(o) tab1e"), [2]);
        assert_eq!(first("STANNARD oven"), [2]);
        assert_eq!(first("陶?工"), [3]);
        assert_eq!(first("STOMEWAPE QUO"), [1]);
        assert_eq!(first("XYZZY"), [0; 0]);
    }
}
