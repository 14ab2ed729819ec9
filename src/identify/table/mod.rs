//! A table of forms × features in the smallest shape on which everything runs: narrowing, posterior and the sums behind every next look.
//!
//! A feature is a *column* of pattern numbers, one a form (two forms with the same record share a pattern). A [`Table`] holds them
//! bundled: columns whose pattern counts multiply to a few thousand are written as one number a form, so that one addition a form and
//! bundle serves several columns. [`Bits`] hold the forms that an answer leaves, and [`Slips`] count the answers against each form, 64
//! forms at a time.
//!
//! Sums are in double precision, over blocks of forms that do not depend on the number of threads: the same table and the same answers
//! give the same bits on every machine.

mod bits;
mod bundle;
mod gather;
mod rows;
mod weigh;

pub use bits::{Bits, Slips};
pub use bundle::Table;
pub use gather::Sums;
pub use weigh::{Answer, Weights};
