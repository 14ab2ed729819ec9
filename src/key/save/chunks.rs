//! The items of a pair of brackets with all that stands between them, so that some can be changed and the rest stays to the byte.

use crate::key::syntax::{TokenKind, next_token, skip_trivia};
use std::borrow::Cow;
use std::ops::Range;

/// An item with what stands before and after it.
#[derive(Debug, Clone)]
pub(super) struct Chunk<'t> {
    /// White space and comments before it.
    pub(super) lead: Cow<'t, str>,
    /// The item itself.
    pub(super) body: Cow<'t, str>,
    /// What stands between it and its comma.
    gap: &'t str,
    /// Whether a comma follows it.
    comma: bool,
    /// White space and comments after the comma on the same line.
    trail: &'t str,
}

/// The inside of a pair of brackets.
#[derive(Debug, Clone)]
pub(super) struct Chunks<'t> {
    /// The items; None where one was taken out.
    slots: Vec<Option<Chunk<'t>>>,
    /// Of each item that was the first on its line, the indentation.
    indents: Vec<Option<&'t str>>,
    /// New ones, after the slot of that index; before the first at index 0.
    added: Vec<Vec<Chunk<'t>>>,
    /// What stands after the last item.
    tail: Cow<'t, str>,
    /// How lines end in this file.
    eol: &'static str,
    /// Comments that lost their item and stay all the same, before the slot of that index.
    kept: Vec<String>,
}

impl<'t> Chunks<'t> {
    /// Takes apart `text[inside]`, whose items and commas are given in order.
    pub(super) fn new(
        text: &'t str,
        inside: &Range<usize>,
        items: impl Iterator<Item = (Range<usize>, Option<usize>)>,
        eol: &'static str,
    ) -> Self {
        let slice = |range: Range<usize>| text.get(range).unwrap_or_default();
        let mut at = inside.start;
        let mut slots = Vec::new();
        let mut indents = Vec::new();
        for (span, comma) in items {
            let after = comma.map_or(span.end, |comma| comma + 1);
            let end = same_line_end(text, after, inside.end);
            let lead = slice(at..span.start);
            let indent = lead.rsplit_once('\n').map(|(_, indent)| indent);
            indents.push(indent.filter(|indent| indent.chars().all(|c| c == ' ' || c == '\t')));
            slots.push(Some(Chunk {
                lead: Cow::Borrowed(lead),
                body: Cow::Borrowed(slice(span.clone())),
                gap: comma.map_or("", |comma| slice(span.end..comma)),
                comma: comma.is_some(),
                trail: slice(after..end),
            }));
            at = end;
        }
        let count = slots.len();
        Self {
            slots,
            indents,
            added: vec![Vec::new(); count + 1],
            tail: Cow::Borrowed(slice(at..inside.end)),
            eol,
            kept: vec![String::new(); count + 1],
        }
    }

    /// Replaces the text of an item.
    pub(super) fn replace(&mut self, index: usize, body: String) {
        if let Some(Some(chunk)) = self.slots.get_mut(index) {
            chunk.body = Cow::Owned(body);
        }
    }

