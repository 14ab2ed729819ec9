//! XML that is well formed by how it is written.

use crate::sheets::page::escaped;
use std::fmt::Write as _;

/// Elements within each other, as text.
#[derive(Debug, Default)]
pub(super) struct Xml {
    text: String,
    deep: usize,
}

impl Xml {
    /// With the declaration on top.
    pub(super) fn new() -> Self {
        Self { text: "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n".to_owned(), deep: 0 }
    }

    fn open(&mut self, name: &str, attributes: &[(&str, &str)]) {
        self.text.extend(std::iter::repeat_n(' ', self.deep));
        self.text.push('<');
        self.text.push_str(name);
        for (attribute, value) in attributes {
            let _ = write!(self.text, " {attribute}=\"{}\"", escaped(value));
        }
        self.text.push('>');
    }

    /// An element with others in it.
    pub(super) fn within(&mut self, name: &str, attributes: &[(&str, &str)], inside: impl FnOnce(&mut Self)) {
        self.open(name, attributes);
        self.text.push('\n');
        self.deep += 1;
        inside(self);
        self.deep -= 1;
        self.text.extend(std::iter::repeat_n(' ', self.deep));
        let _ = writeln!(self.text, "</{name}>");
    }

    /// An element with words in it.
    pub(super) fn words(&mut self, name: &str, attributes: &[(&str, &str)], words: &str) {
        self.open(name, attributes);
        self.text.push_str(&escaped(words));
        let _ = writeln!(self.text, "</{name}>");
    }

    /// The text.
    pub(super) fn end(self) -> String {
        self.text
    }
}
