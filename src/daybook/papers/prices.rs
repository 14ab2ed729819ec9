//! Prices of other years in today's money, by a table that the user has.

use crate::key::tables::Table;
use crate::key::tables::quantity::number;
use std::collections::BTreeMap;
use thiserror::Error;

/// Why a price cannot be carried from one year to another.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum PriceError {
    /// A column is missing.
    #[error("there is no column '{column}' in '{file}' (a table of 'year' and 'index' was expected)")]
    NoColumn {
        /// Which.
        column: &'static str,
        /// The file.
        file: String,
    },
    /// A row cannot be read.
    #[error("{place}: '{text}' is not {expected}")]
    BadCell {
        /// Where.
        place: String,
        /// As written.
        text: String,
        /// What was expected.
        expected: &'static str,
    },
    /// A year is there twice.
    #[error("{place}: the year {year} stands there twice")]
    Twice {
        /// Where.
        place: String,
        /// The year.
        year: i32,
    },
    /// The table has no such year.
    #[error("the index has no year {year} (it has {from} to {to}; give one of a longer time)")]
    NoYear {
        /// Which.
        year: i32,
        /// Its first year.
        from: i32,
        /// Its last.
        to: i32,
    },
    /// There is nothing in the table.
    #[error("there is no year in the index")]
    Nothing,
}

/// Reads an index of consumer prices: columns `year` and `index`.
///
/// # Errors
/// Where a column is missing, a cell cannot be read, or a year stands there twice.
pub fn price_index(table: &Table) -> Result<BTreeMap<i32, f64>, PriceError> {
    let column = |name: &'static str| table.column(name).ok_or_else(|| PriceError::NoColumn { column: name, file: table.file.clone() });
    let (year, index) = (column("year")?, column("index")?);
    let mut found = BTreeMap::new();
    for row in 0..table.len() {
        let bad = |column: usize, expected: &'static str| PriceError::BadCell {
            place: table.place(table.at(row, column)),
            text: table.cell(row, column).trim().to_owned(),
            expected,
        };
        let of: i32 = table.cell(row, year).trim().parse().map_err(|_unsaid| bad(year, "a year"))?;
        let value = number(table.cell(row, index)).filter(|value| *value > 0.0).ok_or_else(|| bad(index, "a number above 0"))?;
        if found.insert(of, value).is_some() {
            return Err(PriceError::Twice { place: table.place(table.at(row, year)), year: of });
        }
    }
    if found.is_empty() { Err(PriceError::Nothing) } else { Ok(found) }
}

/// A price of one year in the money of another: `price × index(to) / index(from)`.
///
/// # Errors
/// Where the index lacks one of the years; nothing is guessed between years.
pub fn adjusted(price: f64, from: i32, to: i32, index: &BTreeMap<i32, f64>) -> Result<f64, PriceError> {
    let (Some((first, _)), Some((last, _))) = (index.first_key_value(), index.last_key_value()) else { return Err(PriceError::Nothing) };
    let of = |year: i32| index.get(&year).copied().ok_or(PriceError::NoYear { year, from: *first, to: *last });
    Ok(price * of(to)? / of(from)?)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use crate::key::tables::{HeaderRow, Options, read_bytes};

    fn index(text: &str) -> Result<BTreeMap<i32, f64>, String> {
        let table = read_bytes("index.csv", text.as_bytes().to_vec(), &Options { header: HeaderRow::First, ..Options::default() }).unwrap();
        price_index(&table).map_err(|error| error.to_string())
    }

    #[test]
    fn a_price_is_carried_from_year_to_year_and_never_guessed() {
        // Made-up index.
        let known = index("year,index\n1951,10\n1964,\"14,5\"\n").unwrap();
        assert!((adjusted(6.0, 1951, 1964, &known).unwrap() - 8.7).abs() < 1e-12);
        assert!((adjusted(6.0, 1964, 1964, &known).unwrap() - 6.0).abs() < 1e-12);
        assert_eq!(
            adjusted(6.0, 1951, 1960, &known).unwrap_err().to_string(),
            "the index has no year 1960 (it has 1951 to 1964; give one of a longer time)"
        );
    }

    #[test]
    fn a_bad_index_is_told_with_its_place() {
        assert_eq!(
            index("jahr,index\n1951,10\n").unwrap_err(),
            "there is no column 'year' in 'index.csv' (a table of 'year' and 'index' was expected)"
        );
        assert_eq!(index("year,index\n1951,0\n").unwrap_err(), "index.csv, row 2, column B: '0' is not a number above 0");
        assert_eq!(index("year,index\nlong ago,3\n").unwrap_err(), "index.csv, row 2, column A: 'long ago' is not a year");
        assert_eq!(index("year,index\n1951,3\n1951,4\n").unwrap_err(), "index.csv, row 3, column A: the year 1951 stands there twice");
        assert_eq!(index("year,index\n").unwrap_err(), "there is no year in the index");
    }
}
