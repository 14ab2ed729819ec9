//! ODS workbooks (Open Document Format 1.3, part 3, chapter 9: tables). Read once from the front; a repeated cell or row is counted before it is
//! copied.

use super::problem::TableError;
use super::read::Options;
use super::table::Table;
use super::workbook::{Sheet, choose, number, say_first};
use super::{CELL_LIMIT, COLUMN_LIMIT};
use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use std::collections::BTreeMap;
use std::io::{BufReader, Cursor, Read};
use zip::ZipArchive;

/// The most rows a sheet of a spreadsheet has.
const ROWS: u32 = 1 << 20;

/// A cell as it stands in the file.
#[derive(Debug, Clone, Default)]
struct Cell {
    text: String,
    /// How many times it stands side by side.
    times: u32,
    /// Over how many rows it is merged.
    rows: u32,
    columns: u32,
    error: bool,
    /// It has a formula, and no value.
    no_result: bool,
    /// It is hidden by a merge.
    covered: bool,
}

/// Reads a table from a workbook.
pub(super) fn read(file: &str, bytes: &[u8], options: &Options) -> Result<Table, TableError> {
    let damaged = |why: String| TableError::Damaged { file: file.to_owned(), why };
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|e| damaged(e.to_string()))?;
    if let Ok(mut manifest) = archive.by_name("META-INF/manifest.xml") {
        let mut text = String::new();
        let _ = manifest.by_ref().take(CELL_LIMIT as u64).read_to_string(&mut text);
        if text.contains("encryption-data") {
            return Err(TableError::Locked { file: file.to_owned() });
        }
    }
    let mut content = |wanted: Option<&[String]>| {
        let entry = archive.by_name("content.xml").map_err(|e| damaged(e.to_string()))?;
        sheets(BufReader::new(entry), wanted).map_err(damaged)
    };
    // Once for the names, and once for the one that is wanted: most workbooks are small, and a large one is not held twice.
    let names: Vec<String> = content(Some(&[]))?.into_iter().map(|(name, _)| name).collect();
    let wanted = choose(file, &names, options)?;
    let read = content(Some(&wanted))?;
    let only = wanted.len() == 1;
    let found = read.into_iter().filter(|(name, _)| wanted.contains(name)).find(|(_, sheet)| only || !sheet.grid.rows.is_empty());
    let (name, sheet) = found.ok_or_else(|| TableError::Empty { what: format!("'{file}'") })?;
    let mut table = sheet.table(file, &name, options)?;
    say_first(&mut table, &names, options);
    table.sheets = names;
    Ok(table)
}

/// The sheets of a `content.xml` by name; of those that are not wanted, the name alone. After the first wanted one that holds something
/// the others are passed over.
fn sheets(content: impl std::io::BufRead, wanted: Option<&[String]>) -> Result<Vec<(String, Sheet)>, String> {
    let mut reader = Reader::from_reader(content);
    let mut buffer = Vec::new();
    let mut found: Vec<(String, Sheet)> = Vec::new();
    let mut done = false;
    loop {
        match event(&mut reader, &mut buffer)? {
            Event::Start(e) if e.name().as_ref() == b"table:table" => {
                let name = attribute(&e, b"table:name")?.unwrap_or_default();
                let read = !done && wanted.is_none_or(|wanted| wanted.contains(&name));
                let sheet = table(&mut reader, read)?;
                done |= !sheet.grid.rows.is_empty();
                found.push((name, sheet));
            }
            Event::Eof => return Ok(found),
            _ => {}
        }
        buffer.clear();
    }
}

fn event<'b, R: std::io::BufRead>(reader: &mut Reader<R>, buffer: &'b mut Vec<u8>) -> Result<Event<'b>, String> {
    reader.read_event_into(buffer).map_err(|e| e.to_string())
}

fn attribute(e: &BytesStart<'_>, name: &[u8]) -> Result<Option<String>, String> {
    for attribute in e.attributes() {
        let attribute = attribute.map_err(|e| e.to_string())?;
        if attribute.key.as_ref() == name {
            let raw = String::from_utf8_lossy(&attribute.value);
            return Ok(Some(quick_xml::escape::unescape(&raw).map_err(|e| e.to_string())?.into_owned()));
        }
    }
    Ok(None)
}

