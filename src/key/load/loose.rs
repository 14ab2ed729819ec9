//! Lists of entries that are no file of a key: tables of this program that a person may edit, read with the same care.

use super::entry;
use crate::key::file::KeyFile;
use crate::key::problem::{Problem, ProblemKind};
use crate::key::syntax::{Entries, SyntaxErrorKind};
use crate::key::text::{FileText, State, Step};
use serde::de::DeserializeOwned;
use std::ops::Range;

/// A list as it was read: what could be used, and everything that is wrong.
#[derive(Debug, Clone)]
pub(crate) struct Loose<T> {
    /// The entries that make sense, in the order of the text.
    pub(crate) entries: Vec<T>,
    /// Everything that is wrong, in the order of the lines.
    pub(crate) problems: Vec<Problem>,
    name: String,
    text: FileText,
    spans: Vec<Range<usize>>,
}

impl<T: DeserializeOwned> Loose<T> {
    /// Reads a text in square brackets, entry by entry. `name` is what the file is called in problems, `word` what one entry is.
    pub(crate) fn read(name: &str, text: &str, word: &'static str) -> Self {
        // Only the name of the file is the key's; it is put right in every problem.
        let text = FileText::new(KeyFile::About, text.to_owned(), State::Read, None);
        let mut read = Self { entries: Vec::new(), problems: Vec::new(), name: name.to_owned(), text, spans: Vec::new() };
        let body = read.text.text.clone();
        match Entries::of(&body) {
            Err(fault) => read.tell(&fault.span, ProblemKind::Syntax(fault.kind)),
            Ok(entries) => read.all(entries, word),
        }
        read.problems.sort_by(|a, b| a.place.cmp(&b.place));
        read
    }

    fn all(&mut self, mut entries: Entries<'_>, word: &'static str) {
        while let Some(next) = entries.next_entry() {
            match next {
                Err(fault) => self.tell(&fault.span, ProblemKind::Syntax(fault.kind)),
                Ok(mut found) => {
                    let mut result = entry::read::<T>(&self.text, found.span.clone(), word);
                    if result.is_err() && found.fault.is_none() && entries.read_again_inside(&mut found) {
                        result = entry::read::<T>(&self.text, found.span.clone(), word);
                    }
                    match (result, found.fault) {
                        (Ok(entry), fault) => {
                            self.entries.push(entry);
                            self.spans.push(found.span);
                            if let Some(fault) = fault.filter(|fault| matches!(fault.kind, SyntaxErrorKind::CommaMissing(_))) {
                                self.tell(&fault.span, ProblemKind::Syntax(fault.kind));
                            }
                        }
                        (Err(_), Some(fault)) => self.tell(&fault.span, ProblemKind::Syntax(fault.kind)),
                        (Err(problems), None) => self.problems.extend(problems.into_iter().map(|problem| renamed(problem, &self.name))),
                    }
                }
            }
        }
    }

    fn tell(&mut self, span: &Range<usize>, kind: ProblemKind) {
        let problem = renamed(self.text.problem(span, kind), &self.name);
        self.problems.push(problem);
    }
}

impl<T> Loose<T> {
    /// A problem of what `steps` lead to in the entry of that number.
    pub(crate) fn problem(&self, entry: usize, steps: &[Step], kind: ProblemKind) -> Problem {
        let Some(span) = self.spans.get(entry).cloned() else { return Problem::of_file(self.name.as_str(), kind) };
        let root = crate::key::syntax::parse(&self.text.text, span.clone());
        let span = root.map_or(span, |root| self.text.follow(&root, steps));
        renamed(self.text.problem(&span, kind), &self.name)
    }
}

fn renamed(mut problem: Problem, name: &str) -> Problem {
    name.clone_into(&mut problem.place.file);
    problem
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde::Deserialize;

    #[derive(Debug, PartialEq, Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Pair {
        seen: char,
        stands: char,
    }

    fn read(text: &str) -> (usize, Vec<String>) {
        let loose = Loose::<Pair>::read("letters.ron", text, "pair of letters");
        (loose.entries.len(), loose.problems.iter().map(ToString::to_string).collect())
    }

    #[test]
    fn what_makes_sense_is_kept_and_the_rest_told_with_its_place() {
        let (kept, told) = read("[\n  (seen: 'a', stands: 'b'),\n  (sen: 'a', stands: 'b'),\n  (seen: 'c', stands: 'd')\n]");
        assert_eq!(kept, 2);
        assert_eq!(told, ["a pair of letters has no field 'sen' (did you mean 'seen'?)\nletters.ron:3:4"]);
    }

    #[test]
    fn brackets_are_told_and_an_entry_has_a_place() {
        assert_eq!(read("(seen: 'a')").1, ["'(' was not expected here (expected '[' at the start of a list of entries)\nletters.ron:1:1"]);
        assert_eq!(read("[(seen: 'a', stands: 'b'").1.len(), 1);
        let loose = Loose::<Pair>::read("letters.ron", "[\n (seen: 'a', stands: 'b')]", "pair of letters");
        let told = loose.problem(0, &[Step::Field("stands")], ProblemKind::NotUtf8);
        assert_eq!((told.place.line, told.place.column), (2, 22));
    }
}
