//! What a house key holds. These types are also the text on disk: one RON file a list, one entry a struct.
//!
//! Lengths are millimetres, masses grams, volumes millilitres, years of the common era. Every list may be empty and every optional
//! field may be left out of the file; an unknown field is an error.

use super::ids::{DecorationId, FeatureId, FormId, GlazeId, LineId, MarkId, PaperId, ValueId};
use super::shape::{Drawing, Shape};
use crate::colour::Lab;
use indexmap::IndexMap;
use serde::{Deserialize, Serialize};

/// The version of the format this program writes. A newer one is opened for reading only.
pub const FORMAT: u32 = 1;

/// A whole house key, as loaded from its folder.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Key {
    /// `key.ron`
    pub about: About,
    /// `features.ron`
    pub features: Vec<Feature>,
    /// `lines.ron`
    pub lines: Vec<Line>,
    /// `forms.ron`
    pub forms: Vec<Form>,
    /// `glazes.ron`
    pub glazes: Vec<Glaze>,
    /// `decorations.ron`
    pub decorations: Vec<Decoration>,
    /// `marks.ron`
    pub marks: Vec<Mark>,
    /// `papers.ron`
    pub papers: Vec<Paper>,
}

/// `key.ron`: what this key is, and words that mean the same.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct About {
    /// Version of the format, see [`FORMAT`].
    pub format: u32,
    /// What the key is called on screen.
    pub title: String,
    /// The pottery or potteries it describes.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub pottery: String,
    /// Anything the keeper wants to say of it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// The give of measured ranges where a feature does not state its own, in percent of the measure. Trade habit, no source: 2.
    #[serde(default = "default_give_percent")]
    pub give_percent: f64,
    /// Groups of words that mean the same wherever a name is looked up, for example `["finial", "knob", "knop"]`. The first is the one shown.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub synonyms: Vec<Vec<String>>,
}

fn default_give_percent() -> f64 {
    2.0
}

/// A part of a piece. Each may have its own clay, glaze and maker.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[expect(missing_docs, reason = "each part is the trade's own word")]
pub enum Part {
    Body,
    Lid,
    Finial,
    Handle,
    Spout,
    Foot,
    Stand,
    Fitting,
}

impl Part {
    /// Every part, from the one always there to the rarest.
    pub const ALL: [Self; 8] = [Self::Body, Self::Lid, Self::Finial, Self::Handle, Self::Spout, Self::Foot, Self::Stand, Self::Fitting];

    /// The word for it in a sentence.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Body => "body",
            Self::Lid => "lid",
            Self::Finial => "finial",
            Self::Handle => "handle",
            Self::Spout => "spout",
            Self::Foot => "foot",
            Self::Stand => "stand",
            Self::Fitting => "fitting",
        }
    }
}

/// From where a feature is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum View {
    /// Looking straight down on it.
    Above,
    /// From the side, at the height of the table.
    Side,
    /// Turned over.
    Underneath,
    /// In the hand: weight, ring, touch, a rule or a measuring jug.
    Hand,
}

impl View {
    /// The words for it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Above => "from above",
            Self::Side => "from the side",
            Self::Underneath => "underneath",
            Self::Hand => "in the hand",
        }
    }
}

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

/// Years, either end open where nothing is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Years {
    /// First year.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<i32>,
    /// Last year.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<i32>,
}

impl Years {
    /// True where neither end is known.
    pub fn is_open(&self) -> bool {
        self.from.is_none() && self.to.is_none()
    }
}

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
    #[serde(default, skip_serializing_if = "IndexMap::is_empty", deserialize_with = "super::unique::map")]
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
    /// These values, with how often each.
    Values(#[serde(deserialize_with = "super::unique::map")] IndexMap<ValueId, Often>),
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
}

impl Often {
    #[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands a reference")]
    fn is_always(&self) -> bool {
        *self == Self::Always
    }

    /// Weight of the value among the values of one record, before they are scaled to one: always 1, usually 0.8, sometimes 0.2.
    ///
    /// The two figures are a choice of this program, no source: 'usually' is four times 'sometimes'.
    pub const fn weight(self) -> f64 {
        match self {
            Self::Always => 1.0,
            Self::Usually => 0.8,
            Self::Sometimes => 0.2,
        }
    }
}

