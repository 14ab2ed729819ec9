//! What each column of a table probably is, with the reason.

use super::mapping::{Mapping, Role, Rows, key_unit};
use super::quantity::{self, Decimal, ListUnit};
use super::table::Table;
use super::{cells, years};
use crate::key::model::{FeatureKind, Key, Unit};
use crate::key::words::{Words, fold};
use std::collections::HashSet;

/// So many rows are looked at.
const SAMPLE: usize = 2000;

/// A guess of one column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Guess {
    /// The column's name.
    pub header: String,
    /// What it is taken for.
    pub role: Role,
    /// Why, in half a sentence.
    pub reason: String,
}

/// The columns of a table with what each is taken for, and the mapping that follows.
///
/// A column named as a feature of `key` is that feature. `name` says which column holds the names, where the person does.
pub fn guess(table: &Table, key: &Key, name: Option<&str>) -> (Vec<Guess>, Mapping) {
    let words = Words::new(key);
    let columns: Vec<Column> = (0..table.headers.len()).map(|column| Column::new(table, column)).collect();
    let decimal_comma = columns.iter().any(|column| column.comma);
    let named = name.and_then(|name| table.column(name)).or_else(|| name_column(&columns));
    let mut guesses: Vec<Guess> = Vec::with_capacity(columns.len());
    for (at, column) in columns.iter().enumerate() {
        let (role, reason) = if Some(at) == named {
            let reason = if name.is_some() { "said to be it".to_owned() } else { column.why_name() };
            (Role::Name, reason)
        } else {
            column.role(key, &words)
        };
        guesses.push(Guess { header: column.header.clone(), role, reason });
    }
    let columns = guesses.iter().map(|guess| (guess.header.clone(), guess.role.clone())).collect();
    (guesses, Mapping { columns, decimal_comma, rows: Rows::Guess, ..Mapping::default() })
}

/// What the cells of a column look like.
struct Column {
    header: String,
    folded: String,
    /// The cells of the sample that say something.
    cells: Vec<String>,
    distinct: usize,
    /// Cells that read as measures, and as plain numbers.
    measures: usize,
    numbers: usize,
    years: usize,
    /// The unit written in most of the measures.
    unit: Option<ListUnit>,
    comma: bool,
    mean_length: usize,
}

const NAMES: [&str; 12] = [
    "name",
    "form",
    "title",
    "shape",
    "piece",
    "object",
    "item",
    "object name",
    "form name",
    "object title",
    "description of piece",
    "what",
];
const LINES: [&str; 5] = ["line", "range", "series", "service", "product line"];
const IDENTIFIERS: [&str; 17] = [
    "id",
    "no",
    "nr",
    "number",
    "accession",
    "accession number",
    "accession no",
    "inventory",
    "inventory number",
    "inv",
    "ref",
    "reference",
    "sku",
    "code",
    "barcode",
    "url",
    "link",
];
const NOTES: [&str; 7] = ["note", "notes", "comment", "comments", "remark", "remarks", "description"];
const COLOURS: [&str; 6] = ["colour", "color", "colours", "colors", "glaze colour", "glaze color"];
const LENGTHS: [&str; 11] =
    ["height", "width", "depth", "diameter", "length", "thickness", "rim diameter", "foot diameter", "diam", "dia", "h"];
const WEIGHTS: [&str; 3] = ["weight", "mass", "wt"];
const VOLUMES: [&str; 2] = ["capacity", "volume"];

impl Column {
    fn new(table: &Table, column: usize) -> Self {
        let header = table.headers.get(column).cloned().unwrap_or_default();
        let step = (table.len() / SAMPLE).max(1);
        let said = |row: usize| Some(table.cell(row, column).trim()).filter(|cell| !cells::is_missing(cell)).map(str::to_owned);
        let cells: Vec<String> = (0..table.len()).step_by(step).filter_map(said).collect();
        let distinct: HashSet<String> = cells.iter().map(|cell| fold(cell)).collect();
        let read: Vec<quantity::Quantity> = cells.iter().filter_map(|cell| quantity::parse(cell, Decimal::Guess).ok()).collect();
        let mut units: Vec<ListUnit> = read.iter().filter_map(|found| found.unit).collect();
        units.sort_unstable();
        let most = units.chunk_by(|a, b| a == b).max_by_key(|run| run.len());
        let unit = most.filter(|run| run.len() * 2 > read.len()).and_then(|run| run.first().copied());
        Self {
            folded: fold(&header),
            distinct: distinct.len(),
            measures: read.len(),
            numbers: cells.iter().filter(|cell| quantity::number(cell).is_some()).count(),
            years: cells.iter().filter(|cell| is_year(cell)).count(),
            unit,
            comma: cells.iter().any(|cell| has_comma_decimal(cell)),
            mean_length: cells.iter().map(String::len).sum::<usize>() / cells.len().max(1),
            header,
            cells,
        }
    }

    fn most(&self, count: usize) -> bool {
        !self.cells.is_empty() && count * 10 >= self.cells.len() * 8
    }

