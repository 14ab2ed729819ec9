//! Two versions of a house key, put together or compared: nothing is lost, nothing is guessed.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, reason = "tests")]

#[path = "common/ran.rs"]
mod ran;

use footring::key::diff::words::{clash_place, clash_side, lines};
use footring::key::merge::{At, Choices, MergeError, Side, Step, join, join_file, join_folders};
use footring::key::{Counted, Folder, Key, KeyFile, Often, Part, Record, builtin, load};
use proptest::prelude::*;
use ran::run;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

const FORMS: &str = r#"// The forms of a village library.
[
    // ---- Quoin ----
    (
        id: "sugar", name: "covered sugar", line: "quoin",   // the small one
        parts: [Body, Lid],
        shape: (body: [Corner(30, 0), Curve(41.50, 20), Corner(45, 60)], lid: [Corner(44, 0), Curve(0, 12.0)]),
        features: {
            "lid-outline": Always("round"), // never oval
            "rim":    Values({"plain": Times(4), "rolled": Times(2)}),
        },
        glazes: [(id: "sage", papers: ["list-1953"])],
        claims: [(says: "the lid fits the jam pot", how: Suspected)],
    ),

    (id: "plate", name: r"plate", line: "quoin", parts: [Body], shape: (body: [Corner(60, 0), Corner(90, 15)])),

    (id: "saucer", name: "saucer", line: "quoin", parts: [Body], shape: (body: [Corner(30, 0), Corner(75, 15)])) // no comma
]
"#;

const REST: [(&str, &str); 5] = [
    ("key.ron", "(\n    format: 1, // ours\n    title: \"Test\",\n    synonyms: [[\"finial\", \"knob\"], [\"lug\", \"tab\"]],\n)\n"),
    (
        "features.ron",
        r#"[
    (id: "lid-outline", part: Lid, view: Above, kind: Choice([(id: "round"), (id: "oval"), (id: "square")])),
    (id: "rim", part: Body, view: Side, kind: Choice([(id: "plain"), (id: "rolled")])),
    (id: "height", part: Body, view: Hand, kind: Measure(unit: Mm)),
]"#,
    ),
    ("lines.ron", "[(id: \"quoin\", name: \"Quoin\")]"),
    ("glazes.ron", "[(id: \"sage\", name: \"Sage\", lab: (63, -11, 14)), (id: \"moss\", name: \"Moss\", lab: (50, -14, 22))]"),
    (
        "papers.ron",
        "[(id: \"list-1953\", title: \"Price list\", kind: PriceList, date: Year(1953)), (id: \"memo\", title: \"Memo\", kind: Memo, date: Year(1954))]",
    ),
];

/// A folder with the test's key, of which some files may be others.
fn folder(files: &[(&str, &str)]) -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    for (name, text) in REST.iter().copied().chain([("forms.ron", FORMS)]).chain(files.iter().copied()) {
        let path = dir.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }
    dir
}

fn key() -> Key {
    load(folder(&[]).path()).key
}

/// Base, mine and theirs in folders of their own, put together.
struct Three {
    dirs: [tempfile::TempDir; 3],
    out: tempfile::TempDir,
}

impl Three {
    fn new(mine: &[(&str, &str)], theirs: &[(&str, &str)]) -> Self {
        Self { dirs: [folder(&[]), folder(mine), folder(theirs)], out: tempfile::tempdir().unwrap() }
    }

    fn out(&self) -> PathBuf {
        self.out.path().join("joined")
    }

    fn verb(&self, more: &[&str]) -> ran::Ran {
        let paths = self.dirs.each_ref().map(|dir| dir.path().display().to_string());
        let out = self.out().display().to_string();
        let mut words = vec!["merge", &paths[0], &paths[1], &paths[2], "--out", &out];
        words.extend(more);
        let mut ran = run(&words);
        ran.out = ran.out.replace(&out, "DIR");
        ran
    }

    fn text(&self, file: &str) -> String {
        fs::read_to_string(self.out().join(file)).unwrap()
    }
}

fn forms(changes: &[(&str, &str)]) -> String {
    changes.iter().fold(FORMS.to_owned(), |text, (from, to)| {
        assert!(text.contains(from), "'{from}' is not in the text");
        text.replace(from, to)
    })
}

