//! A writer that is killed in the middle loses nothing it had said was kept, and leaves a sound daybook or a sound key.
#![cfg(unix)]
#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::print_stdout,
    reason = "tests; the writer tells what it has put by its output"
)]

use footring::daybook::many::Bulk;
use footring::daybook::{Daybook, Find, FindId, KeyName, Page, PhotoKind, Photograph, Question, Record, Standing};
use footring::identify::Piece;
use footring::key::{About, Folder, Key, KeyFile, history, load};
use footring::photo::{Edit, Format, PhotoHash};
use rusqlite::Connection;
use std::collections::BTreeSet;
use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

/// Rounds on every build; `FOOTRING_KILLS=1000` makes it so many.
const ROUNDS: usize = 36;
/// After so many rounds a new daybook is begun: what is checked after each kill would else take longer each time.
const A_BOOK: usize = 40;
const FOLDER: &str = "FOOTRING_TEST_WRITER_FOLDER";

/// The same test is both sides: started by itself with a folder in its environment, it writes until it is killed.
#[test]
fn a_killed_writer_loses_nothing() {
    if let Ok(folder) = std::env::var(FOLDER) {
        write_for_ever(Path::new(&folder));
    }
    let mut folder = tempfile::tempdir().unwrap();
    let mut said: Vec<FindId> = Vec::new();
    let (rounds, began) = (rounds(ROUNDS), Instant::now());
    let mut kept = 0;
    for round in 0..rounds {
        if round.is_multiple_of(A_BOOK) {
            folder = tempfile::tempdir().unwrap();
            kept += said.len();
            said.clear();
        }
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
        let page = Page { most: 400, ..Page::default() };
        let finds: Vec<Find> = daybook.newest_first(&page).unwrap().into_iter().map(Result::unwrap).collect();
        let there: BTreeSet<FindId> = daybook.ids(&Question::default()).unwrap().into_iter().collect();
        for id in &said {
            assert!(there.contains(id), "round {round}: find {id} was said to be kept, and is gone");
        }
        // Nothing is half done: a find's history ends with the find as it is, and both are listed and found alike.
        for find in &finds {
            let history = daybook.history(find.id).unwrap();
            assert_eq!(history.last().map(|change| &change.find), Some(find), "round {round}: a find and its history disagree");
        }
        drop(daybook);
        let raw = Connection::open(folder.path().join("finds.db")).unwrap();
        let verdict: String = raw.query_row("PRAGMA integrity_check", [], |row| row.get(0)).unwrap();
        assert_eq!(verdict, "ok", "round {round}");
        let count = |sql: &str| raw.query_row(sql, [], |row| row.get::<_, i64>(0)).unwrap();
        let finds = count("SELECT count(*) FROM finds");
        assert_eq!(count("SELECT count(DISTINCT find_id) FROM history"), finds, "round {round}: a find without its history");
        assert_eq!(
            count("SELECT count(*) FROM listed JOIN words ON words.rowid = listed.number"),
            finds,
            "round {round}: a find that is not listed"
        );
        let agree = "SELECT count(*) FROM finds JOIN listed USING (id) WHERE box_label = box AND listed.photographs = (SELECT count(*) FROM photographs WHERE find_id = id)";
        assert_eq!(count(agree), finds, "round {round}: a find that is listed otherwise than it is");
        assert_eq!(
            count(
                "SELECT count(*) FROM history AS h WHERE revision > 1 AND NOT EXISTS (SELECT 1 FROM history WHERE find_id = h.find_id AND revision = h.revision - 1)"
            ),
            0,
            "round {round}: a hole in a history"
        );
        tell(round, rounds, "the writer", began);
    }
    kept += said.len();
    println!("{rounds} kills of the writer in {:.0} s: {kept} finds said to be kept, all there", began.elapsed().as_secs_f64());
    assert!(kept >= rounds, "the writer got nowhere: {kept}");
}

/// How often a process is killed: `usual`, or as `FOOTRING_KILLS` says.
fn rounds(usual: usize) -> usize {
    match std::env::var("FOOTRING_KILLS") {
        Ok(text) => text.parse().unwrap(),
        Err(_unset) => usual,
    }
}

/// Counts the rounds where there are many.
fn tell(round: usize, rounds: usize, who: &str, began: Instant) {
    if (round + 1).is_multiple_of(100) {
        println!("{} of {rounds} kills of {who}, {:.0} s", round + 1, began.elapsed().as_secs_f64());
    }
}

