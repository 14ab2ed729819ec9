//! The Daybook: the list of finds, searching it, taking one out and back, reopening one.

use super::desk::{LAPTOP, Table};
use egui::{Key, Theme, Vec2, vec2};
use egui_kittest::SnapshotResults;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use footring::daybook::{Daybook, Find, FindId, KeyName, Named, Standing};
use footring::identify::{Observation, Piece, Seen, Sure};
use footring::key::{FormId, Often, Record};
use footring::marks::dates::Said;

/// A find made by hand, as of that minute of a fixed day, of a form of the demo's Quoin line.
pub(super) fn find(minute: u32, (form, name): (&str, &str), box_label: &str, note: &str) -> Find {
    Find {
        id: FindId::new(),
        revision: 0,
        found_at: format!("2026-03-02T10:{minute:02}:00+00:00[+00:00]").parse().unwrap(),
        key: KeyName { title: "Marrowby house key".to_owned(), folder: "marrowby".to_owned() },
        named: Some(Named { form: FormId::from(form), form_name: name.to_owned(), line_name: "Quoin".to_owned() }),
        verdict: format!("A {name} of the Quoin line, by its lid"),
        probability: Some(0.93),
        standing: Standing::Settled,
        piece: Piece {
            observations: vec![
                Observation { feature: "plan".into(), seen: Seen::Values(vec!["oval".into()]), sure: Sure::Probably },
                Observation { feature: "no-such-feature".into(), seen: Seen::Values(vec!["oval".into()]), sure: Sure::Sure },
            ],
            ..Piece::default()
        },
        box_label: box_label.to_owned(),
        note: note.to_owned(),
        photographs: Vec::new(),
        record: footring::daybook::Record::default(),
    }
}

/// A window on its Daybook, which holds these finds.
pub(super) fn on_daybook(finds: &[Find]) -> Table {
    on_daybook_in(finds, Theme::Light, LAPTOP)
}

pub(super) fn on_daybook_in(finds: &[Find], theme: Theme, size: Vec2) -> Table {
    let mut table = Table::with(theme, size);
    let mut daybook = Daybook::open(&table.dir().join("daybook")).unwrap();
    for find in finds {
        daybook.put(find, &find.found_at).unwrap();
    }
    table.command(Key::Num5);
    table
}

const MUSTARD_POT: (&str, &str) = ("quoin-mustard-pot", "mustard pot");

pub(super) fn three() -> [Find; 3] {
    [
        find(1, ("quoin-covered-sugar", "covered sugar"), "9", "chipped"),
        find(2, ("quoin-casserole-one", "one-person casserole"), "14", "from the chapel kitchen"),
        find(3, MUSTARD_POT, "14", "Crème glaze"),
    ]
}

fn click(table: &mut Table, label: &str) {
    table.harness.get_by_label(label).click();
    table.settle();
}

/// The labels of the rows, from the top down.
pub(super) fn rows(table: &Table) -> Vec<String> {
    let mut rows: Vec<(f32, String)> = table
        .harness
        .query_all_by_label_contains("2 March 2026, 10:0")
        .filter(|node| node.accesskit_node().role() == egui::accesskit::Role::Button)
        .map(|node| (node.rect().top(), node.accesskit_node().label().unwrap_or_default()))
        .collect();
    rows.sort_by(|a, b| a.0.total_cmp(&b.0));
    rows.into_iter().map(|(_, label)| label).collect()
}

const SUGAR: &str = "Covered sugar, Quoin, box 9, 2 March 2026, 10:01";
const CASSEROLE: &str = "One-person casserole, Quoin, box 14, 2 March 2026, 10:02";
const MUSTARD: &str = "Mustard pot, Quoin, box 14, 2 March 2026, 10:03";

#[test]
fn an_empty_daybook_says_what_to_do() {
    let mut table = on_daybook(&[]);
    table.harness.get_by_label("Nothing in the daybook yet");
    click(&mut table, "To the Bench");
    assert_eq!(table.harness.state().screen, footring::desk::command::Screen::Bench);
}

