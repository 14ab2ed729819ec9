//! `footring pack` and `footring unpack`: a house key as one file.

use super::cli_pack::{Pack, Unpack};
use super::outcome::{Outcome, Trouble};
use super::page::count;
use crate::key::pack::{self, ENDING, PackError};
use std::io::Write;
use std::path::PathBuf;

fn trouble(error: &PackError) -> Trouble {
    match error {
        PackError::NoKey(_) | PackError::Exists(_) => Trouble::Misuse(error.to_string()),
        PackError::NotPacked { .. } | PackError::Refused { .. } | PackError::Io { .. } => Trouble::Problem(error.to_string()),
    }
}

pub(super) fn pack(asked: &Pack, out: &mut dyn Write) -> Result<Outcome, Trouble> {
    let file = match &asked.out {
        Some(file) => file.clone(),
        None => beside(&asked.key)
            .ok_or_else(|| Trouble::Misuse(format!("'{}' has no name to call the file by (give --out)", asked.key.display())))?,
    };
    let pictures = pack::pack(&asked.key, &file).map_err(|e| trouble(&e))?;
    writeln!(out, "packed with {} into {}", count(pictures, "picture", "pictures"), file.display())?;
    Ok(Outcome::Well)
}

/// The file beside a key's folder that it is packed into.
fn beside(key: &std::path::Path) -> Option<PathBuf> {
    let folder = std::path::absolute(key).ok()?;
    let mut name = folder.file_name()?.to_owned();
    name.push(".");
    name.push(ENDING);
    // As it was written, where that is enough.
    Some(if key.file_name().is_some() { key.with_file_name(name) } else { folder.with_file_name(name) })
}

pub(super) fn unpack(asked: &Unpack, out: &mut dyn Write) -> Result<Outcome, Trouble> {
    let to = asked.out.clone().unwrap_or_else(|| pack::folder_of(&asked.file));
    let pictures = pack::unpack(&asked.file, &to).map_err(|e| trouble(&e))?;
    let problems = crate::key::load(&to).problems.len();
    writeln!(out, "unpacked with {} into {}", count(pictures, "picture", "pictures"), to.display())?;
    if problems == 0 {
        return Ok(Outcome::Well);
    }
    writeln!(out, "{} in this key ('footring check {}' lists them)", count(problems, "problem", "problems"), to.display())?;
    Ok(Outcome::Problems)
}
