//! An entry as a tree of what it says, whatever sort of entry it is: what is compared and put together.

use crate::key::load::options;
use crate::key::print::compact;
use crate::key::syntax::{self, Node};
use indexmap::IndexMap;
use serde::Serialize;
use serde::de::DeserializeOwned;

/// What a piece of an entry says. Fields that are left out are not in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Tree {
    /// A word, a number, or a text in quotes.
    Atom(String),
    /// Named fields in round brackets, with the word before them, or nothing.
    Fields(String, IndexMap<String, Tree>),
    /// Names and values in curly brackets; the names as written.
    Map(IndexMap<String, Tree>),
    /// A list.
    List(Vec<Tree>),
    /// What stands in round brackets without names, with the word before it: `Corner(30, 0)`.
    Tuple(String, Vec<Tree>),
}

impl Tree {
    /// The tree of a value of the key; None where it cannot be written, which no type of the key is capable of.
    pub(crate) fn of<T: Serialize>(value: &T) -> Option<Self> {
        let text = compact(value).ok()?;
        let node = syntax::parse(&text, 0..text.len()).ok()?;
        Some(Self::from_node(&text, &node))
    }

    /// The tree of a text and what it is made of.
    pub(crate) fn from_node(text: &str, node: &Node) -> Self {
        let Some(group) = &node.group else { return Self::Atom(node.text(text).to_owned()) };
        let name = group.name_text(text).unwrap_or_default().to_owned();
        let values = || group.items.iter().map(|item| Self::from_node(text, &item.value)).collect();
        let named = || {
            let pair = |item: &syntax::Item| Some((item.key_text(text)?.to_owned(), Self::from_node(text, &item.value)));
            group.items.iter().filter_map(pair).collect()
        };
        match text.as_bytes().get(group.open) {
            Some(b'{') => Self::Map(named()),
            Some(b'[') => Self::List(values()),
            _ if group.items.first().is_some_and(|item| item.key.is_some()) => Self::Fields(name, named()),
            _ => Self::Tuple(name, values()),
        }
    }

    /// The value that the tree means; None where it means none.
    pub(crate) fn value<T: DeserializeOwned>(&self) -> Option<T> {
        options().from_str(&self.text()).ok()
    }

    /// Its text, in one line without spaces.
    pub(crate) fn text(&self) -> String {
        let mut out = String::new();
        self.write(&mut out);
        out
    }

    fn write(&self, out: &mut String) {
        let listed = |items: &[Self], out: &mut String| {
            for item in items {
                item.write(out);
                out.push(',');
            }
        };
        let named = |items: &IndexMap<String, Self>, out: &mut String| {
            for (name, item) in items {
                out.push_str(name);
                out.push(':');
                item.write(out);
                out.push(',');
            }
        };
        match self {
            Self::Atom(text) => out.push_str(text),
            Self::Fields(name, fields) => {
                out.push_str(name);
                out.push('(');
                named(fields, out);
                out.push(')');
            }
            Self::Map(items) => {
                out.push('{');
                named(items, out);
                out.push('}');
            }
            Self::List(items) => {
                out.push('[');
                listed(items, out);
                out.push(']');
            }
            Self::Tuple(name, items) => {
                out.push_str(name);
                out.push('(');
                listed(items, out);
                out.push(')');
            }
        }
    }

    /// Its text as it is shown to a person: texts without quotes, spaces after commas, numbers without needless decimals.
    pub(crate) fn shown(&self) -> String {
        match self {
            Self::Atom(text) => unquoted(text).unwrap_or_else(|| plain_number(text).to_owned()),
            other => crate::key::print::lay_out(&other.text(), 0, 0).split_whitespace().collect::<Vec<_>>().join(" "),
        }
    }

    /// The names by which the items of a list are known, each once; None where the list is one thing that is not taken apart: a drawing, or
    /// a list in which two items have one name.
    pub(crate) fn names(items: &[Self]) -> Option<Vec<String>> {
        let mut names = Vec::with_capacity(items.len());
        for item in items {
            names.push(item.name()?);
        }
        let mut sorted: Vec<&String> = names.iter().collect();
        sorted.sort_unstable();
        sorted.windows(2).all(|pair| pair.first() != pair.last()).then_some(names)
    }

    /// What an item of a list is about: its id, its file, its words; a word or text itself; the first word of a group of words.
    fn name(&self) -> Option<String> {
        const ABOUT: [&str; 7] = ["id", "file", "says", "written", "text", "name", "at"];
        match self {
            Self::Atom(text) => Some(text.clone()),
            Self::Fields(_, fields) => ABOUT.iter().find_map(|field| fields.get(*field)).and_then(|about| match about {
                Self::Atom(text) => Some(text.clone()),
                _ => None,
            }),
            Self::List(items) => match items.first() {
                Some(Self::Atom(text)) => Some(text.clone()),
                _ => None,
            },
            Self::Map(_) | Self::Tuple(..) => None,
        }
    }
}

/// What a text in quotes says.
pub(crate) fn unquoted(text: &str) -> Option<String> {
    text.starts_with('"').then(|| ron::from_str(text).ok()).flatten()
}

/// `30.0` as a person writes it.
pub(crate) fn plain_number(text: &str) -> &str {
    match text.strip_suffix(".0") {
        Some(whole) if !whole.is_empty() && whole.trim_start_matches('-').chars().all(|c| c.is_ascii_digit()) => whole,
        _ => text,
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use crate::key::{Form, builtin};

    #[test]
    fn every_entry_of_the_demo_key_comes_back_from_its_tree() {
        let key = builtin::demo().key;
        for form in &key.forms {
            assert_eq!(Tree::of(form).unwrap().value::<Form>().as_ref(), Some(form), "{}", form.id);
        }
        assert_eq!(Tree::of(&key.about).unwrap().value().as_ref(), Some(&key.about));
        assert!(key.features.iter().all(|feature| Tree::of(feature).unwrap().value().as_ref() == Some(feature)));
        assert!(key.marks.iter().all(|mark| Tree::of(mark).unwrap().value().as_ref() == Some(mark)));
        assert!(key.papers.iter().all(|paper| Tree::of(paper).unwrap().value().as_ref() == Some(paper)));
    }

    #[test]
    fn items_are_known_by_what_they_are_about() {
        let names = |text: &str| {
            let node = syntax::parse(text, 0..text.len()).unwrap();
            match Tree::from_node(text, &node) {
                Tree::List(items) => Tree::names(&items),
                _ => None,
            }
        };
        assert_eq!(names("[(id:\"a\",n:1),(id:\"b\")]"), Some(vec!["\"a\"".to_owned(), "\"b\"".to_owned()]));
        assert_eq!(names("[Body,Lid]"), Some(vec!["Body".to_owned(), "Lid".to_owned()]));
        assert_eq!(names("[[\"finial\",\"knob\"],[\"lug\"]]"), Some(vec!["\"finial\"".to_owned(), "\"lug\"".to_owned()]));
        assert_eq!(names("[Body,Body]"), None, "one name twice");
        assert_eq!(names("[Corner(1,2),Curve(3,4)]"), None, "a drawing is one thing");
        assert_eq!(names("[[(0.0,0.1)],[(0.2,0.3)]]"), None, "strokes are one thing");
    }
}
