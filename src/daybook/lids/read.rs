//! A shelf of lids or bases from a table.

use super::error::{HalfProblem, ReadError};
use super::half::{Half, Side};
use super::rules::Rules;
use crate::identify::Measured;
use crate::key::Unit;
use crate::key::tables::quantity::{Customary, Decimal, ListUnit, parse};
use crate::key::tables::{CellAt, Table, clip, parse_years};
use crate::key::words::fold;
use std::collections::BTreeMap;

/// Lids and bases are between these, in mm.
const BOUNDS_MM: (f64, f64) = (5.0, 2000.0);
/// Words of a column 'outline' that say both axes are the same.
const ROUND: [&str; 2] = ["round", "circular"];

/// A shelf as it was read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Shelf {
    /// What lies on it, in the order of the table.
    pub halves: Vec<Half>,
    /// What is wrong with it, in the order of the table.
    pub problems: Vec<(CellAt, HalfProblem)>,
}

/// Where what is wanted stands.
struct Columns {
    id: usize,
    major: (usize, ListUnit),
    minor: Option<(usize, ListUnit)>,
    noted: Vec<(usize, String)>,
    years: Option<usize>,
}

/// Reads a shelf: columns `id`, `flange major mm` (of a base `gallery major mm`), `… minor mm`, and those that the rules weigh. Lengths may be in any unit
/// the table says, with ± or as a span; a length alone gets the ± of the rules.
///
/// # Errors
/// Where the id or the measure has no column, or there is no row.
pub fn read(table: &Table, side: Side, rules: &Rules) -> Result<Shelf, ReadError> {
    let columns = Columns::find(table, side, rules)?;
    if table.is_empty() {
        return Err(ReadError::NoRows { side, file: table.file.clone() });
    }
    let mut shelf = Shelf::default();
    let mut seen: BTreeMap<String, u32> = BTreeMap::new();
    for row in 0..table.len() {
        let id = table.cell(row, columns.id).trim().to_owned();
        let at = table.at(row, columns.id);
        if id.is_empty() {
            shelf.problems.push((at, HalfProblem::NoId));
            continue;
        }
        if let Some(&first) = seen.get(&id) {
            shelf.problems.push((at, HalfProblem::DoubleId { id, first }));
            continue;
        }
        seen.insert(id.clone(), at.row);
        let half = columns.half(table, row, id, rules, &mut shelf.problems);
        shelf.halves.push(half);
    }
    Ok(shelf)
}

impl Columns {
    fn find(table: &Table, side: Side, rules: &Rules) -> Result<Self, ReadError> {
        let names = || table.headers.iter().map(|header| format!("'{header}'")).collect::<Vec<_>>().join(", ");
        let id = table.column("id").ok_or_else(|| ReadError::NoId { file: table.file.clone(), columns: names() })?;
        let major = seat_column(table, side, &["major", "diameter", ""]).ok_or_else(|| ReadError::NoMeasure {
            side,
            file: table.file.clone(),
            columns: names(),
        })?;
        let noted = rules.alike.iter().filter_map(|(name, _)| Some((table.column(name)?, name.clone()))).collect();
        let years = rules.same_date.as_ref().and_then(|(name, _)| table.column(name));
        Ok(Self { id, major, minor: seat_column(table, side, &["minor"]), noted, years })
    }

    fn half(&self, table: &Table, row: usize, id: String, rules: &Rules, problems: &mut Vec<(CellAt, HalfProblem)>) -> Half {
        let mut half = Half { id, ..Half::default() };
        for (column, name) in &self.noted {
            let text = table.cell(row, *column).trim();
            if !text.is_empty() {
                half.noted.insert(name.clone(), text.to_owned());
            }
        }
        let before = problems.len();
        let [major, minor] = [Some(self.major), self.minor].map(|column| {
            let (column, unit) = column?;
            length(table.cell(row, column), unit, rules.reading_mm).unwrap_or_else(|problem| {
                problems.push((table.at(row, column), problem));
                None
            })
        });
        (half.major, half.minor) = (major, minor);
        match (half.major, half.minor, self.minor) {
            (None, Some(_), Some((column, _))) => {
                half.minor = None;
                problems.push((table.at(row, column), HalfProblem::MinorAlone));
            }
            (None, None, _) if problems.len() == before => {
                problems.push((table.at(row, self.major.0), HalfProblem::NotMeasured { id: half.id.clone() }));
            }
            // Whichever was called the longer: the longer one is.
            (Some(major), Some(minor), _) if minor.value > major.value => (half.major, half.minor) = (Some(minor), Some(major)),
            (Some(major), None, _) if half.noted("outline").is_some_and(|outline| ROUND.contains(&fold(outline).as_str())) => {
                half.minor = Some(major);
            }
            _ => {}
        }
        if let Some(column) = self.years {
            let text = table.cell(row, column).trim();
            match parse_years(text) {
                Some(years) => half.made = years,
                None if text.is_empty() => {}
                None => problems.push((table.at(row, column), HalfProblem::Years { text: clip(text) })),
            }
        }
        half
    }
}

/// The column of the seat's axis that has one of these names, and the unit its heading says: `flange major mm`, `Gallery (minor, cm)`.
fn seat_column(table: &Table, side: Side, axes: &[&str]) -> Option<(usize, ListUnit)> {
    let named = |header: &str, axis: &str| {
        let folded = fold(header);
        let rest = folded.strip_prefix(side.seat())?.trim_start();
        let (name, unit) = match rest.rsplit_once(' ').unwrap_or(("", rest)) {
            (before, last) if ListUnit::from_letters(last).is_some() => (before, ListUnit::from_letters(last)?),
            _ => (rest, ListUnit::Mm),
        };
        (name == axis).then_some(unit)
    };
    axes.iter().find_map(|axis| table.headers.iter().enumerate().find_map(|(column, header)| Some((column, named(header, axis)?))))
}

/// The length in a cell; nothing where it is empty.
fn length(text: &str, unit: ListUnit, reading_mm: f64) -> Result<Option<Measured>, HalfProblem> {
    let text = text.trim();
    if text.is_empty() || matches!(text, "?" | "-" | "–") {
        return Ok(None);
    }
    let (low, high) = parse(text, Decimal::Guess)?.in_unit(Unit::Mm, unit, Customary::default(), text)?;
    let (value, half) = (f64::midpoint(low, high), (high - low) / 2.0);
    if !(value > BOUNDS_MM.0 && value < BOUNDS_MM.1) {
        return Err(HalfProblem::OutOfBounds { text: clip(text) });
    }
    Ok(Some(Measured { value, plus_minus: if half > 0.0 { half } else { reading_mm } }))
}

#[cfg(test)]
mod tests;
