//! Measures rendered photographs that have a truth beside them, as they are or made worse, and prints how far off each was and a table of all.
//!
//! `cargo run --release --example measure_photographs -- demo/photographs --view above [--worse noise|blur|smoothed|jpeg|shadow|covered|all] [--every 4] [--known]`
//!
//! With `--known` the lenses are learnt first from all photographs of the folder that name their camera, and of one that names none it is said which it was.
//!
//! With `--painted 150 --seed 9` in place of a folder it paints lids of its own, half of them round and warped as pieces are, half oval by 1.035 to 1.10, on
//! four cloths through a tilted camera, and says how often they were told apart and whether the probability is to be believed. (Painted, not rendered: flat
//! lids with a shadow, so that hundreds are done in minutes.)
//!
//! The card is found by itself. Shares are in per cent, lengths in mm, `sd` is the miss over what was said of it.

#![expect(clippy::print_stdout, reason = "a tool run by hand")]

mod painted;
#[path = "../../tests/common/staged.rs"]
#[expect(dead_code, reason = "tests use the rest")]
mod staged;
mod worse;

use footring::photo::camera::{CameraName, Cameras, Measured};
use footring::photo::outline::{Above, AboveOptions, Model};
use footring::photo::side::{SideSeen, Wall, measure};
use footring::photo::{Limits, MeasureError, Photo, Prepared, Progress, ScaleBy, Source, open};
use serde_json::Value;
use std::error::Error;
use std::path::Path;
use std::time::Instant;
use worse::Worse;

fn main() -> Result<(), Box<dyn Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let value = |name: &str| args.iter().position(|a| a == name).and_then(|i| args.get(i + 1)).cloned();
    if let Some(count) = value("--painted") {
        let mut held = Held::default();
        painted::measure(count.parse()?, value("--seed").map_or(Ok(1), |s| s.parse())?, &mut held)?;
        println!();
        held.print("painted");
        return Ok(());
    }
    let folder = args.first().filter(|a| !a.starts_with("--")).ok_or("say where the photographs are: FOLDER")?;
    let folder = Path::new(folder);
    let view = value("--view").unwrap_or_else(|| "above".to_owned());
    let every: usize = value("--every").map_or(Ok(1), |s| s.parse())?;
    let kinds: Vec<Option<Worse>> = match value("--worse") {
        None => vec![None],
        Some(all) if all == "all" => std::iter::once(None).chain(Worse::ALL.map(Some)).collect(),
        Some(name) => vec![Some(Worse::ALL.into_iter().find(|w| w.name() == name).ok_or("that is no way of making it worse")?)],
    };
    let truth: Vec<Value> = serde_json::from_str(&std::fs::read_to_string(folder.join("truth.json"))?)?;
    let cameras = if args.iter().any(|a| a == "--known") { learnt(folder, &truth)? } else { Cameras::default() };
    let rows: Vec<&Value> = truth.iter().filter(|row| text(row, "view") == view).step_by(every.max(1)).collect();
    let mut table = Vec::new();
    for kind in kinds {
        let mut held = Held::default();
        for (i, row) in rows.iter().enumerate() {
            let file = text(row, "file");
            let mut bytes = std::fs::read(folder.join(file))?;
            if let Some(worse) = kind {
                bytes = worse.copy(&bytes, corners(row), i as u64)?;
            }
            let photo = open(Source::Bytes { name: file.to_owned(), bytes: bytes.into() }, &Limits::USUAL, &Progress::new())?;
            let began = Instant::now();
            let prepared =
                Prepared::of(&photo, &Progress::new()).map(|alone| alone.with_known(&cameras, taken_with(row, &alone, &cameras), file));
            let said = prepared.map_err(|e| e.to_string()).and_then(|prepared| {
                if view == "side" { side(row, &photo, &prepared, &mut held) } else { above(row, &prepared, &mut held) }
            });
            let said = said.unwrap_or_else(|why| {
                held.refused += 1;
                why
            });
            println!("{:<8} {file}: {said} ({:.1} s)", kind.map_or("as taken", Worse::name), began.elapsed().as_secs_f64());
        }
        table.push((kind, held));
    }
    println!();
    for (kind, held) in &table {
        held.print(kind.map_or("as taken", Worse::name));
    }
    Ok(())
}

/// What the straight edges of all photographs say of the cameras they name.
fn learnt(folder: &Path, truth: &[Value]) -> Result<Cameras, Box<dyn Error>> {
    let mut cameras = Cameras::default();
    for row in truth {
        let file = text(row, "file");
        let photo = open(Source::Path(folder.join(file)), &Limits::USUAL, &Progress::new())?;
        let prepared = Prepared::of(&photo, &Progress::new())?;
        if let (Some(camera), Some(k1)) = (&prepared.written.name, prepared.straight) {
            cameras.learn(camera, file, k1);
        }
    }
    for known in &cameras.cameras {
        println!("{}: {:?}", known.camera, known.lens(""));
    }
    Ok(cameras)
}

/// The camera of a photograph that names none.
fn taken_with<'c>(row: &Value, alone: &Prepared, cameras: &'c Cameras) -> Option<&'c CameraName> {
    let all = cameras.cameras.iter().map(|known| &known.camera);
    all.filter(|camera| alone.written.name.is_none() && camera.model == text(row, "phone")).last()
}

fn text<'a>(row: &'a Value, name: &str) -> &'a str {
    row.get(name).and_then(Value::as_str).unwrap_or_default()
}

fn number(row: &Value, of: &str, name: &str) -> Option<f64> {
    row.get(of)?.get(name)?.as_f64()
}

fn corners(row: &Value) -> [(f64, f64); 4] {
    row.get("card_px").and_then(|px| serde_json::from_value(px.clone()).ok()).unwrap_or_default()
}