#[test]
fn finds_stand_newest_first_and_are_searched_as_typed() {
    let mut table = on_daybook(&three());
    assert_eq!(rows(&table), [MUSTARD, CASSEROLE, SUGAR]);
    table.harness.get_by_label("Search the daybook").focus();
    table.settle();
    table.type_text("14 quoin");
    assert_eq!(rows(&table), [MUSTARD, CASSEROLE]);
    table.type_text(" creme");
    assert_eq!(rows(&table), [MUSTARD], "accents do not matter");
    table.harness.get_by_label("1 find");
    table.type_text(" teapot");
    assert_eq!(rows(&table), [] as [&str; 0]);
    table.harness.get_by_label("No find has all of these words");
    click(&mut table, "Clear the search");
    assert_eq!(rows(&table).len(), 3);
}

#[test]
fn a_find_is_taken_out_and_undo_puts_it_back() {
    let mut table = on_daybook(&three());
    click(&mut table, CASSEROLE);
    click(&mut table, "Take out");
    assert_eq!(rows(&table), [MUSTARD, SUGAR]);
    table.command(Key::Z);
    assert_eq!(rows(&table), [MUSTARD, CASSEROLE, SUGAR]);
    table.command(Key::Y);
    assert_eq!(rows(&table), [MUSTARD, SUGAR]);
}

#[test]
fn a_find_is_reopened_by_keyboard_and_goes_back_to_its_own_box() {
    let finds = three();
    let mut table = on_daybook(&finds);
    table.harness.state_mut().doc.box_label = "77".to_owned();
    table.harness.get_by_label(SUGAR).focus();
    table.settle();
    table.key(Key::Enter);
    assert_eq!(table.harness.get_by_label("Note of the find").accesskit_node().value().as_deref(), Some("chipped"));
    table.harness.get_by_label("No such feature (not in this key)");
    table.key(Key::Enter);
    let state = table.harness.state();
    assert_eq!(state.screen, footring::desk::command::Screen::Bench);
    assert_eq!((state.doc.hand.note.as_str(), &state.doc.hand.piece), ("chipped", &finds[0].piece));
    assert_eq!(state.doc.hand.reopened, Some(finds[0].id));
    table.command(Key::S);
    let kept = Daybook::open(&table.dir().join("daybook")).unwrap().find(finds[0].id).unwrap().unwrap();
    assert_eq!((kept.revision, kept.box_label.as_str(), &kept.found_at), (2, "9", &finds[0].found_at));
}

#[test]
fn the_daybook_looks_as_it_should() {
    let mut results = SnapshotResults::new();
    for (theme, name) in [(Theme::Light, "daybook_light"), (Theme::Dark, "daybook_dark")] {
        let mut table = on_daybook_in(&three(), theme, LAPTOP);
        click(&mut table, CASSEROLE);
        table.harness.remove_cursor();
        table.settle();
        results.add(table.harness.try_snapshot(name));
    }
}

#[test]
fn nothing_lies_outside_a_small_window() {
    for size in [vec2(1024.0, 700.0), vec2(640.0, 480.0)] {
        let mut table = on_daybook_in(&three(), Theme::Light, size);
        click(&mut table, CASSEROLE);
        for label in ["Reopen on the Bench", "Take out", "Close the find", "Search the daybook"] {
            let rect = table.harness.get_by_label(label).rect();
            assert!(rect.height() >= 32.0, "{label} is {} points high", rect.height());
            assert!(table.harness.ctx.content_rect().contains_rect(rect), "{label} lies outside {size}: {rect:?}");
        }
    }
}

/// A settled find of a covered sugar whose lid is seen so, named by the key that is only in memory.
fn sugar(minute: u32, lid: &str) -> Find {
    let mut find = find(minute, ("quoin-covered-sugar", "covered sugar"), "9", "");
    find.key.folder = String::new();
    find.piece.observations = vec![Observation { feature: "lid-outline".into(), seen: Seen::Values(vec![lid.into()]), sure: Sure::Sure }];
    find
}

fn lid_outline(table: &Table) -> Record {
    let form = table.harness.state().doc.form(&FormId::from("quoin-covered-sugar")).unwrap();
    form.features.get("lid-outline").unwrap().clone()
}

