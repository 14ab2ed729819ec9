//! Features: what a person can see, feel or measure, and what it can be.

use super::super::ids::{FeatureId, ValueId};
use super::super::shape::Drawing;
use super::part::{Part, View};
use crate::colour::Lab;
use serde::{Deserialize, Serialize};

/// Something a person can see, feel or measure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Feature {
    /// Its id, for example `lid-outline`.
    pub id: FeatureId,
    /// Its name on screen. Left out, it is the id with spaces for hyphens.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Other names it is found by.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<String>,
    /// The part it belongs to. It does not apply to a form that lacks this part.
    pub part: Part,
    /// From where it is seen.
    pub view: View,
    /// What it can be.
    pub kind: FeatureKind,
    /// When it applies, beyond the part being there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub only_if: Option<Condition>,
    /// Share of honest readings that are wrong, 0 to 0.5 (0.01 for an outline, 0.15 for a worn mark).
    #[serde(default = "default_slip")]
    pub slip: f64,
    /// Effort of looking, 1 for a glance, 3 for turning a full dish over or fetching a rule.
    #[serde(default = "default_effort")]
    pub effort: f64,
    /// What to do, in a line: 'look straight down on the lid'.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub look: String,
}

fn default_slip() -> f64 {
    0.02
}

fn default_effort() -> f64 {
    1.0
}

/// What a feature can be.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum FeatureKind {
    /// One of these values.
    Choice(Vec<Value>),
    /// A measured number.
    Measure(MeasureKind),
    /// One of the key's glazes, chosen by name or by colour.
    Glaze,
    /// One of the key's decorations.
    Decoration,
    /// One of the key's marks, chosen or by the wording that can be read.
    Mark,
}

/// What a measured feature measures.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeasureKind {
    /// The unit of every number of this feature.
    pub unit: Unit,
    /// Give for firing and finishing, in percent of the measure (one standard deviation is half of it). The key's own where left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub give_percent: Option<f64>,
    /// Which dimension of the drawing it is, so that the board, a new form and a photograph can use it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub of: Option<Dimension>,
}

/// A dimension of a piece that its drawing has too.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Dimension {
    /// Height of the body, lid off.
    BodyHeight,
    /// Height with the lid on, over the finial.
    HeightWithLid,
    /// Diameter of the rim along its long side, outside.
    RimLong,
    /// Diameter of the rim along its short side, outside.
    RimShort,
    /// Greatest diameter of the body, without handles and spout.
    Greatest,
    /// Width over handles and spout.
    Width,
    /// Diameter of the foot.
    Foot,
    /// Diameter of the lid along its long side.
    LidLong,
    /// Diameter of the lid along its short side.
    LidShort,
}

/// Unit of a measured feature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Unit {
    /// Millimetres.
    Mm,
    /// Grams.
    G,
    /// Millilitres.
    Ml,
    /// A count, without unit.
    Count,
}

impl Unit {
    /// Its sign, empty for a count.
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::G => "g",
            Self::Ml => "ml",
            Self::Count => "",
        }
    }
}

/// One value of a [`FeatureKind::Choice`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Value {
    /// Its id within the feature, for example `rounded-square`.
    pub id: ValueId,
    /// Its name on screen. Left out, it is the id with spaces for hyphens.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Other names it is found by.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<String>,
    /// How it is drawn, on its button and on the board.
    #[serde(default, skip_serializing_if = "Drawing::is_none")]
    pub drawing: Drawing,
    /// Its colour, for values that are colours (a clay).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lab: Option<Lab>,
    /// A line that says what is meant.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// When a feature applies to a form.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Condition {
    /// Only if the form has this part.
    Has(Part),
    /// Only if the form lacks this part.
    Lacks(Part),
    /// Only if that feature of the form can be one of these values.
    Is(FeatureId, Vec<ValueId>),
}

/// The name shown for an entry whose `name` may be left out: the name, else the id with spaces for hyphens.
fn shown(name: &str, id: &str) -> String {
    if name.is_empty() { id.replace('-', " ") } else { name.to_owned() }
}

impl Feature {
    /// The name on screen.
    pub fn shown_name(&self) -> String {
        shown(&self.name, self.id.as_str())
    }
}

impl Value {
    /// The name on screen.
    pub fn shown_name(&self) -> String {
        shown(&self.name, self.id.as_str())
    }
}
