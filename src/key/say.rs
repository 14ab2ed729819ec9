//! What a key says, in words: for the window, the terminal and printed sheets alike.

use super::{Feature, FeatureId, FeatureKind, FormId, Key, Layout, Often, Record, ValueId, When, Years};
use crate::words::decimal;
use crate::{say, say_count};

/// A text as it may be shown: signs that steer a terminal, and signs that nobody sees or that turn the direction of writing, with which one
/// text can be made to look like another, are shown as '\u{fffd}'. Tabs and line ends stay.
pub fn plain(text: &str) -> String {
    let turns = |c: char| matches!(c, '\u{200e}' | '\u{200f}' | '\u{61c}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    let unseen = |c: char| matches!(c, '\u{ad}' | '\u{200b}' | '\u{2028}' | '\u{2029}' | '\u{2060}' | '\u{feff}');
    text.chars().map(|c| if c.is_control() && c != '\n' && c != '\t' || turns(c) || unseen(c) { '\u{fffd}' } else { c }).collect()
}

/// A text with a capital at its start.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// '1 form', '2 forms'.
pub fn count(n: usize, one: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") }
}

/// A share in percent that claims no more than is known: '46 %', '0.4 %', '<0.1 %', '99.9 %' and never '100 %' for less.
pub fn percent(share: f64) -> String {
    decimal(match share * 100.0 {
        p if p < 0.1 => if p > 0.0 { "<0.1 %" } else { "0 %" }.to_owned(),
        p if p < 9.95 => format!("{p:.1} %"),
        p if p > 99.0 && p < 100.0 => format!("{:.1} %", (p * 10.0).floor() / 10.0),
        p => format!("{p:.0} %"),
    })
}

impl Years {
    /// '1951 to 1958', '1951', 'from 1951', 'until 1958'; nothing where neither end is known.
    pub fn words(self) -> String {
        match (self.from, self.to) {
            (None, None) => String::new(),
            (Some(from), None) => say!("from {from}", from),
            (None, Some(to)) => say!("until {to}", to),
            (Some(from), Some(to)) if from == to => from.to_string(),
            (Some(from), Some(to)) => say!("{from} to {to}", from, to),
        }
    }
}

/// The name of a month by its number from 1.
pub fn month(number: u8) -> &'static str {
    match number {
        1 => say!("January"),
        2 => say!("February"),
        3 => say!("March"),
        4 => say!("April"),
        5 => say!("May"),
        6 => say!("June"),
        7 => say!("July"),
        8 => say!("August"),
        9 => say!("September"),
        10 => say!("October"),
        11 => say!("November"),
        12 => say!("December"),
        _ => say!("month not known,"),
    }
}

impl When {
    /// '9 March 1953', 'December 1953', '1953', 'about 1950', '1951 to 1953'.
    pub fn words(self) -> String {
        match self {
            Self::Day(year, m, day) => say!("{day} {month} {year}", day, month = month(m), year),
            Self::Month(year, m) => format!("{} {year}", month(m)),
            Self::Year(year) => year.to_string(),
            Self::Circa(year) => say!("about {year}", year),
            Self::Between(from, to) => say!("{from} to {to}", from, to),
        }
    }
}

impl Layout {
    /// The word for it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Round => say!(in "the layout of a mark", "round"),
            Self::Oval => say!(in "the layout of a mark", "oval"),
            Self::Square => say!(in "the layout of a mark", "square"),
            Self::Script => say!(in "the layout of a mark", "script"),
            Self::Words => say!(in "the layout of a mark", "words only"),
        }
    }
}

impl Often {
    /// 'usually', '7 times'.
    pub fn words(self) -> String {
        match self {
            Self::Always => say!("always").to_owned(),
            Self::Usually => say!("usually").to_owned(),
            Self::Sometimes => say!("sometimes").to_owned(),
            Self::Times(n) => say_count!(n = usize::try_from(n).unwrap_or(usize::MAX), "once", "{n} times"),
        }
    }

    /// How often with what: 'usually round', 'round 7 times'.
    pub fn with(self, name: &str) -> String {
        match self {
            Self::Times(_) => format!("{name} {}", self.words()),
            Self::Always | Self::Usually | Self::Sometimes => format!("{} {name}", self.words()),
        }
    }
}

impl Key {
    /// The full name of the form of that id; the id itself where the key has none.
    pub fn form_name(&self, id: &FormId) -> String {
        self.form(id).map_or_else(|| id.to_string(), |form| self.full_name(form))
    }

