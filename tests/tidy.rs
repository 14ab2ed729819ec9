//! House rules as tests: where the arrows point, who may name the window's library, what no file may hold.
//!
//! One package has no crate walls, so this test is the wall. Each rule is a function from text to complaints, and is itself tried on text
//! that breaks it.

#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// The rooms, from the door down. Each may use those after it and none before.
const ROOMS: [&str; 11] = ["main", "terminal", "desk", "sheets", "daybook", "photo", "identify", "marks", "key", "colour", "words"];

/// The longest a source file may be, in lines.
const MOST_LINES: usize = 500;

/// Source files that may be longer, each with the reason.
const LONGER: [(&str, &str); 0] = [];

/// Rooms that only compute: they open no file, read no clock and ask nothing of the machine.
const COMPUTING: [&str; 3] = ["identify", "marks", "colour"];

fn home() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// All files below `folder` with one of these endings, sorted, as paths from the package's folder with forward slashes.
fn files(folder: &str, endings: &[&str]) -> Vec<String> {
    fn walk(at: &Path, found: &mut Vec<PathBuf>) {
        for entry in std::fs::read_dir(at).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            if path.is_dir() {
                if name != "target" && name != ".git" {
                    walk(&path, found);
                }
            } else {
                found.push(path);
            }
        }
    }
    let mut found = Vec::new();
    let start = home().join(folder);
    if start.exists() {
        walk(&start, &mut found);
    }
    let mut named: Vec<String> = found.iter().map(|path| path.strip_prefix(home()).unwrap().to_string_lossy().replace('\\', "/")).collect();
    named.retain(|name| endings.iter().any(|ending| name.ends_with(ending)));
    named.sort();
    named
}

fn read(file: &str) -> String {
    std::fs::read_to_string(home().join(file)).unwrap_or_else(|e| format!("unreadable: {e}"))
}

/// The code of a source text: comments, strings and characters become blanks, line breaks stay.
fn code_of(text: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let mut code = String::with_capacity(text.len());
    let mut at = 0;
    let blank = |code: &mut String, from: usize, to: usize| {
        for c in &chars[from..to.min(chars.len())] {
            code.push(if *c == '\n' { '\n' } else { ' ' });
        }
    };
    while at < chars.len() {
        let rest = &chars[at..];
        let word_before = at > 0 && (chars[at - 1].is_alphanumeric() || chars[at - 1] == '_');
        let end = if rest.starts_with(&['/', '/']) {
            at + rest.iter().position(|c| *c == '\n').unwrap_or(rest.len())
        } else if rest.starts_with(&['/', '*']) {
            let mut depth = 0;
            let mut i = at;
            loop {
                match (chars.get(i), chars.get(i + 1)) {
                    (Some('/'), Some('*')) => (depth, i) = (depth + 1, i + 2),
                    (Some('*'), Some('/')) => (depth, i) = (depth - 1, i + 2),
                    (Some(_), _) => i += 1,
                    (None, _) => break i,
                }
                if depth == 0 {
                    break i;
                }
            }
        } else if rest[0] == '"' {
            let mut i = at + 1;
            while i < chars.len() && chars[i] != '"' {
                i += if chars[i] == '\\' { 2 } else { 1 };
            }
            i + 1
        } else if !word_before && raw_string_hashes(rest).is_some() {
            let (hashes, body) = raw_string_hashes(rest).unwrap();
            let close: Vec<char> = std::iter::once('"').chain(std::iter::repeat_n('#', hashes)).collect();
            let mut i = at + body;
            while i < chars.len() && !chars[i..].starts_with(&close) {
                i += 1;
            }
            i + close.len()
        } else if rest[0] == '\'' && rest.get(1) == Some(&'\\') {
            at + 2 + rest[2..].iter().skip(1).position(|c| *c == '\'').map_or(0, |p| p + 2)
        } else if rest[0] == '\'' && rest.get(2) == Some(&'\'') {
            at + 3
        } else {
            code.push(rest[0]);
            at += 1;
            continue;
        };
        blank(&mut code, at, end);
        at = end;
    }
    code
}

/// For text that starts a raw string: how many hashes, and after how many characters its body begins.
fn raw_string_hashes(rest: &[char]) -> Option<(usize, usize)> {
    let start = match rest {
        ['r', ..] => 1,
        ['b' | 'c', 'r', ..] => 2,
        _ => return None,
    };
    let hashes = rest[start..].iter().take_while(|c| **c == '#').count();
    (rest.get(start + hashes) == Some(&'"')).then_some((hashes, start + hashes + 1))
}

