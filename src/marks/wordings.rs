//! Many wordings, and which of them a typed text was read from.

use super::confusions::Confusions;
use super::grams::Grams;
use super::letters::bare;
use super::typed::{TypedError, check_typed, tokens};
use super::weigh::{Cells, FIRST_OF_LINE, FIRST_OF_WORD, LAST_OF_LINE, PLAIN, Query, Room, code};
use crate::key::Mark;
use rayon::prelude::*;

/// Up to so many wordings all are weighed; of more, about as many as share most pairs of letters with what was typed.
const WEIGHED: usize = 1500;
/// Prior of a mark that is none of these, a choice of this program, no source.
const STRANGER: f64 = 0.02;

/// Wordings made ready to be searched.
#[derive(Debug, Clone)]
pub struct Wordings {
    codes: Vec<u16>,
    flags: Vec<u8>,
    /// Where each begins; one more than there are.
    starts: Vec<usize>,
    /// Letters past figures and capitals, sorted.
    others: Vec<char>,
    grams: Option<Grams>,
}

/// A wording that was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Found {
    /// Its number, from 0.
    pub number: usize,
    /// Natural logarithm of the likelihood of what was typed on it over that on a text from nowhere in particular.
    pub log_likelihood_ratio: f64,
    /// Probability that it was read from this one, all being as likely before, with a small share for one that is not among them.
    pub probability: f64,
}

impl Wordings {
    /// The wordings of marks, in their order.
    pub fn new<'a>(marks: impl IntoIterator<Item = &'a Mark>) -> Self {
        Self::of_lines(marks.into_iter().map(|mark| mark.wording.iter().map(|line| line.text.as_str())))
    }

    /// Wordings from their lines.
    pub fn of_lines<'a, L: IntoIterator<Item = &'a str>>(wordings: impl IntoIterator<Item = L>) -> Self {
        let mut letters: Vec<char> = Vec::new();
        let mut flags: Vec<u8> = Vec::new();
        let mut starts = vec![0];
        for lines in wordings {
            for line in lines {
                let begin = flags.len();
                for word in line.split_whitespace() {
                    let of_word = flags.len();
                    for letter in word.chars().flat_map(bare) {
                        letters.push(letter);
                        flags.push(if flags.len() == of_word { FIRST_OF_WORD } else { 0 });
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
        let mut made = Self { codes, flags, starts, others, grams: None };
        if made.len() > WEIGHED {
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

    fn cells(&self, number: usize) -> Cells<'_> {
        let (from, to) = (self.starts.get(number).copied().unwrap_or(0), self.starts.get(number + 1).copied().unwrap_or(0));
        Cells { codes: self.codes.get(from..to).unwrap_or_default(), flags: self.flags.get(from..to).unwrap_or_default() }
    }

    /// The wordings that a typed text was most likely read from, likeliest first, those as likely in their order; at most so many.
    ///
    /// # Errors
    /// Where nothing can be read in it, it is too long, or a bracket is left open.
    pub fn find(&self, typed: &str, most: usize) -> Result<Vec<Found>, TypedError> {
        self.find_by(typed, most, Confusions::standard(), |_| 0.0)
    }

    /// The same with another table of letters that look alike, and with what else speaks for each wording: the natural logarithm of a likelihood, at most 0.
    ///
    /// # Errors
    /// As [`Self::find`].
    pub fn find_by(
        &self,
        typed: &str,
        most: usize,
        table: &Confusions,
        besides: impl Fn(usize) -> f64 + Sync,
    ) -> Result<Vec<Found>, TypedError> {
        check_typed(typed)?;
        let query = Query::new(&tokens(typed), &self.others, table);
        let near: Vec<u32> = match &self.grams {
            Some(grams) => grams.nearest(&query, WEIGHED),
            None => (0..u32::try_from(self.len()).unwrap_or(u32::MAX)).collect(),
        };
        let weighed = |some: &[u32]| -> Vec<Found> {
            let mut room = Room::default();
            some.iter()
                .map(|number| {
                    let number = *number as usize;
                    let log = query.weigh(self.cells(number), &mut room) + besides(number);
                    Found { number, log_likelihood_ratio: log, probability: 0.0 }
                })
                .collect()
        };
        let mut found: Vec<Found> = near.par_chunks(128).flat_map_iter(weighed).collect();
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
