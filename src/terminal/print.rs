//! `footring print`

use super::cli_print::{On, Print, Printed};
use super::outcome::{Outcome, Trouble};
use super::page::{count, plain, say};
use super::{finds, open_key};
use crate::daybook::census::{By, Census, SERVICES, Services, Set, Tally, TallyQuestion, census};
use crate::daybook::{Beside, Find, Photograph};
use crate::identify::Index;
use crate::identify::cover::Goal;
use crate::identify::sequence::{Method, SequenceAsk};
use crate::key::{FormId, Key, MarkId, Words};
use crate::photo::{Limits, Progress, Store};
use crate::sheets::page::{Document, Paper};
use crate::sheets::print::{self, FileError, FileKind, Fold, Grid, Lot, LotOf, PrintError, Setup, files_words, write_files};
use std::collections::BTreeSet;
use std::io::Write;
use std::path::Path;
use std::sync::Arc;

/// Longest side of a photograph on a list, in pixels.
const SMALL_PIXELS: u32 = 360;

pub(super) fn run(asked: &Print, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    if asked.grid.as_deref() == Some("list") {
        for grid in print::grids() {
            writeln!(out, "{}: {} × {} mm, {} to a sheet", grid.name, grid.width_mm, grid.height_mm, grid.on_a_sheet())?;
        }
        return Ok(Outcome::Well);
    }
    let Some(file) = &asked.out else { return Err(Trouble::Misuse("say with --out which file to write".to_owned())) };
    FileKind::of(file).map_err(unwritten)?;
    let key = open_key::saying(&asked.key, err)?;
    let document = lay_out(asked, &key, err)?;
    let written = write_files(&document, f64::from(asked.dpi), file).map_err(unwritten)?;
    for remark in &document.remarks {
        say(err, remark);
    }
    writeln!(out, "{}", plain(&format!("{} written to {}", count(document.pages.len(), "page", "pages"), files_words(&written))))?;
    Ok(Outcome::Well)
}

#[expect(clippy::needless_pass_by_value, reason = "it stands in map_err")]
fn refused(error: PrintError) -> Trouble {
    match error {
        PrintError::NothingChosen | PrintError::Count(_) => Trouble::Misuse(error.to_string()),
        PrintError::NoForms | PrintError::NoMarks | PrintError::Sequence(_) | PrintError::NoFinds(_) | PrintError::EmptyService(_) => {
            Trouble::Problem(error.to_string())
        }
    }
}

fn lay_out(asked: &Print, key: &Key, err: &mut dyn Write) -> Result<Document, Trouble> {
    let words = Words::new(key);
    let forms = named(&asked.forms, |text| words.form(text))?;
    let marks: Vec<MarkId> = named(&asked.marks, |text| words.mark(text))?;
    let setup = setup(asked)?;
    let by = if asked.by == "decoration" { By::Decoration } else { By::Glaze };
    let document = match asked.what {
        Printed::BenchKey => {
            let goal = if asked.least_effort { Goal::LeastEffort } else { Goal::Fewest };
            let ask = SequenceAsk { method: Method::Greedy, goal, missing: BTreeSet::new(), finds: Vec::new() };
            print::bench_key(key, &Index::new(key), &ask, &setup)
        }
        Printed::Plate => print::plate(key, &Index::new(key), &forms, &setup),
        Printed::Forms => print::form_sheets(key, &chosen(key, forms), &setup),
        Printed::Marks => print::mark_sheets(key, &marks, &setup),
        Printed::Labels => {
            let labels = match &asked.daybook {
                Some(_) => print::labels_of_finds(&read(asked, err)?),
                None => print::labels_of_forms(key, &chosen(key, forms)),
            };
            print::labels(&labels, &grid(asked, setup.paper)?, asked.skip)
        }
        Printed::Lot => {
            let finds = read(asked, err)?;
            let daybook = asked.daybook.as_deref().unwrap_or(Path::new("."));
            let store = Store::at(daybook);
            let small = |photograph: &Photograph| {
                let (limits, progress) = (Limits::USUAL, Progress::new());
                store.preview(photograph.hash, photograph.format, photograph.edit, SMALL_PIXELS, &limits, &progress).ok().map(Arc::new)
            };
            let of = asked.box_label.clone().map_or(LotOf::Daybook, LotOf::Box);
            let lot = Lot::of(key, of, &finds, &small);
            print::lot_list(&lot, &setup)
        }
        Printed::Service => {
            let (set, tallies) = service(asked, key)?;
            print::service_list(key, &set, &set.held(&tallies), &setup)
        }
        Printed::Wants => print::wants_list(key, &counted(asked, key, by)?, &setup),
        Printed::Census => print::census_sheet(key, &counted(asked, key, by)?, by, &setup),
    };
    document.map_err(refused)
}

/// The forms that were named, or all of them.
fn chosen(key: &Key, forms: Vec<FormId>) -> Vec<FormId> {
    if forms.is_empty() { key.forms.iter().map(|form| form.id.clone()).collect() } else { forms }
}

