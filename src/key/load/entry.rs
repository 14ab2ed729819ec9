//! One entry: its meaning, or all that keeps it from having one.

use super::options;
use crate::key::problem::{Problem, ProblemKind, nearest, shorten};
use crate::key::syntax::{self, Item, Node, TokenKind, next_token, skip_trivia};
use crate::key::text::FileText;
use crate::key::unique;
use crate::say;
use crate::words::of_data;
use ron::error::{Error, Position, SpannedError};
use serde::de::DeserializeOwned;
use std::ops::Range;

/// Times an entry is read again with the last offending field left out.
const ROUNDS: usize = 24;

/// Reads the entry in those bytes; `word` is what it is.
///
/// # Errors
/// Serde stops at the first thing it does not understand. So that a person sees all of them, each offending field is blanked out and
/// the entry is read again, until nothing new is found.
pub(crate) fn read<T: DeserializeOwned>(text: &FileText, span: Range<usize>, word: &'static str) -> Result<T, Vec<Problem>> {
    let slice = text.text.get(span.clone()).unwrap_or_default();
    let mut error = match options().from_str::<T>(slice) {
        Ok(entry) => return Ok(entry),
        Err(error) => error,
    };
    let root = match syntax::parse(&text.text, span.clone()) {
        Ok(root) => root,
        Err(fault) => return Err(vec![text.problem(&fault.span, ProblemKind::Syntax(fault.kind))]),
    };
    let mut problems: Vec<Problem> = Vec::new();
    let mut copy = slice.as_bytes().to_vec();
    let mut blanked: Vec<String> = Vec::new();
    for _ in 0..ROUNDS {
        let now = String::from_utf8_lossy(&copy).into_owned();
        let at = span.start + offset(&now, &error.span.start)..span.start + offset(&now, &error.span.end);
        let path = path_to(&root, &at, &error, &text.text);
        // A field that was blanked out, or that stands there misspelt, is not missing.
        let accounted = matches!(&error.code, Error::MissingStructField { field, .. } if blanked.iter().any(|b| b == field));
        if !accounted {
            let (place, kind) = explain(text, &root, &path, &error, word, &at);
            if let ProblemKind::UnknownField { nearest: Some(nearest), .. } = &kind {
                blanked.push(nearest.clone());
            }
            problems.push(text.problem(&place, kind));
        }
        // Blank the innermost field or list item around the place; the next one out where that is gone already.
        let Some(item) = path.iter().rev().find(|item| !is_blank(&copy, span.start, item)) else { break };
        if matches!(error.code, Error::MissingStructField { .. }) && path.is_empty() {
            break;
        }
        if let Some(key) = item.key_text(&text.text) {
            blanked.push(key.to_owned());
        }
        blank(&mut copy, span.start, item);
        match options().from_str::<T>(&String::from_utf8_lossy(&copy)) {
            Ok(_) => break,
            Err(next) => error = next,
        }
    }
    if problems.is_empty() {
        let kind =
            ProblemKind::WrongSort { found: say!("something").to_owned(), expected: of_data(word).into_owned(), advice: String::new() };
        problems.push(text.problem(&span, kind));
    }
    Err(problems)
}

/// The id a broken entry seems to have: its first field `id`.
pub(crate) fn id_in(entry: &str) -> Option<String> {
    let mut at = 0;
    let mut last: [Option<Range<usize>>; 2] = [None, None];
    for _ in 0..64 {
        at = skip_trivia(entry, at).ok()?;
        let token = next_token(entry, at)?;
        at = token.span.end;
        if token.kind == TokenKind::Text
            && let [Some(key), Some(colon)] = &last
            && entry.get(key.clone()) == Some("id")
            && entry.get(colon.clone()) == Some(":")
        {
            return ron::from_str(entry.get(token.span)?).ok();
        }
        last = [last[1].take(), Some(token.span)];
    }
    None
}

/// Byte of a line and column that ron counts from 1, in characters.
fn offset(text: &str, position: &Position) -> usize {
    let mut start = 0;
    for _ in 1..position.line {
        match text.get(start..).and_then(|rest| rest.find('\n')) {
            Some(i) => start += i + 1,
            None => return text.len(),
        }
    }
    let rest = text.get(start..).unwrap_or_default();
    rest.char_indices().nth(position.col.saturating_sub(1)).map_or(text.len(), |(i, _)| start + i)
}

/// The items that can be left out (fields, map entries, list items) around a place, from the outermost in.
fn path_to<'n>(root: &'n Node, at: &Range<usize>, error: &SpannedError, text: &str) -> Vec<&'n Item> {
    let mut path = Vec::new();
    let mut node = root;
    while let Some(group) = &node.group {
        let tuple = text.as_bytes().get(group.open) == Some(&b'(');
        // A field is known to be missing only at the closing bracket of its group.
        if matches!(error.code, Error::MissingStructField { .. }) && (group.close == at.start || group.close + 1 == at.end) {
            break;
        }
        let inside = group.items.iter().find(|item| {
            let span = item.span();
            // Serde knows that a value is wrong only once it is past it.
            span.contains(&at.start) || (span.end >= at.start && span.start < at.end.max(at.start + 1)) || span.end == at.end
        });
        let Some(item) = inside else { break };
        if item.key.is_some() || !tuple {
            path.push(item);
        }
        node = &item.value;
    }
    path
}