#[test]
fn what_each_side_changed_in_one_entry_is_joined_and_my_text_stays() {
    let mine = forms(&[("\"rolled\": Times(2)", "\"rolled\": Times(3)"), ("// never oval", "// never oval, said May")]);
    let theirs = forms(&[("Always(\"round\")", "Always(\"oval\")"), ("papers: [\"list-1953\"]", "papers: [\"list-1953\", \"memo\"]")]);
    let three = Three::new(&[("forms.ron", &mine)], &[("forms.ron", &theirs)]);
    let ran = three.verb(&[]);
    assert_eq!(
        (ran.code, ran.out.as_str()),
        (
            0,
            "Test: 1 entry from theirs, no clash, written to DIR\n\n\
             From theirs\n  forms\n    covered sugar, Quoin: lid outline round → oval; glaze Sage: paper Memo added\n"
        )
    );
    let expected =
        mine.replace("Always(\"round\")", "Always(\"oval\")").replace("papers: [\"list-1953\"]", "papers: [\"list-1953\", \"memo\"]");
    assert_eq!(three.text("forms.ron"), expected);
}

#[test]
fn an_entry_only_they_changed_or_added_is_as_they_wrote_it() {
    let mine = forms(&[("name: \"covered sugar\"", "name: \"sugar, covered\"")]);
    let theirs = forms(&[
        ("(id: \"plate\", name: r\"plate\",", "(id: \"plate\", name:   \"dinner plate\", /* theirs */"),
        (
            ")) // no comma\n",
            ")), // no comma\n\n    // as drawn by Ann\n    (id: \"jug\",   name: \"jug\", line: \"quoin\", parts: [Body], shape: (body: [Corner(20, 0), Corner(25, 30)])),\n",
        ),
    ]);
    let three = Three::new(&[("forms.ron", &mine)], &[("forms.ron", &theirs)]);
    assert_eq!(three.verb(&[]).code, 0);
    let text = three.text("forms.ron");
    assert!(text.contains("(id: \"plate\", name:   \"dinner plate\", /* theirs */ line:"), "{text}");
    assert!(text.contains("    // as drawn by Ann\n    (id: \"jug\",   name: \"jug\","), "{text}");
    assert!(text.contains("name: \"sugar, covered\", line: \"quoin\",   // the small one"), "{text}");
}

#[test]
fn a_field_that_both_changed_is_a_clash_and_mine_stands() {
    let mine = forms(&[("Always(\"round\")", "Always(\"oval\")"), ("\"plate\", name: r\"plate\"", "\"plate\", name: r\"big plate\"")]);
    let theirs = forms(&[("Always(\"round\")", "Always(\"square\")"), ("name: \"saucer\"", "name: \"deep saucer\"")]);
    let three = Three::new(&[("forms.ron", &mine)], &[("forms.ron", &theirs)]);
    let ran = three.verb(&[]);
    let list = "Clashes (mine stands)\n  covered sugar, Quoin: lid outline (forms.ron)\n    as it was  round\n    mine       oval\n    theirs     square\n";
    assert_eq!(ran.code, 1);
    assert!(ran.out.ends_with(&format!("\n\n{list}")), "{}", ran.out);
    assert_eq!(three.text("clashes.txt"), list);
    assert_eq!(three.text("forms.ron"), mine.replace("name: \"saucer\"", "name: \"deep saucer\""));
    let json: serde_json::Value =
        serde_json::from_str(&Three::new(&[("forms.ron", &mine)], &[("forms.ron", &theirs)]).verb(&["--json"]).out).unwrap();
    assert_eq!(json["clean"], false);
    assert_eq!(json["clashes"][0]["path"], serde_json::json!(["features", "lid-outline"]));
    assert_eq!(json["clashes"][0]["theirs"], "Always(\"square\",)");
}

#[test]
fn a_choice_settles_a_clash() {
    let base = key();
    let (mut mine, mut theirs) = (base.clone(), base.clone());
    mine.forms[0].features.insert("lid-outline".into(), Record::Always("oval".into()));
    mine.forms[0].note = "mine".to_owned();
    theirs.forms[0].features.insert("lid-outline".into(), Record::Always("square".into()));
    let joined = join(&base, &mine, &theirs, &Choices::default());
    assert_eq!(joined.clashes.len(), 1);
    let at = At {
        file: KeyFile::Forms,
        id: "sugar".to_owned(),
        steps: vec![Step::Field("features".to_owned()), Step::Name("lid-outline".to_owned())],
    };
    assert_eq!(joined.clashes[0].at, at);
    let said = Side::ALL.map(|side| clash_side(&joined.clashes[0], side, &base));
    assert_eq!(
        (clash_place(&joined.clashes[0], &base).as_str(), said),
        ("covered sugar, Quoin: lid outline", ["oval", "square", "round"].map(str::to_owned))
    );
    for (side, value) in [(Side::Mine, "oval"), (Side::Theirs, "square"), (Side::Base, "round")] {
        let mut choices = Choices::default();
        choices.choose(at.clone(), side);
        let joined = join(&base, &mine, &theirs, &choices);
        assert_eq!(joined.key.forms[0].features["lid-outline"], Record::Always(value.into()));
        assert_eq!(joined.key.forms[0].note, "mine", "what does not clash is joined whatever is chosen");
    }
}