fn counts(values: &[(&str, u32)]) -> Record {
    Record::Values(values.iter().map(|&(value, n)| (value.into(), Often::Times(n))).collect())
}

#[test]
fn finds_are_counted_into_the_key_as_one_step_and_only_once() {
    let mut table = on_daybook(&[sugar(1, "round"), sugar(2, "oval"), find(3, MUSTARD_POT, "14", "")]);
    let before = lid_outline(&table);
    click(&mut table, "Count into the key");
    table.harness.get_by_label("2 finds counted; 1 find left out: named by another key (1)");
    table.harness.get_by_label("Covered sugar, Quoin: lid outline: always round, would be round 6 times, oval once, from 2 pieces");
    click(&mut table, "Take 1 change into the key");
    assert_eq!(lid_outline(&table), counts(&[("round", 6), ("oval", 1)]));
    click(&mut table, "Count into the key");
    table.harness.get_by_label("They change nothing: what they show is in the key.");
    table.key(Key::Escape);
    table.command(Key::Z);
    assert_eq!(lid_outline(&table), before, "one step back");
    click(&mut table, "Count into the key");
    table.harness.get_by_label_contains("would be round 6 times, oval once");
}

#[test]
fn a_proposal_can_be_declined_for_good() {
    let mut table = on_daybook(&[sugar(1, "oval")]);
    let before = lid_outline(&table);
    click(&mut table, "Count into the key");
    click(&mut table, "Covered sugar, Quoin: lid outline: always round, would be round 5 times, oval once, from 1 piece");
    click(&mut table, "Take none, and do not ask again");
    assert_eq!(lid_outline(&table), before);
    click(&mut table, "Count into the key");
    table.harness.get_by_label("0 finds counted; 1 find left out: counted before (1)");
}

#[test]
fn what_the_finds_say_is_drawn() {
    let mut results = SnapshotResults::new();
    for (theme, shade) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
        let mut finds = vec![sugar(1, "round"), sugar(2, "oval")];
        let measured = Seen::Measured(footring::identify::Measured { value: 79.0, plus_minus: 1.0 });
        finds[0].piece.observations.push(Observation { feature: "height".into(), seen: measured, sure: Sure::Sure });
        let glaze = Seen::Values(vec!["sage".into()]);
        finds[1].piece.observations.push(Observation { feature: "glaze".into(), seen: glaze, sure: Sure::Sure });
        let mut table = on_daybook_in(&finds, theme, LAPTOP);
        click(&mut table, "Count into the key");
        table.harness.remove_cursor();
        table.settle();
        results.add(table.harness.try_snapshot(format!("daybook_learn_{shade}")));
    }
}

/// Finds of three years, one of them with a mark, one with nothing that dates it.
fn dated() -> Vec<Find> {
    let mut finds = three().to_vec();
    for (minute, year) in [(4, "1952"), (5, "1957"), (6, "1960")] {
        let mut one = find(minute, MUSTARD_POT, "9", "");
        one.piece.beside.dates = vec![Said::Words("oven proof".to_owned()), Said::Sold(year.to_owned())];
        finds.push(one);
    }
    let mark = footring::key::builtin::demo().key.marks.into_iter().find(|mark| mark.made.from.is_some()).unwrap();
    let seen = Seen::Values(vec![mark.id.as_str().into()]);
    finds[0].piece.see(Observation { feature: "mark".into(), seen, sure: Sure::Sure });
    finds
}

#[test]
fn years_show_when_the_finds_were_made() {
    let mut table = on_daybook(&dated());
    click(&mut table, "Years");
    let read = |table: &Table, text: &str| table.harness.query_all_by_label_contains(text).next().is_some();
    assert!(read(&table, "Mustard pot, Quoin: 3 dated finds, 1 not dated; the earliest by 1952, the latest not before 1930"));
    click(&mut table, "By mark");
    assert!(read(&table, "1 dated find"));
    click(&mut table, "Back to the finds");
    assert!(read(&table, "Search the daybook"));
}

