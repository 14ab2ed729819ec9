//! Taking another person's daybook into one's own: finds by their ids, photographs by their hashes, nothing lost.
//!
//! What is the same in both stays. What only one of the two has gone on with since they were the same is taken as that one left it. What both have
//! changed is a conflict: it is shown field by field and taken as one chooses. The other version then stays in the history, so that a choice can be
//! looked at and taken back, and the same daybook taken in a second time finds nothing more to do.

use super::backup::{BackupError, is_packed, unpack_into};
use super::book::{Change, ChangeKind, Daybook, revision_of};
use super::error::DaybookError;
use super::find::{Find, FindId};
use super::pen::Pen;
use crate::photo::{Format, PhotoHash, Progress, Store};
use jiff::ZonedDateTime;
use rusqlite::{OptionalExtension as _, Transaction, params};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

/// Whose version of a find.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// That of the daybook that takes the other in.
    Ours,
    /// That of the daybook that is taken in.
    Theirs,
}

/// Which version of a find that both changed is taken.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Choice {
    /// For every find of which nothing else is said. None: such a find is left as it is, and told.
    pub all: Option<Side>,
    /// For single finds.
    pub each: BTreeMap<FindId, Side>,
}

/// A field in which two versions of a find differ, each as JSON writes it; nothing where it has none.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Difference {
    /// The field: `box_label`, `record.status`.
    pub field: String,
    /// Ours.
    pub ours: Option<String>,
    /// Theirs.
    pub theirs: Option<String>,
}

/// A find that both daybooks changed since they were the same.
#[derive(Debug, Clone, PartialEq)]
pub struct Conflict {
    /// The find.
    pub id: FindId,
    /// Ours.
    pub ours: Box<Find>,
    /// Theirs.
    pub theirs: Box<Find>,
    /// Where they differ.
    pub differences: Vec<Difference>,
    /// Which was taken; none where nothing was chosen, and ours stays.
    pub taken: Option<Side>,
}

/// What came of taking a daybook in.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Joined {
    /// Finds that are new here.
    pub new: Vec<FindId>,
    /// Finds that they had gone on with.
    pub gone_on: Vec<FindId>,
    /// Finds that were here already, as they are or as they once were.
    pub known: usize,
    /// Finds that both changed.
    pub conflicts: Vec<Conflict>,
    /// Photographs that are new here.
    pub photographs: usize,
    /// Photographs that their finds refer to and that were not to be had from them.
    pub lost: Vec<PhotoHash>,
    /// Finds of theirs that could not be read, and why. They were left out.
    pub unreadable: Vec<String>,
}

impl Joined {
    /// Conflicts of which nothing was chosen.
    pub fn undecided(&self) -> impl Iterator<Item = &Conflict> {
        self.conflicts.iter().filter(|conflict| conflict.taken.is_none())
    }
}

/// What is to be done with a find of theirs: the changes that its history here goes on with, the last of which it then is.
enum Plan {
    New(Vec<Change>),
    GoesOn(Vec<Change>),
    Both(Conflict, Vec<Change>),
}

impl Plan {
    fn changes(&self) -> &[Change] {
        match self {
            Self::New(changes) | Self::GoesOn(changes) | Self::Both(_, changes) => changes,
        }
    }
}

impl Daybook {
    /// Takes another daybook in: its folder, or a backup of it. The other is read from a copy and not touched. All finds come in one transaction;
    /// their photographs are kept before that. `in_earnest` false tells what would come of it and changes nothing.
    ///
    /// # Errors
    /// Where the other cannot be read, or this one not be written; this one's finds are then as they were.
    pub fn join(
        &mut self,
        other: &Path,
        choice: &Choice,
        now: &ZonedDateTime,
        in_earnest: InEarnest,
        progress: &Progress,
    ) -> Result<Joined, BackupError> {
        let room = tempfile::tempdir().map_err(|source| BackupError::Io { path: std::env::temp_dir(), source })?;
        let (theirs, store) = if is_packed(other) {
            unpack_into(other, room.path(), progress)?;
            (Self::open_looked_through(room.path())?, Store::at(room.path()))
        } else {
            (copy_of(other, room.path())?, Store::at(other))
        };
        let mut joined = Joined::default();
        let mut plans = Vec::new();
        let ids = theirs.every_id()?;
        for (at, id) in ids.iter().enumerate() {
            progress.check().map_err(|_cancelled| BackupError::Stopped)?;
            match self.plan(&theirs, *id, choice, now) {
                Ok(Some(plan)) => plans.push((*id, plan)),
                Ok(None) => joined.known += 1,
                Err(DaybookError::UnreadableFind { id, detail }) => joined.unreadable.push(format!("{id}: {detail}")),
                Err(other) => return Err(other.into()),
            }
            progress.report(at as u64 + 1, ids.len() as u64, 0, 400);
        }
        if in_earnest == InEarnest::Yes {
            self.keep_photographs(&store, &plans, &mut joined, progress)?;
            self.write(|transaction, path| {
                let sorted = |error| DaybookError::sort(error, path);
                plans.iter().try_for_each(|(id, plan)| append(transaction, *id, plan.changes())).map_err(sorted)
            })?;
        }
        for (id, plan) in plans {
            match plan {
                Plan::New(_) => joined.new.push(id),
                Plan::GoesOn(_) => joined.gone_on.push(id),
                Plan::Both(conflict, _) => joined.conflicts.push(conflict),
            }
        }
        Ok(joined)
    }

