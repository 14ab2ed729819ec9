//! The window in German: everything is found by its German names, and no English is left among what is said.
//!
//! What is spoken holds for a whole process, so these tests have one of their own and take turns.

#![expect(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "tests")]

#[path = "window/desk.rs"]
#[expect(dead_code, reason = "the window's own tests use all of it")]
mod desk;
#[path = "german/said.rs"]
mod said;
#[path = "common/staged.rs"]
#[expect(dead_code, reason = "other tests use the other cloths")]
mod staged;

use desk::{LAPTOP, Table};
use egui::{Key, Theme};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use footring::daybook::{Daybook, Find, FindId, KeyName, Named, Standing};
use footring::desk::app::Desk;
use footring::desk::command::Command;
use footring::desk::key_book::Page;
use footring::desk::{Footring, Start};
use footring::identify::{Observation, Piece, Seen, Sure};
use footring::terminal::Call;
use footring::words::{Language, spoken};
use std::collections::BTreeSet;
use std::sync::{Mutex, MutexGuard, PoisonError};

static SPEAKING: Mutex<()> = Mutex::new(());

fn my_turn() -> MutexGuard<'static, ()> {
    SPEAKING.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A window on the demo key that speaks German.
fn table() -> Table {
    let mut table = Table::with(Theme::Light, LAPTOP);
    let german = footring::desk::comfort::Comfort { language: Some(Language::German), ..table.harness.state().settings.comfort };
    table.harness.state_mut().ask(Command::Comfort(german));
    table.settle();
    table
}

/// A text of the catalogue that is said otherwise in German: what stands between the values that are put into it.
struct English {
    text: String,
    parts: Vec<String>,
}

impl English {
    fn of(text: &str) -> Self {
        let mut parts = vec![String::new()];
        let mut depth = 0;
        for c in text.chars() {
            match c {
                '{' => depth += 1,
                '}' => {
                    depth -= 1;
                    parts.push(String::new());
                }
                _ if depth == 0 => parts.last_mut().unwrap().push(c),
                _ => {}
            }
        }
        Self { text: text.to_owned(), parts }
    }

    /// True where it says enough to be known again: more than a short word between two values.
    fn tells(&self) -> bool {
        self.parts.len() == 1 || self.parts.iter().flat_map(|part| part.chars()).filter(|c| c.is_alphabetic()).count() > 7
    }

    /// True where a name is this text, with anything for its values.
    fn is(&self, name: &str) -> bool {
        let (first, rest) = self.parts.split_first().unwrap();
        let Some((last, between)) = rest.split_last() else { return name == self.text };
        let Some(mut left) = name.strip_prefix(first.as_str()) else { return false };
        for part in between {
            let Some(at) = left.find(part.as_str()) else { return false };
            left = &left[at + part.len()..];
        }
        left.ends_with(last.as_str())
    }
}

/// The English of everything that has another German.
fn english() -> Vec<English> {
    let catalogue = polib::po_file::parse(&std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("assets/words/de.po")).unwrap();
    let mut all = Vec::new();
    let mut german = BTreeSet::new();
    for message in catalogue.messages() {
        german.extend(message.msgstr().ok().map(str::to_owned));
        if message.is_plural() {
            all.extend([message.msgid(), message.msgid_plural().unwrap()].map(English::of));
        } else if message.msgstr().unwrap() != message.msgid() {
            all.extend([message.msgid().to_owned(), footring::key::capital(message.msgid())].map(|text| English::of(&text)));
        }
    }
    // 'Name' is German too.
    all.retain(|text| text.tells() && !german.contains(&text.text));
    all
}

/// Every name and value that the screen says.
fn said(table: &Table) -> BTreeSet<String> {
    let mut out = BTreeSet::new();
    for node in table.harness.root().children_recursive() {
        let node = node.accesskit_node();
        out.extend(node.label());
        out.extend(node.value());
    }
    out.into_iter().flat_map(|text| text.lines().map(str::to_owned).collect::<Vec<_>>()).collect()
}

