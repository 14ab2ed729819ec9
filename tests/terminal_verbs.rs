//! The verbs as a script sees them: what they print, where, and how they end.

#![expect(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, clippy::print_stderr, reason = "tests")]

#[path = "common/ran.rs"]
mod ran;

use footring::terminal::{self, Call};
use ran::{Ran, run};
use serde_json::Value;
use std::ffi::OsString;
use std::path::Path;

/// An invented key of three covered pieces and a plate.
struct SmallKey(tempfile::TempDir);

impl SmallKey {
    fn new() -> Self {
        let key = Self(tempfile::tempdir().unwrap());
        key.write("key.ron", "(format: 1, title: \"Small key\", synonyms: [[\"finial\", \"knob\"]])");
        key.write(
            "features.ron",
            "[
    (id: \"lid-outline\", part: Lid, view: Above, kind: Choice([(id: \"round\"), (id: \"oval\")]), slip: 0.01),
    (id: \"rim\", part: Body, view: Side, kind: Choice([(id: \"plain\"), (id: \"flared\")])),
    (id: \"height\", part: Body, view: Hand, kind: Measure(unit: Mm), effort: 2),
]",
        );
        key.write("lines.ron", "[(id: \"quoin\", name: \"Quoin\"), (id: \"stannard\", name: \"Stannard\")]");
        let body = "shape: (body: [Corner(26, 0), Curve(44, 30), Corner(47, 64)])";
        let lidded = "shape: (body: [Corner(26, 0), Curve(44, 30), Corner(47, 64)], lid: [Corner(46, 0), Corner(8, 21)])";
        key.write(
            "forms.ron",
            &format!(
                "[
    (id: \"q-sugar\", name: \"covered sugar\", line: \"quoin\", parts: [Body, Lid], {lidded},
     features: {{\"lid-outline\": Always(\"round\"), \"rim\": Always(\"plain\"), \"height\": Between(63, 66)}}),
    (id: \"q-casserole\", name: \"one-person casserole\", line: \"quoin\", parts: [Body, Lid], {lidded},
     features: {{\"lid-outline\": Always(\"oval\"), \"rim\": Always(\"plain\"), \"height\": Between(64, 67)}}),
    (id: \"s-sugar\", name: \"covered sugar\", line: \"stannard\", parts: [Body, Lid], {lidded},
     features: {{\"lid-outline\": Always(\"round\"), \"rim\": Values({{\"flared\": Usually, \"plain\": Sometimes}}), \"height\": Between(80, 84)}}),
    (id: \"s-plate\", name: \"10 in plate\", line: \"stannard\", parts: [Body], {body}),
]"
            ),
        );
        key
    }

    fn write(&self, name: &str, text: &str) {
        std::fs::write(self.0.path().join(name), text).unwrap();
    }

    fn path(&self) -> String {
        self.0.path().display().to_string()
    }
}

fn json(args: &[&str]) -> Value {
    let ran = run(args);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
    serde_json::from_str(&ran.out).unwrap()
}

#[test]
fn a_sound_key_ends_with_nought() {
    let key = SmallKey::new();
    let out = "Small key: no problems in 4 forms, 2 lines, 3 features, 0 glazes, 0 marks, 0 papers\n".to_owned();
    assert_eq!(run(&["check", &key.path()]), Ran { code: 0, out, err: String::new() });
}

#[test]
fn every_problem_is_told_with_its_place_and_what_was_meant() {
    let key = SmallKey::new();
    key.write("lines.ron", "[(id: \"quoin\", nmae: \"Quoin\"), (id: \"stannard\", name: \"Stannard\")]");
    let ran = run(&["check", &key.path()]);
    assert_eq!((ran.code, ran.err.as_str()), (1, ""));
    assert!(ran.out.contains("error: a line has no field 'nmae' (did you mean 'name'?)\n  --> lines.ron:1:16\n"), "{}", ran.out);
    assert!(ran.out.ends_with("Small key: 1 problem in 4 forms, 1 line, 3 features, 0 glazes, 0 marks, 0 papers\n"), "{}", ran.out);
    let as_json = run(&["check", &key.path(), "--json"]);
    assert_eq!(as_json.code, 1);
    let report: Value = serde_json::from_str(&as_json.out).unwrap();
    assert_eq!(report["problems"][0]["file"], "lines.ron");
    assert_eq!(report["problems"][0]["line"], 1);
    assert_eq!(report["problems"][0]["text"], "a line has no field 'nmae' (did you mean 'name'?)");
}

#[test]
fn a_broken_form_does_not_keep_the_rest_from_being_used() {
    let key = SmallKey::new();
    let forms = std::fs::read_to_string(key.0.path().join("forms.ron")).unwrap();
    key.write("forms.ron", &forms.replace("parts: [Body], ", "parts: [Bdoy], "));
    let ran = run(&["identify", &key.path(), "--see", "lid outline=oval"]);
    assert_eq!(ran.code, 0);
    assert!(ran.err.starts_with("footring: 1 problem in this key ('footring check "), "{}", ran.err);
    assert!(ran.out.contains("one-person casserole, Quoin"), "{}", ran.out);
}

#[test]
fn the_built_in_key_is_sound() {
    let ran = run(&["check", "demo"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{}", ran.out);
}

#[test]
fn identify_gives_json_of_the_agreed_shape() {
    let key = SmallKey::new();
    let report = json(&["identify", &key.path(), "--see", "lid outline=oval", "--see", "height=65±1", "--json"]);
    let keys: Vec<&str> = report.as_object().unwrap().keys().map(String::as_str).collect();
    let mut expected = ["key", "observations", "candidates", "fits", "not_in_key", "next_looks", "verdict"];
    let mut sorted = keys;
    sorted.sort_unstable();
    expected.sort_unstable();
    assert_eq!(sorted, expected);
    assert_eq!(report["key"], "Small key");
    assert_eq!(
        report["observations"],
        serde_json::json!([{"feature": "lid outline", "value": "oval"}, {"feature": "height", "value": "65±1"}])
    );
    let candidates = report["candidates"].as_array().unwrap();
    assert_eq!(candidates.len(), 4, "all of them");
    assert_eq!((&candidates[0]["form"], &candidates[0]["line"]), (&Value::from("one-person casserole"), &Value::from("Quoin")));
    let p = |candidate: &Value| candidate["probability"].as_f64().unwrap();
    assert!(candidates.windows(2).all(|pair| p(&pair[0]) >= p(&pair[1])), "most probable first");
    let sum: f64 = candidates.iter().map(p).sum::<f64>() + report["not_in_key"].as_f64().unwrap();
    assert!((sum - 1.0).abs() < 1e-9, "probabilities and 'not in this key' sum to one, here {sum}");
    let sugar = candidates.iter().find(|c| c["form"] == "covered sugar" && c["line"] == "Quoin").unwrap();
    assert_eq!(sugar["disagreements"], serde_json::json!(["lid outline"]));
    let fitting = candidates.iter().filter(|c| c["disagreements"].as_array().unwrap().is_empty()).count();
    assert_eq!(report["fits"], fitting);
    for look in report["next_looks"].as_array().unwrap() {
        assert!(look["feature"].is_string() && look["bits"].as_f64().unwrap() >= 0.0, "{look}");
    }
    assert!(!report["verdict"].as_str().unwrap().is_empty());
}

#[test]
fn a_missing_part_is_neither_asked_for_nor_held_against_a_form() {
    let key = SmallKey::new();
    let report = json(&["identify", &key.path(), "--missing", "lid", "--json"]);
    let asked: Vec<&Value> = report["next_looks"].as_array().unwrap().iter().map(|look| &look["feature"]).collect();
    assert!(!asked.contains(&&Value::from("lid outline")), "{asked:?}");
    assert!(asked.contains(&&Value::from("rim")), "{asked:?}");
    let by_synonym = run(&["identify", &key.path(), "--missing", "knob"]);
    assert_eq!((by_synonym.code, by_synonym.err.as_str()), (0, ""));
}

#[test]
fn text_and_json_name_the_same_piece() {
    let key = SmallKey::new();
    let args = ["identify", &key.path(), "--see", "lid outline=oval", "--see", "rim=plain"];
    let ran = run(&args);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let report = json(&[&args[..], &["--json"]].concat());
    assert!(ran.out.contains(report["verdict"].as_str().unwrap()), "{}", ran.out);
    assert!(ran.out.contains("one-person casserole, Quoin"), "{}", ran.out);
    let all = run(&[&args[..], &["--all"]].concat());
    for form in ["one-person casserole, Quoin", "covered sugar, Quoin", "covered sugar, Stannard", "10 in plate, Stannard"] {
        assert!(all.out.contains(form), "--all lists {form}:\n{}", all.out);
    }
    assert!(!ran.out.contains('\u{1b}'), "no colours, no control characters");
}

#[test]
fn what_cannot_be_seen_is_misuse_and_says_what_can() {
    let key = SmallKey::new();
    for (args, says) in [
        (vec!["--see", "lid outlne=oval"], "lid outline"),
        (vec!["--see", "lid outline=ovel"], "oval"),
        (vec!["--see", "lid outline"], "lid outline"),
        (vec!["--see", "height=tall"], "height"),
        (vec!["--missing", "ild"], "lid"),
        (vec!["--see", "rim=plain", "--see", "rim=flared"], "given before"),
    ] {
        let path = key.path();
        let ran = run(&[&["identify", &path], &args[..]].concat());
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{args:?}");
        assert!(ran.err.starts_with("footring: ") && ran.err.contains(says), "{args:?}: {}", ran.err);
        assert_eq!(ran.err.lines().count(), 1, "one line: {}", ran.err);
    }
}

#[test]
fn tells_are_in_the_order_of_how_surely_they_are_seen() {
    let key = SmallKey::new();
    let report = json(&["tell", &key.path(), "covered sugar, Quoin", "one-person casserole", "--json"]);
    assert_eq!(
        report["forms"],
        serde_json::json!([{"form": "covered sugar", "line": "Quoin"}, {"form": "one-person casserole", "line": "Quoin"}])
    );
    assert_eq!(report["tells"][0]["feature"], "lid outline");
    assert_eq!(report["tells"][0]["values"], serde_json::json!(["round", "oval"]));
    assert_eq!(report["tells"][0]["lid_on_only"], true);
    assert_eq!(report["same"], serde_json::json!(["rim"]));
    let text = run(&["tell", &key.path(), "q-sugar", "q-casserole"]);
    assert_eq!((text.code, text.err.as_str()), (0, ""));
    assert!(text.out.contains("lid outline (from above, only with the lid on)"), "{}", text.out);
    assert!(text.out.contains("    covered sugar, Quoin         round\n    one-person casserole, Quoin  oval\n"), "{}", text.out);
}

#[test]
fn a_form_that_is_not_meant_clearly_is_misuse() {
    let key = SmallKey::new();
    let path = key.path();
    let ran = run(&["tell", &path, "covered sugar", "one-person casserole"]);
    let err =
        "footring: 'covered sugar' can mean 'covered sugar, Quoin' or 'covered sugar, Stannard' (write one of them in full)\n".to_owned();
    assert_eq!(ran, Ran { code: 2, out: String::new(), err });
    let ran = run(&["tell", &path, "q-sugar", "covered sugar, Quoin"]);
    assert_eq!(ran, Ran { code: 2, out: String::new(), err: "footring: 'covered sugar, Quoin' was given twice\n".to_owned() });
    assert_eq!(run(&["tell", &path, "q-sugar"]).code, 2, "one form alone has nothing to be told from");
    assert_eq!(run(&["tell", &path, "q-sugar", "teapot"]).code, 2);
}

#[test]
fn export_writes_a_file_or_prints() {
    let key = SmallKey::new();
    let expected = "id,form,line,lid outline,rim,height (mm)\n\
        q-sugar,covered sugar,Quoin,round,plain,63..66\n\
        q-casserole,one-person casserole,Quoin,oval,plain,64..67\n\
        s-sugar,covered sugar,Stannard,round,flared|plain,80..84\n\
        s-plate,10 in plate,Stannard,-,,\n";
    assert_eq!(run(&["export", &key.path(), "--csv", "-"]), Ran { code: 0, out: expected.to_owned(), err: String::new() });
    let file = key.0.path().join("out.csv").display().to_string();
    let out = format!("4 forms with 3 features written to {file}\n");
    assert_eq!(run(&["export", &key.path(), "--csv", &file]), Ran { code: 0, out, err: String::new() });
    assert_eq!(std::fs::read_to_string(&file).unwrap(), expected);
    let nowhere = key.0.path().join("no such folder").join("out.csv").display().to_string();
    let ran = run(&["export", &key.path(), "--csv", &nowhere]);
    assert_eq!((ran.code, ran.out.as_str()), (1, ""));
    assert!(ran.err.starts_with(&format!("footring: '{nowhere}' can't be written: ")), "{}", ran.err);
}

#[test]
fn misuse_ends_with_two_and_help_with_nought() {
    let nowhere = Path::new(env!("CARGO_MANIFEST_DIR")).join("no such key").display().to_string();
    let err = format!("footring: '{nowhere}' is not there (give the folder of a house key, or 'demo' for the one built in)\n");
    assert_eq!(run(&["check", &nowhere]), Ran { code: 2, out: String::new(), err });
    for args in [
        vec!["check"],
        vec!["frob"],
        vec!["export", "demo"],
        vec!["identify", "demo", "--seee", "x=y"],
        vec!["identify", "demo", "--json", "--all"],
    ] {
        let ran = run(&args);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{args:?}");
        assert!(!ran.err.is_empty(), "{args:?} says what is wrong");
    }
    for args in [vec!["--help"], vec!["identify", "--help"], vec!["--version"]] {
        let ran = run(&args);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{args:?}");
    }
    assert!(run(&["--help"]).out.contains("'demo'"), "the help says what 'demo' is");
}

#[test]
fn a_folder_without_a_key_has_problems_and_no_forms() {
    let empty = tempfile::tempdir().unwrap();
    let path = empty.path().display().to_string();
    assert_eq!(run(&["check", &path]).code, 1);
    let ran = run(&["identify", &path]);
    assert_eq!((ran.code, ran.out.as_str()), (1, ""));
    assert!(ran.err.ends_with(&format!("footring: there is no form in '{path}' that can be used\n")), "{}", ran.err);
}

/// A reader that has had enough.
struct Closed;

impl std::io::Write for Closed {
    fn write(&mut self, _bytes: &[u8]) -> std::io::Result<usize> {
        Err(std::io::ErrorKind::BrokenPipe.into())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

#[test]
fn a_closed_pipe_is_no_complaint() {
    let key = SmallKey::new();
    let Ok(Call::Verb(verb)) = terminal::parse(["footring", "export", &key.path(), "--csv", "-"].map(OsString::from)) else {
        panic!("a verb")
    };
    let mut err = Vec::new();
    assert_eq!(terminal::run(&verb, &mut Closed, &mut err).code(), 0);
    assert_eq!(String::from_utf8(err).unwrap(), "");
}

/// The built program under the eyes of `strace`, where that is on the machine: it asks the system for no connection to anywhere. Elsewhere
/// `tests/tidy.rs` still holds that no source names the network.
#[cfg(target_os = "linux")]
#[test]
fn no_verb_asks_for_a_connection() {
    let key = SmallKey::new();
    let trace = key.0.path().join("trace.txt");
    let out = key.0.path().join("out.csv");
    let (path, out) = (key.path(), out.display().to_string());
    let verbs: [&[&str]; 6] = [
        &["check", &path],
        &["identify", &path, "--see", "rim=plain"],
        &["export", &path, "--csv", &out],
        &["diff", &path, "demo"],
        &["date", "--evidence", "MADE IN ENGL?ND"],
        &["health", &path],
    ];
    for verb in verbs {
        let ran = std::process::Command::new("strace")
            .args(["-f", "-qq", "-e", "trace=%network", "-o"])
            .arg(&trace)
            .arg(env!("CARGO_BIN_EXE_footring"))
            .args(verb)
            .output();
        let Ok(ran) = ran else {
            eprintln!("not looked at: strace is not on this machine");
            return;
        };
        let traced = std::fs::read_to_string(&trace).unwrap_or_default();
        if String::from_utf8_lossy(&ran.stderr).contains("ptrace") {
            eprintln!("not looked at: this machine lets no program watch another");
            return;
        }
        assert!(ran.status.code().is_some_and(|code| code < 2), "{verb:?}: {}", String::from_utf8_lossy(&ran.stderr));
        let asked: Vec<&str> = traced.lines().filter(|line| line.contains("socket(") && !line.contains("AF_UNIX")).collect();
        assert_eq!(asked, Vec::<&str>::new(), "{verb:?}");
    }
}
