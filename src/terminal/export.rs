//! `footring export`

use super::cli_export::{Export, ExportAs, Exported};
use super::outcome::{Outcome, Trouble};
use super::page::{count, plain, say};
use super::{finds, open_key};
use crate::daybook::{Find, Photograph};
use crate::key::Key;
use crate::photo::Store;
use crate::sheets::{csv, records};
use std::io::Write;
use std::path::Path;

pub(super) fn run(export: &Export, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let key = match export.what {
        Exported::Forms => open_key::with_forms(&export.key, err)?,
        Exported::Finds => open_key::saying(&export.key, err)?,
    };
    let Some(file) = export.csv.as_ref().or(export.out.as_ref()) else {
        return Err(Trouble::Misuse("say with --out which file to write".to_owned()));
    };
    let (bytes, told) = match export.what {
        Exported::Forms => forms(export, &key)?,
        Exported::Finds => of_finds(export, &key, err)?,
    };
    if file == Path::new("-") {
        out.write_all(&bytes)?;
        return Ok(Outcome::Well);
    }
    let name = file.display().to_string();
    csv::save(file, |to| to.write_all(&bytes)).map_err(|e| Trouble::Problem(format!("'{name}' can't be written: {e}")))?;
    writeln!(out, "{}", plain(&format!("{told} written to {name}")))?;
    Ok(Outcome::Well)
}

fn problem(error: impl std::fmt::Display) -> Trouble {
    Trouble::Problem(error.to_string())
}

fn forms(export: &Export, key: &Key) -> Result<(Vec<u8>, String), Trouble> {
    let mut bytes = Vec::new();
    match export.form {
        ExportAs::Csv => csv::write_forms(key, &mut bytes)?,
        ExportAs::Json => records::write_forms_json(key, &mut bytes)?,
        ExportAs::Xlsx => bytes = records::write_forms_workbook(key).map_err(problem)?,
        ExportAs::Lido | ExportAs::LinkedArt | ExportAs::Zip => {
            let sentence = "that describes real pieces, and forms are none (add --what finds --daybook DIR)";
            return Err(Trouble::Misuse(sentence.to_owned()));
        }
    }
    let told = format!("{} with {}", count(key.forms.len(), "form", "forms"), count(key.features.len(), "feature", "features"));
    Ok((bytes, told))
}

fn of_finds(export: &Export, key: &Key, err: &mut dyn Write) -> Result<(Vec<u8>, String), Trouble> {
    let Some(folder) = &export.daybook else {
        return Err(Trouble::Misuse("say with --daybook where the finds are (the folder that holds finds.db)".to_owned()));
    };
    let daybook = finds::open(folder)?;
    let rules = daybook.rules();
    let found: Vec<Find> = finds::read(&daybook, export.box_label.as_deref(), err)?;
    let told = count(found.len(), "find", "finds");
    let mut bytes = Vec::new();
    match export.form {
        ExportAs::Csv => records::write_finds_csv(key, &found, rules, &mut bytes)?,
        ExportAs::Json => records::write_finds_json(&found, &mut bytes)?,
        ExportAs::Xlsx => bytes = records::write_finds_workbook(key, &found, rules).map_err(problem)?,
        ExportAs::Lido => {
            let source = export.source.as_deref().filter(|source| !source.trim().is_empty()).unwrap_or(&key.about.title);
            bytes = records::write_lido(key, &found, rules, source).into_bytes();
        }
        ExportAs::LinkedArt => {
            let Some(base) = &export.base else {
                let sentence = "say with --base which address the ids begin with, such as https://example.org/find/";
                return Err(Trouble::Misuse(sentence.to_owned()));
            };
            records::write_linked_art(key, &found, rules, base, &mut bytes).map_err(|e| Trouble::Misuse(format!("--base: {e}")))??;
        }
        ExportAs::Zip => {
            let store = Store::at(folder);
            let read = |photo: &Photograph| store.read(photo.hash, photo.format).map_err(|e| e.to_string());
            let (packed, lost) = records::write_packet(key, &found, rules, &read)?;
            bytes = packed;
            for one in lost {
                say(err, &one);
            }
        }
    }
    Ok((bytes, told))
}
