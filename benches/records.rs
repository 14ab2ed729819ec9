//! How long photographs and the daybook take.
//!
//! A photograph of twelve megapixels is what a phone takes; five thousand finds are some years of sorting.
#![expect(clippy::unwrap_used, reason = "a bench stops where it cannot go on")]

use divan::Bencher;
use footring::daybook::{Daybook, Find, FindId, KeyName, Named, Page, Standing};
use footring::identify::{Observation, Piece, Seen, Sure};
use footring::photo::{Edit, Limits, Progress, Source, open, preview};
use image::{Rgb, RgbImage};
use std::sync::{Arc, LazyLock};

fn main() {
    divan::main();
}

/// A JPEG of twelve megapixels with something everywhere in it.
static JPEG: LazyLock<Arc<[u8]>> = LazyLock::new(|| {
    let picture = RgbImage::from_fn(4000, 3000, |x, y| Rgb([(x ^ y) as u8, (x * y / 997) as u8, (x / 16 + y / 16) as u8]));
    let mut bytes = std::io::Cursor::new(Vec::new());
    picture.write_to(&mut bytes, image::ImageFormat::Jpeg).unwrap();
    bytes.into_inner().into()
});

fn source() -> Source {
    Source::Bytes { name: "bench.jpg".to_owned(), bytes: Arc::clone(&JPEG) }
}

#[divan::bench(sample_count = 10)]
fn open_twelve_megapixels(bencher: Bencher<'_, '_>) {
    bencher.with_inputs(source).bench_values(|source| open(source, &Limits::USUAL, &Progress::new()).unwrap());
}

#[divan::bench(sample_count = 10, args = [320, 2048])]
fn preview_of_twelve_megapixels(bencher: Bencher<'_, '_>, longest_side: u32) {
    let photo = open(source(), &Limits::USUAL, &Progress::new()).unwrap();
    bencher.bench_local(|| preview(photo.pixels(), Edit::default(), longest_side));
}

fn find(n: i64) -> Find {
    let start: jiff::ZonedDateTime = "2026-03-02T10:00:00+00:00[+00:00]".parse().unwrap();
    Find {
        id: FindId::new(),
        revision: 0,
        found_at: start.checked_add(jiff::SignedDuration::from_secs(n * 61)).unwrap(),
        key: KeyName { title: "Marrowby house key".to_owned(), folder: "marrowby".to_owned() },
        named: Some(Named { form: "covered-sugar".into(), form_name: "covered sugar".to_owned(), line_name: "Quoin".to_owned() }),
        verdict: format!("Covered sugar, Quoin, find {n}"),
        probability: Some(0.9),
        standing: Standing::Settled,
        piece: Piece {
            observations: (0..8)
                .map(|i| Observation {
                    feature: format!("feature-{i}").as_str().into(),
                    seen: Seen::Values(vec!["oval".into()]),
                    sure: Sure::Sure,
                })
                .collect(),
            ..Piece::default()
        },
        box_label: format!("{}", n % 40),
        note: String::new(),
        photographs: Vec::new(),
        record: footring::daybook::Record::default(),
    }
}

/// A daybook of five thousand finds, made once.
static BOOK: LazyLock<tempfile::TempDir> = LazyLock::new(|| {
    let folder = tempfile::tempdir().unwrap();
    let mut daybook = Daybook::open(folder.path()).unwrap();
    for n in 0..5000 {
        let find = find(n);
        daybook.put(&find, &find.found_at).unwrap();
    }
    folder
});

#[divan::bench(sample_count = 20)]
fn open_a_daybook_of_five_thousand() -> Daybook {
    Daybook::open(BOOK.path()).unwrap()
}

#[divan::bench(sample_count = 50, args = ["", "quoin", "find 4242", "nothing like it"])]
fn newest_sixty_of_five_thousand(bencher: Bencher<'_, '_>, words: &str) {
    let daybook = Daybook::open(BOOK.path()).unwrap();
    let page = Page { search: words.to_owned(), most: 60, ..Page::default() };
    bencher.bench_local(|| (daybook.newest_first(&page).unwrap().len(), daybook.count(&page).unwrap()));
}

#[divan::bench(sample_count = 30)]
fn put_a_find(bencher: Bencher<'_, '_>) {
    let mut daybook = Daybook::open(BOOK.path()).unwrap();
    bencher.with_inputs(|| find(9000)).bench_local_values(|find| daybook.put(&find, &find.found_at).unwrap());
}
