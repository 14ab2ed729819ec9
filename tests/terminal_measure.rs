//! `footring measure`: what a script sees.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, reason = "tests")]

#[path = "common/ran.rs"]
mod ran;
#[path = "common/side_scene.rs"]
mod side_scene;
#[path = "common/staged.rs"]
#[expect(dead_code, reason = "other tests use the other cloths")]
mod staged;

use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, GenericImage as _, Rgb, RgbImage};
use ran::run;
use rayon::prelude::*;
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

/// A mug beside an upright card, and the card's corners as a person gives them.
fn mug() -> (RgbImage, String) {
    let scene = side_scene::Scene::mug();
    let corners: Vec<String> = scene.card_px().iter().map(|(x, y)| format!("{x:.1},{y:.1}")).collect();
    (scene.paint(), corners.join(" "))
}

#[test]
fn from_the_side_rim_and_capacity_are_told_only_of_a_top_said_to_be_open() {
    let folder = tempfile::tempdir().unwrap();
    let (picture, corners) = mug();
    let file = saved(folder.path(), "mug.png", &picture.into());
    let said = |more: &[&str]| {
        let words = [&["measure", &file, "--view", "side", "--card", &corners][..], more].concat();
        let ran = run(&words);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{words:?}");
        ran.out
    };
    let asked: [&[&str]; 3] = [&["--json", "--top", "open"], &["--json"], &["--top", "closed"]];
    let all: Vec<String> = asked.into_par_iter().map(said).collect();
    let json = |out: &String| -> Value { serde_json::from_str(out).unwrap() };
    let (open, unsaid) = (json(&all[0]), json(&all[1]));
    assert!((open["rim_mm"].as_f64().unwrap() - 84.0).abs() < 1.3 && open["capacity_ml"].is_number(), "{open}");
    assert_eq!((&unsaid["rim_mm"], &unsaid["capacity_ml"], &unsaid["sds"]["rim_mm"]), (&Value::Null, &Value::Null, &Value::Null));
    assert_eq!((&unsaid["height_mm"], &unsaid["max_mm"]), (&open["height_mm"], &open["max_mm"]));
    assert!(unsaid["notes"].to_string().contains("until it is said that the top is open to its edge"), "{unsaid}");
    assert!(all[2].contains("rim          not told\n") && all[2].contains("said to be closed or narrow"), "{}", all[2]);
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

/// A JPEG of one sample, whose frame says that each sample has so many bits (ISO/IEC 10918-1, B.2.2).
fn jpeg_of_bits(bits: u8) -> Vec<u8> {
    let mut bytes = Vec::new();
    JpegEncoder::new(&mut bytes).encode_image(&RgbImage::from_pixel(16, 16, Rgb([90; 3]))).unwrap();
    let frame = bytes.windows(2).position(|pair| pair == [0xff, 0xc0]).unwrap();
    bytes[frame + 4] = bits;
    bytes
}

/// A PNG of one pixel, whose head says that it has so many (PNG third edition, 11.2.2 and annex D).
fn png_that_says(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    RgbImage::new(1, 1).write_to(&mut bytes, image::ImageFormat::Png).unwrap();
    let mut bytes = bytes.into_inner();
    bytes[16..20].copy_from_slice(&width.to_be_bytes());
    bytes[20..24].copy_from_slice(&height.to_be_bytes());
    let sum = !bytes[12..29].iter().fold(u32::MAX, |sum, byte| {
        (0..8).fold(sum ^ u32::from(*byte), |sum, _| if sum & 1 == 1 { 0xedb8_8320 ^ (sum >> 1) } else { sum >> 1 })
    });
    bytes[29..33].copy_from_slice(&sum.to_be_bytes());
    bytes
}

/// The same lid in fewer pixels.
fn small() -> Scene {
    Scene { width: 800, height: 600, ..scene() }
}

/// The card once more, where the lid was, in a picture taken straight from above.
fn two_cards() -> RgbImage {
    let scene = Scene { tilt: (0.0, 0.0, 0.0), k1: 0.0, lid: None, ..small() };
    let mut picture = scene.picture();
    let ((left, top), (right, bottom)) = (scene.pixel(-46.0, 30.0), scene.pixel(46.0, -30.0));
    let card = image::imageops::crop_imm(&picture, left as u32, top as u32, (right - left) as u32, (bottom - top) as u32).to_image();
    picture.copy_from(&card, right as u32 + 80, top as u32).unwrap();
    picture
}

/// What can't be measured is refused from both views in a sentence that says what is wrong, and no number is printed.
#[test]
fn bad_pictures_are_refused_each_in_a_sentence_of_its_own() {
    let folder = tempfile::tempdir().unwrap();
    let saved = |name: &str, picture: RgbImage| saved(folder.path(), name, &picture.into());
    let written = |name: &str, bytes: &[u8]| {
        let file = folder.path().join(name);
        std::fs::write(&file, bytes).unwrap();
        file.to_str().unwrap().to_owned()
    };
    let steep = Scene { tilt: (0.8, 0.0, 0.0), ..small() };
    let cut = |right_mm: f64| Scene { shift_mm: (right_mm, 4.0, 330.0), ..small() };
    let only_cloth = Scene { lid: None, ..small() };
    let card = "no bank card was found in the picture (lay one flat beside the piece, wholly in the picture, or give its corners)";
    let (above, side) = ("above", "side");
    let cases = [
        (saved("no-card.png", Scene { card: false, ..small() }.picture()), above, card),
        (saved("blank.png", RgbImage::from_pixel(900, 700, Rgb([180; 3]))), above, card),
        (saved("blank-side.png", RgbImage::from_pixel(900, 700, Rgb([180; 3]))), side, card),
        (saved("two.png", two_cards()), above, "two cards were found in the picture, at ("),
        (saved("two-side.png", two_cards()), side, "(cover one, or give the corners of the one to go by)"),
        (
            saved("steep.png", steep.picture()),
            above,
            "the card is seen 48° aslant, so it may not lie in the plane of the piece (lay it flat",
        ),
        (saved("turned.png", small().picture()), side, "stands 11° aslant (stand the card upright on the table"),
        (saved("cut.png", cut(25.0).picture()), above, "the piece is cut off by the edge of the picture: 9 % of its outline lie outside"),
        (saved("cut-more.png", cut(50.0).picture()), above, "the piece is cut off by the edge of the picture: "),
        (saved("cloth.png", only_cloth.picture()), above, "(lay the piece on a cloth of another colour"),
        (saved("tiny.png", RgbImage::from_pixel(8, 8, Rgb([120; 3]))), above, "only 8 × 8 pixels (600 along the longer side are needed"),
        (saved("strip.png", RgbImage::from_pixel(2000, 2, Rgb([120; 3]))), side, card),
        (written("huge.png", &png_that_says(60_000, 60_000)), above, "60000 × 60000 pixels, 3600 megapixels, more than the "),
        (written("long.png", &png_that_says(60_000, 1)), above, "'long.png' is a damaged PNG: "),
        (
            written("twelve.jpg", &jpeg_of_bits(12)),
            above,
            "a JPEG of 12 bits a colour, which cannot be read here (save it as a PNG or TIFF",
        ),
        (written("sixteen.jpg", &jpeg_of_bits(16)), side, "a JPEG of an unusual depth, which cannot be read here (save it"),
        (written("inks.jpg", include_bytes!("data/photo/cmyk.jpg")), above, "only 32 × 24 pixels (600 along"),
        (written("notes.jpg", b"rim 118, a little oval\n"), above, "'notes.jpg' holds plain text, not a picture (expected JPEG, PNG"),
        (written("empty.jpg", b""), side, "'empty.jpg' is empty, 0 bytes long (copy it again from the camera)"),
        (written("half.jpg", &jpeg_of_bits(8)[..300]), above, "'half.jpg' ends before its picture does"),
        (folder.path().to_str().unwrap().to_owned(), above, "is a folder, not a picture (open it and choose a picture inside)"),
    ];
    // A script that asks for JSON gets no number either.
    cases.par_iter().enumerate().for_each(|(number, (file, view, words))| {
        let json: &[&str] = if number % 2 == 0 { &["--json"] } else { &[] };
        let ran = run(&[&["measure", file.as_str(), "--view", view], json].concat());
        assert!(ran.err.contains(words), "{file}, {view}: {}{}", ran.err, ran.out);
        assert_eq!((ran.code, ran.out.as_str(), ran.err.lines().count()), (1, "", 1), "{file}, {view}: {}", ran.err);
    });
}

/// The ± that slopes give and the ± that measuring again and again gives are two routes to one thing: here they agree within a factor of two.
#[test]
fn each_plus_minus_is_found_a_second_way() {
    let folder = tempfile::tempdir().unwrap();
    let file = saved(folder.path(), "lid.png", &scene().picture().into());
    let asked = ["measure", &file, "--view", "above", "--json", "--bootstrap", "20"];
    let ran = run(&asked);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let found: Value = serde_json::from_str(&ran.out).unwrap();
    let (once, again) = (&found["outline"], &found["bootstrap"]);
    assert_eq!(again["rounds"], 20);
    for (name, own) in [("major_sd_mm", "major_sd_mm"), ("minor_sd_mm", "minor_sd_mm"), ("aspect_sd", "aspect_sd")] {
        let share = again[name].as_f64().unwrap() / once[own].as_f64().unwrap();
        assert!((0.5..2.0).contains(&share), "{name}: {} by slopes, {} again", once[own], again[name]);
    }
    assert!(again["p_round"].as_f64().unwrap() < 0.01, "{again}");
    for (rounds, said) in [("5", "that is not a number of rounds from 20 to 5000 (write 200)"), ("many", "(write 200)")] {
        let ran = run(&["measure", &file, "--view", "above", "--bootstrap", rounds]);
        assert!(ran.code == 2 && ran.err.contains(said), "{}", ran.err);
    }
    let by_length = run(&["measure", &file, "--view", "above", "--scale-mm", "100", "--points", "300,450 700,450", "--bootstrap", "20"]);
    assert!(by_length.code == 1 && by_length.err.contains("measuring again tells no spread here"), "{}{}", by_length.out, by_length.err);
}

fn demo(file: &str) -> String {
    format!("{}/demo/photographs/{file}", env!("CARGO_MANIFEST_DIR"))
}

#[test]
fn a_lens_is_told_by_straight_lines_remembered_and_used() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("cameras.ron");
    let file = file.to_str().unwrap();
    let (gingham, newsprint, linen) = (
        "lid-22-stannard-casserole-three-pint-gingham.jpg",
        "lid-05-fenlight-teapot-newsprint.jpg",
        "lid-01-fenlight-covered-sugar-linen.jpg",
    );
    let missing = folder.path().join("nothing.jpg").to_str().unwrap().to_owned();
    let ran = run(&["lens", &demo(gingham), &demo(newsprint), &demo(linen), &missing, "--cameras", file, "--json"]);
    assert_eq!(ran.code, 1, "one of them is not there, the others are looked at");
    assert!(ran.err.contains("nothing.jpg"), "{}", ran.err);
    let said: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(said["photographs"].as_array().unwrap().len(), 3);
    assert_eq!(
        (&said["photographs"][2]["camera"], &said["photographs"][2]["k1"]),
        (&"kitchen phone (26 mm)".into(), &Value::Null),
        "plain cloth"
    );
    let known = &said["cameras"][0];
    assert_eq!((&known["camera"], &known["photographs"]), (&"kitchen phone (26 mm)".into(), &2.into()));
    let (k1, sd) = (known["k1"].as_f64().unwrap(), known["sd"].as_f64().unwrap());
    // The truth of the demo's photographs: 0.011.
    assert!((k1 - 0.011).abs() < 2.0 * sd && sd < 0.003, "{known}");

    let measured = |more: &[&str]| {
        let ran = run(&[&["measure", &demo("lid-14-quoin-casserole-four-pint-dark.jpg"), "--view", "above", "--json"][..], more].concat());
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{more:?}");
        serde_json::from_str::<Value>(&ran.out).unwrap()
    };
    let (alone, with) = (measured(&[]), measured(&["--cameras", file]));
    assert_eq!((&alone["lens"]["photographs"], &with["lens"]["photographs"]), (&0.into(), &2.into()));
    let sd = |found: &Value| found["outline"]["sd_mm"].as_f64().unwrap();
    assert!(sd(&with) < 0.6 * sd(&alone), "{} after {}", sd(&with), sd(&alone));

    // A photograph that names no camera: its owner does.
    let nameless = demo("lid-18-stannard-covered-sugar-linen.jpg");
    let asked = |name: &str| run(&["measure", &nameless, "--view", "above", "--cameras", file, "--taken-with", name]);
    let told = asked(" Kitchen Phone ");
    assert!(told.out.contains("\nlens         known by 2 photographs\n"), "{}{}", told.out, told.err);
    let unknown = asked("cellar phone");
    let says = "no camera 'cellar phone' is known (known are 'kitchen phone (26 mm)')";
    assert_eq!((unknown.code, unknown.err.contains(says)), (2, true), "{}", unknown.err);

    let listed = run(&["lens", "--cameras", file]);
    assert!(
        listed.out.starts_with("kitchen phone (26 mm): corners ") && listed.out.ends_with(" % further out, by 2 photographs\n"),
        "{}",
        listed.out
    );
    let forgotten = run(&["lens", "--cameras", file, "--forget", "kitchen phone"]);
    assert_eq!((forgotten.code, forgotten.out.as_str()), (0, "No camera is known.\n"), "{}", forgotten.err);
    std::fs::write(file, "(cameras: [").unwrap();
    let broken = run(&["measure", &nameless, "--view", "above", "--cameras", file]);
    assert!(broken.code == 1 && broken.err.contains("cameras.ron:1:"), "{}", broken.err);
    assert_eq!(std::fs::read_to_string(file).unwrap(), "(cameras: [", "left as it is");
}
