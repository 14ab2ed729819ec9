//! What leaves the program: printed sheets, read back from their PDF and measured in their pictures, and records for other programs.
//!
//! Needs `pdftotext` and `pdftoppm` (Debian: poppler-utils, which `tools/test` installs).
#![expect(clippy::unwrap_used, clippy::panic, clippy::indexing_slicing, reason = "tests")]

use calamine::Reader as _;
use footring::daybook::condition::ConditionRules;
use footring::daybook::{Daybook, Find};
use footring::identify::Index;
use footring::identify::cover::Goal;
use footring::identify::sequence::{Method, SequenceAsk};
use footring::key::{FormId, Key, builtin};
use footring::sheets::page::{Document, Paper, write_pdf, write_png, write_svg};
use footring::sheets::print::{self, Fold, Setup};
use footring::sheets::records::{self, Cell};
use footring::terminal::{Call, Outcome, parse, run};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::LazyLock;

const CAUTION: &str = "Broken ceramic is as sharp as glass";
/// Names that want to be something else: a formula, an element, an end of a string, a turned direction, nothing at all.
const HOSTILE: [&str; 7] = [
    "=HYPERLINK(\"x\",\"y\")",
    "</text></svg><script>alert('1')</script>&amp;",
    "(unbalanced \\ ) >> endobj",
    "turned \u{202e}gnp.exe\u{202c} name",
    "bell\u{7}null\u{0}escape\u{1b}[2J",
    "שלום 漢字 e\u{301}te\u{301} ½ ﬁ",
    "@SUM(A1)\u{fffe}\u{b}",
];

static INDEX: LazyLock<(Key, Index)> = LazyLock::new(|| {
    let key = builtin::demo().key;
    let index = Index::new(&key);
    (key, index)
});

fn setup() -> Setup {
    Setup { day: Some("2026-11-26".parse().unwrap()), ..Setup::default() }
}

fn verb(words: &[&str]) -> (Outcome, String, String) {
    let words = std::iter::once("footring").chain(words.iter().copied()).map(Into::into);
    let Call::Verb(verb) = parse(words).unwrap() else { panic!("a verb") };
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let outcome = run(&verb, &mut out, &mut err);
    (outcome, String::from_utf8(out).unwrap(), String::from_utf8(err).unwrap())
}

fn poppler(program: &str, words: &[&str]) -> Vec<u8> {
    let ran = Command::new(program).args(words).output();
    let ran = ran.unwrap_or_else(|e| panic!("{program} can't be run: {e} (apt-get install poppler-utils)"));
    assert!(ran.status.success(), "{program}: {}", String::from_utf8_lossy(&ran.stderr));
    assert!(ran.stderr.is_empty(), "{program} complains: {}", String::from_utf8_lossy(&ran.stderr));
    ran.stdout
}

/// The text of each page, blanks and line ends made single blanks.
fn texts(pdf: &Path) -> Vec<String> {
    let text = String::from_utf8(poppler("pdftotext", &["-enc", "UTF-8", pdf.to_str().unwrap(), "-"])).unwrap();
    let pages = text.trim_end_matches('\u{c}').split('\u{c}');
    pages.map(|page| page.split_whitespace().collect::<Vec<_>>().join(" ")).collect()
}

/// A page of a PDF as gray-free pixels: width and the bytes of red, green and blue.
fn pixels(pdf: &Path, page: usize, per_inch: u32) -> (usize, Vec<[u8; 3]>) {
    let page = page.to_string();
    let ppm = poppler("pdftoppm", &["-r", &per_inch.to_string(), "-f", &page, "-l", &page, pdf.to_str().unwrap()]);
    let head: Vec<&[u8]> = ppm.splitn(4, u8::is_ascii_whitespace).collect();
    assert_eq!(head[0], b"P6");
    let width: usize = String::from_utf8_lossy(head[1]).parse().unwrap();
    let body = &head[3][head[3].iter().position(|byte| *byte == b'\n').unwrap() + 1..];
    (width, body.chunks_exact(3).map(|rgb| [rgb[0], rgb[1], rgb[2]]).collect())
}

fn write(folder: &Path, name: &str, document: &Document) -> PathBuf {
    let file = folder.join(name);
    std::fs::write(&file, write_pdf(document).unwrap()).unwrap();
    file
}

fn find(n: usize, form: &str, box_label: &str, note: &str) -> Find {
    let key = &INDEX.0;
    let form = key.form(&FormId::from(form)).unwrap();
    let line = key.line(&form.line).unwrap();
    serde_json::from_value(serde_json::json!({
        "id": format!("0194b1c2-7d3e-7a55-8f00-{n:012x}"),
        "revision": 0,
        "found_at": "2026-11-26T10:15:00+00:00[Europe/London]",
        "key": { "title": key.about.title, "folder": "marrowby" },
        "named": { "form": form.id, "form_name": form.name, "line_name": line.name },
        "verdict": format!("{}, settled by the lid", form.name),
        "probability": 0.97,
        "standing": "Settled",
        "piece": { "observations": [
            { "feature": "lid-outline", "seen": { "Values": ["oval"] } },
            { "feature": "height", "seen": { "Measured": { "value": 92.5, "plus_minus": 1.0 } } },
            { "feature": "no-such-feature", "seen": "NotSure" },
        ] },
        "box_label": box_label,
        "note": note,
        "photographs": [],
    }))
    .unwrap()
}

