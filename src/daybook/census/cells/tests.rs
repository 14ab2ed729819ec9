#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

use super::super::share::share;
use super::*;
use crate::daybook::census::{Richness, TallyQuestion};
use crate::daybook::{Daybook, Find, FindId, KeyName, Named, Standing};
use crate::identify::{Observation, Piece, Seen, Sure};
use crate::key::builtin;
use serde_json::Value;

/// A find of a form with what was seen of its glaze and decoration.
fn find(form: &str, glaze: &[&str], decoration: &[&str], standing: Standing, day: i8) -> Find {
    let seen = |feature: &str, values: &[&str]| Observation {
        feature: feature.into(),
        seen: Seen::Values(values.iter().map(|value| (*value).into()).collect()),
        sure: Sure::Sure,
    };
    let rim = Observation { feature: "rim".into(), seen: Seen::NotSure, sure: Sure::Sure };
    let answers = [("glaze", glaze), ("decoration", decoration)].into_iter().filter(|(_, values)| !values.is_empty());
    Find {
        id: FindId::new(),
        revision: 0,
        found_at: format!("2026-03-{day:02}T10:00:00+00:00[+00:00]").parse().unwrap(),
        key: KeyName { title: "Marrowby house key".to_owned(), folder: builtin::DEMO_NAME.to_owned() },
        named: Some(Named { form: form.into(), form_name: form.to_owned(), line_name: "Quoin".to_owned() }),
        verdict: String::new(),
        probability: Some(0.9),
        standing,
        piece: Piece { observations: std::iter::once(rim).chain(answers.map(|(f, v)| seen(f, v))).collect(), ..Piece::default() },
        box_label: String::new(),
        note: String::new(),
        photographs: Vec::new(),
        record: crate::daybook::Record::default(),
    }
}

fn book(finds: &[Find]) -> (tempfile::TempDir, Daybook) {
    let dir = tempfile::tempdir().unwrap();
    let mut book = Daybook::open(dir.path()).unwrap();
    for find in finds {
        book.put(find, &find.found_at).unwrap();
    }
    (dir, book)
}

#[test]
fn finds_of_a_retired_form_are_counted_where_it_went() {
    let settled = Standing::Settled;
    let finds = [
        find("quoin-covered-sugar", &["moss"], &[], settled, 2),
        find("quoin-casserole-one", &["moss"], &[], Standing::Leaning, 9),
        find("quoin-casserole-one", &["ember"], &[], settled, 5),
    ];
    let (_dir, book) = book(&finds);
    let (keep, gone) = ("quoin-covered-sugar".into(), "quoin-casserole-one".into());
    let key = crate::key::edit::merge(&builtin::demo().key, &keep, &gone).unwrap();
    let question = TallyQuestion::of(&key, builtin::DEMO_NAME);
    let tallies = book.tally(&question).unwrap();
    let said: Vec<_> = tallies.iter().map(|t| (t.form.as_str(), t.glaze.as_ref().unwrap().as_str(), t.finds, t.settled)).collect();
    assert_eq!(said, [("quoin-covered-sugar", "ember", 1, 1), ("quoin-covered-sugar", "moss", 2, 1)]);
    assert_eq!(book.finds_in_glaze(&question, &keep, Some(&"moss".into())).unwrap(), [finds[0].id, finds[1].id]);
}

#[test]
fn finds_are_counted_by_form_glaze_and_decoration_and_led_back_to() {
    let settled = Standing::Settled;
    let mut finds = vec![
        find("quoin-teapot", &["moss"], &[], settled, 2),
        find("quoin-teapot", &["moss"], &["lattice"], settled, 9),
        find("quoin-teapot", &["moss"], &[], Standing::Leaning, 5),
        find("quoin-teapot", &["moss", "sedge"], &[], settled, 6),
        find("quoin-teapot", &[], &["lattice"], settled, 7),
        find("quoin-mug", &["ember"], &[], Standing::Leaning, 1),
    ];
    finds.push(Find {
        key: KeyName { folder: "another".to_owned(), ..KeyName::default() },
        ..find("quoin-mug", &["flint"], &[], settled, 1)
    });
    let (_dir, mut book) = book(&finds);
    let gone = find("quoin-mug", &["slate"], &[], settled, 1);
    book.put(&gone, &gone.found_at).unwrap();
    book.remove(gone.id, &gone.found_at).unwrap();
    let key = builtin::demo().key;
    let question = TallyQuestion::of(&key, builtin::DEMO_NAME);
    assert_eq!((question.glaze.as_ref().unwrap().as_str(), question.decoration.as_ref().unwrap().as_str()), ("glaze", "decoration"));
    let tallies = book.tally(&question).unwrap();
    let said: Vec<String> = tallies
        .iter()
        .map(|t| {
            format!(
                "{} {:?} {:?} {} {}",
                t.form,
                t.glaze.as_ref().map(ToString::to_string),
                t.decoration.as_ref().map(ToString::to_string),
                t.finds,
                t.settled
            )
        })
        .collect();
    assert_eq!(
        said,
        [
            "quoin-mug Some(\"ember\") None 1 0",
            "quoin-teapot None None 1 1",
            "quoin-teapot None Some(\"lattice\") 1 1",
            "quoin-teapot Some(\"moss\") None 2 1",
            "quoin-teapot Some(\"moss\") Some(\"lattice\") 1 1",
        ]
    );
    let by_glaze = census(&key, &tallies, By::Glaze);
    let teapot = by_glaze.cell(&"quoin-teapot".into(), "moss").unwrap();
    assert_eq!((teapot.finds, teapot.settled, teapot.state), (3, 2, State::SeenAndListed));
    assert_eq!(
        (teapot.first.unwrap().to_string(), teapot.last.unwrap().to_string()),
        ("2026-03-02T10:00:00Z".into(), "2026-03-09T10:00:00Z".into())
    );
    assert_eq!(teapot.papers.iter().map(ToString::to_string).collect::<Vec<_>>(), ["price-list-1954", "glaze-memo-1957"]);
    assert_eq!(by_glaze.unsaid, [("quoin-teapot".into(), 2)]);
    let by_decoration = census(&key, &tallies, By::Decoration);
    assert_eq!(by_decoration.cell(&"quoin-teapot".into(), "lattice").unwrap().settled, 2);
    let ids = book.finds_in_glaze(&question, &"quoin-teapot".into(), Some(&"moss".into())).unwrap();
    assert_eq!(ids, [finds[0].id, finds[2].id, finds[1].id]);
    assert_eq!(book.finds_in_glaze(&question, &"quoin-teapot".into(), None).unwrap(), [finds[3].id, finds[4].id]);
    assert_eq!(book.finds_with_decoration(&question, &"quoin-teapot".into(), Some(&"lattice".into())).unwrap().len(), 2);
}

