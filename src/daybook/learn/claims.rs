//! Counting into what a form is claimed in: glazes, decorations, marks.

use super::Claims;
use crate::key::{Held, How, Often};
use std::collections::BTreeMap;

/// What the pieces would change of the claims; nothing where all of them are known as seen and none is counted.
pub(super) fn change<Id: Clone + PartialEq + for<'a> From<&'a str> + AsRef<str>>(
    before: &[Held<Id>],
    seen: &BTreeMap<String, u32>,
) -> Option<Claims<Id>> {
    let counting = !before.is_empty() && before.iter().all(|held| held.often.times().is_some());
    let mut after = before.to_vec();
    for (value, &pieces) in seen {
        match after.iter_mut().find(|held| held.id.as_ref() == value) {
            Some(held) => {
                // A piece in the hand beats what was suspected, inferred, read in a paper or refuted.
                held.how = How::Seen;
                if let Some(n) = held.often.times() {
                    held.often = Often::Times(n.saturating_add(pieces));
                }
            }
            None => after.push(Held {
                id: Id::from(value.as_str()),
                often: if counting || before.is_empty() { Often::Times(pieces) } else { Often::Sometimes },
                how: How::Seen,
                papers: Vec::new(),
                note: String::new(),
            }),
        }
    }
    (after != before).then(|| Claims { before: before.to_vec(), after })
}
