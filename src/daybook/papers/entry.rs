//! An entry of a list: its words and its sizes.

use crate::key::tables::quantity::{Decimal, ListUnit, parse};
use crate::key::tables::{Table, clip};
use crate::key::words::fold;

/// An entry of a list, as written there.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Entry {
    /// As written: 'lge server 9¼'.
    pub written: String,
    /// The price, as written. Empty where there is none.
    pub price: String,
    /// The glazes it names, as written and parted. Empty where there are none.
    pub glazes: Vec<String>,
    /// Its words, folded, without numbers and units.
    pub words: Vec<String>,
    /// Its sizes.
    pub sizes: Vec<Nominal>,
}

/// A size by which a piece is called: '10 in', 'two-pint', 'for one'.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nominal {
    /// How many.
    pub value: f64,
    /// Of what.
    pub unit: NominalUnit,
}

/// What a nominal size counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NominalUnit {
    /// Millimetres; inches are turned into them.
    Mm,
    /// Millilitres; pints and fluid ounces (imperial) are turned into them.
    Ml,
    /// Cups that a pot holds.
    Cups,
    /// Persons it serves.
    Persons,
    /// Nothing is said; on price lists mostly inches, else a number of pieces.
    Plain,
}

impl Entry {
    /// Reads an entry.
    pub fn new(written: &str) -> Self {
        let (words, sizes) = words_and_sizes(written);
        Self { written: written.trim().to_owned(), words, sizes, ..Self::default() }
    }
}

/// The entries of a table: its column `written` (or `entry`, or the first one), with `size`, `price` and `glaze` where it has them. Empty rows are none.
pub fn entries(table: &Table) -> Vec<Entry> {
    let column = ["written", "entry", "item", "description"].iter().find_map(|name| table.column(name)).unwrap_or(0);
    let [size, price, glaze] =
        [["size", "inches"], ["price", "list price"], ["glaze", "glazes"]].map(|names| names.iter().find_map(|name| table.column(name)));
    let cell = |row: usize, column: Option<usize>| column.map_or("", |column| table.cell(row, column).trim());
    let read = |row: usize| {
        let written = table.cell(row, column).trim();
        let mut entry = Entry::new(written);
        entry.sizes.extend(words_and_sizes(cell(row, size)).1);
        cell(row, price).clone_into(&mut entry.price);
        entry.glazes =
            cell(row, glaze).split([',', ';', '|', '/']).map(|name| name.trim().to_owned()).filter(|name| !name.is_empty()).collect();
        entry
    };
    (0..table.len()).filter(|row| !table.cell(*row, column).trim().is_empty()).map(read).collect()
}

/// Numbers that are written as words.
const NUMBERS: [(&str, f64); 8] =
    [("one", 1.0), ("two", 2.0), ("three", 3.0), ("four", 4.0), ("five", 5.0), ("six", 6.0), ("half", 0.5), ("single", 1.0)];

/// The words and sizes of a text; also of the name of a form.
pub(super) fn words_and_sizes(text: &str) -> (Vec<String>, Vec<Nominal>) {
    let text = clip_long(text);
    let text = first_piece(&text);
    let tokens: Vec<&str> = text.split([' ', ',', ';', '(', ')', '\t']).flat_map(hyphens).filter(|token| !token.is_empty()).collect();
    let (mut words, mut sizes) = (Vec::new(), Vec::new());
    let mut at = 0;
    while let Some(token) = tokens.get(at) {
        // A measure that is a name: 'pint jug'.
        if let Some(ml) =
            [("pint", 568.261_25), ("quart", 1_136.522_5)].iter().find(|(word, _)| token.eq_ignore_ascii_case(word)).map(|(_, ml)| *ml)
        {
            sizes.push(Nominal { value: ml, unit: NominalUnit::Ml });
            at += 1;
            continue;
        }
        let Some((value, unit, used)) = number(tokens.get(at..).unwrap_or_default()) else {
            words.extend(fold(token).split(' ').filter(|word| !word.is_empty()).map(str::to_owned));
            at += 1;
            continue;
        };
        at += used;
        let next = tokens.get(at).map(|token| fold(token)).unwrap_or_default();
        let by_word = match next.as_str() {
            "cup" | "cups" | "c" => Some(NominalUnit::Cups),
            "person" | "persons" | "people" => Some(NominalUnit::Persons),
            _ => None,
        };
        match (unit, by_word) {
            (None, Some(unit)) => {
                at += 1;
                sizes.push(Nominal { value, unit });
            }
            (None, None) => sizes.push(Nominal { value, unit: NominalUnit::Plain }),
            (Some(ListUnit::Ounce), _) => sizes.push(Nominal { value: value * 28.413_062_5, unit: NominalUnit::Ml }),
            (Some(unit), _) => {
                let (unit, scale) = unit.metric(crate::key::tables::quantity::Customary::default());
                match unit {
                    crate::key::Unit::Mm => sizes.push(Nominal { value: value * scale, unit: NominalUnit::Mm }),
                    crate::key::Unit::Ml => sizes.push(Nominal { value: value * scale, unit: NominalUnit::Ml }),
                    crate::key::Unit::G | crate::key::Unit::Count => {}
                }
            }
        }
    }
    (words, sizes)
}

