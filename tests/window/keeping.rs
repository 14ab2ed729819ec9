//! The daybook kept and joined in the window; measures on a find's sheet; printing what is listed.

use super::daybook::{on_daybook, on_daybook_in, three};
use super::desk::{LAPTOP, Table};
use egui::{Key, Theme, vec2};
use egui_kittest::SnapshotResults;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use footring::daybook::{Daybook, Find, Question};
use footring::desk::command::Command;
use footring::desk::daybook::keeping::Wish as Keep;
use footring::desk::daybook::pages::Wish;
use footring::identify::Seen;
use std::path::{Path, PathBuf};

fn book(table: &Table) -> Daybook {
    Daybook::open(&table.dir().join("daybook")).unwrap()
}

fn finds(daybook: &Daybook) -> Vec<Find> {
    let ids = daybook.ids(&Question::default()).unwrap();
    daybook.several(&ids).unwrap().into_iter().map(Result::unwrap).collect()
}

fn says(table: &Table, text: &str) -> bool {
    table.harness.query_all_by_label_contains(text).next().is_some()
}

fn keep(table: &mut Table, wish: Keep) {
    table.harness.state_mut().ask(Command::Page(Wish::Keeping(wish)));
    table.settle();
}

/// Another member's daybook: ours as it was, gone on with, with a find of its own and one that both changed.
fn theirs(table: &Table) -> PathBuf {
    let folder = table.dir().join("theirs");
    let backup = table.dir().join("as-it-was.zip");
    book(table).back_up(&backup, &footring::photo::Progress::new()).unwrap();
    footring::daybook::backup::bring_back(&backup, &folder, &footring::photo::Progress::new()).unwrap();
    let mut daybook = Daybook::open(&folder).unwrap();
    let now = "2026-03-02T11:30:00+00:00[+00:00]".parse().unwrap();
    let new = super::daybook::find(9, ("quoin-mustard-pot", "mustard pot"), "their box", "");
    daybook.put(&new, &now).unwrap();
    let mut changed = finds(&daybook).into_iter().find(|find| find.note == "chipped").unwrap();
    "a chip at the foot, filled".clone_into(&mut changed.note);
    "21".clone_into(&mut changed.box_label);
    daybook.change(&changed, &now).unwrap();
    folder
}

/// We change the same find otherwise.
fn change_ours(table: &Table) {
    let mut daybook = book(table);
    let mut changed = finds(&daybook).into_iter().find(|find| find.note == "chipped").unwrap();
    "chipped, given by the chapel".clone_into(&mut changed.note);
    daybook.change(&changed, &"2026-03-02T11:00:00+00:00[+00:00]".parse().unwrap()).unwrap();
}

fn looked_at_theirs(table: &mut Table) -> PathBuf {
    let folder = theirs(table);
    change_ours(table);
    table.click("Keep and join");
    keep(table, Keep::LookAtOther(folder.clone()));
    folder
}

#[test]
fn a_daybook_is_backed_up_looked_at_brought_back_and_left_again() {
    let mut table = on_daybook(&three());
    table.click("Keep and join");
    let file = table.dir().join("backup.zip");
    keep(&mut table, Keep::BackUp(file.clone()));
    assert!(says(&table, "3 finds and 0 photographs are in ") && file.is_file());
    keep(&mut table, Keep::BackUp(file.clone()));
    assert!(says(&table, "there is a file of that name already"));
    change_ours(&table);
    keep(&mut table, Keep::LookAt(file.clone()));
    assert!(says(&table, "This backup is sound") && says(&table, "3 finds, 0 photographs: "));
    table.click("Bring it back");
    assert!(says(&table, "3 finds stand in the daybook now. What was there before is kept: finds.before-bringing-back-"));
    assert!(finds(&book(&table)).iter().any(|find| find.note == "chipped"), "as it was backed up");
    let back: Vec<String> = table
        .harness
        .query_all_by_label_contains("Go back to before bringing back")
        .map(|node| node.accesskit_node().label().unwrap())
        .collect();
    assert_eq!(back.len(), 1);
    table.click(&back[0]);
    assert!(finds(&book(&table)).iter().any(|find| find.note == "chipped, given by the chapel"), "as it was before that");
    // What is no backup is said to be none, and nothing changes.
    std::fs::write(&file, "no backup").unwrap();
    keep(&mut table, Keep::LookAt(file));
    assert!(says(&table, "this file is no backup of a daybook"));
    table.click("Back to the finds");
    assert!(says(&table, "3 finds"));
}

