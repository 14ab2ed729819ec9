//! Every piece of evidence as a date interval with its reasons.
//!
//! [`Rules`] hold what is published (`assets/dating.ron`); [`code`] reads the house codes of a key; [`diamond`] reads British registration
//! marks. All of them give [`Evidence`], and [`Dating`] puts that together: what is law or stands in a paper bounds the interval, custom
//! narrows it within that, hints only shift where it is likely. What excludes each other is shown as a [`Clash`], never averaged.

mod clash;
pub mod code;
mod combine;
pub mod diamond;
mod evidence;
mod known;
mod load;
mod number;
mod pattern;
mod read;
mod rules;
mod said;
mod span;
mod words;
mod years;

pub use clash::{Cause, Clash, Explanation};
pub use combine::{Dated, Dating, Role};
pub use evidence::{Evidence, Firmness, Known, MarkPut, Origin, Thing, Weighs};
pub use known::{of_decoration, of_form, of_mark, of_sale};
pub use load::LoadedRules;
pub use read::{Reading, TextRead, Unread};
pub use rules::Rules;
pub use said::{Gathered, Said};
pub use span::{Edge, Span, Spans};
