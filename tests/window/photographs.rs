//! Photographs of the piece in hand: dropped, pasted, offered by a watched folder, looked at, turned, cropped, kept with the find.

use super::desk::{LAPTOP, Table};
use egui::{ColorImage, Event, Key, Modifiers, Pos2, Rect, Theme, pos2};
use egui_kittest::SnapshotResults;
use egui_kittest::kittest::Queryable as _;
use footring::daybook::{PhotoKind, Photograph};
use footring::desk::settings::Settings;
use footring::photo::{Crop, Edit, Format, Store};
use image::{Rgb, RgbImage};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

/// A file as the window's system hands it over when it is dropped.
#[derive(Debug)]
struct Dropped(PathBuf);

impl egui::DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        Err("a file must be read off the frame, not here".to_owned())
    }
}

/// A picture that is red on the left and green on the right.
fn picture(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, _| if x < width / 2 { Rgb([230, 20, 20]) } else { Rgb([20, 200, 20]) })
}

pub(crate) fn drop_file(table: &mut Table, path: &Path) {
    table.harness.input_mut().dropped_files.push(Arc::new(Dropped(path.to_owned())));
    table.settle();
}

fn photographs(table: &Table) -> &[Photograph] {
    &table.harness.state().doc.hand.photographs
}

fn notice(table: &Table) -> String {
    table.harness.state().notice.as_ref().map(|notice| notice.says.clone()).unwrap_or_default()
}

/// A window with one photograph, 400 × 300, and the folder it was dropped from.
fn with_one() -> (Table, tempfile::TempDir) {
    with_one_in(Theme::Light)
}

fn with_one_in(theme: Theme) -> (Table, tempfile::TempDir) {
    let mut table = Table::with(theme, LAPTOP);
    let camera = tempfile::tempdir().unwrap();
    let file = camera.path().join("IMG_0001.png");
    picture(400, 300).save(&file).unwrap();
    drop_file(&mut table, &file);
    (table, camera)
}

fn click(table: &mut Table, label: &str) {
    table.harness.get_by_label(label).click();
    table.settle();
}

#[test]
fn a_dropped_photograph_is_kept_with_the_find_and_there_again_when_it_is_reopened() {
    let (mut table, camera) = with_one();
    assert_eq!(notice(&table), "IMG_0001.png is with the piece, as its mark");
    let [photograph] = photographs(&table) else { panic!("not one photograph") };
    let (hash, name) = (photograph.hash, photograph.name.clone());
    assert_eq!((photograph.kind, photograph.format, name.as_str()), (PhotoKind::Mark, Format::Png, "IMG_0001.png"));
    let store = Store::at(&table.dir().join("daybook"));
    assert_eq!(store.read(hash, Format::Png).unwrap().as_ref(), std::fs::read(camera.path().join("IMG_0001.png")).unwrap());

    click(&mut table, "Photograph 1, mark: IMG_0001.png");
    click(&mut table, "Damage");
    click(&mut table, "Close the photograph");
    assert_eq!(photographs(&table).first().map(|one| one.kind), Some(PhotoKind::Damage));

    // The file it came from may go: it is the daybook's own now.
    drop(camera);
    table.command(Key::S);
    assert_eq!(photographs(&table), &[] as &[Photograph], "the board is clear for the next piece: {}", notice(&table));
    table.command(Key::Num5);
    let row = table.harness.get_all_by_label_contains("no box").next().unwrap();
    row.click();
    table.settle();
    table.harness.get_by_label("Photograph 1 of the find, damage");
    click(&mut table, "Reopen on the Bench");
    let [photograph] = photographs(&table) else { panic!("the photograph is not there again") };
    assert_eq!((photograph.hash, photograph.kind), (hash, PhotoKind::Damage));
    click(&mut table, "Photograph 1, damage: IMG_0001.png");
    table.harness.get_by_label("Photograph, damage");
}

