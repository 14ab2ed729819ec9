//! Stretches of time to the day, with years kept as years where nothing closer is known.

use crate::key::When;
use crate::say;
use jiff::civil::Date;

/// One end of a span: a day, or a whole year.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edge {
    /// That day.
    Day(Date),
    /// That year: its first day as a beginning, its last as an end.
    Year(i16),
}

impl Edge {
    /// A year; none outside -9999 to 9999.
    pub fn year(year: i32) -> Option<Self> {
        i16::try_from(year).ok().filter(|year| (-9999..=9999).contains(year)).map(Self::Year)
    }

    /// A day of the calendar; none where there is no such day.
    pub fn day(year: i32, month: u8, day: u8) -> Option<Self> {
        let date = Date::new(i16::try_from(year).ok()?, i8::try_from(month).ok()?, i8::try_from(day).ok()?);
        date.ok().map(Self::Day)
    }

    /// Its first day.
    pub fn first_day(self) -> Date {
        match self {
            Self::Day(day) => day,
            Self::Year(year) => Date::new(year, 1, 1).unwrap_or(Date::MIN),
        }
    }

    /// Its last day.
    pub fn last_day(self) -> Date {
        match self {
            Self::Day(day) => day,
            Self::Year(year) => Date::new(year, 12, 31).unwrap_or(Date::MAX),
        }
    }

    /// Its year.
    pub fn in_year(self) -> i16 {
        match self {
            Self::Day(day) => day.year(),
            Self::Year(year) => year,
        }
    }

    /// '7 April 1857', '1857'.
    pub fn words(self) -> String {
        match self {
            Self::Day(day) => say!("{day} {month} {year}", day = day.day(), month = month_name(day.month()), year = day.year()),
            Self::Year(year) => year.to_string(),
        }
    }

    /// '1857-04-07', '1857'.
    pub fn iso(self) -> String {
        match self {
            Self::Day(day) => day.to_string(),
            Self::Year(year) => year.to_string(),
        }
    }

    /// As a beginning: later ones last; of the same day, the one that names it.
    fn as_from(self) -> (Date, u8) {
        (self.first_day(), u8::from(matches!(self, Self::Day(_))))
    }

    /// As an end: later ones last; of the same day, the one that names it is the earlier.
    fn as_to(self) -> (Date, u8) {
        (self.last_day(), u8::from(matches!(self, Self::Year(_))))
    }
}

/// The name of a month, 1 to 12.
pub(super) fn month_name(month: i8) -> &'static str {
    u8::try_from(month).map_or("", crate::key::month)
}

/// A stretch of time; an end that is not known is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Span {
    /// Not before this.
    pub from: Option<Edge>,
    /// Not after this.
    pub to: Option<Edge>,
}

impl Span {
    /// All of time.
    pub const OPEN: Self = Self { from: None, to: None };

    /// From there on.
    pub const fn since(from: Edge) -> Self {
        Self { from: Some(from), to: None }
    }

    /// Up to there.
    pub const fn until(to: Edge) -> Self {
        Self { from: None, to: Some(to) }
    }

    /// That one day or year.
    pub const fn at(edge: Edge) -> Self {
        Self { from: Some(edge), to: Some(edge) }
    }

    /// What two dates of a paper or a rule bound.
    pub fn of_dates(from: Option<When>, to: Option<When>) -> Self {
        Self { from: from.and_then(|when| of_when(when).0), to: to.and_then(|when| of_when(when).1) }
    }

    /// True where nothing is bounded.
    pub const fn is_open(&self) -> bool {
        self.from.is_none() && self.to.is_none()
    }

    /// Its first day, the first of the calendar where it is open.
    pub fn first_day(&self) -> Date {
        self.from.map_or(Date::MIN, Edge::first_day)
    }

    /// Its last day, the last of the calendar where it is open.
    pub fn last_day(&self) -> Date {
        self.to.map_or(Date::MAX, Edge::last_day)
    }

    /// What lies in both; none where nothing does.
    #[must_use]
    pub fn and(&self, other: &Self) -> Option<Self> {
        let from = later(self.from, other.from);
        let to = earlier(self.to, other.to);
        let both = Self { from, to };
        (both.first_day() <= both.last_day()).then_some(both)
    }

    /// True where every day of it lies in `other`.
    pub fn within(&self, other: &Self) -> bool {
        other.first_day() <= self.first_day() && self.last_day() <= other.last_day()
    }

    /// '1884 or later', '1951 to 1958', 'not after 28 April 1952', 'in 1952', 'at any time'.
    pub fn words(&self) -> String {
        match (self.from, self.to) {
            (Some(from), Some(to)) if from == to => match from {
                Edge::Day(_) => say!("on {when}", when = from.words()),
                Edge::Year(_) => say!("in {when}", when = from.words()),
            },
            (Some(from), Some(to)) => say!("{from} to {to}", from = from.words(), to = to.words()),
            (Some(from), None) => say!("{when} or later", when = from.words()),
            (None, Some(to)) => say!("not after {when}", when = to.words()),
            (None, None) => say!("at any time").to_owned(),
        }
    }
}