/// Things by name or id. A name may hold a comma ('covered sugar, Quoin'), so a whole text is tried first.
fn named<Id, E: std::fmt::Display>(texts: &[String], find: impl Fn(&str) -> Result<Id, E>) -> Result<Vec<Id>, Trouble> {
    let mut found = Vec::new();
    for text in texts {
        match find(text) {
            Ok(id) => found.push(id),
            Err(whole) => {
                let sign = if text.contains(';') { ';' } else { ',' };
                let parts: Vec<&str> = text.split(sign).map(str::trim).filter(|part| !part.is_empty()).collect();
                if parts.len() < 2 {
                    return Err(Trouble::Misuse(whole.to_string()));
                }
                for part in parts {
                    found.push(find(part).map_err(|e| Trouble::Misuse(e.to_string()))?);
                }
            }
        }
    }
    Ok(found)
}

fn setup(asked: &Print) -> Result<Setup, Trouble> {
    let paper = match asked.paper {
        On::A4 => Paper::A4,
        On::A3 => Paper::A3,
        On::Letter => Paper::Letter,
        On::Phone => Paper::Phone,
    };
    let day = match asked.day.as_deref() {
        None => Some(jiff::ZonedDateTime::now().date()),
        Some("none") => None,
        Some(text) => {
            Some(text.parse().map_err(|_unsaid| Trouble::Misuse(format!("--day '{text}' is not a day (write 2026-11-26, or none)")))?)
        }
    };
    let fold = if asked.booklet { Fold::Booklet } else { Fold::Flat };
    if asked.booklet && paper == Paper::Phone {
        return Err(Trouble::Misuse("a phone's page is not folded (leave out --booklet or --paper phone)".to_owned()));
    }
    Ok(Setup { paper, fold, day })
}

fn read(asked: &Print, err: &mut dyn Write) -> Result<Vec<Find>, Trouble> {
    let Some(folder) = &asked.daybook else {
        return Err(Trouble::Misuse("say with --daybook where the finds are (the folder that holds finds.db)".to_owned()));
    };
    finds::read(&finds::open(folder)?, asked.box_label.as_deref(), err)
}

fn counted(asked: &Print, key: &Key, by: By) -> Result<Census, Trouble> {
    // Without a daybook nothing was found yet: the key and its papers alone.
    let tallies = match &asked.daybook {
        Some(folder) => finds::open(folder)?.tally(&TallyQuestion::of(key, &finds::key_folder(&asked.key))).map_err(finds::trouble)?,
        None => Vec::new(),
    };
    Ok(census(key, &tallies, by))
}

/// The service that is named, and the finds that may serve it.
fn service(asked: &Print, key: &Key) -> Result<(Set, Vec<Tally>), Trouble> {
    let Some(folder) = &asked.daybook else {
        return Err(Trouble::Misuse("say with --daybook where the finds are (the folder that holds finds.db)".to_owned()));
    };
    let tallies = finds::open(folder)?.tally(&TallyQuestion::of(key, &finds::key_folder(&asked.key))).map_err(finds::trouble)?;
    let services: Services = Beside::at(folder, SERVICES).read().map_err(|error| Trouble::Problem(error.to_string()))?;
    if let Some(fault) = services.fault() {
        return Err(Trouble::Problem(fault));
    }
    let names: Vec<String> = services.sets.iter().map(|set| format!("'{}'", set.service.name)).collect();
    let found = match &asked.service {
        None => services.sets.into_iter().next(),
        Some(name) => services.sets.into_iter().find(|set| set.service.name == *name),
    };
    let there_are = if names.is_empty() { "none was made yet".to_owned() } else { format!("there are {}", names.join(", ")) };
    let wanted = asked.service.as_ref().map_or_else(|| "no service is".to_owned(), |name| format!("no service '{name}' is"));
    found.map(|set| (set, tallies)).ok_or_else(|| Trouble::Misuse(format!("{wanted} kept with this daybook ({there_are})")))
}

fn grid(asked: &Print, paper: Paper) -> Result<Grid, Trouble> {
    let of_paper = |grid: &&Grid| grid.paper == paper;
    match &asked.grid {
        None => print::grids()
            .iter()
            .find(of_paper)
            .cloned()
            .ok_or_else(|| Trouble::Misuse("labels are printed on A4 or Letter (give --paper a4 or --paper letter)".to_owned())),
        Some(text) => match print::grids().iter().find(|grid| grid.name == *text) {
            Some(grid) => Ok(grid.clone()),
            None => Grid::parse(text, paper).map_err(|e| Trouble::Misuse(format!("--grid: {e}"))),
        },
    }
}

#[expect(clippy::needless_pass_by_value, reason = "it stands in map_err")]
fn unwritten(error: FileError) -> Trouble {
    match error {
        FileError::Ending(_) => Trouble::Misuse(error.to_string()),
        FileError::Write(_) | FileError::Io { .. } => Trouble::Problem(error.to_string()),
    }
}