#[test]
fn an_entry_one_took_out_and_the_other_changed_is_a_clash_as_a_whole() {
    let base = key();
    let (mut mine, mut theirs) = (base.clone(), base.clone());
    mine.forms.remove(1);
    theirs.forms[1].note = "chips".to_owned();
    theirs.forms.remove(2);
    let joined = join(&base, &mine, &theirs, &Choices::default());
    assert_eq!(joined.key.forms.iter().map(|form| form.id.as_str()).collect::<Vec<_>>(), ["sugar"]);
    assert_eq!(clash_place(&joined.clashes[0], &base), "plate, Quoin as a whole");
    let taken = join(&base, &mine, &theirs, &Choices::all(Side::Theirs));
    assert_eq!(taken.key.forms.iter().map(|form| form.id.as_str()).collect::<Vec<_>>(), ["sugar", "plate"]);
}

#[test]
fn lists_are_joined_by_what_their_items_are_about() {
    let base = key();
    let (mut mine, mut theirs) = (base.clone(), base.clone());
    mine.forms[0].also.push("sugar box".to_owned());
    theirs.forms[0].also.push("sucrier".to_owned());
    mine.forms[0].parts.push(Part::Finial);
    theirs.forms[0].parts.push(Part::Handle);
    mine.forms[0].claims[0].how = footring::key::How::Seen;
    theirs.forms[0].claims[0].papers.push("memo".into());
    mine.about.synonyms[0].push("knop".to_owned());
    theirs.about.synonyms[1].push("ear".to_owned());
    theirs.forms[0].glazes.push(ron::from_str("(id: \"moss\")").unwrap());
    mine.forms[0].glazes[0].often = Often::Usually;
    let joined = join(&base, &mine, &theirs, &Choices::default());
    assert_eq!(joined.clashes, []);
    let form = &joined.key.forms[0];
    assert_eq!(form.also, ["sucrier", "sugar box"]);
    assert_eq!(form.parts, [Part::Body, Part::Lid, Part::Handle, Part::Finial]);
    assert_eq!((form.claims[0].how, form.claims[0].papers.len()), (footring::key::How::Seen, 1));
    assert_eq!(joined.key.about.synonyms, [["finial", "knob", "knop"], ["lug", "tab", "ear"]]);
    assert_eq!((form.glazes[0].often, form.glazes.len()), (Often::Usually, 2));
    // A drawing is one thing: two that were redrawn are not mixed.
    let (mut mine, mut theirs) = (base.clone(), base.clone());
    mine.forms[0].shape.body[0] = footring::key::shape::Point::Corner(31.0, 0.0);
    theirs.forms[0].shape.body[2] = footring::key::shape::Point::Corner(46.0, 60.0);
    let joined = join(&base, &mine, &theirs, &Choices::default());
    assert_eq!(clash_place(&joined.clashes[0], &base), "covered sugar, Quoin: body profile");
}

