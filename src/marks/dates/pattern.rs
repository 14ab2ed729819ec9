//! Wordings as patterns, and text as a stream of signs in which they are found.

use super::read::Digits;
use crate::marks::letters::bare;
use crate::marks::look_alikes;

/// A wording that a rule looks for.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Pattern {
    /// The number of its rule.
    pub(super) rule: usize,
    /// As written.
    pub(super) text: String,
    /// True where it came of a list of names: of two that fit alike, the one that was written out wins.
    pub(super) listed: bool,
    elements: Vec<Element>,
    literals: usize,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Element {
    Is(char),
    Letter,
    Figure,
    Number,
}

/// How a pattern came about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Written {
    /// Written out in its rule.
    Out,
    /// With a name of a list put in.
    FromList,
}

/// Signs that stand for themselves.
const SIGNS: [char; 4] = ['©', '®', '™', '℠'];

/// One sign of a text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Glyph {
    /// A capital letter, a figure, a sign, `?` for one unread, `…` for any number of them.
    pub(super) c: char,
    /// The character of the text it is from.
    pub(super) at: usize,
    /// True where a word begins.
    starts: bool,
}

/// A place where a pattern fits.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Fit {
    /// The number of the pattern.
    pub(super) pattern: usize,
    /// First glyph.
    pub(super) start: usize,
    /// Past the last glyph.
    pub(super) end: usize,
    /// Letters that were taken for others.
    pub(super) worn: usize,
    /// Letters that were not read.
    pub(super) unread: usize,
    /// The number that was read.
    pub(super) number: Option<Digits>,
}

/// Most stretches of any number of unread letters within one wording.
const MOST_GAPS: usize = 2;

/// The signs of a text. `(c)`, `(R)` and `(TM)` that follow no letter are the signs; other brackets hold doubtful letters.
pub(super) fn glyphs(text: &str) -> Vec<Glyph> {
    let chars: Vec<char> = text.chars().collect();
    let mut out: Vec<Glyph> = Vec::new();
    let mut starts = true;
    let mut at = 0;
    let after_letter = |at: usize| at > 0 && chars.get(at - 1).is_some_and(|c| c.is_alphanumeric());
    while let Some(&c) = chars.get(at) {
        let ahead: String = chars.iter().skip(at).take(4).flat_map(|c| c.to_lowercase()).collect();
        let bracketed = [("(c)", '©', 3), ("(r)", '®', 3), ("(tm)", '™', 4)].into_iter().find(|(word, ..)| ahead.starts_with(word));
        let (glyph, wide) = match bracketed {
            Some((_, sign, wide)) if !after_letter(at) => (Some(sign), wide),
            _ if ahead.starts_with("...") => (Some('…'), 3),
            _ if SIGNS.contains(&c) || c == '…' || c == '?' => (Some(c), 1),
            _ => (None, 1),
        };
        match glyph {
            Some('…') => {
                if out.last().is_none_or(|last| last.c != '…') {
                    out.push(Glyph { c: '…', at, starts });
                }
                starts = false;
            }
            Some('?') => {
                out.push(Glyph { c: '?', at, starts });
                starts = false;
            }
            Some(sign) => {
                out.push(Glyph { c: sign, at, starts: true });
                starts = true;
            }
            None => {
                let letters = bare(c);
                if letters.is_empty() {
                    // Brackets around doubtful letters and apostrophes part no words.
                    starts = starts || !matches!(c, '(' | ')' | '[' | ']' | '\'' | '’');
                }
                for letter in letters {
                    let turns =
                        out.last().is_some_and(|last| last.c.is_alphanumeric() && last.c.is_ascii_digit() != letter.is_ascii_digit());
                    out.push(Glyph { c: letter, at, starts: starts || turns });
                    starts = false;
                }
            }
        }
        at += wide;
    }
    out
}

fn ends(glyphs: &[Glyph], end: usize) -> bool {
    let last_is_gap = end.checked_sub(1).and_then(|last| glyphs.get(last)).is_some_and(|glyph| glyph.c == '…');
    last_is_gap || glyphs.get(end).is_none_or(|glyph| glyph.starts || glyph.c == '…')
}

