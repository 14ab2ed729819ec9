//! What may be said after `footring daybook`.

use crate::daybook::FindId;
use crate::daybook::join::Side;
use clap::{Args, Subcommand};
use std::path::PathBuf;

/// `footring daybook`
#[derive(Debug, Clone, PartialEq, Args)]
pub struct Daybook {
    /// What to do with it.
    #[command(subcommand)]
    pub what: DaybookVerb,
}

/// What can be done with a daybook as a whole.
#[derive(Debug, Clone, PartialEq, Subcommand)]
pub enum DaybookVerb {
    /// Write a daybook with its photographs into one file, checked before it takes its name
    Backup(Backup),
    /// Bring a backup back into a new folder, every byte checked first
    Restore(Restore),
    /// Take another person's daybook into one's own: finds by id, photographs by content, nothing lost
    Join(Join),
}

/// `footring daybook backup`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(after_help = "Example:\n  footring daybook backup ~/.local/share/footring/daybook finds-2026-03.zip")]
pub struct Backup {
    /// The daybook's folder, which holds finds.db
    #[arg(value_name = "DAYBOOK")]
    pub daybook: PathBuf,
    /// The file to write; there must be none of that name
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Print JSON for another program
    #[arg(long)]
    pub json: bool,
}

/// `footring daybook restore`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(after_help = "Example:\n  footring daybook restore finds-2026-03.zip ./daybook-of-march")]
pub struct Restore {
    /// The backup
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// The folder to bring it back into: new or empty
    #[arg(value_name = "FOLDER")]
    pub folder: PathBuf,
    /// Print JSON for another program
    #[arg(long)]
    pub json: bool,
}

/// `footring daybook join`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(
    after_help = "What only one of the two has gone on with since they were the same is taken as that one left it. A find that both changed is told field by field\n\
    and left as it is here, unless --take or --take-for says whose version counts; the other version then stays in its history. The other daybook is\n\
    not touched. The program ends with 1 where finds are left to decide on.\n\n\
    Examples:\n  \
    footring daybook join ./mine ./theirs --dry-run\n  \
    footring daybook join ./mine theirs.zip --take ours"
)]
pub struct Join {
    /// The daybook that takes the other in: its folder
    #[arg(value_name = "DAYBOOK")]
    pub daybook: PathBuf,
    /// The other daybook: its folder, or a backup of it
    #[arg(value_name = "OTHER")]
    pub other: PathBuf,
    /// Whose version counts where both changed a find
    #[arg(long, value_name = "ours|theirs", value_parser = side)]
    pub take: Option<Side>,
    /// Whose version counts for one find (may be given many times)
    #[arg(long, value_name = "ID=ours|theirs", value_parser = side_of)]
    pub take_for: Vec<(FindId, Side)>,
    /// Tell what would come of it, and change nothing
    #[arg(long)]
    pub dry_run: bool,
    /// Print JSON for another program
    #[arg(long)]
    pub json: bool,
}

fn side(text: &str) -> Result<Side, String> {
    match text.trim() {
        "ours" => Ok(Side::Ours),
        "theirs" => Ok(Side::Theirs),
        _ => Err("that is not whose version (write ours or theirs)".to_owned()),
    }
}

fn side_of(text: &str) -> Result<(FindId, Side), String> {
    let (id, whose) = text.split_once('=').ok_or("that is not a find's id, '=' and whose version (write ID=theirs)")?;
    let id = id
        .trim()
        .parse()
        .map_err(|_unsaid| format!("'{}' is not the id of a find (36 letters and digits, as the list of conflicts tells it)", id.trim()))?;
    Ok((id, side(whose)?))
}
