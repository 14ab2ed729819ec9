#![expect(clippy::unwrap_used, reason = "tests")]
use super::*;
use proptest::prelude::*;
use std::fmt::Write as _;

fn rows(text: &str, by: Separator) -> (Vec<Vec<String>>, Vec<u32>, Vec<String>) {
    let mut problems = Vec::new();
    let grid = parse(text.to_owned(), by, &mut problems).unwrap();
    let rows = (0..grid.rows.len()).map(|row| grid.row(row).map(str::to_owned).collect()).collect();
    let numbers = grid.rows.iter().map(|row| row.number).collect();
    let problems = problems.iter().map(|p| format!("{}:{} {}", p.at.row, p.at.column, p.kind)).collect();
    (rows, numbers, problems)
}

fn check(text: &str, expected: &[&[&str]]) {
    assert_eq!(rows(text, Separator::Comma).0, expected, "{text:?}");
}

#[test]
fn quotes_and_line_ends() {
    check("a,b\nc,d", &[&["a", "b"], &["c", "d"]]);
    check("a,b\r\nc,d\r\n", &[&["a", "b"], &["c", "d"]]);
    check("a,b\rc,d\r", &[&["a", "b"], &["c", "d"]]);
    check("\"a,b\",c\n", &[&["a,b", "c"]]);
    check("\"a\nb\",c\r\n\"d\"\r\n", &[&["a\nb", "c"], &["d"]]);
    check("\"say \"\"oval\"\"\",c", &[&["say \"oval\"", "c"]]);
    check("a,\n,b\n", &[&["a", ""], &["", "b"]]);
    check("", &[]);
    check("\n\n", &[]);
}

#[test]
fn an_inch_sign_is_no_quote() {
    check("plate,9 1/4\",round\nbowl,6\",oval\n", &[&["plate", "9 1/4\"", "round"], &["bowl", "6\"", "oval"]]);
    check("\"9 1/4\" plate\",round\n", &[&["9 1/4\" plate", "round"]]);
    check("\"9 1/4\"\"\",round\n", &[&["9 1/4\"", "round"]]);
}

#[test]
fn empty_rows_count_but_are_none() {
    let (read, numbers, _) = rows("a,b\n\n,\n , \nc,d\n", Separator::Comma);
    assert_eq!(read, [["a", "b"], ["c", "d"]]);
    assert_eq!(numbers, [1, 5]);
}

#[test]
fn a_quote_that_never_closes_costs_its_own_cell_only() {
    let (read, _, problems) = rows("a,b\nx,\"y\nc,d\ne,\"f\"\n", Separator::Comma);
    // The quote of the last row closes what opened two rows before: nothing else can be told from the text.
    assert_eq!(read, [vec!["a", "b"], vec!["x", "y\nc,d\ne,\"f"]]);
    assert!(problems.is_empty(), "closed in the end");
    let (read, numbers, problems) = rows("a,b\nx,\"y\nc,d\n", Separator::Comma);
    assert_eq!(read, [["a", "b"], ["x", "\"y"], ["c", "d"]]);
    assert_eq!(numbers, [1, 2, 3]);
    assert_eq!(problems, ["2:2 a quotation mark opens here and never closes; it is taken as part of the text"]);
}

#[test]
fn a_cell_of_ten_megabytes_is_left_out_and_said() {
    let text = format!("name,note\nplate,{}\nbowl,\"{}\"\ncup,ok\n", "x".repeat(10 << 20), "y\n".repeat(5 << 20));
    let (read, numbers, problems) = rows(&text, Separator::Comma);
    assert_eq!(read, [["name", "note"], ["plate", ""], ["bowl", ""], ["cup", "ok"]]);
    assert_eq!(numbers, [1, 2, 3, 4]);
    let said = "this cell is 10240 KB long; cells of more than 1024 KB are left out";
    assert_eq!(problems, [format!("2:2 {said}"), format!("3:2 {said}")]);
}

#[test]
fn the_sign_is_guessed_by_evenness() {
    let check = |text: &str, expected: Separator| assert_eq!(guess(text), expected, "{text}");
    check("name;height\nplate;92,5\nbowl;60\ncup;7,25\n", Separator::Semicolon);
    check("name,height\nplate,92.5\nbowl,60\n", Separator::Comma);
    check("name\theight, mm\nplate, 10 in\t24\nbowl\t60\n", Separator::Tab);
    check("name,colours\nplate,red;green\nbowl,blue;white\n", Separator::Comma);
    check("name\nplate\nbowl\n", Separator::Comma);
    check("name;note\nplate;\"a;b,c,d\"\n", Separator::Semicolon);
    check("", Separator::Comma);
}

/// The plain reading, one sign after the other, with no pieces and no shared text.
fn slowly(text: &str) -> Vec<Vec<String>> {
    let mut reader = ::csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.as_bytes());
    reader.records().map(|record| record.unwrap().iter().map(str::to_owned).collect()).collect()
}

proptest! {
    #[test]
    fn what_was_written_is_read(table in prop::collection::vec(prop::collection::vec("[a-c \",;é\n½]{0,6}", 2..5), 1..6)) {
        let mut out = Vec::new();
        {
            let mut writer = ::csv::WriterBuilder::new().flexible(true).from_writer(&mut out);
            for row in &table {
                writer.write_record(row).unwrap();
            }
        }
        let text = String::from_utf8(out).unwrap();
        let kept: Vec<Vec<String>> = table.into_iter().filter(|row| row.iter().any(|cell| !cell.trim_matches(' ').is_empty())).collect();
        let (read, _, _) = rows(&text, Separator::Comma);
        let read: Vec<Vec<String>> = read;
        let blank = |row: &Vec<String>| row.iter().all(|cell| cell.trim().is_empty());
        let read: Vec<_> = read.into_iter().filter(|row| !blank(row)).collect();
        let kept: Vec<_> = kept.into_iter().filter(|row| !blank(row)).collect();
        prop_assert_eq!(read, kept);
    }

    #[test]
    fn any_text_is_read_whatever_the_pieces(text in "[ab,\"\n\r]{0,60}") {
        let whole = rows(&text, Separator::Comma).0;
        let cells: usize = whole.iter().map(Vec::len).sum();
        prop_assert!(cells <= text.len() + 1, "no cell out of nothing");
    }
}

/// Over many pieces, with quoted line ends that fall on their borders, the result is that of another reader.
#[test]
fn pieces_change_nothing() {
    let mut text = String::from("a,b,c\n");
    for row in 0..60_000 {
        let long = if row % 9_000 == 17 { "line\nafter, line ".repeat(90_000) } else { "z\n\"\"q".to_owned() };
        writeln!(text, "{row},\"{long}\",{}", row % 7).unwrap();
    }
    assert!(text.len() > 8 * PIECE, "enough for several pieces");
    let expected: Vec<Vec<String>> = slowly(&text)
        .into_iter()
        .map(|row| row.into_iter().map(|cell| if cell.len() > CELL_LIMIT { String::new() } else { cell }).collect())
        .collect();
    let (read, numbers, _) = rows(&text, Separator::Comma);
    assert!(read == expected, "the same cells");
    assert!(numbers.iter().copied().eq(1..=60_001), "the same rows");
}
