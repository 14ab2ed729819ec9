//! Marks.

use super::super::ids::{LineId, MarkId, PaperId};
use super::claim::{How, Picture, Years};
use super::code::DateCode;
use super::glaze::Applied;
use crate::colour::Lab;
use crate::say;
use serde::{Deserialize, Serialize};

/// A backstamp.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mark {
    /// Its id.
    pub id: MarkId,
    /// What the keeper calls it.
    pub name: String,
    /// Other names it is found by.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<String>,
    /// How the wording stands.
    pub layout: Layout,
    /// Lines drawn round it: rings of a round or oval mark, frames of a square one. Of two, the inner one runs between the letters on arcs and the middle.
    #[serde(default = "one", skip_serializing_if = "is_one")]
    pub rings: u8,
    /// Its wording, line by line as it is read.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub wording: Vec<Wording>,
    /// Its ink, where it has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ink: Option<Ink>,
    /// How it was applied.
    pub applied: Applied,
    /// The house date code, in the keeper's words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub date_code: String,
    /// House date codes that can be read.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub codes: Vec<DateCode>,
    /// Years of use.
    #[serde(default, skip_serializing_if = "Years::is_open")]
    pub made: Years,
    /// How the years are known.
    #[serde(default)]
    pub how: How,
    /// Whether it was ever put on ware.
    #[serde(default)]
    pub used: Used,
    /// Lines it goes with. Empty: any.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lines: Vec<LineId>,
    /// Shops and firms that ware with it was made for. A mark may name no maker at all.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub customers: Vec<String>,
    /// The papers that show it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub papers: Vec<PaperId>,
    /// Pictures of it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pictures: Vec<Picture>,
    /// A note.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

const fn one() -> u8 {
    1
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde asks for a reference")]
const fn is_one(rings: &u8) -> bool {
    *rings == 1
}

/// How the wording of a mark stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[expect(missing_docs, reason = "each layout is a plain word")]
pub enum Layout {
    Round,
    Oval,
    Square,
    Script,
    Words,
}

impl Layout {
    /// Every layout.
    pub const ALL: [Self; 5] = [Self::Round, Self::Oval, Self::Square, Self::Script, Self::Words];

    /// The one word for it, as it is typed.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Round => "round",
            Self::Oval => "oval",
            Self::Square => "square",
            Self::Script => "script",
            Self::Words => "words",
        }
    }
}

/// One line of a mark's wording.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wording {
    /// The words, as printed.
    pub text: String,
    /// Where the line stands.
    #[serde(default)]
    pub place: Place,
    /// How it wears beside the other lines.
    #[serde(default, skip_serializing_if = "Wears::is_as_usual")]
    pub wears: Wears,
}

/// How a line of a mark wears: the lower arc of a round mark often goes first, for a piece is set down on it slantwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Wears {
    /// Like the rest of the mark.
    #[default]
    AsUsual,
    /// Its letters go first.
    First,
    /// Its letters are still there when the others are gone.
    Last,
}

impl Wears {
    /// True where nothing is recorded.
    #[expect(clippy::trivially_copy_pass_by_ref, reason = "serde asks for a reference")]
    fn is_as_usual(&self) -> bool {
        *self == Self::AsUsual
    }

    /// The words for it.
    pub fn words(self) -> &'static str {
        match self {
            Self::AsUsual => say!(in "how a line of a mark wears", "wears like the rest"),
            Self::First => say!(in "how a line of a mark wears", "wears first"),
            Self::Last => say!(in "how a line of a mark wears", "wears last"),
        }
    }
}

/// Where a line of a mark stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Place {
    /// Straight.
    #[default]
    Straight,
    /// On an arc that reads over the top.
    ArcAbove,
    /// On an arc that reads along the bottom.
    ArcBelow,
    /// All around.
    Ring,
}

impl Place {
    /// Every place, in the order in which they are offered.
    pub const ALL: [Self; 4] = [Self::Straight, Self::ArcAbove, Self::ArcBelow, Self::Ring];

    /// The words for it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Straight => say!("straight"),
            Self::ArcAbove => say!("arc above"),
            Self::ArcBelow => say!("arc below"),
            Self::Ring => say!("all round"),
        }
    }
}

/// The ink of a mark.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ink {
    /// Its name: 'green'.
    pub name: String,
    /// Its colour.
    pub lab: Lab,
}

/// Whether a mark was ever put on ware.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Used {
    /// It was.
    #[default]
    InUse,
    /// It was drawn but never put on ware, as far as is known.
    NeverUsed,
}
