//! What a screen reader is told: on every screen and page each thing that can be pressed, typed in or chosen says what it is, and the order is that of reading.

use crate::desk::Table;
use egui::Key;
use egui::accesskit::Role;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use footring::desk::command::{Command, Screen};
use footring::desk::key_book::Page;

/// Roles of what a person does something with.
const DONE_WITH: [Role; 10] = [
    Role::Button,
    Role::CheckBox,
    Role::TextInput,
    Role::MultilineTextInput,
    Role::SpinButton,
    Role::Slider,
    Role::ComboBox,
    Role::RadioButton,
    Role::Link,
    Role::Cell,
];

/// What has no name on the screen that shows.
fn nameless(table: &Table) -> Vec<String> {
    let mut out = Vec::new();
    for role in DONE_WITH {
        for node in table.harness.query_all_by_role(role) {
            let node = node.accesskit_node();
            let named = node.label().is_some_and(|label| !label.trim().is_empty())
                || node.labelled_by().any(|label| label.value().is_some_and(|value| !value.trim().is_empty()));
            if !named {
                out.push(format!("{role:?} at {:?}", node.bounding_box()));
            }
        }
    }
    out
}

#[test]
fn everything_that_is_done_with_has_a_name_on_every_screen() {
    let mut table = Table::new();
    for seen in ["lid outline=oval", "handle=lug"] {
        table.see(seen);
    }
    let screens = [Screen::Bench, Screen::TellApart, Screen::KeyBook, Screen::MarkDrawer, Screen::Daybook];
    let pages = [Page::Shelves, Page::Health, Page::Trial, Page::BringIn, Page::Table, Page::Lists, Page::OtherKey];
    let mut shown: Vec<(String, Command)> = screens.map(|screen| (format!("{screen:?}"), Command::Go(screen))).into();
    shown.extend(pages.map(|page| (format!("{page:?}"), Command::OpenPage(page))));
    shown.push(("sheet of a form".to_owned(), Command::OpenForm("quoin-covered-sugar".into())));
    for (what, command) in shown {
        table.harness.state_mut().ask(command);
        table.settle();
        assert_eq!(nameless(&table), [""; 0], "{what}");
        let pressed = table.harness.query_all_by_role(Role::Button).count();
        assert!(pressed > 8, "{what}: {pressed} buttons");
    }
    for key in [Key::F1, Key::F3, Key::F4] {
        table.key(key);
        assert_eq!(nameless(&table), [""; 0], "{key:?}");
        table.key(Key::Escape);
    }
}

#[test]
fn the_bar_is_read_first_and_the_screens_in_their_order() {
    let table = Table::new();
    let names: Vec<String> = table.harness.query_all_by_role(Role::Button).filter_map(|node| node.accesskit_node().label()).collect();
    let at = |name: &str| names.iter().position(|known| known == name).unwrap_or_else(|| panic!("{name} is not read: {names:?}"));
    let order = ["Bench", "Tell Apart", "Key Book", "Mark Drawer", "Daybook"].map(at);
    assert!(order.is_sorted(), "{names:?}");
    assert!(at("Daybook") < at("Put in daybook"), "the bar comes before the screen");
}