#[test]
fn what_cannot_be_taken_in_is_said_in_a_sentence() {
    let mut table = Table::new();
    let camera = tempfile::tempdir().unwrap();
    let file = |name: &str, bytes: &[u8]| {
        let path = camera.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        path
    };
    // A PNG head that claims 20000 × 10000 pixels: signature, length 13, IHDR, sizes, kind, and the check sum.
    let mut bomb = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR\0\0\x4e\x20\0\0\x27\x10\x08\x02\0\0\0".to_vec();
    bomb.extend(0x7646_dff5_u32.to_be_bytes());
    bomb.extend(b"\0\0\0\0IDAT\x35\xaf\x06\x1e\0\0\0\0IEND\xae\x42\x60\x82");
    let mut whole = std::io::Cursor::new(Vec::new());
    picture(40, 30).write_to(&mut whole, image::ImageFormat::Jpeg).unwrap();
    let half = whole.get_ref().get(..400).unwrap();
    let rows = [
        (file("list.jpg", b"cups, saucers"), "'list.jpg' holds plain text, not a picture (expected JPEG, PNG, WebP or TIFF)"),
        (
            file("half.jpg", half),
            "'half.jpg' ends before its picture does, it was probably not copied whole (copy it again from the camera)",
        ),
        (
            file("bomb.png", &bomb),
            "'bomb.png' is 20000 × 10000 pixels, 200 megapixels, more than the 120 allowed (save a smaller copy first)",
        ),
        (camera.path().to_owned(), "is a folder, not a picture (open it and choose a picture inside)"),
    ];
    for (path, expected) in rows {
        drop_file(&mut table, &path);
        assert!(notice(&table).ends_with(expected), "{}", notice(&table));
        assert!(table.harness.state().notice.as_ref().unwrap().is_problem);
    }
    assert_eq!(photographs(&table), &[] as &[Photograph]);
}

#[test]
fn several_dropped_at_once_keep_their_order() {
    let mut table = Table::new();
    let camera = tempfile::tempdir().unwrap();
    for (name, side) in [("large.png", 900), ("small.png", 8), ("middle.png", 200)] {
        let path = camera.path().join(name);
        picture(side, side).save(&path).unwrap();
        table.harness.input_mut().dropped_files.push(Arc::new(Dropped(path)));
    }
    table.settle();
    assert_eq!(photographs(&table).iter().map(|one| one.name.as_str()).collect::<Vec<_>>(), ["large.png", "small.png", "middle.png"]);
}

#[test]
fn a_pasted_picture_and_a_pasted_path_become_photographs() {
    let (mut table, camera) = with_one();
    let pixels = ColorImage::from_rgb([30, 20], picture(30, 20).as_raw());
    table.harness.event(Event::PasteImage(Arc::new(pixels)));
    table.settle();
    let other = camera.path().join("whole piece.png");
    picture(60, 80).save(&other).unwrap();
    table.harness.event(Event::Paste(other.display().to_string()));
    table.settle();
    let told: Vec<_> = photographs(&table).iter().map(|one| (one.name.as_str(), one.kind)).collect();
    assert_eq!(
        told,
        [("IMG_0001.png", PhotoKind::Mark), ("pasted.png", PhotoKind::WholePiece), ("whole piece.png", PhotoKind::WholePiece)]
    );
    table.command(Key::Z);
    assert_eq!(photographs(&table).len(), 2, "each is a step of its own");
}

#[test]
fn the_watched_folder_offers_its_newest_picture_for_one_key() {
    let mut table = Table::new();
    let camera = tempfile::tempdir().unwrap();
    let settings = Settings { watched_folder: Some(camera.path().to_owned()), ..Settings::default() };
    let (ctx, dir) = (table.harness.ctx.clone(), table.dir().to_owned());
    table.harness.state_mut().views.photographs.start(&ctx, &settings, &dir);
    table.settle();
    picture(50, 40).save(camera.path().join("cup.png")).unwrap();
    let start = Instant::now();
    while table.harness.query_by_label_contains("Take cup.png").is_none() {
        assert!(start.elapsed() < Duration::from_mins(1), "the picture was never offered");
        std::thread::sleep(Duration::from_millis(20));
        table.settle();
    }
    table.key(Key::F2);
    assert_eq!(photographs(&table).iter().map(|one| one.name.as_str()).collect::<Vec<_>>(), ["cup.png"]);
    assert!(table.harness.query_by_label_contains("Take cup.png").is_none(), "it is taken");
    table.key(Key::F2);
    assert_eq!(notice(&table), "the watched folder has no new picture yet");
}

#[test]
fn a_photograph_is_turned_and_cropped_by_keyboard_and_undone() {
    let (mut table, _camera) = with_one();
    let edit = |table: &Table| photographs(table).first().map(|one| one.edit).unwrap();
    click(&mut table, "Photograph 1, mark: IMG_0001.png");
    table.key(Key::R);
    table.harness.key_press_modifiers(Modifiers::SHIFT, Key::R);
    table.settle();
    table.key(Key::R);
    assert_eq!(edit(&table), Edit { quarter_turns: 1, crop: None });
    table.key(Key::C);
    // Turned, it is 300 wide and 400 high. The right edge goes left, by Shift in steps of ten.
    table.harness.get_by_label("Crop handle, right").focus();
    table.settle();
    for _ in 0..3 {
        table.harness.key_press_modifiers(Modifiers::SHIFT, Key::ArrowLeft);
        table.settle();
    }
    click(&mut table, "Keep this crop");
    let crop = edit(&table).crop.unwrap();
    // What is right after a quarter turn was at the top before.
    assert_eq!((crop.left, crop.width, crop.top + crop.height), (0, 400, 300));
    assert!((20..200).contains(&crop.top), "{crop:?}");
    table.key(Key::Escape);
    assert!(table.harness.query_by_label("Close the photograph").is_none(), "Escape closes it");
    table.command(Key::Z);
    assert_eq!(edit(&table), Edit { quarter_turns: 1, crop: None });
    table.command(Key::Y);
    assert_eq!(edit(&table).crop, Some(crop));
}

