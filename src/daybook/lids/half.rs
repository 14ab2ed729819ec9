//! A loose lid or a lidless base.

use crate::identify::Measured;
use crate::key::Years;
use crate::say;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A loose lid or a lidless base.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Half {
    /// What it is called: a number on a sticker. Unique on its shelf.
    pub id: String,
    /// Diameter of the lid's flange, or of the base's gallery, in mm; the longer axis of an oval one. Nothing where it could not be measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub major: Option<Measured>,
    /// The shorter axis in mm, at most as long as the longer one. Nothing where it was not measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minor: Option<Measured>,
    /// What was noted of it by the names of the columns, in small letters: glaze, clay, outline, line. What is empty was not looked at.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub noted: BTreeMap<String, String>,
    /// When it was made, as far as that is known.
    #[serde(default, skip_serializing_if = "Years::is_open")]
    pub made: Years,
}

/// On which of the two shelves a half lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// A lid, measured across its flange.
    Lid,
    /// A base, measured across its gallery.
    Base,
}

impl Side {
    /// 'lid' or 'base'.
    pub fn word(self) -> &'static str {
        match self {
            Self::Lid => say!("lid"),
            Self::Base => say!("base"),
        }
    }

    /// What is measured of it: 'flange' or 'gallery'.
    pub fn seat(self) -> &'static str {
        match self {
            Self::Lid => say!("flange"),
            Self::Base => say!("gallery"),
        }
    }
}

impl Half {
    /// What was noted under that name; nothing where it is empty.
    pub fn noted(&self, column: &str) -> Option<&str> {
        self.noted.get(column).map(|text| text.trim()).filter(|text| !text.is_empty())
    }
}