fn is_word(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

/// Every place where `word` stands alone in the code, as byte offsets.
fn places<'a>(code: &'a str, word: &'a str) -> impl Iterator<Item = usize> + 'a {
    code.match_indices(word).map(|(at, _)| at).filter(move |at| {
        let before = code[..*at].chars().next_back();
        let after = code[at + word.len()..].chars().next();
        !before.is_some_and(is_word) && !after.is_some_and(is_word)
    })
}

fn line_of(code: &str, at: usize) -> usize {
    code[..at].matches('\n').count() + 1
}

/// The names directly below a path that starts the text: `::key::Key` gives `key`, `::{key, colour::Lab}` gives both.
fn heads(after: &str) -> Vec<String> {
    let word = |text: &str| text.trim_start().chars().take_while(|c| is_word(*c)).collect::<String>();
    let Some(rest) = after.trim_start().strip_prefix("::") else { return Vec::new() };
    let Some(group) = rest.trim_start().strip_prefix('{') else { return vec![word(rest)] };
    let mut names = vec![word(group)];
    let mut depth = 0;
    for (at, c) in group.char_indices() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            ',' if depth == 0 => names.push(word(&group[at + 1..])),
            _ => {}
        }
    }
    names.retain(|name| !name.is_empty());
    names
}

/// The room a source file belongs to; none for `src/lib.rs`, which opens every room.
fn room_of(file: &str) -> Option<&str> {
    let inner = file.strip_prefix("src/")?;
    let first = inner.split('/').next()?;
    let room = first.strip_suffix(".rs").unwrap_or(first);
    (room != "lib").then_some(room)
}

/// Names of rooms above its own that this file's code uses, with the line.
fn upward(file: &str, text: &str) -> Vec<String> {
    let Some(room) = room_of(file) else { return Vec::new() };
    let Some(own) = ROOMS.iter().position(|r| *r == room) else {
        return vec![format!("{file}: room '{room}' is not on the list of rooms")];
    };
    let code = code_of(text);
    // How many steps up lead from this file out of its room: 1 from src/key/mod.rs, 2 from src/key/load.rs.
    let steps_out = file.matches('/').count() - usize::from(file.ends_with("/mod.rs"));
    let mut complaints = Vec::new();
    let mut judge = |at: usize, names: Vec<String>| {
        for name in names {
            if ROOMS.iter().position(|r| *r == name).is_some_and(|there| there < own) {
                complaints.push(format!("{file}:{}: '{room}' may not use '{name}', which is above it", line_of(&code, at)));
            }
        }
    };
    for root in ["crate", "footring"] {
        for at in places(&code, root) {
            judge(at, heads(&code[at + root.len()..]));
        }
    }
    for at in places(&code, "super") {
        let mut rest = &code[at + "super".len()..];
        let mut steps = 1;
        while let Some(further) = rest.strip_prefix("::super") {
            (rest, steps) = (further, steps + 1);
        }
        if steps >= steps_out {
            judge(at, heads(rest));
        }
    }
    complaints
}

/// Where a file outside the desk names the window's library.
fn names_the_window(file: &str, text: &str) -> Vec<String> {
    if file.starts_with("src/desk/") || file == "src/desk.rs" || file == "src/main.rs" {
        return Vec::new();
    }
    let code = code_of(text);
    ["egui", "eframe", "egui_extras", "egui_kittest", "epaint", "emath"]
        .iter()
        .flat_map(|name| {
            places(&code, name).map(|at| format!("{file}:{}: only the desk names '{name}'", line_of(&code, at))).collect::<Vec<_>>()
        })
        .collect()
}

/// Where a room that only computes reaches for the machine, or any room for the network.
fn reaches_out(file: &str, text: &str) -> Vec<String> {
    let code = code_of(text);
    let computing = room_of(file).is_some_and(|room| COMPUTING.contains(&room));
    let barred: &[&str] = if computing {
        &["fs", "net", "env", "time", "process", "File", "Instant", "SystemTime", "jiff"]
    } else {
        &["net", "TcpStream", "UdpSocket"]
    };
    barred
        .iter()
        .flat_map(|name| {
            let path_only = ["fs", "net", "env", "time", "process"].contains(name);
            places(&code, name)
                .filter(|at| !path_only || std_path(&code, *at))
                // The calendar asks nothing of the machine, as clocks and zones do.
                .filter(|at| !code[*at..].starts_with("jiff::civil"))
                .map(|at| format!("{file}:{}: '{name}' has no place here", line_of(&code, at)))
                .collect::<Vec<_>>()
        })
        .collect()
}

