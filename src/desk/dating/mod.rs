//! What dates the piece in hand: words of its mark, a registered number, a diamond, a date code, a sale; every piece of evidence as a bar over the years,
//! with its reason and its source, and the interval that they leave together.
//!
//! `said` takes down what is seen (`diamond` as a drawing of the mark itself), `timeline` draws the bars. What was said is part of the piece in
//! hand: each change is a step that can be undone, it goes into the daybook with the find, and it bears on the forms as the answers do.

mod diamond;
mod result;
mod said;
mod timeline;
mod view;

pub(super) use timeline::{Scale, axis_ui};
pub use view::{DatingView, dating_ui};
