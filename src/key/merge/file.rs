//! Putting the texts of one file together.

use super::clash::{Choices, Clash, Side};
use super::lists::{Counting, entries, join_about, same};
use crate::key::file::{Entry, KeyFile};
use crate::key::load::{decode, parse_about, parse_list};
use crate::key::model::{Counted, Decoration, Feature, Form, Glaze, Line, Mark, Paper, Retired};
use crate::key::problem::{Place, Problem};
use crate::key::save::{Given, rewrite};
use crate::key::source::SIZE_LIMIT;
use crate::key::syntax::skip_trivia;
use crate::key::text::{FileText, State};
use std::collections::{HashMap, HashSet};

/// What came of putting three versions of one file together.
#[derive(Debug, Clone, PartialEq)]
pub struct FileJoined {
    /// The new bytes; None where there is no such file any more.
    pub bytes: Option<Vec<u8>>,
    /// What both sides changed, each otherwise.
    pub clashes: Vec<Clash>,
    /// What could not be put together and why, in sentences with their place. Mine stands there.
    pub problems: Vec<String>,
}

impl FileJoined {
    fn whole(bytes: Option<&[u8]>) -> Self {
        Self { bytes: bytes.map(<[u8]>::to_vec), clashes: Vec::new(), problems: Vec::new() }
    }

    /// True where everything was put together.
    pub fn is_clean(&self) -> bool {
        self.clashes.is_empty() && self.problems.is_empty()
    }
}

/// The three versions of a file: as it was, mine, theirs; None where there is none.
pub type Versions<'b> = [Option<&'b [u8]>; 3];

/// Puts three versions of a file of a key together.
///
/// Where only one side changed the file, it is that side's byte for byte. Else it is my text, in which the entries that only they changed are
/// as they wrote them, and those that both changed are changed field by field.
pub fn join_file(file: KeyFile, versions: Versions<'_>, choices: &Choices) -> FileJoined {
    join_counting(file, versions, choices, [&[], &[], &[]])
}

/// The same, where it is known which finds were counted.
pub(super) fn join_counting(file: KeyFile, versions: Versions<'_>, choices: &Choices, counted: [&[Counted]; 3]) -> FileJoined {
    let [base, mine, theirs] = versions;
    let [was, here, there] = counted;
    let counting = Counting::new(was, here, there);
    // Equal texts may hold counts that have to be added up, and two files without an entry of their own have none.
    if mine == theirs && (mine == base || file != KeyFile::Forms) || theirs == base {
        return FileJoined::whole(mine);
    }
    if mine == base {
        return FileJoined::whole(theirs);
    }
    let texts = versions.map(|bytes| Text::new(file, bytes));
    match file {
        KeyFile::About => about(texts, mine, choices),
        KeyFile::Features => list::<Feature>(texts, mine, &counting, choices),
        KeyFile::Lines => list::<Line>(texts, mine, &counting, choices),
        KeyFile::Forms => list::<Form>(texts, mine, &counting, choices),
        KeyFile::Glazes => list::<Glaze>(texts, mine, &counting, choices),
        KeyFile::Decorations => list::<Decoration>(texts, mine, &counting, choices),
        KeyFile::Marks => list::<Mark>(texts, mine, &counting, choices),
        KeyFile::Papers => list::<Paper>(texts, mine, &counting, choices),
        KeyFile::Counted => list::<Counted>(texts, mine, &counting, choices),
        KeyFile::Retired => list::<Retired>(texts, mine, &counting, choices),
    }
}

/// A version that is read.
struct Text {
    text: FileText,
    problems: Vec<Problem>,
}

impl Text {
    fn new(file: KeyFile, bytes: Option<&[u8]>) -> Self {
        let mut problems = Vec::new();
        let text = match bytes {
            // Version control gives an empty file where there was none.
            None => FileText::missing(file),
            Some(bytes) if bytes.trim_ascii().is_empty() => FileText::missing(file),
            Some(bytes) if bytes.len() as u64 > SIZE_LIMIT => FileText::new(file, String::new(), State::Failed, None),
            Some(bytes) => decode(file, bytes.to_vec(), &mut problems),
        };
        Self { text, problems }
    }

