//! Tables of every kind, read whole and made into keys.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

#[path = "common/packed.rs"]
mod packed;

use footring::key::tables::{Changes, HeaderRow, Options, Role, Table, TableError, guess, import, new_key, read, read_bytes};
use footring::key::{Folder, Record, Severity, load};
use packed::packed;
use proptest::prelude::*;
use std::fmt::Write as _;
use std::path::Path;

fn data(name: &str) -> Table {
    read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(name), &Options::default()).unwrap()
}

/// A workbook of two sheets, the first empty; `inside` is the second's `sheetData` and what follows it.
fn xlsx(inside: &str) -> Vec<u8> {
    let main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
    let rel = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    let sheet = |inside: &str| format!("<?xml version=\"1.0\"?><worksheet xmlns=\"{main}\">{inside}</worksheet>");
    let types = "<?xml version=\"1.0\"?><Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\"/>";
    let workbook = format!(
        "<?xml version=\"1.0\"?><workbook xmlns=\"{main}\" xmlns:r=\"{rel}\"><sheets><sheet name=\"Cover\" sheetId=\"1\" r:id=\"r1\"/>\
         <sheet name=\"Stock\" sheetId=\"2\" r:id=\"r2\"/></sheets></workbook>"
    );
    let root = format!(
        "<?xml version=\"1.0\"?><Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\">\
         <Relationship Id=\"r1\" Type=\"{rel}/officeDocument\" Target=\"xl/workbook.xml\"/></Relationships>"
    );
    let rels = format!(
        "<?xml version=\"1.0\"?><Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\">\
         <Relationship Id=\"r1\" Type=\"{rel}/worksheet\" Target=\"worksheets/sheet1.xml\"/>\
         <Relationship Id=\"r2\" Type=\"{rel}/worksheet\" Target=\"worksheets/sheet2.xml\"/>\
         <Relationship Id=\"r3\" Type=\"{rel}/styles\" Target=\"styles.xml\"/></Relationships>"
    );
    // Format 1 is a date.
    let styles = format!(
        "<?xml version=\"1.0\"?><styleSheet xmlns=\"{main}\"><cellXfs count=\"2\"><xf numFmtId=\"0\"/><xf numFmtId=\"14\"/></cellXfs></styleSheet>"
    );
    packed(&[
        ("[Content_Types].xml", types.as_bytes()),
        ("_rels/.rels", root.as_bytes()),
        ("xl/workbook.xml", workbook.as_bytes()),
        ("xl/_rels/workbook.xml.rels", rels.as_bytes()),
        ("xl/styles.xml", styles.as_bytes()),
        ("xl/worksheets/sheet1.xml", sheet("<sheetData/>").as_bytes()),
        ("xl/worksheets/sheet2.xml", sheet(inside).as_bytes()),
    ])
}

fn ods(tables: &str) -> Vec<u8> {
    let content = format!(
        "<?xml version=\"1.0\"?><office:document-content xmlns:office=\"urn:oasis:names:tc:opendocument:xmlns:office:1.0\" \
         xmlns:table=\"urn:oasis:names:tc:opendocument:xmlns:table:1.0\" xmlns:text=\"urn:oasis:names:tc:opendocument:xmlns:text:1.0\" \
         xmlns:calcext=\"urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0\">\
         <office:body><office:spreadsheet>{tables}</office:spreadsheet></office:body></office:document-content>"
    );
    packed(&[("mimetype", b"application/vnd.oasis.opendocument.spreadsheet"), ("content.xml", content.as_bytes())])
}

fn rows(table: &Table) -> Vec<Vec<&str>> {
    table.rows().map(|row| row.cells().collect()).collect()
}

fn told(table: &Table) -> Vec<String> {
    table.notes.iter().chain(&table.problems).map(|problem| problem.tell(table)).collect()
}

