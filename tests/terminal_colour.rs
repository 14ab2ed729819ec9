//! `footring colour` on small pictures made here: a patch of a known colour under a tinted light, with noise, a highlight and a white beside it.
#![expect(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "tests; a JSON value that is not there is null")]

#[path = "common/ran.rs"]
mod ran;

use footring::colour::{Lab, delta_e00, srgb_from_linear};
use footring::photo::sampling::{Area, SamplingError, White, sample};
use image::{GrayImage, Rgb, RgbImage};
use proptest::prelude::*;
use rand::{Rng as _, SeedableRng as _};
use serde_json::Value;

const WHITE: &str = "10,10,60,40";
const AT: &str = "100,20,90,90";
/// A lamp: linear light.
const LAMP: [f64; 3] = [0.9, 0.62, 0.36];

/// A lamp that the camera has mostly taken away.
const MILD: [f64; 3] = [0.85, 0.76, 0.64];

/// What stands at a place: linear reflectance.
fn picture(light: [f64; 3], seed: u64, at: impl Fn(u32, u32) -> [f64; 3]) -> RgbImage {
    let mut dice = rand_chacha::ChaCha8Rng::seed_from_u64(seed);
    RgbImage::from_fn(200, 120, |x, y| {
        let reflected = if (5..80).contains(&x) && (5..60).contains(&y) { [White::USUAL_REFLECTANCE; 3] } else { at(x, y) };
        let mut channels = reflected.into_iter().zip(light).map(|(r, l)| {
            let noise: f64 = (0..12).map(|_| dice.random::<f64>()).sum::<f64>() - 6.0;
            (255.0 * srgb_from_linear(r * l) + 2.0 * noise).round() as u8
        });
        Rgb(std::array::from_fn(|_| channels.next().unwrap()))
    })
}

/// A glaze with a fall of light across it (a fifth) and a round highlight.
fn glazed(lab: Lab) -> impl Fn(u32, u32) -> [f64; 3] {
    let own = lab.to_linear();
    move |x, y| {
        let from_glare = (f64::from(x) - 150.0).hypot(f64::from(y) - 50.0);
        let shade = 1.1 - 0.2 * f64::from(x.saturating_sub(90)) / 110.0;
        let glare = (1.0 - from_glare / 20.0).clamp(0.0, 1.0);
        own.map(|c| c * shade + glare)
    }
}

fn rect(left: u32, top: u32, width: u32, height: u32) -> Area {
    Area::Rect { left, top, width, height }
}

fn saved(picture: &RgbImage) -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("lid.png");
    picture.save(&path).unwrap();
    let path = path.display().to_string();
    (folder, path)
}

fn number(value: &Value, pointer: &str) -> f64 {
    value.pointer(pointer).and_then(Value::as_f64).unwrap_or_else(|| panic!("{pointer} of {value}"))
}

#[test]
fn every_glaze_of_the_demo_key_under_three_lamps_is_first_or_a_twin() {
    let key = footring::key::builtin::demo().key;
    let (mut first, mut all) = (0, 0);
    for light in [[0.8, 0.8, 0.8], LAMP, [0.5, 0.62, 0.8]] {
        for (n, glaze) in key.glazes.iter().enumerate() {
            let picture = picture(light, n as u64, glazed(glaze.lab));
            let white = White::of(&picture, &rect(10, 10, 60, 40), White::USUAL_REFLECTANCE).unwrap();
            let sampled = sample(&picture, &rect(100, 20, 90, 90), &white).unwrap();
            let off = delta_e00(sampled.lab, glaze.lab);
            assert!(off < 2.0 * sampled.sd_delta_e, "{}: {off} {sampled:?}", glaze.name);
            let known = footring::identify::colours::glazes(&key);
            let ranking = footring::identify::colours::rank(&known, 0.02, sampled.lab, sampled.sd_delta_e);
            let sum = ranking.none + ranking.likely.iter().map(|l| l.probability).sum::<f64>();
            assert!((sum - 1.0).abs() < 1e-12, "{sum}");
            let best = ranking.likely.first().unwrap();
            let twins = footring::identify::colours::twins(&key, &ranking, sampled.sd_delta_e);
            let named = best.known.name == glaze.name;
            assert!(named || twins.iter().any(|t| t.other == glaze.name), "{} taken for {} {off} {sampled:?}", glaze.name, best.known.name);
            first += usize::from(named);
            all += 1;
        }
    }
    assert!(first * 10 >= all * 9, "first {first} of {all}");
}

