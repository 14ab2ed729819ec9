//! What the program says, in the language of the person at the table.
//!
//! English stands in the code, where it is said: `say!("Add a lid")`, `say!("{name} is retired", name)`, `say_count!(n, "{n} find", "{n} finds")`. Every text
//! so marked stands once more in one place, `assets/words/footring.pot`, and in each other language beside it in `assets/words/de.po`, the files
//! that translators' tools read (GNU gettext). `tests/words.rs` holds the three together. A text that has no translation is said in English.
//!
//! What a house key, a daybook or a file says is its owner's and is never translated.

mod catalogue;
mod fill;

pub use catalogue::Catalogue;
pub use fill::{Named, fill};

use std::borrow::Cow;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU8, Ordering};

/// A language the program speaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
pub enum Language {
    /// As it stands in the code.
    #[default]
    English,
    /// `assets/words/de.po`.
    German,
}

impl Language {
    /// Every language.
    pub const ALL: [Self; 2] = [Self::English, Self::German];

    /// Its name in itself, as it is offered to somebody who reads no other.
    pub const fn name(self) -> &'static str {
        match self {
            Self::English => "English",
            Self::German => "Deutsch",
        }
    }

    /// Its code of ISO 639-1.
    pub const fn code(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::German => "de",
        }
    }

    /// The language of a locale's name: 'de', 'de_AT.UTF-8', 'de-CH'.
    pub fn of_locale(locale: &str) -> Option<Self> {
        let code: String = locale.chars().take_while(char::is_ascii_alphabetic).flat_map(char::to_lowercase).collect();
        Self::ALL.into_iter().find(|language| language.code() == code)
    }
}

static SPOKEN: AtomicU8 = AtomicU8::new(0);

/// From now on the program speaks this language, on every thread.
pub fn speak(language: Language) {
    SPOKEN.store(u8::from(language == Language::German), Ordering::Relaxed);
}

/// The language that is spoken.
pub fn spoken() -> Language {
    if SPOKEN.load(Ordering::Relaxed) == 0 { Language::English } else { Language::German }
}

/// The catalogue of what is spoken; none for English, which stands in the code.
pub fn catalogue() -> Option<&'static Catalogue> {
    static GERMAN: OnceLock<Catalogue> = OnceLock::new();
    match spoken() {
        Language::English => None,
        Language::German => Some(GERMAN.get_or_init(|| Catalogue::read(include_str!("../../assets/words/de.po")).unwrap_or_default())),
    }
}

/// What a fixed text is in the language that is spoken. Code says it with [`say!`](crate::say), which the catalogue is made from.
pub fn of_code(context: &str, english: &'static str) -> &'static str {
    catalogue().and_then(|known| known.text(context, english)).unwrap_or(english)
}

/// What a text of the program's own data (the glossary, the rules of dating) is in the language that is spoken.
pub fn of_data(english: &str) -> Cow<'_, str> {
    catalogue().and_then(|known| known.text("", english)).map_or(Cow::Borrowed(english), Cow::Borrowed)
}

/// A number as the spoken language writes it: English '0.4', German '0,4'. `text` is a number as Rust writes it.
pub fn decimal(text: String) -> String {
    if spoken() == Language::German { text.replace('.', ",") } else { text }
}

/// A heading or a name as it stands within a sentence: English writes it small, German leaves its nouns their capitals.
pub fn within(text: &str) -> String {
    if spoken() == Language::German { text.to_owned() } else { text.to_lowercase() }
}

/// Says a text in the language that is spoken.
///
/// `say!("Add a lid")` is a `&'static str`. `say!("{name} is retired", name)` and `say!("{mm:.1} mm high", mm = form.height)` are `String`s; of what
/// stands after the colon only the number of decimals may be given. The same English that needs two translations is told apart by where it is
/// said: `say!(in "a shape", "Round")`.
#[macro_export]
macro_rules! say {
    (in $context:literal, $english:literal) => { $crate::words::of_code($context, $english) };
    (in $context:literal, $english:literal, $($name:ident $(= $value:expr)?),+ $(,)?) => {
        match $crate::words::catalogue().and_then(|known| known.text($context, $english)) {
            None => format!($english, $($name = $crate::said_plainly!($name $(= $value)?)),+),
            Some(text) => $crate::words::fill(text, &[$((stringify!($name), $crate::said_value!($name $(= $value)?))),+]),
        }
    };
    ($english:literal) => { $crate::words::of_code("", $english) };
    ($english:literal, $($rest:tt)+) => { $crate::say!(in "", $english, $($rest)+) };
}

/// Says a text with a number of things: `say_count!(n, "{n} find", "{n} finds")`, `say_count!(n = list.len(), "{n} find of {form}", "{n} finds of {form}", form)`.
#[macro_export]
macro_rules! say_count {
    ($n:ident $(= $count:expr)?, $one:literal, $many:literal $(, $name:ident $(= $value:expr)?)* $(,)?) => {{
        let how_many: usize = $crate::said_plainly!($n $(= $count)?);
        match $crate::words::catalogue().and_then(|known| known.counted(how_many, $one)) {
            None if how_many == 1 => $crate::words::fill($one, &[(stringify!($n), &how_many) $(, (stringify!($name), $crate::said_value!($name $(= $value)?)))*]),
            None => format!($many, $n = how_many $(, $name = $crate::said_plainly!($name $(= $value)?))*),
            Some(text) => $crate::words::fill(text, &[(stringify!($n), &how_many) $(, (stringify!($name), $crate::said_value!($name $(= $value)?)))*]),
        }
    }};
}

/// The value itself that is put for a name.
#[doc(hidden)]
#[macro_export]
macro_rules! said_plainly {
    ($n:ident) => {
        $n
    };
    ($n:ident = $count:expr) => {
        $count
    };
}

/// What is put for a name in a text that is said.
#[doc(hidden)]
#[macro_export]
macro_rules! said_value {
    ($name:ident) => {
        &$name as $crate::words::Named<'_>
    };
    ($name:ident = $value:expr) => {
        &$value as $crate::words::Named<'_>
    };
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn english_is_said_as_it_stands() {
        let name = "covered sugar";
        assert_eq!(crate::say!("Add a lid"), "Add a lid");
        assert_eq!(crate::say!("{name} is retired", name), "covered sugar is retired");
        assert_eq!(crate::say!("{mm:.1} mm high", mm = 92.04), "92.0 mm high");
        assert_eq!(crate::say!(in "a shape", "Round"), "Round");
    }

    #[test]
    fn one_and_many_are_told_apart() {
        let said = |n: usize| crate::say_count!(n, "{n} find of {form}", "{n} finds of {form}", form = "a jug");
        assert_eq!(said(0), "0 finds of a jug");
        assert_eq!(said(1), "1 find of a jug");
        assert_eq!(crate::say_count!(n = [1, 2].len(), "one find", "{n} finds"), "2 finds");
    }

    #[test]
    fn a_locale_names_its_language() {
        assert_eq!(Language::of_locale("de_AT.UTF-8"), Some(Language::German));
        assert_eq!(Language::of_locale("EN"), Some(Language::English));
        assert_eq!(Language::of_locale("den"), None);
        assert_eq!(Language::of_locale(""), None);
    }
}