    /// The indentation of an item that is the first on its line, else None.
    pub(super) fn indent(&self, index: usize) -> Option<&'t str> {
        self.indents.get(index).copied().flatten()
    }

    /// Takes an item out, and what belongs to it: the comment after it on its line, and the comments directly above it, unless these
    /// look like a heading.
    pub(super) fn remove(&mut self, index: usize) {
        let Some(chunk) = self.slots.get_mut(index).and_then(Option::take) else { return };
        let keep = kept_of(&chunk.lead);
        if let Some(kept) = self.kept.get_mut(index + 1) {
            kept.push_str(keep);
        }
        // What followed on the removed item's own line now starts that line.
        let next_is_beside = match self.slots.iter().skip(index + 1).flatten().next() {
            Some(next) => !next.lead.contains('\n'),
            None => false,
        };
        let first = !self.slots.iter().take(index).any(Option::is_some);
        if let Some(Some(next)) = self.slots.get_mut(index + 1)
            && next.lead.trim().is_empty()
            && chunk.lead.trim().is_empty()
            && (next_is_beside && chunk.lead.contains('\n') || first)
        {
            next.lead = chunk.lead;
        } else if next_is_beside && chunk.lead.contains('\n') {
            let indent = chunk.lead.rsplit('\n').next().unwrap_or_default();
            if let Some(kept) = self.kept.get_mut(index + 1) {
                kept.push_str(self.eol);
                kept.push_str(indent);
            }
            if let Some(next) = self.slots.iter_mut().skip(index + 1).flatten().next() {
                next.lead = Cow::Owned(next.lead.trim_start().to_owned());
            }
        }
    }

    /// Puts a new item after the one of index `after`, or before all.
    pub(super) fn insert(&mut self, after: Option<usize>, make: impl FnOnce(usize) -> String, otherwise: usize) {
        let beside = after.unwrap_or(0);
        let own_line = self.indent(beside).map(str::to_owned);
        let blank_line = self
            .slots
            .get(after.filter(|&i| i > 0).unwrap_or(1))
            .and_then(Option::as_ref)
            .is_some_and(|chunk| chunk.lead.trim().is_empty() && chunk.lead.matches('\n').count() > 1);
        let (lead, body) = match own_line {
            Some(indent) => {
                let width = indent.chars().map(|c| if c == '\t' { 4 } else { 1 }).sum();
                let blank = if blank_line { self.eol } else { "" };
                (format!("{blank}{}{indent}", self.eol), make(width))
            }
            None if self.slots.is_empty() && otherwise > 0 => (format!("{}{}", self.eol, " ".repeat(otherwise)), make(otherwise)),
            None => {
                let lead = if after.is_none() { String::new() } else { " ".to_owned() };
                (lead, make(otherwise))
            }
        };
        let chunk = Chunk { lead: Cow::Owned(lead), body: Cow::Owned(with_eol(&body, self.eol)), gap: "", comma: true, trail: "" };
        if let Some(added) = self.added.get_mut(after.map_or(0, |i| i + 1)) {
            added.push(chunk);
        }
    }

    /// Takes an item out with all its comments, to be put elsewhere.
    pub(super) fn take(&mut self, index: usize) -> Option<Chunk<'t>> {
        self.slots.get_mut(index).and_then(Option::take)
    }

    /// Puts an item that was taken from elsewhere after the one of index `after`, or before all.
    pub(super) fn put(&mut self, after: Option<usize>, chunk: Chunk<'t>) {
        if let Some(added) = self.added.get_mut(after.map_or(0, |i| i + 1)) {
            added.push(chunk);
        }
    }

    /// The inside as text.
    pub(super) fn text(self) -> String {
        let had_items = !self.slots.is_empty();
        let last_had_comma = self.slots.last().and_then(Option::as_ref).map(|chunk| chunk.comma);
        let last_removed = matches!(self.slots.last(), Some(None));
        let added_any = self.added.iter().any(|added| !added.is_empty());
        let mut chunks: Vec<(String, Chunk<'t>)> = Vec::new();
        let mut kept = String::new();
        let mut added = self.added.into_iter();
        let mut notes = self.kept.into_iter();
        kept.push_str(&notes.next().unwrap_or_default());
        chunks.extend(added.next().unwrap_or_default().into_iter().map(|chunk| (String::new(), chunk)));
        for slot in self.slots {
            if let Some(chunk) = slot {
                chunks.push((std::mem::take(&mut kept), chunk));
            }
            kept.push_str(&notes.next().unwrap_or_default());
            for chunk in added.next().unwrap_or_default() {
                chunks.push((std::mem::take(&mut kept), chunk));
            }
        }
        let several_lines = self.tail.contains('\n') || chunks.iter().any(|(_, chunk)| chunk.lead.contains('\n'));
        let count = chunks.len();
        let mut out = String::new();
        for (i, (kept, chunk)) in chunks.into_iter().enumerate() {
            let last = i + 1 == count;
            let mut comma = chunk.comma;
            if !last && added_any {
                comma = true;
            }
            if last && !several_lines && (last_removed || added_any || !had_items) && last_had_comma != Some(true) {
                comma = false;
            }
            out.push_str(&kept);
            push_lead(&mut out, &chunk.lead, self.eol);
            out.push_str(&chunk.body);
            out.push_str(chunk.gap);
            if comma {
                out.push(',');
            }
            out.push_str(chunk.trail);
        }
        out.push_str(&kept);
        if !had_items && several_lines && !self.tail.contains('\n') {
            out.push_str(self.eol);
        }
        let tail = if count == 1 && !several_lines && !had_items { self.tail.trim_start() } else { &self.tail };
        push_lead(&mut out, tail, self.eol);
        out
    }
}

/// Appends what stands before an item; a comment that runs to the end of its line is ended first.
fn push_lead(out: &mut String, lead: &str, eol: &str) {
    let line = out.rsplit('\n').next().unwrap_or_default();
    if !lead.trim_start_matches([' ', '\t', '\r']).starts_with('\n') && ends_in_line_comment(line) {
        out.push_str(eol);
    }
    out.push_str(lead);
}

/// True where the rest of a line would be part of a comment.
fn ends_in_line_comment(line: &str) -> bool {
    let mut at = 0;
    loop {
        match skip_trivia(line, at) {
            // Trivia to the end of the line is a comment to the end of the line, or white space.
            Ok(end) if end == line.len() => return line.get(at..).is_some_and(|rest| rest.contains("//")),
            Ok(end) => match next_token(line, end) {
                Some(token) if token.kind != TokenKind::Unclosed => at = token.span.end,
                _ => return false,
            },
            Err(_) => return false,
        }
    }
}

