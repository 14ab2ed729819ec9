//! From text to a quantity.

use super::unit::Customary;
use super::{Decimal, ListUnit, Quantity, QuantityError};
use crate::key::tables::header::clip;

/// No measure is longer, in characters.
const LONGEST: usize = 100;

/// Words that may stand before a measure and say nothing that a number does not.
const LEADS: [&str; 20] = [
    "h",
    "height",
    "w",
    "width",
    "d",
    "depth",
    "diam",
    "diameter",
    "dia",
    "l",
    "length",
    "wt",
    "weight",
    "c",
    "ca",
    "circa",
    "about",
    "approx",
    "approximately",
    "capacity",
];

pub(super) fn quantity(text: &str, decimal: Decimal) -> Result<Quantity, QuantityError> {
    let fail = || QuantityError::NotAMeasure { text: clip(text) };
    let mut reader = Reader::new(text, decimal).ok_or_else(fail)?;
    reader.lead();
    let first = reader.sum().ok_or_else(fail)?;
    let found = if reader.plus_minus() {
        let give = reader.sum().ok_or_else(fail)?;
        spread(first, give).ok_or_else(fail)?
    } else if reader.range() {
        let last = reader.sum().ok_or_else(fail)?;
        between(first, last).ok_or_else(fail)?
    } else {
        Quantity { low: first.0, high: first.0, unit: first.1 }
    };
    reader.blanks();
    if reader.times() {
        return Err(QuantityError::Several { text: clip(text) });
    }
    reader.same_again();
    if !reader.at_end() || !found.low.is_finite() || !found.high.is_finite() {
        return Err(fail());
    }
    if found.low > found.high {
        return Err(QuantityError::Backwards { text: clip(text) });
    }
    Ok(found)
}

pub(super) fn plain_number(text: &str, decimal: Decimal) -> Option<f64> {
    let mut reader = Reader::new(text, decimal)?;
    reader.blanks();
    let (number, _) = reader.decimal_number()?;
    reader.blanks();
    reader.at_end().then_some(number).filter(|number| number.is_finite())
}

/// A number with its unit.
type Written = (f64, Option<ListUnit>);

/// `92±2`, `9 in ± 1/8 in`, `92 mm ± 0.5 cm`.
fn spread((middle, unit): Written, (give, give_unit): Written) -> Option<Quantity> {
    let (middle, give, unit) = match (unit, give_unit) {
        (None, unit) => (middle, give, unit),
        (Some(unit), None) => (middle, give, Some(unit)),
        (Some(unit), Some(other)) => (middle, give * ratio(other, unit)?, Some(unit)),
    };
    Some(Quantity { low: (middle - give).max(0.0), high: middle + give, unit })
}

/// `92-95 mm`, `9 in - 9 1/4 in`.
fn between((low, unit): Written, (high, high_unit): Written) -> Option<Quantity> {
    let (high, unit) = match (unit, high_unit) {
        (None, unit) => (high, unit),
        (Some(unit), None) => (high, Some(unit)),
        (Some(unit), Some(other)) => (high * ratio(other, unit)?, Some(unit)),
    };
    Some(Quantity { low, high, unit })
}

/// How many of `unit` are one of `other`.
fn ratio(other: ListUnit, unit: ListUnit) -> Option<f64> {
    if other == unit {
        return Some(1.0);
    }
    let (a, b) = (other.metric(Customary::default()), unit.metric(Customary::default()));
    (a.0 == b.0).then(|| a.1 / b.1)
}

struct Reader {
    signs: Vec<char>,
    at: usize,
    decimal: Decimal,
}

impl Reader {
    fn new(text: &str, decimal: Decimal) -> Option<Self> {
        let text = text.trim();
        // A text this long in bytes is so in characters too.
        if text.is_empty() || text.len() > 4 * LONGEST {
            return None;
        }
        let signs: Vec<char> = text.chars().flat_map(char::to_lowercase).map(plain_sign).collect();
        (signs.len() <= LONGEST).then_some(Self { signs, at: 0, decimal })
    }

    fn peek(&self, ahead: usize) -> Option<char> {
        self.signs.get(self.at + ahead).copied()
    }

    fn at_end(&self) -> bool {
        self.at >= self.signs.len()
    }

    fn take(&mut self, sign: char) -> bool {
        let found = self.peek(0) == Some(sign);
        self.at += usize::from(found);
        found
    }

    fn blanks(&mut self) {
        while self.take(' ') {}
    }

    /// Letters, full stops between and after them and blanks between them left out; up to `words` words.
    fn letters(&mut self, words: usize) -> String {
        let mut letters = String::new();
        for word in 0..words {
            let before = self.at;
            if word > 0 {
                self.blanks();
            }
            let from = letters.len();
            while let Some(sign) = self.peek(0).filter(char::is_ascii_alphabetic) {
                letters.push(sign);
                self.at += 1;
                if self.peek(0) == Some('.') && self.peek(1) != Some('.') {
                    self.at += 1;
                }
            }
            if letters.len() == from {
                self.at = before;
                break;
            }
        }
        letters
    }

