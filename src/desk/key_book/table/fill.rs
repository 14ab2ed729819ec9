//! Setting cells: by a digit, by what is typed, from the row above, from a spreadsheet, and copying them to one.

use super::draft::Cell;
use super::{TableView, Typing, rows};
use crate::desk::document::Document;
use crate::key::edit::cell;
use crate::key::words::fold;
use crate::key::{Feature, FeatureId, FeatureKind, Form, FormId, Record, plain};
use crate::{say, say_count};

/// Most cells that one paste takes.
const MOST_PASTED: usize = 200_000;

/// What a step that set cells is called.
fn step_name(doc: &Document, cells: &[(FormId, FeatureId, Cell)], what: fn(usize) -> String) -> String {
    match cells {
        [(form, feature, cell)] => {
            let words = cell.as_ref().map_or_else(|| say!("not recorded").to_owned(), |record| doc.key.record_words(feature, record));
            say!("{feature} of {form}: {words}", feature = doc.key.feature_name(feature), form = doc.key.form_name(form), words)
        }
        _ => what(cells.len()),
    }
}

fn set(table: &mut TableView, doc: &Document, cells: Vec<(FormId, FeatureId, Cell)>, what: fn(usize) -> String) -> usize {
    let name = step_name(doc, &cells, what);
    table.draft.set(&doc.key, name, cells)
}

/// The chosen cells that their forms can have.
fn chosen<'d>(table: &TableView, doc: &'d Document) -> Vec<(&'d Form, &'d Feature)> {
    let ((top, bottom), (left, right)) = table.chosen_cells();
    let places = (top..=bottom).flat_map(|row| (left..=right).map(move |column| (row, column)));
    places.filter_map(|place| table.cell(doc, place)).filter(|(form, feature)| rows::applies(form, feature)).collect()
}

/// Sets every chosen cell of the column of the first to a record.
pub(super) fn set_chosen(table: &mut TableView, doc: &Document, record: &Cell) {
    let Some((_, column)) = table.cell(doc, table.at) else { return };
    let cells: Vec<_> = chosen(table, doc)
        .into_iter()
        .filter(|(_, feature)| feature.id == column.id)
        .map(|(form, feature)| (form.id.clone(), feature.id.clone(), record.clone()))
        .collect();
    table.wrong = cells.is_empty().then(|| say!("this form can't have a {feature}", feature = column.shown_name()));
    set(table, doc, cells, |n| say_count!(n, "set {n} cell", "set {n} cells"));
}

/// Clears the chosen cells.
pub(super) fn clear(table: &mut TableView, doc: &Document) {
    let cells: Vec<_> = chosen(table, doc).into_iter().map(|(form, feature)| (form.id.clone(), feature.id.clone(), None)).collect();
    table.wrong = None;
    set(table, doc, cells, |n| say_count!(n, "clear {n} cell", "clear {n} cells"));
}

/// The value of that number, counted from one, into the chosen cells. False where the column is no choice.
pub(super) fn digit(table: &mut TableView, doc: &Document, number: usize) -> bool {
    let Some((_, feature)) = table.cell(doc, table.at) else { return true };
    if !matches!(feature.kind, FeatureKind::Choice(_)) {
        return false;
    }
    match number.checked_sub(1).and_then(|at| doc.key.values_of(feature).into_iter().nth(at)) {
        Some((value, _)) => set_chosen(table, doc, &Some(Record::Always(value))),
        None => table.wrong = Some(say!("the {feature} has no value {number}", feature = feature.shown_name(), number)),
    }
    true
}

