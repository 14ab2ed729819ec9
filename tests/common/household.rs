//! The demo's photographs as somebody measures them whose phones the program remembers.

use footring::photo::camera::Cameras;
use footring::photo::{Limits, Photo, Prepared, Progress, Source, open};
use rayon::prelude::*;
use serde_json::Value;
use std::path::{Path, PathBuf};

pub(crate) fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/photographs")
}

/// The truth of every `n`th of the photographs of a view.
pub(crate) fn records(view: &str, n: usize) -> Vec<Value> {
    let truth: Vec<Value> = serde_json::from_str(&std::fs::read_to_string(folder().join("truth.json")).unwrap()).unwrap();
    truth.into_iter().filter(|row| row["view"] == view).step_by(n).collect()
}

pub(crate) fn taken(row: &Value) -> Photo {
    let file = row["file"].as_str().unwrap();
    open(Source::Path(folder().join(file)), &Limits::USUAL, &Progress::new()).unwrap()
}

/// What the straight edges of every `n`th of the lids say of the phones they were taken with.
pub(crate) fn phones(n: usize) -> Cameras {
    let said: Vec<_> = records("above", n)
        .into_par_iter()
        .map(|row| {
            let prepared = Prepared::of(&taken(&row), &Progress::new()).unwrap();
            (row["file"].as_str().unwrap().to_owned(), prepared.written.name, prepared.straight)
        })
        .collect();
    let mut cameras = Cameras::default();
    for (file, camera, straight) in said {
        if let (Some(camera), Some(k1)) = (camera, straight) {
            cameras.learn(&camera, &file, k1);
        }
    }
    cameras
}

/// A photograph with what the others say of its lens; of one that names no phone the person says which it was.
pub(crate) fn with_phone(alone: &Prepared, cameras: &Cameras, row: &Value) -> Prepared {
    let mut all = cameras.cameras.iter().map(|known| &known.camera);
    let told_by_hand = all.find(|camera| alone.written.name.is_none() && row["phone"] == camera.model.as_str());
    alone.with_known(cameras, told_by_hand, row["file"].as_str().unwrap())
}
