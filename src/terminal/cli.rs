//! What may be said on the command line.

use clap::{Args, Parser, Subcommand};
use std::path::PathBuf;

/// Sort, identify, date and record tableware at a table.
#[derive(Debug, Clone, PartialEq, Parser)]
#[command(
    name = "footring",
    version,
    about,
    long_about = "Sort, identify, date and record tableware at a table.\n\n\
        Without a verb the window opens on the key used last, the first time on the demo key.",
    after_help = "KEY is the folder of a house key, or the word 'demo' for the key of the invented Marrowby Pottery that is built in\n\
        (a folder of that name is ./demo).\n\n\
        The program ends with 0 where all went well, 1 where it found problems, 2 where it was asked for something that cannot be.",
    disable_help_subcommand = true
)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    call: Option<Call>,
}

impl Cli {
    /// What is asked for: without a word, the window.
    pub fn call(self) -> Call {
        self.call.unwrap_or_else(|| Call::Open(Open::default()))
    }
}

/// What the program can be asked for.
#[derive(Debug, Clone, PartialEq, Subcommand)]
pub enum Call {
    /// Open the window (also done without a verb)
    Open(Open),
    /// Something that needs no window.
    #[command(flatten)]
    Verb(Verb),
}

/// The verbs that need no window.
#[derive(Debug, Clone, PartialEq, Subcommand)]
pub enum Verb {
    /// Read a house key and say everything that is wrong with it
    Check(Check),
    /// Name a piece from what was seen of it
    Identify(Identify),
    /// Say how forms that look alike are told apart
    Tell(Tell),
    /// Write the key as a table, one row a form, one column a feature
    Export(Export),
    /// Bring a list into a house key: a table as CSV, XLSX or ODS
    Import(Import),
}

/// `footring open`
#[derive(Debug, Clone, PartialEq, Default, Args)]
pub struct Open {
    /// The house key to open: its folder, or 'demo'. Left out, the one used last
    pub key: Option<String>,
    /// Where the daybook, photographs and settings are kept, in place of the usual folder of this user
    #[arg(long, value_name = "DIR")]
    pub data_dir: Option<PathBuf>,
}

/// `footring check`
#[derive(Debug, Clone, PartialEq, Args)]
pub struct Check {
    /// The house key: its folder, or 'demo'
    pub key: String,
    /// Print JSON for another program
    #[arg(long)]
    pub json: bool,
}

/// `footring identify`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(after_help = "Examples:\n  \
    footring identify demo --see 'lid outline=oval' --see 'height=92±2'\n  \
    footring identify demo --see 'handle=loop|ear' --missing lid --json\n\n\
    A measure may be written 92, 92±2, 92+-2 or 90..94; several values that it may be are parted by '|'. 'feature=?' means: looked, and can't tell.\n\
    In the wording of a mark '?' is one letter that can't be read and '…' or '...' any number of them.")]
pub struct Identify {
    /// The house key: its folder, or 'demo'
    pub key: String,
    /// Something seen: the feature's name, '=', and the value (may be given many times)
    #[arg(long, value_name = "FEATURE=VALUE")]
    pub see: Vec<String>,
    /// A part that is gone: lid, handle, foot … (may be given many times)
    #[arg(long, value_name = "PART")]
    pub missing: Vec<String>,
    /// List every form, also those that were set aside, with the reason
    #[arg(long)]
    pub all: bool,
    /// Print JSON for another program
    #[arg(long, conflicts_with = "all")]
    pub json: bool,
}

/// `footring tell`
#[derive(Debug, Clone, PartialEq, Args)]
pub struct Tell {
    /// The house key: its folder, or 'demo'
    pub key: String,
    /// Two to six forms, by name ('covered sugar', 'covered sugar, Quoin') or by id
    #[arg(required = true, num_args = 2..=6, value_name = "FORM")]
    pub forms: Vec<String>,
    /// Write out every tell, not only the surest
    #[arg(long)]
    pub all: bool,
    /// Print JSON for another program
    #[arg(long, conflicts_with = "all")]
    pub json: bool,
}

/// `footring export`
#[derive(Debug, Clone, PartialEq, Args)]
pub struct Export {
    /// The house key: its folder, or 'demo'
    pub key: String,
    /// The file to write; '-' prints it
    #[arg(long, value_name = "FILE")]
    pub csv: PathBuf,
}

/// `footring import`
#[expect(clippy::struct_excessive_bools, reason = "each is a switch of the command line")]
#[derive(Debug, Clone, PartialEq, Default, Args)]
#[command(
    override_usage = "footring import [OPTIONS] <KEY> <TABLE>\n       footring import [OPTIONS] --new <DIR> <TABLE>",
    after_help = "Examples:\n  \
    footring import keys/mine stock.xlsx --sheet 'Shelf 2' --dry-run\n  \
    footring import --new keys/museum list.csv --name-column title\n\n\
    What each column is taken for is guessed and printed; --write-mapping keeps the guess as a text that can be edited and given back with\n\
    --mapping. Rows that share their name (and line) are pieces of one form: values are counted, measures become ranges.\n\
    What the key says otherwise than the table stays as it is, and is listed; --make-changes lets the table widen it."
)]
pub struct Import {
    /// The house key's folder, and the table; with --new, the table alone
    #[arg(required = true, num_args = 1..=2, value_name = "KEY> <TABLE")]
    pub paths: Vec<PathBuf>,
    /// Make a new key in this folder
    #[arg(long, value_name = "DIR")]
    pub new: Option<PathBuf>,
    /// The sheet of a workbook (otherwise the first that holds something)
    #[arg(long)]
    pub sheet: Option<String>,
    /// The column that holds the names of the forms
    #[arg(long, value_name = "NAME")]
    pub name_column: Option<String>,
    /// The line of forms that have none in the table (otherwise one called as the file)
    #[arg(long, value_name = "NAME")]
    pub line: Option<String>,
    /// The table has no header; its columns are called 'column A', 'column B' …
    #[arg(long, conflicts_with = "header")]
    pub no_header: bool,
    /// The first row is the header, whatever it looks like
    #[arg(long)]
    pub header: bool,
    /// Pints and fluid ounces without a word are US ones, not imperial
    #[arg(long)]
    pub us: bool,
    /// Take the columns for what this file says
    #[arg(long, value_name = "FILE")]
    pub mapping: Option<PathBuf>,
    /// Write what the columns are taken for to this file
    #[arg(long, value_name = "FILE")]
    pub write_mapping: Option<PathBuf>,
    /// Let the table widen what the key says otherwise
    #[arg(long)]
    pub make_changes: bool,
    /// Say what would be done, and do nothing
    #[arg(long)]
    pub dry_run: bool,
    /// Print JSON for another program
    #[arg(long)]
    pub json: bool,
}
