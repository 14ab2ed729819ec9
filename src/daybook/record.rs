//! What a find's record says beside what was seen: where it came from and goes to, what was paid, what it is glazed and marked with.
//!
//! Prices are records of what was paid and asked; nothing here appraises a piece.

use super::find::words;
use crate::key::Part;
use crate::say;
use jiff::civil::Date;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de::Error as _};
use std::collections::BTreeMap;
use std::fmt;
use std::num::NonZeroU32;
use std::str::FromStr;

/// What is recorded of a piece beside what was seen of it.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Record {
    /// What is to become of it.
    #[serde(skip_serializing_if = "Status::is_undecided")]
    pub status: Status,
    /// Where it was found: a shop, a town, who gave it. Empty where nobody said.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub place_found: String,
    /// What was paid for it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub paid: Option<Price>,
    /// What is or was asked for it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub asked: Option<Price>,
    /// The glaze of each part of which it is known.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub glazes: BTreeMap<Part, Called>,
    /// Its decoration.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub decoration: Option<Called>,
    /// Its mark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mark: Option<Called>,
    /// When it was made.
    #[serde(skip_serializing_if = "YearSpan::is_open")]
    pub made: YearSpan,
    /// When it was decorated, where that is known apart.
    #[serde(skip_serializing_if = "YearSpan::is_open")]
    pub decorated: YearSpan,
    /// Measures that no feature of the key holds: a weight, what it takes.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub measures: Vec<Measure>,
    /// How many identical pieces the find stands for.
    #[serde(skip_serializing_if = "Pieces::is_one")]
    pub pieces: Pieces,
}

/// What is to become of a piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
pub enum Status {
    /// Nobody has said.
    #[default]
    Undecided,
    /// It stays.
    Keep,
    /// It is to be sold.
    Sell,
    /// It goes to someone else.
    PassOn,
    /// It is thrown away.
    Throw,
}

impl Status {
    #[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands a reference")]
    fn is_undecided(&self) -> bool {
        *self == Self::Undecided
    }
}

words!(Status, 5,
    Undecided => "undecided", say!(in "what is to become of a find", "undecided");
    Keep => "keep", say!(in "what is to become of a find", "keep");
    Sell => "sell", say!(in "what is to become of a find", "sell");
    PassOn => "pass-on", say!(in "what is to become of a find", "pass on");
    Throw => "throw", say!(in "what is to become of a find", "throw away");
);

/// Something of the key by its id, with its name as it was then; or a name alone, which was typed.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Called {
    /// Its id in the key the find was named by; empty for a name that was typed.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub id: String,
    /// Its name.
    pub name: String,
}

/// Years, first and last included; either may be open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct YearSpan {
    /// Not before this year.
    pub from: Option<i16>,
    /// Not after this year.
    pub to: Option<i16>,
}

impl YearSpan {
    /// True where nothing is known.
    pub const fn is_open(&self) -> bool {
        self.from.is_none() && self.to.is_none()
    }

    /// '1951–1958', '1955', 'from 1951', 'until 1958'; empty where nothing is known.
    pub fn words(self) -> String {
        match (self.from, self.to) {
            (Some(from), Some(to)) if from == to => from.to_string(),
            (Some(from), Some(to)) => format!("{from}–{to}"),
            (Some(from), None) => say!("from {from}", from),
            (None, Some(to)) => say!("until {to}", to),
            (None, None) => String::new(),
        }
    }
}

/// A measure of the piece.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measure {
    /// What was measured: 'weight', 'holds'.
    pub what: String,
    /// How much, with its unit, as it was written: '412 g'.
    pub value: String,
}

/// How many identical pieces a find stands for: one or more.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Pieces(NonZeroU32);

impl Pieces {
    /// So many; none where that is nought.
    pub const fn new(pieces: u32) -> Option<Self> {
        match NonZeroU32::new(pieces) {
            Some(pieces) => Some(Self(pieces)),
            None => None,
        }
    }

    /// How many.
    pub const fn get(self) -> u32 {
        self.0.get()
    }

    /// One more.
    #[must_use]
    pub const fn and_one(self) -> Self {
        Self(self.0.saturating_add(1))
    }

    /// True for one.
    pub const fn is_one(&self) -> bool {
        self.0.get() == 1
    }
}

