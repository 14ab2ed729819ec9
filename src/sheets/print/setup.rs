//! What is printed on, and how it is folded.

use crate::sheets::page::Paper;
use jiff::civil::Date;

/// Whether pages are folded to a booklet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Fold {
    /// One page a side.
    #[default]
    Flat,
    /// Two pages a side of half the size, in the order in which the sheets are laid into each other and folded.
    Booklet,
}

/// How a sheet is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Setup {
    /// The paper.
    pub paper: Paper,
    /// How it is folded.
    pub fold: Fold,
    /// The day that is written on it; none where it says no day.
    pub day: Option<Date>,
}

impl Setup {
    /// A booklet is for paper: a phone shows its pages flat.
    pub(super) fn is_booklet(self) -> bool {
        self.fold == Fold::Booklet && self.paper != Paper::Phone
    }

    /// Width and height of a page in mm.
    pub(super) fn page_mm(self) -> (f64, f64) {
        let (width, height) = self.paper.size_mm();
        if self.is_booklet() { (height / 2.0, width) } else { (width, height) }
    }

    /// Margin in mm.
    pub(super) fn margin_mm(self) -> f64 {
        if self.is_booklet() { 10.0 } else { self.paper.margin_mm() }
    }
}
