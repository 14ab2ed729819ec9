//! The key changed on disk while the window is open: taken in where it may be, shown side by side where both changed one thing.

use super::desk::Table;
use egui::{Key, Theme};
use egui_kittest::SnapshotResults;
use egui_kittest::kittest::Queryable as _;
use footring::desk::command::Command;
use footring::key::{Form, FormId, Layout, Record, load};
use std::fs;
use std::path::PathBuf;
use std::time::{Duration, Instant};

const SUGAR: &str = "quoin-covered-sugar";

fn folder(table: &Table) -> PathBuf {
    table.dir().join("keys/marrowby")
}

fn sugar(table: &Table) -> Form {
    table.harness.state().doc.form(&FormId::from(SUGAR)).unwrap().clone()
}

/// Changes a form on disk as another program would, with a saver of its own.
fn on_disk(table: &Table, change: impl FnOnce(&mut Form)) {
    let mut other = footring::key::Folder::open(&folder(table));
    let mut key = other.key().clone();
    change(key.forms.iter_mut().find(|form| form.id.as_str() == SUGAR).unwrap());
    other.save(&key).unwrap();
}

/// Runs frames until it is so.
fn until(table: &mut Table, so: impl Fn(&Table) -> bool) {
    let start = Instant::now();
    while !so(table) {
        assert!(start.elapsed() < Duration::from_secs(30), "it never came to that");
        table.settle();
        std::thread::sleep(Duration::from_millis(10));
    }
}

fn reads(table: &Table, text: &str) -> bool {
    table.harness.query_all_by_label_contains(text).next().is_some()
}

fn lid(outline: &str) -> impl FnOnce(&mut Form) {
    let record = Record::Always(outline.into());
    move |form| {
        form.features.insert("lid-outline".into(), record);
    }
}

/// Both change the lid and the drawing of one form, and mine is being saved.
fn clashing(table: &mut Table) {
    let mut mine = sugar(table);
    lid("oval")(&mut mine);
    "mine".clone_into(&mut mine.note);
    mine.shape.wall_mm = 4.0;
    on_disk(table, |form| {
        lid("rounded-square")(form);
        form.also.push("theirs".to_owned());
        form.shape.wall_mm = 6.5;
    });
    table.harness.state_mut().ask(Command::PutForm(Box::new(mine)));
    until(table, |table| table.harness.state().views.clash.is_open());
}

#[test]
fn a_change_on_disk_is_taken_in_as_a_step() {
    let mut table = Table::on_disk();
    let before = sugar(&table);
    on_disk(&table, |form| form.note = "by another".to_owned());
    until(&mut table, |table| sugar(table).note == "by another");
    assert!(reads(&table, "Changed on disk and taken in: forms: covered sugar, Quoin: note"), "it is said");
    table.command(Key::Z);
    until(&mut table, |table| sugar(table) == before);
    table.settle();
    let saved = load(&folder(&table)).key;
    assert_eq!(saved.form(&FormId::from(SUGAR)), Some(&before), "undone on disk too");
}

#[test]
fn what_makes_no_sense_on_disk_is_not_taken_in() {
    let mut table = Table::on_disk();
    let forms = folder(&table).join("forms.ron");
    let sound = fs::read_to_string(&forms).unwrap();
    let count = table.harness.state().doc.key.forms.len();
    // As an editor leaves it that is still writing.
    fs::write(&forms, &sound[..sound.len() / 2]).unwrap();
    until(&mut table, |table| reads(table, "the key on disk can't be taken in as it is now: "));
    assert_eq!(table.harness.state().doc.key.forms.len(), count, "what is open stays");
    fs::write(&forms, sound.replace("covered sugar", "sugar with a cover")).unwrap();
    until(&mut table, |table| sugar(table).name == "sugar with a cover");
    assert_eq!(table.harness.state().doc.key.forms.len(), count);
}

#[test]
fn what_both_changed_is_chosen_by_keyboard_and_is_one_step() {
    let mut table = Table::on_disk();
    let before = sugar(&table);
    clashing(&mut table);
    assert!(reads(&table, "Changed here and on disk"), "the clashes are shown");
    assert!(table.harness.query_by_label("Mine: 4 mm").is_some() && table.harness.query_by_label("On disk: 6.5 mm").is_some());
    table.key(Key::ArrowDown);
    assert!(table.harness.query_by_label("Mine: oval").is_some() && table.harness.query_by_label("On disk: rounded square").is_some());
    table.key(Key::ArrowUp);
    assert!(reads(&table, "2 clashes left to choose"));
    let on_disk_now = load(&folder(&table)).key;
    assert_eq!(
        on_disk_now.form(&FormId::from(SUGAR)).unwrap().features["lid-outline"],
        Record::Always("rounded-square".into()),
        "nothing is written yet"
    );
    // In the order of the form: mine for the wall, the disk's for the lid.
    table.key(Key::Num1);
    table.key(Key::Num2);
    assert!(table.harness.query_by_label("Take what was chosen").is_some(), "all is chosen");
    table.key(Key::Enter);
    until(&mut table, |table| !table.harness.state().views.clash.is_open() && table.harness.state().is_at_rest());
    let chosen = sugar(&table);
    assert_eq!((chosen.note.as_str(), chosen.also.contains(&"theirs".to_owned())), ("mine", true), "what did not clash is joined");
    let saved = load(&folder(&table)).key;
    assert_eq!(saved.form(&FormId::from(SUGAR)), Some(&chosen));
    assert_eq!(chosen.features["lid-outline"], Record::Always("rounded-square".into()));
    assert!((chosen.shape.wall_mm - 4.0).abs() < 1e-9, "the wall is mine");
    // Back to mine alone, and back to what was there at first.
    table.command(Key::Z);
    table.settle();
    assert_eq!(sugar(&table).features["lid-outline"], Record::Always("oval".into()));
    table.command(Key::Z);
    table.settle();
    assert_eq!(sugar(&table), before);
    assert_eq!(load(&folder(&table)).key.form(&FormId::from(SUGAR)), Some(&before));
}

