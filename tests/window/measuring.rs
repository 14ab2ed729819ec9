//! Measuring on a photograph in the window: found by itself, moved by hand, used on the Bench, taken back.

use super::desk::{LAPTOP, Table};
use super::photographs::drop_file;
use super::staged::Scene;
use egui::{Key, Theme, Vec2, vec2};
use egui_kittest::SnapshotResults;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use footring::identify::Seen;

fn scene() -> Scene {
    Scene::oval_on_linen()
}

/// A window in which a photograph of that scene is measured on.
fn measuring(scene: &Scene, theme: Theme, size: Vec2) -> Table {
    let mut table = Table::with(theme, size);
    let camera = tempfile::tempdir().unwrap();
    let file = camera.path().join("lid.png");
    scene.picture().save(&file).unwrap();
    drop_file(&mut table, &file);
    if size.y < LAPTOP.y {
        // The strip lies further down, beyond what is in sight.
        let photograph = table.harness.state().doc.hand.photographs[0].clone();
        table.harness.state_mut().ask(footring::desk::command::Command::MeasureOn(Box::new(photograph)));
        table.settle();
    } else {
        table.click("Photograph 1, mark: lid.png");
        table.click("Measure");
    }
    table
}

/// Fails where that is nowhere to be read.
fn reads(table: &Table, text: &str) {
    assert!(table.harness.query_all_by_label_contains(text).next().is_some(), "'{text}' is not to be read");
}

fn undo_is_there(table: &Table) -> bool {
    // The bar at the top of the window has one as well.
    table.harness.query_all_by_label("Undo").any(|node| node.rect().center().y > 34.0 && !node.accesskit_node().is_disabled())
}

fn seen(table: &Table, feature: &str) -> Option<Seen> {
    table.harness.state().doc.seen(&feature.into()).map(|o| o.seen.clone())
}

#[test]
fn a_lid_is_measured_and_used_on_the_bench_in_one_step() {
    let mut table = measuring(&scene(), Theme::Light, LAPTOP);
    reads(&table, "Oval, ");
    reads(&table, "by the bank card, ± ");
    // Each answer can be left out.
    table.harness.get_by_label_contains("Lid, long side: ").click();
    table.settle();
    table.click("Use on the Bench");
    let Some(Seen::Weighed(weights)) = seen(&table, "lid-outline") else { panic!("{:?}", seen(&table, "lid-outline")) };
    let oval = weights.iter().find(|(id, _)| id.as_str() == "oval").map(|(_, w)| *w).unwrap();
    assert!(oval > 0.9, "{weights:?}");
    assert_eq!(seen(&table, "lid-length"), None, "it was left out");
    table.command(Key::Z);
    assert_eq!(seen(&table, "lid-outline"), None, "one step takes all of it back");
}

#[test]
fn handles_and_the_brush_are_steps_that_undo_takes_back() {
    let mut table = measuring(&scene(), Theme::Light, LAPTOP);
    let fits = |table: &Table| table.harness.query_by_label_contains("Oval, ").is_some();
    assert!(fits(&table));
    // A corner that is moved a little beside is drawn back onto the card's edges; it is a step all the same.
    table.harness.get_by_label("Corner 1 of the card").focus();
    table.settle();
    table.harness.key_press_modifiers(egui::Modifiers::SHIFT, Key::ArrowLeft);
    table.settle();
    assert!(fits(&table));
    assert!(undo_is_there(&table));
    let mut steps = 0;
    while undo_is_there(&table) && steps < 5 {
        table.command(Key::Z);
        steps += 1;
    }
    assert_eq!((steps, fits(&table)), (1, true));
    // The outline pulled by an end of an axis goes back to the edge.
    table.harness.get_by_label("Major axis of the outline, end 1").focus();
    table.settle();
    table.harness.key_press(Key::ArrowRight);
    table.settle();
    assert!(fits(&table));
    reads(&table, "Find it afresh");
    // Seen as the rim of a base, other features are answered.
    table.click("The rim of a base");
    reads(&table, "Rim, long side: ");
    // Escape closes the view, and nothing was answered.
    table.key(Key::Escape);
    assert!(table.harness.query_by_label("Close the measuring view").is_none());
    assert_eq!(seen(&table, "lid-outline"), None);
}

#[test]
fn without_a_card_it_says_what_to_do_and_a_length_is_taken() {
    let mut table = measuring(&Scene { card: false, ..scene() }, Theme::Light, LAPTOP);
    reads(&table, "No bank card was found in the picture (lay one flat beside the piece, wholly in the picture, or give its corners)");
    table.click("By a length");
    reads(&table, "Click its first end");
    let canvas = table.harness.get_by_label("Photograph to measure").rect();
    for share in [0.3, 0.7] {
        let pos = canvas.left_center() + vec2(share * canvas.width(), 0.0);
        table.harness.hover_at(pos);
        table.settle();
        for pressed in [true, false] {
            let button = egui::PointerButton::Primary;
            table.harness.event(egui::Event::PointerButton { pos, button, pressed, modifiers: egui::Modifiers::default() });
        }
        table.settle();
    }
    reads(&table, "by a length; the tilt is not known");
}

#[test]
fn the_view_in_both_themes_and_four_sizes() {
    let mut results = SnapshotResults::new();
    for (theme, size, name) in [
        (Theme::Light, LAPTOP, "measuring_light"),
        (Theme::Dark, LAPTOP, "measuring_dark"),
        (Theme::Light, vec2(1024.0, 700.0), "measuring_small"),
        (Theme::Light, vec2(1920.0, 1080.0), "measuring_wide"),
        // 1280 × 800 pixels at 200 %.
        (Theme::Dark, vec2(640.0, 400.0), "measuring_twice"),
    ] {
        let mut table = measuring(&scene(), theme, size);
        reads(&table, "Oval, ");
        results.add(table.harness.try_snapshot(name));
    }
}
