//! The texts of another language, from a PO file of GNU gettext.

use std::collections::HashMap;

/// English to another language.
#[derive(Debug, Default)]
pub struct Catalogue {
    texts: HashMap<String, HashMap<String, String>>,
    counted: HashMap<String, (String, String)>,
}

impl Catalogue {
    /// Reads a PO file. What is not translated yet is left out. The plural of the languages so far is that of English: one, and any other number.
    ///
    /// # Errors
    ///
    /// What the reader of PO files says of a text that is none, with the line where it names one.
    pub fn read(po: &str) -> Result<Self, String> {
        let read =
            polib::po_file::parse_from_reader(po.as_bytes()).map_err(|e| format!("this catalogue of translations can't be read: {e}"))?;
        let mut catalogue = Self::default();
        for message in read.messages() {
            if message.is_plural() {
                if let Ok([one, many]) = message.msgstr_plural().map(Vec::as_slice)
                    && !one.is_empty()
                    && !many.is_empty()
                {
                    catalogue.counted.insert(message.msgid().to_owned(), (one.clone(), many.clone()));
                }
            } else if let Ok(text) = message.msgstr()
                && !text.is_empty()
                && !message.msgid().is_empty()
            {
                let context = catalogue.texts.entry(message.msgctxt().unwrap_or_default().to_owned()).or_default();
                context.insert(message.msgid().to_owned(), text.to_owned());
            }
        }
        Ok(catalogue)
    }

    /// The translation of a text; `context` is empty where the English needs none.
    pub fn text(&self, context: &str, english: &str) -> Option<&str> {
        self.texts.get(context)?.get(english).map(String::as_str)
    }

    /// The translation of a text with a number of things, by its English for one thing.
    pub fn counted(&self, n: usize, one: &str) -> Option<&str> {
        self.counted.get(one).map(|(one, many)| if n == 1 { one.as_str() } else { many.as_str() })
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests")]
mod tests {
    use super::*;

    const PO: &str = "msgid \"\"\nmsgstr \"\"\n\"Content-Type: text/plain; charset=UTF-8\\n\"\n\"Language: de\\n\"\n\"Plural-Forms: nplurals=2; plural=(n != 1);\\n\"\n\n\
        msgid \"Add a lid\"\nmsgstr \"Deckel hinzufügen\"\n\n\
        msgctxt \"a shape\"\nmsgid \"Round\"\nmsgstr \"Rund\"\n\n\
        msgid \"Nothing yet\"\nmsgstr \"\"\n\n\
        msgid \"{n} find\"\nmsgid_plural \"{n} finds\"\nmsgstr[0] \"{n} Fund\"\nmsgstr[1] \"{n} Funde\"\n";

    #[test]
    fn texts_are_found_by_context_and_number() {
        let catalogue = Catalogue::read(PO).unwrap();
        assert_eq!(catalogue.text("", "Add a lid"), Some("Deckel hinzufügen"));
        assert_eq!(catalogue.text("a shape", "Round"), Some("Rund"));
        assert_eq!(catalogue.text("", "Round"), None);
        assert_eq!(catalogue.text("", "Nothing yet"), None, "not translated");
        assert_eq!(catalogue.counted(1, "{n} find"), Some("{n} Fund"));
        assert_eq!(catalogue.counted(0, "{n} find"), Some("{n} Funde"));
    }

    #[test]
    fn the_german_catalogue_is_read() {
        Catalogue::read(include_str!("../../assets/words/de.po")).unwrap();
    }
}