/// The share of glazes within the 95 % that the spread promises, for cameras that have a matrix of the kind and lights of these.
fn within_95(matrix: &str, lights: &[&str]) -> f64 {
    let model: Value = serde_json::from_str(&std::fs::read_to_string("tests/reference/lamps.json").unwrap()).unwrap();
    let triple = |v: &Value| -> [f64; 3] { serde_json::from_value(v.clone()).unwrap() };
    let listed = |v: &Value| v.as_array().unwrap().clone();
    let (mut within, mut all) = (0, 0);
    for row in listed(&model["rows"]) {
        if row["matrix"] != matrix || !lights.contains(&row["light"].as_str().unwrap()) {
            continue;
        }
        for (lab, seen) in listed(&model["lab"]).iter().zip(listed(&row["glazes"])) {
            let (glaze, white) = (triple(&seen), triple(&row["white"]));
            let picture = RgbImage::from_fn(40, 20, |x, _| {
                Rgb((if x < 20 { white } else { glaze }).map(|c| (255.0 * srgb_from_linear(c)).round() as u8))
            });
            // A lamp so warm that it is no white any more is refused, which is right too.
            let Ok(white) = White::of(&picture, &rect(0, 0, 20, 20), 0.88) else { continue };
            let sampled = sample(&picture, &rect(20, 0, 20, 20), &white).unwrap();
            let [l, a, b] = triple(lab);
            all += 1;
            // 2.796: 95 in 100 of a three-dimensional normal.
            within += usize::from(delta_e00(sampled.lab, Lab::new(l, a, b)) < 2.796 * sampled.sd_delta_e);
        }
    }
    assert!(all >= 200, "{all}");
    f64::from(u32::try_from(within).unwrap()) / f64::from(all)
}

/// Cameras, lamps and glazes of a simple spectral model (`tests/reference/lamps.py`), which this program's arithmetic had no part in.
#[test]
fn the_spread_holds_what_it_says_in_daylight_and_mostly_under_lamps() {
    let lamps = ["A", "FL2", "FL11", "LED-B1", "LED-B3", "LED-V1"];
    for (matrix, lights, least) in
        [("two", &["D65", "D50"][..], 0.95), ("daylight", &["D65", "D50"], 0.95), ("two", &lamps, 0.9), ("daylight", &lamps, 0.6)]
    {
        let share = within_95(matrix, lights);
        assert!(share >= least, "{matrix} {lights:?}: {share}");
    }
}

/// A point of the card's plane in a demo photograph, by the camera of its truth (`demo/README.md`).
fn seen_at(camera: &Value, [x, y]: [f64; 2]) -> [f64; 2] {
    let value = |name: &str| camera[name].as_f64().unwrap();
    let list = |name: &str| -> Vec<f64> { serde_json::from_value(camera[name].clone()).unwrap() };
    let (turn, shift) = (list("rotation"), list("translation_mm"));
    let along = |k: usize| turn[3 * k] * x + turn[3 * k + 1] * y + shift[k];
    let (u, v) = (value("focal_px") * along(0) / along(2), value("focal_px") * along(1) / along(2));
    let bend = 1.0 + value("k1") * (2.0 * u.hypot(v) / value("width").hypot(value("height"))).powi(2);
    [value("cx") + u * bend, value("cy") + v * bend]
}

