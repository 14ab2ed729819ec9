//! Putting finds in the daybook, changing them, taking them out and back.

use super::condition::ConditionRules;
use super::error::DaybookError;
use super::find::{Find, FindId};
use super::pen::Pen;
use super::row::Reader;
use super::schema;
use super::sound::Soundness;
use jiff::ZonedDateTime;
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OptionalExtension as _, Statement, Transaction, TransactionBehavior, params};
use std::fs;
use std::path::{Path, PathBuf};

/// The file of a daybook's folder with a person's own rules of condition.
pub(super) const CONDITION_RULES: &str = "condition.ron";

/// An open daybook. Several programs may have the same one open.
#[derive(Debug)]
pub struct Daybook {
    pub(super) connection: Connection,
    pub(super) path: PathBuf,
    folder: PathBuf,
    sound: Soundness,
    /// By which conditions are graded: those that are built in, under those of the folder's own `condition.ron`.
    pub(super) rules: ConditionRules,
}

/// One entry of a find's history.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// The revision it led to.
    pub revision: u32,
    /// When it was made.
    pub at: ZonedDateTime,
    /// What was done.
    pub what: ChangeKind,
    /// The find as it was after it.
    pub find: Find,
}

/// What was done to a find.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChangeKind {
    /// It was put in the daybook.
    Put,
    /// Something of it was changed.
    Changed,
    /// It was taken out.
    Removed,
    /// It was put back.
    Restored,
}

impl ChangeKind {
    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Put => "put",
            Self::Changed => "changed",
            Self::Removed => "removed",
            Self::Restored => "restored",
        }
    }

    pub(super) fn from_word(word: &str) -> Option<Self> {
        [Self::Put, Self::Changed, Self::Removed, Self::Restored].into_iter().find(|kind| kind.word() == word)
    }
}

impl Daybook {
    /// Opens the daybook of a folder; makes folder and daybook where there are none.
    ///
    /// # Errors
    /// [`DaybookError::NotADaybook`], [`Newer`](DaybookError::Newer), [`Damaged`](DaybookError::Damaged), [`LostFile`](DaybookError::LostFile):
    /// nothing was written then. A large file's damage may be found only later ([`Daybook::soundness`]), but before anything is written. [`Folder`](DaybookError::Folder), [`ReadOnly`](DaybookError::ReadOnly), [`Full`](DaybookError::Full),
    /// [`Busy`](DaybookError::Busy).
    pub fn open(folder: &Path) -> Result<Self, DaybookError> {
        let (connection, path, sound) = schema::open(folder)?;
        Ok(Self { connection, path, folder: folder.to_owned(), sound, rules: rules_of(folder) })
    }

    /// Opens it as [`Daybook::open`] does and looks the whole file through at once, however large it is: for a file that comes from elsewhere.
    ///
    /// # Errors
    /// As [`Daybook::open`].
    pub fn open_looked_through(folder: &Path) -> Result<Self, DaybookError> {
        let daybook = Self::open(folder)?;
        daybook.sound.check()?;
        Ok(daybook)
    }

    /// Whether the file is sound. A small one is looked through when it is opened; a large one before anything is first written, or by whoever asks
    /// this before, beside the daybook's other work.
    pub fn soundness(&self) -> Soundness {
        self.sound.clone()
    }

    /// The folder. The photographs are in it too, see [`crate::photo::Store::at`].
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// By which conditions are graded: the built-in rules, under those of the folder's own `condition.ron` where it has one.
    pub fn rules(&self) -> &ConditionRules {
        &self.rules
    }

    /// Reads the rules of condition again, which may have been changed beside it.
    pub fn read_rules(&mut self) {
        self.rules = rules_of(&self.folder);
    }

    /// Puts a new find in the daybook and gives its revision, 1. It is on disk when this returns.
    ///
    /// # Errors
    /// [`DaybookError::AlreadyThere`], [`DaybookError::BadFind`], [`DaybookError::Busy`], [`DaybookError::Full`].
    pub fn put(&mut self, find: &Find, now: &ZonedDateTime) -> Result<u32, DaybookError> {
        check(find)?;
        self.write(|transaction, path| {
            let sorted = |error| DaybookError::sort(error, path);
            if revision_of(transaction, find.id).map_err(sorted)?.is_some() {
                return Err(DaybookError::AlreadyThere { id: find.id });
            }
            let mut pen = Pen::new(transaction).map_err(sorted)?;
            pen.write(find, 1, None).map_err(sorted)?;
            pen.remember(find, 1, ChangeKind::Put, now).map_err(sorted)?;
            Ok(1)
        })
    }