/// A daybook of a few finds, one of them with a hostile note.
fn daybook(folder: &Path) {
    let mut book = Daybook::open(folder).unwrap();
    let now = "2026-11-26T10:15:00+00:00[Europe/London]".parse().unwrap();
    let forms = ["quoin-covered-sugar", "quoin-casserole-one", "quoin-covered-sugar"];
    for (n, form) in forms.into_iter().enumerate() {
        book.put(&find(n, form, "14", if n == 1 { HOSTILE[0] } else { "chip at the rim" }), &now).unwrap();
    }
    book.put(&find(9, "quoin-covered-sugar", "", HOSTILE[1]), &now).unwrap();
}

#[test]
fn every_sheet_prints_and_its_text_comes_back() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("book");
    daybook(&book);
    let book = book.to_str().unwrap();
    let set = r#"(sets: [(service: (name: "Tea", wants: [(form: "quoin-covered-sugar", count: 1)]), places: 6)])"#;
    std::fs::write(Path::new(book).join("services.ron"), set).unwrap();
    let wanted: [(&str, &[&str], &[&str]); 9] = [
        ("bench-key", &[], &["Bench key", "Begin at 1", "Plan from above", "rounded square", "Covered sugar, Quoin"]),
        ("plate", &["--forms", "covered sugar, Quoin", "--forms", "quoin-casserole-one"], &["Telling apart", "Lid outline", "from above"]),
        ("forms", &["--forms", "quoin-covered-sugar"], &["Covered sugar, Quoin", "Features", "Glazes", "how it is known", "drawn 1 : "]),
        ("marks", &[], &["Marks", "Reads:", "Put on:", "MARROWBY"]),
        ("labels", &["--daybook", book], &["Covered sugar", "Quoin", "2026-11-26 · box 14", "0194b1c2-7d3e"]),
        ("lot", &["--daybook", book, "--box", "14"], &["Box 14", "3 finds", "2 × Covered sugar, Quoin", "chip at the rim"]),
        ("wants", &["--daybook", book], &["Wanted", "not in the daybook yet", "listed in a paper"]),
        ("service", &["--daybook", book, "--paper", "phone"], &["Wanted for Tea", "6 places", "of 6 missing", "any glaze"]),
        ("census", &["--daybook", book], &["Census: form by glaze", "seen but never listed", "stand in no column"]),
    ];
    for (what, options, says) in wanted {
        let file = folder.path().join(format!("{what}.pdf"));
        let mut words = vec!["print", "demo", what, "--day", "2026-11-26", "--out", file.to_str().unwrap()];
        words.extend(options);
        let (outcome, out, err) = verb(&words);
        assert_eq!(
            (outcome, err.lines().filter(|line| !line.contains("caution") && !line.contains("true size")).count()),
            (Outcome::Well, 0),
            "{what}: {out}{err}"
        );
        let pages = texts(&file);
        assert!(out.contains(&format!("{} page", pages.len())), "{what}: {out}");
        let whole = pages.join(" ").to_lowercase();
        for text in says {
            assert!(whole.contains(&text.to_lowercase()), "{what}: '{text}' is not in: {whole}");
        }
        for (at, page) in pages.iter().enumerate() {
            if what == "service" {
                assert!(page.contains("Broken ceramic is as"), "a phone's lines are short: {page}");
            } else if what != "labels" {
                assert!(page.contains(CAUTION), "{what}, page {}: {page}", at + 1);
                assert!(page.contains(&format!("page {} of {}", at + 1, pages.len())), "{what}: {page}");
            }
        }
    }
}

/// What the line around a silhouette takes of its colour, both sides together.
const SEAM_MM: f64 = 0.22;

/// Widths of the runs of columns that hold silhouettes, and the height of what is coloured as they are, in mm.
fn clay(width: usize, pixels: &[[u8; 3]], per_mm: f64) -> (Vec<f64>, f64) {
    let is_clay = |p: &[u8; 3]| p[0].abs_diff(0xc9) < 6 && p[1].abs_diff(0xb7) < 6 && p[2].abs_diff(0x9b) < 6;
    let height = pixels.len() / width;
    let column = |x: usize| (0..height).any(|y| is_clay(&pixels[y * width + x]));
    let row = |y: usize| pixels[y * width..(y + 1) * width].iter().any(is_clay);
    let mut runs = Vec::new();
    let mut open = 0;
    for x in 0..=width {
        if x < width && column(x) {
            open += 1;
        } else if std::mem::take(&mut open) > 20 {
            // The run just ended; its length is found again below.
            let from = (0..x).rev().take_while(|x| column(*x)).count();
            runs.push(from as f64 / per_mm);
        }
    }
    let rows: Vec<usize> = (0..height).filter(|y| row(*y)).collect();
    (runs, (rows.last().unwrap() + 1 - rows[0]) as f64 / per_mm)
}

