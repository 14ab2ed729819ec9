//! Reading free text: which rules fire, the longest wording first.

use super::evidence::{Evidence, Origin};
use super::pattern::{Fit, Glyph, glyphs};
use super::rules::{Reads, Rule, Rules};
use super::span::{Edge, Span};
use crate::key::problem::nearest;
use crate::say;
use crate::words::of_data;

/// Text beyond this many letters is not read.
const MOST_LETTERS: usize = 1000;

/// What was read of a text.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TextRead {
    /// What rules found, in the order of the text.
    pub readings: Vec<Reading>,
    /// What could not be used, and why.
    pub unread: Vec<Unread>,
}

/// A wording that a rule knows.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The rule.
    pub rule: String,
    /// The text as it was typed.
    pub read: String,
    /// The wording it was taken for.
    pub taken_for: String,
    /// Letters taken for others or not read.
    pub doubtful: usize,
    /// What follows. Nothing, where the wording is known to date nothing.
    pub evidence: Vec<Evidence>,
    /// What a person should know besides.
    pub note: String,
}

/// Something that no date follows from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unread {
    /// What was given.
    pub text: String,
    /// Why nothing follows, in a sentence.
    pub why: String,
    /// What may have been meant, likeliest first.
    pub did_you_mean: Vec<String>,
}

/// A number with figures that may be unread.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Digits(Vec<Option<u8>>);

impl Digits {
    /// The number that begins at that glyph, and the glyph past it. Groups of three figures may stand apart; O, I and L among figures are 0 and 1.
    pub(super) fn at(glyphs: &[Glyph], start: usize) -> Option<(Self, usize)> {
        let figure = |at: usize| match glyphs.get(at)?.c {
            c if c.is_ascii_digit() => Some(c.to_digit(10).and_then(|d| u8::try_from(d).ok())),
            '?' => Some(None),
            'O' | 'Q' => Some(Some(0)),
            'I' | 'L' => Some(Some(1)),
            _ => None,
        };
        if !glyphs.get(start)?.c.is_ascii_digit() && glyphs.get(start)?.c != '?' {
            return None;
        }
        let mut found = Vec::new();
        let mut at = start;
        loop {
            let turned = glyphs.get(at).is_some_and(|glyph| !glyph.c.is_ascii_digit());
            if at > start && glyphs.get(at).is_some_and(Glyph::begins) && !turned {
                // A new group, or the first figure after a letter that was one.
                let after_letter = glyphs.get(at - 1).is_some_and(|glyph| glyph.c.is_alphabetic());
                let group = (at..at + 3).all(|i| figure(i).is_some()) && glyphs.get(at + 3).is_none_or(Glyph::begins);
                if !after_letter && !group {
                    break;
                }
            }
            match figure(at) {
                Some(one) => found.push(one),
                None => break,
            }
            at += 1;
        }
        found.iter().any(Option::is_some).then_some((Self(found), at))
    }

    /// A number as a person writes it: `543765`, `54 3?65`.
    pub(super) fn of_text(text: &str) -> Option<Self> {
        let glyphs = glyphs(text);
        let (digits, end) = Self::at(&glyphs, 0)?;
        (end == glyphs.len()).then_some(digits)
    }

    pub(super) fn len(&self) -> usize {
        self.0.len()
    }

    pub(super) fn shown(&self) -> String {
        self.0.iter().map(|d| d.map_or('?', |d| char::from(b'0' + d))).collect()
    }

    fn with(&self, unread: u8) -> Option<u64> {
        self.0.iter().try_fold(0_u64, |sum, d| sum.checked_mul(10)?.checked_add(u64::from(d.unwrap_or(unread))))
    }

    /// The least number it can be.
    pub(super) fn least(&self) -> Option<u64> {
        self.with(0)
    }

    /// The greatest number it can be.
    pub(super) fn most(&self) -> Option<u64> {
        self.with(9)
    }
}

impl Rules {
    /// Reads free text, as it stands in a mark. Case, spaces and points count for nothing, `?` is one letter that can't be read, `…` any
    /// number of them, and letters that worn print mixes up are allowed for. The longest wording wins: what is part of it is not read again.
    pub fn read(&self, text: &str) -> TextRead {
        let signs = glyphs(text);
        let mut out = TextRead::default();
        if signs.iter().all(|glyph| glyph.c == '?' || glyph.c == '…') {
            out.unread.push(unread(text, say!("there is no letter, figure or sign in it (type what can be read)")));
            return out;
        }
        if signs.len() > MOST_LETTERS {
            let why = say!(
                "it has {n} letters, more than the {most} that are read (type the words of the mark only)",
                n = signs.len(),
                most = MOST_LETTERS
            );
            let start: String = text.chars().take(40).chain(['…']).collect();
            out.unread.push(unread(&start, &why));
            return out;
        }
        for fit in self.fits(&signs) {
            self.take(&fit, &signs, text, &mut out);
        }
        if out.readings.is_empty() && out.unread.is_empty() {
            let known = self.patterns.iter().map(|pattern| pattern.text.as_str()).filter(|t| !t.contains(['@', '9', '#']));
            let mut none = unread(text, say!("no dating rule knows these words"));
            none.did_you_mean.extend(nearest(text, known));
            out.unread.push(none);
        }
        out
    }

