//! House date codes.

use super::Sink;
use super::entries::papers;
use super::index::Index;
use crate::key::model::{CodePart, DateCode, Mark};
use crate::key::problem::{ProblemKind, nearest};
use crate::key::text::Step;
use crate::say;
use indexmap::IndexMap;

pub(super) fn check(mark: &Mark, index: &Index<'_>, sink: &mut Sink) {
    for (at, code) in mark.codes.iter().enumerate() {
        let here = [Step::Field("codes"), Step::At(at)];
        papers(&code.papers, &here, index, sink);
        pattern(mark, code, &here, sink);
        for (name, part) in &code.parts {
            let steps = [&here[..], &[Step::Field("parts"), Step::Key(name.clone())]].concat();
            check_part(mark, part, &steps, sink);
        }
    }
}

fn pattern(mark: &Mark, code: &DateCode, here: &[Step], sink: &mut Sink) {
    let steps = [here, &[Step::Field("pattern")]].concat();
    if code.pattern.trim().is_empty() {
        sink.push(&steps, ProblemKind::Empty { of: say!("mark"), id: mark.id.to_string(), field: "pattern of a date code" });
    }
    for after in code.pattern.split('{').skip(1) {
        let Some((name, _)) = after.split_once('}') else {
            let found = format!("'{{{after}'");
            sink.push(
                &steps,
                ProblemKind::WrongSort { found, expected: say!("the name of a part and '}'").to_owned(), advice: String::new() },
            );
            continue;
        };
        if !code.parts.contains_key(name) {
            let nearest = nearest(name, code.parts.keys().map(String::as_str));
            sink.push(&steps, ProblemKind::Unknown { of: say!("part of the code"), id: name.to_owned(), nearest });
        }
    }
}

fn check_part(mark: &Mark, part: &CodePart, steps: &[Step], sink: &mut Sink) {
    let mut bounds = |what: &'static str, found: String, expected: &'static str| {
        sink.push(steps, ProblemKind::OutOfBounds { what, found, expected });
    };
    let table = |map: &IndexMap<String, u8>, most: u8| map.values().copied().find(|n| !(1..=most).contains(n));
    match part {
        CodePart::YearDigits(figures) if !(1..=4).contains(figures) => {
            bounds(say!("the number of figures of a year"), figures.to_string(), say!("1 to 4"));
        }
        CodePart::YearDigits(_) if mark.made.from.is_none() || mark.made.to.is_none() => {
            let expected = say!("'from' and 'to', by which the figures of a year are placed");
            sink.push(steps, ProblemKind::NothingIn { what: say!("the span of years of this mark"), expected });
        }
        CodePart::YearLetters { letters, first, last } => {
            if letters.trim().is_empty() {
                sink.push(steps, ProblemKind::NothingIn { what: say!("the row of letters"), expected: say!("one letter or more") });
            }
            if let Some(last) = last
                && last < first
            {
                let (from, to) = (first.to_string(), last.to_string());
                sink.push(steps, ProblemKind::Backwards { what: say!("the years"), from, to });
            }
            twice(letters, steps, sink);
        }
        CodePart::MonthLetters(letters) => {
            let count = letters.chars().filter(|c| c.is_alphanumeric()).count();
            if count != 12 {
                bounds(say!("the number of month letters"), count.to_string(), say!("12, January first"));
            }
            twice(letters, steps, sink);
        }
        CodePart::Months(map) => {
            if let Some(month) = table(map, 12) {
                bounds(say!("the month"), month.to_string(), say!("1 to 12"));
            }
        }
        CodePart::Quarters(map) => {
            if let Some(quarter) = table(map, 4) {
                bounds(say!("the quarter"), quarter.to_string(), say!("1 to 4"));
            }
        }
        CodePart::YearDigits(_)
        | CodePart::Years(_)
        | CodePart::MonthNumber
        | CodePart::QuarterNumber
        | CodePart::WeekNumber
        | CodePart::DayNumber
        | CodePart::Words(_)
        | CodePart::Anything => {}
    }
}

fn twice(letters: &str, steps: &[Step], sink: &mut Sink) {
    let letters: Vec<char> = letters.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_uppercase).collect();
    if let Some((_, letter)) = letters.iter().enumerate().find(|(at, letter)| letters.iter().take(*at).any(|other| other == *letter)) {
        sink.push(steps, ProblemKind::Twice { what: letter.to_string(), list: say!("the letters of the code") });
    }
}