/// What is recorded in the top row of what is chosen, into the rows below it; of a single row, what is recorded in the row above.
pub(super) fn down(table: &mut TableView, doc: &Document) {
    let ((top, bottom), (left, right)) = table.chosen_cells();
    let (source, first) = if top == bottom { (top.wrapping_sub(1), top) } else { (top, top + 1) };
    let mut cells = Vec::new();
    for column in left..=right {
        let Some((from, feature)) = table.cell(doc, (source, column)) else { continue };
        if !rows::applies(from, feature) {
            continue;
        }
        let record = table.draft.record(from, &feature.id).cloned();
        for row in first..=bottom {
            if let Some((form, feature)) = table.cell(doc, (row, column)).filter(|(form, feature)| rows::applies(form, feature)) {
                cells.push((form.id.clone(), feature.id.clone(), record.clone()));
            }
        }
    }
    table.wrong = cells.is_empty().then(|| say!("there is nothing above to fill down").to_owned());
    set(table, doc, cells, |n| say_count!(n, "fill {n} cell", "fill {n} cells"));
}

/// Takes what was typed. True where it was a record, and the cell is done.
pub(super) fn typed(table: &mut TableView, doc: &Document) -> bool {
    let Some(Typing { text, .. }) = &table.typing else { return true };
    let Some((_, feature)) = table.cell(doc, table.at) else { return true };
    match read(doc, feature, text) {
        Ok(record) => {
            set_chosen(table, doc, &record);
            table.typing = None;
            table.wrong.is_none()
        }
        Err(why) => {
            table.wrong = Some(why);
            false
        }
    }
}

/// A record as it is written, or the one value that begins so.
fn read(doc: &Document, feature: &Feature, text: &str) -> Result<Cell, String> {
    cell::read(&doc.key, &doc.words, &feature.id, text).or_else(|error| {
        let typed = fold(text);
        let mut begun = doc.key.values_of(feature).into_iter().filter(|(_, words)| !typed.is_empty() && fold(words).starts_with(&typed));
        match (begun.next(), begun.next()) {
            (Some((value, _)), None) => Ok(Some(Record::Always(value))),
            _ => Err(error.to_string()),
        }
    })
}

/// The chosen cells as rows of text, parted by tabs, as spreadsheets take them.
pub(super) fn copied(table: &TableView, doc: &Document) -> String {
    let ((top, bottom), (left, right)) = table.chosen_cells();
    let row = |row: usize| {
        let text = |column: usize| match table.cell(doc, (row, column)) {
            Some((form, feature)) if rows::applies(form, feature) => {
                plain(&cell::text(&doc.key, feature, table.draft.record(form, &feature.id))).replace(['\t', '\n', '\r'], " ")
            }
            _ => String::new(),
        };
        (left..=right).map(text).collect::<Vec<_>>().join("\t")
    };
    (top..=bottom).map(row).collect::<Vec<_>>().join("\n")
}

