//! Reading a file of rules: what can be used, and everything that is wrong, each with its place.

use super::rules::{BUILT_IN, Basis, Rule, RuleKind, Rules};
use crate::key::{Loose, Problem, ProblemKind, Step};
use crate::say;
use std::collections::BTreeSet;

/// Rules as they were read.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadedRules {
    /// What could be used.
    pub rules: Rules,
    /// Everything that is wrong, in the order of the lines. An entry with something wrong in it is not used.
    pub problems: Vec<Problem>,
}

impl LoadedRules {
    /// Reads the text of a file of rules that stands alone; `name` is what it is called.
    pub fn of_text(name: &str, text: &str) -> Self {
        let (entries, problems) = read(name, text);
        Self { rules: Rules::new(entries), problems }
    }

    /// Reads the text of a file whose entries take the place of the built-in ones of the same id, and are added to the others.
    pub fn over_built_in(name: &str, text: &str) -> Self {
        let (mut entries, _) = read("pairing.ron", BUILT_IN);
        let (own, problems) = read(name, text);
        for rule in own {
            match entries.iter_mut().find(|known| known.id == rule.id) {
                Some(known) => *known = rule,
                None => entries.push(rule),
            }
        }
        Self { rules: Rules::new(entries), problems }
    }
}

fn read(name: &str, text: &str) -> (Vec<Rule>, Vec<Problem>) {
    let read = Loose::<Rule>::read(name, text, "pairing rule");
    let mut problems = read.problems.clone();
    let mut seen = BTreeSet::new();
    let mut rules = Vec::new();
    for (number, rule) in read.entries.iter().enumerate() {
        let mut found = Vec::new();
        if rule.id.trim().is_empty() {
            found.push(("id", ProblemKind::NothingIn { what: say!("the id of a rule"), expected: say!("a short name") }));
        } else if !seen.insert(rule.id.clone()) {
            found.push(("id", ProblemKind::Twice { what: rule.id.clone(), list: say!("the rules") }));
        }
        if rule.basis == Basis::Published && rule.source.trim().is_empty() {
            found.push((
                "basis",
                ProblemKind::NothingIn { what: say!("the source of a published rule"), expected: say!("where it is published") },
            ));
        }
        found.extend(wrong(&rule.rule).map(|kind| ("rule", kind)));
        if found.is_empty() {
            rules.push(rule.clone());
        }
        problems.extend(found.into_iter().map(|(field, kind)| read.problem(number, &[Step::Field(field)], kind)));
    }
    problems.sort_by(|a, b| a.place.cmp(&b.place));
    (rules, problems)
}

/// What a number of a rule may be.
#[derive(Clone, Copy)]
enum May {
    /// Above 0, up to 1.
    Share,
    /// 0 to 1000 mm.
    Length,
    /// Above 0, up to 1000 mm.
    Spread,
    /// 0 to 20.
    Percent,
    /// 0 to a million.
    Worth,
}

impl May {
    fn check(self, name: &str, x: f64) -> Option<ProblemKind> {
        let (good, expected) = match self {
            Self::Share => (x > 0.0 && x <= 1.0, "a share above 0, at most 1"),
            Self::Length => ((0.0..=1000.0).contains(&x), "a length from 0 to 1000 mm"),
            Self::Spread => (x > 0.0 && x <= 1000.0, "a length above 0, at most 1000 mm"),
            Self::Percent => ((0.0..=20.0).contains(&x), "percent from 0 to 20"),
            Self::Worth => ((0.0..=1e6).contains(&x), "a number of pieces from 0 to a million"),
        };
        (!good).then(|| ProblemKind::WrongSort { found: format!("'{name}: {x}'"), expected: expected.to_owned(), advice: String::new() })
    }
}