/// Where the comments after `at` on the same line end, where nothing but them stands there.
fn same_line_end(text: &str, at: usize, limit: usize) -> usize {
    let rest = text.get(at..limit).unwrap_or_default();
    let Some(line_end) = rest.find('\n') else { return at };
    let line_end = if rest.get(..line_end).is_some_and(|line| line.ends_with('\r')) { line_end - 1 } else { line_end };
    let line = rest.get(..line_end).unwrap_or_default();
    if line.trim().is_empty() {
        return at;
    }
    match skip_trivia(line, 0) {
        Ok(end) if end == line.len() => at + line_end,
        _ => at,
    }
}

/// What stays of the comments before an item that is taken out: all but those directly above it, and these too where they are a heading.
fn kept_of(lead: &str) -> &str {
    let Some((above, _)) = lead.rsplit_once('\n') else { return if lead.trim().is_empty() { "" } else { lead } };
    let above = above.trim_end_matches('\r');
    if above.trim().is_empty() {
        return "";
    }
    // Back to the last blank line.
    let mut start = above.len();
    let mut heading = false;
    for line in above.rsplit('\n') {
        if line.trim().is_empty() {
            break;
        }
        heading |= is_heading(line);
        start -= line.len() + usize::from(start > line.len());
    }
    let whole = |text: &str| matches!(skip_trivia(text, 0), Ok(end) if end == text.len());
    let attached = above.get(start..).unwrap_or_default();
    let kept = above.get(..start).unwrap_or_default();
    if heading || !whole(attached) || !whole(kept) {
        return above;
    }
    if kept.trim().is_empty() { "" } else { kept.trim_end() }
}

/// True for `// ---- Fenlight ----` and its like.
fn is_heading(line: &str) -> bool {
    ["---", "===", "***", "###", "~~~", "───", "━━━", "═══"].iter().any(|rule| line.contains(rule))
}

/// Text of ours with the line ends of a file.
pub(super) fn with_eol(text: &str, eol: &str) -> String {
    if eol == "\n" { text.to_owned() } else { text.replace('\n', eol) }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use crate::key::syntax::parse;

    fn chunks(text: &str) -> Chunks<'_> {
        let node = parse(text, 0..text.len()).unwrap();
        let group = node.group.unwrap();
        Chunks::new(text, &(group.open + 1..group.close), group.items.iter().map(|item| (item.span(), item.comma)), "\n")
    }

    #[test]
    fn untouched_it_is_the_same() {
        for text in ["[]", "[ /* x */ ]", "[a, b]", "[\n  a, // x\n\n  // y\n  b\n]", "[a /* , */ , b,]"] {
            assert_eq!(format!("[{}]", chunks(text).text()), text);
        }
    }

    #[test]
    fn an_item_taken_out_takes_what_belongs_to_it() {
        let check = |text: &str, index: usize, expected: &str| {
            let mut chunks = chunks(text);
            chunks.remove(index);
            assert_eq!(format!("[{}]", chunks.text()), expected, "{text} without {index}");
        };
        check("[a, b, c]", 0, "[b, c]");
        check("[a, b, c]", 1, "[a, c]");
        check("[a, b, c]", 2, "[a, b]");
        check("[a]", 0, "[]");
        check("[\n  a, // of a\n  b, // of b\n  c,\n]", 1, "[\n  a, // of a\n  c,\n]");
        check("[\n  a,\n\n  // of b\n  b,\n  // of c\n  c,\n]", 1, "[\n  a,\n  // of c\n  c,\n]");
        check("[\n  a,\n  // free\n\n  // of b\n  b,\n  c,\n]", 1, "[\n  a,\n  // free\n  c,\n]");
        check("[\n  a,\n\n  // ---- round ----\n  b,\n  c,\n]", 1, "[\n  a,\n\n  // ---- round ----\n  c,\n]");
        check("[\n  a, // x\n  b, c\n]", 1, "[\n  a, // x\n  c\n]");
        check("[\n  a,\n  b // last\n]", 1, "[\n  a,\n]");
        check("[\n  /* one\n\n  two */\n  a,\n  b,\n]", 0, "[\n  /* one\n\n  two */\n  b,\n]");
    }

    #[test]
    fn a_new_item_is_laid_out_as_its_neighbours() {
        let check = |text: &str, after: Option<usize>, expected: &str| {
            let mut chunks = chunks(text);
            chunks.insert(after, |_| "n".to_owned(), 0);
            assert_eq!(format!("[{}]", chunks.text()), expected, "{text} after {after:?}");
        };
        check("[]", None, "[n]");
        check("[a, b]", Some(0), "[a, n, b]");
        check("[a, b]", Some(1), "[a, b, n]");
        check("[a, b,]", Some(1), "[a, b, n,]");
        check("[\n  a, // of a\n  b,\n]", Some(0), "[\n  a, // of a\n  n,\n  b,\n]");
        check("[\n  a,\n  b // of b\n]", Some(1), "[\n  a,\n  b, // of b\n  n,\n]");
        check("[\n  a,\n\n  b,\n\n  c,\n]", Some(2), "[\n  a,\n\n  b,\n\n  c,\n\n  n,\n]");
        check("[\n  // of a\n  a,\n]", None, "[\n  n,\n  // of a\n  a,\n]");
    }
}