    /// Words and signs before a number.
    fn lead(&mut self) {
        loop {
            self.blanks();
            if self.take('~') || self.take('≈') || self.take('ø') || self.take('⌀') {
                continue;
            }
            let before = self.at;
            let word = self.letters(1);
            if !LEADS.contains(&word.as_str()) {
                self.at = before;
                return;
            }
            self.blanks();
            if !self.take(':') {
                self.take('=');
            }
        }
    }

    /// A number with its unit, or several that belong together: `1 lb 4 oz`, `5' 6 1/2"`.
    fn sum(&mut self) -> Option<Written> {
        let (mut total, mut unit) = self.written()?;
        while let Some(larger) = unit {
            let before = self.at;
            match self.written() {
                Some((more, Some(smaller))) if ratio(smaller, larger).is_some_and(|r| r < 1.0) => {
                    total = total * ratio(larger, smaller)? + more;
                    unit = Some(smaller);
                }
                _ => {
                    self.at = before;
                    break;
                }
            }
        }
        Some((total, unit))
    }

    fn written(&mut self) -> Option<Written> {
        self.blanks();
        let number = self.number()?;
        Some((number, self.unit()))
    }

    fn unit(&mut self) -> Option<ListUnit> {
        let before = self.at;
        self.blanks();
        // Inches first: two single signs are one double.
        if self.take('"') {
            return Some(ListUnit::Inch);
        }
        if self.take('\'') {
            return Some(if self.take('\'') { ListUnit::Inch } else { ListUnit::Foot });
        }
        let start = self.at;
        for words in (1..=4).rev() {
            self.at = start;
            if let Some(unit) = ListUnit::from_letters(&self.letters(words)) {
                return Some(unit);
            }
        }
        self.at = before;
        None
    }

    /// A number: decimal, a fraction, or both: `9 1/4`, `9¼`, `6-5/8`.
    fn number(&mut self) -> Option<f64> {
        if let Some(part) = self.vulgar() {
            return Some(part);
        }
        let (whole, is_whole) = self.decimal_number()?;
        if !is_whole {
            return Some(whole);
        }
        if self.peek(0) == Some('/') {
            self.at += 1;
            return self.denominator().map(|below| whole / below);
        }
        let before = self.at;
        let hyphen = self.take('-');
        if !hyphen {
            self.blanks();
        }
        match self.part() {
            Some(part) if part < 1.0 => Some(whole + part),
            _ => {
                self.at = before;
                Some(whole)
            }
        }
    }

    /// A fraction beside a whole number.
    fn part(&mut self) -> Option<f64> {
        if let Some(part) = self.vulgar() {
            return Some(part);
        }
        let above = self.digits()?;
        if !self.take('/') {
            return None;
        }
        self.denominator().map(|below| above / below)
    }

    fn denominator(&mut self) -> Option<f64> {
        self.digits().filter(|&below| below > 0.0)
    }

    fn digits(&mut self) -> Option<f64> {
        let from = self.at;
        while self.peek(0).is_some_and(|sign| sign.is_ascii_digit()) {
            self.at += 1;
        }
        let text: String = self.signs.get(from..self.at)?.iter().collect();
        text.parse().ok()
    }

    fn vulgar(&mut self) -> Option<f64> {
        let part = match self.peek(0)? {
            '¼' => 1.0 / 4.0,
            '½' => 1.0 / 2.0,
            '¾' => 3.0 / 4.0,
            '⅓' => 1.0 / 3.0,
            '⅔' => 2.0 / 3.0,
            '⅕' => 1.0 / 5.0,
            '⅖' => 2.0 / 5.0,
            '⅗' => 3.0 / 5.0,
            '⅘' => 4.0 / 5.0,
            '⅙' => 1.0 / 6.0,
            '⅚' => 5.0 / 6.0,
            '⅛' => 1.0 / 8.0,
            '⅜' => 3.0 / 8.0,
            '⅝' => 5.0 / 8.0,
            '⅞' => 7.0 / 8.0,
            '⅒' => 1.0 / 10.0,
            _ => return None,
        };
        self.at += 1;
        Some(part)
    }