#[test]
fn what_is_drawn_at_true_scale_is_printed_at_true_scale() {
    let (key, index) = &*INDEX;
    let folder = tempfile::tempdir().unwrap();
    let forms: Vec<FormId> = ["quoin-egg-cup", "fenlight-egg-cup"].map(FormId::from).to_vec();
    let document = print::plate(key, index, &forms, &setup()).unwrap();
    let file = write(folder.path(), "plate.pdf", &document);
    assert!(texts(&file)[0].contains("drawn 1 : 1, true size"), "{}", texts(&file)[0]);
    let (width, pixels) = pixels(&file, 1, 254);
    let (runs, height) = clay(width, &pixels, 10.0);
    let shapes: Vec<_> = forms.iter().map(|id| &key.form(id).unwrap().shape).collect();
    assert_eq!(runs.len(), shapes.len(), "{runs:?}");
    for (run, shape) in runs.iter().zip(&shapes) {
        assert!((run + SEAM_MM - shape.width_mm()).abs() < 0.45, "{run} mm printed, {} mm in the key", shape.width_mm());
    }
    let tallest = shapes.iter().map(|shape| shape.silhouette().bounds.height()).fold(0.0, f64::max);
    assert!((height + SEAM_MM - tallest).abs() < 0.45, "{height} mm printed, {tallest} mm in the key");
    // What is too large for both views on one page has a page for each, on A3 where A4 is too narrow.
    let sugars: Vec<FormId> = ["quoin-covered-sugar", "quoin-casserole-one"].map(FormId::from).to_vec();
    let small = print::plate(key, index, &sugars, &setup()).unwrap();
    assert!(small.remarks.iter().any(|says| says.ends_with("on A3 they are drawn 1 : 1")), "{:?}", small.remarks);
    let large = print::plate(key, index, &sugars, &Setup { paper: Paper::A3, ..setup() }).unwrap();
    assert!(large.remarks.is_empty(), "{:?}", large.remarks);
    let says = |at: usize| large.pages[at].texts().collect::<Vec<_>>().join(" ");
    assert!(
        says(0).contains("Drawn 1 : 1, true size: from the side") && says(1).contains("true size: from above"),
        "{} {}",
        says(0),
        says(1)
    );
    // The bar to check by: a dark line of 100 mm.
    let dark = |p: &[u8; 3]| p.iter().all(|c| *c < 110);
    let bars = |row: &[[u8; 3]]| row.split(|p| !dark(p)).filter(|run| run.len().abs_diff(1000) <= 4).count();
    assert!(pixels.chunks(width).map(bars).sum::<usize>() > 0, "no bar of 100 mm");
}

#[test]
fn a_booklet_has_two_pages_a_side_and_phone_pages_are_narrow() {
    let (key, index) = &*INDEX;
    let ask = SequenceAsk { method: Method::Greedy, goal: Goal::Fewest, missing: std::collections::BTreeSet::new(), finds: Vec::new() };
    let booklet = print::bench_key(key, index, &ask, &Setup { fold: Fold::Booklet, ..setup() }).unwrap();
    let size = |document: &Document| document.pages.iter().map(|page| (page.width_mm, page.height_mm)).collect::<Vec<_>>();
    assert!(booklet.pages.len().is_multiple_of(2) && size(&booklet).iter().all(|size| *size == (297.0, 210.0)));
    let says = |at: usize| booklet.pages[at].texts().collect::<Vec<_>>().join(" ");
    assert!(says(0).contains("Begin at 1"), "the first page is at the right of the first side");
    assert!(says(1).contains("page 2 of") && booklet.remarks.iter().any(|says| says.contains("short edge")));
    let phone = print::mark_sheets(key, &[], &Setup { paper: Paper::Phone, ..setup() }).unwrap();
    assert!(size(&phone).iter().all(|size| *size == (90.0, 190.0)));
    // Nothing is written beyond the paper.
    for page in booklet.pages.iter().chain(&phone.pages) {
        for item in &page.items {
            if let footring::sheets::page::Item::Text { at, size_mm, line, .. } = item {
                let end = at.x + line.width_mm(*size_mm);
                assert!(at.x >= 0.0 && end <= page.width_mm + 0.1 && at.y <= page.height_mm, "'{}' ends at {end}", line.text());
            }
        }
    }
}

/// The demo key with hostile names on a form, a value, a glaze and a mark.
fn hostile_key() -> Key {
    let mut key = builtin::demo().key;
    for (form, name) in key.forms.iter_mut().zip(HOSTILE) {
        name.clone_into(&mut form.name);
        form.note = format!("{name} ").repeat(60);
    }
    key.forms[7].name = "an endless name of a form ".repeat(150);
    HOSTILE[1].clone_into(&mut key.glazes[0].name);
    HOSTILE[5].clone_into(&mut key.marks[0].wording[0].text);
    HOSTILE[1].clone_into(&mut key.about.title);
    key
}