    /// Writes a changed find over the one of the same id, and gives the new revision.
    ///
    /// # Errors
    /// [`DaybookError::ChangedElsewhere`] where `find.revision` is not the one in the daybook; else as [`Daybook::put`].
    pub fn change(&mut self, find: &Find, now: &ZonedDateTime) -> Result<u32, DaybookError> {
        check(find)?;
        self.write(|transaction, path| {
            let sorted = |error| DaybookError::sort(error, path);
            let revision = next_revision(transaction, find.id, find.revision, path)?;
            let mut pen = Pen::new(transaction).map_err(sorted)?;
            pen.write(find, revision, None).map_err(sorted)?;
            pen.remember(find, revision, ChangeKind::Changed, now).map_err(sorted)?;
            Ok(revision)
        })
    }

    /// Takes a find out: it is in no list any more, but can be put back. Gives the new revision; that of a find that is out already stays.
    ///
    /// # Errors
    /// [`DaybookError::NoSuchFind`], [`DaybookError::Busy`], [`DaybookError::Full`].
    pub fn remove(&mut self, id: FindId, now: &ZonedDateTime) -> Result<u32, DaybookError> {
        self.write(|transaction, path| Marker::new(transaction, path)?.mark(id, ChangeKind::Removed, now).map(|(revision, _)| revision))
    }

    /// Puts a removed find back. Gives the new revision; that of a find that is not out stays.
    ///
    /// # Errors
    /// As [`Daybook::remove`].
    pub fn restore(&mut self, id: FindId, now: &ZonedDateTime) -> Result<u32, DaybookError> {
        self.write(|transaction, path| Marker::new(transaction, path)?.mark(id, ChangeKind::Restored, now).map(|(revision, _)| revision))
    }

    /// Everything that was done to a find, oldest first.
    ///
    /// # Errors
    /// [`DaybookError::UnreadableFind`] where an entry cannot be read.
    pub fn history(&self, id: FindId) -> Result<Vec<Change>, DaybookError> {
        let sorted = |error| DaybookError::sort(error, &self.path);
        let mut statement =
            self.connection.prepare("SELECT revision, at, what, find FROM history WHERE find_id = ?1 ORDER BY revision").map_err(sorted)?;
        let rows = statement
            .query_map([id.to_string()], |row| {
                Ok((row.get::<_, u32>(0)?, row.get::<_, String>(1)?, row.get::<_, String>(2)?, row.get::<_, String>(3)?))
            })
            .map_err(sorted)?;
        let mut changes = Vec::new();
        for row in rows {
            let (revision, at, what, json) = row.map_err(sorted)?;
            let unreadable = |detail: String| DaybookError::UnreadableFind { id: id.to_string(), detail };
            changes.push(Change {
                revision,
                at: super::time_text::parse_time(&at).ok_or_else(|| unreadable(format!("'{at}' is not a time")))?,
                what: ChangeKind::from_word(&what).ok_or_else(|| unreadable(format!("'{what}' is not a kind of change")))?,
                find: serde_json::from_str(&json).map_err(|error| unreadable(error.to_string()))?,
            });
        }
        Ok(changes)
    }

    /// Runs a change as one transaction that no other writer can come into.
    pub(super) fn write<T>(&mut self, change: impl FnOnce(&Transaction<'_>, &Path) -> Result<T, DaybookError>) -> Result<T, DaybookError> {
        let sorted = |error| DaybookError::sort(error, &self.path);
        self.sound.check()?;
        // From here on the log may be taken into the file.
        self.connection.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, false).map_err(sorted)?;
        let transaction = self.connection.transaction_with_behavior(TransactionBehavior::Immediate).map_err(sorted)?;
        let result = change(&transaction, &self.path)?;
        transaction.commit().map_err(sorted)?;
        Ok(result)
    }
}

