//! Tables made to hurt: a small file asks for work or memory without end, and is read in bounds or refused in a sentence.
//!
//! What is held here by the test ending at all (each took hours or all of the memory once) is held as well by what comes out.
#![expect(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "tests")]

#[path = "common/packed.rs"]
mod packed;
#[path = "common/ran.rs"]
mod ran;

use footring::key::tables::{CELL_LIMIT, COLUMN_LIMIT, Options, Table, TableError, read_bytes};
use packed::packed;
use std::fmt::Write as _;
use std::fs;
use std::io::Cursor;
use zip::write::SimpleFileOptions;
use zip::{ZipArchive, ZipWriter};

fn table(name: &str, bytes: impl Into<Vec<u8>>) -> Table {
    read_bytes(name, bytes.into(), &Options::default()).unwrap()
}

fn refused(name: &str, bytes: impl Into<Vec<u8>>) -> String {
    read_bytes(name, bytes.into(), &Options::default()).unwrap_err().to_string()
}

fn told(table: &Table) -> Vec<String> {
    table.notes.iter().chain(&table.problems).map(|problem| problem.tell(table)).collect()
}

/// An open document with one sheet of these rows.
fn ods(rows: &str) -> Vec<u8> {
    let content = format!(
        "<?xml version=\"1.0\"?><office:document-content xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" \
         xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\" \
         xmlns:calcext=\"urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0\"><office:body><office:spreadsheet>\
         <table:table table:name=\"One\">{rows}</table:table></office:spreadsheet></office:body></office:document-content>"
    );
    packed(&[("mimetype", b"application/vnd.oasis.opendocument.spreadsheet"), ("content.xml", content.as_bytes())])
}

/// A workbook with one sheet; `inside` is its `sheetData` and what follows it.
fn xlsx(inside: &str) -> Vec<u8> {
    let main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
    let rel = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    let package = "http://schemas.openxmlformats.org/package/2006";
    let workbook =
        format!("<workbook xmlns=\"{main}\" xmlns:r=\"{rel}\"><sheets><sheet name=\"One\" sheetId=\"1\" r:id=\"r1\"/></sheets></workbook>");
    let link = |kind: &str, to: &str| {
        format!(
            "<Relationships xmlns=\"{package}/relationships\"><Relationship Id=\"r1\" Type=\"{rel}/{kind}\" Target=\"{to}\"/></Relationships>"
        )
    };
    packed(&[
        ("[Content_Types].xml", format!("<Types xmlns=\"{package}/content-types\"/>").as_bytes()),
        ("_rels/.rels", link("officeDocument", "xl/workbook.xml").as_bytes()),
        ("xl/workbook.xml", workbook.as_bytes()),
        ("xl/_rels/workbook.xml.rels", link("worksheet", "worksheets/sheet1.xml").as_bytes()),
        ("xl/worksheets/sheet1.xml", format!("<worksheet xmlns=\"{main}\">{inside}</worksheet>").as_bytes()),
    ])
}

const NAME_ROW: &str = "<table:table-row><table:table-cell office:value-type=\"string\"><text:p>name</text:p></table:table-cell>\
    <table:table-cell office:value-type=\"string\"><text:p>rim</text:p></table:table-cell></table:table-row>";

#[test]
fn sixteen_thousand_equal_headers_and_a_million_columns() {
    let equal = vec!["x"; COLUMN_LIMIT].join(",");
    let read = table("a.csv", format!("{equal}\n{equal}\n"));
    assert_eq!((read.headers[0].as_str(), read.headers[COLUMN_LIMIT - 1].as_str()), ("x", "x (16384)"));
    let mut all = read.headers;
    all.sort_unstable();
    all.dedup();
    assert_eq!(all.len(), COLUMN_LIMIT, "no two are the same");
    // A name that is already written as the second of another.
    assert_eq!(table("a.csv", "x,x (2),x,x\np,q,r,s\n").headers, ["x", "x (2)", "x (3)", "x (4)"]);

    let many: Vec<String> = (0..1_000_000).map(|n| format!("c{n}")).collect();
    let read = table("wide.csv", format!("{}\n{}\n", many.join(","), "v,".repeat(1_000_000)));
    assert_eq!((read.headers.len(), read.cell(0, COLUMN_LIMIT - 1)), (COLUMN_LIMIT, "v"));
    let said = told(&read);
    let too_many = "wide.csv, column XFE: there are more than 16384 columns; those from here on are left out";
    assert!(said.iter().any(|line| line == too_many), "{said:?}");
}