/// The lids of the demo that lie beside a white card: the white is the card's border, and the glaze an eighth of the way around the lid each time, of which the
/// one of middle lightness is taken, as somebody would who keeps clear of glare and shade.
#[test]
fn the_glaze_of_nearly_every_lid_of_the_demo_is_first() {
    let key = footring::key::builtin::demo().key;
    let truth: Vec<Value> = serde_json::from_str(&std::fs::read_to_string("demo/photographs/truth.json").unwrap()).unwrap();
    let (mut first, mut wrong) = (0, Vec::new());
    for record in truth.iter().filter(|r| r["view"] == "above" && r["card"] == "white") {
        let (Some(glaze), Some(file)) = (record["glaze"].as_str(), record["file"].as_str()) else { continue };
        let picture = image::open(format!("demo/photographs/{file}")).unwrap().to_rgb8();
        let area = |corners: [[f64; 2]; 4]| Area::Polygon(corners.map(|c| seen_at(&record["camera"], c)).to_vec());
        let white = White::of(&picture, &area([[-38.0, 21.8], [38.0, 21.8], [38.0, 26.0], [-38.0, 26.0]]), 0.88).unwrap();
        let radius = record["outline"]["minor_mm"].as_f64().unwrap() / 2.0;
        let centre: [f64; 2] = serde_json::from_value(record["centre_mm"].clone()).unwrap();
        let mut around: Vec<_> = (0..8)
            .filter_map(|k| {
                let (sin, cos) = (f64::from(k) * std::f64::consts::FRAC_PI_4).sin_cos();
                let (x, y, half) = (centre[0] + 0.62 * radius * cos, centre[1] + 0.62 * radius * sin, 0.12 * radius);
                sample(&picture, &area([[x - half, y - half], [x + half, y - half], [x + half, y + half], [x - half, y + half]]), &white)
                    .ok()
            })
            .collect();
        around.sort_by(|a, b| a.lab.l.total_cmp(&b.lab.l));
        let taken = &around[around.len() / 2];
        let ranking = footring::identify::colours::rank(&footring::identify::colours::glazes(&key), 0.005, taken.lab, taken.sd_delta_e);
        if ranking.none < 0.5 && ranking.likely[0].known.id == glaze {
            first += 1;
        } else {
            wrong.push((file, ranking.none));
        }
    }
    // The rounded square lies in the light and its card in the shade: that it is none of these is as it should be, and no glaze is named.
    assert!(wrong.iter().all(|(file, none)| file.contains("rounded-square") && *none > 0.5), "{wrong:?}");
    assert!(first >= 12, "{first}");
}

