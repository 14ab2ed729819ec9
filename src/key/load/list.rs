//! A list file, read by as many cores as there are, with the same outcome as read by one.

use super::{MOST_PROBLEMS, entry, options};
use crate::key::file::Entry;
use crate::key::problem::{Problem, ProblemKind};
use crate::key::syntax::{Entries, Scanned, SyntaxError, SyntaxErrorKind};
use crate::key::text::{EntryText, FileText, State};
use rayon::prelude::*;
use std::ops::Range;

/// How many entries are found ahead of being read.
#[derive(Debug, Clone, Copy)]
struct Ahead {
    /// To begin with; twice as many each time.
    first: usize,
    /// At most, so that a hostile file costs no more than these twice.
    most: usize,
    /// After one that made no sense, of which the next may have to be found anew.
    careful: usize,
}

/// As it is for every file.
const AHEAD: Ahead = Ahead { first: 512, most: 4096, careful: 8 };

/// Reads a list file. The entries come in the order of the file, its problems in the order of its lines.
///
/// Where an entry ends can depend on whether the one before it could be read (a bracket left open may swallow the next). So entries are
/// found ahead of being read, a batch at a time; where one turns out to hold the start of another, what was found after it is found again.
pub(crate) fn parse_list<T: Entry>(text: &mut FileText, problems: &mut Vec<Problem>) -> Vec<T> {
    parse_ahead(text, problems, AHEAD)
}

fn parse_ahead<T: Entry>(text: &mut FileText, problems: &mut Vec<Problem>, ahead: Ahead) -> Vec<T> {
    // The reader of entries borrows the text while the list of entries grows beside it.
    let body = std::mem::take(&mut text.text);
    let mut read = Read { text, body: &body, faults: Vec::new(), broken: Vec::new(), list: Vec::new() };
    match Entries::of(&body) {
        Err(fault) => read.list_fault(fault),
        Ok(entries) => read.all(entries, ahead),
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

    fn all(&mut self, mut entries: Entries<'t>, ahead: Ahead) {
        let mut size = ahead.first;
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
                Some(otherwise) => (entries, size) = (otherwise, ahead.careful),
                None => size = (2 * size).min(ahead.most),
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

#[cfg(test)]
mod tests {
    #![expect(clippy::indexing_slicing, reason = "tests")]
    use super::*;
    use crate::key::file::KeyFile;
    use crate::key::load::decode;
    use crate::key::model::Line;

    /// All that reading so many entries ahead gives.
    fn read(bytes: &[u8], ahead: Ahead) -> (Vec<Line>, String) {
        let mut problems = Vec::new();
        let mut text = decode(KeyFile::Lines, bytes.to_vec(), &mut problems);
        let list = parse_ahead::<Line>(&mut text, &mut problems, ahead);
        (list, format!("{:?} {:?} {:?} {:?} {problems:#?}", text.state, text.entries, text.good, text.brackets))
    }

    #[test]
    fn reading_ahead_gives_what_reading_one_by_one_gives() {
        const ONE_BY_ONE: Ahead = Ahead { first: 1, most: 1, careful: 1 };
        let entry = |n: usize| {
            format!("    (\n        id: \"line-{n}\", name: \"L {n}\", // ({n}\n        made: (from: 19{:02}),\n    ),\n", n % 90)
        };
        let sound: String = std::iter::once("[\n".to_owned()).chain((0..40).map(entry)).chain(["]\n".to_owned()]).collect();
        let mut seed = 1_u64;
        let mut dice = |n: usize| {
            // Knuth's MMIX numbers; the high bits are the good ones.
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) as usize % n
        };
        let mut broken = 0;
        for round in 0..400 {
            let mut bytes = sound.clone().into_bytes();
            for _ in 0..round % 7 {
                let at = dice(bytes.len());
                bytes[at] = b"(){}[]\",:x\n\xff"[dice(12)];
            }
            let one = read(&bytes, ONE_BY_ONE);
            broken += usize::from(one.0.len() < 40);
            for ahead in [AHEAD, Ahead { first: 3, most: 16, careful: 2 }] {
                assert_eq!(read(&bytes, ahead), one, "round {round}");
            }
        }
        assert!(broken > 200, "the damage must break entries, it broke {broken}");
    }
}
