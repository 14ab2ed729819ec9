//! Lids and bases: typed, read from lists, paired, pinned and kept apart, undone, kept beside the daybook.

use super::desk::{LAPTOP, Table};
use egui::accesskit::Role;
use egui::{Key, Theme, Vec2, vec2};
use egui_kittest::SnapshotResults;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use footring::daybook::Beside;
use footring::daybook::lids::Shelves;
use footring::desk::command::Command;
use footring::desk::daybook::pages::Wish;
use std::path::Path;

const LIDS: &str = "id,flange major mm,flange minor mm,glaze,clay,outline,line\nL1,92±0.5,92±0.5,Flint,buff,round,Quoin\n\
    L2,140,104,Moss,buff,oval,Quoin\nL3,\"6 1/4\"\"\",,Slate,buff,,Quoin\nL4,70,70,Ember,red,round,Quoin\n";
const BASES: &str = "id,gallery major mm,gallery minor mm,glaze,clay,outline,line\nB1,142.1,106,moss,buff,oval,Quoin\n\
    B2,94.2±0.5,93.9±0.5,Flint,buff,round,Quoin\nB3,161,,Flint,buff,,Quoin\nB4,210,,Slate,buff,,Quoin\n";

fn open_in(theme: Theme, size: Vec2) -> Table {
    let mut table = Table::with(theme, size);
    table.command(Key::Num5);
    table.click("Lids and bases");
    table
}

fn read(table: &mut Table, name: &str, text: &str) {
    let path = table.dir().join(name);
    std::fs::write(&path, text).unwrap();
    table.harness.state_mut().ask(Command::Page(Wish::ReadHalves(path)));
    table.settle();
}

fn with_lists(theme: Theme, size: Vec2) -> Table {
    let mut table = open_in(theme, size);
    read(&mut table, "lids.csv", LIDS);
    read(&mut table, "bases.csv", BASES);
    table
}

fn says(table: &Table, text: &str) -> bool {
    table.harness.query_all_by_label_contains(text).next().is_some()
}

fn press(table: &mut Table, beginning: &str) {
    let node = table.harness.query_all_by_label_contains(beginning).find(|node| node.accesskit_node().role() == Role::Button);
    node.unwrap_or_else(|| panic!("no button '{beginning}'")).click();
    table.settle();
}

fn shelves(table: &Table) -> Shelves {
    Shelves::clone(&table.harness.state().doc.shelves.now)
}

fn on_disk(dir: &Path) -> Shelves {
    Beside::at(&dir.join("daybook"), "shelves.ron").read().unwrap()
}

#[test]
fn four_lids_are_paired_pinned_kept_apart_and_kept() {
    let mut table = with_lists(Theme::Light, LAPTOP);
    assert!(says(&table, "4 lids, 4 bases: 3 pairs, 1 marriage"));
    assert!(says(&table, "Lid L1: 92 mm across, buff, Flint, Quoin, round; with base B2, "));
    assert!(says(&table, "marriage: fits, but the glaze differs ('Slate' on 'Flint')"));
    assert!(says(&table, "Lid L4: 70 mm across, red, Ember, Quoin, round; alone"));
    // Kept apart, and undone.
    press(&mut table, "Lid L3:");
    press(&mut table, "Not B3");
    assert_eq!(shelves(&table).forbidden, [("L3".to_owned(), "B3".to_owned())]);
    assert!(says(&table, "4 lids, 4 bases: 2 pairs"));
    assert!(says(&table, "Kept apart from base B3"));
    assert_eq!(on_disk(table.dir()), shelves(&table), "kept as soon as it is said");
    table.command(Key::Z);
    assert_eq!(shelves(&table).forbidden, []);
    assert!(says(&table, "4 lids, 4 bases: 3 pairs, 1 marriage"));
    assert_eq!(on_disk(table.dir()), shelves(&table), "undo is kept too");
    // Put together by hand: what no measure would have thought of, with Shift and the keyboard.
    table.harness.query_all_by_label_contains("Lid L4:").next().unwrap().focus();
    table.settle();
    table.key(Key::Enter);
    table.harness.query_all_by_label_contains("Base B4:").next().unwrap().focus();
    table.settle();
    table.harness.key_press_modifiers(egui::Modifiers::SHIFT, Key::Enter);
    table.settle();
    assert_eq!(shelves(&table).pinned, [("L4".to_owned(), "B4".to_owned())]);
    assert!(says(&table, "put together by hand"));
    // Another window on the same folder finds it so.
    assert_eq!(on_disk(table.dir()).pinned, [("L4".to_owned(), "B4".to_owned())]);
}

#[test]
fn a_half_is_dragged_onto_another() {
    let mut table = with_lists(Theme::Light, LAPTOP);
    let at = |table: &Table, name: &str| table.harness.query_all_by_label_contains(name).next().unwrap().rect().center();
    let (from, to) = (at(&table, "Lid L4:"), at(&table, "Base B4:"));
    table.harness.hover_at(from);
    table.harness.drag_at(from);
    table.settle();
    table.harness.hover_at(from.lerp(to, 0.5));
    table.settle();
    table.harness.hover_at(to);
    table.settle();
    table.harness.drop_at(to);
    table.settle();
    assert_eq!(shelves(&table).pinned, [("L4".to_owned(), "B4".to_owned())]);
}