fn count(e: &BytesStart<'_>, name: &[u8]) -> Result<u32, String> {
    Ok(attribute(e, name)?.and_then(|n| n.trim().parse::<u32>().ok()).unwrap_or(1))
}

/// Reads one sheet up to its end. Tables inside it (of a chart, of changes kept) are passed over.
fn table<R: std::io::BufRead>(reader: &mut Reader<R>, wanted: bool) -> Result<Sheet, String> {
    let mut sheet = Sheet::default();
    let mut buffer = Vec::new();
    let mut at = 0_u32;
    let mut inner = 0_usize;
    let mut going: BTreeMap<u32, (u32, String)> = BTreeMap::new();
    loop {
        match event(reader, &mut buffer)? {
            Event::Start(e) if e.name().as_ref() == b"table:table" => inner += 1,
            Event::End(e) if e.name().as_ref() == b"table:table" => {
                let Some(left) = inner.checked_sub(1) else { return Ok(sheet) };
                inner = left;
            }
            Event::Start(e) if e.name().as_ref() == b"table:table-row" && wanted && inner == 0 => {
                let times = count(&e, b"table:number-rows-repeated")?;
                let cells = row(reader)?;
                let holds = cells.iter().any(|cell| !cell.text.is_empty() || cell.error || cell.no_result);
                let last = at.saturating_add(times).min(ROWS);
                if holds {
                    for line in at..last {
                        // Nothing more is taken, however often it is repeated.
                        if sheet.is_full() {
                            return Ok(sheet);
                        }
                        put_row(&mut sheet, line, &cells, &mut going);
                    }
                }
                at = last;
            }
            Event::Empty(e) if e.name().as_ref() == b"table:table-row" && inner == 0 => {
                at = at.saturating_add(count(&e, b"table:number-rows-repeated")?).min(ROWS);
            }
            Event::Eof => return Err("it ends in the middle of a sheet".to_owned()),
            _ => {}
        }
        buffer.clear();
    }
}

fn put_row(sheet: &mut Sheet, line: u32, cells: &[Cell], going: &mut BTreeMap<u32, (u32, String)>) {
    going.retain(|_, (last, _)| *last >= line);
    let mut column = 0_u32;
    for cell in cells {
        // What repeats and puts nothing is noted once: a made-up sheet says it of sixteen thousand cells in each of a million rows.
        if cell.error || cell.no_result || cell.covered {
            let end = column.saturating_add(cell.times).min(COLUMN_LIMIT as u32);
            if cell.error && column < end {
                sheet.failed(line, column, end - column, &cell.text);
            } else if cell.no_result && column < end {
                sheet.no_result(line, column, end - column);
            } else if cell.covered && column < end {
                for (&column, (_, text)) in going.range(column..end) {
                    sheet.put(line, column, text);
                }
            }
            column = end;
            continue;
        }
        for _ in 0..cell.times {
            if column as usize >= COLUMN_LIMIT || sheet.is_full() {
                return;
            }
            if cell.text.is_empty() {
                // Nothing stands in the rest of a run of empty cells either.
                column = column.saturating_add(cell.times);
                break;
            }
            sheet.put(line, column, &cell.text);
            if cell.rows > 1 && cell.columns <= 1 {
                let last = line.saturating_add(cell.rows - 1).min(ROWS);
                sheet.merged(line, column, last);
                going.insert(column, (last, cell.text.clone()));
            }
            column += 1;
        }
    }
}

/// The cells of a row up to its end.
fn row<R: std::io::BufRead>(reader: &mut Reader<R>) -> Result<Vec<Cell>, String> {
    let mut cells = Vec::new();
    let mut buffer = Vec::new();
    loop {
        match event(reader, &mut buffer)? {
            Event::Start(e) if is_cell(&e) => {
                let (mut cell, value) = head(&e)?;
                let text = inside(reader)?;
                finish(&mut cell, value, text);
                cells.push(cell);
            }
            Event::Empty(e) if is_cell(&e) => {
                let (mut cell, value) = head(&e)?;
                finish(&mut cell, value, String::new());
                cells.push(cell);
            }
            Event::End(e) if e.name().as_ref() == b"table:table-row" => return Ok(cells),
            Event::Eof => return Err("it ends in the middle of a row".to_owned()),
            _ => {}
        }
        buffer.clear();
    }
}