impl Default for Pieces {
    fn default() -> Self {
        Self(NonZeroU32::MIN)
    }
}

/// A price: a record of what was paid or asked, not an appraisal.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Price {
    /// How much.
    pub amount: Amount,
    /// In which currency.
    pub currency: Currency,
    /// On which day; none where nobody knows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on: Option<Date>,
}

/// A currency by its code of three capital letters (ISO 4217). That such a currency exists is not checked: old ones count too.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Currency([u8; 3]);

/// An amount of money: an exact decimal of at most four places, not below nought.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Amount {
    /// In ten-thousandths.
    parts: u64,
    /// How many decimal places it was written with.
    places: u8,
}

/// The most an amount can be, before its point.
const MOST: u64 = 1_000_000_000_000;

/// Why a text is no price.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BadPrice {
    /// The amount.
    #[error("{}", say!("'{what}' is not an amount (write 12.50: digits, and at most four after the point)", what = _0))]
    Amount(String),
    /// The currency.
    #[error("{}", say!("'{what}' is not a currency's code (write its three letters of ISO 4217: GBP, EUR, USD)", what = _0))]
    Currency(String),
    /// The day.
    #[error("{}", say!("'{what}' is not a day (write 2026-03-02)", what = _0))]
    Day(String),
    /// Words that belong nowhere.
    #[error("{}", say!("'{what}' is too much for a price (write 12.50 GBP, or 12.50 GBP 2026-03-02)", what = _0))]
    TooMuch(String),
    /// The currency is missing.
    #[error("{}", say!("'{what}' says no currency (write 12.50 GBP, or 12.50 GBP 2026-03-02)", what = _0))]
    NoCurrency(String),
}

impl FromStr for Currency {
    type Err = BadPrice;

    fn from_str(text: &str) -> Result<Self, BadPrice> {
        match *text.to_ascii_uppercase().as_bytes() {
            [a, b, c] if [a, b, c].iter().all(u8::is_ascii_uppercase) => Ok(Self([a, b, c])),
            _ => Err(BadPrice::Currency(text.to_owned())),
        }
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|letter| write!(f, "{}", char::from(*letter)))
    }
}

impl FromStr for Amount {
    type Err = BadPrice;

    fn from_str(text: &str) -> Result<Self, BadPrice> {
        let bad = || BadPrice::Amount(text.to_owned());
        let (whole, rest) = text.split_once(['.', ',']).unwrap_or((text, ""));
        let digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
        let dangling = rest.is_empty() && text.len() > whole.len();
        if whole.is_empty() || dangling || rest.len() > 4 || !digits(whole) || !digits(rest) {
            return Err(bad());
        }
        let places = rest.len();
        let whole: u64 = whole.parse().ok().filter(|whole| *whole < MOST).ok_or_else(bad)?;
        let rest: u64 = format!("{rest:0<4}").parse().map_err(|_unsaid| bad())?;
        Ok(Self { parts: whole * 10_000 + rest, places: u8::try_from(places).map_err(|_unsaid| bad())? })
    }
}

impl fmt::Display for Amount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.parts / 10_000)?;
        if self.places == 0 {
            return Ok(());
        }
        let rest = format!("{:04}", self.parts % 10_000);
        write!(f, ".{}", rest.get(..usize::from(self.places)).unwrap_or(&rest))
    }
}

impl FromStr for Price {
    type Err = BadPrice;

    /// Reads `12.50 GBP` or `12.50 GBP 2026-03-02`; the currency may stand first.
    fn from_str(text: &str) -> Result<Self, BadPrice> {
        let mut words: Vec<&str> = text.split_whitespace().collect();
        if words.first().is_some_and(|word| word.chars().all(char::is_alphabetic)) && words.len() > 1 {
            words.swap(0, 1);
        }
        match words.as_slice() {
            [amount, currency, rest @ ..] => {
                let on = match rest {
                    [] => None,
                    [day] => Some(day.parse().map_err(|_unsaid| BadPrice::Day((*day).to_owned()))?),
                    [_, more, ..] => return Err(BadPrice::TooMuch((*more).to_owned())),
                };
                Ok(Self { amount: amount.parse()?, currency: currency.parse()?, on })
            }
            [amount] => {
                amount.parse::<Amount>()?;
                Err(BadPrice::NoCurrency((*amount).to_owned()))
            }
            [] => Err(BadPrice::Amount(String::new())),
        }
    }
}

