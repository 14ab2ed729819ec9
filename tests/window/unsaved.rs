//! The program ends in the middle of work: the next start offers what was not saved.

use crate::desk::Table;
use egui::Key;
use egui::accesskit::Role;
use egui_kittest::kittest::Queryable as _;
use footring::desk::command::Command;
use footring::key::Folder;

/// A piece in hand with two answers, and a sheet with an edit.
fn at_work() -> Table {
    let mut table = Table::on_disk();
    table.see("lid outline=oval");
    table.see("handle=lug");
    table.harness.state_mut().ask(Command::OpenForm("quoin-covered-sugar".into()));
    table.settle();
    let chip = |table: &Table| table.harness.get_by_role_and_label(Role::Button, "stand").rect();
    assert!(chip(&table).is_positive());
    table.harness.get_by_role_and_label(Role::Button, "stand").click();
    table.settle();
    assert!(table.harness.state().views.key_book.sheet().unwrap().is_changed());
    table
}

#[test]
fn what_was_not_saved_is_offered_and_taken_up() {
    let table = at_work();
    let hand = table.harness.state().doc.hand.clone();
    let form = table.harness.state().views.key_book.sheet().unwrap().form().clone();
    let mut table = table.started_again();
    assert!(table.harness.state().doc.hand.is_blank());
    assert!(
        table
            .harness
            .query_by_label_contains("Not saved when the program last ended: a piece in hand with 2 answers, edits of covered sugar, Quoin")
            .is_some()
    );
    table.click("Take it up");
    assert_eq!(table.harness.state().doc.hand, hand);
    assert_eq!(table.harness.state().views.key_book.sheet().unwrap().form(), &form);
    // The key itself was never touched, and each part is a step that can be taken back.
    let dir = table.harness.state().doc.place.dir.clone().unwrap();
    assert!(!Folder::open(&dir).key().form(&form.id).unwrap().parts.contains(&footring::key::Part::Stand));
    table.command(Key::Num3);
    table.command(Key::Z);
    assert!(!table.harness.state().views.key_book.sheet().unwrap().is_changed());
    table.command(Key::Num1);
    table.command(Key::Z);
    assert!(table.harness.state().doc.hand.is_blank());
    let table = table.started_again();
    assert!(table.harness.query_by_label("Take it up").is_none(), "nothing is left to be offered");
}

#[test]
fn what_is_thrown_away_is_not_offered_again() {
    let mut table = at_work().started_again();
    table.click("Throw it away");
    let table = table.started_again();
    assert!(table.harness.query_by_label("Take it up").is_none());
    assert!(table.harness.state().doc.hand.is_blank());
}

#[test]
fn what_was_put_in_the_daybook_is_not_offered() {
    let mut table = Table::on_disk();
    table.see("lid outline=oval");
    table.command(Key::S);
    assert!(table.harness.state().doc.hand.is_blank());
    let table = table.started_again();
    assert!(table.harness.query_by_label("Take it up").is_none());
}

#[test]
fn what_is_not_decided_yet_stays_beside_new_work() {
    let mut table = at_work().started_again();
    // Nobody looks at the offer; work goes on, and the program ends once more.
    table.see("lid outline=round");
    let mut table = table.started_again();
    assert!(table.harness.query_by_label("Not saved when the program last ended: a piece in hand with 1 answer.").is_some());
    table.click("Throw it away");
    assert!(table.harness.query_by_label_contains("a piece in hand with 2 answers, edits of covered sugar, Quoin").is_some());
    table.click("Take it up");
    assert_eq!(table.harness.state().doc.hand.piece.observations.len(), 2);
    assert!(table.harness.state().views.key_book.sheet().is_some());
}

#[test]
fn a_sheet_waits_while_another_one_has_edits() {
    let mut table = at_work().started_again();
    table.harness.state_mut().ask(Command::OpenForm("quoin-teapot".into()));
    table.settle();
    table.harness.get_by_role_and_label(Role::Button, "stand").click();
    table.settle();
    table.click("Take it up");
    assert_eq!(table.harness.state().views.key_book.sheet().unwrap().form().id.as_str(), "quoin-teapot");
    assert!(table.harness.query_by_label_contains("Not saved when the program last ended: edits of covered sugar, Quoin").is_some());
}