#[test]
fn a_side_is_pressed_and_escape_decides_later() {
    let mut table = Table::on_disk();
    clashing(&mut table);
    table.click("On disk everywhere");
    table.click("Take what was chosen");
    until(&mut table, |table| table.harness.state().is_at_rest());
    assert_eq!(sugar(&table).features["lid-outline"], Record::Always("rounded-square".into()));
    assert_eq!(sugar(&table).note, "mine");
    let mut table = Table::on_disk();
    clashing(&mut table);
    table.key(Key::Escape);
    assert!(!table.harness.state().views.clash.is_open());
    assert_eq!(sugar(&table).features["lid-outline"], Record::Always("oval".into()), "mine is on screen");
    let saved = load(&folder(&table)).key;
    assert_eq!(
        saved.form(&FormId::from(SUGAR)).unwrap().features["lid-outline"],
        Record::Always("rounded-square".into()),
        "and theirs on disk"
    );
}

#[test]
fn a_newer_key_is_read_and_an_older_one_brought_up() {
    let mut table = Table::on_disk();
    let key_ron = folder(&table).join("key.ron");
    let text = fs::read_to_string(&key_ron).unwrap();
    fs::write(&key_ron, text.replace("format: 1", "format: 99")).unwrap();
    let dir = folder(&table);
    table.harness.state_mut().ask(Command::OpenKey(dir));
    table.settle();
    assert_eq!(
        table.harness.state().doc.place.read_only.as_deref(),
        Some("a newer Footring wrote this key, so it is only read here (get the newer program)")
    );
    let mut changed = sugar(&table);
    changed.note = "x".to_owned();
    table.harness.state_mut().ask(Command::PutForm(Box::new(changed)));
    table.settle();
    assert!(reads(&table, "a newer Footring wrote this key"), "it is said, and nothing is changed");
    assert_ne!(sugar(&table).note, "x");
    fs::write(&key_ron, text.replace("format: 1,", "")).unwrap();
    let dir = folder(&table);
    table.harness.state_mut().ask(Command::OpenKey(dir));
    table.settle();
    assert!(reads(&table, "This key had format 0 and now has format 1: key.ron says which format it has"));
    assert!(fs::read_to_string(&key_ron).unwrap().contains("format: 1"));
}

/// Both change the wording of one mark, and mine is being saved.
fn clashing_marks(table: &mut Table) {
    let (id, theirs) = {
        let mut other = footring::key::Folder::open(&folder(table));
        let mut key = other.key().clone();
        let mark = key.marks.iter_mut().find(|mark| mark.layout == Layout::Round && !mark.wording.is_empty()).unwrap();
        "MARROWBY WARE".clone_into(&mut mark.wording[0].text);
        let changed = mark.clone();
        other.save(&key).unwrap();
        (changed.id.clone(), changed)
    };
    let mut mine = table.harness.state().doc.key.mark(&id).unwrap().clone();
    assert_ne!(mine.wording[0].text, theirs.wording[0].text);
    "MARROWBY CHINA".clone_into(&mut mine.wording[0].text);
    table.harness.state_mut().ask(Command::PutMark(Box::new(mine), Vec::new()));
    until(table, |table| table.harness.state().views.clash.is_open());
}

#[test]
fn a_clash_of_marks_shows_both_marks_and_one_is_taken() {
    let mut table = Table::on_disk();
    clashing_marks(&mut table);
    table.harness.state_mut().notice = None;
    table.settle();
    assert!(reads(&table, "MARROWBY WARE") && reads(&table, "MARROWBY CHINA"));
    let pictures = table.harness.try_snapshot("clash_mark_light");
    table.key(Key::Num2);
    table.key(Key::Enter);
    until(&mut table, |table| !table.harness.state().views.clash.is_open());
    until(&mut table, |table| {
        table.harness.state().doc.key.marks.iter().any(|mark| mark.wording.iter().any(|line| line.text == "MARROWBY WARE"))
    });
    pictures.unwrap();
}

#[test]
fn pictures_of_clashes() {
    let mut results = SnapshotResults::new();
    let mut table = Table::on_disk();
    clashing(&mut table);
    table.key(Key::ArrowDown);
    table.harness.state_mut().notice = None;
    table.settle();
    for (theme, name) in [(Theme::Light, "clash_light"), (Theme::Dark, "clash_dark")] {
        table.harness.ctx.set_theme(theme);
        table.settle();
        results.add(table.harness.try_snapshot(name));
    }
}
