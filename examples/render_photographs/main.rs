//! Renders photographs of invented tableware with a bank card beside it, with the truth of each: an independent second route for the measuring tests.
//!
//! `cargo run --release --example render_photographs -- --demo --out demo/photographs --megapixels 1.75`
//! `cargo run --release --example render_photographs -- --random 40 --seed 1 --out FOLDER [--view side] [--megapixels 1.92] [--phones 3] [--check] [--truth-only]`
//!
//! It shares no camera, fitting or colour code with the library; of the library it takes the forms of the demo key. Two runs of a seed write the same bytes on
//! one machine. `truth.json` in the folder describes every picture; `--check` also draws the truth over a copy of each; `--truth-only` writes no picture. No
//! real pottery, card or wording is shown.
//!
//! The demo's pictures are taken with two phones. By chance each picture has a lens of its own, which is the harder case; with `--phones N` they are taken in
//! turn with N of them.
//!
//! Above, the rim lies in the plane of the card's face. From the side the card stands upright, its lower edge on the table, and the plane of its face holds the
//! axis of the piece, which is upright too: `side.axis_mm` are the axis's foot on the table and its end at the rim, and `side.up` is the direction upward, all in
//! the card's plane (x along its long side, y along its short side, from its middle). The world and the camera are written down in `camera.rs`. Of the diameters
//! `rim_mm` is the greatest of the rim's rounded edge, `brim_mm` that of its highest circle, and `foot_mm` where it meets the table; `capacity_ml` is what
//! it holds level with the top of the rim, inside a wall of `wall_mm` everywhere.

#![expect(clippy::indexing_slicing, reason = "a tool run by hand on its own tables, whose sizes it sets itself")]

mod camera;
mod card;
mod chosen;
mod cloth;
mod demo;
mod form;
mod glaze;
mod lid;
mod phone;
mod plan;
mod render;
mod scene;
mod side;
mod solid;
mod truth;
mod vector;
mod vessel;

use chosen::Wish;
use form::Pot;
use phone::Phone;
use std::error::Error;
use std::path::Path;
use truth::Photograph;

fn main() -> Result<(), Box<dyn Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let value = |name: &str| args.iter().position(|a| a == name).and_then(|i| args.get(i + 1)).cloned();
    let flag = |name: &str| args.iter().any(|a| a == name);
    let count: u64 = value("--random").map_or(Ok(0), |s| s.parse())?;
    if count == 0 && !flag("--demo") {
        return Err("say how many scenes: --random N, or --demo".into());
    }
    let seed: u64 = value("--seed").map_or(Ok(1), |s| s.parse())?;
    let out = value("--out").ok_or("say where to: --out FOLDER")?;
    let view = value("--view").unwrap_or_else(|| "above".to_owned());
    if view != "above" && view != "side" {
        return Err(format!("the view '{view}' is neither 'above' nor 'side'").into());
    }
    let megapixels: f64 = value("--megapixels").map_or(Ok(1.92), |s| s.parse())?;
    if !(0.05..=50.0).contains(&megapixels) {
        return Err(format!("megapixels '{megapixels}' are not between 0.05 and 50").into());
    }
    let height = (megapixels * 1e6 / 4.0 * 3.0).sqrt().round() as u32;
    let size = ((f64::from(height) * 4.0 / 3.0).round() as u32, height);
    let mut writer = Writer { out: Path::new(&out), pictures: !flag("--truth-only"), check: flag("--check"), truth: Vec::new() };
    if flag("--demo") {
        let key = footring::key::builtin::demo().key;
        for n in 0..demo::COUNT {
            let shot = demo::shot(&key, n, size)?;
            writer.write(&shot.photograph, &shot.file, (shot.form, shot.glaze), shot.exif)?;
        }
        return Ok(());
    }
    let forms = form::round_forms();
    let phones: u64 = value("--phones").map_or(Ok(0), |s| s.parse())?;
    for k in 0..count {
        let phone = k.checked_rem(phones).map(|n| Phone::by_chance(seed.wrapping_mul(31).wrapping_add(n)));
        let seed = seed.wrapping_mul(10_007).wrapping_add(k);
        let wish = Wish { phone, ..Wish::default() };
        let (photograph, short) = if view == "side" {
            let planted = side::side(seed, size, &wish, |rng| Pot::by_chance(rng, &forms));
            (Photograph::Side(Box::new(planted)), "side")
        } else {
            (Photograph::Above(Box::new(lid::lid(seed, size, &wish, None))), "lid")
        };
        let file = format!("{short}-{:03}-{}.jpg", k + 1, photograph.scene().cloth.kind.name());
        writer.write(&photograph, &file, (None, None), k % 3 != 2)?;
    }
    Ok(())
}

/// Where pictures and truth go.
struct Writer<'a> {
    out: &'a Path,
    pictures: bool,
    check: bool,
    truth: Vec<serde_json::Value>,
}

impl Writer<'_> {
    fn write(&mut self, photograph: &Photograph, file: &str, of: (Option<&str>, Option<&str>), exif: bool) -> Result<(), Box<dyn Error>> {
        std::fs::create_dir_all(self.out)?;
        if self.pictures {
            let bytes = photograph.jpeg(exif)?;
            std::fs::write(self.out.join(file), &bytes)?;
            if self.check {
                std::fs::create_dir_all(self.out.join("check"))?;
                photograph.overlay(&bytes)?.save(self.out.join("check").join(file))?;
            }
        }
        self.truth.push(photograph.record(file, of, exif));
        // After each picture, so that what is there can be used while the rest is drawn.
        let records: Result<Vec<String>, _> = self.truth.iter().map(serde_json::to_string).collect();
        std::fs::write(self.out.join("truth.json"), format!("[\n{}\n]\n", records?.join(",\n")))?;
        Ok(())
    }
}
