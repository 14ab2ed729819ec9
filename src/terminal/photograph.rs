//! What the verbs that look at photographs share: opening one, and what is known of cameras.

use super::outcome::Trouble;
use super::page::{count, say};
use crate::photo::camera::{CameraName, Cameras};
use crate::photo::{Limits, Photo, Prepared, Progress, Source, open};
use serde::Serialize;
use std::io::Write;
use std::path::Path;

/// What is believed of the lens of a photograph.
#[derive(Serialize)]
pub(super) struct LensBelieved {
    /// Radial distortion: the share by which the picture's corners lie further out than a pin-hole would put them.
    k1: f64,
    k1_sd: f64,
    /// How many other photographs of the same camera said something of it.
    photographs: usize,
}

impl LensBelieved {
    pub(super) fn of(prepared: &Prepared) -> Self {
        let photographs = prepared.known.map_or(0, |known| known.pictures);
        Self { k1: prepared.believed.lens.k1, k1_sd: prepared.believed.k1_sd, photographs }
    }

    /// In words.
    pub(super) fn words(&self) -> String {
        if self.photographs == 0 {
            "not known by other photographs".to_owned()
        } else {
            format!("known by {}", count(self.photographs, "photograph", "photographs"))
        }
    }
}

/// Opens a photograph; what is to be said of it goes to `err`.
pub(super) fn opened(file: &Path, err: &mut dyn Write) -> Result<Photo, Trouble> {
    let photo = open(Source::Path(file.to_owned()), &Limits::USUAL, &Progress::new()).map_err(|e| Trouble::Problem(e.to_string()))?;
    for note in photo.notes() {
        say(err, note);
    }
    Ok(photo)
}

/// Reads a file of cameras; there may be none yet.
pub(super) fn cameras(file: &Path) -> Result<Cameras, Trouble> {
    Cameras::read(file).map_err(|e| Trouble::Problem(e.to_string()))
}

/// The camera of that name: its model, with or without the focal length behind it, in any case.
pub(super) fn camera_named<'c>(cameras: &'c Cameras, name: &str) -> Result<&'c CameraName, Trouble> {
    let wanted = name.trim().to_lowercase();
    let fitting: Vec<&CameraName> = cameras
        .cameras
        .iter()
        .map(|known| &known.camera)
        .filter(|camera| camera.model.to_lowercase() == wanted || camera.to_string().to_lowercase() == wanted)
        .collect();
    match fitting.as_slice() {
        [one] => Ok(one),
        [] => {
            let all: Vec<String> = cameras.cameras.iter().map(|known| format!("'{}'", known.camera)).collect();
            let known = if all.is_empty() {
                "none is known yet; 'footring lens' makes them known".to_owned()
            } else {
                format!("known are {}", all.join(", "))
            };
            Err(Trouble::Misuse(format!("no camera '{}' is known ({known})", name.trim())))
        }
        several => {
            let all: Vec<String> = several.iter().map(|camera| format!("'{camera}'")).collect();
            Err(Trouble::Misuse(format!("'{}' has several lenses (say which: {})", name.trim(), all.join(", "))))
        }
    }
}
