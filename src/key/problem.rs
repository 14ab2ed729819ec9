//! What is wrong with a key: a kind, a place, and how the two are put in words.

mod kind;
mod nearest;

pub use super::syntax::SyntaxErrorKind;
pub use kind::ProblemKind;
pub use nearest::nearest;

use super::say::plain;
use crate::say;
use std::fmt;

/// How bad a problem is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Something is left out of the key, or means nothing.
    Error,
    /// Everything is used; a person should look all the same.
    Warning,
}

impl Severity {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Error => say!("error"),
            Self::Warning => say!("warning"),
        }
    }
}

/// A place in a file of the key.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Place {
    /// The file, from the folder of the key, with forward slashes: `forms.ron`.
    pub file: String,
    /// Line, from 1. 0 means the file as a whole.
    pub line: usize,
    /// Column in characters, from 1. 0 means the file as a whole.
    pub column: usize,
    /// Length in characters, within that line.
    pub length: usize,
}

impl Place {
    /// A file as a whole.
    pub fn file(name: impl Into<String>) -> Self {
        Self { file: name.into(), ..Self::default() }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.line == 0 { f.write_str(&self.file) } else { write!(f, "{}:{}:{}", self.file, self.line, self.column) }
    }
}

/// One thing that is wrong with a key.
///
/// Shown, it is its sentence and then its place on a line of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// How bad it is.
    pub severity: Severity,
    /// Where it is.
    pub place: Place,
    /// What it is.
    pub kind: ProblemKind,
    /// The line of the file it is on, without its end. Empty where there is none.
    pub source_line: String,
}

impl Problem {
    /// A problem of a file as a whole.
    pub fn of_file(file: impl Into<String>, kind: ProblemKind) -> Self {
        Self { severity: kind.severity(), place: Place::file(file), kind, source_line: String::new() }
    }

    /// A short name of its kind that does not change between versions: `unknown-field`.
    pub fn code(&self) -> &'static str {
        self.kind.code()
    }

    /// What it is, in a sentence that can be shown whatever stands in the file.
    pub fn sentence(&self) -> String {
        plain(&self.kind.to_string())
    }

    /// The problem for a terminal: sentence, place, the line of the file, and a caret under what is meant.
    pub fn with_source(&self) -> String {
        let head = format!("{}: {}\n  --> {}", self.severity.word(), self.sentence(), self.place);
        if self.place.line == 0 || self.source_line.trim().is_empty() {
            return head;
        }
        let number = self.place.line.to_string();
        let pad = " ".repeat(number.len());
        let (line, lead) = window(&self.source_line, self.place.column);
        let line = plain(&line);
        let carets = "^".repeat(self.place.length.clamp(1, line.chars().count().saturating_sub(lead.chars().count()).max(1)));
        format!("{head}\n {pad} |\n {number} | {line}\n {pad} | {lead}{carets}")
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}\n{}", self.sentence(), self.place)
    }
}

/// The part of a line worth showing, and the white space that leads to `column` under it. Tabs stay tabs, so that the caret stands right.
fn window(line: &str, column: usize) -> (String, String) {
    const WIDTH: usize = 120;
    let skipped = if line.chars().count() > WIDTH { column.saturating_sub(WIDTH / 2) } else { 0 };
    let shown: String = line.chars().skip(skipped).take(WIDTH).collect();
    let lead: String =
        shown.chars().take((column.saturating_sub(1)).saturating_sub(skipped)).map(|c| if c == '\t' { '\t' } else { ' ' }).collect();
    if skipped == 0 { (shown, lead) } else { (format!("…{shown}"), format!(" {lead}")) }
}

/// At most 40 letters of a text, on one line.
pub(crate) fn shorten(text: &str) -> String {
    const MOST: usize = 40;
    let mut line = text.lines().next().unwrap_or_default().trim_end().to_owned();
    let cut = line.chars().count() > MOST || text.lines().nth(1).is_some();
    if let Some((end, _)) = line.char_indices().nth(MOST) {
        line.truncate(end);
    }
    if cut {
        line.push('…');
    }
    line
}

/// 'a', 'a or b', 'a, b or c'.
pub(crate) fn or_list<S: AsRef<str>>(words: &[S]) -> String {
    match words {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [most @ .., last] => {
            let most: Vec<&str> = most.iter().map(AsRef::as_ref).collect();
            format!("{} or {}", most.join(", "), last.as_ref())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn problem(source_line: &str, column: usize, length: usize) -> Problem {
        Problem {
            severity: Severity::Error,
            place: Place { file: "forms.ron".to_owned(), line: 41, column, length },
            kind: ProblemKind::UnknownField {
                found: "nmae".to_owned(),
                of: "form",
                known: vec!["id", "name"],
                nearest: Some("name".to_owned()),
            },
            source_line: source_line.to_owned(),
        }
    }

    #[test]
    fn a_problem_is_a_sentence_and_a_place() {
        assert_eq!(problem("", 13, 4).to_string(), "a form has no field 'nmae' (did you mean 'name'?)\nforms.ron:41:13");
        assert_eq!(
            Problem::of_file("key.ron", ProblemKind::NoKeyFile).to_string(),
            "there is no 'key.ron', so this folder is no house key (choose the folder that holds it, or make one)\nkey.ron"
        );
    }

    #[test]
    fn a_caret_stands_under_what_is_meant() {
        assert_eq!(
            problem("\tnmae: \"x\",", 2, 4).with_source(),
            "error: a form has no field 'nmae' (did you mean 'name'?)\n  --> forms.ron:41:2\n    |\n 41 | \tnmae: \"x\",\n    | \t^^^^"
        );
    }

    #[test]
    fn a_long_line_is_cut_around_the_caret() {
        let line = format!("{}nmae{}", "x".repeat(500), "y".repeat(500));
        let shown = problem(&line, 501, 4).with_source();
        let lines: Vec<&str> = shown.lines().collect();
        let [.., source, caret] = lines.as_slice() else { unreachable!("five lines") };
        let at = caret.chars().position(|c| c == '^').unwrap_or_default();
        assert_eq!(source.chars().skip(at).take(4).collect::<String>(), "nmae");
        assert!(source.chars().count() < 140, "{source}");
    }
}