#[test]
fn sixteen_thousand_headers_that_are_empty_are_no_columns() {
    let mut text = format!("name{}\n", ",".repeat(COLUMN_LIMIT - 1));
    for row in 0..200_000 {
        let _ = writeln!(text, "form {row}");
    }
    let read = table("a.csv", text);
    assert_eq!((read.headers.as_slice(), read.len()), (["name".to_owned()].as_slice(), 200_000));
}

#[test]
fn a_hundred_thousand_rows_too_long_are_told_of_and_counted() {
    let read = table("a.csv", format!("name,rim\n{}", "plate,plain,extra\n".repeat(100_000)));
    assert_eq!(read.len(), 100_000);
    let said = told(&read);
    assert_eq!(said.len(), 1001);
    assert_eq!(said[0], "a.csv, row 2, column C: this row has 3 cells and the header 2: 'extra' and what follows it was left out");
    assert_eq!(said[1000], "a.csv, row 1002, column C: 99000 more of these are not listed, from here on");
}

#[test]
fn failed_formulas_repeated_through_a_whole_sheet() {
    let row = |cells: &str| {
        format!(
            "<table:table-row table:number-rows-repeated=\"1048575\"><table:table-cell office:value-type=\"string\"><text:p>plate</text:p>\
             </table:table-cell>{cells}</table:table-row>"
        )
    };
    let failed = "<table:table-cell calcext:value-type=\"error\" table:formula=\"of:=1/0\" table:number-columns-repeated=\"16383\">\
                  <text:p>#DIV/0!</text:p></table:table-cell>";
    let read = table("a.ods", ods(&format!("{NAME_ROW}{}", row(failed))));
    assert_eq!(read.len(), (1 << 20) - 1);
    let said = told(&read);
    assert_eq!(said.len(), 1001);
    // 16 383 cells in each of 1 048 575 rows, of which a thousand are listed; the first not listed stands beside the first listed.
    let rest = 16_383_u64 * 1_048_575 - 1000;
    assert!(
        said.contains(&format!("a.ods, sheet 'One', row 2, column C: {rest} more of these are not listed, from here on")),
        "{:?}",
        said[1]
    );

    let waiting = "<table:table-cell table:formula=\"of:=A1\" table:number-columns-repeated=\"16383\"/>";
    let said = told(&table("a.ods", ods(&format!("{NAME_ROW}{}", row(waiting)))));
    assert_eq!(said.len(), 1);
    assert!(said[0].contains(&format!("column B: {} formulas have no result saved", 16_383_u64 * 1_048_575)), "{said:?}");

    let covered = "<table:covered-table-cell table:number-columns-repeated=\"16383\"/>";
    let read = table("a.ods", ods(&format!("{NAME_ROW}{}", row(covered))));
    assert_eq!((read.len(), read.cell(5, 0), read.cell(5, 1)), ((1 << 20) - 1, "plate", ""));
}

#[test]
fn a_cell_too_long_repeated_or_merged_down_is_not_copied() {
    let long = "x".repeat(CELL_LIMIT + 1);
    let rows = format!(
        "{NAME_ROW}<table:table-row table:number-rows-repeated=\"100\"><table:table-cell office:value-type=\"string\" \
         table:number-columns-repeated=\"200\"><text:p>{long}</text:p></table:table-cell></table:table-row>"
    );
    let said = told(&table("a.ods", ods(&rows)));
    let is_long = "a.ods, sheet 'One', row 2, column A: this cell is 1024 KB long; cells of more than 1024 KB are left out";
    assert_eq!((said.len(), said.iter().filter(|line| *line == is_long).count()), (1001, 1), "{:?}", said.first());
    assert!(said.iter().any(|line| line.ends_with("19000 more of these are not listed, from here on")));

    // Twenty megabytes merged down fifty thousand rows would be a thousand gigabytes copied.
    let text = |at: &str, text: &str| format!("<c r=\"{at}\" t=\"inlineStr\"><is><t>{text}</t></is></c>");
    let mut rows = format!("<row r=\"1\">{}{}</row>", text("A1", "name"), text("B1", "rim"));
    let _ = write!(rows, "<row r=\"2\">{}{}</row>", text("A2", "plate"), text("B2", &"x".repeat(20 << 20)));
    for row in 3..50_003 {
        let _ = write!(rows, "<row r=\"{row}\">{}</row>", text(&format!("A{row}"), "cup"));
    }
    let inside = format!("<sheetData>{rows}</sheetData><mergeCells><mergeCell ref=\"B2:B50002\"/></mergeCells>");
    let read = table("a.xlsx", xlsx(&inside));
    assert_eq!((read.len(), read.cell(0, 0), read.cell(50_000, 0), read.cell(50_000, 1)), (50_001, "plate", "cup", ""));
    assert_eq!(told(&read), ["a.xlsx, sheet 'One', row 2, column B: this cell is 20480 KB long; cells of more than 1024 KB are left out"]);
}