/// Cells from a spreadsheet, from the first chosen cell on; a single one goes into every chosen cell. What cannot be read is told and left as it was.
pub(super) fn paste(table: &mut TableView, doc: &Document, text: &str) {
    let mut reader = csv::ReaderBuilder::new().delimiter(b'\t').has_headers(false).flexible(true).from_reader(text.as_bytes());
    let rows: Vec<Vec<String>> =
        reader.records().map_while(Result::ok).map(|row| row.iter().map(|cell| cell.trim().to_owned()).collect()).collect();
    let ((top, bottom), (left, right)) = table.chosen_cells();
    let single = matches!(rows.as_slice(), [row] if row.len() == 1);
    let places: Vec<((usize, usize), &str)> = if single {
        let text = rows.first().and_then(|row| row.first()).map_or("", String::as_str);
        (top..=bottom).flat_map(|row| (left..=right).map(move |column| ((row, column), text))).collect()
    } else {
        let cells =
            rows.iter().enumerate().flat_map(|(r, row)| row.iter().enumerate().map(move |(c, text)| ((top + r, left + c), text.as_str())));
        cells.take(MOST_PASTED).collect()
    };
    let (mut cells, mut wrong, mut outside) = (Vec::new(), Vec::new(), 0);
    for (place, text) in places {
        let Some((form, feature)) = table.cell(doc, place) else {
            outside += 1;
            continue;
        };
        if !rows::applies(form, feature) {
            // A blank or a dash says the same as the key.
            if !matches!(text, "" | "-" | "–" | "—") {
                wrong.push(say!("{form}: it has no {part}", form = doc.key.full_name(form), part = feature.part.word()));
            }
            continue;
        }
        match read(doc, feature, text) {
            Ok(record) => cells.push((form.id.clone(), feature.id.clone(), record)),
            Err(why) => wrong.push(format!("{}, {}: {why}", doc.key.full_name(form), feature.shown_name())),
        }
    }
    let pasted = set(table, doc, cells, |n| say_count!(n, "paste {n} cell", "paste {n} cells"));
    let mut says = Vec::new();
    if let Some(first) = wrong.first() {
        says.push(say_count!(
            n = wrong.len(),
            "{n} cell could not be read and stayed as they were ({first})",
            "{n} cells could not be read and stayed as they were ({first})",
            first
        ));
    }
    if outside > 0 {
        says.push(say_count!(n = outside, "{n} cell lay outside the table", "{n} cells lay outside the table"));
    }
    table.wrong = (!says.is_empty()).then(|| {
        let says = says.join("; ");
        say_count!(n = pasted, "{n} cell pasted; {says}", "{n} cells pasted; {says}", says)
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::document::KeyPlace;
    use crate::key::builtin;

    fn table() -> (Document, TableView) {
        let doc = Document::new(builtin::demo().key, KeyPlace::default());
        let mut table = TableView::default();
        table.lay_out(&doc);
        (doc, table)
    }

    /// Where the column of a feature stands.
    fn column(doc: &Document, table: &TableView, id: &str) -> usize {
        let is = |at: &usize| doc.key.features.get(*at).is_some_and(|feature| feature.id.as_str() == id);
        table.laid.columns.iter().position(is).unwrap_or_default()
    }

    #[test]
    fn what_is_copied_and_pasted_in_the_same_place_changes_nothing() {
        let (doc, mut table) = table();
        table.at = (table.laid.rows.len() - 1, table.laid.columns.len() - 1);
        let text = copied(&table, &doc);
        paste(&mut table, &doc, &text);
        assert_eq!((table.draft.len(), table.wrong.as_deref()), (0, None));
    }

    #[test]
    fn a_spreadsheet_is_pasted_and_what_it_has_wrong_is_told() {
        let (doc, mut table) = table();
        let at = column(&doc, &table, "height");
        (table.at, table.from) = ((0, at), (0, at));
        paste(&mut table, &doc, "101\n9 1/4 in\ntall\n\"103 to 104\"\n");
        assert_eq!(table.draft.len(), 3);
        let says = table.wrong.clone().unwrap_or_default();
        assert!(says.starts_with("3 cells pasted; 1 cell could not be read and stayed as they were ("), "{says}");
        let record = |row| table.cell(&doc, (row, at)).and_then(|(form, feature)| table.draft.record(form, &feature.id).cloned());
        assert_eq!((record(0), record(3)), (Some(Record::Between(101.0, 101.0)), Some(Record::Between(103.0, 104.0))));
        assert!(table.undo());
        assert_eq!(table.draft.len(), 0);
        table.at = (table.laid.rows.len() - 1, at);
        table.from = table.at;
        paste(&mut table, &doc, "1\n2\n3");
        assert_eq!(table.wrong.as_deref(), Some("1 cell pasted; 2 cells lay outside the table"));
    }

    #[test]
    fn filling_down_takes_the_top_row_or_the_row_above() {
        let (doc, mut table) = table();
        let at = column(&doc, &table, "height");
        (table.from, table.at) = ((0, at), (0, at));
        down(&mut table, &doc);
        assert_eq!(table.wrong.as_deref(), Some("there is nothing above to fill down"));
        (table.from, table.at) = ((0, at), (4, at));
        down(&mut table, &doc);
        let record = |table: &TableView, row| table.cell(&doc, (row, at)).and_then(|(form, f)| table.draft.record(form, &f.id).cloned());
        let first = record(&table, 0);
        assert!(first.is_some() && (1..5).all(|row| record(&table, row) == first));
        assert_ne!(record(&table, 5), first);
        (table.from, table.at) = ((5, at), (5, at));
        down(&mut table, &doc);
        assert_eq!(record(&table, 5), first);
    }
}
