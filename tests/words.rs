//! Every text that people read, in one place: what the code says is in `assets/words/footring.pot`, each of it is in `assets/words/de.po` in German, and nothing that
//! people read is said past them.
//!
//! `UPDATE_WORDS=1 cargo test --test words` writes both files anew: translations are kept, new texts come without one, texts that nobody says any more go.

#![expect(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, reason = "tests")]

#[path = "common/tokens.rs"]
mod tokens;

use polib::catalog::Catalog;
use polib::message::Message;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use tokens::{Token, What};

/// The fields of the program's own data that people read, by file. What stands in them, at any depth, is said by `words::of_data`.
const DATA: [(&str, &[&str]); 5] = [
    ("assets/glossary.ron", &["word", "says"]),
    ("assets/condition.ron", &["name", "says"]),
    ("assets/dating.ron", &["because", "says", "odd_months", "suspect_before", "note", "source"]),
    ("assets/pairing.ron", &["note"]),
    ("assets/label_grids.ron", &["name"]),
];

/// Functions and macros whose own texts are not for people, each with the reason.
const NOT_FOR_PEOPLE: [(&str, &str); 16] = [
    ("dialog", "an id of a widget"),
    ("id", "an id of a widget"),
    ("unique", "an id of a widget"),
    ("id_salt", "an id of a widget"),
    ("push_id", "an id of a widget"),
    ("with", "an id of a widget"),
    ("in_rect", "an id of a widget"),
    ("top", "an id of a panel"),
    ("bottom", "an id of a panel"),
    ("load_texture", "a name for whoever looks for a leak"),
    ("debug_struct", "for whoever mends the program"),
    ("expect", "why something can't fail, for whoever reads a report of a fault"),
    ("assert", "as expect"),
    ("debug_assert", "as expect"),
    ("panic", "as expect"),
    ("log", "the log is for whoever mends the program"),
];

/// Files of the window whose own texts are not for people, each with the reason.
const FILES_NOT_FOR_PEOPLE: [(&str, &str); 2] = [
    ("src/desk/log.rs", "the log and the details for a report are for whoever mends the program"),
    ("src/desk/theme.rs", "the file of colours is the program's own, so that its faults are seen by whoever mends it"),
];

/// Functions that show their text: there even one small word is for people.
const SHOWN_BY: [&str; 14] = [
    "label",
    "button",
    "main_button",
    "icon_button",
    "icon_button_if",
    "chip",
    "remark",
    "heading",
    "strong",
    "on_hover_text",
    "hint_text",
    "labeled",
    "selected",
    "accessible_name",
];

/// Texts that are the same in every language or no texts at all, each with the reason.
const THE_SAME: [(&str, &str); 27] = [
    ("Footring", "the program's name"),
    ("Footring ", "the program's name"),
    ("made in england", "a wording of marks"),
    ("Flint", "a glaze, as an owner may call it"),
    ("lge server 9¼ .... 4/6\nsugar cov'd, 8 oz .... 1/8", "a price list, as it was printed"),
    ("12.50 GBP 2026-03-02", "a price, as it is typed"),
    ("box or lot", "the head of a column in a file"),
    ("found at", "the head of a column in a file"),
    ("column {column}", "an id of a widget"),
    ("cell {row} {column}", "an id of a widget"),
    (" new ", "a name within the program"),
    ("Waiting", "for whoever mends the program"),
    ("Ready", "for whoever mends the program"),
    ("Failed", "for whoever mends the program"),
    ("bytes://footring/", "the address of an icon within the program"),
    ("new value", "what the id of a new value is made from"),
    ("line {}", "an id of a widget"),
    ("trial figures", "an id of a widget"),
    ("outline numbers", "an id of a widget"),
    ("side numbers", "an id of a widget"),
    (
        "[(name: \"month and year\", pattern: \"{month}{year}\", parts: {\"month\": MonthNumber, \"year\": YearDigits(2)})]",
        "as it is written in marks.ron",
    ),
    ("MARROW… OV?N", "a wording of marks"),
    ("Open({})", "for whoever mends the program"),
    ("thumb {hash}", "a name for whoever looks for a leak"),
    ("None", "for whoever mends the program"),
    ("Asked", "for whoever mends the program"),
    ("Arrived", "for whoever mends the program"),
];

