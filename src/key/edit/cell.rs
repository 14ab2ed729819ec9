//! A record as the text of one cell, and back: how the value table shows and takes it.
//!
//! `round`, `usually round / sometimes oval`, `round 7 times / oval once`, `92 to 95.5`, `–` for what does not apply, and nothing for what is not recorded.

use crate::key::model::{Feature, FeatureKind, Key, Often, Record};
use crate::key::tables::quantity::{self, Customary, Decimal, ListUnit};
use crate::key::words::{NotFound, Words, fold};
use crate::key::{FeatureId, ValueId};
use crate::say;
use crate::words::{Language, decimal, spoken};
use indexmap::IndexMap;

/// The sign for 'does not apply'.
pub const DOES_NOT_APPLY: &str = "–";
/// What parts the values of a cell.
pub const BETWEEN_VALUES: &str = " / ";

/// Why a text is no record of a feature.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CellError {
    /// A value that the feature does not have.
    #[error("{0}")]
    Value(#[from] NotFound),
    /// No measure.
    #[error("{0}")]
    Measure(#[from] quantity::QuantityError),
    /// A value twice.
    #[error("{}", say!("'{what}' stands there twice", what = _0))]
    Twice(String),
    /// Counts beside words.
    #[error("{}", say!("write how many times for every value, or for none"))]
    Mixed,
    /// No feature of that id.
    #[error("{}", say!("there is no feature '{what}' in this key", what = _0))]
    NoFeature(FeatureId),
    /// Glazes, decorations and marks are claimed, each with how it is known.
    #[error("{}", say!("a {what} is claimed with how it is known: do that on the sheet of the form", what = _0))]
    Claimed(&'static str),
}

/// A record as the text of its cell.
pub fn text(key: &Key, feature: &Feature, record: Option<&Record>) -> String {
    let names = key.values_of(feature);
    let name = |id: &ValueId| names.iter().find(|(known, _)| known == id).map_or_else(|| id.to_string(), |(_, name)| name.clone());
    match record {
        None | Some(Record::NotRecorded) => String::new(),
        Some(Record::DoesNotApply) => DOES_NOT_APPLY.to_owned(),
        Some(Record::Always(value)) => name(value),
        Some(Record::Values(values)) => {
            let each = |(value, often): (&ValueId, &Often)| often.with(&name(value));
            values.iter().map(each).collect::<Vec<_>>().join(BETWEEN_VALUES)
        }
        Some(Record::Between(low, high)) if low.total_cmp(high).is_eq() => decimal(low.to_string()),
        Some(Record::Between(low, high)) => say!("{from} to {to}", from = decimal(low.to_string()), to = decimal(high.to_string())),
    }
}

/// The record that a text means; none where nothing is written. Measures may carry a unit ('9 1/4 in').
///
/// # Errors
/// Where the text is no record of that feature.
pub fn read(key: &Key, words: &Words, feature: &FeatureId, text: &str) -> Result<Option<Record>, CellError> {
    let Some(feature) = key.feature(feature) else { return Err(CellError::NoFeature(feature.clone())) };
    let text = text.trim();
    if text.is_empty() || fold(text) == "not recorded" || text == say!("not recorded") {
        return Ok(None);
    }
    if matches!(text, "–" | "-" | "—") || fold(text) == "does not apply" || text == say!("does not apply") {
        return Ok(Some(Record::DoesNotApply));
    }
    match &feature.kind {
        FeatureKind::Measure(measure) => {
            // A range and its decimals as they are shown.
            let (mark, text) = match spoken() {
                Language::English => (Decimal::Point, text.to_owned()),
                Language::German => (Decimal::Comma, text.replace(" bis ", " to ")),
            };
            let text = text.as_str();
            let found = quantity::parse(text, mark)?;
            let (low, high) = found.in_unit(measure.unit, ListUnit::Plain, Customary::default(), text)?;
            Ok(Some(Record::Between(low, high)))
        }
        FeatureKind::Choice(_) => values(words, feature, text),
        FeatureKind::Glaze => Err(CellError::Claimed("glaze")),
        FeatureKind::Decoration => Err(CellError::Claimed("decoration")),
        FeatureKind::Mark => Err(CellError::Claimed("mark")),
    }
}

fn values(words: &Words, feature: &Feature, text: &str) -> Result<Option<Record>, CellError> {
    let mut found: IndexMap<ValueId, Option<Often>> = IndexMap::new();
    // A whole text that is a value wins: a name may hold the sign that parts values.
    if let Ok(value) = words.value(&feature.id, text) {
        return Ok(Some(Record::Always(value)));
    }
    for piece in text.split(['/', '|', ';', '\n']).map(str::trim).filter(|piece| !piece.is_empty()) {
        let (often, name) = how_often(piece);
        let value = match (words.value(&feature.id, name), words.value(&feature.id, piece)) {
            (Ok(value), _) | (Err(_), Ok(value)) => value,
            (Err(error), Err(_)) => return Err(error.into()),
        };
        if found.insert(value, often).is_some() {
            return Err(CellError::Twice(name.to_owned()));
        }
    }
    let counted = found.values().flatten().filter(|often| often.times().is_some()).count();
    if counted > 0 && counted < found.len() {
        return Err(CellError::Mixed);
    }
    let alone = found.len() == 1;
    let filled: IndexMap<ValueId, Often> = found
        .into_iter()
        .enumerate()
        .map(|(at, (value, often))| {
            // Of several without a word the first is the usual one.
            let otherwise = if alone {
                Often::Always
            } else if at == 0 {
                Often::Usually
            } else {
                Often::Sometimes
            };
            (value, often.unwrap_or(otherwise))
        })
        .collect();
    Ok(match filled.first() {
        None => None,
        Some((value, Often::Always)) if alone => Some(Record::Always(value.clone())),
        Some(_) => Some(Record::Values(filled)),
    })
}

/// The word for how often, and the name without it.
fn how_often(piece: &str) -> (Option<Often>, &str) {
    let english = [("always", Often::Always), ("usually", Often::Usually), ("sometimes", Often::Sometimes)];
    let spoken = [(say!("always"), Often::Always), (say!("usually"), Often::Usually), (say!("sometimes"), Often::Sometimes)];
    for (word, often) in english.into_iter().chain(spoken) {
        let word = format!("{word} ");
        if let Some(name) = piece.get(..word.len()).filter(|start| start.eq_ignore_ascii_case(&word)).and_then(|_| piece.get(word.len()..))
        {
            return (Some(often), name.trim());
        }
    }
    let (once, twice) = (Often::Times(1).words(), Often::Times(2).words());
    if let Some(name) = piece.strip_suffix(" once").or_else(|| piece.strip_suffix(once.as_str())?.strip_suffix(' ')) {
        return (Some(Often::Times(1)), name.trim());
    }
    let counted = twice.strip_prefix('2').unwrap_or(" times");
    let count = |name: &'_ str, digits: &str| digits.parse().ok().map(|n| (Some(Often::Times(n)), name.trim().len()));
    let times = piece
        .strip_suffix(" times")
        .or_else(|| piece.strip_suffix(counted))
        .and_then(|rest| rest.rsplit_once(' '))
        .or_else(|| piece.rsplit_once('×'))
        .and_then(|(name, digits)| count(name, digits.trim()));
    match times {
        Some((often, length)) => (often, piece.get(..length).unwrap_or(piece)),
        None => (None, piece),
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use crate::key::builtin;

    #[track_caller]
    fn check(feature: &str, text: &str, expected: &str) {
        let key = builtin::demo().key;
        let words = Words::new(&key);
        let said = match read(&key, &words, &feature.into(), text) {
            Ok(record) => super::text(&key, key.feature(&feature.into()).unwrap(), record.as_ref()),
            Err(error) => format!("! {error}"),
        };
        assert_eq!(said, expected, "{text}");
    }

    #[test]
    fn cells_are_read_as_a_person_writes_them() {
        check("lid-outline", "round", "round");
        check("lid-outline", " ROUND ", "round");
        check("lid-outline", "oval / round", "usually oval / sometimes round");
        check("lid-outline", "always oval", "oval");
        check("lid-outline", "Sometimes round|usually oval", "sometimes round / usually oval");
        check("lid-outline", "round 7 times / oval once", "round 7 times / oval once");
        check("lid-outline", "round ×7; oval ×2", "round 7 times / oval 2 times");
        check("lid-outline", "", "");
        check("lid-outline", "-", "–");
        check("lid-outline", "does not apply", "–");
        check("height", "92", "92");
        check("height", "92-95.5", "92 to 95.5");
        check("height", "9.2 cm", "92");
    }

    #[test]
    fn what_is_no_record_is_said() {
        check("lid-outline", "round / round", "! 'round' stands there twice");
        check("lid-outline", "round 7 times / oval", "! write how many times for every value, or for none");
        check("no-such", "round", "! there is no feature 'no-such' in this key");
        let key = builtin::demo().key;
        let words = Words::new(&key);
        assert!(matches!(read(&key, &words, &"lid-outline".into(), "rownd"), Err(CellError::Value(_))));
        assert!(matches!(read(&key, &words, &"height".into(), "tall"), Err(CellError::Measure(_))));
    }

    #[test]
    fn every_record_of_the_demo_key_comes_back_from_its_cell() {
        let key = builtin::demo().key;
        let words = Words::new(&key);
        let mut read_back = 0;
        for form in &key.forms {
            for (id, record) in &form.features {
                let Some(feature) = key.feature(id) else { continue };
                if matches!(feature.kind, FeatureKind::Choice(_) | FeatureKind::Measure(_)) {
                    let cell = text(&key, feature, Some(record));
                    let again = read(&key, &words, id, &cell).unwrap();
                    assert_eq!(again.as_ref().unwrap_or(&Record::NotRecorded), record, "{} {id}: {cell}", form.id);
                    read_back += 1;
                }
            }
        }
        assert!(read_back > 500, "{read_back} records");
    }
}
