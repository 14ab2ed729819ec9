//! The tables, how they came to be, and the care with which a file is opened.

use super::error::DaybookError;
use super::pen::lay_out_all;
use super::sound::{Soundness, is_small};
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags, TransactionBehavior};
use std::fs::{self, File};
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// The version of the tables this program writes (`PRAGMA user_version`).
pub const SCHEMA: u32 = 4;

/// 'FOOT': marks the file as a daybook (`PRAGMA application_id`).
const APPLICATION: u32 = 0x464f_4f54;

/// How long one writer waits for another.
pub(super) const PATIENCE: Duration = Duration::from_secs(5);

/// How much of the file is kept in memory, in KiB: what a hundred thousand finds are listed, counted and searched by. SQLite's own 2 MB are read anew for
/// every question then, and a change of thousands of finds is written out piece by piece.
const KEPT_KIB: i64 = 64 << 10;

/// Each step leads from one version to the next; the first makes an empty file a daybook of version 1. After the last, where the tables of lists
/// and words are not yet as they are now, every find is laid out in them (`pen::lay_out_all`).
const STEPS: &[&str] = &[FIRST, RECORDS_AND_LISTS, NAMES_AND_FAULTS, KEYS_AND_ANSWERS];

/// The version from which finds are laid out for lists and searches as they are now.
const LAID_OUT_FROM: u32 = 3;

const FIRST: &str = r"
CREATE TABLE finds (
    id TEXT PRIMARY KEY NOT NULL CHECK (length(id) = 36),
    revision INTEGER NOT NULL CHECK (revision >= 1),
    -- RFC 9557, with the zone; and the same instant in milliseconds since 1970 to sort by
    found_at TEXT NOT NULL,
    found_ms INTEGER NOT NULL,
    key_title TEXT NOT NULL,
    key_folder TEXT NOT NULL,
    form_id TEXT,
    form_name TEXT,
    line_name TEXT,
    verdict TEXT NOT NULL,
    probability REAL CHECK (probability BETWEEN 0 AND 1),
    standing TEXT NOT NULL,
    -- the observations, as JSON
    piece TEXT NOT NULL CHECK (json_valid(piece)),
    box_label TEXT NOT NULL,
    note TEXT NOT NULL,
    -- all words it is found by, folded
    search TEXT NOT NULL,
    removed_ms INTEGER,
    CHECK ((form_id IS NULL) = (form_name IS NULL) AND (form_id IS NULL) = (line_name IS NULL))
) STRICT;
CREATE INDEX finds_newest ON finds (found_ms DESC, id DESC) WHERE removed_ms IS NULL;
CREATE INDEX finds_box ON finds (box_label) WHERE removed_ms IS NULL;
CREATE INDEX finds_form ON finds (form_id) WHERE removed_ms IS NULL;

