//! Finds by the thousand, as a club's daybook of many years has them.

use footring::daybook::record::Called;
use footring::daybook::{Daybook, Find, FindId, KeyName, Named, PhotoKind, Photograph, Record, Standing, Status};
use footring::identify::{Observation, Piece, Seen, Sure};
use footring::key::Part;
use footring::photo::{Edit, Format, PhotoHash};
use std::path::Path;

/// A find with what was seen of it, and no photograph.
pub(crate) fn find(n: i64) -> Find {
    let start: jiff::ZonedDateTime = "2026-03-02T10:00:00+00:00[+00:00]".parse().unwrap();
    Find {
        id: FindId::new(),
        revision: 0,
        found_at: start.checked_add(jiff::SignedDuration::from_secs(n * 61)).unwrap(),
        key: KeyName { title: "Marrowby house key".to_owned(), folder: "marrowby".to_owned() },
        named: Some(Named { form: "covered-sugar".into(), form_name: "covered sugar".to_owned(), line_name: "Quoin".to_owned() }),
        verdict: format!("Covered sugar, Quoin, find {n}"),
        probability: Some(0.9),
        standing: Standing::Settled,
        piece: Piece {
            observations: (0..8)
                .map(|i| Observation {
                    feature: format!("feature-{i}").as_str().into(),
                    seen: Seen::Values(vec!["oval".into()]),
                    sure: Sure::Sure,
                })
                .collect(),
            ..Piece::default()
        },
        box_label: format!("{}", n % 40),
        note: String::new(),
        photographs: Vec::new(),
        record: Record::default(),
    }
}

const FORMS: [&str; 7] = ["covered sugar", "one-person casserole", "mustard pot", "jug", "10 in plate", "mug", "sauce boat"];
const LINES: [&str; 3] = ["Quoin", "Fenlight", "Stannard"];
const GLAZES: [&str; 3] = ["Fen green", "Slate", "Cream"];

fn one_of<'w>(words: &[&'w str], n: i64) -> &'w str {
    words[usize::try_from(n).unwrap() % words.len()]
}

/// A find with its record and three photographs.
pub(crate) fn large(n: i64) -> Find {
    let form = one_of(&FORMS, n);
    let photographs = (0..3).map(|i| Photograph {
        hash: PhotoHash::of(format!("{n} {i}").as_bytes()),
        format: Format::Jpeg,
        kind: PhotoKind::WholePiece,
        edit: Edit::default(),
        name: format!("IMG_{n}_{i}.JPG"),
        caption: String::new(),
    });
    let mut find = Find {
        named: Some(Named { form: form.into(), form_name: form.to_owned(), line_name: one_of(&LINES, n).to_owned() }),
        box_label: format!("{}", n % 700),
        note: format!("from the chapel kitchen, shelf {}", n % 97),
        photographs: photographs.collect(),
        record: Record {
            status: Status::ALL[usize::try_from(n).unwrap() % 5],
            glazes: [(Part::Body, Called { id: String::new(), name: one_of(&GLAZES, n).to_owned() })].into(),
            ..Record::default()
        },
        ..find(n)
    };
    let glaze = one_of(&GLAZES, n).to_lowercase().replace(' ', "-");
    find.piece.see(Observation { feature: "glaze".into(), seen: Seen::Values(vec![glaze.as_str().into()]), sure: Sure::Sure });
    find
}

/// Puts so many of them into the daybook of a folder.
pub(crate) fn fill(folder: &Path, finds: i64) {
    let mut daybook = Daybook::open(folder).unwrap();
    let all: Vec<i64> = (0..finds).collect();
    for some in all.chunks(1000) {
        let finds: Vec<Find> = some.iter().map(|n| large(*n)).collect();
        daybook.put_many(&finds, &finds[0].found_at).unwrap();
    }
}
