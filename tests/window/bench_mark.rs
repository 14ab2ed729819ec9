//! The Bench's asking card for a mark: letters, layout and ink narrow the drawn marks, and all of it is the answer.

use super::desk::{LAPTOP, Table};
use egui::{Key, Theme, vec2};
use egui_kittest::SnapshotResults;
use egui_kittest::kittest::Queryable as _;
use footring::desk::bench::card::Card;
use footring::identify::{MarkSeen, Seen};
use footring::key::{FeatureId, Layout, ValueId};
use footring::marks::Looks;

const FIELD: &str = "wording of the mark";

/// Opens the card.
fn asked(table: &mut Table) {
    let app = table.harness.state_mut();
    let card = Card::new(&app.doc, app.doc.key.feature(&FeatureId::new("mark")).unwrap());
    app.views.bench.card = Some(card);
    table.settle();
}

fn type_wording(table: &mut Table, text: &str) {
    table.harness.get_by_label(FIELD).focus();
    table.settle();
    table.type_text(text);
    table.settle();
}

fn answered(table: &Table) -> Option<Seen> {
    table.harness.state().doc.seen(&FeatureId::new("mark")).map(|observation| observation.seen.clone())
}

fn reads(table: &Table, text: &str) -> bool {
    table.harness.query_all_by_label_contains(text).next().is_some()
}

/// The names of the demo's marks with that layout, in the order of the key.
fn laid_out(table: &Table, layout: Layout) -> Vec<String> {
    let marks = &table.harness.state().doc.key.marks;
    marks.iter().filter(|mark| mark.layout == layout).map(|mark| mark.name.clone()).collect()
}

#[test]
fn letters_layout_and_ink_narrow_the_drawn_marks_and_are_answered_together() {
    let mut table = Table::new();
    asked(&mut table);
    assert!(reads(&table, "14 marks"), "all marks are drawn");
    table.click("oval");
    let ovals = laid_out(&table, Layout::Oval);
    assert!(ovals.len() > 1 && reads(&table, &format!("{} of 14 marks have all of it", ovals.len())), "the layout thins them out");
    for name in &ovals {
        assert!(table.harness.get_by_label(name).rect().height() >= 32.0, "{name} is drawn");
    }
    type_wording(&mut table, "QUOIN OV?N PR");
    assert!(reads(&table, "1 of 14 marks have all of it"), "the letters thin them out further");
    let before: Vec<f64> = table.harness.state().doc.standing.candidates.iter().map(|c| c.probability).collect();
    table.click("take it");
    let looks = Looks { layout: Some(Layout::Oval), ink: None };
    assert_eq!(answered(&table), Some(Seen::Mark(MarkSeen { wording: "QUOIN OV?N PR".into(), looks: looks.clone() })));
    let after: Vec<f64> = table.harness.state().doc.standing.candidates.iter().map(|c| c.probability).collect();
    assert_ne!(before, after, "it bears on the forms");
    // The card opens again as it was left, and the answer can be taken back.
    table.click("mark: “QUOIN OV?N PR”, oval, change");
    let card = table.harness.state().views.bench.card.clone().unwrap();
    assert_eq!((card.typed.as_str(), card.looks), ("QUOIN OV?N PR", looks));
    table.key(Key::Escape);
    table.command(Key::Z);
    assert_eq!(answered(&table), None);
}

#[test]
fn a_layout_alone_is_an_answer_and_a_digit_takes_one_of_those_left() {
    let mut table = Table::new();
    asked(&mut table);
    table.click("round");
    table.key(Key::Enter);
    let round = MarkSeen { wording: String::new(), looks: Looks { layout: Some(Layout::Round), ink: None } };
    assert_eq!(answered(&table), Some(Seen::Mark(round)), "Enter takes it");
    asked(&mut table);
    let second = laid_out(&table, Layout::Round)[1].clone();
    table.key(Key::Num2);
    let mark = table.harness.state().doc.key.marks.iter().find(|mark| mark.name == second).unwrap().id.clone();
    assert_eq!(answered(&table), Some(Seen::Values(vec![ValueId::new(mark.as_str())])));
}

#[test]
fn what_no_mark_has_or_cannot_be_looked_for_is_said() {
    let mut table = Table::new();
    asked(&mut table);
    type_wording(&mut table, "ZZXYKW");
    assert!(reads(&table, "No mark of this key has all of it"));
    for (typed, says) in [("??", "There is no letter to read in '??'"), (&"A".repeat(10_000), "The wording has 10000 characters")] {
        table.key(Key::Escape);
        asked(&mut table);
        type_wording(&mut table, typed);
        table.click("take it");
        assert!(reads(&table, says), "{says}");
        assert_eq!(answered(&table), None);
    }
}

#[test]
fn the_card_of_a_mark_in_both_themes() {
    let mut results = SnapshotResults::new();
    let mut table = Table::with(Theme::Light, LAPTOP);
    asked(&mut table);
    type_wording(&mut table, "MARROW… OV?N");
    table.harness.remove_cursor();
    table.settle();
    results.add(table.harness.try_snapshot("bench_mark_light"));
    let mut table = Table::with(Theme::Dark, vec2(1920.0, 1080.0));
    asked(&mut table);
    table.harness.remove_cursor();
    table.settle();
    results.add(table.harness.try_snapshot("bench_mark_wide_dark"));
}