/// Signs of units and such, which are the same in both languages.
const SIGNS: [&str; 14] = ["mm", "ml", "cm", "g", "px", "kg", "dpi", "Lab", "RON", "CSV", "PDF", "SVG", "PNG", "EXIF"];

/// A text for people, as it is known in a catalogue.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Said {
    context: String,
    one: String,
    many: Option<String>,
}

/// What one file says: what goes through the catalogue, and what does not.
#[derive(Default)]
struct Found {
    said: BTreeSet<Said>,
    bare: Vec<(usize, String)>,
    faults: Vec<(usize, String)>,
}

fn home() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// All Rust files below a folder, sorted.
fn sources(folder: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut folders = vec![home().join(folder)];
    while let Some(at) = folders.pop() {
        for entry in std::fs::read_dir(at).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                found.push(path.strip_prefix(home()).unwrap().to_string_lossy().replace('\\', "/"));
            }
        }
    }
    found.sort();
    found
}

/// The text of a token, where it is one.
fn text_of(token: &Token) -> Option<String> {
    match &token.what {
        What::Text(text) => Some(text.clone()),
        _ => None,
    }
}

fn is_sign(token: Option<&Token>, c: char) -> bool {
    token.is_some_and(|token| token.what == What::Sign(c))
}

fn word(token: Option<&Token>) -> Option<&str> {
    match &token?.what {
        What::Word(word) => Some(word),
        _ => None,
    }
}

/// What stands within a pair of brackets of one sort.
fn within(token: Option<&Token>, bracket: char) -> Option<&[Token]> {
    match &token?.what {
        What::Group(opened, inside) if *opened == bracket => Some(inside),
        _ => None,
    }
}

/// Reads tokens; `shown_in` is the name of what they are the arguments of.
fn look_through(tokens: &[Token], shown_in: &str, found: &mut Found) {
    let mut at = 0;
    while let Some(token) = tokens.get(at) {
        // An attribute, and a module that is built for tests alone.
        if is_sign(Some(token), '#') {
            let past = if is_sign(tokens.get(at + 1), '!') { at + 2 } else { at + 1 };
            if let Some(inside) = within(tokens.get(past), '[') {
                at = past + 1;
                let for_tests = word(inside.first()) == Some("cfg")
                    && within(inside.get(1), '(').is_some_and(|what| what.len() == 1 && word(what.first()) == Some("test"));
                if for_tests {
                    let ends = |token: &Token| is_sign(Some(token), ';') || within(Some(token), '{').is_some();
                    at += tokens[at..].iter().position(ends).map_or(tokens.len() - at, |n| n + 1);
                } else if word(inside.first()) == Some("error") {
                    // What an error says, where it goes through the catalogue.
                    let mut of_error = Found::default();
                    look_through(inside, "", &mut of_error);
                    found.said.append(&mut of_error.said);
                    found.faults.append(&mut of_error.faults);
                }
                continue;
            }
        }
        match &token.what {
            What::Group(bracket, inside) => {
                let is_macro = at > 1 && is_sign(tokens.get(at - 1), '!');
                let name = at.checked_sub(if is_macro { 2 } else { 1 }).and_then(|before| word(tokens.get(before)));
                match name {
                    Some(name @ ("say" | "say_count")) if is_macro => said(name, inside, token.line, found),
                    Some(name) if *bracket == '(' => look_through(inside, name, found),
                    // A pair, as ids often are.
                    None if *bracket == '(' => look_through(inside, shown_in, found),
                    _ => look_through(inside, "", found),
                }
            }
            // A text that is compared with decides; it is not shown.
            What::Text(text) => {
                let is_pattern = is_sign(tokens.get(at + 1), '=') && is_sign(tokens.get(at + 2), '>');
                if !is_pattern && is_for_people(text, shown_in) {
                    found.bare.push((token.line, text.clone()));
                }
            }
            What::Word(_) | What::Sign(_) => {}
        }
        at += 1;
    }
}

