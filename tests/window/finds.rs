//! Finds in depth: a box sorted with keys alone, lists narrowed and sorted, many changed at once, a record edited.

use super::bench::{casserole_has, digit_of, open_feature};
use super::daybook::{find, on_daybook, on_daybook_in, rows, three};
use super::desk::{LAPTOP, Table};
use egui::{Key, Modifiers, Theme};
use egui_kittest::SnapshotResults;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use footring::daybook::{Column, Daybook, Filter, Find, Status};
use footring::desk::command::{Command, Screen};
use footring::desk::finds_work::Deed;
use footring::identify::VerdictState;
use footring::key::FeatureId;

const CASSEROLE: (&str, &str) = ("quoin-casserole-one", "one-person casserole");

fn book(table: &Table) -> Daybook {
    Daybook::open(&table.dir().join("daybook")).unwrap()
}

fn how_many(table: &Table, filter: &Filter) -> u64 {
    book(table).how_many(filter).unwrap()
}

fn shift(table: &mut Table, key: Key) {
    table.harness.key_press_modifiers(Modifiers::SHIFT, key);
    table.settle();
}

/// Goes on to what a screen reader calls by that name, with the Tab key.
fn tab_to(table: &mut Table, name: &str) {
    for _ in 0..120 {
        if table.harness.query_by_label(name).is_some_and(|node| node.accesskit_node().is_focused()) {
            return;
        }
        table.key(Key::Tab);
    }
    panic!("Tab never comes to {name}");
}

/// Names the casserole as the program asks, by keys: a digit for what is seen, 0 for what can't be told.
fn name_by_keys(table: &mut Table) {
    for _ in 0..14 {
        if table.harness.state().doc.verdict.state == VerdictState::Settled {
            return;
        }
        table.key(Key::Enter);
        let feature = open_feature(table).unwrap();
        let values = {
            let doc = &table.harness.state().doc;
            doc.key.values_of(doc.key.feature(&FeatureId::new(feature.clone())).unwrap())
        };
        if let Some(name) = casserole_has(&feature).filter(|name| values.iter().any(|(_, shown)| shown == name)) {
            let digit = digit_of(table, name);
            table.key(digit);
        } else {
            if table.harness.ctx.text_edit_focused() {
                table.key(Key::Escape);
            }
            table.key(Key::Num0);
        }
    }
    panic!("never settled: {}", table.harness.state().doc.verdict.sentence);
}

#[test]
fn a_box_of_twelve_is_sorted_with_keys_alone() {
    let mut table = Table::new();
    tab_to(&mut table, "Box or lot");
    table.type_text("14");
    table.key(Key::Escape);
    // Three that differ in nothing that is looked at, and one of them four times, another six times.
    for more in [3, 0, 5] {
        name_by_keys(&mut table);
        table.command(Key::S);
        for _ in 0..more {
            table.command(Key::M);
        }
    }
    // One too many was counted.
    table.command(Key::M);
    table.command(Key::Z);
    let daybook = book(&table);
    let tally = daybook.tally_of_box("14").unwrap();
    assert_eq!((tally.finds, tally.pieces), (3, 4 + 1 + 6));
    table.command(Key::M);
    assert_eq!(book(&table).tally_of_box("14").unwrap().pieces, 12);
    table.harness.get_by_label("Box 14: 3 finds, 12 pieces");
    table.harness.get_by_label("12 × one-person casserole, Quoin");
    // And looked through, with keys too.
    table.command(Key::Num5);
    table.key(Key::ArrowDown);
    table.key(Key::Enter);
    assert!(table.harness.query_by_label("Reopen on the Bench").is_some(), "Enter opens the sheet of the row");
    table.key(Key::Num2);
    assert_eq!(how_many(&table, &Filter { status: Some(Status::Sell), ..Filter::default() }), 1, "2 says that it is to be sold");
}

#[test]
fn one_more_without_a_last_find_says_what_to_do() {
    let mut table = Table::new();
    table.command(Key::M);
    let notice = table.harness.state().notice.clone().unwrap();
    assert_eq!(notice.says, "no find was put in yet: put the first of them in the daybook, then count the others");
}

