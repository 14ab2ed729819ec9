//! British registration marks: a diamond with the class of goods in a circle on top and a letter or number in each corner.
//!
//! The corners are taken as they are seen; which layout it is follows from them. Tables, exceptions and classes are data
//! (`assets/dating.ron`).

use super::evidence::{Evidence, Firmness, Known, Origin, Thing, Weighs};
use super::read::{Unread, unread};
use super::rules::{Rule, Rules};
use super::span::{Edge, Span, Spans, month_name};
use crate::key::{ProblemKind, Step};
use crate::marks::look_alikes;
use crate::words::of_data;
use crate::{say, say_count};
use serde::Deserialize;
use std::fmt;
use thiserror::Error;

/// A layout of the diamond, as data.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct DiamondTable {
    /// What stands in the corners top, left, right, bottom.
    pub(super) corners: (Holds, Holds, Holds, Holds),
    /// The letters of the years.
    pub(super) years: Vec<(char, i32)>,
    /// The letters of the months.
    pub(super) months: Vec<(char, u8)>,
    /// Letters that only some tables give for a month, with what is to be said of that.
    #[serde(default)]
    pub(super) odd_months: Vec<(char, u8, String)>,
    /// What was stamped otherwise.
    #[serde(default)]
    pub(super) exceptions: Vec<Exception>,
    /// Before this month of its first year it is suspect: year, month and what is to be said of that.
    #[serde(default)]
    pub(super) suspect_before: Option<(i32, u8, String)>,
}

/// What a corner holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub(super) enum Holds {
    Year,
    Month,
    Day,
    Parcel,
}

/// A known mistake of the registry.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Exception {
    /// The letters as they were stamped.
    pub(super) year: char,
    pub(super) month: char,
    /// The first and last day for which that is known.
    pub(super) days: (u8, u8),
    /// What they mean.
    pub(super) is: (i32, u8),
    /// What is to be said of it.
    pub(super) says: String,
}

/// What is seen of a diamond, corner by corner, the class circle on top.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Corners {
    /// The number in the circle.
    pub class: Seen,
    /// The top corner.
    pub top: Seen,
    /// The left corner.
    pub left: Seen,
    /// The right corner.
    pub right: Seen,
    /// The bottom corner.
    pub bottom: Seen,
}

/// What is seen in one place: a text, or nothing that can be read.
pub type Seen = Option<String>;

/// Why corners were not understood.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum CornersError {
    /// A part of the text that names no corner.
    #[error("'{0}' names no place of a diamond (write: class IV, top K, left H, right 7, bottom 2)")]
    NoPlace(String),
    /// A corner given twice.
    #[error("'{0}' is given twice (give each corner once)")]
    Twice(&'static str),
    /// Nothing was given.
    #[error("no corner of the diamond is given (write: class IV, top K, left H, right 7, bottom 2)")]
    Nothing,
}

impl std::str::FromStr for Corners {
    type Err = CornersError;

    /// Reads `class IV, top K, left H, right 7, bottom 2`, in any order; what can't be read is left out or given as `?`.
    fn from_str(text: &str) -> Result<Self, CornersError> {
        let mut corners = Self::default();
        let mut given: Vec<&'static str> = Vec::new();
        for piece in text.split([',', ';', '\n']).map(str::trim).filter(|piece| !piece.is_empty()) {
            let (word, value) = piece.split_once([' ', '=', ':']).unwrap_or((piece, ""));
            let value = value.trim_start_matches([' ', '=', ':']).trim();
            let known = ["class", "top", "left", "right", "bottom"];
            let Some(name) = known.into_iter().find(|name| word.eq_ignore_ascii_case(name)) else {
                return Err(CornersError::NoPlace(piece.chars().take(40).collect()));
            };
            if given.contains(&name) {
                return Err(CornersError::Twice(name));
            }
            given.push(name);
            let seen = (!value.is_empty() && value != "?").then(|| value.chars().take(12).collect());
            match name {
                "class" => corners.class = seen,
                "top" => corners.top = seen,
                "left" => corners.left = seen,
                "right" => corners.right = seen,
                _ => corners.bottom = seen,
            }
        }
        if corners.each().iter().all(|(_, seen)| seen.is_none()) { Err(CornersError::Nothing) } else { Ok(corners) }
    }
}

