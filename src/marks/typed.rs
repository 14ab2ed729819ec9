//! What was typed of a mark: letters, letters that can't be read, gaps, letters in doubt.

use super::letters::{bare, parts_words};
use crate::say;
use std::ops::Range;
use thiserror::Error;

/// Longest typed text that is read, in characters; what comes after is not.
pub const LONGEST_TYPED: usize = 200;

/// Why a typed wording can't be looked for.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum TypedError {
    /// Nothing, or blanks.
    #[error("{}", say!("no wording was given (write what can be read of the mark: '?' is one letter that can't be read, '…' any number of them)"))]
    Empty,
    /// No letter and no figure.
    #[error("{}", say!("there is no letter to read in '{what}' (give at least one letter or figure beside '?' and '…')", what = _0))]
    NoLetter(String),
    /// Too long.
    #[error("{}", say!("the wording has {what} characters, and at most {LONGEST_TYPED} are read (give a piece of it)", what = _0, LONGEST_TYPED))]
    TooLong(usize),
    /// A bracket that does not close.
    #[error("{}", say!("the bracket that opens at '{what}' is not closed (write '[AB]' for a letter that is A or B, '(R)' for an R in doubt)", what = _0))]
    Unclosed(String),
}

/// A piece of typed text.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Token {
    /// A letter: one, or any of several. Where it stands in the text.
    Letter(Vec<char>, Doubt, Range<usize>),
    /// A letter that can't be read.
    One(usize),
    /// Any number of letters that can't be read.
    Gap,
    /// A blank, or what else parts words.
    Blank,
}

/// Whether the reader was in doubt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Doubt {
    None,
    Doubtful,
}

/// Says whether a typed wording can be looked for.
///
/// # Errors
/// Where it holds no letter, is too long, or leaves a bracket open.
pub fn check_typed(typed: &str) -> Result<(), TypedError> {
    let shown: String = typed.trim().chars().take(20).collect();
    if shown.is_empty() {
        return Err(TypedError::Empty);
    }
    let long = typed.chars().count();
    if long > LONGEST_TYPED {
        return Err(TypedError::TooLong(long));
    }
    let chars: Vec<char> = typed.chars().collect();
    for (at, open) in chars.iter().enumerate() {
        let close = match open {
            '[' => ']',
            '(' => ')',
            _ => continue,
        };
        let rest = chars.get(at..).unwrap_or_default();
        if !rest.contains(&close) {
            return Err(TypedError::Unclosed(rest.iter().take(20).collect()));
        }
    }
    if tokens(typed).iter().any(|token| matches!(token, Token::Letter(..))) { Ok(()) } else { Err(TypedError::NoLetter(shown)) }
}

/// The pieces of a typed text. A bracket that is not closed (yet) counts for nothing.
pub(super) fn tokens(typed: &str) -> Vec<Token> {
    let chars: Vec<char> = typed.chars().take(LONGEST_TYPED).collect();
    let mut tokens: Vec<Token> = Vec::new();
    let mut doubt = Doubt::None;
    let mut at = 0;
    while let Some(&c) = chars.get(at) {
        let dots = c == '.' && (chars.get(at + 1) == Some(&'.') || at.checked_sub(1).and_then(|i| chars.get(i)) == Some(&'.'));
        match c {
            '?' => tokens.push(Token::One(at)),
            '…' | '*' => tokens.push(Token::Gap),
            _ if dots => tokens.push(Token::Gap),
            '(' if chars.iter().skip(at).any(|c| *c == ')') => doubt = Doubt::Doubtful,
            ')' => doubt = Doubt::None,
            '[' if let Some(inside) = chars.iter().skip(at + 1).position(|c| *c == ']') => {
                let among: Vec<char> = chars.iter().skip(at + 1).take(inside).copied().collect();
                let mut letters: Vec<char> = among.iter().flat_map(|c| bare(*c)).collect();
                letters.sort_unstable();
                letters.dedup();
                let end = at + inside + 2;
                if among.contains(&'?') {
                    tokens.push(Token::One(at));
                } else if !letters.is_empty() {
                    tokens.push(Token::Letter(letters, doubt, at..end));
                }
                at = end;
                continue;
            }
            c if parts_words(c) => tokens.push(Token::Blank),
            _ => tokens.extend(bare(c).into_iter().map(|letter| Token::Letter(vec![letter], doubt, at..at + 1))),
        }
        at += 1;
    }
    tokens
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[track_caller]
    fn check(typed: &str, want: &str) {
        assert_eq!(check_typed(typed).unwrap_err().to_string(), want);
    }

    #[test]
    fn what_cannot_be_looked_for_says_why() {
        let empty =
            "no wording was given (write what can be read of the mark: '?' is one letter that can't be read, '…' any number of them)";
        check("", empty);
        check(" \t", empty);
        check("??", "there is no letter to read in '??' (give at least one letter or figure beside '?' and '…')");
        check("…", "there is no letter to read in '…' (give at least one letter or figure beside '?' and '…')");
        check("[]", "there is no letter to read in '[]' (give at least one letter or figure beside '?' and '…')");
        check(&"A".repeat(10_000), "the wording has 10000 characters, and at most 200 are read (give a piece of it)");
        check("OV[AE", "the bracket that opens at '[AE' is not closed (write '[AB]' for a letter that is A or B, '(R)' for an R in doubt)");
        for fine in ["OV?N", "陶器", "כד חרס", "[AB]C(R)", "5"] {
            check_typed(fine).unwrap();
        }
    }

    #[test]
    fn brackets_hold_letters_in_doubt() {
        let letter = |letters: &[char], doubt, at: Range<usize>| Token::Letter(letters.to_vec(), doubt, at);
        assert_eq!(
            tokens("a[ÖC] (R)?…"),
            [
                letter(&['A'], Doubt::None, 0..1),
                letter(&['C', 'O'], Doubt::None, 1..5),
                Token::Blank,
                letter(&['R'], Doubt::Doubtful, 7..8),
                Token::One(9),
                Token::Gap
            ]
        );
        assert_eq!(tokens("[A"), [letter(&['A'], Doubt::None, 1..2)]);
    }
}
