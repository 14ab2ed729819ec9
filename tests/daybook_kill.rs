//! A writer that is killed in the middle loses nothing it had said was kept, and leaves a sound daybook or a sound key.
#![cfg(unix)]
#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::print_stdout,
    reason = "tests; the writer tells what it has put by its output"
)]

use footring::daybook::{Daybook, Find, FindId, KeyName, Page, Standing};
use footring::identify::Piece;
use footring::key::{About, Folder, Key, KeyFile, history, load};
use rusqlite::Connection;
use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};

const ROUNDS: usize = 48;
const FOLDER: &str = "FOOTRING_TEST_WRITER_FOLDER";

/// The same test is both sides: started by itself with a folder in its environment, it writes until it is killed.
#[test]
fn a_killed_writer_loses_nothing() {
    if let Ok(folder) = std::env::var(FOLDER) {
        write_for_ever(Path::new(&folder));
    }
    let folder = tempfile::tempdir().unwrap();
    let mut said: Vec<FindId> = Vec::new();
    for round in 0..ROUNDS {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "a_killed_writer_loses_nothing", "--nocapture"])
            .env(FOLDER, folder.path())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        // It is killed after a different number of finds each time, wherever it then is in the next one. In the first rounds that is while
        // the daybook is being made or opened.
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let mut lines = lines.map_while(Result::ok).filter_map(|line| line.trim().strip_prefix("put ").map(str::to_owned));
        let heard: Vec<String> = lines.by_ref().take(round % 7).collect();
        child.kill().unwrap();
        child.wait().unwrap();
        // What it said before it died counts too.
        said.extend(heard.into_iter().chain(lines).filter_map(|id| id.parse::<FindId>().ok()));

        let daybook = Daybook::open(folder.path()).unwrap();
        let there: Vec<FindId> =
            daybook.newest_first(&Page { most: 1_000_000, ..Page::default() }).unwrap().into_iter().map(|f| f.unwrap().id).collect();
        for id in &said {
            assert!(there.contains(id), "round {round}: find {id} was said to be kept, and is gone");
            assert_eq!(daybook.history(*id).unwrap().len(), 1, "round {round}: half a find");
        }
        drop(daybook);
        let raw = Connection::open(folder.path().join("finds.db")).unwrap();
        let verdict: String = raw.query_row("PRAGMA integrity_check", [], |row| row.get(0)).unwrap();
        assert_eq!(verdict, "ok", "round {round}");
        let whole: i64 =
            raw.query_row("SELECT (SELECT count(*) FROM finds) - (SELECT count(*) FROM history)", [], |row| row.get(0)).unwrap();
        assert_eq!(whole, 0, "round {round}: a find without its history, or the other way round");
    }
    assert!(said.len() >= ROUNDS, "the writer got nowhere: {}", said.len());
}

fn write_for_ever(folder: &Path) -> ! {
    let mut daybook = Daybook::open(folder).unwrap();
    let now: jiff::ZonedDateTime = "2026-03-02T10:00:00+00:00[+00:00]".parse().unwrap();
    loop {
        let find = Find {
            id: FindId::new(),
            revision: 0,
            found_at: now.clone(),
            key: KeyName::default(),
            named: None,
            verdict: "a piece that is being written down".to_owned(),
            probability: None,
            standing: Standing::Nothing,
            piece: Piece::default(),
            box_label: "Box 1".to_owned(),
            note: "x".repeat(3000),
            photographs: Vec::new(),
            record: footring::daybook::Record::default(),
        };
        daybook.put(&find, &now).unwrap();
        println!("\nput {}", find.id);
    }
}

/// Forms and papers of the key that is saved over and over.
const ENTRIES: usize = 12;
const KEY_FOLDER: &str = "FOOTRING_TEST_SAVER_FOLDER";

/// Both sides again. `FOOTRING_KILLS=1000` kills that often; left out, a few times.
#[test]
fn a_killed_saver_loses_no_entry() {
    if let Ok(folder) = std::env::var(KEY_FOLDER) {
        save_for_ever(Path::new(&folder));
    }
    let kills = std::env::var("FOOTRING_KILLS").ok().and_then(|text| text.parse().ok()).unwrap_or(30);
    let dir = tempfile::tempdir().unwrap();
    let mut folder = new_key(dir.path());
    let mut said = 0;
    for round in 0..kills {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "a_killed_saver_loses_no_entry", "--nocapture"])
            .env(KEY_FOLDER, dir.path())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let mut numbers =
            lines.map_while(Result::ok).filter_map(|line| line.trim().strip_prefix("saved ").and_then(|n| n.parse::<u32>().ok()));
        let heard = numbers.by_ref().take(round % 4).last();
        // Somewhere within the next save.
        std::thread::sleep(std::time::Duration::from_micros((round as u64 * 7919) % 6000));
        child.kill().unwrap();
        child.wait().unwrap();
        said = numbers.last().or(heard).unwrap_or(said).max(said);

        folder.reload();
        let key = folder.key();
        assert_eq!(folder.problems(), [], "round {round}");
        assert_eq!((key.forms.len(), key.papers.len()), (ENTRIES, ENTRIES), "round {round}: an entry is lost");
        let of = |text: &str| text.split(' ').next().and_then(|n| n.parse::<u32>().ok()).unwrap();
        // Each file is as one save left it, none of them older than what was said to be saved.
        let forms = of(&key.forms[0].note);
        assert!(key.forms.iter().all(|form| of(&form.note) == forms), "round {round}: half a save");
        let papers = of(&key.papers[0].note);
        assert!(key.papers.iter().all(|paper| of(&paper.note) == papers), "round {round}: half a save");
        assert!(forms >= said && papers >= said, "round {round}: {said} was said to be saved, forms are of {forms} and papers of {papers}");
        assert!(forms - papers <= 1, "round {round}: forms are of {forms}, papers of {papers}");
        whole_history(dir.path(), round);
    }
    assert!(said as usize >= kills / 2, "the saver got nowhere: {said}");
    // The next save takes out what was left half-written.
    let mut key = folder.key().clone();
    key.about.note = "after".to_owned();
    folder.save(&key).unwrap();
    let left: Vec<String> =
        fs::read_dir(dir.path()).unwrap().map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned()).collect();
    assert!(!left.iter().any(|name| name.contains(".part")), "{left:?}");
}