/// True for a text that looks as if somebody were to read it.
fn is_for_people(text: &str, shown_in: &str) -> bool {
    if NOT_FOR_PEOPLE.iter().any(|(name, _)| *name == shown_in) || THE_SAME.iter().any(|(known, _)| *known == text) {
        return false;
    }
    let mut words = String::new();
    let mut depth = 0_i32;
    for c in text.chars() {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            _ if depth == 0 => words.push(c),
            _ => {}
        }
    }
    let real = |word: &&str| word.chars().filter(|c| c.is_alphabetic()).count() > 1 && !SIGNS.contains(word);
    let real: Vec<&str> =
        words.split(|c: char| !c.is_alphanumeric() && c != '\'' && c != '-' && c != '_' && c != '.' && c != '/').filter(real).collect();
    let Some(first) = real.first() else { return false };
    let capital = first.starts_with(char::is_uppercase) && first.chars().skip(1).all(|c| c.is_lowercase() || c == '\'' || c == '-');
    capital || real.len() > 1 || text.trim() != text || text.contains(' ') || SHOWN_BY.contains(&shown_in)
}

/// Takes the texts of a `say!` or `say_count!` out; what is put into them is looked through like all else.
fn said(name: &str, tokens: &[Token], line: usize, found: &mut Found) {
    let mut context = String::new();
    let mut rest = tokens;
    if name == "say" && word(rest.first()) == Some("in") {
        context = rest.get(1).and_then(text_of).unwrap_or_default();
        rest = rest.get(3..).unwrap_or_default();
    }
    if name == "say_count" {
        // The number of things: a name alone, or a name and what it is.
        let comma = rest.iter().position(|token| is_sign(Some(token), ',')).unwrap_or(rest.len());
        look_through(&rest[..comma], "", found);
        rest = rest.get(comma + 1..).unwrap_or_default();
    }
    let Some(one) = rest.first().and_then(text_of) else {
        found.faults.push((line, format!("'{name}!' without a text")));
        return;
    };
    let many = (name == "say_count").then(|| rest.get(2).and_then(text_of).unwrap_or_default());
    let taken = if many.is_some() { 3 } else { 1 };
    found.said.insert(Said { context, one, many });
    look_through(rest.get(taken..).unwrap_or_default(), "", found);
}

fn found_in(text: &str) -> Found {
    let mut found = Found::default();
    look_through(&tokens::of(text), "", &mut found);
    found
}

/// The texts in some fields of a file of data.
fn data_in(tokens: &[Token], fields: &[&str], all: bool, into: &mut BTreeSet<Said>) {
    let mut shown = all;
    for (at, token) in tokens.iter().enumerate() {
        if let Some(name) = word(Some(token))
            && is_sign(tokens.get(at + 1), ':')
        {
            shown = all || fields.contains(&name);
        }
        match &token.what {
            What::Sign(',') => shown = all,
            What::Group(_, inside) => data_in(inside, fields, shown, into),
            What::Text(text) if shown => drop(into.insert(Said { context: String::new(), one: text.clone(), many: None })),
            _ => {}
        }
    }
}

/// Everything the program says, with the files it stands in.
fn everything() -> BTreeMap<Said, BTreeSet<String>> {
    let mut all: BTreeMap<Said, BTreeSet<String>> = BTreeMap::new();
    for file in sources("src").iter().filter(|file| !file.starts_with("src/words/")) {
        let found = found_in(&std::fs::read_to_string(home().join(file)).unwrap());
        for said in found.said {
            all.entry(said).or_default().insert(file.clone());
        }
    }
    for (file, fields) in DATA {
        let mut said = BTreeSet::new();
        data_in(&tokens::of(&std::fs::read_to_string(home().join(file)).unwrap()), fields, false, &mut said);
        assert!(!said.is_empty(), "{file} holds no text any more; is the list in this test right?");
        for said in said {
            all.entry(said).or_default().insert(file.to_owned());
        }
    }
    all.retain(|said, _| !said.one.is_empty());
    all
}

fn catalogue(name: &str) -> Catalog {
    let file = home().join("assets/words").join(name);
    polib::po_file::parse(&file).unwrap_or_else(|e| panic!("{}: {e}", file.display()))
}

