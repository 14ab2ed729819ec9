//! What a person says of the dates of a piece, read by the rules and by the codes of a key.

use super::code::{evidence as code_evidence, read_code};
use super::diamond::Corners;
use super::evidence::{Evidence, MarkPut};
use super::known::{of_mark, of_sale};
use super::read::{TextRead, Unread};
use super::rules::Rules;
use super::span::{Edge, Spans};
use crate::key::Mark;
use crate::say;
use serde::{Deserialize, Serialize};

/// The rule by which registered numbers are read.
const REGISTERED: &str = "registered-number";

fn no_date() -> &'static str {
    say!("it is no date (write a year, 1957, or a day of the calendar, 1957-04-07)")
}

/// One thing that was said, as it was typed, so that it can be read again by other rules.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum Said {
    /// Words of a mark: 'made in', 'dishwasher safe'.
    Words(String),
    /// A number of a registered design.
    Number(String),
    /// The corners of a diamond: `class IV, top K, left H, right 7, bottom 2`.
    Diamond(String),
    /// A date code of the house.
    Code(String),
    /// A day or a year of sale: `1957`, `1957-04-07`.
    Sold(String),
}

impl Said {
    /// As it was typed.
    pub fn text(&self) -> &str {
        match self {
            Self::Words(text) | Self::Number(text) | Self::Diamond(text) | Self::Code(text) | Self::Sold(text) => text,
        }
    }

    /// Whether it can be read at all, whatever it says.
    ///
    /// # Errors
    /// Why a diamond's corners or a sale's date are none, in words.
    pub fn check(&self) -> Result<(), String> {
        match self {
            Self::Diamond(text) => text.parse::<Corners>().map(drop).map_err(|error| error.to_string()),
            Self::Sold(text) => day_or_year(text).map(drop).ok_or_else(|| no_date().to_owned()),
            Self::Words(_) | Self::Number(_) | Self::Code(_) => Ok(()),
        }
    }

    /// What kind of thing it is: 'the words', 'the diamond'.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Words(_) => say!("the words"),
            Self::Number(_) => say!("the registered number"),
            Self::Diamond(_) => say!("the diamond"),
            Self::Code(_) => say!("the date code"),
            Self::Sold(_) => say!("the sale"),
        }
    }
}

/// What was said, read: evidence, and what could not be read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Gathered {
    /// The evidence, in the order in which it was said.
    pub evidence: Vec<Evidence>,
    /// What says nothing, and why.
    pub unread: Vec<Unread>,
    /// What is to be said besides.
    pub remarks: Vec<String>,
    /// When the mark came onto the piece.
    pub put: MarkPut,
}

impl Gathered {
    /// Reads all that was said. `mark` is the mark of the piece where it is known, `marks` are those of the key, whose codes are tried where it
    /// is not.
    pub fn of(rules: &Rules, marks: &[Mark], mark: Option<&Mark>, said: &[Said]) -> Self {
        let mut all = Self::default();
        if let Some(mark) = mark {
            all.mark(mark);
        }
        for one in said {
            match one {
                Said::Words(text) => all.text(rules.read(text)),
                Said::Number(number) => all.text(rules.read_number(REGISTERED, number)),
                Said::Diamond(text) => all.diamond(rules, text),
                Said::Code(code) => all.code(code, marks, mark),
                Said::Sold(text) => match day_or_year(text) {
                    Some(edge) => all.evidence.push(of_sale(edge, say!("as given"))),
                    None => all.unread.push(Unread { text: text.clone(), why: no_date().to_owned(), did_you_mean: Vec::new() }),
                },
            }
        }
        all
    }

    /// The years of a mark, and when it came onto the piece.
    fn mark(&mut self, mark: &Mark) {
        let (years, put) = of_mark(mark);
        self.evidence.extend(years);
        self.put = put;
        if !mark.date_code.is_empty() {
            self.remarks.push(say!("of the date code of '{mark}' the key says: {what}", mark = mark.name, what = mark.date_code));
        }
    }

    fn text(&mut self, read: TextRead) {
        for reading in read.readings {
            if reading.doubtful > 0 {
                self.remarks.push(say!("'{read}' was taken for '{taken_for}'", read = reading.read, taken_for = reading.taken_for));
            }
            if !reading.note.is_empty() {
                self.remarks.push(say!("'{read}': {when}", read = reading.read, when = reading.note));
            }
            self.evidence.extend(reading.evidence);
        }
        self.unread.extend(read.unread);
    }

