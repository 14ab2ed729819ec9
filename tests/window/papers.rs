//! A paper's list reconciled by keyboard, taken into the key, seen in the census; the condition pointed at and kept; a service counted.

use super::desk::{LAPTOP, Table};
use egui::accesskit::Role;
use egui::{Key, Theme, vec2};
use egui_kittest::SnapshotResults;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use footring::daybook::census::Services;
use footring::daybook::{Beside, Daybook, Page};
use footring::desk::command::Command;
use footring::desk::daybook::pages::Wish;
use footring::desk::daybook::papers::From;
use footring::key::FormId;
use std::path::PathBuf;

fn says(table: &Table, text: &str) -> bool {
    table.harness.query_all_by_label_contains(text).next().is_some()
}

fn press(table: &mut Table, beginning: &str) {
    let node = table.harness.query_all_by_label_contains(beginning).find(|node| node.accesskit_node().role() == Role::Button);
    // It may lie further down in what scrolls.
    node.unwrap_or_else(|| panic!("no button '{beginning}'")).click_accesskit();
    table.settle();
}

/// A window on the papers, the price list of 1954 chosen.
pub(super) fn papers(theme: Theme, size: egui::Vec2) -> Table {
    let mut table = Table::with(theme, size);
    table.command(Key::Num5);
    table.click("Papers");
    let title = table.harness.state().doc.key.paper(&"price-list-1954".into()).unwrap().title.clone();
    press(&mut table, &title);
    table
}

fn demo_list() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo/lists/quoin-1955.csv")
}

fn reconcile(table: &mut Table, from: From) {
    table.harness.state_mut().ask(Command::Page(Wish::Reconcile(from)));
    table.settle();
}

/// How many cells of the census are listed and were never seen.
fn listed(table: &mut Table) -> usize {
    table.click("Census");
    let chip = table.harness.query_all_by_label_contains("Listed but never seen ").next();
    let count = chip.and_then(|node| node.accesskit_node().label()?.rsplit(' ').next()?.parse().ok()).unwrap();
    table.click("Back to the finds");
    count
}

#[test]
fn a_list_of_thirty_five_lines_is_reconciled_by_keyboard_and_the_census_changes() {
    let mut table = papers(Theme::Light, LAPTOP);
    table.click("Back to the finds");
    let before = listed(&mut table);
    let key_before = table.harness.state().doc.key.clone();
    table.click("Papers");
    reconcile(&mut table, From::File(demo_list()));
    assert!(says(&table, "35 entries to be settled"));
    assert!(says(&table, "1: 'dinr plate 10 sq': "));
    // The first has the focus: accepted; the second means another form; the third is left alone.
    table.key(Key::Enter);
    table.key(Key::Num2);
    table.key(Key::Delete);
    assert!(says(&table, "; means ") && says(&table, "; left alone"));
    assert!(says(&table, "Take 2 entries into the key"));
    press(&mut table, "that are over 90 %");
    let take = table.harness.query_all_by_label_contains("entries into the key").next().unwrap();
    let taken: usize = take.accesskit_node().label().unwrap().split(' ').nth(1).unwrap().parse().unwrap();
    assert!(taken > 15, "{taken} of 35 were taken");
    take.click();
    table.settle();
    let key = table.harness.state().doc.key.clone();
    let paper = key.paper(&"price-list-1954".into()).unwrap();
    let plate = paper.lists.iter().find(|listed| listed.written == "dinr plate 10 sq").unwrap();
    assert_eq!(plate.price, "5/9");
    let form = key.form(plate.form.as_ref().unwrap()).unwrap();
    assert!(form.glazes.iter().any(|held| held.papers.contains(&paper.id)), "the claim cites the paper");
    // What is not settled stays to be settled.
    assert!(says(&table, "entries to be settled") || says(&table, "entry to be settled"));
    table.click("Back to the finds");
    let after = listed(&mut table);
    assert!(after > before, "{after} pairs are listed, {before} were");
    table.command(Key::Z);
    assert_eq!(*table.harness.state().doc.key, *key_before, "one step back");
    assert_eq!(listed(&mut table), before);
}