impl Corners {
    fn each(&self) -> [(&'static str, &Seen); 4] {
        [("top", &self.top), ("left", &self.left), ("right", &self.right), ("bottom", &self.bottom)]
    }

    fn with(&self, place: &str, seen: String) -> Self {
        let mut other = self.clone();
        match place {
            "top" => other.top = Some(seen),
            "left" => other.left = Some(seen),
            "right" => other.right = Some(seen),
            _ => other.bottom = Some(seen),
        }
        other
    }
}

impl fmt::Display for Corners {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut parts: Vec<String> = self.class.iter().map(|class| say!("class {class}", class)).collect();
        parts.extend(self.each().iter().filter_map(|(place, seen)| seen.as_ref().map(|seen| format!("{place} {seen}"))));
        f.write_str(&parts.join(", "))
    }
}

/// One way to read a diamond.
#[derive(Debug, Clone, PartialEq)]
pub struct Registration {
    /// The day, or as much of it as can be read, on which the design was registered.
    pub when: Span,
    /// The parcel or bundle.
    pub parcel: Option<u32>,
    /// What is to be said of this reading.
    pub remark: String,
}

impl Registration {
    /// '7 April 1857', 'in 1857'.
    pub fn words(&self) -> String {
        match (self.when.from, self.when.to) {
            (Some(from @ Edge::Day(_)), to) if Some(from) == to => from.words(),
            _ => self.when.words(),
        }
    }
}

/// What a diamond says.
#[derive(Debug, Clone, PartialEq)]
pub struct Diamond {
    /// The rule that read it.
    pub rule: String,
    /// The class of goods, in words. None where it can't be read or is none.
    pub goods: Option<String>,
    /// Every reading, the likeliest first.
    pub registered: Vec<Registration>,
    /// What is to be said besides.
    pub remarks: Vec<String>,
    /// What follows for the piece.
    pub evidence: Evidence,
}

/// What was taken from the corners by one layout.
#[derive(Debug, Clone, Copy, Default)]
struct Taken {
    year: Option<char>,
    month: Option<char>,
    day: Option<u8>,
    parcel: Option<u32>,
}

impl Rules {
    /// Reads a diamond from its corners as they are seen.
    ///
    /// # Errors
    /// Where no layout makes sense of them: why, and what they may have been misread from.
    pub fn read_diamond(&self, corners: &Corners) -> Result<Diamond, Unread> {
        let mut failed: Vec<(usize, String)> = Vec::new();
        let mut found = Vec::new();
        for (rule, table) in self.diamonds() {
            match table.read(corners) {
                Ok(registered) => found.push((rule, registered)),
                Err(why) => failed.push(why),
            }
        }
        let Some((rule, _)) = found.first() else {
            // The layout that most corners go with says why.
            let why =
                failed.iter().rev().max_by_key(|(sorts, _)| *sorts).map_or(say!("there is no rule for diamonds"), |(_, why)| why.as_str());
            let mut none = unread(&corners.to_string(), why);
            none.did_you_mean = self.misread(corners);
            return Err(none);
        };
        let rule = *rule;
        let registered: Vec<Registration> = found.iter().flat_map(|(_, registered)| registered.iter().cloned()).collect();
        Ok(self.told(corners, rule, registered))
    }

    fn told(&self, corners: &Corners, rule: &Rule, registered: Vec<Registration>) -> Diamond {
        let mut remarks: Vec<String> = registered.iter().map(|r| r.remark.clone()).filter(|remark| !remark.is_empty()).collect();
        remarks.dedup();
        let class = corners.class.as_deref().map(roman);
        let goods = class.as_deref().and_then(|class| self.class(class)).map(str::to_owned);
        if let (Some(class), Some(goods)) = (&class, &goods)
            && class != "IV"
        {
            remarks.push(say!("class {class} is {goods}: ceramics are class IV", class, goods));
        } else if let (Some(class), None) = (&class, &goods) {
            remarks.push(say!("there is no class '{class}' (ceramics are class IV)", class));
        }
        let readings: Vec<String> = registered.iter().map(Registration::words).collect();
        let parcel = registered.first().and_then(|r| r.parcel).map_or_else(String::new, |parcel| say!(", parcel {parcel}", parcel));
        let what = goods.as_ref().map_or_else(String::new, |goods| format!("{goods}, "));
        let since = Spans::of(registered.iter().map(|r| Span { from: r.when.from, to: None }));
        let bound = rule.bounds.first();
        let evidence = Evidence {
            dates: Thing::Making,
            origin: Origin::Diamond,
            says: say!(
                "the diamond reads {what}{readings}{parcel}, so the piece is of {since}",
                what,
                readings = readings.join(say!(" or ")),
                parcel,
                since = since.words()
            ),
            when: since,
            weighs: Weighs::Bounds,
            firmness: bound.map_or(Firmness::Weak, |b| b.firmness),
            known: bound.map_or(Known::FromMemory, |b| b.known),
            because: bound.map_or_else(String::new, |b| of_data(&b.because).into_owned()),
            source: bound.map_or_else(String::new, |b| of_data(&b.source).into_owned()),
        };
        Diamond { rule: rule.id.clone(), goods, registered, remarks, evidence }
    }

