//! How a lid and a base that belong together go together: data (`assets/pairing.ron`), each entry with how it is known.

use super::load::LoadedRules;
use crate::say;
use serde::Deserialize;
use std::sync::LazyLock;

/// The rules that are built in.
pub(super) const BUILT_IN: &str = include_str!("../../../assets/pairing.ron");

/// One entry of the rules.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rule {
    /// Its id; an entry of a person's own file takes the place of the one with the same id.
    pub id: String,
    /// What it says.
    pub rule: RuleKind,
    /// How it is known.
    pub basis: Basis,
    /// Where it is published.
    #[serde(default)]
    pub source: String,
    /// A note.
    #[serde(default)]
    pub note: String,
}

/// How an entry of the rules is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum Basis {
    /// A source is named.
    Published,
    /// Habit of the trade, no source.
    CommonPractice,
    /// A choice of whoever wrote the entry.
    Choice,
}

impl Basis {
    /// The words for it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Published => say!("published"),
            Self::CommonPractice => say!("common practice, no source"),
            Self::Choice => say!("a choice, no source"),
        }
    }
}

/// What an entry says. Lengths are mm, spreads one standard deviation, shares 0 to 1.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub enum RuleKind {
    /// How much wider the gallery is than the flange, of the share of pieces that are of this kind. Shares are scaled to a sum of one.
    Clearance {
        /// How many pieces are of this kind.
        share: f64,
        /// The commonest clearance.
        middle_mm: f64,
        /// How far pieces stray from it.
        spread_mm: f64,
        /// What firing adds to the spread, in percent of the size.
        give_percent: f64,
    },
    /// How far one axis strays from the clearance of both.
    OutOfTrue {
        /// How far pieces stray.
        spread_mm: f64,
        /// What firing adds, in percent of the size.
        give_percent: f64,
    },
    /// The play from which a lid is said to rock.
    Rocks {
        /// The least such play.
        from_mm: f64,
    },
    /// The ± of a measure that is given without one, two standard deviations.
    Reading {
        /// The ±.
        plus_minus_mm: f64,
    },
    /// What is noted in that column is the same of a lid and its own base.
    Alike {
        /// The name of the column.
        column: String,
        /// Of how many pairs.
        share: f64,
    },
    /// Years of making, read from that column, overlap.
    SameDate {
        /// The name of the column.
        column: String,
        /// Of how many pairs.
        share: f64,
    },
    /// How many of the shorter shelf have their other half on the other shelf.
    Together {
        /// The share.
        share: f64,
        /// How many pieces this is worth against what the shelves say.
        worth: f64,
    },
    /// Sizes that nobody has measured yet: any between these, as often in each doubling.
    Sizes {
        /// The least.
        least_mm: f64,
        /// The greatest.
        greatest_mm: f64,
        /// How many pieces this is worth against those measured.
        worth: f64,
    },
}

/// The rules, ready for use.
#[derive(Debug, Clone, PartialEq)]
pub struct Rules {
    entries: Vec<Rule>,
    pub(super) clearances: Vec<Clearance>,
    /// Spread and give of one axis against the other.
    pub(super) out_of_true: (f64, f64),
    pub(super) rocks_from_mm: f64,
    pub(super) reading_mm: f64,
    /// Columns and shares.
    pub(super) alike: Vec<(String, f64)>,
    /// The column of years, and the share.
    pub(super) same_date: Option<(String, f64)>,
    /// Share and worth.
    pub(super) together: (f64, f64),
    pub(super) sizes: (f64, f64),
    pub(super) sizes_worth: f64,
}

/// A kind of clearance, its share scaled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Clearance {
    pub(super) share: f64,
    pub(super) middle_mm: f64,
    pub(super) spread_mm: f64,
    pub(super) give: f64,
}

impl Clearance {
    /// One standard deviation at a size.
    pub(super) fn spread_at(&self, size_mm: f64) -> f64 {
        self.spread_mm.hypot(self.give * size_mm)
    }
}

impl Rules {
    /// The rules that are built in.
    pub fn built_in() -> &'static Self {
        static RULES: LazyLock<Rules> = LazyLock::new(|| LoadedRules::of_text("pairing.ron", BUILT_IN).rules);
        &RULES
    }

    /// The entries, in the order of the file.
    pub fn entries(&self) -> &[Rule] {
        &self.entries
    }

    /// Puts entries to use. What is not named is as it is when nobody knows: no clearance at all then fits nothing.
    pub(super) fn new(entries: Vec<Rule>) -> Self {
        let mut rules = Self {
            entries: Vec::new(),
            clearances: Vec::new(),
            out_of_true: (0.5, 0.004),
            rocks_from_mm: f64::INFINITY,
            reading_mm: 1.0,
            alike: Vec::new(),
            same_date: None,
            together: (0.5, 4.0),
            sizes: (20.0, 500.0),
            sizes_worth: 4.0,
        };
        for entry in &entries {
            match &entry.rule {
                RuleKind::Clearance { share, middle_mm, spread_mm, give_percent } => rules.clearances.push(Clearance {
                    share: *share,
                    middle_mm: *middle_mm,
                    spread_mm: *spread_mm,
                    give: give_percent / 100.0,
                }),
                RuleKind::OutOfTrue { spread_mm, give_percent } => rules.out_of_true = (*spread_mm, give_percent / 100.0),
                RuleKind::Rocks { from_mm } => rules.rocks_from_mm = *from_mm,
                RuleKind::Reading { plus_minus_mm } => rules.reading_mm = *plus_minus_mm,
                RuleKind::Alike { column, share } => rules.alike.push((crate::key::words::fold(column), *share)),
                RuleKind::SameDate { column, share } => rules.same_date = Some((crate::key::words::fold(column), *share)),
                RuleKind::Together { share, worth } => rules.together = (*share, *worth),
                RuleKind::Sizes { least_mm, greatest_mm, worth } => (rules.sizes, rules.sizes_worth) = ((*least_mm, *greatest_mm), *worth),
            }
        }
        let all: f64 = rules.clearances.iter().map(|kind| kind.share).sum();
        for kind in &mut rules.clearances {
            kind.share /= all;
        }
        rules.entries = entries;
        rules
    }

    /// The columns that are weighed, besides the measures.
    pub fn columns(&self) -> impl Iterator<Item = &str> {
        self.alike.iter().map(|(column, _)| column.as_str()).chain(self.same_date.as_ref().map(|(column, _)| column.as_str()))
    }
}