    /// A number with decimals and thousands, and whether it is written as a whole one without either.
    fn decimal_number(&mut self) -> Option<(f64, bool)> {
        let mut text = String::new();
        // Digits since the start or since the last blank, and whether there was one.
        let mut group = 0;
        let mut grouped = false;
        loop {
            match (self.peek(0), self.peek(1)) {
                (Some(digit), _) if digit.is_ascii_digit() => {
                    text.push(digit);
                    group += 1;
                }
                (Some(sign @ ('.' | ',')), Some(next)) if next.is_ascii_digit() => {
                    text.push(sign);
                    group = usize::MAX / 2;
                }
                // '1 250': one to three digits, then three after each blank.
                (Some(' '), _)
                    if (if grouped { group == 3 } else { (1..=3).contains(&group) }) && !text.starts_with('0') && self.is_thousand() =>
                {
                    group = 0;
                    grouped = true;
                }
                _ => break,
            }
            self.at += 1;
        }
        let whole = !grouped && text.chars().all(|sign| sign.is_ascii_digit());
        value(&text, self.decimal).map(|number| (number, whole))
    }

    /// True where three digits and no more follow the blank at hand.
    fn is_thousand(&self) -> bool {
        let three = (1..=3).all(|ahead| self.peek(ahead).is_some_and(|sign| sign.is_ascii_digit()));
        three && !self.peek(4).is_some_and(|sign| sign.is_ascii_digit() || sign == '/')
    }

    fn plus_minus(&mut self) -> bool {
        let before = self.at;
        self.blanks();
        if self.take('±') {
            return true;
        }
        if self.take('+') {
            self.take('/');
            if self.take('-') {
                return true;
            }
        }
        self.at = before;
        false
    }

    fn range(&mut self) -> bool {
        let before = self.at;
        self.blanks();
        if self.take('-') || self.take('–') || self.take('…') {
            return true;
        }
        if self.take('.') && self.take('.') {
            self.take('.');
            return true;
        }
        self.at = before;
        self.blanks();
        if self.letters(1) == "to" {
            return true;
        }
        self.at = before;
        false
    }

    /// The sign between two dimensions, before a further number.
    fn times(&mut self) -> bool {
        let before = self.at;
        let found = self.take('x') || self.take('×') || self.take('*') || self.take('/') || self.take(',') || self.take(';');
        self.blanks();
        let several = found && self.peek(0).is_some_and(|sign| sign.is_ascii_digit());
        self.at = before;
        several
    }

    /// The same in another unit, in brackets: `9 1/4 in (23.5 cm)`.
    fn same_again(&mut self) {
        let before = self.at;
        let closes = self.signs.last() == Some(&')');
        if self.take('(') && closes {
            let inside: String = self.signs.get(self.at..self.signs.len() - 1).unwrap_or_default().iter().collect();
            if !inside.contains('(') && quantity(&inside, self.decimal).is_ok() {
                self.at = self.signs.len();
                return;
            }
        }
        self.at = before;
    }
}

/// Signs that are written in several ways, in one.
fn plain_sign(sign: char) -> char {
    match sign {
        '\u{a0}' | '\u{202f}' | '\u{2009}' | '\u{2007}' | '\t' | '\n' | '\r' => ' ',
        '\u{2044}' | '\u{2215}' => '/',
        '\u{2212}' | '\u{2010}' | '\u{2011}' => '-',
        '\u{2014}' | '\u{2012}' | '\u{2013}' => '–',
        '″' | '”' | '“' | '„' => '"',
        '′' | '’' | '‘' | '`' => '\'',
        other => other,
    }
}

/// The number of some digits, points and commas.
fn value(text: &str, decimal: Decimal) -> Option<f64> {
    let points = text.matches('.').count();
    let commas = text.matches(',').count();
    let plain = |thousands: char, point: char| -> Option<f64> {
        let (whole, rest) = text.split_once(point).unwrap_or((text, ""));
        if !is_grouped(whole, thousands) || rest.contains([thousands, point]) {
            return None;
        }
        format!("{}.{rest}0", whole.replace(thousands, "")).parse().ok()
    };
    // Of two signs the last parts the decimals; one that comes back parts thousands; one alone parts what the column says.
    let commas_part_thousands = match (points, commas) {
        (0, 0) => return text.parse().ok(),
        (1.., 1..) => text.rfind('.') > text.rfind(','),
        (2.., 0) => false,
        (0, 2..) => true,
        (1, 0) => decimal != Decimal::Comma || !is_grouped(text, '.'),
        (0, 1) => decimal != Decimal::Comma && is_grouped(text, ','),
    };
    if commas_part_thousands { plain(',', '.') } else { plain('.', ',') }
}

/// True for digits in groups of three, as `1,250` or `12,345,678`; also for digits without groups.
fn is_grouped(whole: &str, by: char) -> bool {
    let mut groups = whole.split(by);
    let Some(first) = groups.next() else { return false };
    let mut several = false;
    let rest = groups.all(|group| {
        several = true;
        group.len() == 3
    });
    rest && (!several || (1..=3).contains(&first.len()) && !first.starts_with('0'))
}