    /// Every find, removed ones too, by id.
    fn every_id(&self) -> Result<Vec<FindId>, DaybookError> {
        let sorted = |error| DaybookError::sort(error, &self.path);
        let mut statement = self.connection.prepare("SELECT id FROM finds ORDER BY id").map_err(sorted)?;
        let rows = statement.query_map([], |row| row.get::<_, String>(0)).map_err(sorted)?;
        rows.filter_map(|id| id.map(|id| id.parse().ok()).transpose()).collect::<Result<_, _>>().map_err(sorted)
    }

    fn plan(&self, theirs: &Self, id: FindId, choice: &Choice, now: &ZonedDateTime) -> Result<Option<Plan>, DaybookError> {
        let (our_history, their_history) = (explicit(self.history(id)?), explicit(theirs.history(id)?));
        let Some(their_last) = their_history.last() else { return Ok(None) };
        let Some(our_last) = our_history.last() else { return Ok(Some(Plan::New(their_history))) };
        if same_state(our_last, their_last) {
            return Ok(None);
        }
        let lacks = |some: &[Change], others: &[Change]| -> Vec<Change> {
            others.iter().filter(|change| !some.iter().any(|known| same_change(known, change))).cloned().collect()
        };
        let mut to_come = lacks(&our_history, &their_history);
        if to_come.is_empty() {
            return Ok(None);
        }
        if !to_come.last().is_some_and(|last| same_state(last, their_last)) {
            to_come.push(their_last.clone());
        }
        if lacks(&their_history, &our_history).is_empty() {
            return Ok(Some(Plan::GoesOn(to_come)));
        }
        let taken = choice.each.get(&id).copied().or(choice.all);
        match taken {
            // Theirs is in the history then; ours stands again.
            Some(Side::Ours) => to_come.push(Change { at: now.clone(), what: stands_again(our_last.what), ..our_last.clone() }),
            Some(Side::Theirs) => {}
            None => to_come.clear(),
        }
        let conflict = Conflict {
            id,
            differences: differences(our_last, their_last),
            ours: Box::new(our_last.find.clone()),
            theirs: Box::new(their_last.find.clone()),
            taken,
        };
        Ok(Some(Plan::Both(conflict, to_come)))
    }

    /// Keeps every photograph that the finds to come refer to or once did. One that is not to be had is told; its find comes all the same.
    fn keep_photographs(
        &self,
        theirs: &Store,
        plans: &[(FindId, Plan)],
        joined: &mut Joined,
        progress: &Progress,
    ) -> Result<(), BackupError> {
        let ours = Store::at(self.folder());
        let wanted: BTreeSet<(PhotoHash, Format)> = plans
            .iter()
            .flat_map(|(_, plan)| plan.changes())
            .flat_map(|change| change.find.photographs.iter().map(|photograph| (photograph.hash, photograph.format)))
            .collect();
        for (at, (hash, format)) in wanted.iter().enumerate() {
            progress.check().map_err(|_cancelled| BackupError::Stopped)?;
            if ours.read(*hash, *format).is_err() {
                match theirs.read(*hash, *format) {
                    Ok(bytes) => {
                        let failed = |source| BackupError::Io { path: ours.path(*hash, *format), source };
                        ours.keep_bytes(*hash, *format, &bytes).map_err(failed)?;
                        joined.photographs += 1;
                    }
                    Err(_missing_or_harmed) => joined.lost.push(*hash),
                }
            }
            progress.report(at as u64 + 1, wanted.len() as u64, 400, 950);
        }
        Ok(())
    }
}

/// Whether a thing is done, or only told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum InEarnest {
    /// It is done.
    Yes,
    /// It is only told.
    No,
}

