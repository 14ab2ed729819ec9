//! Hue, value and chroma, and how they are written (ASTM D1535; the notation is from memory of the standard).

use std::fmt;
use std::str::FromStr;
use thiserror::Error;

/// Families of hue, ten steps each.
const FAMILIES: [&str; 10] = ["R", "YR", "Y", "GY", "G", "BG", "B", "PB", "P", "RP"];

/// A colour in Munsell's terms, illuminant C. Written `5R 5/10`, a neutral `N 5/`, to one decimal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Munsell {
    /// Hue number: above 0, at most 100. 5 is 5R, 15 is 5YR, 100 is 10RP. It says nothing where the chroma is 0.
    pub hue: f64,
    /// Value, 0 (black) to 10 (white).
    pub value: f64,
    /// Chroma, 0 (neutral) and up, seldom past 20.
    pub chroma: f64,
}

/// Words that are no Munsell notation.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("'{0}' is not a Munsell notation (write 5YR 3.5/4, or N 5/ for a neutral)")]
pub struct NotMunsell(String);

impl Munsell {
    /// True where it is written as a neutral: less than 0.05 of chroma.
    pub fn is_neutral(self) -> bool {
        self.chroma < 0.05
    }
}

impl fmt::Display for Munsell {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let tenth = |x: f64| (x * 10.0).round() / 10.0;
        if self.is_neutral() {
            return write!(f, "N {}/", tenth(self.value));
        }
        // 0 and less than half a tenth are the 10 of the family before.
        let tenths = (self.hue.rem_euclid(100.0) * 10.0).round() as usize;
        let tenths = if tenths == 0 { 1000 } else { tenths };
        let family = FAMILIES.get((tenths - 1) / 100).copied().unwrap_or("RP");
        let step = ((tenths - 1) % 100 + 1) as f64 / 10.0;
        write!(f, "{step}{family} {}/{}", tenth(self.value), tenth(self.chroma))
    }
}

impl FromStr for Munsell {
    type Err = NotMunsell;

    fn from_str(text: &str) -> Result<Self, NotMunsell> {
        let read = || {
            let (hue, rest) = text.trim().split_once(' ')?;
            let (value, chroma) = rest.trim().split_once('/')?;
            let number = |text: &str| text.trim().parse::<f64>().ok().filter(|x| x.is_finite() && *x >= 0.0);
            let value = number(value).filter(|v| *v <= 10.0)?;
            if hue.eq_ignore_ascii_case("N") {
                let none = chroma.trim().is_empty() || number(chroma).is_some_and(|c| c <= 0.0);
                return none.then_some(Self { hue: 100.0, value, chroma: 0.0 });
            }
            let letters = hue.find(|c: char| c.is_ascii_alphabetic())?;
            let (step, family) = hue.split_at(letters);
            let family = FAMILIES.iter().position(|f| f.eq_ignore_ascii_case(family))?;
            let hue = number(step).filter(|s| *s <= 10.0)? + 10.0 * family as f64;
            Some(Self { hue: if hue > 0.0 { hue } else { 100.0 }, value, chroma: number(chroma)? })
        };
        read().ok_or_else(|| NotMunsell(text.trim().to_owned()))
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[test]
    fn notation_is_read_and_written() {
        for text in ["5R 5/10", "10RP 8/1.5", "7.4YR 3/4", "0.1R 2/2", "2.9PB 4.2/7.2", "N 9.3/", "10Y 6/4"] {
            assert_eq!(text.parse::<Munsell>().unwrap().to_string(), text);
        }
        assert_eq!(Munsell { hue: 0.01, value: 5.0, chroma: 6.0 }.to_string(), "10RP 5/6");
        assert_eq!(Munsell { hue: 10.02, value: 5.04, chroma: 6.0 }.to_string(), "10R 5/6");
        assert_eq!("0YR 5/6".parse::<Munsell>().unwrap().to_string(), "10R 5/6");
    }

    #[test]
    fn what_is_none_is_refused() {
        for text in ["", "5R", "5R 5", "5X 5/10", "11R 5/1", "5R 11/1", "5R 5/-1", "N 5/3", "R 5/x", "5R nan/1"] {
            assert_eq!(
                text.parse::<Munsell>().unwrap_err().to_string(),
                format!("'{text}' is not a Munsell notation (write 5YR 3.5/4, or N 5/ for a neutral)")
            );
        }
    }
}
