//! Counting into the record of a feature.

use super::{Change, PIECES_FOR_WORDS, Tally};
use crate::key::{Often, Record, ValueId};
use indexmap::IndexMap;

/// What the pieces would change of a record; nothing where they only agree with it.
pub(super) fn change(before: Option<&Record>, tally: &Tally) -> Option<Change> {
    let after = if tally.measured.is_empty() { counted(before, tally)? } else { widened(before, &tally.measured)? };
    (before != Some(&after)).then(|| Change::Record { before: before.filter(|r| **r != Record::NotRecorded).cloned(), after })
}

fn counted(before: Option<&Record>, tally: &Tally) -> Option<Record> {
    let pieces: u32 = tally.values.values().sum();
    let mut counts: IndexMap<ValueId, Often> = IndexMap::new();
    match before {
        Some(Record::Values(values)) if values.values().all(|often| often.times().is_some()) => counts.clone_from(values),
        // The finds say what words only guess at; but a few pieces that agree say less than the keeper knows.
        Some(Record::Values(values)) => {
            let agree = tally.values.keys().all(|seen| values.contains_key(seen.as_str()));
            if agree && pieces < PIECES_FOR_WORDS {
                return None;
            }
            counts.extend(values.iter().map(|(value, often)| (value.clone(), in_pieces(*often))));
        }
        Some(Record::Always(value)) => {
            if tally.values.keys().all(|seen| seen == value.as_str()) {
                return None;
            }
            counts.insert(value.clone(), in_pieces(Often::Always));
        }
        Some(Record::NotRecorded) | None => {}
        // A record of another kind is for the key's check to complain of, and 'does not apply' for the keeper to think over.
        Some(Record::Between(..) | Record::DoesNotApply) => return None,
    }
    for (value, &pieces) in &tally.values {
        let entry = counts.entry(ValueId::new(value.as_str())).or_insert(Often::Times(0));
        *entry = Often::Times(entry.times().unwrap_or(0).saturating_add(pieces));
    }
    (!counts.is_empty()).then_some(Record::Values(counts))
}

/// What a word is worth.
fn in_pieces(often: Often) -> Often {
    Often::Times(often.times().unwrap_or((often.weight() * f64::from(PIECES_FOR_WORDS)).round() as u32))
}

/// A range that holds the measured values, as far as their ± does not explain them.
fn widened(before: Option<&Record>, measured: &[(f64, f64)]) -> Option<Record> {
    let least = measured.iter().map(|m| m.0).fold(f64::INFINITY, f64::min);
    let greatest = measured.iter().map(|m| m.0).fold(f64::NEG_INFINITY, f64::max);
    match before {
        Some(Record::Between(lo, hi)) => {
            let lower = measured.iter().filter(|(x, plus_minus)| x + plus_minus < *lo).map(|m| m.0).fold(*lo, f64::min);
            let higher = measured.iter().filter(|(x, plus_minus)| x - plus_minus > *hi).map(|m| m.0).fold(*hi, f64::max);
            Some(Record::Between(lower, higher))
        }
        Some(Record::NotRecorded) | None => Some(Record::Between(least, greatest)),
        Some(Record::Always(_) | Record::Values(_) | Record::DoesNotApply) => None,
    }
}
