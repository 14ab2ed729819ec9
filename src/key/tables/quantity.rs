//! Quantities as people write them in lists: `9 1/4"`, `6-5/8 in`, `92,5 mm`, `92-95`, `92±2`, `1 lb 4 oz`, `1½ pints`.

mod parse;
mod unit;

pub use unit::{Customary, ListUnit};

use super::header::clip;
use crate::key::model::Unit;
use crate::say;
use thiserror::Error;

/// A quantity as written: one number or a range, perhaps with its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quantity {
    /// The number, or the least of a range; in `unit`, never below 0.
    pub low: f64,
    /// The same number, or the greatest of a range.
    pub high: f64,
    /// The unit, where one was written.
    pub unit: Option<ListUnit>,
}

/// How the numbers of a column are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Decimal {
    /// As each number says itself: `1,234` has a thousand, `92,5` a decimal comma, `1.234` a decimal point.
    #[default]
    Guess,
    /// Points before decimals.
    Point,
    /// Commas before decimals: `1.234` has a thousand.
    Comma,
}

/// Why a text is no quantity.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum QuantityError {
    /// It cannot be understood.
    #[error("{}", say!("'{text}' is not a measure (write a number with or without its unit: 92, 92-95 mm, 9 1/4 in)", text))]
    NotAMeasure {
        /// As written.
        text: String,
    },
    /// It has several dimensions.
    #[error("{}", say!("'{text}' holds several dimensions (give each a column of its own)", text))]
    Several {
        /// As written.
        text: String,
    },
    /// The first number of a range is the greater.
    #[error("{}", say!("'{text}' runs backwards (write the lesser number first)", text))]
    Backwards {
        /// As written.
        text: String,
    },
    /// It is in a unit of another sort.
    #[error("{}", say!("'{text}' is in {unit}, and {wanted} expected", text, unit, wanted))]
    OtherUnit {
        /// As written.
        text: String,
        /// The unit that was found.
        unit: &'static str,
        /// In words: 'a length was'.
        wanted: &'static str,
    },
}

/// Reads a quantity.
///
/// # Errors
/// Where the whole of the text cannot be read as one.
pub fn parse(text: &str, decimal: Decimal) -> Result<Quantity, QuantityError> {
    parse::quantity(text, decimal)
}

/// Reads a plain number without a unit, a fraction or a range among them not: `92`, `92.5`, `92,5`, `1 250`.
pub fn number(text: &str) -> Option<f64> {
    parse::plain_number(text, Decimal::Guess)
}

impl Quantity {
    /// Least and greatest in a unit of the key. A number without a unit is taken to be in `otherwise`; ounces stand for fluid ounces where
    /// a volume is wanted, as people say of a teapot.
    ///
    /// # Errors
    /// Where the unit is of another sort. `text` is for the message.
    pub fn in_unit(&self, unit: Unit, otherwise: ListUnit, customary: Customary, text: &str) -> Result<(f64, f64), QuantityError> {
        let written = self.unit.unwrap_or(otherwise);
        let scale = written.in_unit(unit, customary).ok_or_else(|| QuantityError::OtherUnit {
            text: clip(text),
            unit: written.words(),
            wanted: match unit {
                Unit::Mm => "a length was",
                Unit::G => "a weight was",
                Unit::Ml => "a volume was",
                Unit::Count => "a plain count was",
            },
        })?;
        Ok((tidy(self.low * scale), tidy(self.high * scale)))
    }
}

/// A number without the noise of binary fractions: 9 1/4 in are 234.95 mm.
fn tidy(x: f64) -> f64 {
    format!("{x:.11e}").parse().unwrap_or(x)
}

impl std::fmt::Display for Quantity {
    /// As [`parse`] reads it again.
    #[expect(clippy::float_cmp, reason = "a range of one number is written as that number")]
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.low == self.high {
            write!(f, "{}", self.low)?;
        } else {
            write!(f, "{}–{}", self.low, self.high)?;
        }
        match self.unit {
            Some(unit) => write!(f, " {}", unit.sign()),
            None => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests;