#[test]
fn a_workbook_with_dates_formulas_and_merged_cells() {
    let text = |at: &str, text: &str| format!("<c r=\"{at}\" t=\"inlineStr\"><is><t>{text}</t></is></c>");
    let inside = format!(
        "<sheetData><row r=\"2\">{}{}{}{}</row>\
         <row r=\"3\">{}<c r=\"B3\"><f>23.5*4</f><v>94.000000000000014</v></c><c r=\"C3\" s=\"1\"><v>18689</v></c>{}</row>\
         <row r=\"4\"><c r=\"B4\" t=\"e\"><f>1/0</f><v>#DIV/0!</v></c><c r=\"C4\" t=\"b\"><v>1</v></c></row>\
         <row r=\"6\">{}<c r=\"B6\"><f>B3+1</f></c></row></sheetData>\
         <mergeCells><mergeCell ref=\"A3:A4\"/></mergeCells>",
        text("A2", "name"),
        text("B2", "height mm"),
        text("C2", "bought"),
        text("D2", "name"),
        text("A3", "plate"),
        text("D3", "x &amp; y"),
        text("A6", "bowl"),
    );
    let table = read_bytes("stock.xlsx", xlsx(&inside), &Options::default()).unwrap();
    assert_eq!(table.headers, ["name", "height mm", "bought", "name (2)"]);
    assert_eq!(rows(&table), [["plate", "94", "1951-03-02", "x & y"], ["plate", "", "true", ""], ["bowl", "", "", ""]]);
    assert_eq!(
        told(&table),
        [
            "stock.xlsx, sheet 'Stock', row 3, column A: cells are merged down to row 4: each of these rows gets the value of the first",
            "stock.xlsx, sheet 'Stock', row 2, column D: there are several columns 'name'; this one is called 'name (2)'",
            "stock.xlsx, sheet 'Stock': the workbook has 2 sheets; this is the first that holds something (choose another with its name: \
             'Cover', 'Stock')",
            "stock.xlsx, sheet 'Stock', row 4, column B: the formula of this cell failed with #DIV/0! in the spreadsheet; the cell is taken \
             as empty",
            "stock.xlsx, sheet 'Stock', row 6, column B: 1 formula has no result saved, from here on (open and save the workbook in a \
             spreadsheet, which works them out)",
        ]
    );
    let wanted = |sheet: &str| Options { sheet: Some(sheet.to_owned()), ..Options::default() };
    let none = read_bytes("stock.xlsx", xlsx(&inside), &wanted("Shelf")).unwrap_err();
    assert_eq!(none.to_string(), "there is no sheet 'Shelf' in 'stock.xlsx' (it has 'Cover', 'Stock')");
    let empty = read_bytes("stock.xlsx", xlsx(&inside), &wanted("cover")).unwrap_err();
    assert_eq!(empty.to_string(), "there is nothing in sheet 'Cover' of 'stock.xlsx'");
}

#[test]
fn an_open_document_with_repeats_merges_and_comments() {
    let cell = |text: &str| format!("<table:table-cell office:value-type=\"string\"><text:p>{text}</text:p></table:table-cell>");
    let tables = format!(
        "<table:table table:name=\"One\"><table:table-row table:number-rows-repeated=\"1048576\"><table:table-cell \
         table:number-columns-repeated=\"16384\"/></table:table-row></table:table>\
         <table:table table:name=\"Two\"><table:table-row>{}{}{}</table:table-row>\
         <table:table-row><table:table-cell office:value-type=\"string\" table:number-rows-spanned=\"2\"><office:annotation><text:p>mine</text:p>\
         </office:annotation><text:p>covered<text:s/>sugar</text:p><text:p>small</text:p></table:table-cell>\
         <table:table-cell office:value-type=\"float\" office:value=\"92.5\"><text:p>93</text:p></table:table-cell>\
         <table:table-cell office:value-type=\"date\" office:date-value=\"1951-03-02\"><text:p>2/3/51</text:p></table:table-cell></table:table-row>\
         <table:table-row><table:covered-table-cell/><table:table-cell calcext:value-type=\"error\" table:formula=\"of:=1/0\" \
         office:value-type=\"string\" office:string-value=\"\"><text:p>#DIV/0!</text:p></table:table-cell>{}</table:table-row>\
         <table:table-row table:number-rows-repeated=\"2\">{}<table:table-cell table:number-columns-repeated=\"16382\"/></table:table-row>\
         </table:table>",
        cell("name"),
        cell("height"),
        cell("bought"),
        cell("?"),
        cell("cup &amp; saucer")
    );
    let table = read_bytes("stock.ods", ods(&tables), &Options::default()).unwrap();
    assert_eq!(table.sheet.as_deref(), Some("Two"));
    assert_eq!(
        rows(&table),
        [
            ["covered sugar\nsmall", "92.5", "1951-03-02"],
            ["covered sugar\nsmall", "", "?"],
            ["cup & saucer", "", ""],
            ["cup & saucer", "", ""],
        ]
    );
    assert_eq!(
        told(&table),
        [
            "stock.ods, sheet 'Two', row 2, column A: cells are merged down to row 3: each of these rows gets the value of the first",
            "stock.ods, sheet 'Two': the workbook has 2 sheets; this is the first that holds something (choose another with its name: 'One', \
             'Two')",
            "stock.ods, sheet 'Two', row 3, column B: the formula of this cell failed with #DIV/0! in the spreadsheet; the cell is taken as empty",
        ]
    );
}

