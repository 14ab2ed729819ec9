//! House date codes: what a code can mean.

use super::evidence::{Evidence, Firmness, Known, Origin, Thing, Weighs};
use super::span::{Edge, Span, Spans, month_name};
use crate::key::{CodeDates, CodePart, DateCode, How, Years};
use crate::marks::letters::bare;
use crate::marks::look_alikes;
use crate::say;
use jiff::civil::{ISOWeekDate, Weekday};
use thiserror::Error;

/// Readings of one code that are kept.
const MOST_READINGS: usize = 200;
/// Longest code that is read.
const LONGEST: usize = 40;
/// Longest part without a meaning.
const ANYTHING: usize = 4;

/// One meaning of a code.
#[derive(Debug, Clone, PartialEq)]
pub struct CodeReading {
    /// When it is. All of time, where no part of the code is a year.
    pub when: Span,
    /// In words: 'March 1952', 'third quarter of 1952, north works'.
    pub words: String,
    /// Each part: its name, the signs it was read from, its meaning.
    pub parts: Vec<(String, String, String)>,
}

/// Why a code means nothing.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum CodeError {
    /// Nothing was given.
    #[error("the code is empty (type the letters and figures; '?' for one that can't be read)")]
    Empty,
    /// Too long.
    #[error("the code has {0} signs, more than the {LONGEST} that are read (type the code alone)")]
    TooLong(usize),
    /// The pattern names a part that is not described, or has a bracket without its partner.
    #[error("the pattern '{pattern}' makes no sense: {why}")]
    BadPattern {
        /// The pattern.
        pattern: String,
        /// Why.
        why: String,
    },
    /// The code goes with no reading.
    #[error("'{code}' is not a {name} (expected {pattern}){}", hint(did_you_mean))]
    NoMatch {
        /// As given.
        code: String,
        /// What the code is called.
        name: String,
        /// Its pattern.
        pattern: String,
        /// Codes that make sense and differ in one sign that is easily misread.
        did_you_mean: Vec<String>,
    },
    /// Figures of a year that cannot be placed.
    #[error("the figures of '{name}' can't be placed in a century (give the mark its years of use, from and to)")]
    NoYears {
        /// What the code is called.
        name: String,
    },
    /// Each part makes sense, all together do not.
    #[error("'{code}' reads {read}, and there is no such date (look again)")]
    NoSuchDate {
        /// As given.
        code: String,
        /// What it reads.
        read: String,
    },
}

fn hint(did_you_mean: &[String]) -> String {
    if did_you_mean.is_empty() { String::new() } else { say!("; did you mean {did_you_mean}?", did_you_mean = did_you_mean.join(" or ")) }
}

/// The meaning of a part.
#[derive(Debug, Clone, PartialEq)]
enum Means {
    Year(i32),
    Month(u8),
    Quarter(u8),
    Week(u8),
    Day(u8),
    Words(String),
    Nothing,
}

impl Means {
    fn words(&self) -> String {
        match self {
            Self::Year(year) => year.to_string(),
            Self::Month(month) => month_name(month.cast_signed()).to_owned(),
            Self::Quarter(quarter) => say!("quarter {quarter}", quarter),
            Self::Week(week) => say!("week {week}", week),
            Self::Day(day) => say!("day {day}", day),
            Self::Words(words) => words.clone(),
            Self::Nothing => say!("no date").to_owned(),
        }
    }
}

/// A piece of a pattern: what it is called, and the signs it can be with their meanings.
struct Slot {
    name: String,
    can_be: Vec<(Vec<char>, Means)>,
    anything: bool,
}

/// What a part was read from: the number of its slot, the signs, their meaning.
type Taken = (usize, Vec<char>, Means);

fn folded(text: &str) -> Vec<char> {
    text.chars().flat_map(|c| if c == '?' { vec!['?'] } else { bare(c) }).collect()
}