/// What the key itself says, which is its owner's: never translated.
fn of_the_key(table: &Table) -> BTreeSet<String> {
    let key = &table.harness.state().doc.key;
    let mut names: BTreeSet<String> = BTreeSet::new();
    names.extend(key.features.iter().map(footring::key::Feature::shown_name));
    for feature in &key.features {
        names.extend(key.values_of(feature).into_iter().map(|(_, name)| name));
    }
    names.extend(key.lines.iter().map(|line| line.name.clone()));
    names.extend(key.forms.iter().map(|form| form.name.clone()));
    names.extend(key.glazes.iter().map(|glaze| glaze.name.clone()));
    names.extend(key.decorations.iter().map(|decoration| decoration.name.clone()));
    names.extend(key.marks.iter().map(|mark| mark.name.clone()));
    names.iter().map(|name| footring::key::capital(name)).chain(names.clone()).collect()
}

fn english_left(table: &Table, english: &[English]) -> Vec<String> {
    let known = of_the_key(table);
    said(table)
        .into_iter()
        .filter(|name| !known.contains(name))
        .filter_map(|name| english.iter().find(|text| text.is(&name)).map(|text| format!("{name:?} is '{}'", text.text)))
        .collect()
}

#[test]
fn no_screen_says_anything_in_english() {
    let _turn = my_turn();
    let english = english();
    assert!(english.len() > 300, "the catalogue was not read: {}", english.len());
    let mut table = table();
    for seen in ["lid outline=oval", "handle=lug"] {
        table.see(seen);
    }
    table.command(Key::S);
    for seen in ["body outline=chamfered", "handle=lug", "height=71±2"] {
        table.see(seen);
    }
    let mut left = Vec::new();
    for name in ["Tisch", "Unterscheiden", "Schlüsselbuch", "Markenlade", "Fundbuch"] {
        first_called(&mut table, name);
        left.extend(english_left(&table, &english).into_iter().map(|text| format!("{name}: {text}")));
    }
    let pages = [Page::Shelves, Page::Health, Page::Trial, Page::BringIn, Page::Table, Page::Lists, Page::OtherKey];
    for page in pages {
        table.harness.state_mut().ask(Command::OpenPage(page));
        table.settle();
        left.extend(english_left(&table, &english).into_iter().map(|text| format!("{page:?}: {text}")));
    }
    table.harness.state_mut().ask(Command::OpenForm("quoin-covered-sugar".into()));
    table.settle();
    left.extend(english_left(&table, &english).into_iter().map(|text| format!("sheet: {text}")));
    for command in [Command::DateIt, Command::LookOver] {
        table.harness.state_mut().ask(command);
        table.settle();
        left.extend(english_left(&table, &english).into_iter().map(|text| format!("beside the Bench: {text}")));
        table.key(Key::Escape);
    }
    for key in [Key::F1, Key::F3, Key::F4] {
        table.key(key);
        left.extend(english_left(&table, &english).into_iter().map(|text| format!("{key:?}: {text}")));
        table.key(Key::Escape);
    }
    assert!(left.is_empty(), "\n{}", left.join("\n"));
}

#[test]
fn the_language_is_chosen_taken_up_at_once_and_remembered() {
    let _turn = my_turn();
    let mut table = Table::on_disk();
    assert!(table.harness.query_by_label("Daybook").is_some(), "tests speak English unless they say so");
    table.see("lid outline=oval");
    table.key(Key::F4);
    table.click("Deutsch");
    assert!(table.harness.query_by_label("Bequemlichkeit").is_some());
    assert_eq!(spoken(), Language::German);
    table.key(Key::Escape);
    let title = &table.harness.state().doc.verdict.title;
    assert!(title.is_empty() || !title.starts_with("One of"), "what was worked out is said anew: {title}");
    let app = table.harness.state();
    app.settings.write(&app.data_dir).unwrap();
    let mut table = table.started_again();
    assert!(table.harness.query_by_label("Fundbuch").is_some(), "remembered");
    table.key(Key::F4);
    table.click("English");
    assert!(table.harness.query_by_label("Comfort").is_some());
}