fn clip_long(text: &str) -> String {
    if text.len() > 200 { clip(text) } else { text.to_owned() }
}

/// The text without further pieces: what follows '+' or '&', and what is 'extra'.
fn first_piece(text: &str) -> String {
    let text = text.split(['+', '&']).next().filter(|text| !text.trim().is_empty()).unwrap_or(text);
    let parts: Vec<&str> = text.split(',').filter(|part| !fold(part).split(' ').any(|word| word == "extra")).collect();
    if parts.is_empty() { text.to_owned() } else { parts.join(",") }
}

/// 'two-pint' is two words; '6-5/8' one number.
fn hyphens(token: &str) -> Vec<&str> {
    if token.starts_with(|c: char| c.is_ascii_digit()) && token.contains('/') { vec![token] } else { token.split('-').collect() }
}

/// A number at the start of some tokens, its unit where one is written, and how many tokens it takes. The longest that can be read.
fn number(tokens: &[&str]) -> Option<(f64, Option<ListUnit>, usize)> {
    let first = tokens.first()?.trim_end_matches(['.', ':']);
    if let Some(&(_, value)) = NUMBERS.iter().find(|(word, _)| first.eq_ignore_ascii_case(word)) {
        let unit = tokens.get(1).and_then(|next| ListUnit::from_letters(&fold(next)));
        return Some((value, unit, 1 + usize::from(unit.is_some())));
    }
    if !first.starts_with(|c: char| c.is_numeric()) {
        return None;
    }
    (1..=tokens.len().min(3)).rev().find_map(|used| {
        let text = tokens.get(..used)?.join(" ");
        let found = parse(text.trim_end_matches(['.', ':']), Decimal::Guess).ok()?;
        Some((f64::midpoint(found.low, found.high), found.unit, used))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> (String, Vec<(f64, NominalUnit)>) {
        let entry = Entry::new(text);
        (entry.words.join(" "), entry.sizes.iter().map(|size| ((size.value * 10.0).round() / 10.0, size.unit)).collect())
    }

    #[test]
    fn words_and_sizes_are_parted() {
        use NominalUnit::{Cups, Ml, Mm, Persons, Plain};
        assert_eq!(read("lge server 9¼"), ("lge server".into(), vec![(9.3, Plain)]));
        assert_eq!(read("lge server 9 1/4 in."), ("lge server".into(), vec![(235.0, Mm)]));
        assert_eq!(read("Plates 10, 8, 6 in"), ("plates".into(), vec![(10.0, Plain), (8.0, Plain), (152.4, Mm)]));
        assert_eq!(read("Sugar cov'd, 8 oz"), ("sugar covd".into(), vec![(227.3, Ml)]));
        assert_eq!(read("two-pint casserole"), ("casserole".into(), vec![(1136.5, Ml)]));
        assert_eq!(read("mug 1/2 pt"), ("mug".into(), vec![(284.1, Ml)]));
        assert_eq!(read("teapot 2 c"), ("teapot".into(), vec![(2.0, Cups)]));
        assert_eq!(read("one person cass., oval cvr"), ("cass oval cvr".into(), vec![(1.0, Persons)]));
        assert_eq!(read("egg cups 4 gross"), ("egg cups gross".into(), vec![(4.0, Plain)]));
        assert_eq!(read("pint jug"), ("jug".into(), vec![(568.3, Ml)]));
        assert_eq!(read("Sauce boat, stand extra").0, "sauce boat");
        assert_eq!(read("cup & saucer").0, "cup");
        assert_eq!(read("  "), (String::new(), vec![]));
    }
}
