//! The best way in which a typed text can have been read from a wording: which letters it stands for, and how well it goes with them.
//!
//! It is found with the chances of [`super::weigh`], which sums over all ways: this one is for showing, that sum is for weighing.

use super::typed::Token;
use super::weigh::{
    ADDED, After, Cells, FIRST_OF_LINE, FIRST_OF_WORD, FROM_LINE_START, GAP_GOES_ON, GAP_STAYS, JUMPED, LAST_OF_LINE, NEXT_LINE, NEXT_WORD,
    Query, blank, skipped,
};
use super::wordings::Wordings;
use crate::key::Mark;
use std::ops::Range;

/// What a letter that worn print mixes up counts in the score, and what a letter left out or a leap without a sign costs.
const LOOKS_ALIKE: f64 = 0.6;
const LEFT_OUT: f64 = 0.3;

/// How well a typed text goes with a mark.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Match {
    /// 0 to 1: share of the typed letters that stand in the mark where they should; a letter that worn print mixes up counts 0.6, and each
    /// letter left out or leap made without a sign costs 0.3. 0 where no letter was typed.
    pub score: f64,
    /// Natural logarithm of the likelihood of the typed text on this mark over that on a text from nowhere in particular, summed over all ways in which
    /// it can have been read. 0 where no letter was typed: that says nothing.
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
    Wordings::new([mark]).asked(typed).read(0)
}

/// Where a letter stands in its mark: line, and character of the line as printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Place {
    pub(super) line: u16,
    pub(super) at: u16,
}

/// The best way to have read the text so far that ends on one letter of the wording.
#[derive(Debug, Clone, Copy)]
struct Way {
    log: f64,
    /// Score so far, in letters.
    good: f64,
    /// Number of the step and the letter before this, for going back.
    from: Option<(usize, usize)>,
    /// Letters of the wording this stands for, counted back from the last.
    wide: usize,
    /// Steps it stands for, counted back from the last.
    typed: usize,
}

const NOWHERE: Way = Way { log: f64::NEG_INFINITY, good: 0.0, from: None, wide: 0, typed: 1 };