/// Reads a code; `made` are the mark's years of use.
///
/// # Errors
/// Where it goes with no reading, see [`CodeError`].
pub fn read_code(code: &DateCode, made: Years, sample: &str) -> Result<Vec<CodeReading>, CodeError> {
    let signs = folded(sample);
    if signs.iter().all(|c| *c == '?') {
        return Err(CodeError::Empty);
    }
    if signs.len() > LONGEST {
        return Err(CodeError::TooLong(signs.len()));
    }
    let slots = slots(code, made)?;
    let (found, impossible) = readings(&slots, &signs);
    if !found.is_empty() {
        return Ok(found);
    }
    if let Some(read) = impossible {
        return Err(CodeError::NoSuchDate { code: sample.trim().to_owned(), read });
    }
    let mut did_you_mean = Vec::new();
    for at in 0..signs.len() {
        for other in signs.get(at).map(|c| look_alikes(*c)).unwrap_or_default() {
            let changed: Vec<char> = signs.iter().enumerate().map(|(i, c)| if i == at { other } else { *c }).collect();
            if let Some(first) = readings(&slots, &changed).0.first() {
                did_you_mean.push(format!("{} ({})", changed.iter().collect::<String>(), first.words));
            }
        }
    }
    Err(CodeError::NoMatch { code: sample.trim().to_owned(), name: code.name.clone(), pattern: code.pattern.clone(), did_you_mean })
}

/// What each of some sample codes means: for trying a code while it is being written.
pub fn try_codes(code: &DateCode, made: Years, samples: &[&str]) -> Vec<(String, Result<Vec<CodeReading>, CodeError>)> {
    samples.iter().map(|sample| ((*sample).to_owned(), read_code(code, made, sample))).collect()
}

/// What a code that was read says of the piece. None where it holds no year, or what it rests on was refuted.
pub fn evidence(code: &DateCode, sample: &str, readings: &[CodeReading]) -> Option<Evidence> {
    let mould = code.dates == CodeDates::Mould;
    let when = Spans::of(readings.iter().map(|r| if mould { Span { from: r.when.from, to: None } } else { r.when }));
    if when.hull().is_open() {
        return None;
    }
    let firmness = match code.how {
        How::InPaper => Firmness::Paper,
        How::Seen | How::Inferred => Firmness::Custom,
        How::Suspected => Firmness::Weak,
        How::Refuted => return None,
    };
    let words: Vec<&str> = readings.iter().map(|r| r.words.as_str()).collect();
    Some(Evidence {
        dates: if code.dates == CodeDates::Decoration { Thing::Decoration } else { Thing::Making },
        origin: Origin::DateCode,
        when,
        weighs: Weighs::Bounds,
        firmness,
        known: Known::Checked,
        says: if mould {
            say!("the code '{code}' reads {words}, the year of the mould", code = sample.trim(), words = words.join(say!(" or ")))
        } else {
            say!("the code '{code}' reads {words}", code = sample.trim(), words = words.join(say!(" or ")))
        },
        because: say!("{code}, as the key describes it ({how})", code = code.name, how = code.how.words()),
        source: say!("the house key").to_owned(),
    })
}

fn slots(code: &DateCode, made: Years) -> Result<Vec<Slot>, CodeError> {
    let bad = |why: String| CodeError::BadPattern { pattern: code.pattern.clone(), why };
    let mut out = Vec::new();
    let mut rest = code.pattern.as_str();
    while !rest.is_empty() {
        let (before, after) = rest.split_once('{').map_or((rest, None), |(before, after)| (before, Some(after)));
        let literal = folded(before);
        if !literal.is_empty() {
            out.push(Slot { name: String::new(), can_be: vec![(literal, Means::Nothing)], anything: false });
        }
        let Some(after) = after else { break };
        let (name, tail) = after.split_once('}').ok_or_else(|| bad("'{' is never closed (add '}')".to_owned()))?;
        let part = code.parts.get(name).ok_or_else(|| bad(format!("there is no part '{name}' (describe it in 'parts')")))?;
        let can_be = can_be(part, made).ok_or_else(|| CodeError::NoYears { name: code.name.clone() })?;
        out.push(Slot { name: name.to_owned(), can_be, anything: *part == CodePart::Anything });
        rest = tail;
    }
    if out.is_empty() {
        return Err(bad("it is empty (write its parts in curly brackets, like '{month}{year}')".to_owned()));
    }
    Ok(out)
}

