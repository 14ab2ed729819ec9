//! Numbers of a register: the year in which one was given.

use super::read::Digits;
use super::span::{Edge, Span};
use crate::key::{ProblemKind, Step};
use crate::say;
use serde::Deserialize;

/// The first number of each year of a register.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct NumberTable {
    /// What was registered: 'design', 'patent'.
    pub(super) what: String,
    /// Year and its first number, rising. Years may be left out.
    pub(super) first: Vec<(i32, u64)>,
    /// Rows that are only remembered, in the same way.
    #[serde(default)]
    pub(super) from_memory: Vec<(i32, u64)>,
    /// Years by which an answer is widened.
    #[serde(default)]
    pub(super) give_years: i32,
}

/// No register ever had numbers of more figures. A choice of this program.
const MOST_FIGURES: usize = 8;

/// What a number of a register says.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Registered {
    /// In words: 'registered about 1909'.
    pub(super) says: String,
    /// From when on a piece that bears it can have been made.
    pub(super) since: Span,
    /// A later beginning by rows that are only remembered.
    pub(super) remembered: Option<Span>,
}

impl NumberTable {
    pub(super) fn check(&self, found: &mut Vec<(Vec<Step>, ProblemKind)>) {
        let steps = || vec![Step::Field("reads"), Step::Field("first")];
        if self.first.is_empty() {
            found.push((steps(), ProblemKind::NothingIn { what: say!("the table of numbers"), expected: say!("one year or more") }));
        }
        for rows in [&self.first, &self.from_memory] {
            for pair in rows.windows(2) {
                if let [(a, n), (b, m)] = pair
                    && (a >= b || n >= m)
                {
                    let (from, to) = (format!("{a} ({n})"), format!("{b} ({m})"));
                    found.push((steps(), ProblemKind::Backwards { what: say!("the numbers"), from, to }));
                }
            }
        }
    }

    /// What a number says, of which figures may be unread.
    ///
    /// # Errors
    /// In a sentence, where there is no such number.
    pub(super) fn read(&self, digits: &Digits) -> Result<Registered, String> {
        let shown = digits.shown();
        if digits.len() > MOST_FIGURES {
            return Err(say!(
                "'{shown}' has {figures} figures, no {what} number has more than {most} (look again)",
                shown,
                figures = digits.len(),
                what = self.what,
                most = MOST_FIGURES
            ));
        }
        let (Some(low), Some(high)) = (digits.least(), digits.most()) else {
            return Err(say!("'{shown}' is no whole number (write figures, '?' for one that can't be read)", shown));
        };
        let begins = self.first.first().map_or(1, |row| row.1);
        if high < begins {
            return Err(say!("there is no {what} number {shown} (the numbers begin at {begins})", what = self.what, shown, begins));
        }
        let low = low.max(begins);
        let (Some(first), Some(last)) = (year_of(&self.first, low), year_of(&self.first, high)) else {
            return Err(say!("'{shown}' is in no table of {what} numbers", shown, what = self.what));
        };
        let beyond = self.first.last().is_some_and(|row| high >= row.1);
        let next = |year: i32| self.first.iter().find(|row| row.0 > year).map(|row| row.0 - 1);
        let last = next(last).unwrap_or(last);
        let says = match (first == last, beyond) {
            (true, true) => say!("{what} number {shown}: {first} or later, beyond this list", what = self.what, shown, first),
            (false, true) => say!(
                "{what} number {shown}: between {first} and some time beyond this list, which ends in {last}",
                what = self.what,
                shown,
                first,
                last
            ),
            (true, false) => say!("{what} number {shown}: {first} by the list", what = self.what, shown, first),
            (false, false) => say!("{what} number {shown}: {first} to {last} by the list", what = self.what, shown, first, last),
        };
        let since = |year: i32| Edge::year(year - self.give_years).map_or(Span::OPEN, Span::since);
        let remembered = year_of(&self.from_memory, low).filter(|year| *year > first).map(since);
        Ok(Registered { says, since: since(first), remembered })
    }
}

/// The year of the last row that is not past the number.
fn year_of(rows: &[(i32, u64)], number: u64) -> Option<i32> {
    rows.iter().take_while(|(_, first)| *first <= number).last().map(|(year, _)| *year)
}
