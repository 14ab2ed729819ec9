//! Saving a key: what was changed is written, everything else stays to the byte.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

use footring::key::merge::Step;
use footring::key::shape::Point;
use footring::key::{About, Counted, Folder, Form, KeyFile, Often, Part, Record, SaveError, history};
use proptest::prelude::*;
use std::fs;
use std::path::Path;

const FORMS: &str = r#"// The forms of a village library.
#![enable(implicit_some)]
[
    // ---- Quoin ----

    // seen by three of us
    (
        id: "sugar", name: "covered sugar", line: "quoin",   // the small one
        parts: [Body, Lid],
        /* measured /* twice */ */
        shape: (body: [Corner(30, 0), Curve(41.50, 20), Corner(45, 60)], lid: [Corner(44, 0), Curve(0, 12.0)]),
        features: {
            "lid-outline": Always("round"), // never oval
            "rim":    Values({"plain": Usually, "rolled": Sometimes}),
        },
    ),

    (id: "plate", name: r"plate", line: "quoin", parts: [Body], shape: (body: [Corner(60, 0), Corner(90, 15)])),


    // of the plate's saucer
    (id: "saucer", name: "saucer", line: "quoin", parts: [Body], shape: (body: [Corner(30, 0), Corner(75, 15)])) // no comma
    // the end
]
// after
"#;

fn folder(dir: &Path, forms: &str) -> Folder {
    fs::write(dir.join("key.ron"), "(\n    format: 1, // ours\n    title: \"Test\",\n)\n").unwrap();
    fs::write(
        dir.join("features.ron"),
        r#"[
    (id: "lid-outline", part: Lid, view: Above, kind: Choice([(id: "round"), (id: "oval")])),
    (id: "rim", part: Body, view: Side, kind: Choice([(id: "plain"), (id: "rolled")])),
    (id: "height", part: Body, view: Hand, kind: Measure(unit: Mm)),
]"#,
    )
    .unwrap();
    fs::write(dir.join("lines.ron"), "[(id: \"quoin\", name: \"Quoin\")]").unwrap();
    fs::write(dir.join("forms.ron"), forms).unwrap();
    Folder::open(dir)
}

fn forms_text(dir: &Path) -> String {
    fs::read_to_string(dir.join("forms.ron")).unwrap()
}

/// Changes the forms of [`FORMS`], saves, and gives the text and the reread forms.
fn after(forms: &str, change: impl FnOnce(&mut Vec<Form>)) -> String {
    let dir = tempfile::tempdir().unwrap();
    let mut folder = folder(dir.path(), forms);
    let mut key = folder.key().clone();
    change(&mut key.forms);
    let saved = folder.save(&key).unwrap();
    assert_eq!(saved.key, key, "what is read back is what was saved");
    assert_eq!(Folder::open(dir.path()).key(), &key, "and what a fresh start reads");
    forms_text(dir.path())
}

fn new_form(id: &str) -> Form {
    ron::from_str(&format!(
        "(id: \"{id}\", name: \"{id}\", line: \"quoin\", parts: [Body], shape: (body: [Corner(20.0, 0.0), Corner(25.0, 30.0)]))"
    ))
    .unwrap()
}

#[test]
fn saving_what_was_not_changed_writes_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let mut folder = folder(dir.path(), FORMS);
    let saved = folder.save(&folder.key().clone()).unwrap();
    assert_eq!(saved.written, []);
    assert_eq!(forms_text(dir.path()), FORMS);
    assert!(!dir.path().join(".history").exists());
}

#[test]
fn one_value_of_one_form_is_one_word_of_the_file() {
    let text = after(FORMS, |forms| {
        forms[0].features.insert("lid-outline".into(), Record::Always("oval".into()));
    });
    assert_eq!(text, FORMS.replace("Always(\"round\")", "Always(\"oval\")"));
    let text = after(FORMS, |forms| forms[1].name = "dinner plate".to_owned());
    assert_eq!(text, FORMS.replace("r\"plate\"", "\"dinner plate\""));
    let text = after(FORMS, |forms| forms[0].shape.body[1] = Point::Curve(41.5, 22.0));
    assert_eq!(text, FORMS.replace("Curve(41.50, 20)", "Curve(41.50, 22)"));
}

