//! Shapes: the half profile, the plan and the kinds of handle, spout, finial and foot from which every form is drawn.
//!
//! All lengths are millimetres. Radii are measured from the axis along the piece's long side, heights from the table.

use serde::{Deserialize, Serialize};

/// The drawing of a form in millimetres.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Shape {
    /// Half profile of the outside, from the foot's outer edge on the table up to the rim.
    pub body: Vec<Point>,
    /// Thickness of the wall, for the cut half of the drawing.
    #[serde(default = "default_wall_mm")]
    pub wall_mm: f64,
    /// Plan of the rim, seen from above.
    #[serde(default)]
    pub plan: Plan,
    /// Half profile of the lid's outside, from its edge (height 0) up to the top of the dome; the finial stands on that.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub lid: Vec<Point>,
    /// Plan of the lid, where it differs from the rim's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lid_plan: Option<Plan>,
    /// Height of the lid's edge above the rim; negative where the lid sinks into the body.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub lid_sits_mm: f64,
    /// Handles.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub handles: Vec<Handle>,
    /// Spout or lip.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spout: Option<Spout>,
    /// Finial of the lid.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finial: Option<Finial>,
    /// Foot.
    #[serde(default)]
    pub foot: FootKind,
    /// Modelled surface of the body.
    #[serde(default)]
    pub surface: Surface,
}

fn default_wall_mm() -> f64 {
    5.0
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands a reference; exactly zero is what the file leaves out")]
fn is_zero(x: &f64) -> bool {
    *x == 0.0
}

/// A point of a half profile: radius and height.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum Point {
    /// The outline runs smoothly through it.
    Curve(f64, f64),
    /// The outline turns sharply at it.
    Corner(f64, f64),
}

/// An outline seen from above. Aspects are long side ÷ short side, at least 1.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub enum Plan {
    /// A circle.
    #[default]
    Round,
    /// An ellipse of that aspect.
    Oval(f64),
    /// A square with sides that swell: the superellipse of exponent 4 (2 is a circle).
    RoundedSquare,
    /// A rectangle of that aspect with round corners.
    Oblong(f64),
    /// A polygon with that many equal sides.
    Sided(u8),
    /// That many lobes.
    Lobed(u8),
}

/// A handle.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Handle {
    /// Its kind.
    pub kind: HandleKind,
    /// Where it is.
    #[serde(default)]
    pub at: HandleAt,
    /// Height of its upper root.
    pub top_mm: f64,
    /// Height of its lower root.
    pub bottom_mm: f64,
    /// How far it stands out from the body's wall.
    pub reach_mm: f64,
    /// How thick it is in the side view.
    pub thick_mm: f64,
}

/// Kind of a handle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum HandleKind {
    /// A round loop, root to root.
    Loop,
    /// A loop that starts high and tucks in below, like an ear.
    Ear,
    /// Straight members with corners.
    Angular,
    /// A solid tab.
    Lug,
    /// A stick that stands out.
    Stick,
    /// A bow over the top.
    Bail,
    /// A hole through a wing of the rim.
    Pierced,
}

/// Where a handle is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum HandleAt {
    /// One on either side.
    #[default]
    Both,
    /// One, drawn at the right.
    Right,
    /// Over the top.
    Over,
}

/// A spout.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Spout {
    /// Its kind.
    pub kind: SpoutKind,
    /// Height of the middle of its root on the body.
    pub root_mm: f64,
    /// Height of its tip.
    pub tip_mm: f64,
    /// How far the tip stands out from the body's wall.
    pub reach_mm: f64,
}

/// Kind of a spout. It is drawn at the left.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum SpoutKind {
    /// The rim drawn out to a lip.
    Lip,
    /// A pointed spout put on at the rim.
    Beak,
    /// A straight tube.
    Tube,
    /// A tube in an S.
    Swan,
}

/// A finial.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Finial {
    /// Its kind.
    pub kind: FinialKind,
    /// Its height.
    pub height_mm: f64,
    /// Its greatest width.
    pub width_mm: f64,
}

/// Kind of a finial.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum FinialKind {
    /// A ball on a neck.
    Ball,
    /// A flat button.
    Button,
    /// A cone.
    Cone,
    /// An upright ring.
    Ring,
    /// A low bow from one side to the other.
    Strap,
    /// A bar.
    Bar,
    /// A sunk grip in place of a finial.
    Sunk,
}

/// Kind of a foot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
pub enum FootKind {
    /// A turned ring.
    #[default]
    Ring,
    /// Flat, without a ring.
    Flat,
    /// A stem with a spread foot.
    Pedestal,
    /// Three small feet.
    Stumps,
    /// Hollowed, so that only the edge touches.
    Hollow,
}

/// Modelled surface of a body.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub enum Surface {
    /// Smooth.
    #[default]
    Plain,
    /// That many level ribs between two heights.
    Ribs(u8, f64, f64),
    /// Upright flutes, that many around.
    Flutes(u8),
    /// Flat facets, that many around.
    Facets(u8),
}

/// How a value is drawn on its button, and what it makes of the board.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub enum Drawing {
    /// By its name alone.
    #[default]
    None,
    /// An outline from above.
    Plan(Plan),
    /// A half profile of the body, in any scale; the board stretches it.
    Body(Vec<Point>),
    /// A half profile of the lid, in any scale.
    Lid(Vec<Point>),
    /// A half profile of the rim's last centimetre, radius outward, in millimetres.
    Rim(Vec<Point>),
    /// A handle.
    Handle(HandleKind),
    /// That many handles.
    Handles(u8),
    /// A spout.
    Spout(SpoutKind),
    /// A finial.
    Finial(FinialKind),
    /// A foot.
    Foot(FootKind),
    /// A surface.
    Surface(Surface),
    /// The part is not there.
    Absent,
    /// Strokes in a square from (0, 0) top left to (1, 1).
    Strokes(Vec<Vec<(f64, f64)>>),
}

impl Drawing {
    /// True where there is nothing but the name.
    pub fn is_none(&self) -> bool {
        *self == Self::None
    }
}
