//! The mark sheet: each mark as it is laid out, with what is known of it beside it.

use super::draw;
use super::flow::{BODY, CheckBar, Flow, SMALL, STRONG};
use super::form_sheet::when;
use super::setup::Setup;
use super::table::{self, Cell, Column};
use super::{PrintError, finished};
use crate::key::{CodeDates, Key, Mark, MarkId, Used, capital};
use crate::sheets::page::{Colour, Document, Face};
use crate::{say, say_count};
use kurbo::Rect;

/// Lays out the marks of these ids, or all of them where none is named.
///
/// # Errors
/// [`PrintError::NoMarks`] where there is none.
pub fn mark_sheets(key: &Key, marks: &[MarkId], setup: &Setup) -> Result<Document, PrintError> {
    let marks: Vec<&Mark> = key.marks.iter().filter(|mark| marks.is_empty() || marks.contains(&mark.id)).collect();
    if marks.is_empty() {
        return Err(PrintError::NoMarks);
    }
    let about = say_count!(
        n = marks.len(),
        "{title}: {n} mark; drawn by layout and wording, not to scale",
        "{title}: {n} marks; drawn by layout and wording, not to scale",
        title = key.about.title
    );
    let mut flow = Flow::new(*setup, say!("Marks"), &about, 1, CheckBar::No);
    let (wide, high) = if flow.width() < 110.0 { (24.0, 20.0) } else { (44.0, 34.0) };
    let rows = marks.into_iter().map(|mark| {
        let drawing = draw::mark(mark, Rect::new(1.0, 1.0, wide - 1.0, high - 1.0));
        vec![Cell::drawn(wide, high, drawing), Cell { drawing: None, words: facts(key, mark) }]
    });
    let share = wide + 2.0;
    let columns = [Column::new("", share), Column::new("", flow.width() - share)];
    table::place(&mut flow, &columns, rows.collect::<Vec<_>>());
    Ok(finished(flow.end(), *setup))
}

fn facts(key: &Key, mark: &Mark) -> Vec<(super::flow::Type, String)> {
    let mut facts = vec![(STRONG, capital(&mark.name))];
    let mut say = |head: &str, words: String| {
        if !words.is_empty() {
            facts.push((BODY, format!("{head}: {words}")));
        }
    };
    let reads: Vec<String> = mark.wording.iter().map(|line| format!("‘{}’", line.text)).collect();
    say(say!("Reads"), reads.join(" / "));
    say(say!("Layout"), mark.layout.words().to_owned());
    let ink = mark.ink.as_ref().map(|ink| format!("{}, ", ink.name)).unwrap_or_default();
    say(say!("Put on"), format!("{ink}{}", mark.applied.words()));
    let used =
        if mark.used == Used::NeverUsed { say!("never, as far as is known: it was drawn only").to_owned() } else { mark.made.words() };
    say(say!("Used"), if used.is_empty() { String::new() } else { format!("{used} ({})", mark.how.words()) });
    say(
        say!("Lines"),
        mark.lines.iter().map(|id| key.line(id).map_or_else(|| id.to_string(), |line| line.name.clone())).collect::<Vec<_>>().join(", "),
    );
    say(say!("Made for"), mark.customers.join(", "));
    say(say!("Date code"), mark.date_code.clone());
    for code in &mark.codes {
        let dates = code.dates;
        let (code, pattern) = (&code.name, &code.pattern);
        let says = match dates {
            CodeDates::Making => say!("{code}, written {pattern}, dates the making", code, pattern),
            CodeDates::Mould => say!("{code}, written {pattern}, dates the mould, so that the piece is of then or later", code, pattern),
            CodeDates::Decoration => say!("{code}, written {pattern}, dates the decoration", code, pattern),
        };
        say(say!("Code"), says);
    }
    let papers =
        mark.papers.iter().map(|id| key.paper(id).map_or_else(|| id.to_string(), |paper| format!("{}, {}", paper.title, when(paper.date))));
    say(say!("Shown in"), papers.collect::<Vec<_>>().join("; "));
    say(say!("Also called"), mark.also.join(", "));
    if !mark.note.is_empty() {
        facts.push((super::flow::Type { face: Face::Italic, colour: Colour::SOFT, ..SMALL }, mark.note.clone()));
    }
    facts
}
