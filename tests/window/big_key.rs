//! A key of thousands of forms: what is drawn stays what is in sight, and everything is still reached.

use super::desk::{LAPTOP, Table};
use egui::{Key, Theme};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use footring::desk::command::Command;
use footring::key::{Form, FormId, builtin};

/// The demo key with so many forms more, copies of its own under other names.
fn many(more: usize) -> footring::key::Key {
    let mut key = builtin::demo().key;
    let models: Vec<Form> = key.forms.clone();
    for n in 0..more {
        let mut form = models[n % models.len()].clone();
        form.id = FormId::new(format!("copy-{n}"));
        form.name = format!("{} number {n}", form.name);
        key.forms.push(form);
    }
    key
}

/// Forms on the shelves that are laid out.
fn laid_out(table: &Table) -> Vec<String> {
    table
        .harness
        .query_all_by_label_contains(" number ")
        .filter(|node| node.accesskit_node().role() == egui::accesskit::Role::Button)
        .filter_map(|node| node.accesskit_node().label())
        .collect()
}

#[test]
fn only_forms_in_sight_are_laid_out_and_all_are_found_by_name() {
    let mut table = Table::on(many(3000), Theme::Light, LAPTOP);
    table.command(Key::Num3);
    assert!(laid_out(&table).len() < 80, "{} of 3000 forms", laid_out(&table).len());
    // Scrolled to the end, the last line's last forms are there.
    table.harness.hover_at(egui::pos2(600.0, 500.0));
    for _ in 0..40 {
        table.harness.event(egui::Event::MouseWheel {
            unit: egui::MouseWheelUnit::Point,
            delta: egui::vec2(0.0, -20_000.0),
            phase: egui::TouchPhase::Move,
            source: egui::MouseWheelSource::Wheel,
            modifiers: egui::Modifiers::NONE,
        });
        table.harness.run_ok();
    }
    table.settle();
    let last = builtin::demo().key.lines.last().unwrap().id.clone();
    let want = table.harness.state().doc.key.forms.iter().rfind(|form| form.line == last).unwrap().name.clone();
    let there = laid_out(&table);
    assert!(there.iter().any(|name| name.starts_with(&want)), "{want} in {there:?}");
    assert!(there.len() < 80, "{} of 3000 forms", there.len());
    // Typing a part of a name leaves the forms that have it.
    table.harness.get_by_label("Find").focus();
    table.settle();
    table.type_text("number 2999");
    let name = table.harness.state().doc.key.full_name(table.harness.state().doc.form(&FormId::new("copy-2999")).unwrap());
    let found = laid_out(&table);
    assert!(found.contains(&name) && found.len() < 80, "{found:?}");
    table.click(&name);
    assert_eq!(table.harness.state().views.key_book.sheet().unwrap().form().id.as_str(), "copy-2999");
}

#[test]
fn the_keyboard_goes_on_to_forms_that_were_out_of_sight() {
    let mut table = Table::on(many(400), Theme::Light, LAPTOP);
    table.command(Key::Num3);
    table.harness.get_by_label("Find").focus();
    table.settle();
    let below = |table: &Table| table.harness.query_by_label("pint jug, Quoin").is_some();
    assert!(!below(&table), "it is far out of sight at first");
    let mut focused = std::collections::BTreeSet::new();
    for _ in 0..260 {
        table.harness.key_press(Key::Tab);
        table.harness.run_ok();
        let names: Vec<String> = table
            .harness
            .query_all_by_role(egui::accesskit::Role::Button)
            .filter(|node| node.accesskit_node().is_focused())
            .filter_map(|node| node.accesskit_node().label())
            .collect();
        focused.extend(names);
    }
    assert!(focused.len() > 150, "{} buttons were reached", focused.len());
    assert!(below(&table) || focused.contains("pint jug, Quoin"), "the shelves follow the keyboard: {focused:?}");
}

#[test]
fn an_edit_of_one_form_of_thousands_is_saved_and_undone() {
    let mut table = Table::on(many(3000), Theme::Light, LAPTOP);
    let before = table.harness.state().doc.key.clone();
    let mut form = table.harness.state().doc.form(&FormId::new("copy-1500")).unwrap().clone();
    form.name = "odd piece number 1500".to_owned();
    table.harness.state_mut().ask(Command::PutForm(Box::new(form)));
    table.settle();
    table.command(Key::Num3);
    table.harness.get_by_label("Find").focus();
    table.settle();
    table.type_text("odd piece");
    let odd = |table: &Table| laid_out(table).iter().filter(|name| name.starts_with("odd piece number 1500")).count();
    assert_eq!(odd(&table), 1, "it is found by its new name");
    table.harness.state_mut().ask(Command::Undo);
    table.settle();
    assert_eq!(*table.harness.state().doc.key, *before);
    assert_eq!(odd(&table), 0, "and no more once that is taken back");
}

#[test]
fn a_key_on_disk_is_opened_once_the_window_is_there() {
    let dir = tempfile::tempdir().unwrap();
    let start = footring::desk::Start { key: None, data_dir: Some(dir.path().to_owned()), ..Default::default() };
    let desk = footring::desk::app::Desk::prepare(start).unwrap();
    assert!(desk.doc.key.forms.is_empty() && desk.opening.is_some(), "nothing is read before");
    let mut harness = egui_kittest::Harness::builder()
        .with_size(LAPTOP)
        .with_max_steps(12)
        .with_context_setup(footring::desk::Footring::dress)
        .build_eframe(move |cc| footring::desk::Footring::new(&cc.egui_ctx, desk));
    // Keys pressed meanwhile do nothing to a key that is not there yet.
    if harness.state().opening.is_some() {
        harness.get_by_label_contains("Opening the key marrowby");
    }
    let start = std::time::Instant::now();
    while harness.state().opening.is_some() {
        harness.run_ok();
        assert!(start.elapsed() < std::time::Duration::from_mins(1), "the key never opened");
        std::thread::sleep(std::time::Duration::from_millis(2));
    }
    harness.run_ok();
    assert_eq!(harness.state().doc.key.forms.len(), builtin::demo().key.forms.len());
    assert!(harness.state().notice.is_none(), "opening it is no news: {:?}", harness.state().notice);
}