#[test]
fn moss_is_named_with_its_twin_and_what_tells_them_apart() {
    let (_folder, path) = saved(&picture(MILD, 1, glazed(Lab::new(51.5, -13.0, 24.0))));
    let ran = ran::run(&["colour", &path, "--white", WHITE, "--at", AT, "--key", "demo", "--json"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let report: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(report.pointer("/glazes/0/glaze").and_then(Value::as_str), Some("moss"), "{report}");
    assert_eq!(report.pointer("/twins/0/glazes/1").and_then(Value::as_str), Some("Sedge"), "{report}");
    assert!(report.pointer("/twins/0/told_by").unwrap().to_string().contains("years: Moss 1951 to 1957, Sedge 1957 to 1964"), "{report}");
    assert!((number(&report, "/twins/0/delta_e") - 3.0).abs() < 0.1);
    assert!(number(&report, "/spread") >= footring::photo::sampling::FLOOR_SD);
    assert_eq!(report.pointer("/name").and_then(Value::as_str), Some("moderate yellow green"), "{report}");
    assert!(report.pointer("/notes").unwrap().to_string().contains("a hint, not a measurement"));
    let text = ran::run(&["colour", &path, "--white", WHITE, "--at", AT, "--paper"]);
    assert!(text.out.contains("Twins: Moss and Sedge, ΔE00 3.0 apart; this colour can't part them\n"), "{}", text.out);
    assert!(text.out.ends_with("Note: a photograph under a lamp is a hint, not a measurement\n"), "{}", text.out);
}

#[test]
fn a_clay_is_held_against_the_colours_of_its_feature() {
    let (_folder, path) = saved(&picture(LAMP, 2, glazed(Lab::new(67.0, 15.0, 15.0))));
    let ran = ran::run(&["colour", &path, "--white", WHITE, "--at", AT, "--feature", "colour of the clay", "--json"]);
    let report: Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(report.pointer("/glazes/0/glaze").and_then(Value::as_str), Some("rose"), "{report}");
    let ran = ran::run(&["colour", &path, "--white", WHITE, "--at", AT, "--feature", "height"]);
    assert_eq!(ran.code, 2);
    assert_eq!(ran.err, "footring: 'height' has no colours in this key (name a feature of glazes, or one whose values have a lab)\n");
}

#[test]
fn a_white_in_the_shade_of_a_lit_glaze_is_told() {
    // The glaze gets four times the light of the white.
    let lit = glazed(Lab::new(74.0, 2.0, 8.0));
    let (_folder, path) = saved(&picture([0.25; 3], 9, |x, y| lit(x, y).map(|c| 4.0 * c)));
    let ran = ran::run(&["colour", &path, "--white", WHITE, "--at", "105,85,40,30"]);
    assert_eq!(ran.code, 0);
    assert!(ran.out.contains("Note: the area is lighter than the white: glare is on it, or the white lies in shadow\n"), "{}", ran.out);
}

#[test]
fn a_colour_of_no_glaze_is_none_of_these() {
    let (_folder, path) = saved(&picture([0.8; 3], 3, glazed(Lab::new(55.0, 50.0, -25.0))));
    let ran = ran::run(&["colour", &path, "--white", WHITE, "--at", AT, "--json"]);
    let report: Value = serde_json::from_str(&ran.out).unwrap();
    assert!(number(&report, "/none_of_these") > 0.7, "{report}");
    assert!(
        report.pointer("/notes").unwrap().to_string().contains("no colour of this key is near: the nearest, Slate, is ΔE00 24"),
        "{report}"
    );
}

#[test]
fn specks_are_left_out_and_told() {
    let (ground, speck) = (Lab::new(77.5, 3.2, 16.5), Lab::new(40.0, 8.0, 14.0));
    let speckled = picture([0.85, 0.8, 0.7], 4, |x, y| if (x / 3) % 3 == 0 && (y / 3) % 3 == 0 { speck } else { ground }.to_linear());
    let white = White::of(&speckled, &rect(10, 10, 60, 40), White::USUAL_REFLECTANCE).unwrap();
    // Few enough pixels that a cell is one pixel.
    let sampled = sample(&speckled, &rect(100, 20, 60, 60), &white).unwrap();
    assert!(sampled.speckled && (0.05..0.3).contains(&sampled.left_out), "{sampled:?}");
    assert!(delta_e00(sampled.lab, ground) < 1.5, "{sampled:?}");
    let plain = picture([0.85, 0.8, 0.7], 4, |_, _| ground.to_linear());
    assert!(!sample(&plain, &rect(100, 20, 60, 60), &white).unwrap().speckled);
}

#[test]
fn the_border_of_a_card_may_be_a_polygon() {
    let picture = picture(LAMP, 5, glazed(Lab::new(47.5, -7.5, -24.5)));
    let by_rect = White::of(&picture, &rect(10, 10, 60, 40), 0.88).unwrap();
    let by_polygon = White::of(&picture, &Area::Polygon(vec![[10.0, 10.0], [70.0, 12.0], [66.0, 50.0], [12.0, 48.0]]), 0.88).unwrap();
    for (a, b) in by_rect.tint.iter().zip(by_polygon.tint) {
        assert!((a - b).abs() < 0.02, "{by_rect:?} {by_polygon:?}");
    }
    let outside = Area::Polygon(vec![[10.0, 10.0], [270.0, 12.0], [66.0, 50.0]]);
    assert_eq!(White::of(&picture, &outside, 0.88), Err(SamplingError::Outside { what: "white", width: 200, height: 120 }));
}

#[test]
fn what_cannot_be_is_said_in_a_sentence() {
    let (_folder, path) = saved(&picture(LAMP, 6, glazed(Lab::new(43.5, 49.0, 36.5))));
    let told = |white: &str, at: &str| {
        let ran = ran::run(&["colour", &path, "--white", white, "--at", at]);
        assert_eq!(ran.out, "");
        (ran.code, ran.err)
    };
    let sentence = |code: u8, text: &str| (code, format!("footring: {text}\n"));
    let where_to = "is not within the picture of 200 × 120 pixels (give left, top, width and height in pixels)";
    assert_eq!(told("190,10,60,40", AT), sentence(2, &format!("the area of the white {where_to}")));
    assert_eq!(told(WHITE, "100,20,4294967295,90"), sentence(2, &format!("the area of the glaze {where_to}")));
    assert_eq!(
        told("10,10,5,5", AT),
        sentence(1, "the area of the white has 25 pixels; at least 64 are needed (take a larger one, or a picture from nearer)")
    );
    assert!(told(WHITE, "100,20,0,90").1.contains("has 0 pixels"));
    assert_eq!(
        told("50,40,40,20", AT),
        sentence(1, "the area of the white is uneven: a shadow or an edge runs through it (take a smaller one, lit as the piece is)")
    );
    assert_eq!(
        told("180,90,20,20", AT),
        sentence(1, "the area of the white is too coloured for a white (choose the white border of the card, a grey patch or plain paper)")
    );
    let (code, err) = told("10,10,60", AT);
    assert!(code == 2 && err.contains("that is not left,top,width,height in whole pixels (write \"40,60,80,30\")"), "{err}");

    let (_folder, bright) = saved(&picture([1.3; 3], 7, glazed(Lab::new(60.0, 0.0, 0.0))));
    let ran = ran::run(&["colour", &bright, "--white", WHITE, "--at", AT]);
    assert_eq!(ran.code, 1);
    assert!(ran.err.starts_with("footring: the area of the white is overexposed: 100 % of it is as bright"), "{}", ran.err);
    let (_folder, dark) = saved(&picture([0.01; 3], 7, glazed(Lab::new(60.0, 0.0, 0.0))));
    let ran = ran::run(&["colour", &dark, "--white", WHITE, "--at", AT]);
    assert_eq!((ran.code, ran.err.contains("too dark to read a colour from")), (1, true), "{}", ran.err);
}

#[test]
fn rare_pictures_are_read_or_refused_in_a_sentence() {
    let folder = tempfile::tempdir().unwrap();
    let flat = picture([0.8; 3], 8, glazed(Lab::new(54.5, -6.0, -13.0)));
    let whole = image::DynamicImage::ImageRgb8(flat);
    for (name, picture) in [
        ("sixteen.png", image::DynamicImage::ImageRgb16(whole.to_rgb16())),
        ("alpha.png", image::DynamicImage::ImageRgba8(whole.to_rgba8())),
        ("grey.png", image::DynamicImage::ImageLuma8(whole.to_luma8())),
    ] {
        let path = folder.path().join(name);
        picture.save(&path).unwrap();
        let ran = ran::run(&["colour", &path.display().to_string(), "--white", WHITE, "--at", AT, "--json"]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{name}");
        let report: Value = serde_json::from_str(&ran.out).unwrap();
        // Without colours no glaze of the key is near.
        assert_eq!(number(&report, "/none_of_these") > 0.5, name == "grey.png", "{name}: {report}");
        let first = report.pointer("/glazes/0/glaze").and_then(Value::as_str);
        assert!(name == "grey.png" || first == Some("harbour"), "{name}: {report}");
    }
    let cmyk = ran::run(&["colour", "tests/data/photo/cmyk.jpg", "--white", WHITE, "--at", AT]);
    assert!(cmyk.code != 0 && cmyk.err.starts_with("footring: "), "{cmyk:?}");
    let gone = ran::run(&["colour", "no-such.jpg", "--white", WHITE, "--at", AT]);
    assert_eq!(gone.code, 1);
    assert!(gone.err.contains("there is no file 'no-such.jpg'"), "{}", gone.err);
}

fn any_area() -> impl Strategy<Value = Area> {
    let place = prop_oneof![-20.0..60.0_f64, Just(f64::NAN), Just(f64::INFINITY), Just(0.0), Just(40.0)];
    prop_oneof![
        (0..60_u32, 0..60_u32, prop_oneof![0..60_u32, Just(u32::MAX)], 0..60_u32).prop_map(|(left, top, width, height)| Area::Rect {
            left,
            top,
            width,
            height
        }),
        prop::collection::vec([place.clone(), place], 0..6).prop_map(Area::Polygon),
        (1..60_u32, prop::collection::vec(any::<u8>(), 60 * 60)).prop_map(|(size, bytes)| {
            Area::Mask(GrayImage::from_fn(size, 40.min(size), |x, y| image::Luma([bytes[(60 * y + x) as usize] / 128])))
        }),
    ]
}

proptest! {
    /// Any area of any small picture is read or refused: a colour in numbers, a spread no smaller than the least, shares that are shares.
    #[test]
    fn any_area_of_any_picture_is_read_or_refused(
        bytes in prop::collection::vec(any::<u8>(), 40 * 40 * 3), flat in any::<bool>(), white_at in any_area(), at in any_area(), share in any::<f64>()
    ) {
        let pixel = |n: usize| if flat { bytes[n % 3] } else { bytes[n] };
        let picture = RgbImage::from_fn(40, 40, |x, y| Rgb(std::array::from_fn(|c| pixel(((40 * y + x) * 3) as usize + c))));
        let whole = rect(0, 0, 40, 40);
        let white = White::of(&picture, &white_at, share).or_else(|_| White::of(&picture, &whole, share));
        let grey = RgbImage::from_pixel(40, 40, Rgb([200, 200, 200]));
        let white = white.or_else(|_| White::of(&grey, &whole, 0.88)).unwrap();
        prop_assert!(white.sd_delta_e >= 0.0 && white.sd_delta_e.is_finite());
        let Ok(sampled) = sample(&picture, &at, &white) else { return Ok(()) };
        let lab = sampled.lab;
        prop_assert!(lab.l.is_finite() && lab.a.is_finite() && lab.b.is_finite(), "{lab:?}");
        prop_assert!(sampled.sd_delta_e >= footring::photo::sampling::FLOOR_SD && (0.0..=1.0).contains(&sampled.left_out), "{sampled:?}");
        for (k, row) in sampled.covariance.iter().enumerate() {
            prop_assert!(row[k] >= 0.0 && row.iter().enumerate().all(|(j, c)| (c - sampled.covariance[j][k]).abs() < 1e-9), "{sampled:?}");
        }
    }

    /// Probabilities are probabilities whatever was read, and a nearer colour of the same spread is never less probable.
    #[test]
    fn probabilities_add_up_whatever_was_read(l in any::<f64>(), a in -120.0..120.0_f64, b in -120.0..120.0_f64, spread in any::<f64>(), slip in any::<f64>()) {
        let mut known = footring::identify::colours::glazes(&footring::key::builtin::demo().key);
        for k in &mut known {
            k.spread = 1.5;
        }
        for lab in [Lab::new(l, a, b), Lab::new(l.rem_euclid(100.0), a, b)] {
            let ranking = footring::identify::colours::rank(&known, slip, lab, spread);
            let sum = ranking.none + ranking.likely.iter().map(|l| l.probability).sum::<f64>();
            prop_assert!((sum - 1.0).abs() < 1e-9, "{ranking:?}");
            for pair in ranking.likely.windows(2) {
                prop_assert!(pair[0].delta_e <= pair[1].delta_e || pair[0].probability - pair[1].probability < 1e-12 || pair[0].delta_e.is_nan(), "{pair:?}");
            }
        }
        let nothing = footring::identify::colours::rank(&[], slip, Lab::new(50.0, a, b), spread).none;
        prop_assert!((nothing - 1.0).abs() < 1e-12, "{nothing}");
    }
}
