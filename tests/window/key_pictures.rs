//! Pictures of forms and papers, outlines drawn from above, and keys that come packed in one file.

use crate::desk::Table;
use crate::mark_drawer::picture_of_a_mark;
use crate::photographs::drop_file;
use egui::Key;
use egui::accesskit::Role;
use egui_kittest::SnapshotResults;
use egui_kittest::kittest::Queryable as _;
use footring::desk::command::Screen;
use footring::key::shape::Plan;
use footring::key::{self, Form, FormId};

fn first_with_a_lid(table: &Table) -> FormId {
    let forms = &table.harness.state().doc.key.forms;
    forms
        .iter()
        .find(|form| !form.shape.lid.is_empty() && form.shape.plan == Plan::Round && form.shape.lid_plan.is_none())
        .unwrap()
        .id
        .clone()
}

fn open(table: &mut Table, form: &FormId) {
    table.harness.state_mut().ask(footring::desk::command::Command::OpenForm(form.clone()));
    table.settle();
}

fn form(table: &Table, id: &FormId) -> Form {
    table.harness.state().doc.key.form(id).unwrap().clone()
}

fn into_sight(table: &mut Table, role: Role, name: &str) {
    table.harness.get_by_role_and_label(role, name).scroll_to_me();
    table.settle();
}

#[test]
fn a_picture_is_dropped_on_a_form_turned_named_saved_and_undone() {
    let mut table = Table::on_disk();
    let camera = tempfile::tempdir().unwrap();
    let id = first_with_a_lid(&table);
    open(&mut table, &id);
    let before = form(&table, &id).pictures.len();
    drop_file(&mut table, &picture_of_a_mark(camera.path()));
    assert!(table.harness.state().doc.hand.photographs.is_empty(), "it is of the form, not of the piece in hand");
    let number = before + 1;
    into_sight(&mut table, Role::Button, &format!("Turn picture {number} to the right"));
    table.click(&format!("Turn picture {number} to the right"));
    // A step of the sheet like any other.
    table.command(Key::Z);
    table.command(Key::Y);
    let shows = format!("Picture {number} shows");
    into_sight(&mut table, Role::TextInput, &shows);
    table.harness.get_by_role_and_label(Role::TextInput, &shows).click();
    table.settle();
    table.type_text("the lid, a little warped");
    table.command(Key::S);
    let saved = form(&table, &id).pictures.last().unwrap().clone();
    assert_eq!(saved.caption, "the lid, a little warped");
    assert!(saved.file.starts_with(&format!("form-{id}-")), "{}", saved.file);
    let dir = table.harness.state().doc.place.dir.clone().unwrap();
    let kept = image::open(dir.join("pictures").join(&saved.file)).unwrap().to_rgb8();
    assert_eq!(kept.dimensions(), (200, 300), "it lies as it was turned");
    assert!(key::load(&dir).problems.is_empty(), "{:?}", key::load(&dir).problems);
    table.harness.state_mut().screen = Screen::Bench;
    table.settle();
    table.command(Key::Z);
    assert_eq!(form(&table, &id).pictures.len(), before);
}

#[test]
fn a_scan_is_added_to_a_paper() {
    let mut table = Table::on_disk();
    let camera = tempfile::tempdir().unwrap();
    let papers = table.harness.state().doc.key.papers.len();
    table.command(Key::Num3);
    table.click("Lists of the key");
    table.click(&format!("Papers {papers}"));
    let paper = table.harness.state().doc.key.papers.first().unwrap().clone();
    table.harness.get_all_by_label_contains(&paper.title).next().unwrap().click();
    table.settle();
    drop_file(&mut table, &picture_of_a_mark(camera.path()));
    table.command(Key::S);
    let saved = table.harness.state().doc.key.paper(&paper.id).unwrap().clone();
    assert_eq!(saved.pictures.len(), paper.pictures.len() + 1);
    let dir = table.harness.state().doc.place.dir.clone().unwrap();
    assert!(dir.join("pictures").join(&saved.pictures.last().unwrap().file).is_file());
    assert!(key::load(&dir).problems.is_empty(), "{:?}", key::load(&dir).problems);
}

#[test]
fn an_outline_from_above_and_a_lid_are_moved_with_the_arrow_keys() {
    let mut results = SnapshotResults::new();
    let mut table = Table::on_disk();
    let id = first_with_a_lid(&table);
    let before = form(&table, &id);
    open(&mut table, &id);
    let sheet = |table: &Table| table.harness.state().views.key_book.sheet().unwrap().form().clone();
    table.harness.get_by_label_contains("Short side of the rim, from above:").focus();
    table.settle();
    for _ in 0..12 {
        table.key(Key::ArrowDown);
    }
    let Plan::Oval(aspect) = sheet(&table).shape.plan else { unreachable!("{:?}", sheet(&table).shape.plan) };
    let long = before.shape.max_radius_mm() * 2.0;
    assert!((aspect - long / (long - 12.0)).abs() < 0.01, "{aspect} of {long} mm");
    table.harness.get_by_label_contains("Point 1 of the lid:").focus();
    table.settle();
    table.key(Key::ArrowRight);
    assert_ne!(sheet(&table).shape.lid.first(), before.shape.lid.first());
    results.add(table.harness.try_snapshot("form_sheet_from_above"));
    table.command(Key::S);
    assert_eq!(form(&table, &id).shape.plan, Plan::Oval(aspect));
}

#[test]
fn a_packed_key_that_is_dropped_is_unpacked_beside_it_and_opened() {
    let mut table = Table::on_disk();
    let away = tempfile::tempdir().unwrap();
    let dir = table.harness.state().doc.place.dir.clone().unwrap();
    let file = away.path().join("from-the-library.footring");
    key::pack::pack(&dir, &file).unwrap();
    let finds_go_to = table.harness.state().doc.hand.photographs.len();
    drop_file(&mut table, &file);
    table.settle();
    let opened = table.harness.state().doc.place.dir.clone().unwrap();
    assert_eq!(opened, away.path().join("from-the-library"));
    assert_eq!(table.harness.state().doc.hand.photographs.len(), finds_go_to);
    assert_eq!(*table.harness.state().doc.key, key::load(&dir).key);
    // A damaged one changes nothing.
    let bad = away.path().join("bad.footring");
    std::fs::write(&bad, "PK").unwrap();
    drop_file(&mut table, &bad);
    table.settle();
    assert_eq!(table.harness.state().doc.place.dir.clone().unwrap(), opened);
    let notice = table.harness.state().notice.as_ref().unwrap().says.clone();
    assert!(notice.contains("is no packed key"), "{notice}");
}