CREATE TABLE photographs (
    find_id TEXT NOT NULL REFERENCES finds (id),
    place INTEGER NOT NULL CHECK (place >= 0),
    hash TEXT NOT NULL CHECK (length(hash) = 64),
    format TEXT NOT NULL,
    kind TEXT NOT NULL,
    quarter_turns INTEGER NOT NULL CHECK (quarter_turns BETWEEN 0 AND 3),
    crop_left INTEGER,
    crop_top INTEGER,
    crop_width INTEGER,
    crop_height INTEGER,
    name TEXT NOT NULL,
    caption TEXT NOT NULL,
    PRIMARY KEY (find_id, place),
    CHECK ((crop_left IS NULL) = (crop_top IS NULL) AND (crop_left IS NULL) = (crop_width IS NULL) AND (crop_left IS NULL) = (crop_height IS NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX photographs_hash ON photographs (hash);

-- Every find as it was after each change; never altered
CREATE TABLE history (
    find_id TEXT NOT NULL REFERENCES finds (id),
    revision INTEGER NOT NULL CHECK (revision >= 1),
    at TEXT NOT NULL,
    what TEXT NOT NULL CHECK (what IN ('put', 'changed', 'removed', 'restored')),
    find TEXT NOT NULL CHECK (json_valid(find)),
    PRIMARY KEY (find_id, revision)
) STRICT, WITHOUT ROWID;
";

const RECORDS_AND_LISTS: &str = r"
-- status, place, prices, glazes and the rest, as JSON
ALTER TABLE finds ADD COLUMN record TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(record));
-- they are in `words` from now on
ALTER TABLE finds DROP COLUMN search;

-- What lists are filtered and sorted by, narrow, so that whole finds need not be read
CREATE TABLE listed (
    number INTEGER PRIMARY KEY NOT NULL,
    id TEXT NOT NULL UNIQUE REFERENCES finds (id),
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    found_ms INTEGER NOT NULL,
    form_id TEXT,
    form TEXT NOT NULL DEFAULT '',
    form_sort TEXT NOT NULL DEFAULT '',
    line TEXT NOT NULL DEFAULT '',
    box TEXT NOT NULL DEFAULT '',
    box_sort TEXT NOT NULL DEFAULT '',
    status TEXT NOT NULL DEFAULT 'undecided',
    standing TEXT NOT NULL DEFAULT 'nothing',
    sure REAL NOT NULL DEFAULT 0,
    -- that of the body, else of the first part of which one is known
    glaze TEXT NOT NULL DEFAULT '',
    decoration TEXT NOT NULL DEFAULT '',
    mark TEXT NOT NULL DEFAULT '',
    place TEXT NOT NULL DEFAULT '',
    place_sort TEXT NOT NULL DEFAULT '',
    made_from INTEGER,
    made_to INTEGER,
    decorated_from INTEGER,
    pieces INTEGER NOT NULL DEFAULT 1 CHECK (pieces >= 1),
    photographs INTEGER NOT NULL DEFAULT 0,
    paid_sort TEXT NOT NULL DEFAULT '',
    asked_sort TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX listed_newest ON listed (found_ms DESC, id DESC) WHERE removed = 0;
CREATE INDEX listed_box ON listed (box) WHERE removed = 0;

-- All words a find is found by, folded, and every three letters of them
CREATE VIRTUAL TABLE words USING fts5 (search, detail = 'none', tokenize = 'trigram case_sensitive 1');
";

const NAMES_AND_FAULTS: &str = r"
-- form, line, glaze, decoration, mark, box, place: folded, a space before each word. A word that is searched for counts for more here than in a note
ALTER TABLE listed ADD COLUMN names TEXT NOT NULL DEFAULT '';
-- kinds and sizes of faults, as JSON; [] for a piece that was looked over and has none; empty where nobody looked
ALTER TABLE listed ADD COLUMN faults TEXT NOT NULL DEFAULT '';
CREATE INDEX listed_faults ON listed (faults) WHERE removed = 0;
";

const KEYS_AND_ANSWERS: &str = r"
-- by which key it was named, and the answers that name one value and no other, a line for each, feature and value with a tab between: what the census
-- counts, without reading whole finds
ALTER TABLE listed ADD COLUMN key_folder TEXT NOT NULL DEFAULT '';
ALTER TABLE listed ADD COLUMN said TEXT NOT NULL DEFAULT '';
UPDATE listed SET
    key_folder = (SELECT key_folder FROM finds WHERE finds.id = listed.id),
    said = coalesce((
        SELECT char(10) || group_concat((answer.value ->> '$.feature') || char(9) || (answer.value ->> '$.seen.Values[0]') || char(10), '')
        FROM finds, json_each(finds.piece, '$.observations') AS answer
        WHERE finds.id = listed.id AND json_array_length(answer.value, '$.seen.Values') = 1), '');
CREATE INDEX listed_form ON listed (form_id, found_ms) WHERE removed = 0;
";

/// Opens the daybook file of a folder, or makes it.
pub(super) fn open(folder: &Path) -> Result<(Connection, PathBuf, Soundness), DaybookError> {
    let unusable = |source| DaybookError::Folder { path: folder.to_owned(), source };
    fs::create_dir_all(folder).map_err(unusable)?;
    let path = folder.join("finds.db");
    if !path.try_exists().map_err(unusable)? {
        // An empty one is left by a look at a large file, and holds nothing.
        if fs::metadata(log_of(&path)).is_ok_and(|log| log.len() > 0) {
            return Err(DaybookError::LostFile { path });
        }
        make(folder, &path)?;
    }
    look_at_head(&path)?;
    let had_log = log_of(&path).exists();
    match connect(&path) {
        Ok((connection, sound)) => Ok((connection, path, sound)),
        Err(error) => {
            if !had_log {
                remove_empty_log(&path);
            }
            // SQLite says no more than that it cannot be opened.
            if matches!(error, DaybookError::Folder { .. }) && may_not_write(folder) {
                return Err(DaybookError::ReadOnly { path });
            }
            Err(error)
        }
    }
}

/// True where nothing can be written in a folder: for want of the right, or because the whole disk is only to be read.
fn may_not_write(folder: &Path) -> bool {
    tempfile::tempfile_in(folder)
        .is_err_and(|error| matches!(error.kind(), io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem))
}

/// Takes away the empty log and its index that merely looking at a file leaves behind.
fn remove_empty_log(path: &Path) {
    if fs::metadata(log_of(path)).is_ok_and(|log| log.len() == 0) {
        // Where it cannot be taken away it does no harm either.
        let _log = fs::remove_file(log_of(path));
        let _index = fs::remove_file(beside(path, "-shm"));
    }
}

/// Makes a new daybook file beside its place and moves it there, so that a daybook is never half made, and two programs cannot both make it.
fn make(folder: &Path, path: &Path) -> Result<(), DaybookError> {
    let unusable = |source: io::Error| match source.kind() {
        io::ErrorKind::StorageFull => DaybookError::Full,
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => DaybookError::ReadOnly { path: folder.to_owned() },
        _ => DaybookError::Folder { path: folder.to_owned(), source },
    };
    let beside = tempfile::Builder::new().prefix(".new-").suffix(".db").tempfile_in(folder).map_err(unusable)?.into_temp_path();
    let sorted = |error| DaybookError::sort(error, path);
    let mut connection = Connection::open(&beside).map_err(sorted)?;
    upgrade(&mut connection, &beside, STEPS)?;
    connection.close().map_err(|(_connection, error)| sorted(error))?;
    match beside.persist_noclobber(path) {
        Ok(()) => sync_folder(folder).map_err(unusable),
        // Another program was quicker: its daybook is as good.
        Err(error) if error.error.kind() == io::ErrorKind::AlreadyExists => Ok(()),
        Err(error) => Err(unusable(error.error)),
    }
}

/// Reads the file's head without SQLite, which might write (a log to recover, a lock) before the file is known to be ours.
///
/// Source: SQLite, 'Database File Format', section 1.3: the magic at 0, the user version at 60 and the application id at 68, both big-endian.
pub(super) fn look_at_head(path: &Path) -> Result<(), DaybookError> {
    let unusable = |source| DaybookError::Folder { path: path.to_owned(), source };
    let mut head = Vec::new();
    File::open(path).map_err(unusable)?.take(100).read_to_end(&mut head).map_err(unusable)?;
    let no_daybook = |why| Err(DaybookError::NotADaybook { path: path.to_owned(), why });
    if head.is_empty() {
        return no_daybook("it is empty");
    }
    if !head.starts_with(b"SQLite format 3\0") {
        return no_daybook("its content is no SQLite database");
    }
    let number = |at: usize| head.get(at..at + 4).and_then(|four| four.try_into().ok()).map(u32::from_be_bytes);
    match (number(60), number(68)) {
        (Some(version), Some(APPLICATION)) if version > SCHEMA => {
            Err(DaybookError::Newer { path: path.to_owned(), found: version, known: SCHEMA })
        }
        (Some(1..), Some(APPLICATION)) => Ok(()),
        (_, Some(_)) => no_daybook("it is the database of another program"),
        _ => Err(DaybookError::Damaged { path: path.to_owned(), detail: "its head is cut short".to_owned() }),
    }
}

/// Connects, and allows nothing to be written before the whole file was looked through: a small one now, a large one when something is to be written.
fn connect(path: &Path) -> Result<(Connection, Soundness), DaybookError> {
    let sorted = |error| DaybookError::sort(error, path);
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let mut connection = Connection::open_with_flags(path, flags).map_err(sorted)?;
    // A log that is waiting stays waiting until the file is known to be sound.
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true).map_err(sorted)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true).map_err(sorted)?;
    connection.busy_timeout(PATIENCE).map_err(sorted)?;
    let sound = Soundness::unknown(path);
    if is_small([path, &log_of(path)]) {
        let verdict: String = connection.query_row("PRAGMA quick_check(1)", [], |row| row.get(0)).map_err(sorted)?;
        if verdict != "ok" {
            return Err(DaybookError::Damaged { path: path.to_owned(), detail: verdict });
        }
        sound.note_sound();
    }
    let version: u32 = connection.pragma_query_value(None, "user_version", |row| row.get(0)).map_err(sorted)?;
    if version > SCHEMA {
        return Err(DaybookError::Newer { path: path.to_owned(), found: version, known: SCHEMA });
    }
    if connection.is_readonly("main").map_err(sorted)? {
        return Err(DaybookError::ReadOnly { path: path.to_owned() });
    }
    let journal: String = connection.pragma_query_value(None, "journal_mode", |row| row.get(0)).map_err(sorted)?;
    if version < SCHEMA || journal != "wal" {
        // What comes next writes.
        sound.check()?;
    }
    // Below 0 it is KiB and not pages.
    connection.pragma_update(None, "cache_size", -KEPT_KIB).map_err(sorted)?;
    connection.pragma_update(None, "journal_mode", "wal").map_err(sorted)?;
    // FULL: on disk when the call returns, also if the power goes. The others are for macOS, where a plain sync stops at the drive's cache.
    connection.pragma_update(None, "synchronous", "full").map_err(sorted)?;
    connection.pragma_update(None, "fullfsync", true).map_err(sorted)?;
    connection.pragma_update(None, "checkpoint_fullfsync", true).map_err(sorted)?;
    connection.pragma_update(None, "foreign_keys", true).map_err(sorted)?;
    upgrade(&mut connection, path, STEPS)?;
    if sound.is_known() {
        connection.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, false).map_err(sorted)?;
    }
    Ok((connection, sound))
}

