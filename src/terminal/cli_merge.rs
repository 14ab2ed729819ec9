//! What may be said after `footring diff` and `footring merge`.

use clap::Args;
use std::path::PathBuf;

/// `footring diff`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(after_help = "Example:\n  footring diff demo keys/mine")]
pub struct Diff {
    /// The key as it was: its folder, or 'demo'
    pub old: String,
    /// The key as it is
    pub new: String,
    /// Print JSON for another program
    #[arg(long)]
    pub json: bool,
}

/// `footring merge`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(
    override_usage = "footring merge <BASE> <MINE> <THEIRS> --out <DIR> [--json]\n       footring merge --file <NAME> <BASE> <MINE> <THEIRS> [--json]",
    after_help = "What only one side changed is taken from it: entry by entry, and within an entry field by field. Where both changed one field otherwise, mine\n\
    stands, and the clash is listed (with --out also in DIR/clashes.txt); the program then ends with 1. Counts are added up where each side counted finds of\n\
    its own.\n\n\
    As a merge driver of git, for the files of a key, once on each machine:\n  \
    git config merge.footring.name 'house key'\n  \
    git config merge.footring.driver 'footring merge --file %P %O %A %B'\n\
    and in the key's folder a file .gitattributes that says\n  \
    *.ron merge=footring\n\n\
    Example:\n  \
    footring merge keys/from-the-library keys/mine keys/hers --out keys/joined"
)]
pub struct Merge {
    /// The key both started from: its folder; with --file, that file of it
    pub base: PathBuf,
    /// My key
    pub mine: PathBuf,
    /// Their key
    pub theirs: PathBuf,
    /// The folder to write the joined key to; it must be new or empty
    #[arg(long, value_name = "DIR", required_unless_present = "file", conflicts_with = "file")]
    pub out: Option<PathBuf>,
    /// Put three versions of this one file of a key together (forms.ron, papers.ron …), and write what comes of it to MINE
    #[arg(long, value_name = "NAME")]
    pub file: Option<PathBuf>,
    /// Print JSON for another program
    #[arg(long)]
    pub json: bool,
}
