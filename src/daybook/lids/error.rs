//! What can go wrong with two shelves.

use super::half::Side;
use crate::key::tables::quantity::QuantityError;
use crate::say;
use thiserror::Error;

/// Why two shelves cannot be paired as wished.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum PairError {
    /// There is no such lid or base.
    #[error("{}", say!("there is no {word} '{id}' on its shelf", word = .side.word(), id))]
    Unknown {
        /// Which shelf.
        side: Side,
        /// As written.
        id: String,
    },
    /// It is pinned to two others.
    #[error("{}", say!("the {word} '{id}' is pinned twice (take one pin out)", word = .side.word(), id))]
    PinnedTwice {
        /// Which shelf.
        side: Side,
        /// Which.
        id: String,
    },
    /// A pair is pinned and forbidden.
    #[error("{}", say!("the lid '{lid}' and the base '{base}' are both pinned and forbidden (take one of them out)", lid, base))]
    PinnedAndForbidden {
        /// The lid.
        lid: String,
        /// The base.
        base: String,
    },
}

/// Why a table is no shelf.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ReadError {
    /// There is no column of ids.
    #[error("{}", say!("there is no column 'id' in '{file}' (it has {columns})", file, columns))]
    NoId {
        /// The file.
        file: String,
        /// The columns it has, in quotes.
        columns: String,
    },
    /// There is no column of the measure.
    #[error("{}", say!("there is no column '{seat} major mm' in '{file}' (it has {columns})", seat = .side.seat(), file, columns))]
    NoMeasure {
        /// Lids or bases.
        side: Side,
        /// The file.
        file: String,
        /// The columns it has, in quotes.
        columns: String,
    },
    /// There is no row.
    #[error("{}", say!("there is no {word} in '{file}' (a row each was expected below the names of the columns)", word = .side.word(), file))]
    NoRows {
        /// Lids or bases.
        side: Side,
        /// The file.
        file: String,
    },
}

/// What is wrong with a row of a shelf.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum HalfProblem {
    /// It has no id.
    #[error("{}", say!("this row has no id and is left out (write the number on its sticker)"))]
    NoId,
    /// Its id was there before.
    #[error("{}", say!("the id '{id}' stands in row {first} already; this row is left out (give it an id of its own)", id, first))]
    DoubleId {
        /// The id.
        id: String,
        /// The row of the first.
        first: u32,
    },
    /// Another one of the shelf has its id.
    #[error("{}", say!("another one on this shelf, the {nth}, has the id '{id}' (give it an id of its own)", nth = nth(*.number), id))]
    Taken {
        /// The id.
        id: String,
        /// The number of the other, from 1.
        number: usize,
    },
    /// A measure cannot be read.
    #[error("{}", say!("{what}; it counts as not measured", what = _0))]
    Measure(#[from] QuantityError),
    /// A measure that no lid has.
    #[error("{}", say!("'{text}' is no size of a lid (a length above 5 mm and below 2000 mm was expected); it counts as not measured", text))]
    OutOfBounds {
        /// As written.
        text: String,
    },
    /// A shorter axis without the longer one.
    #[error("{}", say!("the shorter axis is given without the longer one; it counts as not measured"))]
    MinorAlone,
    /// Years that cannot be read.
    #[error("{}", say!("'{text}' is not a year or a span of years (write 1951 or 1951-64); it counts as not known", text))]
    Years {
        /// As written.
        text: String,
    },
    /// Nothing was measured.
    #[error("{}", say!("nothing was measured of '{id}', so it stays alone", id))]
    NotMeasured {
        /// The id.
        id: String,
    },
}

/// '1st', '22nd'.
fn nth(number: usize) -> String {
    let ending = match (number % 10, number % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{number}{ending}")
}