#[test]
fn hostile_names_come_out_as_words() {
    let key = hostile_key();
    let folder = tempfile::tempdir().unwrap();
    let forms: Vec<FormId> = key.forms.iter().take(8).map(|form| form.id.clone()).collect();
    let document = print::form_sheets(&key, &forms, &setup()).unwrap();
    let whole = texts(&write(folder.path(), "forms.pdf", &document)).join(" ");
    for says in ["</text></svg><script>", "(unbalanced \\ ) >> endobj", "=HYPERLINK", "漢字", "été ½"] {
        assert!(whole.contains(says), "{says}");
    }
    assert!(whole.matches("an endless name of a form").count() >= 140, "nothing of a long name is cut");
    assert!(!whole.contains(['\u{202e}', '\u{7}', '\u{1b}']));
    let marks = print::mark_sheets(&key, &[], &setup()).unwrap();
    for page in document.pages.iter().chain(&marks.pages) {
        let svg = write_svg(page, &key.about.title).unwrap();
        let mut reader = quick_xml::Reader::from_str(&svg);
        reader.config_mut().check_end_names = true;
        loop {
            match reader.read_event().unwrap() {
                quick_xml::events::Event::Eof => break,
                quick_xml::events::Event::Start(e) | quick_xml::events::Event::Empty(e) => assert_ne!(e.name().as_ref(), b"script"),
                _ => {}
            }
        }
    }
    let labels = print::labels(&print::labels_of_forms(&key, &forms), &print::grids()[0], 0).unwrap();
    assert!(labels.remarks.iter().any(|says| says.starts_with("on 1 label the text is too long")), "{:?}", labels.remarks);
}

#[test]
fn a_picture_says_how_large_it_is() {
    let (key, _) = &*INDEX;
    let document = print::mark_sheets(key, &[], &Setup { paper: Paper::Letter, ..setup() }).unwrap();
    let png = write_png(&document.pages[0], 100.0).unwrap();
    let reader = png::Decoder::new(std::io::Cursor::new(png)).read_info().unwrap();
    let info = reader.info();
    assert_eq!((info.width, info.height), (850, 1100));
    assert_eq!(info.pixel_dims.map(|dims| (dims.xppu, dims.yppu)), Some((3937, 3937)), "pixels to the metre: 100 to the inch");
    assert!(write_png(&document.pages[0], 1e9).is_err());
}

#[test]
fn three_hundred_forms_print_and_the_same_key_gives_the_same_file() {
    let (key, _) = &*INDEX;
    let mut many = key.clone();
    while many.forms.len() < 300 {
        let mut more = key.forms[many.forms.len() % key.forms.len()].clone();
        more.id = FormId::new(format!("{}-{}", more.id, many.forms.len()));
        many.forms.push(more);
    }
    let forms: Vec<FormId> = many.forms.iter().take(300).map(|form| form.id.clone()).collect();
    let document = print::form_sheets(&many, &forms, &setup()).unwrap();
    assert!(document.pages.len() >= 300);
    let pdf = write_pdf(&document).unwrap();
    assert!(pdf.len() < 20_000_000, "{} bytes", pdf.len());
    let marks = print::mark_sheets(key, &[], &setup()).unwrap();
    assert_eq!(write_pdf(&marks).unwrap(), write_pdf(&print::mark_sheets(key, &[], &setup()).unwrap()).unwrap());
}

#[test]
fn what_cannot_be_printed_is_said_in_a_sentence() {
    let folder = tempfile::tempdir().unwrap();
    let empty = folder.path().join("empty");
    drop(Daybook::open(&empty).unwrap());
    let (empty, pdf) = (empty.to_str().unwrap(), folder.path().join("x.pdf"));
    let pdf = pdf.to_str().unwrap();
    let cases: [(&[&str], Outcome, &str); 9] = [
        (&["lot", "--daybook", empty, "--out", pdf], Outcome::Problems, "there is no find in the daybook"),
        (
            &["lot", "--daybook", empty, "--box", "7", "--out", pdf],
            Outcome::Misuse,
            "there is no box '7' in the daybook (the daybook has no boxes)",
        ),
        (&["labels", "--daybook", empty, "--out", pdf], Outcome::Problems, "there is no find to label"),
        (&["lot", "--out", pdf], Outcome::Misuse, "say with --daybook where the finds are (the folder that holds finds.db)"),
        (&["plate", "--forms", "quoin-covered-sugar", "--out", pdf], Outcome::Misuse, "a plate shows two to six forms, not 1"),
        (&["marks", "--out", "marks.doc"], Outcome::Misuse, "'marks.doc' says not what to write (end it with .pdf, .svg or .png)"),
        (
            &["labels", "--grid", "9x9,70x36,0x0", "--out", pdf],
            Outcome::Misuse,
            "--grid: the labels reach 420.0 mm beyond the right edge of A4 (check margins and gaps)",
        ),
        (&["marks", "--day", "yesterday", "--out", pdf], Outcome::Misuse, "--day 'yesterday' is not a day (write 2026-11-26, or none)"),
        (
            &["marks", "--paper", "phone", "--booklet", "--out", pdf],
            Outcome::Misuse,
            "a phone's page is not folded (leave out --booklet or --paper phone)",
        ),
    ];
    for (words, outcome, says) in cases {
        let mut all = vec!["print", "demo"];
        all.extend(words);
        let (ended, out, err) = verb(&all);
        assert_eq!((ended, out.as_str(), err.trim_end()), (outcome, "", format!("footring: {says}").as_str()), "{words:?}");
        assert!(!Path::new(pdf).exists());
    }
    let (_, out, _) = verb(&["print", "demo", "labels", "--grid", "list"]);
    assert!(out.contains("A4, 3 × 8, full width: 70 × 36 mm, 24 to a sheet"), "{out}");
    let (outcome, out, _) = verb(&["print", "demo", "marks", "--out", &pdf.replace(".pdf", ".svg")]);
    assert_eq!(outcome, Outcome::Well);
    assert!(out.contains("x-1.svg to "), "a file a page: {out}");
}

