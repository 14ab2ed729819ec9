//! What is done with bytes that nobody chose: by the fuzz targets for minutes, and by a test with the few bytes that are kept.

use footring::identify::Index;
use footring::identify::see::see;
use footring::key::diff::words::lines;
use footring::key::merge::{Choices, Side, join, join_file};
use footring::key::pack::unpack;
use footring::key::tables::quantity::{Decimal, parse};
use footring::key::tables::{Changes, HeaderRow, Mapping, Options, guess, import, new_key, read_bytes};
use footring::key::{Folder, Key, KeyFile, Words, builtin, load};
use footring::photo::{Limits, Progress, Source};
use std::fs;
use std::path::Path;
use std::sync::LazyLock;

/// Every sort of bytes, as the folders of the corpus are called.
pub(crate) const SORTS: [&str; 10] = ["forms", "features", "list", "workbook", "seen", "mapping", "merge", "diff", "picture", "packed"];

/// Gives bytes to what reads that sort of them. Nothing may panic, and what is said below must hold.
pub(crate) fn run(sort: &str, bytes: &[u8]) {
    match sort {
        "forms" => key_file("forms.ron", bytes),
        "features" => key_file("features.ron", bytes),
        "list" => list("list.csv", bytes),
        "workbook" => {
            list("list.xlsx", bytes);
            list("list.ods", bytes);
        }
        "seen" => seen(bytes),
        "mapping" => mapping(bytes),
        "merge" => merge(bytes),
        "diff" => difference(bytes),
        "picture" => picture(bytes),
        "packed" => packed(bytes),
        _ => {}
    }
}

thread_local! {
    static DIR: tempfile::TempDir = tempfile::tempdir().unwrap_or_else(|error| panic!("no folder for files: {error}"));
}

/// A key of which one file holds these bytes: it loads, every problem can be shown, the engine answers, and a save without a change changes
/// nothing.
fn key_file(name: &str, bytes: &[u8]) {
    DIR.with(|dir| {
        let dir = dir.path().join(name);
        let write = |name: &str, bytes: &[u8]| fs::create_dir_all(&dir).and_then(|()| fs::write(dir.join(name), bytes)).is_ok();
        let rest: [(&str, &str); 3] = [
            ("key.ron", "(format: 1, title: \"Fuzz\")"),
            ("lines.ron", "[(id: \"quoin\", name: \"Quoin\")]"),
            ("features.ron", "[(id: \"rim\", part: Body, view: Side, kind: Choice([(id: \"plain\"), (id: \"rolled\")])),(id: \"height\", part: Body, view: Hand, kind: Measure(unit: Mm))]"),
        ];
        let written = rest.iter().filter(|(other, _)| *other != name).all(|(other, text)| write(other, text.as_bytes())) && write(name, bytes);
        assert!(written, "the files could not be written");
        let loaded = load(&dir);
        for problem in &loaded.problems {
            assert!(!problem.with_source().is_empty() && !problem.code().is_empty());
            assert!(!problem.sentence().contains('\u{202e}'));
        }
        answers(&loaded.key);
        save_changes_nothing(&dir, name, bytes);
    });
}

fn answers(key: &Key) {
    if key.forms.len() > 200 || key.features.len() > 200 {
        return;
    }
    let (standing, verdict) = Index::new(key).answer(&footring::identify::Piece::default());
    let sum: f64 = standing.candidates.iter().map(|candidate| candidate.probability).sum::<f64>() + standing.not_in_key;
    assert!((sum - 1.0).abs() < 1e-9, "all probabilities come to {sum}");
    assert!(!verdict.sentence.is_empty());
}

fn save_changes_nothing(dir: &Path, name: &str, bytes: &[u8]) {
    let mut folder = Folder::open(dir);
    let key = folder.key().clone();
    if folder.save(&key).is_ok() {
        let after = fs::read(dir.join(name)).unwrap_or_default();
        assert_eq!(after, bytes, "saving what was read changed the file");
    }
}

/// A list: it is a table or a sentence, and what comes of it is a key whose own check finds no error.
fn list(name: &str, bytes: &[u8]) {
    for header in [HeaderRow::Guess, HeaderRow::First, HeaderRow::None] {
        let options = Options { header, ..Options::default() };
        match read_bytes(name, bytes.to_vec(), &options) {
            Err(error) => assert!(!error.to_string().is_empty()),
            Ok(table) => {
                assert!(table.problems.iter().chain(&table.notes).all(|problem| !problem.tell(&table).is_empty()));
                let empty = new_key(&table);
                let (_, mapping) = guess(&table, &empty, None);
                if let Ok(plan) = import(&empty, &table, &mapping) {
                    let made = plan.applied(Changes::Make);
                    assert!(plan.left_out.iter().all(|left_out| !left_out.tell(&table).is_empty()));
                    answers(&made);
                }
            }
        }
    }
}

/// What a person may type for what they see, and a quantity in a cell.
fn seen(bytes: &[u8]) {
    static DEMO: LazyLock<(Key, Words, Index)> = LazyLock::new(|| {
        let key = builtin::demo().key;
        let (words, index) = (Words::new(&key), Index::new(&key));
        (key, words, index)
    });
    let text = String::from_utf8_lossy(bytes);
    for decimal in [Decimal::Guess, Decimal::Comma] {
        match parse(&text, decimal) {
            Ok(quantity) => assert!(!format!("{quantity:?}").contains("NaN"), "{quantity:?}"),
            Err(error) => assert!(!error.to_string().is_empty()),
        }
    }
    let (key, words, index) = &*DEMO;
    let mut piece = footring::identify::Piece::default();
    for part in text.split('\n').take(8) {
        match see(key, words, part) {
            Ok(observation) => piece.see(observation),
            Err(error) => assert!(!error.to_string().is_empty()),
        }
    }
    let (standing, _) = index.answer(&piece);
    assert!(standing.entropy_bits.is_finite());
}