/// The signs that a part can be. None where figures of a year cannot be placed.
fn can_be(part: &CodePart, made: Years) -> Option<Vec<(Vec<char>, Means)>> {
    let numbers = |most: u8, means: fn(u8) -> Means| {
        let both = (1..=most).flat_map(move |n| {
            let padded = (n < 10 && most > 9).then(|| (folded(&format!("0{n}")), means(n)));
            [Some((folded(&n.to_string()), means(n))), padded].into_iter().flatten()
        });
        both.collect::<Vec<_>>()
    };
    let table =
        |map: &indexmap::IndexMap<String, u8>, means: fn(u8) -> Means| map.iter().map(|(sign, n)| (folded(sign), means(*n))).collect();
    Some(match part {
        CodePart::YearLetters { letters, first, last } => {
            let letters = folded(letters);
            let around = i32::try_from(letters.len()).ok().filter(|n| *n > 0)?;
            let last = last.or(made.to).unwrap_or(first.saturating_add(around - 1)).min(first.saturating_add(999));
            let each = letters.iter().zip(*first..).flat_map(|(letter, year)| {
                (0..)
                    .map(move |turn| year + turn * around)
                    .take_while(move |year| *year <= last)
                    .map(move |year| (vec![*letter], Means::Year(year)))
            });
            each.collect()
        }
        CodePart::YearDigits(figures) => {
            let (from, to) = (made.from?, made.to?);
            let figures = usize::from((*figures).clamp(1, 4));
            let last_figures = |year: i32| {
                let all: Vec<char> = format!("{year:04}").chars().collect();
                all.iter().skip(all.len().saturating_sub(figures)).copied().collect::<Vec<char>>()
            };
            (from..=to.min(from.saturating_add(999))).map(|year| (last_figures(year), Means::Year(year))).collect()
        }
        CodePart::Years(map) => map.iter().flat_map(|(sign, years)| years.iter().map(|year| (folded(sign), Means::Year(*year)))).collect(),
        CodePart::MonthLetters(letters) => {
            folded(letters).into_iter().zip(1..=12).map(|(c, month)| (vec![c], Means::Month(month))).collect()
        }
        CodePart::MonthNumber => numbers(12, Means::Month),
        CodePart::Months(map) => table(map, Means::Month),
        CodePart::QuarterNumber => numbers(4, Means::Quarter),
        CodePart::Quarters(map) => table(map, Means::Quarter),
        CodePart::WeekNumber => numbers(53, Means::Week),
        CodePart::DayNumber => numbers(31, Means::Day),
        CodePart::Words(map) => map.iter().map(|(sign, words)| (folded(sign), Means::Words(words.clone()))).collect(),
        CodePart::Anything => Vec::new(),
    })
}

