//! What dates the piece, in the window: said, read, counted, taken back; the diamond drawn; what is wrong said in a sentence.

use super::desk::{LAPTOP, Table};
use egui::{Key, Theme, Vec2, vec2};
use egui_kittest::SnapshotResults;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use footring::desk::command::Command;
use footring::marks::dates::Said;

fn reads(table: &Table, text: &str) -> bool {
    table.harness.query_all_by_label_contains(text).next().is_some()
}

fn said(table: &Table) -> Vec<Said> {
    table.harness.state().doc.hand.piece.beside.dates.clone()
}

fn open(theme: Theme, size: Vec2) -> Table {
    let mut table = Table::with(theme, size);
    table.command(Key::D);
    assert!(reads(&table, "What dates it"));
    table
}

fn type_into(table: &mut Table, field: &str, text: &str) {
    table.harness.get_by_label(field).focus();
    table.settle();
    table.type_text(text);
}

/// The field of words; its chip has the same name.
fn type_words(table: &mut Table, text: &str) {
    let field = table.harness.query_all_by_label("Words").find(|node| node.accesskit_node().role() == egui::accesskit::Role::TextInput);
    field.unwrap().focus();
    table.settle();
    table.type_text(text);
}

#[test]
fn words_are_counted_and_taken_back_and_undone() {
    let mut table = open(Theme::Light, LAPTOP);
    type_words(&mut table, "made in england");
    table.click("Count it");
    assert_eq!(said(&table), [Said::Words("made in england".to_owned())]);
    assert!(reads(&table, "Made "), "an interval");
    table.click("Take back the words: made in england");
    assert_eq!(said(&table), []);
    table.command(Key::Z);
    assert_eq!(said(&table).len(), 1, "undo reaches the document while the view is open");
    // Closed, the slip shows it, and its cross takes it back.
    table.key(Key::Escape);
    assert!(!reads(&table, "Close the dates"));
    table.click("Take back dates");
    assert_eq!(said(&table), []);
}

#[test]
fn a_diamond_is_written_into_its_drawing() {
    let mut table = open(Theme::Light, LAPTOP);
    table.click("Diamond");
    for (corner, text) in
        [("Class, in the circle", "IV"), ("Top corner", "K"), ("Left corner", "H"), ("Right corner", "7"), ("Bottom corner", "2")]
    {
        type_into(&mut table, corner, text);
    }
    assert!(reads(&table, "7 April 1857"));
    table.click("Count it");
    assert_eq!(said(&table), [Said::Diamond("class IV, top K, left H, right 7, bottom 2".to_owned())]);
    assert!(reads(&table, "Made 7 April 1857 or later") || reads(&table, "Made from 7 April 1857"), "the sentence");
}

#[test]
fn what_cannot_be_read_is_said_and_enter_does_not_count_it() {
    let mut table = open(Theme::Light, LAPTOP);
    type_words(&mut table, "blue roses");
    assert!(reads(&table, "No dating rule knows these words"));
    table.harness.key_press(Key::Enter);
    table.settle();
    assert_eq!(said(&table), []);
    table.click("Sale");
    let field = table.harness.query_all_by_label("Sale").find(|node| node.accesskit_node().role() == egui::accesskit::Role::TextInput);
    field.unwrap().focus();
    table.settle();
    table.type_text("last week");
    assert!(reads(&table, "It is no date (write a year, 1957, or a day of the calendar, 1957-04-07)"));
}

/// A piece with evidence that clashes, and some that only shifts.
fn evidence(table: &mut Table) {
    let said = vec![
        Said::Words("made in england".to_owned()),
        Said::Words("oven proof".to_owned()),
        Said::Sold("1925".to_owned()),
        Said::Diamond("class IV, top K, left H, right 7, bottom 2".to_owned()),
    ];
    table.harness.state_mut().ask(Command::Dates("dates".to_owned(), said));
    table.settle();
}

#[test]
fn the_view_in_both_themes_and_four_sizes() {
    let mut results = SnapshotResults::new();
    for (theme, size, name) in [
        (Theme::Light, LAPTOP, "dating_light"),
        (Theme::Dark, LAPTOP, "dating_dark"),
        (Theme::Light, vec2(1024.0, 700.0), "dating_small"),
        (Theme::Light, vec2(1920.0, 1080.0), "dating_wide"),
        // 1280 × 800 pixels at 200 %.
        (Theme::Dark, vec2(640.0, 400.0), "dating_twice"),
    ] {
        let mut table = open(theme, size);
        evidence(&mut table);
        if name == "dating_dark" {
            table.click("Diamond");
        }
        results.add(table.harness.try_snapshot(name));
    }
}
