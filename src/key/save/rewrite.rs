//! The new text of a file: the old one with only the changed entries changed, checked by reading it.

use super::chunks::Chunks;
use super::error::SaveError;
use super::weave::{fresh, weave};
use crate::key::file::{Entry, KeyFile};
use crate::key::load::{decode, parse_about, parse_list};
use crate::key::merge::{ALIKE, known_again, same};
use crate::key::model::About;
use crate::key::print::{STEP, compact, print};
use crate::key::text::{EntryText, FileText, State};
use std::collections::{HashMap, VecDeque};

/// Texts for entries, by their ids, that are put in as they stand.
pub(crate) type Given = HashMap<String, String>;

/// The text of `key.ron` with `new` in the place of `old`.
///
/// # Errors
/// Where the text did not parse, or the new one would not mean `new`.
pub(crate) fn about(text: &FileText, old: &About, new: &About) -> Result<String, SaveError> {
    let file = KeyFile::About;
    let unwritable = |e: ron::Error| SaveError::unwritable(file, &e);
    let Some(entry) = text.good_entry(0) else { return Err(SaveError::DidNotParse { file }) };
    let slice = |from: usize, to: usize| text.text.get(from..to).unwrap_or_default();
    let whole = |body: &str| format!("{}{body}{}", slice(0, entry.span.start), slice(entry.span.end, text.text.len()));
    let reads_back = |text: &str| {
        let mut again = decode(file, text.as_bytes().to_vec(), &mut Vec::new());
        parse_about(&mut again, &mut Vec::new()).is_some_and(|about| same(&about, new))
    };
    let woven = weave(&text.text, &entry.span, &compact(old).map_err(unwritable)?, &compact(new).map_err(unwritable)?, eol(&text.text));
    if let Some(woven) = woven.map(|body| whole(&body))
        && reads_back(&woven)
    {
        return Ok(woven);
    }
    let anew = whole(&super::chunks::with_eol(&print(new, 0, 0).map_err(unwritable)?, eol(&text.text)));
    if reads_back(&anew) { Ok(anew) } else { Err(SaveError::WouldNotReadBack { file, why: String::new() }) }
}

/// The text of a list file that means `new`, where it meant `old`.
///
/// # Errors
/// Where the text did not parse, an entry that makes no sense has the id of a new one, or the new text would not mean `new`.
pub(crate) fn list<T: Entry>(text: &FileText, old: &[T], new: &[T]) -> Result<String, SaveError> {
    list_given(text, old, new, &Given::new())
}

/// The same, where the texts of some entries are given, in lines that end in `\n`.
///
/// # Errors
/// As for [`list`].
pub(crate) fn list_given<T: Entry>(text: &FileText, old: &[T], new: &[T], given: &Given) -> Result<String, SaveError> {
    if text.state == State::Missing {
        for given in [given, &Given::new()] {
            let out = printed(new, given)?;
            if reads_back(&out, text, new) {
                return Ok(out);
            }
        }
        return Err(SaveError::WouldNotReadBack { file: T::FILE, why: String::new() });
    }
    if text.state == State::Failed || text.good.len() != old.len() {
        return Err(SaveError::DidNotParse { file: T::FILE });
    }
    broken_ids(text, new)?;
    let none = Given::new();
    let ways = [(How::Woven, given), (How::Woven, &none), (How::Anew, &none)];
    for (how, given) in ways.into_iter().skip(usize::from(given.is_empty())) {
        let out = rewritten(text, old, new, how, given)?;
        if reads_back(&out, text, new) {
            return Ok(out);
        }
    }
    Err(SaveError::WouldNotReadBack { file: T::FILE, why: String::new() })
}

/// A whole new file.
fn printed<T: Entry>(new: &[T], given: &Given) -> Result<String, SaveError> {
    let mut out = "[\n".to_owned();
    for entry in new {
        let body = match given.get(entry.id()) {
            Some(given) => given.clone(),
            None => print(entry, STEP, STEP).map_err(|e| SaveError::unwritable(T::FILE, &e))?,
        };
        out.push_str(&" ".repeat(STEP));
        out.push_str(&body);
        out.push_str(",\n");
    }
    out.push_str("]\n");
    Ok(out)
}

/// How a changed entry is written.
#[derive(Clone, Copy, PartialEq)]
enum How {
    /// Field by field into the old text.
    Woven,
    /// As a whole, where weaving went wrong.
    Anew,
}

/// Refuses an id that an entry that could not be read has.
fn broken_ids<T: Entry>(text: &FileText, new: &[T]) -> Result<(), SaveError> {
    let broken: HashMap<&str, &EntryText> =
        text.entries.iter().filter(|entry| !entry.good).filter_map(|entry| Some((entry.id.as_deref()?, entry))).collect();
    match new.iter().find_map(|entry| Some((entry.id(), broken.get(entry.id())?))) {
        Some((id, entry)) => Err(SaveError::BrokenEntry { id: id.to_owned(), place: text.place(&entry.span) }),
        None => Ok(()),
    }
}

/// True where a text means `new`, and leaves as many entries broken as were.
fn reads_back<T: Entry>(out: &str, before: &FileText, new: &[T]) -> bool {
    let mut again = decode(T::FILE, out.as_bytes().to_vec(), &mut Vec::new());
    let read: Vec<T> = parse_list(&mut again, &mut Vec::new());
    let broken = |text: &FileText| {
        text.entries
            .iter()
            .filter(|entry| !entry.good)
            .map(|entry| text.text.get(entry.span.clone()).map(str::to_owned))
            .collect::<Vec<_>>()
    };
    again.state == State::Read
        && read.len() == new.len()
        && read.iter().zip(new).all(|(a, b)| same(a, b))
        && broken(&again) == broken(before)
}