impl Way {
    fn on(self, log: f64, good: f64) -> Self {
        Self { log: self.log + log, good: self.good + good, ..self }
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

/// The score and the spans of the best way. The tokens are those the query was made from.
pub(super) fn best_way(query: &Query, tokens: &[Token], cells: Cells<'_>, places: &[Place]) -> (f64, Vec<Span>) {
    let letters = query.letters();
    if letters == 0 || cells.codes.is_empty() {
        return (0.0, Vec::new());
    }
    let rows = rows(query, cells);
    let Some((end, way)) = rows.last().and_then(|row| best(row)) else { return (0.0, Vec::new()) };
    ((way.good / letters as f64).clamp(0.0, 1.0), spans(tokens, &rows, end, places))
}

/// For each step, the best way to each letter.
fn rows(query: &Query, cells: Cells<'_>) -> Vec<Vec<Way>> {
    let n = cells.codes.len();
    let mut rows: Vec<Vec<Way>> = Vec::new();
    let mut arrive = start(cells);
    let mut arrived: Vec<Way> = Vec::new();
    for (number, step) in query.steps.iter().enumerate() {
        if let Some(row) = rows.last() {
            arrived = std::mem::replace(&mut arrive, arrivals(row, number - 1, step.after, cells));
        }
        let is_letter = !step.given.is_empty();
        let mut row = vec![NOWHERE; n];
        for (j, (way, code)) in row.iter_mut().zip(cells.codes).enumerate() {
            let Some(&to) = arrive.get(j) else { continue };
            let good = match (is_letter, step.codes.contains(code), step.likely(*code) > 1.0) {
                (false, ..) | (true, false, false) => 0.0,
                (true, true, _) => 1.0,
                (true, false, true) => LOOKS_ALIKE,
            };
            *way = Way { wide: 1, ..to.on(step.likely(*code).ln(), good) };
            // A letter seen where none stands: stay on the letter before.
            if is_letter && let Some(stay) = rows.last().and_then(|last| last.get(j)) {
                better(way, Way { log: stay.log + ADDED.ln(), good: stay.good, from: Some((number - 1, j)), wide: 0, typed: 1 });
            }
            // One letter seen for two that stand: 'm' for 'rn'.
            for (two, p) in &step.for_two {
                let Some(before) = j.checked_sub(1) else { continue };
                let same_line = cells.flags.get(before).is_some_and(|flags| flags & LAST_OF_LINE == 0);
                if same_line
                    && cells.codes.get(before..=j) == Some(two)
                    && let Some(to) = arrive.get(before)
                {
                    better(way, Way { wide: 2, ..to.on(p.ln(), LOOKS_ALIKE) });
                }
            }
            // Two letters seen for one that stands: 'rn' for 'm'.
            for (one, p) in &step.with_before {
                if one == code
                    && let Some(to) = arrived.get(j)
                {
                    better(way, Way { wide: 1, typed: 2, ..to.on(p.ln(), 2.0 * LOOKS_ALIKE) });
                }
            }
        }
        rows.push(row);
    }
    rows
}

/// Ways to come to each letter with nothing read.
fn start(cells: Cells<'_>) -> Vec<Way> {
    let [size, lines, _] = cells.counts();
    let anywhere = (1.0 - FROM_LINE_START) / size;
    let p = |flags: &u8| if flags & FIRST_OF_LINE == 0 { anywhere } else { anywhere + FROM_LINE_START / lines };
    cells.flags.iter().map(|flags| Way { log: p(flags).ln(), ..NOWHERE }).collect()
}

/// The best way to come to each letter next, from the row of that step.
fn arrivals(row: &[Way], number: usize, after: After, cells: Cells<'_>) -> Vec<Way> {
    let [size, lines, words] = cells.counts();
    let from = |i: usize, way: Way| Way { from: Some((number, i)), ..way };
    let anywhere = best(row).map(|(i, way)| from(i, way));
    let ends = row.iter().zip(cells.flags).enumerate().filter(|(_, (_, flags))| **flags & LAST_OF_LINE != 0);
    let ended = ends.map(|(i, (way, _))| from(i, *way)).reduce(|best, next| if next.log > best.log { next } else { best });
    let [same_word, other_word] = blank(after);
    // Going on with the next letter, past those that left no trace: within a word, and into another.
    let (mut within, mut into) = (NOWHERE, NOWHERE);
    let mut before: Option<(Way, u8)> = None;
    let mut past_gap = NOWHERE;
    let mut to_each = Vec::with_capacity(row.len());
    for (j, (way, flags)) in row.iter().zip(cells.flags).enumerate() {
        if let Some((way, flags)) = before {
            let past = |way: Way| way.on(skipped(flags).ln(), -LEFT_OUT);
            (within, into) = (past(within), past(into));
            better(&mut within, way);
            past_gap = past_gap.on(GAP_STAYS.ln(), 0.0);
            better(&mut past_gap, way);
        }
        if flags & FIRST_OF_WORD != 0 {
            better(&mut into, std::mem::replace(&mut within, NOWHERE));
        }
        before = Some((from(j, *way), *flags));
        let mut to = NOWHERE;
        if after == After::Gap {
            // A gap was typed: it goes on where it was left, or anywhere.
            to = past_gap.on((GAP_GOES_ON * (1.0 - GAP_STAYS)).ln(), 0.0);
            if let Some(anywhere) = anywhere {
                better(&mut to, anywhere.on(((1.0 - GAP_GOES_ON) / size).ln(), 0.0));
            }
            to_each.push(to);
            continue;
        }
        if let Some(anywhere) = anywhere {
            // Without one, a leap.
            to = anywhere.on((JUMPED / size).ln(), -LEFT_OUT);
            if after == After::Blank && flags & FIRST_OF_WORD != 0 {
                better(&mut to, anywhere.on((NEXT_WORD / words).ln(), -LEFT_OUT));
            }
        }
        if flags & FIRST_OF_LINE != 0
            && let Some(ended) = ended
        {
            better(&mut to, ended.on((NEXT_LINE / lines * other_word).ln(), 0.0));
        }
        let stands = 1.0 - skipped(*flags);
        better(&mut to, within.on((stands * same_word).ln(), 0.0));
        better(&mut to, into.on((stands * other_word).ln(), 0.0));
        to_each.push(to);
    }
    to_each
}

fn spans(tokens: &[Token], rows: &[Vec<Way>], end: usize, places: &[Place]) -> Vec<Span> {
    let typed: Vec<Range<usize>> = tokens
        .iter()
        .filter_map(|token| match token {
            Token::Letter(_, _, at) => Some(at.clone()),
            Token::One(at) => Some(*at..at + 1),
            Token::Gap | Token::Blank => None,
        })
        .collect();
    let mut spans: Vec<Span> = Vec::new();
    let mut place = Some((rows.len().saturating_sub(1), end));
    while let Some((step, cell)) = place {
        let Some(way) = rows.get(step).and_then(|row| row.get(cell)) else { break };
        if let (Some(first_typed), Some(last_typed), Some(last)) =
            ((step + 1).checked_sub(way.typed).and_then(|first| typed.get(first)), typed.get(step), places.get(cell))
            && way.wide > 0
        {
            let at = first_typed.start..last_typed.end;
            let first = places.get(cell + 1 - way.wide).unwrap_or(last);
            let (line, first, last) = (usize::from(last.line), usize::from(first.at), usize::from(last.at));
            let join = spans.last_mut().filter(|s| s.line == line && s.typed.start == at.end && s.printed.start == last + 1);
            if let Some(span) = join {
                span.typed.start = at.start;
                span.printed.start = first;
            } else {
                spans.push(Span { typed: at, line, printed: first..last + 1 });
            }
        }
        place = way.from;
    }
    spans.reverse();
    spans
}