fn is_blank(copy: &[u8], start: usize, item: &Item) -> bool {
    let span = item.span();
    copy.get(span.start - start..span.end - start).is_none_or(|bytes| bytes.iter().all(u8::is_ascii_whitespace))
}

/// Overwrites an item and its comma with spaces, so that every other byte stays where it is.
fn blank(copy: &mut [u8], start: usize, item: &Item) {
    let span = item.span();
    let end = item.comma.map_or(span.end, |comma| comma + 1);
    for byte in copy.iter_mut().take(end - start).skip(span.start - start) {
        if *byte != b'\n' && *byte != b'\r' {
            *byte = b' ';
        }
    }
}

/// What ron's error means to a person, and the bytes it is about.
fn explain(
    text: &FileText,
    root: &Node,
    path: &[&Item],
    error: &SpannedError,
    word: &'static str,
    at: &Range<usize>,
) -> (Range<usize>, ProblemKind) {
    let inner = leaf(root, at);
    match &error.code {
        Error::NoSuchStructField { expected, found, outer } => {
            let span = word_near(&text.text, at, found).unwrap_or_else(|| inner.span.clone());
            let of = outer.as_deref().map_or(word, |name| type_word(name, word));
            (
                span,
                ProblemKind::UnknownField {
                    found: found.clone(),
                    of,
                    known: expected.to_vec(),
                    nearest: nearest(found, expected.iter().copied()),
                },
            )
        }
        Error::NoSuchEnumVariant { expected, found, .. } => {
            let span = word_near(&text.text, at, found).unwrap_or_else(|| inner.span.clone());
            (
                span,
                ProblemKind::UnknownWord {
                    found: found.clone(),
                    known: expected.to_vec(),
                    nearest: nearest(found, expected.iter().copied()),
                },
            )
        }
        Error::MissingStructField { field, .. } => {
            let around = path.last().map_or(root, |item| &item.value);
            let open = around.group.as_ref().map_or(around.span.start, |group| group.open);
            (open..open + 1, ProblemKind::MissingField { field })
        }
        Error::DuplicateStructField { field, .. } => {
            let span = word_near(&text.text, at, field).unwrap_or_else(|| inner.span.clone());
            (span, ProblemKind::WrittenTwice { field: (*field).to_owned() })
        }
        Error::Message(message) if message.starts_with(unique::TWICE) => {
            let field = message.trim_start_matches(unique::TWICE).to_owned();
            let span = word_near(&text.text, at, &field).unwrap_or_else(|| inner.span.clone());
            (span, ProblemKind::WrittenTwice { field })
        }
        other => {
            let inner = if matches!(other, Error::ExpectedDifferentLength { .. }) { parent(root, at) } else { inner };
            let found = inner.text(&text.text);
            let (expected, advice) = expectation(other, found);
            let found = if found.starts_with('"') { shorten(found) } else { format!("'{}'", shorten(found)) };
            (inner.span.clone(), ProblemKind::WrongSort { found, expected, advice })
        }
    }
}