/// What came of one way of taking them.
#[derive(Default)]
struct Held {
    refused: usize,
    wrong_shape: usize,
    /// What was said of being round, and whether it was.
    round: Vec<(f64, bool)>,
    /// Name, miss in mm or as a share, and in standard deviations.
    misses: Vec<(&'static str, f64, f64)>,
}

impl Held {
    fn add(&mut self, name: &'static str, share: bool, got: Option<Measured>, truth: Option<f64>) -> String {
        let (Some(got), Some(truth)) = (got, truth) else { return format!("{name} –") };
        let miss = if share { 100.0 * (got.value / truth - 1.0) } else { got.value - truth };
        let sds = (got.value - truth) / got.sd;
        self.misses.push((name, miss, sds));
        format!("{name} {miss:+.2} ({sds:+.1} sd)")
    }

    fn print(&self, kind: &str) {
        let mut names: Vec<&str> = self.misses.iter().map(|m| m.0).collect();
        names.sort_unstable();
        names.dedup();
        println!("{kind}: {} refused, {} of a wrong shape", self.refused, self.wrong_shape);
        for name in names {
            let of: Vec<&(&str, f64, f64)> = self.misses.iter().filter(|m| m.0 == name).collect();
            let mut sizes: Vec<f64> = of.iter().map(|m| m.1.abs()).collect();
            sizes.sort_by(f64::total_cmp);
            let at = |share: f64| {
                sizes.get(((sizes.len() as f64 * share) as usize).min(sizes.len().saturating_sub(1))).copied().unwrap_or(f64::NAN)
            };
            let within = |most: f64| sizes.iter().filter(|s| **s <= most).count();
            let sds = |most: f64| of.iter().filter(|m| m.2.abs() <= most).count();
            println!(
                "  {name:<9} {} told: median {:.2}, 95 % {:.2}, worst {:.2}; {} within 1.5, {} within 5; {} within 2 sd, {} within 3",
                of.len(),
                at(0.5),
                at(0.95),
                at(1.0),
                within(1.5),
                within(5.0),
                sds(2.0),
                sds(3.0)
            );
        }
        let right = self.round.iter().filter(|(p, round)| (*p >= 0.5) == *round).count();
        if !self.round.is_empty() {
            // Of a probability that is to be believed this is as small as it gets (Brier, Monthly Weather Review 78, 1950, 1–3).
            let brier =
                self.round.iter().map(|(p, round)| (p - f64::from(u8::from(*round))).powi(2)).sum::<f64>() / self.round.len() as f64;
            println!("  round or oval: {right} of {} right, Brier {brier:.4}", self.round.len());
        }
        for (from, to) in [(0.0, 0.05), (0.05, 0.3), (0.3, 0.7), (0.7, 0.95), (0.95, 1.01)] {
            let of: Vec<&(f64, bool)> = self.round.iter().filter(|(p, _)| (from..to).contains(p)).collect();
            if !of.is_empty() {
                let mean = of.iter().map(|(p, _)| p).sum::<f64>() / of.len() as f64;
                println!("  said round with {mean:.2}: {} of {} were", of.iter().filter(|(_, round)| *round).count(), of.len());
            }
        }
    }
}

fn lid(prepared: &Prepared) -> Result<Above, MeasureError> {
    let scaled = prepared.scaled(&ScaleBy::FoundCard)?;
    prepared.above(&scaled, &AboveOptions::default(), &Progress::new())
}

fn above(row: &Value, prepared: &Prepared, held: &mut Held) -> Result<String, String> {
    let found = lid(prepared).map_err(|e| e.to_string())?;
    let (major, minor) = (number(row, "outline", "major_mm"), number(row, "outline", "minor_mm"));
    let model = row.get("outline").map_or("", |outline| text(outline, "model"));
    let own = match found.model {
        Model::Circle => "circle",
        Model::Ellipse => "ellipse",
        Model::Superellipse => "superellipse",
    };
    held.wrong_shape += usize::from(own != model);
    if model != "superellipse" {
        held.round.push((found.p_round, model == "circle"));
    }
    // A round lid that is warped has the truth's one diameter in the geometric mean of its axes.
    let mean = (found.major_mm.value * found.minor_mm.value).sqrt();
    let of = |axis: Measured| Some(if model == "circle" { Measured { value: mean, ..axis } } else { axis });
    let said = [held.add("major", false, of(found.major_mm), major), held.add("minor", false, of(found.minor_mm), minor)];
    Ok(format!("{}, round {:.2}, {own} for {model}", said.join(", "), found.p_round))
}

fn side(row: &Value, photo: &Photo, prepared: &Prepared, held: &mut Held) -> Result<String, String> {
    let scaled = prepared.scaled(&ScaleBy::FoundCard).map_err(|e| e.to_string())?;
    let card = scaled.card.ok_or("no card")?;
    let wall = number(row, "side", "wall_mm").map_or(Wall::Usual, Wall::Mm);
    let SideSeen { measured: m, seen, .. } = measure(photo.pixels(), &card, wall, &Progress::new()).map_err(|e| e.to_string())?;
    let truth = |name: &str| number(row, "side", name);
    let said = [
        held.add("height", true, m.height, truth("height_mm")),
        held.add("rim", true, m.rim, truth("rim_mm")),
        held.add("greatest", true, Some(m.greatest), truth("max_mm")),
        held.add("foot", true, m.foot, truth("foot_mm")),
        held.add("capacity", true, m.capacity.map(|c| c.ml), truth("capacity_ml")),
    ];
    Ok(format!("{}, seen {seen:.2}", said.join(", ")))
}