#[derive(Debug, Clone, Default)]
struct SoFar {
    worn: usize,
    unread: usize,
    gaps: usize,
    number: Option<Digits>,
}

impl Pattern {
    /// A pattern from its text; none where nothing of it is left.
    pub(super) fn new(rule: usize, text: &str, of: Written) -> Option<Self> {
        let mut elements = Vec::new();
        for c in text.chars() {
            match c {
                '@' => elements.push(Element::Letter),
                '9' => elements.push(Element::Figure),
                '#' => elements.push(Element::Number),
                c if SIGNS.contains(&c) => elements.push(Element::Is(c)),
                c => elements.extend(bare(c).into_iter().map(Element::Is)),
            }
        }
        let literals = elements.iter().filter(|e| matches!(e, Element::Is(_))).count();
        (!elements.is_empty()).then(|| Self { rule, text: text.to_owned(), listed: of == Written::FromList, elements, literals })
    }

    /// Where it fits, beginning at that glyph.
    pub(super) fn fit(&self, number: usize, glyphs: &[Glyph], start: usize) -> Option<Fit> {
        let first = glyphs.get(start)?;
        if !first.starts || first.c == '…' {
            return None;
        }
        let (end, so_far) = self.go(0, glyphs, start, SoFar::default())?;
        Some(Fit { pattern: number, start, end, worn: so_far.worn, unread: so_far.unread, number: so_far.number })
    }

    /// True where that much of it may be worn or unread: little of a long wording, nothing of a short one or of a mere shape.
    fn bears(&self, so_far: &SoFar) -> bool {
        let slips = so_far.worn + so_far.unread;
        slips == 0 || self.literals >= 5 && so_far.worn * 5 <= self.literals && slips * 5 <= self.literals * 2
    }

    fn go(&self, element: usize, glyphs: &[Glyph], at: usize, so_far: SoFar) -> Option<(usize, SoFar)> {
        let Some(wanted) = self.elements.get(element) else {
            return (ends(glyphs, at) && self.bears(&so_far)).then_some((at, so_far));
        };
        if !self.bears(&so_far) && self.literals < 5 {
            return None;
        }
        let glyph = glyphs.get(at)?;
        if glyph.c == '…' {
            if so_far.gaps >= MOST_GAPS {
                return None;
            }
            // As few letters as may be.
            let most = self.elements.len() - element;
            return (0..=most).find_map(|lost| {
                let lost_words = self.elements.get(element..element + lost)?;
                if lost_words.iter().any(|e| !matches!(e, Element::Is(_))) {
                    return None;
                }
                let so_far = SoFar { unread: so_far.unread + lost, gaps: so_far.gaps + 1, ..so_far.clone() };
                self.go(element + lost, glyphs, at + 1, so_far)
            });
        }
        match wanted {
            Element::Number => {
                let (digits, end) = Digits::at(glyphs, at)?;
                self.go(element + 1, glyphs, end, SoFar { number: Some(digits), ..so_far })
            }
            _ if glyph.c == '?' => self.go(element + 1, glyphs, at + 1, SoFar { unread: so_far.unread + 1, ..so_far }),
            Element::Is(c) if *c == glyph.c => self.go(element + 1, glyphs, at + 1, so_far),
            Element::Is(c) if look_alikes(*c).contains(&glyph.c) => {
                self.go(element + 1, glyphs, at + 1, SoFar { worn: so_far.worn + 1, ..so_far })
            }
            Element::Letter if glyph.c.is_alphabetic() => self.go(element + 1, glyphs, at + 1, so_far),
            Element::Figure if glyph.c.is_ascii_digit() => self.go(element + 1, glyphs, at + 1, so_far),
            _ => None,
        }
    }
}

impl Glyph {
    /// True where a word begins with it.
    pub(super) const fn begins(&self) -> bool {
        self.starts
    }
}
