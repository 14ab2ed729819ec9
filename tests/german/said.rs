//! What the rooms below the window say in German: cells that are read as they are shown, printed sheets, and the views that show what was worked out.

use super::desk::Table;
use super::staged::Scene;
use super::{english, english_left, first_called, my_turn, picture, table};
use egui_kittest::kittest::Queryable as _;
use footring::desk::command::{Command, Screen};
use footring::desk::printing::Order;
use footring::identify::Index;
use footring::identify::cover::Goal;
use footring::identify::sequence::{Method, SequenceAsk};
use footring::key::edit::cell;
use footring::key::words::Words;
use footring::key::{FeatureKind, Key, Often, Record, builtin};
use footring::sheets::page::Document;
use footring::sheets::print::{self, Setup};
use footring::words::{Language, speak};
use std::path::{Path, PathBuf};
use std::sync::Arc;

#[test]
fn cells_are_read_as_they_are_shown() {
    let _turn = my_turn();
    speak(Language::German);
    let key = builtin::demo().key;
    let words = Words::new(&key);
    let mut came_back = 0;
    for form in &key.forms {
        for (id, record) in &form.features {
            let Some(feature) = key.feature(id) else { continue };
            if !matches!(feature.kind, FeatureKind::Choice(_) | FeatureKind::Measure(_)) {
                continue;
            }
            let text = cell::text(&key, feature, Some(record));
            let read = cell::read(&key, &words, id, &text).unwrap_or_else(|error| panic!("{text}: {error}"));
            assert_eq!(read, Some(record.clone()).filter(|record| *record != Record::NotRecorded), "{text}");
            came_back += 1;
        }
    }
    assert!(came_back > 100, "{came_back}");
    let outline = key.feature(&"lid-outline".into()).unwrap();
    let counted = [("round".into(), Often::Times(7)), ("oval".into(), Often::Times(1))].into_iter().collect();
    assert_eq!(cell::text(&key, outline, Some(&Record::Values(counted))), "round 7-mal / oval einmal");
    let height = key.feature(&"height".into()).unwrap();
    assert_eq!(cell::text(&key, height, Some(&Record::Between(92.0, 95.5))), "92 bis 95,5");
    for text in ["92 bis 95,5", "92-95,5", "9,2 cm to 9,55 cm"] {
        assert_eq!(cell::read(&key, &words, &"height".into(), text), Ok(Some(Record::Between(92.0, 95.5))), "{text}");
    }
    // Whoever writes the words of the files is understood too.
    let english = cell::read(&key, &words, &"lid-outline".into(), "usually oval / sometimes round").unwrap();
    assert_eq!(english, cell::read(&key, &words, &"lid-outline".into(), "meist oval / manchmal round").unwrap());
    speak(Language::English);
}

/// The text of all pages, and that each bears the caution.
fn text_of(sheet: &Document) -> String {
    let pages: Vec<String> = sheet.pages.iter().map(|page| page.texts().collect::<Vec<_>>().join(" ")).collect();
    for page in &pages {
        assert!(page.contains("Scherben sind scharf wie Glas"), "{page}");
    }
    pages.join(" ")
}

fn sheets(key: &Key, index: &Index) -> [(Document, &'static [&'static str]); 4] {
    let setup = Setup { day: Some("2026-11-26".parse().unwrap()), ..Setup::default() };
    let ask = SequenceAsk { method: Method::Greedy, goal: Goal::Fewest, missing: std::collections::BTreeSet::new(), finds: Vec::new() };
    let forms = ["quoin-covered-sugar".into(), "quoin-casserole-one".into()];
    [
        (
            print::bench_key(key, index, &ask, &setup).unwrap(),
            &["Bestimmungstafel", "Bei 1 beginnen", "von oben", "gedruckt 2026-11-26", "Seite 1 von"],
        ),
        (print::plate(key, index, &forms, &setup).unwrap(), &["Zu unterscheiden", "richtig in", "gezeichnet"]),
        (print::form_sheets(key, &forms, &setup).unwrap(), &["Merkmale", "woher es bekannt ist", "Maße in mm", "Gefäß"]),
        (print::mark_sheets(key, &[], &setup).unwrap(), &["Marken", "Wortlaut", "Aufgebracht", "unter der Glasur gedruckt"]),
    ]
}