#[test]
fn a_half_is_typed_changed_and_taken_off() {
    let mut table = open_in(Theme::Light, LAPTOP);
    assert!(says(&table, "No lid and no base lies here yet"));
    table.click("Add a lid");
    assert!(
        says(&table, "nothing was measured of 'L1', so it stays alone") || says(&table, "Nothing was measured of 'L1', so it stays alone")
    );
    table.harness.get_by_label("Flange, longer axis").focus();
    table.settle();
    table.type_text("3 5/8\"");
    table.harness.get_by_label("Glaze").focus();
    table.settle();
    table.type_text("Flint");
    table.click("Put it on the shelf");
    assert_eq!(shelves(&table).lids.len(), 1);
    assert!((shelves(&table).lids[0].major.unwrap().value - 92.075).abs() < 1e-9);
    press(&mut table, "Lid L1:");
    table.click("Change");
    table.harness.get_by_label("Number").focus();
    table.settle();
    table.command(Key::A);
    table.type_text("lid 9");
    table.click("Change it");
    assert_eq!(shelves(&table).lids[0].id, "lid 9");
    press(&mut table, "Lid lid 9:");
    table.click("Take off the shelf");
    assert!(shelves(&table).is_empty());
    table.command(Key::Z);
    assert_eq!(shelves(&table).lids[0].id, "lid 9");
}

#[test]
fn the_lid_in_hand_fills_a_half_in() {
    let mut table = Table::new();
    for seen in ["lid, long side=94±1", "glaze=Flint", "lid outline=round"] {
        table.see(seen);
    }
    table.command(Key::Num5);
    table.click("Lids and bases");
    table.click("The lid in hand");
    assert!(says(&table, "its flange is smaller"));
    table.click("Put it on the shelf");
    let lid = shelves(&table).lids[0].clone();
    assert_eq!((lid.noted("glaze"), lid.noted("outline")), (Some("Flint"), Some("round")));
    assert!((lid.major.unwrap().value - 94.0).abs() < 1e-9);
}

#[test]
fn bad_lists_and_files_say_so_and_change_nothing() {
    let mut table = open_in(Theme::Light, LAPTOP);
    read(&mut table, "plates.csv", "id,rim\n1,20\n");
    assert!(says(&table, "'plates.csv' has no column that says whether it is of lids"));
    read(&mut table, "lids.csv", "id,flange major mm\nL1,wide\nL1,80\n,70\nL2,90\n");
    assert_eq!(shelves(&table).lids.len(), 2);
    assert!(says(&table, "Not all of the list could be read"));
    assert!(says(&table, "row 3, column A: the id 'L1' stands in row 2 already") || says(&table, "The id 'L1' stands in row 2 already"));
    // The same list again: nothing is new.
    read(&mut table, "lids.csv", "id,flange major mm\nL2,90\n");
    assert_eq!(shelves(&table).lids.len(), 2);
    assert!(says(&table, "no lid of that list is new, so nothing was added"));
    // A file that cannot be understood is left alone.
    let dir = tempfile::tempdir().unwrap();
    std::fs::create_dir_all(dir.path().join("daybook")).unwrap();
    let mut table = Table::new();
    let path = table.dir().join("daybook/shelves.ron");
    std::fs::write(&path, "(lids: [(id: \"L1\"), (id: \"L1\")])").unwrap();
    table.command(Key::Num5);
    table.click("Lids and bases");
    assert!(says(&table, "The shelves could not be read: two lids have the id 'L1'"));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "(lids: [(id: \"L1\"), (id: \"L1\")])");
}

#[test]
fn five_hundred_halves_are_laid_out_only_where_they_are_seen() {
    let mut table = open_in(Theme::Light, LAPTOP);
    let list = |seat: &str, letter: &str, more: f64| {
        let rows: Vec<String> = (0..250).map(|n| format!("{letter}{n},{:.1}\n", 60.0 + f64::from(n) * 0.9 + more)).collect();
        format!("id,{seat} major mm\n{}", rows.concat())
    };
    read(&mut table, "lids.csv", &list("flange", "L", 0.0));
    read(&mut table, "bases.csv", &list("gallery", "B", 2.0));
    assert!(says(&table, "250 lids, 250 bases: "));
    let drawn = table.harness.query_all_by_label_contains("Lid L").count();
    assert!(drawn > 10 && drawn < 80, "{drawn} of 250 are laid out");
}

#[test]
fn the_two_shelves_look_as_they_should() {
    let mut results = SnapshotResults::new();
    for (theme, size, name) in [(Theme::Light, LAPTOP, "pairing_light"), (Theme::Dark, vec2(1024.0, 700.0), "pairing_dark")] {
        let mut table = with_lists(theme, size);
        press(&mut table, "Lid L3:");
        table.harness.remove_cursor();
        table.settle();
        results.add(table.harness.try_snapshot(name));
    }
}