/// A catalogue of everything, with the translations of `known`.
fn written(all: &BTreeMap<Said, BTreeSet<String>>, known: Option<&Catalog>) -> Vec<u8> {
    let model = catalogue("de.po");
    let mut new = Catalog::new(model.metadata);
    if known.is_some() {
        new.preheader = model.preheader;
    } else {
        new.metadata.language = String::new();
        new.preheader = vec!["Everything that footring says; written by tests/words.rs with UPDATE_WORDS=1.".to_owned()];
    }
    for (said, files) in all {
        let context = (!said.context.is_empty()).then_some(said.context.as_str());
        let old = known.and_then(|known| known.find_message(context, &said.one, said.many.as_deref()));
        let mut message = if said.many.is_some() { Message::build_plural() } else { Message::build_singular() };
        message
            .with_source(files.iter().cloned().collect::<Vec<_>>().join("\n"))
            .with_msgctxt(said.context.clone())
            .with_msgid(said.one.clone());
        if let Some(old) = old {
            message.with_translator_comments(old.translator_comments().to_owned());
        }
        if let Some(many) = &said.many {
            let old = old.and_then(|old| old.msgstr_plural().ok().cloned()).unwrap_or_else(|| vec![String::new(); 2]);
            message.with_msgid_plural(many.clone()).with_msgstr_plural(old);
        } else {
            message.with_msgstr(old.and_then(|old| old.msgstr().ok()).unwrap_or_default().to_owned());
        }
        new.append_or_update(message.done());
    }
    let mut bytes = std::io::BufWriter::new(Vec::new());
    polib::po_file::write(&new, &mut bytes).unwrap();
    bytes.into_inner().unwrap()
}

/// The names in braces of a text; `Err` where a brace is left open.
fn names_in(text: &str) -> Result<BTreeSet<String>, String> {
    let mut names = BTreeSet::new();
    let mut rest = text.replace("{{", "").replace("}}", "");
    while let Some(from) = rest.find('{') {
        let to = rest[from..].find('}').ok_or_else(|| format!("an open brace in '{text}'"))? + from;
        names.insert(rest[from + 1..to].split(':').next().unwrap_or_default().to_owned());
        rest = rest[to + 1..].to_owned();
    }
    if rest.contains('}') { Err(format!("a brace that nothing opens in '{text}'")) } else { Ok(names) }
}

/// What is wrong with a translation.
fn wrong_with(english: &[&str], german: &str) -> Option<String> {
    let known: BTreeSet<String> = english.iter().filter_map(|text| names_in(text).ok()).flatten().collect();
    match names_in(german) {
        Err(fault) => Some(fault),
        // With one thing its number need not be said.
        Ok(names) if names == known || english.iter().any(|text| names_in(text).as_ref() == Ok(&names)) => None,
        Ok(names) => Some(format!("'{german}' has {names:?} where the English has {known:?}")),
    }
}

#[track_caller]
fn nothing(complaints: &[String]) {
    let mut list = String::new();
    for complaint in complaints {
        writeln!(list, "  {complaint}").unwrap();
    }
    assert!(complaints.is_empty(), "\n{list}");
}

fn written_or_the_same(name: &str, new: &[u8]) {
    let file: &Path = &home().join("assets/words").join(name);
    if std::env::var_os("UPDATE_WORDS").is_some() {
        std::fs::write(file, new).unwrap();
    }
    let old = std::fs::read(file).unwrap_or_default();
    assert!(
        old == new,
        "{name} is not what the code says now; write it anew with UPDATE_WORDS=1 cargo test --test words, then translate what is new"
    );
}

#[test]
fn both_catalogues_hold_what_the_program_says_and_nothing_else() {
    let all = everything();
    written_or_the_same("footring.pot", &written(&all, None));
    written_or_the_same("de.po", &written(&all, Some(&catalogue("de.po"))));
}

#[test]
fn every_text_has_its_german() {
    let mut complaints = Vec::new();
    for message in catalogue("de.po").messages() {
        let english = if message.is_plural() { vec![message.msgid(), message.msgid_plural().unwrap()] } else { vec![message.msgid()] };
        let german =
            if message.is_plural() { message.msgstr_plural().unwrap().clone() } else { vec![message.msgstr().unwrap().to_owned()] };
        if german.iter().any(String::is_empty) {
            complaints.push(format!("'{}' has no German", message.msgid()));
        } else {
            complaints.extend(german.iter().filter_map(|german| wrong_with(&english, german)));
        }
        complaints.extend(
            german.iter().filter(|text| text.contains(" - ") || text.contains("...")).map(|text| format!("'{text}': write – and …")),
        );
    }
    nothing(&complaints);
}