impl fmt::Display for Price {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.amount, self.currency)?;
        self.on.map_or(Ok(()), |on| write!(f, " {on}"))
    }
}

impl Price {
    /// What it is sorted by: by currency, then by amount.
    pub(super) fn sort_text(&self) -> String {
        format!("{} {:020}", self.currency, self.amount.parts)
    }
}

macro_rules! serde_as_text {
    ($name:ident) => {
        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
                to.collect_str(self)
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                String::deserialize(from)?.parse().map_err(D::Error::custom)
            }
        }
    };
}

serde_as_text!(Amount);
serde_as_text!(Currency);

impl Record {
    /// The glaze the find is listed under: that of its body, else of the first part of which one is known.
    pub fn main_glaze(&self) -> Option<&Called> {
        self.glazes.get(&Part::Body).or_else(|| self.glazes.values().next())
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[test]
    fn prices_are_read_as_people_write_them_and_come_back_the_same() {
        for (typed, shown) in [
            ("12.50 GBP", "12.50 GBP"),
            ("gbp 12,5 2026-03-02", "12.5 GBP 2026-03-02"),
            ("0 EUR", "0 EUR"),
            ("  1500 jpy ", "1500 JPY"),
            ("3.125 KWD", "3.125 KWD"),
        ] {
            let price: Price = typed.parse().unwrap();
            assert_eq!(price.to_string(), shown);
            assert_eq!(shown.parse::<Price>().unwrap(), price);
            let json = serde_json::to_string(&price).unwrap();
            assert_eq!(serde_json::from_str::<Price>(&json).unwrap(), price, "{json}");
        }
    }

    #[test]
    fn what_is_no_price_is_said_so() {
        let says = |text: &str| text.parse::<Price>().unwrap_err().to_string();
        assert_eq!(says("ten GBP"), "'GBP' is not an amount (write 12.50: digits, and at most four after the point)");
        for amount in ["-3", "1.", ".5", "1.23456", "1e3", "9999999999999999", "½"] {
            assert_eq!(
                says(&format!("{amount} GBP")),
                format!("'{amount}' is not an amount (write 12.50: digits, and at most four after the point)")
            );
        }
        assert_eq!(says("3 £"), "'£' is not a currency's code (write its three letters of ISO 4217: GBP, EUR, USD)");
        assert_eq!(says("3"), "'3' says no currency (write 12.50 GBP, or 12.50 GBP 2026-03-02)");
        assert_eq!(says("3 GBP yesterday"), "'yesterday' is not a day (write 2026-03-02)");
        assert_eq!(says("3 GBP 2026-03-02 or so"), "'or' is too much for a price (write 12.50 GBP, or 12.50 GBP 2026-03-02)");
    }

    #[test]
    fn an_empty_record_takes_no_room_and_reads_back() {
        assert_eq!(serde_json::to_string(&Record::default()).unwrap(), "{}");
        assert_eq!(serde_json::from_str::<Record>("{}").unwrap(), Record::default());
        assert!(serde_json::from_str::<Record>("{\"pieces\": 0}").is_err(), "no pieces are no find");
        assert!(serde_json::from_str::<Record>("{\"stauts\": \"Keep\"}").is_err(), "a misspelt word is not passed over");
    }

    #[test]
    fn prices_sort_by_currency_and_then_by_amount() {
        let mut prices: Vec<Price> = ["9 GBP", "10.5 GBP", "10 GBP", "3 EUR"].iter().map(|text| text.parse().unwrap()).collect();
        prices.sort_by_key(Price::sort_text);
        assert_eq!(prices.iter().map(Price::to_string).collect::<Vec<_>>(), ["3 EUR", "9 GBP", "10 GBP", "10.5 GBP"]);
    }

    #[test]
    fn years_are_said_in_words() {
        let span = |from, to| YearSpan { from, to }.words();
        assert_eq!(span(Some(1951), Some(1958)), "1951–1958");
        assert_eq!(span(Some(1955), Some(1955)), "1955");
        assert_eq!(
            (span(Some(1951), None), span(None, Some(1958)), span(None, None)),
            ("from 1951".into(), "until 1958".into(), String::new())
        );
    }
}