/// True where the word at that place is a module of the standard library: `std::fs`, or `fs` within `use std::{…}`.
fn std_path(code: &str, at: usize) -> bool {
    let before = &code[..at];
    let statement = before.rfind([';', '\n']).map_or(before, |start| &before[start + 1..]);
    before.ends_with("std::") || (statement.contains("std::{") && !statement.contains('}'))
}

/// Words that no source, test or document may hold: they mean unfinished work, a test that is not run, or one person's machine.
fn unwanted(file: &str, text: &str) -> Vec<String> {
    // Put together here, so that this file does not complain of itself.
    let macros = ["todo", "unimplemented", "dbg"].map(|name| format!("{name}!"));
    let attributes = [format!("#[{}]", "ignore"), format!("#[{} ", "ignore"), format!("{}_panic", "should")];
    let machine = ["root", "home", "work", "tmp", "Users"].map(|name| format!("/{name}/"));
    let mut complaints = Vec::new();
    let rust = Path::new(file).extension().is_some_and(|ending| ending == "rs");
    let code = if rust { code_of(text) } else { String::new() };
    for word in macros.iter().chain(&attributes) {
        for (at, _) in code.match_indices(word.as_str()) {
            if !code[..at].chars().next_back().is_some_and(is_word) {
                complaints.push(format!("{file}:{}: '{word}' is unfinished work or an unrun test", line_of(&code, at)));
            }
        }
    }
    for (number, line) in text.lines().enumerate() {
        for path in &machine {
            let alone = |at: usize| !line[..at].chars().next_back().is_some_and(|c| is_word(c) || ".~-$}/:".contains(c));
            if line.match_indices(path.as_str()).any(|(at, _)| alone(at)) {
                complaints.push(format!("{file}:{}: a path of one machine, '{path}'", number + 1));
            }
        }
    }
    complaints
}

#[track_caller]
fn nothing(complaints: &[String]) {
    let mut list = String::new();
    for complaint in complaints {
        writeln!(list, "  {complaint}").unwrap();
    }
    assert!(complaints.is_empty(), "\n{list}");
}

fn over_sources(rule: fn(&str, &str) -> Vec<String>) -> Vec<String> {
    let sources = files("src", &[".rs"]);
    assert!(sources.len() > 10, "the sources were not found: {sources:?}");
    sources.iter().flat_map(|file| rule(file, &read(file))).collect()
}

#[test]
fn arrows_point_down_only() {
    nothing(&over_sources(upward));
}

#[test]
fn only_the_desk_names_the_window_library() {
    nothing(&over_sources(names_the_window));
}

#[test]
fn computing_rooms_touch_no_machine_and_nothing_touches_the_network() {
    nothing(&over_sources(reaches_out));
}

#[test]
fn nothing_unfinished_and_no_machine_paths() {
    let mut all = Vec::new();
    for (folder, endings) in [
        ("src", &[".rs"][..]),
        ("tests", &[".rs", ".py", ".md"]),
        ("benches", &[".rs"]),
        ("tools", &[""]),
        (".ci", &[""]),
        ("keys", &[".ron", ".md"]),
        ("assets", &[".ron", ".svg", ".txt"]),
        ("demo", &[".ron", ".md", ".txt"]),
    ] {
        all.extend(files(folder, endings));
    }
    for file in ["README.md", "DEVELOPERS.md", "CHANGELOG.md", "Cargo.toml", "clippy.toml"] {
        all.push(file.to_owned());
    }
    nothing(&all.iter().flat_map(|file| unwanted(file, &read(file))).collect::<Vec<_>>());
}

#[test]
fn source_files_stay_short() {
    let mut complaints = Vec::new();
    for file in files("src", &[".rs"]) {
        let lines = read(&file).lines().count();
        let excused = LONGER.iter().any(|(name, _)| *name == file);
        if lines > MOST_LINES && !excused {
            complaints.push(format!("{file}: {lines} lines; cut it in two, or say in LONGER why not"));
        }
        if lines <= MOST_LINES && excused {
            complaints.push(format!("{file}: {lines} lines; it needs no place in LONGER any more"));
        }
    }
    nothing(&complaints);
}

