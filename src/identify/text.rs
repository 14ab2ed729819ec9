//! Numbers and lists as they stand in a sentence.

use crate::say;
use crate::words::decimal;

/// A number without needless places: '92', '92.5', '0.25'.
pub(crate) fn number(x: f64) -> String {
    let text = format!("{x:.2}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { decimal(text.to_owned()) }
}

/// A measure with its unit: '92 mm', '3'.
pub(crate) fn measure(x: f64, sign: &str) -> String {
    if sign.is_empty() { number(x) } else { format!("{} {sign}", number(x)) }
}

/// 'a', 'a or b', 'a, b or c'.
pub(crate) fn any_of<S: AsRef<str>>(words: &[S]) -> String {
    joined(words, say!("or"))
}

/// 'a', 'a and b', 'a, b and c'.
pub fn all_of<S: AsRef<str>>(words: &[S]) -> String {
    joined(words, say!("and"))
}

fn joined<S: AsRef<str>>(words: &[S], last: &str) -> String {
    match words {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [head @ .., tail] => {
            let head: Vec<&str> = head.iter().map(AsRef::as_ref).collect();
            format!("{} {last} {}", head.join(", "), tail.as_ref())
        }
    }
}

/// Years as they are printed: '1951–58', '1951–2004', '1951', 'from 1951', 'until 1958', nothing where nothing is known.
pub(crate) fn years(from: Option<i32>, to: Option<i32>) -> String {
    match (from, to) {
        (None, None) => String::new(),
        (Some(from), None) => say!("from {from}", from),
        (None, Some(to)) => say!("until {to}", to),
        (Some(from), Some(to)) if from == to => from.to_string(),
        (Some(from), Some(to)) if from > 0 && from / 100 == to / 100 => format!("{from}–{:02}", to % 100),
        (Some(from), Some(to)) => format!("{from}–{to}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_and_lists_read_as_a_person_writes_them() {
        let numbers: Vec<String> = [92.0, 92.5, 0.25, 100.0, -0.001, 1200.0].into_iter().map(number).collect();
        assert_eq!(numbers, ["92", "92.5", "0.25", "100", "0", "1200"]);
        assert_eq!(any_of(&["round", "oval", "square"]), "round, oval or square");
        assert_eq!(all_of(&["the lid", "the foot"]), "the lid and the foot");
        assert_eq!(any_of::<&str>(&[]), "");
    }

    #[test]
    fn years_are_shortened_within_a_century() {
        assert_eq!(years(Some(1951), Some(1958)), "1951–58");
        assert_eq!(years(Some(1998), Some(2004)), "1998–2004");
        assert_eq!(years(Some(1900), Some(1905)), "1900–05");
        assert_eq!(years(Some(1951), Some(1951)), "1951");
        assert_eq!(years(Some(1951), None), "from 1951");
        assert_eq!(years(None, Some(1958)), "until 1958");
        assert_eq!(years(None, None), "");
    }
}
