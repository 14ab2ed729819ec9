//! What a person can read of a mark, matched against its wording.
//!
//! The typed text is aligned with the mark's letters by the most probable way in which an honest person could have read it: letters worn
//! to others that look alike, letters overlooked, a line begun or left in the middle, the lines taken in any order. Spaces, points, case
//! and accents count for nothing.

use super::confusions::Confusions;
use super::letters::bare;
use super::typed::{Doubt, Token, tokens};
use crate::key::Mark;
use std::ops::Range;

/// Chances of what a reader does, a choice of this program, no source.
const RIGHT: f64 = 0.90;
/// A letter read as one that does not look like it.
const WRONG: f64 = 0.003;
/// A letter read where none stands.
const ADDED: f64 = 0.01;
/// One letter left out without a sign of it.
const SKIPPED: f64 = 0.04;
/// Most letters left out in one go.
const MOST_SKIPPED: usize = 3;
/// Going on anywhere in the mark without a sign of it.
const JUMPED: f64 = 0.01;
/// Going on with the start of any line, from the end of one.
const NEXT_LINE: f64 = 0.5;
/// Share of readings that begin with the start of a line.
const FROM_LINE_START: f64 = 0.6;
/// Letters of a text from nowhere in particular: one of 26 letters and 10 figures, all as likely.
const ALPHABET: f64 = 36.0;

/// How well a typed text goes with a mark.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Match {
    /// 0 to 1: share of the typed letters that stand in the mark where they should; a letter that worn print mixes up counts 0.6, and each
    /// letter left out or leap made without a sign costs 0.3. 0 where no letter was typed.
    pub score: f64,
    /// Natural logarithm of the likelihood of the typed text on this mark over that on a text from nowhere in particular. 0 where no letter
    /// was typed: that says nothing.
    pub log_likelihood_ratio: f64,
    /// Number of letters and figures typed.
    pub letters: usize,
    /// What was matched, in the order of the typed text.
    pub spans: Vec<Span>,
}

impl Match {
    /// True where at least one letter was read.
    pub fn says_something(&self) -> bool {
        self.letters > 0
    }
}

/// A run of typed characters and the run of the mark it was matched with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Span {
    /// Characters of the typed text, counted from 0.
    pub typed: Range<usize>,
    /// Line of the mark, counted from 0.
    pub line: usize,
    /// Characters of that line as printed, counted from 0.
    pub printed: Range<usize>,
}

/// Matches what was typed with the wording of a mark: `?` stands for one letter that cannot be read, `…` or `...` for any number of them.
pub fn wording_match(typed: &str, mark: &Mark) -> Match {
    Legend::new(mark).read(typed)
}

/// The wording of a mark, made ready for reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Legend {
    cells: Vec<Cell>,
    lines: usize,
}

/// A letter of a mark.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Cell {
    letter: char,
    line: usize,
    /// Character of the line as printed.
    at: usize,
    first: bool,
    last: bool,
}

/// The best way to have read the text so far that ends on one cell.
#[derive(Debug, Clone, Copy)]
struct Way {
    log: f64,
    /// Score so far, in letters.
    good: f64,
    /// Number of the token and the cell before this, for going back.
    from: Option<(usize, usize)>,
    /// Cells this token stands on, counted back from the last.
    wide: usize,
}

const NOWHERE: Way = Way { log: f64::NEG_INFINITY, good: 0.0, from: None, wide: 0 };

impl Legend {
    /// The wording of a mark.
    pub fn new(mark: &Mark) -> Self {
        Self::of_lines(mark.wording.iter().map(|wording| wording.text.as_str()))
    }