#[test]
fn nothing_that_people_read_is_said_past_the_catalogue() {
    let mut complaints = Vec::new();
    for file in sources("src").iter().filter(|file| !file.starts_with("src/words/")) {
        let found = found_in(&std::fs::read_to_string(home().join(file)).unwrap());
        complaints.extend(found.faults.iter().map(|(line, fault)| format!("{file}:{line}: {fault}")));
        let desk = file.starts_with("src/desk/") && !FILES_NOT_FOR_PEOPLE.iter().any(|(known, _)| file == known);
        if desk {
            complaints.extend(found.bare.iter().map(|(line, text)| format!("{file}:{line}: {text:?} is not said by say!")));
        }
    }
    nothing(&complaints);
}

#[test]
fn the_checks_see_what_breaks_them() {
    let bare = |code: &str| found_in(code).bare.into_iter().map(|(line, text)| format!("{line}: {text}")).collect::<Vec<_>>();
    assert_eq!(bare("fn f() {\n  ui.label(\"lid\");\n}"), ["2: lid"], "a word that is shown");
    assert_eq!(bare("fn f() { let a = \"Add a lid\"; }"), ["1: Add a lid"], "words with spaces");
    assert_eq!(bare("fn f() { format!(\"{} finds\", n) }"), ["1: {} finds"], "words beside a value");
    assert_eq!(bare("const A: &str = \"Lid\";"), ["1: Lid"], "a capital");
    assert_eq!(
        bare("fn f() { say!(\"Add a lid\"); say!(\"{a} of {b}\", a, b = word(\"a lid\")) }"),
        ["1: a lid"],
        "what is put into a text"
    );
    assert!(
        bare("/// A lid\n#[expect(a, reason = \"For a lid\")]\nfn f() { x.id_salt(\"a lid\"); g(\"lid\"); format!(\"{a} mm × {b}\") }")
            .is_empty()
    );
    assert!(bare("#[cfg(test)]\nmod tests { fn f() { ui.label(\"A lid\") } }").is_empty());

    let said = |code: &str| found_in(code).said.into_iter().map(|said| (said.context, said.one, said.many)).collect::<Vec<_>>();
    let text = |text: &str| text.to_owned();
    assert_eq!(said("f(say!(in \"a shape\", \"Round\"))"), [(text("a shape"), text("Round"), None)]);
    assert_eq!(said("crate::say_count!(n = a.len(), \"{n} lid\", \"{n} lids\")"), [(text(""), text("{n} lid"), Some(text("{n} lids")))]);
    assert_eq!(said("say!(\"a \\\n   \\\"lid\\\"\")"), [(text(""), text("a \"lid\""), None)], "as the compiler reads it");
    assert_eq!(found_in("say!(words)").faults.len(), 1, "a text that can't be collected");

    assert_eq!(wrong_with(&["{n} lid", "{n} lids"], "{n} Deckel"), None);
    assert_eq!(wrong_with(&["one lid", "{n} lids"], "ein Deckel"), None);
    assert!(wrong_with(&["{n} lids of {form}"], "{n} Deckel").is_some(), "a name that is lost");
    assert!(wrong_with(&["{n} lids"], "{zahl} Deckel").is_some(), "a name that nobody gives");
    assert!(wrong_with(&["{n} lids"], "{n Deckel").is_some(), "an open brace");
    assert_eq!(wrong_with(&["{mm:.1} mm"], "{mm:.1} mm"), None);

    let mut data = BTreeSet::new();
    let tokens =
        tokens::of("(words: [(word: \"lid\", part: Some(Lid), also: [\"cover\"], says: \"A cover.\")], odd: [('O', 1, \"Once\")])");
    data_in(&tokens, &["word", "says", "odd"], false, &mut data);
    assert_eq!(data.into_iter().map(|said| said.one).collect::<Vec<_>>(), ["A cover.", "Once", "lid"]);
}
