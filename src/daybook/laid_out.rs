//! What a find is listed and found by, made of the find.

use super::find::{Find, PhotoKind, Standing};
use super::fold::fold;
use super::record::{Price, Record};
use crate::identify::{Piece, Seen};

/// How sure the naming is, for sorting: nothing said below several left, those below what leads, that below what is settled.
pub(super) fn sure(find: &Find) -> f64 {
    let rank = match find.standing {
        Standing::Nothing => 0.0,
        Standing::Contradiction => 1.0,
        Standing::NotInKey => 2.0,
        Standing::Narrowing => 3.0,
        Standing::Leaning => 4.0,
        Standing::Settled => 5.0,
    };
    rank * 2.0 + find.probability.unwrap_or(0.0)
}

/// All words a find is found by.
pub(super) fn search_text(find: &Find) -> String {
    let condition = find.piece.condition.search_text();
    let mut words = vec![find.verdict.as_str(), &find.box_label, &find.note, &find.key.title, &condition];
    if let Some(named) = &find.named {
        words.extend([named.form_name.as_str(), named.line_name.as_str()]);
    }
    for photograph in &find.photographs {
        words.push(&photograph.caption);
        if photograph.kind == PhotoKind::Damage {
            words.push("damage");
        }
    }
    let Record { status, place_found, paid, asked, glazes, decoration, mark, made, measures, .. } = &find.record;
    let years = made.words();
    let prices: Vec<String> = [paid, asked].into_iter().flatten().map(Price::to_string).collect();
    words.push(place_found);
    words.extend(glazes.values().chain(decoration).chain(mark).map(|called| called.name.as_str()));
    words.extend(prices.iter().map(String::as_str));
    words.extend(measures.iter().flat_map(|measure| [measure.what.as_str(), measure.value.as_str()]));
    // By the word it is stored by too, whatever language was spoken when it was put in.
    words.extend([years.as_str(), status.stored(), status.words()]);
    fold(&words.join(" "))
}

/// What a piece is called and where it lies: words that count for more than those of a note where finds are put in order by what is searched for.
/// A space stands before each.
pub(super) fn names_text(find: &Find) -> String {
    let Record { place_found, glazes, decoration, mark, .. } = &find.record;
    let mut words: Vec<&str> = glazes.values().chain(decoration).chain(mark).map(|called| called.name.as_str()).collect();
    if let Some(named) = &find.named {
        words.extend([named.form_name.as_str(), named.line_name.as_str()]);
    }
    words.extend([find.box_label.as_str(), place_found]);
    format!(" {} ", fold(&words.join(" ")))
}

/// Begins and ends an answer in [`said_alone`], and stands between its feature and its value. Ids have neither.
const ENDS: char = '\n';
const IS: char = '\t';

/// The answers that name one value and no other, feature and value each: what the census counts by.
pub(super) fn said_alone(piece: &Piece) -> String {
    let mut text = String::new();
    for observation in &piece.observations {
        let Seen::Values(values) = &observation.seen else { continue };
        let ([value], feature) = (values.as_slice(), observation.feature.as_str()) else { continue };
        if text.is_empty() {
            text.push(ENDS);
        }
        text.extend([feature, "\t", value.as_str(), "\n"]);
    }
    text
}

/// What stands before the value of a feature in [`said_alone`].
pub(super) fn before_value(feature: &str) -> String {
    format!("{ENDS}{feature}{IS}")
}

/// What [`said_alone`] has where a feature was seen to be of one value.
pub(super) fn of_value(feature: &str, value: &str) -> String {
    format!("{ENDS}{feature}{IS}{value}{ENDS}")
}

/// The one value that was seen of a feature, by what stands [before it](before_value).
pub(super) fn value_in<'t>(said: &'t str, before_value: &str) -> Option<&'t str> {
    let (_, rest) = said.split_once(before_value)?;
    rest.split(ENDS).next()
}
