//! Where the entries of a `[…]` file stand.

use super::token::{TokenKind, next_token, partner, skip_trivia};
use super::{DEPTH_LIMIT, SyntaxError, SyntaxErrorKind};
use crate::say;
use std::ops::Range;

/// Failed entries that may be followed to the end of the file before every line that looks like an entry is taken for one.
///
/// Without a limit, a file of ten thousand unclosed entries would be read ten thousand times.
const PATIENCE: usize = 16;

/// One entry of a file, or what stands in its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Entry {
    /// Its bytes, without the white space and comments around it.
    pub(crate) span: Range<usize>,
    /// Byte of the comma after it.
    pub(crate) comma: Option<usize>,
    /// What is wrong with its brackets.
    pub(crate) fault: Option<SyntaxError>,
}

/// Reads the entries of a `[…]` file one after another, and finds the next one even after a broken one.
///
/// After an entry whose brackets do not match, reading goes on at the next line that is indented like that entry and starts with `(`.
#[derive(Debug, Clone)]
pub(crate) struct Entries<'t> {
    text: &'t str,
    at: usize,
    open: usize,
    close: Option<usize>,
    faults: usize,
    done: bool,
}

impl<'t> Entries<'t> {
    /// Past the byte order mark, the attributes (`#![enable(…)]`) and the `[`.
    ///
    /// # Errors
    /// Where something else stands there.
    pub(crate) fn of(text: &'t str) -> Result<Self, SyntaxError> {
        let at = header_end(text)?;
        match next_token(text, at) {
            Some(token) if token.kind == TokenKind::Open('[') => {
                Ok(Self { text, at: token.span.end, open: at, close: None, faults: 0, done: false })
            }
            Some(token) => {
                let word = super::super::problem::shorten(text.get(token.span.clone()).unwrap_or_default());
                Err(SyntaxErrorKind::Unexpected(word, say!("'[' at the start of a list of entries")).at(token.span))
            }
            None => Err(SyntaxErrorKind::Ends(say!("a list of entries in square brackets")).at(at..at)),
        }
    }

    /// Byte of the `[`.
    pub(crate) fn open(&self) -> usize {
        self.open
    }

    /// Byte of the `]`, once every entry was read. None where it is missing.
    pub(crate) fn close(&self) -> Option<usize> {
        self.close
    }

    /// The next entry, or a fault in the list itself. None after the last.
    pub(crate) fn next_entry(&mut self) -> Option<Result<Entry, SyntaxError>> {
        if self.done {
            return None;
        }
        let start = match skip_trivia(self.text, self.at) {
            Ok(at) => at,
            Err(comment) => {
                self.done = true;
                return Some(Err(SyntaxErrorKind::CommentNotClosed.at(comment..comment + 2)));
            }
        };
        let Some(token) = next_token(self.text, start) else {
            self.done = true;
            return Some(Err(SyntaxErrorKind::NeverClosed('[', ']').at(self.open..self.open + 1)));
        };
        match token.kind {
            TokenKind::Close(']') => {
                self.done = true;
                self.close = Some(start);
                self.after_the_list(token.span.end).map(Err)
            }
            TokenKind::Comma => {
                self.at = token.span.end;
                Some(Err(SyntaxErrorKind::Unexpected(",".to_owned(), say!("an entry, or ']'")).at(token.span)))
            }
            _ => Some(Ok(self.entry(start))),
        }
    }

    /// What follows the list, which should be nothing.
    fn after_the_list(&self, end: usize) -> Option<SyntaxError> {
        match skip_trivia(self.text, end) {
            Ok(at) => {
                let token = next_token(self.text, at)?;
                let word = super::super::problem::shorten(self.text.get(token.span.clone()).unwrap_or_default());
                Some(SyntaxErrorKind::Unexpected(word, say!("nothing after the closing ']'")).at(token.span))
            }
            Err(comment) => Some(SyntaxErrorKind::CommentNotClosed.at(comment..comment + 2)),
        }
    }

