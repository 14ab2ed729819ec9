//! Measuring from the side and reading a colour in the window.

use super::desk::{LAPTOP, Table};
use super::photographs::drop_file;
use super::staged::Scene;
use egui::{Key, Theme, Vec2, vec2};
use egui_kittest::SnapshotResults;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use footring::desk::command::Command;
use footring::identify::Seen;
use std::path::Path;

/// A window in which that photograph is measured on.
fn measuring(file: &Path, theme: Theme, size: Vec2) -> Table {
    let mut table = Table::with(theme, size);
    drop_file(&mut table, file);
    let photograph = table.harness.state().doc.hand.photographs[0].clone();
    table.harness.state_mut().ask(Command::MeasureOn(Box::new(photograph)));
    table.settle();
    table
}

fn reads(table: &Table, text: &str) -> bool {
    table.harness.query_all_by_label_contains(text).next().is_some()
}

fn demo(file: &str) -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/photographs").join(file)
}

/// A mug that is seen well.
const MUG: &str = "side-08-quoin-mug-gingham.jpg";

#[test]
fn from_the_side_height_widths_and_shape_are_used_in_one_step() {
    let mut table = measuring(&demo(MUG), Theme::Light, LAPTOP);
    table.click("From the side");
    assert!(reads(&table, "To the brim"), "measured");
    assert!(reads(&table, "Shape: measured on a photograph, ± "));
    // The picture does not tell an open top from a flat closed one: before it is said, neither rim nor capacity nor which height it is is answered.
    assert!(reads(&table, "What is on top? The picture does not tell."));
    assert!(reads(&table, "until it is said that the top is open to its edge"));
    assert!(!reads(&table, "Height, lid off: ") && !reads(&table, " imperial pints"));
    table.click("Lid on");
    assert!(reads(&table, "said to be closed or narrow") && !reads(&table, "Height, lid off: "));
    table.command(Key::Z);
    assert!(reads(&table, "What is on top? The picture does not tell."), "a step that undo takes back");
    table.click("Open to its edge");
    assert!(reads(&table, " imperial pints"), "{:?}", table.harness);
    assert!(reads(&table, "Height, lid off: "), "{:?}", table.harness);
    table.click("Use on the Bench");
    let piece = table.harness.state().doc.hand.piece.clone();
    assert!(piece.beside.shape.is_some());
    assert!(matches!(piece.seen(&"height".into()).map(|o| &o.seen), Some(Seen::Measured(_))));
    assert!(reads(&table, "shape: measured on a photograph"), "the slip shows it");
    table.command(Key::Z);
    assert!(table.harness.state().doc.hand.piece.is_blank(), "one step takes all of it back");
    table.harness.key_press_modifiers(egui::Modifiers::COMMAND, Key::Y);
    table.settle();
    table.click("Take back shape");
    assert!(table.harness.state().doc.hand.piece.beside.shape.is_none());
}

#[test]
fn a_wall_that_cannot_be_is_said() {
    let mut table = measuring(&demo(MUG), Theme::Light, LAPTOP);
    table.click("From the side");
    table.harness.get_by_label("Wall in mm").focus();
    table.settle();
    table.type_text("900");
    assert!(reads(&table, "0.5 to 50 mm"));
}

fn scene_file(dir: &Path) -> std::path::PathBuf {
    let file = dir.join("lid.png");
    Scene::oval_on_linen().picture().save(&file).unwrap();
    file
}

/// Drags across the picture from one of its pixels to another.
fn drag(table: &mut Table, from: (f64, f64), to: (f64, f64)) {
    let scene = Scene::oval_on_linen();
    let canvas = table.harness.get_by_label("Photograph to measure").rect();
    let scale = ((canvas.width() - 8.0) / scene.width as f32).min((canvas.height() - 8.0) / scene.height as f32);
    let at = |(x, y): (f64, f64)| {
        let from_middle = vec2(x as f32 - scene.width as f32 / 2.0, y as f32 - scene.height as f32 / 2.0);
        canvas.center() + from_middle * scale
    };
    let (from, to) = (at(from), at(to));
    let button = |pressed, pos| egui::Event::PointerButton {
        pos,
        button: egui::PointerButton::Primary,
        pressed,
        modifiers: egui::Modifiers::default(),
    };
    table.harness.hover_at(from);
    table.settle();
    table.harness.event(button(true, from));
    table.settle();
    for step in 1..=4_u8 {
        table.harness.hover_at(from + (to - from) * (f32::from(step) / 4.0));
        table.settle();
    }
    table.harness.event(button(false, to));
    table.settle();
}

#[test]
fn a_colour_is_read_beside_a_white_and_answers_the_glaze() {
    let dir = tempfile::tempdir().unwrap();
    let mut table = measuring(&scene_file(dir.path()), Theme::Light, LAPTOP);
    table.click("A colour");
    assert!(reads(&table, "The white border of a card, a grey patch or plain paper, lit as the piece is"));
    let scene = Scene::oval_on_linen();
    let near = |x: f64, y: f64, by: f64| {
        let p = scene.pixel(x, y);
        ((p.0 - by, p.1 - by), (p.0 + by, p.1 + by))
    };
    table.click("Drag across the white");
    let (a, b) = near(-40.3, 0.0, 4.6);
    drag(&mut table, a, b);
    table.click("Drag across the colour");
    let (a, b) = near(128.0, 2.0, 40.0);
    drag(&mut table, a, b);
    assert!(reads(&table, "Munsell "), "{:?}", table.harness);
    assert!(reads(&table, "A photograph under a lamp is a hint, not a measurement"));
    table.click("Use on the Bench");
    let doc = &table.harness.state().doc;
    let colour = doc.hand.piece.observations.iter().find(|o| matches!(o.seen, Seen::Colour { .. }));
    assert!(colour.is_some(), "{:?}", doc.hand.piece);
}

