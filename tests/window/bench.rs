//! Naming the piece in hand on the Bench.

use super::desk::Table;
use egui::Key;
use egui_kittest::kittest::Queryable as _;
use footring::desk::command::Screen;
use footring::identify::{Seen, Shelf, VerdictState};
use footring::key::{FeatureId, FormId, Part, ValueId};

const CASSEROLE: &str = "quoin-casserole-one";
const SUGAR: &str = "quoin-covered-sugar";

/// The digit of a value on the open card, by the value's name.
pub(super) fn digit_of(table: &Table, name: &str) -> Key {
    let app = table.harness.state();
    let card = app.views.bench.card.as_ref().unwrap_or_else(|| panic!("no card is open for {name}"));
    let feature = app.doc.key.feature(&card.feature).unwrap();
    let at = app
        .doc
        .key
        .values_of(feature)
        .iter()
        .position(|(_, shown)| shown == name)
        .unwrap_or_else(|| panic!("{} has no {name}", feature.id));
    [Key::Num1, Key::Num2, Key::Num3, Key::Num4, Key::Num5, Key::Num6, Key::Num7, Key::Num8, Key::Num9][at % 9]
}

pub(super) fn open_feature(table: &Table) -> Option<String> {
    table.harness.state().views.bench.card.as_ref().map(|card| card.feature.to_string())
}

fn leader(table: &Table) -> String {
    table.harness.state().doc.standing.candidates[0].form.to_string()
}

/// What the hero of the demo shows, by feature; what is not listed can't be told.
pub(super) fn casserole_has(feature: &str) -> Option<&'static str> {
    Some(match feature {
        "body-outline" => "cut corner below",
        "handle" => "lug",
        "lid-outline" => "oval",
        "handles" => "two handles",
        "pouring" => "does not pour",
        "lid-hole" => "no hole",
        _ => return None,
    })
}

#[test]
fn the_one_person_casserole_is_named_by_its_lid_with_the_keyboard_alone() {
    let mut table = Table::new();
    for _ in 0..12 {
        if table.harness.state().doc.verdict.state == VerdictState::Settled {
            break;
        }
        table.key(Key::Enter);
        let feature = open_feature(&table).unwrap();
        let values = {
            let doc = &table.harness.state().doc;
            doc.key.values_of(doc.key.feature(&FeatureId::new(feature.clone())).unwrap())
        };
        let name = casserole_has(&feature).filter(|name| values.iter().any(|(_, shown)| shown == name));
        if let Some(name) = name {
            let digit = digit_of(&table, name);
            table.key(digit);
        } else {
            // A measure or something else that this person can't tell: 0 says so on the card, Escape leaves it.
            table.key(Key::Escape);
            table.see(&format!("{feature}=?"));
        }
    }
    let doc = &table.harness.state().doc;
    assert_eq!(leader(&table), CASSEROLE, "{:?}", doc.hand.piece);
    assert_eq!(doc.verdict.state, VerdictState::Settled, "{}", doc.verdict.sentence);
    assert!(doc.seen(&FeatureId::new("lid-outline")).is_some(), "the program asked for the lid by itself");
    assert!(doc.verdict.sentence.contains("One-person casserole, Quoin"), "{}", doc.verdict.sentence);
}

#[test]
fn the_one_person_casserole_is_named_with_the_mouse() {
    let mut table = Table::new();
    table.see("body outline=chamfered");
    table.see("handle=lug");
    table.click("Lid from above");
    assert_eq!(open_feature(&table).as_deref(), Some("lid-outline"), "pointing at the lid asks for its outline");
    table.click("oval");
    assert_eq!(open_feature(&table), None, "an answer closes the card");
    assert_eq!(leader(&table), CASSEROLE);
    assert!(table.harness.query_by_label("Lid outline: oval, change").is_none(), "names are lower case as in the key");
    table.harness.get_by_label("lid outline: oval, change");
    // It can be changed in place.
    table.click("lid outline: oval, change");
    table.click("round");
    assert_eq!(leader(&table), SUGAR, "the lid decides");
    table.click("Take back lid outline");
    assert!(table.harness.state().doc.seen(&FeatureId::new("lid-outline")).is_none(), "the cross takes the answer back");
}

#[test]
fn one_wrong_answer_is_forgiven() {
    let mut table = Table::new();
    for seen in ["body outline=chamfered", "handle=lug", "lid outline=oval", "height=71±2", "rim=flared"] {
        table.see(seen);
    }
    let standing = &table.harness.state().doc.standing;
    let casserole = standing.candidates.iter().find(|c| c.form == FormId::new(CASSEROLE)).unwrap();
    assert_eq!(casserole.place, Shelf::OneSlip(FeatureId::new("rim")), "it stays on the shelf, tagged with the answer");
    assert_eq!(leader(&table), CASSEROLE, "and it is still the first");
    table.harness.get_by_label("one-person casserole, Quoin, with a slip: rim");
}

#[test]
fn a_missing_lid_counts_against_nobody() {
    let mut table = Table::new();
    table.see("body outline=chamfered");
    let before: Vec<_> = table.harness.state().doc.standing.candidates.iter().map(|c| (c.form.clone(), c.probability)).collect();
    table.click("lid");
    let doc = &table.harness.state().doc;
    assert!(doc.is_missing(Part::Lid), "the slip's chip says that it is gone");
    let after: Vec<_> = doc.standing.candidates.iter().map(|c| (c.form.clone(), c.probability)).collect();
    assert_eq!(before, after, "no form gains or loses by it");
    let asked: Vec<Part> =
        doc.standing.next_looks.iter().filter_map(|look| doc.key.feature(&look.feature)).map(|feature| feature.part).collect();
    assert!(!asked.contains(&Part::Lid) && !asked.contains(&Part::Finial), "nothing of the lid is asked for: {asked:?}");
}

