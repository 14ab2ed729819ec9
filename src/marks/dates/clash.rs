//! Evidence that excludes each other, and what most often lies behind that.

use super::evidence::{Evidence, Origin, Thing};
use super::span::Span;
use crate::say;

/// Two pieces of evidence that cannot both be right of one thing.
#[derive(Debug, Clone, PartialEq)]
pub struct Clash {
    /// Of what.
    pub thing: Thing,
    /// The numbers of the pieces of evidence in the dating, the earlier one first.
    pub between: Vec<usize>,
    /// What it is, in a sentence.
    pub says: String,
    /// What may lie behind it, likeliest first.
    pub explanations: Vec<Explanation>,
}

/// What may lie behind a clash.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// What.
    pub cause: Cause,
    /// In words.
    pub says: String,
    /// What is then left of the thing's dates.
    pub leaves: Span,
}

/// A common cause of a clash.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Cause {
    /// A piece from old stock was decorated or marked later.
    OldStock,
    /// The mark was used past its date.
    MarkPastItsDate,
    /// Parts that did not start life together.
    Marriage,
    /// A code, number or word was misread.
    Misread,
    /// A later copy of an older mark.
    Copy,
}

impl Cause {
    /// 'old-stock', for programs.
    pub const fn word(self) -> &'static str {
        match self {
            Self::OldStock => "old-stock",
            Self::MarkPastItsDate => "mark-past-its-date",
            Self::Marriage => "marriage",
            Self::Misread => "misread",
            Self::Copy => "later-copy",
        }
    }
}

/// The clash of two pieces of evidence, by their numbers, with what each leaves of the thing.
pub(super) fn clash(thing: Thing, one: (usize, &Evidence, Span), other: (usize, &Evidence, Span)) -> Clash {
    let key = |x: &(usize, &Evidence, Span)| (x.2.last_day(), x.2.first_day());
    let (early, late) = if key(&one) <= key(&other) { (one, other) } else { (other, one) };
    let mut explanations = Vec::new();
    let mut add = |cause: Cause, says: String, leaves: Span| explanations.push(Explanation { cause, says, leaves });
    let (e, l) = (early.1, late.1);
    let of_the_mark = |x: &Evidence| matches!(x.origin, Origin::Wording | Origin::MarkYears | Origin::DateCode);
    if e.origin == Origin::FormYears && (l.dates == Thing::Decoration || of_the_mark(l)) {
        add(Cause::OldStock, say!("a piece of old stock was decorated or marked later").to_owned(), early.2);
    }
    if of_the_mark(e) && e.origin != Origin::DateCode {
        add(Cause::MarkPastItsDate, say!("the mark was used past its date").to_owned(), late.2);
    }
    for (bad, good) in [(&early, &late), (&late, &early)] {
        if matches!(bad.1.origin, Origin::Diamond | Origin::RegisteredNumber | Origin::DateCode | Origin::Wording) {
            let says = say!("{what} was misread ({says})", what = bad.1.origin.words(), says = bad.1.says);
            add(Cause::Misread, says, good.2);
        }
    }
    if e.origin != l.origin && (e.origin == Origin::FormYears || l.origin == Origin::FormYears || e.dates != l.dates) {
        add(Cause::Marriage, say!("the parts did not start life together, and each dates its own").to_owned(), Span::OPEN);
    }
    if of_the_mark(e) && l.origin == Origin::Wording {
        add(Cause::Copy, say!("it is a later copy of an older mark").to_owned(), late.2);
    }
    if explanations.is_empty() {
        explanations.push(Explanation {
            cause: Cause::Misread,
            says: say!("one of the two was misread or is wrong").to_owned(),
            leaves: Span::OPEN,
        });
    }
    let says = say!("{one} and {other} can't both be right of {thing}", one = e.says, other = l.says, thing = thing.words());
    Clash { thing, between: vec![early.0, late.0], says, explanations }
}
