//! Glazes and decorations.

use super::super::ids::{DecorationId, GlazeId, LineId};
use super::super::shape::Drawing;
use super::claim::{Claim, Years};
use crate::colour::Lab;
use crate::say;
use serde::{Deserialize, Serialize};

/// A colour coat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Glaze {
    /// Its id.
    pub id: GlazeId,
    /// Its name.
    pub name: String,
    /// Other names it is found by.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<String>,
    /// Lines it was offered for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lines: Vec<LineId>,
    /// Its colour.
    pub lab: Lab,
    /// How far sound pieces stray from it, as a ΔE00 (one standard deviation).
    #[serde(default = "default_spread")]
    pub spread: f64,
    /// Its surface.
    #[serde(default)]
    pub finish: Finish,
    /// Years of use.
    #[serde(default, skip_serializing_if = "Years::is_open")]
    pub made: Years,
    /// Shown wherever this glaze is named.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<Caution>,
    /// What is said of it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub claims: Vec<Claim>,
    /// A note ('shows utensil marks').
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

fn default_spread() -> f64 {
    1.5
}

/// Surface of a glaze.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[expect(missing_docs, reason = "each finish is the trade's own word")]
pub enum Finish {
    #[default]
    Gloss,
    Satin,
    Matt,
}

/// A hazard the keeper of the key knows of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Caution {
    /// May release lead or cadmium.
    LeadOrCadmium,
    /// May contain uranium.
    Uranium,
}

/// A pattern or treatment put on a form, sometimes years after it was made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Decoration {
    /// Its id.
    pub id: DecorationId,
    /// Its name.
    pub name: String,
    /// Other names it is found by.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<String>,
    /// Lines it was offered for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lines: Vec<LineId>,
    /// How it is drawn.
    #[serde(default, skip_serializing_if = "Drawing::is_none")]
    pub drawing: Drawing,
    /// How it was put on.
    pub applied: Applied,
    /// Years of use.
    #[serde(default, skip_serializing_if = "Years::is_open")]
    pub made: Years,
    /// It was put on pieces made earlier and kept in stock, so that a piece has two dates.
    #[serde(default, skip_serializing_if = "is_false")]
    pub on_old_stock: bool,
    /// What is said of it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub claims: Vec<Claim>,
    /// A note.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands a reference")]
fn is_false(b: &bool) -> bool {
    !*b
}

/// How a mark or a decoration was applied.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Applied {
    /// Printed under the glaze.
    PrintedUnder,
    /// Printed over the glaze.
    PrintedOver,
    /// Pressed into the clay with a stamp.
    Impressed,
    /// Part of the mould.
    Moulded,
    /// By hand with a brush.
    Painted,
    /// A paper label.
    Label,
    /// In a slip of another clay.
    Slip,
    /// Gilt.
    Gilt,
}

impl Applied {
    /// Every way, in the order in which they are offered.
    pub const ALL: [Self; 8] =
        [Self::PrintedUnder, Self::PrintedOver, Self::Impressed, Self::Moulded, Self::Painted, Self::Label, Self::Slip, Self::Gilt];

    /// The words for it.
    pub fn words(self) -> &'static str {
        match self {
            Self::PrintedUnder => say!("printed under the glaze"),
            Self::PrintedOver => say!("printed over the glaze"),
            Self::Impressed => say!("impressed"),
            Self::Moulded => say!("moulded"),
            Self::Painted => say!("painted"),
            Self::Label => say!("paper label"),
            Self::Slip => say!("in slip"),
            Self::Gilt => say!("gilt"),
        }
    }
}