fn mapping(bytes: &[u8]) {
    DIR.with(|dir| {
        let path = dir.path().join("mapping.ron");
        assert!(fs::write(&path, bytes).is_ok());
        match Mapping::read(&path) {
            Ok(mapping) => {
                assert!(mapping.write(&path).is_ok());
                assert_eq!(Mapping::read(&path).ok(), Some(mapping), "what was written is read again");
            }
            Err(error) => assert!(!error.to_string().is_empty()),
        }
    });
}

/// Three texts of `forms.ron`, parted by lines of three equals signs.
fn versions(bytes: &[u8]) -> [Vec<u8>; 3] {
    let text = String::from_utf8_lossy(bytes);
    let mut parts = text.split("\n===\n").map(|part| part.as_bytes().to_vec());
    [(); 3].map(|()| parts.next().unwrap_or_default())
}

/// The forms that a text of `forms.ron` holds.
fn key_of(text: &[u8]) -> Key {
    DIR.with(|dir| {
        let dir = dir.path().join("merge");
        let written = fs::create_dir_all(&dir).and_then(|()| fs::write(dir.join("forms.ron"), text));
        assert!(written.is_ok(), "the file could not be written");
        load(&dir).key
    })
}

/// Put together, three texts lose nothing: where one side changed nothing the other's text stands, and my broken entries stay in any case.
fn merge(bytes: &[u8]) {
    let [base, mine, theirs] = versions(bytes);
    let joined =
        |base: &[u8], mine: &[u8], theirs: &[u8]| join_file(KeyFile::Forms, [Some(base), Some(mine), Some(theirs)], &Choices::default());
    assert_eq!(joined(&base, &base, &theirs).bytes.as_ref(), Some(&theirs));
    assert_eq!(joined(&base, &mine, &base).bytes.as_ref(), Some(&mine));
    let both = joined(&base, &mine, &theirs);
    if !both.problems.is_empty() {
        return;
    }
    let [was, here, there] = [&base, &mine, &theirs].map(|text| key_of(text));
    let meant = join(&was, &here, &there, &Choices::default());
    // With an entry under a new id the whole key tells more than the one file does.
    let ids = |key: &Key| key.forms.iter().map(|form| form.id.to_string()).collect::<std::collections::BTreeSet<_>>();
    let moved = |side: &Key| ids(&was).difference(&ids(side)).next().is_some() && ids(side).difference(&ids(&was)).next().is_some();
    if moved(&here) || moved(&there) {
        return;
    }
    let other_way = join(&was, &there, &here, &Choices::all(Side::Theirs));
    assert_eq!(meant.clashes.len(), other_way.clashes.len(), "a clash is one from either side");
    if let Some(text) = both.bytes.filter(|_| meant.doubled.is_empty()) {
        assert_eq!(both.clashes, meant.clashes);
        assert_eq!(key_of(&text).forms, meant.key.forms, "the text means what was joined");
    }
}

/// Two texts of `forms.ron`: what differs is said in lines that can be shown, and a key differs from itself in nothing.
fn difference(bytes: &[u8]) {
    let [old, new, _] = versions(bytes);
    let (old, new) = (key_of(&old), key_of(&new));
    assert_eq!(lines(&old, &old), Vec::<String>::new());
    let said = lines(&old, &new);
    assert_eq!(said.is_empty(), old.forms == new.forms, "{said:?}");
    assert!(said.iter().all(|line| !line.contains(['\n', '\u{202e}', '\u{1b}'])), "{said:?}");
}

/// A picture: it is upright pixels of the size that is told, or a sentence. What a camera wrote beside it is read as well.
fn picture(bytes: &[u8]) {
    // Small limits, so that a picture that says it is large takes no time.
    let limits = Limits { most_bytes: 1 << 20, most_pixels: 1 << 20, most_memory_bytes: 16 << 20 };
    let source = Source::Bytes { name: "picture.jpg".to_owned(), bytes: bytes.into() };
    match footring::photo::open(source, &limits, &Progress::default()) {
        Ok(photo) => {
            assert!(u64::from(photo.width()) * u64::from(photo.height()) <= limits.most_pixels);
            assert_eq!(photo.pixels().dimensions(), (photo.width(), photo.height()));
        }
        Err(error) => assert!(!error.to_string().is_empty()),
    }
}

/// A packed key: it comes out as a folder of its own with nothing beside it, or not at all.
fn packed(bytes: &[u8]) {
    DIR.with(|dir| {
        let around = dir.path().join("packed");
        let _none_yet = fs::remove_dir_all(&around);
        let file = around.join("key.footring");
        assert!(fs::create_dir_all(&around).and_then(|()| fs::write(&file, bytes)).is_ok());
        let to = around.join("key");
        let unpacked = unpack(&file, &to);
        let beside = fs::read_dir(&around).map_or(0, Iterator::count);
        match unpacked {
            Ok(_) => {
                assert_eq!((beside, to.join("key.ron").is_file()), (2, true));
                assert!(load(&to).problems.iter().all(|problem| !problem.with_source().is_empty()));
            }
            Err(error) => assert!(beside == 1 && !error.to_string().is_empty(), "{error}"),
        }
    });
}
