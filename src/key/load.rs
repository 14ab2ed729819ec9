//! Reading a key: everything that can be used, and everything that is wrong, in one go.

mod entry;
mod list;
mod loose;

pub(crate) use list::parse_list;
pub(crate) use loose::Loose;

use super::check;
use super::file::{Entry, KeyFile};
use super::model::{About, FORMAT, Key};
use super::problem::{Problem, ProblemKind};
use super::source::{FolderSource, Source};
use super::syntax::{self, SyntaxError};
use super::text::{EntryText, FileText, State};
use super::versions;
use ron::extensions::Extensions;
use std::path::Path;

/// More problems of one file than this are counted, not listed.
pub(super) const MOST_PROBLEMS: usize = 500;

/// A key as it was read.
#[derive(Debug, Clone)]
pub struct Loaded {
    /// What could be used. An entry that makes no sense is left out, everything else is there.
    pub key: Key,
    /// Everything that is wrong, in the order of [`KeyFile::ALL`], and of the lines in each file.
    pub problems: Vec<Problem>,
    /// The texts it was read from.
    pub(crate) texts: Texts,
    /// The older format that it has on disk, where it has one.
    pub(crate) older: Option<u32>,
}

impl Loaded {
    /// True where a newer program wrote this key, so that it may only be read.
    pub fn is_newer(&self) -> bool {
        self.problems.iter().any(|p| matches!(p.kind, ProblemKind::NewerFormat { .. }))
    }
}

/// The texts of all files of a key.
#[derive(Debug, Clone)]
pub(crate) struct Texts {
    files: Vec<FileText>,
}

impl Texts {
    /// The text of a file.
    pub(crate) fn file(&self, file: KeyFile) -> &FileText {
        static NONE: std::sync::LazyLock<FileText> = std::sync::LazyLock::new(|| FileText::missing(KeyFile::About));
        self.files.iter().find(|text| text.file == file).unwrap_or(&NONE)
    }

    /// Texts of a key that was never on disk.
    pub(crate) fn none() -> Self {
        Self { files: Vec::new() }
    }
}

/// Reads the key in that folder and checks it.
///
/// It never fails: what cannot be read is left out, and every problem is told with its place.
pub fn load(dir: &Path) -> Loaded {
    match std::fs::metadata(dir) {
        Ok(found) if found.is_dir() => load_from(&FolderSource::new(dir), &folder_title(dir)),
        Ok(_) => nothing(&folder_title(dir), ProblemKind::NotAFolder(dir.display().to_string())),
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => nothing(&folder_title(dir), ProblemKind::NoFolder(dir.display().to_string())),
        Err(e) => nothing(&folder_title(dir), ProblemKind::CannotRead(super::source::say(&e))),
    }
}

fn folder_title(dir: &Path) -> String {
    dir.file_name().map_or_else(|| "house key".to_owned(), |name| name.to_string_lossy().into_owned())
}

fn nothing(title: &str, kind: ProblemKind) -> Loaded {
    let about = About { format: FORMAT, title: title.to_owned(), ..About::default() };
    Loaded { key: Key { about, ..Key::default() }, problems: vec![Problem::of_file("", kind)], texts: Texts::none(), older: None }
}

/// Reads and checks the key of any source.
pub(crate) fn load_from(source: &dyn Source, title: &str) -> Loaded {
    let mut loaded = read(source, title);
    loaded.problems.extend(check::check(&loaded.key, &loaded.texts, source));
    loaded.problems = in_order(loaded.problems);
    loaded
}

/// Reads the key without checking what it says.
pub(crate) fn read(source: &dyn Source, title: &str) -> Loaded {
    let mut reader = Reader { source, problems: Vec::new(), texts: Texts { files: Vec::new() }, format: FORMAT };
    let about = reader.about(title);
    let key = Key {
        about,
        features: reader.list(),
        lines: reader.list(),
        forms: reader.list(),
        glazes: reader.list(),
        decorations: reader.list(),
        marks: reader.list(),
        papers: reader.list(),
        counted: reader.list(),
        retired: reader.list(),
    };
    let older = (reader.format < FORMAT).then_some(reader.format);
    Loaded { key, problems: reader.problems, texts: reader.texts, older }
}

/// How RON is read and written here.
pub(crate) fn options() -> ron::Options {
    ron::Options::default()
        .with_default_extension(Extensions::IMPLICIT_SOME)
        .with_default_extension(Extensions::UNWRAP_NEWTYPES)
        .with_default_extension(Extensions::UNWRAP_VARIANT_NEWTYPES)
        .with_recursion_limit(4 * syntax::DEPTH_LIMIT)
}

struct Reader<'s> {
    source: &'s dyn Source,
    problems: Vec<Problem>,
    texts: Texts,
    /// The format of the key on disk, once `key.ron` was read.
    format: u32,
}

