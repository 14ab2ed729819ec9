//! Finds as a table and as JSON.

use super::recorded;
use super::seen::seen_words;
use crate::daybook::Find;
use crate::daybook::condition::ConditionRules;
use crate::key::{Feature, Key};
use crate::sheets::csv::{guarded, guarded_unless_a_number, heading};
use serde::Serialize;
use std::io::{self, Write};

/// The table of finds: a row each, after the columns that every find has one for each feature that any of them was looked at for.
#[derive(Debug, Clone, PartialEq)]
pub struct Finds {
    /// The heads of the columns.
    pub heads: Vec<String>,
    /// The rows, as wide as the heads.
    pub rows: Vec<Vec<Cell>>,
}

/// A cell of the table.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Nothing.
    Nothing,
    /// Words.
    Words(String),
    /// A number.
    Number(f64),
}

impl Cell {
    pub(super) fn words(words: impl Into<String>) -> Self {
        let words = words.into();
        if words.is_empty() { Self::Nothing } else { Self::Words(words) }
    }
}

const HEADS: [&str; 13] =
    ["id", "recorded", "form", "line", "form id", "verdict", "standing", "probability", "box", "note", "missing", "photographs", "key"];

impl Finds {
    /// Lays finds out as a table, by a key: what is recorded of each first, graded by those rules; then the features of the key as columns in its own
    /// order; what was seen of features it has not stands in the last.
    pub fn of(key: &Key, finds: &[Find], rules: &ConditionRules) -> Self {
        let looked: Vec<&Feature> = key
            .features
            .iter()
            .filter(|feature| finds.iter().any(|find| find.piece.observations.iter().any(|seen| seen.feature == feature.id)))
            .collect();
        let strangers = finds.iter().any(|find| find.piece.observations.iter().any(|seen| key.feature(&seen.feature).is_none()));
        let mut heads: Vec<String> = HEADS.iter().map(|head| (*head).to_owned()).collect();
        heads.extend(recorded::heads(finds));
        heads.extend(looked.iter().map(|feature| heading(feature)));
        if strangers {
            heads.push("not in this key".to_owned());
        }
        let rows = finds.iter().map(|find| {
            let named = find.named.as_ref();
            let mut row = vec![
                Cell::words(find.id.to_string()),
                Cell::words(find.found_at.strftime("%Y-%m-%dT%H:%M:%S%:z").to_string()),
                Cell::words(named.map(|named| named.form_name.clone()).unwrap_or_default()),
                Cell::words(named.map(|named| named.line_name.clone()).unwrap_or_default()),
                Cell::words(named.map(|named| named.form.to_string()).unwrap_or_default()),
                Cell::words(find.verdict.clone()),
                Cell::words(find.standing.words()),
                find.probability.filter(|p| p.is_finite()).map_or(Cell::Nothing, Cell::Number),
                Cell::words(find.box_label.clone()),
                Cell::words(find.note.clone()),
                Cell::words(find.piece.missing.iter().map(|part| part.word()).collect::<Vec<_>>().join("|")),
                Cell::words(find.photographs.iter().map(|photo| photo.name.as_str()).collect::<Vec<_>>().join("|")),
                Cell::words(find.key.title.clone()),
            ];
            row.extend(recorded::cells(finds, find, rules));
            row.extend(
                looked.iter().map(|feature| find.piece.seen(&feature.id).map_or(Cell::Nothing, |seen| Cell::words(seen_words(key, seen)))),
            );
            if strangers {
                let other = find.piece.observations.iter().filter(|seen| key.feature(&seen.feature).is_none());
                row.push(Cell::words(
                    other.map(|seen| format!("{}: {}", seen.feature, seen_words(key, seen))).collect::<Vec<_>>().join("; "),
                ));
            }
            row
        });
        Self { heads, rows: rows.collect() }
    }
}

/// Writes finds as comma-separated values. What a spreadsheet would take for a formula gets an apostrophe before it.
///
/// # Errors
/// Those of the writer.
pub fn write_finds_csv(key: &Key, finds: &[Find], rules: &ConditionRules, out: &mut dyn Write) -> io::Result<()> {
    let table = Finds::of(key, finds, rules);
    let mut csv = csv::Writer::from_writer(Vec::new());
    csv.write_record(table.heads.iter().map(|head| guarded(head))).map_err(io::Error::from)?;
    for row in &table.rows {
        let cells = row.iter().map(|cell| match cell {
            Cell::Nothing => String::new(),
            Cell::Words(words) => guarded_unless_a_number(words),
            Cell::Number(number) => number.to_string(),
        });
        csv.write_record(cells).map_err(io::Error::from)?;
    }
    let bytes = csv.into_inner().map_err(|e| io::Error::other(e.to_string()))?;
    out.write_all(&bytes)
}

/// Writes finds as JSON: as the daybook holds them.
///
/// # Errors
/// Those of the writer.
pub fn write_finds_json(finds: &[Find], out: &mut dyn Write) -> io::Result<()> {
    #[derive(Serialize)]
    struct All<'a> {
        format: u32,
        finds: &'a [Find],
    }
    super::json(&All { format: 1, finds }, out)
}