#[test]
fn another_daybook_is_taken_in_and_conflicts_are_decided_by_keyboard() {
    let mut table = on_daybook(&three());
    looked_at_theirs(&mut table);
    assert!(says(&table, "1 find new, 0 gone on with, 2 known already"));
    assert!(says(&table, "1 find was changed by both of you"));
    assert!(says(&table, "a chip at the foot, filled") && says(&table, "chipped, given by the chapel"), "side by side");
    assert!(says(&table, "Take it in, 1 undecided"));
    assert_eq!(finds(&book(&table)).len(), 3, "looking changes nothing");
    table.harness.get_by_label("Find 1 as theirs").focus();
    table.settle();
    table.key(Key::Space);
    table.click("Take it in");
    assert!(says(&table, "1 find new, 0 gone on with, 2 known already. What was there before is kept: finds.before-joining-"));
    let now = finds(&book(&table));
    assert_eq!(now.len(), 4);
    let taken = now.iter().find(|find| find.note == "a chip at the foot, filled").unwrap();
    assert_eq!(taken.box_label, "21");
    let history = book(&table).history(taken.id).unwrap();
    assert!(history.iter().any(|change| change.find.note == "chipped, given by the chapel"), "mine stays in its history");
    table.click("Back to the finds");
    assert!(says(&table, "4 finds"));
}

#[test]
fn joining_looks_as_it_should() {
    let mut results = SnapshotResults::new();
    for (theme, size, name) in [(Theme::Light, LAPTOP, "joining_light"), (Theme::Dark, vec2(1024.0, 700.0), "joining_dark")] {
        let mut table = on_daybook_in(&three(), theme, size);
        looked_at_theirs(&mut table);
        table.click("Find 1 as theirs");
        table.harness.remove_cursor();
        table.settle();
        results.add(table.harness.try_snapshot(name));
    }
}

fn of_casserole(table: &Table) -> Find {
    finds(&book(table)).into_iter().find(|find| find.box_label == "14" && find.note.starts_with("from")).unwrap()
}

fn typed_into(table: &mut Table, field: &str, text: &str) {
    table.harness.get_by_label(field).scroll_to_me();
    table.settle();
    table.harness.get_by_label(field).focus();
    table.settle();
    table.command(Key::A);
    table.type_text(text);
    assert!(table.harness.ctx.text_edit_focused(), "the keyboard is in {field}");
}

#[test]
fn measures_are_added_changed_and_taken_away_on_the_sheet_with_their_give() {
    let mut table = on_daybook(&three());
    table.click("One-person casserole, Quoin, box 14, 2 March 2026, 10:02");
    typed_into(&mut table, "What is measured", "spout");
    typed_into(&mut table, "The measure with its ±", "heavy");
    assert!(says(&table, "'heavy' is not a measure"));
    typed_into(&mut table, "The measure with its ±", "41 ± 1 mm");
    table.key(Key::Enter);
    let find = of_casserole(&table);
    assert_eq!((find.record.measures[0].what.as_str(), find.record.measures[0].value.as_str()), ("spout", "41 ± 1 mm"));
    // Called like a measured feature of the key, it becomes what was seen of it.
    let name = table.harness.state().doc.key.feature_name(&"height".into());
    let (field, shown) = (format!("{name} of the find"), name.to_uppercase());
    typed_into(&mut table, "What is measured", &shown);
    typed_into(&mut table, "The measure with its ±", "92 ± 1.5");
    table.key(Key::Enter);
    let height = |table: &Table| {
        let find = of_casserole(table);
        let seen = find.piece.observations.into_iter().find(|seen| seen.feature.as_str() == "height")?;
        if let Seen::Measured(measured) = seen.seen { Some((measured.value, measured.plus_minus)) } else { None }
    };
    assert_eq!(height(&table), Some((92.0, 1.5)));
    typed_into(&mut table, &field, "93±0.5");
    table.key(Key::Enter);
    assert_eq!(height(&table), Some((93.0, 0.5)));
    typed_into(&mut table, &field, "tall");
    assert!(says(&table, "'tall' is not a number of millimetres"));
    table.key(Key::Enter);
    assert_eq!(height(&table), Some((93.0, 0.5)), "what is no measure changes nothing");
    table.command(Key::Z);
    assert_eq!(height(&table), Some((92.0, 1.5)), "one step back");
    table.harness.get_by_label("Take spout away").scroll_to_me();
    table.settle();
    table.click("Take spout away");
    assert_eq!(of_casserole(&table).record.measures, []);
    table.command(Key::Z);
    assert_eq!(of_casserole(&table).record.measures.len(), 1);
}

