//! `footring daybook`

use super::cli_daybook::{Backup, Daybook as Asked, DaybookVerb, Join, Restore};
use super::outcome::{Outcome, Trouble};
use super::page::{count, plain, say};
use crate::daybook::Daybook;
use crate::daybook::backup::{BackedUp, BackupError, bring_back};
use crate::daybook::join::{Choice, Conflict, Difference, InEarnest, Joined, Side};
use crate::photo::Progress;
use jiff::ZonedDateTime;
use serde::Serialize;
use std::io::Write;
use std::path::Path;

/// Conflicts whose fields are printed; JSON has them all.
const SHOWN: usize = 40;

pub(super) fn run(asked: &Asked, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    match &asked.what {
        DaybookVerb::Backup(backup) => back_up(backup, out, err),
        DaybookVerb::Restore(restore) => bring(restore, out, err),
        DaybookVerb::Join(join) => take_in(join, out, err),
    }
}

/// Opening makes a daybook where there is none, which none of these must do.
fn open(folder: &Path) -> Result<Daybook, Trouble> {
    if !folder.join("finds.db").is_file() {
        let sentence = format!("there is no daybook in '{}' (give the folder that holds finds.db)", folder.display());
        return Err(Trouble::Misuse(sentence));
    }
    Daybook::open(folder).map_err(|error| Trouble::Problem(error.to_string()))
}

fn trouble(error: BackupError) -> Trouble {
    match error {
        BackupError::Taken(_) | BackupError::NotEmpty(_) => Trouble::Misuse(error.to_string()),
        other => Trouble::Problem(other.to_string()),
    }
}

#[derive(Serialize)]
struct JsonBackup {
    finds: u64,
    photographs: usize,
    bytes: u64,
    lost: Vec<String>,
}

fn back_up(asked: &Backup, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let done = open(&asked.daybook)?.back_up(&asked.file, &Progress::new()).map_err(trouble)?;
    told(&done, &format!("written to {} and checked", asked.file.display()), asked.json, out, err)
}

fn bring(asked: &Restore, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let done = bring_back(&asked.file, &asked.folder, &Progress::new()).map_err(trouble)?;
    told(&done, &format!("brought back into {}", asked.folder.display()), asked.json, out, err)
}

fn told(done: &BackedUp, what: &str, json: bool, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let outcome = if done.lost.is_empty() { Outcome::Well } else { Outcome::Problems };
    if json {
        let lost = done.lost.iter().map(ToString::to_string).collect();
        super::json(&JsonBackup { finds: done.finds, photographs: done.photographs, bytes: done.bytes, lost }, out)?;
        return Ok(outcome);
    }
    let finds = count(usize::try_from(done.finds).unwrap_or(usize::MAX), "find", "finds");
    let photographs = count(done.photographs, "photograph", "photographs");
    writeln!(out, "{}", plain(&format!("{finds} and {photographs} {what}")))?;
    for hash in &done.lost {
        say(err, &format!("the photograph {hash} is not in it: it was missing from the daybook's folder, or harmed"));
    }
    Ok(outcome)
}

#[derive(Serialize)]
struct JsonJoined {
    new: Vec<String>,
    gone_on: Vec<String>,
    known: usize,
    conflicts: Vec<JsonConflict>,
    photographs: usize,
    lost: Vec<String>,
    unreadable: Vec<String>,
}

#[derive(Serialize)]
struct JsonConflict {
    id: String,
    find: String,
    differences: Vec<Difference>,
    taken: Option<&'static str>,
}

const fn word(side: Side) -> &'static str {
    match side {
        Side::Ours => "ours",
        Side::Theirs => "theirs",
    }
}

fn take_in(asked: &Join, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let mut daybook = open(&asked.daybook)?;
    let choice = Choice { all: asked.take, each: asked.take_for.iter().copied().collect() };
    let in_earnest = if asked.dry_run { InEarnest::No } else { InEarnest::Yes };
    let joined = daybook.join(&asked.other, &choice, &ZonedDateTime::now(), in_earnest, &Progress::new()).map_err(trouble)?;
    if asked.json {
        super::json(&as_json(&joined), out)?;
    } else {
        print(&joined, in_earnest, out)?;
        for why in &joined.unreadable {
            say(err, &format!("a find of theirs can't be read and was left out: {why}"));
        }
        for hash in &joined.lost {
            say(err, &format!("the photograph {hash} was not to be had from them"));
        }
    }
    let well = joined.undecided().next().is_none() && joined.lost.is_empty() && joined.unreadable.is_empty();
    Ok(if well { Outcome::Well } else { Outcome::Problems })
}

fn as_json(joined: &Joined) -> JsonJoined {
    let conflict = |conflict: &Conflict| JsonConflict {
        id: conflict.id.to_string(),
        find: title(conflict),
        differences: conflict.differences.clone(),
        taken: conflict.taken.map(word),
    };
    JsonJoined {
        new: joined.new.iter().map(ToString::to_string).collect(),
        gone_on: joined.gone_on.iter().map(ToString::to_string).collect(),
        known: joined.known,
        conflicts: joined.conflicts.iter().map(conflict).collect(),
        photographs: joined.photographs,
        lost: joined.lost.iter().map(ToString::to_string).collect(),
        unreadable: joined.unreadable.clone(),
    }
}

fn title(conflict: &Conflict) -> String {
    match &conflict.ours.named {
        Some(named) if named.line_name.is_empty() => named.form_name.clone(),
        Some(named) => format!("{}, {}", named.form_name, named.line_name),
        None => "not named".to_owned(),
    }
}

fn print(joined: &Joined, in_earnest: InEarnest, out: &mut dyn Write) -> Result<(), Trouble> {
    let would = if in_earnest == InEarnest::Yes { "" } else { " (nothing was changed)" };
    let finds = |n: usize| count(n, "find", "finds");
    writeln!(out, "{} new, {} gone on with, {} known already{would}", finds(joined.new.len()), joined.gone_on.len(), joined.known)?;
    if joined.photographs > 0 {
        writeln!(out, "{} new", count(joined.photographs, "photograph", "photographs"))?;
    }
    if joined.conflicts.is_empty() {
        return Ok(());
    }
    writeln!(out, "\n{} changed in both:", finds(joined.conflicts.len()))?;
    for conflict in joined.conflicts.iter().take(SHOWN) {
        let taken = match conflict.taken {
            Some(side) => format!("{} taken", word(side)),
            None => "left as it is here (say --take-for)".to_owned(),
        };
        writeln!(out, "  {}  {}: {taken}", conflict.id, plain(&title(conflict)))?;
        for Difference { field, ours, theirs } in &conflict.differences {
            let shown = |value: &Option<String>| value.as_ref().map_or_else(|| "nothing".to_owned(), |value| format!("'{value}'"));
            writeln!(out, "    {}", plain(&format!("{field}: ours {}, theirs {}", shown(ours), shown(theirs))))?;
        }
    }
    let more = joined.conflicts.len().saturating_sub(SHOWN);
    if more > 0 {
        writeln!(out, "  and {more} more (--json tells them all)")?;
    }
    Ok(())
}