/// What ron expected, in words, and what to do.
fn expectation(error: &Error, found: &str) -> (String, String) {
    let number = || {
        let inside = found.trim_matches('"').trim();
        let digits = inside.trim_end_matches(|c: char| c.is_alphabetic() || c == ' ');
        match digits.replace(',', ".").parse::<f64>() {
            Ok(value) => say!(" (write {value}, without quotes and unit)", value),
            Err(_) => say!(" (write figures, with a point for the decimals)").to_owned(),
        }
    };
    match error {
        Error::ExpectedFloat | Error::FloatUnderscore | Error::UnderscoreAtBeginning => (say!("a number").to_owned(), number()),
        Error::ExpectedInteger | Error::InvalidIntegerDigit { .. } => (say!("a whole number").to_owned(), number()),
        Error::IntegerOutOfBounds => (say!("a smaller whole number").to_owned(), String::new()),
        Error::ExpectedString | Error::ExpectedStringEnd => (
            say!("a text in double quotes").to_owned(),
            say!(" (write {written})", written = format!("\"{}\"", shorten(found.trim_matches('\'')))),
        ),
        Error::ExpectedBoolean => (say!("true or false").to_owned(), String::new()),
        Error::ExpectedArray => {
            (say!("a list in square brackets").to_owned(), say!(" (write {written})", written = format!("[{}]", shorten(found))))
        }
        Error::ExpectedMap => (say!("names and values in curly brackets").to_owned(), String::new()),
        Error::ExpectedComma if found.parse::<f64>().is_ok() => (say!("a whole number").to_owned(), String::new()),
        Error::ExpectedStructLikeEnd => {
            ("')'".to_owned(), say!(" (there is one value too many; decimals are written with a point)").to_owned())
        }
        Error::ExpectedStructLike | Error::ExpectedNamedStructLike(_) | Error::ExpectedUnit => {
            (say!("something in round brackets").to_owned(), String::new())
        }
        Error::ExpectedDifferentStructName { expected, .. } => {
            (say!("an entry").to_owned(), say!(" (leave the word before the bracket out, or write {expected})", expected))
        }
        Error::ExpectedIdentifier | Error::InvalidIdentifier(_) | Error::SuggestRawIdentifier(_) => {
            (say!("a name without quotes").to_owned(), String::new())
        }
        Error::ExpectedOption | Error::ExpectedOptionEnd => (say!("one value").to_owned(), String::new()),
        Error::InvalidEscape(_) => (
            say!("a text").to_owned(),
            say!(" (after a backslash only n, t, quotation marks, a backslash, x… and u… mean something)").to_owned(),
        ),
        Error::ExceededRecursionLimit => (say!("fewer brackets in brackets").to_owned(), String::new()),
        Error::InvalidValueForType { expected, .. } => (expected.clone(), String::new()),
        Error::ExpectedDifferentLength { expected, found } => (length_words(expected), count(*found)),
        Error::Message(message) => (say!("something else").to_owned(), format!(" ({message})")),
        other => (say!("something else").to_owned(), format!(" ({})", lower_first(&other.to_string()))),
    }
}

/// 'Between with 2 values' from serde's `tuple variant Record::Between with 2 elements`.
fn length_words(expected: &str) -> String {
    let rest = expected.trim_start_matches("tuple variant ").trim_start_matches("tuple struct ");
    let rest = rest.split_once("::").map_or(rest, |(_, rest)| rest);
    rest.replace("elements", "values").replace("element", "value")
}

fn count(found: usize) -> String {
    match found {
        0 => say!(" (there is none)").to_owned(),
        1 => say!(" (there is 1)").to_owned(),
        more => say!(" (there are {more})", more),
    }
}

/// The word for a part of an entry, from the name of its type.
fn type_word(name: &str, entry: &'static str) -> &'static str {
    match name {
        "MeasureKind" => say!("measure"),
        "Value" => say!("value"),
        "Years" => say!("span of years"),
        "Held" => say!("glaze, decoration, mark or line that is held"),
        "Claim" => say!("claim"),
        "Picture" => say!("picture"),
        "Shape" => say!("shape"),
        "Handle" => say!("handle"),
        "Spout" => say!("spout"),
        "Finial" => say!("finial"),
        "Listed" => say!("thing that is listed"),
        "Wording" => say!("wording"),
        "Ink" => say!("ink"),
        "DateCode" => say!("date code"),
        "Bound" => say!("bound"),
        "NumberTable" => say!("table of numbers"),
        "DiamondTable" => say!("layout of a diamond"),
        "Exception" => say!("exception"),
        _ => entry,
    }
}

fn lower_first(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_lowercase().chain(chars).collect())
}

/// The smallest thing at a place.
fn leaf<'n>(root: &'n Node, at: &Range<usize>) -> &'n Node {
    let mut node = root;
    while let Some(group) = &node.group {
        let holds = |item: &&Item| item.span().contains(&at.start) || item.value.span.end == at.start || item.value.span.end == at.end;
        match group.items.iter().find(holds) {
            Some(item) => node = &item.value,
            None => break,
        }
    }
    node
}

/// The smallest group at a place.
fn parent<'n>(root: &'n Node, at: &Range<usize>) -> &'n Node {
    let mut node = root;
    while let Some(group) = &node.group {
        let holds = |item: &&Item| item.value.group.is_some() && (item.span().contains(&at.start) || item.value.span.end == at.end);
        match group.items.iter().find(holds) {
            Some(item) => node = &item.value,
            None => break,
        }
    }
    node
}

/// Where a word stands at a place or just before it.
fn word_near(text: &str, at: &Range<usize>, word: &str) -> Option<Range<usize>> {
    let bare = |start: usize| {
        let before = text.get(..start).and_then(|t| t.chars().next_back());
        let after = text.get(start + word.len()..).and_then(|t| t.chars().next());
        let inside = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || c == '_');
        !inside(before) && !inside(after)
    };
    let end = (at.end + word.len()).min(text.len());
    let end = (end..=text.len()).find(|&i| text.is_char_boundary(i))?;
    let head = text.get(..end)?;
    head.rmatch_indices(word).map(|(i, _)| i).find(|&i| bare(i)).map(|i| i..i + word.len())
}
