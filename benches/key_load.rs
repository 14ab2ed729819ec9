//! How long a large house key takes to be read with all its checks, to have its names made ready, and to be saved with one form changed.
//!
//! What the figures are and how they were taken stands in `benches/README.md`.
#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::print_stderr,
    reason = "a bench stops where it cannot go on, and says what it does"
)]

#[path = "common/big_key.rs"]
mod big_key;
#[path = "common/dice.rs"]
mod dice;

use divan::Bencher;
use divan::counter::BytesCount;
use footring::key::{Folder, Form, Words, load};
use std::path::PathBuf;
use std::sync::LazyLock;

fn main() {
    divan::main();
}

/// A key in a folder of its own.
struct Case {
    folder: tempfile::TempDir,
    bytes: u64,
    forms: u64,
}

fn case(forms: usize) -> Case {
    let folder = tempfile::tempdir().unwrap();
    let bytes = big_key::write(folder.path(), &big_key::key(forms, 60, 42)).unwrap();
    eprintln!("{forms} forms x 60 features: {:.1} MB of RON", bytes as f64 / 1e6);
    let forms = std::fs::metadata(folder.path().join("forms.ron")).unwrap().len();
    Case { folder, bytes, forms }
}

static TWO_THOUSAND: LazyLock<Case> = LazyLock::new(|| case(2_000));
static TEN_THOUSAND: LazyLock<Case> = LazyLock::new(|| case(10_000));

const SIZES: [usize; 2] = [2_000, 10_000];

fn of(forms: usize) -> &'static Case {
    if forms == 2_000 { &TWO_THOUSAND } else { &TEN_THOUSAND }
}

/// The key with everything that is checked, as the window and every verb open it.
#[divan::bench(args = SIZES, sample_count = 10)]
fn read_and_check(bencher: Bencher<'_, '_>, forms: usize) {
    let case = of(forms);
    bencher.counter(BytesCount::new(case.bytes)).bench_local(|| load(case.folder.path()));
}

/// The same on one core: what it costs, rather than how long one waits.
#[divan::bench(args = SIZES, sample_count = 10)]
fn read_and_check_on_one_core(bencher: Bencher<'_, '_>, forms: usize) {
    let case = of(forms);
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    bencher.counter(BytesCount::new(case.bytes)).bench_local(|| pool.install(|| load(case.folder.path())));
}

/// The limit: the forms file alone through serde's RON on one core, with no places, no checks, and nothing of ours.
#[divan::bench(args = SIZES, sample_count = 10)]
fn the_same_forms_through_ron_alone(bencher: Bencher<'_, '_>, forms: usize) {
    let case = of(forms);
    let text = std::fs::read_to_string(case.folder.path().join("forms.ron")).unwrap();
    let options = ron::Options::default()
        .with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME)
        .with_default_extension(ron::extensions::Extensions::UNWRAP_NEWTYPES)
        .with_default_extension(ron::extensions::Extensions::UNWRAP_VARIANT_NEWTYPES);
    bencher.counter(BytesCount::new(case.forms)).bench_local(|| options.from_str::<Vec<Form>>(&text).unwrap());
}

/// The other limit: copying that file in memory.
#[divan::bench(args = SIZES, sample_count = 10)]
fn the_same_forms_copied(bencher: Bencher<'_, '_>, forms: usize) {
    let case = of(forms);
    let text = std::fs::read(case.folder.path().join("forms.ron")).unwrap();
    bencher.counter(BytesCount::new(case.forms)).bench_local(|| divan::black_box(text.clone()));
}

#[divan::bench(args = SIZES, sample_count = 10)]
fn names_made_ready(bencher: Bencher<'_, '_>, forms: usize) {
    let key = load(of(forms).folder.path()).key;
    bencher.bench_local(|| Words::new(&key));
}

/// One form of the key in another state, and the key written back: in a copy of its own, for saving changes it.
#[divan::bench(args = SIZES, sample_count = 10)]
fn save_one_changed_form(bencher: Bencher<'_, '_>, forms: usize) {
    let copy: PathBuf = tempfile::tempdir().unwrap().keep();
    for file in footring::key::KeyFile::ALL {
        // Some files a key can do without.
        let _ = std::fs::copy(of(forms).folder.path().join(file.name()), copy.join(file.name()));
    }
    let mut folder = Folder::open(&copy);
    let mut key = folder.key().clone();
    bencher.bench_local(|| {
        key.forms[forms / 2].weight += 1.0;
        folder.save(&key).unwrap()
    });
    std::fs::remove_dir_all(&copy).unwrap();
}