#[test]
fn a_new_record_and_a_new_field_stand_among_their_neighbours() {
    let text = after(FORMS, |forms| {
        forms[0].features.insert("height".into(), Record::Between(58.0, 61.5));
        forms[0].note = "chips easily".to_owned();
        forms[0].parts.push(Part::Foot);
        let Some(Record::Values(rim)) = forms[0].features.get_mut("rim") else { unreachable!("it has") };
        rim.shift_remove("plain");
        rim.insert("rolled".into(), Often::Always);
    });
    let expected = FORMS
        .replace("{\"plain\": Usually, \"rolled\": Sometimes}),\n", "{\"rolled\": Always}),\n            \"height\": Between(58, 61.5),\n")
        .replace("        },\n    ),", "        },\n        note: \"chips easily\",\n    ),")
        .replace("parts: [Body, Lid],\n", "parts: [Body, Lid, Foot],\n");
    assert_eq!(text, expected);
}

#[test]
fn a_new_form_is_added_and_an_old_one_cut_out() {
    let text = after(FORMS, |forms| forms.push(new_form("jug")));
    let added = "    (id: \"jug\", name: \"jug\", line: \"quoin\", parts: [Body], shape: (body: [Corner(20, 0), Corner(25, 30)], wall_mm: 5, plan: Round, foot: Ring,";
    assert!(text.contains("15)])), // no comma\n"), "{text}");
    assert!(text.contains(added.split(", wall_mm").next().unwrap()) || text.contains("        id: \"jug\","), "{text}");
    assert!(text.ends_with("    // the end\n]\n// after\n"), "{text}");
    let text = after(FORMS, |forms| {
        forms.remove(1);
    });
    assert_eq!(
        text,
        FORMS.replace(
            "\n    (id: \"plate\", name: r\"plate\", line: \"quoin\", parts: [Body], shape: (body: [Corner(60, 0), Corner(90, 15)])),\n",
            ""
        )
    );
    let text = after(FORMS, |forms| {
        forms.remove(0);
    });
    assert!(text.contains("    // ---- Quoin ----\n"), "the heading stays: {text}");
    assert!(!text.contains("seen by three"), "what belonged to the form goes: {text}");
    let text = after(FORMS, Vec::clear);
    assert!(text.starts_with("// The forms of a village library.\n#![enable(implicit_some)]\n["), "{text}");
}

#[test]
fn forms_that_change_places_take_their_comments_along() {
    let text = after(FORMS, |forms| forms.swap(1, 2));
    let saucer = text.find("of the plate's saucer").unwrap();
    assert!(
        saucer < text.find("id: \"saucer\"").unwrap() && text.find("id: \"saucer\"").unwrap() < text.find("id: \"plate\"").unwrap(),
        "{text}"
    );
}

#[test]
fn windows_line_ends_stay() {
    let text = after(&FORMS.replace('\n', "\r\n"), |forms| forms.push(new_form("jug")));
    assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
    assert_eq!(text.matches("jug").count(), 2);
}

#[test]
fn a_key_with_no_forms_gets_its_first() {
    for empty in ["[]", "[\n]\n", "[ // none yet\n]\n", "// none\n[\n    // none yet\n]"] {
        let text = after(empty, |forms| forms.extend([new_form("jug"), new_form("mug")]));
        assert_eq!(text.matches("none").count(), empty.matches("none").count(), "{text}");
        assert!(text.contains("\n    ("), "on a line of its own: {text}");
    }
}

