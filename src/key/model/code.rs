//! House date codes.

use super::super::ids::PaperId;
use super::super::unique;
use super::claim::How;
use indexmap::IndexMap;
use serde::{Deserialize, Serialize};

/// A date code that a pottery put into or beside a mark.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DateCode {
    /// What the keeper calls it.
    pub name: String,
    /// Its parts in curly brackets, in order: `{month}{year}`. What stands outside the brackets stands so on the piece; spaces and points
    /// count for nothing.
    pub pattern: String,
    /// What each part can be.
    #[serde(default, deserialize_with = "unique::map", skip_serializing_if = "IndexMap::is_empty")]
    pub parts: IndexMap<String, CodePart>,
    /// What it dates.
    #[serde(default)]
    pub dates: CodeDates,
    /// How it is known.
    #[serde(default)]
    pub how: How,
    /// The papers that say so.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub papers: Vec<PaperId>,
    /// A note.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// What a date code dates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum CodeDates {
    /// The making of the piece.
    #[default]
    Making,
    /// The mould, so that the piece was made then or later.
    Mould,
    /// The decoration.
    Decoration,
}

/// What a part of a date code can be.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum CodePart {
    /// A letter for each year, the first for `first`; after the last it begins again, up to `last` where that is known.
    YearLetters {
        /// The letters in their order, those left out left out.
        letters: String,
        /// The year of the first.
        first: i32,
        /// The last year in which the code was used.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        last: Option<i32>,
    },
    /// That many last figures of the year, 1 to 4, within the mark's years of use.
    YearDigits(u8),
    /// Each sign with the years it can be.
    Years(#[serde(deserialize_with = "unique::map")] IndexMap<String, Vec<i32>>),
    /// Twelve letters, January first.
    MonthLetters(String),
    /// 1 to 12.
    MonthNumber,
    /// Each sign with its month, 1 to 12.
    Months(#[serde(deserialize_with = "unique::map")] IndexMap<String, u8>),
    /// 1 to 4.
    QuarterNumber,
    /// Each sign with its quarter, 1 to 4.
    Quarters(#[serde(deserialize_with = "unique::map")] IndexMap<String, u8>),
    /// 1 to 53, by ISO 8601.
    WeekNumber,
    /// 1 to 31.
    DayNumber,
    /// Each sign with what it means, a works or a hand, and no date.
    Words(#[serde(deserialize_with = "unique::map")] IndexMap<String, String>),
    /// One to four letters or figures without a meaning for the date.
    Anything,
}
