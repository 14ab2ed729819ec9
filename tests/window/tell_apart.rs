//! Look-alikes side by side.

use super::desk::{LAPTOP, Table};
use egui::{Key, Theme, vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
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

const SUGAR: &str = "quoin-covered-sugar";
const CASSEROLE: &str = "quoin-casserole-one";
const STANNARD: &str = "stannard-casserole-one";
const OVAL: &str = "lid outline: oval, as one-person casserole, Quoin";

fn ids(forms: &[&str]) -> Vec<FormId> {
    forms.iter().map(|form| FormId::new(*form)).collect()
}

fn forms(table: &Table) -> Vec<String> {
    table.harness.state().views.tell_apart.forms.iter().map(ToString::to_string).collect()
}

fn lid_outline(table: &Table) -> Option<Seen> {
    table.harness.state().doc.seen(&"lid-outline".into()).map(|observation| observation.seen.clone())
}

fn oval() -> Seen {
    Seen::Values(vec!["oval".into()])
}

#[test]
fn keys_alone_choose_a_third_by_name_and_answer() {
    let mut table = Table::new();
    table.command(Key::Num2);
    assert!(table.harness.query_by_label("Choose two to six forms that are easily mixed up").is_some(), "the empty screen says what to do");
    for name in ["quoin covered sugr", "quoin one-person caserole"] {
        // The first letter goes to the field by itself.
        table.type_text("q");
        table.type_text(name.trim_start_matches('q'));
        table.key(Key::Enter);
    }
    assert_eq!(forms(&table), [SUGAR, CASSEROLE]);
    table.type_text("s");
    table.type_text("tannard one-person");
    table.key(Key::ArrowDown);
    table.key(Key::ArrowUp);
    table.key(Key::Enter);
    assert_eq!(forms(&table), [SUGAR, CASSEROLE, STANNARD]);
    // To the tell of the lid outline with the arrow, and its oval value with a digit.
    let doc = &table.harness.state().doc;
    let ids: Vec<FormId> = table.harness.state().views.tell_apart.forms.clone();
    let tells = doc.index.tells(&ids, Some(&doc.hand.piece)).tells;
    let at = tells.iter().position(|tell| tell.feature.as_str() == "lid-outline").unwrap();
    for _ in 0..at {
        table.key(Key::ArrowDown);
    }
    table.key(Key::Num2);
    assert_eq!(table.harness.state().screen, Screen::Bench);
    assert_eq!(lid_outline(&table), Some(oval()));
}

#[test]
fn a_form_is_left_out_again_and_its_rivals_are_offered() {
    let mut table = Table::new();
    compare(&mut table, ids(&[SUGAR, CASSEROLE, STANNARD]));
    table.harness.get_by_label("Compare one-person casserole, Stannard no more").click();
    table.settle();
    assert_eq!(forms(&table), [SUGAR, CASSEROLE]);
    let rival = table.harness.get_all_by_label_contains("Compare with ").next().unwrap();
    rival.click();
    table.settle();
    assert_eq!(forms(&table).len(), 3, "a rival was added");
    for _ in 0..3 {
        table.harness.get_all_by_label_contains(" no more").next().unwrap().click();
        table.settle();
    }
    table.harness.get_by_label("The first two on the shelf").click();
    table.settle();
    assert_eq!(forms(&table).len(), 2, "the empty screen offers the first two");
}

#[test]
fn what_is_not_recorded_leads_to_the_sheet_of_its_form() {
    let mut table = Table::new();
    compare(&mut table, hero_pair());
    table.harness.get_by_label_contains("weight; open its sheet").scroll_to_me();
    table.settle();
    table.harness.get_by_label_contains("weight; open its sheet").click();
    table.settle();
    assert_eq!(table.harness.state().screen, Screen::KeyBook);
}

#[test]
fn without_the_lid_the_drawings_have_none_unless_asked_for() {
    let mut table = Table::new();
    table.harness.state_mut().ask(Command::ToggleMissing(footring::key::Part::Lid));
    compare(&mut table, hero_pair());
    assert!(table.harness.query_by_label(OVAL).is_none(), "the lid is not there to look at");
    let says = "Can't be seen, the part is gone: ";
    assert!(table.harness.query_by_label_contains(says).is_some(), "the screen says why");
    assert!(table.harness.query_by_label_contains("Stannard, lids off").is_none(), "only two are drawn");
    assert!(table.harness.query_by_label_contains("Quoin, lids off").is_some(), "the drawings have no lids");
    table.harness.get_by_label("Lids on").click();
    table.settle();
    assert!(table.harness.query_by_label_contains("Quoin, lids on").is_some(), "unless the person wants them");
}

#[test]
fn six_forms_are_compared_and_no_seventh_is_offered() {
    let mut table = Table::new();
    let all: Vec<String> = table.harness.state().doc.key.forms.iter().take(9).map(|form| form.id.to_string()).collect();
    let all: Vec<&str> = all.iter().map(String::as_str).collect();
    compare(&mut table, ids(&all));
    assert_eq!(forms(&table).len(), 6);
    assert!(table.harness.query_by_label("Add").is_none(), "six are enough");
}

/// Every target is at least 32 points each way and within the window, or in a part that scrolls.
#[test]
fn nothing_is_too_small_or_cut_off_at_small_sizes() {
    for size in [vec2(640.0, 400.0), vec2(1024.0, 700.0), LAPTOP] {
        let mut table = Table::with(Theme::Light, size);
        compare(&mut table, ids(&[SUGAR, CASSEROLE, STANNARD]));
        for part in [" no more", "Compare with ", "lid outline: ", "Lids ", "The same in all"] {
            for node in table.harness.get_all_by_label_contains(part) {
                let rect = node.rect();
                if node.accesskit_node().role() != egui::accesskit::Role::Button {
                    continue;
                }
                assert!(rect.width() >= 32.0 && rect.height() >= 32.0, "{part}: {rect:?} at {size:?}");
                assert!(rect.left() >= 0.0 && rect.right() <= size.x, "{part}: {rect:?} at {size:?}");
            }
        }
    }
}

/// What the engine answers with the usual figures, as it stands on the screen.
fn cover_lines(forms: &[&str], missing: &[footring::key::Part], goal: footring::identify::cover::Goal) -> (Vec<String>, String) {
    use footring::identify::cover::{Among, Ask};
    let index = footring::identify::Index::new(&footring::key::builtin::demo().key);
    let among = Among::FromOthers(forms.iter().map(|form| FormId::new(*form)).collect());
    let ask = Ask { goal, missing: missing.iter().copied().collect(), ..Ask::new(among) };
    let cover = index.cover(&ask, |_| std::ops::ControlFlow::Continue(())).unwrap();
    assert!(!cover.features.is_empty());
    (cover.features.iter().map(|used| used.name.clone()).collect(), cover.sentence(goal))
}

#[test]
fn by_these_alone_answers_as_the_engine_does_with_and_without_the_lid() {
    use footring::identify::cover::Goal;
    let mut table = Table::new();
    table.harness.state_mut().ask(Command::TellApart(vec!["quoin-covered-sugar".into()]));
    table.settle();
    // One form alone is enough to ask.
    table.harness.get_by_label("Covered sugar, Quoin from the 81 other forms");
    let shown = |table: &Table, (names, sentence): (Vec<String>, String)| {
        for (at, name) in names.iter().enumerate() {
            let name = name[..1].to_uppercase() + &name[1..];
            table.harness.get_by_label_contains(&format!("{}. {name}: ", at + 1));
        }
        let found = table.harness.query_all_by_label(&format!("{sentence}.")).count();
        assert!(found >= 1, "{sentence}");
    };
    let with_lid = cover_lines(&["quoin-covered-sugar"], &[], Goal::Fewest);
    shown(&table, with_lid.clone());
    table.click("Least effort");
    shown(&table, cover_lines(&["quoin-covered-sugar"], &[], Goal::LeastEffort));
    table.click("Fewest looks");
    // A piece without its lid is compared without it.
    table.harness.state_mut().ask(Command::ToggleMissing(footring::key::Part::Lid));
    table.settle();
    table.harness.state_mut().ask(Command::Go(Screen::TellApart));
    table.settle();
    let without = cover_lines(&["quoin-covered-sugar"], &[footring::key::Part::Lid], Goal::Fewest);
    shown(&table, without);
    table.harness.get_by_label("Without what only the lid can tell.");
}

#[test]
fn by_these_alone_stands_in_place_of_the_tells() {
    let mut table = Table::new();
    table.harness.state_mut().ask(Command::TellApart(vec!["quoin-covered-sugar".into(), "fenlight-covered-sugar".into()]));
    table.settle();
    table.click("By these alone");
    for title in ["Covered sugar, Quoin from the 81 other forms", "Covered sugar, Fenlight from the 81 other forms"] {
        table.harness.get_by_label(title);
    }
    assert_eq!(table.harness.query_all_by_label_contains(" from each other").count(), 2, "a line each");
    let before = table.harness.state().doc.hand.clone();
    table.key(Key::Num1);
    assert_eq!(table.harness.state().doc.hand, before, "digits answer no tell that is not on the screen");
    table.click("Tells");
    assert!(table.harness.query_by_label_contains(" from each other").is_none());
}
