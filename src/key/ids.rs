//! The names by which entries of a key refer to each other.
//!
//! An id is a short word without capitals, joined by hyphens (`covered-sugar`). It never changes when the shown name does.

use serde::{Deserialize, Serialize};

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(String);

        impl $name {
            /// An id from its text, as written in the key.
            pub fn new(text: impl Into<String>) -> Self {
                Self(text.into())
            }

            /// The text of the id.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(&self.0)
            }
        }

        impl From<&str> for $name {
            fn from(text: &str) -> Self {
                Self(text.to_owned())
            }
        }

        impl AsRef<str> for $name {
            fn as_ref(&self) -> &str {
                &self.0
            }
        }

        impl std::borrow::Borrow<str> for $name {
            fn borrow(&self) -> &str {
                &self.0
            }
        }
    )+};
}

ids! {
    /// Id of a [`Feature`](super::Feature).
    FeatureId,
    /// Id of a value of a feature: of a [`Value`](super::Value), or of the glaze, decoration or mark it stands for.
    ValueId,
    /// Id of a [`Line`](super::Line).
    LineId,
    /// Id of a [`Form`](super::Form).
    FormId,
    /// Id of a [`Glaze`](super::Glaze).
    GlazeId,
    /// Id of a [`Decoration`](super::Decoration).
    DecorationId,
    /// Id of a [`Mark`](super::Mark).
    MarkId,
    /// Id of a [`Paper`](super::Paper).
    PaperId,
    /// Id of a find of a daybook, see [`Counted`](super::Counted).
    CountedId,
}
