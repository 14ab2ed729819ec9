//! Values put into a translated text by their names.

use std::fmt::{Display, Write as _};

/// A value to be put into a text.
pub type Named<'a> = &'a dyn Display;

/// Puts values for the names in braces: '{name}', or '{name:.1}' for a number with one decimal, written as the spoken language writes numbers. '{{' and '}}' are
/// braces. A name that has no value stays as it stands, so that nothing is lost; `tests/words.rs` holds that there is none.
pub fn fill(text: &str, values: &[(&str, Named<'_>)]) -> String {
    let mut out = String::with_capacity(text.len() + 16 * values.len());
    let mut rest = text;
    while let Some(at) = rest.find(['{', '}']) {
        let (before, from) = rest.split_at(at);
        out.push_str(before);
        let doubled = from.starts_with("{{") || from.starts_with("}}");
        let end = from.find('}').filter(|_| from.starts_with('{') && !doubled);
        let (length, said) = if doubled {
            (2, None)
        } else {
            end.map_or((1, None), |end| (end + 1, from.get(1..end).and_then(|inside| value_of(inside, values))))
        };
        match said {
            Some(said) => out.push_str(&said),
            None if doubled => out.push_str(from.get(..1).unwrap_or_default()),
            None => out.push_str(from.get(..length).unwrap_or_default()),
        }
        rest = from.get(length..).unwrap_or_default();
    }
    out.push_str(rest);
    out
}

fn value_of(inside: &str, values: &[(&str, Named<'_>)]) -> Option<String> {
    let (name, form) = inside.split_once(':').unwrap_or((inside, ""));
    let (_, value) = values.iter().find(|(known, _)| *known == name)?;
    let mut said = String::new();
    match form.strip_prefix('.').and_then(|digits| digits.parse::<usize>().ok()) {
        Some(decimals) => {
            write!(said, "{value:.decimals$}").ok()?;
            said = super::decimal(said);
        }
        None => write!(said, "{value}").ok()?,
    }
    Some(said)
}

#[cfg(test)]
mod tests {
    use super::fill;

    #[test]
    fn values_stand_where_their_names_do() {
        assert_eq!(fill("{b} vor {a}, {{so}}", &[("a", &1), ("b", &"zwei")]), "zwei vor 1, {so}");
        assert_eq!(fill("{mm:.1} mm", &[("mm", &12.25)]), "12.2 mm");
    }

    #[test]
    fn nothing_is_lost_of_a_text_that_is_wrong() {
        assert_eq!(fill("{who} ist da {", &[("a", &1)]), "{who} ist da {");
        assert_eq!(fill("ein } und {", &[]), "ein } und {");
        assert_eq!(fill("ö{ü", &[]), "ö{ü");
    }
}
