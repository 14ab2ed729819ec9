//! Measuring on a photograph, stage by stage: a lid of the demo as it is (1.6 megapixels) and as a file of 12, and a piece from the side.
//!
//!     cargo bench --bench photo
//!
//! `peers/photo.py` does the same stages with `OpenCV` on the same pictures. The large file is the demo's own, made larger: it has no more to see, but as much to
//! read.

use divan::{Bencher, black_box};
use footring::photo::outline::{Above, AboveOptions, Model, Shape, algebraic, fit_shape};
use footring::photo::side::{Wall, measure};
use footring::photo::{Limits, Photo, Prepared, Progress, ScaleBy, Scaled, Source, open};
use image::codecs::jpeg::JpegEncoder;
use image::imageops::FilterType;
use std::path::Path;
use std::sync::{Arc, LazyLock};

fn main() {
    divan::main();
}

const LID: &str = "lid-02-quoin-casserole-one-linen.jpg";
const SIDE: &str = "side-02-quoin-pint-jug-wood.jpg";

fn demo(name: &str) -> Arc<[u8]> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/photographs").join(name)).unwrap_or_default().into()
}

/// The files: a lid, the same of 12 megapixels, a side.
static FILES: LazyLock<[Arc<[u8]>; 3]> = LazyLock::new(|| {
    let small = demo(LID);
    let large = image::load_from_memory(&small).map(|picture| picture.resize_exact(4000, 3000, FilterType::CatmullRom)).map(|picture| {
        let mut bytes = Vec::new();
        let written = JpegEncoder::new_with_quality(&mut bytes, 92).encode_image(&picture);
        written.map(|()| bytes).unwrap_or_default()
    });
    [small, large.unwrap_or_default().into(), demo(SIDE)]
});

const NAMES: [&str; 3] = ["lid_1_6_mp", "lid_12_mp", "side_1_6_mp"];

fn opened(name: &str) -> Photo {
    let bytes = NAMES.iter().position(|n| *n == name).and_then(|i| FILES.get(i)).cloned().unwrap_or_default();
    let source = Source::Bytes { name: format!("{name}.jpg"), bytes };
    open(source, &Limits::USUAL, &Progress::new()).unwrap_or_else(|why| unmeasured(&why))
}

fn prepared(photo: &Photo) -> Prepared {
    Prepared::of(photo, &Progress::new()).unwrap_or_else(|why| unmeasured(&why))
}

fn scaled(prepared: &Prepared) -> Scaled {
    prepared.scaled(&ScaleBy::FoundCard).unwrap_or_else(|why| unmeasured(&why))
}

fn above(prepared: &Prepared, scaled: &Scaled) -> Above {
    prepared.above(scaled, &AboveOptions::default(), &Progress::new()).unwrap_or_else(|why| unmeasured(&why))
}

#[expect(clippy::panic, reason = "a bench of a picture that is not measured measures nothing")]
fn unmeasured(why: &dyn std::error::Error) -> ! {
    panic!("the bench's picture is not measured: {why}")
}

/// Read from the file's bytes, upright.
#[divan::bench(args = ["lid_1_6_mp", "lid_12_mp"], sample_count = 10)]
fn a_open(name: &str) -> Photo {
    opened(name)
}

/// Laid out for looking, and the lens by straight edges.
#[divan::bench(args = ["lid_1_6_mp", "lid_12_mp"], sample_count = 10)]
fn b_lay_out(bencher: Bencher<'_, '_>, name: &str) {
    let photo = opened(name);
    bencher.bench(|| prepared(black_box(&photo)));
}

/// The card found and the camera placed.
#[divan::bench(args = ["lid_1_6_mp", "lid_12_mp", "side_1_6_mp"], sample_count = 10)]
fn c_find_card(bencher: Bencher<'_, '_>, name: &str) {
    let prepared = prepared(&opened(name));
    bencher.bench(|| scaled(black_box(&prepared)));
}

/// The outline found, refined, chosen and told with its ±.
#[divan::bench(args = ["lid_1_6_mp", "lid_12_mp"], sample_count = 10)]
fn d_outline(bencher: Bencher<'_, '_>, name: &str) {
    let prepared = prepared(&opened(name));
    let scaled = scaled(&prepared);
    bencher.bench(|| above(black_box(&prepared), &scaled));
}

/// The ellipse through its 360 points: the direct one, and from there the orthogonal one with weights.
#[divan::bench]
fn e_ellipse(bencher: Bencher<'_, '_>) {
    let prepared = prepared(&opened("lid_1_6_mp"));
    let found = above(&prepared, &scaled(&prepared));
    let points: Vec<_> = found.points.iter().map(|p| p.0.mm).collect();
    bencher.bench(|| {
        let start: Option<Shape> = algebraic(black_box(&points));
        start.and_then(|start| fit_shape(&points, Model::Ellipse, &start, 0.03))
    });
}

/// From the file's bytes to the numbers.
#[divan::bench(args = ["lid_1_6_mp", "lid_12_mp"], sample_count = 10)]
fn f_whole_lid(name: &str) -> Above {
    let prepared = prepared(&opened(name));
    let scaled = scaled(&prepared);
    above(&prepared, &scaled)
}

/// From the file's bytes to the numbers of the side view.
#[divan::bench(sample_count = 5)]
fn g_whole_side() -> f64 {
    let photo = opened("side_1_6_mp");
    let scaled = scaled(&prepared(&photo));
    let seen = scaled.card.map(|card| measure(photo.pixels(), &card, Wall::Usual, &Progress::new()));
    match seen {
        Some(Ok(seen)) => seen.measured.greatest.value,
        Some(Err(why)) => unmeasured(&why),
        None => 0.0,
    }
}
