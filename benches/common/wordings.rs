//! Made-up wordings of marks, and readings of them as worn print leaves them: the same for the same seed. All words are invented, but for
//! the plain words that stand on many marks.

use super::dice::Dice;
use footring::marks::look_alikes;
use std::collections::BTreeSet;

/// Invented words that the wordings are made of.
const WORDS: usize = 20_000;
/// One word in so many is one of the trade.
const ONE_TRADE_WORD_IN: usize = 5;
const TRADE: [&str; 20] = [
    "POTTERY",
    "WARE",
    "MADE",
    "IN",
    "OVEN",
    "PROOF",
    "HAND",
    "PAINTED",
    "STONEWARE",
    "LTD",
    "CHINA",
    "REGD",
    "DESIGN",
    "BY",
    "AND",
    "SONS",
    "FINE",
    "COLOURS",
    "UNDER",
    "GLAZE",
];
const STARTS: [&str; 26] = [
    "B", "BR", "C", "CH", "CL", "D", "F", "G", "H", "K", "L", "M", "N", "P", "PR", "QU", "R", "S", "SH", "ST", "T", "TH", "W", "V", "",
    "TR",
];
const MIDDLES: [&str; 10] = ["A", "E", "I", "O", "U", "EA", "OO", "AI", "OW", "EE"];
const ENDS: [&str; 14] = ["", "", "", "N", "R", "L", "S", "CK", "RN", "ND", "LL", "T", "M", "X"];
const LAST: [&str; 8] = ["", "", "BY", "TON", "WICK", "ER", "Y", "LEY"];

/// How the lost letters of a reading are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Losses {
    /// Not at all: the letters around them stand side by side.
    Unsaid,
    /// `?` for each.
    Each,
    /// One run of letters is gone, and `…` stands for it.
    OneRun,
}

/// A wording as it was read.
#[derive(Debug, Clone)]
pub(crate) struct Reading {
    /// Number of the wording.
    pub(crate) of: usize,
    /// What was typed.
    pub(crate) typed: String,
}

/// So many different wordings of 2 to 6 words, each as its lines.
pub(crate) fn wordings(n: usize, seed: u64) -> Vec<Vec<String>> {
    let mut dice = Dice::new(seed);
    let mut known = BTreeSet::new();
    let mut words: Vec<String> = Vec::new();
    while words.len() < WORDS {
        let mut word = String::new();
        for _ in 0..=dice.roll(2) {
            word.push_str(pick(&STARTS, &mut dice));
            word.push_str(pick(&MIDDLES, &mut dice));
            word.push_str(pick(&ENDS, &mut dice));
        }
        word.push_str(pick(&LAST, &mut dice));
        if word.len() > 2 && known.insert(word.clone()) {
            words.push(word);
        }
    }
    let mut made = BTreeSet::new();
    let mut all = Vec::new();
    while all.len() < n {
        let lot: Vec<&str> = (0..2 + dice.roll(5))
            .map(|_| {
                if dice.roll(ONE_TRADE_WORD_IN) == 0 {
                    pick(&TRADE, &mut dice)
                } else {
                    words.get(dice.roll(WORDS)).map_or("", String::as_str)
                }
            })
            .collect();
        if !made.insert(lot.concat()) {
            continue;
        }
        let mut lines: Vec<String> = Vec::new();
        for word in lot {
            match lines.last_mut() {
                Some(line) if dice.roll(3) > 0 => {
                    line.push(' ');
                    line.push_str(word);
                }
                _ => lines.push(word.to_owned()),
            }
        }
        all.push(lines);
    }
    all
}

/// A wording in one line, its words parted by blanks.
pub(crate) fn in_one_line(lines: &[String]) -> String {
    lines.join(" ")
}

/// So many readings of wordings drawn at random.
///
/// Of the letters of the wording a run is seen: any length from `shortest` letters (all, if there are fewer) up, beginning anywhere. Of the run 10
/// to 30 in a hundred letters are damaged, at random: half of them are lost, half changed, of these half to a letter that looks like it where there is
/// one, half to any other.
pub(crate) fn readings(wordings: &[Vec<String>], n: usize, shortest: usize, losses: Losses, seed: u64) -> Vec<Reading> {
    let mut dice = Dice::new(seed);
    (0..n)
        .map(|_| {
            let of = dice.roll(wordings.len());
            let line: Vec<char> = wordings.get(of).map(|lines| in_one_line(lines)).unwrap_or_default().chars().collect();
            let places: Vec<usize> = (0..line.len()).filter(|&at| line.get(at).is_some_and(|c| *c != ' ')).collect();
            let long = shortest.min(places.len()) + dice.roll(places.len() - shortest.min(places.len()) + 1);
            let first = dice.roll(places.len() - long + 1);
            let run: Vec<usize> = places.iter().skip(first).take(long).copied().collect();
            Reading { of, typed: worn(&line, &run, losses, &mut dice) }
        })
        .collect()
}

fn worn(line: &[char], run: &[usize], losses: Losses, dice: &mut Dice) -> String {
    let damaged = (run.len() * (1000 + dice.roll(2001)) + 5000) / 10_000;
    let mut lost = BTreeSet::new();
    let mut changed = BTreeSet::new();
    let mut left: Vec<usize> = run.to_vec();
    let number_lost = (0..damaged).filter(|_| dice.roll(2) == 0).count();
    if losses == Losses::OneRun {
        let from = dice.roll(left.len() - number_lost + 1);
        lost.extend(left.drain(from..from + number_lost));
    }
    while lost.len() < number_lost && !left.is_empty() {
        lost.insert(left.swap_remove(dice.roll(left.len())));
    }
    while lost.len() + changed.len() < damaged && !left.is_empty() {
        changed.insert(left.swap_remove(dice.roll(left.len())));
    }
    let mut typed = String::new();
    let (Some(&from), Some(&to)) = (run.first(), run.last()) else { return typed };
    for at in from..=to {
        let Some(&c) = line.get(at) else { continue };
        if lost.contains(&at) {
            match losses {
                Losses::Each => typed.push('?'),
                Losses::OneRun if !typed.ends_with('…') => typed.push('…'),
                Losses::OneRun | Losses::Unsaid => {}
            }
        } else if changed.contains(&at) {
            typed.push(other(c, dice));
        } else if c != ' ' || !(typed.ends_with('…') || typed.ends_with(' ')) {
            typed.push(c);
        }
    }
    typed
}

/// Another letter than this: one that looks like it, if it has one and the dice say so, or any.
fn other(c: char, dice: &mut Dice) -> char {
    let alike = look_alikes(c);
    if !alike.is_empty() && dice.roll(2) == 0 {
        return alike.get(dice.roll(alike.len())).copied().unwrap_or(c);
    }
    loop {
        let any = char::from(b'A' + u8::try_from(dice.roll(26)).unwrap_or(0));
        if any != c {
            return any;
        }
    }
}

fn pick<'a>(from: &[&'a str], dice: &mut Dice) -> &'a str {
    from.get(dice.roll(from.len())).copied().unwrap_or("")
}
