//! A half as a person types it, cell by cell: read as a row of a table is, so that both mean the same.

use super::error::HalfProblem;
use super::half::{Half, Side};
use super::read::read;
use super::rules::Rules;
use crate::identify::Measured;
use crate::key::Years;
use crate::key::tables::{HeaderRow, Options, Separator, Table, read_bytes};

/// The cells of a half, in the order they are asked for: the name of the column and what it is called on screen.
pub fn columns_of(side: Side, rules: &Rules) -> Vec<(String, String)> {
    let seat = side.seat();
    let mut all = vec![
        ("id".to_owned(), "number".to_owned()),
        (format!("{seat} major mm"), format!("{seat}, longer axis")),
        (format!("{seat} minor mm"), format!("{seat}, shorter axis")),
    ];
    all.extend(rules.columns().map(|column| (column.to_owned(), column.to_owned())));
    all
}

/// Reads typed cells, given by the names of [`columns_of`]. Lengths may be in any unit, with ±. What cannot be read counts as not given, and is told.
pub fn typed(side: Side, cells: &[(String, String)], rules: &Rules) -> (Half, Vec<HalfProblem>) {
    let id = cells.iter().find(|(name, _)| name == "id").map_or("", |(_, text)| text.trim());
    let nothing = || (Half { id: id.to_owned(), ..Half::default() }, Vec::new());
    if id.is_empty() {
        return (Half::default(), vec![HalfProblem::NoId]);
    }
    let Some(bytes) = as_table(cells) else { return nothing() };
    let options = Options { header: HeaderRow::First, separator: Some(Separator::Comma), ..Options::default() };
    let Ok(table) = read_bytes("typed", bytes, &options) else { return nothing() };
    let Ok(mut shelf) = read(&table, side, rules) else { return nothing() };
    let problems = shelf.problems.into_iter().map(|(_, problem)| problem).collect();
    (shelf.halves.pop().unwrap_or_default(), problems)
}

fn as_table(cells: &[(String, String)]) -> Option<Vec<u8>> {
    let mut csv = csv::Writer::from_writer(Vec::new());
    csv.write_record(cells.iter().map(|(name, _)| name.as_str())).ok()?;
    // A line break in a cell is none of a table.
    csv.write_record(cells.iter().map(|(_, text)| text.replace(['\n', '\r'], " "))).ok()?;
    csv.into_inner().ok()
}

/// A half as it would be typed, by the names of [`columns_of`].
pub fn cells_of(half: &Half, side: Side, rules: &Rules) -> Vec<(String, String)> {
    let length = |measured: Option<Measured>| measured.map_or_else(String::new, |m| format!("{}±{}", short(m.value), short(m.plus_minus)));
    let date = rules.same_date.as_ref().map(|(column, _)| column.as_str());
    columns_of(side, rules)
        .into_iter()
        .enumerate()
        .map(|(n, (name, _))| {
            let text = match n {
                0 => half.id.clone(),
                1 => length(half.major),
                2 => length(half.minor),
                _ if Some(name.as_str()) == date => years(half.made),
                _ => half.noted(&name).unwrap_or_default().to_owned(),
            };
            (name, text)
        })
        .collect()
}

/// To a hundredth of a millimetre, without zeros at the end.
fn short(x: f64) -> String {
    let text = format!("{x:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Years as a cell holds them; an open end cannot be typed and stays out.
fn years(years: Years) -> String {
    match (years.from, years.to) {
        (Some(from), Some(to)) if from == to => from.to_string(),
        (Some(from), Some(to)) => format!("{from}-{to}"),
        (Some(one), None) | (None, Some(one)) => one.to_string(),
        (None, None) => String::new(),
    }
}

/// Whether a table is of lids or of bases, by the column of its measure; nothing where it is neither, or both.
pub fn side_of(table: &Table) -> Option<Side> {
    let has = |side: Side| table.headers.iter().any(|header| crate::key::words::fold(header).starts_with(side.seat()));
    match (has(Side::Lid), has(Side::Base)) {
        (true, false) => Some(Side::Lid),
        (false, true) => Some(Side::Base),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    fn cells(pairs: &[(&str, &str)]) -> Vec<(String, String)> {
        pairs.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned())).collect()
    }

    #[test]
    fn a_typed_half_is_read_as_a_row_and_typed_again_the_same() {
        let rules = Rules::built_in();
        let (half, problems) = typed(
            Side::Lid,
            &cells(&[
                ("id", " L7"),
                ("flange major mm", "3 5/8\""),
                ("flange minor mm", "80 ± 0,5"),
                ("glaze", "Moss, dark"),
                ("made", "1951-57"),
            ]),
            rules,
        );
        assert_eq!(problems, []);
        assert_eq!((half.id.as_str(), half.noted("glaze")), ("L7", Some("Moss, dark")));
        assert!((half.major.unwrap().value - 92.075).abs() < 1e-9, "{half:?}");
        assert_eq!(half.minor.unwrap(), Measured { value: 80.0, plus_minus: 0.5 });
        let again = cells_of(&half, Side::Lid, rules);
        let (same, problems) = typed(Side::Lid, &again, rules);
        assert_eq!((problems, same.made), (vec![], half.made));
        assert_eq!(cells_of(&same, Side::Lid, rules), again);
    }

    #[test]
    fn what_cannot_be_read_is_told() {
        let says = |pairs: &[(&str, &str)]| {
            let (_, problems) = typed(Side::Base, &cells(pairs), Rules::built_in());
            problems.iter().map(ToString::to_string).collect::<Vec<_>>()
        };
        assert_eq!(says(&[("gallery major mm", "90")]), ["this row has no id and is left out (write the number on its sticker)"]);
        assert_eq!(says(&[("id", "B1"), ("gallery major mm", "")]), ["nothing was measured of 'B1', so it stays alone"]);
        assert_eq!(says(&[("id", "B1"), ("gallery major mm", "9 km")]).len(), 1, "a length that is none");
        assert_eq!(
            says(&[("id", "B\n1"), ("gallery major mm", "90"), ("made", "long ago")]),
            ["'long ago' is not a year or a span of years (write 1951 or 1951-64); it counts as not known"]
        );
    }
}