    fn diamond(&mut self, rules: &Rules, text: &str) {
        let corners = match text.parse::<Corners>() {
            Ok(corners) => corners,
            Err(error) => {
                self.unread.push(Unread { text: text.to_owned(), why: error.to_string(), did_you_mean: Vec::new() });
                return;
            }
        };
        match rules.read_diamond(&corners) {
            Ok(diamond) => {
                self.remarks.extend(diamond.ambiguity().map(|ways| say!("the diamond: {ways}", ways)));
                self.remarks.extend(diamond.remarks.iter().map(|remark| say!("the diamond: {remark}", remark)));
                self.evidence.push(diamond.evidence);
            }
            Err(unread) => self.unread.push(unread),
        }
    }

    /// A date code, by the codes of the mark, or of every mark where none is given. Marks that each read it give one piece of evidence.
    fn code(&mut self, sample: &str, marks: &[Mark], mark: Option<&Mark>) {
        let tried: Vec<&Mark> = mark.map_or_else(|| marks.iter().collect(), |mark| vec![mark]);
        let mut found: Option<Evidence> = None;
        let mut why = Vec::new();
        let mut dateless = Vec::new();
        for mark in tried {
            for code in &mark.codes {
                match read_code(code, mark.made, sample) {
                    Err(e) => why.push(e.to_string()),
                    Ok(readings) => {
                        let Some(one) = code_evidence(code, sample, &readings) else {
                            dateless.extend(
                                readings
                                    .first()
                                    .map(|reading| say!("the code '{code}' reads {words}", code = sample, words = reading.words)),
                            );
                            continue;
                        };
                        found = Some(match found {
                            None => one,
                            Some(other) => Evidence {
                                when: Spans::of(other.when.list().iter().chain(one.when.list()).copied()),
                                firmness: other.firmness.max(one.firmness),
                                says: say!("{says}, or by '{mark}': {other}", says = other.says, mark = mark.name, other = one.says),
                                ..other
                            },
                        });
                    }
                }
            }
        }
        let (evidence, no_date) = (found.is_some(), !dateless.is_empty());
        self.evidence.extend(found);
        self.remarks.extend(dateless);
        if !evidence && !no_date {
            why.dedup();
            let why = match why.first() {
                None => say!("no code is described of this mark, so nothing follows (describe it under 'codes' of the mark)").to_owned(),
                Some(first) if why.len() == 1 => first.clone(),
                Some(_) => say!("no code of the {n} marks fits: {why}", n = marks.len(), why = why.join("; ")),
            };
            self.unread.push(Unread { text: sample.to_owned(), why, did_you_mean: Vec::new() });
        }
    }
}

fn day_or_year(text: &str) -> Option<Edge> {
    let text = text.trim();
    if let Ok(year) = text.parse::<i32>() {
        return Edge::year(year).filter(|_| (1500..=2200).contains(&year));
    }
    text.parse::<jiff::civil::Date>().ok().map(Edge::Day)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::indexing_slicing, reason = "tests")]
    use super::*;
    use crate::marks::dates::Dating;

    fn gathered(said: &[Said]) -> Gathered {
        Gathered::of(Rules::published(), &crate::key::builtin::demo().key.marks, None, said)
    }

    #[test]
    fn a_diamond_and_a_sale_bound_the_making_from_both_sides() {
        let all = gathered(&[Said::Diamond("class IV, top K, left H, right 7, bottom 2".to_owned()), Said::Sold("1901".to_owned())]);
        assert_eq!(all.unread, []);
        let made = Dating::of(all.evidence, all.put).made.when.hull();
        assert_eq!((made.from.map(Edge::iso), made.to.map(Edge::iso)), (Some("1857-04-07".to_owned()), Some("1901".to_owned())));
    }

    #[test]
    fn what_cannot_be_read_is_kept_with_the_reason() {
        let all = gathered(&[Said::Sold("last week".to_owned()), Said::Diamond("hat".to_owned()), Said::Code("§§§".to_owned())]);
        assert_eq!(all.evidence, []);
        assert_eq!(all.unread.len(), 3);
        assert_eq!(all.unread[0].why, "it is no date (write a year, 1957, or a day of the calendar, 1957-04-07)");
        assert_eq!(all.unread[1].why, "'hat' names no place of a diamond (write: class IV, top K, left H, right 7, bottom 2)");
    }
}