#[test]
fn many_finds_are_chosen_and_changed_by_keys_and_one_undo_takes_it_back() {
    let finds: Vec<Find> = (1..9).map(|n| find(n, CASSEROLE, "9", "")).collect();
    let mut table = on_daybook(&finds);
    table.key(Key::ArrowDown);
    shift(&mut table, Key::ArrowDown);
    shift(&mut table, Key::ArrowDown);
    table.harness.get_by_label("3 finds chosen");
    table.key(Key::Num1);
    let kept = Filter { status: Some(Status::Keep), ..Filter::default() };
    assert_eq!(how_many(&table, &kept), 3);
    table.harness.get_by_label("3 finds changed: status: keep");
    table.command(Key::A);
    table.harness.get_by_label("8 finds chosen");
    table.click("Set box …");
    table.type_text("77");
    table.key(Key::Enter);
    let moved = Filter { box_label: Some("77".to_owned()), ..Filter::default() };
    assert_eq!(how_many(&table, &moved), 8);
    table.command(Key::Z);
    assert_eq!((how_many(&table, &moved), how_many(&table, &kept)), (0, 3), "one step back");
    table.command(Key::Z);
    assert_eq!(how_many(&table, &kept), 0, "and the one before it");
    table.command(Key::Y);
    table.command(Key::Y);
    assert_eq!((how_many(&table, &moved), how_many(&table, &kept)), (8, 3));
    table.command(Key::A);
    table.key(Key::Delete);
    assert_eq!(how_many(&table, &Filter::default()), 0);
    table.command(Key::Z);
    assert_eq!(how_many(&table, &Filter::default()), 8);
}

#[test]
fn a_record_is_edited_on_its_sheet_and_each_change_is_a_step() {
    let mut table = on_daybook(&three());
    table.click("One-person casserole, Quoin, box 14, 2 March 2026, 10:02");
    table.click("Pass on");
    for (field, text) in [("Found at of the find", "the chapel sale"), ("Paid of the find", "2.50 gbp 2026-03-01")] {
        let node = table.harness.get_by_label(field);
        node.scroll_to_me();
        table.settle();
        table.harness.get_by_label(field).focus();
        table.settle();
        table.type_text(text);
        table.key(Key::Enter);
    }
    let of_casserole = |table: &Table| {
        let daybook = book(table);
        let ids = daybook.ids(&footring::daybook::Question::default()).unwrap();
        daybook.find(ids[1]).unwrap().unwrap()
    };
    let record = of_casserole(&table).record;
    assert_eq!((record.status, record.place_found.as_str()), (Status::PassOn, "the chapel sale"));
    assert_eq!(record.paid.map(|price| price.to_string()).as_deref(), Some("2.50 GBP 2026-03-01"));
    // What is no price is refused in words and changes nothing.
    table.harness.get_by_label("Asked of the find").scroll_to_me();
    table.settle();
    table.harness.get_by_label("Asked of the find").focus();
    table.settle();
    table.type_text("a fiver");
    table.key(Key::Enter);
    table.harness.get_by_label_contains("is not an amount (write 12.50");
    assert_eq!(of_casserole(&table).record.asked, None);
    table.command(Key::Z);
    assert_eq!(of_casserole(&table).record.paid, None);
    table.command(Key::Z);
    table.command(Key::Z);
    assert_eq!(of_casserole(&table).record.status, Status::Undecided);
}

#[test]
fn the_list_is_narrowed_by_chips_and_sorted_by_columns() {
    let mut all: Vec<Find> = three().into();
    all[0].record.status = Status::Keep;
    let mut table = on_daybook(&all);
    table.click("Keep 1");
    assert_eq!(rows(&table).len(), 1);
    table.click("Keep 1");
    table.click("Column Form");
    assert!(rows(&table)[0].starts_with("Covered sugar"), "{:?}", rows(&table));
    table.click("Column Form, sorted, least first");
    assert!(rows(&table)[0].starts_with("One-person casserole"), "{:?}", rows(&table));
    table.click("Box …");
    table.click("14 · 2");
    assert_eq!(rows(&table).len(), 2);
    table.click("Show all");
    assert_eq!(rows(&table).len(), 3);
    table.harness.get_by_label("Made in these years").focus();
    table.settle();
    table.type_text("1955");
    assert_eq!(rows(&table).len(), 0, "none of them is dated");
    table.harness.get_by_label("No find is so");
}

