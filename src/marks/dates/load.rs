//! Reading a file of rules: what can be used, and everything that is wrong, each with its place.

use super::evidence::{Firmness, Known};
use super::pattern::{Pattern, Written};
use super::rules::{Bound, Finds, Reads, Rule, Rules};
use super::span::{Edge, Span};
use crate::key::problem::nearest;
use crate::key::{Loose, Problem, ProblemKind, Step, When};
use crate::say;
use std::collections::BTreeSet;

/// Rules as they were read.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadedRules {
    /// What could be used.
    pub rules: Rules,
    /// Everything that is wrong, in the order of the lines. A rule with something wrong in it is not used.
    pub problems: Vec<Problem>,
}

impl LoadedRules {
    /// Reads the text of a file of rules that is called `name`.
    pub fn of_text(name: &str, text: &str) -> Self {
        Self::checked(name, text, &[])
    }

    /// Reads rules that are added to others, whose lists of names they may use; see [`Rules::with`].
    pub fn added_to(others: &Rules, name: &str, text: &str) -> Self {
        let own = Self::checked(name, text, &others.rules);
        Self { rules: others.with(&own.rules), problems: own.problems }
    }

    fn checked(name: &str, text: &str, others: &[Rule]) -> Self {
        let read = Loose::<Rule>::read(name, text, "dating rule");
        let known: Vec<Rule> = others.iter().chain(&read.entries).cloned().collect();
        let mut seen = BTreeSet::new();
        let mut problems = read.problems.clone();
        let mut rules = Vec::new();
        for (number, rule) in read.entries.iter().enumerate() {
            let mut found = Vec::new();
            if rule.id.trim().is_empty() {
                found.push((
                    vec![Step::Field("id")],
                    ProblemKind::NothingIn { what: say!("the id of a rule"), expected: say!("a short name") },
                ));
            } else if !seen.insert(rule.id.clone()) {
                found.push((vec![Step::Field("id")], ProblemKind::Twice { what: rule.id.clone(), list: say!("the rules") }));
            }
            check_finds(rule, &known, &mut found);
            for (at, bound) in rule.bounds.iter().enumerate() {
                check_bound(rule, bound, at, &mut found);
            }
            if found.is_empty() {
                rules.push(rule.clone());
            }
            problems.extend(found.into_iter().map(|(steps, kind)| read.problem(number, &steps, kind)));
        }
        problems.sort_by(|a, b| a.place.cmp(&b.place));
        Self { rules: Rules::new(rules), problems }
    }
}

type Found = Vec<(Vec<Step>, ProblemKind)>;

fn check_finds(rule: &Rule, known: &[Rule], found: &mut Found) {
    let finds =
        |at: Option<usize>| [Some(Step::Field("finds")), Some(Step::At(0)), at.map(Step::At)].into_iter().flatten().collect::<Vec<_>>();
    match &rule.finds {
        Finds::Words(words) => {
            if words.is_empty() {
                found.push((
                    finds(None),
                    ProblemKind::NothingIn { what: say!("the list of wordings"), expected: say!("one wording or more") },
                ));
            }
            for (at, text) in words.iter().enumerate() {
                for name in text.split('{').skip(1).map(|rest| rest.split('}').next().unwrap_or_default()) {
                    if Rules::names(known, name).is_none() {
                        let lists = known.iter().filter(|rule| matches!(rule.finds, Finds::Names(_))).map(|rule| rule.id.as_str());
                        let kind = ProblemKind::Unknown { of: say!("list of names"), id: name.to_owned(), nearest: nearest(name, lists) };
                        found.push((finds(Some(at)), kind));
                    }
                }
                if Pattern::new(0, &text.replace(['{', '}'], ""), Written::Out).is_none() {
                    found.push((
                        finds(Some(at)),
                        ProblemKind::NothingIn { what: say!("the wording"), expected: say!("letters, figures or a sign") },
                    ));
                }
            }
        }
        Finds::Names(names) if names.is_empty() => {
            found.push((finds(None), ProblemKind::NothingIn { what: say!("the list of names"), expected: say!("one name or more") }));
        }
        Finds::Diamond(table) => table.check(found),
        Finds::Names(_) | Finds::Classes(_) => {}
    }
    if let Reads::Number(table) = &rule.reads {
        table.check(found);
    }
}

fn check_bound(rule: &Rule, bound: &Bound, at: usize, found: &mut Found) {
    let here = |field: &'static str| vec![Step::Field("bounds"), Step::At(at), Step::Field(field)];
    for (field, when) in [("from", bound.from), ("to", bound.to)] {
        if let Some(when) = when
            && let Some(kind) = no_such_date(when)
        {
            found.push((here(field), kind));
        }
    }
    let span = Span::of_dates(bound.from, bound.to);
    if span.first_day() > span.last_day() {
        let words = |when: Option<When>| Span::of_dates(when, when).from.map_or_else(String::new, Edge::words);
        found.push((here("to"), ProblemKind::Backwards { what: say!("the dates"), from: words(bound.from), to: words(bound.to) }));
    }
    if bound.from.is_none() && bound.to.is_none() && rule.reads == Reads::Nothing && !matches!(rule.finds, Finds::Diamond(_)) {
        let bounds = vec![Step::Field("bounds"), Step::At(at)];
        found.push((bounds, ProblemKind::NothingIn { what: say!("the bound"), expected: say!("'from', 'to' or both") }));
    }
    if matches!(bound.known, Known::FromMemory | Known::Disputed) && bound.firmness != Firmness::Weak {
        let kind = ProblemKind::WrongSort {
            found: format!("'{:?}'", bound.firmness),
            expected: "Weak".to_owned(),
            advice: say!(" (what is from memory or disputed is never more)").to_owned(),
        };
        found.push((here("firmness"), kind));
    }
    if bound.known == Known::Checked && bound.source.trim().is_empty() {
        let bounds = vec![Step::Field("bounds"), Step::At(at)];
        found.push((
            bounds,
            ProblemKind::NothingIn { what: say!("the source of a checked bound"), expected: say!("where it is published") },
        ));
    }
}

/// What is wrong with a date that is written down; nothing where it can be.
fn no_such_date(when: When) -> Option<ProblemKind> {
    let written = match when {
        When::Day(year, month, day) => format!("{day}.{month}.{year}"),
        When::Month(year, month) => format!("month {month} of {year}"),
        When::Year(year) | When::Circa(year) => format!("year {year}"),
        When::Between(from, to) => format!("{from} to {to}"),
    };
    let span = Span::of_dates(Some(when), Some(when));
    (span.from.is_none() || span.to.is_none()).then_some(ProblemKind::NoSuchDate { date: written })
}