fn rewritten<T: Entry>(text: &FileText, old: &[T], new: &[T], how: How, given: &Given) -> Result<String, SaveError> {
    let unwritable = |e: ron::Error| SaveError::unwritable(T::FILE, &e);
    let eol = eol(&text.text);
    let inside = text.brackets.start + 1..text.brackets.end;
    let mut chunks = Chunks::new(&text.text, &inside, text.entries.iter().map(|entry| (entry.span.clone(), entry.comma)), eol);
    // Which old entry each new one is. Entries of one id are taken in their order.
    let mut by_id: HashMap<&str, VecDeque<usize>> = HashMap::new();
    for (i, entry) in old.iter().enumerate() {
        by_id.entry(entry.id()).or_default().push_back(i);
    }
    let mut matched: Vec<Option<usize>> = new.iter().map(|entry| by_id.get_mut(entry.id()).and_then(VecDeque::pop_front)).collect();
    let mut gone: Vec<usize> = by_id.into_values().flatten().collect();
    gone.sort_unstable();
    // What only has another id stays where it is, with its comments.
    let came: Vec<usize> = matched.iter().enumerate().filter(|(_, was)| was.is_none()).map(|(at, _)| at).collect();
    let left: Vec<&T> = gone.iter().filter_map(|at| old.get(*at)).collect();
    let added: Vec<&T> = came.iter().filter_map(|at| new.get(*at)).collect();
    for (i, j) in known_again(&left, &added, ALIKE) {
        if let (Some(was), Some(slot)) = (gone.get(i), came.get(j).and_then(|at| matched.get_mut(*at))) {
            *slot = Some(*was);
        }
    }
    gone.retain(|was| !matched.contains(&Some(*was)));
    let stays = rising(&matched);
    let slot = |old: usize| text.good.get(old).copied();
    // From the last, so that a comment that loses its entry goes to what follows and not to what follows too.
    for index in gone.into_iter().rev().filter_map(slot) {
        chunks.remove(index);
    }
    let mut after = None;
    for ((entry, was), stays) in new.iter().zip(&matched).zip(&stays) {
        let Some((old_entry, index)) = was.and_then(|was| Some((old.get(was)?, slot(was)?))) else {
            let compact_new = compact(entry).map_err(unwritable)?;
            let given = given.get(entry.id()).cloned();
            chunks.insert(after, |indent| given.unwrap_or_else(|| fresh(&compact_new, indent)), STEP);
            continue;
        };
        // What is the same need not be printed to see that it is.
        let printed =
            if old_entry == entry { None } else { Some((compact(old_entry).map_err(unwritable)?, compact(entry).map_err(unwritable)?)) };
        if let Some(given) = given.get(entry.id()) {
            chunks.replace(index, super::chunks::with_eol(given, eol));
        } else if let Some((compact_old, compact_new)) = printed.filter(|(old, new)| old != new) {
            let span = text.entries.get(index).map(|entry| entry.span.clone()).unwrap_or_default();
            let woven = match how {
                How::Woven => weave(&text.text, &span, &compact_old, &compact_new, eol),
                How::Anew => None,
            };
            let indent = chunks.indent(index).map_or(STEP, |indent| indent.chars().map(|c| if c == '\t' { STEP } else { 1 }).sum());
            chunks.replace(index, woven.unwrap_or_else(|| super::chunks::with_eol(&fresh(&compact_new, indent), eol)));
        }
        if *stays {
            after = Some(index);
        } else if let Some(chunk) = chunks.take(index) {
            chunks.put(after, chunk);
        }
    }
    let slice = |from: usize, to: usize| text.text.get(from..to).unwrap_or_default();
    Ok(format!("{}{}{}", slice(0, inside.start), chunks.text(), slice(inside.end, text.text.len())))
}

/// How lines of a text end.
fn eol(text: &str) -> &'static str {
    match text.find('\n') {
        Some(i) if text.get(..i).is_some_and(|line| line.ends_with('\r')) => "\r\n",
        _ => "\n",
    }
}

/// Of the matched entries, which can stay where they are: a longest run of rising indices. The others were moved.
fn rising(matched: &[Option<usize>]) -> Vec<bool> {
    // Patience sorting: for each length, where the run of that length with the smallest end ends.
    let mut ends: Vec<usize> = Vec::new();
    let mut before: Vec<Option<usize>> = vec![None; matched.len()];
    let value = |at: usize| matched.get(at).copied().flatten().unwrap_or(usize::MAX);
    for (at, old) in matched.iter().enumerate() {
        let Some(old) = *old else { continue };
        let length = ends.partition_point(|&end| value(end) < old);
        if let (Some(cell), Some(previous)) = (before.get_mut(at), length.checked_sub(1)) {
            *cell = ends.get(previous).copied();
        }
        match ends.get_mut(length) {
            Some(end) => *end = at,
            None => ends.push(at),
        }
    }
    let mut stays = vec![false; matched.len()];
    let mut at = ends.last().copied();
    while let Some(here) = at {
        if let Some(cell) = stays.get_mut(here) {
            *cell = true;
        }
        at = before.get(here).copied().flatten();
    }
    stays
}

#[cfg(test)]
mod tests {
    use super::rising;

    #[test]
    fn the_fewest_entries_are_moved() {
        assert_eq!(rising(&[Some(0), Some(1), None, Some(2)]), [true, true, false, true]);
        assert_eq!(rising(&[Some(3), Some(0), Some(1), Some(2)]), [false, true, true, true]);
        assert_eq!(rising(&[]), [false; 0]);
    }
}
