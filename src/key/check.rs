//! What is wrong with what a key says, apart from how it is written.

mod apart;
mod code;
mod entries;
mod form;
mod index;
mod names;
mod pairs;
pub(super) mod pictures;
mod shape;

use super::file::KeyFile;
use super::load::{MOST_PROBLEMS, Texts};
use super::model::{Form, Key};
use super::problem::{Place, Problem, ProblemKind};
use super::source::Source;
use super::text::{State, Step};
use index::Index;
use rayon::prelude::*;

/// Forms that one core checks at a time.
const AT_A_TIME: usize = 128;

/// What was found, before it has a place.
struct Finding {
    file: KeyFile,
    /// Which entry of the list.
    entry: usize,
    /// From the entry down to what is meant.
    steps: Vec<Step>,
    kind: ProblemKind,
    /// True where the nearest name is still to be looked for.
    wants_nearest: bool,
}

/// Where findings gather; knows of which entry is being spoken.
struct Sink {
    findings: Vec<Finding>,
    file: KeyFile,
    entry: usize,
}

impl Sink {
    fn new() -> Self {
        Self { findings: Vec::new(), file: KeyFile::About, entry: 0 }
    }

    fn at(&mut self, file: KeyFile, entry: usize) {
        self.file = file;
        self.entry = entry;
    }

    fn push(&mut self, steps: &[Step], kind: ProblemKind) {
        self.findings.push(Finding { file: self.file, entry: self.entry, steps: steps.to_vec(), kind, wants_nearest: false });
    }

    /// Tells of something that is not in a file; the nearest name there is looked for at the end.
    fn push_to_suggest(&mut self, steps: &[Step], kind: ProblemKind) {
        self.findings.push(Finding { file: self.file, entry: self.entry, steps: steps.to_vec(), kind, wants_nearest: true });
    }
}

/// Everything that is wrong with a key that was read, in no order. More than can be listed of one file is only counted.
///
/// As many cores as there are work at it; the outcome is that of one.
pub(crate) fn check(key: &Key, texts: &Texts, source: &dyn Source) -> Vec<Problem> {
    let index = Index::new(key, texts);
    let each_form = || -> Vec<Finding> {
        let some = |(chunk, forms): (usize, &[Form])| {
            let mut sink = Sink::new();
            for (at, form) in forms.iter().enumerate() {
                sink.at(KeyFile::Forms, chunk * AT_A_TIME + at);
                form::check(form, &index, &mut sink);
            }
            sink.findings
        };
        // Collected by chunk first: the order is that of the file.
        let found: Vec<Vec<Finding>> = key.forms.par_chunks(AT_A_TIME).enumerate().map(some).collect();
        found.into_iter().flatten().collect()
    };
    let the_rest = || {
        let mut before = Sink::new();
        entries::check(key, &index, &mut before);
        let mut after = Sink::new();
        names::check(key, texts, &mut after);
        pictures::check(key, source, &mut after);
        (before.findings, after.findings)
    };
    let alike = || {
        let mut sink = Sink::new();
        if index.is_whole() {
            apart::check(key, texts, &mut sink);
        }
        sink.findings
    };
    let ((forms, alike), (before, after)) = rayon::join(|| rayon::join(each_form, alike), the_rest);
    let mut findings: Vec<Finding> = [before, forms, after, alike].into_iter().flatten().collect();
    index.suggest(&mut findings);
    place_all(findings, texts)
}

/// What is wrong with one form of a key, as it is being written and before it is saved. The places name the file only.
pub fn check_form(key: &Key, form: &Form) -> Vec<Problem> {
    let texts = Texts::none();
    let index = Index::new(key, &texts);
    let mut sink = Sink::new();
    sink.at(KeyFile::Forms, 0);
    form::check(form, &index, &mut sink);
    names::check_form(key, form, &mut sink);
    index.suggest(&mut sink.findings);
    sink.findings.into_iter().map(|finding| Problem::of_file(finding.file.name(), finding.kind)).collect()
}

/// What is wrong with a key as it is being changed and before it is saved: everything but its pictures and what can't be told apart. The places name the file only.
pub fn check_key(key: &Key) -> Vec<Problem> {
    let texts = Texts::none();
    let index = Index::new(key, &texts);
    let mut sink = Sink::new();
    entries::check(key, &index, &mut sink);
    for (at, form) in key.forms.iter().enumerate() {
        sink.at(KeyFile::Forms, at);
        form::check(form, &index, &mut sink);
    }
    names::check(key, &texts, &mut sink);
    index.suggest(&mut sink.findings);
    sink.findings.into_iter().map(|finding| Problem::of_file(finding.file.name(), finding.kind)).collect()
}

/// Gives each finding its place. Of each file, once as many have one as are listed, the others are counted.
fn place_all(mut findings: Vec<Finding>, texts: &Texts) -> Vec<Problem> {
    // Entries stand in the file in their order, so that what comes later here comes later there.
    findings.sort_by_key(|finding| (finding.file, finding.entry));
    let mut out = Vec::new();
    for of_file in findings.chunk_by(|a, b| a.file == b.file) {
        let Some(file) = of_file.first().map(|finding| finding.file) else { continue };
        let text = texts.file(file);
        let (mut placed, mut counted) = (0, 0);
        for of_entry in of_file.chunk_by(|a, b| a.entry == b.entry) {
            // One entry may have ten thousand: finding their places one by one would take minutes.
            let (of_entry, rest) = of_entry.split_at(of_entry.len().min(MOST_PROBLEMS.saturating_sub(placed)));
            counted += rest.len();
            placed += of_entry.len();
            if of_entry.is_empty() {
                continue;
            }
            let Some(entry) = of_entry.first().filter(|_| text.state != State::Missing && text.file == file).map(|first| first.entry)
            else {
                out.extend(of_entry.iter().map(|finding| Problem::of_file(file.name(), finding.kind.clone())));
                continue;
            };
            let tree = text.tree(entry);
            out.extend(of_entry.iter().map(|finding| match &tree {
                Some(tree) => text.problem(&text.follow(tree, &finding.steps), finding.kind.clone()),
                None => Problem::of_file(file.name(), finding.kind.clone()),
            }));
        }
        if counted > 0 {
            out.push(Problem::of_file(file.name(), ProblemKind::More(counted)));
        }
    }
    out
}

/// The place of a field of an entry.
fn place_of(texts: &Texts, file: KeyFile, entry: usize, field: &'static str) -> Place {
    let text = texts.file(file);
    if text.file != file || text.good_entry(entry).is_none() {
        return Place::file(file.name());
    }
    text.place(&text.span_of(entry, &[Step::Field(field)]))
}
