//! A list file, read by as many cores as there are, with the same outcome as read by one.

use super::{MOST_PROBLEMS, entry, options};
use crate::key::file::Entry;
use crate::key::problem::{Problem, ProblemKind};
use crate::key::syntax::{Entries, Scanned, SyntaxError, SyntaxErrorKind};
use crate::key::text::{EntryText, FileText, State};
use rayon::prelude::*;
use std::ops::Range;

/// Entries that are found before the first are read.
const FIRST_BATCH: usize = 512;

/// Entries that are found at most before they are read, so that a hostile file costs no more than a few of them twice.
const LARGEST_BATCH: usize = 4096;

/// Entries found after one that made no sense, of which the next may have to be found anew.
const SMALLEST_BATCH: usize = 8;

/// Reads a list file. The entries come in the order of the file, its problems in the order of its lines.
///
/// Where an entry ends can depend on whether the one before it could be read (a bracket left open may swallow the next). So entries are
/// found ahead of being read, a batch at a time; where one turns out to hold the start of another, what was found after it is found again.
pub(crate) fn parse_list<T: Entry>(text: &mut FileText, problems: &mut Vec<Problem>) -> Vec<T> {
    // The reader of entries borrows the text while the list of entries grows beside it.
    let body = std::mem::take(&mut text.text);
    let mut read = Read { text, body: &body, faults: Vec::new(), broken: Vec::new(), list: Vec::new() };
    match Entries::of(&body) {
        Err(fault) => read.list_fault(fault),
        Ok(entries) => read.all(entries),
    }
    let Read { faults, broken, list, .. } = read;
    text.text = body;
    let mut own: Vec<Problem> = faults.into_iter().map(|(span, kind)| text.problem(&span, kind)).collect();
    for index in broken {
        if own.len() >= MOST_PROBLEMS {
            own.push(Problem::of_file(text.file.name(), ProblemKind::More(1)));
            continue;
        }
        let Some(entry) = text.entries.get(index) else { continue };
        if let Err(found) = entry::read::<T>(text, entry.span.clone(), T::FILE.word()) {
            own.extend(found);
        }
    }
    problems.extend(own);
    list
}

/// What was read so far.
struct Read<'t, T> {
    text: &'t mut FileText,
    body: &'t str,
    faults: Vec<(Range<usize>, ProblemKind)>,
    broken: Vec<usize>,
    list: Vec<T>,
}

impl<'t, T: Entry> Read<'t, T> {
    fn list_fault(&mut self, fault: SyntaxError) {
        self.text.state = State::Failed;
        self.faults.push((fault.span, ProblemKind::Syntax(fault.kind)));
    }

    fn slice(&self, span: &Range<usize>) -> &'t str {
        self.body.get(span.clone()).unwrap_or_default()
    }

    fn all(&mut self, mut entries: Entries<'t>) {
        let mut size = FIRST_BATCH;
        let mut found: Vec<(Result<Scanned, SyntaxError>, Entries<'t>)> = Vec::new();
        loop {
            found.clear();
            while found.len() < size
                && let Some(next) = entries.next_entry()
            {
                found.push((next, entries.clone()));
            }
            if found.is_empty() {
                break;
            }
            match self.batch(&found) {
                Some(otherwise) => (entries, size) = (otherwise, SMALLEST_BATCH),
                None => size = (2 * size).min(LARGEST_BATCH),
            }
        }
        self.text.brackets = entries.open()..entries.close().unwrap_or(self.body.len());
    }

    /// Reads what was found. Gives where to go on, where that is elsewhere than was thought.
    fn batch(&mut self, found: &[(Result<Scanned, SyntaxError>, Entries<'t>)]) -> Option<Entries<'t>> {
        let body = self.body;
        let options = options();
        let parsed: Vec<Option<T>> = found
            .par_iter()
            .map(|(next, _)| {
                let slice = body.get(next.as_ref().ok()?.span.clone())?;
                options.from_str::<T>(slice).ok()
            })
            .collect();
        for ((next, after), parsed) in found.iter().zip(parsed) {
            let mut scanned = match next {
                Ok(scanned) => scanned.clone(),
                Err(fault) => {
                    // A list that does not end, or that more follows, must not be added to.
                    self.list_fault(fault.clone());
                    continue;
                }
            };
            let garbled = self.text.state == State::Failed && self.slice(&scanned.span).contains('\u{fffd}');
            let parsed = parsed.filter(|_| !garbled);
            let mut otherwise = None;
            if parsed.is_none() && scanned.fault.is_none() {
                let mut entries = after.clone();
                if entries.read_again_inside(&mut scanned) {
                    otherwise = Some(entries);
                }
            }
            self.take(scanned, parsed, garbled);
            if otherwise.is_some() {
                return otherwise;
            }
        }
        None
    }

    fn take(&mut self, scanned: Scanned, parsed: Option<T>, garbled: bool) {
        let missing_comma = matches!(&scanned.fault, Some(SyntaxError { kind: SyntaxErrorKind::CommaMissing(_), .. }));
        let index = self.text.entries.len();
        match (scanned.fault, &parsed) {
            (Some(fault), Some(_)) if missing_comma => self.faults.push((fault.span, ProblemKind::Syntax(fault.kind))),
            (Some(fault), None) => self.faults.push((fault.span, ProblemKind::Syntax(fault.kind))),
            (_, None) if !garbled => self.broken.push(index),
            _ => {}
        }
        let id = match &parsed {
            Some(entry) => Some(entry.id().to_owned()),
            None => entry::id_in(self.body.get(scanned.span.clone()).unwrap_or_default()),
        };
        self.text.entries.push(EntryText { span: scanned.span, comma: scanned.comma, id, good: parsed.is_some() });
        if let Some(entry) = parsed {
            self.text.good.push(index);
            self.list.push(entry);
        }
    }
}