impl Reader<'_> {
    /// The text of a file, ready to be taken apart, unless it can't be read at all.
    fn text(&mut self, file: KeyFile) -> FileText {
        let bytes = match self.source.read(file.name()) {
            Ok(Some(bytes)) => bytes,
            Ok(None) => return FileText::missing(file),
            Err(kind) => {
                self.problems.push(Problem::of_file(file.name(), kind));
                return FileText::new(file, String::new(), State::Failed, None);
            }
        };
        let mut text = decode(file, bytes, &mut self.problems);
        if text.state != State::Read {
            return text;
        }
        if file == KeyFile::About {
            self.format = versions::format_of(&text.text).unwrap_or(FORMAT);
        }
        if let Some((now, _)) = versions::brought_up(file, &text.text, self.format) {
            text = FileText::new(file, now, State::Read, text.hash);
        }
        text
    }

    fn about(&mut self, title: &str) -> About {
        let mut text = self.text(KeyFile::About);
        let otherwise = About { format: FORMAT, title: title.to_owned(), give_percent: 2.0, ..About::default() };
        if text.state == State::Missing {
            self.problems.push(Problem::of_file(KeyFile::About.name(), ProblemKind::NoKeyFile));
        }
        let about = if text.hash.is_some() { parse_about(&mut text, &mut self.problems) } else { None };
        if self.format < FORMAT {
            let kind = ProblemKind::OlderFormat { found: self.format, known: FORMAT };
            self.problems.push(Problem::of_file(KeyFile::About.name(), kind));
        }
        self.texts.files.push(text);
        about.unwrap_or(otherwise)
    }

    fn list<T: Entry>(&mut self) -> Vec<T> {
        let mut text = self.text(T::FILE);
        let list = if text.hash.is_some() { parse_list(&mut text, &mut self.problems) } else { Vec::new() };
        self.texts.files.push(text);
        list
    }
}

/// Bytes as text; what is no UTF-8 is a problem, and makes the file one that is never written.
pub(crate) fn decode(file: KeyFile, bytes: Vec<u8>, problems: &mut Vec<Problem>) -> FileText {
    let hash = blake3::hash(&bytes);
    match String::from_utf8(bytes) {
        Ok(text) => FileText::new(file, text, State::Read, Some(hash)),
        Err(wrong) => {
            let at = wrong.utf8_error().valid_up_to();
            let text = String::from_utf8_lossy(wrong.as_bytes()).into_owned();
            let text = FileText::new(file, text, State::Failed, Some(hash));
            problems.push(text.problem(&(at..at + '\u{fffd}'.len_utf8()), ProblemKind::NotUtf8));
            text
        }
    }
}

/// Reads `key.ron`. None where it makes no sense.
pub(crate) fn parse_about(text: &mut FileText, problems: &mut Vec<Problem>) -> Option<About> {
    let start = match syntax::header_end(&text.text) {
        Ok(start) => start,
        Err(fault) => {
            fail(text, fault, problems);
            return None;
        }
    };
    let end = text.text.trim_end().len().max(start);
    newer_format(text, start..end, problems);
    text.entries = vec![EntryText { span: start..end, comma: None, id: None, good: false }];
    match entry::read::<About>(text, start..end, "key") {
        Ok(about) => {
            // Comments may follow the closing bracket; the entry ends at it.
            let end = syntax::parse(&text.text, start..end).map_or(end, |node| node.span.end);
            text.entries = vec![EntryText { span: start..end, comma: None, id: None, good: true }];
            text.good = vec![0];
            Some(about)
        }
        Err(found) => {
            text.state = State::Failed;
            problems.extend(found);
            None
        }
    }
}

/// Says so where the key has a format that this program does not know, even if it cannot read the rest of `key.ron`.
fn newer_format(text: &FileText, span: std::ops::Range<usize>, problems: &mut Vec<Problem>) {
    let Ok(node) = syntax::parse(&text.text, span) else { return };
    let Some(item) = node.group.as_ref().and_then(|group| group.field(&text.text, "format")) else { return };
    let Ok(found) = item.value.text(&text.text).parse::<u32>() else { return };
    if found > FORMAT {
        problems.push(text.problem(&item.value.span, ProblemKind::NewerFormat { found, known: FORMAT }));
    }
}

fn fail(text: &mut FileText, fault: SyntaxError, problems: &mut Vec<Problem>) {
    text.state = State::Failed;
    problems.push(text.problem(&fault.span, ProblemKind::Syntax(fault.kind)));
}

/// Problems by file and line, each file's tail counted.
fn in_order(mut problems: Vec<Problem>) -> Vec<Problem> {
    let rank = |problem: &Problem| KeyFile::ALL.iter().position(|file| file.name() == problem.place.file);
    problems.sort_by(|a, b| rank(a).cmp(&rank(b)).then_with(|| a.place.cmp(&b.place)).then(a.severity.cmp(&b.severity)));
    let mut out: Vec<Problem> = Vec::new();
    let mut more = 0;
    let mut listed = 0;
    let mut file = String::new();
    for problem in problems {
        if problem.place.file != file {
            if more > 0 {
                out.push(Problem::of_file(std::mem::take(&mut file), ProblemKind::More(more)));
            }
            file.clone_from(&problem.place.file);
            (more, listed) = (0, 0);
        }
        if let ProblemKind::More(count) = problem.kind {
            more += count;
        } else if listed >= MOST_PROBLEMS {
            more += 1;
        } else {
            listed += 1;
            out.push(problem);
        }
    }
    if more > 0 {
        out.push(Problem::of_file(file, ProblemKind::More(more)));
    }
    out
}