#[test]
fn finds_come_out_as_tables_and_nothing_becomes_a_formula() {
    let key = &INDEX.0;
    let finds = [find(1, "quoin-covered-sugar", "14", HOSTILE[0]), find(2, "quoin-casserole-one", "", HOSTILE[6])];
    let mut csv = Vec::new();
    records::write_finds_csv(key, &finds, ConditionRules::built_in(), &mut csv).unwrap();
    let csv = String::from_utf8(csv).unwrap();
    let mut rows = csv::Reader::from_reader(csv.as_bytes());
    assert_eq!(rows.headers().unwrap().iter().take(4).collect::<Vec<_>>(), ["id", "recorded", "form", "line"]);
    for row in rows.records() {
        for cell in &row.unwrap() {
            assert!(cell.parse::<f64>().is_ok() || !cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{cell}");
        }
    }
    assert!(csv.contains("'=HYPERLINK") && csv.contains("92.5 ± 1 mm") && csv.contains("no-such-feature: can't tell"), "{csv}");
    let bytes = records::write_finds_workbook(key, &finds, ConditionRules::built_in()).unwrap();
    let mut book: calamine::Xlsx<_> = calamine::open_workbook_from_rs(std::io::Cursor::new(bytes)).unwrap();
    let sheet = book.worksheet_range("finds").unwrap();
    assert_eq!(sheet.height(), 3);
    assert!(sheet.rows().flatten().any(|cell| *cell == HOSTILE[0]), "words as they are, not a formula");
    assert!(book.worksheet_formula("finds").unwrap().rows().flatten().all(String::is_empty));
    let bytes = records::write_forms_workbook(key).unwrap();
    let mut book: calamine::Xlsx<_> = calamine::open_workbook_from_rs(std::io::Cursor::new(bytes)).unwrap();
    assert_eq!(book.worksheet_range("forms").unwrap().height(), key.forms.len() + 1);
    let mut json = Vec::new();
    records::write_finds_json(&finds, &mut json).unwrap();
    let back: serde_json::Value = serde_json::from_slice(&json).unwrap();
    assert_eq!(serde_json::from_value::<Vec<Find>>(back["finds"].clone()).unwrap(), finds, "nothing is lost");
}

/// A find of which everything is recorded.
fn recorded() -> Find {
    let mut find = serde_json::to_value(find(5, "quoin-covered-sugar", "14", HOSTILE[0])).unwrap();
    find["record"] = serde_json::json!({
        "status": "Sell",
        "place_found": "=Marrowby fair",
        "paid": { "amount": "12.50", "currency": "GBP", "on": "2026-03-02" },
        "asked": { "amount": "30", "currency": "EUR" },
        "glazes": { "Body": { "id": "fen-green", "name": "Fen green" }, "Lid": { "name": "@slate" } },
        "decoration": { "name": "Sedge" },
        "mark": { "name": "Round mark" },
        "made": { "from": 1951, "to": 1958 },
        "decorated": { "from": 1961 },
        "measures": [{ "what": "weight", "value": "412 ± 2 g" }],
        "pieces": 3,
    });
    find["piece"]["condition"] = serde_json::json!({ "flaws": [
        { "kind": "chip", "part": "Lid", "place": { "view": "Above", "across": 0.1, "down": 0.2 }, "size_mm": 6.0, "note": "+old one" },
        { "kind": "hairline", "part": "Body" },
    ] });
    serde_json::from_value(find).unwrap()
}

#[test]
fn exports_hold_the_whole_record() {
    let (key, rules) = (&INDEX.0, ConditionRules::built_in());
    let finds = [recorded(), find(6, "quoin-casserole-one", "", "")];
    let table = records::Finds::of(key, &finds, rules);
    let cell = |row: usize, head: &str| table.rows[row][table.heads.iter().position(|known| known == head).unwrap()].clone();
    let words = |text: &str| Cell::Words(text.to_owned());
    for (head, expected) in [
        ("status", words("sell")),
        ("found at", words("=Marrowby fair")),
        ("pieces", Cell::Number(3.0)),
        ("paid", Cell::Number(12.5)),
        ("paid in", words("GBP")),
        ("paid on", words("2026-03-02")),
        ("asked", Cell::Number(30.0)),
        ("asked in", words("EUR")),
        ("asked on", Cell::Nothing),
        ("glaze of the body", words("Fen green")),
        ("glaze of the lid", words("@slate")),
        ("decoration of record", words("Sedge")),
        ("mark of record", words("Round mark")),
        ("made from", Cell::Number(1951.0)),
        ("made to", Cell::Number(1958.0)),
        ("decorated from", Cell::Number(1961.0)),
        ("decorated to", Cell::Nothing),
        ("grade", words("poor")),
        ("condition", words("chip of 6 mm on the lid (from above; +old one); hairline on the body")),
        ("measures", words("weight: 412 ± 2 g")),
        ("box", words("14")),
    ] {
        assert_eq!(cell(0, head), expected, "{head}");
    }
    assert_eq!((cell(1, "glaze of the lid"), cell(1, "grade"), cell(1, "pieces")), (Cell::Nothing, Cell::Nothing, Cell::Number(1.0)));
    let mut csv = Vec::new();
    records::write_finds_csv(key, &finds, rules, &mut csv).unwrap();
    let csv = String::from_utf8(csv).unwrap();
    assert!(csv.contains(",'=Marrowby fair,") && csv.contains(",'@slate,") && csv.contains(",12.5,GBP,2026-03-02,"), "{csv}");
    let xml = records::write_lido(key, &finds[..1], rules, "Village crockery library");
    let (_, text) = elements(&xml);
    let sentences = [
        "Condition: poor: chip of 6 mm on the lid",
        "Paid: 12.50 GBP 2026-03-02 (a record, not an appraisal)",
        "Found at: =Marrowby fair",
        "Box or lot: 14",
        "Status: sell",
        "Weight: 412 ± 2 g",
        "Decorated: from 1961",
    ];
    for says in sentences {
        assert!(text.contains(says), "{says}: {text}");
    }
    assert!(
        xml.contains("<lido:earliestDate>1951</lido:earliestDate>")
            && text.contains("glaze of the body: Fen green; glaze of the lid: @slate")
    );
    let mut json = Vec::new();
    records::write_linked_art(key, &finds[..1], rules, "https://example.org/find", &mut json).unwrap().unwrap();
    let all: serde_json::Value = serde_json::from_slice(&json).unwrap();
    let statements = all[0]["referred_to_by"].as_array().unwrap();
    let of = |aat: &str| {
        let kind = format!("http://vocab.getty.edu/aat/{aat}");
        let found = statements.iter().filter(|one| one["classified_as"][0]["id"] == kind.as_str());
        found.map(|one| one["content"].as_str().unwrap().to_owned()).collect::<Vec<_>>().join("\n")
    };
    assert!(of("300435425").contains("hairline on the body"), "condition statement");
    assert_eq!(of("300435438"), "Found at: =Marrowby fair");
    assert!(of("300055694").ends_with("Asked: 30 EUR (a record, not an appraisal)"), "price statement");
    assert!(of("300435416").contains("Identical pieces: 3"), "description");
    assert_eq!(all[0]["produced_by"]["timespan"]["end_of_the_end"], "1958-12-31T23:59:59Z");
}

#[test]
fn the_code_of_a_label_is_read_back_as_the_id_of_its_find() {
    // One label to a sheet, so that one code is seen at a time, as a phone sees it.
    let grid = print::Grid::parse("1x1,70x36,10x10", Paper::A4).unwrap();
    for n in [0, 7919, 0xf_0f0f_0f0f] {
        let find = find(n, "quoin-covered-sugar", "14", "");
        let sheet = print::labels(&print::labels_of_finds(std::slice::from_ref(&find)), &grid, 0).unwrap();
        let (width, height, rgb) = sheet.pages[0].pixels(200.0).unwrap();
        let grey = |x: usize, y: usize| rgb[(y * width as usize + x) * 3];
        let mut picture = rqrr::PreparedImage::prepare_from_greyscale(width as usize, height as usize, grey);
        let read: Vec<String> = picture.detect_grids().iter().map(|code| code.decode().unwrap().1).collect();
        assert_eq!(read, [find.id.to_string()]);
    }
}

/// The paths of all elements of an XML text, and its text.
fn elements(xml: &str) -> (Vec<String>, String) {
    let mut reader = quick_xml::Reader::from_str(xml);
    let (mut path, mut paths, mut text) = (Vec::<String>::new(), Vec::<String>::new(), String::new());
    loop {
        match reader.read_event().unwrap() {
            quick_xml::events::Event::Start(e) => {
                path.push(String::from_utf8(e.name().as_ref().to_vec()).unwrap().replace("lido:", ""));
                paths.push(path.join("/"));
            }
            quick_xml::events::Event::End(_) => drop(path.pop()),
            quick_xml::events::Event::Text(t) => text.push_str(std::str::from_utf8(&t).unwrap()),
            quick_xml::events::Event::Eof => return (paths, text),
            _ => {}
        }
    }
}

/// Every element that is written, with what may stand in it, in the order that the schema of LIDO 1.1 asks for (ICOM CIDOC, 20 December 2021).
///
/// No package is known to carry that schema (the lists of `PyPI` and npm and the descriptions of Debian's packages were looked through on 26 November
/// 2026), so no validator runs here: this table was copied by hand from a record that had been validated against the schema file. It holds what is written to known elements in a known order; that the
/// schema itself would say yes it cannot show.
const LIDO_ORDER: &[(&str, &[&str])] = &[
    ("", &["lidoWrap"]),
    ("lidoWrap", &["lido"]),
    ("lido", &["lidoRecID", "descriptiveMetadata", "administrativeMetadata"]),
    ("descriptiveMetadata", &["objectClassificationWrap", "objectIdentificationWrap", "eventWrap"]),
    ("objectClassificationWrap", &["objectWorkTypeWrap"]),
    ("objectWorkTypeWrap", &["objectWorkType"]),
    ("objectWorkType", &["conceptID", "term"]),
    (
        "objectIdentificationWrap",
        &["titleWrap", "inscriptionsWrap", "objectDescriptionWrap", "objectMeasurementsWrap", "objectMaterialsTechWrap"],
    ),
    ("titleWrap", &["titleSet"]),
    ("titleSet", &["appellationValue"]),
    ("inscriptionsWrap", &["inscriptions"]),
    ("inscriptions", &["inscriptionTranscription"]),
    ("objectDescriptionWrap", &["objectDescriptionSet"]),
    ("objectDescriptionSet", &["descriptiveNoteValue"]),
    ("objectMeasurementsWrap", &["objectMeasurementsSet"]),
    ("objectMeasurementsSet", &["displayObjectMeasurements", "objectMeasurements"]),
    ("objectMeasurements", &["measurementsSet"]),
    ("measurementsSet", &["measurementType", "measurementUnit", "measurementValue"]),
    ("measurementType", &["term"]),
    ("measurementUnit", &["term"]),
    ("objectMaterialsTechWrap", &["objectMaterialsTechSet"]),
    ("objectMaterialsTechSet", &["displayMaterialsTech"]),
    ("eventWrap", &["eventSet"]),
    ("eventSet", &["event"]),
    ("event", &["eventType", "eventDate"]),
    ("eventType", &["conceptID", "term"]),
    ("eventDate", &["displayDate", "date"]),
    ("date", &["earliestDate", "latestDate"]),
    ("administrativeMetadata", &["recordWrap"]),
    ("recordWrap", &["recordID", "recordType", "recordSource"]),
    ("recordType", &["term"]),
    ("recordSource", &["legalBodyName"]),
    ("legalBodyName", &["appellationValue"]),
];

/// What is wrong with the order of the elements of a LIDO text, or with an element that has no place there.
fn lido_faults(xml: &str) -> Vec<String> {
    let mut reader = quick_xml::Reader::from_str(xml);
    // The elements that are open, each with how far in the order of its children one is.
    let (mut open, mut faults) = (vec![(String::new(), 0)], Vec::new());
    loop {
        match reader.read_event().unwrap() {
            quick_xml::events::Event::Start(e) => {
                let name = String::from_utf8(e.name().as_ref().to_vec()).unwrap().replace("lido:", "");
                let (parent, reached) = open.last_mut().unwrap();
                let children = LIDO_ORDER.iter().find(|(of, _)| of == parent).map_or(&[][..], |(_, children)| children);
                match children.iter().position(|child| *child == name) {
                    None => faults.push(format!("'{name}' has no place in '{parent}'")),
                    Some(at) if at < *reached => faults.push(format!("'{name}' stands too late in '{parent}'")),
                    Some(at) => *reached = at,
                }
                let named_by_type = ["lidoRecID", "recordID", "conceptID"].contains(&name.as_str());
                if named_by_type && !e.attributes().any(|one| one.unwrap().key.as_ref() == b"lido:type") {
                    faults.push(format!("'{name}' does not say of which type it is"));
                }
                if name.ends_with("Metadata") && !e.attributes().any(|one| one.unwrap().key.as_ref() == b"xml:lang") {
                    faults.push(format!("'{name}' does not say its language"));
                }
                open.push((name, 0));
            }
            quick_xml::events::Event::End(_) => drop(open.pop()),
            quick_xml::events::Event::Eof => return faults,
            _ => {}
        }
    }
}

#[test]
fn lido_holds_what_the_schema_asks_for() {
    let key = &INDEX.0;
    let finds: Vec<Find> = HOSTILE.iter().enumerate().map(|(n, note)| find(n, "quoin-covered-sugar", "", note)).collect();
    let xml = records::write_lido(key, &finds, ConditionRules::built_in(), HOSTILE[1]);
    assert_eq!(lido_faults(&xml), [] as [&str; 0]);
    // The check itself notices what it is there for.
    let other_way_round = xml.replace("lido:titleWrap>", "lido:x>").replace("lido:objectDescriptionWrap>", "lido:titleWrap>");
    assert!(lido_faults(&other_way_round.replace("lido:x>", "lido:objectDescriptionWrap>")).len() >= finds.len());
    assert_eq!(lido_faults("<lido:lidoWrap><lido:term></lido:term></lido:lidoWrap>"), ["'term' has no place in 'lidoWrap'"]);
    let (paths, _) = elements(&xml);
    let (descriptive, administrative) = ("lidoWrap/lido/descriptiveMetadata", "lidoWrap/lido/administrativeMetadata");
    for path in [
        "lidoWrap/lido/lidoRecID".to_owned(),
        format!("{descriptive}/objectClassificationWrap/objectWorkTypeWrap/objectWorkType/conceptID"),
        format!("{descriptive}/objectIdentificationWrap/titleWrap/titleSet/appellationValue"),
        format!("{descriptive}/eventWrap/eventSet/event/eventType/conceptID"),
        format!("{administrative}/recordWrap/recordID"),
        format!("{administrative}/recordWrap/recordType/term"),
        format!("{administrative}/recordWrap/recordSource/legalBodyName/appellationValue"),
    ] {
        assert_eq!(paths.iter().filter(|found| **found == path).count(), finds.len(), "{path}");
    }
    // The order within objectIdentificationWrap is part of the schema.
    let order: Vec<&str> = paths
        .iter()
        .filter_map(|path| path.strip_prefix(&format!("{descriptive}/objectIdentificationWrap/")))
        .filter(|path| !path.contains('/'))
        .collect();
    let first: Vec<&str> = order.iter().take(order.len() / finds.len()).copied().collect();
    assert_eq!(first, ["titleWrap", "objectDescriptionWrap", "objectMeasurementsWrap", "objectMaterialsTechWrap"]);
    assert!(xml.contains("http://vocab.getty.edu/aat/300042971") && xml.contains("<lido:measurementValue>92.5</lido:measurementValue>"));
    assert!(!xml.chars().any(|c| c.is_control() && c != '\n' && c != '\t'));
}

#[test]
fn linked_art_holds_what_the_profile_asks_for() {
    let key = &INDEX.0;
    let finds = [find(1, "quoin-covered-sugar", "", HOSTILE[1])];
    let mut json = Vec::new();
    let rules = ConditionRules::built_in();
    records::write_linked_art(key, &finds, rules, "https://example.org/find", &mut json).unwrap().unwrap();
    let all: serde_json::Value = serde_json::from_slice(&json).unwrap();
    let object = &all[0];
    assert_eq!(object["@context"], "https://linked.art/ns/v1/linked-art.json");
    assert_eq!(object["type"], "HumanMadeObject");
    assert_eq!(object["id"], format!("https://example.org/find/{}", finds[0].id));
    assert_eq!(object["classified_as"][0]["classified_as"][0]["id"], "http://vocab.getty.edu/aat/300435443");
    assert_eq!(object["identified_by"][0]["content"], "Covered sugar, Quoin");
    assert_eq!(object["dimension"][0]["value"], 92.5);
    assert_eq!(object["dimension"][0]["unit"]["id"], "http://vocab.getty.edu/aat/300379097");
    assert!(object["produced_by"]["timespan"]["begin_of_the_begin"].as_str().unwrap().ends_with("-01-01T00:00:00Z"));
    for base in ["", "find/", "javascript:alert(1)", "https://", "https://exa mple.org/", "http://\"x"] {
        assert!(records::write_linked_art(key, &finds, rules, base, &mut Vec::new()).is_err(), "{base}");
    }
}

#[test]
fn a_packet_holds_find_and_photographs_and_tells_what_it_lacks() {
    let key = &INDEX.0;
    let photo = |hash: &str, name: &str| serde_json::json!({ "hash": hash.repeat(32), "format": "jpg", "kind": "Mark", "edit": { "quarter_turns": 0, "crop": null }, "name": name, "caption": "underneath" });
    let mut one = serde_json::to_value(find(1, "quoin-covered-sugar", "14", "note")).unwrap();
    one["photographs"] = serde_json::json!([photo("ab", "../../etc/passwd"), photo("cd", "gone.jpg")]);
    let one: Find = serde_json::from_value(one).unwrap();
    let read = |photo: &footring::daybook::Photograph| {
        if photo.hash.to_string().starts_with("ab") { Ok(b"bytes".as_slice().into()) } else { Err("it is not in the store".to_owned()) }
    };
    let (bytes, lost) = records::write_packet(key, std::slice::from_ref(&one), ConditionRules::built_in(), &read).unwrap();
    let mut zip = zip::ZipArchive::new(std::io::Cursor::new(bytes)).unwrap();
    let folder = format!("covered-sugar-{}", one.id);
    let names: Vec<String> = zip.file_names().map(str::to_owned).collect();
    assert_eq!(names, [format!("{folder}/01-mark.jpg"), format!("{folder}/find.txt"), format!("{folder}/find.json")]);
    let mut words = String::new();
    std::io::Read::read_to_string(&mut zip.by_name(&format!("{folder}/find.txt")).unwrap(), &mut words).unwrap();
    assert!(words.contains("Photograph 02-mark.jpg is missing: it is not in the store") && words.contains("Box or lot: 14"), "{words}");
    assert_eq!(lost, [format!("{folder}/02-mark.jpg: it is not in the store")]);
}

#[test]
fn the_verb_exports_finds() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("book");
    daybook(&book);
    let book = book.to_str().unwrap();
    let export = |more: &[&str]| {
        let mut words = vec!["export", "demo", "--what", "finds", "--daybook", book];
        words.extend(more);
        verb(&words)
    };
    let (outcome, out, _) = export(&["--as", "csv", "--box", "14", "--out", "-"]);
    assert_eq!((outcome, out.lines().count()), (Outcome::Well, 4));
    let (outcome, _, err) = export(&["--as", "linked-art", "--out", "-"]);
    assert_eq!(
        (outcome, err.as_str()),
        (Outcome::Misuse, "footring: say with --base which address the ids begin with, such as https://example.org/find/\n")
    );
    let (outcome, _, err) = verb(&["export", "demo", "--as", "lido", "--out", "-"]);
    assert_eq!(
        (outcome, err.as_str()),
        (Outcome::Misuse, "footring: that describes real pieces, and forms are none (add --what finds --daybook DIR)\n")
    );
    for (kind, ending) in [("xlsx", "xlsx"), ("json", "json"), ("lido", "xml"), ("zip", "zip")] {
        let file = folder.path().join(format!("finds.{ending}"));
        let (outcome, out, err) = export(&["--as", kind, "--out", file.to_str().unwrap()]);
        assert_eq!((outcome, out.starts_with("4 finds written to "), err.as_str()), (Outcome::Well, true, ""), "{kind}: {out}");
        assert!(std::fs::metadata(&file).unwrap().len() > 100);
    }
}
