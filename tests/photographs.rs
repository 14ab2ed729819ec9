//! The demo photographs and the truth beside them: every picture opens, the truth agrees with the demo key, the truth's camera puts card, rim and foot where
//! the truth says they are, and the renderer still gives that truth.

#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests; the renderer's own tables")]
#![expect(dead_code, reason = "what only the renderer's command line uses")]

#[path = "../examples/render_photographs/camera.rs"]
mod camera;
#[path = "../examples/render_photographs/card.rs"]
mod card;
#[path = "../examples/render_photographs/chosen.rs"]
mod chosen;
#[path = "../examples/render_photographs/cloth.rs"]
mod cloth;
#[path = "../examples/render_photographs/demo.rs"]
mod demo;
#[path = "../examples/render_photographs/form.rs"]
mod form;
#[path = "../examples/render_photographs/glaze.rs"]
mod glaze;
#[path = "../examples/render_photographs/lid.rs"]
mod lid;
#[path = "../examples/render_photographs/phone.rs"]
mod phone;
#[path = "../examples/render_photographs/plan.rs"]
mod plan;
#[path = "../examples/render_photographs/render.rs"]
mod render;
#[path = "../examples/render_photographs/scene.rs"]
mod scene;
#[path = "../examples/render_photographs/side.rs"]
mod side;
#[path = "../examples/render_photographs/solid.rs"]
mod solid;
#[path = "../examples/render_photographs/truth.rs"]
mod truth;
#[path = "../examples/render_photographs/vector.rs"]
mod vector;
#[path = "../examples/render_photographs/vessel.rs"]
mod vessel;

use footring::photo::{Limits, Progress, Source, open};
use serde_json::Value;
use std::path::PathBuf;

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo/photographs")
}

fn records(view: &str) -> Vec<Value> {
    let all: Vec<Value> = serde_json::from_str(&std::fs::read_to_string(folder().join("truth.json")).unwrap()).unwrap();
    all.into_iter().filter(|r| r["view"] == view).collect()
}

fn number(value: &Value, name: &str) -> f64 {
    value[name].as_f64().unwrap()
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect()
}

fn points(value: &Value) -> Vec<(f64, f64)> {
    value.as_array().unwrap().iter().map(numbers).map(|p| (p[0], p[1])).collect()
}

/// The camera as `demo/README.md` writes it down, worked out here from the record alone.
fn project(camera: &Value, [x, y, z]: [f64; 3]) -> (f64, f64) {
    let (r, t) = (numbers(&camera["rotation"]), numbers(&camera["translation_mm"]));
    let seen: Vec<f64> = (0..3).map(|k| r[3 * k] * x + r[3 * k + 1] * y + r[3 * k + 2] * z + t[k]).collect();
    let (u, v) = (number(camera, "focal_px") * seen[0] / seen[2], number(camera, "focal_px") * seen[1] / seen[2]);
    let rho = u.hypot(v) / (number(camera, "width").hypot(number(camera, "height")) / 2.0);
    let bend = 1.0 + number(camera, "k1") * rho * rho;
    (number(camera, "cx") + u * bend, number(camera, "cy") + v * bend)
}

/// How far each of `said` is from the nearest point of a closed curve, at most.
fn off_curve(said: &[(f64, f64)], curve: impl Fn(f64) -> (f64, f64)) -> f64 {
    let fine: Vec<(f64, f64)> = (0..7200).map(|k| curve(f64::from(k) / 7200.0 * std::f64::consts::TAU)).collect();
    let off = |p: &(f64, f64)| fine.iter().map(|q| (p.0 - q.0).hypot(p.1 - q.1)).fold(f64::INFINITY, f64::min);
    said.iter().map(off).fold(0.0, f64::max)
}

#[test]
fn every_picture_opens_and_holds_the_card_and_the_piece() {
    let (lids, sides) = (records("above"), records("side"));
    assert!(lids.len() >= 24 && sides.len() >= 12, "{} lids, {} sides", lids.len(), sides.len());
    for record in lids.iter().chain(&sides) {
        let file = record["file"].as_str().unwrap();
        let photo = open(Source::Path(folder().join(file)), &Limits::USUAL, &Progress::default()).unwrap();
        let camera = &record["camera"];
        assert_eq!((f64::from(photo.width()), f64::from(photo.height())), (number(camera, "width"), number(camera, "height")), "{file}");
        let rim = if record["view"] == "side" { &record["rim_px"] } else { &record["outline_px"] };
        for (x, y) in points(&record["card_px"]).into_iter().chain(points(rim)) {
            let inside = x > 0.0 && y > 0.0 && x < f64::from(photo.width()) && y < f64::from(photo.height());
            assert!(inside, "{file}: ({x}, {y}) is outside the picture");
        }
    }
    // Nothing lies about that the truth does not know, and nothing is too large for a repository.
    let files: Vec<std::fs::DirEntry> = std::fs::read_dir(folder()).unwrap().map(Result::unwrap).collect();
    assert_eq!(files.len(), lids.len() + sides.len() + 1);
    let bytes: u64 = files.iter().map(|f| f.metadata().unwrap().len()).sum();
    assert!(bytes < 12_000_000, "{bytes} bytes");
}