#[test]
fn a_workbook_that_asks_for_all_of_the_memory_gets_none() {
    // A kilobyte of file, and a cell of a megabyte sixteen thousand times in each of a million rows.
    let long = "x".repeat(1 << 20);
    let tables = format!(
        "<table:table table:name=\"One\"><table:table-row table:number-rows-repeated=\"1048576\"><table:table-cell office:value-type=\"string\" \
         table:number-columns-repeated=\"16384\"><text:p>{long}</text:p></table:table-cell></table:table-row></table:table>"
    );
    let error = read_bytes("bomb.ods", ods(&tables), &Options::default()).unwrap_err();
    assert_eq!(error.to_string(), "'bomb.ods' has more than 200 million cells (split it)");
}

#[test]
fn damaged_and_foreign_files_say_what_they_are() {
    let check = |name: &str, bytes: &[u8], expected: &str| {
        let error = read_bytes(name, bytes.to_vec(), &Options::default()).unwrap_err();
        assert_eq!(error.to_string(), expected);
    };
    check("a.csv", b"", "there is nothing in 'a.csv'");
    check("a.csv", b"\n\n  \n", "there is nothing in 'a.csv'");
    check("a.csv", b"%PDF-1.7", "'a.csv' is a PDF, no table (give a .csv, .xlsx or .ods file)");
    check("a.csv", b"\x7fELF\0\0\0\x01\0\0\0\0", "'a.csv' is not a text, no table (give a .csv, .xlsx or .ods file)");
    let old = "'a.xls' is an old .xls workbook or one with a password, no table (give a .csv, .xlsx or .ods file)";
    check("a.xls", &[0xd0, 0xcf, 0x11, 0xe0, 0xa1], old);
    let text = packed(&[("word/document.xml", b"<a/>")]);
    check("a.docx", &text, "'a.docx' is a text document, no table (give a .csv, .xlsx or .ods file)");
    let whole = xlsx("<sheetData/>");
    let half = whole.get(..whole.len() / 2).unwrap();
    let error = read_bytes("half.xlsx", half.to_vec(), &Options::default()).unwrap_err();
    assert!(matches!(error, TableError::Damaged { .. }), "{error}");
    let odd = xlsx("<sheetData><row r=\"1\"><c r=\"ZZZZZZZZZZZZ99999999999\"><v>1</v></c></row></sheetData>");
    // Whatever is made of an impossible place, the program goes on.
    let _ = read_bytes("odd.xlsx", odd, &Options::default());
}

#[test]
fn headers_guessed_and_said() {
    let of =
        |text: &str, header: HeaderRow| read_bytes("a.csv", text.as_bytes().to_vec(), &Options { header, ..Options::default() }).unwrap();
    let table = of("plate,24,x\nbowl,60,\ncup,55,y\n", HeaderRow::Guess);
    assert_eq!(table.headers, ["column A", "column B", "column C"]);
    assert_eq!(table.len(), 3);
    let no_header = "a.csv: the first row looks like data, so the columns are called by their letters (say that it is the header if it is)";
    assert_eq!(told(&table), [no_header]);
    assert_eq!(of("plate,24\nbowl,60\n", HeaderRow::First).headers, ["plate", "24"]);
    let table = of("Stock of 1951\n\nname,,name,\nplate,24,x,\nbowl,60,y\ncup,55,z,,,extra\n", HeaderRow::Guess);
    assert_eq!(table.headers, ["name", "column B", "name (2)"]);
    assert_eq!(
        told(&table),
        [
            "a.csv, row 3, column B: this column has no header and is called 'column B'",
            "a.csv, row 3, column C: there are several columns 'name'; this one is called 'name (2)'",
            "a.csv, row 3: the rows above row 3 were passed over, which is taken for the header",
            "a.csv, row 6, column F: this row has 6 cells and the header 3: 'extra' and what follows it was left out",
        ]
    );
}

#[test]
fn a_million_rows_are_read() {
    let mut text = String::from("name;rim;height\n");
    for row in 0..1_000_000 {
        let _ = writeln!(text, "form {};plain;{},5", row / 3, row % 300);
    }
    let table = read_bytes("long.csv", text.into_bytes(), &Options::default()).unwrap();
    assert_eq!(table.len(), 1_000_000);
    assert_eq!(table.cell(999_999, 2), "99,5");
    assert_eq!(table.at(999_999, 2).row, 1_000_001);
}

