//! What each column of a table is taken for, as a text that can be kept and edited.

use super::quantity::{Customary, Decimal, ListUnit};
use crate::key::model::Unit;
use crate::say;
use indexmap::IndexMap;
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};
use thiserror::Error;

/// What a column is.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum Role {
    /// The name of the form. Rows of one name (and line) are pieces of one form.
    Name,
    /// The line of the form.
    Line,
    /// A feature of which each cell holds one value, or several parted by a sign.
    Category {
        /// The feature's name, in the key or new.
        feature: String,
        /// The sign between several values in one cell.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        split: Option<char>,
    },
    /// A category whose values are colours; `#c0a080` is one by itself.
    Colour {
        /// The feature's name, in the key or new.
        feature: String,
        /// The sign between several values in one cell.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        split: Option<char>,
    },
    /// A measured feature.
    Measure {
        /// The feature's name, in the key or new.
        feature: String,
        /// The unit of numbers that have none written.
        unit: ListUnit,
    },
    /// The first year of making.
    From,
    /// The last year of making.
    To,
    /// Years of making in one cell: 1951, 1951-64, 1950s.
    Years,
    /// A number or code of the piece. It is not brought in.
    Identifier,
    /// A note on the form.
    Note,
    /// Not brought in.
    Ignore,
}

impl Role {
    /// The role in a word or two.
    pub fn words(&self) -> &'static str {
        match self {
            Self::Name => say!(in "a column of a list", "name"),
            Self::Line => say!(in "a column of a list", "line"),
            Self::Category { .. } => say!(in "a column of a list", "feature"),
            Self::Colour { .. } => say!(in "a column of a list", "colour"),
            Self::Measure { .. } => say!(in "a column of a list", "measure"),
            Self::From => say!(in "a column of a list", "first year"),
            Self::To => say!(in "a column of a list", "last year"),
            Self::Years => say!(in "a column of a list", "years"),
            Self::Identifier => say!(in "a column of a list", "identifier"),
            Self::Note => say!(in "a column of a list", "note"),
            Self::Ignore => say!(in "a column of a list", "left out"),
        }
    }

    /// The role in full: `feature 'rim', several parted by '|'`, `measure 'height' in inches`.
    pub fn full(&self) -> String {
        match self {
            Self::Category { feature, split: Some(sign) } | Self::Colour { feature, split: Some(sign) } => {
                format!("{} '{feature}', several parted by '{sign}'", self.words())
            }
            Self::Category { feature, split: None } | Self::Colour { feature, split: None } => format!("{} '{feature}'", self.words()),
            Self::Measure { feature, unit } => format!("measure '{feature}' in {}", unit.words()),
            _ => self.words().to_owned(),
        }
    }
}

/// What the rows of a table are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Rows {
    /// Pieces where most rows share their name with another, else forms.
    #[default]
    Guess,
    /// Each row describes a form; what it says holds for every piece.
    Forms,
    /// Each row is one piece; values are counted, and a form weighs as much as it has pieces.
    Pieces,
}

/// What each column is taken for, and how cells are read.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mapping {
    /// By the names of the columns. A column that is not named is left out.
    pub columns: IndexMap<String, Role>,
    /// What the rows are.
    #[serde(default)]
    pub rows: Rows,
    /// Whose pints and fluid ounces are meant where a cell does not say so.
    #[serde(default)]
    pub pints: Customary,
    /// True where `1.234` means a thousand and `92,5` has a decimal comma.
    #[serde(default)]
    pub decimal_comma: bool,
    /// The line of forms that have none in the table. Left out, one is made that is called as the file.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line: Option<String>,
}

/// Why a mapping was not read or written.
#[derive(Debug, Error)]
pub enum MappingError {
    /// The system would not give or take it.
    #[error("the mapping '{}' can't be {}: {why}", .path.display(), if *.writing { "written" } else { "read" })]
    Io {
        /// The file.
        path: PathBuf,
        /// Whether it was to be written.
        writing: bool,
        /// What the system said.
        why: std::io::Error,
    },
    /// It makes no sense.
    #[error("the mapping '{}' is not understood at line {line}, column {column}: {why}", .path.display())]
    Text {
        /// The file.
        path: PathBuf,
        /// From 1.
        line: usize,
        /// From 1.
        column: usize,
        /// What is wrong.
        why: String,
    },
}

impl Mapping {
    /// Reads a mapping from its file.
    ///
    /// # Errors
    /// Where it cannot be read or understood.
    pub fn read(path: &Path) -> Result<Self, MappingError> {
        let text = std::fs::read_to_string(path).map_err(|why| MappingError::Io { path: path.to_owned(), writing: false, why })?;
        Self::from_text(&text).map_err(|e| MappingError::Text {
            path: path.to_owned(),
            line: e.span.start.line,
            column: e.span.start.col,
            why: e.code.to_string(),
        })
    }

    fn from_text(text: &str) -> Result<Self, ron::error::SpannedError> {
        ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME).from_str(text)
    }

    /// The mapping as text.
    pub fn text(&self) -> String {
        let pretty = ron::ser::PrettyConfig::new().extensions(ron::extensions::Extensions::empty()).struct_names(false);
        let body = ron::Options::default()
            .with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME)
            .to_string_pretty(self, pretty)
            .unwrap_or_default();
        format!(
            "// What each column is taken for: Name, Line, Category, Colour, Measure, From, To, Years, Identifier, Note or Ignore.\n{body}\n"
        )
    }

    /// Writes the mapping to a file.
    ///
    /// # Errors
    /// Where the system does not take it.
    pub fn write(&self, path: &Path) -> Result<(), MappingError> {
        std::fs::write(path, self.text()).map_err(|why| MappingError::Io { path: path.to_owned(), writing: true, why })
    }

    /// How numbers are written in the table.
    pub(super) const fn decimal(&self) -> Decimal {
        if self.decimal_comma { Decimal::Comma } else { Decimal::Guess }
    }
}

/// The unit of the key in which measures of that unit are recorded.
pub(super) const fn key_unit(unit: ListUnit) -> Unit {
    unit.metric(Customary::Imperial).0
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[test]
    fn a_mapping_comes_back_as_it_was_written() {
        let mapping = Mapping {
            columns: IndexMap::from([
                ("piece".to_owned(), Role::Name),
                ("rim".to_owned(), Role::Category { feature: "rim".to_owned(), split: Some('|') }),
                ("height (in)".to_owned(), Role::Measure { feature: "height".to_owned(), unit: ListUnit::Inch }),
            ]),
            line: Some("Fenlight".to_owned()),
            ..Mapping::default()
        };
        assert_eq!(Mapping::from_text(&mapping.text()).unwrap(), mapping, "{}", mapping.text());
    }

    #[test]
    fn a_short_one_written_by_hand_is_enough() {
        let mapping = Mapping::from_text("(columns: {\"piece\": Name, \"rim\": Category(feature: \"rim\", split: ';')})").unwrap();
        assert_eq!(mapping.columns.get("rim"), Some(&Role::Category { feature: "rim".to_owned(), split: Some(';') }));
    }
}
