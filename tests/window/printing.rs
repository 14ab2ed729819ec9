//! Printing in the window: the preview, its papers and pages, and what is saved of it.

use super::desk::{LAPTOP, Table};
use super::pictures::both;
use egui::Key;
use egui_kittest::kittest::Queryable as _;
use footring::desk::command::Command;
use footring::desk::printing::{Order, Whose};
use footring::key::FormId;

fn reads(table: &Table, text: &str) -> bool {
    table.harness.query_all_by_label_contains(text).next().is_some()
}

fn look_alikes() -> Vec<FormId> {
    ["quoin-covered-sugar", "quoin-casserole-one"].map(FormId::from).to_vec()
}

fn print(table: &mut Table, order: Order) {
    let app = table.harness.state_mut();
    app.views.printing.on_day("2026-11-26".parse().unwrap());
    app.ask(Command::Print(order));
    table.settle();
}

fn save(table: &mut Table, name: &str) -> std::path::PathBuf {
    let file = table.dir().join(name);
    table.harness.state_mut().views.printing.save_to(file.clone());
    table.harness.step();
    table.settle();
    file
}

#[test]
fn a_plate_is_looked_at_page_by_page_and_saved() {
    let mut table = Table::new();
    table.harness.state_mut().ask(Command::TellApart(look_alikes()));
    table.settle();
    table.click("Print …");
    assert!(reads(&table, "Comparison plate, page 1 of 2 pages"), "the page has a name");
    assert_eq!(table.harness.state().views.printing.pages(), Some(2));
    table.key(Key::PageDown);
    assert!(reads(&table, "page 2 of 2"));
    table.key(Key::PageDown);
    table.click("Page before");
    assert!(reads(&table, "page 1 of 2"));
    table.click("Phone");
    assert!(table.harness.state().views.printing.pages() > Some(2), "a phone's pages are small");
    table.click("Letter");
    let file = save(&mut table, "plate.pdf");
    assert!(reads(&table, "Saved: ") && std::fs::read(file).unwrap().starts_with(b"%PDF-"));
    let file = save(&mut table, "plate.doc");
    assert!(reads(&table, "says not what to write") && !file.exists());
    table.key(Key::Escape);
    assert!(!table.harness.state().views.printing.is_open());
}

#[test]
fn an_empty_daybook_says_so_and_what_is_wanted_still_prints() {
    let mut table = Table::new();
    print(&mut table, Order::Lot(Whose::All));
    assert!(reads(&table, "This can't be printed: there is no find in the daybook"));
    table.click("Wants list");
    assert!(table.harness.state().views.printing.pages() > Some(1));
    table.click("Booklet");
    assert!(reads(&table, "print on both sides"));
}

#[test]
fn printing_looks() {
    both("printing", LAPTOP, |table| print(table, Order::Plate(look_alikes())));
}