#[test]
fn an_entry_that_did_not_parse_is_never_written_over() {
    let broken = FORMS.replace("(id: \"plate\", name: r\"plate\"", "(id: \"plate\", nmae: r\"plate\"");
    let text = after(&broken, |forms| {
        forms[0].name = "sugar".to_owned();
        forms.push(new_form("jug"));
    });
    assert!(text.contains(
        "    (id: \"plate\", nmae: r\"plate\", line: \"quoin\", parts: [Body], shape: (body: [Corner(60, 0), Corner(90, 15)])),\n"
    ));
    assert!(text.contains("jug") && text.contains("name: \"sugar\","));
    let dir = tempfile::tempdir().unwrap();
    let mut folder = folder(dir.path(), &broken);
    let mut key = folder.key().clone();
    key.forms.push(new_form("plate"));
    assert_eq!(
        folder.save(&key).unwrap_err().to_string(),
        "the entry at forms.ron:18:5, which was not understood, has the id 'plate' (mend it there, or choose another id)"
    );
}

#[test]
fn a_file_that_makes_no_sense_is_not_saved() {
    let dir = tempfile::tempdir().unwrap();
    let mut folder = folder(dir.path(), "(id: \"x\")");
    let mut key = folder.key().clone();
    key.forms.push(new_form("jug"));
    assert_eq!(
        folder.save(&key).unwrap_err().to_string(),
        "'forms.ron' was not understood when it was read, so it is not written over (mend it first; its problems are listed)"
    );
    assert_eq!(forms_text(dir.path()), "(id: \"x\")");
}

#[test]
fn what_others_changed_meanwhile_is_kept() {
    let dir = tempfile::tempdir().unwrap();
    let mut folder = folder(dir.path(), FORMS);
    let mut key = folder.key().clone();
    let theirs = FORMS.replace("\"saucer\", name: \"saucer\"", "\"saucer\", name: \"big saucer\"");
    fs::write(dir.path().join("forms.ron"), &theirs).unwrap();
    assert_eq!(folder.changed_on_disk(), [KeyFile::Forms]);
    key.forms[0].name = "sugar".to_owned();
    let saved = folder.save(&key).unwrap();
    assert_eq!(saved.merged, [KeyFile::Forms]);
    assert_eq!(saved.key.forms[2].name, "big saucer");
    assert_eq!(forms_text(dir.path()), theirs.replace("\"covered sugar\"", "\"sugar\""));
    assert_eq!(folder.changed_on_disk(), []);
}

#[test]
fn a_real_clash_is_told_and_nothing_written() {
    let dir = tempfile::tempdir().unwrap();
    let mut folder = folder(dir.path(), FORMS);
    let mut key = folder.key().clone();
    let theirs = FORMS.replace("covered sugar", "lidded sugar");
    fs::write(dir.path().join("forms.ron"), &theirs).unwrap();
    key.forms[0].name = "sugar".to_owned();
    let error = folder.save(&key).unwrap_err();
    assert_eq!(error.to_string(), "the form 'sugar' was changed here and by another program since the key was read (choose which to keep)");
    let SaveError::Clash(clashes) = error else { unreachable!("a clash") };
    assert_eq!(clashes.len(), 1);
    assert_eq!(clashes[0].at.steps, [Step::Field("name".to_owned())]);
    let sides = [&clashes[0].base, &clashes[0].mine, &clashes[0].theirs].map(|side| side.clone().unwrap());
    assert_eq!(sides, ["\"covered sugar\"", "\"sugar\"", "\"lidded sugar\""]);
    assert_eq!(forms_text(dir.path()), theirs);
}

#[test]
fn ten_versions_are_kept_and_one_can_be_brought_back() {
    let dir = tempfile::tempdir().unwrap();
    let mut folder = folder(dir.path(), FORMS);
    for i in 0..13 {
        let mut key = folder.key().clone();
        key.forms[1].name = format!("plate {i}");
        folder.save(&key).unwrap();
    }
    let versions = history::versions(dir.path(), KeyFile::Forms).unwrap();
    assert_eq!(versions.iter().map(|v| v.sequence).collect::<Vec<_>>(), (4..=13).rev().collect::<Vec<_>>());
    assert!(fs::read_to_string(&versions[0].path).unwrap().contains("plate 11"));
    folder.restore(&versions[9]).unwrap();
    assert_eq!(folder.key().forms[1].name, "plate 2");
    let versions = history::versions(dir.path(), KeyFile::Forms).unwrap();
    assert!(fs::read_to_string(&versions[0].path).unwrap().contains("plate 12"), "what was there is kept");
}

