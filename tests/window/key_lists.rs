//! The lists of the key and forms as wholes: entries added, changed, renamed and taken out; forms duplicated, merged, cut in two and retired.

use crate::desk::{LAPTOP, Table};
use egui::Key;
use egui::accesskit::Role;
use egui_kittest::kittest::Queryable as _;
use footring::desk::command::Command;
use footring::key::{FeatureKind, Folder, FormId, Key as HouseKey, Often, Record};

impl Table {
    fn lists(&mut self, list: &str) {
        self.command(Key::Num3);
        self.button("Lists of the key");
        self.button(list);
    }

    fn button(&mut self, name: &str) {
        self.harness.get_by_role_and_label(Role::Button, name).scroll_to_me();
        self.settle();
        self.harness.get_by_role_and_label(Role::Button, name).click();
        self.settle();
    }

    fn write(&mut self, field: &str, text: &str) {
        self.harness.get_by_role_and_label(Role::TextInput, field).scroll_to_me();
        self.settle();
        self.harness.get_by_role_and_label(Role::TextInput, field).click();
        self.settle();
        self.harness.key_press_modifiers(egui::Modifiers::COMMAND, Key::A);
        self.settle();
        self.type_text(text);
    }

    fn on_the_disk(&self) -> HouseKey {
        Folder::open(self.harness.state().doc.place.dir.as_ref().unwrap()).key().clone()
    }

    /// The lowest button of that name.
    fn last_button(&mut self, name: &str) {
        self.harness.get_all_by_role_and_label(Role::Button, name).last().unwrap().scroll_to_me();
        self.settle();
        self.harness.get_all_by_role_and_label(Role::Button, name).last().unwrap().click();
        self.settle();
    }

    fn open(&mut self, form: &str) {
        self.harness.state_mut().ask(Command::OpenForm(form.into()));
        self.settle();
    }
}

#[test]
fn a_glaze_is_added_changed_renamed_and_taken_out() {
    let mut table = Table::on_disk();
    let glazes = table.on_the_disk().glazes.len();
    table.lists(&format!("Glazes {glazes}"));
    table.button("New glaze");
    table.button("gloss");
    table.write("Name", "Kiln Blue");
    table.button("Add the glaze");
    let key = table.on_the_disk();
    assert_eq!(key.glaze(&"kiln-blue".into()).map(|glaze| glaze.name.as_str()), Some("Kiln Blue"));
    table.button("matt");
    // An edit that is not saved is asked about.
    table.button("Close");
    assert!(table.harness.query_by_label("This sheet has edits that were not saved.").is_some());
    table.button("Keep editing");
    table.command(Key::Z);
    assert!(table.harness.query_by_role_and_label(Role::Button, "Save the glaze").is_none(), "the edit is taken back");
    table.write("Id in the files", "kiln-blue-1");
    table.button("Change the id");
    assert!(table.on_the_disk().glaze(&"kiln-blue-1".into()).is_some());
    table.button("Take it out of the key");
    assert_eq!(table.on_the_disk().glazes.len(), glazes);
    // All of it is a row of steps that can be taken back.
    table.command(Key::Z);
    assert!(table.on_the_disk().glaze(&"kiln-blue-1".into()).is_some());
}

#[test]
fn a_glaze_that_forms_are_claimed_in_stays() {
    let mut table = Table::on_disk();
    let key = table.on_the_disk();
    let used = key.forms.iter().find_map(|form| form.glazes.first()).and_then(|held| key.glaze(&held.id)).unwrap().clone();
    table.lists(&format!("Glazes {}", key.glazes.len()));
    table.button(&used.name);
    table.button("Take it out of the key");
    assert_eq!(table.on_the_disk().glazes.len(), key.glazes.len());
    let says = format!("Glaze '{}' can't be taken out", used.id);
    assert!(table.harness.query_by_label_contains(&says).is_some(), "{says}");
}

#[test]
fn a_feature_gets_a_value_with_a_drawing() {
    let mut table = Table::on_disk();
    let features = table.on_the_disk().features.len();
    table.lists(&format!("Features {features}"));
    table.button("lid outline");
    let before = match &table.on_the_disk().feature(&"lid-outline".into()).unwrap().kind {
        FeatureKind::Choice(values) => values.len(),
        _ => 0,
    };
    table.button("Another value");
    table.write(&format!("Name of value {}", before + 1), "six-sided");
    table.button(&format!("Drawing of value {}", before + 1));
    table.button("Drawn as six-sided");
    table.key(Key::Escape);
    table.button("Save the feature");
    let key = table.on_the_disk();
    let FeatureKind::Choice(values) = &key.feature(&"lid-outline".into()).unwrap().kind else { panic!("it is a choice") };
    let last = values.last().unwrap();
    assert_eq!((last.id.as_str(), last.drawing.is_none()), ("six-sided", false));
    // A value that forms have cannot be taken away.
    assert!(table.harness.query_by_label_contains("Value 1 stays: ").is_some());
}

