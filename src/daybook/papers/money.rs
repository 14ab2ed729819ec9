//! Prices as lists write them, and how those of a form went over the years.

use super::reconcile::years;
use crate::key::tables::quantity::number;
use crate::key::words::fold;
use crate::key::{FormId, Key, PaperId};
use std::collections::BTreeMap;

/// A price of one piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Money {
    /// In pounds: shillings and pence are twentieths and two hundred and fortieths of one.
    Pounds(f64),
    /// In a money that is not written with it.
    Plain(f64),
}

impl Money {
    /// How much, in its own money.
    pub const fn amount(self) -> f64 {
        match self {
            Self::Pounds(amount) | Self::Plain(amount) => amount,
        }
    }

    /// True where two are of one money, so that they can be compared.
    pub const fn is_like(self, other: Self) -> bool {
        matches!((self, other), (Self::Pounds(_), Self::Pounds(_)) | (Self::Plain(_), Self::Plain(_)))
    }
}

/// Reads a price: `14/6`, `9/-`, `4d`, `1s 6d`, `£1/2/6`, `£1.25`, `25p`, `1.25`; `14/- doz` is that of a twelfth. Nothing where it is none, or of a pair or a
/// set, which is no price of a piece.
pub fn price(text: &str) -> Option<Money> {
    let text = text.trim().to_lowercase();
    let (said, pieces) = match text.split_once(|c: char| c.is_whitespace()) {
        Some((said, rest)) => match fold(rest).as_str() {
            "doz" | "dozen" | "per doz" | "per dozen" | "a dozen" | "the dozen" => (said.to_owned(), 12.0),
            "each" | "ea" | "" => (said.to_owned(), 1.0),
            _ => (text.replace(' ', ""), 1.0),
        },
        None => (text.clone(), 1.0),
    };
    let money = one(&said)?;
    let amount = money.amount() / pieces;
    if !(amount > 0.0 && amount.is_finite()) {
        return None;
    }
    Some(if matches!(money, Money::Pounds(_)) { Money::Pounds(amount) } else { Money::Plain(amount) })
}

fn one(text: &str) -> Option<Money> {
    let (pounds, rest) = match text.strip_prefix('£') {
        Some(rest) => (true, rest),
        None => (false, text),
    };
    if rest.contains('/') {
        let parts: Vec<&str> = rest.split('/').collect();
        let part = |text: &&str| if matches!(*text, "-" | "") { Some(0.0) } else { number(text.trim_end_matches(['d', 's'])) };
        let parts: Vec<f64> = parts.iter().map(part).collect::<Option<_>>()?;
        return match (parts.as_slice(), pounds) {
            (&[shillings, pence], false) if pence < 12.0 => Some(Money::Pounds(shillings / 20.0 + pence / 240.0)),
            (&[pounds, shillings, pence], _) if shillings < 20.0 && pence < 12.0 => {
                Some(Money::Pounds(pounds + shillings / 20.0 + pence / 240.0))
            }
            _ => None,
        };
    }
    if pounds {
        return number(rest).map(Money::Pounds);
    }
    if let Some(pence) = rest.strip_suffix('p') {
        return number(pence).map(|pence| Money::Pounds(pence / 100.0));
    }
    if let Some(pence) = rest.strip_suffix('d') {
        let (shillings, pence) = pence.split_once('s').map_or(("0", pence), |(shillings, pence)| (shillings, pence));
        return Some(Money::Pounds(number(shillings)? / 20.0 + number(pence)? / 240.0));
    }
    if let Some(shillings) = rest.strip_suffix('s') {
        return number(shillings).map(|shillings| Money::Pounds(shillings / 20.0));
    }
    number(rest).map(Money::Plain)
}

/// A price of a form in a paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Priced {
    /// The year of the paper; the middle of those it may be of.
    pub year: i32,
    /// The paper.
    pub paper: PaperId,
    /// As written.
    pub written: String,
    /// How much.
    pub money: Money,
    /// In percent of the first one.
    pub percent: f64,
}

/// The prices of each form that dated papers give in one money for at least two years, oldest first, by form.
pub fn price_series(key: &Key) -> Vec<(FormId, Vec<Priced>)> {
    let mut found: BTreeMap<FormId, Vec<Priced>> = BTreeMap::new();
    for paper in &key.papers {
        let (from, to) = years(paper.date);
        for listed in &paper.lists {
            if let (Some(form), Some(money)) = (&listed.form, price(&listed.price)) {
                let year = i32::midpoint(from, to);
                let priced = Priced { year, paper: paper.id.clone(), written: listed.price.clone(), money, percent: 100.0 };
                found.entry(form.clone()).or_default().push(priced);
            }
        }
    }
    found.retain(|_, prices| {
        prices.sort_by_key(|priced| priced.year);
        let Some(first) = prices.first().map(|priced| priced.money) else { return false };
        prices.retain(|priced| priced.money.is_like(first));
        for priced in prices.iter_mut() {
            priced.percent = 100.0 * priced.money.amount() / first.amount();
        }
        prices.first().map(|priced| priced.year) != prices.last().map(|priced| priced.year)
    });
    found.into_iter().collect()
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]
    use super::*;
    use crate::key::{Listed, Paper, PaperKind, When, builtin};

    #[test]
    fn prices_are_read_as_lists_write_them() {
        let pence = |text: &str| match price(text) {
            Some(Money::Pounds(pounds)) => Some((pounds * 240.0 * 100.0).round() / 100.0),
            _ => None,
        };
        for (text, of) in [
            ("14/6", 174.0),
            ("9/-", 108.0),
            ("4d", 4.0),
            ("1s 6d", 18.0),
            ("£1/2/6", 270.0),
            ("14/- doz", 14.0),
            ("£1.25", 300.0),
            ("25p", 60.0),
            ("7s", 84.0),
        ] {
            assert_eq!(pence(text), Some(of), "{text}");
        }
        assert_eq!(price("1.25"), Some(Money::Plain(1.25)));
        for text in ["", "12/6 the set", "free", "9/15", "£", "/", "-4", "9/- pair", "0"] {
            assert_eq!(price(text), None, "{text}");
        }
    }

    #[test]
    fn prices_of_a_form_go_in_percent_of_the_first() {
        let mut key = builtin::demo().key;
        let listed =
            |price: &str| Listed { written: "mug".to_owned(), form: Some("quoin-mug".into()), glazes: Vec::new(), price: price.to_owned() };
        let paper = |id: &str, year: i32, price: &str| Paper {
            id: id.into(),
            title: id.to_owned(),
            kind: PaperKind::PriceList,
            date: When::Year(year),
            lists: vec![listed(price)],
            pictures: Vec::new(),
            note: String::new(),
        };
        key.papers =
            vec![paper("late", 1960, "6/-"), paper("early", 1951, "4/-"), paper("dollars", 1955, "1.20"), paper("unread", 1956, "dear")];
        let series = price_series(&key);
        assert_eq!(series.len(), 1);
        let points: Vec<(i32, i64)> = series[0].1.iter().map(|priced| (priced.year, priced.percent.round() as i64)).collect();
        assert_eq!(points, [(1951, 100), (1960, 150)]);
        key.papers.truncate(1);
        assert_eq!(price_series(&key), []);
        assert!(price_series(&builtin::demo().key).iter().all(|(_, prices)| (prices.first().unwrap().percent - 100.0).abs() < 1e-9));
    }
}