#[test]
fn merges_down_every_column_are_filled_in() {
    let columns = 3000_u32;
    let mut rows = String::new();
    let mut merges = String::new();
    for (row, cell) in [(1, "h"), (2, "v")] {
        let _ = write!(rows, "<row r=\"{row}\">");
        for column in 1..=columns {
            let at = footring::key::tables::column_letters(column);
            let _ = write!(rows, "<c r=\"{at}{row}\" t=\"inlineStr\"><is><t>{cell}{column}</t></is></c>");
            if row == 2 {
                let _ = write!(merges, "<mergeCell ref=\"{at}2:{at}40\"/>");
            }
        }
        rows.push_str("</row>");
    }
    for row in 3..=41 {
        let _ = write!(rows, "<row r=\"{row}\"><c r=\"B{row}\" t=\"inlineStr\"><is><t>own</t></is></c></row>");
    }
    let read = table("a.xlsx", xlsx(&format!("<sheetData>{rows}</sheetData><mergeCells>{merges}</mergeCells>")));
    assert_eq!((read.headers.len(), read.len()), (3000, 40));
    assert_eq!((read.cell(38, 0), read.cell(38, 1), read.cell(38, 2999)), ("v1", "own", "v3000"));
    assert_eq!((read.cell(39, 0), read.cell(39, 1)), ("", "own"), "below the merge nothing goes on");
    assert!(told(&read).iter().any(|line| line.contains("2000 more of these")), "merges are counted too");
}

#[test]
fn a_kilobyte_that_unpacks_to_more_than_a_gigabyte() {
    let megabytes = packed(&[("fill", &vec![b' '; 64 << 20])]);
    assert!(megabytes.len() < 1 << 20, "{}", megabytes.len());
    for (main, name) in [("content.xml", "a.ods"), ("xl/workbook.xml", "a.xlsx")] {
        let mut bomb = ZipWriter::new(Cursor::new(Vec::new()));
        bomb.start_file(main, SimpleFileOptions::default()).unwrap();
        let mut fill = ZipArchive::new(Cursor::new(megabytes.as_slice())).unwrap();
        for n in 0..17 {
            bomb.raw_copy_file_rename(fill.by_index(0).unwrap(), format!("xl/worksheets/sheet{n}.xml")).unwrap();
        }
        let says =
            format!("'{name}' unpacks to more than 1024 MB, which no honest list does (save the one sheet as CSV if it is in order)");
        assert_eq!(refused(name, bomb.finish().unwrap().into_inner()), says);
    }
}

#[test]
fn workbooks_cut_off_or_changed_anywhere_are_said_to_be_damaged() {
    let sheet = "<sheetData><row r=\"1\"><c r=\"A1\" t=\"inlineStr\"><is><t>name</t></is></c></row>\
                 <row r=\"2\"><c r=\"A2\" t=\"inlineStr\"><is><t>plate</t></is></c></row></sheetData>";
    for (name, whole) in [("a.xlsx", xlsx(sheet)), ("a.ods", ods(NAME_ROW))] {
        assert!(!table(name, whole.clone()).headers.is_empty(), "it is sound to begin with");
        for cut in (4..whole.len() - 22).step_by(13) {
            let error = read_bytes(name, whole[..cut].to_vec(), &Options::default()).unwrap_err();
            assert!(matches!(error, TableError::Damaged { .. }), "{name} of {cut} bytes: {error}");
        }
        let mut damaged = 0;
        for at in (0..whole.len()).step_by(5) {
            let mut changed = whole.clone();
            changed[at] ^= 0xff;
            if let Err(error) = read_bytes(name, changed, &Options::default()) {
                assert!(error.to_string().contains(&format!("'{name}'")), "{error}");
                damaged += 1;
            }
        }
        assert!(damaged > whole.len() / 50, "{name}: only {damaged} changes were noticed");
    }
}