#[test]
fn only_what_is_in_sight_is_read_and_the_ends_are_a_key_away() {
    let finds: Vec<Find> = (0..700).map(|n| find(n % 60, CASSEROLE, &format!("{n}"), "")).collect();
    let mut table = Table::new();
    book(&table).put_many(&finds, &finds[0].found_at).unwrap();
    table.command(Key::Num5);
    table.harness.get_by_label("700 finds");
    let held = table.harness.state().views.daybook.list.held();
    assert!((10..200).contains(&held), "{held} of 700 are held");
    table.key(Key::End);
    table.settle();
    table.key(Key::Enter);
    let open = table.harness.state().views.daybook.asks().1;
    assert!(open.end >= 690, "the end is in sight: {open:?}");
    table.click("Close the find");
    table.click("As pictures");
    assert!(table.harness.state().views.daybook.list.as_pictures);
    table.click("As a table");
    table.click("Columns of the table");
    table.harness.get_by_label("Note").scroll_to_me();
    table.settle();
    table.click("Note");
    assert!(table.harness.state().views.daybook.list.columns.contains(&Column::Note));
}

#[test]
fn a_sorted_box_is_brought_in_with_the_doubtful_ones_first_and_undone() {
    let mut table = Table::new();
    let list = table.dir().join("box 14.csv");
    std::fs::write(
        &list,
        "id,box,body outline,handle,lid outline,height,note\n1,14,chamfered,lug,oval,71±2,first\n2,14,,,oval,,second\n3,15,chamfered,lug,triangular,,third\n",
    )
    .unwrap();
    table.harness.state_mut().ask(Command::OnFinds(Deed::BringIn(list.clone())));
    table.command(Key::Num5);
    let daybook = book(&table);
    let question = table.harness.state().views.daybook.asks().0;
    let ids = daybook.ids(&question).unwrap();
    let finds: Vec<Find> = daybook.several(&ids).unwrap().into_iter().map(Result::unwrap).collect();
    assert_eq!(finds.len(), 3);
    assert_ne!(finds[0].standing, footring::daybook::Standing::Settled, "a doubtful one stands first");
    assert_eq!(finds[2].note, "first", "the one that is settled stands last");
    assert!(finds.iter().any(|find| find.box_label == "15" && find.note.contains("there is no value 'triangular'")));
    assert_eq!(table.harness.state().screen, Screen::Daybook);
    table.command(Key::Z);
    assert_eq!(how_many(&table, &Filter::default()), 0);
    std::fs::write(&list, "name,shop\na,b\n").unwrap();
    table.harness.state_mut().ask(Command::OnFinds(Deed::BringIn(list)));
    table.settle();
    let says = table.harness.state().notice.clone().unwrap().says;
    assert!(says.contains("is called like a feature of this key, so its rows can't be finds"), "{says}");
}

#[test]
fn lists_of_finds_look_as_they_should() {
    let mut results = SnapshotResults::new();
    let mut finds: Vec<Find> = (1..24).map(|n| find(n, CASSEROLE, &format!("{}", n % 3), "")).collect();
    for (n, find) in finds.iter_mut().enumerate() {
        find.record.status = Status::ALL[n % 5];
        find.record.made.from = i16::try_from(1951 + n).ok();
        if n % 4 == 0 {
            find.standing = footring::daybook::Standing::Narrowing;
        }
    }
    let mut table = on_daybook_in(&finds, Theme::Light, LAPTOP);
    table.key(Key::ArrowDown);
    shift(&mut table, Key::ArrowDown);
    shift(&mut table, Key::ArrowDown);
    table.harness.remove_cursor();
    table.settle();
    results.add(table.harness.try_snapshot("finds_chosen"));
    let mut table = on_daybook_in(&finds, Theme::Dark, LAPTOP);
    table.click("As pictures");
    table.harness.remove_cursor();
    table.settle();
    results.add(table.harness.try_snapshot("finds_wall"));
}