#[test]
fn sheets_are_printed_in_german() {
    let _turn = my_turn();
    speak(Language::German);
    let key = builtin::demo().key;
    let index = Index::new(&key);
    for (sheet, expected) in sheets(&key, &index) {
        let text = text_of(&sheet);
        for says in expected {
            assert!(text.contains(says), "'{says}' is not in: {text}");
        }
        for left in ["page 1 of", "· printed", "how it is known", "of the time", "look at"] {
            assert!(!text.contains(left), "'{left}' is in: {text}");
        }
    }
    // A branch that is a measure has its drawing in German too: as many things are drawn as in English.
    let drawn = |sheet: &Document| sheet.pages.iter().map(|page| page.items.len() - page.texts().count()).sum::<usize>();
    let german = drawn(&sheets(&key, &index)[0].0);
    speak(Language::English);
    let english = drawn(&sheets(&key, &index)[0].0);
    assert!(german.abs_diff(english) < 40, "{german} things are drawn, in English {english}");
}

/// A file as the window's system hands it over when it is dropped.
#[derive(Debug)]
struct Dropped(PathBuf);

impl egui::DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        Err("a file must be read off the frame, not here".to_owned())
    }
}

/// A window with a photograph of a lid beside a card.
fn with_photograph() -> Table {
    let mut table = table();
    let camera = tempfile::tempdir().unwrap();
    let file = camera.path().join("deckel.png");
    Scene::oval_on_linen().picture().save(&file).unwrap();
    table.harness.input_mut().dropped_files.push(Arc::new(Dropped(file)));
    table.settle();
    table
}

#[test]
fn views_of_photographs_marks_and_sheets_say_nothing_in_english() {
    let _turn = my_turn();
    let english = english();
    let mut left = Vec::new();
    let mut look = |table: &Table, at: &str| left.extend(english_left(table, &english).into_iter().map(|text| format!("{at}: {text}")));

    let mut table = with_photograph();
    let photograph = table.harness.state().doc.hand.photographs[0].clone();
    look(&table, "photograph");
    table.harness.state_mut().ask(Command::MeasureOn(Box::new(photograph.clone())));
    table.settle();
    look(&table, "measuring");
    picture(&mut table, "german_measuring");
    // What is measured there takes long and is not waited for.
    table.harness.get_by_label("Von der Seite").click();
    table.harness.run_ok();
    look(&table, "measuring from the side");
    table.click("Eine Farbe");
    look(&table, "measuring a colour");
    table.click("Messansicht schließen");
    table.harness.state_mut().ask(Command::ReadMarkOn(Box::new(photograph)));
    table.settle();
    look(&table, "reading");
    table.click("Marke schließen");

    table.harness.state_mut().ask(Command::Go(Screen::MarkDrawer));
    table.settle();
    table.harness.get_all_by_label_contains(": “").next().unwrap().click();
    table.settle();
    look(&table, "mark");
    picture(&mut table, "german_mark_drawer");
    table.click("Diese Marke ändern");
    look(&table, "mark changed");
    table.click("Marke schließen");

    let forms = ["quoin-covered-sugar".into(), "quoin-casserole-one".into()];
    table.harness.state_mut().ask(Command::TellApart(forms.to_vec()));
    table.settle();
    look(&table, "tell apart");
    table.click("Durch diese allein");
    look(&table, "by these alone");
    table.harness.state_mut().ask(Command::Print(Order::Forms(forms.to_vec())));
    table.settle();
    look(&table, "printing");
    table.click("Vorschau schließen");

    first_called(&mut table, "Schlüsselbuch");
    first_called(&mut table, "Listen");
    for list in ["Serien", "Merkmale", "Glasuren", "Dekore", "Belege"] {
        table.harness.get_all_by_label_contains(list).next().unwrap().click();
        table.settle();
        let new = match list {
            "Serien" => "Neu: Serie",
            "Merkmale" => "Neu: Merkmal",
            "Glasuren" => "Neu: Glasur",
            "Dekore" => "Neu: Dekor",
            _ => "Neu: Beleg",
        };
        table.click(new);
        look(&table, list);
        table.click("Schließen");
    }
    assert!(left.is_empty(), "\n{}", left.join("\n"));
}
