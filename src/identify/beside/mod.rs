//! What is known of a piece beside the features of the key: the shape that was measured on a photograph, and what dates it.
//!
//! Each is weighed against every form by itself ([`Bearing`]) and multiplies into the posterior as the answers do. None of them makes a slip, since
//! none is a yes or no: a form that they speak against sinks, but is not tagged.

mod dates;
mod marks;
mod shape;
mod weigh;

pub use dates::PieceDates;
pub use shape::ShapeMeasured;
pub(super) use weigh::{Bearing, Bearings, Library};

use crate::marks::dates::Said;
use serde::{Deserialize, Serialize};

/// What is known of the piece in hand beside the key's features.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Beside {
    /// Its shape, measured on a photograph.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shape: Option<ShapeMeasured>,
    /// What dates it, as it was said.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub dates: Vec<Said>,
}

impl Beside {
    /// True where there is nothing.
    pub fn is_empty(&self) -> bool {
        self.shape.is_none() && self.dates.is_empty()
    }
}