/// Every version that is kept can be put back.
fn whole_history(dir: &Path, round: usize) {
    for file in [KeyFile::Forms, KeyFile::Papers] {
        let versions = history::versions(dir, file).unwrap();
        assert!(versions.len() <= history::KEPT, "round {round}");
        for version in &versions {
            let text = fs::read_to_string(&version.path).unwrap();
            assert_eq!(text.matches("id: \"").count(), ENTRIES, "round {round}: {} is not whole", version.path.display());
            assert!(text.trim_end().ends_with(']'), "round {round}: {} is not whole", version.path.display());
        }
    }
}

fn new_key(dir: &Path) -> Folder {
    let about = About { format: 1, title: "Killed".to_owned(), give_percent: 2.0, ..About::default() };
    let mut folder = Folder::create(dir, &about).unwrap();
    let mut key = folder.key().clone();
    key.lines.push(ron::from_str("(id: \"quoin\", name: \"Quoin\")").unwrap());
    key.features
        .push(ron::from_str("(id: \"height\", part: Body, view: Hand, kind: Measure((unit: Mm)), slip: 0.02, effort: 1.0)").unwrap());
    for n in 0..ENTRIES {
        key.forms.push(ron::from_str(&format!("(id: \"form-{n}\", name: \"form {n}\", line: \"quoin\", parts: [Body], shape: (body: [Corner(20.0, 0.0), Corner(25.0, {}.0)]), features: {{\"height\": Between({n}0.0, {n}1.0)}})", 30 + n)).unwrap());
        key.papers.push(ron::from_str(&format!("(id: \"paper-{n}\", title: \"Paper {n}\", kind: Memo, date: Year(1950))")).unwrap());
    }
    number(&mut key, 0);
    folder.save(&key).unwrap();
    folder
}

fn number(key: &mut Key, n: u32) {
    let note = format!("{n} {}", "x".repeat(3000));
    key.forms.iter_mut().for_each(|form| form.note.clone_from(&note));
    key.papers.iter_mut().for_each(|paper| paper.note.clone_from(&note));
}

fn save_for_ever(dir: &Path) -> ! {
    let mut folder = Folder::open(dir);
    let of = |note: &str| note.split(' ').next().and_then(|n| n.parse::<u32>().ok()).unwrap();
    let mut n = of(&folder.key().forms[0].note).max(of(&folder.key().papers[0].note));
    loop {
        n += 1;
        let mut key = folder.key().clone();
        number(&mut key, n);
        folder.save(&key).unwrap();
        println!("\nsaved {n}");
    }
}

const FULL_FOLDER: &str = "FOOTRING_TEST_FULL_FOLDER";

/// A disk on which no more has room: the shell allows files of 64 KiB, and the key grows beyond.
#[test]
fn a_full_disk_leaves_the_key_as_it_was() {
    if let Ok(folder) = std::env::var(FULL_FOLDER) {
        let mut folder = Folder::open(Path::new(&folder));
        let mut key = folder.key().clone();
        key.forms[3].note = "y".repeat(1 << 20);
        let error = folder.save(&key).unwrap_err();
        assert_eq!(folder.key().forms[3].note.len(), 3002, "what is in memory is what is on disk");
        println!("\nrefused: {error}");
        return;
    }
    let dir = tempfile::tempdir().unwrap();
    new_key(dir.path());
    let before = fs::read(dir.path().join("forms.ron")).unwrap();
    let ran = Command::new("sh")
        .args(["-c", "trap '' XFSZ; ulimit -f 128; exec \"$0\" --exact a_full_disk_leaves_the_key_as_it_was --nocapture"])
        .arg(std::env::current_exe().unwrap())
        .env(FULL_FOLDER, dir.path())
        .output()
        .unwrap();
    let out = String::from_utf8_lossy(&ran.stdout).into_owned();
    assert!(
        ran.status.success() && out.contains("refused: 'forms.ron' can't be written: file too large"),
        "{out}{}",
        String::from_utf8_lossy(&ran.stderr)
    );
    assert_eq!(fs::read(dir.path().join("forms.ron")).unwrap(), before);
    assert!(load(dir.path()).problems.is_empty());
    let left =
        fs::read_dir(dir.path()).unwrap().filter(|entry| entry.as_ref().unwrap().file_name().to_string_lossy().contains(".part")).count();
    assert_eq!(left, 0, "no half file is left");
}
