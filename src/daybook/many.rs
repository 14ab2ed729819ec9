//! Changing many finds in one step, and taking such a step back.
//!
//! Each step is one transaction with a line of history for every find. Taking back goes by history too: a find gets its state of before the step, as
//! a new revision, unless it is no longer as the step left it. So steps are taken back in turn, the last first, and done again the same way.

use super::book::{ChangeKind, Daybook, Marker, check, revision_of};
use super::error::DaybookError;
use super::find::{Find, FindId, Named};
use super::pen::Pen;
use super::record::Status;
use super::row::Reader;
use crate::say;
use jiff::ZonedDateTime;
use rusqlite::{OptionalExtension as _, Statement, params};
use std::path::Path;

/// One change to be made to many finds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Bulk {
    /// They lie in that box.
    Box(String),
    /// That is to become of them.
    Status(Status),
    /// They were found there.
    PlaceFound(String),
    /// They are that form, by the person's word; none: no form of the key.
    Form(Option<Named>),
}

impl Bulk {
    /// The change in words, for a step's name: 'box: 14'.
    pub fn words(&self) -> String {
        match self {
            Self::Box(label) if label.is_empty() => say!("no box").to_owned(),
            Self::Box(label) => say!("box: {label}", label),
            Self::Status(status) => say!("status: {status}", status = status.words()),
            Self::PlaceFound(place) if place.is_empty() => say!("no place found").to_owned(),
            Self::PlaceFound(place) => say!("found at: {place}", place),
            Self::Form(None) => say!("no form").to_owned(),
            Self::Form(Some(named)) if named.line_name.is_empty() => say!("form: {form_name}", form_name = named.form_name),
            Self::Form(Some(named)) => say!("form: {form_name}, {line_name}", form_name = named.form_name, line_name = named.line_name),
        }
    }

    fn make(&self, find: &mut Find) {
        match self {
            Self::Box(label) => find.box_label.clone_from(label),
            Self::Status(status) => find.record.status = *status,
            Self::PlaceFound(place) => find.record.place_found.clone_from(place),
            Self::Form(named) => {
                if find.named != *named {
                    find.named.clone_from(named);
                    // The verdict stays as the sentence of its day; its probability was that of another form.
                    find.probability = None;
                }
            }
        }
    }
}

/// What came of a step over many finds.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Done {
    /// The finds that were changed, each with the revision it now has: what [`Daybook::take_back`] takes.
    pub changed: Vec<(FindId, u32)>,
    /// Finds that were left as they are: changed elsewhere meanwhile, or no longer there.
    pub passed_over: Vec<FindId>,
}

impl Daybook {
    /// Makes one change to many finds, in one transaction: all or none. Those that are so already are not touched.
    ///
    /// # Errors
    /// [`DaybookError::NoSuchFind`], [`DaybookError::UnreadableFind`], [`DaybookError::Busy`], [`DaybookError::Full`].
    pub fn change_many(&mut self, ids: &[FindId], change: &Bulk, now: &ZonedDateTime) -> Result<Done, DaybookError> {
        self.write(|transaction, path| {
            let mut done = Done::default();
            let (mut reader, mut pen) = (Reader::new(transaction, path)?, Pen::new(transaction).map_err(|e| DaybookError::sort(e, path))?);
            for id in ids {
                let before = reader.find(*id)?.ok_or(DaybookError::NoSuchFind { id: *id })?;
                let mut after = before.clone();
                change.make(&mut after);
                if after != before {
                    done.changed.push((*id, write_next(&mut pen, &after, &before, now, path)?));
                }
            }
            Ok(done)
        })
    }

    /// Takes many finds out, or puts them back ([`ChangeKind::Removed`], [`ChangeKind::Restored`]), in one transaction: all or none. Gives those for
    /// which that changed anything.
    ///
    /// # Errors
    /// As [`Daybook::remove`].
    pub fn mark_many(&mut self, ids: &[FindId], what: ChangeKind, now: &ZonedDateTime) -> Result<Vec<FindId>, DaybookError> {
        self.write(|transaction, path| {
            let mut marked = Vec::new();
            let mut marker = Marker::new(transaction, path)?;
            for id in ids {
                if marker.mark(*id, what, now)?.1 {
                    marked.push(*id);
                }
            }
            Ok(marked)
        })
    }