#[test]
fn either_probably_and_cannot_tell() {
    let mut table = Table::new();
    table.click("Lid from above");
    for key in [Key::Num1, Key::Num2] {
        table.harness.key_press_modifiers(egui::Modifiers::SHIFT, key);
        table.settle();
    }
    table.key(Key::Enter);
    let outline = FeatureId::new("lid-outline");
    let seen = table.harness.state().doc.seen(&outline).map(|o| o.seen.clone());
    assert_eq!(seen, Some(Seen::Values(vec![ValueId::new("round"), ValueId::new("oval")])), "Shift and digits choose either");
    table.click("lid outline: round or oval, change");
    table.key(Key::Num0);
    let seen = table.harness.state().doc.seen(&outline).map(|o| o.seen.clone());
    assert_eq!(seen, Some(Seen::NotSure), "0 says that it can't be told");
}

#[test]
fn answers_are_undone_and_done_again_without_limit() {
    let mut table = Table::new();
    let said = ["body outline=chamfered", "handle=lug", "lid outline=oval", "height=71±2"];
    for seen in said {
        table.see(seen);
    }
    let full = table.harness.state().doc.hand.clone();
    for _ in said {
        table.command(Key::Z);
    }
    assert!(table.harness.state().doc.hand.piece.is_blank(), "four undos, nothing said");
    table.command(Key::Z);
    for _ in said {
        table.command(Key::Y);
    }
    assert_eq!(table.harness.state().doc.hand, full, "and all again");
    table.key(Key::Backspace);
    assert_eq!(table.harness.state().doc.hand.piece.observations.len(), said.len() - 1, "Backspace takes the last answer back");
}

#[test]
fn a_measure_is_typed_and_a_wrong_one_is_refused_with_a_reason() {
    let mut table = Table::new();
    table.click("height, lid off");
    assert_eq!(open_feature(&table).as_deref(), Some("height"));
    table.type_text("tall");
    table.key(Key::Enter);
    let card = table.harness.state().views.bench.card.clone().unwrap();
    assert!(card.refused.as_ref().is_some_and(|why| why.contains("'tall' is not a number of millimetres")), "{:?}", card.refused);
    for _ in 0..4 {
        table.harness.key_press(Key::Backspace);
    }
    table.settle();
    table.type_text("71 ± 2");
    table.key(Key::Enter);
    let seen = table.harness.state().doc.seen(&FeatureId::new("height")).map(|o| o.seen.clone());
    assert!(matches!(seen, Some(Seen::Measured(m)) if (m.value - 71.0).abs() < 1e-9 && (m.plus_minus - 2.0).abs() < 1e-9), "{seen:?}");
}

#[test]
fn a_form_is_found_by_name_in_any_order_with_a_typing_mistake() {
    let mut table = Table::new();
    table.command(Key::F);
    table.type_text("quoin sugr coverd");
    table.harness.get_by_label("covered sugar, Quoin");
    table.key(Key::Enter);
    assert_eq!(table.harness.state().screen, Screen::KeyBook, "Enter opens the first one's sheet");
}

#[test]
fn what_was_set_aside_says_why() {
    let mut table = Table::new();
    table.see("body outline=chamfered");
    table.see("handle=lug");
    let count = table.harness.state().doc.standing.set_aside;
    table.click(&format!("{count} set aside: why?"));
    table.harness.get_by_label(&format!("Set aside: {count}"));
    table.key(Key::Escape);
    assert!(!table.harness.state().views.bench.set_aside_open, "Escape closes the list");
}

#[test]
fn a_find_is_put_in_the_daybook_and_undone() {
    let mut table = Table::new();
    for seen in ["body outline=chamfered", "handle=lug", "lid outline=oval", "height=71±2"] {
        table.see(seen);
    }
    let hand = table.harness.state().doc.hand.clone();
    table.command(Key::S);
    let app = table.harness.state();
    assert!(app.doc.hand.is_blank(), "the board is clear for the next piece: {:?}", app.notice);
    let finds = |table: &Table| {
        let daybook = table.harness.state().daybook.lock().unwrap();
        daybook.as_ref().unwrap().count(&footring::daybook::Page::default()).unwrap()
    };
    assert_eq!(finds(&table), 1);
    table.command(Key::Z);
    assert_eq!(finds(&table), 0, "undo takes the find out");
    assert_eq!(table.harness.state().doc.hand.piece, hand.piece, "and the piece is in the hand again");
    table.command(Key::Y);
    assert_eq!(finds(&table), 1);
    table.command(Key::S);
    assert!(table.harness.state().notice.as_ref().is_some_and(|notice| notice.is_problem), "an empty board is not a find");
}

#[test]
fn a_worn_wording_typed_on_the_board_rules_forms_out() {
    let mut table = Table::new();
    let all = table.harness.state().doc.standing.fits;
    table.see("mark=MARROW… OV?N PR");
    let doc = &table.harness.state().doc;
    assert!(doc.standing.fits < all && doc.standing.fits > 0, "{} of {all} still fit", doc.standing.fits);
    let casserole = doc.standing.candidates.iter().find(|c| c.form == FormId::new(CASSEROLE)).unwrap();
    assert_eq!(casserole.place, Shelf::Fits, "the casserole is marked so");
    // Every mark of the Fenlight line lacks 'oven proof'; a form of it can only fit where the key records no mark, which is neutral.
    let fenlight = doc.standing.candidates.iter().filter(|c| c.place == Shelf::Fits && c.line == "Fenlight");
    for candidate in fenlight {
        let form = doc.key.form(&candidate.form).unwrap();
        assert!(form.marks.is_empty(), "{} has marks recorded ({:?}), and none of them says so", form.id, form.marks);
    }
}