#[test]
fn the_areas_can_be_set_with_the_keyboard() {
    let dir = tempfile::tempdir().unwrap();
    let mut table = measuring(&scene_file(dir.path()), Theme::Light, LAPTOP);
    table.click("A colour");
    table.click("Set the white by its corners");
    table.click("Set the colour by its corners");
    table.harness.get_by_label("Corner 1 of the white's area").focus();
    table.settle();
    table.harness.key_press(Key::ArrowLeft);
    table.settle();
    let steps = |table: &mut Table| {
        let mut steps = 0;
        let can = |table: &Table| {
            table.harness.query_all_by_label("Undo").any(|node| node.rect().center().y > 34.0 && !node.accesskit_node().is_disabled())
        };
        while can(table) && steps < 9 {
            table.command(Key::Z);
            steps += 1;
        }
        steps
    };
    assert_eq!(steps(&mut table), 4, "the kind, two areas and a corner, each a step");
}

#[test]
fn side_and_colour_in_both_themes() {
    let mut results = SnapshotResults::new();
    let dir = tempfile::tempdir().unwrap();
    let file = scene_file(dir.path());
    for (theme, size, name) in [(Theme::Light, LAPTOP, "measuring_side_light"), (Theme::Dark, vec2(1024.0, 700.0), "measuring_side_dark")] {
        let mut table = measuring(&demo(MUG), theme, size);
        table.click("From the side");
        if name.ends_with("light") {
            table.click("Open to its edge");
        }
        results.add(table.harness.try_snapshot(name));
    }
    for (theme, size, name) in
        [(Theme::Light, LAPTOP, "measuring_colour_light"), (Theme::Dark, vec2(640.0, 400.0), "measuring_colour_twice")]
    {
        let mut table = measuring(&file, theme, size);
        table.click("A colour");
        let scene = Scene::oval_on_linen();
        // At 200 % the second area lies further down, beyond what is in sight.
        let areas = [("white", (-40.3, 0.0), 4.6), ("colour", (128.0, 2.0), 40.0)];
        for (what, (x, y), by) in areas.into_iter().take(if name.ends_with("twice") { 1 } else { 2 }) {
            table.click(&format!("Drag across the {what}"));
            let p = scene.pixel(x, y);
            drag(&mut table, (p.0 - by, p.1 - by), (p.0 + by, p.1 + by));
        }
        results.add(table.harness.try_snapshot(name));
    }
}

#[test]
fn the_lens_is_remembered_from_one_photograph_to_the_next() {
    let by_alone = "By this picture alone";
    let mut table = measuring(&demo("lid-11-fenlight-biscuit-barrel-gingham.jpg"), Theme::Dark, LAPTOP);
    assert!(reads(&table, "workshop phone (25 mm): its lens is told by what is straight in this photograph") && !reads(&table, by_alone));
    let file = table.harness.state().data_dir.join("cameras.ron");
    let kept = std::fs::read_to_string(&file).unwrap();
    assert!(kept.contains("workshop phone"), "{kept}");

    let another = |table: &mut Table, file: &str| {
        table.click("Close the measuring view");
        drop_file(table, &demo(file));
        let photograph = table.harness.state().doc.hand.photographs.last().unwrap().clone();
        table.harness.state_mut().ask(Command::MeasureOn(Box::new(photograph)));
        table.settle();
    };
    another(&mut table, "lid-19-stannard-jar-small-towel.jpg");
    assert!(reads(&table, "workshop phone (25 mm): its lens is known by 1 photograph"), "{:?}", table.harness);
    let axis = |table: &Table| {
        let labels = table.harness.query_all_by_label_contains(" ± ");
        labels.map(|node| node.accesskit_node().label().unwrap_or_default()).find(|label| label.ends_with(" mm")).unwrap()
    };
    let remembered = axis(&table);
    table.click(by_alone);
    assert_ne!(axis(&table), remembered, "the ± is larger");
    table.command(Key::Z);
    assert_eq!(axis(&table), remembered, "a step that undo takes back");

    // No word of the camera in it.
    another(&mut table, "lid-24-stannard-casserole-five-pint-tea-towel.jpg");
    assert!(reads(&table, "The photograph does not say which camera took it. Which one?"));
    table.harness.snapshot("measuring_which_camera");
    let nameless = axis(&table);
    table.click("workshop phone (25 mm)");
    assert_ne!(axis(&table), nameless);

    std::fs::write(&file, "(cameras: [").unwrap();
    another(&mut table, "lid-02-quoin-casserole-one-linen.jpg");
    assert!(reads(&table, "What is known of cameras can't be understood: "));
    assert!(reads(&table, "Oval, "), "measured all the same");
    assert!(reads(&table, "kitchen phone (26 mm): its lens is not known yet. "));
    assert_eq!(std::fs::read_to_string(&file).unwrap(), "(cameras: [", "and left as it is");
}
