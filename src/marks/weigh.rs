//! How likely a typed text is on a wording: the sum over all ways in which it could have been read from it.
//!
//! The chances are those of worn print, as they sum to 1 over what can happen (a forward pass of a hidden Markov model: Rabiner, Proceedings of the
//! IEEE 77, 1989, 257–286, equations 19–21). They are given over a text from nowhere in particular, so that 1 says nothing.

use super::confusions::Confusions;
use super::typed::{Doubt, Token};

/// Figures and capital letters; every other letter has a number of its own after them.
pub(super) const PLAIN: usize = 36;
/// Chances of what worn print does to a reader: choices of this program, no source.
const RIGHT: f64 = 0.90;
/// Of the letters read wrong, those read as one of the table, where the letter stands in it.
const BY_TABLE: f64 = 0.5;
/// A letter that left no trace: as a rule, on a line that wears first, and on one that lasts.
const SKIPPED: f64 = 0.10;
const SKIPPED_FIRST: f64 = 0.30;
const SKIPPED_LAST: f64 = 0.04;
/// A letter read where none stands.
pub(super) const ADDED: f64 = 0.002;
/// How much less likely than anywhere a letter of a script that the mark does not have is: no wear makes one of the other.
const OTHER_SCRIPT: f64 = ADDED;
/// Going on anywhere in the mark without a sign of it.
pub(super) const JUMPED: f64 = 0.0005;
/// Past a gap as a rule the mark goes on where it was left, so many letters on as wear takes at a time (each goes as the one before it did); else anywhere.
pub(super) const GAP_GOES_ON: f64 = 0.6;
pub(super) const GAP_STAYS: f64 = 0.8;
/// Going on with the start of any line, from the end of one.
pub(super) const NEXT_LINE: f64 = 0.1;
/// Going on with the start of any word, after a blank.
pub(super) const NEXT_WORD: f64 = 0.005;
/// Of the letters of a mark any number may have been read, so that the same few are likelier on a short one. Letters of a text from nowhere in particular.
const LETTERS_OF_A_MARK: f64 = 20.0;
/// Share of readings that begin with the start of a line.
pub(super) const FROM_LINE_START: f64 = 0.1;
/// A reader leaves a blank between two words, and within one. Letters past a blank in a text from nowhere in particular.
const BLANK_BETWEEN: f64 = 0.9;
const BLANK_WITHIN: f64 = 0.02;
const BLANK_ANYWHERE: f64 = 0.15;
/// Letters that a text from nowhere in particular is made of.
const ALPHABET: f64 = 36.0;
/// Above this the sums are brought down, so that they never overflow.
const LARGE: f64 = 1e200;

pub(super) const FIRST_OF_LINE: u8 = 1;
pub(super) const LAST_OF_LINE: u8 = 2;
pub(super) const FIRST_OF_WORD: u8 = 4;
pub(super) const WEARS_FIRST: u8 = 8;
pub(super) const WEARS_LAST: u8 = 16;

/// The chance that a letter left no trace, by where it stands.
pub(super) fn skipped(flags: u8) -> f64 {
    if flags & WEARS_FIRST != 0 {
        SKIPPED_FIRST
    } else if flags & WEARS_LAST != 0 {
        SKIPPED_LAST
    } else {
        SKIPPED
    }
}

/// The number of a letter; `others` are those past the plain ones, sorted. None for a letter that is not among them.
pub(super) fn code(letter: char, others: &[char]) -> Option<u16> {
    match letter {
        '0'..='9' => Some(letter as u16 - '0' as u16),
        'A'..='Z' => Some(letter as u16 - 'A' as u16 + 10),
        _ => others.binary_search(&letter).ok().and_then(|n| u16::try_from(PLAIN + n).ok()),
    }
}

/// The figure or capital letter of that number; none for a number past them.
pub(super) fn plain_letter(code: usize) -> Option<char> {
    char::from_digit(u32::try_from(code).ok()?, 36).map(|c| c.to_ascii_uppercase())
}

/// The letters of one wording, by number.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cells<'a> {
    pub(super) codes: &'a [u16],
    pub(super) flags: &'a [u8],
}

impl Cells<'_> {
    /// Letters, lines and words, each at least 1.
    pub(super) fn counts(&self) -> [f64; 3] {
        let count = |flag: u8| self.flags.iter().filter(|flags| **flags & flag != 0).count().max(1) as f64;
        [self.codes.len().max(1) as f64, count(FIRST_OF_LINE), count(FIRST_OF_WORD)]
    }
}

/// A typed text, ready to be weighed on many wordings.
#[derive(Debug, Clone)]
pub(super) struct Query {
    pub(super) steps: Vec<Step>,
}

