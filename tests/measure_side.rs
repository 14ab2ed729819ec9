//! The demo photographs of pieces from the side, measured as a person does, the card found by itself, and held against their truth.
//!
//! Every photograph is either refused with a sentence or measured to within what is said of it. How many are refused, and how far off the rest are, is held
//! here as it is, so that a change for the worse is seen. Every fourth is measured; with `ALL_SIDES=1` all of them are.
//!
//! They are measured as by somebody who has the two phones remembered, as the lids are (`measure_demo.rs`): every third lid has taught their lenses, and of each
//! photograph that names no phone the person says which one it was. The copies made worse are measured each by itself, with nothing known of its lens.
#![expect(clippy::indexing_slicing, clippy::unwrap_used, clippy::print_stdout, reason = "tests")]

#[path = "common/household.rs"]
mod household;
#[path = "../examples/measure_photographs/worse.rs"]
#[expect(dead_code, reason = "the tool uses the rest")]
mod worse;

use footring::photo::camera::{Cameras, Measured};
use footring::photo::side::{SideSeen, Wall, measure};
use footring::photo::{Limits, Photo, Prepared, Progress, ScaleBy, Source, open};
use household::{folder, phones, records, taken, with_phone};
use rayon::prelude::*;
use serde_json::Value;
use worse::Worse;

fn sides() -> Vec<Value> {
    records("side", if std::env::var_os("ALL_SIDES").is_some() { 1 } else { 4 })
}

/// The card is found by itself; only the wall's thickness is told, as a person measures it.
fn measured(row: &Value, photo: &Photo, cameras: &Cameras) -> Result<SideSeen, String> {
    let prepared = with_phone(&Prepared::of(photo, &Progress::new()).map_err(|e| e.to_string())?, cameras, row);
    let scaled = prepared.scaled(&ScaleBy::FoundCard).map_err(|e| e.to_string())?;
    let wall = Wall::Mm(row["side"]["wall_mm"].as_f64().unwrap());
    measure(photo.pixels(), &scaled.card.unwrap(), wall, &Progress::new()).map_err(|e| e.to_string())
}

/// The worst error of a number as a share, its mean square in standard deviations, and how often it is told.
#[derive(Default)]
struct Held {
    worst: f64,
    squares: f64,
    told: usize,
}

impl Held {
    fn add(&mut self, got: Option<Measured>, truth: &Value) -> String {
        let (Some(got), Some(truth)) = (got, truth.as_f64()) else { return "not told".to_owned() };
        let share = got.value / truth - 1.0;
        self.worst = self.worst.max(share.abs());
        self.squares += ((got.value - truth) / got.sd).powi(2);
        self.told += 1;
        format!("{:+.1} ± {:.1} %", 100.0 * share, 200.0 * got.sd / truth)
    }

    fn rms(&self) -> f64 {
        (self.squares / self.told.max(1) as f64).sqrt()
    }
}

#[test]
fn demo_sides_are_measured_or_refused() {
    let cameras = phones(3);
    assert_eq!(cameras.cameras.len(), 2, "{cameras:?}");
    let results: Vec<(Value, Result<SideSeen, String>)> = sides()
        .into_par_iter()
        .map(|row| {
            let result = measured(&row, &taken(&row), &cameras);
            (row, result)
        })
        .collect();
    let (mut height, mut rim, mut greatest, mut foot) = (Held::default(), Held::default(), Held::default(), Held::default());
    let (mut capacity, mut on_hidden_foot) = (Held::default(), Held::default());
    let mut refused = 0;
    for (row, result) in &results {
        let file = row["file"].as_str().unwrap();
        let truth = &row["side"];
        match result {
            Ok(seen) => {
                let m = &seen.measured;
                let said = [
                    height.add(m.height, &truth["height_mm"]),
                    rim.add(m.rim, &truth["rim_mm"]),
                    greatest.add(Some(m.greatest), &truth["max_mm"]),
                    foot.add(m.foot, &truth["foot_mm"]),
                    if m.foot.is_some() { &mut capacity } else { &mut on_hidden_foot }.add(m.capacity.map(|c| c.ml), &truth["capacity_ml"]),
                ];
                println!("{file}: height {}, rim {}, greatest {}, foot {}, capacity {}", said[0], said[1], said[2], said[3], said[4]);
            }
            Err(why) => {
                refused += 1;
                println!("{file}: {why}");
            }
        }
    }
    println!("{refused} of {} refused", results.len());
    // The quart jug on linen is refused; it was measured once, with its foot 12 % off: what is not told is not wrong.
    assert!(refused * 14 <= 4 * results.len() + 13, "{refused} of {} refused", results.len());
    for (name, held, most) in [
        ("height", &height, 0.015),
        ("rim", &rim, 0.02),
        ("greatest", &greatest, 0.02),
        ("foot", &foot, 0.03),
        ("capacity", &capacity, 0.06),
        // Where the foot can't be told from its shadow, what a piece holds is only known as well as that, and its ± says so.
        ("capacity on a hidden foot", &on_hidden_foot, 0.10),
    ] {
        println!("{name}: worst {:.1} %, {:.2} standard deviations", 100.0 * held.worst, held.rms());
        let told = held.told > 0 || name.ends_with("hidden foot");
        assert!(told && held.worst < most, "{name} is {:.1} % off", 100.0 * held.worst);
        assert!(held.rms() < 1.5, "{name} is {:.2} standard deviations off", held.rms());
    }
}

/// In poor light and written small a clear piece is still measured, no number further off than its ± says. Of a mug half in shadow, the half up to the shadow's edge
/// was once taken for the piece: such a one is refused.
#[test]
fn worse_copies_are_measured_to_within_what_is_said() {
    let truth = records("side", 1);
    [("side-02", Worse::Noise, true), ("side-08", Worse::Shadow, false), ("side-14", Worse::Jpeg, true)].into_par_iter().for_each(
        |(name, kind, told)| {
            let row = truth.iter().find(|row| row["file"].as_str().unwrap().starts_with(name)).unwrap();
            let file = row["file"].as_str().unwrap();
            let jpeg = std::fs::read(folder().join(file)).unwrap();
            let corners = serde_json::from_value(row["card_px"].clone()).unwrap();
            let bytes = kind.copy(&jpeg, corners, 1).unwrap();
            let photo = open(Source::Bytes { name: file.to_owned(), bytes: bytes.into() }, &Limits::USUAL, &Progress::new()).unwrap();
            let seen = match measured(row, &photo, &Cameras::default()) {
                Ok(seen) => seen,
                Err(why) => {
                    assert!(!told, "{file} with {}: {why}", kind.name());
                    return;
                }
            };
            let (m, side, context) = (&seen.measured, &row["side"], format!("{file} with {}", kind.name()));
            let height = m.height.unwrap();
            assert!((height.value / side["height_mm"].as_f64().unwrap() - 1.0).abs() < 0.015, "{context}: {height} high");
            for (what, got, of) in [
                ("height", m.height, "height_mm"),
                ("rim", m.rim, "rim_mm"),
                ("greatest", Some(m.greatest), "max_mm"),
                ("foot", m.foot, "foot_mm"),
                ("capacity", m.capacity.map(|c| c.ml), "capacity_ml"),
            ] {
                let want = side[of].as_f64().unwrap();
                assert!(got.is_none_or(|got| (got.value - want).abs() < 3.0 * got.sd), "{context}: {what} {got:?} is not {want}");
            }
        },
    );
}