/// A copy of another daybook, opened: brought up to this program's form there, so that the other stays as it is.
fn copy_of(other: &Path, room: &Path) -> Result<Daybook, BackupError> {
    let file = other.join("finds.db");
    if !file.is_file() {
        let source = std::io::Error::new(std::io::ErrorKind::NotFound, "there is no daybook, 'finds.db', in it");
        return Err(BackupError::Io { path: other.to_owned(), source });
    }
    for name in ["finds.db", "finds.db-wal"] {
        let from = other.join(name);
        if from.exists() {
            fs::copy(&from, room.join(name)).map_err(|source| BackupError::Io { path: from.clone(), source })?;
        }
    }
    Ok(Daybook::open_looked_through(room)?)
}

/// A history in which every version says for itself whether the find was out: one that was changed while it was out is out too.
fn explicit(mut history: Vec<Change>) -> Vec<Change> {
    let mut is_out = false;
    for change in &mut history {
        is_out = match change.what {
            ChangeKind::Removed => true,
            ChangeKind::Put | ChangeKind::Restored => false,
            ChangeKind::Changed => is_out,
        };
        if is_out {
            change.what = ChangeKind::Removed;
        }
    }
    history
}

/// The same state of a find, how often it was written aside.
fn same_state(one: &Change, other: &Change) -> bool {
    let is_out = |change: &Change| change.what == ChangeKind::Removed;
    is_out(one) == is_out(other) && one.find == Find { revision: one.find.revision, ..other.find.clone() }
}

fn same_change(one: &Change, other: &Change) -> bool {
    one.at == other.at && same_state(one, other)
}

/// What a version that stands again after another one did to its find.
const fn stands_again(what: ChangeKind) -> ChangeKind {
    match what {
        ChangeKind::Removed => ChangeKind::Removed,
        ChangeKind::Put | ChangeKind::Changed | ChangeKind::Restored => ChangeKind::Changed,
    }
}

/// Goes on with the history of a find, and leaves it as the last of the changes says.
fn append(transaction: &Transaction<'_>, id: FindId, changes: &[Change]) -> rusqlite::Result<()> {
    let first = revision_of(transaction, id)?.unwrap_or(0) + 1;
    let is_out = "SELECT removed_ms IS NOT NULL FROM finds WHERE id = ?1";
    let mut was_out = transaction.query_row(is_out, params![id.to_string()], |row| row.get(0)).optional()?.unwrap_or(false);
    let mut pen = Pen::new(transaction)?;
    for (revision, change) in (first..).zip(changes) {
        pen.write(&change.find, revision, None)?;
        let removed_ms = (change.what == ChangeKind::Removed).then(|| change.at.timestamp().as_millisecond());
        // What stands after the find was out has brought it back: the history says so, or it would be read as a change of a find that is out.
        let what = if was_out && removed_ms.is_none() { ChangeKind::Restored } else { change.what };
        was_out = removed_ms.is_some();
        transaction.execute("UPDATE finds SET removed_ms = ?2 WHERE id = ?1", params![id.to_string(), removed_ms])?;
        transaction.execute("UPDATE listed SET removed = ?2 WHERE id = ?1", params![id.to_string(), removed_ms.is_some()])?;
        pen.remember(&change.find, revision, what, &change.at)?;
    }
    Ok(())
}

/// The fields in which two states differ. What is a record of fields itself is compared field by field.
fn differences(ours: &Change, theirs: &Change) -> Vec<Difference> {
    let mut found = Vec::new();
    let json = |find: &Find| serde_json::to_value(find).unwrap_or(Value::Null);
    compare("", Some(&json(&ours.find)), Some(&json(&theirs.find)), &mut found);
    found.retain(|difference| difference.field != "revision");
    let out = |change: &Change| Some(if change.what == ChangeKind::Removed { "taken out" } else { "in the daybook" }.to_owned());
    if out(ours) != out(theirs) {
        found.push(Difference { field: "find".to_owned(), ours: out(ours), theirs: out(theirs) });
    }
    found
}

fn compare(field: &str, ours: Option<&Value>, theirs: Option<&Value>, found: &mut Vec<Difference>) {
    if ours == theirs {
        return;
    }
    let empty = serde_json::Map::new();
    let fields = |value: Option<&Value>| match value {
        Some(Value::Object(fields)) => Some(fields.clone()),
        None => Some(empty.clone()),
        Some(_) => None,
    };
    if let (Some(a), Some(b)) = (fields(ours), fields(theirs))
        && (ours.is_some() || theirs.is_some())
    {
        let names: BTreeSet<&String> = a.keys().chain(b.keys()).collect();
        for name in names {
            let path = if field.is_empty() { name.clone() } else { format!("{field}.{name}") };
            compare(&path, a.get(name), b.get(name), found);
        }
        return;
    }
    let words = |value: Option<&Value>| match value {
        None | Some(Value::Null) => None,
        Some(Value::String(text)) => Some(text.clone()),
        Some(other) => Some(other.to_string()),
    };
    found.push(Difference { field: field.to_owned(), ours: words(ours), theirs: words(theirs) });
}
