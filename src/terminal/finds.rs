//! The finds that a verb is given.

use super::open_key;
use super::outcome::Trouble;
use crate::daybook::{Daybook, DaybookError, Find, Page};
use crate::key::builtin;
use std::io::Write;
use std::path::Path;

/// Opens the daybook of a folder. Opening makes one where there is none, which a look at it must not do.
pub(super) fn open(folder: &Path) -> Result<Daybook, Trouble> {
    if !folder.join("finds.db").is_file() {
        let sentence = format!("there is no daybook in '{}' (give the folder that holds finds.db)", folder.display());
        return Err(Trouble::Misuse(sentence));
    }
    Daybook::open(folder).map_err(trouble)
}

#[expect(clippy::needless_pass_by_value, reason = "it stands in map_err")]
pub(super) fn trouble(error: DaybookError) -> Trouble {
    Trouble::Problem(error.to_string())
}

/// The finds of a daybook, or of one box in it, newest first. One that can't be read is told and left out.
pub(super) fn read(daybook: &Daybook, box_label: Option<&str>, err: &mut dyn Write) -> Result<Vec<Find>, Trouble> {
    if let Some(label) = box_label {
        let boxes = daybook.boxes().map_err(trouble)?;
        if !boxes.iter().any(|one| one.label == label) {
            let known: Vec<String> = boxes.iter().filter(|one| !one.label.is_empty()).map(|one| format!("'{}'", one.label)).collect();
            let known = if known.is_empty() { "the daybook has no boxes".to_owned() } else { format!("there are {}", known.join(", ")) };
            return Err(Trouble::Misuse(format!("there is no box '{label}' in the daybook ({known})")));
        }
    }
    let page = Page { box_label: box_label.map(str::to_owned), most: u32::MAX, ..Page::default() };
    let mut finds = Vec::new();
    for find in daybook.newest_first(&page).map_err(trouble)? {
        match find {
            Ok(find) => finds.push(find),
            Err(error) => super::page::say(err, &error.to_string()),
        }
    }
    Ok(finds)
}

/// The name by which finds know the key that a verb was given.
pub(super) fn key_folder(word: &str) -> String {
    if word == open_key::DEMO {
        return builtin::DEMO_NAME.to_owned();
    }
    let folder = Path::new(word);
    let whole = std::fs::canonicalize(folder).unwrap_or_else(|_| folder.to_owned());
    whole.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}
