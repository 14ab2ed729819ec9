//! Forms that were taken out of use.

use super::super::ids::FormId;
use super::Form;
use serde::{Deserialize, Serialize};

/// A form that nothing is named after any more: it was merged into another, cut in two, or proved not to exist. It is kept, because finds and papers refer to it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Retired {
    /// The form as it last stood.
    pub form: Form,
    /// The forms that took its place. Empty where none did.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub into: Vec<FormId>,
    /// Why, in a line.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub why: String,
}