    fn entry(&mut self, start: usize) -> Entry {
        let mut stack: Vec<(char, usize)> = Vec::new();
        let mut at = start;
        let mut end = start;
        let indent = if self.faults < PATIENCE { None } else { self.indent(start) };
        let fault = loop {
            let here = match skip_trivia(self.text, at) {
                Ok(here) => here,
                Err(comment) => break SyntaxErrorKind::CommentNotClosed.at(comment..comment + 2),
            };
            let Some(token) = next_token(self.text, here) else {
                if let Some(&(open, at)) = stack.last() {
                    break SyntaxErrorKind::NeverClosed(open, partner(open)).at(at..at + 1);
                }
                // The list is not closed either; that is said when the next entry is asked for.
                self.at = self.text.len();
                return Entry { span: start..end, comma: None, fault: None };
            };
            match token.kind {
                TokenKind::Open(open) => {
                    if stack.is_empty() && here > start && end > start && self.starts_another(start, here) {
                        let fault = SyntaxErrorKind::CommaMissing(open.to_string()).at(token.span);
                        self.at = here;
                        return Entry { span: start..end, comma: None, fault: Some(fault) };
                    }
                    if let Some(indent) = indent
                        && here > start
                        && open == '('
                        && self.indent(here) == Some(indent)
                        && let Some(&(open, at)) = stack.last()
                    {
                        break SyntaxErrorKind::NeverClosed(open, partner(open)).at(at..at + 1);
                    }
                    if stack.len() >= DEPTH_LIMIT {
                        break SyntaxErrorKind::TooDeep.at(token.span);
                    }
                    stack.push((open, here));
                }
                TokenKind::Close(close) => match stack.last() {
                    Some(&(open, _)) if partner(open) == close => {
                        stack.pop();
                    }
                    Some(&(open, at)) => break SyntaxErrorKind::NeverClosed(open, partner(open)).at(at..at + 1),
                    None if close == ']' => {
                        self.at = here;
                        return Entry { span: start..end, comma: None, fault: None };
                    }
                    None => {
                        // Left inside the entry, so that it is reported with it and never written over.
                    }
                },
                TokenKind::Comma if stack.is_empty() => {
                    self.at = token.span.end;
                    return Entry { span: start..end, comma: Some(here), fault: None };
                }
                TokenKind::Unclosed => break SyntaxErrorKind::TextNotClosed.at(here..here + 1),
                _ => {}
            }
            at = token.span.end;
            end = at;
        };
        self.broken(start, fault)
    }

    /// True where the entry from `start` has closed its bracket and another bracket opens at `here` on a new line.
    fn starts_another(&self, start: usize, here: usize) -> bool {
        let inside = self.text.get(start..here).unwrap_or_default();
        opens_entry(inside) && inside.contains(')')
    }

    /// Ends a broken entry before the line where the next one seems to start.
    fn broken(&mut self, start: usize, fault: SyntaxError) -> Entry {
        self.faults += 1;
        let (end, comma) = match self.next_start(start, self.text.len()) {
            Some(next) => {
                self.at = next;
                self.trimmed(start, next)
            }
            None => self.last_bracket(start),
        };
        // A quote left open shows only at the last quote of the file; cut off here, the entry says where its own is.
        let fault = super::parse(self.text, start..end).err().unwrap_or(fault);
        Entry { span: start..end, comma, fault: Some(fault) }
    }

    /// Reads on inside an entry that makes no sense, where a line in it looks like the start of another. False where none does.
    pub(crate) fn read_again_inside(&mut self, entry: &mut Entry) -> bool {
        let Some(next) = self.next_start(entry.span.start, entry.span.end) else { return false };
        self.at = next;
        self.done = false;
        let (end, comma) = self.trimmed(entry.span.start, next);
        entry.span.end = end;
        entry.comma = comma;
        true
    }

    /// The first line after that of `start` and before `limit` that is indented alike and starts with `(`.
    fn next_start(&self, start: usize, limit: usize) -> Option<usize> {
        let indent = self.indent(start)?;
        let mut at = start;
        loop {
            at += self.text.get(at..limit)?.find('\n')? + 1;
            let line = self.text.get(at..limit)?;
            if line.strip_prefix(indent).is_some_and(opens_entry) {
                return Some(at + indent.len());
            }
        }
    }

    /// The white space before `at` on its line, where nothing else stands there.
    fn indent(&self, at: usize) -> Option<&'t str> {
        // Back over the white space only: a file may be one line of a hundred megabytes.
        let before = self.text.get(..at)?;
        let line = before.trim_end_matches([' ', '\t']);
        (line.is_empty() || line.ends_with('\n')).then(|| before.get(line.len()..)).flatten()
    }

    /// The end of what stands before `next`, without the white space, the comments that head `next`, and the comma.
    fn trimmed(&self, start: usize, next: usize) -> (usize, Option<usize>) {
        let mut body = self.text.get(start..next).unwrap_or_default().trim_end();
        while let Some((rest, line)) = body.rsplit_once('\n')
            && line.trim_start().starts_with("//")
        {
            body = rest.trim_end();
        }
        match body.strip_suffix(',') {
            Some(body) => (start + body.trim_end().len(), Some(start + body.len())),
            None => (start + body.len(), None),
        }
    }

    /// Ends a broken last entry before the `]` that closes the file, where there is one.
    fn last_bracket(&mut self, start: usize) -> (usize, Option<usize>) {
        let rest = self.text.get(start..).unwrap_or_default();
        let close = rest
            .char_indices()
            .rev()
            .find(|&(_, c)| c == ']')
            .map(|(i, _)| start + i)
            .filter(|&i| matches!(skip_trivia(self.text, i + 1), Ok(end) if end == self.text.len()))
            .filter(|&i| self.indent(i).is_some());
        if let Some(close) = close {
            self.at = close;
            self.trimmed(start, close)
        } else {
            self.done = true;
            (start + rest.trim_end().len(), None)
        }
    }
}