    /// Why it makes no sense as a whole.
    fn failure(&self, whose: Side) -> Option<String> {
        if self.text.state != State::Failed {
            return None;
        }
        let why = self.problems.first().map_or_else(|| "it is too large".to_owned(), |problem| problem.to_string().replace('\n', ", "));
        Some(format!("'{}' can't be put together, since {} makes no sense as a whole: {why}", self.text.file, version(whose)))
    }
}

/// Whose version a text is, in words.
fn version(side: Side) -> &'static str {
    match side {
        Side::Base => "the version both started from",
        Side::Mine => "my version",
        Side::Theirs => "their version",
    }
}

const SIDES: [Side; 3] = [Side::Base, Side::Mine, Side::Theirs];

fn about(mut texts: [Text; 3], mine_bytes: Option<&[u8]>, choices: &Choices) -> FileJoined {
    let keys =
        texts.each_mut().map(|text| if text.text.state == State::Read { parse_about(&mut text.text, &mut text.problems) } else { None });
    let mut out = FileJoined::whole(mine_bytes);
    out.problems.extend(texts.iter().zip(SIDES).filter_map(|(text, side)| text.failure(side)));
    let [base, mine, theirs] = &keys;
    let [_, my_text, _] = &texts;
    let (Some(mine), Some(theirs)) = (mine, theirs) else {
        if out.problems.is_empty() {
            out.problems.push(format!("'{}' was taken out by one side and changed by the other", KeyFile::About));
        }
        return out;
    };
    // Two keys that began apart have no version in common: what differs clashes.
    let joined = join_about(base.as_ref().unwrap_or(mine), mine, theirs, choices, &mut out.clashes);
    match rewrite::about(&my_text.text, mine, &joined) {
        Ok(text) => out.bytes = Some(text.into_bytes()),
        Err(error) => out.problems.push(error.to_string()),
    }
    out
}

fn list<T: Entry>(mut texts: [Text; 3], mine_bytes: Option<&[u8]>, counting: &Counting<'_>, choices: &Choices) -> FileJoined {
    let lists: [Vec<T>; 3] = texts
        .each_mut()
        .map(|text| if text.text.state == State::Read { parse_list(&mut text.text, &mut text.problems) } else { Vec::new() });
    let mut out = FileJoined::whole(mine_bytes);
    out.problems.extend(texts.iter().zip(SIDES).filter_map(|(text, side)| text.failure(side)));
    if !out.problems.is_empty() {
        return out;
    }
    let [base_text, my_text, their_text] = &texts.map(|text| text.text);
    let [mut base, mine, mut theirs] = lists;
    // An entry that makes no sense on one side is neither gone nor there: whatever has its id stays as mine has it.
    let barred = not_understood::<T>([base_text, my_text, their_text], &mut out.problems);
    if !barred.is_empty() {
        let here: HashMap<&str, &T> = mine.iter().map(|entry| (entry.id(), entry)).collect();
        for list in [&mut base, &mut theirs] {
            list.retain(|entry| !barred.contains(entry.id()));
            list.extend(barred.iter().filter_map(|id| here.get(id.as_str()).map(|entry| (*entry).clone())));
        }
    }
    let Some((joined, clashes)) = entries(&base, &mine, &theirs, counting, choices) else {
        out.problems.push(format!("in '{}' two entries have one id, so that it can't be said which is meant", T::FILE));
        return out;
    };
    let given = given([base_text, my_text, their_text], &mine, &theirs, &joined);
    // What is left out of a file that was never there needs no file.
    if my_text.state == State::Missing && joined.is_empty() {
        return out;
    }
    match rewrite::list_given(my_text, &mine, &joined, &given) {
        Ok(text) => {
            out.bytes = Some(text.into_bytes());
            out.clashes = clashes;
        }
        Err(error) => out.problems.push(error.to_string()),
    }
    out
}

