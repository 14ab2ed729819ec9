//! Forms offered for typed words: looked for when the words or the key have changed, and not with every frame.

use super::document::Document;
use crate::key::FormId;
use crate::key::words::Words;
use std::sync::Arc;

/// The forms last found, and what for.
#[derive(Debug, Default)]
pub(super) struct Offered {
    found: Option<Found>,
}

#[derive(Debug)]
struct Found {
    words: Arc<Words>,
    typed: String,
    most: usize,
    forms: Arc<[FormId]>,
}

impl Offered {
    /// The forms that the words fit, best first, at most so many; none where nothing is typed.
    pub(super) fn forms(&mut self, doc: &Document, typed: &str, most: usize) -> Arc<[FormId]> {
        if let Some(known) = &self.found
            && Arc::ptr_eq(&known.words, &doc.words)
            && (known.typed.as_str(), known.most) == (typed, most)
        {
            return Arc::clone(&known.forms);
        }
        let forms: Arc<[FormId]> = if typed.trim().is_empty() {
            Arc::from([])
        } else {
            doc.words.search_forms(typed, most).into_iter().map(|hit| hit.form).collect()
        };
        self.found = Some(Found { words: Arc::clone(&doc.words), typed: typed.to_owned(), most, forms: Arc::clone(&forms) });
        forms
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::key::builtin;

    #[test]
    fn forms_are_looked_for_anew_only_for_other_words_or_another_key() {
        let doc = Document::new(builtin::demo().key, crate::desk::document::KeyPlace::default());
        let mut offered = Offered::default();
        let sugars = offered.forms(&doc, "sugar", 5);
        assert!(!sugars.is_empty() && sugars.len() <= 5);
        assert!(Arc::ptr_eq(&sugars, &offered.forms(&doc, "sugar", 5)), "kept");
        assert!(!Arc::ptr_eq(&sugars, &offered.forms(&doc, "plate", 5)));
        assert_eq!(offered.forms(&doc, "  ", 5).len(), 0);
        let again = offered.forms(&doc, "sugar", 5);
        let other = Document::new(builtin::demo().key, crate::desk::document::KeyPlace::default());
        assert!(!Arc::ptr_eq(&again, &offered.forms(&other, "sugar", 5)), "of another key");
    }
}