    /// Two forms: 'covered sugar and one-person casserole, Quoin', or both names in full where the lines differ.
    pub fn pair_names(&self, one: &FormId, other: &FormId) -> String {
        match (self.form(one), self.form(other)) {
            (Some(a), Some(b)) if a.line == b.line => say!("{one} and {other}", one = a.name, other = self.full_name(b)),
            _ => say!("{one} and {other}", one = self.form_name(one), other = self.form_name(other)),
        }
    }

    /// The shown name of the feature of that id; the id itself where the key has none.
    pub fn feature_name(&self, id: &FeatureId) -> String {
        self.feature(id).map_or_else(|| id.to_string(), Feature::shown_name)
    }

    /// A record in words: 'always round', 'round 7 times, oval once', '92 to 95 mm', 'not recorded'. A value the feature does not have is
    /// called by its id.
    pub fn record_words(&self, feature: &FeatureId, record: &Record) -> String {
        let feature = self.feature(feature);
        let names = feature.map(|feature| self.values_of(feature)).unwrap_or_default();
        let name = |id: &ValueId| names.iter().find(|(known, _)| known == id).map_or_else(|| id.to_string(), |(_, name)| name.clone());
        match record {
            Record::Always(value) => Often::Always.with(&name(value)),
            Record::Values(values) => values.iter().map(|(value, often)| often.with(&name(value))).collect::<Vec<_>>().join(", "),
            Record::Between(lo, hi) => {
                let sign = match feature.map(|feature| &feature.kind) {
                    Some(FeatureKind::Measure(measure)) => measure.unit.sign(),
                    _ => "",
                };
                say!("{from} to {to}", from = decimal(lo.to_string()), to = decimal(format!("{hi} {sign}").trim_end().to_owned()))
            }
            Record::NotRecorded => say!("not recorded").to_owned(),
            Record::DoesNotApply => say!("does not apply").to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::builtin;
    use super::*;

    #[test]
    fn records_are_said_with_the_names_of_the_key() {
        let key = builtin::demo().key;
        let said = |feature: &str, record: &Record| key.record_words(&feature.into(), record);
        assert_eq!(said("lid-outline", &Record::Always("rounded-square".into())), "always rounded square");
        let counts = [("round".into(), Often::Times(7)), ("oval".into(), Often::Times(1))].into_iter().collect();
        assert_eq!(said("lid-outline", &Record::Values(counts)), "round 7 times, oval once");
        let words = [("round".into(), Often::Usually), ("square-ish".into(), Often::Sometimes)].into_iter().collect();
        assert_eq!(said("lid-outline", &Record::Values(words)), "usually round, sometimes square-ish");
        assert_eq!(said("height", &Record::Between(92.0, 95.5)), "92 to 95.5 mm");
        assert_eq!(said("no-such", &Record::NotRecorded), "not recorded");
        assert_eq!(
            (key.form_name(&"no-such".into()), key.feature_name(&"height".into())),
            ("no-such".to_owned(), "height, lid off".to_owned())
        );
    }

    #[test]
    fn dates_of_papers_read_as_a_person_writes_them() {
        assert_eq!(When::Day(1953, 3, 9).words(), "9 March 1953");
        assert_eq!(When::Month(1953, 12).words(), "December 1953");
        assert_eq!(When::Circa(1950).words(), "about 1950");
        assert_eq!(When::Between(1951, 1953).words(), "1951 to 1953");
    }

    #[test]
    fn sentences_begin_and_count_as_they_should() {
        assert_eq!((capital("one-person casserole"), capital("")), ("One-person casserole".to_owned(), String::new()));
        assert_eq!([count(1, "form"), count(0, "form")], ["1 form", "0 forms"]);
        assert_eq!(
            [0.0, 0.0004, 0.004, 0.0994, 0.0996, 0.464, 0.99949, 1.0].map(percent),
            ["0 %", "<0.1 %", "0.4 %", "9.9 %", "10 %", "46 %", "99.9 %", "100 %"]
        );
        let key = builtin::demo().key;
        let pair = |one: &str, other: &str| key.pair_names(&one.into(), &other.into());
        assert_eq!(pair("quoin-covered-sugar", "quoin-casserole-one"), "covered sugar and one-person casserole, Quoin");
        assert_eq!(pair("quoin-covered-sugar", "fenlight-covered-sugar"), "covered sugar, Quoin and covered sugar, Fenlight");
    }
}
