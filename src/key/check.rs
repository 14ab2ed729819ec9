//! What is wrong with what a key says, apart from how it is written.

mod apart;
mod entries;
mod form;
mod index;
mod names;
mod pictures;
mod shape;

use super::file::KeyFile;
use super::load::Texts;
use super::model::{Form, Key};
use super::problem::{Place, Problem, ProblemKind};
use super::source::Source;
use super::text::{State, Step};
use index::Index;

/// What was found, before it has a place.
struct Finding {
    file: KeyFile,
    /// Which entry of the list.
    entry: usize,
    /// From the entry down to what is meant.
    steps: Vec<Step>,
    kind: ProblemKind,
}

/// Where findings gather; knows of which entry is being spoken.
struct Sink {
    findings: Vec<Finding>,
    file: KeyFile,
    entry: usize,
}

impl Sink {
    fn at(&mut self, file: KeyFile, entry: usize) {
        self.file = file;
        self.entry = entry;
    }

    fn push(&mut self, steps: &[Step], kind: ProblemKind) {
        self.findings.push(Finding { file: self.file, entry: self.entry, steps: steps.to_vec(), kind });
    }
}

/// Everything that is wrong with a key that was read, in no order.
pub(crate) fn check(key: &Key, texts: &Texts, source: &dyn Source) -> Vec<Problem> {
    let index = Index::new(key, texts);
    let mut sink = Sink { findings: Vec::new(), file: KeyFile::About, entry: 0 };
    entries::check(key, &index, &mut sink);
    for (at, form) in key.forms.iter().enumerate() {
        sink.at(KeyFile::Forms, at);
        form::check(form, &index, &mut sink);
    }
    names::check(key, texts, &mut sink);
    pictures::check(key, source, &mut sink);
    if index.is_whole() {
        apart::check(key, texts, &mut sink);
    }
    sink.findings.into_iter().map(|finding| placed(finding, texts)).collect()
}

/// What is wrong with one form of a key, as it is being written and before it is saved. The places name the file only.
pub fn check_form(key: &Key, form: &Form) -> Vec<Problem> {
    let texts = Texts::none();
    let index = Index::new(key, &texts);
    let mut sink = Sink { findings: Vec::new(), file: KeyFile::Forms, entry: 0 };
    form::check(form, &index, &mut sink);
    names::check_form(key, form, &mut sink);
    sink.findings.into_iter().map(|finding| placed(finding, &texts)).collect()
}

fn placed(finding: Finding, texts: &Texts) -> Problem {
    let text = texts.file(finding.file);
    if text.state == State::Missing || text.file != finding.file || text.good_entry(finding.entry).is_none() {
        return Problem::of_file(finding.file.name(), finding.kind);
    }
    text.problem(&text.span_of(finding.entry, &finding.steps), finding.kind)
}

/// The place of a field of an entry.
fn place_of(texts: &Texts, file: KeyFile, entry: usize, field: &'static str) -> Place {
    let text = texts.file(file);
    if text.file != file || text.good_entry(entry).is_none() {
        return Place::file(file.name());
    }
    text.place(&text.span_of(entry, &[Step::Field(field)]))
}
