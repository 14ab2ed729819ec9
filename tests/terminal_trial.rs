//! `footring trial` as a script and a person see it.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic, reason = "tests")]

#[path = "common/ran.rs"]
mod ran;

use ran::run;

/// A key of two forms that are the same, and one that is like neither.
fn twins() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    write("key.ron", "(format: 1, title: \"Twins\")");
    write(
        "features.ron",
        "[(id: \"rim\", part: Body, view: Side, slip: 0.0, kind: Choice([(id: \"plain\"), (id: \"flared\")])),
          (id: \"foot\", part: Body, view: Underneath, slip: 0.0, kind: Choice([(id: \"flat\"), (id: \"ring\")]))]",
    );
    write("lines.ron", "[(id: \"quoin\", name: \"Quoin\"), (id: \"fen\", name: \"Fenlight\")]");
    let form = |id: &str, name: &str, line: &str, rim: &str, foot: &str| {
        format!(
            "(id: \"{id}\", name: \"{name}\", line: \"{line}\", parts: [Body], shape: (body: [Corner(26, 0), Corner(47, 64)]), \
             features: {{\"rim\": Always(\"{rim}\"), \"foot\": Always(\"{foot}\")}})"
        )
    };
    let forms = [
        form("jug", "jug", "quoin", "plain", "flat"),
        form("pot", "pot", "quoin", "plain", "flat"),
        form("bowl", "bowl", "fen", "flared", "ring"),
    ];
    write("forms.ron", &format!("[{}]", forms.join(",\n")));
    folder
}

#[test]
fn the_report_of_a_small_key_reads_as_it_should() {
    let key = twins();
    let ran = run(&["trial", key.path().to_str().unwrap(), "--pieces", "10", "--looks", "2", "--unread", "0", "--strangers", "0"]);
    // The key's check knows that nothing tells the two apart.
    assert_eq!(ran.code, 0);
    assert!(ran.err.starts_with("footring: 1 problem in this key") && ran.err.lines().count() == 1, "{}", ran.err);
    let jug_wrong: usize =
        ran.out.lines().find(|line| line.ends_with("jug and pot, Quoin")).unwrap().split_whitespace().next().unwrap().parse().unwrap();
    assert!((1..20).contains(&jug_wrong), "{}", ran.out);
    for line in [
        "Twins: 30 made-up pieces of 3 forms; 2 looks at each, in any order (seed 1)",
        "How they were named",
        "How much looking it took",
        "How far its probabilities can be believed",
        "Taken for each other most often, of 20 of both",
        "Hardest to name: how often the right form came first",
        "Lines: pieces of each, and the line they were taken for",
        "               Quoin  Fenlight",
        "  Quoin           20         0",
        "  Fenlight         0        10",
    ] {
        assert!(ran.out.lines().any(|have| have == line), "no line '{line}' in:\n{}", ran.out);
    }
    assert!(!ran.out.contains("Strangers"), "{}", ran.out);
    assert!(!ran.out.contains("NaN") && !ran.out.contains('\u{1b}'), "{}", ran.out);
}

#[test]
fn one_seed_prints_the_same_and_another_does_not() {
    let key = twins();
    let with = |seed: &str| run(&["trial", key.path().to_str().unwrap(), "--pieces", "20", "--guided", "--seed", seed, "--json"]).out;
    let one = with("4");
    assert_eq!(one, with("4"));
    let (one, other): (serde_json::Value, serde_json::Value) =
        (serde_json::from_str(&one).unwrap(), serde_json::from_str(&with("5")).unwrap());
    assert_ne!(one.get("forms"), other.get("forms"));
    let options = one.get("options").unwrap();
    assert_eq!(options.get("guided"), Some(&true.into()));
    assert_eq!(options.get("looks"), Some(&20.into()));
    assert_eq!(one.get("pieces"), Some(&60.into()));
    assert_eq!(one.get("strangers").and_then(|strangers| strangers.get("forms")), Some(&3.into()));
    assert_eq!(one.get("forms").and_then(|forms| forms.as_array()).map(Vec::len), Some(3));
}

#[test]
fn what_cannot_be_is_refused_in_words() {
    for (args, says) in [
        (vec!["--pieces", "0"], "0 is not in 1.."),
        (vec!["--slips", "-1"], "that is not a number from 0 to 1000 (write 2 for twice as often)"),
        (vec!["--worn", "1.5"], "that is not a number from 0 to 1 (write 0.05 for one in twenty)"),
        (vec!["--unread", "nan"], "that is not a number from 0 to 1 (write 0.05 for one in twenty)"),
    ] {
        let all: Vec<&str> = ["trial", "demo"].into_iter().chain(args.iter().copied()).collect();
        // A value that begins with a hyphen must be joined to its option.
        let joined = format!("{}={}", args[0], args[1]);
        let all = if args[1].starts_with('-') { vec!["trial", "demo", joined.as_str()] } else { all };
        let ran = run(&all);
        assert_eq!(ran.code, 2, "{all:?}: {}", ran.err);
        assert!(ran.err.contains(says), "{all:?}: {}", ran.err);
    }
    let ran = run(&["trial", "no such folder"]);
    assert_eq!(
        (ran.code, ran.err.as_str()),
        (2, "footring: 'no such folder' is not there (give the folder of a house key, or 'demo' for the one built in)\n")
    );
}
