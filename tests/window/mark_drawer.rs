//! The Mark Drawer: marks found by what can be read of them, and made the answer on the Bench with one click.

use super::desk::{LAPTOP, Table};
use egui::{Key, Theme, Vec2, vec2};
use egui_kittest::SnapshotResults;
use egui_kittest::kittest::Queryable as _;
use footring::desk::command::Screen;
use footring::identify::Seen;
use footring::key;

/// A key of four invented marks, one of them never used, and two forms.
fn small_key() -> key::Key {
    let dir = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| std::fs::write(dir.path().join(name), text).unwrap();
    write("key.ron", "(format: 1, title: \"Marks\")");
    write("features.ron", "[(id: \"mark\", part: Body, view: Underneath, kind: Mark, slip: 0.15)]");
    write("lines.ron", "[(id: \"quoin\", name: \"Quoin\"), (id: \"fenlight\", name: \"Fenlight\")]");
    write(
        "marks.ron",
        "[
            (id: \"quoin-round\", name: \"Quoin, round\", layout: Round, lines: [\"quoin\"], applied: PrintedUnder,
             wording: [(text: \"MARROWBY POTTERY\", place: ArcAbove), (text: \"Quoin\"), (text: \"OVEN PROOF\", place: ArcBelow)],
             ink: (name: \"green\", lab: (38, -28, 16)), made: (from: 1951, to: 1958), how: InPaper, papers: [\"memo\"]),
            (id: \"fenlight-oval\", name: \"Fenlight, oval\", layout: Oval, lines: [\"fenlight\"], applied: PrintedOver,
             wording: [(text: \"FENLIGHT\", place: ArcAbove), (text: \"Marrowby\"), (text: \"MADE IN ENGLAND\", place: ArcBelow)],
             ink: (name: \"brown\", lab: (32, 16, 22)), made: (from: 1934)),
            (id: \"impressed\", name: \"impressed name\", layout: Words, applied: Impressed, wording: [(text: \"MARROWBY\"), (text: \"412\")]),
            (id: \"trial\", name: \"trial script\", layout: Script, applied: PrintedUnder, wording: [(text: \"Marrowby\")],
             ink: (name: \"blue\", lab: (35, 5, -38)), used: NeverUsed, how: InPaper, papers: [\"memo\"]),
        ]",
    );
    write("papers.ron", "[(id: \"memo\", title: \"Memo on stamps\", kind: Memo, date: Day(1951, 2, 5))]");
    write(
        "forms.ron",
        "[(id: \"sugar\", name: \"covered sugar\", line: \"quoin\", parts: [Body], shape: (body: [Corner(26, 0), Curve(44, 30), Corner(47, 64)]),
           marks: [(id: \"quoin-round\")]),
          (id: \"plate\", name: \"plate\", line: \"fenlight\", parts: [Body], shape: (body: [Corner(60, 0), Curve(90, 12), Corner(125, 24)]),
           marks: [(id: \"fenlight-oval\")])]",
    );
    let loaded = key::load(dir.path());
    assert_eq!(loaded.problems, Vec::new(), "the key of this test is sound");
    loaded.key
}

fn drawer(theme: Theme, size: Vec2) -> Table {
    let mut table = Table::on(small_key(), theme, size);
    table.command(Key::Num4);
    assert_eq!(table.harness.state().screen, Screen::MarkDrawer);
    table
}

const ROUND: &str = "Mark Quoin, round: “MARROWBY POTTERY / Quoin / OVEN PROOF”, 1951 to 1958, in a paper, Quoin";
const TRIAL: &str = "Mark trial script: “Marrowby”, years not known, in a paper, never in production, any line";

#[test]
fn every_mark_hangs_on_the_wall_and_says_what_it_is() {
    let table = drawer(Theme::Light, LAPTOP);
    assert!(table.harness.query_by_label("4 marks").is_some(), "all four are counted");
    assert!(table.harness.query_by_label(ROUND).is_some(), "a card says words, years, how known, line");
    assert!(table.harness.query_by_label(TRIAL).is_some(), "a mark that was never used says so");
}

#[test]
fn what_can_be_read_finds_the_mark_and_one_click_answers_with_it() {
    let mut table = drawer(Theme::Light, LAPTOP);
    table.harness.get_by_label("What can be read").focus();
    table.settle();
    table.type_text("FENL?GHT … ENG");
    assert!(table.harness.query_by_label("1 of 4 marks").is_some(), "only one mark reads like that");
    assert!(table.harness.query_by_label(ROUND).is_none(), "the others are gone");
    table.harness.get_by_label("Answer with Fenlight, oval").click();
    table.settle();
    assert_eq!(table.harness.state().screen, Screen::Bench, "the Bench comes back with the answer");
    let seen = table.harness.state().doc.seen(&"mark".into()).map(|observation| observation.seen.clone());
    assert_eq!(seen, Some(Seen::Values(vec!["fenlight-oval".into()])));
    table.command(Key::Z);
    assert!(table.harness.state().doc.hand.piece.is_blank(), "and it can be undone");
}

#[test]
fn the_words_alone_can_be_the_answer() {
    let mut table = drawer(Theme::Light, LAPTOP);
    table.harness.get_by_label("What can be read").focus();
    table.settle();
    table.type_text("MARROW… OV?N");
    table.harness.get_by_label("Answer with these words").click();
    table.settle();
    let seen = table.harness.state().doc.seen(&"mark".into()).map(|observation| observation.seen.clone());
    assert_eq!(seen, Some(Seen::Wording("MARROW… OV?N".into())));
}

#[test]
fn switches_narrow_and_the_keyboard_alone_opens_a_sheet() {
    let mut table = drawer(Theme::Light, LAPTOP);
    table.harness.get_by_label("script").click();
    table.settle();
    assert!(table.harness.query_by_label("1 of 4 marks").is_some(), "one mark is in script");
    table.harness.get_by_label(TRIAL).focus();
    table.settle();
    table.key(Key::Enter);
    assert!(table.harness.query_by_label("Drawn, but never in production as far as is known").is_some(), "its sheet warns");
    assert!(table.harness.query_by_label("Memo on stamps, 5 February 1951").is_some(), "its papers are named with their dates");
    table.harness.get_by_label("Close this mark").click();
    table.harness.get_by_label("Show all marks").click();
    table.settle();
    assert!(table.harness.query_by_label("4 marks").is_some(), "all are back");
}

#[test]
fn a_reading_that_fits_nothing_says_what_to_do() {
    let mut table = drawer(Theme::Light, LAPTOP);
    table.harness.get_by_label("What can be read").focus();
    table.settle();
    table.type_text("ZXKWQJ");
    let words = "No mark of this key reads like that. Take a letter or a switch away; a mark that is not here may be new.";
    assert!(table.harness.query_by_label(words).is_some(), "the empty wall explains itself");
}

#[test]
fn targets_are_large_and_nothing_hangs_out_of_a_small_window() {
    for size in [vec2(1024.0, 700.0), vec2(640.0, 400.0)] {
        let mut table = drawer(Theme::Light, size);
        table.harness.get_by_label(ROUND).click();
        table.settle();
        for label in ["Close this mark", "What can be read", "round", "impressed"] {
            let rect = table.harness.get_by_label(label).rect();
            assert!(rect.height() >= 32.0, "'{label}' is {} points high at {size}", rect.height());
            assert!(rect.left() >= 0.0 && rect.right() <= size.x && rect.bottom() <= size.y, "'{label}' hangs out at {size}: {rect}");
        }
    }
}

#[test]
fn pictures_in_both_themes() {
    let mut results = SnapshotResults::new();
    for (theme, name) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
        let mut table = Table::with(theme, LAPTOP);
        table.command(Key::Num4);
        table.harness.get_by_label("What can be read").focus();
        table.settle();
        table.type_text("MARROW… OV?N");
        table.harness.get_by_label_contains("Mark Quoin oval:").click();
        table.settle();
        table.harness.remove_cursor();
        table.settle();
        results.add(table.harness.try_snapshot(format!("mark_drawer_{name}")));
    }
}

fn type_into(table: &mut Table, field: &str, text: &str) {
    table.harness.get_by_label(field).focus();
    table.settle();
    table.type_text(text);
}

fn reads(table: &Table, text: &str) -> bool {
    table.harness.query_all_by_label_contains(text).next().is_some()
}

#[test]
fn a_new_mark_is_added_saved_on_disk_and_undone() {
    let mut table = Table::on_disk();
    table.command(Key::Num4);
    let marks = |table: &Table| table.harness.state().doc.key.marks.len();
    let before = marks(&table);
    table.click("Add a mark to the key");
    table.click("Save the mark");
    assert!(reads(&table, "The mark has no name yet"));
    type_into(&mut table, "Name of the mark", "Shop round");
    type_into(&mut table, "Line 1", "MADE FOR A SHOP");
    table.click("arc above");
    type_into(&mut table, "Made for (shops and firms, parted by commas)", "A shop, Another");
    type_into(&mut table, "first", "1952");
    table.command(Key::S);
    assert_eq!(marks(&table), before + 1);
    let mark = table.harness.state().doc.key.marks.last().unwrap().clone();
    assert_eq!(
        (mark.id.as_str(), mark.made.from, mark.customers.as_slice()),
        ("shop-round", Some(1952), &["A shop".to_owned(), "Another".to_owned()][..])
    );
    assert_eq!((mark.wording[0].text.as_str(), mark.wording[0].place), ("MADE FOR A SHOP", key::Place::ArcAbove));
    let dir = table.harness.state().doc.place.dir.clone().unwrap();
    let text = std::fs::read_to_string(dir.join("marks.ron")).unwrap();
    assert!(text.contains("shop-round") && text.contains("Another"), "saved");
    table.command(Key::Z);
    assert_eq!(marks(&table), before);
    assert!(!std::fs::read_to_string(dir.join("marks.ron")).unwrap().contains("shop-round"), "undone on disk too");
}

#[test]
fn a_mark_is_changed_step_by_step_and_its_date_code_tried() {
    let mut table = drawer(Theme::Light, LAPTOP);
    table.click(ROUND);
    table.click("Change this mark");
    table.harness.query_all_by_label("oval").last().unwrap().click();
    table.settle();
    type_into(
        &mut table,
        "Date codes that can be read, as in marks.ron",
        "[(name: \"year\", pattern: \"{year}\", parts: {\"year\": YearDigits(2)})]",
    );
    type_into(&mut table, "Try sample codes, parted by commas", "55, 99, hat");
    assert!(reads(&table, "55: in 1955"), "{:?}", table.harness);
    assert!(reads(&table, "hat: "), "what fits no code is said");
    // Leaving the field makes a step of what was typed; undo goes back through both.
    table.harness.get_by_label("Undo in this mark").click();
    table.settle();
    table.harness.get_by_label("Undo in this mark").click();
    table.settle();
    table.click("Save the mark");
    let mark = table.harness.state().doc.key.marks[0].clone();
    assert_eq!((mark.layout, mark.codes.len()), (key::Layout::Round, 0));
}

#[test]
fn what_a_mark_is_easily_taken_for_is_told_with_what_tells_it() {
    let mut table = Table::new();
    table.command(Key::Num4);
    let name = {
        let key = &table.harness.state().doc.key;
        let with_twin = key.marks.iter().find(|mark| !footring::marks::near_twins(key, mark).is_empty());
        with_twin.map(|mark| mark.name.clone()).unwrap()
    };
    let card = format!("Mark {name}: ");
    table.harness.query_all_by_label_contains(&card).next().unwrap().click();
    table.settle();
    assert!(reads(&table, "Easily taken for"));
}

#[test]
fn the_editor_in_both_themes() {
    let mut results = SnapshotResults::new();
    for (theme, size, name) in [(Theme::Light, LAPTOP, "mark_edit_light"), (Theme::Dark, vec2(1024.0, 700.0), "mark_edit_dark")] {
        let mut table = drawer(theme, size);
        table.click(ROUND);
        table.click("Change this mark");
        results.add(table.harness.try_snapshot(name));
    }
}

/// A picture of a mark, wider than high, red on the left.
pub(crate) fn picture_of_a_mark(folder: &std::path::Path) -> std::path::PathBuf {
    let file = folder.join("mark.png");
    let picture = image::RgbImage::from_fn(300, 200, |x, _| image::Rgb(if x < 150 { [220, 30, 30] } else { [240, 235, 220] }));
    picture.save(&file).unwrap();
    file
}

#[test]
fn a_picture_is_dropped_on_a_mark_turned_cropped_saved_and_undone() {
    let mut table = Table::on_disk();
    let camera = tempfile::tempdir().unwrap();
    table.command(Key::Num4);
    table.harness.get_by_label_contains("Mark seconds, scratched:").scroll_to_me();
    table.settle();
    table.harness.get_by_label_contains("Mark seconds, scratched:").click();
    table.settle();
    table.click("Change this mark");
    super::photographs::drop_file(&mut table, &picture_of_a_mark(camera.path()));
    assert!(table.harness.state().doc.hand.photographs.is_empty(), "it is of the mark, not of the piece");
    let press = |table: &mut Table, name: &str| {
        table.harness.get_by_label(name).scroll_to_me();
        table.settle();
        table.click(name);
    };
    press(&mut table, "Turn picture 2 to the right");
    press(&mut table, "Crop picture 2");
    table.harness.get_by_label("Crop handle, top").focus();
    table.settle();
    for _ in 0..3 {
        table.harness.key_press_modifiers(egui::Modifiers::SHIFT, Key::ArrowDown);
    }
    table.settle();
    press(&mut table, "Crop it");
    // One step back: all of it again, and forth.
    table.harness.get_by_label("Undo in this mark").click();
    table.settle();
    table.harness.get_by_label("Redo in this mark").click();
    table.settle();
    let caption = table.harness.get_by_label("Picture 2 shows");
    caption.scroll_to_me();
    table.settle();
    type_into(&mut table, "Picture 2 shows", "on a saucer");
    table.command(Key::S);
    let mark = |table: &Table| table.harness.state().doc.key.mark(&"seconds-scratch".into()).unwrap().clone();
    let saved = mark(&table).pictures[1].clone();
    assert_eq!(saved.caption, "on a saucer");
    assert!(
        saved.file.starts_with("mark-seconds-scratch-")
            && std::path::Path::new(&saved.file).extension().is_some_and(|ending| ending == "jpg"),
        "{}",
        saved.file
    );
    let dir = table.harness.state().doc.place.dir.clone().unwrap();
    let kept = image::open(dir.join("pictures").join(&saved.file)).unwrap().to_rgb8();
    // Turned to the right: what was on the left is above. Cropped from above: less of it is left.
    assert!(kept.width() == 200 && kept.height() < 300 && kept.height() > 150, "{:?}", kept.dimensions());
    assert!(kept.get_pixel(100, 2).0[1] < 90 && kept.get_pixel(100, kept.height() - 3).0[1] > 200);
    assert!(key::load(&dir).problems.is_empty(), "{:?}", key::load(&dir).problems);
    table.command(Key::Z);
    assert_eq!(mark(&table).pictures.len(), 1);
    assert!(!std::fs::read_to_string(dir.join("marks.ron")).unwrap().contains(&saved.file));
    table.command(Key::Y);
    assert_eq!(mark(&table).pictures.len(), 2, "and it is still there to be put back");
}

#[test]
fn what_is_no_picture_is_said_and_a_picture_is_taken_away() {
    let mut table = Table::on_disk();
    let camera = tempfile::tempdir().unwrap();
    table.command(Key::Num4);
    table.harness.get_by_label_contains("Mark Fenlight, script:").click();
    table.settle();
    table.click("Change this mark");
    let file = camera.path().join("note.jpg");
    std::fs::write(&file, "no picture").unwrap();
    super::photographs::drop_file(&mut table, &file);
    assert!(reads(&table, "note.jpg"), "what can't be opened is named");
    table.harness.get_by_label("Take picture 1 away").scroll_to_me();
    table.settle();
    table.click("Take picture 1 away");
    table.command(Key::S);
    let mark = table.harness.state().doc.key.mark(&"fenlight-script".into()).unwrap().clone();
    assert_eq!(mark.pictures.iter().map(|picture| picture.file.as_str()).collect::<Vec<_>>(), ["drawn-fenlight-script.png"]);
}

#[test]
fn marks_hang_as_they_are_pictured() {
    let mut results = SnapshotResults::new();
    let mut table = Table::new();
    table.command(Key::Num4);
    table.click("as pictured");
    results.add(table.harness.try_snapshot("mark_drawer_pictured"));
}

#[test]
fn how_a_line_wears_and_the_lines_round_a_mark_are_chosen_and_saved() {
    let mut table = drawer(Theme::Light, LAPTOP);
    table.click(ROUND);
    table.click("Change this mark");
    table.click("two lines round it");
    table.harness.query_all_by_label("wears first").last().unwrap().scroll_to_me();
    table.settle();
    table.harness.query_all_by_label("wears first").last().unwrap().click();
    table.settle();
    table.command(Key::S);
    let mark = &table.harness.state().doc.key.marks[0];
    assert_eq!((mark.rings, mark.wording[2].wears, mark.wording[0].wears), (2, key::Wears::First, key::Wears::AsUsual));
}