#[test]
fn a_pasted_list_is_put_right_by_name() {
    let mut table = papers(Theme::Light, LAPTOP);
    table.harness.get_by_label_contains("Its list, an entry in each line").focus();
    table.settle();
    table.type_text("toast rack 4 slice .... 5/6\nlidded sugr .... 6/3\n");
    table.click("Say what they mean");
    assert!(says(&table, "1: 'toast rack 4 slice': no form of this key fits"));
    table.harness.get_by_label("Another form").focus();
    table.settle();
    table.type_text("mustard pot");
    press(&mut table, "Mustard pot, Quoin");
    assert!(says(&table, "means mustard pot, Quoin"));
    table.click("Drop this list");
    reconcile(&mut table, From::Text("\n \n".to_owned()));
    assert!(says(&table, "there is no entry in this list"));
    reconcile(&mut table, From::File(PathBuf::from("no-such-list.csv")));
    assert!(!says(&table, "Reading the list"), "it ended with a sentence");
}

#[test]
fn the_papers_look_as_they_should() {
    let mut results = SnapshotResults::new();
    for (theme, size, name) in [(Theme::Light, LAPTOP, "papers_light"), (Theme::Dark, vec2(1024.0, 700.0), "papers_dark")] {
        let mut table = papers(theme, size);
        reconcile(&mut table, From::File(demo_list()));
        for key in [Key::Enter, Key::Delete] {
            table.key(key);
        }
        table.harness.remove_cursor();
        table.settle();
        results.add(table.harness.try_snapshot(name));
    }
}

/// A covered sugar in hand, in flint, with its condition open.
fn in_hand(theme: Theme, size: egui::Vec2) -> Table {
    let mut table = Table::with(theme, size);
    for seen in
        ["body outline=chamfered", "handle=lug", "height=71±2", "mark=?ARROWBY QUOIN OVEN PR??F", "lid outline=round", "glaze=Flint"]
    {
        table.see(seen);
    }
    table.command(Key::K);
    table
}

#[test]
fn condition_is_pointed_at_graded_undone_and_kept_with_the_find() {
    let mut table = in_hand(Theme::Light, LAPTOP);
    assert!(says(&table, "Flint: Shows utensil marks; most come off."), "what the key says of the glaze");
    assert!(says(&table, "No grade yet"));
    press(&mut table, "Point at the chip from above");
    let condition = |table: &Table| table.harness.state().doc.hand.piece.condition.clone();
    assert_eq!(condition(&table).flaws.len(), 1);
    assert!(condition(&table).flaws[0].place.is_some());
    table.harness.get_by_label("Size in mm").focus();
    table.settle();
    table.type_text("2.5");
    assert_eq!(condition(&table).flaws[0].size_mm, Some(2.5));
    assert!(says(&table, "Grade: used"));
    assert!(says(&table, "keeps it from 'good'"));
    table.harness.get_by_label("Note of the fault").focus();
    table.settle();
    table.type_text("old, clean");
    assert_eq!(condition(&table).flaws[0].note, "old, clean");
    // Without pointing: a hairline on the handle.
    table.click("Hairline");
    press(&mut table, "Note hairline on the handle");
    assert!(says(&table, "Grade: poor"), "one that was not measured may be larger");
    assert!(says(&table, "not for food"));
    table.key(Key::Escape);
    table.command(Key::Z);
    assert_eq!(condition(&table).flaws.len(), 1, "one step back");
    assert!(says(&table, "used: chip of 2.5 mm on the"), "on the slip");
    table.command(Key::S);
    let daybook = Daybook::open(&table.dir().join("daybook")).unwrap();
    let found = daybook.newest_first(&Page { most: 1, ..Page::default() }).unwrap().remove(0).unwrap();
    assert_eq!(found.piece.condition.flaws[0].size_mm, Some(2.5));
    table.command(Key::Num5);
    press(&mut table, "Covered sugar, Quoin");
    assert!(says(&table, "Condition: used"));
}

