//! Papers: the dated sources.

use super::super::ids::{FormId, GlazeId, PaperId};
use super::claim::Picture;
use serde::{Deserialize, Serialize};

/// A dated source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Paper {
    /// Its id.
    pub id: PaperId,
    /// Its title.
    pub title: String,
    /// What it is.
    pub kind: PaperKind,
    /// Its date.
    pub date: When,
    /// What it lists, as written there.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lists: Vec<Listed>,
    /// Scans, in `pictures/`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pictures: Vec<Picture>,
    /// A note.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// Kind of a paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[expect(missing_docs, reason = "each kind is a plain word")]
pub enum PaperKind {
    Advertisement,
    Brochure,
    PriceList,
    Memo,
    Letter,
    OrderSheet,
    Other,
}

/// Date of a paper, as exactly as it is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum When {
    /// Year, month, day.
    Day(i32, u8, u8),
    /// Year, month.
    Month(i32, u8),
    /// A year.
    Year(i32),
    /// About that year.
    Circa(i32),
    /// From one year to another.
    Between(i32, i32),
}

/// An entry of a paper.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Listed {
    /// As written: 'sugar cov'd, 8 oz'.
    pub written: String,
    /// The form it means, where that is settled.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub form: Option<FormId>,
    /// The glazes it names.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub glazes: Vec<GlazeId>,
    /// The price, as written.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub price: String,
}
