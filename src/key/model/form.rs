//! Lines and forms, and what is recorded of a form.

use super::super::ids::{DecorationId, FeatureId, FormId, GlazeId, LineId, MarkId, ValueId};
use super::super::shape::Shape;
use super::claim::{Claim, Held, How, Picture, Years};
use super::part::Part;
use indexmap::IndexMap;
use serde::{Deserialize, Serialize};

/// A named range of tableware sold together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Line {
    /// Its id.
    pub id: LineId,
    /// Its name.
    pub name: String,
    /// Other names it is found by.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<String>,
    /// Years of making.
    #[serde(default, skip_serializing_if = "Years::is_open")]
    pub made: Years,
    /// What is said of it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub claims: Vec<Claim>,
    /// A note.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// One piece shape of a line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Form {
    /// Its id, unique in the key.
    pub id: FormId,
    /// Its name, unique within its line: 'covered sugar'.
    pub name: String,
    /// Other names it is found by.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<String>,
    /// The line it was made for.
    pub line: LineId,
    /// Lines that sold it too.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub borrowed_by: Vec<Held<LineId>>,
    /// Years of making.
    #[serde(default, skip_serializing_if = "Years::is_open")]
    pub made: Years,
    /// How common it is beside other forms before anything is seen, 1 where nothing is known. Must be above 0.
    #[serde(default = "default_weight", skip_serializing_if = "is_one")]
    pub weight: f64,
    /// The parts it has. The body is always one of them.
    pub parts: Vec<Part>,
    /// Its drawing in millimetres.
    pub shape: Shape,
    /// What is recorded of each feature. A feature not named here is not recorded.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty", deserialize_with = "crate::key::unique::map")]
    pub features: IndexMap<FeatureId, Record>,
    /// Glazes it is claimed in. Empty: not recorded.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub glazes: Vec<Held<GlazeId>>,
    /// Decorations it is claimed with. Empty: not recorded.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub decorations: Vec<Held<DecorationId>>,
    /// Marks it is claimed with. Empty: not recorded.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub marks: Vec<Held<MarkId>>,
    /// What else is said of it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub claims: Vec<Claim>,
    /// Photographs and scans, in `pictures/`.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pictures: Vec<Picture>,
    /// A note.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

impl Form {
    /// True where the line sold it: as a form of its own, or as one it borrowed and of which that is not refuted.
    pub fn is_sold_in(&self, line: &LineId) -> bool {
        self.line == *line || self.borrowed_by.iter().any(|held| held.id == *line && held.how != How::Refuted)
    }
}

fn default_weight() -> f64 {
    1.0
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    clippy::float_cmp,
    reason = "serde hands a reference; exactly one is what the file leaves out"
)]
fn is_one(weight: &f64) -> bool {
    *weight == 1.0
}

/// What is recorded of one feature of one form.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Record {
    /// Always this value.
    Always(ValueId),
    /// These values, with how often each: a word for every one of them, or a count for every one ([`Often::Times`]).
    Values(#[serde(deserialize_with = "crate::key::unique::map")] IndexMap<ValueId, Often>),
    /// Measured on sound pieces, least to greatest, in the feature's unit.
    Between(f64, f64),
    /// Nobody has looked yet. The same as leaving the feature out.
    NotRecorded,
    /// The form cannot have it.
    DoesNotApply,
}

/// How often a value is found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
pub enum Often {
    /// On every sound piece.
    #[default]
    Always,
    /// On most.
    Usually,
    /// On some.
    Sometimes,
    /// On so many of the pieces that were counted.
    Times(u32),
}

impl Often {
    #[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands a reference")]
    pub(super) fn is_always(&self) -> bool {
        *self == Self::Always
    }

    /// The count, where it is one.
    pub const fn times(self) -> Option<u32> {
        match self {
            Self::Times(n) => Some(n),
            Self::Always | Self::Usually | Self::Sometimes => None,
        }
    }

    /// Weight of the value among the values of one record, before they are scaled to one: always 1, usually 0.8, sometimes 0.2.
    /// A count weighs as 'always' beside words, which the key's check reports; among counts alone the counts themselves decide.
    ///
    /// The two figures are a choice of this program, no source: 'usually' is four times 'sometimes'.
    pub const fn weight(self) -> f64 {
        match self {
            Self::Times(0) => 0.0,
            Self::Always | Self::Times(_) => 1.0,
            Self::Usually => 0.8,
            Self::Sometimes => 0.2,
        }
    }
}