#[test]
fn every_hard_case_is_among_the_lids() {
    let lids = records("above");
    let hard: Vec<String> =
        lids.iter().flat_map(|r| r["hard"].as_array().unwrap().clone()).map(|h| h.as_str().unwrap().to_owned()).collect();
    for case in [
        "white-on-pale",
        "black-on-dark",
        "gingham",
        "newsprint",
        "window-glare",
        "speckled",
        "shadow-across",
        "gap-2mm",
        "patterned-card",
        "card-covered",
    ] {
        assert!(hard.iter().filter(|h| *h == case).count() >= if case == "card-covered" { 1 } else { 2 }, "{case}: {hard:?}");
    }
}

/// ISO/IEC 7810 ID-1: 85.60 × 53.98 mm.
#[test]
fn the_camera_of_the_truth_puts_the_card_where_the_truth_says() {
    for record in records("above").into_iter().chain(records("side")) {
        let corners = [[-42.80, -26.99, 0.0], [42.80, -26.99, 0.0], [42.80, 26.99, 0.0], [-42.80, 26.99, 0.0]];
        for (corner, said) in corners.into_iter().zip(points(&record["card_px"])) {
            let got = project(&record["camera"], corner);
            assert!((got.0 - said.0).hypot(got.1 - said.1) < 0.05, "{}: {got:?}, not {said:?}", record["file"]);
        }
    }
}

#[test]
fn ellipses_of_the_truth_have_the_rim_where_the_truth_says() {
    let ovals: Vec<Value> = records("above").into_iter().filter(|r| r["outline"]["model"] == "ellipse").collect();
    assert!(ovals.len() >= 5, "only {} oval lids", ovals.len());
    for record in ovals {
        let (outline, centre) = (&record["outline"], numbers(&record["centre_mm"]));
        let (sin, cos) = number(outline, "angle_deg").to_radians().sin_cos();
        let off = off_curve(&points(&record["outline_px"]), |angle| {
            let (u, v) = (number(outline, "major_mm") / 2.0 * angle.cos(), number(outline, "minor_mm") / 2.0 * angle.sin());
            project(&record["camera"], [centre[0] + u * cos - v * sin, centre[1] + u * sin + v * cos, 0.0])
        });
        assert!(off < 0.3, "{}: {off} px off the rim", record["file"]);
    }
}

#[test]
fn rim_and_foot_of_a_pot_stand_about_the_axis_that_the_truth_says() {
    for record in records("side") {
        let side = &record["side"];
        let (axis, up) = (points(&side["axis_mm"]), numbers(&side["up"]));
        let right = (up[1], -up[0]);
        for (name, at, diameter) in [("rim_px", axis[1], number(side, "brim_mm")), ("foot_px", axis[0], number(side, "foot_mm"))] {
            let off = off_curve(&points(&record[name]), |angle| {
                let (u, z) = (diameter / 2.0 * angle.cos(), diameter / 2.0 * angle.sin());
                project(&record["camera"], [at.0 + u * right.0, at.1 + u * right.1, z])
            });
            assert!(off < 0.3, "{} {name}: {off} px off", record["file"]);
        }
        let height = (axis[1].0 - axis[0].0).hypot(axis[1].1 - axis[0].1);
        assert!((height - number(side, "height_mm")).abs() < 0.01, "{}", record["file"]);
    }
}