/// The rules of condition of a daybook's folder.
pub(super) fn rules_of(folder: &Path) -> ConditionRules {
    match fs::read_to_string(folder.join(CONDITION_RULES)) {
        Ok(text) => ConditionRules::over_built_in(CONDITION_RULES, &text).0,
        Err(_none_or_unreadable) => ConditionRules::built_in().clone(),
    }
}

/// What the tables would refuse, said in words.
pub(super) fn check(find: &Find) -> Result<(), DaybookError> {
    let bad = |what: String| Err(DaybookError::BadFind { what });
    if let Some(probability) = find.probability
        && !(0.0..=1.0).contains(&probability)
    {
        return bad(format!("its probability is '{probability}' (expected 0 to 1)"));
    }
    if let Some(what) = find.piece.condition.fault() {
        return bad(what);
    }
    let numbers = find.piece.observations.iter().flat_map(|observation| match &observation.seen {
        crate::identify::Seen::Measured(measured) => vec![measured.value, measured.plus_minus],
        crate::identify::Seen::Colour { lab, spread } => vec![lab.l, lab.a, lab.b, *spread],
        _ => Vec::new(),
    });
    // JSON has no other numbers; they would be read back as nothing.
    if let Some(odd) = numbers.into_iter().find(|number| !number.is_finite()) {
        return bad(format!("a measurement is '{odd}' (expected a number)"));
    }
    Ok(())
}

/// The statements that take finds out and put them back, read by SQLite once for a whole step.
pub(super) struct Marker<'t> {
    state: Statement<'t>,
    find: Statement<'t>,
    listed: Statement<'t>,
    reader: Reader<'t>,
    pen: Pen<'t>,
    path: &'t Path,
}

impl<'t> Marker<'t> {
    pub(super) fn new(transaction: &'t Transaction<'_>, path: &'t Path) -> Result<Self, DaybookError> {
        let prepared = |sql| transaction.prepare(sql).map_err(|error| DaybookError::sort(error, path));
        Ok(Self {
            state: prepared("SELECT revision, removed_ms IS NOT NULL FROM finds WHERE id = ?1")?,
            find: prepared("UPDATE finds SET removed_ms = ?2, revision = ?3 WHERE id = ?1")?,
            listed: prepared("UPDATE listed SET removed = ?2 WHERE id = ?1")?,
            reader: Reader::new(transaction, path)?,
            pen: Pen::new(transaction).map_err(|error| DaybookError::sort(error, path))?,
            path,
        })
    }

    /// Takes a find out or puts it back, and gives its revision and whether that changed anything.
    pub(super) fn mark(&mut self, id: FindId, what: ChangeKind, now: &ZonedDateTime) -> Result<(u32, bool), DaybookError> {
        let path = self.path;
        let sorted = |error| DaybookError::sort(error, path);
        let id_text = id.to_string();
        let state = self.state.query_row([&id_text], |row| Ok((row.get::<_, u32>(0)?, row.get::<_, bool>(1)?))).optional();
        let (revision, is_out) = state.map_err(sorted)?.ok_or(DaybookError::NoSuchFind { id })?;
        let goes_out = what == ChangeKind::Removed;
        if goes_out == is_out {
            return Ok((revision, false));
        }
        let next = revision + 1;
        let removed_ms = goes_out.then(|| now.timestamp().as_millisecond());
        self.find.execute(params![id_text, removed_ms, next]).map_err(sorted)?;
        self.listed.execute(params![id_text, goes_out]).map_err(sorted)?;
        let find = self.reader.find(id)?.ok_or(DaybookError::NoSuchFind { id })?;
        self.pen.remember(&find, next, what, now).map_err(sorted)?;
        Ok((next, true))
    }
}

pub(super) fn revision_of(connection: &Connection, id: FindId) -> rusqlite::Result<Option<u32>> {
    connection.prepare("SELECT revision FROM finds WHERE id = ?1")?.query_row([id.to_string()], |row| row.get(0)).optional()
}

fn next_revision(connection: &Connection, id: FindId, expected: u32, path: &Path) -> Result<u32, DaybookError> {
    match revision_of(connection, id).map_err(|error| DaybookError::sort(error, path))? {
        None => Err(DaybookError::NoSuchFind { id }),
        Some(revision) if revision != expected => Err(DaybookError::ChangedElsewhere { id }),
        Some(revision) => Ok(revision + 1),
    }
}