/// Takes the tables to the version that `steps` lead to, all steps in one transaction. An older daybook is copied first, to `finds.before-2.db`
/// for a step to version 2.
fn upgrade(connection: &mut Connection, path: &Path, steps: &[&str]) -> Result<(), DaybookError> {
    let sorted = |error| DaybookError::sort(error, path);
    let newest = steps.len() as u32;
    let read_version = |connection: &Connection| connection.pragma_query_value(None, "user_version", |row| row.get::<_, u32>(0));
    let before = read_version(connection).map_err(sorted)?;
    if before >= newest {
        return Ok(());
    }
    if before > 0 {
        copy(connection, &path.with_file_name(format!("finds.before-{newest}.db")))?;
    }
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate).map_err(sorted)?;
    // Another program may have done it while this one waited for its turn.
    let now = read_version(&transaction).map_err(sorted)?;
    for step in steps.iter().skip(now as usize) {
        transaction.execute_batch(step).map_err(sorted)?;
    }
    if now < LAID_OUT_FROM && newest >= LAID_OUT_FROM {
        lay_out_all(&transaction, path)?;
    }
    transaction.pragma_update(None, "application_id", APPLICATION).map_err(sorted)?;
    transaction.pragma_update(None, "user_version", newest.max(now)).map_err(sorted)?;
    transaction.commit().map_err(sorted)?;
    if before > 0 {
        // The version is read from the file's head when it is next opened, so it must not stay in the log.
        connection.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_row| Ok(())).map_err(sorted)?;
    }
    Ok(())
}

