//! Dating rules as they stand in a file.

use super::diamond::DiamondTable;
use super::evidence::{Evidence, Firmness, Known, Origin, Thing, Weighs};
use super::load::LoadedRules;
use super::number::NumberTable;
use super::pattern::{Pattern, Written};
use super::span::Span;
use crate::key::When;
use crate::say;
use crate::words::of_data;
use serde::Deserialize;
use std::sync::LazyLock;

/// One rule, or a list of names that rules use.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Rule {
    /// Its name. A rule of a person's own file takes the place of the published one of that name.
    pub(super) id: String,
    /// What it looks for.
    pub(super) finds: Finds,
    /// What it reads after that.
    #[serde(default)]
    pub(super) reads: Reads,
    /// What it dates.
    #[serde(default)]
    pub(super) dates: Thing,
    /// What follows.
    #[serde(default)]
    pub(super) bounds: Vec<Bound>,
    /// What a person should know besides.
    #[serde(default)]
    pub(super) note: String,
}

/// What a rule looks for.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub(super) enum Finds {
    /// Any of these wordings. `@` is a letter, `9` a figure, `#` a whole number, `{id}` any of the names of that list.
    Words(Vec<String>),
    /// Nothing: names for the patterns of other rules.
    Names(Vec<String>),
    /// A diamond with this layout.
    Diamond(DiamondTable),
    /// Nothing: the classes of goods of a diamond, number and words.
    Classes(Vec<(String, String)>),
}

/// What is read of the number in a wording.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
pub(super) enum Reads {
    /// Nothing.
    #[default]
    Nothing,
    /// A year of four figures: bounds without a date begin in it.
    Year,
    /// A number of a register.
    Number(NumberTable),
}

/// What follows from a rule.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Bound {
    /// Not before this.
    #[serde(default)]
    pub(super) from: Option<When>,
    /// Not after this.
    #[serde(default)]
    pub(super) to: Option<When>,
    /// Whether that bounds, or was only usual.
    #[serde(default)]
    pub(super) weighs: Weighs,
    /// How firm it is.
    pub(super) firmness: Firmness,
    /// How well it is known.
    #[serde(default)]
    pub(super) known: Known,
    /// Why.
    pub(super) because: String,
    /// Where it is published.
    #[serde(default)]
    pub(super) source: String,
}

impl Bound {
    /// The evidence that this bound gives of what was read.
    pub(super) fn evidence(&self, dates: Thing, origin: Origin, read: &str, span: Span) -> Evidence {
        Evidence {
            dates,
            origin,
            when: span.into(),
            weighs: self.weighs,
            firmness: self.firmness,
            known: self.known,
            says: if self.weighs == Weighs::Usual {
                say!("'{read}': usually {when}", read, when = span.words())
            } else {
                say!("'{read}': {when}", read, when = span.words())
            },
            because: of_data(&self.because).into_owned(),
            source: of_data(&self.source).into_owned(),
        }
    }

    /// Its dates.
    pub(super) fn span(&self) -> Span {
        Span::of_dates(self.from, self.to)
    }
}

/// Dating rules, ready for reading.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Rules {
    pub(super) rules: Vec<Rule>,
    pub(super) patterns: Vec<Pattern>,
}

impl Rules {
    /// The published rules that are inside the program.
    pub fn published() -> &'static Self {
        static PUBLISHED: LazyLock<LoadedRules> =
            LazyLock::new(|| LoadedRules::of_text("dating.ron", include_str!("../../../assets/dating.ron")));
        &PUBLISHED.rules
    }

    /// The number of rules that date something.
    pub fn len(&self) -> usize {
        self.rules.iter().filter(|rule| !rule.bounds.is_empty()).count()
    }

    /// True where no rule dates anything.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    pub(super) fn new(rules: Vec<Rule>) -> Self {
        let mut patterns = Vec::new();
        for (number, rule) in rules.iter().enumerate() {
            if let Finds::Words(words) = &rule.finds {
                for text in words {
                    for spelt in spelt_out(text, &rules) {
                        let of = if text.contains('{') { Written::FromList } else { Written::Out };
                        patterns.extend(Pattern::new(number, &spelt, of));
                    }
                }
            }
        }
        Self { rules, patterns }
    }

    /// These rules with others added; one of an id that is there takes its place.
    #[must_use]
    pub fn with(&self, others: &Self) -> Self {
        let mut rules = self.rules.clone();
        for other in &others.rules {
            match rules.iter_mut().find(|rule| rule.id == other.id) {
                Some(rule) => rule.clone_from(other),
                None => rules.push(other.clone()),
            }
        }
        Self::new(rules)
    }

    pub(super) fn names(rules: &[Rule], id: &str) -> Option<Vec<String>> {
        rules.iter().find_map(|rule| match &rule.finds {
            Finds::Names(names) if rule.id == id => Some(names.clone()),
            _ => None,
        })
    }

    /// The layouts of the diamond, in the order of the rules.
    pub(super) fn diamonds(&self) -> impl Iterator<Item = (&Rule, &DiamondTable)> {
        self.rules.iter().filter_map(|rule| match &rule.finds {
            Finds::Diamond(table) => Some((rule, table)),
            _ => None,
        })
    }

    /// What a class of goods is.
    pub(super) fn class(&self, number: &str) -> Option<&str> {
        self.rules.iter().find_map(|rule| match &rule.finds {
            Finds::Classes(classes) => classes.iter().find(|(n, _)| n.eq_ignore_ascii_case(number)).map(|(_, words)| words.as_str()),
            _ => None,
        })
    }
}

/// A pattern with every list name in it replaced by each of its names.
fn spelt_out(text: &str, rules: &[Rule]) -> Vec<String> {
    let Some((before, rest)) = text.split_once('{') else { return vec![text.to_owned()] };
    let Some((name, after)) = rest.split_once('}') else { return Vec::new() };
    let names = Rules::names(rules, name).unwrap_or_default();
    let tails = spelt_out(after, rules);
    names.iter().flat_map(|name| tails.iter().map(move |tail| format!("{before}{name}{tail}"))).collect()
}
