//! The text of a key file as spans: where its entries stand, and what stands inside one entry.
//!
//! Serde knows what a text means but not where; the saver must know where to the byte, and the loader must get past an entry that
//! makes no sense. Two passes, neither of which builds a copy of the text:
//! [`Entries`] finds the entries of a `[…]` file and recovers after a broken one; [`parse`] makes a tree of spans of one entry.

mod entries;
mod token;

pub(crate) use entries::{Entries, Entry as Scanned, header_end};
pub(crate) use token::{Token, TokenKind, next_token, skip_trivia};

use crate::say;
use std::ops::Range;

/// Brackets may nest this deep. The deepest a key needs is eight.
pub(crate) const DEPTH_LIMIT: usize = 48;

/// A piece of text and what it is made of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Node {
    /// Its bytes, from the first of its name or bracket to the last of its closing bracket.
    pub(crate) span: Range<usize>,
    /// What stands inside the brackets, where it has any.
    pub(crate) group: Option<Group>,
}

/// What stands in a pair of brackets.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Group {
    /// The word before the bracket, as in `Oval(1.3)`.
    pub(crate) name: Option<Range<usize>>,
    /// Byte of the opening bracket.
    pub(crate) open: usize,
    /// Byte of the closing bracket.
    pub(crate) close: usize,
    /// What stands between them.
    pub(crate) items: Vec<Item>,
}

/// One item of a group.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Item {
    /// What stands before the colon.
    pub(crate) key: Option<Range<usize>>,
    /// What it is.
    pub(crate) value: Node,
    /// Byte of the comma after it.
    pub(crate) comma: Option<usize>,
}

impl Item {
    /// From its key to the end of its value, without the comma.
    pub(crate) fn span(&self) -> Range<usize> {
        let start = self.key.as_ref().map_or(self.value.span.start, |key| key.start);
        start..self.value.span.end
    }

    /// The text of its key.
    pub(crate) fn key_text<'t>(&self, text: &'t str) -> Option<&'t str> {
        self.key.as_ref().and_then(|key| text.get(key.clone()))
    }
}

impl Group {
    /// The item of that field name.
    pub(crate) fn field(&self, text: &str, name: &str) -> Option<&Item> {
        self.items.iter().find(|item| item.key_text(text) == Some(name))
    }

    /// The word before the bracket.
    pub(crate) fn name_text<'t>(&self, text: &'t str) -> Option<&'t str> {
        self.name.as_ref().and_then(|name| text.get(name.clone()))
    }
}

impl Node {
    /// Its text.
    pub(crate) fn text<'t>(&self, text: &'t str) -> &'t str {
        text.get(self.span.clone()).unwrap_or_default()
    }
}

/// Why a text is no RON.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct SyntaxError {
    /// The offending bytes.
    pub(crate) span: Range<usize>,
    /// What is wrong.
    pub(crate) kind: SyntaxErrorKind,
}

/// What is wrong with the shape of a text.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SyntaxErrorKind {
    /// A bracket without its partner.
    #[error("{}", say!("'{bracket}' is never closed (add '{closing}')", bracket = _0, closing = _1))]
    NeverClosed(char, char),
    /// A closing bracket of the wrong sort, or one too many.
    #[error("{}", say!("'{bracket}' closes nothing that is open here (take it out, or open it before)", bracket = _0))]
    ClosesNothing(char),
    /// A text in quotes that does not end.
    #[error("{}", say!("the text that starts here has no closing '{quote}' (add one)", quote = '"'))]
    TextNotClosed,
    /// A comment that does not end.
    #[error("{}", say!("the comment that starts here has no closing '*/' (add one)"))]
    CommentNotClosed,
    /// Two things side by side.
    #[error("{}", say!("a comma is missing before '{text}' (add ',')", text = _0))]
    CommaMissing(String),
    /// A number with a unit.
    #[error("{}", say!("'{number} {unit}' is not a number (write {number}, the unit is the field's own)", number = _0, unit = _1))]
    UnitAfterNumber(String, String),
    /// A key without a value.
    #[error("{}", say!("'{field}' has no value (write '{field}: …')", field = _0))]
    NoValue(String),
    /// Something that starts nothing.
    #[error("{}", say!("'{text}' was not expected here (expected {expected})", text = _0, expected = _1))]
    Unexpected(String, &'static str),
    /// The text stops.
    #[error("{}", say!("the file ends here (expected {expected})", expected = _0))]
    Ends(&'static str),
    /// Brackets in brackets in brackets.
    #[error("{}", say!("brackets are nested more than {limit} deep (a key never needs that; look for a bracket that was not closed)", limit = DEPTH_LIMIT))]
    TooDeep,
}

impl SyntaxErrorKind {
    fn at(self, span: Range<usize>) -> SyntaxError {
        SyntaxError { span, kind: self }
    }
}

/// Makes a tree of the value in `text[range]`. Nothing but white space and comments may stand around it.
///
/// # Errors
/// The first place where the brackets, commas or quotes make no sense. Whether numbers and words do is serde's to say.
pub(crate) fn parse(text: &str, range: Range<usize>) -> Result<Node, SyntaxError> {
    let text = text.get(..range.end).unwrap_or(text);
    let mut parser = Parser { text, at: range.start, depth: 0 };
    let node = parser.value("an entry")?;
    parser.trivia()?;
    match parser.peek()? {
        None => Ok(node),
        Some(token) => Err(parser.two_things(&token)),
    }
}

struct Parser<'t> {
    text: &'t str,
    at: usize,
    depth: usize,
}