#[test]
fn years_without_a_dated_find_say_what_to_do() {
    let mut table = on_daybook(&three());
    click(&mut table, "Years");
    table.harness.get_by_label("No find is dated yet: answer its mark, or say on the Bench what dates it (Ctrl+D).");
}

#[test]
fn the_years_look_as_they_should() {
    let mut results = SnapshotResults::new();
    for (theme, size, name) in [(Theme::Light, LAPTOP, "years_light"), (Theme::Dark, vec2(640.0, 400.0), "years_twice")] {
        let mut table = on_daybook_in(&dated(), theme, size);
        click(&mut table, "Years");
        results.add(table.harness.try_snapshot(name));
    }
}

/// Finds of one form in two glazes, one of them twice, by the demo key.
fn glazed() -> Vec<Find> {
    let key = footring::key::builtin::demo().key;
    let form = key.forms.iter().find(|form| form.id.as_str() == "quoin-covered-sugar").unwrap();
    let feature = key.features.iter().find(|f| matches!(f.kind, footring::key::FeatureKind::Glaze)).unwrap();
    let ids: Vec<String> = form.glazes.iter().map(|held| held.id.to_string()).collect();
    (0..3_u32)
        .map(|n| {
            let mut one = find(n + 10, ("quoin-covered-sugar", "covered sugar"), "9", "");
            one.key = KeyName { title: "Marrowby house key".to_owned(), folder: String::new() };
            let glaze = &ids[usize::from(n == 2)];
            one.piece.see(Observation { feature: feature.id.clone(), seen: Seen::Values(vec![glaze.as_str().into()]), sure: Sure::Sure });
            one
        })
        .collect()
}

#[test]
fn the_census_counts_finds_beside_papers_and_claims() {
    let mut table = on_daybook(&glazed());
    click(&mut table, "Census");
    let read = |table: &Table, text: &str| table.harness.query_all_by_label_contains(text).next().is_some();
    assert!(read(&table, "3 settled finds of 2 pairs; "), "{:?}", table.harness);
    let only = |table: &Table, text: &str| table.harness.query_all_by_label_contains(text).count();
    // One state alone leaves the rows that have it.
    assert!(only(&table, ": 0 finds, listed but never seen") > 0);
    let chip = {
        let key = &table.harness.state().doc.key;
        let glaze = key.form(&FormId::from("quoin-covered-sugar")).unwrap().glazes[0].id.clone();
        let glaze = key.glazes.iter().find(|g| g.id == glaze).unwrap().name.clone();
        format!("covered sugar, Quoin, {glaze}: 2 finds")
    };
    let state = ["Seen and listed", "Seen but never listed"].into_iter().find(|state| read(&table, state)).unwrap();
    table.harness.query_all_by_label_contains(state).next().unwrap().click();
    table.settle();
    assert_eq!(only(&table, ": 0 finds, listed but never seen"), 0);
    let cell = table.harness.query_all_by_label_contains(&chip).next();
    cell.unwrap().click();
    table.settle();
    assert!(read(&table, "settled finds of this form; of all pieces of it 95 in 100 times"), "{:?}", table.harness);
    click(&mut table, "Back to the finds");
    assert!(read(&table, "Search the daybook"));
}

#[test]
fn a_census_without_finds_shows_what_papers_and_the_key_say() {
    let mut table = on_daybook(&[]);
    click(&mut table, "Census");
    assert!(table.harness.query_all_by_label_contains("No settled find counts here yet.").next().is_some());
    assert!(table.harness.query_all_by_label_contains("listed but never seen").next().is_some());
    click(&mut table, "Decorations");
}

#[test]
fn the_census_looks_as_it_should() {
    let mut results = SnapshotResults::new();
    for (theme, size, name) in [
        (Theme::Light, LAPTOP, "census_light"),
        (Theme::Dark, vec2(1024.0, 700.0), "census_dark"),
        (Theme::Light, vec2(1920.0, 1080.0), "census_wide"),
        // 1280 × 800 pixels at 200 %.
        (Theme::Dark, vec2(640.0, 400.0), "census_twice"),
    ] {
        let mut table = on_daybook_in(&glazed(), theme, size);
        click(&mut table, "Census");
        results.add(table.harness.try_snapshot(name));
    }
}
