//! Bringing a list into the key, and making a new key of one.

use super::desk::Table;
use super::pictures::both;
use egui::{Key, vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use footring::desk::bring_in::Wish;
use footring::desk::command::Command;
use footring::key::tables::Options;
use footring::key::{FormId, Record};
use std::path::{Path, PathBuf};

const LIST: &str = "\
Name,Found,Range,Rim,Height (in)
pudding basin,shelf 3,Quoin,rolled,4 1/2
pudding basin,shelf 3,Quoin,rolled,4 5/8
egg stand,box 9,Quoin,plain,tall
,box 9,Quoin,plain,3
toast rack,box 2,Fenlight,plain,2¼
";

fn write(dir: &Path, name: &str, text: &str) -> PathBuf {
    let path = dir.join(name);
    std::fs::write(&path, text).unwrap();
    path
}

fn bring(table: &mut Table, path: PathBuf) {
    table.harness.state_mut().ask(Command::BringIn(Wish::Read(path, Options::default())));
    table.settle();
}

fn small_list(table: &mut Table) {
    let path = write(table.dir(), "chapel.csv", LIST);
    bring(table, path);
}

#[test]
fn a_list_shows_what_it_would_do_and_is_brought_in_as_one_step() {
    let mut table = Table::on_disk();
    let before = table.harness.state().doc.key.clone();
    small_list(&mut table);
    for guess in ["Name is taken for: name", "Range is taken for: line", "Rim is taken for: feature", "Height (in) is taken for: measure"] {
        table.harness.get_by_label(guess);
    }
    table.harness.get_by_label("Unit of Height (in): inches");
    // What can't be read is said with its place, and nothing has changed yet.
    table.harness.get_by_label_contains("Not read: chapel.csv, row 4, column E: 'tall' is not a measure");
    table.harness.get_by_label_contains("Not read: chapel.csv, row 5, column A: this row has no name");
    assert!(std::sync::Arc::ptr_eq(&before, &table.harness.state().doc.key));
    table.click("Bring in");
    let key = table.harness.state().doc.key.clone();
    assert_eq!(key.forms.len(), before.forms.len() + 3);
    let basin = key.forms.iter().find(|form| form.name == "pudding basin").unwrap();
    assert_eq!(basin.line.as_str(), "quoin");
    let height = basin.features.iter().find(|(id, _)| id.as_str().starts_with("height")).unwrap().1;
    // 4 1/2 and 4 5/8 inches of 25.4 mm.
    assert!(matches!(height, Record::Between(from, to) if (from - 114.3).abs() < 0.06 && (to - 117.475).abs() < 0.06), "{height:?}");
    // It is on the disk, and one step takes it back there too.
    let dir = table.harness.state().doc.place.dir.clone().unwrap();
    assert!(std::fs::read_to_string(dir.join("forms.ron")).unwrap().contains("pudding basin"));
    table.command(Key::Z);
    assert_eq!(*table.harness.state().doc.key, *before);
    assert!(!std::fs::read_to_string(dir.join("forms.ron")).unwrap().contains("pudding basin"));
    table.harness.get_by_label_contains("undo: bring in chapel.csv");
}

#[test]
fn a_column_is_taken_for_something_else_and_that_is_remembered_for_the_next_list() {
    let mut table = Table::on_disk();
    small_list(&mut table);
    table.click("Found is taken for: feature");
    table.harness.get_by_role_and_label(egui::accesskit::Role::Button, "note").click();
    table.settle();
    table.harness.get_by_label("Found is taken for: note");
    table.click("Bring in");
    let key = table.harness.state().doc.key.clone();
    assert!(!key.features.iter().any(|feature| feature.name == "Found"), "it is no feature");
    let stand = key.forms.iter().find(|form| form.name == "egg stand").unwrap();
    assert!(stand.note.contains("box 9"), "{}", stand.note);
    let next = write(table.dir(), "hall.csv", "Name,Found,Range,Rim,Height (in)\nbutter pat,attic,Quoin,plain,1\n");
    bring(&mut table, next);
    table.harness.get_by_label("Found is taken for: note");
    assert_eq!(table.harness.query_all_by_label("as in the last list with these columns").count(), 5, "every column");
}

#[test]
fn a_column_that_is_taken_for_something_else_and_back_keeps_its_unit() {
    let mut table = Table::with(egui::Theme::Light, vec2(1920.0, 1080.0));
    small_list(&mut table);
    let pick = |table: &mut Table, from: &str, to: &str| {
        table.click(&format!("Height (in) is taken for: {from}"));
        table.harness.get_by_role_and_label(egui::accesskit::Role::Button, to).click();
        table.settle();
    };
    for other in ["measure", "note"] {
        pick(&mut table, "measure", other);
        if other != "measure" {
            table.harness.get_by_label("as you say");
            pick(&mut table, other, "measure");
        }
        table.harness.get_by_label("Unit of Height (in): inches");
    }
}

#[test]
fn a_list_dropped_while_a_sheet_is_edited_waits_behind_it() {
    let mut table = Table::new();
    table.harness.state_mut().ask(Command::OpenForm("quoin-casserole-one".into()));
    table.settle();
    small_list(&mut table);
    table.harness.get_by_label("chapel.csv: 5 rows");
    table.harness.state_mut().ask(Command::AddForm);
    table.settle();
    small_list(&mut table);
    table.harness.get_by_label_contains("the list waits behind this sheet");
    assert!(table.harness.state().views.key_book.sheet().is_some(), "what was typed is not lost");
}

#[test]
fn a_museum_list_is_read_in_full() {
    let mut table = Table::on_disk();
    let list = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/museum_ceramics.csv");
    bring(&mut table, list);
    table.harness.get_by_label("museum_ceramics.csv: 939 rows");
    // Into the demo key, three potteries' teapots can't be told from the demo's own two by name alone, and are not guessed.
    table.harness.get_by_label_contains("row 2, column B: 'Teapot' can mean 'teapot, Quoin' or 'teapot, Stannard'");
    table.click("a new key of it");
    table.harness.get_by_label_contains("338 forms, 1 line");
    assert!(table.harness.query_by_label_contains("Not read").is_none(), "all of it is read");
    let dir = table.dir().join("museum");
    table.harness.state_mut().ask(Command::BringIn(Wish::NewKey(Some(dir))));
    table.settle();
    assert_eq!(table.harness.state().doc.key.forms.len(), 338);
}

#[test]
fn a_list_that_cannot_be_read_or_has_no_names_is_said_to_be_so() {
    let mut table = Table::new();
    let dir = table.dir().to_owned();
    bring(&mut table, dir.join("nowhere.csv"));
    table.harness.get_by_label_contains("The list was not read: ");
    bring(&mut table, write(&dir, "empty.csv", ""));
    table.harness.get_by_label_contains("there is nothing in 'empty.csv'");
    bring(&mut table, write(&dir, "broken.xlsx", "PK\u{3}\u{4} and no more of it"));
    table.harness.get_by_label_contains("The list was not read: 'broken.xlsx'");
    // Two columns of one name, and no name column once that is taken away.
    bring(&mut table, write(&dir, "twice.csv", "name,rim,rim\nbasin,rolled,plain\n"));
    assert!(table.harness.query_by_label_contains("The list was not read").is_none(), "the one before is forgotten");
    assert_eq!(table.harness.query_all_by_label_contains(" is taken for: feature").count(), 2);
    table.click("name is taken for: name");
    table.harness.get_by_role_and_label(egui::accesskit::Role::Button, "note").click();
    table.settle();
    table.harness.get_by_label_contains("No column is taken for the name of the form");
    assert!(table.harness.query_by_label("Bring in").is_none(), "there is nothing to bring in");
}

#[test]
fn a_key_that_cannot_be_changed_takes_no_list() {
    let mut table = Table::new();
    table.harness.state_mut().doc.place.read_only = Some("this key was made by a newer version".to_owned());
    small_list(&mut table);
    let before = table.harness.state().doc.key.clone();
    table.click("Bring in");
    assert!(std::sync::Arc::ptr_eq(&before, &table.harness.state().doc.key));
    table.harness.get_by_label("this key was made by a newer version");
}

#[test]
fn a_new_key_is_made_of_a_list_and_opened() {
    let mut table = Table::on_disk();
    small_list(&mut table);
    table.click("a new key of it");
    table.harness.get_by_label("Make the new key");
    let full = table.dir().to_owned();
    table.harness.state_mut().ask(Command::BringIn(Wish::NewKey(Some(full))));
    table.settle();
    table.harness.get_by_label_contains("is not empty; choose or make an empty folder");
    let dir = table.dir().join("chapel");
    std::fs::create_dir(&dir).unwrap();
    table.harness.state_mut().ask(Command::BringIn(Wish::NewKey(Some(dir.clone()))));
    table.settle();
    let doc = &table.harness.state().doc;
    assert_eq!(doc.place.dir.as_deref(), Some(dir.as_path()));
    assert_eq!(doc.key.about.title, "chapel");
    assert_eq!(doc.key.forms.len(), 3);
    assert_eq!(table.harness.state().views.key_book.page, footring::desk::key_book::Page::Shelves, "the list is done with");
    assert!(doc.form(&FormId::new("pudding-basin")).is_some() || doc.key.forms.iter().any(|form| form.name == "pudding basin"));
}

#[test]
fn a_dropped_list_is_brought_in_and_is_no_photograph() {
    let mut table = Table::new();
    let path = write(table.dir(), "chapel.csv", LIST);
    super::photographs::drop_file(&mut table, &path);
    table.harness.get_by_label("chapel.csv: 5 rows");
    assert!(table.harness.state().doc.hand.photographs.is_empty());
}

#[test]
fn only_the_columns_in_sight_are_laid_out() {
    let mut table = Table::new();
    let headers: Vec<String> = (0..3000).map(|n| format!("feature {n}")).collect();
    let row: Vec<String> = (0..3000).map(|n| format!("v{}", n % 3)).collect();
    let text = format!("name,{}\nbasin,{}\nrack,{}\n", headers.join(","), row.join(","), row.join(","));
    let path = write(table.dir(), "wide.csv", &text);
    bring(&mut table, path);
    let laid_out = table
        .harness
        .query_all_by_label_contains(" is taken for: ")
        .filter(|node| node.accesskit_node().role() == egui::accesskit::Role::ComboBox)
        .count();
    assert!((2..=6).contains(&laid_out), "{laid_out} of 3001 columns");
}

#[test]
fn bring_in_looks() {
    both("bring_in", super::desk::LAPTOP, small_list);
}

#[test]
fn bring_in_looks_middling() {
    both("bring_in_middling", vec2(1024.0, 700.0), small_list);
}

#[test]
fn bring_in_looks_small() {
    both("bring_in_small", vec2(640.0, 400.0), small_list);
}

#[test]
fn bring_in_looks_at_a_museum_list() {
    both("bring_in_museum", vec2(1920.0, 1080.0), |table| {
        bring(table, Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/museum_ceramics.csv"));
    });
}