#[test]
fn a_newer_key_is_not_written() {
    let dir = tempfile::tempdir().unwrap();
    folder(dir.path(), FORMS);
    fs::write(dir.path().join("key.ron"), "(format: 2, title: \"Test\")").unwrap();
    let mut folder = Folder::open(dir.path());
    let mut key = folder.key().clone();
    key.forms.clear();
    assert!(matches!(folder.save(&key), Err(SaveError::NewerFormat)));
    assert_eq!(forms_text(dir.path()), FORMS);
}

#[test]
fn a_key_of_an_older_format_is_read_and_brought_up_with_a_copy_kept() {
    let dir = tempfile::tempdir().unwrap();
    folder(dir.path(), FORMS);
    // Format 0: a key from before formats were numbered.
    let old = "(\n    // ours\n    title: \"Test\",\n)\n";
    fs::write(dir.path().join("key.ron"), old).unwrap();
    let mut folder = Folder::open(dir.path());
    assert_eq!((folder.key().about.format, folder.key().forms.len()), (1, 3));
    let told: Vec<String> = folder.problems().iter().take(1).map(|problem| format!("{} {}", problem.code(), problem.sentence())).collect();
    let sentence = "this key has format 0, the present one is 1 (it is read as it was meant; saving it brings it up and keeps a copy)";
    assert_eq!(told, [format!("older-format {sentence}")]);
    assert_eq!(fs::read_to_string(dir.path().join("key.ron")).unwrap(), old, "reading writes nothing");
    let up = folder.bring_up().unwrap().unwrap();
    assert_eq!(
        up.sentence(),
        "this key had format 0 and now has format 1: key.ron says which format it has (as it was, key.ron is kept in .history)"
    );
    assert_eq!(fs::read_to_string(dir.path().join("key.ron")).unwrap(), old.replace("title", "format: 1,\n    title"));
    let kept = history::versions(dir.path(), KeyFile::About).unwrap();
    assert_eq!(fs::read_to_string(&kept[0].path).unwrap(), old);
    assert_eq!((folder.problems()[0].code(), folder.bring_up().unwrap()), ("never-recorded", None), "it is done once");
    assert_eq!(forms_text(dir.path()), FORMS);
    // A save brings it up by itself.
    fs::write(dir.path().join("key.ron"), old).unwrap();
    let mut folder = Folder::open(dir.path());
    let mut key = folder.key().clone();
    key.forms[1].name = "dinner plate".to_owned();
    folder.save(&key).unwrap();
    assert_eq!(Folder::open(dir.path()).problems()[0].code(), "never-recorded", "it is a key of today");
}

#[test]
fn a_new_key_is_made_and_filled() {
    let dir = tempfile::tempdir().unwrap();
    let at = dir.path().join("mine");
    let about = About { format: 1, title: "Mine".to_owned(), give_percent: 2.0, ..About::default() };
    let mut folder = Folder::create(&at, &about).unwrap();
    assert_eq!(fs::read_to_string(at.join("key.ron")).unwrap(), "(format: 1, title: \"Mine\", give_percent: 2)\n");
    let mut key = folder.key().clone();
    key.forms.push(new_form("jug"));
    key.about.note = "first".to_owned();
    folder.save(&key).unwrap();
    assert_eq!(Folder::open(&at).key(), &key);
    assert!(Folder::create(&at, &about).unwrap_err().to_string().starts_with("there is a house key in '"));
}