    /// Puts many new finds in, in one transaction: all or none.
    ///
    /// # Errors
    /// As [`Daybook::put`].
    pub fn put_many(&mut self, finds: &[Find], now: &ZonedDateTime) -> Result<(), DaybookError> {
        finds.iter().try_for_each(check)?;
        self.write(|transaction, path| {
            let sorted = |error| DaybookError::sort(error, path);
            let mut pen = Pen::new(transaction).map_err(sorted)?;
            for find in finds {
                if revision_of(transaction, find.id).map_err(sorted)?.is_some() {
                    return Err(DaybookError::AlreadyThere { id: find.id });
                }
                pen.write(find, 1, None).map_err(sorted)?;
                pen.remember(find, 1, ChangeKind::Put, now).map_err(sorted)?;
            }
            Ok(())
        })
    }

    /// Gives each of these finds its state of before the revision that is named, in one transaction. One that is no longer as that revision left it
    /// is passed over. Taking back what this gives does the step again.
    ///
    /// # Errors
    /// [`DaybookError::UnreadableFind`] where an entry of the history cannot be read, [`DaybookError::Busy`], [`DaybookError::Full`].
    pub fn take_back(&mut self, step: &[(FindId, u32)], now: &ZonedDateTime) -> Result<Done, DaybookError> {
        self.write(|transaction, path| {
            let mut done = Done::default();
            let sorted = |error| DaybookError::sort(error, path);
            let (mut reader, mut pen) = (Reader::new(transaction, path)?, Pen::new(transaction).map_err(sorted)?);
            let as_of = |sign: &str| {
                transaction
                    .prepare(&format!("SELECT find FROM history WHERE find_id = ?1 AND revision {sign} ?2 ORDER BY revision DESC LIMIT 1"))
            };
            let (mut left, mut before) = (as_of("=").map_err(sorted)?, as_of("<").map_err(sorted)?);
            for (id, revision) in step {
                let now_is = reader.find(*id)?;
                let left_so = in_history(&mut left, *id, *revision, path)?;
                let was = in_history(&mut before, *id, *revision, path)?;
                match (now_is, left_so, was) {
                    (Some(now_is), Some(left_so), Some(was)) if same(&now_is, &left_so) => {
                        let after = Find { revision: now_is.revision, ..was };
                        done.changed.push((*id, write_next(&mut pen, &after, &now_is, now, path)?));
                    }
                    _ => done.passed_over.push(*id),
                }
            }
            Ok(done)
        })
    }
}

/// Writes a find as the revision after the one it has.
fn write_next(pen: &mut Pen<'_>, find: &Find, before: &Find, now: &ZonedDateTime, path: &Path) -> Result<u32, DaybookError> {
    let sorted = |error| DaybookError::sort(error, path);
    let next = find.revision + 1;
    pen.write(find, next, Some(before)).map_err(sorted)?;
    pen.remember(find, next, ChangeKind::Changed, now).map_err(sorted)?;
    Ok(next)
}

/// True where two states of a find differ in nothing but how often it was written.
fn same(one: &Find, other: &Find) -> bool {
    *one == Find { revision: one.revision, ..other.clone() }
}

/// The find as its history has it at a revision, or at the last before one: as the statement asks.
fn in_history(statement: &mut Statement<'_>, id: FindId, revision: u32, path: &Path) -> Result<Option<Find>, DaybookError> {
    let json: Option<String> = statement
        .query_row(params![id.to_string(), revision], |row| row.get(0))
        .optional()
        .map_err(|error| DaybookError::sort(error, path))?;
    let unreadable = |error: serde_json::Error| DaybookError::UnreadableFind { id: id.to_string(), detail: error.to_string() };
    json.map(|json| serde_json::from_str(&json).map_err(unreadable)).transpose()
}
