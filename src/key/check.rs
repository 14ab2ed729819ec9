//! What is wrong with what a key says.

use super::load::Texts;
use super::model::Key;
use super::problem::Problem;
use super::source::Source;

/// Everything that is wrong with a key that was read.
pub(crate) fn check(_key: &Key, _texts: &Texts, _source: &dyn Source) -> Vec<Problem> {
    Vec::new()
}