/// The first thing that is wrong with the numbers of a rule.
fn wrong(rule: &RuleKind) -> Option<ProblemKind> {
    let first = |numbers: &[(&str, f64, May)]| numbers.iter().find_map(|(name, x, may)| may.check(name, *x));
    match rule {
        RuleKind::Clearance { share, middle_mm, spread_mm, give_percent } => first(&[
            ("share", *share, May::Share),
            ("middle_mm", *middle_mm, May::Length),
            ("spread_mm", *spread_mm, May::Spread),
            ("give_percent", *give_percent, May::Percent),
        ]),
        RuleKind::OutOfTrue { spread_mm, give_percent } => {
            first(&[("spread_mm", *spread_mm, May::Spread), ("give_percent", *give_percent, May::Percent)])
        }
        RuleKind::Rocks { from_mm } => May::Length.check("from_mm", *from_mm),
        RuleKind::Reading { plus_minus_mm } => May::Spread.check("plus_minus_mm", *plus_minus_mm),
        RuleKind::Alike { column, share } | RuleKind::SameDate { column, share } => {
            if column.trim().is_empty() {
                return Some(ProblemKind::NothingIn { what: say!("the column of a rule"), expected: say!("the name of a column") });
            }
            // A share of 1 would make one slip of the pen rule a pair out.
            if *share > 0.0 && *share <= 0.9999 {
                return None;
            }
            Some(ProblemKind::WrongSort {
                found: format!("'share: {share}'"),
                expected: say!("a share above 0, at most 0.9999").to_owned(),
                advice: say!(" (nothing is alike on every pair)").to_owned(),
            })
        }
        RuleKind::Together { share, worth } => {
            if *share >= 1.0 || *share <= 0.0 {
                return Some(ProblemKind::WrongSort {
                    found: format!("'share: {share}'"),
                    expected: say!("a share above 0 and below 1").to_owned(),
                    advice: String::new(),
                });
            }
            May::Worth.check("worth", *worth)
        }
        RuleKind::Sizes { least_mm, greatest_mm, worth } => {
            if least_mm >= greatest_mm {
                let (from, to) = (format!("{least_mm} mm"), format!("{greatest_mm} mm"));
                return Some(ProblemKind::Backwards { what: say!("the sizes"), from, to });
            }
            first(&[("least_mm", *least_mm, May::Spread), ("greatest_mm", *greatest_mm, May::Spread), ("worth", *worth, May::Worth)])
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rules_that_are_built_in_are_sound_and_say_how_they_are_known() {
        let built_in = LoadedRules::of_text("pairing.ron", BUILT_IN);
        assert_eq!(built_in.problems, []);
        assert!(built_in.rules.entries().iter().all(|rule| rule.basis != Basis::Published || !rule.source.is_empty()));
        assert!((built_in.rules.clearances.iter().map(|kind| kind.share).sum::<f64>() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn what_is_wrong_is_told_with_its_place_and_the_rest_is_used() {
        let text = "[\n (id: \"seat\", basis: Choice, rule: Clearance(share: 1, middle_mm: -3, spread_mm: 1, give_percent: 1)),\n \
            (id: \"a\", basis: Published, rule: Rocks(from_mm: 5)),\n (id: \"glaze\", basis: Choice, rule: Alike(column: \"glaze\", share: 1)),\n \
            (id: \"rocking\", basis: Choice, rule: Rocks(from_mm: 7)),\n (id: \"rocking\", basis: Choice, rule: Rocks(from_mm: 8)),\n \
            (id: \"x\", basis: Choice, rule: Sizes(least_mm: 9, greatest_mm: 8, worth: 1)),\n]";
        let own = LoadedRules::over_built_in("own.ron", text);
        let told: Vec<String> = own.problems.iter().map(ToString::to_string).collect();
        assert_eq!(
            told,
            [
                "'middle_mm: -3' was found where a length from 0 to 1000 mm was expected\nown.ron:2:36",
                "the source of a published rule is empty (expected where it is published)\nown.ron:3:19",
                "'share: 1' was found where a share above 0, at most 0.9999 was expected (nothing is alike on every pair)\nown.ron:4:37",
                "'rocking' is named twice in the rules (take one out)\nown.ron:6:7",
                "the sizes run from 9 mm down to 8 mm (write the smaller first)\nown.ron:7:33",
            ]
        );
        assert!((own.rules.rocks_from_mm - 7.0).abs() < 1e-12);
        assert_eq!(own.rules.clearances.len(), 2, "the built-in clearances stay");
    }
}