/// The ids of entries that mine or theirs has broken and the others have not just so; what can be said of each goes to `problems`.
fn not_understood<T: Entry>([base, mine, theirs]: [&FileText; 3], problems: &mut Vec<String>) -> HashSet<String> {
    let broken = |text: &FileText| -> Vec<(String, Option<String>, Place)> {
        let body = |entry: &crate::key::text::EntryText| text.text.get(entry.span.clone()).unwrap_or_default().to_owned();
        text.entries.iter().filter(|entry| !entry.good).map(|entry| (body(entry), entry.id.clone(), text.place(&entry.span))).collect()
    };
    let (was, here, there) = (broken(base), broken(mine), broken(theirs));
    let body = |text: &FileText, id: &str| {
        let entry = text.entries.iter().find(|entry| entry.good && entry.id.as_deref() == Some(id))?;
        text.text.get(entry.span.clone()).map(str::to_owned)
    };
    let mut barred: HashSet<String> = [&was, &here, &there].into_iter().flatten().filter_map(|(_, id, _)| id.clone()).collect();
    let known: HashSet<&str> = was.iter().chain(&here).map(|(body, ..)| body.as_str()).collect();
    for (_, id, place) in there.iter().filter(|(body, ..)| !known.contains(body.as_str())) {
        let name = id.as_ref().map_or_else(String::new, |id| format!(" '{id}'"));
        // It may be any of those that they seem to have taken out, or hold them where a bracket was never closed.
        let there: HashSet<&str> = theirs.entries.iter().filter_map(|entry| entry.id.as_deref()).collect();
        let gone = base.entries.iter().filter_map(|entry| entry.id.clone()).filter(|id| !there.contains(id.as_str()));
        barred.extend(gone);
        problems.push(format!("the {}{name} of their version was not understood, so mine stands: {place}", T::FILE.word()));
    }
    // Broken here and sound there: theirs would be a second entry of that id.
    for (_, id, place) in &here {
        if let Some(id) = id.as_deref()
            && let Some(changed) = body(theirs, id)
            && body(base, id) != Some(changed)
        {
            problems.push(format!("the {} '{id}' of my version was not understood, so theirs is not put in: {place}", T::FILE.word()));
        }
    }
    barred
}

/// The texts of entries that are taken from theirs as they stand: those that only they changed or added.
fn given<T: Entry>([base, mine, theirs]: [&FileText; 3], my_list: &[T], their_list: &[T], joined: &[T]) -> Given {
    fn bodies(text: &FileText) -> HashMap<&str, &str> {
        let good = text.entries.iter().filter(|entry| entry.good);
        good.filter_map(|entry| Some((entry.id.as_deref()?, text.text.get(entry.span.clone())?))).collect()
    }
    let (was, here) = (bodies(base), bodies(mine));
    let my_ids: HashSet<&str> = my_list.iter().map(Entry::id).collect();
    let result: HashMap<&str, &T> = joined.iter().map(|entry| (entry.id(), entry)).collect();
    let mut given = Given::new();
    for (at, entry) in their_list.iter().enumerate() {
        let id = entry.id();
        let Some(text) = theirs.good_entry(at).and_then(|entry| theirs.text.get(entry.span.clone()).map(|body| (entry, body))) else {
            continue;
        };
        let untouched_here = !my_ids.contains(id) || here.get(id).is_some_and(|mine| was.get(id) == Some(mine));
        if untouched_here && here.get(id) != Some(&text.1) && result.get(id).is_some_and(|joined| same(*joined, entry)) {
            let from = if my_ids.contains(id) { text.0.span.start } else { with_comments(&theirs.text, text.0.span.start) };
            let body = theirs.text.get(from..text.0.span.end).unwrap_or(text.1);
            given.insert(id.to_owned(), body.replace("\r\n", "\n"));
        }
    }
    given
}

/// Where the comments directly above an entry begin; the entry itself where there are none.
fn with_comments(text: &str, entry: usize) -> usize {
    let mut start = entry;
    let line_start = text.get(..entry).and_then(|before| before.rfind('\n')).map_or(0, |at| at + 1);
    if text.get(line_start..entry).is_none_or(|lead| !lead.trim().is_empty()) {
        return entry;
    }
    let mut above = text.get(..line_start).unwrap_or_default();
    while let Some(rest) = above.strip_suffix('\n') {
        let from = rest.rfind('\n').map_or(0, |at| at + 1);
        let line = rest.get(from..).unwrap_or_default();
        let heading = ["---", "===", "***"].iter().any(|rule| line.contains(rule));
        if !line.trim_start().starts_with("//") || heading {
            break;
        }
        start = from + (line.len() - line.trim_start().len());
        above = rest.get(..from).unwrap_or_default();
    }
    // Within a comment of several lines nothing is what it seems.
    if skip_trivia(text, start) == Ok(entry) { start } else { entry }
}