/// The key's own measures and colours: lids as wide and as oval, pots as high and as wide at rim and foot, to the rounding of an edge.
#[test]
fn forms_and_glazes_are_those_of_the_key() {
    let key = footring::key::builtin::demo().key;
    let (mut forms, mut glazes) = (0, 0);
    for record in records("above").iter().chain(&records("side")) {
        if let Some(id) = record["glaze"].as_str() {
            let glaze = key.glazes.iter().find(|g| g.id.as_str() == id).unwrap();
            assert_eq!(numbers(&record["glaze_lab"]), [glaze.lab.l, glaze.lab.a, glaze.lab.b], "{id}");
            glazes += 1;
        }
        let Some(id) = record["form"].as_str() else { continue };
        let shape = &key.forms.iter().find(|f| f.id.as_str() == id).unwrap().shape;
        let widest = |line: &[footring::key::shape::Point]| {
            2.0 * footring::key::outline::polyline(line, 0.01).iter().map(|p| p.0).fold(0.0, f64::max)
        };
        forms += 1;
        if record["view"] == "above" {
            let (outline, plan) = (&record["outline"], shape.lid_plan.as_ref().unwrap_or(&shape.plan));
            assert!((number(outline, "major_mm") - widest(&shape.lid)).abs() < 0.01, "{id}: {outline}");
            assert!((number(outline, "major_mm") / number(outline, "minor_mm") - plan.aspect()).abs() < 0.001, "{id}: {outline}");
            continue;
        }
        let (side, body) = (&record["side"], footring::key::outline::polyline(&shape.body, 0.01));
        let (first, last) = (body.first().unwrap(), body.last().unwrap());
        // A rim that flares loses some of its width where its edge is rounded in a half circle of the wall's thickness.
        let edge = 0.75 * shape.wall_mm;
        for (name, want, by) in [
            ("height_mm", last.1, 0.3),
            ("foot_mm", 2.0 * first.0, 0.01),
            ("max_mm", widest(&shape.body), edge),
            ("rim_mm", 2.0 * last.0, edge),
        ] {
            assert!((number(side, name) - want).abs() < by, "{id}: {name} {} {want}", side[name]);
        }
        // It holds less than the outside would, and more than nine in twenty of it.
        let outside = footring::key::outline::swept_volume_mm3(&body) / 1000.0;
        let share = number(side, "capacity_ml") / outside;
        assert!((0.45..0.98).contains(&share), "{id}: holds {share} of its outside");
    }
    assert!(forms >= 36 && glazes >= 30, "{forms} {glazes}");
}

/// Every number of one record against the other's.
fn same(one: &Value, two: &Value, at: &str) {
    match (one, two) {
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().unwrap(), b.as_f64().unwrap());
            assert!((a - b).abs() <= 0.011 + 1e-6 * a.abs(), "{at}: {a} and {b}");
        }
        (Value::Array(a), Value::Array(b)) => {
            assert_eq!(a.len(), b.len(), "{at}");
            a.iter().zip(b).enumerate().for_each(|(k, (a, b))| same(a, b, &format!("{at}/{k}")));
        }
        (Value::Object(a), Value::Object(b)) => {
            assert!(a.keys().eq(b.keys()), "{at}");
            a.iter().for_each(|(name, a)| same(a, &b[name], &format!("{at}/{name}")));
        }
        _ => assert_eq!(one, two, "{at}"),
    }
}

#[test]
fn the_renderer_still_gives_this_truth() {
    let key = footring::key::builtin::demo().key;
    let kept: Vec<Value> = records("above").into_iter().chain(records("side")).collect();
    assert_eq!(kept.len(), demo::COUNT);
    for n in [0, 8, demo::COUNT - 2] {
        let camera = &kept[n]["camera"];
        let shot = demo::shot(&key, n, (number(camera, "width") as u32, number(camera, "height") as u32)).unwrap();
        let again = shot.photograph.record(&shot.file, (shot.form, shot.glaze), shot.exif);
        same(&again, &kept[n], &shot.file);
    }
}

/// A picture of a fiftieth of the size is the same picture: its colours are the large one's.
#[test]
fn a_small_picture_drawn_again_looks_as_the_large_one_does() {
    let key = footring::key::builtin::demo().key;
    let shot = demo::shot(&key, 1, (216, 162)).unwrap();
    let bytes = shot.photograph.jpeg(shot.exif).unwrap();
    assert!(bytes == shot.photograph.jpeg(shot.exif).unwrap(), "two runs differ");
    let small = image::load_from_memory(&bytes).unwrap().to_rgb8();
    let large = image::open(folder().join(&shot.file)).unwrap().resize_exact(216, 162, image::imageops::FilterType::Triangle).to_rgb8();
    let off: f64 = small.iter().zip(large.iter()).map(|(a, b)| f64::from(a.abs_diff(*b))).sum::<f64>() / f64::from(216 * 162 * 3);
    assert!(off < 6.0, "on average {off} of 255 apart");
}