/// A glaze, decoration, mark or line that a form is claimed with, and how that is known.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Held<Id> {
    /// Which one.
    pub id: Id,
    /// How often.
    #[serde(default, skip_serializing_if = "Often::is_always")]
    pub often: Often,
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

/// Anything the key asserts in words.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Claim {
    /// What is claimed, in a sentence.
    pub says: String,
    /// How it is known.
    #[serde(default)]
    pub how: How,
    /// The papers that say so.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub papers: Vec<PaperId>,
}

/// How a claim is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
pub enum How {
    /// On a piece in the hand.
    #[default]
    Seen,
    /// Only in a paper.
    InPaper,
    /// Worked out from other facts.
    Inferred,
    /// Believed without proof.
    Suspected,
    /// Once believed, now known to be wrong. It counts for nothing in naming.
    Refuted,
}

impl How {
    /// The words for it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Seen => "seen",
            Self::InPaper => "in a paper",
            Self::Inferred => "inferred",
            Self::Suspected => "suspected",
            Self::Refuted => "refuted",
        }
    }
}

/// A picture of the key.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Picture {
    /// File name below `pictures/`, with forward slashes.
    pub file: String,
    /// What it shows.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub caption: String,
}

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
    /// The words for it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::PrintedUnder => "printed under the glaze",
            Self::PrintedOver => "printed over the glaze",
            Self::Impressed => "impressed",
            Self::Moulded => "moulded",
            Self::Painted => "painted",
            Self::Label => "paper label",
            Self::Slip => "in slip",
            Self::Gilt => "gilt",
        }
    }
}

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

/// One line of a mark's wording.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wording {
    /// The words, as printed.
    pub text: String,
    /// Where the line stands.
    #[serde(default)]
    pub place: Place,
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

impl Key {
    /// The form of that id.
    pub fn form(&self, id: &FormId) -> Option<&Form> {
        self.forms.iter().find(|form| form.id == *id)
    }

    /// The feature of that id.
    pub fn feature(&self, id: &FeatureId) -> Option<&Feature> {
        self.features.iter().find(|feature| feature.id == *id)
    }

    /// The line of that id.
    pub fn line(&self, id: &LineId) -> Option<&Line> {
        self.lines.iter().find(|line| line.id == *id)
    }

    /// The glaze of that id.
    pub fn glaze(&self, id: &GlazeId) -> Option<&Glaze> {
        self.glazes.iter().find(|glaze| glaze.id == *id)
    }

    /// The decoration of that id.
    pub fn decoration(&self, id: &DecorationId) -> Option<&Decoration> {
        self.decorations.iter().find(|decoration| decoration.id == *id)
    }

    /// The mark of that id.
    pub fn mark(&self, id: &MarkId) -> Option<&Mark> {
        self.marks.iter().find(|mark| mark.id == *id)
    }

    /// The paper of that id.
    pub fn paper(&self, id: &PaperId) -> Option<&Paper> {
        self.papers.iter().find(|paper| paper.id == *id)
    }

    /// The name of a form with its line, as on a label: 'covered sugar, Quoin'.
    pub fn full_name(&self, form: &Form) -> String {
        match self.line(&form.line) {
            Some(line) => format!("{}, {}", form.name, line.name),
            None => form.name.clone(),
        }
    }

    /// The values a feature can take with the names shown for them: its own, or the key's glazes, decorations or marks. Empty for a measure.
    pub fn values_of(&self, feature: &Feature) -> Vec<(ValueId, String)> {
        match &feature.kind {
            FeatureKind::Choice(values) => values.iter().map(|v| (v.id.clone(), v.shown_name())).collect(),
            FeatureKind::Measure(_) => Vec::new(),
            FeatureKind::Glaze => self.glazes.iter().map(|g| (ValueId::new(g.id.as_str()), g.name.clone())).collect(),
            FeatureKind::Decoration => self.decorations.iter().map(|d| (ValueId::new(d.id.as_str()), d.name.clone())).collect(),
            FeatureKind::Mark => self.marks.iter().map(|m| (ValueId::new(m.id.as_str()), m.name.clone())).collect(),
        }
    }
}
