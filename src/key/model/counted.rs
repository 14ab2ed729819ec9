//! Finds that were counted into the key.

use super::super::ids::{CountedId, FormId};
use serde::{Deserialize, Serialize};

/// A find of a daybook that was counted into the key's frequencies. It is kept with the key, so that undoing, copying or joining keys never
/// counts a piece twice.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Counted {
    /// The find's id in its daybook.
    pub id: CountedId,
    /// The form it was counted for.
    pub form: FormId,
}
