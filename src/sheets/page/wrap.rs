//! Long text in lines of a width.

use super::face::{Face, Line, line};
use std::sync::Arc;

/// Lays a text in lines that are at most so wide. It breaks at blanks, behind hyphens and slashes, and within a word that is wider than a line.
/// Ends of lines in the text are kept. An empty text is no line; nothing is left out.
pub fn wrap(face: Face, text: &str, size_mm: f64, width_mm: f64) -> Vec<Arc<Line>> {
    let fits = |text: &str| line(face, text.trim_end()).width_mm(size_mm) <= width_mm + 1e-9;
    let mut lines = Vec::new();
    for paragraph in text.lines().filter(|paragraph| !paragraph.trim().is_empty()) {
        let whole = line(face, paragraph.trim());
        if whole.width_mm(size_mm) <= width_mm {
            lines.push(whole);
            continue;
        }
        let mut open = String::new();
        for chunk in chunks(paragraph.trim()) {
            let longer = format!("{open}{chunk}");
            if fits(&longer) {
                open = longer;
                continue;
            }
            if !open.trim().is_empty() {
                lines.push(line(face, open.trim()));
            }
            open.clear();
            if fits(chunk) {
                chunk.clone_into(&mut open);
                continue;
            }
            for piece in pieces(face, chunk, size_mm, width_mm) {
                if !open.is_empty() {
                    lines.push(line(face, &open));
                }
                open = piece;
            }
        }
        if !open.trim().is_empty() {
            lines.push(line(face, open.trim()));
        }
    }
    lines
}

/// The places between which a line may break.
fn chunks(text: &str) -> impl Iterator<Item = &str> {
    text.split_inclusive(|c: char| c.is_whitespace() && c != '\u{a0}' && c != '\u{202f}' || matches!(c, '-' | '/' | '–' | '—'))
}

/// A word that is wider than a line, cut where it must be: each piece as long as fits, one sign at least.
fn pieces(face: Face, word: &str, size_mm: f64, width_mm: f64) -> Vec<String> {
    let mut pieces = Vec::new();
    let mut open = String::new();
    let mut wide = 0.0;
    for sign in word.chars() {
        let own = line(face, sign.encode_utf8(&mut [0; 4])).width_mm(size_mm);
        if wide + own > width_mm && !open.is_empty() {
            pieces.push(std::mem::take(&mut open));
            wide = 0.0;
        }
        open.push(sign);
        wide += own;
    }
    if !open.is_empty() {
        pieces.push(open);
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wrapped(text: &str, width_mm: f64) -> Vec<String> {
        wrap(Face::Regular, text, 4.0, width_mm).iter().map(|line| line.text().to_owned()).collect()
    }

    #[test]
    fn lines_break_where_they_may() {
        assert_eq!(wrapped("covered sugar, one-person casserole", 30.0), ["covered sugar,", "one-person", "casserole"]);
        assert_eq!(wrapped("one\n\ntwo", 30.0), ["one", "two"]);
        assert_eq!(wrapped("  ", 30.0), Vec::<String>::new());
        assert_eq!(wrapped("short", 30.0), ["short"]);
    }

    #[test]
    fn nothing_is_lost_and_nothing_is_too_wide() {
        let long = format!("{} and then some-thing/else {}", "Mississippi".repeat(40), "w ".repeat(90));
        for width in [3.0, 17.0, 60.0] {
            let lines = wrap(Face::Bold, &long, 4.0, width);
            let all: String = lines.iter().map(|line| line.text()).collect::<String>().chars().filter(|c| !c.is_whitespace()).collect();
            assert_eq!(all, long.chars().filter(|c| !c.is_whitespace()).collect::<String>());
            for line in &lines {
                assert!(line.width_mm(4.0) <= width + 0.05 || line.text().chars().count() == 1, "{width}: {}", line.text());
            }
        }
    }
}