    fn why_name(&self) -> String {
        if NAMES.contains(&self.folded.as_str()) { "from its header".to_owned() } else { "the first column of words".to_owned() }
    }

    fn role(&self, key: &Key, words: &Words) -> (Role, String) {
        let (bare, header_unit) = without_unit(&self.header);
        if self.cells.is_empty() {
            return (Role::Ignore, "nothing in it".to_owned());
        }
        for name in [self.header.as_str(), bare.as_str()] {
            if let Some(feature) = words.feature(name).ok().and_then(|id| key.feature(&id)) {
                let reason = "named as a feature of the key".to_owned();
                let feature_name = feature.shown_name();
                return match &feature.kind {
                    FeatureKind::Measure(kind) => {
                        let unit = header_unit.or(self.unit).unwrap_or_else(|| own_unit(kind.unit));
                        (Role::Measure { feature: feature_name, unit }, reason)
                    }
                    FeatureKind::Choice(_) | FeatureKind::Glaze | FeatureKind::Decoration | FeatureKind::Mark => {
                        (Role::Category { feature: feature_name, split: self.split() }, reason)
                    }
                };
            }
        }
        let is = |list: &[&str]| list.contains(&self.folded.as_str());
        let header = || "from its header".to_owned();
        if is(&LINES) {
            return (Role::Line, header());
        }
        if is(&NOTES) {
            return (Role::Note, header());
        }
        if let Some(role) = self.years_role() {
            return (role, "its header, and years in its cells".to_owned());
        }
        if is(&IDENTIFIERS) && (self.distinct * 10 >= self.cells.len() * 9 || self.folded.len() > 2) {
            return (Role::Identifier, header());
        }
        if let Some(found) = self.measure(&bare, header_unit) {
            return found;
        }
        if is(&COLOURS) {
            return (Role::Colour { feature: self.header.clone(), split: self.split() }, header());
        }
        self.by_cells()
    }

    fn by_cells(&self) -> (Role, String) {
        const LONG: usize = 60;
        const FEW: usize = 60;
        let rows = self.cells.len();
        let coded = self.cells.iter().filter(|cell| cell.bytes().any(|b| b.is_ascii_digit())).count();
        if rows >= 20 && self.distinct == rows && self.most(coded) {
            return (Role::Identifier, format!("{rows} codes, no two the same"));
        }
        if self.mean_length > LONG {
            return (Role::Note, format!("{} letters a cell", self.mean_length));
        }
        if self.distinct > FEW.max(rows / 4) {
            return (Role::Note, format!("{} different texts in {rows} cells", self.distinct));
        }
        let split = self.split();
        let reason = match split {
            Some(sign) => format!("{} different texts, several in a cell parted by '{sign}'", self.distinct),
            None => format!("{} different values in {rows} cells", self.distinct),
        };
        (Role::Category { feature: self.header.clone(), split }, reason)
    }

    fn years_role(&self) -> Option<Role> {
        let words: Vec<&str> = self.folded.split(' ').collect();
        let has = |list: &[&str]| list.iter().any(|word| words.contains(word));
        if !self.most(self.years) {
            return None;
        }
        if has(&["from", "earliest", "first", "start", "begin", "introduced"]) {
            Some(Role::From)
        } else if has(&["to", "latest", "last", "end", "until", "withdrawn"]) {
            Some(Role::To)
        } else if has(&["year", "years", "date", "dates", "dated", "made", "period"]) {
            Some(Role::Years)
        } else {
            None
        }
    }

    fn measure(&self, bare: &str, header_unit: Option<ListUnit>) -> Option<(Role, String)> {
        let folded = fold(bare);
        let ends = |list: &[&str]| list.iter().any(|word| folded == *word || folded.ends_with(&format!(" {word}")));
        let by_name = if ends(&LENGTHS) {
            Some(ListUnit::Mm)
        } else if ends(&WEIGHTS) {
            Some(ListUnit::G)
        } else if ends(&VOLUMES) {
            Some(ListUnit::Ml)
        } else {
            None
        };
        // A header that names a measure is believed where half of the cells are one; the others are then told of.
        let named = by_name.is_some() || header_unit.is_some();
        let believed = self.most(self.measures) || named && self.measures * 2 >= self.cells.len();
        if !believed {
            return None;
        }
        let measure = |unit| Role::Measure { feature: bare.to_owned(), unit };
        if let Some(unit) = header_unit {
            return Some((measure(unit), format!("{} in its header", unit.words())));
        }
        if let Some(unit) = self.unit {
            return Some((measure(unit), format!("{} in its cells", unit.words())));
        }
        if let Some(unit) = by_name {
            return Some((measure(unit), format!("its header; no unit is written, so {} are taken", unit.words())));
        }
        // Plain numbers of many sizes are measured or counted; a few sizes are as good as words.
        let many = self.distinct > 12 && self.distinct * 3 > self.cells.len().min(60);
        (self.most(self.numbers) && many).then(|| (measure(ListUnit::Plain), format!("{} different numbers without a unit", self.distinct)))
    }