#[test]
fn the_system_decides_until_somebody_chooses() {
    let _turn = my_turn();
    let dir = tempfile::tempdir().unwrap();
    let start =
        |language| Start { data_dir: Some(dir.path().to_owned()), language, system_language: Some(Language::German), ..Start::default() };
    Desk::prepare(start(None)).unwrap();
    assert_eq!(spoken(), Language::German, "that of the system");
    let desk = Desk::prepare(start(Some(Language::English))).unwrap();
    assert_eq!(spoken(), Language::English, "that of the command line");
    assert_eq!(desk.settings.comfort.language, Some(Language::English), "and it is remembered");
    Footring::new(&egui::Context::default(), Desk::prepare(Start { data_dir: Some(dir.path().to_owned()), ..Start::default() }).unwrap());
    assert_eq!(spoken(), Language::English, "nobody said anything");
}

#[test]
fn the_command_line_knows_both_languages_and_no_other() {
    let open = |code: &str| footring::terminal::parse(["footring", "open", "--language", code].map(Into::into));
    for language in Language::ALL {
        match open(language.code()) {
            Ok(Call::Open(open)) => assert_eq!(open.language, Some(language)),
            other => panic!("{other:?}"),
        }
    }
    let told = open("fr").unwrap_err().to_string();
    assert!(told.contains("the window speaks English (en) and German (de)"), "{told}");
}

#[test]
fn pictures_of_the_german_window() {
    let _turn = my_turn();
    let mut table = table();
    for seen in ["body outline=chamfered", "handle=lug", "height=71±2"] {
        table.see(seen);
    }
    table.key(Key::Enter);
    picture(&mut table, "german_bench");
    table.key(Key::Escape);
    first_called(&mut table, "Schlüsselbuch");
    picture(&mut table, "german_key_book");
    let mut daybook = Daybook::open(&table.dir().join("daybook")).unwrap();
    for find in [find(1, ("quoin-covered-sugar", "covered sugar")), find(2, ("quoin-casserole-one", "one-person casserole"))] {
        daybook.put(&find, &find.found_at).unwrap();
    }
    first_called(&mut table, "Fundbuch");
    table.click("Covered sugar, Quoin, Kiste 9, 2. März 2026, 10:01");
    picture(&mut table, "german_daybook");
}

/// Clicks the first thing of that name: the screens are named in the bar at the top.
fn first_called(table: &mut Table, name: &str) {
    table.harness.get_all_by_label(name).next().unwrap().click();
    table.settle();
}

/// A find of a fixed day.
fn find(minute: u32, (form, name): (&str, &str)) -> Find {
    Find {
        id: FindId::new(),
        revision: 0,
        found_at: format!("2026-03-02T10:{minute:02}:00+00:00[+00:00]").parse().unwrap(),
        key: KeyName { title: "Marrowby house key".to_owned(), folder: "marrowby".to_owned() },
        named: Some(Named { form: form.into(), form_name: name.to_owned(), line_name: "Quoin".to_owned() }),
        verdict: format!("A {name} of the Quoin line, by its lid"),
        probability: Some(0.93),
        standing: Standing::Settled,
        piece: Piece {
            observations: vec![Observation { feature: "plan".into(), seen: Seen::Values(vec!["oval".into()]), sure: Sure::Probably }],
            ..Piece::default()
        },
        box_label: "9".to_owned(),
        note: String::new(),
        photographs: Vec::new(),
        record: footring::daybook::Record::default(),
    }
}

fn picture(table: &mut Table, name: &str) {
    table.harness.remove_cursor();
    table.settle();
    table.harness.snapshot(name);
}