#[derive(Debug, Clone)]
pub(super) struct Step {
    /// For each letter that may stand, how much likelier what was typed is there than anywhere. Empty for a letter that can't be read.
    pub(super) given: Vec<f64>,
    /// Letters typed at once, by number.
    pub(super) codes: Vec<u16>,
    pub(super) after: After,
    /// Two that stand where this one was read, and how much likelier.
    pub(super) for_two: Vec<([u16; 2], f64)>,
    /// One that stands where the letter before and this one were read.
    pub(super) with_before: Vec<(u16, f64)>,
}

impl Step {
    /// How much likelier what was typed is where the letter of that number stands than anywhere.
    pub(super) fn likely(&self, code: u16) -> f64 {
        self.given.get(usize::from(code)).copied().unwrap_or(1.0)
    }
}

/// What stands before a letter in the typed text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum After {
    Letter,
    Blank,
    Gap,
}

/// How much likelier than in a text from nowhere in particular a blank, or none, is before a letter that goes on in the word of the letter before, and
/// before one of another word. Past a gap it says nothing.
pub(super) fn blank(after: After) -> [f64; 2] {
    match after {
        After::Letter => [(1.0 - BLANK_WITHIN) / (1.0 - BLANK_ANYWHERE), (1.0 - BLANK_BETWEEN) / (1.0 - BLANK_ANYWHERE)],
        After::Blank => [BLANK_WITHIN / BLANK_ANYWHERE, BLANK_BETWEEN / BLANK_ANYWHERE],
        After::Gap => [1.0, 1.0],
    }
}

/// What was typed, as the index counts it: the numbers of one letter (none where it can't be read), and whether it follows the one before.
pub(super) struct Seen<'a> {
    pub(super) codes: &'a [u16],
    pub(super) follows: bool,
}

impl Query {
    /// `others`: the letters of all wordings past the plain ones, sorted.
    pub(super) fn new(tokens: &[Token], others: &[char], table: &Confusions) -> Self {
        let mut steps: Vec<Step> = Vec::new();
        let mut after = After::Letter;
        let mut before: Option<char> = None;
        for token in tokens {
            match token {
                Token::Gap => after = After::Gap,
                Token::Blank => after = after.max(After::Blank),
                Token::One(_) => {
                    steps.push(Step { given: Vec::new(), codes: Vec::new(), after, for_two: Vec::new(), with_before: Vec::new() });
                    (after, before) = (After::Letter, None);
                }
                Token::Letter(among, doubt, _) => {
                    let mut step = Step {
                        given: (0..PLAIN + others.len()).map(|stands| given(among, *doubt, stands, others, table)).collect(),
                        codes: among.iter().filter_map(|c| code(*c, others)).collect(),
                        after,
                        for_two: Vec::new(),
                        with_before: Vec::new(),
                    };
                    let seen = if let [c] = among.as_slice() { Some(*c) } else { None };
                    for (two, one, p) in table.pairs() {
                        let (Some(a), Some(b), Some(c)) = (code(two[0], others), code(two[1], others), code(*one, others)) else {
                            continue;
                        };
                        if seen == Some(*one) {
                            step.for_two.push(([a, b], p * ALPHABET));
                        }
                        if after != After::Gap && before == Some(two[0]) && seen == Some(two[1]) {
                            step.with_before.push((c, p * ALPHABET * ALPHABET));
                        }
                    }
                    steps.push(step);
                    (after, before) = (After::Letter, seen);
                }
            }
        }
        Self { steps }
    }

    /// How many of its letters were read.
    pub(super) fn letters(&self) -> usize {
        self.steps.iter().filter(|step| !step.given.is_empty()).count()
    }

    /// Its letters in turn.
    pub(super) fn seen(&self) -> impl Iterator<Item = Seen<'_>> {
        self.steps.iter().map(|step| Seen { codes: &step.codes, follows: step.after != After::Gap })
    }

    /// Natural logarithm of the likelihood on a wording over that on a text from nowhere in particular.
    pub(super) fn weigh(&self, cells: Cells<'_>, room: &mut Room) -> f64 {
        let n = cells.codes.len();
        if self.letters() == 0 {
            return 0.0;
        }
        if n == 0 {
            // Words read on a mark without words.
            return self.steps.len() as f64 * ADDED.ln();
        }
        let counts @ [size, lines, _] = cells.counts();
        let Room { arrive, arrived, stand, skips } = room;
        stand.clear();
        stand.resize(n, 0.0);
        arrived.clear();
        arrived.resize(n, 0.0);
        skips.clear();
        skips.extend(cells.flags.iter().map(|flags| skipped(*flags)));
        arrive.clear();
        arrive.extend(
            cells
                .flags
                .iter()
                .map(|flags| (1.0 - FROM_LINE_START) / size + if flags & FIRST_OF_LINE == 0 { 0.0 } else { FROM_LINE_START / lines }),
        );
        let mut log = (LETTERS_OF_A_MARK / size).ln();
        let mut total = 0.0;
        for (number, step) in self.steps.iter().enumerate() {
            if number > 0 {
                std::mem::swap(arrive, arrived);
                arrivals(step.after, cells, skips, (stand, total), arrive, counts);
            }
            let added = if number > 0 && !step.given.is_empty() { ADDED } else { 0.0 };
            for ((at, to), code) in stand.iter_mut().zip(arrive.iter()).zip(cells.codes) {
                *at = to * step.likely(*code) + *at * added;
            }
            for (two, p) in &step.for_two {
                for (((codes, flags), to), at) in cells.codes.windows(2).zip(cells.flags).zip(arrive.iter()).zip(stand.iter_mut().skip(1)) {
                    if codes == two && flags & LAST_OF_LINE == 0 {
                        *at += to * p;
                    }
                }
            }
            for (one, p) in &step.with_before {
                for ((code, to), at) in cells.codes.iter().zip(arrived.iter()).zip(stand.iter_mut()) {
                    if code == one {
                        *at += to * p;
                    }
                }
            }
            total = sum(stand);
            if total > LARGE {
                stand.iter_mut().chain(arrive.iter_mut()).for_each(|x| *x /= LARGE);
                total /= LARGE;
                log += LARGE.ln();
            }
        }
        log + total.max(1e-300).ln()
    }
}