    /// A wording from its lines.
    pub fn of_lines<'a>(lines: impl IntoIterator<Item = &'a str>) -> Self {
        let mut cells: Vec<Cell> = Vec::new();
        let mut number = 0;
        for (line, text) in lines.into_iter().enumerate() {
            let mut of_line: Vec<Cell> = text
                .chars()
                .enumerate()
                .flat_map(|(at, c)| bare(c).into_iter().map(move |letter| Cell { letter, line, at, first: false, last: false }))
                .collect();
            if let Some(first) = of_line.first_mut() {
                first.first = true;
                number += 1;
            }
            if let Some(last) = of_line.last_mut() {
                last.last = true;
            }
            cells.append(&mut of_line);
        }
        Self { cells, lines: number }
    }

    /// Its letters and figures without spaces, folded as they are compared.
    pub fn letters(&self) -> String {
        self.cells.iter().map(|cell| cell.letter).collect::<String>().to_uppercase()
    }

    /// Matches typed text with this wording.
    pub fn read(&self, typed: &str) -> Match {
        let tokens: Vec<Token> = tokens(typed).into_iter().filter(|token| *token != Token::Blank).collect();
        let letters = tokens.iter().filter(|t| matches!(t, Token::Letter(..))).count();
        if letters == 0 {
            return Match::default();
        }
        if self.cells.is_empty() {
            // Words read on a mark without words.
            return Match { score: 0.0, log_likelihood_ratio: letters as f64 * ADDED.ln(), letters, spans: Vec::new() };
        }
        let ways = self.ways(&tokens);
        let end = ways.last().and_then(|last| best(last));
        let Some((cell, way)) = end else { return Match { letters, ..Match::default() } };
        Match {
            score: (way.good / letters as f64).clamp(0.0, 1.0),
            log_likelihood_ratio: way.log + letters as f64 * ALPHABET.ln(),
            letters,
            spans: self.spans(&tokens, &ways, cell),
        }
    }

    /// For each token that stands on the mark, the best way to each cell. Gaps make no row; row 0 is before the first token.
    fn ways(&self, tokens: &[Token]) -> Vec<Vec<Way>> {
        let n = self.cells.len();
        let mut rows: Vec<Vec<Way>> = Vec::new();
        let mut gap = false;
        let mut previous: Option<char> = None;
        for token in tokens {
            let (Token::Letter(..) | Token::One(_)) = token else {
                gap = true;
                previous = None;
                continue;
            };
            let (among, doubt): (&[char], Doubt) =
                if let Token::Letter(among, doubt, _) = token { (among, *doubt) } else { (&[], Doubt::None) };
            let seen = if let [c] = among { Some(*c) } else { None };
            let arrive = match rows.last() {
                None => self.start(),
                Some(row) => self.arrivals(row, rows.len() - 1, gap),
            };
            let mut row: Vec<Way> = vec![NOWHERE; n];
            for (j, (way, cell)) in row.iter_mut().zip(&self.cells).enumerate() {
                let Some(&to) = arrive.get(j) else { continue };
                let (log, good) = emission(among, doubt, cell.letter);
                *way = Way { log: to.log + log, good: to.good + good, from: to.from, wide: 1 };
                // One letter seen for two that stand: 'm' for 'rn'.
                if let (Some(c), Some(before), Some(next)) = (seen, j.checked_sub(1), Some(cell))
                    && let (Some(first), Some(&to)) = (self.cells.get(before), arrive.get(before))
                    && first.line == next.line
                    && let Some(p) =
                        Confusions::standard().pairs().iter().find(|d| d.0 == [first.letter, next.letter] && d.1 == c).map(|d| d.2)
                {
                    better(way, Way { log: to.log + p.ln(), good: to.good + 0.6, from: to.from, wide: 2 });
                }
                // A letter seen where none stands: stay on the cell of the letter before.
                if !among.is_empty()
                    && let Some(last) = rows.last()
                    && let Some(stay) = last.get(j)
                {
                    let log = stay.log + (ADDED / ALPHABET).ln();
                    better(way, Way { log, good: stay.good, from: Some((rows.len() - 1, j)), wide: 0 });
                }
                // Two letters seen for one that stands: 'rn' for 'm'. The first of them was no match; take its place.
                if let (Some(c), Some(p)) = (seen, previous)
                    && !gap
                    && let Some(chance) = Confusions::standard().pairs().iter().find(|d| d.0 == [p, c] && d.1 == cell.letter).map(|d| d.2)
                    && let Some(to) = self.arrivals_before_last(&rows).get(j)
                {
                    better(way, Way { log: to.log + chance.ln(), good: to.good + 1.2, from: Some((rows.len() - 1, j)), wide: 1 });
                }
            }
            rows.push(row);
            gap = false;
            previous = seen;
        }
        rows
    }

    /// Ways to stand before each cell with nothing read.
    fn start(&self) -> Vec<Way> {
        let n = self.cells.len() as f64;
        let anywhere = (1.0 - FROM_LINE_START) / n;
        self.cells
            .iter()
            .map(|cell| {
                let p = if cell.first { anywhere + FROM_LINE_START / self.lines.max(1) as f64 } else { anywhere };
                Way { log: p.ln(), good: 0.0, from: None, wide: 0 }
            })
            .collect()
    }

    fn arrivals_before_last(&self, rows: &[Vec<Way>]) -> Vec<Way> {
        match rows.len().checked_sub(2).and_then(|i| Some((i, rows.get(i)?))) {
            None => self.start(),
            Some((i, row)) => self.arrivals(row, i, false),
        }
    }

    /// The best way to come to each cell for the next letter, from a row.
    fn arrivals(&self, row: &[Way], number: usize, gap: bool) -> Vec<Way> {
        let n = self.cells.len() as f64;
        let from =
            |i: usize, way: &Way, log: f64, cost: f64| Way { log: way.log + log, good: way.good - cost, from: Some((number, i)), wide: 0 };
        let anywhere = best(row);
        let ends = row.iter().zip(&self.cells).enumerate().filter(|(_, (_, cell))| cell.last);
        let line_end = ends.map(|(i, (way, _))| (i, *way)).max_by(|a, b| a.1.log.total_cmp(&b.1.log));
        self.cells
            .iter()
            .enumerate()
            .map(|(j, cell)| {
                let mut to = NOWHERE;
                if let Some((i, way)) = &anywhere {
                    // A gap was typed: it may go on anywhere. Without one, a leap.
                    to = if gap { from(*i, way, -n.ln(), 0.0) } else { from(*i, way, (JUMPED / n).ln(), 0.3) };
                }
                if cell.first
                    && let Some((i, way)) = &line_end
                {
                    better(&mut to, from(*i, way, (NEXT_LINE / self.lines.max(1) as f64).ln(), 0.0));
                }
                for skipped in 0..=MOST_SKIPPED {
                    let Some(i) = j.checked_sub(skipped + 1) else { break };
                    let (Some(before), Some(way)) = (self.cells.get(i), row.get(i)) else { break };
                    if before.line != cell.line {
                        break;
                    }
                    let (log, cost) = if gap { (-n.ln(), 0.0) } else { (skipped as f64 * SKIPPED.ln(), 0.3 * skipped as f64) };
                    better(&mut to, from(i, way, log, cost));
                }
                to
            })
            .collect()
    }

    fn spans(&self, tokens: &[Token], ways: &[Vec<Way>], end: usize) -> Vec<Span> {
        let typed: Vec<Range<usize>> = tokens
            .iter()
            .filter_map(|token| match token {
                Token::Letter(_, _, at) => Some(at.clone()),
                Token::One(at) => Some(*at..at + 1),
                Token::Gap | Token::Blank => None,
            })
            .collect();
        let mut spans: Vec<Span> = Vec::new();
        let mut place = Some((ways.len().saturating_sub(1), end));
        while let Some((token, cell)) = place {
            let Some(way) = ways.get(token).and_then(|row| row.get(cell)) else { break };
            if let (Some(at), Some(last)) = (typed.get(token), self.cells.get(cell))
                && way.wide > 0
            {
                let first = self.cells.get(cell + 1 - way.wide).unwrap_or(last);
                let join = spans.last_mut().filter(|s| s.line == last.line && s.typed.start == at.end && s.printed.start == last.at + 1);
                if let Some(span) = join {
                    span.typed.start = at.start;
                    span.printed.start = first.at;
                } else {
                    spans.push(Span { typed: at.clone(), line: last.line, printed: first.at..last.at + 1 });
                }
            }
            place = way.from;
        }
        spans.reverse();
        spans
    }
}

/// Logarithm of the chance to see a letter where another stands, and what it counts in the score. A letter that cannot be read says nothing.
fn emission(among: &[char], doubt: Doubt, stands: char) -> (f64, f64) {
    let of = |c: char| {
        if c == stands { (RIGHT, 1.0) } else { Confusions::standard().confused(c, stands).map_or((WRONG, 0.0), |p| (p, 0.6)) }
    };
    if among.is_empty() {
        return (0.0, 0.0);
    }
    // Any of them: the mean, for a text from nowhere in particular would have any of them too.
    let mean = among.iter().map(|c| of(*c).0).sum::<f64>() / among.len() as f64;
    let good = among.iter().map(|c| of(*c).1).fold(0.0, f64::max);
    match doubt {
        Doubt::None => (mean.ln(), good),
        Doubt::Doubtful => (f64::midpoint(mean, 1.0 / ALPHABET).ln(), good),
    }
}

fn better(way: &mut Way, other: Way) {
    if other.log > way.log {
        *way = other;
    }
}

fn best(row: &[Way]) -> Option<(usize, Way)> {
    row.iter().copied().enumerate().reduce(|best, next| if next.1.log > best.1.log { next } else { best })
}
