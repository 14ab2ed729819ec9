//! What was noted of a piece's condition. It says nothing of any form; grades and words come from rules further up.

use crate::key::{Part, View};
use crate::say;
use serde::{Deserialize, Serialize};

/// The most that is noted of one piece. A limit of this program: a piece with more is described in its note.
pub const MOST_FLAWS: usize = 200;
/// A fault is at most so long, in mm.
pub const LONGEST_MM: f64 = 2000.0;

/// What was noted of a piece's condition.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Condition {
    /// What is wrong with it, in the order it was noted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub flaws: Vec<Flaw>,
    /// True where the piece was looked over and nothing else was found. Only then does no fault mean that there is none.
    #[serde(default, skip_serializing_if = "is_false")]
    pub looked_over: bool,
}

/// One thing that is wrong with a piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Flaw {
    /// The id of its kind.
    pub kind: String,
    /// The part it is on.
    pub part: Part,
    /// Where on the drawing; nothing where it was not pointed at.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<Place>,
    /// Its longest way across or along, in mm; nothing where it was not measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size_mm: Option<f64>,
    /// The photograph of the piece that shows it, by the hash of its bytes as hexadecimal digits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub photograph: Option<String>,
    /// A note.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// A place on one of the three drawn views.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// The view.
    pub view: View,
    /// From the left edge of the drawing (0) to its right edge (1).
    pub across: f64,
    /// From the top of the drawing (0) to its foot (1).
    pub down: f64,
}

impl Condition {
    /// True where nothing was noted.
    pub fn is_blank(&self) -> bool {
        self.flaws.is_empty() && !self.looked_over
    }

    /// What is wrong with it, so that it cannot be kept; nothing where it can.
    pub fn fault(&self) -> Option<String> {
        if self.flaws.len() > MOST_FLAWS {
            return Some(say!("{flaws} faults are noted (at most {MOST_FLAWS} can be)", flaws = self.flaws.len(), MOST_FLAWS));
        }
        for flaw in &self.flaws {
            if let Some(size) = flaw.size_mm
                && !(size > 0.0 && size <= LONGEST_MM)
            {
                return Some(say!("the size of a fault is '{size}' (expected mm above 0, at most {LONGEST_MM})", size, LONGEST_MM));
            }
            if let Some(place) = flaw.place
                && !((0.0..=1.0).contains(&place.across) && (0.0..=1.0).contains(&place.down))
            {
                return Some(say!(
                    "the place of a fault is '{across}, {down}' (expected 0 to 1)",
                    across = place.across,
                    down = place.down
                ));
            }
        }
        None
    }
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands a reference")]
fn is_false(b: &bool) -> bool {
    !*b
}
