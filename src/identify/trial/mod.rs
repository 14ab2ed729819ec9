//! Testing a key by itself: many pieces made up from its own record, each named by the engine that does not know what it is.
//!
//! A made-up piece has one of the values its form is recorded with, by their shares; a measure anywhere in the recorded range, with the give
//! of firing and the error of the rule; now and then it is misread at the feature's slip rate, can't be read at all, has lost its lid, or
//! bears a worn mark. [`run`] names them all and reports how often the right form came out, how far the probabilities can be believed, and
//! which forms were taken for which.
//!
//! A trial says how well a key can do if its record is right. It can't say whether the record is right.

mod calibration;
mod capacity;
mod draw;
mod piece;
mod report;
mod share;
mod worn;

pub use calibration::{Bin, Calibration};
pub use report::{Confusion, FormResult, Looks, Report, Strangers};
pub use share::Share;

use super::{Index, Settings};
use crate::key::Key;
use draw::Maker;
use piece::{Named, name_piece};
use rayon::prelude::*;
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicUsize, Ordering};

/// How the looks at a made-up piece follow each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// So many looks, at features in an order drawn anew for each piece.
    AnyOrder {
        /// Number of looks; fewer where the key has fewer features.
        looks: usize,
    },
    /// The engine's own next look each time, until the name is settled or nothing is left to look at.
    Guided {
        /// Most looks.
        most: usize,
    },
}

/// What is tried, and how rough the pieces are. All shares are 0 to 1; other numbers are held to that.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Options {
    /// Made-up pieces of each form.
    pub pieces: usize,
    /// How they are looked at.
    pub way: Way,
    /// The slip rate of each feature is multiplied by this (1: as the key says, 0: no slips).
    pub slips: f64,
    /// Share of looks that end in 'can't tell'.
    pub unread: f64,
    /// Share of pieces with a lid that have lost it.
    pub lost_lids: f64,
    /// Share of marks that are worn, so that a part of their wording is read and not which mark it is.
    pub worn: f64,
    /// Forms that are left out of the key in turn, their pieces being strangers to it; spread evenly over all. 0: no strangers are tried.
    pub left_out: usize,
    /// What the dice start from. The same key, settings, options and seed give the same report on any number of threads.
    pub seed: u64,
}

impl Options {
    /// What suits a key of so many forms: 100 pieces of each form, fewer where that would be more than 10 000 pieces, looked at in the engine's own
    /// order; one look in twenty can't be told, one lid in twenty is lost, three marks in ten are worn; 20 forms are left out in turn, in a
    /// key of more than 1000 forms only 3. The shares are choices of this program, no source.
    pub fn for_forms(forms: usize) -> Self {
        Self {
            pieces: (10_000 / forms.max(1)).clamp(1, 100),
            way: Way::Guided { most: 20 },
            slips: 1.0,
            unread: 0.05,
            lost_lids: 0.05,
            worn: 0.3,
            left_out: if forms > 1000 { 3 } else { 20 },
            seed: 1,
        }
    }

    /// Nothing but the engine's own model: no 'can't tell', every lid there, every mark named, no strangers.
    #[must_use]
    pub fn by_the_book(self) -> Self {
        Self { slips: 1.0, unread: 0.0, lost_lids: 0.0, worn: 0.0, left_out: 0, ..self }
    }

    fn sane(mut self) -> Self {
        let share = |x: f64| if x.is_finite() { x.clamp(0.0, 1.0) } else { 0.0 };
        self.slips = if self.slips.is_finite() { self.slips.max(0.0) } else { 1.0 };
        (self.unread, self.lost_lids, self.worn) = (share(self.unread), share(self.lost_lids), share(self.worn));
        self
    }
}

/// Tries a key. `watch` is told how many pieces of how many are done, from any thread, and can stop the trial.
///
/// None where it was stopped. A key without forms gives an empty report.
pub fn run(key: &Key, settings: Settings, options: Options, watch: &(dyn Fn(usize, usize) -> ControlFlow<()> + Sync)) -> Option<Report> {
    let options = options.sane();
    let index = Index::with(key, settings);
    let maker = Maker::new(&index, key, options);
    let left_out = spread_evenly(index.len(), if index.len() > 1 { options.left_out } else { 0 });
    let all = (index.len() + left_out.len()) * options.pieces;
    let done = AtomicUsize::new(0);
    let try_form = |asked: &Index, form: usize, stranger: bool| -> Option<Vec<Named>> {
        (0..options.pieces)
            .map(|trial| {
                let named = name_piece(asked, &maker, form, trial, stranger, options);
                watch(done.fetch_add(1, Ordering::Relaxed) + 1, all).is_continue().then_some(named)
            })
            .collect()
    };
    // In the order of the forms whatever the order in which they are done, so that sums agree to the last bit.
    let known: Option<Vec<Vec<Named>>> = (0..index.len()).into_par_iter().map(|form| try_form(&index, form, false)).collect();
    let known = known?;
    let strange: Option<Vec<(usize, Vec<Named>)>> = left_out
        .into_par_iter()
        .map(|form| {
            let mut less = key.clone();
            let id = index.forms.get(form).map(|entry| entry.id.clone());
            less.forms.retain(|other| Some(&other.id) != id.as_ref());
            let asked = Index::with(&less, settings);
            Some((form, try_form(&asked, form, true)?))
        })
        .collect();
    Some(report::report(&index, &maker, options, &known, &strange?))
}

/// So many numbers below `n`, as evenly spread as can be, each once.
fn spread_evenly(n: usize, wanted: usize) -> Vec<usize> {
    let wanted = wanted.min(n);
    (0..wanted).map(|i| (2 * i + 1) * n / (2 * wanted)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_forms_left_out_are_spread_over_all() {
        assert_eq!(spread_evenly(10, 5), [1, 3, 5, 7, 9]);
        assert_eq!(spread_evenly(3, 9), [0, 1, 2]);
        assert_eq!(spread_evenly(82, 1), [41]);
        assert!(spread_evenly(0, 4).is_empty() && spread_evenly(4, 0).is_empty());
    }

    #[test]
    fn shares_that_are_none_are_held_to_0_and_1() {
        let odd = Options { slips: f64::NAN, unread: 7.0, lost_lids: -1.0, worn: f64::INFINITY, ..Options::for_forms(5) };
        let sane = odd.sane();
        let bits = |shares: [f64; 4]| shares.map(f64::to_bits);
        assert_eq!(bits([sane.slips, sane.unread, sane.lost_lids, sane.worn]), bits([1.0, 1.0, 0.0, 0.0]));
    }
}
