//! `footring measure`: what a script sees.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, reason = "tests")]

#[path = "common/ran.rs"]
mod ran;
#[path = "common/staged.rs"]
#[expect(dead_code, reason = "other tests use the other cloths")]
mod staged;

use image::{DynamicImage, RgbImage};
use ran::run;
use serde_json::Value;
use staged::Scene;
use std::path::Path;

fn scene() -> Scene {
    Scene::oval_on_linen()
}

fn saved(folder: &Path, name: &str, picture: &DynamicImage) -> String {
    let file = folder.join(name);
    picture.save(&file).unwrap();
    file.to_str().unwrap().to_owned()
}

#[test]
fn an_oval_lid_is_measured_and_drawn() {
    let folder = tempfile::tempdir().unwrap();
    let picture = scene().picture();
    let file = saved(folder.path(), "lid.png", &picture.clone().into());
    let overlay = folder.path().join("seen.png");
    let ran = run(&["measure", &file, "--view", "above", "--json", "--overlay", overlay.to_str().unwrap()]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let found: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!((&found["view"], &found["outline"]["model"]), (&"above".into(), &"ellipse".into()));
    let number = |v: &Value| v.as_f64().unwrap();
    assert!((number(&found["outline"]["major_mm"]) - 160.0).abs() < 1.0, "{}", found["outline"]);
    assert!((number(&found["outline"]["minor_mm"]) - 144.0).abs() < 1.0, "{}", found["outline"]);
    assert!(number(&found["outline"]["p_round"]) < 0.01);
    assert!((0.0005..0.01).contains(&number(&found["scale_sd"])));
    let (x, y) = scene().pixel(128.0, 2.0);
    assert!((number(&found["centre_px"][0]) - x).hypot(number(&found["centre_px"][1]) - y) < 2.0);
    let drawn: RgbImage = image::open(&overlay).unwrap().to_rgb8();
    assert_eq!(drawn.dimensions(), picture.dimensions());
    let changed = drawn.pixels().zip(picture.pixels()).filter(|(a, b)| a != b).count();
    assert!((2_000..60_000).contains(&changed), "{changed}");

    // The same by the card's corners, in any order, and in words.
    let corners: Vec<String> = [0, 2, 1, 3].iter().map(|i| format!("{},{}", found["card_px"][*i][0], found["card_px"][*i][1])).collect();
    let ran = run(&["measure", &file, "--view", "above", "--card", &corners.join(" ")]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let words: Vec<&str> = ran.out.lines().map(|l| l.split_once("  ").unwrap().0).collect();
    assert_eq!(words, ["outline", "major axis", "minor axis", "aspect", "perimeter", "area", "seen", "scale"]);
    assert!(ran.out.starts_with("outline      oval (round with "), "{}", ran.out);
}

#[test]
fn pictures_of_every_depth_are_read_and_bad_ones_refused_in_a_sentence() {
    let folder = tempfile::tempdir().unwrap();
    let picture: DynamicImage = scene().picture().into();
    let deep = saved(folder.path(), "deep.png", &DynamicImage::ImageRgb16(picture.to_rgb16()));
    let clear = saved(folder.path(), "clear.png", &DynamicImage::ImageRgba8(picture.to_rgba8()));
    let grey = saved(folder.path(), "grey.png", &DynamicImage::ImageLuma8(picture.to_luma8()));
    for file in [&deep, &clear, &grey] {
        let ran = run(&["measure", file, "--view", "above", "--json"]);
        assert_eq!(ran.code, 0, "{file}: {}", ran.err);
        let found: Value = serde_json::from_str(&ran.out).unwrap();
        assert!((found["outline"]["major_mm"].as_f64().unwrap() - 160.0).abs() < 1.0, "{file}: {}", found["outline"]);
    }
    let without = saved(folder.path(), "without.png", &Scene { card: false, ..scene() }.picture().into());
    let ran = run(&["measure", &without, "--view", "above"]);
    assert_eq!(ran.code, 1);
    assert_eq!(
        ran.err,
        "footring: 'without.png': no bank card was found in the picture (lay one flat beside the piece, wholly in the picture, or give its corners)\n"
    );
    let ran = run(&["measure", "nowhere.jpg", "--view", "above"]);
    assert_eq!(
        (ran.code, ran.err.as_str()),
        (1, "footring: there is no file 'nowhere.jpg' any more (was it moved, or its card taken out?)\n")
    );
    for (args, said) in [
        (vec!["--card", "1,2 3,4 5,6"], "that is 3 points, not 4"),
        (vec!["--card", "1,2 3,4 5,6 7"], "'7' is not a point (write 120,85.5)"),
        (vec!["--scale-mm", "150"], "--points"),
        (vec!["--rim-height-mm", "9000"], "that is not a height from -200 to 400 mm"),
    ] {
        let ran = run(&[&["measure", "x.png", "--view", "above"], args.as_slice()].concat());
        assert_eq!(ran.code, 2);
        assert!(ran.err.contains(said), "{}", ran.err);
    }
}