fn tally(form: &str, glaze: &str, finds: u64, settled: u64) -> Tally {
    Tally {
        form: form.into(),
        glaze: Some(glaze.into()),
        decoration: None,
        finds,
        settled,
        first: Timestamp::UNIX_EPOCH,
        last: Timestamp::UNIX_EPOCH,
    }
}

#[test]
fn each_cell_says_how_it_is_known() {
    let mut key = builtin::demo().key;
    key.papers.retain(|paper| paper.id.as_str() == "price-list-1954");
    let mug = key.forms.iter_mut().find(|form| form.id.as_str() == "quoin-mug").unwrap();
    let held = |id: &str, how: How| Held { id: id.into(), often: Often::Always, how, papers: Vec::new(), note: String::new() };
    mug.glazes = vec![held("flint", How::Seen), held("slate", How::Suspected), held("moss", How::Refuted), held("sedge", How::Refuted)];
    let tallies = [
        tally("quoin-mug", "sedge", 1, 1),
        tally("quoin-mug", "ember", 2, 2),
        tally("quoin-mug", "peat", 2, 0),
        tally("quoin-teapot", "flint", 4, 1),
        tally("gone", "flint", 1, 1),
    ];
    let found = census(&key, &tallies, By::Glaze);
    let state = |form: &str, glaze: &str| found.cell(&form.into(), glaze).map(|cell| cell.state);
    assert_eq!(state("quoin-mug", "flint"), Some(State::OnlyClaimed));
    assert_eq!(state("quoin-mug", "slate"), Some(State::Doubtful));
    assert_eq!(state("quoin-mug", "moss"), Some(State::Refuted));
    assert_eq!(state("quoin-mug", "sedge"), Some(State::RefutedYetSeen));
    assert_eq!(state("quoin-mug", "ember"), Some(State::SeenNeverListed));
    assert_eq!(state("quoin-mug", "peat"), Some(State::Doubtful), "no verdict of it was settled");
    assert_eq!(state("quoin-teapot", "flint"), Some(State::SeenAndListed));
    assert_eq!(state("quoin-mug", "saffron"), None);
    assert_eq!(found.cells.last().unwrap().form.as_str(), "gone", "what the key has not comes last");
    // A line of a paper that the form does not claim.
    key.papers[0].lists.push(crate::key::Listed {
        written: "mugs".into(),
        form: Some("quoin-mug".into()),
        glazes: vec!["harbour".into()],
        price: String::new(),
    });
    assert_eq!(census(&key, &tallies, By::Glaze).cell(&"quoin-mug".into(), "harbour").map(|cell| cell.state), Some(State::ListedNeverSeen));
    let states = found.states();
    assert_eq!(states.iter().map(|(_, n)| n).sum::<usize>(), found.cells.len());
}

#[test]
fn nothing_known_is_an_empty_census() {
    let found = census(&Key::default(), &[], By::Glaze);
    assert_eq!((found.cells.len(), found.unsaid.len(), found.richness), (0, 0, Richness::default()));
}

#[test]
fn estimates_are_those_of_other_libraries() {
    // Reference: scikit-bio (chao1, chao1_ci) and scipy (beta.ppf), by tests/reference/census.py.
    let text = include_str!("../../../../tests/reference/census.json");
    let all: Value = serde_json::from_str(text).unwrap();
    let number = |value: &Value| value.as_f64().unwrap();
    let cases = all["richness"].as_array().unwrap();
    assert_eq!(cases.len(), 5);
    for case in cases {
        let found = Richness::of(case["counts"].as_array().unwrap().iter().map(|count| count.as_u64().unwrap()));
        assert!((found.estimate - number(&case["chao1"])).abs() < 1e-9, "{case} {found:?}");
        assert!(
            (found.interval.0 - number(&case["low"])).abs() < 1e-3
                && (found.interval.1 - number(&case["high"])).abs() < 1e-3 * found.interval.1,
            "{case} {found:?}"
        );
        assert!((found.coverage - number(&case["coverage"])).abs() < 1e-9, "{case} {found:?}");
    }
    let cases = all["shares"].as_array().unwrap();
    assert_eq!(cases.len(), 8);
    for case in cases {
        let found = share(case["of"].as_u64().unwrap(), case["all"].as_u64().unwrap());
        assert!((found.low - number(&case["low"])).abs() < 1e-9 && (found.high - number(&case["high"])).abs() < 1e-9, "{case} {found:?}");
    }
}