#[cfg(unix)]
#[test]
fn permissions_links_and_write_protection_are_respected() {
    use std::os::unix::fs::PermissionsExt as _;
    let dir = tempfile::tempdir().unwrap();
    let mut folder = folder(dir.path(), FORMS);
    let path = dir.path().join("forms.ron");
    let real = dir.path().join("elsewhere.ron");
    fs::rename(&path, &real).unwrap();
    std::os::unix::fs::symlink(&real, &path).unwrap();
    fs::set_permissions(&real, fs::Permissions::from_mode(0o640)).unwrap();
    let mut key = folder.key().clone();
    key.forms[1].name = "plate 1".to_owned();
    folder.save(&key).unwrap();
    assert!(fs::symlink_metadata(&path).unwrap().is_symlink());
    assert_eq!(fs::metadata(&real).unwrap().permissions().mode() & 0o777, 0o640);
    fs::set_permissions(&real, fs::Permissions::from_mode(0o440)).unwrap();
    key.forms[1].name = "plate 2".to_owned();
    assert!(matches!(folder.save(&key), Err(SaveError::WriteProtected { file: KeyFile::Forms })));
    assert!(
        fs::read_dir(dir.path()).unwrap().all(|e| !e.unwrap().file_name().to_string_lossy().ends_with(".part")),
        "no half file is left"
    );
}

/// White space and comments as people leave them.
fn trivia() -> impl Strategy<Value = String> {
    let one = prop_oneof![
        6 => Just(" ".to_owned()),
        3 => Just("\n    ".to_owned()),
        2 => Just("\t".to_owned()),
        1 => Just(" // it's (odd], \"yes\n  ".to_owned()),
        1 => Just(" /* a, /* ) */ ' \" */ ".to_owned()),
        1 => Just("\n\n".to_owned()),
        4 => Just(String::new()),
    ];
    prop::collection::vec(one, 0..3).prop_map(|parts| parts.concat())
}

/// A form as text with trivia `t` between its tokens; what the text means does not depend on the trivia.
fn form_text() -> impl Strategy<Value = String> {
    (prop::collection::vec(trivia(), 24), "[a-z ]{1,9}", any::<bool>(), 1..90u8, any::<bool>(), any::<bool>()).prop_map(|(t, name, raw, radius, note, comma)| {
        let quoted = if raw { format!("r#\"{name}\"#") } else { format!("\"{name}\"") };
        let note = if note { format!(",{}note{}:{}\"n, (\\\"x\"", t[18], t[19], t[20]) } else { String::new() };
        let comma = if comma { "," } else { "" };
        format!(
            "({}id:{}\"@\"{},{}name{}:{quoted}{},{}line: \"quoin\",{}parts:{}[{}Body{},{}Lid{}],{}shape:{}(body: [Corner({radius}, 0), Curve(50,{}60.5)], lid: [Corner(4,0),Corner(0,9)]),{}features: {{\"rim\":{}Always(\"plain\")}}{note}{comma}{})",
            t[0], t[1], t[2], t[3], t[4], t[5], t[6], t[7], t[8], t[9], t[10], t[11], t[12], t[13], t[14], t[15], t[16], t[17], t[21]
        )
    })
}

/// A file of forms with ids f0, f1, …, and where each form stands in it.
fn file_text() -> impl Strategy<Value = (String, Vec<std::ops::Range<usize>>)> {
    (prop::collection::vec((form_text(), trivia(), trivia()), 1..6), trivia(), trivia(), any::<bool>(), any::<bool>()).prop_map(
        |(forms, head, tail, last_comma, windows)| {
            let mut text = format!("{head}[");
            let mut spans = Vec::new();
            let count = forms.len();
            for (i, (form, before, behind)) in forms.into_iter().enumerate() {
                text.push_str(&before);
                let start = text.len();
                text.push_str(&form.replace("\"@\"", &format!("\"f{i}\"")));
                spans.push(start..text.len());
                text.push_str(&behind);
                if i + 1 < count || last_comma {
                    text.push(',');
                }
            }
            text.push_str(&tail);
            text.push_str("\n]\n");
            if windows && !text.contains('\r') {
                let windows = text.replace('\n', "\r\n");
                let shift = |at: usize| at + text[..at].matches('\n').count();
                let spans = spans.iter().map(|span| shift(span.start)..shift(span.end)).collect();
                return (windows, spans);
            }
            (text, spans)
        },
    )
}