/// A daybook that may not grow any further says so in a sentence, keeps what it had and goes on once there is room.
#[test]
fn a_full_disk_is_said_and_nothing_is_lost() {
    const ENOUGH: &str = "FOOTRING_TEST_FULL_FOLDER";
    if let Ok(folder) = std::env::var(ENOUGH) {
        let mut daybook = Daybook::open(Path::new(&folder)).unwrap();
        for _ in 0..4000 {
            let find = find("y".repeat(3000));
            match daybook.put(&find, &find.found_at) {
                Ok(_) => println!("\nput {}", find.id),
                Err(error) => {
                    println!("\nsays {error}");
                    return;
                }
            }
        }
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    drop(Daybook::open(folder.path()).unwrap());
    // No file may grow beyond some megabytes; the signal that comes with that is passed over, so that writing fails as on a full disk.
    let script = "trap '' XFSZ; ulimit -f 8192; exec \"$0\" --exact a_full_disk_is_said_and_nothing_is_lost --nocapture";
    let output = Command::new("sh").args(["-c", script]).arg(std::env::current_exe().unwrap()).env(ENOUGH, folder.path()).output().unwrap();
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    let said: Vec<FindId> = text.lines().filter_map(|line| line.strip_prefix("put ")).filter_map(|id| id.parse().ok()).collect();
    let says = text.lines().find_map(|line| line.strip_prefix("says ")).unwrap_or_default();
    assert!(says.starts_with("the disk refused what the daybook wanted") || says.starts_with("there is no room left"), "{text}");
    assert!(said.len() > 20, "{}", said.len());
    let mut daybook = Daybook::open(folder.path()).unwrap();
    let there: BTreeSet<FindId> = daybook.ids(&Question::default()).unwrap().into_iter().collect();
    assert_eq!(there, said.iter().copied().collect(), "what was said to be kept is there, and nothing else");
    let one = find(String::new());
    daybook.put(&one, &one.found_at).unwrap();
}

/// A file system in memory, mounted for a test and gone with it; none where this machine does not allow that.
struct Small {
    at: tempfile::TempDir,
}

impl Small {
    fn mounted(size: &str) -> Option<Self> {
        let at = tempfile::tempdir().unwrap();
        let mounts = Command::new("mount").args(["-t", "tmpfs", "-o", &format!("size={size}"), "tmpfs"]).arg(at.path()).output();
        if mounts.is_ok_and(|ended| ended.status.success()) {
            return Some(Self { at });
        }
        println!("no file system could be mounted here, so a small one and one to be read only were not tried");
        None
    }

    fn again(&self, how: &str) {
        let mut mount = Command::new("mount");
        assert!(mount.args(["-o", &format!("remount,{how}")]).arg(self.at.path()).status().unwrap().success(), "{how}");
    }
}

impl Drop for Small {
    fn drop(&mut self) {
        let _gone = Command::new("umount").arg(self.at.path()).status();
    }
}

#[test]
fn a_small_disk_fills_and_one_to_be_read_only_says_so_and_nothing_is_lost() {
    let Some(disk) = Small::mounted("2m") else { return };
    let folder = disk.at.path().join("daybook");
    let mut daybook = Daybook::open(&folder).unwrap();
    let mut kept = BTreeSet::new();
    let says = loop {
        let find = find("y".repeat(3000));
        match daybook.put(&find, &find.found_at) {
            Ok(_) => assert!(kept.insert(find.id) && kept.len() < 2000, "a disk of two megabytes never fills"),
            Err(error) => break error.to_string(),
        }
    };
    assert!(
        says.starts_with("there is no room left on the disk for the daybook")
            || says.starts_with("the disk refused what the daybook wanted"),
        "{says}"
    );
    let there = |daybook: &Daybook| daybook.ids(&Question::default()).unwrap().into_iter().collect::<BTreeSet<FindId>>();
    assert_eq!(there(&daybook), kept, "what was said to be kept is there, and nothing else");
    // A backup beside it finds no room either, and leaves nothing.
    let backup = disk.at.path().join("backup.zip");
    let says = daybook.back_up(&backup, &footring::photo::Progress::new()).unwrap_err().to_string();
    assert!(says.contains("no room left"), "{says}");
    assert!(!backup.exists());
    drop(daybook);
    disk.again("size=16m");
    let mut daybook = Daybook::open(&folder).unwrap();
    assert_eq!(there(&daybook), kept);
    let more = find(String::new());
    daybook.put(&more, &more.found_at).unwrap();
    kept.insert(more.id);
    drop(daybook);

    disk.again("ro");
    let says = Daybook::open(&folder).unwrap_err().to_string();
    assert!(says.starts_with("the daybook may be read but not written"), "{says}");
    disk.again("rw");
    assert_eq!(there(&Daybook::open(&folder).unwrap()), kept);
}

fn find(note: String) -> Find {
    let now: jiff::ZonedDateTime = "2026-03-02T10:00:00+00:00[+00:00]".parse().unwrap();
    Find {
        id: FindId::new(),
        revision: 0,
        found_at: now,
        key: KeyName::default(),
        named: None,
        verdict: "a piece that is being written down".to_owned(),
        probability: None,
        standing: Standing::Nothing,
        piece: Piece::default(),
        box_label: "Box 1".to_owned(),
        note,
        photographs: Vec::new(),
        record: Record::default(),
    }
}

fn write_for_ever(folder: &Path) -> ! {
    let mut daybook = Daybook::open(folder).unwrap();
    let now: jiff::ZonedDateTime = "2026-03-02T10:00:00+00:00[+00:00]".parse().unwrap();
    loop {
        let find = Find { photographs: vec![photograph()], ..find("x".repeat(3000)) };
        daybook.put(&find, &now).unwrap();
        println!("\nput {}", find.id);
        // Changes of many at once, and taking them back, are killed in the middle too.
        let few: Vec<FindId> = daybook.ids(&Question::default()).unwrap().into_iter().take(5).collect();
        let done = daybook.change_many(&few, &Bulk::Box(format!("Box {}", find.id)), &now).unwrap();
        daybook.take_back(&done.changed, &now).unwrap();
    }
}

fn photograph() -> Photograph {
    Photograph {
        hash: PhotoHash::of(b"a cup"),
        format: Format::Jpeg,
        kind: PhotoKind::WholePiece,
        edit: Edit::default(),
        name: "cup.jpg".to_owned(),
        caption: String::new(),
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
    let (kills, began) = (rounds(30), Instant::now());
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
        tell(round, kills, "the saver", began);
    }
    println!("{kills} kills of the saver in {:.0} s: {said} saves said to be done, none lost", began.elapsed().as_secs_f64());
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
