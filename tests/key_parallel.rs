//! Reading a list on many cores has the outcome of reading it on one, broken entries and all.

#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

#[path = "../benches/common/big_key.rs"]
mod big_key;
#[path = "../benches/common/dice.rs"]
mod dice;

use footring::key::load;

/// The key and its problems as one text, read by so many threads.
fn read_by(threads: usize, dir: &std::path::Path) -> String {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
    let loaded = pool.install(|| load(dir));
    format!("{:?}\n{:#?}", loaded.key.forms, loaded.problems)
}

#[test]
fn a_damaged_file_reads_alike_on_one_core_and_on_several() {
    let folder = tempfile::tempdir().unwrap();
    big_key::write(folder.path(), &big_key::key(300, 6, 7)).unwrap();
    let file = folder.path().join("forms.ron");
    let sound = std::fs::read(&file).unwrap();
    let mut dice = dice::Dice::new(11);
    for damage in 0..12 {
        let mut bytes = sound.clone();
        for _ in 0..=damage {
            let at = dice.roll(bytes.len());
            bytes[at] = b"(){}[]\",:x0\n"[dice.roll(12)];
        }
        std::fs::write(&file, &bytes).unwrap();
        let (one, four) = (read_by(1, folder.path()), read_by(4, folder.path()));
        assert_eq!(one, four, "damage {damage}");
    }
}

#[test]
fn entries_and_problems_come_in_the_order_of_the_file() {
    let folder = tempfile::tempdir().unwrap();
    big_key::write(folder.path(), &big_key::key(2_000, 4, 7)).unwrap();
    let file = folder.path().join("forms.ron");
    let text = std::fs::read_to_string(&file).unwrap();
    // Every hundredth form has a field that is none, and every hundredth a line that is not there.
    let mut broken = String::new();
    for (n, part) in text.split("        name: ").enumerate() {
        if n > 0 {
            broken.push_str(if n % 100 == 50 { "        nmae: " } else { "        name: " });
        }
        broken.push_str(&if n % 100 == 20 { part.replace("line: \"line-", "line: \"lime-") } else { part.to_owned() });
    }
    std::fs::write(&file, broken).unwrap();
    let loaded = load(folder.path());
    let ids: Vec<&str> = loaded.key.forms.iter().map(|form| form.id.as_str()).collect();
    assert!(ids.is_sorted() && ids.len() == 1_980, "{} forms in order", ids.len());
    let lines: Vec<usize> = loaded.problems.iter().filter(|p| p.place.file == "forms.ron").map(|p| p.place.line).collect();
    assert!(lines.is_sorted() && lines.len() >= 40, "{} problems in order", lines.len());
}