#[test]
fn a_line_of_a_mark_that_both_read_anew_is_a_clash_and_not_two_lines() {
    let mut base = key();
    base.marks.push(
        ron::from_str(r#"(id: "round", name: "Round", layout: Round, applied: Impressed, wording: [(text: "MARROWBY"), (text: "QUOIN")])"#)
            .unwrap(),
    );
    let (mut mine, mut theirs) = (base.clone(), base.clone());
    "MARROWBY POTTERY".clone_into(&mut mine.marks[0].wording[0].text);
    "MARROWBY WARE".clone_into(&mut theirs.marks[0].wording[0].text);
    let joined = join(&base, &mine, &theirs, &Choices::default());
    assert_eq!(clash_place(&joined.clashes[0], &base), "Round: wording");
    assert_eq!(clash_side(&joined.clashes[0], Side::Theirs, &base), "'MARROWBY WARE', 'QUOIN'");
    let lines = |key: &Key| key.marks[0].wording.iter().map(|line| line.text.clone()).collect::<Vec<_>>();
    assert_eq!((joined.clashes.len(), lines(&joined.key)), (1, vec!["MARROWBY POTTERY".to_owned(), "QUOIN".to_owned()]));
    assert_eq!(lines(&join(&base, &mine, &theirs, &Choices::all(Side::Theirs)).key)[0], "MARROWBY WARE");
    // One line each is joined.
    let mut theirs = base.clone();
    "STONEWARE".clone_into(&mut theirs.marks[0].wording[1].text);
    let joined = join(&base, &mine, &theirs, &Choices::default());
    assert_eq!((joined.clashes.len(), lines(&joined.key)), (0, vec!["MARROWBY POTTERY".to_owned(), "STONEWARE".to_owned()]));
}

#[test]
fn counts_of_finds_that_each_side_counted_are_added_up() {
    let mut base = key();
    base.counted.push(Counted { id: "old".into(), form: "sugar".into() });
    let counts = |plain: u32, rolled: u32| {
        Record::Values([("plain".into(), Often::Times(plain)), ("rolled".into(), Often::Times(rolled))].into_iter().collect())
    };
    let side = |find: &str, record: Record| {
        let mut side = base.clone();
        side.counted.push(Counted { id: find.into(), form: "sugar".into() });
        side.forms[0].features.insert("rim".into(), record);
        side
    };
    let rim = |joined: &footring::key::merge::Joined| joined.key.forms[0].features["rim"].clone();
    let joined = join(&base, &side("a", counts(5, 2)), &side("b", counts(5, 2)), &Choices::default());
    assert_eq!((rim(&joined), joined.clashes.len()), (counts(6, 2), 0), "two plain rims, not one");
    let joined = join(&base, &side("a", counts(5, 2)), &side("b", counts(4, 3)), &Choices::default());
    assert_eq!((rim(&joined), joined.clashes.len()), (counts(5, 3), 0));
    assert_eq!(joined.key.counted.len(), 3);
    // Both counted the same find: it is one piece.
    let joined = join(&base, &side("a", counts(5, 2)), &side("a", counts(5, 2)), &Choices::default());
    assert_eq!((rim(&joined), joined.clashes.len()), (counts(5, 2), 0));
    // One count was changed by hand: nobody knows what was counted.
    let mut by_hand = base.clone();
    by_hand.forms[0].features.insert("rim".into(), counts(9, 2));
    let joined = join(&base, &side("a", counts(5, 2)), &by_hand, &Choices::default());
    assert_eq!(joined.clashes.len(), 1);
}

#[test]
fn what_is_wrong_only_together_is_told() {
    let glazes = "[(id: \"moss\", name: \"Moss\", lab: (50, -14, 22))]";
    let mine = forms(&[("        glazes: [(id: \"sage\", papers: [\"list-1953\"])],\n", "")]);
    let theirs = forms(&[(
        "shape: (body: [Corner(60, 0), Corner(90, 15)])",
        "shape: (body: [Corner(60, 0), Corner(90, 15)]), glazes: [(id: \"sage\")]",
    )]);
    let three = Three::new(&[("forms.ron", &mine), ("glazes.ron", glazes)], &[("forms.ron", &theirs)]);
    let ran = three.verb(&[]);
    assert_eq!(ran.code, 1);
    assert!(ran.out.contains("Wrong only now that the two are together\n  forms.ron:"), "{}", ran.out);
    assert!(ran.out.contains("there is no glaze 'sage'"), "{}", ran.out);
}

#[test]
fn pictures_are_put_together_by_their_bytes() {
    let three = Three::new(
        &[("pictures/side.png", "mine"), ("pictures/mine.png", "m"), ("pictures/Crown.png", "c"), ("notes.txt", "a")],
        &[("pictures/side.png", "theirs"), ("pictures/theirs.png", "t"), ("pictures/crown.png", "d"), ("notes.txt", "a")],
    );
    let ran = three.verb(&[]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.out.contains("  pictures/side.png\n    as it was  not there\n    mine       4 bytes\n    theirs     6 bytes"),
        "{}",
        ran.out
    );
    assert!(ran.out.contains("'pictures/crown.png' and 'pictures/Crown.png' are one name on some systems"), "{}", ran.out);
    assert_eq!(three.text("pictures/side.png"), "mine");
    assert_eq!(three.text("pictures/theirs.png") + &three.text("pictures/mine.png") + &three.text("notes.txt"), "tma");
    assert!(!three.out().join("pictures/crown.png").exists());
}

#[test]
fn a_file_that_makes_no_sense_on_one_side_leaves_mine_and_says_so() {
    let mine = forms(&[("covered sugar", "sugar")]);
    // Cut short in the first entry, theirs has not taken the others out.
    let cut = format!("[{}", &FORMS[FORMS.find("(\n").unwrap()..200]);
    let three = Three::new(&[("forms.ron", &mine)], &[("forms.ron", &cut)]);
    let ran = three.verb(&[]);
    assert_eq!((ran.code, three.text("forms.ron")), (1, mine.clone()), "{}", ran.out);
    let three = Three::new(&[("forms.ron", &mine)], &[("forms.ron", "(id: \"x\")")]);
    let ran = three.verb(&[]);
    assert_eq!(ran.code, 1);
    assert!(ran.out.contains("'forms.ron' can't be put together, since their version makes no sense as a whole:"), "{}", ran.out);
    assert_eq!(three.text("forms.ron"), mine);
    // One broken entry of theirs is neither gone nor there, and the rest is joined.
    let theirs = forms(&[("\"plate\", name: r\"plate\"", "\"plate\", nmae: r\"plate\""), ("name: \"saucer\"", "name: \"deep saucer\"")]);
    let three = Three::new(&[("forms.ron", &mine)], &[("forms.ron", &theirs)]);
    let ran = three.verb(&[]);
    assert_eq!(ran.code, 1);
    assert!(ran.out.contains("the form 'plate' of their version was not understood, so mine stands: forms.ron:16:5"), "{}", ran.out);
    assert_eq!(three.text("forms.ron"), mine.replace("name: \"saucer\"", "name: \"deep saucer\""));
}

#[test]
fn what_cannot_be_put_together_writes_nothing() {
    let three = Three::new(&[], &[]);
    fs::create_dir(three.out()).unwrap();
    fs::write(three.out().join("here.txt"), "x").unwrap();
    assert_eq!(
        three.verb(&[]).err,
        format!("footring: '{}' is there already (choose a folder that is empty or not there)\n", three.out().display())
    );
    let [base, mine, theirs] = three.dirs.each_ref().map(tempfile::TempDir::path);
    fs::write(theirs.join("key.ron"), "(format: 99, title: \"Test\")").unwrap();
    let out = three.out.path().join("other");
    assert!(matches!(join_folders(base, mine, theirs, &out, &Choices::default()), Err(MergeError::NewerFormat(_))));
    assert!(matches!(join_folders(base, &out, theirs, &out, &Choices::default()), Err(MergeError::NoKey(_))));
    assert!(!out.exists());
    assert_eq!(run(&["merge", "a", "b", "c"]).code, 2, "where to is missing");
    assert_eq!(run(&["merge", "--file", "notes.txt", "a", "b", "c"]).code, 2);
}

#[test]
fn windows_line_ends_stay_as_mine_has_them() {
    let mine = forms(&[("covered sugar", "sugar")]).replace('\n', "\r\n");
    let theirs = forms(&[("name: \"saucer\"", "name: \"deep saucer\"")]);
    let versions = [FORMS, &mine, &theirs].map(|text| Some(text.as_bytes()));
    let joined = join_file(KeyFile::Forms, versions, &Choices::default());
    assert!(joined.is_clean(), "{joined:?}");
    assert_eq!(String::from_utf8(joined.bytes.unwrap()).unwrap(), mine.replace("name: \"saucer\"", "name: \"deep saucer\""));
}

#[test]
fn names_in_any_writing_are_joined_and_compared() {
    // Composed and decomposed letters are told apart in the files, but not where a name of a file is made of them.
    let (composed, decomposed) = ("cr\u{e8}me", "cre\u{300}me");
    let base = key();
    let (mut mine, mut theirs) = (base.clone(), base.clone());
    mine.forms[0].name = format!("{composed} 砂糖壺");
    theirs.forms[0].note = format!("{decomposed} сахарница");
    let joined = join(&base, &mine, &theirs, &Choices::default());
    assert_eq!((joined.key.forms[0].name.as_str(), joined.clashes.len()), (mine.forms[0].name.as_str(), 0));
    let here = format!("pictures/{composed}.png");
    let there = format!("pictures/{decomposed}.png");
    let three = Three::new(&[(&here, "a")], &[(&there, "b")]);
    assert!(three.verb(&[]).out.contains("are one name on some systems"));
    let dir = folder(&[(&there, "\u{89}PNG")]);
    fs::write(dir.path().join(&there), b"\x89PNG\r\n\x1a\n0000").unwrap();
    fs::write(dir.path().join("forms.ron"), forms(&[("claims: [", &format!("pictures: [(file: \"{composed}.png\")], claims: ["))]))
        .unwrap();
    let problems: Vec<String> =
        load(dir.path()).problems.iter().map(footring::key::Problem::sentence).filter(|said| said.contains("picture")).collect();
    assert_eq!(problems, Vec::<String>::new(), "a picture is found however its name is composed");
}

#[test]
fn a_difference_is_said_in_words() {
    let old = key();
    let mut new = old.clone();
    let form = &mut new.forms[0];
    form.features.insert("lid-outline".into(), Record::Always("oval".into()));
    form.features.insert("height".into(), Record::Between(63.0, 66.5));
    form.features.shift_remove("rim");
    form.glazes[0].papers.push("memo".into());
    form.glazes[0].often = Often::Sometimes;
    form.shape.wall_mm = 4.5;
    form.shape.body.pop();
    form.note = "chips easily".to_owned();
    new.forms[1].id = "dinner-plate".into();
    new.forms.remove(2);
    new.forms.push({
        let mut jug = old.forms[2].clone();
        jug.id = "jug".into();
        jug.name = "jug".to_owned();
        jug
    });
    new.papers[0].date = footring::key::When::Year(1954);
    new.glazes.swap(0, 1);
    new.about.synonyms[0].push("knop".to_owned());
    let expected = [
        "the key itself: Test: group of synonyms 'finial': word 'knop' added",
        "forms: covered sugar, Quoin: body profile redrawn; wall 5 → 4.5 mm; lid outline round → oval; height recorded: 63 to 66.5 mm; \
         rim no longer recorded; glaze Sage, often added: Sometimes; glaze Sage: paper Memo added; note added: 'chips easily'",
        "forms: plate, Quoin: the id 'plate' is now 'dinner-plate'",
        "forms: jug, Quoin: the id 'saucer' is now 'jug'",
        "forms: jug, Quoin: name 'saucer' → 'jug'",
        "papers: Price list: date Year(1953) → Year(1954)",
        "glazes: entries stand in another order",
    ];
    assert_eq!(lines(&old, &new).len(), expected.len(), "{:#?}", lines(&old, &new));
    for (line, expected) in lines(&old, &new).iter().zip(expected) {
        assert_eq!(line, expected);
    }
    assert_eq!(lines(&old, &old), Vec::<String>::new());
}

#[test]
fn footring_diff_prints_words_or_json() {
    let old = folder(&[("pictures/a.png", "a")]);
    let new = folder(&[("forms.ron", &forms(&[("Always(\"round\")", "Always(\"oval\")")])), ("pictures/b.png", "b")]);
    let paths = [old.path().display().to_string(), new.path().display().to_string()];
    let ran = run(&["diff", &paths[0], &paths[1]]);
    assert_eq!(
        ran.out,
        "forms\n  covered sugar, Quoin: lid outline round → oval\npictures and other files\n  pictures/a.png: taken out\n  pictures/b.png: added\n"
    );
    assert_eq!(ran.code, 0);
    assert_eq!(run(&["diff", &paths[0], &paths[0]]).out, "no difference\n");
    let json: serde_json::Value = serde_json::from_str(&run(&["diff", &paths[0], &paths[1], "--json"]).out).unwrap();
    assert_eq!(json["changes"][0]["fields"][0]["path"], serde_json::json!(["features", "lid-outline"]));
    assert_eq!(json["changes"][0]["text"], "covered sugar, Quoin: lid outline round → oval");
    assert_eq!(run(&["diff", "demo", "demo"]).out, "no difference\n");
    assert_eq!(run(&["diff", "demo", "no-such-folder"]).code, 2);
}

/// Git takes `footring merge --file` for its driver, where git is on the machine.
#[cfg(unix)]
#[test]
fn git_puts_two_branches_together_with_it() {
    let Some(program) = footring_program() else { return };
    let dir = folder(&[(".gitattributes", "*.ron merge=footring\n")]);
    let git = |words: &[&str]| {
        let mut command = std::process::Command::new("git");
        command.current_dir(dir.path()).args(words).env("GIT_CONFIG_GLOBAL", "/dev/null").env("GIT_CONFIG_SYSTEM", "/dev/null");
        for who in ["GIT_AUTHOR_NAME", "GIT_COMMITTER_NAME", "GIT_AUTHOR_EMAIL", "GIT_COMMITTER_EMAIL"] {
            command.env(who, "ann@example.org");
        }
        command.output().map(|done| (done.status.success(), String::from_utf8_lossy(&done.stdout).into_owned()))
    };
    if git(&["init", "--quiet", "--initial-branch=main"]).is_err() {
        return;
    }
    let all = |words: &[&[&str]]| words.iter().for_each(|words| assert!(git(words).unwrap().0, "git {words:?}"));
    let driver = format!("'{}' merge --file %P %O %A %B", program.display());
    all(&[&["config", "merge.footring.driver", &driver], &["add", "."], &["commit", "--quiet", "-m", "base"], &["branch", "theirs"]]);
    let write = |text: &str| fs::write(dir.path().join("forms.ron"), text).unwrap();
    // Both change the line of one entry: git by itself would not get them together.
    let mine = forms(&[("name: \"covered sugar\"", "name: \"sugar\"")]);
    write(&mine);
    all(&[&["commit", "--quiet", "-am", "mine"], &["checkout", "--quiet", "theirs"]]);
    write(&forms(&[
        ("line: \"quoin\",   // the small one", "line: \"quoin\", made: (from: 1951),  // the small one"),
        ("Always(\"round\")", "Always(\"oval\")"),
    ]));
    all(&[&["commit", "--quiet", "-am", "theirs"], &["checkout", "--quiet", "main"]]);
    assert!(git(&["merge", "--quiet", "--no-edit", "theirs"]).unwrap().0, "git got them together");
    let joined = load(dir.path()).key;
    assert_eq!((joined.forms[0].name.as_str(), joined.forms[0].made.from), ("sugar", Some(1951)));
    assert_eq!(joined.forms[0].features["lid-outline"], Record::Always("oval".into()));
    // A clash is one for git too, and mine stands.
    all(&[&["checkout", "--quiet", "-b", "more"]]);
    let text = fs::read_to_string(dir.path().join("forms.ron")).unwrap();
    write(&text.replace("name: \"saucer\"", "name: \"my saucer\""));
    all(&[&["commit", "--quiet", "-am", "more"], &["checkout", "--quiet", "main"]]);
    write(&text.replace("name: \"saucer\"", "name: \"their saucer\""));
    all(&[&["commit", "--quiet", "-am", "again"]]);
    let (ended_well, said) = git(&["merge", "--no-edit", "more"]).unwrap();
    assert!(!ended_well && said.contains("saucer"), "{said}");
    assert_eq!(load(dir.path()).key.forms[2].name, "their saucer");
}

/// The built program beside the test's own file.
#[cfg(unix)]
fn footring_program() -> Option<PathBuf> {
    option_env!("CARGO_BIN_EXE_footring").map(PathBuf::from).filter(|path| path.exists())
}

#[test]
fn two_windows_on_one_key_join_what_they_change() {
    let dir = folder(&[]);
    let (mut one, mut other) = (Folder::open(dir.path()), Folder::open(dir.path()));
    let mut key = one.key().clone();
    key.forms[0].name = "sugar".to_owned();
    one.save(&key).unwrap();
    let mut key = other.key().clone();
    key.forms[0].features.insert("lid-outline".into(), Record::Always("oval".into()));
    key.papers.push(ron::from_str("(id: \"ad\", title: \"Ad\", kind: Advertisement, date: Year(1955))").unwrap());
    let saved = other.save(&key).unwrap();
    assert_eq!(saved.merged, [KeyFile::Forms]);
    let form = &saved.key.forms[0];
    assert_eq!((form.name.as_str(), &form.features["lid-outline"]), ("sugar", &Record::Always("oval".into())));
    // The first is behind now; what it saves next is put together with what the other did.
    let mut key = one.key().clone();
    key.forms[0].note = "ours".to_owned();
    let saved = one.save(&key).unwrap();
    assert_eq!((saved.key.forms[0].note.as_str(), saved.key.papers.len()), ("ours", 3));
    // A clash between the two writes nothing; taking the disk for what was read settles it.
    let (mut mine, mut theirs) = (one.key().clone(), one.key().clone());
    theirs.forms[0].note = "theirs".to_owned();
    other.reload();
    other.save(&theirs).unwrap();
    mine.forms[0].note = "mine".to_owned();
    let error = one.save(&mine).unwrap_err();
    assert!(error.to_string().starts_with("the form 'sugar' was changed here and by another program"), "{error}");
    let disk = one.on_disk();
    let settled = join(one.key(), &mine, disk.key(), &Choices::all(Side::Theirs));
    one.take_for_read(disk);
    assert_eq!(one.save(&settled.key).unwrap().written, []);
    assert_eq!(one.key().forms[0].note, "theirs");
}

/// Changes of the demo key in places of their own: each is of one form, feature or paper.
fn change(key: &mut Key, which: usize, value: u8) {
    let (n, forms) = (which / 6, key.forms.len());
    let form = &mut key.forms[n % forms];
    match which % 6 {
        0 => form.name = format!("{} {value}", form.name),
        1 => form.note = format!("note {value}"),
        2 => form.made.from = Some(1900 + i32::from(value)),
        3 => {
            form.features.insert("height".into(), Record::Between(f64::from(value), 300.0));
        }
        4 => form.also.push(format!("other {which} {value}")),
        _ => form.shape.wall_mm = f64::from(value) + 1.0,
    }
}

fn changed(base: &Key, changes: &BTreeMap<usize, u8>) -> Key {
    let mut key = base.clone();
    for (which, value) in changes {
        change(&mut key, *which, *value);
    }
    key
}

fn some_changes() -> impl Strategy<Value = BTreeMap<usize, u8>> {
    prop::collection::btree_map(0..60_usize, any::<u8>(), 0..8)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(16))]

    #[test]
    fn what_only_one_side_changed_is_taken_as_it_is(changes in some_changes()) {
        let base = builtin::demo().key;
        let side = changed(&base, &changes);
        for choices in Side::ALL.map(Choices::all) {
            let theirs = join(&base, &base, &side, &choices);
            prop_assert_eq!((&theirs.key, theirs.clashes.len()), (&side, 0));
            let mine = join(&base, &side, &base, &choices);
            prop_assert_eq!((&mine.key, mine.clashes.len()), (&side, 0));
            prop_assert_eq!(&join(&base, &side, &side, &choices).key, &side);
        }
    }

    #[test]
    fn clashes_are_the_same_from_either_side(one in some_changes(), other in some_changes()) {
        let base = builtin::demo().key;
        let (mine, theirs) = (changed(&base, &one), changed(&base, &other));
        let (here, there) = (join(&base, &mine, &theirs, &Choices::default()), join(&base, &theirs, &mine, &Choices::default()));
        let places = |joined: &footring::key::merge::Joined| joined.clashes.iter().map(|clash| clash.at.clone()).collect::<Vec<_>>();
        prop_assert_eq!(places(&here), places(&there));
        for (a, b) in here.clashes.iter().zip(&there.clashes) {
            prop_assert_eq!((&a.base, &a.mine, &a.theirs), (&b.base, &b.theirs, &b.mine));
        }
        // A clash is where both changed one place otherwise, and nowhere else; two other names are two names.
        let expected = one.iter().filter(|(which, value)| **which % 6 != 4 && other.get(which).is_some_and(|theirs| theirs != *value)).count();
        prop_assert_eq!(here.clashes.len(), expected);
    }

    #[test]
    fn changes_in_different_places_are_all_there(one in some_changes(), other in some_changes()) {
        let base = builtin::demo().key;
        let other: BTreeMap<usize, u8> = other.into_iter().filter(|(which, _)| !one.contains_key(which)).collect();
        let both: BTreeMap<usize, u8> = one.iter().chain(&other).map(|(which, value)| (*which, *value)).collect();
        let joined = join(&base, &changed(&base, &one), &changed(&base, &other), &Choices::default());
        prop_assert_eq!(joined.clashes.len(), 0);
        prop_assert_eq!(joined.key, changed(&base, &both));
    }

}

