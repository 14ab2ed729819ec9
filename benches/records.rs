//! How long photographs and the daybook take.
//!
//! A photograph of twelve megapixels is what a phone takes; five thousand finds are some years of sorting.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a bench stops where it cannot go on")]

#[path = "common/finds.rs"]
mod finds;

use divan::Bencher;
use finds::find;
use footring::daybook::census::TallyQuestion;
use footring::daybook::many::Bulk;
use footring::daybook::{Column, Daybook, Filter, FindId, Order, Page, Question, Way};
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

/// A hundred thousand finds with three photographs each, made once.
static LARGE: LazyLock<tempfile::TempDir> = LazyLock::new(|| {
    let folder = tempfile::tempdir().unwrap();
    finds::fill(folder.path(), 100_000);
    folder
});

#[divan::bench(sample_count = 5, args = ["", "quoin", "find 4242", "14", "cream casserole", "nothing like it"])]
fn ids_of_a_hundred_thousand(bencher: Bencher<'_, '_>, words: &str) {
    let daybook = Daybook::open(LARGE.path()).unwrap();
    let question = Question { filter: Filter { search: words.to_owned(), ..Filter::default() }, ..Question::default() };
    bencher.bench_local(|| daybook.ids(&question).unwrap().len());
}

#[divan::bench(sample_count = 5, args = [Column::Form, Column::Box, Column::Sure])]
fn sorting_a_hundred_thousand(bencher: Bencher<'_, '_>, by: Column) {
    let daybook = Daybook::open(LARGE.path()).unwrap();
    let question = Question { order: Some(Order { by, way: Way::Up }), ..Question::default() };
    bencher.bench_local(|| daybook.ids(&question).unwrap().len());
}

#[divan::bench(sample_count = 10)]
fn sixty_in_sight_of_a_hundred_thousand(bencher: Bencher<'_, '_>) {
    let daybook = Daybook::open(LARGE.path()).unwrap();
    let ids = daybook.ids(&Question::default()).unwrap();
    let middle = &ids[50_000..50_060];
    bencher.bench_local(|| daybook.several(middle).unwrap().len());
}

#[divan::bench(sample_count = 5)]
fn chips_of_a_hundred_thousand(bencher: Bencher<'_, '_>) {
    let daybook = Daybook::open(LARGE.path()).unwrap();
    bencher.bench_local(|| daybook.facets(&Filter::default()).unwrap());
}

#[divan::bench(sample_count = 5)]
fn census_of_a_hundred_thousand(bencher: Bencher<'_, '_>) {
    let daybook = Daybook::open(LARGE.path()).unwrap();
    let heirs = std::collections::BTreeMap::new();
    let question = TallyQuestion { folder: "marrowby".to_owned(), glaze: Some("glaze".into()), decoration: None, heirs };
    bencher.bench_local(|| daybook.tally(&question).unwrap().len());
}

#[divan::bench(sample_count = 3)]
fn changing_a_thousand_of_a_hundred_thousand(bencher: Bencher<'_, '_>) {
    let mut daybook = Daybook::open(LARGE.path()).unwrap();
    let ids: Vec<FindId> = daybook.ids(&Question::default()).unwrap().into_iter().take(1000).collect();
    let mut turn = 0;
    bencher.bench_local(|| {
        turn += 1;
        daybook.change_many(&ids, &Bulk::Box(format!("box {turn}")), &find(0).found_at).unwrap()
    });
}

#[divan::bench(sample_count = 3)]
fn changing_ten_thousand_of_a_hundred_thousand_and_taking_it_back(bencher: Bencher<'_, '_>) {
    let mut daybook = Daybook::open(LARGE.path()).unwrap();
    let ids: Vec<FindId> = daybook.ids(&Question::default()).unwrap().into_iter().take(10_000).collect();
    let now = find(0).found_at;
    bencher.bench_local(|| {
        let done = daybook.change_many(&ids, &Bulk::PlaceFound("attic".to_owned()), &now).unwrap();
        daybook.take_back(&done.changed, &now).unwrap()
    });
}

#[divan::bench(sample_count = 3)]
fn opening_a_hundred_thousand() -> Daybook {
    Daybook::open(LARGE.path()).unwrap()
}

#[divan::bench(sample_count = 3)]
fn looking_a_hundred_thousand_through() {
    Daybook::open_looked_through(LARGE.path()).unwrap();
}
