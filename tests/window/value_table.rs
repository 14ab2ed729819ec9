//! The value table: many cells filled with keys alone, pasted, taken back and saved.

use crate::desk::{LAPTOP, Table};
use egui::accesskit::Role;
use egui::{Event, Key, Modifiers};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use footring::desk::command::Screen;
use footring::key::{Folder, FormId, Often, Record};

impl Table {
    fn open_value_table(&mut self) {
        self.command(Key::Num3);
        assert_eq!(self.harness.state().screen, Screen::KeyBook);
        self.harness.get_by_role_and_label(Role::Button, "Value table").click();
        self.settle();
    }

    fn press_named(&mut self, name: &str) {
        self.harness.get_by_role_and_label(Role::Button, name).click();
        self.settle();
    }

    /// Clicks the cell that begins so.
    fn click_cell(&mut self, begins: &str) {
        let name = self.cell(begins);
        self.harness.get_by_role_and_label(Role::Cell, &name).click();
        self.settle();
    }

    /// The whole name of the cell that begins so.
    fn cell(&self, begins: &str) -> String {
        let names: Vec<String> = self
            .harness
            .get_all_by_role(Role::Cell)
            .filter_map(|node| node.accesskit_node().label())
            .filter(|name| name.starts_with(begins))
            .collect();
        assert_eq!(names.len(), 1, "{begins}: {names:?}");
        names[0].clone()
    }

    fn send(&mut self, event: Event) {
        self.harness.event(event);
        self.settle();
    }

    fn keys_of_key(&mut self, modifiers: Modifiers, key: Key) {
        self.harness.key_press_modifiers(modifiers, key);
        self.settle();
    }

    fn record(&self, form: &str, feature: &str) -> Option<Record> {
        let dir = self.harness.state().doc.place.dir.clone().unwrap();
        let folder = Folder::open(&dir);
        folder.key().form(&FormId::from(form)).unwrap().features.get(feature).cloned()
    }
}

#[test]
fn cells_are_filled_by_digits_by_typing_and_down_and_saved_as_one_step() {
    let mut table = Table::on_disk();
    table.open_value_table();
    table.press_named("Quoin");
    table.press_named("Lid");
    table.click_cell("covered sugar, Quoin, lid outline: ");
    assert!(table.cell("covered sugar, Quoin, lid outline: ").ends_with("round"));
    // The second value by its digit, then back by undo.
    table.send(Event::Text("2".into()));
    assert!(!table.cell("covered sugar, Quoin, lid outline: ").ends_with("round"));
    table.keys_of_key(Modifiers::COMMAND, Key::Z);
    assert!(table.cell("covered sugar, Quoin, lid outline: ").ends_with("round"));
    // Typed: the first letter opens the cell, Enter takes it.
    table.click_cell("covered sugar, Quoin, lid outline: ");
    table.send(Event::Text("u".into()));
    table.type_text("sually round / sometimes oval");
    table.harness.key_press(Key::Enter);
    table.settle();
    assert_eq!(table.cell("covered sugar, Quoin, lid outline: "), "covered sugar, Quoin, lid outline: usually round / sometimes oval");
    assert_eq!(table.record("quoin-covered-sugar", "lid-outline"), Some(Record::Always("round".into())), "nothing is saved yet");
    table.press_named("Save 1 changed cell");
    table.settle();
    let both = [("round".into(), Often::Usually), ("oval".into(), Often::Sometimes)].into_iter().collect();
    assert_eq!(table.record("quoin-covered-sugar", "lid-outline"), Some(Record::Values(both)));
    // What was saved is taken back as one step of the window.
    table.keys_of_key(Modifiers::COMMAND, Key::Z);
    assert_eq!(table.record("quoin-covered-sugar", "lid-outline"), Some(Record::Always("round".into())));
}

#[test]
fn what_cannot_be_read_stays_to_be_mended() {
    let mut table = Table::on_disk();
    table.open_value_table();
    table.press_named("Quoin");
    table.press_named("Lid");
    table.click_cell("covered sugar, Quoin, lid outline: ");
    table.send(Event::Text("z".into()));
    table.harness.key_press(Key::Enter);
    table.settle();
    assert!(table.harness.query_by_role_and_label(Role::TextInput, "Type: covered sugar, lid outline").is_some());
    table.harness.key_press(Key::Escape);
    table.settle();
    assert!(table.harness.query_by_role_and_label(Role::TextInput, "Type: covered sugar, lid outline").is_none());
    assert!(table.cell("covered sugar, Quoin, lid outline: ").ends_with("round"));
}

#[test]
fn several_cells_are_cleared_filled_and_pasted() {
    let mut table = Table::on_disk();
    table.open_value_table();
    table.press_named("Quoin");
    table.press_named("Body");
    let feature = table.harness.state().doc.key.feature(&"height".into()).unwrap().shown_name();
    let forms: Vec<_> = table.harness.state().doc.key.forms.iter().filter(|form| form.line.as_str() == "quoin").take(3).cloned().collect();
    let begins: Vec<String> = forms.iter().map(|form| format!("{}, {feature}: ", table.harness.state().doc.key.full_name(form))).collect();
    for _ in 0..40 {
        if table.harness.query_all_by_role(Role::Cell).any(|node| node.accesskit_node().label().is_some_and(|l| l.starts_with(&begins[0])))
        {
            break;
        }
        table.harness.key_press(Key::ArrowRight);
        table.settle();
    }
    table.click_cell(&begins[0]);
    table.keys_of_key(Modifiers::SHIFT, Key::ArrowDown);
    table.keys_of_key(Modifiers::SHIFT, Key::ArrowDown);
    table.send(Event::Paste("101\n102 to 104\n4 in".into()));
    let said: Vec<String> = begins.iter().map(|begins| table.cell(begins)).collect();
    assert!(said[0].ends_with(": 101") && said[1].ends_with(": 102 to 104") && said[2].ends_with(": 101.6"), "{said:?}");
    table.click_cell(&begins[0]);
    table.keys_of_key(Modifiers::SHIFT, Key::ArrowDown);
    table.keys_of_key(Modifiers::ALT, Key::ArrowDown);
    assert!(table.cell(&begins[1]).ends_with(": 101"));
    table.harness.key_press(Key::Delete);
    table.settle();
    assert!(table.cell(&begins[0]).ends_with("not recorded") && table.cell(&begins[1]).ends_with("not recorded"));
    table.press_named("Changed");
    assert_eq!(
        table.harness.get_all_by_role(Role::Cell).filter(|n| n.accesskit_node().label().is_some_and(|l| l.contains(&feature))).count(),
        3
    );
}

#[test]
fn the_value_table_looks_right() {
    crate::pictures::both("value_table", LAPTOP, |table| {
        table.open_value_table();
        table.press_named("Quoin");
        table.press_named("Lid");
        table.click_cell("covered sugar, Quoin, lid outline: ");
        table.send(Event::Text("2".into()));
    });
}
