//! The tokens of RON text, by their bytes.

use std::ops::Range;

/// One token.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Token {
    /// What it is.
    pub(crate) kind: TokenKind,
    /// Its bytes.
    pub(crate) span: Range<usize>,
}

/// What a token is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum TokenKind {
    /// `(`, `[` or `{`.
    Open(char),
    /// `)`, `]` or `}`.
    Close(char),
    /// `,`
    Comma,
    /// `:`
    Colon,
    /// A name: a field, a variant, `true`, `inf`.
    Word,
    /// A number.
    Number,
    /// A text or a letter in quotes.
    Text,
    /// A text that does not end.
    Unclosed,
    /// Anything else.
    Other,
}

/// The closing bracket of an opening one.
pub(crate) const fn partner(open: char) -> char {
    match open {
        '(' => ')',
        '[' => ']',
        _ => '}',
    }
}

fn byte(text: &str, at: usize) -> Option<u8> {
    text.as_bytes().get(at).copied()
}

/// Where the white space and comments from `at` on end.
///
/// # Errors
/// Where a `/*` starts that does not end.
pub(crate) fn skip_trivia(text: &str, mut at: usize) -> Result<usize, usize> {
    loop {
        match byte(text, at) {
            Some(b' ' | b'\t' | b'\n' | b'\r' | 0x0b | 0x0c) => at += 1,
            Some(b'/') if byte(text, at + 1) == Some(b'/') => {
                let rest = text.get(at..).unwrap_or_default();
                at += rest.find('\n').unwrap_or(rest.len());
            }
            Some(b'/') if byte(text, at + 1) == Some(b'*') => at = block_comment_end(text, at).ok_or(at)?,
            Some(0x80..) => match text.get(at..).and_then(|rest| rest.chars().next()) {
                // What RON takes for white space beyond ASCII (Pattern_White_Space).
                Some(c @ ('\u{85}' | '\u{200E}' | '\u{200F}' | '\u{2028}' | '\u{2029}')) => at += c.len_utf8(),
                _ => return Ok(at),
            },
            _ => return Ok(at),
        }
    }
}

/// The end of the comment that starts at `start` with `/*`; these nest.
fn block_comment_end(text: &str, start: usize) -> Option<usize> {
    let mut depth = 0_usize;
    let mut at = start;
    loop {
        match (byte(text, at)?, byte(text, at + 1)) {
            (b'/', Some(b'*')) => {
                depth += 1;
                at += 2;
            }
            (b'*', Some(b'/')) => {
                depth -= 1;
                at += 2;
                if depth == 0 {
                    return Some(at);
                }
            }
            _ => at += 1,
        }
    }
}

/// The token that starts at `at`, which must not be white space. None at the end of the text.
pub(crate) fn next_token(text: &str, at: usize) -> Option<Token> {
    let first = byte(text, at)?;
    let single = |kind| Some(Token { kind, span: at..at + 1 });
    match first {
        b'(' | b'[' | b'{' => single(TokenKind::Open(char::from(first))),
        b')' | b']' | b'}' => single(TokenKind::Close(char::from(first))),
        b',' => single(TokenKind::Comma),
        b':' => single(TokenKind::Colon),
        b'"' => Some(quoted(text, at, at + 1)),
        b'\'' => Some(letter(text, at, at)),
        b'0'..=b'9' | b'+' | b'-' | b'.' => Some(run(text, at, TokenKind::Number)),
        b'r' | b'b' => Some(prefixed(text, at)),
        b'_' | b'a'..=b'z' | b'A'..=b'Z' => Some(run(text, at, TokenKind::Word)),
        0x80.. => {
            let c = text.get(at..)?.chars().next()?;
            if c.is_alphabetic() {
                Some(run(text, at, TokenKind::Word))
            } else {
                Some(Token { kind: TokenKind::Other, span: at..at + c.len_utf8() })
            }
        }
        _ => single(TokenKind::Other),
    }
}

/// `r"…"`, `r#"…"#`, `b"…"`, `br"…"`, `b'…'`, `r#word`, or a word that starts with r or b.
fn prefixed(text: &str, start: usize) -> Token {
    let mut at = start;
    if byte(text, at) == Some(b'b') {
        match byte(text, at + 1) {
            Some(b'"') => return quoted(text, start, at + 2),
            Some(b'\'') => return letter(text, start, at + 1),
            Some(b'r') => at += 1,
            _ => return run(text, start, TokenKind::Word),
        }
    }
    // At the r.
    let mut quote = at + 1;
    while byte(text, quote) == Some(b'#') {
        quote += 1;
    }
    let hashes = quote - at - 1;
    if byte(text, quote) == Some(b'"') {
        let closing = format!("\"{}", "#".repeat(hashes));
        let body = text.get(quote + 1..).unwrap_or_default();
        return match body.find(&closing) {
            Some(end) => Token { kind: TokenKind::Text, span: start..quote + 1 + end + closing.len() },
            None => Token { kind: TokenKind::Unclosed, span: start..text.len() },
        };
    }
    if hashes == 1 {
        let word = run(text, quote, TokenKind::Word);
        return Token { kind: TokenKind::Word, span: start..word.span.end.max(quote) };
    }
    run(text, start, TokenKind::Word)
}

/// A text from `start`, whose first letter inside the quotes is at `at`.
fn quoted(text: &str, start: usize, mut at: usize) -> Token {
    loop {
        match byte(text, at) {
            Some(b'"') => return Token { kind: TokenKind::Text, span: start..at + 1 },
            Some(b'\\') => at += 2,
            Some(_) => at += 1,
            None => return Token { kind: TokenKind::Unclosed, span: start..text.len() },
        }
    }
}

/// A letter in single quotes, or a lone quote.
fn letter(text: &str, start: usize, quote: usize) -> Token {
    let rest = text.get(quote + 1..).unwrap_or_default();
    let mut chars = rest.char_indices();
    let end = match chars.next() {
        Some((_, '\\')) => {
            // Past the escaped letter, which may itself be a quote, and no further than `\u{10FFFF}` needs.
            chars.next();
            chars.take(10).find(|(_, c)| *c == '\'').map(|(i, _)| i)
        }
        Some(_) => chars.next().filter(|(_, c)| *c == '\'').map(|(i, _)| i),
        None => None,
    };
    match end {
        Some(end) => Token { kind: TokenKind::Text, span: start..quote + 1 + end + 1 },
        None => Token { kind: TokenKind::Other, span: start..quote + 1 },
    }
}

fn run(text: &str, start: usize, kind: TokenKind) -> Token {
    let rest = text.get(start..).unwrap_or_default();
    let number = kind == TokenKind::Number;
    let mut last = '\0';
    let end = rest
        .char_indices()
        .find(|&(_, c)| {
            let sign_in_exponent = number && matches!(c, '+' | '-') && matches!(last, 'e' | 'E' | '\0');
            let inside = c == '_' || c == '.' || c.is_alphanumeric() || sign_in_exponent || (!number && c == '-');
            last = c;
            !inside
        })
        .map_or(rest.len(), |(i, _)| i);
    Token { kind, span: start..start + end }
}
