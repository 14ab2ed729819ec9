//! The Key Book: a form is looked at, changed, added, saved and found again.

use crate::desk::{LAPTOP, Table};
use egui::accesskit::Role;
use egui::{Key, Theme, vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use footring::desk::command::Screen;
use footring::identify::{Measured, Observation, Piece, Seen, Sure};
use footring::key::{FeatureKind, Folder, Form, Record};
use std::fs;

impl Table {
    fn show_key_book(&mut self) {
        self.command(Key::Num3);
        assert_eq!(self.harness.state().screen, Screen::KeyBook);
    }

    /// Clicks what a screen reader calls so.
    fn press(&mut self, name: &str) {
        let node = self.harness.get_by_role_and_label(Role::Button, name);
        node.scroll_to_me();
        self.settle();
        self.harness.get_by_role_and_label(Role::Button, name).click();
        self.settle();
    }

    fn fill(&mut self, name: &str, text: &str) {
        let node = self.harness.get_by_role_and_label(Role::TextInput, name);
        node.click();
        self.settle();
        self.type_text(text);
    }

    fn sheet_form(&self) -> Form {
        self.harness.state().views.key_book.sheet().unwrap().form().clone()
    }

    fn key_on_disk(&self) -> Folder {
        Folder::open(self.harness.state().doc.place.dir.as_ref().unwrap())
    }

    fn forms_text(&self) -> String {
        fs::read_to_string(self.harness.state().doc.place.dir.as_ref().unwrap().join("forms.ron")).unwrap()
    }
}

/// The first form of the demo with a choice recorded, that choice, and a value it does not have.
fn a_choice(table: &Table) -> (Form, String, String, String) {
    let key = &table.harness.state().doc.key;
    for form in &key.forms {
        for (id, record) in &form.features {
            let feature = key.feature(id).unwrap();
            if let (Record::Always(value), FeatureKind::Choice(values)) = (record, &feature.kind)
                && let Some(other) = values.iter().find(|v| v.id != *value)
            {
                return (form.clone(), feature.shown_name(), other.shown_name(), id.to_string());
            }
        }
    }
    unreachable!("the demo has choices")
}

#[test]
fn every_form_stands_on_a_shelf_and_is_found_by_name() {
    let mut table = Table::new();
    table.show_key_book();
    let forms = table.harness.state().doc.key.forms.clone();
    let key = table.harness.state().doc.key.clone();
    for form in forms.iter().take(8) {
        assert!(table.harness.query_by_label(&key.full_name(form)).is_some(), "{}", form.name);
    }
    table.fill("Find", "covred sugar");
    let sugars: Vec<String> = forms.iter().filter(|f| f.name.contains("covered sugar")).map(|f| key.full_name(f)).collect();
    assert!(!sugars.is_empty() && sugars.iter().all(|name| table.harness.query_by_label(name).is_some()), "a typing mistake is forgiven");
    let other = forms.iter().find(|f| f.name.contains("plate")).unwrap();
    assert!(table.harness.query_by_label(&key.full_name(other)).is_none(), "the others are away");
    table.press("Show all");
    table.harness.run();
    assert!(table.harness.query_by_label(&key.full_name(forms.first().unwrap())).is_some());
}

#[test]
fn one_value_is_changed_undone_and_saved_as_one_line() {
    let mut table = Table::on_disk();
    table.show_key_book();
    let (form, feature, value, id) = a_choice(&table);
    let full = table.harness.state().doc.key.full_name(&form);
    let before = table.forms_text();
    table.press(&full);
    table.press(&format!("{feature}: {value}"));
    assert_ne!(table.sheet_form().features, form.features);
    assert!(
        table.harness.query_by_label_contains(&format!("Undo: {}: ", footring::key::capital(&feature))).is_some(),
        "the step says what it was"
    );
    table.command(Key::Z);
    assert_eq!(table.sheet_form(), form, "undone");
    table.command(Key::Y);
    table.command(Key::S);
    let saved = table.key_on_disk();
    let record = saved.key().form(&form.id).unwrap().features.get(id.as_str()).cloned();
    assert!(matches!(record, Some(Record::Values(values)) if values.len() == 2), "both values are recorded now");
    let after = table.forms_text();
    let changed = before.lines().zip(after.lines()).filter(|(a, b)| a != b).count();
    assert_eq!((before.lines().count(), changed), (after.lines().count(), 1), "one line of the file");
}

#[test]
fn a_stranger_is_added_saved_and_found_again() {
    let mut table = Table::on_disk();
    let count = table.harness.state().doc.key.forms.len();
    // A piece that was looked at on the Bench: one choice and one measure.
    let (_, feature_name, value_name, feature) = a_choice(&table);
    let (piece, height) = {
        let key = table.harness.state().doc.key.clone();
        let value = key.values_of(key.feature(&feature.as_str().into()).unwrap()).into_iter().find(|(_, n)| *n == value_name).unwrap().0;
        let height = key
            .features
            .iter()
            .find(|f| matches!(f.kind, FeatureKind::Measure(_)) && f.part == footring::key::Part::Body)
            .unwrap()
            .id
            .clone();
        let mut piece = Piece::default();
        piece.see(Observation { feature: feature.as_str().into(), seen: Seen::Values(vec![value]), sure: Sure::Sure });
        piece.see(Observation {
            feature: height.clone(),
            seen: Seen::Measured(Measured { value: 412.0, plus_minus: 2.0 }),
            sure: Sure::Sure,
        });
        (piece, height)
    };
    let mut hand = table.harness.state().doc.hand.clone();
    hand.piece = piece.clone();
    table.harness.state_mut().doc.set_hand(hand);
    table.harness.key_press_modifiers(egui::Modifiers::COMMAND | egui::Modifiers::SHIFT, Key::N);
    table.settle();
    assert_eq!(table.harness.state().screen, Screen::KeyBook);
    let draft = table.sheet_form();
    assert_eq!(draft.features.get(&height), Some(&Record::Between(410.0, 414.0)), "the measure with its give");
    assert!(matches!(draft.features.get(feature.as_str()), Some(Record::Always(_))), "{feature_name} as it was seen");
    // Without a name it is not saved, and it says why.
    table.press("Add to the key");
    assert_eq!(table.key_on_disk().key().forms.len(), count);
    assert!(table.harness.state().notice.as_ref().unwrap().says.starts_with("not saved yet: "), "it says why");
    table.fill("Name", "umbrella stand");
    table.press("Add to the key");
    let on_disk = table.key_on_disk();
    assert_eq!(on_disk.key().forms.len(), count + 1);
    let added = on_disk.key().forms.iter().find(|f| f.name == "umbrella stand").unwrap().clone();
    assert_eq!(added, table.sheet_form());
    // Found again: by its name, and by what was seen.
    table.press("All forms");
    table.fill("Find", "umbrela");
    let full = table.harness.state().doc.key.full_name(&added);
    assert!(table.harness.query_by_label(&full).is_some(), "{full} stands on its shelf");
    let doc = &table.harness.state().doc;
    let first = doc.index.standing(&piece).candidates.first().unwrap().form.clone();
    assert_eq!(first, added.id, "and what was seen leads to it");
}

#[test]
fn the_sheet_says_what_a_form_cannot_be_told_from() {
    let mut table = Table::new();
    table.show_key_book();
    table.press("New form");
    assert!(table.harness.query_by_label_contains("It can't be told from").is_some(), "nothing is recorded of it yet");
    assert!(table.harness.query_all_by_label_contains(": record ").next().is_some(), "and it says what to record");
}

#[test]
fn the_profile_is_moved_with_the_pointer_and_with_the_arrow_keys() {
    let mut table = Table::new();
    table.show_key_book();
    let form = table.harness.state().doc.key.forms.first().unwrap().clone();
    table.press(&table.harness.state().doc.key.full_name(&form));
    let node = table.harness.get_by_label_contains("Point 2 of the body: radius");
    node.focus();
    table.settle();
    table.key(Key::ArrowRight);
    let moved = table.sheet_form();
    assert_ne!(moved.shape.body.get(1), form.shape.body.get(1), "a millimetre further out");
    let at = table.harness.get_by_label_contains("Point 2 of the body: radius").rect().center();
    table.harness.drag_at(at);
    table.harness.step();
    table.harness.hover_at(at + vec2(12.0, -9.0));
    table.harness.step();
    table.harness.drop_at(at + vec2(12.0, -9.0));
    table.settle();
    assert_ne!(table.sheet_form().shape.body.get(1), moved.shape.body.get(1), "dragged");
    table.command(Key::Z);
    assert_eq!(table.sheet_form(), moved, "a whole drag is one step");
}

#[test]
fn edits_are_not_dropped_unasked() {
    let mut table = Table::new();
    table.show_key_book();
    let form = table.harness.state().doc.key.forms.first().unwrap().clone();
    table.press(&table.harness.state().doc.key.full_name(&form));
    table.fill("Note", "chipped");
    table.press("All forms");
    assert!(table.harness.state().views.key_book.sheet().is_some(), "it asks first");
    table.press("Drop the edits");
    assert!(table.harness.state().views.key_book.sheet().is_none());
}

#[test]
fn it_fits_a_small_window_in_both_themes() {
    for (theme, name) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
        for (size, small) in [(LAPTOP, ""), (vec2(700.0, 500.0), " small")] {
            let mut table = Table::with(theme, size);
            table.show_key_book();
            if let Ok(dir) = std::env::var("KB_PICTURES") {
                table.harness.render().unwrap().save(format!("{dir}/shelves {name}{small}.png")).unwrap();
            }
            let form = table.harness.state().doc.key.forms.iter().find(|f| f.name.contains("sugar")).unwrap().clone();
            let full = table.harness.state().doc.key.full_name(&form);
            table.press(&full);
            if let Ok(dir) = std::env::var("KB_PICTURES") {
                table.harness.render().unwrap().save(format!("{dir}/sheet {name}{small}.png")).unwrap();
            }
            let width = size.x;
            let outside: Vec<String> = table
                .harness
                .root()
                .children_recursive()
                .filter(|node| node.accesskit_node().role() == Role::Button && node.rect().right() > width + 1.0)
                .filter_map(|node| node.accesskit_node().label())
                .collect();
            assert_eq!(outside, [""; 0], "{name}{small}: nothing runs out of the window");
        }
    }
}