#[test]
fn what_a_file_is_called_does_not_matter() {
    assert_eq!(table("list.xlsx", "name,rim\nplate,plain\n").headers, ["name", "rim"]);
    assert_eq!(table("list.csv", ods(NAME_ROW)).headers, ["name", "rim"]);
    assert_eq!(refused("list.csv", b"\x89PNG\r\n\x1a\n".as_slice()), "'list.csv' is a picture, no table (give a .csv, .xlsx or .ods file)");
}

#[test]
fn a_cell_of_ten_megabytes_and_a_quote_that_never_closes() {
    let read = table("a.csv", format!("name,note,rim\nplate,{},plain\ncup,,rolled\n", "x".repeat(10 << 20)));
    assert_eq!((read.cell(0, 0), read.cell(0, 1), read.cell(0, 2), read.cell(1, 2)), ("plate", "", "plain", "rolled"));
    assert_eq!(told(&read), ["a.csv, row 2, column B: this cell is 10240 KB long; cells of more than 1024 KB are left out"]);
    // Doubled quotes before the quote that never closes are undone once, however often the row is read again.
    let mut text = String::from("name,rim\n");
    for row in 0..100_000 {
        let _ = writeln!(text, "\"9\"\" plate {row}\",plain");
    }
    text.push_str("\"the \"\"last\"\" one\",\"never closed\n");
    for row in 0..100_000 {
        let _ = writeln!(text, "cup {row},rolled");
    }
    let read = table("a.csv", text);
    assert_eq!(read.len(), 200_001);
    assert_eq!((read.cell(99_999, 0), read.cell(100_000, 0)), ("9\" plate 99999", "the \"last\" one"));
    assert_eq!((read.cell(100_000, 1), read.cell(200_000, 0)), ("\"never closed", "cup 99999"));
    let open = "a.csv, row 100002, column B: a quotation mark opens here and never closes; it is taken as part of the text";
    assert_eq!(told(&read), [open]);
}

#[test]
fn the_verbs_refuse_in_a_sentence_and_write_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let whole = xlsx("<sheetData/>");
    // A file that is no table at all is misuse (2); one with trouble in it is a problem (1).
    let hostile: [(&str, &[u8], u8, &str); 6] = [
        ("empty.csv", b"", 1, "there is nothing in 'empty.csv'"),
        ("noughts.csv", &[0; 5000], 2, "'noughts.csv' is not a text, no table (give a .csv, .xlsx or .ods file)"),
        ("half.xlsx", &whole[..whole.len() / 2], 1, "'half.xlsx' is a damaged workbook: "),
        ("none.xlsx", &whole, 1, "there is nothing in sheet 'One' of 'none.xlsx'"),
        ("text.ods", &packed(&[("word/document.xml", b"<a/>")]), 2, "'text.ods' is a text document, no table"),
        ("old.xls", &[0xd0, 0xcf, 0x11, 0xe0, 0xa1], 2, "'old.xls' is an old .xls workbook or one with a password, no table"),
    ];
    for (name, bytes, code, says) in hostile {
        let (list, key, out) = (dir.path().join(name), dir.path().join("mine"), dir.path().join("out.csv"));
        fs::write(&list, bytes).unwrap();
        let [list, new, named] = [&list, &key, &out].map(|path| path.to_str().unwrap());
        for args in [vec!["import", "--new", new, list], vec!["sort", "demo", list, "--out", named]] {
            let ran = ran::run(&args);
            assert_eq!((ran.code, ran.out.as_str()), (code, ""), "{args:?}: {}", ran.err);
            assert!(ran.err.starts_with("footring: ") && ran.err.contains(says), "{args:?}: {}", ran.err);
            assert_eq!(ran.err.lines().count(), 1, "{}", ran.err);
            assert!(!key.exists() && !out.exists(), "{args:?} left something behind");
        }
    }
}
