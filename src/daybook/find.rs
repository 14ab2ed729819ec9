//! One real piece, recorded.

use super::record::Record;
use crate::identify::Piece;
use crate::key::FormId;
use crate::photo::{Edit, Format, PhotoHash};
use crate::say;
use jiff::ZonedDateTime;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;
use uuid::Uuid;

/// The lasting name of a find: a version 7 UUID (RFC 9562), so that ids sort by when they were made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct FindId(Uuid);

/// One real piece, recorded: what it was taken for, what was seen, its photographs, and where it went.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Find {
    /// Its id.
    pub id: FindId,
    /// How often it was written: 0 until it is put in the daybook. A change is refused where someone else has changed it meanwhile.
    pub revision: u32,
    /// When the piece was recorded, with the time zone of the table.
    #[serde(with = "super::time_text")]
    pub found_at: ZonedDateTime,
    /// The house key it was named by.
    pub key: KeyName,
    /// What it was taken for; nothing for a piece that is not in the key or not told yet.
    pub named: Option<Named>,
    /// The verdict as a sentence, as it then stood.
    pub verdict: String,
    /// Probability of the form it was taken for, 0 to 1.
    pub probability: Option<f64>,
    /// How sure the verdict was.
    pub standing: Standing,
    /// What was seen, so that the piece can be taken in hand again.
    pub piece: Piece,
    /// What is written on the box it lies in. Empty where there is none.
    pub box_label: String,
    /// Anything else to be said of it.
    pub note: String,
    /// Its photographs, in the order they are shown.
    pub photographs: Vec<Photograph>,
    /// Status, place, prices, glazes and what else is recorded beside what was seen. Finds of before there was one have an empty one.
    #[serde(default, skip_serializing_if = "is_empty")]
    pub record: Record,
}

fn is_empty(record: &Record) -> bool {
    *record == Record::default()
}

/// The house key a find was named by.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeyName {
    /// Its title at the time.
    pub title: String,
    /// The name of its folder (not the whole path, which differs from one machine to the next).
    pub folder: String,
}

/// The form a find was taken for, with its names as they were then, so that the record stays readable when the key changes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Named {
    /// Its id in the key.
    pub form: FormId,
    /// Its name.
    pub form_name: String,
    /// The name of its line.
    pub line_name: String,
}

/// How sure the verdict was when the find was recorded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
pub enum Standing {
    /// Nothing was said of the piece.
    #[default]
    Nothing,
    /// Several forms were left.
    Narrowing,
    /// One led.
    Leaning,
    /// One was named.
    Settled,
    /// No form of the key was like it.
    NotInKey,
    /// The answers did not go together.
    Contradiction,
}

/// A photograph of a find. Its bytes are in the [`Store`](crate::photo::Store).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Photograph {
    /// The hash it is kept by.
    #[serde(with = "hash_text")]
    pub hash: PhotoHash,
    /// Its format.
    #[serde(with = "format_text")]
    pub format: Format,
    /// What it shows.
    pub kind: PhotoKind,
    /// How it is turned and cropped.
    pub edit: Edit,
    /// The file name it came with.
    pub name: String,
    /// A line under it.
    pub caption: String,
}

/// What a photograph shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
pub enum PhotoKind {
    /// The backstamp.
    Mark,
    /// The piece as a whole.
    #[default]
    WholePiece,
    /// A chip, a crack, a repair.
    Damage,
}

impl FindId {
    /// A new id.
    pub fn new() -> Self {
        Self(Uuid::now_v7())
    }
}

impl Default for FindId {
    fn default() -> Self {
        Self::new()
    }
}

impl fmt::Display for FindId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.hyphenated().fmt(f)
    }
}

impl FromStr for FindId {
    type Err = uuid::Error;

    fn from_str(text: &str) -> Result<Self, uuid::Error> {
        Uuid::try_parse(text).map(Self)
    }
}

/// Gives an enum of fixed words its word, and finds it by that.
macro_rules! words {
    ($name:ident, $all:literal, $($variant:ident => $stored:literal, $shown:expr);+ $(;)?) => {
        impl $name {
            /// All of them.
            pub const ALL: [Self; $all] = [$(Self::$variant),+];

            /// The word it is stored by.
            pub const fn stored(self) -> &'static str {
                match self { $(Self::$variant => $stored),+ }
            }

            /// The words for it on screen.
            pub fn words(self) -> &'static str {
                match self { $(Self::$variant => $shown),+ }
            }

            /// The one that is stored by that word.
            pub fn from_stored(word: &str) -> Option<Self> {
                Self::ALL.into_iter().find(|one| one.stored() == word)
            }
        }
    };
}

pub(super) use words;

words!(Standing, 6,
    Nothing => "nothing", say!("nothing said");
    Narrowing => "narrowing", say!("several left");
    Leaning => "leaning", say!("probably");
    Settled => "settled", say!("settled");
    NotInKey => "not-in-key", say!("not in this key");
    Contradiction => "contradiction", say!("answers that do not go together");
);

words!(PhotoKind, 3,
    Mark => "mark", say!("mark");
    WholePiece => "whole-piece", say!("whole piece");
    Damage => "damage", say!("damage");
);

mod hash_text {
    use crate::photo::PhotoHash;
    use serde::{Deserialize as _, Deserializer, Serializer, de::Error as _};

    pub(super) fn serialize<S: Serializer>(hash: &PhotoHash, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(hash)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<PhotoHash, D::Error> {
        String::deserialize(from)?.parse().map_err(D::Error::custom)
    }
}

mod format_text {
    use crate::photo::Format;
    use serde::{Deserialize as _, Deserializer, Serializer, de::Error as _};

    #[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands a reference")]
    pub(super) fn serialize<S: Serializer>(format: &Format, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(format.extension())
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Format, D::Error> {
        let word = String::deserialize(from)?;
        Format::of_extension(&word)
            .ok_or_else(|| D::Error::custom(format!("'{word}' is not a picture format (expected jpg, png, webp or tif)")))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stored_words_lead_back() {
        for standing in Standing::ALL {
            assert_eq!(Standing::from_stored(standing.stored()), Some(standing));
        }
        for kind in PhotoKind::ALL {
            assert_eq!(PhotoKind::from_stored(kind.stored()), Some(kind));
        }
        assert_eq!(PhotoKind::from_stored("selfie"), None);
    }
}