/// The sum, of every fourth number first: so that none waits for the one before.
fn sum(all: &[f64]) -> f64 {
    let (fours, rest) = all.as_chunks::<4>();
    let mut sums = [0.0; 4];
    for four in fours {
        sums.iter_mut().zip(four).for_each(|(sum, x)| *sum += x);
    }
    sums.iter().chain(rest).sum()
}

/// The chance to come to each letter next.
fn arrivals(
    after: After,
    cells: Cells<'_>,
    skips: &[f64],
    (stand, total): (&[f64], f64),
    arrive: &mut [f64],
    [size, lines, words]: [f64; 3],
) {
    let ended: f64 = stand.iter().zip(cells.flags).map(|(p, flags)| if flags & LAST_OF_LINE == 0 { 0.0 } else { *p }).sum();
    let [same_word, other_word] = blank(after);
    let gap = after == After::Gap;
    let anywhere = if gap { (1.0 - GAP_GOES_ON) * total / size } else { JUMPED * total / size };
    let line = if gap { 0.0 } else { NEXT_LINE * ended / lines * other_word };
    let word = if after == After::Blank { NEXT_WORD * total / words } else { 0.0 };
    // Going on past letters that left no trace: within a word, and into another. A wording goes on from line to line as it is listed too.
    let (mut within, mut into) = (0.0, 0.0);
    let (mut before, mut skipped_before) = (0.0, 0.0);
    if gap {
        let mut past = 0.0;
        for (to, at) in arrive.iter_mut().zip(stand) {
            *to = anywhere + past * GAP_GOES_ON * (1.0 - GAP_STAYS);
            past = at + past * GAP_STAYS;
        }
        return;
    }
    for (((to, at), flags), skip) in arrive.iter_mut().zip(stand).zip(cells.flags).zip(skips) {
        (within, into) = (before + skipped_before * within, skipped_before * into);
        if flags & FIRST_OF_WORD != 0 {
            (within, into) = (0.0, within + into);
        }
        skipped_before = *skip;
        *to = anywhere
            + (within * same_word + into * other_word) * (1.0 - skipped_before)
            + if flags & FIRST_OF_LINE == 0 { 0.0 } else { line }
            + if flags & FIRST_OF_WORD == 0 { 0.0 } else { word };
        before = *at;
    }
}

/// How much likelier letters were typed for the letter of that number than anywhere.
fn given(among: &[char], doubt: Doubt, stands: usize, others: &[char], table: &Confusions) -> f64 {
    let letter = plain_letter(stands).or_else(|| others.get(stands.checked_sub(PLAIN)?).copied());
    let Some(letter) = letter else { return 1.0 };
    let plain = |c: char| code(c, &[]).is_some();
    if among.iter().all(|c| plain(*c) != plain(letter)) {
        return OTHER_SCRIPT;
    }
    let alike = table.look_alikes(letter);
    let sum: f64 = alike.iter().filter_map(|c| table.confused(*c, letter)).sum();
    let chance = |seen: char| {
        let wrong = 1.0 - RIGHT;
        let by_table = if alike.is_empty() { 0.0 } else { BY_TABLE };
        let mixed_up = table.confused(seen, letter).map_or(0.0, |p| wrong * by_table * p / sum);
        if seen == letter { RIGHT } else { mixed_up + wrong * (1.0 - by_table) / (ALPHABET - 1.0) }
    };
    let mean = among.iter().map(|c| chance(*c)).sum::<f64>() / among.len().max(1) as f64 * ALPHABET;
    if doubt == Doubt::Doubtful { f64::midpoint(mean, 1.0) } else { mean }
}

/// Room for sums, used again and again.
#[derive(Debug, Default)]
pub(super) struct Room {
    arrive: Vec<f64>,
    arrived: Vec<f64>,
    stand: Vec<f64>,
    /// The chance of each letter that it left no trace.
    skips: Vec<f64>,
}