impl<'t> Parser<'t> {
    fn trivia(&mut self) -> Result<(), SyntaxError> {
        self.at = skip_trivia(self.text, self.at).map_err(|start| SyntaxErrorKind::CommentNotClosed.at(start..start + 2))?;
        Ok(())
    }

    /// The next token that is not white space, without taking it.
    fn peek(&mut self) -> Result<Option<Token>, SyntaxError> {
        self.trivia()?;
        match next_token(self.text, self.at) {
            Some(token) if token.kind == TokenKind::Unclosed => {
                Err(SyntaxErrorKind::TextNotClosed.at(token.span.start..token.span.start + 1))
            }
            token => Ok(token),
        }
    }

    fn text_of(&self, span: &Range<usize>) -> &'t str {
        self.text.get(span.clone()).unwrap_or_default()
    }

    fn short(&self, span: &Range<usize>) -> String {
        super::problem::shorten(self.text_of(span))
    }

    /// The error for a token that stands where a comma should.
    fn two_things(&self, token: &Token) -> SyntaxError {
        match token.kind {
            TokenKind::Close(c) => SyntaxErrorKind::ClosesNothing(c).at(token.span.clone()),
            TokenKind::Colon => SyntaxErrorKind::Unexpected(":".to_owned(), "','").at(token.span.clone()),
            _ => SyntaxErrorKind::CommaMissing(self.short(&token.span)).at(token.span.clone()),
        }
    }

    fn value(&mut self, expected: &'static str) -> Result<Node, SyntaxError> {
        let Some(token) = self.peek()? else {
            let end = self.text.len();
            return Err(SyntaxErrorKind::Ends(expected).at(end..end));
        };
        match token.kind {
            TokenKind::Open(_) => self.group(None, &token),
            TokenKind::Word => {
                self.at = token.span.end;
                match self.peek()? {
                    Some(next) if next.kind == TokenKind::Open('(') => self.group(Some(token.span), &next),
                    _ => {
                        // The white space after a word belongs to whatever follows.
                        self.at = token.span.end;
                        Ok(Node { span: token.span, group: None })
                    }
                }
            }
            TokenKind::Number | TokenKind::Text => {
                self.at = token.span.end;
                Ok(Node { span: token.span, group: None })
            }
            TokenKind::Close(_) | TokenKind::Comma | TokenKind::Colon | TokenKind::Unclosed | TokenKind::Other => {
                Err(SyntaxErrorKind::Unexpected(self.short(&token.span), expected).at(token.span))
            }
        }
    }

    fn group(&mut self, name: Option<Range<usize>>, open: &Token) -> Result<Node, SyntaxError> {
        let TokenKind::Open(bracket) = open.kind else {
            return Err(SyntaxErrorKind::Unexpected(self.short(&open.span), say!("a bracket")).at(open.span.clone()));
        };
        let closing = token::partner(bracket);
        if self.depth >= DEPTH_LIMIT {
            return Err(SyntaxErrorKind::TooDeep.at(open.span.clone()));
        }
        self.depth += 1;
        self.at = open.span.end;
        let mut items: Vec<Item> = Vec::new();
        loop {
            let Some(token) = self.peek()? else {
                return Err(SyntaxErrorKind::NeverClosed(bracket, closing).at(open.span.clone()));
            };
            if token.kind == TokenKind::Close(closing) {
                self.at = token.span.end;
                self.depth -= 1;
                let start = name.as_ref().map_or(open.span.start, |name| name.start);
                let group = Group { name, open: open.span.start, close: token.span.start, items };
                return Ok(Node { span: start..token.span.end, group: Some(group) });
            }
            if let TokenKind::Close(c) = token.kind {
                // Which of the two is wrong cannot be known; the one that is still open is the one a person looks for.
                let _ = c;
                return Err(SyntaxErrorKind::NeverClosed(bracket, closing).at(open.span.clone()));
            }
            if let Some(last) = items.last()
                && last.comma.is_none()
            {
                return Err(self.missing_comma(last, &token));
            }
            items.push(self.item(bracket)?);
        }
    }

    fn missing_comma(&self, last: &Item, token: &Token) -> SyntaxError {
        let before = self.text_of(&last.value.span);
        let word = self.text_of(&token.span);
        if token.kind == TokenKind::Word && before.parse::<f64>().is_ok() && ["mm", "cm", "in", "g", "kg", "ml", "l", "oz"].contains(&word)
        {
            let span = last.value.span.start..token.span.end;
            return SyntaxErrorKind::UnitAfterNumber(before.to_owned(), word.to_owned()).at(span);
        }
        self.two_things(token)
    }

    fn item(&mut self, bracket: char) -> Result<Item, SyntaxError> {
        let expected = match bracket {
            '[' => say!("an item of the list, or ']'"),
            '{' => say!("a name and its value, or '}'"),
            _ => say!("a field, or ')'"),
        };
        let first = self.value(expected)?;
        let (key, value) = match self.peek()? {
            Some(colon) if colon.kind == TokenKind::Colon && bracket != '[' => {
                self.at = colon.span.end;
                let name = self.short(&first.span);
                match self.peek()? {
                    Some(next) if matches!(next.kind, TokenKind::Comma | TokenKind::Close(_)) => {
                        return Err(SyntaxErrorKind::NoValue(name).at(first.span));
                    }
                    _ => (Some(first.span), self.value(say!("a value"))?),
                }
            }
            _ if bracket == '{' => return Err(SyntaxErrorKind::NoValue(self.short(&first.span)).at(first.span)),
            _ => (None, first),
        };
        let after = self.at;
        let comma = match self.peek()? {
            Some(token) if token.kind == TokenKind::Comma => {
                self.at = token.span.end;
                Some(token.span.start)
            }
            _ => {
                self.at = after;
                None
            }
        };
        Ok(Item { key, value, comma })
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    fn shape(text: &str) -> Result<Vec<(Option<&str>, &str)>, String> {
        let node = parse(text, 0..text.len()).map_err(|e| format!("{} at {:?}", e.kind, e.span))?;
        let group = node.group.ok_or("no group")?;
        Ok(group.items.iter().map(|i| (i.key_text(text), i.value.text(text))).collect())
    }

    #[test]
    fn fields_and_values_are_found_to_the_byte() {
        let found = shape("(id: \"a, (b\", /* , /* ) */ */ parts: [Body, Lid], // x)\n plan : Oval (1.2), c: 'x', d: ',',)").unwrap();
        assert_eq!(
            found,
            [
                (Some("id"), "\"a, (b\""),
                (Some("parts"), "[Body, Lid]"),
                (Some("plan"), "Oval (1.2)"),
                (Some("c"), "'x'"),
                (Some("d"), "','"),
            ]
        );
    }

    #[test]
    fn raw_texts_end_at_their_own_hashes() {
        assert_eq!(
            shape("(r#\"say \"no\", twice\"#, r\"\\\", \"\\\"\")").unwrap(),
            [(None, "r#\"say \"no\", twice\"#"), (None, "r\"\\\""), (None, "\"\\\"\""),]
        );
    }

    #[test]
    fn each_fault_says_what_to_do() {
        let check = |text: &str, expected: &str| assert_eq!(shape(text).unwrap_err(), expected, "{text}");
        check("(a: 1", "'(' is never closed (add ')') at 0..1");
        check("(a: [1, 2)", "'[' is never closed (add ']') at 4..5");
        check("(a: 1))", "')' closes nothing that is open here (take it out, or open it before) at 6..7");
        check("(a: 1 b: 2)", "a comma is missing before 'b' (add ',') at 6..7");
        check("(height: 12 cm)", "'12 cm' is not a number (write 12, the unit is the field's own) at 9..14");
        check("(a: , b: 2)", "'a' has no value (write 'a: …') at 1..2");
        check("{\"a\"}", "'\"a\"' has no value (write '\"a\": …') at 1..4");
        check("(a: \"b)", "the text that starts here has no closing '\"' (add one) at 4..5");
        check("(a: 1 /* )", "the comment that starts here has no closing '*/' (add one) at 6..8");
        check("(a: ;)", "';' was not expected here (expected a value) at 4..5");
        check("", "the file ends here (expected an entry) at 0..0");
        let deep = "(".repeat(60);
        assert!(shape(&deep).unwrap_err().starts_with("brackets are nested more than 48 deep"), "depth is limited");
    }
}