/// The first and the last edge of a date as it is written. About a year: two years either way, a choice of this program.
fn of_when(when: When) -> (Option<Edge>, Option<Edge>) {
    match when {
        When::Day(year, month, day) => (Edge::day(year, month, day), Edge::day(year, month, day)),
        When::Month(year, month) => {
            let first = Edge::day(year, month, 1);
            (first, first.map(|edge| Edge::Day(edge.first_day().last_of_month())))
        }
        When::Year(year) => (Edge::year(year), Edge::year(year)),
        When::Circa(year) => (Edge::year(year.saturating_sub(2)), Edge::year(year.saturating_add(2))),
        When::Between(from, to) => (Edge::year(from), Edge::year(to)),
    }
}

fn later(a: Option<Edge>, b: Option<Edge>) -> Option<Edge> {
    match (a, b) {
        (Some(a), Some(b)) => Some(if a.as_from() >= b.as_from() { a } else { b }),
        (one, other) => one.or(other),
    }
}

fn earlier(a: Option<Edge>, b: Option<Edge>) -> Option<Edge> {
    match (a, b) {
        (Some(a), Some(b)) => Some(if a.as_to() <= b.as_to() { a } else { b }),
        (one, other) => one.or(other),
    }
}

/// Several spans of which one is right: sorted, apart from each other. None at all means that nothing fits.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Spans(Vec<Span>);

impl From<Span> for Spans {
    fn from(span: Span) -> Self {
        Self(vec![span])
    }
}

impl Spans {
    /// All of time.
    pub fn open() -> Self {
        Span::OPEN.into()
    }

    /// Sorted and joined where they overlap.
    pub fn of(spans: impl IntoIterator<Item = Span>) -> Self {
        let mut sorted: Vec<Span> = spans.into_iter().collect();
        sorted.sort_by_key(|span| (span.first_day(), span.from.map(Edge::as_from), span.last_day(), span.to.map(Edge::as_to)));
        let mut out: Vec<Span> = Vec::new();
        for span in sorted {
            match out.last_mut() {
                Some(last) if span.first_day() <= last.last_day() => {
                    if last.to.is_some() && (span.to.is_none() || span.to.map(Edge::as_to) > last.to.map(Edge::as_to)) {
                        last.to = span.to;
                    }
                }
                _ => out.push(span),
            }
        }
        Self(out)
    }

    /// The spans, earliest first.
    pub fn list(&self) -> &[Span] {
        &self.0
    }

    /// True where nothing fits.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// What lies in both.
    #[must_use]
    pub fn and(&self, other: &Self) -> Self {
        Self::of(self.0.iter().flat_map(|a| other.0.iter().filter_map(|b| a.and(b))))
    }

    /// From the first day to the last; all of time where nothing fits.
    pub fn hull(&self) -> Span {
        Span { from: self.0.first().and_then(|span| span.from), to: self.0.last().and_then(|span| span.to) }
    }

    /// True where every day of it lies in `other`.
    pub fn within(&self, other: &Self) -> bool {
        self.0.iter().all(|span| other.0.iter().any(|wide| span.within(wide)))
    }

    /// '1951, or 1977', '1884 or later'.
    pub fn words(&self) -> String {
        if self.0.is_empty() {
            return say!(in "a date", "never").to_owned();
        }
        self.0.iter().map(Span::words).collect::<Vec<_>>().join(say!(", or "))
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    fn years(from: i16, to: i16) -> Span {
        Span { from: Some(Edge::Year(from)), to: Some(Edge::Year(to)) }
    }

    #[test]
    fn spans_meet_and_miss_to_the_day() {
        let day = |y, m, d| Edge::day(y, m, d).unwrap();
        let until = Span::until(day(1952, 4, 28));
        assert_eq!(until.and(&Span::since(day(1952, 4, 29))), None);
        assert_eq!(until.and(&Span::since(day(1952, 4, 28))).unwrap().words(), "on 28 April 1952");
        assert_eq!(years(1951, 1958).and(&until).unwrap().words(), "1951 to 28 April 1952");
        assert_eq!(Span::since(Edge::Year(1884)).and(&Span::since(day(1884, 1, 1))).unwrap().words(), "1 January 1884 or later");
    }

    #[test]
    fn several_spans_are_sorted_and_joined() {
        let spans = Spans::of([years(1977, 1977), years(1951, 1952), years(1952, 1953)]);
        assert_eq!(spans.words(), "1951 to 1953, or in 1977");
        assert_eq!(spans.and(&Span::since(Edge::Year(1953)).into()).words(), "in 1953, or in 1977");
        assert_eq!(spans.hull(), years(1951, 1977));
        assert!(spans.and(&years(1960, 1970).into()).is_empty());
        assert_eq!(Spans::of([Span::since(Edge::Year(1860)), years(1858, 1861)]).hull(), Span::since(Edge::Year(1858)));
    }

    #[test]
    fn there_is_no_thirtieth_of_february() {
        assert_eq!(Edge::day(1957, 2, 30), None);
        assert_eq!(Edge::day(1957, 13, 1), None);
        assert_eq!(Edge::year(123_456), None);
        assert_eq!(Span::of_dates(Some(When::Month(1952, 2)), Some(When::Month(1952, 2))).words(), "1 February 1952 to 29 February 1952");
    }
}