    /// Corners that differ in one letter or figure that is easily misread, and that make sense.
    fn misread(&self, corners: &Corners) -> Vec<String> {
        let mut out: Vec<String> = Vec::new();
        for (place, seen) in corners.each() {
            let Some(seen) = seen else { continue };
            for (at, c) in seen.chars().enumerate() {
                for other in look_alikes(c) {
                    let changed: String = seen.chars().enumerate().map(|(i, c)| if i == at { other } else { c }).collect();
                    let tried = corners.with(place, changed.clone());
                    for (_, table) in self.diamonds() {
                        if let Ok(registered) = table.read(&tried)
                            && let Some(first) = registered.first()
                        {
                            out.push(say!("{place} {changed} for {seen}: {reading}", place, changed, seen, reading = first.words()));
                        }
                    }
                }
            }
        }
        out
    }
}

impl DiamondTable {
    /// Every way in which this layout reads the corners.
    ///
    /// # Errors
    /// How many corners are of the right sort, and why it does not.
    fn read(&self, corners: &Corners) -> Result<Vec<Registration>, (usize, String)> {
        let (top, left, right, bottom) = self.corners;
        let mut taken = Taken::default();
        let mut wrong = Vec::new();
        let mut right_sort = 0;
        for ((place, seen), holds) in corners.each().into_iter().zip([top, left, right, bottom]) {
            let Some(seen) = seen else { continue };
            match taken.take(holds, seen) {
                Ok(()) => right_sort += 1,
                Err(why) => wrong.push(format!("{place} '{seen}' {why}")),
            }
        }
        if let Some(first) = wrong.into_iter().next() {
            return Err((right_sort, first));
        }
        self.registered(taken).map_err(|why| (right_sort, why))
    }

    fn registered(&self, taken: Taken) -> Result<Vec<Registration>, String> {
        let mut out = Vec::new();
        let mut why = String::new();
        match self.by_the_tables(taken) {
            Ok(registration) => out.push(registration),
            Err(because) => why = because,
        }
        for exception in self.exceptions.iter().filter(|e| taken.year == Some(e.year) && taken.month == Some(e.month)) {
            let (first, last) = exception.days;
            let (year, month) = exception.is;
            if taken.day.is_some_and(|day| day < first || day > last) {
                why = say!(
                    "year {year} with month {month} is known for days {first} to {last} only ({says})",
                    year = exception.year,
                    month = exception.month,
                    first,
                    last,
                    says = of_data(&exception.says)
                );
                continue;
            }
            let (from, to) = taken.day.map_or((first, last), |day| (day, day));
            if let (Some(from), Some(to)) = (Edge::day(year, month, from), Edge::day(year, month, to)) {
                let when = Span { from: Some(from), to: Some(to) };
                out.push(Registration { when, parcel: taken.parcel, remark: of_data(&exception.says).into_owned() });
            }
        }
        if out.is_empty() { Err(why) } else { Ok(out) }
    }

