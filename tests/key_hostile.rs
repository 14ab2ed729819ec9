//! Keys made to hurt: whatever stands in the files, every problem is a sentence with its place, and the rest of the key is there.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

use footring::identify::{Index, Piece};
use footring::key::{Loaded, load};
use std::fmt::Write as _;
use std::fs;

const KEY: &str = r#"(format: 1, title: "Test")"#;
const FEATURES: &str = r#"[(id: "rim", part: Body, view: Side, kind: Choice([(id: "plain"), (id: "rolled")]))]"#;
const LINES: &str = r#"[(id: "quoin", name: "Quoin")]"#;

fn form(id: &str, rest: &str) -> String {
    format!(r#"(id: "{id}", name: "{id}", line: "quoin", parts: [Body], shape: (body: [Corner(30, 0), Corner(50, 60)]), {rest})"#)
}

fn loaded(files: &[(&str, &[u8])]) -> Loaded {
    let dir = tempfile::tempdir().unwrap();
    for (name, text) in [("key.ron", KEY), ("features.ron", FEATURES), ("lines.ron", LINES)] {
        fs::write(dir.path().join(name), text).unwrap();
    }
    for (name, bytes) in files {
        fs::write(dir.path().join(name), bytes).unwrap();
    }
    load(dir.path())
}

/// The problems, each in a line with its place.
fn said(loaded: &Loaded) -> Vec<String> {
    loaded.problems.iter().map(|problem| format!("{}: {}", problem.place, problem.kind)).collect()
}

fn ids(loaded: &Loaded) -> Vec<&str> {
    loaded.key.forms.iter().map(|form| form.id.as_str()).collect()
}

/// Forms of which the second is broken by `middle`: the others are there, and the problem is said to be in it.
fn spoilt(middle: &str) -> (Loaded, Vec<String>) {
    let text = format!(
        "[\n{},\n{middle},\n{},\n]",
        form("first", r#"features: {"rim": Always("plain")}"#),
        form("last", r#"features: {"rim": Always("rolled")}"#)
    );
    let loaded = loaded(&[("forms.ron", text.as_bytes())]);
    let said = said(&loaded);
    (loaded, said)
}

#[test]
fn a_million_brackets_are_one_problem() {
    let (key, said) = spoilt(&"(".repeat(1_000_000));
    assert_eq!(key.key.forms[0].id.as_str(), "first");
    assert!(said.len() < 10 && said[0].starts_with("forms.ron:3:"), "{:?}", said.first());
    let (key, said) = spoilt(&format!("(id: \"x\", shape: {}{})", "[".repeat(100_000), "]".repeat(100_000)));
    assert_eq!(ids(&key), ["first", "last"]);
    assert!(said[0].starts_with("forms.ron:3:") && said[0].contains("deep"), "{:?}", said.first());
}

#[test]
fn what_is_never_closed_leaves_what_came_before() {
    for open in ["\"never ended", "r#\"never ended\"", "/* never ended", "(id: \"x\"", "(id: \"x\", features: {", "'"] {
        let (key, said) = spoilt(open);
        assert_eq!(ids(&key)[0], "first", "{open}");
        assert!(said.iter().any(|line| line.starts_with("forms.ron:")), "{open}: {said:?}");
        assert!(said.len() < 20, "{open}: {} problems", said.len());
    }
}

#[test]
fn a_line_of_fifty_megabytes_is_read() {
    let note = "x".repeat(50 << 20);
    let (key, said) = spoilt(&form("long", &format!("note: \"{note}\"")));
    assert_eq!(ids(&key), ["first", "long", "last"]);
    assert_eq!(key.key.forms[1].note.len(), 50 << 20);
    assert!(said.iter().all(|line| line.len() < 10_000), "no sentence repeats it");
    // The same where it is wrong: the sentence does not hold fifty megabytes either.
    let (key, said) = spoilt(&form("long", &format!("colour: \"{note}\"")));
    assert_eq!(ids(&key), ["first", "last"]);
    assert!(
        said[0].starts_with("forms.ron:3:") && said[0].contains("'colour'") && said[0].len() < 1000,
        "{}",
        &said[0][..200.min(said[0].len())]
    );
    let shown = key.problems[0].with_source();
    assert!(shown.len() < 4000, "{} bytes are shown", shown.len());
}

#[test]
fn bytes_that_are_no_text_are_said_to_be_so() {
    let sound = form("dish", "");
    let wrong: [(&str, Vec<u8>); 4] = [
        ("no UTF-8", [b"[", sound.as_bytes(), b", \xff\xfe]"].concat()),
        ("noughts", [b"[".as_slice(), &[0; 4096], sound.as_bytes(), b"]"].concat()),
        ("UTF-16", "\u{feff}[]".encode_utf16().flat_map(u16::to_le_bytes).collect()),
        ("nothing but noughts", vec![0; 100_000]),
    ];
    for (what, bytes) in wrong {
        let key = loaded(&[("forms.ron", &bytes)]);
        let said = said(&key);
        assert!(!said.is_empty() && said[0].starts_with("forms.ron"), "{what}: {said:?}");
        assert!(said.len() < 20, "{what}: {} problems", said.len());
        assert_eq!(key.key.features.len(), 1, "{what}: the other files are there");
    }
    // A mark of the byte order and either end of line are nothing wrong.
    for text in [format!("\u{feff}[{sound}]"), format!("[\r\n{sound}\r\n]\r\n"), format!("[\r{sound}\r]\r")] {
        let key = loaded(&[("forms.ron", text.as_bytes())]);
        assert_eq!(ids(&key), ["dish"], "{text:?}: {:?}", said(&key));
    }
}

#[test]
fn numbers_that_are_none_are_told_in_their_place() {
    for (field, says) in [
        ("weight: 1e999", "weight"),
        ("weight: NaN", "weight"),
        ("weight: -0.0", "weight"),
        ("weight: -1", "weight"),
        ("features: {\"height\": Between(NaN, 3)}", "height"),
        ("made: (from: 99999999999999999999)", "99999999999999999999"),
        ("made: (from: -2147483648, to: 2147483647)", "-2147483648"),
    ] {
        let (key, said) = spoilt(&form("odd", field));
        assert!(said.iter().any(|line| line.starts_with("forms.ron:3:")), "{field}: {said:?}");
        assert!(said.iter().any(|line| line.contains(says)), "{field}: {said:?}");
        assert!(ids(&key).contains(&"first") && ids(&key).contains(&"last"), "{field}");
        // Whatever was let in, the engine answers.
        let (standing, _) = Index::new(&key.key).answer(&Piece::default());
        assert!(standing.entropy_bits.is_finite() && standing.candidates.iter().all(|c| c.probability.is_finite()), "{field}");
    }
}

#[test]
fn counts_as_large_as_they_go_are_counted() {
    let (key, said) =
        spoilt(&form("many", &format!("features: {{\"rim\": Values({{\"plain\": Times({}), \"rolled\": Times(0)}})}}", u32::MAX)));
    assert_eq!(ids(&key), ["first", "many", "last"], "{said:?}");
    let (standing, _) = Index::new(&key.key).answer(&Piece::default());
    assert!(standing.candidates.iter().all(|c| (c.probability - standing.candidates[0].probability).abs() < 1e-9));
    let (key, said) = spoilt(&form("more", "features: {\"rim\": Values({\"plain\": Times(4294967296)})}"));
    assert_eq!(ids(&key), ["first", "last"]);
    assert!(said[0].contains("4294967296"), "{said:?}");
}

#[test]
fn thousands_of_the_same_id_are_told_without_end_but_not_forever() {
    let all: Vec<String> = (0..5000).map(|_| form("same", "")).collect();
    let key = loaded(&[("forms.ron", format!("[{}]", all.join(",\n")).as_bytes())]);
    let said = said(&key);
    assert!(said.len() > 100 && said.len() < 1500, "{} problems", said.len());
    assert!(said.iter().any(|line| line.contains("'same'")), "{:?}", said.first());
    assert!(said.iter().any(|line| line.contains("more")), "the rest is counted: {:?}", said.last());
}

#[test]
fn a_feature_of_ten_thousand_values_and_a_form_of_ten_thousand_unknown_ones() {
    let mut values = String::new();
    for n in 0..10_000 {
        let _ = write!(values, "(id: \"v{n}\"),");
    }
    let features = format!("[(id: \"rim\", part: Body, view: Side, kind: Choice([{values}]))]");
    let forms =
        format!("[{}, {}]", form("one", "features: {\"rim\": Always(\"v9999\")}"), form("two", "features: {\"rim\": Always(\"v10000\")}"));
    let key = loaded(&[("features.ron", features.as_bytes()), ("forms.ron", forms.as_bytes())]);
    assert_eq!(key.key.forms.len(), 2);
    assert!(said(&key).iter().any(|line| line.contains("'v10000'") && line.contains("did you mean")), "{:?}", said(&key).last());
    assert_eq!(Index::new(&key.key).len(), 2);

    let mut unknown = String::new();
    for n in 0..10_000 {
        let _ = write!(unknown, "\"f{n}\": Always(\"x\"),");
    }
    let (key, said) = spoilt(&form("odd", &format!("features: {{{unknown}}}")));
    assert_eq!(ids(&key), ["first", "odd", "last"]);
    assert!(said.len() < 1500, "{} problems", said.len());
}

#[test]
fn signs_that_turn_the_writing_round_are_shown_for_what_they_are() {
    // A right-to-left override would show 'exe.nori' as 'iron.exe'; a bell, an escape sequence would speak to the terminal.
    for sign in ['\u{202e}', '\u{2066}', '\u{7}', '\u{1b}', '\u{0}'] {
        let (key, said) = spoilt(&form(&format!("a{sign}b"), "features: {\"rim\": Always(\"no such\")}"));
        assert!(ids(&key).contains(&"first"), "{sign:?}");
        for problem in &key.problems {
            for line in [problem.to_string(), problem.with_source(), problem.sentence()] {
                assert!(!line.contains(sign), "{sign:?} reaches the screen in {line:?}");
            }
        }
        assert!(!said.is_empty(), "{sign:?} in an id is nothing to keep silent about");
    }
}

#[test]
fn pictures_stay_inside_the_folder() {
    for path in [
        "../outside.png",
        "/etc/passwd",
        "pictures/../../outside.png",
        "C:\\\\pictures\\\\x.png",
        "\\\\\\\\server\\\\x.png",
        "pictures/a\\u{0}b.png",
    ] {
        let (key, said) = spoilt(&form("odd", &format!("pictures: [(file: \"{path}\")]")));
        assert!(said.iter().any(|line| line.starts_with("forms.ron:3:")), "{path}: {said:?}");
        assert!(ids(&key).contains(&"last"), "{path}");
    }
}

#[cfg(unix)]
#[test]
fn a_link_that_leads_out_of_the_folder_is_not_followed() {
    let outside = tempfile::tempdir().unwrap();
    fs::write(outside.path().join("secret.png"), "not a picture").unwrap();
    let dir = tempfile::tempdir().unwrap();
    for (name, text) in [("key.ron", KEY), ("features.ron", FEATURES), ("lines.ron", LINES)] {
        fs::write(dir.path().join(name), text).unwrap();
    }
    fs::create_dir(dir.path().join("pictures")).unwrap();
    std::os::unix::fs::symlink(outside.path().join("secret.png"), dir.path().join("pictures/out.png")).unwrap();
    fs::write(dir.path().join("forms.ron"), format!("[{}]", form("dish", "pictures: [(file: \"out.png\")]"))).unwrap();
    let key = load(dir.path());
    let said = said(&key);
    assert!(said.iter().any(|line| line.contains("out.png")), "{said:?}");
    // A file of the key that is a link out of it, or a folder, is said to be so.
    fs::remove_file(dir.path().join("lines.ron")).unwrap();
    fs::create_dir(dir.path().join("lines.ron")).unwrap();
    let key = load(dir.path());
    assert!(key.problems.iter().any(|problem| problem.place.file == "lines.ron"), "{:?}", key.problems.first());
}

#[test]
fn every_file_of_a_key_may_be_rubbish_at_once() {
    let rubbish = ["", "[", "]", "()", "nonsense", "{\"a\": 1}", "[[[[", "[(id: 3)]", "[(id: \"\")]", "\"", "/*", "[1,2,3]", "[(]"];
    for text in rubbish {
        let dir = tempfile::tempdir().unwrap();
        for name in
            ["key.ron", "features.ron", "lines.ron", "forms.ron", "glazes.ron", "decorations.ron", "marks.ron", "papers.ron", "counted.ron"]
        {
            fs::write(dir.path().join(name), text).unwrap();
        }
        let key = load(dir.path());
        assert!(key.key.forms.is_empty(), "{text}");
        assert!(text.is_empty() || !key.problems.is_empty(), "{text:?} is nothing to keep silent about");
        let (standing, _) = Index::new(&key.key).answer(&Piece::default());
        assert!(standing.candidates.is_empty());
    }
}

/// A key whose one form has a picture of these bytes.
fn with_picture(name: &str, bytes: &[u8]) -> Vec<String> {
    let dir = tempfile::tempdir().unwrap();
    for (file, text) in [("key.ron", KEY), ("features.ron", FEATURES), ("lines.ron", LINES)] {
        fs::write(dir.path().join(file), text).unwrap();
    }
    fs::create_dir(dir.path().join("pictures")).unwrap();
    fs::write(dir.path().join("pictures").join(name), bytes).unwrap();
    let forms = format!(
        "[\n{},\n{}\n]",
        form("dish", &format!("pictures: [(file: \"{name}\")]")),
        form("plate", "features: {\"rim\": Always(\"plain\")}")
    );
    fs::write(dir.path().join("forms.ron"), forms).unwrap();
    let loaded = load(dir.path());
    assert_eq!(ids(&loaded), ["dish", "plate"], "the rest of the key is there");
    said(&loaded).into_iter().filter(|line| line.contains(name)).collect()
}

#[test]
fn pictures_made_to_hurt_are_refused_in_their_place() {
    // A drawing with a script and a picture from elsewhere: drawings are not read at all.
    let svg = br#"<svg xmlns="http://www.w3.org/2000/svg"><script>x()</script><image href="http://example.org/x.png"/></svg>"#;
    let refused = "it is no JPEG, PNG, WebP or TIFF picture (save it as one)";
    for (name, bytes) in [("x.svg", &svg[..]), ("x.png", &svg[..]), ("x.webp", b"RIFF\0\0\0\0WAVE"), ("x.jpg", b"")] {
        let said = with_picture(name, bytes);
        assert!(said.len() == 1 && said[0].starts_with("forms.ron:2:") && said[0].ends_with(refused), "{name}: {said:?}");
    }
    // 60 000 × 60 000 pixels in a file of a few bytes.
    let mut bomb = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR".to_vec();
    bomb.extend(60_000_u32.to_be_bytes());
    bomb.extend(60_000_u32.to_be_bytes());
    bomb.extend([8, 6, 0, 0, 0]);
    let checksum = bomb[12..].iter().fold(u32::MAX, |sum, byte| {
        (0..8).fold(sum ^ u32::from(*byte), |sum, _| if sum & 1 == 1 { sum >> 1 ^ 0xedb8_8320 } else { sum >> 1 })
    });
    bomb.extend((!checksum).to_be_bytes());
    bomb.extend(b"\0\0\0\x04IDATxxxxyyyy");
    let said = with_picture("bomb.png", &bomb);
    assert!(said.len() == 1 && said[0].contains("it has 60000 × 60000 pixels, more than 120 million (make it smaller)"), "{said:?}");
}

#[cfg(unix)]
#[test]
fn no_file_of_a_key_leads_out_of_its_folder_or_is_waited_for() {
    let outside = tempfile::tempdir().unwrap();
    fs::write(outside.path().join("secret.ron"), "(password: \"tea\")").unwrap();
    fs::write(outside.path().join("true.png"), b"\x89PNG\r\n\x1a\n0000").unwrap();
    let dir = tempfile::tempdir().unwrap();
    for (name, text) in [("key.ron", KEY), ("features.ron", FEATURES), ("lines.ron", LINES)] {
        fs::write(dir.path().join(name), text).unwrap();
    }
    fs::create_dir(dir.path().join("pictures")).unwrap();
    let link = |from: &str, to: &str| std::os::unix::fs::symlink(outside.path().join(from), dir.path().join(to)).unwrap();
    link("secret.ron", "papers.ron");
    link("true.png", "pictures/out.png");
    std::os::unix::fs::symlink(outside.path(), dir.path().join("pictures/more")).unwrap();
    std::os::unix::fs::symlink("own.ron", dir.path().join("marks.ron")).unwrap();
    fs::write(dir.path().join("own.ron"), "[]").unwrap();
    let pipe = std::process::Command::new("mkfifo").arg(dir.path().join("glazes.ron")).status().is_ok_and(|status| status.success());
    let pictures = "pictures: [(file: \"out.png\"), (file: \"more/true.png\")]";
    fs::write(dir.path().join("forms.ron"), format!("[{}]", form("dish", pictures))).unwrap();
    let key = load(dir.path());
    let said = said(&key);
    assert!(!format!("{:?}", key.problems).contains("tea"), "what is outside is not shown: {said:?}");
    assert!(
        said.contains(
            &"papers.ron: this is a link that leads out of the key's folder, so it is not followed (put the file itself there)".to_owned()
        ),
        "{said:?}"
    );
    for picture in ["out.png", "more/true.png"] {
        assert!(
            said.iter().any(|line| line.starts_with("forms.ron:1:")
                && line.contains(&format!("'{picture}' can't be read: it is a link that leads out"))),
            "{picture}: {said:?}"
        );
    }
    assert!(!said.iter().any(|line| line.starts_with("marks.ron")), "a link inside the folder is nothing wrong: {said:?}");
    if pipe {
        assert!(said.contains(&"glazes.ron: this is no plain file, so it is not read (put one in its place)".to_owned()), "{said:?}");
    }
    assert_eq!(ids(&key), ["dish"]);
    // What was not read is not written either.
    let mut folder = footring::key::Folder::open(dir.path());
    let mut changed = folder.key().clone();
    changed.papers.push(ron::from_str("(id: \"memo\", title: \"Memo\", kind: Memo, date: Year(1954))").unwrap());
    assert!(folder.save(&changed).is_err());
    assert_eq!(fs::read_to_string(outside.path().join("secret.ron")).unwrap(), "(password: \"tea\")");
}

#[test]
fn a_file_of_a_gigabyte_is_not_read() {
    let dir = tempfile::tempdir().unwrap();
    for (name, text) in [("key.ron", KEY), ("features.ron", FEATURES), ("lines.ron", LINES)] {
        fs::write(dir.path().join(name), text).unwrap();
    }
    // As good as empty on the disk.
    fs::File::create(dir.path().join("forms.ron")).unwrap().set_len(1 << 30).unwrap();
    let key = load(dir.path());
    assert_eq!(said(&key)[0], "forms.ron: this file has 1024 megabytes, more than the 128 this program reads (divide the key)");
    assert_eq!((key.key.features.len(), key.key.lines.len()), (1, 1));
}

#[test]
fn a_name_with_signs_nobody_sees_is_told() {
    for (sign, called) in [('\u{202e}', "U+202E"), ('\u{200b}', "U+200B"), ('\u{7}', "U+0007"), ('\u{200f}', "U+200F")] {
        let text = format!("[{}]", form("dish", "").replace("name: \"dish\"", &format!("name: \"di\\u{{{:x}}}sh\"", u32::from(sign))));
        let key = loaded(&[("forms.ron", text.as_bytes())]);
        assert_eq!(
            said(&key)[1],
            format!(
                "forms.ron:1:21: the name of the form 'dish' holds {called}, which can't be seen and can make one name look like another (take it out)"
            )
        );
        assert_eq!(ids(&key), ["dish"], "it is used all the same");
    }
}