#[test]
fn words_that_mean_the_same_and_what_the_key_is() {
    let mut table = Table::on_disk();
    table.lists("The key itself");
    table.write("Pottery", "Marrowby Pottery, the later works");
    table.button("Save the key");
    assert_eq!(table.on_the_disk().about.pottery, "Marrowby Pottery, the later works");
}

#[test]
fn forms_are_duplicated_merged_and_retired_and_come_back() {
    let mut table = Table::on_disk();
    let forms = table.on_the_disk().forms.len();
    table.open("quoin-covered-sugar");
    table.button("Duplicate");
    let key = table.on_the_disk();
    assert_eq!(key.forms.len(), forms + 1);
    let copy = key.forms.iter().find(|form| form.name == "covered sugar, copy").unwrap().id.clone();
    assert_eq!(table.harness.state().views.key_book.sheet().map(|sheet| sheet.form().id.clone()), Some(copy.clone()));
    // The copy proves to be the same after all.
    table.open("quoin-covered-sugar");
    table.button("Merge with another …");
    table.write("Which form is the same as this one?", "covered sugar copy");
    table.button("covered sugar, copy, Quoin");
    table.button("Merge covered sugar, copy, Quoin into this form");
    let key = table.on_the_disk();
    assert_eq!((key.forms.len(), key.retired.len()), (forms, 1));
    assert_eq!(key.form_or_heir(&copy).map(|form| form.id.clone()), Some(FormId::from("quoin-covered-sugar")));
    table.button("Retire …");
    table.write("Why", "only ever drawn");
    table.button("Retire this form");
    assert!(table.harness.state().views.key_book.sheet().is_none());
    assert_eq!(table.on_the_disk().retired.last().map(|retired| retired.why.clone()), Some("only ever drawn".to_owned()));
    table.lists("Retired forms 2");
    table.button("Bring covered sugar back into use");
    assert!(table.on_the_disk().form(&"quoin-covered-sugar".into()).is_some());
}

#[test]
fn a_form_is_cut_in_two_by_its_lid() {
    let mut table = Table::on_disk();
    let mut key = table.on_the_disk();
    let both = [("round".into(), Often::Times(7)), ("oval".into(), Often::Times(2))].into_iter().collect();
    let sugar = key.forms.iter_mut().find(|form| form.id.as_str() == "quoin-covered-sugar").unwrap();
    sugar.features.insert("lid-outline".into(), Record::Values(both));
    table.harness.state_mut().ask(Command::ChangeKey("two lids".to_owned(), Box::new(key)));
    table.settle();
    table.open("quoin-covered-sugar");
    table.button("Cut in two …");
    table.last_button("lid outline");
    table.last_button("oval");
    table.write("Name of the new form", "covered sugar with an oval lid");
    table.button("Cut it in two");
    let key = table.on_the_disk();
    let new = key.forms.iter().find(|form| form.name == "covered sugar with an oval lid").unwrap();
    assert_eq!(new.features.get("lid-outline"), Some(&Record::Values([("oval".into(), Often::Times(2))].into_iter().collect())));
}

#[test]
fn a_form_is_copied_from_another_key() {
    let mut table = Table::on_disk();
    let other = tempfile::tempdir().unwrap();
    footring::key::builtin::copy_demo(&other.path().join("theirs")).unwrap();
    let mut folder = Folder::open(&other.path().join("theirs"));
    let mut theirs = folder.key().clone();
    theirs.forms.iter_mut().find(|form| form.id.as_str() == "quoin-covered-sugar").unwrap().name = "covered preserve".to_owned();
    folder.save(&theirs).unwrap();
    table.command(Key::Num3);
    table.button("Another key");
    let wish = footring::desk::key_book::other_key::Wish::Read(other.path().join("theirs"));
    table.harness.state_mut().ask(Command::OtherKey(wish));
    table.settle();
    table.write("Find", "preserve");
    table.button("Copy covered preserve, Quoin");
    let key = table.on_the_disk();
    let new = key.forms.iter().find(|form| form.name == "covered preserve").unwrap();
    assert_eq!(new.features, key.form(&"quoin-covered-sugar".into()).unwrap().features);
    assert!(table.harness.query_by_label_contains("Covered preserve, Quoin is copied.").is_some());
    table.command(Key::Z);
    assert!(table.on_the_disk().forms.iter().all(|form| form.name != "covered preserve"));
}

#[test]
fn the_sheet_of_a_feature_looks_right() {
    crate::pictures::both("key_lists_feature", LAPTOP, |table| {
        let features = table.harness.state().doc.key.features.len();
        table.lists(&format!("Features {features}"));
        table.button("lid outline");
    });
}

#[test]
fn the_sheet_of_a_glaze_looks_right() {
    crate::pictures::both("key_lists_glaze", LAPTOP, |table| {
        let glazes = table.harness.state().doc.key.glazes.len();
        let name = table.harness.state().doc.key.glazes[0].name.clone();
        table.lists(&format!("Glazes {glazes}"));
        table.button(&name);
    });
}
