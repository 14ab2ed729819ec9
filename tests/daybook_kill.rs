//! A writer that is killed in the middle loses nothing it had said was kept, and leaves a sound daybook.
#![cfg(unix)]
#![expect(clippy::unwrap_used, clippy::print_stdout, reason = "tests; the writer tells what it has put by its output")]

use footring::daybook::{Daybook, Find, FindId, KeyName, Page, Standing};
use footring::identify::Piece;
use rusqlite::Connection;
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
        };
        daybook.put(&find, &now).unwrap();
        println!("\nput {}", find.id);
    }
}
