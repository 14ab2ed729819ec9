#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

use super::*;
use crate::key::tables::{HeaderRow, Options, read_bytes};

fn table(text: &str) -> Table {
    read_bytes("lids.csv", text.as_bytes().to_vec(), &Options { header: HeaderRow::First, ..Options::default() }).unwrap()
}

fn shelf(side: Side, text: &str) -> (Vec<Half>, Vec<String>) {
    let table = table(text);
    let shelf = read(&table, side, Rules::built_in()).unwrap();
    (shelf.halves, shelf.problems.iter().map(|(at, problem)| format!("{}: {problem}", table.place(*at))).collect())
}

#[expect(clippy::unnecessary_wraps, reason = "measures as a shelf has them")]
fn mm(value: f64, plus_minus: f64) -> Option<Measured> {
    Some(Measured { value, plus_minus })
}

#[test]
fn measures_are_read_in_the_unit_of_the_heading_or_their_own() {
    let (lids, told) = shelf(
        Side::Lid,
        "ID,Flange major mm,flange minor mm,glaze,made\nL1,92±0.5,,Flint,1951-64\nL2,4 in,\"3 1/2\"\"\",,\nL3,110,104,Moss,c. 1955\n",
    );
    assert_eq!(told, Vec::<String>::new());
    assert_eq!((lids[0].major, lids[0].minor), (mm(92.0, 0.5), None));
    assert_eq!((lids[1].major, lids[1].minor), (mm(101.6, 1.0), mm(88.9, 1.0)));
    assert_eq!((lids[0].noted("glaze"), lids[1].noted("glaze")), (Some("Flint"), None));
    assert_eq!((lids[0].made.from, lids[0].made.to, lids[1].made.is_open()), (Some(1951), Some(1964), true));
    let (bases, told) = shelf(Side::Base, "id,gallery (major; cm),Gallery Minor (cm)\nB1,9.4,9.2\n");
    assert_eq!((told.len(), bases[0].major, bases[0].minor), (0, mm(94.0, 1.0), mm(92.0, 1.0)));
}

#[test]
fn axes_that_changed_places_are_put_right_and_a_round_piece_has_two_alike() {
    let (lids, _) = shelf(Side::Lid, "id,flange,flange minor,outline\na,80,95,\nb,80,,Round\nc,80,,oval\n");
    assert_eq!((lids[0].major, lids[0].minor), (mm(95.0, 1.0), mm(80.0, 1.0)));
    assert_eq!((lids[1].minor, lids[2].minor), (mm(80.0, 1.0), None));
}

#[test]
fn what_cannot_be_read_is_told_with_its_place_and_the_rest_is_kept() {
    let (lids, told) = shelf(
        Side::Lid,
        "id,flange major mm,flange minor mm,made\nL1,wide,,\n,90,,\nL1,91,,\nL2,-90,,\nL3,,88,\nL4,,,\nL5,3,,\nL6,92 x 80,,\nL7,92 g,,\nL8,92,90,soon\n",
    );
    assert_eq!(
        told,
        [
            "lids.csv, row 2, column B: 'wide' is not a measure (write a number with or without its unit: 92, 92-95 mm, 9 1/4 in); it counts as not measured",
            "lids.csv, row 3, column A: this row has no id and is left out (write the number on its sticker)",
            "lids.csv, row 4, column A: the id 'L1' stands in row 2 already; this row is left out (give it an id of its own)",
            "lids.csv, row 5, column B: '-90' is not a measure (write a number with or without its unit: 92, 92-95 mm, 9 1/4 in); it counts as not measured",
            "lids.csv, row 6, column C: the shorter axis is given without the longer one; it counts as not measured",
            "lids.csv, row 7, column B: nothing was measured of 'L4', so it stays alone",
            "lids.csv, row 8, column B: '3' is no size of a lid (a length above 5 mm and below 2000 mm was expected); it counts as not measured",
            "lids.csv, row 9, column B: '92 x 80' holds several dimensions (give each a column of its own); it counts as not measured",
            "lids.csv, row 10, column B: '92 g' is in grams, and a length was expected; it counts as not measured",
            "lids.csv, row 11, column D: 'soon' is not a year or a span of years (write 1951 or 1951-64); it counts as not known",
        ]
    );
    assert_eq!(lids.len(), 8);
    assert!(lids[..7].iter().all(|lid| lid.major.is_none() && lid.minor.is_none()), "{lids:?}");
}

#[test]
fn a_table_without_the_columns_is_no_shelf() {
    let wrong = |side: Side, text: &str| read(&table(text), side, Rules::built_in()).unwrap_err().to_string();
    assert_eq!(wrong(Side::Lid, "no,flange major mm\n1,2\n"), "there is no column 'id' in 'lids.csv' (it has 'no', 'flange major mm')");
    assert_eq!(
        wrong(Side::Base, "id,flange major mm\n1,2\n"),
        "there is no column 'gallery major mm' in 'lids.csv' (it has 'id', 'flange major mm')"
    );
    assert_eq!(
        wrong(Side::Lid, "id,flange major mm\n"),
        "there is no lid in 'lids.csv' (a row each was expected below the names of the columns)"
    );
}