    fn by_the_tables(&self, taken: Taken) -> Result<Registration, String> {
        let first = self.years.iter().map(|(_, year)| *year).min().unwrap_or(0);
        let last = self.years.iter().map(|(_, year)| *year).max().unwrap_or(0);
        let mut remark = String::new();
        let year = match taken.year {
            None => None,
            Some(letter) => Some(self.years.iter().find(|(l, _)| *l == letter).map(|(_, year)| *year).ok_or_else(|| {
                say!(
                    "'{letter}' is no year letter of {first} to {last} (look again at the letter and the class circle, which is on top)",
                    letter,
                    first,
                    last
                )
            })?),
        };
        let month = match taken.month {
            None => None,
            Some(letter) => match (self.months.iter().find(|(l, _)| *l == letter), self.odd_months.iter().find(|(l, ..)| *l == letter)) {
                (Some((_, month)), _) => Some(*month),
                (None, Some((_, month, says))) => {
                    remark = of_data(says).into_owned();
                    Some(*month)
                }
                (None, None) => return Err(say!("'{letter}' is never a month letter (look again at the letter)", letter)),
            },
        };
        let when = match (year, month, taken.day) {
            (Some(year), Some(month), Some(day)) => {
                let edge = Edge::day(year, month, day).ok_or_else(|| {
                    let days = Edge::day(year, month, 1).map_or(0, |edge| edge.first_day().days_in_month());
                    say!(
                        "there is no {day} {month} {year}, the month has {days} days (look again at the day and the month letter)",
                        day,
                        month = month_name(month.cast_signed()),
                        year,
                        days
                    )
                })?;
                Span::at(edge)
            }
            (Some(year), Some(month), None) => {
                let last = Edge::day(year, month, 1).map(|edge| Edge::Day(edge.first_day().last_of_month()));
                Span { from: Edge::day(year, month, 1), to: last }
            }
            (Some(year), None, _) => Edge::year(year).map_or(Span::OPEN, Span::at),
            (None, ..) if taken.month.is_some() || taken.day.is_some() || taken.parcel.is_some() => {
                Span { from: Edge::year(first), to: Edge::year(last) }
            }
            (None, ..) => return Err(say!("no corner can be read").to_owned()),
        };
        if let (Some((suspect_year, suspect_month, says)), Some(year), Some(month)) = (&self.suspect_before, year, month)
            && year == *suspect_year
            && month < *suspect_month
        {
            remark = of_data(says).into_owned();
        }
        Ok(Registration { when, parcel: taken.parcel, remark })
    }

    pub(super) fn check(&self, found: &mut Vec<(Vec<Step>, ProblemKind)>) {
        let steps = |field: &'static str, at: usize| vec![Step::Field("finds"), Step::Field(field), Step::At(at)];
        for (at, (letter, year)) in self.years.iter().enumerate() {
            if self.years.iter().take(at).any(|(other, of)| other == letter || of == year) {
                found.push((steps("years", at), ProblemKind::Twice { what: format!("{letter} {year}"), list: say!("the year letters") }));
            }
        }
        for (at, (letter, month)) in self.months.iter().enumerate() {
            if self.months.iter().take(at).any(|(other, of)| other == letter || of == month) {
                found
                    .push((steps("months", at), ProblemKind::Twice { what: format!("{letter} {month}"), list: say!("the month letters") }));
            }
            if !(1..=12).contains(month) {
                found.push((steps("months", at), ProblemKind::NoSuchDate { date: format!("month {month}") }));
            }
        }
        for (at, exception) in self.exceptions.iter().enumerate() {
            let (year, month) = exception.is;
            if Edge::day(year, month, exception.days.0).is_none() || Edge::day(year, month, exception.days.1).is_none() {
                let date = format!("{}.{month}.{year}", exception.days.1);
                found.push((steps("exceptions", at), ProblemKind::NoSuchDate { date }));
            }
        }
    }
}

impl Taken {
    fn take(&mut self, holds: Holds, seen: &str) -> Result<(), String> {
        let letter = || {
            let mut chars = seen.chars();
            match (chars.next(), chars.next()) {
                (Some(c), None) if c.is_ascii_alphabetic() => Some(c.to_ascii_uppercase()),
                _ => None,
            }
        };
        let number = || seen.parse::<u32>().ok();
        match holds {
            Holds::Year => self.year = Some(letter().ok_or(say!("is no letter, and the letter of the year was expected there"))?),
            Holds::Month => self.month = Some(letter().ok_or(say!("is no letter, and the letter of the month was expected there"))?),
            Holds::Day => {
                let day = number().ok_or(say!("is no number, and the day was expected there"))?;
                let day = u8::try_from(day).ok().filter(|day| (1..=31).contains(day));
                self.day = Some(day.ok_or(say!("is no day of a month (1 to 31 was expected there)"))?);
            }
            Holds::Parcel => self.parcel = Some(number().ok_or(say!("is no number, and the parcel was expected there"))?),
        }
        Ok(())
    }
}

/// A class as it is printed: '4' is IV.
fn roman(class: &str) -> String {
    const ROMAN: [&str; 13] = ["I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI", "XII", "XIII"];
    let upper = class.trim().to_ascii_uppercase();
    upper.parse::<usize>().ok().and_then(|n| ROMAN.get(n.checked_sub(1)?)).map_or(upper, |roman| (*roman).to_owned())
}

impl Diamond {
    /// 'read in 2 ways', nothing where there is one.
    pub fn ambiguity(&self) -> Option<String> {
        (self.registered.len() > 1)
            .then(|| say_count!(n = self.registered.len(), "it can be read in {n} way", "it can be read in {n} ways"))
    }
}
