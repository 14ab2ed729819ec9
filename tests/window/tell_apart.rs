//! Look-alikes side by side.

use super::desk::Table;
use egui::{Key, Theme, vec2};
use egui_kittest::kittest::Queryable as _;
use footring::desk::command::{Command, Screen};
use footring::identify::Seen;
use footring::key::{FeatureId, FormId, ValueId};

fn hero_pair() -> Vec<FormId> {
    vec!["quoin-covered-sugar".into(), "quoin-casserole-one".into()]
}

fn compare(table: &mut Table, forms: Vec<FormId>) {
    table.harness.state_mut().ask(Command::TellApart(forms));
    table.settle();
}

#[test]
fn the_first_two_on_the_shelf_are_told_apart_by_the_lid() {
    let mut table = Table::new();
    table.see("body outline=chamfered");
    table.see("handle=lug");
    table.see("height=71±2");
    table.command(Key::T);
    assert_eq!(table.harness.state().screen, Screen::TellApart);
    let mut forms = table.harness.state().views.tell_apart.forms.clone();
    forms.sort();
    let mut pair = hero_pair();
    pair.sort();
    assert_eq!(forms, pair);
    table.click("lid outline: oval, as one-person casserole, Quoin");
    let app = table.harness.state();
    assert_eq!(app.screen, Screen::Bench, "a click answers it on the Bench");
    let seen = app.doc.seen(&FeatureId::new("lid-outline")).map(|o| o.seen.clone());
    assert_eq!(seen, Some(Seen::Values(vec![ValueId::new("oval")])));
    assert_eq!(app.doc.standing.candidates[0].form, FormId::new("quoin-casserole-one"));
}

#[test]
fn the_lid_is_the_surest_tell_and_what_is_the_same_is_folded_away() {
    let mut table = Table::new();
    compare(&mut table, hero_pair());
    let doc = &table.harness.state().doc;
    let tells = doc.index.tells(&hero_pair(), None);
    assert_eq!(tells.tells[0].feature, FeatureId::new("lid-outline"));
    let fold = format!("The same in all: {}", tells.same.len());
    assert!(table.harness.query_by_label_contains("number of handles").is_none(), "folded away at first");
    let button = table.harness.get_by_label(&fold);
    button.scroll_to_me();
    table.settle();
    table.harness.get_by_label(&fold).click_accesskit();
    table.settle();
    assert!(table.harness.state().views.tell_apart.same_open);
    assert!(table.harness.query_by_label_contains("number of handles").is_some(), "and listed when asked for");
}

#[test]
fn a_third_form_is_added_by_name_with_keys_and_taken_away_again() {
    let mut table = Table::new();
    compare(&mut table, hero_pair());
    table.harness.get_by_label("Add").focus();
    table.settle();
    table.type_text("casserol stannard one");
    table.key(Key::Enter);
    let forms = &table.harness.state().views.tell_apart.forms;
    assert_eq!(forms.len(), 3, "{forms:?}");
    assert_eq!(forms[2], FormId::new("stannard-casserole-one"));
    table.click("Compare covered sugar, Quoin no more");
    assert_eq!(table.harness.state().views.tell_apart.forms.len(), 2);
}

#[test]
fn with_fewer_than_two_it_says_what_to_do() {
    let mut table = Table::new();
    table.command(Key::Num2);
    table.harness.get_by_label("Choose two to six forms that are easily mixed up");
    table.click("The first two on the shelf");
    assert_eq!(table.harness.state().views.tell_apart.forms.len(), 2);
}

#[test]
fn a_missing_lid_takes_its_tells_away() {
    let mut table = Table::new();
    table.see("body outline=chamfered");
    table.click("lid");
    compare(&mut table, hero_pair());
    assert!(table.harness.query_by_label("lid outline: oval, as one-person casserole, Quoin").is_none(), "the lid is gone");
    assert!(table.harness.query_by_label_contains("Can't be seen, the part is gone").is_some());
}

#[test]
fn six_forms_fit_a_small_window() {
    let mut table = Table::with(Theme::Dark, vec2(640.0, 400.0));
    let six = table.harness.state().doc.key.forms.iter().take(8).map(|form| form.id.clone()).collect();
    compare(&mut table, six);
    assert_eq!(table.harness.state().views.tell_apart.forms.len(), 6, "six at most");
}