#[test]
fn a_place_is_moved_by_keyboard_and_a_fault_taken_back() {
    let mut table = in_hand(Theme::Light, LAPTOP);
    press(&mut table, "Point at the chip from the side");
    let place = |table: &Table| table.harness.state().doc.hand.piece.condition.flaws[0].place.unwrap();
    let before = place(&table);
    table.click("Move fault 1 right");
    assert!((place(&table).across - before.across - 0.02).abs() < 1e-9);
    table.click("Take back fault 1");
    assert!(table.harness.state().doc.hand.piece.condition.flaws.is_empty());
    table.click("Looked over, nothing found");
    assert!(says(&table, "Grade: as made"));
}

#[test]
fn the_condition_looks_as_it_should() {
    let mut results = SnapshotResults::new();
    for (theme, size, name) in [(Theme::Light, LAPTOP, "condition_light"), (Theme::Dark, vec2(1024.0, 700.0), "condition_dark")] {
        let mut table = in_hand(theme, size);
        press(&mut table, "Point at the chip from above");
        table.click("Hairline");
        press(&mut table, "Point at the hairline from the side");
        table.harness.remove_cursor();
        table.settle();
        results.add(table.harness.try_snapshot(name));
    }
}

#[test]
fn a_service_is_made_counted_and_kept() {
    let mut table = Table::new();
    table.command(Key::Num5);
    table.click("Services and wants");
    assert!(says(&table, "No service yet"));
    table.click("New service");
    table.harness.get_by_label("Add a form").focus();
    table.settle();
    table.type_text("covered sugar quoin");
    let any = table.harness.query_all_by_label("any glaze").next().unwrap();
    any.click();
    table.settle();
    assert!(says(&table, "Covered sugar, Quoin, any glaze: 0 of 6, 6 missing"));
    table.click("One place less");
    assert!(says(&table, "0 of 5, 5 missing"));
    let kept: Services = Beside::at(&table.dir().join("daybook"), "services.ron").read().unwrap();
    assert_eq!(kept, *table.harness.state().doc.services.now);
    assert_eq!(kept.sets[0].service.wants[0].form, FormId::from("quoin-covered-sugar"));
    table.command(Key::Z);
    assert!(says(&table, "0 of 6, 6 missing"));
    table.click("Remove this service");
    assert!(says(&table, "No service yet"));
    table.command(Key::Z);
    assert!(says(&table, "0 of 6, 6 missing"));
}

#[test]
fn prices_are_drawn_over_the_years_and_adjusted_by_an_index_of_ones_own() {
    let mut table = papers(Theme::Light, LAPTOP);
    table.click("Prices over the years");
    assert!(says(&table, "One-person casserole, Quoin: 1951 7/6, 100 %; 1955 8/6, 113 %"));
    let path = table.dir().join("index.csv");
    // Made-up figures.
    std::fs::write(&path, "year,index\n1934,10\n1951,20\n1953,22\n1955,25\n1963,40\n").unwrap();
    table.harness.state_mut().ask(Command::Page(Wish::ReadIndex(path.clone())));
    table.settle();
    // 8/6 of 1955 is 6.8 shillings of 1951, of which 7.5 were asked.
    assert!(says(&table, "1955 8/6, 91 %"));
    std::fs::write(&path, "year,index\n1951,20\n").unwrap();
    table.harness.state_mut().ask(Command::Page(Wish::ReadIndex(path)));
    table.settle();
    assert!(says(&table, "The index has no year"));
    table.click("Prices as they were asked");
    assert!(says(&table, "1955 8/6, 113 %"));
}