/// True for `(…` and `Form(…`.
fn opens_entry(text: &str) -> bool {
    text.trim_start_matches(|c: char| c.is_alphanumeric() || c == '_').starts_with('(')
}

/// Where the byte order mark, comments and attributes at the head of a file end.
pub(crate) fn header_end(text: &str) -> Result<usize, SyntaxError> {
    let mut at = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    loop {
        at = skip_trivia(text, at).map_err(|comment| SyntaxErrorKind::CommentNotClosed.at(comment..comment + 2))?;
        let rest = text.get(at..).unwrap_or_default();
        if !rest.starts_with('#') {
            return Ok(at);
        }
        match rest.find(']') {
            Some(end) => at += end + 1,
            None => return Err(SyntaxErrorKind::Unexpected("#".to_owned(), say!("'#![enable(…)]' or '['")).at(at..at + 1)),
        }
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    /// Each entry, with what is wrong after a tilde; faults of the list in angle brackets.
    fn read(text: &str) -> Vec<String> {
        let mut entries = Entries::of(text).unwrap();
        let mut out = Vec::new();
        while let Some(entry) = entries.next_entry() {
            out.push(match entry {
                Ok(Entry { span, fault: None, .. }) => text[span].to_owned(),
                Ok(Entry { span, fault: Some(fault), .. }) => format!("{}~{}", &text[span], fault.kind),
                Err(fault) => format!("<{}>", fault.kind),
            });
        }
        out
    }

    #[test]
    fn entries_stand_between_commas() {
        assert_eq!(read("[]"), [""; 0]);
        assert_eq!(
            read("\u{feff}#![enable(implicit_some)]\n// x\n[ (a), /* (b) */ Named(c, [d]), \"e,\", ] // end"),
            ["(a)", "Named(c, [d])", "\"e,\""]
        );
    }

    #[test]
    fn a_broken_entry_does_not_hide_the_next() {
        assert_eq!(read("[\n  (a: [1, 2),\n  // of b\n  (b),\n]"), ["(a: [1, 2)~'[' is never closed (add ']')", "(b)"]);
        assert_eq!(read("[\n  (a: (1, 2),\n  (b),\n]"), ["(a: (1, 2)~'(' is never closed (add ')')", "(b)"]);
        assert_eq!(
            read("[\n  (a: \"x),\n  (b),\n  (c: \"d\"),\n]"),
            ["(a: \"x)~the text that starts here has no closing '\"' (add one)", "(b)", "(c: \"d\")"]
        );
        assert_eq!(read("[\n  (a),\n  (b: (,\n]\n"), ["(a)", "(b: (~'(' is never closed (add ')')"]);
    }

    #[test]
    fn what_is_wrong_with_the_list_is_said() {
        assert_eq!(read("[(a)"), ["(a)", "<'[' is never closed (add ']')>"]);
        assert_eq!(read("[(a)] (b)"), ["(a)", "<'(' was not expected here (expected nothing after the closing ']')>"]);
        assert_eq!(read("[(a),, (b)]"), ["(a)", "<',' was not expected here (expected an entry, or ']')>", "(b)"]);
        assert_eq!(read("[\n(a)\n(b)\n]"), ["(a)~a comma is missing before '(' (add ',')", "(b)"]);
        assert_eq!(
            Entries::of("(a)").unwrap_err().kind.to_string(),
            "'(' was not expected here (expected '[' at the start of a list of entries)"
        );
        assert_eq!(
            Entries::of(" // x").unwrap_err().kind.to_string(),
            "the file ends here (expected a list of entries in square brackets)"
        );
    }

    #[test]
    fn many_unclosed_entries_are_each_found() {
        let text = format!("[\n{}]\n", "    (id: (\"a\",\n    ),\n".repeat(100));
        assert_eq!(read(&text).len(), 100, "one entry each");
    }
}