/// Copies the daybook as it is now, log included. A copy that is there already is the older one, and stays.
pub(super) fn copy(connection: &Connection, to: &Path) -> Result<(), DaybookError> {
    if to.exists() {
        return Ok(());
    }
    let sorted = |error| DaybookError::sort(error, to);
    let unusable = |source| DaybookError::Folder { path: to.to_owned(), source };
    let folder = to.parent().unwrap_or(Path::new("."));
    let beside = tempfile::Builder::new().prefix(".copy-").suffix(".db").tempfile_in(folder).map_err(unusable)?.into_temp_path();
    connection.backup("main", &beside, None::<fn(rusqlite::backup::Progress)>).map_err(sorted)?;
    beside.persist(to).map_err(|error| unusable(error.error))?;
    sync_folder(folder).map_err(unusable)
}

fn log_of(path: &Path) -> PathBuf {
    beside(path, "-wal")
}

fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    name.into()
}

#[cfg(unix)]
fn sync_folder(folder: &Path) -> io::Result<()> {
    File::open(folder)?.sync_all()
}

#[cfg(not(unix))]
#[expect(clippy::unnecessary_wraps, reason = "the other systems' version can fail")]
fn sync_folder(_folder: &Path) -> io::Result<()> {
    Ok(())
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    fn version(connection: &Connection) -> u32 {
        connection.pragma_query_value(None, "user_version", |row| row.get(0)).unwrap()
    }

    const STEP_FROM_ELSEWHERE: &str = "ALTER TABLE finds ADD COLUMN colour_of_box TEXT";

    fn with_more(steps: &[&'static str]) -> Vec<&'static str> {
        STEPS.iter().chain(steps).copied().collect()
    }

    #[test]
    fn an_older_daybook_is_copied_and_then_taken_further() {
        let folder = tempfile::tempdir().unwrap();
        let (mut connection, path, _sound) = open(folder.path()).unwrap();
        upgrade(&mut connection, &path, &with_more(&[STEP_FROM_ELSEWHERE])).unwrap();
        assert_eq!(version(&connection), SCHEMA + 1);
        connection.prepare("SELECT colour_of_box FROM finds").unwrap();
        let copy = Connection::open(folder.path().join(format!("finds.before-{}.db", SCHEMA + 1))).unwrap();
        assert_eq!(version(&copy), SCHEMA);
        assert!(copy.prepare("SELECT colour_of_box FROM finds").is_err(), "the copy is of before");
        // The file's own head says so at once, without the log.
        assert!(matches!(look_at_head(&path), Err(DaybookError::Newer { found, known: SCHEMA, .. }) if found == SCHEMA + 1));
    }

    #[test]
    fn a_step_that_fails_leaves_everything_as_it_was() {
        let folder = tempfile::tempdir().unwrap();
        let (mut connection, path, _sound) = open(folder.path()).unwrap();
        let steps = with_more(&[STEP_FROM_ELSEWHERE, "ALTER TABLE no_such_table ADD COLUMN x TEXT"]);
        upgrade(&mut connection, &path, &steps).unwrap_err();
        assert_eq!(version(&connection), SCHEMA);
        assert!(connection.prepare("SELECT colour_of_box FROM finds").is_err(), "half a migration stayed");
        drop(connection);
        open(folder.path()).unwrap();
    }

    /// A find of version 1 as that version wrote it, and its history.
    const OF_VERSION_1: &str = r#"
INSERT INTO finds VALUES ('019503a0-0000-7000-8000-000000000001', 1, '2026-03-02T10:15:00+00:00[UTC]', 1772446500000, 'Marrowby house key', 'marrowby',
    'quoin-covered-sugar', 'covered sugar', 'Quoin', 'A covered sugar', 0.9, 'settled', '{"observations":[]}', '14', 'Crème', 'creme', NULL),
    ('019503a0-0000-7000-8000-000000000002', 1, '2026-03-02T10:16:00+00:00[UTC]', 1772446560000, '', '', NULL, NULL, NULL, '', NULL, 'of tomorrow',
    '{"observations":[]}', '14', '', '', NULL);
INSERT INTO history VALUES ('019503a0-0000-7000-8000-000000000001', 1, '2026-03-02T10:15:00+00:00[UTC]', 'put',
    '{"id":"019503a0-0000-7000-8000-000000000001","revision":1,"found_at":"2026-03-02T10:15:00+00:00[UTC]","key":{"title":"Marrowby house key","folder":"marrowby"},"named":{"form":"quoin-covered-sugar","form_name":"covered sugar","line_name":"Quoin"},"verdict":"A covered sugar","probability":0.9,"standing":"Settled","piece":{"observations":[]},"box_label":"14","note":"Crème","photographs":[]}');
"#;

    #[test]
    fn a_daybook_of_version_1_is_copied_and_its_finds_are_listed_and_found() {
        use crate::daybook::{Daybook, Page, Record};
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("finds.db");
        let mut connection = Connection::open(&path).unwrap();
        upgrade(&mut connection, &path, &[FIRST]).unwrap();
        connection.execute_batch(OF_VERSION_1).unwrap();
        drop(connection);
        let mut daybook = Daybook::open(folder.path()).unwrap();
        assert!(folder.path().join("finds.before-4.db").is_file(), "a copy of before is kept");
        let creme = Page { search: "CREME sug".to_owned(), most: 9, ..Page::default() };
        let found: Vec<_> = daybook.newest_first(&creme).unwrap().into_iter().map(Result::unwrap).collect();
        assert_eq!(found.len(), 1);
        assert_eq!(found.first().unwrap().record, Record::default());
        let all = daybook.newest_first(&Page { most: 9, ..Page::default() }).unwrap();
        assert!(
            matches!(all.as_slice(), [Err(DaybookError::UnreadableFind { .. }), Ok(_)]),
            "one that cannot be read still stands in its place"
        );
        let history = daybook.history(found.first().unwrap().id).unwrap();
        assert_eq!(history.first().map(|change| &change.find), found.first(), "old history is still read");
        let changed = crate::daybook::Find { note: "blue".to_owned(), ..found.first().unwrap().clone() };
        daybook.change(&changed, &changed.found_at).unwrap();
        assert_eq!((daybook.count(&creme).unwrap(), daybook.count(&Page { search: "blue".to_owned(), ..creme }).unwrap()), (0, 1));
    }

    /// A find as version 3 wrote it: observations of one value, of several, and of a measure.
    const OF_VERSION_3: &str = r#"
INSERT INTO finds (id, revision, found_at, found_ms, key_title, key_folder, form_id, form_name, line_name, verdict, probability, standing, piece, box_label, note)
VALUES ('019503a0-0000-7000-8000-000000000003', 1, '2026-03-02T10:15:00+00:00[UTC]', 1772446500000, 'Marrowby house key', 'marrowby',
    'quoin-covered-sugar', 'covered sugar', 'Quoin', 'A covered sugar', 0.9, 'settled',
    '{"observations":[{"feature":"glaze","seen":{"Values":["moss"]},"sure":"Sure"},{"feature":"rim","seen":{"Values":["a","b"]},"sure":"Sure"},
      {"feature":"height","seen":{"Measured":{"value":90.0,"plus_minus":0.5}},"sure":"Sure"},{"feature":"decoration","seen":{"Values":["rings"]},"sure":"Sure"}]}',
    '14', ''),
    ('019503a0-0000-7000-8000-000000000004', 1, '2026-03-02T10:16:00+00:00[UTC]', 1772446560000, '', 'marrowby', 'quoin-covered-sugar', 'covered sugar', 'Quoin',
    '', NULL, 'narrowing', '{"observations":[]}', '14', '');
INSERT INTO listed (id, removed, found_ms, form_id, form, form_sort, line, box, box_sort, standing)
    SELECT id, 0, found_ms, form_id, form_name, form_name, line_name, box_label, '000000000014', standing FROM finds;
"#;

    #[test]
    fn a_daybook_of_version_3_is_copied_and_its_finds_are_counted_in_the_census() {
        use crate::daybook::census::TallyQuestion;
        use crate::daybook::{Daybook, Find};
        use crate::identify::{Observation, Seen, Sure};
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("finds.db");
        let connection = Connection::open(&path).unwrap();
        STEPS.iter().take(3).for_each(|step| connection.execute_batch(step).unwrap());
        connection.pragma_update(None, "application_id", APPLICATION).unwrap();
        connection.pragma_update(None, "user_version", 3).unwrap();
        connection.execute_batch(OF_VERSION_3).unwrap();
        drop(connection);
        let mut daybook = Daybook::open(folder.path()).unwrap();
        let copy = Connection::open(folder.path().join("finds.before-4.db")).unwrap();
        assert_eq!(version(&copy), 3);
        let said = |daybook: &Daybook| -> Vec<String> {
            let mut statement = daybook.connection.prepare("SELECT said FROM listed ORDER BY id").unwrap();
            statement.query_map([], |row| row.get(0)).unwrap().map(Result::unwrap).collect()
        };
        assert_eq!(said(&daybook), ["\nglaze\tmoss\ndecoration\trings\n", ""]);
        let question = TallyQuestion {
            folder: "marrowby".to_owned(),
            glaze: Some("glaze".into()),
            decoration: Some("decoration".into()),
            heirs: std::collections::BTreeMap::default(),
        };
        let counts = |daybook: &Daybook| -> Vec<(Option<String>, Option<String>, u64, u64)> {
            let tallies = daybook.tally(&question).unwrap();
            tallies.into_iter().map(|t| (t.glaze.map(|g| g.to_string()), t.decoration.map(|d| d.to_string()), t.finds, t.settled)).collect()
        };
        let moss = || (Some("moss".to_owned()), Some("rings".to_owned()), 1, 1);
        assert_eq!(counts(&daybook), [(None, None, 1, 0), moss()]);
        assert_eq!(daybook.finds_in_glaze(&question, &"quoin-covered-sugar".into(), Some(&"moss".into())).unwrap().len(), 1);
        // What is written now says the same as what the step made of it.
        let find = daybook.finds_in_glaze(&question, &"quoin-covered-sugar".into(), None).unwrap().first().copied().unwrap();
        let mut find: Find = daybook.find(find).unwrap().unwrap();
        find.piece.see(Observation { feature: "glaze".into(), seen: Seen::Values(vec!["moss".into()]), sure: Sure::Sure });
        daybook.change(&find, &find.found_at).unwrap();
        assert_eq!(said(&daybook), ["\nglaze\tmoss\ndecoration\trings\n", "\nglaze\tmoss\n"]);
        assert_eq!(counts(&daybook), [(Some("moss".to_owned()), None, 1, 0), moss()]);
    }

    #[test]
    fn steps_and_version_agree() {
        assert_eq!(STEPS.len(), SCHEMA as usize);
    }
}