#[test]
fn a_crop_is_dragged_by_its_handle() {
    let (mut table, _camera) = with_one();
    click(&mut table, "Photograph 1, mark: IMG_0001.png");
    click(&mut table, "Crop");
    let handle = table.harness.get_by_label("Crop handle, top left").rect().center();
    let middle = table.harness.get_by_label("Crop frame").rect().center();
    table.harness.drag_at(handle);
    table.harness.hover_at(middle);
    table.harness.run_ok();
    table.harness.drop_at(middle);
    table.settle();
    click(&mut table, "Keep this crop");
    let Some(Crop { left, top, width, height }) = photographs(&table).first().and_then(|one| one.edit.crop) else { panic!("no crop") };
    assert!(left.abs_diff(200) < 12 && top.abs_diff(150) < 12, "{left} {top}");
    assert_eq!((left + width, top + height), (400, 300));
}

#[test]
fn letters_typed_into_the_caption_are_no_commands() {
    let (mut table, _camera) = with_one();
    click(&mut table, "Photograph 1, mark: IMG_0001.png");
    table.harness.get_by_label("Caption").focus();
    table.settle();
    for (key, letter) in [(Key::D, "d"), (Key::R, "r"), (Key::Y, "y")] {
        table.harness.key_press(key);
        table.type_text(letter);
    }
    click(&mut table, "Close the photograph");
    let [one] = photographs(&table) else { panic!("not one photograph") };
    assert_eq!((one.caption.as_str(), one.kind, one.edit), ("dry", PhotoKind::Mark, Edit::default()));
}

#[test]
fn taken_away_and_brought_back() {
    let (mut table, _camera) = with_one();
    click(&mut table, "Photograph 1, mark: IMG_0001.png");
    click(&mut table, "Take it away");
    assert_eq!(photographs(&table).len(), 0);
    assert!(table.harness.query_by_label("Close the photograph").is_none(), "nothing is left to look at");
    table.command(Key::Z);
    assert_eq!(photographs(&table).len(), 1);
}

#[test]
fn the_viewer_looks_as_it_should() {
    let mut results = SnapshotResults::new();
    for (theme, name) in [(Theme::Light, "photograph_light"), (Theme::Dark, "photograph_dark")] {
        let (mut table, _camera) = with_one_in(theme);
        click(&mut table, "Photograph 1, mark: IMG_0001.png");
        table.key(Key::R);
        table.key(Key::C);
        // What shows of the Bench around it is another picture's business.
        let (all, mut lit) = (Rect::from_min_size(Pos2::ZERO, LAPTOP), Rect::NOTHING);
        for label in ["Mark", "Caption", "Keep this crop", "Close the photograph"] {
            lit = lit.union(table.harness.get_by_label(label).rect());
        }
        for around in [
            Rect::from_min_max(all.min, pos2(all.right(), lit.top())),
            Rect::from_min_max(pos2(all.left(), lit.bottom()), all.max),
            Rect::from_min_max(all.min, pos2(lit.left(), all.bottom())),
            Rect::from_min_max(pos2(lit.right(), all.top()), all.max),
        ] {
            table.harness.mask(around);
        }
        table.harness.remove_cursor();
        table.settle();
        results.add(table.harness.try_snapshot(name));
    }
}

#[test]
fn every_target_of_the_viewer_is_large_enough() {
    let (mut table, _camera) = with_one();
    click(&mut table, "Photograph 1, mark: IMG_0001.png");
    for label in ["Mark", "Whole piece", "Damage", "Turn", "Crop", "Take it away", "Close the photograph", "Zoom in (+)", "Caption"] {
        let rect = table.harness.get_by_label(label).rect();
        assert!(rect.height() >= 32.0, "{label} is {} points high", rect.height());
        assert!(table.harness.ctx.content_rect().contains_rect(rect), "{label} lies outside the window: {rect:?}");
    }
}
