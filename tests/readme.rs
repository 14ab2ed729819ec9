//! The README tells the truth: its terminal examples are run, and print what it says they print.
//!
//! A block marked `console` holds commands after `$ ` and what they print. Anything the program is given is either the word `demo` or made
//! here first. `UPDATE_README=1` writes what is printed today into the README; read it before committing.

#![expect(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests")]

use footring::terminal::{self, Call};
use std::ffi::OsString;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

fn readme() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")
}

/// Splits a command into its words as a shell does: blanks part words, quotes of either kind keep them together.
fn words(command: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut word: Option<String> = None;
    let mut quote = None;
    for c in command.chars() {
        match (quote, c) {
            (Some(q), c) if q == c => quote = None,
            (None, '"' | '\'') => {
                quote = Some(c);
                word.get_or_insert_default();
            }
            (None, c) if c.is_whitespace() => words.extend(word.take()),
            (_, c) => word.get_or_insert_default().push(c),
        }
    }
    assert!(quote.is_none(), "a quote is not closed in: {command}");
    words.extend(word);
    words
}

/// What the program prints for a command, and how it ends where that is not 0. The name of a file is taken to be in `folder`.
fn printed(command: &str, folder: &Path) -> String {
    let mut args: Vec<OsString> = words(command).into_iter().map(OsString::from).collect();
    for pair in 1..args.len() {
        if args.get(pair - 1).is_some_and(|flag| ["--cameras", "--csv", "--out"].iter().any(|known| flag == known))
            && args.get(pair).is_some_and(|file| file != "-")
        {
            let file = args.get(pair).unwrap().clone();
            *args.get_mut(pair).unwrap() = folder.join(file).into();
        }
    }
    let mut out = Vec::new();
    let mut err = Vec::new();
    let code = match terminal::parse(args) {
        Ok(Call::Verb(verb)) => terminal::run(&verb, &mut out, &mut err).code(),
        Ok(Call::Open(_)) => panic!("a README example may not open the window: {command}"),
        Err(told) => {
            out.extend(told.to_string().into_bytes());
            u8::try_from(told.exit_code()).unwrap()
        }
    };
    let mut text = String::from_utf8(out).unwrap() + &String::from_utf8(err).unwrap();
    text = text.replace(&format!("{}/", folder.display()), "");
    if code != 0 {
        writeln!(text, "[ends with {code}]").unwrap();
    }
    text
}

/// The README with what its examples print today, and the number of examples.
fn renewed(text: &str, folder: &Path) -> (String, usize) {
    let mut out = String::new();
    let mut examples = 0;
    let mut inside = false;
    for line in text.lines() {
        if inside && line == "```" {
            inside = false;
        } else if line == "```console" {
            inside = true;
        } else if inside {
            if let Some(command) = line.strip_prefix("$ ") {
                assert!(command.starts_with("footring "), "the README shows a command that this test does not run: {command}");
                examples += 1;
                out.push_str(line);
                out.push('\n');
                out.push_str(&printed(command, folder));
            }
            continue;
        }
        out.push_str(line);
        out.push('\n');
    }
    (out, examples)
}

#[test]
fn the_examples_print_what_the_readme_says() {
    let folder = tempfile::tempdir().unwrap();
    let text = std::fs::read_to_string(readme()).unwrap();
    let (today, examples) = renewed(&text, folder.path());
    assert!(examples >= 5, "only {examples} examples were found");
    if std::env::var_os("UPDATE_README").is_some() {
        std::fs::write(readme(), &today).unwrap();
    }
    for (number, (said, is)) in text.lines().zip(today.lines()).enumerate() {
        assert_eq!(said, is, "README.md:{}: renew it with UPDATE_README=1", number + 1);
    }
    assert_eq!(text.lines().count(), today.lines().count(), "the README shows less or more than is printed");
}

/// The blocks marked `ron`, each with the file it shows: the one named before it, in order, where a sentence names several.
fn files_shown(text: &str) -> Vec<(String, String)> {
    let mut named: std::collections::VecDeque<String> = std::collections::VecDeque::new();
    let mut shown = Vec::new();
    let mut block: Option<(String, String)> = None;
    for line in text.lines() {
        match (&mut block, line) {
            (None, "```ron") => block = Some((named.pop_front().expect("a file is named before the block"), String::new())),
            (Some(_), "```") => shown.extend(block.take()),
            (Some((_, body)), line) => {
                body.push_str(line);
                body.push('\n');
            }
            (None, line) => named.extend(
                line.split('`').filter(|word| word.strip_suffix(".ron").is_some_and(|name| !name.contains(' '))).map(str::to_owned),
            ),
        }
    }
    shown
}

#[test]
fn the_files_shown_make_a_sound_key() {
    let text = std::fs::read_to_string(readme()).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let shown = files_shown(&text);
    let names: Vec<&str> = shown.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(names, ["key.ron", "features.ron", "lines.ron", "forms.ron", "glazes.ron", "decorations.ron", "marks.ron", "papers.ron"]);
    for (name, body) in &shown {
        std::fs::write(folder.path().join(name), body).unwrap();
    }
    let problems: Vec<String> = footring::key::load(folder.path()).problems.iter().map(ToString::to_string).collect();
    assert_eq!(problems, Vec::<String>::new());
}

#[test]
fn links_and_pictures_of_the_readme_are_there() {
    let text = std::fs::read_to_string(readme()).unwrap();
    let mut found = 0;
    for (at, _) in text.match_indices("](") {
        let target: String = text.get(at + 2..).unwrap().chars().take_while(|c| *c != ')').collect();
        if !target.starts_with('#') && !target.contains("://") {
            found += 1;
            let path = target.split('#').next().unwrap();
            assert!(Path::new(env!("CARGO_MANIFEST_DIR")).join(path).exists(), "README.md leads to '{target}', which is not there");
        }
    }
    assert!(found >= 3, "only {found} links were found");
}

#[test]
fn words_are_parted_as_a_shell_does() {
    assert_eq!(
        words(r#"footring identify demo --see "lid outline=oval" --missing 'lid'"#),
        ["footring", "identify", "demo", "--see", "lid outline=oval", "--missing", "lid"]
    );
}