#[test]
fn every_room_says_what_it_is_for_and_is_on_every_list() {
    let mut complaints = Vec::new();
    let mut found: Vec<String> = files("src", &[".rs"]).iter().filter_map(|file| room_of(file).map(str::to_owned)).collect();
    found.dedup();
    for room in &found {
        if !ROOMS.contains(&room.as_str()) {
            complaints.push(format!("src/{room}: not on the list of rooms in this test"));
        }
    }
    let named = |list: &str| -> Vec<String> {
        list.split(|c: char| !is_word(c)).filter(|word| ROOMS[1..].contains(word)).map(str::to_owned).collect()
    };
    let lib = read("src/lib.rs");
    let head: String = lib.lines().filter(|line| line.starts_with("//! `") || line.starts_with("//! [")).collect();
    if named(&head) != ROOMS[1..] {
        complaints.push(format!("src/lib.rs lists the rooms as {:?}", named(&head)));
    }
    let developers = read("DEVELOPERS.md");
    let table: String = developers
        .lines()
        .filter_map(|line| line.strip_prefix("| `src/"))
        .map(|l| l.split('`').next().unwrap_or("").to_owned() + " ")
        .collect();
    if named(&table) != ROOMS[1..] {
        complaints.push(format!("DEVELOPERS.md lists the rooms as {:?}", named(&table)));
    }
    for room in &ROOMS[1..] {
        let file = format!("src/{room}/mod.rs");
        if !read(&file).starts_with("//! ") {
            complaints.push(format!("{file} does not begin with what the room is for"));
        }
    }
    nothing(&complaints);
}

#[test]
fn the_rules_see_what_breaks_them() {
    let up = |file, text| upward(file, text).join("\n");
    assert_eq!(
        up("src/key/load.rs", "use crate::identify::Index;\n"),
        "src/key/load.rs:1: 'key' may not use 'identify', which is above it"
    );
    assert_eq!(
        up("src/key/load.rs", "\nuse crate::{colour::Lab, desk};"),
        "src/key/load.rs:2: 'key' may not use 'desk', which is above it"
    );
    assert_eq!(
        up("src/key/load.rs", "fn f() { super::super::marks::x() }"),
        "src/key/load.rs:1: 'key' may not use 'marks', which is above it"
    );
    assert_eq!(up("src/key/mod.rs", "use super::daybook;"), "src/key/mod.rs:1: 'key' may not use 'daybook', which is above it");
    assert_eq!(up("src/attic/mod.rs", ""), "src/attic/mod.rs: room 'attic' is not on the list of rooms");
    assert_eq!(up("src/desk/app.rs", "use crate::{key::{Key, Form}, identify::Index};"), "");
    assert_eq!(
        up("src/key/load.rs", "// crate::desk\nlet a = \"crate::desk\"; let b = r#\"crate::desk\"#; let c = '\"'; /* crate::desk */"),
        ""
    );
    assert_eq!(up("src/key/load.rs", "let q = '\\''; use crate::desk;"), "src/key/load.rs:1: 'key' may not use 'desk', which is above it");

    assert_eq!(names_the_window("src/sheets/csv.rs", "fn f(ui: &mut egui::Ui) {}").len(), 1, "a sheet must not draw");
    assert_eq!(names_the_window("src/desk/app.rs", "use egui::Ui;").len(), 0, "the desk draws");
    assert_eq!(names_the_window("src/key/a.rs", "// egui's own\nlet egui_like = 1;").len(), 0, "neither comment nor longer word counts");

    assert_eq!(reaches_out("src/identify/a.rs", "use std::fs;").len(), 1, "the engine opens no file");
    assert_eq!(reaches_out("src/identify/a.rs", "use std::{fmt, time::Duration};").len(), 1, "the engine reads no clock");
    assert_eq!(reaches_out("src/marks/a.rs", "use jiff::Timestamp;").len(), 1, "a computing room reads no clock");
    assert_eq!(reaches_out("src/marks/a.rs", "use jiff::civil::Date;").len(), 0, "a calendar is no clock");
    assert_eq!(reaches_out("src/key/a.rs", "use std::fs;").len(), 0, "the key is on disk");
    assert_eq!(reaches_out("src/key/a.rs", "use std::net::TcpStream;").len(), 2, "nothing calls out");
    assert_eq!(reaches_out("src/identify/a.rs", "let time = 3; x.net();").len(), 0, "other words are free");

    assert_eq!(unwanted("src/a.rs", &format!("fn f() {{ {}!() }}", "todo")).len(), 1, "unfinished work");
    assert_eq!(unwanted("tests/a.rs", &format!("#[test]\n#[{}]\nfn f() {{}}", "ignore")).len(), 1, "an unrun test");
    assert_eq!(unwanted("tools/a", &format!("cp /{}/me x", "root")).len(), 1, "a machine's path");
    assert_eq!(unwanted("tools/a", "cp ./work/me x").len(), 0, "a path from here is fine");
}