proptest! {
    // Each case reads and writes the demo key six times.
    #![proptest_config(ProptestConfig::with_cases(3))]

    #[test]
    fn the_joined_text_means_the_joined_key(one in some_changes(), other in some_changes()) {
        let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("keys/marrowby");
        let base_text = fs::read(demo.join("forms.ron")).unwrap();
        let base = builtin::demo().key;
        let write = |changes: &BTreeMap<usize, u8>| {
            let dir = tempfile::tempdir().unwrap();
            for file in KeyFile::ALL {
                if let Ok(bytes) = fs::read(demo.join(file.name())) {
                    fs::write(dir.path().join(file.name()), bytes).unwrap();
                }
            }
            Folder::open(dir.path()).save(&changed(&base, changes)).unwrap();
            fs::read(dir.path().join("forms.ron")).unwrap()
        };
        let (mine, theirs) = (write(&one), write(&other));
        let joined = join_file(KeyFile::Forms, [Some(&base_text), Some(&mine), Some(&theirs)], &Choices::default());
        prop_assert_eq!(&joined.problems, &Vec::<String>::new());
        let meant = join(&base, &changed(&base, &one), &changed(&base, &other), &Choices::default());
        prop_assert_eq!(&joined.clashes, &meant.clashes);
        let dir = tempfile::tempdir().unwrap();
        fs::write(dir.path().join("forms.ron"), joined.bytes.unwrap()).unwrap();
        prop_assert_eq!(load(dir.path()).key.forms, meant.key.forms);
    }
}