#[test]
fn condition_narrows_the_list() {
    let mut all = three();
    all[0].piece.condition.looked_over = true;
    let mut table = on_daybook(&all);
    table.click("Condition …");
    table.click("As made · 1");
    assert_eq!(super::daybook::rows(&table).len(), 1);
    table.click("Condition: as made");
    table.click("Any condition");
    assert_eq!(super::daybook::rows(&table).len(), 3);
}

/// What a program of poppler (which `tools/test` installs) prints.
fn poppler(program: &str, words: &[&str], file: &Path) -> Vec<u8> {
    let output = std::process::Command::new(program).args(words).arg(file).arg("-").output().unwrap();
    assert!(output.status.success(), "{program}: {}", String::from_utf8_lossy(&output.stderr));
    output.stdout
}

#[test]
fn what_is_listed_is_printed_and_its_text_and_picture_come_back() {
    let mut table = on_daybook(&three());
    table.harness.state_mut().views.printing.on_day("2026-11-26".parse().unwrap());
    table.click("Box …");
    table.click("14 · 2");
    table.click("Print …");
    assert!(says(&table, "Lot list, page 1 of 1 page"));
    let file = table.dir().join("lot.pdf");
    table.harness.state_mut().views.printing.save_to(file.clone());
    table.harness.step();
    table.settle();
    let text = String::from_utf8(poppler("pdftotext", &["-layout"], &file)).unwrap();
    assert!(text.contains("Box 14") && text.contains("One-person casserole, Quoin") && text.contains("from the chapel kitchen"), "{text}");
    assert!(!text.contains("Covered sugar"), "it lies in another box");
    let picture = std::process::Command::new("pdftoppm").args(["-png", "-r", "60"]).arg(&file).output().unwrap();
    let picture = image::load_from_memory(&picture.stdout).unwrap().to_rgb8();
    let dark = picture.pixels().filter(|pixel| pixel.0.iter().all(|c| *c < 120)).count();
    assert!(dark > 200 && picture.height() > picture.width(), "{dark} dark pixels of {} × {}", picture.width(), picture.height());
    table.key(Key::Escape);
    // Labels and the census are a press away; so are the finds that a search leaves.
    table.click("Show all");
    table.harness.get_by_label("Search the daybook").focus();
    table.settle();
    table.type_text("kitchen");
    table.click("Print …");
    assert!(says(&table, "List of finds, page 1 of 1 page"));
    table.click("Labels");
    assert_eq!(table.harness.state().views.printing.pages(), Some(1));
    // The Daybook below has a button of that name too.
    table.harness.query_all_by_label("Census").last().unwrap().click();
    table.settle();
    assert!(says(&table, "Census, page 1 of "));
}

#[test]
fn a_service_prints_for_paper_and_for_a_phone() {
    let mut table = with_service(Theme::Light, LAPTOP);
    table.click("Print …");
    assert!(says(&table, "Wants of a service, page 1 of 1 page"));
    table.click("Phone");
    assert!(table.harness.state().views.printing.pages().is_some());
    let file = table.dir().join("wants.pdf");
    table.harness.state_mut().views.printing.save_to(file.clone());
    table.harness.step();
    table.settle();
    let text = String::from_utf8(poppler("pdftotext", &["-layout"], &file)).unwrap();
    assert!(text.contains("Wanted for Service 1") && text.contains("6 of 6 missing"), "{text}");
}

fn with_service(theme: Theme, size: egui::Vec2) -> Table {
    let mut table = on_daybook_in(&three(), theme, size);
    table.click("Services and wants");
    table.click("New service");
    for form in ["covered sugar quoin", "mustard pot quoin"] {
        table.harness.get_by_label("Add a form").focus();
        table.settle();
        table.type_text(form);
        let any = table.harness.query_all_by_label("any glaze").next().unwrap();
        any.click();
        table.settle();
    }
    table
}

#[test]
fn services_and_prices_look_as_they_should() {
    let mut results = SnapshotResults::new();
    let mut table = with_service(Theme::Light, LAPTOP);
    table.harness.remove_cursor();
    table.settle();
    results.add(table.harness.try_snapshot("services_light"));
    let mut table = super::papers::papers(Theme::Dark, vec2(1024.0, 700.0));
    table.click("Prices over the years");
    table.harness.remove_cursor();
    table.settle();
    results.add(table.harness.try_snapshot("prices_dark"));
}
