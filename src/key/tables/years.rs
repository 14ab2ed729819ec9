//! Years as people write them in lists.

use crate::key::model::Years;

/// Reads years: `1951`, `c. 1951`, `1951-64`, `1951 to 1964`, `1950s`, `1951-03-02`, `-49`. None where it is none, or runs backwards.
pub fn parse(text: &str) -> Option<Years> {
    const LONGEST: usize = 40;
    let text = text.trim();
    if text.len() > LONGEST {
        return None;
    }
    let lower: String = text.to_lowercase().replace(['–', '—', '\u{2212}'], "-").replace(" to ", "-");
    if let Some(date) = iso_date(&lower) {
        return Some(Years { from: Some(date), to: Some(date) });
    }
    let (first, last) = split(&lower);
    let (from, from_end) = one(first)?;
    let Some(last) = last else { return Some(Years { from: Some(from), to: Some(from_end) }) };
    let mut to = one(last)?.1;
    // '1951-64'
    if last.trim().len() <= 2 && from >= 100 && (0..100).contains(&to) {
        to += from - from.rem_euclid(100);
    }
    (from <= to).then_some(Years { from: Some(from), to: Some(to) })
}

/// The two sides of a hyphen that is no sign.
fn split(text: &str) -> (&str, Option<&str>) {
    let lead = text.len() - text.trim_start_matches([' ', '-']).len();
    match text.get(lead..).and_then(|rest| rest.find('-')) {
        Some(at) => (text.get(..lead + at).unwrap_or_default(), text.get(lead + at + 1..)),
        None => (text, None),
    }
}

fn iso_date(text: &str) -> Option<i32> {
    let date = text.get(..10)?;
    let mut parts = date.split('-');
    let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
    let sound = year.len() == 4 && (1..=12).contains(&month.parse::<u8>().ok()?) && (1..=31).contains(&day.parse::<u8>().ok()?);
    let ends = text.get(10..).is_some_and(|rest| rest.is_empty() || rest.starts_with([' ', 't']));
    if sound && ends { year.parse().ok() } else { None }
}

/// The first and last year of one side: a decade has ten.
fn one(text: &str) -> Option<(i32, i32)> {
    let mut text = text.trim();
    for word in ["circa", "about", "approx.", "ca.", "ca", "c.", "c", "~"] {
        if let Some(rest) = text.strip_prefix(word) {
            text = rest.trim_start();
            break;
        }
    }
    let decade = text.strip_suffix('s').map(|text| text.trim_end_matches('\''));
    let digits = decade.unwrap_or(text);
    let bare = digits.strip_prefix('-').unwrap_or(digits);
    if bare.is_empty() || bare.len() > 4 || !bare.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let year: i32 = digits.parse().ok()?;
    match decade {
        Some(_) if year % 10 == 0 => Some((year, year + 9)),
        Some(_) => None,
        None => Some((year, year)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn years_however_written() {
        let check = |text: &str, expected: Option<(i32, i32)>| {
            let found = parse(text).map(|years| (years.from.unwrap_or(0), years.to.unwrap_or(0)));
            assert_eq!(found, expected, "{text}");
        };
        check("1951", Some((1951, 1951)));
        check("c. 1951", Some((1951, 1951)));
        check("1951-64", Some((1951, 1964)));
        check("1951 – 1964", Some((1951, 1964)));
        check("1951 to 1964", Some((1951, 1964)));
        check("1950s", Some((1950, 1959)));
        check("circa 1920s-1930s", Some((1920, 1939)));
        check("1951-03-02", Some((1951, 1951)));
        check("1951-03-02 14:00", Some((1951, 1951)));
        check("-049", Some((-49, -49)));
        check("-200--100", Some((-200, -100)));
        check("1964-1951", None);
        check("1951-3x", None);
        check("late", None);
        check("", None);
        check("12345", None);
    }
}
