//! Draws the marks of the demo key as they were designed, and photographs of worn ones with the truth of each. No camera, pottery or person involved.
//!
//! `cargo run --release --example render_marks -- --out demo/marks --pictures keys/marrowby/pictures`, or other photographs with their truth, drawn by lot and the same for the same seed:
//! `cargo run --release --example render_marks -- --out FOLDER --random 24 --seed 7`
//!
//! It shares no code with what unrolls marks. Two runs write the same bytes on one machine. `drawn.json` says where every letter of the drawings stands; `truth.json` says of each photograph which mark it shows, where every
//! letter lies, which way it stands, and where the middle of the letters on arcs runs, in pixels from the top left corner.

mod demo;
mod drawing;
mod letters;
mod lot;
mod photograph;

use drawing::{DESIGNS, Design, Inked, design};
use image::codecs::jpeg::JpegEncoder;
use image::{ImageEncoder as _, Rgb, RgbImage};
use photograph::{Shot, photograph, seen};
use serde_json::{Value, json};
use std::error::Error;
use std::path::Path;

fn main() -> Result<(), Box<dyn Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let args: Vec<&str> = args.iter().map(String::as_str).collect();
    match args.as_slice() {
        ["--out", folder, "--pictures", pictures] => demo(Path::new(folder), Path::new(pictures)),
        ["--out", folder, "--random", count, "--seed", seed] => by_lot(Path::new(folder), count.parse()?, seed.parse()?),
        _ => Err("say where to: --out FOLDER --pictures FOLDER, or --out FOLDER --random COUNT --seed SEED".into()),
    }
}

/// Photographs drawn by lot.
fn by_lot(folder: &Path, count: u32, seed: u32) -> Result<(), Box<dyn Error>> {
    std::fs::create_dir_all(folder)?;
    let mut truth = Vec::new();
    for number in 0..count {
        let shot = lot::shot(seed, number);
        let design = design(shot.mark).ok_or_else(|| format!("there is no mark '{}'", shot.mark))?;
        let file = format!("{number:03}-{}.jpg", shot.mark);
        std::fs::write(folder.join(&file), jpeg(&photograph(&shot, design))?)?;
        truth.push(record(&file, &shot, design));
    }
    write(&folder.join("truth.json"), &truth)
}

/// The photographs of the demo, and the drawings that are pictures of its key.
fn demo(folder: &Path, pictures: &Path) -> Result<(), Box<dyn Error>> {
    let mut drawings = Vec::new();
    for design in &DESIGNS {
        let inked = Inked::of(design, 24.0, 0.0, 1);
        drawn(design, &inked).save(pictures.join(format!("drawn-{}.png", design.id)))?;
        drawings.push(drawing(design, &inked));
    }
    write(&folder.join("drawn.json"), &drawings)?;
    let mut truth = Vec::new();
    for (name, shot) in &demo::SHOTS {
        let design = design(shot.mark).ok_or_else(|| format!("there is no mark '{}'", shot.mark))?;
        let file = format!("{name}.jpg");
        std::fs::write(folder.join(&file), jpeg(&photograph(shot, design))?)?;
        truth.push(record(&file, shot, design));
    }
    write(&folder.join("truth.json"), &truth)
}

/// A list, one record a line.
fn write(file: &Path, records: &[Value]) -> Result<(), Box<dyn Error>> {
    let lines: Vec<String> = records.iter().map(Value::to_string).collect();
    Ok(std::fs::write(file, format!("[\n{}\n]\n", lines.join(",\n")))?)
}

/// Pixels along a side of a drawing.
const DRAWN_PX: u32 = 300;

/// The mark on white, as designed.
fn drawn(design: &Design, inked: &Inked) -> RgbImage {
    let ink = design.ink.unwrap_or([0.35; 3]);
    RgbImage::from_fn(DRAWN_PX, DRAWN_PX, |px, py| {
        let mm = |p: u32, d: f64| ((f64::from(p) + d) / f64::from(DRAWN_PX) - 0.5) * 2.0 * inked.half_mm;
        let steps = [0.125, 0.375, 0.625, 0.875];
        let covered: f64 = steps.iter().flat_map(|dx| steps.map(|dy| inked.at((mm(px, *dx), -mm(py, dy))))).sum::<f64>() / 16.0;
        Rgb(ink.map(|c| ((1.0 + (c - 1.0) * covered) * 255.0).round() as u8))
    })
}

/// Where the letters of a drawing stand, in its pixels.
fn drawing(design: &Design, inked: &Inked) -> Value {
    let scale = f64::from(DRAWN_PX) / (2.0 * inked.half_mm);
    let px = |(x, y): (f64, f64), from: f64| [from + x * scale, from - y * scale].map(|v| (v * 100.0).round() / 100.0);
    let letters: Vec<Value> = design
        .letters()
        .iter()
        .map(|l| {
            let (half, wide) = (l.height / 2.0, l.width.max(0.6) / 2.0);
            json!({"line": l.line, "at": l.at, "letter": l.sign.to_string(), "middle_px": px(l.middle, f64::from(DRAWN_PX) / 2.0),
                "up_px": px((l.up.0 * half, l.up.1 * half), 0.0), "along_px": px((l.up.1 * wide, -l.up.0 * wide), 0.0)})
        })
        .collect();
    json!({"mark": design.id, "lines": lines(design), "letters": letters})
}

fn lines(design: &Design) -> Vec<Value> {
    design.lines.iter().map(|(text, place, ..)| json!({"text": text, "place": place.name()})).collect()
}

fn jpeg(picture: &RgbImage) -> Result<Vec<u8>, Box<dyn Error>> {
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 80).write_image(
        picture,
        picture.width(),
        picture.height(),
        image::ExtendedColorType::Rgb8,
    )?;
    Ok(bytes)
}

fn record(file: &str, shot: &Shot, design: &Design) -> Value {
    let (letters, arc) = seen(shot, design);
    let px = |(x, y): (f64, f64)| [(x * 100.0).round() / 100.0, (y * 100.0).round() / 100.0];
    let letters: Vec<Value> = letters
        .iter()
        .map(|s| {
            json!({"line": s.letter.line, "at": s.letter.at, "letter": s.letter.sign.to_string(),
                "middle_px": px(s.middle), "up_px": px(s.up), "along_px": px(s.along)})
        })
        .collect();
    json!({"file": file, "mark": shot.mark, "printed": design.ink.is_some(), "lost": shot.lost, "turned_deg": shot.roll_deg, "tilt_deg": shot.tilt_deg,
        "lines": lines(design), "letters": letters, "arc_px": arc.iter().map(|p| px(*p)).collect::<Vec<_>>()})
}