/// All readings, and what an impossible one reads.
fn readings(slots: &[Slot], signs: &[char]) -> (Vec<CodeReading>, Option<String>) {
    let mut found: Vec<CodeReading> = Vec::new();
    let mut impossible = None;
    let mut ways: Vec<(usize, Vec<Taken>)> = vec![(0, Vec::new())];
    for (number, slot) in slots.iter().enumerate() {
        let mut next = Vec::new();
        for (at, so_far) in &ways {
            let rest = signs.get(*at..).unwrap_or_default();
            let mut step = |taken: &[char], means: &Means| {
                if next.len() < MOST_READINGS {
                    let mut so_far = so_far.clone();
                    so_far.push((number, taken.to_vec(), means.clone()));
                    next.push((at + taken.len(), so_far));
                }
            };
            for (wanted, means) in &slot.can_be {
                if let Some(taken) = rest.get(..wanted.len())
                    && !wanted.is_empty()
                    && taken.iter().zip(wanted).all(|(c, w)| c == w || *c == '?')
                {
                    step(taken, means);
                }
            }
            if slot.anything {
                for taken in (1..=ANYTHING).filter_map(|n| rest.get(..n)) {
                    step(taken, &Means::Nothing);
                }
            }
        }
        ways = next;
    }
    for (at, parts) in ways {
        if at != signs.len() {
            continue;
        }
        let words = in_words(&parts);
        match span(&parts) {
            Some(when) => {
                let parts = parts.iter().filter_map(|(number, taken, means)| {
                    let name = slots.get(*number).map(|slot| slot.name.clone()).filter(|name| !name.is_empty())?;
                    Some((name, taken.iter().collect(), means.words()))
                });
                let reading = CodeReading { when, words, parts: parts.collect() };
                if !found.contains(&reading) {
                    found.push(reading);
                }
            }
            None => impossible = impossible.or(Some(words)),
        }
    }
    found.sort_by_key(|reading| (reading.when.first_day(), reading.when.last_day()));
    (found, impossible)
}

fn part<T>(parts: &[Taken], pick: impl Fn(&Means) -> Option<T>) -> Option<T> {
    parts.iter().find_map(|(_, _, means)| pick(means))
}

macro_rules! picked {
    ($parts:expr, $kind:ident) => {
        part($parts, |means| if let Means::$kind(n) = means { Some(*n) } else { None })
    };
}

/// When that is; none where there is no such date.
fn span(parts: &[Taken]) -> Option<Span> {
    let Some(year) = picked!(parts, Year) else { return Some(Span::OPEN) };
    let days = |from: Option<Edge>, to: Option<Edge>| Some(Span { from: Some(from?), to: Some(to?) });
    let month_end = |month: u8| Edge::day(year, month, 1).map(|edge| Edge::Day(edge.first_day().last_of_month()));
    if let Some(month) = picked!(parts, Month) {
        return match picked!(parts, Day) {
            Some(day) => Edge::day(year, month, day).map(Span::at),
            None => days(Edge::day(year, month, 1), month_end(month)),
        };
    }
    if let Some(quarter) = picked!(parts, Quarter) {
        return days(Edge::day(year, quarter.checked_mul(3)?.checked_sub(2)?, 1), month_end(quarter.checked_mul(3)?));
    }
    if let Some(week) = picked!(parts, Week) {
        let week = |day| ISOWeekDate::new(i16::try_from(year).ok()?, i8::try_from(week).ok()?, day).ok().map(|d| Edge::Day(d.date()));
        return days(week(Weekday::Monday), week(Weekday::Sunday));
    }
    Edge::year(year).map(Span::at)
}

fn in_words(parts: &[Taken]) -> String {
    let mut said = Vec::new();
    if let Some(day) = picked!(parts, Day) {
        said.push(say!(in "a day before its month", "{day}", day));
    }
    if let Some(month) = picked!(parts, Month) {
        said.push(month_name(month.cast_signed()).to_owned());
    }
    if let Some(quarter) = picked!(parts, Quarter) {
        said.push(
            match quarter {
                1 => say!("first quarter of"),
                2 => say!("second quarter of"),
                3 => say!("third quarter of"),
                4 => say!("fourth quarter of"),
                _ => say!("no quarter of"),
            }
            .to_owned(),
        );
    }
    if let Some(week) = picked!(parts, Week) {
        said.push(say!("week {week} of", week));
    }
    said.push(picked!(parts, Year).map_or_else(|| say!("no year").to_owned(), |year| year.to_string()));
    let mut words = said.join(" ");
    for (_, _, means) in parts {
        if let Means::Words(text) = means {
            words.push_str(", ");
            words.push_str(text);
        }
    }
    words
}