fn edit(form: &mut Form, which: u8) {
    match which % 10 {
        0 => form.name.push('x'),
        1 => form.shape.body.push(Point::Corner(40.0, 70.25)),
        2 => form.parts.push(Part::Foot),
        3 => {
            form.features.insert("lid-outline".into(), Record::Always("oval".into()));
        }
        4 => {
            form.features.clear();
        }
        5 => "new \"note\", // with\n more".clone_into(&mut form.note),
        6 => form.also = vec!["other".to_owned(), "third".to_owned()],
        7 => {
            form.shape.lid.remove(0);
        }
        8 => form.made.from = Some(1951),
        _ => form.shape.body[0] = Point::Curve(12.5, 0.0),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn editing_one_form_leaves_every_other_byte((text, spans) in file_text(), which in any::<prop::sample::Index>(), how in any::<u8>()) {
        let dir = tempfile::tempdir().unwrap();
        let mut folder = folder(dir.path(), &text);
        prop_assert_eq!(folder.key().forms.len(), spans.len(), "{}", text);
        let before = folder.key().clone();
        let mut key = before.clone();
        let index = which.index(spans.len());
        edit(&mut key.forms[index], how);
        let saved = folder.save(&key).unwrap();
        prop_assert_eq!(&saved.key, &key);
        let now = forms_text(dir.path());
        let span = &spans[index];
        prop_assert!(now.starts_with(&text[..span.start]), "before:\n{}\nafter:\n{}", text, now);
        prop_assert!(now.ends_with(&text[span.end..]), "before:\n{}\nafter:\n{}", text, now);
        // Taken back, it means what it meant.
        let undone = folder.save(&before).unwrap();
        prop_assert_eq!(&undone.key, &before);
    }

    #[test]
    fn adding_and_removing_forms_reads_back((text, spans) in file_text(), gone in any::<prop::sample::Index>(), at in any::<prop::sample::Index>()) {
        let dir = tempfile::tempdir().unwrap();
        let mut folder = folder(dir.path(), &text);
        let mut key = folder.key().clone();
        key.forms.insert(at.index(spans.len() + 1), new_form("jug"));
        let saved = folder.save(&key).unwrap();
        prop_assert_eq!(&saved.key, &key);
        key.forms.remove(gone.index(key.forms.len()));
        let saved = folder.save(&key).unwrap();
        prop_assert_eq!(&saved.key, &key);
        key.forms.reverse();
        let saved = folder.save(&key).unwrap();
        prop_assert_eq!(&saved.key, &key);
        for (i, span) in spans.iter().enumerate() {
            if key.forms.iter().any(|form| form.id.as_str() == format!("f{i}")) {
                prop_assert!(forms_text(dir.path()).contains(&text[span.clone()]), "a form that was not changed stands as it stood");
            }
        }
    }
}

#[test]
fn finds_that_were_counted_are_kept_in_a_file_of_their_own() {
    let dir = tempfile::tempdir().unwrap();
    let mut folder = folder(dir.path(), FORMS);
    let mut key = folder.key().clone();
    key.counted.push(Counted { id: "0190f3c2-0000-7000-8000-000000000001".into(), form: "sugar".into() });
    let saved = folder.save(&key).unwrap();
    assert_eq!(saved.written, [KeyFile::Counted]);
    assert_eq!(Folder::open(dir.path()).key().counted, key.counted);
    assert_eq!(
        fs::read_to_string(dir.path().join("counted.ron")).unwrap(),
        "[\n    (id: \"0190f3c2-0000-7000-8000-000000000001\", form: \"sugar\"),\n]\n"
    );
}