    /// The sign that parts several values in one cell: one whose pieces come back more often than the cells do.
    fn split(&self) -> Option<char> {
        const LONGEST: usize = 40;
        ['|', ';', '/', ','].into_iter().find(|&sign| {
            let several = self.cells.iter().filter(|cell| cell.contains(sign)).count();
            if several < 2 {
                return false;
            }
            let pieces: Vec<String> = self.cells.iter().flat_map(|cell| cell.split(sign)).map(fold).filter(|p| !p.is_empty()).collect();
            let distinct: HashSet<&String> = pieces.iter().collect();
            let short = pieces.iter().all(|piece| piece.len() <= LONGEST);
            short && distinct.len() < self.distinct.max(2)
        })
    }
}

/// The column of names: by its header, in the order of likelihood; else the first of words that are not all codes.
fn name_column(columns: &[Column]) -> Option<usize> {
    let by_header = NAMES.iter().find_map(|name| columns.iter().position(|column| column.folded == *name && !column.cells.is_empty()));
    by_header.or_else(|| {
        columns.iter().position(|column| {
            let worded = column.cells.iter().filter(|cell| cell.chars().any(char::is_alphabetic)).count();
            column.most(worded) && !column.most(column.measures) && !IDENTIFIERS.contains(&column.folded.as_str())
        })
    })
}

fn is_year(cell: &str) -> bool {
    years::parse(cell).is_some_and(|years| years.to.is_some_and(|year| year.abs() <= 2100))
}

/// True for `92,5` and its like, which no thousand explains.
fn has_comma_decimal(cell: &str) -> bool {
    let Some((whole, rest)) = cell.split_once(',') else { return false };
    let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
    let before = whole.bytes().last().is_some_and(|b| b.is_ascii_digit());
    before && matches!(digits, 1 | 2) && !rest.contains(',') && quantity::parse(cell, Decimal::Guess).is_ok()
}

/// A header without the unit at its end: `Height (in)` is `Height`, in inches.
fn without_unit(header: &str) -> (String, Option<ListUnit>) {
    let trimmed = header.trim();
    let bracketed = trimmed.strip_suffix([')', ']']).and_then(|rest| rest.rsplit_once(['(', '[']));
    let Some((bare, unit)) = bracketed else {
        let words: Vec<&str> = trimmed.split([' ', '_', ',']).filter(|word| !word.is_empty()).collect();
        // 'capacity fl oz' before 'capacity fl' 'oz'.
        for count in [3, 2, 1] {
            if words.len() > count
                && let Some(tail) = words.get(words.len() - count..)
                && letters(&tail.join(" ")).is_some()
                && let Some(at) = tail.first().and_then(|first| trimmed.rfind(first))
            {
                let bare = trimmed.get(..at).unwrap_or_default().trim_end_matches([' ', '_', ',']);
                return (bare.to_owned(), letters(&tail.join(" ")));
            }
        }
        return (trimmed.to_owned(), None);
    };
    match letters(unit) {
        Some(unit) => (bare.trim().to_owned(), Some(unit)),
        None => (trimmed.to_owned(), None),
    }
}

fn letters(text: &str) -> Option<ListUnit> {
    if matches!(text.trim(), "\"" | "″" | "''") {
        return Some(ListUnit::Inch);
    }
    let plain: String = text.chars().filter(|c| !matches!(c, ' ' | '.' | '_')).flat_map(char::to_lowercase).collect();
    ListUnit::from_letters(&plain)
}

pub(super) const fn own_unit(unit: Unit) -> ListUnit {
    match unit {
        Unit::Mm => ListUnit::Mm,
        Unit::G => ListUnit::G,
        Unit::Ml => ListUnit::Ml,
        Unit::Count => ListUnit::Plain,
    }
}

/// True where a measure of `list` can be recorded in `unit`.
pub(super) fn fits(list: ListUnit, unit: Unit) -> bool {
    list == ListUnit::Plain || key_unit(list) == unit || list == ListUnit::Ounce && unit == Unit::Ml
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_stand_at_the_end_of_headers() {
        let check = |header: &str, bare: &str, unit: Option<ListUnit>| {
            assert_eq!(without_unit(header), (bare.to_owned(), unit), "{header}");
        };
        check("height mm", "height", Some(ListUnit::Mm));
        check("Height (in)", "Height", Some(ListUnit::Inch));
        check("Height (\")", "Height", Some(ListUnit::Inch));
        check("rim_diameter_cm", "rim_diameter", Some(ListUnit::Cm));
        check("capacity fl oz", "capacity", Some(ListUnit::FluidOunce));
        check("Capacity [US fl. oz.]", "Capacity", Some(ListUnit::UsFluidOunce));
        check("made in", "made", Some(ListUnit::Inch));
        check("rim", "rim", None);
        check("in", "in", None);
        check("Height (front)", "Height (front)", None);
    }
}
