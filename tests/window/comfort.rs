//! Everything that can be done is found by its words; the window suits eyes and hands.

use crate::desk::{LAPTOP, Table};
use egui::Key;
use egui::accesskit::Role;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use footring::desk::action::Action;
use footring::desk::comfort::FreeHand;
use footring::desk::command::Screen;

#[test]
fn what_can_be_done_is_found_by_its_words_and_done() {
    let mut table = Table::new();
    table.key(Key::F3);
    for action in Action::ALL.into_iter().filter(|action| !matches!(action, Action::WhatToDo | Action::CloseCard)) {
        let named = table.harness.query_all_by_label(action.words()).count();
        assert!(named >= 1, "{} is in the list", action.words());
    }
    table.type_text("table val");
    table.key(Key::Enter);
    assert_eq!(table.harness.state().screen, Screen::KeyBook);
    assert!(table.harness.query_by_label("Value table").is_some());
    table.key(Key::F3);
    table.type_text("undo");
    // There is nothing to undo, so that nothing happens and the list stays.
    table.key(Key::Enter);
    assert!(table.harness.query_by_role_and_label(Role::TextInput, "Do").is_some());
    table.key(Key::Escape);
    assert!(table.harness.query_by_role_and_label(Role::TextInput, "Do").is_none());
    table.key(Key::F3);
    table.type_text("no such thing");
    assert!(table.harness.query_by_label("Nothing that can be done is called so.").is_some());
}

#[test]
fn the_slip_changes_sides_and_is_remembered() {
    let mut table = Table::on_disk();
    table.key(Key::F4);
    table.click("left: tools at the left");
    table.click("nothing moves by itself");
    table.key(Key::Escape);
    assert_eq!(table.harness.state().settings.comfort.hand, FreeHand::Left);
    let slip = |table: &Table| table.harness.get_by_role_and_label(Role::Button, "Next piece: clear the board").rect();
    assert!(slip(&table).center().x < LAPTOP.x / 2.0, "the slip is at the left");
    table.harness.remove_cursor();
    table.settle();
    table.harness.snapshot("bench_left_handed");
}

#[test]
fn text_grows_to_two_and_a_half_times_and_everything_stays_within_reach() {
    let mut table = Table::new();
    for percent in [115, 130, 150, 175, 200, 250, 250] {
        table.command(Key::Plus);
        assert_eq!(table.harness.state().settings.comfort.percent, percent);
    }
    // At its largest every screen can still be gone to, and says its name.
    for key in [Key::Num1, Key::Num2, Key::Num3, Key::Num4, Key::Num5] {
        table.command(key);
        assert!(table.harness.root().children().count() > 0);
    }
    table.command(Key::Num1);
    table.harness.remove_cursor();
    table.settle();
    table.harness.snapshot("bench_largest");
    table.command(Key::Num0);
    assert_eq!(table.harness.state().settings.comfort.percent, 100);
}

#[test]
fn the_help_sheet_explains_screens_and_words() {
    crate::pictures::both("help_words", LAPTOP, |table| {
        table.key(Key::F1);
        table.click("Screens");
        assert!(table.harness.query_by_label("Name the piece in your hand.").is_some());
        table.click("Words");
        table.harness.get_by_role_and_label(Role::Button, "Lid").click();
        table.settle();
        table.harness.get_by_role_and_label(Role::TextInput, "Find").click();
        table.settle();
        table.type_text("lid");
        assert!(table.harness.query_by_label("Flange").is_some());
        assert!(table.harness.query_by_label("Stilt marks").is_none());
    });
}
