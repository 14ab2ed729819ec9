//! The Key Book's pages about the key as a whole: its health, and a trial of it.

use super::desk::{LAPTOP, Table};
use super::pictures::both;
use egui::{Key, Theme, vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use footring::desk::command::{Command, Screen};
use footring::identify::Index;
use footring::identify::health::Health;
use footring::key::{FormId, Record, builtin};
use std::ops::ControlFlow;

fn demo_health() -> Health {
    Index::new(&builtin::demo().key).health(|_| ControlFlow::Continue(())).unwrap()
}

fn on_health() -> Table {
    let mut table = Table::new();
    table.command(Key::Num3);
    table.click("Health");
    table
}

/// The name of the one button whose name holds these words.
fn button(table: &Table, words: &str) -> String {
    let names: Vec<String> = table
        .harness
        .query_all_by_label_contains(words)
        .filter(|node| node.accesskit_node().role() == egui::accesskit::Role::Button)
        .filter_map(|node| node.accesskit_node().label())
        .collect();
    assert_eq!(names.len(), 1, "{words}: {names:?}");
    names[0].clone()
}

#[test]
fn health_says_what_the_engine_found_and_leads_to_the_sheet() {
    let health = demo_health();
    let mut table = on_health();
    let apart = health.pairs - health.untold_pairs;
    table.harness.get_by_label_contains(&format!("{apart} of {} pairs of {} forms", health.pairs, health.forms));
    table.click(&format!("What to record next ({})", health.to_record.len()));
    let cell = &health.to_record[0];
    let key = builtin::demo().key;
    let (form, feature) = (key.form_name(&cell.form), key.feature_name(&cell.feature));
    let mut title = form.clone();
    title.replace_range(..1, &form[..1].to_uppercase());
    let name = button(&table, &format!("{title}: {feature}: expected to take away"));
    table.click(&name);
    let sheet = table.harness.state().views.key_book.sheet().unwrap();
    assert_eq!(sheet.form().id, cell.form);
    // It stands where it can be recorded at once.
    let here = table.harness.get_by_label(&format!("{feature}: not recorded")).rect();
    assert!(here.top() > 60.0 && here.bottom() < LAPTOP.y, "in sight: {here:?}");
    // And back to the page one came from.
    table.click("Health");
    table.harness.get_by_label("Health of the key");
    table.key(Key::Escape);
    table.harness.get_by_label("New form");
}

#[test]
fn a_pair_that_nothing_tells_apart_leads_to_tell_apart_and_to_what_would() {
    let mut key = builtin::demo().key;
    // A second mustard pot of which nothing is known but what is known of the first, and its handle not even that.
    let mut twin = key.forms.iter().find(|form| form.id.as_str() == "quoin-mustard-pot").unwrap().clone();
    twin.id = FormId::new("quoin-mustard-pot-2");
    twin.name = "second mustard pot".to_owned();
    twin.features.insert("handle".into(), Record::NotRecorded);
    key.forms.push(twin);
    let health = Index::new(&key).health(|_| ControlFlow::Continue(())).unwrap();
    let pair = health.untold.iter().find(|pair| pair.other.as_str() == "quoin-mustard-pot-2").unwrap();
    assert_eq!(pair.form.as_str(), "quoin-mustard-pot");
    let feature = key.feature_name(&pair.to_record[0]);
    let unrecorded = [&pair.form, &pair.other]
        .into_iter()
        .find(|id| health.thin.iter().any(|thin| thin.form == **id && thin.missing.contains(&pair.to_record[0])))
        .unwrap();
    let edit = format!("Record {feature} of {}", key.form_name(unrecorded));
    let mut table = Table::on(key.clone(), Theme::Light, LAPTOP);
    table.command(Key::Num3);
    table.click("Health");
    table.click(&format!("Can’t be told apart ({})", health.untold_pairs));
    let name = button(&table, "Mustard pot and second mustard pot, Quoin: record");
    table.click(&name);
    assert_eq!(table.harness.state().screen, Screen::TellApart);
    assert_eq!(table.harness.state().views.tell_apart.forms, [pair.form.clone(), pair.other.clone()]);
    table.command(Key::Num3);
    table.click(&edit);
    assert_eq!(table.harness.state().views.key_book.sheet().unwrap().form().id, *unrecorded);
}

#[test]
fn health_is_weighed_again_once_the_key_has_changed() {
    let mut table = on_health();
    let health = demo_health();
    let (form, feature) = (health.to_record[0].form.clone(), health.to_record[0].feature.clone());
    let mut changed = table.harness.state().doc.form(&form).unwrap().clone();
    let other = builtin::demo().key.forms.iter().find_map(|form| match form.features.get(&feature) {
        Some(record @ (Record::Always(_) | Record::Between(..))) => Some(record.clone()),
        _ => None,
    });
    changed.features.insert(feature, other.unwrap());
    table.harness.state_mut().ask(Command::PutForm(Box::new(changed)));
    table.settle();
    table.harness.get_by_label(&format!("What to record next ({})", health.to_record.len().min(100)));
    assert!(table.harness.query_by_label_contains("from before the change").is_none(), "it was weighed again");
    let key = table.harness.state().doc.key.clone();
    let again = Index::new(&key).health(|_| ControlFlow::Continue(())).unwrap();
    assert_ne!(again.to_record[0], health.to_record[0]);
    table.harness.get_by_label_contains(&format!("{} of {} pairs", again.pairs - again.untold_pairs, again.pairs));
}

#[test]
fn a_key_without_forms_has_nothing_to_weigh_or_try() {
    let mut key = builtin::demo().key;
    key.forms.clear();
    let mut table = Table::on(key, Theme::Light, LAPTOP);
    table.command(Key::Num3);
    table.click("Health");
    table.harness.get_by_label("There is no pair of forms to be told apart.");
    table.key(Key::Escape);
    table.click("Trial");
    table.harness.get_by_label("This key has no forms yet.");
    assert!(table.harness.query_by_label("Try the key").is_none());
}

#[test]
fn a_trial_shows_what_the_engine_finds_with_the_same_seed() {
    use footring::identify::{Settings, trial};
    let key = builtin::demo().key;
    let options = trial::Options { pieces: 5, ..trial::Options::for_forms(key.forms.len()) };
    let report = trial::run(&key, Settings::default(), options, &|_, _| ControlFlow::Continue(())).unwrap();
    let mut table = Table::with(Theme::Light, vec2(1280.0, 2400.0));
    table.command(Key::Num3);
    table.click("Trial");
    table.harness.state_mut().ask(Command::TryKey(options));
    table.settle();
    table.harness.get_by_label(&format!("How {} made-up pieces were named", report.pieces));
    table.harness.get_by_label(&format!("{:.1} looks", report.looks.mean));
    let (one, other, pieces) = &report.pairs()[0];
    let times = if *pieces == 1 { "once".to_owned() } else { format!("{pieces} times") };
    let names: Vec<String> =
        table.harness.query_all_by_label_contains(&format!(": {times}")).filter_map(|node| node.accesskit_node().label()).collect();
    let short = |id: &FormId| key.form(id).unwrap().name.to_lowercase();
    let name = names.iter().find(|name| name.to_lowercase().starts_with(&short(one))).unwrap_or_else(|| panic!("{names:?}"));
    assert!(name.to_lowercase().contains(&short(other)), "{name}");
    table.click(&name.clone());
    assert_eq!(table.harness.state().views.tell_apart.forms, [one.clone(), other.clone()]);
}

#[test]
fn health_looks() {
    both("key_health", LAPTOP, |table| {
        table.command(Key::Num3);
        table.click("Health");
    });
}

#[test]
fn health_looks_small() {
    both("key_health_small", vec2(640.0, 400.0), |table| {
        table.command(Key::Num3);
        table.click("Health");
    });
}

#[test]
fn pairs_look() {
    both("key_health_pairs", vec2(1024.0, 700.0), |table| {
        table.command(Key::Num3);
        table.click("Health");
        table.click("By one feature alone (3)");
    });
}

#[test]
fn trial_looks_wide() {
    both("key_trial_wide", vec2(1920.0, 1080.0), try_some);
}

#[test]
fn trial_looks() {
    both("key_trial", LAPTOP, try_some);
}

#[test]
fn trial_looks_small() {
    both("key_trial_small", vec2(640.0, 400.0), try_some);
}

fn try_some(table: &mut Table) {
    use footring::identify::trial::Options;
    table.command(Key::Num3);
    table.click("Trial");
    let options = Options { pieces: 5, left_out: 3, ..Options::for_forms(82) };
    table.harness.state_mut().ask(Command::TryKey(options));
    table.settle();
}