    /// A registered design number on its own, as `--rd` gives it.
    pub fn read_number(&self, rule: &str, number: &str) -> TextRead {
        let mut out = TextRead::default();
        match (self.rules.iter().find(|r| r.id == rule), Digits::of_text(number)) {
            (None, _) => out.unread.push(unread(number, &say!("there is no rule '{rule}' among the dating rules", rule))),
            (_, None) => out.unread.push(unread(number, say!("it is no whole number (write figures, '?' for one that can't be read)"))),
            (Some(rule), Some(digits)) => read_of(rule, number.trim(), Some(&digits), &mut out, number.trim(), 0),
        }
        out
    }

    /// Fits that do not overlap, the longest first chosen, in the order of the text.
    fn fits(&self, signs: &[Glyph]) -> Vec<Fit> {
        let mut all: Vec<Fit> = (0..signs.len())
            .flat_map(|start| self.patterns.iter().enumerate().filter_map(move |(number, pattern)| pattern.fit(number, signs, start)))
            .collect();
        all.sort_by_key(|fit| {
            let (listed, rule) = self.patterns.get(fit.pattern).map_or((true, usize::MAX), |pattern| (pattern.listed, pattern.rule));
            (std::cmp::Reverse(fit.end - fit.start), fit.worn + fit.unread, fit.start, listed, rule, fit.pattern)
        });
        let mut taken = vec![false; signs.len()];
        let mut chosen = Vec::new();
        for fit in all {
            let Some(place) = taken.get_mut(fit.start..fit.end) else { continue };
            if place.iter().all(|taken| !taken) {
                place.fill(true);
                chosen.push(fit);
            }
        }
        chosen.sort_by_key(|fit| fit.start);
        chosen
    }

    fn take(&self, fit: &Fit, signs: &[Glyph], text: &str, out: &mut TextRead) {
        let Some(pattern) = self.patterns.get(fit.pattern) else { return };
        let Some(rule) = self.rules.get(pattern.rule) else { return };
        let (Some(first), Some(last)) = (signs.get(fit.start), signs.get(fit.end - 1)) else { return };
        let read: String = text.chars().skip(first.at).take(last.at + 1 - first.at).collect();
        read_of(rule, read.trim(), fit.number.as_ref(), out, &pattern.text, fit.worn + fit.unread);
    }
}

fn read_of(rule: &Rule, read: &str, number: Option<&Digits>, out: &mut TextRead, taken_for: &str, doubtful: usize) {
    let mut reading = Reading {
        rule: rule.id.clone(),
        read: read.to_owned(),
        taken_for: taken_for.to_owned(),
        doubtful,
        evidence: Vec::new(),
        note: of_data(&rule.note).into_owned(),
    };
    let shown = if doubtful > 0 { say!("{read}' as '{taken_for}", read, taken_for = taken_for.to_uppercase()) } else { read.to_owned() };
    match (&rule.reads, number) {
        (Reads::Year, Some(digits)) => {
            let year =
                digits.least().and_then(|year| i32::try_from(year).ok()).filter(|year| digits.len() == 4 && (1500..=2100).contains(year));
            let Some(year) = year.and_then(Edge::year) else {
                out.unread.push(unread(read, say!("that is no year of four figures from 1500 to 2100 (look again)")));
                return;
            };
            for bound in &rule.bounds {
                let span = if bound.span().is_open() { Span::since(year) } else { bound.span() };
                reading.evidence.push(bound.evidence(rule.dates, Origin::Wording, &shown, span));
            }
        }
        (Reads::Number(table), Some(digits)) => match table.read(digits) {
            Err(why) => {
                out.unread.push(unread(read, &why));
                return;
            }
            Ok(found) => {
                for bound in &rule.bounds {
                    let own = bound.span();
                    let remembered = bound.known == super::Known::FromMemory;
                    let span = match (own.is_open(), remembered, found.remembered) {
                        (false, ..) => own,
                        (true, false, _) => found.since,
                        (true, true, Some(since)) => since,
                        (true, true, None) => continue,
                    };
                    let mut evidence = bound.evidence(rule.dates, Origin::RegisteredNumber, &shown, span);
                    if own.is_open() && !remembered {
                        evidence.says = say!("{says}, so the piece {when}", says = found.says, when = span.words());
                    }
                    reading.evidence.push(evidence);
                }
            }
        },
        _ => {
            reading.evidence.extend(
                rule.bounds
                    .iter()
                    .filter(|bound| !bound.span().is_open())
                    .map(|bound| bound.evidence(rule.dates, Origin::Wording, &shown, bound.span())),
            );
        }
    }
    out.readings.push(reading);
}

pub(super) fn unread(text: &str, why: &str) -> Unread {
    Unread { text: text.trim().to_owned(), why: why.to_owned(), did_you_mean: Vec::new() }
}
