//! The date codes of a mark that is being changed, and what sample codes give by them.

use super::edit::{Edit, field, names};
use crate::desk::theme;
use crate::desk::widgets::remark;
use crate::key::DateCode;
use crate::marks::dates::code::{evidence, try_codes};
use crate::say;
use egui::{TextEdit, Ui};

/// Date codes written as in `marks.ron`.
pub(super) fn parsed(text: &str) -> Result<Vec<DateCode>, String> {
    if text.trim().is_empty() {
        return Ok(Vec::new());
    }
    ron::from_str(text).map_err(|error| {
        say!(
            "the date codes can't be read: {code} (line {line}, column {col})",
            code = error.code,
            line = error.span.start.line,
            col = error.span.start.col
        )
    })
}

/// Date codes as they are written in `marks.ron`, and what sample codes give by them.
pub(super) fn codes_ui(ui: &mut Ui, edit: &mut Edit) {
    let c = theme::colours(ui);
    field(ui, say!("Date code in words"), &mut edit.draft.date_code);
    let label = remark(ui, say!("Date codes that can be read, as in marks.ron"));
    let area = TextEdit::multiline(&mut edit.texts.codes).code_editor().desired_rows(3).desired_width(ui.available_width() - 20.0);
    let hint = "[(name: \"month and year\", pattern: \"{month}{year}\", parts: {\"month\": MonthNumber, \"year\": YearDigits(2)})]";
    ui.add(area.hint_text(hint)).labelled_by(label.id);
    match parsed(&edit.texts.codes) {
        Ok(codes) => {
            if codes != edit.draft.codes {
                edit.draft.codes = codes;
            }
        }
        Err(why) => {
            ui.colored_label(c.alarm, crate::key::capital(&why));
        }
    }
    if edit.draft.codes.is_empty() {
        return;
    }
    field(ui, say!("Try sample codes, parted by commas"), &mut edit.texts.samples);
    let samples = names(&edit.texts.samples);
    let samples: Vec<&str> = samples.iter().map(String::as_str).collect();
    for code in &edit.draft.codes {
        for (sample, read) in try_codes(code, edit.draft.made, &samples) {
            match read {
                Ok(readings) => {
                    let says = evidence(code, &sample, &readings).map_or_else(
                        || readings.first().map(|reading| reading.words.clone()).unwrap_or_default(),
                        |evidence| evidence.when.words(),
                    );
                    ui.label(format!("{sample}: {says}"));
                }
                Err(why) => {
                    ui.colored_label(c.alarm, format!("{sample}: {why}"));
                }
            }
        }
    }
}