/// What stands in quotes in a list of `deny.toml`, after its name; comments left out.
fn listed(deny: &str, list: &str) -> Vec<String> {
    let after = deny.split(&format!("\n{list} = [\n")).nth(1).unwrap_or_default();
    let lines = after.lines().take_while(|line| !line.starts_with(']')).filter(|line| !line.trim_start().starts_with('#'));
    lines.filter_map(|line| Some(line.split('"').nth(1)?.to_owned())).collect()
}

/// True where a licence expression (SPDX, and the older '/') can be met by licences that are allowed.
fn is_met(expression: &str, allowed: &[String]) -> bool {
    let expression = expression.replace('/', " OR ");
    // `AND` binds tighter than `OR`; brackets hold an `OR` within an `AND` and are taken apart first.
    if let Some(open) = expression.rfind('(')
        && let Some(length) = expression[open..].find(')')
    {
        let inner = is_met(&expression[open + 1..open + length], allowed);
        let word = if inner { "+met" } else { "+unmet" };
        return is_met(&format!("{}{word}{}", &expression[..open], &expression[open + length + 1..]), allowed);
    }
    let met = |licence: &str| licence == "+met" || allowed.iter().any(|known| known == licence);
    expression.split(" OR ").any(|every| every.split(" AND ").all(|licence| met(licence.trim())))
}

/// The crates that may be built, by what cargo has on this machine: their names, versions, licences and where they come from.
fn crates() -> Vec<[String; 4]> {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned());
    let told = std::process::Command::new(cargo)
        .args(["metadata", "--offline", "--locked", "--format-version", "1", "--manifest-path"])
        .arg(home().join("Cargo.toml"))
        .output()
        .unwrap();
    assert!(told.status.success(), "{}", String::from_utf8_lossy(&told.stderr));
    let metadata: serde_json::Value = serde_json::from_slice(&told.stdout).unwrap();
    let word = |value: &serde_json::Value| value.as_str().unwrap_or_default().to_owned();
    let packages = metadata["packages"].as_array().unwrap().iter();
    packages.map(|one| [word(&one["name"]), word(&one["version"]), word(&one["license"]), word(&one["source"])]).collect()
}

#[test]
fn what_is_built_in_has_a_licence_that_is_allowed_and_stands_once_or_for_a_reason() {
    let deny = read("deny.toml");
    let (allowed, skipped) = (listed(&deny, "allow"), listed(&deny, "skip"));
    assert!(allowed.len() > 5 && skipped.len() > 5, "the lists were not found: {allowed:?} {skipped:?}");
    let mut complaints = Vec::new();
    let mut versions: std::collections::BTreeMap<String, Vec<String>> = std::collections::BTreeMap::new();
    for [name, version, licence, source] in crates() {
        if !is_met(&licence, &allowed) {
            complaints.push(format!("{name} {version}: its licence '{licence}' is not among those allowed in deny.toml"));
        }
        // The package itself has no source; everything else comes from the one registry.
        if !source.is_empty() && !source.starts_with("registry+") {
            complaints.push(format!("{name} {version} comes from '{source}'"));
        }
        if !skipped.contains(&format!("{name}@{version}")) {
            versions.entry(name).or_default().push(version);
        }
    }
    let several = versions.into_iter().filter(|(_, versions)| versions.len() > 1);
    complaints.extend(several.map(|(name, versions)| {
        format!("{name} comes in versions {}: say in deny.toml (skip) why the older ones are needed", versions.join(" and "))
    }));
    nothing(&complaints);
    let bare: Vec<String> =
        deny.lines().filter(|line| line.contains("crate = ") && !line.contains("reason = \"")).map(str::to_owned).collect();
    nothing(&bare);
}

#[test]
fn licences_are_read_as_they_are_meant() {
    let allowed = ["MIT".to_owned(), "Apache-2.0".to_owned(), "Unicode-3.0".to_owned()];
    for (expression, met) in [
        ("MIT", true),
        ("GPL-3.0-only", false),
        ("MIT/Apache-2.0", true),
        ("GPL-3.0-only OR MIT", true),
        ("GPL-3.0-only AND MIT", false),
        ("(MIT OR GPL-3.0-only) AND Unicode-3.0", true),
        ("(GPL-3.0-only OR LGPL-3.0-only) AND Unicode-3.0", false),
        ("MIT OR GPL-3.0-only AND LGPL-3.0-only", true),
        ("Apache-2.0 WITH LLVM-exception", false),
        ("", false),
    ] {
        assert_eq!(is_met(expression, &allowed), met, "{expression}");
    }
}