/// The museum's list becomes a key of its own, whole, with no error in it.
#[test]
fn the_museum_list_becomes_a_key() {
    let table = data("museum_ceramics.csv");
    assert_eq!((table.len(), table.headers.len()), (939, 9));
    let empty = new_key(&table);
    let (guesses, mapping) = guess(&table, &empty, Some("title"));
    let roles: Vec<String> = guesses.iter().map(|guess| format!("{}: {}", guess.header, guess.role.full())).collect();
    assert_eq!(
        roles,
        [
            "accession: identifier",
            "title: name",
            "medium: feature 'medium'",
            "earliest: first year",
            "latest: last year",
            "height mm: measure 'height' in millimetres",
            "width mm: measure 'width' in millimetres",
            "depth mm: measure 'depth' in millimetres",
            "diameter mm: measure 'diameter' in millimetres",
        ]
    );
    let plan = import(&empty, &table, &mapping).unwrap();
    let left_out: Vec<String> = plan.left_out.iter().map(|left_out| left_out.tell(&table)).collect();
    assert_eq!(left_out, [""; 0], "every row and cell is brought in");
    assert_eq!(plan.rows, 939);
    assert!(plan.pieces, "677 of 939 rows share their title");
    let dir = tempfile::tempdir().unwrap();
    let mut folder = Folder::create(dir.path(), &empty.about).unwrap();
    folder.save(&plan.applied(Changes::Keep)).unwrap();
    let loaded = load(dir.path());
    let errors: Vec<String> = loaded.problems.iter().filter(|p| p.severity == Severity::Error).map(ToString::to_string).collect();
    assert_eq!(errors, [""; 0], "a key without errors");
    let weights: f64 = loaded.key.forms.iter().map(|form| form.weight).sum();
    assert!((weights - 939.0).abs() < 1e-9, "each piece counts once: {weights}");
    let plate = loaded.key.forms.iter().find(|form| form.name == "Plate").unwrap();
    assert!((plate.weight - 98.0).abs() < 1e-9, "98 plates, by counting the file with another program: {}", plate.weight);
}

#[test]
fn the_zoo_becomes_a_key_of_forms() {
    let table = data("zoo.csv");
    let empty = new_key(&table);
    let (guesses, mapping) = guess(&table, &empty, None);
    assert!(guesses.iter().skip(1).all(|guess| matches!(guess.role, Role::Category { split: None, .. })), "{guesses:?}");
    let plan = import(&empty, &table, &mapping).unwrap();
    assert_eq!(plan.left_out, []);
    assert!(!plan.pieces, "each row describes an animal");
    let key = plan.applied(Changes::Keep);
    assert_eq!((key.forms.len(), key.features.len()), (101, 17));
    let bear = key.forms.iter().find(|form| form.name == "bear").unwrap();
    assert_eq!(bear.features.get("milk"), Some(&Record::Always("yes".into())));
}

proptest! {
    #[test]
    fn any_bytes_are_a_table_or_a_sentence(bytes in prop::collection::vec(any::<u8>(), 0..300), start in 0..5_usize) {
        let starts: [&[u8]; 5] = [b"", b"\xff\xfe", b"\xef\xbb\xbf", b"PK\x03\x04", b"name;rim\n"];
        let bytes = [starts[start], &bytes].concat();
        match read_bytes("any.csv", bytes, &Options::default()) {
            Ok(table) => prop_assert!(!table.headers.is_empty()),
            Err(error) => prop_assert!(!error.to_string().is_empty()),
        }
    }

    #[test]
    fn any_text_makes_a_sound_key(text in "(name|title|[a-c]{1,3})([,;](rim|height mm|year|[a-d]{1,2})){1,4}(\n[a-c0-9 \",;.|/é-]{0,30}){1,12}") {
        let Ok(table) = read_bytes("any.csv", text.into_bytes(), &Options::default()) else { return Ok(()) };
        let empty = new_key(&table);
        let (_, mapping) = guess(&table, &empty, None);
        let Ok(plan) = import(&empty, &table, &mapping) else { return Ok(()) };
        let key = plan.applied(Changes::Make);
        for form in &key.forms {
            let problems: Vec<String> = footring::key::check_form(&key, form).iter().map(ToString::to_string).collect();
            prop_assert_eq!(problems, Vec::<String>::new());
        }
    }
}
