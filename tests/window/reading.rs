//! Reading a mark on a photograph: found by itself, its ring moved by hand, made plain, compared with the key, used on the Bench.

use super::desk::{LAPTOP, Table};
use super::photographs::drop_file;
use egui::{Key, Theme, Vec2, vec2};
use egui_kittest::SnapshotResults;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use footring::desk::command::Command;
use footring::identify::Seen;
use std::path::{Path, PathBuf};

/// A worn round mark of the demo key, and the mark it is.
const WORN: (&str, &str) = ("mark-fenlight-round.jpg", "fenlight-round");

fn demo(file: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("keys/marrowby/pictures").join(file)
}

fn reading(files: &[PathBuf], theme: Theme, size: Vec2) -> Table {
    let mut table = Table::with(theme, size);
    for file in files {
        drop_file(&mut table, file);
    }
    let photograph = table.harness.state().doc.hand.photographs[0].clone();
    // Whether the machine has a program that reads must not show in a picture.
    table.harness.state_mut().views.reading.find_reader = || None;
    table.harness.state_mut().ask(Command::ReadMarkOn(Box::new(photograph)));
    table.settle();
    table
}

fn reads(table: &Table, text: &str) -> bool {
    table.harness.query_all_by_label_contains(text).next().is_some()
}

fn can_undo(table: &Table) -> bool {
    table.harness.query_all_by_label("Undo").any(|node| node.rect().center().y > 34.0 && !node.accesskit_node().is_disabled())
}

#[test]
fn a_round_mark_is_laid_out_in_strips_and_named_by_what_it_is_like() {
    let mut table = reading(&[demo(WORN.0)], Theme::Light, LAPTOP);
    assert!(reads(&table, "Strip 1: arc above"), "{:?}", table.harness);
    assert!(reads(&table, "arc below"));
    // The key has this very picture.
    table.click("Marrowby round, Fenlight, 100 % alike");
    for how in ["Over it", "By turns", "Beside it"] {
        table.harness.get_by_label(how).click();
        table.harness.run_steps(3);
    }
    table.click("It is this one");
    let doc = &table.harness.state().doc;
    let Some(Seen::Values(values)) = doc.seen(&"mark".into()).map(|o| o.seen.clone()) else { panic!("{:?}", doc.hand.piece) };
    assert_eq!(values.iter().map(footring::key::ValueId::as_str).collect::<Vec<_>>(), [WORN.1]);
    assert!(!table.harness.state().views.reading.is_open());
}

#[test]
fn words_that_can_be_read_answer_the_bench() {
    let mut table = reading(&[demo(WORN.0)], Theme::Light, LAPTOP);
    table.harness.get_by_label("What can be read").focus();
    table.settle();
    table.type_text("MARROW… FENL?GHT");
    table.click("Answer with these words");
    let seen = table.harness.state().doc.seen(&"mark".into()).map(|o| o.seen.clone());
    assert_eq!(seen, Some(Seen::Wording("MARROW… FENL?GHT".to_owned())));
}

#[test]
fn rings_and_contrast_are_steps_that_undo_takes_back() {
    let mut table = reading(&[demo(WORN.0)], Theme::Light, LAPTOP);
    table.click("Set its ring");
    table.harness.get_by_label("End of the ring").focus();
    table.settle();
    table.harness.key_press_modifiers(egui::Modifiers::SHIFT, Key::ArrowRight);
    table.settle();
    table.click("Faint");
    table.click("Light on dark");
    let mut steps = 0;
    while can_undo(&table) && steps < 9 {
        table.command(Key::Z);
        steps += 1;
    }
    assert_eq!(steps, 4);
    table.key(Key::Escape);
    assert!(!table.harness.state().views.reading.is_open());
    assert!(table.harness.state().doc.seen(&"mark".into()).is_none());
}

#[test]
fn a_picture_without_a_mark_says_so() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("blank.png");
    image::RgbImage::from_pixel(400, 300, image::Rgb([214, 208, 196])).save(&file).unwrap();
    let table = reading(&[file], Theme::Light, LAPTOP);
    assert!(reads(&table, "Nothing is printed or pressed here that stands out from the glaze"), "{:?}", table.harness);
}

#[test]
fn pictures_lit_from_other_sides_are_put_together_or_it_is_said_why_not() {
    let dir = tempfile::tempdir().unwrap();
    let other = dir.path().join("other.png");
    image::RgbImage::from_pixel(123, 300, image::Rgb([214, 208, 196])).save(&other).unwrap();
    let mut table = reading(&[demo(WORN.0), other], Theme::Light, LAPTOP);
    table.click("Together with other.png");
    assert!(reads(&table, "(give pictures of one size)") || reads(&table, "too small"), "{:?}", table.harness);
    assert!(reads(&table, "What differs"));
}

#[test]
fn the_view_in_both_themes_and_four_sizes() {
    let mut results = SnapshotResults::new();
    for (theme, size, name) in [
        (Theme::Light, LAPTOP, "reading_light"),
        (Theme::Dark, LAPTOP, "reading_dark"),
        (Theme::Light, vec2(1024.0, 700.0), "reading_small"),
        (Theme::Light, vec2(1920.0, 1080.0), "reading_wide"),
        // 1280 × 800 pixels at 200 %.
        (Theme::Dark, vec2(640.0, 400.0), "reading_twice"),
    ] {
        let mut table = reading(&[demo(WORN.0)], theme, size);
        if name == "reading_dark" {
            table.click("Marrowby round, Fenlight, 100 % alike");
        }
        results.add(table.harness.try_snapshot(name));
    }
}
