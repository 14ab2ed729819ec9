//! The words a person types for what they see: `lid outline=round`, `height=92±2`, `clay=buff|red`, `mark=MARROW… OV?N`, `glaze=#c8b08a`, `rim=?`.

use super::measure::default_plus_minus;
use super::piece::{MarkSeen, Measured, Observation, Seen, Sure};
use crate::colour::Lab;
use crate::key::words::{NotFound, Words};
use crate::key::{Feature, FeatureKind, Key, Layout};
use crate::marks::{Looks, TypedError, check_typed};
use crate::say;
use thiserror::Error;

/// How uncertain a typed colour is where nothing is said of it: ΔE00, one standard deviation. A choice of this program, no source.
const TYPED_SPREAD: f64 = 2.0;

/// Why typed words are no observation.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum SeeError {
    /// There is no `=`.
    #[error("{}", say!("'{what}' does not say what was seen (write feature=value, for example \"lid outline=round\")", what = _0))]
    NoEquals(String),
    /// Nothing stands after the `=`.
    #[error("{}", say!("nothing is said of '{what}' (write what was seen after the =, or ? where it can't be told)", what = _0))]
    Empty(String),
    /// A name that the key does not have.
    #[error(transparent)]
    Unknown(#[from] NotFound),
    /// No number where one is needed.
    #[error("{}", say!("{feature} '{text}' is not a number of {unit} (write 92 or 92±2)", feature, text, unit))]
    NotANumber {
        /// The feature.
        feature: String,
        /// As written.
        text: String,
        /// The unit in words.
        unit: &'static str,
    },
    /// A colour that is none, or for a feature without colours.
    #[error("{}", say!("'{what}' is not a colour that {other} can have (write #c8b08a or lab(72, 4, 20))", what = _0, other = _1))]
    NotAColour(String, String),
    /// A wording that can't be looked for.
    #[error(transparent)]
    Wording(#[from] TypedError),
}

/// Reads `feature=what was seen` by the names of a key.
///
/// A trailing `~` means 'probably'; `none` means that there is no such thing on the piece; `?` that it can't be told.
///
/// # Errors
///
/// [`SeeError`], with the nearest names where one is not known.
pub fn see(key: &Key, words: &Words, text: &str) -> Result<Observation, SeeError> {
    let (feature, seen) = text.split_once('=').ok_or_else(|| SeeError::NoEquals(text.trim().to_owned()))?;
    let id = words.feature(feature.trim())?;
    match key.feature(&id) {
        Some(feature) => answer(key, words, feature, seen),
        None => Err(SeeError::NoEquals(text.trim().to_owned())),
    }
}

/// Reads what was seen of a feature.
///
/// # Errors
///
/// As [`see`].
pub fn answer(key: &Key, words: &Words, feature: &Feature, typed: &str) -> Result<Observation, SeeError> {
    let typed = typed.trim();
    let (typed, sure) = match typed.strip_suffix('~') {
        Some(rest) => (rest.trim(), Sure::Probably),
        None => (typed, Sure::Sure),
    };
    let seen = match typed {
        "" => return Err(SeeError::Empty(feature.shown_name())),
        "?" => Seen::NotSure,
        _ => match &feature.kind {
            FeatureKind::Measure(measure) => measured(feature, measure.give_percent.unwrap_or(key.about.give_percent), typed)?,
            FeatureKind::Mark => mark(words, feature, typed)?,
            FeatureKind::Choice(_) | FeatureKind::Glaze | FeatureKind::Decoration => chosen(words, feature, typed)?,
        },
    };
    Ok(Observation { feature: feature.id.clone(), seen, sure })
}

fn chosen(words: &Words, feature: &Feature, typed: &str) -> Result<Seen, SeeError> {
    if typed.starts_with('#') || typed.to_lowercase().starts_with("lab(") {
        let has_colours = match &feature.kind {
            FeatureKind::Glaze => true,
            FeatureKind::Choice(values) => values.iter().any(|value| value.lab.is_some()),
            _ => false,
        };
        return match colour(typed).filter(|_| has_colours) {
            Some(lab) => Ok(Seen::Colour { lab, spread: TYPED_SPREAD }),
            None => Err(SeeError::NotAColour(typed.to_owned(), feature.shown_name())),
        };
    }
    let mut values = Vec::new();
    for name in typed.split('|').map(str::trim).filter(|name| !name.is_empty()) {
        match words.value(&feature.id, name) {
            Ok(value) if !values.contains(&value) => values.push(value),
            Ok(_) => {}
            // 'none' is a word of its own only where no value is called so.
            Err(_) if is_none(name) => return Ok(Seen::NotThere),
            Err(error) => return Err(error.into()),
        }
    }
    if values.is_empty() { Err(SeeError::Empty(feature.shown_name())) } else { Ok(Seen::Values(values)) }
}

/// True for 'none', in English or as it is said.
fn is_none(typed: &str) -> bool {
    typed.eq_ignore_ascii_case("none") || typed.eq_ignore_ascii_case(say!(in "a part", "none"))
}

/// A mark by its name in the key, else by the wording that can be read.
fn mark(words: &Words, feature: &Feature, typed: &str) -> Result<Seen, TypedError> {
    let named: Result<Vec<_>, _> = typed.split('|').map(|name| words.value(&feature.id, name.trim())).collect();
    match named {
        Ok(values) if !values.is_empty() => return Ok(Seen::Values(values)),
        _ if is_none(typed) => return Ok(Seen::NotThere),
        _ => {}
    }
    let seen = mark_seen(typed).unwrap_or_else(|| MarkSeen { wording: typed.to_owned(), looks: Looks::default() });
    if seen.looks.is_empty() || !seen.wording.is_empty() {
        check_typed(&seen.wording)?;
    }
    Ok(seen.seen())
}

/// A wording, and after it how the mark looks: 'OV?N PROOF; oval; in green'. None where what follows a ';' is neither a layout nor an ink.
fn mark_seen(typed: &str) -> Option<MarkSeen> {
    let mut parts = typed.split(';').map(str::trim);
    let mut seen = MarkSeen { wording: parts.next()?.to_owned(), looks: Looks::default() };
    for part in parts {
        match Layout::ALL.into_iter().find(|layout| layout.word() == part.to_lowercase()) {
            Some(layout) => seen.looks.layout = Some(layout),
            None if part == "no ink" => seen.looks.ink = Some(String::new()),
            None => seen.looks.ink = Some(part.strip_prefix("in ")?.trim().to_owned()),
        }
    }
    Some(seen)
}

/// The same as a person types it after 'mark='.
pub(crate) fn mark_typed(seen: &MarkSeen) -> String {
    let layout = seen.looks.layout.map(|layout| layout.word().to_owned());
    let ink = seen.looks.ink.as_ref().map(|ink| if ink.is_empty() { "no ink".to_owned() } else { format!("in {ink}") });
    std::iter::once(seen.wording.clone()).chain(layout).chain(ink).collect::<Vec<_>>().join("; ")
}

fn measured(feature: &Feature, give_percent: f64, typed: &str) -> Result<Seen, SeeError> {
    let unit = match &feature.kind {
        FeatureKind::Measure(measure) => measure.unit,
        _ => crate::key::Unit::Count,
    };
    let wrong = || SeeError::NotANumber {
        feature: feature.shown_name(),
        text: typed.to_owned(),
        unit: match unit {
            crate::key::Unit::Mm => say!("millimetres"),
            crate::key::Unit::G => say!("grams"),
            crate::key::Unit::Ml => say!("millilitres"),
            crate::key::Unit::Count => say!("things"),
        },
    };
    let plain = typed.replace("+/-", "±").replace("+-", "±");
    let plain = plain.strip_suffix(unit.sign()).unwrap_or(&plain);
    let (value, plus_minus) = match plain.split_once('±') {
        Some((value, plus_minus)) => (value, Some(plus_minus)),
        None => (plain, None),
    };
    let number = |text: &str| {
        let text = text.trim();
        let text = text.strip_suffix(unit.sign()).unwrap_or(text).trim().replace(',', ".");
        text.parse::<f64>().ok().filter(|x| x.is_finite() && *x >= 0.0)
    };
    let value = number(value).ok_or_else(wrong)?;
    let plus_minus = match plus_minus {
        Some(text) => number(text).filter(|x| *x > 0.0).ok_or_else(wrong)?,
        None => default_plus_minus(value, give_percent),
    };
    Ok(Seen::Measured(Measured { value, plus_minus }))
}

/// `#rrggbb` (sRGB) or `lab(L, a, b)`.
fn colour(typed: &str) -> Option<Lab> {
    if let Some(hex) = typed.strip_prefix('#') {
        let n = u32::from_str_radix(hex, 16).ok().filter(|_| hex.len() == 6)?;
        let [_, r, g, b] = n.to_be_bytes();
        return Some(Lab::from_srgb([r, g, b]));
    }
    let lower = typed.to_lowercase();
    let inner = lower.strip_prefix("lab(")?.strip_suffix(')')?;
    let mut numbers = inner.split(',').map(|n| n.trim().parse::<f64>().ok().filter(|x| x.is_finite()));
    let lab = Lab::new(numbers.next()??, numbers.next()??, numbers.next()??);
    (numbers.next().is_none() && (0.0..=100.0).contains(&lab.l)).then_some(lab)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use crate::key::ValueId;

    fn demo() -> (Key, Words) {
        let key = crate::key::builtin::demo().key;
        let words = Words::new(&key);
        (key, words)
    }

    fn seen(text: &str) -> Result<Seen, String> {
        let (key, words) = demo();
        see(&key, &words, text).map(|o| o.seen).map_err(|e| e.to_string())
    }

    #[test]
    fn values_are_read_by_any_of_their_names() {
        assert_eq!(seen("lid outline=round"), Ok(Seen::Values(vec![ValueId::new("round")])));
        assert_eq!(seen(" LID-OUTLINE = Round | oval|round"), Ok(Seen::Values(vec![ValueId::new("round"), ValueId::new("oval")])));
        assert_eq!(seen("lid outline=?"), Ok(Seen::NotSure));
    }

    #[test]
    fn probably_is_a_tilde() {
        let (key, words) = demo();
        assert_eq!(see(&key, &words, "lid outline=round~").unwrap().sure, Sure::Probably);
    }

    #[test]
    fn measures_take_their_plus_minus_in_three_ways_or_from_the_give() {
        let want = Ok(Seen::Measured(Measured { value: 92.0, plus_minus: 2.0 }));
        for text in ["height=92±2", "height=92 +- 2", "height=92+/-2 mm", "height=92 mm ± 2 mm"] {
            assert_eq!(seen(text), want, "{text}");
        }
        assert!(matches!(seen("height=92,5"), Ok(Seen::Measured(m)) if (m.value - 92.5).abs() < 1e-9 && m.plus_minus > 0.0));
    }

    #[test]
    fn colours_are_sharp_sign_or_lab() {
        assert!(matches!(seen("glaze=#c8b08a"), Ok(Seen::Colour { .. })));
        assert!(matches!(seen("glaze=lab(70, 3, 20)"), Ok(Seen::Colour { lab, .. }) if (lab.l - 70.0).abs() < 1e-12));
        assert!(seen("glaze=#c8b0").unwrap_err().contains("'#c8b0' is not a colour that glaze can have"));
        assert!(seen("glaze=lab(170,0,0)").is_err());
    }

    #[test]
    fn a_wording_is_kept_as_it_was_typed() {
        assert_eq!(seen("mark=MARROW… OV?N"), Ok(Seen::Wording("MARROW… OV?N".to_owned())));
        let mark = |wording: &str, layout, ink: Option<&str>| MarkSeen {
            wording: wording.to_owned(),
            looks: Looks { layout, ink: ink.map(str::to_owned) },
        };
        for (typed, mark) in [
            ("MARROW… OV?N; oval; in green", mark("MARROW… OV?N", Some(Layout::Oval), Some("green"))),
            ("; words", mark("", Some(Layout::Words), None)),
            ("QUOIN; no ink", mark("QUOIN", None, Some(""))),
        ] {
            assert_eq!(mark_typed(&mark), typed);
            assert_eq!(seen(&format!("mark={typed}")), Ok(Seen::Mark(mark)));
        }
        assert_eq!(seen("mark=QUOIN; ENGLAND"), Ok(Seen::Wording("QUOIN; ENGLAND".to_owned())));
        assert_eq!(seen("mark=??"), Err(TypedError::NoLetter("??".to_owned()).to_string()));
        assert_eq!(seen(&format!("mark={}", "A".repeat(10_000))), Err(TypedError::TooLong(10_000).to_string()));
    }

    #[test]
    fn what_is_wrong_is_said_with_what_would_be_right() {
        assert_eq!(
            seen("round").unwrap_err(),
            "'round' does not say what was seen (write feature=value, for example \"lid outline=round\")"
        );
        assert_eq!(
            seen("lid outline=").unwrap_err(),
            "nothing is said of 'lid outline' (write what was seen after the =, or ? where it can't be told)"
        );
        assert!(seen("lid outlin=round").unwrap_err().contains("did you mean 'lid outline'"), "{:?}", seen("lid outlin=round"));
        assert!(seen("lid outline=rund").unwrap_err().contains("did you mean 'round'"), "{:?}", seen("lid outline=rund"));
        assert!(seen("height=tall").unwrap_err().contains("'tall' is not a number of millimetres (write 92 or 92±2)"));
        assert!(seen("height=-5").is_err());
        assert!(seen("height=92±0").is_err());
        assert!(seen("height=inf").is_err());
    }
}
