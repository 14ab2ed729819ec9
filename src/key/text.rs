//! The texts a key was read from: what stood where, so that a problem has a place and a saved change touches nothing else.

use super::file::KeyFile;
use super::problem::{Place, Problem, ProblemKind};
use super::syntax::{self, Item, Node};
use std::ops::Range;
use std::sync::OnceLock;

/// The text of one file.
#[derive(Debug, Clone)]
pub(crate) struct FileText {
    /// Which file.
    pub(crate) file: KeyFile,
    /// Its text, with the byte order mark.
    pub(crate) text: String,
    /// Whether it can be read and written.
    pub(crate) state: State,
    /// The hash of its bytes. None where there is no file.
    pub(crate) hash: Option<blake3::Hash>,
    /// Its entries in the order of the file, the broken ones too. Of `key.ron`, the one.
    pub(crate) entries: Vec<EntryText>,
    /// Bytes of the brackets of the list.
    pub(crate) brackets: Range<usize>,
    /// For each entry of the list in the key, its index in `entries`.
    pub(crate) good: Vec<usize>,
    lines: OnceLock<Vec<usize>>,
}

/// Whether a file can be read and written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum State {
    /// There is no such file.
    Missing,
    /// It was read; perhaps some of its entries are broken.
    Read,
    /// It makes no sense as a whole, or is no UTF-8, and is never written.
    Failed,
}

/// Where an entry stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct EntryText {
    /// Its bytes.
    pub(crate) span: Range<usize>,
    /// Byte of the comma after it.
    pub(crate) comma: Option<usize>,
    /// Its id, as far as one can be made out.
    pub(crate) id: Option<String>,
    /// True where it was understood.
    pub(crate) good: bool,
}

/// One step from an entry down to what is meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Step {
    /// The value of a field.
    Field(&'static str),
    /// The value of a map.
    Key(String),
    /// The name in a map.
    Name(String),
    /// An item of a list, or of a variant.
    At(usize),
}

impl FileText {
    /// The text of a file that is not there.
    pub(crate) fn missing(file: KeyFile) -> Self {
        Self::new(file, String::new(), State::Missing, None)
    }

    /// A text whose entries are still to be found.
    pub(crate) fn new(file: KeyFile, text: String, state: State, hash: Option<blake3::Hash>) -> Self {
        Self { file, text, state, hash, entries: Vec::new(), brackets: 0..0, good: Vec::new(), lines: OnceLock::new() }
    }

    fn line_starts(&self) -> &[usize] {
        self.lines.get_or_init(|| std::iter::once(0).chain(self.text.match_indices('\n').map(|(i, _)| i + 1)).collect())
    }

    /// The place of some bytes.
    pub(crate) fn place(&self, span: &Range<usize>) -> Place {
        let (line, start) = self.line_of(span.start);
        let lead = self.text.get(start..span.start).unwrap_or_default();
        let column = lead.trim_start_matches('\u{feff}').chars().count() + 1;
        let inside = self.text.get(span.clone()).unwrap_or_default();
        let length = inside.lines().next().unwrap_or_default().chars().count();
        Place { file: self.file.name().to_owned(), line, column, length: length.max(1) }
    }

    fn line_of(&self, at: usize) -> (usize, usize) {
        let starts = self.line_starts();
        let line = starts.partition_point(|&start| start <= at).max(1);
        (line, starts.get(line - 1).copied().unwrap_or(0))
    }

    /// The line that holds that byte, without its end.
    pub(crate) fn line_at(&self, at: usize) -> &str {
        let (_, start) = self.line_of(at);
        let rest = self.text.get(start..).unwrap_or_default();
        rest.lines().next().unwrap_or_default().trim_start_matches('\u{feff}')
    }

    /// A problem at some bytes.
    pub(crate) fn problem(&self, span: &Range<usize>, kind: ProblemKind) -> Problem {
        Problem { severity: kind.severity(), place: self.place(span), kind, source_line: self.line_at(span.start).to_owned() }
    }

    /// The text of the `index`th entry of the list in the key.
    pub(crate) fn good_entry(&self, index: usize) -> Option<&EntryText> {
        self.entries.get(*self.good.get(index)?)
    }

    /// The bytes of what `steps` lead to in the `index`th entry of the list; of the nearest thing around it where the text does not have it.
    pub(crate) fn span_of(&self, index: usize, steps: &[Step]) -> Range<usize> {
        self.tree(index).map_or(0..0, |root| self.follow(&root, steps))
    }

    /// What the `index`th entry of the list is made of; the entry as a whole, where that makes no sense.
    pub(crate) fn tree(&self, index: usize) -> Option<Node> {
        let span = self.good_entry(index)?.span.clone();
        Some(syntax::parse(&self.text, span.clone()).unwrap_or(Node { span, group: None }))
    }

    /// The bytes of what `steps` lead to from there.
    pub(crate) fn follow(&self, root: &Node, steps: &[Step]) -> Range<usize> {
        let mut node = root;
        let mut span = root.span.clone();
        for step in steps {
            // `Some(…)` may be written or left out.
            while let Some(group) = &node.group
                && group.name_text(&self.text) == Some("Some")
                && let [only] = group.items.as_slice()
            {
                node = &only.value;
                span = node.span.clone();
            }
            let Some(group) = &node.group else { break };
            let item: Option<&Item> = match step {
                Step::Field(name) => group.field(&self.text, name),
                Step::Key(key) | Step::Name(key) => {
                    group.items.iter().find(|item| item.key_text(&self.text).is_some_and(|text| says(text, key)))
                }
                Step::At(index) => group.items.get(*index),
            };
            let Some(item) = item else { break };
            node = &item.value;
            span = match (step, &item.key) {
                (Step::Name(_), Some(key)) => key.clone(),
                _ => node.span.clone(),
            };
        }
        span
    }
}

/// True where the RON text of a key says `key`.
pub(crate) fn says(text: &str, key: &str) -> bool {
    text.strip_prefix('"').and_then(|t| t.strip_suffix('"')).is_some_and(|inside| inside == key)
        || (text.contains(['\\', '#']) || text.starts_with('r')) && ron::from_str::<String>(text).is_ok_and(|said| said == key)
}
