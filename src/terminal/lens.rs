//! `footring lens`

use super::cli_lens::Lens as Asked;
use super::outcome::{Outcome, Trouble};
use super::page::{count, plain, say};
use super::photograph::{camera_named, cameras, opened};
use crate::photo::camera::{CameraName, Cameras, KnownCamera, Measured};
use crate::photo::{Prepared, Progress};
use serde::Serialize;
use std::io::Write;

#[derive(Serialize)]
struct Report {
    photographs: Vec<Looked>,
    cameras: Vec<Known>,
}

/// What one photograph says.
#[derive(Serialize)]
struct Looked {
    photograph: String,
    /// None where the photograph does not name its camera.
    camera: Option<String>,
    /// Radial distortion: the share by which the picture's corners lie further out than a pin-hole would put them. Null where nothing straight tells.
    k1: Option<f64>,
    sd: Option<f64>,
}

/// What all photographs of a camera say.
#[derive(Serialize)]
struct Known {
    camera: String,
    k1: f64,
    sd: f64,
    photographs: usize,
}

pub(super) fn run(asked: &Asked, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let mut known = asked.cameras.as_deref().map_or_else(|| Ok(Cameras::default()), cameras)?;
    if let Some(name) = &asked.forget {
        let camera = camera_named(&known, name)?.clone();
        known.forget(&camera);
    }
    let mut photographs = Vec::new();
    let mut outcome = Outcome::Well;
    for file in &asked.photos {
        let looked = opened(file, err).and_then(|photo| {
            let wrong = |e: crate::photo::MeasureError| Trouble::Problem(format!("'{}': {e}", photo.name()));
            let prepared = Prepared::of(&photo, &Progress::new()).map_err(wrong)?;
            Ok((photo.hash().to_string(), prepared.written.name, prepared.straight))
        });
        match looked {
            Ok((hash, camera, straight)) => {
                if let (Some(camera), Some(k1)) = (&camera, straight) {
                    known.learn(camera, &hash, k1);
                }
                photographs.push((file.display().to_string(), camera, straight));
            }
            // The others are looked at all the same.
            Err(trouble) => {
                say(err, &trouble.to_string());
                outcome = Outcome::Problems;
            }
        }
    }
    if let Some(file) = &asked.cameras
        && (asked.forget.is_some() || !asked.photos.is_empty())
    {
        known.write(file).map_err(|e| Trouble::Problem(e.to_string()))?;
    }
    if asked.json {
        super::json(&Report::of(&photographs, &known), out)?
    } else {
        print(&photographs, &known, out)?
    };
    Ok(outcome)
}

impl Report {
    fn of(photographs: &[(String, Option<CameraName>, Option<Measured>)], known: &Cameras) -> Self {
        let looked = |(photograph, camera, k1): &(String, Option<CameraName>, Option<Measured>)| Looked {
            photograph: photograph.clone(),
            camera: camera.as_ref().map(ToString::to_string),
            k1: k1.map(|k1| k1.value),
            sd: k1.map(|k1| k1.sd),
        };
        let said = |known: &KnownCamera| {
            let lens = known.lens("")?;
            Some(Known { camera: known.camera.to_string(), k1: lens.k1.value, sd: lens.k1.sd, photographs: lens.pictures })
        };
        Self { photographs: photographs.iter().map(looked).collect(), cameras: known.cameras.iter().filter_map(said).collect() }
    }
}

/// `corners 0.93 ± 0.32 % further out`
fn bends(k1: Measured) -> String {
    let way = if k1.value < 0.0 { "in" } else { "out" };
    format!("corners {} % further {way}", Measured::new(100.0 * k1.value.abs(), 100.0 * k1.sd))
}

fn print(photographs: &[(String, Option<CameraName>, Option<Measured>)], known: &Cameras, out: &mut dyn Write) -> Result<Outcome, Trouble> {
    for (photograph, camera, k1) in photographs {
        let says = k1.map_or_else(|| "too little that is straight is seen to tell".to_owned(), bends);
        let whose = camera.as_ref().map_or_else(|| "it does not name its camera".to_owned(), ToString::to_string);
        writeln!(out, "{}", plain(&format!("{photograph}: {says} ({whose})")))?;
    }
    if !photographs.is_empty() && !known.cameras.is_empty() {
        writeln!(out)?;
    }
    for camera in &known.cameras {
        if let Some(lens) = camera.lens("") {
            let by = count(lens.pictures, "photograph", "photographs");
            writeln!(out, "{}", plain(&format!("{}: {}, by {by}", camera.camera, bends(lens.k1))))?;
        }
    }
    if known.cameras.is_empty() {
        writeln!(out, "No camera is known.")?;
    }
    Ok(Outcome::Well)
}