fn is_cell(e: &BytesStart<'_>) -> bool {
    matches!(e.name().as_ref(), b"table:table-cell" | b"table:covered-table-cell")
}

/// A cell without its text, and its value where that is not the text.
fn head(e: &BytesStart<'_>) -> Result<(Cell, Option<String>), String> {
    let formula = attribute(e, b"table:formula")?.is_some();
    let kind = attribute(e, b"office:value-type")?.unwrap_or_default();
    let of = |name: &[u8]| attribute(e, name);
    let value = match kind.as_str() {
        "float" | "percentage" | "currency" => of(b"office:value")?.map(|text| text.trim().parse().map_or(text, number)),
        "date" => {
            of(b"office:date-value")?.map(|date| date.strip_suffix("T00:00:00").map_or_else(|| date.replace('T', " "), str::to_owned))
        }
        "time" => of(b"office:time-value")?,
        "boolean" => of(b"office:boolean-value")?,
        "string" => of(b"office:string-value")?,
        _ => None,
    };
    let error = of(b"calcext:value-type")?.as_deref() == Some("error");
    let cell = Cell {
        times: count(e, b"table:number-columns-repeated")?,
        rows: count(e, b"table:number-rows-spanned")?,
        columns: count(e, b"table:number-columns-spanned")?,
        covered: e.name().as_ref() == b"table:covered-table-cell",
        error,
        no_result: formula && kind.is_empty() && !error,
        text: String::new(),
    };
    Ok((cell, value))
}

fn finish(cell: &mut Cell, value: Option<String>, text: String) {
    // What is shown of a formula that failed is the name of its failure.
    let failed = text.starts_with('#') && text.ends_with(['!', '?', 'A']) || text.starts_with("Err:");
    cell.error |= cell.error || failed && value.as_deref() == Some("0");
    cell.text = if cell.error { text } else { value.unwrap_or(text) };
    cell.no_result &= cell.text.is_empty();
}

/// The text inside a cell up to its end: its paragraphs, without comments.
fn inside<R: std::io::BufRead>(reader: &mut Reader<R>) -> Result<String, String> {
    let mut text = String::new();
    let mut buffer = Vec::new();
    let mut paragraphs = 0_usize;
    let mut depth = 0_usize;
    // Depth at which a comment or a drawing began.
    let mut aside: Option<usize> = None;
    loop {
        let event = event(reader, &mut buffer)?;
        match &event {
            Event::Start(e) => {
                depth += 1;
                let name = e.name();
                if aside.is_none() && (name.as_ref() == b"office:annotation" || name.as_ref().starts_with(b"draw:")) {
                    aside = Some(depth);
                }
                if aside.is_none() && name.as_ref() == b"text:p" {
                    if paragraphs > 0 {
                        text.push('\n');
                    }
                    paragraphs += 1;
                }
            }
            Event::Empty(e) if aside.is_none() => match e.name().as_ref() {
                b"text:s" => {
                    let blanks = count(e, b"text:c")? as usize;
                    text.extend(std::iter::repeat_n(' ', blanks.min(CELL_LIMIT.saturating_sub(text.len()))));
                }
                b"text:tab" => text.push('\t'),
                b"text:line-break" => text.push('\n'),
                b"text:p" => paragraphs += 1,
                _ => {}
            },
            Event::Text(t) if aside.is_none() && paragraphs > 0 => text.push_str(&t.xml10_content().map_err(|e| e.to_string())?),
            Event::GeneralRef(name) if aside.is_none() && paragraphs > 0 => {
                let name = name.decode().map_err(|e| e.to_string())?;
                text.push_str(&quick_xml::escape::unescape(&format!("&{name};")).map_err(|e| e.to_string())?);
            }
            Event::End(_) => {
                if aside == Some(depth) {
                    aside = None;
                }
                let Some(less) = depth.checked_sub(1) else { return Ok(text) };
                depth = less;
            }
            Event::Eof => return Err("it ends in the middle of a cell".to_owned()),
            _ => {}
        }
        buffer.clear();
    }
}
